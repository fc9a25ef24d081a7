//! Half a save: whatever row is refused, the store holds everything of a batch or nothing of it.
#![cfg(not(target_arch = "wasm32"))]

use std::sync::Arc;

use hingeline::store::{
    Batch, DRAFTS, ENTRIES, Memory, PHOTOS, Row, STATE, StoreError, Transaction, issue,
};
use proptest::prelude::*;

fn pair(key: &str, value: &str) -> (String, String) {
    (key.to_owned(), value.to_owned())
}

fn photo(key: &str, bytes: &[u8]) -> (String, Arc<[u8]>) {
    (key.to_owned(), bytes.into())
}

fn change(key: &str, value: Option<&str>) -> (String, Option<String>) {
    (key.to_owned(), value.map(str::to_owned))
}

/// A book with something in every place a save can touch.
fn book() -> Memory {
    let mut memory = Memory::new();
    let outcome = memory.commit(&Batch {
        entries: vec![pair("e1", "one")],
        photos: vec![photo("p1", b"light")],
        drafts: vec![change("open", Some("06"))],
        state: vec![change("counter", Some("1"))],
    });
    assert_eq!(outcome, Ok(()));
    memory
}

/// Every save of more than one row: a reading, a file opened, a strike-out, an upward undo.
fn saves() -> Vec<(&'static str, Batch)> {
    vec![
        (
            "a reading is kept and its draft goes",
            Batch {
                entries: vec![pair("e2", "two")],
                photos: Vec::new(),
                drafts: vec![change("open", None)],
                state: vec![change("counter", Some("2"))],
            },
        ),
        (
            "a photo and the entry that names it",
            Batch {
                entries: vec![pair("e2", "two")],
                photos: vec![photo("p2", b"\xff\xd8\xff shade")],
                ..Batch::default()
            },
        ),
        (
            "an archive is opened, a photo of it there already",
            Batch {
                entries: (0..9).map(|n| pair(&format!("f{n}"), "file")).collect(),
                photos: (0..9)
                    .map(|n| photo(&format!("q{n}"), &[n]))
                    .chain([photo("p1", b"light")])
                    .collect(),
                drafts: vec![change("open", None)],
                state: vec![change("counter", Some("9"))],
            },
        ),
        (
            "a reading and its station",
            Batch {
                entries: vec![pair("e2", "two"), pair("e3", "three")],
                photos: Vec::new(),
                drafts: vec![change("open", Some("")), change("focus", Some("dip"))],
                state: vec![change("counter", Some("3"))],
            },
        ),
        (
            "a file is opened, part of it there already",
            Batch {
                entries: (0..40)
                    .map(|n| pair(&format!("f{n}"), "file"))
                    .chain([pair("e1", "one")])
                    .collect(),
                ..Batch::default()
            },
        ),
        (
            "the back-up mark and the device",
            Batch::state("mark", Some("e1".into())),
        ),
    ]
}

#[test]
fn the_nth_row_fails_for_all_n() {
    for (name, batch) in saves() {
        let before = book();
        let mut after = before.clone();
        after.commit(&batch).unwrap();
        assert_ne!(before, after, "{name}");
        for error in [StoreError::Full, StoreError::Unknown("odd".into())] {
            for n in 0..batch.rows().len() {
                let mut memory = before.clone();
                let mut refused = false;
                let outcome = memory.commit_where(&batch, |row| {
                    refused |= row == n;
                    if row == n { Err(error.clone()) } else { Ok(()) }
                });
                if refused {
                    assert_eq!(outcome, Err(error.clone()), "{name}, row {n}");
                    assert_eq!(memory, before, "{name}, row {n}");
                } else {
                    // The row was one that is there already, and was left out.
                    assert_eq!(outcome, Ok(()), "{name}, row {n}");
                    assert_eq!(memory, after, "{name}, row {n}");
                }
            }
        }
    }
}

#[test]
fn a_connection_lost_once_at_any_row_costs_nothing() {
    for (name, batch) in saves() {
        let mut after = book();
        after.commit(&batch).unwrap();
        for n in 0..batch.rows().len() {
            let mut memory = book();
            let mut lost = false;
            let outcome = memory.commit_where(&batch, |row| {
                if row == n && !lost {
                    lost = true;
                    return Err(StoreError::Closed);
                }
                Ok(())
            });
            assert_eq!(outcome, Ok(()), "{name}, row {n}");
            assert_eq!(memory, after, "{name}, row {n}");
        }
    }
}

