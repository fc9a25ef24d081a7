//! The dials: every number on its own straightened graduated circle, whose line is the state of the number.

use std::fmt::Write as _;

use leptos::prelude::*;
use wasm_bindgen::JsCast;

use crate::app::drawing::{Limb, LineState, Scale, limb};
use crate::app::outcrop::doubt_page;
use crate::app::outcrop::open::{Key, Open, number, part};
use crate::app::outcrop::sentence::Finding;
use crate::app::parts::line::row_symbol;
use crate::app::parts::tablet::Tablet;
use crate::app::written::Row;
use crate::orientation::Dial;

/// The dials of the open reading and the plane drawn beside them.
#[component]
pub(in crate::app) fn Dials(finding: Memo<Finding>) -> impl IntoView {
    let tablet = Tablet::expect();
    let order = Memo::new(move |_| {
        tablet
            .open
            .with(|o| o.as_ref().map(Open::order).unwrap_or_default())
    });
    let five = Memo::new(move |_| order.get().len() > 3);
    let drawn = move || {
        let row = tablet.read(|shelf| {
            tablet.open.with(|o| {
                let o = o.as_ref()?;
                Row::of(
                    &shelf.pages,
                    Some((&o.preview(), false)),
                    &None,
                    o.notation,
                    0,
                )
            })
        });
        row.map(|row| row_symbol(&row, true)).unwrap_or_default()
    };
    view! {
        <div class="dials" class:five=move || five.get() role="group" aria-label="dials">
            {move || order.get().iter().map(|&dial| view! { <OneDial dial=dial finding=finding five=five/> }).collect_view()}
            {move || (!five.get()).then(|| view! { <div class="drawn" aria-hidden="true" inner_html=drawn></div> })}
        </div>
    }
}

#[component]
fn OneDial(dial: Dial, finding: Memo<Finding>, five: Memo<bool>) -> impl IntoView {
    let tablet = Tablet::expect();
    let state = Memo::new(move |_| {
        tablet
            .open
            .with(|o| {
                o.as_ref()
                    .map(|o| state(o, dial, finding.get().marked == Some(dial)))
            })
            .unwrap_or("empty")
    });
    let width = move || width(dial, tablet.width.get(), five.get());
    let html = move || {
        let state = state.get();
        tablet
            .open
            .with(|o| {
                o.as_ref()
                    .map(|o| html(o, dial, state, width(), tablet.width.get() < 700.0))
            })
            .unwrap_or_default()
    };
    let here = move || {
        tablet
            .open
            .with(|o| o.as_ref().is_some_and(|o| o.here == Some(dial)))
    };
    let spoken = move || {
        tablet.open.with(|o| {
            o.as_ref()
                .map(|o| spoken(o, dial, state.get()))
                .unwrap_or_default()
        })
    };
    let text = move || {
        tablet.open.with(|o| {
            o.as_ref()
                .and_then(|o| o.shown().get(dial).map(str::to_owned))
                .unwrap_or_default()
        })
    };
    let name = move || {
        tablet.open.with(|o| {
            o.as_ref()
                .map(|o| name(o, dial, tablet.width.get() < 700.0))
                .unwrap_or_default()
        })
    };
    view! {
        <button
            class="dial"
            class:quadrant=move || tablet.open.with(|o| o.as_ref().is_some_and(|o| o.is_quadrant(dial)))
            data-testid=format!("dial-{}", word(dial))
            data-value=text
            data-state=move || state.get()
            data-here=move || here().to_string()
            style:width=move || format!("{}px", width())
            on:click=move |event| {
                // The question mark stands on the limb; the digits are there to be typed over.
                let on_limb = event
                    .target()
                    .and_then(|t| t.dyn_into::<web_sys::Element>().ok())
                    .is_some_and(|part| matches!(part.closest(".limb"), Ok(Some(_))));
                if on_limb && state.get_untracked() == "doubt" && finding.with_untracked(|f| f.page.is_some()) {
                    doubt_page::open(tablet);
                } else {
                    tablet.press(Key::Touch(dial));
                }
            }
        >
            <span class="hidden-words">{spoken}</span>
            <span class="drawn-dial" aria-hidden="true" inner_html=html></span>
            <span class="name" aria-hidden="true">{name}</span>
        </button>
    }
}

