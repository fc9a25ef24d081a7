//! Folds: how cylindrical, which axis, how tight, which way it faces.

mod cone;

use nalgebra::Vector3;

use super::angle::{degrees, wrap_deg};
use super::line::Line;
use super::plane::Plane;
use super::polarity::Polarity;
use super::statistics::{Eigen, Ellipse, Tensor, Which, axis_ellipse};
pub use cone::{Cone, cone};

/// The cylinder that fits poles of a folded surface best.
#[derive(Clone, Debug, PartialEq)]
pub struct Cylinder {
    /// How many poles.
    pub count: usize,
    /// The fold axis: the pole of the girdle.
    pub axis: Line,
    /// Where the true axis lies 95 times in 100; `None` for fewer than four poles.
    pub ellipse: Option<Ellipse>,
    /// The tensor of the poles.
    pub eigen: Eigen,
    /// Root mean square distance of the poles from the girdle, degrees.
    pub misfit_deg: f64,
    /// The girdle's share 2 (S₂ − S₃) of the fabric, 0 to 1: how much of a girdle there is at all.
    pub girdle: f64,
    /// The even share 3 S₃, 0 to 1: 0 for a perfect cylinder.
    pub rest: f64,
}

/// The best cylinder of poles.
///
/// # Degenerate input
/// Fewer than two poles, or poles in one cluster or strewn evenly so that no girdle is told: `None`. Two poles: the line in which
/// their planes meet, without an ellipse.
///
/// # References
/// Woodcock 1977, as [`Eigen::shape`]; the axis as the least principal axis of the poles' tensor is common practice.
#[must_use]
pub fn cylinder(poles: &[Vector3<f64>]) -> Option<Cylinder> {
    if poles.len() < 2 {
        return None;
    }
    let eigen = Tensor::of(poles).eigen()?;
    if eigen.values[1] - eigen.values[2] < 1e-9 {
        return None;
    }
    let axis = eigen.vectors[2];
    Some(Cylinder {
        count: poles.len(),
        axis: Line::axis_from_vector(&axis)?,
        ellipse: axis_ellipse(poles, Which::Girdle, 0.95),
        eigen,
        misfit_deg: degrees(mean_square(poles, |p| p.dot(&axis).clamp(-1.0, 1.0).asin()).sqrt()),
        girdle: eigen.girdle(),
        rest: eigen.even(),
    })
}

#[allow(clippy::cast_precision_loss)] // a count of readings stays far below 2⁵³
fn mean_square(poles: &[Vector3<f64>], off: impl Fn(&Vector3<f64>) -> f64) -> f64 {
    poles.iter().map(|p| off(p).powi(2)).sum::<f64>() / poles.len().max(1) as f64
}

/// Two limbs found among poles.
#[derive(Clone, Debug, PartialEq)]
pub struct Limbs {
    /// For every pole, whether it belongs to the second limb.
    pub second: Vec<bool>,
    /// The mean plane of each limb.
    pub planes: [Plane; 2],
}

/// Parts poles into two limbs, each pole with the mean it is nearest to as an axis.
///
/// # Degenerate input
/// Fewer than two poles, or poles that are all alike: `None`.
///
/// # References
/// Two-means clustering of axes, begun from the two poles that lie farthest apart; common practice.
#[must_use]
pub fn limbs(poles: &[Vector3<f64>]) -> Option<Limbs> {
    let eigen = Tensor::of(poles).eigen()?;
    // Either side of the mean along the girdle: the farthest pair of a large sample without looking at all pairs.
    let along = |p: &Vector3<f64>| {
        let end = if p.dot(&eigen.vectors[0]) < 0.0 {
            -1.0
        } else {
            1.0
        };
        (end * p.dot(&eigen.vectors[1])).atan2(end * p.dot(&eigen.vectors[0]))
    };
    let first = poles.iter().min_by(|a, b| along(a).total_cmp(&along(b)))?;
    let last = poles.iter().max_by(|a, b| along(a).total_cmp(&along(b)))?;
    if first.dot(last).abs() > 1.0 - 1e-12 {
        return None;
    }
    let mut means = [*first, *last];
    let mut second = vec![false; poles.len()];
    for round in 0..50 {
        let mut tensors = [Tensor::default(); 2];
        let mut moved = false;
        for (slot, p) in second.iter_mut().zip(poles) {
            let is_second = p.dot(&means[1]).abs() > p.dot(&means[0]).abs();
            moved |= is_second != *slot;
            *slot = is_second;
            tensors[usize::from(is_second)].add(p);
        }
        for (mean, tensor) in means.iter_mut().zip(&tensors) {
            *mean = tensor.eigen()?.vectors[0];
        }
        if !moved && round > 0 {
            break;
        }
    }
    Some(Limbs {
        second,
        planes: [
            Plane::from_normal(&means[0])?,
            Plane::from_normal(&means[1])?,
        ],
    })
}

