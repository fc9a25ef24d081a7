//! The day on paper.

use js_sys::{Function, Reflect};
use leptos::html::Div;
use leptos::prelude::*;
use wasm_bindgen::JsCast;
use wasm_bindgen::closure::Closure;

use super::page::Page;
use super::sheet;
use crate::app::drawing::{Icon, icon};
use crate::app::parts::clock;
use crate::app::written::day_words;

/// What prints the day.
#[component]
pub(super) fn PrintPlate() -> impl IntoView {
    let print = move |_| {
        // A browser that cannot print does nothing; there is no other way to tell.
        let _ = window().print();
    };
    view! {
        <button class="plate" data-testid="print-day" on:click=print>
            <span aria-hidden="true" inner_html=icon(Icon::Note)></span>"Print the day"
        </button>
    }
}

/// The printed page: written when the browser is about to print, so that it costs nothing before.
#[component]
pub(super) fn Sheet(page: Page) -> impl IntoView {
    let sheet = NodeRef::<Div>::new();
    let write = move || {
        let (Some(sheet), Some(Some(day))) = (
            sheet.try_get_untracked().flatten(),
            page.shown
                .try_with_untracked(|s| s.as_ref().map(|s| s.day.clone())),
        ) else {
            return;
        };
        let notation = page.tablet.settings.with_untracked(|s| s.notation);
        let doubts = page.found.with_untracked(|f| f.doubts.clone());
        let today = day_words(clock::now().get(..10).unwrap_or_default());
        let html = page
            .tablet
            .read_once(|shelf| sheet::html(&shelf.pages, &day, notation, &doubts, &today));
        sheet.set_inner_html(&html);
    };
    let before = window_event_listener(
        leptos::ev::Custom::<web_sys::Event>::new("beforeprint"),
        move |_| write(),
    );
    on_cleanup(move || before.remove());
    // A page that is only shown as it would print says so by its medium.
    if let Some(medium) = print_medium() {
        let turned = medium.clone();
        let heard = Closure::<dyn FnMut()>::new(move || {
            if Reflect::get(&turned, &"matches".into()).is_ok_and(|m| m.is_truthy()) {
                write();
            }
        });
        // What can be asked about a medium tells when it turns.
        let _ = medium.add_event_listener_with_callback("change", heard.as_ref().unchecked_ref());
        let kept = StoredValue::new_local((medium, heard));
        on_cleanup(move || {
            // Nothing is left to call it.
            let _ = kept.try_with_value(|(medium, heard)| {
                medium.remove_event_listener_with_callback("change", heard.as_ref().unchecked_ref())
            });
        });
    }
    view! { <div class="day-sheet" node_ref=sheet data-testid="day-sheet"></div> }
}

/// What tells whether the page is shown as it would print.
fn print_medium() -> Option<web_sys::EventTarget> {
    let ask: Function = Reflect::get(&window(), &"matchMedia".into())
        .ok()?
        .dyn_into()
        .ok()?;
    ask.call1(&window(), &"print".into()).ok()?.dyn_into().ok()
}
