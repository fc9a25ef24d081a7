//! What is handed over and what stays: chosen once, counted, and said in words.

use std::collections::BTreeSet;

use crate::notebook::{
    Attitude, CountsFrom, Line, Notation, Pages, Position, Reading, RecordId, StationPage, attitude,
};

use super::terms;

/// What is wanted; an empty choice of days, kinds or stations wants all of them.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Wanted {
    /// Days, by the date that a station's own clock wrote: `2026-06-14`.
    pub days: BTreeSet<String>,
    /// Kinds of structure, as they are called in words.
    pub kinds: BTreeSet<String>,
    /// Record ids of stations.
    pub stations: BTreeSet<String>,
    /// What is struck out too.
    pub struck_out: bool,
    /// Only readings that count from true north.
    pub true_north: bool,
    /// How planes and lines are written; `None`: as the book is.
    pub notation: Option<Notation>,
}

/// How many of each.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Counts {
    /// Stations.
    pub stations: usize,
    /// Readings.
    pub readings: usize,
    /// Shots: repetitions of a reading.
    pub shots: usize,
    /// Sightings.
    pub sightings: usize,
}

impl Counts {
    /// Whether there is nothing.
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }

    /// `54 stations, 213 readings, 251 shots, 12 sightings`; what there is none of is left out, and all of it said as `nothing`.
    pub fn words(&self) -> String {
        let parts: Vec<String> = [
            (self.stations, "station"),
            (self.readings, "reading"),
            (self.shots, "shot"),
            (self.sightings, "sighting"),
        ]
        .into_iter()
        .filter(|(count, _)| *count > 0)
        .map(|(count, word)| counted(count, word))
        .collect();
        if parts.is_empty() {
            "nothing".to_owned()
        } else {
            parts.join(", ")
        }
    }
}

/// `1 station`, `2 stations`.
pub(super) fn counted(count: usize, word: &str) -> String {
    format!("{count} {word}{}", if count == 1 { "" } else { "s" })
}

/// What goes over, what stays and why, and what is worth knowing about it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Account {
    /// What goes over.
    pub over: Counts,
    /// What stays because it is struck out, or stands at a station that is.
    pub struck_out: Counts,
    /// What stays because it was not chosen.
    pub not_chosen: Counts,
    /// What stays because only true north was wanted and its north is not known.
    pub not_true: Counts,
    /// Records of a kind that this version cannot read: they stay.
    pub unreadable: usize,
    /// Photos that stand at stations that go over: they stay, and the stations name them.
    pub photos: usize,
    /// Readings and sightings that go over without a bearing from true north: their dials do.
    pub without_true: usize,
    /// Stations that go over without a place on the globe.
    pub without_place: usize,
    /// Readings and sightings that go over and whose station is not in the book.
    pub strays: usize,
    /// Records that go over and that two people changed in the same field: the version that is shown goes.
    pub contested: usize,
    /// Numbers that several stations that go over have.
    pub shared_numbers: Vec<String>,
    /// Names that several readings that go over have: `47·3`.
    pub shared_names: Vec<String>,
}

impl Account {
    /// What stays, and what is worth knowing, one sentence without its full stop each.
    pub fn notes(&self) -> Vec<String> {
        let mut notes = Vec::new();
        for (counts, why) in [
            (self.struck_out, "struck out"),
            (self.not_chosen, "not chosen"),
            (self.not_true, "not from true north"),
        ] {
            if !counts.is_empty() {
                notes.push(format!("left out, {why}: {}", counts.words()));
            }
        }
        if self.unreadable > 0 {
            notes.push(format!(
                "left out, of a kind that this version cannot read: {}",
                counted(self.unreadable, "record")
            ));
        }
        if self.photos > 0 {
            notes.push(format!(
                "left out: {}; the archive of the book has them, and the stations name them",
                counted(self.photos, "photo")
            ));
        }
        if self.without_true > 0 {
            let (which, their) = if self.without_true == 1 {
                ("1 reading or sighting does", "its")
            } else {
                ("readings and sightings do", "their")
            };
            let which = if self.without_true == 1 {
                which.to_owned()
            } else {
                format!("{} {which}", self.without_true)
            };
            notes.push(format!(
                "{which} not count from true north: {their} dials go over, and no bearing"
            ));
        }
        if self.without_place > 0 {
            let has = if self.without_place == 1 {
                "has"
            } else {
                "have"
            };
            notes.push(format!(
                "{} {has} no place on the globe",
                counted(self.without_place, "station")
            ));
        }
        if self.strays > 0 {
            notes.push(format!(
                "{} at a station that is not in this book",
                counted(self.strays, "reading or sighting").replace("sightings", "sighting")
            ));
        }
        if self.contested > 0 {
            notes.push(format!(
                "{} changed by two people in the same field: the version that the book shows goes over",
                counted(self.contested, "record")
            ));
        }
        notes.extend(shared(
            &self.shared_numbers,
            (
                "1 number is that of several stations",
                "numbers are each that of several stations",
            ),
        ));
        notes.extend(shared(
            &self.shared_names,
            (
                "1 name is that of several readings",
                "names are each that of several readings",
            ),
        ));
        notes
    }
}

