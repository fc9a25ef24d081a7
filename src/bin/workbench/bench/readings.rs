//! What the adjustment, the diagnosis and a declination cost, each beside the plain way to the same.

use std::time::Instant;

use super::machine;
use crate::workbench::trial::work::{SET_UPS, Task, Work};

/// What a diagnosis may cost natively, microseconds.
const AIM_US: f64 = 1000.0;

/// Each task is timed in so many rounds, in turn with the others, so that what disturbs the machine disturbs all alike.
const ROUNDS: usize = 101;

/// A script of a few lines calls the tasks in turn and reads the clock.
const SCRIPT: &str = "
const [, tasks, rounds] = process.argv.slice(1);
const times = Array.from({ length: Number(tasks) }, () => []);
// The first rounds compile; they are left out.
const warming = 20;
for (let round = 0; round < Number(rounds) + warming; round++) {
  for (const [task, of] of times.entries()) {
    const started = process.hrtime.bigint();
    machine.readings(task);
    const took = Number(process.hrtime.bigint() - started);
    if (round >= warming) of.push(took);
  }
}
const middle = (of) => of.sort((a, b) => a - b)[of.length >> 1];
console.log(times.map(middle).join(' '), process.version);
";

/// A task in words, and its baseline.
type Line = (Task, &'static str, Option<(Task, &'static str)>);

const LINES: [Line; 5] = [
    (
        Task::Adjust,
        "five dials adjusted",
        Some((Task::PlainAdjust, "dense SVD and numeric slopes")),
    ),
    (
        Task::DiagnoseClean,
        "adjusted and diagnosed, dials that agree",
        Some((Task::PlainDiagnose, "26 hypotheses one by one, so fitted")),
    ),
    (
        Task::DiagnoseSlipped,
        "adjusted and diagnosed, a rake from the other end",
        Some((Task::PlainDiagnose, "26 hypotheses one by one, so fitted")),
    ),
    (
        Task::Key,
        "a key: five dials as typed, to the doubt in words",
        None,
    ),
    (
        Task::Declination,
        "a declination, with field and change in a year",
        Some((Task::PlainDeclination, "by recursion, as in a textbook")),
    ),
];

/// Medians in nanoseconds for one set-up, in the order of the tasks.
struct Medians([f64; Task::ALL.len()]);

impl Medians {
    fn of(&self, task: Task) -> f64 {
        let place = Task::ALL.iter().position(|other| *other == task);
        place
            .and_then(|place| self.0.get(place))
            .copied()
            .unwrap_or(f64::NAN)
    }

    fn print(&self, where_: &str) {
        println!("{where_}");
        for (task, words, baseline) in LINES {
            let ours = self.of(task);
            print!("  {words:<52}{:>10} us", micro(ours));
            if let Some((baseline, named)) = baseline {
                let theirs = self.of(baseline);
                print!(
                    "   {:>6.1} times as fast as {named}, {} us",
                    theirs / ours,
                    micro(theirs)
                );
            }
            println!();
        }
    }
}

fn micro(nanoseconds: f64) -> String {
    format!("{:.2}", nanoseconds / 1000.0)
}

/// Times natively, then in WebAssembly unless only the first is asked for.
pub(super) fn bench(native_only: bool) -> Result<(), String> {
    let native = natively();
    native.print(&format!(
        "natively, the middle of {ROUNDS} rounds over {SET_UPS} attitudes"
    ));
    let slower = native
        .of(Task::DiagnoseClean)
        .max(native.of(Task::DiagnoseSlipped));
    let word = if slower <= 1000.0 * AIM_US {
        "within"
    } else {
        "OVER"
    };
    println!(
        "  one adjustment with full diagnosis {} us of {AIM_US} us: {word} the aim",
        micro(slower)
    );
    if !native_only {
        println!();
        in_wasm()?;
    }
    Ok(())
}

fn natively() -> Medians {
    let work = Work::new();
    let mut times: [Vec<f64>; Task::ALL.len()] = Default::default();
    for round in 0..ROUNDS + 3 {
        for (task, times) in Task::ALL.into_iter().zip(&mut times) {
            let started = Instant::now();
            work.round(task);
            // The first rounds fill the caches.
            if round >= 3 {
                times.push(started.elapsed().as_secs_f64() * 1e9 / SET_UPS as f64);
            }
        }
    }
    Medians(times.map(|mut times| {
        times.sort_by(f64::total_cmp);
        times.get(times.len() / 2).copied().unwrap_or(f64::NAN)
    }))
}

/// Lets node run the tasks.
fn in_wasm() -> Result<(), String> {
    let words = [Task::ALL.len().to_string(), ROUNDS.to_string()];
    let text = machine::node(SCRIPT, &machine::built()?, &words)?;
    let (medians, version) =
        read(&text).ok_or_else(|| format!("node answered `{}`", text.trim()))?;
    medians.print(&format!(
        "in WebAssembly (node {version}), the middle of {ROUNDS} rounds over {SET_UPS} attitudes"
    ));
    Ok(())
}

/// The medians and the version that the script printed.
fn read(text: &str) -> Option<(Medians, &str)> {
    let mut words = text.split_whitespace();
    let mut medians = [0.0; Task::ALL.len()];
    for median in &mut medians {
        *median = words.next()?.parse::<f64>().ok()? / SET_UPS as f64;
    }
    Some((Medians(medians), words.next()?))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A task that comes to nothing would be quick for nothing.
    #[test]
    fn every_task_has_its_numbers() {
        let work = Work::new();
        Task::ALL.into_iter().for_each(|task| work.round(task));
        let (medians, version) = read("32 64 0 0 0 0 0 0 v20.1.0\n").unwrap();
        assert_eq!(medians.of(Task::Adjust), 1.0);
        assert_eq!(medians.of(Task::PlainAdjust), 2.0);
        assert_eq!(version, "v20.1.0");
        assert!(read("32 64").is_none());
    }
}
