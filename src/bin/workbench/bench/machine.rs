//! This program built for the browser's machine, and node to run it in.

use std::path::{Path, PathBuf};
use std::process::Command;

use crate::workbench::{not_started, root, run};

/// What every script begins with: `machine`, the WebAssembly that is given first, by the names its functions have in the source.
/// wasm-bindgen writes a hash behind each, which its own glue knows; we call them without that glue.
const PRELUDE: &str = "
const fs = require('fs');
const nothing = () => 0;
const imports = new Proxy({}, { get: () => new Proxy({}, { get: () => nothing }) });
const machine = Object.fromEntries(
  Object.entries(new WebAssembly.Instance(new WebAssembly.Module(fs.readFileSync(process.argv[1])), imports).exports)
    .map(([name, what]) => [name.replace(/_[0-9a-f]{16}$/, ''), what]));
";

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
    node.args(["-e", &format!("{PRELUDE}{script}")])
        .arg(file)
        .args(words);
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
