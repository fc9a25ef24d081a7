//! The traverse as a list: stations and their readings, drawn only where they can be seen.

use leptos::html::Div;
use leptos::prelude::*;

use crate::app::camp::join::shown::counted;
use crate::app::drawing::{Icon, icon};
use crate::app::net::state::NetState;
use crate::app::net::words;
use crate::app::parts::line::BookLine;
use crate::app::parts::tablet::Tablet;
use crate::notebook::{RecordId, Wanted};

const ROW: f64 = 56.0;
const MARGIN: usize = 6;

#[derive(Clone, PartialEq)]
enum Row {
    Station {
        number: u32,
        name: String,
        at: String,
        readings: usize,
    },
    Reading(RecordId),
}

/// All stations and readings, however many.
#[component]
pub(in crate::app) fn Traverse() -> impl IntoView {
    let (tablet, net) = (Tablet::expect(), NetState::expect());
    let top = RwSignal::new(0.0_f64);
    let height = RwSignal::new(900.0_f64);
    let list = NodeRef::<Div>::new();
    let rows = Memo::new(move |_| {
        let wanted = net.wanted.get();
        tablet.read(|shelf| {
            let mut rows = Vec::new();
            for page in shelf.pages.stations() {
                let station = page.line().station();
                let lines = page.readings().iter();
                let readings: Vec<Row> = lines
                    .filter(|line| wanted.wants_line(Some(page.line()), line))
                    .map(|line| Row::Reading(line.record().clone()))
                    .collect();
                if readings.is_empty() && !wanted.is_all() {
                    continue;
                }
                rows.push(Row::Station {
                    number: page.line().number(),
                    name: station.map(|s| s.name.clone()).unwrap_or_default(),
                    at: station.map(|s| s.at.clone()).unwrap_or_default(),
                    readings: readings.len(),
                });
                rows.extend(readings);
            }
            rows
        })
    });
    // What is left out, and the way to have it again.
    let narrowed = Memo::new(move |_| {
        let chosen = net
            .wanted
            .with(|wanted| words::chosen(wanted, |station| net.station_name(station)));
        (!chosen.is_empty()).then(|| {
            let few =
                rows.with(|rows| rows.iter().filter(|r| matches!(r, Row::Reading(_))).count());
            format!("Only {chosen}: {few} readings")
        })
    });
    let window = Memo::new(move |_| {
        let count = rows.with(Vec::len);
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        // a scroll position in rows, clamped to the list
        let row = |px: f64| (px / ROW).max(0.0) as usize;
        let first = row(top.get()).saturating_sub(MARGIN).min(count);
        let last = (row(top.get() + height.get()) + 1 + MARGIN).min(count);
        (first, last)
    });
    let look = move || {
        if let Some(list) = list.get_untracked() {
            top.set(f64::from(list.scroll_top()));
            height.set(f64::from(list.client_height()));
        }
    };
    Effect::new(move |_| {
        tablet.width.track();
        if list.get().is_some() {
            look();
        }
    });
    let summary = move || {
        tablet.read(|shelf| {
            let stations = shelf.pages.stations().len();
            let readings = shelf.pages.readings();
            let days = shelf.pages.days().len();
            format!(
                "{} · {} · {}",
                counted(stations, "station", "stations"),
                counted(readings, "reading", "readings"),
                counted(days, "day", "days")
            )
        })
    };
    view! {
        <main class="room traverse" data-testid="traverse">
            <div class="day">
                <h1>"All days"</h1>
                <button class="plate" data-testid="last-day" on:click=move |_| tablet.go("/traverse")>"The last day"</button>
                <span class="soft small" data-testid="summary">
                    {move || match tablet.loading.get() {
                        Some(count) => format!("reading the book: {}", tablet.read_so_far(count)),
                        None => summary(),
                    }}
                </span>
                <button class="plate end" data-testid="reckon-open" on:click=move |_| tablet.go("/traverse/reckon")>"Reckon"</button>
                <button class="plate" data-testid="net-open" on:click=move |_| tablet.go("/traverse/net")>"Net"</button>
            </div>
            {move || narrowed.get().map(|words| view! {
                <div class="narrowed">
                    <p role="status" data-testid="narrowed">{words}</p>
                    <button class="plate" data-testid="show-all" on:click=move |_| net.wanted.set(Wanted::default())>"Show all"</button>
                </div>
            })}
            <div class="list" node_ref=list tabindex="0" role="region" aria-label="stations and readings" on:scroll=move |_| look()>
                <div class="tall" style:height=move || format!("{}px", rows.with(Vec::len) as f64 * ROW)>
                    <For
                        each=move || { let (first, last) = window.get(); (first..last).collect::<Vec<_>>() }
                        key=move |&i| (i, rows.with(|r| r.get(i).map(Row::key)))
                        let:i
                    >
                        {rows.with_untracked(|r| r.get(i).cloned()).map(|row| view! {
                            <div class="row" style:top=format!("{}px", i as f64 * ROW)>{row_view(tablet, row)}</div>
                        })}
                    </For>
                </div>
            </div>
        </main>
    }
}

impl Row {
    fn key(&self) -> String {
        match self {
            Row::Station {
                number,
                name,
                at,
                readings,
            } => format!("{number} {name} {at} {readings}"),
            Row::Reading(record) => record.as_str().to_owned(),
        }
    }
}

fn row_view(tablet: Tablet, row: Row) -> AnyView {
    match row {
        Row::Station { number, name, at, readings } => view! {
            <button class="station-row row" data-testid=format!("station-row-{number}") on:click=move |_| tablet.go(&format!("/station/{number}"))>
                <span class="no">{number}</span>
                <b>{name}</b>
                <span class="detail"><span class="day-word">{at.get(..10).unwrap_or_default().to_owned()}" · "</span>{readings}{if readings == 1 { " reading" } else { " readings" }}</span>
                <span aria-hidden="true" inner_html=icon(Icon::Arrow)></span>
            </button>
        }
        .into_any(),
        Row::Reading(record) => view! { <BookLine record=record of_net=true/> }.into_any(),
    }
}
