//! Where a hand-over goes: never over what is there, and whole or not at all.

use std::fs::{self, File, OpenOptions};
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

    /// Writes one file; `None` where whoever read standard output has gone, as `head` does.
    pub(crate) fn file(&self, bytes: &[u8]) -> Result<Option<Vec<PathBuf>>, String> {
        match self {
            Self::Standard => {
                let mut out = io::stdout().lock();
                match out.write_all(bytes).and_then(|()| out.flush()) {
                    Ok(()) => Ok(Some(Vec::new())),
                    Err(e) if e.kind() == io::ErrorKind::BrokenPipe => Ok(None),
                    Err(e) => Err(format!("standard output: {e}")),
                }
            }
            Self::Path { path, force } => {
                if path.is_dir() {
                    return Err(format!(
                        "{}: this is a folder; name a file in it",
                        path.display()
                    ));
                }
                put(path, bytes, *force)?;
                Ok(Some(vec![path.clone()]))
            }
        }
    }

    /// Writes files into a folder, which is made where it is not there; all of them or none.
    pub(crate) fn folder(&self, files: &[(&str, &[u8])]) -> Result<Vec<PathBuf>, String> {
        let Self::Path { path, force } = self else {
            return Err("a folder cannot go to standard output".to_owned());
        };
        if path.is_file() {
            return Err(format!("{}: this is a file; name a folder", path.display()));
        }
        let paths: Vec<PathBuf> = files.iter().map(|(name, _)| path.join(name)).collect();
        if let Some(there) = paths.iter().find(|path| path.exists() && !force) {
            return Err(taken(there));
        }
        if let Some(there) = paths.iter().find(|path| path.is_dir()) {
            return Err(format!(
                "{}: this is a folder; give another path, or move it away",
                there.display()
            ));
        }
        if let Some(parent) = path.parent().filter(|p| !p.as_os_str().is_empty()) {
            fs::create_dir_all(parent).map_err(|e| of(parent, &e))?;
        }
        let there = path.exists();
        // Inside a folder that is there: beside it may be another disk, to which nothing can be moved.
        let part = if there {
            PartFolder::beside(&path.join("hand-over"))?
        } else {
            PartFolder::beside(path)?
        };
        for (name, bytes) in files {
            let file = part.0.join(name);
            let written = File::create_new(&file).and_then(|file| fill(file, bytes));
            written.map_err(|e| of(&path.join(name), &e))?;
        }
        if there {
            part.move_into(path, files.iter().map(|(name, _)| *name), *force)?;
        } else {
            fs::rename(&part.0, path).map_err(|e| of(path, &e))?;
        }
        Ok(paths)
    }
}

fn of(path: &Path, error: &io::Error) -> String {
    format!("{}: {error}", path.display())
}

fn taken(path: &Path) -> String {
    format!(
        "{}: something is there already; give another path, or --force to write over it",
        path.display()
    )
}

fn fill(mut file: File, bytes: &[u8]) -> io::Result<()> {
    file.write_all(bytes)?;
    file.sync_all()
}

/// Makes something of a name that nobody has, beside a path: what is there is somebody's.
fn beside<T>(path: &Path, make: impl Fn(&Path) -> io::Result<T>) -> Result<(PathBuf, T), String> {
    let name = path
        .file_name()
        .ok_or_else(|| format!("{}: this names no file", path.display()))?;
    let mut nth = 0_u32;
    loop {
        let mut part = name.to_owned();
        part.push(match nth {
            0 => ".part".to_owned(),
            nth => format!(".{nth}.part"),
        });
        let part = path.with_file_name(part);
        match make(&part) {
            Ok(made) => return Ok((part, made)),
            Err(e) if e.kind() == io::ErrorKind::AlreadyExists && nth < 10_000 => nth += 1,
            Err(e) => return Err(of(path, &e)),
        }
    }
}

/// A folder that is being filled; it is gone when it goes out of use, unless it was moved to its place.
struct PartFolder(PathBuf);

impl PartFolder {
    fn beside(path: &Path) -> Result<Self, String> {
        beside(path, |part| fs::create_dir(part)).map(|(part, ())| Self(part))
    }

    /// Moves its files into a folder that is there; where one cannot be moved, those before it are taken back and what was
    /// there is put back.
    fn move_into<'n>(
        &self,
        folder: &Path,
        names: impl Iterator<Item = &'n str>,
        force: bool,
    ) -> Result<(), String> {
        let mut moved: Vec<(PathBuf, Option<PathBuf>)> = Vec::new();
        for name in names {
            let path = folder.join(name);
            let mut before = None;
            let done = if force && path.exists() {
                let aside = self.0.join(format!("{name}.before"));
                fs::rename(&path, &aside).and_then(|()| {
                    before = Some(aside);
                    place(&self.0.join(name), &path, force)
                })
            } else {
                place(&self.0.join(name), &path, force)
            };
            if done.is_ok() || before.is_some() {
                moved.push((path.clone(), before));
            }
            if let Err(e) = done {
                for (path, before) in moved.into_iter().rev() {
                    // What cannot be put back there is no other way to put back.
                    let _ = match before {
                        Some(before) => fs::rename(before, path),
                        None => fs::remove_file(path),
                    };
                }
                return Err(if e.kind() == io::ErrorKind::AlreadyExists {
                    taken(&path)
                } else {
                    of(&path, &e)
                });
            }
        }
        Ok(())
    }
}

impl Drop for PartFolder {
    fn drop(&mut self) {
        // What is left of it is of no use; where even that cannot be removed there is nothing more to do.
        let _ = fs::remove_dir_all(&self.0);
    }
}

/// Moves a file that is whole to its place.
fn place(part: &Path, path: &Path, force: bool) -> io::Result<()> {
    if force {
        return fs::rename(part, path);
    }
    // A link is refused where something has come there in the meantime; not every disk has links.
    match fs::hard_link(part, path) {
        Ok(()) => fs::remove_file(part),
        Err(e) if e.kind() == io::ErrorKind::AlreadyExists => Err(e),
        Err(_) => fs::rename(part, path),
    }
}

/// Writes a file beside its place and then moves it there, so that it is never there in part.
fn put(path: &Path, bytes: &[u8], force: bool) -> Result<(), String> {
    let (part, file) = beside(path, |part| {
        OpenOptions::new().write(true).create_new(true).open(part)
    })?;
    let moved = fill(file, bytes).and_then(|()| place(&part, path, force));
    moved.map_err(|e| {
        // What is left of it is of no use; where even that cannot be removed there is nothing more to do.
        let _ = fs::remove_file(&part);
        if e.kind() == io::ErrorKind::AlreadyExists {
            taken(path)
        } else {
            of(path, &e)
        }
    })
}
