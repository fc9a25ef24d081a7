//! Everything that has a place as GeoJSON (RFC 7946): WGS 84, longitude before latitude, no `crs`.
//!
//! One collection holds stations, readings and sightings; the property `what` tells which a feature is. What has no place is
//! a feature with a null geometry. Beside the features the collection says in `hand_over` whose book it is, what was left
//! out, and what every property means.

use super::column::{Cell, Head, Point, Sheet, Unit};
use super::{HandOver, Kind};

/// Adds a JSON string.
fn string(out: &mut String, text: &str) {
    // A text can always be written as JSON.
    out.push_str(&serde_json::to_string(text).unwrap_or_default());
}

fn value(out: &mut String, cell: &Cell<'_>) {
    match cell {
        Cell::Nothing => out.push_str("null"),
        Cell::Text(text) => string(out, text),
        other => out.push_str(&other.written()),
    }
}

/// What a feature is: the singular of its table.
fn what(sheet: &dyn Sheet) -> &'static str {
    sheet.name().strip_suffix('s').unwrap_or(sheet.name())
}

fn position(out: &mut String, point: &Point) {
    out.push_str(&format!("[{},{}", point.longitude, point.latitude));
    if let Some(height_m) = point.height_m {
        out.push_str(&format!(",{height_m}"));
    }
    out.push(']');
}

/// The box around all points: west, south, east, north; with the least and the greatest height where any point has one.
/// West is greater than east where the box crosses the antimeridian (section 5.2).
///
/// A box has as many numbers for each corner as the positions in it have dimensions (section 5): one position with a height
/// makes that three. A position without one has no say in the heights, and lies in the box by its two numbers.
///
/// # Degenerate input
/// No points: none.
fn bbox(points: &[Point]) -> Option<Vec<f64>> {
    let of = |value: fn(&Point) -> f64, better: fn(f64, f64) -> f64| {
        points.iter().map(value).reduce(better)
    };
    let south = of(|point| point.latitude, f64::min)?;
    let north = of(|point| point.latitude, f64::max)?;
    let (west, east) = around(points.iter().map(|point| point.longitude).collect())?;
    let heights = || points.iter().filter_map(|point| point.height_m);
    Some(
        match (heights().reduce(f64::min), heights().reduce(f64::max)) {
            (Some(low), Some(high)) => vec![west, south, low, east, north, high],
            _ => vec![west, south, east, north],
        },
    )
}

/// The western and the eastern end of the shortest arc that holds all longitudes.
fn around(mut longitudes: Vec<f64>) -> Option<(f64, f64)> {
    longitudes.sort_by(f64::total_cmp);
    let (first, last) = (*longitudes.first()?, *longitudes.last()?);
    // The widest gap between neighbours is outside the box; the one across the antimeridian comes first, so that it wins a tie.
    let mut widest = (first + 360.0 - last, (first, last));
    for pair in longitudes.windows(2) {
        if let [a, b] = pair
            && b - a > widest.0
        {
            widest = (b - a, (*b, *a));
        }
    }
    Some(widest.1)
}

fn feature(out: &mut String, sheet: &dyn Sheet, keys: &[String], row: usize) {
    out.push_str("{\"type\":\"Feature\",\"id\":");
    string(out, &sheet.id(row));
    out.push_str(",\"geometry\":");
    match sheet.point(row) {
        Some(point) => {
            out.push_str("{\"type\":\"Point\",\"coordinates\":");
            position(out, &point);
            out.push('}');
        }
        None => out.push_str("null"),
    }
    out.push_str(",\"properties\":{\"what\":");
    string(out, what(sheet));
    for (key, cell) in keys.iter().zip(sheet.cells(row)) {
        out.push(',');
        string(out, key);
        out.push(':');
        value(out, &cell);
    }
    out.push_str("}}");
}

