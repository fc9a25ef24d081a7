//! Where a hand-over goes: never over what is there, and whole or not at all.

use std::fs::{self, File};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

/// A place to write to.
pub(crate) enum Output {
    /// Standard output.
    Standard,
    /// A path, and whether what is there may be written over.
    Path { path: PathBuf, force: bool },
}

impl Output {
    /// A path; refused where a file is there already.
    pub(crate) fn at(path: &Path, force: bool) -> Result<Self, String> {
        if path.is_file() && !force {
            return Err(taken(path));
        }
        Ok(Self::Path {
            path: path.to_owned(),
            force,
        })
    }

    /// Writes one file.
    pub(crate) fn file(&self, bytes: &[u8]) -> Result<Vec<PathBuf>, String> {
        match self {
            Self::Standard => {
                let mut out = io::stdout().lock();
                out.write_all(bytes)
                    .and_then(|()| out.flush())
                    .map_err(|e| format!("standard output: {e}"))?;
                Ok(Vec::new())
            }
            Self::Path { path, force } => {
                if path.is_dir() {
                    return Err(format!(
                        "{}: this is a folder; name a file in it",
                        path.display()
                    ));
                }
                put(path, bytes, *force)?;
                Ok(vec![path.clone()])
            }
        }
    }

    /// Writes files into a folder, which is made where it is not there; none is written where one is taken.
    pub(crate) fn folder(&self, files: &[(&str, &[u8])]) -> Result<Vec<PathBuf>, String> {
        let Self::Path { path, force } = self else {
            return Err("a folder cannot go to standard output".to_owned());
        };
        if path.is_file() {
            return Err(format!("{}: this is a file; name a folder", path.display()));
        }
        fs::create_dir_all(path).map_err(|e| format!("{}: {e}", path.display()))?;
        let paths: Vec<PathBuf> = files.iter().map(|(name, _)| path.join(name)).collect();
        if let Some(there) = paths.iter().find(|path| path.exists() && !force) {
            return Err(taken(there));
        }
        for (path, (_, bytes)) in paths.iter().zip(files) {
            put(path, bytes, *force)?;
        }
        Ok(paths)
    }
}

fn taken(path: &Path) -> String {
    format!(
        "{}: something is there already; give another path, or --force to write over it",
        path.display()
    )
}

/// Writes a file beside its place and then moves it there, so that it is never there in part.
fn put(path: &Path, bytes: &[u8], force: bool) -> Result<(), String> {
    let of = |e: io::Error| format!("{}: {e}", path.display());
    let mut name = path
        .file_name()
        .ok_or_else(|| format!("{}: this names no file", path.display()))?
        .to_owned();
    name.push(".part");
    let part = path.with_file_name(name);
    let written = File::create(&part).and_then(|mut file| {
        file.write_all(bytes)?;
        file.sync_all()
    });
    let moved = written.and_then(|()| {
        if force {
            fs::rename(&part, path)
        } else {
            // A link is refused where something has come there in the meantime; not every disk has links.
            match fs::hard_link(&part, path) {
                Ok(()) => fs::remove_file(&part),
                Err(e) if e.kind() == io::ErrorKind::AlreadyExists => Err(e),
                Err(_) => fs::rename(&part, path),
            }
        }
    });
    moved.map_err(|e| {
        // What is left of it is of no use; where even that cannot be removed there is nothing more to do.
        let _ = fs::remove_file(&part);
        if e.kind() == io::ErrorKind::AlreadyExists {
            taken(path)
        } else {
            of(e)
        }
    })
}
