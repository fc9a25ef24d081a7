//! The queue between the hand and the disk: what waits is kept in order, one commit at a time.

use std::cell::RefCell;
use std::rc::Rc;
use std::sync::Arc;

use leptos::prelude::*;
use leptos::task::spawn_local;

use crate::store::{Batch, Keeping, Store, StoreError};

use super::clock;

#[derive(Default)]
struct Waiting {
    batch: Batch,
    /// The photos of the batch that is being written.
    photos_under_way: Vec<(String, Arc<[u8]>)>,
    doubt: bool,
    busy: bool,
}

/// Writes batches to the store one after the other and tells how it went.
#[derive(Clone)]
pub(crate) struct Keeper {
    store: Rc<RefCell<Option<Store>>>,
    waiting: Rc<RefCell<Waiting>>,
    keeping: RwSignal<Keeping>,
}

impl Keeper {
    pub(crate) fn new(keeping: RwSignal<Keeping>) -> Self {
        Self {
            store: Rc::default(),
            waiting: Rc::default(),
            keeping,
        }
    }

    /// From now on batches go to this store.
    pub(crate) fn use_store(&self, store: Option<Store>) {
        *self.store.borrow_mut() = store;
    }

    pub(crate) fn store(&self) -> Option<Store> {
        self.store.borrow().clone()
    }

    /// Adds to what waits; entries make the head say so.
    pub(crate) fn keep(&self, batch: Batch, doubt: bool) {
        let has_entries = !batch.entries.is_empty();
        {
            let mut waiting = self.waiting.borrow_mut();
            join(&mut waiting.batch, batch);
            waiting.doubt = doubt;
        }
        if has_entries {
            self.keeping.set(Keeping::Pending);
        }
        self.start();
    }

    /// Tries again what was not kept.
    pub(crate) fn start(&self) {
        let Some(store) = self.store() else {
            if !self.waiting.borrow().batch.entries.is_empty() {
                self.keeping.set(Keeping::InMemory);
            }
            return;
        };
        {
            let mut waiting = self.waiting.borrow_mut();
            if waiting.busy || waiting.batch.is_empty() {
                return;
            }
            waiting.busy = true;
        }
        let keeper = self.clone();
        spawn_local(async move { keeper.run(store).await });
    }

    async fn run(&self, store: Store) {
        let mut wrote_entries = false;
        loop {
            let batch = {
                let mut waiting = self.waiting.borrow_mut();
                let batch = std::mem::take(&mut waiting.batch);
                waiting.photos_under_way.clone_from(&batch.photos);
                batch
            };
            if batch.is_empty() {
                break;
            }
            let entries = !batch.entries.is_empty();
            if let Err(error) = store.commit(batch.clone()).await {
                self.give_back(batch);
                self.keeping.set(Keeping::NotKept(error));
                self.waiting.borrow_mut().busy = false;
                return;
            }
            wrote_entries |= entries;
        }
        let doubt = {
            let mut waiting = self.waiting.borrow_mut();
            waiting.busy = false;
            waiting.doubt
        };
        let failed = matches!(self.keeping.get_untracked(), Keeping::NotKept(_));
        if wrote_entries || failed {
            self.keeping.set(Keeping::Kept {
                at: Some(clock::hour_minute()),
                doubt,
            });
        }
    }

    /// What failed stays first in the queue; newer drafts and settings win over older ones.
    fn give_back(&self, mut failed: Batch) {
        let mut waiting = self.waiting.borrow_mut();
        let newer = std::mem::take(&mut waiting.batch);
        join(&mut failed, newer);
        waiting.batch = failed;
    }

    /// Waits for the commit under way; true when nothing is left to keep.
    pub(crate) async fn at_rest(&self) -> bool {
        while self.waiting.borrow().busy {
            clock::moment().await;
        }
        self.waiting.borrow().batch.is_empty()
    }

    /// Lets go of what waits: the book it belongs to is being thrown away.
    pub(crate) fn forget(&self) {
        let mut waiting = self.waiting.borrow_mut();
        waiting.batch = Batch::default();
        waiting.photos_under_way.clear();
    }

    /// The entries that are not on the disk yet.
    pub(crate) fn not_kept(&self) -> usize {
        self.waiting.borrow().batch.entries.len()
    }

    /// Commits one batch by itself, for an import: all of it or nothing. Without a store its photos stay in hand.
    pub(crate) async fn at_once(&self, batch: Batch) -> Result<(), StoreError> {
        match self.store() {
            Some(store) => store.commit(batch).await,
            None => {
                self.waiting.borrow_mut().batch.photos.extend(batch.photos);
                Ok(())
            }
        }
    }

    /// The bytes of a photo that is not on the disk yet.
    pub(crate) fn photo(&self, sha256: &str) -> Option<Arc<[u8]>> {
        let waiting = self.waiting.borrow();
        let mut photos = waiting.batch.photos.iter().chain(&waiting.photos_under_way);
        photos
            .find(|(key, _)| key == sha256)
            .map(|(_, bytes)| bytes.clone())
    }
}

fn join(into: &mut Batch, from: Batch) {
    into.entries.extend(from.entries);
    into.photos.extend(from.photos);
    for (key, value) in from.drafts {
        into.drafts.retain(|(k, _)| *k != key);
        into.drafts.push((key, value));
    }
    for (key, value) in from.state {
        into.state.retain(|(k, _)| *k != key);
        into.state.push((key, value));
    }
}
