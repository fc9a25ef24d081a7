//! JSON as RFC 8785 writes it: one strict pass over a text that says where it is broken and whether it is canonical.
//!
//! The strict pass exists because a book must notice what ordinary readers let through: a key given twice,
//! half a surrogate pair, a number too large to hold, nesting without end.

mod quick;

use std::borrow::Cow;
use std::ops::Range;

use serde::Serialize;
use serde_json::Value;

pub(crate) use quick::{behind, end_of_string, end_of_value, plain_string};

/// The deepest nesting a book may have: ours needs seven levels, a newer version is given room.
pub(crate) const DEEPEST: usize = 64;

/// Where a text stops being JSON, and why.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Fault {
    /// Byte offset in the text.
    pub(crate) at: usize,
    pub(crate) why: Why,
}

#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Why {
    CutOff,
    Unexpected { found: char, wanted: &'static str },
    Deep,
    Twice(String),
    TooLarge(String),
    LoneSurrogate,
}

impl std::fmt::Display for Why {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::CutOff => write!(f, "the text stops in the middle"),
            Self::Unexpected { found, wanted } => {
                write!(
                    f,
                    "`{}` stands where {wanted} belongs",
                    found.escape_debug()
                )
            }
            Self::Deep => write!(f, "nested more than {DEEPEST} deep"),
            Self::Twice(key) => write!(f, "the key `{}` is given twice", short(key)),
            Self::TooLarge(number) => {
                write!(
                    f,
                    "the number `{}` is larger than any can be",
                    short(number)
                )
            }
            Self::LoneSurrogate => write!(f, "half of a surrogate pair stands alone"),
        }
    }
}

/// The first 40 characters of what a message quotes.
pub(crate) fn short(text: &str) -> Cow<'_, str> {
    match text.char_indices().nth(40) {
        Some((end, _)) => Cow::Owned(format!("{}…", &text[..end])),
        None => Cow::Borrowed(text),
    }
}

/// One member of an object: its key and where its value stands.
#[derive(Clone, Debug)]
pub(crate) struct Member<'t> {
    pub(crate) key: Cow<'t, str>,
    /// From the key's first quote to the end of the value.
    pub(crate) whole: Range<usize>,
    pub(crate) value: Range<usize>,
}

/// A position in a text that is being read strictly.
pub(crate) struct Scan<'t> {
    text: &'t str,
    bytes: &'t [u8],
    at: usize,
    /// Everything since this was last set to true is canonical.
    pub(crate) canonical: bool,
    keys: Vec<(usize, usize, bool)>,
}

impl<'t> Scan<'t> {
    pub(crate) fn new(text: &'t str) -> Self {
        Self {
            text,
            bytes: text.as_bytes(),
            at: 0,
            canonical: true,
            keys: Vec::new(),
        }
    }

    pub(crate) fn at(&self) -> usize {
        self.at
    }

    pub(crate) fn space(&mut self) {
        // Nearly every book file was written without any.
        if self.peek().is_some_and(|byte| byte > b' ') {
            return;
        }
        let from = self.at;
        while matches!(self.bytes.get(self.at), Some(b' ' | b'\n' | b'\r' | b'\t')) {
            self.at += 1;
        }
        if self.at != from {
            self.canonical = false;
        }
    }

    /// Steps over what is known to be a value.
    pub(crate) fn skip(&mut self, length: usize) {
        self.at += length;
    }

    // Asked of nearly every byte: at the optimisation that is shipped it would be a call each time.
    #[inline(always)]
    pub(crate) fn peek(&self) -> Option<u8> {
        self.bytes.get(self.at).copied()
    }

    /// Steps over one byte if it is the one given.
    #[inline(always)]
    pub(crate) fn step(&mut self, byte: u8) -> bool {
        let there = self.peek() == Some(byte);
        if there {
            self.at += 1;
        }
        there
    }

