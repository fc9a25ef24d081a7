//! `camp import` as it is run: what a table brings, what is said of it, and that nothing is written but the whole.

#![cfg(not(target_arch = "wasm32"))]

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use hingeline::exchange::book;
use hingeline::notebook::{Ledger, North, Pages};
use serde_json::Value;

/// A folder of one test, empty at its beginning.
fn folder(name: &str) -> PathBuf {
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(format!("camp-import-{name}"));
    let _ = fs::remove_dir_all(&folder);
    fs::create_dir_all(&folder).expect("a folder");
    folder
}

struct Run {
    out: String,
    err: String,
    code: i32,
}

impl Run {
    fn json(&self) -> Value {
        serde_json::from_str(&self.out).expect("JSON")
    }
}

fn camp(folder: &Path, args: &[&str]) -> Run {
    let output = Command::new(env!("CARGO_BIN_EXE_camp"))
        .args(args)
        .current_dir(folder)
        .output()
        .expect("camp starts");
    Run {
        out: String::from_utf8(output.stdout).expect("text"),
        err: String::from_utf8(output.stderr).expect("text"),
        code: output.status.code().expect("an exit code"),
    }
}

fn pages(folder: &Path, name: &str) -> Pages {
    let file = book::read_bytes(&fs::read(folder.join(name)).expect("a file")).expect("a book");
    Pages::of(&file.entries.into_iter().collect::<Ledger>())
}

const TABLE: &str =
    "Stop;Azimut;Einfallen;Seite;Farbe\n1;45,5;30;SE;grey\n1;361;30;SE;\n2;50;28;SE;red\n";

#[test]
fn a_table_is_told_before_it_is_brought() {
    let folder = folder("told");
    fs::write(folder.join("outcrops.csv"), TABLE).expect("written");
    let told = camp(&folder, &["import", "outcrops.csv"]);
    assert_eq!(told.code, 0, "{}", told.out);
    assert!(
        told.out.contains("columns between semicolons"),
        "{}",
        told.out
    );
    assert!(told.out.contains("Farbe: kept"), "{}", told.out);
    assert!(
        told.out.contains("nothing is written; -o names"),
        "{}",
        told.out
    );
    let columns = [
        "--column",
        "Azimut=strike",
        "--column",
        "3=dip",
        "--column",
        "Seite=side",
    ];
    let mut args = vec![
        "import",
        "outcrops.csv",
        "-o",
        "book.json",
        "--north",
        "magnetic",
    ];
    args.extend([
        "--declination",
        "2.5W",
        "--kind",
        "bedding",
        "--format",
        "json",
    ]);
    args.extend(columns);
    let done = camp(&folder, &args);
    assert_eq!(done.code, 1, "{}{}", done.out, done.err);
    let answer = done.json();
    assert_eq!(answer["words"], "3 of 3 rows: 3 readings at 2 new stations");
    assert_eq!(answer["findings"][0]["heading"], Value::Null);
    assert_eq!(
        answer["findings"][0]["words"],
        "strike `361` is over 360; perhaps the first 0 was left out"
    );
    assert_eq!(answer["asks"], serde_json::json!([]));
    let pages = pages(&folder, "book.json");
    assert_eq!((pages.stations().len(), pages.readings()), (2, 3));
    let reading = pages.stations()[0].readings()[0]
        .reading()
        .expect("a reading")
        .clone();
    assert_eq!(
        (reading.kind.as_str(), reading.north),
        ("bedding", North::Magnetic)
    );
    assert_eq!(reading.shots[0].strike.as_deref(), Some("045.5"));
    assert_eq!(reading.note, "Farbe: grey");
    assert_eq!(reading.from.expect("an origin").row, "1;45,5;30;SE;grey");
    // The book that was made is whole.
    assert_eq!(camp(&folder, &["doctor", "book.json"]).code, 0);
    // Something is there already.
    let again = camp(&folder, &["import", "outcrops.csv", "-o", "book.json"]);
    assert_eq!(again.code, 2);
    assert!(again.err.contains("--force"), "{}", again.err);
}

