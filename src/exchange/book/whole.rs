//! A book file that is read and written whole: what any version of it wrote must open for ever.
//!
//! `{"format":"hingeline-book","version":2,"written":{…},"count":N,"digest":"sha256:…","entries":[…]}`.
//! Version 1 differs by its [digest](super::digest) alone. A part has `"beyond":[…]` before its entries.

use std::collections::HashSet;
use std::ops::Range;

use memchr::memmem;
use serde::de::DeserializeOwned;
use serde_json::{Map, Value};

use super::digest::{DIGITS, FileDigest, KIND};
use super::{BEYOND, BookFile, Error, VERSION, Written, foreign, take_beyond};
use crate::notebook::canonical::{self, Member, Scan};
use crate::notebook::{Beyond, Entry, Ledger, stated_id};

pub(super) const FORMAT: &str = "hingeline-book";

/// Writes the file, entries by device, counter and id.
pub(super) fn write(entries: Vec<&Entry>, written: &Written, beyond: &[Beyond]) -> String {
    let lengths = entries.iter().map(|entry| entry.text().len() + 80);
    let mut file = String::with_capacity(lengths.sum::<usize>() + 512);
    let mut pieces = Pieces::new(entries.into_iter().cloned().collect(), written, beyond);
    while pieces.next_onto(usize::MAX, &mut file) {}
    let (place, digest) = pieces.digest();
    file.replace_range(place..place + digest.len(), &digest);
    file
}

/// A book file that is written piece by piece. The digest stands before what it is of: its place holds noughts until the last
/// piece is written, and a file that was broken off does not open.
pub struct Pieces {
    entries: std::vec::IntoIter<Entry>,
    count: usize,
    digest: FileDigest,
    written: String,
    beyond: String,
    place: usize,
    state: Wrote,
}

/// How far a file has come.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Wrote {
    Nothing,
    Head,
    Entries,
    All,
}

impl Pieces {
    pub(super) fn new(mut entries: Vec<Entry>, written: &Written, beyond: &[Beyond]) -> Self {
        let key = |entry: &Entry| (entry.stamp().counter, entry.id());
        entries.sort_unstable_by(|a, b| {
            let devices = a.stamp().device.cmp(&b.stamp().device);
            devices.then_with(|| key(a).cmp(&key(b)))
        });
        entries.dedup();
        Self {
            count: entries.len(),
            entries: entries.into_iter(),
            digest: FileDigest::new(),
            written: canonical::text_of(written),
            beyond: beyond_member(beyond),
            place: 0,
            state: Wrote::Nothing,
        }
    }

    /// The next piece of the file, with at most so many entries; `None` after the last.
    pub fn next(&mut self, most: usize) -> Option<String> {
        let mut piece = String::new();
        self.next_onto(most.max(1), &mut piece).then_some(piece)
    }

    /// Where in the file, in bytes, the digest's digits stand, and what they are; to be asked after the last piece.
    pub fn digest(self) -> (usize, String) {
        (self.place, self.digest.digits())
    }

    fn next_onto(&mut self, most: usize, file: &mut String) -> bool {
        let (count, written, beyond) = (self.count, &self.written, &self.beyond);
        match self.state {
            Wrote::All => return false,
            Wrote::Nothing => {
                file.push_str(&format!(
                    "{{\"format\":\"{FORMAT}\",\"version\":{VERSION},\"written\":{written},\"count\":{count},\"digest\":\"{KIND}"
                ));
                self.place = file.len();
                file.push_str(&"0".repeat(DIGITS));
                file.push_str(&format!("\",{beyond}\"entries\":[\n"));
                let head = format!("{{{beyond}\"count\":{count},\"entries\":[");
                self.digest.text(&head);
                self.state = Wrote::Head;
            }
            Wrote::Head | Wrote::Entries => {}
        }
        for entry in self.entries.by_ref().take(most) {
            if self.state == Wrote::Entries {
                file.push_str(",\n");
            }
            self.state = Wrote::Entries;
            entry.write_with_id(file);
            self.digest.entry(&entry, None);
        }
        if self.entries.len() == 0 {
            file.push_str("\n]}\n");
            self.digest.text(&format!(
                "],\"format\":\"{FORMAT}\",\"version\":{VERSION},\"written\":{written}}}"
            ));
            self.state = Wrote::All;
        }
        true
    }
}

