//! The rolling copy of the book in the browser's private file system: when one is made, under which name, what it replaces and
//! which is offered. A newer copy never covers an older one: it has a name of its own, and only once it is whole may an older one go.
//! Beside them lies each photo once, under the hash of its bytes, whichever copies name it; none of these ever goes.

use std::collections::BTreeSet;

use crate::notebook::photos;

/// So many copies of one book stand beside each other.
const KEPT: usize = 2;

/// A copy is made as soon as so many entries are in none.
const ENTRIES: usize = 25;

/// A copy is made when anything is in none for so long, milliseconds.
const PATIENCE_MS: f64 = 5.0 * 60_000.0;

/// Copies follow each other no quicker than this, milliseconds, unless the page may be about to go.
const REST_MS: f64 = 60_000.0;

/// A book of so many entries waits twice as long between its copies, one of three times as many four times as long: to write it
/// costs more.
const LONG_BOOK: f64 = 20_000.0;

/// Photos are copied only while so many bytes stay free beside them: the book itself comes first.
const ROOM: f64 = 64.0 * 1024.0 * 1024.0;

const FIRST: &str = "hingeline-";
const LAST: &str = ".json";
const PHOTO_FIRST: &str = "hingeline-photo-";
const PHOTO_LAST: &str = ".jpg";

/// The name under which a photo is copied, by the SHA-256 of its bytes.
pub fn photo_file(sha256: &str) -> String {
    format!("{PHOTO_FIRST}{sha256}{PHOTO_LAST}")
}

/// The SHA-256 in the name of a photo's copy; `None` where the name is none.
pub fn photo_of_file(file: &str) -> Option<&str> {
    let sha256 = file.strip_prefix(PHOTO_FIRST)?.strip_suffix(PHOTO_LAST)?;
    photos::is_sha256(sha256).then_some(sha256)
}

/// The photos that are still to be copied, each once, in the order the book names them.
pub fn photos_to_copy<'p>(
    named: impl IntoIterator<Item = &'p str>,
    copied: &BTreeSet<String>,
) -> Vec<String> {
    let mut seen = BTreeSet::new();
    named
        .into_iter()
        .filter(|sha256| !copied.contains(*sha256) && seen.insert(*sha256))
        .map(str::to_owned)
        .collect()
}

/// Whether the copy of a photo of so many bytes leaves the book its room; `free` is what the browser says, where it says anything.
pub fn photo_fits(free: Option<f64>, bytes: f64) -> bool {
    free.is_none_or(|free| free - bytes >= ROOM)
}

/// The name of a copy: the book it is of, and its number among that book's copies.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct CopyName {
    /// A short word for the book; two books never share one.
    pub book: String,
    /// Counts the copies of the book from 1.
    pub number: u64,
}

impl CopyName {
    /// The name of its file.
    pub fn file(&self) -> String {
        format!("{FIRST}{}-{:08}{LAST}", self.book, self.number)
    }

    /// Reads the name of a file; `None` where it is no copy's.
    pub fn of_file(file: &str) -> Option<Self> {
        let (book, number) = file
            .strip_prefix(FIRST)?
            .strip_suffix(LAST)?
            .rsplit_once('-')?;
        let digits = number.len() >= 8 && number.bytes().all(|b| b.is_ascii_digit());
        Some(Self {
            book: book.to_owned(),
            number: number.parse().ok().filter(|_| digits)?,
        })
    }

    /// The word for a book, from the id under which this tablet began it.
    pub fn book_of(device: &str) -> String {
        let word = device.chars().filter(char::is_ascii_alphanumeric);
        word.take(8).collect()
    }
}

/// A file that is there.
#[derive(Clone, Debug, PartialEq)]
pub struct CopyFile {
    /// Its name.
    pub name: CopyName,
    /// Its bytes; 0 where the page ended before it was whole.
    pub bytes: f64,
}

/// The last copy of the book.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LastCopy {
    /// When it was made, milliseconds of any clock that goes on.
    pub at_ms: f64,
    /// The entries it holds.
    pub entries: usize,
}

