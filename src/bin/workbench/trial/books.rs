//! Two tablets' books by lot, and what is done with them, step by step: the same natively and in WebAssembly.

use std::collections::HashSet;
use std::hint::black_box;
use std::sync::{LazyLock, Mutex};

use hingeline::app::shelf::Shelf;
use hingeline::exchange::book::{self, BookFile, Written};
use hingeline::notebook::{
    Act, Beyond, Body, Book, Entry, EntryId, Form, Ledger, North, Notation, Position, Reading,
    SetUp, Shot, Stamp, Station,
};
use hingeline::orientation::statistics::Random;
use serde::Deserialize;

/// Readings at a station.
const AT_A_STATION: usize = 19;

/// Who writes: the tablet that had the book first, and the two that went on with it.
const TABLETS: [&str; 3] = ["0b5e", "51aa", "c4f7"];

/// A tablet's hand: it stamps what it writes.
struct Hand {
    device: String,
    by: &'static str,
    counter: u64,
}

impl Hand {
    fn new(tablet: usize) -> Self {
        let word = TABLETS.get(tablet).copied().unwrap_or_default();
        Self {
            device: format!("{word}0000-0000-4000-8000-00000000{word}"),
            by: ["QV", "RK", "TN"].get(tablet).copied().unwrap_or_default(),
            counter: 0,
        }
    }

    fn stamp(&mut self) -> Stamp {
        self.counter += 1;
        let (day, minute) = (self.counter / 400 % 28 + 1, self.counter % 600);
        Stamp {
            by: self.by.to_owned(),
            device: self.device.clone(),
            counter: self.counter,
            at: format!(
                "2026-06-{day:02}T{:02}:{:02}:12.345+02:00",
                8 + minute / 60,
                minute % 60
            ),
        }
    }
}

fn id(random: &mut Random) -> String {
    let mut piece = |digits: usize| {
        let most = 1_usize << (4 * digits);
        format!("{:0digits$x}", random.below(most))
    };
    let (first, second) = (piece(4), piece(4));
    let (third, fourth, fifth) = (piece(4), piece(3), piece(3));
    let last = [piece(6), piece(6)].concat();
    format!("{first}{second}-{third}-4{fourth}-8{fifth}-{last}")
}

fn shots(random: &mut Random) -> Vec<Shot> {
    let (strike, dip) = (random.below(350), 10 + random.below(70));
    (0..1 + random.below(3))
        .map(|_| Shot {
            strike: Some(format!("{:03}", strike + random.below(9))),
            dip: Some(format!("{:02}", dip + random.below(9))),
            side: Some(if strike < 180 { "SE" } else { "NW" }.to_owned()),
            at: "2026-06-14T14:52:10.120+02:00".to_owned(),
            ..Shot::default()
        })
        .collect()
}

/// One record of the book: its id, and what it says.
type Record = (String, Body);

/// So many records, invented: a book, a set-up, stations with their readings.
fn records(count: usize, random: &mut Random) -> Vec<Record> {
    let set_up = id(random);
    let mut all = vec![
        (
            id(random),
            Body::Book(Book {
                name: "high valley".to_owned(),
                notation: Notation::StrikeDip,
                ..Book::default()
            }),
        ),
        (
            set_up.clone(),
            Body::SetUp(SetUp {
                name: "Transit 1".to_owned(),
                north: North::Magnetic,
                declination: Some("3.5".to_owned()),
                resolution: "1".to_owned(),
                ..SetUp::default()
            }),
        ),
    ];
    let mut station = String::new();
    let kinds = ["bedding", "joint", "foliation", "lineation"];
    let (mut stations, mut number) = (0, 0);
    while all.len() < count {
        if (all.len() - 2) % (AT_A_STATION + 1) == 0 {
            station = id(random);
            stations += 1;
            number = 0;
            let body = Body::Station(Station {
                number: stations,
                name: format!("Ledge {stations}"),
                at: format!("2026-06-{:02}T08:00:00.000+02:00", stations % 28 + 1),
                position: Some(Position {
                    latitude: 46.5 + random.uniform() / 10.0,
                    longitude: 8.25 + random.uniform() / 10.0,
                    accuracy_m: Some(4.0),
                    source: "device".to_owned(),
                    ..Position::default()
                }),
                unit: "lower schist".to_owned(),
                ..Station::default()
            });
            all.push((station.clone(), body));
        } else {
            number += 1;
            let reading = Reading {
                station: station.clone(),
                number,
                kind: kinds
                    .get(random.below(kinds.len()))
                    .map_or(String::new(), |kind| (*kind).to_owned()),
                form: Form::Plane,
                set_up: Some(set_up.clone()),
                north: North::Magnetic,
                declination: Some("3.5".to_owned()),
                shots: shots(random),
                ..Reading::default()
            };
            all.push((id(random), Body::Reading(reading)));
        }
    }
    all
}

