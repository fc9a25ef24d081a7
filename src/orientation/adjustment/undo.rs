//! Undoing a slip: from the dials as read to the dials as they would have been, with the strike typed at the end it was read at.

use super::frame::FrameDials;
use super::slips::{Context, Exchanged, Priors, Slip};
use crate::orientation::angle::{Bound, turn_deg, wrap_deg};
use crate::orientation::doubt::Dial;

/// What was typed beyond the dials themselves.
#[derive(Clone, Copy, Debug, Default)]
pub(in crate::orientation) struct Typed<'a> {
    /// The strike end that was typed, degrees; else the right-hand end was.
    pub(in crate::orientation) strike_deg: Option<f64>,
    /// The side as typed, in letters.
    pub(in crate::orientation) side: Option<&'a str>,
    /// Azimuth of those letters, degrees, and half their sector.
    pub(in crate::orientation) wind_deg: Option<(f64, f64)>,
    /// Nothing said which way the plane dips but the line in it.
    pub(in crate::orientation) side_open: bool,
}

/// The dials, and the strike end that would have been typed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Undone {
    pub(super) dials: FrameDials,
    pub(super) typed_strike_deg: Option<f64>,
}

/// The dials of a frame, in their order.
pub(super) const FRAME: [Dial; 6] = [
    Dial::Strike,
    Dial::Dip,
    Dial::Toward,
    Dial::Trend,
    Dial::Plunge,
    Dial::Rake,
];

pub(super) fn is_azimuth(dial: Dial) -> bool {
    matches!(dial, Dial::Strike | Dial::Toward | Dial::Trend)
}

/// The width of a dial, degrees: what a misread one may show.
pub(super) fn range_deg(dial: Dial) -> f64 {
    match dial {
        Dial::Dip | Dial::Plunge => 90.0,
        Dial::Rake => 180.0,
        _ => 360.0,
    }
}

impl Undone {
    pub(super) fn read(dials: &FrameDials, typed: &Typed<'_>) -> Self {
        Self {
            dials: *dials,
            typed_strike_deg: dials.strike_deg.and(typed.strike_deg.or(dials.strike_deg)),
        }
    }

    pub(super) fn set(&mut self, dial: Dial, deg: f64) {
        let place = match dial {
            Dial::Strike => &mut self.dials.strike_deg,
            Dial::Dip => &mut self.dials.dip_deg,
            Dial::Toward => &mut self.dials.toward_deg,
            Dial::Trend => &mut self.dials.trend_deg,
            Dial::Plunge => &mut self.dials.plunge_deg,
            Dial::Rake => &mut self.dials.rake_deg,
            _ => return,
        };
        *place = Some(deg);
    }

    /// Another strike as typed: its right-hand end is where the side says, else the end that was read stays that end.
    fn retype_strike(mut self, strike_deg: f64, typed: &Typed<'_>) -> Self {
        let before = self.typed_strike_deg.zip(self.dials.strike_deg);
        let turned = before.is_some_and(|(typed, right)| turn_deg(typed, right).abs() > 90.0);
        let side = self
            .dials
            .toward_deg
            .or(typed.wind_deg.map(|(wind, _)| wind));
        let right = match side {
            Some(side) => end_near(strike_deg, side - 90.0),
            None if turned => strike_deg + 180.0,
            None => strike_deg,
        };
        self.typed_strike_deg = Some(strike_deg);
        self.dials.strike_deg = Some(wrap_deg(right));
        self
    }

    /// Another dip direction: the right-hand strike end is where it says.
    pub(super) fn retype_toward(mut self, toward_deg: f64) -> Self {
        self.dials.toward_deg = Some(wrap_deg(toward_deg));
        if let Some(strike) = self.typed_strike_deg {
            self.dials.strike_deg = Some(end_near(strike, toward_deg - 90.0));
        }
        self
    }

    pub(super) fn retype(mut self, dial: Dial, deg: f64, typed: &Typed<'_>) -> Self {
        match dial {
            Dial::Strike => self.retype_strike(wrap_deg(deg), typed),
            Dial::Toward => self.retype_toward(deg),
            Dial::Trend => {
                self.dials.trend_deg = Some(wrap_deg(deg));
                self
            }
            _ => {
                self.set(dial, deg);
                self
            }
        }
    }

