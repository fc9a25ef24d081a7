//! `camp doctor`: whether a book file is whole, and every fault of one that is not. Nothing is mended unasked.

use std::collections::{BTreeSet, HashMap, HashSet};
use std::fs::File;
use std::io::{self, BufRead, BufReader, BufWriter, Cursor, Read, Write};
use std::path::{Path, PathBuf};

use clap::Args;
use hingeline::exchange::archive::{self, Filed};
use hingeline::exchange::book::stream::{Stream, begins_like_a_book};
use hingeline::exchange::book::{self, Written};
use hingeline::notebook::beyond::{self, Beyond};
use hingeline::notebook::photos::{self, Naming};
use hingeline::notebook::{Act, Entry, EntryId};
use rawzip::{FileReader, ReaderAt};
use serde_json::json;

use crate::command::{DOUBTS, Format, MISUSE};
use crate::gather::index::{Index, KINDS};
use crate::gather::output;
use crate::gather::sources::{SCRATCH, Sources, Standing};
use crate::paths;
use crate::progress::Progress;
use crate::written::{Legible, counted, listed};

const HELP: &str = "\
Every entry is hashed anew and held against the id it states, the count and the digest of the file against what is there, every
entry against the one it takes the place of, and in an archive (ZIP) every photo against its hash. One fault does not hide the next:
where the head of a book or the directory of an archive is damaged, the entries and photos are looked for without it.

A fault is what was lost or changed. A note is what is worth knowing of a book that is whole: a tablet with two histories, a clock
that jumped, versions to settle, photos that are not in the file, and that it is a part (see `camp changes`).

Nothing is mended unasked. With --save-sound the entries that prove themselves are written to another file, a whole book, and you are
told what is not in it; the damaged file stays as it is. Sound photos of an archive go along where the other file is named .zip.
Try another copy first: a damaged card may hold an earlier back-up.

