//! The net as a page of its own.

use leptos::prelude::*;

use super::state::NetState;
use super::view::NetView;
use crate::app::parts::tablet::Tablet;
use crate::app::traverse::day;

/// The net, large.
#[component]
pub(in crate::app) fn NetPage() -> impl IntoView {
    let (tablet, net) = (Tablet::expect(), NetState::expect());
    // The list shows what is selected, so it opens at the day of that.
    let back = move |_| {
        let selected = net.selection.with_untracked(|s| s.records.first().cloned());
        let date = selected.and_then(|record| {
            tablet.read_once(|shelf| {
                let (reading, _) = shelf.reading(&record)?;
                day::of_station(&shelf.pages, &reading.station)
            })
        });
        tablet.go(&date.map_or_else(|| "/traverse".to_owned(), |date| day::path(&date)));
    };
    view! {
        <main class="room net-page" data-testid="net-page">
            <div class="day">
                <h1>"Net"</h1>
                <button class="plate end" data-testid="reckon-open" on:click=move |_| tablet.go("/traverse/reckon")>"Reckon"</button>
                <button class="plate" data-testid="net-back" on:click=back>"List"</button>
            </div>
            <NetView/>
        </main>
    }
}
