//! What a record says, field by field, in words: for telling what an entry changed and what two versions disagree about.

use serde_json::{Map, Value};

use crate::app::outcrop::kinds;
use crate::app::written::declination_words;
use crate::notebook::{Entry, Origin, Pages, Position, Shot};

/// One thing that a record says.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fact {
    /// The field of the file it belongs to: `shots`, `note`.
    pub field: String,
    /// Tells it from the other facts of a record: `shots/1/dip`.
    pub key: String,
    /// What it is called: `dip`, `shot 2, dip`.
    pub name: String,
    /// What it says.
    pub text: String,
}

/// Longer values of fields that this version does not know are cut here.
const LONGEST: usize = 120;

/// What an entry says, in the order of a page; nothing where it strikes its record out. With more than one shot in any of the
/// entries it is compared with, shots are numbered.
pub fn facts(pages: &Pages, entry: &Entry, numbered: bool) -> Vec<Fact> {
    let Some((kind, fields)) = content(entry) else {
        return Vec::new();
    };
    let mut names: Vec<&String> = fields.keys().collect();
    names.sort_by_key(|name| (rank(name), (*name).clone()));
    let mut facts = Vec::new();
    // A kind says by itself which dials it has.
    let usual = fields
        .get("kind")
        .and_then(Value::as_str)
        .and_then(|kind| serde_json::to_value(kinds::form_of(kind)).ok());
    for name in names {
        let value = &fields[name];
        if name == "form" && usual.as_ref() == Some(value) {
            continue;
        }
        match (name.as_str(), value) {
            ("shots", Value::Array(shots)) => {
                for (index, shot) in shots.iter().enumerate() {
                    of_shot(shot, index, numbered, &mut facts);
                }
            }
            _ => {
                let text = words(pages, &kind, name, value);
                if !text.is_empty() {
                    facts.push(Fact {
                        field: name.clone(),
                        key: name.clone(),
                        name: called(&kind, name),
                        text,
                    });
                }
            }
        }
    }
    facts
}

/// How many shots an entry has.
pub fn shots(entry: &Entry) -> usize {
    content(entry)
        .and_then(|(_, fields)| fields.get("shots")?.as_array().map(Vec::len))
        .unwrap_or_default()
}

/// The kind and the fields of an entry's body as it was written, those of a newer version among them.
fn content(entry: &Entry) -> Option<(String, Map<String, Value>)> {
    let body: Map<String, Value> = serde_json::from_str(entry.body_text()?).ok()?;
    match body.iter().next() {
        Some((kind, Value::Object(fields))) if body.len() == 1 => {
            Some((kind.clone(), fields.clone()))
        }
        _ => Some((String::new(), body)),
    }
}

/// The order of a page: what it is, what was read, how, and the words.
fn rank(name: &str) -> usize {
    const ORDER: [&str; 44] = [
        "number",
        "name",
        "kind",
        "form",
        "station",
        "at",
        "to",
        "to_words",
        "same_as",
        "apart_from",
        "bearing",
        "vertical",
        "up",
        "slope_m",
        "level_m",
        "distance_sd_m",
        "shots",
        "planes",
        "tops",
        "position",
        "unit",
        "lithology",
        "notation",
        "own_kinds",
        "instrument",
        "card",
        "numbers",
        "own",
        "set_up",
        "north",
        "declination",
        "card_declination",
        "declination_at",
        "declination_from",
        "because",
        "resolution",
        "needle_sd",
        "inclination_sd",
        "placement_sd",
        "index_width",
        "right_hand",
        "accepted",
        "note",
        "from",
    ];
    ORDER
        .iter()
        .position(|known| *known == name)
        .unwrap_or(ORDER.len())
}

