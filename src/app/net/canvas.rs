//! The marks on a canvas: stamped into bytes, then put there at once.

use leptos::prelude::*;
use wasm_bindgen::{Clamped, JsCast, JsValue};
use web_sys::{CanvasRenderingContext2d, HtmlCanvasElement, ImageData};

use super::plot::{Frame, Plot, SMALL_PX};
use super::stamp::{Colour, Picture, Stamps, Washes, colour, mark_radius_px};
use crate::exchange::net_figure::{MOST_CIRCLES, every};

/// From so many marks on, a pixel of the picture is a pixel of the page, however fine the screen, and is covered wholly or not at all.
const COARSE_FROM: usize = 20_000;

/// What is kept between two drawings.
#[derive(Default)]
pub(in crate::app) struct Easel {
    picture: Picture,
    stamps: Option<(f64, Washes, Stamps)>,
}

/// The washes of the light that is on, from the tokens.
fn washes() -> Washes {
    let style = document()
        .document_element()
        .and_then(|root| window().get_computed_style(&root).ok().flatten());
    let token = |name: &str| -> Colour {
        style
            .as_ref()
            .and_then(|s| s.get_property_value(name).ok())
            .and_then(|text| colour(&text))
            .unwrap_or_default()
    };
    Washes {
        ink: token("--ink"),
        paper: token("--paper"),
        bedding: token("--k-bedding"),
        cleavage: token("--k-cleavage"),
        joint: token("--k-joint"),
        fault: token("--k-fault"),
        line: token("--k-line"),
    }
}

/// A step of a drawing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::app) enum Step {
    /// Canvas, washes and stamps are ready, the picture is empty.
    Begun,
    /// Every mark is stamped.
    Stamped,
    /// The bytes are as a canvas takes them.
    Finished,
    /// They are on the canvas.
    Put,
}

impl Easel {
    /// Draws a plot on a canvas that is so many pixels of the page a side.
    pub(in crate::app) fn draw(
        &mut self,
        canvas: &HtmlCanvasElement,
        plot: &Plot,
        side_px: f64,
    ) -> Result<(), JsValue> {
        self.draw_step_by_step(canvas, plot, side_px, &mut |_| ())
    }

    /// As [`Easel::draw`], and says when each step is done.
    pub(in crate::app) fn draw_step_by_step(
        &mut self,
        canvas: &HtmlCanvasElement,
        plot: &Plot,
        side_px: f64,
        done: &mut dyn FnMut(Step),
    ) -> Result<(), JsValue> {
        let coarse = plot.len() > COARSE_FROM;
        let scale = if coarse {
            1.0
        } else {
            window().device_pixel_ratio().clamp(1.0, 3.0)
        };
        let washes = washes();
        let small = if side_px < SMALL_PX { 0.72 } else { 1.0 };
        let radius = mark_radius_px(plot.len()) * small * scale;
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // a size on the screen
        let side = (side_px * scale).round().clamp(1.0, 8192.0) as u32;
        if canvas.width() != side || canvas.height() != side {
            canvas.set_width(side);
            canvas.set_height(side);
        }
        let context: CanvasRenderingContext2d = canvas
            .get_context("2d")?
            .ok_or_else(|| JsValue::from_str("no canvas"))?
            .dyn_into()?;
        let frame = Frame::of(side_px);
        let frame = Frame {
            x: frame.x * scale,
            y: frame.y * scale,
            radius: frame.radius * scale,
        };
        // The size tells coarse from fine: what is drawn coarsely is drawn smaller.
        if !matches!(&self.stamps, Some((r, w, _)) if *r == radius && *w == washes) {
            let stamps = if coarse {
                Stamps::of_whole_pixels(radius, &washes)
            } else {
                Stamps::new(radius, &washes)
            };
            self.stamps = Some((radius, washes, stamps));
        }
        let side_of = usize::try_from(side).unwrap_or(1);
        self.picture.clear(side_of, side_of);
        done(Step::Begun);
        if let Some((_, _, stamps)) = &self.stamps {
            plot.stamp(&mut self.picture, stamps, &frame);
        }
        done(Step::Stamped);
        let bytes = self.picture.finished();
        done(Step::Finished);
        let data = ImageData::new_with_u8_clamped_array_and_sh(Clamped(bytes), side, side)?;
        context.put_image_data(&data, 0.0, 0.0)?;
        done(Step::Put);
        if plot.circle_count() > 0 {
            // Behind the marks that are there already.
            context.set_global_composite_operation("destination-over")?;
            let [r, g, b] = washes.ink;
            context.set_stroke_style_str(&format!("rgb({r} {g} {b})"));
            for (mark, circle) in plot
                .circles()
                .step_by(every(plot.circle_count(), MOST_CIRCLES))
            {
                let (weight, dashes) = mark.circle_style();
                let dashes: js_sys::Array =
                    dashes.iter().map(|d| JsValue::from(d * scale)).collect();
                context.set_line_width(weight * scale);
                context.set_line_dash(&dashes)?;
                context.begin_path();
                for (i, place) in circle.iter().enumerate() {
                    let (x, y) = frame.at(*place);
                    if i == 0 {
                        context.move_to(x, y);
                    } else {
                        context.line_to(x, y);
                    }
                }
                context.stroke();
            }
            context.set_line_dash(&js_sys::Array::new())?;
            context.set_global_composite_operation("source-over")?;
        }
        Ok(())
    }
}
