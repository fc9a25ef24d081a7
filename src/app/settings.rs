//! What this device knows of itself: who holds it, in which hand, in which light, and what was backed up when.

use serde::{Deserialize, Serialize};

use crate::notebook::figures::ByHand;
use crate::notebook::{Beyond, Mark, Notation};

/// The hand that types.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Hand {
    /// The left hand.
    Left,
    /// The right hand.
    #[default]
    Right,
}

impl Hand {
    /// Its word in the page's attributes.
    pub fn word(self) -> &'static str {
        match self {
            Hand::Left => "left",
            Hand::Right => "right",
        }
    }
}

/// The light the page is read in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Light {
    /// Full sun: ink on white.
    #[default]
    Sun,
    /// Overcast: ink on grey.
    Overcast,
    /// A red-dimmed lamp at night.
    Lamp,
}

impl Light {
    /// Its word in the page's attributes.
    pub fn word(self) -> &'static str {
        match self {
            Light::Sun => "sun",
            Light::Overcast => "overcast",
            Light::Lamp => "lamp",
        }
    }
}

/// The last back-up of this book from this device.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct BackUp {
    /// When, RFC 3339.
    pub at: String,
    /// The stations it held.
    pub stations: usize,
    /// How far the ledger had come.
    pub mark: Mark,
    /// Just which entries it held; earlier versions did not note it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub held: Option<Beyond>,
}

/// The station the person stands at, known before the book is read.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Here {
    /// Its record.
    pub record: String,
    /// Its number.
    pub number: u32,
    /// Its name.
    pub name: String,
    /// The small words under its name.
    pub detail: String,
}

/// What this device knows of itself; one row of the store's `state`.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Settings {
    /// The device's id, made once.
    pub device: String,
    /// The id under which this tablet began the book, where it goes on under another: its copies are still known by it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub began_as: Option<String>,
    /// The count of entries this device has written.
    pub counter: u64,
    /// Initials of the person who holds it.
    pub by: String,
    /// The hand that types.
    #[serde(default)]
    pub hand: Hand,
    /// The light.
    #[serde(default)]
    pub light: Light,
    /// How the book writes; the book's own record has the last word.
    #[serde(default)]
    pub notation: Notation,
    /// The last back-up.
    #[serde(default)]
    pub back_up: Option<BackUp>,
    /// Where the person stands.
    #[serde(default)]
    pub here: Option<Here>,
    /// The set-up this device's readings take, where one was chosen; else the last that was made.
    #[serde(default)]
    pub set_up: Option<String>,
    /// The kind measured last.
    #[serde(default)]
    pub last_kind: Option<String>,
    /// Limbs of folds that were chosen by hand on the net, one for each kind of structure: a way to look at the book, not a
    /// part of it.
    #[serde(default)]
    pub limbs: Vec<ByHand>,
}

impl Settings {
    /// Goes on under a name of its own, where another tablet writes under the same; the first entry under it has the count 1.
    pub fn rename(&mut self, fresh: String) {
        let before = std::mem::replace(&mut self.device, fresh);
        self.began_as.get_or_insert(before);
        self.counter = 0;
    }

    /// The id under which this tablet began the book.
    pub fn first_name(&self) -> &str {
        self.began_as.as_deref().unwrap_or(&self.device)
    }
}

/// The key of this row in the store's `state`.
pub const KEY: &str = "settings";

/// The key, in the store's `state`, of what the book goes beyond where it came from a part: a row of its own, so that no other tab
/// writes over it.
pub const BEYOND: &str = "beyond";

/// The key of words being typed in the store's `drafts`: names, notes, positions, by the field they belong to.
pub const WORDS: &str = "words";

/// The key of the open reading in the store's `drafts`.
pub const DRAFT: &str = "open";

#[cfg(test)]
mod tests {
    use super::Settings;

    #[test]
    fn a_tablet_with_a_new_name_still_knows_the_one_it_began_under() {
        let mut settings = Settings {
            device: "a".to_owned(),
            counter: 7,
            ..Settings::default()
        };
        assert_eq!(settings.first_name(), "a");
        // A row of an earlier version has no such field.
        let text = serde_json::to_string(&settings).expect("a row");
        assert!(!text.contains("began_as"), "{text}");
        settings.rename("b".to_owned());
        settings.rename("c".to_owned());
        assert_eq!((settings.device.as_str(), settings.counter), ("c", 0));
        assert_eq!(settings.first_name(), "a");
        let text = serde_json::to_string(&settings).expect("a row");
        let again: Settings = serde_json::from_str(&text).expect("the same row");
        assert_eq!(again, settings);
    }
}
