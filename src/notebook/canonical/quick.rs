//! The quick way over a value in canonical form, without a word on what is wrong: whatever it does not know, the strict pass reads.

use super::{Scan, before_in_utf16, plain};

/// Deeper nesting is left to the strict pass: our own records need six levels.
const DEEPEST: usize = 16;

/// What is open at one level: the key that was read last in an object, from its first character to behind its last. No key stands
/// at the beginning of a text, so that a list has this.
type Open = (usize, usize);
const LIST: Open = (0, 0);

/// Where the value that begins at a place of a text ends; `None` where it is not canonical, or the strict pass has to tell.
pub(crate) fn end_of_value(text: &str, from: usize) -> Option<usize> {
    let bytes = text.as_bytes();
    let mut open = [LIST; DEEPEST];
    let mut depth = 0;
    let mut at = from;
    loop {
        at = match *bytes.get(at)? {
            b'"' => end_of_string(bytes, at)?,
            b'{' if bytes.get(at + 1) == Some(&b'}') => at + 2,
            b'{' => {
                let key = key(bytes, at + 1)?;
                *open.get_mut(depth)? = key;
                depth += 1;
                at = key.1 + 2;
                continue;
            }
            b'[' if bytes.get(at + 1) == Some(&b']') => at + 2,
            b'[' => {
                *open.get_mut(depth)? = LIST;
                depth += 1;
                at += 1;
                continue;
            }
            b'0'..=b'9' | b'-' => end_of_number(text, at)?,
            b't' => behind(bytes, at, b"true")?,
            b'f' => behind(bytes, at, b"false")?,
            b'n' => behind(bytes, at, b"null")?,
            _ => return None,
        };
        loop {
            let Some(last) = open.get_mut(..depth)?.last_mut() else {
                return Some(at);
            };
            match (*bytes.get(at)?, *last) {
                (b',', LIST) => {
                    at += 1;
                    break;
                }
                (b',', before) => {
                    let key = key(bytes, at + 1)?;
                    if !before_in_utf16(&bytes[before.0..before.1], &bytes[key.0..key.1]) {
                        return None;
                    }
                    *last = key;
                    at = key.1 + 2;
                    break;
                }
                (b']', LIST) => {}
                (b'}', before) if before != LIST => {}
                _ => return None,
            }
            depth -= 1;
            at += 1;
        }
    }
}

/// The string that begins at a place and has nothing escaped in it: from its first character to behind its last.
#[inline(always)]
pub(crate) fn plain_string(bytes: &[u8], at: usize) -> Option<(usize, usize)> {
    if *bytes.get(at)? != b'"' {
        return None;
    }
    let end = at + 1 + plain(bytes.get(at + 1..)?);
    (*bytes.get(end)? == b'"').then_some((at + 1, end))
}

/// Behind a word that stands at a place.
#[inline(always)]
pub(crate) fn behind(bytes: &[u8], at: usize, word: &[u8]) -> Option<usize> {
    bytes
        .get(at..)?
        .starts_with(word)
        .then_some(at + word.len())
}

/// A key, its colon behind it.
#[inline(always)]
fn key(bytes: &[u8], at: usize) -> Option<Open> {
    let key = plain_string(bytes, at)?;
    (*bytes.get(key.1 + 1)? == b':').then_some(key)
}

/// The end of a string; of what may be escaped in it, what has a letter of its own.
#[inline(always)]
pub(crate) fn end_of_string(bytes: &[u8], from: usize) -> Option<usize> {
    let mut at = from + 1;
    loop {
        at += plain(bytes.get(at..)?);
        match *bytes.get(at)? {
            b'"' => return Some(at + 1),
            b'\\'
                if matches!(
                    bytes.get(at + 1)?,
                    b'"' | b'\\' | b'b' | b'f' | b'n' | b'r' | b't'
                ) =>
            {
                at += 2;
            }
            _ => return None,
        }
    }
}

#[inline(always)]
fn end_of_number(text: &str, from: usize) -> Option<usize> {
    let bytes = text.as_bytes();
    let mut at = from;
    while matches!(bytes.get(at), Some(b'0'..=b'9')) {
        at += 1;
    }
    let digits = at - from;
    let short = bytes[from] != b'0' || digits == 1;
    let whole = !matches!(bytes.get(at), Some(b'.' | b'e' | b'E'));
    if (1..=15).contains(&digits) && short && whole {
        return Some(at);
    }
    let mut scan = Scan::new(text.get(from..)?);
    let number = scan.value(0).ok()?;
    scan.canonical.then_some(from + number.end)
}
