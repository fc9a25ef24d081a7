//! The acts of the evening: settling what two people changed differently, tying stations, giving new numbers.

use leptos::prelude::*;

use super::{Tablet, here};
use crate::notebook::twins::{self, Renumbered, Twins};
use crate::notebook::{Body, Entry, EntryId, Namesakes, RecordId, namesakes, settle};

impl Tablet {
    /// Takes one version of a contested record; the others stay in its history. True when it is on its way to the disk.
    pub(crate) fn settle(self, record: &str, take: &EntryId) -> bool {
        if self.is_reading() {
            return false;
        }
        let stamp = self.stamp();
        let entry = self.read_once(|shelf| settle::entry(&shelf.ledger, record, take, stamp));
        self.take_act(entry.into_iter().collect())
    }

    /// Keeps both versions of a contested reading as shots of one. True when it is on its way to the disk.
    pub(crate) fn settle_both(self, record: &str) -> bool {
        if self.is_reading() {
            return false;
        }
        let stamp = self.stamp();
        let entry = self.read_once(|shelf| settle::both_entry(&shelf.ledger, record, stamp));
        self.take_act(entry.into_iter().collect())
    }

    /// Gives the later of each pair of stations with one number, and each but the first of what has one number at one station, the
    /// next free number, and says which station became which.
    pub(crate) fn renumber(self, pairs: &[Twins], taken: &[Namesakes]) -> Vec<Renumbered> {
        if self.is_reading() {
            return Vec::new();
        }
        let stamp = self.stamp();
        let entries = self.read_once(|shelf| {
            namesakes::renumber_all(&shelf.ledger, &shelf.pages, pairs, taken, &stamp)
        });
        let renumbered = twins::renumbered(pairs, &entries);
        if !self.take_act(entries) {
            self.settle_first("record");
        }
        renumbered
    }

    /// Says that two stations are one outcrop.
    pub(crate) fn tie(self, pair: &Twins) {
        if self.is_reading() {
            return;
        }
        let stamp = self.stamp();
        let entry = self.read_once(|shelf| twins::tie(&shelf.ledger, pair, stamp));
        if !self.take_act(entry.into_iter().collect()) {
            self.settle_first("station");
        }
    }

    /// Says that two stations are two outcrops, however near.
    pub(crate) fn tell_apart(self, pair: &Twins) {
        if self.is_reading() {
            return;
        }
        let stamp = self.stamp();
        let entry = self.read_once(|shelf| twins::tell_apart(&shelf.ledger, pair, stamp));
        if !self.take_act(entry.into_iter().collect()) {
            self.settle_first("station");
        }
    }

    fn settle_first(self, what: &str) {
        self.warning.set(Some(format!(
            "nothing was changed: two people changed that {what} differently; settle it first"
        )));
    }

    /// Keeps the entries of one act and shows them wherever their records are open; false where there are none.
    fn take_act(self, entries: Vec<Entry>) -> bool {
        let records: Vec<RecordId> = entries.iter().map(|entry| entry.record().clone()).collect();
        if records.is_empty() {
            return false;
        }
        self.take_all(entries, false);
        self.renew(&records);
        true
    }

    /// Records were changed elsewhere: what is open of them, and where the person stands, follows.
    pub(super) fn renew(self, records: &[RecordId]) {
        self.renew_open(records);
        for record in records {
            self.renew_sighting(record.as_str());
        }
        let stands = self
            .settings
            .with_untracked(|s| s.here.as_ref().map(|h| h.record.clone()));
        let Some(stands) = stands.filter(|s| records.iter().any(|r| r.as_str() == s)) else {
            return;
        };
        if let Some(Body::Station(station)) = self.read_once(|shelf| shelf.body(&stands)) {
            self.settings
                .update(|s| s.here = Some(here(&stands, &station)));
            self.keep_draft();
        }
    }
}
