//! What the page that brings a table works on: the table, its matching, and how far it has come. Nothing of it is written.

use std::collections::BTreeSet;

use leptos::prelude::*;
use leptos::task::spawn_local;
use web_sys::File;

use crate::app::parts::tablet::Tablet;
use crate::app::parts::{clock, file};
use crate::exchange::table_import::{self, Brought, Matching, Table, bring, guess};
use crate::notebook::{Ledger, RecordId};

/// A table that was written.
#[derive(Clone, Debug, PartialEq)]
pub(in crate::app) struct Kept {
    /// What it was called.
    pub(in crate::app) table: String,
    /// What it brought, in words.
    pub(in crate::app) counts: String,
    /// Everything that came with it, in one commit.
    pub(in crate::app) records: Vec<RecordId>,
}

impl Kept {
    /// Whether all of it was taken back.
    pub(in crate::app) fn is_undone(&self, ledger: &Ledger) -> bool {
        let stands = |record: &RecordId| !ledger.state(record.as_str()).is_struck_out();
        !self.records.iter().any(stands)
    }
}

/// How far it has come.
#[derive(Clone, Debug, Default, PartialEq)]
pub(in crate::app) enum Stage {
    /// No table is open.
    #[default]
    Nothing,
    /// A file is being read, in words.
    Reading(String),
    /// A table is open, and nothing of it is written.
    Open,
    /// It is being written.
    Writing,
    /// It was written, and what became of it.
    Done(Kept),
    /// It was not written, and why; it is still there.
    Failed(String),
}

/// The table, its matching and the stage; a handle that is copied freely.
#[derive(Clone, Copy)]
pub(in crate::app) struct Bringing {
    tablet: Tablet,
    pub(in crate::app) stage: RwSignal<Stage>,
    pub(in crate::app) matching: RwSignal<Option<Matching>>,
    /// Rows, from 0, that the person leaves out.
    pub(in crate::app) left_out: RwSignal<BTreeSet<usize>>,
    table: StoredValue<Table, LocalStorage>,
}

impl Bringing {
    /// Makes the one of the app.
    pub(in crate::app) fn provide(tablet: Tablet) {
        provide_context(Self {
            tablet,
            stage: RwSignal::default(),
            matching: RwSignal::new(None),
            left_out: RwSignal::default(),
            table: StoredValue::new_local(Table::default()),
        });
    }

    /// The one that `page` has provided.
    pub(in crate::app) fn expect() -> Self {
        expect_context::<Self>()
    }

    /// Looks at the table.
    pub(in crate::app) fn with<T>(self, look: impl FnOnce(&Table) -> T) -> T {
        self.table.with_value(look)
    }

    /// Lets go of the table. Nothing was written, so nothing is taken back.
    pub(in crate::app) fn leave(self) {
        self.stage.set(Stage::Nothing);
        self.let_go();
    }

    fn let_go(self) {
        self.matching.set(None);
        self.left_out.set(BTreeSet::new());
        self.table.set_value(Table::default());
    }

    /// Reads a file that the person chose.
    pub(in crate::app) fn open(self, chosen: File) {
        let name = chosen.name();
        let reading = format!("Reading {name} …");
        self.leave();
        self.stage.set(Stage::Reading(reading.clone()));
        spawn_local(async move {
            // The words are painted before the page is busy.
            clock::moment().await;
            clock::moment().await;
            let bytes = file::read(&chosen).await;
            while self.tablet.is_loading() {
                clock::moment().await;
            }
            // Another file was chosen meanwhile, or this one was left.
            if self.stage.try_get_untracked() != Some(Stage::Reading(reading)) {
                return;
            }
            match bytes {
                Ok(bytes) => {
                    let table = table_import::read(&name, &bytes);
                    let matching = guess(&table);
                    self.table.set_value(table);
                    self.matching.set(Some(matching));
                    self.stage.set(Stage::Open);
                }
                Err(error) => {
                    let why = format!("{name} could not be read: {error}; choose it again");
                    self.stage.set(Stage::Failed(why));
                }
            }
        });
    }

    /// What the table would bring now.
    pub(in crate::app) fn brought(self) -> Brought {
        let (matching, left_out) = (self.matching.get(), self.left_out.get());
        let Some(matching) = matching else {
            return Brought::default();
        };
        let now = clock::now();
        self.table.with_value(|table| {
            self.tablet.read(|shelf| {
                bring(
                    table,
                    &matching,
                    &shelf.ledger,
                    &shelf.pages,
                    &left_out,
                    &now,
                )
            })
        })
    }

    /// Writes what the table brings, all of it in one commit, or nothing.
    pub(in crate::app) fn take(self, brought: Brought) {
        if !matches!(self.stage.get_untracked(), Stage::Open | Stage::Failed(_)) {
            return;
        }
        self.stage.set(Stage::Writing);
        spawn_local(async move {
            match self.tablet.bring_in(&brought).await {
                Ok(records) => {
                    self.let_go();
                    self.stage.set(Stage::Done(Kept {
                        table: brought.table,
                        counts: brought.counts.words(),
                        records,
                    }));
                }
                Err(error) => self.stage.set(Stage::Failed(format!(
                    "Nothing was written, and nothing changed: {error}. The table is still here; try again, or leave it."
                ))),
            }
        });
    }
}
