//! `camp reckon` as it is run: printed examples of textbooks, and what it says where there is nothing to reckon.

use serde_json::Value;

use crate::run::{Run, run};

fn camp(args: &[&str]) -> Run {
    run("reckon", args)
}

/// The number at a path of the answer is the printed one within a tolerance, angles round the circle.
#[track_caller]
fn check(args: &[&str], expected: &[(&str, f64)], tolerance: f64) {
    let out = camp(&[args, &["--format", "json"]].concat());
    assert_eq!(out.code, 0, "{args:?}: {}", out.err);
    let answer: Value = serde_json::from_str(&out.out).expect("one object");
    for (path, want) in expected {
        let value = path.split('.').fold(&answer, |at, key| &at[key]);
        let got = value
            .as_f64()
            .unwrap_or_else(|| panic!("{args:?} has no {path}: {answer}"));
        let off = (got - want).abs();
        let round =
            path.ends_with("strike") || path.ends_with("direction") || path.ends_with("trend");
        let off = if round { off.min(360.0 - off) } else { off };
        assert!(
            off <= tolerance,
            "{args:?} {path}: got {got}, printed {want}"
        );
    }
}

#[test]
fn textbook_examples() {
    // Brady & Brown, Rock Mechanics for Underground Mining, 3rd ed., appendix A, pp. 569–570; graphical, to 1°.
    let dips = ["--convention", "dip-direction"];
    check(
        &[&["pole", "130/50"], &dips[..]].concat(),
        &[("line.trend", 310.0), ("line.plunge", 40.0)],
        0.01,
    );
    check(
        &[&["intersection", "130/50", "250/30"], &dips[..]].concat(),
        &[("line.trend", 201.0), ("line.plunge", 21.0)],
        1.0,
    );
    // S. Dutch, Univ. Wisconsin–Green Bay: apparent dip in a road cut.
    check(
        &["apparent-dip", "065/24NW", "--toward", "52"],
        &[("angle", 5.719)],
        0.01,
    );
    // Marshak & Mitra 1988.
    check(
        &["apparent-dip", "115/42", "--toward", "265"],
        &[("angle", 24.237)],
        0.01,
    );
    // An orthographic projection handout: two apparent dips, to 1°.
    check(
        &["true-dip", "20→296", "30→046"],
        &[("plane.dip", 40.0), ("plane.strike", 270.0)],
        1.0,
    );
    // SIG2003 practical 5, to 1°.
    check(
        &["plane-of-pole", "44→345"],
        &[
            ("plane.strike", 75.0),
            ("plane.dip", 46.0),
            ("plane.dip_direction", 165.0),
        ],
        1.0,
    );
    check(&["angle", "10→237", "010/80E"], &[("angle", 48.0)], 1.0);
    // Martel, Univ. Hawaii, GG303 lab 3.
    check(
        &["three-point", "100,400,400", "0,0,200", "300,0,500"],
        &[
            ("plane.strike", 104.036),
            ("plane.dip", 45.868),
            ("plane.dip_direction", 194.036),
        ],
        0.01,
    );
    // South Alabama GY403: layers and slopes opposed, the same way, level.
    for (traverse, thickness) in [("15→270", 81.915), ("15→090", 42.262), ("00→090", 64.279)]
    {
        check(
            &[
                "thickness",
                "000/40",
                "--traverse",
                traverse,
                "--length",
                "100",
            ],
            &[("thickness", thickness)],
            0.001,
        );
    }
    // Anderson's geometry: two normal faults dipping 60°.
    check(
        &["conjugate", "000/60", "180/60"],
        &[
            ("sigma1.plunge", 90.0),
            ("sigma2.plunge", 0.0),
            ("sigma3.trend", 90.0),
            ("angle", 60.0),
        ],
        1e-6,
    );
    // Pacific Northwest Seismic Network, fault plane solution 03122610074n: printed to 1°; axes derived from it.
    check(
        &["slip", "090/50", "--rake", "140.6"],
        &[
            ("other.strike", 208.0),
            ("other.dip", 61.0),
            ("other.rake", 47.4),
            ("p.trend", 326.65),
            ("p.plunge", 6.36),
            ("t.trend", 65.14),
            ("t.plunge", 52.97),
            ("n.trend", 231.96),
            ("n.plunge", 36.3),
        ],
        0.5,
    );
}

