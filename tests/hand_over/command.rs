//! `camp hand-over` as it is run: its files, its report, what it refuses.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

use hingeline::exchange::book::{self, Written};
use hingeline::exchange::hand_over::{self, Wanted};
use hingeline::notebook::{Body, Form, North, Pages, Shot};
use serde_json::{Value, json};

use crate::made::{Writing, plane_shot, reading, small, station};

const DEMO: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/public/demo.json");

/// A folder of a test's own, empty.
fn folder(name: &str) -> PathBuf {
    let path = Path::new(env!("CARGO_TARGET_TMPDIR"))
        .join("hand-over")
        .join(name);
    if path.exists() {
        fs::remove_dir_all(&path).unwrap();
    }
    fs::create_dir_all(&path).unwrap();
    path
}

fn camp(args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_camp"))
        .arg("hand-over")
        .args(args)
        .output()
        .unwrap()
}

#[track_caller]
fn said(out: &Output, code: i32) -> (String, String) {
    let text = |bytes: &[u8]| String::from_utf8(bytes.to_vec()).unwrap();
    let (stdout, stderr) = (text(&out.stdout), text(&out.stderr));
    assert_eq!(out.status.code(), Some(code), "{stdout}{stderr}");
    (stdout, stderr)
}

/// The small book as a file.
fn small_book(folder: &Path) -> String {
    book_of(&small(), folder)
}

/// A book as a file.
fn book_of(book: &Writing, folder: &Path) -> String {
    let path = folder.join("small.json");
    let text = book::write(book.ledger.iter(), &Written::default());
    fs::write(&path, text).unwrap();
    path.to_str().unwrap().to_owned()
}

/// Readings from elsewhere: what is plain is read, and the last five give no value.
fn foreign_dials() -> Writing {
    let mut book = Writing::default();
    book.write("s", Body::Station(station(1, Some((-3.7, 52.7)))));
    let shots = [
        vec![plane_shot("045", "0", "")],
        vec![plane_shot("045", "0", "SE")],
        vec![plane_shot("45,5", "30", "SE")],
        vec![plane_shot("45.5°", "30°", "SE")],
        vec![plane_shot("45", "30", "SE")],
        vec![plane_shot("N45", "30", "SE")],
        vec![plane_shot("045", "30", "")],
        vec![Shot {
            strike: None,
            ..plane_shot("", "30", "SE")
        }],
        Vec::new(),
    ];
    for (nth, shots) in (1..).zip(shots) {
        let mut bed = reading("s", nth, "bedding", Form::Plane, shots);
        (bed.north, bed.declination, bed.set_up) = (North::True, None, None);
        book.write(&format!("r{nth}"), Body::Reading(bed));
    }
    book
}

#[test]
fn every_format_is_written_once_and_never_over_another() {
    let folder = folder("formats");
    for (format, name) in [
        ("geojson", "out.geojson"),
        ("kml", "out.kml"),
        ("gpx", "out.gpx"),
        ("geopackage", "out.gpkg"),
        ("csv", "tables"),
    ] {
        let path = folder.join(name);
        let path = path.to_str().unwrap();
        let args = [DEMO, "--format", format, "-o", path];
        let (stdout, _) = said(&camp(&args), 0);
        assert!(stdout.contains("stations"), "{stdout}");
        let before = fs::metadata(path).unwrap();
        let (_, stderr) = said(&camp(&args), 2);
        assert!(
            stderr.contains("is there already") && stderr.contains("--force"),
            "{stderr}"
        );
        assert_eq!(
            fs::metadata(path).unwrap().modified().unwrap(),
            before.modified().unwrap()
        );
        said(&camp(&[&args[..], &["--force"]].concat()), 0);
    }
    assert_eq!(
        names_in(&folder),
        ["out.geojson", "out.gpkg", "out.gpx", "out.kml", "tables"]
    );
    assert_eq!(fs::read_dir(folder.join("tables")).unwrap().count(), 5);
}

#[test]
fn a_database_under_another_ending_is_written_and_told() {
    let folder = folder("ending");
    for (name, told) in [("x.geopackage", true), ("x.gpkg", false), ("y.GPKG", false)] {
        let path = folder.join(name);
        let path = path.to_str().unwrap();
        let (report, _) = said(&camp(&[DEMO, "--format", "geopackage", "-o", path]), 0);
        let words = "does not end in .gpkg, by which a GeoPackage is known: name it ";
        assert_eq!(report.contains(words), told, "{report}");
    }
}

