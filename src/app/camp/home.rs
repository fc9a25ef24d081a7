//! Camp: back up, join books, how the book and the instrument are set, cautions.

use leptos::prelude::*;
use leptos::task::spawn_local;

use crate::app::camp::bring_table::page::TableItem;
use crate::app::camp::join::page::OpenFiles;
use crate::app::camp::join::shown::counted;
use crate::app::camp::join::state::{Joining, Stage};
use crate::app::camp::join::twins::TwinList;
use crate::app::camp::leaving::{Leaving, OnlyNew, OnlyPart};
use crate::app::camp::set_up::SetUpList;
use crate::app::camp::settle::page::Waiting;
use crate::app::camp::start::{LightSeg, NOTATIONS};
use crate::app::drawing::{Icon, book_line, icon};
use crate::app::outcrop::photo::bytes_words;
use crate::app::parts::file;
use crate::app::parts::installed::is_installed;
use crate::app::parts::tablet::{Offer, Tablet};
use crate::app::settings::Hand;
use crate::app::written::{day_words, moment_words};
use crate::exchange::archive;
use crate::notebook::Notation;
use crate::store::Persisted;

/// The cautions of the trade; local rules and licensed practice come first.
const CAUTIONS: [(Icon, &str, &str); 5] = [
    (
        Icon::Slope,
        "Steep ground",
        "look for the way down before you climb to a reading",
    ),
    (
        Icon::Rock,
        "Rockfall",
        "stay out from under loose faces; wear a helmet below them",
    ),
    (
        Icon::Road,
        "Road cuts",
        "be seen, face the traffic, and follow the road owner's rules",
    ),
    (
        Icon::Tide,
        "Tides and streams",
        "know the time of high water and when the ford rises",
    ),
    (
        Icon::Alone,
        "Working alone",
        "tell someone where you are and when you will be back",
    ),
];

/// The place for joining, backing up and setting up.
#[component]
pub(in crate::app) fn Camp() -> impl IntoView {
    view! {
        <main class="room camp" data-testid="camp">
            <h1 class="hidden-words">"Camp"</h1>
            <BackUp/>
            <section>
                <h2>"Join"</h2>
                <div><JoinSection/></div>
            </section>
            <section>
                <h2>"Hand over"</h2>
                <div><HandOver/></div>
            </section>
            <section>
                <h2>"Set-up"</h2>
                <div><SetUpList/></div>
            </section>
            <section>
                <h2>"This book"</h2>
                <div><BookPart/></div>
            </section>
            <section>
                <h2>"This tablet"</h2>
                <div><TabletPart/></div>
            </section>
            <section>
                <h2>"Cautions"</h2>
                <div>
                    {CAUTIONS.into_iter().map(|(drawn, head, words)| view! {
                        <div class="item">
                            <span class="icon" aria-hidden="true" inner_html=icon(drawn)></span>
                            <div class="what"><b>{head}</b><span>{words}</span></div>
                        </div>
                    }).collect_view()}
                    <p class="small soft">"Local rules and the advice of licensed practitioners come before anything this book says."</p>
                </div>
            </section>
        </main>
    }
}

