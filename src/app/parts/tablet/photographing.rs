//! Taking photos: scaled, hashed and kept with the entry that names them, in one strict transaction; and reading them again.

use leptos::prelude::*;
use leptos::task::spawn_local;
use wasm_bindgen::JsValue;
use web_sys::File;

use crate::app::parts::picture::{self, Picture};
use crate::app::parts::{clock, file};
use crate::exchange::archive;
use crate::notebook::photos::{self, Named, sha256};
use crate::notebook::{Act, Body, Entry, Photo, RecordId};
use crate::store::{Batch, Keeping};

use super::Tablet;

/// The field under which the photos are drafted that belong to the open reading before it is kept.
const FIELD: &str = "photos-of-open";

/// A photo that was taken and could not be kept.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Unkept {
    /// Why, and what to do.
    pub(crate) why: String,
    /// The photo; `None` where not even that could be made of the file.
    picture: Option<Picture>,
    station: String,
    with_open: bool,
}

impl Unkept {
    /// There is a photo that can be tried again or downloaded.
    pub(crate) fn has_picture(&self) -> bool {
        self.picture.is_some()
    }
}

/// What a file for all comers is: a book file, or an archive of it and its photos.
pub(crate) enum Outgoing {
    /// The book file.
    Book(String),
    /// The archive, which the browser holds.
    Archive(web_sys::Blob),
}

impl Tablet {
    /// The record of the station where the person stands.
    pub(crate) fn standing_at(self) -> Option<String> {
        self.settings
            .with(|s| s.here.as_ref().map(|here| here.record.clone()))
    }

    /// Takes a photo from a file that the camera or the person gave. `with_open` binds it to the open reading.
    pub(crate) fn take_photo(self, file: File, station: String, with_open: bool) {
        self.unkept.set(None);
        self.taking.update(|n| *n += 1);
        spawn_local(async move {
            match picture::of(&file).await {
                Ok(picture) => self.keep_photo(picture, station, with_open).await,
                Err(why) => self.unkept.set(Some(Unkept {
                    why,
                    picture: None,
                    station,
                    with_open,
                })),
            }
            self.taking.update(|n| *n -= 1);
        });
    }

    /// Tries again to keep the photo that was not kept.
    pub(crate) fn keep_photo_again(self) {
        let Some(unkept) = self.unkept.get_untracked() else {
            return;
        };
        let Some(picture) = unkept.picture else {
            return;
        };
        self.unkept.set(None);
        self.taking.update(|n| *n += 1);
        spawn_local(async move {
            self.keep_photo(picture, unkept.station, unkept.with_open)
                .await;
            self.taking.update(|n| *n -= 1);
        });
    }

    /// Downloads the photo that was not kept.
    pub(crate) fn download_unkept(self) {
        let made = self.unkept.with_untracked(|unkept| {
            let picture = unkept.as_ref()?.picture.as_ref()?;
            let name = format!("photo-{}.jpg", picture.sha256.get(..8).unwrap_or_default());
            let parts = [js_sys::Uint8Array::from(&*picture.bytes).into()];
            Some(file::blob(&parts, picture::MEDIA).and_then(|blob| {
                let address = file::blob_address(&blob)?;
                file::hand_out(&name, &address)
            }))
        });
        if let Some(Err(error)) = made {
            self.unkept.update(|unkept| {
                if let Some(unkept) = unkept {
                    unkept.why = format!("{}; it could not be downloaded: {error}", unkept.why);
                }
            });
        }
    }

    /// Keeps a photo and the entry that names it in one strict transaction; only then is it in the book.
    async fn keep_photo(self, picture: Picture, station: String, with_open: bool) {
        while self.is_reading() {
            // Its number is known once the book is read.
            clock::moment().await;
        }
        let open = self.open.with_untracked(|o| {
            o.as_ref()
                .filter(|o| with_open && o.reading.station == station)
                .map(|o| o.record.clone())
        });
        let waits = open == Some(None);
        let record = clock::fresh_id();
        let body = Body::Photo(Photo {
            number: self.read_once(|shelf| shelf.pages.next_photo_number(&station)),
            station: station.clone(),
            reading: open.flatten(),
            sha256: picture.sha256.clone(),
            media: picture::MEDIA.to_owned(),
            width: picture.width,
            height: picture.height,
            bytes: u32::try_from(picture.bytes.len()).unwrap_or(u32::MAX),
            at: picture.at.clone(),
            ..Photo::default()
        });
        let entry = Entry::new(
            RecordId::from(record.as_str()),
            [],
            self.stamp(),
            Act::Write,
            None,
            Some(body),
        );
        let batch = Batch {
            entries: vec![(entry.id().to_string(), entry.text().to_owned())],
            photos: vec![(picture.sha256.clone(), picture.bytes.clone())],
            ..Batch::default()
        };
        let keeper = self.keeper();
        if keeper.store().is_none() {
            // Without a database everything is in memory, and said to be.
            keeper.keep(batch, false);
        } else {
            // A photo waits for nothing and holds nothing up: where it does not fit, a reading still may.
            match keeper.at_once(batch).await {
                Ok(()) => self.keeping.update(|keeping| {
                    if matches!(keeping, Keeping::Kept { .. }) {
                        *keeping = Keeping::Kept {
                            at: Some(clock::hour_minute()),
                            doubt: false,
                        };
                    }
                }),
                Err(error) => {
                    self.unkept.set(Some(Unkept {
                        why: format!(
                            "the photo is not kept: {}; what was kept before is safe; download the photo, then free some space and try again",
                            error.short()
                        ),
                        picture: Some(picture),
                        station,
                        with_open,
                    }));
                    return;
                }
            }
        }
        self.shelf.update_value(|shelf| shelf.take(entry));
        if waits {
            self.await_reading(&record);
        }
        self.edition.update(|n| *n += 1);
        self.keep_draft();
    }

