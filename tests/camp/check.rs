//! `camp check` as it is run: tables as people's programs write them, books, its answers and its exit codes.

use std::fs;
use std::io::Write;
use std::path::Path;
use std::process::{Output, Stdio};
use std::thread;

use hingeline::exchange::book::{self, Written};
use hingeline::notebook::{Act, Body, Entry, Position, Stamp, Station};
use serde_json::{Value, json};

use crate::run::{self, file};

const HEADING: &str =
    "reading,station,kind,strike,dip,toward,trend,plunge,rake,sd_bearing,sd_inclination\n";

/// Runs `camp check` with a text on its standard input.
fn check(args: &[&str], input: impl AsRef<[u8]>) -> Output {
    let mut child = run::camp()
        .arg("check")
        .args(args)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut stdin = child.stdin.take().unwrap();
    let input = input.as_ref().to_vec();
    // The command may end before it has read everything.
    let writer = thread::spawn(move || {
        let _ = stdin.write_all(&input);
    });
    let out = child.wait_with_output().unwrap();
    writer.join().unwrap();
    out
}

/// The answers of a table as JSON, the exit code, and what was said on standard error.
#[track_caller]
fn check_json(args: &[&str], input: impl AsRef<[u8]>) -> (Vec<Value>, i32, String) {
    let args = [&["--format", "json", "-"], args].concat();
    let out = check(&args, input);
    (
        answers(&out),
        out.status.code().unwrap(),
        String::from_utf8(out.stderr).unwrap(),
    )
}

#[track_caller]
fn answers(out: &Output) -> Vec<Value> {
    let text = std::str::from_utf8(&out.stdout).unwrap();
    text.lines()
        .map(|line| serde_json::from_str(line).unwrap_or_else(|e| panic!("{e}: {line}")))
        .collect()
}

/// The pairs of reading and doubt.
fn found(answers: &[Value]) -> Vec<(&str, &str)> {
    answers
        .iter()
        .map(|answer| {
            (
                answer["reading"].as_str().unwrap(),
                answer["doubt"].as_str().unwrap(),
            )
        })
        .collect()
}

/// A table by its rows is read alike however it is written: the dip over 90 is found and nothing else.
#[track_caller]
fn check_one_steep_dip(input: impl AsRef<[u8]>) {
    let (answers, code, said) = check_json(&[], input);
    assert_eq!(found(&answers), [("b", "out-of-range")], "{said}");
    assert_eq!(answers[0]["severity"], "doubt");
    assert_eq!(code, 1, "{said}");
}

#[test]
fn a_clean_table_says_nothing_and_ends_with_zero() {
    let (answers, code, said) = check_json(&[], format!("{HEADING}a,1,bedding,045,30,SE,,,,,\n"));
    assert!(answers.is_empty(), "{answers:?}");
    assert_eq!((code, said.as_str()), (0, ""));
}

#[test]
fn all_gives_a_clean_reading_with_an_empty_doubt() {
    let (answers, code, _) =
        check_json(&["--all"], format!("{HEADING}a,7,bedding,045,30,SE,,,,,\n"));
    assert_eq!(code, 0);
    assert_eq!(answers.len(), 1);
    let answer = &answers[0];
    assert_eq!(answer["reading"], "a");
    assert_eq!(answer["station"], "7");
    assert_eq!(answer["kind"], "bedding");
    assert_eq!(answer["line"], 2);
    assert_eq!(answer["doubt"], "");
    assert_eq!(answer["severity"], Value::Null);
    assert_eq!(answer["explanations"], json!([]));
}

#[test]
fn columns_come_in_any_order_and_may_be_missing() {
    check_one_steep_dip("dip,reading,strike\n30,a,045\n95,b,045\n");
    check_one_steep_dip("reading,dip,toward\na,30,135\nb,95,135\n");
}

