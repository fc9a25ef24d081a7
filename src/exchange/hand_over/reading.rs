//! The table of readings: one row a reading, its mean from true north, and its dials as they stood.

use std::borrow::Cow;

use crate::notebook::attitude::{self, declination};
use crate::notebook::{
    Accepted, CountsFrom, Form, Line, Notation, Pages, Reading, SetUp, Shot, Tops,
};
use crate::orientation::faults::Sense;
use crate::orientation::{self, Noise, Plane, Severity, write_line, write_plane};

use super::column::{Cell, Column, Located, Point, Table};
use super::record::OfRecord;
use super::station::{placed, point};
use super::terms::{self, Lie};

/// A reading that goes over, worked out.
pub(super) struct ReadingRow {
    pub(super) line: Line,
    station: Option<Line>,
    set_up: Option<Line>,
    /// How many of its shots stand.
    standing: usize,
    counts_from: CountsFrom,
    plane: Option<Plane>,
    in_line: Option<orientation::Line>,
    angle_deg: Option<f64>,
    plane_sd: Option<PlaneSd>,
    line_sd: Option<LineSd>,
    /// Standard deviation of one shot as observed.
    scatter_deg: Option<f64>,
    written: String,
    written_line: String,
    /// The doubts that nobody has settled, in words.
    doubts: Vec<String>,
}

/// Standard deviations of a mean plane, degrees.
struct PlaneSd {
    strike: f64,
    dip: f64,
    pole: f64,
}

/// Standard deviations of a mean line, degrees.
struct LineSd {
    trend: f64,
    plunge: f64,
    line: f64,
}

/// To a tenth of a degree, as means are written.
fn tenth(deg: f64) -> f64 {
    (deg * 10.0).round() / 10.0
}

fn written_plane(plane: &Plane, notation: Notation) -> String {
    let (strike, dip) = (plane.strike().deg(), plane.dip().deg());
    let rounded = Plane::from_deg(tenth(strike) % 360.0, tenth(dip)).unwrap_or(*plane);
    write_plane(&rounded, notation.style())
}

fn written_line(line: &orientation::Line, notation: Notation) -> String {
    let (trend, plunge) = (line.trend().deg(), line.plunge().deg());
    let rounded = orientation::Line::from_deg(tenth(trend) % 360.0, tenth(plunge)).unwrap_or(*line);
    write_line(&rounded, notation.style())
}

impl ReadingRow {
    /// Works a reading out; `doubts` are those of its north and of the company it keeps.
    pub(super) fn of(
        pages: &Pages,
        station: Option<Line>,
        line: Line,
        notation: Notation,
        doubts: &[String],
    ) -> Option<Self> {
        let reading = line.reading()?;
        let attitude = attitude::in_book(pages, reading);
        let set_up = reading.set_up.as_deref().and_then(|id| pages.set_up(id));
        let noise = set_up
            .and_then(Line::set_up)
            .map_or_else(Noise::default, SetUp::noise);
        let is_true = attitude.counts_from.is_true();
        let plane_sd = attitude.plane_mean.as_ref().map(|mean| {
            let scale = mean.standard_error_deg / mean.expected_deg;
            PlaneSd {
                strike: noise.strike_sd_deg(mean.value.dip()) * scale,
                dip: noise.dip_sd_deg() * scale,
                pole: mean.standard_error_deg,
            }
        });
        let line_sd = attitude.line_mean.as_ref().map(|mean| {
            let scale = mean.standard_error_deg / mean.expected_deg;
            LineSd {
                trend: noise.trend_sd_deg(mean.value.plunge()) * scale,
                plunge: noise.plunge_sd_deg() * scale,
                line: mean.standard_error_deg,
            }
        });
        let observed = |line: bool| {
            if line {
                attitude.line_mean.as_ref()?.observed_deg
            } else {
                attitude.plane_mean.as_ref()?.observed_deg
            }
        };
        let open = attitude.open.iter();
        let mut all: Vec<String> = open
            .filter(|found| found.doubt.severity == Severity::Doubt)
            .map(|found| {
                if reading.shots.len() > 1 {
                    format!("shot {}: {}", found.shot + 1, found.doubt.message)
                } else {
                    found.doubt.message.clone()
                }
            })
            .collect();
        let unread = attitude::unread(reading);
        let unread = unread.filter(|doubt| doubt.severity == Severity::Doubt);
        all.extend(unread.map(|doubt| doubt.message));
        all.extend(doubts.iter().cloned());
        // A text in the book's notation says nothing of its north: it is left out where that is not true.
        let of_plane = attitude.plane.filter(|_| is_true);
        let of_line = attitude.line.filter(|_| is_true);
        let (first, second) = match reading.form {
            Form::Line => (of_line.map(|l| written_line(&l, notation)), None),
            _ => (
                of_plane.map(|p| written_plane(&p, notation)),
                of_line.map(|l| written_line(&l, notation)),
            ),
        };
        let standing = reading.shots.iter().filter(|shot| !shot.struck_out).count();
        Some(Self {
            standing,
            counts_from: attitude.counts_from,
            scatter_deg: observed(reading.form == Form::Line),
            plane: attitude.plane,
            in_line: attitude.line,
            angle_deg: attitude.angle_deg,
            plane_sd,
            line_sd,
            written: first.unwrap_or_default(),
            written_line: second.unwrap_or_default(),
            doubts: all,
            set_up: set_up.cloned(),
            station,
            line,
        })
    }

