//! The words of the diagnosis: short sentences with the numbers.

use super::diagnosis::{Decide, Explanation, Hypothesis, Tried};
use super::frame::{Adjusted, FrameDials, Residual, predicted};
use super::slips::{Exchanged, Slip};
use super::solve::{Fit, Weights};
use super::starts::{Effort, minima};
use super::undo::{FRAME, Typed, Undone, is_azimuth};
use crate::orientation::angle::{padded, turn_deg, wrap_deg};
use crate::orientation::doubt::Dial;
use crate::orientation::pair::opposite_side;
use crate::orientation::wind::{Winds, wind};

/// Odds as a person reads them, the number and what it counts in: `99` `in 100`, `1` `in 730`, `no` `fit`.
///
/// # Degenerate input
/// Below one in ten thousand, or not a number: `no` `fit`. Near one: `99` `in 100`, because nothing is certain.
#[must_use]
pub fn odds_words(odds: f64) -> (String, String) {
    let pair = |number: String, of: String| (number, of);
    if odds >= 0.0095 {
        let percent = (odds * 100.0).round().clamp(1.0, 99.0);
        pair(format!("{percent:.0}"), "in 100".to_owned())
    } else if odds >= 1e-4 {
        let one_in = 1.0 / odds;
        let step = if one_in >= 1000.0 { 100.0 } else { 10.0 };
        let one_in = (one_in / step).round() * step;
        pair("1".to_owned(), format!("in {one_in:.0}"))
    } else {
        pair("no".to_owned(), "fit".to_owned())
    }
}

/// What the explanations are told from.
pub(super) struct Telling<'a> {
    pub(super) read: &'a Undone,
    pub(super) typed: &'a Typed<'a>,
    pub(super) resolution_deg: f64,
}

/// What went wrong, in full and for a plate, and what is to be said beside it.
struct Told {
    words: String,
    short: String,
    beside: String,
}