#[test]
fn headings_are_taken_in_any_case_and_with_their_unit() {
    check_one_steep_dip("READING,Strike (deg),\" Dip [°] \"\na,045,30\nb,045,95\n");
    let (_, code, said) = check_json(&[], "reading,strike,dip,SD Bearing\na,045,30,1\n");
    assert_eq!((code, said.as_str()), (0, ""));
}

#[test]
fn tables_are_read_as_programs_write_them() {
    for separator in [",", ";", "\t"] {
        for end in ["\n", "\r\n", "\r"] {
            let plain = format!("reading,strike,dip{end}a,045,30{end}b,045,95{end}");
            check_one_steep_dip(plain.replace(',', separator));
            check_one_steep_dip(format!("\u{feff}{}", plain.replace(',', separator)));
            check_one_steep_dip(plain.trim_end().replace(',', separator));
        }
    }
    check_one_steep_dip("sep=;\nreading;strike;dip\na;045;30\nb;045;95\n");
    check_one_steep_dip("\n\nreading,strike,dip\n\n  \na,045,30\n,,\nb,045,95\n\n\n");
    check_one_steep_dip(
        "\"reading\",\"strike\",\"dip\"\n\"a\",\"045\",\"30\"\n\"b\",\" 045 \",\"95\"\n",
    );
    check_one_steep_dip("reading,strike,dip,\na,045,30,\nb,045,95,\n");
    check_one_steep_dip(" reading , strike , dip \n a , 45° , 30 ° \n b , 45 , 95° \n");
}

#[test]
fn a_text_may_hold_separators_quotes_and_ends_of_line() {
    let (answers, code, said) = check_json(
        &["--all"],
        "reading,kind,strike,dip\n\"1, \"\"upper\"\"\",\"a\nb\",045,30\n2,,045,95\n",
    );
    assert_eq!(code, 1, "{said}");
    assert_eq!(answers[0]["reading"], "1, \"upper\"");
    assert_eq!(answers[0]["kind"], "a\nb");
    // The second row begins on the fourth line, because the first holds an end of line.
    assert_eq!(answers[1]["line"], 4);
}

#[test]
fn decimals_come_with_a_comma_where_the_separator_allows_it() {
    for text in [
        "reading;strike;dip\nb;045,5;95,5\n",
        "reading,strike,dip\nb,\"045,5\",\"95,5\"\n",
        "reading\tstrike\tdip\nb\t045.5\t95,5\n",
    ] {
        let (answers, _, said) = check_json(&[], text);
        assert_eq!(found(&answers), [("b", "out-of-range")], "{said}");
        let message = answers[0]["message"].as_str().unwrap();
        assert!(message.contains("95.5"), "{message}");
    }
}

#[test]
fn a_file_in_which_nothing_stands_is_said_to_be_empty() {
    let (answers, code, said) = check_json(&[], b"");
    assert_eq!((answers.len(), code), (0, 2), "{said}");
    assert!(
        said.contains("line 1: nothing is there: the file is empty, no book and no table"),
        "{said}"
    );
}

#[test]
fn letters_that_are_not_utf_8_are_taken_as_windows_1252() {
    let (answers, code, said) = check_json(
        &["--all"],
        b"reading,strike,dip\nB\xe4nk \x96 1,045\xb0,30\n",
    );
    assert_eq!(code, 0, "{said}");
    assert_eq!(answers[0]["reading"], "Bänk – 1");
    assert!(said.contains("Windows-1252"), "{said}");
}

#[test]
fn other_columns_are_named_and_passed_over() {
    let (answers, code, said) = check_json(&[], "reading,strike,dip,weather,\na,045,30,rain,\n");
    assert_eq!((answers.len(), code), (0, 0));
    assert!(said.contains("`weather`"), "{said}");
    assert_eq!(said.lines().count(), 1, "{said}");
}

#[test]
fn a_reading_without_a_name_is_named_by_its_line() {
    let (answers, _, said) = check_json(&[], "strike,dip\n045,30\n\n045,95\n");
    assert_eq!(found(&answers), [("line 4", "out-of-range")]);
    assert!(said.contains("`reading`"), "{said}");
    let (answers, _, said) = check_json(&[], "reading,strike,dip\n,045,95\n");
    assert_eq!(found(&answers), [("line 2", "out-of-range")]);
    assert_eq!(said, "");
}

