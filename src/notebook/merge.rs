//! Putting together what two people changed: different fields merge by themselves, the same field is left to a person.
//!
//! The outcome is a function of the entries alone. A merged entry carries no device, no counter and no clock of its own,
//! so every device computes the same one; it is shown, not kept, and the next entry supersedes what it was made of.

use std::collections::{BTreeSet, HashMap, HashSet};

use serde_json::{Map, Value};

use super::entry::{Act, Entry, EntryId, Stamp};
use super::ledger::Ledger;

/// More heads than this on one record are left to a person without trying: no field party is that large.
const MOST_HEADS: usize = 16;

/// Who descends from whom, merged entries included.
pub(super) struct Ancestry<'l> {
    ledger: &'l Ledger,
    made: HashMap<EntryId, Entry>,
    known: HashMap<EntryId, HashSet<EntryId>>,
}

impl<'l> Ancestry<'l> {
    pub(super) fn new(ledger: &'l Ledger) -> Self {
        Self {
            ledger,
            made: HashMap::new(),
            known: HashMap::new(),
        }
    }

    fn get(&self, id: &EntryId) -> Option<&Entry> {
        self.made.get(id).or_else(|| self.ledger.get(id))
    }

    /// All known entries of the same record that an entry descends from, itself not among them.
    fn of(&mut self, entry: &Entry) -> &HashSet<EntryId> {
        if !self.known.contains_key(&entry.id()) {
            let mut found = HashSet::new();
            let mut todo: Vec<EntryId> = entry.supersedes().to_vec();
            while let Some(id) = todo.pop() {
                if id == entry.id() || found.contains(&id) {
                    continue;
                }
                if let Some(earlier) = self.get(&id).filter(|e| e.record() == entry.record()) {
                    todo.extend_from_slice(earlier.supersedes());
                    found.insert(id);
                }
            }
            self.known.insert(entry.id(), found);
        }
        &self.known[&entry.id()]
    }

    /// The latest entries that both descend from: those no other common one descends from.
    fn bases(&mut self, a: &Entry, b: &Entry) -> Vec<Entry> {
        let of_a = self.of(a).clone();
        let common: Vec<EntryId> = of_a.intersection(self.of(b)).copied().collect();
        let common: HashSet<EntryId> = common.into_iter().collect();
        let mut earlier = HashSet::new();
        for id in &common {
            if let Some(entry) = self.get(id) {
                earlier.extend(entry.supersedes().iter().copied());
            }
        }
        let mut bases: Vec<Entry> = common
            .difference(&earlier)
            .filter_map(|id| self.get(id).cloned())
            .collect();
        bases.sort_unstable_by_key(Entry::id);
        bases
    }

    /// The order in which versions are shown: content before a strike-out, longer history before shorter, then the id.
    fn rank(&mut self, entry: &Entry) -> (bool, usize, EntryId) {
        (!entry.strikes_out(), self.of(entry).len(), entry.id())
    }
}

/// Merges what can be merged and returns what is left, the version to be shown first.
pub(super) fn fold(ancestry: &mut Ancestry<'_>, mut tips: Vec<Entry>) -> Vec<Entry> {
    tips.sort_unstable_by_key(Entry::id);
    tips.dedup();
    if tips.len() <= MOST_HEADS {
        while let Some((i, j, merged)) = first_merge(ancestry, &tips) {
            tips.remove(j);
            tips.remove(i);
            ancestry.made.insert(merged.id(), merged.clone());
            tips.push(merged);
            tips.sort_unstable_by_key(Entry::id);
        }
    }
    tips.sort_by_cached_key(|entry| std::cmp::Reverse(ancestry.rank(entry)));
    tips
}

fn first_merge(ancestry: &mut Ancestry<'_>, tips: &[Entry]) -> Option<(usize, usize, Entry)> {
    for j in 1..tips.len() {
        for i in 0..j {
            if let Ok(body) = together(ancestry, &tips[i], &tips[j], Disputed::Told) {
                return Some((i, j, merged(&tips[i], &tips[j], body)));
            }
        }
    }
    None
}

