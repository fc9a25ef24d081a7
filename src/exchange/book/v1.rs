//! Version 1 of the book file, frozen: what it wrote must open for ever.
//!
//! `{"format":"hingeline-book","version":1,"written":{…},"count":N,"digest":"sha256:…","entries":[…]}`.
//! The digest is the SHA-256 of the canonical JSON (RFC 8785) of everything but the digest.

use std::ops::Range;

use serde_json::{Map, Value};
use sha2::{Digest, Sha256};

use super::{BookFile, Error, Written, foreign};
use crate::notebook::Entry;
use crate::notebook::canonical::{self, Member, Scan};

pub(super) const FORMAT: &str = "hingeline-book";
pub(super) const VERSION: u64 = 1;
pub(super) const DIGEST: &str = "sha256:";

/// Writes the file, entries by device, counter and id.
pub(super) fn write(mut entries: Vec<&Entry>, written: &Written) -> String {
    let key = |entry: &Entry| (entry.stamp().counter, entry.id());
    entries.sort_unstable_by(|a, b| {
        let devices = a.stamp().device.cmp(&b.stamp().device);
        devices.then_with(|| key(a).cmp(&key(b)))
    });
    entries.dedup();
    let texts: Vec<String> = entries.iter().map(|entry| entry.text_with_id()).collect();
    let written = canonical::text_of(written);
    let mut digest = Sha256::new();
    digest.update(format!("{{\"count\":{},\"entries\":[", texts.len()));
    for (i, text) in texts.iter().enumerate() {
        if i > 0 {
            digest.update(",");
        }
        digest.update(text);
    }
    digest.update(format!(
        "],\"format\":\"{FORMAT}\",\"version\":{VERSION},\"written\":{written}}}"
    ));
    format!(
        "{{\"format\":\"{FORMAT}\",\"version\":{VERSION},\"written\":{written},\"count\":{},\"digest\":\"{}\",\"entries\":[\n{}\n]}}\n",
        texts.len(),
        stated(digest),
        texts.join(",\n"),
    )
}

pub(super) fn stated(digest: Sha256) -> String {
    let mut text = DIGEST.to_owned();
    for byte in digest.finalize() {
        text.push_str(&format!("{byte:02x}"));
    }
    text
}

/// One entry as it stands in the file.
struct Place<'t> {
    whole: Range<usize>,
    members: Vec<Member<'t>>,
    canonical: bool,
}

/// The file as it stands, before anything is believed.
struct Parts<'t> {
    top: Vec<(Member<'t>, bool)>,
    entries: Option<Vec<Place<'t>>>,
}

