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

/// Makes room for one of the two book files of `workbench bench`; gives where it begins.
#[cfg(target_arch = "wasm32")]
#[wasm_bindgen::prelude::wasm_bindgen]
pub fn books_room(side: usize, bytes: usize) -> usize {
    trial::books::room(side, bytes)
}

/// One step of what is done with the two books; gives what came of it.
#[cfg(target_arch = "wasm32")]
#[wasm_bindgen::prelude::wasm_bindgen]
pub fn books_step(step: usize) -> usize {
    trial::books::step(step)
}

/// In WebAssembly nothing is done at the start: a script calls what is timed.
#[cfg(target_arch = "wasm32")]
fn main() {}

/// One round of a task of `workbench bench readings`.
#[cfg(target_arch = "wasm32")]
#[wasm_bindgen::prelude::wasm_bindgen]
pub fn readings(task: usize) {
    trial::work::round(task);
}

/// One round of a task of `workbench bench net`; gives its answer.
#[cfg(target_arch = "wasm32")]
#[wasm_bindgen::prelude::wasm_bindgen]
pub fn net(task: usize) -> f64 {
    trial::net::round(task)
}
