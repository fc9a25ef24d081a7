//! What a book is made of. Dials are kept as the text that was typed: nothing is rounded, nothing overwritten.

use serde::{Deserialize, Serialize};
use serde_json::{Map, Value};

use super::canonical::Scan;
use crate::orientation::faults::Sense;
use crate::orientation::instrument::OwnScales;
use crate::orientation::{Card, Dial, DoubtKind, Instrument, Numbers, PlaneStyle, Stood};

/// The whole new content of one record, by its kind.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Body {
    /// What the book itself is called and how it is written.
    Book(Book),
    /// An instrument and how it is set.
    SetUp(SetUp),
    /// A numbered place on the ground.
    Station(Station),
    /// One orientation measured at a station.
    Reading(Reading),
    /// A bearing taken from a station to another point.
    Sighting(Sighting),
    /// A photograph taken at a station; its bytes are kept beside the ledger, under their SHA-256.
    Photo(Photo),
    /// A kind of record that a newer version wrote: kept, shown by name, never changed.
    #[serde(untagged)]
    Unknown(Map<String, Value>),
}

impl Body {
    /// Reads a body from the text of its object. A kind, or a content, that this version cannot read is kept as it is.
    pub(crate) fn from_object(text: &str) -> Self {
        Self::known(text)
            .unwrap_or_else(|| Self::Unknown(serde_json::from_str(text).unwrap_or_default()))
    }

    fn known(text: &str) -> Option<Self> {
        let members = Scan::new(text).members(0).ok()?;
        let [member] = members.as_slice() else {
            return None;
        };
        let content = &text[member.value.clone()];
        match &*member.key {
            "book" => serde_json::from_str(content).ok().map(Self::Book),
            "set-up" => serde_json::from_str(content).ok().map(Self::SetUp),
            "station" => serde_json::from_str(content).ok().map(Self::Station),
            "reading" => serde_json::from_str(content).ok().map(Self::Reading),
            "sighting" => serde_json::from_str(content).ok().map(Self::Sighting),
            "photo" => serde_json::from_str(content).ok().map(Self::Photo),
            _ => None,
        }
    }

    /// The kind's name as it stands in a file: `book`, `set-up`, `station`, `reading`, `sighting`, `photo`, or a newer version's.
    pub fn kind(&self) -> &str {
        match self {
            Self::Book(_) => "book",
            Self::SetUp(_) => "set-up",
            Self::Station(_) => "station",
            Self::Reading(_) => "reading",
            Self::Sighting(_) => "sighting",
            Self::Photo(_) => "photo",
            Self::Unknown(content) => content.keys().next().map_or("", String::as_str),
        }
    }

    /// The records that it names: its station and set-up, what it was read between, what it belongs to or leads to.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        let (one, two, three, many): (_, Option<&String>, Option<&String>, &[String]) = match self {
            Self::Reading(r) => (Some(&r.station), r.set_up.as_ref(), None, &r.planes),
            Self::Sighting(s) => (Some(&s.station), s.set_up.as_ref(), s.to.as_ref(), &[]),
            Self::Photo(p) => (Some(&p.station), p.reading.as_ref(), None, &[]),
            Self::Station(s) => (s.same_as.as_ref(), None, None, &s.apart_from),
            Self::Book(_) | Self::SetUp(_) | Self::Unknown(_) => (None, None, None, &[]),
        };
        let each = [one, two, three].into_iter().flatten().chain(many);
        each.map(String::as_str).filter(|name| !name.is_empty())
    }

    /// Leaves out what JSON cannot hold: a position, or a scale, that is not a finite number.
    pub(crate) fn finite(mut self) -> Self {
        if let Self::SetUp(set_up) = &mut self {
            set_up.own.take_if(|own| {
                let scales = [own.card, own.dip, own.plunge].into_iter().flatten();
                scales
                    .flat_map(|scale| [scale.zero_deg, scale.lo_deg, scale.hi_deg])
                    .any(|number| !number.is_finite())
            });
        }
        if let Self::Station(station) = &mut self {
            station.position.take_if(|position| {
                !(position.latitude.is_finite() && position.longitude.is_finite())
            });
            if let Some(position) = &mut station.position {
                position.height_m.take_if(|height| !height.is_finite());
                position
                    .accuracy_m
                    .take_if(|accuracy| !accuracy.is_finite());
            }
        }
        self
    }
}

/// How the book writes its angles.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Notation {
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

