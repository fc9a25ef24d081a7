//! A keyboard alone: after every act the focus is on something that is seen, never on the bare page.

use std::fs;

use hingeline::notebook::{Body, Station};
use serde_json::json;
use thirtyfour::Key;

use crate::bench::{Profile, SIZES, Server, Tablet, seat};
use crate::joining::{Desk, KO, MT, bedding, began, begin_with, station, tab_to};

/// The part that has the focus, once one has that lies in sight with nothing over it: its name, or its tag and words.
const HELD: &str = "
    const part = document.activeElement;
    if (!part || part === document.body) return null;
    const { left, top, right, bottom, width, height } = part.getBoundingClientRect();
    const within = left >= -1 && right <= innerWidth + 1 && top >= -1 && bottom <= innerHeight + 1;
    const [x, y] = [left + width / 2, top + Math.min(height, 20) / 2];
    const at = document.elementFromPoint(x, y);
    const seen = at && (part.contains(at) || at.contains(part));
    return width > 1 && height > 1 && within && seen
        ? part.dataset.testid ?? `${part.tagName}: ${part.innerText.trim()}` : null;";

async fn held(tablet: &Tablet<'_>, after: &str) -> String {
    let what = format!("something in sight has the focus after {after}");
    let part = tablet.until_true(&what, HELD, &[]).await;
    part.as_str().unwrap().to_owned()
}

/// The focus comes to a part, in sight.
async fn lands(tablet: &Tablet<'_>, after: &str, part: &str) {
    let script = format!(
        "const held = (() => {{ {HELD} }})(); return held === arguments[0] || held?.startsWith(arguments[0])"
    );
    let what = format!("the focus is at `{part}` after {after}");
    tablet.until_true(&what, &script, &[json!(part)]).await;
}

/// Goes to a plate with Tab, and presses it.
async fn act(tablet: &Tablet<'_>, part: &str, key: Key) {
    tab_to(tablet, part).await;
    tablet.press_key(key, false).await;
}

fn named(name: &str) -> Option<Body> {
    match station(1, 54.1) {
        Some(Body::Station(station)) => Some(Body::Station(Station {
            name: name.to_owned(),
            ..station
        })),
        other => other,
    }
}

/// Joined, one conflict and then the next settled, undone, a number that stands twice put right: the focus goes from what was
/// done to what came of it.
#[tokio::test]
async fn the_focus_goes_from_the_plan_to_its_end_and_from_one_conflict_to_the_next() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    let base = began();
    let mut own = Desk::new("KO", KO, &base);
    own.write("r", bedding("s1", 11, "067", "38", ""));
    own.write("s1", named("Slab top"));
    own.write("own2", station(2, 54.2));
    let mut other = Desk::new("MT", MT, &base);
    other.write("r", bedding("s1", 11, "067", "83", ""));
    other.write("s1", named("Upper slab"));
    other.write("other2", station(2, 54.9));
    let files = [
        own.file(&profile, "own.json"),
        other.file(&profile, "other.json"),
    ];
    begin_with(&tablet, &server, &files[0]).await;
    lands(&tablet, "turning to Camp", "H2: Back up").await;
    tablet.size(SIZES[2]).await;
    tablet.open_files(&[&files[1]]).await;
    held(&tablet, "opening a file").await;
    act(&tablet, "join-leave", Key::Enter).await;
    lands(&tablet, "leaving the plan", "join-nothing").await;
    tablet.open_files(&[&files[1]]).await;
    act(&tablet, "join-apply", Key::Enter).await;
    tablet.reads("import-report", "none was lost").await;
    lands(&tablet, "joining", "import-report").await;

    act(&tablet, "settle-1", Key::Enter).await;
    tablet.see("settle-title").await;
    lands(&tablet, "opening a conflict", "settle-title").await;
    let first = tablet.words("settle-title").await;
    act(&tablet, "take-b", Key::Space).await;
    tablet
        .until_true(
            "the next conflict is there",
            "const title = document.querySelector('[data-testid=\"settle-title\"]')?.innerText;
             return title && title !== arguments[0]",
            &[json!(first)],
        )
        .await;
    lands(&tablet, "taking a version", "settle-title").await;
    act(&tablet, "take-a", Key::Enter).await;
    tablet.see("settled").await;
    lands(&tablet, "taking the last", "H1: Nothing disagrees").await;
    tablet.kept().await;
    act(&tablet, "undo", Key::Enter).await;
    tablet.see("settle-title").await;
    held(&tablet, "undoing it").await;
    act(&tablet, "take-a", Key::Enter).await;
    tablet.see("settled").await;
    lands(&tablet, "taking it again", "H1: Nothing disagrees").await;
    act(&tablet, "settled-history", Key::Enter).await;
    tablet.see("history").await;
    lands(&tablet, "opening the history", "H1: ").await;

    tablet.go(&server.at("/camp/join")).await;
    act(&tablet, "twins-renumber-1", Key::Enter).await;
    tablet.miss("twins-renumber-1").await;
    held(&tablet, "a new number").await;
    act(&tablet, "join-camp", Key::Enter).await;
    tablet.see("camp").await;
    lands(&tablet, "turning to Camp", "H2: Back up").await;
    // The places by their letters.
    for (letter, part) in [("t", "day-title"), ("c", "H2: Back up"), ("o", "H1: ")] {
        tablet
            .run(
                "document.activeElement.dispatchEvent(new KeyboardEvent('keydown',
                     { altKey: true, bubbles: true, code: `Key${arguments[0].toUpperCase()}`, key: arguments[0] }))",
                &[json!(letter)],
            )
            .await;
        lands(&tablet, &format!("Alt+{letter}"), part).await;
    }
    tablet.is_quiet().await;
}

