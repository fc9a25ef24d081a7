//! Readings whose north was set wrongly: which are meant, what they say, and what they come to. No browser here.

use std::collections::BTreeMap;

use crate::app::outcrop::kinds;
use crate::app::written;
use crate::notebook::reset::{self, Chosen};
use crate::notebook::{Body, Change, Line, North, Notation, Pages, Reading, SetUp, attitude};

/// Which readings of a set-up are meant.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum Span {
    /// Every one.
    #[default]
    All,
    /// Those of days: places in the list of days, the last included.
    Days(usize, usize),
    /// Those of stations: numbers as typed, the last included; nothing typed leaves that end open.
    Stations(String, String),
}

/// The days on which something was taken with a set-up, `2026-06-14`, in order.
pub fn days(pages: &Pages, set_up: &str) -> Vec<String> {
    let taken = |day: &String| !chosen_on(pages, set_up, Some(day.clone())).is_empty();
    let days = pages.days().into_iter().map(|day| day.date);
    days.filter(|day| !day.is_empty()).filter(taken).collect()
}

fn chosen_on<'p>(pages: &'p Pages, set_up: &str, day: Option<String>) -> Vec<&'p Line> {
    let which = Chosen {
        set_up: Some(set_up.to_owned()),
        day,
        ..Chosen::default()
    };
    reset::chosen(pages, &which)
}

impl Span {
    /// The standing readings and sightings that are meant, of one set-up.
    ///
    /// # Degenerate input
    /// A day that is not in the list, or stations the wrong way round: none.
    pub fn lines<'p>(&self, pages: &'p Pages, set_up: &str, days: &[String]) -> Vec<&'p Line> {
        match self {
            Span::All => chosen_on(pages, set_up, None),
            Span::Days(from, to) => days
                .get(*from..=*to)
                .unwrap_or_default()
                .iter()
                .flat_map(|day| chosen_on(pages, set_up, Some(day.clone())))
                .collect(),
            Span::Stations(from, to) => reset::chosen(
                pages,
                &Chosen {
                    set_up: Some(set_up.to_owned()),
                    day: None,
                    from_station: from.parse().ok(),
                    to_station: to.parse().ok(),
                },
            ),
        }
    }
}

/// `1 reading`, `23 readings and 2 sightings`.
pub fn count_words(lines: &[&Line]) -> String {
    let of = |n: usize, word: &str| format!("{n} {word}{}", if n == 1 { "" } else { "s" });
    let readings = lines.iter().filter(|line| line.reading().is_some()).count();
    match (readings, lines.len() - readings) {
        (readings, 0) => of(readings, "reading"),
        (0, sightings) => of(sightings, "sighting"),
        (readings, sightings) => format!(
            "{} and {}",
            of(readings, "reading"),
            of(sightings, "sighting")
        ),
    }
}

/// What is said of readings that do not say which north they were read against.
pub const NOT_SAID: &str = "no north was said";

/// What the meant readings say of the north they were read against, the most frequent first, with how many say it.
pub fn were(lines: &[&Line]) -> Vec<(String, usize)> {
    let mut said: BTreeMap<String, usize> = BTreeMap::new();
    for line in lines {
        let (north, declination) = match line.entry().body() {
            Some(Body::Reading(r)) => (
                r.north,
                r.card_declination.as_ref().or(r.declination.as_ref()),
            ),
            Some(Body::Sighting(s)) => (
                s.north,
                s.card_declination.as_ref().or(s.declination.as_ref()),
            ),
            _ => continue,
        };
        let words = match north {
            North::Unknown => NOT_SAID.to_owned(),
            _ => written::north(north, declination.map(String::as_str)),
        };
        *said.entry(words).or_default() += 1;
    }
    let mut said: Vec<(String, usize)> = said.into_iter().collect();
    said.sort_by_key(|(_, count)| std::cmp::Reverse(*count));
    said
}

/// How the circle really stood, as a person says it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Stood {
    /// As each reading says.
    #[default]
    AsWritten,
    /// At 0: the bearings are magnetic.
    AtZero,
    /// Set to what is right: the bearings are true.
    Right,
}

/// What is put right.
///
/// Where the circle stood as the readings say, and the declination is another, their bearings are turned by the
/// difference; where it stood at 0, by the whole declination; where it was right all along, not at all.
pub fn change(stood: Stood, declination: Option<String>, why: &str) -> Change {
    let north = match stood {
        Stood::AsWritten => None,
        Stood::AtZero => Some(North::Magnetic),
        Stood::Right => Some(North::True),
    };
    Change {
        north,
        card: declination.clone().filter(|_| stood == Stood::Right),
        declination,
        set_up: None,
        why: why.trim().to_owned(),
    }
}

/// One reading before and after.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Example {
    /// Its number in the book and its kind.
    pub name: String,
    /// Its value before, in the book's notation.
    pub before: String,
    /// Its value after.
    pub after: String,
}

/// The first of the meant readings whose value the change alters, else the first that has a value.
pub fn example(
    pages: &Pages,
    lines: &[&Line],
    set_up: &SetUp,
    change: &Change,
    notation: Notation,
) -> Option<Example> {
    let value = |reading: &Reading| {
        let attitude = attitude::of_in(reading, Some(set_up));
        let known = attitude.plane.is_some() || attitude.line.is_some();
        known.then(|| written::value(reading, &attitude, notation))
    };
    let mut first = None;
    for reading in lines.iter().filter_map(|line| line.reading()) {
        let (Some(before), Some(after)) = (value(reading), value(&reset::reset(reading, change)))
        else {
            continue;
        };
        let station = pages
            .station(&reading.station)
            .map_or(0, |page| page.line().number());
        let found = Example {
            name: format!(
                "{station}·{} {}",
                reading.number,
                kinds::words(&reading.kind)
            ),
            before,
            after,
        };
        if found.before != found.after {
            return Some(found);
        }
        first = first.or(Some(found));
    }
    first
}