/// The names of the fields in which any two versions disagree.
pub(super) fn disputed(
    ancestry: &mut Ancestry<'_>,
    shown: &Entry,
    others: &[Entry],
) -> Vec<String> {
    let mut fields = BTreeSet::new();
    for (i, other) in others.iter().enumerate() {
        for one in std::iter::once(shown).chain(&others[..i]) {
            if let Err(names) = together(ancestry, one, other, Disputed::Told) {
                fields.extend(names);
            }
        }
    }
    fields.into_iter().collect()
}

/// The content in which the shots of both versions stand beside each other, where shots are all they disagree about and every
/// other change of anybody is kept; `None` where that cannot be.
pub(super) fn both(ancestry: &mut Ancestry<'_>, a: &Entry, b: &Entry) -> Option<String> {
    let body = together(ancestry, a, b, Disputed::Beside).ok()??;
    Some(body.to_string())
}

/// What becomes of a field that both changed.
#[derive(Clone, Copy)]
enum Disputed<'f> {
    /// It is left to a person.
    Told,
    /// Of these fields that of the first version is taken.
    Settled(&'f [String]),
    /// Shots stand beside each other; any other field is left to a person.
    Beside,
}

/// The content in which the disputed fields are those of the version chosen, and every other change of anybody is kept.
pub(super) fn choosing(
    ancestry: &mut Ancestry<'_>,
    chosen: Entry,
    others: &[Entry],
    disputed: &[String],
) -> Option<String> {
    let mut tip = chosen;
    if !tip.strikes_out() {
        for other in others.iter().filter(|other| !other.strikes_out()) {
            if let Ok(body) = together(ancestry, &tip, other, Disputed::Settled(disputed)) {
                let next = merged(&tip, other, body);
                ancestry.made.insert(next.id(), next.clone());
                tip = next;
            }
        }
    }
    tip.body_text().map(str::to_owned)
}

/// The entry that puts two together: the same on every device.
fn merged(a: &Entry, b: &Entry, body: Option<Value>) -> Entry {
    let mut by: Vec<&str> = [a, b]
        .iter()
        .flat_map(|entry| entry.stamp().by.split(" + "))
        .filter(|by| !by.is_empty())
        .collect();
    by.sort_unstable();
    by.dedup();
    let later = [a, b]
        .into_iter()
        .map(|entry| entry.stamp().at.as_str())
        .max_by_key(|at| (instant_s(at), *at))
        .unwrap_or_default();
    Entry::with_raw_body(
        a.record().clone(),
        [a.id(), b.id()],
        Stamp {
            by: by.join(" + "),
            device: String::new(),
            counter: 0,
            at: later.to_owned(),
        },
        Act::Merge,
        body,
    )
}

