//! A record that a table tells, against the one in the book.

use std::collections::{BTreeMap, BTreeSet};

use super::super::values;
use crate::exchange::hand_over::dials_in_words;
use crate::notebook::{
    Accepted, Pages, Position, Reading, Shot, Sighting, Station, attitude, kinds,
};

/// What differs, in words: `dip 30 here, 32 in the table`.
#[derive(Default)]
pub(super) struct Differences(Vec<String>);

/// A text as it comes back from a spreadsheet: line ends of one kind, no white space at its ends, no NUL.
fn plain(text: &str) -> String {
    let text = text.replace("\r\n", "\n").replace('\r', "\n");
    text.trim().replace('\0', "\u{2400}")
}

fn shown(text: &str) -> String {
    match text {
        "" => "nothing".to_owned(),
        text => super::super::short(&plain(text), 40),
    }
}

impl Differences {
    fn push(&mut self, what: &str, here: &str, there: &str) {
        self.0.push(format!(
            "{what} {} here, {} in the table",
            shown(here),
            shown(there)
        ));
    }

    fn words(&mut self, what: &str, here: &str, there: &str) {
        if plain(here) != plain(there) {
            self.push(what, here, there);
        }
    }

    fn maybe(&mut self, what: &str, here: Option<&str>, there: Option<&str>) {
        self.words(what, here.unwrap_or_default(), there.unwrap_or_default());
    }

    /// Numbers in words are the same where they are the same numbers: 045 and 45, 2.5W and -2.5.
    fn number(&mut self, what: &str, here: Option<&str>, there: Option<&str>) {
        let value = |text: Option<&str>| {
            let text = text?;
            attitude::declination(text)
                .map(|angle| angle.deg())
                .or_else(|| values::finite(text))
        };
        match (value(here), value(there)) {
            (Some(a), Some(b)) if (a - b).abs() < 1e-9 => {}
            _ => self.maybe(what, here, there),
        }
    }

    fn same<T: PartialEq>(&mut self, what: &str, here: &T, there: &T) {
        if here != there {
            self.0.push(format!("{what} otherwise in the table"));
        }
    }

    /// The first of them in one sentence; `None` where nothing differs.
    pub(super) fn in_words(&self) -> Option<String> {
        const NAMED: usize = 3;
        let (named, more) = self.0.split_at(self.0.len().min(NAMED));
        let more = match more.len() {
            0 => String::new(),
            count => format!("; and {count} more"),
        };
        (!named.is_empty()).then(|| format!("{}{more}", named.join("; ")))
    }
}

fn close(a: Option<f64>, b: Option<f64>, within: f64) -> bool {
    match (a, b) {
        (Some(a), Some(b)) => (a - b).abs() <= within,
        (a, b) => a.is_none() && b.is_none(),
    }
}

fn places(found: &mut Differences, here: Option<&Position>, there: Option<&Position>) {
    let number = |value: f64| value.to_string();
    let (Some(here), Some(there)) = (here, there) else {
        let place = |position: Option<&Position>| {
            position.map_or_else(String::new, |p| format!("{}, {}", p.latitude, p.longitude))
        };
        found.words("place", &place(here), &place(there));
        return;
    };
    for (what, here, there, within) in [
        ("latitude", Some(here.latitude), Some(there.latitude), 1e-9),
        (
            "longitude",
            Some(here.longitude),
            Some(there.longitude),
            1e-9,
        ),
        ("height", here.height_m, there.height_m, 1e-6),
        ("accuracy", here.accuracy_m, there.accuracy_m, 1e-6),
    ] {
        if !close(here, there, within) {
            found.maybe(
                what,
                here.map(number).as_deref(),
                there.map(number).as_deref(),
            );
        }
    }
    found.words("source of the place", &here.source, &there.source);
    found.maybe(
        "place as typed",
        here.typed.as_deref(),
        there.typed.as_deref(),
    );
}

