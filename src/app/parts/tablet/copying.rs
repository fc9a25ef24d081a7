//! The rolling copy: the book as a file in the browser's private file system, made by itself and never in the way of a key.

use std::cell::Cell;
use std::rc::Rc;

use leptos::prelude::*;
use leptos::task::spawn_local;

use crate::exchange::book;
use crate::store::{Copies, CopyName, LastCopy, Part, copy_is_due, next_copy, offered, outlived};

use crate::app::parts::clock;

use super::carrying::Report;
use super::photo_copies::PhotoCopies;
use super::{Phase, Tablet};

/// A piece has so many entries while keys may come: a few milliseconds' work.
const ENTRIES_A_PIECE: usize = 250;

/// The head of a copy stands in its first bytes.
const HEAD_BYTES: i32 = 1024;

/// How long the first page waits for the private file system, in moments.
const MOMENTS: u32 = 60;

/// A copy that can be opened.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Offer {
    /// It, and the older ones of the same book behind it.
    names: Vec<CopyName>,
    /// When it was made, RFC 3339.
    pub(crate) at: String,
    /// The entries it holds.
    pub(crate) entries: usize,
    /// It is of the book that is open.
    pub(crate) own: bool,
}

/// How things stand with the rolling copy.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Rolling {
    /// What can be opened, the latest first.
    pub(crate) offers: Vec<Offer>,
    /// Why the last copy was not made, or none can be.
    pub(crate) failed: Option<String>,
    last: Option<LastCopy>,
    /// The private file system has been looked at for this book.
    looked: bool,
    busy: bool,
    /// Copies of other books whose entries are all in this one now; they go once this one has a copy of its own.
    taken_over: Vec<CopyName>,
    /// How things stand with the photos beside the copies.
    pub(crate) photos: PhotoCopies,
}

impl Tablet {
    /// Makes copies from now on: after changes, now and then, and when the page goes out of sight.
    pub(crate) fn keep_copies(self) {
        Effect::new(move |_| {
            self.edition.track();
            self.loading.track();
            self.phase.track();
            self.copy_if_due(false);
        });
        let again = move || self.copy_if_due(false);
        // A page without an interval still makes its copies after changes.
        let _ = set_interval_with_handle(again, std::time::Duration::from_secs(20));
    }

    /// The word under which copies of the book that is open are kept.
    pub(super) fn copied_as(self) -> String {
        self.settings
            .with_untracked(|s| CopyName::book_of(s.first_name()))
    }

    /// Looks for copies, but not for longer than a person would wait for the first page.
    pub(super) async fn look_for_copies(self) {
        let done = Rc::new(Cell::new(false));
        let found = done.clone();
        spawn_local(async move {
            self.find_copies().await;
            found.set(true);
        });
        for _ in 0..MOMENTS {
            if done.get() {
                return;
            }
            clock::moment().await;
        }
    }

    /// Looks which copies there are and what their heads say.
    pub(super) async fn find_copies(self) {
        let own = self.copied_as();
        let found = read_heads(&own).await;
        if self.copied_as() != own {
            // Another book has been opened meanwhile.
            return;
        }
        match found {
            Ok(offers) => self.rolling.update(|r| {
                let of_own = offers.iter().find(|o| o.own);
                r.last = of_own.map(|o| LastCopy {
                    // When it was made by another page's clock: long ago.
                    at_ms: f64::NEG_INFINITY,
                    entries: o.entries,
                });
                r.offers = offers;
                r.failed = None;
                r.looked = true;
                r.photos.owed = true;
            }),
            Err(error) => self.rolling.update(|r| {
                r.failed = Some(error);
                r.looked = true;
            }),
        }
    }

    /// Forgets what was found for another book.
    pub(super) fn forget_copies(self) {
        self.rolling.update(|r| {
            let (busy, photos_busy) = (r.busy, r.photos.busy);
            *r = Rolling {
                busy,
                ..Rolling::default()
            };
            r.photos.busy = photos_busy;
        });
    }

