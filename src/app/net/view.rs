//! The net with its legend, its figures and what can be done on it.

use std::sync::Arc;

use leptos::html::{Canvas, Div};
use leptos::prelude::*;

use super::canvas::{Easel, MOST_CIRCLES};
use super::choosing::Choosing;
use super::linework::{Sheet, circle_sample, close_up, line_sample, mark_sample};
use super::plot::{Frame, Plot, REACH_PX};
use super::saving::save;
use super::selection::{Of, Selection};
use super::state::NetState;
use super::table::NetTable;
use super::words::{self, Figure, better_cone};
use crate::app::drawing::spread;
use crate::app::outcrop::kinds;
use crate::app::parts::line::value;
use crate::app::parts::tablet::Tablet;
use crate::exchange::net_figure::{Mark, Planes, legend};
use crate::notebook::attitude;
use crate::notebook::figures::Figures;

/// How far a lasso has come.
#[derive(Clone, Copy, PartialEq)]
enum Lasso {
    Off,
    /// The next tap is its first corner.
    First,
    /// The next tap is the corner opposite to this place.
    Second((f64, f64)),
}

/// What stands open below the net.
#[derive(Clone, Copy, PartialEq)]
enum Below {
    Nothing,
    Choosing,
    Table,
    Reckoned,
}

/// Of this many selected readings the planes are drawn as bands.
const BANDS: usize = 3;

/// Of this many selected readings each is marked by itself.
const MARKED: usize = 2_000;

/// The net, its legend beside or below it, and plates. What it shows and what is selected is in [`NetState`].
///
/// With `glance` only the net and its legend, for a place that is narrow.
#[component]
pub(in crate::app) fn NetView(#[prop(optional)] glance: bool) -> impl IntoView {
    let (tablet, net) = (Tablet::expect(), NetState::expect());
    let below = RwSignal::new(Below::Nothing);
    let lasso = RwSignal::new(Lasso::Off);
    let said = RwSignal::new(String::new());
    let notation = Memo::new(move |_| tablet.settings.with(|s| s.notation));
    let lead = Memo::new(move |_| {
        let figures = net.figures.get()?;
        words::lead(&figures, notation.get())
    });
    let plate = move |what: Below, name: &'static str, words: &'static str| {
        view! {
            <button
                class="plate"
                data-testid=name
                aria-expanded=move || (below.get() == what).to_string()
                on:click=move |_| below.update(|b| *b = if *b == what { Below::Nothing } else { what })
            >{words}</button>
        }
    };
    view! {
        <div class="net-view" class:glance=glance data-testid="net-view">
            <Ground lasso=lasso lead=lead/>
            <Legend lead=lead/>
            {(!glance).then(|| view! {
                <div class="net-acts">
                    <Selected lasso=lasso/>
                    <div class="set">
                        {plate(Below::Choosing, "net-show", "Show")}
                        <button
                            class="plate"
                            data-testid="net-lasso"
                            aria-pressed=move || (lasso.get() != Lasso::Off).to_string()
                            on:click=move |_| lasso.update(|l| *l = if *l == Lasso::Off { Lasso::First } else { Lasso::Off })
                        >"Lasso"</button>
                        {plate(Below::Table, "net-as-table", "Table")}
                        {plate(Below::Reckoned, "net-reckoned", "How it is reckoned")}
                        <button class="plate" data-testid="net-svg" on:click=move |_| save(tablet, net, false, said)>"SVG"</button>
                        <button class="plate" data-testid="net-png" on:click=move |_| save(tablet, net, true, said)>"PNG"</button>
                    </div>
                    <p class="small soft" role="status" data-testid="net-said">{said}</p>
                </div>
                {move || match below.get() {
                    Below::Nothing => ().into_any(),
                    Below::Choosing => view! { <Choosing/> }.into_any(),
                    Below::Table => view! { <NetTable/> }.into_any(),
                    Below::Reckoned => ().into_any(),
                }}
                <FigureRows reckoned=Signal::derive(move || below.get() == Below::Reckoned) lead=lead/>
            })}
        </div>
    }
}

