//! Which photos a book names: what has to be carried beside the ledger, and whose a missing one is.

use std::collections::{BTreeMap, HashSet};

use sha2::{Digest, Sha256};

use super::entry::{Entry, EntryId, RecordId, in_digits};
use super::record::Body;

/// A photo as the book names it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Named {
    /// SHA-256 of its bytes.
    pub sha256: String,
    /// Its record: the first that names these bytes.
    pub record: RecordId,
    /// The number of its station, where the station is in the book.
    pub station: Option<u32>,
    /// Its number at the station.
    pub number: u32,
    /// How many bytes the book says it has.
    pub bytes: u32,
}

impl Named {
    /// The photo in the words of the book: `47·P2`, `?·P2` where its station is not in the book.
    pub fn words(&self) -> String {
        let station = self
            .station
            .map_or("?".to_owned(), |number| number.to_string());
        format!("{station}·P{}", self.number)
    }
}

/// What an entry says, and which one it is.
type Said<T> = (EntryId, T);

/// Every photo that any entry names, struck-out and earlier ones among them, in order of station, number and SHA-256: the same
/// whatever the order of the entries.
///
/// # Degenerate input
/// A SHA-256 that is not 64 hexadecimal digits in lower case is none that bytes could have, and is left out. Of several revisions of a
/// photo or its station one that no other takes the place of gives the numbers; of several such ones that with the lowest id.
pub fn named<'a>(entries: impl IntoIterator<Item = &'a Entry>) -> Vec<Named> {
    let mut naming = Naming::default();
    for entry in entries {
        naming.add(entry);
    }
    naming.named()
}

/// Gathers what [`named`] gives while the entries go by, for books that are too large to be held whole.
#[derive(Clone, Debug, Default)]
pub struct Naming {
    stations: BTreeMap<RecordId, Vec<Said<u32>>>,
    found: BTreeMap<String, Vec<Said<(Named, String)>>>,
    replaced: HashSet<EntryId>,
}

impl Naming {
    /// The next entry, in any order.
    pub fn add(&mut self, entry: &Entry) {
        // Few entries are looked into: the others do not even have the word.
        let may_be = |kind: &str| entry.text().contains(kind);
        if may_be("\"station\":{") {
            entry.glance(|body| {
                if let Some(Body::Station(station)) = body {
                    self.replaced.extend(entry.supersedes());
                    let said = self.stations.entry(entry.record().clone()).or_default();
                    said.push((entry.id(), station.number));
                }
            });
        }
        if may_be("\"photo\":{") {
            entry.glance(|body| {
                let Some(Body::Photo(photo)) = body else {
                    return;
                };
                self.replaced.extend(entry.supersedes());
                if !is_sha256(&photo.sha256) {
                    return;
                }
                let named = Named {
                    sha256: photo.sha256.clone(),
                    record: entry.record().clone(),
                    station: None,
                    number: photo.number,
                    bytes: photo.bytes,
                };
                let said = self.found.entry(photo.sha256.clone()).or_default();
                said.push((entry.id(), (named, photo.station.clone())));
            });
        }
    }

    /// What another gathered, added to this.
    pub fn join(&mut self, other: Self) {
        for (record, said) in other.stations {
            self.stations.entry(record).or_default().extend(said);
        }
        for (sha256, said) in other.found {
            self.found.entry(sha256).or_default().extend(said);
        }
        self.replaced.extend(other.replaced);
    }

    /// The photos that the entries name.
    pub fn named(&self) -> Vec<Named> {
        let number = |station: &str| {
            let said = self.stations.get(station)?.iter();
            let last = said.min_by_key(|(id, _)| (self.replaced.contains(id), *id))?;
            Some(last.1)
        };
        let mut all: Vec<Named> = self
            .found
            .values()
            .filter_map(|said| {
                let key = |(id, (named, _)): &&Said<(Named, String)>| {
                    (named.record.clone(), self.replaced.contains(id), *id)
                };
                let (_, (named, station)) = said.iter().min_by_key(key)?;
                Some(Named {
                    station: number(station),
                    ..named.clone()
                })
            })
            .collect();
        all.sort_by(|a, b| {
            let key = |named: &Named| (named.station.unwrap_or(u32::MAX), named.number);
            key(a).cmp(&key(b)).then_with(|| a.sha256.cmp(&b.sha256))
        });
        all
    }
}

