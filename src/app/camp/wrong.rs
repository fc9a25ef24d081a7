//! Readings whose north was set wrongly, put right together: nothing is written before the person has seen what changes.

use leptos::prelude::*;

use crate::app::camp::put_right::{self, Example, Span, Stood};
use crate::app::camp::set_up::{Keys, OnPage, SetUpPage, plate};
use crate::app::camp::setting::Typed;
use crate::app::drawing::{Icon, icon};
use crate::app::parts::line::value;
use crate::app::parts::tablet::Tablet;
use crate::app::written::{day_words, declination_words};

/// Reasons that are chosen with one tap.
const REASONS: [(&str, &str); 3] = [
    ("why-side", "the declination was set to the wrong side"),
    ("why-forgotten", "the declination was never set"),
    ("why-elsewhere", "the declination was that of another place"),
];

/// Which number the keys go to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Here {
    Declination,
    From,
    To,
}

/// What the page shows of the readings that are meant.
#[derive(Clone, Debug, PartialEq)]
struct Meant {
    count: String,
    were: Vec<(String, usize)>,
    altered: usize,
    example: Option<Example>,
}

/// The page on which readings are put right.
#[component]
pub(in crate::app) fn WrongPage() -> impl IntoView {
    view! { <SetUpPage body=|page| view! { <Wrong page=page/> }.into_any()/> }
}

