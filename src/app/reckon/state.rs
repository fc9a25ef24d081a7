//! What is being reckoned: kept while a person looks a reading up and comes back.

use leptos::prelude::*;

use super::first::first;
use crate::app::net::selection::{Of, Selection};
use crate::app::net::state::NetState;
use crate::notebook::reckoning::{Asked, Takes, What};

/// Where the next tap or digit goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::app) enum Here {
    /// Into a slot.
    Slot(usize),
    /// To how well the places are known.
    Places,
    /// To how well the heights are known.
    Heights,
}

/// A handle that is copied freely; `page` provides it beside the net's.
#[derive(Clone, Copy)]
pub(in crate::app) struct Reckoning {
    pub(in crate::app) asked: RwSignal<Asked>,
    pub(in crate::app) here: RwSignal<Here>,
    /// The next digit begins the number anew.
    fresh: RwSignal<bool>,
    begun: StoredValue<bool>,
    /// The slots that a person has filled, rather than what was selected.
    by_hand: StoredValue<Vec<usize>>,
}

impl Reckoning {
    /// Makes the state of this app.
    pub(in crate::app) fn provide() {
        provide_context(Self {
            asked: RwSignal::default(),
            here: RwSignal::new(Here::Slot(0)),
            fresh: RwSignal::new(true),
            begun: StoredValue::new(false),
            by_hand: StoredValue::default(),
        });
    }

    /// The state that `page` has provided.
    pub(in crate::app) fn expect() -> Self {
        expect_context::<Self>()
    }

    /// Where nothing is chosen yet, or something else was selected since, what is selected is chosen.
    pub(super) fn begin(self, net: NetState) {
        let chosen = self.asked.with_untracked(|a| a.chosen.concat());
        let selected = net.selection.with_untracked(|s| s.records.clone());
        let news = selected.iter().any(|r| !chosen.contains(r));
        if !self.begun.get_value() || (news && !selected.is_empty()) {
            self.begun.set_value(true);
            let what = self.asked.with_untracked(|a| a.what);
            self.ask_with(what, net, &selected);
        }
    }

    /// Asks for something else; what is chosen stays where it fits.
    pub(super) fn ask(self, what: What, net: NetState) {
        let mut pool = self.asked.with_untracked(|a| a.chosen.concat());
        let selected = net.selection.with_untracked(|s| s.records.clone());
        pool.extend(selected);
        let mut once: Vec<String> = Vec::new();
        for record in pool {
            if !once.contains(&record) {
                once.push(record);
            }
        }
        self.ask_with(what, net, &once);
    }

    fn ask_with(self, what: What, net: NetState, pool: &[String]) {
        let before = self.asked.get_untracked();
        let data = net.data.get_untracked();
        let asked = first(what, &data, pool, &before);
        let next = asked.next().unwrap_or_else(|| what.slots().len() - 1);
        self.asked.set(asked);
        self.by_hand.set_value(Vec::new());
        self.turn_to(Here::Slot(next));
    }

    /// The next tap or digit goes there.
    pub(super) fn turn_to(self, here: Here) {
        self.here.set(here);
        self.fresh.set(true);
    }

    /// The slot that taps go into, and what it takes.
    pub(super) fn takes(self) -> Option<(usize, Takes)> {
        let Here::Slot(slot) = self.here.get() else {
            return None;
        };
        let what = self.asked.with(|a| a.what);
        Some((slot, what.slots().get(slot)?.takes))
    }

    /// Chooses a record for the slot that is here; where that fills it, the next empty one is.
    pub(super) fn choose(self, record: &str, net: NetState) {
        let Here::Slot(slot) = self.here.get_untracked() else {
            return;
        };
        let was_empty = self.asked.with_untracked(|a| !a.is_filled(slot));
        let by_hand = self.by_hand.with_value(|slots| slots.contains(&slot));
        self.by_hand.update_value(|slots| slots.push(slot));
        self.asked.update(|a| {
            let planes = a.what.slots().iter().filter(|s| s.takes == Takes::Planes);
            // Of two slots for planes each was given one of those selected: another is meant in its place.
            if !by_hand
                && planes.count() > 1
                && let Some(one) = a.chosen.get_mut(slot).filter(|c| c.len() == 1)
                && one[0] != record
            {
                one.clear();
            }
            a.choose(slot, record);
        });
        let (next, takes) = self.asked.with_untracked(|a| {
            let takes = a.what.slots().get(slot).map(|s| s.takes);
            (a.next(), takes)
        });
        let goes_on = was_empty || !takes.is_some_and(Takes::several);
        if let Some(next) = next.filter(|next| goes_on && *next != slot) {
            self.turn_to(Here::Slot(next));
        }
        // The net and the list have one selection.
        let records = self.asked.with_untracked(|a| a.chosen.concat());
        let readings = net.data.with_untracked(|all| {
            let known = records
                .into_iter()
                .filter(|r| all.iter().any(|d| d.record == *r));
            known.collect::<Vec<_>>()
        });
        if !readings.is_empty() {
            net.selection.set(Selection::new(readings, Of::List));
        }
    }

    /// The number that is typed here.
    pub(super) fn typed(self) -> String {
        self.asked.with(|a| match self.here.get() {
            Here::Slot(_) => a.section.clone(),
            Here::Places => a.places_m.clone(),
            Here::Heights => a.heights_m.clone(),
        })
    }

    /// A key: a digit, a point, or `b` for back.
    pub(super) fn press(self, key: char) {
        let here = self.here.get_untracked();
        let fresh = self.fresh.get_untracked();
        self.fresh.set(false);
        let of_section = matches!(here, Here::Slot(_));
        self.asked.update(|a| {
            if let Here::Slot(slot) = here {
                // A typed azimuth takes the place of a line's.
                if let Some(chosen) = a.chosen.get_mut(slot) {
                    chosen.clear();
                }
            }
            let text = match here {
                Here::Slot(_) => &mut a.section,
                Here::Places => &mut a.places_m,
                Here::Heights => &mut a.heights_m,
            };
            if fresh && key != 'b' {
                text.clear();
            }
            match key {
                'b' => {
                    text.pop();
                }
                '.' if text.contains('.') || text.is_empty() => {}
                // As on a dial: no azimuth begins with 4 to 9.
                '4'..='9' if of_section && text.is_empty() => {
                    text.push('0');
                    text.push(key);
                }
                _ if text.len() < 5 => text.push(key),
                _ => {}
            }
        });
        let done = of_section && self.asked.with_untracked(|a| a.section.len() == 3);
        if let Some(next) = self
            .asked
            .with_untracked(Asked::next)
            .filter(|_| done && key.is_ascii_digit())
        {
            self.turn_to(Here::Slot(next));
        }
    }
}
