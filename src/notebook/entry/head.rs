//! An entry's head, read from where its members stand: what a book of thousands is opened by.

use std::borrow::Cow;
use std::fmt;
use std::ops::Range;

use serde::de::{self, IgnoredAny};
use serde::{Deserialize, Deserializer, Serialize};

use super::{Act, EntryId, Error, LARGEST_COUNTER, RecordId, Stamp};
use crate::notebook::canonical::Member;

/// Everything of an entry but its body.
#[derive(Serialize, Deserialize)]
pub(super) struct Head {
    pub(super) record: RecordId,
    pub(super) supersedes: Vec<EntryId>,
    pub(super) stamp: Stamp,
    pub(super) act: Act,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(super) why: Option<String>,
}

/// What is read at once of an entry that was kept; its body is read when it is asked for.
#[derive(Deserialize)]
struct Kept {
    record: RecordId,
    supersedes: Vec<EntryId>,
    stamp: Stamp,
    act: Act,
    #[serde(default)]
    why: Option<String>,
    #[serde(deserialize_with = "object_or_null")]
    body: Option<AnyObject>,
}

struct AnyObject;

fn object_or_null<'de, D: Deserializer<'de>>(
    deserializer: D,
) -> Result<Option<AnyObject>, D::Error> {
    Option::deserialize(deserializer)
}

impl<'de> Deserialize<'de> for AnyObject {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Members;
        impl<'de> de::Visitor<'de> for Members {
            type Value = AnyObject;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("a body that is an object or null")
            }
            fn visit_map<A: de::MapAccess<'de>>(self, mut map: A) -> Result<AnyObject, A::Error> {
                while map.next_entry::<IgnoredAny, IgnoredAny>()?.is_some() {}
                Ok(AnyObject)
            }
        }
        deserializer.deserialize_map(Members)
    }
}

/// Reads the head however it stands.
pub(super) fn by_the_book(text: &str) -> Result<Head, Error> {
    let kept: Kept = serde_json::from_str(text).map_err(|error| Error::shape(plain(&error)))?;
    if kept.stamp.counter > LARGEST_COUNTER {
        return Err(Error::shape(format!(
            "its counter `{}` is over {LARGEST_COUNTER}",
            kept.stamp.counter
        )));
    }
    let _ = kept.body;
    Ok(Head {
        record: kept.record,
        supersedes: kept.supersedes,
        stamp: kept.stamp,
        act: kept.act,
        why: kept.why,
    })
}

/// Reads the head where everything stands as this version writes it; else `None`, and it is read by the book.
pub(super) fn at_a_glance(text: &str, members: &[Member<'_>]) -> Option<Head> {
    let [mut act, mut body, mut record] = [None; 3];
    let [mut stamp, mut supersedes, mut why] = [None; 3];
    for member in members {
        let place = match &*member.key {
            "act" => &mut act,
            "body" => &mut body,
            "record" => &mut record,
            "stamp" => &mut stamp,
            "supersedes" => &mut supersedes,
            "why" => &mut why,
            _ => continue,
        };
        *place = Some(&text[member.value.clone()]);
    }
    let body = body?;
    if !(body == "null" || body.starts_with('{')) {
        return None;
    }
    Some(Head {
        record: RecordId::from(&*string(record?)?),
        supersedes: ids(supersedes?)?,
        stamp: stamp_at_a_glance(stamp?)?,
        act: Act::from_word(string(act?)?),
        why: match why {
            None | Some("null") => None,
            Some(why) => Some(string(why)?.into_owned()),
        },
    })
}

/// What a JSON string says; `None` where it is none.
fn string(text: &str) -> Option<Cow<'_, str>> {
    let inner = text.strip_prefix('"')?.strip_suffix('"')?;
    if inner.contains('\\') {
        serde_json::from_str(text).ok().map(Cow::Owned)
    } else {
        Some(Cow::Borrowed(inner))
    }
}

/// A list of ids without spaces.
fn ids(text: &str) -> Option<Vec<EntryId>> {
    let inner = text.strip_prefix('[')?.strip_suffix(']')?;
    if inner.is_empty() {
        return Some(Vec::new());
    }
    inner
        .split(',')
        .map(|id| id.strip_prefix('"')?.strip_suffix('"')?.parse().ok())
        .collect()
}

/// A stamp with its own members and no others, in canonical order, and nothing escaped in it.
fn stamp_at_a_glance(text: &str) -> Option<Stamp> {
    let (at, rest) = text.strip_prefix("{\"at\":\"")?.split_once('"')?;
    let (by, rest) = rest.strip_prefix(",\"by\":\"")?.split_once('"')?;
    let (counter, rest) = rest.strip_prefix(",\"counter\":")?.split_once(',')?;
    let device = rest.strip_prefix("\"device\":\"")?.strip_suffix("\"}")?;
    if device.contains('"') || text.contains('\\') {
        return None;
    }
    Some(Stamp {
        by: by.to_owned(),
        device: device.to_owned(),
        counter: counter.parse().ok().filter(|&c| c <= LARGEST_COUNTER)?,
        at: at.to_owned(),
    })
}

/// From the brace before the first member to that behind the last.
pub(super) fn span(members: &[Member<'_>]) -> (usize, usize) {
    match (members.first(), members.last()) {
        (Some(first), Some(last)) => (first.whole.start - 1, last.whole.end + 1),
        _ => (0, 0),
    }
}

/// The stretch that a member takes up, its comma included.
pub(super) fn cut(members: &[Member<'_>], index: usize) -> Range<usize> {
    match (index.checked_sub(1), members.get(index + 1)) {
        (_, Some(next)) => members[index].whole.start..next.whole.start,
        (Some(before), None) => members[before].whole.end..members[index].whole.end,
        (None, None) => members[index].whole.clone(),
    }
}

/// A parser's message in our manner: without its own line and column, which are those of an inner text.
fn plain(error: &serde_json::Error) -> String {
    let message = error.to_string();
    let end = message.rfind(" at line ").unwrap_or(message.len());
    format!("it is not an entry: {}", &message[..end])
}
