//! Winds, sides, and the strike against the direction of dip.

use hingeline::orientation::pair::settle;
use hingeline::orientation::{
    Azimuth, Bound, Dial, Dials, Dip, DoubtKind, Noise, Pair, Severity, Toward, Wind, Winds,
    beyond, sides, wind,
};
use proptest::prelude::*;

use super::check_deg;

#[track_caller]
fn pair(strike: f64, dip: f64, side: &str) -> Pair {
    settle(
        Azimuth::from_deg(strike).expect("in range"),
        Dip::from_deg(dip).expect("in range"),
        Toward::read(side),
        &Noise::default(),
    )
}

/// The compass rose of sixteen winds, from common practice.
#[test]
fn the_rose() {
    let names = [
        "N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE", "S", "SSW", "SW", "WSW", "W", "WNW",
        "NW", "NNW",
    ];
    let mut azimuth = 0.0;
    for (i, name) in names.into_iter().enumerate() {
        assert_eq!(wind(azimuth, Winds::Sixteen), name);
        assert_eq!(wind(azimuth - 360.0 + 11.24, Winds::Sixteen), name);
        assert_eq!(wind(azimuth - 11.25, Winds::Sixteen), name);
        let read = Wind::read(&name.to_lowercase()).expect("a wind");
        check_deg(read.azimuth_deg(), azimuth);
        if i % 2 == 0 {
            assert_eq!(wind(azimuth + 22.4, Winds::Eight), name);
            assert_eq!(wind(azimuth - 22.4, Winds::Eight), name);
        }
        if i % 4 == 0 {
            assert_eq!(wind(azimuth + 44.9, Winds::Four), name);
            assert_eq!(wind(azimuth - 44.9, Winds::Four), name);
        }
        azimuth += 22.5;
    }
    assert_eq!(wind(f64::NAN, Winds::Eight), "N");
    assert_eq!(wind(f64::INFINITY, Winds::Sixteen), "N");
    assert!(Wind::read("").is_none() && Wind::read("EN").is_none() && Wind::read("Ñ").is_none());
    assert_eq!(
        Wind::read("sse").expect("a wind").words(),
        "south-south-east"
    );
}

#[track_caller]
fn check_sides(strike: f64, first: (&str, f64), second: (&str, f64)) {
    let [a, b] = sides(strike);
    assert_eq!((a.wind, a.toward_deg), first, "strike {strike}");
    assert_eq!((b.wind, b.toward_deg), second, "strike {strike}");
}

#[test]
fn the_westerly_or_northerly_side_comes_first() {
    check_sides(62.0, ("NW", 332.0), ("SE", 152.0));
    check_sides(242.0, ("NW", 332.0), ("SE", 152.0));
    check_sides(132.0, ("SW", 222.0), ("NE", 42.0));
    check_sides(90.0, ("N", 0.0), ("S", 180.0));
    check_sides(270.0, ("N", 0.0), ("S", 180.0));
    check_sides(91.0, ("N", 1.0), ("S", 181.0));
    check_sides(0.0, ("W", 270.0), ("E", 90.0));
    check_sides(180.0, ("W", 270.0), ("E", 90.0));
}

