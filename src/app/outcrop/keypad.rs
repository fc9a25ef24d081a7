//! The keypad: our own keys, no system keyboard, places that do not move.

use leptos::prelude::*;

use crate::app::drawing::{Icon, icon, side_disc};
use crate::app::outcrop::between;
use crate::app::outcrop::kinds;
use crate::app::outcrop::open::{Key, number};
use crate::app::outcrop::photos::PhotoKey;
use crate::app::parts::tablet::{Panel, Tablet};
use crate::notebook::Form;
use crate::orientation::Dial;

/// The keys of the present reading.
#[component]
pub(in crate::app) fn Keypad() -> impl IntoView {
    let tablet = Tablet::expect();
    let digit = move |n: u8| {
        view! {
            <button
                class=format!("key digit k{n}")
                data-testid=format!("key-{n}")
                on:click=move |_| tablet.press(Key::Digit(n))
            >
                {n}
            </button>
        }
    };
    let part = Memo::new(move |_| tablet.open.with(|o| o.as_ref()?.next_part()));
    let finished = Memo::new(move |_| {
        tablet
            .open
            .with(|o| o.as_ref().is_some_and(|o| o.is_finished()))
    });
    let struck = Memo::new(move |_| {
        tablet.open.with(|o| {
            o.as_ref()
                .and_then(|o| o.reading.shots.get(o.shown_at()).map(|s| s.struck_out))
        })
    });
    let again = Memo::new(move |_| {
        tablet.open.with(|o| {
            o.as_ref()
                .map(|o| format!("{} again", kinds::words(&o.reading.kind)))
        })
    });
    view! {
        <div class="keypad" role="group" aria-label="keypad">
            <SideKey index=0/>
            <SideKey index=1/>
            {(0..=9).map(digit).collect_view()}
            <button
                class="key so"
                data-testid="strike-out"
                disabled=move || struck.get().is_none()
                on:click=move |_| tablet.press(Key::StrikeShot)
            >
                <span aria-hidden="true" inner_html=icon(Icon::Strike)></span>
                {move || if struck.get() == Some(true) { "Put shot back" } else { "Strike out shot" }}
            </button>
            <button class="key nt" data-testid="words" on:click=move |_| tablet.panel.set(Panel::Words)>
                <span aria-hidden="true" inner_html=icon(Icon::Note)></span>
                "Note, tops"
            </button>
            <PhotoKey class="key ph" id="photo" station=Signal::derive(move || tablet.standing_at()) with_open=true/>
            <button class="key next-reading nx" class:on=move || finished.get() data-testid="next-reading" on:click=move |_| tablet.next_reading()>
                <span aria-hidden="true" inner_html=icon(Icon::Next)></span>
                <span><b>"Next reading"</b><span>{again}</span></span>
            </button>
            <button class="key bk" data-testid="key-back" on:click=move |_| tablet.press(Key::Back)>
                <span aria-hidden="true" inner_html=icon(Icon::Back)></span>
                "back"
            </button>
            <button class="key nd" data-testid="key-next" on:click=move |_| tablet.press(Key::NextDial)>
                {move || if let Some(sign) = part.get() {
                    let words = match sign {
                        "¼" => "a quarter degree",
                        "½" => "half a degree",
                        "¾" => "three quarters",
                        _ => "whole degree",
                    };
                    let sign = if sign.is_empty() { "°" } else { sign };
                    view! { <span class="num">{sign}</span>{words} }.into_any()
                } else {
                    view! { <span aria-hidden="true" inner_html=icon(Icon::Step)></span>"next dial" }.into_any()
                }}
            </button>
        </div>
    }
}

/// What a side key shows.
#[derive(Clone, PartialEq)]
struct Side {
    state: &'static str,
    word: String,
    azimuth: String,
    spoken: String,
    strike: Option<f64>,
    right: bool,
    line: bool,
}

