//! One immutable revision of one record. Its id is the SHA-256 of its canonical text, so an altered entry shows.

mod error;
mod glance;
mod head;
mod id;
mod stamp;

use std::fmt;
use std::ops::Range;
use std::sync::{Arc, OnceLock};

use serde::Serialize;
use serde_json::Value;

use super::canonical::{self, Member, Scan};
use super::record::Body;
pub use error::Error;
use head::{Head, cut, span};
pub(super) use id::ById;
pub use id::{EntryId, RecordId};
pub(crate) use id::{in_digits, stated_id};
pub use stamp::{Act, Stamp};

/// The largest whole number that JSON keeps exactly (RFC 8785, RFC 7493).
const LARGEST_COUNTER: u64 = (1 << 53) - 1;

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

#[derive(Serialize)]
struct Whole<'a, B> {
    #[serde(flatten)]
    head: &'a Head,
    body: Option<&'a B>,
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
            error.of_record(record)
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
                Some(stated) if stated != id => Err(Error::altered()),
                _ => Ok(id),
            }
        };
        if !canonical {
            let from = members.first().map_or(0, |member| member.whole.start);
            let to = members.last().map_or(from, |member| member.whole.end);
            let mut value: Value = serde_json::from_str(&format!("{{{}}}", &text[from..to]))
                .map_err(|error| Error::shape(format!("it cannot be read: {error}")))?;
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
        Ok(Self::put_together(
            id,
            head::by_the_book(&rest)?,
            spots,
            rest,
        ))
    }

    /// The entry that a text begins with, its id stated and found right, and its length there; `None` where it does not stand as
    /// this version writes it, or is none: then it is read member by member, which also tells what is wrong.
    pub(crate) fn at_the_beginning(text: &str) -> Option<(Self, usize)> {
        let seen = glance::glance(text)?;
        let (stated, cut) = seen.stated?;
        let mut rest = String::with_capacity(seen.end - cut.len());
        rest.push_str(text.get(..cut.start)?);
        rest.push_str(text.get(cut.end..seen.end)?);
        if EntryId::of(&rest) != stated {
            return None;
        }
        Some((
            Self::put_together(stated, seen.head, seen.spots, rest),
            seen.end,
        ))
    }

    /// Takes an entry from where it was kept under its id, without computing the id again.
    ///
    /// # Errors
    /// When the text is not an entry.
    pub fn with_trusted_id(id: EntryId, text: String) -> Result<Self, Error> {
        if let Some(seen) = glance::glance(&text)
            && seen.end == text.len()
            && seen.stated.is_none()
        {
            return Ok(Self::put_together(id, seen.head, seen.spots, text));
        }
        let mut scan = Scan::new(&text);
        let members = scan.members(0)?;
        scan.end()?;
        let (head, spots) = (head::by_the_book(&text)?, Spots::of(&text, &members));
        Ok(Self::put_together(id, head, spots, text))
    }

    fn put_together(id: EntryId, head: Head, spots: Spots, text: String) -> Self {
        let body = match spots.body {
            (0, 0) => OnceLock::from(None),
            _ => OnceLock::new(),
        };
        Self(Arc::new(Inner {
            id,
            text: text.into_boxed_str(),
            spots,
            head,
            body,
        }))
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
        let stands = rest.starts_with(after) && id.as_bytes() == self.0.id.digits();
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
