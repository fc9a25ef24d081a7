//! The declination of one set-up: what it is, which way to turn the circle, and the key that says it is done.

use leptos::prelude::*;

use crate::app::camp::set_up::{Keys, OnPage, SetUpPage, found, plate};
use crate::app::camp::setting::{Typed, doubts, draft, drafted, settable_deg, turning};
use crate::app::drawing::{Icon, declination, icon};
use crate::app::parts::clock;
use crate::app::parts::tablet::Tablet;
use crate::app::written::{day_words, declination_words};
use crate::notebook::{North, SetUp};
use crate::orientation::DoubtKind;

/// The page that shows which way to turn, and how far.
#[component]
pub(in crate::app) fn TurningPage() -> impl IntoView {
    view! { <SetUpPage body=|page| view! { <Turning page=page/> }.into_any()/> }
}

#[component]
fn Turning(page: OnPage) -> impl IntoView {
    let tablet = Tablet::expect();
    let now = page.set_up.get_untracked();
    let (begun_north, begun) = tablet
        .drafted_words(&page.field())
        .and_then(|text| drafted(&text))
        .unwrap_or_else(|| {
            let north = match now.north {
                North::Unknown => North::True,
                said => said,
            };
            (north, Typed::of(now.declination.as_deref()))
        });
    let north = RwSignal::new(begun_north);
    let typed = RwSignal::new(begun);
    let typing = RwSignal::new(false);
    let says = Memo::new(move |_| {
        turning(
            typed.with(Typed::deg),
            north.get(),
            page.set_up.with(OnPage::clockwise),
        )
    });
    let keep_draft = move || {
        let text = draft(north.get_untracked(), &typed.get_untracked());
        tablet.draft_words(&page.field(), &text);
    };
    let model = page.model();
    let offered = Memo::new(move |_| {
        let (deg, grid_deg) = model.with(|m| m.as_ref().ok().map(|m| (m.deg, m.grid_deg)))?;
        let resolution = page.set_up.with(|s| s.resolution.clone());
        Some(match north.get() {
            // Nothing is turned: the book may take the value as fine as it is known.
            North::Magnetic => (deg * 10.0).round() / 10.0,
            North::Grid => settable_deg(grid_deg?, &resolution),
            North::True | North::Unknown => settable_deg(deg, &resolution),
        })
    });
    let place = page.place();
    let today = clock::now();
    let doubtful = Memo::new(move |_| {
        let declination = typed.with(Typed::text);
        let known = declination.is_some();
        let about_to_be = SetUp {
            north: north.get(),
            declination_from: offered
                .with(|o| *o == typed.with(Typed::deg))
                .then(|| "model".to_owned()),
            declination,
            ..page.set_up.get()
        };
        let mut found = place.with(|place| doubts(&about_to_be, place.as_ref(), &today));
        // What is not typed yet is not missing.
        found.retain(|doubt| known || doubt.kind != DoubtKind::DeclinationMissing);
        found
    });
    let mend = Callback::new(move |right: Option<String>| {
        typed.set(Typed::of(right.as_deref()));
        keep_draft();
    });
    let push = Callback::new(move |c: char| {
        typed.update(|t| match c {
            'b' => {
                t.digits.pop();
            }
            c => t.push(c),
        });
        keep_draft();
    });
    let side = move |west: bool, id: &'static str| {
        view! {
            <button class="plate" data-testid=id aria-pressed=move || typed.with(|t| t.west == west).to_string()
                on:click=move |_| { typed.update(|t| t.west = west); keep_draft(); }>
                {move || typed.with(|t| t.side_words(west))}
            </button>
        }
    };
    let from = move |value: North, word: &'static str, id: &'static str| {
        plate(
            id,
            word,
            Signal::derive(move || north.get() == value),
            Callback::new(move |()| {
                north.set(value);
                keep_draft();
            }),
        )
    };
    let set = move |_| {
        let (north, text) = (north.get_untracked(), typed.with_untracked(Typed::text));
        let of_model = offered.get_untracked().map(|deg| format!("{deg}"));
        let at = clock::now();
        page.change(|s| {
            s.north = north;
            s.declination = text;
            OnPage::date(s, at, of_model);
        });
        typing.set(false);
        tablet.end_words(&page.field());
    };
    view! {
        <main class="room setting" data-testid="declination-page">
            <div class="title">
                <div class="what">
                    <h1>{move || format!("{}: declination", page.name())}</h1>
                    <p class="soft small" data-testid="model-words">
                        {move || model.with(|m| match m { Ok(m) => m.words.clone(), Err(words) => words.clone() })}
                        {move || model.with(|m| m.as_ref().ok().map(|m| m.source.clone())).map(|source| view! { <span class="word">{source}</span> })}
                    </p>
                </div>
                <button class="plate" data-testid="set-up-back" aria-label="Set-up" on:click=move |_| tablet.go(&page.path(""))>
                    <span class="turned" aria-hidden="true" inner_html=icon(Icon::Arrow)></span><span class="word">"Set-up"</span>
                </button>
            </div>
            <div class="drawn" role=move || says.with(|s| s.circle.map(|_| "img")) aria-label=move || says.with(|s| s.circle.map(|_| s.spoken.clone())) data-testid="declination-drawing"
                inner_html=move || says.with(|s| s.circle.as_ref().map(declination).unwrap_or_default())></div>
            <div class="says">
                <p class="figure" class:unsaid=move || says.with(|s| s.circle.is_none()) data-testid="declination-figure">{move || says.get().figure}</p>
                <p class="turn-words" data-testid="declination-way">{move || says.get().what.0}" "<b>{move || says.get().what.1}</b></p>
                <ol>
                    {move || says.get().steps.into_iter().map(|step| view! {
                        <li><span>{step.before}{(!step.number.is_empty()).then(|| view! { " "<b>{step.number}"."</b> })}</span></li>
                    }).collect_view()}
                </ol>
                <p class="soft small">{move || says.get().rule}</p>
            </div>
            <div class="rows">
                {move || found(doubtful.get(), mend)}
                <span>"Declination"</span>
                <div class="number-row">
                    <button class="typed" data-testid="declination" class:here=move || typing.get() aria-expanded=move || typing.get().to_string() on:click=move |_| typing.update(|t| *t = !*t)>
                        <span class="hidden-words">"type the declination, "</span>
                        {move || typed.with(|t| if t.digits.is_empty() { "not known".to_owned() } else { format!("{}°", t.digits) })}
                    </button>
                    {move || offered.get().map(|deg| view! {
                        <button class="plate" data-testid="declination-model" on:click=move |_| {
                            typed.set(Typed::of(Some(&format!("{deg}"))));
                            typing.set(false);
                            keep_draft();
                        }>{format!("Model: {}", declination_words(&format!("{deg}")))}</button>
                    })}
                    {move || model.with(|m| m.is_err()).then(|| page.to_a_place())}
                </div>
                {move || typing.get().then(|| view! { <span></span><Keys prefix="declination" push=push/> })}
                {move || typed.with(Typed::is_over).then(|| view! { <span></span><p role="alert">{format!("declination `{}` is over 180; take a digit off with back", typed.get().digits)}</p> })}
                <span>"Side"</span>
                <div class="seg" role="group" aria-label="side of the declination">{side(true, "declination-west")}{side(false, "declination-east")}</div>
                <span>"Declination is"</span>
                <div class="seg" role="group" aria-label="north">
                    {from(North::True, "set on the circle", "north-true")}
                    {from(North::Magnetic, "left at 0, app corrects", "north-magnetic")}
                    {from(North::Grid, "set to grid north", "north-grid")}
                </div>
                {page.numbers_row()}
                {page.resolution_row()}
                {move || model.with(|m| m.as_ref().ok().map(|m| m.more.clone())).map(|words| view! { <p class="soft small whole" data-testid="model-more">{words}</p> })}
            </div>
            <div class="done">
                <p class="soft small" role="status" data-testid="set-at">{move || {
                    let at = page.set_up.with(OnPage::set_at);
                    match at {
                        Some(at) => format!("Set on {}, {}.", day_words(at.get(..10).unwrap_or_default()), at.get(11..16).unwrap_or_default()),
                        None => "Not set yet.".to_owned(),
                    }
                }}</p>
                <button class="plate on big" data-testid="declination-keep" disabled=move || typed.with(Typed::is_over) on:click=set>
                    <span aria-hidden="true" inner_html=icon(Icon::Setup)></span>{move || says.get().key}
                </button>
            </div>
        </main>
    }
}