impl Telling<'_> {
    /// An explanation with its words, and the plane and line adjusted to the last digit.
    pub(super) fn explanation(
        &self,
        lead: &Hypothesis,
        with: Vec<Slip>,
        odds: f64,
        weights: &Weights,
    ) -> Explanation {
        let misread = match lead.slip {
            Slip::Unknown(dial) => Some(dial),
            _ => None,
        };
        let undone = self.rounded(lead, misread);
        // The dial that is simply wrong says nothing about the frame.
        let kept = match misread {
            Some(dial) => undone.dials.obs().without(dial),
            None => undone.dials.obs(),
        };
        let known = undone.dials.without(misread);
        let fit = minima(&kept, weights, Effort::FULL)
            .into_iter()
            .flatten()
            .min_by(|a, b| {
                let apart = |fit: &Fit| {
                    (fit.frame.n - lead.fit.frame.n).norm()
                        + (fit.frame.v - lead.fit.frame.v).norm()
                };
                apart(a).total_cmp(&apart(b))
            })
            .unwrap_or(lead.fit);
        let adjusted = Adjusted::new(&known, &fit);
        let told = self.told(lead, &undone);
        Explanation {
            slip: lead.slip,
            with,
            words: told.words,
            short: told.short,
            detail: detail(&told.beside, &adjusted, misread.is_some(), lead.other_side),
            odds,
            corrected: undone.dials,
            sets: self.sets(lead, &undone),
            adjusted,
        }
    }

    /// A slip that fits nothing.
    pub(super) fn tried(&self, slip: Slip, undone: &Undone, adjusted: Adjusted) -> Tried {
        let mut off: Vec<&Residual> = adjusted.residuals.iter().collect();
        off.sort_by(|a, b| b.ratio().total_cmp(&a.ratio()));
        let most = off.first().map_or(0.0, |r| r.ratio());
        let names: Vec<&str> = off
            .iter()
            .filter(|r| r.ratio() > most / 2.0)
            .take(2)
            .map(|r| r.dial.words())
            .collect();
        Tried {
            slip,
            words: self.short(slip, undone),
            detail: format!(
                "{} would still be off by {most:.1} × ±",
                names.join(" and ")
            ),
            adjusted,
        }
    }

    /// The misread dial to the division of the instrument.
    fn rounded(&self, lead: &Hypothesis, misread: Option<Dial>) -> Undone {
        let mut undone = lead.undone;
        let step = if self.resolution_deg > 0.0 {
            self.resolution_deg
        } else {
            1.0
        };
        let round = |deg: f64| (deg / step).round() * step;
        if let Some(dial) = misread {
            if let Some(deg) = undone.dials.get(dial) {
                let deg = match dial {
                    Dial::Dip => round(deg).clamp(0.0, 90.0),
                    Dial::Plunge => round(deg).clamp(-90.0, 90.0),
                    Dial::Rake => round(deg).clamp(0.0, 180.0),
                    _ => wrap_deg(round(deg)),
                };
                undone.set(dial, deg);
            }
            if dial == Dial::Strike {
                undone.typed_strike_deg = undone.typed_strike_deg.map(|deg| wrap_deg(round(deg)));
            }
        }
        undone
    }

    /// A dial as typed before and after: digits as on the dial.
    fn both(&self, dial: Dial, undone: &Undone) -> (String, String) {
        let text = |undone: &Undone| {
            undone
                .typed(dial)
                .map_or_else(String::new, |deg| digits(dial, deg))
        };
        (text(self.read), text(undone))
    }

    /// The letters of the side before and after.
    fn sides(&self, undone: &Undone) -> (String, String) {
        let wind = |dials: &FrameDials| {
            toward(dials)
                .map_or("", |deg| wind(deg, Winds::Eight))
                .to_owned()
        };
        let before = self
            .typed
            .side
            .map_or_else(|| wind(&self.read.dials), str::to_owned);
        let after = self
            .typed
            .side
            .map_or_else(|| wind(&undone.dials), opposite_side);
        (before, after)
    }

    /// Whether the strike's end says the side, so that turning the plane is reading the other end.
    fn by_right_hand(&self) -> bool {
        !self.read.dials.side_read && self.read.dials.toward_deg.is_none()
    }

    fn sets(&self, lead: &Hypothesis, undone: &Undone) -> Vec<(Dial, String)> {
        let mut sets = Vec::with_capacity(3);
        for dial in FRAME {
            let (before, after) = (self.read.typed(dial), undone.typed(dial));
            if let Some(after) = after
                && before != Some(after)
            {
                sets.push((dial, digits(dial, after)));
            }
        }
        let turned =
            matches!(lead.slip, Slip::StrikeEnd | Slip::StrikeAndRakeEnds) || lead.other_side;
        if turned && !self.by_right_hand() && self.read.dials.toward_deg.is_none() {
            let (before, after) = self.sides(undone);
            if before != after {
                sets.push((Dial::Side, after));
            }
        }
        sets
    }

    /// Short enough for a plate.
    fn short(&self, slip: Slip, undone: &Undone) -> String {
        let after = |dial: Dial| self.both(dial, undone).1;
        let named = |dial: Dial| format!("{} {}", dial.words(), after(dial));
        let changed = || {
            let dials = FRAME
                .into_iter()
                .filter(|&dial| self.read.typed(dial) != undone.typed(dial));
            dials.map(named).collect::<Vec<_>>().join(" and ")
        };
        match slip {
            Slip::StrikeEnd if self.by_right_hand() => {
                format!("{}, the other end", named(Dial::Strike))
            }
            Slip::StrikeEnd => {
                let (before, after) = self.sides(undone);
                format!("it dips {after}, not {before}")
            }
            Slip::StrikeAndRakeEnds if self.by_right_hand() => format!(
                "{} and {}, from the other end",
                named(Dial::Strike),
                named(Dial::Rake)
            ),
            Slip::StrikeAndRakeEnds => {
                format!("it dips {}, {}", self.sides(undone).1, named(Dial::Rake))
            }
            Slip::TrendEnd => format!("{}, the other end", named(Dial::Trend)),
            Slip::BothEnds => "both from the other end".to_owned(),
            Slip::RakeEnd => format!("{}, counted from the other end", named(Dial::Rake)),
            Slip::DipComplement => format!("{}, read from the vertical", named(Dial::Dip)),
            Slip::PlungeComplement => format!("{}, read from the vertical", named(Dial::Plunge)),
            Slip::EastWest(_) => format!("{}, east and west exchanged", changed()),
            Slip::NorthSouth(_) => format!("{}, north and south exchanged", changed()),
            Slip::Tens(dial, _) => format!("{}, a tens digit out", named(dial)),
            Slip::Digits(dial) => format!("{}, two digits exchanged", named(dial)),
            Slip::IndexEdge(dial) => format!("{}, at the other edge", named(dial)),
            Slip::DeclinationOmitted => "the declination was left out".to_owned(),
            Slip::DeclinationDoubled => "the declination was applied twice".to_owned(),
            Slip::DeclinationReversed => "the declination was applied the wrong way".to_owned(),
            Slip::Unknown(dial) => format!("{}, misread", named(dial)),
        }
    }

    fn told(&self, lead: &Hypothesis, undone: &Undone) -> Told {
        let slip = lead.slip;
        let instead = |dial: Dial| {
            let (before, after) = (self.read.typed(dial), undone.typed(dial));
            let text = |deg: Option<f64>| deg.map_or_else(String::new, |deg| in_words(dial, deg));
            format!("{} instead of {}", text(before), text(after))
        };
        let (before, after) = self.sides(undone);
        let mut beside = String::new();
        let mut short = self.short(slip, undone);
        let words = match slip {
            Slip::StrikeEnd if self.by_right_hand() => format!(
                "The strike was read at the other end: {}",
                instead(Dial::Strike)
            ),
            Slip::StrikeEnd => format!("It dips {after}, not {before}"),
            Slip::TrendEnd => format!(
                "The trend was read at the other end of the line: {}",
                instead(Dial::Trend)
            ),
            Slip::RakeEnd => {
                if let Some(right) = self.read.dials.strike_deg {
                    let (right, other) = (azimuth(right), azimuth(wrap_deg(right + 180.0)));
                    beside = format!("from {other}, not from {right}");
                }
                format!(
                    "The rake was measured from the other end of the strike line: {}",
                    instead(Dial::Rake)
                )
            }
            Slip::StrikeAndRakeEnds if self.by_right_hand() => format!(
                "Strike and rake were both taken from the other end: {}, and {}",
                instead(Dial::Strike),
                instead(Dial::Rake)
            ),
            Slip::StrikeAndRakeEnds => format!(
                "It dips {after}, not {before}, and the rake was measured from the wrong end with it: {}",
                instead(Dial::Rake)
            ),
            Slip::DipComplement => {
                format!("The dip was read from the vertical: {}", instead(Dial::Dip))
            }
            Slip::PlungeComplement => format!(
                "The plunge was read from the vertical: {}",
                instead(Dial::Plunge)
            ),
            Slip::EastWest(e) => self.letters("East and west", e, undone, &instead),
            Slip::NorthSouth(e) => self.letters("North and south", e, undone, &instead),
            Slip::Tens(dial, _) => format!(
                "A tens digit of the {} is one out: {}",
                dial.words(),
                instead(dial)
            ),
            Slip::Digits(dial) => format!(
                "Two digits of the {} were exchanged: {}",
                dial.words(),
                instead(dial)
            ),
            Slip::IndexEdge(dial) => format!(
                "The {} was read at the wrong edge of the index: {}",
                dial.words(),
                instead(dial)
            ),
            Slip::Unknown(dial) => {
                let text = |undone: &Undone| {
                    undone
                        .typed(dial)
                        .map_or_else(String::new, |deg| in_words(dial, deg))
                };
                let side = if lead.other_side {
                    short = format!(
                        "{} {}, and it dips {after}",
                        dial.words(),
                        self.both(dial, undone).1
                    );
                    format!(", and it dips {after}")
                } else {
                    String::new()
                };
                format!(
                    "The {} was misread: {}, not {}{side}",
                    dial.words(),
                    text(undone),
                    text(self.read)
                )
            }
            Slip::BothEnds
            | Slip::DeclinationOmitted
            | Slip::DeclinationDoubled
            | Slip::DeclinationReversed => short.clone(),
        };
        Told {
            words,
            short,
            beside,
        }
    }

    fn letters(
        &self,
        which: &str,
        exchanged: Exchanged,
        undone: &Undone,
        instead: &dyn Fn(Dial) -> String,
    ) -> String {
        let one = |dial: Dial| {
            format!(
                "{which} were exchanged in the {}: {}",
                dial.words(),
                instead(dial)
            )
        };
        match exchanged {
            Exchanged::Strike => one(Dial::Strike),
            Exchanged::Trend => one(Dial::Trend),
            Exchanged::Toward => one(Dial::Toward),
            Exchanged::All => {
                let dials = FRAME
                    .into_iter()
                    .filter(|&dial| is_azimuth(dial) && undone.typed(dial).is_some());
                let each: Vec<String> = dials
                    .map(|dial| format!("{} {}", dial.words(), instead(dial)))
                    .collect();
                format!("{which} were exchanged: {}", each.join(", "))
            }
        }
    }

    /// The dial that the two explanations differ in most, against its deviation: one not read yet if there is one.
    pub(super) fn decide(&self, first: &Hypothesis, second: &Hypothesis) -> Option<Decide> {
        let apart = |dial: Dial| -> Option<(Dial, f64, f64, f64)> {
            let (a, b) = (
                predicted(&first.fit.frame, dial)?,
                predicted(&second.fit.frame, dial)?,
            );
            let off = turn_deg(a, b).abs();
            let off = if dial == Dial::Rake {
                off.min(180.0 - off)
            } else {
                off
            };
            let flatness = match dial {
                Dial::Strike | Dial::Toward => first
                    .fit
                    .frame
                    .dip()
                    .sin()
                    .min(second.fit.frame.dip().sin()),
                Dial::Trend => first
                    .fit
                    .frame
                    .plunge()
                    .cos()
                    .min(second.fit.frame.plunge().cos()),
                _ => 1.0,
            };
            Some((dial, off * flatness, a, b))
        };
        let side_known = self.read.dials.side_read || self.read.dials.toward_deg.is_some();
        let unread = FRAME.into_iter().filter(|&dial| match dial {
            // A strike has two ends: the dip direction says it all.
            Dial::Strike => false,
            Dial::Toward => !side_known,
            _ => self.read.dials.get(dial).is_none(),
        });
        let best = |dials: &mut dyn Iterator<Item = Dial>| {
            dials
                .filter_map(apart)
                .filter(|(_, off, ..)| *off > TELLS_DEG)
                .max_by(|a, b| a.1.total_cmp(&b.1))
        };
        let mut unread = unread;
        let again = FRAME
            .into_iter()
            .filter(|&dial| self.read.dials.get(dial).is_some());
        let (dial, _, a, b) = best(&mut unread).or_else(|| best(&mut { again }))?;
        let verb = if self.read.dials.get(dial).is_some() {
            "read the"
        } else {
            "read a"
        };
        let verb = if dial == Dial::Toward {
            "read the"
        } else {
            verb
        };
        let again = if self.read.dials.get(dial).is_some() {
            " again"
        } else {
            ""
        };
        let text = |deg: f64| {
            in_words(
                dial,
                if is_azimuth(dial) {
                    wrap_deg(deg.round())
                } else {
                    deg.round()
                },
            )
        };
        Some(Decide {
            dial,
            words: format!(
                "{verb} {}{again}: {} under the first, {} under the second",
                dial.words(),
                text(a),
                text(b)
            ),
        })
    }
}