/// Whether a copy is to be made now.
///
/// `leaving`: the page is out of sight, and may end without a word.
///
/// # Degenerate input
/// A book without entries is never copied. A clock that went back counts as no time.
pub fn copy_is_due(last: Option<LastCopy>, now_ms: f64, entries: usize, leaving: bool) -> bool {
    let Some(last) = last else {
        return entries > 0;
    };
    let new = entries.saturating_sub(last.entries);
    // Counts of entries are far below 2^53.
    #[allow(clippy::cast_precision_loss)]
    let slower = 1.0 + entries as f64 / LONG_BOOK;
    let passed_ms = (now_ms - last.at_ms).max(0.0);
    match new {
        0 => false,
        _ if leaving => true,
        ENTRIES.. => passed_ms >= REST_MS * slower,
        _ => passed_ms >= PATIENCE_MS * slower,
    }
}

/// The name of the next copy of a book.
pub fn next_copy(there: &[CopyFile], book: &str) -> CopyName {
    let numbers = there
        .iter()
        .filter(|f| f.name.book == book)
        .map(|f| f.name.number);
    CopyName {
        book: book.to_owned(),
        number: numbers.max().unwrap_or(0) + 1,
    }
}

/// The copies that may go once `whole` is: older ones of the same book beyond the number that is kept, and whatever was never
/// whole. Copies of other books stay.
pub fn outlived(there: &[CopyFile], whole: &CopyName) -> Vec<CopyName> {
    let mut older: Vec<&CopyFile> = there
        .iter()
        .filter(|f| f.name.book == whole.book && f.name.number < whole.number)
        .collect();
    older.sort_by_key(|f| std::cmp::Reverse(f.name.number));
    let mut stay = KEPT - 1;
    older
        .into_iter()
        .filter(|f| {
            let stays = f.bytes > 0.0 && stay > 0;
            stay -= usize::from(stays);
            !stays
        })
        .map(|f| f.name.clone())
        .collect()
}

/// The copies of each book, the newest of each first; those that were never whole are left out.
pub fn offered(there: &[CopyFile]) -> Vec<Vec<CopyName>> {
    let mut names: Vec<&CopyName> = there
        .iter()
        .filter(|f| f.bytes > 0.0)
        .map(|f| &f.name)
        .collect();
    names.sort_by(|a, b| (&a.book, b.number).cmp(&(&b.book, a.number)));
    let mut books: Vec<Vec<CopyName>> = Vec::new();
    for name in names {
        match books.last_mut() {
            Some(book) if book.first().is_some_and(|f| f.book == name.book) => {
                book.push(name.clone());
            }
            _ => books.push(vec![name.clone()]),
        }
    }
    books
}

#[cfg(test)]
mod tests {
    use super::*;

    fn name(book: &str, number: u64) -> CopyName {
        CopyName {
            book: book.to_owned(),
            number,
        }
    }

    fn file(book: &str, number: u64, bytes: f64) -> CopyFile {
        CopyFile {
            name: name(book, number),
            bytes,
        }
    }

    #[test]
    fn a_name_is_read_as_it_was_written() {
        for number in [1, 99_999_999, 123_456_789_012] {
            let copy = name("0b5e51aa", number);
            assert_eq!(CopyName::of_file(&copy.file()), Some(copy));
        }
        for other in [
            "",
            "notes.txt",
            "hingeline-.json",
            "hingeline-a-1.json",
            "hingeline-a-+0000001.json",
            "hingeline-a-00000001.json.crswap",
        ] {
            assert_eq!(CopyName::of_file(other), None, "{other}");
        }
        assert_eq!(CopyName::book_of("51aa-c4f7-0b5e"), "51aac4f7");
        assert_eq!(CopyName::book_of("../x"), "x");
    }

    #[test]
    fn a_photo_is_copied_once_under_its_hash_and_leaves_the_book_its_room() {
        let [a, b] = ["a", "b"].map(|word| photos::sha256(word.as_bytes()));
        assert_eq!(photo_of_file(&photo_file(&a)), Some(a.as_str()));
        // A photo is no copy of a book, and the other way round.
        assert_eq!(CopyName::of_file(&photo_file(&a)), None);
        for other in [
            "hingeline-photo-.jpg",
            "hingeline-photo-00000001.json",
            &format!("hingeline-photo-{}.jpg", a.to_uppercase()),
            &format!("hingeline-photo-{a}.jpg.crswap"),
        ] {
            assert_eq!(photo_of_file(other), None, "{other}");
        }
        let none = BTreeSet::new();
        let named = [b.as_str(), &a, &b];
        assert_eq!(photos_to_copy(named, &none), [b.clone(), a.clone()]);
        let copied = BTreeSet::from([b.clone()]);
        assert_eq!(photos_to_copy(named, &copied), [a]);
        assert!(photos_to_copy([], &copied).is_empty());
        assert!(photo_fits(None, 1e9));
        assert!(photo_fits(Some(ROOM + 10.0), 10.0));
        assert!(!photo_fits(Some(ROOM + 9.0), 10.0));
        assert!(!photo_fits(Some(f64::NAN), 1.0));
    }

