//! The set-ups of the book: their list in Camp, the page of each, and what that page is made of.

use leptos::prelude::*;
use leptos_router::hooks::use_params_map;

use crate::app::camp::own::OwnScaleRows;
use crate::app::camp::setting::{
    Doubtful, KINDS, MEASURES, Measure, Model, Typed, doubts, draft, measured, model_at,
    set_up_words,
};
use crate::app::drawing::{Icon, doubt_sign, icon};
use crate::app::history::page::HistoryPlate;
use crate::app::parts::clock;
use crate::app::parts::tablet::Tablet;
use crate::app::written::declination_words;
use crate::notebook::{Body, Position, RecordId, SetUp, Station};
use crate::orientation::{Card, DoubtKind, Instrument, Numbers};

/// The set-ups of the book: which is in use, and a plate to change each.
#[component]
pub(in crate::app) fn SetUpList() -> impl IntoView {
    let tablet = Tablet::expect();
    let all = Memo::new(move |_| {
        tablet.read(|shelf| {
            shelf
                .set_ups()
                .filter_map(|line| Some((line.record().clone(), line.set_up()?.clone())))
                .collect::<Vec<(RecordId, SetUp)>>()
        })
    });
    let struck = Memo::new(move |_| {
        tablet.read(|shelf| {
            shelf
                .struck_set_ups()
                .filter_map(|line| Some((line.record().clone(), line.set_up()?.clone())))
                .collect::<Vec<(RecordId, SetUp)>>()
        })
    });
    let in_use = Memo::new(move |_| tablet.set_up().map(|(id, _)| id));
    let place = Memo::new(move |_| placed(tablet).and_then(|station| station.position));
    let today = clock::now();
    let is_doubted = move |set_up: &SetUp| {
        let doubts = place.with(|place| doubts(set_up, place.as_ref(), &today));
        doubts.iter().any(|doubt| doubt.doubted)
    };
    let row = move |(nth, (id, set_up)): (usize, (RecordId, SetUp))| {
        let used = in_use.get().as_ref() == Some(&id);
        // The one in use has the plain names; of the others each has its place in the list.
        let named = |name: &str| match used {
            true => name.to_owned(),
            false => format!("{name}-{}", nth + 1),
        };
        let path = format!("/camp/set-up/{id}");
        let name = called(&set_up);
        let (change_label, use_label) = (format!("Change {name}"), format!("Use {name}"));
        view! {
            <div class="item" data-next data-testid=format!("set-up-{}", nth + 1)>
                <span class="icon" aria-hidden="true" inner_html=icon(Icon::Setup)></span>
                <div class="what">
                    <b>{name}{used.then_some(" · in use")}</b>
                    <span data-testid=named("set-up-words")>{set_up_words(&set_up)}</span>
                </div>
                {is_doubted(&set_up).then(|| view! { <span class="icon" aria-hidden="true" inner_html=doubt_sign("?", true)></span><span class="hidden-words">"with a doubt"</span> })}
                {(!used).then(|| view! {
                    <button class="plate" data-testid=named("set-up-use") aria-label=use_label on:click=move |_| tablet.use_set_up(id.as_str())>"Use"</button>
                })}
                <button class="plate" data-testid=named("set-up-change") aria-label=change_label on:click=move |_| tablet.go(&path)>"Change"</button>
            </div>
        }
    };
    let struck_row = move |(nth, (id, set_up)): (usize, (RecordId, SetUp))| {
        let name = called(&set_up);
        let label = format!("Put back {name}");
        view! {
            <div class="item" data-testid=format!("set-up-struck-{}", nth + 1)>
                <span class="icon" aria-hidden="true" inner_html=icon(Icon::Setup)></span>
                <div class="what">
                    <b><s>{name}</s>" · struck out"</b>
                    <span>{set_up_words(&set_up)}</span>
                </div>
                <button class="plate" data-testid=format!("set-up-put-back-{}", nth + 1) aria-label=label on:click=move |_| tablet.put_back_set_up(id.as_str())>"Put back"</button>
            </div>
        }
    };
    view! {
        {move || all.get().into_iter().enumerate().map(&row).collect_view()}
        {move || struck.get().into_iter().enumerate().map(struck_row).collect_view()}
        <div class="item">
            <button class="plate" data-testid="set-up-new" on:click=move |_| {
                if let Some(record) = tablet.new_set_up() {
                    tablet.go(&format!("/camp/set-up/{record}"));
                }
            }>"New set-up"</button>
            <div class="what"><span>"another instrument, or the same one set otherwise"</span></div>
        </div>
    }
}

