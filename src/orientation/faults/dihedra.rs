//! Right dihedra: where on the net every fault could have been shortened, and where drawn out.

use nalgebra::Vector3;

use super::slip::Slip;
use crate::orientation::Line;
use crate::orientation::projection::{Hemisphere, Projection};
use crate::orientation::statistics::Tensor;

/// For every node of a square grid over the lower hemisphere, how many faults have it in their dihedron of shortening.
#[derive(Clone, Debug, PartialEq)]
pub struct Dihedra {
    /// Nodes a side.
    pub size: usize,
    /// Row by row from the south-west corner, 0 to 1; not a number off the net.
    pub shortening: Vec<f64>,
    /// How many faults.
    pub count: usize,
    /// The middle of the nodes that most faults agree to be shortening, and the share that does.
    pub greatest: Option<(Line, f64)>,
    /// The middle of the nodes that most faults agree to be extension, and the share that does.
    pub least: Option<(Line, f64)>,
}

/// Counts the dihedra of all faults on a grid of so many nodes a side.
///
/// # Degenerate input
/// No faults: no middles. A grid of less than 3 nodes is taken as 3.
///
/// # References
/// Angelier, J., & Mechler, P., 1977, Sur une méthode graphique de recherche des contraintes principales, Bulletin de la
/// Société géologique de France 7, 1309–1318 (from memory).
#[must_use]
pub fn right_dihedra(faults: &[Slip], size: usize) -> Dihedra {
    let size = size.max(3);
    #[allow(clippy::cast_precision_loss)] // a grid and a count of faults stay far below 2⁵³
    let (step, n) = (2.0 / (size - 1) as f64, faults.len() as f64);
    let frames: Vec<(Vector3<f64>, Vector3<f64>)> = faults
        .iter()
        .map(|f| (f.into_hanging_wall(), f.vector()))
        .collect();
    let mut shares = vec![f64::NAN; size * size];
    let mut nodes = Vec::new();
    for row in 0..size {
        for column in 0..size {
            #[allow(clippy::cast_precision_loss)]
            let place = (column as f64 * step - 1.0, row as f64 * step - 1.0);
            if place.0.hypot(place.1) > 1.0 {
                continue;
            }
            let Some(v) = Projection::EqualArea.unproject(Hemisphere::Lower, place) else {
                continue;
            };
            // A node on a plane itself belongs half to either dihedron.
            let shortened: f64 = frames
                .iter()
                .map(|(normal, slip)| match v.dot(normal) * v.dot(slip) {
                    side if side < -1e-12 => 1.0,
                    side if side > 1e-12 => 0.0,
                    _ => 0.5,
                })
                .sum();
            let share = if n > 0.0 { shortened / n } else { 0.5 };
            shares[row * size + column] = share;
            nodes.push((v, share));
        }
    }
    let middle = |best: f64| {
        let agreeing = nodes
            .iter()
            .filter(|(_, s)| (s - best).abs() < 1e-9)
            .map(|(v, _)| v);
        let axis = Tensor::of(agreeing).eigen()?.vectors[0];
        Some((Line::axis_from_vector(&axis)?, best))
    };
    let most = nodes
        .iter()
        .map(|(_, s)| *s)
        .fold(f64::NEG_INFINITY, f64::max);
    let fewest = nodes.iter().map(|(_, s)| *s).fold(f64::INFINITY, f64::min);
    let found = !faults.is_empty();
    Dihedra {
        size,
        shortening: shares,
        count: faults.len(),
        greatest: found.then(|| middle(most)).flatten(),
        least: found
            .then(|| middle(fewest))
            .flatten()
            .map(|(line, share)| (line, 1.0 - share)),
    }
}
