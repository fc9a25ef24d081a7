//! The figures of faults whose slip is known: kinematic axes, right dihedra, the stress they speak for, conjugate sets.
//!
//! All of it is a model: see [`crate::orientation::faults`].

use nalgebra::Vector3;

use crate::notebook::structure::Datum;
use crate::orientation::faults::{
    Conjugate, Dihedra, Slip, Stress, conjugate, invert_resampled, mean_axes, right_dihedra,
};
use crate::orientation::sets::Suggestion;
use crate::orientation::statistics::{Ellipse, Random, TwoMeans, Which, axis_ellipse};
use crate::orientation::{Line, Plane};

/// What every figure of faults says beside itself.
pub const CAUTION: &str = "A model: it takes it that all these faults slipped in one stress, each along the shear on it, without touching one another. It says what such rock would do, not what this rock did.";

/// Nodes a side of the grid of right dihedra: coarser where a book has very many faults, so that no page waits.
fn across(faults: usize) -> usize {
    if faults > 2_000 { 31 } else { 61 }
}

/// So many resamples give the cones of the stress axes: fewer of very many faults, whose cones are narrow.
fn resamples(faults: usize) -> usize {
    (200_000 / faults.max(1)).clamp(40, 200)
}

/// One fault with its slip.
#[derive(Clone, Debug, PartialEq)]
pub struct Fault {
    /// Record id of its reading.
    pub record: String,
    /// What it is called, as `47·3`.
    pub name: String,
    /// Its slip.
    pub slip: Slip,
    /// The angle between its slip and the shear that the stress puts on it, degrees; `None` where no stress is told.
    pub misfit_deg: Option<f64>,
}

/// The figures of faults with slip.
#[derive(Clone, Debug, PartialEq)]
pub struct Faulted {
    /// The faults whose slip is known, in the order of the book.
    pub faults: Vec<Fault>,
    /// How many have a line but no sense, and so no slip.
    pub without_sense: usize,
    /// The mean axis of shortening with its ellipse; for too few without one.
    pub shortening: Option<(Line, Option<Ellipse>)>,
    /// The mean axis of extension with its ellipse.
    pub extension: Option<(Line, Option<Ellipse>)>,
    /// Where most faults could be shortened and drawn out.
    pub dihedra: Dihedra,
    /// The stress, from four faults on.
    pub stress: Option<Stress>,
    /// From so many resamples of the faults come its cones.
    pub resamples: usize,
}

/// The figures of the faults among these readings; `None` where no slip is known.
pub(super) fn faulted(of: &[&Datum]) -> Option<Faulted> {
    let slips: Vec<Slip> = of.iter().filter_map(|d| d.slip).collect();
    if slips.is_empty() {
        return None;
    }
    let stress = invert_resampled(&slips, resamples(slips.len()), &mut Random::new(1));
    let misfit = |i: usize| stress.as_ref().and_then(|s| s.misfits_deg.get(i).copied());
    let faults = of
        .iter()
        .filter_map(|d| Some((d, d.slip?)))
        .enumerate()
        .map(|(i, (datum, slip))| Fault {
            record: datum.record.clone(),
            name: datum.name.clone(),
            slip,
            misfit_deg: misfit(i),
        })
        .collect();
    let mean = |axes: Vec<Line>| -> Option<(Line, Option<Ellipse>)> {
        let eigen = mean_axes(&axes)?;
        let vectors: Vec<_> = axes.iter().map(Line::vector).collect();
        Some((
            Line::axis_from_vector(&eigen.vectors[0])?,
            axis_ellipse(&vectors, Which::Cluster, 0.95),
        ))
    };
    Some(Faulted {
        without_sense: of
            .iter()
            .filter(|d| d.plane.is_some() && d.line.is_some() && d.slip.is_none())
            .count(),
        shortening: mean(slips.iter().filter_map(Slip::shortening).collect()),
        extension: mean(slips.iter().filter_map(Slip::extension).collect()),
        dihedra: right_dihedra(&slips, across(slips.len())),
        stress,
        resamples: resamples(slips.len()),
        faults,
    })
}

/// Two sets of faults taken as a pair.
#[derive(Clone, Debug, PartialEq)]
pub struct Pair {
    /// What they stand for.
    pub conjugate: Conjugate,
    /// How many faults are in each.
    pub counts: [usize; 2],
    /// Half the interval of the angle between them, 95 in 100, degrees; `None` for too few.
    pub two_theta_within_deg: Option<f64>,
    /// The regions of greatest, middle and least compression, 95 in 100.
    pub regions: [Option<Ellipse>; 3],
}

/// The principal directions of two sets of faults, where the faults come in two.
pub(super) fn pair(sets: Option<&Suggestion>) -> Option<Pair> {
    let best = sets.and_then(|s| s.tried.get(s.best))?;
    let [one, other] = best.sets.as_slice() else {
        return None;
    };
    let of = |poles: &[Vector3<f64>; 2]| -> Option<Conjugate> {
        let [one, other] = [
            Plane::from_normal(&poles[0])?,
            Plane::from_normal(&poles[1])?,
        ];
        conjugate(&one, &other)
    };
    let means = match (&one.ellipse, &other.ellipse) {
        (Some(a), Some(b)) => Some(TwoMeans {
            axes: [one.mean.normal(), other.mean.normal()],
            ellipses: [a, b],
        }),
        _ => None,
    };
    let region = |axis: fn(&Conjugate) -> Line| {
        means
            .as_ref()?
            .region(0.95, |p| Some(axis(&of(p)?).vector()))
    };
    Some(Pair {
        conjugate: conjugate(&one.mean, &other.mean)?,
        counts: [one.count, other.count],
        two_theta_within_deg: means
            .as_ref()
            .and_then(|m| m.half_interval_deg(0.95, |p| Some(of(p)?.two_theta_deg))),
        regions: [
            region(|c| c.sigma1),
            region(|c| c.sigma2),
            region(|c| c.sigma3),
        ],
    })
}
