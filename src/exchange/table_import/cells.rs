//! Text to cells: what separates the columns is found out, quotes are read as RFC 4180 says.

use csv_core::{ReadRecordResult, Reader, ReaderBuilder};

use super::TableRow;
use super::what::What;
use crate::exchange::dial_table::{SEPARATORS, best_separator};

/// The rows of a text, and what separates them.
pub(super) struct Split {
    pub(super) separator: u8,
    pub(super) rows: Vec<TableRow>,
    pub(super) remarks: Vec<String>,
}

/// So many rows tell what separates the columns.
const TRIED: usize = 20;

/// Quotes that are never closed are looked for so often; a text with more of them is read without quotes from there on.
const UNCLOSED: usize = 50;

pub(super) fn split(text: &str) -> Split {
    let mut line = 1;
    let mut rest = text;
    // Some spreadsheets say the separator in a line of its own.
    let first = text.lines().next().unwrap_or_default().trim();
    let said = match first.get(..4) {
        Some(start) if start.eq_ignore_ascii_case("sep=") => first.as_bytes().get(4).copied(),
        _ => None,
    };
    let said = said.filter(|byte| SEPARATORS.contains(byte));
    if said.is_some() {
        let end = text.find('\n').map_or(text.len(), |end| end + 1);
        rest = text.get(end..).unwrap_or_default();
        line = 2;
    }
    let separator = said.unwrap_or_else(|| separator(rest));
    let mut remarks = Vec::new();
    let rows = rows(rest, separator, line, usize::MAX, &mut remarks);
    Split {
        separator,
        rows,
        remarks,
    }
}

/// Whichever makes most known headings, then most rows of one length, then the longest rows; a comma where none does.
fn separator(text: &str) -> u8 {
    let score = |separator: u8| {
        let rows = rows(text, separator, 1, TRIED, &mut Vec::new());
        let known = rows.iter().take(5).map(|row| {
            let cells = row.cells.iter();
            cells
                .filter(|cell| What::of_heading(cell).is_some())
                .count()
        });
        let known = known.max().unwrap_or(0);
        let longest = rows.iter().map(|row| row.cells.len()).max().unwrap_or(0);
        let alike = rows.iter().filter(|row| row.cells.len() == longest).count();
        let alike = if longest > 1 { alike } else { 0 };
        (known, alike, longest)
    };
    best_separator(score)
}

/// The rows of a text, the first `most` of them.
fn rows(
    text: &str,
    separator: u8,
    first_line: u64,
    most: usize,
    remarks: &mut Vec<String>,
) -> Vec<TableRow> {
    let mut rows = Vec::new();
    let mut at = Place {
        rest: text,
        line: first_line,
    };
    let mut unclosed = 0;
    let mut reader = reader(separator, true);
    while rows.len() < most {
        at.pass_line_ends();
        if at.rest.is_empty() {
            break;
        }
        let (cells, length) = record(&mut reader, at.rest);
        let taken = at.rest.get(..length).unwrap_or(at.rest);
        let lines = taken.trim_end_matches(['\r', '\n']);
        // A quote that is open at the end would have swallowed the rows behind it: its line is read without quotes.
        let open = length == at.rest.len()
            && lines.contains(['\r', '\n'])
            && lines.matches('"').count() % 2 == 1;
        if open {
            unclosed += 1;
            if unclosed == 1 {
                remarks.push(format!(
                    "doubt: a quote in line {} is never closed; the line was read as if there were none",
                    at.line
                ));
            }
            let end = at.rest.find(['\r', '\n']).unwrap_or(at.rest.len());
            let first = at.rest.get(..end).unwrap_or_default();
            let mut plain = self::reader(separator, false);
            let (cells, _) = record(&mut plain, first);
            rows.push(at.row(cells, first));
            at.pass(end);
            reader = self::reader(separator, unclosed < UNCLOSED);
            continue;
        }
        rows.push(at.row(cells, lines));
        at.pass(length);
    }
    rows
}

fn reader(separator: u8, quoting: bool) -> Reader {
    ReaderBuilder::new()
        .delimiter(separator)
        .quoting(quoting)
        .build()
}

struct Place<'t> {
    rest: &'t str,
    line: u64,
}

impl Place<'_> {
    fn pass(&mut self, bytes: usize) {
        // The two bytes of one line end stay together.
        let ahead = self.rest.as_bytes();
        let parted =
            bytes > 0 && ahead.get(bytes - 1) == Some(&b'\r') && ahead.get(bytes) == Some(&b'\n');
        let bytes = bytes + usize::from(parted);
        let (taken, rest) = self.rest.split_at(bytes.min(self.rest.len()));
        self.line += line_ends(taken);
        self.rest = rest;
    }

    fn pass_line_ends(&mut self) {
        let text = self.rest.trim_start_matches(['\r', '\n']);
        self.pass(self.rest.len() - text.len());
    }

    fn row(&self, cells: Vec<String>, text: &str) -> TableRow {
        TableRow {
            line: self.line,
            cells,
            text: text.to_owned(),
        }
    }
}

