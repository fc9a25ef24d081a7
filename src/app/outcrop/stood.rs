//! How the instrument stood for the shot: lid, index, overhang, and which end of the hinge faced down.

use leptos::prelude::*;

use crate::app::drawing::{StoodLook, stood_edge, stood_end, stood_lid};
use crate::app::parts::tablet::{Panel, Tablet};
use crate::orientation::{Edge, HingeEnd, Instrument, Stood, Swing};

/// How the instrument of a reading stood can be noted: it has a lid on a hinge.
pub(in crate::app) fn is_noted(tablet: Tablet) -> bool {
    let set_up = tablet
        .open
        .with(|o| o.as_ref().and_then(|o| o.reading.set_up.clone()));
    tablet.read(|shelf| {
        let line = set_up.and_then(|id| shelf.pages.set_up(&id));
        let set_up = line.and_then(|line| line.set_up());
        set_up.is_none_or(|s| s.instrument == Instrument::HingeTransit)
    })
}

/// What was noted, in few words.
pub(in crate::app) fn words(stood: &Stood) -> String {
    let mut words = Vec::new();
    match stood.swing {
        Some(Swing::Right) => words.push("lid right"),
        Some(Swing::Left) => words.push("lid left"),
        None => {}
    }
    match stood.edge {
        Some(Edge::Right) => words.push("right edge"),
        Some(Edge::Left) => words.push("left edge"),
        None => {}
    }
    if stood.hung {
        words.push("hung");
    }
    match stood.down {
        Some(HingeEnd::North) => words.push("north end down"),
        Some(HingeEnd::South) => words.push("south end down"),
        None => {}
    }
    if words.is_empty() {
        "not noted".to_owned()
    } else {
        words.join(" · ")
    }
}

/// The plate that opens the panel.
#[component]
pub(in crate::app) fn StoodPlate() -> impl IntoView {
    let tablet = Tablet::expect();
    let shown = Memo::new(move |_| is_noted(tablet));
    let said = move || {
        tablet
            .open
            .with(|o| o.as_ref().map(|o| words(&o.stood())).unwrap_or_default())
    };
    move || {
        shown.get().then(|| {
            view! {
                <button class="plate" data-testid="stood" on:click=move |_| tablet.panel.set(Panel::Stood)>
                    <b>"How it stood"</b><span>{said}</span>
                </button>
            }
        })
    }
}

/// The questions, each with its drawing.
#[component]
pub(in crate::app) fn StoodPanel() -> impl IntoView {
    let tablet = Tablet::expect();
    let stood = Memo::new(move |_| {
        tablet
            .open
            .with(|o| o.as_ref().map(|o| o.stood()).unwrap_or_default())
    });
    let look = move || {
        let stood = stood.get();
        StoodLook {
            right: stood.swing.map(|s| s == Swing::Right),
            right_edge: stood.edge.map(|e| e == Edge::Right),
            hung: stood.hung,
            north_down: stood.down.map(|d| d == HingeEnd::North),
        }
    };
    let choice = move |id: &'static str,
                       word: &'static str,
                       of: fn(&Stood) -> bool,
                       set: fn(&mut Stood)| {
        view! {
            <button class="plate" data-testid=id aria-pressed=move || of(&stood.get()).to_string() on:click=move |_| {
                let mut now = stood.get_untracked();
                set(&mut now);
                tablet.amend(|o| o.set_stood(now));
            }>{word}</button>
        }
    };
    let shot = move || {
        tablet
            .open
            .with(|o| o.as_ref().map(|o| o.shown_at() + 1).unwrap_or(1))
    };
    view! {
        <div class="panel tall stands" role="group" aria-label="how it stood">
            <h2>{move || format!("Shot {}. Seen by someone who looks along the hinge to its north end. Further shots take it over.", shot())}</h2>
            <div class="stand">
                <div aria-hidden="true" inner_html=move || stood_lid(look())></div>
                <div>
                    <h3>"The lid was swung"</h3>
                    <div class="seg" role="group" aria-label="the lid was swung">
                        {choice("swing-left", "left", |s| s.swing == Some(Swing::Left), |s| s.swing = Some(Swing::Left))}
                        {choice("swing-right", "right", |s| s.swing == Some(Swing::Right), |s| s.swing = Some(Swing::Right))}
                        {choice("swing-unknown", "not noted", |s| s.swing.is_none(), |s| s.swing = None)}
                    </div>
                    <div class="seg" role="group" aria-label="overhang">
                        {choice("hung-no", "on the rock", |s| !s.hung, |s| s.hung = false)}
                        {choice("hung-yes", "overhang", |s| s.hung, |s| s.hung = true)}
                    </div>
                </div>
            </div>
            <div class="stand">
                <div aria-hidden="true" inner_html=move || stood_edge(look().right_edge)></div>
                <div>
                    <h3>"Edge of the index that was read"</h3>
                    <div class="seg" role="group" aria-label="edge of the index">
                        {choice("edge-left", "left", |s| s.edge == Some(Edge::Left), |s| s.edge = Some(Edge::Left))}
                        {choice("edge-right", "right", |s| s.edge == Some(Edge::Right), |s| s.edge = Some(Edge::Right))}
                        {choice("edge-unknown", "not noted", |s| s.edge.is_none(), |s| s.edge = None)}
                    </div>
                </div>
            </div>
            <div class="stand">
                <div aria-hidden="true" inner_html=move || stood_end(look().north_down)></div>
                <div>
                    <h3>"End of the hinge that faced down"</h3>
                    <div class="seg" role="group" aria-label="end that faced down">
                        {choice("down-south", "south", |s| s.down == Some(HingeEnd::South), |s| s.down = Some(HingeEnd::South))}
                        {choice("down-north", "north", |s| s.down == Some(HingeEnd::North), |s| s.down = Some(HingeEnd::North))}
                        {choice("down-unknown", "not noted", |s| s.down.is_none(), |s| s.down = None)}
                    </div>
                </div>
            </div>
            <div class="row">
                <button class="plate on" data-testid="stood-done" on:click=move |_| tablet.panel.set(Panel::Keypad)>"Keypad"</button>
            </div>
        </div>
    }
}
