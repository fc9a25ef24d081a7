//! What the versions of a record disagree about, and by how much.

use std::collections::BTreeSet;

use crate::app::drawing::Scale;
use crate::app::history::facts::{Fact, facts, shots};
use crate::app::outcrop::open::number;
use crate::notebook::{Body, Entry, Pages};
use crate::orientation::{Dip, Plunge};

/// The dials of a shot and of a sighting, and how each is graduated.
const DIALS: [(&str, Option<Scale>); 11] = [
    ("strike", Some(Scale::Azimuth)),
    ("dip", Some(Scale::Inclination)),
    ("side", None),
    ("toward", Some(Scale::Azimuth)),
    ("trend", Some(Scale::Azimuth)),
    ("plunge", Some(Scale::Inclination)),
    ("rake", Some(Scale::Rake)),
    ("angle", Some(Scale::Rake)),
    ("bearing", Some(Scale::Azimuth)),
    ("vertical", Some(Scale::Inclination)),
    ("up", None),
];

/// The dial that a fact is of, and which shot.
pub(super) fn dial_of(fact: &Fact) -> Option<(Option<usize>, &'static str, Option<Scale>)> {
    let (shot, name) = match fact.key.strip_prefix("shots/") {
        Some(rest) => {
            let (index, name) = rest.split_once('/')?;
            (Some(index.parse().ok()?), name)
        }
        None => (None, fact.key.as_str()),
    };
    let (name, scale) = DIALS.iter().find(|(known, _)| *known == name)?;
    Some((shot, name, *scale))
}

fn shot_of(fact: &Fact) -> Option<usize> {
    let (index, _) = fact.key.strip_prefix("shots/")?.split_once('/')?;
    index.parse().ok()
}

/// What the versions disagree about.
pub(super) struct Apart {
    /// The facts that differ and that a person settles: key and name, in the order of a page.
    pub(super) disputed: Vec<(String, String)>,
    /// The facts that differ and that only one side changed.
    pub(super) stays: BTreeSet<String>,
    /// The shot whose dials are shown.
    pub(super) shot: Option<usize>,
    /// Shots that not every version has, shown each as a whole.
    pub(super) whole: BTreeSet<usize>,
    /// One withdraws the record.
    pub(super) struck: bool,
    /// They are records of different kinds.
    pub(super) kinds: bool,
}

impl Apart {
    pub(super) fn of(tips: &[&Entry], said: &[Vec<Fact>], fields: &[String]) -> Self {
        let legible = || {
            tips.iter()
                .zip(said)
                .filter(|(tip, _)| !tip.strikes_out())
                .map(|(_, facts)| facts)
        };
        let counts: Vec<usize> = tips
            .iter()
            .filter(|tip| !tip.strikes_out())
            .map(|tip| shots(tip))
            .collect();
        let (fewest, most) = (
            counts.iter().copied().min().unwrap_or(0),
            counts.iter().copied().max().unwrap_or(0),
        );
        let whole: BTreeSet<usize> = (fewest..most).collect();
        let mut keys: Vec<&Fact> = Vec::new();
        for facts in legible() {
            for fact in facts {
                if keys.iter().all(|known| known.key != fact.key) {
                    keys.push(fact);
                }
            }
        }
        let mut apart = Self {
            disputed: Vec::new(),
            stays: BTreeSet::new(),
            shot: None,
            whole,
            struck: tips.iter().any(|tip| tip.strikes_out()),
            kinds: fields.iter().any(|field| field == "kind of record"),
        };
        for fact in keys {
            let mut texts = legible().map(|facts| text_of(facts, &fact.key));
            let first = texts.next().flatten();
            if texts.all(|text| text == first) {
                continue;
            }
            if !fields.contains(&fact.field) && !apart.struck && !apart.kinds {
                apart.stays.insert(fact.key.clone());
            } else if let Some(shot) = shot_of(fact).filter(|shot| apart.whole.contains(shot)) {
                let key = format!("shots/{shot}");
                if apart.disputed.iter().all(|(known, _)| *known != key) {
                    apart.disputed.push((key, format!("shot {}", shot + 1)));
                }
            } else {
                if let Some((shot @ Some(_), ..)) = dial_of(fact) {
                    apart.shot = apart.shot.or(shot);
                }
                apart.disputed.push((fact.key.clone(), fact.name.clone()));
            }
        }
        if apart.shot.is_none() && fewest > 0 {
            apart.shot = Some(0);
        }
        apart
    }