#[test]
fn a_connection_that_stays_lost_changes_nothing_and_says_so() {
    for (name, batch) in saves() {
        let mut memory = book();
        assert_eq!(
            memory.commit_where(&batch, |_| Err(StoreError::Closed)),
            Err(StoreError::Closed),
            "{name}"
        );
        assert_eq!(memory, book(), "{name}");
    }
}

#[test]
fn the_model_has_the_trap_it_is_meant_to_catch() {
    // As measured in a browser: letting go of a transaction keeps the rows it took. A write path that returned at the
    // first refused row without aborting would leave half a save, and the tests above would see it.
    let mut memory = book();
    let rows = saves()[1].1.rows();
    {
        let mut transaction = memory.begin(|_| Ok(()));
        transaction.take(&rows[0]).unwrap();
    }
    assert_ne!(memory, book());

    let mut memory = book();
    let refuse_second = |row| {
        if row == 1 {
            Err(StoreError::Full)
        } else {
            Ok(())
        }
    };
    assert_eq!(
        issue(&mut memory.begin(refuse_second), &rows),
        Err(StoreError::Full)
    );
    assert_eq!(memory, book());
}

#[test]
fn keeping_the_same_batch_twice_changes_nothing() {
    for (name, batch) in saves() {
        let mut once = book();
        once.commit(&batch).unwrap();
        let mut twice = once.clone();
        twice.commit(&batch).unwrap();
        assert_eq!(once, twice, "{name}");
    }
}

#[test]
fn an_entry_with_other_words_is_refused_with_everything_beside_it() {
    let mut memory = book();
    let outcome = memory.commit(&Batch {
        entries: vec![pair("e2", "two"), pair("e1", "other")],
        drafts: vec![change("open", None)],
        ..Batch::default()
    });
    assert_eq!(outcome, Err(StoreError::Duplicate));
    assert_eq!(memory, book());
}

fn batches() -> impl Strategy<Value = Batch> {
    let key = "[a-d]";
    let value = "[x-z]";
    (
        proptest::collection::vec((key, value), 0..6),
        // As the key is made of the bytes, a key never has two contents.
        proptest::collection::vec(0_u8..9, 0..4),
        proptest::collection::vec((key, proptest::option::of(value)), 0..6),
        proptest::collection::vec((key, proptest::option::of(value)), 0..6),
    )
        .prop_map(|(entries, photos, drafts, state)| Batch {
            entries,
            photos: photos
                .iter()
                .map(|n| photo(&n.to_string(), &[*n]))
                .collect(),
            drafts,
            state,
        })
}

proptest! {
    #[test]
    fn any_batches_any_refusals(saves in proptest::collection::vec((batches(), 0_usize..14), 1..8)) {
        let mut memory = Memory::new();
        for (batch, n) in saves {
            let before = memory.clone();
            let outcome = memory.commit_where(&batch, |row| {
                if row == n { Err(StoreError::Full) } else { Ok(()) }
            });
            match outcome {
                Err(_) => prop_assert_eq!(&memory, &before),
                Ok(()) => {
                    for (id, text) in &batch.entries {
                        prop_assert_eq!(memory.get(ENTRIES, id), Some(text.as_str()));
                    }
                    for (key, bytes) in &batch.photos {
                        prop_assert_eq!(memory.bytes(PHOTOS, key), Some(&**bytes));
                    }
                    for (store, changes) in [(DRAFTS, &batch.drafts), (STATE, &batch.state)] {
                        for (at, (key, value)) in changes.iter().enumerate() {
                            if changes[at + 1..].iter().all(|(later, _)| later != key) {
                                prop_assert_eq!(memory.get(store, key), value.as_deref());
                            }
                        }
                    }
                }
            }
            for (id, text) in before.rows(ENTRIES) {
                prop_assert_eq!(memory.get(ENTRIES, id), Some(text), "an entry went");
            }
        }
    }

    #[test]
    fn rows_cover_only_their_stores(batch in batches()) {
        let stores = batch.stores();
        prop_assert!(batch.rows().iter().map(Row::store).all(|store| stores.contains(&store)));
    }
}