/// The net itself.
#[component]
fn Ground(lasso: RwSignal<Lasso>, lead: Memo<Option<Figure>>) -> impl IntoView {
    let (tablet, net) = (Tablet::expect(), NetState::expect());
    let (ground, canvas) = (NodeRef::<Div>::new(), NodeRef::<Canvas>::new());
    let side = RwSignal::new(0.0_f64);
    let easel = StoredValue::new_local(Easel::default());
    let light = Memo::new(move |_| tablet.settings.with(|s| s.light));
    let plot = Memo::new(move |_| {
        let drawn = net.drawn.get();
        Arc::new(Plot::of(
            &net.data.read(),
            &net.chosen.read(),
            drawn.planes,
            drawn.projection,
            drawn.hemisphere,
        ))
    });
    // After the page is laid out anew: the side is what the layout gives.
    Effect::new(move |_| {
        tablet.width.track();
        if ground.get().is_some() {
            request_animation_frame(move || {
                if let Some(ground) = ground.try_get_untracked().flatten() {
                    side.try_set(f64::from(ground.client_width()));
                }
            });
        }
    });
    Effect::new(move |_| {
        plot.track();
        light.track();
        if side.get() > 0.0 && canvas.get().is_some() {
            // After the light has reached the tokens.
            request_animation_frame(move || {
                let (Some(Some(canvas)), Some(plot), Some(side)) = (
                    canvas.try_get_untracked(),
                    plot.try_get_untracked(),
                    side.try_get_untracked(),
                ) else {
                    return;
                };
                // A canvas without a context leaves the legend, the figures and the table.
                let _ = easel.try_update_value(|easel| easel.draw(&canvas, &plot, side));
            });
        }
    });
    let sheet = move || {
        let drawn = net.drawn.get();
        Sheet {
            side_px: side.get(),
            projection: drawn.projection,
            hemisphere: drawn.hemisphere,
        }
    };
    let beneath = move || {
        let (density, figures) = (net.density.get(), net.figures.get());
        sheet().beneath(density.as_deref(), figures.as_deref())
    };
    let above = move || {
        let plot = plot.get();
        let (mut planes, mut marks) = (Vec::new(), Vec::new());
        net.selection.with(|selection| {
            let (all, chosen) = (net.data.read(), net.chosen.read());
            let few = selection.records.len() <= BANDS;
            if selection.records.is_empty() {
                return;
            }
            let found = chosen
                .iter()
                .filter(|i| all.get(**i).is_some_and(|d| selection.has(&d.record)));
            for i in found.take(MARKED) {
                marks.extend(plot.places(*i));
                if let Some(pole) = all.get(*i).and_then(|d| d.pole()).filter(|_| few) {
                    planes.push(pole);
                }
            }
        });
        let corner = match lasso.get() {
            Lasso::Second(place) => Some(place),
            _ => None,
        };
        let figures = net.figures.get();
        let axis = figures.as_deref().and_then(named_axis);
        sheet().above(&planes, &marks, axis.as_ref().map(|a| (a, "axis")), corner)
    };
    let tapped = move |event: leptos::ev::MouseEvent| {
        let Some(ground) = ground.get_untracked() else {
            return;
        };
        let rect = ground.get_bounding_client_rect();
        let at = (
            f64::from(event.client_x()) - rect.left(),
            f64::from(event.client_y()) - rect.top(),
        );
        let frame = Frame::of(side.get_untracked());
        let place = frame.under(at);
        match lasso.get_untracked() {
            Lasso::First => lasso.set(Lasso::Second(place)),
            Lasso::Second(corner) => {
                net.select_all(&plot.get_untracked().inside(corner, place), Of::Net);
                lasso.set(Lasso::Off);
            }
            Lasso::Off => match plot.get_untracked().nearest(place, REACH_PX / frame.radius) {
                Some(found) => net.select_all(&[found], Of::Net),
                None => net.selection.set(Selection::default()),
            },
        }
    };
    let words = move || {
        let drawn = net.drawn.get();
        let rows: Vec<(String, usize)> = rows(net)
            .into_iter()
            .map(|(_, words, count)| (words, count))
            .collect();
        let shown = words::projection(drawn.projection, drawn.hemisphere);
        lead.with(|lead| words::sentence(&shown, drawn.planes, &rows, lead.as_ref()))
    };
    let shown = move || {
        let drawn = net.drawn.get();
        words::projection(drawn.projection, drawn.hemisphere)
    };
    view! {
        <div class="net-box-with-name">
            <div class="net-ground" node_ref=ground role="img" aria-label=words data-testid="net-ground" on:click=tapped>
                <div inner_html=beneath></div>
                <canvas node_ref=canvas></canvas>
                <div inner_html=above></div>
            </div>
            <p class="small soft net-shown" data-testid="net-shown">{shown}</p>
        </div>
    }
}

