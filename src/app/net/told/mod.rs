//! The figures beside the net in words: each with its count, its uncertainty, its method and its source.

mod faulted;

mod fabric;

pub use fabric::contours;

mod fold;

use crate::app::camp::join::shown::{counted, sentence};
use crate::app::written;
use crate::notebook::Notation;
use crate::notebook::around;
use crate::notebook::figures::{Figures, Look};
use crate::notebook::structure::Datum;
use crate::orientation::Line;
use crate::orientation::statistics::Test;

/// One figure: what it is, its value, how sure it is and of how many, and where it comes from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Figure {
    /// What it is.
    pub name: String,
    /// Its value; an arrow in it is drawn.
    pub value: String,
    /// Count and uncertainty.
    pub detail: String,
    /// Method and source.
    pub reckoned: String,
}

impl Figure {
    pub(in crate::app::net) fn new(
        name: &str,
        value: String,
        detail: String,
        reckoned: &str,
    ) -> Self {
        Self {
            name: name.to_owned(),
            value,
            detail,
            reckoned: reckoned.to_owned(),
        }
    }
}

/// A test's method and source as two sentences.
fn by_test(test: &Test) -> String {
    format!("{} {}", sentence(test.method), sentence(test.source))
}

/// A probability as how often in so many.
pub fn chance(p: f64) -> String {
    match p {
        p if p < 0.0005 => "under 1 in 2000".to_owned(),
        p if p < 0.1 => format!("1 in {:.0}", 1.0 / p),
        p => format!("{:.0} in 100", p * 100.0),
    }
}

/// An axis or a mean direction in the book's notation.
fn line(line: &Line, notation: Notation) -> String {
    written::line(line, notation)
}

const AXIS: &str = "The axis that the poles lie least along: the least principal axis of their orientation tensor. The ellipse is asymptotic, from the scatter of the poles, and holds the true axis 95 times in 100; simulation gives 93 to 97. Woodcock 1977; Fisher, Lewis & Embleton 1987.";
const MEAN_AXIS: &str = "The axis they lie most along: the greatest principal axis of their orientation tensor. The ellipse is asymptotic and holds the true mean 95 times in 100; simulation gives 93 to 97. Woodcock 1977; Fisher, Lewis & Embleton 1987.";
const FISHER: &str = "The sum of the directions as they point, and the cone that holds the true mean 95 times in 100. Fisher 1953; Fisher, Lewis & Embleton 1987.";
const CONE: &str = "The small circle that fits the poles best: least variance of their heights along its axis over the square slope of these heights, Taubin 1991; and the F ratio of its half angle against the best cylinder, Gray, Geiser & Geiser 1980. Ellipse and interval are of 25 poles and more that tell a ring well, every pole scattered alike both ways; simulation gives 93 to 97.";
const SETS: &str = "Axes parted by the mean they are nearest to, for one set, two, three and so on; the number is the one of the least information criterion among those whose sets have three readings or more. Mean and ellipse of each set as of an axis. The criterion takes each set as a cluster of its own concentration.";
const FOLD: &str = "The poles are parted into two limbs, each pole with the mean it is nearest to; the angle is between the limbs' mean planes, and its interval carries the ellipses of these means over, to first order. Words after Fleuty 1964: gentle 180 to 120, open to 70, close to 30, tight below.";

