//! The files that are joined: each is read once from end to end, and then entry by entry from where each stands.

use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::fs::{self, File, OpenOptions};
use std::io::{self, BufRead, BufReader, Cursor, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

use hingeline::exchange::archive::{self, Altered, Archive, CheckSum, Filed};
use hingeline::exchange::book::stream::{Stream, begins_like_a_book};
use hingeline::exchange::book::{self, Written};
use hingeline::notebook::photos::{self, Named, Naming};
use hingeline::notebook::{Beyond, Entry};
use rawzip::FileReader;
use serde_json::{Map, Value};

use super::index::{Index, Slot};
use crate::paths;
use crate::progress::Progress;

/// What was found about a file.
#[derive(Default)]
pub(crate) struct Told {
    pub(crate) file: String,
    pub(crate) written: Written,
    /// What it goes beyond, where it is a part.
    pub(crate) beyond: Vec<Beyond>,
    pub(crate) entries: usize,
    pub(crate) new: usize,
    pub(crate) people: BTreeSet<String>,
    pub(crate) devices: BTreeSet<String>,
    pub(crate) is_archive: bool,
    pub(crate) photos: usize,
    /// How many photos did not come as they were written.
    pub(crate) altered: usize,
    /// What did not come as it was written and could be left out: photos.
    pub(crate) report: Vec<String>,
    /// It holds what no joined book will hold: an altered photo, a file that is not the book's, a word of a newer version.
    pub(crate) holds_more: bool,
    /// Why nothing of it was taken.
    pub(crate) left_out: Option<LeftOut>,
}

/// Why nothing of a file was taken.
pub(crate) struct LeftOut {
    pub(crate) why: String,
    /// It is a book that did not arrive whole: another copy of it may have.
    pub(crate) is_damaged: bool,
}

impl Told {
    fn of(file: &Path) -> Self {
        Self {
            file: file.display().to_string(),
            ..Self::default()
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

    fn photos(&mut self, found: &Photos) {
        self.is_archive = true;
        self.photos = found.sound;
        self.altered = found.altered.len();
        self.holds_more |= !(found.altered.is_empty() && found.unknown.is_empty());
        let report = archive::report(&found.missing, &found.altered, &found.unknown);
        self.report.extend(report);
    }

    /// What a newer writer of the same version put beside the entries.
    fn more(&mut self, more: &Map<String, Value>) {
        self.holds_more |= !more.is_empty();
        let names = more.keys().map(|name| {
            format!("`{name}` beside its entries is not known to this version and is left out")
        });
        self.report.extend(names);
    }
}

/// What the photos of an archive are, held against those that its book names.
#[derive(Default)]
pub(crate) struct Photos {
    /// How many are named and came as they were written.
    pub(crate) sound: usize,
    pub(crate) missing: Vec<Named>,
    pub(crate) altered: Vec<Altered>,
    /// The names of files that belong to no book, or to no photo of this one.
    pub(crate) unknown: Vec<String>,
}

/// Where a photo's bytes stand.
pub(crate) struct Kept {
    source: u32,
    from: u64,
    pub(crate) length: usize,
    pub(crate) sum: CheckSum,
}

/// All files of a join, open.
pub(crate) struct Sources {
    /// Those that are read where they stand.
    inputs: Vec<Input>,
    scratch: Scratch,
    pub(crate) photos: BTreeMap<String, Kept>,
    /// Which photos the books name.
    pub(crate) naming: Naming,
}

struct Input {
    file: BufReader<File>,
    at: u64,
}

impl Input {
    fn of(file: File) -> Self {
        Self {
            file: BufReader::with_capacity(1 << 18, file),
            at: 0,
        }
    }
}

/// A file for what cannot be read where it stands; it is there only while something needs it.
struct Scratch {
    folder: PathBuf,
    /// Where it could not be taken out of its folder while it is open.
    path: Option<PathBuf>,
    input: Option<Input>,
    length: u64,
}

impl Scratch {
    /// Opens it, out of sight where the system allows: a file without a name goes away by itself, however the program ends.
    fn open(&mut self) -> io::Result<&mut Input> {
        if self.input.is_none() {
            let (path, file) = self.make()?;
            if fs::remove_file(&path).is_err() {
                self.path = Some(path);
            }
            self.input = Some(Input::of(file));
        }
        self.input
            .as_mut()
            .ok_or_else(|| io::Error::other("the scratch file is gone"))
    }

    fn make(&self) -> io::Result<(PathBuf, File)> {
        let mut place = 0;
        loop {
            let name = format!(".camp-scratch-{}-{place}", std::process::id());
            let path = self.folder.join(name);
            let mut options = OpenOptions::new();
            match options.read(true).write(true).create_new(true).open(&path) {
                Ok(file) => return Ok((path, file)),
                Err(error) if error.kind() == io::ErrorKind::AlreadyExists && place < 100 => {
                    place += 1;
                }
                Err(error) => return Err(paths::not_made(&path, &error)),
            }
        }
    }
}

impl Drop for Scratch {
    fn drop(&mut self) {
        self.input = None;
        if let Some(path) = &self.path {
            // What cannot be removed is a file of ours with a name that says so.
            let _ = fs::remove_file(path);
        }
    }
}

/// The scratch file's place among the sources.
pub(crate) const SCRATCH: u32 = 0;

/// A book file that is read as a stream, and where its bytes stand.
pub(crate) struct Standing {
    pub(crate) source: u32,
    /// Its first byte in the source.
    pub(crate) from: u64,
    pub(crate) length: u64,
}

impl Sources {
    /// With a scratch file in a folder, for what cannot be read where it stands.
    pub(crate) fn new(folder: &Path) -> Self {
        Self {
            inputs: Vec::new(),
            scratch: Scratch {
                folder: folder.to_owned(),
                path: None,
                input: None,
                length: 0,
            },
            photos: BTreeMap::new(),
            naming: Naming::default(),
        }
    }

    /// Opens a file that is read where it stands; its place among the sources.
    pub(crate) fn open(&mut self, path: &Path) -> io::Result<u32> {
        let file = File::open(path).map_err(|error| named(path, &error))?;
        self.inputs.push(Input::of(file));
        Ok(u32::try_from(self.inputs.len()).unwrap_or(u32::MAX))
    }

    /// Reads a file into the index: all of it, or nothing where it is damaged.
    pub(crate) fn take(
        &mut self,
        path: &Path,
        index: &mut Index,
        progress: &mut Progress,
    ) -> io::Result<Told> {
        let mut told = Told::of(path);
        let mut naming = Naming::default();
        let before = index.before();
        let taken = match self.stream(path, &mut told, &mut naming, index, progress) {
            Ok(Streamed::Whole) => Ok(()),
            Ok(Streamed::NotPossible(pipe)) => {
                index.take_back(&before);
                told = Told::of(path);
                naming = Naming::default();
                self.whole(path, pipe, &mut told, &mut naming, index)
            }
            Err(fault) => Err(fault),
        };
        match taken {
            Ok(()) => {
                self.naming.join(naming);
                Ok(told)
            }
            Err(Fault::Of(left_out)) => {
                index.take_back(&before);
                Ok(Told {
                    left_out: Some(left_out),
                    ..Told::of(path)
                })
            }
            Err(Fault::Ours(error)) => Err(error),
        }
    }

    fn stream(
        &mut self,
        path: &Path,
        told: &mut Told,
        naming: &mut Naming,
        index: &mut Index,
        progress: &mut Progress,
    ) -> Result<Streamed, Fault> {
        let file = File::open(path).map_err(|error| not_opened(path, &error))?;
        let length = match file.metadata() {
            Ok(meta) if meta.is_file() => meta.len(),
            _ => return Ok(Streamed::NotPossible(Some(file))),
        };
        let mut input = BufReader::with_capacity(1 << 18, file);
        let beginning = input.fill_buf().map_err(|error| not_opened(path, &error))?;
        if archive::is_zip(beginning) {
            let file = input.into_inner();
            return self.archive(path, file, length, told, naming, index, progress);
        }
        let source = self.open(path).map_err(Fault::Ours)?;
        let standing = Standing {
            source,
            from: 0,
            length,
        };
        pieces(&mut input, &standing, told, naming, index, progress).map_err(Fault::of_book)
    }

    #[allow(
        clippy::too_many_arguments,
        reason = "what a file is read into, as for every other"
    )]
    fn archive(
        &mut self,
        path: &Path,
        file: File,
        length: u64,
        told: &mut Told,
        naming: &mut Naming,
        index: &mut Index,
        progress: &mut Progress,
    ) -> Result<Streamed, Fault> {
        let mut filed = Filed::open(FileReader::from(file), length).map_err(Fault::of_archive)?;
        let of_book = |error| Fault::of_archive(archive::Error::of_book(error));
        let source = self.open(path).map_err(Fault::Ours)?;
        let streamed = match filed.stored_book() {
            Some(range) => {
                let standing = Standing {
                    source,
                    from: range.start,
                    length: range.end - range.start,
                };
                let input = BufReader::with_capacity(1 << 18, filed.part(range));
                pieces(input, &standing, told, naming, index, progress)
            }
            None => {
                let bytes = filed.unpacked_book().map_err(Fault::of_archive)?;
                let standing = Standing {
                    source: SCRATCH,
                    from: self.keep(&bytes).map_err(Fault::Ours)?,
                    length: bytes.len() as u64,
                };
                pieces(
                    Cursor::new(&bytes),
                    &standing,
                    told,
                    naming,
                    index,
                    progress,
                )
            }
        };
        if let Streamed::NotPossible(_) = streamed.map_err(of_book)? {
            return Ok(Streamed::NotPossible(None));
        }
        let found = self
            .photos_of(&mut filed, source, naming.named(), true, progress)
            .map_err(Fault::Ours)?;
        told.photos(&found);
        Ok(Streamed::Whole)
    }

    /// Proves the photos of an archive one by one; those that the book names can be read from the sources from then on.
    pub(crate) fn photos_of(
        &mut self,
        filed: &mut Filed<FileReader>,
        source: u32,
        named: Vec<Named>,
        keeps: bool,
        progress: &mut Progress,
    ) -> io::Result<Photos> {
        let mut wanted: Vec<Option<Named>> = named.into_iter().map(Some).collect();
        let places: HashMap<String, usize> = wanted
            .iter()
            .flatten()
            .enumerate()
            .map(|(place, named)| (named.sha256.clone(), place))
            .collect();
        let mut found = Photos {
            unknown: filed.unknown().to_vec(),
            ..Photos::default()
        };
        for place in 0..filed.photos() {
            progress.at("reading photos", place as u64, filed.photos() as u64);
            let Some(photo) = filed.photo(place) else {
                break;
            };
            let place = places.get(&photo.sha256);
            let named = place.and_then(|&place| wanted[place].take());
            match (photo.content, named) {
                (Ok(bytes), Some(_)) => {
                    found.sound += 1;
                    if keeps && !self.photos.contains_key(&photo.sha256) {
                        let kept = self.kept(&bytes, photo.from.map(|from| (source, from)))?;
                        self.photos.insert(photo.sha256, kept);
                    }
                }
                (Err(why), named) => found.altered.push(Altered {
                    path: photo.path,
                    named,
                    why,
                }),
                (Ok(_), None) => found.unknown.push(photo.path),
            }
        }
        found.missing = wanted.into_iter().flatten().collect();
        Ok(found)
    }

    /// Where a photo's bytes stand; in the scratch file, where they stand nowhere as they are.
    fn kept(&mut self, bytes: &[u8], standing: Option<(u32, u64)>) -> io::Result<Kept> {
        let mut sum = CheckSum::default();
        sum.add(bytes);
        let (source, from) = match standing {
            Some(standing) => standing,
            None => (SCRATCH, self.keep(bytes)?),
        };
        Ok(Kept {
            source,
            from,
            length: bytes.len(),
            sum,
        })
    }

    /// Reads what is no file but a pipe, or a book in an order of its own, as a whole; its entries and photos go into the scratch file.
    fn whole(
        &mut self,
        path: &Path,
        pipe: Option<File>,
        told: &mut Told,
        naming: &mut Naming,
        index: &mut Index,
    ) -> Result<(), Fault> {
        // A pipe gives what it holds once.
        let mut bytes = Vec::new();
        pipe.map_or_else(|| File::open(path), Ok)
            .and_then(|mut file| file.read_to_end(&mut bytes))
            .map_err(|error| not_opened(path, &error))?;
        let is_archive = archive::is_zip(&bytes);
        let Archive {
            book,
            photos,
            missing,
            altered,
            unknown,
        } = archive::read_any(&bytes).map_err(Fault::of_archive)?;
        drop(bytes);
        told.written = book.written.clone();
        told.beyond = book.beyond.clone();
        told.more(&book.more);
        for entry in &book.entries {
            naming.add(entry);
            let text = entry.text_with_id();
            let from = self.keep(text.as_bytes()).map_err(Fault::Ours)?;
            let is_new = index.add(entry, SCRATCH, from, text.len());
            told.add(entry, is_new);
        }
        if is_archive {
            told.photos(&Photos {
                sound: photos.len(),
                missing,
                altered,
                unknown,
            });
        }
        for (sha256, content) in photos {
            if !self.photos.contains_key(&sha256) {
                let kept = self.kept(&content, None).map_err(Fault::Ours)?;
                self.photos.insert(sha256, kept);
            }
        }
        Ok(())
    }

    /// Puts bytes into the scratch file; where they begin there.
    pub(crate) fn keep(&mut self, bytes: &[u8]) -> io::Result<u64> {
        let from = self.scratch.length;
        let to = from + bytes.len() as u64;
        let input = self.scratch.open()?;
        let file = input.file.get_mut();
        file.seek(SeekFrom::Start(from))
            .and_then(|_| file.write_all(bytes))
            .map_err(|error| io::Error::new(error.kind(), format!("the scratch file: {error}")))?;
        // The reader's own place is no longer where it was.
        input.file.seek(SeekFrom::Start(to))?;
        input.at = to;
        self.scratch.length = to;
        Ok(from)
    }

    fn read(&mut self, source: u32, from: u64, length: usize) -> io::Result<Vec<u8>> {
        let input = match (source as usize).checked_sub(1) {
            None => self.scratch.open()?,
            Some(place) => self.inputs.get_mut(place).ok_or_else(changed)?,
        };
        let away = i64::try_from(from).unwrap_or(0) - i64::try_from(input.at).unwrap_or(0);
        input.file.seek_relative(away)?;
        let mut bytes = vec![0; length];
        input.file.read_exact(&mut bytes)?;
        input.at = from + length as u64;
        Ok(bytes)
    }

    /// The bytes of a photo, proved by their hash once more.
    ///
    /// # Errors
    /// When the file was changed since it was read through.
    pub(crate) fn photo(&mut self, sha256: &str, kept: &Kept) -> io::Result<Vec<u8>> {
        let bytes = self.read(kept.source, kept.from, kept.length)?;
        if photos::sha256(&bytes) == sha256 {
            Ok(bytes)
        } else {
            Err(changed())
        }
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

/// Reads a book entry by entry.
fn pieces(
    mut input: impl BufRead,
    standing: &Standing,
    told: &mut Told,
    naming: &mut Naming,
    index: &mut Index,
    progress: &mut Progress,
) -> Result<Streamed, book::Error> {
    let or_whole = |error: book::Error| match error.is_unordered() {
        true => Ok(Streamed::NotPossible(None)),
        false => Err(error),
    };
    // What cannot be read is told when it is read whole.
    if !input.fill_buf().is_ok_and(begins_like_a_book) {
        return Ok(Streamed::NotPossible(None));
    }
    let mut stream = match Stream::open(input) {
        Ok(stream) => stream,
        Err(error) => return or_whole(error),
    };
    told.written = stream.written().clone();
    told.beyond = stream.beyond().to_vec();
    told.more(stream.more());
    loop {
        match stream.next_piece() {
            Ok(Some(piece)) => {
                naming.add(&piece.entry);
                let from = standing.from + piece.from;
                let is_new = index.add(&piece.entry, standing.source, from, piece.length);
                told.add(&piece.entry, is_new);
                let what = format!("reading {}", told.file);
                progress.at(&what, stream.at(), standing.length);
            }
            Ok(None) => return Ok(Streamed::Whole),
            Err(error) => return or_whole(error),
        }
    }
}

enum Streamed {
    Whole,
    /// It is no book file by itself, or stands in an order of its own; or it is no file but a pipe, which is open.
    NotPossible(Option<File>),
}

enum Fault {
    /// The file's; the others can still be joined.
    Of(LeftOut),
    /// Our own scratch file: nothing can be done.
    Ours(io::Error),
}

impl Fault {
    fn of_book(error: book::Error) -> Self {
        Self::Of(LeftOut {
            why: error.to_string(),
            is_damaged: error.is_damaged(),
        })
    }

    fn of_archive(error: archive::Error) -> Self {
        Self::Of(LeftOut {
            why: error.to_string(),
            is_damaged: error.is_damaged(),
        })
    }
}

fn not_opened(path: &Path, error: &io::Error) -> Fault {
    Fault::Of(LeftOut {
        why: format!("it could not be opened: {}", paths::why(path, error)),
        is_damaged: false,
    })
}

fn changed() -> io::Error {
    io::Error::other("one of the files was changed while it was being joined; join them again")
}

pub(crate) fn named(path: &Path, error: &io::Error) -> io::Error {
    io::Error::new(error.kind(), format!("{}: {error}", path.display()))
}
