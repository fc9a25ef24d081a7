//! The page of the open sighting: from a station to another one or to a named point.

use std::fmt::Write as _;

use leptos::prelude::*;
use wasm_bindgen::JsCast;

use crate::app::drawing::{
    Icon, Limb, LineState, Scale, doubt_sign, icon, limb, profile, state_sample,
};
use crate::app::history::page::HistoryPlate;
use crate::app::outcrop::open::{number, quadrant};
use crate::app::outcrop::open_sighting::{Figure, Measured, OpenSighting, Press, metres};
use crate::app::outcrop::sighted::{self, Sight};
use crate::app::parts::focus;
use crate::app::parts::tablet::Tablet;
use crate::app::written;
use crate::notebook::RecordId;

/// What stands over the keypad of a sighting.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Over {
    Keypad,
    Targets,
    Words,
}

/// The open sighting.
#[component]
pub(in crate::app) fn SightingPage() -> impl IntoView {
    let tablet = Tablet::expect();
    let open = Memo::new(move |_| tablet.sighting());
    let here = Memo::new(move |_| open.with(Option::is_some));
    let over = RwSignal::new(Over::Keypad);
    let sight = Memo::new(move |_| {
        open.with(|o| {
            let sighting = o.as_ref()?.entry();
            Some(tablet.read(|shelf| Sight::of(&sighting, shelf)))
        })
    });
    let finding = Memo::new(move |_| {
        open.with(|o| {
            let o = o.as_ref()?;
            let sight = sight.get()?;
            Some(tablet.read(|shelf| sighted::finding(o, &sight, shelf)))
        })
        .unwrap_or_default()
    });
    keyboard(tablet, over);
    view! {
        <main class="outcrop sighting" class:doubting=move || finding.with(|f| !f.choices.is_empty()) data-testid="sighting">
            {move || if here.get() {
                view! {
                    <Strip open=open/>
                    <Aim open=open over=over/>
                    <Figures open=open/>
                    <p class="north" data-testid="north-words">
                        <span aria-hidden="true" inner_html=icon(Icon::Setup)></span>
                        <span>{move || open.with(|o| o.as_ref().map(|o| written::north(o.sighting.north, o.sighting.declination.as_deref())).unwrap_or_default())}</span>
                    </p>
                    <Look open=open sight=sight/>
                    <Sentence finding=finding sight=sight/>
                    {move || match over.get() {
                        Over::Keypad => view! { <Keys open=open over=over/> }.into_any(),
                        Over::Targets => view! { <Targets open=open over=over/> }.into_any(),
                        Over::Words => view! { <Words open=open over=over/> }.into_any(),
                    }}
                }.into_any()
            } else {
                view! {
                    <div class="nothing">
                        <h1>"No sighting is open"</h1>
                        <p>"A sighting begins on the page of the station where you stand."</p>
                        <button class="plate on big" data-testid="to-outcrop" on:click=move |_| tablet.go("/outcrop")>"Outcrop"</button>
                    </div>
                }.into_any()
            }}
        </main>
    }
}

/// The station a sighting is taken from, and the way back to its page.
#[component]
fn Strip(open: Memo<Option<OpenSighting>>) -> impl IntoView {
    let tablet = Tablet::expect();
    let station = Memo::new(move |_| {
        let record = open.with(|o| o.as_ref().map(|o| o.sighting.station.clone()))?;
        tablet.read(|shelf| {
            let page = shelf.pages.station(&record)?;
            Some((
                page.line().number(),
                page.line()
                    .station()
                    .map(|s| s.name.clone())
                    .unwrap_or_default(),
            ))
        })
    });
    let from = move || {
        let (number, name) = station.get().unwrap_or_default();
        if name.is_empty() {
            format!("from station {number}")
        } else {
            format!("from {name}")
        }
    };
    view! {
        <div class="st">
            <span class="no" data-testid="station-number">{move || station.get().unwrap_or_default().0}</span>
            <span class="what">
                <h1>{move || open.with(|o| match o.as_ref() {
                    Some(o) if o.sighting.number > 0 => format!("Sighting {}", o.sighting.number),
                    _ => "New sighting".to_owned(),
                })}</h1>
                <span>{from}</span>
            </span>
            <button class="plate" data-testid="sighting-done" on:click=move |_| tablet.leave_sighting()>
                <span aria-hidden="true" inner_html=icon(Icon::List)></span>
                {move || if tablet.width.get() < 700.0 { view! { <span class="hidden-words">"Station"</span> }.into_any() } else { "Station".into_any() }}
            </button>
        </div>
    }
}

