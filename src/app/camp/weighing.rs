//! A page without a link: a thousand single saves by the store, for `workbench bench`.

use leptos::prelude::*;
use leptos::task::spawn_local;

use crate::app::parts::clock;
use crate::notebook::{Act, Body, Entry, Reading, RecordId, Shot, Stamp};
use crate::store::{Batch, Store};

/// Saves.
const SAVES: u64 = 1000;

/// The database they go to; it is thrown away.
const NAME: &str = "hingeline-weigh";

/// What one shot more keeps: the reading's new revision, its draft's end, this tablet's own row.
fn save(counter: u64) -> Batch {
    let shot = |n: u64| Shot {
        strike: Some(format!("{:03}", (counter + n) % 360)),
        dip: Some(format!("{:02}", (counter + n) % 90)),
        side: Some("SE".to_owned()),
        at: "2026-06-14T14:52:10.120+02:00".to_owned(),
        ..Shot::default()
    };
    let reading = Reading {
        station: "6d0c2c1e-71f5-4a10-9d8e-000000000047".to_owned(),
        number: 3,
        kind: "bedding".to_owned(),
        shots: vec![shot(0), shot(1)],
        ..Reading::default()
    };
    let stamp = Stamp {
        by: "QV".to_owned(),
        device: "0b5e51aa-c4f7-4000-8000-000000000001".to_owned(),
        counter,
        at: "2026-06-14T14:52:10.120+02:00".to_owned(),
    };
    let record = RecordId::from(format!("6d0c2c1e-71f5-4a10-9d8e-{counter:012}"));
    let entry = Entry::new(
        record,
        [],
        stamp,
        Act::Write,
        None,
        Some(Body::Reading(reading)),
    );
    Batch {
        entries: vec![(entry.id().to_string(), entry.text().to_owned())],
        drafts: vec![("open".to_owned(), None)],
        state: vec![(
            "settings".to_owned(),
            Some(format!("{{\"counter\":{counter}}}")),
        )],
        ..Batch::default()
    }
}

async fn weigh() -> Result<String, String> {
    let store = Store::open(NAME, |_| ()).await.map_err(|e| e.to_string())?;
    let mut took_ms = [0.0; 2];
    for (round, took_ms) in (0..).zip(&mut took_ms) {
        let from_ms = clock::running_ms();
        for counter in 1..=SAVES {
            let mut batch = save(counter + round * SAVES);
            if round == 0 {
                batch.drafts.clear();
                batch.state.clear();
            }
            store.commit(batch).await.map_err(|e| e.to_string())?;
        }
        *took_ms = clock::running_ms() - from_ms;
    }
    store.close();
    Store::delete(NAME).await.map_err(|e| e.to_string())?;
    let [one, all] = took_ms;
    Ok(format!(
        "{one:.0} {all:.0} milliseconds for {SAVES} saves of an entry, and of an entry, a draft and a state"
    ))
}

/// Saves and says how long it took.
#[component]
pub(in crate::app) fn StoreWeigh() -> impl IntoView {
    let words = RwSignal::new(String::new());
    spawn_local(async move {
        let outcome = weigh().await;
        words.set(outcome.unwrap_or_else(|error| format!("milliseconds are not known: {error}")));
    });
    view! { <main class="room"><p role="status" data-testid="store-weighed">{words}</p></main> }
}
