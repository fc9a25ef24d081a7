use super::*;
use crate::notebook::{Act, RecordId};

fn entry(tablet: &str, counter: u64, why: &str) -> Entry {
    let stamp = Stamp {
        device: tablet.to_owned(),
        counter,
        ..Stamp::default()
    };
    let why = Some(why.to_owned());
    Entry::new(RecordId::from("r"), [], stamp, Act::StrikeOut, why, None)
}

fn some() -> Vec<Entry> {
    let counts = [("b", 7), ("a", 1), ("a", 2), ("a", 5), ("a", 4), ("", 0)];
    counts.map(|(tablet, n)| entry(tablet, n, "")).to_vec()
}

#[test]
fn it_is_told_by_counts_and_digest_whatever_the_order() {
    let beyond = Beyond::of(&some());
    let mut turned = some();
    turned.reverse();
    turned.push(turned[0].clone());
    assert_eq!(Beyond::of(&turned), beyond);
    assert_eq!(beyond.count, 6);
    assert_eq!(beyond.tablets["a"], [(1, 2), (4, 5)]);
    assert_eq!(beyond.tablets["b"], [(7, 7)]);
    assert_eq!(beyond.tablets[""], [(0, 0)]);
    assert!(beyond.is_of(&turned));
    assert!(!beyond.is_of(&turned[1..turned.len() - 1]));
    let holds = |tablet, n| beyond.counts(entry(tablet, n, "").stamp());
    assert!(holds("a", 2) && holds("a", 4) && !holds("a", 3) && !holds("a", 6) && !holds("c", 1));
    assert_eq!(beyond.fault(), None);
}

#[test]
fn of_nothing_there_is_nothing_to_miss() {
    let none = Beyond::of(&[]);
    assert_eq!((none.count, none.tablets.len()), (0, 0));
    assert_eq!(none.missing([]), 0);
    assert_eq!(none.fault(), None);
    assert!(standing_in([&none], &Ledger::new()).is_empty());
    assert_eq!(words(&[]), "");
}

#[test]
fn what_is_missing_is_counted_exactly() {
    let all = some();
    let beyond = Beyond::of(&all);
    for lacking in 0..=all.len() {
        let there: Ledger = all[lacking..].iter().cloned().collect();
        assert_eq!(beyond.missing_in(&there), lacking);
        // Whatever else is there is nothing to it.
        let mut more = there.clone();
        more.extend([entry("a", 3, ""), entry("c", 1, "")]);
        assert_eq!(beyond.missing_in(&more), lacking);
    }
}

#[test]
fn another_history_under_the_same_counts_is_not_taken_for_it() {
    let beyond = Beyond::of(&some());
    let mut other = some();
    other[1] = entry("a", 1, "another");
    let there: Ledger = other.iter().cloned().collect();
    assert_eq!(beyond.missing_in(&there), 1);
    // With both histories it is there.
    let there: Ledger = other.into_iter().chain(some()).collect();
    assert_eq!(beyond.missing_in(&there), 0);
    // A part whose own entries have its counts knows them for what they are.
    let part = Beyond::of_part(&some(), [&entry("a", 1, "another"), &entry("c", 1, "")]);
    assert_eq!(part.besides, [entry("a", 1, "another").id()]);
    let alone: Ledger = [entry("a", 1, "another")].into_iter().collect();
    assert_eq!((part.missing_in(&alone), beyond.missing_in(&alone)), (6, 5));
    // Two of one count are two.
    let both = Beyond::of(&[entry("a", 1, ""), entry("a", 1, "another")]);
    assert_eq!((both.count, &both.tablets["a"][..]), (2, &[(1, 1)][..]));
    let one: Ledger = [entry("a", 1, "")].into_iter().collect();
    assert_eq!(both.missing_in(&one), 1);
}

#[test]
fn what_cannot_be_one_is_told() {
    let sound = Beyond::of(&some());
    let mut digest = sound.clone();
    digest.digest.pop();
    assert!(digest.fault().is_some_and(|why| why.contains("digest")));
    let mut runs = sound.clone();
    runs.tablets.insert("a".to_owned(), vec![(4, 5), (1, 2)]);
    assert!(runs.fault().is_some_and(|why| why.contains("tablet `a`")));
    let mut endless = sound;
    endless.tablets.insert("a".to_owned(), vec![(0, u64::MAX)]);
    assert_eq!(endless.missing([]), endless.count);
}

#[test]
fn it_is_spoken_of_with_the_way_out() {
    let beyond = Beyond::of(&some());
    let words = words(&[(beyond, 1)]);
    assert_eq!(
        words,
        "it holds only what is new beyond a book of 6 entries, of which 1 is not here: open that book too, in any order"
    );
}
