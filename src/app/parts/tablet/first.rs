//! The first lines of a long book: shown before the rest is read, remembered while it is read and written.

use leptos::prelude::*;
use leptos::task::spawn_local;

use super::{Phase, Tablet, local, set_local};
use crate::app::first_lines::FirstLines;
use crate::app::parts::clock;
use crate::notebook::{Entry, EntryId};
use crate::store::Store;

/// After a change, so many moments pass before the first lines are gathered anew.
const MOMENTS: u32 = 200;

impl Tablet {
    /// Shows the first lines where the book has as many entries as when they were remembered, and so the same.
    pub(super) async fn show_first_lines(self, store: &Store) {
        let Some(first) = local(&key(store.name()))
            .and_then(|text| serde_json::from_str::<FirstLines>(&text).ok())
        else {
            return;
        };
        if store.count_entries().await != Ok(first.entries) {
            return;
        }
        let ids: Vec<String> = first.ids.iter().map(EntryId::to_string).collect();
        // What cannot be read now is read with the whole book, or said then.
        let rows = store.entries(&ids).await.unwrap_or_default();
        let there: Vec<Entry> = first
            .ids
            .into_iter()
            .zip(rows)
            .filter_map(|(id, (_, text))| Entry::with_trusted_id(id, text).ok())
            .collect();
        // A record of which an entry is missing would be shown as it was once.
        if there.len() == ids.len() {
            self.shelf.update_value(|shelf| shelf.take_many(there));
            self.edition.update(|n| *n += 1);
            clock::painted().await;
        }
    }

    /// Remembers the first lines from now on, a while after each change and when the page goes out of sight.
    pub(crate) fn keep_first_lines(self) {
        Effect::new(move |_| {
            let edition = self.edition.get();
            self.loading.track();
            spawn_local(async move {
                for _ in 0..MOMENTS {
                    clock::moment().await;
                    if self.edition.try_get_untracked() != Some(edition) {
                        return;
                    }
                }
                self.remember_first_lines();
            });
        });
    }

    /// Remembers the first lines as they now are. They are no part of the book: without them it only opens more slowly.
    pub(crate) fn remember_first_lines(self) {
        let Some(store) = self.keeper().store() else {
            return;
        };
        if self.phase.get_untracked() != Phase::Ready || self.is_reading() {
            return;
        }
        let here = self
            .settings
            .with_untracked(|s| s.here.as_ref().map(|here| here.record.clone()));
        let first = self.read_once(|shelf| FirstLines::of(shelf, here.as_deref()));
        let text = first.and_then(|first| serde_json::to_string(&first).ok());
        set_local(&key(store.name()), text.as_deref());
    }
}

fn key(book: &str) -> String {
    format!("hingeline-first-lines/{book}")
}
