//! The list of a day: its stations, and below the selected one its readings.

use leptos::html::Div;
use leptos::prelude::*;
use wasm_bindgen::JsCast;

use super::day::{self, StationRow};
use super::page::{AllDays, Page};
use super::printing::PrintPlate;
use crate::app::drawing::{Icon, doubt_sign, icon};
use crate::app::net::selection::Of;
use crate::app::net::words;
use crate::app::outcrop::kinds;
use crate::app::parts::line::{row_symbol, sign, value};
use crate::app::written::Row;
use crate::notebook::{RecordId, Wanted};

/// The stations of the day, each with one value; below the one that is selected, and below those that hold what is selected, their
/// readings in the book's notation.
#[component]
pub(super) fn Stations(page: Page) -> impl IntoView {
    let list = NodeRef::<Div>::new();
    let rows = Memo::new(move |_| {
        page.shown
            .with(|s| s.as_ref().map(|s| s.rows.clone()).unwrap_or_default())
    });
    // The list follows a selection made elsewhere: to its reading where one is selected, else to its station.
    Effect::new(move |_| {
        page.net.selection.track();
        let (Some(place), Some(list)) = (page.place(), list.get()) else {
            return;
        };
        let number = rows.with_untracked(|rows| rows.get(place).map(|row| row.number));
        request_animation_frame(move || {
            let row = |what: &str| {
                let row = list.query_selector(what).ok()??;
                row.dyn_into::<web_sys::HtmlElement>().ok()
            };
            let found = row(".reading-line.chosen")
                .or_else(|| row(&format!("[data-number=\"{}\"]", number?)));
            if let Some(row) = found {
                let (top, bottom) = (list.scroll_top(), list.scroll_top() + list.client_height());
                let (from, to) = (row.offset_top(), row.offset_top() + row.offset_height());
                if from < top || to > bottom {
                    list.set_scroll_top(from - (list.client_height() - row.offset_height()) / 2);
                }
            }
        });
    });
    let step = move |event: leptos::ev::KeyboardEvent| {
        let by = match event.key().as_str() {
            "ArrowDown" => 1_isize,
            "ArrowUp" => -1,
            _ => return,
        };
        let rows = rows.get_untracked();
        let at = untrack(move || page.place()).unwrap_or_default();
        let Some(next) = at.checked_add_signed(by).and_then(|i| rows.get(i)) else {
            return;
        };
        event.prevent_default();
        page.select(&next.record);
        let found = list.get_untracked().and_then(|list| {
            let row = list
                .query_selector(&format!("[data-number=\"{}\"] button", next.number))
                .ok()??;
            row.dyn_into::<web_sys::HtmlElement>().ok()
        });
        if let Some(row) = found {
            // A row that is on the page takes the focus.
            let _ = row.focus();
        }
    };
    view! {
        <div class="listed" class:away=move || page.is_phone() && page.doubts_up.get()>
            <Narrowed page=page/>
            <div class="stations" node_ref=list role="group" aria-label="stations of the day" on:keydown=step>
                <For each=move || rows.get() key=|row| format!("{row:?}") let:row>
                    <Station page=page row=row/>
                </For>
                <div class="foot-plates">
                    {move || page.is_phone().then(|| view! { <AllDays tablet=page.tablet/><PrintPlate/> })}
                </div>
            </div>
        </div>
    }
}

