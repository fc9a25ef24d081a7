//! What a sighting comes to, and how it stands on a page.

use crate::app::outcrop::open::number;
use crate::app::outcrop::open_sighting::{Figure, OpenSighting, figures};
use crate::app::shelf::Shelf;
use crate::app::written;
use crate::geodesy::sighting::{Measured, landing};
use crate::notebook::{self, Position, Sighting, StationPage, north};
use crate::orientation::Dial;

/// One sighting as a line of the station's page.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// The station's number.
    pub station: u32,
    /// The sighting's number at the station.
    pub number: u32,
    /// What was sighted.
    pub to: String,
    /// Bearing and vertical angle, as read.
    pub value: String,
    /// Distance, height and why it was struck out.
    pub detail: String,
    /// The bearing for the arrow, degrees.
    pub bearing_deg: Option<f64>,
    /// Struck out, still legible.
    pub struck: bool,
    /// A doubt that nobody has settled.
    pub doubted: bool,
}

impl Line {
    /// The state of its rule.
    pub fn state(&self) -> &'static str {
        match (self.struck, self.doubted, self.bearing_deg) {
            (true, _, _) => "struck",
            (_, true, _) => "doubt",
            (_, _, None) => "draft",
            _ => "kept",
        }
    }

    /// The line as a screen reader says it.
    pub fn spoken(&self) -> String {
        format!(
            "sighting {} from station {}, {}, {}, {}, {}",
            self.number,
            self.station,
            self.to,
            self.value,
            self.detail,
            self.state()
        )
    }
}

/// The bearing and the vertical angle as they were read.
pub fn value(sighting: &Sighting) -> String {
    let bearing = sighting.bearing.as_deref().unwrap_or("–––");
    let bearing = match sighting.bearing.as_deref() {
        Some(text) if text.parse::<f64>().is_ok() => format!("{text}°"),
        _ => bearing.to_owned(),
    };
    match sighting.vertical.as_deref() {
        Some(angle) if number(angle) == Some(0.0) => format!("{bearing} level"),
        Some(angle) => format!(
            "{bearing} {} {angle}°",
            if sighting.up { "up" } else { "down" }
        ),
        None => bearing,
    }
}

/// A station that can be sighted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Target {
    /// Its record.
    pub record: String,
    /// Its number.
    pub number: u32,
    /// What stands on its plate.
    pub words: String,
}

/// The few stations at hand: those that were sighted from and still want a sighting back, the chosen one, and those
/// before and after by number.
pub fn targets(shelf: &Shelf, station: &str, to: Option<&str>, most: usize) -> Vec<Target> {
    let Some(place) = shelf.pages.place_of(station) else {
        return Vec::new();
    };
    let mut found: Vec<Target> = Vec::new();
    let mut add = |record: &str, back: bool| {
        if record != station
            && !found.iter().any(|t| t.record == record)
            && let Some(target) = target(shelf, record, back)
        {
            found.push(target);
        }
    };
    if let Some(to) = to {
        add(to, wants_back(shelf, to, station));
    }
    for record in wanting_back(shelf, station) {
        add(&record, true);
    }
    let pages = shelf.pages.stations();
    for near in [
        place.checked_sub(1),
        Some(place + 1),
        place.checked_sub(2),
        Some(place + 2),
    ] {
        if let Some(page) = near.and_then(|i| pages.get(i))
            && !page.line().is_struck_out()
        {
            add(page.line().record().as_str(), false);
        }
    }
    found.truncate(most);
    found.sort_by_key(|t| t.number);
    found
}

fn target(shelf: &Shelf, record: &str, back: bool) -> Option<Target> {
    let line = shelf.pages.station(record)?.line();
    let number = line.number();
    Some(Target {
        record: record.to_owned(),
        number,
        words: if back {
            format!("back to {number}")
        } else {
            number.to_string()
        },
    })
}

/// Every other station, the last first, with its name.
pub fn all_targets(shelf: &Shelf, station: &str) -> Vec<Target> {
    shelf
        .pages
        .stations()
        .iter()
        .rev()
        .map(notebook::StationPage::line)
        .filter(|line| line.record().as_str() != station && !line.is_struck_out())
        .map(|line| {
            let name = line.station().map(|s| s.name.clone()).unwrap_or_default();
            Target {
                record: line.record().as_str().to_owned(),
                number: line.number(),
                words: format!("{} {name}", line.number()).trim_end().to_owned(),
            }
        })
        .collect()
}

