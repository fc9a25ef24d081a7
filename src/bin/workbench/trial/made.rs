//! The slips as they are made: from the dials that stood to the numbers in the book. Written from what a person does, not from
//! how the diagnosis undoes it.

use hingeline::orientation::statistics::Random;
use hingeline::orientation::{Dial, FrameDials, Slip, adjustment::Exchanged, angle::wrap_deg};

use super::set_up::rounded;

/// The declination of a simulated set-up, east, degrees: known to the book.
pub(crate) const DECLINATION_DEG: f64 = 12.0;

/// The width of a simulated index, degrees: known to the book.
pub(crate) const INDEX_WIDTH_DEG: f64 = 4.0;

const DIALS: [Dial; 5] = [
    Dial::Strike,
    Dial::Dip,
    Dial::Trend,
    Dial::Plunge,
    Dial::Rake,
];

/// One line of the report: the slips that are counted together.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Kind {
    StrikeEnd,
    TrendEnd,
    StrikeAndRakeEnds,
    BothEnds,
    RakeEnd,
    DipComplement,
    PlungeComplement,
    EastWestStrike,
    EastWestTrend,
    EastWestBoth,
    NorthSouthStrike,
    NorthSouthTrend,
    NorthSouthBoth,
    Tens,
    Digits,
    IndexEdge,
    DeclinationOmitted,
    DeclinationDoubled,
    DeclinationReversed,
    Unknown,
}

/// What the aims say of a slip.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Class {
    Reversal,
    Complement,
    RakeEnd,
    EastWest,
    /// No aim is set for it.
    Other,
    /// It turns plane and line together about the vertical, so that nothing contradicts anything.
    Invisible,
}

impl Kind {
    pub(crate) const ALL: [Self; 20] = [
        Self::StrikeEnd,
        Self::TrendEnd,
        Self::StrikeAndRakeEnds,
        Self::BothEnds,
        Self::RakeEnd,
        Self::DipComplement,
        Self::PlungeComplement,
        Self::EastWestStrike,
        Self::EastWestTrend,
        Self::EastWestBoth,
        Self::NorthSouthStrike,
        Self::NorthSouthTrend,
        Self::NorthSouthBoth,
        Self::Tens,
        Self::Digits,
        Self::IndexEdge,
        Self::DeclinationOmitted,
        Self::DeclinationDoubled,
        Self::DeclinationReversed,
        Self::Unknown,
    ];

    pub(crate) fn name(self) -> &'static str {
        match self {
            Self::StrikeEnd => "strike-end",
            Self::TrendEnd => "trend-end",
            Self::StrikeAndRakeEnds => "strike-and-rake-ends",
            Self::BothEnds => "both-ends",
            Self::RakeEnd => "rake-end",
            Self::DipComplement => "dip-complement",
            Self::PlungeComplement => "plunge-complement",
            Self::EastWestStrike => "east-west-strike",
            Self::EastWestTrend => "east-west-trend",
            Self::EastWestBoth => "east-west-all",
            Self::NorthSouthStrike => "north-south-strike",
            Self::NorthSouthTrend => "north-south-trend",
            Self::NorthSouthBoth => "north-south-all",
            Self::Tens => "tens",
            Self::Digits => "digits",
            Self::IndexEdge => "index-edge",
            Self::DeclinationOmitted => "declination-omitted",
            Self::DeclinationDoubled => "declination-doubled",
            Self::DeclinationReversed => "declination-reversed",
            Self::Unknown => "unknown",
        }
    }

    pub(crate) fn class(self) -> Class {
        match self {
            Self::StrikeEnd | Self::TrendEnd | Self::StrikeAndRakeEnds => Class::Reversal,
            Self::RakeEnd => Class::RakeEnd,
            Self::DipComplement | Self::PlungeComplement => Class::Complement,
            Self::EastWestStrike | Self::EastWestTrend | Self::EastWestBoth => Class::EastWest,
            Self::NorthSouthStrike
            | Self::NorthSouthTrend
            | Self::NorthSouthBoth
            | Self::Tens
            | Self::Digits
            | Self::IndexEdge
            | Self::Unknown => Class::Other,
            Self::BothEnds
            | Self::DeclinationOmitted
            | Self::DeclinationDoubled
            | Self::DeclinationReversed => Class::Invisible,
        }
    }

    /// Whether the slip can only be made on a card in quadrants.
    pub(crate) fn needs_quadrants(self) -> bool {
        matches!(
            self,
            Self::NorthSouthStrike | Self::NorthSouthTrend | Self::NorthSouthBoth
        )
    }
}

