use super::*;
use crate::notebook::{Act, Body, Entry, Ledger, Pages, Shot, Stamp, Station};

/// A place in the north Atlantic where declination is about 10° west; what the model gives there is tested elsewhere.
fn place() -> Position {
    Position {
        latitude: 64.0,
        longitude: -19.0,
        ..Position::default()
    }
}

const DAY: &str = "2026-06-14T09:00:00+00:00";

fn model_deg() -> f64 {
    let deg = field(&place(), DAY).unwrap().declination.deg();
    assert!((-12.0..-8.0).contains(&deg), "{deg}");
    deg
}

fn set_up(north: North, declination: &str) -> SetUp {
    SetUp {
        north,
        declination: Some(declination.to_owned()).filter(|text| !text.is_empty()),
        resolution: "1".to_owned(),
        ..SetUp::default()
    }
}

fn kinds(doubts: &[NorthDoubt]) -> Vec<DoubtKind> {
    doubts.iter().map(|doubt| doubt.doubt.kind).collect()
}

#[track_caller]
fn check(north: North, declination: &str, wanted: &[DoubtKind]) -> Vec<NorthDoubt> {
    let doubts = doubts_of_set_up(&set_up(north, declination), Some(&place()), DAY);
    assert_eq!(kinds(&doubts), wanted, "{declination}");
    for doubt in &doubts {
        let message = &doubt.doubt.message;
        assert!(
            !message.ends_with('.') && !message.contains("NaN"),
            "{message}"
        );
    }
    doubts
}

#[test]
fn a_declination_is_held_against_the_model_and_its_slip_is_named() {
    use DoubtKind::{AgainstModel, DeclinationDoubled, DeclinationOmitted, SignReversed};
    let model = model_deg();
    for north in [North::True, North::Magnetic] {
        let check = |deg: f64, wanted: &[DoubtKind]| check(north, &as_typed(deg), wanted);
        check(model, &[]);
        check(model + 1.0, &[]);
        check(model - 1.0, &[]);
        check(model + 2.0, &[AgainstModel]);
        check(-model, &[SignReversed]);
        check(-model + 1.0, &[SignReversed]);
        check(2.0 * model, &[DeclinationDoubled]);
        check(0.0, &[DeclinationOmitted]);
        check(model + 5.0, &[AgainstModel]);
        check(model + 90.0, &[AgainstModel]);
    }
}

#[test]
fn a_doubt_names_the_numbers_the_limit_and_the_way_out() {
    let model = model_deg();
    let doubts = check(North::True, "10E", &[DoubtKind::SignReversed]);
    let message = &doubts[0].doubt.message;
    for part in [
        "declination 10° E is set on the card",
        "WMM2025 gives",
        "2026-06-14",
        "east and west are exchanged",
        "is allowed",
        "take",
    ] {
        assert!(message.contains(part), "{part} in {message}");
    }
    assert!(message.contains(&east_west(model)), "{message}");
    let change = &doubts[0].mends[0].change;
    assert_eq!(change.declination, Some(as_typed(model)));
    assert!(!change.why.is_empty());
    // What mends it leaves no doubt.
    let mended = change.declination.clone().unwrap();
    check(North::True, &mended, &[]);
    let doubts = check(North::Magnetic, "10E", &[DoubtKind::SignReversed]);
    assert!(doubts[0].doubt.message.contains("is added"));
}

#[test]
fn what_is_missing_is_asked_for() {
    use DoubtKind::{DeclinationMissing, NorthUnknown};
    let doubts = check(North::Magnetic, "", &[DeclinationMissing]);
    assert_eq!(
        doubts[0].mends[0].change.declination,
        Some(as_typed(model_deg()))
    );
    let doubts = check(North::True, "", &[DeclinationMissing]);
    assert_eq!(doubts[0].mends[1].change.north, Some(North::Magnetic));
    let doubts = check(North::True, "west", &[DeclinationMissing]);
    assert!(doubts[0].doubt.message.contains("`west`"));
    let doubts = check(North::Unknown, "8W", &[NorthUnknown]);
    assert_eq!(doubts[0].mends.len(), 3);
    // Without a place or a day nothing is held against the model; that it is missing is said all the same.
    let missing = doubts_of_set_up(&set_up(North::Magnetic, ""), None, DAY);
    assert_eq!(kinds(&missing), [DeclinationMissing]);
    assert!(missing[0].mends.is_empty());
    let reversed = set_up(North::True, &as_typed(-model_deg()));
    for (place, at) in [
        (None, DAY),
        (Some(&place()), ""),
        (Some(&place()), "yesterday"),
    ] {
        assert_eq!(doubts_of_set_up(&reversed, place, at), []);
    }
    let nowhere = Position {
        latitude: 123.0,
        ..place()
    };
    assert_eq!(doubts_of_set_up(&reversed, Some(&nowhere), DAY), []);
}