/// Worked by hand: Rodrigues' formula, cross products and sums of unit vectors (north, east, down), to a thousandth of a degree.
#[test]
fn worked_by_hand() {
    let rows: [(&str, &[(&str, f64)]); 8] = [
        (
            "rotate 12→240 --axis 00→045 --by 30",
            &[("line.trend", 243.885), ("line.plunge", 3.065)],
        ),
        (
            "rotate 045/30 --axis 20→100 --by 50",
            &[("plane.strike", 86.606), ("plane.dip", 70.160)],
        ),
        (
            "restore 25→200 --bedding 310/40",
            &[("line.trend", 180.850), ("line.plunge", 60.595)],
        ),
        (
            "restore 120/55 --bedding 310/40",
            &[("plane.strike", 301.796), ("plane.dip", 85.460)],
        ),
        (
            "line-in-plane 120/65 --rake 35",
            &[("line.trend", 136.485), ("line.plunge", 31.321)],
        ),
        (
            "slip 045/30 --rake -45",
            &[
                ("line.trend", 85.893),
                ("line.plunge", 20.705),
                ("p.trend", 54.030),
                ("p.plunge", 59.584),
                ("t.trend", 282.557),
                ("t.plunge", 21.246),
                ("n.trend", 184.107),
                ("n.plunge", 20.705),
            ],
        ),
        (
            "conjugate 030/70 080/65",
            &[
                ("angle", 46.213),
                ("sigma1.trend", 57.221),
                ("sigma1.plunge", 5.894),
                ("sigma2.trend", 159.806),
                ("sigma2.plunge", 64.649),
                ("sigma3.trend", 324.517),
                ("sigma3.plunge", 24.561),
            ],
        ),
        (
            "thickness 200/35 --traverse -12→070 --length 80",
            &[("thickness", 20.758)],
        ),
    ];
    for (asked, expected) in rows {
        let args: Vec<&str> = asked.split(' ').collect();
        check(&args, expected, 0.0006);
    }
}

#[test]
fn what_is_taken_with_a_doubt_is_said() {
    // The side lies along the strike: which of the two planes is meant is not told, but the wall has one.
    let out = camp(&["pole", "045/90NE"]);
    assert_eq!(out.code, 0, "{}", out.err);
    assert!(out.out.contains("00→315"), "{}", out.out);
    assert!(
        out.err.contains("`045/90NE` is taken as it stands"),
        "{}",
        out.err
    );
    assert_eq!(camp(&["pole", "045/30"]).err, "");
}

#[test]
fn a_number_beyond_its_limit_is_refused_wherever_it_stands() {
    for args in [
        &["pole", "361/30"][..],
        &["pole", "30→400"],
        &["plane-of-pole", "12→361"],
        &["angle", "12→240", "95→100"],
        &["apparent-dip", "065/24NW", "--toward", "361"],
        &["line-in-plane", "065/24NW", "--rake", "181"],
    ] {
        let out = camp(args);
        assert_eq!(out.code, 2, "{args:?}: {}", out.err);
        assert_eq!(out.out, "", "{args:?}");
    }
}

/// What an argument takes its option takes too.
#[test]
fn options_are_written_as_people_write_numbers() {
    check(
        &["apparent-dip", "065/24NW", "--toward", "N52E"],
        &[("angle", 5.719)],
        0.001,
    );
    check(
        &["rotate", "12→240", "--axis", "00→045", "--by", "−30°"],
        &[("line.trend", 231.957)],
        0.001,
    );
    check(
        &[
            "thickness",
            "045/30",
            "--traverse",
            "00→135",
            "--length",
            "100,5",
        ],
        &[("thickness", 50.25)],
        1e-9,
    );
    check(
        &["three-point", "0;0;0", "100;0;10,5", "0 100 3"],
        &[("plane.dip", 6.232)],
        0.001,
    );
    refused(
        &[
            "thickness",
            "045/30",
            "--traverse",
            "00→135",
            "--length",
            "NaN",
        ],
        2,
        "`NaN` is no number",
    );
    refused(
        &["three-point", "0,0,0", "100,0,1e308", "0,100,0"],
        2,
        "`100,0,1e308` is no place",
    );
}

#[test]
fn a_word_in_front_says_what_is_meant() {
    refused(&["pole", "line 12→240"], 2, "`line 12→240` is no plane");
    refused(
        &["plane-of-pole", "plane 30→135"],
        2,
        "`plane 30→135` is no line",
    );
}