    #[test]
    fn a_copy_is_made_after_many_entries_after_a_while_and_when_the_page_may_go() {
        let last = Some(LastCopy {
            at_ms: 0.0,
            entries: 100,
        });
        let check = |now_ms: f64, entries, leaving, due| {
            assert_eq!(
                copy_is_due(last, now_ms, entries, leaving),
                due,
                "{now_ms} {entries} {leaving}"
            );
        };
        check(1e9, 100, true, false);
        check(1e9, 90, true, false);
        check(1.0, 101, true, true);
        check(1.0, 101, false, false);
        check(61_000.0, 101, false, false);
        check(310_000.0, 101, false, true);
        check(30_000.0, 125, false, false);
        check(61_000.0, 125, false, true);
        check(-1e9, 125, false, false);
        // A long book rests longer.
        check(61_000.0, 40_000, false, false);
        check(190_000.0, 40_000, false, true);
        assert!(copy_is_due(None, 0.0, 1, false));
        assert!(!copy_is_due(None, 0.0, 0, true));
    }

    #[test]
    fn another_books_copies_are_left_alone() {
        let there = [
            file("a", 7, 9.0),
            file("a", 8, 9.0),
            file("b", 1, 9.0),
            file("b", 2, 9.0),
        ];
        assert_eq!(next_copy(&there, "b"), name("b", 3));
        assert_eq!(next_copy(&there, "c"), name("c", 1));
        assert_eq!(outlived(&there, &name("b", 3)), [name("b", 1)]);
        assert_eq!(
            offered(&there),
            [
                vec![name("a", 8), name("a", 7)],
                vec![name("b", 2), name("b", 1)]
            ]
        );
        assert!(offered(&[]).is_empty());
    }

    /// The private file system as the copy meets it: a file is there, empty, from the moment it is asked for, and has its bytes
    /// once it is closed. Whatever step fails or is the page's last, a whole copy is there from the first one on.
    #[test]
    fn whatever_step_is_the_last_a_whole_copy_is_there() {
        for broken_off_at in 0..4 {
            for again_at in 0..4 {
                let mut there: Vec<CopyFile> = Vec::new();
                let mut newest = 0.0;
                for round in 1..12_u32 {
                    let steps = match round % 3 {
                        1 => usize::MAX,
                        2 => broken_off_at,
                        _ => again_at,
                    };
                    let before = there.clone();
                    copy(&mut there, f64::from(round), steps);
                    let whole = there.iter().filter(|f| f.bytes > 0.0);
                    let latest = whole.clone().map(|f| f.bytes).fold(0.0, f64::max);
                    assert!(latest >= newest && latest > 0.0, "{before:?} → {there:?}");
                    newest = latest;
                    let best = offered(&there)[0][0].clone();
                    let found = there.iter().find(|f| f.name == best);
                    assert_eq!(found.map(|f| f.bytes), Some(newest));
                    assert!(there.len() <= KEPT + 3, "{there:?}");
                }
                copy(&mut there, 99.0, usize::MAX);
                assert!(there.len() <= KEPT && there.iter().all(|f| f.bytes > 0.0));
            }
        }
    }

    /// Makes a copy, and stops before the step of this number.
    fn copy(there: &mut Vec<CopyFile>, bytes: f64, steps: usize) {
        let name = next_copy(there, "a");
        if steps == 0 {
            return;
        }
        there.push(CopyFile {
            name: name.clone(),
            bytes: 0.0,
        });
        if steps == 1 {
            return;
        }
        if let Some(file) = there.last_mut() {
            file.bytes = bytes;
        }
        for (step, old) in outlived(there, &name).into_iter().enumerate() {
            if steps == step + 2 {
                return;
            }
            there.retain(|f| f.name != old);
        }
    }
}
