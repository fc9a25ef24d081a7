//! The page on which a hand-over is chosen: it says what goes over and what stays before a file is made.

use std::collections::BTreeSet;

use leptos::prelude::*;
use leptos::task::spawn_local;

use super::ask::{Ask, Which, days, short_day, stem};
use crate::app::camp::set_up::{Keys, plate};
use crate::app::camp::start::NOTATIONS;
use crate::app::drawing::{Icon, icon};
use crate::app::parts::line::{BookLine, value};
use crate::app::parts::tablet::Tablet;
use crate::app::parts::{clock, file};
use crate::exchange::archive::Stored;
use crate::exchange::hand_over::{
    self, Account, Format, HandOver, HandedFile, Made, account, kinds,
};
use crate::notebook::{Notation, RecordId};

/// A file as it is handed out.
struct Package {
    name: String,
    media_type: &'static str,
    bytes: Vec<u8>,
    /// What it holds, in words.
    words: String,
}

/// One file as it is; several in one ZIP.
fn packed(files: Vec<HandedFile>, stem: &str, words: String) -> Result<Package, String> {
    if let [one] = files.as_slice() {
        return Ok(Package {
            name: one.name.clone(),
            media_type: one.media_type,
            bytes: one.text.clone().into_bytes(),
            words,
        });
    }
    let mut stored = Stored::new();
    let mut bytes = Vec::new();
    for file in &files {
        let content = file.text.as_bytes();
        bytes.extend(
            stored
                .head(&file.name, content)
                .map_err(|e| e.to_string())?,
        );
        bytes.extend(content);
    }
    bytes.extend(stored.end().map_err(|e| e.to_string())?);
    Ok(Package {
        name: format!("{stem}.zip"),
        media_type: "application/zip",
        bytes,
        words,
    })
}

/// Works out what is asked for, now.
fn made(tablet: Tablet, ask: &Ask) -> Result<Package, String> {
    let now = clock::now();
    let made = Made {
        at: now.clone(),
        by: tablet.settings.with_untracked(|s| s.by.clone()),
    };
    let over =
        tablet.read_once(|shelf| HandOver::of(&shelf.pages, &ask.wanted(&shelf.pages), made));
    let stem = stem(&over.book, now.get(..10).unwrap_or("today"));
    let words = ask.over_words(&over.account);
    packed(ask.format.files(&over, &stem), &stem, words)
}

/// So many stations are looked through at a time.
const STATIONS_AT_ONCE: usize = 40;

/// So many readings without a value are listed at first, and more at a touch.
const LISTED: usize = 12;

/// Looks for the readings of the book that come to no value, some stations at a time; looks again when the book changes.
fn look_for_lacking(tablet: Tablet, lacking: RwSignal<Option<BTreeSet<RecordId>>>) {
    Effect::new(move |_| {
        let edition = tablet.edition.get();
        if tablet.loading.with(Option::is_some) {
            return;
        }
        spawn_local(async move {
            clock::painted().await;
            let mut found = BTreeSet::new();
            let mut from = 0;
            loop {
                if tablet.edition.try_get_untracked() != Some(edition) {
                    return;
                }
                let more = tablet.read_once(|shelf| {
                    let pages = &shelf.pages;
                    let stations = pages.stations();
                    let some = stations.iter().skip(from).take(STATIONS_AT_ONCE);
                    let lines = some.flat_map(|page| page.readings());
                    // Readings without a station are looked through with the last.
                    let last = from + STATIONS_AT_ONCE >= stations.len();
                    let lines = lines.chain(pages.strays().filter(|_| last));
                    let records = lines.map(|line| line.record());
                    found.extend(
                        records
                            .filter(|record| !hand_over::has_value(pages, record))
                            .cloned(),
                    );
                    !last
                });
                if !more {
                    break;
                }
                from += STATIONS_AT_ONCE;
                clock::moment().await;
            }
            lacking.try_set(Some(found));
        });
    });
}

