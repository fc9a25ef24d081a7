//! Carrying a book out and in: the book file, the demo, an update.

use std::collections::BTreeSet;

use leptos::prelude::*;
use leptos::task::spawn_local;

use crate::app::camp::join::shown::{Photos, counted};
use crate::app::settings::{BackUp, Settings};
use crate::app::shelf::Shelf;
use crate::app::written::file_stem;
use crate::exchange::book;
use crate::notebook::{Entry, RecordId, photos};
use crate::store::{Copies, DEMO_BOOK, OWN_BOOK, Store, breathe};

use crate::app::parts::clock;
use crate::app::parts::slices::{far_words, read_book};

use super::{Phase, Tablet, here, set_local};

/// Entries that are shown before a key has its turn.
const AT_ONCE: usize = 500;

/// What opening a book of this tablet's own did.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Report {
    pub(crate) entries: usize,
    pub(crate) new: usize,
    /// The photos that came back with it.
    pub(crate) photos: usize,
    /// The words of the photos that it names and that are nowhere on this tablet.
    pub(crate) missing: Vec<String>,
}

impl Report {
    /// What came back, in words; `None` where everything was here.
    pub(crate) fn news(&self) -> Option<String> {
        let entries = format!("{} of {} entries are new and kept", self.new, self.entries);
        match (self.new, self.photos) {
            (0, 0) => None,
            (_, 0) => Some(entries),
            (0, n) => Some(format!(
                "all {} entries are here; {} came back",
                self.entries,
                counted(n, "photo", "photos")
            )),
            (_, n) => Some(format!("{entries}, with {}", counted(n, "photo", "photos"))),
        }
    }

    /// What has to be said of the photos that did not come back; empty where there are none.
    pub(crate) fn lacks(&self) -> String {
        /// More are counted.
        const MOST: usize = 5;
        let n = self.missing.len();
        let (are, more) = (
            if n == 1 { "A photo is" } else { "Photos are" },
            if n > MOST { " and more" } else { "" },
        );
        match n {
            0 => String::new(),
            _ => format!(
                " {are} not in the copy: {}{more}. A back-up may have what is missing.",
                self.missing[..n.min(MOST)].join(", ")
            ),
        }
    }
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

    /// Opens a copy of a book: everything in it that is new, and the photos that are copied and not here, are kept in one commit,
    /// or nothing is. Photos for which there is no room do not hold the book up.
    pub(super) async fn open_file(
        self,
        bytes: &[u8],
        copies: &Copies,
        say: &dyn Fn(String),
    ) -> Result<Report, String> {
        let far = |read, of| say(format!("Reading the copy: {} …", far_words(read, of)));
        let file = read_book(self, bytes, &far)
            .await
            .map_err(|e| e.to_string())?;
        let named = photos::named(&file.entries);
        let (photos, mut missing) = self.photos_of_copies(copies, named, say).await;
        let all = file.entries.len();
        let new = self.read_once(|shelf| {
            let entries = file.entries.iter();
            entries
                .filter(|e| shelf.ledger.get(&e.id()).is_none())
                .count()
        });
        let mut report = Report {
            entries: all,
            new,
            photos: photos.len(),
            missing: Vec::new(),
        };
        let by = &file.written.by;
        if !photos.is_empty() {
            match self.join(file.entries.clone(), photos, by).await {
                Ok(()) => {
                    report.missing = missing;
                    return Ok(report);
                }
                Err(error) => {
                    let left = counted(report.photos, "photo", "photos");
                    missing.push(format!("{left} for want of room ({error})"));
                    report.photos = 0;
                }
            }
        }
        self.join(file.entries, Vec::new(), by).await?;
        report.missing = missing;
        Ok(report)
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
        self.show_kept(fresh).await;
        self.ask_to_persist();
        Ok(())
    }

    /// Shows many entries that are kept now; a person who stood nowhere stands at the last station.
    pub(super) async fn show_kept(self, kept: Vec<Entry>) {
        let mut records: Vec<RecordId> = kept.iter().map(|e| e.record().clone()).collect();
        records.sort_unstable();
        records.dedup();
        let sliced = kept.len() > AT_ONCE;
        if sliced {
            self.take_slices(kept).await;
        } else {
            self.shelf.update_value(|shelf| shelf.take_many(kept));
        }
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
        if sliced {
            self.settle_open();
        }
        self.keep_draft();
    }

    /// Takes a great many entries piece by piece, as at a start: the keys have their turn between them, and what is finished
    /// meanwhile waits until all are here.
    async fn take_slices(self, kept: Vec<Entry>) {
        self.to_read.set(kept.len());
        self.loading.set(Some(0));
        let mut rest = kept.into_iter();
        loop {
            let some: Vec<Entry> = rest.by_ref().take(AT_ONCE).collect();
            let count = some.len();
            if count == 0 {
                break;
            }
            self.shelf.update_value(|shelf| shelf.take_many(some));
            self.loading.update(|n| *n = n.map(|n| n + count));
            breathe().await;
        }
        self.loading.set(None);
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
