//! `camp figures` as it is run: a table and the demo book, its JSON, its net as an SVG that any reader opens.
#![cfg(not(target_arch = "wasm32"))]

use std::process::{Command, Output};

use serde_json::Value;

fn camp(args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_camp"))
        .arg("figures")
        .args(args)
        .output()
        .expect("the command starts")
}

fn json(args: &[&str]) -> Value {
    let out = camp(&[args, &["--format", "json"]].concat());
    assert_eq!(
        out.status.code(),
        Some(0),
        "{}",
        String::from_utf8_lossy(&out.stderr)
    );
    serde_json::from_slice(&out.stdout).expect("one object")
}

/// A file of this test's own.
fn file(name: &str, content: &str) -> String {
    let path = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    std::fs::write(&path, content).expect("written");
    path.to_str().expect("UTF-8").to_owned()
}

/// Wessel's twelve fault planes (Data Analysis 1, Univ. Hawaii), right-hand strikes; the figures are those of the published rows.
#[test]
fn a_table_of_planes() {
    let strikes = [142, 157, 145, 150, 149, 156, 347, 139, 155, 351, 148, 142];
    let dips = [45, 50, 52, 38, 56, 44, 8, 49, 46, 11, 59, 43];
    let rows: String = strikes
        .iter()
        .zip(dips)
        .map(|(s, d)| format!("{s:03},{d:02},bedding\n"))
        .collect();
    let table = file("faults.csv", &format!("strike,dip,kind\n{rows}"));
    let answer = json(&[&table]);
    assert_eq!(
        (&answer["count"], &answer["selected"]),
        (&Value::from(12), &Value::from(12))
    );
    let bedding = &answer["kinds"][0];
    let near = |value: &Value, want: f64, rel: f64| {
        let got = value
            .as_f64()
            .unwrap_or_else(|| panic!("no number: {value}"));
        assert!(
            (got / want - 1.0).abs() < rel,
            "got {got}, published {want}"
        );
    };
    near(&bedding["fisher"]["resultant"], 11.131_983, 1e-4);
    near(&bedding["fisher"]["concentration"], 12.672_557, 1e-4);
    near(&bedding["tensor"]["eigenvalues"][0], 0.876_584_81, 1e-4);
    near(&bedding["tensor"]["shape_k"], 0.629_339, 1e-4);
    near(&bedding["tensor"]["strength_c"], 5.181_114, 1e-4);
    assert_eq!(bedding["circular"]["axial"], true);
    assert!(bedding["fold"]["interlimb"].is_number() && bedding["sets"].is_null());
    for part in ["fisher", "tensor", "mean_axis", "uniform", "circular"] {
        assert!(bedding[part]["source"].is_string(), "{part} has no source");
    }
}

#[test]
fn the_demo_book_and_its_net() {
    let net = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join("demo.svg");
    let out = camp(&[
        "public/demo.json",
        "--kind",
        "bedding",
        "--contours",
        "--net",
        net.to_str().expect("UTF-8"),
    ]);
    assert_eq!(
        out.status.code(),
        Some(0),
        "{}",
        String::from_utf8_lossy(&out.stderr)
    );
    let text = String::from_utf8(out.stdout).expect("UTF-8");
    assert!(text.contains("fold axis") && text.contains("interlimb") && !text.contains("cleavage"));
    let svg = std::fs::read_to_string(&net).expect("drawn");
    let read = roxmltree::Document::parse(&svg).expect("well-formed");
    let caption = read
        .descendants()
        .find(|n| n.has_tag_name("title"))
        .and_then(|n| n.text())
        .expect("a caption");
    for words in [
        "Equal-area projection, lower hemisphere",
        "Contours at 2, 4, 8 times even",
        "k = 100",
        "Fitted girdle",
        "true north",
        "Varrelow",
    ] {
        assert!(caption.contains(words), "{words}: {caption}");
    }
    // A station of the book by its number, and what is not there.
    let one = json(&["public/demo.json", "--station", "3"]);
    assert!(one["selected"].as_u64().expect("a count") < one["count"].as_u64().expect("a count"));
    let none = camp(&["public/demo.json", "--kind", "granite"]);
    assert_eq!(none.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&none.stderr).contains("none of its"));
}

#[test]
fn joints_come_in_sets_and_currents_have_heads() {
    let mut rows = String::from("kind,strike,dip,trend,plunge\n");
    for i in 0..9 {
        rows += &format!("joint,{:03},{:02},,\n", 60 + i, 80 + i % 4);
        rows += &format!("joint,{:03},{:02},,\n", 150 + i, 85 - i % 3);
        rows += &format!("current direction,,,{:03},05\n", 200 + 2 * i);
    }
    let table = file("joints.csv", &rows);
    let answer = json(&[&table]);
    let joints = &answer["kinds"][0];
    assert_eq!(joints["sets"]["number"], 2);
    assert_eq!(joints["sets"]["sets"][0]["count"], 9);
    assert!(joints["fold"].is_null());
    let currents = &answer["kinds"][1];
    assert_eq!(currents["circular"]["axial"], false);
    let mean = currents["circular"]["mean"].as_f64().expect("a number");
    assert!((mean - 208.0).abs() < 1e-6, "{mean}");
    let broken = file("broken.csv", "strike,dip\n045,abc\n");
    let out = camp(&[&broken]);
    assert_eq!(out.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&out.stderr).contains("line 2"));
}
