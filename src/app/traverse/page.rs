//! The page of a day: map over list and doubts, the net beside or below; one selection for all.

use std::collections::BTreeSet;

use js_sys::{Function, Reflect};
use leptos::html::Div;
use leptos::prelude::*;
use leptos::task::spawn_local;
use leptos_router::hooks::use_params_map;
use wasm_bindgen::JsCast;
use wasm_bindgen::closure::Closure;

use super::day::{self, DayDoubt, Leads, OneDay, StationRow};
use super::sheet;
use crate::app::camp::settle::versions;
use crate::app::drawing::{
    Icon, Layout, MapStation, Room, doubt_sign, icon, lay_out, length, strip_map,
};
use crate::app::net::selection::{Of, Selection};
use crate::app::net::state::NetState;
use crate::app::net::view::NetView;
use crate::app::parts::clock;
use crate::app::parts::line::{sign, value};
use crate::app::parts::tablet::Tablet;
use crate::app::written::day_words;
use crate::notebook::RecordId;

/// A tap on the map reaches a station this far away, pixels.
const REACH_PX: f64 = 44.0;
/// Stations whose doubts are looked for before the browser may do something else.
const STATIONS_AT_ONCE: usize = 8;

/// What the page shows of its day.
#[derive(Clone, PartialEq)]
struct Shown {
    day: OneDay,
    rows: Vec<StationRow>,
    way_m: f64,
}

/// What was found doubtful so far.
#[derive(Clone, Default, PartialEq)]
struct Found {
    /// The day they are of.
    date: String,
    doubts: Vec<DayDoubt>,
    /// Every station of the day has been looked at.
    complete: bool,
}

/// What the parts of the page share.
#[derive(Clone, Copy)]
struct Page {
    tablet: Tablet,
    net: NetState,
    shown: Memo<Option<Shown>>,
    found: RwSignal<Found>,
    doubted: Memo<BTreeSet<String>>,
    /// Record id of the selected station.
    here: RwSignal<Option<String>>,
    /// On a phone the doubts take the list's place.
    doubts_up: RwSignal<bool>,
}

impl Page {
    /// The selected station's place among the day's.
    fn place(self) -> Option<usize> {
        let here = self.here.get()?;
        self.shown.with(|shown| {
            let rows = &shown.as_ref()?.rows;
            rows.iter().position(|row| row.record == here)
        })
    }

    /// Selects a station, and on the net all that was read there.
    fn select(self, record: &str, of: Of) {
        self.here.set(Some(record.to_owned()));
        let records = self.net.data.with_untracked(|all| {
            let there = all.iter().filter(|d| d.station == record);
            there.map(|d| d.record.clone()).collect()
        });
        self.net.selection.set(Selection { records, of });
    }

    fn is_phone(self) -> bool {
        self.tablet.width.get() < 700.0
    }
}

/// One day.
#[component]
pub(in crate::app) fn DayPage() -> impl IntoView {
    let tablet = Tablet::expect();
    let params = use_params_map();
    let wanted = Memo::new(move |_| params.with(|p| p.get("day")));
    let shown = Memo::new(move |_| {
        let notation = tablet.settings.with(|s| s.notation);
        let wanted = wanted.get();
        tablet.read(|shelf| {
            let day = day::find(&shelf.pages, wanted.as_deref())?;
            let (rows, way_m) = day::stations(&shelf.pages, &day, notation);
            Some(Shown { day, rows, way_m })
        })
    });
    let found = RwSignal::new(Found::default());
    let doubted = Memo::new(move |_| {
        found.with(|f| {
            f.doubts
                .iter()
                .map(|d| d.station.clone())
                .collect::<BTreeSet<_>>()
        })
    });
    let page = Page {
        tablet,
        net: NetState::expect(),
        shown,
        found,
        doubted,
        here: RwSignal::new(None),
        doubts_up: RwSignal::new(false),
    };
    look_for_doubts(page);
    choose_first(page);
    follow_net(page);
    let is_day = Memo::new(move |_| shown.with(Option::is_some));
    view! {
        <main class="traverse day-page" data-testid="day-page">
            {move || if is_day.get() {
                view! {
                    <Heading page=page/>
                    <Map page=page/>
                    <div class="net-place">
                        <NetView glance=true/>
                        <button class="plate" data-testid="net-open" on:click=move |_| tablet.go("/traverse/net")>
                            "Lasso, choose, figures"
                            <span aria-hidden="true" inner_html=icon(Icon::Arrow)></span>
                        </button>
                        <button class="plate" data-testid="reckon-open" on:click=move |_| tablet.go("/traverse/reckon")>
                            "Reckon"
                            <span aria-hidden="true" inner_html=icon(Icon::Arrow)></span>
                        </button>
                    </div>
                    <Stations page=page/>
                    <Doubts page=page/>
                    <Sheet page=page/>
                }.into_any()
            } else {
                view! { <NoDay wanted=wanted/> }.into_any()
            }}
        </main>
    }
}

