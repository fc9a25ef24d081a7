//! The head of every page: the three places, the state of keeping, Undo, and the ledger line.

use leptos::prelude::*;
use leptos_router::hooks::use_location;

use crate::app::drawing::{Icon, doubt_sign, icon};
use crate::store::{Keeping, LedgerLine, Words, badge};

use super::tablet::Tablet;

/// The head and its line; where something was not kept, the reason stands below it.
#[component]
pub(crate) fn Head() -> impl IntoView {
    let tablet = Tablet::expect();
    let path = use_location().pathname;
    let here = move |root: &'static str| {
        let path = path.get();
        match root {
            "outcrop" => {
                path == "/"
                    || path.starts_with("/outcrop")
                    || path.starts_with("/station")
                    || path.starts_with("/sighting")
                    || path.starts_with("/photo")
            }
            root => path.starts_with(&format!("/{root}")),
        }
    };
    let place = move |root: &'static str, word: &'static str, drawn: Icon| {
        view! {
            <button
                class="plate place"
                data-testid=format!("place-{root}")
                aria-current=move || here(root).then_some("page")
                on:click=move |_| tablet.go(&format!("/{root}"))
            >
                <span aria-hidden="true" inner_html=icon(drawn)></span>
                {word}
            </button>
        }
    };
    let at_outcrop = move || {
        matches!(
            path.get().trim_end_matches('/').rsplit('/').next(),
            Some("outcrop" | "")
        )
    };
    let words = Memo::new(move |_| {
        let keeping = tablet.keeping.get();
        let typing = tablet.open.with(|o| {
            o.as_ref().is_some_and(|o| {
                o.is_draft() && !o.is_untyped() || o.record.is_none() && !o.reading.shots.is_empty()
            })
        }) || tablet.is_sighting_drafted();
        match keeping {
            Keeping::Kept { .. } if tablet.taking.get() > 0 => badge(&Keeping::Pending),
            Keeping::Kept { .. } if typing => badge(&Keeping::Draft),
            Keeping::Kept { .. } if path.get().ends_with("/declination") && tablet.is_setting() => {
                let draft = badge(&Keeping::Draft);
                match tablet.width.get() < 700.0 {
                    true => draft,
                    false => Words {
                        text: "not set yet".to_owned(),
                        ..draft
                    },
                }
            }
            other => badge(&other),
        }
    });
    let only_here = Memo::new(move |_| {
        if tablet.demo.get() || tablet.loading.get().is_some() {
            return None;
        }
        let back_up = tablet.settings.with(|s| s.back_up.clone());
        tablet.read(|shelf| match shelf.pages.stations().len() {
            0 => None,
            _ => Some(shelf.stations_since(back_up.as_ref())),
        })
    });
    let undo = Memo::new(move |_| tablet.undo_words());
    // The plate alone does not say that it was pressed: its next words do, to whoever listens.
    let turned = Memo::new(move |before: Option<&(String, String)>| {
        let now = undo.get().unwrap_or_default();
        let was = before.map_or("", |(words, _)| words);
        let said = turned_words(was, &now);
        (now, said)
    });
    view! {
        <header class="head">
            <nav style:display="contents" aria-label="places">
                {place("outcrop", "Outcrop", Icon::Outcrop)}
                {place("traverse", "Traverse", Icon::Traverse)}
                {place("camp", "Camp", Icon::Camp)}
            </nav>
            <div class="state">
                <p role="status" data-testid="head-state">
                    <b>{move || first_word(&words.get().text, tablet.width.get() < 700.0).0}</b>
                    <span class="hidden-words">{move || first_word(&words.get().text, tablet.width.get() < 700.0).1}</span>
                    {move || (tablet.demo.get() && at_outcrop() && tablet.width.get() >= 700.0).then_some(" · demo")}
                </p>
                <p class="hidden-words" role="status" data-testid="undo-said">{move || turned.get().1}</p>
                {move || only_here.get().map(|count| view! {
                    <p class="since" data-testid="since-backup">
                        {since_words(count, tablet.width.get() < 700.0)}
                        {(tablet.width.get() < 700.0).then(|| view! { <span class="hidden-words">" since the last back-up"</span> })}
                    </p>
                })}
            </div>
            {move || undo.get().map(|words| view! {
                <button class="plate undo" data-testid="undo" aria-label=words.clone() on:click=move |_| tablet.undo()>
                    <span aria-hidden="true" style:display="block" inner_html=icon(Icon::Undo)></span>
                    <span>{words.clone()}</span>
                </button>
            })}
        </header>
        <div
            class="ledger"
            class:kept=move || words.get().line == LedgerLine::Solid
            class:draft=move || words.get().line != LedgerLine::Solid
        ></div>
        {move || words.get().detail.map(|detail| view! {
            <div class="loud" role="alert" data-testid="loud">
                <span inner_html=doubt_sign("?", true)></span>
                <p>{detail}</p>
                <button class="plate" data-testid="try-again" on:click=move |_| tablet.try_again()>"Try again"</button>
            </div>
        })}
        {move || tablet.unkept.get().map(|unkept| view! {
            <div class="loud photo-unkept" role="alert" data-testid="photo-unkept">
                <span aria-hidden="true" inner_html=doubt_sign("?", true)></span>
                <p>{unkept.why.clone()}</p>
                {unkept.has_picture().then(|| view! {
                    <button class="plate" data-testid="photo-again" on:click=move |_| tablet.keep_photo_again()>"Try again"</button>
                    <button class="plate" data-testid="photo-save" on:click=move |_| tablet.download_unkept()>"Download the photo"</button>
                })}
                <button class="plate" data-testid="photo-leave" on:click=move |_| tablet.unkept.set(None)>"Leave it"</button>
            </div>
        })}
        {move || tablet.update.get().then(|| view! {
            <div class="loud" role="status">
                <p>"A newer Hingeline is ready. The draft stays as it is."</p>
                <button class="plate" data-testid="take-update" on:click=move |_| tablet.take_update()>"Take it now"</button>
                <button class="plate" on:click=move |_| tablet.update.set(false)>"Later"</button>
            </div>
        })}
        {move || (tablet.demo.get() && !at_outcrop()).then(|| view! {
            <aside class="loud" aria-label="demo book" data-testid="demo-band">
                <p><b>"Demo book."</b>" Nothing here is yours, and nothing here was measured."</p>
                <button class="plate" data-testid="demo-leave" on:click=move |_| tablet.leave_demo()>"Throw it away"</button>
            </aside>
        })}
        {move || tablet.warning.get().map(|words| view! {
            <div class="loud" role="alert" data-testid="warning">
                <span inner_html=doubt_sign("?", true)></span>
                <p>{words}</p>
                <button class="plate" on:click=move |_| tablet.warning.set(None)>"Seen"</button>
            </div>
        })}
    }
}

