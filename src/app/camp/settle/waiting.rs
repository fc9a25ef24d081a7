//! What waits to be settled, and what it is called.

use super::apart::Apart;
use crate::app::history::facts::{Fact, facts, shots};
use crate::app::history::steps::{title, title_of};
use crate::app::who;
use crate::notebook::{Entry, Ledger, Pages, RecordId, State};

/// The records that wait to be settled, in the order of the book.
pub fn records(pages: &Pages) -> Vec<RecordId> {
    let mut waiting: Vec<(u32, u8, u32, RecordId)> = pages
        .contested()
        .map(|record| {
            let id = record.as_str();
            let station = |record: &str| pages.station(record).map_or(0, |p| p.line().number());
            let (station, rank, number) = if let Some(page) = pages.station(id) {
                (page.line().number(), 0, 0)
            } else if let Some(line) = pages.reading(id) {
                let at = line.reading().map_or(0, |r| station(&r.station));
                (at, 1, line.number())
            } else if let Some(line) = pages.sighting(id) {
                let at = line.sighting().map_or(0, |s| station(&s.station));
                (at, 2, line.number())
            } else if let Some(line) = pages.photo(id) {
                let at = line.photo().map_or(0, |p| station(&p.station));
                (at, 3, line.number())
            } else {
                (0, 0, 0)
            };
            (station, rank, number, record.clone())
        })
        .collect();
    waiting.sort();
    waiting.into_iter().map(|(.., record)| record).collect()
}

/// What a record that waits is called, and what its versions disagree about, for a line of a list.
pub fn in_short(
    pages: &Pages,
    ledger: &Ledger,
    record: &str,
    own: &str,
) -> Option<(String, String)> {
    let State::Contested {
        shown,
        others,
        fields,
        ..
    } = ledger.state(record)
    else {
        return None;
    };
    let tips: Vec<&Entry> = std::iter::once(&shown).chain(&others).collect();
    let numbered = tips.iter().any(|tip| shots(tip) > 1);
    let said: Vec<Vec<Fact>> = tips.iter().map(|tip| facts(pages, tip, numbered)).collect();
    let apart = Apart::of(&tips, &said, &fields);
    let name = name(pages, ledger, record, &tips, &apart);
    let by: Vec<String> = tips
        .iter()
        .map(|tip| who::author(tip.stamp(), own))
        .collect();
    Some((
        format!("{name}: {}", apart.title(tips.len())),
        by.join(" · "),
    ))
}

/// What a record is called, by each of its versions where they are of different kinds.
pub(super) fn name(
    pages: &Pages,
    ledger: &Ledger,
    record: &str,
    tips: &[&Entry],
    apart: &Apart,
) -> String {
    if !apart.kinds {
        return title(pages, ledger, record).0;
    }
    let legible = tips.iter().filter(|tip| !tip.strikes_out());
    let mut names: Vec<String> = legible.map(|tip| title_of(pages, tip.body()).0).collect();
    names.dedup();
    names.join(" or ")
}
