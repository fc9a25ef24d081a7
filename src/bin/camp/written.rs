//! How the camp's commands write planes and lines for people: to the tenth of a degree, which is all that is known.

use std::borrow::Cow;
use std::io::{self, Write};

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

/// A text as it stands in one line: ends of lines, and what would drive a terminal, as in a string of code. Nothing in a book
/// can so look like another line of the answer.
pub(crate) fn in_one_line(text: &str) -> Cow<'_, str> {
    if !text.contains(char::is_control) {
        return Cow::Borrowed(text);
    }
    let mut shown = String::with_capacity(text.len());
    for c in text.chars() {
        if c.is_control() {
            shown.extend(c.escape_default());
        } else {
            shown.push(c);
        }
    }
    Cow::Owned(shown)
}

/// Writes text for people: what would drive a terminal is written as it stands in a string of code.
pub(crate) struct Legible<W>(pub(crate) W);

impl<W: Write> Write for Legible<W> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        // Text comes in whole pieces; bytes that are none are shown as such.
        let text = String::from_utf8_lossy(bytes);
        let drives = |c: char| c.is_control() && c != '\n';
        if text.contains(drives) {
            let mut shown = String::with_capacity(text.len());
            for c in text.chars() {
                if drives(c) {
                    shown.extend(c.escape_default());
                } else {
                    shown.push(c);
                }
            }
            self.0.write_all(shown.as_bytes())?;
        } else {
            self.0.write_all(bytes)?;
        }
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        self.0.flush()
    }
}