/// A station; its number is given by whoever knows whether it was given a new one.
pub(super) fn stations(here: &Station, there: &Station) -> Differences {
    let mut found = Differences::default();
    found.words(
        "number",
        &here.number.to_string(),
        &there.number.to_string(),
    );
    found.words("name", &here.name, &there.name);
    found.words("time", &here.at, &there.at);
    places(&mut found, here.position.as_ref(), there.position.as_ref());
    found.words("unit", &here.unit, &there.unit);
    found.words("lithology", &here.lithology, &there.lithology);
    found.words("note", &here.note, &there.note);
    found.maybe(
        "the same outcrop as",
        here.same_as.as_deref(),
        there.same_as.as_deref(),
    );
    found.same("other outcrops stand", &here.apart_from, &there.apart_from);
    found.same("answers stand", &here.accepted, &there.accepted);
    found
}

/// The shots of a reading by their places among all, and its answers counted among those alone.
pub(super) fn compact(reading: &Reading, keep: impl Fn(usize, &Shot) -> bool) -> Reading {
    let kept: Vec<usize> = (0..)
        .zip(&reading.shots)
        .filter(|(nth, shot)| keep(*nth, shot))
        .map(|(nth, _)| nth)
        .collect();
    Reading {
        shots: kept
            .iter()
            .filter_map(|nth| reading.shots.get(*nth).cloned())
            .collect(),
        accepted: answers_among(&reading.accepted, &kept),
        ..reading.clone()
    }
}

/// The answers of the shots that are kept, each with the place its shot has among them.
pub(super) fn answers_among(accepted: &[Accepted], kept: &[usize]) -> Vec<Accepted> {
    let answers = accepted.iter().filter_map(|answer| {
        let shot = kept.iter().position(|nth| *nth == answer.shot)?;
        Some(Accepted {
            shot,
            ..answer.clone()
        })
    });
    answers.collect()
}

fn shots(found: &mut Differences, here: &[Shot], there: &[Shot]) {
    if here.len() != there.len() {
        found.push("shots", &here.len().to_string(), &there.len().to_string());
        return;
    }
    for (nth, (here, there)) in (1..).zip(here.iter().zip(there)) {
        let dials = |shot: &Shot| -> BTreeMap<&'static str, String> {
            let texts = shot.texts();
            texts.map(|(name, text)| (name, text.to_owned())).collect()
        };
        let (ours, theirs) = (dials(here), dials(there));
        let names: BTreeSet<&str> = ours.keys().chain(theirs.keys()).copied().collect();
        for name in names {
            let of = |dials: &BTreeMap<&'static str, String>| dials.get(name).cloned();
            let (ours, theirs) = (of(&ours), of(&theirs));
            let what = format!("shot {nth}, {name}");
            found.number(&what, ours.as_deref(), theirs.as_deref());
        }
        found.same(&format!("shot {nth} points"), &here.up, &there.up);
        found.same(
            &format!("shot {nth} is struck out or stands"),
            &here.struck_out,
            &there.struck_out,
        );
        found.same(
            &format!("shot {nth}: the instrument stood"),
            &here.stood,
            &there.stood,
        );
        found.words(&format!("shot {nth}, time"), &here.at, &there.at);
    }
}

/// What a hand-over says of a reading beside its dials.
fn beside_the_dials(found: &mut Differences, here: &Reading, there: &Reading) {
    found.words(
        "number",
        &here.number.to_string(),
        &there.number.to_string(),
    );
    found.words("kind", kinds::words(&here.kind), kinds::words(&there.kind));
    found.same("form stands", &here.form, &there.form);
    found.same("tops stand", &here.tops, &there.tops);
    found.same("sense of slip stands", &here.sense, &there.sense);
    found.same("planes of the angle stand", &here.planes, &there.planes);
    found.words("note", &here.note, &there.note);
}