#[test]
fn the_same_table_again_adds_nothing_and_writes_nothing() {
    let folder = folder("again");
    fs::write(
        folder.join("t.csv"),
        "station,strike,dip,toward\n1,045,30,135\n",
    )
    .expect("written");
    assert_eq!(camp(&folder, &["import", "t.csv", "-o", "a.json"]).code, 0);
    let again = camp(
        &folder,
        &["import", "t.csv", "--into", "a.json", "-o", "b.json"],
    );
    assert_eq!(again.code, 1);
    assert!(
        again.out.contains("the 1 row is here already"),
        "{}",
        again.out
    );
    assert!(again.out.contains("nothing is written"), "{}", again.out);
    assert!(!folder.join("b.json").exists());
}

#[test]
fn what_was_handed_over_comes_back() {
    let folder = folder("back");
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("public/demo.json");
    let demo = demo.to_str().expect("a path");
    let over = camp(
        &folder,
        &["hand-over", demo, "--format", "csv", "-o", "csv"],
    );
    assert_eq!(over.code, 0, "{}", over.err);
    let first = camp(&folder, &["import", "csv/stations.csv", "-o", "a.json"]);
    assert_eq!(first.code, 0, "{}{}", first.out, first.err);
    camp(
        &folder,
        &[
            "import",
            "csv/shots.csv",
            "--into",
            "a.json",
            "-o",
            "b.json",
        ],
    );
    let demo = book::read_bytes(&fs::read(demo).expect("a file")).expect("a book");
    let demo = Pages::of(&demo.entries.into_iter().collect::<Ledger>());
    let back = pages(&folder, "b.json");
    assert_eq!(back.stations().len(), demo.stations().len());
    let standing = |pages: &Pages| {
        let pages = pages.stations().iter();
        let lines = pages.flat_map(|page| page.readings());
        lines.filter(|line| !line.is_struck_out()).count()
    };
    assert_eq!(standing(&back), standing(&demo));
    assert_eq!(camp(&folder, &["doctor", "b.json"]).code, 0);
}

#[test]
fn rows_with_doubts_can_be_left_out() {
    let folder = folder("left");
    fs::write(
        folder.join("t.csv"),
        "station,strike,dip,toward\n1,045,30,135\n2,045,95,135\n",
    )
    .expect("written");
    let args = [
        "import",
        "t.csv",
        "-o",
        "a.json",
        "--leave-out-doubted",
        "--format",
        "json",
    ];
    let done = camp(&folder, &args);
    assert_eq!(done.code, 1);
    assert_eq!(done.json()["rows"]["left_out"], 1);
    assert_eq!(pages(&folder, "a.json").readings(), 1);
}

#[test]
fn misuse_names_the_value_and_the_way_out() {
    let folder = folder("misuse");
    fs::write(folder.join("t.csv"), "station,strike,dip\n1,045,30\n").expect("written");
    for (args, wanted) in [
        (
            vec!["import", "nowhere.csv"],
            "nowhere.csv: it could not be read",
        ),
        (vec!["import", "t.csv", "--column", "strike"], "has no `=`"),
        (
            vec!["import", "t.csv", "--column", "strike=slope"],
            "`slope` is none of station",
        ),
        (
            vec!["import", "t.csv", "--column", "9=dip"],
            "there is no column `9`; there is station, strike, dip",
        ),
        (
            vec!["import", "t.csv", "--zone", "99"],
            "`99` is no zone of UTM, as 33N",
        ),
        (
            vec!["import", "t.csv", "--declination", "west"],
            "`west` is not a number of degrees",
        ),
        (
            vec!["import", "t.csv", "--into", "t.csv", "-o", "a.json"],
            "t.csv",
        ),
    ] {
        let run = camp(&folder, &args);
        assert_eq!(run.code, 2, "{args:?}");
        assert!(run.err.contains(wanted), "{args:?}: {}", run.err);
    }
    assert!(!folder.join("a.json").exists());
}
