//! The one write path, over whatever takes the rows: the browser's database or memory.

use std::collections::BTreeMap;

use super::batch::Row;
use super::error::StoreError;
use super::plan::ENTRIES;

/// An open transaction. Letting go of it does not abort it: rows already taken are then kept, as in IndexedDB.
pub trait Transaction {
    /// A row made ready for this kind of transaction before it was opened.
    type Row;

    /// Takes one row, or says at once why it cannot.
    ///
    /// # Errors
    /// What refused the row; rows taken before it still stand until [`Transaction::abort`].
    fn take(&mut self, row: &Self::Row) -> Result<(), StoreError>;

    /// Undoes every row taken so far.
    fn abort(&mut self);
}

/// Issues every row with nothing between them; at the first that is refused the transaction is aborted.
///
/// # Errors
/// What refused the row; nothing of the batch is kept then.
pub fn issue<T: Transaction>(transaction: &mut T, rows: &[T::Row]) -> Result<(), StoreError> {
    for row in rows {
        if let Err(error) = transaction.take(row) {
            transaction.abort();
            return Err(error);
        }
    }
    Ok(())
}

/// What to do after a commit that was not kept.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Next {
    /// Open the database again and repeat the commit.
    Reopen,
    /// Look which entries are there already, leave those out, and repeat the commit.
    LeaveOutKept,
    /// Say so.
    Fail(StoreError),
}

/// Decides what follows a failed commit: a lost connection is opened again once, entries that are there already are
/// left out (once more if another tab came between), everything else is said.
pub fn after_failure(error: StoreError, reopened: u32, left_out: u32) -> Next {
    match error {
        StoreError::Closed if reopened == 0 => Next::Reopen,
        StoreError::Duplicate if left_out < 2 => Next::LeaveOutKept,
        error => Next::Fail(error),
    }
}

/// The rows without the entries that are there already, word for word.
///
/// # Errors
/// [`StoreError::Duplicate`] where an entry is there with other words: an entry is never replaced.
pub fn without_kept(
    rows: Vec<Row>,
    kept: &BTreeMap<String, String>,
) -> Result<Vec<Row>, StoreError> {
    let mut rest = Vec::with_capacity(rows.len());
    for row in rows {
        match &row {
            Row::Add { store, key, value } if *store == ENTRIES => match kept.get(key) {
                Some(there) if there == value => {}
                Some(_) => return Err(StoreError::Duplicate),
                None => rest.push(row),
            },
            _ => rest.push(row),
        }
    }
    Ok(rest)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn entry(key: &str, value: &str) -> Row {
        Row::Add {
            store: ENTRIES,
            key: key.into(),
            value: value.into(),
        }
    }

    #[test]
    fn a_lost_connection_is_opened_again_once() {
        assert_eq!(after_failure(StoreError::Closed, 0, 0), Next::Reopen);
        assert_eq!(
            after_failure(StoreError::Closed, 1, 0),
            Next::Fail(StoreError::Closed)
        );
    }

    #[test]
    fn a_full_disk_is_not_tried_again() {
        assert_eq!(
            after_failure(StoreError::Full, 0, 0),
            Next::Fail(StoreError::Full)
        );
    }

    #[test]
    fn entries_already_there_are_left_out_twice_at_most() {
        assert_eq!(
            after_failure(StoreError::Duplicate, 0, 0),
            Next::LeaveOutKept
        );
        assert_eq!(
            after_failure(StoreError::Duplicate, 1, 1),
            Next::LeaveOutKept
        );
        assert_eq!(
            after_failure(StoreError::Duplicate, 0, 2),
            Next::Fail(StoreError::Duplicate)
        );
    }

    #[test]
    fn an_entry_is_never_replaced() {
        let kept = BTreeMap::from([("a".to_owned(), "1".to_owned())]);
        assert_eq!(
            without_kept(vec![entry("a", "1"), entry("b", "2")], &kept),
            Ok(vec![entry("b", "2")])
        );
        assert_eq!(
            without_kept(vec![entry("b", "2"), entry("a", "other")], &kept),
            Err(StoreError::Duplicate)
        );
    }

    #[test]
    fn drafts_with_an_entrys_key_are_not_left_out() {
        let kept = BTreeMap::from([("a".to_owned(), "1".to_owned())]);
        let draft = Row::Delete {
            store: super::super::plan::DRAFTS,
            key: "a".into(),
        };
        assert_eq!(without_kept(vec![draft.clone()], &kept), Ok(vec![draft]));
    }
}
