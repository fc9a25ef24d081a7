//! A book with its photos: one ZIP archive of the book file, `book.json`, and `photos/<SHA-256>.jpg`, stored as they are.
//!
//! What is read is believed only where it proves itself: the book file by its digest, every photo by its SHA-256. A photo that
//! is missing or was changed is named, and the book is read all the same.

mod members;

mod filed;

mod stored;

use std::borrow::Cow;
use std::collections::HashMap;
use std::fmt;
use std::sync::Arc;

use super::book::{self, BookFile};
use crate::notebook::canonical::short;
use crate::notebook::photos::{self, Named};
use members::Members;

pub use filed::{Filed, Photo};

pub use stored::{CheckSum, Stored, size, write};

/// The book file's name in the archive.
pub const BOOK: &str = "book.json";

/// A photo's name in the archive.
pub fn photo_path(sha256: &str) -> String {
    format!("photos/{sha256}.jpg")
}

/// A book, with the photos that came with it.
#[derive(Clone, Debug, PartialEq)]
pub struct Archive {
    /// The book file.
    pub book: BookFile,
    /// The photos that the book names and that came as they were: SHA-256 and bytes, in order of SHA-256.
    pub photos: Vec<(String, Arc<[u8]>)>,
    /// The photos that the book names and that did not come.
    pub missing: Vec<Named>,
    /// The photos that came otherwise than they were written; they are left out.
    pub altered: Vec<Altered>,
    /// The names of files that belong to no book, or to no photo of this one; they are left out.
    pub unknown: Vec<String>,
}

/// A photo that came otherwise than it was written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Altered {
    /// Its name in the archive.
    pub path: String,
    /// The photo it should have been; `None` where the book names none of this SHA-256.
    pub named: Option<Named>,
    /// What is wrong with it.
    pub why: String,
}

impl Archive {
    /// What did not come as it was written, each in a sentence without a full stop; nothing where all is well.
    pub fn report(&self) -> Vec<String> {
        report(&self.missing, &self.altered, &self.unknown)
    }
}

/// What did not come of an archive as it was written, each in a sentence without a full stop; nothing where all is well.
pub fn report(missing: &[Named], altered: &[Altered], unknown: &[String]) -> Vec<String> {
    let mut report = Vec::new();
    let missing: Vec<String> = missing.iter().map(Named::words).collect();
    match missing.len() {
        0 => {}
        1 => report.push(format!(
            "a photo that the book names is not in the file: {}",
            list(&missing)
        )),
        n => report.push(format!(
            "{n} photos that the book names are not in the file: {}",
            list(&missing)
        )),
    }
    let altered: Vec<String> = altered
        .iter()
        .map(|altered| {
            let name = altered
                .named
                .as_ref()
                .map_or_else(|| format!("`{}`", short(&altered.path)), Named::words);
            format!("{name} ({})", altered.why)
        })
        .collect();
    match altered.len() {
        0 => {}
        1 => report.push(format!(
            "a photo is not as it was written and is left out: {}",
            list(&altered)
        )),
        n => report.push(format!(
            "{n} photos are not as they were written and are left out: {}",
            list(&altered)
        )),
    }
    let unknown: Vec<String> = unknown
        .iter()
        .map(|name| format!("`{}`", short(name)))
        .collect();
    match unknown.len() {
        0 => {}
        1 => report.push(format!(
            "a file in it is not the book's and is left out: {}",
            list(&unknown)
        )),
        n => report.push(format!(
            "{n} files in it are not the book's and are left out: {}",
            list(&unknown)
        )),
    }
    report
}

/// The first few, and how many more there are.
fn list(names: &[String]) -> String {
    const SHOWN: usize = 5;
    let shown = names[..names.len().min(SHOWN)].join(", ");
    match names.len().saturating_sub(SHOWN) {
        0 => shown,
        more => format!("{shown} and {more} more"),
    }
}

/// True when the bytes begin as a ZIP archive does.
pub fn is_zip(bytes: &[u8]) -> bool {
    bytes.starts_with(b"PK\x03\x04") || bytes.starts_with(b"PK\x05\x06")
}

/// Reads a book file by itself, or an archive of one and its photos.
///
/// # Degenerate input
/// A book file by itself has no photos with it: those it names are missing. An archive that was packed again is read where its
/// files are stored or deflated, at its top or in one folder.
///
/// # Errors
/// Where there is no book, where the book is not whole, or where the archive contradicts itself; nothing of it is taken then.
pub fn read_any(bytes: &[u8]) -> Result<Archive, Error> {
    if !is_zip(bytes) {
        let book = book::read_bytes(bytes).map_err(|error| Error {
            what: What::Book(error, false),
        })?;
        let missing = photos::named(&book.entries);
        return Ok(Archive {
            book,
            photos: Vec::new(),
            missing,
            altered: Vec::new(),
            unknown: Vec::new(),
        });
    }
    let opened = open(bytes)?;
    let book = book::read_bytes(&opened.book()?).map_err(Error::of_book)?;
    let mut proving = opened.with(book);
    while proving.prove_one() {}
    Ok(proving.archive())
}

/// Opens an archive for whoever reads its book and proves its photos one by one, as [`read_any`] does in one go.
///
/// # Errors
/// Where there is no book in it, or where the archive contradicts itself.
pub fn open(bytes: &[u8]) -> Result<Opened<'_>, Error> {
    Members::of(bytes).map(|members| Opened { members })
}

