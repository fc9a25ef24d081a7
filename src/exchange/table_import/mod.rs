//! A table from elsewhere becomes records of the book: any columns, matched by a person, with the doubts of every row.
//!
//! Reading never fails and loses nothing. What is read becomes dials as they would have been typed; what is not goes into the note
//! under its heading; and every record keeps the row it came from, word for word.

mod text;

pub use text::Encoding;

mod cells;

mod what;

pub use what::What;

mod values;

mod matching;

pub use matching::{DateOrder, Matched, Matching, StationsOf, guess};

mod own;

mod row;

pub use row::Weight;

mod brought;

pub use brought::{Brought, Counts, Finding, Outcome, RowOutcome, bring, bring_telling};

mod returned;

mod entries;

use sha2::{Digest, Sha256};

/// One row as it stands in the file.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct TableRow {
    /// The line of the file where it begins, from 1.
    pub line: u64,
    /// Its cells, white space at their ends and all.
    pub cells: Vec<String>,
    /// The row as it stands, without its line end.
    pub text: String,
}

impl TableRow {
    /// A cell, counted from 0, without white space at its ends; empty beyond the last.
    pub fn cell(&self, index: usize) -> &str {
        self.cells.get(index).map_or("", |cell| cell.trim())
    }

    /// Whether nothing stands in any cell.
    pub fn is_empty(&self) -> bool {
        self.cells.iter().all(|cell| cell.trim().is_empty())
    }
}

/// A table as it was read: never changed afterwards.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Table {
    /// The name of its file.
    pub name: String,
    /// How its text was written.
    pub encoding: Encoding,
    /// What separates its columns.
    pub separator: char,
    /// Rows before the heading: a title, a date.
    pub before: Vec<TableRow>,
    /// What the columns are headed, as many as the longest row has; `column 3` where nothing stands there.
    pub headings: Vec<String>,
    /// The rows below the heading; blank ones are left out.
    pub rows: Vec<TableRow>,
    /// What is worth knowing about the file, a sentence without its full stop each.
    pub remarks: Vec<String>,
    /// SHA-256 of the file.
    pub(crate) hash: [u8; 32],
}

impl Table {
    /// What stands above the headings, in one line.
    pub(crate) fn title(&self) -> String {
        let cells = self.before.iter().flat_map(|row| &row.cells);
        let cells: Vec<&str> = cells
            .map(|cell| cell.trim())
            .filter(|c| !c.is_empty())
            .collect();
        cells.join("; ")
    }

    /// A name for something of this table, always the same for the same bytes: a UUID of version 8 (RFC 9562, 2024, section 5.8).
    pub fn uuid(&self, of: &str) -> String {
        let mut hash = Sha256::new();
        hash.update(b"table/");
        hash.update(self.hash);
        hash.update(of.as_bytes());
        let hash: [u8; 32] = hash.finalize().into();
        let mut text = String::with_capacity(36);
        for (at, byte) in hash.iter().take(16).enumerate() {
            let byte = match at {
                6 => (byte & 0x0f) | 0x80,
                8 => (byte & 0x3f) | 0x80,
                _ => *byte,
            };
            if matches!(at, 4 | 6 | 8 | 10) {
                text.push('-');
            }
            text.push_str(&format!("{byte:02x}"));
        }
        text
    }

    /// At most so many values of a column, in the order of the rows; empty cells are left out.
    pub fn samples(&self, column: usize, most: usize) -> Vec<&str> {
        let cells = self.rows.iter().map(|row| row.cell(column));
        cells.filter(|cell| !cell.is_empty()).take(most).collect()
    }
}

/// The longest table that is read, bytes: our limit, some half a million rows.
const LONGEST: usize = 64 << 20;

