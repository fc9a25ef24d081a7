//! Carrying a book out and in: the book file, the demo, an update.

use std::collections::BTreeSet;

use leptos::prelude::*;
use leptos::task::spawn_local;

use crate::app::camp::join::shown::Photos;
use crate::app::settings::{BackUp, Settings};
use crate::app::shelf::Shelf;
use crate::app::written::file_stem;
use crate::exchange::book;
use crate::notebook::{Entry, RecordId};
use crate::store::{DEMO_BOOK, OWN_BOOK, Store};

use crate::app::parts::clock;

use super::{Phase, Tablet, here, set_local};

/// What opening a book of this tablet's own did.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Report {
    pub(crate) entries: usize,
    pub(crate) new: usize,
}

impl Tablet {
    /// The book as one file, with its name.
    pub(crate) fn file(self) -> (String, String) {
        let written = self.written_now();
        let text = self.read_once(|shelf| book::write(shelf.ledger.iter(), &written));
        let day = written.at.get(..10).unwrap_or("book").to_owned();
        let name = self.read_once(|shelf| {
            shelf
                .pages
                .book()
                .map(|(_, b)| b.name.clone())
                .unwrap_or_default()
        });
        let name = file_stem(&name);
        (format!("hingeline-{name}-{day}.json"), text)
    }

    /// Who writes the book now, on what and when.
    pub(super) fn written_now(self) -> book::Written {
        let (by, device) = self
            .settings
            .with_untracked(|s| (s.by.clone(), s.device.clone()));
        book::Written {
            at: clock::now(),
            by,
            device,
        }
    }

    /// What a back-up that is made now will have.
    pub(crate) fn back_up_now(self) -> BackUp {
        let (stations, mark) =
            self.read_once(|shelf| (shelf.pages.stations().len(), shelf.ledger.mark()));
        BackUp {
            at: clock::now(),
            stations,
            mark,
        }
    }

    /// Notes that a back-up has left this tablet.
    pub(crate) fn backed_up(self, back_up: BackUp) {
        self.set(|s| s.back_up = Some(back_up));
    }

    /// Opens a book that is this tablet's own: everything in it that is new is kept in one commit, or nothing is.
    pub(crate) async fn open_file(self, bytes: &[u8]) -> Result<Report, String> {
        let file = self
            .read_once(|shelf| book::read_beside(bytes, &shelf.ledger))
            .map_err(|e| e.to_string())?;
        let all = file.entries.len();
        let new = self.read_once(|shelf| {
            let entries = file.entries.iter();
            entries
                .filter(|e| shelf.ledger.get(&e.id()).is_none())
                .count()
        });
        self.join(file.entries, Vec::new(), &file.written.by)
            .await?;
        Ok(Report { entries: all, new })
    }

    /// Takes the new entries of one or many books, and photos that came with them: all are kept in one strict commit, or none.
    /// On a tablet without a book they begin it, for the person `by`.
    pub(crate) async fn join(
        self,
        new: Vec<Entry>,
        photos: Photos,
        by: &str,
    ) -> Result<(), String> {
        // Another tab may have joined the same meanwhile.
        let fresh: Vec<Entry> = self.read_once(|shelf| {
            new.into_iter()
                .filter(|entry| shelf.ledger.get(&entry.id()).is_none())
                .collect()
        });
        let first = self.phase.get_untracked() == Phase::Empty;
        if fresh.is_empty() && photos.is_empty() && !first {
            return Ok(());
        }
        if first {
            self.settings.update_untracked(|s| {
                s.device = clock::fresh_id();
                by.clone_into(&mut s.by);
            });
        }
        let mut batch = self.draft_batch();
        batch.entries = fresh
            .iter()
            .map(|e| (e.id().to_string(), e.text().to_owned()))
            .collect();
        batch.photos = photos;
        if let Err(error) = self.keeper().at_once(batch).await {
            if first {
                self.settings.set(Settings::default());
            }
            return Err(error.to_string());
        }
        self.show_kept(fresh);
        self.ask_to_persist();
        Ok(())
    }