/// How many lines end in a text: by a line feed, or by a carriage return alone.
fn line_ends(text: &str) -> u64 {
    let bytes = text.as_bytes();
    let ends = bytes.iter().enumerate().filter(|&(at, &byte)| {
        byte == b'\n' || (byte == b'\r' && bytes.get(at + 1) != Some(&b'\n'))
    });
    u64::try_from(ends.count()).unwrap_or(u64::MAX)
}

/// The cells of the first record of a text that does not begin with a line end, and how many bytes it takes up.
fn record(reader: &mut Reader, text: &str) -> (Vec<String>, usize) {
    reader.reset();
    let mut output = vec![0; 1024];
    let mut ends = vec![0; 32];
    let (mut read, mut written, mut ended) = (0, 0, 0);
    loop {
        let input = text.as_bytes().get(read..).unwrap_or_default();
        let (result, took, wrote, closed) = reader.read_record(
            input,
            output.get_mut(written..).unwrap_or_default(),
            ends.get_mut(ended..).unwrap_or_default(),
        );
        read += took;
        written += wrote;
        ended += closed;
        match result {
            ReadRecordResult::OutputFull => output.resize(2 * output.len(), 0),
            ReadRecordResult::OutputEndsFull => ends.resize(2 * ends.len(), 0),
            // The next call, with nothing left, ends the record.
            ReadRecordResult::InputEmpty => {}
            ReadRecordResult::Record | ReadRecordResult::End => break,
        }
    }
    let mut from = 0;
    let mut cells = Vec::with_capacity(ended);
    for &to in ends.get(..ended).unwrap_or_default() {
        let bytes = output.get(from..to).unwrap_or_default();
        // A cell of a text is text: separators, quotes and line ends are single bytes.
        cells.push(String::from_utf8_lossy(bytes).into_owned());
        from = to;
    }
    (cells, read)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(text: &str, separator: u8, wanted: &[(u64, &[&str])]) {
        let split = split(text);
        assert_eq!(char::from(split.separator), char::from(separator), "{text}");
        let found: Vec<(u64, Vec<&str>)> = split
            .rows
            .iter()
            .map(|row| (row.line, row.cells.iter().map(String::as_str).collect()))
            .collect();
        let wanted: Vec<(u64, Vec<&str>)> = wanted.iter().map(|(l, c)| (*l, c.to_vec())).collect();
        assert_eq!(found, wanted, "{text:?}");
    }

    #[test]
    fn cells_are_read_as_rfc_4180_says() {
        check(
            "a,b\r\nc,d\r\n",
            b',',
            &[(1, &["a", "b"]), (2, &["c", "d"])],
        );
        check(
            "a,\"b\nc\"\nd,e",
            b',',
            &[(1, &["a", "b\nc"]), (3, &["d", "e"])],
        );
        check("a,\"b\"\"c\"\n", b',', &[(1, &["a", "b\"c"])]);
        check(
            "strike;dip\n45,5;30,2\n",
            b';',
            &[(1, &["strike", "dip"]), (2, &["45,5", "30,2"])],
        );
        check(
            "a\tb\n\n\nc\td\n",
            b'\t',
            &[(1, &["a", "b"]), (4, &["c", "d"])],
        );
        check("sep=;\na;b,c\n", b';', &[(2, &["a", "b,c"])]);
        check("a,b\rc,d\r", b',', &[(1, &["a", "b"]), (2, &["c", "d"])]);
        check("", b',', &[]);
        check("\n\n", b',', &[]);
    }

    #[test]
    fn lines_are_counted_whatever_ends_them() {
        for end in ["\n", "\r\n", "\r"] {
            let text = ["a,b", "c,\"d", "e\"", "", "f,g", ""].join(end);
            let lines: Vec<u64> = split(&text).rows.iter().map(|row| row.line).collect();
            assert_eq!(lines, [1, 2, 5], "{end:?}");
        }
    }

    #[test]
    fn a_quote_that_is_never_closed_swallows_no_row() {
        let split = split("a,b\n\"c,d\ne,f\n");
        let rows: Vec<&str> = split.rows.iter().map(|row| row.text.as_str()).collect();
        assert_eq!(rows, ["a,b", "\"c,d", "e,f"]);
        assert_eq!(split.rows[1].cells, ["\"c", "d"]);
        assert!(split.remarks[0].contains("line 2"), "{:?}", split.remarks);
    }
}