proptest! {
    #[test]
    fn sides_are_opposite_and_square_to_the_strike(strike in Bound::AZIMUTH.range_deg()) {
        let [a, b] = sides(strike);
        let apart = |x: f64, y: f64| {
            let d = (x - y).rem_euclid(360.0);
            d.min(360.0 - d)
        };
        prop_assert!((apart(a.toward_deg, b.toward_deg) - 180.0).abs() < 1e-9);
        prop_assert!((apart(a.toward_deg, strike) - 90.0).abs() < 1e-9);
        prop_assert!(a.wind.contains('W') || a.wind == "N", "{} for {}", a.wind, strike);
        prop_assert!(b.wind.contains('E') || b.wind == "S", "{} for {}", b.wind, strike);
    }

    /// By vectors: the side is to the right when strike × side points down, along when it is nearer the strike than a wind tells.
    #[test]
    fn a_side_is_right_left_or_along(strike in 0_u32..360, dip in 1_u32..90, index in 0_usize..16) {
        let names = [
            "N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE", "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW",
        ];
        let side = Wind::read(names[index]).expect("a wind");
        let vector = |deg: f64| {
            let (s, c) = hingeline::orientation::angle::radians(deg).sin_cos();
            (c, s)
        };
        let ((sn, se), (wn, we)) = (vector(f64::from(strike)), vector(side.azimuth_deg()));
        let (cross, dot) = (sn * we - se * wn, sn * wn + se * we);
        let half_sector: f64 = match names[index].len() { 1 => 45.0, 2 => 22.5, _ => 11.25 };
        let edge = hingeline::orientation::angle::radians(half_sector).cos();
        prop_assume!((dot.abs() - edge).abs() > 1e-9);
        let got = pair(f64::from(strike), f64::from(dip), names[index]);
        if dot.abs() > edge {
            prop_assert!(got.plane.is_none());
            prop_assert_eq!(got.candidates.len(), 2);
            prop_assert_eq!(got.doubts[0].kind, DoubtKind::SideAlongStrike);
            // Each choice leads to its candidate.
            for (choice, candidate) in got.doubts[0].choices.iter().zip(&got.candidates) {
                let (dial, letters) = &choice.sets[0];
                prop_assert_eq!(*dial, Dial::Side);
                let settled = pair(f64::from(strike), f64::from(dip), letters);
                prop_assert_eq!(settled.plane, Some(*candidate));
            }
        } else {
            let plane = got.plane.expect("one side");
            let right = cross > 0.0;
            let end = if right { f64::from(strike) } else { (f64::from(strike) + 180.0) % 360.0 };
            prop_assert_eq!(plane.strike().deg(), end);
            prop_assert_eq!(got.doubts.iter().any(|d| d.kind == DoubtKind::OtherEnd), !right);
            prop_assert!(got.doubts.iter().all(|d| d.severity == Severity::Note));
        }
    }

    #[test]
    fn a_dip_direction_at_a_right_angle_is_never_doubted(strike in 0_u32..360, dip in 1_u32..90, left in any::<bool>()) {
        let toward = (strike + if left { 270 } else { 90 }) % 360;
        let got = pair(f64::from(strike), f64::from(dip), &format!("{toward:03}"));
        prop_assert_eq!(got.plane.expect("one side").dip_direction().deg(), f64::from(toward));
        prop_assert!(got.doubts.iter().all(|d| d.kind == DoubtKind::OtherEnd));
    }
}

#[test]
fn without_a_side_both_planes_are_possible() {
    let both = pair(62.0, 35.0, "");
    assert!(both.plane.is_none() && both.doubts.is_empty());
    let toward: Vec<_> = both
        .candidates
        .iter()
        .map(|p| p.dip_direction().deg())
        .collect();
    assert_eq!(toward, [332.0, 152.0]);
}

#[test]
fn a_contradiction_offers_a_dip_direction_typed_as_strike() {
    let along = pair(135.0, 30.0, "SE");
    let choice = along.doubts[0].choices.last().expect("three choices");
    assert_eq!(
        choice.sets,
        [
            (Dial::Strike, String::new()),
            (Dial::Side, String::new()),
            (Dial::Toward, "135".to_owned())
        ]
    );
    // The end read points away from the side named: that slip would not explain it.
    assert_eq!(pair(315.0, 30.0, "SE").doubts[0].choices.len(), 2);
}

#[test]
fn an_azimuth_along_or_off_the_right_angle_is_doubted() {
    let along = pair(62.0, 35.0, "066");
    assert_eq!(along.doubts[0].kind, DoubtKind::SideAlongStrike);
    assert_eq!(
        along.doubts[0].message,
        "a plane striking 062 dips towards 152 or 332, not 066"
    );
    let off = pair(62.0, 35.0, "120");
    assert_eq!(off.doubts[0].kind, DoubtKind::NotSquare);
    check_deg(
        off.plane.expect("the near side").dip_direction().deg(),
        152.0,
    );
    assert_eq!(
        off.doubts[0].choices[0].sets,
        [(Dial::Toward, "152".to_owned())]
    );
    assert_eq!(
        off.doubts[0].choices[1].sets,
        [(Dial::Strike, "030".to_owned())]
    );
    // On a plane so flat that its azimuth is weak, as much is no contradiction.
    assert!(pair(62.0, 5.0, "120").doubts.is_empty());
}

#[test]
fn horizontal_and_vertical_planes_as_the_trade_does() {
    for side in ["", "SE", "NE", "100"] {
        let level = pair(45.0, 0.0, side);
        check_deg(level.plane.expect("a plane").strike().deg(), 45.0);
        assert_eq!(level.doubts.len(), 1);
        assert_eq!(level.doubts[0].kind, DoubtKind::HorizontalPlane);
        assert_eq!(level.doubts[0].severity, Severity::Note);
    }
    for (side, strike_deg) in [("", 45.0), ("SE", 45.0), ("NW", 225.0)] {
        let wall = pair(45.0, 90.0, side);
        check_deg(wall.plane.expect("a plane").strike().deg(), strike_deg);
        assert_eq!(wall.doubts.len(), 1);
        assert_eq!(wall.doubts[0].kind, DoubtKind::VerticalPlane);
        assert_eq!(wall.doubts[0].severity, Severity::Note);
    }
    let wall = pair(45.0, 90.0, "NE");
    check_deg(wall.plane.expect("a plane").strike().deg(), 45.0);
    assert_eq!(
        wall.doubts[0].message,
        "a plane striking 045 faces to the south-east or the north-west, not to the north-east"
    );
}

