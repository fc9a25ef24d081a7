//! Tables from elsewhere: reading never fails, every row is accounted for, keeps its words, and comes in once.

use std::collections::BTreeSet;

use hingeline::exchange::book::{self, Written};
use hingeline::exchange::table_import::{Outcome, bring, guess, read};
use hingeline::notebook::{Body, Ledger, Pages, Stamp};

const NOW: &str = "2026-06-14T09:00:00+02:00";

pub(super) fn check(data: &[u8]) {
    let table = read("table.csv", data);
    assert_eq!(table, read("table.csv", data), "read twice");
    for remark in &table.remarks {
        assert!(
            !remark.ends_with('.') && remark.chars().count() < 1000,
            "{remark}"
        );
    }
    let matching = guess(&table);
    let stamp = Stamp {
        by: "K.O.".to_owned(),
        device: "tablet-a".to_owned(),
        counter: 1,
        at: NOW.to_owned(),
    };
    let mut ledger = Ledger::new();
    let all = BTreeSet::new();
    let brought = bring(&table, &matching, &ledger, &Pages::of(&ledger), &all, NOW);
    let counts = brought.counts;
    assert_eq!(
        (counts.rows, brought.rows.len()),
        (table.rows.len(), table.rows.len())
    );
    let ends = [
        counts.taken,
        counts.here,
        counts.struck_out,
        counts.nothing,
        counts.left_out,
    ];
    assert_eq!(ends.iter().sum::<usize>(), counts.rows);
    for (row, outcome) in table.rows.iter().zip(&brought.rows) {
        assert_eq!(row.line, outcome.line);
        for found in &outcome.findings {
            assert!(
                !found.words.is_empty() && !found.words.ends_with('.'),
                "{found:?}"
            );
        }
    }

    let entries = brought.entries(&ledger, &stamp);
    let bodies: Vec<&Body> = entries.iter().filter_map(|entry| entry.body()).collect();
    for (row, outcome) in table.rows.iter().zip(&brought.rows) {
        if outcome.outcome == Outcome::Taken && !outcome.readings.is_empty() {
            let kept = bodies.iter().any(|body| match body {
                Body::Reading(reading) => serde_json::to_value(reading)
                    .is_ok_and(|value| value.to_string().contains(&quoted(&row.text))),
                _ => false,
            });
            assert!(kept, "a reading without its row: {:?}", row.text);
        }
    }

    // What is written is a book, and brought again it adds nothing.
    let written = Written {
        at: NOW.to_owned(),
        ..Written::default()
    };
    let text = book::write(&entries, &written);
    let opened = book::read(&text).expect("what is brought is a book");
    assert_eq!(opened.entries.len(), entries.len());
    ledger.extend(entries);
    let again = bring(&table, &matching, &ledger, &Pages::of(&ledger), &all, NOW);
    assert_eq!(again.counts.readings, 0, "brought twice");
    assert!(again.entries(&ledger, &stamp).is_empty(), "brought twice");
}

/// A text as it stands within JSON.
fn quoted(text: &str) -> String {
    let quoted = serde_json::Value::from(text).to_string();
    quoted.trim_matches('"').to_owned()
}