#[component]
fn Station(page: Page, row: StationRow) -> impl IntoView {
    let tablet = page.tablet;
    let record = StoredValue::new(row.record.clone());
    let chosen = Memo::new(move |_| {
        page.here
            .with(|here| here.as_deref() == Some(&record.get_value()))
    });
    let doubted = Memo::new(move |_| page.doubted.with(|d| d.contains(&record.get_value())));
    let number = row.number;
    let drawn = sign(&row.written, false, false);
    let (value_text, name, standing, count) = (
        row.value.clone(),
        row.name.clone(),
        row.readings,
        row.count(),
    );
    let wanted = Memo::new(move |_| {
        page.narrow.with(|narrow| {
            let narrow = narrow.as_ref()?;
            Some(record.with_value(|record| narrow.get(record).copied().unwrap_or_default()))
        })
    });
    let count = move || match wanted.get() {
        Some(few) if few < standing => format!("{few} of {count}"),
        _ => count.clone(),
    };
    // What the net has selected at a station that is not the selected one is shown too.
    let holds = Memo::new(move |_| {
        page.net.selection.with(|selection| {
            selection.of != Of::Station
                && !selection.records.is_empty()
                && page.tablet.read(|shelf| {
                    let there = record.with_value(|r| shelf.pages.station(r));
                    there.is_some_and(|there| {
                        let mut readings = there.readings().iter();
                        readings.any(|line| selection.has(line.record().as_str()))
                    })
                })
        })
    });
    let readings = Memo::new(move |_| {
        if !chosen.get() && !holds.get() {
            return Vec::new();
        }
        let wanted = page.net.wanted.get();
        page.tablet
            .read(|shelf| record.with_value(|r| day::wanted_at(&shelf.pages, r, &wanted)))
    });
    let is_shown = move || wanted.get() != Some(0) || chosen.get();
    view! {
        <div class="station-line" class:away=move || !is_shown() class:chosen=chosen data-number=number data-testid=format!("day-station-{number}") data-chosen=move || chosen.get().to_string()>
            <button class="pick" data-testid=format!("station-row-{number}") aria-pressed=move || chosen.get().to_string() on:click=move |_| page.select(&record.get_value())>
                <span class="hidden-words">{move || row.spoken(doubted.get())}</span>
                <span class="no" aria-hidden="true">{number}</span>
                <span class="drawn" aria-hidden="true" inner_html=drawn></span>
                <span class="value" aria-hidden="true">{value(&value_text)}</span>
                <span class="what" aria-hidden="true"><span class="name">{name}</span><span class="count">{count}</span></span>
                {move || doubted.get().then(|| view! { <span class="sign" aria-hidden="true" inner_html=doubt_sign("?", true)></span> })}
            </button>
            <button class="open" data-testid=format!("open-station-{number}") aria-label=format!("open station {number}") on:click=move |_| tablet.go(&format!("/station/{number}"))>
                <span aria-hidden="true" inner_html=icon(Icon::Arrow)></span>
            </button>
        </div>
        <For each=move || readings.get() key=|reading| reading.as_str().to_owned() let:reading>
            <Reading page=page station=record reading=reading/>
        </For>
    }
}

/// A reading below its station: a tap selects it, its arrow opens it.
#[component]
fn Reading(page: Page, station: StoredValue<String>, reading: RecordId) -> impl IntoView {
    let tablet = page.tablet;
    let record = StoredValue::new(reading.as_str().to_owned());
    let row = Memo::new(move |_| {
        let notation = tablet.settings.with(|s| s.notation);
        record.with_value(|record| {
            tablet.read(|shelf| {
                Row::of(
                    &shelf.pages,
                    shelf.reading(record),
                    &shelf.why_struck(record),
                    notation,
                    shelf.station_number(record),
                )
            })
        })
    });
    let chosen = Memo::new(move |_| {
        page.net
            .selection
            .with(|s| record.with_value(|record| s.has_by_itself(record)))
    });
    let pick = move |_| {
        page.select_reading(&station.get_value(), &record.get_value(), Of::List);
    };
    move || {
        let row = row.get()?;
        let name = format!("{}·{}", row.station, row.number);
        let id = name.replace('·', "-");
        let detail = row.detail.clone();
        Some(view! {
            <div
                class="reading-line"
                class:chosen=chosen
                data-state=row.state()
                data-reading=name.clone()
                data-testid=format!("day-reading-{id}")
                data-chosen=move || chosen.get().to_string()
            >
                <button class="pick" data-testid=format!("reading-row-{id}") aria-pressed=move || chosen.get().to_string() on:click=pick>
                    <span class="hidden-words">{row.spoken()}</span>
                    <span class="no" aria-hidden="true">{name.clone()}</span>
                    <span class="drawn" aria-hidden="true" inner_html=row_symbol(&row, false)></span>
                    <span class="value" aria-hidden="true">{value(&row.value)}</span>
                    <span class="what" aria-hidden="true"><span class="name">{kinds::words(&row.kind).to_owned()}</span><span class="count">{detail}</span></span>
                    {row.doubted.then(|| view! { <span class="sign" aria-hidden="true" inner_html=doubt_sign("?", true)></span> })}
                </button>
                <button class="open" data-testid=format!("open-reading-{id}") aria-label=format!("open reading {name}") on:click=move |_| tablet.open_record(&record.get_value())>
                    <span aria-hidden="true" inner_html=icon(Icon::Arrow)></span>
                </button>
            </div>
        })
    }
}

/// What is left out of list, net and doubts, and the way to have all again; nothing where all is shown.
#[component]
pub(super) fn Narrowed(page: Page) -> impl IntoView {
    let words = Memo::new(move |_| {
        let narrow = page.narrow.get()?;
        let few: usize = narrow.values().sum();
        let all = page
            .shown
            .with(|s| s.as_ref().map_or(0, |s| s.day.readings));
        let chosen = page
            .net
            .wanted
            .with(|wanted| words::chosen(wanted, |station| page.net.station_name(station)));
        Some(format!(
            "Only {chosen}: {few} of {all} readings of this day"
        ))
    });
    move || {
        words.get().map(|words| {
            view! {
                <div class="narrowed">
                    <p role="status" data-testid="narrowed">{words}</p>
                    <button class="plate" data-testid="show-all" on:click=move |_| page.net.wanted.set(Wanted::default())>"Show all"</button>
                </div>
            }
        })
    }
}
