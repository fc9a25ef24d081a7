//! One line of the book: number, symbol, kind, value, detail; its rule says how sure it is.

use leptos::prelude::*;

use crate::app::drawing::{Icon, doubt_sign, icon, line_symbol, symbol};
use crate::app::net::selection::Of;
use crate::app::net::state::NetState;
use crate::app::outcrop::{between, kinds};
use crate::app::written::{Row, Written};
use crate::notebook::RecordId;

use super::tablet::Tablet;

/// A value in the book's notation, or a sentence with such values in it; an arrow is drawn, since the type has none, and no line
/// ends at it.
pub(crate) fn value(text: &str) -> AnyView {
    if !text.contains('→') {
        return text.to_owned().into_any();
    }
    text.split_inclusive(' ')
        .map(|word| {
            if !word.contains('→') {
                return word.to_owned().into_any();
            }
            let (whole, space) = match word.strip_suffix(' ') {
                Some(whole) => (whole, " "),
                None => (word, ""),
            };
            let mut parts = whole.split('→').map(str::to_owned);
            let first = parts.next().unwrap_or_default();
            let rest = parts.map(|part| {
                view! {
                    <span class="to" aria-hidden="true" inner_html=icon(Icon::Arrow)></span>
                    <span class="hidden-words">" toward "</span>
                    {part}
                }
            });
            view! { <span class="unbroken">{first}{rest.collect_view()}</span>{space} }.into_any()
        })
        .collect_view()
        .into_any()
}

/// The map symbol of a row.
pub(crate) fn row_symbol(row: &Row, figures: bool) -> String {
    sign(&row.written, figures, row.struck)
}

/// The map symbol of what is written.
pub(crate) fn sign(written: &Written, figures: bool, struck: bool) -> String {
    match written {
        Written::Plane {
            strike_deg,
            dip_deg,
            side_known,
            kind,
        } => symbol(
            kind,
            Some(*strike_deg),
            Some(*dip_deg),
            *side_known,
            figures,
            struck,
        ),
        Written::Line {
            trend_deg,
            plunge_deg,
        } => line_symbol(*trend_deg, Some(*plunge_deg), figures, struck),
        Written::Other => String::new(),
    }
}

/// A reading as a line that opens; with `of_net` it shows whether it is selected, and is selected by its tap.
#[component]
pub(crate) fn BookLine(record: RecordId, #[prop(optional)] of_net: bool) -> impl IntoView {
    let (tablet, net) = (Tablet::expect(), NetState::expect());
    let id = record.as_str().to_owned();
    let sought = id.clone();
    let chosen = Memo::new(move |_| of_net && net.selection.with(|s| s.has(&sought)));
    let row = Memo::new(move |_| {
        let notation = tablet.settings.with(|s| s.notation);
        tablet.read(|shelf| {
            let reading = shelf.reading(record.as_str());
            let mut row = Row::of(
                &shelf.pages,
                reading,
                &shelf.why_struck(record.as_str()),
                notation,
                shelf.station_number(record.as_str()),
            )?;
            if let Some([a, b]) = reading.map(|(reading, _)| reading.planes.as_slice()) {
                let numbers = [a, b].map(|id| {
                    between::shown(shelf, id, notation).map_or("?".to_owned(), |plane| plane.number)
                });
                row.detail = format!("{} and {} · {}", numbers[0], numbers[1], row.detail);
            }
            // What two people changed differently is a doubt like any other.
            row.doubted |= shelf
                .pages
                .reading(record.as_str())
                .is_some_and(|line| line.is_contested());
            Some(row)
        })
    });
    move || {
        let row = row.get()?;
        let id = id.clone();
        let spoken = row.spoken();
        let drawn = row_symbol(&row, false);
        let state = row.state();
        Some(view! {
            <button
                class="line"
                class:chosen=chosen
                data-testid=format!("line-{}-{}", row.station, row.number)
                data-state=state
                data-value=row.value.clone()
                on:click=move |_| {
                    if of_net {
                        net.select(&id, Of::List);
                    }
                    tablet.open_record(&id);
                }
            >
                <span class="hidden-words">{spoken}</span>
                <span class="no" aria-hidden="true">{format!("{}·{}", row.station, row.number)}</span>
                <span aria-hidden="true" inner_html=drawn></span>
                <span class="kind" aria-hidden="true">{kinds::words(&row.kind).to_owned()}</span>
                <span class="value" aria-hidden="true">{value(&row.value)}</span>
                <span class="detail" aria-hidden="true">{row.detail.clone()}</span>
                {row.doubted.then(|| view! { <span class="sign" aria-hidden="true" inner_html=doubt_sign("?", true)></span> })}
                {(row.kept_doubt && !row.doubted).then(|| view! {
                    <span class="sign settled" data-testid=format!("kept-doubt-{}-{}", row.station, row.number) aria-hidden="true" inner_html=doubt_sign("?", true)></span>
                })}
            </button>
        })
    }
}
