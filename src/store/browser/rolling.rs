//! The browser's private file system, where the rolling copies lie.

use std::collections::BTreeSet;

use js_sys::{AsyncIterator, Object, Promise, Reflect, Uint8Array};
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;
use web_sys::{Blob, File};

use super::connection::breathe;
use crate::store::rolling::{CopyFile, CopyName, photo_file, photo_of_file};

#[wasm_bindgen]
extern "C" {
    /// The storage manager, which older browsers have without the private file system.
    type Storage;

    #[wasm_bindgen(method, catch, js_name = getDirectory)]
    fn folder(this: &Storage) -> Result<Promise, JsValue>;

    #[wasm_bindgen(method, catch)]
    fn estimate(this: &Storage) -> Result<Promise, JsValue>;

    type Folder;

    #[wasm_bindgen(method, catch)]
    fn keys(this: &Folder) -> Result<AsyncIterator, JsValue>;

    #[wasm_bindgen(method, catch, js_name = getFileHandle)]
    fn handle(this: &Folder, name: &str, options: &Object) -> Result<Promise, JsValue>;

    #[wasm_bindgen(method, catch, js_name = removeEntry)]
    fn remove(this: &Folder, name: &str) -> Result<Promise, JsValue>;

    type Handle;

    #[wasm_bindgen(method, catch, js_name = getFile)]
    fn file(this: &Handle) -> Result<Promise, JsValue>;

    #[wasm_bindgen(method, catch, js_name = createWritable)]
    fn writable(this: &Handle) -> Result<Promise, JsValue>;

    type Writable;

    #[wasm_bindgen(method, catch)]
    fn write(this: &Writable, what: &JsValue) -> Result<Promise, JsValue>;

    #[wasm_bindgen(method, catch)]
    fn close(this: &Writable) -> Result<Promise, JsValue>;

    #[wasm_bindgen(method, catch)]
    fn abort(this: &Writable) -> Result<Promise, JsValue>;
}

/// One part of a file.
pub enum Part {
    /// What follows.
    Next(String),
    /// What stands at this byte in the place of what was written there.
    At(usize, String),
}

/// The folder of the copies.
pub struct Copies {
    folder: Folder,
}

/// The storage manager, where this page has one.
fn storage() -> Result<Storage, String> {
    let navigator = web_sys::window()
        .ok_or_else(|| "this is not a page".to_owned())?
        .navigator();
    let storage = Reflect::get(&navigator, &"storage".into()).unwrap_or_default();
    if storage.is_object() {
        Ok(storage.unchecked_into())
    } else {
        Err("this browser has no private file system".to_owned())
    }
}

/// Waits for what a call promised; what went wrong is in the browser's own words.
async fn done(promise: Result<Promise, JsValue>) -> Result<JsValue, String> {
    match promise {
        Ok(promise) => JsFuture::from(promise).await.map_err(|e| words(&e)),
        Err(error) => Err(words(&error)),
    }
}

fn words(error: &JsValue) -> String {
    let message = Reflect::get(error, &"message".into()).ok();
    message
        .and_then(|message| message.as_string())
        .filter(|message| !message.is_empty())
        .unwrap_or_else(|| "the browser gave no reason".to_owned())
}

fn set(object: &Object, key: &str, value: &JsValue) {
    // Setting a property of a fresh object cannot fail.
    let _ = Reflect::set(object, &key.into(), value);
}

impl Copies {
    /// Opens the private file system.
    ///
    /// # Errors
    /// Where this browser, or this page, has none; the words are the browser's own.
    pub async fn open() -> Result<Self, String> {
        let folder = done(storage()?.folder()).await?;
        Ok(Self {
            folder: folder.unchecked_into(),
        })
    }

    /// The copies that are there.
    ///
    /// # Errors
    /// Why they could not be listed.
    pub async fn list(&self) -> Result<Vec<CopyFile>, String> {
        let mut found = Vec::new();
        for name in self.names().await? {
            if let Some(name) = CopyName::of_file(&name) {
                // Another tab may have taken it away since.
                if let Ok(file) = self.file(&name.file()).await {
                    let bytes = file.size();
                    found.push(CopyFile { name, bytes });
                }
            }
        }
        Ok(found)
    }

    /// The photos that are copied, by SHA-256; one that was never whole is none.
    ///
    /// # Errors
    /// Why they could not be listed.
    pub async fn photos(&self) -> Result<BTreeSet<String>, String> {
        let mut found = BTreeSet::new();
        for name in self.names().await? {
            if let Some(sha256) = photo_of_file(&name)
                && let Ok(file) = self.file(&name).await
                && file.size() > 0.0
            {
                found.insert(sha256.to_owned());
            }
        }
        Ok(found)
    }

    /// The bytes of a photo's copy, as they are there: whether they are the photo's, their hash tells.
    ///
    /// # Errors
    /// Why they could not be read.
    pub async fn photo(&self, sha256: &str) -> Result<Vec<u8>, String> {
        bytes_of(&*self.file(&photo_file(sha256)).await?).await
    }

