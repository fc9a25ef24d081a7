//! The dials that a written text names, one by one: `045/30SE` is strike 045, dip 30, side SE.

use super::number::{Typed, plain};
use super::pieces::{Bearing, Form, Item, bearing, items};
use super::read::Convention;
use super::write::quadrant;
use crate::orientation::angle::padded;
use crate::orientation::wind::Wind;

/// What a text that could be a plane or a line is meant for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Meant {
    /// Nobody says.
    Either,
    /// A plane.
    Plane,
    /// A line.
    Line,
}

/// Dials as they would have been typed: three digits for an azimuth, two for an inclination.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Dialled {
    pub(crate) strike: Option<String>,
    pub(crate) dip: Option<String>,
    pub(crate) side: Option<String>,
    pub(crate) toward: Option<String>,
    pub(crate) trend: Option<String>,
    pub(crate) plunge: Option<String>,
    /// The line points up along its trend.
    pub(crate) up: bool,
}

impl Dialled {
    fn plane(strike: &Bearing, dip: Typed, side: Option<Wind>) -> Self {
        Self {
            strike: Some(azimuth(strike)),
            dip: Some(padded(dip.deg, 2)),
            side: side.map(|side| side.name().to_owned()),
            ..Self::default()
        }
    }

    fn toward(toward: &Bearing, dip: Typed) -> Self {
        Self {
            toward: Some(azimuth(toward)),
            dip: Some(padded(dip.deg, 2)),
            ..Self::default()
        }
    }

    fn line(trend: &Bearing, plunge: Typed) -> Self {
        Self {
            trend: Some(azimuth(trend)),
            plunge: Some(padded(plunge.deg.abs(), 2)),
            up: plunge.deg < 0.0,
            ..Self::default()
        }
    }
}

/// Takes a text apart into its dials.
///
/// # Degenerate input
/// Numbers out of range stay as they are; a text that is no reading: none.
pub(crate) fn dialled(text: &str, convention: Convention, meant: Meant) -> Option<Dialled> {
    const LONGEST: usize = 200;
    let text = text.trim();
    if text.is_empty() || text.len() > LONGEST {
        return None;
    }
    let lower = plain(text);
    let mut body = lower.trim();
    let mut meant = meant;
    for (word, wanted) in [("plane", Meant::Plane), ("line", Meant::Line)] {
        let start = body.get(..word.len());
        if start.is_some_and(|start| start.eq_ignore_ascii_case(word)) {
            body = body.get(word.len()..)?.trim_start_matches([' ', ':']);
            meant = wanted;
        }
    }
    let items = items(body)?;
    match items.as_slice() {
        [Item::Number(first), Item::Number(second)] => {
            Some(bare(*first, *second, convention, meant))
        }
        [Item::Number(first), Item::Arrow, rest @ ..] => match bearing(rest)? {
            (to, []) if to.form != Form::Axis => Some(arrow(*first, &to, convention, meant)),
            _ => None,
        },
        [Item::Number(first), rest @ ..]
            if matches!(rest, [Item::Letters(_), Item::Number(_), Item::Letters(_)]) =>
        {
            match bearing(rest)? {
                (to, []) => Some(arrow(*first, &to, convention, meant)),
                _ => None,
            }
        }
        _ => match bearing(&items)? {
            (strike, [Item::Number(dip), Item::Letters(side)]) => {
                Some(Dialled::plane(&strike, *dip, Some(Wind::read(side)?)))
            }
            (strike, [Item::Letters(side), Item::Number(dip)]) if strike.form != Form::Number => {
                Some(Dialled::plane(&strike, *dip, Some(Wind::read(side)?)))
            }
            (bearing, [Item::Number(dip)]) if bearing.form != Form::Number => Some(match meant {
                Meant::Line if bearing.form == Form::Quadrant => Dialled::line(&bearing, *dip),
                _ => Dialled::plane(&bearing, *dip, None),
            }),
            _ => None,
        },
    }
}

/// Whether a number can only be an azimuth.
fn is_azimuth(number: Typed) -> bool {
    number.digits >= 3 || number.deg > 90.0
}

