//! Reckoning by the records of a book: what is chosen is looked up, what is missing is said, and the demo book is whole.

use hingeline::exchange::book;
use hingeline::notebook::reckoning::{
    Answer, Asked, Lack, Leads, Sure, Value, What, fits, reckon, sighting_between,
};
use hingeline::notebook::structure::data;
use hingeline::notebook::{
    Act, Body, Entry, Form, Ledger, North, Pages, Position, Reading, Shot, Sighting, Stamp,
    Station, Tops,
};
use hingeline::orientation::section::{Measured, restored_line, thickness_m};
use hingeline::orientation::{Line, Noise, Plane};

use crate::{hand, near};

/// A book of these records.
fn book_of(records: &[(&str, Body)]) -> Pages {
    let mut ledger = Ledger::new();
    for (counter, (record, body)) in (1..).zip(records) {
        let stamp = Stamp {
            at: "2026-06-14T09:00:00Z".to_owned(),
            by: "QV".to_owned(),
            device: "d".to_owned(),
            counter,
        };
        ledger.insert(Entry::new(
            (*record).into(),
            Vec::new(),
            stamp,
            Act::Write,
            None,
            Some(body.clone()),
        ));
    }
    Pages::of(&ledger)
}

fn station(number: u32, latitude: f64, height_m: Option<f64>, accuracy_m: Option<f64>) -> Body {
    Body::Station(Station {
        number,
        position: Some(Position {
            latitude,
            longitude: 7.0,
            height_m,
            accuracy_m,
            source: "device".to_owned(),
            ..Position::default()
        }),
        ..Station::default()
    })
}

fn bed(number: u32, strike: &str, dip: &str, side: &str, tops: Tops) -> Body {
    Body::Reading(Reading {
        station: "a".to_owned(),
        number,
        kind: "bedding".to_owned(),
        north: North::True,
        tops,
        shots: vec![Shot {
            strike: Some(strike.to_owned()),
            dip: Some(dip.to_owned()),
            side: Some(side.to_owned()),
            ..Shot::default()
        }],
        ..Reading::default()
    })
}

fn current(number: u32, trend: &str, plunge: &str) -> Body {
    Body::Reading(Reading {
        station: "a".to_owned(),
        number,
        kind: "current direction".to_owned(),
        form: Form::Line,
        north: North::True,
        shots: vec![Shot {
            trend: Some(trend.to_owned()),
            plunge: Some(plunge.to_owned()),
            ..Shot::default()
        }],
        ..Reading::default()
    })
}

fn small() -> Vec<(&'static str, Body)> {
    vec![
        ("a", station(47, 45.0, Some(800.0), Some(5.0))),
        ("b", station(48, 45.001, Some(812.0), Some(5.0))),
        ("c", station(49, 45.002, None, Some(5.0))),
        ("d", station(50, 45.003, Some(812.0), None)),
        ("p", bed(1, "090", "30", "S", Tops::Upright)),
        ("q", bed(2, "092", "31", "S", Tops::Unknown)),
        ("o", bed(3, "090", "70", "N", Tops::Overturned)),
        ("l", current(4, "180", "10")),
    ]
}

fn ask(pages: &Pages, what: What, chosen: &[&[&str]]) -> Result<Answer, Vec<Lack>> {
    let asked = Asked {
        what,
        chosen: chosen
            .iter()
            .map(|slot| slot.iter().map(|r| (*r).to_owned()).collect())
            .collect(),
        ..Asked::default()
    };
    reckon(pages, &asked, &hand())
}

#[track_caller]
fn lacks(answer: Result<Answer, Vec<Lack>>, words: &str) -> Vec<Lack> {
    let lacks = answer.expect_err("something is missing");
    let all: Vec<&str> = lacks.iter().map(|l| l.words.as_str()).collect();
    assert!(all.iter().any(|l| l.contains(words)), "{words}: {all:?}");
    lacks
}

