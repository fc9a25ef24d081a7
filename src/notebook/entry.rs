//! One immutable revision of one record. Its id is the SHA-256 of its canonical text, so an altered entry shows.

use std::borrow::{Borrow, Cow};
use std::fmt;
use std::hash::{BuildHasherDefault, Hash, Hasher};
use std::ops::Range;
use std::str::FromStr;
use std::sync::{Arc, OnceLock};

use serde::de::{self, IgnoredAny};
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use serde_json::Value;
use sha2::{Digest, Sha256};

use super::canonical::{self, Fault, Member, Scan};
use super::record::Body;

/// The largest whole number that JSON keeps exactly (RFC 8785, RFC 7493).
const LARGEST_COUNTER: u64 = (1 << 53) - 1;

/// The SHA-256 of an entry's canonical text; written as 64 hexadecimal digits, lower case.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct EntryId([u8; 32]);

/// An id is a hash already: some of its bytes tell it from others as well as all.
impl Hash for EntryId {
    fn hash<H: Hasher>(&self, state: &mut H) {
        let [a, b, c, d, e, f, g, h, ..] = self.0;
        state.write_u64(u64::from_le_bytes([a, b, c, d, e, f, g, h]));
    }
}

/// Takes what an id gives it as it is.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct AsGiven(u64);

impl Hasher for AsGiven {
    fn write(&mut self, bytes: &[u8]) {
        for byte in bytes {
            self.0 = self.0.rotate_left(8) ^ u64::from(*byte);
        }
    }

    fn write_u64(&mut self, number: u64) {
        self.0 = number;
    }

    fn finish(&self) -> u64 {
        self.0
    }
}

/// How tables by id are built.
pub(super) type ById = BuildHasherDefault<AsGiven>;

impl EntryId {
    fn of(text: &str) -> Self {
        Self(Sha256::digest(text.as_bytes()).into())
    }

    fn write(self, text: &mut String) {
        const DIGITS: &[u8; 16] = b"0123456789abcdef";
        for byte in self.0 {
            text.push(char::from(DIGITS[usize::from(byte >> 4)]));
            text.push(char::from(DIGITS[usize::from(byte & 15)]));
        }
    }
}

impl fmt::Display for EntryId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut hex = String::with_capacity(64);
        self.write(&mut hex);
        f.write_str(&hex)
    }
}

impl fmt::Debug for EntryId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(self, f)
    }
}

impl FromStr for EntryId {
    type Err = Error;

    /// Reads 64 hexadecimal digits in lower case; anything else is an error.
    fn from_str(text: &str) -> Result<Self, Error> {
        let wrong = || Error {
            what: What::Shape(format!(
                "the id `{}` is not 64 hexadecimal digits in lower case",
                canonical::short(text)
            )),
            record: None,
        };
        let digit = |byte: u8| match byte {
            b'0'..=b'9' => Ok(byte - b'0'),
            b'a'..=b'f' => Ok(byte - b'a' + 10),
            _ => Err(wrong()),
        };
        let digits = text.as_bytes();
        if digits.len() != 64 {
            return Err(wrong());
        }
        let mut id = [0; 32];
        for (byte, pair) in id.iter_mut().zip(digits.chunks_exact(2)) {
            *byte = digit(pair[0])? << 4 | digit(pair[1])?;
        }
        Ok(Self(id))
    }
}

impl Serialize for EntryId {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for EntryId {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Hex;
        impl de::Visitor<'_> for Hex {
            type Value = EntryId;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("an id of 64 hexadecimal digits in lower case")
            }
            fn visit_str<E: de::Error>(self, text: &str) -> Result<EntryId, E> {
                text.parse().map_err(E::custom)
            }
        }
        deserializer.deserialize_str(Hex)
    }
}

/// The name of a record, given by the caller: a UUID as text.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct RecordId(Arc<str>);

impl RecordId {
    /// The name as text.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl From<&str> for RecordId {
    fn from(text: &str) -> Self {
        Self(text.into())
    }
}

impl From<String> for RecordId {
    fn from(text: String) -> Self {
        Self(text.into())
    }
}

impl Borrow<str> for RecordId {
    fn borrow(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for RecordId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl fmt::Debug for RecordId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Debug::fmt(&self.0, f)
    }
}

impl Serialize for RecordId {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.0)
    }
}

impl<'de> Deserialize<'de> for RecordId {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        String::deserialize(deserializer).map(Self::from)
    }
}

