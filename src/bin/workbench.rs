//! The developer's commands behind `cargo serve` and `cargo verify`.

#[cfg(not(target_arch = "wasm32"))]
fn main() {}

#[cfg(target_arch = "wasm32")]
fn main() {}
