//! Reading what a person wrote: never fails, gives the value if there is one, and what is doubtful about it.

use super::number::{Typed, plain};
use super::pieces::{Bearing, Form, Item, bearing, items};
use super::write::{PlaneStyle, write_line, write_plane};
use crate::orientation::angle::{Azimuth, Bound, Dip, Plunge, padded, wrap_deg};
use crate::orientation::dials::Dials;
use crate::orientation::doubt::{Choice, Dial, Doubt, DoubtKind, Severity};
use crate::orientation::line::Line;
use crate::orientation::noise::Noise;
use crate::orientation::pair::{Pair, Toward, horizontal, settle, vertical};
use crate::orientation::plane::Plane;
use crate::orientation::slip::beyond;
use crate::orientation::wind::Wind;

/// What a bare pair of numbers means in a book.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Convention {
    /// Right-hand strike and dip.
    #[default]
    RightHand,
    /// A strike at either end and a dip: the side has to be written.
    StrikeDip,
    /// Dip and dip direction; a number of three digits, or over 90, is the direction, in whichever place.
    DipDirection,
}

/// What a text was read as.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Read {
    /// The plane it stands for.
    pub plane: Option<Plane>,
    /// The line it stands for.
    pub line: Option<Line>,
    /// What is doubtful, or worth saying.
    pub doubts: Vec<Doubt>,
}

/// The longest text that is taken for one reading, bytes.
const LONGEST: usize = 200;

/// Reads one plane or line in any of the written forms.
///
/// # Degenerate input
/// Never fails: a text that is no reading gives neither plane nor line, and a doubt that says what is wanted.
///
/// # Examples
/// ```
/// use hingeline::orientation::{Convention, notation};
/// let read = notation::read("n20w/45 sw", Convention::RightHand);
/// assert_eq!(read.plane.map(|p| p.strike().deg()), Some(160.0));
/// ```
#[must_use]
pub fn read(text: &str, convention: Convention) -> Read {
    let short = text.trim();
    if short.is_empty() || short.len() > LONGEST {
        return unreadable(short);
    }
    let lower = plain(short);
    let (wanted, body) = wanted(lower.trim());
    let mut read = match items(body) {
        Some(items) => match_items(&items, short, convention, wanted),
        None => unreadable(short),
    };
    // What the text itself asks for is no longer ambiguous.
    let settled = match (wanted, &read.plane, &read.line) {
        (Wanted::Plane, Some(_), Some(_)) => read.line.take().is_some(),
        (Wanted::Line, Some(_), Some(_)) => read.plane.take().is_some(),
        _ => false,
    };
    if settled {
        read.doubts.retain(|d| d.kind != DoubtKind::Ambiguous);
    }
    read
}

/// Whether the text says itself what it is.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Wanted {
    Either,
    Plane,
    Line,
}

fn wanted(text: &str) -> (Wanted, &str) {
    for (word, wanted) in [("plane", Wanted::Plane), ("line", Wanted::Line)] {
        if let Some(start) = text.get(..word.len())
            && start.eq_ignore_ascii_case(word)
        {
            let rest = text.get(word.len()..).unwrap_or("");
            return (wanted, rest.trim_start_matches([' ', ':']));
        }
    }
    (Wanted::Either, text)
}

fn match_items(items: &[Item], text: &str, convention: Convention, wanted: Wanted) -> Read {
    match items {
        [Item::Number(first), Item::Number(second)] => {
            bare(*first, *second, text, convention, wanted)
        }
        [Item::Number(first), Item::Arrow, rest @ ..] => match bearing(rest) {
            Some((second, [])) if second.form != Form::Axis => arrow(*first, second, text, true),
            _ => unreadable(text),
        },
        [Item::Number(first), rest @ ..]
            if matches!(rest, [Item::Letters(_), Item::Number(_), Item::Letters(_)]) =>
        {
            match bearing(rest) {
                Some((second, [])) => {
                    let plane_too =
                        convention == Convention::DipDirection || wanted == Wanted::Plane;
                    arrow(*first, second, text, plane_too)
                }
                _ => unreadable(text),
            }
        }
        _ => match bearing(items) {
            Some((strike, [Item::Number(dip), Item::Letters(side)])) => {
                with_side(strike, *dip, side, text)
            }
            Some((strike, [Item::Letters(side), Item::Number(dip)]))
                if strike.form != Form::Number =>
            {
                with_side(strike, *dip, side, text)
            }
            Some((strike, [Item::Number(dip)])) if strike.form != Form::Number => {
                quadrant_pair(strike, *dip, convention, wanted)
            }
            _ => unreadable(text),
        },
    }
}