/// Who made an entry, on what and when. The counter orders a device's own entries; the clock only says what it showed.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Stamp {
    /// The person's initials.
    pub by: String,
    /// The device's name, a UUID as text; empty in an entry that every device computes for itself.
    pub device: String,
    /// Counts the device's entries from 1.
    pub counter: u64,
    /// What the clock showed, RFC 3339 with its offset.
    pub at: String,
}

/// What a person, or the book itself, did.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Act {
    /// Wrote a record for the first time.
    Write,
    /// Changed something of it.
    Correct,
    /// Withdrew it; it stays legible.
    StrikeOut,
    /// Took the strike-out back.
    PutBack,
    /// Took the device's last act back.
    Undo,
    /// Did again what was undone.
    Redo,
    /// Took one of a doubt's choices.
    Accept,
    /// Chose between two versions of the same field.
    Settle,
    /// Had its north or its set-up put right afterwards; the dials stay as read.
    Reset,
    /// Gave a station another number, where two had one.
    Renumber,
    /// Tied a station to another that is the same outcrop, or said that it is another.
    Tie,
    /// Was brought in by a table, with all that the table brought.
    BringIn,
    /// The book itself put together two changes of different fields.
    Merge,
    /// An act of a newer version, by its name.
    #[serde(untagged)]
    Other(String),
}

impl Act {
    /// The act of a name as it stands in a file.
    fn from_word(word: Cow<'_, str>) -> Self {
        match &*word {
            "write" => Self::Write,
            "correct" => Self::Correct,
            "strike-out" => Self::StrikeOut,
            "put-back" => Self::PutBack,
            "undo" => Self::Undo,
            "redo" => Self::Redo,
            "accept" => Self::Accept,
            "settle" => Self::Settle,
            "reset" => Self::Reset,
            "renumber" => Self::Renumber,
            "tie" => Self::Tie,
            "bring-in" => Self::BringIn,
            "merge" => Self::Merge,
            _ => Self::Other(word.into_owned()),
        }
    }
}

/// One immutable revision of one record; a cheap handle, cloned freely.
#[derive(Clone)]
pub struct Entry(Arc<Inner>);

struct Inner {
    id: EntryId,
    text: Box<str>,
    spots: Spots,
    head: Head,
    /// Boxed, because in a long book most bodies are never looked at twice.
    body: OnceLock<Option<Box<Body>>>,
}

/// Where things stand in an entry's text.
#[derive(Clone, Copy)]
struct Spots {
    /// Where the id belongs in a book file.
    id: usize,
    /// The body; empty when struck out.
    body: (usize, usize),
}

impl Spots {
    /// Where things stand in a text of which these members were found.
    fn of(text: &str, members: &[Member<'_>]) -> Self {
        let after = members.iter().find(|member| &*member.key > "id");
        let body = members.iter().find(|member| member.key == "body");
        Self {
            id: after.map_or(1, |member| member.whole.start),
            body: body.map_or((0, 0), |member| match &text[member.value.clone()] {
                "null" => (0, 0),
                _ => (member.value.start, member.value.end),
            }),
        }
    }

    /// The same in the text without the stretch from `cut` on, which stands where the id belongs.
    ///
    /// # Degenerate input
    /// What has no place, in an entry that lacks what every entry has, keeps the beginning; such an entry is refused afterwards.
    fn moved_to(self, from: usize, cut: &Range<usize>) -> Self {
        let moved = |at: usize| match at {
            at if at >= cut.end => at.saturating_sub(from + cut.len()),
            at => at.saturating_sub(from),
        };
        Self {
            id: moved(self.id),
            body: match self.body {
                (0, 0) => (0, 0),
                (start, end) => (moved(start), moved(end)),
            },
        }
    }
}

/// Everything of an entry but its body.
#[derive(Serialize, Deserialize)]
struct Head {
    record: RecordId,
    supersedes: Vec<EntryId>,
    stamp: Stamp,
    act: Act,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    why: Option<String>,
}

#[derive(Serialize)]
struct Whole<'a, B> {
    #[serde(flatten)]
    head: &'a Head,
    body: Option<&'a B>,
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

impl Entry {
    /// Makes an entry; a body of `None` says that the record is struck out.
    ///
    /// # Degenerate input
    /// The superseded ids are sorted and each is kept once. A position that is not a finite number is left out.
    pub fn new(
        record: RecordId,
        supersedes: impl IntoIterator<Item = EntryId>,
        stamp: Stamp,
        act: Act,
        why: Option<String>,
        body: Option<Body>,
    ) -> Self {
        let mut supersedes: Vec<EntryId> = supersedes.into_iter().collect();
        supersedes.sort_unstable();
        supersedes.dedup();
        let head = Head {
            record,
            supersedes,
            stamp: Stamp {
                counter: stamp.counter.min(LARGEST_COUNTER),
                ..stamp
            },
            act,
            why,
        };
        let body = body.map(Body::finite);
        let text = canonical::text_of(&Whole {
            head: &head,
            body: body.as_ref(),
        });
        Self::written(head, text, OnceLock::from(body.map(Box::new)))
    }

