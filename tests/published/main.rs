//! Worked examples from outside, each with its source, in `tests/data/published.json`; the samples of three of them stand in
//! files of their makers and are in `tests/data/published/samples.json`.
//!
//! Every row stands in one table. Every expected value of it is either checked within the row's own tolerance or listed with
//! the reason why it is not computed; a value that is neither, or a listing that is no longer needed, fails.
#![cfg(not(target_arch = "wasm32"))]

use std::collections::BTreeSet;

use hingeline::orientation::angle::wrap_deg;
use hingeline::orientation::faults::{Slip, conjugate};
use hingeline::orientation::folds::fold;
use hingeline::orientation::section::{
    Measured, dip_of_contours_deg, stretched_dip_deg, thickness_m, through_places,
};
use hingeline::orientation::{Azimuth, Convention, Line, Noise, Plane, Polarity, notation};
use nalgebra::Vector3;
use serde::Deserialize;
use serde_json::{Map, Value};

mod magnetic;

mod projections;

mod net;

mod statistics;

mod classes;

mod formats;

mod tolerances;

mod traverse;

/// Every row, with its topic, its source and how surely that was seen.
const ROWS: &str = include_str!("../data/published.json");

/// What rows name by a file: its numbers, and who carries them.
const SAMPLES: &str = include_str!("../data/published/samples.json");

/// The tables, one a test.
const TABLES: [&str; 9] = [
    "structure",
    "magnetic",
    "projections",
    "net",
    "statistics",
    "classes",
    "formats",
    "tolerances",
    "traverse",
];

/// The table of a row.
fn table(id: &str) -> Option<&'static str> {
    if ["proj-laea-sphere-fwd", "proj-direction-cosines-end"].contains(&id) {
        return Some("net");
    }
    let topic = id.split('-').next()?;
    match topic {
        "geo" => Some("structure"),
        "wmm" | "wmm2025" => Some("magnetic"),
        "proj" => Some("projections"),
        "stat" => Some("statistics"),
        "cls" => Some("classes"),
        "fmt" => Some("formats"),
        "tol" => Some("tolerances"),
        "trv" => Some("traverse"),
        _ => None,
    }
}

/// The rows of a table, each with its sample where it has one.
fn rows(of: &str) -> Vec<Row> {
    assert!(TABLES.contains(&of), "{of} is no table");
    let samples: Map<String, Value> = serde_json::from_str(SAMPLES).expect("samples by row");
    let mut rows: Vec<Row> = serde_json::from_str(ROWS).expect("a list of rows");
    rows.retain(|row| table(&row.id) == Some(of));
    for row in &mut rows {
        if let Some(sample) = samples.get(&row.id).and_then(Value::as_object) {
            row.inputs.extend(sample.clone());
        }
    }
    rows
}

#[derive(Deserialize)]
struct Row {
    id: String,
    source: String,
    inputs: Map<String, Value>,
    expected: Map<String, Value>,
    #[serde(default)]
    tolerance: Map<String, Value>,
}

/// One row under test: its inputs, and which of its expected values have been checked.
struct Check<'a> {
    row: &'a Row,
    checked: BTreeSet<&'a str>,
}

impl<'a> Check<'a> {
    fn new(row: &'a Row) -> Self {
        Self {
            row,
            checked: BTreeSet::new(),
        }
    }

    fn tolerance(&self) -> f64 {
        ["deg", "abs"]
            .iter()
            .find_map(|key| self.row.tolerance.get(*key).and_then(Value::as_f64))
            .unwrap_or(1e-9)
    }

    fn text(&self, key: &str) -> &'a str {
        self.row.inputs[key]
            .as_str()
            .unwrap_or_else(|| panic!("{}: {key} is no text", self.row.id))
    }

    fn texts(&self, key: &str) -> Vec<&'a str> {
        let list = self.row.inputs[key].as_array().expect("a list");
        list.iter().map(|v| v.as_str().expect("a text")).collect()
    }

    fn number(&self, key: &str) -> f64 {
        self.row.inputs[key]
            .as_f64()
            .unwrap_or_else(|| panic!("{}: {key} is no number", self.row.id))
    }

    fn expected(&mut self, key: &str) -> &'a Value {
        let (key, value) = self
            .row
            .expected
            .get_key_value(key)
            .unwrap_or_else(|| panic!("{} expects no {key}", self.row.id));
        self.checked.insert(key);
        value
    }

    /// The value agrees with the expected number within the row's tolerance.
    #[track_caller]
    fn agrees(&mut self, key: &str, got: f64) {
        let want = self.expected(key).as_f64().expect("a number");
        self.near(key, got, want);
    }

    #[track_caller]
    fn near(&self, key: &str, got: f64, want: f64) {
        self.near_within(key, got, want, self.tolerance());
    }

    #[track_caller]
    fn near_within(&self, key: &str, got: f64, want: f64, tolerance: f64) {
        let off = (got - want).abs();
        assert!(
            off <= tolerance,
            "{} {key}: got {got}, published {want} ± {tolerance} ({})",
            self.row.id,
            self.row.source
        );
    }

    /// As `agrees`, on the circle.
    #[track_caller]
    fn agrees_on_circle(&mut self, key: &str, got: f64) {
        let want = self.expected(key).as_f64().expect("a number");
        let off = wrap_deg(got - want);
        self.near(
            key,
            want + if off > 180.0 { off - 360.0 } else { off },
            want,
        );
    }

    #[track_caller]
    fn line_agrees(&mut self, keys: [&str; 2], got: &Line) {
        self.agrees_on_circle(keys[0], got.trend().deg());
        self.agrees(keys[1], got.plunge().deg());
    }

    /// Strike and dip agree with the plane that is expected.
    #[track_caller]
    fn plane_near(&self, key: &str, got: &Plane, want: &Plane) {
        self.near(key, got.strike().angle(want.strike()).deg(), 0.0);
        self.near(key, got.dip().deg(), want.dip().deg());
    }
}

