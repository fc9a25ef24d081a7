//! What the settle page shows: the versions side by side, what they share, what they disagree about, and what speaks for each.

use std::collections::BTreeSet;

use super::apart::{Apart, dial_of, text_of};
use super::waiting::name;
use crate::app::drawing::Scale;
use crate::app::history::facts::{Fact, facts, shot_words, shots};
use crate::app::history::steps::{letter, title_of};
use crate::app::outcrop::open::number;
use crate::app::who;
use crate::app::written::{self, Row, Written};
use crate::notebook::versions::{Weighed, weigh};
use crate::notebook::{
    Body, Datum, Entry, EntryId, Ledger, Notation, Pages, Reading, RecordId, State, settle,
};
use crate::orientation::neighbours::Shape;
use crate::orientation::odds_words;

/// Everything the page shows of one contested record.
#[derive(Clone, Debug, PartialEq)]
pub struct Settling {
    /// `45·2 bedding: two dips`.
    pub title: String,
    /// The name of the station, where it has one.
    pub place: String,
    /// The versions, the one that is shown elsewhere first.
    pub versions: Vec<Version>,
    /// What keeping both as shots of one reading would come to, where that can be: `062/37SE of 2 shots`.
    pub both: Option<String>,
    /// What they disagree about, in one sentence.
    pub doubt: String,
    /// How likely each is, and what it would mean.
    pub odds: Vec<Odds>,
    /// What the odds are weighed by.
    pub remark: Option<String>,
    /// Some version has an attitude to draw on the net.
    pub drawn: bool,
    /// The picture of a photo, where every legible version names the same.
    pub picture: Option<Picture>,
}

/// A picture to be shown.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Picture {
    /// SHA-256 of its bytes.
    pub sha256: String,
    /// It in words, for those who do not see it.
    pub words: String,
}

/// How likely a version is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Odds {
    /// `97 in 100`.
    pub odds: String,
    /// What it would mean.
    pub words: String,
}

/// What keeping both versions as shots of one reading would come to.
fn both(pages: &Pages, ledger: &Ledger, record: &str, notation: Notation) -> Option<String> {
    let Some(Body::Reading(reading)) = settle::both(ledger, record)?.body else {
        return None;
    };
    let attitude = crate::notebook::attitude::in_book(pages, &reading);
    let shots = reading.shots.iter().filter(|shot| !shot.struck_out).count();
    let value = written::value(&reading, &attitude, notation);
    Some(format!("{value}, of {shots} shots"))
}

/// One version.
#[derive(Clone, Debug, PartialEq)]
pub struct Version {
    /// What settling takes.
    pub entry: EntryId,
    /// `A` for the one that is shown elsewhere.
    pub letter: char,
    /// Who, on which tablet.
    pub author: String,
    /// When.
    pub when: String,
    /// What there is to draw of it.
    pub written: Written,
    /// It withdraws the record.
    pub struck: bool,
    /// The dials of the shot they disagree about.
    pub dials: Vec<DialShown>,
    /// What else they disagree about.
    pub rows: Vec<RowShown>,
    /// Shots, uncertainty, note; or why it was struck out.
    pub remark: String,
    /// What stands on its plate: `A: dip 38`.
    pub plate: String,
    /// The picture of a photo, where the versions name different ones.
    pub picture: Option<Picture>,
}

/// A dial of one version.
#[derive(Clone, Debug, PartialEq)]
pub struct DialShown {
    /// `dip`, `shot 2, dip`.
    pub name: String,
    /// As it stood; empty where it was not read.
    pub text: String,
    /// Where its pointer stands, degrees.
    pub deg: Option<f64>,
    /// How it is graduated; `None` for a side.
    pub scale: Option<Scale>,
    /// The versions disagree about it.
    pub differs: bool,
}

/// A field of words of one version.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RowShown {
    /// What it is called.
    pub name: String,
    /// What it says; `None` where it says nothing.
    pub text: Option<String>,
    /// Only one changed it: it stays whichever is taken.
    pub stays: bool,
}

