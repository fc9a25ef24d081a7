//! What this tablet holds: the book in memory, the open reading, the settings, and the acts of a person on them.

use std::collections::BTreeMap;

use leptos::prelude::*;
use leptos::task::spawn_local;

use crate::app::outcrop::kinds;
use crate::app::outcrop::open::{Key, Open, Outcome};
use crate::app::settings::{self, BackUp, Here, Light, Settings};
use crate::app::shelf::Shelf;
use crate::exchange::book;
use crate::notebook::{
    Act, Body, Book, Entry, EntryId, Notation, Reading, RecordId, SetUp, Stamp, Station, attitude,
    undo_of,
};
use crate::orientation::{Choice, Dial, Doubt};
use crate::store::{Batch, DEMO_BOOK, Keeping, OWN_BOOK, Persisted, Store, StoreEvent};

use super::clock;
use super::keeper::Keeper;

/// How far the start has come.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Phase {
    /// The store is being opened.
    Starting,
    /// There is no book on this tablet.
    Empty,
    /// There is a book; it may still be loading.
    Ready,
}

/// Everything a page needs; a handle that is copied freely.
#[derive(Clone, Copy)]
pub(crate) struct Tablet {
    pub(crate) phase: RwSignal<Phase>,
    pub(crate) settings: RwSignal<Settings>,
    pub(crate) open: RwSignal<Option<Open>>,
    pub(crate) keeping: RwSignal<Keeping>,
    /// Goes up whenever the book changed.
    pub(crate) edition: RwSignal<u64>,
    /// Entries read so far while the book is loading.
    pub(crate) loading: RwSignal<Option<usize>>,
    pub(crate) demo: RwSignal<bool>,
    pub(crate) persisted: RwSignal<Option<Persisted>>,
    pub(crate) warning: RwSignal<Option<String>>,
    pub(crate) update: RwSignal<bool>,
    /// Which panel stands over the keypad.
    pub(crate) panel: RwSignal<Panel>,
    pub(crate) width: RwSignal<f64>,
    /// Words that are being typed, by the field they belong to; a draft like the digits.
    words: RwSignal<BTreeMap<String, String>>,
    navigate: StoredValue<Option<Navigate>, LocalStorage>,
    keeper: StoredValue<Keeper, LocalStorage>,
    shelf: StoredValue<Shelf, LocalStorage>,
}

type Navigate = std::rc::Rc<dyn Fn(&str)>;

/// What stands over the keypad.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) enum Panel {
    /// The keypad itself.
    #[default]
    Keypad,
    /// All kinds.
    Kinds,
    /// Tops, note and striking out of the open reading.
    Words,
    /// Every way to settle the doubt.
    Doubt,
}

impl Tablet {
    pub(crate) fn new() -> Self {
        let keeping = RwSignal::new(Keeping::Kept {
            at: None,
            doubt: false,
        });
        Self {
            phase: RwSignal::new(Phase::Starting),
            settings: RwSignal::new(Settings {
                light: page_light(),
                ..Settings::default()
            }),
            open: RwSignal::default(),
            keeping,
            edition: RwSignal::new(0),
            loading: RwSignal::new(None),
            demo: RwSignal::new(false),
            persisted: RwSignal::new(None),
            warning: RwSignal::new(None),
            update: RwSignal::new(false),
            panel: RwSignal::default(),
            width: RwSignal::new(800.0),
            words: RwSignal::default(),
            navigate: StoredValue::new_local(None),
            keeper: StoredValue::new_local(Keeper::new(keeping)),
            shelf: StoredValue::new_local(Shelf::default()),
        }
    }

    /// The tablet that `page` has provided.
    pub(crate) fn expect() -> Self {
        expect_context::<Self>()
    }

    pub(crate) fn set_navigate(self, go: impl Fn(&str) + 'static) {
        self.navigate.set_value(Some(std::rc::Rc::new(go)));
    }

    /// Turns to another page.
    pub(crate) fn go(self, path: &str) {
        if let Some(go) = self.navigate.get_value() {
            go(path);
        }
    }

    /// Reads from the book; a page that calls this is drawn again when the book changes.
    pub(crate) fn read<T>(self, f: impl FnOnce(&Shelf) -> T) -> T {
        self.edition.track();
        self.shelf.with_value(f)
    }

    fn read_once<T>(self, f: impl FnOnce(&Shelf) -> T) -> T {
        self.shelf.with_value(f)
    }

