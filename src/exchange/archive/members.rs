//! The files in a ZIP archive, listed and checked before any is read. The container is read by `rawzip`; what it leaves to its
//! caller is decided here: names, twins, overlaps, contradictions, and how much anything may unpack to.

use std::borrow::Cow;
use std::collections::HashSet;
use std::ops::Range;

use rawzip::{CompressionMethod, ZipArchive, ZipFileHeaderRecord, ZipLocalFileHeader};

use super::{BOOK, Error, photo_path};
use crate::notebook::canonical::short;
use crate::notebook::photos::is_sha256;

/// More files than this are refused before they are looked at.
const MOST_MEMBERS: u64 = 100_000;

/// A deflated book file may unpack to this many bytes.
pub(super) const LARGEST_BOOK: u64 = 256 << 20;

/// A deflated photo may unpack to this many bytes.
pub(super) const LARGEST_PHOTO: u64 = 32 << 20;

/// A deflated file of up to this many bytes may be packed as densely as it likes.
const SMALL: u64 = 16 << 20;

/// A larger one may be so many times as large as it is packed: every entry holds a hash, which nothing packs, so a book comes to
/// a few dozen at the most.
const MOST_TIMES: u64 = 250;

/// All deflated photos together may unpack to this many bytes.
pub(super) const LARGEST_SUM: u64 = 512 << 20;

/// One file of the archive.
pub(super) struct Member {
    pub(super) name: String,
    /// Where its packed bytes stand in the archive.
    pub(super) packed: Range<u64>,
    pub(super) method: CompressionMethod,
    pub(super) encrypted: bool,
    /// The size it claims.
    pub(super) size: u64,
}

impl Member {
    /// It stands in the archive as it is.
    pub(super) fn is_stored(&self) -> bool {
        self.method == CompressionMethod::STORE && !self.encrypted
    }

    /// Whether its packed bytes may be looked at, and unpack to at most so many; or why not, to be said after its name.
    pub(super) fn may_be_read(&self, most: u64) -> Result<(), String> {
        let packed = self.packed.end.saturating_sub(self.packed.start);
        if self.encrypted {
            return Err("it is encrypted".to_owned());
        }
        match self.method {
            CompressionMethod::STORE if packed == self.size => Ok(()),
            CompressionMethod::STORE => Err(self.claims(packed)),
            CompressionMethod::DEFLATE if self.size > most => Err(format!(
                "it unpacks to {} bytes, and {most} are the most",
                self.size
            )),
            CompressionMethod::DEFLATE if self.size > SMALL && self.size / MOST_TIMES > packed => {
                Err(format!(
                    "it unpacks from {packed} bytes to {}, and {MOST_TIMES} times as many are the most",
                    self.size
                ))
            }
            CompressionMethod::DEFLATE => Ok(()),
            other => Err(format!(
                "it is packed in a way that is not known here ({other})"
            )),
        }
    }

    fn claims(&self, found: u64) -> String {
        format!("it claims {} bytes and has {found}", self.size)
    }

    /// Its bytes, of its packed ones; or why not, to be said after its name.
    pub(super) fn unpacked<'a>(&self, packed: Cow<'a, [u8]>) -> Result<Cow<'a, [u8]>, String> {
        if self.is_stored() {
            return Ok(packed);
        }
        let limit = usize::try_from(self.size).unwrap_or(usize::MAX);
        match miniz_oxide::inflate::decompress_to_vec_with_limit(&packed, limit) {
            Ok(bytes) if bytes.len() == limit => Ok(Cow::Owned(bytes)),
            Ok(bytes) => Err(self.claims(bytes.len() as u64)),
            Err(error) if error.status == miniz_oxide::inflate::TINFLStatus::HasMoreOutput => {
                Err(format!("it claims {limit} bytes and unpacks to more"))
            }
            Err(_) => Err("it cannot be unpacked".to_owned()),
        }
    }

    /// Its bytes, of at most so many; or why not, to be said after its name.
    fn content<'a>(&self, archive: &'a [u8], most: u64) -> Result<Cow<'a, [u8]>, String> {
        self.may_be_read(most)?;
        let within = |at: u64| usize::try_from(at).unwrap_or(usize::MAX);
        let packed = archive.get(within(self.packed.start)..within(self.packed.end));
        self.unpacked(Cow::Borrowed(packed.unwrap_or_default()))
    }
}

/// The files of an archive, by what they are.
pub(super) struct Sorted {
    pub(super) book: Member,
    /// With the SHA-256 that each claims in its name.
    pub(super) photos: Vec<(String, Member)>,
    /// The names of all others.
    pub(super) unknown: Vec<String>,
}

