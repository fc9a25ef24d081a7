//! The camp's command line: reading notation, checking, joining and handing over books.

#[cfg(not(target_arch = "wasm32"))]
mod command;

#[cfg(not(target_arch = "wasm32"))]
mod written;

#[cfg(not(target_arch = "wasm32"))]
mod progress;

#[cfg(not(target_arch = "wasm32"))]
mod gather;

#[cfg(not(target_arch = "wasm32"))]
mod join;

#[cfg(not(target_arch = "wasm32"))]
mod changes;

#[cfg(not(target_arch = "wasm32"))]
mod paths;

#[cfg(not(target_arch = "wasm32"))]
mod doctor;

#[cfg(not(target_arch = "wasm32"))]
mod show;

#[cfg(not(target_arch = "wasm32"))]
mod read;

#[cfg(not(target_arch = "wasm32"))]
mod check;

#[cfg(not(target_arch = "wasm32"))]
mod declination;

#[cfg(not(target_arch = "wasm32"))]
mod reckon;

#[cfg(not(target_arch = "wasm32"))]
mod figures;

#[cfg(not(target_arch = "wasm32"))]
mod hand_over;

#[cfg(not(target_arch = "wasm32"))]
mod import;

#[cfg(not(target_arch = "wasm32"))]
fn main() -> std::process::ExitCode {
    command::run()
}

#[cfg(target_arch = "wasm32")]
fn main() {}
