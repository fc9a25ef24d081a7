//! The data dictionary: every column of every table, with its unit and its meaning.

use super::column::Head;
use super::csv;
use super::{HandOver, Sheet};

/// How the dictionary's own columns are headed.
pub const HEADING: [&str; 7] = [
    "table", "column", "heading", "key", "content", "unit", "meaning",
];

/// One line of the dictionary.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Line {
    /// The table.
    pub table: &'static str,
    /// The column.
    pub head: Head,
}

/// Every column, table by table.
pub fn lines(hand_over: &HandOver) -> Vec<Line> {
    let of = |sheet: &dyn Sheet| {
        let table = sheet.name();
        let heads = sheet.heads().into_iter();
        heads.map(move |head| Line { table, head })
    };
    hand_over.sheets().into_iter().flat_map(of).collect()
}

/// The dictionary as a table; its first lines say what a row of each table is, and how texts are guarded.
pub fn write(hand_over: &HandOver) -> String {
    let heading = HEADING.map(str::to_owned);
    let about = |table: &str, meaning: &str| {
        vec![
            table.to_owned(),
            String::new(),
            String::new(),
            String::new(),
            String::new(),
            String::new(),
            csv::guarded(meaning),
        ]
    };
    let mut rows = vec![about(
        "",
        "Every table is CSV as RFC 4180 has it, in UTF-8. A text that begins with =, +, -, @ or their full-width forms, \
         behind white space too, with a tab, a line end or an apostrophe, and is no plain number, has one apostrophe put before it, so that no spreadsheet takes it for a formula; \
         take one off to have what was written. NUL is written as U+2400. In other formats a column is called by its key.",
    )];
    for sheet in hand_over.sheets() {
        rows.push(about(sheet.name(), sheet.row_meaning()));
    }
    for line in lines(hand_over) {
        rows.push(vec![
            line.table.to_owned(),
            line.head.name.to_owned(),
            line.head.heading(),
            line.head.key(),
            line.head.kind.name().to_owned(),
            line.head.unit.name().to_owned(),
            csv::guarded(line.head.meaning),
        ]);
    }
    csv::table(&heading, rows.into_iter())
}
