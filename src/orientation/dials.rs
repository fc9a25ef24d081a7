//! From the dials of one shot, as typed, to a plane, a line, an angle, and what does not agree: at every key.

use super::adjustment::{
    Adjusted, Context, Diagnosis, Explanation, FrameDials, Residual, Typed as AsTyped,
    diagnose_typed, dials_word,
};
use super::angle::{Angle, Azimuth, Bound, Dip, Plunge, Rake, padded, wrap_deg};
use super::doubt::{Choice, Dial, Doubt, DoubtKind, Severity};
use super::line::Line;
use super::noise::Noise;
use super::notation::{Quadrant, quadrant, typed, write_azimuth, write_inclination};
use super::pair::{Pair, Toward, horizontal, settle, vertical};
use super::plane::Plane;
use super::slip::beyond;

/// The dials of one shot, exactly as typed; a dial with fewer digits than it has cells is still being typed and left out.
///
/// Azimuths, rake and angle have three cells, dip and plunge two; decimals and ½ may follow, and where they do, or a degree
/// sign does, the number has ended with fewer digits too. An azimuth may also be counted in a quadrant, `N45E`; without its
/// closing letter it is still being typed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Dials<'a> {
    /// The strike end read.
    pub strike: Option<&'a str>,
    /// The dip.
    pub dip: Option<&'a str>,
    /// The side it dips to: compass letters, or an azimuth.
    pub side: Option<&'a str>,
    /// The dip direction.
    pub toward: Option<&'a str>,
    /// The trend of the line.
    pub trend: Option<&'a str>,
    /// The plunge of the line.
    pub plunge: Option<&'a str>,
    /// The line points up along its trend.
    pub up: bool,
    /// The rake, from the right-hand strike end.
    pub rake: Option<&'a str>,
    /// The angle between two planes.
    pub angle: Option<&'a str>,
    /// The right-hand rule holds by itself: no side is asked.
    pub right_hand: bool,
}

/// What the dials of one shot come to.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Reduced {
    /// The plane, once it is known.
    pub plane: Option<Plane>,
    /// Both planes while the side is unknown: the westerly first (as [`super::sides`]), or, when the side lies along the
    /// strike, in the order of that doubt's first two choices.
    pub candidates: Vec<Plane>,
    /// The line: from trend and plunge, else from the plane and the rake, else from the plane and the trend.
    pub line: Option<Line>,
    /// The rake as read, else the one the line has in the plane, degrees.
    pub rake_deg: Option<f64>,
    /// The angle between two planes as read, degrees.
    pub angle_deg: Option<f64>,
    /// The complete dials of the frame of plane and line, once its side is settled.
    pub frame: Option<FrameDials>,
    /// Plane and line adjusted to all dials, where they agree and more were read than needed.
    pub adjusted: Option<Adjusted>,
    /// The dials of the frame held against each other, where four or more are complete.
    pub diagnosis: Option<Box<Diagnosis>>,
    /// What does not agree, or is worth saying, in the order of the dials.
    pub doubts: Vec<Doubt>,
}

/// A line more standard deviations off its plane, or a rake off its line, than this is told as what contradicts, once a set-up
/// is doubted.
pub const SET_UP_LIMIT: f64 = 3.0;

/// Reduces the dials of one shot with the default noise.
#[must_use]
pub fn reduce(dials: &Dials<'_>) -> Reduced {
    reduce_with(dials, &Noise::default())
}

/// Reduces the dials of one shot, and checks them against each other with the noise of their set-up.
///
/// # Degenerate input
/// Absent, partial or unreadable dials leave out what needs them. A strike, trend or dip direction over 360 is drawn less
/// whole turns, a dip or plunge over 90 makes no plane or line; each raises a doubt.
#[must_use]
pub fn reduce_with(dials: &Dials<'_>, noise: &Noise) -> Reduced {
    reduce_in(dials, &Context::new(noise))
}

