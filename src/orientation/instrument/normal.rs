//! From the dials as they stood to the dials of the trade, before they are reduced.

use std::borrow::Cow;

use super::{Card, Instrument, Scales, Stood};
use crate::orientation::dials::Dials;
use crate::orientation::doubt::Doubt;

/// The dials of the trade, borrowed where they are as typed, and what was doubtful on the way.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Normal<'a> {
    typed: Dials<'a>,
    strike: Option<Cow<'a, str>>,
    /// What does not agree in how the instrument stood.
    pub doubts: Vec<Doubt>,
}

impl Normal<'_> {
    /// The dials, to be reduced.
    #[must_use]
    pub fn dials(&self) -> Dials<'_> {
        Dials {
            strike: self.strike.as_deref(),
            ..self.typed
        }
    }
}

/// Turns the dials of one shot as they stood into the dials of the trade.
#[must_use]
pub fn normalise<'a>(
    dials: &Dials<'a>,
    _instrument: Instrument,
    _card: Card,
    _stood: &Stood,
    _scales: &Scales,
) -> Normal<'a> {
    Normal {
        typed: *dials,
        strike: dials.strike.map(Cow::Borrowed),
        doubts: Vec::new(),
    }
}
