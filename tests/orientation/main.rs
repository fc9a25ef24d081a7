//! The orientation library against turned rigid bodies, simulated noise and worked examples.
#![cfg(not(target_arch = "wasm32"))]

mod angles;
mod geometry;

mod notation;
mod pair;

mod adjustment;
mod company;
mod dials;
mod instrument;
mod instrument_bodies;
mod instrument_dials;
mod mean;
mod noise;

mod net;

mod statistics;

mod properties;

mod structure;

mod neighbours;

/// A source of numbers that is the same every time, so that a simulation is repeatable: a 64-bit linear congruential
/// generator (Knuth's MMIX constants, from memory; any constants that mix well would do).
struct Dice(u64);

impl Dice {
    fn uniform(&mut self) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        f64::from(u32::try_from(self.0 >> 32).expect("32 bits are left")) / 4_294_967_296.0
    }

    /// Standard normal, by Box and Muller's transform.
    fn normal(&mut self) -> f64 {
        let (u, v) = (1.0 - self.uniform(), self.uniform());
        (-2.0 * u.ln()).sqrt() * (std::f64::consts::TAU * v).cos()
    }
}

/// Degrees agree within a billionth.
#[track_caller]
fn check_deg(got: f64, expected: f64) {
    assert!(
        (got - expected).abs() < 1e-9,
        "got {got}, expected {expected}"
    );
}