/// The content that holds both changes, or the names of the fields that both changed.
fn together(
    ancestry: &mut Ancestry<'_>,
    a: &Entry,
    b: &Entry,
    disputed_fields: Disputed<'_>,
) -> Result<Option<Value>, Vec<String>> {
    let (settled, beside) = match disputed_fields {
        Disputed::Told => (&[][..], false),
        Disputed::Settled(fields) => (fields, false),
        Disputed::Beside => (&[][..], true),
    };
    let (text_a, text_b) = (a.body_text(), b.body_text());
    if text_a == text_b {
        return Ok(text_a.map(value));
    }
    let bases = ancestry.bases(a, b);
    let unchanged =
        |text: Option<&str>| !bases.is_empty() && bases.iter().all(|base| base.body_text() == text);
    if settled.is_empty() && unchanged(text_a) {
        return Ok(text_b.map(value));
    }
    if unchanged(text_b) {
        return Ok(text_a.map(value));
    }
    let (Some(text_a), Some(text_b)) = (text_a, text_b) else {
        return Err(vec!["struck-out".to_owned()]);
    };
    let (kind, fields_a) = content(text_a);
    let (kind_b, fields_b) = content(text_b);
    if kind != kind_b {
        return Err(vec!["kind of record".to_owned()]);
    }
    let bases: Vec<Map<String, Value>> = bases
        .iter()
        .filter_map(|base| base.body_text().map(content))
        .filter(|(kind_base, _)| *kind_base == kind)
        .map(|(_, fields)| fields)
        .collect();
    let names: BTreeSet<&String> = fields_a.keys().chain(fields_b.keys()).collect();
    let mut fields = Map::new();
    let mut disputed = Vec::new();
    for name in names {
        let base: Vec<Option<&Value>> = bases.iter().map(|base| base.get(name)).collect();
        let (of_a, of_b) = (fields_a.get(name), fields_b.get(name));
        let taken = match pick(&base, of_a, of_b) {
            _ if settled.contains(name) => of_a.cloned(),
            Some(taken) => taken.cloned(),
            None => match shots(name, &base, (of_a, of_b), beside) {
                Some(shots) => Some(shots),
                None => {
                    disputed.push(name.clone());
                    continue;
                }
            },
        };
        if let Some(taken) = taken {
            fields.insert(name.clone(), taken);
        }
    }
    if disputed.is_empty() {
        Ok(Some(if kind.is_empty() {
            Value::Object(fields)
        } else {
            Value::Object([(kind, Value::Object(fields))].into_iter().collect())
        }))
    } else {
        Err(disputed)
    }
}

/// The value that one side changed while the other left it, if at most one did.
fn pick<'v>(
    bases: &[Option<&Value>],
    a: Option<&'v Value>,
    b: Option<&'v Value>,
) -> Option<Option<&'v Value>> {
    let unchanged =
        |value: Option<&Value>| !bases.is_empty() && bases.iter().all(|base| *base == value);
    if a == b || unchanged(b) {
        Some(a)
    } else if unchanged(a) {
        Some(b)
    } else {
        None
    }
}

/// Shots merge one by one: each is whole, none is taken away, and only one side may have added some; or, `beside` each other,
/// both sides' shots stand where both changed one, and where both added some.
fn shots(
    name: &str,
    bases: &[Option<&Value>],
    (a, b): (Option<&Value>, Option<&Value>),
    beside: bool,
) -> Option<Value> {
    if name != "shots" {
        return None;
    }
    let (a, b) = (a?.as_array()?, b?.as_array()?);
    let bases: Vec<&Vec<Value>> = bases
        .iter()
        .map(|base| (*base)?.as_array())
        .collect::<Option<_>>()?;
    let shared = bases.first()?.len();
    if bases.iter().any(|base| base.len() != shared) || a.len() < shared || b.len() < shared {
        return None;
    }
    let mut shots = Vec::new();
    for i in 0..shared {
        let base: Vec<Option<&Value>> = bases.iter().map(|base| base.get(i)).collect();
        match pick(&base, a.get(i), b.get(i)) {
            Some(shot) => shots.push(shot?.clone()),
            None if beside => shots.extend([a.get(i)?.clone(), b.get(i)?.clone()]),
            None => return None,
        }
    }
    match (&a[shared..], &b[shared..]) {
        (added, []) | ([], added) => shots.extend_from_slice(added),
        (added, others) if added == others => shots.extend_from_slice(added),
        (added, others) if beside => {
            shots.extend_from_slice(added);
            let more = others.iter().filter(|shot| !added.contains(shot));
            shots.extend(more.cloned());
        }
        _ => return None,
    }
    Some(Value::Array(shots))
}

