//! `camp import`: a table from elsewhere becomes records of a book, as the app's page does it.

mod answer;

use std::collections::BTreeSet;
use std::fs;
use std::io::{self, Read};
use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};
use hingeline::exchange::table_import::{
    self, Brought, DateOrder, Matching, StationsOf, Table, What, bring_telling, guess,
};
use hingeline::exchange::{archive, book};
use hingeline::notebook::beyond;
use hingeline::notebook::{
    Act, Body, Book, Entry, Ledger, North, Pages, RecordId, Stamp, attitude,
};

use crate::command::{DOUBTS, Format, MISUSE};
use crate::declination::now_text;
use crate::hand_over::output::Output;
use crate::paths;
use crate::progress::Progress;
use crate::read::Pairs;
use answer::Answer;

const HELP: &str = "\
A table (CSV) of any columns, in any order: commas, semicolons, tabs or bars; decimal commas; quotes; degree signs; UTF-8, UTF-16
with a byte order mark, or else Windows-1252. What each column is, is found out from its heading and its values, and said with the
reason; --column says it otherwise, by heading or by number:
  station, station-name, latitude, longitude, easting, northing, zone, height, accuracy, unit, lithology
  kind, written (045/30SE, N45E/30SE, 30→135, 12→240), plane, line
  strike, dip (also 30SE), toward (an azimuth or compass letters), side, trend, plunge, rake, angle
  tops, sense, north, declination, right-hand, struck-out, reading, shot, date, time, who
  note, kept (in the note, under its heading), left-out
A column headed by a kind of structure that holds whole readings, as `bedding` over 045/30SE, is read as readings of that kind.
The tables of `camp hand-over --format csv` are known by their headings: stations.csv, then shots.csv and sightings.csv. A row is
known by its record: what the book has already does not come twice, and what differs from it is doubted and not taken.
readings.csv has means: it is for others, and is read where there are no shots. Set-ups, photos and who wrote what when are in no
table; `camp join` brings the book itself.

Nothing is refused and nothing lost: what cannot be read goes into the note under its heading, the doubts are those of the keypad,
and every record keeps the row it came from. The same file brought into the same book again adds nothing.

Without -o nothing is written, and you are told what the table would bring.

With --format json one object: table, encoding, separator, remarks, columns [{column, heading, what, why, samples}],
asks (what the table does not say: north, pairs, zone, kind, dates), rows {rows, taken, here, struck_out, nothing, left_out,
differ, withdrawn, words, doubted}, stations, readings, sightings, without_declination, doubts, not_read, words, notes, findings [{line, column, heading, weight, words}], output.

Exit code:
  0  everything was brought, without a doubt
  1  something is doubted, could not be read, or stayed; or there is nothing to bring
  2  a file cannot be read or written, or misuse: nothing is written

Examples:
  camp import outcrops.csv
  camp import outcrops.csv -o outcrops.json --north magnetic --declination 2.5W --kind bedding
  camp import outcrops.csv --into camp.json -o camp-2.json --column Azimut=strike --column 5=dip
  camp import stations.csv -o a.json && camp import shots.csv --into a.json -o b.json
Then:
  camp check b.json                                (what else is doubted)";

#[derive(Args)]
#[command(after_long_help = HELP)]
pub(crate) struct ImportArgs {
    /// The table (CSV); - reads standard input
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// Where the book goes; without it nothing is written
    #[arg(short, long, value_name = "FILE")]
    output: Option<PathBuf>,
    /// The book that the table is brought into; else a new one
    #[arg(long, value_name = "BOOK")]
    into: Option<PathBuf>,
    /// What a column is: its heading, or its number from 1, and one of the names above
    #[arg(long, value_name = "NAME=WHAT")]
    column: Vec<String>,
    /// The north that bearings count from, where no column says so
    #[arg(long, value_enum)]
    north: Option<NorthName>,
    /// The declination that goes with it, degrees, east positive: 2.5, 2.5W
    #[arg(long, value_name = "DEGREES", allow_hyphen_values = true)]
    declination: Option<String>,
    /// What a pair of bare numbers means
    #[arg(long, value_enum)]
    convention: Option<Pairs>,
    /// The zone of UTM, where no column says so: 33N
    #[arg(long, value_name = "ZONE")]
    zone: Option<String>,
    /// The kind of structure, where no column says so
    #[arg(long, value_name = "KIND")]
    kind: Option<String>,
    /// Which number of a day like 06/07/2026 comes first
    #[arg(long, value_enum)]
    dates: Option<Dates>,
    /// To which stations the rows go
    #[arg(long, value_enum)]
    stations: Option<Stations>,
    /// Leave out rows with a doubt, or with something that cannot be read
    #[arg(long)]
    leave_out_doubted: bool,
    /// The initials of who brings it in
    #[arg(long, value_name = "INITIALS", default_value = "")]
    by: String,
    /// Write over the output if it is there
    #[arg(long)]
    force: bool,
    /// How the answer is written
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
}

