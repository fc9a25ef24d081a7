//! The formulas of the noise against simulated placements: normals and lines that are tilted at random.

use hingeline::orientation::angle::{radians, turn_deg};
use hingeline::orientation::{Azimuth, Dip, Line, Noise, Plane, Plunge};
use nalgebra::Vector3;

use super::{Dice, check_deg};

const SHOTS: u32 = 40_000;
// Small, so that what is tested is the first order that the formulas promise.
const NEEDLE_DEG: f64 = 0.3;
const INCLINATION_DEG: f64 = 0.4;
const PLACEMENT_DEG: f64 = 0.5;
/// Standard deviations from 40,000 shots are good to 1 / √80,000, 0.35 %; the second order adds less than 1 %.
const SHARE: f64 = 0.02;

fn noise() -> Noise {
    Noise::from_deg(NEEDLE_DEG, INCLINATION_DEG, PLACEMENT_DEG, 0.0).expect("in range")
}

/// A unit vector moved by a normal deviate in each of two tangent directions.
fn tilted(v: &Vector3<f64>, dice: &mut Dice) -> Vector3<f64> {
    let aside = if v.z.abs() < 0.9 {
        Vector3::z()
    } else {
        Vector3::x()
    };
    let a = v.cross(&aside).normalize();
    let b = v.cross(&a);
    let step = radians(PLACEMENT_DEG);
    (v + a * (step * dice.normal()) + b * (step * dice.normal())).normalize()
}

/// A plane as it would be read: placed at random, then read off each dial.
fn plane_shot(plane: &Plane, dice: &mut Dice) -> (f64, f64) {
    let placed = Plane::from_normal(&tilted(&plane.normal(), dice)).expect("a unit vector");
    (
        placed.strike().deg() + NEEDLE_DEG * dice.normal(),
        placed.dip().deg() + INCLINATION_DEG * dice.normal(),
    )
}

fn line_shot(line: &Line, dice: &mut Dice) -> (f64, f64) {
    let placed = Line::from_vector(&tilted(&line.vector(), dice)).expect("a unit vector");
    (
        placed.trend().deg() + NEEDLE_DEG * dice.normal(),
        placed.plunge().deg() + INCLINATION_DEG * dice.normal(),
    )
}

fn plane_read((strike, dip): (f64, f64)) -> Plane {
    Plane::new(
        Azimuth::wrapped_deg(strike).expect("finite"),
        Dip::from_deg(dip).expect("far from the limits"),
    )
}

fn line_read((trend, plunge): (f64, f64)) -> Line {
    Line::new(
        Azimuth::wrapped_deg(trend).expect("finite"),
        Plunge::from_deg(plunge).expect("far from the limits"),
    )
}

/// Root mean square of so many deviations.
fn spread(mut deviation: impl FnMut() -> f64) -> f64 {
    let squares: f64 = (0..SHOTS).map(|_| deviation().powi(2)).sum();
    (squares / f64::from(SHOTS)).sqrt()
}

#[track_caller]
fn check_share(formula: f64, simulated: f64) {
    assert!(
        (formula / simulated - 1.0).abs() < SHARE,
        "formula {formula}, simulated {simulated}"
    );
}

#[test]
fn strike_and_dip() {
    let mut dice = Dice(1);
    for dip in [15.0, 35.0, 70.0] {
        let plane = Plane::from_deg(62.0, dip).expect("in range");
        let strike = spread(|| turn_deg(62.0, plane_shot(&plane, &mut dice).0));
        check_share(noise().strike_sd_deg(plane.dip()), strike);
        let dips = spread(|| plane_shot(&plane, &mut dice).1 - dip);
        check_share(noise().dip_sd_deg(), dips);
    }
}

#[test]
fn trend_and_plunge() {
    let mut dice = Dice(2);
    for plunge in [10.0, 45.0, 75.0] {
        let line = Line::from_deg(240.0, plunge).expect("in range");
        let trend = spread(|| turn_deg(240.0, line_shot(&line, &mut dice).0));
        check_share(noise().trend_sd_deg(line.plunge()), trend);
        let plunges = spread(|| line_shot(&line, &mut dice).1 - plunge);
        check_share(noise().plunge_sd_deg(), plunges);
    }
}

