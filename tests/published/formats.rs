//! What is handed over against the vocabularies, the symbol standard and the formats that others publish.

use std::fs;
use std::path::Path;
use std::process::Command;

use hingeline::exchange::book;
use hingeline::exchange::hand_over::{Cell, HandOver, Made, Sheet, Wanted, gpx};
use hingeline::notebook::{Ledger, Pages};
use rusqlite::Connection;
use serde_json::Value;

use super::{Check, check_all};

/// What no file of ours holds, or what is looked at elsewhere.
const LISTED: &[(&str, &str, &str)] = &[
    (
        "fmt-fgdc-bedding",
        "6.13",
        "a top direction told by a ball is another symbol than the book's overturned bedding; none is handed over",
    ),
    (
        "fmt-fgdc-bedding",
        "6.33",
        "a book has no approximate readings: each has its own uncertainty instead",
    ),
    (
        "fmt-fgdc-drawing",
        "min_lineweight_mm",
        "drawn in pixels of the screen, far above it",
    ),
    (
        "fmt-fgdc-drawing",
        "strike_line",
        "drawn by the app; its own tests look at every symbol",
    ),
    (
        "fmt-fgdc-drawing",
        "dip_tick",
        "drawn by the app; its own tests look at every symbol",
    ),
    (
        "fmt-fgdc-drawing",
        "vertical",
        "drawn by the app; its own tests look at every symbol",
    ),
    (
        "fmt-fgdc-drawing",
        "horizontal",
        "drawn by the app; its own tests look at every symbol",
    ),
    (
        "fmt-fgdc-drawing",
        "overturned",
        "drawn by the app; its own tests look at every symbol",
    ),
    (
        "fmt-fgdc-drawing",
        "lineation",
        "drawn by the app; its own tests look at every symbol",
    ),
    (
        "fmt-geojson-ring",
        "rule",
        "what is handed over are points: no file of ours has a ring",
    ),
];

const DEMO: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/public/demo.json");

/// The invented book that comes with the app, handed over.
fn handed_over() -> HandOver {
    let file = book::read_bytes(&fs::read(DEMO).expect("the demo book")).expect("a book");
    let mut ledger = Ledger::new();
    ledger.join(file.entries);
    let made = Made {
        at: "2026-06-20T18:00:00Z".to_owned(),
        by: "QV".to_owned(),
    };
    HandOver::of(&Pages::of(&ledger), &Wanted::default(), made)
}

/// Everything that stands in a column of a table, as it is written.
fn column(sheet: &dyn Sheet, name: &str) -> Vec<String> {
    let place = sheet.heads().iter().position(|head| head.name == name);
    let place = place.unwrap_or_else(|| panic!("no column {name}"));
    let cells = (0..sheet.len()).map(|row| match &sheet.cells(row)[place] {
        Cell::Nothing => String::new(),
        cell => cell.written().into_owned(),
    });
    cells.filter(|text| !text.is_empty()).collect()
}

fn texts(value: &Value) -> Vec<&str> {
    let list = value.as_array().expect("a list");
    list.iter().map(|v| v.as_str().expect("a text")).collect()
}

