//! Which slip explains the dials: likelihood of all dials after undoing it, times how often it happens.

use nalgebra::Vector3;

use super::frame::{Adjusted, FrameDials, predicted};
use super::slips::{Context, Slip};
use super::solve::{Fit, Frame, Weights};
use super::starts::{Effort, minima};
use super::undo::{
    FRAME, Typed, Undone, exchanged_digits, range_deg, shifted, slips, total, undone,
};
use super::words::Telling;
use crate::orientation::angle::{degrees, radians, turn_deg, wrap_deg};
use crate::orientation::doubt::{Choice, Dial};

/// One way in which the dials could have come about.
#[derive(Clone, Debug, PartialEq)]
pub struct Explanation {
    /// The likeliest slip of the group.
    pub slip: Slip,
    /// Other slips that come to nearly the same dials.
    pub with: Vec<Slip>,
    /// A plain sentence without its full stop: what went wrong, with the numbers.
    pub words: String,
    /// The same, short enough for a plate.
    pub short: String,
    /// How well the dials agree then.
    pub detail: String,
    /// Probability among all hypotheses, 0 to 1.
    pub odds: f64,
    /// The dials without the slip.
    pub corrected: FrameDials,
    /// The dials to set, as they would have been typed.
    pub sets: Vec<(Dial, String)>,
    /// Plane and line adjusted to the corrected dials.
    pub adjusted: Adjusted,
}

impl Explanation {
    /// It as a choice of a doubt.
    #[must_use]
    pub fn choice(&self) -> Choice {
        Choice {
            words: self.short.clone(),
            sets: self.sets.clone(),
        }
    }
}

/// A slip that was tried and does not make the dials agree.
#[derive(Clone, Debug, PartialEq)]
pub struct Tried {
    /// The slip.
    pub slip: Slip,
    /// What it would have been.
    pub words: String,
    /// What would still be off.
    pub detail: String,
    /// Plane and line adjusted to the dials without it.
    pub adjusted: Adjusted,
}

/// The dial that would tell two explanations apart.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Decide {
    /// The dial to read.
    pub dial: Dial,
    /// What it reads under each of the two.
    pub words: String,
}

/// What the dials of one set-up come to, and what explains them.
#[derive(Clone, Debug, PartialEq)]
pub struct Diagnosis {
    /// The dials as read.
    pub read: FrameDials,
    /// Plane and line adjusted to the dials as read.
    pub adjusted: Option<Adjusted>,
    /// No slip is not the most probable.
    pub doubted: bool,
    /// Probability that there is no slip, 0 to 1.
    pub as_read_odds: f64,
    /// At most three explanations, likeliest first; none of them is "as read".
    pub explanations: Vec<Explanation>,
    /// Up to two slips that were tried and fit nothing.
    pub also_tried: Vec<Tried>,
    /// Which dial would tell the first two explanations apart, where they are close.
    pub decide: Option<Decide>,
}

/// Adjusts the dials of a set-up and, where they do not agree, finds the slips that explain them.
///
/// The evidence of a hypothesis is the likelihood of all dials after undoing it, integrated over all attitudes (Laplace's
/// method), times its prior. A dial that is simply wrong has a uniform density over its range.
///
/// # Degenerate input
/// Too few dials to contradict each other: adjusted if possible, never doubted.
#[must_use]
pub fn diagnose(dials: &FrameDials, context: &Context<'_>) -> Diagnosis {
    diagnose_typed(dials, &Typed::default(), context)
}