    /// The entry of a text that was just written.
    fn written(head: Head, text: String, body: OnceLock<Option<Box<Body>>>) -> Self {
        let members = Scan::new(&text).members(0).unwrap_or_default();
        Self(Arc::new(Inner {
            id: EntryId::of(&text),
            spots: Spots::of(&text, &members),
            text: text.into_boxed_str(),
            head,
            body,
        }))
    }

    /// Makes an entry of a body as it stands in a file, every field of it, known to this version or not.
    pub(super) fn with_raw_body(
        record: RecordId,
        supersedes: [EntryId; 2],
        stamp: Stamp,
        act: Act,
        body: Option<Value>,
    ) -> Self {
        let mut supersedes = supersedes.to_vec();
        supersedes.sort_unstable();
        let head = Head {
            record,
            supersedes,
            stamp,
            act,
            why: None,
        };
        let text = canonical::text_of(&Whole {
            head: &head,
            body: body.as_ref(),
        });
        let body = body.map_or_else(|| OnceLock::from(None), |_| OnceLock::new());
        Self::written(head, text, body)
    }

    /// Reads an entry with or without its id, in canonical form or not.
    ///
    /// # Errors
    /// When the text is not JSON, is not an entry, or does not match the id it gives.
    pub fn from_json(text: &str) -> Result<Self, Error> {
        let mut scan = Scan::new(text);
        scan.space();
        scan.canonical = true;
        let members = scan.members(0).map_err(Error::from)?;
        let canonical = scan.canonical;
        scan.end().map_err(Error::from)?;
        Self::from_members(text, &members, canonical)
    }