/// An archive whose files were listed and checked, and none of them read.
pub struct Opened<'a> {
    members: Members<'a>,
}

impl<'a> Opened<'a> {
    /// The bytes of its book file.
    ///
    /// # Errors
    /// Where they are not as the archive says, or come to more than a book can.
    pub fn book(&self) -> Result<Cow<'a, [u8]>, Error> {
        self.members.book()
    }

    /// Goes on to the photos with the book that was read of [`Opened::book`].
    pub fn with(mut self, book: BookFile) -> Proving<'a> {
        let wanted: Vec<Option<Named>> =
            photos::named(&book.entries).into_iter().map(Some).collect();
        let named = wanted.iter().flatten().enumerate();
        let places = named
            .map(|(place, named)| (named.sha256.clone(), place))
            .collect();
        let unknown = self.members.take_unknown();
        let photos = self.members.photos();
        Proving {
            archive: Archive {
                book,
                photos: Vec::new(),
                missing: Vec::new(),
                altered: Vec::new(),
                unknown,
            },
            wanted,
            places,
            photos,
        }
    }
}

/// An archive whose book was read, and whose photos are being proved.
pub struct Proving<'a> {
    archive: Archive,
    wanted: Vec<Option<Named>>,
    places: HashMap<String, usize>,
    photos: members::Photos<'a>,
}

impl Proving<'_> {
    /// How many photos are left to prove.
    pub fn left(&self) -> usize {
        self.photos.len()
    }

    /// Proves the next photo; false where none is left.
    pub fn prove_one(&mut self) -> bool {
        let Some((sha256, path, content)) = self.photos.next() else {
            return false;
        };
        let place = self.places.get(&sha256);
        let named = place.and_then(|&place| self.wanted[place].take());
        let why = match &content {
            Ok(content) if photos::sha256(content) == sha256 => None,
            Ok(_) => Some("its bytes were changed".to_owned()),
            Err(why) => Some(why.clone()),
        };
        let archive = &mut self.archive;
        match (why, named, content) {
            (None, Some(_), Ok(content)) => archive.photos.push((sha256, Arc::from(&*content))),
            (Some(why), named, _) => archive.altered.push(Altered { path, named, why }),
            _ => archive.unknown.push(path),
        }
        true
    }

    /// The book with the photos that were proved; those that nobody brought are missing.
    pub fn archive(self) -> Archive {
        let mut archive = self.archive;
        archive.photos.sort_by(|a, b| a.0.cmp(&b.0));
        archive.missing = self.wanted.into_iter().flatten().collect();
        archive
    }
}

/// Why an archive was not opened, or not written. Nothing of it was taken.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Error {
    what: What,
}

#[derive(Clone, Debug, PartialEq, Eq)]
enum What {
    /// The book file itself, and whether it stands in an archive.
    Book(book::Error, bool),
    /// A ZIP archive of something else.
    Foreign(String),
    /// The archive did not arrive whole.
    Damaged(String),
    /// The archive contradicts itself, or wants more than a book can.
    Refused(String),
    /// The archive cannot be written.
    TooLarge(String),
}

impl Error {
    fn foreign(holds: String) -> Self {
        Self {
            what: What::Foreign(holds),
        }
    }

    fn damaged(why: impl Into<String>) -> Self {
        Self {
            what: What::Damaged(why.into()),
        }
    }

    fn refused(why: impl Into<String>) -> Self {
        Self {
            what: What::Refused(why.into()),
        }
    }

    fn too_large(what: String) -> Self {
        Self {
            what: What::TooLarge(what),
        }
    }

    /// The book file in an archive was not opened, and why.
    pub fn of_book(error: book::Error) -> Self {
        Self {
            what: What::Book(error, true),
        }
    }

    /// Why the book file was not opened, where the archive, if it is one, was.
    pub fn book(&self) -> Option<&book::Error> {
        match &self.what {
            What::Book(error, _) => Some(error),
            _ => None,
        }
    }

    /// It is something else than a book.
    pub fn is_foreign(&self) -> bool {
        match &self.what {
            What::Book(error, _) => error.is_foreign(),
            What::Foreign(_) => true,
            _ => false,
        }
    }

    /// It did not arrive whole.
    pub fn is_damaged(&self) -> bool {
        match &self.what {
            What::Book(error, _) => error.is_damaged(),
            What::Damaged(_) => true,
            _ => false,
        }
    }

    /// It is an archive that contradicts itself, or wants more room than a book can.
    pub fn is_refused(&self) -> bool {
        matches!(self.what, What::Refused(_))
    }
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.what {
            What::Book(error, false) => error.fmt(f),
            What::Book(error, true) => write!(f, "`{BOOK}` in the ZIP archive: {error}"),
            What::Foreign(holds) => write!(
                f,
                "this is a ZIP archive without a `{BOOK}`: {holds}; open a file that Camp's back-up wrote"
            ),
            What::Damaged(why) => write!(
                f,
                "the ZIP archive is damaged: {why}; copy it again from where it was written, or open an earlier back-up"
            ),
            What::Refused(why) => write!(
                f,
                "the ZIP archive is not as a back-up writes it: {why}; if you trust it, unpack it on a computer and open the `{BOOK}` in it"
            ),
            What::TooLarge(what) => write!(
                f,
                "the book with its photos does not fit into one ZIP archive: {what}; hand the books on one by one"
            ),
        }
    }
}

impl std::error::Error for Error {}
