//! The adjustment against turned rigid bodies and simulated set-ups, and the diagnosis against slips made on purpose.

use hingeline::orientation::angle::{radians, turn_deg};
use hingeline::orientation::{
    Adjusted, Context, Diagnosis, Dial, Dials, DoubtKind, FrameDials, Line, Noise, Plane, Rake,
    Slip, adjust, diagnose, odds_words, reduce,
};
use nalgebra::{Matrix3, Vector3};
use proptest::prelude::*;

use super::{Dice, check_deg};

/// What the instrument would read on a plane with a line at a rake, unrounded.
fn set(strike_deg: f64, dip_deg: f64, rake_deg: f64) -> FrameDials {
    let plane = Plane::from_deg(strike_deg, dip_deg).expect("in range");
    let line = plane.line_at(Rake::from_deg(rake_deg).expect("in range"));
    FrameDials {
        strike_deg: Some(strike_deg),
        dip_deg: Some(dip_deg),
        toward_deg: None,
        trend_deg: Some(line.trend().deg()),
        plunge_deg: Some(line.plunge().deg()),
        rake_deg: Some(rake_deg),
        side_read: false,
    }
}

fn read(dials: [f64; 5]) -> FrameDials {
    let [strike, dip, trend, plunge, rake] = dials;
    FrameDials {
        strike_deg: Some(strike),
        dip_deg: Some(dip),
        toward_deg: None,
        trend_deg: Some(trend),
        plunge_deg: Some(plunge),
        rake_deg: Some(rake),
        side_read: false,
    }
}

fn adjusted(dials: &FrameDials) -> Adjusted {
    adjust(dials, &Noise::default()).expect("enough dials")
}

fn diagnosed(dials: &FrameDials) -> Diagnosis {
    diagnose(dials, &Context::new(&Noise::default()))
}

/// 062/35 with a line at rake 45, to the degree: 24 towards 101.
const CLEAN: [f64; 5] = [62.0, 35.0, 101.0, 24.0, 45.0];

#[test]
fn a_clean_set_up_is_adjusted_and_not_doubted() {
    let found = diagnosed(&read(CLEAN));
    assert!(!found.doubted && found.explanations.is_empty(), "{found:?}");
    let adjusted = found.adjusted.expect("five dials");
    assert_eq!(adjusted.dof, 2);
    assert!(adjusted.chi2 < 1.0);
    assert!(adjusted.plane.angle_to_line(&adjusted.line).deg() < 1e-9);
    let redundancy: f64 = adjusted.residuals.iter().map(|r| r.redundancy).sum();
    assert!((redundancy - 2.0).abs() < 1e-6, "{redundancy}");
}

/// The slip named first, with the dials it sets.
#[track_caller]
fn check_first(dials: [f64; 5], slip: Slip, sets: &[(Dial, &str)]) {
    let found = diagnosed(&read(dials));
    assert!(found.doubted, "{dials:?}");
    let first = &found.explanations[0];
    assert_eq!(first.slip, slip, "{found:?}");
    let sets: Vec<(Dial, String)> = sets.iter().map(|(d, t)| (*d, (*t).to_owned())).collect();
    assert_eq!(first.sets, sets);
}

#[test]
fn each_slip_is_named() {
    let [strike, dip, trend, plunge, rake] = CLEAN;
    check_first(
        [strike, dip, trend, plunge, 180.0 - rake],
        Slip::RakeEnd,
        &[(Dial::Rake, "045")],
    );
    check_first(
        [strike, 90.0 - dip, trend, plunge, rake],
        Slip::DipComplement,
        &[(Dial::Dip, "35")],
    );
    check_first(
        [strike, dip, trend, 90.0 - plunge, rake],
        Slip::PlungeComplement,
        &[(Dial::Plunge, "24")],
    );
    check_first(
        [360.0 - strike, dip, trend, plunge, rake],
        Slip::EastWest(hingeline::orientation::adjustment::Exchanged::Strike),
        &[(Dial::Strike, "062")],
    );
    check_first(
        [242.0, dip, trend, plunge, 135.0],
        Slip::StrikeAndRakeEnds,
        &[(Dial::Strike, "062"), (Dial::Rake, "045")],
    );
}

