use super::*;
use crate::orientation::{Severity, Stood, Swing};

fn shot(strike: &str, dip: &str, side: &str) -> Shot {
    Shot {
        strike: Some(strike.to_owned()),
        dip: Some(dip.to_owned()),
        side: Some(side.to_owned()),
        ..Shot::default()
    }
}

fn bedding(shots: Vec<Shot>) -> Reading {
    Reading {
        kind: "bedding".to_owned(),
        north: North::True,
        shots,
        ..Reading::default()
    }
}

fn strike_and_dip(reading: &Reading) -> Option<(f64, f64)> {
    let plane = of(reading).plane?;
    Some((plane.strike().deg().round(), plane.dip().deg().round()))
}

fn open_kinds(reading: &Reading) -> Vec<DoubtKind> {
    let open = of(reading).open.into_iter();
    let doubts = open.filter(|found| found.doubt.severity == Severity::Doubt);
    doubts.map(|found| found.doubt.kind).collect()
}

#[test]
fn struck_shots_stay_out_of_the_mean() {
    let mut reading = bedding(vec![
        shot("062", "36", "SE"),
        shot("150", "80", "NE"),
        shot("064", "36", "SE"),
    ]);
    assert_ne!(strike_and_dip(&reading), Some((63.0, 36.0)));
    reading.shots[1].struck_out = true;
    let found = of(&reading);
    assert_eq!(strike_and_dip(&reading), Some((63.0, 36.0)));
    assert_eq!(found.standing, [0, 2]);
    assert_eq!(found.plane_mean.unwrap().shots.len(), 2);
    // The struck-out shot is still reduced, to be read.
    assert!(found.shots[1].plane.is_some());
    reading
        .shots
        .iter_mut()
        .for_each(|shot| shot.struck_out = true);
    assert_eq!(of(&reading).plane, None);
    assert_eq!(of(&bedding(Vec::new())).plane, None);
}

#[test]
fn a_choice_alters_the_value_and_not_the_dials() {
    let mut reading = bedding(vec![shot("045", "30", "NE")]);
    let found = of(&reading);
    assert_eq!(found.plane, None);
    let doubt = &found.open[0];
    assert_eq!(doubt.doubt.kind, DoubtKind::SideAlongStrike);
    let choice = doubt.doubt.choices[0].clone();
    reading
        .accepted
        .push(doubt.accept(Some(&choice), "K.O.", "2026-06-14T09:00:00Z"));
    let after = of(&reading);
    assert!(after.plane.is_some());
    assert!(
        after
            .open
            .iter()
            .all(|found| found.doubt.severity == Severity::Note)
    );
    assert_eq!(after.settled[0].found, *doubt);
    assert_eq!(reading.shots[0].side.as_deref(), Some("NE"));
    // Corrected afterwards: there is nothing left to answer, and the choice stands in for nothing.
    reading.shots[0].side = Some("NW".to_owned());
    reading.shots[0].strike = Some("047".to_owned());
    assert_eq!(strike_and_dip(&reading), Some((227.0, 30.0)));
    assert!(of(&reading).settled.is_empty());
}

#[test]
fn two_doubts_of_one_kind_are_settled_one_by_one() {
    let mut reading = bedding(vec![shot("361", "95", "SE")]);
    assert_eq!(open_kinds(&reading), [DoubtKind::OutOfRange; 2]);
    let found = of(&reading).open;
    let dip = found
        .iter()
        .find(|found| found.doubt.dial == Some(Dial::Dip))
        .unwrap();
    reading
        .accepted
        .push(dip.accept(dip.doubt.choices.first(), "K.O.", ""));
    let left: Vec<Option<Dial>> = of(&reading)
        .open
        .iter()
        .filter(|found| found.doubt.kind == DoubtKind::OutOfRange)
        .map(|found| found.doubt.dial)
        .collect();
    assert_eq!(left, [Some(Dial::Strike)]);
}

