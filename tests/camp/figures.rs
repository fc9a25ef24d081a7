//! `camp figures` as it is run: a table and the demo book, its JSON, its net as an SVG that any reader opens.

use serde_json::Value;

use crate::run::{self, Run, run};

fn camp(args: &[&str]) -> Run {
    run("figures", args)
}

fn json(args: &[&str]) -> Value {
    let out = camp(&[args, &["--format", "json"]].concat());
    assert_eq!(out.code, 0, "{}", out.err);
    serde_json::from_str(&out.out).expect("one object")
}

/// A file of this test's own.
fn file(name: &str, content: &str) -> String {
    let path = run::file(name, content);
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
    assert_eq!(out.code, 0, "{}", out.err);
    let text = out.out;
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
        "Contours at 2, 4, 8 × even",
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
    assert_eq!(none.code, 2);
    assert!(
        none.err
            .contains("no reading is of kind `granite`; there are `bedding`"),
        "{}",
        none.err
    );
    let none = camp(&["public/demo.json", "--station", "99"]);
    assert!(
        none.err.contains("station `99`; there are `1`"),
        "{}",
        none.err
    );
    let any_case = json(&["public/demo.json", "--kind", "Bedding"]);
    assert_eq!(any_case["kinds"][0]["kind"], "bedding");
    // Three readings of the demo book come to nothing, and are named.
    let all = camp(&["public/demo.json"]);
    assert!(
        all.err
            .contains("3 readings come to no plane and no line and are left out: 2.3; 4.3; 9.4"),
        "{}",
        all.err
    );
    assert_eq!(json(&["public/demo.json"])["left_out"], 3);
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
    assert_eq!(out.code, 2);
    assert!(out.err.contains("line 2"));
}

/// Faults made for one stress (greatest compression upright, least east): the sense column gives their slip, and the stress
/// is found again, said to be a model, each fault with its misfit. Invented planes; the shear on each is worked out here from
/// the stress itself.
#[test]
fn faults_with_a_sense_speak_for_a_stress() {
    use hingeline::orientation::faults::Principal;
    use hingeline::orientation::{Line, Plane};
    let line = |trend, plunge| Line::from_deg(trend, plunge).expect("in range");
    let stress = Principal {
        sigma1: line(0.0, 90.0),
        sigma2: line(0.0, 0.0),
        sigma3: line(90.0, 0.0),
        ratio: 0.5,
    };
    let planes = [
        (10, 60),
        (200, 55),
        (150, 65),
        (340, 50),
        (60, 40),
        (250, 70),
        (20, 75),
        (130, 45),
    ];
    let mut rows = String::from("reading,kind,strike,dip,trend,plunge,sense\n");
    for (i, (strike, dip)) in planes.into_iter().enumerate() {
        let plane = Plane::from_deg(f64::from(strike), f64::from(dip)).expect("in range");
        let slip = stress.slip_on(&plane).expect("shear");
        let along = slip.line().expect("a line").as_axis();
        rows += &format!(
            "f{i},fault + line,{strike:03},{dip:02},{:.2},{:.2},{}\n",
            along.trend().deg() % 360.0,
            along.plunge().deg(),
            slip.sense().words()
        );
    }
    let table = file("slips.csv", &rows);
    let answer = json(&[&table]);
    let faults = &answer["kinds"][0]["faults"];
    assert_eq!(
        (faults["count"].as_u64(), faults["without_sense"].as_u64()),
        (Some(8), Some(0))
    );
    let number = |value: &Value| {
        value
            .as_f64()
            .unwrap_or_else(|| panic!("no number: {value}"))
    };
    let found = &faults["stress"];
    assert!(number(&found["sigma1"]["plunge"]) > 85.0, "{found}");
    let sigma3 = number(&found["sigma3"]["trend"]) % 180.0;
    assert!(
        (sigma3 - 90.0).abs() < 8.0 && number(&found["sigma3"]["plunge"]) < 8.0,
        "{found}"
    );
    assert!(number(&found["mean_misfit"]) < 6.0, "{found}");
    assert_eq!(found["cones_95"].as_array().map(Vec::len), Some(3));
    assert!(
        number(&faults["dihedra"]["sigma1"]["axis"]["plunge"]) > 60.0,
        "{faults}"
    );
    assert!(
        faults["caution"]
            .as_str()
            .is_some_and(|c| c.contains("model"))
    );
    for fault in faults["faults"].as_array().expect("a list") {
        assert!(
            fault["misfit"].is_number() && fault["sense"].is_string(),
            "{fault}"
        );
    }
    let text = camp(&[&table]).out;
    for words in [
        "shortening",
        "right dihedra",
        "mean misfit",
        "caution",
        "f7",
    ] {
        assert!(text.contains(words), "{words}: {text}");
    }
    let broken = file(
        "sense.csv",
        "kind,strike,dip,trend,plunge,sense\nfault,010,60,100,60,sideways\n",
    );
    let out = camp(&[&broken]);
    assert_eq!(out.code, 2);
    let why = out.err;
    assert!(
        why.contains("line 2, column 6 (sense)") && why.contains("`sideways`"),
        "{why}"
    );
}

