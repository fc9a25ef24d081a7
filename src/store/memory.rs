//! A store in memory: the model on which the write path is tried, row by row.
//!
//! It behaves as IndexedDB does where that matters: a transaction that is let go of keeps the rows it took.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::batch::{Batch, Row};
use super::error::StoreError;
use super::plan::{VERSION, stores_at};
use super::write::{Next, Transaction, after_failure, issue, without_kept};

/// The rows of every object store.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Memory {
    stores: BTreeMap<&'static str, BTreeMap<String, String>>,
    /// The rows that are bytes, by object store and key.
    bytes: BTreeMap<(&'static str, String), Arc<[u8]>>,
}

impl Default for Memory {
    fn default() -> Self {
        Memory::new()
    }
}

impl Memory {
    /// An empty store with every object store of this build.
    pub fn new() -> Memory {
        Memory {
            stores: stores_at(VERSION)
                .into_iter()
                .map(|store| (store, BTreeMap::new()))
                .collect(),
            bytes: BTreeMap::new(),
        }
    }

    /// The rows of one object store; empty where there is no such store.
    pub fn rows(&self, store: &str) -> impl Iterator<Item = (&str, &str)> {
        self.stores
            .get(store)
            .into_iter()
            .flatten()
            .map(|(key, value)| (key.as_str(), value.as_str()))
    }

    /// The row a key holds.
    pub fn get(&self, store: &str, key: &str) -> Option<&str> {
        Some(self.stores.get(store)?.get(key)?.as_str())
    }

    /// The bytes a key holds.
    pub fn bytes(&self, store: &'static str, key: &str) -> Option<&[u8]> {
        let row = self.bytes.get(&(store, key.to_owned()))?;
        Some(row)
    }

    /// Opens a transaction; `allow` answers for every row by its number, and an error it gives refuses that row.
    pub fn begin<F>(&mut self, allow: F) -> MemoryTransaction<'_, F>
    where
        F: FnMut(usize) -> Result<(), StoreError>,
    {
        MemoryTransaction {
            before: self.clone(),
            memory: self,
            taken: 0,
            allow,
        }
    }

    /// Keeps a batch, all of it or none of it.
    ///
    /// # Errors
    /// [`StoreError::Duplicate`] where an entry is there with other words.
    pub fn commit(&mut self, batch: &Batch) -> Result<(), StoreError> {
        self.commit_where(batch, |_| Ok(()))
    }

    /// Keeps a batch while `allow` lets its rows through: the same path as the browser's store takes.
    ///
    /// # Errors
    /// What refused a row; nothing of the batch is kept then.
    pub fn commit_where<F>(&mut self, batch: &Batch, mut allow: F) -> Result<(), StoreError>
    where
        F: FnMut(usize) -> Result<(), StoreError>,
    {
        let mut rows = batch.rows();
        let (mut reopened, mut left_out) = (0, 0);
        loop {
            let outcome = issue(&mut self.begin(&mut allow), &rows);
            let Err(error) = outcome else { return Ok(()) };
            match after_failure(error, reopened, left_out) {
                Next::Reopen => reopened += 1,
                Next::LeaveOutKept => {
                    left_out += 1;
                    let kept = self.stores.get(super::plan::ENTRIES);
                    rows = without_kept(rows, kept.unwrap_or(&BTreeMap::new()))?;
                }
                Next::Fail(error) => return Err(error),
            }
        }
    }
}

/// A transaction on a [`Memory`].
pub struct MemoryTransaction<'a, F> {
    memory: &'a mut Memory,
    before: Memory,
    taken: usize,
    allow: F,
}

impl<F: FnMut(usize) -> Result<(), StoreError>> Transaction for MemoryTransaction<'_, F> {
    type Row = Row;

    fn take(&mut self, row: &Row) -> Result<(), StoreError> {
        (self.allow)(self.taken)?;
        let store = self.memory.stores.get_mut(row.store()).ok_or_else(|| {
            StoreError::Unknown(format!("there is no object store `{}`", row.store()))
        })?;
        match row {
            Row::Add { key, .. } if store.contains_key(key) => return Err(StoreError::Duplicate),
            Row::Add { key, value, .. } | Row::Put { key, value, .. } => {
                store.insert(key.clone(), value.clone());
            }
            Row::PutBytes { store, key, value } => {
                self.memory
                    .bytes
                    .insert((store, key.clone()), value.clone());
            }
            Row::Delete { store: name, key } => {
                store.remove(key);
                self.memory.bytes.remove(&(*name, key.clone()));
            }
        }
        self.taken += 1;
        Ok(())
    }

    fn abort(&mut self) {
        self.memory.clone_from(&self.before);
    }
}
