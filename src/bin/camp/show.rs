//! `camp show`: a book as readable text, every value in the book's own notation and with the north it counts from.

use std::fmt;
use std::fs;
use std::io::{self, BufWriter, IsTerminal, Write};
use std::path::PathBuf;

use clap::Args;
use hingeline::app::written::{self, Row};
use hingeline::exchange::archive;
use hingeline::notebook::beyond;
use hingeline::notebook::places::legible;
use hingeline::notebook::{
    Attitude, Ledger, Line, Notation, Pages, Position, Reading, Sighting, StationPage, act_words,
    attitude, settle, twins,
};
use hingeline::orientation::Severity;
use serde_json::{Value, json};

use crate::command::{DOUBTS, Format, MISUSE};
use crate::paths;
use crate::progress::Progress;
use crate::read::{LineDegrees, PlaneDegrees};
use crate::written::{Legible, counted, in_one_line};

const HELP: &str = "\
Stations come by their number, readings as 47.3: the third of station 47. A value stands in the notation that the book's owner
chose, counted from true north where it can be; the north it was read against stands beside it, and the dials as they stood
with each shot. What was struck out stays legible and says so.

With --history every record shows all its entries from the first on: who, when by that tablet's clock, and what was done.

With --format json each record gives one object a line:
  {\"record\", \"kind\", \"name\", \"struck_out\", \"contested\", \"by\", \"at\", \"value\", \"plane\": {\"strike\", \"dip\", \"dip_direction\"} or null,
   \"line\": {\"trend\", \"plunge\"} or null, \"counts_from_true\", \"doubts\": [in words], \"body\": as in the file, \"history\": [...]}
Planes and lines in degrees, strikes by the right-hand rule; `history` only with --history.

Exit code: 0 shown, 1 shown and some record waits for a person to settle it, 2 the file cannot be read, or misuse.

Examples:
  camp show book.json | less
  camp show book.json --station 47 --history
  camp show --format json book.json | jq -r 'select(.kind == \"reading\") | [.name, .value] | @tsv'";

#[derive(Args)]
#[command(after_long_help = HELP)]
pub(crate) struct ShowArgs {
    /// A book file, or an archive of a book and its photos
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// Only this station, by its number
    #[arg(long, value_parser = paths::station)]
    station: Option<u32>,
    /// Every entry of each record, from the first on
    #[arg(long)]
    history: bool,
    /// How the book is written
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
}

/// Shows a book; the exit code.
pub(crate) fn show(args: &ShowArgs) -> io::Result<u8> {
    let file = args.file.display().to_string();
    let read = fs::read(&args.file)
        .map_err(|error| format!("it could not be opened: {}", paths::why(&args.file, &error)))
        .and_then(|bytes| archive::read_any(&bytes).map_err(|error| error.to_string()));
    let book = match read {
        Ok(archive) => archive.book,
        Err(why) => {
            eprintln!("{file}: {why}");
            return Ok(MISUSE);
        }
    };
    let ledger: Ledger = book.entries.into_iter().collect();
    let standing = beyond::standing_in(&book.beyond, &ledger);
    if !standing.is_empty() {
        eprintln!("{file}: this is a part: {}", beyond::words(&standing));
    }
    let pages = Pages::of(&ledger);
    if let Some(number) = args.station
        && !pages
            .stations()
            .iter()
            .any(|page| page.line().number() == number)
    {
        eprintln!("{file}: no station is numbered {number}");
        return Ok(MISUSE);
    }
    let shown = Shown {
        ledger: &ledger,
        pages: &pages,
        notation: pages
            .book()
            .map_or(Notation::default(), |(_, book)| book.notation),
        history: args.history,
    };
    let mut out = Legible(BufWriter::new(io::stdout().lock()));
    // On a terminal the book itself says how far it is.
    let mut progress = (!io::stdout().is_terminal()).then(Progress::new);
    let at = &mut |done, of| {
        if let Some(progress) = &mut progress {
            progress.at("writing", done, of);
        }
    };
    match args.format {
        Format::Text => shown.text(&mut out, args.station, at)?,
        Format::Json => shown.json(&mut out, args.station, at)?,
    }
    if let Some(progress) = &mut progress {
        progress.done();
    }
    out.flush()?;
    Ok(if pages.contested().next().is_some() {
        DOUBTS
    } else {
        0
    })
}

struct Shown<'a> {
    ledger: &'a Ledger,
    pages: &'a Pages,
    notation: Notation,
    history: bool,
}