#[test]
fn a_day_beyond_the_model_is_a_doubt_and_never_a_silent_number() {
    use DoubtKind::{DeclinationMissing, ModelOutOfDate};
    let mut set_up = set_up(North::True, "10E");
    for (at, wanted) in [
        ("2029-12-31T23:59:00Z", &[DoubtKind::SignReversed][..]),
        ("2030-01-01T00:00:00Z", &[ModelOutOfDate]),
        ("2024-12-31", &[ModelOutOfDate]),
    ] {
        let doubts = doubts_of_set_up(&set_up, Some(&place()), at);
        assert_eq!(kinds(&doubts), wanted, "{at}");
    }
    let later = |set_up: &SetUp| doubts_of_set_up(set_up, Some(&place()), "2031-06-14");
    // From a map it cannot be checked; from the model itself, or with none given, it is doubted.
    assert_eq!(later(&set_up)[0].doubt.severity, Severity::Note);
    set_up.declination_from = Some("model".to_owned());
    assert_eq!(later(&set_up)[0].doubt.severity, Severity::Doubt);
    assert!(later(&set_up)[0].doubt.message.contains("2029-12-31"));
    set_up.declination = None;
    assert_eq!(kinds(&later(&set_up)), [DeclinationMissing, ModelOutOfDate]);
    assert!(later(&set_up)[0].mends.is_empty());
}

/// The zones of MIL-PRF-89500B: blackout below 2000 nT, which holds at the magnetic pole (85.76° N 139.30° E for 2025.0, from
/// memory), caution below 6000 nT.
#[test]
fn a_weak_field_is_said() {
    let at_the_pole = Position {
        latitude: 85.76,
        longitude: 139.3,
        ..Position::default()
    };
    let doubts = doubts_of_set_up(&set_up(North::True, "20W"), Some(&at_the_pole), DAY);
    assert_eq!(kinds(&doubts), [DoubtKind::CompassUnreliable]);
    assert_eq!(doubts[0].doubt.severity, Severity::Doubt);
    assert!(doubts[0].doubt.message.contains("2000"));
    let mut near = at_the_pole;
    let zone = |place: &Position| field(place, DAY).unwrap().zone;
    while zone(&near) != Zone::Caution {
        near.latitude -= 0.5;
    }
    let doubts = doubts_of_set_up(&set_up(North::True, "20W"), Some(&near), DAY);
    assert_eq!(doubts[0].doubt.kind, DoubtKind::CompassUnreliable);
    assert_eq!(doubts[0].doubt.severity, Severity::Note);
    assert!(doubts[0].doubt.message.contains("6000"));
}

#[test]
fn a_card_set_to_grid_north_is_held_against_both() {
    let convergence = grid::utm(64.0, -19.0).unwrap().convergence.deg();
    assert!(convergence.abs() > 1.5, "{convergence}");
    let right = as_typed(model_deg() - convergence);
    let doubts = doubts_of_set_up(&set_up(North::Grid, &right), Some(&place()), DAY);
    assert_eq!(doubts, []);
    let against_true = as_typed(model_deg());
    let doubts = doubts_of_set_up(&set_up(North::Grid, &against_true), Some(&place()), DAY);
    assert_eq!(kinds(&doubts), [DoubtKind::AgainstModel]);
    assert!(doubts[0].doubt.message.contains("grid north"));
}

fn reading(north: North, declination: &str) -> Reading {
    Reading {
        station: "s1".to_owned(),
        number: 1,
        north,
        declination: Some(declination.to_owned()),
        shots: vec![Shot {
            strike: Some("062".to_owned()),
            dip: Some("36".to_owned()),
            ..Shot::default()
        }],
        ..Reading::default()
    }
}

#[test]
fn a_reading_put_right_by_its_mend_is_doubted_no_more() {
    let wrong = reading(North::True, "10E");
    let ask = |reading: &Reading| doubts_of_reading(reading, None, Some(&place()), DAY);
    let doubts = ask(&wrong);
    assert_eq!(kinds(&doubts), [DoubtKind::SignReversed]);
    let right = crate::notebook::reset::reset(&wrong, &doubts[0].mends[0].change);
    assert_eq!(right.card_declination.as_deref(), Some("10E"));
    assert_eq!(ask(&right), []);
    // And one that is kept as read is not asked about again, until its numbers change.
    let mut kept = wrong;
    kept.accepted.push(doubts[0].accept("K.O.", DAY));
    assert_eq!(kept.accepted[0].choice, "keep 10° E");
    assert_eq!(ask(&kept), []);
    kept.declination = Some("11E".to_owned());
    assert_eq!(kinds(&ask(&kept)), [DoubtKind::SignReversed]);
}

