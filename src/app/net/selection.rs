//! Which readings are selected: one selection for the net, the list, the map and the doubts.

/// Where a selection was made, so that the others follow it and it does not follow itself.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Of {
    /// Nobody has selected anything.
    #[default]
    Nothing,
    /// A tap or a lasso on the net.
    Net,
    /// A line of the list.
    List,
    /// A station of the map.
    Map,
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
}

impl Selection {
    /// One reading.
    pub fn one(record: &str, of: Of) -> Self {
        Self {
            records: vec![record.to_owned()],
            of,
        }
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
        self.records.iter().any(|r| r == record)
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
        let two = Selection {
            records: vec!["a".to_owned(), "b".to_owned()],
            of: Of::List,
        };
        assert_eq!(two.only(), None);
    }
}