    /// Whether no plane, no line and no angle comes of its dials.
    pub(super) fn is_without_value(&self) -> bool {
        self.plane.is_none() && self.in_line.is_none() && self.angle_deg.is_none()
    }

    fn field<'a, T>(&'a self, field: impl FnOnce(&'a Reading) -> T) -> Option<T> {
        self.line.reading().map(field)
    }

    fn text<'a>(&'a self, field: impl FnOnce(&'a Reading) -> &'a str) -> Cell<'a> {
        Cell::maybe(self.field(field))
    }

    fn form(&self) -> Form {
        self.field(|reading| reading.form).unwrap_or_default()
    }

    /// The plane, where its azimuths count from true north.
    fn true_plane(&self) -> Option<&Plane> {
        self.plane.as_ref().filter(|_| self.counts_from.is_true())
    }

    /// The line, where its trend counts from true north.
    fn true_line(&self) -> Option<&orientation::Line> {
        self.in_line.as_ref().filter(|_| self.counts_from.is_true())
    }

    fn tops(&self) -> Tops {
        self.field(|reading| reading.tops).unwrap_or_default()
    }

    fn rake_deg(&self) -> Option<f64> {
        let rake = self.plane?.rake_of(self.in_line.as_ref()?)?;
        Some(rake.deg())
    }

    /// How it lies, for its symbol, and by how much the symbol is turned.
    fn symbol(&self) -> Option<(String, Option<&'static str>, Option<f64>)> {
        let kind = self.field(|reading| terms::words(&reading.kind))?;
        if let Some(plane) = self.plane.as_ref().filter(|_| self.form() != Form::Line) {
            let lie = Lie::of(plane, self.tops());
            let plain = kind.split(" + ").next().unwrap_or(kind);
            let turn = self.true_plane().filter(|_| lie != Lie::Horizontal);
            return Some((
                format!("{} {plain}", lie.words()),
                terms::fgdc(kind, lie),
                turn.map(|plane| plane.strike().deg()),
            ));
        }
        let line = self.in_line.as_ref()?;
        let plunge = line.plunge().deg();
        let lie = match plunge {
            p if p.abs() < 0.5 => "horizontal",
            p if p.abs() >= 89.5 => "vertical",
            p if p < 0.0 => "upward",
            _ => "inclined",
        };
        let turn = self.true_line().filter(|_| lie != "vertical");
        Some((
            format!("{lie} {kind}"),
            None,
            turn.map(|line| line.trend().deg()),
        ))
    }

    fn at_text(&self) -> &str {
        let read = self.line.reading().and_then(|reading| {
            let shots = reading.shots.iter();
            shots.map(|shot| shot.at.as_str()).find(|at| !at.is_empty())
        });
        let started = || self.station.as_ref()?.station().map(|s| s.at.as_str());
        read.or_else(started).unwrap_or_default()
    }
}

/// The name of a reading in a table, as the book writes it: `47·10`. A point would make it a number, and a spreadsheet would
/// make 47.1 of 47.10; a hyphen would make it a day.
pub(super) fn name_in_table(station: Option<&Line>, number: u32) -> String {
    name_at(station, number).replace('.', "·")
}

pub(super) const READING: &str = "How the reading is called, as the book writes it: the station's number, a raised dot, and its own number there. Of \
     two readings that share a name `record` says which is which.";

/// The name of a record at a station: `47.3`, or its own number where the station is not in the book.
pub(super) fn name_at(station: Option<&Line>, number: u32) -> String {
    match station {
        Some(station) => format!("{}.{number}", station.number()),
        None => number.to_string(),
    }
}

impl OfRecord for ReadingRow {
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
        self.field(|reading| &*reading.accepted).unwrap_or_default()
    }
}