/// What the page shows of a record; `None` where nobody has to settle it. `own` is this tablet's name, `data` the book's
/// readings as [`crate::notebook::structure::data`] gives them.
pub fn settling(
    pages: &Pages,
    ledger: &Ledger,
    record: &str,
    data: &[Datum],
    notation: Notation,
    own: &str,
) -> Option<Settling> {
    let State::Contested {
        shown,
        others,
        fields,
        ..
    } = ledger.state(record)
    else {
        return None;
    };
    let tips: Vec<&Entry> = std::iter::once(&shown).chain(&others).collect();
    let legible: Vec<&Entry> = tips
        .iter()
        .copied()
        .filter(|tip| !tip.strikes_out())
        .collect();
    let numbered = legible.iter().any(|tip| shots(tip) > 1);
    let said: Vec<Vec<Fact>> = tips.iter().map(|tip| facts(pages, tip, numbered)).collect();
    let apart = Apart::of(&tips, &said, &fields);
    let mut versions: Vec<Version> = tips
        .iter()
        .enumerate()
        .map(|(i, tip)| version(pages, tip, &said[i], &apart, i, notation, own))
        .collect();
    let pictures = versions.iter().filter_map(|v| v.picture.as_ref());
    let pictures: BTreeSet<String> = pictures.map(|picture| picture.sha256.clone()).collect();
    let mut picture = None;
    if pictures.len() == 1 {
        for version in &mut versions {
            picture = picture.or(version.picture.take());
        }
    }
    let name = name(pages, ledger, record, &tips, &apart);
    // Odds are of the dials and what they count from; where the versions agree about those there is nothing to weigh.
    let weighs = fields.iter().any(|field| WEIGHED.contains(&field.as_str()));
    let weighed = weighs
        .then(|| weigh_all(pages, data, record, &tips))
        .flatten();
    let (odds, remark) = match &weighed {
        Some(weighed) => (
            odds(weighed, &versions, &apart),
            remark(weighed, &versions, &shown),
        ),
        None => (Vec::new(), None),
    };
    Some(Settling {
        title: format!("{name}: {}", apart.title(tips.len())),
        place: place(pages, &shown),
        doubt: apart.sentence(pages, &tips),
        drawn: versions.iter().any(|v| v.written != Written::Other),
        both: both(pages, ledger, record, notation),
        versions,
        odds,
        remark: if ledger.lacks_before(record) {
            Some(BETWEEN.to_owned())
        } else {
            remark
        },
        picture,
    })
}

/// The picture that a version of a photo names.
fn picture_of(pages: &Pages, tip: &Entry) -> Option<Picture> {
    match tip.body() {
        Some(Body::Photo(photo)) => Some(Picture {
            sha256: photo.sha256.clone(),
            words: title_of(pages, tip.body()).0,
        }),
        _ => None,
    }
}

fn version(
    pages: &Pages,
    tip: &Entry,
    said: &[Fact],
    apart: &Apart,
    index: usize,
    notation: Notation,
    own: &str,
) -> Version {
    let letter = letter(index);
    let struck = tip.strikes_out();
    let mut dials = Vec::new();
    let mut rows = Vec::new();
    let reading = match tip.body() {
        Some(Body::Reading(reading)) => Some(reading),
        _ => None,
    };
    if !struck {
        for fact in said {
            if let Some((shot, _, scale)) = dial_of(fact)
                && shot == apart.shot
                && shot.is_none_or(|shot| !apart.whole.contains(&shot))
            {
                dials.push(DialShown {
                    name: fact.name.clone(),
                    text: fact.text.clone(),
                    deg: scale.and_then(|_| number(&fact.text)),
                    scale,
                    differs: apart.is_disputed(&fact.key),
                });
            }
        }
        let shown: BTreeSet<&str> = said
            .iter()
            .filter(|fact| dial_of(fact).is_some_and(|(shot, ..)| shot == apart.shot))
            .map(|fact| fact.key.as_str())
            .collect();
        for (key, name) in &apart.disputed {
            if shown.contains(key.as_str()) {
                continue;
            }
            let whole = key.strip_prefix("shots/").and_then(|i| i.parse().ok());
            let text = match (whole, reading) {
                (Some(i), Some(reading)) => reading.shots.get::<usize>(i).map(shot_words),
                _ => text_of(said, key).map(str::to_owned),
            };
            rows.push(RowShown {
                name: name.clone(),
                text,
                stays: false,
            });
        }
        for fact in said.iter().filter(|fact| apart.stays.contains(&fact.key)) {
            rows.push(RowShown {
                name: fact.name.clone(),
                text: Some(fact.text.clone()),
                stays: true,
            });
        }
    }
    let row =
        reading.and_then(|reading| Row::of(pages, Some((reading, false)), &None, notation, 0));
    let remark = match (&row, struck) {
        (_, true) => match tip.why() {
            Some(why) => format!("struck out: {why}"),
            None => "struck out, without a reason".to_owned(),
        },
        (Some(row), _) => without_note(&row.detail, reading, &rows),
        (None, _) => tip.why().unwrap_or_default().to_owned(),
    };
    Version {
        entry: tip.id(),
        letter,
        author: who::author(tip.stamp(), own),
        when: who::when(&tip.stamp().at),
        plate: format!("{letter}: {}", plate(pages, tip, said, apart, notation)),
        written: row.map_or(Written::Other, |row| row.written),
        struck,
        dials,
        rows,
        remark,
        picture: picture_of(pages, tip),
    }
}

