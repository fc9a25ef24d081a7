//! The net with its legend, its figures and what can be done on it.

use std::sync::Arc;

use leptos::html::{Canvas, Div, P};
use leptos::prelude::*;

use super::canvas::Easel;
use super::choosing::Choosing;
use super::legend::{Legend, marks};
use super::linework::{Over, Sheet};
use super::petals;
use super::plot::{Frame, Plot, REACH_PX};
use super::saving::save;
use super::selected::Selected;
use super::selection::{Of, Selection};
use super::state::NetState;
use super::table::NetTable;
use super::told::{self, Figure};
use super::words;
use crate::app::outcrop::kinds;
use crate::app::parts::line::value;
use crate::app::parts::tablet::Tablet;
use crate::exchange::net_figure::Planes;

/// How far a lasso has come.
#[derive(Clone, Copy, PartialEq)]
pub(in crate::app) enum Lasso {
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
    let how = RwSignal::new(false);
    let notation = Memo::new(move |_| tablet.settings.with(|s| s.notation));
    let lead = Memo::new(move |_| {
        let figures = net.figures.get()?;
        told::lead(&figures, notation.get())
    });
    let rose = Memo::new(move |_| !glance && net.drawn.with(|d| d.rose));
    // Beside a rose its own mean stands largest.
    let shown_lead = Memo::new(move |_| {
        if rose.get() {
            let figures = net.figures.get()?;
            let all = told::further(&figures, notation.get());
            return all.into_iter().find(|f| f.name.starts_with("mean "));
        }
        lead.get()
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
            {move || if rose.get() {
                view! { <Rose/> }.into_any()
            } else {
                view! { <Ground lasso=lasso lead=lead/> }.into_any()
            }}
            <Legend lead=shown_lead glance=glance how=how/>
            {move || how.get().then(|| view! { <How lead=lead/> })}
            {(!glance).then(|| view! {
                <div class="net-acts">
                    <Selected lasso=lasso/>
                    <div class="set">
                        {plate(Below::Choosing, "net-show", "Show")}
                        <button
                            class="plate"
                            data-testid="net-rose"
                            aria-pressed=move || rose.get().to_string()
                            on:click=move |_| net.drawn.update(|d| d.rose = !d.rose)
                        >"Rose"</button>
                        <button
                            class="plate"
                            data-testid="net-lasso"
                            disabled=move || rose.get()
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

/// Method and source of the largest figure, and which readings it is of, where the net is only glanced at.
#[component]
fn How(lead: Memo<Option<Figure>>) -> impl IntoView {
    let net = NetState::expect();
    let words = NodeRef::<P>::new();
    Effect::new(move |_| {
        let Some(words) = words.get() else {
            return;
        };
        request_animation_frame(move || {
            let below = window().inner_height().ok().and_then(|h| h.as_f64());
            if below.is_some_and(|edge| words.get_bounding_client_rect().bottom() > edge) {
                words.scroll_into_view_with_bool(false);
            }
        });
    });
    let of = move || {
        let of = net
            .wanted
            .with(|wanted| words::chosen(wanted, |station| net.station_name(station)));
        if !of.is_empty() {
            return of;
        }
        let kind = net.figures.with(|f| f.as_ref().map(|f| f.kind.clone()));
        let kind = kind.unwrap_or_default();
        format!("all {} of the book", kinds::words(&kind))
    };
    view! {
        <p class="small net-how" node_ref=words data-testid="net-glance-method">
            {move || lead.get().map(|lead| format!("{} Readings: {}.", lead.reckoned, of()))}
        </p>
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
        let (density, fits) = (net.density.get(), net.fits.get());
        let slips: Vec<_> = {
            let (all, chosen) = (net.data.read(), net.chosen.read());
            chosen.iter().filter_map(|i| all.get(*i)?.slip).collect()
        };
        let (planes, levels) = net.drawn.with(|d| (d.planes, d.levels));
        sheet().beneath(
            density.as_deref().map(|d| (d, levels)),
            &fits,
            &slips,
            planes,
        )
    };
    let above = move || {
        let plot = plot.get();
        let (mut planes, mut marks) = (Vec::new(), Vec::new());
        net.selection.with(|selection| {
            if selection.records.is_empty() {
                return;
            }
            let (all, chosen) = (net.data.read(), net.chosen.read());
            let few = selection.records.len() <= BANDS;
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
        let axis = net
            .figures
            .with(|f| f.as_ref().and_then(|f| f.named_axis()));
        let (fits, shots) = (net.fits.get(), net.shots.get());
        sheet().above(&Over {
            planes: &planes,
            marks: &marks,
            shots: shots.as_deref(),
            as_drawn: net.drawn.with(|d| d.planes),
            members: &members(net),
            fits: &fits,
            named: axis.as_ref().map(|a| (a, "axis")),
            corner,
        })
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
        let rows: Vec<(String, usize)> = marks(net)
            .into_iter()
            .map(|(_, words, count)| (words, count))
            .collect();
        let shown = words::projection(drawn.projection, drawn.hemisphere);
        lead.with(|lead| words::sentence(&shown, drawn.planes, &rows, lead.as_ref()))
    };
    let shown = move || {
        let drawn = net.drawn.get();
        let chosen = net
            .wanted
            .with(|wanted| words::chosen(wanted, |station| net.station_name(station)));
        let shown = words::projection(drawn.projection, drawn.hemisphere);
        if chosen.is_empty() {
            shown
        } else {
            format!("{shown}; only {chosen}")
        }
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

/// The marks of the limbs that were chosen by hand, and whether of the second; none while the limbs are not shown.
fn members(net: NetState) -> Vec<((f64, f64), bool)> {
    let drawn = net.drawn.get();
    let Some(hand) = net
        .hand
        .get()
        .filter(|_| drawn.limbs && drawn.planes == Planes::Poles)
    else {
        return Vec::new();
    };
    let (all, chosen) = (net.data.read(), net.chosen.read());
    let of = chosen.iter().filter_map(|i| all.get(*i));
    of.filter_map(|d| {
        let (pole, limb) = (d.pole()?, hand.limb_of(&d.record)?);
        Some((drawn.projection.project(drawn.hemisphere, &pole), limb == 1))
    })
    .take(MARKED)
    .collect()
}

/// The rose of the strikes or trends, in the net's place.
#[component]
fn Rose() -> impl IntoView {
    let (tablet, net) = (Tablet::expect(), NetState::expect());
    let ground = NodeRef::<Div>::new();
    let side = RwSignal::new(0.0_f64);
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
    let svg = move || {
        let figures = net.figures.get();
        figures.map_or_else(String::new, |f| petals::rose(&f, side.get()))
    };
    let words = move || {
        let notation = tablet.settings.with(|s| s.notation);
        net.figures.get().map_or_else(
            || "Rose: nothing on it.".to_owned(),
            |f| {
                let told: Vec<Figure> = told::further(&f, notation)
                    .into_iter()
                    .filter(|t| t.name.starts_with("mean ") || t.name.contains("even by chance"))
                    .collect();
                petals::sentence(&f, &told)
            },
        )
    };
    let shown = move || net.figures.get().map(|f| petals::shown(&f));
    view! {
        <div class="net-box-with-name">
            <div class="net-ground" node_ref=ground role="img" aria-label=words data-testid="net-rose-ground">
                <div inner_html=svg></div>
            </div>
            <p class="small soft net-shown" data-testid="net-shown">{shown}</p>
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
            all.extend(told::further(&figures, notation));
            let (data, chosen) = (net.data.get(), net.chosen.get());
            let of_kind: Vec<_> = chosen
                .iter()
                .filter_map(|&i| data.get(i))
                .filter(|d| d.kind == figures.kind)
                .collect();
            all.extend(told::outlook(&figures.kind, &of_kind, notation));
            let levels = net.drawn.with(|d| d.levels);
            let density = net.density.get();
            all.extend(density.map(|density| told::contours(&density, levels)));
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
