//! The paths that a command is given: why one could not be opened, with the way out; and that nothing is written over what is read.

use std::fs;
use std::io;
use std::path::Path;

/// Why a file could not be opened or read, and what to do.
pub(crate) fn why(path: &Path, error: &io::Error) -> String {
    match error.kind() {
        io::ErrorKind::NotFound if path.as_os_str() == "-" => {
            "standard input is not read here; name a file".to_owned()
        }
        io::ErrorKind::NotFound => {
            "there is no such file; look at its name and its folder".to_owned()
        }
        io::ErrorKind::IsADirectory => {
            "this is a folder; name the files in it, as folder/*.json".to_owned()
        }
        io::ErrorKind::PermissionDenied => {
            format!("{error}; it is another's, or closed to reading")
        }
        _ => error.to_string(),
    }
}

/// Refuses to write over one of the files that are read, whatever else may be written over: it may be the only copy.
///
/// # Errors
/// Where both paths lead to one file, in words.
pub(crate) fn apart<'p>(
    output: &Path,
    read: impl IntoIterator<Item = &'p Path>,
) -> Result<(), String> {
    let Ok(there) = fs::canonicalize(output) else {
        return Ok(());
    };
    let same = |path: &&Path| fs::canonicalize(path).is_ok_and(|path| path == there);
    match read.into_iter().find(same) {
        Some(_) => Err(format!(
            "{}: this is one of the files that are read, and would be lost; give another path",
            output.display()
        )),
        None => Ok(()),
    }
}

/// The number of a station, as it is typed.
///
/// # Errors
/// Where it is none, with an example.
pub(crate) fn station(text: &str) -> Result<u32, String> {
    let number = text.trim().parse();
    number.map_err(|_| "a station is named by its number, as 47".to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_file_by_two_paths_is_one_file() {
        let dir = std::env::temp_dir().join(format!("camp-paths-{}", std::process::id()));
        fs::create_dir_all(dir.join("in")).expect("a folder");
        let book = dir.join("book.json");
        fs::write(&book, "{}").expect("a file");
        let around = dir.join("in").join("..").join("book.json");
        assert!(apart(&around, [book.as_path()]).is_err());
        assert!(apart(&dir.join("other.json"), [book.as_path()]).is_ok());
        assert!(apart(&book, [Path::new("-"), &dir.join("gone.json")]).is_ok());
        fs::remove_dir_all(&dir).expect("removed");
    }

    #[test]
    fn a_station_is_a_number() {
        assert_eq!(station(" 47"), Ok(47));
        assert!(station("x").is_err() && station("-1").is_err());
    }
}