/// The dial's word in attributes and speech.
pub(in crate::app) fn word(dial: Dial) -> &'static str {
    match dial {
        Dial::Strike => "strike",
        Dial::Dip => "dip",
        Dial::Side => "side",
        Dial::Toward => "toward",
        Dial::Trend => "trend",
        Dial::Plunge => "plunge",
        Dial::Rake => "rake",
        Dial::Angle => "angle",
        Dial::Bearing => "bearing",
        Dial::Vertical => "vertical",
    }
}

fn name(open: &Open, dial: Dial, phone: bool) -> String {
    match dial {
        Dial::Side if phone => "dips".to_owned(),
        Dial::Side => "dips toward".to_owned(),
        Dial::Toward => "dip direction".to_owned(),
        Dial::Angle => "angle between them".to_owned(),
        Dial::Rake => match open.right_hand_strike() {
            Some(strike) => format!("rake from {strike:03.0}"),
            None => "rake".to_owned(),
        },
        dial => word(dial).to_owned(),
    }
}

fn state(open: &Open, dial: Dial, marked: bool) -> &'static str {
    let typed = open.shown().get(dial).is_some();
    if dial == Dial::Side && !typed && open.side_shown().is_some() {
        return "kept";
    }
    if marked && typed {
        return "doubt";
    }
    match (typed, open.is_draft()) {
        (true, false) => "kept",
        (true, true) => {
            let same = open
                .reading
                .shots
                .get(open.at)
                .is_some_and(|kept| kept.get(dial) == open.shot.get(dial));
            if same { "kept" } else { "draft" }
        }
        (false, _) if open.here == Some(dial) => "draft",
        (false, _) => "empty",
    }
}

/// Widths in proportion to the glass, as on the drawing board: 290, 170 and 120 of 752.
fn width(dial: Dial, glass: f64, five: bool) -> f64 {
    let room = if glass < 700.0 {
        glass - 24.0
    } else if glass < 1024.0 {
        glass - 48.0
    } else {
        glass - 380.0 - 40.0
    };
    let phone = glass < 700.0;
    let share = match (dial, phone, five) {
        (Dial::Dip | Dial::Plunge, true, true) => 0.265,
        (Dial::Dip | Dial::Plunge, true, false) => 0.28,
        (Dial::Rake, true, true) => 0.325,
        (Dial::Dip | Dial::Plunge, false, _) => 0.226,
        (Dial::Side, true, true) => 0.325,
        (Dial::Side, true, false) => 0.224,
        (Dial::Side, false, true) | (Dial::Rake, false, _) => 0.33,
        (Dial::Side, false, false) => 0.16,
        (_, true, true) => 0.32,
        (_, true, false) => 0.415,
        (_, false, true) => 0.348,
        (_, false, false) => 0.386,
    };
    (room * share).floor()
}

fn html(open: &Open, dial: Dial, state: &str, width: f64, phone: bool) -> String {
    let mut html = String::from("<span class=\"digits\">");
    if dial == Dial::Side {
        side_cells(open, &mut html);
    } else {
        cells(open, dial, &mut html);
    }
    html.push_str("</span><span class=\"limb\">");
    let shots: Vec<f64> = open
        .reading
        .shots
        .iter()
        .enumerate()
        .filter(|(i, s)| !s.struck_out && open.is_draft() && *i != open.at)
        .filter_map(|(_, s)| number(s.get(dial)?))
        .collect();
    let line = match state {
        "kept" => LineState::Kept,
        "doubt" => LineState::Doubt,
        "empty" if open.is_empty() => LineState::Empty,
        _ => LineState::Draft,
    };
    let scale = match dial {
        Dial::Dip | Dial::Plunge | Dial::Vertical => Scale::Inclination,
        Dial::Rake | Dial::Angle => Scale::Rake,
        _ => Scale::Azimuth,
    };
    if dial == Dial::Side {
        let _ = write!(
            html,
            "<span class=\"bare {}\"></span>",
            if state == "kept" { "solid" } else { "dashed" }
        );
    } else {
        html.push_str(&limb(&Limb {
            scale,
            width_px: width,
            phone,
            state: line,
            pointer_deg: open.value(dial),
            possible_deg: open.possible(dial),
            also_deg: open.also_possible(dial),
            shots_deg: &shots,
        }));
    }
    html.push_str("</span>");
    html
}

