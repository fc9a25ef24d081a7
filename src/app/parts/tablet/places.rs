//! The acts on stations, on the book's own words and on the set-up.

use leptos::prelude::*;

use crate::app::outcrop::open::Open;
use crate::notebook::{
    Act, Body, Book, Change, Line, Notation, Pages, RecordId, SetUp, Station, reset,
};

use crate::orientation::Card;

use crate::app::parts::clock;

use super::{Tablet, here};

impl Tablet {
    /// Starts the next station and turns to its page.
    pub(crate) fn new_station(self) {
        if self.is_reading() {
            return;
        }
        self.close_open();
        let number = self.read_once(|shelf| shelf.pages.next_station_number());
        let station = Station {
            number,
            at: clock::now(),
            ..Station::default()
        };
        let record = clock::fresh_id();
        self.settings
            .update(|s| s.here = Some(here(&record, &station)));
        self.open_blank(None);
        self.write(Some(&record), Act::Write, None, Body::Station(station));
        self.go(&format!("/station/{number}"));
    }

    /// Changes a station.
    pub(crate) fn change_station(self, record: &str, change: impl FnOnce(&mut Station)) {
        if self.is_reading() {
            return;
        }
        let station = self.read_once(|shelf| match shelf.body(record) {
            Some(Body::Station(station)) => Some(station),
            _ => None,
        });
        let Some(before) = station else {
            return;
        };
        let mut after = before.clone();
        change(&mut after);
        if after != before {
            self.settings.update(|s| {
                if let Some(h) = &mut s.here
                    && h.record == record
                {
                    *h = here(record, &after);
                }
            });
            self.write(Some(record), Act::Correct, None, Body::Station(after));
        }
    }

    /// The person stands at another station; the open reading is ended as it stands.
    pub(crate) fn stand_at(self, record: &str) {
        let station = self.read_once(|shelf| match shelf.body(record) {
            Some(Body::Station(station)) => Some(station),
            _ => None,
        });
        let Some(station) = station else {
            return;
        };
        if self
            .settings
            .with_untracked(|s| s.here.as_ref().map(|h| h.record.as_str()) == Some(record))
        {
            return;
        }
        self.close_open();
        self.settings
            .update(|s| s.here = Some(here(record, &station)));
        self.open_blank(None);
        self.keep_draft();
    }

    /// Changes the book's own record.
    pub(crate) fn change_book(self, change: impl FnOnce(&mut Book)) {
        if self.is_reading() {
            return;
        }
        let found = self.read_once(|shelf| {
            shelf
                .pages
                .book()
                .map(|(r, b)| (r.as_str().to_owned(), b.clone()))
        });
        let (record, mut book) = match found {
            Some((record, book)) => (Some(record), book),
            None => (None, Book::default()),
        };
        change(&mut book);
        self.settings.update(|s| s.notation = book.notation);
        self.open.update(|o| {
            if let Some(open) = o
                && open.is_empty()
            {
                open.reading.right_hand = book.notation == Notation::RightHand;
                *open = Open::new(open.reading.clone(), book.notation, open.halves)
                    .in_quarters(open.quarters)
                    .on_card(open.quadrants);
            }
        });
        self.write(record.as_deref(), Act::Correct, None, Body::Book(book));
    }

    /// The set-up whose north and declination the next reading takes; the page that asks follows the book.
    pub(crate) fn set_up(self) -> Option<(RecordId, SetUp)> {
        let chosen = self.settings.with(|s| s.set_up.clone());
        self.read(|shelf| shelf.set_up(chosen.as_deref()))
    }

    /// The same, asked once.
    pub(super) fn set_up_once(self) -> Option<(RecordId, SetUp)> {
        let chosen = self.settings.with_untracked(|s| s.set_up.clone());
        self.read_once(|shelf| shelf.set_up(chosen.as_deref()))
    }