#[component]
fn NoDay(wanted: Memo<Option<String>>) -> impl IntoView {
    let tablet = Tablet::expect();
    view! {
        <div class="no-day">
            <h1>{move || match (tablet.loading.get(), wanted.get()) {
                (Some(count), _) => format!("Reading the book: {}", tablet.read_so_far(count)),
                (None, Some(day)) => format!("The book has nothing of {}", day_words(&day)),
                (None, None) => "No day yet: the first station begins it".to_owned(),
            }}</h1>
            <button class="plate" data-testid="all-days" on:click=move |_| tablet.go("/traverse/all")>
                <span aria-hidden="true" inner_html=icon(Icon::List)></span>"All days"
            </button>
        </div>
    }
}

/// Looks for the doubts of the day piece by piece, so that a long day does not hold the page up; a later edition of the
/// book ends an earlier search.
fn look_for_doubts(page: Page) {
    let tablet = page.tablet;
    Effect::new(move |_| {
        let edition = tablet.edition.get();
        let Some(day) = page.shown.with(|s| s.as_ref().map(|s| s.day.clone())) else {
            page.found.set(Found::default());
            return;
        };
        if page.found.with_untracked(|f| f.date != day.date) {
            page.found.set(Found {
                date: day.date.clone(),
                ..Found::default()
            });
        }
        spawn_local(async move {
            let same = move |date: &str| {
                tablet.edition.try_get_untracked() == Some(edition)
                    && page
                        .shown
                        .try_with_untracked(|s| s.as_ref().is_some_and(|s| s.day.date == date))
                        == Some(true)
            };
            let mut doubts = Vec::new();
            for places in day.places.chunks(STATIONS_AT_ONCE) {
                if !same(&day.date) {
                    return;
                }
                doubts.extend(tablet.read_once(|shelf| {
                    let stations = shelf.pages.stations();
                    places
                        .iter()
                        .filter_map(|&place| stations.get(place))
                        .flat_map(|station| day::doubts_at(&shelf.pages, station))
                        .collect::<Vec<_>>()
                }));
                if day.places.len() > STATIONS_AT_ONCE {
                    clock::moment().await;
                }
            }
            if same(&day.date) {
                let data = page.net.data.get_untracked();
                doubts.extend(tablet.read_once(|shelf| {
                    let mut more = day::north_doubts(&shelf.pages, &day);
                    more.extend(day::around_doubts(&shelf.pages, &day, &data));
                    more
                }));
                page.found.set(Found {
                    date: day.date,
                    doubts,
                    complete: true,
                });
            }
        });
    });
}

/// On a new day the station where the person stands is selected, else the last.
fn choose_first(page: Page) {
    Effect::new(move |_| {
        let stands = page
            .tablet
            .settings
            .with(|s| s.here.as_ref().map(|h| h.record.clone()));
        let first = page.shown.with(|shown| {
            let rows = &shown.as_ref()?.rows;
            let has = |record: &String| rows.iter().any(|row| row.record == *record);
            if page.here.with_untracked(|h| h.as_ref().is_some_and(has)) {
                return None;
            }
            stands
                .filter(has)
                .or_else(|| rows.last().map(|row| row.record.clone()))
        });
        if let Some(first) = first {
            page.here.set(Some(first));
        }
    });
}

