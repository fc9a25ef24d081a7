//! The files in a ZIP archive, listed and checked before any is read. The container is read by `rawzip`; what it leaves to its
//! caller is decided here: names, twins, overlaps, contradictions, and how much anything may unpack to.

use std::borrow::Cow;
use std::collections::HashSet;

use rawzip::{CompressionMethod, ZipArchive};

use super::{BOOK, Error, photo_path};
use crate::notebook::canonical::short;
use crate::notebook::photos::is_sha256;

/// More files than this are refused before they are looked at.
const MOST_MEMBERS: u64 = 100_000;

/// A deflated book file may unpack to this many bytes.
const LARGEST_BOOK: u64 = 256 << 20;

/// A deflated photo may unpack to this many bytes.
const LARGEST_PHOTO: u64 = 32 << 20;

/// A deflated file of up to this many bytes may be packed as densely as it likes.
const SMALL: u64 = 16 << 20;

/// A larger one may be so many times as large as it is packed: every entry holds a hash, which nothing packs, so a book comes to
/// a few dozen at the most.
const MOST_TIMES: u64 = 250;

/// All deflated photos together may unpack to this many bytes.
const LARGEST_SUM: u64 = 512 << 20;

/// One file of the archive.
struct Member<'a> {
    name: String,
    packed: &'a [u8],
    method: CompressionMethod,
    encrypted: bool,
    /// The size it claims.
    size: u64,
}

impl<'a> Member<'a> {
    /// Its bytes, of at most so many; or why not, to be said after its name.
    fn content(&self, most: u64) -> Result<Cow<'a, [u8]>, String> {
        if self.encrypted {
            return Err("it is encrypted".to_owned());
        }
        let claims = |found: usize| format!("it claims {} bytes and has {found}", self.size);
        match self.method {
            CompressionMethod::STORE if self.packed.len() as u64 == self.size => {
                Ok(Cow::Borrowed(self.packed))
            }
            CompressionMethod::STORE => Err(claims(self.packed.len())),
            CompressionMethod::DEFLATE => {
                if self.size > most {
                    return Err(format!(
                        "it unpacks to {} bytes, and {most} are the most",
                        self.size
                    ));
                }
                let packed = self.packed.len() as u64;
                if self.size > SMALL && self.size / MOST_TIMES > packed {
                    return Err(format!(
                        "it unpacks from {packed} bytes to {}, and {MOST_TIMES} times as many are the most",
                        self.size
                    ));
                }
                let limit = usize::try_from(self.size).unwrap_or(usize::MAX);
                match miniz_oxide::inflate::decompress_to_vec_with_limit(self.packed, limit) {
                    Ok(bytes) if bytes.len() == limit => Ok(Cow::Owned(bytes)),
                    Ok(bytes) => Err(claims(bytes.len())),
                    Err(error)
                        if error.status == miniz_oxide::inflate::TINFLStatus::HasMoreOutput =>
                    {
                        Err(format!("it claims {limit} bytes and unpacks to more"))
                    }
                    Err(_) => Err("it cannot be unpacked".to_owned()),
                }
            }
            other => Err(format!(
                "it is packed in a way that is not known here ({other})"
            )),
        }
    }
}

/// The files of an archive, by what they are.
pub(super) struct Members<'a> {
    book: Member<'a>,
    photos: Vec<(String, Member<'a>)>,
    /// The names of all others.
    pub(super) unknown: Vec<String>,
}

impl<'a> Members<'a> {
    /// Lists what is in an archive.
    pub(super) fn of(bytes: &'a [u8]) -> Result<Self, Error> {
        let mut members = listed(bytes)?;
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

    /// The bytes of the book file.
    pub(super) fn book(&self) -> Result<Cow<'a, [u8]>, Error> {
        self.book
            .content(LARGEST_BOOK)
            .map_err(|why| Error::refused(format!("`{}`: {why}", short(&self.book.name))))
    }

    /// The photos one by one.
    pub(super) fn photos(self) -> Photos<'a> {
        Photos {
            members: self.photos.into_iter(),
            left: LARGEST_SUM,
        }
    }
}

/// The photos of an archive one by one: the SHA-256 that each claims, its name, and its bytes or what is wrong with them.
pub(super) struct Photos<'a> {
    members: std::vec::IntoIter<(String, Member<'a>)>,
    /// What deflated photos may still unpack to, bytes.
    left: u64,
}

impl<'a> Iterator for Photos<'a> {
    type Item = (String, String, Result<Cow<'a, [u8]>, String>);

    fn next(&mut self) -> Option<Self::Item> {
        let (sha256, member) = self.members.next()?;
        let content = member.content(LARGEST_PHOTO.min(self.left));
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
fn listed(bytes: &[u8]) -> Result<Vec<Member<'_>>, Error> {
    let archive = ZipArchive::from_slice(bytes)
        .map_err(|_| Error::damaged("it has no directory at its end, as when it was cut off"))?;
    let claimed = archive.entries_hint();
    if claimed > MOST_MEMBERS {
        return Err(Error::refused(format!(
            "it claims {claimed} files, and {MOST_MEMBERS} are the most"
        )));
    }
    if archive.end_offset() != bytes.len() as u64 {
        return Err(Error::refused(format!(
            "{} bytes follow its end",
            (bytes.len() as u64).saturating_sub(archive.end_offset())
        )));
    }
    let mut members = Vec::new();
    let mut names = HashSet::new();
    let mut ranges = Vec::new();
    let mut entries = archive.entries();
    let mut count = 0;
    while let Some(entry) = entries
        .next_entry()
        .map_err(|_| Error::damaged("its directory breaks off"))?
    {
        count += 1;
        if count > claimed {
            break;
        }
        let path = entry.file_path();
        let name = String::from_utf8_lossy(path.as_bytes()).into_owned();
        let shown = short(&name).escape_debug().to_string();
        if let Some(why) = wrong_name(&name) {
            return Err(Error::refused(format!("the name `{shown}` {why}")));
        }
        if !names.insert(path.as_bytes().to_vec()) {
            return Err(Error::refused(format!("it holds `{shown}` twice")));
        }
        let found = archive
            .get_entry(entry.wayfinder())
            .map_err(|_| Error::damaged(format!("`{shown}` is not where its directory says")))?;
        let head = found.local_header();
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
        let (start, end) = found.compressed_data_range();
        let within = |at: u64| usize::try_from(at).unwrap_or(usize::MAX);
        let packed = bytes.get(within(start)..within(end)).unwrap_or_default();
        ranges.push((entry.local_header_offset(), end, shown));
        let member = Member {
            packed,
            method: entry.compression_method(),
            encrypted: entry.flags().is_encrypted(),
            size: entry.uncompressed_size_hint(),
            name,
        };
        // A folder is a name without content.
        if !(member.name.ends_with('/') && member.size == 0) {
            members.push(member);
        }
    }
    if count != claimed {
        return Err(Error::refused(format!(
            "it claims {claimed} files, and its directory lists {}",
            if count > claimed { "more" } else { "fewer" }
        )));
    }
    ranges.sort_unstable();
    let next = ranges
        .iter()
        .skip(1)
        .map(|(start, ..)| *start)
        .chain([archive.directory_offset()]);
    if let Some(((.., name), _)) = ranges
        .iter()
        .zip(next)
        .find(|((_, end, _), next)| end > next)
    {
        return Err(Error::refused(format!("`{name}` overlaps what follows it")));
    }
    Ok(members)
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
