//! What is at fault with a text that is no entry.

use std::fmt;

use super::{Entry, RecordId};
use crate::notebook::canonical::Fault;

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
    pub(super) fn shape(what: String) -> Self {
        Self {
            what: What::Shape(what),
            record: None,
        }
    }

    pub(super) fn altered() -> Self {
        Self {
            what: What::Altered,
            record: None,
        }
    }

    /// The same of an entry whose record could be read, or not.
    pub(super) fn of_record(self, record: Option<RecordId>) -> Self {
        Self { record, ..self }
    }

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