/// Reduces the dials of one shot, and checks them against each other with all that is known of their set-up.
///
/// # Degenerate input
/// As [`reduce_with`].
#[must_use]
pub fn reduce_in(dials: &Dials<'_>, context: &Context<'_>) -> Reduced {
    let noise = context.noise;
    let mut out = Reduced::default();
    let doubts = &mut out.doubts;
    let strike = azimuth(dials, Dial::Strike, dials.strike, doubts);
    let dip =
        number(dials, Dial::Dip, dials.dip, 2, doubts).and_then(|deg| Dip::from_deg(deg).ok());
    let toward = azimuth(dials, Dial::Toward, dials.toward, doubts);
    let side = side(dials.side, doubts);
    let trend = azimuth(dials, Dial::Trend, dials.trend, doubts);
    let plunge = number(dials, Dial::Plunge, dials.plunge, 2, doubts)
        .map(|deg| if dials.up { -deg.abs() } else { deg })
        .and_then(|deg| Plunge::from_deg(deg).ok());
    let rake = number(dials, Dial::Rake, dials.rake, 3, doubts);
    out.angle_deg = number(dials, Dial::Angle, dials.angle, 3, doubts)
        .and_then(|deg| Angle::from_deg(deg).ok())
        .map(Angle::deg);

    let read_line = trend.zip(plunge).map(|(t, p)| Line::new(t, p));
    let pair = plane(dials, strike, dip, toward, side, noise);
    out.plane = pair.plane;
    out.candidates = pair.candidates;
    out.doubts.extend(pair.doubts);
    if out.plane.is_none()
        && dips_unread(dials)
        && let (Some(strike), Some(line)) = (strike, read_line)
    {
        out.plane = Plane::from_apparent_dip(strike, &line);
    }

    // As an axis, a rake past 180 is the same line as that rake less 180.
    let in_range = rake.and_then(|deg| {
        let less = if deg > 180.0 { deg - 180.0 } else { deg };
        Rake::from_deg(less).ok()
    });
    out.rake_deg = rake;
    out.line = read_line;
    out.frame = frame(dials, &out, strike, dip, toward, side, trend, plunge);
    judge(dials, &mut out, strike, side, context);
    let Some(plane) = out.plane else {
        return note_vertical_line(out);
    };
    match (out.line, in_range, trend) {
        (Some(_), _, _) => {}
        (None, Some(rake), _) => out.line = Some(plane.line_at(rake)),
        (None, None, Some(trend)) => {
            out.line = Some(Line::new(trend, plane.apparent_dip(trend)));
        }
        (None, None, None) => {}
    }
    if out.rake_deg.is_none()
        && let Some(line) = &out.line
    {
        out.rake_deg = plane.rake_of(line).map(Rake::deg);
    }
    note_vertical_line(out)
}

/// The complete dials of plane and line, three at least, with the strike at its right-hand end.
#[allow(clippy::too_many_arguments)] // the dials, one by one
fn frame(
    dials: &Dials<'_>,
    out: &Reduced,
    strike: Option<Azimuth>,
    dip: Option<Dip>,
    toward: Option<Azimuth>,
    side: Option<Toward>,
    trend: Option<Azimuth>,
    plunge: Option<Plunge>,
) -> Option<FrameDials> {
    let strike = match (strike, &out.plane) {
        (None, _) => None,
        (Some(read), None) if dips_unread(dials) && dials.right_hand => Some(read),
        // Without a dip the line says which way the plane dips.
        (Some(read), Some(plane)) => Some(
            if plane
                .along_strike()
                .dot(&Plane::new(read, Dip::clamped(0.0)).along_strike())
                < 0.0
            {
                read.opposite()
            } else {
                read
            },
        ),
        (Some(_), None) => return None,
    };
    let found = FrameDials {
        strike_deg: strike.map(Azimuth::deg),
        dip_deg: dip.map(Dip::deg),
        toward_deg: toward.or(azimuth_of(side)).map(Azimuth::deg),
        trend_deg: trend.map(Azimuth::deg),
        plunge_deg: plunge.map(Plunge::deg),
        rake_deg: out.rake_deg.filter(|deg| Bound::RAKE.holds(*deg)),
        side_read: side.is_some() || !dials.right_hand,
    };
    (found.count() >= 3).then_some(found)
}

fn azimuth_of(side: Option<Toward>) -> Option<Azimuth> {
    match side {
        Some(Toward::Azimuth(azimuth)) => Some(azimuth),
        _ => None,
    }
}

/// A complete number of a dial, in range or not; a doubt where it is out of range or not a number.
fn number(
    dials: &Dials<'_>,
    dial: Dial,
    text: Option<&str>,
    cells: usize,
    doubts: &mut Vec<Doubt>,
) -> Option<f64> {
    let text = text?.trim();
    if text.is_empty() {
        return None;
    }
    let Some(number) = typed(text) else {
        doubts.push(unreadable(dial, text));
        return None;
    };
    let deg = number.deg;
    if deg >= 0.0 && !number.is_whole(text, cells) {
        return None;
    }
    doubts.extend(beyond(dial, deg, dials));
    Some(deg)
}

/// A complete azimuth in digits or by its quadrant, whole turns taken off.
fn azimuth(
    dials: &Dials<'_>,
    dial: Dial,
    text: Option<&str>,
    doubts: &mut Vec<Doubt>,
) -> Option<Azimuth> {
    match text.and_then(quadrant) {
        Some(Quadrant::Whole(deg)) => return Azimuth::wrapped_deg(deg).ok(),
        Some(Quadrant::Partial) => return None,
        None => {}
    }
    number(dials, dial, text, 3, doubts).and_then(|deg| Azimuth::wrapped_deg(deg).ok())
}