impl Located for ReadingRow {
    fn id(&self) -> Cow<'_, str> {
        Cow::Borrowed(self.line.record().as_str())
    }

    fn point(&self) -> Option<Point> {
        point(self.station.as_ref())
    }

    fn name(&self) -> String {
        name_at(self.station.as_ref(), self.line.number())
    }

    fn at(&self) -> &str {
        self.at_text()
    }
}

/// A form's name as it stands in a book file.
pub(super) fn form_name(form: Form) -> &'static str {
    match form {
        Form::Plane => "plane",
        Form::Line => "line",
        Form::PlaneWithLine => "plane-with-line",
        Form::Angle => "angle",
    }
}

/// Which way beds young, by a name; empty where nobody could tell.
pub(super) fn tops_name(tops: Tops) -> &'static str {
    match tops {
        Tops::Unknown => "",
        Tops::Upright => "upright",
        Tops::Overturned => "overturned",
    }
}

/// What a bearing counts from, by a name.
pub(super) fn counts_from_name(counts_from: CountsFrom) -> &'static str {
    match counts_from {
        CountsFrom::True => "true",
        CountsFrom::TurnedBy(_) => "turned-by-declination",
        CountsFrom::TurnedByConvergence(_) => "turned-by-convergence",
        CountsFrom::PutRight(_) => "put-right",
        CountsFrom::Magnetic => "magnetic",
        CountsFrom::Grid => "grid",
        CountsFrom::Unknown => "unknown",
    }
}

/// By how much a bearing was turned clockwise; nothing where it does not count from true north.
pub(super) fn turned_by_deg(counts_from: CountsFrom) -> Option<f64> {
    match counts_from {
        CountsFrom::True => Some(0.0),
        CountsFrom::TurnedBy(declination) => Some(declination.deg()),
        CountsFrom::TurnedByConvergence(convergence) => Some(convergence.deg()),
        CountsFrom::PutRight(deg) => Some(deg),
        CountsFrom::Magnetic | CountsFrom::Grid | CountsFrom::Unknown => None,
    }
}

pub(super) const NORTH: &str = "The north it was read against: true, magnetic, grid, unknown.";
pub(super) const DECLINATION: &str = "The declination then set on the card or known, east positive; empty where none was, or where the book has no number.";
pub(super) const DECLINATION_READ: &str = "The declination then set on the card or known, east positive, as it was typed; empty where none was.";
pub(super) const CARD_DECLINATION: &str =
    "What stood on the card, east positive, where the declination was put right afterwards.";
pub(super) const COUNTS_FROM: &str = "What the values count from: true; turned-by-declination or turned-by-convergence (turned to true); put-right \
     (true, after what stood on the card was put right); magnetic, grid or unknown: no value from true north.";
pub(super) const TURNED_BY: &str = "By how much the bearings were turned clockwise to count from true north; empty where they do not.";
pub(super) const POLARITY: &str =
    "Which way the beds young: upright, overturned; empty where nobody could tell.";
pub(super) const SLIP_SENSE: &str = "Which way the hanging wall of a fault went along the line: normal, reverse, sinistral, dextral; empty where nobody \
     could tell.";
pub(super) const BETWEEN: &str = "Record ids of the planes that an angle was read between.";
pub(super) const BECAUSE: &str =
    "Why its north or its set-up was changed afterwards, in the words of who did it.";

/// The dials of a shot in words, as they stood: `strike 062, dip 36, side SE`.
fn dials_words(shot: &Shot) -> String {
    let mut words: Vec<String> = shot
        .texts()
        .map(|(name, text)| format!("{name} {text}"))
        .collect();
    if shot.up {
        words.push("pointing up".to_owned());
    }
    if shot.struck_out {
        words.push("struck out".to_owned());
    }
    words.join(", ")
}

pub(crate) fn dials(reading: &Reading) -> String {
    let shots: Vec<String> = reading.shots.iter().map(dials_words).collect();
    shots.join("; ")
}

