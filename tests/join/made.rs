//! Books made for these tests: entry by entry, on tablets of any name.

use hingeline::notebook::join::Incoming;
use hingeline::notebook::{
    Act, Body, Entry, EntryId, Ledger, Position, Reading, Shot, Stamp, State, Station,
};

pub(crate) fn entries(ledger: &Ledger) -> Vec<Entry> {
    ledger.iter().cloned().collect()
}

pub(crate) fn incoming(entries: &[Entry]) -> Incoming<'_> {
    Incoming {
        beyond: &[],
        by: "",
        device: "",
        at: "",
        entries,
    }
}

pub(crate) fn stamp(device: &str, counter: u64) -> Stamp {
    Stamp {
        by: device.to_uppercase(),
        device: device.to_owned(),
        counter,
        at: format!("2026-06-14T09:{:02}:00+02:00", counter % 60),
    }
}

/// An entry on top of what the ledger says.
pub(crate) fn keep(
    ledger: &mut Ledger,
    device: &str,
    record: &str,
    at: &str,
    body: Option<Body>,
) -> EntryId {
    let state = ledger.state(record);
    let act = match (&state, &body) {
        (_, None) => Act::StrikeOut,
        (State::Absent, _) => Act::Write,
        _ => Act::Correct,
    };
    let stamp = Stamp {
        at: at.to_owned(),
        ..stamp(device, ledger.next_counter(device))
    };
    let entry = Entry::new(
        record.into(),
        state.heads().to_vec(),
        stamp,
        act,
        None,
        body,
    );
    let id = entry.id();
    assert!(ledger.insert(entry));
    id
}

pub(crate) const NOON: &str = "2026-06-14T12:00:00+02:00";

pub(crate) fn shot(strike: &str, dip: &str) -> Shot {
    Shot {
        strike: Some(strike.to_owned()),
        dip: Some(dip.to_owned()),
        side: Some("SE".to_owned()),
        at: NOON.to_owned(),
        ..Shot::default()
    }
}

pub(crate) fn reading(shots: &[Shot], note: &str) -> Body {
    Body::Reading(Reading {
        station: "station".to_owned(),
        number: 1,
        kind: "bedding".to_owned(),
        shots: shots.to_vec(),
        note: note.to_owned(),
        ..Reading::default()
    })
}

pub(crate) fn station(number: u32, at: &str, place: Option<(f64, f64, f64)>) -> Station {
    Station {
        number,
        at: at.to_owned(),
        position: place.map(|(latitude, longitude, accuracy)| Position {
            latitude,
            longitude,
            accuracy_m: Some(accuracy),
            source: "device".to_owned(),
            ..Position::default()
        }),
        ..Station::default()
    }
}
