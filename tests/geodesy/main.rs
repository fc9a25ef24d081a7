//! The wing `geodesy` against laws that hold everywhere; its published values are checked in `tests/published`.
#![cfg(not(target_arch = "wasm32"))]

mod magnetic;