/// A mark touched on the net selects its station on list and map.
fn follow_net(page: Page) {
    Effect::new(move |_| {
        let touched = page.net.selection.with(|s| match s.of {
            Of::Net => s.records.first().cloned(),
            _ => None,
        });
        let Some(touched) = touched else {
            return;
        };
        let station = page.net.data.with_untracked(|all| {
            let found = all.iter().find(|d| d.record == touched);
            found.map(|d| d.station.clone())
        });
        if let Some(station) = station {
            page.here.set(Some(station));
        }
    });
}

#[component]
fn Heading(page: Page) -> impl IntoView {
    let tablet = page.tablet;
    let of = move |part: fn(&Shown) -> Option<String>| {
        page.shown.with(|shown| shown.as_ref().and_then(part))
    };
    let before = Memo::new(move |_| of(|s| s.day.before.clone()));
    let after = Memo::new(move |_| of(|s| s.day.after.clone()));
    let date = Memo::new(move |_| of(|s| Some(s.day.date.clone())).unwrap_or_default());
    let words = Memo::new(move |_| {
        page.shown.with(|shown| {
            let Some(shown) = shown else {
                return String::new();
            };
            let mut words = vec![day::span(&shown.rows)];
            if shown.way_m > 0.0 {
                words.push(length(shown.way_m));
            }
            words.join(" · ")
        })
    });
    let year = move || date.with(|d| d.get(..4).unwrap_or_default().to_owned());
    view! {
        <div class="day">
            {move || before.get().map(|d| view! {
                <button class="plate step" data-testid="day-before" on:click=move |_| tablet.go(&day::path(&d))>
                    <span class="turned" aria-hidden="true" inner_html=icon(Icon::Arrow)></span>
                    <span class="hidden-words">"the day before, "</span>
                    <span class="word">{day::short(&d)}</span>
                </button>
            })}
            <h1 data-testid="day-title">{move || day::short(&date.get())}<span class="hidden-words">" "{year}</span></h1>
            <p class="soft small" data-testid="day-words">{words}</p>
            {move || after.get().map(|d| view! {
                <button class="plate step" data-testid="day-after" on:click=move |_| tablet.go(&day::path(&d))>
                    <span class="hidden-words">"the day after, "</span>
                    <span class="word">{day::short(&d)}</span>
                    <span aria-hidden="true" inner_html=icon(Icon::Arrow)></span>
                </button>
            })}
            {move || if page.is_phone() {
                let count = page.found.with(|f| f.doubts.len());
                view! {
                    <button
                        class="plate"
                        data-testid="doubts-plate"
                        aria-pressed=move || page.doubts_up.get().to_string()
                        on:click=move |_| page.doubts_up.update(|up| *up = !*up)
                    >
                        {(count > 0).then(|| view! { <span aria-hidden="true" inner_html=doubt_sign(&count.to_string(), true)></span> })}
                        <span class="hidden-words">{count}" "</span>
                        {match count { 0 => "no doubts", 1 => "doubt", _ => "doubts" }}
                    </button>
                }.into_any()
            } else {
                view! { <AllDays tablet=tablet/> }.into_any()
            }}
        </div>
    }
}

#[component]
fn AllDays(tablet: Tablet) -> impl IntoView {
    view! {
        <button class="plate" data-testid="all-days" on:click=move |_| tablet.go("/traverse/all")>
            <span aria-hidden="true" inner_html=icon(Icon::List)></span>"All days"
        </button>
    }
}

