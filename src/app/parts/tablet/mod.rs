//! What this tablet holds: the book in memory, the open reading, the settings, and the acts of a person on them.

mod opening;

mod first;

mod reading;

mod sighting;

mod places;

mod photographing;

mod carrying;

mod bringing;

mod copying;

mod photo_copies;

mod settling;

use std::collections::BTreeMap;

use leptos::prelude::*;

use crate::app::outcrop::open::Open;
use crate::app::settings::{self, Here, Light, Settings};
use crate::app::shelf::Shelf;
use crate::notebook::{
    Act, Beyond, Body, Entry, Pages, Reading, RecordId, Stamp, Station, attitude,
};
use crate::store::{Batch, Keeping, Persisted};

use crate::app::parts::clock;
use crate::app::parts::keeper::Keeper;

pub(crate) use copying::{Offer, Rolling};
pub(crate) use photographing::{Outgoing, Unkept};

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
    /// Entries there are to be read, where that is known.
    pub(crate) to_read: RwSignal<usize>,
    pub(crate) demo: RwSignal<bool>,
    pub(crate) persisted: RwSignal<Option<Persisted>>,
    pub(crate) warning: RwSignal<Option<String>>,
    pub(crate) update: RwSignal<bool>,
    /// How things stand with the copy in the browser's private file system.
    pub(crate) rolling: RwSignal<Rolling>,
    /// What the book goes beyond, where it came from a part; some of it may be here by now.
    beyond: RwSignal<Vec<Beyond>>,
    /// Photos that are being scaled, hashed and kept.
    pub(crate) taking: RwSignal<usize>,
    /// The last photo, where it could not be kept.
    pub(crate) unkept: RwSignal<Option<Unkept>>,
    /// Which panel stands over the keypad.
    pub(crate) panel: RwSignal<Panel>,
    pub(crate) width: RwSignal<f64>,
    /// Words that are being typed, by the field they belong to; a draft like the digits.
    words: RwSignal<BTreeMap<String, String>>,
    /// A keep that waits until the book is read: without the whole ledger it could not say what it supersedes.
    owed: RwSignal<Option<Act>>,
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
    /// How the instrument stood.
    Stood,
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
            to_read: RwSignal::new(0),
            demo: RwSignal::new(false),
            persisted: RwSignal::new(None),
            warning: RwSignal::new(None),
            update: RwSignal::new(false),
            rolling: RwSignal::default(),
            beyond: RwSignal::default(),
            taking: RwSignal::new(0),
            unkept: RwSignal::new(None),
            panel: RwSignal::default(),
            width: RwSignal::new(800.0),
            words: RwSignal::default(),
            owed: RwSignal::new(None),
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

    /// Reads from the book once.
    pub(crate) fn read_once<T>(self, f: impl FnOnce(&Shelf) -> T) -> T {
        self.shelf.with_value(f)
    }

    fn keeper(self) -> Keeper {
        self.keeper.get_value()
    }

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
        let supersedes = self.read_once(|shelf| match body {
            Some(_) => shelf.builds_on(record.as_str()),
            None => shelf.heads(record.as_str()),
        });
        let entry = Entry::new(record.clone(), supersedes, self.stamp(), act, why, body);
        self.take(entry, doubt);
        record.as_str().to_owned()
    }

    fn take(self, entry: Entry, doubt: bool) {
        self.take_all(vec![entry], doubt);
    }

    /// Takes entries of one act: all are kept, or none.
    pub(crate) fn take_all(self, entries: Vec<Entry>, doubt: bool) {
        let rows: Vec<(String, String)> = entries
            .iter()
            .map(|entry| (entry.id().to_string(), entry.text().to_owned()))
            .collect();
        let counters = entries.iter().map(|entry| entry.stamp().counter);
        let last = counters.max().unwrap_or_default();
        self.settings
            .update_untracked(|s| s.counter = s.counter.max(last));
        self.shelf
            .update_value(|shelf| entries.into_iter().for_each(|entry| shelf.take(entry)));
        let mut batch = self.draft_batch();
        batch.entries = rows;
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
            photos: Vec::new(),
            drafts: vec![
                (settings::DRAFT.to_owned(), draft),
                (settings::WORDS.to_owned(), words),
            ],
            state: vec![(settings::KEY.to_owned(), settings)],
        }
    }

    /// Keeps the draft and the settings as they now stand; before they were read from the store, or before there is a
    /// book, there is nothing to keep, and what stands there must not be written over.
    pub(crate) fn keep_draft(self) {
        if self.phase.get_untracked() != Phase::Ready {
            return;
        }
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

    /// A declination is chosen and not yet set.
    pub(crate) fn is_setting(self) -> bool {
        self.words
            .with(|w| w.keys().any(|field| field.starts_with("declination/")))
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
}

/// The reading has a doubt that nobody has settled, with what its book says of it.
pub(crate) fn has_doubt(pages: &Pages, reading: &Reading) -> bool {
    attitude::in_book(pages, reading).is_doubted()
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
    match crate::app::parts::tab::suffix() {
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
