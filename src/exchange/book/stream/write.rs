//! Writing a book file entry by entry.

use std::io::{self, Seek, SeekFrom, Write};

use super::super::digest::{DIGITS, FileDigest, KIND};
use super::super::whole::{FORMAT, beyond_member};
use super::super::{VERSION, Written};
use crate::notebook::canonical;
use crate::notebook::{Beyond, Entry, EntryId};

/// A book file that is being written entry by entry; the same bytes as [`write`](super::super::write) when the entries come by device,
/// counter and id, each once.
pub struct Writer<W> {
    out: W,
    digest: FileDigest,
    tail: String,
    /// Where the digest goes when it is known.
    digest_at: u64,
    expected: usize,
    done: usize,
}

impl<W: Write + Seek> Writer<W> {
    /// Writes the head for so many entries.
    ///
    /// # Errors
    /// When the file cannot be written.
    pub fn begin(out: W, count: usize, written: &Written) -> io::Result<Self> {
        Self::begin_part(out, count, written, &[])
    }

    /// Writes the head of a part, for so many entries that go beyond others.
    ///
    /// # Errors
    /// When the file cannot be written.
    pub fn begin_part(
        mut out: W,
        count: usize,
        written: &Written,
        beyond: &[Beyond],
    ) -> io::Result<Self> {
        let beyond = beyond_member(beyond);
        let written = canonical::text_of(written);
        let mut digest = FileDigest::new();
        digest.text(&format!("{{{beyond}\"count\":{count},\"entries\":["));
        let start = out.stream_position()?;
        let head = format!(
            "{{\"format\":\"{FORMAT}\",\"version\":{VERSION},\"written\":{written},\"count\":{count},\"digest\":\"{KIND}"
        );
        let blank = "0".repeat(DIGITS);
        writeln!(out, "{head}{blank}\",{beyond}\"entries\":[")?;
        Ok(Self {
            out,
            digest,
            tail: format!(
                "],\"format\":\"{FORMAT}\",\"version\":{VERSION},\"written\":{written}}}"
            ),
            digest_at: start + head.len() as u64,
            expected: count,
            done: 0,
        })
    }

    /// Writes the next entry.
    ///
    /// # Errors
    /// When the file cannot be written.
    pub fn entry(&mut self, entry: &Entry) -> io::Result<EntryId> {
        let text = entry.text_with_id();
        if self.done > 0 {
            self.out.write_all(b",\n")?;
        }
        self.done += 1;
        self.digest.entry(entry, Some(&text));
        self.out.write_all(text.as_bytes())?;
        Ok(entry.id())
    }

    /// Writes the end, and the digest into the head.
    ///
    /// # Errors
    /// When the file cannot be written, or another number of entries came than was announced.
    pub fn finish(mut self) -> io::Result<W> {
        if self.done != self.expected {
            return Err(io::Error::other(format!(
                "{} entries were announced and {} came",
                self.expected, self.done
            )));
        }
        self.out.write_all(b"\n]}\n")?;
        self.digest.text(&self.tail);
        let end = self.out.stream_position()?;
        self.out.seek(SeekFrom::Start(self.digest_at))?;
        self.out.write_all(self.digest.digits().as_bytes())?;
        self.out.seek(SeekFrom::Start(end))?;
        self.out.flush()?;
        Ok(self.out)
    }
}