impl Notation {
    /// How planes and lines are written in it.
    pub fn style(self) -> PlaneStyle {
        match self {
            Self::StrikeDip => PlaneStyle::StrikeDip,
            Self::Quadrant => PlaneStyle::Quadrant,
            Self::DipDirection => PlaneStyle::DipDirection,
            Self::RightHand => PlaneStyle::RightHand,
        }
    }

    /// Its name in files and on the command line.
    pub fn name(self) -> &'static str {
        match self {
            Self::StrikeDip => "strike-dip",
            Self::Quadrant => "quadrant",
            Self::DipDirection => "dip-direction",
            Self::RightHand => "right-hand",
        }
    }
}

/// One field campaign's notebook.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Book {
    /// What the campaign calls it.
    pub name: String,
    /// How planes and lines are written.
    pub notation: Notation,
    /// The kinds of structure a person has added, in order.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub own_kinds: Vec<String>,
    /// Fields of a newer version, carried along.
    #[serde(flatten)]
    pub more: Map<String, Value>,
}

/// The north a bearing was read against.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum North {
    /// Nobody has said yet.
    #[default]
    Unknown,
    /// The card is turned by the declination: bearings are true.
    True,
    /// The card is at zero: bearings are magnetic.
    Magnetic,
    /// The card is set to grid north.
    Grid,
}

impl North {
    /// Its name in files.
    pub fn name(self) -> &'static str {
        match self {
            Self::Unknown => "unknown",
            Self::True => "true",
            Self::Magnetic => "magnetic",
            Self::Grid => "grid",
        }
    }
}

/// Which instrument, and how it is set.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct SetUp {
    /// What its owner calls it.
    pub name: String,
    /// The kind of instrument.
    #[serde(default, skip_serializing_if = "is_default")]
    pub instrument: Instrument,
    /// How its card counts.
    #[serde(default, skip_serializing_if = "is_default")]
    pub card: Card,
    /// Which way the numbers run round its card.
    #[serde(default, skip_serializing_if = "is_default")]
    pub numbers: Numbers,
    /// The scales of a person's own instrument.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub own: Option<OwnScales>,
    /// The north its bearings are read against.
    pub north: North,
    /// The declination at the place, degrees east positive, as typed; absent when not known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub declination: Option<String>,
    /// The finest division read, in degrees: `1`, `0.5`, `0.25`.
    #[serde(default = "whole_degree")]
    pub resolution: String,
    /// Standard deviation of one reading of the needle, degrees, as typed; absent: usual for the kind of instrument.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub needle_sd: Option<String>,
    /// Standard deviation of one reading of an inclination scale, degrees, as typed; absent: usual for the kind.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub inclination_sd: Option<String>,
    /// Standard deviation of laying the instrument on the rock, degrees, as typed; absent: usual for the kind.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub placement_sd: Option<String>,
    /// How much less the other edge of the index reads, degrees, as typed, below zero where it reads more; absent: not measured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub index_width: Option<String>,
    /// When the declination was set, RFC 3339.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub declination_at: Option<String>,
    /// Where the declination comes from: `model`, `typed`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub declination_from: Option<String>,
    /// What was settled about its doubts.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub accepted: Vec<Accepted>,
    /// Fields of a newer version, carried along.
    #[serde(flatten)]
    pub more: Map<String, Value>,
}

fn is_default<T: Default + PartialEq>(value: &T) -> bool {
    *value == T::default()
}

fn whole_degree() -> String {
    "1".to_owned()
}

/// Where a station is, and how that is known.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Position {
    /// Latitude on WGS 84, degrees north.
    pub latitude: f64,
    /// Longitude on WGS 84, degrees east.
    pub longitude: f64,
    /// Height above the ellipsoid, metres, where the device gave one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub height_m: Option<f64>,
    /// Radius that holds the place 68 times in 100, metres; absent when typed without one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub accuracy_m: Option<f64>,
    /// `device`, `typed`, `sighting`.
    pub source: String,
    /// What was typed, where it was typed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub typed: Option<String>,
    /// Fields of a newer version, carried along.
    #[serde(flatten)]
    pub more: Map<String, Value>,
}

/// Where a record came from that a table brought in: the row as it stood there is kept word for word.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Origin {
    /// The table's file name.
    pub table: String,
    /// The line of the file where the row begins, from 1.
    pub line: u64,
    /// The row as it stood, separators and all.
    pub row: String,
    /// Who read it, as the table says.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub by: String,
    /// Fields of a newer version, carried along.
    #[serde(flatten)]
    pub more: Map<String, Value>,
}

