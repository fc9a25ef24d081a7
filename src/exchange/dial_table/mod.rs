//! A table of dials as text (CSV): one reading a row, its columns by their headings, in any order.
//!
//! Read row by row, so that a table of any length needs the room of one row. What people's programs write is taken as it comes:
//! commas, semicolons or tabs, decimal commas, quotes, degree signs, a byte order mark, either end of line.

mod heading;
pub(super) use heading::{SEPARATORS, best_separator};

mod rows;

use std::fmt;
use std::io::BufRead;

pub use heading::Column;

use crate::orientation::angle::padded;
use crate::orientation::faults::Sense;
use crate::orientation::notation::{azimuth_typed, typed};
use crate::orientation::{Dials, Noise, Polarity, Wind};
use heading::{Heading, Place};
use rows::{Fields, Rows};

/// One row: a reading's dials, each as it would have been typed.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Row {
    /// The line of the file where the row begins, from 1.
    pub line: u64,
    /// What the table calls the reading; empty where it does not say.
    pub reading: String,
    /// The station.
    pub station: String,
    /// The kind of structure.
    pub kind: String,
    /// The strike end read.
    pub strike: Option<String>,
    /// The dip.
    pub dip: Option<String>,
    /// The side it dips to, in compass letters.
    pub side: Option<String>,
    /// The dip direction, read as an azimuth.
    pub toward: Option<String>,
    /// The trend of the line.
    pub trend: Option<String>,
    /// The plunge of the line; below zero it points up.
    pub plunge: Option<String>,
    /// The rake.
    pub rake: Option<String>,
    /// Which way the beds young.
    pub tops: Polarity,
    /// Which way the hanging wall of a fault went; `None` where the table does not say.
    pub sense: Option<Sense>,
    /// The noise that the row names, or the default.
    pub noise: Noise,
}

impl Row {
    /// The dials as the orientation wing reads them. A strike without a side counts by the right-hand rule.
    #[must_use]
    pub fn dials(&self) -> Dials<'_> {
        Dials {
            strike: self.strike.as_deref(),
            dip: self.dip.as_deref(),
            side: self.side.as_deref(),
            toward: self.toward.as_deref(),
            trend: self.trend.as_deref(),
            plunge: self.plunge.as_deref(),
            rake: self.rake.as_deref(),
            right_hand: true,
            ..Dials::default()
        }
    }
}

/// What cannot be read in a table, and where.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// The line of the file, from 1.
    pub line: u64,
    /// The column, from 1, and its heading; none where the row as a whole is at fault.
    pub column: Option<(usize, String)>,
    /// What is wrong and the way out: lower case, no full stop.
    pub why: String,
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.column {
            Some((number, heading)) if !heading.is_empty() => {
                write!(
                    f,
                    "line {}, column {number} ({heading}): {}",
                    self.line, self.why
                )
            }
            Some((number, _)) => write!(f, "line {}, column {number}: {}", self.line, self.why),
            None => write!(f, "line {}: {}", self.line, self.why),
        }
    }
}

impl std::error::Error for Fault {}

/// A table that is being read; iterating gives its rows, or all that is wrong with a row.
pub struct Table<R> {
    rows: Rows<R>,
    heading: Heading,
    notes: Vec<String>,
    ended: bool,
}

impl<R: BufRead> Table<R> {
    /// Reads the heading.
    ///
    /// # Degenerate input
    /// A heading without rows is a table. Blank lines are passed over, before the heading too.
    ///
    /// # Errors
    /// All that is wrong with the heading: nothing there, no dial among its columns, a column twice; or the input breaks off.
    pub fn open(input: R) -> Result<Self, Vec<Fault>> {
        let mut rows = Rows::open(input).map_err(|fault| vec![fault])?;
        let fields = match rows.next() {
            Some(fields) => fields.map_err(|fault| vec![fault])?,
            None => {
                return Err(vec![Fault {
                    line: 1,
                    column: None,
                    why: "nothing is there; the first line names the columns, as `reading,strike,dip`"
                        .to_owned(),
                }]);
            }
        };
        let (heading, notes) = Heading::read(&fields)?;
        Ok(Self {
            rows,
            heading,
            notes,
            ended: false,
        })
    }