/// The same, with the strike end and the side as they were typed.
pub(crate) fn diagnose_typed(
    dials: &FrameDials,
    typed: &Typed<'_>,
    context: &Context<'_>,
) -> Diagnosis {
    let weights = Weights::of(context.noise);
    let [as_read, ..] = minima(&dials.obs(), &weights, Effort::FULL);
    let mut out = Diagnosis {
        read: *dials,
        adjusted: as_read.as_ref().map(|fit| Adjusted::new(dials, fit)),
        doubted: false,
        as_read_odds: 1.0,
        explanations: Vec::new(),
        also_tried: Vec::new(),
        decide: None,
    };
    let (Some(as_read), true) = (as_read, dials.count() >= 4) else {
        return out;
    };
    let read = Undone::read(dials, typed);
    let mut hypotheses = hypotheses(&read, typed, context, &weights);
    let unslipped = context.priors.none.ln() + as_read.log_evidence() + letters(&read, typed);
    let several = context.priors.several.ln() - dial_widths(dials).ln();
    hypotheses.sort_by(|a, b| b.log_odds.total_cmp(&a.log_odds));
    let top = hypotheses
        .first()
        .map_or(unslipped, |best| best.log_odds.max(unslipped))
        .max(several);
    let share = |log_odds: f64| (log_odds - top).exp();
    let whole: f64 = share(unslipped)
        + share(several)
        + hypotheses.iter().map(|h| share(h.log_odds)).sum::<f64>();
    let mut none = share(unslipped);
    let mut groups: Vec<Group> = Vec::new();
    for hypothesis in hypotheses {
        let odds = share(hypothesis.log_odds);
        if odds < NEGLIGIBLE * whole {
            break;
        }
        // A slip too small to be seen is none.
        if same_dials(&read.dials, &hypothesis.undone.dials, &hypothesis.fit) {
            none += odds;
        } else if let Some(group) = groups.iter_mut().find(|group| group.holds(&hypothesis)) {
            group.odds += odds;
            group.with.push(hypothesis.slip);
        } else {
            groups.push(Group {
                lead: hypothesis,
                odds,
                with: Vec::new(),
            });
        }
    }
    out.as_read_odds = none / whole;
    let grave: f64 = groups
        .iter()
        .filter(|group| group.lead.slip.is_grave())
        .map(|group| group.odds)
        .sum();
    out.doubted = out.as_read_odds < DOUBTED || grave > GRAVE * whole;
    if !out.doubted {
        return out;
    }
    groups.sort_by(|a, b| b.odds.total_cmp(&a.odds));
    let counted = groups
        .iter()
        .enumerate()
        .filter(|(place, group)| *place == 0 || group.odds >= SHOWN * whole)
        .take(MOST)
        .count();
    groups.truncate(counted);
    let telling = Telling {
        read: &read,
        typed,
        resolution_deg: degrees(context.noise.resolution_rad()),
    };
    out.decide = match groups.as_slice() {
        [first, second, ..] if second.odds * CLOSE >= first.odds => {
            telling.decide(&first.lead, &second.lead)
        }
        _ => None,
    };
    for group in &groups {
        let odds = group.odds / whole;
        out.explanations
            .push(telling.explanation(&group.lead, group.with.clone(), odds, &weights));
    }
    out.also_tried = also_tried(&telling, &groups, &weights);
    out
}

/// Below this probability "as read" is doubted: then some slip, whichever, is the more probable.
pub(super) const DOUBTED: f64 = 0.5;

/// Above this probability of an end, a complement or letters exchanged a set-up is doubted too. Such a slip turns the rock round,
/// and a look at the instrument costs little.
///
/// By simulation of clean set-ups with the default noise, to whole degrees, 3 in 1000 are doubted where attitudes are uniform on
/// the sphere and 7 where dips are; 9 and 12 where needle and inclination err by 1.5° instead of 1°. At 0.1 it would be 4, 12,
/// 13 and 18, and hardly more slips would be noticed.
pub(super) const GRAVE: f64 = 0.15;

/// Explanations shown at most.
pub(super) const MOST: usize = 3;

/// The least probability of an explanation that is shown, except the first.
pub(super) const SHOWN: f64 = 5e-4;

/// Below this probability a hypothesis is left out of all sums.
const NEGLIGIBLE: f64 = 1e-7;

/// Two explanations within this factor are to be told apart by another dial.
const CLOSE: f64 = 20.0;

/// A slip with what it makes of the dials.
#[derive(Clone, Debug)]
pub(super) struct Hypothesis {
    pub(super) slip: Slip,
    pub(super) undone: Undone,
    pub(super) fit: Fit,
    log_odds: f64,
    /// The side was wrong as well.
    pub(super) other_side: bool,
}

struct Group {
    lead: Hypothesis,
    odds: f64,
    with: Vec<Slip>,
}

impl Group {
    fn holds(&self, other: &Hypothesis) -> bool {
        same_dials(&self.lead.undone.dials, &other.undone.dials, &self.lead.fit)
            || (same_rock(&self.lead.fit.frame, &other.fit.frame)
                && [&self.lead, other]
                    .iter()
                    .all(|h| h.fit.rows.chi2() < AGREES))
    }
}

/// Less than this is left where the dials agree.
const AGREES: f64 = 9.0;

