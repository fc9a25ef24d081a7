//! Running the command, in a folder of a test's own.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use serde_json::Value;

/// What a run wrote, and how it ended.
pub(crate) struct Run {
    pub(crate) out: String,
    pub(crate) err: String,
    pub(crate) code: i32,
}

impl Run {
    /// The objects it wrote, one a line.
    #[track_caller]
    pub(crate) fn json(&self) -> Vec<Value> {
        let lines = self.out.lines();
        lines
            .map(|line| serde_json::from_str(line).unwrap_or_else(|e| panic!("{e}: {line}")))
            .collect()
    }

    pub(crate) fn of(output: Output) -> Self {
        Self {
            out: String::from_utf8(output.stdout).expect("text"),
            err: String::from_utf8(output.stderr).expect("text"),
            code: output.status.code().expect("it ended by itself"),
        }
    }
}

/// The command, before it is run.
pub(crate) fn camp() -> Command {
    Command::new(env!("CARGO_BIN_EXE_camp"))
}

/// Runs it in the package's folder.
#[track_caller]
pub(crate) fn run(command: &str, args: &[&str]) -> Run {
    run_in(Path::new(env!("CARGO_MANIFEST_DIR")), command, args)
}

/// Runs it in a folder.
#[track_caller]
pub(crate) fn run_in(folder: &Path, command: &str, args: &[&str]) -> Run {
    let output = camp().arg(command).args(args).current_dir(folder).output();
    Run::of(output.expect("the command starts"))
}

/// A folder of one test, empty at its beginning.
pub(crate) fn folder(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("camp-{name}"));
    let _ = fs::remove_dir_all(&folder);
    fs::create_dir_all(&folder).expect("a folder");
    folder
}

/// A file of one test.
pub(crate) fn file(name: &str, content: impl AsRef<[u8]>) -> PathBuf {
    let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    fs::write(&path, content).expect("written");
    path
}
