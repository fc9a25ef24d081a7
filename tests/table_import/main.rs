//! Tables from elsewhere: what they are read as, what is doubted, and that nothing of them is lost.
#![cfg(not(target_arch = "wasm32"))]
#![allow(
    clippy::unwrap_used,
    reason = "the whole target is tests and what they share"
)]

mod examples;

mod properties;

mod round_trip;

mod same_names;

mod ledger;

use std::collections::BTreeSet;

use hingeline::exchange::table_import::{self, Brought, Matching, Table, bring, guess};
use hingeline::notebook::{Ledger, Pages, Stamp};

const NOW: &str = "2026-06-20T20:00:00+01:00";

fn stamp(counter: u64) -> Stamp {
    Stamp {
        by: "QV".to_owned(),
        device: "bench".to_owned(),
        counter,
        at: NOW.to_owned(),
    }
}

/// What a table brings into a book by its own matching.
fn into(ledger: &Ledger, table: &Table, matching: &Matching) -> Brought {
    bring(
        table,
        matching,
        ledger,
        &Pages::of(ledger),
        &BTreeSet::new(),
        NOW,
    )
}

/// Reads a table and says what it brings into an empty book.
fn brought(name: &str, bytes: &[u8]) -> (Table, Matching, Brought) {
    let table = table_import::read(name, bytes);
    let matching = guess(&table);
    let brought = into(&Ledger::new(), &table, &matching);
    (table, matching, brought)
}
