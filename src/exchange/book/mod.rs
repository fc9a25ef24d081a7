//! The book file: every entry of a ledger in one JSON text, with a digest that shows whether it arrived whole.
//!
//! What is read is all or nothing, and what is written reads back entry by entry, byte by byte.

mod digest;

mod foreign;

mod whole;

pub mod stream;

pub use whole::Pieces;

use std::fmt;

use serde::{Deserialize, Serialize};
use serde_json::{Map, Value};

use crate::notebook::canonical::{self, Fault};
use crate::notebook::join::Incoming;
use crate::notebook::{Beyond, Entry, Ledger, RecordId};

/// The newest version of the book file that is read and written.
pub const VERSION: u64 = 2;

/// Who wrote a book file, on what and when.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Written {
    /// What the clock showed, RFC 3339 with its offset.
    pub at: String,
    /// The person's initials.
    pub by: String,
    /// The device's name, a UUID as text.
    pub device: String,
}

/// A book file that arrived whole.
#[derive(Clone, Debug, PartialEq)]
pub struct BookFile {
    /// The version it is written in.
    pub version: u64,
    /// Who wrote it, on what and when.
    pub written: Written,
    /// Every entry, in the order of the file.
    pub entries: Vec<Entry>,
    /// What it goes beyond: where it is a part, the entries that were left out of it. Empty in a whole book.
    pub beyond: Vec<Beyond>,
    /// What else stands at its top level: carried by newer writers of the same version.
    pub more: Map<String, Value>,
}

impl BookFile {
    /// The book as one that is to be joined.
    pub fn incoming(&self) -> Incoming<'_> {
        Incoming {
            by: &self.written.by,
            device: &self.written.device,
            at: &self.written.at,
            entries: &self.entries,
            beyond: &self.beyond,
        }
    }
}

/// Writes a book file: one entry a line, in an order that depends on the entries alone.
pub fn write<'a>(entries: impl IntoIterator<Item = &'a Entry>, written: &Written) -> String {
    write_part(entries, written, &[])
}

/// Writes the file of a part: of entries that are new beyond others. Every version that reads a book reads it.
///
/// # Degenerate input
/// Beyond nothing it is the file of a whole book.
pub fn write_part<'a>(
    entries: impl IntoIterator<Item = &'a Entry>,
    written: &Written,
    beyond: &[Beyond],
) -> String {
    whole::write(entries.into_iter().collect(), written, beyond)
}

/// Writes the same file piece by piece, for a place that can hold one part of it while the next is made.
pub fn pieces(entries: Vec<Entry>, written: &Written, beyond: &[Beyond]) -> Pieces {
    Pieces::new(entries, written, beyond)
}

/// What the head of a book file says of it, before the rest is read: who wrote it and how many entries it has.
///
/// # Degenerate input
/// `None` where the text does not begin as a book file of this or an older version begins. Nothing of the rest is looked at.
pub fn head(start: &str) -> Option<(Written, usize)> {
    whole::head(start)
}

/// Reads a book file of this or an older version.
///
/// # Degenerate input
/// A byte order mark at the beginning is passed over. A book without entries is a book.
///
/// # Errors
/// When the text is not a book file, is not whole, or is newer than this version; the predicates of [`Error`] tell which.
pub fn read(text: &str) -> Result<BookFile, Error> {
    read_text(text, None)
}

fn read_text(text: &str, known: Option<&Ledger>) -> Result<BookFile, Error> {
    whole::read(text.strip_prefix('\u{feff}').unwrap_or(text), known)
}

/// Reads a book file from the bytes of a file.
///
/// # Errors
/// Like [`read`]; bytes that are no text are told apart from text that is damaged.
pub fn read_bytes(bytes: &[u8]) -> Result<BookFile, Error> {
    read_from(bytes, None)
}

/// Reads a book file beside a ledger: the same as [`read_bytes`], and quicker where most entries are in the ledger.
///
/// An entry whose id and text the ledger has is taken from there; every other one is checked against its id, and the whole
/// against its digest.
///
/// # Errors
/// Like [`read_bytes`].
pub fn read_beside(bytes: &[u8], known: &Ledger) -> Result<BookFile, Error> {
    read_from(bytes, Some(known))
}

fn read_from(bytes: &[u8], known: Option<&Ledger>) -> Result<BookFile, Error> {
    if let Some(kind) = foreign::by_its_first_bytes(bytes) {
        return Err(Error::foreign(kind));
    }
    match std::str::from_utf8(bytes) {
        Ok(text) => read_text(text, known),
        Err(error) => {
            let sound = error.valid_up_to();
            let text = String::from_utf8_lossy(&bytes[..sound]);
            let ours = !text.is_empty() && foreign::begins_like_a_book(&text);
            if ours || stream::begins_like_a_book(bytes) {
                // What a newer version holds there may be sound.
                if let Err(newer) = read_text(&text, None)
                    && newer.is_newer()
                {
                    return Err(newer);
                }
                let (line, column) = canonical::line_and_column(&text, sound);
                Err(Error::damaged(format!(
                    "line {line}, column {column}: the bytes there are no text (UTF-8)"
                )))
            } else {
                Err(Error::foreign("a file that is no text".to_owned()))
            }
        }
    }
}