fn changed(mut body: Body, random: &mut Random) -> Body {
    match &mut body {
        Body::Reading(reading) => {
            if let Some(shot) = reading.shots.first_mut() {
                shot.dip = Some(format!("{:02}", 10 + random.below(79)));
            }
        }
        Body::Station(station) => station.note = "went back to it".to_owned(),
        Body::Book(book) => book.name.push_str(", second week"),
        Body::SetUp(set_up) => set_up.name.push('b'),
        _ => {}
    }
    body
}

/// Two books of as many records, a tenth of them changed in each after they parted.
pub(crate) fn pair(count: usize, seed: u64) -> [Vec<Entry>; 2] {
    let mut random = Random::new(seed);
    let records = records(count, &mut random);
    let mut hand = Hand::new(0);
    let write = |hand: &mut Hand, record: &str, before: Option<EntryId>, body: Body| {
        let act = if before.is_some() {
            Act::Correct
        } else {
            Act::Write
        };
        Entry::new(record.into(), before, hand.stamp(), act, None, Some(body))
    };
    let shared: Vec<Entry> = records
        .iter()
        .map(|(record, body)| write(&mut hand, record, None, body.clone()))
        .collect();
    [1, 2].map(|tablet| {
        let mut hand = Hand::new(tablet);
        let mut all = shared.clone();
        for ((record, body), entry) in records.iter().zip(&shared) {
            if random.below(10) == 0 {
                let body = changed(body.clone(), &mut random);
                all.push(write(&mut hand, record, Some(entry.id()), body));
            }
        }
        all
    })
}

fn written() -> Written {
    Written {
        at: "2026-06-20T21:10:00.000+02:00".to_owned(),
        by: "QV".to_owned(),
        device: Hand::new(1).device,
    }
}

/// A book of that tablet as a file.
pub(crate) fn file(entries: &[Entry]) -> String {
    book::write(entries, &written())
}

/// Only what is new in a book beyond another, as a file, and how many entries that is.
pub(crate) fn only_new(of: &[Entry], base: &[Entry]) -> (String, usize) {
    let known: HashSet<EntryId> = base.iter().map(Entry::id).collect();
    let new: Vec<&Entry> = of.iter().filter(|e| !known.contains(&e.id())).collect();
    let beyond = Beyond::of_part(base, new.iter().copied());
    let count = new.len();
    (book::write_part(new, &written(), &[beyond]), count)
}

/// What is done with the books, in the order in which one step needs another.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Step {
    /// Book A is opened and its ledger made. Not timed.
    Open,
    /// The ledger of A is laid aside as it was, for the next union. Not timed.
    LayAside,
    /// File B is read beside the open book A.
    ParseBeside,
    /// File B's entries are joined to A's.
    Union,
    /// The joined book is written.
    Write,
    /// File B is read by itself, every id computed.
    ParseAlone,
    /// Pages are made of the joined book: what a person reads.
    Pages,
    /// Baseline: file B as typed values by serde_json, nothing checked.
    PlainParse,
}

impl Step {
    pub(crate) const ALL: [Self; 8] = [
        Self::Open,
        Self::LayAside,
        Self::ParseBeside,
        Self::Union,
        Self::Write,
        Self::ParseAlone,
        Self::Pages,
        Self::PlainParse,
    ];
}

/// A book file as ordinary typed values: nothing is checked, nothing computed.
#[derive(Deserialize)]
struct PlainFile {
    entries: Vec<PlainEntry>,
}

#[derive(Deserialize)]
#[allow(dead_code, reason = "they are read, as by anyone who would use them")]
struct PlainEntry {
    id: String,
    record: String,
    supersedes: Vec<String>,
    stamp: Stamp,
    act: Act,
    body: Option<Body>,
}

#[cfg_attr(
    not(target_arch = "wasm32"),
    allow(dead_code, reason = "it is asked for in WebAssembly")
)]
static DESK: LazyLock<Mutex<Desk>> = LazyLock::new(Mutex::default);

