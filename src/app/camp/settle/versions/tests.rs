use super::*;
use crate::app::camp::settle::waiting;
use crate::notebook::{Act, Photo, SetUp, Shot, Stamp, Station, structure};

/// A tablet that writes into a ledger of its own.
struct Desk {
    ledger: Ledger,
    by: &'static str,
    device: &'static str,
    counter: u64,
}

impl Desk {
    fn write(&mut self, record: &str, why: Option<&str>, body: Option<Body>) {
        self.counter += 1;
        let stamp = Stamp {
            by: self.by.to_owned(),
            device: self.device.to_owned(),
            counter: self.counter,
            at: format!("2026-06-14T09:{:02}:00.000+01:00", self.counter),
        };
        let act = match body {
            Some(_) => Act::Correct,
            None => Act::StrikeOut,
        };
        let heads = self.ledger.state(record).heads().to_vec();
        let why = why.map(str::to_owned);
        self.ledger
            .insert(Entry::new(record.into(), heads, stamp, act, why, body));
    }
}

fn desk(by: &'static str, device: &'static str, from: &Ledger) -> Desk {
    Desk {
        ledger: from.clone(),
        by,
        device,
        counter: 0,
    }
}

fn shot(strike: &str, dip: &str) -> Shot {
    Shot {
        strike: Some(strike.to_owned()),
        dip: Some(dip.to_owned()),
        side: Some("SE".to_owned()),
        ..Shot::default()
    }
}

fn reading(shots: &[(&str, &str)], note: &str) -> Body {
    Body::Reading(Reading {
        station: "s".to_owned(),
        number: 2,
        kind: "bedding".to_owned(),
        north: crate::notebook::North::True,
        shots: shots.iter().map(|(s, d)| shot(s, d)).collect(),
        note: note.to_owned(),
        ..Reading::default()
    })
}

fn began() -> Ledger {
    let mut first = desk("KO", "aaaa", &Ledger::new());
    let station = Station {
        number: 45,
        name: "Slab top".to_owned(),
        ..Station::default()
    };
    first.write("s", None, Some(Body::Station(station)));
    first.write("r", None, Some(reading(&[("067", "37")], "")));
    first.ledger
}

/// Two tablets change the reading apart, and are joined.
fn apart(a: impl Fn(&mut Desk), b: impl Fn(&mut Desk)) -> Ledger {
    let base = began();
    let mut one = desk("KO", "bbbb", &base);
    let mut other = desk("MT", "cccc", &base);
    a(&mut one);
    b(&mut other);
    one.ledger.join(other.ledger.iter().cloned());
    one.ledger
}

fn settling_of(ledger: &Ledger, record: &str) -> Option<Settling> {
    let pages = Pages::of(ledger);
    let data = structure::data(&pages);
    settling(&pages, ledger, record, &data, Notation::StrikeDip, "bbbb")
}

/// The version of a person.
fn of<'s>(settling: &'s Settling, by: &str) -> &'s Version {
    let mut all = settling.versions.iter();
    all.find(|version| version.author.starts_with(by)).unwrap()
}

#[test]
fn two_dips_stand_side_by_side_and_the_strike_is_the_same() {
    let ledger = apart(
        |d| d.write("r", None, Some(reading(&[("067", "38")], ""))),
        |d| d.write("r", None, Some(reading(&[("067", "83")], ""))),
    );
    let settling = settling_of(&ledger, "r").unwrap();
    assert_eq!(settling.title, "45·2 bedding: two dips");
    assert_eq!(settling.place, "Slab top");
    assert_eq!(settling.versions[0].letter, 'A');
    assert_eq!(settling.versions[1].letter, 'B');
    let (ko, mt) = (of(&settling, "KO"), of(&settling, "MT"));
    assert_eq!(ko.author, "KO, this tablet");
    assert_eq!(mt.author, "MT, tablet cccc");
    assert_eq!(ko.plate, format!("{}: dip 38", ko.letter));
    assert_eq!(mt.plate, format!("{}: dip 83", mt.letter));
    let dials: Vec<(&str, &str, bool)> = ko
        .dials
        .iter()
        .map(|d| (d.name.as_str(), d.text.as_str(), d.differs))
        .collect();
    assert_eq!(
        dials,
        [
            ("strike", "067", false),
            ("dip", "38", true),
            ("side", "SE", false)
        ]
    );
    assert!(ko.rows.is_empty() && settling.drawn);
    // Inclination 1°, placement 1.5°, whole degrees: ±1.83° each; 45° over 2.58°.
    let first = &settling.versions[0].dials[1].text;
    let second = &settling.versions[1].dials[1].text;
    assert_eq!(
        settling.doubt,
        format!("{first} and {second} differ by 45°, 17 × their ±")
    );
    assert!(
        settling.odds.is_empty(),
        "nothing is around to weigh them by"
    );
    assert_eq!(settling_of(&ledger, "s"), None);
    assert_eq!(settling_of(&ledger, "nobody"), None);
}

