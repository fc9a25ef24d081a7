//! North put right afterwards: chosen readings counted anew from their dials, which stay as typed.

use super::record::North;

/// What is put right, and why; what is `None` stays as it is.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Change {
    /// The north that the bearings were really read against.
    pub north: Option<North>,
    /// The declination that is right, degrees east positive, as typed; an empty text takes it off.
    pub declination: Option<String>,
    /// What stood on the card, degrees east positive, as typed, where a reading does not say it.
    pub card: Option<String>,
    /// Record id of the set-up that the readings were really taken with.
    pub set_up: Option<String>,
    /// Why: kept with each reading and with its entry.
    pub why: String,
}
