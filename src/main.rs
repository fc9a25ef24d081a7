//! Mounts the web app; on the desktop it says how to start it.

fn main() {
    println!("This is the web app: run `cargo serve` and open the address it prints.");
}