#[component]
fn SideKey(index: usize) -> impl IntoView {
    let tablet = Tablet::expect();
    let plane = Memo::new(move |_| {
        let (angle, id, notation) = tablet.open.with(|o| {
            o.as_ref().map_or((false, None, Default::default()), |o| {
                let id = o.reading.planes.get(index).cloned();
                (o.reading.form == Form::Angle, id, o.notation)
            })
        });
        angle.then(|| tablet.read(|shelf| between::shown(shelf, &id?, notation)))
    });
    let side = Memo::new(move |_| {
        if let Some(plane) = plane.get() {
            let (number, words) = plane.map_or_else(
                || ("plane?".to_owned(), String::new()),
                |plane| (plane.number, plane.words),
            );
            return Side {
                state: if words.is_empty() { "unknown" } else { "other" },
                spoken: format!(
                    "between {}, {}; touch for another plane",
                    number.replace('·', " dot "),
                    words.replace('/', " slash ").replace('→', " toward ")
                ),
                word: number,
                azimuth: words.replace('→', " to "),
                strike: None,
                right: false,
                line: true,
            };
        }
        tablet.open.with(|open| {
            let unknown = Side {
                state: "unknown",
                word: "side".to_owned(),
                azimuth: String::new(),
                spoken: "side, not known before the strike".to_owned(),
                strike: None,
                right: false,
                line: false,
            };
            let Some(open) = open else {
                return unknown;
            };
            if let Some(letters) = open.letters() {
                return Side {
                    state: if open.wants_letter() {
                        "waiting"
                    } else {
                        "other"
                    },
                    word: letters[index].to_owned(),
                    azimuth: String::new(),
                    spoken: format!("{} of the quadrant", spoken_wind(letters[index])),
                    line: true,
                    ..unknown
                };
            }
            let chosen = open.side_chosen() == Some(index);
            if open.reading.form == Form::Line {
                let word = if index == 0 { "down" } else { "up" };
                return Side {
                    state: if chosen { "chosen" } else { "other" },
                    word: word.to_owned(),
                    azimuth: String::new(),
                    spoken: format!("the line points {word} along its trend"),
                    line: true,
                    ..unknown
                };
            }
            let Some(sides) = open.sides() else {
                return unknown;
            };
            let (wind, toward) = sides[index];
            let strike = open.shown().get(Dial::Strike).and_then(number);
            Side {
                state: if chosen {
                    "chosen"
                } else if open.here == Some(Dial::Side) {
                    "waiting"
                } else {
                    "other"
                },
                word: wind.to_owned(),
                azimuth: format!("{toward:03.0}"),
                spoken: format!("dips {}, toward {toward:03.0}", spoken_wind(wind)),
                strike,
                right: strike.is_some_and(|s| {
                    (toward - s - 90.0).rem_euclid(360.0) < 1.0
                        || (toward - s - 90.0).rem_euclid(360.0) > 359.0
                }),
                line: false,
            }
        })
    });
    view! {
        <button
            class=move || {
                let between = if plane.get().is_some() { " between" } else { "" };
                format!("key side s{index} {}{between}", side.get().state)
            }
            data-testid=if index == 0 { "side-first" } else { "side-second" }
            data-state=move || side.get().state
            aria-pressed=move || (side.get().state == "chosen").to_string()
            on:click=move |_| tablet.press(Key::Side(index))
        >
            <span class="hidden-words">{move || side.get().spoken}</span>
            {move || (!side.get().line).then(|| view! {
                <span class="disc" aria-hidden="true" inner_html=move || { let s = side.get(); side_disc(s.strike, s.right) }></span>
            })}
            <span class="names" aria-hidden="true">
                <span class=move || if side.get().strike.is_some() || side.get().line { "wind" } else { "" }>{move || side.get().word}</span>
                <span class="az">{move || side.get().azimuth}</span>
            </span>
        </button>
    }
}

/// A compass wind as it is spoken: SE is south-east.
pub(in crate::app) fn spoken_wind(wind: &str) -> String {
    wind.chars()
        .map(|c| match c {
            'N' => "north",
            'E' => "east",
            'S' => "south",
            'W' => "west",
            _ => "",
        })
        .collect::<Vec<_>>()
        .join("-")
}