/// What a set-up is called.
fn called(set_up: &SetUp) -> String {
    if set_up.name.is_empty() {
        "Transit".to_owned()
    } else {
        set_up.name.clone()
    }
}

/// One plate of a row of plates of which one is on.
pub(super) fn plate(
    id: &'static str,
    word: &'static str,
    on: Signal<bool>,
    act: Callback<()>,
) -> AnyView {
    view! {
        <button class="plate" data-testid=id aria-pressed=move || on.get().to_string() on:click=move |_| act.run(())>{word}</button>
    }
    .into_any()
}

/// The set-up that a page is about.
#[derive(Clone, Copy)]
pub(in crate::app) struct OnPage {
    tablet: Tablet,
    record: StoredValue<String>,
    pub(super) set_up: Memo<SetUp>,
}

impl OnPage {
    /// Its record.
    pub(super) fn record(self) -> String {
        self.record.get_value()
    }

    /// What it is called.
    pub(super) fn name(self) -> String {
        self.set_up.with(called)
    }

    /// The field under which its north and declination are drafted.
    pub(super) fn field(self) -> String {
        format!("declination/{}", self.record())
    }

    /// The address of one of its pages.
    pub(super) fn path(self, page: &str) -> String {
        format!("/camp/set-up/{}{page}", self.record())
    }

    /// Changes it.
    pub(super) fn change(self, change: impl FnOnce(&mut SetUp)) {
        self.tablet.change_set_up(&self.record(), change);
    }

    /// A row of plates, of which the one that holds is on.
    fn seg(self, label: &'static str, plates: &[Choice]) -> AnyView {
        let plates = plates
            .iter()
            .map(|&(id, word, is, set)| {
                plate(
                    id,
                    word,
                    Signal::derive(move || self.set_up.with(is)),
                    Callback::new(move |()| self.change(set)),
                )
            })
            .collect_view();
        view! {
            <span>{label}</span>
            <div class="seg" role="group" aria-label=label>{plates}</div>
        }
        .into_any()
    }

    /// Which way the numbers of its circle run.
    pub(super) fn numbers_row(self) -> AnyView {
        self.seg(
            "Circle's numbers run",
            &[
                (
                    "numbers-counter",
                    "counter-clockwise",
                    |s| !OnPage::clockwise(s),
                    |s| s.numbers = Numbers::CounterClockwise,
                ),
                ("numbers-clockwise", "clockwise", OnPage::clockwise, |s| {
                    s.numbers = Numbers::Clockwise
                }),
            ],
        )
    }

    /// The finest division that is read.
    pub(super) fn resolution_row(self) -> AnyView {
        self.seg(
            "Reads to",
            &[
                (
                    "reads-1",
                    "whole degrees",
                    |s| s.resolution == "1",
                    |s| "1".clone_into(&mut s.resolution),
                ),
                (
                    "reads-half",
                    "halves",
                    |s| s.resolution == "0.5",
                    |s| "0.5".clone_into(&mut s.resolution),
                ),
                (
                    "reads-quarter",
                    "quarters",
                    |s| s.resolution == "0.25",
                    |s| "0.25".clone_into(&mut s.resolution),
                ),
            ],
        )
    }

    /// The numbers of its circle run clockwise.
    pub(super) fn clockwise(set_up: &SetUp) -> bool {
        set_up.numbers == Numbers::Clockwise
    }

    /// When its declination was set.
    pub(super) fn set_at(set_up: &SetUp) -> Option<String> {
        set_up.declination_at.clone()
    }

    /// Notes when the declination was set, and whether it is what the model offered.
    pub(super) fn date(set_up: &mut SetUp, at: String, offered: Option<String>) {
        let from = match &set_up.declination {
            Some(_) if set_up.declination == offered => Some("model"),
            Some(_) => Some("typed"),
            None => None,
        };
        set_up.declination_at = from.map(|_| at);
        set_up.declination_from = from.map(str::to_owned);
    }

