//! Mounts the web app; on the desktop it says how to start it.

#[cfg(target_arch = "wasm32")]
fn main() {
    hingeline::app::start();
}

#[cfg(not(target_arch = "wasm32"))]
fn main() {
    println!("This is the web app: run `cargo serve` and open the address it prints.");
}