#[test]
fn a_tie_goes_over_in_every_format_that_has_columns() {
    let folder = folder("tie");
    let mut book = Writing::default();
    book.write("s1", Body::Station(station(1, Some((-3.7, 52.7)))));
    let mut tied = station(2, Some((-3.7, 52.700_1)));
    tied.same_as = Some("s1".to_owned());
    tied.apart_from = vec!["s8".to_owned(), "s9".to_owned()];
    book.write("s2", Body::Station(tied));
    let book = book_of(&book, &folder);
    let (geojson, _) = said(&camp(&[&book, "--format", "geojson", "-o", "-"]), 0);
    let json: Value = serde_json::from_str(&geojson).unwrap();
    let properties = &json["features"][1]["properties"];
    assert_eq!(properties["same_as"], "s1");
    assert_eq!(properties["apart_from"], "s8; s9");
    assert_eq!(json["features"][0]["properties"]["same_as"], Value::Null);
    let (kml, _) = said(&camp(&[&book, "--format", "kml", "-o", "-"]), 0);
    assert!(kml.contains("same_as"), "{kml}");
    let tables = folder.join("tables");
    let tables = tables.to_str().unwrap();
    said(&camp(&[&book, "--format", "csv", "-o", tables]), 0);
    let stations = fs::read_to_string(Path::new(tables).join("stations.csv")).unwrap();
    assert!(stations.contains(",s1,s8; s9,"), "{stations}");
}

#[test]
fn a_folder_with_one_of_the_tables_is_left_as_it_is() {
    let folder = folder("taken");
    fs::write(folder.join("readings.csv"), "mine").unwrap();
    let (_, stderr) = said(
        &camp(&[DEMO, "--format", "csv", "-o", folder.to_str().unwrap()]),
        2,
    );
    assert!(stderr.contains("readings.csv"), "{stderr}");
    assert_eq!(fs::read_dir(&folder).unwrap().count(), 1);
    assert_eq!(
        fs::read_to_string(folder.join("readings.csv")).unwrap(),
        "mine"
    );
}

/// The names in a folder, in order.
fn names_in(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).unwrap();
    let mut names: Vec<String> = entries
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    names
}

/// As on a full disk: no file may grow past so many blocks of 512 bytes, and the signal that says so is not heeded.
#[cfg(unix)]
fn camp_with_little_room(blocks: u32, args: &[&str]) -> Output {
    Command::new("sh")
        .args(["-c", "trap '' XFSZ; ulimit -f \"$0\"; exec \"$@\""])
        .arg(blocks.to_string())
        .args([env!("CARGO_BIN_EXE_camp"), "hand-over"])
        .args(args)
        .output()
        .unwrap()
}

#[cfg(unix)]
#[test]
fn tables_for_which_there_is_no_room_leave_nothing_behind() {
    let folder = folder("full");
    let tables = folder.join("tables");
    let args = [DEMO, "--format", "csv", "-o", tables.to_str().unwrap()];
    // Room for the stations, and not for the readings.
    let (_, stderr) = said(&camp_with_little_room(16, &args), 2);
    assert!(stderr.contains("readings.csv"), "{stderr}");
    assert_eq!(names_in(&folder), [""; 0]);
    // What was there stays, even where it may be written over.
    said(&camp(&args), 0);
    fs::write(tables.join("mine.txt"), "mine").unwrap();
    fs::write(tables.join("stations.csv"), "old").unwrap();
    let before = names_in(&tables);
    let forced = [&args[..], &["--force"]].concat();
    said(&camp_with_little_room(16, &forced), 2);
    assert_eq!(names_in(&tables), before);
    let stations = || fs::read_to_string(tables.join("stations.csv")).unwrap();
    assert_eq!(stations(), "old");
    said(&camp(&forced), 0);
    assert_eq!(names_in(&tables), before);
    assert_ne!(stations(), "old");
}

#[cfg(unix)]
#[test]
fn a_table_that_cannot_be_replaced_leaves_the_others_as_they_were() {
    let folder = folder("blocked");
    let tables = folder.join("tables");
    let args = [DEMO, "--format", "csv", "-o", tables.to_str().unwrap()];
    said(&camp(&args), 0);
    fs::write(tables.join("stations.csv"), "old").unwrap();
    // A folder stands where the shots go: what is moved aside is put back, a folder as well as a file.
    fs::remove_file(tables.join("shots.csv")).unwrap();
    fs::create_dir_all(tables.join("shots.csv").join("mine")).unwrap();
    let (_, stderr) = said(&camp(&args), 2);
    assert!(stderr.contains("is there already"), "{stderr}");
    let (_, stderr) = said(&camp(&[&args[..], &["--force"]].concat()), 2);
    assert!(stderr.contains("shots.csv: this is a folder"), "{stderr}");
    assert!(tables.join("shots.csv").join("mine").is_dir());
    assert_eq!(
        fs::read_to_string(tables.join("stations.csv")).unwrap(),
        "old"
    );
}

