//! The figures of a selection of readings of one kind: counts, means, fabric, fold, sets, azimuths.

use nalgebra::Vector3;
use serde::Serialize;

use super::structure::Datum;
use crate::orientation::folds::{self, Cone, Cylinder, Fold, Limbs};
use crate::orientation::sets::{self, Suggestion};
use crate::orientation::statistics::circular::{self, Circular, Ends};
use crate::orientation::statistics::{
    Eigen, Ellipse, Fisher, Random, Tensor, Test, Which, axis_ellipse, fisher, two_axes,
    uniform_axes,
};
use crate::orientation::{Line, Plane, Polarity};

/// How a kind of structure is best looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Look {
    /// A surface that may be folded: bedding, cleavage, foliation.
    Surface,
    /// Planes that come in sets: joints, veins, faults, dykes.
    Sets,
    /// Lines without a head.
    Axes,
    /// Lines with a head: currents.
    Directions,
}

impl Look {
    /// By the kind's name (common practice); a person's own kinds go by whether they are planes.
    pub fn of(kind: &str, planes: bool) -> Self {
        if kind.contains("current") {
            Self::Directions
        } else if !planes {
            Self::Axes
        } else if ["joint", "fault", "vein", "dyke", "fracture"]
            .iter()
            .any(|k| kind.contains(k))
        {
            Self::Sets
        } else {
            Self::Surface
        }
    }
}

/// The figures of one kind of readings.
#[derive(Clone, Debug, PartialEq)]
pub struct Figures {
    /// The kind of structure.
    pub kind: String,
    /// How it is looked at.
    pub look: Look,
    /// How many have a plane (poles) or, for lines, a line.
    pub count: usize,
    /// How many of these do not count from true north.
    pub not_true: usize,
    /// Fisher's figures of the poles at their downward ends, or of the lines as they point.
    pub fisher: Option<Fisher>,
    /// The tensor's principal axes.
    pub eigen: Option<Eigen>,
    /// The mean axis with its ellipse.
    pub mean: Option<Ellipse>,
    /// Whether chance alone could have strewn them.
    pub uniform: Option<Test>,
    /// The best cylinder, for a surface that is bent.
    pub cylinder: Option<Cylinder>,
    /// The best cone, for a surface.
    pub cone: Option<Cone>,
    /// The limbs, and the fold they make, for a surface.
    pub fold: Option<(Limbs, Fold, Option<Test>)>,
    /// The sets, for planes that come in sets.
    pub sets: Option<Suggestion>,
    /// Strikes as axes, or trends.
    pub circular: Option<Circular>,
    /// Whether chance alone could have strewn the azimuths.
    pub circular_test: Option<Test>,
}

/// Poles whose second principal value is less lie in one cluster, about 10° wide at most: no fold is told by them.
const BENT_FROM: f64 = 0.03;

/// Fewer than so many readings are no sample to test.
const SAMPLE_FROM: usize = 5;

/// The mean plane of two dips only means something as a limb; with fewer poles no fold is told.
const FOLD_FROM: usize = 6;

/// The figures of a selection of one kind.
///
/// # Degenerate input
/// Nothing selected: counts of nothing and no figures. What needs more readings than there are is left out.
pub fn figures(kind: &str, selection: &[&Datum]) -> Figures {
    let planes: Vec<&Datum> = selection
        .iter()
        .copied()
        .filter(|d| d.plane.is_some())
        .collect();
    let of_planes = !planes.is_empty();
    let look = Look::of(kind, of_planes);
    let of: Vec<&Datum> = if of_planes {
        planes
    } else {
        selection
            .iter()
            .copied()
            .filter(|d| d.line.is_some())
            .collect()
    };
    let vectors: Vec<Vector3<f64>> = of
        .iter()
        .filter_map(|d| match &d.plane {
            Some(plane) => Some(plane.normal()),
            None => d.line.as_ref().map(Line::vector),
        })
        .collect();
    let azimuths: Vec<f64> = of
        .iter()
        .filter_map(|d| match &d.plane {
            Some(plane) => Some(plane.strike().deg()),
            None => d.line.as_ref().map(|l| l.trend().deg()),
        })
        .collect();
    let ends = if look == Look::Directions {
        Ends::One
    } else {
        Ends::Two
    };
    let eigen = Tensor::of(&vectors).eigen();
    let bent = eigen.is_some_and(|e| e.values[1] >= BENT_FROM);
    let surface = look == Look::Surface && bent;
    let sample = vectors.len() >= SAMPLE_FROM;
    let cylinder = surface.then(|| folds::cylinder(&vectors)).flatten();
    Figures {
        kind: kind.to_owned(),
        look,
        count: vectors.len(),
        not_true: of.iter().filter(|d| !d.is_true).count(),
        fisher: fisher(&vectors),
        eigen,
        mean: axis_ellipse(&vectors, Which::Cluster, 0.95),
        uniform: sample.then(|| uniform_axes(&vectors)).flatten(),
        cone: surface.then(|| folds::cone(&vectors)).flatten(),
        fold: cylinder.as_ref().and_then(|_| fold(&of, &vectors)),
        cylinder,
        sets: (look == Look::Sets)
            .then(|| sets::suggest(&vectors, 6, &mut Random::new(1)))
            .flatten(),
        circular: sample
            .then(|| circular::circular(&azimuths, ends))
            .flatten(),
        circular_test: sample
            .then(|| circular::rayleigh(&azimuths, ends))
            .flatten(),
    }
}

fn fold(of: &[&Datum], poles: &[Vector3<f64>]) -> Option<(Limbs, Fold, Option<Test>)> {
    if poles.len() < FOLD_FROM {
        return None;
    }
    let limbs = folds::limbs(poles)?;
    let members = |second: bool| {
        let both = poles.iter().zip(of).zip(&limbs.second);
        both.filter(move |(_, s)| **s == second)
    };
    // A limb's tops are told when all readings on it that know agree.
    let tops = |second: bool, mean: &Plane| {
        let mut told = None;
        for ((pole, datum), _) in members(second) {
            if datum.tops == Polarity::Unknown {
                continue;
            }
            // A limb may go through the vertical: what counts is the way it youngs, not how its own dip is written.
            let up = if datum.tops == Polarity::Overturned {
                *pole
            } else {
                -*pole
            };
            let upright = up.dot(&-mean.normal()) > 0.0;
            match told {
                None => told = Some(upright),
                Some(before) if before != upright => return Polarity::Unknown,
                Some(_) => {}
            }
        }
        match told {
            None => Polarity::Unknown,
            Some(true) => Polarity::Upright,
            Some(false) => Polarity::Overturned,
        }
    };
    let both = [tops(false, &limbs.planes[0]), tops(true, &limbs.planes[1])];
    let fold = folds::fold([&limbs.planes[0], &limbs.planes[1]], both)?;
    let of_limb = |second: bool| {
        members(second)
            .map(|((pole, _), _)| *pole)
            .collect::<Vec<_>>()
    };
    let different = two_axes(&of_limb(false), &of_limb(true));
    Some((limbs, fold, different))
}

/// The kinds of a selection, each with its readings, in the order in which they first stand in the book.
pub fn by_kind(selection: &[Datum]) -> Vec<(&str, Vec<&Datum>)> {
    let mut kinds: Vec<(&str, Vec<&Datum>)> = Vec::new();
    for datum in selection {
        match kinds.iter_mut().find(|(kind, _)| *kind == datum.kind) {
            Some((_, list)) => list.push(datum),
            None => kinds.push((&datum.kind, vec![datum])),
        }
    }
    kinds
}