    pub(super) fn is_disputed(&self, key: &str) -> bool {
        self.disputed.iter().any(|(known, _)| known == key)
    }

    /// `two dips`, `two versions`, `struck out, and changed`.
    pub(super) fn title(&self, count: usize) -> String {
        let count = match count {
            2 => "two".to_owned(),
            3 => "three".to_owned(),
            n => n.to_string(),
        };
        match self.disputed.as_slice() {
            _ if self.struck => "struck out, and changed".to_owned(),
            _ if self.kinds => format!("{count} kinds of record"),
            [(_, name)] if name.chars().all(char::is_alphabetic) && !name.ends_with('s') => {
                format!("{count} {name}s")
            }
            [(_, name)] => format!("{count} versions of {name}"),
            _ => format!("{count} versions"),
        }
    }

    /// What they disagree about, in one sentence without a full stop.
    pub(super) fn sentence(&self, pages: &Pages, tips: &[&Entry]) -> String {
        if self.struck {
            return "One struck it out, another changed it".to_owned();
        }
        if self.kinds {
            return "The versions are of different kinds".to_owned();
        }
        if let ([(key, _)], [a, b]) = (self.disputed.as_slice(), tips)
            && let Some(words) = measured(pages, key, a, b)
        {
            return words;
        }
        let names: Vec<&str> = self
            .disputed
            .iter()
            .map(|(_, name)| name.as_str())
            .collect();
        match names.as_slice() {
            [] => "The versions are of different kinds".to_owned(),
            [one] => format!("They disagree about {one}"),
            [all @ .., last] => format!("They disagree about {} and {last}", all.join(", ")),
        }
    }
}

/// By how much two dials differ, and how much that is against their uncertainty.
fn measured(pages: &Pages, key: &str, a: &Entry, b: &Entry) -> Option<String> {
    let dial = key.rsplit('/').next()?;
    let (_, scale) = DIALS.iter().find(|(known, _)| *known == dial)?;
    let scale = (*scale)?;
    let read = |entry: &Entry| {
        let facts = facts(pages, entry, true);
        let text = text_of(&facts, key)?.to_owned();
        Some((number(&text)?, text))
    };
    let ((a_deg, a_text), (b_deg, b_text)) = (read(a)?, read(b)?);
    let apart = match scale {
        Scale::Azimuth => {
            let turn = (a_deg - b_deg).rem_euclid(360.0);
            turn.min(360.0 - turn)
        }
        _ => (a_deg - b_deg).abs(),
    };
    let sd = |entry: &Entry| sd_deg(pages, entry, dial);
    let times = sd(a)
        .zip(sd(b))
        .map(|(a, b)| apart / a.hypot(b))
        .filter(|times| times.is_finite())
        .map_or(String::new(), |times| format!(", {times:.0} × their ±"));
    Some(format!(
        "{a_text} and {b_text} differ by {apart:.0}°{times}"
    ))
}

/// What a fact says.
pub(super) fn text_of<'f>(facts: &'f [Fact], key: &str) -> Option<&'f str> {
    facts
        .iter()
        .find(|fact| fact.key == key)
        .map(|fact| fact.text.as_str())
}

/// The standard deviation of a dial of a version, degrees; `None` for dials of which none is known here.
fn sd_deg(pages: &Pages, entry: &Entry, dial: &str) -> Option<f64> {
    let Some(Body::Reading(reading)) = entry.body() else {
        return None;
    };
    let set_up = reading.set_up.as_deref();
    let set_up = set_up.and_then(|id| pages.set_up(id)?.set_up());
    let noise = set_up.map(|s| s.noise()).unwrap_or_default();
    let shot = reading.shots.first()?;
    let deg = |text: &Option<String>| text.as_deref().and_then(number);
    match dial {
        "dip" => Some(noise.dip_sd_deg()),
        "plunge" => Some(noise.plunge_sd_deg()),
        "rake" => Some(noise.rake_sd_deg()),
        "strike" | "toward" => Some(noise.strike_sd_deg(Dip::from_deg(deg(&shot.dip)?).ok()?)),
        "trend" => Some(noise.trend_sd_deg(Plunge::from_deg(deg(&shot.plunge)?).ok()?)),
        _ => None,
    }
}
