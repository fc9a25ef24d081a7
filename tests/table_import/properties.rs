//! Whatever the bytes: reading never fails, and nothing that stands in a row that is taken is lost.

use std::collections::BTreeSet;

use hingeline::exchange::table_import::{self, What, bring, guess};
use hingeline::notebook::{Body, Ledger, Pages};
use proptest::prelude::*;

use crate::{NOW, brought, stamp};

/// Bytes that look like a table often enough: headings of the trade, numbers, notation, quotes, odd separators.
fn tables() -> impl Strategy<Value = Vec<u8>> {
    let cell = prop_oneof![
        4 => (0..=400_u32).prop_map(|n| n.to_string()),
        2 => "[0-9]{1,3}[.,][0-9]{1,2}°?",
        2 => prop::sample::select(vec![
            "045/30SE", "N45E/30SE", "12→240", "SE", "E-W", "½", "NaN", "1e308", "-1", "", "\"", "a\"b", "=1+1",
            "upright", "bedding", "2026-06-14", "52.7", "32N", "500000", "\u{0}", "x,y;z",
        ]).prop_map(str::to_owned),
        1 => "\\PC{0,8}",
    ];
    let heading = prop::sample::select(vec![
        "station",
        "strike",
        "dip",
        "dip direction",
        "side",
        "trend",
        "plunge",
        "rake",
        "angle",
        "lat",
        "long",
        "easting",
        "northing",
        "zone",
        "height",
        "kind",
        "bedding",
        "lineation",
        "notes",
        "date",
        "time",
        "shot",
        "reading",
        "colour",
        "polarity",
        "sense",
        "north",
        "declination",
        "strike",
        "",
    ])
    .prop_map(str::to_owned);
    let row = |of: BoxedStrategy<String>| prop::collection::vec(of, 0..8);
    (
        prop::sample::select(vec![",", ";", "\t", "|"]),
        prop::sample::select(vec!["\n", "\r\n", "\r"]),
        row(heading.boxed()),
        prop::collection::vec(row(cell.boxed()), 0..8),
    )
        .prop_map(|(separator, end, heading, rows)| {
            let mut lines = vec![heading.join(separator)];
            lines.extend(rows.iter().map(|row| row.join(separator)));
            lines.join(end).into_bytes()
        })
}

fn nothing_is_lost(bytes: &[u8]) {
    let (table, matching, brought) = brought("any.csv", bytes);
    assert_eq!(matching.columns.len(), table.headings.len());
    assert_eq!(brought.rows.len(), table.rows.len());
    let counts = brought.counts;
    assert_eq!(
        counts.taken + counts.here + counts.struck_out + counts.nothing + counts.left_out,
        counts.rows
    );
    let mut rows = BTreeSet::new();
    let mut words = String::new();
    let mut readings = 0;
    for (_, body) in &brought.records {
        let (note, from) = match body {
            Body::Station(station) => (&station.note, station.from.as_ref().unwrap()),
            Body::Reading(reading) => {
                readings += 1;
                (&reading.note, reading.from.as_ref().unwrap())
            }
            other => panic!("a table made a {}", other.kind()),
        };
        words.push_str(note);
        words.push('\n');
        rows.insert(from.row.clone());
    }
    assert_eq!(readings, counts.readings);
    // The row is there, word for word; and what nobody matched can be read in a note.
    let all: String = rows.into_iter().collect::<Vec<_>>().join("\n");
    if counts.taken > 0 {
        for row in table.rows.iter() {
            assert!(all.contains(&row.text), "{:?} is lost", row.text);
            for (column, matched) in matching.columns.iter().enumerate() {
                let text = row.cell(column);
                if matched.what == What::Kept && !text.is_empty() {
                    let kept = format!("{}: {text}", table.headings[column]);
                    assert!(words.contains(&kept), "{kept:?} is not in {words:?}");
                }
            }
        }
    }
    // What was brought in once comes to nothing the second time.
    let mut ledger = Ledger::new();
    let entries = brought.entries(&ledger, &stamp(1));
    assert_eq!(ledger.join(entries).len(), brought.records.len());
    let again = bring(
        &table,
        &matching,
        &ledger,
        &Pages::of(&ledger),
        &BTreeSet::new(),
        NOW,
    );
    assert!(again.records.is_empty(), "{:?}", again.records);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]

    #[test]
    fn no_table_fails_and_none_loses_a_word(bytes in tables()) {
        nothing_is_lost(&bytes);
    }

    #[test]
    fn no_bytes_fail(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        nothing_is_lost(&bytes);
    }

    #[test]
    fn any_matching_may_be_chosen(bytes in tables(), whats in prop::collection::vec(0..What::ALL.len(), 8)) {
        let table = table_import::read("any.csv", &bytes);
        let mut matching = guess(&table);
        for (column, what) in whats.into_iter().enumerate() {
            matching.set(column, What::ALL[what]);
        }
        for what in What::ALL.into_iter().filter(|what| !what.is_shared()) {
            prop_assert!(matching.columns.iter().filter(|m| m.what == what).count() <= 1);
        }
        let ledger = Ledger::new();
        bring(&table, &matching, &ledger, &Pages::of(&ledger), &BTreeSet::new(), NOW);
    }
}
