//! Cutting a stream into JSON values, without judging them: the strict reader does that, value by value.

use std::io::{self, BufRead};

use serde_json::Value;

use super::super::Error;
use crate::notebook::canonical::{self, DEEPEST, Fault, Scan};

/// No single entry is larger than this, bytes: a field book's are a thousandth of it.
const LARGEST_ENTRY: usize = 64 << 20;

/// A fault at its line and column in the file.
pub(super) fn at(text: &str, line: u64, column: u64, fault: &Fault) -> Error {
    let (within, of_line) = canonical::line_and_column(text, fault.at);
    let column = if within == 1 { column - 1 } else { 0 } + of_line as u64;
    Error::damaged(format!(
        "line {}, column {column}: {}",
        line + within as u64 - 1,
        fault.why
    ))
}

/// Cuts a stream into values, without judging them.
pub(super) struct Cut<R> {
    input: R,
    pub(super) at: u64,
    pub(super) line: u64,
    pub(super) column: u64,
    /// The value cut last.
    pub(super) value: Vec<u8>,
    /// Bytes that are read again before the input goes on, and how many of them are done.
    pub(super) again: (Vec<u8>, usize),
    pub(super) pretend_comma: bool,
}

impl<R: BufRead> Cut<R> {
    pub(super) fn new(input: R) -> Self {
        Self {
            input,
            at: 0,
            line: 1,
            column: 1,
            value: Vec::new(),
            again: (Vec::new(), 0),
            pretend_comma: false,
        }
    }

    fn fill(&mut self) -> Result<&[u8], Error> {
        let at = self.at;
        if self.again.1 < self.again.0.len() {
            return Ok(&self.again.0[self.again.1..]);
        }
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

    fn consume(&mut self, used: usize) {
        if self.again.1 < self.again.0.len() {
            self.again.1 += used;
        } else {
            self.input.consume(used);
        }
    }

    pub(super) fn peek(&mut self) -> Result<Option<u8>, Error> {
        if self.pretend_comma {
            return Ok(Some(b','));
        }
        Ok(self.fill()?.first().copied())
    }

    /// Steps over the byte that was peeked at.
    pub(super) fn take(&mut self) {
        if std::mem::take(&mut self.pretend_comma) {
            return;
        }
        if let Ok(Some(byte)) = self.peek() {
            self.count(byte);
            self.consume(1);
        }
    }

    /// The line that comes next, without its end, where it ends within so many bytes and was read so far already.
    pub(super) fn line(&mut self, within: usize) -> Result<Option<&str>, Error> {
        if self.pretend_comma {
            return Ok(None);
        }
        let bytes = self.fill()?;
        let near = &bytes[..bytes.len().min(within)];
        let line = memchr::memchr(b'\n', near).map(|end| &near[..end]);
        Ok(line.and_then(|line| std::str::from_utf8(line).ok()))
    }

    /// Steps over so many bytes of the line that was looked at, which are so many characters.
    pub(super) fn step_over(&mut self, bytes: usize, characters: usize) {
        self.at += bytes as u64;
        self.column += characters as u64;
        self.consume(bytes);
    }

    /// Steps over bytes as long as one after the other goes on; false where that is to the end.
    pub(super) fn take_while(
        &mut self,
        mut goes_on: impl FnMut(u8) -> bool,
    ) -> Result<bool, Error> {
        loop {
            let (mut line, mut column) = (self.line, self.column);
            let bytes = self.fill()?;
            if bytes.is_empty() {
                return Ok(false);
            }
            let of = bytes.len();
            let mut used = 0;
            for &byte in bytes {
                if !goes_on(byte) {
                    break;
                }
                used += 1;
                step_on(byte, &mut line, &mut column);
            }
            (self.line, self.column) = (line, column);
            self.at += used as u64;
            self.consume(used);
            if used < of {
                return Ok(true);
            }
        }
    }

    fn count(&mut self, byte: u8) {
        self.at += 1;
        step_on(byte, &mut self.line, &mut self.column);
    }

    pub(super) fn skip_mark(&mut self) -> Result<(), Error> {
        // A buffer may be shorter than the mark.
        if self.peek()? == Some(0xEF) {
            for _ in 0..3 {
                self.take();
            }
            self.column = 1;
        }
        Ok(())
    }

    pub(super) fn space(&mut self) -> Result<(), Error> {
        while matches!(self.peek()?, Some(b' ' | b'\n' | b'\r' | b'\t')) {
            self.take();
        }
        Ok(())
    }

    pub(super) fn expect(&mut self, byte: u8, wanted: &'static str) -> Result<(), Error> {
        if self.peek()? == Some(byte) {
            self.take();
            Ok(())
        } else {
            Err(self.fault(wanted)?)
        }
    }

    /// The fault that something else stands here than what belongs.
    pub(super) fn fault(&mut self, wanted: &'static str) -> Result<Error, Error> {
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

    pub(super) fn twice(&self, key: String) -> Error {
        Error::damaged(format!(
            "line {}, column {}: {}",
            self.line,
            self.column,
            canonical::Why::Twice(key)
        ))
    }

    /// Cuts a key and its colon.
    pub(super) fn key(&mut self) -> Result<String, Error> {
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
    pub(super) fn canonical_value(&mut self) -> Result<String, Error> {
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
    pub(super) fn text(&self, line: u64, column: u64) -> Result<&str, Error> {
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
    pub(super) fn value(&mut self) -> Result<(), Error> {
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
            let mut value = std::mem::take(&mut self.value);
            let filled = self
                .fill()
                .map(|bytes| value.extend_from_slice(&bytes[..used]));
            self.value = value;
            filled?;
            self.consume(used);
            for i in from..self.value.len() {
                self.count(self.value[i]);
            }
            if done {
                return Ok(());
            }
        }
    }
}

fn step_on(byte: u8, line: &mut u64, column: &mut u64) {
    if byte == b'\n' {
        *line += 1;
        *column = 1;
    } else if byte & 0xC0 != 0x80 {
        // A byte that goes on with a character is no column of its own.
        *column += 1;
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
