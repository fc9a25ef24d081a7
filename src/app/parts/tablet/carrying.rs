//! Carrying a book out and in: the book file, the demo, an update.

use std::collections::BTreeSet;

use leptos::prelude::*;
use leptos::task::spawn_local;

use crate::app::camp::join::shown::{Photos, counted};
use crate::app::settings::{BEYOND, BackUp, Settings};
use crate::app::shelf::Shelf;
use crate::app::written::file_stem;
use crate::exchange::book;
use crate::notebook::beyond::{self, Beyond};
use crate::notebook::photos::Named;
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

/// What is noted in the store that its book goes beyond.
pub(super) async fn beyond_of(store: &Store) -> Vec<Beyond> {
    let noted = store.state(BEYOND).await.ok().flatten();
    let noted = noted.and_then(|text| serde_json::from_str(&text).ok());
    noted.unwrap_or_default()
}

impl Tablet {
    /// The book as one file, with its name.
    pub(crate) fn file(self) -> (String, String) {
        let written = self.written_now();
        let beyond = self.goes_beyond();
        let text = self.read_once(|shelf| book::write_part(shelf.ledger.iter(), &written, &beyond));
        (format!("{}.json", self.file_name(&written)), text)
    }

    /// What the book goes beyond and has not whole, where it came from a part, and how many entries of each are not here.
    pub(crate) fn standing(self) -> Vec<(Beyond, usize)> {
        let all = self.beyond.get();
        self.read(|shelf| beyond::standing_in(&all, &shelf.ledger))
    }

    /// The same, as it stands in the head of a file.
    pub(super) fn goes_beyond(self) -> Vec<Beyond> {
        let standing = untrack(|| self.standing());
        standing.into_iter().map(|(one, _)| one).collect()
    }

    /// A file of only what is new since the last back-up, with its name and the photos that go along.
    pub(crate) fn only_new(self) -> Result<(String, String, Vec<Named>), String> {
        let back_up = self.settings.with_untracked(|s| s.back_up.clone());
        let held = back_up.and_then(|back_up| back_up.held);
        let held = held.ok_or(
            "what the last back-up held was not noted by the version that made it; back up once more",
        )?;
        let written = self.written_now();
        let mut beyond = self.goes_beyond();
        let (text, photos) = self.read_once(|shelf| {
            let (old, new): (Vec<&Entry>, Vec<&Entry>) =
                shelf.ledger.iter().partition(|e| held.counts(e.stamp()));
            if !held.is_of(old.iter().copied()) {
                return Err(
                    "two tablets have written under one name since the last back-up, and just what that one held cannot be told any more; back up all of it",
                );
            }
            let of = |entries: &[&Entry]| -> BTreeSet<String> {
                let named = photos::named(entries.iter().copied());
                named.into_iter().map(|named| named.sha256).collect()
            };
            let (known, wanted) = (of(&old), of(&new));
            let mut photos = photos::named(shelf.ledger.iter());
            photos.retain(|p| wanted.contains(&p.sha256) && !known.contains(&p.sha256));
            beyond.push(held.clone());
            beyond.sort_unstable();
            beyond.dedup();
            Ok((book::write_part(new, &written, &beyond), photos))
        })?;
        Ok((
            format!("{}-new.json", self.file_name(&written)),
            text,
            photos,
        ))
    }

    /// What a file that is written now is called, without its ending.
    fn file_name(self, written: &book::Written) -> String {
        let day = written.at.get(..10).unwrap_or("book");
        let name = self.read_once(|shelf| {
            shelf
                .pages
                .book()
                .map(|(_, b)| b.name.clone())
                .unwrap_or_default()
        });
        format!("hingeline-{}-{day}", file_stem(&name))
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
        let (stations, mark, held) = self.read_once(|shelf| {
            let held = Beyond::of(shelf.ledger.iter());
            (shelf.pages.stations().len(), shelf.ledger.mark(), held)
        });
        BackUp {
            at: clock::now(),
            stations,
            mark,
            held: Some(held),
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
            let (entries, beyond) = (file.entries.clone(), file.beyond.clone());
            match self.join(entries, photos, beyond, by).await {
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
        self.join(file.entries, Vec::new(), file.beyond, by).await?;
        report.missing = missing;
        Ok(report)
    }

    /// Takes the new entries of one or many books, and photos that came with them: all are kept in one strict commit, or none.
    /// On a tablet without a book they begin it, for the person `by`. What they go `beyond`, where they came from parts, is noted
    /// with them.
    pub(crate) async fn join(
        self,
        new: Vec<Entry>,
        photos: Photos,
        beyond: Vec<Beyond>,
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
        let beyond = self.noted_beyond(beyond).await;
        if beyond != self.beyond.get_untracked() {
            batch
                .state
                .push((BEYOND.to_owned(), serde_json::to_string(&beyond).ok()));
        }
        if let Err(error) = self.keeper().at_once(batch).await {
            if first {
                self.settings.set(Settings::default());
            }
            return Err(error.to_string());
        }
        self.beyond.set(beyond);
        self.show_kept(fresh).await;
        self.ask_to_persist();
        Ok(())
    }

    /// What the book goes beyond once these came: with what another tab has noted.
    async fn noted_beyond(self, came: Vec<Beyond>) -> Vec<Beyond> {
        let mut all = self.beyond.get_untracked();
        if let Some(store) = self.keeper().store() {
            all.extend(beyond_of(&store).await);
        }
        all.extend(came);
        all.sort_unstable();
        all.dedup();
        all
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
                    Ok(file) => {
                        self.join(file.entries, Vec::new(), file.beyond, &file.written.by)
                            .await
                    }
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