fn side_cells(open: &Open, html: &mut String) {
    match (
        open.side_shown(),
        open.here == Some(Dial::Side),
        open.sides(),
    ) {
        (Some(side), _, _) => {
            let _ = write!(html, "<span class=\"wind\">{}</span>", safe(&side));
        }
        (None, true, Some([first, second])) => {
            let _ = write!(
                html,
                "<span class=\"two\"><span>{}</span><span>{}</span></span>",
                first.0, second.0
            );
        }
        _ => {}
    }
}

fn cells(open: &Open, dial: Dial, html: &mut String) {
    let text = open.shown().get(dial).unwrap_or_default();
    // On a card of quadrants a letter follows the part of a degree.
    let (whole, sign) = (part::bare(text), part::sign(text));
    let over = open.over == Some(dial);
    let next = (open.here == Some(dial)).then(|| open.position());
    let count = open.cells(dial).max(whole.chars().count());
    let mut letters = whole.chars();
    for i in 0..count {
        let letter = letters.next();
        let here = next == Some(i);
        let class = match (letter, here, over) {
            (Some(_), true, true) => "cell here old",
            (Some(_), false, true) => "cell old",
            (_, true, _) => "cell here",
            (Some(_), _, _) => "cell",
            (None, _, _) => "cell empty",
        };
        let _ = write!(html, "<span class=\"{class}\">");
        if let Some(letter) = letter.filter(|c| c.is_ascii_alphanumeric()) {
            html.push(letter);
        }
        html.push_str("</span>");
    }
    if !sign.is_empty() {
        let _ = write!(html, "<span class=\"half\">{sign}</span>");
    }
}

/// Text for markup: letters and digits only; a side is never anything else.
fn safe(text: &str) -> String {
    text.chars().filter(char::is_ascii_alphanumeric).collect()
}

fn spoken(open: &Open, dial: Dial, state: &str) -> String {
    let name = name(open, dial, false);
    let text = open.shown().get(dial).unwrap_or_default();
    let digits_spoken: Vec<String> = part::shown(text)
        .chars()
        .map(|c| match c {
            '0' => "zero".to_owned(),
            '¼' | '½' | '¾' => part::spoken(c).unwrap_or_default().to_owned(),
            '.' => "point".to_owned(),
            '_' => "letter missing".to_owned(),
            'N' | 'E' | 'S' | 'W' => super::keypad::spoken_wind(&c.to_string()),
            c => c.to_string(),
        })
        .collect();
    let value = if dial == Dial::Side {
        super::keypad::spoken_wind(text)
    } else {
        digits_spoken.join(" ")
    };
    if open.here == Some(dial) {
        let next = match open.position() {
            0 => "first",
            1 => "second",
            2 => "third",
            _ => "fourth",
        };
        if dial == Dial::Side {
            return match open.sides() {
                Some(sides) => format!(
                    "{name}, {} or {}?",
                    super::keypad::spoken_wind(sides[0].0),
                    super::keypad::spoken_wind(sides[1].0)
                ),
                None => name,
            };
        }
        return if value.is_empty() {
            format!("{name}, {next} digit")
        } else {
            format!("{name}, {value}, {next} digit")
        };
    }
    if value.is_empty() {
        return format!("{name}, not read");
    }
    format!("{name}, {value}, {state}")
}
