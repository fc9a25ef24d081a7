//! How densely axes lie on the net, against what chance alone would give.
//!
//! Every axis is spread by an exponential kernel on the sphere, exp(k (|cos θ| − 1)). Were n axes strewn evenly, |cos θ| would
//! be even on [0, 1], so the sum at any point would have mean n (1 − e⁻ᵏ)/k and variance n ((1 − e⁻²ᵏ)/2k − ((1 − e⁻ᵏ)/k)²):
//! the density is told in standard deviations of that sum.
//!
//! References: Robin, P.-Y. F., & Jowett, E. C., 1986, Computerized density contouring and statistical evaluation of orientation
//! data using counting circles and continuous weighting functions, Tectonophysics 121, 207–223 (kernel and the choice of k;
//! cited from memory); the mean and the variance are our own integrals, tested by simulation.

use std::ops::Range;

use nalgebra::Vector3;

use super::projection::{Hemisphere, Projection};
use super::statistics::as_f64;

/// Up to how many axes every one is spread by itself; beyond, axes of one cell of a fine grid are spread together.
pub const EXACT_UP_TO: usize = 2_000;

/// Cells a side of the fine grid that axes are gathered in.
const CELLS: usize = 96;

/// Beyond this exponent a kernel's tail is left out: less than a millionth of its peak.
const REACH: f64 = 14.0;

/// The levels that contours stand at: 2, 4 and 8 of what is counted.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Levels {
    /// Multiples of the density that an even spread would have.
    #[default]
    Even,
    /// Standard deviations above the density that an even spread would have.
    Deviations,
}

impl Levels {
    /// The figures that are counted, from the outermost contour inwards.
    pub const STEPS: [f64; 3] = [2.0, 4.0, 8.0];

    /// The levels in standard deviations above even, which a density is told in.
    #[must_use]
    pub fn sigmas(self, density: &Density) -> [f64; 3] {
        match self {
            Self::Even => Self::STEPS.map(|m| density.sigmas_of_multiple(m)),
            Self::Deviations => Self::STEPS,
        }
    }

    /// The levels in words, for a legend or a caption.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Even => "2, 4, 8 × even",
            Self::Deviations => "2, 4, 8 standard deviations above even",
        }
    }
}

/// The density of axes at the nodes of a square grid over the net.
#[derive(Clone, Debug, PartialEq)]
pub struct Density {
    /// Nodes a side; the outermost two rings of nodes lie beyond the rim, so that contours can be cut at it.
    pub size: usize,
    /// Distance from the middle to the outermost nodes, in radii of the net.
    pub half: f64,
    /// Row by row from the south-west corner, in standard deviations above even; not a number beyond the net's margin.
    pub sigmas: Vec<f64>,
    /// How many axes.
    pub count: usize,
    /// The kernel's concentration.
    pub k: f64,
    /// The sum that an even spread gives on average.
    pub expected: f64,
    /// The standard deviation of that sum.
    pub sd: f64,
    /// The axes were gathered in cells before they were spread.
    pub gathered: bool,
}

/// The concentration at which an even spread's mean sum is three of its standard deviations, k = 2 (1 + n/9).
///
/// # References
/// Robin & Jowett 1986, as above (cited from memory).
#[must_use]
pub fn three_sigma_k(count: usize) -> f64 {
    2.0 * (1.0 + as_f64(count) / 9.0)
}

impl Density {
    /// The density of axes on a grid of so many nodes a side across the net itself.
    ///
    /// # Degenerate input
    /// No axes: every node is 0. A grid of less than 3 nodes is taken as 3, and k below 1e-6 as 1e-6.
    #[must_use]
    pub fn of(
        axes: &[Vector3<f64>],
        k: f64,
        across: usize,
        projection: Projection,
        hemisphere: Hemisphere,
    ) -> Self {
        let k = k.max(1e-6);
        let across = across.max(3);
        let step = 2.0 / as_f64(across - 1);
        let size = across + 4;
        let half = 1.0 + 2.0 * step;
        let count = axes.len();
        let n = as_f64(count);
        let mean = -(-k).exp_m1() / k;
        let square = -(-2.0 * k).exp_m1() / (2.0 * k);
        let (expected, sd) = (n * mean, (n * (square - mean * mean)).sqrt());
        let gathered = count > EXACT_UP_TO;
        let cells = if gathered {
            gather(axes)
        } else {
            axes.iter().map(|v| Cell::of(v, 1.0)).collect()
        };
        let index = Index::of(&cells, k);
        let mut sigmas = vec![f64::NAN; size * size];
        for row in 0..size {
            for column in 0..size {
                let at = |i: usize| as_f64(i) * step - half;
                let (east, north) = (at(column), at(row));
                if east.hypot(north) > half {
                    continue;
                }
                let Some(node) = projection.unproject(hemisphere, (east, north)) else {
                    continue;
                };
                let sum = index.sum(&node);
                sigmas[row * size + column] = if sd > 0.0 { (sum - expected) / sd } else { 0.0 };
            }
        }
        Self {
            size,
            half,
            sigmas,
            count,
            k,
            expected,
            sd,
            gathered,
        }
    }