/// The member that says what a part goes beyond, with its comma; nothing in a whole book.
pub(super) fn beyond_member(beyond: &[Beyond]) -> String {
    if beyond.is_empty() {
        String::new()
    } else {
        format!("\"{BEYOND}\":{},", canonical::text_of(&beyond))
    }
}

/// What the first members say, as every version writes them.
pub(super) fn head(start: &str) -> Option<(Written, usize)> {
    let rest = start.strip_prefix(&format!("{{\"format\":\"{FORMAT}\",\"version\":"))?;
    let (version, rest) = rest.split_once(',')?;
    check_version(version).ok()?;
    let rest = rest.strip_prefix("\"written\":")?;
    let mut scan = Scan::new(rest);
    let written = serde_json::from_str(&rest[scan.value(1).ok()?]).ok()?;
    let rest = rest[scan.at()..].strip_prefix(",\"count\":")?;
    let (count, _) = rest.split_once(',')?;
    Some((written, count.parse().ok()?))
}

/// Who wrote the file, of a head of which that much is legible.
pub(super) fn written_in(head: &str) -> Option<Written> {
    member_in(head, "\"written\":")
}

/// What a part goes beyond, of a head of which that much is legible.
pub(super) fn beyond_in(head: &str) -> Option<Vec<Beyond>> {
    let beyond: Vec<Beyond> = member_in(head, &format!("\"{BEYOND}\":"))?;
    let sound = beyond.iter().all(|one| one.fault().is_none());
    sound.then_some(beyond)
}

fn member_in<T: DeserializeOwned>(head: &str, key: &str) -> Option<T> {
    let rest = &head[head.find(key)? + key.len()..];
    let mut scan = Scan::new(rest);
    scan.space();
    serde_json::from_str(&rest[scan.value(1).ok()?]).ok()
}

/// One entry as it stands in the file.
struct Place {
    whole: Range<usize>,
    canonical: bool,
    /// What it says, or why it says nothing: told only where the whole file is JSON.
    entry: Result<Entry, crate::notebook::Error>,
}

/// The file as it stands, before anything is believed.
struct Parts<'t> {
    top: Vec<(Member<'t>, bool)>,
    entries: Option<Listed>,
}

/// The entries as they stand, up to the first that is at fault: what follows it is only counted, so that a file of a great many
/// that are none takes no more room than it has.
#[derive(Default)]
struct Listed {
    places: Vec<Place>,
    total: usize,
}

/// Reads the file, or says why not; an entry that is known already, word for word, is taken from there.
pub(super) fn read(text: &str, known: Option<&Ledger>) -> Result<BookFile, Error> {
    if text.trim_ascii().is_empty() {
        return Err(Error {
            what: super::What::Empty,
            record: None,
        });
    }
    let mut parts = Parts {
        top: Vec::new(),
        entries: None,
    };
    let whole = take_apart(text, known, &mut parts);
    let Parts { top, entries } = parts;
    let found = |key: &str| top.iter().find(|(member, _)| member.key == key);
    let string = |key: &str| -> Option<String> {
        found(key).and_then(|(member, _)| serde_json::from_str(&text[member.value.clone()]).ok())
    };
    let ours = string("format").is_some_and(|format| format == FORMAT);
    if let Some((member, _)) = found("version").filter(|_| ours) {
        check_version(&text[member.value.clone()])?;
    }
    if let Err(fault) = whole {
        return Err(if ours || foreign::begins_like_a_book(text) {
            Error::fault(text, &fault)
        } else {
            Error::foreign(foreign::text(text))
        });
    }
    if !ours {
        let kind = foreign::object(string, |key| found(key).is_some());
        return Err(Error::foreign(kind));
    }
    let need = |key: &'static str| {
        found(key).ok_or_else(|| Error::damaged(format!("its head: `{key}` is missing")))
    };
    let version = check_version(&text[need("version")?.0.value.clone()])?;
    let written = &text[need("written")?.0.value.clone()];
    let written: Written = serde_json::from_str(written).map_err(|_| {
        Error::damaged("its head: `written` does not say at, by and device".to_owned())
    })?;
    let mut more: Map<String, Value> = top
        .iter()
        .filter(|(member, _)| !KNOWN.contains(&&*member.key))
        .filter_map(|(member, _)| {
            let value = serde_json::from_str(&text[member.value.clone()]).ok()?;
            Some((member.key.clone().into_owned(), value))
        })
        .collect();
    let beyond = take_beyond(&mut more)?;
    let (count, _) = need("count")?;
    let count = &text[count.value.clone()];
    need("digest")?;
    let digest = string("digest").unwrap_or_default();
    need("entries")?;
    let Listed { places, total } =
        entries.ok_or_else(|| Error::damaged("its head: `entries` is no list".to_owned()))?;

    let mut entries = Vec::with_capacity(places.len());
    let mut stand = Vec::with_capacity(places.len());
    for (i, place) in places.into_iter().enumerate() {
        stand.push((place.whole.clone(), place.canonical));
        entries.push(place.entry.map_err(|error| {
            let (line, _) = canonical::line_and_column(text, place.whole.start);
            altered_entry(i + 1, &total.to_string(), line as u64, &error)
        })?);
    }
    check_count(count, total)?;
    if digest_of(version, text, &top, &stand, &entries) != digest {
        return Err(wrong_digest(true));
    }
    Ok(BookFile {
        version,
        written,
        entries,
        beyond,
        more,
    })
}