#[derive(Clone, Copy, ValueEnum)]
enum NorthName {
    /// True north
    True,
    /// Magnetic north
    Magnetic,
    /// Grid north of UTM
    Grid,
    /// Nobody knows
    Unknown,
}

#[derive(Clone, Copy, ValueEnum)]
enum Dates {
    /// 6 July
    DayFirst,
    /// 7 June
    MonthFirst,
}

#[derive(Clone, Copy, ValueEnum)]
enum Stations {
    /// New stations; where a number is taken they get the next free one
    New,
    /// The book's station of the same number or name, where there is one
    Book,
}

pub(crate) fn import(args: &ImportArgs) -> io::Result<u8> {
    match attempt(args) {
        Ok(code) => code,
        Err(why) => {
            eprintln!("{why}");
            Ok(MISUSE)
        }
    }
}

/// Brings the table in; the outer error is a refusal in words, the inner one that the answer could not be written.
fn attempt(args: &ImportArgs) -> Result<io::Result<u8>, String> {
    let output = match &args.output {
        Some(path) => {
            paths::apart(path, [args.file.as_path()])?;
            Some(Output::at(path, args.force)?)
        }
        None => None,
    };
    let (name, bytes) = read(&args.file)?;
    let table = table_import::read(&name, &bytes);
    let mut matching = guess(&table);
    change(&mut matching, &table, args)?;
    let ledger = match &args.into {
        Some(path) => book_at(path)?,
        None => Ledger::new(),
    };
    let pages = Pages::of(&ledger);
    let now = now_text();
    let none = BTreeSet::new();
    let mut progress = Progress::new();
    let mut of = |left_out: &BTreeSet<usize>| {
        let mut at = |done, of| progress.at("reading the rows", done, of);
        bring_telling(
            &table,
            &matching,
            (&ledger, &pages),
            left_out,
            &now,
            &mut at,
        )
    };
    let mut brought = of(&none);
    if args.leave_out_doubted {
        let rows = brought.rows.iter().enumerate();
        let doubted = rows.filter(|(_, row)| row.is_doubted()).map(|(at, _)| at);
        brought = of(&doubted.collect());
    }
    progress.done();
    let mut written = None;
    if let (Some(output), false) = (&output, brought.records.is_empty()) {
        let text = written_book(args, &table, &brought, ledger, &now);
        output.file(text.as_bytes())?;
        written = args.output.as_ref().map(|path| path.display().to_string());
    }
    let counts = brought.counts;
    let clean = counts.taken == counts.rows && counts.doubted == 0 && counts.rows > 0;
    let answer = Answer {
        table: &table,
        matching: &matching,
        brought: &brought,
        written,
        wanted: args.output.is_some(),
    };
    Ok(answer
        .write(args.format)
        .map(|()| if clean { 0 } else { DOUBTS }))
}

fn read(path: &Path) -> Result<(String, Vec<u8>), String> {
    let of = |e: io::Error| {
        let why = paths::why(path, &e);
        format!("{}: it could not be read: {why}", path.display())
    };
    if path.as_os_str() == "-" {
        let mut bytes = Vec::new();
        io::stdin().lock().read_to_end(&mut bytes).map_err(of)?;
        return Ok(("standard input".to_owned(), bytes));
    }
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    Ok((name.into_owned(), fs::read(path).map_err(of)?))
}