/// Whether two frames are the same plane and the same axis in it, within what can be read. A plane that is all but upright is
/// the same from either end of its strike.
fn same_rock(a: &Frame, b: &Frame) -> bool {
    let apart = |a: &Vector3<f64>, b: &Vector3<f64>| (a - b).norm().min((a + b).norm());
    apart(&a.n, &b.n) < SAME_ROCK && apart(&a.v, &b.v) < SAME_ROCK
}

/// Planes and lines nearer than this are the same, radians: a degree or two more than the deviation of one dial.
const SAME_ROCK: f64 = 0.06;

/// Whether two sets of the same dials agree within the deviation of each dial.
fn same_dials(a: &FrameDials, b: &FrameDials, fit: &Fit) -> bool {
    fit.rows.iter().filter(|row| row.read).all(|row| {
        let (Some(a), Some(b)) = (a.get(row.dial), b.get(row.dial)) else {
            return true;
        };
        let apart = turn_deg(a, b).abs();
        let apart = if row.dial == Dial::Rake {
            apart.min(180.0 - apart)
        } else {
            apart
        };
        apart <= degrees(row.sd / row.stretch)
    }) && FRAME.iter().all(|&dial| {
        // A dial that the fit left out is the one that was misread.
        let fitted = fit.rows.iter().any(|row| row.read && row.dial == dial);
        let (a, b) = (a.get(dial), b.get(dial));
        fitted
            || a.zip(b)
                .is_none_or(|(a, b)| turn_deg(a, b).abs() <= LEFT_OUT_DEG)
    })
}

/// How near a misread dial must come to another number to be the same, degrees: about the deviation of any dial.
const LEFT_OUT_DEG: f64 = 2.5;

fn dial_widths(dials: &FrameDials) -> f64 {
    FRAME
        .iter()
        .filter(|&&dial| dials.get(dial).is_some())
        .map(|&dial| radians(range_deg(dial)))
        .product()
}

/// Every slip that these dials can show, undone and adjusted.
fn hypotheses(
    read: &Undone,
    typed: &Typed<'_>,
    context: &Context<'_>,
    weights: &Weights,
) -> Vec<Hypothesis> {
    let mut found = Vec::with_capacity(64);
    let priors = context.priors;
    let scale = (1.0 - priors.none) / total(context).max(f64::MIN_POSITIVE);
    let mut weigh = |slip, undone: Undone, share: f64| {
        let [fit, ..] = minima(&undone.dials.obs(), weights, Effort::TELLING);
        if let (Some(fit), true) = (fit, share > 0.0) {
            found.push(Hypothesis {
                slip,
                undone,
                log_odds: (share * scale).ln() + fit.log_evidence() + letters(&undone, typed),
                fit,
                other_side: false,
            });
        }
    };
    slips(context, |slip, share| {
        if let Some(undone) = undone(slip, read, typed) {
            weigh(slip, undone, share);
        }
    });
    for dial in FRAME {
        for (deg, share) in exchanged_digits(read, dial) {
            weigh(
                Slip::Digits(dial),
                read.retype(dial, deg, typed),
                priors.digits * 0.2 * share,
            );
        }
    }
    if let Some(width) = context.index_width_deg {
        for dial in [Dial::Dip, Dial::Plunge, Dial::Rake] {
            for by in [width, -width] {
                if let Some(deg) = shifted(read, dial, by) {
                    weigh(
                        Slip::IndexEdge(dial),
                        read.retype(dial, deg, typed),
                        priors.edge / 6.0,
                    );
                }
            }
        }
    }
    let side_slip = scale * priors.ends * 0.4;
    for dial in FRAME {
        if read.dials.get(dial).is_some() {
            let share = priors.unknown * 0.2 * scale;
            misread(dial, read, typed, weights, share, side_slip, &mut found);
        }
    }
    found
}

