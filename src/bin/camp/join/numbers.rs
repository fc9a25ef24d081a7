//! Stations with one number or at one place, and what was taken at one station under one number, as the app's join page finds them.
//!
//! What is kept of a record for that is what it is told by, never its texts: of a station its number, name, place and time, of a
//! sighting where it leads, and of what has no number that stands twice one a station, as it matters only whether it holds anything.

use std::io;

use hingeline::notebook::namesakes::{Taken, namesakes};
use hingeline::notebook::{
    Act, Body, Entry, Ledger, Namesakes, Pages, Photo, Reading, Sighting, Stamp, Station, Twins,
    twins,
};

use crate::gather::index::{Index, Name};
use crate::gather::sources::Sources;
use crate::progress::Progress;

use super::{ledger_of, record};

/// What was taken at a station, by its number there.
type Numbered = (Name, Taken, u32, Name);

/// Looks at all records, one by one.
pub(super) fn look(
    index: &Index,
    by_record: &[u32],
    sources: &mut Sources,
    progress: &mut Progress,
) -> io::Result<(Vec<Twins>, Vec<Namesakes>)> {
    let record_of = |place: &u32| index.slots[*place as usize].record;
    let mut sketch = Ledger::new();
    let mut numbered: Vec<Numbered> = Vec::new();
    for (done, places) in by_record
        .chunk_by(|a, b| record_of(a) == record_of(b))
        .enumerate()
    {
        let kind = index.kind(places);
        if !matches!(kind, Some("station" | "sighting" | "reading" | "photo")) {
            continue;
        }
        progress.at("comparing stations", done as u64, by_record.len() as u64);
        let place = record_of(&places[0]);
        let name = index.names.name(place);
        let ledger = ledger_of(index, places, sources)?;
        let state = ledger.state(name);
        let mut note = |taken, station: &str, number| {
            let station = index.names.find(station);
            numbered.extend(station.map(|station| (station, taken, number, place)));
        };
        match state.body().filter(|_| !state.is_struck_out()) {
            Some(Body::Reading(reading)) => {
                note(Taken::Reading, &reading.station, reading.number);
            }
            Some(Body::Photo(photo)) => note(Taken::Photo, &photo.station, photo.number),
            Some(body @ (Body::Station(_) | Body::Sighting(_))) => {
                sketch.insert(sketched(&ledger, name, body));
            }
            _ => {}
        }
    }
    numbered.sort_unstable();
    for of_station in numbered.chunk_by(|a, b| a.0 == b.0) {
        let one = |numbered: &Numbered| (numbered.1, numbered.2);
        let of_one = of_station.chunk_by(|a, b| one(a) == one(b));
        let mut shown: Vec<&Numbered> = of_one.filter(|same| same.len() > 1).flatten().collect();
        if shown.iter().all(|(_, taken, ..)| *taken != Taken::Reading) {
            let readings = of_station.iter();
            shown.extend(
                readings
                    .take(1)
                    .filter(|(_, taken, ..)| *taken == Taken::Reading),
            );
        }
        for (.., place) in shown {
            let name = index.names.name(*place);
            let ledger = ledger_of(index, record(by_record, index, *place), sources)?;
            if let Some(body) = ledger.state(name).body() {
                sketch.insert(sketched(&ledger, name, body));
            }
        }
    }
    let pages = Pages::of(&sketch);
    Ok((twins::twins(&sketch, &pages), namesakes(&sketch, &pages)))
}

/// A record as one entry: what it is told by, who began it, and where it stands on its page.
fn sketched(ledger: &Ledger, name: &str, body: &Body) -> Entry {
    // More of a text is never told.
    let head = |text: &str| text.chars().take(41).collect::<String>();
    let body = match body {
        Body::Station(station) => Body::Station(Station {
            number: station.number,
            name: station.name.clone(),
            at: station.at.clone(),
            position: station.position.clone(),
            same_as: station.same_as.clone(),
            apart_from: station.apart_from.clone(),
            ..Station::default()
        }),
        Body::Sighting(sighting) => Body::Sighting(Sighting {
            station: sighting.station.clone(),
            number: sighting.number,
            to: sighting.to.clone(),
            to_words: head(&sighting.to_words),
            ..Sighting::default()
        }),
        Body::Reading(reading) => Body::Reading(Reading {
            station: reading.station.clone(),
            number: reading.number,
            kind: head(&reading.kind),
            ..Reading::default()
        }),
        Body::Photo(photo) => Body::Photo(Photo {
            station: photo.station.clone(),
            number: photo.number,
            note: head(&photo.note),
            ..Photo::default()
        }),
        other => other.clone(),
    };
    let began = ledger.history(name).first().map(|entry| entry.stamp());
    let began = began.cloned().unwrap_or_default();
    // A page is in the order of the lowest counters.
    let counters = ledger.iter().map(|entry| entry.stamp().counter);
    let stamp = Stamp {
        counter: counters.min().unwrap_or(began.counter),
        ..began
    };
    Entry::new(name.into(), [], stamp, Act::Write, None, Some(body))
}
