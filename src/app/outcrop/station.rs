//! The page of a station: where it is, what it is made of, and its readings as lines of a book.

use leptos::prelude::*;
use leptos_router::hooks::use_params_map;

use crate::app::camp::settle::versions;
use crate::app::drawing::{Icon, doubt_sign, fix, icon, line_symbol};
use crate::app::history::page::HistoryPlate;
use crate::app::outcrop::photos::{PhotoKey, PhotosOf};
use crate::app::outcrop::position::PositionEditor;
use crate::app::outcrop::sighted;
use crate::app::parts::line::BookLine;
use crate::app::parts::tablet::Tablet;
use crate::app::written::day_words;
use crate::notebook::{Position, RecordId, Station};

/// Which fact is being changed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Fact {
    Name,
    Position,
    Lithology,
    Unit,
    Note,
}

/// Every fact, for finding an unfinished one.
const FACTS: [Fact; 5] = [
    Fact::Name,
    Fact::Position,
    Fact::Lithology,
    Fact::Unit,
    Fact::Note,
];

impl Fact {
    /// The name under which words for this fact of a station are drafted.
    fn field(self, record: &str) -> String {
        let fact = match self {
            Fact::Name => "name",
            Fact::Position => "position",
            Fact::Lithology => "lithology",
            Fact::Unit => "unit",
            Fact::Note => "note",
        };
        format!("{record}/{fact}")
    }
}