/// The targets at hand: stations that were sighted from, the stations before and after, and the way to all others.
#[component]
fn Aim(open: Memo<Option<OpenSighting>>, over: RwSignal<Over>) -> impl IntoView {
    let tablet = Tablet::expect();
    let at_hand = Memo::new(move |_| {
        let (station, to) = open.with(|o| {
            o.as_ref()
                .map(|o| (o.sighting.station.clone(), o.sighting.to.clone()))
                .unwrap_or_default()
        });
        let most = if tablet.width.get() < 700.0 { 2 } else { 4 };
        tablet.read(|shelf| sighted::targets(shelf, &station, to.as_deref(), most))
    });
    let to = Memo::new(move |_| open.with(|o| o.as_ref().and_then(|o| o.sighting.to.clone())));
    let named = Memo::new(move |_| {
        open.with(|o| {
            o.as_ref()
                .filter(|o| o.sighting.to.is_none())
                .map(|o| o.sighting.to_words.clone())
                .unwrap_or_default()
        })
    });
    view! {
        <div class="kinds aim" role="group" aria-label="what is sighted">
            <span class="soft" aria-hidden="true">"to"</span>
            {move || at_hand.get().into_iter().map(|target| {
                let pressed = target.record.clone();
                let record = target.record.clone();
                view! {
                    <button
                        class="plate"
                        data-testid=format!("to-{}", target.number)
                        aria-pressed=move || (to.get().as_deref() == Some(pressed.as_str())).to_string()
                        on:click=move |_| {
                            let record = record.clone();
                            tablet.change_sighting(|open| open.aim(Some(record), String::new()));
                            over.set(Over::Keypad);
                        }
                    >
                        {target.words}
                    </button>
                }
            }).collect_view()}
            <button
                class="plate more"
                data-testid="to-other"
                aria-pressed=move || (!named.get().is_empty()).to_string()
                aria-expanded=move || (over.get() == Over::Targets).to_string()
                on:click=move |_| over.update(|o| *o = if *o == Over::Targets { Over::Keypad } else { Over::Targets })
            >
                {move || { let words = named.get(); if words.is_empty() { "other …".to_owned() } else { words } }}
            </button>
        </div>
    }
}

/// Every station, and a point that has only a name.
#[component]
fn Targets(open: Memo<Option<OpenSighting>>, over: RwSignal<Over>) -> impl IntoView {
    let tablet = Tablet::expect();
    let all = Memo::new(move |_| {
        let station = open.with(|o| {
            o.as_ref()
                .map(|o| o.sighting.station.clone())
                .unwrap_or_default()
        });
        tablet.read(|shelf| sighted::all_targets(shelf, &station))
    });
    let words = RwSignal::new(open.with_untracked(|o| {
        o.as_ref()
            .map(|o| o.sighting.to_words.clone())
            .unwrap_or_default()
    }));
    let write = move |text: String| {
        words.set(text.clone());
        tablet.change_sighting(|open| {
            open.aim(None, text.trim().to_owned());
            super::open_sighting::After::Draft
        });
    };
    let done = move || {
        tablet.change_sighting(|open| {
            let (to, words) = (open.sighting.to.clone(), open.sighting.to_words.clone());
            open.aim(to, words)
        });
        over.set(Over::Keypad);
    };
    view! {
        <div class="panel tall" role="group" aria-label="what is sighted">
            <h2 id="point-name">"A point with a name: a summit, a pole, the other bank"</h2>
            <div class="row first">
                <input class="words-field" data-testid="point-name" aria-labelledby="point-name" autocomplete="off" prop:value=words on:input=move |e| write(event_target_value(&e))/>
                <button class="plate on" data-testid="targets-done" on:click=move |_| done()>"Done"</button>
            </div>
            <h2>"Or a station of the book"</h2>
            {move || all.with(Vec::is_empty).then(|| view! { <p class="soft">"There is no other station yet."</p> })}
            <div class="set">
                {move || all.get().into_iter().map(|target| {
                    let record = target.record.clone();
                    view! {
                        <button class="plate" data-testid=format!("all-{}", target.number) on:click=move |_| {
                            let record = record.clone();
                            tablet.change_sighting(|open| open.aim(Some(record), String::new()));
                            over.set(Over::Keypad);
                        }>{target.words}</button>
                    }
                }).collect_view()}
            </div>
        </div>
    }
}

