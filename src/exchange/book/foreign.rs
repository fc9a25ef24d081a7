//! What a file that is not a book looks like, in words a person can act on.

use crate::notebook::canonical::{self, Scan};

/// The formats that are known by their first bytes; `None` for what may be text.
pub(super) fn by_its_first_bytes(bytes: &[u8]) -> Option<String> {
    const BEGINNINGS: [(&[u8], &str); 9] = [
        (
            b"PK\x03\x04",
            "a ZIP archive (a spreadsheet or KMZ is one too)",
        ),
        (
            b"SQLite format 3\0",
            "an SQLite database (a GeoPackage is one too)",
        ),
        (b"%PDF", "a PDF"),
        (b"\x89PNG", "a PNG picture"),
        (b"\xff\xd8\xff", "a JPEG picture"),
        (b"\x1f\x8b", "a gzip archive"),
        (b"\xff\xfe", "text in UTF-16; a book file is in UTF-8"),
        (b"\xfe\xff", "text in UTF-16; a book file is in UTF-8"),
        (b"\0\0\0\x1cftyp", "a video or picture"),
    ];
    let beginning = BEGINNINGS
        .iter()
        .find(|(beginning, _)| bytes.starts_with(beginning));
    beginning.map(|(_, kind)| (*kind).to_owned())
}

/// True when a text names the book format near its beginning, or is too short to tell but could.
pub(super) fn begins_like_a_book(text: &str) -> bool {
    const BEGINNING: &str = "{\"format\":\"hingeline-book\"";
    let close: String = text
        .chars()
        .filter(|c| !c.is_ascii_whitespace())
        .take(200)
        .collect();
    close.contains("\"hingeline-book\"") || BEGINNING.starts_with(&close)
}

/// What a text that is no JSON object looks like.
pub(super) fn text(text: &str) -> String {
    let start = text.trim_start();
    let kind = if by_its_first_bytes(text.as_bytes()).is_some() || text.contains('\0') {
        "a file that is no text"
    } else if start.starts_with("<?xml") && start.contains("<kml") {
        "KML"
    } else if start.starts_with("<?xml") && start.contains("<gpx") {
        "GPX"
    } else if start.to_ascii_lowercase().starts_with("<!doctype html") || start.starts_with("<html")
    {
        "a web page"
    } else if start.starts_with('<') {
        "XML"
    } else if is_json(start) {
        "JSON that is no object"
    } else if start.starts_with('{') || start.starts_with('[') {
        "text that is not whole JSON"
    } else if start
        .lines()
        .next()
        .is_some_and(|line| line.contains([',', ';', '\t']))
    {
        "a table of text (CSV)"
    } else {
        "plain text"
    };
    kind.to_owned()
}

fn is_json(text: &str) -> bool {
    let mut scan = Scan::new(text);
    scan.value(0).is_ok() && scan.end().is_ok()
}

/// What a JSON object that is not a book looks like, by its top level: the text at a key, and whether a key is there.
pub(super) fn object(
    text_at: impl Fn(&str) -> Option<String>,
    has: impl Fn(&str) -> bool,
) -> String {
    match (text_at("type").as_deref(), text_at("format")) {
        (Some("FeatureCollection" | "Feature" | "GeometryCollection"), _) => "GeoJSON".to_owned(),
        (Some("Topology"), _) => "TopoJSON".to_owned(),
        (_, Some(format)) => format!("JSON of the format `{}`", canonical::short(&format)),
        _ if has("record") && has("stamp") => "a single entry of a book".to_owned(),
        _ if has("$schema") => "a JSON Schema or a file that names one".to_owned(),
        _ => "JSON without a `format`".to_owned(),
    }
}
