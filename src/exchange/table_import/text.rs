//! Bytes to text: UTF-8 with or without a byte order mark, UTF-16 with one, and Windows-1252 where nothing else fits.

use crate::exchange::windows_1252::letter;

/// How a text was written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Encoding {
    /// UTF-8.
    #[default]
    Utf8,
    /// UTF-16, with a byte order mark.
    Utf16,
    /// Taken as Windows-1252, at least in part: nothing says so, and it is doubted.
    Windows1252,
}

impl Encoding {
    /// Its name.
    pub fn name(self) -> &'static str {
        match self {
            Self::Utf8 => "UTF-8",
            Self::Utf16 => "UTF-16",
            Self::Windows1252 => "Windows-1252",
        }
    }
}

/// A text, and what is worth knowing about how it was written.
pub(super) struct Decoded {
    pub(super) text: String,
    pub(super) encoding: Encoding,
    pub(super) remarks: Vec<String>,
}

/// Never fails: a line that is not UTF-8 is taken as Windows-1252, where every byte is a letter.
pub(super) fn decode(bytes: &[u8]) -> Decoded {
    let mut remarks = Vec::new();
    let (text, encoding) = match bytes {
        [0xff, 0xfe, rest @ ..] => (
            utf_16(rest, u16::from_le_bytes, &mut remarks),
            Encoding::Utf16,
        ),
        [0xfe, 0xff, rest @ ..] => (
            utf_16(rest, u16::from_be_bytes, &mut remarks),
            Encoding::Utf16,
        ),
        _ => {
            let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
            match std::str::from_utf8(bytes) {
                Ok(text) => (text.to_owned(), Encoding::Utf8),
                Err(_) => (windows_1252(bytes, &mut remarks), Encoding::Windows1252),
            }
        }
    };
    let text = if text.contains('\0') {
        remarks.push("characters NUL stand in it; they are written as ␀".to_owned());
        text.replace('\0', "\u{2400}")
    } else {
        text
    };
    Decoded {
        text,
        encoding,
        remarks,
    }
}

/// What a text is that no mark says and that this cannot read: UTF-16 without a byte order mark, or UTF-32.
///
/// # Degenerate input
/// Fewer than eight bytes, or few zeros among them: none; single characters NUL are told otherwise.
pub(super) fn wide(bytes: &[u8]) -> Option<&'static str> {
    if matches!(bytes, [0xff, 0xfe, 0, 0, ..] | [0, 0, 0xfe, 0xff, ..]) {
        return Some("text in UTF-32");
    }
    if matches!(bytes, [0xff, 0xfe, ..] | [0xfe, 0xff, ..]) {
        return None;
    }
    let looked_at = bytes.get(..bytes.len().min(4096)).unwrap_or(bytes);
    let mut zeros = [0_usize; 4];
    for (at, _) in looked_at.iter().enumerate().filter(|(_, byte)| **byte == 0) {
        zeros[at % 4] += 1;
    }
    let quarter = looked_at.len() / 4;
    // Most letters of a table have a code below 256: all but one of their bytes are 0.
    let mostly = |zeros: usize| quarter > 1 && 10 * zeros >= 8 * quarter;
    match zeros.map(mostly) {
        [false, true, true, true] | [true, true, true, false] => Some("text in UTF-32"),
        [false, true, false, true] | [true, false, true, false] => {
            Some("text in UTF-16 without a byte order mark")
        }
        _ => None,
    }
}

fn utf_16(bytes: &[u8], unit: fn([u8; 2]) -> u16, remarks: &mut Vec<String>) -> String {
    let mut pairs = bytes.chunks_exact(2);
    let units: Vec<u16> = pairs
        .by_ref()
        .map(|pair| unit([pair[0], pair[1]]))
        .collect();
    let mut text = String::from_utf16_lossy(&units);
    if !pairs.remainder().is_empty() {
        text.push(char::REPLACEMENT_CHARACTER);
    }
    if text.contains(char::REPLACEMENT_CHARACTER) {
        remarks.push(
            "doubt: the text (UTF-16) is broken in places, which are written as \u{fffd}"
                .to_owned(),
        );
    }
    text
}

fn windows_1252(bytes: &[u8], remarks: &mut Vec<String>) -> String {
    let mut text = String::with_capacity(bytes.len() + bytes.len() / 8);
    let mut lines = 0_usize;
    for line in bytes.split_inclusive(|&byte| byte == b'\n') {
        match std::str::from_utf8(line) {
            Ok(line) => text.push_str(line),
            Err(_) => {
                lines += 1;
                text.extend(line.iter().map(|&byte| letter(byte)));
            }
        }
    }
    let which = if lines == 1 {
        "1 line is".to_owned()
    } else {
        format!("{lines} lines are")
    };
    remarks.push(format!(
        "doubt: {which} not in UTF-8; the letters were taken as Windows-1252, so look at names and degree signs"
    ));
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_of_windows_are_read_as_such() {
        let decoded = decode(b"note\n\x93grey\x94 \x96 30\xb0, 5 \x80\n");
        assert_eq!(decoded.encoding, Encoding::Windows1252);
        assert_eq!(decoded.text, "note\n“grey” – 30°, 5 €\n");
        assert!(decoded.remarks[0].contains("Windows-1252"));
    }

    #[test]
    fn wide_text_that_no_mark_says_is_named() {
        let text = "Station;Strike;Dip\n1;045;30\n";
        let utf_16: Vec<u16> = text.encode_utf16().collect();
        let little: Vec<u8> = utf_16.iter().flat_map(|unit| unit.to_le_bytes()).collect();
        let big: Vec<u8> = utf_16.iter().flat_map(|unit| unit.to_be_bytes()).collect();
        let utf_32 = |bytes: fn(u32) -> [u8; 4]| -> Vec<u8> {
            text.chars().flat_map(|c| bytes(u32::from(c))).collect()
        };
        let marked = [&[0xff, 0xfe][..], &little].concat();
        for (bytes, wanted) in [
            (&little, Some("text in UTF-16 without a byte order mark")),
            (&big, Some("text in UTF-16 without a byte order mark")),
            (&utf_32(u32::to_le_bytes), Some("text in UTF-32")),
            (&utf_32(u32::to_be_bytes), Some("text in UTF-32")),
            (
                &[&[0xff, 0xfe, 0, 0][..], &utf_32(u32::to_le_bytes)].concat(),
                Some("text in UTF-32"),
            ),
            (&marked, None),
            (&text.as_bytes().to_vec(), None),
            (&b"a,b\n1,\0\n".to_vec(), None),
            (&Vec::new(), None),
        ] {
            assert_eq!(wide(bytes), wanted, "{bytes:?}");
        }
        let table = crate::exchange::table_import::read("t.csv", &little);
        assert!(table.rows.is_empty());
        assert!(
            table.remarks[0].contains("save it as CSV in UTF-8"),
            "{:?}",
            table.remarks
        );
    }
}
