//! A book file read and written entry by entry, for books that are too large to be held whole.
//!
//! It reads what [`read_bytes`](super::read_bytes) reads and finds the same faults; where a file has its parts in an order of its
//! own it says so, and the file has to be read whole.

use std::io::{self, BufRead, Seek, SeekFrom, Write};

use serde_json::{Map, Value};
use sha2::{Digest, Sha256};

use super::v1::{self, DIGEST, FORMAT, VERSION};
use super::{Error, Written, foreign};
use crate::notebook::canonical::{self, DEEPEST, Fault, Scan};
use crate::notebook::{Entry, EntryId};

/// No single entry is larger than this, bytes: a field book's are a thousandth of it.
const LARGEST_ENTRY: usize = 64 << 20;

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
    written: Written,
    more: Map<String, Value>,
    count: String,
    stated: String,
    /// The members after the entries as they go into the digest.
    tail: String,
    digest: Sha256,
    pieces: usize,
    ended: bool,
}

/// Whether a file that begins with these bytes can be read as a stream: it names the format near its beginning.
pub fn begins_like_a_book(beginning: &[u8]) -> bool {
    let beginning = &beginning[..beginning.len().min(1000)];
    let text = String::from_utf8_lossy(beginning);
    let text = text.strip_prefix('\u{feff}').unwrap_or(&text);
    !text.trim().is_empty() && foreign::begins_like_a_book(text)
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
        loop {
            cut.space()?;
            let key = cut.key()?;
            if head.iter().any(|(known, _)| *known == key) {
                return Err(cut.twice(key));
            }
            if key == "entries" {
                break;
            }
            let value = cut.canonical_value()?;
            let is_version = key == "version";
            head.push((key, value));
            let is_ours = |(key, value): &(String, String)| {
                key == "format" && *value == format!("\"{FORMAT}\"")
            };
            if is_version && head.iter().any(is_ours) {
                v1::check_version(&head[head.len() - 1].1)?;
            }
            cut.space()?;
            if cut.peek()? == Some(b'}') {
                return Err(Error::damaged("its head: `entries` is missing".to_owned()));
            }
            cut.expect(b',', "`,` or `}`")?;
        }
        if cut.peek()? != Some(b'[') {
            return Err(Error::damaged("its head: `entries` is no list".to_owned()));
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
        v1::check_version(need("version")?)?;
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
        let mut digest = Sha256::new();
        digest.update("{");
        for member in first {
            digest.update(member);
            digest.update(",");
        }
        digest.update("\"entries\":[");
        let more = head
            .iter()
            .filter(|(key, _)| !v1::KNOWN.contains(&key.as_str()))
            .filter_map(|(key, value)| Some((key.clone(), serde_json::from_str(value).ok()?)))
            .collect();
        cut.take();
        Ok(Self {
            cut,
            written,
            more,
            count,
            stated,
            tail,
            digest,
            pieces: 0,
            ended: false,
        })
    }

    /// Who wrote the file, on what and when.
    pub fn written(&self) -> &Written {
        &self.written
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
        self.piece().map(Some)
    }

    fn piece(&mut self) -> Result<Piece, Error> {
        let (from, line, column) = (self.cut.at, self.cut.line, self.cut.column);
        if self.cut.peek()? != Some(b'{') {
            return Err(self.cut.fault("an object")?);
        }
        self.cut.value()?;
        let text = self.cut.text(line, column)?;
        let mut scan = Scan::new(text);
        let members = scan
            .members(2)
            .and_then(|members| scan.end().map(|()| members))
            .map_err(|fault| at(text, line, column, &fault))?;
        let is_canonical = scan.canonical;
        let entry =
            Entry::from_members(text, &members, is_canonical).and_then(|entry| {
                match members.iter().any(|member| member.key == "id") {
                    true => Ok(entry),
                    false => Err(crate::notebook::Error::without_id(&entry)),
                }
            });
        let entry =
            entry.map_err(|error| v1::altered_entry(self.pieces, &self.count, line, &error))?;
        if self.pieces > 1 {
            self.digest.update(",");
        }
        if is_canonical {
            self.digest.update(text);
        } else {
            self.digest.update(entry.text_with_id());
        }
        Ok(Piece {
            entry,
            from,
            length: text.len(),
            line,
        })
    }

    fn end(&mut self) -> Result<Option<Piece>, Error> {
        self.ended = true;
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
        v1::check_count(&self.count, self.pieces)?;
        let mut digest = std::mem::take(&mut self.digest);
        digest.update("]");
        digest.update(&self.tail);
        digest.update("}");
        if v1::stated(digest) != self.stated {
            return Err(v1::wrong_digest());
        }
        Ok(None)
    }

    /// Goes to the next line that begins as an entry of ours does, to look for more faults after one that broke the list; false
    /// where there is none.
    pub fn go_to_next_line(&mut self) -> bool {
        loop {
            match self.cut.peek() {
                Ok(Some(b'\n')) => {
                    self.cut.take();
                    if let Ok(Some(b'{')) = self.cut.peek() {
                        // The entry is read as if it came after a comma.
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

/// A fault at its line and column in the file.
fn at(text: &str, line: u64, column: u64, fault: &Fault) -> Error {
    let (within, of_line) = canonical::line_and_column(text, fault.at);
    let column = if within == 1 { column - 1 } else { 0 } + of_line as u64;
    Error::damaged(format!(
        "line {}, column {column}: {}",
        line + within as u64 - 1,
        fault.why
    ))
}

/// Cuts a stream into values, without judging them.
struct Cut<R> {
    input: R,
    at: u64,
    line: u64,
    column: u64,
    /// The value cut last.
    value: Vec<u8>,
    pretend_comma: bool,
}

impl<R: BufRead> Cut<R> {
    fn new(input: R) -> Self {
        Self {
            input,
            at: 0,
            line: 1,
            column: 1,
            value: Vec::new(),
            pretend_comma: false,
        }
    }

    fn fill(&mut self) -> Result<&[u8], Error> {
        let at = self.at;
        loop {
            match self.input.fill_buf() {
                Ok(_) => break,
                Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
                Err(error) => return Err(Error::unread(at, &error)),
            }
        }
        // Filled already: this reads nothing more, and cannot fail.
        self.input
            .fill_buf()
            .map_err(|error| Error::unread(at, &error))
    }

    fn peek(&mut self) -> Result<Option<u8>, Error> {
        if self.pretend_comma {
            return Ok(Some(b','));
        }
        Ok(self.fill()?.first().copied())
    }

    /// Steps over the byte that was peeked at.
    fn take(&mut self) {
        if std::mem::take(&mut self.pretend_comma) {
            return;
        }
        if let Ok(Some(byte)) = self.peek() {
            self.count(byte);
            self.input.consume(1);
        }
    }

    fn count(&mut self, byte: u8) {
        self.at += 1;
        if byte == b'\n' {
            self.line += 1;
            self.column = 1;
        } else if byte & 0xC0 != 0x80 {
            // A byte that goes on with a character is no column of its own.
            self.column += 1;
        }
    }

    fn skip_mark(&mut self) -> Result<(), Error> {
        if self.fill()?.starts_with("\u{feff}".as_bytes()) {
            self.input.consume(3);
            self.at += 3;
        }
        Ok(())
    }

    fn space(&mut self) -> Result<(), Error> {
        while matches!(self.peek()?, Some(b' ' | b'\n' | b'\r' | b'\t')) {
            self.take();
        }
        Ok(())
    }

    fn expect(&mut self, byte: u8, wanted: &'static str) -> Result<(), Error> {
        if self.peek()? == Some(byte) {
            self.take();
            Ok(())
        } else {
            Err(self.fault(wanted)?)
        }
    }

    /// The fault that something else stands here than what belongs.
    fn fault(&mut self, wanted: &'static str) -> Result<Error, Error> {
        let (line, column) = (self.line, self.column);
        let near = self.fill()?;
        let near = &near[..near.len().min(16)];
        let text = match std::str::from_utf8(near) {
            Ok(text) => text.to_owned(),
            Err(error) if error.valid_up_to() > 0 => {
                String::from_utf8_lossy(&near[..error.valid_up_to()]).into_owned()
            }
            Err(_) => return Ok(no_text(line, column)),
        };
        let fault = Scan::new(&text).fault(wanted);
        Ok(at(&text, line, column, &fault))
    }

    fn twice(&self, key: String) -> Error {
        Error::damaged(format!(
            "line {}, column {}: {}",
            self.line,
            self.column,
            canonical::Why::Twice(key)
        ))
    }

    /// Cuts a key and its colon.
    fn key(&mut self) -> Result<String, Error> {
        if self.peek()? != Some(b'"') {
            return Err(self.fault("a key in quotes")?);
        }
        let (line, column) = (self.line, self.column);
        self.value()?;
        let text = self.text(line, column)?;
        let mut scan = Scan::new(text);
        scan.value(1)
            .map_err(|fault| at(text, line, column, &fault))?;
        let key = serde_json::from_str(text).unwrap_or_default();
        self.space()?;
        self.expect(b':', "`:`")?;
        self.space()?;
        Ok(key)
    }

    /// Cuts a value of the head and brings it to its canonical form.
    fn canonical_value(&mut self) -> Result<String, Error> {
        let (line, column) = (self.line, self.column);
        if matches!(self.peek()?, None | Some(b',' | b'}' | b']')) {
            return Err(self.fault("a value")?);
        }
        self.value()?;
        let text = self.text(line, column)?;
        let mut scan = Scan::new(text);
        let whole = scan.value(1).and_then(|_| scan.end());
        whole.map_err(|fault| at(text, line, column, &fault))?;
        if scan.canonical {
            return Ok(text.to_owned());
        }
        let value: Value = serde_json::from_str(text).unwrap_or_default();
        Ok(canonical::text_of(&value))
    }

    /// The value cut last as text.
    fn text(&self, line: u64, column: u64) -> Result<&str, Error> {
        std::str::from_utf8(&self.value).map_err(|error| {
            let sound = &self.value[..error.valid_up_to()];
            let sound = String::from_utf8_lossy(sound);
            let (within, of_line) = canonical::line_and_column(&sound, sound.len());
            let column = if within == 1 { column - 1 } else { 0 } + of_line as u64;
            no_text(line + within as u64 - 1, column)
        })
    }

    /// Cuts one value: to the bracket that closes it, the quote that ends it, or what follows a number or a word. A value that
    /// nests too deep, or never ends, is cut where that shows.
    fn value(&mut self) -> Result<(), Error> {
        self.value.clear();
        let mut state = Cutting::default();
        loop {
            let (used, done) = {
                let bytes = self.fill()?;
                if bytes.is_empty() {
                    return Ok(());
                }
                state.step(bytes)
            };
            let from = self.value.len();
            if from + used > LARGEST_ENTRY {
                return Err(Error::damaged(format!(
                    "line {}: something there has over {LARGEST_ENTRY} bytes, and nothing in a book has",
                    self.line
                )));
            }
            {
                let at = self.at;
                let bytes = self
                    .input
                    .fill_buf()
                    .map_err(|error| Error::unread(at, &error))?;
                self.value.extend_from_slice(&bytes[..used]);
            }
            self.input.consume(used);
            for i in from..self.value.len() {
                self.count(self.value[i]);
            }
            if done {
                return Ok(());
            }
        }
    }
}

fn no_text(line: u64, column: u64) -> Error {
    Error::damaged(format!(
        "line {line}, column {column}: the bytes there are no text (UTF-8)"
    ))
}

/// How far into a value the cutting has come.
#[derive(Default)]
struct Cutting {
    depth: usize,
    in_string: bool,
    escaped: bool,
    begun: bool,
}

impl Cutting {
    /// How many of the bytes belong to the value, and whether it ends there.
    fn step(&mut self, bytes: &[u8]) -> (usize, bool) {
        for (i, &byte) in bytes.iter().enumerate() {
            if self.in_string {
                match byte {
                    _ if self.escaped => self.escaped = false,
                    b'\\' => self.escaped = true,
                    b'"' => {
                        self.in_string = false;
                        if self.depth == 0 {
                            return (i + 1, true);
                        }
                    }
                    _ => {}
                }
                continue;
            }
            match byte {
                b'"' => self.in_string = true,
                b'{' | b'[' => {
                    self.depth += 1;
                    if self.depth > DEEPEST + 1 {
                        return (i + 1, true);
                    }
                }
                b'}' | b']' if self.depth > 0 => {
                    self.depth -= 1;
                    if self.depth == 0 {
                        return (i + 1, true);
                    }
                }
                b',' | b'}' | b']' | b' ' | b'\n' | b'\r' | b'\t' | b':'
                    if self.depth == 0 && self.begun =>
                {
                    return (i, true);
                }
                _ => {}
            }
            self.begun = true;
        }
        (bytes.len(), false)
    }
}

/// A book file that is being written entry by entry; the same bytes as [`write`](super::write) when the entries come by device,
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
