//! What this device knows of itself: who holds it, in which hand, in which light, and what was backed up when.

use serde::{Deserialize, Serialize};

use crate::notebook::figures::ByHand;
use crate::notebook::{Mark, Notation};

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

/// The key of this row in the store's `state`.
pub const KEY: &str = "settings";

/// The key of words being typed in the store's `drafts`: names, notes, positions, by the field they belong to.
pub const WORDS: &str = "words";

/// The key of the open reading in the store's `drafts`.
pub const DRAFT: &str = "open";