#[component]
fn Map(page: Page) -> impl IntoView {
    let stations = Memo::new(move |_| {
        page.shown.with(|shown| {
            page.doubted.with(|doubted| {
                let rows = shown.iter().flat_map(|s| &s.rows);
                rows.filter_map(|row| {
                    let station = MapStation {
                        number: row.number,
                        at_m: row.at_m?,
                        sign: row.sign(),
                        doubted: doubted.contains(&row.record),
                    };
                    Some((row.record.clone(), station))
                })
                .collect::<Vec<_>>()
            })
        })
    });
    let selected = Memo::new(move |_| {
        let here = page.here.get()?;
        stations.with(|s| s.iter().position(|(record, _)| *record == here))
    });
    let layout = Memo::new(move |_| {
        let width = page.tablet.width.get();
        let at_m: Vec<_> = stations.with(|s| s.iter().map(|(_, s)| s.at_m).collect());
        lay_out(&at_m, selected.get(), &room(width))
    });
    let drawn = move || {
        let only: Vec<MapStation> = stations.with(|s| s.iter().map(|(_, s)| s.clone()).collect());
        layout.with(|layout| strip_map(&only, layout, selected.get()))
    };
    let missing = Memo::new(move |_| {
        page.shown
            .with(|s| s.as_ref().and_then(|s| day::without_position(&s.rows)))
    });
    let beyond = Memo::new(move |_| layout.with(Layout::beyond));
    let says = move || {
        let count = stations.with(Vec::len);
        let mut words = format!(
            "map of the day, north up, {count} {}",
            if count == 1 { "station" } else { "stations" }
        );
        if let Some(place) = selected.get() {
            let number = stations.with(|s| s.get(place).map(|(_, s)| s.number));
            words.push_str(&number.map_or(String::new(), |n| format!(", station {n} selected")));
        }
        words.push_str("; the list has them all");
        words
    };
    let tap = move |event: leptos::ev::MouseEvent| {
        // The drawing lets a tap through, so that it counts from the paper's own corner.
        let at = (f64::from(event.offset_x()), f64::from(event.offset_y()));
        let nearest = layout.with_untracked(|layout| layout.nearest(at, REACH_PX));
        let record =
            nearest.and_then(|i| stations.with_untracked(|s| s.get(i).map(|s| s.0.clone())));
        if let Some(record) = record {
            page.select(&record, Of::Map);
        }
    };
    view! {
        <div class="map">
            {move || (stations.with(|s| !s.is_empty())).then(|| view! {
                <div class="paper" role="img" aria-label=says data-testid="strip-map"
                    data-selected=move || selected.get().and_then(|i| stations.with(|s| s.get(i).map(|(_, s)| s.number)))
                    on:click=tap inner_html=drawn></div>
            })}
            {move || missing.get().map(|words| view! { <p class="small" data-testid="not-on-map">{words}</p> })}
            {move || (beyond.get() > 0).then(|| view! {
                <p class="small soft">{match beyond.get() {
                    1 => "1 station is beyond the edge; the map follows the selection.".to_owned(),
                    n => format!("{n} stations are beyond the edge; the map follows the selection."),
                }}</p>
            })}
        </div>
    }
}

/// The room that each size has for the map.
fn room(width: f64) -> Room {
    match width {
        w if w < 700.0 => Room {
            width_px: w,
            height_px: 180.0,
            most_px: 240.0,
            phone: true,
        },
        w if w < 1024.0 => Room {
            width_px: w,
            height_px: 248.0,
            most_px: 360.0,
            phone: false,
        },
        w => Room {
            width_px: w - 396.0,
            height_px: 240.0,
            most_px: 300.0,
            phone: false,
        },
    }
}

