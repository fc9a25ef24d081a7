//! The hand-over against what its formats ask for: counts, columns, values, round trips, hostile texts.
#![cfg(not(target_arch = "wasm32"))]
#![allow(
    clippy::unwrap_used,
    reason = "the whole target is tests and what they share"
)]

mod made;

mod tables;

mod formats;

mod hostile;

mod command;
