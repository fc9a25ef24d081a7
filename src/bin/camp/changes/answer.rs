//! What is new in a book, in words or as JSON.

use std::io::{self, Write};

use hingeline::notebook::Beyond;
use serde_json::{Value, json};

use crate::command::Format;
use crate::gather::index::{KINDS, by_kind, in_words};
use crate::written::counted;

/// What is new.
#[derive(Default)]
pub(super) struct Found {
    pub(super) entries: usize,
    /// Records by [`KINDS`], then of other kinds.
    pub(super) records: [usize; KINDS.len() + 1],
    /// How many entries take the place of one that was left out.
    pub(super) follow: usize,
    pub(super) photos: usize,
    /// How many photos of the book did not come as they were written.
    pub(super) altered: usize,
    /// The photos that the new entries name and no file brought, where the book brought some.
    pub(super) absent: Vec<String>,
    /// What else is to be said of the book's file.
    pub(super) report: Vec<String>,
    /// How many entries of the others the book has not.
    pub(super) not_in_book: usize,
    pub(super) beyond: Vec<Beyond>,
    /// Where it was written, and how many bytes.
    pub(super) written: Option<(String, u64)>,
}

impl Found {
    /// A person has something to look at.
    pub(super) fn is_doubted(&self) -> bool {
        self.altered > 0 || !self.absent.is_empty()
    }
}

pub(super) fn write(
    mut out: impl Write,
    format: Format,
    book: &str,
    found: &Found,
) -> io::Result<()> {
    match format {
        Format::Text => text(&mut out, book, found)?,
        Format::Json => writeln!(out, "{}", as_json(found))?,
    }
    out.flush()
}

fn text(out: &mut impl Write, book: &str, found: &Found) -> io::Result<()> {
    let beyond = found.beyond.iter().map(|one| one.count).max().unwrap_or(0);
    let beyond = counted(beyond, "entry", "entries");
    if found.entries == 0 {
        writeln!(
            out,
            "{book}: nothing is new beyond the {beyond} of the other side"
        )?;
    } else {
        let records: usize = found.records.iter().sum();
        writeln!(
            out,
            "{book}: {} of {}, beyond {beyond}: {}",
            counted(found.entries, "new entry", "new entries"),
            counted(records, "record", "records"),
            in_words(&found.records)
        )?;
    }
    if found.follow > 0 {
        writeln!(
            out,
            "{} the place of one that is not in the file; it comes with the book of the other side",
            counted(found.follow, "of them takes", "of them take")
        )?;
    }
    if found.photos > 0 {
        writeln!(
            out,
            "{} with them",
            counted(found.photos, "new photo goes", "new photos go")
        )?;
    }
    if !found.absent.is_empty() {
        writeln!(
            out,
            "{} as written: {}",
            counted(
                found.absent.len(),
                "photo that they name came with no file",
                "photos that they name came with no file"
            ),
            found.absent.join(", ")
        )?;
    }
    found
        .report
        .iter()
        .try_for_each(|line| writeln!(out, "  {line}"))?;
    if found.not_in_book > 0 {
        writeln!(
            out,
            "the other side has {} that {book} has not; `camp join` puts them together",
            counted(found.not_in_book, "entry", "entries")
        )?;
    }
    match &found.written {
        Some((file, bytes)) => writeln!(
            out,
            "written: {file}, {bytes} bytes; a part, and no back-up by itself"
        ),
        None => writeln!(out, "nothing was written"),
    }
}

fn as_json(found: &Found) -> Value {
    let records = by_kind(&found.records);
    let beyond = found
        .beyond
        .iter()
        .map(|one| json!({ "count": one.count, "digest": one.digest }));
    json!({
        "changes": found.written.as_ref().map(|(file, _)| file),
        "bytes": found.written.as_ref().map(|(_, bytes)| bytes),
        "entries": found.entries,
        "records": records,
        "photos": found.photos,
        "follow": found.follow,
        "absent": found.absent,
        "beyond": beyond.collect::<Vec<_>>(),
        "not_in_book": found.not_in_book,
    })
}