/// Makes room for the file of one side; gives where in memory it begins, for the script that fills it.
#[cfg_attr(
    not(target_arch = "wasm32"),
    allow(dead_code, reason = "it is called in WebAssembly")
)]
pub(crate) fn room(side: usize, bytes: usize) -> usize {
    DESK.lock().map_or(0, |mut desk| {
        let file = if side == 0 { &mut desk.a } else { &mut desk.b };
        *file = vec![0; bytes];
        file.as_mut_ptr().addr()
    })
}

/// Does the step at this place of [`Step::ALL`] with the files that were laid into their room.
#[cfg_attr(
    not(target_arch = "wasm32"),
    allow(dead_code, reason = "it is called in WebAssembly")
)]
pub(crate) fn step(place: usize) -> usize {
    let step = Step::ALL.get(place);
    step.map_or(0, |step| DESK.lock().map_or(0, |mut desk| desk.step(*step)))
}

/// Two files and what has become of them.
#[derive(Default)]
pub(crate) struct Desk {
    a: Vec<u8>,
    b: Vec<u8>,
    ledger: Ledger,
    joined: Ledger,
    read: Option<BookFile>,
    written: String,
}

impl Desk {
    /// Lays the two files on the desk.
    pub(crate) fn new(a: Vec<u8>, b: Vec<u8>) -> Self {
        Self {
            a,
            b,
            ..Self::default()
        }
    }

    /// Does a step; gives how many entries, or bytes, came of it, and 0 where it failed.
    pub(crate) fn step(&mut self, step: Step) -> usize {
        match step {
            Step::Open => {
                let entries = book::read_bytes(&self.a).map_or(Vec::new(), |file| file.entries);
                self.ledger = entries.into_iter().collect();
                self.ledger.len()
            }
            Step::LayAside => {
                self.read = None;
                self.written = String::new();
                self.joined = self.ledger.clone();
                self.joined.len()
            }
            Step::ParseBeside => {
                self.read = book::read_beside(&self.b, &self.joined).ok();
                self.read.as_ref().map_or(0, |file| file.entries.len())
            }
            Step::Union => {
                let read = self.read.take();
                self.joined.join(read.map_or(Vec::new(), |f| f.entries));
                self.joined.len()
            }
            Step::Write => {
                let written = Written::default();
                self.written = book::write(self.joined.iter(), &written);
                self.written.len()
            }
            Step::ParseAlone => {
                // It stays as it was opened, as a book does, until both are laid aside.
                self.read = book::read_bytes(black_box(&self.b)).ok();
                self.read.as_ref().map_or(0, |file| file.entries.len())
            }
            Step::Pages => {
                let mut shelf = Shelf::default();
                shelf.take_many(self.joined.iter().cloned());
                black_box(shelf.pages.readings())
            }
            Step::PlainParse => {
                let read = serde_json::from_slice::<PlainFile>(black_box(&self.b));
                read.map_or(0, |file| black_box(file.entries).len())
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_same_seed_gives_the_same_books_and_a_tenth_is_changed_in_each() {
        let [a, b] = pair(400, 7);
        let [again, _] = pair(400, 7);
        assert_eq!(a, again);
        let count = |all: &[Entry]| all.len() - 400;
        assert!((25..=55).contains(&count(&a)), "{}", count(&a));
        assert!((25..=55).contains(&count(&b)), "{}", count(&b));
        assert!(a[..400] == b[..400] && a[400..] != b[400..]);
    }

    #[test]
    fn what_is_new_joins_to_what_the_whole_file_joins_to() {
        let [a, b] = pair(300, 3);
        let (part, count) = only_new(&b, &a);
        assert_eq!(count, b.len() - 300);
        let joined = |file: String| {
            let mut desk = Desk::new(file_of(&a), file.into_bytes());
            for step in [Step::Open, Step::LayAside, Step::ParseBeside, Step::Union] {
                assert!(desk.step(step) > 0, "{step:?}");
            }
            desk.joined
        };
        assert_eq!(joined(part), joined(file(&b)));
    }

    fn file_of(entries: &[Entry]) -> Vec<u8> {
        file(entries).into_bytes()
    }

    /// A step that came to nothing would be quick for nothing.
    #[test]
    fn every_step_does_its_work() {
        let [a, b] = pair(300, 3);
        let mut desk = Desk::new(file(&a).into_bytes(), file(&b).into_bytes());
        for step in Step::ALL {
            assert!(desk.step(step) > 0, "{step:?}");
        }
        let mut all: Vec<EntryId> = a.iter().chain(&b).map(Entry::id).collect();
        all.sort_unstable();
        all.dedup();
        assert_eq!(desk.joined.len(), all.len());
        assert_eq!(desk.step(Step::PlainParse), b.len());
    }
}
