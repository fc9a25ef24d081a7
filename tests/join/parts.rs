//! Parts: files that hold only what is new beyond others. With what they go beyond they are the whole book, in any order; alone they
//! say what they are.

use hingeline::exchange::book::stream::{Stream, Writer};
use hingeline::exchange::book::{self, BookFile, Written};
use hingeline::notebook::beyond::{self, Beyond};
use hingeline::notebook::join::{Incoming, Plan, plan};
use hingeline::notebook::{Body, Entry, Ledger, Pages, State, attitude};
use proptest::prelude::*;

use crate::algebra::tablets::{Camp, evening::shown};
use crate::made::{NOON, entries, keep, reading, shot, station};

fn whole(ledger: &Ledger) -> String {
    book::write(ledger.iter(), &Written::default())
}

fn between(book: &Ledger, base: &Ledger) -> Beyond {
    let new = book.iter().filter(|entry| base.get(&entry.id()).is_none());
    Beyond::of_part(base.iter(), new)
}

/// What is new in a book beyond another, as a file.
fn part(book: &Ledger, base: &Ledger) -> String {
    let new = book.iter().filter(|entry| base.get(&entry.id()).is_none());
    book::write_part(new, &Written::default(), &[between(book, base)])
}

fn read(text: &str) -> BookFile {
    book::read(text).expect("a book file")
}

/// What one after the other of these files comes to, each joined by its plan, and the plan of the last.
fn joined(files: &[&str]) -> (Ledger, Plan) {
    let mut ledger = Ledger::new();
    let mut last = Plan::default();
    for file in files {
        let file = read(file);
        last = plan(&ledger, &[file.incoming()]);
        ledger.join(last.new.clone());
    }
    (ledger, last)
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 40,
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    #[test]
    fn a_base_and_what_goes_beyond_it_are_the_book(seed in any::<u64>(), steps in 1..160usize, of in 1..9usize) {
        let mut camp = Camp::new(seed, 3);
        camp.run(steps);
        camp.gather();
        let book = camp.tablets[0].ledger.clone();
        // Some of it by lot, whatever takes the place of what.
        let base: Ledger = book.iter().enumerate().filter(|(i, _)| (i * 7 + of) % 9 < of).map(|(_, e)| e.clone()).collect();
        let (a, b) = (whole(&base), part(&book, &base));
        let (there, then) = (joined(&[&a, &b]), joined(&[&b, &a]));
        prop_assert_eq!(whole(&there.0), whole(&book));
        prop_assert_eq!(whole(&then.0), whole(&book));
        prop_assert_eq!(shown(&then.0), shown(&book));
        prop_assert!(there.1.standing.is_empty() && then.1.standing.is_empty());
        // Both at once, in either order: one plan.
        let (a, b) = (read(&a), read(&b));
        let one = plan(&Ledger::new(), &[a.incoming(), b.incoming()]);
        let other = plan(&Ledger::new(), &[b.incoming(), a.incoming()]);
        prop_assert!(one.standing.is_empty());
        prop_assert_eq!((&one.new, &one.contested, &one.unclear), (&other.new, &other.contested, &other.unclear));
        // Alone it says how much it lacks, exactly, and loses nothing.
        let alone = plan(&Ledger::new(), &[b.incoming()]);
        prop_assert_eq!(alone.new.len(), book.len() - base.len());
        let beyond = between(&book, &base);
        let lacks = (!base.is_empty()).then_some((beyond, base.len()));
        prop_assert_eq!(alone.standing, lacks.into_iter().collect::<Vec<_>>());
    }
}

