//! The files that are joined: each is read once from end to end, and then entry by entry from where each stands.

use std::collections::{BTreeMap, BTreeSet};
use std::fs::{self, File, OpenOptions};
use std::io::{self, BufReader, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

use hingeline::exchange::archive::{self, CheckSum};
use hingeline::exchange::book::Written;
use hingeline::exchange::book::stream::{Stream, begins_like_a_book};
use hingeline::notebook::Entry;

use super::index::{Index, Slot};
use crate::paths;
use crate::progress::Progress;

/// What was found about a file.
pub(crate) struct Told {
    pub(crate) file: String,
    pub(crate) written: Written,
    pub(crate) entries: usize,
    pub(crate) new: usize,
    pub(crate) people: BTreeSet<String>,
    pub(crate) devices: BTreeSet<String>,
    pub(crate) photos: usize,
    /// What did not come as it was written and could be left out: photos.
    pub(crate) report: Vec<String>,
    /// Why nothing of it was taken.
    pub(crate) damaged: Option<String>,
}

impl Told {
    fn of(file: &Path) -> Self {
        Self {
            file: file.display().to_string(),
            written: Written::default(),
            entries: 0,
            new: 0,
            people: BTreeSet::new(),
            devices: BTreeSet::new(),
            photos: 0,
            report: Vec::new(),
            damaged: None,
        }
    }

    fn add(&mut self, entry: &Entry, is_new: bool) {
        self.entries += 1;
        self.new += usize::from(is_new);
        let stamp = entry.stamp();
        for (name, names) in [
            (&stamp.by, &mut self.people),
            (&stamp.device, &mut self.devices),
        ] {
            if !name.is_empty() && !names.contains(name) {
                names.insert(name.clone());
            }
        }
    }
}

/// A photo's bytes in the scratch file.
pub(crate) struct Kept {
    from: u64,
    pub(crate) length: usize,
    pub(crate) sum: CheckSum,
}

/// All files of a join, open.
pub(crate) struct Sources {
    /// The scratch file first, then those that are read where they stand.
    inputs: Vec<Input>,
    scratch: PathBuf,
    scratch_at: u64,
    pub(crate) photos: BTreeMap<String, Kept>,
}

struct Input {
    file: BufReader<File>,
    at: u64,
}

impl Drop for Sources {
    fn drop(&mut self) {
        // What cannot be removed is a file of ours with a name that says so.
        let _ = fs::remove_file(&self.scratch);
    }
}

/// The scratch file's place among the inputs.
const SCRATCH: u32 = 0;

impl Sources {
    /// The place of the first file that is read where it stands.
    pub(crate) const FIRST: u32 = SCRATCH + 1;

    /// Opens a file that was read through already.
    pub(crate) fn open(&mut self, path: &Path) -> io::Result<()> {
        let file = File::open(path).map_err(|error| named(path, &error))?;
        self.inputs.push(Input {
            file: BufReader::with_capacity(1 << 18, file),
            at: 0,
        });
        Ok(())
    }

    /// With a scratch file in a folder, for what cannot be read where it stands.
    pub(crate) fn new(folder: &Path) -> io::Result<Self> {
        let scratch = folder.join(format!(".camp-scratch-{}", std::process::id()));
        let file = OpenOptions::new()
            .read(true)
            .write(true)
            .create(true)
            .truncate(true)
            .open(&scratch)
            .map_err(|error| named(&scratch, &error))?;
        Ok(Self {
            inputs: vec![Input {
                file: BufReader::new(file),
                at: 0,
            }],
            scratch,
            scratch_at: 0,
            photos: BTreeMap::new(),
        })
    }

    /// Reads a file into the index: all of it, or nothing where it is damaged.
    pub(crate) fn take(
        &mut self,
        path: &Path,
        index: &mut Index,
        progress: &mut Progress,
    ) -> io::Result<Told> {
        let mut told = Told::of(path);
        let before = index.before();
        let taken = match self.stream(path, &mut told, index, progress) {
            Ok(Streamed::Whole) => Ok(()),
            Ok(Streamed::NotPossible) => {
                index.take_back(&before);
                told = Told::of(path);
                self.whole(path, &mut told, index)
            }
            Err(fault) => Err(fault),
        };
        match taken {
            Ok(()) => Ok(told),
            Err(Fault::Damaged(why)) => {
                index.take_back(&before);
                Ok(Told {
                    damaged: Some(why),
                    ..Told::of(path)
                })
            }
            Err(Fault::Scratch(error)) => Err(error),
        }
    }

    fn stream(
        &mut self,
        path: &Path,
        told: &mut Told,
        index: &mut Index,
        progress: &mut Progress,
    ) -> Result<Streamed, Fault> {
        let file = File::open(path).map_err(|error| not_opened(path, &error))?;
        let size = file.metadata().map_or(0, |meta| meta.len());
        if !file.metadata().is_ok_and(|meta| meta.is_file()) {
            return Ok(Streamed::NotPossible);
        }
        let mut input = BufReader::with_capacity(1 << 18, file);
        let beginning =
            io::BufRead::fill_buf(&mut input).map_err(|error| not_opened(path, &error))?;
        if !begins_like_a_book(beginning) {
            return Ok(Streamed::NotPossible);
        }
        let source = u32::try_from(self.inputs.len()).unwrap_or(u32::MAX);
        let mut stream = match Stream::open(&mut input) {
            Ok(stream) => stream,
            Err(error) if error.is_unordered() => return Ok(Streamed::NotPossible),
            Err(error) => return Err(Fault::Damaged(error.to_string())),
        };
        told.written = stream.written().clone();
        loop {
            match stream.next_piece() {
                Ok(Some(piece)) => {
                    let is_new = index.add(&piece.entry, source, piece.from, piece.length);
                    told.add(&piece.entry, is_new);
                    progress.at(&format!("reading {}", told.file), stream.at(), size);
                }
                Ok(None) => break,
                Err(error) if error.is_unordered() => return Ok(Streamed::NotPossible),
                Err(error) => return Err(Fault::Damaged(error.to_string())),
            }
        }
        input.rewind().map_err(|error| not_opened(path, &error))?;
        self.inputs.push(Input { file: input, at: 0 });
        Ok(Streamed::Whole)
    }

    /// Reads an archive, or a book in an order of its own, as a whole; its entries and photos go into the scratch file.
    fn whole(&mut self, path: &Path, told: &mut Told, index: &mut Index) -> Result<(), Fault> {
        let bytes = fs::read(path).map_err(|error| not_opened(path, &error))?;
        let archive =
            archive::read_any(&bytes).map_err(|error| Fault::Damaged(error.to_string()))?;
        if archive::is_zip(&bytes) {
            told.report = archive.report();
        }
        drop(bytes);
        told.written = archive.book.written.clone();
        told.photos = archive.photos.len();
        for entry in &archive.book.entries {
            let text = entry.text_with_id();
            let from = self.keep(text.as_bytes()).map_err(Fault::Scratch)?;
            let is_new = index.add(entry, SCRATCH, from, text.len());
            told.add(entry, is_new);
        }
        for (sha256, content) in archive.photos {
            if self.photos.contains_key(&sha256) {
                continue;
            }
            let mut sum = CheckSum::default();
            sum.add(&content);
            let from = self.keep(&content).map_err(Fault::Scratch)?;
            let kept = Kept {
                from,
                length: content.len(),
                sum,
            };
            self.photos.insert(sha256, kept);
        }
        Ok(())
    }

    fn keep(&mut self, bytes: &[u8]) -> io::Result<u64> {
        let from = self.scratch_at;
        let scratch = self.inputs[SCRATCH as usize].file.get_mut();
        scratch
            .seek(SeekFrom::Start(from))
            .and_then(|_| scratch.write_all(bytes))
            .map_err(|error| named(&self.scratch, &error))?;
        self.scratch_at += bytes.len() as u64;
        // The reader's own place is no longer where it was.
        let at = self.scratch_at;
        self.inputs[SCRATCH as usize]
            .file
            .seek(SeekFrom::Start(at))?;
        self.inputs[SCRATCH as usize].at = at;
        Ok(from)
    }

    fn read(&mut self, source: u32, from: u64, length: usize) -> io::Result<Vec<u8>> {
        let input = &mut self.inputs[source as usize];
        let away = i64::try_from(from).unwrap_or(0) - i64::try_from(input.at).unwrap_or(0);
        input.file.seek_relative(away)?;
        let mut bytes = vec![0; length];
        input.file.read_exact(&mut bytes)?;
        input.at = from + length as u64;
        Ok(bytes)
    }

    /// The bytes of a photo.
    pub(crate) fn photo(&mut self, kept: &Kept) -> io::Result<Vec<u8>> {
        self.read(SCRATCH, kept.from, kept.length)
    }

    /// The entry that stands at a place, proved by its hash once more.
    ///
    /// # Errors
    /// When the file was changed since it was read through.
    pub(crate) fn entry(&mut self, slot: &Slot) -> io::Result<Entry> {
        let bytes = self.read(slot.source, slot.from, slot.length as usize)?;
        let text = String::from_utf8(bytes).map_err(|_| changed())?;
        match Entry::from_json(&text) {
            Ok(entry) if entry.id() == slot.id => Ok(entry),
            _ => Err(changed()),
        }
    }
}

enum Streamed {
    Whole,
    /// It is no book file by itself, or stands in an order of its own.
    NotPossible,
}

enum Fault {
    /// The file; the others can still be joined.
    Damaged(String),
    /// Our own scratch file: nothing can be done.
    Scratch(io::Error),
}

fn not_opened(path: &Path, error: &io::Error) -> Fault {
    Fault::Damaged(format!(
        "it could not be opened: {}",
        paths::why(path, error)
    ))
}

fn changed() -> io::Error {
    io::Error::other("one of the files was changed while it was being joined; join them again")
}

pub(crate) fn named(path: &Path, error: &io::Error) -> io::Error {
    io::Error::new(error.kind(), format!("{}: {error}", path.display()))
}
