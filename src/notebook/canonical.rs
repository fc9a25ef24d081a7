//! JSON as RFC 8785 writes it: one strict pass over a text that says where it is broken and whether it is canonical.
//!
//! The strict pass exists because a book must notice what ordinary readers let through: a key given twice,
//! half a surrogate pair, a number too large to hold, nesting without end.

use std::borrow::Cow;
use std::ops::Range;

use serde::Serialize;
use serde_json::Value;

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
mod tests {
    use super::*;

    fn scan(text: &str) -> Result<bool, Fault> {
        let mut scan = Scan::new(text);
        scan.space();
        scan.value(0)?;
        scan.end()?;
        Ok(scan.canonical)
    }

    /// The appendix of RFC 8785 (Rundgren, Jordan & Erdtman 2020), section 3.2.2 and 3.2.3: its sample input and output.
    #[test]
    fn sample_of_rfc_8785() {
        let input = r#"{
            "numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001],
            "string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/",
            "literals": [null, true, false]
        }"#;
        let output = "{\"literals\":[null,true,false],\"numbers\":[333333333.3333333,1e+30,4.5,0.002,1e-27],\"string\":\"€$\\u000f\\nA'B\\\"\\\\\\\\\\\"/\"}";
        assert_eq!(scan(input), Ok(false));
        assert_eq!(scan(output), Ok(true));
        let value: Value = serde_json::from_str(input).unwrap();
        assert_eq!(text_of(&value), output);
    }

    /// RFC 8785 section 3.2.3: keys sorted by UTF-16 units, so an emoji comes before U+FB33.
    #[test]
    fn keys_sort_by_utf16() {
        assert_eq!(
            scan("{\"\\r\":1,\"1\":2,\"\u{80}\":3,\"ö\":4,\"€\":5,\"😀\":6,\"\u{fb33}\":7}"),
            Ok(true)
        );
        assert_eq!(scan("{\"\u{fb33}\":7,\"😀\":6}"), Ok(false));
    }

    #[test]
    fn faults_say_where_and_why() {
        let check = |text: &str, at: usize, why: &str| {
            let fault = scan(text).unwrap_err();
            assert_eq!(
                (fault.at, fault.why.to_string().as_str()),
                (at, why),
                "{text}"
            );
        };
        check("{\"a\":1,\"a\":2}", 7, "the key `a` is given twice");
        check("{\"b\":1,\"\\u0062\":2}", 7, "the key `b` is given twice");
        check("[1e999]", 1, "the number `1e999` is larger than any can be");
        check("[NaN]", 1, "`N` stands where a value belongs");
        check("[\"\\ud800\"]", 2, "half of a surrogate pair stands alone");
        check("[\"\\udc00x\"]", 2, "half of a surrogate pair stands alone");
        check("[\"a", 3, "the text stops in the middle");
        check("[01]", 2, "`1` stands where `,` or `]` belongs");
        check("[1,]", 3, "`]` stands where a value belongs");
        check(
            "[\"\t\"]",
            2,
            "`\\t` stands where an escape for a control character belongs",
        );
        check("[] x", 3, "`x` stands where the end belongs");
        let deep = "[".repeat(1_000_000);
        check(&deep, DEEPEST, "nested more than 64 deep");
    }

    #[test]
    fn columns_count_characters() {
        assert_eq!(line_and_column("ab\nöx", 5), (2, 2));
        assert_eq!(line_and_column("", 9), (1, 1));
    }

    proptest::proptest! {
        #![proptest_config(proptest::test_runner::Config {
            cases: 2000,
            failure_persistence: None,
            ..Default::default()
        })]

        #[test]
        fn agrees_with_serde_json_on_what_is_json(text in "[\\[\\]{}\",:0-9eE.+\\-a\\\\u ]{0,24}") {
            let ours = scan(&text);
            let theirs = serde_json::from_str::<Value>(&text);
            // Ours is stricter: keys given twice are the one difference.
            match (&ours, &theirs) {
                (Err(fault), Ok(_)) => proptest::prop_assert!(matches!(fault.why, Why::Twice(_)), "{fault:?}"),
                (Ok(_), Err(error)) => proptest::prop_assert!(false, "{error} in {text}"),
                _ => {}
            }
        }

        #[test]
        fn plain_bytes_are_counted_as_one_by_one(bytes in proptest::collection::vec(
            proptest::prop_oneof![0x18..0x28_u8, 0x58..0x60_u8, proptest::num::u8::ANY], 0..40
        )) {
            let one_by_one = bytes.iter().take_while(|b| **b >= 0x20 && **b != b'"' && **b != b'\\');
            proptest::prop_assert_eq!(plain(&bytes), one_by_one.count());
        }

        #[test]
        fn keys_stand_in_the_order_of_their_utf16(
            a in "[aé\u{d7ff}\u{e000}\u{ffff}\u{10000}😀]{0,4}",
            b in "[aé\u{d7ff}\u{e000}\u{ffff}\u{10000}😀]{0,4}",
        ) {
            proptest::prop_assert_eq!(before_in_utf16(a.as_bytes(), b.as_bytes()), a.encode_utf16().lt(b.encode_utf16()));
        }

        #[test]
        fn what_the_crate_writes_is_canonical(number in proptest::num::f64::NORMAL, key in ".{0,6}", text in ".{0,12}") {
            let value = serde_json::json!({ key: number, "text": text });
            proptest::prop_assert_eq!(scan(&text_of(&value)), Ok(true));
        }
    }
}