#[test]
fn a_part_is_written_alike_in_every_way_and_reads_back() {
    let mut camp = Camp::new(47, 3);
    camp.run(80);
    camp.gather();
    let all = entries(&camp.tablets[0].ledger);
    let (base, new) = all.split_at(all.len() / 2);
    let beyond = [Beyond::of(base), Beyond::of(&base[..2])];
    let text = book::write_part(new, &Written::default(), &beyond);
    let file = read(&text);
    assert_eq!(file.beyond, beyond);
    assert!(file.more.is_empty());
    assert_eq!(
        book::write_part(&file.entries, &file.written, &file.beyond),
        text
    );
    let out = std::io::Cursor::new(Vec::new());
    let mut writer =
        Writer::begin_part(out, file.entries.len(), &file.written, &beyond).expect("memory");
    for entry in &file.entries {
        writer.entry(entry).expect("memory");
    }
    let streamed = writer.finish().expect("memory").into_inner();
    assert_eq!(streamed, text.as_bytes());
    let mut pieces = book::pieces(file.entries.clone(), &file.written, &beyond);
    let mut piecewise = String::new();
    while let Some(piece) = pieces.next(3) {
        piecewise.push_str(&piece);
    }
    let (place, digest) = pieces.digest();
    piecewise.replace_range(place..place + digest.len(), &digest);
    assert_eq!(piecewise, text);
    let mut stream = Stream::open(text.as_bytes()).expect("a stream");
    assert_eq!(stream.beyond(), beyond);
    assert!(stream.more().is_empty());
    let mut count = 0;
    while stream.next_piece().expect("whole").is_some() {
        count += 1;
    }
    assert_eq!(count, file.entries.len());
}

#[test]
fn a_part_that_did_not_arrive_whole_is_refused() {
    let mut base = Ledger::new();
    keep(
        &mut base,
        "a",
        "s",
        NOON,
        Some(Body::Station(station(1, NOON, None))),
    );
    let mut book = base.clone();
    keep(
        &mut book,
        "a",
        "s",
        NOON,
        Some(Body::Station(station(2, NOON, None))),
    );
    let text = part(&book, &base);
    for end in 0..text.trim_end().len() {
        let cut = &text.as_bytes()[..end];
        assert!(book::read_bytes(cut).is_err(), "cut at {end}");
        if let Ok(mut stream) = Stream::open(cut) {
            let end_of_it = loop {
                match stream.next_piece() {
                    Ok(Some(_)) => {}
                    other => break other,
                }
            };
            assert!(end_of_it.is_err(), "cut at {end}");
        }
    }
    // What it goes beyond stands under the digest, and is read strictly.
    for (from, to, words) in [
        (
            "\"count\":1,\"digest\":\"sha256:",
            "\"count\":2,\"digest\":\"sha256:",
            "was changed",
        ),
        ("[[1,1]]", "[[1,2]]", "was changed"),
        (
            "[[1,1]]",
            "[[2,1]]",
            "`beyond`: the counts of tablet `a` are not runs",
        ),
        (
            "[[1,1]]",
            "[1]",
            "`beyond` does not say count, digest and tablets",
        ),
        ("\"beyond\":[", "\"behind\":[", "was changed"),
    ] {
        let at = text.find("\"beyond\"").expect("there");
        let (head, rest) = text.split_at(at);
        let altered = format!("{head}{}", rest.replacen(from, to, 1));
        assert_ne!(altered, text, "{from}");
        let error = book::read(&altered).expect_err("altered").to_string();
        assert!(error.contains(words), "{error}");
        let streamed = Stream::open(altered.as_bytes()).and_then(|mut stream| {
            while stream.next_piece()?.is_some() {}
            Ok(())
        });
        assert_eq!(streamed.expect_err("altered").to_string(), error);
    }
}

/// Of a record of which the entries between are elsewhere it is not said that two people changed it: which came last is not known
/// yet. With those entries there is one version, and nothing to settle.
#[test]
fn what_is_between_is_waited_for() {
    let mut book = Ledger::new();
    let named = |name: &str| {
        let mut one = station(1, NOON, None);
        one.name = name.to_owned();
        Some(Body::Station(one))
    };
    keep(&mut book, "a", "s", NOON, named("ford"));
    let open = book.clone();
    keep(&mut book, "a", "s", NOON, named("lower ford"));
    let base = book.clone();
    keep(&mut book, "a", "s", NOON, named("the ford below"));
    let part = read(&part(&book, &base));
    let planned = plan(&open, &[part.incoming()]);
    assert!(planned.contested.is_empty());
    assert_eq!(planned.unclear.len(), 1);
    assert_eq!((planned.orphans.len(), planned.standing.len()), (1, 1));
    assert_eq!(planned.standing[0].1, 1);
    assert!(planned.is_doubted());
    assert_eq!(
        beyond::words(&planned.standing),
        "it holds only what is new beyond a book of 2 entries, of which 1 is not here: open that book too, in any order"
    );
    let mut after = open.clone();
    after.join(planned.new);
    assert!(after.lacks_before("s"));
    let base = read(&whole(&base));
    let planned = plan(&after, &[base.incoming()]);
    assert!(planned.contested.is_empty() && planned.unclear.is_empty());
    after.join(planned.new);
    assert!(!after.lacks_before("s"));
    assert!(matches!(after.state("s"), State::Kept { .. }));
    assert_eq!(whole(&after), whole(&book));
}