/// Which names are not those of one alone; at most so many are named.
fn shared(names: &[String], (one, several): (&str, &str)) -> Option<String> {
    const NAMED: usize = 20;
    let (named, more) = names.split_at(names.len().min(NAMED));
    let which = match names.len() {
        0 => return None,
        1 => one.to_owned(),
        count => format!("{count} {several}"),
    };
    let more = match more.len() {
        0 => String::new(),
        count => format!(" and {count} more"),
    };
    Some(format!(
        "{which}: {}{more}; `record` tells them apart",
        named.join(", ")
    ))
}

/// What stands more than once, in order.
fn repeated(mut names: Vec<(u32, u32)>) -> Vec<(u32, u32)> {
    names.sort_unstable();
    let pairs = names.windows(2).filter(|pair| pair[0] == pair[1]);
    let mut repeated: Vec<(u32, u32)> = pairs.map(|pair| pair[0]).collect();
    repeated.dedup();
    repeated
}

/// The lines of the book that go over, station by station, with the account of them.
#[derive(Default)]
pub(super) struct Chosen {
    pub(super) stations: Vec<Line>,
    /// With their stations.
    pub(super) readings: Vec<(Option<Line>, Line)>,
    pub(super) sightings: Vec<(Option<Line>, Line)>,
    pub(super) account: Account,
}

/// Why something stays.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Stays {
    StruckOut,
    NotChosen,
    NotTrue,
}

impl Account {
    fn stays(&mut self, why: Stays) -> &mut Counts {
        match why {
            Stays::StruckOut => &mut self.struck_out,
            Stays::NotChosen => &mut self.not_chosen,
            Stays::NotTrue => &mut self.not_true,
        }
    }
}

/// The place of a station's line, where it has one on the globe.
pub(super) fn place(station: Option<&Line>) -> Option<&Position> {
    let position = station?.station()?.position.as_ref()?;
    let on_the_globe = position.latitude.abs() <= 90.0 && position.longitude.abs() <= 180.0;
    on_the_globe.then_some(position)
}

/// The shots of a reading that go over.
pub(super) fn shots(reading: &Reading, wanted: &Wanted) -> usize {
    let shots = reading.shots.iter();
    shots
        .filter(|shot| wanted.struck_out || !shot.struck_out)
        .count()
}

/// The day of a station, by the date that its clock wrote.
fn day(station: Option<&Line>, own: &str) -> String {
    let at = station
        .and_then(Line::station)
        .map_or(own, |station| station.at.as_str());
    at.get(..10).unwrap_or_default().to_owned()
}

struct Choosing<'w> {
    wanted: &'w Wanted,
    chosen: Chosen,
}

impl Choosing<'_> {
    fn day_is_wanted(&self, day: &str) -> bool {
        self.wanted.days.is_empty() || self.wanted.days.contains(day)
    }

    fn station_is_wanted(&self, station: &str) -> bool {
        self.wanted.stations.is_empty() || self.wanted.stations.contains(station)
    }

    fn reading(&mut self, station: Option<&Line>, line: &Line) -> bool {
        let Some(reading) = line.reading() else {
            return false;
        };
        let own = reading.shots.first().map_or("", |shot| shot.at.as_str());
        let is_true = attitude::counts_from(reading, place(station)).is_true();
        let struck = line.is_struck_out() || station.is_some_and(Line::is_struck_out);
        let kinds = &self.wanted.kinds;
        let stays = if struck && !self.wanted.struck_out {
            Some(Stays::StruckOut)
        } else if !self.day_is_wanted(&day(station, own))
            || !self.station_is_wanted(&reading.station)
            || !(kinds.is_empty() || kinds.contains(terms::words(&reading.kind)))
        {
            Some(Stays::NotChosen)
        } else if self.wanted.true_north && !is_true {
            Some(Stays::NotTrue)
        } else {
            None
        };
        let all = reading.shots.len();
        let account = &mut self.chosen.account;
        if let Some(why) = stays {
            let counts = account.stays(why);
            counts.readings += 1;
            counts.shots += all;
            return false;
        }
        let over = shots(reading, self.wanted);
        account.over.readings += 1;
        account.over.shots += over;
        account.struck_out.shots += all - over;
        account.without_true += usize::from(!is_true);
        account.strays += usize::from(station.is_none());
        account.contested += usize::from(line.is_contested());
        self.chosen.readings.push((station.cloned(), line.clone()));
        true
    }

    fn sighting(&mut self, station: Option<&Line>, line: &Line) -> bool {
        let Some(sighting) = line.sighting() else {
            return false;
        };
        let is_true = crate::notebook::north::bearing(sighting, place(station))
            .is_some_and(|(_, counts_from): (_, CountsFrom)| counts_from.is_true());
        let struck = line.is_struck_out() || station.is_some_and(Line::is_struck_out);
        let stays = if struck && !self.wanted.struck_out {
            Some(Stays::StruckOut)
        } else if !self.day_is_wanted(&day(station, &sighting.at))
            || !self.station_is_wanted(&sighting.station)
            || !self.wanted.kinds.is_empty()
        {
            Some(Stays::NotChosen)
        } else if self.wanted.true_north && !is_true {
            Some(Stays::NotTrue)
        } else {
            None
        };
        let account = &mut self.chosen.account;
        if let Some(why) = stays {
            account.stays(why).sightings += 1;
            return false;
        }
        account.over.sightings += 1;
        account.without_true += usize::from(!is_true);
        account.strays += usize::from(station.is_none());
        account.contested += usize::from(line.is_contested());
        self.chosen.sightings.push((station.cloned(), line.clone()));
        true
    }

    fn station(&mut self, page: &StationPage, taken: bool) {
        let line = page.line();
        let wanted = self.wanted;
        let stays = if line.is_struck_out() && !wanted.struck_out {
            Some(Stays::StruckOut)
        } else if !self.day_is_wanted(&day(Some(line), ""))
            || !self.station_is_wanted(line.record().as_str())
            // Where only some kinds are wanted, a station goes with what was read there.
            || !(wanted.kinds.is_empty() || taken)
        {
            Some(Stays::NotChosen)
        } else {
            None
        };
        let account = &mut self.chosen.account;
        if let Some(why) = stays {
            account.stays(why).stations += 1;
            return;
        }
        account.over.stations += 1;
        let photos = page.photos().iter();
        account.photos += photos.filter(|photo| !photo.is_struck_out()).count();
        account.without_place += usize::from(place(Some(line)).is_none());
        account.contested += usize::from(line.is_contested());
        self.chosen.stations.push(line.clone());
    }
}

