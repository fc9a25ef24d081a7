//! Failure 2 over every act of the evening: the database refuses one row after the other, and holds all of an act or nothing of it.

use std::fs;

use hingeline::exchange::{archive, book::Written};
use hingeline::notebook::{Act, Body, Entry, Photo, Stamp, photos};
use serde_json::json;

use crate::bench::{OWN, Profile, Rows, Server, Tablet, seat};
use crate::failing::faulty;
use crate::joining::{Desk, KO, MT, QV, bedding, began, begin_with, station};

/// Everything the database holds; of the photos their keys, which are made of their bytes.
type Everything = ([Rows; 3], Vec<String>);

async fn everything(tablet: &Tablet<'_>) -> Everything {
    let rows = [
        tablet.rows(OWN, "entries").await,
        tablet.rows(OWN, "drafts").await,
        tablet.rows(OWN, "state").await,
    ];
    (rows, tablet.keys(OWN, "photos").await)
}

/// The next transaction that writes is refused at this row; none where there is no such row.
async fn refuse(tablet: &Tablet<'_>, row: Option<usize>) {
    let fail = row.map(|_| "throw");
    tablet
        .run(
            "[window.fail, window.failAt, window.refused] = [arguments[0], arguments[1], 0]",
            &[json!(fail), json!(row.unwrap_or(0))],
        )
        .await;
}

/// Waits until a row was refused, or the words of a part begin otherwise than before; true where it was refused.
async fn was_refused(tablet: &Tablet<'_>, part: &str, done: &str) -> bool {
    let outcome = tablet
        .until_true(
            "a row is refused, or all is kept",
            "if (window.refused > 0) return 'refused';
             const words = document.querySelector(`[data-testid=\"${arguments[0]}\"]`)?.innerText.trim();
             return words?.startsWith(arguments[1]) ? 'done' : null",
            &[json!(part), json!(done)],
        )
        .await;
    outcome == json!("refused")
}

/// Taps a plate whose act is refused at its first row, then at its second when it is tried again, and so on until there is no such
/// row: only then is anything of it in the database. Gives how many rows it had, and what it added to the ledger.
async fn refused_row_by_row(tablet: &Tablet<'_>, plate: &str) -> (usize, usize) {
    tablet.kept().await;
    let before = everything(tablet).await;
    let mut row = 0;
    refuse(tablet, Some(row)).await;
    tablet.tap(plate).await;
    tablet
        .until_true("the first row is refused", "return window.refused > 0", &[])
        .await;
    loop {
        tablet.reads("head-state", "not kept").await;
        tablet.see("loud").await;
        assert_eq!(everything(tablet).await, before, "{plate}, row {row}");
        row += 1;
        assert!(row < 60, "{plate} has no end");
        refuse(tablet, Some(row)).await;
        tablet.tap("try-again").await;
        if !was_refused(tablet, "head-state", "kept").await {
            break;
        }
    }
    refuse(tablet, None).await;
    tablet.miss("loud").await;
    let after = everything(tablet).await;
    for (id, text) in &before.0[0] {
        assert_eq!(after.0[0].get(id), Some(text), "{plate}");
    }
    (row, after.0[0].len() - before.0[0].len())
}

/// A plate that takes what a person gave, whole or not at all: what it says where, when all is kept and when nothing is.
struct Given {
    plate: &'static str,
    done: (&'static str, &'static str),
    failed: (&'static str, &'static str),
    still: &'static str,
}

impl Given {
    /// Taps the plate with its first row refused, then its second, and so on until there is no such row; what was given stays to be
    /// tried again. Gives how many rows it had, and what there was before.
    async fn refused_row_by_row(&self, tablet: &Tablet<'_>) -> (usize, Everything) {
        let before = everything(tablet).await;
        let mut row = 0;
        loop {
            refuse(tablet, Some(row)).await;
            tablet.tap(self.plate).await;
            if !was_refused(tablet, self.done.0, self.done.1).await {
                break;
            }
            let report = tablet.reads(self.failed.0, self.failed.1).await;
            assert!(report.contains(self.still), "{report}");
            assert_eq!(everything(tablet).await, before, "row {row}");
            tablet.see(self.plate).await;
            row += 1;
            assert!(row < 60, "{} has no end", self.plate);
        }
        refuse(tablet, None).await;
        (row, before)
    }
}

/// A book of MT with a photo, as an archive.
fn archive_of_mt(profile: &Profile) -> std::path::PathBuf {
    let mut mt = Desk::new("MT", MT, &began());
    mt.write("s2", station(2, 54.2));
    mt.write("m", bedding("s2", 1, "070", "40", ""));
    let bytes: &[u8] = b"\xff\xd8\xff shade \xff\xd9";
    let sha256 = photos::sha256(bytes);
    mt.write(
        "p",
        Some(Body::Photo(Photo {
            station: "s2".to_owned(),
            number: 1,
            sha256: sha256.clone(),
            media: "image/jpeg".to_owned(),
            width: 4,
            height: 3,
            bytes: u32::try_from(bytes.len()).unwrap(),
            ..Photo::default()
        })),
    );
    let text = hingeline::exchange::book::write(mt.ledger.iter(), &Written::default());
    let path = profile.dir().join("mt.zip");
    fs::write(
        &path,
        archive::write(&text, [(sha256.as_str(), bytes)]).unwrap(),
    )
    .unwrap();
    path
}

