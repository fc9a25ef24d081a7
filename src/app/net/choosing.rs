//! Which readings the net shows, and how it is drawn.

use std::collections::BTreeMap;

use leptos::prelude::*;

use super::state::{Drawn, NetState, station_of};
use crate::app::outcrop::kinds;
use crate::app::written;
use crate::exchange::net_figure::Planes;
use crate::notebook::structure::{Datum, Wanted};
use crate::orientation::density::Levels;
use crate::orientation::{Hemisphere, Projection};

type Choice = fn(&mut Wanted) -> &mut Option<String>;

/// The panel behind *Show*.
#[component]
pub(in crate::app) fn Choosing() -> impl IntoView {
    let net = NetState::expect();
    let seg = move |name: &'static str,
                    options: [(&'static str, bool); 2],
                    set: fn(&mut Drawn, bool),
                    now: fn(&Drawn) -> bool| {
        view! {
            <div class="seg" role="group" aria-label=name>
                {options.into_iter().map(|(words, value)| view! {
                    <button
                        class="plate"
                        data-testid=format!("net-{}", kinds::slug(words))
                        aria-pressed=move || (net.drawn.with(now) == value).to_string()
                        on:click=move |_| net.drawn.update(|d| set(d, value))
                    >
                        {words}
                    </button>
                }).collect_view()}
            </div>
        }
    };
    let kinds_there = Memo::new(move |_| {
        let mut seen: Vec<String> = Vec::new();
        for datum in net.data.read().iter() {
            if !seen.contains(&datum.kind) {
                seen.push(datum.kind.clone());
            }
        }
        seen
    });
    view! {
        <div class="net-sheet choosing" data-testid="net-choosing">
            <div class="set" role="group" aria-label="kind of structure">
                <button
                    class="plate"
                    data-testid="net-kind-all"
                    aria-pressed=move || net.wanted.with(|w| w.kind.is_none()).to_string()
                    on:click=move |_| net.wanted.update(|w| w.kind = None)
                >"all kinds"</button>
                {move || kinds_there.get().into_iter().map(|kind| {
                    let (pressed, tapped) = (kind.clone(), kind.clone());
                    view! {
                        <button
                            class="plate"
                            data-testid=format!("net-kind-{}", kinds::slug(&kind))
                            aria-pressed=move || net.wanted.with(|w| w.kind.as_deref() == Some(&pressed)).to_string()
                            on:click=move |_| net.wanted.update(|w| w.kind = Some(tapped.clone()))
                        >{kinds::words(&kind).to_owned()}</button>
                    }
                }).collect_view()}
            </div>
            <div class="pickers">
                <Picker name="station" of=|d| (d.station.clone(), station_of(&d.name).to_owned()) at=|w| &mut w.station/>
                <Picker name="day" of=|d| (d.day.clone(), written::day_words(&d.day)) at=|w| &mut w.day/>
                <Picker name="person" of=|d| (d.by.clone(), d.by.clone()) at=|w| &mut w.by/>
                <Picker name="unit" of=|d| (d.unit.clone(), d.unit.clone()) at=|w| &mut w.unit/>
            </div>
            <div class="segs">
                {seg("projection", [("equal area", false), ("equal angle", true)],
                    |d, on| d.projection = if on { Projection::EqualAngle } else { Projection::EqualArea },
                    |d| d.projection == Projection::EqualAngle)}
                {seg("hemisphere", [("lower", false), ("upper", true)],
                    |d, on| d.hemisphere = if on { Hemisphere::Upper } else { Hemisphere::Lower },
                    |d| d.hemisphere == Hemisphere::Upper)}
                {seg("planes", [("poles", false), ("great circles", true)],
                    |d, on| d.planes = if on { Planes::Circles } else { Planes::Poles },
                    |d| d.planes == Planes::Circles)}
                {seg("contours", [("contours", true), ("no contours", false)],
                    |d, on| d.contours = on,
                    |d| d.contours)}
                {seg("levels of the contours", [("× even", false), ("by deviation", true)],
                    |d, on| {
                        d.levels = if on { Levels::Deviations } else { Levels::Even };
                        d.contours = true;
                    },
                    |d| d.levels == Levels::Deviations)}
                {seg("limbs", [("limbs", true), ("no limbs", false)],
                    |d, on| d.limbs = on,
                    |d| d.limbs)}
            </div>
        </div>
    }
}

/// One thing to choose by, from what the book has; not there where the book has none or one of it.
#[component]
fn Picker(name: &'static str, of: fn(&Datum) -> (String, String), at: Choice) -> impl IntoView {
    let net = NetState::expect();
    let there = Memo::new(move |_| {
        let mut seen: Vec<(String, String)> = Vec::new();
        let mut known = BTreeMap::new();
        for datum in net.data.read().iter() {
            let (key, words) = of(datum);
            if !key.is_empty() && known.insert(key.clone(), ()).is_none() {
                seen.push((key, words));
            }
        }
        seen
    });
    move || {
        (there.read().len() > 1).then(|| {
            let now = net.wanted.with(|w| at(&mut w.clone()).clone()).unwrap_or_default();
            view! {
                <select
                    class="plate"
                    aria-label=name
                    data-testid=format!("net-{name}")
                    prop:value=now.clone()
                    on:change=move |e| {
                        let value = event_target_value(&e);
                        net.wanted.update(|w| *at(w) = (!value.is_empty()).then_some(value));
                    }
                >
                    <option value="" selected=now.is_empty()>{format!("any {name}")}</option>
                    {there.get().into_iter().map(|(key, words)| {
                        let words = if name == "station" { format!("station {words}") } else { words };
                        let selected = key == now;
                        view! { <option value=key selected=selected>{words}</option> }
                    }).collect_view()}
                </select>
            }
        })
    }
}