#[test]
fn a_strike_without_a_side_counts_by_the_right_hand_rule() {
    // 045/30 dips to the south-east; a line down 135 is its dip line, and one down 315 is off it.
    let row = |strike, toward, trend| {
        format!("reading,strike,dip,toward,trend,plunge\na,{strike},30,{toward},{trend},30\n")
    };
    assert_eq!(check_json(&[], row("045", "", "135")).1, 0);
    assert_eq!(check_json(&[], row("045", "", "315")).1, 1);
    assert_eq!(check_json(&[], row("225", "", "315")).1, 0);
    assert_eq!(check_json(&[], row("225", "SE", "135")).1, 0);
    assert_eq!(check_json(&[], row("045", "nw", "315")).1, 0);
    assert_eq!(check_json(&[], row("045", "134", "135")).1, 0);
    let (answers, code, _) = check_json(&[], row("045", "050", "135"));
    assert_eq!(code, 1);
    assert!(
        answers.iter().any(|a| a["doubt"] == "side-along-strike"),
        "{answers:?}"
    );
}

#[test]
fn azimuths_may_be_counted_in_quadrants() {
    let (answers, code, said) = check_json(
        &[],
        "reading,strike,dip,toward,trend,plunge\na,N45E,30,S45E,S 45 E,30\nb,N45E,30,,N45W,30\n",
    );
    assert_eq!(said, "");
    assert_eq!(code, 1);
    assert!(
        answers.iter().all(|answer| answer["reading"] == "b"),
        "{answers:?}"
    );
}

#[test]
fn a_plunge_below_zero_points_up() {
    // The other end of the dip line of 045/30.
    let (_, code, said) = check_json(&[], "reading,strike,dip,trend,plunge\na,045,30,315,-30\n");
    assert_eq!((code, said.as_str()), (0, ""));
}

/// Where a fault stands and what it says, one a line.
#[track_caller]
fn check_fault(input: impl AsRef<[u8]>, expected: &[&str]) {
    let (_, code, said) = check_json(&[], input);
    assert_eq!(code, 2, "{said}");
    let lines: Vec<&str> = said.lines().collect();
    assert_eq!(lines.len(), expected.len(), "{said}");
    for (line, expected) in lines.iter().zip(expected) {
        assert!(
            line.starts_with(&format!("standard input: {expected}")),
            "{expected} is not said: {line}"
        );
    }
}

#[test]
fn what_cannot_be_read_is_named_with_its_line_and_column() {
    check_fault(
        "reading,strike,dip\na,045,30\nb,04x,30\n",
        &["line 3, column 2 (strike): `04x` is not a number of degrees, as 045"],
    );
    check_fault(
        "reading;dip;strike\r\na;n/a;045\r\n",
        &["line 2, column 2 (dip): `n/a` is not a number of degrees, as 30; leave it empty"],
    );
    check_fault(
        "reading,strike,dip,toward\na,045,30,QX\n",
        &["line 2, column 4 (toward): `QX` is neither compass letters, as SE, nor an azimuth"],
    );
    check_fault(
        "reading,strike,dip,sd_bearing,sd_inclination\na,045,30,-1,0\nb,045,30,x,91\n",
        &[
            "line 2, column 4 (sd_bearing): a standard deviation of `-1`",
            "line 2, column 5 (sd_inclination): a standard deviation of `0`",
            "line 3, column 4 (sd_bearing): `x` is not a number",
            "line 3, column 5 (sd_inclination): a standard deviation of `91`",
        ],
    );
    for number in ["nan", "inf", "1e2", "0x20", "4 5", "--4", "4.5.6", "°"] {
        check_fault(
            format!("reading,strike,dip\na,{number},30\n"),
            &["line 2, column 2 (strike)"],
        );
    }
}

