//! The photos beside the rolling copy: each once, under its hash, written one by one and never in the way of the book; and the
//! way back from them.

use std::collections::BTreeSet;

use leptos::prelude::*;
use leptos::task::spawn_local;

use crate::app::camp::join::shown::Photos;
use crate::notebook::photos::{Named, sha256};
use crate::store::{Copies, breathe, photo_fits, photos_to_copy};

use super::{Phase, Tablet};

/// How things stand with the copies of the photos.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct PhotoCopies {
    /// The photos that are copied, by SHA-256, once they were looked for.
    copied: Option<BTreeSet<String>>,
    /// Why some are not.
    pub(crate) failed: Option<String>,
    /// There may be some that are not copied yet.
    pub(super) owed: bool,
    pub(super) busy: bool,
}

impl Tablet {
    /// The photos that the book names, by SHA-256, each once and in its order.
    fn named_photos(self) -> Vec<String> {
        self.read_once(|shelf| {
            let lines = shelf.pages.all_photos();
            let named: Vec<&str> = lines
                .filter_map(|line| line.photo())
                .map(|photo| photo.sha256.as_str())
                .collect();
            photos_to_copy(named, &BTreeSet::new())
        })
    }

    /// How many photos the book has, and how many of them are copied.
    pub(crate) fn copied_photos(self) -> (usize, usize) {
        self.edition.track();
        let named = self.named_photos();
        let copied = self.rolling.with(|r| {
            let copied = r.photos.copied.as_ref();
            let is_copied = |photo: &&String| copied.is_some_and(|copied| copied.contains(*photo));
            named.iter().filter(is_copied).count()
        });
        (named.len(), copied)
    }

    /// Copies the photos that no copy has yet, where there may be some.
    pub(super) fn copy_photos_if_owed(self) {
        let due = self
            .rolling
            .with_untracked(|r| r.photos.owed && !r.photos.busy);
        if !due || !self.has_own_book() {
            return;
        }
        self.rolling.update_untracked(|r| {
            r.photos.busy = true;
            r.photos.owed = false;
        });
        spawn_local(async move {
            let outcome = self.copy_photos().await;
            self.rolling.update(|r| {
                r.photos.busy = false;
                // What failed is tried again after the next copy of the book.
                r.photos.failed = outcome.err();
            });
        });
    }

    fn has_own_book(self) -> bool {
        self.phase.get_untracked() == Phase::Ready
            && !self.demo.get_untracked()
            && !self.is_reading()
    }

    async fn copy_photos(self) -> Result<(), String> {
        let own = self.copied_as();
        let named = self.named_photos();
        if named.is_empty() {
            return Ok(());
        }
        let copies = Copies::open().await?;
        if self.rolling.with_untracked(|r| r.photos.copied.is_none()) {
            let copied = copies.photos().await?;
            self.rolling.update(|r| r.photos.copied = Some(copied));
        }
        let named = named.iter().map(String::as_str);
        let owed = self.rolling.with_untracked(|r| {
            let none = BTreeSet::new();
            photos_to_copy(named, r.photos.copied.as_ref().unwrap_or(&none))
        });
        for photo in owed {
            breathe().await;
            if self.copied_as() != own || !self.has_own_book() {
                // Another book has been opened meanwhile; these photos are copied when their own is open again.
                return Ok(());
            }
            let Some(bytes) = self.photo_bytes(&photo).await? else {
                // It is not on this tablet, and Camp says so where it is shown.
                continue;
            };
            if sha256(&bytes.to_vec()) != photo {
                continue;
            }
            if !photo_fits(Copies::free().await, f64::from(bytes.length())) {
                return Err("too little room is left beside the book".to_owned());
            }
            copies.write_photo(&photo, &bytes).await?;
            self.rolling.update(|r| {
                if let Some(copied) = &mut r.photos.copied {
                    copied.insert(photo);
                }
            });
        }
        Ok(())
    }

    /// Of the photos that a book names those that are not here, from their copies; and the words of those that no copy has.
    pub(super) async fn photos_of_copies(
        self,
        copies: &Copies,
        named: Vec<Named>,
        say: &dyn Fn(String),
    ) -> (Photos, Vec<String>) {
        let here = self.kept_photos().await;
        let (mut photos, mut missing) = (Vec::new(), Vec::new());
        let all = named.len();
        for (i, photo) in named.into_iter().enumerate() {
            if here.contains(&photo.sha256) {
                continue;
            }
            say(format!("Reading photo {} of {all} …", i + 1));
            match copies.photo(&photo.sha256).await {
                Ok(bytes) if sha256(&bytes) == photo.sha256 => {
                    photos.push((photo.sha256, bytes.into()));
                }
                Ok(_) => missing.push(format!("{} (its copy was changed)", photo.words())),
                Err(_) => missing.push(photo.words()),
            }
            breathe().await;
        }
        (photos, missing)
    }
}