#[test]
fn among_beds_that_dip_alike_the_exchanged_digits_are_named_with_their_odds() {
    let mut ledger = apart(
        |d| d.write("r", None, Some(reading(&[("067", "38")], ""))),
        |d| d.write("r", None, Some(reading(&[("067", "83")], ""))),
    );
    let mut more = desk("KO", "dddd", &ledger);
    for i in 0..10 {
        let dip = (35 + i % 6).to_string();
        let strike = format!("{:03}", 64 + i % 7);
        more.write(
            &format!("bed{i}"),
            None,
            Some(reading(&[(&strike, &dip)], "")),
        );
    }
    ledger.join(more.ledger.iter().cloned());
    let settling = settling_of(&ledger, "r").unwrap();
    let ko = of(&settling, "KO").letter;
    assert_eq!(settling.odds.len(), 2);
    assert!(settling.odds[0].odds.ends_with("in 100"));
    assert_eq!(
        settling.odds[0].words,
        format!("{ko} is right, and 83 is 38 with its digits exchanged")
    );
    assert!(
        settling.odds[1]
            .words
            .contains("off the others of its kind")
    );
    let remark = settling.remark.unwrap();
    assert!(
        remark.starts_with("The mean of the other 10 bedding readings lies"),
        "{remark}"
    );
}

#[test]
fn notes_stand_as_words_and_what_one_alone_changed_stays() {
    let ledger = apart(
        |d| {
            d.write(
                "r",
                None,
                Some(reading(&[("067", "38")], "top of the slab")),
            )
        },
        |d| {
            d.write(
                "r",
                None,
                Some(reading(&[("067", "37")], "foot of the slab")),
            )
        },
    );
    let settling = settling_of(&ledger, "r").unwrap();
    assert_eq!(settling.title, "45·2 bedding: two notes");
    assert_eq!(settling.doubt, "They disagree about note");
    let ko = of(&settling, "KO");
    assert_eq!(ko.plate, format!("{}: note top of the slab", ko.letter));
    let rows: Vec<(&str, Option<&str>, bool)> = ko
        .rows
        .iter()
        .map(|r| (r.name.as_str(), r.text.as_deref(), r.stays))
        .collect();
    assert_eq!(
        rows,
        [
            ("note", Some("top of the slab"), false),
            ("dip", Some("38"), true)
        ]
    );
    assert!(ko.dials.iter().all(|dial| !dial.differs));
}

#[test]
fn a_strike_out_stands_against_a_change() {
    let ledger = apart(
        |d| d.write("r", Some("a slumped block"), None),
        |d| d.write("r", None, Some(reading(&[("067", "83")], ""))),
    );
    let settling = settling_of(&ledger, "r").unwrap();
    assert_eq!(settling.title, "45·2 bedding: struck out, and changed");
    let (ko, mt) = (of(&settling, "KO"), of(&settling, "MT"));
    assert!(ko.struck && ko.remark.contains("a slumped block"));
    assert_eq!(ko.plate, format!("{}: struck out", ko.letter));
    assert_eq!(mt.plate, format!("{}: keep 067/83 SE", mt.letter));
}

#[test]
fn a_shot_that_only_some_have_is_one_row() {
    let ledger = apart(
        |d| {
            d.write(
                "r",
                None,
                Some(reading(&[("067", "37"), ("068", "39")], "")),
            )
        },
        |d| {
            d.write(
                "r",
                None,
                Some(reading(&[("067", "37"), ("070", "41"), ("066", "36")], "")),
            )
        },
    );
    let settling = settling_of(&ledger, "r").unwrap();
    let ko = of(&settling, "KO");
    assert_eq!(ko.dials[0].name, "shot 2, strike");
    assert_eq!(ko.rows[0].name, "shot 3");
    assert_eq!(ko.rows[0].text, None);
    assert_eq!(
        of(&settling, "MT").rows[0].text.as_deref(),
        Some("066/36 SE")
    );
}

#[test]
fn three_versions_have_three_letters_and_a_set_up_is_settled_like_a_reading() {
    let set_up = |declination: &str| {
        Some(Body::SetUp(SetUp {
            name: "Transit 1".to_owned(),
            declination: Some(declination.to_owned()),
            ..SetUp::default()
        }))
    };
    let mut base = desk("KO", "aaaa", &Ledger::new());
    base.write("u", None, set_up("-8"));
    let mut all = base.ledger.clone();
    for (by, device, declination) in [
        ("KO", "bbbb", "-9"),
        ("MT", "cccc", "9"),
        ("QV", "dddd", "-10"),
    ] {
        let mut tablet = desk(by, device, &base.ledger);
        tablet.write("u", None, set_up(declination));
        all.join(tablet.ledger.iter().cloned());
    }
    let settling = settling_of(&all, "u").unwrap();
    assert_eq!(settling.title, "Set-up Transit 1: three declinations");
    let letters: String = settling.versions.iter().map(|v| v.letter).collect();
    assert_eq!(letters, "ABC");
    assert!(
        settling
            .versions
            .iter()
            .any(|v| v.plate.ends_with("declination 9° E"))
    );
    assert!(!settling.drawn && settling.odds.is_empty());
    let pages = Pages::of(&all);
    assert_eq!(waiting::records(&pages), [RecordId::from("u")]);
    let (name, by) = waiting::in_short(&pages, &all, "u", "bbbb").unwrap();
    assert_eq!(name, "Set-up Transit 1: three declinations");
    assert!(by.contains("MT, tablet cccc"));
}

