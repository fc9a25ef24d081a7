//! The page of a day: map over list and doubts, the net beside or below; one selection for all.

use std::collections::{BTreeMap, BTreeSet};

use leptos::prelude::*;
use leptos::task::spawn_local;
use leptos_router::hooks::use_params_map;

use super::day::{self, DayDoubt, OneDay, StationRow};
use super::doubts::Doubts;
use super::printing::Sheet;
use super::stations::Stations;
use crate::app::drawing::{
    Icon, Layout, MapStation, Room, doubt_sign, icon, lay_out, length, strip_map,
};
use crate::app::first_lines;
use crate::app::net::selection::{Of, Selection};
use crate::app::net::state::NetState;
use crate::app::net::view::NetView;
use crate::app::parts::clock;
use crate::app::parts::tablet::Tablet;
use crate::app::written::day_words;

/// A tap on the map reaches a station this far away, pixels.
const REACH_PX: f64 = 44.0;
/// Stations whose doubts are looked for before the browser may do something else.
const STATIONS_AT_ONCE: usize = 8;

/// What the page shows of its day.
#[derive(Clone, PartialEq)]
pub(super) struct Shown {
    pub(super) day: OneDay,
    pub(super) rows: Vec<StationRow>,
    way_m: f64,
}

/// What was found doubtful so far.
#[derive(Clone, Default, PartialEq)]
pub(super) struct Found {
    /// The day they are of.
    date: String,
    pub(super) doubts: Vec<DayDoubt>,
    /// Every station of the day has been looked at.
    pub(super) complete: bool,
}

/// What the parts of the page share.
#[derive(Clone, Copy)]
pub(super) struct Page {
    pub(super) tablet: Tablet,
    pub(super) net: NetState,
    pub(super) shown: Memo<Option<Shown>>,
    pub(super) found: RwSignal<Found>,
    /// The wanted readings at each station, where some are left out.
    pub(super) narrow: Memo<Option<BTreeMap<String, usize>>>,
    /// The doubts about what is wanted.
    pub(super) doubts: Memo<Vec<DayDoubt>>,
    pub(super) doubted: Memo<BTreeSet<String>>,
    /// Record id of the selected station.
    pub(super) here: RwSignal<Option<String>>,
    /// On a phone the doubts take the list's place.
    pub(super) doubts_up: RwSignal<bool>,
}

impl Page {
    /// The selected station's place among the day's.
    pub(super) fn place(self) -> Option<usize> {
        let here = self.here.get()?;
        self.shown.with(|shown| {
            let rows = &shown.as_ref()?.rows;
            rows.iter().position(|row| row.record == here)
        })
    }

    /// Selects a station, and all that is wanted of what was read there.
    pub(super) fn select(self, record: &str) {
        self.here.set(Some(record.to_owned()));
        let records = self.tablet.read_once(|shelf| {
            let wanted = self.net.wanted.get_untracked();
            let there = day::wanted_at(&shelf.pages, record, &wanted);
            let standing = there.iter().filter(|r| {
                let line = shelf.pages.reading(r.as_str());
                line.is_some_and(|line| !line.is_struck_out())
            });
            standing.map(|r| r.as_str().to_owned()).collect()
        });
        self.net.selection.set(Selection::new(records, Of::Station));
    }

    /// Selects one reading, and the station it is at.
    pub(super) fn select_reading(self, station: &str, record: &str, of: Of) {
        self.here.set(Some(station.to_owned()));
        self.net.select(record, of);
    }

