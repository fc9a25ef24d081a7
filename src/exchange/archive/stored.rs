//! Writing the archive: every file stored as it is, piece by piece, so that a large one is never in memory as a whole.

use super::{BOOK, Error, photo_path};

/// The heads and the directory of a ZIP archive whose files are written by the caller, each after its head.
///
/// Sizes stand in the heads and no clock in the dates (1 January 1980), so that the same book is the same bytes.
#[derive(Debug, Default)]
pub struct Stored {
    at: u64,
    members: u16,
    directory: Vec<u8>,
}

impl Stored {
    /// An archive with nothing in it yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// The head of the next file; its content is to follow.
    ///
    /// # Errors
    /// When a ZIP archive without extensions cannot hold it: 65,535 files, or 4 GiB.
    pub fn head(&mut self, path: &str, content: &[u8]) -> Result<Vec<u8>, Error> {
        let mut sum = CheckSum::default();
        sum.add(content);
        self.head_of(path, content.len() as u64, sum)
    }

    /// The head of the next file, which is known by its length and its check sum.
    ///
    /// # Errors
    /// Like [`Stored::head`].
    pub fn head_of(&mut self, path: &str, bytes: u64, sum: CheckSum) -> Result<Vec<u8>, Error> {
        let at = offset(self.at)?;
        let size = offset(bytes)?;
        let length = u16::try_from(path.len())
            .map_err(|_| Error::too_large(format!("a name of {} bytes", path.len())))?;
        self.members = self
            .members
            .checked_add(1)
            .filter(|&members| members < u16::MAX)
            .ok_or_else(|| Error::too_large(format!("more than {} files", u16::MAX - 1)))?;
        // APPNOTE.TXT 6.3.10 (PKWARE 2022), 4.3.7 and 4.3.12: what the head and the directory have in common.
        let mut both = Vec::with_capacity(26);
        both.extend(20_u16.to_le_bytes());
        both.extend([0; 4]);
        both.extend(0_u16.to_le_bytes());
        both.extend(0x0021_u16.to_le_bytes());
        both.extend(sum.value().to_le_bytes());
        both.extend(size.to_le_bytes());
        both.extend(size.to_le_bytes());
        both.extend(length.to_le_bytes());
        both.extend(0_u16.to_le_bytes());
        let mut head = Vec::with_capacity(30 + path.len());
        head.extend(b"PK\x03\x04");
        head.extend(&both);
        head.extend(path.as_bytes());
        self.directory.extend(b"PK\x01\x02");
        // Made on Unix, so that the file can be read by its owner and others, and written by its owner.
        self.directory.extend(0x0314_u16.to_le_bytes());
        self.directory.extend(&both);
        self.directory.extend([0; 6]);
        self.directory.extend((0o100_644_u32 << 16).to_le_bytes());
        self.directory.extend(at.to_le_bytes());
        self.directory.extend(path.as_bytes());
        self.at += head.len() as u64 + bytes;
        offset(self.at)?;
        Ok(head)
    }

    /// What ends the archive, after the last file.
    ///
    /// # Errors
    /// When the archive comes to more than 4 GiB.
    pub fn end(mut self) -> Result<Vec<u8>, Error> {
        let at = offset(self.at)?;
        let size = offset(self.directory.len() as u64)?;
        self.directory.extend(b"PK\x05\x06");
        self.directory.extend([0; 4]);
        self.directory.extend(self.members.to_le_bytes());
        self.directory.extend(self.members.to_le_bytes());
        self.directory.extend(size.to_le_bytes());
        self.directory.extend(at.to_le_bytes());
        self.directory.extend(0_u16.to_le_bytes());
        Ok(self.directory)
    }
}

/// Writes a book file and its photos, by their SHA-256, as one archive.
///
/// # Errors
/// When a ZIP archive without extensions cannot hold them: 65,534 photos, or 4 GiB.
pub fn write<'a>(
    book: &str,
    photos: impl IntoIterator<Item = (&'a str, &'a [u8])>,
) -> Result<Vec<u8>, Error> {
    let mut stored = Stored::new();
    let mut bytes = stored.head(BOOK, book.as_bytes())?;
    bytes.extend(book.as_bytes());
    for (sha256, content) in photos {
        bytes.extend(stored.head(&photo_path(sha256), content)?);
        bytes.extend(content);
    }
    bytes.extend(stored.end()?);
    Ok(bytes)
}

/// How many bytes an archive will have: of a book file of so many bytes, and so many photos that have so many together.
pub fn size(book: u64, photos: usize, photo_bytes: u64) -> u64 {
    let overhead = |name: usize| 30 + 46 + 2 * name as u64;
    let each = overhead(photo_path("").len() + 64);
    22 + overhead(BOOK.len()) + book + photos as u64 * each + photo_bytes
}

/// A place or a size as the archive holds it.
fn offset(bytes: u64) -> Result<u32, Error> {
    u32::try_from(bytes)
        .ok()
        .filter(|&offset| offset < u32::MAX)
        .ok_or_else(|| {
            Error::too_large(format!(
                "{bytes} bytes, and a little under 4 GiB are the most"
            ))
        })
}

/// The check sum of a ZIP archive: CRC-32 of ISO 3309, reflected, polynomial 0xEDB88320.
#[derive(Clone, Copy, Debug)]
pub struct CheckSum(u32);

impl Default for CheckSum {
    fn default() -> Self {
        Self(!0)
    }
}

impl CheckSum {
    /// Goes on with more bytes.
    pub fn add(&mut self, bytes: &[u8]) {
        self.0 = bytes.iter().fold(self.0, |crc, &byte| {
            (crc >> 8) ^ TABLE[usize::from(crc.to_le_bytes()[0] ^ byte)]
        });
    }

    fn value(self) -> u32 {
        !self.0
    }
}

const TABLE: [u32; 256] = {
    let mut table = [0; 256];
    let mut index = 0;
    while index < 256 {
        // Below 256: nothing is cut off.
        #[allow(clippy::cast_possible_truncation)]
        let mut value = index as u32;
        let mut bit = 0;
        while bit < 8 {
            value = (value >> 1) ^ (0xEDB8_8320 & (value & 1).wrapping_neg());
            bit += 1;
        }
        table[index] = value;
        index += 1;
    }
    table
};

#[cfg(test)]
mod tests {
    use super::*;

    /// The check value of this sum, over the nine digits from 1, is quoted from memory; unzip and Python agree (tests/archive.rs).
    #[test]
    fn the_check_sum_is_the_published_one() {
        let mut sum = CheckSum::default();
        assert_eq!(sum.value(), 0);
        sum.add(b"1234");
        sum.add(b"56789");
        assert_eq!(sum.value(), 0xCBF4_3926);
    }

    #[test]
    fn what_does_not_fit_is_said_before_it_is_written() {
        let mut full = Stored {
            at: u64::from(u32::MAX) - 40,
            ..Stored::default()
        };
        let error = full.head("photos/x.jpg", b"0123456789").unwrap_err();
        assert!(error.to_string().contains("4 GiB"), "{error}");
        let mut many = Stored {
            members: u16::MAX - 1,
            ..Stored::default()
        };
        let error = many.head("photos/x.jpg", b"").unwrap_err();
        assert!(error.to_string().contains("65534 files"), "{error}");
        assert!(error.to_string().contains("; "), "{error}");
    }
}