/// Note and striking out.
#[component]
fn Words(open: Memo<Option<OpenSighting>>, over: RwSignal<Over>) -> impl IntoView {
    let tablet = Tablet::expect();
    let note = RwSignal::new(open.with_untracked(|o| {
        o.as_ref()
            .map(|o| o.sighting.note.clone())
            .unwrap_or_default()
    }));
    let why = RwSignal::new(String::new());
    let record = Memo::new(move |_| open.with(|o| o.as_ref().and_then(|o| o.record.clone())));
    let struck = Memo::new(move |_| {
        record
            .get()
            .is_some_and(|r| tablet.read(|shelf| sighted::is_struck_out(shelf, &r)))
    });
    let write = move |text: String| {
        note.set(text.clone());
        tablet.change_sighting(|open| {
            open.sighting.note = text;
            super::open_sighting::After::Draft
        });
    };
    let done = move || {
        tablet.change_sighting(|open| {
            open.sighting.note = open.sighting.note.trim().to_owned();
            super::open_sighting::After::Keep
        });
        over.set(Over::Keypad);
    };
    view! {
        <div class="panel tall" role="group" aria-label="note and striking out">
            <h2 id="note-name">"Note of this sighting"</h2>
            <textarea class="words-field" data-testid="sighting-note" aria-labelledby="note-name" prop:value=note on:input=move |e| write(event_target_value(&e))></textarea>
            <div class="row">
                <button class="plate on" data-testid="sighting-words-done" on:click=move |_| done()>"Done"</button>
                {move || record.get().map(|record| view! { <HistoryPlate record=RecordId::from(record)/> })}
            </div>
            {move || match (record.get().is_some(), struck.get()) {
                (false, _) => ().into_any(),
                (true, true) => view! {
                    <h2>"This sighting is struck out"</h2>
                    <div class="row"><button class="plate" data-testid="put-back-sighting" on:click=move |_| { tablet.put_back_sighting(); over.set(Over::Keypad); }>"Put back"</button></div>
                }.into_any(),
                (true, false) => view! {
                    <h2 id="why-name">"Strike the sighting out; it stays legible"</h2>
                    <input class="words-field" data-testid="strike-why" aria-labelledby="why-name" placeholder="why (the wrong summit, a typing slip)" prop:value=why on:input=move |e| why.set(event_target_value(&e))/>
                    <div class="row"><button class="plate" data-testid="strike-sighting" on:click=move |_| tablet.strike_out_sighting(&why.get_untracked())>"Strike out sighting"</button></div>
                }.into_any(),
            }}
        </div>
    }
}

/// The three figures.
#[component]
fn Figures(open: Memo<Option<OpenSighting>>) -> impl IntoView {
    view! {
        <div class="dials figures" role="group" aria-label="figures">
            <OneFigure figure=Figure::Bearing open=open/>
            <OneFigure figure=Figure::Vertical open=open/>
            <OneFigure figure=Figure::Distance open=open/>
        </div>
    }
}

fn word(figure: Figure) -> &'static str {
    match figure {
        Figure::Bearing => "bearing",
        Figure::Vertical => "vertical",
        Figure::Distance => "distance",
    }
}