    /// The number of a dial as typed.
    pub(super) fn typed(&self, dial: Dial) -> Option<f64> {
        if dial == Dial::Strike {
            self.typed_strike_deg
        } else {
            self.dials.get(dial)
        }
    }

    /// The plane dips the other way: by whichever dial says so.
    fn other_way(mut self, typed: &Typed<'_>) -> Option<Self> {
        if typed.side_open {
            return None;
        }
        let opposite = |deg: f64| wrap_deg(deg + 180.0);
        self.dials.strike_deg = self.dials.strike_deg.map(opposite);
        self.dials.toward_deg = self.dials.toward_deg.map(opposite);
        if !self.dials.side_read && self.dials.toward_deg.is_none() {
            self.typed_strike_deg = self.typed_strike_deg.map(opposite);
        }
        self.dials.strike_deg.or(self.dials.toward_deg)?;
        Some(self)
    }

    fn rake_turned(mut self) -> Option<Self> {
        self.dials.rake_deg = Some(180.0 - self.dials.rake_deg?);
        Some(self)
    }

    fn mirrored(
        mut self,
        exchanged: Exchanged,
        typed: &Typed<'_>,
        mirror: fn(f64) -> f64,
    ) -> Option<Self> {
        let dials: &[Dial] = match exchanged {
            Exchanged::Strike => &[Dial::Strike],
            Exchanged::Trend => &[Dial::Trend],
            Exchanged::Toward => &[Dial::Toward],
            // The side first: it says which end of the strike is the right-hand one.
            Exchanged::All => &[Dial::Toward, Dial::Strike, Dial::Trend],
        };
        let mut count = 0;
        for &dial in dials {
            if let Some(read) = self.typed(dial) {
                self = self.retype(dial, mirror(read), typed);
                count += 1;
            }
        }
        let wanted = if exchanged == Exchanged::All { 2 } else { 1 };
        (count >= wanted).then_some(self)
    }
}

/// The end of a strike line that lies nearer to an azimuth.
fn end_near(strike_deg: f64, azimuth_deg: f64) -> f64 {
    if turn_deg(strike_deg, azimuth_deg).abs() <= 90.0 {
        wrap_deg(strike_deg)
    } else {
        wrap_deg(strike_deg + 180.0)
    }
}

/// The dials before a slip was made; none where it cannot have been made on these dials.
pub(super) fn undone(slip: Slip, read: &Undone, typed: &Typed<'_>) -> Option<Undone> {
    let mut out = *read;
    match slip {
        Slip::StrikeEnd => out.other_way(typed),
        Slip::TrendEnd => {
            out.dials.trend_deg = Some(wrap_deg(out.dials.trend_deg? + 180.0));
            Some(out)
        }
        Slip::RakeEnd => out.rake_turned(),
        Slip::StrikeAndRakeEnds => out.other_way(typed)?.rake_turned(),
        Slip::DipComplement => {
            out.dials.dip_deg = Some(90.0 - out.dials.dip_deg?);
            Some(out)
        }
        Slip::PlungeComplement => {
            let plunge = out.dials.plunge_deg?;
            out.dials.plunge_deg = Some((90.0 - plunge.abs()).copysign(plunge));
            Some(out)
        }
        Slip::EastWest(exchanged) => out.mirrored(exchanged, typed, |deg| -deg),
        Slip::NorthSouth(exchanged) => out.mirrored(exchanged, typed, |deg| 180.0 - deg),
        Slip::Tens(dial, tens) => {
            shifted(&out, dial, 10.0 * f64::from(tens)).map(|deg| out.retype(dial, deg, typed))
        }
        // Every azimuth is turned alike, so that nothing contradicts anything; the north itself is checked elsewhere.
        Slip::BothEnds
        | Slip::DeclinationOmitted
        | Slip::DeclinationDoubled
        | Slip::DeclinationReversed
        // These come with their number.
        | Slip::Digits(_)
        | Slip::IndexEdge(_)
        | Slip::Unknown(_) => None,
    }
}

