//! One day of the book as its page shows it: stations with one value each, the way between them, what is doubted.
//!
//! A day is worked out by itself, so that a page costs what its day has, however long the book is.

use std::collections::{BTreeMap, BTreeSet};

use crate::app::drawing::MapSign;
use crate::app::written::{self, Written};
use crate::geodesy::sighting::between;
use crate::notebook::namesakes::Taken;
use crate::notebook::{
    Attitude, Datum, Form, Line, Notation, Pages, Reading, RecordId, StationPage, Wanted, around,
    attitude, company, north,
};
use crate::orientation::Severity;
use crate::orientation::angle::radians;

/// What the address says for stations without a legible date.
pub const UNDATED: &str = "undated";

/// A day and its neighbours.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OneDay {
    /// `2026-06-14`; empty for stations without a legible date.
    pub date: String,
    /// Places in [`Pages::stations`].
    pub places: Vec<usize>,
    /// Readings that stand.
    pub readings: usize,
    /// The date of the day before it in the book.
    pub before: Option<String>,
    /// The date of the day after it in the book.
    pub after: Option<String>,
}

/// The day of an address; the last one where none is named.
///
/// # Degenerate input
/// A book without stations, and a date that has none: `None`.
pub fn find(pages: &Pages, wanted: Option<&str>) -> Option<OneDay> {
    let mut days = pages.days();
    let wanted = wanted.map(|w| if w == UNDATED { "" } else { w });
    let at = match wanted {
        Some(date) => days.iter().position(|day| day.date == date)?,
        None => days.len().checked_sub(1)?,
    };
    let date = |i: usize| days.get(i).map(|day| day.date.clone());
    let (before, after) = (at.checked_sub(1).and_then(date), date(at + 1));
    let day = days.swap_remove(at);
    Some(OneDay {
        date: day.date,
        places: day.stations,
        readings: day.readings,
        before,
        after,
    })
}

/// The address of a day.
pub fn path(date: &str) -> String {
    let date = if date.is_empty() { UNDATED } else { date };
    format!("/traverse/{date}")
}

/// The date of the day that a station is of; `None` where the book does not have it.
pub fn of_station(pages: &Pages, record: &str) -> Option<String> {
    let place = pages.place_of(record)?;
    let days = pages.days().into_iter();
    let mut of = days.filter(|day| day.stations.contains(&place));
    of.next().map(|day| day.date)
}

/// How many readings are wanted at each station of a day that stand, by the station's record; `None` where nothing is left out.
pub fn narrowed(pages: &Pages, day: &OneDay, wanted: &Wanted) -> Option<BTreeMap<String, usize>> {
    if wanted.is_all() {
        return None;
    }
    let places = day.places.iter();
    let stations = places.filter_map(|&place| pages.stations().get(place));
    let counts = stations.map(|page| {
        let wants = |line: &&Line| wanted.wants_line(Some(page.line()), line);
        let count = standing(page).filter(wants).count();
        (page.line().record().as_str().to_owned(), count)
    });
    Some(counts.collect())
}

/// The wanted readings of a station, struck-out ones too.
pub fn wanted_at(pages: &Pages, station: &str, wanted: &Wanted) -> Vec<RecordId> {
    let Some(page) = pages.station(station) else {
        return Vec::new();
    };
    let lines = page.readings().iter();
    let wants = lines.filter(|line| wanted.wants_line(Some(page.line()), line));
    wants.map(|line| line.record().clone()).collect()
}

/// A day as its plate says it: `14 June`.
pub fn short(date: &str) -> String {
    if date.is_empty() {
        return "no date".to_owned();
    }
    let words = written::day_words(date);
    match words.rsplit_once(' ') {
        Some((day, year)) if year.len() == 4 && day.contains(' ') => day.to_owned(),
        _ => words,
    }
}

/// One station of the day.
#[derive(Clone, Debug, PartialEq)]
pub struct StationRow {
    /// The station.
    pub record: String,
    /// Its number.
    pub number: u32,
    /// Its name.
    pub name: String,
    /// Readings that stand.
    pub readings: usize,
    /// Its first bedding in the book's notation; without one its first plane, or its first line.
    pub value: String,
    /// The symbol of that.
    pub written: Written,
    /// East and north of the day's first position, metres, true north up.
    pub at_m: Option<(f64, f64)>,
}