fn unreadable(text: &str) -> Read {
    let shown: String = text.chars().take(40).collect();
    Read {
        plane: None,
        line: None,
        doubts: vec![Doubt {
            kind: DoubtKind::Unreadable,
            severity: Severity::Doubt,
            dial: None,
            message: format!(
                "`{shown}` is not a reading; write a plane as 045/30SE or N45E/30SE, a line as 12→240"
            ),
            choices: Vec::new(),
        }],
    }
}

/// Range doubts of some dials, with the others to judge them by; where no side is written, the right-hand rule may hold.
fn range_doubts(values: &[(Dial, f64)], side: Option<&str>, right_hand: bool) -> Vec<Doubt> {
    let written: Vec<(Dial, String)> = values
        .iter()
        .map(|(dial, deg)| {
            let cells = if matches!(dial, Dial::Dip | Dial::Plunge) {
                2
            } else {
                3
            };
            (*dial, padded(*deg, cells))
        })
        .collect();
    let find = |wanted: Dial| {
        written
            .iter()
            .find(|(d, _)| *d == wanted)
            .map(|(_, t)| t.as_str())
    };
    let dials = Dials {
        strike: find(Dial::Strike),
        dip: find(Dial::Dip),
        toward: find(Dial::Toward),
        trend: find(Dial::Trend),
        plunge: find(Dial::Plunge),
        side,
        right_hand,
        ..Dials::default()
    };
    values
        .iter()
        .filter_map(|(dial, deg)| beyond(*dial, *deg, &dials))
        .collect()
}

/// The plane of a dip direction, with the notes its degenerate attitudes ask for.
fn plane_toward(toward: Azimuth, dip: Dip) -> (Plane, Option<Doubt>) {
    let plane = Plane::from_dip_direction(toward, dip);
    (plane, degenerate(&plane))
}

fn degenerate(plane: &Plane) -> Option<Doubt> {
    match plane.dip().deg() {
        0.0 => Some(horizontal(plane.strike())),
        90.0 => Some(vertical(plane.strike(), None)),
        _ => None,
    }
}

/// Strike and dip with a written side.
fn with_side(strike: Bearing, dip: Typed, side: &str, text: &str) -> Read {
    let Some(wind) = Wind::read(side) else {
        return unreadable(text);
    };
    let doubts = range_doubts(
        &[(Dial::Strike, strike.typed.deg), (Dial::Dip, dip.deg)],
        Some(side),
        false,
    );
    let parts = Azimuth::wrapped_deg(strike.typed.deg)
        .ok()
        .zip(Dip::from_deg(dip.deg).ok());
    let Some((azimuth, dip)) = parts else {
        return Read {
            plane: None,
            line: None,
            doubts,
        };
    };
    let pair = settle(azimuth, dip, Some(Toward::Wind(wind)), &Noise::default());
    read_pair(pair, strike.form, doubts)
}

fn read_pair(pair: Pair, form: Form, mut doubts: Vec<Doubt>) -> Read {
    // A strike counted from the north end by custom is no news.
    doubts.extend(
        pair.doubts
            .into_iter()
            .filter(|d| form == Form::Number || d.kind != DoubtKind::OtherEnd),
    );
    Read {
        plane: pair.plane,
        line: None,
        doubts,
    }
}