/// A dial moved by so many degrees, where it can show that.
pub(super) fn shifted(undone: &Undone, dial: Dial, by_deg: f64) -> Option<f64> {
    let read = undone.typed(dial)?;
    let moved = if dial == Dial::Plunge {
        // Counted from the horizontal, up or down.
        (read.abs() + by_deg).copysign(read)
    } else {
        read + by_deg
    };
    match dial {
        Dial::Dip | Dial::Plunge => Bound::DIP.holds(read.abs() + by_deg).then_some(moved),
        Dial::Rake => Bound::RAKE.holds(moved).then_some(moved),
        _ => Some(wrap_deg(moved)),
    }
}

/// The numbers a dial may have been, had two of its digits been exchanged, and how likely each: neighbours first.
pub(super) fn exchanged_digits(undone: &Undone, dial: Dial) -> impl Iterator<Item = (f64, f64)> {
    let cells = if matches!(dial, Dial::Dip | Dial::Plunge) {
        2
    } else {
        3
    };
    let read = undone.typed(dial);
    let whole = read.map_or(0.0, |deg| deg.abs().trunc());
    let rest = read.map_or(0.0, |deg| deg.abs() - whole);
    let digits = [
        (whole / 100.0).floor(),
        (whole / 10.0).floor() % 10.0,
        whole % 10.0,
    ];
    let first = 3 - cells;
    let swaps: &[(usize, usize, f64)] = if cells == 2 {
        &[(1, 2, 1.0)]
    } else {
        &[(1, 2, 0.4), (0, 1, 0.4), (0, 2, 0.2)]
    };
    let holds = move |deg: f64| match dial {
        Dial::Dip | Dial::Plunge => Bound::DIP.holds(deg),
        Dial::Rake => Bound::RAKE.holds(deg),
        _ => deg < 360.0,
    };
    swaps
        .iter()
        .filter(move |(a, b, _)| read.is_some() && *a >= first && *b < 3)
        .filter_map(move |&(a, b, share)| {
            let mut exchanged = digits;
            exchanged.swap(a, b);
            let [h, t, u] = exchanged;
            let deg = h * 100.0 + t * 10.0 + u + rest;
            let deg = deg.copysign(read.unwrap_or(deg));
            (exchanged != digits && holds(deg.abs())).then_some((deg, share))
        })
}

/// Every slip that can be undone by a rule, with its share of the prior: family by family.
pub(super) fn slips(context: &Context<'_>, mut each: impl FnMut(Slip, f64)) {
    let Priors {
        ends,
        rake_end,
        complements,
        exchanges,
        tens,
        ..
    } = *context.priors;
    each(Slip::StrikeEnd, ends * 0.4);
    each(Slip::TrendEnd, ends * 0.4);
    each(Slip::RakeEnd, rake_end * 0.5);
    each(Slip::StrikeAndRakeEnds, rake_end * 0.5);
    each(Slip::DipComplement, complements * 0.5);
    each(Slip::PlungeComplement, complements * 0.5);
    let (letters, other) = if context.quadrant_card {
        (0.6, 0.4)
    } else {
        (1.0, 0.0)
    };
    for (exchanged, share) in [
        (Exchanged::Strike, 0.3),
        (Exchanged::Trend, 0.3),
        (Exchanged::Toward, 0.3),
        (Exchanged::All, 0.4),
    ] {
        each(Slip::EastWest(exchanged), exchanges * letters * share);
        if other > 0.0 {
            each(Slip::NorthSouth(exchanged), exchanges * other * share);
        }
    }
    for dial in FRAME {
        for step in [1, -1] {
            each(Slip::Tens(dial, step), tens * 0.1);
        }
    }
}

/// The sum of the shares of all slips that a set-up can show.
pub(super) fn total(context: &Context<'_>) -> f64 {
    let p = context.priors;
    let known = |known: bool, share: f64| if known { share } else { 0.0 };
    p.ends
        + p.rake_end
        + p.complements
        + p.exchanges
        + p.tens
        + p.digits
        + p.unknown
        + known(context.index_width_deg.is_some(), p.edge)
        + known(context.declination_deg.is_some(), p.declination)
}
