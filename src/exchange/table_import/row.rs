//! One row: what it says of its station, the readings in it, and what could not be read.

use super::matching::{Matching, named_kind};
use super::values;
use super::what::What;
use super::{Table, TableRow, short};
use crate::exchange::hand_over::csv::unguarded;
use crate::geodesy::grid;
use crate::notebook::kinds::{self, KINDS};
use crate::notebook::{Form, North, Position, Reading, Shot, Tops, attitude};
use crate::orientation::faults::Sense;
use crate::orientation::notation::{self, Convention, Dialled, Meant, dialled};
use crate::orientation::{DoubtKind, Severity, Wind};

/// How a finding weighs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Weight {
    /// A number contradicts another or its limit.
    Doubt,
    /// Something could not be read, and went into the note.
    NotRead,
    /// Worth saying; nothing contradicts anything.
    Note,
}

/// One thing found in a row.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Said {
    pub(super) column: Option<usize>,
    pub(super) weight: Weight,
    pub(super) words: String,
}

/// What a row says of its station.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct OfStation {
    pub(super) number: Option<u32>,
    pub(super) name: String,
    pub(super) position: Option<Position>,
    pub(super) unit: String,
    pub(super) lithology: String,
}

/// A row, read.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Parts {
    pub(super) station: OfStation,
    /// Readings without their station and number; their notes are those of the row.
    pub(super) readings: Vec<Reading>,
    /// What the table calls the reading.
    pub(super) called: String,
    /// The number of the shot, where a column says so.
    pub(super) shot: Option<u32>,
    /// Notes, and what is kept under its heading.
    pub(super) notes: Vec<String>,
    /// When, RFC 3339; the day alone where there is no time.
    pub(super) at: String,
    pub(super) has_time: bool,
    pub(super) who: String,
    pub(super) said: Vec<Said>,
}

/// A row while it is read.
struct Reader<'t> {
    table: &'t Table,
    matching: &'t Matching,
    row: &'t TableRow,
    parts: Parts,
}

/// Reads a row by a matching; what cannot be read goes into the notes under its heading.
pub(super) fn parts(table: &Table, matching: &Matching, row: &TableRow) -> Parts {
    let mut reader = Reader {
        table,
        matching,
        row,
        parts: Parts::default(),
    };
    reader.station();
    reader.when();
    reader.readings();
    reader.words();
    reader.parts
}