pub(super) const KNOWN: [&str; 6] = ["format", "version", "written", "count", "digest", "entries"];

/// The fault of one entry, the first being 1.
pub(super) fn altered_entry(
    place: usize,
    of: &str,
    line: u64,
    error: &crate::notebook::Error,
) -> Error {
    let record = error.record().cloned();
    let named = record.as_ref().map_or(String::new(), |record| {
        format!(", record `{}`", canonical::short(record.as_str()))
    });
    Error::altered(
        format!(
            "entry {place} of {} on line {line}{named}: {error}",
            canonical::short(of)
        ),
        record,
    )
}

pub(super) fn check_count(count: &str, there: usize) -> Result<(), Error> {
    if count == there.to_string() {
        return Ok(());
    }
    Err(Error::altered(
        format!(
            "its head counts `{}` entries and {there} are there",
            canonical::short(count)
        ),
        None,
    ))
}

/// The digest is not that of what is there; of a file whose entries were found sound, or of one with faults.
pub(super) fn wrong_digest(sound: bool) -> Error {
    let why = if sound {
        "every entry by itself is sound, but the digest in its head does not match: entries are missing, or the head was changed"
    } else {
        "the digest in its head does not match, as it cannot where entries are at fault"
    };
    Error::altered(why.to_owned(), None)
}

/// The version of a file that this one reads.
pub(super) fn check_version(version: &str) -> Result<u64, Error> {
    match version.parse::<u64>() {
        Ok(known @ 1..=VERSION) => Ok(known),
        Ok(newer) if newer > VERSION => Err(Error::newer(version)),
        _ => Err(Error::damaged(format!(
            "its head: the version `{}` is not a whole number from 1",
            canonical::short(version)
        ))),
    }
}

/// Steps through the whole text; what was found before a fault stays in the parts.
fn take_apart<'t>(
    text: &'t str,
    known: Option<&Ledger>,
    parts: &mut Parts<'t>,
) -> Result<(), canonical::Fault> {
    let mut scan = Scan::new(text);
    scan.space();
    if !scan.step(b'{') {
        return Err(scan.fault("`{`"));
    }
    scan.space();
    let mut names = HashSet::new();
    if !scan.step(b'}') {
        loop {
            scan.space();
            let key = scan.key()?;
            let name = scan.decode(key);
            if !names.insert(name.clone()) {
                return Err(canonical::Fault {
                    at: key.0,
                    why: canonical::Why::Twice(name.into_owned()),
                });
            }
            scan.canonical = true;
            let value = if name == "entries" && scan.peek() == Some(b'[') {
                let from = scan.at();
                parts.entries = Some(entries(text, known, &mut scan)?);
                from..scan.at()
            } else {
                scan.value(1)?
            };
            let member = Member {
                key: name,
                whole: key.0..value.end,
                value,
            };
            let canonical = scan.canonical;
            scan.space();
            let last = scan.step(b'}');
            if !last && !scan.step(b',') {
                return Err(scan.fault("`,` or `}`"));
            }
            // Only now is it known where the value ends: `14` may be the beginning of what is no number.
            parts.top.push((member, canonical));
            if last {
                break;
            }
        }
    }
    scan.end()
}

