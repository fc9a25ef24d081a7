//! Opening a book: the settings and the draft first, then the ledger in pieces; and beginning a new one.

use std::collections::BTreeMap;

use leptos::prelude::*;
use leptos::task::spawn_local;

use crate::app::outcrop::open::Open;
use crate::app::settings::{self, Settings};
use crate::app::shelf::Shelf;
use crate::notebook::{Act, Body, Book, Entry, EntryId, RecordId, SetUp};
use crate::store::{DEMO_BOOK, Keeping, OWN_BOOK, Store, StoreEvent};

use crate::app::parts::clock;

use super::carrying::beyond_of;
use super::{Phase, Tablet, local};

/// Entries that are read before a key has its turn.
const AT_ONCE: u32 = 500;

impl Tablet {
    /// Opens the book that was open last: the settings and the draft first, then the ledger in pieces.
    pub(crate) async fn start(self) {
        let demo = local("hingeline-demo").as_deref() == Some("yes");
        self.demo.set(demo);
        self.open_book(if demo { DEMO_BOOK } else { OWN_BOOK })
            .await;
    }

    pub(super) async fn open_book(self, name: &'static str) {
        self.shelf.set_value(Shelf::default());
        self.open.set(None);
        self.words.set(BTreeMap::new());
        self.beyond.set(Vec::new());
        self.forget_copies();
        // The light and the hand stay while one book gives way to another.
        let (hand, light) = self.settings.with_untracked(|s| (s.hand, s.light));
        self.settings.set(Settings {
            hand,
            light,
            ..Settings::default()
        });
        self.keeping.set(Keeping::Kept {
            at: None,
            doubt: false,
        });
        let tablet = self;
        let store = match Store::open(name, move |event| tablet.hear(event)).await {
            Ok(store) => store,
            Err(error) => {
                self.warning.set(Some(error.to_string()));
                self.keeping.set(Keeping::InMemory);
                self.be_empty().await;
                return;
            }
        };
        // What held the opening back is over.
        self.warning.set(None);
        self.keeper().use_store(Some(store.clone()));
        let settings: Option<Settings> = match store.state(settings::KEY).await {
            Ok(text) => text.and_then(|t| serde_json::from_str(&t).ok()),
            Err(error) => {
                self.warning.set(Some(error.to_string()));
                None
            }
        };
        self.beyond.set(beyond_of(&store).await);
        let Some(settings) = settings else {
            if store.count_entries().await.unwrap_or(0) == 0 {
                self.be_empty().await;
                return;
            }
            // A ledger without settings: the book is there, this device's own row is not.
            self.settings.set(Settings {
                device: clock::fresh_id(),
                ..Settings::default()
            });
            self.finish_opening(store).await;
            return;
        };
        self.settings.set(settings);
        if let Ok(Some(words)) = store.draft(settings::WORDS).await
            && let Ok(words) = serde_json::from_str(&words)
        {
            self.words.set(words);
        }
        if let Ok(Some(draft)) = store.draft(settings::DRAFT).await {
            match serde_json::from_str::<Open>(&draft) {
                Ok(open) => self.open.set(Some(open)),
                Err(error) => self.warning.set(Some(format!(
                    "the draft could not be read ({error}); it is left where it is"
                ))),
            }
        }
        self.finish_opening(store).await;
    }

    /// There is no book; whether there is a copy of one is looked at before the question is asked.
    async fn be_empty(self) {
        if !self.demo.get_untracked() {
            self.look_for_copies().await;
        }
        self.phase.set(Phase::Empty);
    }

    pub(super) async fn finish_opening(self, store: Store) {
        self.loading.set(Some(0));
        self.to_read.set(0);
        let counting = store.clone();
        spawn_local(async move {
            // Without the count the page says how many there are so far.
            if let Ok(count) = counting.count_entries().await {
                self.to_read.set(count);
            }
        });
        if self.open.with_untracked(Option::is_none) {
            // The keys answer before the book is read.
            self.open_blank(None);
        }
        self.phase.set(Phase::Ready);
        self.show_first_lines(&store).await;
        let mut damaged = 0_usize;
        let loaded = store
            .load_entries(AT_ONCE, |rows: Vec<(String, String)>| {
                let count = rows.len();
                let entries: Vec<Entry> = rows
                    .into_iter()
                    .filter_map(|(id, text)| {
                        Entry::with_trusted_id(id.parse::<EntryId>().ok()?, text).ok()
                    })
                    .collect();
                damaged += count - entries.len();
                self.shelf.update_value(|shelf| shelf.take_many(entries));
                self.loading.update(|n| *n = n.map(|n| n + count));
            })
            .await;
        if let Err(error) = loaded {
            self.warning.set(Some(error.to_string()));
        }
        if damaged > 0 {
            self.warning.set(Some(format!(
                "{damaged} entries in the storage could not be read; they are left where they are"
            )));
        }
        self.loading.set(None);
        self.after_loading();
        self.edition.update(|n| *n += 1);
        self.settle_open();
        self.persisted.set(Some(Store::persisted().await));
    }