/// The member that says what a part goes beyond.
const BEYOND: &str = "beyond";

/// Takes what a file goes beyond out of what stands beside its entries.
fn take_beyond(more: &mut Map<String, Value>) -> Result<Vec<Beyond>, Error> {
    let Some(value) = more.remove(BEYOND) else {
        return Ok(Vec::new());
    };
    let beyond: Vec<Beyond> = serde_json::from_value(value).map_err(|_| {
        Error::damaged("its head: `beyond` does not say count, digest and tablets".to_owned())
    })?;
    match beyond.iter().find_map(Beyond::fault) {
        Some(why) => Err(Error::damaged(format!("its head: `beyond`: {why}"))),
        None => Ok(beyond),
    }
}

/// Why a book file was not opened. Nothing of it was taken.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Error {
    what: What,
    record: Option<RecordId>,
}

#[derive(Clone, Debug, PartialEq, Eq)]
enum What {
    Empty,
    Foreign(String),
    Newer(String),
    Damaged(String),
    Altered(String),
    Unordered,
    Unread(String),
}

impl Error {
    fn foreign(looks_like: String) -> Self {
        Self {
            what: What::Foreign(looks_like),
            record: None,
        }
    }

    fn newer(version: &str) -> Self {
        Self {
            what: What::Newer(canonical::short(version).into_owned()),
            record: None,
        }
    }

    fn damaged(where_and_why: String) -> Self {
        Self {
            what: What::Damaged(where_and_why),
            record: None,
        }
    }

    fn altered(where_and_why: String, record: Option<RecordId>) -> Self {
        Self {
            what: What::Altered(where_and_why),
            record,
        }
    }

    /// The parts stand in an order that a stream cannot follow.
    fn unordered() -> Self {
        Self {
            what: What::Unordered,
            record: None,
        }
    }

    fn unread(at: u64, error: &std::io::Error) -> Self {
        Self {
            what: What::Unread(format!("at byte {at}: {error}")),
            record: None,
        }
    }

    fn fault(text: &str, fault: &Fault) -> Self {
        let (line, column) = canonical::line_and_column(text, fault.at);
        Self::damaged(format!("line {line}, column {column}: {}", fault.why))
    }

    /// Nothing is in the file.
    pub fn is_empty(&self) -> bool {
        matches!(self.what, What::Empty)
    }

    /// It is something else than a book file.
    pub fn is_foreign(&self) -> bool {
        matches!(self.what, What::Foreign(_) | What::Empty)
    }

    /// It is a book file of a version this one cannot read.
    pub fn is_newer(&self) -> bool {
        matches!(self.what, What::Newer(_))
    }

    /// It is a book file that did not arrive whole: cut off, altered, or broken.
    pub fn is_damaged(&self) -> bool {
        matches!(self.what, What::Damaged(_) | What::Altered(_))
    }

    /// Its content was changed after it was written.
    pub fn is_altered(&self) -> bool {
        matches!(self.what, What::Altered(_))
    }

    /// It cannot be read as a stream and has to be read whole.
    pub fn is_unordered(&self) -> bool {
        matches!(self.what, What::Unordered)
    }

    /// The file could not be read to its end.
    pub fn is_unread(&self) -> bool {
        matches!(self.what, What::Unread(_))
    }

    /// The record of the entry at fault, where one is.
    pub fn record(&self) -> Option<&RecordId> {
        self.record.as_ref()
    }
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.what {
            What::Empty => f.write_str(
                "the file is empty; it may not have been copied to the end: copy it again",
            ),
            What::Foreign(kind) => write!(
                f,
                "this is not a book file but {kind}; open a file that Camp's back-up wrote"
            ),
            What::Newer(version) => write!(
                f,
                "the book file has version `{version}`, this app reads up to {VERSION}; update the app and open it again"
            ),
            What::Damaged(why) => write!(
                f,
                "the book file is damaged at {why}; copy it again from where it was written, or open an earlier back-up"
            ),
            What::Unordered => f.write_str(
                "the parts of the book file stand in an order of their own; it is read whole",
            ),
            What::Unread(why) => write!(
                f,
                "the file could not be read {why}; copy it to another disk and open it there"
            ),
            What::Altered(why) => write!(
                f,
                "the book file was changed after it was written: {why}; copy it again from where it was written, or open an earlier back-up"
            ),
        }
    }
}

impl std::error::Error for Error {}