/// The kind and the fields of a body's text; a body of an unforeseen form is one field by itself.
pub(super) fn content(text: &str) -> (String, Map<String, Value>) {
    let body: Map<String, Value> = serde_json::from_str(text).unwrap_or_default();
    match body.iter().next() {
        Some((kind, Value::Object(fields))) if body.len() == 1 => (kind.clone(), fields.clone()),
        _ => (String::new(), body),
    }
}

fn value(text: &str) -> Value {
    serde_json::from_str(text).unwrap_or_default()
}

/// RFC 3339 in UTC of seconds since 1970: `2026-06-14T12:20:22Z`; `None` outside the years 1 to 9999.
pub fn utc_text(second: i64) -> Option<String> {
    let (days, of_day) = (second.div_euclid(86_400), second.rem_euclid(86_400));
    // Days to the civil calendar: years begin in March, so that the leap day is the last.
    let shifted = days + 719_468;
    let (era, of_era) = (shifted.div_euclid(146_097), shifted.rem_euclid(146_097));
    let year_of_era = (of_era - of_era / 1460 + of_era / 36_524 - of_era / 146_096) / 365;
    let of_year = of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
    let shifted_month = (5 * of_year + 2) / 153;
    let day = of_year - (153 * shifted_month + 2) / 5 + 1;
    let month = if shifted_month < 10 {
        shifted_month + 3
    } else {
        shifted_month - 9
    };
    let year = year_of_era + era * 400 + i64::from(month <= 2);
    (1..=9999).contains(&year).then(|| {
        format!(
            "{year:04}-{month:02}-{day:02}T{:02}:{:02}:{:02}Z",
            of_day / 3600,
            of_day / 60 % 60,
            of_day % 60
        )
    })
}

/// Seconds since 1970 of an RFC 3339 text, fractions left out; `None` where it is none.
pub fn instant_s(at: &str) -> Option<i64> {
    let number = |from: usize, to: usize| at.get(from..to)?.parse::<i64>().ok();
    let (year, month, day) = (number(0, 4)?, number(5, 7)?, number(8, 10)?);
    let (hour, minute, second) = (number(11, 13)?, number(14, 16)?, number(17, 19)?);
    let zone = at
        .get(19..)?
        .trim_start_matches(|c: char| c == '.' || c.is_ascii_digit());
    let offset_s = match zone.as_bytes() {
        [b'Z' | b'z'] => 0,
        [sign @ (b'+' | b'-'), _, _, b':', _, _] => {
            let (hours, minutes) = (zone.get(1..3)?, zone.get(4..6)?);
            let offset = hours.parse::<i64>().ok()? * 3600 + minutes.parse::<i64>().ok()? * 60;
            if *sign == b'+' { offset } else { -offset }
        }
        _ => return None,
    };
    // Days from the civil calendar: years begin in March, so that the leap day is the last.
    let shifted = if month <= 2 { year - 1 } else { year };
    let (era, of_era) = (shifted.div_euclid(400), shifted.rem_euclid(400));
    let of_year = (153 * ((month + 9) % 12) + 2) / 5 + day - 1;
    let days = era * 146_097 + of_era * 365 + of_era / 4 - of_era / 100 + of_year - 719_468;
    Some(days * 86_400 + hour * 3600 + minute * 60 + second - offset_s)
}

#[cfg(test)]
mod tests {
    use super::instant_s;

    /// The examples of RFC 3339 (Klyne & Newman 2002), section 5.8: one instant written with two offsets; the count of seconds
    /// by POSIX `date -u -d 1996-12-20T00:39:57Z +%s`.
    #[test]
    fn instants() {
        assert_eq!(instant_s("1996-12-19T16:39:57-08:00"), Some(851_042_397));
        assert_eq!(instant_s("1996-12-20T00:39:57Z"), Some(851_042_397));
        assert_eq!(instant_s("1970-01-01T00:00:00.5Z"), Some(0));
        assert_eq!(instant_s("yesterday"), None);
        assert_eq!(instant_s(""), None);
    }
}