#[test]
fn poles_and_lines_on_the_sphere() {
    let mut dice = Dice(3);
    for dip in [10.0, 45.0, 80.0] {
        let plane = Plane::from_deg(62.0, dip).expect("in range");
        // Over both directions: √2 times the one-direction deviation.
        let angle = spread(|| {
            plane_read(plane_shot(&plane, &mut dice))
                .angle(&plane)
                .deg()
        });
        check_share(
            noise().pole_sd_deg(plane.dip()) * std::f64::consts::SQRT_2,
            angle,
        );
        let line = Line::from_deg(62.0, dip).expect("in range");
        let angle = spread(|| line_read(line_shot(&line, &mut dice)).angle(&line).deg());
        check_share(
            noise().line_sd_deg(line.plunge()) * std::f64::consts::SQRT_2,
            angle,
        );
    }
}

#[test]
fn a_line_off_its_plane() {
    let mut dice = Dice(4);
    for (dip, rake) in [(20.0, 30.0), (35.0, 90.0), (60.0, 10.0), (75.0, 130.0)] {
        let plane = Plane::from_deg(62.0, dip).expect("in range");
        let line = plane.line_at(hingeline::orientation::Rake::from_deg(rake).expect("in range"));
        let off = spread(|| {
            let (p, l) = (
                plane_read(plane_shot(&plane, &mut dice)),
                line_read(line_shot(&line, &mut dice)),
            );
            p.angle_to_line(&l).deg()
        });
        check_share(noise().off_plane_sd_deg(&plane, &line), off);
    }
}

#[test]
fn a_rake_against_trend_and_plunge() {
    let mut dice = Dice(5);
    for (dip, rake) in [(20.0, 30.0), (35.0, 90.0), (60.0, 20.0), (75.0, 130.0)] {
        let plane = Plane::from_deg(62.0, dip).expect("in range");
        let line = plane.line_at(hingeline::orientation::Rake::from_deg(rake).expect("in range"));
        let apart = spread(|| {
            let (p, l) = (
                plane_read(plane_shot(&plane, &mut dice)),
                line_read(line_shot(&line, &mut dice)),
            );
            let dial = rake + noise().rake_sd_deg() * dice.normal();
            dial - p.rake_of(&l).expect("near the plane").deg()
        });
        check_share(noise().rake_difference_sd_deg(&plane, &line), apart);
    }
}

/// The worked values of the formulas at the defaults, whole degrees: by hand, √(1 + 1/12 + 1.5²/sin² 30°) and so on.
#[test]
fn the_defaults() {
    let noise = Noise::default();
    let dip = Dip::from_deg(30.0).expect("in range");
    check_deg(
        noise.strike_sd_deg(dip),
        (1.0 + 1.0 / 12.0 + 9.0_f64).sqrt(),
    );
    check_deg(noise.dip_sd_deg(), (1.0 + 1.0 / 12.0 + 2.25_f64).sqrt());
    check_deg(noise.rake_sd_deg(), (1.0 + 1.0 / 12.0 + 4.5_f64).sqrt());
    let plunge = Plunge::from_deg(60.0).expect("in range");
    check_deg(
        noise.trend_sd_deg(plunge),
        (1.0 + 1.0 / 12.0 + 9.0_f64).sqrt(),
    );
}

#[test]
fn where_an_azimuth_has_no_meaning() {
    let noise = Noise::default();
    assert!(
        noise
            .strike_sd_deg(Dip::from_deg(0.0).expect("in range"))
            .is_infinite()
    );
    assert!(noise.trend_sd_deg(Plunge::from_deg(90.0).expect("in range")) > 1e6);
    assert!(
        noise
            .pole_sd_deg(Dip::from_deg(0.0).expect("in range"))
            .is_finite()
    );
    let level = Plane::from_deg(0.0, 0.0).expect("in range");
    let line = Line::from_deg(30.0, 0.0).expect("in range");
    assert!(noise.off_plane_sd_deg(&level, &line).is_finite());
    assert!(noise.rake_difference_sd_deg(&level, &line).is_infinite());
    assert!(Noise::from_deg(-1.0, 1.0, 1.0, 1.0).is_err());
    assert!(Noise::from_deg(1.0, 1.0, f64::NAN, 1.0).is_err());
}