/// The figure that stands largest: the fold axis, the cone, the mean axis, the first set or the mean direction.
///
/// # Degenerate input
/// Too few readings, or too much alike, for any: `None`.
pub fn lead(figures: &Figures, notation: Notation) -> Option<Figure> {
    let ellipse =
        |semi_deg: (f64, f64)| format!("±{:.1}° × {:.1}°, 95 in 100", semi_deg.1, semi_deg.0);
    let poles = if figures.look == Look::Axes || figures.look == Look::Directions {
        counted(figures.count, "line", "lines")
    } else {
        counted(figures.count, "pole", "poles")
    };
    if let Some(cone) = figures.better_cone() {
        return Some(Figure::new(
            &format!("axis of the cone, {poles}"),
            line(&cone.axis, notation),
            format!(
                "{}; half angle {:.0}°, misfit {:.1}°",
                cone.ellipse.as_ref().map_or_else(
                    || "no ellipse: too few poles, or too little of a ring".to_owned(),
                    |e| ellipse(e.semi_deg)
                ),
                cone.half_angle_deg,
                cone.misfit_deg
            ),
            CONE,
        ));
    }
    if let Some(cylinder) = &figures.cylinder {
        return Some(Figure::new(
            &format!("fold axis, {poles}"),
            line(&cylinder.axis, notation),
            cylinder.ellipse.map_or_else(
                || "too few for an ellipse".to_owned(),
                |e| ellipse(e.semi_deg),
            ),
            AXIS,
        ));
    }
    if figures.look == Look::Directions {
        let fisher = figures.fisher.as_ref()?;
        return Some(Figure::new(
            &format!("mean direction, {poles}"),
            line(&fisher.mean, notation),
            fisher.cone_95_deg.map_or_else(
                || "no cone: too few, or too scattered".to_owned(),
                |c| format!("±{c:.1}°, 95 in 100"),
            ),
            FISHER,
        ));
    }
    if let Some(sets) = figures.sets.as_ref().and_then(|s| s.tried.get(s.best))
        && let Some(set) = sets.sets.first()
    {
        return Some(Figure::new(
            &format!(
                "{} set, {}",
                if sets.sets.len() == 1 {
                    "only"
                } else {
                    "largest"
                },
                counted(set.count, "pole", "poles")
            ),
            written::plane(&set.mean, None, notation),
            set.ellipse.map_or_else(
                || format!("spread {:.0}°", set.spread_deg),
                |e| ellipse(e.semi_deg),
            ),
            SETS,
        ));
    }
    let mean = figures.mean.as_ref()?;
    let value = match figures.look {
        Look::Surface | Look::Sets => crate::orientation::Plane::from_normal(&mean.axis.vector())
            .map(|p| written::plane(&p, None, notation))?,
        Look::Axes | Look::Directions => line(&mean.axis, notation),
    };
    let name = match figures.look {
        Look::Surface | Look::Sets => "mean plane",
        Look::Axes | Look::Directions => "mean axis",
    };
    Some(Figure::new(
        &format!("{name}, {poles}"),
        value,
        ellipse(mean.semi_deg),
        MEAN_AXIS,
    ))
}

/// What to measure next of a kind of planes, and what its structure promises for the next outcrop.
pub fn outlook(kind: &str, selection: &[&Datum], notation: Notation) -> Vec<Figure> {
    let Some(outlook) = around::outlook(selection) else {
        return Vec::new();
    };
    let mut all = Vec::new();
    if let (Some(words), Some(advice)) = (outlook.advice_words(kind), outlook.advice) {
        all.push(Figure::new(
            "measure next",
            written::plane(&advice.best, None, notation),
            words,
            "Every attitude along the girdle, a little beyond those seen, is tried: the covariance of the axis as if one more reading lay there, with the scatter of the others.",
        ));
    }
    for promise in &outlook.predictions {
        all.push(Figure::new(
            "the next outcrop",
            written::plane(&promise.plane, None, notation),
            format!(
                "within {:.0}°, as {:.0} in 100 of {} so far",
                promise.within_deg,
                100.0 * promise.share,
                counted(outlook.structure.count, "pole", "poles")
            ),
            "The mean of each limb, or of the cluster, and the distance that 95 in 100 of the readings so far stay within. A reading farther off than chance allows is doubted.",
        ));
    }
    all
}

/// The further figures of a kind.
pub fn further(figures: &Figures, notation: Notation) -> Vec<Figure> {
    let mut all = fold::told(figures, notation);
    all.extend(fabric::sets(figures, notation));
    all.extend(faulted::told(figures, notation));
    all.extend(fabric::told(figures, notation));
    all.extend(
        figures
            .lines
            .as_ref()
            .and_then(|lines| mean_line(lines, notation)),
    );
    all
}

/// Where the lines of a kind of planes point to, as of slip, of stretching, of currents.
fn mean_line(lines: &Figures, notation: Notation) -> Option<Figure> {
    let count = counted(lines.count, "line", "lines");
    if lines.look == Look::Axes
        && let Some(mean) = &lines.mean
    {
        return Some(Figure::new(
            "mean of its lines",
            line(&mean.axis, notation),
            format!(
                "{count}, ±{:.1}° × {:.1}°, 95 in 100",
                mean.semi_deg.1, mean.semi_deg.0
            ),
            MEAN_AXIS,
        ));
    }
    let fisher = lines.fisher.as_ref()?;
    Some(Figure::new(
        "mean of its lines",
        line(&fisher.mean, notation),
        fisher.cone_95_deg.map_or_else(
            || format!("{count}, no cone: too few, or too scattered"),
            |c| format!("{count}, ±{c:.1}°, 95 in 100"),
        ),
        FISHER,
    ))
}

#[cfg(test)]
mod tests;
