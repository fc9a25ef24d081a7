//! The tables of a hand-over, read back: what a row is it says by its record, so that nothing comes twice, and nothing that is
//! another becomes one.

mod against;
mod bodies;
mod cells;
mod settled;

use std::collections::{BTreeSet, HashMap};

use super::Table;
use super::brought::{Brought, Counts, Finding, Outcome, RowOutcome, tally};
use super::matching::Matching;
use super::row::{Said, Weight};
use crate::notebook::{Body, Ledger, Pages, Reading, RecordId, State};
use bodies::{Home, Told, told};
use cells::Columns;
pub(super) use settled::without_declination;

/// What a table of a hand-over would bring: as [`super::bring`].
pub(super) fn bring(
    sheet: &'static str,
    (table, matching): (&Table, &Matching),
    (ledger, pages): (&Ledger, &Pages),
    left_out: &BTreeSet<usize>,
    now: &str,
    at: &mut dyn FnMut(u64, u64),
) -> Brought {
    let columns = Columns::of(table, matching);
    let mut gathering = Gathering {
        sheet,
        table,
        items: Vec::new(),
        by_record: HashMap::new(),
        rows: Vec::with_capacity(table.rows.len()),
        ledger,
    };
    let count = table.rows.len() as u64;
    for (nth, row) in table.rows.iter().enumerate() {
        at(nth as u64, count);
        gathering.rows.push(RowOutcome {
            line: row.line,
            outcome: Outcome::LeftOut,
            station: None,
            readings: Vec::new(),
            findings: Vec::new(),
        });
        if left_out.contains(&nth) {
            continue;
        }
        match told(sheet, table, matching, &columns, row) {
            Some(told) => gathering.put(nth, told),
            None => gathering.rows[nth].outcome = Outcome::Nothing,
        }
    }
    let Gathering { items, rows, .. } = gathering;
    let settled = settled::settle(
        sheet,
        items,
        rows,
        (table, matching, &columns),
        (ledger, pages),
        now,
    );
    let mut counts = Counts {
        rows: settled.rows.len(),
        ..settled.counts
    };
    tally(&settled.rows, &mut counts);
    // A row of stations or of sightings says no reading, and its words go into no note.
    counts.words = 0;
    counts.without_declination = without_declination(&settled.records);
    Brought {
        table: table.name.clone(),
        rows: settled.rows,
        counts,
        records: settled.records,
    }
}

/// A record of the book as the rows of the table tell it.
struct Item {
    record: RecordId,
    body: Body,
    home: Home,
    called: String,
    /// The rows that tell it, each with the number of its shot from 1, where it is one.
    rows: Vec<(usize, usize)>,
}

struct Gathering<'g> {
    sheet: &'static str,
    table: &'g Table,
    items: Vec<Item>,
    by_record: HashMap<RecordId, usize>,
    rows: Vec<RowOutcome>,
    ledger: &'g Ledger,
}

fn finding(line: u64, said: Said) -> Finding {
    Finding {
        line,
        column: said.column,
        weight: said.weight,
        words: said.words,
    }
}