fn number(typed: Typed) -> Bearing {
    Bearing {
        typed,
        form: Form::Number,
    }
}

fn bare(first: Typed, second: Typed, convention: Convention, meant: Meant) -> Dialled {
    // The inclination first, but for a pair whose first number can only be the azimuth.
    let (inclination, azimuth) = if is_azimuth(first) && !is_azimuth(second) {
        (second, first)
    } else {
        (first, second)
    };
    match (meant, convention) {
        (Meant::Line, _) => Dialled::line(&number(azimuth), inclination),
        (_, Convention::DipDirection) => Dialled::toward(&number(azimuth), inclination),
        _ => Dialled::plane(&number(first), second, None),
    }
}

fn arrow(inclination: Typed, to: &Bearing, convention: Convention, meant: Meant) -> Dialled {
    match (meant, convention) {
        (Meant::Plane, _) | (Meant::Either, Convention::DipDirection) => {
            Dialled::toward(to, inclination)
        }
        _ => Dialled::line(to, inclination),
    }
}

fn azimuth(bearing: &Bearing) -> String {
    match bearing.form {
        Form::Quadrant => quadrant(bearing.typed.deg),
        Form::Number | Form::Axis => padded(bearing.typed.deg, 3),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(text: &str, convention: Convention, meant: Meant, wanted: &str) {
        let found = dialled(text, convention, meant).map(|d| {
            let dials = [
                ("strike", d.strike),
                ("dip", d.dip),
                ("side", d.side),
                ("toward", d.toward),
                ("trend", d.trend),
                ("plunge", d.plunge),
                ("up", d.up.then(String::new)),
            ];
            let named = dials
                .into_iter()
                .filter_map(|(name, text)| Some(format!("{name} {}", text?)));
            named.collect::<Vec<_>>().join(", ")
        });
        let found = found.unwrap_or_else(|| "none".to_owned());
        assert_eq!(found.trim_end(), wanted, "{text}");
    }

    #[test]
    fn a_text_is_taken_apart_into_its_dials() {
        use Convention::{DipDirection, RightHand, StrikeDip};
        use Meant::{Either, Line, Plane};
        for (text, convention, meant, wanted) in [
            ("045/30SE", RightHand, Either, "strike 045, dip 30, side SE"),
            ("45/30 se", StrikeDip, Either, "strike 045, dip 30, side SE"),
            (
                "N45E/30SE",
                RightHand,
                Either,
                "strike N45E, dip 30, side SE",
            ),
            (
                "S45W 30NW",
                RightHand,
                Either,
                "strike S45W, dip 30, side NW",
            ),
            ("E-W/60N", RightHand, Either, "strike 090, dip 60, side N"),
            ("045/30", RightHand, Either, "strike 045, dip 30"),
            ("045/95", RightHand, Either, "strike 045, dip 95"),
            ("361/30", RightHand, Either, "strike 361, dip 30"),
            ("30/135", DipDirection, Either, "dip 30, toward 135"),
            ("135/30", DipDirection, Either, "dip 30, toward 135"),
            ("30→135", RightHand, Plane, "dip 30, toward 135"),
            ("12->240", RightHand, Either, "trend 240, plunge 12"),
            ("12 S60W", RightHand, Either, "trend S60W, plunge 12"),
            ("-12→240", RightHand, Line, "trend 240, plunge 12, up"),
            ("240/12", RightHand, Line, "trend 240, plunge 12"),
            ("line 12/240", RightHand, Either, "trend 240, plunge 12"),
            (
                "062½/30½SE",
                RightHand,
                Either,
                "strike 062.5, dip 30.5, side SE",
            ),
            ("45,5/30,5", RightHand, Either, "strike 045.5, dip 30.5"),
            ("045°/30°", RightHand, Either, "strike 045, dip 30"),
            ("045/30XX", RightHand, Either, "none"),
            ("045", RightHand, Either, "none"),
            ("", RightHand, Either, "none"),
            ("massive", RightHand, Either, "none"),
        ] {
            check(text, convention, meant, wanted);
        }
    }
}