/// A slip that was made, with what it did by chance.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Made {
    pub(crate) slip: Slip,
    /// How much a number was changed, where the slip alone does not say it.
    shift_deg: f64,
}

impl Made {
    /// A slip that does the same to all dials.
    pub(crate) fn plain(slip: Slip) -> Self {
        Self {
            slip,
            shift_deg: 0.0,
        }
    }

    /// One dial read too high by so much.
    pub(crate) fn shifted(dial: Dial, shift_deg: f64) -> Self {
        Self {
            slip: Slip::Unknown(dial),
            shift_deg,
        }
    }

    /// One slip of a kind on these dials; none where it cannot be made on them, as two digits that are alike.
    pub(crate) fn at_random(random: &mut Random, kind: Kind, stood: &FrameDials) -> Option<Self> {
        let plain = |slip| Some(Self::plain(slip));
        let sign = |random: &mut Random| if random.below(2) == 0 { 1.0 } else { -1.0 };
        let any = |random: &mut Random, dials: &[Dial]| {
            let index = random.below(dials.len());
            dials.get(index).copied().unwrap_or(Dial::Strike)
        };
        match kind {
            Kind::StrikeEnd => plain(Slip::StrikeEnd),
            Kind::TrendEnd => plain(Slip::TrendEnd),
            Kind::StrikeAndRakeEnds => plain(Slip::StrikeAndRakeEnds),
            Kind::BothEnds => plain(Slip::BothEnds),
            Kind::RakeEnd => plain(Slip::RakeEnd),
            Kind::DipComplement => plain(Slip::DipComplement),
            Kind::PlungeComplement => plain(Slip::PlungeComplement),
            Kind::EastWestStrike => plain(Slip::EastWest(Exchanged::Strike)),
            Kind::EastWestTrend => plain(Slip::EastWest(Exchanged::Trend)),
            Kind::EastWestBoth => plain(Slip::EastWest(Exchanged::All)),
            Kind::NorthSouthStrike => plain(Slip::NorthSouth(Exchanged::Strike)),
            Kind::NorthSouthTrend => plain(Slip::NorthSouth(Exchanged::Trend)),
            Kind::NorthSouthBoth => plain(Slip::NorthSouth(Exchanged::All)),
            Kind::DeclinationOmitted => plain(Slip::DeclinationOmitted),
            Kind::DeclinationDoubled => plain(Slip::DeclinationDoubled),
            Kind::DeclinationReversed => plain(Slip::DeclinationReversed),
            Kind::Tens => {
                let (dial, up) = (any(random, &DIALS), sign(random));
                let made = Self {
                    slip: Slip::Tens(dial, if up > 0.0 { 1 } else { -1 }),
                    shift_deg: 10.0 * up,
                };
                made.stays_on_the_scale(dial, stood).then_some(made)
            }
            Kind::IndexEdge => {
                let dial = any(random, &[Dial::Dip, Dial::Plunge, Dial::Rake]);
                let made = Self {
                    slip: Slip::IndexEdge(dial),
                    shift_deg: INDEX_WIDTH_DEG * sign(random),
                };
                made.stays_on_the_scale(dial, stood).then_some(made)
            }
            Kind::Digits => {
                let dial = any(random, &DIALS);
                let (read, first) = (rounded(stood).get(dial)?, random.below(2));
                let exchanged = exchanged(read, cells(dial), first)?;
                (exchanged != read && exchanged <= top(dial)).then_some(Self {
                    slip: Slip::Digits(dial),
                    shift_deg: exchanged - read,
                })
            }
            Kind::Unknown => {
                let dial = any(random, &DIALS);
                let read = rounded(stood).get(dial)?;
                let wrong = (random.uniform() * top(dial)).round();
                Some(Self {
                    slip: Slip::Unknown(dial),
                    shift_deg: wrong - read,
                })
            }
        }
    }

