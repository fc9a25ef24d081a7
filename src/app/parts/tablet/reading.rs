//! The acts on the open reading: keys, choices, undo.

use leptos::prelude::*;

use crate::app::outcrop::open::{Key, Open, Outcome};
use crate::app::outcrop::{between, kinds};
use crate::notebook::{Act, Body, Entry, Form, Pages, Reading, undo_of};
use crate::orientation::{Choice, Dial, Doubt};

use crate::app::parts::clock;

use super::{Panel, Tablet, device, has_doubt};

impl Tablet {
    /// One key of the keypad.
    pub(crate) fn press(self, key: Key) {
        if self.settings.with_untracked(|s| s.here.is_none()) {
            return;
        }
        if let Key::Side(index) = key
            && self
                .open
                .with_untracked(|o| o.as_ref().is_some_and(|o| o.reading.form == Form::Angle))
        {
            self.other_plane(index);
            return;
        }
        let now = clock::now();
        let mut outcome = Outcome::Nothing;
        self.open.update(|open| {
            if let Some(open) = open {
                outcome = open.press(&key, &now);
            }
        });
        self.follow(outcome);
    }

    pub(super) fn follow(self, outcome: Outcome) {
        match outcome {
            Outcome::Nothing => {}
            Outcome::Draft => self.keep_draft(),
            Outcome::Keep => self.keep_open(Act::Write, None),
            Outcome::Correct => self.keep_open(Act::Correct, None),
            Outcome::StrikeShot => self.keep_open(Act::StrikeOut, None),
            Outcome::PutBackShot => self.keep_open(Act::PutBack, None),
        }
    }

    /// Keeps the finished shots of the open reading.
    pub(super) fn keep_open(self, act: Act, why: Option<String>) {
        let Some(mut open) = self.open.get_untracked() else {
            return;
        };
        if self.is_reading() {
            // Its number and what it supersedes are known once the book is read; the draft has it until then.
            self.owed.set(Some(act));
            self.keep_draft();
            return;
        }
        if open.record.is_none() {
            // Where the book was still being read, the planes of an angle are known only now.
            self.fit_planes();
            let fitted = self
                .open
                .with_untracked(|o| o.as_ref().map(|o| o.reading.planes.clone()));
            open.reading.planes = fitted.unwrap_or_default();
            let record = clock::fresh_id();
            self.bind_photos(&record);
            open.record = Some(record);
            open.reading.number =
                self.read_once(|shelf| shelf.pages.next_reading_number(&open.reading.station));
        }
        let record = open.record.clone();
        let body = Body::Reading(open.reading.clone());
        let doubt = self.read_once(|shelf| has_doubt(&shelf.pages, &open.reading));
        self.open.set(Some(open));
        self.write_all(record.as_deref(), act, why, Some(body), doubt);
    }

    /// An angle stands between the last two planes of its kind, until others are chosen.
    pub(super) fn fit_planes(self) {
        let Some(angle) = self
            .open
            .with_untracked(|o| o.as_ref().map(|o| o.reading.clone()))
        else {
            return;
        };
        let planes = if angle.form == Form::Angle && angle.planes.is_empty() {
            self.read_once(|shelf| between::usual(shelf, &angle))
        } else if angle.form == Form::Angle {
            angle.planes.clone()
        } else {
            Vec::new()
        };
        if planes != angle.planes {
            self.open.update(|o| {
                if let Some(open) = o {
                    open.reading.planes = planes;
                }
            });
        }
    }

    /// The angle stands between another plane and the one it keeps.
    fn other_plane(self, index: usize) {
        if self.is_reading() {
            return;
        }
        let Some(angle) = self
            .open
            .with_untracked(|o| o.as_ref().map(|o| o.reading.clone()))
        else {
            return;
        };
        let planes = self.read_once(|shelf| between::other(shelf, &angle, index));
        if planes != angle.planes {
            self.amend(|open| open.set_planes(planes));
        }
    }

    /// Takes a choice that a doubt offers.
    pub(crate) fn accept(self, doubt: &Doubt, choice: &Choice) {
        let by = self.settings.with_untracked(|s| s.by.clone());
        let now = clock::now();
        let mut outcome = Outcome::Nothing;
        self.open.update(|open| {
            if let Some(open) = open {
                outcome = open.accept(doubt, choice, &by, &now);
            }
        });
        match outcome {
            Outcome::Correct => self.keep_open(Act::Accept, Some(choice.words.clone())),
            other => self.follow(other),
        }
    }

    /// Changes the open reading by words (tops, note).
    pub(crate) fn amend(self, change: impl FnOnce(&mut Open) -> Outcome) {
        let mut outcome = Outcome::Nothing;
        self.open.update(|open| {
            if let Some(open) = open {
                outcome = change(open);
            }
        });
        self.follow(outcome);
    }

