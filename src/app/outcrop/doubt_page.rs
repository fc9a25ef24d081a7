//! The doubt of a set-up over the page: its dials against each other, what explains them, and the ways to settle it.

use leptos::prelude::*;

use crate::app::drawing::{
    Icon, Mark, Net, OpenPlane, ResidualBar, doubt_sign, icon, net, residual_bar, residual_link,
    small_bars,
};
use crate::app::outcrop::dials::word;
use crate::app::outcrop::doubt::{DoubtPage, ResidualRow, Way};
use crate::app::outcrop::open::Key;
use crate::app::outcrop::sentence::Finding;
use crate::app::parts::focus;
use crate::app::parts::line::value;
use crate::app::parts::tablet::{Panel, Tablet};
use crate::notebook::attitude;
use crate::orientation::Choice;

/// The page of the doubt. `again` is called when the person wants to read the shot again.
#[component]
pub(in crate::app) fn SetUpDoubt(finding: Memo<Finding>, again: Callback<()>) -> impl IntoView {
    let tablet = Tablet::expect();
    let page = Memo::new(move |_| finding.with(|f| f.page.clone()));
    let heading = NodeRef::<leptos::html::H2>::new();
    Effect::new(move |_| {
        if let Some(heading) = heading.get() {
            focus::land(&heading);
        }
    });
    let settle = move |choice: Choice| {
        let doubt = finding.with_untracked(|f| f.doubt.clone());
        close(tablet);
        if let Some(doubt) = doubt {
            tablet.accept(&doubt, &choice);
        }
    };
    let keep = move || {
        settle(Choice {
            words: attitude::KEEP.to_owned(),
            sets: Vec::new(),
        });
    };
    let next = move || {
        tablet
            .open
            .with(|o| o.as_ref().map_or(0, |o| o.reading.shots.len()) + 1)
    };
    view! {
        <section class="dp" aria-labelledby="doubt-heading" data-testid="doubt-page">
            <div class="dp-left">
                <div class="dp-head">
                    <button class="dp-close" data-testid="doubt-close" on:click=move |_| close(tablet)>
                        <span aria-hidden="true" inner_html=doubt_sign("?", false)></span>
                        <span class="hidden-words">"close the doubt, back to the keypad"</span>
                    </button>
                    <h2 id="doubt-heading" node_ref=heading data-lands data-testid="doubt-heading">
                        {move || page.with(|p| p.as_ref().map(|p| p.heading.clone()))}
                    </h2>
                </div>
                <p class="dp-legend" aria-hidden="true">
                    <span><span class="dp-key as-read"></span>"as read"</span>
                    {move || page.with(|p| p.as_ref().and_then(|p| p.after_words.clone())).map(|words| view! {
                        <span><span class="dp-key hollow"></span>{words}</span>
                    })}
                    <span class="dp-wide"><span class="dp-key band"></span>"within twice its own ±"</span>
                </p>
                <ul class="dp-rows">
                    {move || page.with(|p| p.as_ref().map(|p| p.rows.clone())).unwrap_or_default().into_iter()
                        .map(|row| view! { <OneRow row=row/> }).collect_view()}
                </ul>
                <div class="dp-look">
                    <div class="dp-net" role="img"
                        aria-label=move || page.with(|p| p.as_ref().map(|p| p.net_words.clone()))
                        inner_html=move || page.with(|p| p.as_ref().map(drawn_net)).unwrap_or_default()></div>
                    <div class="dp-words" data-testid="doubt-words">
                        {move || page.with(|p| p.as_ref().map(|p| view! {
                            <p><b>{value(&p.finding)}</b>" "{value(&p.numbers)}</p>
                            <p class="soft">{value(&p.remark)}</p>
                        }))}
                    </div>
                </div>
            </div>
            <div class="dp-right">
                <div class="dp-list">
                    {move || page.with(|p| p.as_ref().map(|p| p.ways.clone())).unwrap_or_default().into_iter().enumerate()
                        .map(|(i, way)| view! { <OneWay index=i way=way settle=Callback::new(settle)/> }).collect_view()}
                    {move || page.with(|p| p.as_ref().and_then(|p| p.decide.clone())).map(|words| view! {
                        <p class="dp-decide" data-testid="doubt-decide"><b>"What would tell them apart: "</b>{value(&words)}</p>
                    })}
                    {move || page.with(|p| p.as_ref().map(|p| p.tried.clone())).unwrap_or_default().into_iter().enumerate()
                        .map(|(i, way)| view! { <OneTried index=i way=way/> }).collect_view()}
                </div>
                <div class="dp-foot">
                    <button class="plate" data-testid="doubt-keep" on:click=move |_| keep()><b>"Keep as read"</b></button>
                    <button class="plate" data-testid="doubt-again" on:click=move |_| { again.run(()); close(tablet); }>
                        <span class="dp-wide" aria-hidden="true" inner_html=icon(Icon::Setup)></span>
                        <span class="dp-again"><b>"Read it again"</b><span>{move || format!("opens shot {}", next())}</span></span>
                    </button>
                </div>
            </div>
        </section>
    }
}

/// Where the focus goes when the page closes: to the first of these that is there.
const SENTENCE: [&str; 2] = ["[data-testid=\"doubt-open\"]", ".sentence"];

