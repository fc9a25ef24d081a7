//! How densely axes lie on the net, against what chance alone would give.
//!
//! Every axis is spread by an exponential kernel on the sphere, exp(k (|cos θ| − 1)). Were n axes strewn evenly, |cos θ| would
//! be even on [0, 1], so the sum at any point would have mean n (1 − e⁻ᵏ)/k and variance n ((1 − e⁻²ᵏ)/2k − ((1 − e⁻ᵏ)/k)²):
//! the density is told in standard deviations of that sum.
//!
//! References: Robin, P.-Y. F., & Jowett, E. C., 1986, Computerized density contouring and statistical evaluation of orientation
//! data using counting circles and continuous weighting functions, Tectonophysics 121, 207–223 (kernel and the choice of k;
//! cited from memory); the mean and the variance are our own integrals, tested by simulation.

use std::f64::consts::{FRAC_PI_2, PI, TAU};
use std::ops::Range;

use nalgebra::Vector3;

use super::projection::{Hemisphere, Projection};
use super::statistics::{Tensor, as_f64};

/// Up to how many axes every one is spread by itself; beyond, the axes of one cell of a grid are spread together.
pub const EXACT_UP_TO: usize = 2_000;

/// Cells a side of the grid that axes are gathered in, where the kernel's concentration is 100; as many more as the kernel is
/// narrower, so that what gathering costs in truth stays the same.
const CELLS: f64 = 48.0;

/// The least cells a side, for kernels so wide that they have a fold where |cos θ| is 0.
const FEWEST_CELLS: f64 = 24.0;

/// Beyond this exponent a kernel's tail is left out: less than a millionth of its peak.
const REACH: f64 = 14.0;

