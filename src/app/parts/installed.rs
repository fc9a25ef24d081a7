//! Whether this page is the installed app: some browsers keep a book of its own for that.

use js_sys::{Function, Reflect};
use leptos::prelude::window;
use wasm_bindgen::JsCast;

/// True where the page was opened as an installed app, from a home screen or a menu of programs.
pub(crate) fn is_installed() -> bool {
    let truthy = |object: &wasm_bindgen::JsValue, key: &str| {
        Reflect::get(object, &key.into()).is_ok_and(|value| value.is_truthy())
    };
    // The first is an older property that some still say it by, the second is the standard's (CSS, Media Queries 5).
    truthy(&window().navigator(), "standalone")
        || Reflect::get(&window(), &"matchMedia".into())
            .and_then(|ask| ask.dyn_into::<Function>())
            .and_then(|ask| ask.call1(&window(), &"(display-mode: standalone)".into()))
            .is_ok_and(|answer| truthy(&answer, "matches"))
}
