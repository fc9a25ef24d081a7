//! The wing `geodesy` against laws that hold everywhere and against a general geodetic library; its published values are
//! checked in `tests/published`.
#![cfg(not(target_arch = "wasm32"))]

mod magnetic;

mod grid;

mod sighting;

mod traverse;

mod attraction;

/// The two numbers agree within the tolerance.
#[track_caller]
fn check_near(got: f64, want: f64, tolerance: f64) {
    assert!(
        (got - want).abs() <= tolerance,
        "got {got}, not {want} ± {tolerance}"
    );
}
