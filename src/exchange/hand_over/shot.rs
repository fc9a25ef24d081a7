//! The table of shots: the dials one by one, exactly as they stood, under the headings that a table of dials is read by.

use std::borrow::Cow;

use crate::exchange::dial_table::Column as Dialled;
use crate::notebook::{Line, Reading, SetUp, Shot};
use crate::orientation::faults::Sense;

use super::column::{Cell, Column, Located, Point, Table};
use super::reading::{self, form_name, name_at, name_in_table, tops_name};
use super::record::{ACCEPTED, accepted_json};
use super::station::point;
use super::terms;

/// A shot that goes over.
pub(super) struct ShotRow {
    line: Line,
    station: Option<Line>,
    /// Its place among the shots of the reading, from 0.
    nth: usize,
    /// Standard deviation of the needle, of an inclination scale, degrees; nothing where no set-up says so.
    sd: (Option<f64>, Option<f64>),
}

impl ShotRow {
    pub(super) fn of(
        line: &Line,
        station: Option<&Line>,
        nth: usize,
        set_up: Option<&SetUp>,
    ) -> Self {
        let over_nil = |sd: f64| (sd > 0.0).then_some(sd);
        let sd = |sd: fn(&SetUp) -> f64| set_up.map(sd).and_then(over_nil);
        let sd = (sd(SetUp::needle_sd_deg), sd(SetUp::inclination_sd_deg));
        Self {
            line: line.clone(),
            station: station.cloned(),
            nth,
            sd,
        }
    }

    fn reading(&self) -> Option<&Reading> {
        self.line.reading()
    }

    fn shot(&self) -> Option<&Shot> {
        self.reading()?.shots.get(self.nth)
    }

    fn of_reading<'a>(&'a self, field: impl FnOnce(&'a Reading) -> Option<&'a str>) -> Cell<'a> {
        Cell::maybe(self.reading().and_then(field))
    }

    fn dial<'a>(&'a self, dial: impl FnOnce(&'a Shot) -> Option<&'a str>) -> Cell<'a> {
        Cell::maybe(self.shot().and_then(dial))
    }
}

impl Located for ShotRow {
    fn id(&self) -> Cow<'_, str> {
        Cow::Owned(format!("{}#{}", self.line.record(), self.nth + 1))
    }

    fn point(&self) -> Option<Point> {
        point(self.station.as_ref())
    }

    fn name(&self) -> String {
        name_at(self.station.as_ref(), self.line.number())
    }

    fn at(&self) -> &str {
        self.shot().map_or("", |shot| shot.at.as_str())
    }
}