/// Where the kernel reaches so far that its cosine is less, every axis is spread to every node.
const FAR: f64 = 0.62;

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
    /// No axes: every node is 0. A grid of less than 3 nodes is taken as 3, k below 1e-6 as 1e-6 and beyond 1e7 as 1e7.
    #[must_use]
    pub fn of(
        axes: &[Vector3<f64>],
        k: f64,
        across: usize,
        projection: Projection,
        hemisphere: Hemisphere,
    ) -> Self {
        let k = k.clamp(1e-6, 1e7);
        let across = across.max(3);
        let step = 2.0 / as_f64(across - 1);
        let size = across + 4;
        let half = 1.0 + 2.0 * step;
        let count = axes.len();
        let n = as_f64(count);
        let mean = -(-k).exp_m1() / k;
        let square = -(-2.0 * k).exp_m1() / (2.0 * k);
        let (expected, sd) = (n * mean, (n * (square - mean * mean)).sqrt());
        // As many cells as axes would gather nothing.
        let side = (CELLS * (k / 100.0).sqrt()).max(FEWEST_CELLS).ceil();
        let gathered = count > EXACT_UP_TO && n > side * side;
        let cells = if gathered {
            gather(axes, side, k)
        } else {
            axes.iter().map(Cell::of_one).collect()
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

/// The axes of one cell of a grid, or one axis.
///
/// Were m the mean of v over w axes (shorter than 1, as they are spread), and δ what each differs by, then
/// Σ exp(k (n·v − 1)) = exp(k (n·m − 1)) (w + k²/2 nᵀ(Σ δδᵀ)n + …): what is left out is of the third order in k n·δ.
#[derive(Clone, Copy, Default)]
struct Cell {
    mean: Vector3<f64>,
    count: f64,
    /// k²/2 Σ δδᵀ, in the order of [`Tensor::products`].
    spread: [f64; 6],
}

impl Cell {
    fn of_one(axis: &Vector3<f64>) -> Self {
        Self {
            mean: pointing_down(axis),
            count: 1.0,
            spread: [0.0; 6],
        }
    }

    /// Makes the mean and the spread of a cell that has any axes out of their sums.
    fn close(&mut self, k: f64) {
        self.mean /= self.count;
        for (sum, of_mean) in self.spread.iter_mut().zip(Tensor::products(&self.mean)) {
            *sum = k * k / 2.0 * (*sum - self.count * of_mean);
        }
    }
}

fn pointing_down(axis: &Vector3<f64>) -> Vector3<f64> {
    if axis.z < 0.0 { -axis } else { *axis }
}

/// The cells that have any axes, of a grid with so many a side on the equal-area net.
fn gather(axes: &[Vector3<f64>], side: f64, k: f64) -> Vec<Cell> {
    let places = whole(side, usize::MAX);
    let mut cells = vec![Cell::default(); places * places];
    for axis in axes {
        let v = pointing_down(axis);
        let (east, north) = Projection::EqualArea.project(Hemisphere::Lower, &v);
        let along = |place: f64| whole((place + 1.0) / 2.0 * side, places);
        let cell = &mut cells[along(north) * places + along(east)];
        cell.mean += v;
        cell.count += 1.0;
        for (sum, product) in cell.spread.iter_mut().zip(Tensor::products(&v)) {
            *sum += product;
        }
    }
    cells.retain(|cell| cell.count > 0.0);
    for cell in &mut cells {
        cell.close(k);
    }
    cells
}

/// The cells by the ring about straight down and the sector of azimuth that they lie in, so that a node looks only at those in
/// its reach: on the sphere, where nothing is drawn out, not on the net.
struct Index {
    /// Where the cells of each sector of each ring begin.
    starts: Vec<usize>,
    cells: Vec<Cell>,
    kernel: Kernel,
    /// The sine and the cosine of the angle from straight down at which each ring begins, and the last ends.
    edges: [(f64, f64); RINGS + 1],
    /// The cosine of the angle beyond which the kernel's tail is left out.
    reach: f64,
}

/// Rings about straight down, each as wide as the others.
const RINGS: usize = 24;

/// Sectors of azimuth in each ring.
const SECTORS: usize = 96;

/// The ring and the sector of a direction that points down, counted through.
fn sector_of(v: &Vector3<f64>) -> usize {
    let ring = whole(v.x.hypot(v.y).atan2(v.z) / FRAC_PI_2 * as_f64(RINGS), RINGS);
    ring * SECTORS + sector(v.y.atan2(v.x))
}

/// The sector of an azimuth in radians from −π to π.
fn sector(azimuth: f64) -> usize {
    whole((azimuth + PI) / TAU * as_f64(SECTORS), SECTORS)
}

/// A number's whole part as a place among so many.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // clamped to the places
fn whole(number: f64, places: usize) -> usize {
    (number.max(0.0) as usize).min(places - 1)
}

impl Index {
    fn of(cells: &[Cell], k: f64) -> Self {
        let sectors: Vec<usize> = cells.iter().map(|cell| sector_of(&cell.mean)).collect();
        let mut starts = vec![0; RINGS * SECTORS + 1];
        for &sector in &sectors {
            starts[sector + 1] += 1;
        }
        for i in 0..RINGS * SECTORS {
            starts[i + 1] += starts[i];
        }
        let mut next = starts.clone();
        let mut sorted = vec![Cell::default(); cells.len()];
        for (cell, &sector) in cells.iter().zip(&sectors) {
            sorted[next[sector]] = *cell;
            next[sector] += 1;
        }
        Self {
            starts,
            cells: sorted,
            kernel: Kernel::of(k),
            edges: std::array::from_fn(|ring| {
                (as_f64(ring) * (FRAC_PI_2 / as_f64(RINGS))).sin_cos()
            }),
            reach: (1.0 - REACH / k).max(0.0),
        }
    }

    /// The sum of the kernels of all axes at a node.
    fn sum(&self, node: &Vector3<f64>) -> f64 {
        let node = pointing_down(node);
        if self.reach < FAR {
            return self.over(0..self.cells.len(), &node, f64::abs);
        }
        let near = self.near(&node);
        // Close to the rim the axes of the opposite rim are in reach too.
        if node.z * node.z < 1.0 - self.reach * self.reach {
            near + self.near(&-node)
        } else {
            near
        }
    }

    /// The kernels of every sector that could hold a cell in reach of a direction in either half of the sphere, each once.
    fn near(&self, direction: &Vector3<f64>) -> f64 {
        let azimuth = direction.y.atan2(direction.x);
        let down = direction.z.clamp(-1.0, 1.0);
        let level = (1.0 - down * down).sqrt();
        let mut sum = 0.0;
        for ring in 0..RINGS {
            let Some(half) = self.half_width(ring, down, level) else {
                continue;
            };
            // Only the end that this direction is near to counts here; the other end has sectors of its own.
            let mut add = |first: usize, last: usize| {
                let from = self.starts[ring * SECTORS + first];
                let to = self.starts[ring * SECTORS + last + 1];
                sum += self.over(from..to, direction, |cosine| cosine);
            };
            let (from, to) = (azimuth - half, azimuth + half);
            let (first, last) = (sector(from), sector(to));
            let wrapped = if from < -PI {
                (sector(from + TAU), SECTORS - 1)
            } else if to > PI {
                (0, sector(to - TAU))
            } else {
                add(first, last);
                continue;
            };
            if wrapped.0 <= last && first <= wrapped.1 {
                add(0, SECTORS - 1);
            } else {
                add(first, last);
                add(wrapped.0, wrapped.1);
            }
        }
        sum
    }

    /// How far to either side in azimuth a ring is in reach of a direction, radians; the direction by its cosine and its sine
    /// from straight down.
    fn half_width(&self, ring: usize, down: f64, level: f64) -> Option<f64> {
        let [inner, outer] = [self.edges[ring], self.edges[ring + 1]];
        // By the cosine rule; straight down itself is in reach all round, or not at all.
        let cosine =
            |(s, c): (f64, f64)| (self.reach - c * down) / (s * level).max(f64::MIN_POSITIVE);
        let mut least = cosine(inner).min(cosine(outer));
        // Where the circle about the direction is touched by a line of azimuth, it is widest.
        let c = down / self.reach;
        if outer.1 < c && c < inner.1 {
            least = least.min(cosine(((1.0 - c * c).max(0.0).sqrt(), c)));
        }
        (least <= 1.0).then(|| least.max(-1.0).acos())
    }

    /// The kernels of some cells; `end` says which end of an axis counts, by its cosine.
    fn over(&self, cells: Range<usize>, node: &Vector3<f64>, end: impl Fn(f64) -> f64) -> f64 {
        let cells = &self.cells[cells];
        let [nn, ne, nd, ee, ed, dd] = Tensor::products(node);
        // Counted by hand: at the optimisation that is shipped an iterator's steps are calls.
        let (mut sum, mut i) = (0.0, 0);
        while i < cells.len() {
            let Cell {
                mean,
                count,
                spread: [a, b, c, d, e, f],
            } = &cells[i];
            let cosine = mean.x * node.x + mean.y * node.y + mean.z * node.z;
            let spread = a * nn + d * ee + f * dd + 2.0 * (b * ne + c * nd + e * ed);
            sum += (count + spread) * self.kernel.at(end(cosine));
            i += 1;
        }
        sum
    }
}

/// exp(k (cos θ − 1)) to 2 parts in 10¹⁰ within [`REACH`], and 0 beyond: from a table, and a cubic between its rows.
///
/// There is no branch in it: whether a cell is in reach is a toss-up, which a processor guesses wrong half the time.
struct Kernel {
    /// e⁻ʰⁱ, h being a row's width; 0 beyond the reach, and so in the last row.
    table: Box<[f64; ROWS]>,
    /// Rows for one unit of 1 − cos θ.
    scale: f64,
}

/// Rows of the kernel's table, a power of 2.
const ROWS: usize = 1024;

/// Rows for one unit of the exponent; the table goes a little beyond the reach.
const ROWS_A_UNIT: f64 = 64.0;

/// Where adding drops all that is less than 1 of a number, so that its last bits are the nearest whole number: 2⁵².
const WHOLE: f64 = 4_503_599_627_370_496.0;

impl Kernel {
    fn of(k: f64) -> Self {
        let row = |i| {
            let x = as_f64(i) / ROWS_A_UNIT;
            if x <= REACH { (-x).exp() } else { 0.0 }
        };
        Self {
            table: Box::new(std::array::from_fn(row)),
            scale: k * ROWS_A_UNIT,
        }
    }

    /// The kernel at a cosine of at most 1, but for rounding.
    #[inline(always)]
    #[allow(clippy::cast_possible_truncation, clippy::cast_possible_wrap)] // the last bits are what is wanted
    #[allow(clippy::cast_sign_loss)] // cut to the rows
    fn at(&self, cosine: f64) -> f64 {
        let place = (1.0 - cosine) * self.scale;
        let whole = place + WHOLE;
        let d = (whole - WHOLE - place) * (1.0 / ROWS_A_UNIT);
        let row = whole.to_bits() as u32 as i32;
        // All ones where the row lies beyond the last, which holds 0.
        let beyond = (ROWS as i32 - 1 - row) >> 31;
        let held = self.table[(row | beyond) as usize & (ROWS - 1)];
        held * (1.0 + d * (1.0 + d * (0.5 + d * (1.0 / 6.0))))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_kernel_is_the_exponential() {
        for k in [0.5, 100.0, 22_000.0] {
            let kernel = Kernel::of(k);
            for i in 0..=14_000 {
                let x = -f64::from(i) / 1_000.0;
                let cosine = 1.0 + x / k;
                // What is left of the exponent after it went through the cosine.
                let exact = ((cosine - 1.0) * k).exp();
                let one = kernel.at(cosine);
                assert!((one / exact - 1.0).abs() < 2e-10, "k {k}, {x}: {one}");
            }
            assert_eq!(kernel.at(1.0 - 14.01 / k), 0.0);
            assert_eq!(kernel.at(-1.0 - 1e6 / k), 0.0);
            assert!(
                (kernel.at(1.0 + 1e-15) - 1.0).abs() < 2e-10,
                "a cosine just above 1"
            );
        }
    }

    /// What lies in reach is found wherever it lies: on the rim, straight down, across north and south.
    #[test]
    fn no_axis_in_reach_is_passed_over() {
        let axes: Vec<Vector3<f64>> = (0..1_500)
            .map(|i| {
                let down = 1.0 - 2.0 * (f64::from(i) + 0.5) / 1_500.0;
                let (sin, cos) = (f64::from(i) * 2.4).sin_cos();
                let level = (1.0 - down * down).sqrt();
                Vector3::new(level * cos, level * sin, down)
            })
            .chain([Vector3::z(), Vector3::x(), -Vector3::x(), Vector3::y()])
            .collect();
        for k in [16.0, 40.0, 100.0, 900.0] {
            let density = Density::of(&axes, k, 31, Projection::EqualArea, Hemisphere::Lower);
            for (i, told) in density.sigmas.iter().enumerate() {
                let place = density.node(i % density.size, i / density.size);
                let Some(node) = Projection::EqualArea.unproject(Hemisphere::Lower, place) else {
                    continue;
                };
                if told.is_nan() {
                    continue;
                }
                let all: f64 = axes
                    .iter()
                    .map(|axis| (k * (axis.dot(&node).abs() - 1.0)).exp())
                    .sum();
                let exact = (all - density.expected) / density.sd;
                // An even spread's tails, which are left out, come to n e⁻¹⁴/k on average; of few axes they come in lumps.
                let tails = (2.0 * 1_504.0 / k + 10.0) * (-REACH).exp() / density.sd;
                assert!(
                    (told - exact).abs() < tails,
                    "k {k} at {place:?}: {told}, {exact}"
                );
            }
        }
    }
}