    pub(crate) fn fault(&self, wanted: &'static str) -> Fault {
        let why = match self
            .text
            .get(self.at..)
            .and_then(|rest| rest.chars().next())
        {
            Some(found) => Why::Unexpected { found, wanted },
            None => Why::CutOff,
        };
        Fault { at: self.at, why }
    }

    /// Nothing but space may follow.
    pub(crate) fn end(&mut self) -> Result<(), Fault> {
        self.space();
        match self.peek() {
            None => Ok(()),
            Some(_) => Err(self.fault("the end")),
        }
    }

    /// Steps over one value of any kind.
    pub(crate) fn value(&mut self, depth: usize) -> Result<Range<usize>, Fault> {
        let from = self.at;
        match self.peek() {
            Some(b'{') => self.object(depth, None)?,
            Some(b'[') => self.array(depth)?,
            Some(b'"') => {
                self.string()?;
            }
            Some(b't') => self.word("true")?,
            Some(b'f') => self.word("false")?,
            Some(b'n') => self.word("null")?,
            Some(b'-' | b'0'..=b'9') => self.number()?,
            _ => return Err(self.fault("a value")),
        }
        Ok(from..self.at)
    }

    /// Steps over an object and tells its members.
    pub(crate) fn members(&mut self, depth: usize) -> Result<Vec<Member<'t>>, Fault> {
        // An entry in a file has seven.
        let mut members = Vec::with_capacity(7);
        self.object(depth, Some(&mut members))?;
        Ok(members)
    }

    fn object(
        &mut self,
        depth: usize,
        mut members: Option<&mut Vec<Member<'t>>>,
    ) -> Result<(), Fault> {
        if depth >= DEEPEST {
            return Err(Fault {
                at: self.at,
                why: Why::Deep,
            });
        }
        if !self.step(b'{') {
            return Err(self.fault("an object"));
        }
        let first_key = self.keys.len();
        let mut ascending = true;
        self.space();
        if !self.step(b'}') {
            loop {
                self.space();
                let key = self.key()?;
                if self.keys.len() > first_key {
                    let before = self.keys[self.keys.len() - 1];
                    ascending = ascending && self.ascends(before, key);
                }
                self.keys.push(key);
                let value = self.value(depth + 1)?;
                if let Some(members) = members.as_mut() {
                    members.push(Member {
                        key: self.decode(key),
                        whole: key.0..value.end,
                        value,
                    });
                }
                self.space();
                if self.step(b'}') {
                    break;
                }
                if !self.step(b',') {
                    return Err(self.fault("`,` or `}`"));
                }
            }
        }
        if !ascending {
            self.canonical = false;
            self.no_key_twice(first_key)?;
        }
        self.keys.truncate(first_key);
        Ok(())
    }

    /// Steps over a key and its colon.
    pub(crate) fn key(&mut self) -> Result<(usize, usize, bool), Fault> {
        if self.peek() != Some(b'"') {
            return Err(self.fault("a key in quotes"));
        }
        let from = self.at;
        let escaped = self.string()?;
        let key = (from, self.at, escaped);
        self.space();
        if !self.step(b':') {
            return Err(self.fault("`:`"));
        }
        self.space();
        Ok(key)
    }

    pub(crate) fn decode(&self, (from, to, escaped): (usize, usize, bool)) -> Cow<'t, str> {
        if escaped {
            Cow::Owned(serde_json::from_str(&self.text[from..to]).unwrap_or_default())
        } else {
            Cow::Borrowed(&self.text[from + 1..to - 1])
        }
    }

    fn ascends(&self, before: (usize, usize, bool), key: (usize, usize, bool)) -> bool {
        if before.2 || key.2 {
            before_in_utf16(self.decode(before).as_bytes(), self.decode(key).as_bytes())
        } else {
            // As bytes: as text, each would be asked where its characters begin and end.
            let [before, key] = [before, key].map(|(from, to, _)| &self.bytes[from + 1..to - 1]);
            before_in_utf16(before, key)
        }
    }

    fn no_key_twice(&self, first_key: usize) -> Result<(), Fault> {
        let mut keys: Vec<_> = self.keys[first_key..]
            .iter()
            .map(|&key| (self.decode(key), key.0))
            .collect();
        keys.sort_unstable();
        match keys.windows(2).find(|pair| pair[0].0 == pair[1].0) {
            Some(pair) => Err(Fault {
                at: pair[1].1,
                why: Why::Twice(pair[1].0.clone().into_owned()),
            }),
            None => Ok(()),
        }
    }

    fn array(&mut self, depth: usize) -> Result<(), Fault> {
        if depth >= DEEPEST {
            return Err(Fault {
                at: self.at,
                why: Why::Deep,
            });
        }
        self.at += 1;
        self.space();
        if self.step(b']') {
            return Ok(());
        }
        loop {
            self.space();
            self.value(depth + 1)?;
            self.space();
            if self.step(b']') {
                return Ok(());
            }
            if !self.step(b',') {
                return Err(self.fault("`,` or `]`"));
            }
        }
    }

    fn word(&mut self, word: &'static str) -> Result<(), Fault> {
        for byte in word.bytes() {
            if !self.step(byte) {
                return Err(self.fault(word));
            }
        }
        Ok(())
    }

    /// Steps over a string; true when it holds an escape.
    fn string(&mut self) -> Result<bool, Fault> {
        self.at += 1;
        let mut escaped = false;
        loop {
            // Nearly every character of a book stands for itself.
            self.at += plain(self.bytes.get(self.at..).unwrap_or_default());
            match self.peek() {
                None => return Err(self.fault("`\"`")),
                Some(b'"') => {
                    self.at += 1;
                    return Ok(escaped);
                }
                Some(b'\\') => {
                    escaped = true;
                    self.escape()?;
                }
                Some(0..0x20) => return Err(self.fault("an escape for a control character")),
                Some(_) => self.at += 1,
            }
        }
    }

    fn escape(&mut self) -> Result<(), Fault> {
        let from = self.at;
        self.at += 1;
        match self.peek() {
            Some(b'"' | b'\\' | b'b' | b'f' | b'n' | b'r' | b't') => self.at += 1,
            Some(b'/') => {
                self.canonical = false;
                self.at += 1;
            }
            Some(b'u') => {
                self.at += 1;
                let unit = self.hex4()?;
                match unit {
                    0xD800..=0xDBFF => {
                        let low = if self.step(b'\\') && self.step(b'u') {
                            self.hex4()?
                        } else {
                            0
                        };
                        if !(0xDC00..=0xDFFF).contains(&low) {
                            return Err(Fault {
                                at: from,
                                why: Why::LoneSurrogate,
                            });
                        }
                    }
                    0xDC00..=0xDFFF => {
                        return Err(Fault {
                            at: from,
                            why: Why::LoneSurrogate,
                        });
                    }
                    _ => {}
                }
                let plain = unit < 0x20
                    && ![0x08, 0x09, 0x0A, 0x0C, 0x0D].contains(&unit)
                    && !self.bytes[from..self.at].iter().any(u8::is_ascii_uppercase);
                self.canonical &= plain;
            }
            _ => return Err(self.fault("an escape")),
        }
        Ok(())
    }

    fn hex4(&mut self) -> Result<u32, Fault> {
        let mut unit = 0;
        for _ in 0..4 {
            match self.peek().and_then(|byte| char::from(byte).to_digit(16)) {
                Some(digit) => unit = unit * 16 + digit,
                None => return Err(self.fault("four hexadecimal digits")),
            }
            self.at += 1;
        }
        Ok(unit)
    }

    fn number(&mut self) -> Result<(), Fault> {
        let from = self.at;
        self.step(b'-');
        let digits_from = self.at;
        if !self.step(b'0') {
            self.digits()?;
        }
        let digits = self.at - digits_from;
        let mut whole = true;
        if self.step(b'.') {
            whole = false;
            self.digits()?;
        }
        if matches!(self.peek(), Some(b'e' | b'E')) {
            whole = false;
            self.at += 1;
            if !self.step(b'+') {
                self.step(b'-');
            }
            self.digits()?;
        }
        let text = &self.text[from..self.at];
        if whole && digits <= 15 && text != "-0" {
            return Ok(());
        }
        let number: f64 = text.parse().unwrap_or(f64::INFINITY);
        if !number.is_finite() {
            return Err(Fault {
                at: from,
                why: Why::TooLarge(text.to_owned()),
            });
        }
        let canonical = serde_json_canonicalizer::to_string(&number);
        self.canonical &= canonical.is_ok_and(|canonical| canonical == text);
        Ok(())
    }

    fn digits(&mut self) -> Result<(), Fault> {
        let from = self.at;
        while matches!(self.peek(), Some(b'0'..=b'9')) {
            self.at += 1;
        }
        if self.at == from {
            return Err(self.fault("a digit"));
        }
        Ok(())
    }
}

