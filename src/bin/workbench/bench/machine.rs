//! This program built for the browser's machine, and node to run it in.

use std::path::{Path, PathBuf};
use std::process::Command;

use crate::workbench::{not_started, root, run};

/// Builds this program for WebAssembly, as the app is built; gives the file.
pub(super) fn built() -> Result<PathBuf, String> {
    let root = root()?;
    let target = root.join("target");
    run(Command::new("cargo")
        .args([
            "build",
            "--quiet",
            "--locked",
            "--release",
            "--bin",
            "workbench",
        ])
        .args(["--target", "wasm32-unknown-unknown", "--target-dir"])
        .arg(&target)
        .current_dir(&root))?;
    Ok(target.join("wasm32-unknown-unknown/release/workbench.wasm"))
}

/// What a script says when node runs it with a file and further words.
pub(super) fn node(script: &str, file: &Path, words: &[String]) -> Result<String, String> {
    let mut node = Command::new("node");
    node.args(["-e", script]).arg(file).args(words);
    let output = node.output().map_err(|e| not_started(&node, &e))?;
    if output.status.success() {
        Ok(String::from_utf8_lossy(&output.stdout).into_owned())
    } else {
        Err(format!(
            "the WebAssembly did not run: {}",
            String::from_utf8_lossy(&output.stderr).trim()
        ))
    }
}
