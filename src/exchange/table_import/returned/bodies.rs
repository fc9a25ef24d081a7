//! A row of a hand-over as the record it was written from.

use super::super::row::{self, Weight};
use super::super::values;
use super::super::{Table, TableRow};
use super::cells::{Cells, Columns};
use crate::exchange::table_import::Matching;
use crate::notebook::kinds::{self, KINDS};
use crate::notebook::{
    Accepted, Body, Form, Origin, Position, Reading, RecordId, Shot, Sighting, Station, Tops,
    attitude,
};
use crate::orientation::faults::Sense;

/// To which station a row belongs.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash)]
pub(super) struct Home {
    /// The record of the station, where the table says it.
    pub(super) record: Option<RecordId>,
    /// Its number; none where the book did not have the station.
    pub(super) number: Option<u32>,
}

/// What a row says.
pub(super) struct Told<'t> {
    /// The record, where the table says it.
    pub(super) record: Option<RecordId>,
    /// The table says that it was struck out.
    pub(super) withdrawn: bool,
    /// How a person calls it: `reading 1·2`.
    pub(super) called: String,
    pub(super) home: Home,
    pub(super) body: Body,
    /// The number of the shot, where the row is one.
    pub(super) shot: Option<usize>,
    pub(super) cells: Cells<'t>,
}

/// Reads a row of a table of the hand-over; nothing where no dial stands in it.
pub(super) fn told<'t>(
    sheet: &str,
    table: &'t Table,
    matching: &Matching,
    columns: &'t Columns<'t>,
    row: &'t TableRow,
) -> Option<Told<'t>> {
    let mut cells = Cells::of(row, columns);
    let flag = |cells: &mut Cells<'_>, heading: &str| {
        let flag = cells.read(heading, "true or false", values::flag);
        flag.unwrap_or_default()
    };
    let mut home = Home {
        record: cells.some("station_record").map(RecordId::from),
        number: cells.read("station", "the number of a station", whole),
    };
    let mut told = match sheet {
        "stations" => {
            home.record = cells.some("record").map(RecordId::from);
            let withdrawn = flag(&mut cells, "struck_out");
            let station = station(&mut cells, table, home.number);
            (withdrawn, None, Body::Station(station))
        }
        "shots" => {
            let withdrawn = flag(&mut cells, "reading_struck_out");
            let nth = cells.read("shot", "the number of a shot", whole);
            let reading = reading_of_shot(&mut cells, matching);
            (withdrawn, nth, Body::Reading(reading))
        }
        "readings" => {
            let withdrawn = flag(&mut cells, "struck_out");
            let reading = reading_of_means(&mut cells, table, matching)?;
            (withdrawn, None, Body::Reading(reading))
        }
        _ => {
            let withdrawn = flag(&mut cells, "struck_out");
            (withdrawn, None, Body::Sighting(sighting(&mut cells)))
        }
    };
    if let Body::Reading(reading) = &mut told.2 {
        reading.from = Some(origin(table, &cells));
    }
    let name = ["reading", "sighting", "station"]
        .into_iter()
        .find_map(|heading| Some((heading, cells.some(heading)?)));
    let called = match name {
        Some(("sighting", name)) => name,
        Some((what, name)) => format!("{what} {}", name.replace(['.', ','], "·")),
        None => "the row".to_owned(),
    };
    Some(Told {
        record: cells.some("record").map(RecordId::from),
        withdrawn: told.0,
        shot: told.1.and_then(|nth| usize::try_from(nth).ok()),
        body: told.2,
        called,
        home,
        cells,
    })
}

fn origin(table: &Table, cells: &Cells<'_>) -> Origin {
    Origin {
        table: table.name.clone(),
        line: cells.row.line,
        row: cells.row.text.clone(),
        by: cells.text("by").to_owned(),
        ..Origin::default()
    }
}

/// A whole number, as a spreadsheet may have written it too: 12.0.
fn whole(text: &str) -> Option<u32> {
    let whole = text.strip_suffix(".0").unwrap_or(text);
    let plain = !whole.is_empty() && whole.bytes().all(|b| b.is_ascii_digit());
    plain.then(|| whole.parse().ok())?
}