#[component]
fn BackUp() -> impl IntoView {
    let tablet = Tablet::expect();
    let report = RwSignal::new(None::<String>);
    let counts = Memo::new(move |_| {
        let back_up = tablet.settings.with(|s| s.back_up.clone());
        tablet.read(|shelf| {
            (
                shelf.pages.stations().len(),
                shelf.ledger.len(),
                shelf.stations_since(back_up.as_ref()),
                shelf.entries_since(back_up.as_ref()),
            )
        })
    });
    let head = move || {
        let (_, _, since, entries) = counts.get();
        match since {
            0 if entries > 0 => {
                let head = counted(entries, "entry", "entries");
                (head, " beside the stations, only on this tablet so far")
            }
            0 if tablet.settings.with(|s| s.back_up.is_none()) => {
                ("Nothing".to_owned(), " is in the book yet")
            }
            0 => ("Everything".to_owned(), " is in the last back-up"),
            1 => (
                "1 station".to_owned(),
                " has something that is only on this tablet",
            ),
            n => (
                format!("{n} stations"),
                " have something that is only on this tablet",
            ),
        }
    };
    let drawn = move || {
        let (stations, ..) = counts.get();
        let done = tablet
            .settings
            .with(|s| s.back_up.as_ref().map_or(0, |b| b.stations));
        let count = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
        let room = if tablet.width.get() < 700.0 {
            24.0
        } else {
            48.0
        };
        book_line(
            count(stations),
            count(done.min(stations)),
            (tablet.width.get() - room).clamp(280.0, 1140.0),
        )
    };
    let last = move || {
        let words = tablet.settings.with(|s| match &s.back_up {
            Some(b) => format!(
                "Last back-up {}, {}, {} entries. ",
                day_words(b.at.get(..10).unwrap_or_default()),
                b.at.get(11..16).unwrap_or_default(),
                b.mark.entries
            ),
            None => "No back-up has left this tablet yet. ".to_owned(),
        });
        let storage = match tablet.persisted.get() {
            Some(Persisted::Yes) => "Storage here is persistent.",
            Some(Persisted::No) => {
                "Storage here is not persistent: the browser may clear it when it runs short. Back up every evening."
            }
            Some(Persisted::Unknown) => {
                "This browser does not say whether its storage is persistent. Back up every evening."
            }
            None => "Whether storage here is persistent is being asked.",
        };
        (words, storage)
    };
    let busy = RwSignal::new(false);
    let photos = Memo::new(move |_| tablet.photo_sum());
    let size = Memo::new(move |_| {
        let (count, bytes) = photos.get();
        let entries = counts.get().1;
        if count == 0 {
            return format!("one file, {entries} entries");
        }
        // An entry stands in the file with its id, a comma and the end of its line.
        let book = tablet.read(|shelf| {
            let texts = shelf.ledger.iter().map(|entry| entry.text().len() + 74);
            texts.sum::<usize>() as u64 + 300
        });
        let size = bytes_words(archive::size(book, count, bytes));
        let photos = if count == 1 {
            "1 photo".to_owned()
        } else {
            format!("{count} photos")
        };
        format!("one file, {size}: {entries} entries, {photos}")
    });
    let make = move |_| {
        busy.set(true);
        spawn_local(async move {
            let words = match Leaving::now(tablet).await {
                Ok(file) => match file.download() {
                    Ok(()) => {
                        let words = format!(
                            "{}: handed to the browser's downloads. Look that it is there before you clear anything.{}",
                            file.name,
                            file.lacks()
                        );
                        tablet.backed_up(file.made);
                        words
                    }
                    Err(error) => format!("no file was made: {error}"),
                },
                Err(error) => format!("no file was made: {error}"),
            };
            busy.set(false);
            report.set(Some(words));
        });
    };
    // A file with photos takes a while to put together; where the browser then asks for a fresh touch, it waits here.
    let ready = StoredValue::new_local(None::<Leaving>);
    let share = move |_| {
        busy.set(true);
        spawn_local(async move {
            let waiting = ready.try_update_value(Option::take).flatten();
            let file = match waiting {
                Some(file) => Ok(file),
                None => Leaving::now(tablet).await,
            };
            let words = match file {
                Ok(file) => match file.share().await {
                    Ok(true) => {
                        let words = format!("{}: handed on.{}", file.name, file.lacks());
                        tablet.backed_up(file.made);
                        words
                    }
                    Ok(false) => "Nothing was handed on.".to_owned(),
                    Err(error) if file.has_photos() => {
                        ready.set_value(Some(file));
                        format!(
                            "The file is put together. Touch \u{201c}hand on\u{201d} once more; if that does not help, back up now instead ({error})."
                        )
                    }
                    Err(error) => format!("nothing was handed on: {error}"),
                },
                Err(error) => format!("nothing was handed on: {error}"),
            };
            busy.set(false);
            report.set(Some(words));
        });
    };
    view! {
        <section class="first">
            <h2 data-arrives>"Back up"</h2>
            <p class="head-words" data-testid="only-here"><b>{move || head().0}</b>{move || head().1}</p>
            <div class="stations-line" aria-hidden="true" inner_html=drawn></div>
            <p class="soft small"><span data-testid="last-backup">{move || last().0}</span><span data-testid="persisted">{move || last().1}</span></p>
            {move || {
                tablet.keeping.track();
                match tablet.not_kept() {
                    0 => None,
                    1 => Some("1 entry is not kept on this tablet yet; the file has it.".to_owned()),
                    n => Some(format!("{n} entries are not kept on this tablet yet; the file has them.")),
                }
                .map(|words| view! { <p><b>{words}</b></p> })
            }}
            <div class="backup">
                <button class="plate go" data-testid="backup" disabled=move || tablet.loading.get().is_some() || busy.get() on:click=make>
                    <span aria-hidden="true" inner_html=icon(Icon::Backup)></span>
                    <span><b>"Back up now"</b>{size}</span>
                </button>
                {file::can_share().then(|| view! {
                    <button class="plate" data-testid="share" disabled=move || tablet.loading.get().is_some() || busy.get() on:click=share>
                        <span aria-hidden="true" inner_html=icon(Icon::People)></span>"hand on"
                    </button>
                })}
            </div>
            <p class="report" role="status" data-testid="backup-report">{move || report.get().unwrap_or_default()}</p>
            <OnlyNew/>
            {move || (!tablet.demo.get()).then(|| view! { <RollingCopy/> })}
        </section>
    }
}

