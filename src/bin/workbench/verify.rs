//! `cargo verify`: every check there is, each named with its time, and one closing count.

use std::{
    env,
    io::{BufRead, BufReader},
    path::{Path, PathBuf},
    process::{Command, ExitCode, Stdio},
    time::Instant,
};

use super::{
    browser::{self, Browser},
    build, not_started, readers, root, run, shown,
    tally::Tally,
    tools,
};

/// Browser tests with this in their name measure and prove nothing; `workbench weigh` runs them.
pub(super) const MEASURING: &str = "weigh";

/// What a step came to.
enum Outcome {
    Done,
    Skipped(String),
}

/// What has been done so far, for the summary.
struct Run {
    tally: Tally,
    /// One line a step: its name, its outcome, its time.
    lines: Vec<String>,
    skipped: Vec<String>,
    /// Whether a part that would be skipped is a failure instead.
    strict: bool,
}

/// Runs all checks up to the first that fails, and prints the summary in any case.
pub(super) fn verify() -> ExitCode {
    let mut run = Run {
        tally: Tally::default(),
        lines: Vec::new(),
        skipped: Vec::new(),
        strict: in_ci(),
    };
    let result = steps(&mut run);
    run.report(result)
}

/// Whether this is continuous integration, where nothing may be skipped.
fn in_ci() -> bool {
    env::var("CI").is_ok_and(|value| !value.is_empty() && value != "false" && value != "0")
}

fn steps(run: &mut Run) -> Result<(), String> {
    let root = root()?;
    let dist = root.join("target").join("verified");
    let mut found = None;

    run.step("tools", |_| {
        tools::for_build()?;
        for part in ["rustfmt", "clippy"] {
            add_component(&root, part)?;
        }
        // Looked for before the long steps, so that a missing browser is known at once.
        found = Some(browser::ensure().and_then(|browser| Ok((browser, tools::axe()?))));
        match &found {
            Some(Err(why)) => Ok(Outcome::Skipped(format!("browser tests: {why}"))),
            _ => Ok(Outcome::Done),
        }
    })?;
    let mut readers = false;
    run.step("readers", |_| match readers::ensure() {
        Ok(()) => {
            readers = true;
            Ok(Outcome::Done)
        }
        Err(why) => Ok(Outcome::Skipped(format!(
            "tests with general readers: {why}"
        ))),
    })?;
    run.step("formatting", |_| cargo(&root, &["fmt", "--check"]))?;
    run.step("lints, native", |_| {
        cargo(
            &root,
            &[
                "clippy",
                "--locked",
                "--all-targets",
                "--",
                "-D",
                "warnings",
            ],
        )?;
        cargo(
            &root,
            &[
                "clippy", "--locked", "--test", "browser", "--test", "readers", "--", "-D",
                "warnings",
            ],
        )
    })?;
    run.step("lints, wasm", |_| {
        let target = ["--target", "wasm32-unknown-unknown", "--lib", "--bins"];
        cargo(
            &root,
            &[
                &["clippy", "--locked"],
                &target[..],
                &["--", "-D", "warnings"],
            ]
            .concat(),
        )
    })?;
    run.step("native tests", |tally| {
        let mut tests = Command::new("cargo");
        tests
            .args(["test", "--locked", "--no-fail-fast"])
            .current_dir(&root);
        counted(&mut tests, tally)
    })?;
    if readers {
        run.step("general readers", |tally| {
            let mut tests = Command::new("cargo");
            tests
                .args(["test", "--locked", "--test", "readers"])
                .current_dir(&root);
            let before = tally.passed;
            let done = counted(&mut tests, tally)?;
            if tally.passed == before {
                return Err("not one test with a general reader was there to run".to_owned());
            }
            Ok(done)
        })?;
    }
    run.step("release build", |_| {
        build::build(&dist, false).map(|()| Outcome::Done)
    })?;
    if let Some(Ok((browser, axe))) = found {
        run.step("browser tests", |tally| {
            let mut tests = browser_tests(&root, &dist, &browser, &axe);
            tests.args(["--", "--skip", MEASURING]);
            let before = tally.passed;
            let done = counted(&mut tests, tally)?;
            if tally.passed == before {
                return Err("not one browser test was there to run".to_owned());
            }
            Ok(done)
        })?;
    }
    Ok(())
}

/// The measuring tests of the browser with these words in their names, their findings printed as they come.
pub(super) fn measure(dist: &Path, named: &str, told: &[(&str, PathBuf)]) -> Result<(), String> {
    let browser = browser::ensure()?;
    let mut tests = browser_tests(&root()?, dist, &browser, &tools::axe()?);
    tests.envs(told.iter().map(|(name, path)| (name, path)));
    run(tests.args(["--", "--ignored", "--nocapture", "--test-threads=1", named]))
}

/// The browser tests against a build, told where everything is.
fn browser_tests(root: &Path, dist: &Path, browser: &Browser, axe: &Path) -> Command {
    let mut tests = Command::new("cargo");
    tests
        .args(["test", "--locked", "--test", "browser"])
        .current_dir(root)
        .env("HINGELINE_DIST", dist)
        .env("HINGELINE_AXE", axe)
        .env("CHROME", &browser.chrome)
        .env("CHROMEDRIVER", &browser.driver);
    tests
}