impl Sorted {
    /// Sorts what is in an archive.
    pub(super) fn of(mut members: Vec<Member>) -> Result<Self, Error> {
        let books: Vec<usize> = (0..members.len())
            .filter(|&place| folder_of_book(&members[place].name).is_some())
            .collect();
        let book = match books.as_slice() {
            [] => {
                return Err(Error::foreign(match members.as_slice() {
                    [] => "it is empty".to_owned(),
                    [one] => format!("it holds `{}`", short(&one.name)),
                    [first, rest @ ..] => {
                        format!("it holds `{}` and {} more", short(&first.name), rest.len())
                    }
                }));
            }
            [one] => members.remove(*one),
            [one, two, ..] => {
                return Err(Error::refused(format!(
                    "it holds two books, `{}` and `{}`",
                    short(&members[*one].name),
                    short(&members[*two].name)
                )));
            }
        };
        let folder = folder_of_book(&book.name).unwrap_or_default().to_owned();
        let mut photos = Vec::new();
        let mut unknown = Vec::new();
        for member in members {
            let photo = member.name.strip_prefix(&folder).and_then(sha256_of);
            match photo.map(str::to_owned) {
                Some(sha256) => photos.push((sha256, member)),
                None => unknown.push(member.name),
            }
        }
        Ok(Self {
            book,
            photos,
            unknown,
        })
    }

    /// The book file was not read, and why.
    pub(super) fn no_book(&self, why: &str) -> Error {
        Error::refused(format!("`{}`: {why}", short(&self.book.name)))
    }
}

/// The files of an archive that is held whole.
pub(super) struct Members<'a> {
    bytes: &'a [u8],
    sorted: Sorted,
}

impl<'a> Members<'a> {
    /// Lists what is in an archive.
    pub(super) fn of(bytes: &'a [u8]) -> Result<Self, Error> {
        let sorted = Sorted::of(listed(bytes)?)?;
        Ok(Self { bytes, sorted })
    }

    /// The bytes of the book file.
    pub(super) fn book(&self) -> Result<Cow<'a, [u8]>, Error> {
        let content = self.sorted.book.content(self.bytes, LARGEST_BOOK);
        content.map_err(|why| self.sorted.no_book(&why))
    }

    /// The names of what is neither the book nor a photo.
    pub(super) fn take_unknown(&mut self) -> Vec<String> {
        std::mem::take(&mut self.sorted.unknown)
    }

    /// The photos one by one.
    pub(super) fn photos(self) -> Photos<'a> {
        Photos {
            bytes: self.bytes,
            members: self.sorted.photos.into_iter(),
            left: LARGEST_SUM,
        }
    }
}

/// The photos of an archive one by one: the SHA-256 that each claims, its name, and its bytes or what is wrong with them.
pub(super) struct Photos<'a> {
    bytes: &'a [u8],
    members: std::vec::IntoIter<(String, Member)>,
    /// What deflated photos may still unpack to, bytes.
    left: u64,
}

impl<'a> Iterator for Photos<'a> {
    type Item = (String, String, Result<Cow<'a, [u8]>, String>);

    fn next(&mut self) -> Option<Self::Item> {
        let (sha256, member) = self.members.next()?;
        let content = member.content(self.bytes, LARGEST_PHOTO.min(self.left));
        if let Ok(Cow::Owned(bytes)) = &content {
            self.left -= (bytes.len() as u64).min(self.left);
        }
        Some((sha256, member.name, content))
    }

    fn size_hint(&self) -> (usize, Option<usize>) {
        self.members.size_hint()
    }
}

impl ExactSizeIterator for Photos<'_> {}

/// The folder a book file stands in, empty at the top; `None` where the name is not that of a book file.
fn folder_of_book(name: &str) -> Option<&str> {
    let folder = name.strip_suffix(BOOK)?;
    let at_top = folder.is_empty();
    let in_one = folder.find('/') == folder.len().checked_sub(1);
    (at_top || in_one && !folder.starts_with("__MACOSX")).then_some(folder)
}

/// The SHA-256 in a photo's name; `None` where the name is not that of a photo.
fn sha256_of(path: &str) -> Option<&str> {
    let sha256 = path.strip_prefix("photos/")?.get(..64)?;
    (is_sha256(sha256) && path == photo_path(sha256)).then_some(sha256)
}

/// Every file of the archive, where it does not contradict itself.
fn listed(bytes: &[u8]) -> Result<Vec<Member>, Error> {
    let archive = ZipArchive::from_slice(bytes).map_err(|_| no_directory())?;
    let claimed = archive.entries_hint();
    let mut listing = Listing::of(claimed, archive.end_offset(), bytes.len() as u64)?;
    let mut entries = archive.entries();
    while let Some(entry) = entries.next_entry().map_err(|_| breaks_off())? {
        if !listing.expects_more() {
            break;
        }
        let found = archive
            .get_entry(entry.wayfinder())
            .map_err(|_| not_there(entry.file_path().as_bytes()))?;
        let (start, end) = found.compressed_data_range();
        listing.add(&entry, &found.local_header(), start..end)?;
    }
    listing.close(archive.directory_offset())
}

/// There is no directory.
pub(super) fn no_directory() -> Error {
    Error::damaged("it has no directory at its end, as when it was cut off")
}

/// The directory cannot be read to its end.
pub(super) fn breaks_off() -> Error {
    Error::damaged("its directory breaks off")
}

/// A file is elsewhere.
pub(super) fn not_there(path: &[u8]) -> Error {
    let shown = shown(&String::from_utf8_lossy(path));
    Error::damaged(format!("`{shown}` is not where its directory says"))
}

fn shown(name: &str) -> String {
    short(name).escape_debug().to_string()
}

/// What the directory of an archive lists, checked as it comes.
pub(super) struct Listing {
    claimed: u64,
    count: u64,
    members: Vec<Member>,
    names: HashSet<Vec<u8>>,
    ranges: Vec<(u64, u64, String)>,
}

impl Listing {
    /// Of an archive that claims so many files and ends here, in a file of so many bytes.
    pub(super) fn of(claimed: u64, end: u64, length: u64) -> Result<Self, Error> {
        if claimed > MOST_MEMBERS {
            return Err(Error::refused(format!(
                "it claims {claimed} files, and {MOST_MEMBERS} are the most"
            )));
        }
        if end != length {
            return Err(Error::refused(format!(
                "{} bytes follow its end",
                length.saturating_sub(end)
            )));
        }
        Ok(Self {
            claimed,
            count: 0,
            members: Vec::new(),
            names: HashSet::new(),
            ranges: Vec::new(),
        })
    }

