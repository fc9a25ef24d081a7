//! The stations that have a place as waypoints of GPX 1.1, for a receiver that leads back to them.
//!
//! A height is written where it is known; it counts from the WGS 84 ellipsoid, which the waypoint's description says.

use super::column::{Cell, Sheet};
use super::instant::utc;
use super::{HandOver, Point};
use crate::exchange::xml::escaped;

fn tag(out: &mut String, name: &str, text: &str) {
    if !text.is_empty() {
        out.push_str(&format!("<{name}>{}</{name}>", escaped(text)));
    }
}

/// What stands in the column of a station, in words; empty where nothing does.
fn field(sheet: &dyn Sheet, cells: &[Cell<'_>], name: &str) -> String {
    let heads = sheet.heads();
    let place = heads.iter().position(|head| head.name == name);
    let cell = place.and_then(|place| cells.get(place));
    cell.map(|cell| cell.written().into_owned())
        .unwrap_or_default()
}

fn waypoint(out: &mut String, sheet: &dyn Sheet, row: usize, point: &Point) {
    let cells = sheet.cells(row);
    let of = |name: &str| field(sheet, &cells, name);
    // The schema's longitude ends below 180.
    let longitude = if point.longitude >= 180.0 {
        -180.0
    } else {
        point.longitude
    };
    out.push_str(&format!(
        "<wpt lat=\"{}\" lon=\"{longitude}\">",
        point.latitude
    ));
    if let Some(height_m) = point.height_m {
        out.push_str(&format!("<ele>{height_m}</ele>"));
    }
    if let Some(time) = utc(sheet.at(row)) {
        out.push_str(&format!("<time>{time}</time>"));
    }
    tag(out, "name", &sheet.called(row));
    tag(out, "cmt", &of("station_name"));
    let mut words: Vec<String> = ["map_unit", "lithology", "note"]
        .into_iter()
        .map(of)
        .filter(|text| !text.is_empty())
        .collect();
    if point.height_m.is_some() {
        words.push("height above the WGS 84 ellipsoid".to_owned());
    }
    tag(out, "desc", &words.join("; "));
    let accuracy = of("accuracy");
    let source = of("position_source");
    let source = if accuracy.is_empty() {
        source
    } else {
        format!("{source}, within {accuracy} m 68 times in 100")
    };
    tag(out, "src", &source);
    tag(out, "type", "station");
    out.push_str("</wpt>\n");
}

/// The whole file. Stations without a place are not in it.
pub fn write(hand_over: &HandOver) -> String {
    let sheet = hand_over.stations();
    let mut out = String::from(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<gpx xmlns=\"http://www.topografix.com/GPX/1/1\" version=\"1.1\" creator=\"Hingeline\">\n<metadata>",
    );
    tag(&mut out, "name", &hand_over.book);
    if let Some(time) = utc(&hand_over.made.at) {
        out.push_str(&format!("<time>{time}</time>"));
    }
    out.push_str("</metadata>\n");
    for row in 0..sheet.len() {
        if let Some(point) = sheet.point(row) {
            waypoint(&mut out, sheet, row, &point);
        }
    }
    out.push_str("</gpx>\n");
    out
}
