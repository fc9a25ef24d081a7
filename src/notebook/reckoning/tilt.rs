//! Taking tilts off: lines and planes as they lay when a bed was level, or before two tilts.

use super::answer::{CARRIED, Drawing, Figure, Hand, Worked, three};
use super::given::{EitherIn, LineIn, PlaneIn};
use super::spread::{Result, Sources};
use crate::orientation::section::{Bed, levelling, restored_line, restored_plane, restored_twice};
use crate::orientation::{Line, Plane, Polarity};

/// Planes and lines as they lay when a bed was level.
///
/// # Degenerate input
/// Nothing to restore: no figures. A level bed changes nothing. Tops that are not known are taken as upright.
pub fn restored(what: &[EitherIn], bed: &PlaneIn, hand: &Hand) -> Worked {
    let tops = known(bed.tops);
    let figures = what.iter().filter_map(|item| {
        let mut sources = Sources::default();
        let beds = bed.enter_bed(&mut sources, tops);
        let name = format!("{} restored", item.name());
        Some(match item {
            EitherIn::Line(read) => {
                let line = read.enter(&mut sources);
                let found = sources.line(|e| {
                    let bed = beds(e)?;
                    Some(restored_line(&line(e)?, &bed.plane, bed.is_overturned()))
                })?;
                Figure::line(&name, told(read, found))
            }
            EitherIn::Plane(plane) => {
                let plane = plane.enter(&mut sources);
                let found = sources.plane(|e| {
                    let bed = beds(e)?;
                    Some(restored_plane(&plane(e)?, &bed.plane, bed.is_overturned()))
                })?;
                Figure::plane(&name, found)
            }
        })
    });
    let figures: Vec<Figure> = figures.collect();
    let steps = vec![
        turned(&bed_of(bed, tops), "the bed", hand),
        last(what, &figures, hand),
    ];
    Worked {
        steps,
        cautions: cautions(&[("the bed", bed)]),
        method: format!(
            "Turned about the bed's strike until it lies level, its top upwards (textbook geometry). A fold whose axis plunges is not undone by one such turn: take its plunge off first. {CARRIED}"
        ),
        drawing: net(what, &figures, &[bed]),
        figures,
    }
}

/// What became of a line: the way it points, or its lower end where both are alike.
fn told(read: &LineIn, found: Result<Line>) -> Result<Line> {
    let value = match read.directed {
        true => found.value,
        false => found.value.as_axis(),
    };
    Result { value, ..found }
}

/// Lines and planes as they lay before two tilts: the younger bed is laid level first, then the older.
///
/// # Degenerate input
/// As [`restored`]; an older bed whose tops are not known is taken as upright before the younger tilt.
pub fn restored_before(
    what: &[EitherIn],
    younger: &PlaneIn,
    older: &PlaneIn,
    hand: &Hand,
) -> Worked {
    let young_tops = known(younger.tops);
    let young = bed_of(younger, young_tops);
    let old_tops = match older.tops {
        Polarity::Unknown => [Polarity::Upright, Polarity::Overturned]
            .into_iter()
            .find(|tops| !bed_of(older, *tops).before(&young).is_overturned())
            .unwrap_or(Polarity::Upright),
        told => told,
    };
    let figures = what.iter().filter_map(|item| {
        let mut sources = Sources::default();
        let young = younger.enter_bed(&mut sources, young_tops);
        let old = older.enter_bed(&mut sources, old_tops);
        let name = format!("{} before both tilts", item.name());
        Some(match item {
            EitherIn::Line(read) => {
                let line = read.enter(&mut sources);
                let found =
                    sources.line(|e| Some(restored_twice(&line(e)?, &young(e)?, &old(e)?)))?;
                Figure::line(&name, told(read, found))
            }
            EitherIn::Plane(plane) => {
                let plane = plane.enter(&mut sources);
                let found = sources.plane(|e| plane_twice(&plane(e)?, &young(e)?, &old(e)?))?;
                Figure::plane(&name, found)
            }
        })
    });
    let figures: Vec<Figure> = figures.collect();
    let old = bed_of(older, old_tops);
    let between = old.before(&young);
    let steps = vec![
        turned(&young, "the younger bed", hand),
        format!(
            "With it the older bed turns from {} to {}{}.",
            hand.plane(&old.plane),
            hand.plane(&between.plane),
            if between.is_overturned() {
                ", overturned"
            } else {
                ""
            }
        ),
        turned(&between, "the older bed", hand),
        last(what, &figures, hand),
    ];
    Worked {
        steps,
        cautions: cautions(&[("the younger bed", younger), ("the older bed", older)]),
        method: format!(
            "First the younger tilt is taken off everything, about the younger bed's strike; then what is left of the older one, about the older bed's strike as it was then (textbook geometry). The older bed's top is followed through the first turn. {CARRIED}"
        ),
        drawing: net(what, &figures, &[younger, older]),
        figures,
    }
}

