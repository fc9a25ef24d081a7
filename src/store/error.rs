//! Why something was not kept, in words for a person: what happened, what is safe, the way out.

use std::fmt;

/// Why the store could not do what it was asked.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum StoreError {
    /// The device's storage, or the part of it the browser allows, is full.
    Full,
    /// An entry with this id is there already, with other words.
    Duplicate,
    /// The connection to the database was lost.
    Closed,
    /// Another tab holds the database back.
    Blocked,
    /// A newer Hingeline has changed the database.
    Newer,
    /// The browser allows no database here; the reason is its own.
    Refused(String),
    /// Anything else, as the browser put it.
    Unknown(String),
}

impl StoreError {
    /// Tells errors apart by the name and the message of the browser's `DOMException`.
    ///
    /// Names are those of the Indexed Database API and Web IDL standards (W3C); messages are looked at only where one
    /// name stands for several causes.
    pub fn from_dom(name: &str, message: &str) -> StoreError {
        let says = |words: &str| message.to_lowercase().contains(words);
        match name {
            "QuotaExceededError" => StoreError::Full,
            _ if ["quota", "disk is full", "disk full", "no space", "no_space"]
                .into_iter()
                .any(says) =>
            {
                StoreError::Full
            }
            "ConstraintError" => StoreError::Duplicate,
            "VersionError" => StoreError::Newer,
            "InvalidStateError" if says("did not allow mutations") => {
                StoreError::Refused(message.to_owned())
            }
            "InvalidStateError" | "AbortError" => StoreError::Closed,
            "UnknownError" if says("connection") && (says("lost") || says("clos")) => {
                StoreError::Closed
            }
            "SecurityError" | "NotAllowedError" => StoreError::Refused(message.to_owned()),
            "" => StoreError::Unknown(message.to_owned()),
            name => StoreError::Unknown(format!("{name}: {message}")),
        }
    }

    /// Why a database could not be opened again after a commit had failed: a disk that was found full explains an
    /// opening for whose failure the browser gives no known reason.
    pub fn after(self, before: Option<&StoreError>) -> StoreError {
        match (self, before) {
            (StoreError::Unknown(_), Some(StoreError::Full)) => StoreError::Full,
            (error, _) => error,
        }
    }

    /// The reason in the fewest words, for the head: `not kept: …`.
    pub fn short(&self) -> &'static str {
        match self {
            StoreError::Full => "the storage is full",
            StoreError::Duplicate => "an entry is there with other words",
            StoreError::Closed => "the database was closed",
            StoreError::Blocked => "another tab holds the book",
            StoreError::Newer => "a newer version has the book",
            StoreError::Refused(_) => "this browser allows no storage here",
            StoreError::Unknown(_) => "the browser gave no known reason",
        }
    }

    /// Whether pressing on can help: false where this page must be loaded again or the browser changed first.
    pub fn may_be_tried_again(&self) -> bool {
        !matches!(self, StoreError::Newer | StoreError::Refused(_))
    }
}

impl fmt::Display for StoreError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            StoreError::Full => f.write_str(
                "this device's storage is full, so the last change is not kept; what was kept before is safe and what \
                 you type stays on the screen; back up to a file, free some space, then go on: it is kept with the next key",
            ),
            StoreError::Duplicate => f.write_str(
                "an entry with the same id is there already and says something else, so nothing was changed; what was \
                 kept before is safe; back up to a file and open it on another device to compare",
            ),
            StoreError::Closed => f.write_str(
                "the browser closed the database and opening it again did not help, so the last change is not kept; what \
                 was kept before is safe; back up to a file, then load this page again",
            ),
            StoreError::Blocked => f.write_str(
                "another tab or window with this book holds it back; nothing is lost; close the other one and this one \
                 goes on by itself",
            ),
            StoreError::Newer => f.write_str(
                "a newer version of this app has the book open, so this page keeps nothing more; what was kept before is \
                 safe; write down what is on the screen, then load this page again",
            ),
            StoreError::Refused(reason) => write!(
                f,
                "this browser allows no storage here (`{reason}`), so nothing lasts longer than this page; leave private \
                 browsing or allow storage for this site, or back up to a file before you close the page",
            ),
            StoreError::Unknown(text) => write!(
                f,
                "the browser could not keep the last change (`{text}`); what was kept before is safe and what you type \
                 stays on the screen; back up to a file, then load this page again",
            ),
        }
    }
}