/// Reads the file, or says why not.
pub(super) fn read(text: &str) -> Result<BookFile, Error> {
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
    let whole = take_apart(text, &mut parts);
    let found = |key: &str| parts.top.iter().find(|(member, _)| member.key == key);
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
    need("version")?;
    let written = &text[need("written")?.0.value.clone()];
    let written: Written = serde_json::from_str(written).map_err(|_| {
        Error::damaged("its head: `written` does not say at, by and device".to_owned())
    })?;
    let (count, _) = need("count")?;
    let count = &text[count.value.clone()];
    need("digest")?;
    let digest = string("digest").unwrap_or_default();
    need("entries")?;
    let places = parts
        .entries
        .as_ref()
        .ok_or_else(|| Error::damaged("its head: `entries` is no list".to_owned()))?;

    let mut entries = Vec::with_capacity(places.len());
    for (i, place) in places.iter().enumerate() {
        let entry = Entry::from_members(text, &place.members, place.canonical);
        let entry = entry.and_then(|entry| match place.members.iter().any(|m| m.key == "id") {
            true => Ok(entry),
            false => Err(crate::notebook::Error::without_id(&entry)),
        });
        entries.push(entry.map_err(|error| {
            let (line, _) = canonical::line_and_column(text, place.whole.start);
            altered_entry(i + 1, &places.len().to_string(), line as u64, &error)
        })?);
    }
    check_count(count, places.len())?;
    if digest_of(text, &parts, &entries) != digest {
        return Err(wrong_digest());
    }
    let more: Map<String, Value> = parts
        .top
        .iter()
        .filter(|(member, _)| !KNOWN.contains(&&*member.key))
        .filter_map(|(member, _)| {
            let value = serde_json::from_str(&text[member.value.clone()]).ok()?;
            Some((member.key.clone().into_owned(), value))
        })
        .collect();
    Ok(BookFile {
        version: VERSION,
        written,
        entries,
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

pub(super) fn wrong_digest() -> Error {
    Error::altered(
        "every entry by itself is sound, but the digest in its head does not match: entries are missing, or the head was changed"
            .to_owned(),
        None,
    )
}

pub(super) fn check_version(version: &str) -> Result<(), Error> {
    match version.parse::<u64>() {
        Ok(VERSION) => Ok(()),
        Ok(newer) if newer > VERSION => Err(Error::newer(version)),
        _ => Err(Error::damaged(format!(
            "its head: the version `{}` is not a whole number from 1",
            canonical::short(version)
        ))),
    }
}

/// Steps through the whole text; what was found before a fault stays in the parts.
fn take_apart<'t>(text: &'t str, parts: &mut Parts<'t>) -> Result<(), canonical::Fault> {
    let mut scan = Scan::new(text);
    scan.space();
    if !scan.step(b'{') {
        return Err(scan.fault("`{`"));
    }
    scan.space();
    if !scan.step(b'}') {
        loop {
            scan.space();
            let key = scan.key()?;
            let name = scan.decode(key);
            if parts.top.iter().any(|(member, _)| member.key == name) {
                return Err(canonical::Fault {
                    at: key.0,
                    why: canonical::Why::Twice(name.into_owned()),
                });
            }
            scan.canonical = true;
            let value = if name == "entries" && scan.peek() == Some(b'[') {
                let from = scan.at();
                parts.entries = Some(entries(&mut scan)?);
                from..scan.at()
            } else {
                scan.value(1)?
            };
            let member = Member {
                key: name,
                whole: key.0..value.end,
                value,
            };
            parts.top.push((member, scan.canonical));
            scan.space();
            if scan.step(b'}') {
                break;
            }
            if !scan.step(b',') {
                return Err(scan.fault("`,` or `}`"));
            }
        }
    }
    scan.end()
}

fn entries<'t>(scan: &mut Scan<'t>) -> Result<Vec<Place<'t>>, canonical::Fault> {
    let mut places = Vec::new();
    scan.step(b'[');
    scan.space();
    if scan.step(b']') {
        return Ok(places);
    }
    loop {
        scan.space();
        let from = scan.at();
        scan.canonical = true;
        let members = scan.members(2)?;
        places.push(Place {
            whole: from..scan.at(),
            members,
            canonical: scan.canonical,
        });
        scan.space();
        if scan.step(b']') {
            return Ok(places);
        }
        if !scan.step(b',') {
            return Err(scan.fault("`,` or `]`"));
        }
    }
}

/// The digest as the file should state it.
fn digest_of(text: &str, parts: &Parts<'_>, entries: &[Entry]) -> String {
    let mut top: Vec<&(Member<'_>, bool)> = parts
        .top
        .iter()
        .filter(|(member, _)| member.key != "digest")
        .collect();
    top.sort_by_cached_key(|(member, _)| member.key.encode_utf16().collect::<Vec<u16>>());
    let mut digest = Sha256::new();
    for (i, (member, canonical)) in top.into_iter().enumerate() {
        digest.update(if i == 0 { "{" } else { "," });
        digest.update(canonical::text_of(&member.key));
        digest.update(":");
        let value = &text[member.value.clone()];
        if member.key == "entries" {
            let places = parts.entries.as_deref().unwrap_or_default();
            digest.update("[");
            for (i, (place, entry)) in places.iter().zip(entries).enumerate() {
                if i > 0 {
                    digest.update(",");
                }
                if place.canonical {
                    digest.update(&text[place.whole.clone()]);
                } else {
                    digest.update(entry.text_with_id());
                }
            }
            digest.update("]");
        } else if *canonical {
            digest.update(value);
        } else {
            let value: Value = serde_json::from_str(value).unwrap_or_default();
            digest.update(canonical::text_of(&value));
        }
    }
    digest.update("}");
    stated(digest)
}