/// Two bare numbers.
fn bare(first: Typed, second: Typed, text: &str, convention: Convention, wanted: Wanted) -> Read {
    if wanted == Wanted::Line {
        let (plunge, trend) = if is_azimuth(first) && !is_azimuth(second) {
            (second, first)
        } else {
            (first, second)
        };
        return line(
            plunge,
            Bearing {
                typed: trend,
                form: Form::Number,
            },
        );
    }
    match convention {
        Convention::RightHand | Convention::StrikeDip => {
            let mut doubts = range_doubts(
                &[(Dial::Strike, first.deg), (Dial::Dip, second.deg)],
                None,
                convention == Convention::RightHand,
            );
            let parts = Azimuth::wrapped_deg(first.deg)
                .ok()
                .zip(Dip::from_deg(second.deg).ok());
            let Some((strike, dip)) = parts else {
                return Read {
                    plane: None,
                    line: None,
                    doubts,
                };
            };
            if convention == Convention::StrikeDip {
                return without_side(strike, dip, doubts);
            }
            let plane = Plane::new(strike, dip);
            doubts.extend(degenerate(&plane));
            Read {
                plane: Some(plane),
                line: None,
                doubts,
            }
        }
        Convention::DipDirection => dip_direction(first, second, text),
    }
}

fn is_azimuth(number: Typed) -> bool {
    number.digits >= 3 || number.deg > 90.0
}

fn dip_direction(first: Typed, second: Typed, text: &str) -> Read {
    let swapped = is_azimuth(first) && !is_azimuth(second);
    let (dip, toward) = if swapped {
        (second, first)
    } else {
        (first, second)
    };
    let mut doubts = range_doubts(
        &[(Dial::Dip, dip.deg), (Dial::Toward, toward.deg)],
        None,
        false,
    );
    let parts = Dip::from_deg(dip.deg)
        .ok()
        .zip(Azimuth::wrapped_deg(toward.deg).ok());
    let Some((dip_angle, azimuth)) = parts else {
        return Read {
            plane: None,
            line: None,
            doubts,
        };
    };
    let (plane, note) = plane_toward(azimuth, dip_angle);
    // Both in three digits, or both in two, and both could be a dip: the order alone decides.
    let undecided = is_azimuth(first) == is_azimuth(second) && Bound::DIP.holds(second.deg);
    if undecided && is_azimuth(first) && first.deg != second.deg {
        let other = Plane::from_deg(wrap_deg(first.deg - 90.0), second.deg).ok();
        doubts.push(Doubt {
            kind: DoubtKind::Ambiguous,
            severity: Severity::Doubt,
            dial: None,
            message: format!(
                "`{text}` could be either number first; it is taken as dip {} towards {}, so write the dip in two digits",
                padded(dip.deg, 2),
                padded(toward.deg, 3)
            ),
            choices: [Some(plane), other]
                .into_iter()
                .flatten()
                .map(|p| choice_of_plane(&p))
                .collect(),
        });
    }
    doubts.extend(note);
    Read {
        plane: Some(plane),
        line: None,
        doubts,
    }
}

fn choice_of_plane(plane: &Plane) -> Choice {
    Choice {
        words: write_plane(plane, PlaneStyle::DipDirection),
        sets: vec![
            (Dial::Dip, padded(plane.dip().deg(), 2)),
            (Dial::Toward, padded(plane.dip_direction().deg(), 3)),
        ],
    }
}

/// A strike at either end and a dip, but no side.
fn without_side(strike: Azimuth, dip: Dip, mut doubts: Vec<Doubt>) -> Read {
    let pair = settle(strike, dip, None, &Noise::default());
    if pair.plane.is_none() {
        let written: Vec<String> = pair
            .candidates
            .iter()
            .map(|p| write_plane(p, PlaneStyle::StrikeDip))
            .collect();
        let sides: Vec<Wind> = pair
            .candidates
            .iter()
            .map(|p| {
                Wind::nearest(
                    p.dip_direction().deg(),
                    crate::orientation::wind::Winds::Eight,
                )
            })
            .collect();
        doubts.push(Doubt {
            kind: DoubtKind::Ambiguous,
            severity: Severity::Doubt,
            dial: Some(Dial::Side),
            message: format!(
                "the side is missing: {}; write it behind the dip",
                written.join(" or ")
            ),
            choices: sides
                .iter()
                .zip(&written)
                .map(|(side, plane)| Choice {
                    words: format!("dips to the {}: {plane}", side.words()),
                    sets: vec![(Dial::Side, side.name().to_owned())],
                })
                .collect(),
        });
    }
    doubts.extend(pair.doubts);
    Read {
        plane: pair.plane,
        line: None,
        doubts,
    }
}