fn name(open: &OpenSighting, figure: Figure, phone: bool) -> &'static str {
    match (figure, open.up, open.level) {
        (Figure::Vertical, Some(true), _) if phone => "up",
        (Figure::Vertical, Some(false), _) if phone => "down",
        (Figure::Distance, _, true) if phone => "level",
        (Figure::Distance, _, false) if phone => "slope",
        (Figure::Bearing, _, _) => "bearing",
        (Figure::Vertical, Some(true), _) => "vertical, up",
        (Figure::Vertical, Some(false), _) => "vertical, down",
        (Figure::Vertical, None, _) => "vertical",
        (Figure::Distance, _, true) => "level distance",
        (Figure::Distance, _, false) => "slope distance",
    }
}

#[component]
fn OneFigure(figure: Figure, open: Memo<Option<OpenSighting>>) -> impl IntoView {
    let tablet = Tablet::expect();
    let draft = Memo::new(move |_| tablet.is_sighting_drafted());
    let state = Memo::new(move |_| {
        open.with(|o| match o.as_ref() {
            Some(o) if o.text(figure).is_empty() && o.here == Some(figure) => "draft",
            Some(o) if o.text(figure).is_empty() => "empty",
            Some(o) if o.is_typing(figure) || figure == Figure::Vertical && o.waits_for_side() => {
                "draft"
            }
            Some(o) if draft.get() && o.record.is_none() => "draft",
            Some(_) => "kept",
            None => "empty",
        })
    });
    let width = move || {
        let glass = tablet.width.get();
        let room = match glass {
            w if w < 700.0 => w - 24.0 - 28.0,
            w if w < 1024.0 => w - 48.0 - 40.0,
            w => w - 420.0 - 40.0,
        };
        let share = match figure {
            Figure::Bearing => 0.4,
            Figure::Vertical => 0.25,
            Figure::Distance => 0.35,
        };
        (room * share).floor()
    };
    let drawn = move || {
        let phone = tablet.width.get() < 700.0;
        open.with(|o| {
            o.as_ref()
                .map(|o| html(o, figure, state.get(), width(), phone))
                .unwrap_or_default()
        })
    };
    let here = move || open.with(|o| o.as_ref().is_some_and(|o| o.here == Some(figure)));
    let text = move || {
        open.with(|o| {
            o.as_ref()
                .map(|o| o.text(figure).to_owned())
                .unwrap_or_default()
        })
    };
    let spoken = move || {
        open.with(|o| {
            let o = o.as_ref()?;
            let text: Vec<String> = o.text(figure).chars().map(spoken_figure).collect();
            let value = if text.is_empty() {
                "not read".to_owned()
            } else {
                text.join(" ")
            };
            let unit = if figure == Figure::Distance {
                ", metres"
            } else {
                ""
            };
            Some(format!(
                "{}, {value}{unit}, {}",
                name(o, figure, false),
                state.get()
            ))
        })
        .unwrap_or_default()
    };
    view! {
        <button
            class=format!("dial {}", word(figure))
            data-testid=format!("figure-{}", word(figure))
            data-value=text
            data-state=move || state.get()
            data-here=move || here().to_string()
            style:width=move || format!("{}px", width())
            on:click=move |_| tablet.press_sighting(Press::Touch(figure))
        >
            <span class="hidden-words">{spoken}</span>
            <span class="drawn-dial" aria-hidden="true" inner_html=drawn></span>
            <span class="name" aria-hidden="true">{move || open.with(|o| o.as_ref().map(|o| name(o, figure, tablet.width.get() < 700.0)).unwrap_or_default())}</span>
        </button>
    }
}

fn spoken_figure(c: char) -> String {
    match c {
        '0' => "zero".to_owned(),
        '.' => "point".to_owned(),
        'N' => "north".to_owned(),
        'E' => "east".to_owned(),
        'S' => "south".to_owned(),
        'W' => "west".to_owned(),
        '_' => String::new(),
        c => c.to_string(),
    }
}

