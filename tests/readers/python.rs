//! CSV and GeoJSON as the modules `csv` and `json` of Python read them.

use std::path::Path;
use std::process::Command;

use serde_json::Value;

use crate::{Handed, texts};

/// What a script of Python prints about a file, as JSON.
#[track_caller]
fn python(script: &str, path: &Path) -> Value {
    let out = Command::new("python3")
        .args(["-c", script])
        .arg(path)
        .output()
        .expect("python3 is there");
    assert!(
        out.status.success(),
        "{}",
        String::from_utf8_lossy(&out.stderr)
    );
    serde_json::from_slice(&out.stdout).unwrap()
}

const ROWS: &str = "
import csv, json, sys
with open(sys.argv[1], newline='', encoding='utf-8') as table:
    print(json.dumps(list(csv.DictReader(table, strict=True))))
";

#[test]
fn the_csv_module_reads_every_field() {
    for handed in Handed::both("csv", "") {
        for sheet in handed.over.sheets() {
            let rows = python(ROWS, &handed.path.join(format!("{}.csv", sheet.name())));
            let rows = rows.as_array().unwrap();
            assert_eq!(rows.len(), sheet.len(), "{}", sheet.name());
            let headings: Vec<String> = sheet.heads().iter().map(|head| head.heading()).collect();
            for (nth, row) in rows.iter().enumerate() {
                assert_eq!(row.as_object().unwrap().len(), headings.len());
                for (heading, (_, text)) in headings.iter().zip(texts(sheet, nth)) {
                    let found = row[heading].as_str().unwrap();
                    assert_eq!(found.strip_prefix('\'').unwrap_or(found), text, "{heading}");
                }
            }
        }
        let dictionary = python(ROWS, &handed.path.join("data-dictionary.csv"));
        for sheet in handed.over.sheets() {
            let lines = dictionary.as_array().unwrap().iter();
            let explained =
                lines.filter(|line| line["table"] == sheet.name() && line["column"] != "");
            assert_eq!(explained.count(), sheet.heads().len());
        }
    }
}

const FEATURES: &str = "
import json, sys
with open(sys.argv[1], encoding='utf-8') as file:
    collection = json.load(file)
print(json.dumps([[f['properties']['what'], f['geometry'] and f['geometry']['coordinates']] for f in collection['features']]))
";

#[test]
fn the_json_module_reads_every_place() {
    for handed in Handed::both("geojson", ".geojson") {
        let found = python(FEATURES, &handed.path);
        let mut wanted = Vec::new();
        for sheet in handed.over.placed() {
            let what = sheet.name().trim_end_matches('s');
            for row in 0..sheet.len() {
                let place = sheet.point(row).map(|point| {
                    let mut place = vec![point.longitude, point.latitude];
                    place.extend(point.height_m);
                    place
                });
                wanted.push(serde_json::json!([what, place]));
            }
        }
        assert_eq!(found.as_array().unwrap().len(), wanted.len());
        for (found, wanted) in found.as_array().unwrap().iter().zip(&wanted) {
            assert_eq!(found[0], wanted[0]);
            let numbers = |value: &Value| {
                let list = value[1].as_array();
                list.map(|list| list.iter().map(|n| n.as_f64().unwrap()).collect::<Vec<_>>())
            };
            assert_eq!(numbers(found), numbers(wanted));
        }
    }
}
