//! Tables as CSV (RFC 4180): commas, CRLF, UTF-8 without a byte order mark, a heading with units.
//!
//! A spreadsheet takes a text that begins with `=`, `+`, `-` or `@`, or with their full-width forms, for a formula, and may run
//! it; some do so behind white space and line ends, which they drop. Such a text, and one that begins with a tab or a line end, gets an apostrophe before it, and so does one that begins with an apostrophe, so that taking one apostrophe
//! off gives back what was there. Numbers, and dials that are plain numbers, stay as they are. The character NUL, which
//! readers of tables refuse, is written as U+2400.

use super::column::{Cell, Sheet};

/// Whether a text is a plain number, `-03` or `12.5`: a spreadsheet cannot take it for more.
fn is_number(text: &str) -> bool {
    let digits = text.strip_prefix(['+', '-']).unwrap_or(text);
    let (whole, part) = digits.split_once('.').unwrap_or((digits, "0"));
    let all_digits = |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    all_digits(whole) && all_digits(part)
}

/// A text so that no spreadsheet runs it.
#[must_use]
pub fn guarded(text: &str) -> String {
    let text = text.replace('\0', "\u{2400}");
    let begins = text.trim_start_matches(|c: char| {
        c.is_whitespace() || c.is_control() || matches!(c, '\u{200b}'..='\u{200f}' | '\u{feff}')
    });
    let risky = begins.starts_with(['=', '+', '-', '@', '＝', '＋', '－', '＠'])
        || text.starts_with(['\t', '\r', '\n', '\'']);
    if risky && !is_number(&text) {
        format!("'{text}")
    } else {
        text
    }
}

/// The text behind [`guarded`], but for NUL.
#[must_use]
pub fn unguarded(text: &str) -> &str {
    text.strip_prefix('\'').unwrap_or(text)
}

/// Adds a field; whatever would end it goes between quotes.
fn field(out: &mut String, text: &str) {
    let plain = !text.contains(['"', ',', '\r', '\n'])
        && text.trim() == text
        // So that nobody takes it for a mark of the byte order.
        && !text.starts_with('\u{feff}');
    if plain {
        out.push_str(text);
    } else {
        out.push('"');
        out.push_str(&text.replace('"', "\"\""));
        out.push('"');
    }
}

/// Adds a row.
fn row<'a>(out: &mut String, fields: impl IntoIterator<Item = &'a str>) {
    for (place, text) in fields.into_iter().enumerate() {
        if place > 0 {
            out.push(',');
        }
        field(out, text);
    }
    out.push_str("\r\n");
}

/// A table of texts with its heading.
pub(super) fn table(heading: &[String], rows: impl Iterator<Item = Vec<String>>) -> String {
    let mut out = String::new();
    row(&mut out, heading.iter().map(String::as_str));
    for texts in rows {
        row(&mut out, texts.iter().map(String::as_str));
    }
    out
}

/// A table of the hand-over.
pub fn write(sheet: &dyn Sheet) -> String {
    let heading: Vec<String> = sheet.heads().iter().map(super::Head::heading).collect();
    let rows = (0..sheet.len()).map(|row| {
        let cells = sheet.cells(row);
        cells.iter().map(cell).collect()
    });
    table(&heading, rows)
}

fn cell(cell: &Cell<'_>) -> String {
    match cell {
        Cell::Text(text) => guarded(text),
        other => other.written().into_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn formulas_are_words_and_numbers_stay_numbers() {
        for (text, written) in [
            ("=1+1", "'=1+1"),
            ("+44", "+44"),
            ("-03", "-03"),
            ("-03.5", "-03.5"),
            ("-", "'-"),
            ("-3-", "'-3-"),
            ("@SUM(A1)", "'@SUM(A1)"),
            ("\tx", "'\tx"),
            ("\n=cmd", "'\n=cmd"),
            (" =1", "' =1"),
            ("\u{a0}\t+1", "'\u{a0}\t+1"),
            ("\u{85}=1", "'\u{85}=1"),
            ("\u{feff}=1", "'\u{feff}=1"),
            ("＝1+1", "'＝1+1"),
            (" ＠SUM(A1)", "' ＠SUM(A1)"),
            (" 03", " 03"),
            ("\nx", "'\nx"),
            ("−3 or so", "−3 or so"),
            ("'quoted", "''quoted"),
            ("graded", "graded"),
            ("", ""),
            ("a\0b", "a␀b"),
        ] {
            assert_eq!(guarded(text), written);
            if !text.contains('\0') {
                assert_eq!(unguarded(written), text);
            }
        }
    }

    #[test]
    fn what_would_end_a_field_is_quoted() {
        let mut out = String::new();
        row(
            &mut out,
            ["a", "b,c", "d\"e", "f\r\ng", "", " h", "\u{feff}i"],
        );
        assert_eq!(
            out,
            "a,\"b,c\",\"d\"\"e\",\"f\r\ng\",,\" h\",\"\u{feff}i\"\r\n"
        );
    }
}