/// A reading whose set-up and station are elsewhere: both are counted before the join, and afterwards nothing is worked out of dials
/// whose instrument is not known.
#[test]
fn what_a_part_names_and_has_not_is_counted_and_nothing_is_shown_wrongly() {
    let mut base = Ledger::new();
    keep(
        &mut base,
        "a",
        "u",
        NOON,
        Some(Body::SetUp(hingeline::notebook::SetUp {
            name: "own scales".to_owned(),
            ..Default::default()
        })),
    );
    keep(
        &mut base,
        "a",
        "s",
        NOON,
        Some(Body::Station(station(1, NOON, None))),
    );
    let mut book = base.clone();
    let Body::Reading(mut one) = reading(&[shot("062", "36")], "") else {
        panic!("a reading");
    };
    one.station = "s".to_owned();
    one.set_up = Some("u".to_owned());
    keep(&mut book, "a", "r", NOON, Some(Body::Reading(one.clone())));
    let part = read(&part(&book, &base));
    let planned = plan(&Ledger::new(), &[part.incoming()]);
    assert_eq!((planned.absent, planned.standing[0].1), (2, 2));
    assert_eq!(planned.sources[0].beyond, Some(2));
    assert!(planned.orphans.is_empty());
    let mut after: Ledger = planned.new.into_iter().collect();
    let alone = attitude::in_book(&Pages::of(&after), &one);
    assert!(alone.plane.is_none() && alone.is_doubted());
    assert!(alone.open[0].doubt.message.contains("set-up"));
    after.join(entries(&base));
    let with = attitude::in_book(&Pages::of(&after), &one);
    assert!(with.plane.is_some());
    // Of a book that is whole nothing of this is asked.
    let file = read(&whole(&after));
    let planned = plan(&Ledger::new(), &[file.incoming()]);
    assert_eq!((planned.absent, planned.sources[0].beyond), (0, None));
}

/// A part that is joined again says again what it lacks.
#[test]
fn a_part_without_anything_new_still_says_that_it_is_one() {
    let mut base = Ledger::new();
    keep(
        &mut base,
        "a",
        "s",
        NOON,
        Some(Body::Station(station(1, NOON, None))),
    );
    let mut book = base.clone();
    keep(
        &mut book,
        "a",
        "t",
        NOON,
        Some(Body::Station(station(2, NOON, None))),
    );
    let text = part(&book, &base);
    let (_, planned) = joined(&[&text, &text]);
    assert!(planned.is_empty());
    assert_eq!(planned.standing.len(), 1);
}

/// The frozen part must open for ever, and be written alike; with the entries it goes beyond it is the frozen book, byte by byte. Its
/// digests were made in another language (the note beside it).
#[test]
fn the_frozen_part_opens_and_completes_the_frozen_book() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/data/books/");
    let [book, text] = ["v2.json", "v2-beyond.json"]
        .map(|name| std::fs::read_to_string(format!("{path}{name}")).expect("there"));
    let (book, file) = (read(&book), read(&text));
    assert_eq!(
        (file.version, file.entries.len(), file.beyond.len()),
        (2, 6, 1)
    );
    assert_eq!(
        book::write_part(&file.entries, &file.written, &file.beyond),
        text
    );
    let is_new = |entry: &&Entry| file.entries.contains(entry);
    let base: Ledger = book
        .entries
        .iter()
        .filter(|e| !is_new(e))
        .cloned()
        .collect();
    assert_eq!(Beyond::of(base.iter()), file.beyond[0]);
    for files in [
        [&base.clone(), &file.entries.iter().cloned().collect()],
        [&file.entries.iter().cloned().collect(), &base],
    ] {
        let both: Ledger = files
            .iter()
            .flat_map(|ledger| ledger.iter())
            .cloned()
            .collect();
        assert_eq!(
            book::write(both.iter(), &book.written),
            book::write(&book.entries, &book.written)
        );
    }
    let alone = plan(&Ledger::new(), &[Incoming { ..file.incoming() }]);
    assert_eq!((alone.orphans.len(), alone.standing[0].1), (3, 8));
}
