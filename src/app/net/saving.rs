//! The net as a file: an SVG with its caption, or a PNG drawn from it.

use leptos::prelude::*;
use leptos::task::spawn_local;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;
use web_sys::{CanvasRenderingContext2d, HtmlCanvasElement, HtmlImageElement};

use super::state::NetState;
use super::words;
use crate::app::parts::tablet::Tablet;
use crate::app::parts::{clock, file};
use crate::app::written;
use crate::exchange::net_figure::NetFigure;
use crate::exchange::rose_figure::RoseFigure;

/// Pixels of the PNG for one of the figure.
const SCALE: f64 = 2.0;

/// The figure of what the net, or the rose in its place, shows now.
fn svg(tablet: Tablet, net: NetState) -> String {
    let today = clock::now();
    let book = tablet.read(|shelf| {
        let book = shelf.pages.book().map(|(_, book)| book.name.clone());
        book.unwrap_or_default()
    });
    let chosen = net
        .wanted
        .with(|wanted| words::chosen(wanted, |record| net.station_name(record)));
    let (all, places) = (net.data.get(), net.chosen.get());
    let (figures, density) = (net.figures.get(), net.density.get());
    let (drawn, shots) = (net.drawn.get(), net.shots.get());
    let date = written::day_words(today.get(..10).unwrap_or_default());
    if let Some(figures) = figures.as_deref().filter(|_| drawn.rose) {
        return RoseFigure {
            figures,
            book,
            date,
            chosen,
        }
        .svg();
    }
    NetFigure {
        projection: drawn.projection,
        hemisphere: drawn.hemisphere,
        planes: drawn.planes,
        data: places.iter().filter_map(|i| all.get(*i)).collect(),
        figures: figures.as_deref(),
        limbs: drawn.limbs,
        shots: shots.as_deref(),
        style: tablet.settings.with(|s| s.notation.style()),
        density: density.as_deref().map(|d| (d, drawn.levels)),
        book,
        date,
        chosen,
    }
    .svg()
}

/// Hands the net out as a file.
pub(in crate::app) fn save(tablet: Tablet, net: NetState, png: bool, said: RwSignal<String>) {
    let svg = untrack(|| svg(tablet, net));
    let name = if net.drawn.with_untracked(|d| d.rose) {
        "rose"
    } else {
        "net"
    };
    spawn_local(async move {
        let done = if png {
            match picture(&svg).await {
                Ok(address) => file::hand_out(&format!("{name}.png"), &address),
                Err(error) => Err(file::words(&error)),
            }
        } else {
            file::address(&svg, "image/svg+xml")
                .and_then(|at| file::hand_out(&format!("{name}.svg"), &at))
        };
        said.try_set(match done {
            Ok(()) => format!("{name}.{} is handed out", if png { "png" } else { "svg" }),
            Err(why) => format!("the {name} could not be handed out: {why}"),
        });
    });
}

/// The figure drawn by the browser, as an address that holds a PNG.
async fn picture(svg: &str) -> Result<String, JsValue> {
    let image = HtmlImageElement::new()?;
    image.set_src(&file::address(svg, "image/svg+xml").map_err(|e| JsValue::from_str(&e))?);
    JsFuture::from(image.decode()).await?;
    let (width, height) = (f64::from(image.width()), f64::from(image.height()));
    let canvas: HtmlCanvasElement = document().create_element("canvas")?.dyn_into()?;
    canvas.set_width(image.width() * 2);
    canvas.set_height(image.height() * 2);
    let context: CanvasRenderingContext2d = canvas
        .get_context("2d")?
        .ok_or_else(|| JsValue::from_str("no canvas"))?
        .dyn_into()?;
    context.draw_image_with_html_image_element_and_dw_and_dh(
        &image,
        0.0,
        0.0,
        width * SCALE,
        height * SCALE,
    )?;
    canvas.to_data_url()
}