    fn keeper(self) -> Keeper {
        self.keeper.get_value()
    }

    // ---- opening -------------------------------------------------------------------------------------------

    /// Opens the book that was open last: the settings and the draft first, then the ledger in pieces.
    pub(crate) async fn start(self) {
        let demo = local("hingeline-demo").as_deref() == Some("yes");
        self.demo.set(demo);
        self.open_book(if demo { DEMO_BOOK } else { OWN_BOOK })
            .await;
    }

    async fn open_book(self, name: &'static str) {
        self.shelf.set_value(Shelf::default());
        self.open.set(None);
        self.words.set(BTreeMap::new());
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
                self.phase.set(Phase::Empty);
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
        let Some(settings) = settings else {
            if store.count_entries().await.unwrap_or(0) == 0 {
                self.phase.set(Phase::Empty);
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

    async fn finish_opening(self, store: Store) {
        self.loading.set(Some(0));
        if self.open.with_untracked(Option::is_none) {
            // The keys answer before the book is read.
            self.open_blank(None);
        }
        self.phase.set(Phase::Ready);
        let mut damaged = 0_usize;
        let loaded = store
            .load_entries(500, |rows: Vec<(String, String)>| {
                let mut count = 0;
                self.shelf.update_value(|shelf| {
                    for (id, text) in rows {
                        match id
                            .parse::<EntryId>()
                            .ok()
                            .and_then(|id| Entry::with_trusted_id(id, text).ok())
                        {
                            Some(entry) => shelf.take(entry),
                            None => damaged += 1,
                        }
                        count += 1;
                    }
                });
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
    fn settle_open(self) {
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
        } else if let Some((id, set_up)) = self.read_once(Shelf::set_up) {
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
        if finished {
            self.keep_open(Act::Write, None);
        }
    }

    /// The book is still being read: a number given now could be taken already.
    fn is_reading(self) -> bool {
        self.loading.with_untracked(Option::is_some)
    }

    /// The settings follow what the ledger knows better.
    fn after_loading(self) {
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

    fn hear(self, event: StoreEvent) {
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
    fn renew_open(self, changed: &[RecordId]) {
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
            let mut again = Open::again(record, reading, open.notation, open.halves);
            again.go_on_typing(&open);
            self.open.set(Some(again));
        }
    }

    // ---- a new book ----------------------------------------------------------------------------------------

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

    fn ask_to_persist(self) {
        spawn_local(async move { self.persisted.set(Some(Store::persist().await)) });
    }

    // ---- writing -------------------------------------------------------------------------------------------

    fn stamp(self) -> Stamp {
        let mut stamp = None;
        self.settings.update_untracked(|s| {
            s.counter += 1;
            stamp = Some(Stamp {
                by: s.by.clone(),
                device: device(&s.device),
                counter: s.counter,
                at: clock::now(),
            });
        });
        stamp.unwrap_or_default()
    }

    /// Writes one revision of a record and sends it to be kept; gives the record's id.
    pub(crate) fn write(
        self,
        record: Option<&str>,
        act: Act,
        why: Option<String>,
        body: Body,
    ) -> String {
        self.write_all(record, act, why, Some(body), false)
    }

    fn write_all(
        self,
        record: Option<&str>,
        act: Act,
        why: Option<String>,
        body: Option<Body>,
        doubt: bool,
    ) -> String {
        let record = RecordId::from(record.map_or_else(clock::fresh_id, str::to_owned));
        let supersedes = self.read_once(|shelf| shelf.heads(record.as_str()));
        let entry = Entry::new(record.clone(), supersedes, self.stamp(), act, why, body);
        self.take(entry, doubt);
        record.as_str().to_owned()
    }

    fn take(self, entry: Entry, doubt: bool) {
        let row = (entry.id().to_string(), entry.text().to_owned());
        self.shelf.update_value(|shelf| shelf.take(entry));
        let mut batch = self.draft_batch();
        batch.entries.push(row);
        self.keeper().keep(batch, doubt);
        self.edition.update(|n| *n += 1);
    }

    fn draft_batch(self) -> Batch {
        let draft = self
            .open
            .with_untracked(|o| o.as_ref().and_then(|o| serde_json::to_string(o).ok()));
        let words = self.words.with_untracked(|w| {
            (!w.is_empty())
                .then(|| serde_json::to_string(w).ok())
                .flatten()
        });
        let settings = self
            .settings
            .with_untracked(|s| serde_json::to_string(s).ok());
        Batch {
            entries: Vec::new(),
            drafts: vec![
                (settings::DRAFT.to_owned(), draft),
                (settings::WORDS.to_owned(), words),
            ],
            state: vec![(settings::KEY.to_owned(), settings)],
        }
    }

    /// Keeps the draft and the settings as they now stand.
    pub(crate) fn keep_draft(self) {
        self.keeper().keep(self.draft_batch(), false);
    }

    /// Keeps words while they are typed.
    pub(crate) fn draft_words(self, field: &str, text: &str) {
        self.words.update(|w| {
            w.insert(field.to_owned(), text.to_owned());
        });
        self.keep_draft();
    }

    /// The words that were being typed in a field when the page ended.
    pub(crate) fn drafted_words(self, field: &str) -> Option<String> {
        self.words.with_untracked(|w| w.get(field).cloned())
    }

    /// The words of a field are kept, or left: their draft goes.
    pub(crate) fn end_words(self, field: &str) {
        let had = self.words.with_untracked(|w| w.contains_key(field));
        if had {
            self.words.update(|w| {
                w.remove(field);
            });
            self.keep_draft();
        }
    }

    /// Changes the settings of this device.
    pub(crate) fn set(self, change: impl FnOnce(&mut Settings)) {
        self.settings.update(change);
        self.keep_draft();
    }

    pub(crate) fn try_again(self) {
        self.keeper().start();
    }

    // ---- the open reading ----------------------------------------------------------------------------------

    /// One key of the keypad.
    pub(crate) fn press(self, key: Key) {
        if self.settings.with_untracked(|s| s.here.is_none()) {
            return;
        }
        let now = clock::now();
        let mut outcome = Outcome::Nothing;
        self.open.update(|open| {
            if let Some(open) = open {
                outcome = open.press(&key, &now);
            }
        });
        self.follow(outcome);
    }

    fn follow(self, outcome: Outcome) {
        match outcome {
            Outcome::Nothing => {}
            Outcome::Draft => self.keep_draft(),
            Outcome::Keep => self.keep_open(Act::Write, None),
            Outcome::Correct => self.keep_open(Act::Correct, None),
            Outcome::StrikeShot => self.keep_open(Act::StrikeOut, None),
            Outcome::PutBackShot => self.keep_open(Act::PutBack, None),
        }
    }

    /// Keeps the finished shots of the open reading.
    fn keep_open(self, act: Act, why: Option<String>) {
        let Some(mut open) = self.open.get_untracked() else {
            return;
        };
        if open.record.is_none() && self.is_reading() {
            // Its number at the station is known once the book is read; the draft has it until then.
            self.keep_draft();
            return;
        }
        if open.record.is_none() {
            open.record = Some(clock::fresh_id());
            open.reading.number =
                self.read_once(|shelf| shelf.pages.next_reading_number(&open.reading.station));
        }
        let record = open.record.clone();
        let body = Body::Reading(open.reading.clone());
        let doubt = has_doubt(&open.reading);
        self.open.set(Some(open));
        self.write_all(record.as_deref(), act, why, Some(body), doubt);
    }

    /// Takes a choice that a doubt offers.
    pub(crate) fn accept(self, doubt: &Doubt, choice: &Choice) {
        let by = self.settings.with_untracked(|s| s.by.clone());
        let now = clock::now();
        let mut outcome = Outcome::Nothing;
        self.open.update(|open| {
            if let Some(open) = open {
                outcome = open.accept(doubt, choice, &by, &now);
            }
        });
        match outcome {
            Outcome::Correct => self.keep_open(Act::Accept, Some(choice.words.clone())),
            other => self.follow(other),
        }
    }

    /// Changes the open reading by words (tops, note).
    pub(crate) fn amend(self, change: impl FnOnce(&mut Open) -> Outcome) {
        let mut outcome = Outcome::Nothing;
        self.open.update(|open| {
            if let Some(open) = open {
                outcome = change(open);
            }
        });
        self.follow(outcome);
    }

    /// An empty reading of a kind (the last one where none is named) at the present station.
    pub(crate) fn open_blank(self, kind: Option<&str>) {
        let (kind, notation, here) = self.settings.with_untracked(|s| {
            (
                kind.map(str::to_owned)
                    .or_else(|| s.last_kind.clone())
                    .unwrap_or_else(|| "bedding".to_owned()),
                s.notation,
                s.here.clone(),
            )
        });
        let set_up = self.read_once(Shelf::set_up);
        let halves = set_up.as_ref().is_some_and(|(_, s)| s.resolution != "1");
        let form = kinds::form_of(&kind);
        let blank = Reading {
            station: here.map(|h| h.record).unwrap_or_default(),
            kind: kind.clone(),
            form,
            north: set_up.as_ref().map(|(_, s)| s.north).unwrap_or_default(),
            declination: set_up.as_ref().and_then(|(_, s)| s.declination.clone()),
            set_up: set_up.map(|(id, _)| id.as_str().to_owned()),
            ..Reading::default()
        };
        self.settings.update(|s| s.last_kind = Some(kind));
        self.open.set(Some(Open::new(blank, notation, halves)));
        self.panel.set(Panel::Keypad);
    }

    /// Ends the open reading as it stands; a draft line stays in the book, nothing is dropped.
    fn close_open(self) {
        let now = clock::now();
        let mut keep = false;
        self.open.update(|open| {
            if let Some(open) = open {
                keep = open.close(&now);
            }
        });
        if keep {
            self.keep_open(Act::Write, None);
        }
        self.keep_words();
    }

    /// Keeps tops and note of the open reading, where they differ from what the book says.
    pub(crate) fn keep_words(self) {
        let changed = self.open.with_untracked(|o| {
            let open = o.as_ref()?;
            let record = open.record.as_deref()?;
            match self.read_once(|shelf| shelf.body(record)) {
                Some(Body::Reading(kept)) => {
                    Some(kept.note != open.reading.note || kept.tops != open.reading.tops)
                }
                _ => None,
            }
        });
        if changed == Some(true) {
            self.keep_open(Act::Correct, None);
        }
    }

    /// The note of the open reading while it is typed: a draft until it is kept.
    pub(crate) fn type_note(self, note: String) {
        self.open.update(|o| {
            if let Some(open) = o {
                open.reading.note = note;
            }
        });
        self.keep_draft();
    }

    /// Opens the next reading of the same kind.
    pub(crate) fn next_reading(self) {
        if self.is_reading() {
            return;
        }
        let kind = self
            .open
            .with_untracked(|o| o.as_ref().map(|o| o.reading.kind.clone()));
        self.close_open();
        self.open_blank(kind.as_deref());
        self.keep_draft();
    }

    /// A kind was touched: an empty or unfinished reading changes its kind, after a finished one the next opens.
    pub(crate) fn kind(self, name: &str) {
        let unfinished = self
            .open
            .with_untracked(|o| o.as_ref().is_some_and(|o| o.reading.shots.is_empty()));
        if unfinished {
            self.open.update(|open| {
                if let Some(open) = open {
                    open.change_kind(name, kinds::form_of(name));
                }
            });
            self.settings
                .update(|s| s.last_kind = Some(name.to_owned()));
        } else if !self.is_reading() {
            self.close_open();
            self.open_blank(Some(name));
        }
        self.panel.set(Panel::Keypad);
        self.keep_draft();
    }

    /// Opens a line of the book again.
    pub(crate) fn open_record(self, record: &str) {
        let reading = self.read_once(|shelf| match shelf.body(record) {
            Some(Body::Reading(reading)) => Some(reading),
            _ => None,
        });
        let Some(reading) = reading else {
            return;
        };
        self.close_open();
        self.stand_at(&reading.station);
        let notation = self.settings.with_untracked(|s| s.notation);
        let halves = self
            .open
            .with_untracked(|o| o.as_ref().is_some_and(|o| o.halves));
        self.open.set(Some(Open::again(
            record.to_owned(),
            reading,
            notation,
            halves,
        )));
        self.panel.set(Panel::Keypad);
        self.keep_draft();
        self.go("/outcrop");
    }

    /// Strikes the open reading out, with the reason; it stays legible.
    pub(crate) fn strike_out_open(self, why: &str) {
        let Some(record) = self
            .open
            .with_untracked(|o| o.as_ref().and_then(|o| o.record.clone()))
        else {
            self.open_blank(None);
            self.keep_draft();
            return;
        };
        let why = (!why.trim().is_empty()).then(|| why.trim().to_owned());
        self.open_blank(None);
        self.write_all(Some(&record), Act::StrikeOut, why, None, false);
    }

    /// The words on the Undo plate.
    pub(crate) fn undo_words(self) -> Option<String> {
        let device = device(&self.settings.with(|s| s.device.clone()));
        self.read(|shelf| {
            let undo = undo_of(&shelf.ledger, &device)?;
            // The book's own first records stay: without them there is nothing to write in.
            let first = undo.body.is_none()
                && matches!(
                    shelf.body(undo.record.as_str()),
                    Some(Body::Book(_) | Body::SetUp(_))
                );
            (!first).then_some(undo.words)
        })
    }

    /// Takes the last act back, by an entry like any other.
    pub(crate) fn undo(self) {
        let device = device(&self.settings.with_untracked(|s| s.device.clone()));
        let Some(undo) = self.read_once(|shelf| undo_of(&shelf.ledger, &device)) else {
            return;
        };
        let record = undo.record.as_str().to_owned();
        let entry = Entry::new(
            undo.record,
            undo.supersedes,
            self.stamp(),
            undo.act,
            None,
            undo.body.clone(),
        );
        let mine = self
            .open
            .with_untracked(|o| o.as_ref().and_then(|o| o.record.clone()))
            .as_deref()
            == Some(record.as_str());
        if mine {
            match undo.body {
                Some(Body::Reading(reading)) => {
                    let (notation, halves) = self.open.with_untracked(|o| {
                        o.as_ref()
                            .map_or((Notation::default(), false), |o| (o.notation, o.halves))
                    });
                    let mut again = Open::again(record.clone(), reading, notation, halves);
                    self.open.with_untracked(|o| {
                        if let Some(open) = o {
                            again.go_on_typing(open);
                        }
                    });
                    self.open.set(Some(again));
                }
                _ => self.open_blank(None),
            }
        }
        let here = self
            .settings
            .with_untracked(|s| s.here.as_ref().map(|h| h.record.clone()));
        if here.as_deref() == Some(record.as_str()) && entry.body().is_none() {
            self.settings.update(|s| s.here = None);
        }
        let doubt = matches!(entry.body(), Some(Body::Reading(r)) if has_doubt(r));
        self.take(entry, doubt);
    }

    /// The dial before the one where the next digit lands.
    pub(crate) fn dial_before(self) -> Option<Dial> {
        self.open.with_untracked(|o| {
            let o = o.as_ref()?;
            let order = o.order();
            let at = order
                .iter()
                .position(|d| Some(*d) == o.here)
                .unwrap_or(order.len());
            at.checked_sub(1).and_then(|i| order.get(i)).copied()
        })
    }

    /// The side key whose wind contains a letter.
    pub(crate) fn side_with(self, letter: &str) -> Option<usize> {
        self.open.with_untracked(|o| {
            let sides = o.as_ref()?.sides()?;
            let has = |i: usize| sides[i].0.contains(letter);
            match (has(0), has(1)) {
                (true, false) => Some(0),
                (false, true) => Some(1),
                _ => None,
            }
        })
    }

    // ---- stations ------------------------------------------------------------------------------------------

    /// Starts the next station and turns to its page.
    pub(crate) fn new_station(self) {
        if self.is_reading() {
            return;
        }
        self.close_open();
        let number = self.read_once(|shelf| shelf.pages.next_station_number());
        let station = Station {
            number,
            at: clock::now(),
            ..Station::default()
        };
        let record = clock::fresh_id();
        self.settings
            .update(|s| s.here = Some(here(&record, &station)));
        self.open_blank(None);
        self.write(Some(&record), Act::Write, None, Body::Station(station));
        self.go(&format!("/station/{number}"));
    }

    /// Changes a station.
    pub(crate) fn change_station(self, record: &str, change: impl FnOnce(&mut Station)) {
        let station = self.read_once(|shelf| match shelf.body(record) {
            Some(Body::Station(station)) => Some(station),
            _ => None,
        });
        let Some(before) = station else {
            return;
        };
        let mut after = before.clone();
        change(&mut after);
        if after != before {
            self.settings.update(|s| {
                if let Some(h) = &mut s.here
                    && h.record == record
                {
                    *h = here(record, &after);
                }
            });
            self.write(Some(record), Act::Correct, None, Body::Station(after));
        }
    }

    /// The person stands at another station; the open reading is ended as it stands.
    pub(crate) fn stand_at(self, record: &str) {
        let station = self.read_once(|shelf| match shelf.body(record) {
            Some(Body::Station(station)) => Some(station),
            _ => None,
        });
        let Some(station) = station else {
            return;
        };
        if self
            .settings
            .with_untracked(|s| s.here.as_ref().map(|h| h.record.as_str()) == Some(record))
        {
            return;
        }
        self.close_open();
        self.settings
            .update(|s| s.here = Some(here(record, &station)));
        self.open_blank(None);
        self.keep_draft();
    }

    // ---- the book's own words and set-ups ------------------------------------------------------------------

    /// Changes the book's own record.
    pub(crate) fn change_book(self, change: impl FnOnce(&mut Book)) {
        let found = self.read_once(|shelf| {
            shelf
                .pages
                .book()
                .map(|(r, b)| (r.as_str().to_owned(), b.clone()))
        });
        let (record, mut book) = match found {
            Some((record, book)) => (Some(record), book),
            None => (None, Book::default()),
        };
        change(&mut book);
        self.settings.update(|s| s.notation = book.notation);
        self.open.update(|o| {
            if let Some(open) = o
                && open.is_empty()
            {
                open.reading.right_hand = book.notation == Notation::RightHand;
                *open = Open::new(open.reading.clone(), book.notation, open.halves);
            }
        });
        self.write(record.as_deref(), Act::Correct, None, Body::Book(book));
    }

    /// Changes the set-up in use; readings already kept stay as they were read.
    pub(crate) fn change_set_up(self, change: impl FnOnce(&mut SetUp)) {
        let found = self
            .read_once(Shelf::set_up)
            .map(|(id, s)| (id.as_str().to_owned(), s));
        let (record, mut set_up) = match found {
            Some((record, set_up)) => (Some(record), set_up),
            None => (
                None,
                SetUp {
                    name: "Transit 1".to_owned(),
                    resolution: "1".to_owned(),
                    ..SetUp::default()
                },
            ),
        };
        change(&mut set_up);
        self.open.update(|o| {
            if let Some(open) = o
                && open.reading.shots.is_empty()
            {
                open.reading.north = set_up.north;
                open.reading.declination.clone_from(&set_up.declination);
                open.halves = set_up.resolution != "1";
            }
        });
        self.write(record.as_deref(), Act::Correct, None, Body::SetUp(set_up));
    }

    // ---- files ---------------------------------------------------------------------------------------------

    /// The book as one file, with its name.
    pub(crate) fn file(self) -> (String, String) {
        let now = clock::now();
        let (by, device) = self
            .settings
            .with_untracked(|s| (s.by.clone(), s.device.clone()));
        let written = book::Written {
            at: now.clone(),
            by,
            device,
        };
        let text = self.read_once(|shelf| book::write(shelf.ledger.iter(), &written));
        let day = now.get(..10).unwrap_or("book").to_owned();
        let name = self.read_once(|shelf| {
            shelf
                .pages
                .book()
                .map(|(_, b)| b.name.clone())
                .unwrap_or_default()
        });
        let name: String = name
            .chars()
            .map(|c| {
                if c.is_alphanumeric() {
                    c.to_ascii_lowercase()
                } else {
                    '-'
                }
            })
            .collect();
        let name = if name.is_empty() {
            "book".to_owned()
        } else {
            name
        };
        (format!("hingeline-{name}-{day}.json"), text)
    }

    /// Notes that a back-up has left this tablet.
    pub(crate) fn backed_up(self) {
        let (stations, mark) =
            self.read_once(|shelf| (shelf.pages.stations().len(), shelf.ledger.mark()));
        self.set(|s| {
            s.back_up = Some(BackUp {
                at: clock::now(),
                stations,
                mark,
            });
        });
    }

    /// Opens a book file: everything in it that is new is kept in one commit, or nothing is.
    pub(crate) async fn open_file(self, bytes: &[u8]) -> Result<Report, String> {
        let file = book::read_bytes(bytes).map_err(|e| e.to_string())?;
        let all = file.entries.len();
        let fresh: Vec<Entry> = self.read_once(|shelf| {
            file.entries
                .into_iter()
                .filter(|e| shelf.ledger.get(&e.id()).is_none())
                .collect()
        });
        let report = Report {
            entries: all,
            new: fresh.len(),
            by: file.written.by.clone(),
            at: file.written.at.clone(),
        };
        let first = self.phase.get_untracked() == Phase::Empty;
        if fresh.is_empty() && !first {
            return Ok(report);
        }
        if first {
            self.settings.update_untracked(|s| {
                s.device = clock::fresh_id();
                s.by.clone_from(&file.written.by);
            });
        }
        let mut batch = self.draft_batch();
        batch.entries = fresh
            .iter()
            .map(|e| (e.id().to_string(), e.text().to_owned()))
            .collect();
        if let Err(error) = self.keeper().at_once(batch).await {
            if first {
                self.settings.set(Settings::default());
            }
            return Err(error.to_string());
        }
        self.shelf.update_value(|shelf| {
            for entry in fresh {
                shelf.take(entry);
            }
        });
        self.phase.set(Phase::Ready);
        self.after_loading();
        if self.settings.with_untracked(|s| s.here.is_none()) {
            let last = self
                .read_once(Shelf::last_station)
                .map(|(id, s)| here(id.as_str(), &s));
            self.settings.update(|s| s.here = last);
            self.open_blank(None);
        }
        self.edition.update(|n| *n += 1);
        self.keep_draft();
        self.ask_to_persist();
        Ok(report)
    }

    // ---- the demo ------------------------------------------------------------------------------------------

    /// Opens the demo book beside the person's own.
    pub(crate) fn open_demo(self) {
        spawn_local(async move {
            let bytes = match super::file::fetch_bytes("demo.json").await {
                Ok(bytes) => bytes,
                Err(error) => {
                    self.warning
                        .set(Some(format!("the demo book could not be read: {error}")));
                    return;
                }
            };
            let (hand, light) = self.settings.with_untracked(|s| (s.hand, s.light));
            set_local("hingeline-demo", Some("yes"));
            self.demo.set(true);
            if let Some(store) = self.keeper().store() {
                store.close();
            }
            self.open_book(DEMO_BOOK).await;
            if self.phase.get_untracked() == Phase::Empty {
                if let Err(error) = self.open_file(&bytes).await {
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
        super::tab::claim();
    }

    /// What is true of every entry that has not reached the disk.
    pub(crate) fn not_kept(self) -> usize {
        self.keeper().not_kept()
    }
}

/// What opening a file did.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Report {
    pub(crate) entries: usize,
    pub(crate) new: usize,
    pub(crate) by: String,
    pub(crate) at: String,
}

/// The reading has a doubt that nobody has settled.
pub(crate) fn has_doubt(reading: &Reading) -> bool {
    crate::app::written::is_doubted(&attitude::of(reading))
}

fn here(record: &str, station: &Station) -> Here {
    let mut detail = Vec::new();
    if !station.unit.is_empty() {
        detail.push(station.unit.clone());
    }
    if !station.lithology.is_empty() {
        detail.push(station.lithology.clone());
    }
    match station.position.as_ref().map(|p| p.accuracy_m) {
        Some(Some(accuracy)) => detail.push(format!("fix ±{accuracy:.0} m")),
        Some(None) => detail.push("position typed".to_owned()),
        None => detail.push("no position".to_owned()),
    }
    if let Some(time) = station.at.get(11..16) {
        detail.push(time.to_owned());
    }
    Here {
        record: record.to_owned(),
        number: station.number,
        name: station.name.clone(),
        detail: detail.join(" · "),
    }
}

/// The id this tab writes under: the tablet's own, and one with a suffix in a second tab of the same tablet.
fn device(base: &str) -> String {
    match super::tab::suffix() {
        Some(suffix) => format!("{base}/{suffix}"),
        None => base.to_owned(),
    }
}

/// The light that the page remembers from the last visit, before the book is read.
fn page_light() -> Light {
    let look = document()
        .document_element()
        .and_then(|root| root.get_attribute("data-look"));
    [Light::Overcast, Light::Lamp]
        .into_iter()
        .find(|light| look.as_deref() == Some(light.word()))
        .unwrap_or_default()
}

fn local(key: &str) -> Option<String> {
    web_sys::window()?
        .local_storage()
        .ok()??
        .get_item(key)
        .ok()?
}

fn set_local(key: &str, value: Option<&str>) {
    if let Some(Ok(Some(storage))) = web_sys::window().map(|w| w.local_storage()) {
        // A browser without this storage opens the person's own book at the next start: nothing is lost.
        let _ = match value {
            Some(value) => storage.set_item(key, value),
            None => storage.remove_item(key),
        };
    }
}