const COLUMNS: &[Column<ShotRow>] = &[
    Column::text(Dialled::Reading.name(), reading::READING, |row| {
        Cell::words(name_in_table(row.station.as_ref(), row.line.number()))
    }),
    Column::whole(
        Dialled::Station.name(),
        "The station's number; empty where the station is not in the book.",
        |row| {
            row.station
                .as_ref()
                .map_or(Cell::Nothing, |line| Cell::Whole(line.number().into()))
        },
    ),
    Column::text(
        Dialled::Kind.name(),
        "The kind of structure, in words.",
        |row| Cell::maybe(row.reading().map(|reading| terms::words(&reading.kind))),
    ),
    Column::whole(
        "shot",
        "Its number among the shots of the reading, from 1.",
        |row| Cell::count(row.nth + 1),
    ),
    Column::degrees_text(
        Dialled::Strike.name(),
        "The strike end as it stood, from the north it was read against.",
        |row| row.dial(|shot| shot.strike.as_deref()),
    ),
    Column::degrees_text(Dialled::Dip.name(), "The dip as it stood.", |row| {
        row.dial(|shot| shot.dip.as_deref())
    }),
    Column::degrees_text(
        Dialled::Toward.name(),
        "Where the plane dips: the dip direction as it stood, or else the side in compass letters. Empty where neither was \
         noted; only where `right_hand` is true does the strike then say the side.",
        |row| row.dial(|shot| shot.toward.as_deref().or(shot.side.as_deref())),
    ),
    Column::text(
        "side",
        "The side as it was noted, in compass letters.",
        |row| row.dial(|shot| shot.side.as_deref()),
    ),
    Column::degrees_text(
        Dialled::Trend.name(),
        "The trend of the line as it stood, from the north it was read against.",
        |row| row.dial(|shot| shot.trend.as_deref()),
    ),
    Column::degrees_text(
        Dialled::Plunge.name(),
        "The plunge of the line as it stood; a minus before it says that the line was noted as pointing up.",
        |row| match row.shot() {
            Some(shot) if shot.up => Cell::words(
                shot.plunge
                    .as_deref()
                    .map_or_else(String::new, |plunge| format!("-{plunge}")),
            ),
            _ => row.dial(|shot| shot.plunge.as_deref()),
        },
    ),
    Column::degrees_text(
        Dialled::Rake.name(),
        "The rake as it stood, from the right-hand strike end.",
        |row| row.dial(|shot| shot.rake.as_deref()),
    ),
    Column::degrees_text(
        "angle",
        "The angle between two planes as it stood.",
        |row| row.dial(|shot| shot.angle.as_deref()),
    ),
    Column::degrees(
        Dialled::SdBearing.name(),
        "Standard deviation of one reading of the needle, by the set-up; empty without one.",
        |row| Cell::exact(row.sd.0),
    ),
    Column::degrees(
        Dialled::SdInclination.name(),
        "Standard deviation of one reading of an inclination scale, by the set-up; empty without one.",
        |row| Cell::exact(row.sd.1),
    ),
    Column::text(
        "form",
        "What was measured: plane, line, plane-with-line, angle.",
        |row| Cell::maybe(row.reading().map(|reading| form_name(reading.form))),
    ),
    Column::flag(
        "right_hand",
        "True: no side was asked, the plane dips to the right of the strike.",
        |row| Cell::Flag(row.reading().is_some_and(|reading| reading.right_hand)),
    ),
    Column::text(
        "stood",
        "How the instrument stood, where that was noted, as JSON.",
        |row| {
            let stood = row.shot().and_then(|shot| shot.stood.as_ref());
            let stood = stood.and_then(|stood| serde_json::to_string(stood).ok());
            Cell::words(stood.unwrap_or_default())
        },
    ),
    Column::text("north_read", reading::NORTH, |row| {
        row.of_reading(|reading| Some(reading.north.name()))
    }),
    Column::degrees_text("declination", reading::DECLINATION_READ, |row| {
        row.of_reading(|reading| reading.declination.as_deref())
    }),
    Column::degrees_text("card_declination", reading::CARD_DECLINATION, |row| {
        row.of_reading(|reading| reading.card_declination.as_deref())
    }),
    Column::text("because", reading::BECAUSE, |row| {
        row.of_reading(|reading| reading.because.as_deref())
    }),
    Column::text("polarity", reading::POLARITY, |row| {
        row.of_reading(|reading| Some(tops_name(reading.tops)))
    }),
    Column::text("slip_sense", reading::SLIP_SENSE, |row| {
        row.of_reading(|reading| reading.sense.map(Sense::words))
    }),
    Column::text("note", "What else was noted of the reading.", |row| {
        row.of_reading(|reading| Some(&reading.note))
    }),
    Column::text("between", reading::BETWEEN, |row| {
        let planes = row.reading().map(|reading| reading.planes.join("; "));
        Cell::words(planes.unwrap_or_default())
    }),
    Column::text("accepted", ACCEPTED, |row| {
        let accepted = row.reading().map(|reading| &*reading.accepted);
        accepted_json(accepted.unwrap_or_default())
    }),
    Column::text(
        "at",
        "When its last dial went in, as the tablet's clock showed it (RFC 3339).",
        |row| Cell::text(row.at()),
    ),
    Column::flag(
        "struck_out",
        "True: the shot, its reading or its station was withdrawn and is handed over because that was asked for.",
        |row| {
            let of_shot = row.shot().is_some_and(|shot| shot.struck_out);
            let of_station = row.station.as_ref().is_some_and(Line::is_struck_out);
            Cell::Flag(of_shot || row.line.is_struck_out() || of_station)
        },
    ),
    Column::flag(
        "reading_struck_out",
        "True: the reading itself, or its station, was withdrawn.",
        |row| {
            let of_station = row.station.as_ref().is_some_and(Line::is_struck_out);
            Cell::Flag(row.line.is_struck_out() || of_station)
        },
    ),
    Column::text(
        "by",
        "The initials of who wrote the reading that is shown.",
        |row| Cell::text(&row.line.entry().stamp().by),
    ),
    Column::text("record", "The record id of the reading.", |row| {
        Cell::text(row.line.record().as_str())
    }),
    Column::text("station_record", "The record id of its station.", |row| {
        row.of_reading(|reading| Some(&reading.station))
    }),
    Column::text("set_up_record", "The record id of its set-up.", |row| {
        row.of_reading(|reading| reading.set_up.as_deref())
    }),
];

pub(super) fn table(rows: Vec<ShotRow>) -> Table<ShotRow> {
    Table {
        name: "shots",
        row_meaning: "One repetition of a reading: the dials as they stood on the instrument. With the stations it can be read \
                      back: a row is known by `record` and `shot`. Left out of it are set-ups, photos, who wrote what when, \
                      and a reading of which no shot goes over.",
        columns: COLUMNS,
        rows,
    }
}
