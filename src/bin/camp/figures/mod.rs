//! `camp figures`: counts, means, fabric, fold, sets and azimuths of a book or of a table of dials, and its net.

mod answer;

mod text;

use std::collections::BTreeSet;
use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};
use hingeline::exchange::archive;
use hingeline::exchange::dial_table::{Column, Table};
use hingeline::exchange::net_figure::{NetFigure, Planes};
use hingeline::exchange::rose_figure::RoseFigure;
use hingeline::exchange::table_import;
use hingeline::notebook::beyond;
use hingeline::notebook::figures::{Figures, Look, by_kind, figures};
use hingeline::notebook::structure::{Datum, Wanted, data};
use hingeline::notebook::{Form, Ledger, North, Pages, Stamp};
use hingeline::orientation::density::Levels;
use hingeline::orientation::faults::Slip;
use hingeline::orientation::{
    Context, Convention, Density, Hemisphere, PlaneStyle, Projection, Severity, reduce_in,
};
use serde_json::{Value, json};

use crate::command::{Format, MISUSE};
use crate::declination::{now_text, today_text};
use crate::paths;
use crate::written::counted;

const HELP: &str = "\
A book file, with or without its photos, a table of dials (CSV, as `camp check --help` describes it), or any table whose headings
say what they are, as for `camp import`; what it does not say counts from true north, strikes by the right-hand rule. Struck-out
readings are left out; shots are taken as their mean; a reading that counts from magnetic or grid north without a known turn is
counted and said; one that comes to neither a plane nor a line is named.

For each kind of structure, of its planes by their poles and then of its lines: count; the mean plane; Fisher's mean,
concentration and 95 % cone; the orientation tensor with the usual shape and strength figures and the 95 % ellipse of the mean
axis; for bedding, cleavage and foliation the best cylinder and cone, limbs, interlimb angle and axial plane; for joints, veins,
dykes and faults the sets and how many the poles speak for; for faults with a line and its sense of slip the kinematic axes, the
right dihedra, and from four on the stress they speak for with each fault's misfit, which are models; strikes or trends round
the compass. Every figure names its method and its source under --format json.

With --format json one object: file, count, left_out, selected, kinds: [{kind, of (poles or lines), count, not_true, mean_plane,
fisher, tensor, mean_axis, uniform, fold: {cylinder, cone, limbs, axis, interlimb, axial_plane, …}, sets: {number, sets,
evidence}, conjugate, faults: {shortening, extension, dihedra, stress: {sigma1, sigma2, sigma3, ratio, cones_95, mean_misfit},
faults, caution}, circular}]; null where there are too few readings for it. Angles in degrees, strikes by the right-hand rule,
axes pointing down.

Exit code: 0 done, 2 the file cannot be read, nothing is selected, or misuse.

Examples:
  camp figures book.json
  camp figures book.json --kind bedding --net bedding.svg --limbs
  camp figures book.json --kind joint --rose joints.svg
  camp figures dials.csv --station 47 --format json | jq '.kinds[].fisher'";

/// The figures of a selection.
#[derive(Args)]
#[command(after_long_help = HELP)]
pub(crate) struct FiguresArgs {
    /// A book file or a table of dials; - reads standard input
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// Only this kind of structure
    #[arg(long)]
    kind: Option<String>,
    /// Only this station, by its number or what the table calls it
    #[arg(long)]
    station: Option<String>,
    /// How the figures are written
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
    /// Draw the net into this file too
    #[arg(long, value_name = "FILE.svg")]
    net: Option<PathBuf>,
    /// Draw the rose of the strikes or trends into this file too; of the kind with the most readings
    #[arg(long, value_name = "FILE.svg")]
    rose: Option<PathBuf>,
    /// The net's projection
    #[arg(long, value_enum, default_value_t = Drawn::EqualArea)]
    projection: Drawn,
    /// Draw the upper hemisphere
    #[arg(long)]
    upper: bool,
    /// Draw planes as great circles instead of poles
    #[arg(long)]
    circles: bool,
    /// Draw the mean planes of the limbs and the axial plane
    #[arg(long)]
    limbs: bool,
    /// Draw contours of the poles' density at 2, 4 and 8 of these
    #[arg(long, num_args = 0..=1, default_missing_value = "even", value_name = "OF")]
    contours: Option<Steps>,
}

