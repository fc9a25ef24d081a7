//! Means on the sphere: symmetric shots, turned together, and their scatter.

use hingeline::orientation::angle::radians;
use hingeline::orientation::{
    DoubtKind, Line, Noise, Plane, SCATTER_LIMIT, Turn, line_mean, plane_mean,
};
use nalgebra::Vector3;
use proptest::prelude::*;

use super::{Dice, check_deg};

fn plane(strike: f64, dip: f64) -> Plane {
    Plane::from_deg(strike, dip).expect("in range")
}

fn line(trend: f64, plunge: f64) -> Line {
    Line::from_deg(trend, plunge).expect("in range")
}

#[test]
fn one_shot_is_its_own_mean() {
    let noise = Noise::default();
    for p in [plane(62.0, 35.0), plane(242.0, 90.0), plane(62.0, 0.0)] {
        let mean = plane_mean(&[p], &noise).expect("a mean");
        assert_eq!(mean.value, p);
        check_deg(mean.shots[0].distance_deg, 0.0);
        assert_eq!(mean.observed_deg, None);
        check_deg(mean.standard_error_deg, noise.pole_sd_deg(p.dip()));
        assert!(mean.doubts.is_empty());
    }
    for l in [
        line(240.0, 12.0),
        line(240.0, -12.0),
        line(240.0, 90.0),
        line(240.0, 0.0),
    ] {
        let mean = line_mean(&[l], &noise).expect("a mean");
        assert_eq!(mean.value, l);
        check_deg(mean.standard_error_deg, noise.line_sd_deg(l.plunge()));
    }
}

/// Each shot comes back from its offsets as the axis it was, however it lies.
#[test]
fn the_shots_are_found_again_from_their_offsets() {
    let noise = Noise::default();
    let planes = [plane(62.0, 88.0), plane(242.0, 88.0), plane(65.0, 84.0)];
    let flat = [plane(10.0, 2.0), plane(190.0, 2.0), plane(10.0, 0.0)];
    for shots in [planes, flat] {
        let mean = plane_mean(&shots, &noise).expect("a mean");
        for (shot, pole) in shots.iter().zip(mean.poles()) {
            assert!((shot.normal().dot(&pole).abs() - 1.0).abs() < 1e-12);
            assert!(pole.dot(&mean.value.normal()) > 0.0);
        }
    }
    let lines = [line(240.0, 2.0), line(60.0, 2.0), line(238.0, 1.0)];
    let steep = [line(240.0, 89.0), line(60.0, 88.0), line(150.0, 90.0)];
    for shots in [lines, steep] {
        let mean = line_mean(&shots, &noise).expect("a mean");
        for (shot, end) in shots.iter().zip(mean.lines()) {
            assert!((shot.vector().dot(&end).abs() - 1.0).abs() < 1e-12);
        }
    }
    let alone = plane_mean(&[plane(62.0, 35.0)], &noise).expect("a mean");
    assert_eq!(alone.poles(), [plane(62.0, 35.0).normal()]);
}

#[test]
fn no_shots_have_no_mean() {
    assert!(plane_mean(&[], &Noise::default()).is_none());
    assert!(line_mean(&[], &Noise::default()).is_none());
}

#[test]
fn a_right_angle_has_no_mean() {
    let noise = Noise::default();
    assert!(line_mean(&[line(0.0, 0.0), line(90.0, 0.0)], &noise).is_none());
    assert!(plane_mean(&[plane(0.0, 90.0), plane(90.0, 90.0)], &noise).is_none());
    assert!(line_mean(&[line(0.0, 0.0), line(90.0, 0.0), line(0.0, 90.0)], &noise).is_none());
}

#[test]
fn equal_shots_have_no_scatter() {
    let noise = Noise::default();
    let mean = plane_mean(&[plane(62.0, 35.0); 4], &noise).expect("a mean");
    assert!(mean.value.angle(&plane(62.0, 35.0)).deg() < 1e-7);
    assert!(mean.observed_deg.expect("more than one") < 1e-6);
    // The set-up does not read better than it can: half the one-shot deviation, for four.
    assert!((mean.standard_error_deg - noise.pole_sd_deg(mean.value.dip()) / 2.0).abs() < 1e-6);
}

