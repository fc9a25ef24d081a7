//! `camp hand-over`: books as GeoJSON, CSV, KML, GPX or GeoPackage, with how many of each went over and what stayed.

mod geopackage;

pub(crate) mod output;

use std::collections::BTreeSet;
use std::fs;
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};
use hingeline::exchange::archive;
use hingeline::exchange::hand_over::{self, Account, Counts, HandOver, Made, Wanted};
use hingeline::notebook::beyond;
use hingeline::notebook::{Ledger, Notation, Pages};
use serde_json::{Value, json};

use crate::command::{Format as Answer, MISUSE};
use crate::declination::now_text;
use crate::paths;
use crate::progress::Progress;
use output::Output;

/// Exit code when nothing of the books meets the choice: nothing is written.
const NOTHING: u8 = 1;

const HELP: &str = "\
Books are joined first, as the app joins them; several copies of one book give what one of them gives.

What goes over: every station, reading and sighting that stands. A reading is the mean of its shots, with the choices that a
person accepted, in degrees from true north: strike by the right-hand rule, dip, dip direction, trend, plunge, rake, each with
its standard deviation; beside them its dials exactly as they stood, the north and declination they were read against, doubts
open and settled, who and when, and the ids of record and entry. A reading whose north is not known goes over with its dials,
dip, plunge and rake, and without any azimuth; --north true leaves it out.
A reading of whose dials no plane, line or angle comes goes over with its dials; the report names it, and `camp check` its doubt.
What is struck out stays, unless --struck-out asks for it. All that stays is counted and named.

Formats:
  geojson     one file (RFC 7946); `what` tells stations, readings and sightings apart; what has no place has a null geometry
  csv         a folder: stations.csv, readings.csv, shots.csv, sightings.csv and data-dictionary.csv (RFC 4180); shots.csv is a
              table that `camp check` reads; a text that a spreadsheet would run has an apostrophe before it
  kml         one file (KML 2.2), a folder a table, every column as typed extended data
  gpx         one file (GPX 1.1): the stations that have a place, as waypoints
  geopackage  one file (OGC GeoPackage 1.3): the three layers, the shots, and what every column means in gpkg_data_columns

The meaning and unit of every column: data-dictionary.csv, `hand_over` in GeoJSON, gpkg_data_columns in GeoPackage.

With --report json one object on standard output: output (the files), handed_over and left_out: {struck_out, not_chosen,
not_true} each with stations, readings, shots, sightings; without_true, without_place, photos_left, unreadable, contested,
without_value (the names of readings that give no plane, line or angle), shared_numbers and shared_names (of several stations,
of several readings), notation, and notes in words.

Exit code:
  0  handed over
  1  nothing in these books meets the choice: nothing is written
  2  a file cannot be read or written, something is there already, or misuse

Examples:
  camp hand-over book.json --format geojson -o varrelow.geojson
  camp hand-over tablet-*.json --format csv -o varrelow-tables
  camp hand-over book.json --format geopackage -o varrelow.gpkg --kind bedding --kind cleavage --north true
  camp hand-over book.json --format geojson -o - | jq '.features[0].properties'";

/// What to hand over, and how.
#[derive(Args)]
#[command(after_long_help = HELP)]
pub(crate) struct HandOverArgs {
    /// Book files, or archives of a book and its photos (ZIP); - reads standard input
    #[arg(required = true, value_name = "FILE")]
    files: Vec<PathBuf>,
    /// The format of what is handed over
    #[arg(long, value_enum)]
    format: Format,
    /// The file, or for csv the folder; - writes a file of text to standard output
    #[arg(short, long, value_name = "PATH")]
    output: PathBuf,
    /// How planes and lines are written; else as the book is
    #[arg(long, value_enum)]
    notation: Option<Written>,
    /// What is struck out too
    #[arg(long)]
    struck_out: bool,
    /// Whether readings go over whose true north is not known
    #[arg(long, value_enum, default_value_t = North::Any)]
    north: North,
    /// Only these kinds of structure
    #[arg(long, value_name = "KIND")]
    kind: Vec<String>,
    /// Only these stations, by number
    #[arg(long, value_name = "NUMBER", value_parser = paths::station)]
    station: Vec<u32>,
    /// Only these days, as 2026-06-14
    #[arg(long, value_name = "DAY")]
    day: Vec<String>,
    /// Write over what is there already
    #[arg(long)]
    force: bool,
    /// How the report is written
    #[arg(long, value_enum, default_value_t = Answer::Text)]
    report: Answer,
}