#[derive(Clone, Copy, ValueEnum)]
enum Steps {
    /// Multiples of an even density
    Even,
    /// Standard deviations above an even density
    Deviations,
}

#[derive(Clone, Copy, ValueEnum)]
enum Drawn {
    /// Equal areas stay equal
    EqualArea,
    /// Angles stay true
    EqualAngle,
}

/// A book's or a table's readings, what it is called, and what was left out.
struct Source {
    data: Vec<Datum>,
    name: String,
    /// For a book: the number of each station's record.
    numbers: Vec<(String, String)>,
    /// How many readings come to neither a plane nor a line.
    left_out: usize,
    notes: Vec<String>,
}

impl Source {
    /// The choice that was asked for; or why it chooses nothing, with what there is to choose.
    fn wanted(&self, args: &FiguresArgs) -> Result<Wanted, String> {
        let kind = args.kind.as_ref().map(|asked| {
            let is = |kind: &&String| kind.eq_ignore_ascii_case(asked);
            let mut kinds: Vec<&String> = self.data.iter().map(|d| &d.kind).collect();
            match kinds.iter().find(|kind| is(kind)) {
                Some(kind) => Ok((*kind).clone()),
                None => Err(format!(
                    "no reading is of kind `{asked}`; {}",
                    there(&mut kinds)
                )),
            }
        });
        let station = args.station.as_ref().map(|asked| {
            let numbered = self.numbers.iter().find(|(_, number)| number == asked);
            let station = numbered.map_or(asked, |(record, _)| record);
            if self.data.iter().any(|d| d.station == *station) {
                return Ok(station.clone());
            }
            let name = |station: &String| {
                let numbered = self.numbers.iter().find(|(record, _)| record == station);
                numbered.map_or_else(|| station.clone(), |(_, number)| number.clone())
            };
            let stations: Vec<String> = self.data.iter().map(|d| name(&d.station)).collect();
            Err(format!(
                "no plane or line is of station `{asked}`; {}",
                there(&mut stations.iter().collect())
            ))
        });
        Ok(Wanted {
            kind: kind.transpose()?,
            station: station.transpose()?,
            ..Wanted::default()
        })
    }
}

/// What there is to choose, each once in the order of the file.
fn there(names: &mut Vec<&String>) -> String {
    const SHOWN: usize = 24;
    let mut seen = BTreeSet::new();
    names.retain(|name| !name.is_empty() && seen.insert(*name));
    let shown: Vec<String> = names.iter().take(SHOWN).map(|n| format!("`{n}`")).collect();
    match names.len() {
        0 => "the file names none".to_owned(),
        n if n > SHOWN => format!("there are {} and {} more", shown.join(", "), n - SHOWN),
        _ => format!("there are {}", shown.join(", ")),
    }
}