/// Which of the two angles between limbs is the interlimb angle, and why.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Told {
    /// By the way both limbs young.
    ByTops,
    /// No limb is taken as overturned: the angle that opens up or down.
    NoneOverturned,
}

/// A fold from its two limbs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fold {
    /// Where the limbs meet.
    pub axis: Line,
    /// The angle between the limbs, through the hinge, degrees.
    pub interlimb_deg: f64,
    /// The other angle, 180° less: right if one limb more is overturned than was taken.
    pub other_interlimb_deg: f64,
    /// How it is known which is which.
    pub told: Told,
    /// The plane that halves the interlimb angle and holds the axis.
    pub axial_plane: Plane,
    /// The same for the other angle.
    pub other_axial_plane: Plane,
    /// The way to younger beds within the axial plane, at a right angle to the axis; where both limbs' tops are known.
    pub facing: Option<Line>,
    /// The compass direction its upper part leans to, degrees; `None` for an upright or a recumbent fold.
    pub vergence_deg: Option<f64>,
}

/// The fold of two limbs.
///
/// # Degenerate input
/// Parallel limbs have no one axis: `None` (an isoclinal fold needs its hinge measured).
///
/// # References
/// The interlimb angle is 180° less the angle between the limbs' younging normals; checked against a printed example. Facing
/// after Shackleton 1957 (from memory): the younging direction along the axial plane. Vergence is told here by the lean of the
/// axial plane alone.
#[must_use]
pub fn fold(limbs: [&Plane; 2], tops: [Polarity; 2]) -> Option<Fold> {
    let axis = limbs[0].intersection(limbs[1])?;
    let known = tops.iter().all(|t| *t != Polarity::Unknown);
    let young = |i: usize| {
        let up = -limbs[i].normal();
        if tops[i] == Polarity::Overturned {
            -up
        } else {
            up
        }
    };
    let (a, b) = (young(0), young(1));
    let between = degrees(a.dot(&b).clamp(-1.0, 1.0).acos());
    let (apart, along) = (a - b, a + b);
    let axial_plane = Plane::from_normal(&apart)?;
    let facing = known.then(|| Line::from_vector(&along)).flatten();
    let dip = axial_plane.dip().deg();
    // Held to the hundredth of a degree: the lean of what is upright or flat means nothing.
    let leans = 0.01 < dip && dip < 89.99;
    Some(Fold {
        axis,
        interlimb_deg: 180.0 - between,
        other_interlimb_deg: between,
        told: if known {
            Told::ByTops
        } else {
            Told::NoneOverturned
        },
        axial_plane,
        other_axial_plane: Plane::from_normal(&along)?,
        facing,
        vergence_deg: leans.then(|| wrap_deg(axial_plane.dip_direction().deg() + 180.0)),
    })
}

impl Fold {
    /// Tightness in words.
    ///
    /// # References
    /// Fleuty, M. J., 1964, The description of folds, Proceedings of the Geologists' Association 75, 461–492: gentle 180–120,
    /// open 120–70, close 70–30, tight below 30, isoclinal 0. A bound belongs to the tighter class; other books bound otherwise.
    #[must_use]
    pub fn tightness(&self) -> &'static str {
        tightness(self.interlimb_deg)
    }

    /// The attitude in words: how the axial plane stands and how the axis plunges.
    ///
    /// # References
    /// Fleuty 1964, as above, bounds at 10, 30, 60 and 80° (from memory); a fold whose axis lies within 10° of the line down
    /// the dip of its axial plane is reclined.
    #[must_use]
    pub fn attitude(&self) -> String {
        let (dip, plunge) = (self.axial_plane.dip().deg(), self.axis.plunge().deg().abs());
        let down_dip = Line::axis_from_vector(&self.axial_plane.down_dip());
        if (10.0..80.0).contains(&dip) && down_dip.is_some_and(|d| d.angle(&self.axis).deg() < 10.0)
        {
            return "reclined".to_owned();
        }
        let stands = class(
            dip,
            [
                "recumbent",
                "gently inclined",
                "moderately inclined",
                "steeply inclined",
                "upright",
            ],
        );
        let plunges = class(
            plunge,
            [
                "horizontal",
                "gently plunging",
                "moderately plunging",
                "steeply plunging",
                "vertical",
            ],
        );
        format!("{stands}, {plunges}")
    }
}

/// Fleuty's word for an interlimb angle in degrees; see [`Fold::tightness`].
#[must_use]
pub fn tightness(interlimb_deg: f64) -> &'static str {
    match interlimb_deg {
        a if a < 0.0 => "elasticas",
        a if a < 0.5 => "isoclinal",
        a if a < 30.0 => "tight",
        a if a < 70.0 => "close",
        a if a < 120.0 => "open",
        _ => "gentle",
    }
}

fn class(deg: f64, words: [&'static str; 5]) -> &'static str {
    let bounds = [10.0, 30.0, 60.0, 80.0];
    words[bounds.iter().filter(|b| deg >= **b).count()]
}