/// Tops as they are taken where nobody could tell.
fn known(tops: Polarity) -> Polarity {
    match tops {
        Polarity::Unknown => Polarity::Upright,
        told => told,
    }
}

fn bed_of(bed: &PlaneIn, tops: Polarity) -> Bed {
    Bed {
        plane: bed.plane,
        tops,
    }
}

fn plane_twice(plane: &Plane, younger: &Bed, older: &Bed) -> Option<Plane> {
    let pole = Line::from_vector(&plane.normal())?;
    Plane::from_normal(&restored_twice(&pole, younger, older).vector())
}

fn turned(bed: &Bed, name: &str, hand: &Hand) -> String {
    let (axis, turn) = levelling(&bed.plane, bed.is_overturned());
    let way = if turn.deg() < 0.0 {
        "against the clock"
    } else {
        "clockwise"
    };
    format!(
        "To lay {name} {}{} level, everything turns about {} by {:.1}°, {way} looking along it.",
        hand.plane(&bed.plane),
        if bed.is_overturned() {
            ", overturned,"
        } else {
            ""
        },
        three(axis.trend().deg()),
        turn.deg().abs()
    )
}

fn last(what: &[EitherIn], figures: &[Figure], hand: &Hand) -> String {
    let each = what.iter().zip(figures).map(|(item, figure)| {
        let was = match item {
            EitherIn::Plane(p) => hand.plane(&p.plane),
            EitherIn::Line(l) => hand.line(&l.line),
        };
        format!(
            "{} {was} comes to {}",
            item.name(),
            hand.value(&figure.value)
        )
    });
    format!("{}.", each.collect::<Vec<_>>().join("; "))
}

fn cautions(beds: &[(&str, &PlaneIn)]) -> Vec<String> {
    let unknown = beds.iter().filter(|(_, bed)| bed.tops == Polarity::Unknown);
    let mut all: Vec<String> = unknown
        .map(|(name, _)| {
            format!("The tops of {name} are not noted: it is taken as the right way up. Overturned, the answer is another.")
        })
        .collect();
    all.push("That the beds were laid down level is an assumption; currents lie on slopes of a few degrees.".to_owned());
    all
}

fn net(what: &[EitherIn], figures: &[Figure], beds: &[&PlaneIn]) -> Drawing {
    use super::answer::Value;
    let mut planes: Vec<(String, Plane, bool)> = beds
        .iter()
        .map(|bed| (bed.name.clone(), bed.plane, false))
        .collect();
    let mut lines = Vec::new();
    for item in what {
        match item {
            EitherIn::Plane(p) => planes.push((p.name.clone(), p.plane, false)),
            EitherIn::Line(l) => lines.push((l.name.clone(), l.line, false)),
        }
    }
    for figure in figures {
        match figure.value {
            Value::Plane(plane) => planes.push((String::new(), plane, true)),
            Value::Line(line) => lines.push((String::new(), line, true)),
            Value::Degrees(_) | Value::Metres(_) => {}
        }
    }
    Drawing::Net { planes, lines }
}
