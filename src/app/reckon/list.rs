//! The lines of the book that may be chosen, drawn only where they can be seen.

use leptos::html::Div;
use leptos::prelude::*;

use super::state::Reckoning;
use crate::app::drawing::{Icon, icon};
use crate::app::net::state::NetState;
use crate::app::net::words::value as datum_value;
use crate::app::outcrop::{kinds, sighted};
use crate::app::parts::line::{sign, value};
use crate::app::parts::tablet::Tablet;
use crate::app::shelf::Shelf;
use crate::app::written::Written;
use crate::notebook::reckoning::{Takes, fits, metres};
use crate::notebook::structure::Datum;
use crate::notebook::{Notation, StationPage};

const ROW: f64 = 62.0;
const MARGIN: usize = 4;

/// Where a line leads to when it is opened.
#[derive(Clone, Debug, PartialEq, Eq)]
enum Opens {
    Reading,
    Sighting,
    Station(u32),
}

/// A line that may be chosen.
#[derive(Clone, Debug, PartialEq)]
struct Row {
    record: String,
    number: String,
    value: String,
    name: String,
    detail: String,
    drawn: Option<Written>,
    opens: Opens,
}

fn of_datum(datum: &Datum, takes: Takes, notation: Notation) -> Row {
    let wants_line = matches!(takes, Takes::Line | Takes::Azimuth);
    let drawn = match (&datum.plane, &datum.line) {
        (Some(plane), line) if !wants_line || line.is_none() => Written::Plane {
            strike_deg: plane.strike().deg(),
            dip_deg: plane.dip().deg(),
            side_known: true,
            kind: datum.kind.clone(),
        },
        (_, Some(line)) => Written::Line {
            trend_deg: line.trend().deg(),
            plunge_deg: line.plunge().deg(),
        },
        _ => Written::Other,
    };
    let only = Datum {
        plane: datum.plane.filter(|_| !wants_line),
        line: datum.line.filter(|_| takes != Takes::Planes),
        ..datum.clone()
    };
    Row {
        record: datum.record.clone(),
        number: datum.name.clone(),
        value: datum_value(&only, notation),
        name: kinds::words(&datum.kind).to_owned(),
        detail: if datum.doubted {
            "with a doubt".to_owned()
        } else {
            String::new()
        },
        drawn: Some(drawn),
        opens: Opens::Reading,
    }
}

fn of_station(page: &StationPage) -> Option<Row> {
    let line = page.line();
    let station = line.station().filter(|_| !line.is_struck_out())?;
    let (value, detail) = match &station.position {
        None => ("no position".to_owned(), String::new()),
        Some(position) => (
            position
                .height_m
                .map_or_else(|| "no height".to_owned(), metres),
            position
                .accuracy_m
                .map_or_else(|| "no ±".to_owned(), |m| format!("±{}", metres(m))),
        ),
    };
    Some(Row {
        record: line.record().as_str().to_owned(),
        number: line.number().to_string(),
        value,
        name: station.name.clone(),
        detail,
        drawn: None,
        opens: Opens::Station(line.number()),
    })
}

/// The sightings of a book with a bearing, as lines along which a section may run.
fn of_sightings(shelf: &Shelf) -> Vec<Row> {
    let pages = shelf.pages.stations().iter();
    let lines = pages.flat_map(|page| page.sightings().iter().map(move |line| (page, line)));
    lines
        .filter(|(page, line)| !line.is_struck_out() && !page.line().is_struck_out())
        .filter_map(|(page, line)| {
            let sighting = line.sighting()?;
            sighting.bearing.as_ref()?;
            Some(Row {
                record: line.record().as_str().to_owned(),
                number: format!("{}·{}", page.line().number(), line.number()),
                value: sighted::value(sighting),
                name: "sighting".to_owned(),
                detail: sighted::to_words(shelf, sighting),
                drawn: None,
                opens: Opens::Sighting,
            })
        })
        .collect()
}

