//! What is kept together: all of it or none of it.

use std::sync::Arc;

use super::plan::{DRAFTS, ENTRIES, PHOTOS, STATE};

/// Everything one save changes; it is written in one transaction.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Batch {
    /// New entries: id and canonical JSON. An entry is only ever added.
    pub entries: Vec<(String, String)>,
    /// Photos: SHA-256 and bytes. The key is made of the bytes, so that the same photo twice is one row.
    pub photos: Vec<(String, Arc<[u8]>)>,
    /// Drafts by key: the JSON to keep, or `None` to take the draft away.
    pub drafts: Vec<(String, Option<String>)>,
    /// What this device knows of itself, by key: the JSON to keep, or `None` to take it away.
    pub state: Vec<(String, Option<String>)>,
}

/// One change to one object store, ready to be issued.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Row {
    /// A new row; a row with this key must not be there.
    Add {
        /// The object store.
        store: &'static str,
        /// The row's key.
        key: String,
        /// The row's text.
        value: String,
    },
    /// A row that replaces what its key held.
    Put {
        /// The object store.
        store: &'static str,
        /// The row's key.
        key: String,
        /// The row's text.
        value: String,
    },
    /// A row of bytes that replaces what its key held.
    PutBytes {
        /// The object store.
        store: &'static str,
        /// The row's key.
        key: String,
        /// The row's bytes.
        value: Arc<[u8]>,
    },
    /// A row that goes; nothing happens where there is none.
    Delete {
        /// The object store.
        store: &'static str,
        /// The row's key.
        key: String,
    },
}

impl Row {
    /// The object store this row belongs to.
    pub fn store(&self) -> &'static str {
        match self {
            Row::Add { store, .. }
            | Row::Put { store, .. }
            | Row::PutBytes { store, .. }
            | Row::Delete { store, .. } => store,
        }
    }
}

impl Batch {
    /// A batch with one draft in it; `None` takes the draft away.
    pub fn draft(key: &str, value: Option<String>) -> Batch {
        Batch {
            drafts: vec![(key.to_owned(), value)],
            ..Batch::default()
        }
    }

    /// A batch with one thing this device knows of itself; `None` takes it away.
    pub fn state(key: &str, value: Option<String>) -> Batch {
        Batch {
            state: vec![(key.to_owned(), value)],
            ..Batch::default()
        }
    }

    /// Whether there is nothing to write.
    pub fn is_empty(&self) -> bool {
        self.entries.is_empty()
            && self.photos.is_empty()
            && self.drafts.is_empty()
            && self.state.is_empty()
    }

    /// The ids of the entries in this batch.
    pub fn entry_ids(&self) -> Vec<String> {
        self.entries.iter().map(|(id, _)| id.clone()).collect()
    }

    /// The rows to issue: entries are added (the same one twice is one), photos put beside them, drafts and state replaced or
    /// taken away.
    ///
    /// # Degenerate input
    /// An empty batch has no rows. Where a key of the drafts or the state stands twice, the later one holds.
    pub fn rows(&self) -> Vec<Row> {
        let mut rows = Vec::with_capacity(
            self.entries.len() + self.photos.len() + self.drafts.len() + self.state.len(),
        );
        let mut seen = std::collections::HashSet::with_capacity(self.entries.len());
        for entry in &self.entries {
            if seen.insert(entry) {
                rows.push(Row::Add {
                    store: ENTRIES,
                    key: entry.0.clone(),
                    value: entry.1.clone(),
                });
            }
        }
        rows.extend(self.photos.iter().map(|(key, value)| Row::PutBytes {
            store: PHOTOS,
            key: key.clone(),
            value: value.clone(),
        }));
        for (store, changes) in [(DRAFTS, &self.drafts), (STATE, &self.state)] {
            for (key, value) in changes {
                rows.push(match value {
                    Some(value) => Row::Put {
                        store,
                        key: key.clone(),
                        value: value.clone(),
                    },
                    None => Row::Delete {
                        store,
                        key: key.clone(),
                    },
                });
            }
        }
        rows
    }

    /// The object stores the transaction has to cover, and no more.
    pub fn stores(&self) -> Vec<&'static str> {
        [
            (ENTRIES, self.entries.is_empty()),
            (PHOTOS, self.photos.is_empty()),
            (DRAFTS, self.drafts.is_empty()),
            (STATE, self.state.is_empty()),
        ]
        .into_iter()
        .filter_map(|(store, empty)| (!empty).then_some(store))
        .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_empty_batch_needs_nothing() {
        let batch = Batch::default();
        assert!(batch.is_empty());
        assert!(batch.rows().is_empty());
        assert!(batch.stores().is_empty());
    }

    #[test]
    fn only_the_stores_needed_are_covered() {
        assert_eq!(Batch::draft("open", None).stores(), [DRAFTS]);
        assert_eq!(Batch::state("device", Some("1".into())).stores(), [STATE]);
        let mut batch = Batch::draft("open", None);
        batch.entries.push(("a".into(), "{}".into()));
        assert_eq!(batch.stores(), [ENTRIES, DRAFTS]);
        assert!(
            batch
                .rows()
                .iter()
                .all(|row| batch.stores().contains(&row.store()))
        );
    }

    #[test]
    fn the_same_entry_twice_is_one_row_and_a_false_twin_stays_to_be_refused() {
        let batch = Batch {
            entries: vec![
                ("a".into(), "1".into()),
                ("a".into(), "1".into()),
                ("a".into(), "2".into()),
            ],
            ..Batch::default()
        };
        assert_eq!(batch.rows().len(), 2);
    }
}
