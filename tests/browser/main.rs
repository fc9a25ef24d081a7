//! The app in a real browser, release build.
//!
//! Every test has its own server, its own chromedriver and its own profile, so that it may stop, kill or fill any of
//! them. A test waits for conditions, never for a time. `HINGELINE_DIST` names the build (default `dist`), `CHROME` and
//! `CHROMEDRIVER` the programs (default: those on the path), `HINGELINE_AXE` the rules of accessibility.
#![cfg(not(target_arch = "wasm32"))]
#![allow(clippy::unwrap_used, reason = "all of this is a test")]

mod bench;

mod entering;

mod doubting;

mod keeping;

mod failing;

mod offline;

mod carrying;

mod cloning;

mod copying;

mod bringing;
mod handing_over;

mod hostile;

mod installing;

mod joining;

mod settling;

mod photographing;

mod reaching;

mod growing;

mod traverse;

mod setting;

mod sighting;

mod net;

mod selecting;

mod storing;

mod figures;

mod focusing;

mod reckoning;

mod refusing;
