//! Installing programs where the system's package manager may be used without asking: as root on Debian.

use std::process::Command;

use super::{on_path, run};

/// Installs packages; false where that may not be done without asking.
///
/// # Errors
///
/// One line that says what the package manager could not do.
pub(super) fn install(packages: &[&str]) -> Result<bool, String> {
    if !(cfg!(target_os = "linux") && is_root() && on_path(&["apt-get"]).is_some()) {
        return Ok(false);
    }
    let apt = || {
        let mut apt = Command::new("apt-get");
        apt.env("DEBIAN_FRONTEND", "noninteractive");
        apt
    };
    run(apt().args(["update", "-qq"]))?;
    run(apt()
        .args(["install", "-y", "-qq", "--no-install-recommends"])
        .args(packages))?;
    Ok(true)
}

fn is_root() -> bool {
    Command::new("id")
        .arg("-u")
        .output()
        .is_ok_and(|out| out.stdout.trim_ascii() == b"0")
}