    /// Writes a photo under its hash; the file has nothing in it until the browser has put the whole in its place.
    ///
    /// # Errors
    /// Why it was not written.
    pub async fn write_photo(&self, sha256: &str, bytes: &Uint8Array) -> Result<(), String> {
        let name = photo_file(sha256);
        let stream: Writable = done(self.handle(&name, true).await?.writable())
            .await?
            .unchecked_into();
        let outcome = async {
            done(stream.write(bytes)).await?;
            done(stream.close()).await
        };
        if let Err(error) = outcome.await {
            // A stream that is broken already has nothing left to give up, and a file without bytes is no copy.
            let _ = done(stream.abort()).await;
            let _ = done(self.folder.remove(&name)).await;
            return Err(error);
        }
        let (there, all) = (self.file(&name).await?.size(), f64::from(bytes.length()));
        if there == all {
            Ok(())
        } else {
            Err(format!("{there} of {all} bytes are there"))
        }
    }

    /// How many bytes are free by the browser's own estimate; `None` where it makes none.
    pub async fn free() -> Option<f64> {
        let estimate = done(storage().ok()?.estimate()).await.ok()?;
        let of = |key: &str| Reflect::get(&estimate, &key.into()).ok()?.as_f64();
        Some(of("quota")? - of("usage")?)
    }

    /// The name of every file that is there.
    async fn names(&self) -> Result<Vec<String>, String> {
        let names = self.folder.keys().map_err(|e| words(&e))?;
        let mut found = Vec::new();
        loop {
            let next = done(names.next()).await?;
            let of = |key: &str| Reflect::get(&next, &key.into()).unwrap_or_default();
            if of("done").is_truthy() {
                return Ok(found);
            }
            found.extend(of("value").as_string());
        }
    }

    /// The first bytes of a copy as text.
    ///
    /// # Errors
    /// Why it could not be read.
    pub async fn start_of(&self, name: &CopyName, bytes: i32) -> Result<String, String> {
        let file = self.file(&name.file()).await?;
        let start = file
            .slice_with_i32_and_i32(0, bytes)
            .map_err(|e| words(&e))?;
        Ok(String::from_utf8_lossy(&bytes_of(&start).await?).into_owned())
    }

    /// A whole copy.
    ///
    /// # Errors
    /// Why it could not be read.
    pub async fn read(&self, name: &CopyName) -> Result<Vec<u8>, String> {
        let file = self.file(&name.file()).await?;
        bytes_of(&file).await
    }

    /// Writes a new copy part by part, with a turn for the screen and the keys between them where they may want one. The file has nothing in it until the last part
    /// is written and the browser has put the whole in its place.
    ///
    /// # Errors
    /// Why it was not written, or not wholly; the file that remains has no bytes.
    pub async fn write(
        &self,
        name: &CopyName,
        mut next: impl FnMut() -> Option<Part>,
        gives_way: bool,
    ) -> Result<(), String> {
        let file = self.handle(&name.file(), true).await?;
        let stream: Writable = done(file.writable()).await?.unchecked_into();
        let mut bytes = 0.0;
        let outcome = async {
            while let Some(part) = next() {
                match part {
                    Part::Next(text) => {
                        // Sizes are far below 2^53.
                        #[allow(clippy::cast_precision_loss)]
                        let size = text.len() as f64;
                        bytes += size;
                        done(stream.write(&text.into())).await?;
                    }
                    Part::At(place, text) => {
                        let what = Object::new();
                        set(&what, "type", &"write".into());
                        set(&what, "position", &place.into());
                        set(&what, "data", &text.into());
                        done(stream.write(&what)).await?;
                    }
                }
                if gives_way {
                    breathe().await;
                }
            }
            done(stream.close()).await
        };
        if let Err(error) = outcome.await {
            // A stream that is broken already has nothing left to give up.
            let _ = done(stream.abort()).await;
            return Err(error);
        }
        let there = self.file(&name.file()).await?.size();
        if there == bytes {
            Ok(())
        } else {
            Err(format!("{there} of {bytes} bytes are there"))
        }
    }

    /// Removes a copy.
    ///
    /// # Errors
    /// Why it is still there.
    pub async fn remove(&self, name: &CopyName) -> Result<(), String> {
        done(self.folder.remove(&name.file())).await.map(|_| ())
    }

    async fn handle(&self, name: &str, create: bool) -> Result<Handle, String> {
        let options = Object::new();
        set(&options, "create", &create.into());
        let handle = done(self.folder.handle(name, &options)).await?;
        Ok(handle.unchecked_into())
    }

    async fn file(&self, name: &str) -> Result<File, String> {
        let handle = self.handle(name, false).await?;
        Ok(done(handle.file()).await?.unchecked_into())
    }
}

async fn bytes_of(blob: &Blob) -> Result<Vec<u8>, String> {
    let buffer = JsFuture::from(blob.array_buffer())
        .await
        .map_err(|e| words(&e))?;
    Ok(Uint8Array::new(&buffer).to_vec())
}