/// A reading by its shots: all of them, or those that stand, whichever the table has.
pub(super) fn readings(here: &Reading, there: &Reading, is_newer: bool) -> Differences {
    let of = |here: &Reading| {
        let mut found = Differences::default();
        shots(&mut found, &here.shots, &there.shots);
        found.same(
            "right-hand rule stands",
            &here.right_hand,
            &there.right_hand,
        );
        found.words("north", here.north.name(), there.north.name());
        // An older hand-over has no more in its table of shots.
        if !is_newer {
            found.words("kind", kinds::words(&here.kind), kinds::words(&there.kind));
            return found;
        }
        found.number(
            "declination",
            here.declination.as_deref(),
            there.declination.as_deref(),
        );
        found.number(
            "declination of the card",
            here.card_declination.as_deref(),
            there.card_declination.as_deref(),
        );
        found.maybe(
            "reason of its north",
            here.because.as_deref(),
            there.because.as_deref(),
        );
        found.same("answers stand", &here.accepted, &there.accepted);
        beside_the_dials(&mut found, here, there);
        found
    };
    let all = of(&compact(here, |_, _| true));
    if all.in_words().is_none() {
        return all;
    }
    let standing = of(&compact(here, |_, shot| !shot.struck_out));
    if standing.in_words().is_none() || there.shots.iter().all(|shot| !shot.struck_out) {
        standing
    } else {
        all
    }
}

/// A reading by its means: what stood on the dials, in words, and the values that count from true north.
pub(super) fn means(
    pages: &Pages,
    here: &Reading,
    there: &Reading,
    dials: &str,
    means: &[(&'static str, &str)],
) -> Differences {
    let mut found = Differences::default();
    beside_the_dials(&mut found, here, there);
    // What a table of means brought in has the means for dials.
    if here.from.is_none() {
        found.words("dials", &dials_in_words(here), dials);
    }
    let attitude = attitude::in_book(pages, here);
    let plane = attitude.plane.filter(|_| attitude.counts_from.is_true());
    let line = attitude.line.filter(|_| attitude.counts_from.is_true());
    for (what, text) in means {
        let Some(there) = values::finite(text) else {
            continue;
        };
        let (here, turn) = match *what {
            "strike" => (plane.map(|p| p.strike().deg()), 360.0),
            "dip" => (attitude.plane.map(|p| p.dip().deg()), 1e9),
            "trend" => (line.map(|l| l.trend().deg()), 360.0),
            "plunge" => (attitude.line.map(|l| l.plunge().deg()), 1e9),
            _ => (attitude.angle_deg, 1e9),
        };
        // Written to the hundredth.
        let off = here.map_or(f64::INFINITY, |here| {
            let off = (here - there).abs();
            off.min(turn - off)
        });
        if off > 0.02 {
            let here = here.map_or_else(String::new, |here| format!("{here:.2}"));
            found.push(what, &here, text);
        }
    }
    found
}

/// A sighting.
pub(super) fn sightings(here: &Sighting, there: &Sighting) -> Differences {
    let mut found = Differences::default();
    found.words(
        "number",
        &here.number.to_string(),
        &there.number.to_string(),
    );
    found.maybe("station sighted", here.to.as_deref(), there.to.as_deref());
    found.words("words of the point", &here.to_words, &there.to_words);
    for (what, here, there) in [
        ("bearing", &here.bearing, &there.bearing),
        ("vertical angle", &here.vertical, &there.vertical),
        ("slope distance", &here.slope_m, &there.slope_m),
        ("level distance", &here.level_m, &there.level_m),
        (
            "deviation of the distance",
            &here.distance_sd_m,
            &there.distance_sd_m,
        ),
        ("declination", &here.declination, &there.declination),
        (
            "declination of the card",
            &here.card_declination,
            &there.card_declination,
        ),
    ] {
        found.number(what, here.as_deref(), there.as_deref());
    }
    found.same("it points up or down", &here.up, &there.up);
    found.words("north", here.north.name(), there.north.name());
    found.maybe(
        "reason of its north",
        here.because.as_deref(),
        there.because.as_deref(),
    );
    found.words("time", &here.at, &there.at);
    found.words("note", &here.note, &there.note);
    found.same("answers stand", &here.accepted, &there.accepted);
    found
}
