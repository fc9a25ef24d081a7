//! A camp by lot: tablets whose people write, change, strike out, undo, settle and tie, whose clocks jump, whose storage is copied,
//! and which hear of each other in parts, late, and more than once. The same seed gives the same camp.

use hingeline::notebook::{
    Act, Body, Entry, EntryId, Ledger, Pages, Position, Reading, RecordId, SetUp, Shot, Sighting,
    Stamp, State, Station, Tops, settle, twins, undo_of,
};
use hingeline::orientation::statistics::Random;

/// One tablet: the name its entries bear, whose it is, what it knows, and what its clock shows.
#[derive(Clone)]
pub(crate) struct Tablet {
    pub(crate) name: String,
    pub(crate) by: String,
    pub(crate) ledger: Ledger,
    clock_s: i64,
}

/// All tablets of a camp, every entry that was ever written on any of them, and the files they wrote.
pub(crate) struct Camp {
    pub(crate) tablets: Vec<Tablet>,
    pub(crate) made: Vec<Entry>,
    pub(crate) files: Vec<Vec<Entry>>,
    random: Random,
    names: u64,
}

/// The middle of June 2026, seconds since 1970.
const BEGAN_S: i64 = 1_781_424_000;

impl Camp {
    /// So many tablets, all empty.
    pub(crate) fn new(seed: u64, tablets: usize) -> Self {
        let tablet = |i: usize| Tablet {
            name: format!("tablet-{i}"),
            by: format!("P{i}"),
            ledger: Ledger::new(),
            clock_s: BEGAN_S,
        };
        Self {
            tablets: (0..tablets.max(1)).map(tablet).collect(),
            made: Vec::new(),
            files: Vec::new(),
            random: Random::new(seed),
            names: 0,
        }
    }

    /// So many acts, each of a tablet by lot.
    pub(crate) fn run(&mut self, steps: usize) {
        for _ in 0..steps {
            self.step();
        }
    }

    /// Every tablet hears of every other, in an order by lot, some twice; then all know the same.
    pub(crate) fn gather(&mut self) {
        let mut known: Vec<Vec<Entry>> = self
            .tablets
            .iter()
            .map(|tablet| tablet.ledger.iter().cloned().collect())
            .collect();
        known.append(&mut self.files);
        for place in 0..self.tablets.len() {
            let mut order: Vec<usize> = (0..known.len()).collect();
            for i in (1..order.len()).rev() {
                order.swap(i, self.random.below(i + 1));
            }
            if let Some(&twice) = order.first() {
                order.push(twice);
            }
            for book in order {
                let mut entries = known[book].clone();
                if self.random.below(2) == 0 {
                    entries.reverse();
                }
                self.tablets[place].ledger.join(entries);
            }
        }
    }

    fn step(&mut self) {
        let place = self.random.below(self.tablets.len());
        self.tablets[place].clock_s += 20 + 40 * self.below(10);
        match self.random.below(100) {
            0..14 => self.write_station(place),
            14..34 => self.write_reading(place),
            34..38 => self.write_other(place),
            38..60 => self.change(place),
            60..66 => self.strike_out(place),
            66..72 => self.undo(place),
            72..79 => self.settle(place),
            79..82 => self.twins(place),
            82..85 => self.jump(place),
            85..87 => self.copy(place),
            87..90 => {
                let file = self.tablets[place].ledger.iter().cloned().collect();
                self.files.push(file);
            }
            _ => self.hear(place),
        }
    }

    fn below(&mut self, count: i64) -> i64 {
        let count = usize::try_from(count).unwrap_or(0);
        i64::try_from(self.random.below(count)).unwrap_or(0)
    }

    fn one_of(&mut self, words: &[&str]) -> String {
        words
            .get(self.random.below(words.len()))
            .copied()
            .unwrap_or_default()
            .to_owned()
    }

    fn fresh(&mut self, kind: &str) -> String {
        self.names += 1;
        format!("{kind}-{}", self.names)
    }

    fn stamp(&self, place: usize) -> Stamp {
        let tablet = &self.tablets[place];
        Stamp {
            by: tablet.by.clone(),
            device: tablet.name.clone(),
            counter: tablet.ledger.next_counter(&tablet.name),
            at: time(tablet.clock_s),
        }
    }

    fn take(&mut self, place: usize, entry: Entry) {
        if self.tablets[place].ledger.insert(entry.clone()) {
            self.made.push(entry);
        }
    }

    fn keep(&mut self, place: usize, record: &str, act: Act, body: Option<Body>) {
        let heads: Vec<EntryId> = self.tablets[place].ledger.state(record).heads().to_vec();
        let stamp = self.stamp(place);
        let entry = Entry::new(RecordId::from(record), heads, stamp, act, None, body);
        self.take(place, entry);
    }

