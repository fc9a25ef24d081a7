//! Finding the general readers that open what is handed over: GDAL's `ogrinfo` and `ogr2ogr`, and Python.

use super::{debian, on_path};

/// The programs.
const READERS: [&str; 3] = ["ogrinfo", "ogr2ogr", "python3"];

/// Makes sure that they are there, installing them where that may be done without asking.
///
/// # Errors
///
/// One line that says what is missing and how to install it.
pub(super) fn ensure() -> Result<(), String> {
    let Some(missing) = missing() else {
        return Ok(());
    };
    eprintln!(
        "{missing} is missing: gdal-bin and python3 are installed where that may be done without asking"
    );
    if debian::install(&["gdal-bin", "python3"])? && self::missing().is_none() {
        return Ok(());
    }
    Err(format!(
        "no {missing} on this machine; install GDAL and Python (Debian: `sudo apt-get install gdal-bin python3`)"
    ))
}

/// The first program that is not on the path.
fn missing() -> Option<&'static str> {
    READERS
        .into_iter()
        .find(|program| on_path(&[program]).is_none())
}