impl std::error::Error for StoreError {}

#[cfg(test)]
mod tests {
    use super::*;

    fn all() -> Vec<StoreError> {
        vec![
            StoreError::Full,
            StoreError::Duplicate,
            StoreError::Closed,
            StoreError::Blocked,
            StoreError::Newer,
            StoreError::Refused("denied".into()),
            StoreError::Unknown("odd".into()),
        ]
    }

    #[test]
    fn the_causes_are_told_apart() {
        // Names: Indexed Database API 3.0 (W3C), section 3, "Exceptions". The messages were seen in Chromium 156, or are
        // Firefox's and WebKit's, quoted from memory.
        let check = |name: &str, message: &str, expected: StoreError| {
            assert_eq!(
                StoreError::from_dom(name, message),
                expected,
                "{name}: {message}"
            );
        };
        check("QuotaExceededError", "", StoreError::Full);
        check(
            "UnknownError",
            "Unable to store record: database or disk is full",
            StoreError::Full,
        );
        // Chromium 156 on a disk without room.
        check(
            "UnknownError",
            "Connection is closing because of: IO error: 000003.log: FILE_ERROR_NO_SPACE (ChromeMethodBFE: 3::WritableFileAppend::8)",
            StoreError::Full,
        );
        check(
            "ConstraintError",
            "Key already exists in the object store.",
            StoreError::Duplicate,
        );
        check(
            "InvalidStateError",
            "The database connection is closing.",
            StoreError::Closed,
        );
        check(
            "AbortError",
            "The connection was closed.",
            StoreError::Closed,
        );
        check(
            "UnknownError",
            "Connection to Indexed Database server lost. Refresh the page to try again",
            StoreError::Closed,
        );
        check(
            "VersionError",
            "The requested version (1) is less than 2.",
            StoreError::Newer,
        );
        check(
            "SecurityError",
            "denied",
            StoreError::Refused("denied".into()),
        );
        let private =
            "A mutation operation was attempted on a database that did not allow mutations.";
        check(
            "InvalidStateError",
            private,
            StoreError::Refused(private.into()),
        );
        check(
            "DataError",
            "odd",
            StoreError::Unknown("DataError: odd".into()),
        );
        check("", "plain", StoreError::Unknown("plain".into()));
    }

    #[test]
    fn a_full_disk_explains_an_opening_that_fails_without_a_reason() {
        // Chromium 156, after the disk filled up under it.
        let opening = || {
            StoreError::from_dom(
                "UnknownError",
                "Internal error opening backing store for indexedDB.open.",
            )
        };
        assert!(matches!(opening(), StoreError::Unknown(_)));
        assert_eq!(opening().after(Some(&StoreError::Full)), StoreError::Full);
        assert_eq!(opening().after(Some(&StoreError::Closed)), opening());
        assert_eq!(opening().after(None), opening());
        assert_eq!(
            StoreError::Newer.after(Some(&StoreError::Full)),
            StoreError::Newer
        );
    }

    #[test]
    fn every_message_is_written_as_the_style_asks_and_gives_a_way_out() {
        for error in all() {
            for text in [error.to_string(), error.short().to_owned()] {
                assert!(text.starts_with(char::is_lowercase), "{text}");
                assert!(!text.ends_with('.'), "{text}");
            }
            let text = error.to_string();
            let ways = [
                "back up",
                "load this page",
                "close the other",
                "allow storage",
            ];
            assert!(ways.iter().any(|way| text.contains(way)), "{text}");
        }
    }

    #[test]
    fn no_two_reasons_read_alike() {
        let mut short: Vec<_> = all().iter().map(StoreError::short).collect();
        short.sort_unstable();
        let count = short.len();
        short.dedup();
        assert_eq!(short.len(), count);
    }
}
