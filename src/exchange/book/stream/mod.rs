//! A book file read and written entry by entry, for books that are too large to be held whole.
//!
//! It reads what [`read_bytes`](super::read_bytes) reads and finds the same faults; where a file has its parts in an order of its
//! own it says so, and the file has to be read whole.

mod cut;

mod write;

use std::collections::HashSet;
use std::io::BufRead;

use serde_json::{Map, Value};

use super::digest::FileDigest;
use super::whole::{self, FORMAT};
use super::{Error, Written, foreign, take_beyond};
use crate::notebook::canonical::{self, Scan};
use crate::notebook::{Beyond, Entry, Ledger};
use cut::{Cut, at};

pub use write::Writer;

/// One entry and where it stands in the file.
#[derive(Clone, Debug)]
pub struct Piece {
    /// The entry; its id was computed anew and is the one it states.
    pub entry: Entry,
    /// Its first byte, counted from the beginning of the stream.
    pub from: u64,
    /// How many bytes it has.
    pub length: usize,
    /// The line it begins on, from 1.
    pub line: u64,
}

/// A book file that is being read. Nothing of it may be believed before [`Stream::next_piece`] has returned `None`.
pub struct Stream<R> {
    cut: Cut<R>,
    version: u64,
    written: Written,
    beyond: Vec<Beyond>,
    more: Map<String, Value>,
    count: String,
    stated: String,
    /// The members after the entries as they go into the digest.
    tail: String,
    digest: FileDigest,
    pieces: usize,
    /// Where the piece that is being read begins.
    piece_at: Option<(u64, u64)>,
    /// A fault was told and passed over.
    faulty: bool,
    /// The head could not be read: count and digest are not known.
    headless: bool,
    ended: bool,
}

/// What opens the list of entries, without spaces.
const OPENS: &[u8] = b"\"entries\":[";

/// A damaged head is looked through so far for who wrote the file, bytes.
const HEAD_WITHIN: usize = 1 << 12;

/// Whether a file that begins with these bytes can be read as a stream: it names the format near its beginning.
pub fn begins_like_a_book(beginning: &[u8]) -> bool {
    let beginning = &beginning[..beginning.len().min(1000)];
    let text = String::from_utf8_lossy(beginning);
    let text = text.strip_prefix('\u{feff}').unwrap_or(&text);
    text.trim_start().starts_with('{') && foreign::begins_like_a_book(text)
}

impl<R: BufRead> Stream<R> {
    /// Reads the head of a book file.
    ///
    /// # Errors
    /// Like [`read_bytes`](super::read_bytes); [`Error::is_unordered`] where the file has to be read whole.
    pub fn open(input: R) -> Result<Self, Error> {
        let mut cut = Cut::new(input);
        cut.skip_mark()?;
        cut.space()?;
        cut.expect(b'{', "`{`")?;
        let mut head: Vec<(String, String)> = Vec::new();
        let mut names = HashSet::new();
        loop {
            cut.space()?;
            let key = cut.key()?;
            if !names.insert(key.clone()) {
                return Err(cut.twice(key));
            }
            if key == "entries" {
                break;
            }
            let value = cut.canonical_value()?;
            let tells = key == "version" || key == "format";
            head.push((key, value));
            cut.space()?;
            let next = cut.peek()?;
            if tells && matches!(next, Some(b',' | b'}')) {
                let found = |key: &str| head.iter().find(|(known, _)| known == key);
                let ours = format!("\"{FORMAT}\"");
                if let Some((_, version)) = found("version")
                    && found("format").is_some_and(|(_, format)| *format == ours)
                {
                    whole::check_version(version)?;
                }
            }
            // No entries: what that makes of the file is told by reading it whole.
            if next == Some(b'}') {
                return Err(Error::unordered());
            }
            cut.expect(b',', "`,` or `}`")?;
        }
        if cut.peek()? != Some(b'[') {
            return Err(Error::unordered());
        }
        Self::begin(cut, &head)
    }