    /// What is worth knowing about the heading: columns that are not read, names that are missing.
    #[must_use]
    pub fn notes(&self) -> &[String] {
        &self.notes
    }

    /// Whether the text is not UTF-8 somewhere in what was read so far; such bytes are taken as Windows-1252.
    #[must_use]
    pub fn is_windows_1252(&self) -> bool {
        self.rows.is_windows_1252()
    }
}

impl<R: BufRead> Iterator for Table<R> {
    type Item = Result<Row, Vec<Fault>>;

    fn next(&mut self) -> Option<Self::Item> {
        while !self.ended {
            match self.rows.next()? {
                Ok(fields) if fields.are_empty() => {}
                Ok(fields) => return Some(read_row(&self.heading, &fields)),
                Err(fault) => {
                    self.ended = true;
                    return Some(Err(vec![fault]));
                }
            }
        }
        None
    }
}

fn read_row(heading: &Heading, fields: &Fields) -> Result<Row, Vec<Fault>> {
    let line = fields.line();
    let (count, columns) = (fields.filled(heading.count()), heading.count());
    if count != columns {
        let hint = if count > columns {
            "; a text that holds the separator, or a decimal comma, goes between quotes"
        } else {
            "; an empty field stands for what was not read"
        };
        return Err(vec![Fault {
            line,
            column: Some(heading.name_at(count.min(columns))),
            why: format!("the row has {count} fields, and the heading {columns}{hint}"),
        }]);
    }
    let mut row = Row {
        line,
        ..Row::default()
    };
    let mut needle = None;
    let mut inclination = None;
    let mut faults = Vec::new();
    for place in heading.places() {
        let text = fields.get(place.index).trim();
        if text.is_empty() {
            continue;
        }
        let mut dial = |cells| {
            // An azimuth may also be counted in a quadrant, N45E.
            let deg = match place.column {
                Column::Strike | Column::Trend => azimuth_typed(text),
                _ => typed(text).map(|number| number.deg),
            };
            if deg.is_none() {
                faults.push(place.fault(line, not_a_number(text, cells)));
            }
            deg.map(|deg| padded(deg, cells))
        };
        match place.column {
            Column::Reading => row.reading = text.to_owned(),
            Column::Station => row.station = text.to_owned(),
            Column::Kind => row.kind = text.to_owned(),
            Column::Strike => row.strike = dial(3),
            Column::Dip => row.dip = dial(2),
            Column::Trend => row.trend = dial(3),
            Column::Plunge => row.plunge = dial(2),
            Column::Rake => row.rake = dial(3),
            Column::Tops => match Polarity::read(text) {
                Some(tops) => row.tops = tops,
                None => faults.push(place.fault(
                    line,
                    format!(
                        "`{}` does not say how the beds lie: upright, overturned or unknown",
                        short(text)
                    ),
                )),
            },
            Column::Sense => match Sense::read(text) {
                Some(sense) => row.sense = Some(sense),
                None if text.eq_ignore_ascii_case("unknown") => {}
                None => faults.push(place.fault(
                    line,
                    format!(
                        "`{}` is no sense of slip: normal, reverse, sinistral, dextral or unknown",
                        short(text)
                    ),
                )),
            },
            Column::Toward | Column::Side => {
                let (dial, read) = match (Wind::read(text), azimuth_typed(text)) {
                    (Some(wind), _) => (&mut row.side, wind.name().to_owned()),
                    (None, Some(deg)) => (&mut row.toward, padded(deg, 3)),
                    (None, None) => {
                        faults.push(place.fault(
                            line,
                            format!(
                                "`{}` is neither compass letters, as SE, nor an azimuth, as 135",
                                short(text)
                            ),
                        ));
                        continue;
                    }
                };
                match dial {
                    Some(before) if *before != read => faults.push(place.fault(
                        line,
                        format!(
                            "`{}` is a second dip direction beside {before}; leave one",
                            short(text)
                        ),
                    )),
                    _ => *dial = Some(read),
                }
            }
            Column::SdBearing => needle = deviation(place, line, text, &mut faults),
            Column::SdInclination => inclination = deviation(place, line, text, &mut faults),
        }
    }
    faults.extend(contradiction(&row));
    if !faults.is_empty() {
        return Err(faults);
    }
    if needle.is_some() || inclination.is_some() {
        // Both were held against the bounds of a deviation, and the rest are the defaults: it cannot fail.
        row.noise = Noise::from_deg(
            needle.unwrap_or(NEEDLE_DEG),
            inclination.unwrap_or(INCLINATION_DEG),
            PLACEMENT_DEG,
            RESOLUTION_DEG,
        )
        .unwrap_or_default();
    }
    Ok(row)
}