#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    /// One file of features
    Geojson,
    /// A folder of tables
    Csv,
    /// One file of placemarks
    Kml,
    /// The stations as waypoints
    Gpx,
    /// A database of layers
    Geopackage,
}

impl Format {
    /// The format of text; `None` for the database.
    fn text(self) -> Option<hand_over::Format> {
        match self {
            Self::Geojson => Some(hand_over::Format::GeoJson),
            Self::Csv => Some(hand_over::Format::Csv),
            Self::Kml => Some(hand_over::Format::Kml),
            Self::Gpx => Some(hand_over::Format::Gpx),
            Self::Geopackage => None,
        }
    }

    fn holds(self, account: &Account) -> Counts {
        self.text()
            .map_or(account.over, |format| format.holds(account))
    }

    fn notes(self, account: &Account) -> Vec<String> {
        self.text()
            .map_or_else(|| account.notes(), |format| format.notes(account))
    }

    fn notes_of(self, over: &HandOver) -> Vec<String> {
        self.text()
            .map_or_else(|| over.notes(), |format| format.notes_of(over))
    }
}

#[derive(Clone, Copy, ValueEnum)]
enum Written {
    /// 045/30SE
    StrikeDip,
    /// N45E/30SE
    Quadrant,
    /// 30→135
    DipDirection,
    /// 045/30, the dip to the right of the strike
    RightHand,
}

impl From<Written> for Notation {
    fn from(written: Written) -> Self {
        match written {
            Written::StrikeDip => Self::StrikeDip,
            Written::Quadrant => Self::Quadrant,
            Written::DipDirection => Self::DipDirection,
            Written::RightHand => Self::RightHand,
        }
    }
}

#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
enum North {
    /// All readings; without an azimuth where true north is not known
    Any,
    /// Only readings that count from true north
    True,
}

pub(crate) fn hand_over(args: &HandOverArgs) -> io::Result<u8> {
    match run(args) {
        Ok(code) => code,
        Err(why) => {
            eprintln!("{why}");
            Ok(MISUSE)
        }
    }
}

/// Hands over; the outer error is a refusal in words, the inner one that the report could not be written.
fn run(args: &HandOverArgs) -> Result<io::Result<u8>, String> {
    let to_standard_output = args.output.as_os_str() == "-";
    if to_standard_output && matches!(args.format, Format::Csv | Format::Geopackage) {
        return Err(
            "-: a folder of tables and a database cannot go to standard output; give -o a path"
                .to_owned(),
        );
    }
    if !to_standard_output {
        paths::apart(&args.output, args.files.iter().map(PathBuf::as_path))?;
    }
    let pages = Pages::of(&read(&args.files)?);
    let wanted = wanted(args, &pages)?;
    let account = hand_over::account(&pages, &wanted);
    if args.format.holds(&account).is_empty() {
        for note in args.format.notes(&account) {
            eprintln!("{note}");
        }
        eprintln!("nothing in these books meets the choice: nothing is written");
        return Ok(Ok(NOTHING));
    }
    let output = if to_standard_output {
        Output::Standard
    } else {
        // Looked at before the work, so that a path that is taken is known at once.
        Output::at(&args.output, args.force)?
    };
    let made = Made {
        at: now_text(),
        by: String::new(),
    };
    let mut progress = Progress::new();
    let over = HandOver::of_telling(&pages, &wanted, made, &mut |done, of| {
        progress.at("working out the readings", done, of);
    });
    progress.done();
    let Some(files) = write(args, &over, &output)? else {
        return Ok(Ok(0));
    };
    Ok(report(args, &over, &files, to_standard_output))
}

/// The books, joined.
fn read(files: &[PathBuf]) -> Result<Ledger, String> {
    let mut ledger = Ledger::new();
    let mut beyond = Vec::new();
    for path in files {
        let of = |why: &dyn std::fmt::Display| format!("{}: {why}", path.display());
        let mut bytes = Vec::new();
        if path.as_os_str() == "-" {
            io::stdin()
                .lock()
                .read_to_end(&mut bytes)
                .map_err(|e| of(&e))?;
        } else {
            bytes = fs::read(path).map_err(|e| of(&paths::why(path, &e)))?;
        }
        let archive = archive::read_any(&bytes).map_err(|e| of(&e))?;
        ledger.join(archive.book.entries);
        beyond.extend(archive.book.beyond);
    }
    let standing = beyond::standing_in(&beyond, &ledger);
    if !standing.is_empty() {
        eprintln!("this is a part: {}", beyond::words(&standing));
    }
    Ok(ledger)
}

