//! Measuring: the open reading as large as the glass allows, the line-work it implies, the lines already written.

use leptos::prelude::*;
use wasm_bindgen::JsCast;

use crate::app::camp::settle::{versions, waiting};
use crate::app::drawing::{Icon, LineState, doubt_sign, icon, state_sample};
use crate::app::outcrop::dials::Dials;
use crate::app::outcrop::doubt_page::{self, SetUpDoubt};
use crate::app::outcrop::keypad::Keypad;
use crate::app::outcrop::look::Look;
use crate::app::outcrop::open::Key;
use crate::app::outcrop::panel::{Choices, DoubtPanel, KindPanel, KindRow, WordPanel};
use crate::app::outcrop::photos::PhotoKey;
use crate::app::outcrop::sentence::{self, Around, Finding};
use crate::app::outcrop::stood::StoodPanel;
use crate::app::parts::focus;
use crate::app::parts::line::{BookLine, value};
use crate::app::parts::tablet::{Panel, Tablet};
use crate::app::written;
use crate::notebook::{Body, RecordId};

/// The place for entering.
#[component]
pub(in crate::app) fn Outcrop() -> impl IntoView {
    let tablet = Tablet::expect();
    // The reading, and how many shots it had, when the person said they would read it again.
    let again = RwSignal::new(None::<(Option<String>, usize)>);
    let which = move || {
        tablet.open.with(|o| {
            o.as_ref()
                .map(|o| (o.record.clone(), o.reading.shots.len()))
        })
    };
    let around = Memo::new(move |_| {
        let (set_up, station) = tablet.open.with(|o| {
            o.as_ref()
                .map(|o| (o.reading.set_up.clone(), o.reading.station.clone()))
                .unwrap_or_default()
        });
        tablet.read(|shelf| Around {
            set_up: set_up.and_then(|record| match shelf.body(&record) {
                Some(Body::SetUp(set_up)) => Some(set_up),
                _ => None,
            }),
            place: match shelf.body(&station) {
                Some(Body::Station(station)) => station.position,
                _ => None,
            },
        })
    });
    let finding = Memo::new(move |_| {
        let again = again.get().is_some_and(|said| which() == Some(said));
        tablet.open.with(|o| {
            o.as_ref()
                .map(|o| around.with(|around| sentence::of(o, around, again)))
                .unwrap_or_default()
        })
    });
    let read_again = Callback::new(move |()| again.set(untrack(which)));
    let paging = Memo::new(move |_| {
        tablet.panel.get() == Panel::Doubt && finding.with(|f| f.page.is_some())
    });
    let standing = Memo::new(move |_| tablet.settings.with(|s| s.here.is_some()));
    let contested = Memo::new(move |_| {
        let record = tablet
            .open
            .with(|o| o.as_ref().and_then(|o| o.record.clone()));
        record.is_some_and(|record| {
            tablet.read(|shelf| {
                let line = shelf.pages.reading(&record);
                line.is_some_and(|line| line.is_contested())
            })
        })
    });
    let doubting = move || finding.with(|f| f.doubt.is_some()) || contested.get();
    let lines = Memo::new(move |_| {
        let here = tablet.settings.with(|s| s.here.clone());
        let open = tablet
            .open
            .with(|o| o.as_ref().and_then(|o| o.record.clone()));
        tablet.read(|shelf| {
            let mut lines: Vec<RecordId> = here
                .map(|h| shelf.readings(&h.record))
                .unwrap_or_default()
                .into_iter()
                .filter(|r| Some(r.as_str()) != open.as_deref())
                .collect();
            lines.split_off(lines.len().saturating_sub(2))
        })
    });
    keyboard(tablet, finding);
    view! {
        <main class="outcrop" class:doubting=doubting class:paging=move || paging.get() data-testid="outcrop">
            {move || match (standing.get(), paging.get()) {
                (false, _) => view! { <NoStation/> }.into_any(),
                (true, true) => view! {
                    <StationStrip/>
                    {move || (tablet.width.get() >= 700.0).then(|| view! { <KindRow/> })}
                    <SetUpDoubt finding=finding again=read_again/>
                }.into_any(),
                (true, false) => view! {
                    <StationStrip/>
                    <div class="lines">
                        <For each=move || lines.get() key=|r| r.as_str().to_owned() let:record>
                            <BookLine record=record/>
                        </For>
                    </div>
                    <KindRow/>
                    <Dials finding=finding/>
                    <North/>
                    <Look finding=finding/>
                    <Sentence finding=finding/>
                    {move || match tablet.panel.get() {
                        Panel::Keypad => view! { <Keypad/> }.into_any(),
                        Panel::Kinds => view! { <KindPanel/> }.into_any(),
                        Panel::Words => view! { <WordPanel/> }.into_any(),
                        Panel::Stood => view! { <StoodPanel/> }.into_any(),
                        Panel::Doubt => view! { <DoubtPanel finding=finding/> }.into_any(),
                    }}
                }.into_any(),
            }}
        </main>
    }
}

