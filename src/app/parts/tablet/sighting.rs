//! The acts on the open sighting. Its draft is one of the fields of words, written at every key.

use leptos::prelude::*;

use crate::app::outcrop::open_sighting::{After, OpenSighting, Press};
use crate::app::outcrop::sighted::Choice;
use crate::notebook::{Accepted, Act, Body, Position, Sighting, Station};
use crate::orientation::{Card, DoubtKind};

use crate::app::parts::clock;

use super::Tablet;

/// The field under which the open sighting is drafted.
const FIELD: &str = "sighting";

impl Tablet {
    /// The open sighting; a page that calls this is drawn again at every key.
    pub(crate) fn sighting(self) -> Option<OpenSighting> {
        self.words
            .with(|w| serde_json::from_str(w.get(FIELD)?).ok())
    }

    /// The card of the set-up in use has quadrants.
    pub(super) fn has_quadrants(self) -> bool {
        self.set_up_once()
            .is_some_and(|(_, set_up)| set_up.card == Card::Quadrant)
    }

    fn sighting_now(self) -> Option<OpenSighting> {
        self.words
            .with_untracked(|w| serde_json::from_str(w.get(FIELD)?).ok())
    }

    fn draft_sighting(self, open: &OpenSighting) {
        if let Ok(text) = serde_json::to_string(open) {
            self.draft_words(FIELD, &text);
        }
    }

    /// The open sighting as the book has it.
    fn kept_sighting(self, open: &OpenSighting) -> Option<Sighting> {
        let record = open.record.as_deref()?;
        self.read_once(|shelf| match shelf.body(record) {
            Some(Body::Sighting(sighting)) => Some(sighting),
            _ => None,
        })
    }

    /// Something of the open sighting stands on the page and not in the book.
    pub(crate) fn is_sighting_drafted(self) -> bool {
        self.edition.track();
        self.sighting()
            .is_some_and(|open| open.is_draft(self.kept_sighting(&open).as_ref()))
    }

    /// Begins a sighting at a station, to another one where that is known, and turns to its page.
    pub(crate) fn open_sighting(self, station: &str, to: Option<&str>) {
        if self.is_reading() {
            return;
        }
        self.close_sighting();
        let set_up = self.set_up_once();
        let blank = Sighting {
            station: station.to_owned(),
            to: to.map(str::to_owned),
            north: set_up.as_ref().map(|(_, s)| s.north).unwrap_or_default(),
            declination: set_up.as_ref().and_then(|(_, s)| s.declination.clone()),
            set_up: set_up.as_ref().map(|(id, _)| id.as_str().to_owned()),
            ..Sighting::default()
        };
        self.draft_sighting(&OpenSighting::new(blank, self.has_quadrants()));
        self.go("/sighting");
    }

    /// Opens a sighting of the book again.
    pub(crate) fn reopen_sighting(self, record: &str) {
        let found = self.read_once(|shelf| match shelf.body(record) {
            Some(Body::Sighting(sighting)) => Some(sighting),
            _ => None,
        });
        let Some(sighting) = found else {
            return;
        };
        self.close_sighting();
        let quadrants = self.has_quadrants();
        self.draft_sighting(&OpenSighting::again(record.to_owned(), sighting, quadrants));
        self.go("/sighting");
    }

    /// One key of the sighting's page.
    pub(crate) fn press_sighting(self, press: Press) {
        self.change_sighting(|open| open.press(press));
    }

    /// Changes the open sighting, and keeps it where a figure went in.
    pub(crate) fn change_sighting(self, change: impl FnOnce(&mut OpenSighting) -> After) {
        let Some(mut open) = self.sighting_now() else {
            return;
        };
        let after = change(&mut open);
        if after == After::Nothing {
            return;
        }
        self.draft_sighting(&open);
        if after == After::Keep {
            self.keep_sighting(Act::Correct, None);
        }
    }

    /// Keeps the open sighting as it stands, where the book has it otherwise.
    pub(super) fn keep_sighting(self, act: Act, why: Option<String>) {
        let Some(mut open) = self.sighting_now() else {
            return;
        };
        let kept = self.kept_sighting(&open);
        let mut entry = open.entry();
        if self.is_reading() || !open.is_worth_keeping() || kept.as_ref() == Some(&entry) {
            return;
        }
        let act = if open.record.is_some() {
            act
        } else {
            Act::Write
        };
        if open.record.is_none() {
            open.record = Some(clock::fresh_id());
            entry.number = self.read_once(|shelf| shelf.pages.next_sighting_number(&entry.station));
            entry.at = clock::now();
        }
        open.sighting = entry.clone();
        self.draft_sighting(&open);
        self.write_all(
            open.record.as_deref(),
            act,
            why,
            Some(Body::Sighting(entry)),
            false,
        );
    }

