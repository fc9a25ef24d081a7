//! `camp doctor`: whether a book file is whole, and every fault of one that is not. Nothing is mended unasked.

use std::collections::{BTreeSet, HashMap, HashSet};
use std::fs::{self, File};
use std::io::{self, BufRead, BufReader, BufWriter, Write};
use std::path::{Path, PathBuf};

use clap::Args;
use hingeline::exchange::archive;
use hingeline::exchange::book::Written;
use hingeline::exchange::book::stream::{Stream, begins_like_a_book};
use hingeline::notebook::photos;
use hingeline::notebook::{Act, Entry, EntryId};
use serde_json::json;

use crate::command::{DOUBTS, Format, MISUSE};
use crate::gather::index::{Index, KINDS};
use crate::gather::output;
use crate::gather::sources::Sources;
use crate::paths;
use crate::progress::Progress;
use crate::written::{Legible, counted, listed};

const HELP: &str = "\
Every entry is hashed anew and held against the id it states, the count and the digest of the file against what is there, every
entry against the one it takes the place of, and in an archive (ZIP) every photo against its hash. One fault does not hide the next.

A fault is what was lost or changed. A note is what is worth knowing of a book that is whole: a tablet with two histories, a clock
that jumped, versions to settle, photos that are not in the file.

Nothing is mended unasked. With --save-sound the entries that prove themselves are written to another file, a whole book, and you are
told how many are not in it; the damaged file stays as it is. Try another copy first: a damaged card may hold an earlier back-up.

With --format json each fault and note gives one object a line, and each file one more at its end:
  {\"file\", \"fault\" or \"note\": in words, \"record\"}
  {\"file\", \"sound\", \"faults\", \"entries\", \"records\", \"people\", \"tablets\", \"written\": {\"at\", \"by\", \"device\"}, \"photos\"}

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
#[derive(Default)]
struct Examined {
    faults: Vec<(String, Option<String>)>,
    notes: Vec<String>,
    written: Written,
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
    let mut progress = Progress::new();
    let (mut faulty, mut unread) = (false, false);
    for path in &args.files {
        let file = path.display().to_string();
        let mut index = Index::default();
        let mut lines = Vec::new();
        let examined = examine(path, &mut index, &mut lines, &mut progress);
        progress.done();
        let mut examined = match examined {
            Ok(examined) => examined,
            Err(why) => {
                unread = true;
                eprintln!("{file}: {why}");
                continue;
            }
        };
        look(&mut examined, &index, &lines);
        faulty |= !examined.faults.is_empty();
        match args.format {
            Format::Text => write_text(&mut out, &file, &examined)?,
            Format::Json => write_json(&mut out, &file, &examined)?,
        }
        if let Some(to) = &args.save_sound {
            match save(path, to, &examined.written, &index, &mut progress) {
                Ok(bytes) => eprintln!(
                    "{}: {} written, {bytes} bytes{}",
                    to.display(),
                    counted(index.slots.len(), "sound entry", "sound entries"),
                    match examined.faults.len() {
                        0 => "; the file was whole, so this is all of it",
                        _ => "; what was at fault is not in it",
                    }
                ),
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
    } else if to.exists() {
        eprintln!("{} is there already; name another file", to.display());
        Some(MISUSE)
    } else {
        None
    }
}

/// Reads a file to its end, past every fault; an error is a file that is no book at all.
fn examine(
    path: &Path,
    index: &mut Index,
    lines: &mut Vec<u64>,
    progress: &mut Progress,
) -> Result<Examined, String> {
    let not_opened =
        |error: io::Error| format!("it could not be opened: {}", paths::why(path, &error));
    let file = File::open(path).map_err(not_opened)?;
    let size = file.metadata().map_or(0, |meta| meta.len());
    let mut input = BufReader::with_capacity(1 << 18, file);
    let beginning = input.fill_buf().map_err(not_opened)?;
    if !begins_like_a_book(beginning) {
        return examine_whole(path, index);
    }
    let mut examined = Examined::default();
    let mut stream = match Stream::open(&mut input) {
        Ok(stream) => stream,
        Err(error) if error.is_unordered() => return examine_whole(path, index),
        Err(error) if error.is_newer() || error.is_unread() => return Err(error.to_string()),
        Err(error) => {
            let record = error.record().map(ToString::to_string);
            examined.fault(error, record.as_deref());
            return Ok(examined);
        }
    };
    examined.written = stream.written().clone();
    loop {
        match stream.next_piece() {
            Ok(Some(piece)) => {
                examined.add(&piece.entry);
                if index.add(&piece.entry, Sources::FIRST, piece.from, piece.length) {
                    lines.push(piece.line);
                } else {
                    examined.twice += 1;
                }
                progress.at("examining", stream.at(), size);
            }
            Ok(None) => return Ok(examined),
            Err(error) if error.is_unordered() => {
                *index = Index::default();
                lines.clear();
                return examine_whole(path, index);
            }
            Err(error) => {
                let record = error.record().map(ToString::to_string);
                let goes_on = stream.go_on(&error);
                examined.fault(error, record.as_deref());
                if !goes_on {
                    return Ok(examined);
                }
            }
        }
    }
}

/// Examines an archive, or a book in an order of its own.
fn examine_whole(path: &Path, index: &mut Index) -> Result<Examined, String> {
    let bytes = fs::read(path)
        .map_err(|error| format!("it could not be read: {}", paths::why(path, &error)))?;
    let mut examined = Examined::default();
    let archive = match archive::read_any(&bytes) {
        Ok(archive) => archive,
        Err(error) if error.is_foreign() || !error.is_damaged() => return Err(error.to_string()),
        Err(error) => {
            let record = error.book().and_then(|error| error.record()).cloned();
            examined.fault(error, record.as_ref().map(|record| record.as_str()));
            return Ok(examined);
        }
    };
    let is_zip = archive::is_zip(&bytes);
    examined.written = archive.book.written.clone();
    examined.photos = archive.photos.len();
    for entry in &archive.book.entries {
        examined.add(entry);
        examined.twice += usize::from(!index.add(entry, 0, 0, 0));
    }
    if is_zip {
        for named in &archive.missing {
            let words = format!("photo {} is not in the archive", named.words());
            examined.fault(words, Some(named.record.as_str()));
        }
        for altered in &archive.altered {
            let named = altered.named.as_ref();
            let name = named.map_or_else(|| altered.path.clone(), photos::Named::words);
            let words = format!("photo {name}: {}", altered.why);
            examined.fault(words, named.map(|named| named.record.as_str()));
        }
        for name in &archive.unknown {
            let note = format!("`{name}` in the archive is neither the book nor a photo of it");
            examined.notes.push(note);
        }
    }
    Ok(examined)
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
    let orphans = index.orphans();
    let wanted: HashSet<EntryId> = orphans.iter().map(|(entry, _)| *entry).collect();
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
    if photo_records > 0 && examined.photos == 0 {
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

/// Writes what is sound of a damaged file as a whole book.
fn save(
    path: &Path,
    to: &Path,
    written: &Written,
    index: &Index,
    progress: &mut Progress,
) -> io::Result<u64> {
    let mut sources = Sources::new(output::folder_of(to))?;
    if index.slots.iter().any(|slot| slot.source != Sources::FIRST) {
        return Err(io::Error::other(
            "only a book file by itself can be saved in part; unpack the archive and name its book.json",
        ));
    }
    sources.open(path)?;
    let order = index.in_order();
    output::write(to, written, index, &order, &mut sources, progress, false)
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
    });
    writeln!(out, "{answer}")
}
