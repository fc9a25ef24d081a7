//! `workbench fuzz`: inputs made at random, guided by the code they reach, thrown at what is read from outside.
//!
//! The fuzzer is a package of its own, `tests/fuzz`, built with counters at every branch; the compiler in use can do that.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, ExitStatus};
use std::thread::sleep;
use std::time::{Duration, Instant};

use clap::ValueEnum;

use super::{not_started, root, run, shown};

#[derive(clap::Args)]
pub(super) struct FuzzArgs {
    /// What is read
    #[arg(value_enum)]
    target: Target,
    /// How long, in minutes of the processor
    #[arg(long, default_value_t = 30.0)]
    minutes: f64,
    /// Put the smallest set of inputs that reaches what was reached so far into tests/data/fuzz, and stop
    #[arg(long, conflicts_with = "minutes")]
    keep: bool,
}

/// A reader of what comes from outside.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum Target {
    /// Written planes and lines
    Notation,
    /// The book file, read whole and by the entry
    Book,
    /// Tables of dials
    Table,
    /// Tables from elsewhere, brought in
    Import,
    /// A book with its photos in a ZIP archive
    Archive,
}

impl Target {
    fn name(self) -> String {
        self.to_possible_value()
            .map(|value| value.get_name().to_owned())
            .unwrap_or_default()
    }

    /// The longest input, bytes: as long as it takes to hold every part of it a few times.
    fn longest(self) -> usize {
        match self {
            Self::Notation => 240,
            Self::Table | Self::Import => 4096,
            Self::Book | Self::Archive => 16_384,
        }
    }
}

/// What the fuzzer counts: every branch, and what is compared with what.
const COUNTERS: &str = "-Cpasses=sancov-module -Cllvm-args=-sanitizer-coverage-level=4 \
     -Cllvm-args=-sanitizer-coverage-inline-8bit-counters -Cllvm-args=-sanitizer-coverage-pc-table \
     -Cllvm-args=-sanitizer-coverage-trace-compares";

/// A single input that takes longer has found something, seconds.
const SLOWEST_S: u32 = 60;

/// How libFuzzer ends when it is asked to stop: `InterruptExitCode` in its options.
const STOPPED: i32 = 72;

/// More memory than this is a finding, MB.
const MOST_MEMORY_MB: u32 = 2048;

/// An input longer than this is left out of what is kept, bytes.
const LARGEST_KEPT: u64 = 2048;

pub(super) fn fuzz(args: &FuzzArgs) -> Result<(), String> {
    let root = root()?;
    let name = args.target.name();
    let program = build(&root)?;
    let kept = root.join("tests/data/fuzz").join(&name);
    let grown = root.join("target/fuzz/corpus").join(&name);
    for folder in [&kept, &grown] {
        fs::create_dir_all(folder)
            .map_err(|error| format!("cannot make {}: {error}", folder.display()))?;
    }
    let mut fuzzer = Command::new(program);
    fuzzer
        .current_dir(&root)
        .env("HINGELINE_FUZZ", &name)
        .arg(format!("-timeout={SLOWEST_S}"))
        .arg(format!("-rss_limit_mb={MOST_MEMORY_MB}"))
        .arg(format!("-max_len={}", args.target.longest()));
    if args.keep {
        return keep(fuzzer, &kept, &grown);
    }
    fuzzer
        .arg(format!("-artifact_prefix={}/found-", kept.display()))
        .arg("-print_final_stats=1")
        .arg("-use_value_profile=1")
        .args([&grown, &kept]);
    let (status, took) = for_minutes(&mut fuzzer, args.minutes)?;
    println!(
        "{name}: {:.1} minutes of the processor, inputs that reach something in {}",
        took.as_secs_f64() / 60.0,
        grown.display()
    );
    if status.success() || status.code() == Some(STOPPED) {
        println!("nothing was found; keep what it reached with `workbench fuzz {name} --keep`");
        return Ok(());
    }
    Err(format!(
        "something was found ({status}); the input is in {}, what it breaks stands above; `cargo test --test fuzz {name}` shows it again",
        kept.display()
    ))
}

