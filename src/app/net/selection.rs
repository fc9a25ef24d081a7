//! Which readings are selected: one selection for the net, the list, the map and the doubts.

use std::collections::BTreeSet;

/// Where a selection was made, so that the others follow it and it does not follow itself.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Of {
    /// Nobody has selected anything.
    #[default]
    Nothing,
    /// A tap or a lasso on the net.
    Net,
    /// A reading of a list.
    List,
    /// A station of the list or the map, with all that was read there.
    Station,
    /// A doubt.
    Doubt,
}

/// The selected readings.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Selection {
    /// Their record ids, in the order of the book.
    pub records: Vec<String>,
    /// Where they were selected.
    pub of: Of,
    /// The same ids, to be looked up.
    known: BTreeSet<String>,
}

impl Selection {
    /// These readings.
    pub fn new(records: Vec<String>, of: Of) -> Self {
        Self {
            known: records.iter().cloned().collect(),
            records,
            of,
        }
    }

    /// One reading.
    pub fn one(record: &str, of: Of) -> Self {
        Self::new(vec![record.to_owned()], of)
    }

    /// The only selected reading; `None` where none or several are.
    pub fn only(&self) -> Option<&str> {
        match self.records.as_slice() {
            [one] => Some(one),
            _ => None,
        }
    }

    /// Whether a reading is selected.
    pub fn has(&self, record: &str) -> bool {
        self.known.contains(record)
    }

    /// Whether a reading is selected for itself, not only because its station is.
    pub fn has_by_itself(&self, record: &str) -> bool {
        (self.of != Of::Station || self.records.len() == 1) && self.has(record)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_one_is_the_only_one() {
        assert_eq!(Selection::default().only(), None);
        let one = Selection::one("a", Of::Net);
        assert_eq!(one.only(), Some("a"));
        assert!(one.has("a") && !one.has("b"));
        let two = Selection::new(vec!["a".to_owned(), "b".to_owned()], Of::List);
        assert_eq!(two.only(), None);
    }

    #[test]
    fn a_station_lights_up_its_readings_only_where_it_has_one() {
        let both = || vec!["a".to_owned(), "b".to_owned()];
        for (of, lit) in [
            (Of::Net, true),
            (Of::List, true),
            (Of::Doubt, true),
            (Of::Station, false),
        ] {
            let selection = Selection::new(both(), of);
            assert!(selection.has("b"));
            assert_eq!(selection.has_by_itself("b"), lit, "{of:?}");
            assert!(!selection.has_by_itself("c"));
        }
        assert!(Selection::one("a", Of::Station).has_by_itself("a"));
    }
}