#[test]
fn what_was_used_leads_back_to_the_book() {
    let pages = book_of(&small());
    let answer = ask(&pages, What::Thickness, &[&["a"], &["b"], &["p", "q"]]).unwrap();
    let names: Vec<(&str, &Leads)> = answer
        .used
        .iter()
        .map(|u| (u.name.as_str(), &u.leads))
        .collect();
    assert_eq!(names[0], ("station 47", &Leads::Station(47)));
    assert_eq!(names[1], ("station 48", &Leads::Station(48)));
    assert_eq!(names[2], ("47·1", &Leads::Reading("p".to_owned())));
    assert_eq!(names[4].0, "mean of 2 from 47·1");
    // Due north by 0.001° of latitude, 111.13 m there (WGS 84, 45° N), 12 m up, across a bed that dips south by 30½°.
    let Value::Metres(m) = answer.worked.figures[0].value else {
        panic!("metres");
    };
    let mean = Plane::from_deg(91.0, 30.5).unwrap();
    let way = Line::from_vector(&nalgebra::Vector3::new(111.13, 0.0, -12.0)).unwrap();
    let exact = Measured {
        value: 111.13_f64.hypot(12.0),
        sd: 0.0,
    };
    near(
        m,
        thickness_m(&mean, &way, exact, &Noise::default()).value,
        0.1,
    );
    let Sure::Within(sd) = answer.worked.figures[0].sure else {
        panic!("{:?}", answer.worked.figures[0].sure);
    };
    assert!((3.0..12.0).contains(&sd), "{sd}");
    assert!(
        answer
            .worked
            .cautions
            .iter()
            .any(|c| c.contains("licensed engineer"))
    );
    assert!(answer.worked.method.contains("5.1.2"), "the source is said");
    assert_eq!(answer.worked.steps.len(), 4);
}

#[test]
fn what_is_missing_is_said_with_its_way_out() {
    let pages = book_of(&small());
    let found = lacks(
        ask(&pages, What::ThreePoints, &[&["a"], &["b"], &["c"]]),
        "station 49 has no height",
    );
    assert_eq!(found[0].station, Some(49));
    lacks(
        ask(&pages, What::ThreePoints, &[&["a"], &[], &[]]),
        "second: choose a station",
    );
    lacks(
        ask(&pages, What::ThreePoints, &[&["a"], &["b"], &["b"]]),
        "the same station",
    );
    lacks(
        ask(&pages, What::ThreePoints, &[&["a"], &["b"], &["d"]]),
        "in one line",
    );
    lacks(
        ask(&pages, What::Thickness, &[&["a"], &["a"], &["p"]]),
        "the same station",
    );
    lacks(
        ask(&pages, What::ApparentDip, &[&[], &["p"]]),
        "type its azimuth",
    );
    lacks(ask(&pages, What::Level, &[&["l"], &["p", "o"]]), "one limb");
    lacks(ask(&pages, What::TrueDip, &[&["p"], &["l"]]), "is no line");
    lacks(
        ask(&pages, What::Intersection, &[&["p"], &["p"]]),
        "parallel",
    );
    let typed = |section: &str| {
        let asked = Asked {
            section: section.to_owned(),
            chosen: vec![vec![], vec!["p".to_owned()]],
            ..Asked::default()
        };
        reckon(&pages, &asked, &hand())
    };
    lacks(typed("400"), "over 360");
    assert!(typed("180").is_ok());
    // Without an accuracy there is a figure, and no ± is made up; typed, it is there.
    let answer = ask(&pages, What::Thickness, &[&["a"], &["d"], &["p"]]).unwrap();
    assert!(
        matches!(&answer.worked.figures[0].sure, Sure::Untold(why) if why.contains("station 50"))
    );
    let asked = Asked {
        what: What::Thickness,
        chosen: [["a"], ["d"], ["p"]]
            .map(|s| s.map(str::to_owned).to_vec())
            .to_vec(),
        places_m: "4".to_owned(),
        heights_m: "2".to_owned(),
        ..Asked::default()
    };
    let answer = reckon(&pages, &asked, &hand()).unwrap();
    assert!(matches!(answer.worked.figures[0].sure, Sure::Within(_)));
    let wrong = Asked {
        heights_m: "0".to_owned(),
        ..asked
    };
    lacks(reckon(&pages, &wrong, &hand()), "heights `0`");
}

#[test]
fn a_sighting_gives_the_way_and_the_height_that_a_station_lacks() {
    let mut records = small();
    records.push((
        "s",
        Body::Sighting(Sighting {
            station: "c".to_owned(),
            number: 1,
            to: Some("a".to_owned()),
            bearing: Some("180".to_owned()),
            vertical: Some("10".to_owned()),
            slope_m: Some("200".to_owned()),
            distance_sd_m: Some("2".to_owned()),
            north: North::True,
            ..Sighting::default()
        }),
    ));
    let pages = book_of(&records);
    assert_eq!(
        sighting_between(&pages, "a", "c").unwrap().1,
        "sighting 49·1"
    );
    assert_eq!(sighting_between(&pages, "a", "b"), None);
    // Sighted back: from 47 to 49 it goes due north and 10° up; a bed that rises that way by 30° is crossed at 20°.
    let answer = ask(&pages, What::Thickness, &[&["a"], &["c"], &["p"]]).unwrap();
    let Value::Metres(m) = answer.worked.figures[0].value else {
        panic!("metres");
    };
    near(m, 200.0 * 0.342_020_14, 1e-3);
    let by_positions = Asked {
        what: What::Thickness,
        chosen: [["a"], ["c"], ["p"]]
            .map(|s| s.map(str::to_owned).to_vec())
            .to_vec(),
        by_positions: true,
        ..Asked::default()
    };
    lacks(
        reckon(&pages, &by_positions, &hand()),
        "station 49 has no height",
    );
    // A section may run along it, too.
    let answer = ask(&pages, What::ApparentDip, &[&["s"], &["p"]]).unwrap();
    let Value::Degrees(dip) = answer.worked.figures[0].value else {
        panic!("degrees");
    };
    near(dip, 30.0, 1e-9);
}

