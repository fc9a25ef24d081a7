//! Sets of joints: which poles belong together, and how many sets the poles speak for.

use nalgebra::Vector3;

use super::plane::Plane;
use super::statistics::{Ellipse, Random, Tensor, Which, as_f64, axis_ellipse};

/// One set.
#[derive(Clone, Debug, PartialEq)]
pub struct Set {
    /// The mean plane.
    pub mean: Plane,
    /// Where the true pole of the mean lies 95 times in 100; `None` for fewer than four.
    pub ellipse: Option<Ellipse>,
    /// How many belong to it.
    pub count: usize,
    /// Root mean square distance of the poles from the mean, degrees.
    pub spread_deg: f64,
}

/// Poles parted into sets.
#[derive(Clone, Debug, PartialEq)]
pub struct Sets {
    /// The sets, the largest first.
    pub sets: Vec<Set>,
    /// For every pole, the place of its set.
    pub of: Vec<usize>,
    /// Bayes' information criterion: the least of several numbers of sets is the one the poles speak for.
    pub criterion: f64,
}

/// The evidence for each number of sets, and the one suggested.
#[derive(Clone, Debug, PartialEq)]
pub struct Suggestion {
    /// Partings into 1, 2, 3, … sets.
    pub tried: Vec<Sets>,
    /// The place in `tried` of the one suggested.
    pub best: usize,
}

/// 1 − cos 5°.
const SHARPEST: f64 = 0.003_805;

/// A set that the poles speak for has so many at least.
const FEWEST: usize = 3;

/// Parts poles into so many sets: each pole with the mean axis it is nearest to, the best of several starts.
///
/// # Degenerate input
/// No sets, or more sets than poles: `None`.
///
/// # References
/// k-means on axes with the orientation tensor's mean, begun by k-means++ (Arthur, D., & Vassilvitskii, S., 2007); the
/// criterion takes each set as a Fisher-like cluster of axes of one concentration of its own, whose density is
/// κ/(2π) exp(κ(|cos θ| − 1)) on the hemisphere, κ = n/Σ(1 − |cos θ|) (our choice).
#[must_use]
pub fn part(poles: &[Vector3<f64>], count: usize, random: &mut Random) -> Option<Sets> {
    if count == 0 || count > poles.len() {
        return None;
    }
    let mut best: Option<(f64, Vec<usize>, Vec<Vector3<f64>>)> = None;
    for _ in 0..if count == 1 { 1 } else { 12 } {
        let Some((of, means)) = settle(poles, begin(poles, count, random)) else {
            continue;
        };
        let off: f64 = poles
            .iter()
            .zip(&of)
            .map(|(p, &i)| 1.0 - p.dot(&means[i]).abs())
            .sum();
        if best.as_ref().is_none_or(|(least, ..)| off < *least) {
            best = Some((off, of, means));
        }
    }
    let (_, of, means) = best?;
    finish(poles, &of, &means)
}

/// Means to begin from: the first by lot, each next one likelier the farther it lies from those before.
fn begin(poles: &[Vector3<f64>], count: usize, random: &mut Random) -> Vec<Vector3<f64>> {
    let mut means = vec![poles[random.below(poles.len())]];
    while means.len() < count {
        let far: Vec<f64> = poles
            .iter()
            .map(|p| {
                means
                    .iter()
                    .map(|m| 1.0 - p.dot(m).abs())
                    .fold(f64::INFINITY, f64::min)
            })
            .collect();
        let mut left = random.uniform() * far.iter().sum::<f64>();
        let chosen = far.iter().position(|f| {
            left -= f;
            left < 0.0
        });
        means.push(poles[chosen.unwrap_or_else(|| random.below(poles.len()))]);
    }
    means
}

fn settle(
    poles: &[Vector3<f64>],
    mut means: Vec<Vector3<f64>>,
) -> Option<(Vec<usize>, Vec<Vector3<f64>>)> {
    let mut of = vec![usize::MAX; poles.len()];
    for _ in 0..100 {
        let mut moved = false;
        let mut tensors = vec![Tensor::default(); means.len()];
        for (slot, p) in of.iter_mut().zip(poles) {
            let near = |i: &usize| p.dot(&means[*i]).abs();
            let nearest = (0..means.len()).max_by(|a, b| near(a).total_cmp(&near(b)))?;
            moved |= nearest != *slot;
            *slot = nearest;
            tensors[nearest].add(p);
        }
        if !moved {
            return Some((of, means));
        }
        for (mean, tensor) in means.iter_mut().zip(&tensors) {
            *mean = tensor.eigen()?.vectors[0];
        }
    }
    Some((of, means))
}

fn finish(poles: &[Vector3<f64>], of: &[usize], means: &[Vector3<f64>]) -> Option<Sets> {
    let n = as_f64(poles.len());
    let mut likelihood = 0.0;
    let mut found = Vec::with_capacity(means.len());
    for (i, mean) in means.iter().enumerate() {
        let members: Vec<Vector3<f64>> = poles
            .iter()
            .zip(of)
            .filter(|(_, at)| **at == i)
            .map(|(p, _)| *p)
            .collect();
        let m = as_f64(members.len());
        // A set of joints scatters by 5° at least (common practice): a sharper one is no better evidence.
        let off = members
            .iter()
            .map(|p| 1.0 - p.dot(mean).abs())
            .sum::<f64>()
            .max(m * SHARPEST);
        let kappa = m / off;
        likelihood += m * (m / n).ln() + m * (kappa / std::f64::consts::TAU).ln() - kappa * off;
        let square = members
            .iter()
            .map(|p| p.dot(mean).abs().min(1.0).acos().powi(2))
            .sum::<f64>()
            / m.max(1.0);
        found.push((
            i,
            Set {
                mean: Plane::from_normal(mean)?,
                ellipse: axis_ellipse(&members, Which::Cluster, 0.95),
                count: members.len(),
                spread_deg: super::angle::degrees(square.sqrt()),
            },
        ));
    }
    found.sort_by_key(|(_, set)| std::cmp::Reverse(set.count));
    let mut place = vec![0; means.len()];
    for (new, (old, _)) in found.iter().enumerate() {
        place[*old] = new;
    }
    // Two numbers for each mean, one for its concentration, and the shares of all but one.
    let numbers = 4.0 * as_f64(means.len()) - 1.0;
    Some(Sets {
        sets: found.into_iter().map(|(_, set)| set).collect(),
        of: of.iter().map(|&i| place[i]).collect(),
        criterion: numbers * n.ln() - 2.0 * likelihood,
    })
}

/// Tries 1 to so many sets and suggests the number with the least criterion, each set having three poles or more.
///
/// # Degenerate input
/// No poles: `None`.
#[must_use]
pub fn suggest(poles: &[Vector3<f64>], most: usize, random: &mut Random) -> Option<Suggestion> {
    let tried: Vec<Sets> = (1..=most.min(poles.len()))
        .map_while(|count| part(poles, count, random))
        .collect();
    let told = |i: &usize| *i == 0 || tried[*i].sets.iter().all(|set| set.count >= FEWEST);
    let best = (0..tried.len())
        .filter(told)
        .min_by(|&a, &b| tried[a].criterion.total_cmp(&tried[b].criterion))?;
    Some(Suggestion { tried, best })
}
