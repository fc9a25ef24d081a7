//! The developer's commands behind `cargo serve` and `cargo verify`.

#[cfg(not(target_arch = "wasm32"))]
#[path = "workbench/mod.rs"]
mod workbench;

#[cfg(not(target_arch = "wasm32"))]
fn main() -> std::process::ExitCode {
    workbench::main()
}

#[cfg(target_arch = "wasm32")]
fn main() {}