/// The stations from which a station was sighted and that it has not sighted back.
pub fn wanting_back(shelf: &Shelf, station: &str) -> Vec<String> {
    shelf
        .pages
        .stations()
        .iter()
        .map(|page| page.line().record().as_str())
        .filter(|from| *from != station && wants_back(shelf, from, station))
        .map(str::to_owned)
        .collect()
}

/// `from` has sighted `to`, and `to` has not sighted back.
fn wants_back(shelf: &Shelf, from: &str, to: &str) -> bool {
    let sights = |a: &str, b: &str| {
        shelf.pages.station(a).is_some_and(|page| {
            page.sightings().iter().any(|line| {
                !line.is_struck_out() && line.sighting().is_some_and(|s| s.to.as_deref() == Some(b))
            })
        })
    };
    sights(from, to) && !sights(to, from)
}

/// The sighting is struck out.
pub fn is_struck_out(shelf: &Shelf, record: &str) -> bool {
    shelf
        .pages
        .sighting(record)
        .is_some_and(notebook::Line::is_struck_out)
}

/// What was sighted, in words: a station by its number and name, or the point's own name.
pub fn to_words(shelf: &Shelf, sighting: &Sighting) -> String {
    if let Some(page) = sighting
        .to
        .as_deref()
        .and_then(|to| shelf.pages.station(to))
    {
        let name = page
            .line()
            .station()
            .map(|s| s.name.as_str())
            .unwrap_or_default();
        return format!("to {} {name}", page.line().number())
            .trim_end()
            .to_owned();
    }
    if sighting.to_words.is_empty() {
        "to a point without a name".to_owned()
    } else {
        format!("to {}", sighting.to_words)
    }
}

/// What a sighting comes to.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Sight {
    /// The bearing as read, degrees.
    pub read_deg: Option<f64>,
    /// The bearing as a person put it right, degrees.
    pub corrected_deg: Option<f64>,
    /// The bearing from true north, degrees, where the north is known.
    pub true_deg: Option<f64>,
    /// The vertical angle, degrees, up positive.
    pub vertical_deg: Option<f64>,
    /// The level distance and its standard deviation, metres; where nobody said how good the distance is, it has none.
    pub level: Option<(f64, Option<f64>)>,
    /// How much higher the target stands, and its standard deviation, metres.
    pub rise: Option<(f64, Option<f64>)>,
    /// The place it gives its target.
    pub offers: Option<Offer>,
    /// What it would need to give its target a place.
    pub lacks: Option<&'static str>,
    /// Why it cannot be reduced.
    pub trouble: Option<String>,
}

/// A place that a sighting gives, and what the plate says.
#[derive(Clone, Debug, PartialEq)]
pub struct Offer {
    /// The words.
    pub words: String,
    /// The place.
    pub position: Position,
}

/// A choice that a doubt offers: its words, and the bearing it puts right.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Choice {
    /// What stands on its plate.
    pub words: String,
    /// The bearing, as it would have been read; empty: kept as read.
    pub sets: Vec<(Dial, String)>,
}

/// The sighting back disagrees with one.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Against {
    /// The numbers and what is allowed.
    pub message: String,
    /// The ways to settle it.
    pub choices: Vec<Choice>,
}

/// What the sighting back says against one of the book.
fn against(shelf: &Shelf, record: &str, sighting: &Sighting) -> Option<Against> {
    let to = shelf.pages.station(sighting.to.as_deref()?)?;
    let back = to.sightings().iter().any(|line| {
        line.sighting()
            .is_some_and(|s| s.to.as_deref() == Some(sighting.station.as_str()))
    });
    if !back {
        return None;
    }
    let lines = north::fore_and_back(&shelf.pages);
    let line = lines
        .iter()
        .find(|line| line.sightings.iter().any(|s| s.as_str() == record))?;
    let doubt = line.doubt.as_ref()?;
    let end = usize::from(line.sightings[1].as_str() == record);
    let read_deg = sighting.bearing.as_deref().and_then(number)?;
    // Half of what is off, from each end towards the other: fore + 180 less back.
    let half_deg = if end == 0 {
        -line.off_deg
    } else {
        line.off_deg
    } / 2.0;
    let (turn_deg, words) = match line.corrections[end] {
        Some(correction) if correction.lines > 0 => (correction.deg, "corrected"),
        Some(_) => (0.0, ""),
        None => (half_deg, "mean of both"),
    };
    let mut choices = Vec::new();
    if !words.is_empty() {
        let text = format!("{:05.1}", (read_deg + turn_deg).rem_euclid(360.0));
        choices.push(Choice {
            words: format!("{text}, {words}"),
            sets: vec![(Dial::Bearing, text)],
        });
    }
    choices.push(Choice {
        words: line.keep(),
        sets: Vec::new(),
    });
    Some(Against {
        message: doubt.message.clone(),
        choices,
    })
}