/// The axis that is named on the net: of the fold or of the cone.
fn named_axis(figures: &Figures) -> Option<crate::orientation::Line> {
    better_cone(figures)
        .map(|c| c.axis)
        .or_else(|| figures.cylinder.as_ref().map(|c| c.axis))
}

/// The rows of the legend.
fn rows(net: NetState) -> Vec<(Mark, String, usize)> {
    let (all, chosen) = (net.data.read(), net.chosen.read());
    let of: Vec<_> = chosen.iter().filter_map(|i| all.get(*i)).collect();
    let mut rows = legend(&of);
    // Planes before lines, what is overturned after what is not.
    rows.sort_by_key(|(mark, ..)| (*mark == Mark::Plus, *mark));
    rows
}

/// The largest figure with its close-up, and what every mark stands for.
#[component]
fn Legend(lead: Memo<Option<Figure>>) -> impl IntoView {
    let net = NetState::expect();
    let rows = Memo::new(move |_| rows(net));
    let circles = move || net.drawn.with(|d| d.planes == Planes::Circles);
    let ellipse = move || {
        let figures = net.figures.get()?;
        if better_cone(&figures).is_some() {
            return None;
        }
        let ellipse = match &figures.cylinder {
            Some(cylinder) => cylinder.ellipse?,
            None => figures.mean?,
        };
        let (all, chosen) = (net.data.read(), net.chosen.read());
        let lines: Vec<_> = chosen
            .iter()
            .filter_map(|i| Some(all.get(*i)?.line.as_ref()?.vector()))
            .collect();
        let (svg, ring_deg) = close_up(&ellipse, &lines);
        Some(view! {
            <div class="net-close" aria-hidden="true">
                <div inner_html=svg></div>
                <b>{format!("{ring_deg:.0}°")}</b>
            </div>
        })
    };
    let line_row = |contours: bool, words: String| {
        view! { <li><span class="long" aria-hidden="true" inner_html=line_sample(contours)></span><span>{words}</span></li> }
    };
    view! {
        <div class="net-legend">
            <div class="net-lead">
                {move || lead.get().map(|lead| view! {
                    <div data-testid="net-lead">
                        <p class="num">{value(&lead.value)}</p>
                        <p class="small soft">{lead.name}</p>
                        <p class="small soft" data-testid="net-within">{lead.detail}</p>
                    </div>
                })}
                {ellipse}
            </div>
            <ul aria-label="legend" data-testid="net-legend">
                {move || {
                    let circles = circles();
                    rows.get().into_iter().map(|(mark, words, count)| {
                        let as_circle = circles && mark != Mark::Plus;
                        let words = if as_circle { words.replace(" pole", " great circle") } else { words };
                        let limit = if as_circle && count > MOST_CIRCLES { format!(", {MOST_CIRCLES} drawn") } else { String::new() };
                        view! {
                            <li data-testid=format!("net-legend-{}", kinds::slug(&words))>
                                <span aria-hidden="true" inner_html=if as_circle { circle_sample() } else { mark_sample(mark) }></span>
                                <span>{words.clone()}{limit}</span>
                                <span class="count">{count}</span>
                            </li>
                        }
                    }).collect_view()
                }}
                {move || {
                    let figures = net.figures.get()?;
                    let words = match (better_cone(&figures), &figures.cylinder) {
                        (Some(_), _) => "fitted cone",
                        (None, Some(_)) => "fitted girdle",
                        (None, None) => return None,
                    };
                    Some(line_row(false, words.to_owned()))
                }}
                {move || net.density.with(Option::is_some).then(|| {
                    let of = net.figures.get().map(|f| kinds::words(&f.kind).to_owned()).unwrap_or_default();
                    line_row(true, format!("{of} at 2, 4, 8 × even"))
                })}
            </ul>
        </div>
    }
}

