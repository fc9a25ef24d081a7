//! An archive that is read where it stands, photo by photo: it is never in memory as a whole.

use std::borrow::Cow;
use std::io::Read;
use std::ops::Range;

use rawzip::{CompressionMethod, RECOMMENDED_BUFFER_SIZE, RangeReader, ReaderAt, ZipLocator};

use super::Error;
use super::members::{
    LARGEST_BOOK, LARGEST_PHOTO, LARGEST_SUM, Listing, Member, Sorted, breaks_off, no_directory,
    not_there,
};
use crate::notebook::photos;

/// A name and what else stands in a head are at most so long, bytes: APPNOTE.TXT 6.3.10 (PKWARE 2022), 4.4.10 to 4.4.12.
const LONGEST_HEAD: usize = 4 << 16;

/// An archive whose files were listed and checked, and none of them read.
pub struct Filed<R> {
    file: R,
    sorted: Sorted,
    /// What deflated photos may still unpack to, bytes.
    left: u64,
}

/// A photo of an archive, held against its SHA-256.
pub struct Photo {
    /// The SHA-256 that it claims.
    pub sha256: String,
    /// Its name in the archive.
    pub path: String,
    /// Its bytes, or what is wrong with them.
    pub content: Result<Vec<u8>, String>,
    /// Where its bytes begin in the file, where they stand there as they are.
    pub from: Option<u64>,
}

impl<R: ReaderAt> Filed<R> {
    /// Opens an archive of so many bytes; it is refused for the same reasons as one that is [held whole](super::open).
    ///
    /// # Errors
    /// Where there is no book in it, or where the archive contradicts itself.
    pub fn open(file: R, length: u64) -> Result<Self, Error> {
        let members = listed(&file, length)?;
        Ok(Self::with(file, Sorted::of(members)?))
    }

    /// Opens an archive that has lost its directory, by the heads of its files; what they say is not checked against anything.
    ///
    /// # Degenerate input
    /// `None` where no book is found. A file that was cut off counts as far as it goes, and so does a deflated one whose size
    /// stands only behind it.
    pub fn of_heads(file: R, length: u64) -> Option<Self> {
        let sorted = Sorted::of(by_heads(&file, length)).ok()?;
        Some(Self::with(file, sorted))
    }

    fn with(file: R, sorted: Sorted) -> Self {
        Self {
            file,
            sorted,
            left: LARGEST_SUM,
        }
    }

    /// Where the book file stands, if it stands there as it is.
    pub fn stored_book(&self) -> Option<Range<u64>> {
        let book = &self.sorted.book;
        book.is_stored().then(|| book.packed.clone())
    }

    /// The bytes of a book file that is packed.
    ///
    /// # Errors
    /// Where they are not as the archive says, or come to more than a book can.
    pub fn unpacked_book(&self) -> Result<Vec<u8>, Error> {
        let content = self.content(&self.sorted.book, LARGEST_BOOK);
        content.map_err(|why| self.sorted.no_book(&why))
    }

    /// As much of a packed book file as can be unpacked of one that is damaged.
    pub fn rest_of_book(&self) -> Vec<u8> {
        let book = &self.sorted.book;
        if book.encrypted || book.method != CompressionMethod::DEFLATE {
            return Vec::new();
        }
        let most = usize::try_from(LARGEST_BOOK).unwrap_or(usize::MAX);
        let packed = self.packed(book).unwrap_or_default();
        match miniz_oxide::inflate::decompress_to_vec_with_limit(&packed, most) {
            Ok(bytes) => bytes,
            Err(broken) => {
                // The room that was made for more is filled with noughts, which no book holds.
                let mut bytes = broken.output;
                let end = bytes.iter().rposition(|&byte| byte != 0);
                bytes.truncate(end.map_or(0, |end| end + 1));
                bytes
            }
        }
    }

    /// Reads what stands at a place of the file.
    pub fn part(&self, range: Range<u64>) -> impl Read {
        RangeReader::new(&self.file, range)
    }

    /// The names of the files that are neither the book nor have the name of a photo.
    pub fn unknown(&self) -> &[String] {
        &self.sorted.unknown
    }

    /// How many files have the name of a photo.
    pub fn photos(&self) -> usize {
        self.sorted.photos.len()
    }