/// The place that a sighting gives a new station, or one of the book that has none.
fn offer(
    sighting: &Sighting,
    shelf: &Shelf,
    start: &Position,
    measured: &Measured,
) -> Option<Offer> {
    let target = sighting
        .to
        .as_deref()
        .and_then(|to| shelf.pages.station(to));
    let target = target
        .map(StationPage::line)
        .filter(|line| !line.is_struck_out());
    let has_place = |line: &&notebook::Line| line.station().is_some_and(|s| s.position.is_some());
    if target.as_ref().is_some_and(has_place) {
        return None;
    }
    let start_sd_m = start.accuracy_m.unwrap_or_default();
    let landing = landing(start.latitude, start.longitude, start_sd_m, measured).ok()?;
    Some(Offer {
        words: match target {
            Some(line) => format!("Place station {} here", line.number()),
            None => "New station there".to_owned(),
        },
        position: Position {
            latitude: landing.latitude_deg,
            longitude: landing.longitude_deg,
            height_m: start
                .height_m
                .zip(landing.reduced.rise_m)
                .map(|(height, rise)| height + rise),
            // How well this station is known is part of it; where nobody said, neither is the new one's.
            accuracy_m: start.accuracy_m.and(landing.sd_m),
            source: "sighting".to_owned(),
            ..Position::default()
        },
    })
}

impl Sight {
    /// Works a sighting out.
    ///
    /// # Degenerate input
    /// What was not read, or is no number, leaves out what needs it; [`Sight::lacks`] says what a place would need.
    pub fn of(sighting: &Sighting, shelf: &Shelf) -> Self {
        let seen = notebook::sight::Sight::of(&shelf.pages, sighting);
        let from = shelf.pages.station(&sighting.station);
        let from = from.and_then(|page| page.line().station());
        let start = from.and_then(|station| station.position.as_ref());
        let mut sight = Self {
            read_deg: seen.read_deg,
            true_deg: seen.true_deg,
            corrected_deg: seen.corrected_deg,
            vertical_deg: seen.vertical_deg,
            ..Self::default()
        };
        sight.lacks = match (sight.true_deg, start) {
            (None, _) if seen.read_deg.is_none() => Some("a bearing"),
            (None, _) => Some("its north"),
            (_, None) => Some("the position of this station"),
            _ => None,
        };
        let Some(measured) = seen.measured else {
            sight.lacks = sight.lacks.or(Some("a distance"));
            return sight;
        };
        match measured.reduce() {
            Ok(reduced) => {
                sight.level = Some((reduced.level_m, reduced.level_sd_m));
                sight.rise = reduced.rise_m.map(|rise| (rise, reduced.rise_sd_m));
            }
            Err(_) if sight.vertical_deg.is_none() => {
                sight.lacks = Some("a vertical angle, or a level distance");
                return sight;
            }
            Err(error) => {
                sight.trouble = Some(error.to_string());
                return sight;
            }
        }
        if sight.lacks.is_none()
            && let Some(start) = start
        {
            sight.offers = offer(sighting, shelf, start, &measured);
        }
        sight
    }

    /// What it comes to, as pairs of a word and a value.
    pub fn facts(&self) -> Vec<(&'static str, String)> {
        let mut facts = Vec::new();
        if let Some(deg) = self.corrected_deg {
            facts.push(("put right to", format!("{deg:05.1}°")));
        }
        if let Some(deg) = self.true_deg {
            facts.push(("true bearing", format!("{}°", written::three(deg))));
        }
        if let Some((level, sd)) = self.level {
            facts.push(("level", spread(level, sd)));
        }
        if let Some((rise, sd)) = self.rise {
            let word = if rise < 0.0 { "falls" } else { "rises" };
            facts.push((word, spread(rise.abs(), sd)));
        }
        if let Some(deg) = self.read_deg {
            facts.push(("back bearing", format!("{}°", written::three(deg + 180.0))));
        }
        facts
    }
}

/// Metres and their standard deviation, with the decimals that the deviation means; where there is none, that it was not said.
fn spread(metres: f64, sd: Option<f64>) -> String {
    let Some(sd) = sd else {
        return format!("{metres:.1} m, ± not said");
    };
    let sd_words = figures(sd);
    let decimals = sd_words.split_once('.').map_or(0, |(_, d)| d.len()).min(1);
    format!("{metres:.decimals$} ± {sd_words} m")
}

