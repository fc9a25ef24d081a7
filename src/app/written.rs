//! How readings stand on a page: in the book's notation, with the strike end that was read.

use crate::app::outcrop::{kinds, open::number};
use crate::notebook::{
    Attitude, CountsFrom, Form, North, Notation, Pages, Reading, Shot, Tops, attitude, declination,
};
use crate::orientation::{
    Declination, Line, Plane, Reduced, Severity, Winds, whole_line, whole_plane, wind, write_line,
    write_plane,
};

/// A book's name in letters that every system takes in the name of a file; `book` where it has none.
pub fn file_stem(book: &str) -> String {
    let plain: String = book
        .chars()
        .map(|c| match c.is_alphanumeric() {
            true => c.to_ascii_lowercase(),
            false => '-',
        })
        .collect();
    let parts: Vec<&str> = plain.split('-').filter(|part| !part.is_empty()).collect();
    match parts.is_empty() {
        true => "book".to_owned(),
        false => parts.join("-"),
    }
}

/// What there is to draw of a reading.
#[derive(Clone, Debug, PartialEq)]
pub enum Written {
    /// A plane, by its right-hand strike.
    Plane {
        /// Right-hand strike, degrees.
        strike_deg: f64,
        /// Dip, degrees.
        dip_deg: f64,
        /// The side it dips to is known.
        side_known: bool,
        /// The kind, for the symbol.
        kind: String,
    },
    /// A line.
    Line {
        /// Trend, degrees.
        trend_deg: f64,
        /// Plunge, degrees.
        plunge_deg: f64,
    },
    /// Nothing that a symbol can show.
    Other,
}

/// One line of the book.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// The station's number.
    pub station: u32,
    /// The reading's number at the station.
    pub number: u32,
    /// The kind.
    pub kind: String,
    /// The value in the book's notation.
    pub value: String,
    /// Shots, uncertainty, line, tops, or why it was struck out.
    pub detail: String,
    /// What the symbol shows.
    pub written: Written,
    /// Struck out, still legible.
    pub struck: bool,
    /// A doubt that nobody has settled.
    pub doubted: bool,
    /// A doubt that was settled by keeping the dials as read: it stays beside the line.
    pub kept_doubt: bool,
    /// A dial is missing: the line stays a draft.
    pub unfinished: bool,
}

/// An azimuth as three digits; 360 is written 000.
pub fn three(deg: f64) -> String {
    format!("{:03.0}", deg.round().rem_euclid(360.0))
}

/// A plane in the book's notation; where the book writes strike and side, the strike end that was read stays.
pub fn plane(plane: &Plane, read_strike_deg: Option<f64>, notation: Notation) -> String {
    let (strike, dip) = (plane.strike().deg(), plane.dip().deg());
    match notation {
        Notation::StrikeDip => {
            let dip_words = format!("{:02.0}", dip);
            if dip_words == "00" {
                return format!("{}/00", three(read_strike_deg.unwrap_or(strike)));
            }
            let turned = read_strike_deg.is_some_and(|read| {
                let away = (read - strike).rem_euclid(360.0);
                (90.0..270.0).contains(&away)
            });
            let end = if turned { strike + 180.0 } else { strike };
            if dip_words == "90" {
                return format!("{}/90", three(end));
            }
            format!(
                "{}/{} {}",
                three(end),
                dip_words,
                wind(plane.dip_direction().deg(), Winds::Eight)
            )
        }
        other => write_plane(&whole_plane(plane), other.style()),
    }
}

/// A line in the book's notation.
pub fn line(line: &Line, notation: Notation) -> String {
    write_line(&whole_line(line), notation.style())
}

/// The strike end that stood on the instrument in the first shot that counts.
pub fn read_strike(reading: &Reading) -> Option<f64> {
    reading
        .shots
        .iter()
        .filter(|s| !s.struck_out)
        .find_map(|s| number(s.strike.as_deref()?))
}

/// The value of a reading in the book's notation, or its dials as they stand where there is no value yet.
pub fn value(reading: &Reading, attitude: &Attitude, notation: Notation) -> String {
    let as_line = reading.form == Form::Line;
    if let (Some(found), false) = (&attitude.plane, as_line) {
        return plane(found, read_strike(reading), notation);
    }
    if let (Some(found), true) = (&attitude.line, as_line) {
        return line(found, notation);
    }
    if let Some(angle) = attitude.angle_deg {
        return format!("{angle:.0}°");
    }
    let Some(shot) = reading.shots.last() else {
        return String::new();
    };
    let or = |text: &Option<String>, blank: &str| text.clone().unwrap_or_else(|| blank.to_owned());
    match reading.form {
        Form::Line => format!("{}→{}", or(&shot.plunge, "––"), or(&shot.trend, "–––")),
        Form::Angle => or(&shot.angle, "–––"),
        _ if shot.toward.is_some() => {
            format!("{}→{}", or(&shot.dip, "––"), or(&shot.toward, "–––"))
        }
        _ => format!(
            "{}/{} {}",
            or(&shot.strike, "–––"),
            or(&shot.dip, "––"),
            or(&shot.side, "")
        ),
    }
    .trim_end()
    .to_owned()
}