    fn position(&mut self) -> Option<Position> {
        // A few places on one ridge, so that some stations are the same outcrop.
        let (north, east) = (self.below(6), self.below(6));
        (self.random.below(4) > 0).then(|| Position {
            latitude: 47.2 + north as f64 * 0.0004,
            longitude: 11.3 + east as f64 * 0.00003,
            accuracy_m: Some(4.0 + east as f64),
            source: "device".to_owned(),
            ..Position::default()
        })
    }

    fn write_station(&mut self, place: usize) {
        let record = self.fresh("station");
        let tablet = &self.tablets[place];
        let (number, at) = (
            Pages::of(&tablet.ledger).next_station_number(),
            time(tablet.clock_s),
        );
        let body = Body::Station(Station {
            number,
            at,
            position: self.position(),
            unit: self.one_of(&["", "Kalk", "Schiefer"]),
            ..Station::default()
        });
        self.keep(place, &record, Act::Write, Some(body));
    }

    fn record(&mut self, place: usize, kind: &str) -> Option<String> {
        let ledger = &self.tablets[place].ledger;
        let mut records: Vec<&str> = ledger
            .records()
            .map(RecordId::as_str)
            .filter(|record| record.starts_with(kind))
            .collect();
        records.sort_unstable();
        let chosen = self.random.below(records.len());
        records.get(chosen).map(|record| (*record).to_owned())
    }

    fn shot(&mut self) -> Shot {
        let strike = self.below(360);
        let dip = self.below(91);
        Shot {
            strike: Some(format!("{strike:03}")),
            dip: Some(format!("{dip:02}")),
            side: Some(self.one_of(&["NE", "SE", "SW", "NW"])),
            ..Shot::default()
        }
    }

    fn write_reading(&mut self, place: usize) {
        let Some(station) = self.record(place, "station") else {
            return;
        };
        let record = self.fresh("reading");
        let number = Pages::of(&self.tablets[place].ledger).next_reading_number(&station);
        let body = Body::Reading(Reading {
            station,
            number,
            kind: self.one_of(&["bedding", "joint", "cleavage"]),
            shots: vec![self.shot()],
            ..Reading::default()
        });
        self.keep(place, &record, Act::Write, Some(body));
    }

    fn write_other(&mut self, place: usize) {
        let station = self.record(place, "station");
        let (record, body) = match (self.random.below(2), station) {
            (0, Some(station)) => (
                self.fresh("sighting"),
                Body::Sighting(Sighting {
                    station,
                    number: 1,
                    bearing: Some(format!("{:03}", self.below(360))),
                    ..Sighting::default()
                }),
            ),
            _ => (
                self.fresh("set-up"),
                Body::SetUp(SetUp {
                    name: self.one_of(&["brass", "black"]),
                    ..SetUp::default()
                }),
            ),
        };
        self.keep(place, &record, Act::Write, Some(body));
    }

    fn change(&mut self, place: usize) {
        let Some(record) = self.record(place, "") else {
            return;
        };
        let state = self.tablets[place].ledger.state(&record);
        let Some(mut body) = state.body().cloned() else {
            return;
        };
        let act = if state.is_struck_out() {
            Act::PutBack
        } else {
            Act::Correct
        };
        let word = self.one_of(&["wavy", "planar", "rough", ""]);
        match &mut body {
            Body::Station(station) => match self.random.below(4) {
                0 => station.note = word,
                1 => station.lithology = word,
                2 => station.position = self.position(),
                _ => station.name = word,
            },
            Body::Reading(reading) => match self.random.below(6) {
                0 => reading.note = word,
                1 => reading.kind = self.one_of(&["bedding", "joint", "cleavage"]),
                2 => reading.tops = [Tops::Upright, Tops::Overturned][self.random.below(2)],
                3 => reading.shots.push(self.shot()),
                4 => {
                    let dip = self.below(91);
                    if let Some(shot) = reading.shots.last_mut() {
                        shot.dip = Some(format!("{dip:02}"));
                    }
                }
                _ => {
                    if let Some(shot) = reading.shots.first_mut() {
                        shot.struck_out = !shot.struck_out;
                    }
                }
            },
            Body::Sighting(sighting) => sighting.note = word,
            Body::SetUp(set_up) => set_up.declination = Some(format!("{}", self.below(5))),
            _ => return,
        }
        self.keep(place, &record, act, Some(body));
    }

    fn strike_out(&mut self, place: usize) {
        if let Some(record) = self.record(place, "") {
            self.keep(place, &record, Act::StrikeOut, None);
        }
    }

