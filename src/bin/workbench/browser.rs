//! Finding the Chromium and the chromedriver that the browser tests drive.

use std::{env, path::PathBuf};

use super::{debian, on_path};

const BROWSERS: [&str; 4] = [
    "chromium",
    "chromium-browser",
    "google-chrome-stable",
    "google-chrome",
];

/// A browser and the driver that belongs to it.
pub(super) struct Browser {
    pub(super) chrome: PathBuf,
    pub(super) driver: PathBuf,
}

/// Finds Chromium, installing it where the system's package manager may be used without asking.
///
/// # Errors
///
/// One line that says how to install it.
pub(super) fn ensure() -> Result<Browser, String> {
    let missing = match find()? {
        Ok(found) => return Ok(found),
        Err(missing) => missing,
    };
    eprintln!(
        "{missing}: chromium and chromium-driver are installed where that may be done without asking"
    );
    if debian::install(&["chromium", "chromium-driver"])? {
        return find()?;
    }
    Err(format!("{missing}; {}", way_out()))
}

/// The browser, or what is missing; an error when a variable names what is not there.
fn find() -> Result<Result<Browser, String>, String> {
    let chrome = named("CHROME")?
        .or_else(|| on_path(&BROWSERS))
        .or_else(mac_application);
    let driver = named("CHROMEDRIVER")?.or_else(|| on_path(&["chromedriver"]));
    Ok(match (chrome, driver) {
        (Some(chrome), Some(driver)) => Ok(Browser { chrome, driver }),
        (None, Some(_)) => Err("no Chromium on this machine".to_owned()),
        (_, None) => Err("no chromedriver on this machine".to_owned()),
    })
}

/// A program that the person named by a variable; naming one that is not there is an error, not a reason to look on.
fn named(variable: &str) -> Result<Option<PathBuf>, String> {
    match env::var_os(variable)
        .filter(|value| !value.is_empty())
        .map(PathBuf::from)
    {
        Some(path) if path.is_file() => Ok(Some(path)),
        Some(path) => Err(format!(
            "{variable} names `{}`, which is no file",
            path.display()
        )),
        None => Ok(None),
    }
}

fn mac_application() -> Option<PathBuf> {
    ["Chromium", "Google Chrome"]
        .iter()
        .map(|name| PathBuf::from(format!("/Applications/{name}.app/Contents/MacOS/{name}")))
        .find(|path| path.is_file())
}

fn way_out() -> &'static str {
    if cfg!(target_os = "macos") {
        "install them with `brew install --cask chromium && brew install chromedriver`, or set CHROME and CHROMEDRIVER"
    } else {
        "install them (Debian: `sudo apt-get install chromium chromium-driver`), or set CHROME and CHROMEDRIVER"
    }
}