/// The readings that go over with their dials alone, each a line that opens.
#[component]
fn WithoutValue(without: Memo<Vec<RecordId>>) -> impl IntoView {
    let most = RwSignal::new(LISTED);
    let several = Memo::new(move |_| without.with(Vec::len));
    move || {
        (several.get() > 0).then(|| view! {
            <span class="top-of">"Without a value"</span>
            <div data-testid="hand-over-without">
                <p role="status"><b data-testid="hand-over-without-count">{move || match several.get() {
                    1 => "1 reading gives no plane, line or angle".to_owned(),
                    n => format!("{n} readings give no plane, line or angle"),
                }}</b></p>
                <p class="soft small">"Only the dials go over. Open a reading to see what is missing; what is filled in goes over too."</p>
                <div class="lacking">
                    <For each=move || without.with(|all| all.iter().take(most.get()).cloned().collect::<Vec<_>>()) key=|record| record.as_str().to_owned() let:record>
                        <BookLine record=record/>
                    </For>
                </div>
                {move || (several.get() > most.get()).then(|| view! {
                    <button class="plate" data-testid="hand-over-more" on:click=move |_| most.update(|n| *n += 5 * LISTED)>
                        {move || format!("Show more of {}", several.get())}
                    </button>
                })}
            </div>
        })
    }
}

/// Which end of the stations the keys go to.
#[derive(Clone, Copy, PartialEq, Eq)]
enum End {
    From,
    To,
}