    /// Makes a copy where one is due; `leaving` where the page is out of sight and may end.
    pub(crate) fn copy_if_due(self, leaving: bool) {
        let own_book = self.phase.get_untracked() == Phase::Ready && !self.demo.get_untracked();
        if !own_book || self.is_reading() {
            return;
        }
        self.copy_photos_if_owed();
        let entries = self.read_once(|shelf| shelf.ledger.len());
        let now_ms = clock::running_ms();
        let due = self.rolling.with_untracked(|r| {
            !r.busy && (!r.looked || copy_is_due(r.last, now_ms, entries, leaving))
        });
        if !due {
            return;
        }
        self.rolling.update_untracked(|r| r.busy = true);
        spawn_local(async move {
            if !self.rolling.with_untracked(|r| r.looked) {
                self.find_copies().await;
            }
            let last = self.rolling.with_untracked(|r| r.last);
            let outcome = match copy_is_due(last, now_ms, entries, leaving) {
                true => self.copy(leaving).await,
                false => Ok(()),
            };
            self.rolling.update(|r| {
                r.busy = false;
                if let Err(error) = outcome {
                    r.failed = Some(error);
                    // The next try comes when it would have come after a copy.
                    r.last = Some(LastCopy {
                        at_ms: now_ms,
                        entries: r.last.map_or(0, |l| l.entries),
                    });
                }
            });
            self.copy_photos_if_owed();
        });
    }

    /// Writes the whole book as it now stands to a new name; only when it is there may an older one go.
    async fn copy(self, leaving: bool) -> Result<(), String> {
        let now_ms = clock::running_ms();
        let own = self.copied_as();
        let copies = Copies::open().await?;
        let there = copies.list().await?;
        let name = next_copy(&there, &own);
        let written = self.written_now();
        let entries: Vec<_> = self.read_once(|shelf| shelf.ledger.iter().cloned().collect());
        let count = entries.len();
        let mut pieces = Some(book::pieces(entries, &written, &self.goes_beyond()));
        let most = if leaving { usize::MAX } else { ENTRIES_A_PIECE };
        let next = move || {
            if let Some(text) = pieces.as_mut()?.next(most) {
                return Some(Part::Next(text));
            }
            let (place, digest) = pieces.take()?.digest();
            Some(Part::At(place, digest))
        };
        copies.write(&name, next, !leaving).await?;
        let mut gone = outlived(&there, &name);
        gone.extend(self.rolling.with_untracked(|r| r.taken_over.clone()));
        for old in &gone {
            // One that stays is found again at the next copy.
            let _ = copies.remove(old).await;
        }
        if self.demo.get_untracked() || self.copied_as() != own {
            // Another book has been opened meanwhile; this copy is found when its own is open again.
            return Ok(());
        }
        self.rolling.update(|r| {
            let older = r.offers.iter().find(|o| o.own);
            let mut names = vec![name];
            names.extend(older.map(|o| o.names.clone()).unwrap_or_default());
            names.retain(|name| !gone.contains(name));
            r.offers
                .retain(|o| !o.own && !o.names.iter().any(|n| gone.contains(n)));
            r.offers.insert(
                0,
                Offer {
                    names,
                    at: written.at,
                    entries: count,
                    own: true,
                },
            );
            r.failed = None;
            // Once the book is safe its photos follow.
            r.photos.owed = true;
            r.taken_over.clear();
            r.last = Some(LastCopy {
                at_ms: now_ms,
                entries: count,
            });
        });
        Ok(())
    }

    /// Opens a copy as a book file is opened; where the latest is damaged, the one before it.
    pub(crate) async fn open_copy(
        self,
        offer: Offer,
        say: &dyn Fn(String),
    ) -> Result<Report, String> {
        let copies = Copies::open().await?;
        let mut why = String::new();
        for name in &offer.names {
            let outcome = match copies.read(name).await {
                Ok(bytes) => self.open_file(&bytes, &copies, say).await,
                Err(error) => Err(error),
            };
            match outcome {
                Ok(report) => {
                    if !offer.own {
                        self.rolling
                            .update_untracked(|r| r.taken_over.extend(offer.names.clone()));
                    }
                    return Ok(report);
                }
                Err(error) if why.is_empty() => why = error,
                Err(_) => {}
            }
        }
        Err(why)
    }
}

/// What can be opened, the copies of the book that is open first, then the latest.
async fn read_heads(own: &str) -> Result<Vec<Offer>, String> {
    let copies = Copies::open().await?;
    let mut offers = Vec::new();
    for mut names in offered(&copies.list().await?) {
        // A file that does not begin as a book is left where it is, and not offered.
        while !names.is_empty() {
            let start = copies.start_of(&names[0], HEAD_BYTES).await?;
            if let Some((written, entries)) = book::head(&start) {
                offers.push(Offer {
                    own: names[0].book == own,
                    names,
                    at: written.at,
                    entries,
                });
                break;
            }
            names.remove(0);
        }
    }
    offers.sort_by(|a, b| (b.own, &b.at).cmp(&(a.own, &a.at)));
    Ok(offers)
}
