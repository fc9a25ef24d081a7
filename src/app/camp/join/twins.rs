//! Stations that look like twins: one number twice, or one outcrop twice; one tap renumbers or ties, Undo names it, and which
//! station became which number stands here afterwards.

use leptos::prelude::*;

use super::shown::sentence;
use super::state::Joining;
use crate::app::drawing::doubt_sign;
use crate::app::parts::tablet::Tablet;
use crate::app::who;
use crate::notebook::twins::{Twins, twins};

/// The pairs that wait for a word.
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
    let several = move || pairs.with(|all| all.iter().filter(|t| t.is_number()).count() > 1);
    let all_numbers = move |_| {
        let numbers = pairs.with_untracked(|all| {
            all.iter()
                .filter(|t| t.is_number())
                .cloned()
                .collect::<Vec<_>>()
        });
        joining.renumber(&numbers);
    };
    view! {
        <div class="renumbered" role="status" data-testid="twins-renumbered">
            {move || said.get().into_iter().map(|words| view! { <p data-lands>{words}</p> }).collect_view()}
        </div>
        <div data-next>
        {move || several().then(|| view! {
            <div class="item">
                <div class="what"><b>"Several numbers stand twice"</b><span>"every later station gets the next free number; both are kept, and so are their readings"</span></div>
                <button class="plate" data-testid="twins-renumber-all" on:click=all_numbers>"Renumber all"</button>
            </div>
        })}
        {move || pairs.get().into_iter().enumerate().map(|(i, pair)| view! { <Pair number=i + 1 pair=pair/> }).collect_view()}
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
                    <button class="plate" data-testid=format!("twins-renumber-{number}") on:click=move |_| joining.renumber(&[pair.get_value()])>"Renumber"</button>
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
