//! The history page: every entry of a record, what it changed, and which one stands.

use leptos::prelude::*;
use leptos_router::hooks::use_params_map;

use super::changes::Changed;
use super::steps::{self, History, Opens, Stands, Step};
use crate::app::drawing::{Icon, doubt_sign, icon};
use crate::app::parts::line::value;
use crate::app::parts::tablet::Tablet;
use crate::notebook::RecordId;

/// The plate that turns to a record's history.
#[component]
pub(in crate::app) fn HistoryPlate(record: RecordId) -> impl IntoView {
    let tablet = Tablet::expect();
    let path = steps::path(&record);
    view! {
        <button class="plate" data-testid="history-open" on:click=move |_| tablet.go(&path)>
            <span aria-hidden="true" inner_html=icon(Icon::Book)></span>"History"
        </button>
    }
}

/// The history of one record.
#[component]
pub(in crate::app) fn HistoryPage() -> impl IntoView {
    let tablet = Tablet::expect();
    let params = use_params_map();
    let record = Memo::new(move |_| params.with(|p| p.get("record")).unwrap_or_default());
    let found = Memo::new(move |_| {
        let record = record.get();
        let (notation, own) = tablet.settings.with(|s| (s.notation, s.device.clone()));
        tablet.read(|shelf| steps::history(&shelf.pages, &shelf.ledger, &record, notation, &own))
    });
    move || {
        match found.get() {
        Some(history) => view! { <Steps record=record.get_untracked() history=history/> }.into_any(),
        None => view! {
            <main class="room">
                <h1>{move || match tablet.loading.get() {
                    Some(_) => "Reading the book …",
                    None => "This book has no such record",
                }}</h1>
                <p>"A history is reached from its reading, its station, its sighting, its photo or its set-up."</p>
                <button class="plate" on:click=move |_| tablet.go("/traverse")>"Traverse"</button>
            </main>
        }
        .into_any(),
    }
    }
}

#[component]
fn Steps(record: String, history: History) -> impl IntoView {
    let tablet = Tablet::expect();
    let record = StoredValue::new(record);
    let count = match history.steps.len() {
        1 => "1 entry".to_owned(),
        n => format!("{n} entries, the first above"),
    };
    let opens = history.opens.clone();
    let open = move |_| {
        let record = record.get_value();
        match &opens {
            Opens::Reading => tablet.open_record(&record),
            Opens::Sighting => tablet.reopen_sighting(&record),
            Opens::Station(number) => tablet.go(&format!("/station/{number}")),
            Opens::Photo => tablet.go(&format!("/photo/{record}")),
            Opens::SetUp => tablet.go(&format!("/camp/set-up/{record}")),
            Opens::Camp => tablet.go("/camp"),
        }
    };
    view! {
        <main class="room history" data-testid="history">
            <div class="title">
                <div class="what">
                    <h1>{history.title}<span class="hidden-words">", its history"</span></h1>
                    <p class="soft small">{count}" · nothing is ever taken out of it"</p>
                </div>
                {history.contested.then(|| view! {
                    <button class="plate" data-testid="history-settle" on:click=move |_| tablet.go(&format!("/camp/settle/{}", record.get_value()))>
                        <span aria-hidden="true" inner_html=doubt_sign("?", true)></span>"Settle"
                    </button>
                })}
                <button class="plate" data-testid="history-leave" on:click=open>
                    <span aria-hidden="true" inner_html=icon(Icon::Arrow)></span>"Open it"
                </button>
            </div>
            <ol class="steps">
                {history.steps.into_iter().enumerate().map(|(i, step)| view! { <OneStep number=i + 1 step=step/> }).collect_view()}
            </ol>
        </main>
    }
}

#[component]
fn OneStep(number: usize, step: Step) -> impl IntoView {
    let (state, stands) = match step.stands {
        Stands::Now => ("now", Some("This is what the book says now.".to_owned())),
        Stands::Version(letter) => (
            "version",
            Some(format!(
                "Version {letter} of those that disagree; nobody has settled it."
            )),
        ),
        Stands::Part => (
            "part",
            Some("It stands, put together with another below.".to_owned()),
        ),
        Stands::Before => ("before", None),
    };
    let letter = match step.stands {
        Stands::Version(letter) => Some(letter),
        _ => None,
    };
    let nothing = step.changes.is_empty() && !step.struck && state == "before";
    view! {
        <li class="step" data-testid=format!("step-{number}") data-stands=state data-id=step.id>
            <span class="nth" aria-hidden="true">
                {match letter {
                    Some(letter) => view! { <span class="version" class:filled=letter == 'A'>{letter.to_string()}</span> }.into_any(),
                    None => view! { <span class="num">{number}</span> }.into_any(),
                }}
            </span>
            <div class="said">
                <p><b class="did">{step.did}</b><span class="soft">" · "{step.author}" · "{step.when}</span></p>
                {(!step.value.is_empty()).then(|| view! { <p class="value num" class:struck=step.struck>{value(&step.value)}</p> })}
                <ul class="changes">
                    {step.changes.into_iter().map(|change| view! { <OneChange change=change/> }).collect_view()}
                </ul>
                {nothing.then(|| view! { <p class="soft small">"No field that is shown here changed."</p> })}
                {step.why.map(|why| view! { <p>"Why: “"{why}"”"</p> })}
                {step.follows_missing.then(|| view! {
                    <p class="soft small">"It follows an entry that this book does not have; joining the book it came from brings that back."</p>
                })}
                {stands.map(|words| view! { <p class="small" class:stands=true><b>{words}</b></p> })}
            </div>
        </li>
    }
}

#[component]
fn OneChange(change: Changed) -> impl IntoView {
    let spoken = change.spoken();
    let Changed {
        name,
        before,
        after,
    } = change;
    let both = before.is_some() && after.is_some();
    view! {
        <li>
            <span class="hidden-words">{spoken}</span>
            <span class="soft" aria-hidden="true">{name}" "</span>
            <span aria-hidden="true">
                {before.map(|text| view! { <s>{value(&text)}</s> })}
                {both.then(|| view! { <span class="to" inner_html=icon(Icon::Arrow)></span> })}
                {after.map(|text| view! { <b>{value(&text)}</b> })}
            </span>
        </li>
    }
}