/// What leaves for the map and the report, and the figures that are printed or plotted where they are drawn.
#[component]
fn HandOver() -> impl IntoView {
    let tablet = Tablet::expect();
    let notation = move || {
        let notation = tablet.settings.with(|s| s.notation);
        let words = NOTATIONS.iter().find(|(known, ..)| *known == notation);
        words.map_or("", |(_, words, _)| words)
    };
    view! {
        <div class="item">
            <span class="icon" aria-hidden="true" inner_html=icon(Icon::Hand)></span>
            <div class="what"><b>"GeoJSON, CSV, KML, GPX"</b><span>{move || format!("true north, {}, struck out left out", notation())}</span></div>
            <button class="plate" data-testid="hand-over" aria-label="Make a hand-over" on:click=move |_| tablet.go("/camp/hand-over")>"Make"</button>
        </div>
        <div class="item">
            <span class="icon" aria-hidden="true" inner_html=icon(Icon::Book)></span>
            <div class="what"><b>"Figures"</b><span>"net, strip map, table: print or plot"</span></div>
            <button class="plate" data-testid="figures-net" aria-label="The net, to plot" on:click=move |_| tablet.go("/traverse/net")>"Net"</button>
            <button class="plate" data-testid="figures-day" aria-label="A day with its strip map and table, to print" on:click=move |_| tablet.go("/traverse")>"Day"</button>
        </div>
    }
}

/// The copy that the book makes of itself, and what can be opened of it.
#[component]
fn RollingCopy() -> impl IntoView {
    let tablet = Tablet::expect();
    let report = RwSignal::new(None::<String>);
    let photos = Memo::new(move |_| tablet.copied_photos());
    let words = move || {
        tablet.rolling.with(|r| {
            let own = r.offers.iter().find(|o| o.own);
            let of = |o: &Offer| format!("{}: {} entries", moment_words(&o.at), o.entries);
            let with = match (photos.get(), &r.photos.failed) {
                ((0, _), _) => String::new(),
                ((1, 1), _) => ", with its photo".to_owned(),
                ((all, n), _) if all == n => format!(", with its {all} photos"),
                ((all, n), None) => format!(", with {n} of {} so far", counted(all, "photo", "photos")),
                ((all, n), Some(why)) => format!(", with {n} of {} ({why})", counted(all, "photo", "photos")),
            };
            match (own, &r.failed) {
                (Some(own), None) => format!(
                    "This browser also holds a copy, made by itself on {}{with}. It goes when the browser clears its data, so it is no back-up.",
                    of(own)
                ),
                (Some(own), Some(why)) => format!(
                    "This browser also holds a copy, made by itself on {}{with}. A later one could not be made ({why}).",
                    of(own)
                ),
                (None, Some(why)) => format!("This browser keeps no copy of its own beside the book ({why})."),
                (None, None) => String::new(),
            }
        })
    };
    view! {
        <p class="soft small" data-testid="rolling">{words}</p>
        {move || tablet.rolling.with(|r| r.offers.clone()).into_iter().map(|offer| {
            let (at, entries, own) = (moment_words(&offer.at), offer.entries, offer.own);
            let open = move |_| {
                let offer = offer.clone();
                report.set(None);
                spawn_local(async move {
                    let at = moment_words(&offer.at);
                    let say = |words| report.set(Some(words));
                    let words = match tablet.open_copy(offer, &say).await {
                        Ok(done) => match done.news() {
                            None => format!("The copy of {at}: all {} entries are here. Nothing changed.{}", done.entries, done.lacks()),
                            Some(news) => format!("The copy of {at}: {news}.{}", done.lacks()),
                        },
                        Err(error) => format!("The copy of {at} was not opened, and nothing changed: {error}"),
                    };
                    report.set(Some(words));
                });
            };
            let (name, what) = match own {
                true => (format!("The copy of {at}"), format!("{entries} entries; brings back what is missing here")),
                false => (format!("A copy of another book, {at}"), format!("{entries} entries; kept here before this book was begun")),
            };
            view! {
                <div class="item">
                    <span class="icon" aria-hidden="true" inner_html=icon(Icon::Book)></span>
                    <div class="what"><b>{name}</b><span>{what}</span></div>
                    <button class="plate" data-testid=if own { "open-copy" } else { "open-other-copy" } disabled=move || tablet.loading.get().is_some() on:click=open>"Open it"</button>
                </div>
            }
        }).collect_view()}
        <p class="report" role="status" data-testid="copy-report">{move || report.get().unwrap_or_default()}</p>
    }
}