#[component]
fn NoStation() -> impl IntoView {
    let tablet = Tablet::expect();
    let last = Memo::new(move |_| tablet.read(|shelf| shelf.last_station().map(|(_, s)| s.number)));
    view! {
        <div class="nothing">
            <h1>{move || if last.get().is_some() { "Which station?" } else { "No station yet" }}</h1>
            <p>"A reading belongs to a place. Start the station where you stand; its position can follow when the sky is open."</p>
            <button class="plate on big" data-testid="new-station" on:click=move |_| tablet.new_station()>"Start a station"</button>
            {move || last.get().map(|number| view! {
                <button class="plate big" on:click=move |_| tablet.go(&format!("/station/{number}"))>{format!("Go to station {number}")}</button>
            })}
        </div>
    }
}

#[component]
fn StationStrip() -> impl IntoView {
    let tablet = Tablet::expect();
    let here = Memo::new(move |_| tablet.settings.with(|s| s.here.clone()).unwrap_or_default());
    view! {
        <div class="st">
            <span class="no" data-testid="station-number">{move || here.get().number}</span>
            <span class="what">
                <h1>{move || { let h = here.get(); if h.name.is_empty() { format!("Station {}", h.number) } else { h.name } }}</h1>
                <span>{move || here.get().detail}</span>
            </span>
            <button class="plate" data-testid="station-page" on:click=move |_| tablet.go(&format!("/station/{}", here.get_untracked().number))>
                <span aria-hidden="true" inner_html=icon(Icon::List)></span>
                {move || if tablet.width.get() < 700.0 { view! { <span class="hidden-words">"Station"</span> }.into_any() } else { "Station".into_any() }}
            </button>
        </div>
    }
}

#[component]
fn North() -> impl IntoView {
    let tablet = Tablet::expect();
    let words = Memo::new(move |_| {
        tablet.open.with(|o| {
            o.as_ref().map(|o| {
                let mut words = written::north(o.reading.north, o.reading.declination.as_deref());
                if o.quarters {
                    words.push_str(" · to a quarter degree");
                } else if o.halves {
                    words.push_str(" · to half a degree");
                }
                words
            })
        })
    });
    view! {
        <p class="north" data-testid="north-words">
            <span aria-hidden="true" inner_html=icon(Icon::Setup)></span>
            <span>{move || words.get().unwrap_or_default()}</span>
        </p>
    }
}

/// The one strip that says what the book thinks of the number now; a doubt takes its place.
#[component]
fn Sentence(finding: Memo<Finding>) -> impl IntoView {
    let tablet = Tablet::expect();
    let kind = move || {
        finding
            .with(|f| f.doubt.as_ref().map(|d| d.kind))
            .and_then(|kind| serde_json::to_value(kind).ok())
            .and_then(|v| v.as_str().map(str::to_owned))
            .unwrap_or_default()
    };
    let doubted = Memo::new(move |_| finding.with(|f| f.doubt.is_some()));
    let opens = Memo::new(move |_| finding.with(|f| f.page.is_some()));
    let kept_doubt = Memo::new(move |_| finding.with(|f| f.kept_doubt));
    // What two people changed differently stands before what the dials say.
    let contested = Memo::new(move |_| {
        let record = tablet
            .open
            .with(|o| o.as_ref().and_then(|o| o.record.clone()))?;
        let own = tablet.settings.with(|s| s.device.clone());
        let (name, by) =
            tablet.read(|shelf| waiting::in_short(&shelf.pages, &shelf.ledger, &record, &own))?;
        let what = name
            .split_once(": ")
            .map_or(name.clone(), |(_, what)| what.to_owned());
        Some((record, format!("Two people disagree: {what}."), by))
    });
    let touched = Memo::new(move |_| {
        tablet.open.with(|o| {
            o.as_ref()
                .is_some_and(|o| o.at < o.reading.shots.len() && !o.is_draft())
        })
    });
    let words = move || {
        view! {
            <b>{move || finding.with(|f| value(&f.words))}</b>" "<span class="soft">{move || finding.with(|f| value(&f.detail))}</span>
        }
    };
    let sign = || {
        view! { <span class="sign" aria-hidden="true" inner_html=doubt_sign("?", false)></span><span class="hidden-words">"doubt: "</span> }
    };
    view! {
        <div class="sentence" class:doubt=move || doubted.get() || contested.with(Option::is_some) tabindex="-1" data-lands="always" data-testid="sentence" data-doubt=kind aria-live="polite">
            {move || if let Some((record, what, by)) = contested.get() {
                view! {
                    <button class="opens" data-testid="settle-open" on:click=move |_| tablet.go(&versions::path(&RecordId::from(record.as_str())))>
                        {sign()}
                        <span class="says"><b>{what}</b>" "<span class="soft">{by}</span></span>
                        <span class="why">"Settle"<span aria-hidden="true" inner_html=icon(Icon::Arrow)></span></span>
                    </button>
                }.into_any()
            } else if opens.get() {
                view! {
                    <button class="opens" data-testid="doubt-open" on:click=move |_| doubt_page::open(tablet)>
                        {sign()}
                        <span class="says">{words()}</span>
                        <span class="why">"See why"<span aria-hidden="true" inner_html=icon(Icon::Arrow)></span></span>
                    </button>
                }.into_any()
            } else {
                view! {
                    {move || if doubted.get() {
                        sign().into_any()
                    } else if kept_doubt.get() {
                        view! { <span class="sign settled" aria-hidden="true" inner_html=doubt_sign("?", true)></span><span class="hidden-words">"a doubt, kept as read: "</span> }.into_any()
                    } else {
                        let state = if tablet.open.with(|o| o.as_ref().is_some_and(|o| o.is_finished())) { LineState::Kept } else { LineState::Draft };
                        view! { <span class="sample" aria-hidden="true" inner_html=state_sample(state)></span> }.into_any()
                    }}
                    <p>{words()}</p>
                    <Choices finding=finding most=2/>
                    // The phone's keypad has no room for this key: it stands here while a shot is touched.
                    {move || (touched.get() && !doubted.get() && tablet.width.get() < 700.0).then(|| view! {
                        <PhotoKey class="plate" id="photo-touched" station=Signal::derive(move || tablet.standing_at()) with_open=true/>
                    })}
                }.into_any()
            }}
        </div>
    }
}

