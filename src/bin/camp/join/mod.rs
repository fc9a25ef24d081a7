//! `camp join`: many books become one, without one entry lost or doubled.
//!
//! Every file is read once from end to end and proved; what stays in memory of an entry is where it stands and what it supersedes.

mod answer;

use std::collections::HashSet;
use std::io::{self, BufWriter};
use std::path::{Path, PathBuf};

use clap::Args;
use hingeline::exchange::book::Written;
use hingeline::notebook::clocks::instant_s;
use hingeline::notebook::settle::{self, Difference, Version};
use hingeline::notebook::{
    Act, Body, Entry, Ledger, Pages, Reading, Sighting, State, Station, Twins, twins,
};

use crate::command::{DOUBTS, Format, MISUSE};
use crate::gather::index::{Index, KINDS};
use crate::gather::output;
use crate::gather::sources::{Sources, Told};
use crate::paths;
use crate::progress::Progress;
use crate::written::Legible;
use answer::{Contested, Found};

const HELP: &str = "\
Joining is the union of the books: the same in any order and grouping, and joining a book twice adds nothing.
Where two people changed different fields of a record, both changes are kept together; where they changed the same field, both
versions are kept and a person settles it (in the app: Camp, Settle). What was written earlier is never changed or left out.

The joined book is written under another name first and gets its own when every byte is on the disk: it is there whole or not at
all. Who wrote it and when is taken from the newest of the books, so that the same books give the same bytes in any order.
Without -o nothing is written, and you are told what joining would do.

Books with photos (ZIP) are joined into one ZIP: name the output with .zip, or leave the photos out with --without-photos.

With --format json each file gives one object a line, and the join one more at the end:
  {\"file\", \"by\", \"device\", \"at\", \"entries\", \"new\", \"same\", \"people\", \"devices\", \"photos\", \"left_out\", \"damaged\"}
  {\"joined\", \"bytes\", \"entries\", \"records\": {kind: count}, \"photos\", \"merged\", \"contested\": [{\"record\", \"name\", \"kind\", \"fields\",
   \"versions\": [{\"by\", \"device\", \"at\"}], \"differences\": [{\"words\", \"texts\"}]}], \"clones\", \"clocks\",
   \"twins\": [{\"numbers\", \"earlier\", \"later\", \"apart_m\", \"words\"}], \"orphans\"}
`new` and `same` count against the files named before it. `joined` is null where nothing was written.

Exit code:
  0  joined, and there is nothing to look at
  1  joined, and a person has something to look at: versions to settle, two stations with one number or at one place, a tablet
     with two histories, a clock that jumped, an entry whose predecessor no file has, or a file that was left out
  2  nothing was written: a file is damaged, the output is there already, the disk is full, or misuse

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
    if let Some(output) = &args.output
        && output.exists()
        && !args.force
    {
        eprintln!(
            "{} is there already; name another file, or write over it with --force",
            output.display()
        );
        return Ok(MISUSE);
    }
    if let Some(why) = args
        .output
        .as_ref()
        .and_then(|output| no_place(args, output))
    {
        eprintln!("nothing was written: {why}");
        return Ok(MISUSE);
    }
    match attempt(args) {
        Ok(code) => Ok(code),
        Err(error) if error.kind() == io::ErrorKind::BrokenPipe => Err(error),
        Err(error) => {
            eprintln!("nothing was written: {error}");
            Ok(MISUSE)
        }
    }
}

/// Why the joined book cannot go there, before anything is read.
fn no_place(args: &JoinArgs, output: &Path) -> Option<String> {
    let folder = output::folder_of(output);
    if output.is_dir() {
        return Some(format!(
            "{}: this is a folder; name a file in it",
            output.display()
        ));
    }
    if !folder.is_dir() {
        return Some(format!(
            "{}: there is no such folder; make it first, or name another",
            folder.display()
        ));
    }
    // Without its photos a book does not take the place of one that may have some.
    let files = args.files.iter().map(PathBuf::as_path);
    args.without_photos
        .then(|| paths::apart(output, files).err())
        .flatten()
}

fn attempt(args: &JoinArgs) -> io::Result<u8> {
    let scratch = match &args.output {
        Some(output) => output::folder_of(output).to_owned(),
        None => std::env::temp_dir(),
    };
    let mut progress = Progress::new();
    let mut sources = Sources::new(&scratch)?;
    let mut index = Index::default();
    let mut told: Vec<Told> = Vec::with_capacity(args.files.len());
    for file in &args.files {
        told.push(sources.take(file, &mut index, &mut progress)?);
    }
    let damaged = told.iter().any(|told| told.damaged.is_some());
    let stopped = damaged && !args.leave_out_damaged;
    let order = index.in_order();
    let mut found = look(&index, &order, &mut sources, &mut progress)?;
    found.photos = if args.without_photos {
        0
    } else {
        sources.photos.len()
    };
    let is_zip = |path: &PathBuf| {
        path.extension()
            .is_some_and(|e| e.eq_ignore_ascii_case("zip"))
    };
    let photos_lost = args
        .output
        .as_ref()
        .is_some_and(|output| found.photos > 0 && !is_zip(output));
    // What is left out is not in the joined book: that must not take its place.
    let left_out = args.files.iter().zip(&told);
    let left_out = left_out.filter(|(_, told)| told.damaged.is_some());
    let left_out = left_out.map(|(path, _)| path.as_path());
    let over = match &args.output {
        Some(output) if !stopped => paths::apart(output, left_out).err(),
        _ => None,
    };
    let held = stopped || photos_lost || over.is_some();
    if let Some(output) = args.output.as_ref().filter(|_| !held) {
        if args.without_photos {
            sources.photos.clear();
        }
        let written = written(&told);
        let bytes = output::write(
            output,
            &written,
            &index,
            &order,
            &mut sources,
            &mut progress,
            is_zip(output),
        )?;
        found.written = Some((output.display().to_string(), bytes));
    }
    progress.done();
    let out = Legible(BufWriter::new(io::stdout().lock()));
    answer::write(out, args.format, &told, &found)?;
    if stopped {
        eprintln!(
            "nothing was written: copy the damaged files again, or join the others with --leave-out-damaged"
        );
        return Ok(MISUSE);
    }
    if let Some(why) = over {
        eprintln!("nothing was written: {why}");
        return Ok(MISUSE);
    }
    if photos_lost {
        eprintln!(
            "nothing was written: the books hold {} photos; name the output with .zip to carry them, or leave them out with --without-photos",
            found.photos
        );
        return Ok(MISUSE);
    }
    Ok(if damaged || found.is_doubted() {
        DOUBTS
    } else {
        0
    })
}

/// The newest of the books says when, and all of them who.
fn written(told: &[Told]) -> Written {
    let sound = || told.iter().filter(|told| told.damaged.is_none());
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
        orphans: index.orphans(),
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
                let shown = ledger.state(name);
                let (number, station) = match shown.body() {
                    Some(Body::Reading(r)) => (r.number, Some(r.station.clone())),
                    Some(Body::Sighting(s)) => (s.number, Some(s.station.clone())),
                    Some(Body::Station(s)) => (s.number, None),
                    _ => (0, None),
                };
                let station = match station {
                    Some(station) => station_number(index, &by_record, &station, sources)?,
                    None => None,
                };
                let versions: Vec<Version> = settle::versions(&ledger, name);
                let differences: Vec<Difference> = settle::differences(&ledger, name);
                found.contested.push(Contested {
                    record: name.to_owned(),
                    kind: kind.unwrap_or_default(),
                    name: called(kind.unwrap_or_default(), number, station),
                    fields,
                    versions,
                    differences,
                });
            }
            State::Kept { entry, .. } if *entry.act() == Act::Merge => found.merged += 1,
            _ => {}
        }
    }
    found.contested.sort_by(|a, b| a.record.cmp(&b.record));
    found.twins = twins(index, &by_record, sources, progress)?;
    Ok(found)
}

