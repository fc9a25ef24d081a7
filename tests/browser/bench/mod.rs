//! The bench on which the app is tried: a server, a browser, and hands.

mod book;

mod hands;

mod process;

mod profile;

mod tablet;

pub(crate) use book::{OWN, Rows};
pub(crate) use hands::SIZES;
pub(crate) use process::{Server, dist};
pub(crate) use profile::Profile;
pub(crate) use tablet::{SetUp, Tablet};

use std::time::Duration;

/// The longest that any condition may take to come true; reached only where something is wrong.
pub(crate) const PATIENCE: Duration = Duration::from_secs(90);

/// How often a condition is looked at.
pub(crate) const GLANCE: Duration = Duration::from_millis(40);

/// The browsers that run at the same time, however many tests the runner starts.
static SEATS: tokio::sync::Semaphore = tokio::sync::Semaphore::const_new(2);

/// A seat at the bench; a test that measures time takes them all.
pub(crate) async fn seat(whole_bench: bool) -> tokio::sync::SemaphorePermit<'static> {
    SEATS
        .acquire_many(if whole_bench { 2 } else { 1 })
        .await
        .expect("the seats are never closed")
}
