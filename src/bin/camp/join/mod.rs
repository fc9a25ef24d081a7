//! `camp join`: many books become one, without one entry lost or doubled.
//!
//! Every file is read once from end to end and proved; what stays in memory of an entry is where it stands and what it supersedes.

mod answer;

mod numbers;

use std::fmt::Display;
use std::io::{self, BufWriter};
use std::path::{Path, PathBuf};

use clap::Args;
use hingeline::exchange::book::Written;
use hingeline::notebook::beyond::{self, Beyond};
use hingeline::notebook::clocks::instant_s;
use hingeline::notebook::namesakes::Taken;
use hingeline::notebook::photos::Named;
use hingeline::notebook::settle::{self, Difference, Version};
use hingeline::notebook::{Act, Body, Ledger, State};

use crate::command::{DOUBTS, Format, MISUSE};
use crate::gather::index::{Index, KINDS, Name};
use crate::gather::output;
use crate::gather::sources::{LeftOut, Sources, Told};
use crate::paths;
use crate::progress::Progress;
use crate::written::{Legible, counted};
use answer::{Contested, Found, Orphan};

const HELP: &str = "\
Joining is the union of the books: the same in any order and grouping, and joining a book twice adds nothing.
Where two people changed different fields of a record, both changes are kept together; where they changed the same field, both
versions are kept and a person settles it (in the app: Camp, Settle). What was written earlier is never changed or left out.

The joined book is written under another name first and gets its own when every byte is on the disk: it is there whole or not at
all. Who wrote it and when is taken from the newest of the books, so that the same books give the same bytes in any order.
Without -o nothing is written, and you are told what joining would do.

A part (see `camp changes`) is joined like a book, before or after the one it goes beyond. Where that is not among the files you are
told, and the joined book is a part itself until the rest is joined to it.

Books with photos (ZIP) are joined into one ZIP: name the output with .zip, or leave the photos out with --without-photos.
A photo that is not as it was written is left out. You are told of each, and of each that the books name and no file brings.

Where the output is a link, the file it leads to is written. What is no file, as a device or a pipe, is never written over, and
neither is one of the files of which something is left out.

