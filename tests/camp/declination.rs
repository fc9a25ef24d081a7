//! `camp declination` as it is run: its JSON, its text and its exit codes.

use serde_json::{Value, json};

use crate::run::{Run, run};

fn declination(args: &[&str]) -> Run {
    run("declination", args)
}

/// The answer and the exit code.
#[track_caller]
fn answer(args: &[&str]) -> (Value, i32) {
    let out = declination(&[args, &["--format", "json"]].concat());
    let text = out.out;
    let answer = serde_json::from_str(&text).unwrap_or_else(|e| panic!("{e}: {text}"));
    (answer, out.code)
}

#[track_caller]
fn text(args: &[&str]) -> (String, i32) {
    let out = declination(args);
    let text = out.out;
    (text, out.code)
}

/// Every row of the technical report's table of test values, and of the 100 more precise ones, through the command.
#[test]
fn the_published_test_values() {
    let rows: Vec<Value> =
        serde_json::from_str(include_str!("../data/published.json")).expect("rows");
    let mut seen = 0;
    let of_model = |row: &&Value| {
        let id = row["id"].as_str().expect("an id");
        id.starts_with("wmm2025-") && row["inputs"]["lat"].is_number()
    };
    for row in rows.iter().filter(of_model) {
        let input = |key: &str| row["inputs"][key].to_string();
        let metres = 1e3
            * row["inputs"]["height_km_above_ellipsoid"]
                .as_f64()
                .expect("km");
        let (got, code) = answer(&[
            &input("lat"),
            &input("lon"),
            "--height",
            &metres.to_string(),
            "--date",
            &input("decimal_year"),
        ]);
        assert_eq!(code, 0, "{row}");
        let by = |keys: [&str; 2]| {
            let found = keys.iter().find_map(|key| row["tolerance"][*key].as_f64());
            found.expect("a tolerance")
        };
        for (key, of, tolerance) in [
            ("declination", "D", by(["deg", "D_I_deg"])),
            ("inclination", "I", by(["deg", "D_I_deg"])),
            ("horizontal_nt", "H", by(["nT", "nT"])),
            ("annual_change", "Ddot", by(["deg_per_yr", "deg_per_yr"])),
        ] {
            let got = got[key].as_f64().expect("a number");
            let want = row["expected"][of].as_f64().expect("a number");
            // The answer has six decimals of a degree, of which the last is rounded.
            let off = (got - want).abs();
            assert!(off <= tolerance + 5e-7, "{key} {got}, not {want}: {row}");
        }
        let h = row["expected"]["H"].as_f64().expect("a number");
        let zone = match h {
            h if h < 2_000.0 => "blackout",
            h if h < 6_000.0 => "caution",
            _ => "none",
        };
        assert_eq!(got["zone"], zone, "{row}");
        seen += 1;
    }
    assert!(seen > 50, "{seen} rows");
}

#[test]
fn the_answer_has_these_fields_and_no_others() {
    let (got, code) = answer(&["63.6", "-19.6", "--date", "2026-11-25"]);
    assert_eq!(code, 0);
    let mut fields: Vec<&String> = got.as_object().expect("an object").keys().collect();
    fields.sort();
    assert_eq!(
        fields,
        [
            "annual_change",
            "declination",
            "horizontal_nt",
            "inclination",
            "model",
            "uncertainty",
            "valid_until",
            "zone"
        ]
    );
    assert_eq!(got["model"], "WMM2025");
    assert_eq!(got["valid_until"], "2029-12-31");
    // √(0.26² + (5417/H)²), by its own horizontal field.
    let h = got["horizontal_nt"].as_f64().expect("a number");
    let want = (0.26_f64.powi(2) + (5_417.0 / h).powi(2)).sqrt();
    assert!((got["uncertainty"].as_f64().expect("a number") - want).abs() < 1e-6);
}