/// What is selected, and the way to it.
#[component]
fn Selected(lasso: RwSignal<Lasso>) -> impl IntoView {
    let (tablet, net) = (Tablet::expect(), NetState::expect());
    let only = move || {
        let selection = net.selection.get();
        let record = selection.only()?;
        let all = net.data.get();
        let datum = all.iter().find(|d| d.record == record)?.clone();
        let notation = tablet.settings.with(|s| s.notation);
        let shots = tablet.read(|shelf| {
            let (reading, _) = shelf.reading(record)?;
            let attitude = attitude::of(reading);
            let of = |shots: &[crate::orientation::Offset]| -> Vec<Option<(f64, f64)>> {
                let offsets = shots.iter().map(|o| Some((o.clockwise_deg, o.steeper_deg)));
                offsets.collect()
            };
            let (expected_deg, offsets) = match (&attitude.plane_mean, &attitude.line_mean) {
                (Some(mean), _) => (mean.expected_deg, of(&mean.shots)),
                (None, Some(mean)) => (mean.expected_deg, of(&mean.shots)),
                (None, None) => return None,
            };
            (offsets.len() > 1).then(|| spread(expected_deg, &offsets, &[]))
        });
        let (opened, name) = (datum.record.clone(), datum.name.clone());
        Some(view! {
            {shots.map(|svg| view! { <div class="net-shots" role="img" aria-label="its shots around their mean; rings at once and twice the expected scatter" inner_html=svg></div> })}
            <p>
                <b>{datum.name.clone()}</b>" "{kinds::words(&datum.kind).to_owned()}" "
                <span class="num">{value(&words::value(&datum, notation))}</span>
            </p>
            <button class="plate" data-testid="net-open-reading" on:click=move |_| tablet.open_record(&opened)>{format!("Open {name}")}</button>
        })
    };
    let said = move || match lasso.get() {
        Lasso::First => "Tap one corner of what the lasso holds.".to_owned(),
        Lasso::Second(_) => "Tap the corner opposite.".to_owned(),
        Lasso::Off => match net.selection.with(|s| (s.records.len(), s.of)) {
            (0, Of::Net) => "The lasso holds nothing.".to_owned(),
            (0, _) => "Tap a mark to reach its reading.".to_owned(),
            (1, _) => String::new(),
            (count, _) => format!("{count} readings selected."),
        },
    };
    let any = move || net.selection.with(|s| !s.records.is_empty());
    view! {
        <div class="net-selected" data-testid="net-selected" role="status">
            {move || { let said = said(); (!said.is_empty()).then(|| view! { <p>{said}</p> }) }}
            {only}
            {move || any().then(|| view! {
                <button class="plate" data-testid="net-let-go" on:click=move |_| net.selection.set(Selection::default())>"Let go"</button>
            })}
        </div>
    }
}

/// The figures in words, with their methods where they are asked for.
#[component]
fn FigureRows(reckoned: Signal<bool>, lead: Memo<Option<Figure>>) -> impl IntoView {
    let (tablet, net) = (Tablet::expect(), NetState::expect());
    let all = Memo::new(move |_| {
        let notation = tablet.settings.with(|s| s.notation);
        let figures = net.figures.get();
        let lead = lead.get();
        let mut all: Vec<Figure> = lead.into_iter().collect();
        if let Some(figures) = figures {
            all.extend(words::further(&figures, notation));
            let (data, chosen) = (net.data.get(), net.chosen.get());
            let of_kind: Vec<_> = chosen
                .iter()
                .filter_map(|&i| data.get(i))
                .filter(|d| d.kind == figures.kind)
                .collect();
            all.extend(words::outlook(&figures.kind, &of_kind, notation));
        }
        all
    });
    view! {
        <ul class="net-figures" aria-label="figures" data-testid="net-figures">
            {move || all.get().into_iter().map(|figure| view! {
                <li>
                    <span class="name">{figure.name}</span>
                    <span class="num">{value(&figure.value)}</span>
                    <span class="small soft">{figure.detail}</span>
                    {reckoned.get().then(|| view! { <span class="small how">{figure.reckoned}</span> })}
                </li>
            }).collect_view()}
        </ul>
    }
}