/// Five dials cannot tell which of strike and trend was read at the other end; the side can.
#[test]
fn strike_and_trend_ends_stand_side_by_side() {
    let found = diagnosed(&read([62.0, 35.0, 281.0, 24.0, 45.0]));
    let slips: Vec<Slip> = found.explanations.iter().map(|e| e.slip).collect();
    assert_eq!(slips.len(), 2, "{slips:?}");
    assert!(slips.contains(&Slip::StrikeEnd) && slips.contains(&Slip::TrendEnd));
    let decide = found.decide.expect("too close to tell");
    assert_eq!(decide.dial, Dial::Toward);
    assert!(
        decide.words.contains("152") && decide.words.contains("332"),
        "{}",
        decide.words
    );
}

/// The worked set-up of the house's pictures: 132, 58 NE, 327, 25 and 148 for 32.
#[test]
fn a_rake_from_the_other_end_in_words() {
    let dials = Dials {
        strike: Some("132"),
        dip: Some("58"),
        side: Some("NE"),
        trend: Some("327"),
        plunge: Some("25"),
        rake: Some("148"),
        ..Dials::default()
    };
    let got = reduce(&dials);
    let doubts: Vec<_> = got
        .doubts
        .iter()
        .filter(|d| d.kind == DoubtKind::SetUp)
        .collect();
    assert_eq!(doubts.len(), 1);
    assert_eq!(doubts[0].dial, Some(Dial::Rake));
    assert!(got.adjusted.is_none());
    let found = got.diagnosis.expect("five dials");
    let first = &found.explanations[0];
    assert_eq!(
        first.words,
        "The rake was measured from the other end of the strike line: 148 instead of 32"
    );
    assert!(
        first
            .detail
            .starts_with("from 132, not from 312. Then all five within 0."),
        "{}",
        first.detail
    );
    assert_eq!(
        odds_words(first.odds),
        ("99".to_owned(), "in 100".to_owned())
    );
    assert_eq!(first.choice(), doubts[0].choices[0]);
    let mended = reduce(&Dials {
        rake: Some(&first.sets[0].1),
        ..dials
    });
    assert!(mended.adjusted.is_some() && mended.diagnosis.is_some_and(|d| !d.doubted));
}

/// With the side read by itself the strike's end means nothing, and what may be wrong is the side.
#[test]
fn a_side_read_by_itself() {
    let typed = |strike: &'static str, side: &'static str, trend: &'static str| Dials {
        strike: Some(strike),
        dip: Some("35"),
        side: Some(side),
        trend: Some(trend),
        plunge: Some("24"),
        rake: Some("045"),
        ..Dials::default()
    };
    for strike in ["062", "242"] {
        assert!(
            !reduce(&typed(strike, "SE", "101"))
                .diagnosis
                .expect("five")
                .doubted
        );
        let found = reduce(&typed(strike, "NW", "101")).diagnosis.expect("five");
        let side = found
            .explanations
            .iter()
            .find(|e| e.slip == Slip::StrikeEnd)
            .expect("the side");
        assert_eq!(side.words, "It dips SE, not NW");
        assert_eq!(side.sets, [(Dial::Side, "SE".to_owned())]);
        assert_eq!(found.decide.expect("close").dial, Dial::Trend);
    }
    // Read as an azimuth it is a sixth dial.
    let toward = Dials {
        side: None,
        toward: Some("332"),
        ..typed("062", "", "101")
    };
    let found = reduce(&toward).diagnosis.expect("six");
    assert_eq!(found.read.count(), 6);
    assert!(
        found
            .explanations
            .iter()
            .any(|e| e.slip == Slip::StrikeEnd && e.sets == [(Dial::Toward, "152".to_owned())])
    );
}