impl StationRow {
    /// Its symbol on the map.
    pub fn sign(&self) -> MapSign {
        match &self.written {
            Written::Plane {
                strike_deg,
                dip_deg,
                side_known,
                kind,
            } => MapSign::Plane {
                kind: kind.clone(),
                strike_deg: *strike_deg,
                dip_deg: *dip_deg,
                side_known: *side_known,
            },
            Written::Line {
                trend_deg,
                plunge_deg,
            } => MapSign::Line {
                trend_deg: *trend_deg,
                plunge_deg: *plunge_deg,
            },
            Written::Other => MapSign::Point,
        }
    }

    /// `3 readings`.
    pub fn count(&self) -> String {
        match self.readings {
            1 => "1 reading".to_owned(),
            n => format!("{n} readings"),
        }
    }

    /// The row as a screen reader says it.
    pub fn spoken(&self, doubted: bool) -> String {
        let value = self.value.replace('/', " slash ").replace('→', " toward ");
        let mut parts = vec![format!("station {}", self.number)];
        parts.extend(
            [self.name.clone(), value, self.count()]
                .into_iter()
                .filter(|part| !part.is_empty()),
        );
        if self.at_m.is_none() {
            parts.push("no position".to_owned());
        }
        if doubted {
            parts.push("with a doubt".to_owned());
        }
        parts.join(", ")
    }
}

/// The stations of a day in the book's order, and the length of the way between those with a position, metres.
///
/// # Degenerate input
/// A station without readings has neither value nor symbol. The way leaves out stations without a position; it is nil
/// where fewer than two have one.
pub fn stations(pages: &Pages, day: &OneDay, notation: Notation) -> (Vec<StationRow>, f64) {
    let mut first = None;
    let mut last: Option<[f64; 2]> = None;
    let mut way_m = 0.0;
    let rows = day
        .places
        .iter()
        .filter_map(|&place| pages.stations().get(place))
        .map(|page| {
            let station = page.line().station();
            let position = station.and_then(|s| s.position.as_ref());
            let here = position.map(|p| [p.latitude, p.longitude]);
            let at_m = here.and_then(|here| from_first(*first.get_or_insert(here), here));
            if let (Some(here), Some(_)) = (here, at_m) {
                let leg = last.and_then(|last| between(last, here).ok());
                way_m += leg.map_or(0.0, |leg| leg.level_m);
                last = Some(here);
            }
            let (value, written) = shown(pages, page, notation);
            StationRow {
                record: page.line().record().as_str().to_owned(),
                number: page.line().number(),
                name: station.map(|s| s.name.clone()).unwrap_or_default(),
                readings: standing(page).count(),
                value,
                written,
                at_m,
            }
        })
        .collect();
    (rows, way_m)
}

/// Metres east and north along the geodesic from the day's first position.
fn from_first(first: [f64; 2], here: [f64; 2]) -> Option<(f64, f64)> {
    let found = between(first, here).ok()?;
    Some(found.there.map_or((0.0, 0.0), |bearing| {
        let (sin, cos) = radians(bearing.deg()).sin_cos();
        (found.level_m * sin, found.level_m * cos)
    }))
}

fn standing(page: &StationPage) -> impl Iterator<Item = &Line> {
    page.readings().iter().filter(|line| !line.is_struck_out())
}

/// What stands for a station: the first bedding, the first plane or the first line that is whole.
fn shown(pages: &Pages, page: &StationPage, notation: Notation) -> (String, Written) {
    let of_form = |wanted: fn(&Reading) -> bool| {
        standing(page)
            .filter_map(Line::reading)
            .filter(move |reading| wanted(reading))
            .find_map(|reading| {
                let attitude = attitude::in_book(pages, reading);
                let written = sign(reading, &attitude)?;
                Some((written::value(reading, &attitude, notation), written))
            })
    };
    of_form(|r| r.kind.starts_with("bedding"))
        .or_else(|| of_form(|r| matches!(r.form, Form::Plane | Form::PlaneWithLine)))
        .or_else(|| of_form(|r| r.form == Form::Line))
        .unwrap_or((String::new(), Written::Other))
}