pub(crate) fn run(args: &FiguresArgs) -> io::Result<u8> {
    let file = args.file.display().to_string();
    let source = match read(args) {
        Ok(source) => source,
        Err(why) => {
            eprintln!("{file}: {why}");
            return Ok(MISUSE);
        }
    };
    for note in &source.notes {
        eprintln!("{file}: {note}");
    }
    let wanted = match source.wanted(args) {
        Ok(wanted) => wanted,
        Err(why) => {
            eprintln!("{file}: {why}");
            return Ok(MISUSE);
        }
    };
    let count = source.data.len();
    let selection: Vec<Datum> = source
        .data
        .into_iter()
        .filter(|d| wanted.wants(d))
        .collect();
    if selection.is_empty() {
        eprintln!(
            "{file}: none of its {count} planes and lines is of this kind and at this station; ask for one of the two"
        );
        return Ok(MISUSE);
    }
    let kinds: Vec<Figures> = by_kind(&selection)
        .into_iter()
        .flat_map(|(kind, of)| {
            let mut of_planes = figures(kind, &of);
            let lines = of_planes.lines.take().map(|lines| *lines);
            [Some(of_planes), lines].into_iter().flatten()
        })
        .collect();
    let mut out = io::stdout().lock();
    match args.format {
        Format::Json => {
            let kinds: Vec<Value> = kinds.iter().map(answer::answer).collect();
            let answer = json!({
                "file": file, "count": count, "left_out": source.left_out, "selected": selection.len(), "kinds": kinds,
            });
            writeln!(out, "{answer}")?;
        }
        Format::Text => {
            writeln!(
                out,
                "{} of {}",
                selection.len(),
                counted(
                    count,
                    "reading with a plane or a line",
                    "readings with a plane or a line"
                )
            )?;
            for figures in &kinds {
                text::write_text(&mut out, figures)?;
            }
        }
    }
    out.flush()?;
    let most = kinds.iter().max_by_key(|f| f.count);
    let drawn = [
        (
            "net",
            &args.net,
            args.net
                .as_ref()
                .map(|_| net(args, &selection, &kinds, &source.name)),
        ),
        (
            "rose",
            &args.rose,
            args.rose
                .as_ref()
                .and(most)
                .map(|f| rose(args, f, &source.name)),
        ),
    ];
    for (what, path, svg) in drawn {
        let (Some(path), Some(svg)) = (path, svg) else {
            continue;
        };
        if !may_be_drawn_over(path) {
            eprintln!(
                "{}: something is there already that is no figure; name another file",
                path.display()
            );
            return Ok(MISUSE);
        }
        if let Err(why) = fs::write(path, svg) {
            eprintln!("{}: the {what} could not be written: {why}", path.display());
            return Ok(MISUSE);
        }
    }
    Ok(0)
}

/// Whether a figure may go to this place: nothing is there, or a figure that was drawn before.
fn may_be_drawn_over(path: &Path) -> bool {
    match fs::read(path) {
        Ok(bytes) => {
            let text = bytes.trim_ascii_start();
            text.is_empty() || text.starts_with(b"<svg") || text.starts_with(b"<?xml")
        }
        // What cannot be read cannot be written either, or is not there.
        Err(_) => true,
    }
}

fn read(args: &FiguresArgs) -> Result<Source, String> {
    let bytes = if args.file.as_os_str() == "-" {
        let mut bytes = Vec::new();
        io::Read::read_to_end(&mut io::stdin().lock(), &mut bytes).map_err(|e| e.to_string())?;
        bytes
    } else {
        fs::read(&args.file).map_err(|e| paths::why(&args.file, &e))?
    };
    let first = bytes
        .iter()
        .find(|b| !b.is_ascii_whitespace() && !matches!(b, 0xEF | 0xBB | 0xBF));
    if first == Some(&b'{') || bytes.starts_with(b"PK") {
        let file = archive::read_any(&bytes).map_err(|e| e.to_string())?;
        let ledger = file.book.entries.into_iter().collect();
        let standing = beyond::standing_in(&file.book.beyond, &ledger);
        if !standing.is_empty() {
            eprintln!("this is a part: {}", beyond::words(&standing));
        }
        return Ok(of_ledger(&ledger));
    }
    let headed = Table::open(&bytes[..]).is_ok();
    if headed && let Some(source) = of_any_table(args, &bytes, true) {
        return Ok(source);
    }
    match of_table(&bytes) {
        // A table of dials with a fault in a row.
        Err(why) if headed => Err(why),
        Ok(source) if !source.data.is_empty() => Ok(source),
        // Not one of ours: its columns may still say what they are.
        other => of_any_table(args, &bytes, false).map_or(other, Ok),
    }
}