    fn begin(mut cut: Cut<R>, head: &[(String, String)]) -> Result<Self, Error> {
        let found = |key: &str| head.iter().find(|(known, _)| known == key);
        let need = |key: &str| {
            found(key)
                .map(|(_, value)| value.as_str())
                .ok_or_else(Error::unordered)
        };
        if need("format")? != format!("\"{FORMAT}\"") {
            return Err(Error::unordered());
        }
        let version = whole::check_version(need("version")?)?;
        let written: Written = serde_json::from_str(need("written")?).map_err(|_| {
            Error::damaged("its head: `written` does not say at, by and device".to_owned())
        })?;
        let count = need("count")?.to_owned();
        let stated = serde_json::from_str(need("digest")?).unwrap_or_default();
        let mut sorted: Vec<&(String, String)> =
            head.iter().filter(|(key, _)| key != "digest").collect();
        sorted.sort_by_cached_key(|(key, _)| key.encode_utf16().collect::<Vec<u16>>());
        let entries: Vec<u16> = "entries".encode_utf16().collect();
        let before =
            sorted.partition_point(|(key, _)| key.encode_utf16().lt(entries.iter().copied()));
        let member =
            |(key, value): &&(String, String)| format!("{}:{value}", canonical::text_of(key));
        let first: Vec<String> = sorted[..before].iter().map(member).collect();
        let tail: String = sorted[before..]
            .iter()
            .map(|pair| format!(",{}", member(pair)))
            .collect();
        let mut digest = FileDigest::of_version(version);
        digest.text("{");
        for member in first {
            digest.text(&member);
            digest.text(",");
        }
        digest.text("\"entries\":[");
        let mut more: Map<String, Value> = head
            .iter()
            .filter(|(key, _)| !whole::KNOWN.contains(&key.as_str()))
            .filter_map(|(key, value)| Some((key.clone(), serde_json::from_str(value).ok()?)))
            .collect();
        let beyond = take_beyond(&mut more)?;
        cut.take();
        Ok(Self {
            cut,
            version,
            written,
            beyond,
            more,
            count,
            stated,
            tail,
            digest,
            pieces: 0,
            piece_at: None,
            faulty: false,
            headless: false,
            ended: false,
        })
    }

