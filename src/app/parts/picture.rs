//! From a file of the camera to the picture that the book keeps: turned upright, scaled, and written anew as JPEG.
//!
//! What else was in the file (place, time, camera, a smaller picture) does not come along: only what is seen is kept.

use std::sync::Arc;

use js_sys::{Promise, Reflect};
use leptos::prelude::*;
use wasm_bindgen::closure::Closure;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;
use web_sys::{Blob, CanvasRenderingContext2d, File, HtmlCanvasElement, ImageBitmap};

use crate::app::outcrop::photo::scaled;
use crate::notebook::photos::sha256;

use super::{clock, file};

/// What a kept picture is.
pub(crate) const MEDIA: &str = "image/jpeg";

/// The quality of the JPEG, 0 to 1: no difference to be seen on the glass, an eighth of the camera's file.
const QUALITY: f64 = 0.85;

/// A picture as the book keeps it.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Picture {
    pub(crate) bytes: Arc<[u8]>,
    pub(crate) sha256: String,
    pub(crate) width: u32,
    pub(crate) height: u32,
    /// When it was taken.
    pub(crate) at: String,
}

/// Makes the picture of a file.
pub(crate) async fn of(source: &File) -> Result<Picture, String> {
    let at = clock::now();
    let bitmap = decoded(source).await.map_err(|error| {
        format!(
            "no photo was made of `{}`, which this browser cannot read as a picture ({}); choose a JPEG or PNG, or take it with the camera",
            source.name(),
            file::words(&error)
        )
    })?;
    let (width, height) = scaled(bitmap.width(), bitmap.height());
    let written = written(&bitmap, width, height).await;
    bitmap.close();
    let blob = written.map_err(|error| {
        format!(
            "no photo was made of `{}`: the browser could not scale it ({}); close other pages and take it again",
            source.name(),
            file::words(&error)
        )
    })?;
    let bytes = file::read(&blob).await?;
    Ok(Picture {
        sha256: sha256(&bytes),
        bytes: bytes.into(),
        width,
        height,
        at,
    })
}

/// The picture as it is to be seen: browsers turn it upright by what the camera noted.
async fn decoded(source: &File) -> Result<ImageBitmap, JsValue> {
    JsFuture::from(window().create_image_bitmap_with_blob(source)?)
        .await?
        .dyn_into()
}

/// Draws the picture at its size on white, and writes it as JPEG.
async fn written(bitmap: &ImageBitmap, width: u32, height: u32) -> Result<Blob, JsValue> {
    let canvas: HtmlCanvasElement = document().create_element("canvas")?.dyn_into()?;
    canvas.set_width(width);
    canvas.set_height(height);
    let context: CanvasRenderingContext2d = canvas
        .get_context("2d")?
        .ok_or_else(|| JsValue::from_str("no canvas"))?
        .dyn_into()?;
    // A browser that does not know the word scales as it always does.
    let _ = Reflect::set(&context, &"imageSmoothingQuality".into(), &"high".into());
    let (w, h) = (f64::from(width), f64::from(height));
    context.set_fill_style_str("white");
    context.fill_rect(0.0, 0.0, w, h);
    context.draw_image_with_image_bitmap_and_dw_and_dh(bitmap, 0.0, 0.0, w, h)?;
    let made = Promise::new(&mut |resolve, reject| {
        let done = Closure::once_into_js(move |blob: JsValue| {
            // Calling a promise's own function cannot throw.
            let _ = resolve.call1(&JsValue::NULL, &blob);
        });
        let asked = canvas.to_blob_with_type_and_encoder_options(
            done.unchecked_ref(),
            MEDIA,
            &QUALITY.into(),
        );
        if let Err(error) = asked {
            // As above.
            let _ = reject.call1(&JsValue::NULL, &error);
        }
    });
    JsFuture::from(made)
        .await?
        .dyn_into()
        .map_err(|_| JsValue::from(js_sys::Error::new("it gave no picture")))
}
