//! What projecting, a tensor and a density cost, each beside the plain ways to the same; then what drawing the net anew costs.

use std::path::Path;
use std::process::Command;
use std::time::Instant;

use super::{machine, redraw};
use crate::workbench::trial::net::{K, MANY, NODES, SPREAD, Task, Work};
use crate::workbench::{on_path, tools};

/// Each way is timed in so many rounds, in turn with the others, so that what disturbs the machine disturbs all alike.
const ROUNDS: usize = 15;

/// A way that takes seconds is timed so often.
const FEW: usize = 3;

const IN_NODE: &str = include_str!("net.js");

const IN_PYTHON: &str = include_str!("net.py");

/// A plain way, its name in the scripts, what it is called, and how many times as fast we aim to be.
type Rival = (&'static str, &'static str, f64);

/// What is timed, its name in the scripts, how many numbers make one of it, and the plain ways to the same.
struct Line {
    task: Task,
    name: &'static str,
    words: &'static str,
    rivals: &'static [Rival],
}

const LINES: [Line; 3] = [
    Line {
        task: Task::Project,
        name: "project",
        words: "1,000,000 axes projected, equal area, single precision",
        rivals: &[
            ("columns", "columns in plain JavaScript", 1.5),
            ("single", "the same in single precision", 1.5),
            ("d3-raw", "d3-geo's raw function", 10.0),
            ("d3-whole", "d3-geo's projection", 25.0),
            ("numpy", "numpy", 1.0),
            ("numpy-single", "numpy, single precision", 1.0),
        ],
    },
    Line {
        task: Task::Tensor,
        name: "tensor",
        words: "tensor and principal axes of 1,000,000, single precision",
        rivals: &[
            ("columns", "columns in plain JavaScript", 1.0),
            ("single", "the same in single precision", 1.0),
            ("numpy", "numpy", 1.0),
        ],
    },
    Line {
        task: Task::Density,
        name: "density",
        words: "density of 100,000 axes on 61 × 61",
        rivals: &[
            ("cells", "the same cells in plain JavaScript", 6.0),
            ("pairs", "all pairs in plain JavaScript", 100.0),
            ("numpy", "all pairs in numpy, single precision", 40.0),
        ],
    },
];

/// What one way came to.
#[derive(Debug, PartialEq)]
struct Took {
    task: String,
    way: String,
    ms: f64,
    answer: f64,
}

/// Reads the lines of a script: what each way took, and the version it ran on.
fn read(text: &str) -> Option<(Vec<Took>, String)> {
    let mut took = Vec::new();
    let mut version = None;
    for line in text.lines() {
        let mut words = line.split_whitespace();
        let (task, way) = (words.next()?.to_owned(), words.next()?.to_owned());
        let (ms, answer) = (words.next()?.parse().ok()?, words.next()?.parse().ok()?);
        if task == "version" {
            version = Some(way);
        } else {
            took.push(Took {
                task,
                way,
                ms,
                answer,
            });
        }
    }
    Some((took, version?))
}

impl Line {
    fn of<'a>(&self, way: &str, took: &'a [Took]) -> Option<&'a Took> {
        took.iter().find(|t| t.task == self.name && t.way == way)
    }

    /// Prints ours beside the plain ways that ran.
    fn print(&self, ours: &Took, rivals: &[Took]) -> Result<(), String> {
        println!("  {:<54}{:>9.2} ms", self.words, ours.ms);
        for (way, named, aim) in self.rivals {
            let Some(theirs) = self.of(way, rivals) else {
                continue;
            };
            let same = match self.task {
                // The net is in single precision, most of its rivals are in double.
                Task::Project | Task::Tensor => 1e-6,
                // All pairs and cells differ by what gathering in cells costs: a few thousandths of the peak.
                Task::Density => 5e-3,
            };
            let off = (ours.answer - theirs.answer).abs();
            if off.is_nan() || off > same * ours.answer.abs() {
                return Err(format!(
                    "{}: we come to {}, {named} to {}",
                    self.words, ours.answer, theirs.answer
                ));
            }
            super::print_ratio(theirs.ms / ours.ms, *aim, named, theirs.ms);
        }
        Ok(())
    }
}

