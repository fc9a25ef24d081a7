//! The app in a real browser, release build.
#![cfg(not(target_arch = "wasm32"))]