fn entries(
    text: &str,
    known: Option<&Ledger>,
    scan: &mut Scan<'_>,
) -> Result<Listed, canonical::Fault> {
    let mut listed = Listed::default();
    scan.step(b'[');
    scan.space();
    if scan.step(b']') {
        return Ok(listed);
    }
    let mut sound = true;
    loop {
        scan.space();
        let from = scan.at();
        scan.canonical = true;
        listed.total += 1;
        let rest = &text[from..];
        let there = known.and_then(|known| known_at(line(rest)?, known));
        let there = there.or_else(|| Entry::at_the_beginning(rest));
        let (canonical, entry) = if let Some((entry, length)) = there {
            scan.skip(length);
            (true, Ok(entry))
        } else {
            let members = scan.members(2)?;
            let canonical = scan.canonical;
            (canonical, entry(text, &members, canonical, known))
        };
        if sound {
            sound = entry.is_ok();
            listed.places.push(Place {
                whole: from..scan.at(),
                canonical,
                entry,
            });
        }
        scan.space();
        if scan.step(b']') {
            return Ok(listed);
        }
        if !scan.step(b',') {
            return Err(scan.fault("`,` or `]`"));
        }
    }
}

/// The line that a text begins with.
fn line(text: &str) -> Option<&str> {
    let near = &text.as_bytes()[..text.len().min(LINE_WITHIN)];
    text.get(..memchr::memchr(b'\n', near)?)
}

/// What stands before an entry's id in a file.
const ID: &[u8] = b"\"id\":\"";

/// An entry as we write it has a line to itself. So far it is looked for the line's end; a longer one is read like any other.
pub(super) const LINE_WITHIN: usize = 8192;

/// The entry of a ledger that a line begins with, word for word, and its length there: what is equal to an entry is one, and needs
/// no reading.
pub(super) fn known_at(line: &str, known: &Ledger) -> Option<(Entry, usize)> {
    // Its own id is the last that an entry names so.
    let at = memmem::rfind(line.as_bytes(), ID)? + ID.len();
    let entry = known.get(&line.get(at..at + 64)?.parse().ok()?)?;
    Some((entry.clone(), entry.begins(line)?))
}

/// One entry, which has to state its id. What is known under that id, word for word, needs no computing.
pub(super) fn entry(
    text: &str,
    members: &[Member<'_>],
    canonical: bool,
    known: Option<&Ledger>,
) -> Result<Entry, crate::notebook::Error> {
    let stated = members.iter().position(|member| member.key == "id");
    if let (Some(index), Some(known), true) = (stated, known, canonical)
        && let Ok(id) = stated_id(&text[members[index].value.clone()])
        && let Some(there) = known.get(&id)
        && there.stands_at(text, members, index)
    {
        return Ok(there.clone());
    }
    let entry = Entry::from_members(text, members, canonical)?;
    match stated {
        Some(_) => Ok(entry),
        None => Err(crate::notebook::Error::without_id(&entry)),
    }
}

/// The digest as the file should state it.
fn digest_of(
    version: u64,
    text: &str,
    top: &[(Member<'_>, bool)],
    stand: &[(Range<usize>, bool)],
    entries: &[Entry],
) -> String {
    let mut top: Vec<&(Member<'_>, bool)> = top
        .iter()
        .filter(|(member, _)| member.key != "digest")
        .collect();
    top.sort_by_cached_key(|(member, _)| member.key.encode_utf16().collect::<Vec<u16>>());
    let mut digest = FileDigest::of_version(version);
    for (i, (member, canonical)) in top.into_iter().enumerate() {
        digest.text(if i == 0 { "{" } else { "," });
        digest.text(&canonical::text_of(&member.key));
        digest.text(":");
        let value = &text[member.value.clone()];
        if member.key == "entries" {
            digest.text("[");
            for ((whole, canonical), entry) in stand.iter().zip(entries) {
                digest.entry(entry, canonical.then(|| &text[whole.clone()]));
            }
            digest.text("]");
        } else if *canonical {
            digest.text(value);
        } else {
            let value: Value = serde_json::from_str(value).unwrap_or_default();
            digest.text(&canonical::text_of(&value));
        }
    }
    digest.text("}");
    digest.stated()
}