/// What Undo or Redo did, by the words on the plate before and after; nothing where another act was done.
fn turned_words(was: &str, now: &str) -> String {
    let same = |from: &str, to: &str| {
        let act = was.strip_prefix(from)?;
        (now.strip_prefix(to)? == act).then(|| act.to_owned())
    };
    if let Some(act) = same("Undo ", "Redo ") {
        format!("undone: {act}")
    } else if let Some(act) = same("Redo ", "Undo ") {
        format!("done again: {act}")
    } else {
        String::new()
    }
}

/// How many stations have something that no back-up has.
fn since_words(count: usize, phone: bool) -> String {
    match (count, phone) {
        (0, false) => "all backed up".to_owned(),
        (1, false) => "1 station only here".to_owned(),
        (n, false) => format!("{n} stations only here"),
        (n, true) => format!("{n} new"),
    }
}

/// On a phone the head shows what there is room for; the rest is still spoken.
fn first_word(text: &str, phone: bool) -> (String, String) {
    let end = match text.find([':', '·']) {
        Some(end) if phone => end,
        _ => text.len(),
    };
    let short = text.get(..end).unwrap_or(text);
    let end = match short.strip_prefix("kept ") {
        Some(_) if phone => "kept".len(),
        _ => end,
    };
    let (first, rest) = text.split_at(end);
    (first.trim_end().to_owned(), rest.to_owned())
}