impl Run {
    /// Does one step, names it before and after, and keeps its line for the summary.
    fn step(
        &mut self,
        name: &str,
        work: impl FnOnce(&mut Tally) -> Result<Outcome, String>,
    ) -> Result<(), String> {
        eprintln!("\n== {name}");
        let start = Instant::now();
        let failed_before = self.tally.failed;
        let mut result = work(&mut self.tally);
        if let (Ok(Outcome::Skipped(why)), true) = (&result, self.strict) {
            result = Err(format!("{why}; CI is set, so nothing may be skipped"));
        }
        let word = match &result {
            Ok(Outcome::Done) => "ok",
            Ok(Outcome::Skipped(_)) => "ok, in part",
            Err(_) => "FAILED",
        };
        let line = format!("{name:<16}{:>7.1} s  {word}", start.elapsed().as_secs_f64());
        eprintln!("== {line}");
        self.lines.push(line);
        match result {
            Ok(Outcome::Done) => Ok(()),
            Ok(Outcome::Skipped(why)) => {
                self.skipped.push(why);
                self.tally.skipped += 1;
                Ok(())
            }
            Err(why) => {
                // A step that fails without naming a test still is one failure.
                if self.tally.failed == failed_before {
                    self.tally.failed += 1;
                }
                Err(format!("{name}: {why}"))
            }
        }
    }

    /// Prints the summary; the count of tests is its last line.
    fn report(&mut self, mut result: Result<(), String>) -> ExitCode {
        if result.is_ok() && self.strict && self.tally.skipped > 0 {
            result = Err(format!(
                "{} tests are marked to be ignored; CI is set, so nothing may be skipped",
                self.tally.skipped
            ));
            self.tally.failed += 1;
        }
        println!("\nverified:");
        for line in &self.lines {
            println!("  {line}");
        }
        for why in &self.skipped {
            println!("skipped: {why}");
        }
        if let Err(error) = &result {
            println!("failed: {error}");
        }
        println!("{}", self.tally.line());
        if result.is_ok() {
            ExitCode::SUCCESS
        } else {
            ExitCode::FAILURE
        }
    }
}

fn cargo(root: &Path, args: &[&str]) -> Result<Outcome, String> {
    run(Command::new("cargo").args(args).current_dir(root)).map(|()| Outcome::Done)
}

/// Runs tests with their output on the screen, counting what it says.
fn counted(command: &mut Command, tally: &mut Tally) -> Result<Outcome, String> {
    eprintln!("  $ {}", shown(command));
    let mut child = command
        .stdout(Stdio::piped())
        .spawn()
        .map_err(|e| not_started(command, &e))?;
    let output = child
        .stdout
        .take()
        .ok_or("the output of the tests was not piped")?;
    for line in BufReader::new(output).split(b'\n') {
        let line = line.map_err(|e| format!("the output of the tests broke off: {e}"))?;
        let line = String::from_utf8_lossy(&line);
        println!("{line}");
        tally.add_line(&line);
    }
    let status = child
        .wait()
        .map_err(|e| format!("`{}` was lost: {e}", shown(command)))?;
    if status.success() {
        Ok(Outcome::Done)
    } else {
        Err(format!("`{}` failed ({status})", shown(command)))
    }
}

/// Adds a part of the toolchain where it is missing.
fn add_component(root: &Path, part: &str) -> Result<(), String> {
    let program = if part == "clippy" {
        "clippy-driver"
    } else {
        part
    };
    let there = Command::new(program)
        .arg("--version")
        .current_dir(root)
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .status()
        .is_ok_and(|status| status.success());
    if there {
        return Ok(());
    }
    run(Command::new("rustup")
        .args(["component", "add", part])
        .current_dir(root))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn run(strict: bool) -> Run {
        Run {
            tally: Tally::default(),
            lines: Vec::new(),
            skipped: Vec::new(),
            strict,
        }
    }

    #[test]
    fn a_part_left_out_is_named_and_counted() {
        let mut run = run(false);
        assert_eq!(
            run.step("tools", |_| Ok(Outcome::Skipped("no browser".to_owned()))),
            Ok(())
        );
        assert_eq!(run.skipped, ["no browser"]);
        assert_eq!(run.tally.line(), "0 passed, 0 failed, 1 skipped");
    }

    #[test]
    fn nothing_may_be_left_out_in_ci() {
        let mut run = run(true);
        let why = run
            .step("tools", |_| Ok(Outcome::Skipped("no browser".to_owned())))
            .unwrap_err();
        assert!(
            why.contains("no browser") && why.contains("CI is set"),
            "{why}"
        );
        assert_eq!(run.tally.line(), "0 passed, 1 failed");
    }

    #[test]
    fn ignored_tests_are_a_failure_in_ci_and_a_word_elsewhere() {
        let line = "test result: ok. 3 passed; 0 failed; 2 ignored; 0 measured; 0 filtered out";
        for (strict, closing) in [
            (false, "3 passed, 0 failed, 2 skipped"),
            (true, "3 passed, 1 failed, 2 skipped"),
        ] {
            let mut run = run(strict);
            let step = run.step("native tests", |tally| {
                tally.add_line(line);
                Ok(Outcome::Done)
            });
            assert_eq!(step, Ok(()));
            let _ = run.report(Ok(()));
            assert_eq!(run.tally.line(), closing);
        }
    }

    #[test]
    fn a_step_that_fails_without_naming_a_test_is_one_failure() {
        let mut run = run(false);
        assert!(
            run.step("lints", |_| Err("clippy failed".to_owned()))
                .is_err()
        );
        assert_eq!(run.tally.line(), "0 passed, 1 failed");
    }

    #[test]
    fn a_step_whose_tests_failed_counts_those_tests() {
        let mut run = run(false);
        let step = run.step("native tests", |tally| {
            tally.add_line(
                "test result: FAILED. 3 passed; 2 failed; 0 ignored; 0 measured; 0 filtered out",
            );
            Err("`cargo test` failed".to_owned())
        });
        assert!(step.is_err());
        assert_eq!(run.tally.line(), "3 passed, 2 failed");
    }
}