/// Writes one line, whatever ends of lines a name or a note holds.
fn say(out: &mut impl Write, words: fmt::Arguments<'_>) -> io::Result<()> {
    writeln!(out, "{}", in_one_line(&words.to_string()))
}

impl Shown<'_> {
    fn text(
        &self,
        out: &mut impl Write,
        station: Option<u32>,
        at: &mut dyn FnMut(u64, u64),
    ) -> io::Result<()> {
        if station.is_none() {
            let name = self.pages.book().map_or("", |(_, book)| &book.name);
            say(
                out,
                format_args!(
                    "{}{}, {}, {}",
                    if name.is_empty() {
                        "A book without a name"
                    } else {
                        name
                    },
                    match twins::outcrops(self.pages) {
                        outcrops if outcrops == self.pages.stations().len() => String::new(),
                        outcrops => format!(": {}", counted(outcrops, "outcrop", "outcrops")),
                    },
                    counted(self.pages.stations().len(), "station", "stations"),
                    counted(self.pages.readings(), "reading", "readings")
                ),
            )?;
            for line in self.pages.set_ups() {
                let name = line.set_up().map_or("", |set_up| &set_up.name);
                let north = line.set_up().map_or_else(String::new, |set_up| {
                    written::north(set_up.north, set_up.declination.as_deref())
                });
                say(out, format_args!("set-up {name}: {north}{}", struck(line)))?;
                self.after(out, line, "  ")?;
            }
        }
        let mut day = "";
        let stations = self.pages.stations();
        for (done, page) in stations.iter().enumerate() {
            at(done as u64, stations.len() as u64);
            if station.is_some_and(|number| number != page.line().number()) {
                continue;
            }
            let at = page.line().station().map_or("", |station| &station.at);
            let its_day = at.get(..10).unwrap_or("");
            if its_day != day {
                day = its_day;
                writeln!(out)?;
                say(out, format_args!("{}", written::day_words(day)))?;
            }
            self.page(out, page)?;
        }
        if station.is_some() {
            return Ok(());
        }
        let strays = self.pages.strays().count();
        if strays > 0 {
            writeln!(out)?;
            say(out, format_args!("at a station that is not in the book"))?;
        }
        for line in self.pages.strays() {
            self.reading(out, line, 0)?;
        }
        for line in self.pages.unknown() {
            let kind = line.entry().body().map_or("", |body| body.kind());
            say(
                out,
                format_args!(
                    "a record of the kind `{kind}`, which this version cannot read; it is kept as it is"
                ),
            )?;
            self.after(out, line, "  ")?;
        }
        Ok(())
    }

    fn page(&self, out: &mut impl Write, page: &StationPage) -> io::Result<()> {
        let line = page.line();
        let Some(station) = line.station() else {
            return Ok(());
        };
        let mut parts = Vec::new();
        parts.extend(Some(station.name.clone()).filter(|name| !name.is_empty()));
        parts.push(
            station
                .position
                .as_ref()
                .map_or_else(|| "no position".to_owned(), place),
        );
        parts.extend(
            [&station.unit, &station.lithology]
                .into_iter()
                .filter(|t| !t.is_empty())
                .cloned(),
        );
        parts.extend(station.at.get(11..16).map(str::to_owned));
        parts.push(line.entry().stamp().by.clone());
        let outcrop = twins::outcrop(self.pages, line.record().as_str());
        if outcrop != line.record().as_str()
            && let Some(page) = self.pages.station(outcrop)
        {
            parts.push(format!("the same outcrop as {}", page.line().number()));
        }
        say(
            out,
            format_args!(
                "{:<4} {}{}",
                station.number,
                parts.join(" · "),
                struck(line)
            ),
        )?;
        if !station.note.is_empty() {
            say(out, format_args!("     {}", station.note))?;
        }
        self.after(out, line, "     ")?;
        for line in page.readings() {
            self.reading(out, line, station.number)?;
        }
        for line in page.sightings() {
            if let Some(sighting) = line.sighting() {
                say(
                    out,
                    format_args!(
                        "  sighting {}  {}{}",
                        sighting.number,
                        self.sighting(sighting),
                        struck(line)
                    ),
                )?;
                self.after(out, line, "       ")?;
            }
        }
        for line in page.photos() {
            let note = match line.entry().body() {
                Some(hingeline::notebook::Body::Photo(photo)) => photo.note.clone(),
                _ => String::new(),
            };
            say(
                out,
                format_args!(
                    "  photo {}.P{}  {note}{}",
                    station.number,
                    line.number(),
                    struck(line)
                ),
            )?;
            self.after(out, line, "       ")?;
        }
        Ok(())
    }

    fn reading(&self, out: &mut impl Write, line: &Line, station: u32) -> io::Result<()> {
        let Some(reading) = line.reading() else {
            return Ok(());
        };
        let attitude = attitude::in_book(self.pages, reading);
        let row = Row::of(
            self.pages,
            Some((reading, line.is_struck_out())),
            &None,
            self.notation,
            station,
        );
        let (value, detail) = row.map_or_else(Default::default, |row| (row.value, row.detail));
        let name = if station == 0 {
            reading.number.to_string()
        } else {
            format!("{station}.{}", reading.number)
        };
        say(
            out,
            format_args!(
                "  {name:<6} {:<10} {value:<14} {detail} · {}{}",
                reading.kind,
                written::north(reading.north, reading.declination.as_deref()),
                why(self.ledger, line)
            ),
        )?;
        for (i, shot) in reading.shots.iter().enumerate() {
            let struck = if shot.struck_out { "  struck out" } else { "" };
            say(
                out,
                format_args!("         shot {}  {}{struck}", i + 1, dials(reading, i)),
            )?;
        }
        if !line.is_struck_out() {
            for doubt in open_doubts(reading, &attitude) {
                say(out, format_args!("         doubt: {doubt}"))?;
            }
        }
        self.after(out, line, "         ")
    }

    fn sighting(&self, sighting: &Sighting) -> String {
        let mut parts = Vec::new();
        let to = sighting.to.as_deref().and_then(|to| self.pages.station(to));
        match to {
            Some(page) => parts.push(format!("to station {}", page.line().number())),
            None if !sighting.to_words.is_empty() => {
                parts.push(format!("to {}", sighting.to_words))
            }
            None => {}
        }
        parts.extend(
            sighting
                .bearing
                .as_ref()
                .map(|text| format!("bearing {text}")),
        );
        let way = if sighting.up { "up" } else { "down" };
        parts.extend(
            sighting
                .vertical
                .as_ref()
                .map(|text| format!("{text} {way}")),
        );
        parts.extend(
            sighting
                .slope_m
                .as_ref()
                .map(|text| format!("{text} m along the slope")),
        );
        parts.extend(
            sighting
                .level_m
                .as_ref()
                .map(|text| format!("{text} m level")),
        );
        parts.push(written::north(
            sighting.north,
            sighting.declination.as_deref(),
        ));
        parts.extend(Some(sighting.note.clone()).filter(|note| !note.is_empty()));
        parts.join(" · ")
    }

    /// What waits for a person, and the history where it is asked for.
    fn after(&self, out: &mut impl Write, line: &Line, indent: &str) -> io::Result<()> {
        let record = line.record().as_str();
        if line.is_contested() {
            let versions = settle::versions(self.ledger, record);
            for difference in settle::differences(self.ledger, record) {
                let texts: Vec<String> = difference
                    .texts
                    .iter()
                    .zip(&versions)
                    .map(|(text, version)| {
                        format!(
                            "{} by {}",
                            text.as_deref().unwrap_or("nothing"),
                            version.stamp.by
                        )
                    })
                    .collect();
                say(
                    out,
                    format_args!(
                        "{indent}to be settled: {}: {}",
                        difference.words,
                        texts.join(", ")
                    ),
                )?;
            }
        }
        if !self.history {
            return Ok(());
        }
        for entry in self.ledger.history(record) {
            let stamp = entry.stamp();
            say(
                out,
                format_args!(
                    "{indent}{}  {:<5} {}{}",
                    stamp.at,
                    stamp.by,
                    act_words(self.ledger, entry),
                    entry
                        .why()
                        .map_or_else(String::new, |why| format!(": {why}"))
                ),
            )?;
        }
        Ok(())
    }

    fn json(
        &self,
        out: &mut impl Write,
        station: Option<u32>,
        at: &mut dyn FnMut(u64, u64),
    ) -> io::Result<()> {
        let stations = self.pages.stations();
        for (done, page) in stations.iter().enumerate() {
            at(done as u64, stations.len() as u64);
            if station.is_some_and(|number| number != page.line().number()) {
                continue;
            }
            let number = page.line().number();
            writeln!(out, "{}", self.record(page.line(), number.to_string()))?;
            for line in page.readings() {
                writeln!(
                    out,
                    "{}",
                    self.record(line, format!("{number}.{}", line.number()))
                )?;
            }
            for line in page.sightings() {
                let name = format!("{number} sighting {}", line.number());
                writeln!(out, "{}", self.record(line, name))?;
            }
            for line in page.photos() {
                writeln!(
                    out,
                    "{}",
                    self.record(line, format!("{number}.P{}", line.number()))
                )?;
            }
        }
        if station.is_some() {
            return Ok(());
        }
        let others = self.pages.set_ups().iter().chain(self.pages.unknown());
        for line in others.chain(self.pages.strays()) {
            writeln!(out, "{}", self.record(line, String::new()))?;
        }
        Ok(())
    }

    fn record(&self, line: &Line, name: String) -> Value {
        let entry = line.entry();
        let attitude = line
            .reading()
            .map(|reading| attitude::in_book(self.pages, reading));
        let value = line.reading().zip(attitude.as_ref());
        let mut answer = json!({
            "record": line.record().as_str(),
            "kind": entry.body().map_or("", |body| body.kind()),
            "name": name,
            "struck_out": line.is_struck_out(),
            "contested": line.is_contested(),
            "by": entry.stamp().by,
            "at": entry.stamp().at,
            "value": value.map(|(reading, attitude)| written::value(reading, attitude, self.notation)),
            "plane": attitude.as_ref().and_then(|a| a.plane.as_ref()).map(PlaneDegrees::new),
            "line": attitude.as_ref().and_then(|a| a.line.as_ref()).map(LineDegrees::new),
            "counts_from_true": attitude.as_ref().map(|a| a.counts_from.is_true()),
            "doubts": value.map(|(reading, attitude)| open_doubts(reading, attitude)).unwrap_or_default(),
            "body": entry.body(),
        });
        if self.history {
            let history = self.ledger.history(line.record().as_str());
            let entries = history.into_iter().map(|entry| {
                json!({
                    "entry": entry.id().to_string(),
                    "by": entry.stamp().by,
                    "device": entry.stamp().device,
                    "counter": entry.stamp().counter,
                    "at": entry.stamp().at,
                    "act": entry.act(),
                    "words": act_words(self.ledger, entry),
                    "why": entry.why(),
                })
            });
            answer["history"] = entries.collect();
        }
        answer
    }
}