/// A numbered place on the ground.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Station {
    /// Its number in the book.
    pub number: u32,
    /// Its name.
    #[serde(default)]
    pub name: String,
    /// When it was started, RFC 3339 with the offset of that day's clock.
    pub at: String,
    /// Where it is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub position: Option<Position>,
    /// The mapped unit.
    #[serde(default)]
    pub unit: String,
    /// What the rock is.
    #[serde(default)]
    pub lithology: String,
    /// Anything else.
    #[serde(default)]
    pub note: String,
    /// Record id of the station that is the same outcrop, where a person tied the two.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub same_as: Option<String>,
    /// Record ids of stations that a person said are other outcrops, however near.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub apart_from: Vec<String>,
    /// The table it came from, where one brought it in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from: Option<Origin>,
    /// What was settled about its doubts.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub accepted: Vec<Accepted>,
    /// Fields of a newer version, carried along.
    #[serde(flatten)]
    pub more: Map<String, Value>,
}

/// Which dials a reading has.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Form {
    /// Strike, dip and side, or dip and dip direction.
    #[default]
    Plane,
    /// Trend and plunge.
    Line,
    /// A plane and a line in it.
    PlaneWithLine,
    /// The angle between two planes.
    Angle,
}

/// Which way the beds young.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Tops {
    /// Nobody could tell.
    #[default]
    Unknown,
    /// The right way up.
    Upright,
    /// Overturned.
    Overturned,
}

/// One repetition of a reading: the dials exactly as they stood. An absent dial was not read.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Shot {
    /// The strike end read.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub strike: Option<String>,
    /// The dip.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub dip: Option<String>,
    /// The side it dips to, in compass letters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub side: Option<String>,
    /// The dip direction.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub toward: Option<String>,
    /// The trend of the line.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub trend: Option<String>,
    /// The plunge of the line.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub plunge: Option<String>,
    /// The line points up along its trend.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub up: bool,
    /// The rake, from the right-hand strike end.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rake: Option<String>,
    /// The angle between two planes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub angle: Option<String>,
    /// How the instrument stood, where that was noted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stood: Option<Stood>,
    /// Struck out, still legible.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub struck_out: bool,
    /// When its last dial went in, RFC 3339.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub at: String,
    /// Fields of a newer version, carried along.
    #[serde(flatten)]
    pub more: Map<String, Value>,
}

impl Shot {
    /// What stands on a dial; `None` where it was not read, and for the dials a shot does not have.
    pub fn get(&self, dial: Dial) -> Option<&str> {
        match dial {
            Dial::Strike => self.strike.as_deref(),
            Dial::Dip => self.dip.as_deref(),
            Dial::Side => self.side.as_deref(),
            Dial::Toward => self.toward.as_deref(),
            Dial::Trend => self.trend.as_deref(),
            Dial::Plunge => self.plunge.as_deref(),
            Dial::Rake => self.rake.as_deref(),
            Dial::Angle => self.angle.as_deref(),
            Dial::Bearing | Dial::Vertical => None,
        }
    }

    /// What was read, by the names of the dials.
    pub fn texts(&self) -> impl Iterator<Item = (&'static str, &str)> {
        let dials = [
            ("strike", &self.strike),
            ("dip", &self.dip),
            ("side", &self.side),
            ("toward", &self.toward),
            ("trend", &self.trend),
            ("plunge", &self.plunge),
            ("rake", &self.rake),
            ("angle", &self.angle),
        ];
        dials
            .into_iter()
            .filter_map(|(name, text)| Some((name, text.as_deref()?)))
    }

    /// Puts a text on a dial or takes it off; a dial that a shot does not have is left alone.
    pub fn set(&mut self, dial: Dial, text: Option<String>) {
        match dial {
            Dial::Strike => self.strike = text,
            Dial::Dip => self.dip = text,
            Dial::Side => self.side = text,
            Dial::Toward => self.toward = text,
            Dial::Trend => self.trend = text,
            Dial::Plunge => self.plunge = text,
            Dial::Rake => self.rake = text,
            Dial::Angle => self.angle = text,
            Dial::Bearing | Dial::Vertical => {}
        }
    }
}

/// What a person settled about a doubt; the dials stay as read.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Accepted {
    /// The doubt.
    pub doubt: DoubtKind,
    /// Index of the shot it concerns.
    pub shot: usize,
    /// The words of the choice taken.
    pub choice: String,
    /// The dials as the choice corrects them; empty: kept as read.
    pub sets: Vec<(Dial, String)>,
    /// Who.
    pub by: String,
    /// When, RFC 3339.
    pub at: String,
}

