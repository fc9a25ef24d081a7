//! What a person asks to be handed over, and what the page says of it. No browser here.

use std::collections::BTreeSet;

use crate::app::written;
use crate::exchange::hand_over::{Account, Format, Wanted};
use crate::notebook::{Notation, Pages};

/// Which stations are meant.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum Which {
    /// Every one.
    #[default]
    All,
    /// Those of these days; none chosen yet means every one.
    Days(BTreeSet<String>),
    /// Those of numbers as typed, the last included; nothing typed leaves that end open.
    Stations(String, String),
}

/// What is asked for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Ask {
    /// The format.
    pub format: Format,
    /// How planes and lines are written.
    pub notation: Notation,
    /// Which stations.
    pub which: Which,
    /// Which kinds of structure; none chosen means every one.
    pub kinds: BTreeSet<String>,
    /// What is struck out too.
    pub struck_out: bool,
    /// Only readings that count from true north.
    pub true_north: bool,
}

impl Ask {
    /// Everything that stands, as the book is written.
    pub fn new(notation: Notation) -> Self {
        Self {
            format: Format::GeoJson,
            notation,
            which: Which::All,
            kinds: BTreeSet::new(),
            struck_out: false,
            true_north: false,
        }
    }

    /// The choice as the hand-over takes it.
    ///
    /// # Degenerate input
    /// Stations the wrong way round, or numbers that no station has: nothing is wanted.
    pub fn wanted(&self, pages: &Pages) -> Wanted {
        let mut wanted = Wanted {
            kinds: self.kinds.clone(),
            struck_out: self.struck_out,
            true_north: self.true_north,
            notation: Some(self.notation),
            ..Wanted::default()
        };
        match &self.which {
            Which::All => {}
            Which::Days(days) => wanted.days.clone_from(days),
            Which::Stations(from, to) => {
                let from = from.parse().unwrap_or(0);
                let to = to.parse().unwrap_or(u32::MAX);
                let lines = pages.stations().iter().map(|page| page.line());
                wanted.stations = lines
                    .filter(|line| (from..=to).contains(&line.number()))
                    .map(|line| line.record().as_str().to_owned())
                    .collect();
                if wanted.stations.is_empty() {
                    // An empty choice would want all of them; no record has this name.
                    wanted.stations.insert(String::new());
                }
            }
        }
        wanted
    }

    /// Chooses a day, or lets it go again.
    pub fn turn_day(&mut self, day: &str) {
        if let Which::Days(days) = &mut self.which {
            turn(days, day);
        }
    }

    /// Chooses a kind of structure, or lets it go again.
    pub fn turn_kind(&mut self, kind: &str) {
        turn(&mut self.kinds, kind);
    }

    /// What goes over, as the page's heading has it.
    pub fn over_words(&self, account: &Account) -> String {
        self.format.holds(account).words()
    }

    /// Whether anything would be in the file.
    pub fn is_empty(&self, account: &Account) -> bool {
        self.format.holds(account).is_empty()
    }

    /// What the format is for.
    pub fn format_words(&self) -> &'static str {
        match self.format {
            Format::GeoJson => {
                "One file for a map: stations, readings and sightings, each with all its values, and what every value means."
            }
            Format::Csv => {
                "One ZIP of tables: stations, readings, shots, sightings, and a dictionary that says what every column means."
            }
            Format::Kml => {
                "One file for a globe: a folder each of stations, readings and sightings, with all their values."
            }
            Format::Gpx => {
                "One file for a receiver: the stations that have a place, to lead back to them."
            }
        }
    }
}

fn turn(chosen: &mut BTreeSet<String>, it: &str) {
    if !chosen.remove(it) {
        chosen.insert(it.to_owned());
    }
}

/// The common name of the files: the book's name and the day, in letters that every system takes.
pub fn stem(book: &str, day: &str) -> String {
    format!("{}-hand-over-{day}", written::file_stem(book))
}

/// The days of the book on which something stands, `2026-06-14`, in order.
pub fn days(pages: &Pages) -> Vec<String> {
    let days = pages.days().into_iter().map(|day| day.date);
    days.filter(|day| !day.is_empty()).collect()
}

/// A day as it stands on a plate: `14 June`.
pub fn short_day(day: &str) -> String {
    let words = crate::app::written::day_words(day);
    match words.rsplit_once(' ') {
        Some((short, year)) if year.len() == 4 => short.to_owned(),
        _ => words,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::exchange::hand_over::account;
    use crate::notebook::{Act, Body, Entry, Ledger, Stamp, Station};

    fn pages() -> Pages {
        let mut ledger = Ledger::new();
        for number in 1..=5_u32 {
            let station = Station {
                number,
                at: format!("2026-06-{:02}T09:00:00Z", 12 + number / 2),
                ..Station::default()
            };
            let stamp = Stamp {
                by: "QV".to_owned(),
                device: "bench".to_owned(),
                counter: u64::from(number),
                at: station.at.clone(),
            };
            let record = format!("s{number}");
            let body = Some(Body::Station(station));
            let entry = Entry::new(
                record.as_str().into(),
                Vec::new(),
                stamp,
                Act::Write,
                None,
                body,
            );
            ledger.insert(entry);
        }
        Pages::of(&ledger)
    }

    #[track_caller]
    fn check(which: Which, stations: usize) {
        let pages = pages();
        let ask = Ask {
            which,
            ..Ask::new(Notation::StrikeDip)
        };
        let over = account(&pages, &ask.wanted(&pages)).over;
        assert_eq!(over.stations, stations, "{:?}", ask.which);
    }

    #[test]
    fn days_and_stations_are_chosen() {
        let days = |days: &[&str]| Which::Days(days.iter().map(|day| (*day).to_owned()).collect());
        check(Which::All, 5);
        check(days(&[]), 5);
        check(days(&["2026-06-13"]), 2);
        check(days(&["2026-06-12", "2026-06-14"]), 3);
        let stations = |from: &str, to: &str| Which::Stations(from.to_owned(), to.to_owned());
        check(stations("", ""), 5);
        check(stations("2", "4"), 3);
        check(stations("4", ""), 2);
        check(stations("", "1"), 1);
        check(stations("4", "2"), 0);
        check(stations("9", ""), 0);
        check(stations("99999999999", "1"), 1);
    }

    #[test]
    fn a_file_is_named_in_plain_letters() {
        for (book, wanted) in [
            ("Varrelow, summer", "varrelow-summer-hand-over-2026-06-14"),
            ("", "book-hand-over-2026-06-14"),
            ("../../etc", "etc-hand-over-2026-06-14"),
            ("Übung 3", "Übung-3-hand-over-2026-06-14"),
        ] {
            assert_eq!(stem(book, "2026-06-14"), wanted);
        }
        assert_eq!(short_day("2026-06-14"), "14 June");
        assert_eq!(short_day("soon"), "soon");
    }
}
