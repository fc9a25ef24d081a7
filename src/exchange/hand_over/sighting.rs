//! The table of sightings.

use std::borrow::Cow;

use crate::geodesy::sighting::Reduced;
use crate::notebook::attitude::declination;
use crate::notebook::sight::Sight;
use crate::notebook::{Accepted, CountsFrom, Line, Pages, Sighting};

use super::column::{Cell, Column, Located, Point, Table};
use super::reading::{
    BECAUSE, CARD_DECLINATION, COUNTS_FROM, DECLINATION, NORTH, TURNED_BY, counts_from_name,
    turned_by_deg,
};
use super::record::OfRecord;
use super::station::{placed, point};

/// A sighting that goes over, worked out.
pub(super) struct SightingRow {
    line: Line,
    station: Option<Line>,
    /// The station it was taken to, where that is in the book.
    target: Option<Line>,
    set_up: Option<Line>,
    sight: Sight,
    reduced: Option<Reduced>,
    doubts: Vec<String>,
}

impl SightingRow {
    pub(super) fn of(
        pages: &Pages,
        station: Option<Line>,
        line: Line,
        doubts: &[String],
    ) -> Option<Self> {
        let sighting = line.sighting()?;
        let sight = Sight::of(pages, sighting);
        let reduced = sight.reduced();
        let mut doubts = doubts.to_vec();
        if let Some(Err(error)) = &reduced
            && sight.vertical_deg.is_some()
        {
            doubts.push(error.to_string());
        }
        let target = sighting.to.as_deref().and_then(|to| pages.station(to));
        let set_up = sighting.set_up.as_deref().and_then(|id| pages.set_up(id));
        Some(Self {
            reduced: reduced.and_then(Result::ok),
            sight,
            doubts,
            target: target.map(|page| page.line().clone()),
            set_up: set_up.cloned(),
            station,
            line,
        })
    }

    fn field<'a, T>(&'a self, field: impl FnOnce(&'a Sighting) -> T) -> Option<T> {
        self.line.sighting().map(field)
    }

    fn dial<'a>(&'a self, dial: impl FnOnce(&'a Sighting) -> Option<&'a str>) -> Cell<'a> {
        Cell::maybe(self.field(dial).flatten())
    }

    fn counts_from(&self) -> CountsFrom {
        self.sight.counts_from.unwrap_or(CountsFrom::Unknown)
    }
}

impl OfRecord for SightingRow {
    fn line(&self) -> &Line {
        &self.line
    }

    fn station(&self) -> Option<&Line> {
        self.station.as_ref()
    }

    fn doubts(&self) -> &[String] {
        &self.doubts
    }

    fn accepted(&self) -> &[Accepted] {
        self.field(|sighting| &*sighting.accepted)
            .unwrap_or_default()
    }
}

impl Located for SightingRow {
    fn id(&self) -> Cow<'_, str> {
        Cow::Borrowed(self.line.record().as_str())
    }

    fn point(&self) -> Option<Point> {
        point(self.station.as_ref())
    }

    fn name(&self) -> String {
        let number = self.line.number();
        match &self.station {
            Some(station) => format!("{} sighting {number}", station.number()),
            None => format!("sighting {number}"),
        }
    }

    fn at(&self) -> &str {
        self.line.sighting().map_or("", |s| s.at.as_str())
    }
}