    fn stays_on_the_scale(&self, dial: Dial, stood: &FrameDials) -> bool {
        let is_azimuth = matches!(dial, Dial::Strike | Dial::Trend);
        stood.get(dial).is_some_and(|deg| {
            let shifted = deg.round() + self.shift_deg;
            is_azimuth || (0.0..=top(dial)).contains(&shifted)
        })
    }

    /// The numbers with the slip in them.
    pub(crate) fn apply(&self, dials: &FrameDials) -> FrameDials {
        let mut out = *dials;
        let azimuth = |dial: &mut Option<f64>, turn: &dyn Fn(f64) -> f64| {
            *dial = dial.map(|deg| wrap_deg(turn(deg)));
        };
        let other_end = |deg: f64| deg + 180.0;
        let east_west = |deg: f64| -deg;
        let north_south = |deg: f64| 180.0 - deg;
        let complement = |deg: f64| 90.0 - deg;
        let both = |out: &mut FrameDials, turn: &dyn Fn(f64) -> f64| {
            azimuth(&mut out.strike_deg, turn);
            azimuth(&mut out.trend_deg, turn);
        };
        match self.slip {
            Slip::StrikeEnd => azimuth(&mut out.strike_deg, &other_end),
            Slip::TrendEnd => azimuth(&mut out.trend_deg, &other_end),
            Slip::BothEnds => both(&mut out, &other_end),
            Slip::RakeEnd => out.rake_deg = out.rake_deg.map(|deg| 180.0 - deg),
            Slip::StrikeAndRakeEnds => {
                azimuth(&mut out.strike_deg, &other_end);
                out.rake_deg = out.rake_deg.map(|deg| 180.0 - deg);
            }
            Slip::DipComplement => out.dip_deg = out.dip_deg.map(complement),
            Slip::PlungeComplement => out.plunge_deg = out.plunge_deg.map(complement),
            Slip::EastWest(Exchanged::Strike) => azimuth(&mut out.strike_deg, &east_west),
            Slip::EastWest(Exchanged::Trend) => azimuth(&mut out.trend_deg, &east_west),
            Slip::EastWest(_) => both(&mut out, &east_west),
            Slip::NorthSouth(Exchanged::Strike) => azimuth(&mut out.strike_deg, &north_south),
            Slip::NorthSouth(Exchanged::Trend) => azimuth(&mut out.trend_deg, &north_south),
            Slip::NorthSouth(_) => both(&mut out, &north_south),
            // What is read is magnetic and was to be true; true = magnetic + declination.
            Slip::DeclinationOmitted => both(&mut out, &|deg| deg - DECLINATION_DEG),
            Slip::DeclinationDoubled => both(&mut out, &|deg| deg + DECLINATION_DEG),
            Slip::DeclinationReversed => both(&mut out, &|deg| deg - 2.0 * DECLINATION_DEG),
            Slip::Tens(dial, _)
            | Slip::Digits(dial)
            | Slip::IndexEdge(dial)
            | Slip::Unknown(dial) => {
                let shift = |deg: f64| deg + self.shift_deg;
                match dial {
                    Dial::Strike => azimuth(&mut out.strike_deg, &shift),
                    Dial::Trend => azimuth(&mut out.trend_deg, &shift),
                    Dial::Dip => out.dip_deg = out.dip_deg.map(shift),
                    Dial::Plunge => out.plunge_deg = out.plunge_deg.map(shift),
                    _ => out.rake_deg = out.rake_deg.map(shift),
                }
            }
        }
        out
    }

    /// Whether the diagnosis names this slip; by how many tens, and which way, is not asked.
    pub(crate) fn is_named_by(&self, slip: Slip) -> bool {
        match (self.slip, slip) {
            (Slip::Tens(made, _), Slip::Tens(named, _)) => made == named,
            (made, named) => made == named,
        }
    }
}

