//! The net's projection, direction cosines and the words for folds against printed values.

use hingeline::orientation::folds::tightness;
use hingeline::orientation::{Hemisphere, Line, Projection};
use serde_json::Value;

use super::{Check, check_all};

const ROWS: &str = include_str!("../data/published/net.json");

fn numbers(value: &Value) -> Vec<f64> {
    let list = value.as_array().expect("a list");
    list.iter().map(|v| v.as_f64().expect("a number")).collect()
}

fn check_row(check: &mut Check<'_>) {
    match check.row.id.as_str() {
        "proj-laea-sphere-fwd" => {
            // A map is the net turned: longitude and latitude as seen from the map's middle, which becomes the vertical. The
            // net's radius is 1 where the sphere's is 1/√2.
            let at = |lon: f64, lat: f64| {
                Line::from_deg(lon.rem_euclid(360.0), -lat)
                    .expect("in range")
                    .vector()
            };
            let (middle, point) = (
                at(check.number("lon0"), check.number("lat1")),
                at(check.number("lon"), check.number("lat")),
            );
            let east = nalgebra::Vector3::z().cross(&middle).normalize();
            let north = middle.cross(&east);
            let seen =
                nalgebra::Vector3::new(point.dot(&north), point.dot(&east), point.dot(&middle));
            let (x, y) = Projection::EqualArea.project_beyond(Hemisphere::Lower, &seen);
            let scale = check.number("R") * 2.0_f64.sqrt();
            check.agrees("x", x * scale);
            check.agrees("y", -y * scale);
            check.agrees("kprime", x.hypot(y) * 2.0_f64.sqrt() / seen.x.hypot(seen.y));
        }
        "proj-direction-cosines-end" => {
            let line =
                Line::from_deg(check.number("trend"), check.number("plunge")).expect("in range");
            let v = line.vector();
            check.agrees("N", v.x);
            check.agrees("E", v.y);
            check.agrees("D", v.z);
        }
        "cls-fleuty-interlimb" => {
            let angles = numbers(&check.row.inputs["interlimb"]);
            let terms = check.expected("terms").as_object().expect("terms");
            for angle in angles {
                let word = tightness(angle);
                let bounds = terms[word].as_str().expect("bounds");
                let (high, low) = bounds.split_once('-').unwrap_or((bounds, bounds));
                let bound = |text: &str| text.parse::<f64>().expect("a number");
                // The source shares its bounds between neighbours; a whole degree is told to be isoclinal below a half.
                assert!(
                    bound(low) <= angle && angle <= bound(high),
                    "{angle} is called {word}, {bounds}"
                );
            }
            assert_eq!(terms["elasticas"], "negative");
            assert_eq!(tightness(-10.0), "elasticas");
        }
        other => panic!("no check for {other}"),
    }
}

#[test]
fn every_published_value_is_checked_or_listed() {
    check_all(ROWS, &[], check_row);
}
