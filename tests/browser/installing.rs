//! A browser may keep a book of its own for the installed app: that is told before, and one file carries the book over.

use crate::bench::{Profile, Server, SetUp, Tablet, seat};
use crate::reaching::{Looker, axe};

/// As a tablet says that a page was opened from its home screen; the storage there is another one.
const FROM_HOME: &str = "Object.defineProperty(navigator, 'standalone', { value: true });";

/// Failure 12: in the tab, Camp says what installing does to the book; the installed app, which begins empty, says where the book
/// may be; and one file carries it over, entry by entry.
#[tokio::test]
async fn the_installed_app_is_told_of_before_and_one_file_carries_the_book_over() {
    let _seat = seat(false).await;
    let server = Server::start();
    let (tab, home) = (Profile::new(), Profile::new());
    let tablet = Tablet::start(&tab).await;
    tablet.begin(&server).await;
    tablet.tap_bedding("04530").await;
    tablet.kept().await;
    tablet.place("camp").await;
    let words = tablet.reads("installing", "home screen").await;
    assert!(
        words.contains("a book of its own") && words.contains("back up"),
        "{words}"
    );
    let file = tablet.back_up(&tab).await;
    let ledger = tablet.ledger().await;
    tablet.is_quiet().await;
    tablet.close().await;

    let set_up = SetUp {
        first: FROM_HOME,
        ..SetUp::default()
    };
    let tablet = Tablet::with(&home, set_up).await;
    tablet.go(&server.at("/")).await;
    let words = tablet.reads("installed", "installed app").await;
    assert!(words.contains("back it up there"), "{words}");
    let mut looker = Looker::new(axe());
    looker.look(&tablet, "start, in the installed app").await;
    looker.is_content();
    tablet.tap("start-was").await;
    assert!(tablet.open_file_unseen(&file).await);
    tablet.see("place-traverse").await;
    assert_eq!(tablet.ledger().await, ledger);
    tablet.place("traverse").await;
    tablet.tap("all-days").await;
    tablet.see("line-1-1").await;
    // There is nothing left to be told of.
    tablet.place("camp").await;
    tablet.see("backup").await;
    assert!(!tablet.has("installing").await);
    tablet.is_quiet().await;
}