/// Opening other books, and what waits since they were joined.
#[component]
fn JoinSection() -> impl IntoView {
    let tablet = Tablet::expect();
    let joining = Joining::expect();
    let open = Memo::new(move |_| {
        joining
            .stage
            .with(|s| !matches!(s, Stage::Nothing | Stage::Done(_)))
    });
    view! {
        <div class="item">
            <span class="icon" aria-hidden="true" inner_html=icon(Icon::People)></span>
            <div class="what"><b>"Books of other tablets, or a back-up"</b><span>"adds what is new in them; changes nothing that is here"</span></div>
            {move || open.get().then(|| view! { <button class="plate" data-testid="join-go-on" on:click=move |_| tablet.go("/camp/join")>"Go on"</button> })}
        </div>
        <OnlyPart/>
        <OpenFiles/>
        <Waiting/>
        <TwinList/>
        <TableItem/>
    }
}

#[component]
fn BookPart() -> impl IntoView {
    let tablet = Tablet::expect();
    let book = Memo::new(move |_| {
        tablet.read(|shelf| {
            shelf
                .pages
                .book()
                .map(|(_, b)| b.clone())
                .unwrap_or_default()
        })
    });
    let name = RwSignal::new(
        tablet
            .drafted_words("book-name")
            .unwrap_or_else(|| book.get_untracked().name),
    );
    let notation = move || tablet.settings.with(|s| s.notation);
    view! {
        <div class="asks">
            <label for="book-name">"Name"</label>
            <input id="book-name" class="words-field" data-testid="book-name" placeholder="valley, season" prop:value=name
                on:input=move |e| { name.set(event_target_value(&e)); tablet.draft_words("book-name", &event_target_value(&e)); }
                on:change=move |_| {
                    tablet.change_book(|b| name.get_untracked().trim().clone_into(&mut b.name));
                    tablet.end_words("book-name");
                }/>
            <span>"Written as"</span>
            <div class="seg four" role="group" aria-label="notation">
                {NOTATIONS.iter().map(|&(value, words, id)| view! {
                    <button class="plate num" data-testid=format!("book-{id}") aria-pressed=move || (notation() == value).to_string()
                        on:click=move |_| tablet.change_book(|b| b.notation = value)>{crate::app::parts::line::value(words)}
                        {(value == Notation::RightHand).then(|| view! { <span class="small">"right hand"</span> })}</button>
                }).collect_view()}
            </div>
        </div>
        <p class="small soft">"A change is for how everything is shown, and for which dials the next reading has. Dials already read stay as they stood."</p>
    }
}

#[component]
fn TabletPart() -> impl IntoView {
    let tablet = Tablet::expect();
    let initials = RwSignal::new(tablet.settings.with_untracked(|s| s.by.clone()));
    let light = RwSignal::new(tablet.settings.with_untracked(|s| s.light));
    Effect::new(move |before: Option<crate::app::settings::Light>| {
        let now = light.get();
        if before.is_some_and(|b| b != now) {
            tablet.set(|s| s.light = now);
        }
        now
    });
    let hand = move |value: Hand, words: &'static str| {
        view! {
            <button class="plate" data-testid=format!("camp-hand-{}", value.word()) aria-pressed=move || tablet.settings.with(|s| s.hand == value).to_string()
                on:click=move |_| tablet.set(|s| s.hand = value)>{words}</button>
        }
    };
    view! {
        <div class="asks">
            <label for="camp-initials">"Your initials"</label>
            <input id="camp-initials" class="words-field" maxlength="5" autocomplete="off" prop:value=initials
                on:input=move |e| initials.set(event_target_value(&e))
                on:change=move |_| tablet.set(|s| s.by = initials.get_untracked().trim().to_uppercase())/>
            <span>"Held in"</span>
            <div class="seg" role="group" aria-label="hand">{hand(Hand::Left, "left hand")}{hand(Hand::Right, "right hand")}</div>
            <span>"Light"</span>
            <LightSeg light=light/>
            {move || (!tablet.demo.get()).then(|| view! {
                <span>"Demo"</span>
                <button class="plate" data-testid="camp-demo" on:click=move |_| tablet.open_demo()>"Open the demo book beside this one"</button>
            })}
        </div>
        {(!is_installed()).then(|| view! {
            <p class="small soft" data-testid="installing">"Some phones and tablets give an app on the home screen a book of its own, which begins empty and never sees this one: back up before you put Hingeline there. The one file, opened there, carries the book over."</p>
        })}
    }
}
