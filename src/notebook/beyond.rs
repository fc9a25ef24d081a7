//! What a part of a book goes beyond: the entries that were left out of it because another file or tablet has them.
//!
//! The counts of each tablet say which entries those are, the digest over their ids whether just those are somewhere.

use std::collections::{BTreeMap, BTreeSet};

use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

use super::entry::{Entry, EntryId, Stamp, in_digits};
use super::ledger::Ledger;

/// What stands before the digits of a digest.
const KIND: &str = "sha256:";

/// A set of entries, told by what it is made of and not by its texts.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct Beyond {
    /// How many entries it has.
    pub count: usize,
    /// SHA-256 of the canonical JSON (RFC 8785) of the list of their ids in order of the alphabet.
    pub digest: String,
    /// The counts of each tablet whose entries are in it: the first and the last of every run without a gap.
    pub tablets: BTreeMap<String, Vec<(u64, u64)>>,
    /// Entries that have a count of these and are none of them: the part's own, where two histories share a tablet's name.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub besides: Vec<EntryId>,
}

/// An entry by what a [`Beyond`] tells it by: its id, its tablet and its place in that tablet's count.
pub type Place<'t> = (EntryId, &'t str, u64);

fn place(entry: &Entry) -> Place<'_> {
    let stamp = entry.stamp();
    (entry.id(), &stamp.device, stamp.counter)
}

impl Beyond {
    /// That of these entries, each of which counts once.
    ///
    /// # Degenerate input
    /// No entries: a count of 0, and the digest of an empty list.
    pub fn of<'e>(entries: impl IntoIterator<Item = &'e Entry>) -> Self {
        Self::of_places(entries.into_iter().map(place))
    }

    /// The same of entries whose texts are not at hand.
    pub fn of_places<'t>(places: impl IntoIterator<Item = Place<'t>>) -> Self {
        let mut ids = Vec::new();
        let mut counts: BTreeMap<&str, Vec<u64>> = BTreeMap::new();
        for (id, tablet, counter) in places {
            ids.push(id);
            counts.entry(tablet).or_default().push(counter);
        }
        ids.sort_unstable();
        ids.dedup();
        let runs = |mut counts: Vec<u64>| {
            counts.sort_unstable();
            let mut runs: Vec<(u64, u64)> = Vec::new();
            for count in counts {
                match runs.last_mut() {
                    Some((_, last)) if count <= last.saturating_add(1) => *last = count,
                    _ => runs.push((count, count)),
                }
            }
            runs
        };
        let counts = counts.into_iter();
        Self {
            count: ids.len(),
            digest: digest(&ids),
            tablets: counts
                .map(|(tablet, counts)| (tablet.to_owned(), runs(counts)))
                .collect(),
            besides: Vec::new(),
        }
    }

    /// The same, told from entries that are new beyond it whatever their counts.
    #[must_use]
    pub fn besides<'t>(mut self, new: impl IntoIterator<Item = Place<'t>>) -> Self {
        let new = new.into_iter();
        let mut shared: Vec<EntryId> = new
            .filter(|(_, tablet, counter)| self.has(tablet, *counter))
            .map(|(id, ..)| id)
            .collect();
        shared.sort_unstable();
        shared.dedup();
        self.besides = shared;
        self
    }

    /// That of a base, for a part of these new entries.
    pub fn of_part<'e>(
        base: impl IntoIterator<Item = &'e Entry>,
        new: impl IntoIterator<Item = &'e Entry>,
    ) -> Self {
        Self::of(base).besides(new.into_iter().map(place))
    }

    /// Whether an entry may be one of its own, by tablet and count. Where two histories share a tablet's name an entry of the
    /// other one may be taken for one of these; the digest tells.
    pub fn counts(&self, stamp: &Stamp) -> bool {
        self.has(&stamp.device, stamp.counter)
    }

    fn has(&self, tablet: &str, counter: u64) -> bool {
        self.tablets.get(tablet).is_some_and(|runs| {
            let after = runs.partition_point(|&(first, _)| first <= counter);
            after > 0 && counter <= runs[after - 1].1
        })
    }

    /// How many of its entries are not among these, by tablet and count, and at least one where as many are there and the digest
    /// is another.
    ///
    /// # Degenerate input
    /// Where two histories share a tablet's name and the part did not know the other one, an entry that is missing may not be
    /// counted where that one is among these; what takes its place then has no predecessor.
    pub fn missing<'t>(&self, there: impl IntoIterator<Item = Place<'t>>) -> usize {
        let mut ids = Vec::new();
        let mut found: BTreeMap<&str, Vec<u64>> = BTreeMap::new();
        for (id, tablet, counter) in there {
            if self.has(tablet, counter) && self.besides.binary_search(&id).is_err() {
                ids.push(id);
                found.entry(tablet).or_default().push(counter);
            }
        }
        ids.sort_unstable();
        ids.dedup();
        let all = self.tablets.values().flatten();
        let all = all.fold(0_u64, |all, &(first, last)| {
            all.saturating_add(last.saturating_sub(first).saturating_add(1))
        });
        let mut met = 0_u64;
        for counts in found.values_mut() {
            counts.sort_unstable();
            counts.dedup();
            met += counts.len() as u64;
        }
        let by_count = usize::try_from(all.saturating_sub(met)).unwrap_or(usize::MAX);
        let other = ids.len() == self.count && digest(&ids) != self.digest;
        by_count
            .max(self.count.saturating_sub(ids.len()))
            .max(usize::from(other))
            .min(self.count.max(1))
    }

    /// The same of a ledger's entries.
    pub fn missing_in(&self, ledger: &Ledger) -> usize {
        self.missing(ledger.iter().map(place))
    }

    /// Whether it is just these entries and no others.
    pub fn is_of<'e>(&self, entries: impl IntoIterator<Item = &'e Entry>) -> bool {
        let mut ids: Vec<EntryId> = entries.into_iter().map(Entry::id).collect();
        ids.sort_unstable();
        ids.dedup();
        ids.len() == self.count && digest(&ids) == self.digest
    }

    /// What is wrong with one that stands in a file, in words; `None` where it can be believed.
    pub fn fault(&self) -> Option<String> {
        let digits = self.digest.strip_prefix(KIND);
        let is_digest = digits.is_some_and(|digits| digits.parse::<EntryId>().is_ok());
        if !is_digest {
            return Some("its digest is not `sha256:` and 64 hexadecimal digits".to_owned());
        }
        if !self.besides.is_sorted() {
            return Some("the ids of `besides` are not in order".to_owned());
        }
        let ordered = |runs: &Vec<(u64, u64)>| {
            runs.iter().all(|(first, last)| first <= last)
                && runs.windows(2).all(|pair| pair[0].1 < pair[1].0)
        };
        let unordered = self.tablets.iter().find(|(_, runs)| !ordered(runs));
        unordered.map(|(tablet, _)| {
            let tablet = super::canonical::short(tablet);
            format!("the counts of tablet `{tablet}` are not runs in order")
        })
    }
}