#[component]
fn Stations(page: Page) -> impl IntoView {
    let list = NodeRef::<Div>::new();
    let rows = Memo::new(move |_| {
        page.shown
            .with(|s| s.as_ref().map(|s| s.rows.clone()).unwrap_or_default())
    });
    // The list follows a selection made elsewhere.
    Effect::new(move |_| {
        let (Some(place), Some(list)) = (page.place(), list.get()) else {
            return;
        };
        let number = rows.with_untracked(|rows| rows.get(place).map(|row| row.number));
        request_animation_frame(move || {
            let found = number.and_then(|n| {
                let row = list
                    .query_selector(&format!("[data-number=\"{n}\"]"))
                    .ok()??;
                row.dyn_into::<web_sys::HtmlElement>().ok()
            });
            if let Some(row) = found {
                let (top, bottom) = (list.scroll_top(), list.scroll_top() + list.client_height());
                let (from, to) = (row.offset_top(), row.offset_top() + row.offset_height());
                if from < top || to > bottom {
                    list.set_scroll_top(from - (list.client_height() - row.offset_height()) / 2);
                }
            }
        });
    });
    let step = move |event: leptos::ev::KeyboardEvent| {
        let by = match event.key().as_str() {
            "ArrowDown" => 1_isize,
            "ArrowUp" => -1,
            _ => return,
        };
        let rows = rows.get_untracked();
        let at = untrack(move || page.place()).unwrap_or_default();
        let Some(next) = at.checked_add_signed(by).and_then(|i| rows.get(i)) else {
            return;
        };
        event.prevent_default();
        page.select(&next.record, Of::List);
        let found = list.get_untracked().and_then(|list| {
            let row = list
                .query_selector(&format!("[data-number=\"{}\"] button", next.number))
                .ok()??;
            row.dyn_into::<web_sys::HtmlElement>().ok()
        });
        if let Some(row) = found {
            // A row that is on the page takes the focus.
            let _ = row.focus();
        }
    };
    view! {
        <div class="stations" class:away=move || page.is_phone() && page.doubts_up.get() node_ref=list role="group" aria-label="stations of the day" on:keydown=step>
            <For each=move || rows.get() key=|row| format!("{row:?}") let:row>
                <Station page=page row=row/>
            </For>
            <div class="foot-plates">
                {move || page.is_phone().then(|| view! { <AllDays tablet=page.tablet/><PrintPlate/> })}
            </div>
        </div>
    }
}

#[component]
fn Station(page: Page, row: StationRow) -> impl IntoView {
    let tablet = page.tablet;
    let record = StoredValue::new(row.record.clone());
    let chosen = Memo::new(move |_| {
        page.here
            .with(|here| here.as_deref() == Some(&record.get_value()))
    });
    let doubted = Memo::new(move |_| page.doubted.with(|d| d.contains(&record.get_value())));
    let number = row.number;
    let drawn = sign(&row.written, false, false);
    let (value_text, name, count) = (row.value.clone(), row.name.clone(), row.count());
    view! {
        <div class="station-line" class:chosen=chosen data-number=number data-testid=format!("day-station-{number}") data-chosen=move || chosen.get().to_string()>
            <button class="pick" data-testid=format!("station-row-{number}") aria-pressed=move || chosen.get().to_string() on:click=move |_| page.select(&record.get_value(), Of::List)>
                <span class="hidden-words">{move || row.spoken(doubted.get())}</span>
                <span class="no" aria-hidden="true">{number}</span>
                <span class="drawn" aria-hidden="true" inner_html=drawn></span>
                <span class="value" aria-hidden="true">{value(&value_text)}</span>
                <span class="what" aria-hidden="true"><span class="name">{name}</span><span class="count">{count}</span></span>
                {move || doubted.get().then(|| view! { <span class="sign" aria-hidden="true" inner_html=doubt_sign("?", true)></span> })}
            </button>
            <button class="open" data-testid=format!("open-station-{number}") aria-label=format!("open station {number}") on:click=move |_| tablet.go(&format!("/station/{number}"))>
                <span aria-hidden="true" inner_html=icon(Icon::Arrow)></span>
            </button>
        </div>
    }
}

#[component]
fn Doubts(page: Page) -> impl IntoView {
    let doubts = Memo::new(move |_| page.found.with(|f| f.doubts.clone()));
    let count = move || doubts.with(Vec::len);
    let complete = move || page.found.with(|f| f.complete);
    view! {
        <section class="doubts" class:away=move || page.is_phone() && !page.doubts_up.get() aria-label="doubts of the day" data-testid="day-doubts" data-complete=move || complete().to_string()>
            <h2>
                {move || (count() > 0).then(|| view! { <span aria-hidden="true" inner_html=doubt_sign(&count().to_string(), false)></span> })}
                <span class="hidden-words">{move || (count() > 0).then(|| format!("{} ", count()))}</span>
                {move || match (complete(), count()) {
                    (false, _) => "Looking for doubts …",
                    (true, 0) => "Nothing of the day is in doubt",
                    (true, 1) => "Doubt of the day",
                    _ => "Doubts of the day",
                }}
            </h2>
            <For each=move || doubts.get() key=|d| format!("{d:?}") let:doubt>
                <DoubtPlate page=page doubt=doubt/>
            </For>
            {move || (!page.is_phone()).then(|| view! { <PrintPlate/> })}
        </section>
    }
}