/// The readings of a table whose headings are not those of a table of dials; `None` where they tell none, or, for one that may be a
/// table of dials, where such a table would read every dial in it.
fn of_any_table(args: &FiguresArgs, bytes: &[u8], may_be_dials: bool) -> Option<Source> {
    let table = table_import::read(&args.file.display().to_string(), bytes);
    let mut matching = table_import::guess(&table);
    if may_be_dials {
        let measured = table.headings.iter().zip(&matching.columns);
        let mut measured = measured.filter(|(_, column)| column.what.is_measured());
        if measured.all(|(heading, _)| Column::of_heading(heading).is_some()) {
            return None;
        }
    }
    // What no column says is as in a table of dials.
    if matching.asks_north() {
        matching.north = North::True;
    }
    if matching.asks_pairs() {
        matching.pairs = Convention::RightHand;
    }
    let (mut ledger, at) = (Ledger::new(), now_text());
    let pages = Pages::of(&ledger);
    let brought = table_import::bring(&table, &matching, &ledger, &pages, &BTreeSet::new(), &at);
    let stamp = Stamp {
        by: String::new(),
        device: table.uuid("device"),
        counter: 1,
        at,
    };
    ledger.join(brought.entries(&ledger, &stamp));
    let mut source = of_ledger(&ledger);
    if source.data.is_empty() {
        return None;
    }
    let counts = brought.counts;
    source.left_out = counts.rows.saturating_sub(source.data.len());
    let taken: Vec<String> = table
        .headings
        .iter()
        .zip(&matching.columns)
        .filter(|(_, column)| column.what.is_measured())
        .map(|(heading, column)| format!("`{heading}` as {}", column.what.name()))
        .collect();
    source.notes.push(format!(
        "{} of {} rows are readings; columns taken: {}",
        counts.readings,
        counts.rows,
        taken.join(", ")
    ));
    if counts.doubted > 0 {
        source.notes.push(format!(
            "{} rows are doubtful; `camp import` names the doubts",
            counts.doubted
        ));
    }
    Some(source)
}

fn of_ledger(ledger: &Ledger) -> Source {
    let pages = Pages::of(ledger);
    let numbers = pages.stations().iter().map(|page| {
        let line = page.line();
        (line.record().as_str().to_owned(), line.number().to_string())
    });
    let data = data(&pages);
    let known: BTreeSet<&str> = data.iter().map(|d| d.record.as_str()).collect();
    let bare: Vec<String> = pages
        .stations()
        .iter()
        .flat_map(|page| page.readings().iter().map(move |line| (page.line(), line)))
        .filter(|(_, line)| {
            let angle_alone = line.reading().is_none_or(|r| r.form == Form::Angle);
            !(line.is_struck_out() || angle_alone || known.contains(line.record().as_str()))
        })
        .map(|(station, line)| format!("{}.{}", station.number(), line.number()))
        .collect();
    Source {
        name: pages
            .book()
            .map(|(_, book)| book.name.clone())
            .unwrap_or_default(),
        data,
        numbers: numbers.collect(),
        left_out: bare.len(),
        notes: (!bare.is_empty())
            .then(|| {
                format!(
                    "{} left out: {}; `camp check` names the doubts",
                    counted(
                        bare.len(),
                        "reading comes to no plane and no line and is",
                        "readings come to no plane and no line and are"
                    ),
                    list(&bare)
                )
            })
            .into_iter()
            .collect(),
    }
}

