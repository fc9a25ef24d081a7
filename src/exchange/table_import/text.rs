//! Bytes to text: UTF-8 with or without a byte order mark, UTF-16 with one, and Latin-1 where nothing else fits.

/// How a text was written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Encoding {
    /// UTF-8.
    #[default]
    Utf8,
    /// UTF-16, with a byte order mark.
    Utf16,
    /// Taken as Latin-1, at least in part: nothing says so, and it is doubted.
    Latin1,
}

impl Encoding {
    /// Its name.
    pub fn name(self) -> &'static str {
        match self {
            Self::Utf8 => "UTF-8",
            Self::Utf16 => "UTF-16",
            Self::Latin1 => "Latin-1",
        }
    }
}

/// A text, and what is worth knowing about how it was written.
pub(super) struct Decoded {
    pub(super) text: String,
    pub(super) encoding: Encoding,
    pub(super) remarks: Vec<String>,
}

/// Never fails: a line that is not UTF-8 is taken as Latin-1, where every byte is a letter.
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
                Err(_) => (latin_1(bytes, &mut remarks), Encoding::Latin1),
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

fn latin_1(bytes: &[u8], remarks: &mut Vec<String>) -> String {
    let mut text = String::with_capacity(bytes.len() + bytes.len() / 8);
    let mut lines = 0_usize;
    for line in bytes.split_inclusive(|&byte| byte == b'\n') {
        match std::str::from_utf8(line) {
            Ok(line) => text.push_str(line),
            Err(_) => {
                lines += 1;
                text.extend(line.iter().map(|&byte| char::from(byte)));
            }
        }
    }
    let which = if lines == 1 {
        "1 line is".to_owned()
    } else {
        format!("{lines} lines are")
    };
    remarks.push(format!(
        "doubt: {which} not in UTF-8; the letters were taken as Latin-1, so look at names and degree signs"
    ));
    text
}