fn wanted(args: &HandOverArgs, pages: &Pages) -> Result<Wanted, String> {
    let mut stations = BTreeSet::new();
    for number in &args.station {
        let of_number = pages.stations().iter().map(|page| page.line());
        let records: Vec<String> = of_number
            .filter(|line| line.number() == *number)
            .map(|line| line.record().as_str().to_owned())
            .collect();
        if records.is_empty() {
            return Err(format!("station `{number}` is not in these books"));
        }
        stations.extend(records);
    }
    let known: Vec<String> = hand_over::kinds(pages)
        .into_iter()
        .map(|(k, _)| k)
        .collect();
    for kind in &args.kind {
        if !known.contains(kind) {
            return Err(format!(
                "kind `{kind}` is not in these books; there is {}",
                known.join(", ")
            ));
        }
    }
    let days: Vec<String> = pages.days().into_iter().map(|day| day.date).collect();
    for day in &args.day {
        if !days.contains(day) {
            return Err(format!(
                "day `{day}` is not in these books; there is {}",
                days.join(", ")
            ));
        }
    }
    Ok(Wanted {
        days: args.day.iter().cloned().collect(),
        kinds: args.kind.iter().cloned().collect(),
        stations,
        struck_out: args.struck_out,
        true_north: args.north == North::True,
        notation: args.notation.map(Notation::from),
    })
}

/// Writes the files and says which; `None` where whoever read standard output has gone.
fn write(
    args: &HandOverArgs,
    over: &HandOver,
    output: &Output,
) -> Result<Option<Vec<PathBuf>>, String> {
    let Some(format) = args.format.text() else {
        let bytes = geopackage::write(over).map_err(|e| format!("the database: {e}"))?;
        return output.file(&bytes);
    };
    let files = format.files(over, "hand-over");
    match (format, files.as_slice()) {
        (hand_over::Format::Csv, files) => {
            let files = files.iter().map(|file| (&*file.name, file.text.as_bytes()));
            output.folder(&files.collect::<Vec<_>>()).map(Some)
        }
        (_, [one]) => output.file(one.text.as_bytes()),
        (_, files) => Err(format!("{} files where one was expected", files.len())),
    }
}

/// A database under a name by which readers do not know it: OGC 12-128r17, GeoPackage 1.3, requirement 3 (from memory).
fn ending_note(args: &HandOverArgs) -> Option<String> {
    let path = &args.output;
    let ends = path
        .extension()
        .is_some_and(|ending| ending.eq_ignore_ascii_case("gpkg"));
    (args.format == Format::Geopackage && !ends).then(|| {
        format!(
            "{} does not end in .gpkg, by which a GeoPackage is known: name it {}",
            path.display(),
            path.with_extension("gpkg").display()
        )
    })
}

fn counts(counts: &Counts) -> Value {
    json!({
        "stations": counts.stations, "readings": counts.readings,
        "shots": counts.shots, "sightings": counts.sightings,
    })
}

/// Says what went over: on standard output, or on standard error where the file itself is there.
fn report(
    args: &HandOverArgs,
    over: &HandOver,
    files: &[PathBuf],
    to_standard_output: bool,
) -> io::Result<u8> {
    let account = &over.account;
    let holds = args.format.holds(account);
    let mut notes = args.format.notes_of(over);
    notes.extend(ending_note(args));
    let names: Vec<String> = files
        .iter()
        .map(|file| file.display().to_string())
        .collect();
    let text = match args.report {
        Answer::Json => {
            let answer = json!({
                "output": names,
                "handed_over": counts(&holds),
                "left_out": {
                    "struck_out": counts(&account.struck_out),
                    "not_chosen": counts(&account.not_chosen),
                    "not_true": counts(&account.not_true),
                },
                "without_true": account.without_true,
                "without_value": over.without_value,
                "without_place": account.without_place,
                "photos_left": account.photos,
                "unreadable": account.unreadable,
                "contested": account.contested,
                "shared_numbers": account.shared_numbers,
                "shared_names": account.shared_names,
                "notation": over.notation.name(),
                "notes": notes,
            });
            format!("{answer}\n")
        }
        Answer::Text => {
            let where_to = match files {
                [] => String::new(),
                [one] => format!("{}: ", one.display()),
                [first, ..] => {
                    let folder = first.parent().unwrap_or(Path::new("."));
                    format!("{}, {} files: ", folder.display(), files.len())
                }
            };
            let mut text = format!("{where_to}{}\n", holds.words());
            for note in &notes {
                text.push_str(note);
                text.push('\n');
            }
            text
        }
    };
    if to_standard_output {
        eprint!("{text}");
    } else {
        let mut out = io::stdout().lock();
        out.write_all(text.as_bytes())?;
        out.flush()?;
    }
    Ok(0)
}
