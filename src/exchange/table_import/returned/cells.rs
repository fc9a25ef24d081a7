//! The cells of a row that a hand-over wrote, by their headings.

use std::collections::HashMap;

use super::super::matching::Matching;
use super::super::row::{Said, Weight};
use super::super::what::What;
use super::super::{Table, TableRow, short};
use crate::exchange::hand_over::csv::unguarded;

/// Where each column stands that is not left out.
pub(super) struct Columns<'t>(HashMap<&'t str, usize>);

impl<'t> Columns<'t> {
    pub(super) fn of(table: &'t Table, matching: &Matching) -> Self {
        let headings = table.headings.iter().enumerate();
        let read = headings.filter(|(at, _)| {
            let matched = matching.columns.get(*at);
            matched.is_some_and(|matched| matched.what != What::LeftOut)
        });
        Self(read.map(|(at, heading)| (heading.trim(), at)).collect())
    }
}

/// A row while it is read.
pub(super) struct Cells<'t> {
    pub(super) row: &'t TableRow,
    columns: &'t Columns<'t>,
    /// What was found in it.
    pub(super) said: Vec<Said>,
    /// What could not be read, under its heading.
    pub(super) kept: Vec<String>,
}

impl<'t> Cells<'t> {
    pub(super) fn of(row: &'t TableRow, columns: &'t Columns<'t>) -> Self {
        Self {
            row,
            columns,
            said: Vec::new(),
            kept: Vec::new(),
        }
    }

    /// What a person wrote, white space and all; empty where nothing stands there.
    pub(super) fn words(&self, heading: &str) -> &'t str {
        let column = self.columns.0.get(heading);
        let cell = column.and_then(|at| self.row.cells.get(*at));
        unguarded(cell.map_or("", String::as_str))
    }

    /// A cell without white space at its ends.
    pub(super) fn text(&self, heading: &str) -> &'t str {
        self.words(heading).trim()
    }

    /// A cell, where something stands in it.
    pub(super) fn some(&self, heading: &str) -> Option<String> {
        Some(self.text(heading).to_owned()).filter(|text| !text.is_empty())
    }

    /// A cell, read; what cannot be read is kept under its heading, and told.
    pub(super) fn read<T>(
        &mut self,
        heading: &str,
        wanted: &str,
        read: impl FnOnce(&str) -> Option<T>,
    ) -> Option<T> {
        let text = self.text(heading);
        if text.is_empty() {
            return None;
        }
        let value = read(text);
        if value.is_none() {
            self.kept.push(format!("{heading}: {text}"));
            self.said.push(Said {
                column: self.columns.0.get(heading).copied(),
                weight: Weight::NotRead,
                words: format!("`{}` is not {wanted}; it is in the note", short(text, 40)),
            });
        }
        value
    }

    /// Several record ids in one cell.
    pub(super) fn records(&self, heading: &str) -> Vec<String> {
        let ids = self.text(heading).split(';').map(str::trim);
        ids.filter(|id| !id.is_empty()).map(str::to_owned).collect()
    }

    /// Words of a person, with what could not be read behind them.
    pub(super) fn note(&self, heading: &str) -> String {
        let mut note = self.words(heading).to_owned();
        for words in &self.kept {
            if !note.is_empty() {
                note.push_str("; ");
            }
            note.push_str(words);
        }
        note
    }
}