/// How many of the meant the change would alter.
pub fn altered(lines: &[&Line], change: &Change) -> usize {
    let alters = |line: &&&Line| match line.entry().body() {
        Some(Body::Reading(reading)) => {
            let mut after = reset::reset(reading, change);
            after.because.clone_from(&reading.because);
            after != *reading
        }
        Some(Body::Sighting(sighting)) => {
            let mut after = reset::reset_sighting(sighting, change);
            after.because.clone_from(&sighting.because);
            after != *sighting
        }
        _ => false,
    };
    lines.iter().filter(alters).count()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::notebook::{Act, Entry, Ledger, RecordId, Shot, Stamp, Station};

    /// Three stations on two days, one reading each, taken with one set-up at 8 E; a fourth reading with another set-up.
    fn book() -> Pages {
        let mut ledger = Ledger::default();
        let mut counter = 0;
        let mut write = |record: &str, body: Body| {
            counter += 1;
            let stamp = Stamp {
                by: "QV".to_owned(),
                device: "tablet".to_owned(),
                counter,
                at: "2026-06-14T09:00:00Z".to_owned(),
            };
            ledger.insert(Entry::new(
                RecordId::from(record),
                [],
                stamp,
                Act::Write,
                None,
                Some(body),
            ));
        };
        for (number, day) in [(1, "2026-06-14"), (2, "2026-06-14"), (3, "2026-06-15")] {
            write(
                &format!("station {number}"),
                Body::Station(Station {
                    number,
                    at: format!("{day}T09:00:00Z"),
                    ..Station::default()
                }),
            );
            write(
                &format!("reading {number}"),
                Body::Reading(reading(number, "transit", North::True)),
            );
        }
        write(
            "other",
            Body::Reading(reading(3, "other transit", North::Magnetic)),
        );
        Pages::of(&ledger)
    }

    fn reading(station: u32, set_up: &str, north: North) -> Reading {
        Reading {
            station: format!("station {station}"),
            number: 1,
            kind: "bedding".to_owned(),
            set_up: Some(set_up.to_owned()),
            north,
            declination: Some("8".to_owned()),
            shots: vec![Shot {
                strike: Some("062".to_owned()),
                dip: Some("36".to_owned()),
                side: Some("SE".to_owned()),
                ..Shot::default()
            }],
            ..Reading::default()
        }
    }

    #[test]
    fn days_and_stations_choose_among_the_readings_of_the_set_up() {
        let pages = book();
        let days = days(&pages, "transit");
        assert_eq!(days, ["2026-06-14", "2026-06-15"]);
        let count = |span: Span| span.lines(&pages, "transit", &days).len();
        let stations = |from: &str, to: &str| count(Span::Stations(from.to_owned(), to.to_owned()));
        assert_eq!(count(Span::All), 3);
        assert_eq!(
            (
                count(Span::Days(0, 0)),
                count(Span::Days(1, 1)),
                count(Span::Days(0, 1))
            ),
            (2, 1, 3)
        );
        assert_eq!(
            (
                stations("", ""),
                stations("2", ""),
                stations("2", "2"),
                stations("3", "2")
            ),
            (3, 2, 1, 0)
        );
        // A list that has no such day.
        assert_eq!(Span::Days(3, 4).lines(&pages, "transit", &days).len(), 0);
        assert_eq!(Span::All.lines(&pages, "other transit", &days).len(), 1);
    }

    #[test]
    fn what_they_say_and_what_becomes_of_them_is_shown_before_it_is_written() {
        let pages = book();
        let days = days(&pages, "transit");
        let lines = Span::All.lines(&pages, "transit", &days);
        assert_eq!(count_words(&lines), "3 readings");
        assert_eq!(
            were(&lines),
            [("reads true north: 8° E is set on the card".to_owned(), 3)]
        );
        let shown = |stood, right: &str| {
            let change = change(stood, Some(right.to_owned()), "wrong side");
            let example = example(
                &pages,
                &lines,
                &SetUp::default(),
                &change,
                Notation::StrikeDip,
            );
            (
                altered(&lines, &change),
                example.map(|e| (e.before, e.after)).unwrap_or_default(),
            )
        };
        let pair = |before: &str, after: &str| (before.to_owned(), after.to_owned());
        // True = read − what stood on the circle + what is right, east positive (common practice).
        assert_eq!(
            shown(Stood::AsWritten, "-8"),
            (3, pair("062/36 SE", "046/36 SE"))
        );
        // At 0: true = read + what is right.
        assert_eq!(
            shown(Stood::AtZero, "-8"),
            (3, pair("062/36 SE", "054/36 SE"))
        );
        // It was right all along: the value stays, what is written of it changes.
        assert_eq!(
            shown(Stood::Right, "-8"),
            (3, pair("062/36 SE", "062/36 SE"))
        );
        assert_eq!(
            shown(Stood::AsWritten, "8"),
            (0, pair("062/36 SE", "062/36 SE"))
        );
    }

    #[test]
    fn nothing_meant_shows_nothing() {
        let pages = book();
        let none = Span::All.lines(&pages, "no such set-up", &[]);
        let change = change(Stood::AtZero, Some("1".to_owned()), "");
        assert_eq!(count_words(&none), "0 readings");
        assert_eq!((were(&none).len(), altered(&none, &change)), (0, 0));
        assert_eq!(
            example(
                &pages,
                &none,
                &SetUp::default(),
                &change,
                Notation::Quadrant
            ),
            None
        );
    }
}