/// A column `tops` tells which angle is the interlimb angle, and which way the fold faces.
#[test]
fn tops_of_a_table_tell_the_facing() {
    let rows = |second: &str| -> String {
        let mut rows = String::from("kind,strike,dip,tops\n");
        for i in 0..6 {
            rows += &format!("bedding,{:03},{:02},upright\n", 40 + i, 30 + i);
            rows += &format!("bedding,{:03},{:02},{second}\n", 220 + i, 60 + i);
        }
        rows
    };
    let fold = |second: &str| {
        let table = file(&format!("tops-{second}.csv"), &rows(second));
        json(&[&table])["kinds"][0]["fold"].clone()
    };
    let (open, unknown) = (fold("upright"), fold("unknown"));
    assert_eq!(
        (open["told_by"].as_str(), unknown["told_by"].as_str()),
        (Some("tops"), Some("no limb taken as overturned"))
    );
    assert!(open["facing"].is_object() && unknown["facing"].is_null());
    let turned = fold("overturned");
    let angle = |fold: &Value, name: &str| fold[name].as_f64().expect("an angle");
    assert!((angle(&open, "interlimb") - angle(&turned, "other_interlimb")).abs() < 1e-9);
    assert_eq!(open["limbs"][0]["count"], 6);
    let wrong = file("tops-wrong.csv", "strike,dip,tops\n045,30,sideways\n");
    let out = camp(&[&wrong]);
    assert_eq!(out.code, 2);
    assert!(out.err.contains("`sideways`"));
}

#[test]
fn the_rose_is_written_beside_the_net() {
    let path = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join("rose.svg");
    let out = camp(&[
        "public/demo.json",
        "--kind",
        "joint",
        "--rose",
        path.to_str().expect("UTF-8"),
    ]);
    assert_eq!(out.code, 0, "{}", out.err);
    let svg = std::fs::read_to_string(&path).expect("drawn");
    let read = roxmltree::Document::parse(&svg).expect("well-formed");
    let title = read.descendants().find(|n| n.has_tag_name("title"));
    let caption = title.and_then(|n| n.text()).expect("a caption");
    for words in [
        "joint strikes",
        "axial",
        "areas as their counts",
        "Rayleigh",
        "Varrelow",
        "Chosen: joint",
    ] {
        assert!(caption.contains(words), "{words}: {caption}");
    }
}

#[test]
fn a_table_with_headings_of_its_own_is_read_as_it_says() {
    let rows = "135,30\n140,32\n128,29\n";
    let table = file("own.csv", &format!("Dip Direction,Dip\n{rows}"));
    let out = camp(&[&table, "--format", "json"]);
    assert_eq!(out.code, 0, "{}", out.err);
    let answer: Value = serde_json::from_str(&out.out).expect("one object");
    assert_eq!(answer["count"], 3);
    // The pole of a plane that dips 30° toward 135 trends 315 and plunges 60: the mean is near it.
    let mean = &answer["kinds"][0]["fisher"]["mean"];
    let of = |part: &str| mean[part].as_f64().expect("degrees");
    assert!((of("trend") - 314.4).abs() < 1.0 && (of("plunge") - 59.6).abs() < 0.5);
    assert_eq!(answer["kinds"][0]["not_true"], 0);
}