/// The page.
#[component]
pub(in crate::app) fn HandOverPage() -> impl IntoView {
    let tablet = Tablet::expect();
    let ask = RwSignal::new(Ask::new(tablet.settings.with_untracked(|s| s.notation)));
    let report = RwSignal::new(None::<String>);
    let here = RwSignal::new(None::<End>);
    let choose = move |change: &dyn Fn(&mut Ask)| {
        ask.update(|ask| change(ask));
        report.set(None);
    };
    // The place of the page before may still be scrolled: the router keeps its element.
    request_animation_frame(|| {
        if let Ok(Some(page)) = document().query_selector("main.hand-over") {
            page.set_scroll_top(0);
        }
    });
    let all_days = Memo::new(move |_| tablet.read(|shelf| days(&shelf.pages)));
    let all_kinds = Memo::new(move |_| tablet.read(|shelf| kinds(&shelf.pages)));
    let counted = Memo::new(move |_| -> Account {
        tablet.read(|shelf| ask.with(|ask| account(&shelf.pages, &ask.wanted(&shelf.pages))))
    });
    let lacking = RwSignal::new(None);
    look_for_lacking(tablet, lacking);
    let without = Memo::new(move |_| {
        // A format of places alone has no readings.
        let has_readings = ask.with(|ask| ask.format != Format::Gpx);
        lacking.with(|lacking| match lacking {
            Some(lacking) if has_readings && !lacking.is_empty() => tablet.read(|shelf| {
                let wanted = ask.with(|ask| ask.wanted(&shelf.pages));
                let mut over = hand_over::readings(&shelf.pages, &wanted);
                over.retain(|record| lacking.contains(record));
                over
            }),
            _ => Vec::new(),
        })
    });
    let empty = Memo::new(move |_| ask.with(|ask| ask.is_empty(&counted.get())));
    let make = move |_| {
        report.set(Some(match made(tablet, &ask.get_untracked()) {
            Ok(package) => {
                match file::download_bytes(&package.name, &package.bytes, package.media_type) {
                    Ok(()) => format!(
                        "{}: {}. Handed to the browser's downloads.",
                        package.name, package.words
                    ),
                    Err(error) => format!("no file was made: {error}"),
                }
            }
            Err(error) => format!("no file was made: {error}"),
        }));
    };
    let share = move |_| match made(tablet, &ask.get_untracked()) {
        Ok(package) => spawn_local(async move {
            let shared = file::share_bytes(&package.name, &package.bytes, package.media_type).await;
            report.try_set(Some(match shared {
                Ok(true) => format!("{}: {}. Handed on.", package.name, package.words),
                Ok(false) => "Nothing was handed on.".to_owned(),
                Err(error) => format!("nothing was handed on: {error}"),
            }));
        }),
        Err(error) => report.set(Some(format!("no file was made: {error}"))),
    };
    view! {
        <main class="room setting hand-over" data-testid="hand-over-page">
            <div class="title">
                <div class="what">
                    <h1>"Hand over"</h1>
                    <p class="soft small">"Azimuths from true north; dials as they were read beside them."</p>
                </div>
                <button class="plate" data-testid="hand-over-back" aria-label="Camp" on:click=move |_| tablet.go("/camp")>
                    <span class="turned" aria-hidden="true" inner_html=icon(Icon::Arrow)></span><span class="word">"Camp"</span>
                </button>
            </div>
            <div class="rows wide">
                <Formats ask choose=Callback::new(move |format| choose(&|ask| ask.format = format))/>
                <span>"Written as"</span>
                <div class="seg four" role="group" aria-label="notation">
                    {NOTATIONS.iter().map(|&(notation, words, id)| view! {
                        <button class="plate num" data-testid=format!("over-{id}") aria-pressed=move || ask.with(|a| a.notation == notation).to_string()
                            on:click=move |_| choose(&|ask| ask.notation = notation)>{value(words)}
                            {(notation == Notation::RightHand).then(|| view! { <span class="small">"right hand"</span> })}</button>
                    }).collect_view()}
                </div>
                <span>"Stations"</span>
                <div class="seg" role="group" aria-label="which stations">
                    {plate("which-all", "all", Signal::derive(move || ask.with(|a| a.which == Which::All)),
                        Callback::new(move |()| { choose(&|ask| ask.which = Which::All); here.set(None); }))}
                    {plate("which-days", "by day", Signal::derive(move || ask.with(|a| matches!(a.which, Which::Days(_)))),
                        Callback::new(move |()| { choose(&|ask| ask.which = Which::Days(Default::default())); here.set(None); }))}
                    {plate("which-stations", "by number", Signal::derive(move || ask.with(|a| matches!(a.which, Which::Stations(..)))),
                        Callback::new(move |()| { choose(&|ask| ask.which = Which::Stations(String::new(), String::new())); here.set(Some(End::From)); }))}
                </div>
                {move || ask.with(|a| matches!(a.which, Which::Days(_))).then(|| view! {
                    <span>"Days"</span>
                    <Toggles label="days" prefix="day"
                        all=Signal::derive(move || all_days.get().into_iter().map(|day| (short_day(&day), day)).collect())
                        on=Signal::derive(move || ask.with(|a| match &a.which { Which::Days(days) => days.clone(), _ => Default::default() }))
                        turn=Callback::new(move |day: String| choose(&|ask| ask.turn_day(&day)))/>
                })}
                {move || ask.with(|a| matches!(a.which, Which::Stations(..))).then(|| view! { <Numbers ask here choose=Callback::new(move |c| choose(&|ask| typed(ask, here.get_untracked(), c)))/> })}
                {move || (all_kinds.with(Vec::len) > 1).then(|| view! {
                    <span>"Kinds"</span>
                    <Toggles label="kinds of structure" prefix="kind"
                        all=Signal::derive(move || all_kinds.get().into_iter().map(|(kind, count)| (format!("{kind} {count}"), kind)).collect())
                        on=Signal::derive(move || ask.with(|a| a.kinds.clone()))
                        turn=Callback::new(move |kind: String| choose(&|ask| ask.turn_kind(&kind)))/>
                })}
                <span>"North not known"</span>
                <div class="seg" role="group" aria-label="readings whose north is not known">
                    {plate("north-any", "dials only", Signal::derive(move || ask.with(|a| !a.true_north)), Callback::new(move |()| choose(&|ask| ask.true_north = false)))}
                    {plate("north-true", "left out", Signal::derive(move || ask.with(|a| a.true_north)), Callback::new(move |()| choose(&|ask| ask.true_north = true)))}
                </div>
                <span>"Struck out"</span>
                <div class="seg" role="group" aria-label="what is struck out">
                    {plate("struck-out-no", "left out", Signal::derive(move || ask.with(|a| !a.struck_out)), Callback::new(move |()| choose(&|ask| ask.struck_out = false)))}
                    {plate("struck-out-yes", "marked as such", Signal::derive(move || ask.with(|a| a.struck_out)), Callback::new(move |()| choose(&|ask| ask.struck_out = true)))}
                </div>
                <span class="top-of">"Goes over"</span>
                <div role="status" data-testid="hand-over-account">
                    <p><b data-testid="hand-over-count">{move || ask.with(|ask| ask.over_words(&counted.get()))}</b></p>
                    {move || ask.with(|ask| ask.format.notes(&counted.get())).into_iter().map(|words| view! { <p class="soft small">{words}</p> }).collect_view()}
                </div>
                <WithoutValue without/>
            </div>
            <div class="done wide">
                <p class="small" role="status" data-testid="hand-over-report">{move || report.get().unwrap_or_default()}</p>
                <div class="pair">
                    <button class="plate on big" data-testid="hand-over-make" disabled=move || empty.get() || tablet.loading.get().is_some() on:click=make>
                        <span aria-hidden="true" inner_html=icon(Icon::Hand)></span>
                        {move || format!("Make {}", ask.with(|a| a.format.words()))}
                    </button>
                    {file::can_share().then(|| view! {
                        <button class="plate big" data-testid="hand-over-share" disabled=move || empty.get() || tablet.loading.get().is_some() on:click=share>
                            <span aria-hidden="true" inner_html=icon(Icon::People)></span>"Hand on"
                        </button>
                    })}
                </div>
            </div>
        </main>
    }
}