    /// The model's declination at the place of the book and on this day, or why there is none.
    pub(super) fn model(self) -> Memo<Result<Model, String>> {
        let tablet = self.tablet;
        let today = clock::now();
        Memo::new(move |_| model_at(placed(tablet).as_ref(), &today))
    }

    /// The place at which the declination is asked for.
    pub(super) fn place(self) -> Memo<Option<Position>> {
        let tablet = self.tablet;
        Memo::new(move |_| placed(tablet).and_then(|station| station.position))
    }

    /// Where no place is known: a plate to the station that can get one.
    pub(super) fn to_a_place(self) -> AnyView {
        let tablet = self.tablet;
        let number = tablet.settings.with(|s| s.here.as_ref().map(|h| h.number));
        let (words, path) = match number {
            Some(number) => (
                format!("Give station {number} its position"),
                format!("/station/{number}"),
            ),
            None => ("To the outcrop".to_owned(), "/outcrop".to_owned()),
        };
        view! { <button class="plate" data-testid="model-place" on:click=move |_| tablet.go(&path)>{words}</button> }.into_any()
    }
}

/// The station in use, or the last one, whose place is known.
fn placed(tablet: Tablet) -> Option<Station> {
    let here = tablet
        .settings
        .with(|s| s.here.as_ref().map(|h| h.record.clone()));
    tablet.read(|shelf| shelf.placed_station(here.as_deref()))
}

/// A plate of a row: its name, its word, when it is on, and what it sets.
type Choice = (
    &'static str,
    &'static str,
    fn(&SetUp) -> bool,
    fn(&mut SetUp),
);

/// A page about one set-up, drawn once the set-up is there.
#[component]
pub(super) fn SetUpPage(body: fn(OnPage) -> AnyView) -> impl IntoView {
    let tablet = Tablet::expect();
    let params = use_params_map();
    let of = move |shelf: &crate::app::shelf::Shelf, record: &str| match shelf.body(record) {
        Some(Body::SetUp(set_up)) => Some(set_up),
        _ => None,
    };
    let record = Memo::new(move |_| {
        let record = params.with(|p| p.get("record"))?;
        tablet.read(|shelf| of(shelf, &record)).map(|_| record)
    });
    move || match record.get() {
        Some(record) => {
            let id = record.clone();
            let set_up =
                Memo::new(move |_| tablet.read(|shelf| of(shelf, &id)).unwrap_or_default());
            body(OnPage {
                tablet,
                record: StoredValue::new(record),
                set_up,
            })
        }
        None => view! {
            <main class="room">
                <h1>{move || match tablet.loading.get() {
                    Some(_) => "Reading the book …",
                    None => "There is no such set-up in this book",
                }}</h1>
                <button class="plate" on:click=move |_| tablet.go("/camp")>"Camp"</button>
            </main>
        }
        .into_any(),
    }
}

/// Our own keys for a number with a point; `b` stands for back.
#[component]
pub(in crate::app) fn Keys(prefix: &'static str, push: Callback<char>) -> impl IntoView {
    view! {
        <div class="pad-small">
            {['1', '2', '3', '4', '5', '6', '7', '8', '9', '0', '.'].map(|c| view! {
                <button class="key digit" data-testid=format!("{prefix}-key-{c}") on:click=move |_| push.run(c)>{c.to_string()}</button>
            }).collect_view()}
            <button class="key" data-testid=format!("{prefix}-back") on:click=move |_| push.run('b')>"back"</button>
        </div>
    }
}

/// The page of one set-up: which instrument it is, how it is graduated, how well it reads.
#[component]
pub(in crate::app) fn InstrumentPage() -> impl IntoView {
    view! { <SetUpPage body=|page| view! { <TheInstrument page=page/> }.into_any()/> }
}