/// A plane as the row writes it; what stands in brackets is explanation.
#[track_caller]
fn plane_as(text: &str, convention: Convention) -> Plane {
    let written = text.split('(').next().unwrap_or("");
    let read = notation::read(written, convention);
    read.plane
        .unwrap_or_else(|| panic!("`{text}`: {:?}", read.doubts))
}

#[track_caller]
fn plane(text: &str) -> Plane {
    plane_as(text, Convention::RightHand)
}

#[track_caller]
fn line(text: &str) -> Line {
    let written = text.split('(').next().unwrap_or("");
    let read = notation::read(&format!("line {written}"), Convention::RightHand);
    read.line
        .unwrap_or_else(|| panic!("`{text}`: {:?}", read.doubts))
}

/// The numbers in a sentence.
fn numbers(text: &str) -> Vec<f64> {
    text.split(|c: char| !c.is_ascii_digit() && c != '.')
        .filter_map(|word| word.parse().ok())
        .collect()
}

fn azimuth(deg: f64) -> Azimuth {
    Azimuth::from_deg(deg).expect("in range")
}

fn check_row(check: &mut Check<'_>) {
    match check.row.id.as_str() {
        "geo-sig2003-1a" | "geo-sig2003-1c" => {
            let pole = plane(check.text("plane")).pole();
            check.line_agrees(["pole_trend", "pole_plunge"], &pole);
        }
        "geo-sig2003-2a" | "geo-sig2003-2c" => {
            let got =
                Plane::from_normal(&line(check.text("pole")).vector()).expect("a unit vector");
            let expected = check.expected("strike_dip").as_str().expect("a text");
            let either: Vec<&str> = expected.split(" or ").collect();
            assert_eq!(either.len(), 2, "both strike ends are printed");
            for end in either {
                check.plane_near("strike_dip", &got, &plane(end));
            }
        }
        "geo-sig2003-4" => {
            let read = numbers(check.text("line"));
            let line = Line::from_deg(read[0], read[1]).expect("in range");
            let plane = plane(check.text("plane"));
            check.agrees("angle_to_pole", plane.pole().angle(&line).deg());
            check.agrees("acute_angle_line_plane", plane.angle_to_line(&line).deg());
        }
        "geo-sig2003-5" => {
            let lines: Vec<Line> = check.texts("lines").into_iter().map(line).collect();
            let pole = Plane::through(&lines[0], &lines[1])
                .expect("two lines")
                .pole();
            check.line_agrees(["pole_trend", "pole_plunge"], &pole);
        }
        "geo-bb-pole" => {
            let pole = plane_as(check.text("plane"), Convention::DipDirection).pole();
            let want = line(check.expected("pole").as_str().expect("a text"));
            check.near("pole", pole.trend().angle(want.trend()).deg(), 0.0);
            check.near("pole", pole.plunge().deg(), want.plunge().deg());
        }
        "geo-bb-intersection" => {
            let planes: Vec<Plane> = check
                .texts("planes")
                .into_iter()
                .map(|text| plane_as(text, Convention::DipDirection))
                .collect();
            let got = planes[0].intersection(&planes[1]).expect("not parallel");
            check.line_agrees(["trend", "plunge"], &got);
        }
        "geo-studylib-two-apparent" => {
            let traces: Vec<Line> = check
                .texts("apparent")
                .into_iter()
                .map(|text| line(&text.replace(" toward ", "→")))
                .collect();
            let got = Plane::from_apparent_dips(&traces[0], &traces[1]).expect("two traces");
            let strike = check.expected("strike").as_f64().expect("a number");
            let dip = check.expected("true_dip").as_str().expect("a text");
            check.plane_near("true_dip", &got, &plane(&format!("{strike:03}/{dip}")));
        }
        "geo-studylib-intersection" => {
            let planes: Vec<Plane> = check.texts("planes").into_iter().map(plane).collect();
            let got = planes[0].intersection(&planes[1]).expect("not parallel");
            check.line_agrees(["trend", "plunge"], &got);
        }
        "geo-lsu-lines-in-plane" => {
            let plane = plane(check.text("plane"));
            let limit = check
                .expected("all_lines_lie_in_plane_within_deg")
                .as_f64()
                .expect("a number");
            for text in check.texts("lines") {
                let off = plane.angle_to_line(&line(text)).deg();
                assert!(
                    off <= limit,
                    "{text} lies {off} off, published {limit} at most"
                );
                // The quadrant trend is also read without being told that it is a line.
                assert_eq!(
                    notation::read(text, Convention::RightHand).line,
                    Some(line(text))
                );
            }
        }
        "geo-dutch-apparent" => {
            let words: Vec<&str> = check.text("plane").split_whitespace().collect();
            let plane = plane(&format!("{}/{}", words[1], words[3]));
            let toward = check.expected("toward").as_f64().expect("a number");
            assert_eq!(toward, check.number("section"));
            check.agrees("apparent_dip", plane.apparent_dip(azimuth(toward)).deg());
        }
        "geo-mm88-2" => {
            let got = plane(check.text("bed_rhr")).apparent_dip(azimuth(check.number("direction")));
            check.agrees("apparent_dip", got.deg());
        }
        "geo-nptel-fold" => {
            let limbs: Vec<Plane> = check.texts("limbs_rhr").into_iter().map(plane).collect();
            let axis = limbs[0].intersection(&limbs[1]).expect("not parallel");
            check.line_agrees(["axis_trend", "axis_plunge"], &axis);
            let fold = fold([&limbs[0], &limbs[1]], [Polarity::Unknown; 2]).expect("not parallel");
            check.agrees("interlimb", fold.interlimb_deg);
            check.agrees("axial_plane_rhr_strike", fold.axial_plane.strike().deg());
            check.agrees("axial_plane_dip", fold.axial_plane.dip().deg());
        }
        "geo-3pt-gg303" => {
            let point = |key: &str| {
                let n: Vec<f64> = check.row.inputs[key]
                    .as_array()
                    .expect("a list")
                    .iter()
                    .map(|v| v.as_f64().expect("a number"))
                    .collect();
                Vector3::new(n[0], n[1], -n[2])
            };
            let (a, b, c) = (
                point("A_N_E_elev"),
                point("B_N_E_elev"),
                point("C_N_E_elev"),
            );
            let to = |end: Vector3<f64>| Line::from_vector(&(end - a)).expect("two points");
            let got = through_places(&[a, b, c], 0.0)
                .expect("three points off one line")
                .plane;
            let sides = Plane::through(&to(b), &to(c)).expect("three points off one line");
            check.near("dip", sides.dip().deg(), got.dip().deg());
            check.agrees_on_circle("rhr_strike", got.strike().deg());
            check.agrees("dip", got.dip().deg());
            check.agrees_on_circle("dip_direction", got.dip_direction().deg());
        }
        "geo-thickness-slope" => {
            let (w, dip, slope) = (
                check.number("w"),
                check.number("dip"),
                check.number("slope"),
            );
            let bed = Plane::from_deg(0.0, dip).expect("in range");
            let across = |trend: f64, plunge: f64| {
                let traverse = Line::from_deg(trend, plunge).expect("in range");
                let length = Measured { value: w, sd: 0.0 };
                thickness_m(&bed, &traverse, length, &Noise::default()).value
            };
            check.agrees("level", across(90.0, 0.0));
            check.agrees("same", across(90.0, slope));
            check.agrees("opposed", across(270.0, slope));
        }
        "geo-lisle-dip-contours" => {
            let got = dip_of_contours_deg(
                check.number("contour_interval_m"),
                check.number("contour_spacing_m"),
            );
            check.agrees("dip", got);
        }
        "geo-ve-aapg" => {
            let list = |value: &Value| -> Vec<f64> {
                let list = value.as_array().expect("a list");
                list.iter().map(|v| v.as_f64().expect("a number")).collect()
            };
            let dips = list(&check.row.inputs["dips"]);
            let stretches = list(&check.row.inputs["VE"]);
            let want = list(check.expected("differences"));
            // How far apart the two dips look, at each stretch.
            for (stretch, want) in stretches.into_iter().zip(want) {
                let seen = |dip: f64| stretched_dip_deg(dip, stretch);
                check.near("differences", seen(dips[1]) - seen(dips[0]), want);
            }
        }
        "geo-fps-pnsn" => {
            let plane_of = |value: &Value| {
                let deg = |key: &str| value[key].as_f64().expect("a number");
                let plane = Plane::from_deg(deg("strike"), deg("dip")).expect("in range");
                Slip::new(plane, deg("rake")).expect("in range")
            };
            let got = plane_of(&check.row.inputs["plane1"])
                .auxiliary()
                .expect("a plane");
            let want = plane_of(check.expected("plane2"));
            check.plane_near("plane2", got.plane(), want.plane());
            check.near("plane2", got.rake_deg(), want.rake_deg());
        }
        "geo-conjugate-1" => {
            let faults: Vec<Plane> = check.texts("faults_rhr").into_iter().map(plane).collect();
            let meet = faults[0].intersection(&faults[1]).expect("not parallel");
            let want = line(check.expected("sigma2").as_str().expect("a text"));
            check.near("sigma2", meet.angle(&want).deg(), 0.0);
            let pair = conjugate(&faults[0], &faults[1]).expect("not parallel");
            assert_eq!(check.expected("sigma1"), "vertical (plunge 90)");
            check.near("sigma1", pair.sigma1.plunge().deg(), 90.0);
            let want = line(check.expected("sigma3").as_str().expect("a text"));
            check.near("sigma3", pair.sigma3.angle(&want).deg(), 0.0);
            check.near("sigma2", pair.sigma2.angle(&meet).deg(), 0.0);
            check.agrees("two_theta", faults[0].angle(&faults[1]).deg());
        }
        "geo-notation-1" => {
            let strikes = check.expected("rhr_strike_dip").as_array().expect("a list");
            let towards = check.expected("dip_direction").as_array().expect("a list");
            let texts = check.texts("notations");
            assert_eq!((texts.len(), texts.len()), (strikes.len(), towards.len()));
            for ((text, strike_dip), toward) in texts.into_iter().zip(strikes).zip(towards) {
                let convention = if text.contains("dip direction") {
                    Convention::DipDirection
                } else {
                    Convention::StrikeDip
                };
                let got = plane_as(text, convention);
                check.near(
                    text,
                    got.strike().deg(),
                    strike_dip[0].as_f64().expect("a number"),
                );
                check.near(
                    text,
                    got.dip().deg(),
                    strike_dip[1].as_f64().expect("a number"),
                );
                check.near(
                    text,
                    got.dip_direction().deg(),
                    toward.as_f64().expect("a number"),
                );
            }
        }
        _ => {}
    }
}

