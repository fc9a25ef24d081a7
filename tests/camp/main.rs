//! `camp` as it is run, command by command: its answers in words and as JSON, and its exit codes.

#![cfg(not(target_arch = "wasm32"))]
#![allow(
    clippy::unwrap_used,
    reason = "the whole room is tests and what they share"
)]

mod run;

mod read;

mod declination;

mod check;

mod figures;

mod reckon;

mod join;

mod changes;

mod doctor;

mod paths;

mod show;