/// One dial wrong by any amount: every frame that the others leave.
fn misread(
    dial: Dial,
    read: &Undone,
    typed: &Typed<'_>,
    weights: &Weights,
    prior: f64,
    side_slip: f64,
    found: &mut Vec<Hypothesis>,
) {
    let width = radians(range_deg(dial));
    // A dip direction that was misread no longer says which end of the strike is the right-hand one.
    let turned = (dial == Dial::Toward && read.dials.strike_deg.is_some())
        .then(|| read.retype_toward(read.dials.toward_deg.unwrap_or_default() + 180.0));
    let ends = if turned.is_some() { 0.5 } else { 1.0 };
    for start in [Some(*read), turned].into_iter().flatten() {
        let obs = start.dials.obs().without(dial);
        for fit in minima(&obs, weights, Effort::EVERY).into_iter().flatten() {
            let Some(deg) = predicted(&fit.frame, dial).filter(|deg| can_show(dial, *deg)) else {
                continue;
            };
            let mut undone = start;
            let mut log_odds = (prior * ends / width).ln() + fit.log_evidence();
            let mut other_side = false;
            if dial == Dial::Strike && start.dials.toward_deg.is_none() {
                match (typed.wind_deg, start.dials.strike_deg) {
                    (Some((wind, half_sector)), _) => {
                        let off = turn_deg(wind, deg + 90.0).abs();
                        other_side = off > 90.0;
                        log_odds += told(off, half_sector);
                    }
                    (None, Some(before)) if start.dials.side_read && !typed.side_open => {
                        other_side = turn_deg(before, deg).abs() > 90.0;
                    }
                    _ => {}
                }
            }
            if other_side {
                log_odds += side_slip.ln();
            }
            if dial == Dial::Strike {
                // The end that would have been read is the one nearer to what was.
                let near = start.typed_strike_deg.map(|typed| {
                    if start.dials.side_read && turn_deg(typed, deg).abs() > 90.0 {
                        wrap_deg(deg + 180.0)
                    } else {
                        deg
                    }
                });
                undone.typed_strike_deg = near;
            }
            undone.set(dial, deg);
            found.push(Hypothesis {
                slip: Slip::Unknown(dial),
                undone,
                fit,
                log_odds,
                other_side,
            });
        }
    }
}

/// Logarithm of how well the letters of the side, told by eye, suit the strike; nothing where there are none.
fn letters(undone: &Undone, typed: &Typed<'_>) -> f64 {
    match (typed.wind_deg, undone.dials.strike_deg) {
        (Some((wind, half_sector)), Some(strike)) if undone.dials.toward_deg.is_none() => {
            told(turn_deg(wind, strike + 90.0).abs(), half_sector)
        }
        _ => 0.0,
    }
}

/// Logarithm of how often letters are told so many degrees off: a sector off one time in ten, farther one in a hundred (our
/// assumption). Beyond a right angle it is the side that is wrong.
fn told(off_deg: f64, half_sector_deg: f64) -> f64 {
    let off_deg = off_deg.min(180.0 - off_deg);
    if off_deg <= half_sector_deg + 15.0 {
        0.0
    } else if off_deg <= half_sector_deg + 45.0 {
        0.1_f64.ln()
    } else {
        0.01_f64.ln()
    }
}

/// Whether a dial can show a number, within half a degree.
fn can_show(dial: Dial, deg: f64) -> bool {
    match dial {
        Dial::Dip => (-0.5..=90.5).contains(&deg),
        Dial::Plunge => (-90.5..=90.5).contains(&deg),
        _ => deg.is_finite(),
    }
}

/// The commonest slips that do not make the dials agree: worth saying, so that nobody tries them.
fn also_tried(telling: &Telling<'_>, groups: &[Group], weights: &Weights) -> Vec<Tried> {
    let mut tried: Vec<(f64, Slip, Undone)> = Vec::with_capacity(5);
    for slip in [
        Slip::StrikeEnd,
        Slip::TrendEnd,
        Slip::RakeEnd,
        Slip::DipComplement,
        Slip::PlungeComplement,
    ] {
        let explains = |group: &Group| group.lead.slip == slip || group.with.contains(&slip);
        if groups.iter().any(explains) {
            continue;
        }
        let Some(undone) = undone(slip, telling.read, telling.typed) else {
            continue;
        };
        let [Some(fit), ..] = minima(&undone.dials.obs(), weights, Effort::TELLING) else {
            continue;
        };
        let chi2 = fit.rows.chi2();
        if chi2 >= NO_FIT {
            tried.push((chi2, slip, undone));
        }
    }
    tried.sort_by(|a, b| a.0.total_cmp(&b.0));
    tried
        .into_iter()
        .take(2)
        .filter_map(|(_, slip, undone)| {
            let [fit, ..] = minima(&undone.dials.obs(), weights, Effort::FULL);
            let adjusted = Adjusted::new(&undone.dials, &fit?);
            Some(telling.tried(slip, &undone, adjusted))
        })
        .collect()
}

/// With more left than this a slip fits nothing.
const NO_FIT: f64 = 25.0;