    /// A node's place on the net, east and north.
    #[must_use]
    pub fn node(&self, column: usize, row: usize) -> (f64, f64) {
        let step = 2.0 * self.half / as_f64(self.size - 1);
        (
            as_f64(column) * step - self.half,
            as_f64(row) * step - self.half,
        )
    }

    /// A multiple of the even density, in standard deviations above it: 2 × even is where contours usually begin.
    #[must_use]
    pub fn sigmas_of_multiple(&self, multiple: f64) -> f64 {
        if self.sd > 0.0 {
            (multiple - 1.0) * self.expected / self.sd
        } else {
            f64::INFINITY
        }
    }

    /// Standard deviations above the even density, as a multiple of it.
    ///
    /// # Degenerate input
    /// No axes: 1, whatever is asked.
    #[must_use]
    pub fn multiple_of_sigmas(&self, sigmas: f64) -> f64 {
        if self.expected > 0.0 {
            1.0 + sigmas * self.sd / self.expected
        } else {
            1.0
        }
    }

    /// The greatest density on the net, in standard deviations, and where it is.
    #[must_use]
    pub fn peak(&self) -> Option<(f64, (f64, f64))> {
        let inside = self.sigmas.iter().enumerate().filter_map(|(i, &value)| {
            let place = self.node(i % self.size, i / self.size);
            (place.0.hypot(place.1) <= 1.0).then_some((value, place))
        });
        inside.max_by(|a, b| a.0.total_cmp(&b.0))
    }
}

/// One axis, or the axes of one cell as their mean direction.
#[derive(Clone, Copy)]
struct Cell {
    v: Vector3<f64>,
    weight: f64,
}

impl Cell {
    fn of(v: &Vector3<f64>, weight: f64) -> Self {
        let v = if v.z < 0.0 { -v } else { *v };
        Self { v, weight }
    }
}

/// The mean direction of the axes of every cell that has any.
fn gather(axes: &[Vector3<f64>]) -> Vec<Cell> {
    let mut sums = vec![(Vector3::zeros(), 0.0); CELLS * CELLS];
    for v in axes {
        let v = if v.z < 0.0 { -v } else { *v };
        let (sum, weight) = &mut sums[cell_of(&v)];
        *sum += v;
        *weight += 1.0;
    }
    let filled = sums.into_iter().filter(|(_, weight)| *weight > 0.0);
    filled
        .map(|(sum, weight)| Cell {
            v: sum.normalize(),
            weight,
        })
        .collect()
}

/// The cell of a vector that points down, on the equal-area net.
fn cell_of(v: &Vector3<f64>) -> usize {
    let (east, north) = Projection::EqualArea.project(Hemisphere::Lower, v);
    column_of(north) * CELLS + column_of(east)
}

fn column_of(place: f64) -> usize {
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // clamped to the grid
    let column = ((place + 1.0) / 2.0 * as_f64(CELLS)).clamp(0.0, as_f64(CELLS - 1)) as usize;
    column
}

/// The cells by the rows and columns they lie in, so that a node looks only at those in its reach.
struct Index {
    /// Where the cells of each square of the grid begin in the columns.
    starts: Vec<usize>,
    north: Vec<f64>,
    east: Vec<f64>,
    down: Vec<f64>,
    weight: Vec<f64>,
    k: f64,
    /// The angle in radians beyond which the kernel's tail is left out.
    reach: f64,
}

impl Index {
    fn of(cells: &[Cell], k: f64) -> Self {
        let squares: Vec<usize> = cells.iter().map(|cell| cell_of(&cell.v)).collect();
        let mut starts = vec![0; CELLS * CELLS + 1];
        for &square in &squares {
            starts[square + 1] += 1;
        }
        for i in 0..CELLS * CELLS {
            starts[i + 1] += starts[i];
        }
        let mut next = starts.clone();
        let mut order = vec![0; cells.len()];
        for (i, &square) in squares.iter().enumerate() {
            order[next[square]] = i;
            next[square] += 1;
        }
        let column = |of: fn(&Cell) -> f64| order.iter().map(|&i| of(&cells[i])).collect();
        Self {
            starts,
            north: column(|cell| cell.v.x),
            east: column(|cell| cell.v.y),
            down: column(|cell| cell.v.z),
            weight: column(|cell| cell.weight),
            k,
            reach: (1.0 - REACH / k).max(0.0).acos(),
        }
    }