/// What the book thinks of a sighting.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Finding {
    /// The finding, bold.
    pub words: String,
    /// The rest, soft.
    pub detail: String,
    /// It is a doubt.
    pub doubt: bool,
    /// The ways to settle it.
    pub choices: Vec<Choice>,
}

/// One sentence on the open sighting.
pub fn finding(open: &OpenSighting, sight: &Sight, shelf: &Shelf) -> Finding {
    let say = |words: &str, detail: &str| Finding {
        words: words.to_owned(),
        detail: detail.to_owned(),
        ..Finding::default()
    };
    if open.waits_for_side() {
        return say("Up or down?", "A vertical angle counts only with its side.");
    }
    let record = open
        .record
        .as_deref()
        .filter(|_| open.here != Some(Figure::Bearing));
    if let Some(against) = record.and_then(|r| against(shelf, r, &open.sighting)) {
        let (first, rest) = against
            .message
            .split_once(": ")
            .unwrap_or((&against.message, ""));
        return Finding {
            words: capital(first),
            detail: capital(rest),
            doubt: true,
            choices: against.choices,
        };
    }
    match open.here {
        Some(Figure::Bearing) if open.bearing.is_empty() && open.quadrants => {
            return say("Bearing first: N or S, two digits, E or W.", "");
        }
        Some(Figure::Bearing) if open.bearing.is_empty() => {
            return say("Bearing first: three digits.", "");
        }
        Some(Figure::Vertical) if open.vertical.is_empty() => {
            return say(
                "Kept.",
                "Vertical angle: up or down, two digits; or next dial.",
            );
        }
        Some(Figure::Distance) if open.distance.is_empty() => {
            return say(
                "Distance in metres, then “that is it”.",
                "A point is for decimals.",
            );
        }
        Some(_) if sight.level.is_none() => return say("Nothing disagrees so far.", ""),
        _ => {}
    }
    if let Some(trouble) = &sight.trouble {
        return Finding {
            words: capital(trouble),
            doubt: true,
            ..Finding::default()
        };
    }
    let mut found = match (sight.level, sight.rise) {
        (Some((level, sd)), Some((rise, rise_sd))) => format!(
            "Level {}, {} {}.",
            spread(level, sd),
            if rise < 0.0 { "falls" } else { "rises" },
            spread(rise.abs(), rise_sd)
        ),
        (Some((level, sd)), None) => format!("Level {}.", spread(level, sd)),
        _ => "Kept.".to_owned(),
    };
    if let Some(lacks) = sight.lacks {
        found.push(' ');
        return say(
            found.trim(),
            &format!("To place the point it needs {lacks}."),
        );
    }
    if matches!(sight.level, Some((_, None))) {
        return say(&found, "Paced, ranged or taped gives its ±.");
    }
    say(&found, "")
}

fn capital(words: &str) -> String {
    let mut letters = words.chars();
    let mut out: String = letters
        .next()
        .map(|c| c.to_uppercase().collect())
        .unwrap_or_default();
    out.extend(letters.filter(|c| *c != '`'));
    out.push('.');
    out
}

impl Line {
    /// The line of a sighting.
    pub fn of(shelf: &Shelf, record: &str) -> Option<Self> {
        let line = shelf.pages.sighting(record)?;
        let sighting = line.sighting()?;
        let sight = Sight::of(sighting, shelf);
        let mut detail = Vec::new();
        if line.is_struck_out() {
            detail.push(match shelf.why_struck(record) {
                Some(why) => format!("struck out · {why}"),
                None => "struck out".to_owned(),
            });
        }
        for (word, value) in sight.facts() {
            if word == "level" || word == "rises" || word == "falls" {
                detail.push(format!("{word} {value}"));
            }
        }
        if !sighting.note.is_empty() {
            detail.push(sighting.note.clone());
        }
        Some(Self {
            station: shelf
                .pages
                .station(&sighting.station)
                .map_or(0, |page| page.line().number()),
            number: sighting.number,
            to: to_words(shelf, sighting),
            value: value(sighting),
            detail: detail.join(" · "),
            bearing_deg: sight.true_deg.or(sight.read_deg),
            struck: line.is_struck_out(),
            doubted: !line.is_struck_out() && against(shelf, record, sighting).is_some(),
        })
    }
}

#[cfg(test)]
mod tests;