/// The hardware keyboard: digits and the keys of the trade, wherever no field of words has the focus.
fn keyboard(tablet: Tablet, finding: Memo<Finding>) {
    let handle = window_event_listener(leptos::ev::keydown, move |event| {
        let target = event
            .target()
            .and_then(|t| t.dyn_into::<web_sys::Element>().ok());
        let picks_file = target
            .as_ref()
            .is_some_and(|e| e.get_attribute("type").as_deref() == Some("file"));
        let typing_words = target.as_ref().is_some_and(|e| {
            !picks_file && matches!(e.tag_name().as_str(), "INPUT" | "TEXTAREA" | "SELECT")
        });
        let key = event.key();
        if event.alt_key() {
            let done = match key.as_str() {
                "1" | "2" | "3" | "4" | "5" | "6" => {
                    let index = key.parse::<usize>().unwrap_or(1) - 1;
                    match crate::app::outcrop::kinds::KINDS
                        .iter()
                        .filter(|k| k.at_hand)
                        .nth(index)
                    {
                        Some(kind) => tablet.kind(kind.name),
                        None => tablet.panel.set(Panel::Kinds),
                    }
                    true
                }
                _ => false,
            };
            if done {
                event.prevent_default();
            }
            return;
        }
        if event.ctrl_key() || event.meta_key() {
            if matches!(key.as_str(), "z" | "y" | "Z") && !typing_words {
                event.prevent_default();
                tablet.undo();
            }
            return;
        }
        if key == "Escape" {
            if tablet.panel.get_untracked() == Panel::Doubt {
                doubt_page::close(tablet);
            } else {
                tablet.panel.set(Panel::Keypad);
            }
            return;
        }
        if typing_words || tablet.panel.get_untracked() != Panel::Keypad {
            return;
        }
        // A plate, a link, a picked file: what has the focus takes its own keys.
        let focused = target.as_ref().is_some_and(focus::takes_keys);
        let pressed = match key.as_str() {
            k if k.len() == 1 && k.as_bytes()[0].is_ascii_digit() => {
                Some(Key::Digit(k.as_bytes()[0] - b'0'))
            }
            "Backspace" => Some(Key::Back),
            "Enter" if focused => None,
            "Enter" | "/" => Some(Key::NextDial),
            // Through the dials of a shot that was begun and, from the last or the first of them, on to the plates.
            "Tab" if !focused && event.shift_key() => tablet.dial_before().map(Key::Touch),
            "Tab" if !focused => tablet.has_dial_after().then_some(Key::NextDial),
            "Delete" => Some(Key::StrikeShot),
            "n" | "e" | "s" | "w" | "N" | "E" | "S" | "W" => {
                tablet.side_with(&key.to_uppercase()).map(Key::Side)
            }
            "+" => {
                event.prevent_default();
                tablet.next_reading();
                None
            }
            "?" => {
                if finding.with_untracked(|f| f.page.is_some()) {
                    event.prevent_default();
                    doubt_page::open(tablet);
                } else {
                    focus_doubt();
                }
                None
            }
            _ => None,
        };
        if let Some(pressed) = pressed {
            event.prevent_default();
            tablet.press(pressed);
        }
    });
    on_cleanup(move || handle.remove());
}

fn focus_doubt() {
    if let Ok(Some(first)) = document().query_selector(".sentence button") {
        focus::land(&first);
    }
}