/// One station.
#[component]
pub(in crate::app) fn StationPage() -> impl IntoView {
    let tablet = Tablet::expect();
    let params = use_params_map();
    let number = Memo::new(move |_| {
        params
            .with(|p| p.get("number"))
            .and_then(|n| n.parse::<u32>().ok())
    });
    let found = Memo::new(move |_| {
        number
            .get()
            .and_then(|n| tablet.read(|shelf| shelf.station_numbered(n)))
    });
    let editing = RwSignal::new(None::<Fact>);
    let record = Memo::new(move |_| found.get().map(|(r, _)| r));
    Effect::new(move |_| {
        // Words that were being typed here when the page ended open their field again.
        let unfinished = record.get().and_then(|record| {
            FACTS.into_iter().find(|fact| {
                let field = fact.field(record.as_str());
                tablet.drafted_words(&field).is_some()
            })
        });
        editing.set(unfinished);
    });
    let station = Memo::new(move |_| found.get().map(|(_, s)| s).unwrap_or_default());
    let others = Memo::new(move |_| {
        number
            .get()
            .map(|n| tablet.read(|shelf| shelf.neighbours(n)))
            .unwrap_or_default()
    });
    let readings = Memo::new(move |_| {
        record
            .get()
            .map(|r| tablet.read(|shelf| shelf.readings(r.as_str())))
            .unwrap_or_default()
    });
    let sightings = Memo::new(move |_| {
        record
            .get()
            .map(|r| {
                tablet.read(|shelf| {
                    let page = shelf.pages.station(r.as_str());
                    page.map(|p| p.sightings().iter().map(|l| l.record().clone()).collect())
                        .unwrap_or_default()
                })
            })
            .unwrap_or_else(Vec::<RecordId>::new)
    });
    let wanting_back = Memo::new(move |_| {
        record
            .get()
            .map(|r| {
                tablet.read(|shelf| {
                    sighted::wanting_back(shelf, r.as_str())
                        .into_iter()
                        .filter_map(|from| {
                            let number = shelf.pages.station(&from)?.line().number();
                            Some((from, number))
                        })
                        .collect::<Vec<_>>()
                })
            })
            .unwrap_or_default()
    });
    let contested = Memo::new(move |_| {
        let record = record.get()?;
        tablet.read(|shelf| {
            let page = shelf.pages.station(record.as_str())?;
            page.line().is_contested().then(|| versions::path(&record))
        })
    });
    // A sighting that was being typed here when the page was left.
    let unfinished = Memo::new(move |_| {
        tablet.sighting().is_some_and(|o| {
            Some(o.sighting.station.as_str()) == record.get().as_ref().map(RecordId::as_str)
        }) && tablet.is_sighting_drafted()
    });
    let sight = move |to: Option<String>| {
        if let Some(record) = record.get_untracked() {
            tablet.open_sighting(record.as_str(), to.as_deref());
        }
    };
    let measure = move |_| {
        if let Some(record) = record.get_untracked() {
            tablet.stand_at(record.as_str());
        }
        tablet.go("/outcrop");
    };
    let words = move || {
        let s = station.get();
        let by = tablet.settings.with(|s| s.by.clone());
        let day = s.at.get(..10).map(day_words).unwrap_or_default();
        let time = s.at.get(11..16).unwrap_or_default().to_owned();
        [day, time, offset(&s.at), by]
            .into_iter()
            .filter(|w| !w.is_empty())
            .collect::<Vec<_>>()
            .join(" · ")
    };
    let fact = move |fact: Fact,
                     word: &'static str,
                     id: &'static str,
                     value: fn(&Station) -> (String, String)| {
        view! {
            <button class="plate fact" data-testid=id aria-expanded=move || (editing.get() == Some(fact)).to_string() on:click=move |_| editing.update(|e| *e = if *e == Some(fact) { None } else { Some(fact) })>
                <span class="word">{word}</span>
                <b>{move || { let (value, _) = value(&station.get()); if value.is_empty() { "not yet".to_owned() } else { value } }}</b>
                {move || { let (_, more) = value(&station.get()); (!more.is_empty()).then(|| view! { <span class="small">{more}</span> }) }}
            </button>
        }
    };
    view! {
        <main class="room station" data-testid="station">
            {move || if record.get().is_none() {
                view! {
                    <div class="nothing">
                        <h1>{move || match (number.get(), tablet.loading.get()) {
                            (_, Some(_)) => "Reading the book …".to_owned(),
                            (Some(n), _) => format!("There is no station {n} in this book"),
                            (None, _) => "A station has a number".to_owned(),
                        }}</h1>
                    </div>
                }.into_any()
            } else {
                view! {
                    <div class="top">
                        <span class="no" data-testid="station-number">{move || station.get().number}</span>
                        <span class="what">
                            <h1>{move || { let s = station.get(); if s.name.is_empty() { format!("Station {}", s.number) } else { s.name } }}</h1>
                            <span>{words}</span>
                        </span>
                        {move || others.get().0.map(|n| view! {
                            <button class="plate" data-testid="station-before" on:click=move |_| tablet.go(&format!("/station/{n}"))>{format!("← {n}").replace('←', "to ")}</button>
                        })}
                        {move || others.get().1.map(|n| view! {
                            <button class="plate" data-testid="station-after" on:click=move |_| tablet.go(&format!("/station/{n}"))>{format!("to {n}")}</button>
                        })}
                    </div>
                    <div class="where">
                        <div class="fix" aria-hidden="true" inner_html=move || fix(station.get().position.and_then(|p| p.accuracy_m))></div>
                        <div class="facts">
                            {fact(Fact::Position, "position", "fact-position", |s| position_words(s.position.as_ref()))}
                            {fact(Fact::Unit, "unit", "fact-unit", |s| (s.unit.clone(), String::new()))}
                            {fact(Fact::Lithology, "lithology", "fact-lithology", |s| (s.lithology.clone(), String::new()))}
                            {fact(Fact::Name, "name", "fact-name", |s| (s.name.clone(), String::new()))}
                        </div>
                    </div>
                    {move || {
                        let record = record.get_untracked()?;
                        let now = station.get_untracked();
                        let done = Callback::new(move |()| editing.set(None));
                        let record = record.as_str().to_owned();
                        let fact = editing.get()?;
                        let field = fact.field(&record);
                        Some(match fact {
                            Fact::Position => view! { <PositionEditor field=field record=record now=now.position done=done/> }.into_any(),
                            Fact::Name => view! { <WordEditor field=field record=record word="Name of the station" text=now.name long=false set=|s, t| s.name = t done=done/> }.into_any(),
                            Fact::Unit => view! { <WordEditor field=field record=record word="Mapped unit" text=now.unit long=false set=|s, t| s.unit = t done=done/> }.into_any(),
                            Fact::Lithology => view! { <WordEditor field=field record=record word="Lithology" text=now.lithology long=false set=|s, t| s.lithology = t done=done/> }.into_any(),
                            Fact::Note => view! { <WordEditor field=field record=record word="Note" text=now.note long=true set=|s, t| s.note = t done=done/> }.into_any(),
                        })
                    }}
                    <h2>"Readings"</h2>
                    {move || readings.with(Vec::is_empty).then(|| view! { <p class="soft">"None yet."</p> })}
                    <For each=move || readings.get() key=|r| r.as_str().to_owned() let:record>
                        <BookLine record=record/>
                    </For>
                    {move || (!sightings.with(Vec::is_empty) || !wanting_back.with(Vec::is_empty) || unfinished.get()).then(|| view! { <h2>"Sightings"</h2> })}
                    <For each=move || sightings.get() key=|r| r.as_str().to_owned() let:record>
                        <SightingLine record=record/>
                    </For>
                    <div class="row offers">
                        {move || unfinished.get().then(|| view! {
                            <button class="plate" data-testid="sighting-go-on" on:click=move |_| tablet.go("/sighting")>"Go on with the sighting that is not finished"</button>
                        })}
                        {move || wanting_back.get().into_iter().map(|(from, number)| view! {
                            <button class="plate" data-testid=format!("back-to-{number}") on:click=move |_| sight(Some(from.clone()))>{format!("Sight back to {number}")}</button>
                        }).collect_view()}
                    </div>
                    <div class="row offers">
                        {move || record.get().map(|record| view! { <HistoryPlate record=record/> })}
                        {move || contested.get().map(|path| view! {
                            <button class="plate" data-testid="settle-open" on:click=move |_| tablet.go(&path)>
                                <span aria-hidden="true" inner_html=doubt_sign("?", true)></span>"Settle what two people changed"
                            </button>
                        })}
                    </div>
                    {move || { let note = station.get().note; (!note.is_empty()).then(|| view! { <h2>"Notes"</h2><p class="words">{note}</p> }) }}
                    <PhotosOf station=record/>
                }.into_any()
            }}
        </main>
        <div class="foot five" role="region" aria-label="at this station">
            <button class="plate" data-testid="station-note" aria-expanded=move || (editing.get() == Some(Fact::Note)).to_string() disabled=move || record.get().is_none() on:click=move |_| editing.update(|e| *e = if *e == Some(Fact::Note) { None } else { Some(Fact::Note) })>
                <span aria-hidden="true" inner_html=icon(Icon::Note)></span>"Note"
            </button>
            <PhotoKey class="plate" id="photo" station=Signal::derive(move || record.get().map(|r| r.as_str().to_owned()))/>
            <button class="plate" data-testid="new-sighting" disabled=move || record.get().is_none() on:click=move |_| sight(None)>
                <span aria-hidden="true" inner_html=icon(Icon::Sighting)></span>"Sighting"
            </button>
            <button class="plate" data-testid="new-station" on:click=move |_| tablet.new_station()>
                <span aria-hidden="true" inner_html=icon(Icon::Place)></span>"New station"
            </button>
            <button class="plate go" data-testid="measure" disabled=move || record.get().is_none() on:click=measure>
                <span aria-hidden="true" inner_html=icon(Icon::Outcrop)></span>"Measure"
            </button>
        </div>
    }
}

