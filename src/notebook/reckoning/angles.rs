//! From planes and lines alone: apparent and true dip, the plane of two lines, intersections, angles.

use nalgebra::Vector3;

use super::answer::{CARRIED, Drawing, Figure, Hand, Measured, SLOPE, Value, Worked, three};
use super::given::{AzimuthIn, EitherIn, LineIn, PlaneIn};
use super::spread::{Result, Sources, Sure};
use crate::orientation::angle::{degrees, radians};
use crate::orientation::{Azimuth, Plane};

/// The dip of a plane on an upright section.
///
/// # Degenerate input
/// A section along the strike: 0°. A vertical plane: 90° on every other section.
pub fn apparent_dip(plane: &PlaneIn, section: &AzimuthIn, hand: &Hand) -> Option<Worked> {
    let mut sources = Sources::default();
    let read = plane.enter(&mut sources);
    let turned = if section.sd_deg > 0.0 {
        Some(sources.add("azimuth", &section.name, 1))
    } else {
        None
    };
    let (toward, sd) = (section.azimuth, radians(section.sd_deg));
    let cut =
        move |e: &[f64]| turned.map_or(toward, |i| Azimuth::wrapped(toward.rad() + sd * e[i]));
    // A plane that an error takes over the vertical dips the other way, and no less steeply.
    let nominal = plane.plane.apparent_dip(toward).rad();
    let found = sources.number(|e| {
        let dip = read(e)?.apparent_dip(cut(e)).rad();
        let over = (dip - nominal).abs() > std::f64::consts::FRAC_PI_2;
        let straight = if dip < 0.0 {
            dip + std::f64::consts::PI
        } else {
            dip - std::f64::consts::PI
        };
        Some(degrees(if over { straight } else { dip }))
    })?;
    let signed = found.value;
    let down = if signed < 0.0 {
        toward.opposite()
    } else {
        toward
    };
    let strike = plane.plane.strike();
    let across_deg = degrees(toward.rad() - strike.rad()).rem_euclid(360.0);
    let dip = plane.plane.dip().deg();
    let mut steps = vec![
        format!(
            "The plane {} strikes {} by the right hand and dips {dip:.1}°. The section runs toward {}, {across_deg:.0}° clockwise from that strike.",
            hand.plane(&plane.plane),
            three(strike.deg()),
            three(toward.deg()),
        ),
        format!(
            "tan of the apparent dip = tan {dip:.1}° × sin {across_deg:.0}° = {:.3}.",
            radians(dip).tan().min(9_999.0) * radians(across_deg).sin()
        ),
        format!(
            "On the section the plane dips {:.1}° toward {}.",
            signed.abs(),
            three(down.deg())
        ),
    ];
    if signed < 0.0 {
        steps.push(format!("Toward {} it rises.", three(toward.deg())));
    }
    Some(Worked {
        figures: vec![Figure::number(
            &format!("apparent dip, down toward {}", three(down.deg())),
            Result {
                value: signed.abs(),
                ..found
            },
            Value::Degrees,
        )],
        steps,
        cautions: vec![SLOPE.to_owned()],
        method: format!(
            "The line in which the plane meets the upright section; tan apparent = tan dip × sin of the angle from the strike (textbook geometry). On a section that is stretched upwards it is steeper still. {CARRIED}"
        ),
        drawing: Drawing::Section {
            toward_deg: toward.deg(),
            apparent_deg: signed,
            ground_m: None,
            ends: [toward.opposite(), toward].map(|a| three(a.deg())),
            measured: Measured::Dip,
        },
    })
}

