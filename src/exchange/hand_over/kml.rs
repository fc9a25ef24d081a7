//! Everything that has a place as KML 2.2 (OGC 07-147r2), with every column as typed extended data.
//!
//! A placemark carries no height: KML counts it from the sea, and the book from the ellipsoid; the column `height_m` has it.

use std::borrow::Cow;

use super::column::{Cell, Kind, Sheet, Unit};
use super::instant::utc;
use super::{HandOver, Head};
use crate::exchange::xml::escaped;

/// What an XML parser takes for a name of a column's type (KML 2.2, `kml:Schema`).
fn type_of(kind: Kind) -> &'static str {
    match kind {
        Kind::Text => "string",
        Kind::Number => "double",
        Kind::Whole => "uint",
        Kind::Flag => "bool",
    }
}

/// A value as readers take it: true and false as figures, because some read a `bool` as a number.
fn data<'a>(cell: &'a Cell<'_>) -> Cow<'a, str> {
    match cell {
        Cell::Flag(flag) => Cow::Borrowed(if *flag { "1" } else { "0" }),
        other => other.written(),
    }
}

fn schema(out: &mut String, sheet: &dyn Sheet) {
    out.push_str(&format!("<Schema name=\"{0}\" id=\"{0}\">\n", sheet.name()));
    for head in sheet.heads() {
        out.push_str(&format!(
            "<SimpleField type=\"{}\" name=\"{}\"><displayName>{}</displayName></SimpleField>\n",
            type_of(head.kind),
            head.key(),
            escaped(&head.heading())
        ));
    }
    out.push_str("</Schema>\n");
}

/// What stands in the balloon of a placemark: its columns in words, those that are filled.
fn description(heads: &[Head], cells: &[Cell<'_>]) -> String {
    let lines: Vec<String> = heads
        .iter()
        .zip(cells)
        .filter(|(_, cell)| !matches!(cell, Cell::Nothing))
        .filter(|(head, _)| {
            [
                "station_name",
                "kind",
                "written",
                "written_line",
                "map_unit",
                "lithology",
                "to",
                "bearing",
                "note",
            ]
            .contains(&head.name)
        })
        .map(|(head, cell)| {
            let unit = if head.unit == Unit::Degrees { "°" } else { "" };
            format!("{}: {}{unit}", head.name.replace('_', " "), cell.written())
        })
        .collect();
    lines.join("\n")
}

/// Words as they stand in a `description`: readers show its text as HTML (KML 2.2, `kml:description`), so it is escaped once
/// for that and once more for XML, and a line ends with `<br/>`.
fn described(words: &str) -> String {
    let html = escaped(words).replace("&#13;", "").replace('\n', "<br/>");
    escaped(&html)
}

fn placemark(out: &mut String, sheet: &dyn Sheet, heads: &[Head], row: usize) {
    let cells = sheet.cells(row);
    out.push_str(&format!(
        "<Placemark><name>{}</name>",
        escaped(&sheet.called(row))
    ));
    let description = description(heads, &cells);
    if !description.is_empty() {
        out.push_str(&format!(
            "<description>{}</description>",
            described(&description)
        ));
    }
    if let Some(when) = utc(sheet.at(row)) {
        out.push_str(&format!("<TimeStamp><when>{when}</when></TimeStamp>"));
    }
    out.push_str(&format!(
        "<ExtendedData><SchemaData schemaUrl=\"#{}\">",
        sheet.name()
    ));
    for (head, cell) in heads.iter().zip(&cells) {
        if !matches!(cell, Cell::Nothing) {
            out.push_str(&format!(
                "<SimpleData name=\"{}\">{}</SimpleData>",
                head.key(),
                escaped(&data(cell))
            ));
        }
    }
    out.push_str("</SchemaData></ExtendedData>");
    if let Some(point) = sheet.point(row) {
        out.push_str(&format!(
            "<Point><coordinates>{},{}</coordinates></Point>",
            point.longitude, point.latitude
        ));
    }
    out.push_str("</Placemark>\n");
}

/// The whole document: a folder a table.
pub fn write(hand_over: &HandOver) -> String {
    let mut out = String::from(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<kml xmlns=\"http://www.opengis.net/kml/2.2\">\n<Document>\n",
    );
    let name = if hand_over.book.is_empty() {
        "book without a name"
    } else {
        &hand_over.book
    };
    out.push_str(&format!("<name>{}</name>\n", escaped(name)));
    let mut words = vec![format!(
        "Handed over: {}.",
        super::Format::Kml.holds(&hand_over.account).words()
    )];
    words.extend(hand_over.notes().iter().map(|note| format!("{note}.")));
    out.push_str(&format!(
        "<description>{}</description>\n",
        described(&words.join("\n"))
    ));
    for sheet in hand_over.placed() {
        schema(&mut out, sheet);
    }
    for sheet in hand_over.placed() {
        let heads = sheet.heads();
        out.push_str(&format!("<Folder><name>{}</name>\n", sheet.name()));
        for row in 0..sheet.len() {
            placemark(&mut out, sheet, &heads, row);
        }
        out.push_str("</Folder>\n");
    }
    out.push_str("</Document>\n</kml>\n");
    out
}