fn photo(sha256: &str, note: &str) -> Body {
    Body::Photo(Photo {
        station: "s".to_owned(),
        number: 3,
        sha256: sha256.to_owned(),
        note: note.to_owned(),
        ..Photo::default()
    })
}

#[test]
fn a_photo_is_named_by_its_number_and_shown_once() {
    let mut base = desk("KO", "aaaa", &began());
    base.counter = 9;
    base.write("p", None, Some(photo("one", "")));
    let joined = |a: Body, b: Option<Body>| {
        let mut one = desk("KO", "bbbb", &base.ledger);
        let mut other = desk("MT", "cccc", &base.ledger);
        one.write("p", None, Some(a));
        other.write("p", Some("blurred"), b);
        one.ledger.join(other.ledger.iter().cloned());
        one.ledger
    };
    let struck = joined(photo("one", "the hinge"), None);
    let settling = settling_of(&struck, "p").unwrap();
    assert_eq!(settling.title, "Photo 45·P3: struck out, and changed");
    assert_eq!(settling.place, "Slab top");
    let picture = settling.picture.unwrap();
    assert_eq!(
        (picture.sha256.as_str(), picture.words.as_str()),
        ("one", "Photo 45·P3")
    );
    assert!(settling.versions.iter().all(|v| v.picture.is_none()));
    let pages = Pages::of(&struck);
    let (name, _) = waiting::in_short(&pages, &struck, "p", "bbbb").unwrap();
    assert_eq!(name, "Photo 45·P3: struck out, and changed");
    // Where the versions name different pictures, each shows its own.
    let apart = joined(photo("two", ""), Some(photo("three", "")));
    let settling = settling_of(&apart, "p").unwrap();
    assert_eq!(settling.picture, None);
    let mut own: Vec<&str> = settling
        .versions
        .iter()
        .filter_map(|v| Some(v.picture.as_ref()?.sha256.as_str()))
        .collect();
    own.sort_unstable();
    assert_eq!(own, ["three", "two"]);
}

#[test]
fn a_record_of_two_kinds_is_called_by_both() {
    let ledger = apart(
        |d| d.write("x", None, Some(reading(&[("067", "38")], ""))),
        |d| d.write("x", None, Some(photo("one", "the hinge"))),
    );
    let settling = settling_of(&ledger, "x").unwrap();
    let (title, kinds) = settling.title.split_once(": ").unwrap();
    assert_eq!(kinds, "two kinds of record");
    assert!(
        title == "45·2 bedding or Photo 45·P3" || title == "Photo 45·P3 or 45·2 bedding",
        "{title}"
    );
    assert_eq!(settling.doubt, "The versions are of different kinds");
    let plate = |by| of(&settling, by).plate[3..].to_owned();
    assert_eq!(plate("KO"), "45·2 bedding");
    assert_eq!(plate("MT"), "Photo 45·P3");
    assert!(
        settling
            .versions
            .iter()
            .all(|v| v.rows.iter().all(|row| !row.stays))
    );
}

#[test]
fn the_slips_between_two_numbers_are_told() {
    let told = |right: &str, wrong: &str, scale| {
        let number = |text: &str| text.parse::<f64>().unwrap();
        slip_words(
            &(right.to_owned(), number(right), scale),
            &(wrong.to_owned(), number(wrong), scale),
        )
        .unwrap_or_default()
    };
    for (right, wrong, scale, words) in [
        (
            "38",
            "83",
            Scale::Inclination,
            "83 is 38 with its digits exchanged",
        ),
        (
            "30",
            "60",
            Scale::Inclination,
            "60 is 30 counted from the vertical",
        ),
        ("045", "225", Scale::Azimuth, "225 is the other end of 045"),
        (
            "045",
            "315",
            Scale::Azimuth,
            "315 is 045 with east and west exchanged",
        ),
        (
            "30",
            "150",
            Scale::Rake,
            "150 is 30 counted from the other end",
        ),
        (
            "35",
            "45",
            Scale::Inclination,
            "45 is 35 with its tens out by one",
        ),
        ("38", "38", Scale::Inclination, ""),
        ("38", "52.9", Scale::Inclination, ""),
    ] {
        assert_eq!(told(right, wrong, scale), words, "{right} {wrong}");
    }
}
