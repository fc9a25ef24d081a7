//! A table from elsewhere: nothing is written before the person says so, then all of it in one commit, and one touch undoes it.

use std::fs;
use std::path::PathBuf;

use serde_json::Value;
use thirtyfour::Key;

use crate::bench::{Profile, Server, Tablet, seat};
use crate::joining::tab_to;
use crate::reaching::{Looker, axe};

/// Headings of another tongue, decimal commas, a number over its limit, a dip that is none, a colour that nobody asked for.
const TABLE: &str = "Stop;Azimut;Einfallen;Seite;Farbe\n1;45,5;30;SE;grey\n1;361;30;SE;\n2;50;28;SE;red\n2;52;massive;SE;\n";

/// A book of one's own with nothing in it.
pub(crate) async fn begin(tablet: &Tablet<'_>, server: &Server) {
    tablet.go(&server.at("/")).await;
    tablet.tap("start-new").await;
    tablet.write("start-initials", "QV").await;
    tablet.tap("start-go").await;
    tablet.see("new-station").await;
    tablet.place("camp").await;
    tablet.see("open-table").await;
}

pub(crate) fn file(profile: &Profile, name: &str, text: &str) -> PathBuf {
    let path = profile.downloads().join(name);
    fs::write(&path, text).unwrap();
    path
}

pub(crate) async fn open(tablet: &Tablet<'_>, path: &std::path::Path) {
    tablet.give("open-table", path).await;
    tablet.see("bring-count").await;
}

async fn match_column(tablet: &Tablet<'_>, column: usize, what: &str) {
    tablet.tap(&format!("column-what-{column}")).await;
    tablet.tap(&format!("what-{what}")).await;
    tablet.miss(&format!("what-{what}")).await;
}

/// The bodies of what stands in the ledger, of one kind.
async fn bodies(tablet: &Tablet<'_>, kind: &str) -> Vec<Value> {
    let ledger = tablet.ledger().await;
    let entries = ledger
        .values()
        .map(|text| serde_json::from_str::<Value>(text).unwrap());
    entries
        .filter_map(|entry| entry["body"].get(kind).cloned())
        .collect()
}

#[tokio::test]
async fn a_table_is_matched_looked_over_taken_and_undone() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    let mut looker = Looker::new(axe());
    begin(&tablet, &server).await;
    let before = tablet.ledger().await;
    let path = file(&profile, "outcrops.csv", TABLE);
    open(&tablet, &path).await;
    tablet
        .reads("bring-count", "4 of 4 rows: 2 new stations")
        .await;
    looker.look(&tablet, "a table, nothing matched").await;
    tablet.tap("column-what-2").await;
    tablet.see("what-strike").await;
    looker.look(&tablet, "a table, what a column can be").await;
    tablet.tap("what-strike").await;
    match_column(&tablet, 3, "dip").await;
    match_column(&tablet, 4, "side").await;
    tablet.tap("north-magnetic").await;
    tablet.shows("north-magnetic", "aria-pressed", "true").await;
    tablet.tap("kind-bedding").await;
    tablet
        .reads("bring-count", "4 of 4 rows: 4 readings at 2 new stations")
        .await;
    // The number over its limit and the dip that is none are shown before anything is taken, each with its row as it stands.
    tablet.reads("bring-row-3", "strike 361 is over 360").await;
    tablet.reads("bring-row-5", "massive is not a dip").await;
    tablet.tap("bring-open-5").await;
    tablet.reads("bring-row-5", "2;52;massive;SE;").await;
    looker.look(&tablet, "a table with its doubts").await;
    tablet.tap("bring-turn-5").await;
    tablet.reads("bring-take", "Take 3 of 4 rows").await;
    assert_eq!(tablet.ledger().await, before, "written before it was taken");
    tablet.tap("bring-take").await;
    tablet
        .reads("bring-done", "3 of 4 rows: 3 readings at 2 new stations")
        .await;
    looker.look(&tablet, "a table that was taken").await;
    let after = tablet.ledger().await;
    assert_eq!(after.len(), before.len() + 5);
    let readings = bodies(&tablet, "reading").await;
    assert_eq!(readings.len(), 3);
    for reading in &readings {
        assert_eq!(reading["kind"], "bedding");
        assert_eq!(reading["north"], "magnetic");
        assert_eq!(reading["from"]["table"], "outcrops.csv");
    }
    let rows: Vec<&str> = readings
        .iter()
        .filter_map(|r| r["from"]["row"].as_str())
        .collect();
    assert!(rows.contains(&"1;45,5;30;SE;grey"), "{rows:?}");
    // The same file again: what is here does not come twice, and the row that was left out may still come.
    open(&tablet, &path).await;
    for (column, what) in [(2, "strike"), (3, "dip"), (4, "side")] {
        match_column(&tablet, column, what).await;
    }
    tablet.reads("bring-account", "3 rows here already").await;
    tablet.tap("bring-leave").await;
    tablet.see("bring-nothing").await;
    // It is one act.
    tablet.reads("undo", "Undo table, 5 records").await;
    tablet.tap("undo").await;
    tablet.reads("undo", "Redo table, 5 records").await;
    tablet.kept().await;
    tablet.tap("undo").await;
    tablet.reads("undo", "Undo table, 5 records").await;
    tablet.place("outcrop").await;
    tablet.go(&server.at("/traverse/all")).await;
    tablet.see("station-row-2").await;
    // By lamp too.
    tablet.place("camp").await;
    tablet.tap("light-lamp").await;
    let doubted = file(
        &profile,
        "doubted.csv",
        "station,strike,dip,toward\n7,045,95,135\n",
    );
    open(&tablet, &doubted).await;
    tablet.see("bring-row-2").await;
    looker.look(&tablet, "a table with a doubt, lamp").await;
    looker.is_content();
    tablet.is_quiet().await;
}