#[component]
fn TheInstrument(page: OnPage) -> impl IntoView {
    let tablet = page.tablet;
    let field = format!("{}/name", page.record());
    let name = RwSignal::new(
        tablet
            .drafted_words(&field)
            .unwrap_or_else(|| page.set_up.with_untracked(|s| s.name.clone())),
    );
    let field = StoredValue::new(field);
    let used = Memo::new(move |_| {
        let record = page.record();
        tablet.set_up().is_some_and(|(id, _)| id.as_str() == record)
    });
    let own = Memo::new(move |_| page.set_up.with(|s| s.instrument == Instrument::Own));
    let kind = |&(value, id, head, words): &(
        Instrument,
        &'static str,
        &'static str,
        &'static str,
    )| {
        view! {
            <button class="plate kind" data-testid=id aria-pressed=move || page.set_up.with(|s| s.instrument == value).to_string()
                on:click=move |_| page.change(|s| s.instrument = value)>
                <b>{head}</b><span>{words}</span>
            </button>
        }
    };
    view! {
        <main class="room setting" data-testid="set-up-page">
            <div class="title">
                <div class="what">
                    <h1>{move || page.name()}</h1>
                    <p class="soft small" data-testid="set-up-state">{move || if used.get() { "in use: readings take it" } else { "not in use" }}</p>
                </div>
                {move || (!used.get()).then(|| view! {
                    <button class="plate on" data-testid="set-up-use" on:click=move |_| tablet.use_set_up(&page.record())>"Use it"</button>
                    <button class="plate" data-testid="set-up-strike" aria-label=move || format!("Strike out {}", page.name()) on:click=move |_| {
                        tablet.strike_out_set_up(&page.record());
                        tablet.go("/camp");
                    }>"Strike out"</button>
                })}
                <button class="plate" data-testid="set-up-back" aria-label="Camp" on:click=move |_| tablet.go("/camp")>
                    <span class="turned" aria-hidden="true" inner_html=icon(Icon::Arrow)></span><span class="word">"Camp"</span>
                </button>
            </div>
            <div class="rows wide">
                <SetUpDoubts page=page/>
                <span>"Declination"</span>
                <div class="line-of">
                    <p data-testid="set-up-words">{move || page.set_up.with(set_up_words)}</p>
                    <button class="plate" data-testid="set-up-declination" on:click=move |_| tablet.go(&page.path("/declination"))>"Set it"</button>
                </div>
                <span>"Set wrongly?"</span>
                <div class="line-of">
                    <p class="soft small">"Readings that are kept stay as they were read. Where the declination was wrong, the readings can be put right together."</p>
                    <button class="plate" data-testid="set-up-wrong" on:click=move |_| tablet.go(&page.path("/set-wrongly"))>"It was set wrongly"</button>
                </div>
                <span>"Instrument"</span>
                <div class="kinds-of" role="group" aria-label="instrument">{KINDS.iter().map(kind).collect_view()}</div>
                {move || own.get().then(|| view! {
                    <span class="top-of">"Its scales"</span>
                    <OwnScaleRows page=page/>
                })}
                <label for="set-up-name">"Called"</label>
                <input id="set-up-name" class="words-field" data-testid="set-up-name" autocomplete="off" prop:value=name
                    on:input=move |e| { name.set(event_target_value(&e)); tablet.draft_words(&field.get_value(), &event_target_value(&e)); }
                    on:change=move |_| {
                        page.change(|s| name.get_untracked().trim().clone_into(&mut s.name));
                        tablet.end_words(&field.get_value());
                    }/>
                {page.seg("Card", &[
                    ("card-azimuth", "azimuths, 0 to 360", |s| s.card == Card::Azimuth, |s| s.card = Card::Azimuth),
                    ("card-quadrant", "quadrants, N45E", |s| s.card == Card::Quadrant, |s| s.card = Card::Quadrant),
                ])}
                {page.numbers_row()}
                {page.resolution_row()}
                <span>"How well it reads"</span>
                <Measures page=page/>
                <span>"What it was"</span>
                <div class="line-of">
                    <p class="soft small">"Every change of this set-up, who made it and when."</p>
                    <HistoryPlate record=RecordId::from(page.record())/>
                </div>
            </div>
        </main>
    }
}