#[test]
fn a_row_of_the_wrong_length_is_named() {
    check_fault(
        "reading,strike,dip\na,045\n",
        &["line 2, column 3 (dip): the row has 2 fields, and the heading 3"],
    );
    check_fault(
        "reading,strike,dip\na,045,30,1\n",
        &["line 2, column 4: the row has 4 fields, and the heading 3"],
    );
    check_fault(
        "reading,strike,dip\na,045,5,30\n",
        &[
            "line 2, column 4: the row has 4 fields, and the heading 3; a text that holds the separator, or a decimal comma",
        ],
    );
}

#[test]
fn headings_that_are_missing_or_twice_are_named() {
    check_fault("", &["line 1: nothing is there"]);
    check_fault("\u{feff}\r\n\r\n", &["line 1: nothing is there"]);
    check_fault("reading,station\na,1\n", &["line 1: no column is a dial"]);
    check_fault("045,30\n", &["line 1: no column is a dial"]);
    check_fault(
        "reading,strike,dip,Strike\na,045,30,045\n",
        &["line 1, column 4 (strike): the column `strike` is there twice, as number 2 too"],
    );
}

#[test]
fn a_quote_that_is_never_closed_is_named_where_it_opens() {
    check_fault(
        "reading,strike,dip\na,045,30\n\"b,045,30\nc,045,30\n",
        &["line 3, column 1: a quote is opened here and never closed"],
    );
}

#[test]
fn text_in_utf_16_and_what_is_no_text_are_refused() {
    let utf_16: Vec<u8> = "\u{feff}reading,strike\n"
        .encode_utf16()
        .flat_map(u16::to_le_bytes)
        .collect();
    check_fault(utf_16, &["line 1, column 1: the text is in UTF-16"]);
    check_fault(
        b"PK\x03\x04\x00\x00",
        &["this is not a book file but a ZIP archive"],
    );
    check_fault("<kml/>", &["this is not a book file but"]);
    check_fault("[1, 2]", &["this is not a book file but"]);
}

#[test]
fn good_rows_are_checked_beside_bad_ones() {
    let (answers, code, said) = check_json(&[], "reading,strike,dip\na,x,30\nb,045,95\n");
    assert_eq!(found(&answers), [("b", "out-of-range")]);
    assert_eq!(code, 2);
    assert_eq!(said.lines().count(), 1, "{said}");
}

#[test]
fn twenty_faults_are_written_out_and_the_rest_counted() {
    let rows = "a,x,30\n".repeat(50);
    let (_, code, said) = check_json(&[], format!("reading,strike,dip\n{rows}"));
    assert_eq!(code, 2);
    assert_eq!(said.lines().count(), 21, "{said}");
    assert!(said.contains("and 30 more"), "{said}");
}

#[test]
fn several_files_are_told_apart() {
    let one = file("check-one.csv", b"reading,strike,dip\na,045,95\n");
    let two = file("check-two.csv", b"reading,strike,dip\na,045,30\n");
    let paths = [one.to_str().unwrap(), two.to_str().unwrap(), "absent.csv"];
    let out = check(&[&["--format", "json", "--all"], &paths[..]].concat(), "");
    let answers = answers(&out);
    assert_eq!(answers.len(), 2);
    assert_eq!(answers[0]["file"], paths[0]);
    assert_eq!(answers[1]["file"], paths[1]);
    assert_eq!(out.status.code(), Some(2));
    let said = String::from_utf8(out.stderr).unwrap();
    assert!(
        said.starts_with("absent.csv: it could not be opened"),
        "{said}"
    );
    let out = check(&paths[..2], "");
    let text = String::from_utf8(out.stdout).unwrap();
    assert!(text.contains(&format!("== {}", paths[0])), "{text}");
    assert_eq!(out.status.code(), Some(1));
}

#[test]
fn text_ends_with_a_count() {
    let out = check(&["-"], "reading,strike,dip\na,045,95\nb,045,30\n");
    let text = String::from_utf8(out.stdout).unwrap();
    assert!(
        text.starts_with("a  line 2\n  doubt  out-of-range: "),
        "{text}"
    );
    assert!(text.ends_with("1 doubt in 1 of 2 readings\n"), "{text}");
}

