//! What two people changed differently, put before a person field by field, and settled in one act; every version stays in the
//! history, and taking the act back brings the doubt back.

use std::collections::{BTreeSet, HashSet};

use serde_json::{Map, Value};

use super::entry::{Act, Entry, EntryId, Stamp};
use super::ledger::{Ledger, State};
use super::merge::{self, Ancestry};
use super::record::{Body, Reading};

/// One of the versions between which a person chooses.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Version {
    /// The entry that says so: what [`settle`] takes. Where changes of several people were already put together, it is none of
    /// the ledger's own.
    pub entry: EntryId,
    /// Who, on what and when; of several people `A + B`, without a device.
    pub stamp: Stamp,
    /// What was done.
    pub act: Act,
    /// It withdraws the record.
    pub strikes_out: bool,
}

/// One thing about which the versions disagree.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Difference {
    /// The field, by its name in the file; `struck-out` where one version withdraws the record.
    pub field: String,
    /// The shot it concerns, from 0, where it is a dial or another part of one.
    pub shot: Option<usize>,
    /// What it is called in words: `note`, `dip of shot 2`, `shot 3`.
    pub words: String,
    /// What each version says, in the order of [`versions`]; `None` where it says nothing.
    pub texts: Vec<Option<String>>,
}

/// What settles a contested record.
#[derive(Clone, Debug, PartialEq)]
pub struct Settlement {
    /// What the entry supersedes.
    pub supersedes: Vec<EntryId>,
    /// The record's content from then on; `None` strikes it out.
    pub body: Option<Body>,
}

/// The versions of a contested record, the one that is shown first.
///
/// # Degenerate input
/// Empty where nobody has to settle anything.
pub fn versions(ledger: &Ledger, record: &str) -> Vec<Version> {
    let (entries, ..) = contested(ledger, record).unwrap_or_default();
    let versions = entries.iter().map(|entry| Version {
        entry: entry.id(),
        stamp: entry.stamp().clone(),
        act: entry.act().clone(),
        strikes_out: entry.strikes_out(),
    });
    versions.collect()
}

/// What the versions of a contested record disagree about, and what each says.
///
/// # Degenerate input
/// Empty where nobody has to settle anything.
pub fn differences(ledger: &Ledger, record: &str) -> Vec<Difference> {
    let Some((versions, fields, _)) = contested(ledger, record) else {
        return Vec::new();
    };
    let contents: Vec<Map<String, Value>> = versions
        .iter()
        .map(|entry| entry.body_text().map(merge::content).unwrap_or_default().1)
        .collect();
    let mut found = Vec::new();
    for field in fields {
        match field.as_str() {
            "struck-out" => found.push(Difference {
                words: "struck out".to_owned(),
                texts: versions
                    .iter()
                    .map(|entry| Some(if entry.strikes_out() { "yes" } else { "no" }.to_owned()))
                    .collect(),
                shot: None,
                field,
            }),
            "kind of record" => found.push(Difference {
                words: "kind of record".to_owned(),
                texts: versions
                    .iter()
                    .map(|entry| entry.body().map(|body| body.kind().to_owned()))
                    .collect(),
                shot: None,
                field,
            }),
            "shots" => shots(&contents, &mut found),
            _ => found.push(Difference {
                words: field.replace('_', " "),
                texts: contents.iter().map(|c| text(c.get(&field))).collect(),
                shot: None,
                field,
            }),
        }
    }
    found
}

/// What settles a contested record in favour of one version: what is disputed is as that version has it, and every change that
/// nobody disputes is kept, whoever made it.
///
/// # Degenerate input
/// `None` where nobody has to settle anything, and for an entry that is none of the [`versions`].
pub fn settle(ledger: &Ledger, record: &str, take: &EntryId) -> Option<Settlement> {
    let (mut versions, fields, heads) = contested(ledger, record)?;
    let place = versions.iter().position(|entry| entry.id() == *take)?;
    let chosen = versions.remove(place);
    let mut ancestry = Ancestry::new(ledger);
    // The versions may be put together already: what they descend from is found as when they were.
    merge::fold(&mut ancestry, standing(ledger, record));
    let body = merge::choosing(&mut ancestry, chosen, &versions, &fields);
    Some(Settlement {
        supersedes: heads,
        body: body.map(|text| Body::from_object(&text)),
    })
}