/// The doubts of dials that are not whole, where nobody is typing them any more: in one that is kept a digit is missing, or
/// was left out on purpose, and the number alone does not tell which.
///
/// # Degenerate input
/// Absent dials and those that are no number say nothing here; the reduction says what is wrong with them.
#[must_use]
pub fn unfinished(dials: &Dials<'_>) -> Vec<Doubt> {
    let cells = [
        (Dial::Strike, dials.strike, 3),
        (Dial::Dip, dials.dip, 2),
        (Dial::Toward, dials.toward, 3),
        (Dial::Trend, dials.trend, 3),
        (Dial::Plunge, dials.plunge, 2),
        (Dial::Rake, dials.rake, 3),
        (Dial::Angle, dials.angle, 3),
    ];
    let doubt = |(dial, text, cells): (Dial, Option<&str>, usize)| {
        let text = text?.trim();
        let is_azimuth = matches!(dial, Dial::Strike | Dial::Toward | Dial::Trend);
        let (lacks, whole) = match quadrant(text).filter(|_| is_azimuth) {
            Some(Quadrant::Whole(_)) => return None,
            Some(Quadrant::Partial) => {
                let whole = ["E", "W"].map(|letter| format!("{text}{letter}"));
                let whole = whole.into_iter().filter(|text| quadrant(text).is_some());
                ("lacks its last letter, E or W".to_owned(), whole.collect())
            }
            None => {
                let number = typed(text).filter(|number| number.deg >= 0.0)?;
                if number.is_whole(text, cells) {
                    return None;
                }
                let whole = padded(number.deg, cells);
                (
                    format!(
                        "has {} of its {cells} digits; {whole} if that is all of it",
                        number.digits
                    ),
                    vec![whole],
                )
            }
        };
        Some(Doubt {
            kind: DoubtKind::Unreadable,
            severity: Severity::Doubt,
            dial: Some(dial),
            message: format!("{} `{text}` {lacks}", dial.words()),
            choices: whole
                .into_iter()
                .map(|text| Choice {
                    words: text.clone(),
                    sets: vec![(dial, text)],
                })
                .collect(),
        })
    };
    cells.into_iter().filter_map(doubt).collect()
}

fn side(text: Option<&str>, doubts: &mut Vec<Doubt>) -> Option<Toward> {
    let text = text?.trim();
    if text.is_empty() {
        return None;
    }
    let side = Toward::read(text);
    if side.is_none() {
        doubts.push(unreadable(Dial::Side, text));
    }
    side
}

fn unreadable(dial: Dial, text: &str) -> Doubt {
    let wanted = match dial {
        Dial::Side => "compass letters, as SE",
        Dial::Dip | Dial::Plunge | Dial::Vertical => "a number of degrees, as 30",
        _ => "a number of degrees, as 045",
    };
    Doubt {
        kind: DoubtKind::Unreadable,
        severity: Severity::Doubt,
        dial: Some(dial),
        message: format!("`{text}` is not {wanted}"),
        choices: Vec::new(),
    }
}

/// Whether no dip was typed at all, so that a line may stand in for it.
fn dips_unread(dials: &Dials<'_>) -> bool {
    dials.dip.is_none_or(|text| text.trim().is_empty())
}

fn plane(
    dials: &Dials<'_>,
    strike: Option<Azimuth>,
    dip: Option<Dip>,
    toward: Option<Azimuth>,
    side: Option<Toward>,
    noise: &Noise,
) -> Pair {
    let Some(dip) = dip else {
        return Pair::default();
    };
    match (strike, toward.map(Toward::Azimuth).or(side)) {
        (Some(strike), None) if dials.right_hand => {
            let note = match dip.deg() {
                0.0 => vec![horizontal(strike)],
                90.0 => vec![vertical(strike, None)],
                _ => Vec::new(),
            };
            Pair {
                plane: Some(Plane::new(strike, dip)),
                candidates: Vec::new(),
                doubts: note,
            }
        }
        (Some(strike), side) => settle(strike, dip, side, noise),
        (None, Some(Toward::Azimuth(toward))) => {
            let plane = Plane::from_dip_direction(toward, dip);
            let note = match dip.deg() {
                0.0 => vec![horizontal(plane.strike())],
                90.0 => vec![vertical(plane.strike(), None)],
                _ => Vec::new(),
            };
            Pair {
                plane: Some(plane),
                candidates: Vec::new(),
                doubts: note,
            }
        }
        (None, _) => Pair::default(),
    }
}

