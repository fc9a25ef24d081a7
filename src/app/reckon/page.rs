//! The page: what is reckoned, what is chosen for it, the lines to choose from, and the result.

use leptos::prelude::*;

use super::answer::Reckoned;
use super::list::ChoiceList;
use super::state::{Here, Reckoning};
use crate::app::camp::set_up::Keys;
use crate::app::drawing::{Icon, icon};
use crate::app::net::state::NetState;
use crate::app::net::words::value as datum_value;
use crate::app::outcrop::{kinds, sighted};
use crate::app::parts::line::value;
use crate::app::parts::tablet::Tablet;
use crate::app::written::with_fraction;
use crate::notebook::reckoning::{HEIGHT_TIMES, Takes, What, sighting_between};

/// Reckoning from readings.
#[component]
pub(in crate::app) fn ReckonPage() -> impl IntoView {
    let (tablet, net, reckoning) = (Tablet::expect(), NetState::expect(), Reckoning::expect());
    // While the book is being read nothing is known yet of what was selected.
    Effect::new(move |_| {
        if tablet.loading.get().is_none() && net.data.with(|d| !d.is_empty()) {
            reckoning.begin(net);
        }
    });
    let what = Memo::new(move |_| reckoning.asked.with(|a| a.what));
    let plate = move |one: What| {
        view! {
            <button
                class="plate"
                data-testid=format!("reckon-{}", kinds::slug(one.name()))
                aria-pressed=move || (what.get() == one).to_string()
                on:click=move |_| reckoning.ask(one, net)
            >{one.name()}</button>
        }
    };
    view! {
        <main class="room reckon" data-testid="reckon-page">
            <div class="day">
                <h1>"Reckon"</h1>
                <p class="soft small" data-testid="reckon-words">{move || what.get().words()}</p>
                <button class="plate" data-testid="reckon-leave" on:click=move |_| tablet.go("/traverse")>
                    <span class="turned" aria-hidden="true" inner_html=icon(Icon::Arrow)></span>"Traverse"
                </button>
            </div>
            <div class="whats" role="group" aria-label="what to reckon">{What::ALL.map(plate).collect_view()}</div>
            <div class="desk">
                <div class="given">
                    <div class="slots" role="group" aria-label="what is chosen">
                        {move || (0..what.get().slots().len()).map(|i| view! { <SlotPlate nth=i/> }).collect_view()}
                        {move || what.get().is_on_ground().then(|| view! { <Known/> })}
                    </div>
                    <Numbers/>
                    {move || matches!(reckoning.here.get(), Here::Slot(_)).then(|| view! { <ChoiceList/> })}
                </div>
                <Reckoned/>
            </div>
        </main>
    }
}

/// One thing that has to be chosen; the one that is here takes the next tap.
#[component]
fn SlotPlate(nth: usize) -> impl IntoView {
    let (tablet, net, reckoning) = (Tablet::expect(), NetState::expect(), Reckoning::expect());
    let slot = Memo::new(move |_| reckoning.asked.with(|a| a.what.slots().get(nth).copied()));
    let is_here = move || reckoning.here.get() == Here::Slot(nth);
    let held = Memo::new(move |_| {
        let notation = tablet.settings.with(|s| s.notation);
        let takes = slot.get().map(|s| s.takes);
        let (records, section) = reckoning
            .asked
            .with(|a| (a.at(nth).to_vec(), a.section.clone()));
        if takes == Some(Takes::Azimuth) && !section.is_empty() {
            return section;
        }
        let [first, rest @ ..] = records.as_slice() else {
            return String::new();
        };
        if !rest.is_empty() {
            let of = if takes == Some(Takes::Planes) {
                "planes, their mean"
            } else {
                "readings"
            };
            return format!("{} {of}", records.len());
        }
        if takes == Some(Takes::Station) {
            return tablet.read(|shelf| {
                let line = shelf.pages.station(first).map(|p| p.line());
                line.map_or_else(String::new, |line| {
                    let name = line.station().map(|s| s.name.clone()).unwrap_or_default();
                    format!("{} {name}", line.number()).trim_end().to_owned()
                })
            });
        }
        let all = net.data.read();
        if let Some(datum) = all.iter().find(|d| d.record == *first) {
            let mut only = datum.clone();
            if matches!(takes, Some(Takes::Line | Takes::Azimuth)) {
                only.plane = None;
            }
            return format!("{}  {}", datum.name, datum_value(&only, notation));
        }
        tablet.read(|shelf| {
            let line = shelf.pages.sighting(first);
            let sighting = line.and_then(|l| l.sighting());
            sighting.map_or_else(String::new, |s| {
                format!("{}, {}", sighted::value(s), sighted::to_words(shelf, s))
            })
        })
    });
    view! {
        <button class="plate slot" class:here=is_here class:empty=move || held.with(String::is_empty)
            data-testid=format!("reckon-slot-{nth}") aria-pressed=move || is_here().to_string()
            on:click=move |_| reckoning.turn_to(Here::Slot(nth))>
            <span class="word small">{move || slot.get().map_or("", |s| s.name)}</span>
            <span class="value">{move || held.with(|held| value(if held.is_empty() { "–" } else { held }).into_any())}</span>
        </button>
    }
}

