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
fn a_hinge_read_at_the_other_end_is_named_with_the_numbers_and_mended() {
    let fold = fold();
    let between = fold.limbs[0].angle(&fold.limbs[1]).deg();
    let other_end = Axis::new(fold.hinge.trend().opposite(), fold.hinge.plunge());
    let mut readings = vec![
        plane("bedding", &fold.limbs[0]),
        plane("bedding", &fold.limbs[1]),
        angle("two limbs", between),
        hinge(&other_end),
    ];
    let companies = at_station(&pages(&readings), "s");
    let [apart] = companies[0].doubts.as_slice() else {
        panic!("{:?}", companies[0].doubts);
    };
    assert_eq!(apart.doubt.kind, DoubtKind::Company);
    assert_eq!(
        (apart.member.number.as_str(), apart.member.part),
        ("47·4", Part::Hinge)
    );
    assert_eq!(numbers(&apart.against), ["47·1", "47·2", "47·3"]);
    let message = &apart.doubt.message;
    // By how much the hinge is off comes from the planes themselves; the dials are whole degrees.
    for (limb, number) in fold.limbs.iter().zip(["47·1", "47·2"]) {
        let off = limb.angle_to_line(&other_end).deg();
        let from = message.find("the hinge 14→042 lies ").unwrap();
        let part = &message[..message[from..].find(number).unwrap() + from];
        let said: f64 = part
            .rsplit("lies ")
            .next()
            .unwrap()
            .split('°')
            .next()
            .unwrap()
            .parse()
            .unwrap();
        assert!((said - off).abs() < 1.0, "{message}: {off}");
    }
    let first = &apart.explanations[0];
    assert_eq!(first.sets, [(Dial::Trend, "222".to_owned())]);
    assert_eq!(
        first.words,
        "the trend of the hinge 47·4 was read at the other end: 042 instead of 222"
    );
    assert_eq!(apart.doubt.choices[0].sets, first.sets);
    // Taken, it stands in for the dial, and the fold holds together.
    let answer = |sets: Vec<(Dial, String)>, at: &str| Accepted {
        doubt: DoubtKind::Company,
        shot: 0,
        choice: first.words.clone(),
        sets,
        by: "K.O.".to_owned(),
        at: at.to_owned(),
    };
    readings[3].shots[0].at = "2026-06-14T09:00:00+01:00".to_owned();
    readings[3].accepted = vec![answer(first.sets.clone(), "2026-06-14T08:30:00Z")];
    assert_eq!(messages(&readings), Vec::<String>::new());
    let found = attitude::of(&readings[3]);
    assert_eq!(found.line.unwrap().trend().deg().round(), 222.0);
    assert_eq!(found.settled.len(), 1);
    assert_eq!(readings[3].shots[0].trend.as_deref(), Some("042"));
    // Read again since, the dial speaks for itself.
    readings[3].shots[0].at = "2026-06-14T09:45:00+01:00".to_owned();
    assert_eq!(
        attitude::of(&readings[3])
            .line
            .unwrap()
            .trend()
            .deg()
            .round(),
        42.0
    );
    assert_eq!(messages(&readings).len(), 1);
    // Kept as read, it is asked about no more.
    readings[3].accepted = vec![answer(Vec::new(), "")];
    readings[3].accepted[0].choice = KEEP.to_owned();
    assert_eq!(messages(&readings), Vec::<String>::new());
}

#[test]
fn an_angle_that_is_not_the_one_between_its_planes_is_doubted_with_the_numbers() {
    let fold = fold();
    let between = fold.limbs[0].angle(&fold.limbs[1]).deg();
    let readings = [
        plane("bedding", &fold.limbs[0]),
        plane("bedding", &fold.limbs[1]),
        angle("two limbs", between.min(180.0 - between) / 2.0),
        hinge(&fold.hinge),
    ];
    let companies = at_station(&pages(&readings), "s");
    let [apart] = companies[0].doubts.as_slice() else {
        panic!("{:?}", companies[0].doubts);
    };
    assert_eq!(apart.member.number, "47·3");
    for part in [
        "limbs 47·1 and 47·2",
        "is allowed",
        "likeliest: the angle between the limbs 47·3",
    ] {
        assert!(
            apart.doubt.message.contains(part),
            "{}",
            apart.doubt.message
        );
    }
    assert!(companies[0].adjusted[0].doubted);
}

/// A card at zero: what is set is what would have stood on it, not the bearing turned to true north.
#[test]
fn what_mends_a_magnetic_reading_is_written_as_it_would_have_stood() {
    let fold = fold();
    let turned = |line: &Axis, by_deg: f64| {
        Axis::from_deg((line.trend().deg() + by_deg) % 360.0, line.plunge().deg()).unwrap()
    };
    let other_end = Axis::new(fold.hinge.trend().opposite(), fold.hinge.plunge());
    let mut magnetic = hinge(&turned(&other_end, 8.0));
    magnetic.north = North::Magnetic;
    magnetic.declination = Some("8W".to_owned());
    let readings = [
        plane("bedding", &fold.limbs[0]),
        plane("bedding", &fold.limbs[1]),
        magnetic,
    ];
    let companies = at_station(&pages(&readings), "s");
    let first = &companies[0].doubts[0].explanations[0];
    assert_eq!(first.sets, [(Dial::Trend, "230".to_owned())], "{first:?}");
}

#[test]
fn a_limb_that_dips_the_other_way_sets_its_side_too() {
    let fold = fold();
    let other = fold.limbs[0].other_side();
    let mut limb = plane("bedding", &other);
    limb.right_hand = false;
    limb.shots[0].side = Some(wind(other.dip_direction().deg(), Winds::Eight).to_owned());
    let readings = [
        limb,
        plane("bedding", &fold.limbs[1]),
        hinge(&fold.hinge),
        plane("axial plane", &fold.axial_plane),
    ];
    let companies = at_station(&pages(&readings), "s");
    let apart = &companies[0].doubts[0];
    assert_eq!(apart.member.number, "47·1");
    let sets = &apart.explanations[0].sets;
    let side = wind(fold.limbs[0].dip_direction().deg(), Winds::Eight);
    assert!(sets.contains(&(Dial::Side, side.to_owned())), "{sets:?}");
    assert!(apart.explanations[0].words.starts_with("limb 47·1 dips "));
    // Two shots have no one number to set.
    let mut twice = readings.to_vec();
    let shot = twice[0].shots[0].clone();
    twice[0].shots.push(shot);
    let companies = at_station(&pages(&twice), "s");
    assert!(companies[0].doubts[0].explanations[0].sets.is_empty());
    assert!(companies[0].doubts[0].doubt.choices.is_empty());
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
    assert_eq!(doubts_of(&kept, &open, None).len(), 1);
    assert_eq!(doubts_of(&kept, &open, None)[0].doubt.choices.len(), 1);
    // A limb that is open beside a hinge that is kept wrong: the doubt is there, its choices are the hinge's.
    let crossed = pages(&[plane("bedding", &fold.limbs[0]), hinge(&other_end)]);
    let mut limb = plane("bedding", &fold.limbs[1]);
    limb.station = "s".to_owned();
    limb.number = 3;
    let beside = doubts_of(&crossed, &limb, None);
    assert_eq!((beside.len(), beside[0].doubt.choices.len()), (1, 0));
    assert_eq!(beside[0].member.number, "47·2");
    // As a correction of the one that is kept.
    assert_eq!(doubts_of(&kept, &open, Some("r3")).len(), 1);
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
