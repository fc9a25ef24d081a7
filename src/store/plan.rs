//! What the database consists of, version by version. Steps only ever add.

/// The ledger: entry id → canonical JSON.
pub const ENTRIES: &str = "entries";

/// What is being typed: key → JSON.
pub const DRAFTS: &str = "drafts";

/// What this device knows of itself: key → JSON.
pub const STATE: &str = "state";

/// Photographs: SHA-256 → bytes.
pub const PHOTOS: &str = "photos";

/// One step of an upgrade.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Step {
    /// The version the database has after this step.
    pub to: u32,
    /// The object stores this step adds; none is ever taken away.
    pub adds: &'static [&'static str],
}

/// Every step there has been, oldest first. A step that has shipped is never edited.
pub const STEPS: &[Step] = &[Step {
    to: 1,
    adds: &[ENTRIES, DRAFTS, STATE, PHOTOS],
}];

/// The version this build writes.
pub const VERSION: u32 = STEPS[STEPS.len() - 1].to;

/// The object stores of a database at a version, in the order they were added; none at version 0.
pub fn stores_at(version: u32) -> Vec<&'static str> {
    steps_between(0, version)
        .flat_map(|step| step.adds.iter().copied())
        .collect()
}

/// The steps that lead from one version to another; none when the database is already there or newer.
pub fn steps_between(from: u32, to: u32) -> impl Iterator<Item = &'static Step> {
    STEPS
        .iter()
        .filter(move |step| from < step.to && step.to <= to)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The object stores that have shipped, by version: add a row, never edit one.
    const FROZEN: &[(u32, &[&str])] = &[(1, &["entries", "drafts", "state", "photos"])];

    #[test]
    fn what_has_shipped_is_frozen() {
        assert_eq!(
            FROZEN.len(),
            STEPS.len(),
            "a new version needs its frozen row"
        );
        for (version, stores) in FROZEN {
            assert_eq!(&stores_at(*version), stores, "version {version}");
        }
    }

    #[test]
    fn an_upgrade_never_loses_a_store() {
        for version in 0..VERSION {
            let before = stores_at(version);
            let after = stores_at(version + 1);
            assert!(
                before.iter().all(|store| after.contains(store)),
                "{version}"
            );
        }
    }

    #[test]
    fn steps_follow_each_other_and_add_each_store_once() {
        for (index, step) in STEPS.iter().enumerate() {
            assert_eq!(step.to as usize, index + 1);
            assert!(!step.adds.is_empty());
        }
        let mut all = stores_at(VERSION);
        let count = all.len();
        all.sort_unstable();
        all.dedup();
        assert_eq!(all.len(), count);
    }

    #[test]
    fn an_upgrade_in_two_goes_equals_one() {
        for middle in 0..=VERSION {
            let mut steps: Vec<_> = steps_between(0, middle).collect();
            steps.extend(steps_between(middle, VERSION));
            assert_eq!(steps, steps_between(0, VERSION).collect::<Vec<_>>());
        }
        assert_eq!(steps_between(VERSION, VERSION).count(), 0);
        assert_eq!(steps_between(VERSION + 1, VERSION).count(), 0);
    }
}