/// 062/35 with a line at rake 45, which plunges 24 towards 101 (sin plunge = sin 35° sin 45°), and the rake from the other end.
const FIVE: &str =
    "reading,strike,dip,trend,plunge,rake\nright,062,35,101,24,045\nwrong,062,35,101,24,135\n";

#[test]
fn five_dials_that_cannot_all_be_right_are_explained() {
    let (answers, code, _) = check_json(&[], FIVE);
    assert_eq!(code, 1);
    assert_eq!(found(&answers), [("wrong", "set-up")]);
    let answer = &answers[0];
    assert_eq!(answer["severity"], "doubt");
    assert_eq!(answer["dof"], 2);
    // 13.8 is passed once in a thousand with two degrees of freedom (any table of chi-square).
    assert!(answer["chi2"].as_f64().unwrap() > 13.8, "{answer}");
    assert!(answer["as_read"].as_f64().unwrap() < 0.01, "{answer}");
    let explanations = answer["explanations"].as_array().unwrap();
    assert!((1..=3).contains(&explanations.len()));
    let odds: Vec<f64> = explanations
        .iter()
        .map(|e| e["odds"].as_f64().unwrap())
        .collect();
    assert!(
        odds.iter().all(|odds| (0.0..=1.0).contains(odds)),
        "{odds:?}"
    );
    assert!(odds.windows(2).all(|pair| pair[0] >= pair[1]), "{odds:?}");
    assert!(odds.iter().sum::<f64>() <= 1.0 + 1e-9, "{odds:?}");
    let first = &explanations[0];
    assert_eq!(first["slip"], "rake-end");
    assert!(first["what"].as_str().unwrap().contains("rake"), "{first}");
    let corrected = &first["corrected"];
    for (dial, deg) in [
        ("strike", 62.0),
        ("dip", 35.0),
        ("trend", 101.0),
        ("plunge", 24.0),
        ("rake", 45.0),
    ] {
        assert_eq!(corrected[dial], deg, "{dial}");
    }
    assert_eq!(corrected["toward"], Value::Null);
    let plane = |name: &str| corrected["plane"][name].as_f64().unwrap();
    assert!((plane("strike") - 62.0).abs() < 2.0, "{corrected}");
    assert!((plane("dip") - 35.0).abs() < 2.0, "{corrected}");
    assert!((plane("dip_direction") - 152.0).abs() < 2.0, "{corrected}");
}

#[test]
fn a_clean_set_up_says_how_well_it_agrees() {
    let (answers, _, _) = check_json(&["--all"], FIVE);
    assert_eq!(found(&answers), [("right", ""), ("wrong", "set-up")]);
    assert_eq!(answers[0]["dof"], 2);
    assert!(answers[0]["chi2"].as_f64().unwrap() < 2.0, "{}", answers[0]);
    assert!(
        answers[0]["as_read"].as_f64().unwrap() > 0.9,
        "{}",
        answers[0]
    );
    let out = check(&["--all", "-"], FIVE);
    let text = String::from_utf8(out.stdout).unwrap();
    assert!(text.contains("no doubt; chi-square 0."), "{text}");
    assert!(text.contains("in 100"), "{text}");
    assert!(text.contains("rake 045"), "{text}");
}

#[test]
fn a_strike_that_was_not_wrong_stays_at_the_end_that_was_read() {
    let (answers, _, said) = check_json(
        &[],
        "reading,strike,dip,toward,trend,plunge,rake\na,242,35,SE,101,24,135\nb,062,35,152,101,24,135\n",
    );
    assert_eq!(
        found(&answers),
        [("a", "set-up"), ("b", "set-up")],
        "{said}"
    );
    let corrected = |place: usize| &answers[place]["explanations"][0]["corrected"];
    assert_eq!(corrected(0)["strike"], 242.0);
    assert_eq!(corrected(0)["toward"], "SE");
    assert!((corrected(0)["plane"]["strike"].as_f64().unwrap() - 62.0).abs() < 2.0);
    assert_eq!(corrected(0)["rake"], 45.0);
    // A dip direction read as an azimuth is a dial of its own.
    assert_eq!(answers[1]["dof"], 3);
    assert_eq!(corrected(1)["toward"], 152.0);
    assert_eq!(corrected(1)["rake"], 45.0);
}