#[test]
fn a_date_beyond_the_model_is_loud_and_ends_with_one() {
    for date in ["2030-01-01", "2031.5", "2024-12-31"] {
        let (got, code) = answer(&["45", "7", "--date", date]);
        assert_eq!(code, 1, "{date}");
        assert_eq!(got["out_of_date"], json!(true), "{date}");
        let (said, code) = text(&["45", "7", "--date", date]);
        assert_eq!(code, 1, "{date}");
        assert!(said.starts_with("OUT OF DATE"), "{said}");
        assert!(
            said.contains("2029-12-31") && said.contains("at least"),
            "{said}"
        );
    }
    for date in ["2025-01-01", "2029-12-31"] {
        let (got, code) = answer(&["45", "7", "--date", date]);
        assert_eq!(code, 0, "{date}");
        assert_eq!(got["out_of_date"], Value::Null, "{date}");
        let (said, code) = text(&["45", "7", "--date", date]);
        assert_eq!(code, 0, "{date}");
        assert!(!said.contains("OUT OF DATE"), "{said}");
    }
}

#[test]
fn a_place_is_read_in_many_forms() {
    let of = |lat: &str, lon: &str| answer(&[lat, lon, "--date", "2026-11-25"]).0;
    let want = of("-45.5", "-7.25");
    for (lat, lon) in [
        ("45.5S", "7.25W"),
        ("S45.5", "W7.25"),
        ("45°30'S", "7°15'W"),
        ("-45°30'", "-7 15 0"),
        ("45:30:00s", "352.75"),
    ] {
        assert_eq!(of(lat, lon), want, "{lat} {lon}");
    }
    assert_ne!(of("45.5", "-7.25"), want);
}

#[test]
fn without_a_date_it_answers_for_today() {
    let (said, code) = text(&["63.6", "-19.6"]);
    // Whatever the day is: within the model's years or loudly outside them.
    assert_eq!(code, i32::from(said.starts_with("OUT OF DATE")), "{said}");
    assert!(said.contains(", on 2"), "{said}");
}

#[test]
fn text_says_what_to_do_with_it_and_warns_near_a_magnetic_pole() {
    let (said, code) = text(&["-80", "240", "--date", "2025.0"]);
    assert_eq!(code, 0);
    for part in [
        "80.0000° S",
        "68.78° E ± 0.41°",
        "magnetic bearing + 68.78°",
        "0.12° W a year",
        "72.00° up",
        "no warning",
        "WMM2025",
    ] {
        assert!(said.contains(part), "{part} is missing from:\n{said}");
    }
    let blackout = ["89", "-121", "--height", "28000", "--date", "2025.0"];
    assert!(text(&blackout).0.contains("BLACKOUT"));
    assert_eq!(answer(&blackout).0["zone"], "blackout");
    assert!(
        text(&["82", "87", "--date", "2025.0"])
            .0
            .contains("CAUTION")
    );
}

#[test]
fn misuse_ends_with_two_and_says_how() {
    for (args, word) in [
        (&[][..], "LAT"),
        (&["45"], "LON"),
        (&["91", "7"], "latitude"),
        (&["45", "-180.5"], "longitude"),
        (&["7W", "45N"], "the latitude comes first"),
        (&["north", "7"], "is no latitude"),
        (&["45", "7", "--date", "soon"], "2026-11-25"),
        (&["45", "7", "--date", "2026-02-30"], "is no date"),
        (&["45", "7", "--date", "1850"], "1900"),
        (&["45", "7", "--height", "low"], "metres"),
        (&["45", "7", "--height", "-2000"], "-1000"),
        (&["45", "7", "--format", "xml"], "json"),
        (&["45", "7", "--unknown"], "--unknown"),
    ] {
        let out = declination(args);
        assert_eq!(out.code, 2, "{args:?}");
        assert!(out.out.is_empty(), "{args:?}");
        let said = out.err;
        assert!(
            said.contains("--help") && said.contains(word),
            "{args:?}: {said}"
        );
    }
}

#[test]
fn help_teaches_by_examples() {
    let out = declination(&["--help"]);
    assert_eq!(out.code, 0);
    let help = out.out;
    for taught in [
        "Examples:",
        "camp declination",
        "Exit code:",
        "east positive",
        "45.5N 7W",
        "blackout",
        "out_of_date",
        "--height <METRES>",
    ] {
        assert!(help.contains(taught), "{taught} is missing from:\n{help}");
    }
}