    /// The photo belongs to the open reading, which has no record yet.
    fn await_reading(self, photo: &str) {
        let mut waiting = self.waiting_photos();
        waiting.push(photo.to_owned());
        if let Ok(text) = serde_json::to_string(&waiting) {
            self.draft_words(FIELD, &text);
        }
    }

    fn waiting_photos(self) -> Vec<String> {
        self.drafted_words(FIELD)
            .and_then(|text| serde_json::from_str(&text).ok())
            .unwrap_or_default()
    }

    /// The open reading is about to get this record: the photos that were taken with it name it from now on.
    pub(super) fn bind_photos(self, reading: &str) {
        let station = self
            .open
            .with_untracked(|o| o.as_ref().map(|o| o.reading.station.clone()));
        for photo in self.waiting_photos() {
            self.change_photo(&photo, |photo| {
                if Some(&photo.station) == station.as_ref() {
                    photo.reading = Some(reading.to_owned());
                }
            });
        }
        self.end_words(FIELD);
    }

    /// The open reading ends without a record: its photos stay with the station.
    pub(super) fn leave_photos(self) {
        self.end_words(FIELD);
    }

    /// Changes what the book says of a photo; its bytes stay.
    pub(crate) fn change_photo(self, record: &str, change: impl FnOnce(&mut Photo)) {
        if self.is_reading() {
            return;
        }
        let Some(Body::Photo(before)) = self.read_once(|shelf| shelf.body(record)) else {
            return;
        };
        let mut after = before.clone();
        change(&mut after);
        if after != before {
            self.write(Some(record), Act::Correct, None, Body::Photo(after));
        }
    }

    /// Strikes a photo out, with the reason; it stays to be seen.
    pub(crate) fn strike_out_photo(self, record: &str, why: &str) {
        if self.is_reading() {
            return;
        }
        let why = (!why.trim().is_empty()).then(|| why.trim().to_owned());
        self.write_all(Some(record), Act::StrikeOut, why, None, false);
    }

    /// Puts a struck-out photo back.
    pub(crate) fn put_back_photo(self, record: &str) {
        if self.is_reading() {
            return;
        }
        if let Some(body @ Body::Photo(_)) = self.read_once(|shelf| shelf.body(record)) {
            self.write_all(Some(record), Act::PutBack, None, Some(body), false);
        }
    }

    /// The bytes of a photo as the browser holds them; `None` where they are not on this tablet.
    pub(crate) async fn photo_bytes(
        self,
        sha256: &str,
    ) -> Result<Option<js_sys::Uint8Array>, String> {
        let keeper = self.keeper();
        if let Some(bytes) = keeper.photo(sha256) {
            return Ok(Some(js_sys::Uint8Array::from(&*bytes)));
        }
        match keeper.store() {
            Some(store) => store.photo(sha256).await.map_err(|e| e.to_string()),
            None => Ok(None),
        }
    }

    /// How many photos the book has and how many bytes they are, as it names them.
    pub(crate) fn photo_sum(self) -> (usize, u64) {
        self.read(|shelf| {
            let lines = shelf.pages.all_photos();
            lines
                .filter_map(|line| line.photo())
                .fold((0, 0), |(count, bytes), photo| {
                    (count + 1, bytes + u64::from(photo.bytes))
                })
        })
    }

    /// Every photo that the book names.
    pub(crate) fn photos_named(self) -> Vec<Named> {
        self.read_once(|shelf| photos::named(shelf.ledger.iter()))
    }

    /// A book file as one file for others: with these photos an archive, put together piece by piece, and the words of the photos that
    /// are not on this tablet.
    pub(crate) async fn outgoing(
        self,
        text: String,
        named: Vec<Named>,
    ) -> Result<(Outgoing, Vec<String>), String> {
        if named.is_empty() {
            return Ok((Outgoing::Book(text), Vec::new()));
        }
        let mut stored = archive::Stored::new();
        let mut parts: Vec<JsValue> = Vec::with_capacity(2 * named.len() + 3);
        let bytes = |bytes: &[u8]| -> JsValue { js_sys::Uint8Array::from(bytes).into() };
        let words = |error: archive::Error| error.to_string();
        parts.push(bytes(
            &stored.head(archive::BOOK, text.as_bytes()).map_err(words)?,
        ));
        parts.push(bytes(text.as_bytes()));
        let mut missing = Vec::new();
        for photo in &named {
            let Some(content) = self.photo_bytes(&photo.sha256).await? else {
                missing.push(photo.words());
                continue;
            };
            let copied = content.to_vec();
            if sha256(&copied) != photo.sha256 {
                missing.push(format!("{} (its bytes were changed)", photo.words()));
                continue;
            }
            let path = archive::photo_path(&photo.sha256);
            parts.push(bytes(&stored.head(&path, &copied).map_err(words)?));
            parts.push(content.into());
        }
        if missing.len() == named.len() {
            return Ok((Outgoing::Book(text), missing));
        }
        parts.push(bytes(&stored.end().map_err(words)?));
        let blob = file::blob(&parts, "application/zip")?;
        Ok((Outgoing::Archive(blob), missing))
    }
}
