//! The doubts of a day: each a plate that leads to what it is about.

use leptos::prelude::*;

use super::day::{DayDoubt, Leads};
use super::page::Page;
use super::printing::PrintPlate;
use super::stations::Narrowed;
use crate::app::camp::settle::versions;
use crate::app::drawing::{Icon, doubt_sign, icon};
use crate::app::net::selection::Of;
use crate::app::parts::line::value;
use crate::notebook::RecordId;

/// The open doubts about what is wanted of the day.
#[component]
pub(super) fn Doubts(page: Page) -> impl IntoView {
    let doubts = page.doubts;
    let count = move || doubts.with(Vec::len);
    let complete = move || page.found.with(|f| f.complete);
    view! {
        <section class="doubts" class:away=move || page.is_phone() && !page.doubts_up.get() aria-label="doubts of the day" data-testid="day-doubts" data-complete=move || complete().to_string()>
            <h2>
                {move || (count() > 0).then(|| view! { <span aria-hidden="true" inner_html=doubt_sign(&count().to_string(), false)></span> })}
                <span class="hidden-words">{move || (count() > 0).then(|| format!("{} ", count()))}</span>
                {move || match (complete(), count()) {
                    (false, _) => "Looking for doubts …",
                    (true, 0) if page.net.wanted.with(|w| !w.is_all()) => "Nothing of what is shown is in doubt",
                    (true, 0) => "Nothing of the day is in doubt",
                    (true, 1) => "Doubt of the day",
                    _ => "Doubts of the day",
                }}
            </h2>
            {move || page.is_phone().then(|| view! { <Narrowed page=page/> })}
            <For each=move || doubts.get() key=|d| format!("{d:?}") let:doubt>
                <DoubtPlate page=page doubt=doubt/>
            </For>
            {move || (!page.is_phone()).then(|| view! { <PrintPlate/> })}
        </section>
    }
}

#[component]
fn DoubtPlate(page: Page, doubt: DayDoubt) -> impl IntoView {
    let tablet = page.tablet;
    let reading = Memo::new({
        let doubt = doubt.clone();
        move |_| tablet.read(|shelf| doubt.reading(&shelf.pages).map(str::to_owned))
    });
    // A doubt about no single reading goes with its station.
    let station = doubt.station.clone();
    let chosen = Memo::new(move |_| {
        let at_station = page.here.with(|here| here.as_ref() == Some(&station));
        page.net.selection.with(|s| match reading.get() {
            Some(reading) => s.has(&reading),
            None => at_station && s.of == Of::Station && !s.records.is_empty(),
        })
    });
    let follow = {
        let doubt = doubt.clone();
        move |_| {
            match reading.get_untracked() {
                Some(reading) => page.select_reading(&doubt.station, &reading, Of::Doubt),
                None => page.select(&doubt.station),
            }
            match &doubt.leads {
                Leads::Reading(record) => tablet.open_record(record),
                Leads::Sighting(record) => tablet.reopen_sighting(record),
                Leads::Station(number) => tablet.go(&format!("/station/{number}")),
                Leads::Settle(record) => {
                    tablet.go(&versions::path(&RecordId::from(record.as_str())))
                }
            }
        }
    };
    view! {
        <button class="plate doubt" class:chosen=chosen data-chosen=move || chosen.get().to_string() data-testid=format!("doubt-{}", doubt.number.replace(['·', '–', ',', ' '], "-")) on:click=follow>
            <span class="num">{doubt.number.clone()}</span>
            <span class="words">{value(&doubt.words)}</span>
            <span aria-hidden="true" inner_html=icon(Icon::Arrow)></span>
        </button>
    }
}
