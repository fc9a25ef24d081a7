//! Bringing a table into the book: all of it in one strict commit, or nothing, and one act to undo.

use leptos::prelude::*;

use super::Tablet;
use crate::exchange::table_import::Brought;
use crate::notebook::{Entry, RecordId};

impl Tablet {
    /// Writes what a table brings; gives which records that are.
    pub(crate) async fn bring_in(self, brought: &Brought) -> Result<Vec<RecordId>, String> {
        if self.is_reading() {
            return Err("the book is still being read; try again in a moment".to_owned());
        }
        let stamp = self.stamp();
        let entries: Vec<Entry> = self.read_once(|shelf| brought.entries(&shelf.ledger, &stamp));
        let records = entries.iter().map(|entry| entry.record().clone()).collect();
        let counters = entries.iter().map(|entry| entry.stamp().counter);
        let last = counters.max().unwrap_or(stamp.counter);
        // The counters are taken before anything else can be written beside them.
        self.settings
            .update_untracked(|s| s.counter = s.counter.max(last));
        let mut batch = self.draft_batch();
        batch.entries = entries
            .iter()
            .map(|entry| (entry.id().to_string(), entry.text().to_owned()))
            .collect();
        self.keeper()
            .at_once(batch)
            .await
            .map_err(|error| error.to_string())?;
        self.show_kept(entries).await;
        Ok(records)
    }
}