/// How many of the first bytes stand for themselves in a string, eight at a time.
#[inline(always)]
fn plain(bytes: &[u8]) -> usize {
    let mut at = 0;
    while let Some(eight) = bytes.get(at..).and_then(<[u8]>::first_chunk::<8>) {
        let marked = marked(u64::from_le_bytes(*eight));
        if marked != 0 {
            return at + (marked.trailing_zeros() / 8) as usize;
        }
        at += 8;
    }
    let rest = bytes.get(at..).unwrap_or_default().iter();
    let plain = |byte: &&u8| **byte >= 0x20 && **byte != b'"' && **byte != b'\\';
    at + rest.take_while(plain).count()
}

/// Of eight bytes, the first being the lowest: the high bit of the first that is a quote, a backslash or a control character is set,
/// no lower one is; above it, others may be.
#[inline(always)]
fn marked(eight: u64) -> u64 {
    const ONES: u64 = 0x0101_0101_0101_0101;
    const HIGH: u64 = 0x80 * ONES;
    let nought = |x: u64| x.wrapping_sub(ONES) & !x;
    let control = eight.wrapping_sub(0x20 * ONES) & !eight;
    let quote = nought(eight ^ (u64::from(b'"') * ONES));
    let backslash = nought(eight ^ (u64::from(b'\\') * ONES));
    (control | quote | backslash) & HIGH
}

