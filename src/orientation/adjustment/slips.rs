//! The slips of a hand and an eye, and how often each is made.

use std::fmt;

use crate::orientation::doubt::Dial;
use crate::orientation::noise::Noise;

/// Which azimuths had their letters exchanged.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Exchanged {
    /// The strike alone.
    Strike,
    /// The trend alone.
    Trend,
    /// The dip direction alone.
    Toward,
    /// Every azimuth of the set-up.
    All,
}

/// One slip between the rock and the book; its name in files is kebab-case.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Slip {
    /// The strike was read at the other end; where the side was read by itself, it dips the other way.
    StrikeEnd,
    /// The trend was read at the other end.
    TrendEnd,
    /// Strike and trend were both read at the other end: everything is turned half round, and no dial contradicts another, so
    /// that it is never named here.
    BothEnds,
    /// The rake was counted from the other end of the strike line.
    RakeEnd,
    /// The strike was read at the other end, and the rake counted from there.
    StrikeAndRakeEnds,
    /// The dip was read from the vertical.
    DipComplement,
    /// The plunge was read from the vertical.
    PlungeComplement,
    /// East and west were exchanged.
    EastWest(Exchanged),
    /// North and south were exchanged, on a quadrant card.
    NorthSouth(Exchanged),
    /// The tens digit is out by so many.
    Tens(Dial, i8),
    /// Two digits were exchanged.
    Digits(Dial),
    /// The scale was read at the wrong edge of its index.
    IndexEdge(Dial),
    /// The declination was left out. All azimuths turn alike, so that no dial contradicts another: what the north itself gives
    /// away is told elsewhere, and neither this nor the next two are named here.
    DeclinationOmitted,
    /// The declination was applied twice.
    DeclinationDoubled,
    /// The declination was applied the wrong way.
    DeclinationReversed,
    /// One dial is simply wrong.
    Unknown(Dial),
}

impl Slip {
    /// Whether it turns the rock round: an end, a complement or letters exchanged.
    pub(super) fn is_grave(self) -> bool {
        matches!(
            self,
            Self::StrikeEnd
                | Self::TrendEnd
                | Self::RakeEnd
                | Self::StrikeAndRakeEnds
                | Self::DipComplement
                | Self::PlungeComplement
                | Self::EastWest(_)
                | Self::NorthSouth(_)
        )
    }
}

impl fmt::Display for Slip {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let dial = |dial: Dial| match dial {
            Dial::Strike => "strike",
            Dial::Dip => "dip",
            Dial::Side => "side",
            Dial::Toward => "toward",
            Dial::Trend => "trend",
            Dial::Plunge => "plunge",
            Dial::Rake => "rake",
            Dial::Angle => "angle",
            Dial::Bearing => "bearing",
            Dial::Vertical => "vertical",
        };
        let which = |exchanged: Exchanged| match exchanged {
            Exchanged::Strike => "strike",
            Exchanged::Trend => "trend",
            Exchanged::Toward => "toward",
            Exchanged::All => "all",
        };
        match *self {
            Self::StrikeEnd => f.write_str("strike-end"),
            Self::TrendEnd => f.write_str("trend-end"),
            Self::BothEnds => f.write_str("both-ends"),
            Self::RakeEnd => f.write_str("rake-end"),
            Self::StrikeAndRakeEnds => f.write_str("strike-and-rake-ends"),
            Self::DipComplement => f.write_str("dip-complement"),
            Self::PlungeComplement => f.write_str("plunge-complement"),
            Self::EastWest(e) => write!(f, "east-west-{}", which(e)),
            Self::NorthSouth(e) => write!(f, "north-south-{}", which(e)),
            Self::Tens(d, _) => write!(f, "tens-{}", dial(d)),
            Self::Digits(d) => write!(f, "digits-{}", dial(d)),
            Self::IndexEdge(d) => write!(f, "index-edge-{}", dial(d)),
            Self::DeclinationOmitted => f.write_str("declination-omitted"),
            Self::DeclinationDoubled => f.write_str("declination-doubled"),
            Self::DeclinationReversed => f.write_str("declination-reversed"),
            Self::Unknown(d) => write!(f, "unknown-{}", dial(d)),
        }
    }
}

/// How often a set-up has no slip, and in what proportions the slips share the rest: our assumption, which a book may change.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Priors {
    /// Probability of no slip, 0 to 1.
    pub none: f64,
    /// Share of ends: strike, trend, both.
    pub ends: f64,
    /// Share of the rake's end, alone and with the strike's.
    pub rake_end: f64,
    /// Share of complements: dip, plunge.
    pub complements: f64,
    /// Share of exchanges: east and west, north and south.
    pub exchanges: f64,
    /// Share of a tens digit one out.
    pub tens: f64,
    /// Share of two digits exchanged.
    pub digits: f64,
    /// Share of the wrong edge of the index.
    pub edge: f64,
    /// Share of the declination: omitted, doubled, reversed.
    pub declination: f64,
    /// Share of one dial simply wrong.
    pub unknown: f64,
    /// Probability that no single slip explains the set-up, 0 to 1: any dials at all are then as likely as any others.
    pub several: f64,
}

impl Priors {
    /// No slip in 95 of 100 set-ups: our assumption.
    pub const USUAL: Self = Self {
        none: 0.95,
        ends: 35.0,
        rake_end: 15.0,
        complements: 10.0,
        exchanges: 10.0,
        tens: 8.0,
        digits: 5.0,
        edge: 5.0,
        declination: 7.0,
        unknown: 5.0,
        several: 1e-4,
    };
}

impl Default for Priors {
    fn default() -> Self {
        Self::USUAL
    }
}

/// What is known of a set-up when its dials are judged.
#[derive(Clone, Copy, Debug)]
pub struct Context<'a> {
    /// The standard deviations of its dials.
    pub noise: &'a Noise,
    /// How often which slip happens.
    pub priors: &'a Priors,
    /// The declination set on the card, east positive, where it is known.
    pub declination_deg: Option<f64>,
    /// The card is graduated in four quadrants.
    pub quadrant_card: bool,
    /// The width of the index between its two edges, where it was measured.
    pub index_width_deg: Option<f64>,
}

impl<'a> Context<'a> {
    /// A set-up of which only the noise is known.
    #[must_use]
    pub fn new(noise: &'a Noise) -> Self {
        Self {
            noise,
            priors: &Priors::USUAL,
            declination_deg: None,
            quadrant_card: false,
            index_width_deg: None,
        }
    }
}
