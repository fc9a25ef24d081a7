//! What may stand over the keypad: all kinds, or the words that belong to the open reading.

use leptos::prelude::*;

use crate::app::drawing::{Icon, icon, line_symbol, symbol};
use crate::app::history::page::HistoryPlate;
use crate::app::outcrop::kinds::{self, GROUPS, KINDS};
use crate::app::outcrop::open::{Key, Open};
use crate::app::outcrop::photos::PhotoKey;
use crate::app::outcrop::sentence::{Finding, Offer};
use crate::app::outcrop::stood::StoodPlate;
use crate::app::parts::tablet::{Panel, Tablet};
use crate::notebook::{Form, RecordId, Tops};
use crate::orientation::faults::Sense;
use crate::orientation::{Choice, DoubtKind};

/// The small drawing of a kind, at a strike of 060 as on the page.
pub(in crate::app) fn kind_symbol(name: &str) -> String {
    match kinds::form_of(name) {
        Form::Line => line_symbol(220.0, None, false, false),
        _ => symbol(
            kinds::words(name).split(" + ").next().unwrap_or(name),
            Some(60.0),
            Some(40.0),
            true,
            false,
            false,
        ),
    }
}

/// The kinds that are always at hand, and the way to all of them.
#[component]
pub(in crate::app) fn KindRow() -> impl IntoView {
    let tablet = Tablet::expect();
    let chosen = Memo::new(move |_| {
        tablet.open.with(|o| {
            o.as_ref()
                .map(|o| o.reading.kind.clone())
                .unwrap_or_default()
        })
    });
    let shown = move || {
        let few = tablet.width.get() < 700.0;
        KINDS
            .iter()
            .filter(move |k| k.at_hand && !(few && matches!(k.name, "joint" | "fault + line")))
    };
    let at_hand = move |name: &str| shown().any(|k| k.name == name);
    view! {
        <div class="kinds" class:elsewhere=move || !at_hand(&chosen.get()) role="group" aria-label="kind of structure">
            {move || shown().map(|kind| {
                let name = kind.name;
                view! {
                    <button
                        class="plate"
                        data-testid=format!("kind-{}", kinds::slug(name))
                        aria-pressed=move || (chosen.get() == name).to_string()
                        on:click=move |_| tablet.kind(name)
                    >
                        <span aria-hidden="true" inner_html=kind_symbol(name)></span>
                        {name}
                    </button>
                }
            }).collect_view()}
            <button
                class="plate more"
                data-testid="kind-more"
                aria-pressed=move || (!at_hand(&chosen.get())).to_string()
                aria-expanded=move || (tablet.panel.get() == Panel::Kinds).to_string()
                on:click=move |_| tablet.panel.update(|p| *p = if *p == Panel::Kinds { Panel::Keypad } else { Panel::Kinds })
            >
                <span aria-hidden="true" inner_html=icon(Icon::More)></span>
                {move || if at_hand(&chosen.get()) { if tablet.width.get() < 700.0 { String::new() } else { "more".to_owned() } } else { kinds::words(&chosen.get()).to_owned() }}
                {move || at_hand(&chosen.get()).then(|| view! { <span class="hidden-words">"kinds"</span> })}
            </button>
        </div>
    }
}

/// Every kind, by the dials it has, and the person's own.
#[component]
pub(in crate::app) fn KindPanel() -> impl IntoView {
    let tablet = Tablet::expect();
    let own_words = RwSignal::new(String::new());
    let chosen = Memo::new(move |_| {
        tablet.open.with(|o| {
            o.as_ref()
                .map(|o| o.reading.kind.clone())
                .unwrap_or_default()
        })
    });
    let plate = move |name: String| {
        let tapped = name.clone();
        let pressed = name.clone();
        view! {
            <button
                class="plate"
                data-testid=format!("all-{}", kinds::slug(&name))
                aria-pressed=move || (chosen.get() == pressed).to_string()
                on:click=move |_| tablet.kind(&tapped)
            >
                <span aria-hidden="true" inner_html=kind_symbol(&name)></span>
                {kinds::words(&name).to_owned()}
            </button>
        }
    };
    let own = move || {
        tablet.read(|shelf| {
            shelf
                .pages
                .book()
                .map(|(_, b)| b.own_kinds.clone())
                .unwrap_or_default()
        })
    };
    let add = move |form: Form| {
        let words = own_words.get_untracked();
        if words.trim().is_empty() {
            return;
        }
        let name = kinds::own(&words, form);
        tablet.change_book(|book| {
            if !book.own_kinds.contains(&name) {
                book.own_kinds.push(name.clone());
            }
        });
        own_words.set(String::new());
        tablet.kind(&name);
    };
    view! {
        <div class="panel tall" role="group" aria-label="all kinds">
            // The phone's keypad has no room for these keys.
            {move || (tablet.width.get() < 700.0).then(|| view! {
                <div class="row first">
                    <button class="plate" data-testid="words-here" on:click=move |_| tablet.panel.set(Panel::Words)>"Note, tops, how it stood"</button>
                    <PhotoKey class="plate" id="photo-here" station=Signal::derive(move || tablet.standing_at()) with_open=true/>
                </div>
            })}
            {GROUPS.iter().map(|&(form, heading)| view! {
                <h2>{heading}</h2>
                <div class="set">
                    {KINDS.iter().filter(|k| k.form == form).map(|k| plate(k.name.to_owned())).collect_view()}
                </div>
            }).collect_view()}
            <h2>"Your own kinds"</h2>
            <div class="set">{move || own().into_iter().map(plate).collect_view()}</div>
            <div class="row">
                <input
                    class="words-field"
                    data-testid="own-kind"
                    aria-label="name of a kind of your own"
                    placeholder="a kind of your own"
                    prop:value=own_words
                    on:input=move |e| own_words.set(event_target_value(&e))
                />
            </div>
            <div class="row">
                <button class="plate" data-testid="own-plane" on:click=move |_| add(Form::Plane)>"is a plane"</button>
                <button class="plate" data-testid="own-line" on:click=move |_| add(Form::Line)>"is a line"</button>
                <button class="plate" on:click=move |_| add(Form::PlaneWithLine)>"is a plane with a line"</button>
                <button class="plate" data-testid="panel-close" on:click=move |_| tablet.panel.set(Panel::Keypad)>"Keypad"</button>
            </div>
        </div>
    }
}