    /// An empty reading of a kind (the last one where none is named) at the present station.
    pub(crate) fn open_blank(self, kind: Option<&str>) {
        let (kind, notation, here) = self.settings.with_untracked(|s| {
            (
                kind.map(str::to_owned)
                    .or_else(|| s.last_kind.clone())
                    .unwrap_or_else(|| "bedding".to_owned()),
                s.notation,
                s.here.clone(),
            )
        });
        let set_up = self.set_up_once();
        let halves = set_up.as_ref().is_some_and(|(_, s)| s.resolution != "1");
        let quarters = set_up.as_ref().is_some_and(|(_, s)| s.resolution == "0.25");
        let form = kinds::form_of(&kind);
        let blank = Reading {
            station: here.map(|h| h.record).unwrap_or_default(),
            kind: kind.clone(),
            form,
            north: set_up.as_ref().map(|(_, s)| s.north).unwrap_or_default(),
            declination: set_up.as_ref().and_then(|(_, s)| s.declination.clone()),
            set_up: set_up.map(|(id, _)| id.as_str().to_owned()),
            ..Reading::default()
        };
        self.settings.update(|s| s.last_kind = Some(kind));
        let quadrants = self.has_quadrants();
        self.open.set(Some(
            Open::new(blank, notation, halves)
                .in_quarters(quarters)
                .on_card(quadrants),
        ));
        self.fit_planes();
        self.panel.set(Panel::Keypad);
    }

    /// Ends the open reading as it stands; a draft line stays in the book, nothing is dropped.
    pub(super) fn close_open(self) {
        let now = clock::now();
        let mut keep = false;
        self.open.update(|open| {
            if let Some(open) = open {
                keep = open.close(&now);
            }
        });
        if keep {
            self.keep_open(Act::Write, None);
        }
        self.leave_photos();
        self.keep_words();
    }

    /// Keeps tops and note of the open reading, where they differ from what the book says.
    pub(crate) fn keep_words(self) {
        let changed = self.open.with_untracked(|o| {
            let open = o.as_ref()?;
            let record = open.record.as_deref()?;
            match self.read_once(|shelf| shelf.body(record)) {
                Some(Body::Reading(kept)) => Some(
                    kept.note != open.reading.note
                        || kept.tops != open.reading.tops
                        || kept.sense != open.reading.sense,
                ),
                _ => None,
            }
        });
        if changed == Some(true) {
            self.keep_open(Act::Correct, None);
        }
    }

    /// The note of the open reading while it is typed: a draft until it is kept.
    pub(crate) fn type_note(self, note: String) {
        self.open.update(|o| {
            if let Some(open) = o {
                open.reading.note = note;
            }
        });
        self.keep_draft();
    }

    /// Opens the next reading of the same kind.
    pub(crate) fn next_reading(self) {
        if self.is_reading() {
            return;
        }
        let kind = self
            .open
            .with_untracked(|o| o.as_ref().map(|o| o.reading.kind.clone()));
        self.close_open();
        self.open_blank(kind.as_deref());
        self.keep_draft();
    }

    /// A kind was touched: an empty or unfinished reading changes its kind, after a finished one the next opens.
    pub(crate) fn kind(self, name: &str) {
        let unfinished = self
            .open
            .with_untracked(|o| o.as_ref().is_some_and(|o| o.reading.shots.is_empty()));
        if unfinished {
            self.open.update(|open| {
                if let Some(open) = open {
                    open.change_kind(name, kinds::form_of(name));
                    open.reading.planes.clear();
                }
            });
            self.fit_planes();
            self.settings
                .update(|s| s.last_kind = Some(name.to_owned()));
        } else if !self.is_reading() {
            self.close_open();
            self.open_blank(Some(name));
        }
        self.panel.set(Panel::Keypad);
        self.keep_draft();
    }

    /// Opens a line of the book again.
    pub(crate) fn open_record(self, record: &str) {
        let reading = self.read_once(|shelf| match shelf.body(record) {
            Some(Body::Reading(reading)) => Some(reading),
            _ => None,
        });
        let Some(reading) = reading else {
            return;
        };
        self.close_open();
        self.stand_at(&reading.station);
        let notation = self.settings.with_untracked(|s| s.notation);
        let (halves, quarters) = self.open.with_untracked(|o| {
            o.as_ref()
                .map_or((false, false), |o| (o.halves, o.quarters))
        });
        self.open.set(Some(
            Open::again(record.to_owned(), reading, notation, halves)
                .in_quarters(quarters)
                .on_card(self.has_quadrants()),
        ));
        self.panel.set(Panel::Keypad);
        self.keep_draft();
        self.go("/outcrop");
    }

