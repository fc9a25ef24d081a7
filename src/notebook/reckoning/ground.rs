//! Across the ground: the plane through three stations, the thickness between two, the depth below one.

use nalgebra::Vector3;

use super::answer::{
    CARRIED, Drawing, Figure, Hand, Measured, RECONNAISSANCE, Value, Worked, metres, three,
};
use super::given::{PlaneIn, WayIn};
use super::spread::{Result, Sources, Sure};
use crate::orientation::angle::degrees;
use crate::orientation::section::{self, depth_m, thickness_m, through_places};
use crate::orientation::{Azimuth, Line, Noise, Plane};

/// A pole whose 95-in-100 ellipse is longer than this, degrees, tells no plane.
const NO_PLANE_DEG: f64 = 60.0;

/// Where nobody said how well the places are known, a triangle lower than this, metres, tells no plane: twice a usual fix.
const LEAST_HEIGHT_M: f64 = 10.0;

/// How a vector leads from one place to another, in words.
fn leads(way: &Vector3<f64>) -> String {
    let level = way.x.hypot(way.y);
    let higher = if way.z > 0.0 { "lower" } else { "higher" };
    format!(
        "{} toward {} and {} {higher}",
        metres(level),
        three(degrees(way.y.atan2(way.x))),
        metres(way.z.abs())
    )
}

/// The plane through three places: two ways from the first.
///
/// # Errors
/// What is wrong, in words: the places lie in one line, or so nearly that they tell no plane.
pub fn three_points(
    names: [&str; 3],
    ways: [&WayIn; 2],
    hand: &Hand,
) -> std::result::Result<Worked, String> {
    let in_line = |height: f64| {
        format!(
            "the three stations lie nearly in one line: the least height of their triangle is {}; take one that stands off the line",
            metres(height)
        )
    };
    let nowhere =
        || "a position is beyond its limits; open the station and put it right".to_owned();
    let mut sources = Sources::default();
    let one = ways[0].enter(&mut sources).ok_or_else(nowhere)?;
    let other = ways[1].enter(&mut sources).ok_or_else(nowhere)?;
    let through = |e: &[f64]| {
        let places = [Vector3::zeros(), one(e), other(e)];
        Some(through_places(&places, 0.0)?.plane)
    };
    let (b, c) = (one(&sources.none()), other(&sources.none()));
    let longest = b.norm().max(c.norm()).max((c - b).norm());
    let height = b.cross(&c).norm() / longest.max(f64::MIN_POSITIVE);
    let found = sources.plane(through).ok_or_else(|| in_line(height))?;
    let mut cautions = Vec::new();
    if matches!(found.sure, Sure::Untold(_)) && height < LEAST_HEIGHT_M {
        return Err(in_line(height));
    }
    if let Sure::Direction { ellipse_deg, .. } = &found.sure {
        if ellipse_deg.0 > NO_PLANE_DEG {
            return Err(in_line(height));
        }
        if ellipse_deg.0 > 25.0 {
            cautions.push(format!(
                "The least height of the triangle is {}, not much for places that are known no better: places farther apart tell more.",
                metres(height)
            ));
        }
    }
    cautions.push(RECONNAISSANCE.to_owned());
    let plane = found.value;
    let pole = plane.pole();
    let from_sighting = ways.iter().any(|w| matches!(w, WayIn::Sighted { .. }));
    Ok(Worked {
        figures: vec![Figure::plane("plane through the three", found)],
        steps: vec![
            format!("From {}, {} lies {}.", names[0], names[1], leads(&b)),
            format!("From {}, {} lies {}.", names[0], names[2], leads(&c)),
            format!(
                "Both ways lie in the plane; their cross product points along {}, its pole.",
                hand.line(&pole)
            ),
            format!(
                "The plane dips 90° − {:.1}° = {:.1}° toward {}.",
                pole.plunge().deg(),
                plane.dip().deg(),
                three(plane.dip_direction().deg())
            ),
        ],
        cautions,
        method: format!(
            "The cross product of two sides of the triangle (textbook geometry; on a map, the strike is the line between equal heights). {}{} {CARRIED}",
            if from_sighting { SIGHTED } else { "" },
            PLACES
        ),
        drawing: Drawing::Map {
            places: [
                (names[0].to_owned(), 0.0, 0.0),
                (names[1].to_owned(), b.x, b.y),
                (names[2].to_owned(), c.x, c.y),
            ],
            plane,
        },
    })
}

const PLACES: &str = "Between positions the way is the geodesic on WGS 84 and the difference of their heights. A place's radius holds it 68 times in 100, so each of its axes has that over 1.51. A height whose ± is not given is taken as 1½ times less sure than that radius (common practice: 1½ to 3 times).";
const SIGHTED: &str =
    "Where a sighting leads there, its bearing, vertical angle and distance are taken. ";

/// A way as its length, its direction and where it leads.
fn length_of(way: &Vector3<f64>) -> Option<(f64, Line)> {
    Some((way.norm(), Line::from_vector(way)?))
}

