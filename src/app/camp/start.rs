//! The first page: a tablet without a book asks whether there was one before anything is written.

use leptos::prelude::*;
use leptos::task::spawn_local;

use crate::app::camp::join::page::{JoinPart, OpenFiles};
use crate::app::drawing::{Icon, icon, start_line};
use crate::app::parts::installed::is_installed;
use crate::app::parts::tablet::Tablet;
use crate::app::settings::{Hand, Light, Settings};
use crate::app::written::moment_words;
use crate::notebook::Notation;
use crate::store::Keeping;

/// The notations a book may be written in, as a person sees them.
pub(in crate::app) const NOTATIONS: [(Notation, &str, &str); 4] = [
    (Notation::StrikeDip, "045/30SE", "notation-strike"),
    (Notation::Quadrant, "N45E/30SE", "notation-quadrant"),
    (Notation::DipDirection, "30→135", "notation-dip"),
    (Notation::RightHand, "045/30", "notation-right"),
];

/// New here, or was there a book?
#[component]
pub(in crate::app) fn Start() -> impl IntoView {
    let tablet = Tablet::expect();
    let way = RwSignal::new(0_u8);
    let initials = RwSignal::new(String::new());
    let hand = RwSignal::new(Hand::Right);
    let light = RwSignal::new(tablet.settings.with_untracked(|s| s.light));
    let notation = RwSignal::new(Notation::StrikeDip);
    Effect::new(move |_| {
        tablet.settings.update(|s| {
            s.hand = hand.get();
            s.light = light.get();
        })
    });
    let go = move |_| {
        tablet.begin(Settings {
            by: initials.get_untracked().trim().to_uppercase(),
            hand: hand.get_untracked(),
            light: light.get_untracked(),
            notation: notation.get_untracked(),
            ..Settings::default()
        });
    };
    // The store could not be opened: that is not the same as having no book.
    let shut = move || tablet.keeping.get() == Keeping::InMemory;
    view! {
        <main class="room">
            <div class="start">
                <div class="rule-line" aria-hidden="true" inner_html=move || start_line((tablet.width.get() - 48.0).clamp(300.0, 860.0))></div>
                <h1>{move || if shut() { "The book did not open" } else { "New here, or was there a book?" }}</h1>
                <p>{move || if shut() {
                    "Whether there is a book on this tablet cannot be told. What you begin or open now is in memory only, and ends with this page: back it up to a file before you close it."
                } else if tablet.rolling.with(|r| !r.offers.is_empty()) {
                    "The book itself is not in this browser any more, but a copy that it made of itself is. Photos come back with it as far as they were copied. What was written after it is not in it: look whether a back-up has that."
                } else {
                    "This tablet holds no book. If you kept one here, say so before you write anything: a new book never covers an old one."
                }}</p>
                {is_installed().then(|| view! {
                    <p data-testid="installed">"This is the installed app, and some browsers give it a book of its own: if you wrote in a browser's tab before, back it up there, in Camp, and open that one file here."</p>
                })}
                <div class="ways">
                    <Copies/>
                    <button class="plate way" data-testid="start-was" aria-pressed=move || (way.get() == 1).to_string() on:click=move |_| way.set(1)>
                        <span aria-hidden="true" inner_html=icon(Icon::Book)></span>
                        <span><b>"There was a book"</b><span class="small">"bring it back from a file or from another tablet"</span></span>
                    </button>
                    <button class="plate way" data-testid="start-new" aria-pressed=move || (way.get() == 2).to_string() on:click=move |_| way.set(2)>
                        <span aria-hidden="true" inner_html=icon(Icon::Outcrop)></span>
                        <span><b>"New here"</b><span class="small">"start a book; four things, all can be changed later"</span></span>
                    </button>
                    <button class="plate" data-testid="start-demo" on:click=move |_| tablet.open_demo()>
                        "Open the demo book: an invented valley, thrown away with one tap"
                    </button>
                </div>
                {move || (way.get() == 1).then(|| view! {
                    <div class="ask">
                        <span>"The book file, or several"</span>
                        <OpenFiles/>
                    </div>
                    <JoinPart/>
                })}
                {move || (way.get() == 2).then(|| view! {
                    <div class="ask">
                        <label for="initials">"Your initials"</label>
                        <input id="initials" class="words-field initials" data-testid="start-initials" maxlength="5" autocomplete="off" autocapitalize="characters"
                            prop:value=initials on:input=move |e| initials.set(event_target_value(&e))/>
                        <span>"Tablet is held in"</span>
                        <div class="seg" role="group" aria-label="hand">
                            <button class="plate" data-testid="hand-left" aria-pressed=move || (hand.get() == Hand::Left).to_string() on:click=move |_| hand.set(Hand::Left)>"left hand"</button>
                            <button class="plate" data-testid="hand-right" aria-pressed=move || (hand.get() == Hand::Right).to_string() on:click=move |_| hand.set(Hand::Right)>"right hand"</button>
                        </div>
                        <span>"Written as"</span>
                        <div class="seg" role="group" aria-label="notation">
                            {NOTATIONS[..3].iter().map(|&(value, words, id)| view! {
                                <button class="plate num" data-testid=id aria-pressed=move || (notation.get() == value).to_string() on:click=move |_| notation.set(value)>{crate::app::parts::line::value(words)}</button>
                            }).collect_view()}
                        </div>
                        <span>"Light"</span>
                        <LightSeg light=light/>
                    </div>
                    <div class="care">
                        <span aria-hidden="true" inner_html=icon(Icon::Backup)></span>
                        <p>"The book stays on this tablet, without a network. Your browser may clear it: "<b>"back up every evening"</b>", to a card or another tablet."</p>
                    </div>
                    <button class="plate on big" data-testid="start-go" on:click=go>"Start the book"</button>
                })}
            </div>
        </main>
    }
}

