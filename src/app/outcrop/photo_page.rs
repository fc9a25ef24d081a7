//! The page of one photo: as large as the glass allows, what it shows, and striking it out.

use leptos::prelude::*;
use leptos::task::spawn_local;
use leptos_router::hooks::use_params_map;

use crate::app::camp::settle::{versions, waiting};
use crate::app::drawing::{Icon, doubt_sign, icon};
use crate::app::history::page::HistoryPlate;
use crate::app::outcrop::photo::{Shown, bytes_words};
use crate::app::outcrop::photos::PhotoImage;
use crate::app::parts::tablet::Tablet;
use crate::app::parts::{file, picture};
use crate::app::written::day_words;
use crate::notebook::RecordId;

/// The field under which the note of a photo is drafted.
fn field(record: &str) -> String {
    format!("{record}/photo-note")
}

/// One photo.
#[component]
pub(in crate::app) fn PhotoPage() -> impl IntoView {
    let tablet = Tablet::expect();
    let params = use_params_map();
    let record = Memo::new(move |_| params.with(|p| p.get("record")).unwrap_or_default());
    let shown = Memo::new(move |_| tablet.read(|shelf| Shown::of(shelf, &record.get())));
    let known = Memo::new(move |_| shown.with(Option::is_some));
    view! {
        <main class="room photo-page" data-testid="photo-page">
            {move || if known.get() {
                let record = record.get();
                view! { <OnePhoto record=record shown=Signal::derive(move || shown.get().unwrap_or_default())/> }.into_any()
            } else {
                view! {
                    <div class="nothing">
                        <h1>{move || if tablet.loading.get().is_some() { "Reading the book …" } else { "There is no such photo in this book" }}</h1>
                    </div>
                }.into_any()
            }}
        </main>
    }
}