/// The plane that holds two lines: traces of one plane on two cuts, or any two lines in it.
///
/// # Degenerate input
/// The same axis twice: `None`.
pub fn plane_of_lines(a: &LineIn, b: &LineIn, traces: bool, hand: &Hand) -> Option<Worked> {
    let mut sources = Sources::default();
    let (one, other) = (a.enter(&mut sources), b.enter(&mut sources));
    let through = if traces {
        Plane::from_apparent_dips
    } else {
        Plane::through
    };
    let found = sources.plane(|e| through(&one(e)?, &other(e)?))?;
    let plane = found.value;
    let apart = between(&sources, &a.spread, &b.spread, |e| {
        Some((one(e)?.vector(), other(e)?.vector()))
    })?;
    let apart_deg = apart.value;
    let pole = plane.pole();
    let what = if traces { "trace" } else { "line" };
    let mut cautions = Vec::new();
    if let Sure::Direction { ellipse_deg, .. } = &found.sure
        && ellipse_deg.0 > 20.0
    {
        cautions.push(format!(
            "The two lie only {apart_deg:.0}° apart: the nearer they are, the less they tell of the plane between them. One farther from both would."
        ));
    }
    Some(Worked {
        figures: vec![
            Figure::plane(if traces { "true dip" } else { "plane" }, found),
            Figure::number("angle between the two", apart, Value::Degrees),
        ],
        steps: vec![
            format!(
                "Both {what}s lie in the plane, so its pole stands at a right angle to {} and to {}.",
                hand.line(&a.line),
                hand.line(&b.line)
            ),
            format!(
                "The {what}s are {apart_deg:.1}° apart; their cross product points along {}, the pole.",
                hand.line(&pole)
            ),
            format!(
                "The plane dips 90° − {:.1}° = {:.1}°, away from where the pole points, toward {}.",
                pole.plunge().deg(),
                plane.dip().deg(),
                three(plane.dip_direction().deg())
            ),
        ],
        cautions,
        method: format!(
            "The cross product of the two lines as vectors (textbook geometry); on the net, the great circle through both. {CARRIED}"
        ),
        drawing: Drawing::Net {
            planes: vec![(String::new(), plane, true)],
            lines: vec![
                (a.name.clone(), a.line, false),
                (b.name.clone(), b.line, false),
            ],
        },
    })
}

/// The line in which two planes meet.
///
/// # Degenerate input
/// Parallel planes: `None`.
pub fn intersection(a: &PlaneIn, b: &PlaneIn, hand: &Hand) -> Option<Worked> {
    let mut sources = Sources::default();
    let (one, other) = (a.enter(&mut sources), b.enter(&mut sources));
    let found = sources.line(|e| one(e)?.intersection(&other(e)?))?;
    let apart = between(&sources, &a.spread, &b.spread, |e| {
        Some((one(e)?.normal(), other(e)?.normal()))
    })?;
    let line = found.value;
    let poles = [a, b].map(|p| hand.line(&p.plane.pole()));
    let mut cautions = Vec::new();
    if let Sure::Direction { ellipse_deg, .. } = &found.sure
        && ellipse_deg.0 > 20.0
    {
        cautions.push(format!(
            "The planes meet at only {:.0}°: the flatter they meet, the less sure their line is along itself.",
            apart.value
        ));
    }
    cautions.push(SLOPE.to_owned());
    let rakes = [a, b].map(|p| p.plane.rake_of(&line).map_or(0.0, |r| r.deg()));
    Some(Worked {
        steps: vec![
            format!(
                "The line lies in both planes, at a right angle to both poles, {} and {}.",
                poles[0], poles[1]
            ),
            format!(
                "Their cross product, its lower end, is {}; the planes meet at {:.1}°.",
                hand.line(&line),
                apart.value
            ),
            format!(
                "Its rake is {:.0}° in {} and {:.0}° in {}, from the right-hand strike ends.",
                rakes[0], a.name, rakes[1], b.name
            ),
        ],
        figures: vec![
            Figure::line("intersection", found),
            Figure::number("angle between the two", apart, Value::Degrees),
        ],
        cautions,
        method: format!(
            "The cross product of the two poles (textbook geometry); on the net, where the great circles cross. {CARRIED}"
        ),
        drawing: Drawing::Net {
            planes: vec![
                (a.name.clone(), a.plane, false),
                (b.name.clone(), b.plane, false),
            ],
            lines: vec![(String::new(), line, true)],
        },
    })
}