#[test]
fn an_overturned_bed_is_turned_on_over_the_vertical() {
    let pages = book_of(&small());
    let answer = ask(&pages, What::Level, &[&["l"], &["o"]]).unwrap();
    let Value::Line(got) = answer.worked.figures[0].value else {
        panic!("a line");
    };
    let (line, bed) = (
        Line::from_deg(180.0, 10.0).unwrap(),
        Plane::from_deg(270.0, 70.0).unwrap(),
    );
    assert!(got.directed_angle(&restored_line(&line, &bed, true)).deg() < 1e-9);
    assert!(answer.used[1].value.contains("overturned"));
    assert!(
        !answer
            .worked
            .cautions
            .iter()
            .any(|c| c.contains("not noted"))
    );
    let answer = ask(&pages, What::Level, &[&["l"], &["q"]]).unwrap();
    assert!(
        answer
            .worked
            .cautions
            .iter()
            .any(|c| c.contains("not noted"))
    );
}

#[test]
fn a_current_points_as_it_did_and_a_lineation_is_told_downwards() {
    let mut all = small();
    let Body::Reading(read) = current(5, "180", "10") else {
        panic!("a reading");
    };
    let kind = "intersection lineation".to_owned();
    all.push(("k", Body::Reading(Reading { kind, ..read })));
    let pages = book_of(&all);
    // The bed dips 30° to the south: laid level it lifts what plunged 10° that way to 20° above it.
    for (record, trend, plunge) in [("l", 180.0, -20.0), ("k", 0.0, 20.0)] {
        let answer = ask(&pages, What::Level, &[&[record], &["p"]]).unwrap();
        let Value::Line(got) = answer.worked.figures[0].value else {
            panic!("a line");
        };
        let want = Line::from_deg(trend, plunge).unwrap();
        assert!(
            got.directed_angle(&want).deg() < 1e-9,
            "{record}: {got:?}, not {want:?}"
        );
    }
}

#[test]
fn everything_can_be_reckoned_from_the_demo_book() {
    let text =
        std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/public/demo.json")).unwrap();
    let mut ledger = Ledger::new();
    for entry in book::read(&text).unwrap().entries {
        ledger.insert(entry);
    }
    let pages = Pages::of(&ledger);
    let all = data(&pages);
    let record = |name: &str| all.iter().find(|d| d.name == name).unwrap().record.clone();
    let station = |number: u32| {
        let page = pages
            .stations()
            .iter()
            .find(|p| p.line().number() == number);
        page.unwrap().line().record().as_str().to_owned()
    };
    let (beds, other) = (["1·1", "1·2"].map(&record).to_vec(), vec![record("8·1")]);
    let lines = ["1·6", "8·6"].map(&record);
    let (one, two) = (vec![lines[0].clone()], vec![lines[1].clone()]);
    let places = [1, 2, 5].map(|n| vec![station(n)]);
    for what in What::ALL {
        let chosen = match what {
            What::ApparentDip => vec![one.clone(), beds.clone()],
            What::TrueDip | What::PlaneOfLines => vec![one.clone(), vec![record("4·7")]],
            What::ThreePoints => places.to_vec(),
            What::Thickness | What::Depth => {
                vec![places[0].clone(), places[1].clone(), beds.clone()]
            }
            What::Intersection => vec![beds.clone(), other.clone()],
            What::Angle => vec![one.clone(), other.clone()],
            What::Level => vec![lines.to_vec(), beds.clone()],
            What::TwoTilts => vec![two.clone(), beds.clone(), other.clone()],
        };
        for (slot, records) in what.slots().iter().zip(&chosen) {
            for r in records {
                let datum = all.iter().find(|d| d.record == *r);
                assert!(
                    datum.is_none_or(|d| fits(slot.takes, d)),
                    "{what:?} {}",
                    slot.name
                );
            }
        }
        let asked = Asked {
            what,
            chosen,
            ..Asked::default()
        };
        let answer = reckon(&pages, &asked, &hand()).unwrap_or_else(|l| panic!("{what:?}: {l:?}"));
        assert!(
            !answer.used.is_empty() && !answer.worked.steps.is_empty(),
            "{what:?}"
        );
        for figure in &answer.worked.figures {
            assert!(!matches!(figure.sure, Sure::Untold(_)), "{what:?}");
        }
    }
}