/// A sighting as a line that opens.
#[component]
fn SightingLine(record: RecordId) -> impl IntoView {
    let tablet = Tablet::expect();
    let id = record.as_str().to_owned();
    let line = Memo::new(move |_| tablet.read(|shelf| sighted::Line::of(shelf, record.as_str())));
    move || {
        let line = line.get()?;
        let id = id.clone();
        let drawn = line
            .bearing_deg
            .map(|deg| line_symbol(deg, None, false, line.struck))
            .unwrap_or_default();
        Some(view! {
            <button
                class="line sighted"
                data-testid=format!("sighting-{}-{}", line.station, line.number)
                data-state=line.state()
                data-value=line.value.clone()
                on:click=move |_| tablet.reopen_sighting(&id)
            >
                <span class="hidden-words">{line.spoken()}</span>
                <span class="no" aria-hidden="true">{format!("S{}", line.number)}</span>
                <span aria-hidden="true" inner_html=drawn></span>
                <span class="kind" aria-hidden="true">{line.to.clone()}</span>
                <span class="value" aria-hidden="true">{line.value.clone()}</span>
                <span class="detail" aria-hidden="true">{line.detail.clone()}</span>
                {line.doubted.then(|| view! { <span class="sign" aria-hidden="true" inner_html=doubt_sign("?", true)></span> })}
            </button>
        })
    }
}