/// How well places and heights are known, and whether a sighting or the positions give the way.
#[component]
fn Known() -> impl IntoView {
    let (tablet, reckoning) = (Tablet::expect(), Reckoning::expect());
    let plate = move |here: Here, name: &'static str, word: &'static str, without: String| {
        let typed = move || {
            reckoning.asked.with(|a| match here {
                Here::Places => a.places_m.clone(),
                _ => a.heights_m.clone(),
            })
        };
        view! {
            <button class="plate slot" class:here=move || reckoning.here.get() == here data-testid=name
                aria-pressed=move || (reckoning.here.get() == here).to_string()
                on:click=move |_| reckoning.turn_to(here)>
                <span class="word small">{word}</span>
                <span class="value plain">{move || { let t = typed(); if t.is_empty() { without.clone() } else { format!("±{t} m") } }}</span>
            </button>
        }
    };
    let sighting = Memo::new(move |_| {
        let stations: Vec<String> = reckoning.asked.with(|a| {
            let slots = a.what.slots().iter().enumerate();
            let of = slots.filter(|(_, s)| s.takes == Takes::Station);
            of.filter_map(|(i, _)| a.at(i).first().cloned()).collect()
        });
        let [first, rest @ ..] = stations.as_slice() else {
            return None;
        };
        tablet.read(|shelf| {
            let mut found = rest
                .iter()
                .filter_map(|to| sighting_between(&shelf.pages, first, to));
            found.next().map(|(_, name)| name)
        })
    });
    view! {
        {plate(Here::Places, "reckon-places", "places", "as in the book".to_owned())}
        {plate(Here::Heights, "reckon-heights", "heights", format!("{} × places", with_fraction(HEIGHT_TIMES)))}
        {move || sighting.get().map(|name| {
            let by = move |positions: bool| {
                view! {
                    <button class="plate" data-testid=if positions { "reckon-by-positions" } else { "reckon-by-sighting" }
                        aria-pressed=move || (reckoning.asked.with(|a| a.by_positions) == positions).to_string()
                        on:click=move |_| reckoning.asked.update(|a| a.by_positions = positions)>
                        {if positions { "by the positions".to_owned() } else { format!("by {name}") }}
                    </button>
                }
            };
            view! { <div class="seg" role="group" aria-label="the way between the stations">{by.clone()(false)}{by(true)}</div> }
        })}
    }
}

/// Our own keys, where a number is typed.
#[component]
fn Numbers() -> impl IntoView {
    let reckoning = Reckoning::expect();
    let wanted = Memo::new(move |_| match reckoning.here.get() {
        Here::Slot(_) => match reckoning.takes() {
            Some((_, Takes::Azimuth)) => {
                Some(("", "°, from true north; or tap a line or a sighting below"))
            }
            _ => None,
        },
        Here::Places => Some(("±", " m: the radius that holds a place 68 times in 100")),
        Here::Heights => Some(("±", " m: one standard deviation of a height")),
    });
    move || {
        wanted.get().map(|(before, after)| {
            let shown = move || {
                let typed = reckoning.typed();
                if typed.is_empty() { "–".to_owned() } else { format!("{before}{typed}") }
            };
            view! {
                <div class="numbers" data-testid="reckon-numbers">
                    <p><output class="typed here" data-testid="reckon-typed">{shown}</output><span class="small soft">{after}</span></p>
                    <Keys prefix="reckon" push=Callback::new(move |c| reckoning.press(c))/>
                </div>
            }
        })
    }
}