#[test]
fn every_published_value_is_checked_or_listed() {
    check_all("structure", &[], check_row);
}

/// A row that no table takes, or a table without rows, would be a check that nobody makes.
#[test]
fn every_row_stands_in_a_table_once() {
    let rows: Vec<Row> = serde_json::from_str(ROWS).expect("a list of rows");
    let mut seen = BTreeSet::new();
    let mut filled = BTreeSet::new();
    for row in &rows {
        assert!(seen.insert(row.id.as_str()), "{} stands twice", row.id);
        let table = table(&row.id).unwrap_or_else(|| panic!("{} is in no table", row.id));
        assert!(TABLES.contains(&table), "{table} is no table");
        filled.insert(table);
    }
    assert_eq!(filled, BTreeSet::from(TABLES), "a table has no rows");
    let samples: Map<String, Value> = serde_json::from_str(SAMPLES).expect("samples by row");
    for (id, sample) in &samples {
        assert!(
            seen.contains(id.as_str()),
            "a sample of {id}, which is no row"
        );
        assert!(
            sample["source"].is_string(),
            "the sample of {id} has no source"
        );
    }
}

/// Every expected value of every row of a table is checked or listed, and never both.
fn check_all(of: &str, listed: &[(&str, &str, &str)], check_row: impl Fn(&mut Check<'_>)) {
    let rows = rows(of);
    assert!(!rows.is_empty());
    let mut later: BTreeSet<(&str, &str)> = listed.iter().map(|(id, key, _)| (*id, *key)).collect();
    assert_eq!(later.len(), listed.len(), "a value is listed twice");
    let mut values = 0;
    for row in &rows {
        assert!(!row.source.is_empty(), "{} has no source", row.id);
        let mut check = Check::new(row);
        check_row(&mut check);
        for key in row.expected.keys() {
            let listed = later.remove(&(row.id.as_str(), key.as_str()));
            let checked = check.checked.contains(key.as_str());
            assert!(
                checked || listed,
                "{} {key} is neither checked nor listed",
                row.id
            );
            assert!(
                !(checked && listed),
                "{} {key} is checked: take it off the list",
                row.id
            );
            values += usize::from(checked);
        }
    }
    assert!(later.is_empty(), "listed, but in no row: {later:?}");
    println!(
        "{values} published values of {} rows agree; {} are listed with their reason",
        rows.len(),
        listed.len()
    );
}