/// The north a reading was read against, in words.
pub fn north(north: North, declination: Option<&str>) -> String {
    let turned = match declination.map(turn_words) {
        Some(Ok(words)) => Some(words),
        Some(Err(why)) => match north {
            North::True => return format!("reads true north; {why}"),
            North::Magnetic => return format!("reads magnetic north; {why}"),
            North::Grid | North::Unknown => None,
        },
        None => None,
    };
    match (north, turned) {
        (North::True, Some(d)) => format!("reads true north: {d} is set on the card"),
        (North::True, None) => {
            "reads true north, by how much the card was turned is not said".to_owned()
        }
        (North::Magnetic, Some(d)) => format!("reads magnetic north; {d} is added"),
        (North::Magnetic, None) => "reads magnetic north; the declination is not known".to_owned(),
        (North::Grid, _) => "reads grid north".to_owned(),
        (North::Unknown, _) => "which north? say so in Camp, Set-up".to_owned(),
    }
}

/// A declination in words, or that what stands in its place is none.
///
/// # Errors
/// What is no number, or over its bound: nobody knows which number it was to be.
pub fn turn_words(text: &str) -> Result<String, String> {
    match declination(text) {
        Some(_) => Ok(declination_words(text)),
        None => Err(format!(
            "where the declination should stand is `{text}`, no number from -180 to 180, so it is not known"
        )),
    }
}

/// A declination in words: `-11.5` is 11½° W. What is none is given as it stands.
pub fn declination_words(text: &str) -> String {
    let Some(value) = declination(text).map(Declination::deg) else {
        return text.to_owned();
    };
    let number = with_fraction(value.abs());
    match value {
        v if v < 0.0 => format!("{number}° W"),
        v if v > 0.0 => format!("{number}° E"),
        _ => "0°".to_owned(),
    }
}

/// A number with its halves and quarters as a circle is read: 11.5 is 11½; other parts stay decimal.
pub fn with_fraction(number: f64) -> String {
    let part = match (number.fract() * 4.0).abs() {
        p if (p - 1.0).abs() < 1e-9 => "¼",
        p if (p - 2.0).abs() < 1e-9 => "½",
        p if (p - 3.0).abs() < 1e-9 => "¾",
        _ => return format!("{number}"),
    };
    match number.trunc() {
        0.0 => part.to_owned(),
        whole => format!("{whole}{part}"),
    }
}

/// `2026-06-14T21:10:05+02:00` is 14 June 2026, 21:10: as the clock there showed it.
pub fn moment_words(at: &str) -> String {
    let day = day_words(at.get(..10).unwrap_or(at));
    match at.get(11..16) {
        Some(time) => format!("{day}, {time}"),
        None => day,
    }
}

/// `2026-06-14` is 14 June 2026.
pub fn day_words(day: &str) -> String {
    const MONTHS: [&str; 12] = [
        "January",
        "February",
        "March",
        "April",
        "May",
        "June",
        "July",
        "August",
        "September",
        "October",
        "November",
        "December",
    ];
    let mut parts = day.split('-');
    let (Some(year), Some(month), Some(date)) = (parts.next(), parts.next(), parts.next()) else {
        return day.to_owned();
    };
    match month
        .parse::<usize>()
        .ok()
        .and_then(|m| MONTHS.get(m.wrapping_sub(1)))
    {
        Some(month) => format!("{} {month} {year}", date.trim_start_matches('0')),
        None => day.to_owned(),
    }
}

