//! An entry's head, read however its members stand, and where they stand.

use std::fmt;
use std::ops::Range;

use serde::de::{self, IgnoredAny};
use serde::{Deserialize, Deserializer, Serialize};
use serde_json::{Map, Value};

use super::{Act, EntryId, Error, LARGEST_COUNTER, RecordId, Stamp};
use crate::notebook::canonical::{self, Member};

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
    let kept: Kept = serde_json::from_str(text).map_err(|_| Error::shape(fault(text)))?;
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

/// What of an entry has another form than an entry's, in our words: a parser's own are for those who write one.
fn fault(text: &str) -> String {
    let entry: Map<String, Value> = serde_json::from_str(text).unwrap_or_default();
    let none = Map::new();
    let stamp = entry.get("stamp").and_then(Value::as_object);
    let stamp = stamp.unwrap_or(&none);
    type Holds = fn(&Value) -> bool;
    let is_text: Holds = Value::is_string;
    let is_body: Holds = |value| value.is_object() || value.is_null();
    let is_why: Holds = |value| value.is_string() || value.is_null();
    let are_ids: Holds = |value| {
        let is_id = |id: &Value| id.as_str().is_some_and(|id| id.parse::<EntryId>().is_ok());
        value.as_array().is_some_and(|ids| ids.iter().all(is_id))
    };
    let no_why = Value::Null;
    let members = [
        ("record", entry.get("record"), is_text, "a text"),
        (
            "supersedes",
            entry.get("supersedes"),
            are_ids,
            "a list of ids of 64 hexadecimal digits in lower case",
        ),
        ("stamp", entry.get("stamp"), Value::is_object, "an object"),
        ("by", stamp.get("by"), is_text, "a text"),
        ("device", stamp.get("device"), is_text, "a text"),
        (
            "counter",
            stamp.get("counter"),
            Value::is_u64,
            "a whole number from 0 on",
        ),
        ("at", stamp.get("at"), is_text, "a text"),
        ("act", entry.get("act"), is_text, "a text"),
        ("why", entry.get("why").or(Some(&no_why)), is_why, "a text"),
        ("body", entry.get("body"), is_body, "an object or null"),
    ];
    for (name, value, holds, wanted) in members {
        match value {
            None => return format!("it is not an entry: it has no `{name}`"),
            Some(value) if !holds(value) => {
                return format!(
                    "it is not an entry: its {name} `{}` is not {wanted}",
                    canonical::short(&value.to_string())
                );
            }
            Some(_) => {}
        }
    }
    "it is not an entry: something in it has another form".to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_no_entry_is_told_without_a_parsers_words() {
        let entry = r#"{"act":"write","body":null,"record":"r","stamp":{"at":"t","by":"Q.V.","counter":1,"device":"d"},"supersedes":[]}"#;
        assert!(by_the_book(entry).is_ok());
        for (from, to, words) in [
            (
                "\"body\":null",
                "\"body\":[1]",
                "its body `[1]` is not an object or null",
            ),
            (
                "\"counter\":1",
                "\"counter\":-1",
                "its counter `-1` is not a whole number from 0 on",
            ),
            (
                "\"supersedes\":[]",
                "\"supersedes\":[\"x\"]",
                "its supersedes `[\"x\"]` is not a list of ids of 64 hexadecimal digits in lower case",
            ),
            ("\"act\":\"write\",", "", "it has no `act`"),
            ("\"by\":\"Q.V.\"", "\"by\":7", "its by `7` is not a text"),
        ] {
            let Err(error) = by_the_book(&entry.replace(from, to)) else {
                panic!("{to} is an entry");
            };
            assert_eq!(error.to_string(), format!("it is not an entry: {words}"));
        }
    }
}