fn book_at(path: &Path) -> Result<Ledger, String> {
    let of = |why: &dyn std::fmt::Display| format!("{}: {why}", path.display());
    let bytes = fs::read(path).map_err(|e| of(&paths::why(path, &e)))?;
    let archive = archive::read_any(&bytes).map_err(|e| of(&e))?;
    if !archive.photos.is_empty() {
        return Err(of(&format!(
            "the book holds {} photos, which a book file alone would leave behind; bring the table into a new book, and put the two together with `camp join`",
            archive.photos.len()
        )));
    }
    let left_behind = archive.altered.iter().map(|altered| &altered.path);
    let left_behind = left_behind.chain(&archive.unknown);
    if let Some(name) = left_behind.chain(archive.book.more.keys()).next() {
        return Err(of(&format!(
            "it holds `{name}`, which a book file alone would leave behind; bring the table into a new book, and put the two together with `camp join`"
        )));
    }
    let ledger: Ledger = archive.book.entries.into_iter().collect();
    let standing = beyond::standing_in(&archive.book.beyond, &ledger);
    if !standing.is_empty() {
        return Err(of(&format!(
            "this is a part, and a table is brought into a whole book: {}; put them together with `camp join`",
            beyond::words(&standing)
        )));
    }
    Ok(ledger)
}

/// What the person says otherwise.
fn change(matching: &mut Matching, table: &Table, args: &ImportArgs) -> Result<(), String> {
    for said in &args.column {
        let (column, what) = said.rsplit_once('=').ok_or_else(|| {
            format!(
                "--column `{said}` has no `=`; write a heading and what it is, as Azimut=strike"
            )
        })?;
        let read = What::read(what).ok_or_else(|| {
            let names: Vec<&str> = What::ALL.iter().map(|what| what.name()).collect();
            format!(
                "--column `{said}`: `{what}` is none of {}",
                names.join(", ")
            )
        })?;
        let headings = &table.headings;
        let by_heading = headings.iter().position(|heading| heading == column.trim());
        let by_number = column.trim().parse::<usize>().ok();
        let by_number = by_number.and_then(|n| n.checked_sub(1));
        let place = by_heading.or(by_number).filter(|at| *at < headings.len());
        let place = place.ok_or_else(|| {
            format!(
                "--column `{said}`: there is no column `{column}`; there is {}",
                headings.join(", ")
            )
        })?;
        matching.set(place, read);
    }
    if let Some(north) = args.north {
        matching.north = match north {
            NorthName::True => North::True,
            NorthName::Magnetic => North::Magnetic,
            NorthName::Grid => North::Grid,
            NorthName::Unknown => North::Unknown,
        };
    }
    if let Some(declination) = &args.declination {
        if attitude::declination(declination).is_none() {
            return Err(format!(
                "--declination `{declination}` is not a number of degrees, as 2.5 or 2.5W"
            ));
        }
        matching.declination = Some(declination.clone());
    }
    if let Some(pairs) = args.convention {
        matching.pairs = pairs.into();
    }
    if let Some(zone) = &args.zone {
        if !table_import::is_zone(zone) {
            return Err(format!("--zone `{zone}` is no zone of UTM, as 33N"));
        }
        matching.zone = Some(zone.clone());
    }
    if let Some(kind) = &args.kind {
        matching.kind.clone_from(kind);
    }
    if let Some(dates) = args.dates {
        matching.dates = Some(match dates {
            Dates::DayFirst => DateOrder::DayFirst,
            Dates::MonthFirst => DateOrder::MonthFirst,
        });
    }
    if let Some(stations) = args.stations {
        matching.stations = match stations {
            Stations::New => StationsOf::New,
            Stations::Book => StationsOf::Book,
        };
    }
    Ok(())
}

/// The book with what the table brings, as text.
fn written_book(
    args: &ImportArgs,
    table: &Table,
    brought: &Brought,
    mut ledger: Ledger,
    now: &str,
) -> String {
    // A name of its own for every import: two of one name would look like a copied tablet.
    let device = table.uuid(&format!("device at {now}"));
    let stamp = Stamp {
        by: args.by.clone(),
        device: device.clone(),
        counter: ledger.next_counter(&device),
        at: now.to_owned(),
    };
    let entries = brought.entries(&ledger, &stamp);
    let counter = stamp.counter + entries.len() as u64;
    ledger.join(entries);
    if args.into.is_none() {
        let name = table.name.rsplit_once('.');
        let name = name
            .map_or(table.name.as_str(), |(stem, _)| stem)
            .to_owned();
        ledger.insert(Entry::new(
            RecordId::from(table.uuid("book")),
            [],
            Stamp { counter, ..stamp },
            Act::Write,
            None,
            Some(Body::Book(Book {
                name,
                ..Book::default()
            })),
        ));
    }
    let written = book::Written {
        at: now.to_owned(),
        by: args.by.clone(),
        device,
    };
    book::write(ledger.iter(), &written)
}