#[test]
fn few_dials_and_degenerate_ones() {
    let noise = Noise::default();
    assert_eq!(adjust(&FrameDials::default(), &noise), None);
    let three = FrameDials {
        trend_deg: None,
        plunge_deg: None,
        ..read(CLEAN)
    };
    let exact = adjusted(&three);
    assert_eq!(exact.dof, 0);
    assert!(exact.chi2 < 1e-12);
    check_deg(exact.plane.strike().deg(), 62.0);
    assert!(!diagnosed(&three).doubted);
    // Dip, plunge and rake alone leave the azimuth open.
    let open = FrameDials {
        strike_deg: None,
        trend_deg: None,
        ..read(CLEAN)
    };
    assert_eq!(adjust(&open, &noise), None);
    // Level planes and upright ones and upright lines are no contradiction.
    for dials in [
        [10.0, 0.0, 101.0, 0.0, 91.0],
        [200.0, 0.0, 101.0, 0.0, 91.0],
        [10.0, 1.0, 101.0, 1.0, 91.0],
        [10.0, 90.0, 10.0, 45.0, 45.0],
        [190.0, 90.0, 10.0, 45.0, 135.0],
        [10.0, 90.0, 10.0, 90.0, 90.0],
        [10.0, 90.0, 275.0, 90.0, 90.0],
        [10.0, 89.0, 190.0, 88.0, 91.0],
        [62.0, 35.0, 62.0, 0.0, 0.0],
        [62.0, 35.0, 242.0, 0.0, 0.0],
        [62.0, 35.0, 242.0, 0.0, 180.0],
    ] {
        let found = diagnosed(&read(dials));
        let adjusted = found.adjusted.expect("five dials");
        assert!(!found.doubted, "{dials:?} {:?}", found.explanations);
        assert!(adjusted.chi2 < 3.0, "{dials:?} {adjusted:?}");
        assert!(adjusted.plane.angle_to_line(&adjusted.line).deg() < 1e-9);
        assert!(adjusted.normal_sd_deg.is_finite() && adjusted.line_sd_deg.is_finite());
    }
}

/// A line along the strike of a plane, read a few degrees off level: a dip left out leaves the azimuth of a level plane free, and
/// the odds were once no number there.
#[test]
fn odds_are_numbers_where_the_line_lies_along_the_strike() {
    for dials in [
        [7.0, 36.0, 10.0, 2.0, 3.0],
        [126.0, 58.0, 125.0, 0.0, 179.0],
        [224.0, 15.0, 225.0, 1.0, 1.0],
        [26.0, 37.0, 31.0, 3.0, 5.0],
        [33.0, 33.0, 45.0, 7.0, 12.0],
        [210.0, 53.0, 208.0, 3.0, 178.0],
    ] {
        let found = diagnosed(&read(dials));
        assert!((0.0..=1.0).contains(&found.as_read_odds), "{dials:?}");
    }
    for rake in 0..=20 {
        for dip in [5.0, 20.0, 45.0, 85.0] {
            let mut dials = set(40.0, dip, f64::from(rake));
            dials.trend_deg = dials.trend_deg.map(f64::round);
            dials.plunge_deg = dials.plunge_deg.map(f64::round);
            let found = diagnosed(&dials);
            assert!((0.0..=1.0).contains(&found.as_read_odds), "{dials:?}");
        }
    }
}

#[test]
fn odds_as_they_are_written() {
    for (odds, number, of) in [
        (1.0, "99", "in 100"),
        (0.994, "99", "in 100"),
        (0.5, "50", "in 100"),
        (0.012, "1", "in 100"),
        (1.0 / 730.0, "1", "in 730"),
        (1.0 / 2345.0, "1", "in 2300"),
        (1e-5, "no", "fit"),
        (f64::NAN, "no", "fit"),
    ] {
        assert_eq!(
            odds_words(odds),
            (number.to_owned(), of.to_owned()),
            "{odds}"
        );
    }
}

const SD: [f64; 3] = [1.0, 1.0, 1.5];

