//! `workbench bench`: what the inner work costs, each task beside the plain way to the same, in one run.

mod machine;

mod readings;

mod net;

mod redraw;

mod books;

mod store;

use std::path::Path;

use clap::ValueEnum;

/// What is timed together.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(super) enum Part {
    /// The adjustment, the diagnosis and a declination
    Readings,
    /// Projecting, a tensor, a density, and drawing the net anew
    Net,
    /// A join of two books, a large book file opened and written
    Books,
    /// In the browser: a thousand saves, the first line of a long book
    Store,
}

/// Times the parts that are named, all of them where none is; in WebAssembly too unless only the native build is asked for.
/// What is timed in the browser is this build of the app, or a new one.
pub(super) fn bench(parts: &[Part], native_only: bool, dist: Option<&Path>) -> Result<(), String> {
    if cfg!(debug_assertions) {
        eprintln!(
            "this is a debug build: `cargo run -q --release --bin workbench -- bench` times what is shipped"
        );
    }
    let all = Part::value_variants();
    let mut first = true;
    for part in all.iter().filter(|p| parts.is_empty() || parts.contains(p)) {
        if !std::mem::take(&mut first) {
            println!();
        }
        match part {
            Part::Readings => readings::bench(native_only)?,
            Part::Net => net::bench(native_only, dist)?,
            Part::Books => books::bench(native_only)?,
            Part::Store if native_only => {}
            Part::Store => store::bench(dist)?,
        }
    }
    Ok(())
}

/// Prints how many times as fast we are, and whether that is what we aim at.
fn print_ratio(ratio: f64, aim: f64, named: &str, theirs_ms: f64) {
    let word = if ratio >= aim { "met" } else { "MISSED" };
    println!("  {ratio:>8.1} times as fast as {named}, {theirs_ms:.2} ms (aim {aim}: {word})");
}