/// The hanging wall of an upright fault lies on the side that was written, as it does at 89°.
#[test]
fn the_side_of_an_upright_plane_counts() {
    for (plane, trend) in [("170/90E", 80.0), ("350/90E", 80.0), ("170/90W", 260.0)] {
        let p = &[("p.trend", trend), ("p.plunge", 45.0)];
        check(&["slip", plane, "--rake", "90"], p, 1e-9);
    }
    check(
        &["apparent-dip", "115/90", "--toward", "25"],
        &[("angle", 90.0)],
        1e-9,
    );
}

#[test]
fn a_line_that_comes_to_point_up_says_its_other_end() {
    let bed = ["restore", "12→240", "--bedding", "045/30", "--overturned"];
    check(
        &bed,
        &[
            ("line.plunge", -17.857),
            ("line.trend", 218.043),
            ("axis.plunge", 17.857),
            ("axis.trend", 38.043),
        ],
        0.001,
    );
}

#[test]
fn there_and_back() {
    check(
        &["line-in-plane", "045/30", "--rake", "120"],
        &[("line.trend", 168.690_067), ("rake", 120.0)],
        1e-5,
    );
    check(
        &["line-in-plane", "045/30", "--trend", "168.690067526"],
        &[("rake", 120.0)],
        1e-6,
    );
    // A quarter turn about the vertical, clockwise looking down.
    check(
        &["rotate", "12→240", "--axis", "90→000", "--by", "90"],
        &[("line.trend", 330.0), ("line.plunge", 12.0)],
        1e-9,
    );
    check(
        &["rotate", "045/30", "--axis", "00→045", "--by", "20"],
        &[("plane.dip", 50.0), ("plane.strike", 45.0)],
        1e-9,
    );
    check(
        &["restore", "045/60", "--bedding", "045/30"],
        &[("plane.dip", 30.0), ("plane.strike", 45.0)],
        1e-9,
    );
    check(
        &[
            "restore",
            "25.6589062733→168.690067526",
            "--bedding",
            "045/30",
        ],
        &[("line.plunge", 0.0), ("line.trend", 165.0)],
        1e-6,
    );
    check(
        &["plane-through", "30→089", "60→234"],
        &[("plane.dip_direction", 170.458_911)],
        1e-5,
    );
    // Where either may stand an arrow is a line, unless the convention or a word says otherwise.
    check(
        &["rotate", "30→135", "--axis", "90→000", "--by", "10"],
        &[("line.trend", 145.0)],
        1e-9,
    );
    check(
        &["rotate", "plane 30→135", "--axis", "90→000", "--by", "10"],
        &[("plane.dip_direction", 145.0), ("plane.dip", 30.0)],
        1e-9,
    );
}

#[track_caller]
fn refused(args: &[&str], code: i32, words: &str) {
    let out = camp(args);
    let said = out.err;
    assert_eq!(out.code, code, "{args:?}: {said}");
    assert!(said.contains(words), "{args:?}: {said}");
    assert!(out.out.is_empty());
}

#[test]
fn what_there_is_not_is_said() {
    refused(&["intersection", "130/50", "130/50"], 1, "parallel");
    refused(&["plane-through", "30→089", "30→089"], 1, "no one plane");
    refused(
        &["three-point", "0,0,0", "1,1,1", "2,2,2"],
        1,
        "lie in one line",
    );
    refused(&["pole", "045/95"], 2, "95");
    refused(&["pole", "granite"], 2, "granite");
    refused(&["slip", "090/50", "--rake", "200"], 2, "200");
    refused(
        &["three-point", "0,0", "1,1,1", "2,2,2"],
        2,
        "northing, easting and height",
    );
    refused(
        &[
            "thickness",
            "000/40",
            "--traverse",
            "15→270",
            "--length",
            "-3",
        ],
        2,
        "-3",
    );
    refused(&["true-dip", "20→296"], 2, "--strike");
}

#[test]
fn a_plane_alone_tells_no_line() {
    refused(&["line-in-plane", "045/30"], 2, "give --rake or --trend");
}

#[test]
fn the_text_has_its_working() {
    let out = camp(&["slip", "090/50", "--rake", "140.6"]);
    let text = out.out;
    for words in [
        "dextral, also reverse",
        "auxiliary plane",
        "207.8/60.9NW",
        "by ",
    ] {
        assert!(text.contains(words), "{words}: {text}");
    }
}
