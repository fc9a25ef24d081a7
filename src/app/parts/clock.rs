//! The clock and the dice of the browser: the only place the app asks for the time or for an id.

use js_sys::{Date, Promise};
use leptos::prelude::window;
use wasm_bindgen_futures::JsFuture;

/// Now, RFC 3339 with the offset of the device's own clock.
pub(crate) fn now() -> String {
    let date = Date::new_0();
    let offset = -date.get_timezone_offset();
    let minutes = offset.abs();
    format!(
        "{:04}-{:02}-{:02}T{:02}:{:02}:{:02}.{:03}{}{:02}:{:02}",
        date.get_full_year(),
        date.get_month() + 1,
        date.get_date(),
        date.get_hours(),
        date.get_minutes(),
        date.get_seconds(),
        date.get_milliseconds(),
        if offset < 0.0 { '-' } else { '+' },
        (minutes / 60.0).floor(),
        minutes % 60.0,
    )
}

/// The local hour and minute now.
pub(crate) fn hour_minute() -> (u8, u8) {
    let date = Date::new_0();
    let small = |n: u32| u8::try_from(n).unwrap_or(0);
    (small(date.get_hours()), small(date.get_minutes()))
}

/// Milliseconds of a clock that only goes on, from the page's start.
pub(crate) fn running_ms() -> f64 {
    window().performance().map_or(0.0, |clock| clock.now())
}

/// A fresh random id (UUID, version 4) from the browser's own generator.
#[allow(clippy::cast_possible_truncation)] // a number under 16
pub(crate) fn fresh_id() -> String {
    web_sys::window()
        .and_then(|w| w.crypto().ok())
        .map(|c| c.random_uuid())
        .unwrap_or_else(|| {
            // Outside a secure context there is no generator of ids; the random numbers of the engine stand in.
            (0..32)
                .map(|_| {
                    char::from_digit(
                        js_sys::Math::floor(js_sys::Math::random() * 16.0) as u32 % 16,
                        16,
                    )
                    .unwrap_or('0')
                })
                .collect()
        })
}

/// Lets the browser do what it has to do, then goes on.
pub(crate) async fn moment() {
    let promise = Promise::new(&mut |done, _| {
        // A window always takes a timer.
        let _ = window().set_timeout_with_callback_and_timeout_and_arguments_0(&done, 10);
    });
    // The promise is only ever fulfilled.
    let _ = JsFuture::from(promise).await;
}

/// Lets the browser show what was put on the page, then goes on. A page that is out of sight is not waited for.
pub(crate) async fn painted() {
    /// Frames come sooner than this, in milliseconds, where they come at all.
    const AT_MOST: i32 = 100;
    let promise = Promise::new(&mut |done, _| {
        // A window always takes a frame and a timer.
        let _ = window().request_animation_frame(&done);
        let _ = window().set_timeout_with_callback_and_timeout_and_arguments_0(&done, AT_MOST);
    });
    // The promise is only ever fulfilled.
    let _ = JsFuture::from(promise).await;
    moment().await;
}