/// The last number of a name, its own at the station: the 3 of `47·3`, `47.3`, `47,3`, `47 sighting 3`, or `3` alone.
fn own_number(cells: &Cells<'_>, heading: &str) -> u32 {
    let name = cells.text(heading);
    let last = name.rsplit(['·', '.', ',', ' ']).next();
    last.and_then(whole).unwrap_or_default()
}

fn accepted(cells: &mut Cells<'_>) -> Vec<Accepted> {
    let answers = cells.read("accepted", "a list of answers in JSON", |text| {
        serde_json::from_str(text).ok()
    });
    answers.unwrap_or_default()
}

fn station(cells: &mut Cells<'_>, table: &Table, number: Option<u32>) -> Station {
    let latitude = cells.read("latitude (deg)", "a latitude in degrees", values::finite);
    let longitude = cells.read("longitude (deg)", "a longitude in degrees", values::finite);
    let height_m = cells.read("height (m)", "a height in metres", values::finite);
    let accuracy_m = cells.read("accuracy (m)", "an accuracy in metres", values::finite);
    let accepted = accepted(cells);
    let position = latitude
        .zip(longitude)
        .map(|(latitude, longitude)| Position {
            latitude,
            longitude,
            height_m,
            accuracy_m,
            source: cells.text("position_source").to_owned(),
            typed: Some(cells.words("position_typed").to_owned()).filter(|text| !text.is_empty()),
            ..Position::default()
        });
    Station {
        number: number.unwrap_or_default(),
        name: cells.words("station_name").to_owned(),
        at: cells.text("at").to_owned(),
        position,
        unit: cells.words("map_unit").to_owned(),
        lithology: cells.words("lithology").to_owned(),
        same_as: cells.some("same_as"),
        apart_from: cells.records("apart_from"),
        accepted,
        from: Some(origin(table, cells)),
        note: cells.note("note"),
        ..Station::default()
    }
}

/// The kind of structure under which words of a hand-over were kept.
pub(super) fn kind(words: &str, form: Form) -> String {
    let listed = |kind: &kinds::Kind| kind.name == words && kind.form == form;
    if KINDS.iter().any(listed) {
        words.to_owned()
    } else {
        kinds::own(words, form)
    }
}

fn form(text: &str) -> Option<Form> {
    match text {
        "plane" => Some(Form::Plane),
        "line" => Some(Form::Line),
        "plane-with-line" => Some(Form::PlaneWithLine),
        "angle" => Some(Form::Angle),
        _ => None,
    }
}

/// A dial as it stood. A spreadsheet takes `045` for a number and drops its first 0: of plain digits what is missing is put back.
fn dial(text: &str, digits: usize) -> Option<String> {
    let whole = text.split(['.', ',']).next().unwrap_or_default();
    let plain = !whole.is_empty()
        && text
            .bytes()
            .all(|b| b.is_ascii_digit() || matches!(b, b'.' | b','));
    let missing = if plain {
        digits.saturating_sub(whole.len())
    } else {
        0
    };
    (!text.is_empty()).then(|| format!("{}{text}", "0".repeat(missing)))
}

