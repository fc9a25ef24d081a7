//! What an entry changed, field by field: what stood there before, and what after.

use std::collections::BTreeSet;

use super::facts::{Fact, facts, shot_words, shots};
use crate::notebook::{Body, Entry, Pages};

/// One field that an entry changed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Changed {
    /// What the field is called.
    pub name: String,
    /// What it said before; `None` where it said nothing.
    pub before: Option<String>,
    /// What it says after; `None` where it says nothing.
    pub after: Option<String>,
}

impl Changed {
    /// The change as a screen reader says it.
    pub fn spoken(&self) -> String {
        let speak = |text: &str| text.replace('/', " slash ").replace('→', " toward ");
        match (&self.before, &self.after) {
            (Some(before), Some(after)) => {
                format!("{}: was {}, is {}", self.name, speak(before), speak(after))
            }
            (None, Some(after)) => format!("{}: {}", self.name, speak(after)),
            (Some(before), None) => format!("{}: {} is taken away", self.name, speak(before)),
            (None, None) => self.name.clone(),
        }
    }
}

/// What stands in the second entry and not in the first, in the order of a page; a shot that is new, or gone, is one change.
///
/// # Degenerate input
/// Without a first entry everything is new. An entry that strikes its record out says nothing, and changes no field.
pub fn changes(pages: &Pages, before: Option<&Entry>, after: &Entry) -> Vec<Changed> {
    if after.strikes_out() {
        return Vec::new();
    }
    // A strike-out said nothing: what it hid is compared with by the caller.
    let before = before.filter(|entry| !entry.strikes_out());
    let (had, has) = (before.map_or(0, shots), shots(after));
    let numbered = had > 1 || has > 1;
    let old = before.map_or_else(Vec::new, |entry| facts(pages, entry, numbered));
    let new = facts(pages, after, numbered);
    let whole = |index: usize| index < had && index < has;
    let mut seen: BTreeSet<&str> = BTreeSet::new();
    let mut changes = Vec::new();
    for fact in new.iter().chain(&old) {
        if !seen.insert(&fact.key) {
            continue;
        }
        if let Some(index) = shot_index(fact)
            && !whole(index)
        {
            continue;
        }
        let find = |all: &[Fact]| {
            all.iter()
                .find(|other| other.key == fact.key)
                .map(|other| other.text.clone())
        };
        let (was, is) = (find(&old), find(&new));
        if was != is {
            changes.push(Changed {
                name: fact.name.clone(),
                before: was,
                after: is,
            });
        }
    }
    for index in had.min(has)..had.max(has) {
        changes.push(Changed {
            name: if numbered || before.is_some() {
                format!("shot {}", index + 1)
            } else {
                "read".to_owned()
            },
            before: before.and_then(|entry| shot(entry, index)),
            after: shot(after, index),
        });
    }
    changes
}

/// Which shot a fact is of.
fn shot_index(fact: &Fact) -> Option<usize> {
    let (index, _) = fact.key.strip_prefix("shots/")?.split_once('/')?;
    index.parse().ok()
}

fn shot(entry: &Entry, index: usize) -> Option<String> {
    match entry.body() {
        Some(Body::Reading(reading)) => reading.shots.get(index).map(shot_words),
        _ => None,
    }
}