fn of_table(bytes: &[u8]) -> Result<Source, String> {
    let faults = |found: Vec<hingeline::exchange::dial_table::Fault>| {
        found
            .iter()
            .map(ToString::to_string)
            .collect::<Vec<_>>()
            .join("; ")
    };
    let mut table = Table::open(bytes).map_err(faults)?;
    let mut notes = table.notes().to_vec();
    let mut data = Vec::new();
    let (mut bare, mut doubted) = (Vec::new(), Vec::new());
    for row in table.by_ref() {
        let row = row.map_err(faults)?;
        let reduced = reduce_in(&row.dials(), &Context::new(&row.noise));
        let doubt = reduced
            .doubts
            .iter()
            .find(|d| d.severity == Severity::Doubt)
            .map(|d| format!("line {}, {}", row.line, d.message));
        if reduced.plane.is_none() && reduced.line.is_none() {
            bare.push(doubt.unwrap_or_else(|| {
                format!(
                    "line {}, a strike wants a dip (90 for a trace on the map), a trend a plunge (0 on the map)",
                    row.line
                )
            }));
            continue;
        }
        doubted.extend(doubt);
        data.push(Datum {
            record: String::new(),
            station: row.station.clone(),
            name: row.reading.clone(),
            kind: row.kind.clone(),
            day: String::new(),
            by: String::new(),
            unit: String::new(),
            slip: match (&reduced.plane, &reduced.line, row.sense) {
                (Some(plane), Some(line), Some(sense)) => Slip::from_line(plane, line, sense),
                _ => None,
            },
            plane: reduced.plane,
            line: reduced.line,
            tops: row.tops,
            is_true: true,
            doubted: !reduced.doubts.is_empty(),
            sd_deg: 0.0,
            declination_deg: 0.0,
        });
    }
    let left_out = bare.len();
    for (rows, one, many) in [
        (
            &bare,
            "row comes to no plane and no line and is left out",
            "rows come to no plane and no line and are left out",
        ),
        (
            &doubted,
            "row is taken with a doubt",
            "rows are taken with a doubt",
        ),
    ] {
        if !rows.is_empty() {
            notes.push(format!(
                "{}: {}",
                counted(rows.len(), one, many),
                list(rows)
            ));
        }
    }
    Ok(Source {
        data,
        name: String::new(),
        numbers: Vec::new(),
        left_out,
        notes,
    })
}

/// The first few, and how many more there are.
fn list(all: &[String]) -> String {
    const SHOWN: usize = 6;
    let shown = all[..all.len().min(SHOWN)].join("; ");
    match all.len().saturating_sub(SHOWN) {
        0 => shown,
        more => format!("{shown}; and {more} more"),
    }
}

fn rose(args: &FiguresArgs, figures: &Figures, name: &str) -> String {
    RoseFigure {
        figures,
        book: book_name(args, name),
        date: today_text(),
        chosen: chosen(args),
    }
    .svg()
}

fn book_name(args: &FiguresArgs, name: &str) -> String {
    if name.is_empty() {
        args.file.display().to_string()
    } else {
        name.to_owned()
    }
}

fn chosen(args: &FiguresArgs) -> String {
    let mut chosen: Vec<String> = args.kind.iter().cloned().collect();
    chosen.extend(args.station.iter().map(|s| format!("station {s}")));
    chosen.join(", ")
}

fn net(args: &FiguresArgs, selection: &[Datum], kinds: &[Figures], name: &str) -> String {
    let projection = match args.projection {
        Drawn::EqualArea => Projection::EqualArea,
        Drawn::EqualAngle => Projection::EqualAngle,
    };
    let hemisphere = if args.upper {
        Hemisphere::Upper
    } else {
        Hemisphere::Lower
    };
    let poles: Vec<_> = selection.iter().filter_map(Datum::pole).collect();
    let density = args
        .contours
        .map(|_| Density::of(&poles, 100.0, 61, projection, hemisphere));
    let levels = match args.contours {
        Some(Steps::Deviations) => Levels::Deviations,
        Some(Steps::Even) | None => Levels::Even,
    };
    NetFigure {
        projection,
        hemisphere,
        planes: if args.circles {
            Planes::Circles
        } else {
            Planes::Poles
        },
        data: selection.iter().collect(),
        // One fit on one plot: that of the only kind, or of the first surface.
        figures: match kinds {
            [first, rest @ ..] if rest.iter().all(|f| f.kind == first.kind) => Some(first),
            many => many.iter().find(|f| f.look == Look::Surface),
        },
        density: density.as_ref().map(|d| (d, levels)),
        limbs: args.limbs,
        shots: None,
        style: PlaneStyle::default(),
        book: book_name(args, name),
        date: today_text(),
        chosen: chosen(args),
    }
    .svg()
}
