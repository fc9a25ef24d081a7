//! The scales of a person's own instrument on its set-up page: which it has, where their zero is, which way they run, how far.

use leptos::prelude::*;

use crate::app::camp::scale::{Figure, WHICH, Which};
use crate::app::camp::set_up::{Keys, OnPage, plate};
use crate::app::drawing::doubt_sign;
use crate::app::parts::tablet::Tablet;
use crate::orientation::instrument::OwnScale;

/// A number of a scale: which scale, and which of its numbers.
type Place = (usize, Figure);

/// The scales, each with its numbers, what they mean, and an editor for the number that is touched.
#[component]
pub(super) fn OwnScaleRows(page: OnPage) -> impl IntoView {
    let tablet = Tablet::expect();
    let field =
        move |(nth, figure): Place| format!("{}/{}-{}", page.record(), WHICH[nth].id, figure.id());
    let places = || (0..WHICH.len()).flat_map(|nth| Figure::ALL.map(|figure| (nth, figure)));
    let drafted = places().find(|&place| tablet.drafted_words(&field(place)).is_some());
    let open = RwSignal::new(drafted);
    let text = RwSignal::new(
        drafted
            .and_then(|place| tablet.drafted_words(&field(place)))
            .unwrap_or_default(),
    );
    let leave = move || {
        if let Some(place) = open.get_untracked() {
            tablet.end_words(&field(place));
            open.set(None);
        }
    };
    let touch = move |place: Place, scale: OwnScale| {
        let again = open.get_untracked() == Some(place);
        leave();
        if !again {
            text.set(format!("{}", place.1.of(&scale)));
            open.set(Some(place));
        }
    };
    let one = move |(nth, which): (usize, &'static Which)| {
        let scale = Memo::new(move |_| page.set_up.with(|s| which.of(s)));
        let put = move |scale: Option<OwnScale>| {
            leave();
            page.change(|s| which.put(s, scale));
        };
        let fact = move |figure: Figure| {
            view! {
                <button class="plate fact" data-testid=format!("{}-{}", which.id, figure.id())
                    aria-expanded=move || (open.get() == Some((nth, figure))).to_string()
                    on:click=move |_| if let Some(scale) = scale.get_untracked() { touch((nth, figure), scale) }>
                    <span class="word">{figure.word()}</span>
                    <b>{move || scale.get().map(|scale| which.words(figure, &scale))}</b>
                </button>
            }
        };
        let way = move |reversed: bool| {
            view! {
                <button class="plate" data-testid=format!("{}-{}", which.id, if reversed { "against" } else { "along" })
                    aria-pressed=move || scale.get().is_some_and(|scale| scale.reversed == reversed).to_string()
                    on:click=move |_| if let Some(scale) = scale.get_untracked() { put(Some(OwnScale { reversed, ..scale })) }>
                    {which.ways[usize::from(reversed)]}
                </button>
            }
        };
        let has = Signal::derive(move || scale.get().is_some());
        let has_none = Signal::derive(move || scale.get().is_none());
        view! {
            <div class="scale" role="group" aria-label=which.word data-testid=format!("{}-scale", which.id)>
                <div class="line-of">
                    <b>{which.word}</b>
                    <div class="seg" role="group" aria-label=format!("{}: is there one", which.word)>
                        {plate(["card-has", "dip-has", "plunge-has"][nth], "has one", has, Callback::new(move |()| if scale.get_untracked().is_none() { put(Some(which.usual)) }))}
                        {plate(["card-none", "dip-none", "plunge-none"][nth], "none", has_none, Callback::new(move |()| put(None)))}
                    </div>
                </div>
                {move || has.get().then(|| view! {
                    <div class="facts three">{Figure::ALL.map(fact).collect_view()}</div>
                    <div class="seg" role="group" aria-label=format!("{}: its numbers grow", which.word)>{way(false)}{way(true)}</div>
                })}
                {move || open.get().filter(|place| place.0 == nth).map(|place| {
                    let figure = place.1;
                    let push = Callback::new(move |c: char| {
                        text.update(|t| match c {
                            'b' => { t.pop(); }
                            '.' if t.contains('.') => {}
                            c if t.len() < 6 => t.push(c),
                            _ => {}
                        });
                        tablet.draft_words(&field(place), &text.get_untracked());
                    });
                    let over = move || {
                        text.update(|t| match t.strip_prefix('-') {
                            Some(rest) => *t = rest.to_owned(),
                            None => t.insert(0, '-'),
                        });
                        tablet.draft_words(&field(place), &text.get_untracked());
                    };
                    let trouble = Memo::new(move |_| text.with(|t| which.typed(figure, t)).err());
                    let keep = move || {
                        let typed = text.with_untracked(|t| which.typed(figure, t));
                        if let (Ok(deg), Some(scale)) = (typed, scale.get_untracked()) {
                            put(Some(figure.with(scale, deg)));
                        }
                    };
                    view! {
                        <div class="editor" data-testid="scale-editor">
                            <output class="typed here" data-testid="scale-typed">{move || text.with(|t| if t.is_empty() { "–".to_owned() } else { format!("{}°", t.replace('-', "−")) })}</output>
                            <Keys prefix="scale" push=push/>
                            <p role="status">{move || trouble.get().unwrap_or_default()}</p>
                            <div class="row">
                                <button class="plate on" data-testid="scale-keep" disabled=move || trouble.get().is_some() on:click=move |_| keep()>"Keep"</button>
                                {(figure == Figure::Zero && !which.is_card).then(|| view! {
                                    <button class="plate" data-testid="scale-over" aria-pressed=move || text.with(|t| t.starts_with('-')).to_string() on:click=move |_| over()>"above level"</button>
                                })}
                                <button class="plate" data-testid="scale-default" on:click=move |_| if let Some(scale) = scale.get_untracked() { put(Some(figure.with(scale, figure.of(&which.usual)))) }>"Take the default"</button>
                                <button class="plate" data-testid="scale-leave" on:click=move |_| leave()>"Leave it"</button>
                            </div>
                        </div>
                    }
                })}
                {move || scale.get().map(|scale| match which.wrong(&scale) {
                    Some((words, ways)) => view! {
                        <div class="found" role="status" data-testid=format!("{}-wrong", which.id)>
                            <span aria-hidden="true" inner_html=doubt_sign("?", true)></span><span class="hidden-words">"doubt: "</span>
                            <p>{words}</p>
                            <div class="ways">
                                {ways.into_iter().enumerate().map(|(way, (words, scale))| view! {
                                    <button class="plate" data-testid=format!("{}-mend-{way}", which.id) on:click=move |_| put(Some(scale))>{words}</button>
                                }).collect_view()}
                            </div>
                        </div>
                    }.into_any(),
                    None => view! { <p class="soft" data-testid=format!("{}-example", which.id)>{which.example(&scale)}</p> }.into_any(),
                })}
            </div>
        }
    };
    view! { <div class="scales">{WHICH.iter().enumerate().map(one).collect_view()}</div> }
}