/// The copies that the private file system still holds of books whose storage is gone.
#[component]
fn Copies() -> impl IntoView {
    let tablet = Tablet::expect();
    let failed = RwSignal::new(None::<String>);
    let doing = RwSignal::new(None::<String>);
    view! {
        {move || tablet.rolling.with(|r| r.offers.clone()).into_iter().map(|offer| {
            let (at, entries) = (moment_words(&offer.at), offer.entries);
            let open = move |_| {
                let offer = offer.clone();
                failed.set(None);
                spawn_local(async move {
                    let at = moment_words(&offer.at);
                    let say = |words| {
                        // The page gives way to the book once that is here.
                        let _ = doing.try_set(Some(words));
                    };
                    match tablet.open_copy(offer, &say).await {
                        Ok(done) if done.missing.is_empty() => {}
                        Ok(done) => tablet.warning.set(Some(format!("the copy of {at} is open.{}", done.lacks()))),
                        Err(error) => {
                            doing.set(None);
                            failed.set(Some(format!("The copy of {at} was not opened, and nothing changed: {error}")));
                        }
                    }
                });
            };
            view! {
                <button class="plate way on" data-testid="start-copy" disabled=move || doing.with(Option::is_some) on:click=open>
                    <span aria-hidden="true" inner_html=icon(Icon::Book)></span>
                    <span><b>{format!("There is a copy of {at} on this tablet")}</b><span class="small">{format!("{entries} entries: open it, and go on where it was made")}</span></span>
                </button>
            }
        }).collect_view()}
        {move || doing.get().map(|words| view! { <p role="status" data-testid="start-copy-reading">{words}</p> })}
        {move || failed.get().map(|words| view! { <p role="alert" data-testid="start-copy-failed">{words}</p> })}
    }
}

/// The three lights.
#[component]
pub(in crate::app) fn LightSeg(light: RwSignal<Light>) -> impl IntoView {
    let plate = move |value: Light, drawn: Icon| {
        view! {
            <button class="plate" data-testid=format!("light-{}", value.word()) aria-pressed=move || (light.get() == value).to_string() on:click=move |_| light.set(value)>
                <span aria-hidden="true" inner_html=icon(drawn)></span>
                {value.word()}
            </button>
        }
    };
    view! {
        <div class="seg" role="group" aria-label="light">
            {plate(Light::Sun, Icon::Sun)}
            {plate(Light::Overcast, Icon::Cloud)}
            {plate(Light::Lamp, Icon::Lamp)}
        </div>
    }
}