/// The thickness between two places that stand on the base and on the top of a layer; the ground may slope.
///
/// # Errors
/// What is wrong, in words: the two places are one.
pub fn thickness(
    names: [&str; 2],
    way: &WayIn,
    layer: &PlaneIn,
    hand: &Hand,
) -> std::result::Result<Worked, String> {
    let mut sources = Sources::default();
    let lead = way.enter(&mut sources).ok_or_else(same)?;
    let plane = layer.enter(&mut sources);
    let straight = lead(&sources.none());
    let (length, line) = length_of(&straight).ok_or_else(same)?;
    let pole = layer.plane.normal();
    let up = if straight.dot(&pole) < 0.0 {
        -pole
    } else {
        pole
    };
    let found = sources
        .number(|e| {
            let normal = plane(e)?.normal();
            let sign = if normal.dot(&up) < 0.0 { -1.0 } else { 1.0 };
            Some(lead(e).dot(&normal) * sign)
        })
        .ok_or_else(same)?;
    let exact = section::Measured {
        value: length,
        sd: 0.0,
    };
    let value = thickness_m(&layer.plane, &line, exact, &Noise::default()).value;
    let to_pole = line.angle(&layer.plane.pole()).deg();
    let mut cautions = Vec::new();
    if let Sure::Within(sd) = found.sure
        && value < 2.0 * sd
    {
        cautions.push("The way runs so nearly along the layer that its thickness is not told from nil: take places farther across it.".to_owned());
    }
    cautions.push(RECONNAISSANCE.to_owned());
    let level = straight.x.hypot(straight.y);
    Ok(Worked {
        figures: vec![Figure::number(
            "thickness",
            Result { value, ..found },
            Value::Metres,
        )],
        steps: vec![
            format!("From {}, {} lies {}.", names[0], names[1], leads(&straight)),
            format!(
                "Along the ground that is {}, {} {:.0}° toward {}.",
                metres(length),
                if line.plunge().deg() < 0.0 {
                    "up"
                } else {
                    "down"
                },
                line.plunge().deg().abs(),
                three(line.trend().deg())
            ),
            format!(
                "The layer {} has its pole at {}, {to_pole:.1}° from the way.",
                hand.plane(&layer.plane),
                hand.line(&layer.plane.pole())
            ),
            format!(
                "thickness = {} × cos {to_pole:.1}° = {}.",
                metres(length),
                metres(value)
            ),
        ],
        cautions,
        method: format!(
            "The part of the way that runs along the layer's pole; across the strike it is length × sin of dip plus or less slope (textbook geometry). {}{PLACES} {CARRIED}",
            sighted(way)
        ),
        drawing: section_of(&straight, level, layer, names, Measured::Thickness),
    })
}

/// How deep a layer lies below a place, that crops out at another.
///
/// # Errors
/// What is wrong, in words: a vertical layer lies below no other place; the two places are one.
pub fn depth(
    names: [&str; 2],
    way: &WayIn,
    layer: &PlaneIn,
    hand: &Hand,
) -> std::result::Result<Worked, String> {
    let upright = || {
        format!(
            "the layer {} stands upright: it lies below no other place",
            hand.plane(&layer.plane)
        )
    };
    let mut sources = Sources::default();
    let lead = way.enter(&mut sources).ok_or_else(same)?;
    let plane = layer.enter(&mut sources);
    let straight = lead(&sources.none());
    let down = |plane: &Plane, way: &Vector3<f64>| {
        Some(depth_m(plane, way, 0.0, &Noise::default())?.value)
    };
    let found = sources
        .number(|e| down(&plane(e)?, &lead(e)))
        .ok_or_else(upright)?;
    let value = found.value;
    let level = straight.x.hypot(straight.y);
    let toward = Azimuth::wrapped(straight.y.atan2(straight.x));
    let apparent = layer.plane.apparent_dip(toward);
    let falls = level * apparent.rad().tan();
    let mut cautions = Vec::new();
    if let Sure::Within(sd) = found.sure
        && sd > value.abs().max(1.0)
    {
        cautions.push("The ± is larger than the depth itself: so far from the outcrop, the dip is not known well enough.".to_owned());
    }
    if value < 0.0 {
        cautions.push("The layer would lie above the ground there: it has been worn away, or is not one plane.".to_owned());
    }
    cautions.push(RECONNAISSANCE.to_owned());
    let name = if value < 0.0 {
        "height above the station"
    } else {
        "depth below the station"
    };
    let mut found = Figure::number(name, found, Value::Metres);
    found.value = Value::Metres(value.abs());
    Ok(Worked {
        figures: vec![found],
        steps: vec![
            format!("From {}, {} lies {}.", names[0], names[1], leads(&straight)),
            format!(
                "That way the layer {} dips {:.1}°{}.",
                hand.plane(&layer.plane),
                apparent.deg().abs(),
                if apparent.deg() < 0.0 { ", rising" } else { "" }
            ),
            format!(
                "Over {} it {} by {}; the ground {} by {}.",
                metres(level),
                if falls < 0.0 { "rises" } else { "falls" },
                metres(falls.abs()),
                if straight.z > 0.0 { "falls" } else { "rises" },
                metres(straight.z.abs())
            ),
            format!(
                "Straight down from {} the layer is {} {}.",
                names[1],
                metres(value.abs()),
                if value < 0.0 { "above" } else { "below" }
            ),
        ],
        cautions,
        method: format!(
            "The upright line through the place cut with the layer's plane (textbook geometry). {}{PLACES} {CARRIED}",
            sighted(way)
        ),
        drawing: section_of(&straight, level, layer, names, Measured::Depth(value)),
    })
}

fn same() -> String {
    "both stations are at one place; choose another".to_owned()
}

fn sighted(way: &WayIn) -> &'static str {
    match way {
        WayIn::Places(..) => "",
        WayIn::Sighted { .. } => SIGHTED,
    }
}

fn section_of(
    way: &Vector3<f64>,
    level: f64,
    layer: &PlaneIn,
    names: [&str; 2],
    measured: Measured,
) -> Drawing {
    let toward = Azimuth::wrapped(way.y.atan2(way.x));
    Drawing::Section {
        toward_deg: toward.deg(),
        apparent_deg: layer.plane.apparent_dip(toward).deg(),
        ground_m: Some((level, -way.z)),
        ends: names.map(str::to_owned),
        measured,
    }
}
