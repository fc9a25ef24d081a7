use super::*;
use crate::notebook::{Accepted, Act, Body, Entry, KEEP, Ledger, North, Shot, Stamp, Station};
use crate::orientation::angle::padded;

fn plane(kind: &str, plane: &Plane) -> Reading {
    Reading {
        kind: kind.to_owned(),
        form: Form::Plane,
        right_hand: true,
        north: North::True,
        shots: vec![Shot {
            strike: Some(padded(plane.strike().deg().round() % 360.0, 3)),
            dip: Some(padded(plane.dip().deg().round(), 2)),
            ..Shot::default()
        }],
        ..Reading::default()
    }
}

fn hinge(line: &Axis) -> Reading {
    Reading {
        kind: "fold hinge".to_owned(),
        form: Form::Line,
        north: North::True,
        shots: vec![Shot {
            trend: Some(padded(line.trend().deg().round() % 360.0, 3)),
            plunge: Some(padded(line.plunge().deg().round(), 2)),
            ..Shot::default()
        }],
        ..Reading::default()
    }
}

fn angle(kind: &str, deg: f64) -> Reading {
    Reading {
        kind: kind.to_owned(),
        form: Form::Angle,
        north: North::True,
        shots: vec![Shot {
            angle: Some(padded(deg.round(), 3)),
            ..Shot::default()
        }],
        ..Reading::default()
    }
}

/// Station 47 with the readings in order: 47·1, 47·2 and on, their records `r1`, `r2`.
fn pages(readings: &[Reading]) -> Pages {
    let mut ledger = Ledger::new();
    let station = Station {
        number: 47,
        at: "2026-06-14T09:00:00Z".to_owned(),
        ..Station::default()
    };
    let readings = (1..).zip(readings).map(|(number, reading)| {
        let reading = Reading {
            station: "s".to_owned(),
            number,
            ..reading.clone()
        };
        (format!("r{number}"), Body::Reading(reading))
    });
    let bodies = std::iter::once(("s".to_owned(), Body::Station(station))).chain(readings);
    for (counter, (record, body)) in (1..).zip(bodies) {
        let stamp = Stamp {
            device: "a".to_owned(),
            counter,
            ..Stamp::default()
        };
        let record = RecordId::from(record);
        ledger.insert(Entry::new(record, [], stamp, Act::Write, None, Some(body)));
    }
    Pages::of(&ledger)
}

fn numbers(members: &[Member]) -> Vec<&str> {
    members
        .iter()
        .map(|member| member.number.as_str())
        .collect()
}

#[track_caller]
fn messages(readings: &[Reading]) -> Vec<String> {
    let companies = at_station(&pages(readings), "s");
    let doubts = companies.into_iter().flat_map(|company| company.doubts);
    doubts.map(|apart| apart.doubt.message).collect()
}

/// A fold by construction: both limbs and the axial plane are laid through the hinge, each by one more line.
struct Fold {
    hinge: Axis,
    limbs: [Plane; 2],
    axial_plane: Plane,
}

fn fold() -> Fold {
    let hinge = Axis::from_deg(222.0, 14.0).unwrap();
    let through = |trend: f64, plunge: f64| {
        Plane::through(&hinge, &Axis::from_deg(trend, plunge).unwrap()).unwrap()
    };
    Fold {
        hinge,
        limbs: [through(310.0, 40.0), through(140.0, 65.0)],
        axial_plane: through(20.0, 80.0),
    }
}

#[test]
fn a_fold_that_holds_together_raises_no_doubt() {
    let fold = fold();
    let between = fold.limbs[0].angle(&fold.limbs[1]).deg();
    for read in [between, 180.0 - between] {
        let readings = [
            plane("bedding", &fold.limbs[0]),
            plane("bedding", &fold.limbs[1]),
            angle("two limbs", read),
            hinge(&fold.hinge),
            plane("axial plane", &fold.axial_plane),
        ];
        let companies = at_station(&pages(&readings), "s");
        assert_eq!(companies.len(), 1);
        let company = &companies[0];
        assert_eq!(company.gathering, Gathering::Fold);
        assert_eq!(
            numbers(&company.members),
            ["47·1", "47·2", "47·3", "47·4", "47·5"]
        );
        assert_eq!(company.doubts, []);
    }
}