/// What a field is called.
fn called(kind: &str, name: &str) -> String {
    let word = match (kind, name) {
        (_, "station") => "at",
        ("station", "at") => "started",
        ("sighting" | "photo", "at") => "taken",
        ("photo", "reading") => "with",
        ("photo", "sha256") => "picture",
        ("photo", "media") => "kind of file",
        ("photo", "width") => "width, pixels",
        ("photo", "height") => "height, pixels",
        (_, "to" | "to_words") => "to",
        (_, "same_as") => "the same outcrop as",
        (_, "apart_from") => "another outcrop than",
        (_, "slope_m") => "distance along the slope, m",
        (_, "level_m") => "level distance, m",
        (_, "distance_sd_m") => "distance, ± m",
        (_, "vertical") => "vertical angle",
        (_, "planes") => "between",
        (_, "unit") => "mapped unit",
        (_, "notation") => "written as",
        (_, "own_kinds") => "kinds of one’s own",
        (_, "numbers") => "numbers of the card",
        (_, "own") => "its scales",
        (_, "set_up") => "set-up",
        (_, "card_declination") => "declination on the card",
        (_, "declination_at") => "declination set",
        (_, "declination_from") => "declination from",
        (_, "because") => "put right because",
        (_, "from") => "from the table",
        (_, "resolution") => "read to, °",
        (_, "needle_sd") => "needle, ±°",
        (_, "inclination_sd") => "inclination, ±°",
        (_, "placement_sd") => "placement, ±°",
        (_, "index_width") => "width of the index, °",
        (_, "right_hand") => "right-hand rule",
        (_, "accepted") => "doubts settled",
        (_, "struck_out") => "struck out",
        (_, "toward") => "dip direction",
        (_, "stood") => "how it stood",
        (_, other) => return other.replace(['_', '-'], " "),
    };
    word.to_owned()
}

/// The dials of a shot, one by one.
fn of_shot(shot: &Value, index: usize, numbered: bool, facts: &mut Vec<Fact>) {
    const DIALS: [&str; 11] = [
        "strike",
        "dip",
        "side",
        "toward",
        "trend",
        "plunge",
        "up",
        "rake",
        "angle",
        "stood",
        "struck_out",
    ];
    let Some(shot) = shot.as_object() else {
        return;
    };
    let rank = |name: &str| DIALS.iter().position(|d| *d == name).unwrap_or(DIALS.len());
    // When its last dial went in is told by the entry itself.
    let mut names: Vec<&String> = shot.keys().filter(|name| *name != "at").collect();
    names.sort_by_key(|name| (rank(name), (*name).clone()));
    for name in names {
        let text = plain(&shot[name]);
        if text.is_empty() {
            continue;
        }
        let called = called("shot", name);
        facts.push(Fact {
            field: "shots".to_owned(),
            key: format!("shots/{index}/{name}"),
            name: if numbered {
                format!("shot {}, {called}", index + 1)
            } else {
                called
            },
            text,
        });
    }
}

/// What a field says, in words.
fn words(pages: &Pages, kind: &str, name: &str, value: &Value) -> String {
    let text = value.as_str();
    match (name, text) {
        ("kind", Some(kind)) => kinds::words(kind).to_owned(),
        ("station" | "to" | "same_as", Some(record)) => match pages.station(record) {
            Some(page) => format!("station {}", page.line().number()),
            None => "a station that is not in this book".to_owned(),
        },
        ("set_up", Some(record)) => match pages.set_up(record).and_then(|line| line.set_up()) {
            Some(set_up) if !set_up.name.is_empty() => set_up.name.clone(),
            Some(_) => "Transit".to_owned(),
            None => "a set-up that is not in this book".to_owned(),
        },
        ("north", Some("unknown")) => "not said".to_owned(),
        ("north", Some(north)) => format!("{north} north"),
        ("declination" | "card_declination", Some(text)) => declination_words(text),
        ("tops", Some("unknown")) => "not known".to_owned(),
        ("notation", Some(notation)) => match notation {
            "strike-dip" => "045/30SE",
            "quadrant" => "N45E/30SE",
            "dip-direction" => "dip, then its direction",
            "right-hand" => "045/30, right hand",
            other => other,
        }
        .to_owned(),
        ("at" | "declination_at", Some(at)) => crate::app::who::when(at),
        ("form", Some(form)) => form.replace('-', " "),
        ("form" | "number", None) => plain(value),
        ("position", None) => position(value),
        ("apart_from", None) => {
            let records = value.as_array().into_iter().flatten();
            let named: Vec<String> = records
                .map(|record| words(pages, kind, "station", record))
                .collect();
            named.join(", ")
        }
        ("planes", None) => {
            let records = value.as_array().into_iter().flatten();
            let named: Vec<String> = records
                .map(|record| reading_number(pages, record.as_str().unwrap_or_default()))
                .collect();
            named.join(" and ")
        }
        ("accepted", None) => accepted(value),
        ("from", None) => origin(value),
        ("reading", Some(record)) if kind == "photo" => reading_number(pages, record),
        _ if kind == "photo" && (name == "sha256" || name == "hash") => {
            plain(value).chars().take(8).collect()
        }
        _ => plain(value),
    }
}