/// Tops, note and striking out: the words of the open reading.
#[component]
pub(in crate::app) fn WordPanel() -> impl IntoView {
    let tablet = Tablet::expect();
    let note = RwSignal::new(tablet.open.with_untracked(|o| {
        o.as_ref()
            .map(|o| o.reading.note.clone())
            .unwrap_or_default()
    }));
    let why = RwSignal::new(String::new());
    let tops = Memo::new(move |_| {
        tablet
            .open
            .with(|o| o.as_ref().map(|o| o.reading.tops).unwrap_or_default())
    });
    let record = Memo::new(move |_| {
        tablet
            .open
            .with(|o| o.as_ref().and_then(|o| o.record.clone()))
    });
    let kept = move || record.with(Option::is_some);
    let seg = move |value: Tops, word: &'static str, id: &'static str| {
        view! {
            <button class="plate" data-testid=id aria-pressed=move || (tops.get() == value).to_string()
                on:click=move |_| tablet.amend(|o| o.set_tops(value))>{word}</button>
        }
    };
    let slips = Memo::new(move |_| {
        tablet
            .open
            .with(|o| o.as_ref().is_some_and(|o| kinds::slips(&o.reading.kind)))
    });
    let sense = Memo::new(move |_| {
        tablet
            .open
            .with(|o| o.as_ref().and_then(|o| o.reading.sense))
    });
    let slip = move |value: Option<Sense>| {
        let word = value.map_or("not known", Sense::words);
        view! {
            <button class="plate" data-testid=format!("sense-{}", kinds::slug(word)) aria-pressed=move || (sense.get() == value).to_string()
                on:click=move |_| tablet.amend(|o| o.set_sense(value))>{word}</button>
        }
    };
    let done = move || {
        tablet.keep_words();
        tablet.panel.set(Panel::Keypad);
    };
    view! {
        <div class="panel tall" role="group" aria-label="note and tops">
            {move || if slips.get() {
                view! {
                    <h2>"Slip: which way the hanging wall went"</h2>
                    <div class="set" role="group" aria-label="sense of slip">
                        {Sense::ALL.into_iter().map(|s| slip(Some(s))).collect_view()}
                        {slip(None)}
                    </div>
                }.into_any()
            } else {
                view! {
                    <h2>"Tops: which way the beds young"</h2>
                    <div class="seg" role="group" aria-label="tops">
                        {seg(Tops::Upright, "upright", "tops-upright")}
                        {seg(Tops::Overturned, "overturned", "tops-overturned")}
                        {seg(Tops::Unknown, "not known", "tops-unknown")}
                    </div>
                }.into_any()
            }}
            <h2 id="note-name">"Note of this reading"</h2>
            <textarea
                class="words-field"
                data-testid="reading-note"
                aria-labelledby="note-name"
                prop:value=note
                on:input=move |e| {
                    note.set(event_target_value(&e));
                    tablet.type_note(event_target_value(&e));
                }
            ></textarea>
            <div class="row">
                <button class="plate on" data-testid="words-done" on:click=move |_| done()>"Done"</button>
                <StoodPlate/>
                {move || record.get().map(|record| view! { <HistoryPlate record=RecordId::from(record)/> })}
            </div>
            {move || kept().then(|| view! {
                <h2 id="why-name">"Strike the whole reading out; it stays legible"</h2>
                <input
                    class="words-field"
                    data-testid="strike-why"
                    aria-labelledby="why-name"
                    placeholder="why (a slumped block, a typing slip)"
                    prop:value=why
                    on:input=move |e| why.set(event_target_value(&e))
                />
                <div class="row">
                    <button class="plate" data-testid="strike-reading" on:click=move |_| tablet.strike_out_open(&why.get_untracked())>"Strike out reading"</button>
                </div>
            })}
        </div>
    }
}