fn check_row(check: &mut Check<'_>) {
    match check.row.id.as_str() {
        "fmt-cgi-convention" => {
            let uris = texts(check.expected("uris"));
            let written = column(handed_over().readings(), "convention_uri");
            assert!(!written.is_empty());
            assert!(written.iter().all(|uri| uris.contains(&uri.as_str())));
            // Ours is the second term, and means what the library means by a strike.
            assert_eq!(
                texts(check.expected("terms"))[1],
                "strike dip right hand rule"
            );
            assert_eq!(written[0], uris[1]);
            assert_eq!(
                check.expected("rhr_definition"),
                "as one looks along the strike direction, the surface dips to the right"
            );
            let plane = hingeline::orientation::Plane::from_deg(40.0, 30.0).expect("in range");
            assert!((plane.dip_direction().deg() - 130.0).abs() < 1e-9);
        }
        "fmt-cgi-method" => {
            let base = check.expected("uri_base").as_str().expect("a text");
            let terms = texts(check.expected("terms"));
            let written = column(handed_over().readings(), "method_uri");
            assert!(!written.is_empty());
            for uri in written {
                let term = uri.strip_prefix(base).expect("of that vocabulary");
                assert!(terms.contains(&term.replace('_', " ").as_str()), "{uri}");
            }
        }
        "fmt-fgdc-bedding" => {
            let over = handed_over();
            let numbers = column(over.readings(), "fgdc_symbol");
            assert!(numbers.iter().any(|n| n == "6.2"), "the demo has beds");
            for (number, lies) in [
                ("6.1", "horizontal"),
                ("6.2", "inclined"),
                ("6.3", "vertical"),
            ] {
                let words = check.expected(number).as_str().expect("a text");
                assert!(words.starts_with(&format!("{lies} bedding")), "{words}");
            }
            // Row by row: number and words say the same.
            let sheet = over.readings();
            let heads = sheet.heads();
            let place = |name: &str| heads.iter().position(|h| h.name == name).expect("a column");
            let (number, words) = (place("fgdc_symbol"), place("symbol"));
            for row in 0..sheet.len() {
                let cells = sheet.cells(row);
                let lies = match &*cells[number].written() {
                    "6.1" => "horizontal",
                    "6.2" => "inclined",
                    "6.3" => "vertical",
                    _ => continue,
                };
                let words = cells[words].written();
                assert!(words.contains(lies) && words.contains("bedding"), "{words}");
            }
        }
        "fmt-gpkg-geometry" => geopackage(check),
        "fmt-gpx" => {
            let text = gpx::write(&handed_over());
            let document = roxmltree::Document::parse(&text).expect("well formed");
            let root = document.root_element();
            let namespace = check.expected("namespace").as_str();
            assert_eq!(root.tag_name().namespace(), namespace);
            assert_eq!(
                texts(check.expected("root_attributes")),
                ["version=\"1.1\"", "creator (required)"]
            );
            assert_eq!(root.attribute("version"), Some("1.1"));
            assert!(root.attribute("creator").is_some_and(|c| !c.is_empty()));
            let order = texts(check.expected("wpt_child_order"));
            assert_eq!(check.expected("lat"), "-90..90");
            assert_eq!(check.expected("lon"), "-180<=lon<180");
            assert_eq!(check.expected("ele"), "metres");
            assert_eq!(check.expected("magvar"), "0<=deg<360 (degreesType)");
            assert_eq!(check.expected("time"), "UTC, ISO 8601");
            let mut points = 0;
            for point in document.descendants().filter(|n| n.has_tag_name("wpt")) {
                let number = |name: &str| -> f64 {
                    let text = point.attribute(name).expect("a coordinate");
                    text.parse().expect("a number")
                };
                assert!((-90.0..=90.0).contains(&number("lat")));
                assert!((-180.0..180.0).contains(&number("lon")));
                let children: Vec<&str> = point
                    .children()
                    .filter(roxmltree::Node::is_element)
                    .map(|child| child.tag_name().name())
                    .collect();
                let places: Vec<usize> = children
                    .iter()
                    .map(|name| order.iter().position(|o| o == name).expect("in the schema"))
                    .collect();
                assert!(places.is_sorted(), "{children:?}");
                // A height in metres, a time in UTC; no declination is written.
                for child in point.children().filter(roxmltree::Node::is_element) {
                    let text = child.text().unwrap_or_default();
                    match child.tag_name().name() {
                        "ele" => assert!(text.parse::<f64>().is_ok(), "{text}"),
                        "time" => assert!(text.ends_with('Z'), "{text}"),
                        name => assert_ne!(name, "magvar"),
                    }
                }
                points += 1;
            }
            assert!(points > 3);
        }
        "fmt-fgdc-drawing" | "fmt-geojson-ring" => {}
        other => panic!("no check for {other}"),
    }
}

fn geopackage(check: &mut Check<'_>) {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("published");
    fs::create_dir_all(&folder).expect("a folder");
    let path = folder.join("demo.gpkg");
    let path = path.to_str().expect("UTF-8");
    let out = Command::new(env!("CARGO_BIN_EXE_camp"))
        .args([
            "hand-over",
            DEMO,
            "--format",
            "geopackage",
            "--force",
            "-o",
            path,
        ])
        .output()
        .expect("it runs");
    assert!(out.status.success(), "{out:?}");
    let package = Connection::open(path).expect("a database");
    let list = |query: &str| -> Vec<Value> {
        let mut rows = package.prepare(query).expect("a query");
        let found = rows.query_map([], |row| {
            Ok(match row.get_ref(0)? {
                rusqlite::types::ValueRef::Integer(i) => Value::from(i),
                other => Value::from(other.as_str()?),
            })
        });
        found
            .expect("rows")
            .map(|row| row.expect("a row"))
            .collect()
    };
    let want = check
        .expected("required_srs_ids")
        .as_array()
        .expect("a list");
    let systems = list("SELECT srs_id FROM gpkg_spatial_ref_sys");
    assert!(want.iter().all(|id| systems.contains(id)), "{systems:?}");
    let tables = list("SELECT name FROM sqlite_master WHERE type = 'table'");
    for table in texts(check.expected("required_tables")) {
        let name = table.split(' ').next().expect("a name");
        assert!(tables.contains(&Value::from(name)), "{table}");
    }
    let header = check.expected("blob_header").as_str().expect("a text");
    assert_eq!(
        header,
        "magic 0x4750 (\"GP\"), version 0, flags byte, int32 srs_id, envelope, WKB"
    );
    let blob: Vec<u8> = package
        .query_row(
            "SELECT geom FROM stations WHERE geom IS NOT NULL",
            [],
            |row| row.get(0),
        )
        .expect("a geometry");
    assert_eq!((&blob[..2], blob[2]), (&b"GP"[..], 0));
    // Flags: little-endian, no envelope; then the system, then the point as WKB, longitude first.
    assert_eq!(blob[3], 1);
    assert_eq!(
        i32::from_le_bytes([blob[4], blob[5], blob[6], blob[7]]),
        4326
    );
    assert_eq!((blob[8], &blob[9..13]), (1, &1_u32.to_le_bytes()[..]));
    assert_eq!(blob.len(), 8 + 5 + 16);
}

#[test]
fn every_published_value_is_checked_or_listed() {
    check_all("formats", LISTED, check_row);
}