/// Two predictions nearer than this, degrees on the sphere, tell nothing apart: about three deviations.
const TELLS_DEG: f64 = 5.0;

/// What agrees once the slip is undone.
fn detail(beside: &str, adjusted: &Adjusted, misread: bool, two_slips: bool) -> String {
    let count = number_word(adjusted.residuals.len());
    let most = adjusted.worst().map_or(0.0, Residual::ratio);
    if two_slips {
        return "two slips at once; the rest then agree".to_owned();
    }
    let then = if misread {
        if adjusted.dof == 0 {
            format!("the other {count} leave it open; nothing explains how")
        } else if most <= 2.0 {
            format!("the other {count} then agree; nothing explains how")
        } else {
            format!("the other {count} then agree within {most:.1} × ±; nothing explains how")
        }
    } else {
        format!("then all {count} within {most:.1} × ±")
    };
    if beside.is_empty() {
        return then;
    }
    let mut letters = then.chars();
    let capital = letters.next().map(|c| c.to_ascii_uppercase());
    let rest = letters.as_str();
    format!(
        "{beside}. {}{rest}",
        capital.map_or_else(String::new, String::from)
    )
}

fn number_word(count: usize) -> &'static str {
    match count {
        3 => "three",
        4 => "four",
        5 => "five",
        6 => "six",
        _ => "dials",
    }
}

/// How many dials, in a word.
pub(in crate::orientation) fn dials_word(count: usize) -> &'static str {
    number_word(count)
}

/// A number as on its dial: three digits for an azimuth and a rake, two for an inclination, which points up by a key of its own.
fn digits(dial: Dial, deg: f64) -> String {
    match dial {
        Dial::Dip | Dial::Plunge => padded(deg.abs(), 2),
        _ => padded(deg, 3),
    }
}

/// A number in a sentence: an azimuth keeps its three digits, a rake does not.
fn in_words(dial: Dial, deg: f64) -> String {
    match dial {
        Dial::Rake => padded(deg, 1),
        _ => digits(dial, deg),
    }
}

fn azimuth(deg: f64) -> String {
    padded(deg, 3)
}

/// Where the plane of some dials dips, degrees.
fn toward(dials: &FrameDials) -> Option<f64> {
    dials
        .toward_deg
        .or(dials.strike_deg.map(|deg| wrap_deg(deg + 90.0)))
}