/// An archive is joined with its entries, its photo, the draft and this tablet's row, or with none of them; the plan stays.
#[tokio::test]
async fn an_archive_is_joined_whole_or_not_at_all() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = faulty(&profile).await;
    let ko = Desk::new("KO", KO, &began()).file(&profile, "ko.json");
    begin_with(&tablet, &server, &ko).await;
    tablet.kept().await;
    tablet.open_files(&[&archive_of_mt(&profile)]).await;
    tablet.see("join-apply").await;
    let apply = Given {
        plate: "join-apply",
        done: ("import-report", "Joined"),
        failed: ("import-report", "nothing was written"),
        still: "The plan is still here",
    };
    let (row, before) = apply.refused_row_by_row(&tablet).await;
    // Three entries, a photo, two drafts and this tablet's own row.
    assert_eq!(row, 7);
    let after = everything(&tablet).await;
    assert_eq!(after.0[0].len(), before.0[0].len() + 3);
    assert_eq!((before.1.len(), after.1.len()), (0, 1));
    tablet.kept().await;
}

/// A table is brought in with every station and reading of it, or with none; the table and its matching stay to be tried again.
#[tokio::test]
async fn a_table_is_brought_in_whole_or_not_at_all() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = faulty(&profile).await;
    let ko = Desk::new("KO", KO, &began()).file(&profile, "ko.json");
    begin_with(&tablet, &server, &ko).await;
    tablet.kept().await;
    let table = profile.dir().join("table.csv");
    fs::write(
        &table,
        "station,kind,strike,dip,toward\n7,bedding,045,30,135\n7,joint,050,80,SE\n8,bedding,massive,30,135\n",
    )
    .unwrap();
    tablet.give("open-table", &table).await;
    tablet.see("bring-take").await;
    let take = Given {
        plate: "bring-take",
        done: ("bring-done", "Brought in"),
        failed: ("bring-failed", "Nothing was written"),
        still: "The table is still here",
    };
    let (row, before) = take.refused_row_by_row(&tablet).await;
    let after = everything(&tablet).await;
    let new = after.0[0].len() - before.0[0].len();
    // Two stations and three readings, two drafts and this tablet's own row.
    assert_eq!((new, row), (5, 8));
    for (id, text) in &before.0[0] {
        assert_eq!(after.0[0].get(id), Some(text));
    }
    // It is one act, and its undo is whole or not at all too.
    tablet.reads("undo", "Undo table, 5 records").await;
    assert_eq!(refused_row_by_row(&tablet, "undo").await, (8, 5));
}

/// Settling, its undo, new numbers, a tie, north put right over the whole book, and striking out.
#[tokio::test]
async fn every_act_of_the_evening_is_kept_whole_or_not_at_all() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = faulty(&profile).await;
    let base = began();
    let mut ko = Desk::new("KO", KO, &base);
    ko.write("r", bedding("s1", 11, "067", "38", ""));
    ko.write("own2", station(2, 54.2));
    let mut mt = Desk::new("MT", MT, &base);
    mt.write("r", bedding("s1", 11, "067", "83", ""));
    mt.write("their2", station(2, 54.9));
    let mut qv = Desk::new("QV", QV, &base);
    qv.write("far3", station(3, 54.100_01));
    let (ko, mt, qv) = (
        ko.file(&profile, "ko.json"),
        mt.file(&profile, "mt.json"),
        qv.file(&profile, "qv.json"),
    );
    begin_with(&tablet, &server, &ko).await;
    tablet.open_files(&[&mt, &qv]).await;
    tablet.tap("join-apply").await;
    tablet.reads("import-report", "none was lost").await;

    // Both as shots of one reading, and back.
    tablet.tap("settle-1").await;
    tablet.see("take-both").await;
    assert_eq!(refused_row_by_row(&tablet, "take-both").await, (4, 1));
    tablet.reads("undo", "undo settle").await;
    assert_eq!(refused_row_by_row(&tablet, "undo").await, (4, 1));
    tablet.see("take-a").await;
    // One entry, two drafts, this tablet's own row.
    assert_eq!(refused_row_by_row(&tablet, "take-a").await, (4, 1));
    tablet.reads("undo", "undo settle").await;
    assert_eq!(refused_row_by_row(&tablet, "undo").await, (4, 1));
    tablet.reads("undo", "redo settle").await;
    assert_eq!(refused_row_by_row(&tablet, "undo").await, (4, 1));

    tablet.place("camp").await;
    for (plate, words) in [
        ("twins-renumber", "Station 2 twice"),
        ("twins-tie", "Stations 1 and 3"),
    ] {
        let number = tablet
            .until_true(
                &format!("twins say {words}"),
                "return [1, 2, 3].find((n) =>
                     document.querySelector(`[data-testid=\"twins-${n}\"]`)?.innerText.includes(arguments[0])) ?? null",
                &[json!(words)],
            )
            .await;
        let plate = format!("{plate}-{number}");
        assert_eq!(refused_row_by_row(&tablet, &plate).await, (4, 1));
    }

    // North over all readings: an act of as many entries.
    tablet.tap("set-up-change").await;
    tablet.tap("set-up-wrong").await;
    tablet.reads("wrong-count", "11 readings").await;
    tablet.tap("right-east").await;
    tablet.tap("why-side").await;
    assert_eq!(refused_row_by_row(&tablet, "wrong-put").await, (14, 11));
    tablet.reads("undo", "11 records").await;
    assert_eq!(refused_row_by_row(&tablet, "undo").await, (14, 11));

    tablet.go(&server.at("/station/1")).await;
    tablet.tap("line-1-1").await;
    tablet.tap("words").await;
    tablet.write("strike-why", "another bed").await;
    let (_, entries) = refused_row_by_row(&tablet, "strike-reading").await;
    assert_eq!(entries, 1);
    let last: Entry = tablet
        .ledger()
        .await
        .values()
        .map(|text| Entry::from_json(text).unwrap())
        .find(|entry| *entry.act() == Act::StrikeOut)
        .unwrap();
    assert_eq!(last.why(), Some("another bed"));
    assert_ne!(*last.stamp(), Stamp::default());
}