    /// Reads an entry whose members were already found in a larger text.
    pub(crate) fn from_members(
        text: &str,
        members: &[Member<'_>],
        canonical: bool,
    ) -> Result<Self, Error> {
        Self::checked(text, members, canonical).map_err(|error| {
            let record = members.iter().find(|member| member.key == "record");
            let record =
                record.and_then(|member| serde_json::from_str(&text[member.value.clone()]).ok());
            Error { record, ..error }
        })
    }

    fn checked(text: &str, members: &[Member<'_>], canonical: bool) -> Result<Self, Error> {
        let stated = members.iter().position(|member| member.key == "id");
        let stated_id: Option<EntryId> = stated
            .map(|index| stated_id(&text[members[index].value.clone()]))
            .transpose()?;
        let matches = |text: &str| {
            let id = EntryId::of(text);
            match stated_id {
                Some(stated) if stated != id => Err(Error {
                    what: What::Altered,
                    record: None,
                }),
                _ => Ok(id),
            }
        };
        if !canonical {
            let from = members.first().map_or(0, |member| member.whole.start);
            let to = members.last().map_or(from, |member| member.whole.end);
            let mut value: Value = serde_json::from_str(&format!("{{{}}}", &text[from..to]))
                .map_err(|error| shape(format!("it cannot be read: {error}")))?;
            if let Value::Object(fields) = &mut value {
                fields.remove("id");
            }
            let text = canonical::text_of(&value);
            return Self::with_trusted_id(matches(&text)?, text);
        }
        let (from, to) = span(members);
        let cut = stated.map_or(0..0, |index| cut(members, index));
        let mut rest = String::with_capacity(to - from - cut.len());
        rest.push_str(&text[from..cut.start.max(from)]);
        rest.push_str(&text[cut.end.max(from)..to]);
        let id = matches(&rest)?;
        let spots = Spots::of(text, members).moved_to(from, &cut);
        Self::assembled(id, head(text, members), spots, rest)
    }

    /// Takes an entry from where it was kept under its id, without computing the id again.
    ///
    /// # Errors
    /// When the text is not an entry.
    pub fn with_trusted_id(id: EntryId, text: String) -> Result<Self, Error> {
        let mut scan = Scan::new(&text);
        let members = scan.members(0)?;
        scan.end()?;
        let (head, spots) = (head(&text, &members), Spots::of(&text, &members));
        Self::assembled(id, head, spots, text)
    }

    /// Puts an entry together; a head that could not be read at a glance is read by the book.
    fn assembled(
        id: EntryId,
        head: Option<Head>,
        spots: Spots,
        text: String,
    ) -> Result<Self, Error> {
        let head = match head {
            Some(head) => head,
            None => {
                let kept: Kept =
                    serde_json::from_str(&text).map_err(|error| shape(plain(&error)))?;
                if kept.stamp.counter > LARGEST_COUNTER {
                    return Err(shape(format!(
                        "its counter `{}` is over {LARGEST_COUNTER}",
                        kept.stamp.counter
                    )));
                }
                let _ = kept.body;
                Head {
                    record: kept.record,
                    supersedes: kept.supersedes,
                    stamp: kept.stamp,
                    act: kept.act,
                    why: kept.why,
                }
            }
        };
        let body = match spots.body {
            (0, 0) => OnceLock::from(None),
            _ => OnceLock::new(),
        };
        Ok(Self(Arc::new(Inner {
            id,
            text: text.into_boxed_str(),
            spots,
            head,
            body,
        })))
    }

    /// Whether this is the entry that stands in a text at these members, id and all.
    pub(crate) fn stands_at(&self, text: &str, members: &[Member<'_>], index: usize) -> bool {
        let ((from, to), cut) = (span(members), cut(members, index));
        let (before, after) = (&text[from..cut.start], &text[cut.end..to]);
        let own = &*self.0.text;
        own.len() == before.len() + after.len() && own.starts_with(before) && own.ends_with(after)
    }

    /// How long this entry is at the beginning of a text, id and all, where it stands there word for word.
    pub(crate) fn begins(&self, text: &str) -> Option<usize> {
        let (before, after) = self.0.text.split_at(self.0.spots.id);
        let rest = text.strip_prefix(before)?.strip_prefix("\"id\":\"")?;
        let (id, rest) = rest.split_at_checked(64)?;
        let rest = rest.strip_prefix("\",")?;
        let stands = rest.starts_with(after) && id.parse() == Ok(self.0.id);
        stands.then(|| text.len() - rest.len() + after.len())
    }

    /// The SHA-256 of [`Entry::text`].
    pub fn id(&self) -> EntryId {
        self.0.id
    }

    /// The record it is a revision of.
    pub fn record(&self) -> &RecordId {
        &self.0.head.record
    }

    /// The ids it takes the place of.
    pub fn supersedes(&self) -> &[EntryId] {
        &self.0.head.supersedes
    }

    /// Who, on what, when.
    pub fn stamp(&self) -> &Stamp {
        &self.0.head.stamp
    }

    /// What was done.
    pub fn act(&self) -> &Act {
        &self.0.head.act
    }

    /// Why, where a person said so.
    pub fn why(&self) -> Option<&str> {
        self.0.head.why.as_deref()
    }

    /// The record's whole new content; `None` when struck out. Read from the text at first use.
    pub fn body(&self) -> Option<&Body> {
        self.0
            .body
            .get_or_init(|| {
                self.body_span()
                    .map(|text| Box::new(Body::from_object(text)))
            })
            .as_deref()
    }

    /// Looks at the body without keeping what was read of it: for passing over a whole book once.
    pub(super) fn glance<T>(&self, look: impl FnOnce(Option<&Body>) -> T) -> T {
        match self.0.body.get() {
            Some(body) => look(body.as_deref()),
            None => look(self.body_span().map(Body::from_object).as_ref()),
        }
    }

    /// The kind of its record by its name in a file, without reading the body; empty when struck out.
    pub fn kind(&self) -> &str {
        let text = self.body_text().unwrap_or_default();
        let name = text.strip_prefix("{\"").unwrap_or_default();
        name.split('"').next().unwrap_or_default()
    }

    /// True when it withdraws its record.
    pub fn strikes_out(&self) -> bool {
        matches!(self.0.body.get(), Some(None))
    }

    /// The canonical text without the id: what is kept under the id.
    pub fn text(&self) -> &str {
        &self.0.text
    }

    /// The canonical text of the body as it was written; `None` when struck out.
    pub(crate) fn body_text(&self) -> Option<&str> {
        if self.strikes_out() {
            None
        } else {
            self.body_span()
        }
    }

    fn body_span(&self) -> Option<&str> {
        match self.0.spots.body {
            (0, 0) => None,
            (start, end) => self.0.text.get(start..end),
        }
    }

    /// The canonical text with the id: what stands in a book file.
    pub fn text_with_id(&self) -> String {
        let mut text = String::with_capacity(self.0.text.len() + 72);
        self.write_with_id(&mut text);
        text
    }

    /// Writes [`Entry::text_with_id`] at the end of a longer text.
    pub(crate) fn write_with_id(&self, text: &mut String) {
        let (before, after) = self.0.text.split_at(self.0.spots.id);
        text.push_str(before);
        text.push_str("\"id\":\"");
        self.0.id.write(text);
        text.push_str("\",");
        text.push_str(after);
    }
}

/// From the brace before the first member to that behind the last.
fn span(members: &[Member<'_>]) -> (usize, usize) {
    match (members.first(), members.last()) {
        (Some(first), Some(last)) => (first.whole.start - 1, last.whole.end + 1),
        _ => (0, 0),
    }
}

/// The stretch that a member takes up, its comma included.
fn cut(members: &[Member<'_>], index: usize) -> Range<usize> {
    match (index.checked_sub(1), members.get(index + 1)) {
        (_, Some(next)) => members[index].whole.start..next.whole.start,
        (Some(before), None) => members[before].whole.end..members[index].whole.end,
        (None, None) => members[index].whole.clone(),
    }
}

fn shape(what: String) -> Error {
    Error {
        what: What::Shape(what),
        record: None,
    }
}

/// The id that stands as a JSON string.
pub(crate) fn stated_id(text: &str) -> Result<EntryId, Error> {
    let digits = text.strip_prefix('"').and_then(|t| t.strip_suffix('"'));
    if let Some(id) = digits.and_then(|digits| digits.parse().ok()) {
        return Ok(id);
    }
    serde_json::from_str(text)
        .map_err(|_| shape("its id is not 64 hexadecimal digits in lower case".to_owned()))
}

/// Reads the head where everything stands as this version writes it; else `None`, and it is read by the book.
fn head(text: &str, members: &[Member<'_>]) -> Option<Head> {
    let value = |key: &str| {
        let member = members.iter().find(|member| member.key == key)?;
        Some(&text[member.value.clone()])
    };
    let body = value("body")?;
    if !(body == "null" || body.starts_with('{')) {
        return None;
    }
    Some(Head {
        record: RecordId(string(value("record")?)?.into()),
        supersedes: ids(value("supersedes")?)?,
        stamp: stamp(value("stamp")?)?,
        act: Act::from_word(string(value("act")?)?),
        why: match value("why") {
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

fn stamp(text: &str) -> Option<Stamp> {
    let members = Scan::new(text).members(0).ok()?;
    let value = |key: &str| {
        let member = members.iter().find(|member| member.key == key)?;
        Some(&text[member.value.clone()])
    };
    let counter = value("counter")?;
    Some(Stamp {
        by: string(value("by")?)?.into_owned(),
        device: string(value("device")?)?.into_owned(),
        counter: counter.parse().ok().filter(|&c| c <= LARGEST_COUNTER)?,
        at: string(value("at")?)?.into_owned(),
    })
}

/// A parser's message in our manner: without its own line and column, which are those of an inner text.
fn plain(error: &serde_json::Error) -> String {
    let message = error.to_string();
    let end = message.rfind(" at line ").unwrap_or(message.len());
    format!("it is not an entry: {}", &message[..end])
}

impl PartialEq for Entry {
    fn eq(&self, other: &Self) -> bool {
        self.0.id == other.0.id
    }
}

impl Eq for Entry {}

impl fmt::Debug for Entry {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0.text)
    }
}

/// Why a text is not an entry.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Error {
    what: What,
    record: Option<RecordId>,
}

#[derive(Clone, Debug, PartialEq, Eq)]
enum What {
    NotJson(Fault),
    Shape(String),
    Altered,
}

impl Error {
    /// An entry in a file must state its id.
    pub(crate) fn without_id(entry: &Entry) -> Self {
        Self {
            what: What::Shape("it does not state its id".to_owned()),
            record: Some(entry.record().clone()),
        }
    }

    /// The text was changed after the id was computed.
    pub fn is_altered(&self) -> bool {
        matches!(self.what, What::Altered)
    }

    /// The text is not JSON, or JSON that ordinary readers disagree about.
    pub fn is_not_json(&self) -> bool {
        matches!(self.what, What::NotJson(_))
    }

    /// The record the entry names, where that much could be read.
    pub fn record(&self) -> Option<&RecordId> {
        self.record.as_ref()
    }
}

impl From<Fault> for Error {
    fn from(fault: Fault) -> Self {
        Self {
            what: What::NotJson(fault),
            record: None,
        }
    }
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.what {
            What::NotJson(fault) => write!(f, "{} at byte {}", fault.why, fault.at),
            What::Shape(what) => f.write_str(what),
            What::Altered => f.write_str(
                "it was changed after it was written: its id does not match its content",
            ),
        }
    }
}

impl std::error::Error for Error {}
