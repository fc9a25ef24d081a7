//! Installing the build tools, with a cargo and an npm that only pretend.
#![cfg(all(unix, not(target_arch = "wasm32")))]
#![allow(
    clippy::unwrap_used,
    reason = "the whole file is tests and what they share"
)]

use std::{
    env, fs,
    os::unix::fs::PermissionsExt,
    path::{Path, PathBuf},
    process::{Command, Output},
};

/// Writes down how it was called, then makes the program of the tool in the folder it was given.
/// With PRETEND=break it makes half a tool and fails; with PRETEND=kill it ends the workbench in the middle, unasked.
const PRETENDER: &str = r#"#!/bin/sh
echo "$(basename "$0") $*" >> "$PRETEND_LOG"
while [ $# -gt 0 ]; do
  case $1 in
    --root|--prefix) into=$2 ;;
    trunk) program=bin/trunk ;;
    wasm-bindgen-cli) program=bin/wasm-bindgen ;;
    binaryen@*) program=node_modules/.bin/wasm-opt ;;
    axe-core@*) program=node_modules/axe-core/axe.min.js ;;
  esac
  shift
done
mkdir -p "$into/half"
case $PRETEND in
  break) exit 1 ;;
  kill) kill -9 "$PPID"; exit 0 ;;
esac
mkdir -p "$into/$(dirname "$program")"
touch "$into/$program"
"#;

struct Trial {
    dir: PathBuf,
}

impl Trial {
    fn new(name: &str) -> Self {
        let dir = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
        let _ = fs::remove_dir_all(&dir);
        fs::create_dir_all(dir.join("pretend")).unwrap();
        for program in ["cargo", "npm"] {
            let path = dir.join("pretend").join(program);
            fs::write(&path, PRETENDER).unwrap();
            fs::set_permissions(&path, fs::Permissions::from_mode(0o755)).unwrap();
        }
        Self { dir }
    }

    fn install(&self, pretend: &str) -> Output {
        let path = env::var_os("PATH").unwrap();
        let path = [self.dir.join("pretend")]
            .into_iter()
            .chain(env::split_paths(&path));
        Command::new(env!("CARGO_BIN_EXE_workbench"))
            .arg("tools")
            .env("PATH", env::join_paths(path).unwrap())
            .env("HINGELINE_TOOLS", self.dir.join("tools"))
            .env("PRETEND", pretend)
            .env("PRETEND_LOG", self.dir.join("log"))
            .output()
            .unwrap()
    }

    /// The tools that count as installed: hidden folders are unfinished ones.
    fn installed(&self) -> Vec<String> {
        let mut names: Vec<String> = fs::read_dir(self.dir.join("tools"))
            .unwrap()
            .map(|item| item.unwrap().file_name().into_string().unwrap())
            .filter(|name| !name.starts_with('.'))
            .collect();
        names.sort();
        names
    }

    fn calls(&self) -> Vec<String> {
        fs::read_to_string(self.dir.join("log"))
            .unwrap_or_default()
            .lines()
            .map(str::to_owned)
            .collect()
    }
}

#[test]
fn each_tool_gets_a_folder_named_by_its_version_once() {
    let trial = Trial::new("tools-once");
    let first = trial.install("");
    assert!(
        first.status.success(),
        "{}",
        String::from_utf8_lossy(&first.stderr)
    );
    let all = [
        "axe-core-4.14.1",
        "binaryen-132.0.0",
        "trunk-0.21.14",
        "wasm-bindgen-cli-0.2.129",
    ];
    assert_eq!(trial.installed(), all);
    let calls = trial.calls();
    assert_eq!(calls.len(), 4, "{calls:?}");
    assert!(calls[0].starts_with(
        "cargo install trunk --version 0.21.14 --locked --no-default-features --root "
    ));
    let said = String::from_utf8_lossy(&first.stderr).into_owned();
    assert!(
        said.contains("the first time only; about 5 minutes"),
        "{said}"
    );

    let second = trial.install("");
    assert!(second.status.success());
    assert_eq!(trial.calls().len(), 4, "nothing is installed twice");
    assert!(String::from_utf8_lossy(&second.stdout).contains("trunk-0.21.14/bin"));
}

#[test]
fn an_installation_that_failed_or_was_interrupted_never_counts() {
    let trial = Trial::new("tools-interrupted");
    let broken = trial.install("break");
    assert_eq!(broken.status.code(), Some(1));
    let words = String::from_utf8_lossy(&broken.stderr).into_owned();
    assert!(
        words.contains("`cargo install trunk --version 0.21.14"),
        "{words}"
    );
    assert!(trial.installed().is_empty());

    let killed = trial.install("kill");
    assert_eq!(killed.status.code(), None, "ended by a signal");
    assert!(trial.installed().is_empty());

    assert!(trial.install("").status.success());
    assert_eq!(trial.installed().len(), 4);
}

#[test]
fn a_folder_left_without_its_program_is_made_anew() {
    let trial = Trial::new("tools-hollow");
    fs::create_dir_all(trial.dir.join("tools/trunk-0.21.14/bin")).unwrap();
    assert!(trial.install("").status.success());
    assert!(trial.dir.join("tools/trunk-0.21.14/bin/trunk").is_file());
}
