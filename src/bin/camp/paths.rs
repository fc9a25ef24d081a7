//! The paths that a command is given: why one could not be opened, with the way out; and that nothing is written over what is read.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

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

/// Where a file that is to be written goes: to what a link leads to, and only where there is a file or nothing yet.
///
/// # Errors
/// Where something else is there, in words.
pub(crate) fn place(output: &Path) -> Result<PathBuf, String> {
    let of = |why: &str| Err(format!("{}: {why}", output.display()));
    if output.as_os_str() == "-" {
        return of(
            "a book is not written to standard output; name a file, or ./- for one of that name",
        );
    }
    let Ok(there) = fs::symlink_metadata(output) else {
        return Ok(output.to_owned());
    };
    let path = match fs::canonicalize(output) {
        Ok(path) if there.is_symlink() => path,
        Err(_) if there.is_symlink() => {
            return of("this is a link to a file that is not there; name the file itself");
        }
        _ => output.to_owned(),
    };
    match fs::metadata(&path) {
        Ok(meta) if meta.is_dir() => of("this is a folder; name a file in it"),
        Ok(meta) if !meta.is_file() => of("this is no file but a device or a pipe; name a file"),
        Err(error) => of(&error.to_string()),
        Ok(_) => Ok(path),
    }
}

/// The same of a new file: nothing is there yet, unless that may be written over, and its folder is.
///
/// # Errors
/// Where it cannot go there, in words.
pub(crate) fn free_place(output: &Path, force: bool) -> Result<PathBuf, String> {
    let path = place(output)?;
    if path.exists() && !force {
        return Err(format!(
            "{} is there already; name another file, or write over it with --force",
            output.display()
        ));
    }
    let folder = match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    };
    if !folder.is_dir() {
        return Err(format!(
            "{}: there is no such folder; make it first, or name another",
            folder.display()
        ));
    }
    Ok(path)
}

/// A file could not be made in its folder: what to do about it.
pub(crate) fn not_made(path: &Path, error: &io::Error) -> io::Error {
    let words = match error.kind() {
        io::ErrorKind::PermissionDenied | io::ErrorKind::ReadOnlyFilesystem => {
            let folder = match path.parent() {
                Some(folder) if !folder.as_os_str().is_empty() => folder,
                _ => Path::new("."),
            };
            format!(
                "{}: the folder cannot be written to ({error}); name a file in another",
                folder.display()
            )
        }
        _ => format!("{}: {error}", path.display()),
    };
    io::Error::new(error.kind(), words)
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
    fn a_folder_that_cannot_be_written_to_is_named() {
        let error = io::Error::from(io::ErrorKind::ReadOnlyFilesystem);
        for (path, wanted) in [
            (
                "tm/.camp-scratch-7-0",
                "tm: the folder cannot be written to (",
            ),
            (".b.json.part-7", ".: the folder cannot be written to ("),
        ] {
            let words = not_made(Path::new(path), &error).to_string();
            assert!(words.starts_with(wanted), "{words}");
            assert!(words.ends_with("; name a file in another"), "{words}");
        }
    }

    #[test]
    fn a_station_is_a_number() {
        assert_eq!(station(" 47"), Ok(47));
        assert!(station("x").is_err() && station("-1").is_err());
    }
}
