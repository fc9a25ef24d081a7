//! Keeping the ledger in the browser. What can be decided without a browser is ungated and tested natively.
//!
//! One IndexedDB database a book. Everything is written by one path: encode all rows, open one strict
//! transaction, issue every row with no await between, and call it kept only when the transaction completed.
//! Read in this order: the plan of the database, the batch, the write path, its errors, the words of the head.

mod plan;

mod batch;

mod write;

mod memory;

mod error;

mod badge;

mod event;

mod rolling;

#[cfg(target_arch = "wasm32")]
mod browser;

pub use badge::{Keeping, LedgerLine, Words, badge};
pub use batch::{Batch, Row};
pub use error::StoreError;
pub use event::StoreEvent;
pub use memory::{Memory, MemoryTransaction};
pub use plan::{DRAFTS, ENTRIES, PHOTOS, STATE, STEPS, Step, VERSION, steps_between, stores_at};
pub use rolling::{
    CopyFile, CopyName, LastCopy, copy_is_due, next_copy, offered, outlived, photo_file,
    photo_fits, photo_of_file, photos_to_copy,
};
pub use write::{Next, Transaction, after_failure, issue, without_kept};

#[cfg(target_arch = "wasm32")]
pub use browser::{Copies, Part, Persisted, Store, breathe};

/// The database of the person's own book.
pub const OWN_BOOK: &str = "hingeline";

/// The database of the demo book, thrown away with one tap.
pub const DEMO_BOOK: &str = "hingeline-demo";