/// A field of words with its own *Keep*.
#[component]
fn WordEditor(
    field: String,
    record: String,
    word: &'static str,
    text: String,
    long: bool,
    set: fn(&mut Station, String),
    done: Callback<()>,
) -> impl IntoView {
    let tablet = Tablet::expect();
    let typed = RwSignal::new(tablet.drafted_words(&field).unwrap_or(text));
    let record = StoredValue::new(record);
    let field = StoredValue::new(field);
    let write = move |text: String| {
        typed.set(text.clone());
        tablet.draft_words(&field.get_value(), &text);
    };
    let leave = move || {
        tablet.end_words(&field.get_value());
        done.run(());
    };
    let keep = move || {
        let text = typed.get_untracked().trim().to_owned();
        tablet.change_station(&record.get_value(), |s| set(s, text));
        leave();
    };
    view! {
        <form class="editor" on:submit=move |e| { e.prevent_default(); keep(); }>
            <label>
                <span class="soft small">{word}</span>
                {if long {
                    view! { <textarea data-testid="word-field" prop:value=typed on:input=move |e| write(event_target_value(&e))></textarea> }.into_any()
                } else {
                    view! { <input data-testid="word-field" autocomplete="off" prop:value=typed on:input=move |e| write(event_target_value(&e))/> }.into_any()
                }}
            </label>
            <div class="row">
                <button class="plate on" type="submit" data-testid="word-keep">"Keep"</button>
                <button class="plate" type="button" data-testid="word-leave" on:click=move |_| leave()>"Leave it"</button>
            </div>
        </form>
    }
}

fn position_words(position: Option<&Position>) -> (String, String) {
    let Some(p) = position else {
        return (String::new(), "from the device, or typed".to_owned());
    };
    let side = |value: f64, positive: char, negative: char| {
        format!(
            "{:.5}° {}",
            value.abs(),
            if value < 0.0 { negative } else { positive }
        )
    };
    let mut more = vec![match p.source.as_str() {
        "device" => "device".to_owned(),
        other => other.to_owned(),
    }];
    if let Some(accuracy) = p.accuracy_m {
        more.push(format!("±{accuracy:.0} m"));
    }
    if let Some(height) = p.height_m {
        more.push(format!("height {height:.0} m"));
    }
    (
        format!(
            "{}  {}",
            side(p.latitude, 'N', 'S'),
            side(p.longitude, 'E', 'W')
        ),
        more.join(" · "),
    )
}

/// The clock's offset as it was written, where it was not UTC's.
fn offset(at: &str) -> String {
    let zone = at.get(19..).unwrap_or_default();
    let sign = zone.rfind(['+', '-']).and_then(|i| zone.get(i..));
    match sign {
        Some(zone) if zone != "+00:00" => format!("UTC{zone}"),
        _ => String::new(),
    }
}