/// The acute angle between two planes, two lines, or a line and a plane.
///
/// # Degenerate input
/// Parallel: 0°. Nearer than their deviations let tell, the ± is theirs and a caution says so.
pub fn angle(a: &EitherIn, b: &EitherIn, hand: &Hand) -> Option<Worked> {
    let mut sources = Sources::default();
    let (one, other) = (vector(a, &mut sources), vector(b, &mut sources));
    let spreads = [a, b].map(|x| match x {
        EitherIn::Plane(plane) => plane.spread,
        EitherIn::Line(line) => line.spread,
    });
    let mixed = matches!(
        (a, b),
        (EitherIn::Plane(_), EitherIn::Line(_)) | (EitherIn::Line(_), EitherIn::Plane(_))
    );
    let mut found = between(&sources, &spreads[0], &spreads[1], |e| {
        Some((one(e)?, other(e)?))
    })?;
    let between_deg = found.value;
    let mut cautions = Vec::new();
    if mixed {
        found.value = 90.0 - between_deg;
    }
    if let Sure::Within(sd) = found.sure
        && found.value < 2.0 * sd
    {
        cautions.push(
            "They lie nearer to each other than their ± lets tell: it may be nothing.".to_owned(),
        );
    }
    let value = found.value;
    let written = |x: &EitherIn| match x {
        EitherIn::Plane(plane) => format!(
            "the plane {}, whose pole is {}",
            hand.plane(&plane.plane),
            hand.line(&plane.plane.pole())
        ),
        EitherIn::Line(line) => format!("the line {}", hand.line(&line.line)),
    };
    let (words, method) = match (a, b) {
        (EitherIn::Plane(_), EitherIn::Plane(_)) => (
            format!(
                "Between the poles are {value:.1}°, as between the planes; the other way round {:.1}°.",
                180.0 - value
            ),
            "The angle between the poles, the acute one (textbook geometry).",
        ),
        (EitherIn::Line(_), EitherIn::Line(_)) => (
            format!(
                "Between the lines, as axes, are {value:.1}°; the other way round {:.1}°.",
                180.0 - value
            ),
            "The angle between two lines, the acute one (textbook geometry).",
        ),
        _ => (
            format!(
                "Between line and pole are {between_deg:.1}°, so between line and plane 90° − {between_deg:.1}° = {value:.1}°."
            ),
            "The angle between a line and a plane: 90° less that to the pole (textbook geometry).",
        ),
    };
    let (mut planes, mut lines) = (Vec::new(), Vec::new());
    for x in [a, b] {
        match x {
            EitherIn::Plane(p) => planes.push((p.name.clone(), p.plane, false)),
            EitherIn::Line(l) => lines.push((l.name.clone(), l.line, false)),
        }
    }
    Some(Worked {
        figures: vec![Figure::number("angle", found, Value::Degrees)],
        steps: vec![
            format!("There are {} and {}.", written(a), written(b)),
            words,
        ],
        cautions,
        method: format!("{method} {CARRIED}"),
        drawing: Drawing::Net { planes, lines },
    })
}

/// A pole or a line with errors.
type Vector = Box<dyn Fn(&[f64]) -> Option<Vector3<f64>>>;

fn vector(of: &EitherIn, sources: &mut Sources) -> Vector {
    match of {
        EitherIn::Plane(plane) => {
            let plane = plane.enter(sources);
            Box::new(move |e| plane(e).map(|p| p.normal()))
        }
        EitherIn::Line(line) => {
            let line = line.enter(sources);
            Box::new(move |e| line(e).map(|l| l.vector()))
        }
    }
}

/// The acute angle between two axes. Where it is less than twice what both spread, its deviation is that spread.
fn between(
    sources: &Sources,
    one: &[Vector3<f64>; 2],
    other: &[Vector3<f64>; 2],
    f: impl Fn(&[f64]) -> Option<(Vector3<f64>, Vector3<f64>)>,
) -> Option<Result<f64>> {
    let apart = |(a, b): (Vector3<f64>, Vector3<f64>)| degrees(a.cross(&b).norm().atan2(a.dot(&b)));
    // An axis that an error takes over the level turns its end: of the two angles the one nearer to that without errors.
    let nominal = apart(f(&sources.none())?);
    let found = sources.number(|e| {
        let deg = apart(f(e)?);
        Some(if (deg - nominal).abs() > 90.0 {
            180.0 - deg
        } else {
            deg
        })
    })?;
    let straight = found.value > 90.0;
    let mut found = Result {
        value: if straight {
            180.0 - found.value
        } else {
            found.value
        },
        ..found
    };
    let squares: f64 = one.iter().chain(other).map(|v| v.norm_squared()).sum();
    let spread_deg = degrees((squares / 2.0).sqrt());
    if let Sure::Within(sd) = &mut found.sure
        && found.value < 2.0 * spread_deg
    {
        *sd = sd.max(spread_deg);
    }
    Some(found)
}
