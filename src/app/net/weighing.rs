//! A hidden page that times the drawing of the net, step by step.

use leptos::html::Canvas;
use leptos::prelude::*;
use wasm_bindgen::{JsCast, JsValue};
use web_sys::{CanvasRenderingContext2d, HtmlCanvasElement, Performance};

use super::canvas::{Easel, Step};
use super::plot::Plot;
use crate::exchange::net_figure::Mark;
use crate::orientation::statistics::Random;
use crate::orientation::{Hemisphere, Projection};

/// Poles.
const COUNT: usize = 100_000;

/// Drawings.
const TIMES: usize = 60;

/// Drawings before the first that counts: the browser compiles what is called often.
const WARMING: usize = 5;

/// Pixels a side.
const SIDE: f64 = 800.0;

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

/// The times of one drawing, milliseconds.
#[derive(Clone, Copy, Default)]
struct Times {
    projected: f64,
    stamped: f64,
    finished: f64,
    put: f64,
    whole: f64,
}

fn timed(
    easel: &mut Easel,
    canvas: &HtmlCanvasElement,
    plot: &mut Plot,
    hemisphere: Hemisphere,
    clock: &Performance,
) -> Result<Times, JsValue> {
    let context: CanvasRenderingContext2d = canvas
        .get_context("2d")?
        .ok_or_else(|| JsValue::from_str("no canvas"))?
        .dyn_into()?;
    let mut times = Times::default();
    let begun = clock.now();
    let mut before = begun;
    let mut lap = || {
        let now = clock.now();
        now - std::mem::replace(&mut before, now)
    };
    plot.project(Projection::EqualArea, hemisphere);
    times.projected = lap();
    easel.draw_step_by_step(canvas, plot, SIDE, &mut |step| {
        let took = lap();
        match step {
            Step::Begun | Step::Stamped => times.stamped += took,
            Step::Finished => times.finished = took,
            Step::Put => times.put = took,
        }
    })?;
    // A pixel that is read makes the browser do at once what it might have put off.
    context.get_image_data(0.0, 0.0, 1.0, 1.0)?;
    times.put += lap();
    times.whole = clock.now() - begun;
    Ok(times)
}

/// What so many drawings come to, in words; one that fails ends them.
fn weighed(canvas: &HtmlCanvasElement, clock: &Performance) -> Option<String> {
    let mut plot = strewn(COUNT);
    let mut easel = Easel::default();
    let mut taken = Vec::with_capacity(TIMES);
    for i in 0..TIMES + WARMING {
        let hemisphere = if i % 2 == 0 {
            Hemisphere::Lower
        } else {
            Hemisphere::Upper
        };
        let times = timed(&mut easel, canvas, &mut plot, hemisphere, clock).ok()?;
        if i >= WARMING {
            taken.push(times);
        }
    }
    // The clock ticks in tenths of a millisecond: a mean of many is finer, a median shows what disturbs it.
    let mean = |of: fn(&Times) -> f64| taken.iter().map(of).sum::<f64>() / TIMES as f64;
    let mut whole: Vec<f64> = taken.iter().map(|t| t.whole).collect();
    whole.sort_by(f64::total_cmp);
    Some(format!(
        "{COUNT} poles on {SIDE:.0} × {SIDE:.0}: median {:.1} ms, {:.1} to {:.1}, of {TIMES} drawings; \
         on average projecting {:.2}, stamping {:.2}, finishing {:.2}, putting {:.2}",
        whole[TIMES / 2],
        whole[0],
        whole[TIMES - 1],
        mean(|t| t.projected),
        mean(|t| t.stamped),
        mean(|t| t.finished),
        mean(|t| t.put),
    ))
}

/// Draws 100,000 poles again and again and says how long one drawing takes; reached by its address alone.
#[component]
pub(in crate::app) fn NetWeigh() -> impl IntoView {
    let canvas = NodeRef::<Canvas>::new();
    let words = RwSignal::new(String::new());
    Effect::new(move |_| {
        let (Some(canvas), Some(clock)) = (canvas.get(), window().performance()) else {
            return;
        };
        request_animation_frame(move || {
            if let Some(found) = weighed(&canvas, &clock) {
                words.try_set(found);
            }
        });
    });
    view! {
        <main class="room">
            <p role="status" data-testid="net-weighed">{words}</p>
            <canvas node_ref=canvas></canvas>
        </main>
    }
}