#[test]
fn keeping_as_read_settles_without_change() {
    let mut reading = bedding(vec![shot("062", "36", "SE"), shot("085", "36", "SE")]);
    assert_eq!(open_kinds(&reading), [DoubtKind::Scatter]);
    let before = of(&reading);
    let scatter = before.open.last().unwrap();
    reading.accepted.push(scatter.accept(None, "M.T.", ""));
    let after = of(&reading);
    assert_eq!(
        (after.plane, open_kinds(&reading)),
        (before.plane, Vec::new())
    );
    assert_eq!(after.settled.len(), 1);
    // A later shot that scatters more is doubted again.
    reading.shots.push(shot("120", "70", "SW"));
    assert_eq!(open_kinds(&reading), [DoubtKind::Scatter]);
}

#[test]
fn a_scattering_shot_has_the_number_of_its_place_on_the_page() {
    let mut reading = bedding(vec![
        shot("200", "10", "W"),
        shot("062", "36", "SE"),
        shot("063", "36", "SE"),
        shot("062", "35", "SE"),
        shot("090", "36", "S"),
    ]);
    reading.shots[0].struck_out = true;
    let found = of(&reading);
    let scatter = found
        .open
        .iter()
        .find(|f| f.doubt.kind == DoubtKind::Scatter)
        .unwrap();
    assert_eq!(scatter.shot, 4);
    assert!(
        scatter.doubt.message.starts_with("shot 5 "),
        "{}",
        scatter.doubt.message
    );
}

#[test]
fn magnetic_readings_become_true_where_the_declination_is_known() {
    let mut reading = bedding(vec![shot("062", "36", "SE")]);
    reading.north = North::Magnetic;
    assert_eq!(of(&reading).counts_from, CountsFrom::Magnetic);
    assert_eq!(strike_and_dip(&reading), Some((62.0, 36.0)));
    assert!(!of(&reading).counts_from.is_true());
    // True = read + declination, east positive (common practice).
    for (typed, strike) in [("-12", 50.0), ("12W", 50.0), ("3,0 E", 65.0), ("+3°", 65.0)] {
        reading.declination = Some(typed.to_owned());
        assert!(of(&reading).counts_from.is_true(), "{typed}");
        assert_eq!(strike_and_dip(&reading), Some((strike, 36.0)), "{typed}");
    }
    for typed in ["", "east", "NaN", "inf", "1e3", "W"] {
        assert_eq!(declination(typed), None, "{typed}");
    }
    for north in [North::True, North::Grid, North::Unknown] {
        reading.north = north;
        assert_eq!(strike_and_dip(&reading), Some((62.0, 36.0)));
        assert_eq!(of(&reading).counts_from.is_true(), north == North::True);
    }
}

#[test]
fn lines_and_angles_have_means_too() {
    let line = |trend: &str, plunge: &str| Shot {
        trend: Some(trend.to_owned()),
        plunge: Some(plunge.to_owned()),
        ..Shot::default()
    };
    let mut reading = bedding(vec![line("222", "13"), line("226", "13")]);
    reading.form = Form::Line;
    let mean = of(&reading).line.unwrap();
    assert_eq!(mean.trend().deg().round(), 224.0);
    let angle = |angle: &str| Shot {
        angle: Some(angle.to_owned()),
        ..Shot::default()
    };
    reading.form = Form::Angle;
    reading.shots = vec![angle("060"), angle("064")];
    assert_eq!(of(&reading).angle_deg, Some(62.0));
}

fn stood(swing: Swing, mut shot: Shot) -> Shot {
    shot.stood = Some(Stood {
        swing: Some(swing),
        ..Stood::default()
    });
    shot
}