/// Closes the page and brings the keypad back; the focus goes back to the sentence.
pub(in crate::app) fn close(tablet: Tablet) {
    close_to(tablet, SENTENCE.map(str::to_owned).into());
}

fn close_to(tablet: Tablet, selectors: Vec<String>) {
    tablet.panel.set(Panel::Keypad);
    request_animation_frame(move || {
        let found = |selector: &String| document().query_selector(selector).ok().flatten();
        if let Some(part) = selectors.iter().find_map(found) {
            focus::land(&part);
        }
    });
}

/// Opens the page.
pub(in crate::app) fn open(tablet: Tablet) {
    tablet.panel.set(Panel::Doubt);
}

/// The width of the bars on a glass so wide.
fn bar_width(glass: f64) -> f64 {
    if glass < 700.0 {
        (glass - 24.0 - 150.0 - 20.0 - 14.0 - 62.0)
            .min(280.0)
            .floor()
    } else if glass < 1024.0 {
        (glass - 48.0 - 248.0 - 44.0 - 32.0 - 148.0)
            .min(280.0)
            .floor()
    } else {
        // The explanations take 49 in 100 of the glass, 420 px at least.
        let room = glass - (glass * 0.49).max(420.0);
        (room - 40.0 - 190.0 - 36.0 - 22.0 - 116.0)
            .min(280.0)
            .floor()
    }
}

#[component]
fn OneRow(row: ResidualRow) -> impl IntoView {
    let tablet = Tablet::expect();
    let dial = row.dial;
    let (read, after, marked) = (row.read, row.after, row.marked);
    let phone = move || tablet.width.get() < 700.0;
    let bar = move || {
        residual_bar(&ResidualBar {
            read,
            after,
            width_px: bar_width(tablet.width.get()),
            phone: phone(),
        })
    };
    let link = move || {
        let glass = tablet.width.get();
        let width_px = match glass {
            w if w < 700.0 => 20.0,
            w if w < 1024.0 => 44.0,
            _ => 36.0,
        };
        residual_link(width_px, marked)
    };
    let touch = move || {
        close_to(
            tablet,
            vec![format!("[data-testid=\"dial-{}\"]", word(dial))],
        );
        tablet.press(Key::Touch(dial));
    };
    view! {
        <li class="dp-row">
            <button class="plate" data-testid=format!("doubt-row-{}", word(dial)) on:click=move |_| touch()>
                <span class="hidden-words">{row.spoken}". Touch to correct it."</span>
                <span class="dp-name" aria-hidden="true">{row.name}</span>
                <span class="dp-value" aria-hidden="true">{row.value}</span>
            </button>
            <span class="dp-link" aria-hidden="true" inner_html=link></span>
            <span class="dp-bar" aria-hidden="true" inner_html=bar></span>
            <span class="dp-size" aria-hidden="true"><span class="dp-times"><b>{row.size}</b>" × "</span><span class="dp-own">{row.own}</span></span>
        </li>
    }
}

#[component]
fn OneWay(index: usize, way: Way, settle: Callback<Choice>) -> impl IntoView {
    let choice = way.choice.clone();
    view! {
        <button class="dp-way" class:first=index == 0 data-testid=format!("explain-{index}") on:click=move |_| {
            if let Some(choice) = choice.clone() {
                settle.run(choice);
            }
        }>
            <span class="dp-odds"><b>{way.odds.0}</b><span>{format!(" {}", way.odds.1)}</span></span>
            <span class="dp-why"><b>{value(&way.words)}</b><span class="hidden-words">". "</span><span class="soft">{value(&way.detail)}</span></span>
            <span class="dp-small" aria-hidden="true" inner_html=small_bars(&way.bars)></span>
            <span class="dp-accept"><span aria-hidden="true" inner_html=icon(Icon::Arrow)></span><b>" accept"</b></span>
        </button>
    }
}

#[component]
fn OneTried(index: usize, way: Way) -> impl IntoView {
    view! {
        <div class="dp-way tried" data-testid=format!("tried-{index}")>
            <p class="dp-odds"><b>{way.odds.0}</b><span>{format!(" {}", way.odds.1)}</span></p>
            <p class="dp-why"><b>"Also tried: "{value(&way.words)}</b><span class="hidden-words">". "</span><span class="soft">{value(&way.detail)}</span></p>
            <span class="dp-small" aria-hidden="true" inner_html=small_bars(&way.bars)></span>
        </div>
    }
}

/// The small net: the plane as read, what the dials say of the line, where the best explanation has both.
fn drawn_net(page: &DoubtPage) -> String {
    let plane = |(strike_deg, dip_deg): (f64, f64), sure: bool| OpenPlane {
        strike_deg,
        dip_deg,
        label: None,
        sure,
    };
    let read = page.plane.map(|p| plane(p, true));
    let other = page.other_plane.map(|p| plane(p, false));
    let planes: Vec<OpenPlane<'_>> = read.into_iter().chain(other).collect();
    let marks: Vec<Mark<'_>> = page
        .said
        .iter()
        .map(|said| Mark {
            trend_deg: said.trend_deg,
            plunge_deg: said.plunge_deg,
            label: &said.label,
            form: said.form,
        })
        .collect();
    net(&Net {
        size_px: 230.0,
        open_planes: &planes,
        marks: &marks,
        small: true,
        ..Net::default()
    })
}