fn line(plunge: Typed, trend: Bearing) -> Read {
    let mut doubts = range_doubts(
        &[(Dial::Trend, trend.typed.deg), (Dial::Plunge, plunge.deg)],
        None,
        false,
    );
    let line = Azimuth::wrapped_deg(trend.typed.deg)
        .ok()
        .zip(Plunge::from_deg(plunge.deg).ok())
        .map(|(t, p)| Line::new(t, p));
    if let Some(line) = &line
        && line.plunge().deg().abs() == 90.0
    {
        doubts.push(Doubt {
            kind: DoubtKind::VerticalLine,
            severity: Severity::Note,
            dial: Some(Dial::Trend),
            message: format!(
                "a vertical line has no trend; {} is kept, without meaning",
                padded(line.trend().deg(), 3)
            ),
            choices: Vec::new(),
        });
    }
    Read {
        plane: None,
        line,
        doubts,
    }
}

/// An inclination that points to an azimuth: a line, and a dip with its direction where that is asked for.
fn arrow(inclination: Typed, to: Bearing, text: &str, plane_too: bool) -> Read {
    let mut read = line(inclination, to);
    let Some(axis) = read.line else {
        return read;
    };
    if !plane_too {
        return read;
    }
    let Ok(dip) = Dip::from_deg(inclination.deg) else {
        return read;
    };
    let (plane, _) = plane_toward(axis.trend(), dip);
    read.plane = Some(plane);
    read.doubts.insert(
        0,
        Doubt {
            kind: DoubtKind::Ambiguous,
            severity: Severity::Note,
            dial: None,
            message: format!(
                "`{text}` stands for a line and for a plane by its dip direction; both are given"
            ),
            choices: both_choices(&plane, &axis),
        },
    );
    read
}

fn both_choices(plane: &Plane, line: &Line) -> Vec<Choice> {
    vec![
        Choice {
            words: format!("the line {}", write_line(line, PlaneStyle::StrikeDip)),
            sets: vec![
                (Dial::Trend, padded(line.trend().deg(), 3)),
                (Dial::Plunge, padded(line.plunge().deg(), 2)),
            ],
        },
        Choice {
            words: format!("the plane {}", write_plane(plane, PlaneStyle::StrikeDip)),
            sets: vec![
                (Dial::Dip, padded(plane.dip().deg(), 2)),
                (Dial::Toward, padded(plane.dip_direction().deg(), 3)),
            ],
        },
    ]
}

/// A quadrant bearing and a number without a side: a plane that lacks its side, or a line by its trend and plunge.
fn quadrant_pair(
    bearing: Bearing,
    inclination: Typed,
    convention: Convention,
    wanted: Wanted,
) -> Read {
    let axis_alone = bearing.form == Form::Axis;
    let as_line = line(inclination, bearing);
    if as_line.line.is_none() || (wanted == Wanted::Line && !axis_alone) {
        return as_line;
    }
    let azimuth = Azimuth::wrapped_deg(bearing.typed.deg).ok();
    let parts = azimuth.zip(Dip::from_deg(inclination.deg).ok());
    let Some((azimuth, dip)) = parts else {
        return as_line;
    };
    let plane = Plane::new(azimuth, dip);
    // A plane written in quadrants without a side is whole only where it has no side.
    if let Some(note) = degenerate(&plane) {
        let level = plane.dip().deg() == 0.0 && !axis_alone;
        return Read {
            plane: Some(plane),
            line: as_line.line.filter(|_| level),
            doubts: vec![note],
        };
    }
    if axis_alone {
        return without_side(azimuth, dip, Vec::new());
    }
    if convention == Convention::StrikeDip {
        let mut read = without_side(azimuth, dip, Vec::new());
        read.line = as_line.line;
        return read;
    }
    let mut choices = Vec::new();
    let mut written = String::new();
    if let Some(line) = &as_line.line {
        choices = both_choices(&plane, line);
        written = write_line(line, PlaneStyle::Quadrant);
    }
    Read {
        plane: Some(plane),
        line: as_line.line,
        doubts: vec![Doubt {
            kind: DoubtKind::Ambiguous,
            severity: Severity::Doubt,
            dial: Some(Dial::Side),
            message: format!(
                "the line {written} or a plane without its side, taken as {}; write the side behind the dip",
                write_plane(&plane, PlaneStyle::StrikeDip)
            ),
            choices,
        }],
    }
}
