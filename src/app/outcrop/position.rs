//! The position of a station: from the device, or typed as latitude and longitude on keys of our own.

use leptos::prelude::*;
use wasm_bindgen::JsCast;
use wasm_bindgen::closure::Closure;
use web_sys::PositionOptions;

use crate::app::outcrop::place::{Axis, TypedAngle};
use crate::app::parts::tablet::Tablet;
use crate::notebook::Position;

/// What the device has answered.
#[derive(Clone, Debug, PartialEq)]
enum Fix {
    Not,
    Waiting,
    Failed(&'static str),
}

/// Asks the device and takes typed degrees; both are normal ways to know where one stands.
#[component]
pub(in crate::app) fn PositionEditor(
    field: String,
    record: String,
    now: Option<Position>,
    done: Callback<()>,
) -> impl IntoView {
    let tablet = Tablet::expect();
    let fix = RwSignal::new(Fix::Not);
    let drafted: Option<(TypedAngle, TypedAngle)> = tablet
        .drafted_words(&field)
        .and_then(|text| serde_json::from_str(&text).ok());
    let (north, east) = drafted.unwrap_or_else(|| {
        (
            TypedAngle::from_deg(now.as_ref().map(|p| p.latitude), Axis::Latitude),
            TypedAngle::from_deg(now.as_ref().map(|p| p.longitude), Axis::Longitude),
        )
    });
    let latitude = RwSignal::new(north);
    let longitude = RwSignal::new(east);
    let field = StoredValue::new(field);
    let draft = move || {
        let typed = (latitude.get_untracked(), longitude.get_untracked());
        if let Ok(text) = serde_json::to_string(&typed) {
            tablet.draft_words(&field.get_value(), &text);
        }
    };
    let leave = move || {
        tablet.end_words(&field.get_value());
        done.run(());
    };
    let at = RwSignal::new(Axis::Latitude);
    let record = StoredValue::new(record);
    let keep = move |position: Position| {
        tablet.change_station(&record.get_value(), |s| s.position = Some(position));
        leave();
    };
    let ask = move |_| {
        fix.set(Fix::Waiting);
        let Ok(geolocation) = window().navigator().geolocation() else {
            fix.set(Fix::Failed(
                "this browser cannot ask the device; type the position",
            ));
            return;
        };
        let found = Closure::once_into_js(move |position: web_sys::Position| {
            let c = position.coords();
            keep(Position {
                latitude: c.latitude(),
                longitude: c.longitude(),
                height_m: c.altitude(),
                accuracy_m: Some(c.accuracy()),
                source: "device".to_owned(),
                ..Position::default()
            });
        });
        let failed = Closure::once_into_js(move |error: web_sys::PositionError| {
            fix.set(Fix::Failed(match error.code() {
                1 => "the device was not allowed to say where it is; type the position, or allow it in the browser's settings",
                3 => "no fix within a minute; step away from the face and ask again, or type the position",
                _ => "no fix here; step away from the face and ask again, or type the position",
            }));
        });
        let options = PositionOptions::new();
        options.set_enable_high_accuracy(true);
        options.set_timeout(60_000);
        options.set_maximum_age(0);
        let asked = geolocation.get_current_position_with_error_callback_and_options(
            found.unchecked_ref(),
            Some(failed.unchecked_ref()),
            &options,
        );
        if asked.is_err() {
            fix.set(Fix::Failed(
                "this browser cannot ask the device; type the position",
            ));
        }
    };
    let angle = move |axis: Axis| match axis {
        Axis::Latitude => latitude,
        Axis::Longitude => longitude,
    };
    let push = move |c: char| {
        angle(at.get_untracked()).update(|a| a.push(c));
        draft();
    };
    let key = move |c: char| view! { <button class="key digit" data-testid=format!("place-key-{c}") on:click=move |_| push(c)>{c.to_string()}</button> };
    let typed = move |axis: Axis, word: &'static str, id: &'static str| {
        view! {
            <div class="number-row">
                <span class="word">{word}</span>
                <button class="typed" data-testid=id class:here=move || at.get() == axis on:click=move |_| at.set(axis)
                    aria-label=move || format!("{word}, {}", angle(axis).get().spoken())>
                    {move || angle(axis).get().shown()}
                </button>
                <button class="plate" data-testid=format!("{id}-side") on:click=move |_| { angle(axis).update(TypedAngle::turn); draft(); }>
                    {move || angle(axis).get().side_word()}
                </button>
            </div>
        }
    };
    let trouble = Memo::new(
        move |_| match (latitude.get().deg(), longitude.get().deg()) {
            (Err(words), _) | (_, Err(words)) => Some(words),
            _ => None,
        },
    );
    let keep_typed = move |_| {
        if let (Ok(lat), Ok(lon)) = (
            latitude.get_untracked().deg(),
            longitude.get_untracked().deg(),
        ) {
            keep(Position {
                latitude: lat,
                longitude: lon,
                source: "typed".to_owned(),
                typed: Some(format!(
                    "{} {}",
                    latitude.get_untracked().shown(),
                    longitude.get_untracked().shown()
                )),
                ..Position::default()
            });
        }
    };
    view! {
        <div class="editor" data-testid="position-editor">
            <div class="row">
                <button class="plate" data-testid="ask-device" disabled=move || fix.get() == Fix::Waiting on:click=ask>
                    {move || if fix.get() == Fix::Waiting { "Waiting for a fix …" } else { "Ask the device" }}
                </button>
            </div>
            <p role="status" data-testid="fix-words">{move || match fix.get() {
                Fix::Failed(words) => words.to_owned(),
                Fix::Waiting => "Open sky helps. You can go on meanwhile.".to_owned(),
                Fix::Not => "Or type it: degrees on WGS 84, a decimal point, or degrees minutes seconds with the ° key.".to_owned(),
            }}</p>
            {typed(Axis::Latitude, "latitude", "typed-latitude")}
            {typed(Axis::Longitude, "longitude", "typed-longitude")}
            <div class="pad-small">
                {['1', '2', '3', '4', '5', '6', '7', '8', '9', '0', '.', '°'].map(key).collect_view()}
            </div>
            <p role="status">{move || trouble.get().unwrap_or_default()}</p>
            <div class="row">
                <button class="plate" data-testid="place-back" on:click=move |_| { angle(at.get_untracked()).update(TypedAngle::back); draft(); }>"back"</button>
                <button class="plate" data-testid="place-next" on:click=move |_| at.update(|a| *a = a.other())>"the other one"</button>
                <button class="plate on" data-testid="place-keep" disabled=move || trouble.get().is_some() on:click=keep_typed>"Keep position"</button>
                <button class="plate" data-testid="place-leave" on:click=move |_| leave()>"Leave it"</button>
            </div>
        </div>
    }
}