const COLUMNS: &[Column<SightingRow>] = &[
    Column::text(
        "sighting",
        "How the sighting is called: the station's number, and its own number there.",
        |row| Cell::words(row.name()),
    ),
    Column::whole(
        "station",
        "The number of the station it was taken from; empty where that is not in the book.",
        |row| {
            row.station
                .as_ref()
                .map_or(Cell::Nothing, |line| Cell::Whole(line.number().into()))
        },
    ),
    Column::text(
        "station_name",
        "The name of the station it was taken from.",
        |row| {
            let station = row.station.as_ref().and_then(Line::station);
            Cell::maybe(station.map(|station| station.name.as_str()))
        },
    ),
    Column::degrees("latitude", placed::LATITUDE, |row| {
        placed::latitude(row.station.as_ref())
    }),
    Column::degrees("longitude", placed::LONGITUDE, |row| {
        placed::longitude(row.station.as_ref())
    }),
    Column::metres("height", placed::HEIGHT, |row| {
        placed::height(row.station.as_ref())
    }),
    Column::metres("accuracy", placed::ACCURACY, |row| {
        placed::accuracy(row.station.as_ref())
    }),
    Column::text("position_source", placed::SOURCE, |row| {
        placed::source(row.station.as_ref())
    }),
    Column::whole(
        "to_station",
        "The number of the station it was taken to, where that is one of the book.",
        |row| {
            row.target
                .as_ref()
                .map_or(Cell::Nothing, |line| Cell::Whole(line.number().into()))
        },
    ),
    Column::text("to", "What was sighted, in words.", |row| {
        let station = row.target.as_ref().and_then(Line::station);
        let name = station.map(|station| station.name.as_str());
        Cell::maybe(name.or_else(|| row.field(|sighting| sighting.to_words.as_str())))
    }),
    Column::text("to_words", "What was noted of the point sighted.", |row| {
        Cell::maybe(row.field(|sighting| sighting.to_words.as_str()))
    }),
    Column::degrees(
        "bearing",
        "The bearing from true north, clockwise, with the correction that a person accepted. Empty where its north is not known.",
        |row| Cell::azimuth(row.sight.true_deg),
    ),
    Column::degrees("vertical", "The vertical angle, up positive.", |row| {
        Cell::hundredth(row.sight.vertical_deg)
    }),
    Column::metres("level_distance", "The level distance.", |row| {
        Cell::hundredth(row.reduced.as_ref().map(|reduced| reduced.level_m))
    }),
    Column::metres(
        "level_distance_sd",
        "Standard deviation of the level distance; empty where none was noted for the distance.",
        |row| Cell::hundredth(row.reduced.as_ref().and_then(|reduced| reduced.level_sd_m)),
    ),
    Column::metres(
        "rise",
        "How much higher the point stands than the eye; below zero: lower.",
        |row| Cell::hundredth(row.reduced.as_ref().and_then(|reduced| reduced.rise_m)),
    ),
    Column::metres(
        "rise_sd",
        "Standard deviation of the rise; empty where none was noted for the distance.",
        |row| Cell::hundredth(row.reduced.as_ref().and_then(|reduced| reduced.rise_sd_m)),
    ),
    Column::degrees_text(
        "bearing_read",
        "The bearing as it stood, from the north it was read against.",
        |row| row.dial(|sighting| sighting.bearing.as_deref()),
    ),
    Column::degrees_text("vertical_read", "The vertical angle as it stood.", |row| {
        row.dial(|sighting| sighting.vertical.as_deref())
    }),
    Column::text(
        "vertical_side",
        "Whether the vertical angle was noted as up or down.",
        |row| {
            let side = row.field(|sighting| match (&sighting.vertical, sighting.up) {
                (None, _) => "",
                (Some(_), true) => "up",
                (Some(_), false) => "down",
            });
            Cell::maybe(side)
        },
    ),
    Column::metres_text(
        "slope_distance_read",
        "The distance along the slope as it was noted.",
        |row| row.dial(|sighting| sighting.slope_m.as_deref()),
    ),
    Column::metres_text(
        "level_distance_read",
        "The level distance as it was noted.",
        |row| row.dial(|sighting| sighting.level_m.as_deref()),
    ),
    Column::metres_text(
        "distance_sd_read",
        "Standard deviation of the distance as it was noted.",
        |row| row.dial(|sighting| sighting.distance_sd_m.as_deref()),
    ),
    Column::text("north_read", NORTH, |row| {
        Cell::maybe(row.field(|sighting| sighting.north.name()))
    }),
    Column::degrees("declination", DECLINATION, |row| {
        let text = row.field(|sighting| sighting.declination.as_deref());
        Cell::exact(text.flatten().and_then(declination).map(|d| d.deg()))
    }),
    Column::degrees("card_declination", CARD_DECLINATION, |row| {
        let text = row.field(|sighting| sighting.card_declination.as_deref());
        Cell::exact(text.flatten().and_then(declination).map(|d| d.deg()))
    }),
    Column::text("counts_from", COUNTS_FROM, |row| {
        Cell::text(counts_from_name(row.counts_from()))
    }),
    Column::degrees("turned_by", TURNED_BY, |row| {
        Cell::hundredth(turned_by_deg(row.counts_from()))
    }),
    Column::text("because", BECAUSE, |row| {
        row.dial(|sighting| sighting.because.as_deref())
    }),
    Column::text(
        "set_up",
        "What its owner calls the instrument and the way it was set.",
        |row| {
            let set_up = row.set_up.as_ref().and_then(Line::set_up);
            Cell::maybe(set_up.map(|set_up| set_up.name.as_str()))
        },
    ),
    Column::text(
        "at",
        "When it was taken, as the tablet's clock showed it (RFC 3339).",
        |row| Cell::text(row.at()),
    ),
    Column::by(),
    Column::doubts_open("How many doubts about it nobody has settled."),
    Column::doubts(),
    Column::doubts_settled(),
    Column::answers("Those answers, in words."),
    Column::accepted_json(),
    Column::text("note", "Anything else that was noted.", |row| {
        Cell::maybe(row.field(|sighting| sighting.note.as_str()))
    }),
    Column::struck_out(
        "True: the sighting, or its station, was withdrawn and is handed over because that was asked for.",
    ),
    Column::contested(),
    Column::record(),
    Column::entry(),
    Column::text(
        "station_record",
        "The record id of the station it was taken from.",
        |row| Cell::maybe(row.field(|sighting| sighting.station.as_str())),
    ),
    Column::text(
        "to_record",
        "The record id of the station it was taken to.",
        |row| row.dial(|sighting| sighting.to.as_deref()),
    ),
    Column::text("set_up_record", "The record id of its set-up.", |row| {
        row.dial(|sighting| sighting.set_up.as_deref())
    }),
];

pub(super) fn table(rows: Vec<SightingRow>) -> Table<SightingRow> {
    Table {
        name: "sightings",
        row_meaning: "A bearing taken from a station to another point, with its distance and height where they were read. It \
                      can be read back, known by `record`, but for its set-up.",
        columns: COLUMNS,
        rows,
    }
}