/// How many digits a dial is written with.
fn cells(dial: Dial) -> u32 {
    if matches!(dial, Dial::Dip | Dial::Plunge) {
        2
    } else {
        3
    }
}

/// The largest number on a dial.
fn top(dial: Dial) -> f64 {
    match dial {
        Dial::Dip | Dial::Plunge => 90.0,
        Dial::Rake => 180.0,
        _ => 360.0,
    }
}

/// The whole number with two neighbouring digits exchanged: the last two, or the first two where there are three.
fn exchanged(read: f64, cells: u32, which: usize) -> Option<f64> {
    let (hundreds, tens, ones) = (
        (read / 100.0).floor(),
        (read / 10.0).floor().rem_euclid(10.0),
        read.rem_euclid(10.0),
    );
    match (cells, which) {
        (3, 0) => Some(100.0 * tens + 10.0 * hundreds + ones),
        (2 | 3, _) => Some(100.0 * hundreds + 10.0 * ones + tens),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const STOOD: FrameDials = FrameDials {
        strike_deg: Some(47.0),
        dip_deg: Some(31.0),
        toward_deg: None,
        trend_deg: Some(120.0),
        plunge_deg: Some(29.0),
        rake_deg: Some(70.0),
        side_read: false,
    };

    fn read(slip: Slip, shift_deg: f64) -> [f64; 5] {
        let out = Made { slip, shift_deg }.apply(&STOOD);
        DIALS.map(|dial| out.get(dial).unwrap())
    }

    #[test]
    fn each_slip_does_what_its_name_says() {
        let cases = [
            (Slip::StrikeEnd, [227.0, 31.0, 120.0, 29.0, 70.0]),
            (Slip::TrendEnd, [47.0, 31.0, 300.0, 29.0, 70.0]),
            (Slip::BothEnds, [227.0, 31.0, 300.0, 29.0, 70.0]),
            (Slip::RakeEnd, [47.0, 31.0, 120.0, 29.0, 110.0]),
            (Slip::StrikeAndRakeEnds, [227.0, 31.0, 120.0, 29.0, 110.0]),
            (Slip::DipComplement, [47.0, 59.0, 120.0, 29.0, 70.0]),
            (Slip::PlungeComplement, [47.0, 31.0, 120.0, 61.0, 70.0]),
            (
                Slip::EastWest(Exchanged::Strike),
                [313.0, 31.0, 120.0, 29.0, 70.0],
            ),
            (
                Slip::EastWest(Exchanged::All),
                [313.0, 31.0, 240.0, 29.0, 70.0],
            ),
            (
                Slip::NorthSouth(Exchanged::Trend),
                [47.0, 31.0, 60.0, 29.0, 70.0],
            ),
            (Slip::DeclinationReversed, [23.0, 31.0, 96.0, 29.0, 70.0]),
        ];
        for (slip, expected) in cases {
            assert_eq!(read(slip, 0.0), expected, "{slip}");
        }
        assert_eq!(read(Slip::Tens(Dial::Trend, 1), 10.0)[2], 130.0);
    }

    #[test]
    fn two_digits_are_exchanged_as_they_are_written() {
        assert_eq!(exchanged(47.0, 3, 1), Some(74.0));
        assert_eq!(exchanged(47.0, 3, 0), Some(407.0));
        assert_eq!(exchanged(120.0, 3, 0), Some(210.0));
        assert_eq!(exchanged(31.0, 2, 0), Some(13.0));
        assert_eq!(exchanged(5.0, 2, 1), Some(50.0));
    }

    #[test]
    fn no_slip_leaves_the_scale() {
        let mut random = Random::new(11);
        for kind in Kind::ALL {
            let mut made_once = false;
            for _ in 0..200 {
                if let Some(made) = Made::at_random(&mut random, kind, &STOOD) {
                    made_once = true;
                    let out = made.apply(&STOOD);
                    for dial in DIALS {
                        let deg = out.get(dial).unwrap();
                        assert!((0.0..=top(dial)).contains(&deg), "{kind:?} {dial:?} {deg}");
                    }
                }
            }
            assert!(made_once, "{kind:?}");
        }
    }
}