/// The detail of a row without its note, where the note stands among the fields already.
fn without_note(detail: &str, reading: Option<&Reading>, rows: &[RowShown]) -> String {
    let note = reading.map_or("", |reading| reading.note.as_str());
    let told = rows.iter().any(|row| row.text.as_deref() == Some(note));
    let end = detail.strip_suffix(note).filter(|_| told);
    end.map_or(detail, |rest| rest.trim_end_matches(" · "))
        .to_owned()
}

/// What a plate takes, after its letter.
fn plate(pages: &Pages, tip: &Entry, said: &[Fact], apart: &Apart, notation: Notation) -> String {
    /// Longer words are not read on a plate.
    const MOST: usize = 16;
    if tip.strikes_out() {
        return "struck out".to_owned();
    }
    let whole = match tip.body() {
        Some(Body::Reading(reading)) => {
            let attitude = crate::notebook::attitude::in_book(pages, reading);
            written::value(reading, &attitude, notation)
        }
        _ => String::new(),
    };
    if apart.kinds {
        return title_of(pages, tip.body()).0;
    }
    if apart.struck {
        return format!("keep {}", if whole.is_empty() { "it" } else { &whole });
    }
    match apart.disputed.as_slice() {
        [(key, name)] => match text_of(said, key) {
            Some(text) if text.chars().count() <= MOST => format!("{name} {text}"),
            Some(_) => format!("this {name}"),
            None if key.starts_with("shots/") && !key["shots/".len()..].contains('/') => {
                let has = said
                    .iter()
                    .any(|fact| fact.key.starts_with(&format!("{key}/")));
                if has {
                    format!("with {name}")
                } else {
                    format!("without {name}")
                }
            }
            None => format!("no {name}"),
        },
        _ if !whole.is_empty() => whole,
        _ => "take this".to_owned(),
    }
}

fn place(pages: &Pages, shown: &Entry) -> String {
    let station = match shown.body() {
        Some(Body::Reading(reading)) => &reading.station,
        Some(Body::Sighting(sighting)) => &sighting.station,
        Some(Body::Photo(photo)) => &photo.station,
        _ => return String::new(),
    };
    pages
        .station(station)
        .and_then(|page| page.line().station())
        .map(|station| station.name.clone())
        .unwrap_or_default()
}

/// The fields of a reading by which its attitude may be another.
const WEIGHED: [&str; 8] = [
    "shots",
    "form",
    "right_hand",
    "set_up",
    "north",
    "declination",
    "card_declination",
    "accepted",
];

fn weigh_all(pages: &Pages, data: &[Datum], record: &str, tips: &[&Entry]) -> Option<Weighed> {
    let readings: Option<Vec<&Reading>> = tips
        .iter()
        .map(|tip| match tip.body() {
            Some(Body::Reading(reading)) => Some(reading),
            _ => None,
        })
        .collect();
    weigh(pages, data, record, &readings?)
}