/// `47·3`, by the record of a reading.
pub fn reading_number(pages: &Pages, record: &str) -> String {
    let found = pages.reading(record).and_then(|line| {
        let station = pages.station(&line.reading()?.station)?;
        Some(format!("{}·{}", station.line().number(), line.number()))
    });
    found.unwrap_or_else(|| "a reading that is not in this book".to_owned())
}

fn position(value: &Value) -> String {
    let Ok(position) = serde_json::from_value::<Position>(value.clone()) else {
        return plain(value);
    };
    let mut words = match &position.typed {
        Some(typed) => typed.clone(),
        None => format!("{:.6}, {:.6}", position.latitude, position.longitude),
    };
    if let Some(accuracy) = position.accuracy_m {
        words.push_str(&format!(" ±{accuracy:.0} m"));
    }
    if let Some(height) = position.height_m {
        words.push_str(&format!(", height {height:.0} m"));
    }
    match position.source.as_str() {
        "" => {}
        source => words.push_str(&format!(", {source}")),
    }
    words
}

/// `outcrops.csv, line 12, read by K.O.: 12;bedding;045;30`.
fn origin(value: &Value) -> String {
    let Ok(from) = serde_json::from_value::<Origin>(value.clone()) else {
        return plain(value);
    };
    let by = match from.by.as_str() {
        "" => String::new(),
        by => format!(", read by {by}"),
    };
    format!("{}, line {}{by}: {}", from.table, from.line, from.row)
}

fn accepted(value: &Value) -> String {
    let all = value.as_array().into_iter().flatten();
    let each: Vec<String> = all
        .map(|one| {
            let get = |name: &str| one.get(name).and_then(Value::as_str).unwrap_or_default();
            match get("by") {
                "" => get("choice").to_owned(),
                by => format!("{} ({by})", get("choice")),
            }
        })
        .collect();
    each.join("; ")
}

/// A value that needs no words of its own.
fn plain(value: &Value) -> String {
    let text = match value {
        Value::Null => String::new(),
        Value::Bool(true) => "yes".to_owned(),
        Value::Bool(false) => "no".to_owned(),
        Value::Number(number) => number.to_string(),
        Value::String(text) => text.clone(),
        Value::Array(all) => {
            let each: Vec<String> = all.iter().map(plain).collect();
            each.join(", ")
        }
        Value::Object(fields) => {
            let each: Vec<String> = fields
                .iter()
                .map(|(name, value)| {
                    let name = name.replace(['_', '-'], " ");
                    format!("{name} {}", plain(value).replace(['_', '-'], " "))
                })
                .collect();
            each.join(", ")
        }
    };
    if text.chars().count() > LONGEST && !value.is_string() {
        let cut: String = text.chars().take(LONGEST).collect();
        return format!("{cut} …");
    }
    text
}

/// The dials of a shot as they stand, in one piece: `062/36 SE`, `36→152`, `12→240 up`.
pub fn shot_words(shot: &Shot) -> String {
    let or = |text: &Option<String>| text.clone().unwrap_or_default();
    let mut parts = Vec::new();
    if shot.toward.is_some() {
        parts.push(format!("{}→{}", or(&shot.dip), or(&shot.toward)));
    } else if shot.strike.is_some() || shot.dip.is_some() {
        let side = or(&shot.side);
        parts.push(format!("{}/{} {side}", or(&shot.strike), or(&shot.dip)));
    }
    if shot.trend.is_some() || shot.plunge.is_some() {
        let up = if shot.up { " up" } else { "" };
        parts.push(format!("{}→{}{up}", or(&shot.plunge), or(&shot.trend)));
    }
    if let Some(rake) = &shot.rake {
        parts.push(format!("rake {rake}"));
    }
    if let Some(angle) = &shot.angle {
        parts.push(format!("{angle}°"));
    }
    let words: Vec<&str> = parts.iter().map(|part| part.trim()).collect();
    words.join(", ")
}