fn html(open: &OpenSighting, figure: Figure, state: &str, width: f64, phone: bool) -> String {
    let mut html = String::from("<span class=\"digits\">");
    let text = open.text(figure);
    let over = open.over == Some(figure);
    let next = (open.here == Some(figure)).then(|| open.position());
    let count = open.cells(figure).max(text.chars().count());
    let mut letters = text.chars();
    for i in 0..count {
        let letter = letters.next();
        let class = match (letter, next == Some(i), over) {
            (Some(_), true, true) => "cell here old",
            (Some(_), false, true) => "cell old",
            (_, true, _) => "cell here",
            (Some('.'), _, _) => "cell point",
            (Some(_), _, _) => "cell",
            (None, _, _) => "cell empty",
        };
        let _ = write!(html, "<span class=\"{class}\">");
        if let Some(letter) = letter.filter(|c| c.is_ascii_alphanumeric() || *c == '.') {
            html.push(letter);
        }
        html.push_str("</span>");
    }
    if figure == Figure::Distance {
        html.push_str("<span class=\"unit\">m</span>");
    }
    html.push_str("</span><span class=\"limb\">");
    let line = match state {
        "kept" => LineState::Kept,
        "empty" => LineState::Empty,
        _ => LineState::Draft,
    };
    if figure == Figure::Distance {
        let bare = if state == "kept" { "solid" } else { "dashed" };
        let _ = write!(html, "<span class=\"bare {bare}\"></span>");
    } else {
        let typing = open.is_typing(figure);
        let [possible, also] = if typing && figure == Figure::Bearing && open.quadrants {
            quadrant::possible_deg(text)
        } else {
            [
                typing
                    .then(|| possible(text, if figure == Figure::Bearing { 3 } else { 2 }))
                    .flatten(),
                None,
            ]
        };
        html.push_str(&limb(&Limb {
            scale: if figure == Figure::Bearing {
                Scale::Azimuth
            } else {
                Scale::Inclination
            },
            width_px: width,
            phone,
            state: line,
            pointer_deg: (!typing).then(|| number(text)).flatten(),
            possible_deg: possible,
            also_deg: also,
            shots_deg: &[],
        }));
    }
    html.push_str("</span>");
    html
}

/// The span of values that the digits typed so far can still become.
fn possible(text: &str, digits: usize) -> Option<(f64, f64)> {
    let missing = digits.checked_sub(text.len())?;
    let span = 10_f64.powi(i32::try_from(missing).ok()?);
    let low = number(text)? * span;
    Some((low, low + span - 1.0))
}

/// The profile, what it comes to, and how the distance was measured.
#[component]
fn Look(open: Memo<Option<OpenSighting>>, sight: Memo<Option<Sight>>) -> impl IntoView {
    let tablet = Tablet::expect();
    let drawn = move || {
        let open = open.get()?;
        let sight = sight.get()?;
        let slope = (!open.level).then(|| metres(&open.distance)).flatten();
        let metres = |value: Option<f64>| {
            value
                .map(|m| format!("{} m", super::open_sighting::figures(m)))
                .unwrap_or_default()
        };
        Some(profile(
            sight.vertical_deg,
            &metres(slope),
            &metres(sight.level.map(|l| l.0)),
            metres(sight.rise.map(|r| r.0)).trim_start_matches('-'),
        ))
    };
    let level = Memo::new(move |_| open.with(|o| o.as_ref().is_some_and(|o| o.level)));
    let by = Memo::new(move |_| open.with(|o| o.as_ref().and_then(|o| o.by)));
    let facts = move || sight.get().map(|s| s.facts()).unwrap_or_default();
    let seg = move |value: Measured, word: &'static str, id: &'static str| {
        view! {
            <button class="plate" data-testid=id aria-pressed=move || (by.get() == Some(value)).to_string()
                on:click=move |_| tablet.press_sighting(Press::By(value))>{word}</button>
        }
    };
    view! {
        <div class="look">
            <div class="profile-box" aria-hidden="true" inner_html=move || drawn().unwrap_or_default()></div>
            <div class="says">
                <dl data-testid="sighting-facts">
                    {move || facts().into_iter().map(|(word, value)| view! { <div><dt>{word}</dt><dd>{value}</dd></div> }).collect_view()}
                </dl>
                <div class="seg" role="group" aria-label="which distance">
                    <button class="plate" data-testid="distance-slope" aria-pressed=move || (!level.get()).to_string() on:click=move |_| tablet.press_sighting(Press::Level(false))>"slope"</button>
                    <button class="plate" data-testid="distance-level" aria-pressed=move || level.get().to_string() on:click=move |_| tablet.press_sighting(Press::Level(true))>"level"</button>
                </div>
                <div class="seg" role="group" aria-label="how the distance was measured">
                    {seg(Measured::Paced, "paced", "by-paced")}
                    {seg(Measured::Ranged, "ranged", "by-ranged")}
                    {seg(Measured::Taped, "taped", "by-taped")}
                </div>
            </div>
        </div>
    }
}

