//! The table of stations.

use std::borrow::Cow;

use crate::notebook::places::HEIGHTS_M;
use crate::notebook::{Accepted, Line, Station};

use super::choice::place;
use super::column::{Cell, Column, Located, Point, Table};
use super::record::OfRecord;

/// A station that goes over.
pub(super) struct StationRow {
    pub(super) line: Line,
    /// How many of its readings and sightings go over.
    pub(super) readings: usize,
    pub(super) sightings: usize,
    /// Its photos that stand, as they are called in the archive of the book.
    pub(super) photos: Vec<String>,
}

impl StationRow {
    fn of<'a, T>(&'a self, field: impl FnOnce(&'a Station) -> T) -> Option<T> {
        self.line.station().map(field)
    }
}

/// Where a station's line is, as a point.
pub(super) fn point(station: Option<&Line>) -> Option<Point> {
    place(station).map(|position| Point {
        longitude: position.longitude,
        latitude: position.latitude,
        // A height that no place has is no part of one; its column has it.
        height_m: position.height_m.filter(|m| HEIGHTS_M.contains(m)),
    })
}

impl OfRecord for StationRow {
    fn line(&self) -> &Line {
        &self.line
    }

    fn accepted(&self) -> &[Accepted] {
        self.of(|station| &*station.accepted).unwrap_or_default()
    }
}

impl Located for StationRow {
    fn id(&self) -> Cow<'_, str> {
        Cow::Borrowed(self.line.record().as_str())
    }

    fn point(&self) -> Option<Point> {
        point(Some(&self.line))
    }

    fn name(&self) -> String {
        self.line.number().to_string()
    }

    fn at(&self) -> &str {
        self.of(|station| station.at.as_str()).unwrap_or_default()
    }
}

/// The latitude, the longitude, the height, the accuracy and the source of a station's place, for any table that has them.
pub(super) mod placed {
    use super::{Cell, Line};
    use crate::notebook::Position;

    fn position(station: Option<&Line>) -> Option<&Position> {
        station?.station()?.position.as_ref()
    }

    pub(in super::super) fn latitude(station: Option<&Line>) -> Cell<'_> {
        Cell::exact(position(station).map(|position| position.latitude))
    }

    pub(in super::super) fn longitude(station: Option<&Line>) -> Cell<'_> {
        Cell::exact(position(station).map(|position| position.longitude))
    }

    pub(in super::super) fn height(station: Option<&Line>) -> Cell<'_> {
        Cell::exact(position(station).and_then(|position| position.height_m))
    }

    pub(in super::super) fn accuracy(station: Option<&Line>) -> Cell<'_> {
        Cell::exact(position(station).and_then(|position| position.accuracy_m))
    }

    pub(in super::super) fn source(station: Option<&Line>) -> Cell<'_> {
        Cell::maybe(position(station).map(|position| position.source.as_str()))
    }

    pub(in super::super) fn typed(station: Option<&Line>) -> Cell<'_> {
        Cell::maybe(position(station).and_then(|position| position.typed.as_deref()))
    }

    pub(in super::super) const LATITUDE: &str =
        "Latitude on WGS 84, degrees north, as the book has it.";
    pub(in super::super) const LONGITUDE: &str =
        "Longitude on WGS 84, degrees east, as the book has it.";
    pub(in super::super) const HEIGHT: &str = "Height above the WGS 84 ellipsoid; empty where the device gave none. It is no height above the sea.";
    pub(in super::super) const ACCURACY: &str =
        "Radius that holds the place 68 times in 100; empty where nobody said.";
    pub(in super::super) const SOURCE: &str =
        "Where the position comes from: device, typed, sighting.";
}

const COLUMNS: &[Column<StationRow>] = &[
    Column::whole("station", "The station's number in the book.", |row| {
        Cell::Whole(row.line.number().into())
    }),
    Column::text("station_name", "The station's name.", |row| {
        Cell::maybe(row.of(|station| station.name.as_str()))
    }),
    Column::degrees("latitude", placed::LATITUDE, |row| {
        placed::latitude(Some(&row.line))
    }),
    Column::degrees("longitude", placed::LONGITUDE, |row| {
        placed::longitude(Some(&row.line))
    }),
    Column::metres("height", placed::HEIGHT, |row| {
        placed::height(Some(&row.line))
    }),
    Column::metres("accuracy", placed::ACCURACY, |row| {
        placed::accuracy(Some(&row.line))
    }),
    Column::text("position_source", placed::SOURCE, |row| {
        placed::source(Some(&row.line))
    }),
    Column::text(
        "position_typed",
        "The position as it was typed, where it was typed.",
        |row| placed::typed(Some(&row.line)),
    ),
    Column::text("map_unit", "The mapped unit.", |row| {
        Cell::maybe(row.of(|station| station.unit.as_str()))
    }),
    Column::text("lithology", "What the rock is, in words.", |row| {
        Cell::maybe(row.of(|station| station.lithology.as_str()))
    }),
    Column::text("note", "Anything else that was noted.", |row| {
        Cell::maybe(row.of(|station| station.note.as_str()))
    }),
    Column::text(
        "at",
        "When the station was started, as the tablet's clock showed it (RFC 3339, with the offset of that day).",
        |row| Cell::maybe(row.of(|station| station.at.as_str())),
    ),
    Column::by(),
    Column::whole(
        "readings",
        "How many of its readings were handed over.",
        |row| Cell::count(row.readings),
    ),
    Column::whole(
        "sightings",
        "How many of its sightings were handed over.",
        |row| Cell::count(row.sightings),
    ),
    Column::text(
        "photos",
        "Its photos that stand, as they are called in the archive of the book (ZIP); they are not in the hand-over.",
        |row| Cell::words(row.photos.join("; ")),
    ),
    Column::text(
        "same_as",
        "Record id of the station that is the same outcrop, where a person tied the two.",
        |row| Cell::maybe(row.of(|station| station.same_as.as_deref()).flatten()),
    ),
    Column::text(
        "apart_from",
        "Record ids of stations that a person said are other outcrops, however near.",
        |row| {
            let apart = row.of(|station| station.apart_from.join("; "));
            Cell::words(apart.unwrap_or_default())
        },
    ),
    Column::accepted_json(),
    Column::struck_out(
        "True: the record was withdrawn and is handed over because that was asked for.",
    ),
    Column::contested(),
    Column::record(),
    Column::entry(),
];

pub(super) fn table(rows: Vec<StationRow>) -> Table<StationRow> {
    Table {
        name: "stations",
        row_meaning: "A numbered place on the ground. It can be read back, known by `record`; its photos and its history are in \
                      the book alone.",
        columns: COLUMNS,
        rows,
    }
}