fn struck(line: &Line) -> &'static str {
    if line.is_struck_out() {
        "  struck out"
    } else {
        ""
    }
}

/// Why a reading was struck out.
fn why(ledger: &Ledger, line: &Line) -> String {
    let heads = ledger.heads(line.record().as_str());
    let why = heads.first().and_then(|head| head.why());
    match why.filter(|_| line.is_struck_out()) {
        Some(why) => format!(" · {why}"),
        None => String::new(),
    }
}

fn place(position: &Position) -> String {
    let accuracy = position
        .accuracy_m
        .map_or_else(String::new, |m| format!(" ±{} m", legible(m, Some(0))));
    format!(
        "{}, {}{accuracy} ({})",
        legible(position.latitude, Some(5)),
        legible(position.longitude, Some(5)),
        position.source
    )
}

/// The dials of a shot as they stood.
fn dials(reading: &Reading, shot: usize) -> String {
    let Some(shot) = reading.shots.get(shot) else {
        return String::new();
    };
    let mut texts: Vec<String> = shot
        .texts()
        .map(|(name, text)| format!("{name} {text}"))
        .collect();
    if shot.up {
        texts.push("up".to_owned());
    }
    texts.join(" ")
}

fn open_doubts(reading: &Reading, attitude: &Attitude) -> Vec<String> {
    let open = attitude.open.iter().map(|found| found.doubt.clone());
    open.chain(attitude::unread(reading))
        .filter(|doubt| doubt.severity == Severity::Doubt)
        .map(|doubt| doubt.message)
        .collect()
}
