//! Files: handing one to the person, reading one that the person chose, reading one that came with the app.

use js_sys::{Array, Object, Reflect};
use leptos::prelude::*;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;
use web_sys::{Blob, BlobPropertyBag, File, HtmlAnchorElement, Response, Url};

/// What the browser says went wrong.
pub(crate) fn words(error: &JsValue) -> String {
    Reflect::get(error, &"message".into())
        .ok()
        .and_then(|m| m.as_string())
        .unwrap_or_else(|| "the browser gave no reason".to_owned())
}

/// Downloads a text as a file.
pub(crate) fn download(name: &str, text: &str) -> Result<(), String> {
    hand_out(name, &address(text, "application/json")?)
}

/// The address under which this page holds a text; it is given up when the page ends.
pub(crate) fn address(text: &str, kind: &str) -> Result<String, String> {
    let make = || -> Result<String, JsValue> {
        let parts = Array::of1(&JsValue::from_str(text));
        let options = BlobPropertyBag::new();
        options.set_type(kind);
        let blob = Blob::new_with_str_sequence_and_options(&parts, &options)?;
        Url::create_object_url_with_blob(&blob)
    };
    make().map_err(|e| words(&e))
}

/// Downloads bytes as a file.
pub(crate) fn download_bytes(name: &str, bytes: &[u8], kind: &str) -> Result<(), String> {
    let blob = blob(&[js_sys::Uint8Array::from(bytes).into()], kind)?;
    hand_out(name, &blob_address(&blob)?)
}

/// Parts put together, held by the browser.
pub(crate) fn blob(parts: &[JsValue], kind: &str) -> Result<Blob, String> {
    let parts: Array = parts.iter().collect();
    let options = BlobPropertyBag::new();
    options.set_type(kind);
    Blob::new_with_u8_array_sequence_and_options(&parts, &options).map_err(|e| words(&e))
}

/// The address under which this page holds what the browser has.
pub(crate) fn blob_address(blob: &Blob) -> Result<String, String> {
    Url::create_object_url_with_blob(blob).map_err(|e| words(&e))
}

/// Downloads what an address of this page holds.
pub(crate) fn hand_out(name: &str, address: &str) -> Result<(), String> {
    let make = || -> Result<(), JsValue> {
        let anchor: HtmlAnchorElement = document().create_element("a")?.dyn_into()?;
        anchor.set_href(address);
        anchor.set_download(name);
        document()
            .body()
            .ok_or_else(|| JsValue::from_str("no page"))?
            .append_child(&anchor)?;
        anchor.click();
        anchor.remove();
        // The browser reads what is behind the address after this returns.
        Ok(())
    };
    make().map_err(|e| words(&e))
}

/// Whether this browser has a share sheet that takes files.
pub(crate) fn can_share() -> bool {
    let navigator = window().navigator();
    Reflect::get(&navigator, &"canShare".into()).is_ok_and(|f| f.is_function())
        && Reflect::get(&navigator, &"share".into()).is_ok_and(|f| f.is_function())
}

/// Opens the share sheet with the text as a file; `Ok(false)` where the person closed it.
pub(crate) async fn share(name: &str, text: &str) -> Result<bool, String> {
    share_part(name, &JsValue::from_str(text), "application/json").await
}

/// Opens the share sheet with bytes as a file, like [`share`].
pub(crate) async fn share_bytes(name: &str, bytes: &[u8], kind: &str) -> Result<bool, String> {
    share_part(name, &js_sys::Uint8Array::from(bytes).into(), kind).await
}

/// The same of what the browser holds, a text or a blob.
pub(crate) async fn share_part(name: &str, part: &JsValue, kind: &str) -> Result<bool, String> {
    let start = || -> Result<js_sys::Promise, JsValue> {
        let parts = Array::of1(part);
        let options = web_sys::FilePropertyBag::new();
        options.set_type(kind);
        let file = File::new_with_str_sequence_and_options(&parts, name, &options)?;
        let data = Object::new();
        Reflect::set(&data, &"files".into(), &Array::of1(&file))?;
        Reflect::set(&data, &"title".into(), &name.into())?;
        let navigator: JsValue = window().navigator().into();
        let share: js_sys::Function = Reflect::get(&navigator, &"share".into())?.dyn_into()?;
        share.call1(&navigator, &data)?.dyn_into()
    };
    let promise = start().map_err(|e| words(&e))?;
    match JsFuture::from(promise).await {
        Ok(_) => Ok(true),
        Err(error) => {
            let name = Reflect::get(&error, &"name".into())
                .ok()
                .and_then(|n| n.as_string());
            if name.as_deref() == Some("AbortError") {
                Ok(false)
            } else {
                Err(words(&error))
            }
        }
    }
}

/// The bytes of a file that the person chose, or of what the browser holds.
pub(crate) async fn read(file: &Blob) -> Result<Vec<u8>, String> {
    let bytes = JsFuture::from(file.array_buffer())
        .await
        .map_err(|e| words(&e))?;
    Ok(js_sys::Uint8Array::new(&bytes).to_vec())
}

/// The bytes of a file that came with the app.
pub(crate) async fn fetch_bytes(path: &str) -> Result<Vec<u8>, String> {
    let base = document().base_uri().ok().flatten().unwrap_or_default();
    let url = Url::new_with_base(path, &base).map_err(|e| words(&e))?;
    let response = JsFuture::from(window().fetch_with_str(&url.href()))
        .await
        .map_err(|e| words(&e))?;
    let response: Response = response.dyn_into().map_err(|e| words(&e))?;
    if !response.ok() {
        return Err(format!("the answer was {}", response.status()));
    }
    let bytes = response.array_buffer().map_err(|e| words(&e))?;
    let bytes = JsFuture::from(bytes).await.map_err(|e| words(&e))?;
    Ok(js_sys::Uint8Array::new(&bytes).to_vec())
}