#[component]
fn Wrong(page: OnPage) -> impl IntoView {
    let tablet = Tablet::expect();
    let span = RwSignal::new(Span::All);
    let stood = RwSignal::new(Stood::AsWritten);
    let typed = RwSignal::new(Typed::of(
        page.set_up
            .with_untracked(|s| s.declination.clone())
            .as_deref(),
    ));
    let here = RwSignal::new(None::<Here>);
    let why_field = StoredValue::new(format!("why/{}", page.record()));
    let why = RwSignal::new(
        tablet
            .drafted_words(&why_field.get_value())
            .unwrap_or_default(),
    );
    let report = RwSignal::new(None::<String>);
    let days =
        Memo::new(move |_| tablet.read(|shelf| put_right::days(&shelf.pages, &page.record())));
    let change = Memo::new(move |_| {
        let right = typed.with(Typed::text);
        put_right::change(stood.get(), right, &why.get())
    });
    let meant = Memo::new(move |_| {
        let notation = tablet.settings.with(|s| s.notation);
        let (set_up, days) = (page.set_up.get(), days.get());
        tablet.read(|shelf| {
            let lines = span.with(|span| span.lines(&shelf.pages, &page.record(), &days));
            change.with(|change| Meant {
                count: put_right::count_words(&lines),
                were: put_right::were(&lines),
                altered: put_right::altered(&lines, change),
                example: put_right::example(&shelf.pages, &lines, &set_up, change, notation),
            })
        })
    });
    let spans = move |id: &'static str,
                      word: &'static str,
                      is: fn(&Span) -> bool,
                      make: fn(usize) -> Span| {
        plate(
            id,
            word,
            Signal::derive(move || span.with(is)),
            Callback::new(move |()| {
                let last = days.with(Vec::len).saturating_sub(1);
                span.set(make(last));
                here.set(None);
            }),
        )
    };
    let stands = move |id: &'static str, word: &'static str, it: Stood| {
        plate(
            id,
            word,
            Signal::derive(move || stood.get() == it),
            Callback::new(move |()| stood.set(it)),
        )
    };
    // Steps through the days, never past each other.
    let day_row = move |word: &'static str, id: &'static str, first: bool| {
        let at = move || match span.get() {
            Span::Days(from, to) => {
                if first {
                    from
                } else {
                    to
                }
            }
            _ => 0,
        };
        let step = move |on: bool| {
            let last = days.with_untracked(Vec::len).saturating_sub(1);
            span.update(|s| {
                if let Span::Days(from, to) = s {
                    let moved = if first { &mut *from } else { &mut *to };
                    *moved = if on {
                        (*moved + 1).min(last)
                    } else {
                        moved.saturating_sub(1)
                    };
                    if first {
                        *to = (*to).max(*from)
                    } else {
                        *from = (*from).min(*to)
                    }
                }
            });
        };
        view! {
            <span>{word}</span>
            <div class="line-of">
                <button class="plate" data-testid=format!("{id}-earlier") aria-label=format!("{word} an earlier day") on:click=move |_| step(false)>"earlier"</button>
                <p class="day" data-testid=id>{move || days.with(|d| d.get(at()).map(|d| day_words(d)).unwrap_or_default())}</p>
                <button class="plate" data-testid=format!("{id}-later") aria-label=format!("{word} a later day") on:click=move |_| step(true)>"later"</button>
            </div>
        }
    };
    let push = Callback::new(move |c: char| {
        let onto = |text: &mut String| match c {
            'b' => {
                text.pop();
            }
            '.' => {}
            c if text.len() < 5 => text.push(c),
            _ => {}
        };
        match here.get_untracked() {
            Some(Here::Declination) => typed.update(|t| match c {
                'b' => {
                    t.digits.pop();
                }
                c => t.push(c),
            }),
            Some(end) => span.update(|s| {
                if let Span::Stations(from, to) = s {
                    onto(if end == Here::From { from } else { to });
                }
            }),
            None => {}
        }
    });
    let touch = move |it: Here| here.update(|h| *h = if *h == Some(it) { None } else { Some(it) });
    let station = move |word: &'static str, id: &'static str, end: Here| {
        let text = move || {
            span.with(|s| match s {
                Span::Stations(from, to) => {
                    if end == Here::From {
                        from.clone()
                    } else {
                        to.clone()
                    }
                }
                _ => String::new(),
            })
        };
        let shown = move || {
            let text = text();
            if text.is_empty() {
                if end == Here::From {
                    "the first".to_owned()
                } else {
                    "the last".to_owned()
                }
            } else {
                text
            }
        };
        view! {
            <button class="typed" data-testid=id class:here=move || here.get() == Some(end) on:click=move |_| touch(end)>
                <span class="small">{word}</span><span class="hidden-words">" station "</span>{shown}
            </button>
        }
    };
    let side = move |west: bool, id: &'static str| {
        view! {
            <button class="plate" data-testid=id aria-pressed=move || typed.with(|t| t.west == west).to_string() on:click=move |_| typed.update(|t| t.west = west)>
                {move || typed.with(|t| t.side_words(west))}
            </button>
        }
    };
    let model = page.model();
    let offered = Memo::new(move |_| {
        model.with(|m| {
            m.as_ref()
                .ok()
                .map(|m| format!("{}", (m.deg * 2.0).round() / 2.0))
        })
    });
    let say = move |text: String| {
        tablet.draft_words(&why_field.get_value(), &text);
        why.set(text);
    };
    let trouble = Memo::new(move |_| {
        let meant = meant.get();
        if typed.with(Typed::is_over) {
            return Some(format!(
                "declination {} is over 180; take a digit off with back",
                typed.with(|t| t.digits.clone())
            ));
        }
        let silent =
            |were: &[(String, usize)]| were.iter().any(|(words, _)| words == put_right::NOT_SAID);
        if stood.get() == Stood::AsWritten && silent(&meant.were) {
            return Some(
                "say how the circle really stood: some of these readings do not say it".to_owned(),
            );
        }
        if typed.with(Typed::text).is_none() {
            return Some("type the declination that is right".to_owned());
        }
        if meant.altered == 0 {
            return Some("nothing would change".to_owned());
        }
        why.with(|w| w.trim().is_empty())
            .then(|| "say why, in a few words".to_owned())
    });
    let put = move |_| {
        let span = span.get_untracked();
        let days = days.get_untracked();
        let done = tablet.put_right(&change.get_untracked(), |pages| {
            span.lines(pages, &page.record(), &days)
        });
        tablet.end_words(&why_field.get_value());
        report.set(Some(match done {
            1 => "1 put right. Undo, in the head, takes it back.".to_owned(),
            n => format!("{n} put right. Undo, in the head, takes them all back at once."),
        }));
    };
    view! {
        <main class="room setting" data-testid="wrong-page">
            <div class="title">
                <div class="what">
                    <h1>{move || format!("{}: it was set wrongly", page.name())}</h1>
                    <p class="soft small">"Dials stay as they were read; every reading that is put right says why."</p>
                </div>
                <button class="plate" data-testid="set-up-back" aria-label="Set-up" on:click=move |_| tablet.go(&page.path(""))>
                    <span class="turned" aria-hidden="true" inner_html=icon(Icon::Arrow)></span><span class="word">"Set-up"</span>
                </button>
            </div>
            <div class="rows wide">
                <span>"Which readings"</span>
                <div class="seg" role="group" aria-label="which readings">
                    {spans("span-all", "all with it", |s| *s == Span::All, |_| Span::All)}
                    {spans("span-days", "by day", |s| matches!(s, Span::Days(..)), |last| Span::Days(0, last))}
                    {spans("span-stations", "by station", |s| matches!(s, Span::Stations(..)), |_| Span::Stations(String::new(), String::new()))}
                </div>
                {move || match span.with(|s| (matches!(s, Span::Days(..)), matches!(s, Span::Stations(..)))) {
                    (true, _) => view! { {day_row("from", "day-from", true)}{day_row("to", "day-to", false)} }.into_any(),
                    (_, true) => view! {
                        <span>"Stations"</span>
                        <div class="number-row">{station("from", "station-from", Here::From)}{station("to", "station-to", Here::To)}</div>
                        {move || matches!(here.get(), Some(Here::From | Here::To)).then(|| view! { <span></span><Keys prefix="wrong" push=push/> })}
                    }.into_any(),
                    _ => ().into_any(),
                }}
                <span>"They say"</span>
                <div role="status" data-testid="wrong-were">
                    <p><b data-testid="wrong-count">{move || meant.get().count}</b></p>
                    {move || meant.get().were.into_iter().map(|(words, n)| view! { <p class="soft small">{format!("{n} × {words}")}</p> }).collect_view()}
                </div>
                <span>"The circle really"</span>
                <div class="seg" role="group" aria-label="how the circle really stood">
                    {stands("stood-as-written", "stood as they say", Stood::AsWritten)}
                    {stands("stood-at-zero", "was left at 0", Stood::AtZero)}
                    {stands("stood-right", "was set right", Stood::Right)}
                </div>
                <span>"Right is"</span>
                <div class="number-row">
                    <button class="typed" data-testid="right-declination" class:here=move || here.get() == Some(Here::Declination)
                        on:click=move |_| touch(Here::Declination)>
                        <span class="hidden-words">"type the declination that is right, "</span>
                        {move || typed.with(|t| if t.digits.is_empty() { "type it".to_owned() } else { format!("{}°", t.digits) })}
                    </button>
                    {move || offered.get().map(|text| {
                        let words = format!("Model: {}", declination_words(&text));
                        view! { <button class="plate" data-testid="right-model" on:click=move |_| { typed.set(Typed::of(Some(&text))); here.set(None); }>{words}</button> }
                    })}
                </div>
                <span>"Side"</span>
                <div class="seg" role="group" aria-label="side of the right declination">{side(true, "right-west")}{side(false, "right-east")}</div>
                {move || (here.get() == Some(Here::Declination)).then(|| view! { <span></span><Keys prefix="right" push=push/> })}
                <label for="wrong-why">"Why"</label>
                <div>
                    <div class="reasons">
                        {REASONS.into_iter().map(|(id, words)| plate(
                            id,
                            words,
                            Signal::derive(move || why.with(|w| w == words)),
                            Callback::new(move |()| say(words.to_owned())),
                        )).collect_view()}
                    </div>
                    <input id="wrong-why" class="words-field" data-testid="wrong-why" autocomplete="off" placeholder="in your own words" prop:value=why
                        on:input=move |e| say(event_target_value(&e))/>
                </div>
                <span>"Then"</span>
                <div role="status" data-testid="wrong-example">
                    {move || meant.with(|m| m.example.clone().filter(|_| m.altered > 0)).map(|e| {
                        let spoken = format!("{}: {} becomes {}", e.name, e.before, e.after);
                        view! {
                            <p class="example">
                                <span class="hidden-words">{spoken}</span>
                                <span aria-hidden="true" class="soft">{e.name}</span>
                                <span aria-hidden="true" class="num">{value(&e.before)}</span>
                                <span class="to" aria-hidden="true" inner_html=icon(Icon::Arrow)></span>
                                <span aria-hidden="true" class="num">{value(&e.after)}</span>
                            </p>
                        }
                    })}
                    <p class="soft small">{move || match meant.get().altered {
                        1 => "1 would be counted anew.".to_owned(),
                        n => format!("{n} would be counted anew."),
                    }}</p>
                </div>
            </div>
            <div class="done wide">
                <p class="small" role="status" data-testid="wrong-report">{move || report.get().or_else(|| trouble.get()).unwrap_or_default()}</p>
                <button class="plate on big" data-testid="wrong-put" disabled=move || trouble.get().is_some() on:click=put>
                    {move || match meant.get().altered { 1 => "Put 1 right".to_owned(), n => format!("Put {n} right") }}
                </button>
            </div>
        </main>
    }
}
