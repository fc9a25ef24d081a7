//! Building the app with trunk, and serving what was built.

use std::{
    path::Path,
    process::{Command, Stdio},
    time::Instant,
};

use super::{host, on_path, path_with, root, run, tools};

/// Builds the app into a folder.
pub(super) fn build(dist: &Path, debug: bool) -> Result<(), String> {
    let first = tools::for_build()?;
    let root = root()?;
    let start = Instant::now();
    let kind = if debug { "debug" } else { "release" };
    eprintln!("building the app ({kind}): about 3 minutes the first time, then seconds");
    run(Command::new("cargo")
        .args(["fetch", "--locked", "--quiet"])
        .current_dir(&root))?;
    let dist =
        std::path::absolute(dist).map_err(|e| format!("`{}` is no folder: {e}", dist.display()))?;
    let mut trunk = Command::new("trunk");
    trunk
        .arg("build")
        .arg("--dist")
        .arg(&dist)
        .current_dir(&root)
        .env("PATH", path_with(&first)?);
    if !debug {
        trunk.arg("--release");
    }
    if std::env::var_os("NO_COLOR").is_some() {
        // trunk reads this variable as a word and stops at a number.
        trunk.env("NO_COLOR", "true");
    }
    run(&mut trunk)?;
    eprintln!(
        "built into {} in {:.0} s",
        dist.display(),
        start.elapsed().as_secs_f64()
    );
    Ok(())
}

/// Builds the release app, serves it until interrupted, and opens a browser window if there is a screen for one.
pub(super) fn serve(port: u16, open: bool) -> Result<(), String> {
    // Before the long part: a port in use is known at once.
    let server = host::listen(port)?;
    let dist = root()?.join("dist");
    build(&dist, false)?;
    eprintln!("serving on this machine; Ctrl+C stops it");
    host::serve(server, &dist, |address| {
        if open {
            show(address);
        }
    })
}

/// Opens the address in the person's browser; where that is not possible the printed address is enough.
fn show(address: &str) {
    let screen = ["DISPLAY", "WAYLAND_DISPLAY"]
        .iter()
        .any(|name| std::env::var_os(name).is_some());
    let opener = if cfg!(target_os = "macos") {
        on_path(&["open"])
    } else if screen {
        on_path(&["xdg-open"])
    } else {
        None
    };
    if let Some(opener) = opener {
        let quiet = Command::new(opener)
            .arg(address)
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn();
        if let Err(error) = quiet {
            eprintln!("no browser window was opened: {error}");
        }
    }
}