impl Row {
    /// The row of a reading, with the reason where it was struck out.
    pub fn of(
        pages: &Pages,
        reading: Option<(&Reading, bool)>,
        why: &Option<String>,
        notation: Notation,
        station: u32,
    ) -> Option<Self> {
        let (reading, struck) = reading?;
        let attitude = attitude::in_book(pages, reading);
        let counted = reading.shots.iter().filter(|s| !s.struck_out).count();
        let written = match (&attitude.plane, &attitude.line, reading.form) {
            (_, Some(l), Form::Line) => Written::Line {
                trend_deg: l.trend().deg(),
                plunge_deg: l.plunge().deg(),
            },
            (Some(p), _, _) => Written::Plane {
                strike_deg: p.strike().deg(),
                dip_deg: p.dip().deg(),
                side_known: true,
                kind: symbol_kind(reading),
            },
            (None, _, Form::Plane | Form::PlaneWithLine) => {
                match attitude.shots.last().and_then(|s| s.candidates.first()) {
                    Some(p) => Written::Plane {
                        strike_deg: p.strike().deg(),
                        dip_deg: p.dip().deg(),
                        side_known: false,
                        kind: symbol_kind(reading),
                    },
                    None => Written::Other,
                }
            }
            _ => Written::Other,
        };
        let mut detail = Vec::new();
        if struck {
            detail.push(match why {
                Some(why) => format!("struck out · {why}"),
                None => "struck out".to_owned(),
            });
        }
        if let (Form::PlaneWithLine, Some(l)) = (reading.form, &attitude.line) {
            detail.push(format!("line {}", line(l, notation).replace('→', " to ")));
        }
        detail.push(match counted {
            1 => "1 shot".to_owned(),
            n => format!("{n} shots"),
        });
        let error = match reading.form {
            Form::Line => attitude.line_mean.as_ref().map(|m| m.standard_error_deg),
            _ => attitude.plane_mean.as_ref().map(|m| m.standard_error_deg),
        };
        if let Some(error) = error {
            detail.push(format!("±{error:.1}°"));
        }
        match reading.tops {
            Tops::Upright => detail.push("upright".to_owned()),
            Tops::Overturned => detail.push("overturned".to_owned()),
            Tops::Unknown => {}
        }
        if let Some(sense) = reading.sense {
            detail.push(format!("{} slip", sense.words()));
        }
        match attitude.counts_from {
            CountsFrom::True => {}
            CountsFrom::TurnedBy(_) | CountsFrom::TurnedByConvergence(_) => {
                detail.push("turned to true".to_owned());
            }
            CountsFrom::PutRight(_) => detail.push("north put right".to_owned()),
            CountsFrom::Magnetic => detail.push("from magnetic north".to_owned()),
            CountsFrom::Grid => detail.push("from grid north".to_owned()),
            CountsFrom::Unknown => detail.push("north not said".to_owned()),
        }
        let adjusted =
            |(shot, reduced): (&Shot, &Reduced)| !shot.struck_out && reduced.adjusted.is_some();
        if reading.shots.iter().zip(&attitude.shots).any(adjusted) {
            detail.push("adjusted".to_owned());
        }
        if !reading.note.is_empty() {
            detail.push(reading.note.clone());
        }
        Some(Self {
            station,
            number: reading.number,
            kind: reading.kind.clone(),
            value: value(reading, &attitude, notation),
            detail: detail.join(" · "),
            written,
            struck,
            doubted: !struck && attitude.is_doubted(),
            kept_doubt: !struck && keeps_doubt(reading, &attitude),
            unfinished: is_unfinished(reading, &attitude),
        })
    }

    /// The state of its rule.
    pub fn state(&self) -> &'static str {
        match (self.struck, self.doubted, self.unfinished) {
            (true, _, _) => "struck",
            (_, true, _) => "doubt",
            (_, _, true) => "draft",
            _ => "kept",
        }
    }

    /// The line as a screen reader says it.
    pub fn spoken(&self) -> String {
        let value = self.value.replace('/', " slash ").replace('→', " toward ");
        format!(
            "{} dot {}, {}, {value}, {}, {}{}",
            self.station,
            self.number,
            kinds::words(&self.kind),
            self.detail,
            self.state(),
            if self.kept_doubt && !self.doubted {
                " with a doubt, as read"
            } else {
                ""
            },
        )
    }
}

/// A doubt that a person settled by keeping the dials as read.
fn keeps_doubt(reading: &Reading, attitude: &Attitude) -> bool {
    attitude.settled.iter().any(|settled| {
        let answer = reading.accepted.get(settled.accepted);
        settled.found.doubt.severity == Severity::Doubt
            && answer.is_some_and(|answer| answer.sets.is_empty())
    })
}

/// No shot that stands gives what the form asks for: the line of the book stays a draft.
fn is_unfinished(reading: &Reading, attitude: &Attitude) -> bool {
    match reading.form {
        Form::Plane => attitude.plane.is_none(),
        Form::Line => attitude.line.is_none(),
        Form::PlaneWithLine => attitude.plane.is_none() || attitude.line.is_none(),
        Form::Angle => attitude.angle_deg.is_none(),
    }
}

/// The kind whose symbol is drawn: overturned bedding has its own.
pub fn symbol_kind(reading: &Reading) -> String {
    let kind = kinds::words(&reading.kind)
        .split(" + ")
        .next()
        .unwrap_or_default()
        .to_owned();
    if kind == "bedding" && reading.tops == Tops::Overturned {
        return "overturned bedding".to_owned();
    }
    kind
}