    /// Strikes the open reading out, with the reason; it stays legible.
    pub(crate) fn strike_out_open(self, why: &str) {
        if self.is_reading() {
            return;
        }
        let Some(record) = self
            .open
            .with_untracked(|o| o.as_ref().and_then(|o| o.record.clone()))
        else {
            self.open_blank(None);
            self.keep_draft();
            return;
        };
        let why = (!why.trim().is_empty()).then(|| why.trim().to_owned());
        self.open_blank(None);
        self.write_all(Some(&record), Act::StrikeOut, why, None, false);
    }

    /// The words on the Undo plate.
    pub(crate) fn undo_words(self) -> Option<String> {
        let device = device(&self.settings.with(|s| s.device.clone()));
        self.read(|shelf| {
            let undo = undo_of(&shelf.ledger, &device)?;
            // The book's own first records stay: without them there is nothing to write in.
            let first = undo.body.is_none()
                && match shelf.body(undo.record.as_str()) {
                    Some(Body::Book(_)) => true,
                    Some(Body::SetUp(_)) => shelf.set_ups().nth(1).is_none(),
                    _ => false,
                };
            (!first).then_some(undo.words)
        })
    }

    /// Takes the last act back, by an entry like any other.
    pub(crate) fn undo(self) {
        if self.is_reading() {
            return;
        }
        let device = device(&self.settings.with_untracked(|s| s.device.clone()));
        let Some(undo) = self.read_once(|shelf| undo_of(&shelf.ledger, &device)) else {
            return;
        };
        let record = undo.record.as_str().to_owned();
        let entries = undo.entries(&self.stamp());
        let open = self
            .open
            .with_untracked(|o| o.as_ref().and_then(|o| o.record.clone()));
        let mine = entries
            .iter()
            .find(|entry| Some(entry.record().as_str()) == open.as_deref());
        if let Some(mine) = mine {
            match mine.body().cloned() {
                Some(Body::Reading(reading)) => {
                    let (notation, halves, quarters) = self.open.with_untracked(|o| {
                        o.as_ref()
                            .map(|o| (o.notation, o.halves, o.quarters))
                            .unwrap_or_default()
                    });
                    let record = mine.record().as_str().to_owned();
                    let mut again = Open::again(record, reading, notation, halves)
                        .in_quarters(quarters)
                        .on_card(self.has_quadrants());
                    self.open.with_untracked(|o| {
                        if let Some(open) = o {
                            again.go_on_typing(open);
                        }
                    });
                    self.open.set(Some(again));
                }
                _ => self.open_blank(None),
            }
        }
        let here = self
            .settings
            .with_untracked(|s| s.here.as_ref().map(|h| h.record.clone()));
        let withdrawn = entries.first().is_some_and(Entry::strikes_out);
        if here.as_deref() == Some(record.as_str()) && withdrawn {
            self.settings.update(|s| s.here = None);
        }
        let has_doubt = |pages: &Pages, entry: &Entry| matches!(entry.body(), Some(Body::Reading(r)) if has_doubt(pages, r));
        let doubt = self.read_once(|shelf| entries.iter().any(|e| has_doubt(&shelf.pages, e)));
        let of_set_up = matches!(
            self.read_once(|shelf| shelf.body(&record)),
            Some(Body::SetUp(_))
        );
        self.take_all(entries, doubt);
        if of_set_up {
            self.follow_set_up();
        }
        self.renew_sighting(&record);
    }

    /// The dial before the one where the next digit lands.
    pub(crate) fn dial_before(self) -> Option<Dial> {
        self.open.with_untracked(|o| {
            let o = o.as_ref()?;
            let order = o.order();
            let at = order
                .iter()
                .position(|d| Some(*d) == o.here)
                .unwrap_or(order.len());
            at.checked_sub(1).and_then(|i| order.get(i)).copied()
        })
    }

    /// Whether a dial comes after the one where the next digit lands, of a shot that was begun.
    pub(crate) fn has_dial_after(self) -> bool {
        self.open.with_untracked(|o| {
            o.as_ref().is_some_and(|o| {
                let order = o.order();
                let at = order.iter().position(|d| Some(*d) == o.here);
                !o.is_untyped() && at.is_some_and(|at| at + 1 < order.len())
            })
        })
    }

    /// The side key whose wind contains a letter.
    pub(crate) fn side_with(self, letter: &str) -> Option<usize> {
        self.open.with_untracked(|o| {
            let open = o.as_ref()?;
            let words = match open.letters() {
                Some(letters) => letters,
                None => open.sides()?.map(|(wind, _)| wind),
            };
            let has = |i: usize| words[i].contains(letter);
            match (has(0), has(1)) {
                (true, false) => Some(0),
                (false, true) => Some(1),
                _ => None,
            }
        })
    }
}