    /// Finds the entries of a file whose head cannot be read: behind the word that opens their list or, where that is damaged, on
    /// the first line that begins as one of ours. Each of them is proved as ever; count and digest are not asked for.
    ///
    /// # Degenerate input
    /// `None` where no entry is found. Who wrote the file is empty where the head does not say it legibly.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn past_head(input: R) -> Result<Option<Self>, Error> {
        let mut cut = Cut::new(input);
        let (mut head, mut close) = (Vec::new(), Vec::new());
        let (mut opened, mut on_a_line) = (false, false);
        let stopped = cut.take_while(|byte| {
            if opened || (on_a_line && byte == b'{') {
                return false;
            }
            on_a_line = byte == b'\n';
            if head.len() < HEAD_WITHIN {
                head.push(byte);
            }
            if !byte.is_ascii_whitespace() {
                close.push(byte);
                opened = byte == b'[' && close.ends_with(OPENS);
                // What was left behind is let go of now and then: a damaged file may be long.
                if close.len() > HEAD_WITHIN {
                    close.drain(..close.len() - OPENS.len());
                }
            }
            true
        })?;
        if !stopped {
            return Ok(None);
        }
        let head = String::from_utf8_lossy(&head);
        Ok(Some(Self {
            cut,
            version: super::VERSION,
            written: whole::written_in(&head).unwrap_or_default(),
            beyond: whole::beyond_in(&head).unwrap_or_default(),
            more: Map::new(),
            count: "an unknown count".to_owned(),
            stated: String::new(),
            tail: String::new(),
            digest: FileDigest::of_version(super::VERSION),
            pieces: 0,
            piece_at: None,
            faulty: true,
            headless: true,
            ended: false,
        }))
    }

    /// The version it is written in.
    pub fn version(&self) -> u64 {
        self.version
    }

    /// Who wrote the file, on what and when.
    pub fn written(&self) -> &Written {
        &self.written
    }

    /// What it goes beyond, where it is a part.
    pub fn beyond(&self) -> &[Beyond] {
        &self.beyond
    }

    /// What else stands at its top level.
    pub fn more(&self) -> &Map<String, Value> {
        &self.more
    }

    /// How many bytes were read so far.
    pub fn at(&self) -> u64 {
        self.cut.at
    }

    /// How many entries its head says there are, where it says so in digits.
    pub fn count(&self) -> Option<usize> {
        self.count.parse().ok()
    }

    /// The next entry, proved by its hash; `None` at the end, after count and digest were found right.
    ///
    /// # Errors
    /// When an entry or the file is not whole. After the fault of one entry the reading may go on with the next, to find them all;
    /// the digest is then wrong too.
    pub fn next_piece(&mut self) -> Result<Option<Piece>, Error> {
        self.next_piece_beside(None)
    }

    /// The same beside a ledger: an entry whose id and text it has is taken from there, and not proved again.
    ///
    /// # Errors
    /// Like [`Stream::next_piece`].
    pub fn next_piece_beside(&mut self, known: Option<&Ledger>) -> Result<Option<Piece>, Error> {
        if self.ended {
            return Ok(None);
        }
        self.cut.space()?;
        if self.pieces == 0 && self.cut.peek()? == Some(b']') {
            return self.end();
        }
        if self.pieces > 0 {
            match self.cut.peek()? {
                Some(b',') => self.cut.take(),
                Some(b']') => return self.end(),
                _ => return Err(self.cut.fault("`,` or `]`")?),
            }
            self.cut.space()?;
        }
        self.pieces += 1;
        self.piece(known).map(Some)
    }

    fn piece(&mut self, known: Option<&Ledger>) -> Result<Piece, Error> {
        let (from, line, column) = (self.cut.at, self.cut.line, self.cut.column);
        self.piece_at = None;
        if let Some((entry, length)) = self.line(known)? {
            return Ok(Piece {
                entry,
                from,
                length,
                line,
            });
        }
        if self.cut.peek()? != Some(b'{') {
            return Err(self.cut.fault("an object")?);
        }
        self.piece_at = Some((from, line));
        self.cut.value()?;
        let text = self.cut.text(line, column)?;
        let mut scan = Scan::new(text);
        let members = scan
            .members(2)
            .and_then(|members| scan.end().map(|()| members))
            .map_err(|fault| at(text, line, column, &fault))?;
        let is_canonical = scan.canonical;
        let entry = whole::entry(text, &members, is_canonical, known);
        let entry =
            entry.map_err(|error| whole::altered_entry(self.pieces, &self.count, line, &error))?;
        self.digest.entry(&entry, is_canonical.then_some(text));
        Ok(Piece {
            entry,
            from,
            length: text.len(),
            line,
        })
    }

    /// Takes the entry of a line that stands as this version writes it, and how long it is; `None`, and nothing taken, where it does
    /// not, or where its line was not read to the end yet.
    fn line(&mut self, known: Option<&Ledger>) -> Result<Option<(Entry, usize)>, Error> {
        let Some(line) = self.cut.line(whole::LINE_WITHIN)? else {
            return Ok(None);
        };
        let there = known.and_then(|known| whole::known_at(line, known));
        let Some((entry, length)) = there.or_else(|| Entry::at_the_beginning(line)) else {
            return Ok(None);
        };
        let text = &line[..length];
        self.digest.entry(&entry, Some(text));
        let characters = text.chars().count();
        self.cut.step_over(length, characters);
        Ok(Some((entry, length)))
    }

    fn end(&mut self) -> Result<Option<Piece>, Error> {
        self.ended = true;
        if self.headless {
            return Ok(None);
        }
        self.cut.take();
        self.cut.space()?;
        if self.cut.peek()? == Some(b',') {
            return Err(Error::unordered());
        }
        self.cut.expect(b'}', "`,` or `}`")?;
        self.cut.space()?;
        if self.cut.peek()?.is_some() {
            return Err(self.cut.fault("the end")?);
        }
        whole::check_count(&self.count, self.pieces)?;
        let mut digest = self.digest.clone();
        digest.text("]");
        digest.text(&self.tail);
        digest.text("}");
        if digest.stated() != self.stated {
            return Err(whole::wrong_digest(!self.faulty));
        }
        Ok(None)
    }

    /// Goes on after a fault to the next entry, to find every other fault; false where there is no more to read.
    ///
    /// Where the fault broke the list of entries, the next line that begins as one of ours is taken for the next.
    pub fn go_on(&mut self, fault: &Error) -> bool {
        if self.ended || fault.is_unread() || fault.is_unordered() {
            return false;
        }
        self.faulty = true;
        fault.is_altered() || self.read_lines_again() || self.next_line()
    }

    /// What was cut may hold the lines of several entries: from its second line on it is read again.
    fn read_lines_again(&mut self) -> bool {
        let Some((from, line)) = self.piece_at.take() else {
            return false;
        };
        let value = &self.cut.value;
        let Some(end) = value.windows(2).position(|pair| pair == b"\n{") else {
            return false;
        };
        let mut again = value[end + 1..].to_vec();
        again.extend_from_slice(&self.cut.again.0[self.cut.again.1..]);
        let lines = value[..=end].iter().filter(|&&byte| byte == b'\n').count();
        self.cut.at = from + end as u64 + 1;
        self.cut.line = line + lines as u64;
        self.cut.column = 1;
        self.cut.again = (again, 0);
        self.cut.pretend_comma = true;
        true
    }

    fn next_line(&mut self) -> bool {
        loop {
            match self.cut.peek() {
                Ok(Some(b'\n')) => {
                    self.cut.take();
                    if let Ok(Some(b'{')) = self.cut.peek() {
                        self.cut.pretend_comma = true;
                        return true;
                    }
                }
                Ok(Some(_)) => self.cut.take(),
                Ok(None) | Err(_) => return false,
            }
        }
    }
}