/// Reads a table.
///
/// # Degenerate input
/// Never fails. Nothing at all, or what is no text, gives a table without rows and a remark that says so and the way out.
pub fn read(name: &str, bytes: &[u8]) -> Table {
    let mut table = Table {
        name: name.to_owned(),
        separator: ',',
        hash: Sha256::digest(bytes).into(),
        ..Table::default()
    };
    if let Some(why) = no_table(bytes) {
        table.remarks.push(why);
        return table;
    }
    let decoded = text::decode(bytes);
    table.encoding = decoded.encoding;
    table.remarks = decoded.remarks;
    let split = cells::split(&decoded.text);
    table.separator = char::from(split.separator);
    table.remarks.extend(split.remarks);
    let mut rows: Vec<TableRow> = split.rows;
    rows.retain(|row| !row.is_empty());
    let heading = matching::heading_row(&rows);
    let below = heading.map_or(0, |row| row + 1);
    table.rows = rows.split_off(below);
    if let Some(at) = heading {
        let named = rows.pop().unwrap_or_default();
        rows.truncate(at);
        table.before = rows;
        table.headings = headings(&named, &table.rows);
    } else {
        table.headings = headings(&TableRow::default(), &table.rows);
        if !table.rows.is_empty() {
            table.remarks.push(
                "no line names the columns: the first row is taken as a row, and the columns are numbered"
                    .to_owned(),
            );
        }
    }
    if !table.before.is_empty() {
        table.remarks.push(format!(
            "above the headings stands `{}`; it goes into the note of the first station",
            short(&table.title(), 80)
        ));
    }
    if table.rows.is_empty() {
        table.remarks.push(if heading.is_some() {
            "only headings are there, and no row".to_owned()
        } else {
            "nothing is there: the file is empty".to_owned()
        });
    }
    table
}

/// Whether a text is a zone of UTM, as `33N`.
pub fn is_zone(text: &str) -> bool {
    values::zone(text).is_some()
}

/// Why these bytes are no table of text, and the way out.
fn no_table(bytes: &[u8]) -> Option<String> {
    let is = |magic: &[u8]| bytes.starts_with(magic);
    let what = if bytes.len() > LONGEST {
        return Some(format!(
            "the file has {} MB, over the limit of {} MB; cut it into several tables",
            bytes.len() >> 20,
            LONGEST >> 20
        ));
    } else if is(b"PK\x03\x04") || is(b"\xd0\xcf\x11\xe0") {
        "a spreadsheet or an archive"
    } else if is_json(bytes) {
        return Some(
            "the file is no table but JSON; a book file is joined (in the app: Camp, Open book files; `camp join`), anything else is to be saved as text with separators (CSV)"
                .to_owned(),
        );
    } else if is(b"%PDF") {
        "a printed page (PDF)"
    } else if is(b"SQLite format 3\0") {
        "a database"
    } else if is(b"\x1f\x8b") || is(b"\x89PNG") || is(b"\xff\xd8\xff") {
        "no text"
    } else if let Some(wide) = text::wide(bytes) {
        return Some(format!(
            "the file is {wide}; save it as CSV in UTF-8 (in a spreadsheet: Save as, CSV UTF-8), and open that"
        ));
    } else {
        return None;
    };
    Some(format!(
        "the file is {what}; save the table as text with separators (CSV), and open that"
    ))
}

/// Whether a file begins as an object of JSON does, or a list of them; no table does.
fn is_json(bytes: &[u8]) -> bool {
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    let within = |open: u8| {
        let text = bytes.trim_ascii_start().strip_prefix(&[open])?;
        Some(text.trim_ascii_start())
    };
    let object = |text: &[u8]| text.starts_with(b"\"") || text.starts_with(b"}");
    within(b'{').is_some_and(object) || within(b'[').is_some_and(|text| text.starts_with(b"{\""))
}

fn headings(named: &TableRow, rows: &[TableRow]) -> Vec<String> {
    let filled = |row: &TableRow| {
        let last = row.cells.iter().rposition(|cell| !cell.trim().is_empty());
        last.map_or(0, |last| last + 1)
    };
    let columns = rows.iter().chain([named]).map(filled).max().unwrap_or(0);
    (0..columns)
        .map(|column| match named.cell(column) {
            "" => format!("column {}", column + 1),
            heading => heading.to_owned(),
        })
        .collect()
}

/// A text cut to so many characters, with an ellipsis where some are left out.
pub(crate) fn short(text: &str, longest: usize) -> String {
    if text.chars().count() <= longest {
        return text.to_owned();
    }
    let start: String = text.chars().take(longest).collect();
    format!("{start}…")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_is_a_uuid_and_always_the_same() {
        let table = read("a.csv", b"strike,dip\n045,30\n");
        let same = read("b.csv", b"strike,dip\n045,30\n");
        let name = table.uuid("station/1");
        assert_eq!(name, same.uuid("station/1"));
        assert_ne!(name, table.uuid("station/2"));
        assert_eq!(name.len(), 36);
        assert_eq!(name.as_bytes()[14], b'8');
        assert!(matches!(name.as_bytes()[19], b'8' | b'9' | b'a' | b'b'));
    }
}
