//! Which tab this is: the first of a tablet holds a lock and writes under the tablet's own name.

use std::cell::RefCell;

use js_sys::{Function, Object, Promise, Reflect};
use leptos::prelude::*;
use wasm_bindgen::closure::Closure;
use wasm_bindgen::{JsCast, JsValue};

use super::clock;

const LOCK: &str = "hingeline-first-tab";

thread_local! {
    static SUFFIX: RefCell<Option<String>> = const { RefCell::new(None) };
}

/// The suffix of this tab's name; none in the first tab.
pub(crate) fn suffix() -> Option<String> {
    SUFFIX.with_borrow(Clone::clone)
}

/// Asks for the lock; where another tab holds it, this one gets a name of its own.
///
/// A browser without locks lets every tab write under one name, which a join then reports as a cloned tablet.
pub(crate) fn claim() {
    let ask = || -> Result<(), JsValue> {
        let locks = Reflect::get(&window().navigator(), &"locks".into())?;
        let request: Function = Reflect::get(&locks, &"request".into())?.dyn_into()?;
        let options = Object::new();
        Reflect::set(&options, &"ifAvailable".into(), &true.into())?;
        let held = Closure::once_into_js(|lock: JsValue| -> JsValue {
            if lock.is_null() {
                let id = clock::fresh_id();
                SUFFIX.set(Some(id.get(..8).unwrap_or("tab").to_owned()));
                return JsValue::UNDEFINED;
            }
            // A promise that never settles: the lock is held until the tab ends.
            Promise::new(&mut |_, _| {}).into()
        });
        request.call3(&locks, &LOCK.into(), &options, &held)?;
        Ok(())
    };
    // Without locks there is nothing to hold; see above.
    let _ = ask();
}
