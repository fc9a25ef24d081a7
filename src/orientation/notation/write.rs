//! Writing planes and lines: three digits for an azimuth, two for an inclination.

use crate::orientation::angle::{Azimuth, padded, wrap_deg};
use crate::orientation::line::Line;
use crate::orientation::plane::Plane;
use crate::orientation::wind::{Winds, wind};

/// How a plane is written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum PlaneStyle {
    /// `045/30SE`
    #[default]
    StrikeDip,
    /// `N45E/30SE`
    Quadrant,
    /// `30→135`
    DipDirection,
    /// `045/30`, the dip always to the right of the strike
    RightHand,
}

/// An azimuth in three digits, with its decimals if it has any: `062`, `062.5`.
#[must_use]
pub fn write_azimuth(azimuth: Azimuth) -> String {
    padded(azimuth.deg(), 3)
}

/// An inclination in two digits, with its decimals if it has any: `05`, `05.5`, `-12`.
#[must_use]
pub fn write_inclination(deg: f64) -> String {
    padded(deg, 2)
}

/// An azimuth counted from north or south in a quadrant: `N45E`, `S20W`.
pub(crate) fn quadrant(azimuth_deg: f64) -> String {
    let east = if azimuth_deg <= 180.0 { 'E' } else { 'W' };
    let from_north = if azimuth_deg <= 180.0 {
        azimuth_deg
    } else {
        360.0 - azimuth_deg
    };
    if from_north <= 90.0 {
        format!("N{}{east}", padded(from_north, 2))
    } else {
        format!("S{}{east}", padded(180.0 - from_north, 2))
    }
}

/// A strike line in quadrant letters, from the north end by custom: `N45E`, `N-S`, `E-W`.
fn quadrant_strike(strike_deg: f64) -> String {
    let strike = wrap_deg(strike_deg);
    let north = if strike > 90.0 && strike < 270.0 {
        wrap_deg(strike + 180.0)
    } else {
        strike
    };
    if north == 0.0 {
        "N-S".to_owned()
    } else if north == 90.0 || north == 270.0 {
        "E-W".to_owned()
    } else {
        quadrant(north)
    }
}

/// The side a plane dips to, on eight winds; a horizontal or vertical plane has none.
fn side(plane: &Plane) -> &'static str {
    let dip = plane.dip().deg();
    if dip == 0.0 || dip == 90.0 {
        ""
    } else {
        wind(plane.dip_direction().deg(), Winds::Eight)
    }
}

/// A plane as written in a book; decimals stay, so it reads back to the same plane.
///
/// # Degenerate input
/// Horizontal and vertical planes carry no side.
///
/// # Examples
/// ```
/// use hingeline::orientation::{Plane, PlaneStyle, write_plane};
/// let plane = Plane::from_deg(45.0, 30.0)?;
/// assert_eq!(write_plane(&plane, PlaneStyle::StrikeDip), "045/30SE");
/// assert_eq!(write_plane(&plane, PlaneStyle::DipDirection), "30→135");
/// # Ok::<(), hingeline::orientation::Error>(())
/// ```
#[must_use]
pub fn write_plane(plane: &Plane, style: PlaneStyle) -> String {
    let dip = write_inclination(plane.dip().deg());
    match style {
        PlaneStyle::StrikeDip => {
            format!("{}/{dip}{}", write_azimuth(plane.strike()), side(plane))
        }
        PlaneStyle::Quadrant => {
            format!(
                "{}/{dip}{}",
                quadrant_strike(plane.strike().deg()),
                side(plane)
            )
        }
        PlaneStyle::DipDirection => {
            format!("{dip}→{}", write_azimuth(plane.dip_direction()))
        }
        PlaneStyle::RightHand => format!("{}/{dip}", write_azimuth(plane.strike())),
    }
}

/// A plane whose strike was read at either end, with that end kept where the style names a side: `242/35SE`.
#[must_use]
pub fn write_plane_read(strike_read: Azimuth, plane: &Plane, style: PlaneStyle) -> String {
    match style {
        PlaneStyle::StrikeDip => format!(
            "{}/{}{}",
            write_azimuth(strike_read),
            write_inclination(plane.dip().deg()),
            side(plane)
        ),
        _ => write_plane(plane, style),
    }
}

/// A line as written in a book: `12→240`, or `12 S60W` where the book uses quadrants; decimals stay.
#[must_use]
pub fn write_line(line: &Line, style: PlaneStyle) -> String {
    let plunge = write_inclination(line.plunge().deg());
    match style {
        PlaneStyle::Quadrant => format!("{plunge} {}", quadrant(line.trend().deg())),
        _ => format!("{plunge}→{}", write_azimuth(line.trend())),
    }
}

/// The same plane with strike and dip rounded to whole degrees: what a drawing or a list shows of a mean.
#[must_use]
pub fn whole_plane(plane: &Plane) -> Plane {
    Plane::from_deg(
        wrap_deg(plane.strike().deg().round()),
        plane.dip().deg().round(),
    )
    .unwrap_or(*plane)
}

/// The same line with trend and plunge rounded to whole degrees: what a drawing or a list shows of a mean.
#[must_use]
pub fn whole_line(line: &Line) -> Line {
    Line::from_deg(
        wrap_deg(line.trend().deg().round()),
        line.plunge().deg().round(),
    )
    .unwrap_or(*line)
}
