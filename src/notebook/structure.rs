//! What a book says of the structure: its planes and lines as vectors, each with where it stands in the book.

use nalgebra::Vector3;

use super::attitude::{self, Attitude};
use super::entry::RecordId;
use super::pages::{Line as BookLine, Pages};
use super::record::{Reading, Tops};
use crate::orientation::faults::Slip;
use crate::orientation::{Line, Plane, Polarity};

/// One reading's plane, line, or both, counted from the north it says.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Datum {
    /// Record id of the reading; empty for a row of a table.
    pub record: String,
    /// Record id of its station, or what a table calls it.
    pub station: String,
    /// The station's number and the reading's at it, as `47·3`; what a table calls it otherwise.
    pub name: String,
    /// The kind of structure.
    pub kind: String,
    /// The day, `2026-06-14`; empty when not known.
    pub day: String,
    /// Who wrote it.
    pub by: String,
    /// The mapped unit of its station.
    pub unit: String,
    /// The plane.
    pub plane: Option<Plane>,
    /// The line.
    pub line: Option<Line>,
    /// Which way the beds young.
    pub tops: Polarity,
    /// The slip of the hanging wall, where the line lies in a fault and its sense is known.
    pub slip: Option<Slip>,
    /// It counts from true north.
    pub is_true: bool,
    /// A doubt about it is open.
    pub doubted: bool,
    /// Standard deviation of the plane's pole, or of the line where there is no plane, degrees.
    pub sd_deg: f64,
    /// The declination that was set or known when it was read, degrees east positive; 0 where none was.
    pub declination_deg: f64,
}

impl Datum {
    /// The pole of the plane, downwards.
    pub fn pole(&self) -> Option<Vector3<f64>> {
        self.plane.as_ref().map(Plane::normal)
    }

    /// What a line shown is of: `line` for a line that came with a plane, the kind itself otherwise.
    pub fn is_line_alone(&self) -> bool {
        self.plane.is_none() && self.line.is_some()
    }
}

/// Which readings are wanted; an empty choice wants all.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Wanted {
    /// The kind of structure.
    pub kind: Option<String>,
    /// Record id of the station.
    pub station: Option<String>,
    /// The day.
    pub day: Option<String>,
    /// Who wrote it.
    pub by: Option<String>,
    /// The mapped unit.
    pub unit: Option<String>,
}

impl Wanted {
    /// Whether a reading is wanted.
    pub fn wants(&self, datum: &Datum) -> bool {
        self.is_met(
            &datum.kind,
            &datum.station,
            &datum.day,
            &datum.by,
            &datum.unit,
        )
    }

    /// Whether a line of the book is wanted, be it one that comes to a plane, to a line, or to neither.
    ///
    /// # Degenerate input
    /// A line that is no reading: only where nothing is left out.
    pub fn wants_line(&self, station: Option<&BookLine>, line: &BookLine) -> bool {
        if self.is_all() {
            return true;
        }
        let place = station.and_then(BookLine::station);
        line.reading().is_some_and(|reading| {
            self.is_met(
                &reading.kind,
                &reading.station,
                &day_of(reading, place.map(|s| s.at.as_str())),
                &line.entry().stamp().by,
                place.map_or("", |s| s.unit.as_str()),
            )
        })
    }

    fn is_met(&self, kind: &str, station: &str, day: &str, by: &str, unit: &str) -> bool {
        let is = |wanted: &Option<String>, has: &str| wanted.as_deref().is_none_or(|w| w == has);
        is(&self.kind, kind)
            && is(&self.station, station)
            && is(&self.day, day)
            && is(&self.by, by)
            && is(&self.unit, unit)
    }

    /// Nothing is left out.
    pub fn is_all(&self) -> bool {
        *self == Self::default()
    }
}