const COLUMNS: &[Column<ReadingRow>] = &[
    Column::text("reading", READING, |row| {
        Cell::words(name_in_table(row.station.as_ref(), row.line.number()))
    }),
    Column::whole(
        "station",
        "The station's number; empty where the station is not in the book.",
        |row| {
            row.station
                .as_ref()
                .map_or(Cell::Nothing, |line| Cell::Whole(line.number().into()))
        },
    ),
    Column::text("station_name", "The station's name.", |row| {
        let station = row.station.as_ref().and_then(Line::station);
        Cell::maybe(station.map(|station| station.name.as_str()))
    }),
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
    Column::text("map_unit", "The mapped unit of its station.", |row| {
        let station = row.station.as_ref().and_then(Line::station);
        Cell::maybe(station.map(|station| station.unit.as_str()))
    }),
    Column::text("kind", "The kind of structure, in words.", |row| {
        row.text(|reading| terms::words(&reading.kind))
    }),
    Column::text(
        "form",
        "What was measured: plane, line, plane-with-line (a plane and a line in it), angle (between two planes).",
        |row| Cell::text(form_name(row.form())),
    ),
    Column::text(
        "written",
        "The mean of its shots from true north, to a tenth of a degree, in the notation chosen; a plane by its right-hand strike. \
         Empty where its north is not known.",
        |row| Cell::text(&row.written),
    ),
    Column::text(
        "written_line",
        "The same of the line that was read in a plane.",
        |row| Cell::text(&row.written_line),
    ),
    Column::degrees(
        "strike",
        "Strike from true north, clockwise, by the right-hand rule: looking along it the plane dips to the right. The mean of \
         the shots, with the choices that a person accepted. Empty where its north is not known.",
        |row| Cell::azimuth(row.true_plane().map(|plane| plane.strike().deg())),
    ),
    Column::degrees("dip", "Dip below the horizontal, 0 to 90.", |row| {
        Cell::hundredth(row.plane.map(|plane| plane.dip().deg()))
    }),
    Column::degrees(
        "dip_direction",
        "Where the plane dips, from true north, clockwise: strike + 90.",
        |row| Cell::azimuth(row.true_plane().map(|plane| plane.dip_direction().deg())),
    ),
    Column::degrees(
        "trend",
        "Trend of the line from true north, clockwise. Empty where its north is not known.",
        |row| Cell::azimuth(row.true_line().map(|line| line.trend().deg())),
    ),
    Column::degrees(
        "plunge",
        "Plunge of the line below the horizontal; below zero the line points up along its trend.",
        |row| Cell::hundredth(row.in_line.map(|line| line.plunge().deg())),
    ),
    Column::degrees(
        "rake",
        "Rake of the line in its plane, from the right-hand strike end, downwards, 0 to 180.",
        |row| Cell::hundredth(row.rake_deg()),
    ),
    Column::degrees("angle", "Angle between two planes, as measured.", |row| {
        Cell::hundredth(row.angle_deg)
    }),
    Column::degrees(
        "strike_sd",
        "Standard deviation of the strike: that of one shot by its set-up, or as the shots scatter where that is more, over the \
         root of their number. A slip or iron nearby is not in it.",
        |row| Cell::hundredth(row.plane_sd.as_ref().map(|sd| sd.strike)),
    ),
    Column::degrees("dip_sd", "Standard deviation of the dip, alike.", |row| {
        Cell::hundredth(row.plane_sd.as_ref().map(|sd| sd.dip))
    }),
    Column::degrees(
        "pole_sd",
        "Standard deviation of the plane's pole on the sphere, alike: root mean square of two perpendicular directions.",
        |row| Cell::hundredth(row.plane_sd.as_ref().map(|sd| sd.pole)),
    ),
    Column::degrees(
        "trend_sd",
        "Standard deviation of the trend, alike.",
        |row| Cell::hundredth(row.line_sd.as_ref().map(|sd| sd.trend)),
    ),
    Column::degrees(
        "plunge_sd",
        "Standard deviation of the plunge, alike.",
        |row| Cell::hundredth(row.line_sd.as_ref().map(|sd| sd.plunge)),
    ),
    Column::degrees(
        "line_sd",
        "Standard deviation of the line on the sphere, alike.",
        |row| Cell::hundredth(row.line_sd.as_ref().map(|sd| sd.line)),
    ),
    Column::whole("shots", "How many shots the mean is of.", |row| {
        Cell::count(row.standing)
    }),
    Column::degrees(
        "scatter",
        "Standard deviation of one shot as observed, n - 1 in the divisor; empty for one shot.",
        |row| Cell::hundredth(row.scatter_deg),
    ),
    Column::text("polarity", POLARITY, |row| {
        Cell::text(tops_name(row.tops()))
    }),
    Column::text("slip_sense", SLIP_SENSE, |row| {
        let sense = row.field(|reading| reading.sense).flatten();
        Cell::text(sense.map_or("", Sense::words))
    }),
    Column::text(
        "dials",
        "The dials exactly as they stood, shot by shot, struck-out shots too; bearings from the north it was read against. \
         The table `shots` has them one by one.",
        |row| Cell::words(row.field(dials).unwrap_or_default()),
    ),
    Column::text("north_read", NORTH, |row| {
        row.text(|reading| reading.north.name())
    }),
    Column::degrees("declination", DECLINATION, |row| {
        let text = row.field(|reading| reading.declination.as_deref());
        Cell::exact(text.flatten().and_then(declination).map(|d| d.deg()))
    }),
    Column::degrees("card_declination", CARD_DECLINATION, |row| {
        let text = row.field(|reading| reading.card_declination.as_deref());
        Cell::exact(text.flatten().and_then(declination).map(|d| d.deg()))
    }),
    Column::text("counts_from", COUNTS_FROM, |row| {
        Cell::text(counts_from_name(row.counts_from))
    }),
    Column::degrees("turned_by", TURNED_BY, |row| {
        Cell::hundredth(turned_by_deg(row.counts_from))
    }),
    Column::text("because", BECAUSE, |row| {
        Cell::maybe(row.field(|reading| reading.because.as_deref()).flatten())
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
        "When its first shot was complete, as the tablet's clock showed it (RFC 3339); the station's time where no shot has one.",
        |row| Cell::text(row.at_text()),
    ),
    Column::by(),
    Column::doubts_open(
        "How many doubts about it nobody has settled: of its dials, of its north, of the readings it stands with.",
    ),
    Column::doubts(),
    Column::doubts_settled(),
    Column::answers("Those answers, in words; `keep as read` changed nothing."),
    Column::flag(
        "corrected",
        "True: an answer that was accepted stands in for a dial, so that the values are not those of the dials alone.",
        |row| {
            let corrected = row.field(|reading| {
                let mut answers = reading.accepted.iter();
                answers.any(|answer| !answer.sets.is_empty())
            });
            Cell::Flag(corrected.unwrap_or_default())
        },
    ),
    Column::text("note", "Anything else that was noted.", |row| {
        row.text(|reading| &reading.note)
    }),
    Column::text(
        "fgdc_symbol",
        "Number of its map symbol in FGDC-STD-013-2006, section 6; bedding alone has one here.",
        |row| Cell::maybe(row.symbol().and_then(|(_, number, _)| number)),
    ),
    Column::text("symbol", "Its map symbol in words.", |row| {
        Cell::words(row.symbol().map(|(words, ..)| words).unwrap_or_default())
    }),
    Column::degrees(
        "symbol_rotation",
        "By how much its symbol is turned clockwise on a map with true north up: the right-hand strike, or the trend of a line.",
        |row| Cell::azimuth(row.symbol().and_then(|(_, _, turn)| turn)),
    ),
    Column::text(
        "kind_uri",
        "The kind's term in the CGI vocabularies (foliationtype, lineationtype, faulttype, contacttype); empty where they have \
         none for it.",
        |row| {
            let term = row.field(|reading| terms::kind(&reading.kind));
            Cell::words(term.flatten().unwrap_or_default())
        },
    ),
    Column::text(
        "polarity_uri",
        "The polarity's term in the CGI vocabulary planarpolaritycode.",
        |row| Cell::words(terms::polarity(row.tops()).unwrap_or_default()),
    ),
    Column::text(
        "convention_uri",
        "The CGI term for the way a plane is given: strike and dip by the right-hand rule.",
        |row| {
            Cell::text(if row.true_plane().is_some() {
                terms::CONVENTION
            } else {
                ""
            })
        },
    ),
    Column::text(
        "method_uri",
        "The CGI term for the way it was measured: by an instrument at the outcrop.",
        |_| Cell::text(terms::METHOD),
    ),
    Column::text("between", BETWEEN, |row| {
        Cell::words(
            row.field(|reading| reading.planes.join("; "))
                .unwrap_or_default(),
        )
    }),
    Column::struck_out(
        "True: the reading, or its station, was withdrawn and is handed over because that was asked for.",
    ),
    Column::contested(),
    Column::record(),
    Column::entry(),
    Column::text("station_record", "The record id of its station.", |row| {
        row.text(|reading| &reading.station)
    }),
    Column::text("set_up_record", "The record id of its set-up.", |row| {
        Cell::maybe(row.field(|reading| reading.set_up.as_deref()).flatten())
    }),
];

pub(super) fn table(rows: Vec<ReadingRow>) -> Table<ReadingRow> {
    Table {
        name: "readings",
        row_meaning: "One orientation measured at a station: the mean of its shots. Read back, the mean becomes its dials: the \
                      dials themselves come back from the table `shots`.",
        columns: COLUMNS,
        rows,
    }
}