#[test]
fn the_way_it_stood_gives_the_side() {
    let hinge = SetUp::default();
    let bare = Shot {
        side: None,
        ..shot("062", "36", "")
    };
    // A lid to the right of the hinge dips to its right: the right-hand rule; to the left the other end is the right-hand one.
    for (swing, strike) in [(Swing::Right, 62.0), (Swing::Left, 242.0)] {
        let reading = bedding(vec![stood(swing, bare.clone())]);
        let plane = of_in(&reading, Some(&hinge)).plane.unwrap();
        assert_eq!(plane.strike().deg().round(), strike, "{swing:?}");
        assert_eq!(reading.shots[0].strike.as_deref(), Some("062"));
    }
}

#[test]
fn what_is_settled_about_the_way_it_stood_is_not_turned_again() {
    let hinge = SetUp::default();
    let mut reading = bedding(vec![stood(Swing::Left, shot("062", "36", "SE"))]);
    let found = of_in(&reading, Some(&hinge));
    let doubt = found
        .open
        .iter()
        .find(|found| found.doubt.kind == DoubtKind::SwingAgainstSide)
        .unwrap();
    let choice = doubt.doubt.choices[0].clone();
    assert_eq!(choice.sets, [(Dial::Side, "NW".to_owned())]);
    reading
        .accepted
        .push(doubt.accept(Some(&choice), "K.O.", ""));
    let after = of_in(&reading, Some(&hinge));
    assert_eq!(after.plane.unwrap().strike().deg().round(), 242.0);
    assert!(
        after
            .open
            .iter()
            .all(|found| found.doubt.kind != DoubtKind::SwingAgainstSide)
    );
    assert_eq!(after.settled.len(), 1);
    // The other answer keeps the side that was noted.
    reading.accepted[0] = doubt.accept(Some(&doubt.doubt.choices[1].clone()), "K.O.", "");
    let after = of_in(&reading, Some(&hinge));
    assert_eq!(after.plane.unwrap().strike().deg().round(), 62.0);
    assert_eq!(after.settled.len(), 1);
}

#[test]
fn the_set_ups_own_noise_decides_what_scatters() {
    let reading = bedding(vec![shot("062", "36", "SE"), shot("075", "36", "SE")]);
    assert_eq!(open_kinds(&reading), Vec::new());
    let fine = SetUp {
        needle_sd: Some("0.5".to_owned()),
        inclination_sd: Some("0.5".to_owned()),
        placement_sd: Some("0.5".to_owned()),
        resolution: "0.5".to_owned(),
        ..SetUp::default()
    };
    let open = of_in(&reading, Some(&fine)).open;
    assert!(
        open.iter()
            .any(|found| found.doubt.kind == DoubtKind::Scatter)
    );
}

/// True = grid + convergence. The convergence of 60° N 12° E on the grid of zone 32 (central meridian 9° E) is
/// atan(tan 3° · sin 60°) on a sphere, 2.599°, a formula of the textbooks from memory; on the ellipsoid it differs by less
/// than 0.01°.
#[test]
fn grid_north_is_turned_where_the_station_has_a_place() {
    let mut reading = bedding(vec![shot("062", "36", "SE")]);
    reading.north = North::Grid;
    let place = Position {
        latitude: 60.0,
        longitude: 12.0,
        ..Position::default()
    };
    assert_eq!(of(&reading).counts_from, CountsFrom::Grid);
    // 12° E is the border: it belongs to zone 33, whose central meridian is 15° E, so the sign is the other one.
    let found = of_at(&reading, None, Some(&place));
    let CountsFrom::TurnedByConvergence(convergence) = found.counts_from else {
        panic!("{:?}", found.counts_from);
    };
    assert!(
        (convergence.deg() + 2.599).abs() < 0.01,
        "{}",
        convergence.deg()
    );
    assert!(found.counts_from.is_true());
    let strike = found.plane.unwrap().strike().deg();
    assert!((strike - (62.0 - 2.599)).abs() < 0.01, "{strike}");
    // A card that stood 2° wrong besides.
    reading.declination = Some("5".to_owned());
    reading.card_declination = Some("3".to_owned());
    let found = of_at(&reading, None, Some(&place));
    assert!(matches!(found.counts_from, CountsFrom::PutRight(deg) if (deg + 0.599).abs() < 0.01));
    // Where UTM does not go, and where nobody knows the place, it counts from the grid.
    let pole = Position {
        latitude: 89.0,
        ..place.clone()
    };
    assert_eq!(
        of_at(&reading, None, Some(&pole)).counts_from,
        CountsFrom::Grid
    );
    // Of what counts from true north nothing is turned.
    reading.north = North::True;
    reading.card_declination = None;
    assert_eq!(
        of_at(&reading, None, Some(&place)).counts_from,
        CountsFrom::True
    );
}