/// What settles a contested reading by keeping the dials of both versions as shots of one reading: the shots that both changed,
/// or added, stand beside each other, and every other change is kept, whoever made it.
///
/// # Degenerate input
/// `None` where nobody has to settle anything, where more than two versions or more than the shots are disputed, and where the
/// shots would not be repetitions of one measurement: of another kind, read on other dials, or against another north.
pub fn both(ledger: &Ledger, record: &str) -> Option<Settlement> {
    let (versions, fields, heads) = contested(ledger, record)?;
    let [a, b] = versions.as_slice() else {
        return None;
    };
    if fields != ["shots"] || !same_measurement(reading(a)?, reading(b)?) {
        return None;
    }
    let mut ancestry = Ancestry::new(ledger);
    // As for one of them: what they descend from is found as when they were put together.
    merge::fold(&mut ancestry, standing(ledger, record));
    let body = merge::both(&mut ancestry, a, b)?;
    Some(Settlement {
        supersedes: heads,
        body: Some(Body::from_object(&body)),
    })
}

/// The entry that keeps both versions of a contested reading; see [`both`].
pub fn both_entry(ledger: &Ledger, record: &str, stamp: Stamp) -> Option<Entry> {
    both(ledger, record).map(|settlement| settled_by(settlement, record, stamp))
}

fn reading(entry: &Entry) -> Option<&Reading> {
    match entry.body() {
        Some(Body::Reading(reading)) => Some(reading),
        _ => None,
    }
}

/// Whether the shots of both are repetitions of one measurement, and say it in the same way.
fn same_measurement(a: &Reading, b: &Reading) -> bool {
    let read_as = |reading: &Reading| {
        let Reading {
            kind,
            form,
            right_hand,
            set_up,
            north,
            declination,
            card_declination,
            planes,
            ..
        } = reading.clone();
        (
            (kind, form, right_hand, planes),
            (set_up, north, declination, card_declination),
        )
    };
    let dials = |reading: &Reading| -> BTreeSet<Vec<&'static str>> {
        let shots = reading.shots.iter().filter(|shot| !shot.struck_out);
        shots
            .map(|shot| shot.texts().map(|(name, _)| name).collect())
            .collect()
    };
    let (of_a, of_b) = (dials(a), dials(b));
    read_as(a) == read_as(b) && of_a.len() == 1 && of_a == of_b
}

/// The entry that settles a contested record; see [`settle`].
pub fn entry(ledger: &Ledger, record: &str, take: &EntryId, stamp: Stamp) -> Option<Entry> {
    settle(ledger, record, take).map(|settlement| settled_by(settlement, record, stamp))
}

fn settled_by(settlement: Settlement, record: &str, stamp: Stamp) -> Entry {
    Entry::new(
        record.into(),
        settlement.supersedes,
        stamp,
        Act::Settle,
        None,
        settlement.body,
    )
}

type Contested = (Vec<Entry>, Vec<String>, Vec<EntryId>);

fn contested(ledger: &Ledger, record: &str) -> Option<Contested> {
    match ledger.state(record) {
        State::Contested {
            shown,
            others,
            fields,
            heads,
        } => {
            let mut versions = vec![shown];
            versions.extend(others);
            Some((versions, fields, heads))
        }
        _ => None,
    }
}

fn standing(ledger: &Ledger, record: &str) -> Vec<Entry> {
    let heads = ledger.heads(record).into_iter().cloned().collect();
    reopened(ledger, heads)
}

/// The heads, and in place of one that took a settlement back the versions that were settled by it: the doubt is there again.
pub(super) fn reopened(ledger: &Ledger, heads: Vec<Entry>) -> Vec<Entry> {
    let mut open = heads;
    let mut standing = Vec::with_capacity(open.len());
    let mut seen = HashSet::new();
    while let Some(entry) = open.pop() {
        if !seen.insert(entry.id()) {
            continue;
        }
        let versions = settled_versions(ledger, &entry);
        if versions.is_empty() {
            standing.push(entry);
        } else {
            open.extend(versions);
        }
    }
    standing
}

