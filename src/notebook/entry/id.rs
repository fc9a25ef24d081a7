//! What entries and records are called.

use std::borrow::Borrow;
use std::fmt;
use std::hash::{BuildHasherDefault, Hash, Hasher};
use std::str::FromStr;
use std::sync::Arc;

use serde::{Deserialize, Deserializer, Serialize, Serializer, de};
use sha2::{Digest, Sha256};

use super::Error;
use crate::notebook::canonical;

/// The SHA-256 of an entry's canonical text; written as 64 hexadecimal digits, lower case.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct EntryId([u8; 32]);

/// An id is a hash already: some of its bytes tell it from others as well as all.
impl Hash for EntryId {
    fn hash<H: Hasher>(&self, state: &mut H) {
        let [a, b, c, d, e, f, g, h, ..] = self.0;
        state.write_u64(u64::from_le_bytes([a, b, c, d, e, f, g, h]));
    }
}

/// Takes what an id gives it as it is.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct AsGiven(u64);

impl Hasher for AsGiven {
    fn write(&mut self, bytes: &[u8]) {
        for byte in bytes {
            self.0 = self.0.rotate_left(8) ^ u64::from(*byte);
        }
    }

    fn write_u64(&mut self, number: u64) {
        self.0 = number;
    }

    fn finish(&self) -> u64 {
        self.0
    }
}

/// How tables by id are built.
pub(crate) type ById = BuildHasherDefault<AsGiven>;

impl EntryId {
    pub(super) fn of(text: &str) -> Self {
        Self(Sha256::digest(text.as_bytes()).into())
    }

    pub(super) fn write(self, text: &mut String) {
        text.push_str(std::str::from_utf8(&self.digits()).unwrap_or_default());
    }

    /// The 64 digits of its text.
    pub(crate) fn digits(self) -> [u8; 64] {
        let mut digits = [0; 64];
        // Counted by hand: at the optimisation that is shipped an iterator's steps are calls, and there are thousands of ids.
        let mut i = 0;
        while i < 32 {
            let four = [self.0[i], self.0[i + 1], self.0[i + 2], self.0[i + 3]];
            let eight = hexadecimal(u32::from_be_bytes(four).into());
            digits[2 * i..2 * i + 8].copy_from_slice(&eight.to_be_bytes());
            i += 4;
        }
        digits
    }

    /// What 64 digits say.
    pub(super) fn of_digits(digits: &[u8; 64]) -> Option<Self> {
        let mut id = [0; 32];
        let mut seen = 0;
        let mut i = 0;
        while i < 32 {
            let high = VALUES[usize::from(digits[2 * i])];
            let low = VALUES[usize::from(digits[2 * i + 1])];
            seen |= high | low;
            id[i] = high << 4 | low & 15;
            i += 1;
        }
        (seen < 16).then_some(Self(id))
    }
}

/// A SHA-256 as it is written: 64 hexadecimal digits, lower case.
pub(crate) fn in_digits(hash: impl Into<[u8; 32]>) -> String {
    EntryId(hash.into()).to_string()
}

/// The eight digits of four bytes: each half of a byte is moved to a byte of its own, and all become digits at once.
#[inline(always)]
fn hexadecimal(four: u64) -> u64 {
    const ONES: u64 = 0x0101_0101_0101_0101;
    let pairs = (four << 16 | four) & 0x0000_ffff_0000_ffff;
    let bytes = (pairs << 8 | pairs) & 0x00ff_00ff_00ff_00ff;
    let halves = (bytes << 4 | bytes) & (0x0f * ONES);
    let letters = ((halves + 6 * ONES) >> 4) & ONES;
    halves + u64::from(b'0') * ONES + letters * u64::from(b'a' - b'9' - 1)
}

/// What each byte is worth as a hexadecimal digit in lower case; 255 where it is none.
const VALUES: [u8; 256] = {
    let mut values = [255; 256];
    let mut value = 0;
    while value < 16 {
        values[b"0123456789abcdef"[value as usize] as usize] = value;
        value += 1;
    }
    values
};

impl fmt::Display for EntryId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(std::str::from_utf8(&self.digits()).unwrap_or_default())
    }
}

impl fmt::Debug for EntryId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(self, f)
    }
}

impl FromStr for EntryId {
    type Err = Error;

    /// Reads 64 hexadecimal digits in lower case; anything else is an error.
    fn from_str(text: &str) -> Result<Self, Error> {
        let digits = text.as_bytes().try_into().ok();
        digits.and_then(Self::of_digits).ok_or_else(|| {
            Error::shape(format!(
                "the id `{}` is not 64 hexadecimal digits in lower case",
                canonical::short(text)
            ))
        })
    }
}

impl Serialize for EntryId {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for EntryId {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Hex;
        impl de::Visitor<'_> for Hex {
            type Value = EntryId;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("an id of 64 hexadecimal digits in lower case")
            }
            fn visit_str<E: de::Error>(self, text: &str) -> Result<EntryId, E> {
                text.parse().map_err(E::custom)
            }
        }
        deserializer.deserialize_str(Hex)
    }
}

/// The name of a record, given by the caller: a UUID as text.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct RecordId(Arc<str>);

impl RecordId {
    /// The name as text.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl From<&str> for RecordId {
    fn from(text: &str) -> Self {
        Self(text.into())
    }
}

impl From<String> for RecordId {
    fn from(text: String) -> Self {
        Self(text.into())
    }
}

impl Borrow<str> for RecordId {
    fn borrow(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for RecordId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl fmt::Debug for RecordId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Debug::fmt(&self.0, f)
    }
}

impl Serialize for RecordId {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.0)
    }
}

impl<'de> Deserialize<'de> for RecordId {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        String::deserialize(deserializer).map(Self::from)
    }
}

/// The id that stands as a JSON string.
pub(crate) fn stated_id(text: &str) -> Result<EntryId, Error> {
    let digits = text.strip_prefix('"').and_then(|t| t.strip_suffix('"'));
    if let Some(id) = digits.and_then(|digits| digits.parse().ok()) {
        return Ok(id);
    }
    serde_json::from_str(text)
        .map_err(|_| Error::shape("its id is not 64 hexadecimal digits in lower case".to_owned()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_byte_has_its_two_digits_in_each_place() {
        for byte in 0..=255_u8 {
            for place in 0..32 {
                let mut bytes = [0x5A; 32];
                bytes[place] = byte;
                let digits: String = bytes.iter().map(|byte| format!("{byte:02x}")).collect();
                let id = EntryId(bytes);
                assert_eq!(id.to_string(), digits);
                assert_eq!(digits.parse(), Ok(id));
            }
        }
    }
}
