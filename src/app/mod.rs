//! Pages and parts. What can be decided without a browser is ungated and tested natively.

pub mod drawing;

/// Mounts the app in the page.
#[cfg(target_arch = "wasm32")]
pub fn start() {
    console_error_panic_hook::set_once();
    leptos::mount::mount_to_body(|| "Hingeline");
}