#[component]
fn OnePhoto(record: String, shown: Signal<Shown>) -> impl IntoView {
    let tablet = Tablet::expect();
    let record = StoredValue::new(record);
    let sha256 = Memo::new(move |_| shown.with(|s| s.sha256.clone()));
    let struck = Memo::new(move |_| shown.with(|s| s.struck.clone()));
    let contested = Memo::new(move |_| {
        let own = tablet.settings.with(|s| s.device.clone());
        let record = record.get_value();
        tablet.read(|shelf| waiting::in_short(&shelf.pages, &shelf.ledger, &record, &own))
    });
    let settle = move |_| tablet.go(&versions::path(&RecordId::from(record.get_value())));
    let note = RwSignal::new(
        tablet
            .drafted_words(&field(&record.get_value()))
            .unwrap_or_else(|| shown.with_untracked(|s| s.note.clone())),
    );
    let why = RwSignal::new(String::new());
    let report = RwSignal::new(None::<String>);
    let facts = move || {
        shown.with(|s| {
            let taken = [day_words(&s.day), s.time.clone()];
            let with = s.reading.as_ref().map(|reading| format!("with {reading}"));
            taken
                .into_iter()
                .chain(with)
                .chain([
                    format!("{} × {}", s.size.0, s.size.1),
                    bytes_words(s.bytes.into()),
                ])
                .filter(|word| !word.is_empty())
                .collect::<Vec<_>>()
                .join(" · ")
        })
    };
    let keep_note = move || {
        let text = note.get_untracked().trim().to_owned();
        tablet.change_photo(&record.get_value(), |photo| photo.note = text);
        tablet.end_words(&field(&record.get_value()));
    };
    let download = move |_| {
        let (sha256, name) = shown.with_untracked(|s| {
            (
                s.sha256.clone(),
                format!("hingeline-{}-P{}.jpg", s.station, s.number),
            )
        });
        spawn_local(async move {
            let outcome = match tablet.photo_bytes(&sha256).await {
                Ok(Some(bytes)) => file::blob(&[bytes.into()], picture::MEDIA)
                    .and_then(|blob| file::hand_out(&name, &file::blob_address(&blob)?)),
                Ok(None) => Err("its picture is not on this tablet".to_owned()),
                Err(error) => Err(error),
            };
            report.set(Some(match outcome {
                Ok(()) => format!("{name}: handed to the browser's downloads."),
                Err(error) => format!("no file was made: {error}"),
            }));
        });
    };
    let other = move |which: fn(&Shown) -> Option<(String, u32)>, id: &'static str| {
        move || {
            shown.with(which).map(|(record, number)| {
                view! {
                    <button class="plate" data-testid=id on:click=move |_| tablet.go(&format!("/photo/{record}"))>{format!("to P{number}")}</button>
                }
            })
        }
    };
    view! {
        <div class="title">
            <span class="what">
                <h1 data-testid="photo-name" class:struck=move || struck.with(Option::is_some)>{move || shown.with(Shown::name)}</h1>
                <span class="soft small" data-testid="photo-facts">{facts}</span>
            </span>
            {other(|s| s.before.clone(), "photo-before")}
            {other(|s| s.after.clone(), "photo-after")}
            <button class="plate" data-testid="photo-station" on:click=move |_| tablet.go(&format!("/station/{}", shown.with_untracked(|s| s.station)))>
                <span aria-hidden="true" inner_html=icon(Icon::List)></span>
                {move || if tablet.width.get() < 700.0 { view! { <span class="hidden-words">"Station"</span> }.into_any() } else { "Station".into_any() }}
            </button>
        </div>
        {move || contested.get().map(|(what, by)| view! {
            <div class="in-doubt" data-testid="photo-doubt">
                <span aria-hidden="true" inner_html=doubt_sign("?", false)></span>
                <p><span class="hidden-words">"doubt: "</span><b>{what}</b>" "<span class="soft">{by}</span></p>
                <button class="plate" data-testid="settle-open" on:click=settle>"Settle"</button>
            </div>
        })}
        {move || view! { <PhotoImage sha256=sha256.get() large=true words=shown.with_untracked(Shown::spoken)/> }}
        {move || struck.get().map(|why| {
            let words = if why.is_empty() { "Struck out.".to_owned() } else { format!("Struck out: {why}.") };
            view! { <p data-testid="photo-struck"><b>{words}</b></p> }
        })}
        <div class="asks">
            <label for="photo-note">"What it shows"</label>
            <textarea id="photo-note" class="words-field" data-testid="photo-note" prop:value=note
                on:input=move |e| { note.set(event_target_value(&e)); tablet.draft_words(&field(&record.get_value()), &event_target_value(&e)); }
                on:change=move |_| keep_note()></textarea>
            {move || if struck.with(Option::is_some) {
                view! {
                    <span></span>
                    <button class="plate" data-testid="photo-put-back" on:click=move |_| tablet.put_back_photo(&record.get_value())>
                        <span aria-hidden="true" inner_html=icon(Icon::Undo)></span>"Put it back"
                    </button>
                }.into_any()
            } else {
                view! {
                    <label for="photo-why">"Strike out; it stays to be seen"</label>
                    <div class="row">
                        <input id="photo-why" class="words-field" data-testid="photo-why" placeholder="why (blurred, another outcrop)" prop:value=why
                            on:input=move |e| why.set(event_target_value(&e))/>
                        <button class="plate" data-testid="photo-strike" on:click=move |_| {
                            tablet.strike_out_photo(&record.get_value(), &why.get_untracked());
                            why.set(String::new());
                        }>
                            <span aria-hidden="true" inner_html=icon(Icon::Strike)></span>"Strike out"
                        </button>
                    </div>
                }.into_any()
            }}
            <span>"What was done to it"</span>
            <HistoryPlate record=RecordId::from(record.get_value())/>
            <span>"For others"</span>
            <button class="plate" data-testid="photo-download" on:click=download>
                <span aria-hidden="true" inner_html=icon(Icon::Hand)></span>"Download this picture"
            </button>
        </div>
        <p class="report" role="status" data-testid="photo-report">{move || report.get().unwrap_or_default()}</p>
        <p class="soft small">"Only what is seen is kept: place, time and camera that the file itself carried are left out."</p>
    }
}