    /// Ends the open sighting as it stands; while the book is being read its draft stays instead.
    pub(crate) fn close_sighting(self) {
        if self.is_reading() {
            return;
        }
        let Some(mut open) = self.sighting_now() else {
            return;
        };
        if open.close() {
            self.draft_sighting(&open);
            self.keep_sighting(Act::Correct, None);
        }
        self.end_words(FIELD);
    }

    /// Another sighting from the same station.
    pub(crate) fn next_sighting(self) {
        if let Some(open) = self.sighting_now() {
            self.open_sighting(&open.sighting.station, None);
        }
    }

    /// The page of the station that the open sighting was taken from.
    pub(crate) fn leave_sighting(self) {
        let number = self
            .sighting_now()
            .map(|open| self.station_number(&open.sighting.station));
        self.close_sighting();
        match number {
            Some(number) => self.go(&format!("/station/{number}")),
            None => self.go("/outcrop"),
        }
    }

    fn station_number(self, record: &str) -> u32 {
        self.read_once(|shelf| {
            shelf
                .pages
                .station(record)
                .map_or(0, |page| page.line().number())
        })
    }

    /// Settles what disagrees with the sighting back.
    pub(crate) fn settle_sighting(self, choice: &Choice) {
        let Some(mut open) = self.sighting_now() else {
            return;
        };
        if self.is_reading() {
            return;
        }
        open.accept(Accepted {
            doubt: DoubtKind::ForeAgainstBack,
            shot: 0,
            choice: choice.words.clone(),
            sets: choice.sets.clone(),
            by: self.settings.with_untracked(|s| s.by.clone()),
            at: clock::now(),
        });
        self.draft_sighting(&open);
        self.keep_sighting(Act::Accept, Some(choice.words.clone()));
    }

    /// Strikes the open sighting out, with the reason; it stays legible.
    pub(crate) fn strike_out_sighting(self, why: &str) {
        if self.is_reading() {
            return;
        }
        let Some(open) = self.sighting_now() else {
            return;
        };
        let number = self.station_number(&open.sighting.station);
        self.end_words(FIELD);
        if let Some(record) = open.record {
            let why = (!why.trim().is_empty()).then(|| why.trim().to_owned());
            self.write_all(Some(&record), Act::StrikeOut, why, None, false);
        }
        self.go(&format!("/station/{number}"));
    }

    /// Puts a struck-out sighting back.
    pub(crate) fn put_back_sighting(self) {
        if self.is_reading() {
            return;
        }
        if let Some(open) = self.sighting_now()
            && let Some(record) = open.record.clone()
        {
            let body = Body::Sighting(open.entry());
            self.write_all(Some(&record), Act::PutBack, None, Some(body), false);
        }
    }

    /// After an undo, or an entry from another tab: the open sighting is shown as the book now has it.
    pub(super) fn renew_sighting(self, record: &str) {
        let Some(open) = self.sighting_now() else {
            return;
        };
        if open.record.as_deref() != Some(record) {
            return;
        }
        match self.kept_sighting(&open) {
            Some(kept) => {
                self.draft_sighting(&OpenSighting::again(
                    record.to_owned(),
                    kept,
                    open.quadrants,
                ));
            }
            None => self.end_words(FIELD),
        }
    }

    /// Starts the station that a sighting points to, or gives the one it names its place; turns to its page.
    pub(crate) fn station_from_sighting(self, position: Position) {
        if self.is_reading() {
            return;
        }
        let Some(open) = self.sighting_now() else {
            return;
        };
        let named =
            open.sighting.to.clone().filter(|to| {
                self.read_once(|shelf| matches!(shelf.body(to), Some(Body::Station(_))))
            });
        if let Some(record) = named {
            let number = self.station_number(&record);
            self.close_sighting();
            self.change_station(&record, |s| s.position = Some(position));
            self.go(&format!("/station/{number}"));
            return;
        }
        let number = self.read_once(|shelf| shelf.pages.next_station_number());
        let record = clock::fresh_id();
        let station = Station {
            number,
            name: open.sighting.to_words.clone(),
            at: clock::now(),
            position: Some(position),
            ..Station::default()
        };
        let to = record.clone();
        self.change_sighting(|open| {
            open.sighting.to = Some(to);
            After::Keep
        });
        self.close_sighting();
        self.write(Some(&record), Act::Write, None, Body::Station(station));
        self.go(&format!("/station/{number}"));
    }
}