/// Times natively, then in WebAssembly and in Chromium unless only the first is asked for.
pub(super) fn bench(native_only: bool, dist: Option<&Path>) -> Result<(), String> {
    let native = natively();
    println!("natively, the middle of {ROUNDS} rounds");
    let (numpy, version) = match in_numpy() {
        Ok((took, version)) => (took, version),
        Err(why) => {
            println!("  numpy is left out: {why}");
            (Vec::new(), String::new())
        }
    };
    for line in &LINES {
        if let Some(ours) = line.of("ours", &native) {
            line.print(ours, &numpy)?;
        }
    }
    if !version.is_empty() {
        println!("  (numpy {version})");
    }
    if native_only {
        return Ok(());
    }
    let words = [
        tools::d3_geo()?.display().to_string(),
        MANY.to_string(),
        SPREAD.to_string(),
        NODES.to_string(),
        K.to_string(),
        ROUNDS.to_string(),
        FEW.to_string(),
    ];
    let text = machine::node(IN_NODE, &machine::built()?, &words)?;
    let (took, version) = read(&text).ok_or_else(|| format!("node answered `{}`", text.trim()))?;
    println!("\nin WebAssembly (node {version}), the middle of {ROUNDS} rounds");
    for line in &LINES {
        let ours = line
            .of("ours", &took)
            .ok_or_else(|| format!("node did not say what `{}` took", line.name))?;
        line.print(ours, &took)?;
    }
    println!();
    redraw::bench(dist)
}

fn natively() -> Vec<Took> {
    let mut work = Work::new();
    let mut times: [Vec<f64>; Task::ALL.len()] = Default::default();
    let mut answers = [f64::NAN; Task::ALL.len()];
    for round in 0..ROUNDS + 2 {
        for ((task, times), answer) in Task::ALL.into_iter().zip(&mut times).zip(&mut answers) {
            let started = Instant::now();
            work.round(task);
            // The first rounds fill the caches.
            if round >= 2 {
                times.push(started.elapsed().as_secs_f64() * 1e3);
            }
            *answer = work.answer();
        }
    }
    let taken = Task::ALL.into_iter().zip(times).zip(answers);
    taken
        .filter_map(|((task, mut times), answer)| {
            times.sort_by(f64::total_cmp);
            let line = LINES.iter().find(|line| line.task == task)?;
            Some(Took {
                task: line.name.to_owned(),
                way: "ours".to_owned(),
                ms: times.get(times.len() / 2).copied()?,
                answer,
            })
        })
        .collect()
}

/// The same by array operations; the reason where there is no python3 with numpy.
fn in_numpy() -> Result<(Vec<Took>, String), String> {
    let python = on_path(&["python3"]).ok_or("there is no python3 on PATH")?;
    let numbers = [MANY, SPREAD, NODES].map(|n| n.to_string());
    let output = Command::new(python)
        .args(["-c", IN_PYTHON])
        .args(numbers)
        .args([K.to_string(), ROUNDS.to_string(), FEW.to_string()])
        // Ours runs on one thread.
        .env("OMP_NUM_THREADS", "1")
        .env("OPENBLAS_NUM_THREADS", "1")
        .env("MKL_NUM_THREADS", "1")
        .output()
        .map_err(|e| format!("python3 did not start: {e}"))?;
    let said = String::from_utf8_lossy(&output.stderr);
    if !output.status.success() {
        let last = said.trim().lines().last().unwrap_or("it failed");
        return Err(format!("python3 says `{last}`"));
    }
    read(&String::from_utf8_lossy(&output.stdout))
        .ok_or_else(|| "python3 did not answer as it should".to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_lines_of_a_script_are_read() {
        let (took, version) =
            read("project columns 3.5 0.25\ndensity pairs 2000 41\nversion v20 0 0\n").unwrap();
        assert_eq!(version, "v20");
        assert_eq!(took.len(), 2);
        assert_eq!(LINES[0].of("columns", &took).unwrap().ms, 3.5);
        assert_eq!(LINES[2].of("pairs", &took).unwrap().answer, 41.0);
        assert!(LINES[1].of("columns", &took).is_none());
        assert!(read("project columns 3.5 0.25\n").is_none(), "cut short");
        assert!(read("project columns fast 0.25\nversion v20 0 0\n").is_none());
    }

    /// A task that comes to nothing would be quick for nothing, and ways that differ do not do the same.
    #[test]
    fn ways_that_disagree_are_not_compared() {
        let took = |answer| Took {
            task: "project".to_owned(),
            way: "columns".to_owned(),
            ms: 1.0,
            answer,
        };
        assert!(LINES[0].print(&took(0.5), &[took(0.5)]).is_ok());
        assert!(LINES[0].print(&took(0.5), &[took(0.500_001)]).is_err());
        assert!(LINES[0].print(&took(f64::NAN), &[took(0.5)]).is_err());
    }

    #[test]
    fn the_words_name_the_counts() {
        assert_eq!((MANY, SPREAD, NODES), (1_000_000, 100_000, 61));
    }
}