/// The SHA-256 of bytes: 64 hexadecimal digits, lower case.
pub fn sha256(bytes: &[u8]) -> String {
    in_digits(Sha256::digest(bytes))
}

/// Whether a text is 64 hexadecimal digits in lower case.
pub fn is_sha256(text: &str) -> bool {
    text.len() == 64
        && text
            .bytes()
            .all(|byte| matches!(byte, b'0'..=b'9' | b'a'..=b'f'))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::notebook::{Act, Photo, Stamp, Station};

    /// The SHA-256 of "abc": FIPS 180-4 (NIST 2015), its example values.
    #[test]
    fn the_hash_is_the_published_one() {
        assert_eq!(
            sha256(b"abc"),
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
        );
        assert!(is_sha256(&sha256(b"")));
        for odd in ["", "abc", &"A".repeat(64), &"0".repeat(63), &"é".repeat(32)] {
            assert!(!is_sha256(odd), "{odd}");
        }
    }

    fn entry(record: &str, counter: u64, body: Option<Body>) -> Entry {
        let stamp = Stamp {
            by: "QV".to_owned(),
            device: "bench".to_owned(),
            counter,
            at: String::new(),
        };
        Entry::new(record.into(), [], stamp, Act::Write, None, body)
    }

    fn photo(station: &str, number: u32, sha256: &str) -> Option<Body> {
        Some(Body::Photo(Photo {
            station: station.to_owned(),
            number,
            sha256: sha256.to_owned(),
            media: "image/jpeg".to_owned(),
            ..Photo::default()
        }))
    }

    #[test]
    fn each_photo_is_named_once_whatever_became_of_its_record() {
        let (a, b) = (sha256(b"a"), sha256(b"b"));
        let station = Station {
            number: 47,
            ..Station::default()
        };
        let entries = [
            entry("p2", 1, photo("s", 2, &b)),
            entry("p1", 2, photo("s", 1, &a)),
            entry("p2", 3, None),
            entry("p9", 4, photo("elsewhere", 9, &a)),
            entry("s", 5, Some(Body::Station(station))),
            entry("odd", 6, photo("s", 3, "not a hash")),
        ];
        let words: Vec<String> = named(&entries).iter().map(Named::words).collect();
        assert_eq!(words, ["47·P1", "47·P2"]);
        assert!(named(&[]).is_empty());
        assert_eq!(named(&entries[..1])[0].words(), "?·P2");
    }

    /// Found by a camp by lot: two tablets that had the same entries in another order wrote archives of other bytes.
    #[test]
    fn the_order_of_the_entries_changes_neither_names_nor_order() {
        let (a, b) = (sha256(b"a"), sha256(b"b"));
        let station = |number| {
            Some(Body::Station(Station {
                number,
                ..Station::default()
            }))
        };
        let later = |before: &Entry, counter: u64, body: Option<Body>| {
            let stamp = Stamp {
                counter,
                device: "bench".to_owned(),
                ..Stamp::default()
            };
            let record = before.record().clone();
            Entry::new(record, [before.id()], stamp, Act::Correct, None, body)
        };
        let twice = entry("s", 1, station(2));
        let renumbered = later(&twice, 2, station(9));
        let taken = entry("p", 3, photo("s", 1, &a));
        let moved = later(&taken, 4, photo("s", 7, &a));
        let other = entry("t", 5, station(5));
        let its = entry("q", 6, photo("t", 1, &b));
        let mut all = vec![twice, renumbered, taken, moved, other, its];
        let words =
            |all: &[Entry]| -> Vec<String> { named(all).iter().map(Named::words).collect() };
        assert_eq!(words(&all), ["5·P1", "9·P7"]);
        for _ in 0..all.len() {
            all.rotate_left(1);
            assert_eq!(words(&all), ["5·P1", "9·P7"]);
            all.swap(0, 3);
            assert_eq!(words(&all), ["5·P1", "9·P7"]);
        }
    }
}