/// A side and an azimuth that point to opposite sides: one plane has one of them.
fn contradiction(row: &Row) -> Option<Fault> {
    let (side, toward) = (row.side.as_deref()?, row.toward.as_deref()?);
    let off = (Wind::read(side)?.azimuth_deg() - typed(toward)?.deg).rem_euclid(360.0);
    (90.0 < off && off < 270.0).then(|| Fault {
        line: row.line,
        column: None,
        why: format!(
            "it dips to the side `{side}` and toward `{toward}`, which lie opposite each other; leave the one that is right"
        ),
    })
}

/// The default noise, dial by dial, for a row that names only a part of it.
const NEEDLE_DEG: f64 = 1.0;
const INCLINATION_DEG: f64 = 1.0;
const PLACEMENT_DEG: f64 = 1.5;
const RESOLUTION_DEG: f64 = 1.0;

/// A standard deviation over this says nothing any more: our limit.
const LARGEST_SD_DEG: f64 = 90.0;

fn deviation(place: &Place, line: u64, text: &str, faults: &mut Vec<Fault>) -> Option<f64> {
    let Some(number) = typed(text) else {
        faults.push(place.fault(
            line,
            format!("`{}` is not a number of degrees, as 1.5", short(text)),
        ));
        return None;
    };
    if 0.0 < number.deg && number.deg <= LARGEST_SD_DEG {
        return Some(number.deg);
    }
    faults.push(place.fault(
        line,
        format!(
            "a standard deviation of `{}` is not over 0 and up to {LARGEST_SD_DEG}; leave it empty for the default",
            short(text)
        ),
    ));
    None
}

fn not_a_number(text: &str, cells: usize) -> String {
    let example = if cells == 2 { "30" } else { "045" };
    let way_out = if text.bytes().any(|b| b.is_ascii_digit()) {
        ""
    } else {
        "; leave it empty where nothing was read"
    };
    format!(
        "`{}` is not a number of degrees, as {example}{way_out}",
        short(text)
    )
}

/// A value as it is quoted in a message: not longer than a line.
fn short(text: &str) -> String {
    const LONGEST: usize = 40;
    if text.chars().count() <= LONGEST {
        return text.to_owned();
    }
    let start: String = text.chars().take(LONGEST).collect();
    format!("{start}…")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rows(text: &str) -> Vec<Result<Row, Vec<Fault>>> {
        Table::open(text.as_bytes()).expect("a heading").collect()
    }

    #[test]
    fn the_parts_of_the_noise_are_the_default_noise() {
        let parts = Noise::from_deg(NEEDLE_DEG, INCLINATION_DEG, PLACEMENT_DEG, RESOLUTION_DEG);
        assert_eq!(parts, Ok(Noise::default()));
    }

    #[test]
    fn a_row_is_dials_as_typed() {
        let rows = rows("reading,strike,dip,toward,trend,plunge,rake\n1,45,5,se,5.5,-3,7\n");
        let row = rows[0].as_ref().expect("a row");
        assert_eq!(row.reading, "1");
        assert_eq!(row.strike.as_deref(), Some("045"));
        assert_eq!(row.dip.as_deref(), Some("05"));
        assert_eq!(row.side.as_deref(), Some("SE"));
        assert_eq!(row.toward, None);
        assert_eq!(row.trend.as_deref(), Some("005.5"));
        assert_eq!(row.plunge.as_deref(), Some("-03"));
        assert_eq!(row.rake.as_deref(), Some("007"));
        assert_eq!(row.noise, Noise::default());
    }
}