#[test]
fn deviations_of_a_row_weigh_its_dials() {
    let chi2 = |needle: &str, inclination: &str| {
        let (answers, _, _) = check_json(
            &["--all"],
            format!("{HEADING}a,,,062,35,,104,24,048,{needle},{inclination}\n"),
        );
        answers[0]["chi2"].as_f64().unwrap()
    };
    let default = chi2("", "");
    assert!((chi2("1", "1") - default).abs() < 1e-12);
    assert!(chi2("3", "") < default);
    assert!(chi2("", "3") < default);
    assert!(chi2("0.1", "0.1") > default);
    // Where everything may be far off, nothing contradicts anything.
    let (answers, code, _) = check_json(&[], format!("{HEADING}a,,,062,35,,101,24,135,60,60\n"));
    assert_eq!((answers.len(), code), (0, 0));
}

#[test]
fn notes_are_printed_when_asked_for_and_are_no_doubts() {
    let input = "reading,strike,dip,toward\na,225,30,SE\n";
    let (answers, code, _) = check_json(&[], input);
    assert_eq!((answers.len(), code), (0, 0));
    let (answers, code, _) = check_json(&["--notes"], input);
    assert_eq!(found(&answers), [("a", "other-end")]);
    assert_eq!(answers[0]["severity"], "note");
    assert_eq!(code, 0);
    // One empty doubt for a clean reading, notes or no notes.
    let (answers, _, _) = check_json(&["--all"], input);
    assert_eq!(found(&answers), [("a", "")]);
}

#[test]
fn the_demo_book_is_checked_by_station_and_reading() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("public/demo.json");
    let out = check(&["--format", "json", path.to_str().unwrap()], "");
    assert_eq!(out.status.code(), Some(1));
    assert!(out.stderr.is_empty());
    let answers = answers(&out);
    let found = found(&answers);
    for expected in [
        ("2.3", "side-along-strike"),
        ("3.5", "scatter"),
        ("4.3", "side-along-strike"),
        ("5.7", "out-of-range"),
        ("7.2", "set-up"),
        ("9.4", "out-of-range"),
    ] {
        assert!(
            found.contains(&expected),
            "{expected:?} is not in {found:?}"
        );
    }
    let scatter = answers
        .iter()
        .find(|answer| answer["doubt"] == "scatter")
        .unwrap();
    assert_eq!(scatter["shot"], 3);
    assert_eq!(scatter["station"], "3");
    assert_eq!(scatter["kind"], "bedding");
}

/// The doubts of a frozen book, by the first reading they are about.
fn doubts_of_frozen(name: &str) -> (Vec<Value>, i32) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/data/books")
        .join(name);
    let out = check(&["--format", "json", path.to_str().unwrap()], "");
    (answers(&out), out.status.code().unwrap())
}

#[test]
fn doubts_of_north_and_of_how_it_stood_are_found_in_a_book() {
    let (answers, code) = doubts_of_frozen("v1-set-ups.json");
    assert_eq!(code, 1);
    let found = found(&answers);
    for expected in [
        ("1.2", "swing-against-side"),
        ("1.1", "against-model"),
        ("2 sighting 1", "declination-missing"),
        ("1.2", "members-differ"),
        ("1 sighting 1", "fore-against-back"),
    ] {
        assert!(
            found.contains(&expected),
            "{expected:?} is not in {found:?}"
        );
    }
    let shared = answers
        .iter()
        .find(|answer| answer["doubt"] == "members-differ")
        .unwrap();
    assert_eq!(shared["also"].as_array().unwrap().len(), 4);
    assert!(!shared["choices"].as_array().unwrap().is_empty());
}