/// One orientation measured at a station.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Reading {
    /// Record id of the station.
    pub station: String,
    /// Its number at the station: the 3 of `47·3`.
    pub number: u32,
    /// The kind of structure: a name of the trade's list, or the person's own.
    pub kind: String,
    /// Which dials it has.
    pub form: Form,
    /// The right-hand rule holds by itself: no side was asked.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub right_hand: bool,
    /// Record id of the set-up.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub set_up: Option<String>,
    /// The north it was read against.
    #[serde(default)]
    pub north: North,
    /// The declination then set or known, degrees east positive, as typed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub declination: Option<String>,
    /// What stood on the card, degrees east positive, as typed, where [`Reading::declination`] was found to be another afterwards.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub card_declination: Option<String>,
    /// Why the north it counts from, or its set-up, was changed afterwards.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub because: Option<String>,
    /// Record ids of the planes that an angle was read between.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub planes: Vec<String>,
    /// The repetitions, in order.
    pub shots: Vec<Shot>,
    /// Which way the beds young.
    #[serde(default)]
    pub tops: Tops,
    /// Which way the hanging wall of a fault went along the line; absent: nobody could tell.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sense: Option<Sense>,
    /// Anything else.
    #[serde(default)]
    pub note: String,
    /// The table it came from, where one brought it in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from: Option<Origin>,
    /// What was settled about its doubts.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub accepted: Vec<Accepted>,
    /// Fields of a newer version, carried along.
    #[serde(flatten)]
    pub more: Map<String, Value>,
}

/// A bearing taken from a station to another point, with a vertical angle and a distance where they were read.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Sighting {
    /// Record id of the station it was taken from.
    pub station: String,
    /// Its number at the station.
    pub number: u32,
    /// Record id of the station it was taken to, where that is one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub to: Option<String>,
    /// What was sighted, in words.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub to_words: String,
    /// The bearing, as typed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bearing: Option<String>,
    /// The vertical angle, as typed: down from the horizontal, or up where [`Sighting::up`] says so.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub vertical: Option<String>,
    /// The vertical angle points up.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub up: bool,
    /// The distance along the slope, metres, as typed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub slope_m: Option<String>,
    /// The level distance, metres, as typed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub level_m: Option<String>,
    /// Standard deviation of the distance, metres, as typed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub distance_sd_m: Option<String>,
    /// Record id of the set-up.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub set_up: Option<String>,
    /// The north it was read against.
    #[serde(default)]
    pub north: North,
    /// The declination then set or known, degrees east positive, as typed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub declination: Option<String>,
    /// What stood on the card, degrees east positive, as typed, where [`Sighting::declination`] was found to be another afterwards.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub card_declination: Option<String>,
    /// Why the north it counts from, or its set-up, was changed afterwards.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub because: Option<String>,
    /// When it was taken, RFC 3339.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub at: String,
    /// Anything else.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
    /// What was settled about its doubts.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub accepted: Vec<Accepted>,
    /// Fields of a newer version, carried along.
    #[serde(flatten)]
    pub more: Map<String, Value>,
}

impl Sighting {
    /// What stands on a dial; `None` where it was not read, and for the dials a sighting does not have.
    pub fn get(&self, dial: Dial) -> Option<&str> {
        match dial {
            Dial::Bearing => self.bearing.as_deref(),
            Dial::Vertical => self.vertical.as_deref(),
            _ => None,
        }
    }

    /// Puts a text on a dial or takes it off; a dial that a sighting does not have is left alone.
    pub fn set(&mut self, dial: Dial, text: Option<String>) {
        match dial {
            Dial::Bearing => self.bearing = text,
            Dial::Vertical => self.vertical = text,
            _ => {}
        }
    }
}

/// A photograph taken at a station. The ledger says which bytes it is; they are kept, and carried, beside it.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Photo {
    /// Record id of the station it was taken at.
    pub station: String,
    /// Its number at the station: the 2 of `47·P2`.
    pub number: u32,
    /// Record id of the reading it belongs to, where it belongs to one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reading: Option<String>,
    /// SHA-256 of its bytes: 64 hexadecimal digits, lower case.
    pub sha256: String,
    /// What its bytes are: `image/jpeg`.
    pub media: String,
    /// Its width, pixels.
    pub width: u32,
    /// Its height, pixels.
    pub height: u32,
    /// How many bytes it has.
    pub bytes: u32,
    /// When it was taken, or brought into the book where that is all that is known, RFC 3339.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub at: String,
    /// What it shows.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
    /// Fields of a newer version, carried along.
    #[serde(flatten)]
    pub more: Map<String, Value>,
}