fn note_vertical_line(mut out: Reduced) -> Reduced {
    if let Some(line) = &out.line
        && line.plunge().deg().abs() == 90.0
    {
        out.doubts.push(Doubt {
            kind: DoubtKind::VerticalLine,
            severity: Severity::Note,
            dial: Some(Dial::Trend),
            message: format!(
                "a vertical line has no trend; {} is kept, without meaning",
                write_azimuth(line.trend())
            ),
            choices: Vec::new(),
        });
    }
    out
}

/// Holds the dials of plane and line against each other, where there are more than needed.
fn judge(
    dials: &Dials<'_>,
    out: &mut Reduced,
    strike: Option<Azimuth>,
    side: Option<Toward>,
    context: &Context<'_>,
) {
    let Some(frame) = out.frame.filter(|frame| frame.count() >= 4) else {
        return;
    };
    let wind_deg = match side {
        Some(Toward::Wind(wind)) => Some((wind.azimuth_deg(), wind.winds().half_sector_deg())),
        _ => None,
    };
    let typed = AsTyped {
        strike_deg: strike.map(Azimuth::deg),
        side: dials.side.map(str::trim).filter(|_| wind_deg.is_some()),
        wind_deg,
        side_open: side.is_none() && frame.toward_deg.is_none() && !dials.right_hand,
    };
    let diagnosis = diagnose_typed(&frame, &typed, context);
    if let Some(adjusted) = &diagnosis.adjusted {
        if diagnosis.doubted {
            out.doubts
                .push(set_up(out, &diagnosis, adjusted, context.noise));
        } else if adjusted.dof >= 1 {
            out.adjusted = Some(adjusted.clone());
        }
        // Strike and dip direction were judged together with all the others.
        out.doubts
            .retain(|doubt| doubt.kind != DoubtKind::NotSquare);
    }
    out.diagnosis = Some(Box::new(diagnosis));
}

/// The doubt about a set-up whose dials cannot all be right, with its explanations as choices.
fn set_up(out: &Reduced, diagnosis: &Diagnosis, adjusted: &Adjusted, noise: &Noise) -> Doubt {
    let best = diagnosis.explanations.first();
    let changed = best.and_then(|best| best.sets.first().map(|(dial, _)| *dial));
    let worst = adjusted.worst();
    Doubt {
        kind: DoubtKind::SetUp,
        severity: Severity::Doubt,
        dial: changed.or(worst.map(|worst| worst.dial)),
        message: contradiction(out, noise).unwrap_or_else(|| {
            let count = dials_word(adjusted.residuals.len());
            let verb = if diagnosis.as_read_odds < 0.01 {
                "cannot"
            } else {
                "may not"
            };
            worst.map_or_else(
                || format!("these {count} dials {verb} all be right"),
                |worst| {
                    format!(
                        "these {count} dials {verb} all be right: the {} is {:.0} × ±{:.1}° off",
                        worst.dial.words(),
                        Residual::ratio(worst),
                        worst.sd_deg
                    )
                },
            )
        }),
        choices: diagnosis
            .explanations
            .iter()
            .map(Explanation::choice)
            .collect(),
    }
}

/// What contradicts what, told by the numbers.
fn contradiction(out: &Reduced, noise: &Noise) -> Option<String> {
    let (plane, line) = (out.plane.as_ref()?, out.line.as_ref()?);
    let off_deg = plane.angle_to_line(line).deg();
    if off_deg > SET_UP_LIMIT * noise.off_plane_sd_deg(plane, line) {
        let (plunge, dip) = (line.plunge().deg(), plane.dip().deg());
        return Some(if plunge.abs() > dip {
            format!(
                "a line in a plane dipping {} cannot plunge {}",
                write_inclination(dip),
                write_inclination(plunge.abs())
            )
        } else {
            format!(
                "the line plunging {} towards {} lies {off_deg:.0}° off the plane it was read on",
                write_inclination(plunge),
                write_azimuth(line.trend())
            )
        });
    }
    let frame = out.frame.as_ref()?;
    frame.trend_deg.zip(frame.plunge_deg)?;
    let (read, expected) = (frame.rake_deg?, plane.rake_of(line)?.deg());
    // As an axis, rake 000 is rake 180.
    let apart = wrap_deg(read - expected) % 180.0;
    let apart = apart.min(180.0 - apart);
    (apart > SET_UP_LIMIT * noise.rake_difference_sd_deg(plane, line)).then(|| {
        format!(
            "trend and plunge put the line at rake {expected:.0}, and the dial says {}: {:.0}° away along the plane",
            padded(read, 1),
            (read - expected).abs()
        )
    })
}
