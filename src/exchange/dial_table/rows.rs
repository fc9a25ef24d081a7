//! Fields of a table, row by row, with the line each row begins on.

use std::io::{self, BufRead, Read};

use crate::exchange::windows_1252::letter;

use super::Fault;
use super::heading::separator;

/// A row longer than this is no row of dials: most likely a quote that is never closed, or no table at all.
const LONGEST_ROW: usize = 1 << 20;

/// The fields of one row.
#[derive(Clone, Debug, Default)]
pub(super) struct Fields {
    line: u64,
    texts: Vec<String>,
}

impl Fields {
    /// The line the row begins on, from 1.
    pub(super) fn line(&self) -> u64 {
        self.line
    }

    pub(super) fn count(&self) -> usize {
        self.texts.len()
    }

    /// A field, counted from 0; empty beyond the last.
    pub(super) fn get(&self, index: usize) -> &str {
        self.texts.get(index).map_or("", String::as_str)
    }

    /// Whether nothing stands in any field.
    pub(super) fn are_empty(&self) -> bool {
        self.texts.iter().all(|text| text.trim().is_empty())
    }

    /// How many fields there are; empty ones beyond so many are not counted.
    pub(super) fn filled(&self, columns: usize) -> usize {
        let mut count = self.texts.len();
        while count > columns && self.get(count - 1).trim().is_empty() {
            count -= 1;
        }
        count
    }
}

/// The rows of a table.
pub(super) struct Rows<R> {
    input: R,
    core: csv_core::Reader,
    /// One line of the file, ended by `\n` alone.
    text: Vec<u8>,
    /// How much of it was taken.
    taken: usize,
    /// The number of that line, from 1; 0 before the first.
    line: u64,
    output: Vec<u8>,
    ends: Vec<usize>,
    windows_1252: bool,
}

impl<R: BufRead> Rows<R> {
    /// Finds out from the first line what separates the fields.
    pub(super) fn open(input: R) -> Result<Self, Fault> {
        let mut rows = Self {
            input,
            core: csv_core::Reader::new(),
            text: Vec::new(),
            taken: 0,
            line: 0,
            output: vec![0; 1024],
            ends: vec![0; 32],
            windows_1252: false,
        };
        while rows.next_line()? {
            if rows.line == 1 {
                if rows.text.starts_with(b"\xff\xfe") || rows.text.starts_with(b"\xfe\xff") {
                    return Err(rows.fault("the text is in UTF-16; write it as UTF-8"));
                }
                if rows.text.starts_with("\u{feff}".as_bytes()) {
                    rows.text.drain(..3);
                }
            }
            if rows.text.contains(&0) {
                return Err(rows.fault("these bytes are no text; a table is written as text (CSV)"));
            }
            let line = rows.text.trim_ascii();
            // Some spreadsheets say the separator in a line of its own.
            let said = line
                .strip_prefix(b"sep=")
                .or_else(|| line.strip_prefix(b"SEP="));
            let separator = match said {
                Some([separator]) => *separator,
                Some(_) => b'\t',
                None if line.is_empty() => continue,
                None => separator(line),
            };
            rows.core = csv_core::ReaderBuilder::new().delimiter(separator).build();
            if said.is_some() {
                rows.taken = rows.text.len();
            }
            break;
        }
        Ok(rows)
    }

    pub(super) fn is_windows_1252(&self) -> bool {
        self.windows_1252
    }

    /// The next row that is not blank.
    pub(super) fn next(&mut self) -> Option<Result<Fields, Fault>> {
        loop {
            if self.taken == self.text.len() {
                match self.next_line() {
                    Ok(true) => {}
                    Ok(false) => return None,
                    Err(fault) => return Some(Err(fault)),
                }
            }
            let rest = self.text.get(self.taken..).unwrap_or_default();
            if rest.trim_ascii().is_empty() {
                self.taken = self.text.len();
                continue;
            }
            return Some(self.row());
        }
    }

    fn row(&mut self) -> Result<Fields, Fault> {
        let line = self.line;
        let (mut written, mut ended) = (0, 0);
        loop {
            let input = self.text.get(self.taken..).unwrap_or_default();
            let output = self.output.get_mut(written..).unwrap_or_default();
            let ends = self.ends.get_mut(ended..).unwrap_or_default();
            let (result, read, wrote, closed) = self.core.read_record(input, output, ends);
            self.taken += read;
            written += wrote;
            ended += closed;
            match result {
                csv_core::ReadRecordResult::OutputFull => {
                    if self.output.len() > LONGEST_ROW {
                        return Err(Fault {
                            line,
                            column: None,
                            why: format!(
                                "a row of more than {LONGEST_ROW} bytes begins here; most likely a quote in it is not closed"
                            ),
                        });
                    }
                    self.output.resize(2 * self.output.len(), 0);
                }
                csv_core::ReadRecordResult::OutputEndsFull => {
                    self.ends.resize(2 * self.ends.len(), 0);
                }
                // Every line is fed whole, so what is not at its end stands between quotes and goes on in the next line.
                csv_core::ReadRecordResult::InputEmpty => {
                    if !self.next_line()? {
                        return Err(Fault {
                            line,
                            column: Some((ended + 1, String::new())),
                            why: "a quote is opened here and never closed; close it, or write two quotes for one in a text"
                                .to_owned(),
                        });
                    }
                }
                csv_core::ReadRecordResult::Record | csv_core::ReadRecordResult::End => break,
            }
        }
        if self.taken < self.text.len() {
            // A carriage return alone ended the row: the line that is in hand holds the next one too.
            self.line += 1;
        }
        let mut from = 0;
        let mut texts = Vec::with_capacity(ended);
        for &to in self.ends.get(..ended).unwrap_or_default() {
            let bytes = self.output.get(from..to).unwrap_or_default();
            from = to;
            texts.push(match std::str::from_utf8(bytes) {
                Ok(text) => text.to_owned(),
                Err(_) => {
                    self.windows_1252 = true;
                    bytes.iter().map(|&byte| letter(byte)).collect()
                }
            });
        }
        Ok(Fields { line, texts })
    }

    /// Takes the next line of the file into `text`; false at the end.
    fn next_line(&mut self) -> Result<bool, Fault> {
        self.text.clear();
        self.taken = 0;
        let limit = u64::try_from(LONGEST_ROW).unwrap_or(u64::MAX);
        let read = (&mut self.input)
            .take(limit)
            .read_until(b'\n', &mut self.text)
            .map_err(|error| self.broken(&error))?;
        if read == 0 {
            return Ok(false);
        }
        self.line += 1;
        if read == LONGEST_ROW {
            return Err(
                self.fault("the line is over a megabyte long; a table has one reading a line")
            );
        }
        if self.text.ends_with(b"\n") {
            self.text.pop();
        }
        if self.text.ends_with(b"\r") {
            self.text.pop();
        }
        self.text.push(b'\n');
        Ok(true)
    }

    fn fault(&self, why: &str) -> Fault {
        Fault {
            line: self.line,
            column: Some((1, String::new())),
            why: why.to_owned(),
        }
    }

    fn broken(&self, error: &io::Error) -> Fault {
        Fault {
            line: self.line + 1,
            column: None,
            why: format!("the input broke off: {error}"),
        }
    }
}
