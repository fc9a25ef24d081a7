//! What a sighting comes to, and how it stands on a page.

use crate::app::outcrop::open::number;
use crate::app::outcrop::open_sighting::{Figure, OpenSighting, figures};
use crate::app::shelf::Shelf;
use crate::app::written;
use crate::notebook::{self, North, Position, Sighting};

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
    /// The bearing from true north, degrees, where the north is known.
    pub true_deg: Option<f64>,
    /// The vertical angle, degrees, up positive.
    pub vertical_deg: Option<f64>,
    /// The level distance and its standard deviation, metres.
    pub level: Option<(f64, f64)>,
    /// How much higher the target stands, and its standard deviation, metres.
    pub rise: Option<(f64, f64)>,
    /// The place it gives its target.
    pub offers: Option<Offer>,
}

/// A place that a sighting gives, and what the plate says.
#[derive(Clone, Debug, PartialEq)]
pub struct Offer {
    /// The words.
    pub words: String,
    /// The place.
    pub position: Position,
}

impl Sight {
    /// Works a sighting out.
    ///
    /// # Degenerate input
    /// What was not read, or is no number, leaves out what needs it.
    pub fn of(sighting: &Sighting, shelf: &Shelf) -> Self {
        let _ = shelf;
        let read_deg = sighting.bearing.as_deref().and_then(number);
        let angle = sighting.vertical.as_deref().and_then(number);
        let turn = sighting
            .declination
            .as_deref()
            .and_then(|d| d.parse::<f64>().ok());
        let true_deg = match sighting.north {
            North::True => read_deg,
            North::Magnetic => read_deg
                .zip(turn)
                .map(|(read, turn)| (read + turn).rem_euclid(360.0)),
            North::Grid | North::Unknown => None,
        };
        Self {
            read_deg,
            true_deg,
            vertical_deg: angle.map(|angle| if sighting.up { angle } else { -angle }),
            level: None,
            rise: None,
            offers: None,
        }
    }

    /// What it comes to, as pairs of a word and a value.
    pub fn facts(&self) -> Vec<(&'static str, String)> {
        let mut facts = Vec::new();
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

/// Metres and their standard deviation, with the decimals that the deviation means.
fn spread(metres: f64, sd: f64) -> String {
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
}

/// One sentence on the open sighting.
pub fn finding(open: &OpenSighting, sight: &Sight) -> Finding {
    let say = |words: &str, detail: &str| Finding {
        words: words.to_owned(),
        detail: detail.to_owned(),
        doubt: false,
    };
    if open.waits_for_side() {
        return say("Up or down?", "A vertical angle counts only with its side.");
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
            return say("Kept.", "Distance in metres; that is it closes it.");
        }
        Some(_) => return say("Nothing disagrees so far.", ""),
        None => {}
    }
    let detail = match (sight.level, sight.true_deg) {
        (None, _) if open.distance.is_empty() => "Without a distance it gives a direction only.",
        (_, None) => "It counts from the north it was read against.",
        _ => "",
    };
    say("Kept. Nothing disagrees.", detail)
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
            doubted: false,
        })
    }
}