/// A digit, or back, on the number that the keys go to.
fn typed(ask: &mut Ask, here: Option<End>, c: char) {
    let Which::Stations(from, to) = &mut ask.which else {
        return;
    };
    let text = match here {
        Some(End::From) => from,
        Some(End::To) => to,
        None => return,
    };
    match c {
        'b' => {
            text.pop();
        }
        c if c.is_ascii_digit() && text.len() < 6 => text.push(c),
        _ => {}
    }
}

#[component]
fn Formats(ask: RwSignal<Ask>, choose: Callback<Format>) -> impl IntoView {
    view! {
        <span>"Format"</span>
        <div>
            <div class="seg four" role="group" aria-label="format">
                {Format::ALL.into_iter().map(|format| view! {
                    <button class="plate" data-testid=format!("format-{}", format.name()) aria-pressed=move || ask.with(|a| a.format == format).to_string()
                        on:click=move |_| choose.run(format)>{format.words()}</button>
                }).collect_view()}
            </div>
            <p class="soft small under" data-testid="format-words">{move || ask.with(Ask::format_words)}</p>
        </div>
    }
}

/// Plates of which any number is on; none on stands for all.
#[component]
fn Toggles(
    label: &'static str,
    prefix: &'static str,
    all: Signal<Vec<(String, String)>>,
    on: Signal<std::collections::BTreeSet<String>>,
    turn: Callback<String>,
) -> impl IntoView {
    view! {
        <div class="reasons" role="group" aria-label=label>
            {move || all.get().into_iter().map(|(words, key)| {
                let (pressed, id) = (key.clone(), crate::app::outcrop::kinds::slug(&key));
                view! {
                    <button class="plate" data-testid=format!("{prefix}-{id}") aria-pressed=move || on.with(|on| on.contains(&pressed)).to_string()
                        on:click=move |_| turn.run(key.clone())>{words}</button>
                }
            }).collect_view()}
            <p class="soft small">{move || if on.with(|on| on.is_empty()) { "None is chosen: all go over." } else { "" }}</p>
        </div>
    }
}

/// The numbers of the first and the last station, by our own keys.
#[component]
fn Numbers(
    ask: RwSignal<Ask>,
    here: RwSignal<Option<End>>,
    choose: Callback<char>,
) -> impl IntoView {
    let number = move |word: &'static str, id: &'static str, end: End| {
        let shown = move || {
            ask.with(|ask| {
                let (text, open) = match (&ask.which, end) {
                    (Which::Stations(from, _), End::From) => (from.as_str(), "the first"),
                    (Which::Stations(_, to), End::To) => (to.as_str(), "the last"),
                    _ => ("", ""),
                };
                if text.is_empty() {
                    open.to_owned()
                } else {
                    text.to_owned()
                }
            })
        };
        view! {
            <button class="typed" data-testid=id class:here=move || here.get() == Some(end)
                on:click=move |_| here.update(|h| *h = if *h == Some(end) { None } else { Some(end) })>
                <span class="small">{word}</span><span class="hidden-words">" station "</span>{shown}
            </button>
        }
    };
    view! {
        <span>"Numbers"</span>
        <div class="number-row">{number("from", "over-from", End::From)}{number("to", "over-to", End::To)}</div>
        {move || here.get().is_some().then(|| view! { <span></span><Keys prefix="over" push=choose/> })}
    }
}