/// The side may be called what people call it: the plane is the one it says.
#[test]
fn a_strike_of_either_end_goes_by_its_side() {
    for heading in ["side", "toward", "dip quadrant", "Dip Direction"] {
        let rows = if heading == "Dip Direction" {
            "045,30,135\n225,30,135\n"
        } else {
            "045,30,SE\n225,30,SE\n"
        };
        let table = file(
            &format!("{}.csv", heading.replace(' ', "-")),
            &format!("strike,dip,{heading}\n{rows}"),
        );
        let answer = json(&[&table]);
        let mean = &answer["kinds"][0]["mean_plane"];
        for (part, want) in [("strike", 45.0), ("dip", 30.0)] {
            let got = mean[part].as_f64().expect("degrees");
            assert!((got - want).abs() < 1e-6, "{heading}: {part} {got}");
        }
    }
}

/// A kind may hold planes, lines and lines in planes: all of them are counted, each in its place.
#[test]
fn the_lines_of_a_kind_have_figures_of_their_own() {
    let table = file(
        "mixed.csv",
        "kind,strike,dip,trend,plunge\nfold,045,30,,\nfold,060,40,131,38\nfold,,,120,20\nfold,,,122,22\n",
    );
    let answer = json(&[&table]);
    assert_eq!(answer["selected"], 4);
    let kinds = answer["kinds"].as_array().expect("a list");
    let told: Vec<_> = kinds.iter().map(|k| (&k["of"], &k["count"])).collect();
    assert_eq!(
        told,
        [(&"poles".into(), &2.into()), (&"lines".into(), &3.into())]
    );
    let trend = kinds[1]["fisher"]["mean"]["trend"]
        .as_f64()
        .expect("degrees");
    assert!((trend - 124.0).abs() < 1.0, "{trend}");
}

/// A cone is not called better where its test does not say so.
#[test]
fn a_cylinder_stays_one() {
    let limbs = "040,44\n260,50\n".repeat(4);
    let table = file("limbs.csv", &format!("strike,dip\n{limbs}"));
    let fold = &json(&[&table])["kinds"][0]["fold"];
    assert_eq!(fold["cone"]["better"], false);
    assert!(camp(&[&table]).out.contains("not better than the cylinder"));
}

/// Two readings are the two limbs (the inputs of a published exercise, its results computed; published.json, geo-nptel-fold).
#[test]
fn two_limbs_are_a_fold() {
    let table = file("two.csv", "strike,dip\n040,44\n260,50\n");
    let fold = &json(&[&table])["kinds"][0]["fold"];
    for (value, want) in [
        (&fold["axis"]["trend"], 62.184),
        (&fold["axis"]["plunge"], 20.033),
        (&fold["interlimb"], 93.138),
        (&fold["axial_plane"]["strike"], 61.019),
        (&fold["axial_plane"]["dip"], 86.808),
    ] {
        let got = value.as_f64().expect("degrees");
        assert!((got - want).abs() < 0.001, "{got} for {want}");
    }
}

/// The inputs and the mean of a reference library's documentation (published.json, stat-scipy-circmean).
#[test]
fn three_azimuths_have_a_mean() {
    let table = file(
        "three.csv",
        "kind,trend,plunge\ncurrent,20,0\ncurrent,30,0\ncurrent,330,0\n",
    );
    let circular = &json(&[&table])["kinds"][0]["circular"];
    let mean = circular["mean"].as_f64().expect("degrees");
    assert!((mean - 7.294_976_657_784).abs() < 1e-9, "{mean}");
}

#[test]
fn rows_with_a_doubt_are_named() {
    let table = file("doubts.csv", "strike,dip\n400,20\n045,95\n045,30\n");
    let out = camp(&[&table]);
    for words in [
        "1 row comes to no plane and no line and is left out: line 3, dip `95` is over 90",
        "1 row is taken with a doubt: line 2, strike `400` is over 360",
    ] {
        assert!(out.err.contains(words), "{}", out.err);
    }
}

#[test]
fn rows_that_are_no_plane_and_no_line_are_said_with_the_way_out() {
    let table = file("traces.csv", "kind,trend\ncurrent,294\ncurrent,301\n");
    let out = camp(&[&table]);
    assert_eq!(out.code, 2);
    assert!(
        out.err.contains("a trend a plunge (0 on the map)"),
        "{}",
        out.err
    );
}