/// The words and dials of the choices for one number beyond its limit.
fn choices(dial: Dial, deg: f64, dials: Dials<'_>) -> Vec<(String, Vec<(Dial, String)>)> {
    let doubt = beyond(dial, deg, &dials).expect("beyond");
    assert_eq!(doubt.kind, DoubtKind::OutOfRange);
    assert_eq!(doubt.dial, Some(dial));
    doubt
        .choices
        .into_iter()
        .map(|c| (c.words, c.sets))
        .collect()
}

fn set(sets: &[(Dial, &str)]) -> Vec<(Dial, String)> {
    sets.iter().map(|(d, t)| (*d, (*t).to_owned())).collect()
}

#[test]
fn odd_digits_in_an_azimuth() {
    let got = choices(Dial::Strike, 361.0, Dials::default());
    assert_eq!(
        got,
        [
            (
                "036, then dip 1".to_owned(),
                set(&[(Dial::Strike, "036"), (Dial::Dip, "1")])
            ),
            ("keep 361".to_owned(), Vec::new()),
        ]
    );
    let after = Dials {
        dip: Some("5"),
        ..Dials::default()
    };
    let got = choices(Dial::Strike, 361.0, after);
    assert_eq!(got[0].1, set(&[(Dial::Strike, "036"), (Dial::Dip, "15")]));
    let got = choices(Dial::Trend, 399.0, Dials::default());
    assert_eq!(got[0].1, set(&[(Dial::Trend, "039"), (Dial::Plunge, "9")]));
    let got = choices(Dial::Toward, 361.0, Dials::default());
    assert_eq!(got[0].1, set(&[(Dial::Toward, "036")]));
    assert!(beyond(Dial::Strike, 360.0, &Dials::default()).is_none());
}

#[test]
fn odd_digits_in_a_dip() {
    let dials = Dials {
        strike: Some("062"),
        side: Some("SE"),
        ..Dials::default()
    };
    let got = choices(Dial::Dip, 95.0, dials);
    assert_eq!(
        got,
        [
            (
                "85, dips the other way".to_owned(),
                set(&[(Dial::Dip, "85"), (Dial::Side, "NW")])
            ),
            (
                "095 was the direction it dips".to_owned(),
                set(&[(Dial::Dip, ""), (Dial::Toward, "095")])
            ),
            ("keep 95".to_owned(), Vec::new()),
        ]
    );
    let right = Dials {
        side: None,
        right_hand: true,
        ..dials
    };
    assert_eq!(
        choices(Dial::Dip, 95.0, right)[0].1,
        set(&[(Dial::Dip, "85"), (Dial::Strike, "242")])
    );
    let toward = Dials {
        toward: Some("152"),
        ..Dials::default()
    };
    assert_eq!(
        choices(Dial::Dip, 95.0, toward)[0].1,
        set(&[(Dial::Dip, "85"), (Dial::Toward, "332")])
    );
}

#[test]
fn odd_digits_in_a_plunge_a_rake_and_an_angle() {
    let dials = Dials {
        trend: Some("012"),
        ..Dials::default()
    };
    let got = choices(Dial::Plunge, 240.0, dials);
    assert_eq!(got[0].1, set(&[(Dial::Trend, "240"), (Dial::Plunge, "12")]));
    let dials = Dials {
        trend: Some("120"),
        ..Dials::default()
    };
    let got = choices(Dial::Plunge, 95.0, dials);
    assert_eq!(got[0].1, set(&[(Dial::Plunge, "85"), (Dial::Trend, "300")]));
    let got = choices(Dial::Rake, 225.0, Dials::default());
    assert_eq!(
        got[0],
        (
            "rake minus 180: 045".to_owned(),
            set(&[(Dial::Rake, "045")])
        )
    );
    assert_eq!(got[1], ("keep 225".to_owned(), Vec::new()));
    let got = choices(Dial::Angle, 200.0, Dials::default());
    assert_eq!(got[0].1, set(&[(Dial::Angle, "160")]));
    assert!(beyond(Dial::Side, 1e9, &Dials::default()).is_none());
}