With --format json each file gives one object a line, and the join one more at the end:
  {\"file\", \"by\", \"device\", \"at\", \"entries\", \"new\", \"same\", \"people\", \"devices\", \"photos\", \"left_out\", \"damaged\"}
  {\"joined\", \"bytes\", \"entries\", \"records\": {kind: count}, \"photos\", \"merged\", \"contested\": [{\"record\", \"name\", \"kind\", \"fields\",
   \"versions\": [{\"by\", \"device\", \"at\"}], \"differences\": [{\"words\", \"texts\"}]}], \"clones\", \"clocks\",
   \"absent\": [photo], \"twins\": [{\"numbers\", \"earlier\", \"later\", \"apart_m\", \"words\",
   \"stations\": [{\"record\", \"name\", \"by\", \"device\", \"at\"}]}],
   \"namesakes\": [{\"name\", \"kind\", \"number\", \"words\", \"records\": [{\"record\", \"name\", \"by\", \"device\", \"at\"}]}],
   \"orphans\": [{\"entry\", \"missing\", \"record\", \"name\", \"by\", \"device\", \"at\"}], \"beyond\": [{\"count\", \"digest\", \"missing\"}]}
`new` and `same` count against the files named before it. `joined` is null where nothing was written.

Exit code:
  0  joined, and there is nothing to look at
  1  joined, and a person has something to look at: versions to settle, two stations with one number or at one place, two
     readings, sightings or photos of one station with one number, a tablet with two histories, a clock that jumped, an entry
     whose predecessor no file has, a part without the book it goes beyond, a photo that was altered or that no file brings, or
     a file that was left out
  2  nothing was written: a file is damaged, the output is there already, the disk is full, or misuse; or the book was written
     and this answer could not be, which is said

Examples:
  camp join monday/*.json -o camp.json
  camp join ours.json theirs.json                  (says what joining would do)
  camp join *.json --leave-out-damaged -o camp.json
  camp join a.zip b.json -o camp.zip --force
  camp join --format json *.json | jq 'select(.contested) | .contested[].name'
Then:
  camp check camp.json                             (what else is doubted)";

#[derive(Args)]
#[command(after_long_help = HELP)]
pub(crate) struct JoinArgs {
    /// Book files, or archives of a book and its photos
    #[arg(required = true, value_name = "FILE")]
    files: Vec<PathBuf>,
    /// Where the joined book goes; without it nothing is written
    #[arg(short, long, value_name = "FILE")]
    output: Option<PathBuf>,
    /// Write over the output if it is there
    #[arg(long)]
    force: bool,
    /// Join the sound files and leave the damaged ones out, each named
    #[arg(long)]
    leave_out_damaged: bool,
    /// Write the book without its photos
    #[arg(long)]
    without_photos: bool,
    /// How the answer is written
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
}

/// Joins; the exit code.
pub(crate) fn join(args: &JoinArgs) -> io::Result<u8> {
    let output = match args.output.as_deref().map(|output| place(args, output)) {
        None => None,
        Some(Ok(path)) => Some(path),
        Some(Err(why)) => return Ok(nothing(why)),
    };
    let (told, found, held) = match attempt(args, output.as_deref()) {
        Ok(done) => done,
        Err(error) => return Ok(nothing(error)),
    };
    let out = Legible(BufWriter::new(io::stdout().lock()));
    let answered = answer::write(out, args.format, &told, &found);
    if let Some(why) = held {
        // Why nothing was written matters more than that nobody hears what was found.
        return Ok(nothing(why));
    }
    match (answered, &found.written) {
        (Err(error), Some((file, bytes))) if error.kind() != io::ErrorKind::BrokenPipe => {
            eprintln!(
                "{file} was written, whole, {bytes} bytes; only this answer could not be: {error}"
            );
            return Ok(MISUSE);
        }
        (answered, _) => answered?,
    }
    let left_out = told
        .iter()
        .any(|told| told.left_out.is_some() || told.altered > 0);
    Ok(if left_out || found.is_doubted() {
        DOUBTS
    } else {
        0
    })
}

fn nothing(why: impl Display) -> u8 {
    eprintln!("nothing was written: {why}");
    MISUSE
}

/// Where the joined book goes, or why it cannot go there, before anything is read.
fn place(args: &JoinArgs, output: &Path) -> Result<PathBuf, String> {
    let path = paths::free_place(output, args.force)?;
    // Without its photos a book does not take the place of one that may have some.
    if args.without_photos {
        paths::apart(&path, args.files.iter().map(PathBuf::as_path))?;
    }
    Ok(path)
}

/// What was read and what the join comes to; and why it was not written, where it could have been.
type Done = (Vec<Told>, Found, Option<String>);

fn attempt(args: &JoinArgs, output: Option<&Path>) -> io::Result<Done> {
    let scratch = match output {
        Some(output) => output::folder_of(output).to_owned(),
        None => std::env::temp_dir(),
    };
    let mut progress = Progress::new();
    let mut sources = Sources::new(&scratch);
    let mut index = Index::default();
    let mut told: Vec<Told> = Vec::with_capacity(args.files.len());
    for file in &args.files {
        told.push(sources.take(file, &mut index, &mut progress)?);
    }
    if args.without_photos {
        sources.photos.clear();
    }
    let order = index.in_order();
    let mut found = look(&index, &order, &mut sources, &mut progress)?;
    found.photos = sources.photos.len();
    let sound = told.iter().filter(|told| told.left_out.is_none());
    found.standing = beyond::standing(sound.flat_map(|told| &told.beyond), || index.tells());
    if !args.without_photos && told.iter().any(|told| told.is_archive) {
        let named = sources.naming.named();
        let absent = named
            .iter()
            .filter(|named| !sources.photos.contains_key(&named.sha256));
        found.absent = absent.map(Named::words).collect();
    }
    let held = held(args, output, &told, &found);
    if let Some(output) = output.filter(|_| held.is_none()) {
        let written = written(&told);
        let beyond: Vec<Beyond> = found.standing.iter().map(|(one, _)| one.clone()).collect();
        let bytes = output::write(
            output,
            &output::Head {
                written: &written,
                beyond: &beyond,
            },
            &index,
            &order,
            &mut sources,
            &mut progress,
            output::is_zip(output),
        )?;
        // By the name that was given, where that is a link.
        let name = args.output.as_deref().unwrap_or(output);
        found.written = Some((name.display().to_string(), bytes));
    }
    progress.done();
    Ok((told, found, held))
}

/// Why the joined book is not written, now that the files were read, and the way out.
fn held(args: &JoinArgs, output: Option<&Path>, told: &[Told], found: &Found) -> Option<String> {
    let left_out: Vec<&LeftOut> = told
        .iter()
        .filter_map(|told| told.left_out.as_ref())
        .collect();
    let others = left_out.len() < told.len();
    if !left_out.is_empty() && (!args.leave_out_damaged || !others) {
        let again = if left_out.iter().all(|left_out| left_out.is_damaged) {
            "copy the damaged files again"
        } else {
            "see above what is wrong with each file"
        };
        let or = if args.leave_out_damaged {
            "; none is left to be joined"
        } else if others {
            ", or join the others with --leave-out-damaged"
        } else {
            ""
        };
        return Some(format!("{again}{or}"));
    }
    let output = output?;
    // What is not in the joined book must not be written over by it.
    let short = args.files.iter().zip(told);
    let short = short.filter(|(_, told)| told.left_out.is_some() || told.holds_more);
    if paths::apart(output, short.map(|(path, _)| path.as_path())).is_err() {
        return Some(format!(
            "{}: this is one of the files that are read, and what is left out of it would be lost; give another path",
            output.display()
        ));
    }
    (found.photos > 0 && !output::is_zip(output)).then(|| {
        format!(
            "the books hold {}; name the output with .zip to carry them, or leave them out with --without-photos",
            counted(found.photos, "photo", "photos")
        )
    })
}

/// The newest of the books says when, and all of them who.
fn written(told: &[Told]) -> Written {
    let sound = || told.iter().filter(|told| told.left_out.is_none());
    let newest = sound().max_by_key(|told| {
        let at = told.written.at.as_str();
        (instant_s(at), at)
    });
    let mut by: Vec<&str> = sound()
        .flat_map(|told| told.written.by.split(" + "))
        .filter(|by| !by.is_empty())
        .collect();
    by.sort_unstable();
    by.dedup();
    Written {
        at: newest.map_or_else(String::new, |told| told.written.at.clone()),
        by: by.join(" + "),
        device: "camp".to_owned(),
    }
}

/// Looks at the records that several files have changed, one by one.
fn look(
    index: &Index,
    order: &[u32],
    sources: &mut Sources,
    progress: &mut Progress,
) -> io::Result<Found> {
    let mut found = Found {
        entries: index.slots.len(),
        clones: index.clones(order),
        clocks: index.clocks(order),
        ..Found::default()
    };
    let by_record = index.by_record();
    let record_of = |place: &u32| index.slots[*place as usize].record;
    for (done, record) in by_record
        .chunk_by(|a, b| record_of(a) == record_of(b))
        .enumerate()
    {
        let kind = index.kind(record);
        let place = KINDS.iter().position(|known| Some(*known) == kind);
        found.records[place.unwrap_or(KINDS.len())] += 1;
        if !index.is_composed(record) {
            continue;
        }
        progress.at("comparing", done as u64, by_record.len() as u64);
        let ledger = ledger_of(index, record, sources)?;
        let name = index.names.name(index.slots[record[0] as usize].record);
        match ledger.state(name) {
            State::Contested { fields, .. } => {
                let versions: Vec<Version> = settle::versions(&ledger, name);
                let differences: Vec<Difference> = settle::differences(&ledger, name);
                let unclear = ledger.lacks_before(name);
                found.contested.push(Contested {
                    record: name.to_owned(),
                    kind: kind.unwrap_or_default(),
                    name: called(index, &by_record, kind, &ledger.state(name), sources)?,
                    fields,
                    unclear,
                    versions,
                    differences,
                });
            }
            State::Kept { entry, .. } if *entry.act() == Act::Merge => found.merged += 1,
            _ => {}
        }
    }
    found.contested.sort_by(|a, b| a.record.cmp(&b.record));
    (found.twins, found.namesakes) = numbers::look(index, &by_record, sources, progress)?;
    for (entry, missing) in index.orphans() {
        let Some(slot) = index.get(&entry) else {
            continue;
        };
        let record = record(&by_record, index, slot.record);
        let ledger = ledger_of(index, record, sources)?;
        let name = index.names.name(slot.record);
        let stamp = ledger.get(&entry).map(|entry| entry.stamp().clone());
        let kind = index.kind(record);
        found.orphans.push(Orphan {
            entry,
            missing,
            record: name.to_owned(),
            name: called(index, &by_record, kind, &ledger.state(name), sources)?,
            stamp: stamp.unwrap_or_default(),
        });
    }
    Ok(found)
}

/// What a record is called: `station 47`, `47.3`, `photo 47·P2`; by what it says now where its entries are of several kinds.
fn called(
    index: &Index,
    by_record: &[u32],
    kind: Option<&'static str>,
    state: &State,
    sources: &mut Sources,
) -> io::Result<String> {
    let mut number = |station: &str| -> io::Result<Option<u32>> {
        station_number(index, by_record, station, sources)
    };
    Ok(match state.body() {
        Some(Body::Station(station)) => format!("station {}", station.number),
        Some(Body::Reading(reading)) => match number(&reading.station)? {
            Some(station) => format!("{station}.{}", reading.number),
            None => format!("reading {}", reading.number),
        },
        Some(Body::Sighting(sighting)) => match number(&sighting.station)? {
            Some(station) => format!("{station} sighting {}", sighting.number),
            None => format!("sighting {}", sighting.number),
        },
        Some(Body::Photo(photo)) => {
            let station = number(&photo.station)?;
            let station = station.map_or("?".to_owned(), |number| number.to_string());
            format!("photo {}", Taken::Photo.name(&station, photo.number))
        }
        Some(Body::SetUp(set_up)) if !set_up.name.is_empty() => format!("set-up {}", set_up.name),
        _ => match kind {
            None => "a record that was struck out".to_owned(),
            Some("") => "a record of another kind".to_owned(),
            Some(kind) => kind.to_owned(),
        },
    })
}

/// The places of the entries of a record.
fn record<'r>(by_record: &'r [u32], index: &Index, name: Name) -> &'r [u32] {
    let record = |place: &u32| index.slots[*place as usize].record;
    let from = by_record.partition_point(|place| record(place) < name);
    let to = by_record.partition_point(|place| record(place) <= name);
    &by_record[from..to]
}

fn ledger_of(index: &Index, record: &[u32], sources: &mut Sources) -> io::Result<Ledger> {
    let entries: io::Result<Vec<_>> = record
        .iter()
        .map(|&place| sources.entry(&index.slots[place as usize]))
        .collect();
    Ok(entries?.into_iter().collect())
}

fn station_number(
    index: &Index,
    by_record: &[u32],
    station: &str,
    sources: &mut Sources,
) -> io::Result<Option<u32>> {
    let Some(name) = index.names.find(station) else {
        return Ok(None);
    };
    let ledger = ledger_of(index, record(by_record, index, name), sources)?;
    Ok(match ledger.state(station).body() {
        Some(Body::Station(station)) => Some(station.number),
        _ => None,
    })
}
