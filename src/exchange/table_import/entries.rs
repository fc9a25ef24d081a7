//! The entries of what a table brings, and the sentences about it.

use super::brought::{Brought, Counts};
use crate::notebook::{Act, Entry, Ledger, Stamp};

impl Brought {
    /// The entries that bring it in, in their order: one a record, counters from the stamp's on, all with the same clock reading and
    /// the same reason, so that they are one act to undo.
    pub fn entries(&self, ledger: &Ledger, stamp: &Stamp) -> Vec<Entry> {
        self.records
            .iter()
            .zip(stamp.counter..)
            .map(|((record, body), counter)| {
                Entry::new(
                    record.clone(),
                    ledger.state(record.as_str()).builds_on(),
                    Stamp {
                        counter,
                        ..stamp.clone()
                    },
                    Act::BringIn,
                    Some(format!("from the table {}", self.table)),
                    Some(body.clone()),
                )
            })
            .collect()
    }
}

fn counted(count: usize, one: &str) -> String {
    match count {
        1 => format!("1 {one}"),
        n if one == "reading or sighting" => format!("{n} readings or sightings"),
        n => format!("{n} {one}s"),
    }
}

impl Counts {
    /// What is brought: `118 of 120 rows: 112 readings at 14 new stations`.
    pub fn words(&self) -> String {
        if self.taken == 0 {
            return match (self.rows, self.here) {
                (0, _) => "no row is there".to_owned(),
                (rows, here) if rows == here => {
                    if rows == 1 {
                        "the 1 row is here already".to_owned()
                    } else {
                        format!("all {rows} rows are here already")
                    }
                }
                (rows, _) => format!("0 of {} come in", counted(rows, "row")),
            };
        }
        let mut at = Vec::new();
        if self.stations > 0 {
            at.push(counted(self.stations, "new station"));
        }
        if self.old_stations > 0 {
            at.push(format!(
                "{} of this book",
                counted(self.old_stations, "station")
            ));
        }
        let at = at.join(" and ");
        let measured: Vec<String> = [(self.readings, "reading"), (self.sightings, "sighting")]
            .into_iter()
            .filter(|(count, _)| *count > 0)
            .map(|(count, one)| counted(count, one))
            .collect();
        let measured = measured.join(" and ");
        let what = match (measured.is_empty(), at.is_empty()) {
            (true, _) => at,
            (false, true) => measured,
            (false, false) => format!("{measured} at {at}"),
        };
        format!("{} of {}: {what}", self.taken, counted(self.rows, "row"))
    }

    /// What is worth knowing about it, one sentence without its full stop each.
    pub fn notes(&self) -> Vec<String> {
        let mut notes = Vec::new();
        let mut note = |count: usize, words: &str, more: &str| {
            if count > 0 {
                notes.push(format!("{}{more}", counted(count, words)));
            }
        };
        if self.taken > 0 {
            note(self.here, "row", " here already; nothing of it comes twice");
        }
        note(
            self.struck_out,
            "row",
            " struck out in this book: put back on its page, never by a table",
        );
        note(
            self.differ,
            "row",
            " otherwise than this book has it by the same record: not taken, and it stays as it is here",
        );
        note(self.withdrawn, "row", " struck out in the table: not taken");
        note(
            self.words,
            "row",
            " without a reading: the words go into the note of the station",
        );
        note(
            self.nothing,
            "row",
            " in which nothing can be read, and no station to note it at: not taken",
        );
        note(self.left_out, "row", " left out, because you said so");
        note(
            self.without_declination,
            "reading or sighting",
            " from magnetic north without a declination: no bearing from true north until one is said",
        );
        note(
            self.without_set_up,
            "reading or sighting",
            " without the set-up, which is in no table: join the book itself to have it",
        );
        if self.doubted > 0 {
            let doubts = (self.doubts > 0).then(|| counted(self.doubts, "doubt"));
            let cells = match self.not_read {
                0 => None,
                1 => Some("1 cell that could not be read and is in a note".to_owned()),
                n => Some(format!(
                    "{n} cells that could not be read and are in a note"
                )),
            };
            let what: Vec<String> = [doubts, cells].into_iter().flatten().collect();
            notes.push(format!(
                "{}, in {}",
                what.join(", "),
                counted(self.doubted, "row")
            ));
        }
        notes
    }
}