/// Shots either side of upright and of level are not torn apart by the turn of their numbers.
#[test]
fn means_do_not_break_where_the_numbers_do() {
    let noise = Noise::default();
    let upright = plane_mean(&[plane(62.0, 88.0), plane(242.0, 88.0)], &noise).expect("a mean");
    check_deg(upright.value.dip().deg(), 90.0);
    check_deg(upright.value.strike().deg(), 62.0);
    let from_the_other_end =
        plane_mean(&[plane(242.0, 88.0), plane(62.0, 88.0)], &noise).expect("a mean");
    check_deg(from_the_other_end.value.strike().deg(), 242.0);
    let north = plane_mean(&[plane(358.0, 40.0), plane(2.0, 40.0)], &noise).expect("a mean");
    check_deg(north.value.strike().deg(), 0.0);
    let level = line_mean(&[line(240.0, 2.0), line(60.0, 2.0)], &noise).expect("a mean");
    check_deg(level.value.plunge().deg(), 0.0);
    check_deg(level.value.trend().deg(), 240.0);
    // Without a strike or a trend of their own, level planes and plumb lines keep the first that was read.
    let flat = plane_mean(&[plane(62.0, 0.0), plane(100.0, 0.0)], &noise).expect("a mean");
    check_deg(flat.value.dip().deg(), 0.0);
    check_deg(flat.value.strike().deg(), 62.0);
    let plumb = line_mean(&[line(62.0, 90.0), line(100.0, 90.0)], &noise).expect("a mean");
    check_deg(plumb.value.plunge().deg(), 90.0);
    check_deg(plumb.value.trend().deg(), 62.0);
    // Directed lines keep their direction.
    let up = line_mean(&[line(240.0, -10.0), line(240.0, -14.0)], &noise).expect("a mean");
    check_deg(up.value.plunge().deg(), -12.0);
    check_deg(up.value.trend().deg(), 240.0);
}

/// Two shots 4° apart about a mean: each 2° away, and the offsets say in which sense.
#[test]
fn offsets_say_clockwise_and_steeper() {
    let noise = Noise::default();
    let mean = plane_mean(&[plane(62.0, 33.0), plane(62.0, 37.0)], &noise).expect("a mean");
    check_deg(mean.value.dip().deg(), 35.0);
    for (shot, steeper) in mean.shots.iter().zip([-2.0, 2.0]) {
        check_deg(shot.steeper_deg, steeper);
        check_deg(shot.clockwise_deg, 0.0);
        check_deg(shot.distance_deg, 2.0);
    }
    // With n − 1 = 1 and two directions: √((2² + 2²) / 2).
    check_deg(mean.observed_deg.expect("two shots"), 2.0);
    let mean = plane_mean(&[plane(60.0, 90.0), plane(64.0, 90.0)], &noise).expect("a mean");
    for (shot, clockwise) in mean.shots.iter().zip([-2.0, 2.0]) {
        check_deg(shot.clockwise_deg, clockwise);
        check_deg(shot.steeper_deg, 0.0);
    }
    let mean = line_mean(&[line(238.0, 0.0), line(242.0, 0.0)], &noise).expect("a mean");
    check_deg(mean.shots[0].clockwise_deg, -2.0);
    let mean = line_mean(&[line(240.0, 10.0), line(240.0, 14.0)], &noise).expect("a mean");
    check_deg(mean.shots[1].steeper_deg, 2.0);
}

#[test]
fn a_shot_that_strays_is_doubted() {
    let noise = Noise::default();
    let close = [plane(61.0, 35.0), plane(62.0, 36.0), plane(63.0, 35.0)];
    assert!(
        plane_mean(&close, &noise)
            .expect("a mean")
            .doubts
            .is_empty()
    );
    let stray = [plane(61.0, 35.0), plane(62.0, 36.0), plane(63.0, 55.0)];
    let mean = plane_mean(&stray, &noise).expect("a mean");
    assert_eq!(mean.doubts.len(), 1);
    assert_eq!(mean.doubts[0].kind, DoubtKind::Scatter);
    assert!(
        mean.doubts[0].message.starts_with("shot 3 lies "),
        "{}",
        mean.doubts[0].message
    );
    assert!(mean.shots[2].distance_deg > SCATTER_LIMIT * mean.expected_deg);
    // A scatter wider than expected widens the error.
    let observed = mean.observed_deg.expect("three shots");
    assert!(observed > mean.expected_deg);
    check_deg(mean.standard_error_deg, observed / 3.0_f64.sqrt());
}