    /// Counts one more; false where that is more than was claimed.
    pub(super) fn expects_more(&mut self) -> bool {
        self.count += 1;
        self.count <= self.claimed
    }

    /// What the directory says of a file, what its head says, and where its packed bytes stand.
    pub(super) fn add(
        &mut self,
        entry: &ZipFileHeaderRecord<'_>,
        head: &ZipLocalFileHeader<'_>,
        packed: Range<u64>,
    ) -> Result<(), Error> {
        let path = entry.file_path();
        let name = String::from_utf8_lossy(path.as_bytes()).into_owned();
        let shown = shown(&name);
        if let Some(why) = wrong_name(&name) {
            return Err(Error::refused(format!("the name `{shown}` {why}")));
        }
        if !self.names.insert(path.as_bytes().to_vec()) {
            return Err(Error::refused(format!("it holds `{shown}` twice")));
        }
        let agrees = head.file_path().as_bytes() == path.as_bytes()
            && head.compression_method() == entry.compression_method()
            && head.flags().is_encrypted() == entry.flags().is_encrypted()
            && (head.flags().has_data_descriptor()
                || (head.compressed_size_hint() == entry.compressed_size_hint()
                    && head.uncompressed_size_hint() == entry.uncompressed_size_hint()));
        if !agrees {
            return Err(Error::refused(format!(
                "its directory and the head of `{shown}` disagree"
            )));
        }
        self.ranges
            .push((entry.local_header_offset(), packed.end, shown));
        let member = Member {
            packed,
            method: entry.compression_method(),
            encrypted: entry.flags().is_encrypted(),
            size: entry.uncompressed_size_hint(),
            name,
        };
        // A folder is a name without content.
        if !(member.name.ends_with('/') && member.size == 0) {
            self.members.push(member);
        }
        Ok(())
    }

    /// Every file, where none overlaps another or the directory, which begins here.
    pub(super) fn close(mut self, directory: u64) -> Result<Vec<Member>, Error> {
        if self.count != self.claimed {
            return Err(Error::refused(format!(
                "it claims {} files, and its directory lists {}",
                self.claimed,
                if self.count > self.claimed {
                    "more"
                } else {
                    "fewer"
                }
            )));
        }
        self.ranges.sort_unstable();
        let next = self
            .ranges
            .iter()
            .skip(1)
            .map(|(start, ..)| *start)
            .chain([directory]);
        if let Some(((.., name), _)) = self
            .ranges
            .iter()
            .zip(next)
            .find(|((_, end, _), next)| end > next)
        {
            return Err(Error::refused(format!("`{name}` overlaps what follows it")));
        }
        Ok(self.members)
    }
}

/// What is wrong with a file's name, to be said after it.
fn wrong_name(name: &str) -> Option<&'static str> {
    let drive = name.as_bytes().get(1) == Some(&b':');
    if name.is_empty() {
        Some("is empty")
    } else if name.chars().any(char::is_control) {
        Some("holds a control character")
    } else if name.contains('\\') {
        Some("holds a backslash")
    } else if name.starts_with('/') || drive {
        Some("begins at the root of a disk")
    } else if name.split('/').any(|part| part == ".." || part == ".") {
        Some("leads out of the archive")
    } else {
        None
    }
}