/// Builds the fuzzer; the counters go into it and all it is made of, but not into what builds it.
fn build(root: &Path) -> Result<PathBuf, String> {
    let host = host(root)?;
    let target_dir = root.join("target/fuzz");
    let flags = std::env::var("RUSTFLAGS").unwrap_or_default();
    run(Command::new("cargo")
        .args(["build", "--quiet", "--release", "--target", &host])
        .arg("--manifest-path")
        .arg(root.join("tests/fuzz/Cargo.toml"))
        .arg("--target-dir")
        .arg(&target_dir)
        .current_dir(root)
        .env("RUSTFLAGS", format!("{flags} {COUNTERS}")))?;
    Ok(target_dir.join(host).join("release/fuzz"))
}

/// The machine that this one is, as the compiler calls it.
fn host(root: &Path) -> Result<String, String> {
    let mut asked = Command::new("rustc");
    asked.arg("-vV").current_dir(root);
    let answer = asked
        .output()
        .map_err(|error| not_started(&asked, &error))?;
    String::from_utf8_lossy(&answer.stdout)
        .lines()
        .find_map(|line| line.strip_prefix("host: ").map(str::to_owned))
        .ok_or_else(|| format!("`{}` does not name this machine", shown(&asked)))
}

/// Runs until so many minutes of the processor are used up, or something is found.
fn for_minutes(fuzzer: &mut Command, minutes: f64) -> Result<(ExitStatus, Duration), String> {
    let most = Duration::try_from_secs_f64(60.0 * minutes)
        .map_err(|_| format!("`{minutes}` is no number of minutes; give one over 0, as 30"))?;
    eprintln!("  $ {}", shown(fuzzer));
    let mut child = fuzzer
        .spawn()
        .map_err(|error| not_started(fuzzer, &error))?;
    let begun = Instant::now();
    let mut took = Duration::ZERO;
    let mut told = false;
    loop {
        if let Some(status) = child.try_wait().map_err(|error| error.to_string())? {
            return Ok((status, took));
        }
        // Where the system does not tell, the clock on the wall has to do.
        took = of_processor(child.id()).unwrap_or_else(|| begun.elapsed());
        if took >= most && !told {
            told = true;
            interrupt(&mut child)?;
        }
        sleep(Duration::from_millis(500));
    }
}

/// What a process used of the processor so far: fields 14 and 15 of proc_pid_stat(5), hundredths of a second.
fn of_processor(process: u32) -> Option<Duration> {
    let stat = fs::read_to_string(format!("/proc/{process}/stat")).ok()?;
    let (_, after_name) = stat.rsplit_once(')')?;
    let mut fields = after_name.split_whitespace().skip(11);
    let ticks: u64 = fields.next()?.parse::<u64>().ok()? + fields.next()?.parse::<u64>().ok()?;
    Some(Duration::from_millis(10 * ticks))
}

/// Asks it to stop and to say how far it came.
fn interrupt(child: &mut Child) -> Result<(), String> {
    let asked = Command::new("kill")
        .args(["-INT", &child.id().to_string()])
        .status();
    match asked {
        Ok(status) if status.success() => Ok(()),
        _ => child
            .kill()
            .map_err(|error| format!("the fuzzer cannot be stopped: {error}")),
    }
}

/// Adds to the kept inputs the fewest others that reach what the grown corpus reaches.
fn keep(mut fuzzer: Command, kept: &Path, grown: &Path) -> Result<(), String> {
    let scratch = grown.with_extension("small");
    let said = |error: std::io::Error| format!("cannot keep the corpus: {error}");
    let _ = fs::remove_dir_all(&scratch);
    fs::create_dir_all(&scratch).map_err(said)?;
    let mut number = 0;
    for file in fs::read_dir(kept)
        .map_err(said)?
        .chain(fs::read_dir(grown).map_err(said)?)
    {
        let path = file.map_err(said)?.path();
        if fs::metadata(&path).map_err(said)?.len() <= LARGEST_KEPT {
            number += 1;
            fs::copy(&path, scratch.join(number.to_string())).map_err(said)?;
        }
    }
    let merged = run(fuzzer.arg("-merge=1").args([kept, &scratch]));
    let _ = fs::remove_dir_all(&scratch);
    merged
}