/// Needle, inclination, placement and the width of the index: what holds, and where it comes from.
#[component]
fn Measures(page: OnPage) -> impl IntoView {
    let tablet = page.tablet;
    let field = move |nth: usize| format!("{}/{}", page.record(), MEASURES[nth].id);
    let drafted = (0..MEASURES.len()).find(|&nth| tablet.drafted_words(&field(nth)).is_some());
    let open = RwSignal::new(drafted);
    let text = RwSignal::new(
        drafted
            .and_then(|nth| tablet.drafted_words(&field(nth)))
            .unwrap_or_default(),
    );
    let leave = move |nth: usize| {
        tablet.end_words(&field(nth));
        open.set(None);
    };
    let touch = move |nth: usize| {
        if let Some(before) = open.get_untracked() {
            leave(before);
            if before == nth {
                return;
            }
        }
        let now = page
            .set_up
            .with_untracked(|s| (MEASURES[nth].get)(s).clone());
        text.set(now.unwrap_or_default());
        open.set(Some(nth));
    };
    let put = move |nth: usize, value: Option<String>| {
        page.change(|s| (MEASURES[nth].put)(s, value));
        leave(nth);
    };
    let fact = move |(nth, measure): (usize, &'static Measure)| {
        view! {
            <button class="plate fact" data-testid=measure.id aria-expanded=move || (open.get() == Some(nth)).to_string() on:click=move |_| touch(nth)>
                <span class="word">{measure.word}</span>
                <b>{move || page.set_up.with(|s| measure.words(s))}</b>
            </button>
        }
    };
    view! {
        <div>
            <div class="facts">{MEASURES.iter().enumerate().map(fact).collect_view()}</div>
            {move || open.get().map(|nth| {
                let measure = &MEASURES[nth];
                let push = Callback::new(move |c: char| {
                    text.update(|t| match c {
                        'b' => { t.pop(); }
                        '.' if t.contains('.') => {}
                        c if t.len() < 5 => t.push(c),
                        _ => {}
                    });
                    tablet.draft_words(&field(nth), &text.get_untracked());
                });
                let trouble = Memo::new(move |_| text.with(|t| measured(t)).err());
                view! {
                    <div class="editor" data-testid="measure-editor">
                        <p>{measure.source}</p>
                        <output class="typed here" data-testid="measure-typed">{move || text.with(|t| if t.is_empty() { "–".to_owned() } else { format!("{t}°") })}</output>
                        <Keys prefix="measure" push=push/>
                        <p role="status">{move || trouble.get().unwrap_or_default()}</p>
                        <div class="row">
                            <button class="plate on" data-testid="measure-keep" disabled=move || trouble.get().is_some() on:click=move |_| put(nth, Some(text.get_untracked()))>"Keep"</button>
                            <button class="plate" data-testid="measure-default" on:click=move |_| put(nth, None)>{move || page.set_up.with(|s| measure.without(s))}</button>
                            <button class="plate" data-testid="measure-leave" on:click=move |_| leave(nth)>"Leave it"</button>
                        </div>
                    </div>
                }
            })}
        </div>
    }
}

/// What is doubtful about a set-up, in words, with one tap to mend it.
pub(super) fn found(doubts: Vec<Doubtful>, mend: Callback<Option<String>>) -> AnyView {
    let one = |doubt: Doubtful| {
        let way = match (doubt.right, doubt.kind) {
            (Some(text), _) => Some((format!("Set {}", declination_words(&text)), Some(text))),
            (None, DoubtKind::ModelOutOfDate | DoubtKind::CompassUnreliable) => None,
            (None, _) => Some(("Set it".to_owned(), None)),
        };
        let name = format!("{:?}", doubt.kind);
        view! {
            <div class="found whole" role="status" data-testid="set-up-doubt" data-doubt=name>
                {doubt.doubted.then(|| view! { <span aria-hidden="true" inner_html=doubt_sign("?", true)></span><span class="hidden-words">"doubt: "</span> })}
                <p>{doubt.words}</p>
                {way.map(|(words, text)| view! {
                    <button class="plate" data-testid="set-up-mend" on:click=move |_| mend.run(text.clone())>{words}</button>
                })}
            </div>
        }
    };
    doubts.into_iter().map(one).collect_view().into_any()
}

/// What is doubtful about the set-up as it stands; a tap turns to the drawing, with what would mend it.
#[component]
pub(super) fn SetUpDoubts(page: OnPage) -> impl IntoView {
    let tablet = page.tablet;
    let place = page.place();
    let today = clock::now();
    let doubts = Memo::new(move |_| {
        place.with(|place| page.set_up.with(|s| doubts(s, place.as_ref(), &today)))
    });
    let mend = Callback::new(move |right: Option<String>| {
        if let Some(right) = right {
            let north = page.set_up.with_untracked(|s| s.north);
            tablet.draft_words(&page.field(), &draft(north, &Typed::of(Some(&right))));
        }
        tablet.go(&page.path("/declination"));
    });
    move || found(doubts.get(), mend)
}
