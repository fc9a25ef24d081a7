//! What `camp import` says of a table, for people and for programs.

use std::io::{self, BufWriter, Write};

use hingeline::exchange::table_import::{Brought, Finding, Matching, Outcome, Table, Weight};
use hingeline::notebook::North;
use serde_json::{Value, json};

use crate::command::Format;
use crate::written::Legible;

pub(super) struct Answer<'a> {
    pub(super) table: &'a Table,
    pub(super) matching: &'a Matching,
    pub(super) brought: &'a Brought,
    /// The file that was written.
    pub(super) written: Option<String>,
    /// Whether one was asked for.
    pub(super) wanted: bool,
}

/// At most so many findings are written out for reading.
const SHOWN: usize = 40;

/// So many values of a column are shown.
const SAMPLES: usize = 3;

impl Answer<'_> {
    pub(super) fn write(&self, format: Format) -> io::Result<()> {
        let mut out = Legible(BufWriter::new(io::stdout().lock()));
        match format {
            Format::Json => writeln!(out, "{}", self.json())?,
            Format::Text => self.text(&mut out)?,
        }
        out.flush()
    }

    fn separator(&self) -> &'static str {
        match self.table.separator {
            ';' => "semicolons",
            '\t' => "tabs",
            '|' => "bars",
            _ => "commas",
        }
    }

    /// What the table does not say itself, each with the way to say it.
    fn asks(&self) -> Vec<(&'static str, &'static str)> {
        let matching = self.matching;
        let dates = matching.dates.is_none()
            && self
                .brought
                .rows
                .iter()
                .flat_map(|row| &row.findings)
                .any(|found| found.words.contains("a day whose order is known"));
        let asks = [
            (
                matching.asks_north() && matching.north == North::Unknown,
                "north",
                "no column says which north the bearings count from: --north true, magnetic (with --declination) or grid",
            ),
            (
                matching.asks_pairs(),
                "pairs",
                "no column says the side of a strike and a dip: by the right-hand rule, or as --convention says",
            ),
            (
                matching.asks_zone() && matching.zone.is_none(),
                "zone",
                "no column says the zone of UTM: --zone 33N",
            ),
            (
                matching.asks_kind() && matching.kind.is_empty(),
                "kind",
                "no column says the kind of structure: --kind bedding",
            ),
            (
                dates,
                "dates",
                "days could begin with the day or the month: --dates day-first or month-first",
            ),
        ];
        let open = asks.into_iter().filter(|(open, ..)| *open);
        open.map(|(_, what, words)| (what, words)).collect()
    }

    fn text(&self, out: &mut impl Write) -> io::Result<()> {
        let table = self.table;
        writeln!(
            out,
            "{}: {}, columns between {}",
            table.name,
            table.encoding.name(),
            self.separator()
        )?;
        for remark in &table.remarks {
            writeln!(out, "{remark}")?;
        }
        for (at, (heading, matched)) in table
            .headings
            .iter()
            .zip(&self.matching.columns)
            .enumerate()
        {
            let samples = table.samples(at, SAMPLES).join(" · ");
            writeln!(
                out,
                "  {:>2}  {heading}: {}  ({})  {samples}",
                at + 1,
                matched.what.name(),
                matched.why
            )?;
        }
        for (_, words) in self.asks() {
            writeln!(out, "{words}")?;
        }
        writeln!(out, "{}", self.brought.counts.words())?;
        for note in self.brought.counts.notes() {
            writeln!(out, "{note}")?;
        }
        let all: Vec<&Finding> = self.findings().collect();
        for found in all.iter().take(SHOWN) {
            let weight = match found.weight {
                Weight::Doubt => "doubt",
                Weight::NotRead => "not read",
                Weight::Note => "note",
            };
            let column = match found.column {
                Some(column) => format!(", column {} ({})", column + 1, table.headings[column]),
                None => String::new(),
            };
            writeln!(
                out,
                "  line {}{column}: {weight}: {}",
                found.line, found.words
            )?;
        }
        if all.len() > SHOWN {
            writeln!(
                out,
                "  and {} more; --format json has all",
                all.len() - SHOWN
            )?;
        }
        match (&self.written, self.wanted) {
            (Some(path), _) => writeln!(out, "written: {path}"),
            (None, true) => writeln!(out, "nothing is written"),
            (None, false) if self.brought.records.is_empty() => Ok(()),
            (None, false) => writeln!(out, "nothing is written; -o names the book it goes to"),
        }
    }

    fn findings(&self) -> impl Iterator<Item = &Finding> {
        let taken = self.brought.rows.iter();
        taken
            .filter(|row| row.outcome != Outcome::Here)
            .flat_map(|row| &row.findings)
    }

    fn json(&self) -> Value {
        let table = self.table;
        let counts = self.brought.counts;
        let columns = table
            .headings
            .iter()
            .zip(&self.matching.columns)
            .enumerate();
        let columns: Vec<Value> = columns
            .map(|(at, (heading, matched))| {
                json!({
                    "column": at + 1,
                    "heading": heading,
                    "what": matched.what.name(),
                    "why": matched.why,
                    "samples": table.samples(at, SAMPLES),
                })
            })
            .collect();
        let findings: Vec<Value> = self
            .findings()
            .map(|found| {
                json!({
                    "line": found.line,
                    "column": found.column.map(|column| column + 1),
                    "heading": found.column.map(|column| &table.headings[column]),
                    "weight": match found.weight {
                        Weight::Doubt => "doubt",
                        Weight::NotRead => "not-read",
                        Weight::Note => "note",
                    },
                    "words": found.words,
                })
            })
            .collect();
        json!({
            "table": table.name,
            "encoding": table.encoding.name(),
            "separator": table.separator.to_string(),
            "remarks": table.remarks,
            "columns": columns,
            "asks": self.asks().into_iter().map(|(what, _)| what).collect::<Vec<_>>(),
            "rows": {
                "rows": counts.rows, "taken": counts.taken, "here": counts.here,
                "struck_out": counts.struck_out, "nothing": counts.nothing,
                "left_out": counts.left_out, "differ": counts.differ, "withdrawn": counts.withdrawn,
                "words": counts.words, "doubted": counts.doubted,
            },
            "stations": counts.stations,
            "readings": counts.readings,
            "sightings": counts.sightings,
            "without_declination": counts.without_declination,
            "doubts": counts.doubts,
            "not_read": counts.not_read,
            "words": counts.words(),
            "notes": counts.notes(),
            "findings": findings,
            "output": self.written,
        })
    }
}