fn sign(reading: &Reading, attitude: &Attitude) -> Option<Written> {
    if reading.form == Form::Line {
        return attitude.line.as_ref().map(|line| Written::Line {
            trend_deg: line.trend().deg(),
            plunge_deg: line.plunge().deg(),
        });
    }
    attitude.plane.as_ref().map(|plane| Written::Plane {
        strike_deg: plane.strike().deg(),
        dip_deg: plane.dip().deg(),
        side_known: true,
        kind: written::symbol_kind(reading),
    })
}

/// Where a doubt leads.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Leads {
    /// To a reading.
    Reading(String),
    /// To a sighting.
    Sighting(String),
    /// To a station.
    Station(u32),
    /// To the page on which what two people changed is settled.
    Settle(String),
}

/// One open doubt of the day.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DayDoubt {
    /// `47·6`, or the station's number.
    pub number: String,
    /// What does not agree: the first part of its sentence.
    pub words: String,
    /// The whole sentence, with the way out.
    pub sentence: String,
    /// Record id of the station, for its sign on list and map.
    pub station: String,
    /// Where it leads.
    pub leads: Leads,
}

impl DayDoubt {
    fn new(number: String, sentence: String, station: &str, leads: Leads) -> Self {
        let words = sentence.split(';').next().unwrap_or(&sentence);
        Self {
            words: words.replace('`', "").trim().to_owned(),
            sentence: sentence.replace('`', ""),
            number,
            station: station.to_owned(),
            leads,
        }
    }
}

impl DayDoubt {
    /// The reading it is about, by its record; `None` for what is about a station, a sighting or several readings.
    pub fn reading<'d>(&'d self, pages: &Pages) -> Option<&'d str> {
        match &self.leads {
            // A doubt of north leads to the first of many.
            Leads::Reading(record) if self.number.contains('·') => Some(record),
            Leads::Settle(record) => pages.reading(record).map(|_| record.as_str()),
            _ => None,
        }
    }

    /// Whether it is about a wanted reading, or, where it is about no single one, about a station that has one.
    pub fn is_wanted(&self, pages: &Pages, wanted: &Wanted) -> bool {
        let station = pages.station(&self.station);
        match self.reading(pages).and_then(|record| pages.reading(record)) {
            Some(line) => wanted.wants_line(station.map(StationPage::line), line),
            None => {
                wanted.is_all()
                    || station.is_some_and(|page| {
                        standing(page).any(|line| wanted.wants_line(Some(page.line()), line))
                    })
            }
        }
    }
}

/// The open doubts at one station: of its readings with what their set-up says, of what stands together, and where two
/// people differ.
///
/// # Degenerate input
/// Struck-out readings have none.
pub fn doubts_at(pages: &Pages, page: &StationPage) -> Vec<DayDoubt> {
    let station = page.line().record().as_str();
    let number = page.line().number();
    let mut doubts = Vec::new();
    let contested = |number: String, line: &Line| {
        let words = "two people changed the same field; settle which stands".to_owned();
        let leads = Leads::Settle(line.record().as_str().to_owned());
        DayDoubt::new(number, words, station, leads)
    };
    if page.line().is_contested() {
        doubts.push(contested(number.to_string(), page.line()));
    }
    let companies = company::at_station(pages, station);
    for line in standing(page) {
        let named = format!("{number}·{}", line.number());
        let leads = || Leads::Reading(line.record().as_str().to_owned());
        if line.is_contested() {
            doubts.push(contested(named.clone(), line));
        }
        if let Some(reading) = line.reading() {
            let open = attitude::in_book(pages, reading).open;
            // One plate a reading: the first shot's first doubt stands for the rest.
            let mut found = open.iter().filter(|f| f.doubt.severity == Severity::Doubt);
            if let Some(first) = found.next() {
                let mut sentence = first.doubt.message.clone();
                let more = found.count();
                if more > 0 {
                    sentence.push_str(&format!("; and {more} more at this reading"));
                }
                doubts.push(DayDoubt::new(named.clone(), sentence, station, leads()));
            }
        }
        for apart in companies.iter().flat_map(|c| &c.doubts) {
            if apart.member.record.as_ref() == Some(line.record()) {
                let sentence = apart.doubt.message.clone();
                doubts.push(DayDoubt::new(named.clone(), sentence, station, leads()));
            }
        }
    }
    for line in page.sightings().iter().filter(|l| l.is_contested()) {
        doubts.push(contested(
            format!("{number}, sighting {}", line.number()),
            line,
        ));
    }
    for line in page.photos().iter().filter(|l| l.is_contested()) {
        let name = Taken::Photo.name(&number.to_string(), line.number());
        doubts.push(contested(name, line));
    }
    doubts
}

