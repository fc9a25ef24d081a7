//! The digest in the head of a book file: it shows that every entry arrived and that the head is as it was written.
//!
//! It is the SHA-256 of the canonical JSON (RFC 8785) of everything but the digest itself. In version 1 the entries stand in it
//! whole. Since version 2 each stands there as its id alone, which is the hash of its text already: nothing is hashed twice, and
//! a file is read and written in about half the time.

use sha2::{Digest, Sha256};

use super::VERSION;
use crate::notebook::{Entry, in_digits};

/// What stands before the digits.
pub(super) const KIND: &str = "sha256:";

/// How many digits there are.
pub(super) const DIGITS: usize = 64;

/// The digest of a file as far as it was read or written.
#[derive(Clone, Debug)]
pub(super) struct FileDigest {
    hash: Sha256,
    whole_entries: bool,
    /// An entry came already: the next stands behind a comma.
    between: bool,
}

impl FileDigest {
    /// That of a file of this version, of which nothing was taken yet.
    pub(super) fn of_version(version: u64) -> Self {
        Self {
            hash: Sha256::new(),
            whole_entries: version == 1,
            between: false,
        }
    }

    /// That of a file as it is written now.
    pub(super) fn new() -> Self {
        Self::of_version(VERSION)
    }

    /// Takes what stands around the entries, in canonical form.
    pub(super) fn text(&mut self, text: &str) {
        self.hash.update(text);
    }

    /// Takes the next entry; `text` is how it stands in the file, where that is its canonical form.
    pub(super) fn entry(&mut self, entry: &Entry, text: Option<&str>) {
        if std::mem::replace(&mut self.between, true) {
            self.hash.update(",");
        }
        if !self.whole_entries {
            let mut quoted = [b'"'; DIGITS + 2];
            quoted[1..=DIGITS].copy_from_slice(&entry.id().digits());
            self.hash.update(quoted);
        } else if let Some(text) = text {
            self.hash.update(text);
        } else {
            self.hash.update(entry.text_with_id());
        }
    }

    /// Its digits, after everything was taken.
    pub(super) fn digits(self) -> String {
        in_digits(self.hash.finalize())
    }

    /// The same as a file states it.
    pub(super) fn stated(self) -> String {
        format!("{KIND}{}", self.digits())
    }
}