/// The 99.73 % point of chi-square with 14 degrees of freedom is 33.2 (table value between 31.3 at 99.5 % and 36.1 at 99.9 %, from
/// memory), so that eight shots may scatter by √(33.2/14) = 1.54 times what is expected.
#[test]
fn shots_that_scatter_together_are_doubted_though_none_stands_apart() {
    let ring = |dip_step: f64, strike_step: f64| {
        let shots = [(1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)].map(|(dip, strike)| {
            let text = |deg: f64, cells| crate::orientation::angle::padded(deg, cells);
            shot(
                &text(62.0 + strike * strike_step, 3),
                &text(60.0 + dip * dip_step, 2),
                "SE",
            )
        });
        bedding([shots.clone(), shots].concat())
    };
    let found = of(&ring(4.0, 4.0));
    let mean = found.plane_mean.as_ref().unwrap();
    let limit = crate::orientation::SCATTER_LIMIT * mean.expected_deg;
    assert!(mean.shots.iter().all(|shot| shot.distance_deg < limit));
    let ratio = mean.observed_deg.unwrap() / mean.expected_deg;
    assert!(1.54 < ratio, "{ratio}");
    let scatter: Vec<&Found> = found
        .open
        .iter()
        .filter(|found| found.doubt.kind == DoubtKind::Scatter)
        .collect();
    assert_eq!(scatter.len(), 1);
    assert!(
        scatter[0]
            .doubt
            .message
            .starts_with("the 8 shots scatter by "),
        "{scatter:?}"
    );
    let found = of(&ring(2.5, 2.5));
    let mean = found.plane_mean.unwrap();
    assert!(mean.observed_deg.unwrap() / mean.expected_deg < 1.54);
    assert!(mean.doubts.is_empty());
}

#[test]
fn a_book_knows_the_set_up_and_the_place() {
    use crate::notebook::{Act, Body, Entry, Ledger, Pages, RecordId, Stamp, Station};
    let mut ledger = Ledger::new();
    let place = Position {
        latitude: 60.0,
        longitude: 12.0,
        ..Position::default()
    };
    let station = Station {
        number: 1,
        position: Some(place.clone()),
        ..Station::default()
    };
    let set_up = SetUp {
        placement_sd: Some("3".to_owned()),
        resolution: "1".to_owned(),
        ..SetUp::default()
    };
    let bodies = [
        ("s", Body::Station(station)),
        ("u", Body::SetUp(set_up.clone())),
    ];
    for (record, body) in bodies {
        let record = RecordId::from(record);
        ledger.insert(Entry::new(
            record,
            [],
            Stamp::default(),
            Act::Write,
            None,
            Some(body),
        ));
    }
    let pages = Pages::of(&ledger);
    let mut reading = bedding(vec![shot("062", "36", "SE")]);
    reading.north = North::Grid;
    reading.station = "s".to_owned();
    reading.set_up = Some("u".to_owned());
    assert_eq!(
        in_book(&pages, &reading),
        of_at(&reading, Some(&set_up), Some(&place))
    );
    assert_ne!(in_book(&pages, &reading), of(&reading));
    // Without its set-up what the dials mean is not known, and nothing is shown for it.
    let unknown = in_book(&Pages::default(), &reading);
    assert_eq!((unknown.plane, unknown.shots.len()), (None, 1));
    assert!(unknown.is_doubted() && unknown.shots[0].plane.is_none());
    reading.set_up = None;
    assert_eq!(in_book(&Pages::default(), &reading), of(&reading));
}