impl Gathering<'_> {
    /// The record of a row that names none: somebody wrote the row by hand.
    fn own_record(&self, told: &Told<'_>) -> RecordId {
        let line = told.cells.row.line;
        let of = match (self.sheet, told.home.number) {
            ("stations", Some(number)) => format!("station/number {number}"),
            ("shots", _) => {
                let home = told.home.record.as_ref().map_or("", RecordId::as_str);
                format!("reading/{home}/{}", told.called)
            }
            _ => format!("{}/{line}", self.sheet),
        };
        RecordId::from(self.table.uuid(&of))
    }

    /// Puts a row to the record it tells.
    fn put(&mut self, nth: usize, mut told: Told<'_>) {
        let line = told.cells.row.line;
        let said = std::mem::take(&mut told.cells.said);
        let row = &mut self.rows[nth];
        row.station = told.home.number;
        row.findings
            .extend(said.into_iter().map(|said| finding(line, said)));
        if let Body::Reading(reading) = &told.body {
            row.readings = vec![reading.clone()];
        }
        let record = match &told.record {
            Some(record) => record.clone(),
            None => self.own_record(&told),
        };
        if told.withdrawn {
            self.withdrawn(nth, &record, &told);
            return;
        }
        match self.by_record.get(&record) {
            None => {
                self.by_record.insert(record.clone(), self.items.len());
                self.items.push(Item {
                    record,
                    body: told.body,
                    home: told.home,
                    called: told.called,
                    rows: vec![(nth, told.shot.unwrap_or(1))],
                });
            }
            Some(&at) => self.again(nth, at, told),
        }
    }

    /// A row that the table says was struck out: it is not taken, and told where it stands in this book.
    fn withdrawn(&mut self, nth: usize, record: &RecordId, told: &Told<'_>) {
        let called = &told.called;
        let row = &mut self.rows[nth];
        // What stands at a station that is struck out is as good as struck out itself.
        let station = told.home.record.as_ref().map_or("", RecordId::as_str);
        let of_station = matches!(self.ledger.state(station), State::StruckOut { .. });
        row.outcome = match self.ledger.state(record.as_str()) {
            State::Absent => Outcome::Withdrawn,
            State::StruckOut { .. } => Outcome::Here,
            _ if of_station => Outcome::Here,
            State::Kept { .. } | State::Contested { .. } => {
                let words = format!(
                    "{called} is struck out in the table and stands in this book; it stays as it is here"
                );
                row.findings.push(doubt(row.line, words));
                Outcome::Differs
            }
        };
    }

    /// A row of a record that an earlier row tells: another shot of it, or the same thing twice.
    fn again(&mut self, nth: usize, at: usize, told: Told<'_>) {
        let item = &mut self.items[at];
        let (row, line) = (&mut self.rows[nth], told.cells.row.line);
        let first = item.rows.first().map_or(0, |(row, _)| *row);
        let first = self.table.rows[first].line;
        let (Body::Reading(into), Body::Reading(reading), "shots") =
            (&mut item.body, &told.body, self.sheet)
        else {
            let same = without_origin(&item.body) == without_origin(&told.body);
            row.outcome = if same {
                Outcome::Here
            } else {
                let words = format!(
                    "line {first} says otherwise of {}, by the same record; line {line} is not taken",
                    told.called
                );
                row.findings.push(doubt(line, words));
                Outcome::Differs
            };
            return;
        };
        let shot = told.shot.unwrap_or(item.rows.len() + 1);
        if let Some(place) = item.rows.iter().position(|(_, number)| *number == shot) {
            let before = self.table.rows[item.rows[place].0].line;
            row.outcome = if into.shots.get(place) == reading.shots.first() {
                Outcome::Here
            } else {
                let words = format!(
                    "lines {before} and {line} are both shot {shot} of {}, with other dials; line {line} is not taken",
                    told.called
                );
                row.findings.push(doubt(line, words));
                Outcome::Differs
            };
            return;
        }
        let beside = |reading: &Reading| Reading {
            shots: Vec::new(),
            from: None,
            ..reading.clone()
        };
        if beside(into) != beside(reading) {
            let words = format!(
                "line {first} says otherwise of {} beside its dials; the reading keeps what line {first} says",
                told.called
            );
            row.findings.push(doubt(line, words));
        }
        into.shots.extend(reading.shots.iter().cloned());
        if let Some(from) = &mut into.from {
            from.row.push('\n');
            from.row.push_str(&told.cells.row.text);
        }
        item.rows.push((nth, shot));
    }
}

fn doubt(line: u64, words: String) -> Finding {
    Finding {
        line,
        column: None,
        weight: Weight::Doubt,
        words,
    }
}

/// A body without the row it came from.
fn without_origin(body: &Body) -> Body {
    let mut body = body.clone();
    match &mut body {
        Body::Station(station) => station.from = None,
        Body::Reading(reading) => reading.from = None,
        _ => {}
    }
    body
}