/// A unit vector moved by a normal deviate in each of two tangent directions.
fn tilted(v: &Vector3<f64>, dice: &mut Dice) -> Vector3<f64> {
    let aside = if v.z.abs() < 0.9 {
        Vector3::z()
    } else {
        Vector3::x()
    };
    let a = v.cross(&aside).normalize();
    let b = v.cross(&a);
    let step = radians(SD[2]);
    (v + a * (step * dice.normal()) + b * (step * dice.normal())).normalize()
}

/// One set-up placed and read at random: normal and line are tilted apart, then every dial is read and rounded.
fn shot(truth: &FrameDials, dice: &mut Dice) -> FrameDials {
    let at = |dial| truth.get(dial).expect("all five");
    let plane = Plane::from_deg(at(Dial::Strike), at(Dial::Dip)).expect("in range");
    let line = Line::from_deg(at(Dial::Trend), at(Dial::Plunge)).expect("in range");
    let placed = Plane::from_normal(&tilted(&plane.normal(), dice)).expect("a unit vector");
    let mut rake = at(Dial::Rake);
    // Placed beyond the vertical it dips the other way, and the rake counts from there.
    let turned = placed.along_strike().dot(&plane.along_strike()) < 0.0 && at(Dial::Dip) > 45.0;
    if turned {
        rake = 180.0 - rake;
    }
    let laid = Line::axis_from_vector(&tilted(&line.vector(), dice)).expect("a unit vector");
    let mut dials = [
        placed.strike().deg() + SD[0] * dice.normal(),
        placed.dip().deg() + SD[1] * dice.normal(),
        laid.trend().deg() + SD[0] * dice.normal(),
        laid.plunge().deg() + SD[1] * dice.normal(),
        rake + SD[1] * dice.normal() + SD[2] * (dice.normal() + dice.normal()),
    ];
    for dial in &mut dials {
        *dial = dial.round();
    }
    dials[0] = dials[0].rem_euclid(360.0);
    dials[1] = dials[1].clamp(0.0, 90.0);
    dials[2] = dials[2].rem_euclid(360.0);
    dials[3] = dials[3].clamp(0.0, 90.0);
    dials[4] = dials[4].rem_euclid(180.0);
    read(dials)
}

/// Any attitude, all alike: the normal uniform on the sphere, the line in the plane.
fn any_set(dice: &mut Dice) -> FrameDials {
    let dip = hingeline::orientation::angle::degrees(dice.uniform().acos());
    set(360.0 * dice.uniform(), dip, 180.0 * dice.uniform())
}

/// The mean of χ² with two degrees of freedom is 2, its standard deviation 2; of 2,000 the mean is good to 0.045.
#[test]
fn chi_square_of_clean_set_ups_follows_its_distribution() {
    let mut dice = Dice(11);
    let mut all: Vec<f64> = (0..2000)
        .map(|_| {
            let truth = any_set(&mut dice);
            adjusted(&shot(&truth, &mut dice)).chi2
        })
        .collect();
    let count = 2000.0;
    let mean = all.iter().sum::<f64>() / count;
    assert!((mean - 2.0).abs() < 0.16, "{mean}");
    all.sort_by(f64::total_cmp);
    // Kolmogorov and Smirnov's distance; 1.63/√n is its one-in-a-hundred limit (from memory, in every table of it).
    let mut below = 0.0;
    let mut distance = 0.0_f64;
    for chi2 in all {
        let expected = 1.0 - (-chi2 / 2.0).exp();
        distance = distance.max((expected - below / count).abs());
        below += 1.0;
        distance = distance.max((expected - below / count).abs());
    }
    assert!(distance < 1.63 / count.sqrt(), "{distance}");
}

