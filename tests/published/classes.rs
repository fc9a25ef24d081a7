//! Words for sizes and for folds against the tables that bound them.

use hingeline::orientation::classes::{bed, grain, phi, spacing};
use hingeline::orientation::folds::tightness;
use hingeline::orientation::section::{Measured, thickness_m};
use hingeline::orientation::{Line, Noise, Plane};
use serde_json::Value;

use super::{Check, check_all};

/// How a tape is laid and read: for people, nothing that is computed.
const LISTED: &[(&str, &str, &str)] = &[
    (
        "cls-isrm-spacing-method",
        "tape",
        "how long a tape to lay: an instruction to the person",
    ),
    (
        "cls-isrm-spacing-method",
        "distance_accuracy",
        "how well to read the tape: an instruction to the person",
    ),
    (
        "cls-isrm-spacing-method",
        "angle",
        "how well to read the angle: an instruction to the person",
    ),
];

fn numbers(value: &Value) -> Vec<f64> {
    let list = value.as_array().expect("a list");
    list.iter().map(|v| v.as_f64().expect("a number")).collect()
}

/// A number as a table writes it: `1/256`, `0.0625`.
fn number(text: &str) -> f64 {
    let parse = |t: &str| t.parse::<f64>().unwrap_or_else(|e| panic!("`{t}`: {e}"));
    match text.split_once('/') {
        Some((one, many)) => parse(one) / parse(many),
        None => parse(text),
    }
}

/// The bounds of a class as a table writes them: `<0.3`, `3-10`, `>100`.
fn bounds(text: &str) -> (f64, f64) {
    if let Some(high) = text.strip_prefix('<') {
        (0.0, number(high))
    } else if let Some(low) = text.strip_prefix('>') {
        (number(low), f64::INFINITY)
    } else {
        let (low, high) = text.split_once('-').expect("two bounds");
        (number(low), number(high))
    }
}

/// Every class of a table is told of its lower bound, of its middle, and up to just below its upper bound.
#[track_caller]
fn check_classes(classes: &Value, told: fn(f64) -> Option<&'static str>) {
    let classes = classes.as_object().expect("classes");
    assert!(classes.len() > 5);
    for (name, text) in classes {
        let (low, high) = bounds(text.as_str().expect("bounds"));
        let middle = if high.is_finite() {
            (low + high) / 2.0
        } else {
            10.0 * low
        };
        for size in [low, middle, high * (1.0 - 1e-12)] {
            let words = told(size).map(|w| w.replace(' ', "_"));
            assert_eq!(words.as_ref(), Some(name), "{size}, {text}");
        }
    }
}

fn check_row(check: &mut Check<'_>) {
    match check.row.id.as_str() {
        "cls-isrm-spacing" => {
            let bounds = numbers(check.expected("bounds_mm"));
            let terms = check.expected("terms").as_array().expect("a list");
            assert_eq!(terms.len(), bounds.len() + 1);
            for distance in numbers(&check.row.inputs["spacing_mm"]) {
                // The table shares its bounds; the lower one is taken in, as the row's note has it.
                let place = bounds.iter().filter(|b| distance >= **b).count();
                assert_eq!(spacing(distance), terms[place].as_str(), "{distance} mm");
            }
        }
        "cls-isrm-spacing-method" => {
            assert_eq!(check.expected("S"), "dm sin(alpha)");
            // A level tape across planes that dip as steeply as the tape meets them.
            let planes = Plane::from_deg(0.0, check.number("alpha_deg")).expect("in range");
            let tape = Line::from_deg(90.0, 0.0).expect("in range");
            let apart = Measured {
                value: check.number("dm"),
                sd: 0.0,
            };
            let got = thickness_m(&planes, &tape, apart, &Noise::default());
            check.agrees("S_m", got.value);
        }
        "cls-wentworth" => {
            check_classes(check.expected("mm_bounds"), grain);
            let sizes = check.expected("phi").as_object().expect("sizes");
            for (size, want) in sizes {
                // `mm0_0625` is 0.0625 mm.
                let size = number(&size.trim_start_matches("mm").replace('_', "."));
                check.near("phi", phi(size), want.as_f64().expect("a number"));
            }
        }
        "cls-ingram" => check_classes(check.expected("cm"), bed),
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
    check_all("classes", LISTED, check_row);
}