/// What the collection says of itself.
fn about(out: &mut String, hand_over: &HandOver) {
    out.push_str("{\"book\":");
    string(out, &hand_over.book);
    out.push_str(",\"made_at\":");
    string(out, &hand_over.made.at);
    out.push_str(",\"made_by\":");
    string(out, &hand_over.made.by);
    out.push_str(",\"notation\":");
    string(out, hand_over.notation.name());
    out.push_str(",\"heights\":\"metres above the WGS 84 ellipsoid\",\"azimuths\":\"degrees clockwise from true north\"");
    out.push_str(",\"handed_over\":");
    string(
        out,
        &super::Format::GeoJson.holds(&hand_over.account).words(),
    );
    out.push_str(",\"notes\":[");
    for (place, note) in hand_over.notes().iter().enumerate() {
        if place > 0 {
            out.push(',');
        }
        string(out, note);
    }
    out.push_str("],\"properties\":{");
    for (place, sheet) in hand_over.placed().into_iter().enumerate() {
        if place > 0 {
            out.push(',');
        }
        string(out, what(sheet));
        out.push_str(":{");
        for (place, head) in sheet.heads().iter().enumerate() {
            if place > 0 {
                out.push(',');
            }
            property(out, head);
        }
        out.push('}');
    }
    out.push_str("}}");
}

fn property(out: &mut String, head: &Head) {
    string(out, &head.key());
    out.push_str(":{\"content\":");
    string(out, Kind::name(head.kind));
    if head.unit != Unit::None {
        out.push_str(",\"unit\":");
        string(out, head.unit.name());
    }
    out.push_str(",\"meaning\":");
    string(out, head.meaning);
    out.push('}');
}

/// The whole collection, one feature a line.
pub fn write(hand_over: &HandOver) -> String {
    let mut out = String::from("{\"type\":\"FeatureCollection\"");
    let mut points = Vec::new();
    for sheet in hand_over.placed() {
        points.extend((0..sheet.len()).filter_map(|row| sheet.point(row)));
    }
    if let Some(bbox) = bbox(&points) {
        let numbers: Vec<String> = bbox.iter().map(f64::to_string).collect();
        out.push_str(&format!(",\"bbox\":[{}]", numbers.join(",")));
    }
    out.push_str(",\"hand_over\":");
    about(&mut out, hand_over);
    out.push_str(",\"features\":[");
    let mut first = true;
    for sheet in hand_over.placed() {
        let keys: Vec<String> = sheet.heads().iter().map(Head::key).collect();
        for row in 0..sheet.len() {
            out.push_str(if first { "\n" } else { ",\n" });
            first = false;
            feature(&mut out, sheet, &keys, row);
        }
    }
    out.push_str("\n]}\n");
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(longitude: f64, latitude: f64, height_m: Option<f64>) -> Point {
        Point {
            longitude,
            latitude,
            height_m,
        }
    }

    #[test]
    fn the_box_is_the_least_that_holds_all() {
        let box_of = |points: &[Point]| bbox(points);
        assert_eq!(box_of(&[]), None);
        assert_eq!(
            box_of(&[at(-3.7, 52.7, None)]),
            Some(vec![-3.7, 52.7, -3.7, 52.7])
        );
        assert_eq!(
            box_of(&[at(-3.7, 52.7, Some(4.0)), at(-3.5, 52.9, Some(-2.0))]),
            Some(vec![-3.7, 52.7, -2.0, -3.5, 52.9, 4.0])
        );
        // RFC 7946, section 5.2: the Fiji archipelago, 16° S to 20° S, 177° E to 178° W.
        assert_eq!(
            box_of(&[
                at(177.0, -20.0, None),
                at(-178.0, -16.0, None),
                at(179.0, -18.0, Some(3.0))
            ]),
            Some(vec![177.0, -20.0, 3.0, -178.0, -16.0, 3.0])
        );
        assert_eq!(
            box_of(&[at(177.0, -20.0, None), at(-178.0, -16.0, None)]),
            Some(vec![177.0, -20.0, -178.0, -16.0])
        );
        assert_eq!(
            box_of(&[
                at(177.0, -20.0, Some(-4.0)),
                at(-178.0, -16.0, Some(9.0)),
                at(180.0, -17.0, None)
            ]),
            Some(vec![177.0, -20.0, -4.0, -178.0, -16.0, 9.0])
        );
    }
}