/// The covariance of normal and line against 1,000 set-ups of one attitude: variances good to 4.5 %.
#[test]
fn covariance_is_what_the_scatter_is() {
    let mut dice = Dice(12);
    for (strike, dip, rake) in [
        (62.0, 35.0, 45.0),
        (200.0, 70.0, 110.0),
        (310.0, 20.0, 20.0),
    ] {
        let truth = set(strike, dip, rake);
        let exact = adjusted(&truth);
        let (n, v) = (exact.plane.normal(), exact.line.vector());
        let (mut normals, mut lines) = (Matrix3::zeros(), Matrix3::zeros());
        for _ in 0..1000 {
            let found = adjusted(&shot(&truth, &mut dice));
            let off = found.plane.normal() - n;
            normals += off * off.transpose() / 1000.0;
            let off = found.line.vector() - v;
            lines += off * off.transpose() / 1000.0;
        }
        for (formula, simulated) in [
            (exact.normal_covariance, normals),
            (exact.line_covariance, lines),
        ] {
            let scale = formula.trace();
            assert!(
                (formula - simulated).norm() < 0.14 * scale,
                "{formula} {simulated}"
            );
        }
        check_deg(
            exact.normal_sd_deg,
            hingeline::orientation::angle::degrees((exact.normal_covariance.trace() / 2.0).sqrt()),
        );
    }
}

/// How often clean set-ups are doubted, and how often a slip is noticed and named: the limits of the design.
#[test]
fn false_alarms_and_noticed_slips() {
    let mut dice = Dice(13);
    let mut alarms = 0;
    let (mut made, mut noticed, mut named) = ([0; 4], [0; 4], [0; 4]);
    for _ in 0..250 {
        let truth = any_set(&mut dice);
        let clean = shot(&truth, &mut dice);
        alarms += u32::from(diagnosed(&clean).doubted);
        let slips = [
            (Slip::StrikeEnd, {
                let mut d = clean;
                d.strike_deg = d.strike_deg.map(|s| (s + 180.0).rem_euclid(360.0));
                d
            }),
            (Slip::TrendEnd, {
                let mut d = clean;
                d.trend_deg = d.trend_deg.map(|s| (s + 180.0).rem_euclid(360.0));
                d
            }),
            (Slip::RakeEnd, {
                let mut d = clean;
                d.rake_deg = d.rake_deg.map(|r| 180.0 - r);
                d
            }),
            (Slip::DipComplement, {
                let mut d = clean;
                d.dip_deg = d.dip_deg.map(|dip| 90.0 - dip);
                d
            }),
        ];
        for (i, (slip, dials)) in slips.into_iter().enumerate() {
            let found = diagnosed(&dials);
            made[i] += 1;
            if found.doubted {
                noticed[i] += 1;
                named[i] += i32::from(
                    found
                        .explanations
                        .iter()
                        .take(2)
                        .any(|e| e.slip == slip || e.with.contains(&slip)),
                );
            }
        }
    }
    // One in a hundred of 250, and one that chance may add.
    assert!(alarms <= 3, "{alarms}");
    // What is not noticed turns little: a level line's end, a rake near 90, a dip near 45.
    for (i, share) in [90, 90, 85, 68].into_iter().enumerate() {
        assert!(noticed[i] * 100 >= made[i] * share, "{made:?} {noticed:?}");
        assert!(named[i] * 100 >= noticed[i] * 90, "{noticed:?} {named:?}");
    }
}