#[test]
fn a_hinge_off_a_limb_and_an_angle_off_its_planes_are_doubted_with_the_numbers() {
    let fold = fold();
    let between = fold.limbs[0].angle(&fold.limbs[1]).deg();
    let other_end = Axis::new(fold.hinge.trend().opposite(), fold.hinge.plunge());
    let mut readings = vec![
        plane("bedding", &fold.limbs[0]),
        plane("bedding", &fold.limbs[1]),
        angle("two limbs", between.min(180.0 - between) / 2.0),
        hinge(&other_end),
    ];
    let companies = at_station(&pages(&readings), "s");
    let doubts = &companies[0].doubts;
    assert_eq!(doubts.len(), 3, "{doubts:?}");
    let angle_doubt = &doubts[0];
    assert_eq!(angle_doubt.doubt.kind, DoubtKind::Company);
    assert_eq!(angle_doubt.member.number, "47·3");
    assert_eq!(numbers(&angle_doubt.against), ["47·1", "47·2"]);
    for part in ["limbs 47·1 and 47·2", "is allowed"] {
        assert!(
            angle_doubt.doubt.message.contains(part),
            "{}",
            angle_doubt.doubt.message
        );
    }
    // By how much the hinge is off comes from the planes themselves.
    for (apart, limb) in doubts[1..].iter().zip(&fold.limbs) {
        let off = limb.angle_to_line(&other_end).deg();
        let message = &apart.doubt.message;
        assert!(message.starts_with("the hinge 14→042 lies "), "{message}");
        let said: f64 = message["the hinge 14→042 lies ".len()..]
            .split('°')
            .next()
            .unwrap()
            .parse()
            .unwrap();
        // The dials are whole degrees.
        assert!((said - off).abs() < 1.0, "{message}: {off}");
    }
    // Kept as read, it is asked about no more.
    for reading in &mut readings {
        reading.accepted.push(Accepted {
            doubt: DoubtKind::Company,
            shot: 0,
            choice: KEEP.to_owned(),
            sets: Vec::new(),
            by: "K.O.".to_owned(),
            at: String::new(),
        });
    }
    assert_eq!(messages(&readings), Vec::<String>::new());
}

#[test]
fn an_angle_stands_with_the_planes_it_names_or_the_last_two_before_it() {
    let strike = |deg: f64| Plane::from_deg(deg, 90.0).unwrap();
    let mut readings = vec![
        plane("joint", &strike(0.0)),
        plane("bedding", &strike(10.0)),
        plane("joint", &strike(60.0)),
        plane("fault", &strike(100.0)),
        plane("axial plane", &strike(20.0)),
        angle("two fractures", 40.0),
    ];
    let members = |readings: &[Reading]| {
        let companies = at_station(&pages(readings), "s");
        let company = companies
            .iter()
            .find(|c| c.gathering == Gathering::Fractures);
        let members = company
            .map(|company| company.members.clone())
            .unwrap_or_default();
        members.into_iter().map(|m| m.number).collect::<Vec<_>>()
    };
    assert_eq!(members(&readings), ["47·3", "47·4", "47·6"]);
    assert_eq!(messages(&readings), Vec::<String>::new());
    readings[5].planes = vec!["r1".to_owned(), "r3".to_owned()];
    assert_eq!(members(&readings), ["47·1", "47·3", "47·6"]);
    assert!(
        messages(&readings)[0].contains("fractures 47·1 and 47·3, which stand 60° or 120° apart")
    );
    // A plane that is not there leaves nothing to compare.
    readings[5].planes = vec!["r1".to_owned(), "elsewhere".to_owned()];
    assert_eq!(messages(&readings), Vec::<String>::new());
    // Read first, it has no planes before it.
    readings[5].planes = Vec::new();
    readings.rotate_right(1);
    assert_eq!(members(&readings), Vec::<String>::new());
}

#[test]
fn an_open_reading_is_held_against_the_kept_ones() {
    let fold = fold();
    let kept = pages(&[
        plane("bedding", &fold.limbs[0]),
        plane("bedding", &fold.limbs[1]),
        hinge(&fold.hinge),
    ]);
    let other_end = Axis::new(fold.hinge.trend().opposite(), fold.hinge.plunge());
    let mut open = hinge(&other_end);
    open.station = "s".to_owned();
    open.number = 4;
    assert_eq!(doubts_of(&kept, &open, None).len(), 2);
    // As a correction of the one that is kept.
    assert_eq!(doubts_of(&kept, &open, Some("r3")).len(), 2);
    let mut right = hinge(&fold.hinge);
    right.station = "s".to_owned();
    assert_eq!(doubts_of(&kept, &right, None), []);
    // While it is not complete there is nothing to compare.
    open.shots[0].plunge = None;
    assert_eq!(doubts_of(&kept, &open, None), []);
    open.station = "elsewhere".to_owned();
    assert_eq!(doubts_of(&kept, &open, None), []);
}

#[test]
fn members_that_count_from_different_norths_are_not_compared() {
    let fold = fold();
    let other_end = Axis::new(fold.hinge.trend().opposite(), fold.hinge.plunge());
    let mut magnetic = hinge(&other_end);
    magnetic.north = North::Magnetic;
    let readings = [
        plane("bedding", &fold.limbs[0]),
        plane("bedding", &fold.limbs[1]),
        magnetic,
    ];
    assert_eq!(messages(&readings), Vec::<String>::new());
}