/// The open doubts of north that are about something of the day, each leading to the first of it.
pub fn north_doubts(pages: &Pages, day: &OneDay) -> Vec<DayDoubt> {
    let here: BTreeSet<&RecordId> = day
        .places
        .iter()
        .filter_map(|&place| pages.stations().get(place))
        .map(|page| page.line().record())
        .collect();
    let place = |record: &RecordId| -> Option<(&StationPage, Leads)> {
        let (station, leads) = match pages.reading(record.as_str()) {
            Some(line) => (
                &line.reading()?.station,
                Leads::Reading(record.as_str().to_owned()),
            ),
            None => (
                &pages.sighting(record.as_str())?.sighting()?.station,
                Leads::Sighting(record.as_str().to_owned()),
            ),
        };
        let page = pages.station(station)?;
        here.contains(page.line().record()).then_some((page, leads))
    };
    north::doubts_of_book(pages)
        .into_iter()
        .filter(|found| found.doubt.severity == Severity::Doubt)
        .filter_map(|found| {
            let mut of_day = found.records.iter().filter_map(place);
            let (page, leads) = of_day.next()?;
            let (mut low, mut high) = (page.line().number(), page.line().number());
            for (other, _) in of_day {
                low = low.min(other.line().number());
                high = high.max(other.line().number());
            }
            let number = if low == high {
                low.to_string()
            } else {
                format!("{low}–{high}")
            };
            let station = page.line().record().as_str().to_owned();
            Some(DayDoubt::new(number, found.doubt.message, &station, leads))
        })
        .collect()
}

/// The open doubts of the neighbours at the day's stations: readings unlike the structure around them in the whole book, and
/// stations where everything is turned by one angle.
///
/// Takes the book's readings as [`crate::notebook::structure::data`] gives them.
pub fn around_doubts(pages: &Pages, day: &OneDay, data: &[Datum]) -> Vec<DayDoubt> {
    let here: BTreeSet<&str> = day
        .places
        .iter()
        .filter_map(|&place| pages.stations().get(place))
        .map(|page| page.line().record().as_str())
        .collect();
    around::doubts(data)
        .into_iter()
        .filter(|found| here.contains(found.station.as_str()))
        .map(|found| {
            let station = pages
                .station(&found.station)
                .map_or(0, |p| p.line().number());
            let (number, leads) = match found.record {
                Some(record) => (found.name, Leads::Reading(record)),
                None => (station.to_string(), Leads::Station(station)),
            };
            DayDoubt::new(number, found.doubt.message, &found.station, leads)
        })
        .collect()
}

/// `stations 40–54`, or the one there is, or how many where their numbers leave gaps.
pub fn span(rows: &[StationRow]) -> String {
    match rows {
        [] => "no stations".to_owned(),
        [only] => format!("station {}", only.number),
        [first, .., last] => format!("stations {}–{}", first.number, last.number),
    }
}

/// The stations without a position, in words; `None` where all have one.
pub fn without_position(rows: &[StationRow]) -> Option<String> {
    const MOST: usize = 6;
    let without: Vec<&StationRow> = rows.iter().filter(|row| row.at_m.is_none()).collect();
    if without.is_empty() {
        return None;
    }
    if without.len() == rows.len() {
        return Some("No station of this day has a position: there is nothing to map.".to_owned());
    }
    let mut named: Vec<String> = without
        .iter()
        .take(MOST)
        .map(|row| match row.name.as_str() {
            "" => row.number.to_string(),
            name => format!("{} ({name})", row.number),
        })
        .collect();
    if without.len() > MOST {
        named.push(format!("and {} more", without.len() - MOST));
    }
    Some(format!(
        "Without a position, so not on the map: {}.",
        named.join(", ")
    ))
}

#[cfg(test)]
mod tests;