/// What a settlement superseded, where an entry takes that settlement back.
fn settled_versions(ledger: &Ledger, entry: &Entry) -> Vec<Entry> {
    if *entry.act() != Act::Undo {
        return Vec::new();
    }
    let mut began = entry.clone();
    let mut seen = HashSet::new();
    while matches!(began.act(), Act::Undo | Act::Redo) && seen.insert(began.id()) {
        let before = match began.supersedes() {
            [before] => ledger.get(before).cloned(),
            _ => None,
        };
        match before.filter(|before| before.record() == entry.record()) {
            Some(before) => began = before,
            None => return Vec::new(),
        }
    }
    if *began.act() != Act::Settle {
        return Vec::new();
    }
    let known = began.supersedes().iter().filter_map(|id| ledger.get(id));
    known
        .filter(|version| version.record() == entry.record())
        .cloned()
        .collect()
}

/// The differences within the shots, part by part; a shot that only some versions have is one difference.
fn shots(contents: &[Map<String, Value>], found: &mut Vec<Difference>) {
    let lists: Vec<&[Value]> = contents
        .iter()
        .map(|content| {
            let list = content.get("shots").and_then(Value::as_array);
            list.map_or(&[][..], Vec::as_slice)
        })
        .collect();
    let longest = lists.iter().map(|list| list.len()).max().unwrap_or(0);
    for shot in 0..longest {
        let each: Vec<Option<&Value>> = lists.iter().map(|list| list.get(shot)).collect();
        if each.windows(2).all(|pair| pair[0] == pair[1]) {
            continue;
        }
        let objects: Option<Vec<&Map<String, Value>>> =
            each.iter().map(|shot| (*shot)?.as_object()).collect();
        let Some(objects) = objects else {
            found.push(Difference {
                field: "shots".to_owned(),
                shot: Some(shot),
                words: format!("shot {}", shot + 1),
                texts: each.iter().map(|shot| text(*shot)).collect(),
            });
            continue;
        };
        let parts: BTreeSet<&String> = objects.iter().flat_map(|object| object.keys()).collect();
        for part in parts {
            let each: Vec<Option<&Value>> = objects.iter().map(|o| o.get(part)).collect();
            // When a shot was taken is no reason to choose: it comes with the dials.
            if part != "at" && each.windows(2).any(|pair| pair[0] != pair[1]) {
                found.push(Difference {
                    field: "shots".to_owned(),
                    shot: Some(shot),
                    words: format!("{} of shot {}", part.replace('_', " "), shot + 1),
                    texts: each.iter().map(|value| text(*value)).collect(),
                });
            }
        }
    }
}

/// A value of a field in words; `None` for one that says nothing.
fn text(value: Option<&Value>) -> Option<String> {
    match value? {
        Value::Null => None,
        Value::Bool(yes) => Some(if *yes { "yes" } else { "no" }.to_owned()),
        Value::String(text) => Some(text.clone()).filter(|text| !text.is_empty()),
        Value::Number(number) => Some(number.to_string()),
        Value::Array(list) => {
            let texts: Vec<String> = list.iter().filter_map(|value| text(Some(value))).collect();
            Some(texts.join(", ")).filter(|text| !text.is_empty())
        }
        Value::Object(object) if object.contains_key("latitude") => place(object),
        Value::Object(object) => {
            let texts: Vec<String> = object
                .iter()
                .filter(|(part, _)| *part != "at")
                .filter_map(|(part, value)| Some((part, text(Some(value))?)))
                .map(|(part, text)| format!("{} {text}", part.replace('_', " ")))
                .collect();
            Some(texts.join(" · ")).filter(|text| !text.is_empty())
        }
    }
}

/// A position as degrees north and east, with its accuracy and where it comes from.
fn place(position: &Map<String, Value>) -> Option<String> {
    let number = |key: &str| position.get(key).and_then(Value::as_f64);
    let mut text = format!("{:.6}, {:.6}", number("latitude")?, number("longitude")?);
    if let Some(accuracy) = number("accuracy_m") {
        text.push_str(&format!(" ± {accuracy:.0} m"));
    }
    if let Some(source) = position.get("source").and_then(Value::as_str) {
        text.push_str(&format!(" ({source})"));
    }
    Some(text)
}
