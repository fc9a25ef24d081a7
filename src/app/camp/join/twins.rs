//! Stations that look like twins, one number twice or one outcrop twice, and what was taken at one station under one number; one tap
//! renumbers or ties, Undo names it, and which station became which number stands here afterwards.

use leptos::prelude::*;

use super::shown::sentence;
use super::state::Joining;
use crate::app::drawing::doubt_sign;
use crate::app::history::steps;
use crate::app::parts::line::value;
use crate::app::parts::tablet::Tablet;
use crate::app::who;
use crate::notebook::Namesakes;
use crate::notebook::namesakes::namesakes;
use crate::notebook::twins::{Twins, twins};

/// So many of one number are listed; the rest are counted.
const MOST_TOLD: usize = 6;

/// The pairs that wait for a word, and the numbers that stand twice at their station.
#[component]
pub(in crate::app) fn TwinList() -> impl IntoView {
    let tablet = Tablet::expect();
    let pairs = Memo::new(move |_| {
        if tablet.loading.get().is_some() {
            return Vec::new();
        }
        tablet.read(|shelf| twins(&shelf.ledger, &shelf.pages))
    });
    let joining = Joining::expect();
    let said = Memo::new(move |_| {
        joining.renumbered.with(|all| {
            tablet.read(|shelf| {
                let standing = all.iter().filter(|one| one.stands(&shelf.pages));
                standing
                    .map(|one| sentence(&one.words().replace('`', "")))
                    .collect::<Vec<_>>()
            })
        })
    });
    let taken = Memo::new(move |_| {
        if tablet.loading.get().is_some() {
            return Vec::new();
        }
        tablet.read(|shelf| namesakes(&shelf.ledger, &shelf.pages))
    });
    let of_number = move || {
        pairs.with(|all| {
            let numbers = all.iter().filter(|t| t.is_number());
            numbers.cloned().collect::<Vec<_>>()
        })
    };
    let several = move || of_number().len() + taken.with(Vec::len) > 1;
    let all_numbers = move |_| {
        let (stations, taken) = (untrack(of_number), taken.get_untracked());
        joining.renumber(&stations, &taken);
    };
    view! {
        <div class="renumbered" role="status" data-testid="twins-renumbered">
            {move || said.get().into_iter().map(|words| view! { <p data-lands>{words}</p> }).collect_view()}
        </div>
        <div data-next>
        {move || several().then(|| view! {
            <div class="item">
                <div class="what"><b>"Several numbers stand twice"</b><span>"each but the first gets the next free number; all are kept, and what was read at a station stays with it"</span></div>
                <button class="plate" data-testid="twins-renumber-all" on:click=all_numbers>"Renumber all"</button>
            </div>
        })}
        {move || pairs.get().into_iter().enumerate().map(|(i, pair)| view! { <Pair number=i + 1 pair=pair/> }).collect_view()}
        {move || taken.get().into_iter().enumerate().map(|(i, same)| view! { <Same number=i + 1 same=same/> }).collect_view()}
        </div>
    }
}

/// What was taken at one station under one number.
#[component]
fn Same(number: usize, same: Namesakes) -> impl IntoView {
    let tablet = Tablet::expect();
    let joining = Joining::expect();
    let (own, notation) = tablet
        .settings
        .with_untracked(|s| (s.device.clone(), s.notation));
    let head = same.heading();
    let each = tablet.read_once(|shelf| {
        let records = same.records.iter().take(MOST_TOLD);
        records
            .map(|(record, known)| {
                let state = shelf.ledger.state(record.as_str());
                let value = state
                    .shown()
                    .map(|e| steps::value(&shelf.pages, e, notation));
                let value = value.filter(|v| !v.is_empty());
                let tablet = who::tablet(&known.device, &own);
                let words = same.known_words(known).replace('`', "");
                match value {
                    Some(value) => format!("{value}, {words}, {tablet}"),
                    None => format!("{words}, {tablet}"),
                }
            })
            .collect::<Vec<_>>()
    });
    let more = same.records.len() - each.len();
    let words = sentence(&same.words());
    let label = format!("Renumber {}", same.name());
    let same = StoredValue::new(same);
    view! {
        <div class="item" data-testid=format!("namesakes-{number}")>
            <span class="icon" aria-hidden="true" inner_html=doubt_sign("?", true)></span>
            <div class="what">
                <b>{head}</b>
                <span>{words}</span>
                {each.into_iter().enumerate().map(|(i, words)| view! { <span>{format!("{}: ", i + 1)}{value(&words)}</span> }).collect_view()}
                {(more > 0).then(|| view! { <span>{format!("and {more} more")}</span> })}
            </div>
            <div class="acts" data-next>
                <button class="plate" data-testid=format!("namesakes-renumber-{number}") aria-label=label on:click=move |_| joining.renumber(&[], &[same.get_value()])>"Renumber"</button>
            </div>
        </div>
    }
}

#[component]
fn Pair(number: usize, pair: Twins) -> impl IntoView {
    let tablet = Tablet::expect();
    let joining = Joining::expect();
    let words = sentence(&pair.words());
    let own = tablet.settings.with_untracked(|s| s.device.clone());
    let named = pair.known.each_ref().map(|known| {
        let tablet = who::tablet(&known.device, &own);
        format!("{}, {tablet}", known.words().replace('`', ""))
    });
    let [earlier, later] = pair.numbers;
    let head = if earlier == later {
        format!("Station {later} twice")
    } else {
        format!("Stations {earlier} and {later}")
    };
    let is_number = pair.is_number();
    let offers_tie = !pair.tied && (pair.close.is_some() || is_number);
    let offers_apart = pair.close.is_some() && !pair.tied && !is_number;
    let pair = StoredValue::new(pair);
    view! {
        <div class="item" data-testid=format!("twins-{number}")>
            <span class="icon" aria-hidden="true" inner_html=doubt_sign("?", true)></span>
            <div class="what">
                <b>{head}</b>
                <span>{words}</span>
                <span>{sentence(&format!("the earlier: {}; the later: {}", named[0], named[1]))}</span>
            </div>
            <div class="acts" data-next>
                {is_number.then(|| view! {
                    <button class="plate" data-testid=format!("twins-renumber-{number}") on:click=move |_| joining.renumber(&[pair.get_value()], &[])>"Renumber"</button>
                })}
                {offers_tie.then(|| view! {
                    <button class="plate" data-testid=format!("twins-tie-{number}") on:click=move |_| tablet.tie(&pair.get_value())>"One outcrop"</button>
                })}
                {offers_apart.then(|| view! {
                    <button class="plate" data-testid=format!("twins-apart-{number}") on:click=move |_| tablet.tell_apart(&pair.get_value())>"Two outcrops"</button>
                })}
            </div>
        </div>
    }
}
