//! Writing a book file entry by entry.

use std::io::{self, Seek, SeekFrom, Write};

use sha2::{Digest, Sha256};

use super::super::Written;
use super::super::v1::{self, DIGEST, FORMAT, VERSION};
use crate::notebook::canonical;
use crate::notebook::{Entry, EntryId};

/// A book file that is being written entry by entry; the same bytes as [`write`](super::super::write) when the entries come by device,
/// counter and id, each once.
pub struct Writer<W> {
    out: W,
    digest: Sha256,
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
    pub fn begin(mut out: W, count: usize, written: &Written) -> io::Result<Self> {
        let written = canonical::text_of(written);
        let mut digest = Sha256::new();
        digest.update(format!("{{\"count\":{count},\"entries\":["));
        let start = out.stream_position()?;
        let head = format!(
            "{{\"format\":\"{FORMAT}\",\"version\":{VERSION},\"written\":{written},\"count\":{count},\"digest\":\"{DIGEST}"
        );
        let blank = "0".repeat(64);
        writeln!(out, "{head}{blank}\",\"entries\":[")?;
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
            self.digest.update(",");
            self.out.write_all(b",\n")?;
        }
        self.done += 1;
        self.digest.update(&text);
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
        self.digest.update(&self.tail);
        let digest = v1::stated(self.digest);
        let end = self.out.stream_position()?;
        self.out.seek(SeekFrom::Start(self.digest_at))?;
        self.out
            .write_all(digest.trim_start_matches(DIGEST).as_bytes())?;
        self.out.seek(SeekFrom::Start(end))?;
        self.out.flush()?;
        Ok(self.out)
    }
}