/// Chooses what goes over.
pub(super) fn choose(pages: &Pages, wanted: &Wanted) -> Chosen {
    let mut choosing = Choosing {
        wanted,
        chosen: Chosen::default(),
    };
    for page in pages.stations() {
        let mut taken = false;
        for line in page.readings() {
            taken |= choosing.reading(Some(page.line()), line);
        }
        for line in page.sightings() {
            taken |= choosing.sighting(Some(page.line()), line);
        }
        choosing.station(page, taken);
    }
    for line in pages.strays() {
        choosing.reading(None, line);
    }
    for line in pages.stray_sightings() {
        choosing.sighting(None, line);
    }
    let mut chosen = choosing.chosen;
    chosen.account.unreadable = pages.unknown().len();
    let numbers = chosen.stations.iter().map(|line| (line.number(), 0));
    chosen.account.shared_numbers = repeated(numbers.collect())
        .into_iter()
        .map(|(station, _)| station.to_string())
        .collect();
    let names = chosen
        .readings
        .iter()
        .filter_map(|(station, line)| Some((station.as_ref()?.number(), line.number())));
    chosen.account.shared_names = repeated(names.collect())
        .into_iter()
        .map(|(station, reading)| format!("{station}·{reading}"))
        .collect();
    chosen
}

/// What would go over and what would stay, without working anything out.
pub fn account(pages: &Pages, wanted: &Wanted) -> Account {
    choose(pages, wanted).account
}

/// Whether a reading comes to a plane, a line or an angle; one that does not goes over with its dials alone.
///
/// # Degenerate input
/// What is no reading of this book, or one that this version cannot read, comes to nothing that could be missed.
pub fn has_value(pages: &Pages, record: &RecordId) -> bool {
    let reading = pages.reading(record.as_str()).and_then(Line::reading);
    reading.is_none_or(|reading| !is_without_value(&attitude::in_book(pages, reading)))
}

fn is_without_value(attitude: &Attitude) -> bool {
    attitude.plane.is_none() && attitude.line.is_none() && attitude.angle_deg.is_none()
}

/// The readings that would go over, in the order of the book.
pub fn readings(pages: &Pages, wanted: &Wanted) -> Vec<RecordId> {
    let chosen = choose(pages, wanted).readings;
    chosen
        .iter()
        .map(|(_, line)| line.record().clone())
        .collect()
}

/// The kinds of structure that a book has, in words, with how many readings that stand each has, by name.
pub fn kinds(pages: &Pages) -> Vec<(String, usize)> {
    let mut kinds = std::collections::BTreeMap::<String, usize>::new();
    let standing = pages
        .stations()
        .iter()
        .filter(|p| !p.line().is_struck_out());
    let lines = standing
        .flat_map(|page| page.readings())
        .chain(pages.strays());
    for line in lines.filter(|line| !line.is_struck_out()) {
        if let Some(reading) = line.reading() {
            *kinds
                .entry(terms::words(&reading.kind).to_owned())
                .or_default() += 1;
        }
    }
    kinds.into_iter().collect()
}
