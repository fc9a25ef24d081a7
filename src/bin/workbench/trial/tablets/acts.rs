//! What people do on their tablets.

use std::sync::Arc;

use hingeline::notebook::reset::{self, Change, Chosen};
use hingeline::notebook::{
    Act, Body, Entry, EntryId, North, Pages, Photo, Position, Reading, RecordId, SetUp, Shot,
    Sighting, State, Station, Tops, namesakes, photos, twins, undo_of,
};

use super::{Camp, time};

impl Camp {
    fn keep(&mut self, place: usize, record: &str, act: Act, body: Option<Body>) {
        let heads: Vec<EntryId> = self.tablets[place].ledger.state(record).heads().to_vec();
        let stamp = self.stamp(place);
        let entry = Entry::new(RecordId::from(record), heads, stamp, act, None, body);
        self.take(place, vec![entry], Vec::new());
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

    pub(super) fn write_station(&mut self, place: usize) {
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

    pub(super) fn write_reading(&mut self, place: usize) {
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

    pub(super) fn write_other(&mut self, place: usize) {
        let station = self.record(place, "station");
        let (record, body) = match (self.random.below(2), station) {
            (0, Some(station)) => (
                self.fresh("sighting"),
                Body::Sighting(Sighting {
                    number: Pages::of(&self.tablets[place].ledger).next_sighting_number(&station),
                    station,
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

    pub(super) fn change(&mut self, place: usize) {
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
            Body::Photo(photo) => photo.note = word,
            Body::SetUp(set_up) => set_up.declination = Some(format!("{}", self.below(5))),
            _ => return,
        }
        self.keep(place, &record, act, Some(body));
    }

    pub(super) fn strike_out(&mut self, place: usize) {
        if let Some(record) = self.record(place, "") {
            self.keep(place, &record, Act::StrikeOut, None);
        }
    }

    pub(super) fn undo(&mut self, place: usize) {
        let tablet = &self.tablets[place];
        let Some(undo) = undo_of(&tablet.ledger, &tablet.name) else {
            return;
        };
        let entries = undo.entries(&self.stamp(place));
        self.take(place, entries, Vec::new());
    }

    pub(super) fn settle(&mut self, place: usize) {
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
        let record = record.clone();
        self.settle_record(place, &record);
    }

    pub(super) fn twins(&mut self, place: usize) {
        let stamp = self.stamp(place);
        let ledger = &self.tablets[place].ledger;
        let pages = Pages::of(ledger);
        let found = twins::twins(ledger, &pages);
        let entries: Vec<Entry> = match self.random.below(3) {
            0 => {
                let same = namesakes::namesakes(ledger, &pages);
                namesakes::renumber_all(ledger, &pages, &found, &same, &stamp)
            }
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
        self.take(place, entries, Vec::new());
    }

    /// A photo is taken: its bytes and its entry in one commit.
    pub(super) fn take_photo(&mut self, place: usize) {
        let Some(station) = self.record(place, "station") else {
            return;
        };
        let record = self.fresh("photo");
        let number = Pages::of(&self.tablets[place].ledger).next_photo_number(&station);
        let size = 20 + self.random.below(200);
        let mut bytes = vec![0xff, 0xd8];
        bytes.extend((0..size).map(|_| u8::try_from(self.random.below(256)).unwrap_or(0)));
        let sha256 = photos::sha256(&bytes);
        let body = Body::Photo(Photo {
            station,
            number,
            sha256: sha256.clone(),
            media: "image/jpeg".to_owned(),
            width: 4,
            height: 3,
            bytes: u32::try_from(bytes.len()).unwrap_or(0),
            ..Photo::default()
        });
        let stamp = self.stamp(place);
        let entry = Entry::new(record.into(), [], stamp, Act::Write, None, Some(body));
        self.take(place, vec![entry], vec![(sha256, Arc::from(bytes))]);
    }

    /// North is put right over some of the readings: one act of many entries.
    pub(super) fn put_right(&mut self, place: usize) {
        let change = Change {
            north: Some(North::Magnetic),
            declination: Some(format!("{}", self.below(5))),
            why: "the card was not turned".to_owned(),
            ..Change::default()
        };
        let from_station = Some(1 + u32::try_from(self.below(4)).unwrap_or(0));
        let which = Chosen {
            from_station,
            ..Chosen::default()
        };
        let ledger = &self.tablets[place].ledger;
        let pages = Pages::of(ledger);
        let lines = reset::chosen(&pages, &which);
        let entries = reset::entries(ledger, lines, &change, &self.stamp(place));
        self.take(place, entries, Vec::new());
    }
}