/// What the book thinks of the sighting, and what can be made of it.
#[component]
fn Sentence(finding: Memo<sighted::Finding>, sight: Memo<Option<Sight>>) -> impl IntoView {
    let tablet = Tablet::expect();
    let doubted = move || finding.with(|f| f.doubt);
    let kept = Memo::new(move |_| !tablet.is_sighting_drafted());
    let choices = move || {
        finding.get().choices.into_iter().enumerate().map(|(i, choice)| {
            let words = choice.words.clone();
            view! {
                <button class="plate" data-testid=format!("choice-{i}") on:click=move |_| tablet.settle_sighting(&choice)>{words}</button>
            }
        }).collect_view()
    };
    let place = move || {
        let offer = sight.get()?.offers.filter(|_| !finding.with(|f| f.doubt))?;
        Some(view! {
            <button class="plate" data-testid="station-from-sighting" on:click=move |_| tablet.station_from_sighting(offer.position.clone())>{offer.words}</button>
        })
    };
    view! {
        <div class="sentence" class:doubt=doubted tabindex="-1" data-lands="always" data-testid="sentence" data-doubt=move || if !finding.with(|f| f.choices.is_empty()) { "fore-against-back" } else if doubted() { "out-of-range" } else { "" } aria-live="polite">
            {move || if doubted() {
                view! { <span class="sign" aria-hidden="true" inner_html=doubt_sign("?", false)></span><span class="hidden-words">"doubt: "</span> }.into_any()
            } else {
                let state = if kept.get() { LineState::Kept } else { LineState::Draft };
                view! { <span class="sample" aria-hidden="true" inner_html=state_sample(state)></span> }.into_any()
            }}
            <p><b>{move || finding.get().words}</b>" "<span class="soft">{move || finding.get().detail}</span></p>
            {choices}
            {place}
        </div>
    }
}

/// The keys: digits and point, up and down, back, next.
#[component]
fn Keys(open: Memo<Option<OpenSighting>>, over: RwSignal<Over>) -> impl IntoView {
    let tablet = Tablet::expect();
    let digit = move |n: u8| {
        view! {
            <button class=format!("key digit k{n}") data-testid=format!("key-{n}") on:click=move |_| tablet.press_sighting(Press::Digit(n))>{n}</button>
        }
    };
    let finished = Memo::new(move |_| {
        !tablet.is_sighting_drafted()
            && open.with(|o| o.as_ref().is_some_and(|o| o.record.is_some()))
    });
    view! {
        <div class="keypad" role="group" aria-label="keypad">
            <SideKey index=0 open=open/>
            <SideKey index=1 open=open/>
            {(0..=9).map(digit).collect_view()}
            <button class="key digit so" data-testid="key-point" aria-label="decimal point" on:click=move |_| tablet.press_sighting(Press::Point)>"."</button>
            <button class="key nt" data-testid="sighting-words" on:click=move |_| over.set(Over::Words)>
                <span aria-hidden="true" inner_html=icon(Icon::Note)></span>
                "Note"
            </button>
            <button class="key next-reading nx" class:on=move || finished.get() data-testid="next-sighting" on:click=move |_| tablet.next_sighting()>
                <span aria-hidden="true" inner_html=icon(Icon::Next)></span>
                <span><b>"Next sighting"</b><span>"from this station"</span></span>
            </button>
            <button class="key bk" data-testid="key-back" on:click=move |_| tablet.press_sighting(Press::Back)>
                <span aria-hidden="true" inner_html=icon(Icon::Back)></span>
                "back"
            </button>
            <button class="key nd" data-testid="key-next" on:click=move |_| tablet.press_sighting(Press::Next)>
                <span aria-hidden="true" inner_html=icon(Icon::Step)></span>
                {move || if open.with(|o| o.as_ref().is_some_and(|o| o.here == Some(Figure::Distance))) { "that is it" } else { "next dial" }}
            </button>
        </div>
    }
}