/// The page for handing over, a table that is brought in and taken back.
#[tokio::test]
async fn the_focus_stays_in_sight_through_a_hand_over_and_a_table() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    tablet.go(&server.at("/")).await;
    act(&tablet, "start-new", Key::Enter).await;
    tab_to(&tablet, "start-initials").await;
    tablet.press("QV").await;
    act(&tablet, "start-go", Key::Enter).await;
    tablet.see("new-station").await;
    lands(&tablet, "starting the book", "H1: No station yet").await;
    act(&tablet, "place-camp", Key::Enter).await;
    tablet.see("open-table").await;
    let table = profile.downloads().join("plain.csv");
    fs::write(
        &table,
        "station,kind,strike,dip,toward,colour\n1,bedding,045,30,135,grey\n2,bedding,045,95,135,red\n",
    )
    .unwrap();
    tablet.give("open-table", &table).await;
    tablet.see("bring-count").await;
    lands(&tablet, "opening a table", "H1: Bring in a table").await;
    act(&tablet, "column-what-6", Key::Enter).await;
    act(&tablet, "what-lithology", Key::Space).await;
    tablet.miss("what-lithology").await;
    lands(&tablet, "saying what a column is", "column-what-6").await;
    act(&tablet, "bring-leave", Key::Enter).await;
    lands(&tablet, "leaving the table", "bring-nothing").await;
    tablet.give("open-table", &table).await;
    act(&tablet, "bring-take", Key::Enter).await;
    tablet.reads("bring-done", "2 of 2 rows").await;
    lands(&tablet, "taking the table", "bring-done").await;
    act(&tablet, "undo", Key::Enter).await;
    tablet.reads("undo", "Redo").await;
    held(&tablet, "taking it back").await;
    tablet.reads("undo-said", "undone: table").await;
    tablet.press_key(Key::Enter, false).await;
    tablet.reads("undo", "Undo").await;
    tablet.reads("undo-said", "done again: table").await;
    held(&tablet, "doing it again").await;

    act(&tablet, "bring-camp", Key::Enter).await;
    act(&tablet, "hand-over", Key::Enter).await;
    tablet.see("hand-over-make").await;
    lands(&tablet, "opening the hand-over", "H1: Hand over").await;
    for (plate, key) in [
        ("format-csv", Key::Enter),
        ("which-days", Key::Space),
        ("which-stations", Key::Enter),
        ("over-key-1", Key::Space),
        ("which-all", Key::Enter),
        ("hand-over-make", Key::Enter),
    ] {
        act(&tablet, plate, key).await;
        lands(&tablet, plate, plate).await;
    }
    tablet
        .reads("hand-over-report", "Handed to the browser")
        .await;
    lands(&tablet, "making the file", "hand-over-make").await;
    act(&tablet, "hand-over-back", Key::Enter).await;
    // A plate that waits for its file takes the focus again.
    act(&tablet, "backup", Key::Enter).await;
    tablet
        .reads("backup-report", "handed to the browser's downloads")
        .await;
    lands(&tablet, "backing up", "backup").await;
    tablet.is_quiet().await;
}