    /// What was begun before the book was read takes its set-up, and is kept if it was finished meanwhile.
    pub(super) fn settle_open(self) {
        let (empty, finished) = self.open.with_untracked(|o| {
            o.as_ref().map_or((true, false), |o| {
                (
                    o.is_empty(),
                    o.record.is_none() && !o.reading.shots.is_empty(),
                )
            })
        });
        if empty {
            self.open_blank(None);
        } else if let Some((id, set_up)) = self.set_up_once() {
            self.open.update(|o| {
                if let Some(open) = o
                    && open.reading.set_up.is_none()
                {
                    open.reading.set_up = Some(id.as_str().to_owned());
                    open.reading.north = set_up.north;
                    open.reading.declination.clone_from(&set_up.declination);
                }
            });
        }
        let owed = self.owed.get_untracked();
        self.owed.set(None);
        if let Some(act) = owed.or(finished.then_some(Act::Write)) {
            self.keep_open(act, None);
        }
        self.keep_sighting(Act::Correct, None);
    }

    /// How far reading the book has come, in words.
    pub(crate) fn read_so_far(self, count: usize) -> String {
        match self.to_read.get() {
            0 => format!("{count} entries so far"),
            all => format!("{count} of {} entries", all.max(count)),
        }
    }

    /// The book is still being read: a number given now could be taken already.
    pub(super) fn is_reading(self) -> bool {
        self.loading.with_untracked(Option::is_some)
    }

    /// The settings follow what the ledger knows better.
    pub(super) fn after_loading(self) {
        self.part_from_clone();
        let device = self.settings.with_untracked(|s| s.device.clone());
        let (counter, notation) = self.read_once(|shelf| {
            (
                shelf.ledger.next_counter(&device),
                shelf.pages.book().map(|(_, b)| b.notation),
            )
        });
        self.settings.update(|s| {
            s.counter = s.counter.max(counter.saturating_sub(1));
            if let Some(notation) = notation {
                s.notation = notation;
            }
        });
    }

    /// Where another tablet writes under this one's name, as a copy of its storage does, this one takes a name of its own: what
    /// either wrote stays as it is, and no number is given out twice from now on.
    fn part_from_clone(self) {
        let device = self.settings.with_untracked(|s| s.device.clone());
        if !device.is_empty() && self.read_once(|shelf| shelf.ledger.is_shared(&device)) {
            self.settings.update(|s| s.rename(clock::fresh_id()));
            self.keep_draft();
        }
    }

    pub(super) fn hear(self, event: StoreEvent) {
        match event {
            StoreEvent::Elsewhere(ids) => {
                let Some(store) = self.keeper().store() else {
                    return;
                };
                if self.phase.get_untracked() == Phase::Empty {
                    // Another tab has begun the book that this one was still asking about.
                    let name = if self.demo.get_untracked() {
                        DEMO_BOOK
                    } else {
                        OWN_BOOK
                    };
                    spawn_local(async move { self.open_book(name).await });
                    return;
                }
                spawn_local(async move {
                    if let Ok(rows) = store.entries(&ids).await {
                        let entries: Vec<Entry> = rows
                            .iter()
                            .filter_map(|(_, text)| Entry::from_json(text).ok())
                            .collect();
                        let changed: Vec<RecordId> =
                            entries.iter().map(|e| e.record().clone()).collect();
                        self.shelf.update_value(|shelf| {
                            for entry in entries {
                                shelf.take(entry);
                            }
                        });
                        self.after_loading();
                        self.renew_open(&changed);
                        for record in &changed {
                            self.renew_sighting(record.as_str());
                        }
                        self.edition.update(|n| *n += 1);
                    }
                });
            }
            other => {
                if let Some(words) = other.words() {
                    self.warning.set(Some(words.to_owned()));
                }
            }
        }
    }

    /// The open reading was changed in another tab: it is shown as it now stands, with what is being typed here.
    pub(super) fn renew_open(self, changed: &[RecordId]) {
        let Some(open) = self.open.get_untracked() else {
            return;
        };
        let Some(record) = open.record.clone() else {
            return;
        };
        if !changed.iter().any(|c| c.as_str() == record) {
            return;
        }
        if let Some(Body::Reading(reading)) = self.read_once(|shelf| shelf.body(&record)) {
            let mut again = Open::again(record, reading, open.notation, open.halves)
                .in_quarters(open.quarters)
                .on_card(self.has_quadrants());
            again.go_on_typing(&open);
            self.open.set(Some(again));
        }
    }

    /// Starts the book of a new person.
    pub(crate) fn begin(self, settings: Settings) {
        let notation = settings.notation;
        self.settings.set(Settings {
            device: clock::fresh_id(),
            ..settings
        });
        self.phase.set(Phase::Ready);
        self.write(
            None,
            Act::Write,
            None,
            Body::Book(Book {
                name: String::new(),
                notation,
                ..Book::default()
            }),
        );
        self.write(
            None,
            Act::Write,
            None,
            Body::SetUp(SetUp {
                name: "Transit 1".to_owned(),
                resolution: "1".to_owned(),
                ..SetUp::default()
            }),
        );
        self.open_blank(None);
        self.ask_to_persist();
        self.go("/outcrop");
    }

    pub(super) fn ask_to_persist(self) {
        spawn_local(async move { self.persisted.set(Some(Store::persist().await)) });
    }
}