/// The versions by their odds, the likeliest first, and what each would mean.
fn odds(weighed: &Weighed, versions: &[Version], apart: &Apart) -> Vec<Odds> {
    let mut order: Vec<usize> = (0..versions.len()).collect();
    order.sort_by(|a, b| weighed.fits[*b].odds.total_cmp(&weighed.fits[*a].odds));
    let likeliest = order[0];
    let disputed = |version: &Version| {
        let (_, name) = apart.disputed.first()?;
        let dial = version.dials.iter().find(|dial| dial.name == *name)?;
        Some((dial.text.clone(), dial.deg?, dial.scale?))
    };
    let one = apart.disputed.len() == 1;
    order
        .into_iter()
        .map(|i| {
            let (number, of) = odds_words(weighed.fits[i].odds);
            let letter = versions[i].letter;
            let slip = (one && versions.len() == 2)
                .then(|| {
                    let right = disputed(&versions[i])?;
                    let wrong = disputed(&versions[1 - i])?;
                    slip_words(&right, &wrong)
                })
                .flatten();
            // Within twice what chance allows it is one of them.
            let off = weighed.fits[i].off_deg.filter(|off| {
                weighed
                    .around
                    .is_none_or(|around| *off > 2.0 * around.sd_deg)
            });
            let words = match (slip, off) {
                (Some(slip), _) if i == likeliest => format!("{letter} is right, and {slip}"),
                (_, Some(off)) if i != likeliest => {
                    format!("{letter} is right, and lies {off:.0}° off the others of its kind")
                }
                _ => match &weighed.fits[i].doubt {
                    Some(_) => {
                        format!("{letter} is right, though its own dials contradict each other")
                    }
                    None => format!("{letter} is right"),
                },
            };
            Odds {
                odds: format!("{number} {of}"),
                words,
            }
        })
        .collect()
}

/// How the wrong number may have come of the right one.
fn slip_words(right: &(String, f64, Scale), wrong: &(String, f64, Scale)) -> Option<String> {
    let ((right, right_deg, scale), (wrong, wrong_deg, _)) = (right, wrong);
    let digits = |text: &str| {
        let mut digits: Vec<char> = text.chars().collect();
        digits.sort_unstable();
        digits
    };
    let near = |a: f64, b: f64| (a - b).abs() < 0.75;
    let words = if right != wrong && digits(right) == digits(wrong) {
        format!("{wrong} is {right} with its digits exchanged")
    } else if *scale == Scale::Inclination && near(right_deg + wrong_deg, 90.0) {
        format!("{wrong} is {right} counted from the vertical")
    } else if *scale == Scale::Rake && near(right_deg + wrong_deg, 180.0) {
        format!("{wrong} is {right} counted from the other end")
    } else if *scale == Scale::Azimuth && near((right_deg - wrong_deg).rem_euclid(360.0), 180.0) {
        format!("{wrong} is the other end of {right}")
    } else if *scale == Scale::Azimuth && near((right_deg + wrong_deg).rem_euclid(360.0), 0.0) {
        format!("{wrong} is {right} with east and west exchanged")
    } else if near((right_deg - wrong_deg).abs(), 10.0) {
        format!("{wrong} is {right} with its tens out by one")
    } else {
        return None;
    };
    Some(words)
}

/// What the odds are weighed by.
/// What is said before all else where one version may simply be the later.
const BETWEEN: &str = "An entry between these versions is not in this book: one of them may simply be the later. Open the book that holds it before you settle.";

fn remark(weighed: &Weighed, versions: &[Version], shown: &Entry) -> Option<String> {
    let kind = match shown.body() {
        Some(Body::Reading(reading)) => crate::app::outcrop::kinds::words(&reading.kind),
        _ => return None,
    };
    let around = weighed.around?;
    let shape = match around.shape {
        Shape::Cluster => "mean",
        Shape::Girdle => "girdle",
    };
    let off: Vec<String> = versions
        .iter()
        .zip(&weighed.fits)
        .filter_map(|(version, fit)| Some(format!("{:.0}° off {}", fit.off_deg?, version.letter)))
        .collect();
    Some(format!(
        "The {shape} of the other {} {kind} readings lies {}, good to ±{:.0}°. The odds count every version as likely as the others beforehand.",
        around.count,
        off.join(" and "),
        around.sd_deg
    ))
}

/// The address of the page on which a record is settled.
pub fn path(record: &RecordId) -> String {
    format!("/camp/settle/{record}")
}

#[cfg(test)]
mod tests;