    /// Shows many entries that are kept now; a person who stood nowhere stands at the last station.
    pub(super) fn show_kept(self, kept: Vec<Entry>) {
        let mut records: Vec<RecordId> = kept.iter().map(|e| e.record().clone()).collect();
        records.sort_unstable();
        records.dedup();
        self.shelf.update_value(|shelf| shelf.take_many(kept));
        self.phase.set(Phase::Ready);
        self.after_loading();
        if self.settings.with_untracked(|s| s.here.is_none()) {
            let last = self
                .read_once(Shelf::last_station)
                .map(|(id, s)| here(id.as_str(), &s));
            self.settings.update(|s| s.here = last);
            self.open_blank(None);
        }
        self.renew(&records);
        self.edition.update(|n| *n += 1);
        self.keep_draft();
    }

    /// The photos that are kept here, by SHA-256; where that cannot be told they are all written anew, which changes nothing.
    pub(crate) async fn kept_photos(self) -> BTreeSet<String> {
        match self.keeper().store() {
            Some(store) => store
                .photo_keys()
                .await
                .unwrap_or_default()
                .into_iter()
                .collect(),
            None => BTreeSet::new(),
        }
    }

    /// The book is still being read, so that what is new cannot be told yet.
    pub(crate) fn is_loading(self) -> bool {
        self.loading.with_untracked(Option::is_some)
    }

    /// Opens the demo book beside the person's own.
    pub(crate) fn open_demo(self) {
        spawn_local(async move {
            let bytes = match crate::app::parts::file::fetch_bytes("demo.json").await {
                Ok(bytes) => bytes,
                Err(error) => {
                    self.warning
                        .set(Some(format!("the demo book could not be read: {error}")));
                    return;
                }
            };
            while self.is_reading() {
                clock::moment().await;
            }
            if !self.keeper().at_rest().await {
                self.warning.set(Some(
                    "something of your own book is not kept yet; keep it or back it up before you turn to the demo"
                        .to_owned(),
                ));
                return;
            }
            let (hand, light) = self.settings.with_untracked(|s| (s.hand, s.light));
            set_local("hingeline-demo", Some("yes"));
            self.demo.set(true);
            if let Some(store) = self.keeper().store() {
                store.close();
            }
            // Between two books there is nothing to keep.
            self.phase.set(Phase::Starting);
            self.open_book(DEMO_BOOK).await;
            if self.phase.get_untracked() == Phase::Empty {
                let outcome = match book::read_bytes(&bytes) {
                    Ok(file) => self.join(file.entries, Vec::new(), &file.written.by).await,
                    Err(error) => Err(error.to_string()),
                };
                if let Err(error) = outcome {
                    self.warning.set(Some(error));
                }
                self.set(|s| {
                    s.hand = hand;
                    s.light = light;
                    s.back_up = None;
                });
            }
            self.go("/traverse");
        });
    }

    /// Throws the demo book away and turns back to the person's own.
    pub(crate) fn leave_demo(self) {
        spawn_local(async move {
            // What is still on its way goes into the demo's store, which is thrown away with it.
            while self.is_reading() {
                clock::moment().await;
            }
            self.keeper().at_rest().await;
            self.keeper().forget();
            self.phase.set(Phase::Starting);
            if let Some(store) = self.keeper().store() {
                store.close();
            }
            self.keeper().use_store(None);
            if let Err(error) = Store::delete(DEMO_BOOK).await {
                self.warning.set(Some(error.to_string()));
            }
            set_local("hingeline-demo", None);
            self.demo.set(false);
            self.phase.set(Phase::Starting);
            self.open_book(OWN_BOOK).await;
            self.edition.update(|n| *n += 1);
            self.go("/");
        });
    }

    /// Lets the waiting build take over, once the draft is kept.
    pub(crate) fn take_update(self) {
        self.keep_draft();
        if let (Some(window), Ok(event)) = (
            web_sys::window(),
            web_sys::Event::new("hingeline-take-update"),
        ) {
            // Nobody listening means there is nothing to take.
            let _ = window.dispatch_event(&event);
        }
    }

    /// A second tab of this tablet writes under a name of its own, so that two hands never share one count.
    pub(crate) fn claim_tab(self) {
        crate::app::parts::tab::claim();
    }

    /// What is true of every entry that has not reached the disk.
    pub(crate) fn not_kept(self) -> usize {
        self.keeper().not_kept()
    }
}