    /// Reads and proves a photo by its place, from 0; `None` past the last.
    pub fn photo(&mut self, place: usize) -> Option<Photo> {
        let (sha256, member) = self.sorted.photos.get(place)?;
        let content = self.content(member, LARGEST_PHOTO.min(self.left));
        let from = member.is_stored().then_some(member.packed.start);
        if let (Ok(bytes), None) = (&content, from) {
            self.left -= (bytes.len() as u64).min(self.left);
        }
        let content = content.and_then(|bytes| {
            if photos::sha256(&bytes) == *sha256 {
                Ok(bytes)
            } else {
                Err("its bytes were changed".to_owned())
            }
        });
        Some(Photo {
            sha256: sha256.clone(),
            path: member.name.clone(),
            content,
            from,
        })
    }

    fn content(&self, member: &Member, most: u64) -> Result<Vec<u8>, String> {
        member.may_be_read(most)?;
        let packed = self.packed(member)?;
        member.unpacked(Cow::Owned(packed)).map(Cow::into_owned)
    }

    fn packed(&self, member: &Member) -> Result<Vec<u8>, String> {
        let length = member.packed.end.saturating_sub(member.packed.start);
        let mut bytes = Vec::new();
        let mut part = RangeReader::new(&self.file, member.packed.clone());
        match part.read_to_end(&mut bytes) {
            Ok(read) if read as u64 == length => Ok(bytes),
            Ok(read) => Err(format!("it has {length} bytes and {read} can be read")),
            Err(error) => Err(format!("it cannot be read: {error}")),
        }
    }
}

/// Every file of the archive, where it does not contradict itself.
fn listed<R: ReaderAt>(file: &R, length: u64) -> Result<Vec<Member>, Error> {
    let mut buffer = vec![0; RECOMMENDED_BUFFER_SIZE.max(LONGEST_HEAD)];
    let archive = ZipLocator::new()
        .locate_in_reader(file, &mut buffer, length)
        .map_err(|_| no_directory())?;
    let mut listing = Listing::of(archive.entries_hint(), archive.end_offset(), length)?;
    let mut head = vec![0; LONGEST_HEAD];
    let mut entries = archive.entries(&mut buffer);
    while let Some(entry) = entries.next_entry().map_err(|_| breaks_off())? {
        if !listing.expects_more() {
            break;
        }
        let away = |_| not_there(entry.file_path().as_bytes());
        let found = archive.get_entry(entry.wayfinder()).map_err(away)?;
        let (start, end) = found.compressed_data_range();
        if length < end {
            return Err(not_there(entry.file_path().as_bytes()));
        }
        let head = found.local_header(&mut head).map_err(away)?;
        listing.add(&entry, &head, start..end)?;
    }
    listing.close(archive.directory_offset())
}

/// The files of an archive as head follows on file, up to where none does.
fn by_heads<R: ReaderAt>(file: &R, length: u64) -> Vec<Member> {
    // APPNOTE.TXT 6.3.10 (PKWARE 2022), 4.3.7.
    const HEAD: usize = 30;
    const ENCRYPTED: u16 = 1;
    const SIZE_FOLLOWS: u16 = 1 << 3;
    let mut members = Vec::new();
    let mut at = 0;
    let mut head = [0; HEAD];
    while file.read_exact_at(&mut head, at).is_ok() && head.starts_with(b"PK\x03\x04") {
        let short = |place: usize| u16::from_le_bytes([head[place], head[place + 1]]);
        let long = |place: usize| u64::from(short(place)) | u64::from(short(place + 2)) << 16;
        let (flags, name_length) = (short(6), usize::from(short(26)));
        let mut name = vec![0; name_length];
        if file.read_exact_at(&mut name, at + HEAD as u64).is_err() {
            break;
        }
        let from = at + (HEAD + name_length) as u64 + u64::from(short(28));
        let is_open = flags & SIZE_FOLLOWS != 0 && long(18) == 0;
        let to = if is_open { length } else { from + long(18) };
        members.push(Member {
            name: String::from_utf8_lossy(&name).into_owned(),
            packed: from.min(length)..to.min(length),
            method: CompressionMethod::from(short(8)),
            encrypted: flags & ENCRYPTED != 0,
            size: long(22),
        });
        at = to;
    }
    members
}
