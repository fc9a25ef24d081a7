//! The camp's command line: reading notation, checking, joining and handing over books.

#[cfg(not(target_arch = "wasm32"))]
fn main() {}

#[cfg(target_arch = "wasm32")]
fn main() {}