#[tokio::test]
async fn a_table_that_was_taken_back_is_said_to_be_and_comes_in_again() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    begin(&tablet, &server).await;
    let path = file(
        &profile,
        "plain.csv",
        "station,kind,strike,dip,toward\n1,bedding,045,30,135\n",
    );
    open(&tablet, &path).await;
    tablet.tap("bring-take").await;
    tablet.reads("bring-done", "Brought in.").await;
    tablet.reads("bring-done", "Undo takes back all").await;
    tablet.tap("undo").await;
    tablet.shows("bring-done", "data-undone", "true").await;
    let said = tablet.words("bring-done").await;
    assert!(
        said.starts_with("Taken back.") && said.contains("plain.csv") && said.contains("Redo"),
        "{said}"
    );
    assert!(!said.contains("Brought in"), "{said}");
    let mut looker = Looker::new(axe());
    looker.look(&tablet, "a table that was taken back").await;
    tablet.tap("undo").await;
    tablet.shows("bring-done", "data-undone", "false").await;
    tablet.reads("bring-done", "Brought in.").await;
    tablet.tap("undo").await;
    tablet.shows("bring-done", "data-undone", "true").await;
    // The file, opened once more, comes in again too.
    open(&tablet, &path).await;
    tablet.tap("bring-take").await;
    tablet
        .reads("bring-done", "1 of 1 row: 1 reading at 1 new station")
        .await;
    tablet.kept().await;
    tablet.reads("undo", "Undo table, 2 records").await;
    tablet.place("traverse").await;
    tablet.tap("all-days").await;
    tablet.reads("summary", "1 reading").await;
    looker.is_content();
    tablet.is_quiet().await;
}

#[tokio::test]
async fn a_table_is_taken_with_a_keyboard_alone() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    begin(&tablet, &server).await;
    let path = file(
        &profile,
        "plain.csv",
        "station,kind,strike,dip,toward,colour\n1,bedding,045,30,135,grey\n",
    );
    open(&tablet, &path).await;
    tab_to(&tablet, "column-what-6").await;
    tablet.press_key(Key::Enter, false).await;
    tab_to(&tablet, "what-lithology").await;
    tablet.press_key(Key::Enter, false).await;
    tablet.reads("column-what-6", "lithology").await;
    tablet
        .until_true(
            "the focus is back at the column",
            "return document.activeElement?.dataset.testid === 'column-what-6'",
            &[],
        )
        .await;
    tab_to(&tablet, "bring-take").await;
    tablet.press_key(Key::Enter, false).await;
    tablet
        .reads("bring-done", "1 of 1 row: 1 reading at 1 new station")
        .await;
    assert_eq!(bodies(&tablet, "station").await[0]["lithology"], "grey");
    tablet.is_quiet().await;
}

#[tokio::test]
async fn what_is_no_table_is_named_and_changes_nothing() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    begin(&tablet, &server).await;
    let before = tablet.ledger().await;
    for (name, text, wanted) in [
        ("book.csv", "PK\u{3}\u{4}zip", "a spreadsheet or an archive"),
        ("empty.csv", "", "the file is empty"),
        (
            "script.csv",
            "station,note\n<script>window.hit=1</script>,x\n",
            "1 of 1 row",
        ),
    ] {
        let path = file(&profile, name, text);
        open(&tablet, &path).await;
        tablet.reads("bring-page", wanted).await;
        tablet.tap("bring-leave").await;
        tablet.see("bring-nothing").await;
    }
    assert_eq!(
        tablet.run("return window.hit ?? null", &[]).await,
        Value::Null
    );
    assert_eq!(tablet.ledger().await, before);
    tablet.is_quiet().await;
}