#[test]
fn fields_that_two_people_changed_are_found_in_a_book() {
    let (answers, code) = doubts_of_frozen("v1.json");
    assert_eq!(code, 1);
    assert_eq!(found(&answers), [("1.1", "contested"), ("book", "clock")]);
    let message = answers[0]["message"].as_str().unwrap();
    assert!(message.contains("note"), "{message}");
    let message = answers[1]["message"].as_str().unwrap();
    assert!(message.contains("went back by 27 years"), "{message}");
}

#[test]
fn a_place_that_cannot_be_is_doubted_with_its_limit() {
    let places = [
        (
            91.0,
            -3.0,
            None,
            "latitude `91` is over 90; were latitude and longitude exchanged?",
        ),
        (
            52.0,
            190.0,
            None,
            "longitude `190` is over 180; the other way round it is -170",
        ),
        (
            1e308,
            -1e308,
            None,
            "latitude `1e308` is over 90; type the position again",
        ),
        (
            52.0,
            -3.0,
            Some(1e308),
            "height `1e308` is not from -12000 to 10000 m; leave it out, or type the position again",
        ),
        (
            52.0,
            -190.1,
            None,
            "longitude `-190.1` is over 180; the other way round it is 169.9",
        ),
        (-90.0, 180.0, Some(8_849.0), ""),
    ];
    let entries: Vec<Entry> = (1..)
        .zip(places)
        .map(|(number, (latitude, longitude, height_m, _))| {
            let position = Position {
                latitude,
                longitude,
                height_m,
                source: "typed".to_owned(),
                ..Position::default()
            };
            let station = Station {
                number,
                at: format!("2026-06-{number:02}T09:00:00+01:00"),
                position: Some(position),
                ..Station::default()
            };
            let stamp = Stamp {
                by: "Q.V.".to_owned(),
                device: format!("d{number}"),
                counter: 1,
                at: "2026-06-14T09:00:00+01:00".to_owned(),
            };
            let record = format!("s{number}");
            let body = Some(Body::Station(station));
            Entry::new((&*record).into(), [], stamp, Act::Write, None, body)
        })
        .collect();
    let path = file("beyond.json", book::write(&entries, &Written::default()));
    let out = check(&["--format", "json", path.to_str().unwrap()], "");
    let answers = answers(&out);
    let messages: Vec<(&str, &str)> = answers
        .iter()
        .filter(|answer| answer["doubt"] == "out-of-range")
        .map(|answer| {
            (
                answer["reading"].as_str().unwrap(),
                answer["message"].as_str().unwrap(),
            )
        })
        .collect();
    for (number, (.., words)) in (1..).zip(places) {
        let number = format!("{number}");
        let found = messages.iter().find(|(station, _)| *station == number);
        assert_eq!(found.map_or("", |(_, message)| message), words);
    }
    assert_eq!(messages.len(), 6, "both numbers of the third: {messages:?}");
    let shown = run::run("show", &[path.to_str().unwrap()]).out;
    assert!(
        shown.contains("1e308, -1e308") && shown.len() < 2_000,
        "{shown}"
    );
}

#[test]
fn a_name_forges_no_line_and_drives_no_terminal() {
    let input = "reading,kind,strike,dip\n\"a\n0 doubts\",\"bed\u{1b}[2J\nb  joint\",045,95\n";
    let out = check(&["-"], input);
    let text = String::from_utf8(out.stdout).unwrap();
    assert!(
        text.starts_with("a\\n0 doubts  bed\\u{1b}[2J\\nb  joint"),
        "{text}"
    );
    assert!(!text.contains('\u{1b}'));
}