    /// From now on readings take this set-up.
    pub(crate) fn use_set_up(self, record: &str) {
        if self.is_reading() {
            return;
        }
        self.settings.update(|s| s.set_up = Some(record.to_owned()));
        self.follow_set_up();
        self.keep_draft();
    }

    /// Begins a further set-up, not yet in use; gives its record.
    pub(crate) fn new_set_up(self) -> Option<String> {
        if self.is_reading() {
            return None;
        }
        let in_use = self.set_up_once().map(|(id, _)| id.as_str().to_owned());
        let count = self.read_once(|shelf| shelf.pages.set_ups().len());
        let set_up = SetUp {
            name: format!("Transit {}", count + 1),
            resolution: "1".to_owned(),
            ..SetUp::default()
        };
        let record = clock::fresh_id();
        let in_use = in_use.unwrap_or_else(|| record.clone());
        self.settings.update(|s| s.set_up = Some(in_use));
        self.write(Some(&record), Act::Write, None, Body::SetUp(set_up));
        Some(record)
    }

    /// Changes a set-up; readings already kept stay as they were read.
    pub(crate) fn change_set_up(self, record: &str, change: impl FnOnce(&mut SetUp)) {
        if self.is_reading() {
            return;
        }
        let Some(Body::SetUp(before)) = self.read_once(|shelf| shelf.body(record)) else {
            return;
        };
        let mut after = before.clone();
        change(&mut after);
        if after != before {
            self.write(Some(record), Act::Correct, None, Body::SetUp(after));
            self.follow_set_up();
        }
    }

    /// Strikes a set-up out; it stays legible. Never the one in use.
    pub(crate) fn strike_out_set_up(self, record: &str) {
        let in_use = self.set_up_once();
        let used = in_use.is_none_or(|(id, _)| id.as_str() == record);
        let stands = matches!(
            self.read_once(|shelf| shelf.body(record)),
            Some(Body::SetUp(_))
        );
        if self.is_reading() || used || !stands {
            return;
        }
        self.write_all(Some(record), Act::StrikeOut, None, None, false);
    }

    /// Puts a struck-out set-up back, as it last was.
    pub(crate) fn put_back_set_up(self, record: &str) {
        if self.is_reading() {
            return;
        }
        let body = self.read_once(|shelf| {
            let line = shelf.pages.set_up(record)?;
            line.is_struck_out().then(|| line.set_up().cloned())?
        });
        if let Some(set_up) = body {
            let body = Some(Body::SetUp(set_up));
            self.write_all(Some(record), Act::PutBack, None, body, false);
        }
    }

    /// Puts the north of the chosen readings and sightings right, as one act; gives how many it changed.
    pub(crate) fn put_right(
        self,
        change: &Change,
        chosen: impl FnOnce(&Pages) -> Vec<&Line>,
    ) -> usize {
        if self.is_reading() {
            return 0;
        }
        self.close_open();
        let stamp = self.stamp();
        let entries = self
            .read_once(|shelf| reset::entries(&shelf.ledger, chosen(&shelf.pages), change, &stamp));
        let count = entries.len();
        if count > 0 {
            // The open reading may be among them, and must not be written over with what it was.
            self.open_blank(None);
            self.take_all(entries, false);
        }
        count
    }

    /// A reading that has no shot yet takes the set-up in use as it now stands.
    pub(super) fn follow_set_up(self) {
        let Some((id, set_up)) = self.set_up_once() else {
            return;
        };
        self.open.update(|o| {
            if let Some(open) = o
                && open.reading.shots.is_empty()
            {
                open.reading.set_up = Some(id.as_str().to_owned());
                open.reading.north = set_up.north;
                open.reading.declination.clone_from(&set_up.declination);
                open.halves = set_up.resolution != "1";
                open.quarters = set_up.resolution == "0.25";
                if open.is_untyped() {
                    open.quadrants = set_up.card == Card::Quadrant;
                }
            }
        });
        self.keep_draft();
    }
}