/// The digest of ids in order, each once.
fn digest(ids: &[EntryId]) -> String {
    let mut hash = Sha256::new();
    hash.update("[");
    for (i, id) in ids.iter().enumerate() {
        hash.update(if i == 0 { "\"" } else { ",\"" });
        hash.update(id.digits());
        hash.update("\"");
    }
    hash.update("]");
    format!("{KIND}{}", in_digits(hash.finalize()))
}

/// Which of these are not whole among the entries that are there, each once, and how many entries each of them misses: what a
/// book of those entries goes beyond still. The same whatever the order and the grouping of a join.
pub fn standing<'b, 't, I>(
    all: impl IntoIterator<Item = &'b Beyond>,
    there: impl Fn() -> I,
) -> Vec<(Beyond, usize)>
where
    I: Iterator<Item = Place<'t>>,
{
    let all: BTreeSet<&Beyond> = all.into_iter().collect();
    let missing = all.into_iter().map(|one| (one, one.missing(there())));
    missing
        .filter(|(_, missing)| *missing > 0)
        .map(|(one, missing)| (one.clone(), missing))
        .collect()
}

/// The same beside a ledger.
pub fn standing_in<'b>(
    all: impl IntoIterator<Item = &'b Beyond>,
    ledger: &Ledger,
) -> Vec<(Beyond, usize)> {
    standing(all, || ledger.iter().map(place))
}

/// How a part is spoken of, in one sentence without a full stop, with the way out.
///
/// # Degenerate input
/// Of nothing that is missing nothing is said: an empty text.
pub fn words(standing: &[(Beyond, usize)]) -> String {
    let entries = |n: usize| match n {
        1 => "1 entry".to_owned(),
        n => format!("{n} entries"),
    };
    let are = |n: usize| if n == 1 { "is" } else { "are" };
    match standing {
        [] => String::new(),
        [(beyond, missing)] => format!(
            "it holds only what is new beyond a book of {}, of which {missing} {} not here: open that book too, in any order",
            entries(beyond.count),
            are(*missing)
        ),
        many => {
            let each = many
                .iter()
                .map(|(beyond, missing)| format!("{missing} of {}", entries(beyond.count)));
            format!(
                "it holds only what is new beyond {} books, of which are not here: {}; open those books too, in any order",
                many.len(),
                each.collect::<Vec<_>>().join(", ")
            )
        }
    }
}

#[cfg(test)]
mod tests;