    fn undo(&mut self, place: usize) {
        let tablet = &self.tablets[place];
        let Some(undo) = undo_of(&tablet.ledger, &tablet.name) else {
            return;
        };
        for entry in undo.entries(&self.stamp(place)) {
            self.take(place, entry);
        }
    }

    fn settle(&mut self, place: usize) {
        let ledger = &self.tablets[place].ledger;
        let mut contested: Vec<String> = ledger
            .records()
            .filter(|record| matches!(ledger.state(record.as_str()), State::Contested { .. }))
            .map(|record| record.as_str().to_owned())
            .collect();
        contested.sort_unstable();
        let chosen = self.random.below(contested.len());
        let Some(record) = contested.get(chosen) else {
            return;
        };
        let versions = settle::versions(&self.tablets[place].ledger, record);
        let chosen = self.random.below(versions.len());
        let stamp = self.stamp(place);
        let entry = versions.get(chosen).and_then(|version| {
            settle::entry(&self.tablets[place].ledger, record, &version.entry, stamp)
        });
        if let Some(entry) = entry {
            self.take(place, entry);
        }
    }

    fn twins(&mut self, place: usize) {
        let stamp = self.stamp(place);
        let ledger = &self.tablets[place].ledger;
        let pages = Pages::of(ledger);
        let found = twins::twins(ledger, &pages);
        let entries: Vec<Entry> = match self.random.below(3) {
            0 => twins::renumber(ledger, &pages, &found, &stamp),
            1 => found
                .iter()
                .find(|twins| twins.close.is_some())
                .and_then(|twins| twins::tie(ledger, twins, stamp))
                .into_iter()
                .collect(),
            _ => found
                .iter()
                .find(|twins| twins.close.is_some())
                .and_then(|twins| twins::tell_apart(ledger, twins, stamp))
                .into_iter()
                .collect(),
        };
        for entry in entries {
            self.take(place, entry);
        }
    }

    /// A clock is set wrong, a little or by years, either way.
    fn jump(&mut self, place: usize) {
        const SPANS_S: [i64; 4] = [3_600, 90_000, 31_600_000, 1_500_000_000];
        let span = SPANS_S[self.random.below(SPANS_S.len())];
        let tablet = &mut self.tablets[place];
        tablet.clock_s += if self.random.below(2) == 0 {
            span
        } else {
            -span
        };
    }

    /// A tablet's storage is copied to another, which goes on under the same name; or one that was copied takes a name of its own.
    fn copy(&mut self, place: usize) {
        let other = self.random.below(self.tablets.len());
        if other == place {
            self.tablets[place].name = self.fresh("renamed");
            return;
        }
        let copied = self.tablets[place].ledger.clone();
        let name = self.tablets[place].name.clone();
        self.tablets[other].ledger.join(copied.iter().cloned());
        self.tablets[other].name = name;
    }

    /// A tablet opens another's book: whole, in part, or as it was some time ago.
    fn hear(&mut self, place: usize) {
        let other = self.random.below(self.tablets.len());
        let entries: Vec<Entry> = match self.random.below(4) {
            0 if !self.files.is_empty() => {
                let file = self.random.below(self.files.len());
                self.files[file].clone()
            }
            1 => {
                let all: Vec<Entry> = self.tablets[other].ledger.iter().cloned().collect();
                all.into_iter()
                    .filter(|_| self.random.below(3) > 0)
                    .collect()
            }
            _ => self.tablets[other].ledger.iter().cloned().collect(),
        };
        self.tablets[place].ledger.join(entries);
    }
}

/// RFC 3339 in UTC of seconds since 1970: the civil calendar with years that begin in March, so that the leap day is the last.
fn time(seconds: i64) -> String {
    let (days, of_day) = (seconds.div_euclid(86_400), seconds.rem_euclid(86_400));
    let shifted = days + 719_468;
    let (era, of_era) = (shifted.div_euclid(146_097), shifted.rem_euclid(146_097));
    let year = (of_era - of_era / 1_460 + of_era / 36_524 - of_era / 146_096) / 365;
    let of_year = of_era - (365 * year + year / 4 - year / 100);
    let month = (5 * of_year + 2) / 153;
    let day = of_year - (153 * month + 2) / 5 + 1;
    let (month, after) = if month < 10 {
        (month + 3, 0)
    } else {
        (month - 9, 1)
    };
    format!(
        "{:04}-{month:02}-{day:02}T{:02}:{:02}:{:02}Z",
        year + era * 400 + after,
        of_day / 3600,
        of_day / 60 % 60,
        of_day % 60
    )
}