impl<'t> Reader<'t> {
    /// A cell, by the column it stands in.
    fn at(&self, column: usize) -> &'t str {
        let text = self.row.cell(column);
        if self.matching.own.is_some() {
            unguarded(text)
        } else {
            text
        }
    }

    /// What stands where a column is this; `None` where there is none or it is empty.
    fn cell(&self, what: What) -> Option<(usize, &'t str)> {
        let column = self.matching.column_of(what)?;
        Some((column, self.at(column))).filter(|(_, text)| !text.is_empty())
    }

    fn say(&mut self, column: Option<usize>, weight: Weight, words: String) {
        self.parts.said.push(Said {
            column,
            weight,
            words,
        });
    }

    /// Keeps a cell in the note under its heading.
    fn keep(&mut self, column: usize, text: &str) {
        let heading = &self.table.headings[column];
        self.parts.notes.push(format!("{heading}: {text}"));
    }

    fn not_read(&mut self, column: usize, text: &str, wanted: &str) {
        self.keep(column, text);
        self.say(
            Some(column),
            Weight::NotRead,
            format!("`{}` is not {wanted}; it is in the note", short(text, 40)),
        );
    }

    /// What a column says, read; what cannot be read goes into the note.
    fn read<T>(&mut self, what: What, wanted: &str, read: impl Fn(&str) -> Option<T>) -> Option<T> {
        let (column, text) = self.cell(what)?;
        let value = read(text);
        if value.is_none() {
            self.not_read(column, text, wanted);
        }
        value
    }

    fn station(&mut self) {
        if let Some((_, text)) = self.cell(What::Station) {
            // 12.0 is how a spreadsheet may write 12.
            let whole = text.strip_suffix(".0").unwrap_or(text);
            let plain = whole.len() <= 9 && whole.bytes().all(|b| b.is_ascii_digit());
            match whole.parse::<u32>() {
                Ok(number) if plain => self.parts.station.number = Some(number),
                _ => text.clone_into(&mut self.parts.station.name),
            }
        }
        if let Some((column, text)) = self.cell(What::StationName) {
            if self.parts.station.name.is_empty() {
                text.clone_into(&mut self.parts.station.name);
            } else if self.parts.station.name != text {
                self.keep(column, text);
            }
        }
        if let Some((_, text)) = self.cell(What::Unit) {
            text.clone_into(&mut self.parts.station.unit);
        }
        if let Some((_, text)) = self.cell(What::Lithology) {
            text.clone_into(&mut self.parts.station.lithology);
        }
        self.position();
    }

    fn position(&mut self) {
        let globe = self.globe();
        let grid = self.grid();
        let height_m = self.read(What::Height, "a height in metres", values::metres);
        let accuracy = |text: &str| values::metres(text).filter(|m| *m >= 0.0);
        let accuracy_m = self.read(What::Accuracy, "an accuracy in metres", accuracy);
        let Some((latitude, longitude, typed)) = globe.or(grid) else {
            for (what, value) in [(What::Height, height_m), (What::Accuracy, accuracy_m)] {
                if value.is_some()
                    && let Some((column, text)) = self.cell(what)
                {
                    self.keep(column, text);
                }
            }
            return;
        };
        self.parts.station.position = Some(Position {
            latitude,
            longitude,
            height_m,
            accuracy_m,
            source: "typed".to_owned(),
            typed: Some(typed),
            ..Position::default()
        });
    }

    fn globe(&mut self) -> Option<(f64, f64, String)> {
        let latitude = self.read(
            What::Latitude,
            "a latitude from 90 south to 90 north, as 64.1 or 64°06'N",
            |text| values::coordinate(text, ['N', 'S'], 90.0),
        );
        let longitude = self.read(
            What::Longitude,
            "a longitude from 180 west to 180 east, as -3.7 or 3°42'W",
            |text| values::coordinate(text, ['E', 'W'], 180.0),
        );
        let texts = (self.cell(What::Latitude), self.cell(What::Longitude));
        match (latitude, longitude, texts) {
            (Some(latitude), Some(longitude), (Some((_, lat)), Some((_, lon)))) => {
                Some((latitude, longitude, format!("{lat}, {lon}")))
            }
            (Some(_), None, (Some((column, text)), _))
            | (None, Some(_), (_, Some((column, text)))) => {
                self.keep(column, text);
                let words =
                    "half a place: latitude and longitude are wanted both; it is in the note";
                self.say(Some(column), Weight::NotRead, words.to_owned());
                None
            }
            _ => None,
        }
    }

    fn grid(&mut self) -> Option<(f64, f64, String)> {
        let easting = self.read(What::Easting, "an easting in metres", values::finite);
        let northing = self.read(What::Northing, "a northing in metres", values::finite);
        let zone_cell = self.cell(What::Zone);
        let zone = match &zone_cell {
            Some(_) => self.read(What::Zone, "a zone of UTM, as 33N", values::zone),
            None => self.matching.zone.as_deref().and_then(values::zone),
        };
        let (e, n) = (self.cell(What::Easting), self.cell(What::Northing));
        let keep_all = |reader: &mut Self| {
            for (cell, value) in [(e, easting), (n, northing)] {
                if let (Some((column, text)), Some(_)) = (cell, value) {
                    reader.keep(column, text);
                }
            }
            if let (Some((column, text)), Some(_)) = (zone_cell, zone) {
                reader.keep(column, text);
            }
        };
        let (Some(east), Some(north), Some((east_column, e_text)), Some((_, n_text))) =
            (easting, northing, e, n)
        else {
            keep_all(self);
            let read = [(e, easting), (n, northing)].into_iter();
            let half = read.filter_map(|(cell, value)| value.and(cell)).next();
            if let Some((column, _)) = half {
                let words = "half a place: easting and northing are wanted both; it is in the note";
                self.say(Some(column), Weight::NotRead, words.to_owned());
            }
            return None;
        };
        let Some(zone) = zone else {
            keep_all(self);
            let words = "the zone of UTM is not known, so the grid position is in the note alone";
            self.say(Some(east_column), Weight::NotRead, words.to_owned());
            return None;
        };
        if zone.doubtful {
            let words = format!(
                "zone {}S could be the south, or band S of the north; it is taken as the south",
                zone.number
            );
            self.say(zone_cell.map(|(column, _)| column), Weight::Doubt, words);
        }
        match grid::position(zone.number, zone.south, east, north) {
            Ok((latitude, longitude)) => {
                let half = if zone.south { "S" } else { "N" };
                let typed = format!("{}{half} {e_text} {n_text}", zone.number);
                Some((latitude, longitude, typed))
            }
            Err(why) => {
                keep_all(self);
                self.say(
                    Some(east_column),
                    Weight::NotRead,
                    format!("{why}; it is in the note"),
                );
                None
            }
        }
    }

    fn when(&mut self) {
        let order = self.matching.dates;
        let date = self.read(
            What::Date,
            if order.is_some() {
                "a day, as 2026-06-14"
            } else {
                "a day whose order is known, as 2026-06-14"
            },
            |text| values::date(text, order),
        );
        let time = self.read(What::Time, "a time of day, as 10:30", values::time);
        if let Some((day, in_date)) = date {
            let time = time.or(in_date);
            self.parts.has_time = time.is_some();
            let time = time.unwrap_or_else(|| "00:00:00-00:00".to_owned());
            self.parts.at = format!("{day}T{time}");
        } else if let (Some(_), Some((column, text))) = (time, self.cell(What::Time)) {
            self.keep(column, text);
        }
        if let Some((_, text)) = self.cell(What::Who) {
            text.clone_into(&mut self.parts.who);
        }
    }

    fn readings(&mut self) {
        let kind = self.cell(What::Kind).map_or("", |(_, text)| text);
        let before = self.parts.readings.len();
        self.dial_by_dial(kind);
        for column in 0..self.matching.columns.len() {
            let what = self.matching.columns[column].what;
            let text = self.at(column);
            if matches!(what, What::Written | What::Plane | What::Line) && !text.is_empty() {
                self.in_one_piece(column, what, text, kind);
            }
        }
        if self.matching.own == Some("readings") && self.parts.readings.len() == before {
            self.as_it_stood(kind);
        }
        let has_readings = self.parts.readings.len() > before;
        self.with_the_reading(has_readings);
        if !has_readings && let Some((column, text)) = self.cell(What::Kind) {
            self.keep(column, text);
        }
    }

    fn dial_by_dial(&mut self, kind: &str) {
        let mut shot = Shot {
            strike: self.read(What::Strike, "an azimuth, as 045 or N45E", values::azimuth),
            ..Shot::default()
        };
        if let Some((dip, side)) = self.read(What::Dip, "a dip, as 30 or 30SE", values::inclination)
        {
            shot.dip = Some(dip);
            shot.side = side.map(|side| side.name().to_owned());
        }
        for what in [What::Toward, What::Side] {
            let Some((column, text)) = self.cell(what) else {
                continue;
            };
            match (Wind::read(text), values::azimuth(text)) {
                (Some(side), _) => {
                    let name = side.name().to_owned();
                    match &shot.side {
                        Some(before) if *before != name => {
                            self.keep(column, text);
                            let words =
                                format!("the side is {before} and {name}; {name} is in the note");
                            self.say(Some(column), Weight::Doubt, words);
                        }
                        _ => shot.side = Some(name),
                    }
                }
                (None, Some(azimuth)) if shot.toward.is_none() => shot.toward = Some(azimuth),
                (None, Some(_)) => self.keep(column, text),
                (None, None) => {
                    self.not_read(
                        column,
                        text,
                        "compass letters, as SE, or an azimuth, as 135",
                    );
                }
            }
        }
        shot.trend = self.read(What::Trend, "an azimuth, as 240 or S60W", values::azimuth);
        let plunge = |text: &str| {
            let (plunge, letters) = values::inclination(text)?;
            letters.is_none().then_some(plunge)
        };
        if let Some(plunge) = self.read(What::Plunge, "a plunge, as 12", plunge) {
            shot.up = plunge.starts_with('-');
            shot.plunge = Some(plunge.trim_start_matches('-').to_owned());
        }
        shot.rake = self.read(What::Rake, "a rake, as 111", values::three);
        let angle = self.read(What::Angle, "an angle, as 085", values::three);
        shot.angle.clone_from(&angle);
        if shot.texts().next().is_none() {
            return;
        }
        let form = form_of(&shot);
        if form != Form::Angle {
            shot.angle = None;
            if let (Some(_), Some((column, text))) = (angle, self.cell(What::Angle)) {
                self.keep(column, text);
            }
        }
        let side_is_told = shot.side.is_some() || shot.toward.is_some();
        let by_itself = self.matching.pairs == Convention::RightHand && !side_is_told;
        let said = self.read(What::RightHand, "yes or no", values::flag);
        self.reading(None, shot, form, kind, said.unwrap_or(by_itself));
    }

    /// A reading of a hand-over of which no value from true north came: its dials stand there in words.
    fn as_it_stood(&mut self, kind: &str) {
        let headed = |name: &str| {
            let column = self
                .table
                .headings
                .iter()
                .position(|heading| heading == name);
            column.map_or("", |column| self.at(column))
        };
        let (dials, north, declination) = (
            headed("dials"),
            headed("north_read"),
            headed("declination (deg)"),
        );
        let mut shots = Vec::new();
        for words in dials.split("; ").filter(|words| !words.is_empty()) {
            let mut shot = Shot::default();
            for part in words.split(", ") {
                let (name, text) = part.split_once(' ').unwrap_or((part, ""));
                let text = Some(text.to_owned());
                match name {
                    "strike" => shot.strike = text,
                    "dip" => shot.dip = text,
                    "side" => shot.side = text,
                    "toward" => shot.toward = text,
                    "trend" => shot.trend = text,
                    "plunge" => shot.plunge = text,
                    "rake" => shot.rake = text,
                    "angle" => shot.angle = text,
                    "pointing" => shot.up = true,
                    "struck" => shot.struck_out = true,
                    _ => {}
                }
            }
            shots.push(shot);
        }
        let Some(first) = shots.first() else {
            return;
        };
        let form = form_of(first);
        let told = first.side.is_some() || first.toward.is_some();
        let (first, rest) = (first.clone(), shots.split_off(1));
        self.reading(None, first, form, kind, !told);
        if let Some(reading) = self.parts.readings.last_mut() {
            reading.shots.extend(rest);
            reading.north = values::north(north).unwrap_or_default();
            reading.declination = Some(declination.to_owned()).filter(|text| !text.is_empty());
        }
    }

    /// A plane or a line that stands in one cell.
    fn in_one_piece(&mut self, column: usize, what: What, text: &str, kind: &str) {
        let named = named_kind(&self.table.headings[column]);
        let kind = named.unwrap_or(kind);
        let of_kind = KINDS
            .iter()
            .find(|known| known.name == values::kind(kind, known.form));
        let meant = match (what, of_kind.map(|kind| kind.form)) {
            (What::Plane, _) | (What::Written, Some(Form::Plane)) => Meant::Plane,
            (What::Line, _) | (What::Written, Some(Form::Line)) => Meant::Line,
            _ => Meant::Either,
        };
        let pairs = self.matching.pairs;
        let Some(found) = dialled(text, pairs, meant) else {
            self.not_read(column, text, "a plane or a line, as 045/30SE or 12→240");
            return;
        };
        // What the text leaves open is said as `camp read` says it.
        let asked = match meant {
            Meant::Plane => format!("plane {text}"),
            Meant::Line => format!("line {text}"),
            Meant::Either => text.to_owned(),
        };
        let open = notation::read(&asked, pairs).doubts.into_iter();
        for doubt in open.filter(|doubt| doubt.kind == DoubtKind::Ambiguous) {
            self.say(Some(column), weight(doubt.severity), doubt.message);
        }
        let Dialled {
            strike,
            dip,
            side,
            toward,
            trend,
            plunge,
            up,
        } = found;
        let form = if trend.is_some() {
            Form::Line
        } else {
            Form::Plane
        };
        let told = side.is_some() || toward.is_some();
        let shot = Shot {
            strike,
            dip,
            side,
            toward,
            trend,
            plunge,
            up,
            ..Shot::default()
        };
        self.reading(
            Some(column),
            shot,
            form,
            kind,
            form == Form::Plane && !told && pairs != Convention::StrikeDip,
        );
    }

    fn reading(
        &mut self,
        column: Option<usize>,
        mut shot: Shot,
        form: Form,
        kind: &str,
        right_hand: bool,
    ) {
        let kind = match kind {
            "" => self.matching.kind.as_str(),
            kind => kind,
        };
        if self.parts.has_time {
            shot.at.clone_from(&self.parts.at);
        }
        let name = match form {
            Form::Angle => {
                let of_angle = |known: &&kinds::Kind| known.form == Form::Angle;
                let known = KINDS.iter().filter(of_angle);
                let found = known
                    .clone()
                    .find(|known| known.name.eq_ignore_ascii_case(kind));
                if found.is_none() && !kind.is_empty() {
                    self.parts.notes.push(format!("kind: {kind}"));
                }
                found.map_or("two limbs", |known| known.name).to_owned()
            }
            form => values::kind(kind, form),
        };
        let reading = Reading {
            kind: name,
            form,
            // Where no strike was read there is no end of it to choose.
            right_hand: right_hand && shot.strike.is_some(),
            north: self.matching.north,
            declination: self.matching.declination.clone(),
            shots: vec![shot],
            ..Reading::default()
        };
        self.doubts(column, &reading);
        self.parts.readings.push(reading);
    }

    /// The doubts that the keypad would raise on the same dials.
    fn doubts(&mut self, column: Option<usize>, reading: &Reading) {
        let attitude = attitude::of(reading);
        for found in &attitude.open {
            self.say(
                column,
                weight(found.doubt.severity),
                found.doubt.message.clone(),
            );
        }
        let shot = reading.shots.first();
        let two = attitude
            .shots
            .first()
            .map_or(&[][..], |shot| &shot.candidates);
        let comes_to =
            attitude.plane.is_some() || attitude.line.is_some() || attitude.angle_deg.is_some();
        let told = attitude
            .open
            .iter()
            .any(|found| found.doubt.severity == Severity::Doubt);
        if comes_to || told {
            return;
        }
        let dials: Vec<String> = shot
            .into_iter()
            .flat_map(Shot::texts)
            .map(|(name, text)| format!("{name} {text}"))
            .collect();
        let words = match two {
            [one, other] => format!(
                "the side is missing: {} dips to {} or {}",
                dials.join(", "),
                notation::write_azimuth(one.dip_direction()),
                notation::write_azimuth(other.dip_direction())
            ),
            _ => format!(
                "neither a plane nor a line comes of {} alone",
                dials.join(", ")
            ),
        };
        self.say(column, Weight::Doubt, words);
    }

    /// Tops, sense, north, declination, numbers: they go with the readings, or into the note where there is none.
    fn with_the_reading(&mut self, has_readings: bool) {
        let tops = self.read(What::Tops, "upright, overturned or unknown", values::tops);
        let sense = |text: &str| match text.to_ascii_lowercase().as_str() {
            "unknown" | "?" => Some(None),
            _ => Sense::read(text).map(Some),
        };
        let sense = self.read(What::Sense, "normal, reverse, sinistral or dextral", sense);
        let north = self.read(What::North, "true, magnetic or grid", values::north);
        let declination = |text: &str| attitude::declination(text).map(|_| text.to_owned());
        let declination = self.read(What::Declination, "a declination, as 3.5W", declination);
        let struck_out = self.read(What::StruckOut, "yes or no", values::flag);
        if let Some((column, text)) = self.cell(What::Shot) {
            match text.parse() {
                Ok(number) => self.parts.shot = Some(number),
                Err(_) => self.not_read(column, text, "the number of a shot"),
            }
        }
        if let Some((_, text)) = self.cell(What::Reading) {
            text.clone_into(&mut self.parts.called);
        }
        if !has_readings {
            let read = [
                (What::Tops, tops.is_some()),
                (What::Sense, sense.is_some()),
                (What::North, north.is_some()),
                (What::Declination, declination.is_some()),
                (What::StruckOut, struck_out == Some(true)),
                (What::Shot, self.parts.shot.is_some()),
            ];
            for (what, was_read) in read {
                if was_read && let Some((column, text)) = self.cell(what) {
                    self.keep(column, text);
                }
            }
            return;
        }
        for reading in &mut self.parts.readings {
            if let Some(tops) = tops {
                reading.tops = tops;
            }
            reading.sense = sense
                .flatten()
                .filter(|_| reading.form == Form::PlaneWithLine);
            if let Some(north) = north {
                reading.north = north;
            }
            if declination.is_some() {
                reading.declination.clone_from(&declination);
            }
            if reading.north == North::Unknown {
                reading.declination = reading.declination.take().filter(|_| declination.is_some());
            }
            for shot in &mut reading.shots {
                shot.struck_out = struck_out == Some(true);
            }
        }
        let lines_alone = self.parts.readings.iter().all(|r| r.form == Form::Line);
        let without_line = self.parts.readings.iter().all(|r| r.sense.is_none());
        if tops.is_some_and(|tops| tops != Tops::Unknown)
            && lines_alone
            && let Some((column, text)) = self.cell(What::Tops)
        {
            self.keep(column, text);
        }
        if sense.flatten().is_some()
            && without_line
            && let Some((column, text)) = self.cell(What::Sense)
        {
            self.keep(column, text);
        }
    }

    /// Notes as they are, and what nobody matched under its heading.
    fn words(&mut self) {
        for column in 0..self.matching.columns.len() {
            let text = self.at(column);
            if text.is_empty() {
                continue;
            }
            match self.matching.columns[column].what {
                What::Note => self.parts.notes.push(text.to_owned()),
                What::Kept => self.keep(column, text),
                // Only a hand-over has such a column; of another table its words are kept.
                What::HandedOver if self.matching.own.is_none() => self.keep(column, text),
                _ => {}
            }
        }
        // Cells beyond the last heading cannot be: there are as many headings as the longest row has cells.
    }
}

/// Which dials a shot has.
pub(super) fn form_of(shot: &Shot) -> Form {
    let plane = [&shot.strike, &shot.dip, &shot.side, &shot.toward];
    let line = [&shot.trend, &shot.plunge, &shot.rake];
    let any = |dials: &[&Option<String>]| dials.iter().any(|dial| dial.is_some());
    match (any(&plane), any(&line)) {
        (true, true) => Form::PlaneWithLine,
        (true, false) => Form::Plane,
        (false, true) => Form::Line,
        (false, false) => Form::Angle,
    }
}

pub(super) fn weight(severity: Severity) -> Weight {
    match severity {
        Severity::Doubt => Weight::Doubt,
        Severity::Note => Weight::Note,
    }
}
