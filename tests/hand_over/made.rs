//! Books made for the tests of the hand-over.

use std::fs;
use std::path::Path;

use hingeline::exchange::book;
use hingeline::notebook::{
    Act, Body, Book, Entry, Form, Ledger, North, Notation, Photo, Position, Reading, RecordId,
    SetUp, Shot, Sighting, Stamp, Station, Tops,
};

/// The invented valley that comes with the app.
pub(crate) fn demo() -> Ledger {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("public/demo.json");
    let file = book::read_bytes(&fs::read(path).unwrap()).unwrap();
    let mut ledger = Ledger::new();
    ledger.join(file.entries);
    ledger
}

/// A book that is being written.
#[derive(Default)]
pub(crate) struct Writing {
    pub(crate) ledger: Ledger,
    counter: u64,
}

impl Writing {
    fn entry(&mut self, record: &str, act: Act, body: Option<Body>) {
        self.counter += 1;
        let stamp = Stamp {
            by: "QV".to_owned(),
            device: "bench".to_owned(),
            counter: self.counter,
            at: "2026-06-14T09:00:00.000+01:00".to_owned(),
        };
        let heads = self.ledger.state(record).heads().to_vec();
        let entry = Entry::new(RecordId::from(record), heads, stamp, act, None, body);
        assert!(self.ledger.insert(entry));
    }

    pub(crate) fn write(&mut self, record: &str, body: Body) -> &mut Self {
        self.entry(record, Act::Write, Some(body));
        self
    }

    pub(crate) fn strike(&mut self, record: &str) -> &mut Self {
        self.entry(record, Act::StrikeOut, None);
        self
    }
}

/// A station at a place.
pub(crate) fn station(number: u32, place: Option<(f64, f64)>) -> Station {
    Station {
        number,
        name: format!("place {number}"),
        at: format!("2026-06-{:02}T09:00:00+01:00", 13 + number),
        position: place.map(|(longitude, latitude)| Position {
            latitude,
            longitude,
            height_m: Some(411.5),
            accuracy_m: Some(4.0),
            source: "device".to_owned(),
            ..Position::default()
        }),
        unit: "Varrelow Slate".to_owned(),
        lithology: "slate".to_owned(),
        ..Station::default()
    }
}

/// One shot of a plane.
pub(crate) fn plane_shot(strike: &str, dip: &str, side: &str) -> Shot {
    Shot {
        strike: Some(strike.to_owned()),
        dip: Some(dip.to_owned()),
        side: Some(side.to_owned()).filter(|side| !side.is_empty()),
        at: "2026-06-14T09:05:00+01:00".to_owned(),
        ..Shot::default()
    }
}

/// A reading at a station.
pub(crate) fn reading(
    station: &str,
    number: u32,
    kind: &str,
    form: Form,
    shots: Vec<Shot>,
) -> Reading {
    Reading {
        station: station.to_owned(),
        number,
        kind: kind.to_owned(),
        form,
        set_up: Some("u".to_owned()),
        north: North::Magnetic,
        declination: Some("-2.5".to_owned()),
        shots,
        ..Reading::default()
    }
}

/// Four stations, of which one has no place and one is struck out, with every form of reading and what goes wrong with them.
pub(crate) fn small() -> Writing {
    let mut book = Writing::default();
    book.write(
        "b",
        Body::Book(Book {
            name: "Varrelow, summer".to_owned(),
            notation: Notation::DipDirection,
            ..Book::default()
        }),
    );
    let set_up = SetUp {
        name: "hinged transit".to_owned(),
        north: North::Magnetic,
        declination: Some("-2.5".to_owned()),
        resolution: "1".to_owned(),
        ..SetUp::default()
    };
    book.write("u", Body::SetUp(set_up));
    book.write(
        "s1",
        Body::Station(station(1, Some((-3.708_312, 52.745_428)))),
    );
    book.write("s2", Body::Station(station(2, Some((-3.701_5, 52.75)))));
    book.write("s3", Body::Station(station(3, None)));
    book.write("s4", Body::Station(station(4, Some((-3.6, 52.7)))));
    let mut struck_shot = plane_shot("100", "80", "S");
    struck_shot.struck_out = true;
    let mut bedding = reading(
        "s1",
        1,
        "bedding",
        Form::Plane,
        vec![
            plane_shot("045", "30", "SE"),
            plane_shot("047", "32", "SE"),
            struck_shot,
        ],
    );
    bedding.tops = Tops::Overturned;
    bedding.note = "graded".to_owned();
    book.write("r1", Body::Reading(bedding));
    let line = Shot {
        trend: Some("240".to_owned()),
        plunge: Some("12".to_owned()),
        ..Shot::default()
    };
    book.write(
        "r2",
        Body::Reading(reading(
            "s1",
            2,
            "mineral lineation",
            Form::Line,
            vec![line.clone()],
        )),
    );
    let up = Shot { up: true, ..line };
    book.write(
        "r3",
        Body::Reading(reading("s2", 1, "current direction", Form::Line, vec![up])),
    );
    let both = Shot {
        trend: Some("131".to_owned()),
        plunge: Some("37".to_owned()),
        rake: Some("111".to_owned()),
        ..plane_shot("060", "40", "SE")
    };
    book.write(
        "r4",
        Body::Reading(reading(
            "s2",
            2,
            "fault + line",
            Form::PlaneWithLine,
            vec![both],
        )),
    );
    let angle = Shot {
        angle: Some("105".to_owned()),
        ..Shot::default()
    };
    book.write(
        "r5",
        Body::Reading(reading("s2", 3, "two limbs", Form::Angle, vec![angle])),
    );
    let mut unknown = reading(
        "s3",
        1,
        "plane: gash",
        Form::Plane,
        vec![plane_shot("010", "70", "W")],
    );
    (unknown.north, unknown.declination) = (North::Unknown, None);
    book.write("r6", Body::Reading(unknown));
    book.write(
        "r7",
        Body::Reading(reading(
            "s3",
            2,
            "joint",
            Form::Plane,
            vec![plane_shot("200", "85", "W")],
        )),
    );
    book.strike("r7");
    book.write(
        "r8",
        Body::Reading(reading(
            "s4",
            1,
            "bedding",
            Form::Plane,
            vec![plane_shot("300", "15", "NE")],
        )),
    );
    book.strike("s4");
    book.write(
        "r9",
        Body::Reading(reading(
            "nowhere",
            1,
            "bedding",
            Form::Plane,
            vec![plane_shot("310", "25", "NE")],
        )),
    );
    book.write(
        "g1",
        Body::Sighting(Sighting {
            station: "s1".to_owned(),
            number: 1,
            to: Some("s2".to_owned()),
            bearing: Some("040".to_owned()),
            vertical: Some("05".to_owned()),
            up: true,
            slope_m: Some("120".to_owned()),
            distance_sd_m: Some("2".to_owned()),
            north: North::Magnetic,
            declination: Some("-2.5".to_owned()),
            set_up: Some("u".to_owned()),
            at: "2026-06-14T10:00:00+01:00".to_owned(),
            ..Sighting::default()
        }),
    );
    book.write(
        "p1",
        Body::Photo(Photo {
            station: "s1".to_owned(),
            number: 1,
            sha256: "ab".repeat(32),
            media: "image/jpeg".to_owned(),
            ..Photo::default()
        }),
    );
    book
}