/// Stations with one number, or plainly at one place, as the app's join page finds them. What is kept of a record for that is what
/// they are told by, never its texts: of a station its number, place and time, of a sighting where it leads, of the readings one a
/// station, as it matters only whether it holds anything.
fn twins(
    index: &Index,
    by_record: &[u32],
    sources: &mut Sources,
    progress: &mut Progress,
) -> io::Result<Vec<Twins>> {
    let record_of = |place: &u32| index.slots[*place as usize].record;
    let mut sketch = Ledger::new();
    let mut filled: HashSet<String> = HashSet::new();
    for (done, record) in by_record
        .chunk_by(|a, b| record_of(a) == record_of(b))
        .enumerate()
    {
        if !matches!(index.kind(record), Some("station" | "sighting" | "reading")) {
            continue;
        }
        progress.at("comparing stations", done as u64, by_record.len() as u64);
        let name = index.names.name(record_of(&record[0]));
        let ledger = ledger_of(index, record, sources)?;
        let state = ledger.state(name);
        let body = match state.body().filter(|_| !state.is_struck_out()) {
            Some(Body::Station(station)) => Body::Station(Station {
                number: station.number,
                at: station.at.clone(),
                position: station.position.clone(),
                same_as: station.same_as.clone(),
                apart_from: station.apart_from.clone(),
                ..Station::default()
            }),
            Some(Body::Sighting(sighting)) => Body::Sighting(Sighting {
                station: sighting.station.clone(),
                to: sighting.to.clone(),
                ..Sighting::default()
            }),
            Some(Body::Reading(reading)) if filled.insert(reading.station.clone()) => {
                Body::Reading(Reading {
                    station: reading.station.clone(),
                    ..Reading::default()
                })
            }
            _ => continue,
        };
        let began = ledger.history(name).first().map(|entry| entry.stamp());
        let stamp = began.cloned().unwrap_or_default();
        sketch.insert(Entry::new(
            name.into(),
            [],
            stamp,
            Act::Write,
            None,
            Some(body),
        ));
    }
    Ok(twins::twins(&sketch, &Pages::of(&sketch)))
}

fn called(kind: &str, number: u32, station: Option<u32>) -> String {
    match (kind, station) {
        ("station", _) => format!("station {number}"),
        ("reading", Some(station)) => format!("{station}.{number}"),
        ("sighting", Some(station)) => format!("{station} sighting {number}"),
        ("reading" | "sighting", None) => format!("{kind} {number}"),
        _ => kind.to_owned(),
    }
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
    let record = |place: &u32| index.slots[*place as usize].record;
    let from = by_record.partition_point(|place| record(place) < name);
    let to = by_record.partition_point(|place| record(place) <= name);
    let ledger = ledger_of(index, &by_record[from..to], sources)?;
    Ok(match ledger.state(station).body() {
        Some(Body::Station(station)) => Some(station.number),
        _ => None,
    })
}
