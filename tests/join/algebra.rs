//! Union: the same in any order and grouping, over tablets that were simulated.

use std::collections::BTreeSet;

use hingeline::exchange::book::{self, Written};
use hingeline::notebook::join::{Incoming, plan};
use hingeline::notebook::{Entry, Ledger, Pages, RecordId, State, settle, undo_of};
use proptest::prelude::*;

use crate::made::{entries, incoming, stamp};

#[path = "../../src/bin/workbench/trial/tablets/mod.rs"]
#[allow(dead_code, reason = "the command counts more than the tests do")]
pub(crate) mod tablets;

use tablets::{Camp, evening::shown};

fn file(ledger: &Ledger) -> String {
    book::write(ledger.iter(), &Written::default())
}

fn union<'a>(ledgers: impl IntoIterator<Item = &'a Ledger>) -> Ledger {
    let mut all = Ledger::new();
    for ledger in ledgers {
        all.join(ledger.iter().cloned());
    }
    all
}

proptest! {
    // Ten thousand of them are the command `workbench camp-trial`.
    #![proptest_config(ProptestConfig {
        cases: 24,
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    #[test]
    fn tablets_that_heard_of_all_write_the_same_bytes(seed in any::<u64>()) {
        let mut camp = Camp::by_lot(seed);
        prop_assert_eq!(camp.evening(), Ok(()), "seed {}", seed);
    }
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 60,
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    #[test]
    fn join_is_commutative_associative_and_idempotent(seed in any::<u64>(), steps in 0..120usize) {
        let mut camp = Camp::new(seed, 3);
        camp.run(steps);
        let ledgers: Vec<&Ledger> = camp.tablets.iter().map(|tablet| &tablet.ledger).collect();
        let [a, b, c] = ledgers.as_slice() else { unreachable!("three tablets") };
        prop_assert_eq!(file(&union([*a, *b])), file(&union([*b, *a])));
        prop_assert_eq!(
            file(&union([&union([*a, *b]), *c])),
            file(&union([*a, &union([*b, *c])]))
        );
        prop_assert_eq!(file(&union([*a, *a])), file(a));
        prop_assert_eq!(shown(&union([*a, *b, *c])), shown(&union([*c, *b, *a])));
    }

    #[test]
    fn a_plan_tells_what_joining_does(seed in any::<u64>(), count in 2..6usize, steps in 0..120usize) {
        let mut camp = Camp::new(seed, count);
        camp.run(steps);
        let ledger = camp.tablets[0].ledger.clone();
        let books: Vec<Vec<Entry>> = camp.tablets.iter().map(|tablet| entries(&tablet.ledger)).collect();
        let given: Vec<Incoming<'_>> = books.iter().map(|book| incoming(book)).collect();
        let planned = plan(&ledger, &given);
        // The order of the files changes the list of sources and nothing else.
        let mut turned = given.clone();
        turned.reverse();
        let mut again = plan(&ledger, &turned);
        again.sources.reverse();
        prop_assert_eq!(&again, &planned);
        // Joined one after the other, without a plan: the same.
        let mut after = ledger.clone();
        prop_assert_eq!(after.join(planned.new.clone()).len(), planned.new.len());
        let all = union(camp.tablets.iter().map(|tablet| &tablet.ledger));
        prop_assert_eq!(file(&after), file(&all));
        prop_assert_eq!(planned.sources[0].new, 0);
        prop_assert_eq!(planned.same + planned.new.len(), all.len());
        // What it says of records is what the joined book shows.
        let contested = |ledger: &Ledger| -> BTreeSet<RecordId> {
            ledger.records().filter(|record| ledger.state(record.as_str()).is_contested()).cloned().collect()
        };
        let (before, now) = (contested(&ledger), contested(&after));
        let told: BTreeSet<RecordId> = planned.contested.iter().cloned().collect();
        prop_assert!(now.difference(&before).all(|record| told.contains(record)));
        prop_assert!(told.is_subset(&now));
        let settled: BTreeSet<RecordId> = planned.settled.iter().cloned().collect();
        let expected: BTreeSet<RecordId> = before.difference(&now).cloned().collect();
        prop_assert_eq!(settled, expected);
        let fresh = after.records().filter(|record| ledger.state(record.as_str()) == State::Absent).count();
        prop_assert_eq!(planned.records.all().new, fresh);
        // Afterwards nothing is left to do.
        prop_assert!(plan(&after, &given).is_empty());
    }

    #[test]
    fn every_doubt_can_be_settled_and_brought_back(seed in any::<u64>(), count in 2..5usize, steps in 0..120usize) {
        let mut camp = Camp::new(seed, count);
        camp.run(steps);
        camp.gather();
        let mut ledger = camp.tablets[0].ledger.clone();
        let contested: Vec<RecordId> = ledger.records().filter(|record| ledger.state(record.as_str()).is_contested()).cloned().collect();
        for record in contested {
            let record = record.as_str();
            let first = ledger.next_counter("settler");
            let before = ledger.state(record);
            let versions = settle::versions(&ledger, record);
            let differences = settle::differences(&ledger, record);
            prop_assert!(versions.len() > 1);
            let State::Contested { fields, .. } = &before else { unreachable!("contested") };
            let told: BTreeSet<&str> = differences.iter().map(|d| d.field.as_str()).collect();
            for field in fields.iter().filter(|field| *field != "shots") {
                prop_assert!(told.contains(field.as_str()), "{field} is not told");
            }
            prop_assert!(differences.iter().all(|d| d.texts.len() == versions.len()));
            for version in &versions {
                let mut settled = ledger.clone();
                let stamp = stamp("settler", first);
                let entry = settle::entry(&settled, record, &version.entry, stamp.clone()).expect("one of the versions");
                settled.insert(entry);
                let state = settled.state(record);
                prop_assert!(!state.is_contested());
                prop_assert_eq!(state.is_struck_out(), version.strikes_out);
                // Everything that was there is there still.
                prop_assert_eq!(settled.history(record).len(), ledger.history(record).len() + 1);
                let undo = undo_of(&settled, "settler").expect("the last act");
                prop_assert_eq!(undo.words.as_str(), "Undo settle");
                settled.extend(undo.entries(&self::stamp("settler", first + 1)));
                let back = settled.state(record);
                prop_assert!(back.is_contested());
                prop_assert_eq!(back.shown(), before.shown());
                prop_assert_eq!(back.heads().len(), 1);
                let redo = undo_of(&settled, "settler").expect("what was undone");
                prop_assert_eq!(redo.words.as_str(), "Redo settle");
                settled.extend(redo.entries(&self::stamp("settler", first + 2)));
                let again = settled.state(record);
                prop_assert_eq!(again.body(), state.body());
            }
            let take = versions[0].entry;
            let entry = settle::entry(&ledger, record, &take, stamp("settler", first));
            ledger.extend(entry);
        }
        prop_assert!(Pages::of(&ledger).contested().next().is_none());
    }
}