    /// The sum of the kernels of all axes at a node.
    fn sum(&self, node: &Vector3<f64>) -> f64 {
        let node = if node.z < 0.0 { -node } else { *node };
        if self.reach > 0.9 {
            return self.over(0..self.weight.len(), &node, f64::abs);
        }
        let near = self.near(&node, self.reach);
        // Close to the rim the axes of the opposite rim are in reach too, round the point beyond the rim.
        let beyond = self.reach.sin();
        if node.z < beyond {
            // There the net is drawn out sideways by up to 1 / √2 cos(c/2), c being a right angle and the reach.
            near + self.near(&-node, self.reach / (1.0 - beyond).sqrt())
        } else {
            near
        }
    }

    /// The kernels of every square that could hold a cell so near to a direction on the net, each once.
    fn near(&self, direction: &Vector3<f64>, reach: f64) -> f64 {
        let (east, north) = Projection::EqualArea.project_beyond(Hemisphere::Lower, direction);
        (column_of(north - reach)..=column_of(north + reach))
            .map(|row| {
                let edge = |row: usize| as_f64(row) * (2.0 / as_f64(CELLS)) - 1.0;
                let off = (edge(row) - north).max(north - edge(row + 1)).max(0.0);
                let wide = (reach * reach - off * off).max(0.0).sqrt();
                let (first, last) = (column_of(east - wide), column_of(east + wide));
                let from = self.starts[row * CELLS + first];
                let to = self.starts[row * CELLS + last + 1];
                // Only the end that this direction is near to counts here; the other end has squares of its own.
                self.over(from..to, direction, |cosine| cosine)
            })
            .sum()
    }

    /// The kernels of some cells; `end` says which end of an axis counts, by its cosine.
    fn over(&self, cells: Range<usize>, node: &Vector3<f64>, end: impl Fn(f64) -> f64) -> f64 {
        let (north, east) = (&self.north[cells.clone()], &self.east[cells.clone()]);
        let (down, weight) = (&self.down[cells.clone()], &self.weight[cells]);
        let mut sum = 0.0;
        for (((n, e), d), weight) in north.iter().zip(east).zip(down).zip(weight) {
            let cosine = n * node.x + e * node.y + d * node.z;
            sum += weight * kernel((end(cosine) - 1.0) * self.k);
        }
        sum
    }
}

/// eˣ to 2 parts in 10¹⁰ where −[`REACH`] ≤ x ≤ 0, and 0 below: a polynomial for x/16, squared four times.
fn kernel(x: f64) -> f64 {
    /// Interpolates eᵗ at the nodes of Chebyshev on −0.875 ≤ t ≤ 0: our own, tested against the exponential.
    const OF_POWERS: [f64; 9] = [
        0.999_999_999_995_716_2,
        0.999_999_999_206_439_2,
        0.499_999_975_746_595_4,
        0.166_666_380_545_871_66,
        0.041_664_970_121_022_604,
        0.008_327_654_345_140_701,
        0.001_377_628_778_252_956_5,
        0.000_185_187_773_118_701_72,
        1.608_990_040_662_338_7e-5,
    ];
    if x < -REACH {
        return 0.0;
    }
    let t = x * (1.0 / 16.0);
    let [c0, c1, c2, c3, c4, c5, c6, c7, c8] = OF_POWERS;
    let high = (((c8 * t + c7) * t + c6) * t + c5) * t + c4;
    let mut power = (((high * t + c3) * t + c2) * t + c1) * t + c0;
    power *= power;
    power *= power;
    power *= power;
    power * power
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_kernel_is_the_exponential() {
        for i in 0..=14_000 {
            let x = -f64::from(i) / 1_000.0;
            let one = kernel(x);
            // A rounding error of the first factor is multiplied by 16 in the squaring.
            assert!((one / x.exp() - 1.0).abs() < 2e-10, "{x}: {one}");
        }
        assert_eq!(kernel(-14.000_001), 0.0);
        assert!((kernel(1e-16) - 1.0).abs() < 2e-10, "a cosine just above 1");
    }
}