#[test]
fn a_record_that_cannot_be_read_is_told_and_passed_over() {
    let stamp = Stamp {
        by: "Q.V.".to_owned(),
        device: "d".to_owned(),
        counter: 1,
        at: "2026-06-14T09:00:00+01:00".to_owned(),
    };
    let content = json!({"station": {"number": -1}});
    let body = Body::Unknown(content.as_object().unwrap().clone());
    let entry = Entry::new("s".into(), [], stamp, Act::Write, None, Some(body));
    let path = file("unread.json", book::write(&[entry], &Written::default()));
    let out = check(&[path.to_str().unwrap()], "");
    let said = String::from_utf8(out.stderr).unwrap();
    assert_eq!(out.status.code(), Some(0), "{said}");
    assert!(
        said.contains("1 record is of a kind, or of a content, that this version cannot read; it was passed over"),
        "{said}"
    );
}

#[test]
fn what_could_not_be_read_is_not_counted() {
    let out = check(&["no-such-book.json"], "");
    assert_eq!((out.status.code(), &*out.stdout), (Some(2), &b""[..]));
    assert!(!out.stderr.is_empty());
}

#[test]
fn a_damaged_book_is_unreadable_with_line_and_column() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("public/demo.json");
    let whole = fs::read_to_string(path).unwrap();
    let cut = whole.len() / 2;
    let cut = (cut..).find(|at| whole.is_char_boundary(*at)).unwrap();
    let (answers, code, said) = check_json(&[], &whole[..cut]);
    assert_eq!((answers.len(), code), (0, 2));
    assert!(said.contains("line ") && said.contains("column "), "{said}");
}

/// A table of any length takes the room of a row.
#[test]
fn a_long_table_is_answered_as_it_is_read() {
    let mut child = run::camp()
        .args(["check", "--format", "json", "--all", "-"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let mut stdin = child.stdin.take().unwrap();
    let mut stdout = std::io::BufReader::new(child.stdout.take().unwrap());
    // Rows go in until the first answer has come out: it comes before the table has ended.
    let writer = thread::spawn(move || {
        stdin.write_all(b"reading,strike,dip\n").unwrap();
        let mut written = 0_u32;
        while stdin.write_all(b"a,045,30\n").is_ok() {
            written += 1;
        }
        written
    });
    let mut line = String::new();
    std::io::BufRead::read_line(&mut stdout, &mut line).unwrap();
    let answer: Value = serde_json::from_str(&line).unwrap();
    assert_eq!(answer["reading"], "a");
    // Whoever reads the answers leaves: the command ends, and with it the table.
    drop(stdout);
    assert_eq!(child.wait().unwrap().code(), Some(0));
    assert!(writer.join().unwrap() > 0);
}

#[test]
fn misuse_ends_with_two_and_help_teaches() {
    for args in [&[][..], &["--format", "xml", "-"], &["--unknown", "-"]] {
        let out = check(args, "");
        assert_eq!(out.status.code(), Some(2), "{args:?}");
        assert!(out.stdout.is_empty(), "{args:?}");
    }
    let help = String::from_utf8(check(&["--help"], "").stdout).unwrap();
    for taught in [
        "sd_bearing",
        "right-hand rule",
        "probability",
        "explanations",
        "Exit code:",
        "Examples:",
        "camp check",
        "--all",
    ] {
        assert!(help.contains(taught), "{taught} is missing from:\n{help}");
    }
}

/// A table may call the side what people call it; two columns of it that say the same do no harm.
#[test]
fn a_side_may_stand_under_its_own_name() {
    let (found, code, err) = check_json(&[], "reading,strike,dip,side\n1,045,30,NE\n2,225,30,SE\n");
    assert_eq!(code, 1, "{err}");
    let readings: Vec<&Value> = found.iter().map(|one| &one["reading"]).collect();
    assert_eq!(readings, ["1"]);
    let two = "reading,strike,dip,side,dip direction\n1,045,30,SE,135\n";
    assert_eq!(check_json(&[], two).1, 0);
    for (row, words) in [
        ("2,045,30,SE,315", "which lie opposite each other"),
        ("3,045,30,SE,NW", "second dip direction"),
    ] {
        let (_, code, err) = check_json(&[], format!("{two}{row}\n"));
        assert_eq!(code, 2, "{err}");
        assert!(err.contains(words), "{err}");
    }
}