    pub(super) fn is_phone(self) -> bool {
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
    let net = NetState::expect();
    let found = RwSignal::new(Found::default());
    let narrow = Memo::new(move |_| {
        let day = shown.with(|s| s.as_ref().map(|s| s.day.clone()))?;
        net.wanted
            .with(|wanted| tablet.read(|shelf| day::narrowed(&shelf.pages, &day, wanted)))
    });
    let doubts = Memo::new(move |_| {
        let mut doubts = found.with(|f| f.doubts.clone());
        net.wanted.with(|wanted| {
            if !wanted.is_all() {
                tablet.read(|shelf| doubts.retain(|d| d.is_wanted(&shelf.pages, wanted)));
            }
        });
        doubts
    });
    let doubted = Memo::new(move |_| {
        doubts.with(|doubts| {
            let stations = doubts.iter().map(|d| d.station.clone());
            stations.collect::<BTreeSet<_>>()
        })
    });
    let page = Page {
        tablet,
        net,
        shown,
        found,
        narrow,
        doubts,
        doubted,
        here: RwSignal::new(None),
        doubts_up: RwSignal::new(false),
    };
    look_for_doubts(page);
    choose_first(page);
    follow(page);
    let is_day = Memo::new(move |_| shown.with(Option::is_some));
    let rest = lines_first(tablet);
    view! {
        <main class="traverse day-page" data-testid="day-page">
            {move || if is_day.get() {
                view! {
                    <Heading page=page/>
                    <Map page=page/>
                    <div class="net-place">
                        {move || rest.get().then(|| view! { <NetView glance=true/> })}
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

/// True once the lines of a long book stand on the page and what takes its time, the net, may follow.
fn lines_first(tablet: Tablet) -> Memo<bool> {
    let is_long = move || tablet.read_once(|shelf| first_lines::LONG <= shelf.ledger.len());
    let painted = RwSignal::new(!is_long());
    let read = Memo::new(move |_| tablet.loading.with(Option::is_none));
    Effect::new(move |_| {
        if read.get() {
            spawn_local(async move {
                if is_long() {
                    clock::painted().await;
                }
                // The page may have been left meanwhile.
                painted.try_set(true);
            });
        }
    });
    Memo::new(move |_| read.get() && painted.get())
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
        if tablet.loading.with(Option::is_some) {
            // What is not read yet could answer what seems doubtful.
            return;
        }
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
            clock::painted().await;
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

/// List and map show the station of what is selected, wherever it was selected; a tap on what is of another day leads to that
/// day.
fn follow(page: Page) {
    let known = StoredValue::new(page.net.selection.get_untracked());
    Effect::new(move |_| {
        let selection = page.net.selection.get();
        let fresh = known.with_value(|k| *k != selection);
        let stations: Vec<String> = page.tablet.read(|shelf| {
            let readings = selection.records.iter();
            let found = readings.filter_map(|r| Some(&shelf.pages.reading(r)?.reading()?.station));
            found.cloned().collect()
        });
        let Some(first) = stations.first() else {
            return;
        };
        let of_day = page.shown.with(|shown| {
            let rows = shown
                .as_ref()
                .map(|s| s.rows.as_slice())
                .unwrap_or_default();
            let here: BTreeSet<&str> = rows.iter().map(|row| row.record.as_str()).collect();
            stations.iter().find(|s| here.contains(s.as_str())).cloned()
        });
        known.set_value(selection);
        if let Some(station) = of_day {
            if page.here.get_untracked().as_ref() != Some(&station) {
                page.here.set(Some(station));
            }
        } else if fresh {
            let other = page
                .tablet
                .read_once(|shelf| day::of_station(&shelf.pages, first));
            if let Some(date) = other {
                page.tablet.go(&day::path(&date));
            }
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
            if let Some(count) = tablet.loading.get() {
                return format!("reading the book: {}", tablet.read_so_far(count));
            }
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
    let count = page.doubts.with(Vec::len);
                    let complete = page.found.with(|f| f.complete);
                    view! {
                        <button
                            class="plate"
                            data-testid="doubts-plate"
                            aria-pressed=move || page.doubts_up.get().to_string()
                            on:click=move |_| page.doubts_up.update(|up| *up = !*up)
                        >
                            {(count > 0).then(|| view! { <span aria-hidden="true" inner_html=doubt_sign(&count.to_string(), true)></span> })}
                            <span class="hidden-words">{count}" "</span>
                            {match count { 0 if complete => "no doubts", 1 => "doubt", _ => "doubts" }}
                        </button>
                    }.into_any()
                } else {
                    view! { <AllDays tablet=tablet/> }.into_any()
                }}
            </div>
        }
}

#[component]
pub(super) fn AllDays(tablet: Tablet) -> impl IntoView {
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
    let only = Memo::new(move |_| {
        stations.with(|s| {
            s.iter()
                .map(|(_, s)| s.clone())
                .collect::<Vec<MapStation>>()
        })
    });
    let layout = Memo::new(move |_| {
        let width = page.tablet.width.get();
        only.with(|only| lay_out(only, selected.get(), &room(width)))
    });
    let drawn =
        move || only.with(|only| layout.with(|layout| strip_map(only, layout, selected.get())));
    let crowded_out =
        Memo::new(move |_| only.with(|only| layout.with(|layout| layout.crowded_out(only))));
    // The stations that a tap can mean, where they are too near to one another to tell.
    let asked = RwSignal::new(Vec::<String>::new());
    Effect::new(move |_| {
        layout.track();
        page.here.track();
        asked.set(Vec::new());
    });
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
        let near = layout.with_untracked(|layout| layout.near(at, REACH_PX));
        let records: Vec<String> = stations.with_untracked(|s| {
            let near = near.into_iter().filter_map(|i| s.get(i));
            near.map(|(record, _)| record.clone()).collect()
        });
        match records.as_slice() {
            [only] => {
                asked.set(Vec::new());
                page.select(only);
            }
            _ => asked.set(records),
        }
    };
    let which = move |record: String| {
        let row = page.shown.with_untracked(|s| {
            let rows = &s.as_ref()?.rows;
            rows.iter().find(|row| row.record == record).cloned()
        })?;
        Some(view! {
            <button class="plate" data-testid=format!("which-{}", row.number) on:click=move |_| {
                asked.set(Vec::new());
                page.select(&record);
            }>
                <b class="num">{row.number}</b>
                <span>{row.name}</span>
            </button>
        })
    };
    view! {
        <div class="map">
            {move || (stations.with(|s| !s.is_empty())).then(|| view! {
                <div class="paper" role="img" aria-label=says data-testid="strip-map"
                    data-selected=move || selected.get().and_then(|i| stations.with(|s| s.get(i).map(|(_, s)| s.number)))
                    on:click=tap inner_html=drawn></div>
            })}
            {move || (!asked.with(Vec::is_empty)).then(|| view! {
                <div class="which" role="group" aria-label="which station" data-testid="which">
                    <span role="status">"Which station?"</span>
                    {asked.get().into_iter().map(which).collect_view()}
                </div>
            })}
            {move || crowded_out.get().map(|words| view! { <p class="small soft" data-testid="crowded-out">{words}" The list has all."</p> })}
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
            whole: false,
        },
        w if w < 1024.0 => Room {
            width_px: w,
            height_px: 248.0,
            most_px: 360.0,
            phone: false,
            whole: false,
        },
        w => Room {
            width_px: w - 396.0,
            height_px: 240.0,
            most_px: 300.0,
            phone: false,
            whole: false,
        },
    }
}
