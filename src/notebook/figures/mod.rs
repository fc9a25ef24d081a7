//! The figures of a selection of readings of one kind: counts, means, fabric, fold, sets, faults, azimuths.

mod limbs;

pub use limbs::{ByHand, Folded, Limb, Within};

mod faulted;

pub use faulted::{CAUTION, Fault, Faulted, Pair};

mod fits;

pub use fits::{Fit, Shape, Stands, stands};

use nalgebra::Vector3;
use serde::Serialize;

use super::structure::Datum;
use crate::orientation::folds::{self, Cone, Cylinder};
use crate::orientation::sets::{self, Suggestion};
use crate::orientation::statistics::circular::{self, Circular, Ends};
use crate::orientation::statistics::{
    Eigen, Ellipse, Errors, Fisher, Random, Tensor, Test, Which, axis_ellipse, fisher,
    uniform_axes, uniform_directions,
};
use crate::orientation::{Line, Plane};

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
    /// They are planes, by their poles; otherwise lines.
    pub of_planes: bool,
    /// How many have a plane (poles) or, for lines, a line.
    pub count: usize,
    /// How many of these do not count from true north.
    pub not_true: usize,
    /// Fisher's figures of the poles at their downward ends, or of the lines as they point.
    pub fisher: Option<Fisher>,
    /// The tensor's principal axes.
    pub eigen: Option<Eigen>,
    /// One standard error of each figure of the tensor.
    pub errors: Option<Errors>,
    /// The mean axis with its ellipse.
    pub mean: Option<Ellipse>,
    /// Whether chance alone could have strewn them.
    pub uniform: Option<Test>,
    /// The best cylinder, for a surface that is bent.
    pub cylinder: Option<Cylinder>,
    /// The best cone, for a surface.
    pub cone: Option<Cone>,
    /// The limbs, and the fold they make, for a surface.
    pub fold: Option<Folded>,
    /// The sets, for planes that come in sets.
    pub sets: Option<Suggestion>,
    /// What two sets of faults stand for, if they slipped as a pair.
    pub pair: Option<Pair>,
    /// What the faults with a known slip speak for.
    pub faulted: Option<Faulted>,
    /// The strikes, or the trends, degrees.
    pub azimuths_deg: Vec<f64>,
    /// Whether an azimuth has one end or two.
    pub ends: Ends,
    /// Strikes as axes, or trends.
    pub circular: Option<Circular>,
    /// Whether chance alone could have strewn the azimuths, against one preferred direction.
    pub circular_test: Option<Test>,
    /// The same against anything but even.
    pub kuiper: Option<Test>,
    /// The figures of the kind's lines, alone or in a plane, where these are of its planes.
    pub lines: Option<Box<Figures>>,
}

/// Poles whose second principal value is less lie in one cluster, about 10° wide at most: no fold is told by them.
const BENT_FROM: f64 = 0.03;

fn bent(eigen: &Eigen) -> bool {
    eigen.values[1] >= BENT_FROM
}

impl Figures {
    /// The poles, or the lines, lie in more than one cluster, so that their mean is none of them.
    pub fn is_bent(&self) -> bool {
        self.eigen.as_ref().is_some_and(bent)
    }

    /// The plane whose pole is the mean axis of the poles; of one reading that plane itself.
    ///
    /// # Degenerate input
    /// Lines, or poles in more than one cluster: `None`.
    pub fn mean_plane(&self) -> Option<Plane> {
        let eigen = self.eigen.filter(|_| self.of_planes && !self.is_bent())?;
        Plane::from_normal(&eigen.vectors[0])
    }
}

/// Fewer than so many readings are no sample to test.
const SAMPLE_FROM: usize = 5;

/// The figures of a selection of one kind; the limbs are found.
///
/// # Degenerate input
/// Nothing selected: counts of nothing and no figures. What needs more readings than there are is left out.
pub fn figures(kind: &str, selection: &[&Datum]) -> Figures {
    figures_with(kind, selection, None)
}

/// The same with the limbs that a person chose; where they make no fold, none is told.
pub fn figures_with(kind: &str, selection: &[&Datum], hand: Option<&ByHand>) -> Figures {
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
    let surface = look == Look::Surface && eigen.as_ref().is_some_and(bent);
    let sample = vectors.len() >= SAMPLE_FROM;
    let cylinder = surface.then(|| folds::cylinder(&vectors)).flatten();
    let sets = (look == Look::Sets)
        .then(|| sets::suggest(&vectors, 6, &mut Random::new(1)))
        .flatten();
    let faulty = kind.contains("fault") || selection.iter().any(|d| d.slip.is_some());
    Figures {
        kind: kind.to_owned(),
        look,
        of_planes,
        count: vectors.len(),
        not_true: of.iter().filter(|d| !d.is_true).count(),
        fisher: fisher(&vectors),
        eigen,
        errors: eigen.and_then(|e| e.errors(&vectors)),
        mean: axis_ellipse(&vectors, Which::Cluster, 0.95),
        uniform: sample
            .then(|| match look {
                Look::Directions => uniform_directions(&vectors),
                _ => uniform_axes(&vectors),
            })
            .flatten(),
        cone: surface.then(|| folds::cone(&vectors)).flatten(),
        fold: match hand.filter(|_| look == Look::Surface) {
            Some(hand) => limbs::by_hand(&of, hand),
            None => cylinder.as_ref().and_then(|_| limbs::found(&of, &vectors)),
        },
        cylinder,
        pair: faulted::pair(sets.as_ref().filter(|_| faulty)),
        sets,
        faulted: faulty.then(|| faulted::faulted(&of)).flatten(),
        circular: (vectors.len() > 1)
            .then(|| circular::circular(&azimuths, ends))
            .flatten(),
        circular_test: sample
            .then(|| circular::rayleigh(&azimuths, ends))
            .flatten(),
        kuiper: sample.then(|| circular::kuiper(&azimuths, ends)).flatten(),
        azimuths_deg: azimuths,
        ends,
        lines: of_planes.then(|| of_lines(kind, selection)).flatten(),
    }
}

/// The figures of the lines among these readings, whatever planes they lie in.
fn of_lines(kind: &str, selection: &[&Datum]) -> Option<Box<Figures>> {
    let lines: Vec<Datum> = selection
        .iter()
        .filter(|d| d.line.is_some())
        .map(|d| Datum {
            plane: None,
            slip: None,
            ..(*d).clone()
        })
        .collect();
    let lines: Vec<&Datum> = lines.iter().collect();
    (!lines.is_empty()).then(|| Box::new(figures(kind, &lines)))
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
