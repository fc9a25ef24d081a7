//! How the camp's commands write planes and lines for people: to the tenth of a degree, which is all that is known.

use hingeline::orientation::{Line, Plane, PlaneStyle, write_line, write_plane};

/// To a tenth of a degree.
pub(crate) fn tenth(deg: f64) -> f64 {
    (deg * 10.0).round() / 10.0
}

fn rounded(plane: &Plane) -> Plane {
    let (strike, dip) = (plane.strike().deg(), plane.dip().deg());
    Plane::from_deg(tenth(strike) % 360.0, tenth(dip)).unwrap_or(*plane)
}

/// A plane as strike, dip and side.
pub(crate) fn plane(plane: &Plane) -> String {
    write_plane(&rounded(plane), PlaneStyle::StrikeDip)
}

/// A plane as dip and dip direction.
pub(crate) fn plane_by_dip(plane: &Plane) -> String {
    write_plane(&rounded(plane), PlaneStyle::DipDirection)
}

/// A line as plunge and trend.
pub(crate) fn line(line: &Line) -> String {
    let (trend, plunge) = (line.trend().deg(), line.plunge().deg());
    let rounded = Line::from_deg(tenth(trend) % 360.0, tenth(plunge)).unwrap_or(*line);
    write_line(&rounded, PlaneStyle::StrikeDip)
}

/// A count and its noun.
pub(crate) fn counted(count: usize, one: &str, many: &str) -> String {
    if count == 1 {
        format!("1 {one}")
    } else {
        format!("{count} {many}")
    }
}

/// Names as they are listed in a sentence.
pub(crate) fn listed(names: &[&str]) -> String {
    match names {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}
