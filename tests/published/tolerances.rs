//! Field tolerances: what a compass and a clinometer can be trusted to.

use hingeline::orientation::angle::radians;
use hingeline::orientation::statistics::{Random, fisher};
use hingeline::orientation::{Dip, Instrument, Noise, Plane, default_noise};
use nalgebra::Vector3;
use serde_json::Value;

use super::{Check, check_all};

/// What is guidance for people, and nothing that is computed.
const LATER: &[(&str, &str, &str)] = &[
    (
        "tol-safe-distances",
        "metres",
        "distances to keep come with the cautions about north",
    ),
    (
        "tol-safe-distances",
        "tawrell",
        "distances to keep come with the cautions about north",
    ),
    (
        "tol-pace-compass",
        "relative",
        "how well a paced traverse should close comes with its page",
    ),
];

/// The spread of 200,000 drawn strikes, as the note of the row has it.
const DRAWN: [f64; 7] = [11.71, 5.79, 2.92, 2.0, 1.41, 1.155, 1.016];

fn list(value: &Value) -> Vec<f64> {
    let list = value.as_array().expect("a list");
    list.iter().map(|v| v.as_f64().expect("a number")).collect()
}

/// The spread of the strikes of a plane whose pole is tilted alike in every direction, degrees.
fn drawn_strike_sd_deg(dip_deg: f64, sd_deg: f64, draw: &mut Random) -> f64 {
    const DRAWS: u32 = 50_000;
    let plane = Plane::from_deg(90.0, dip_deg).expect("in range");
    let sd = radians(sd_deg);
    let squares: f64 = (0..DRAWS)
        .map(|_| {
            let tilt = plane.along_strike() * draw.normal() + plane.down_dip() * draw.normal();
            let tilted = Plane::from_normal(&(plane.normal() + tilt * sd)).expect("a normal");
            let off = tilted.strike().deg() - 90.0;
            off * off
        })
        .sum();
    (squares / f64::from(DRAWS)).sqrt()
}

/// Directions on a cone about down with the concentration wanted: k = (n − 1)/(n − R), R = n cos(half angle).
fn cone(concentration: f64) -> Vec<Vector3<f64>> {
    const COUNT: u32 = 12;
    let n = f64::from(COUNT);
    let cosine = 1.0 - (n - 1.0) / (n * concentration);
    let sine = (1.0 - cosine * cosine).sqrt();
    (0..COUNT)
        .map(|i| {
            let (s, c) = (std::f64::consts::TAU * f64::from(i) / n).sin_cos();
            Vector3::new(sine * c, sine * s, cosine)
        })
        .collect()
}

fn check_row(check: &mut Check<'_>) {
    match check.row.id.as_str() {
        "tol-strike-cruden" => {
            let sd = check.number("sd_dip");
            // All of the error is in the pole, and alike in every direction.
            let noise = Noise::from_deg(0.0, 0.0, sd, 0.0).expect("in range");
            let formula = check.expected("sd_strike").as_str();
            assert_eq!(formula, Some("sd_dip/sin(dip)"));
            let (dips, wants) = (
                list(&check.row.inputs["dip"]),
                list(check.expected("values")),
            );
            assert_eq!((dips.len(), wants.len()), (DRAWN.len(), DRAWN.len()));
            let mut draw = Random::new(1976);
            for ((dip, want), drawn) in dips.into_iter().zip(wants).zip(DRAWN) {
                let got = noise.strike_sd_deg(Dip::from_deg(dip).expect("in range"));
                check.near("values", got, want);
                // Three standard errors of 50,000 draws are 1 %, and half of the note's last place.
                let got = drawn_strike_sd_deg(dip, sd, &mut draw);
                check.near_within("drawn", got, drawn, 0.01 * drawn + 0.005);
            }
        }
        "tol-dip-1deg" => {
            let least = check
                .expected("dip_accuracy_deg")
                .as_f64()
                .expect("a number");
            for kind in Instrument::ALL {
                let sd = default_noise(kind).dip_sd_deg();
                assert!(sd >= least, "{kind:?} claims a dip to {sd}");
            }
        }
        "tol-pace-compass" => {
            let limits = list(check.expected("bearing_deg"));
            for kind in Instrument::ALL {
                let sd = kind.spread().needle_deg;
                assert!(limits[0] <= sd && sd <= limits[1], "{kind:?} {sd}");
            }
        }
        "tol-kappa-angles" => {
            let (sds, wants) = (
                list(&check.row.inputs["sd_deg"]),
                list(check.expected("kappa")),
            );
            assert_eq!(sds.len(), wants.len());
            for (sd, want) in sds.into_iter().zip(wants) {
                let got = fisher(&cone(want)).expect("directions");
                check.near("kappa", got.concentration, want);
                // The angle that goes with it, as near as a concentration within the tolerance has it.
                let by = sd * check.tolerance() / (2.0 * want);
                check.near_within("sd_deg", got.sd_deg, sd, by);
            }
        }
        "tol-safe-distances" => {}
        id => panic!("{id} is not checked"),
    }
}

#[test]
fn every_published_value_is_checked_or_listed() {
    check_all("tolerances", LATER, check_row);
}