/// What the limit promises: fewer than 1 in 100 shots of three-shot readings are doubted by chance.
#[test]
fn false_alarms_are_as_rare_as_promised() {
    let mut dice = Dice(6);
    let noise = Noise::default();
    let truth = line(240.0, 30.0);
    let (v, across) = (
        truth.vector(),
        Vector3::new(-truth.trend().rad().sin(), truth.trend().rad().cos(), 0.0),
    );
    let down = v.cross(&across);
    let sd = radians(noise.line_sd_deg(truth.plunge()));
    let mut alarms = 0;
    let readings = 20_000;
    for _ in 0..readings {
        let shots = [(); 3].map(|()| {
            Line::from_vector(&(v + across * (sd * dice.normal()) + down * (sd * dice.normal())))
                .expect("near a unit vector")
        });
        let mean = line_mean(&shots, &noise).expect("a mean");
        alarms += mean
            .shots
            .iter()
            .filter(|s| s.distance_deg > SCATTER_LIMIT * mean.expected_deg)
            .count();
    }
    let shots = 3 * readings;
    assert!(alarms * 100 < shots, "{alarms} of {shots}");
    // Residuals from a mean of three shrink by √(2/3): exp(−2.5² · 3/2 / 2) = 0.92 %.
    assert!(alarms * 1000 > shots * 7, "{alarms} of {shots}");
}

/// The standard error is what means of many readings really scatter by.
#[test]
fn the_standard_error_is_the_scatter_of_means() {
    let mut dice = Dice(7);
    let noise = Noise::default();
    let truth = plane(62.0, 35.0);
    let sd = radians(noise.pole_sd_deg(truth.dip()));
    let readings = 5_000;
    let mut squares = 0.0;
    for _ in 0..readings {
        let shots: Vec<Plane> = (0..4)
            .map(|_| {
                let n = truth.normal()
                    + truth.along_strike() * (sd * dice.normal())
                    + truth.down_dip() * (sd * dice.normal());
                Plane::from_normal(&n).expect("near a unit vector")
            })
            .collect();
        squares += plane_mean(&shots, &noise)
            .expect("a mean")
            .value
            .angle(&truth)
            .deg()
            .powi(2);
    }
    let scatter = (squares / (2.0 * f64::from(readings))).sqrt();
    let expected = noise.pole_sd_deg(truth.dip()) / 2.0;
    assert!(
        (scatter / expected - 1.0).abs() < 0.03,
        "{scatter} against {expected}"
    );
}

prop_compose! {
    /// A line and four shots placed evenly about it, so that it must be their mean.
    fn rosette()(t in 0.0_f64..360.0, p in 5.0_f64..80.0, r in 0.1_f64..8.0) -> (Line, Vec<Line>) {
        let centre = line(t, p);
        let v = centre.vector();
        let a = v.cross(&Vector3::z()).normalize();
        let b = v.cross(&a);
        let (s, c) = radians(r).sin_cos();
        let shots = [a, b, -a, -b].map(|e| Line::from_vector(&(v * c + e * s)).expect("a unit vector"));
        (centre, shots.to_vec())
    }
}

proptest! {
    #[test]
    fn an_even_rosette_has_its_centre_as_mean((centre, shots) in rosette(), turned_round in 0_usize..4) {
        let noise = Noise::default();
        // As axes, it does not matter which end was read.
        let shots: Vec<Line> = shots.iter().map(Line::as_axis).collect();
        let mean = line_mean(&shots, &noise).expect("a mean");
        prop_assert!(mean.value.angle(&centre).deg() < 1e-6);
        let first = mean.shots[0].distance_deg;
        for shot in &mean.shots {
            prop_assert!((shot.distance_deg - first).abs() < 1e-6);
            prop_assert!((shot.clockwise_deg.hypot(shot.steeper_deg) - shot.distance_deg).abs() < 1e-9);
        }
        // The same as poles of planes, in any order.
        let mut planes: Vec<Plane> = shots.iter().map(|l| Plane::from_normal(&l.vector()).expect("a unit vector")).collect();
        planes.rotate_left(turned_round);
        let mean = plane_mean(&planes, &noise).expect("a mean");
        prop_assert!(mean.value.pole().angle(&centre).deg() < 1e-6);
    }

    /// The mean of turned shots is the turned mean.
    #[test]
    fn a_mean_turns_with_its_shots(
        (_, shots) in rosette(), t in 0.0_f64..360.0, p in -90.0_f64..90.0, turn in -360.0_f64..360.0,
    ) {
        let noise = Noise::default();
        let (axis, turn) = (line(t, p), Turn::from_deg(turn).expect("in range"));
        let shots = &shots[..3];
        let turned: Vec<Line> = shots.iter().map(|l| l.rotated(&axis, turn)).collect();
        let (before, after) = (line_mean(shots, &noise).expect("a mean"), line_mean(&turned, &noise).expect("a mean"));
        prop_assert!(after.value.angle(&before.value.rotated(&axis, turn)).deg() < 1e-6);
    }
}