/// Strikes the shot of this index out, or puts it back; while a shot is being typed, nothing happens.
pub(in crate::app) fn strike_shot(tablet: Tablet, index: usize) {
    let typing = tablet
        .open
        .with_untracked(|o| o.as_ref().is_none_or(Open::is_draft));
    if typing {
        return;
    }
    tablet.press(Key::TouchShot(index));
    tablet.press(Key::StrikeShot);
}

/// What the sentence offers, each one tap; where there is more than the room holds, the rest is one tap further.
#[component]
pub(in crate::app) fn Choices(finding: Memo<Finding>, most: usize) -> impl IntoView {
    let tablet = Tablet::expect();
    let name = if most > 2 { "every-choice" } else { "choice" };
    let every = if most > 2 { "every-" } else { "" };
    let taken = move |choice: &Choice| {
        let Some((doubt, shot)) = finding.with_untracked(|f| Some((f.doubt.clone()?, f.shot)))
        else {
            return;
        };
        tablet.panel.set(Panel::Keypad);
        let elsewhere = tablet.open.with_untracked(|o| {
            o.as_ref()
                .is_some_and(|o| !o.is_draft() && o.shown_at() != shot)
        });
        if elsewhere {
            // The answer belongs to the shot that the doubt is about.
            tablet.press(Key::TouchShot(shot));
        }
        tablet.accept(&doubt, choice);
    };
    move || {
        let offers = finding.with(|f| f.offers.clone());
        let more = offers.len() > most;
        let kind = finding.with_untracked(|f| f.doubt.as_ref().map(|d| d.kind));
        let first = offers
            .iter()
            .take_while(|offer| !matches!(offer, Offer::Choice(_)))
            .count();
        let plates = offers.into_iter().enumerate().take(most).map(|(i, offer)| match offer {
            Offer::Choice(choice) => {
                let i = i - first;
                let words = choice.words.clone();
                // The planes that a contradiction leaves open are drawn on its first choices.
                let drawn = (kind == Some(DoubtKind::SideAlongStrike))
                    .then(|| finding.with_untracked(|f| f.planes.get(i).copied()))
                    .flatten()
                    .map(|(strike, dip)| symbol("bedding", Some(strike), Some(dip), true, false, false));
                view! {
                    <button class="plate" data-testid=format!("{name}-{i}") on:click=move |_| taken(&choice)>
                        {drawn.map(|drawn| view! { <span class="choice-drawn" aria-hidden="true" inner_html=drawn></span> })}
                        {words}
                    </button>
                }.into_any()
            }
            Offer::StrikeOut(shot) => view! {
                <button class="plate" data-testid=format!("{every}offer-strike-{}", shot + 1) on:click=move |_| {
                    tablet.panel.set(Panel::Keypad);
                    strike_shot(tablet, shot);
                }>{format!("Strike out shot {}", shot + 1)}</button>
            }.into_any(),
            Offer::PutBack(shot) => view! {
                <button class="plate" data-testid=format!("{every}offer-put-back-{}", shot + 1) on:click=move |_| {
                    tablet.panel.set(Panel::Keypad);
                    strike_shot(tablet, shot);
                }>{format!("Put back shot {}", shot + 1)}</button>
            }.into_any(),
        });
        view! {
            {plates.collect_view()}
            {more.then(|| view! {
                <button class="plate further" data-testid="choice-more" on:click=move |_| tablet.panel.set(Panel::Doubt)>
                    <span aria-hidden="true" inner_html=icon(Icon::More)></span>
                    <span class="hidden-words">"every way to settle it"</span>
                </button>
            })}
        }
    }
}

/// Every way to settle the doubt, over the keypad.
#[component]
pub(in crate::app) fn DoubtPanel(finding: Memo<Finding>) -> impl IntoView {
    let tablet = Tablet::expect();
    Effect::new(move |_| {
        if finding.with(|f| f.doubt.is_none()) && tablet.panel.get_untracked() == Panel::Doubt {
            tablet.panel.set(Panel::Keypad);
        }
    });
    view! {
        <div class="panel" role="group" aria-label="the doubt">
            <p><b>{move || finding.get().words}</b>" "{move || finding.get().detail}</p>
            <div class="ways">
                <Choices finding=finding most=9/>
                <button class="plate" data-testid="panel-close" on:click=move |_| tablet.panel.set(Panel::Keypad)>"Keypad: read it again"</button>
            </div>
        </div>
    }
}
