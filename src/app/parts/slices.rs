//! Reading a long book file slice by slice, so that the page goes on living while it is read.

use std::io::Cursor;

use crate::exchange::archive::{self, Archive};
use crate::exchange::book::stream::Stream;
use crate::exchange::book::{self, BookFile};
use crate::store::breathe;

use super::clock;
use super::tablet::Tablet;

/// A file of fewer bytes is read at once: that takes no longer than a slice.
const AT_ONCE: usize = 256 * 1024;

/// So long the page waits at a time, milliseconds.
const SLICE_MS: f64 = 12.0;

/// Entries that are read between two looks at the clock.
const BETWEEN: usize = 16;

/// Reads a book file beside the book that is open; `far` hears how many entries were read, and of how many by the file's own
/// account.
pub(crate) async fn read_book(
    tablet: Tablet,
    bytes: &[u8],
    far: &dyn Fn(usize, Option<usize>),
) -> Result<BookFile, book::Error> {
    let whole = || tablet.read_once(|shelf| book::read_beside(bytes, &shelf.ledger));
    if bytes.len() < AT_ONCE {
        return whole();
    }
    // What is no book file, or has its parts in another order, is told by reading it whole.
    let Ok(mut stream) = Stream::open(Cursor::new(bytes)) else {
        return whole();
    };
    let count = stream.count();
    let mut entries = Vec::new();
    loop {
        let until_ms = clock::running_ms() + SLICE_MS;
        let slice = tablet.read_once(|shelf| {
            while clock::running_ms() < until_ms {
                for _ in 0..BETWEEN {
                    match stream.next_piece_beside(Some(&shelf.ledger))? {
                        Some(piece) => entries.push(piece.entry),
                        None => return Ok(true),
                    }
                }
            }
            Ok(false)
        });
        match slice {
            Ok(true) => break,
            Ok(false) => {
                far(entries.len(), count);
                breathe().await;
            }
            Err(error) if book::Error::is_unordered(&error) => return whole(),
            Err(error) => return Err(error),
        }
    }
    Ok(BookFile {
        version: stream.version(),
        written: stream.written().clone(),
        beyond: stream.beyond().to_vec(),
        more: stream.more().clone(),
        entries,
    })
}

/// Reads an archive of a book and its photos in the same way; `photo` hears how many photos were looked at, and of how many.
pub(crate) async fn read_archive(
    tablet: Tablet,
    bytes: &[u8],
    far: &dyn Fn(usize, Option<usize>),
    photo: &dyn Fn(usize, usize),
) -> Result<Archive, archive::Error> {
    let opened = archive::open(bytes)?;
    let file = opened.book()?;
    let book = read_book(tablet, &file, far).await;
    let mut proving = opened.with(book.map_err(archive::Error::of_book)?);
    let (all, mut done) = (proving.left(), 0);
    let mut until_ms = clock::running_ms() + SLICE_MS;
    while proving.prove_one() {
        done += 1;
        if clock::running_ms() >= until_ms {
            photo(done, all);
            breathe().await;
            until_ms = clock::running_ms() + SLICE_MS;
        }
    }
    Ok(proving.archive())
}

/// How far the reading has come, in words: `12500 of 50000 entries`.
pub(crate) fn far_words(read: usize, of: Option<usize>) -> String {
    match of {
        Some(all) if all >= read => format!("{read} of {all} entries"),
        _ => format!("{read} entries so far"),
    }
}
