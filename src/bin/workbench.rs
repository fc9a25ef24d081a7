//! The developer's commands behind `cargo serve` and `cargo verify`.

#[cfg(not(target_arch = "wasm32"))]
#[path = "workbench/mod.rs"]
mod workbench;

#[cfg(not(target_arch = "wasm32"))]
fn main() -> std::process::ExitCode {
    workbench::main()
}

#[cfg(target_arch = "wasm32")]
#[path = "workbench/trial/mod.rs"]
#[allow(dead_code, reason = "only what is timed runs here")]
mod trial;

/// In WebAssembly: one round of the next task of `workbench bench`, at each start.
#[cfg(target_arch = "wasm32")]
fn main() {
    trial::work::next();
}