#[component]
fn DoubtPlate(page: Page, doubt: DayDoubt) -> impl IntoView {
    let tablet = page.tablet;
    let follow = {
        let doubt = doubt.clone();
        move |_| {
            page.select(&doubt.station, Of::Doubt);
            match &doubt.leads {
                Leads::Reading(record) => tablet.open_record(record),
                Leads::Sighting(record) => tablet.reopen_sighting(record),
                Leads::Station(number) => tablet.go(&format!("/station/{number}")),
                Leads::Settle(record) => {
                    tablet.go(&versions::path(&RecordId::from(record.as_str())))
                }
            }
        }
    };
    view! {
        <button class="plate doubt" data-testid=format!("doubt-{}", doubt.number.replace(['·', '–', ',', ' '], "-")) on:click=follow>
            <span class="num">{doubt.number.clone()}</span>
            <span class="words">{value(&doubt.words)}</span>
            <span aria-hidden="true" inner_html=icon(Icon::Arrow)></span>
        </button>
    }
}

#[component]
fn PrintPlate() -> impl IntoView {
    let print = move |_| {
        // A browser that cannot print does nothing; there is no other way to tell.
        let _ = window().print();
    };
    view! {
        <button class="plate" data-testid="print-day" on:click=print>
            <span aria-hidden="true" inner_html=icon(Icon::Note)></span>"Print the day"
        </button>
    }
}

/// The printed page: written when the browser is about to print, so that it costs nothing before.
#[component]
fn Sheet(page: Page) -> impl IntoView {
    let sheet = NodeRef::<Div>::new();
    let write = move || {
        let (Some(sheet), Some(Some(day))) = (
            sheet.try_get_untracked().flatten(),
            page.shown
                .try_with_untracked(|s| s.as_ref().map(|s| s.day.clone())),
        ) else {
            return;
        };
        let notation = page.tablet.settings.with_untracked(|s| s.notation);
        let doubts = page.found.with_untracked(|f| f.doubts.clone());
        let today = day_words(clock::now().get(..10).unwrap_or_default());
        let html = page
            .tablet
            .read_once(|shelf| sheet::html(&shelf.pages, &day, notation, &doubts, &today));
        sheet.set_inner_html(&html);
    };
    let before = window_event_listener(
        leptos::ev::Custom::<web_sys::Event>::new("beforeprint"),
        move |_| write(),
    );
    on_cleanup(move || before.remove());
    // A page that is only shown as it would print says so by its medium.
    if let Some(medium) = print_medium() {
        let turned = medium.clone();
        let heard = Closure::<dyn FnMut()>::new(move || {
            if Reflect::get(&turned, &"matches".into()).is_ok_and(|m| m.is_truthy()) {
                write();
            }
        });
        // What can be asked about a medium tells when it turns.
        let _ = medium.add_event_listener_with_callback("change", heard.as_ref().unchecked_ref());
        let kept = StoredValue::new_local((medium, heard));
        on_cleanup(move || {
            // Nothing is left to call it.
            let _ = kept.try_with_value(|(medium, heard)| {
                medium.remove_event_listener_with_callback("change", heard.as_ref().unchecked_ref())
            });
        });
    }
    view! { <div class="day-sheet" node_ref=sheet data-testid="day-sheet"></div> }
}

/// What tells whether the page is shown as it would print.
fn print_medium() -> Option<web_sys::EventTarget> {
    let ask: Function = Reflect::get(&window(), &"matchMedia".into())
        .ok()?
        .dyn_into()
        .ok()?;
    ask.call1(&window(), &"print".into()).ok()?.dyn_into().ok()
}