#[test]
fn a_set_up_that_is_kept_as_it_is_is_not_asked_about_again() {
    let mut set_up = set_up(North::True, "5E");
    let ask = |set_up: &SetUp| doubts_of_set_up(set_up, Some(&place()), DAY);
    let doubts = ask(&set_up);
    assert_eq!(kinds(&doubts), [DoubtKind::AgainstModel]);
    set_up.accepted.push(doubts[0].accept("K.O.", DAY));
    assert_eq!(ask(&set_up), []);
    set_up.declination = Some("6E".to_owned());
    assert_eq!(kinds(&ask(&set_up)), [DoubtKind::AgainstModel]);
}

/// A book in which every record is written by one person, in order.
struct Writer {
    ledger: Ledger,
}

impl Writer {
    fn new() -> Self {
        Self {
            ledger: Ledger::new(),
        }
    }

    fn keep(&mut self, by: &str, record: &str, body: Body) {
        let stamp = Stamp {
            by: by.to_owned(),
            device: "a".to_owned(),
            counter: self.ledger.next_counter("a"),
            at: DAY.to_owned(),
        };
        let heads = self.ledger.state(record).heads().to_vec();
        let record = RecordId::from(record);
        let entry = Entry::new(record, heads, stamp, Act::Write, None, Some(body));
        self.ledger.insert(entry);
    }

    fn station(&mut self, number: u32, place: Option<Position>) {
        let station = Station {
            number,
            at: DAY.to_owned(),
            position: place,
            ..Station::default()
        };
        self.keep("K.O.", &format!("s{number}"), Body::Station(station));
    }

    fn reading(&mut self, by: &str, station: u32, number: u32, reading: Reading) {
        let reading = Reading {
            station: format!("s{station}"),
            number,
            ..reading
        };
        self.keep(by, &format!("r{station}.{number}"), Body::Reading(reading));
    }

    fn sighting(&mut self, from: u32, to: u32, bearing: &str) {
        let sighting = Sighting {
            station: format!("s{from}"),
            number: to,
            to: Some(format!("s{to}")),
            bearing: Some(bearing.to_owned()),
            north: North::Magnetic,
            at: DAY.to_owned(),
            ..Sighting::default()
        };
        self.keep("K.O.", &format!("g{from}.{to}"), Body::Sighting(sighting));
    }

    fn pages(&self) -> Pages {
        Pages::of(&self.ledger)
    }
}

#[test]
fn readings_that_share_a_doubt_are_one_doubt_of_the_book() {
    let mut book = Writer::new();
    for station in 1..=3 {
        book.station(station, Some(place()));
        for number in 1..=2 {
            book.reading("K.O.", station, number, reading(North::True, "10E"));
        }
    }
    let doubts = doubts_of_book(&book.pages());
    assert_eq!(kinds(&doubts), [DoubtKind::SignReversed]);
    assert_eq!(doubts[0].records.len(), 6);
    assert_eq!(doubts[0].mends[0].records, doubts[0].records);
    assert!(
        doubts[0]
            .doubt
            .message
            .ends_with("; 6 records at stations 1 to 3")
    );
    assert_eq!(doubts_of_book(&Pages::default()), []);
}

#[test]
fn members_on_different_values_are_told_who_has_which() {
    let mut book = Writer::new();
    book.station(1, None);
    for number in 1..=3 {
        book.reading("K.O.", 1, number, reading(North::True, "8W"));
    }
    book.reading("M.T.", 1, 4, reading(North::Magnetic, "8E"));
    // Within what a card can be set to: no doubt.
    book.reading("R.S.", 1, 5, reading(North::True, "-7.5"));
    let doubts = doubts_of_book(&book.pages());
    assert_eq!(kinds(&doubts), [DoubtKind::MembersDiffer]);
    let message = &doubts[0].doubt.message;
    for part in [
        "K.O. took declination 8° W for 3 records",
        "M.T. took declination 8° E for 1 record:",
        "16.0° apart",
        "2026-06-14",
    ] {
        assert!(message.contains(part), "{part} in {message}");
    }
    let mend = &doubts[0].mends[0];
    assert_eq!(mend.records, [RecordId::from("r1.4")]);
    assert_eq!(mend.change.declination.as_deref(), Some("8W"));
}

