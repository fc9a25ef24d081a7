//! `camp read` as it is run: its JSON, its text and its exit codes.

use std::process::Stdio;

use serde_json::{Value, json};

use crate::run::{self, Run, run};

/// The answers, one JSON object a line, and the exit code.
#[track_caller]
fn read_json(args: &[&str]) -> (Vec<Value>, i32) {
    let out = run("read", &[&["--format", "json"], args].concat());
    let text = out.out;
    let answers = text
        .lines()
        .map(|line| serde_json::from_str(line).unwrap_or_else(|e| panic!("{e}: {line}")))
        .collect();
    (answers, out.code)
}

#[test]
fn a_plane_in_degrees_by_the_right_hand_rule() {
    let (answers, code) = read_json(&["045/30"]);
    assert_eq!(code, 0);
    assert_eq!(
        answers,
        [json!({
            "text": "045/30",
            "plane": {"strike": 45.0, "dip": 30.0, "dip_direction": 135.0},
            "line": null,
            "doubts": [],
            "notes": [],
        })]
    );
}

#[test]
fn numbers_are_as_typed_without_dust() {
    let out = run("read", &["--format", "json", "062.1/35.7NW", "0.3→359.9"]);
    let text = out.out;
    assert!(
        text.contains(r#"{"strike":242.1,"dip":35.7,"dip_direction":332.1}"#),
        "{text}"
    );
    assert!(text.contains(r#"{"trend":359.9,"plunge":0.3}"#), "{text}");
}

#[test]
fn a_line_a_plane_and_both() {
    let (answers, code) = read_json(&["12 S60W", "S45W 30NW", "30→135", "--", "-12→240"]);
    assert_eq!(code, 0);
    assert_eq!(answers.len(), 4);
    assert_eq!(answers[0]["line"], json!({"trend": 240.0, "plunge": 12.0}));
    assert_eq!(answers[0]["plane"], Value::Null);
    assert_eq!(answers[1]["plane"]["strike"], json!(225.0));
    assert_eq!(answers[1]["line"], Value::Null);
    assert_eq!(answers[2]["line"], json!({"trend": 135.0, "plunge": 30.0}));
    assert_eq!(
        answers[2]["plane"],
        json!({"strike": 45.0, "dip": 30.0, "dip_direction": 135.0})
    );
    assert_eq!(answers[2]["notes"][0]["kind"], "ambiguous");
    assert_eq!(answers[2]["doubts"], json!([]));
    assert_eq!(answers[3]["line"], json!({"trend": 240.0, "plunge": -12.0}));
}

#[test]
fn a_bare_pair_means_what_is_asked_for() {
    let strike = |convention: &str, text: &str| {
        let (answers, code) = read_json(&["--convention", convention, text]);
        (answers[0]["plane"]["strike"].as_f64(), code)
    };
    assert_eq!(strike("right-hand", "120/40"), (Some(120.0), 0));
    assert_eq!(strike("dip-direction", "120/40"), (Some(30.0), 0));
    assert_eq!(strike("dip-direction", "30/135"), (Some(45.0), 0));
    // A strike at either end leaves the side open.
    assert_eq!(strike("strike-dip", "120/40"), (None, 1));
    assert_eq!(strike("strike-dip", "120/40SW"), (Some(120.0), 0));
}

#[test]
fn a_doubt_carries_its_kind_message_and_choices() {
    let (answers, code) = read_json(&["045/30", "045/30NE"]);
    assert_eq!(code, 1);
    let doubt = &answers[1]["doubts"][0];
    assert_eq!(doubt["kind"], "side-along-strike");
    assert_eq!(
        doubt["message"],
        "a plane striking 045 dips to the south-east or the north-west, not to the north-east"
    );
    assert_eq!(doubt["choices"][0]["sets"], json!({"side": "SE"}));
    assert_eq!(doubt["choices"][1]["sets"], json!({"side": "NW"}));
    let (answers, code) = read_json(&["045/95"]);
    assert_eq!(code, 1);
    assert_eq!(answers[0]["plane"], Value::Null);
    assert_eq!(answers[0]["doubts"][0]["kind"], "out-of-range");
    let (answers, code) = read_json(&["bedding"]);
    assert_eq!(code, 1);
    assert_eq!(answers[0]["doubts"][0]["kind"], "unreadable");
}

#[test]
fn a_note_alone_is_clean() {
    for text in ["242/35SE", "000/00", "045/90", "12→240"] {
        let (answers, code) = read_json(&[text]);
        assert_eq!(code, 0, "{text}");
        assert_eq!(answers[0]["doubts"], json!([]), "{text}");
        assert!(answers[0]["notes"][0]["message"].is_string(), "{text}");
    }
}

#[test]
fn text_gives_every_notation() {
    let out = run("read", &["045/30", "12→240", "361/30"]);
    assert_eq!(out.code, 1);
    let text = out.out;
    for form in [
        "045/30SE",
        "N45E/30SE",
        "30→135",
        "right-hand 045/30",
        "12→240",
        "12 S60W",
        "is over 360",
        "- keep 361",
    ] {
        assert!(text.contains(form), "{form} is missing from:\n{text}");
    }
}

#[test]
fn misuse_ends_with_two_and_says_how() {
    for args in [
        &["read"][..],
        &["read", "--convention", "any", "045/30"],
        &["read", "--format", "xml", "045/30"],
        &["read", "--unknown", "045/30"],
        &["unknown"],
        &[],
    ] {
        let out = Run::of(run::camp().args(args).output().expect("it starts"));
        assert_eq!(out.code, 2, "{args:?}");
        assert!(out.out.is_empty(), "{args:?}");
        let said = out.err;
        assert!(said.contains("--help"), "{args:?}: {said}");
    }
}

#[test]
fn help_teaches_by_examples() {
    for args in [&["--help"][..], &["read", "--help"]] {
        let out = Run::of(run::camp().args(args).output().expect("it starts"));
        assert_eq!(out.code, 0);
        assert!(out.err.is_empty());
    }
    let help = run("read", &["--help"]).out;
    for taught in [
        "Examples:",
        "camp read",
        "Exit code:",
        "strike-dip",
        "dip-direction",
        "right-hand",
        "N45E/30SE",
    ] {
        assert!(help.contains(taught), "{taught} is missing from:\n{help}");
    }
}

/// Whatever `head` leaves unread is no error.
#[test]
fn a_reader_that_leaves_early_is_no_error() {
    let mut child = run::camp()
        .arg("read")
        .args(vec!["045/30SE"; 5_000])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the command starts");
    drop(child.stdout.take());
    let out = child.wait_with_output().expect("it ends");
    assert_eq!(out.status.code(), Some(0));
    assert!(
        out.stderr.is_empty(),
        "{}",
        String::from_utf8_lossy(&out.stderr)
    );
}
