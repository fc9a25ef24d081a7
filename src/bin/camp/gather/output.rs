//! Writing the joined book: whole or not at all, under a name of its own until every byte is on the disk.

use std::fs::{self, File, OpenOptions};
use std::io::{self, BufReader, BufWriter, Read, Seek, Write};
use std::path::{Path, PathBuf};

use hingeline::exchange::archive::{BOOK, CheckSum, Stored, photo_path};
use hingeline::exchange::book::Written;
use hingeline::exchange::book::stream::Writer;
use hingeline::notebook::Beyond;

use super::index::Index;
use super::sources::{Sources, named};
use crate::paths;
use crate::progress::Progress;

/// A file that is being written under another name, and goes away if it does not get its own.
struct Part {
    path: PathBuf,
    kept: bool,
}

impl Part {
    /// Begins a file beside the one it will be; what an earlier run left there that was killed is cleared away.
    fn begin(path: &Path, what: &str) -> io::Result<(Self, File)> {
        clear_away(path, what);
        let part = Self {
            path: path.with_file_name(format!("{}{}", stem(path, what), std::process::id())),
            kept: false,
        };
        let mut options = OpenOptions::new();
        options.read(true).write(true).create(true).truncate(true);
        let file = options
            .open(&part.path)
            .map_err(|error| paths::not_made(&part.path, &error))?;
        // The lock says that somebody is at work. Where a system has none, nothing is ever cleared away.
        let _ = file.try_lock();
        Ok((part, file))
    }

    /// Gives it its own name, once it is on the disk.
    fn name(mut self, file: &File, path: &Path) -> io::Result<()> {
        file.sync_all().map_err(|error| named(path, &error))?;
        fs::rename(&self.path, path).map_err(|error| named(path, &error))?;
        self.kept = true;
        // The folder holds the name. Where a system cannot do this it keeps names by itself.
        let folder = folder_of(path);
        if let Ok(folder) = File::open(folder) {
            let _ = folder.sync_all();
        }
        Ok(())
    }
}

impl Drop for Part {
    fn drop(&mut self) {
        if !self.kept {
            let _ = fs::remove_file(&self.path);
        }
    }
}

/// What the names of the files begin with that are to become this one.
fn stem(path: &Path, what: &str) -> String {
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    format!(".{name}.{what}-")
}

/// Removes the beginnings of this file that nobody is writing any more, and says so.
fn clear_away(path: &Path, what: &str) {
    let stem = stem(path, what);
    let Ok(there) = fs::read_dir(folder_of(path)) else {
        return;
    };
    for left in there.flatten() {
        let name = left.file_name().to_string_lossy().into_owned();
        let number = name.strip_prefix(&stem);
        let is_ours = number.is_some_and(|number| number.parse::<u32>().is_ok());
        if !is_ours {
            continue;
        }
        let path = left.path();
        let is_free = File::open(&path).is_ok_and(|file| file.try_lock().is_ok());
        if is_free && fs::remove_file(&path).is_ok() {
            eprintln!(
                "{}: left half written by an earlier run that was stopped; removed",
                path.display()
            );
        }
    }
}

/// Whether a file is to be an archive, by its name.
pub(crate) fn is_zip(path: &Path) -> bool {
    path.extension()
        .is_some_and(|e| e.eq_ignore_ascii_case("zip"))
}

/// The folder a file is in.
pub(crate) fn folder_of(path: &Path) -> &Path {
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    }
}

/// What the head of a book says of it.
pub(crate) struct Head<'h> {
    /// Who wrote it, on what and when.
    pub(crate) written: &'h Written,
    /// What it goes beyond, where it is a part.
    pub(crate) beyond: &'h [Beyond],
}

/// Writes the book, with its photos where it is an archive; how many bytes it has.
pub(crate) fn write(
    path: &Path,
    head: &Head<'_>,
    index: &Index,
    order: &[u32],
    sources: &mut Sources,
    progress: &mut Progress,
    is_archive: bool,
) -> io::Result<u64> {
    let (part, file) = Part::begin(path, "part")?;
    let out = BufWriter::with_capacity(1 << 18, file);
    let writer = Writer::begin_part(out, order.len(), head.written, head.beyond);
    let mut writer = writer.map_err(|e| named(path, &e))?;
    for (done, &place) in order.iter().enumerate() {
        let entry = sources.entry(&index.slots[place as usize])?;
        writer.entry(&entry).map_err(|error| named(path, &error))?;
        progress.at("writing", done as u64, order.len() as u64);
    }
    let out = writer.finish().map_err(|error| named(path, &error))?;
    let mut file = out
        .into_inner()
        .map_err(|error| named(path, error.error()))?;
    if is_archive {
        file.rewind()?;
        let bytes = archive(path, &file, sources, progress)?;
        return Ok(bytes);
    }
    let bytes = file.metadata()?.len();
    part.name(&file, path)?;
    Ok(bytes)
}

/// Writes the archive of a book file that stands in a file of its own.
fn archive(
    path: &Path,
    book: &File,
    sources: &mut Sources,
    progress: &mut Progress,
) -> io::Result<u64> {
    let too_large =
        |error: hingeline::exchange::archive::Error| io::Error::other(error.to_string());
    let (mut sum, mut length) = (CheckSum::default(), 0_u64);
    each_piece(book, |bytes| {
        sum.add(bytes);
        length += bytes.len() as u64;
        Ok(())
    })?;
    let (part, file) = Part::begin(path, "zip")?;
    let mut out = BufWriter::with_capacity(1 << 18, file);
    let mut stored = Stored::new();
    out.write_all(&stored.head_of(BOOK, length, sum).map_err(too_large)?)?;
    let mut book = book;
    book.rewind()?;
    each_piece(book, |bytes| out.write_all(bytes))?;
    let photos = std::mem::take(&mut sources.photos);
    for (done, (sha256, kept)) in photos.iter().enumerate() {
        let bytes = sources.photo(sha256, kept)?;
        let head = stored.head_of(&photo_path(sha256), bytes.len() as u64, kept.sum);
        out.write_all(&head.map_err(too_large)?)?;
        out.write_all(&bytes)?;
        progress.at("writing photos", done as u64, photos.len() as u64);
    }
    sources.photos = photos;
    out.write_all(&stored.end().map_err(too_large)?)?;
    let file = out
        .into_inner()
        .map_err(|error| named(path, error.error()))?;
    let bytes = file.metadata()?.len();
    part.name(&file, path)?;
    Ok(bytes)
}

fn each_piece(file: &File, mut with: impl FnMut(&[u8]) -> io::Result<()>) -> io::Result<()> {
    let mut input = BufReader::new(file);
    let mut piece = vec![0; 1 << 16];
    loop {
        match input.read(&mut piece)? {
            0 => return Ok(()),
            read => with(&piece[..read])?,
        }
    }
}