#[test]
fn members_far_apart_may_have_what_the_model_gives_each() {
    let east = Position {
        longitude: 20.0,
        ..place()
    };
    let at = |place: &Position| as_typed(field(place, DAY).unwrap().declination.deg());
    let mut book = Writer::new();
    book.station(1, Some(place()));
    book.station(2, Some(east.clone()));
    book.reading("K.O.", 1, 1, reading(North::True, &at(&place())));
    book.reading("M.T.", 2, 1, reading(North::True, &at(&east)));
    assert_eq!(doubts_of_book(&book.pages()), []);
}

/// The drawing of local attraction in `geodesy::attraction`: 070 and 250 agree, 100 comes back as 285, so that −5 goes on
/// what was read at the third station.
#[test]
fn fore_and_back_are_worked_along_the_line() {
    let mut book = Writer::new();
    for station in 1..=3 {
        book.station(station, None);
    }
    book.sighting(1, 2, "070");
    book.sighting(2, 1, "250");
    book.sighting(2, 3, "100");
    book.sighting(3, 2, "285");
    // A sighting without one back says nothing.
    book.sighting(1, 3, "033");
    let lines = fore_and_back(&book.pages());
    assert_eq!(lines.len(), 2);
    assert!(lines[0].free && lines[0].doubt.is_none());
    let line = &lines[1];
    assert_eq!((line.numbers, line.free), ([2, 3], false));
    assert!((line.off_deg.abs() - 5.0).abs() < 1e-9);
    assert!(line.corrections[0].is_some_and(|c| c.deg == 0.0));
    assert!(line.corrections[1].is_some_and(|c| (c.deg + 5.0).abs() < 1e-9));
    let message = &line.doubt.as_ref().unwrap().message;
    for part in [
        "100 from station 2 to 3 and 285 back are 185.0° apart",
        "5.0° off 180",
        "4.4° is allowed",
        "-5.0° (±1.5°) goes on every bearing of station 3",
    ] {
        assert!(message.contains(part), "{part} in {message}");
    }
    let doubts = doubts_of_book(&book.pages());
    let fore: Vec<&NorthDoubt> = doubts
        .iter()
        .filter(|doubt| doubt.doubt.kind == DoubtKind::ForeAgainstBack)
        .collect();
    assert_eq!(fore.len(), 1);
    assert_eq!(
        fore[0].records,
        [RecordId::from("g2.3"), RecordId::from("g3.2")]
    );
    let accepted = line.accept("K.O.", DAY);
    let mut answered = book
        .pages()
        .sighting("g3.2")
        .unwrap()
        .sighting()
        .unwrap()
        .clone();
    answered.accepted.push(accepted);
    book.keep("K.O.", "g3.2", Body::Sighting(answered));
    assert_eq!(fore_and_back(&book.pages())[1].doubt, None);
}

#[test]
fn bearings_against_different_norths_are_turned_before_they_are_compared() {
    let mut book = Writer::new();
    book.station(1, None);
    book.station(2, None);
    let mut there = Sighting {
        station: "s1".to_owned(),
        number: 1,
        to: Some("s2".to_owned()),
        bearing: Some("N70E".to_owned()),
        north: North::True,
        at: DAY.to_owned(),
        ..Sighting::default()
    };
    book.keep("K.O.", "g1", Body::Sighting(there.clone()));
    let mut back = Sighting {
        station: "s2".to_owned(),
        to: Some("s1".to_owned()),
        bearing: Some("258".to_owned()),
        north: North::Magnetic,
        declination: Some("8W".to_owned()),
        ..there.clone()
    };
    book.keep("K.O.", "g2", Body::Sighting(back.clone()));
    let lines = fore_and_back(&book.pages());
    assert!(lines[0].free, "{lines:?}");
    assert!(lines[0].off_deg.abs() < 1e-9);
    // Not turned: not compared.
    back.declination = None;
    book.keep("K.O.", "g2", Body::Sighting(back));
    assert_eq!(fore_and_back(&book.pages()), []);
    // No line with agreement: nothing to work from.
    there.bearing = Some("090".to_owned());
    there.north = North::Magnetic;
    book.keep("K.O.", "g1", Body::Sighting(there));
    let lines = fore_and_back(&book.pages());
    assert_eq!(lines[0].corrections, [None, None]);
    assert!(
        lines[0]
            .doubt
            .as_ref()
            .unwrap()
            .message
            .contains("third station")
    );
}
