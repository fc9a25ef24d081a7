//! The acts on stations, on the book's own words and on the set-up.

use leptos::prelude::*;

use crate::app::outcrop::open::Open;
use crate::app::shelf::Shelf;
use crate::notebook::{Act, Body, Book, Notation, SetUp, Station};

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
                *open = Open::new(open.reading.clone(), book.notation, open.halves);
            }
        });
        self.write(record.as_deref(), Act::Correct, None, Body::Book(book));
    }

    /// Changes the set-up in use; readings already kept stay as they were read.
    pub(crate) fn change_set_up(self, change: impl FnOnce(&mut SetUp)) {
        if self.is_reading() {
            return;
        }
        let found = self
            .read_once(Shelf::set_up)
            .map(|(id, s)| (id.as_str().to_owned(), s));
        let (record, mut set_up) = match found {
            Some((record, set_up)) => (Some(record), set_up),
            None => (
                None,
                SetUp {
                    name: "Transit 1".to_owned(),
                    resolution: "1".to_owned(),
                    ..SetUp::default()
                },
            ),
        };
        change(&mut set_up);
        self.open.update(|o| {
            if let Some(open) = o
                && open.reading.shots.is_empty()
            {
                open.reading.north = set_up.north;
                open.reading.declination.clone_from(&set_up.declination);
                open.halves = set_up.resolution != "1";
            }
        });
        self.write(record.as_deref(), Act::Correct, None, Body::SetUp(set_up));
    }
}