/// The list beneath the slots.
#[component]
pub(super) fn ChoiceList() -> impl IntoView {
    let (tablet, net, reckoning) = (Tablet::expect(), NetState::expect(), Reckoning::expect());
    let kind = RwSignal::new(None::<String>);
    let takes = Memo::new(move |_| reckoning.takes().map(|(_, takes)| takes));
    let there = Memo::new(move |_| {
        let mut seen: Vec<String> = Vec::new();
        let Some(takes) = takes.get() else {
            return seen;
        };
        for datum in net.data.read().iter().filter(|d| fits(takes, d)) {
            if !seen.contains(&datum.kind) {
                seen.push(datum.kind.clone());
            }
        }
        seen
    });
    let rows = Memo::new(move |_| {
        let notation = tablet.settings.with(|s| s.notation);
        let Some(takes) = takes.get() else {
            return Vec::new();
        };
        if takes == Takes::Station {
            return tablet.read(|shelf| {
                let stations = shelf.pages.stations().iter();
                stations.filter_map(of_station).collect()
            });
        }
        let kind = kind.get().filter(|k| there.with(|t| t.contains(k)));
        let wanted = |d: &&Datum| fits(takes, d) && kind.as_ref().is_none_or(|k| *k == d.kind);
        let all = net.data.read();
        let mut rows: Vec<Row> = all
            .iter()
            .filter(wanted)
            .map(|d| of_datum(d, takes, notation))
            .collect();
        if takes == Takes::Azimuth {
            rows.extend(tablet.read(of_sightings));
        }
        rows
    });
    let top = RwSignal::new(0.0_f64);
    let height = RwSignal::new(700.0_f64);
    let list = NodeRef::<Div>::new();
    let look = move || {
        if let Some(list) = list.get_untracked() {
            top.set(f64::from(list.scroll_top()));
            height.set(f64::from(list.client_height()));
        }
    };
    // A new list begins where something of it is chosen, else at its top.
    Effect::new(move |_| {
        takes.track();
        tablet.width.track();
        if list.get().is_none() {
            return;
        }
        let chosen = reckoning.asked.with_untracked(|a| a.chosen.concat());
        let first =
            rows.with_untracked(|rows| rows.iter().position(|r| chosen.contains(&r.record)));
        request_animation_frame(move || {
            if let Some(list) = list.try_get_untracked().flatten() {
                #[allow(clippy::cast_possible_truncation)]
                // a book of 2³¹ pixels has 34 million lines
                list.set_scroll_top((first.unwrap_or_default() as f64 * ROW) as i32);
                top.try_set(f64::from(list.scroll_top()));
                height.try_set(f64::from(list.client_height()));
            }
        });
    });
    let window = Memo::new(move |_| {
        let count = rows.with(Vec::len);
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        // a scroll position in rows, clamped to the list
        let row = |px: f64| (px / ROW).max(0.0) as usize;
        let from = row(top.get()).saturating_sub(MARGIN).min(count);
        (
            from,
            (row(top.get() + height.get()) + 1 + MARGIN).min(count),
        )
    });
    let shown = move || {
        let (from, to) = window.get();
        rows.with(|rows| {
            let rows = rows.get(from..to).unwrap_or_default();
            rows.iter()
                .cloned()
                .enumerate()
                .map(|(i, row)| (from + i, row))
                .collect::<Vec<_>>()
        })
    };
    let says = move || {
        let count = rows.with(Vec::len);
        let (slot, takes) = reckoning.takes().unwrap_or((0, Takes::Either));
        let name = reckoning
            .asked
            .with(|a| a.what.slots().get(slot).map_or("", |s| s.name));
        let more = match takes {
            Takes::Planes => "; several make a mean",
            Takes::Many => "; several are taken one by one",
            _ => "",
        };
        match count {
            0 => format!("The book has nothing for “{name}”."),
            _ => format!("Tap a line for “{name}”{more}."),
        }
    };
    view! {
        <div class="choices" data-testid="reckon-choices">
            <p class="small soft" data-testid="reckon-says">{says}</p>
            {move || (there.with(|t| t.len() > 1)).then(|| {
                let now = kind.get().unwrap_or_default();
                view! {
                    <select class="plate" aria-label="kind of structure" data-testid="reckon-kind"
                        on:change=move |e| {
                            let value = event_target_value(&e);
                            kind.set((!value.is_empty()).then_some(value));
                        }>
                        <option value="" selected=now.is_empty()>"any kind"</option>
                        {there.get().into_iter().map(|k| {
                            let selected = k == now;
                            let words = kinds::words(&k).to_owned();
                            view! { <option value=k selected=selected>{words}</option> }
                        }).collect_view()}
                    </select>
                }
            })}
            <div class="list" node_ref=list tabindex="0" role="region" aria-label="lines to choose" on:scroll=move |_| look()>
                <div class="tall" style:height=move || format!("{}px", rows.with(Vec::len) as f64 * ROW)>
                    <For each=shown key=|(i, row)| format!("{i} {row:?}") let:item>
                        <div class="row" style:top=format!("{}px", item.0 as f64 * ROW)><Line row=item.1/></div>
                    </For>
                </div>
            </div>
        </div>
    }
}

#[component]
fn Line(row: Row) -> impl IntoView {
    let (tablet, net, reckoning) = (Tablet::expect(), NetState::expect(), Reckoning::expect());
    let record = StoredValue::new(row.record.clone());
    let chosen = Memo::new(move |_| {
        let slot = reckoning.takes().map(|(slot, _)| slot);
        reckoning
            .asked
            .with(|a| slot.is_some_and(|slot| record.with_value(|r| a.at(slot).contains(r))))
    });
    let slug = row.number.replace('·', "-");
    let opens = row.opens.clone();
    let open = move |_| match &opens {
        Opens::Reading => tablet.open_record(&record.get_value()),
        Opens::Sighting => tablet.reopen_sighting(&record.get_value()),
        Opens::Station(number) => tablet.go(&format!("/station/{number}")),
    };
    let spoken = format!(
        "{}, {}, {}, {}",
        row.number.replace('·', " dot "),
        row.name,
        row.value.replace('→', " toward ").replace('/', " slash "),
        row.detail
    );
    let what = match row.opens {
        Opens::Reading => "line",
        Opens::Sighting => "sighting",
        Opens::Station(_) => "station",
    };
    let open_label = format!("open {what} {}", row.number.replace('·', " dot "));
    let drawn = row
        .drawn
        .as_ref()
        .map(|written| sign(written, false, false))
        .unwrap_or_default();
    view! {
        <div class="station-line" class:chosen=chosen class:bare=row.drawn.is_none()>
            <button class="pick" data-testid=format!("reckon-{what}-{slug}") aria-pressed=move || chosen.get().to_string() on:click=move |_| reckoning.choose(&record.get_value(), net)>
                <span class="hidden-words">{spoken}</span>
                <span class="no" aria-hidden="true">{row.number.clone()}</span>
                <span class="drawn" aria-hidden="true" inner_html=drawn></span>
                <span class="value" aria-hidden="true">{value(&row.value)}</span>
                <span class="what" aria-hidden="true"><span class="name">{row.name.clone()}</span><span class="count">{row.detail.clone()}</span></span>
            </button>
            <button class="open" data-testid=format!("reckon-open-{what}-{slug}") aria-label=open_label on:click=open>
                <span aria-hidden="true" inner_html=icon(Icon::Arrow)></span>
            </button>
        </div>
    }
}
