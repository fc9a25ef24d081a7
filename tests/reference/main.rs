//! The library against general numerical libraries, where no printed value exists: `tests/data/reference/reference.json`, made
//! by the script beside it, which says with what.
//!
//! Rounding is all that may differ; where ours is an approximation by its published formula the check says how good it is.
#![cfg(not(target_arch = "wasm32"))]

mod spread;

mod chances;

use hingeline::orientation::Line;
use nalgebra::Vector3;
use serde::Deserialize;

/// The tables of one file.
#[derive(Deserialize)]
struct Tables {
    made: String,
    tensors: Vec<spread::OfTensor>,
    projections: Vec<spread::OfProjection>,
    densities: Vec<spread::OfDensity>,
    fisher: Vec<chances::OfFisher>,
    two: Vec<chances::OfTwo>,
    circular: Vec<chances::OfCircular>,
    chi2: Vec<[f64; 3]>,
    f: Vec<[f64; 4]>,
    f_quantiles: Vec<[f64; 4]>,
    t_quantiles: Vec<[f64; 3]>,
    kuiper: Vec<[f64; 2]>,
    kappas: Vec<[f64; 3]>,
}

fn tables() -> Tables {
    serde_json::from_str(include_str!("../data/reference/reference.json")).expect("tables")
}

/// Trends and plunges as unit vectors.
fn vectors(lines: &[[f64; 2]]) -> Vec<Vector3<f64>> {
    let vector = |line: &[f64; 2]| Line::from_deg(line[0], line[1]).expect("in range").vector();
    lines.iter().map(vector).collect()
}

/// The two numbers agree within so much, or within that share of the number where it is over 1.
#[track_caller]
fn check_near(what: &str, got: f64, want: f64, tolerance: f64) {
    assert!(
        (got - want).abs() <= tolerance * want.abs().max(1.0),
        "{what}: got {got}, not {want}"
    );
}

#[test]
fn the_file_says_with_what_it_was_made() {
    let script = include_str!("../data/reference/reference.py");
    let made = tables().made;
    for word in [
        "numpy 2.4.6",
        "scipy 1.17.1",
        "reference.py",
        "seed 20260614",
    ] {
        assert!(made.contains(word), "`{made}` lacks {word}");
    }
    for word in ["numpy==2.4.6", "scipy==1.17.1", "SEED = 20260614"] {
        assert!(script.contains(word), "the script lacks {word}");
    }
}