With --format json each fault and note gives one object a line, and each file one more at its end:
  {\"file\", \"fault\" or \"note\": in words, \"record\"}
  {\"file\", \"sound\", \"faults\", \"entries\", \"records\", \"people\", \"tablets\", \"written\": {\"at\", \"by\", \"device\"}, \"photos\",
   \"beyond\": [{\"count\", \"digest\", \"missing\"}]}

Exit code:
  0  every file is whole
  1  at least one fault
  2  a file could not be read or is no book, or misuse

Examples:
  camp doctor camp.json
  camp doctor back-ups/*.json back-ups/*.zip
  camp doctor damaged.json --save-sound rest.json
  camp doctor --format json *.json | jq 'select(.fault)'";

#[derive(Args)]
#[command(after_long_help = HELP)]
pub(crate) struct DoctorArgs {
    /// Book files, or archives of a book and its photos
    #[arg(required = true, value_name = "FILE")]
    files: Vec<PathBuf>,
    /// Write the entries of one damaged file that prove themselves to this file; it must not be there yet
    #[arg(long, value_name = "FILE")]
    save_sound: Option<PathBuf>,
    /// How the answer is written
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
}

/// What was found in one file.
#[derive(Clone, Default)]
struct Examined {
    is_archive: bool,
    naming: Naming,
    faults: Vec<(String, Option<String>)>,
    notes: Vec<String>,
    written: Written,
    /// What it goes beyond, where it is a part.
    beyond: Vec<Beyond>,
    /// What of that is not here, and how many entries of each.
    standing: Vec<(Beyond, usize)>,
    entries: usize,
    records: usize,
    people: BTreeSet<String>,
    devices: BTreeSet<String>,
    photos: usize,
    unknown_kinds: usize,
    unknown_acts: BTreeSet<String>,
    twice: usize,
}

impl Examined {
    fn fault(&mut self, words: impl ToString, record: Option<&str>) {
        self.faults
            .push((words.to_string(), record.map(str::to_owned)));
    }

    fn add(&mut self, entry: &Entry) {
        self.entries += 1;
        self.naming.add(entry);
        let stamp = entry.stamp();
        for (name, names) in [
            (&stamp.by, &mut self.people),
            (&stamp.device, &mut self.devices),
        ] {
            if !name.is_empty() && !names.contains(name) {
                names.insert(name.clone());
            }
        }
        let known = entry.strikes_out() || KINDS.contains(&entry.kind());
        self.unknown_kinds += usize::from(!known);
        if let Act::Other(act) = entry.act() {
            self.unknown_acts.insert(act.clone());
        }
    }
}

/// At most so many faults of one file are written out in words; in JSON all are.
const SHOWN: usize = 40;

/// Examines the files; the exit code.
pub(crate) fn doctor(args: &DoctorArgs) -> io::Result<u8> {
    if let Some(code) = misused(args) {
        return Ok(code);
    }
    let mut out = Legible(BufWriter::new(io::stdout().lock()));
    let (mut faulty, mut unread) = (false, false);
    for path in &args.files {
        let file = path.display().to_string();
        let mut patient = Patient::of(path, args.save_sound.as_deref());
        let examined = patient.examine();
        patient.progress.done();
        if let Err(why) = examined {
            unread = true;
            eprintln!("{file}: {why}");
            continue;
        }
        look(&mut patient.examined, &patient.index, &patient.lines);
        let examined = &patient.examined;
        faulty |= !examined.faults.is_empty();
        match args.format {
            Format::Text => write_text(&mut out, &file, examined)?,
            Format::Json => write_json(&mut out, &file, examined)?,
        }
        if let Some(to) = &args.save_sound {
            let saved = patient.save(to);
            patient.progress.done();
            match saved {
                Ok(bytes) => eprintln!("{}: {}", to.display(), patient.saved(to, bytes)),
                Err(error) => {
                    unread = true;
                    eprintln!("nothing was written: {error}");
                }
            }
        }
    }
    out.flush()?;
    Ok(if unread {
        MISUSE
    } else if faulty {
        DOUBTS
    } else {
        0
    })
}

fn misused(args: &DoctorArgs) -> Option<u8> {
    let to = args.save_sound.as_ref()?;
    if args.files.len() > 1 {
        eprintln!("--save-sound takes one file at a time; name one");
        Some(MISUSE)
    } else if let Err(why) = paths::place(to) {
        eprintln!("{why}");
        Some(MISUSE)
    } else if to.exists() {
        eprintln!("{} is there already; name another file", to.display());
        Some(MISUSE)
    } else {
        None
    }
}

/// A file that is being examined.
struct Patient<'p> {
    path: &'p Path,
    examined: Examined,
    index: Index,
    /// The line that each entry of the index stands on.
    lines: Vec<u64>,
    sources: Sources,
    /// Sound photos go along where they are saved.
    keeps_photos: bool,
    progress: Progress,
}

/// Why a file is no book at all.
type NoBook = String;

impl<'p> Patient<'p> {
    fn of(path: &'p Path, save_sound: Option<&Path>) -> Self {
        let scratch = save_sound.map_or_else(std::env::temp_dir, |to| output::folder_of(to).into());
        Self {
            path,
            examined: Examined::default(),
            index: Index::default(),
            lines: Vec::new(),
            sources: Sources::new(&scratch),
            keeps_photos: save_sound.is_some_and(output::is_zip),
            progress: Progress::new(),
        }
    }

    /// Reads the file to its end, past every fault.
    fn examine(&mut self) -> Result<(), NoBook> {
        let path = self.path;
        let not_opened =
            |error: io::Error| format!("it could not be opened: {}", paths::why(path, &error));
        let file = File::open(path).map_err(not_opened)?;
        let length = match file.metadata() {
            Ok(meta) if meta.is_file() => meta.len(),
            _ => return self.pipe(file),
        };
        let mut input = BufReader::with_capacity(1 << 18, file);
        let beginning = input.fill_buf().map_err(not_opened)?;
        let is_book = begins_like_a_book(beginning);
        if archive::is_zip(beginning) {
            return self.archive(input.into_inner(), length);
        }
        if !is_book && ends_like_an_archive(input.get_ref(), length) {
            let words = "the ZIP archive is damaged: it does not begin as one; copy it again from where it was written, or open an earlier back-up";
            self.examined.fault(words, None);
            return self.archive(input.into_inner(), length);
        }
        let standing = Standing {
            source: self.sources.open(path).map_err(|e| e.to_string())?,
            from: 0,
            length,
        };
        if !is_book {
            return self.whole(input, &standing);
        }
        match self.stream(input, &standing)? {
            Followed::ToItsEnd => Ok(()),
            Followed::Not => {
                let file = File::open(path).map_err(not_opened)?;
                self.whole(file, &standing)
            }
        }
    }

    /// Examines what comes through a pipe: it is kept, as it comes once.
    fn pipe(&mut self, mut file: File) -> Result<(), NoBook> {
        let mut bytes = Vec::new();
        file.read_to_end(&mut bytes).map_err(|error| {
            format!("it could not be opened: {}", paths::why(self.path, &error))
        })?;
        if archive::is_zip(&bytes) {
            return Err("an archive is not examined through a pipe; copy it to a file".to_owned());
        }
        let standing = Standing {
            source: SCRATCH,
            from: self.sources.keep(&bytes).map_err(|e| e.to_string())?,
            length: bytes.len() as u64,
        };
        let is_book = begins_like_a_book(&bytes);
        if !is_book || matches!(self.stream(&*bytes, &standing)?, Followed::Not) {
            return self.whole(&*bytes, &standing);
        }
        Ok(())
    }

    fn archive(&mut self, file: File, length: u64) -> Result<(), NoBook> {
        self.examined.is_archive = true;
        let again = file.try_clone().map_err(|error| error.to_string())?;
        let mut filed = match Filed::open(FileReader::from(file), length) {
            Ok(filed) => filed,
            Err(error) if error.is_foreign() => return Err(error.to_string()),
            Err(error) => {
                self.examined.fault(error, None);
                match Filed::of_heads(FileReader::from(again), length) {
                    Some(filed) => filed,
                    None => {
                        let note = "the photos were not examined, as no one file in the archive is the book";
                        self.examined.notes.push(note.to_owned());
                        return self.nameless(length);
                    }
                }
            }
        };
        let source = self.sources.open(self.path).map_err(|e| e.to_string())?;
        let framed = self.examined.faults.is_empty();
        let read = self.book_of(&filed, source);
        if framed {
            read?;
        } else if self.index.slots.is_empty() {
            self.nameless(length)?;
        }
        self.photos(&mut filed, source)
    }

    fn book_of(&mut self, filed: &Filed<FileReader>, source: u32) -> Result<(), NoBook> {
        if let Some(range) = filed.stored_book() {
            let standing = Standing {
                source,
                from: range.start,
                length: range.end - range.start,
            };
            let input = BufReader::with_capacity(1 << 18, filed.part(range.clone()));
            if let Followed::Not = self.stream(input, &standing)? {
                self.whole(filed.part(range), &standing)?;
            }
        } else {
            let bytes = match filed.unpacked_book() {
                Ok(bytes) => bytes,
                Err(error) => {
                    let rest = filed.rest_of_book();
                    if rest.is_empty() {
                        return Err(error.to_string());
                    }
                    self.examined.fault(error, None);
                    rest
                }
            };
            let standing = Standing {
                source: SCRATCH,
                from: self.sources.keep(&bytes).map_err(|e| e.to_string())?,
                length: bytes.len() as u64,
            };
            if let Followed::Not = self.stream(Cursor::new(&bytes), &standing)? {
                self.whole(Cursor::new(&bytes), &standing)?;
            }
        }
        Ok(())
    }

    /// Looks for entries in an archive in which no book is found by its name: one that is stored stands there as it is.
    fn nameless(&mut self, length: u64) -> Result<(), NoBook> {
        let file = File::open(self.path).map_err(|error| error.to_string())?;
        let standing = Standing {
            source: self.sources.open(self.path).map_err(|e| e.to_string())?,
            from: 0,
            length,
        };
        let input = BufReader::with_capacity(1 << 18, file);
        if let Ok(Some(mut stream)) = Stream::past_head(input) {
            self.examined.written = stream.written().clone();
            self.examined.beyond = stream.beyond().to_vec();
            self.pieces(&mut stream, &standing);
        }
        Ok(())
    }

    fn photos(&mut self, filed: &mut Filed<FileReader>, source: u32) -> Result<(), NoBook> {
        let named = self.examined.naming.named();
        let found = self
            .sources
            .photos_of(filed, source, named, self.keeps_photos, &mut self.progress)
            .map_err(|error| error.to_string())?;
        let examined = &mut self.examined;
        examined.photos = found.sound;
        let nobody = if examined.faults.is_empty() {
            "in the archive is neither the book nor a photo of it"
        } else {
            "in the archive is neither the book nor a photo that a sound entry of it names"
        };
        for named in found.missing {
            let words = format!("photo {} is not in the archive", named.words());
            examined.fault(words, Some(named.record.as_str()));
        }
        for altered in found.altered {
            let named = altered.named.as_ref();
            let name = named.map_or_else(|| altered.path.clone(), photos::Named::words);
            let words = format!("photo {name}: {}", altered.why);
            examined.fault(words, named.map(|named| named.record.as_str()));
        }
        for name in found.unknown {
            examined.notes.push(format!("`{name}` {nobody}"));
        }
        Ok(())
    }

    /// Reads a book entry by entry.
    fn stream(&mut self, input: impl BufRead, standing: &Standing) -> Result<Followed, NoBook> {
        match Stream::open(input) {
            Ok(mut stream) => {
                self.examined.written = stream.written().clone();
                self.examined.beyond = stream.beyond().to_vec();
                let before = self.examined.clone();
                let followed = self.pieces(&mut stream, standing);
                if let Followed::Not = followed {
                    self.examined = before;
                    self.index = Index::default();
                    self.lines.clear();
                }
                Ok(followed)
            }
            Err(error) if error.is_newer() || error.is_unread() => Err(self.of_book(error)),
            Err(_) => Ok(Followed::Not),
        }
    }

    fn pieces(&mut self, stream: &mut Stream<impl BufRead>, standing: &Standing) -> Followed {
        loop {
            match stream.next_piece() {
                Ok(Some(piece)) => {
                    self.examined.add(&piece.entry);
                    let from = standing.from + piece.from;
                    let index = &mut self.index;
                    if index.add(&piece.entry, standing.source, from, piece.length) {
                        self.lines.push(piece.line);
                    } else {
                        self.examined.twice += 1;
                    }
                    self.progress.at("examining", stream.at(), standing.length);
                }
                Ok(None) => return Followed::ToItsEnd,
                Err(error) if error.is_unordered() => return Followed::Not,
                Err(error) => {
                    let goes_on = stream.go_on(&error);
                    self.fault_of_book(error);
                    if !goes_on {
                        return Followed::ToItsEnd;
                    }
                }
            }
        }
    }

    /// Reads a book in an order of its own, or one whose head is damaged: then its entries are looked for behind the head.
    fn whole(&mut self, mut input: impl Read, standing: &Standing) -> Result<(), NoBook> {
        let mut bytes = Vec::new();
        input
            .read_to_end(&mut bytes)
            .map_err(|error| format!("it could not be read: {}", paths::why(self.path, &error)))?;
        let error = match book::read_bytes(&bytes) {
            Ok(book) => return self.sound(&book),
            Err(error) if !error.is_damaged() => return Err(self.of_book(error)),
            Err(error) => error,
        };
        let past = Stream::past_head(Cursor::new(&bytes)).ok().flatten();
        let Some(mut stream) = past else {
            self.fault_of_book(error);
            return Ok(());
        };
        self.examined.written = stream.written().clone();
        self.examined.beyond = stream.beyond().to_vec();
        let before = self.examined.faults.len();
        // What the whole file is found fault with may be an entry, which is found at fault again by itself.
        let is_of_all = !error.is_altered();
        if is_of_all {
            self.fault_of_book(error.clone());
        }
        self.pieces(&mut stream, standing);
        if !is_of_all && self.examined.faults.len() == before {
            self.fault_of_book(error);
        }
        Ok(())
    }

    /// A book that is whole, in an order of its own.
    fn sound(&mut self, book: &book::BookFile) -> Result<(), NoBook> {
        self.examined.written = book.written.clone();
        self.examined.beyond = book.beyond.clone();
        for entry in &book.entries {
            self.examined.add(entry);
            let text = entry.text_with_id();
            let from = self.sources.keep(text.as_bytes());
            let from = from.map_err(|error| error.to_string())?;
            let is_new = self.index.add(entry, SCRATCH, from, text.len());
            self.examined.twice += usize::from(!is_new);
        }
        Ok(())
    }

    fn fault_of_book(&mut self, error: book::Error) {
        let record = error.record().map(ToString::to_string);
        let words = self.of_book(error);
        let is_told = |(told, _): &(String, _)| *told == words;
        if !self.examined.faults.iter().any(is_told) {
            self.examined.fault(words, record.as_deref());
        }
    }

    fn of_book(&self, error: book::Error) -> String {
        if self.examined.is_archive {
            archive::Error::of_book(error).to_string()
        } else {
            error.to_string()
        }
    }

    /// Writes what is sound of a damaged file as a whole book.
    fn save(&mut self, to: &Path) -> io::Result<u64> {
        if self.index.slots.is_empty() {
            return Err(io::Error::other(
                "no sound entry was found in the file; look for another copy, or an earlier back-up",
            ));
        }
        let order = self.index.in_order();
        output::write(
            to,
            &output::Head {
                written: &self.examined.written,
                beyond: &self.examined.beyond,
            },
            &self.index,
            &order,
            &mut self.sources,
            &mut self.progress,
            self.keeps_photos,
        )
    }

    /// What went into the file that was saved, and what did not.
    fn saved(&self, to: &Path, bytes: u64) -> String {
        let entries = counted(self.index.slots.len(), "sound entry", "sound entries");
        let photos = counted(self.examined.photos, "sound photo", "sound photos");
        let (with, without) = match self.examined.photos {
            0 => (String::new(), String::new()),
            _ if self.keeps_photos => (format!(" and {photos}"), String::new()),
            _ => (
                String::new(),
                format!(
                    "; {} along where it is named {}",
                    counted(self.examined.photos, "sound photo goes", "sound photos go"),
                    to.with_extension("zip").display()
                ),
            ),
        };
        let rest = match self.examined.faults.len() {
            0 if without.is_empty() => "the file was whole, so this is all of it",
            0 => "the file was whole",
            _ => "what was at fault is not in it",
        };
        format!("{entries}{with} written, {bytes} bytes; {rest}{without}")
    }
}

/// Whether the directory of an archive stands at the end, where its beginning is damaged.
fn ends_like_an_archive(file: &File, length: u64) -> bool {
    // APPNOTE.TXT 6.3.10 (PKWARE 2022), 4.3.16: the end of one without a comment.
    const END: u64 = 22;
    let mut end = [0; 4];
    let read = FileReader::from(match file.try_clone() {
        Ok(file) => file,
        Err(_) => return false,
    })
    .read_exact_at(&mut end, length.saturating_sub(END));
    read.is_ok() && end == *b"PK\x05\x06"
}

/// How far a book could be followed entry by entry.
enum Followed {
    ToItsEnd,
    /// It stands in an order of its own, or its head is damaged.
    Not,
}

/// What shows only when all entries are known.
fn look(examined: &mut Examined, index: &Index, lines: &[u64]) {
    let order = index.in_order();
    let by_record = index.by_record();
    let record_of = |place: &u32| index.slots[*place as usize].record;
    let (mut records, mut composed, mut photo_records) = (0, 0, 0);
    for record in by_record.chunk_by(|a, b| record_of(a) == record_of(b)) {
        records += 1;
        composed += usize::from(index.is_composed(record));
        photo_records += usize::from(index.kind(record) == Some("photo"));
    }
    examined.records = records;
    let standing = beyond::standing(&examined.beyond, || index.tells());
    // What a part builds on is elsewhere, and was never in it.
    let orphans = if standing.is_empty() {
        index.orphans()
    } else {
        Vec::new()
    };
    let wanted: HashSet<EntryId> = orphans.iter().map(|(entry, _)| *entry).collect();
    examined.standing.clone_from(&standing);
    let slots = index.slots.iter().enumerate();
    let places: HashMap<EntryId, usize> = slots
        .filter(|(_, slot)| wanted.contains(&slot.id))
        .map(|(place, slot)| (slot.id, place))
        .collect();
    for (entry, missing) in orphans {
        let place = places.get(&entry).copied();
        let record = place.map_or("", |place| index.names.name(index.slots[place].record));
        let line = place
            .and_then(|place| lines.get(place))
            .map_or_else(String::new, |line| format!(" on line {line}"));
        examined.fault(
            format!(
                "entry {entry}{line}, record `{record}`: it takes the place of {missing}, which is not among the sound entries of the file"
            ),
            Some(record),
        );
    }
    let mut note = |words: String| examined.notes.push(words);
    if !standing.is_empty() {
        note(format!(
            "this is a part: {}; {} the place of one that is not here",
            beyond::words(&standing),
            counted(
                index.orphans().len(),
                "entry of it takes",
                "entries of it take"
            )
        ));
    }
    if composed > 0 {
        note(format!(
            "{} changed by two, put together or to be settled",
            counted(composed, "record was", "records were")
        ));
    }
    if examined.twice > 0 {
        let words = counted(examined.twice, "entry is", "entries are");
        examined.notes.push(format!("{words} there twice"));
    }
    if photo_records > 0 && !examined.is_archive {
        let words = counted(
            photo_records,
            "photo that the book names is",
            "photos that the book names are",
        );
        examined.notes.push(format!(
            "{words} not in this file; an archive (ZIP) carries them"
        ));
    }
    if examined.unknown_kinds > 0 {
        let words = counted(examined.unknown_kinds, "entry is", "entries are");
        examined.notes.push(format!(
            "{words} of a kind that this version cannot read; they are kept as they are"
        ));
    }
    if !examined.unknown_acts.is_empty() {
        let acts: Vec<&str> = examined.unknown_acts.iter().map(String::as_str).collect();
        let note = format!("acts of a newer version: {}", listed(&acts));
        examined.notes.push(note);
    }
    let clones = index.clones(&order);
    examined
        .notes
        .extend(clones.iter().map(|cloned| cloned.words()));
    let clocks = index.clocks(&order);
    examined
        .notes
        .extend(clocks.iter().map(|jump| jump.words()));
}

fn write_text(out: &mut impl Write, file: &str, examined: &Examined) -> io::Result<()> {
    let people: Vec<&str> = examined.people.iter().map(String::as_str).collect();
    let by = if people.is_empty() {
        String::new()
    } else {
        format!(" by {}", listed(&people))
    };
    let whole = if examined.faults.is_empty() {
        "whole".to_owned()
    } else {
        counted(examined.faults.len(), "fault", "faults")
    };
    write!(
        out,
        "{file}: {whole}; {} of {}{by} on {}",
        counted(examined.entries, "sound entry", "sound entries"),
        counted(examined.records, "record", "records"),
        counted(examined.devices.len(), "tablet", "tablets")
    )?;
    if examined.photos > 0 {
        write!(out, ", {}", counted(examined.photos, "photo", "photos"))?;
    }
    if !examined.written.at.is_empty() {
        write!(out, ", written {}", examined.written.at)?;
    }
    writeln!(out)?;
    for (words, _) in examined.faults.iter().take(SHOWN) {
        writeln!(out, "  fault  {words}")?;
    }
    if examined.faults.len() > SHOWN {
        writeln!(out, "  and {} more faults", examined.faults.len() - SHOWN)?;
    }
    for note in &examined.notes {
        writeln!(out, "  note   {note}")?;
    }
    Ok(())
}

fn write_json(out: &mut impl Write, file: &str, examined: &Examined) -> io::Result<()> {
    for (words, record) in &examined.faults {
        writeln!(
            out,
            "{}",
            json!({ "file": file, "fault": words, "record": record })
        )?;
    }
    for note in &examined.notes {
        writeln!(out, "{}", json!({ "file": file, "note": note }))?;
    }
    let answer = json!({
        "file": file,
        "sound": examined.faults.is_empty(),
        "faults": examined.faults.len(),
        "entries": examined.entries,
        "records": examined.records,
        "people": examined.people,
        "tablets": examined.devices,
        "written": {
            "at": examined.written.at,
            "by": examined.written.by,
            "device": examined.written.device,
        },
        "photos": examined.photos,
        "beyond": examined.standing.iter().map(|(beyond, missing)| json!({
            "count": beyond.count,
            "digest": beyond.digest,
            "missing": missing,
        })).collect::<Vec<_>>(),
    });
    writeln!(out, "{answer}")
}