/// A line at rake 32 in the plane 040/50 SE plunges asin(sin 50° sin 32°) = 24° towards 040 + atan(tan 32° cos 50°) = 062.
fn five(rake: &str) -> Reading {
    let mut reading = bedding(vec![Shot {
        trend: Some("062".to_owned()),
        plunge: Some("24".to_owned()),
        rake: Some(rake.to_owned()),
        ..shot("040", "50", "SE")
    }]);
    reading.form = Form::PlaneWithLine;
    reading
}

fn set_up_doubts(found: &Attitude) -> Vec<&Found> {
    let open = found.open.iter();
    open.filter(|found| found.doubt.kind == DoubtKind::SetUp)
        .collect()
}

#[test]
fn more_dials_than_needed_are_adjusted_for_the_mean() {
    let found = of(&five("033"));
    let adjusted = found.shots[0].adjusted.clone().unwrap();
    assert_eq!(
        (found.plane, found.line),
        (Some(adjusted.plane), Some(adjusted.line))
    );
    let (plane, line) = (found.plane.unwrap(), found.line.unwrap());
    assert!(plane.angle_to_line(&line).deg() < 1e-9);
    assert_eq!(set_up_doubts(&found), Vec::<&Found>::new());
    // Three dials leave nothing to adjust: plane and line are as read.
    let mut three = five("033");
    three.shots[0].trend = None;
    three.shots[0].plunge = None;
    let found = of(&three);
    assert_eq!(found.plane, found.shots[0].plane);
}

#[test]
fn an_explanation_that_is_accepted_stands_in_for_the_dials() {
    let mut reading = five("148");
    let found = of(&reading);
    // Doubted, plane and line are as read.
    assert_eq!(found.plane, found.shots[0].plane);
    assert!(found.shots[0].diagnosis.as_ref().is_some_and(|d| d.doubted));
    let [doubt] = set_up_doubts(&found)[..] else {
        panic!("{:?}", found.open);
    };
    let choice = doubt.doubt.choices[0].clone();
    assert_eq!(choice.sets, [(Dial::Rake, "032".to_owned())]);
    reading
        .accepted
        .push(doubt.accept(Some(&choice), "K.O.", ""));
    let after = of(&reading);
    assert!(set_up_doubts(&after).is_empty());
    assert_eq!(after.settled[0].found, *doubt);
    assert!(after.shots[0].adjusted.is_some());
    assert_eq!(reading.shots[0].rake.as_deref(), Some("148"));
    // Kept as read instead: the doubt is settled, and nothing is adjusted.
    reading.accepted[0] = doubt.accept(None, "K.O.", "");
    let kept = of(&reading);
    assert!(set_up_doubts(&kept).is_empty());
    assert_eq!((kept.plane, kept.settled.len()), (found.plane, 1));
}

/// Books from before a set-up was judged as a whole answered a doubt of its rake, or of its line off the plane.
#[test]
fn an_answer_to_a_part_answers_for_the_whole_set_up() {
    for doubt in [DoubtKind::RakeDisagrees, DoubtKind::OffPlane] {
        let mut reading = five("148");
        reading.accepted.push(Accepted {
            doubt,
            shot: 0,
            choice: "rake 032, counted from the other end".to_owned(),
            sets: vec![(Dial::Rake, "032".to_owned())],
            by: "K.O.".to_owned(),
            at: String::new(),
        });
        let found = of(&reading);
        assert!(set_up_doubts(&found).is_empty());
        assert_eq!(found.settled.len(), 1);
        assert_eq!(found.shots[0].rake_deg.map(f64::round), Some(32.0));
    }
}
