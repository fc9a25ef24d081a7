//! The net as a page of its own, and a hidden page that times its drawing.

use leptos::html::Canvas;
use leptos::prelude::*;

use super::canvas::Easel;
use super::plot::Plot;
use super::view::NetView;
use crate::app::parts::tablet::Tablet;
use crate::exchange::net_figure::Mark;
use crate::orientation::statistics::Random;
use crate::orientation::{Hemisphere, Projection};

/// The net, large.
#[component]
pub(in crate::app) fn NetPage() -> impl IntoView {
    let tablet = Tablet::expect();
    view! {
        <main class="room net-page" data-testid="net-page">
            <div class="day">
                <h1>"Net"</h1>
                <button class="plate end" data-testid="net-back" on:click=move |_| tablet.go("/traverse")>"List"</button>
            </div>
            <NetView/>
        </main>
    }
}

/// Poles by lot, half of them along a girdle, as a book with very many would have them.
fn strewn(count: usize) -> Plot {
    let mut random = Random::new(7);
    let mut plot = Plot::default();
    for i in 0..count {
        let wide = if i % 2 == 0 { 1.0 } else { 0.15 };
        let axis = nalgebra::Vector3::new(random.normal(), random.normal() * wide, random.normal());
        if let Some(axis) = axis.try_normalize(1e-9) {
            let mark = if i % 3 == 0 {
                Mark::Triangle
            } else {
                Mark::Disc
            };
            plot.add(&axis, mark, i);
        }
    }
    plot
}

/// Draws 100,000 poles again and again and says how long one drawing takes; reached by its address alone.
#[component]
pub(in crate::app) fn NetWeigh() -> impl IntoView {
    /// Poles.
    const COUNT: usize = 100_000;
    /// Drawings.
    const TIMES: usize = 60;
    /// Pixels a side.
    const SIDE: f64 = 800.0;
    let canvas = NodeRef::<Canvas>::new();
    let words = RwSignal::new(String::new());
    Effect::new(move |_| {
        let Some(canvas) = canvas.get() else {
            return;
        };
        let Some(clock) = window().performance() else {
            return;
        };
        request_animation_frame(move || {
            let mut plot = strewn(COUNT);
            let mut easel = Easel::default();
            let mut taken = Vec::with_capacity(TIMES);
            for i in 0..TIMES {
                let hemisphere = if i % 2 == 0 {
                    Hemisphere::Lower
                } else {
                    Hemisphere::Upper
                };
                let from = clock.now();
                plot.project(Projection::EqualArea, hemisphere);
                if easel.draw(&canvas, &plot, SIDE).is_err() {
                    return;
                }
                taken.push(clock.now() - from);
            }
            taken.sort_by(f64::total_cmp);
            words.try_set(format!(
                "{COUNT} poles on {SIDE:.0} × {SIDE:.0}: median {:.1} ms, {:.1} to {:.1}, of {TIMES} drawings",
                taken[TIMES / 2],
                taken[0],
                taken[TIMES - 1]
            ));
        });
    });
    view! {
        <main class="room">
            <p role="status" data-testid="net-weighed">{words}</p>
            <canvas node_ref=canvas></canvas>
        </main>
    }
}