/// Measuring: what opens and closes over the keypad, doubts that are settled, a reading that is struck out; the keys of the
/// keyboard go to the dials all along.
#[tokio::test]
async fn the_focus_stays_in_sight_while_measuring_and_leaves_the_keys_to_the_dials() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    tablet.go(&server.at("/")).await;
    act(&tablet, "start-new", Key::Enter).await;
    tab_to(&tablet, "start-initials").await;
    tablet.press("QV").await;
    act(&tablet, "start-go", Key::Enter).await;
    act(&tablet, "new-station", Key::Enter).await;
    tablet.see("measure").await;
    held(&tablet, "starting a station").await;
    act(&tablet, "fact-name", Key::Enter).await;
    tab_to(&tablet, "word-field").await;
    tablet.press("High Crag").await;
    act(&tablet, "word-keep", Key::Enter).await;
    tablet.miss("word-keep").await;
    lands(&tablet, "keeping a name", "fact-name").await;
    act(&tablet, "fact-name", Key::Space).await;
    act(&tablet, "word-leave", Key::Space).await;
    tablet.miss("word-leave").await;
    lands(&tablet, "leaving a name", "fact-name").await;
    act(&tablet, "measure", Key::Enter).await;
    tablet.see("key-0").await;
    lands(&tablet, "turning to the dials", "H1: High Crag").await;

    // Digits, the side, Enter for the next dial: all with the focus on the heading.
    tablet.press("45").await;
    tablet.dial("strike", "045").await;
    tablet.press("3").await;
    tablet.press_key(Key::Enter, false).await;
    tablet.dial("dip", "03").await;
    tablet.press("s").await;
    tablet.kept().await;
    lands(&tablet, "a reading", "H1: High Crag").await;

    act(&tablet, "words", Key::Enter).await;
    tablet.see("words-done").await;
    lands(&tablet, "opening the words", "H2: Tops").await;
    act(&tablet, "words-done", Key::Enter).await;
    tablet.miss("words-done").await;
    lands(&tablet, "closing the words", "sentence").await;
    act(&tablet, "kind-more", Key::Enter).await;
    act(&tablet, "all-joint", Key::Enter).await;
    tablet.miss("all-joint").await;
    held(&tablet, "choosing a kind").await;

    // A doubt of the sentence.
    tablet.press("04595").await;
    tablet.press("s").await;
    act(&tablet, "choice-0", Key::Enter).await;
    tablet.shows("sentence", "data-doubt", "").await;
    lands(&tablet, "settling a doubt", "sentence").await;
    act(&tablet, "undo", Key::Enter).await;
    tablet.see("choice-0").await;
    lands(&tablet, "undoing it", "undo").await;

    // A doubt with a page of its own.
    act(&tablet, "next-reading", Key::Enter).await;
    act(&tablet, "kind-fault---line", Key::Enter).await;
    tablet.press("13258").await;
    tablet.press("n").await;
    tablet.press("32726148").await;
    act(&tablet, "doubt-open", Key::Enter).await;
    lands(&tablet, "opening a doubt", "doubt-heading").await;
    act(&tablet, "doubt-close", Key::Enter).await;
    lands(&tablet, "closing it", "doubt-open").await;
    tablet.press_key(Key::Enter, false).await;
    act(&tablet, "explain-0", Key::Enter).await;
    tablet.reads("sentence", "Settled").await;
    lands(&tablet, "accepting an explanation", "sentence").await;

    act(&tablet, "words", Key::Enter).await;
    act(&tablet, "strike-reading", Key::Enter).await;
    tablet.miss("strike-reading").await;
    held(&tablet, "striking out").await;
    tablet.kept().await;
    act(&tablet, "undo", Key::Enter).await;
    tablet.reads("undo", "Redo").await;
    held(&tablet, "putting it back").await;

    // Where the focus rests on a sentence, Enter is still the next dial.
    act(&tablet, "next-reading", Key::Enter).await;
    act(&tablet, "words", Key::Enter).await;
    act(&tablet, "words-done", Key::Enter).await;
    lands(&tablet, "closing the words", "sentence").await;
    tablet.press("1").await;
    tablet.press_key(Key::Enter, false).await;
    tablet.dial("strike", "001").await;
    tablet.is_quiet().await;
}

/// Under a finger the focus goes the same way, for whoever listens, and no ring is drawn.
#[tokio::test]
async fn a_finger_sees_no_ring_where_the_focus_lands() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    tablet.begin(&server).await;
    let plain = |after: &'static str, part: &'static str| {
        let tablet = &tablet;
        async move {
            lands(tablet, after, part).await;
            let ring = tablet
                .run(
                    "return getComputedStyle(document.activeElement).outlineStyle",
                    &[],
                )
                .await;
            assert_eq!(ring, json!("none"), "after {after}");
        }
    };
    plain("turning to the dials", "H1: ").await;
    tablet.tap_bedding("04530").await;
    tablet.kept().await;
    tablet.tap("words").await;
    plain("opening the words", "H2: Tops").await;
    tablet.tap("words-done").await;
    plain("closing the words", "sentence").await;
    tablet.tap("words").await;
    tablet.tap("strike-reading").await;
    tablet.miss("strike-reading").await;
    plain("striking out", "sentence").await;
    tablet.place("camp").await;
    plain("turning to Camp", "H2: Back up").await;
    tablet.is_quiet().await;
}