fn reading_of_shot(cells: &mut Cells<'_>, matching: &Matching) -> Reading {
    let side = cells.some("side");
    // Where no direction was read the side stands in its column too.
    let toward = dial(cells.text("toward (deg)"), 3).filter(|toward| side.as_ref() != Some(toward));
    let plunge = cells.text("plunge (deg)");
    let up = plunge.starts_with('-');
    let flag = |cells: &mut Cells<'_>, heading: &str| {
        let flag = cells.read(heading, "true or false", values::flag);
        flag.unwrap_or_default()
    };
    let stood = cells.read("stood", "how an instrument stood, in JSON", |text| {
        serde_json::from_str(text).ok()
    });
    let shot = Shot {
        strike: dial(cells.text("strike (deg)"), 3),
        dip: dial(cells.text("dip (deg)"), 2),
        side,
        toward,
        trend: dial(cells.text("trend (deg)"), 3),
        plunge: dial(plunge.trim_start_matches('-'), 2),
        up,
        rake: dial(cells.text("rake (deg)"), 3),
        angle: dial(cells.text("angle (deg)"), 3),
        stood,
        struck_out: flag(cells, "struck_out"),
        at: cells.text("at").to_owned(),
        ..Shot::default()
    };
    let form = cells
        .read("form", "plane, line, plane-with-line or angle", form)
        .unwrap_or_else(|| row::form_of(&shot));
    let right_hand = flag(cells, "right_hand");
    let sense = cells.read(
        "slip_sense",
        "normal, reverse, sinistral or dextral",
        Sense::read,
    );
    let tops = cells.read("polarity", "upright or overturned", values::tops);
    let north = cells.read(
        "north_read",
        "true, magnetic, grid or unknown",
        values::north,
    );
    // What an older hand-over does not say, a person may.
    let declination = cells
        .some("declination (deg)")
        .or_else(|| matching.declination.clone().filter(|_| !is_newer(cells)));
    let accepted = accepted(cells);
    Reading {
        number: own_number(cells, "reading"),
        kind: kind(cells.text("kind"), form),
        form,
        right_hand,
        set_up: cells.some("set_up_record"),
        north: north.unwrap_or(matching.north),
        declination,
        card_declination: cells.some("card_declination (deg)"),
        because: Some(cells.words("because").to_owned()).filter(|text| !text.is_empty()),
        planes: cells.records("between"),
        shots: vec![shot],
        tops: tops.unwrap_or(Tops::Unknown),
        sense,
        accepted,
        note: cells.note("note"),
        ..Reading::default()
    }
}

/// Whether a table of shots says the station's record, and with it the declination.
fn is_newer(cells: &Cells<'_>) -> bool {
    !cells.text("station_record").is_empty()
}

/// A reading by its means, which count from true north; by its dials in words where no value from true north came of them.
fn reading_of_means(cells: &mut Cells<'_>, table: &Table, matching: &Matching) -> Option<Reading> {
    let parts = row::parts(table, matching, cells.row);
    cells.said.extend(parts.said);
    let mut reading = parts.readings.into_iter().next()?;
    reading.number = own_number(cells, "reading");
    reading.form = form(cells.text("form")).unwrap_or(reading.form);
    reading.kind = kind(cells.text("kind"), reading.form);
    reading.tops = values::tops(cells.text("polarity")).unwrap_or_default();
    reading.sense = Sense::read(cells.text("slip_sense"));
    reading.planes = cells.records("between");
    if cells.said.iter().any(|said| said.weight == Weight::NotRead) {
        let note = cells.text("note");
        cells.kept = parts.notes.into_iter().filter(|n| n != note).collect();
    }
    reading.note = cells.note("note");
    for shot in &mut reading.shots {
        shot.at = cells.text("at").to_owned();
    }
    Some(reading)
}

fn sighting(cells: &mut Cells<'_>) -> Sighting {
    let up = |text: &str| match text {
        "up" => Some(true),
        "down" => Some(false),
        _ => None,
    };
    let up = cells.read("vertical_side", "up or down", up);
    let north = cells.read(
        "north_read",
        "true, magnetic, grid or unknown",
        values::north,
    );
    let declination = cells.read("declination (deg)", "a declination in degrees", |text| {
        attitude::declination(text).map(|_| text.to_owned())
    });
    let accepted = accepted(cells);
    // An older hand-over has the words of the point in `to`, where the point is no station.
    let to_words = match (cells.words("to_words"), cells.text("to_station")) {
        ("", "") => cells.words("to"),
        (words, _) => words,
    };
    Sighting {
        number: own_number(cells, "sighting"),
        to: cells.some("to_record"),
        to_words: to_words.to_owned(),
        bearing: dial(cells.text("bearing_read (deg)"), 3),
        vertical: dial(cells.text("vertical_read (deg)"), 2),
        up: up.unwrap_or_default(),
        slope_m: cells.some("slope_distance_read (m)"),
        level_m: cells.some("level_distance_read (m)"),
        distance_sd_m: cells.some("distance_sd_read (m)"),
        set_up: cells.some("set_up_record"),
        north: north.unwrap_or_default(),
        declination,
        card_declination: cells.some("card_declination (deg)"),
        because: Some(cells.words("because").to_owned()).filter(|text| !text.is_empty()),
        at: cells.text("at").to_owned(),
        accepted,
        note: cells.note("note"),
        ..Sighting::default()
    }
}
