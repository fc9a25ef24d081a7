//! What is drawn of the figures on a net: the same on the glass and in a file.

use nalgebra::Vector3;

use super::{Figures, Look};
use crate::orientation::Line;
use crate::orientation::folds::Cone;
use crate::orientation::statistics::Ellipse;

/// A cone is drawn instead of the girdle where chance makes it so much better less than 5 times in 100 (our choice).
const CONE_FROM: f64 = 0.05;

/// A line of the net.
#[derive(Clone, Debug, PartialEq)]
pub enum Shape {
    /// The great circle at a right angle to this pole.
    GreatCircle(Vector3<f64>),
    /// The small circle around this axis at this half angle, degrees.
    SmallCircle(Vector3<f64>, f64),
    /// A cross on an axis.
    Cross(Vector3<f64>),
    /// The ellipse of confidence of an axis.
    Ellipse(Ellipse),
    /// A numeral at an axis.
    Numeral(Vector3<f64>, u8),
}

/// What a line stands for; it decides its style and its row of the legend.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Stands {
    /// The great circle that fits the poles best.
    Girdle,
    /// The small circle that fits the poles best.
    Cone,
    /// The axis of the girdle or the cone.
    Axis,
    /// The mean of a sample, or of each set.
    Mean,
    /// Where the true axis or mean lies 95 times in 100.
    Confidence,
    /// The mean plane of a limb.
    Limb,
    /// The axial plane of the limbs.
    AxialPlane,
    /// The principal directions of the stress.
    Stress,
    /// Their cones, 95 in 100 of the resamples.
    StressConfidence,
}

impl Stands {
    /// Its row of the legend.
    pub fn words(self) -> &'static str {
        match self {
            Self::Girdle => "fitted girdle",
            Self::Cone => "fitted cone",
            Self::Axis => "its axis",
            Self::Mean => "mean",
            Self::Confidence => "holds it 95 in 100",
            Self::Limb => "limbs 1 and 2",
            Self::AxialPlane => "axial plane",
            Self::Stress => "compression, 1 greatest (a model)",
            Self::StressConfidence => "95 in 100 of resamples",
        }
    }
}

/// One line of the net and what it stands for.
#[derive(Clone, Debug, PartialEq)]
pub struct Fit {
    /// What it stands for.
    pub stands: Stands,
    /// What is drawn.
    pub shape: Shape,
}

impl Figures {
    /// The cone, where it is better than the cylinder by more than chance.
    pub fn better_cone(&self) -> Option<&Cone> {
        let cone = self.cone.as_ref()?;
        cone.better.as_ref().filter(|t| t.p < CONE_FROM)?;
        Some(cone)
    }

    /// The axis that is named on the net: of the fold or of the cone.
    pub fn named_axis(&self) -> Option<Line> {
        self.better_cone()
            .map(|c| c.axis)
            .or_else(|| self.cylinder.as_ref().map(|c| c.axis))
    }

    /// All that is drawn of these figures, with the limbs and their axial plane where they are wanted.
    pub fn fits(&self, limbs: bool) -> Vec<Fit> {
        let mut all = Vec::new();
        let mut put = |stands, shape| all.push(Fit { stands, shape });
        if let Some(cone) = self.better_cone() {
            let axis = cone.axis.vector();
            put(Stands::Cone, Shape::SmallCircle(axis, cone.half_angle_deg));
            put(Stands::Axis, Shape::Cross(axis));
            if let Some(ellipse) = cone.ellipse {
                put(Stands::Confidence, Shape::Ellipse(ellipse));
            }
        } else if let Some(cylinder) = &self.cylinder {
            let axis = cylinder.axis.vector();
            put(Stands::Girdle, Shape::GreatCircle(axis));
            put(Stands::Axis, Shape::Cross(axis));
            if let Some(ellipse) = cylinder.ellipse {
                put(Stands::Confidence, Shape::Ellipse(ellipse));
            }
        } else if self.look == Look::Directions {
            if let Some(fisher) = &self.fisher {
                let mean = fisher.mean.vector();
                put(Stands::Mean, Shape::Cross(mean));
                if let Some(cone_deg) = fisher.cone_95_deg.filter(|c| *c < 90.0) {
                    put(Stands::Confidence, Shape::SmallCircle(mean, cone_deg));
                }
            }
        } else if let Some(best) = self.sets.as_ref().and_then(|s| s.tried.get(s.best)) {
            for set in &best.sets {
                put(Stands::Mean, Shape::Cross(set.mean.normal()));
                if let Some(ellipse) = set.ellipse {
                    put(Stands::Confidence, Shape::Ellipse(ellipse));
                }
            }
        } else if let Some(mean) = &self.mean {
            put(Stands::Mean, Shape::Cross(mean.axis.vector()));
            put(Stands::Confidence, Shape::Ellipse(*mean));
        }
        if let Some(folded) = self.fold.as_ref().filter(|_| limbs) {
            for (limb, numeral) in folded.limbs.iter().zip([1, 2]) {
                put(Stands::Limb, Shape::GreatCircle(limb.plane.normal()));
                // On the great circle, and off the girdle: half way from the steepest line to the strike it hides no pole.
                let beside = (limb.plane.down_dip() + limb.plane.along_strike()).normalize();
                put(Stands::Limb, Shape::Numeral(beside, numeral));
            }
            put(
                Stands::AxialPlane,
                Shape::GreatCircle(folded.fold.axial_plane.normal()),
            );
        }
        if let Some(stress) = self.faulted.as_ref().and_then(|f| f.stress.as_ref()) {
            let principal = &stress.principal;
            let axes = [principal.sigma1, principal.sigma2, principal.sigma3];
            for ((axis, numeral), i) in axes.iter().zip([1, 2, 3]).zip(0..) {
                put(Stands::Stress, Shape::Numeral(axis.vector(), numeral));
                let cone_deg = stress.cones_95_deg.and_then(|c| c.get::<usize>(i).copied());
                if let Some(cone_deg) = cone_deg.filter(|c| *c < 90.0) {
                    put(
                        Stands::StressConfidence,
                        Shape::SmallCircle(axis.vector(), cone_deg),
                    );
                }
            }
        }
        all
    }
}

/// What the lines of a net stand for, each once, in the order of the legend.
pub fn stands(fits: &[Fit]) -> Vec<Stands> {
    let mut all: Vec<Stands> = fits.iter().map(|f| f.stands).collect();
    all.sort_unstable();
    all.dedup();
    all
}