/// RFC 8785 sorts keys by their UTF-16 units. That is the order of the bytes, but that what lies beyond the first plane comes before
/// U+E000 to U+FFFF.
fn before_in_utf16(a: &[u8], b: &[u8]) -> bool {
    let place = |byte: u8| match byte {
        0xEE | 0xEF => u16::from(byte) + 0x100,
        byte => u16::from(byte),
    };
    // Counted by hand, as it is asked of every key: at the optimisation that is shipped an iterator's steps are calls.
    let shorter = a.len().min(b.len());
    let mut at = 0;
    while at < shorter && a[at] == b[at] {
        at += 1;
    }
    if at < shorter {
        place(a[at]) < place(b[at])
    } else {
        a.len() < b.len()
    }
}

/// The canonical text of a value; a number that JSON cannot hold becomes null.
pub(crate) fn text_of(value: &impl Serialize) -> String {
    let value = serde_json::to_value(value).unwrap_or(Value::Null);
    serde_json_canonicalizer::to_string(&value)
        .expect("a JSON value holds finite numbers and string keys only")
}

/// Line and column, both from 1, of a byte offset; the column counts characters.
pub(crate) fn line_and_column(text: &str, at: usize) -> (usize, usize) {
    let mut at = at.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    let before = &text[..at];
    let line = before.bytes().filter(|&byte| byte == b'\n').count() + 1;
    let start = before.rfind('\n').map_or(0, |newline| newline + 1);
    (line, before[start..].chars().count() + 1)
}

#[cfg(test)]
mod tests;