#[test]
fn what_lies_beside_it_under_a_name_of_ours_stays() {
    let folder = folder("beside");
    let out = folder.join("t.geojson");
    for name in ["t.geojson.part", "t.geojson.1.part"] {
        fs::write(folder.join(name), "mine").unwrap();
    }
    let args = [DEMO, "--format", "geojson", "-o", out.to_str().unwrap()];
    said(&camp(&args), 0);
    said(&camp(&[&args[..], &["--force"]].concat()), 0);
    assert_eq!(
        names_in(&folder),
        ["t.geojson", "t.geojson.1.part", "t.geojson.part"]
    );
    for name in ["t.geojson.part", "t.geojson.1.part"] {
        assert_eq!(fs::read_to_string(folder.join(name)).unwrap(), "mine");
    }
}

#[test]
fn a_reader_that_goes_away_ends_it_quietly() {
    let mut child = Command::new(env!("CARGO_BIN_EXE_camp"))
        .args(["hand-over", DEMO, "--format", "geojson", "-o", "-"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let (_, stderr) = said(&child.wait_with_output().unwrap(), 0);
    assert_eq!(stderr, "");
}

#[test]
fn the_report_counts_what_went_over_and_what_stayed() {
    let folder = folder("report");
    let book = small_book(&folder);
    let out = folder.join("small.geojson");
    let args = [&*book, "--format", "geojson", "-o", out.to_str().unwrap()];
    let (text, _) = said(&camp(&args), 0);
    assert!(
        text.contains("small.geojson: 3 stations, 7 readings, 1 sighting\n"),
        "{text}"
    );
    assert!(
        text.contains("left out, struck out: 1 station, 2 readings, 3 shots"),
        "{text}"
    );
    let more = [
        "--force", "--report", "json", "--north", "true", "--kind", "bedding", "--kind", "gash",
    ];
    let (text, _) = said(&camp(&[&args[..], &more].concat()), 0);
    let report: Value = serde_json::from_str(&text).unwrap();
    let counts = |stations, readings, shots, sightings| json!({"stations": stations, "readings": readings, "shots": shots, "sightings": sightings});
    assert_eq!(report["handed_over"], counts(1, 2, 0, 0));
    assert_eq!(report["left_out"]["not_true"], counts(0, 1, 1, 0));
    assert_eq!(report["left_out"]["struck_out"], counts(1, 2, 3, 0));
    assert_eq!(report["notation"], "dip-direction");
    let features: Value = serde_json::from_str(&fs::read_to_string(&out).unwrap()).unwrap();
    assert_eq!(features["features"].as_array().unwrap().len(), 3);
}

#[test]
fn copies_of_a_book_give_what_one_of_them_gives() {
    let folder = folder("copies");
    let book = small_book(&folder);
    let one = said(&camp(&[&book, "--format", "gpx", "-o", "-"]), 0).0;
    let two = said(&camp(&[&book, &book, "--format", "gpx", "-o", "-"]), 0).0;
    let without_time = |text: &str| {
        let from = text.find("<metadata>").unwrap();
        text[from..].split_once("</metadata>").unwrap().1.to_owned()
    };
    assert_eq!(without_time(&one), without_time(&two));
}

#[test]
fn what_is_not_there_is_refused_with_what_is() {
    let folder = folder("refused");
    let book = small_book(&folder);
    for (args, words) in [
        (
            &["--kind", "cleavage"][..],
            "kind `cleavage` is not in these books; there is bedding",
        ),
        (
            &["--station", "99"][..],
            "station `99` is not in these books",
        ),
        (
            &["--day", "2020-01-01"][..],
            "day `2020-01-01` is not in these books; there is 2026-06-14",
        ),
    ] {
        let out = folder.join("never.geojson");
        let base = [&*book, "--format", "geojson", "-o", out.to_str().unwrap()];
        let (_, stderr) = said(&camp(&[&base[..], args].concat()), 2);
        assert!(stderr.contains(words), "{stderr}");
        assert!(!out.exists());
    }
    let (_, stderr) = said(&camp(&[&book, "--format", "geopackage", "-o", "-"]), 2);
    assert!(stderr.contains("standard output"), "{stderr}");
    let (_, stderr) = said(
        &camp(&["no-such-file.json", "--format", "kml", "-o", "-"]),
        2,
    );
    assert!(stderr.contains("no-such-file.json"), "{stderr}");
}

#[test]
fn a_report_of_places_alone_says_nothing_of_dials() {
    let folder = folder("places");
    let book = small_book(&folder);
    let (_, report) = said(&camp(&[&book, "--format", "gpx", "-o", "-"]), 0);
    assert!(report.contains("GPX holds places alone"), "{report}");
    assert!(
        !report.contains("dials") && !report.contains("not in this book"),
        "{report}"
    );
}

#[test]
fn nothing_to_hand_over_writes_nothing() {
    let folder = folder("nothing");
    let book = folder.join("empty.json");
    fs::write(&book, book::write([], &Written::default())).unwrap();
    let out = folder.join("empty.kml");
    let args = [
        book.to_str().unwrap(),
        "--format",
        "kml",
        "-o",
        out.to_str().unwrap(),
    ];
    let (_, stderr) = said(&camp(&args), 1);
    assert!(stderr.contains("nothing is written"), "{stderr}");
    assert!(!out.exists());
}

#[test]
fn the_shots_are_a_table_that_check_reads() {
    let folder = folder("checked");
    let tables = folder.join("tables");
    said(
        &camp(&[DEMO, "--format", "csv", "-o", tables.to_str().unwrap()]),
        0,
    );
    let out = Command::new(env!("CARGO_BIN_EXE_camp"))
        .args(["check", "--all", "--format", "json"])
        .arg(tables.join("shots.csv"))
        .output()
        .unwrap();
    assert_ne!(
        out.status.code(),
        Some(2),
        "{}",
        String::from_utf8_lossy(&out.stderr)
    );
    assert!(!out.stdout.is_empty());
}

#[test]
fn dials_from_elsewhere_are_read_where_they_are_plain() {
    let folder = folder("foreign");
    let book = book_of(&foreign_dials(), &folder);
    let (text, _) = said(&camp(&[&book, "--format", "geojson", "-o", "-"]), 0);
    let json: Value = serde_json::from_str(&text).unwrap();
    let features = json["features"].as_array().unwrap();
    let value = |nth: usize| {
        let properties = &features[nth]["properties"];
        (
            properties["strike_deg"].as_f64(),
            properties["dip_deg"].as_f64(),
        )
    };
    assert_eq!(value(1), (Some(45.0), Some(0.0)));
    assert_eq!(value(2), (Some(45.0), Some(0.0)));
    assert_eq!(value(3), (Some(45.5), Some(30.0)));
    assert_eq!(value(4), (Some(45.5), Some(30.0)));
    for nth in 5..=9 {
        assert_eq!(value(nth), (None, None), "reading {nth}");
    }
}

#[test]
fn readings_without_a_value_are_doubted_and_named() {
    let folder = folder("valueless");
    let book = book_of(&foreign_dials(), &folder);
    let out = Command::new(env!("CARGO_BIN_EXE_camp"))
        .args(["check", "--format", "json", &book])
        .output()
        .unwrap();
    let (text, _) = said(&out, 1);
    let doubts: Vec<(String, String, String)> = text
        .lines()
        .map(|line| {
            let doubt: Value = serde_json::from_str(line).unwrap();
            let text = |key: &str| doubt[key].as_str().unwrap_or_default().to_owned();
            (text("reading"), text("doubt"), text("message"))
        })
        .collect();
    for (reading, doubt, words) in [
        ("1.5", "unreadable", "strike `45` has 2 of its 3 digits"),
        ("1.6", "unreadable", "strike `N45` lacks its last letter"),
        (
            "1.7",
            "ambiguous",
            "the side is missing: strike 045, dip 30",
        ),
        (
            "1.8",
            "unreadable",
            "neither a plane nor a line comes of dip 30",
        ),
        ("1.9", "unreadable", "it has no shot"),
    ] {
        let found = doubts
            .iter()
            .any(|(r, d, m)| r == reading && d == doubt && m.starts_with(words));
        assert!(found, "{reading} {words} is not in {doubts:?}");
    }
    let of_dials = |doubt: &&(String, String, String)| doubt.1 != "declination-missing";
    assert_eq!(doubts.iter().filter(of_dials).count(), 5, "{doubts:?}");
    // The app's page finds the same ones without making the hand-over.
    let pages = Pages::of(&foreign_dials().ledger);
    let mut lacking = hand_over::readings(&pages, &Wanted::default());
    lacking.retain(|record| !hand_over::has_value(&pages, record));
    let numbers: Vec<u32> = lacking
        .iter()
        .filter_map(|record| Some(pages.reading(record.as_str())?.number()))
        .collect();
    assert_eq!(numbers, [5, 6, 7, 8, 9]);
    let words = "5 readings give no plane, line or angle: 1.5, 1.6, 1.7, 1.8, 1.9";
    for format in ["geojson", "kml", "csv", "geopackage"] {
        let path = folder.join(format);
        let path = path.to_str().unwrap();
        let (report, _) = said(&camp(&[&book, "--format", format, "-o", path]), 0);
        assert!(report.contains(words), "{format}: {report}");
    }
}