prop_compose! {
    fn any_frame()(strike in 0.0_f64..360.0, dip in 0.0_f64..90.0, rake in 0.0_f64..180.0) -> (f64, f64, f64) {
        (strike, dip, rake)
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    /// Set and reduced again, a plane and a line in it are themselves, and nothing is off.
    #[test]
    fn reduce_after_set_is_identity((strike, dip, rake) in any_frame()) {
        let dials = set(strike, dip, rake);
        let found = adjusted(&dials);
        let plane = Plane::from_deg(strike, dip).expect("in range");
        let line = plane.line_at(Rake::from_deg(rake).expect("in range"));
        prop_assert!(found.chi2 < 1e-6, "{found:?}");
        prop_assert!(found.plane.angle(&plane).deg() < 1e-3, "{found:?}");
        prop_assert!(found.line.angle(&line).deg() < 1e-3, "{found:?}");
        prop_assert!(!diagnosed(&dials).doubted);
    }

    /// Whatever was read, the adjusted line lies in the adjusted plane, and everything is a number.
    #[test]
    fn the_line_lies_in_the_plane(
        strike in prop::option::weighted(0.9, 0_u32..360), dip in prop::option::weighted(0.9, 0_u32..=90),
        toward in prop::option::weighted(0.2, 0_u32..360), trend in prop::option::weighted(0.9, 0_u32..360),
        plunge in prop::option::weighted(0.9, -90_i32..=90), rake in prop::option::weighted(0.9, 0_u32..=180),
    ) {
        let dials = FrameDials {
            strike_deg: strike.map(f64::from),
            dip_deg: dip.map(f64::from),
            toward_deg: toward.map(f64::from),
            trend_deg: trend.map(f64::from),
            plunge_deg: plunge.map(f64::from),
            rake_deg: rake.map(f64::from),
            side_read: false,
        };
        let found = diagnosed(&dials);
        let all = found.adjusted.iter().chain(found.explanations.iter().map(|e| &e.adjusted));
        for adjusted in all {
            prop_assert!(adjusted.plane.angle_to_line(&adjusted.line).deg() < 1e-9, "{adjusted:?}");
            prop_assert!(adjusted.chi2.is_finite() && adjusted.chi2 >= 0.0);
            prop_assert!(adjusted.residuals.iter().all(|r| r.residual_deg.is_finite() && r.sd_deg > 0.0));
        }
        prop_assert!((0.0..=1.0).contains(&found.as_read_odds));
        // Nothing may explain the dials, but nothing is explained without a doubt.
        prop_assert!(found.doubted || found.explanations.is_empty());
        for pair in found.explanations.windows(2) {
            prop_assert!(pair[0].odds >= pair[1].odds);
        }
        for explanation in &found.explanations {
            prop_assert!(!explanation.sets.is_empty(), "{explanation:?}");
            prop_assert!(!explanation.words.ends_with('.'));
        }
    }

    /// Turned about the vertical, a set-up comes to the same, turned.
    #[test]
    fn north_does_not_matter(
        (strike, dip, rake) in any_frame(), turn in 0.0_f64..360.0, off in prop::array::uniform5(-6.0_f64..6.0),
    ) {
        prop_assume!(dip > 9.0);
        let mut dials = set(strike, dip, rake);
        let moved = |deg: Option<f64>, by: f64| deg.map(|deg| deg + by);
        dials.strike_deg = moved(dials.strike_deg, off[0]).map(|deg| deg.rem_euclid(360.0));
        dials.dip_deg = moved(dials.dip_deg, off[1]).map(|deg| deg.clamp(8.5, 90.0));
        dials.trend_deg = moved(dials.trend_deg, off[2]).map(|deg| deg.rem_euclid(360.0));
        dials.plunge_deg = moved(dials.plunge_deg, off[3]).map(|deg| deg.clamp(0.0, 90.0));
        dials.rake_deg = moved(dials.rake_deg, off[4]).map(|deg| deg.clamp(0.0, 180.0));
        let mut turned = dials;
        turned.strike_deg = dials.strike_deg.map(|deg| (deg + turn).rem_euclid(360.0));
        turned.trend_deg = dials.trend_deg.map(|deg| (deg + turn).rem_euclid(360.0));
        let (a, b) = (adjusted(&dials), adjusted(&turned));
        prop_assert!((a.chi2 - b.chi2).abs() < 1e-6 * (1.0 + a.chi2), "{} {}", a.chi2, b.chi2);
        prop_assert!((a.rake_deg - b.rake_deg).abs() < 1e-5 || (a.rake_deg - b.rake_deg).abs() > 179.9);
        let apart = turn_deg(a.plane.strike().deg() + turn, b.plane.strike().deg());
        prop_assert!(apart.abs() < 1e-5, "{apart}");
        prop_assert!((a.normal_sd_deg - b.normal_sd_deg).abs() < 1e-6);
    }
}