#[component]
fn SideKey(index: usize, open: Memo<Option<OpenSighting>>) -> impl IntoView {
    let tablet = Tablet::expect();
    let word = Memo::new(move |_| open.with(|o| o.as_ref().map_or("", |o| o.sides()[index])));
    let state = Memo::new(move |_| {
        open.with(|o| match o.as_ref() {
            Some(o) if o.sides_wait() => "waiting",
            Some(o) if o.side_chosen() == Some(index) => "chosen",
            _ => "other",
        })
    });
    view! {
        <button
            class=move || format!("key side s{index} {}", state.get())
            data-testid=if index == 0 { "side-first" } else { "side-second" }
            data-state=move || state.get()
            aria-pressed=move || (state.get() == "chosen").to_string()
            on:click=move |_| tablet.press_sighting(Press::Side(index))
        >
            <span class="names"><span class="wind">{move || word.get()}</span></span>
        </button>
    }
}

/// The hardware keyboard of the page.
fn keyboard(tablet: Tablet, over: RwSignal<Over>) {
    let handle = window_event_listener(leptos::ev::keydown, move |event| {
        let target = event
            .target()
            .and_then(|t| t.dyn_into::<web_sys::Element>().ok());
        let focused = target.as_ref().is_some_and(focus::takes_keys);
        let tag = target.map(|e| e.tag_name()).unwrap_or_default();
        let key = event.key();
        if event.ctrl_key() || event.meta_key() {
            if matches!(key.as_str(), "z" | "y" | "Z")
                && !matches!(tag.as_str(), "INPUT" | "TEXTAREA")
            {
                event.prevent_default();
                tablet.undo();
            }
            return;
        }
        if key == "Escape" {
            over.set(Over::Keypad);
            return;
        }
        if matches!(tag.as_str(), "INPUT" | "TEXTAREA")
            || over.get_untracked() != Over::Keypad
            || event.alt_key()
        {
            return;
        }
        let side = |letters: [&str; 2]| letters.contains(&key.as_str());
        let sides = tablet.sighting().map(|o| o.sides());
        let pressed = match key.as_str() {
            k if k.len() == 1 && k.as_bytes()[0].is_ascii_digit() => {
                Some(Press::Digit(k.as_bytes()[0] - b'0'))
            }
            "." | "," => Some(Press::Point),
            "Backspace" => Some(Press::Back),
            "Enter" | "Tab" if focused => None,
            "Enter" | "/" => Some(Press::Next),
            "Tab" if !event.shift_key() && tablet.sighting().is_some_and(|o| o.here.is_some()) => {
                Some(Press::Next)
            }
            "+" => {
                event.prevent_default();
                tablet.next_sighting();
                None
            }
            _ => sides.and_then(|sides| {
                sides
                    .iter()
                    .position(|word| {
                        let first = word.get(..1).unwrap_or_default();
                        side([&first.to_uppercase(), &first.to_lowercase()])
                    })
                    .map(Press::Side)
            }),
        };
        if let Some(pressed) = pressed {
            event.prevent_default();
            tablet.press_sighting(pressed);
        }
    });
    on_cleanup(move || handle.remove());
}