/// One reading of the book as a datum; `None` where it comes to neither a plane nor a line.
pub fn datum(pages: &Pages, station: Option<&BookLine>, line: &BookLine) -> Option<Datum> {
    if line.is_struck_out() {
        return None;
    }
    let reading = line.reading()?;
    let place = station.and_then(BookLine::station);
    let position = place.and_then(|s| s.position.as_ref());
    let attitude = attitude::at_place(pages, reading, position);
    if attitude.plane.is_none() && attitude.line.is_none() {
        return None;
    }
    let number = station.map(BookLine::number);
    let slip = match (&attitude.plane, &attitude.line, reading.sense) {
        (Some(plane), Some(line), Some(sense)) => Slip::from_line(plane, line, sense),
        _ => None,
    };
    Some(Datum {
        record: line.record().as_str().to_owned(),
        station: reading.station.clone(),
        name: number.map_or_else(
            || line.number().to_string(),
            |station| format!("{station}·{}", line.number()),
        ),
        kind: reading.kind.clone(),
        day: day_of(reading, place.map(|s| s.at.as_str())),
        by: line.entry().stamp().by.clone(),
        unit: place.map(|s| s.unit.clone()).unwrap_or_default(),
        tops: match reading.tops {
            Tops::Unknown => Polarity::Unknown,
            Tops::Upright => Polarity::Upright,
            Tops::Overturned => Polarity::Overturned,
        },
        slip,
        is_true: attitude.counts_from.is_true(),
        doubted: attitude.is_doubted(),
        sd_deg: sd_deg(&attitude),
        declination_deg: reading
            .declination
            .as_deref()
            .and_then(super::counts::declination)
            .map_or(0.0, |d| d.deg()),
        plane: attitude.plane,
        line: attitude.line,
    })
}

fn day_of(reading: &Reading, station_at: Option<&str>) -> String {
    let shot = reading
        .shots
        .iter()
        .map(|s| s.at.as_str())
        .find(|at| !at.is_empty());
    let at = shot.or(station_at).unwrap_or_default();
    at.get(..10).unwrap_or_default().to_owned()
}

fn sd_deg(attitude: &Attitude) -> f64 {
    let plane = attitude.plane_mean.as_ref().map(|m| m.standard_error_deg);
    let line = attitude.line_mean.as_ref().map(|m| m.standard_error_deg);
    plane.or(line).unwrap_or_default()
}

/// Every reading of the book that comes to a plane or a line, in the order of its pages; struck-out ones and those of
/// struck-out stations are left out.
pub fn data(pages: &Pages) -> Vec<Datum> {
    let mut all = Vec::with_capacity(pages.readings());
    for page in pages.stations() {
        if page.line().is_struck_out() {
            continue;
        }
        all.extend(
            page.readings()
                .iter()
                .filter_map(|line| datum(pages, Some(page.line()), line)),
        );
    }
    all.extend(pages.strays().filter_map(|line| datum(pages, None, line)));
    all
}

/// The shots of one reading, each by itself on the sphere, counted from the north that the reading's attitude counts from.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Shots {
    /// The reading's name, as `47·3`.
    pub name: String,
    /// The kind of structure.
    pub kind: String,
    /// The poles of their planes.
    pub poles: Vec<Vector3<f64>>,
    /// Their lines.
    pub lines: Vec<Vector3<f64>>,
}

impl Shots {
    /// How many there are.
    pub fn count(&self) -> usize {
        self.poles.len().max(self.lines.len())
    }
}

/// The shots of a reading that stand; `None` for a single one, which its mean is.
pub fn shots_of(pages: &Pages, record: &str) -> Option<Shots> {
    let reading = pages.reading(record)?;
    let body = reading.reading()?;
    let attitude = attitude::in_book(pages, body);
    let poles = attitude.plane_mean.as_ref().map(|m| m.poles());
    let lines = attitude.line_mean.as_ref().map(|m| m.lines());
    let station = pages.station(&body.station);
    let shots = Shots {
        name: station.map_or_else(
            || reading.number().to_string(),
            |page| format!("{}·{}", page.line().number(), reading.number()),
        ),
        kind: body.kind.clone(),
        poles: poles.unwrap_or_default(),
        lines: lines.unwrap_or_default(),
    };
    (shots.count() > 1).then_some(shots)
}

/// The datum of one reading of the book.
pub fn datum_of(pages: &Pages, record: &RecordId) -> Option<Datum> {
    let line = pages.reading(record.as_str())?;
    let station = pages.station(&line.reading()?.station);
    datum(pages, station.map(super::pages::StationPage::line), line)
}
