//! The orientation tensor: what axes have in common, whichever end of each was written down.

use nalgebra::{Matrix3, Vector3};

use super::as_f64;
use crate::orientation::four::Four;

/// The sum of the products of unit vectors with themselves; an axis may be added and taken away at no cost.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Tensor {
    count: usize,
    /// nn, ne, nd, ee, ed, dd.
    sums: [f64; 6],
}

/// Principal axes of a tensor, strongest first.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Eigen {
    /// Shares of the axes along each principal axis, together 1.
    pub values: [f64; 3],
    /// The principal axes, of unit length, pointing down.
    pub vectors: [Vector3<f64>; 3],
}

/// How well the figures of a fabric are known: one standard error of each.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Errors {
    /// Of the shares along the principal axes.
    pub values: [f64; 3],
    /// Of the shape K.
    pub shape: f64,
    /// Of the strength C.
    pub strength: f64,
}

/// So many products are summed in single precision before the sum is laid to the others in double.
const SINGLE_FOR: usize = 64;

/// Sums with the six products of four more axes, in the order of [`Tensor::products`].
#[inline(always)]
fn with_products(
    [nn, ne, nd, ee, ed, dd]: [Four; 6],
    [north, east, down]: [[f32; 4]; 3],
) -> [Four; 6] {
    let (n, e, d) = (Four::of(north), Four::of(east), Four::of(down));
    [
        nn + n * n,
        ne + n * e,
        nd + n * d,
        ee + e * e,
        ed + e * d,
        dd + d * d,
    ]
}

fn add_block(sums: &mut [f64; 6], block: [Four; 6]) {
    for (sum, four) in sums.iter_mut().zip(block) {
        *sum += four.numbers().map(f64::from).iter().sum::<f64>();
    }
}

impl Tensor {
    /// Of many axes.
    #[must_use]
    pub fn of<'a>(axes: impl IntoIterator<Item = &'a Vector3<f64>>) -> Self {
        let mut tensor = Self::default();
        for axis in axes {
            tensor.add(axis);
        }
        tensor
    }

    /// Of many axes given as columns of single precision, as the net keeps them: quicker than the memory can give the same in
    /// double. The matrix is within 10⁻⁶ of that of [`Tensor::of`].
    ///
    /// # Panics
    /// The columns are not of one length.
    #[must_use]
    pub fn of_columns([north, east, down]: [&[f32]; 3]) -> Self {
        let count = north.len();
        assert!(
            east.len() == count && down.len() == count,
            "columns of one length"
        );
        let [north, east, down] = [north, east, down].map(Four::split);
        // Cut to the one length and counted by hand: at the optimisation that is shipped an iterator's steps are calls.
        let fours = north.0.len();
        let [norths, easts, downs] = [north.0, east.0, down.0].map(|column| &column[..fours]);
        let mut sums = [0.0; 6];
        let mut i = 0;
        while i < fours {
            let end = fours.min(i + SINGLE_FOR);
            let mut block = [Four::all(0.0); 6];
            while i < end {
                block = with_products(block, [norths[i], easts[i], downs[i]]);
                i += 1;
            }
            add_block(&mut sums, block);
        }
        if let (Some(north), Some(east), Some(down)) = (north.1, east.1, down.1) {
            add_block(
                &mut sums,
                with_products([Four::all(0.0); 6], [north, east, down]),
            );
        }
        Self { count, sums }
    }

    /// A vector's six different products: north-north, north-east, north-down, east-east, east-down, down-down.
    pub(in crate::orientation) fn products(v: &Vector3<f64>) -> [f64; 6] {
        [
            v.x * v.x,
            v.x * v.y,
            v.x * v.z,
            v.y * v.y,
            v.y * v.z,
            v.z * v.z,
        ]
    }

    /// Adds an axis.
    pub fn add(&mut self, axis: &Vector3<f64>) {
        self.count += 1;
        for (sum, product) in self.sums.iter_mut().zip(Self::products(axis)) {
            *sum += product;
        }
    }

    /// Takes an axis away again.
    ///
    /// # Degenerate input
    /// An empty tensor stays empty.
    pub fn remove(&mut self, axis: &Vector3<f64>) {
        if self.count == 0 {
            return;
        }
        self.count -= 1;
        for (sum, product) in self.sums.iter_mut().zip(Self::products(axis)) {
            *sum -= product;
        }
    }

    /// How many axes.
    #[must_use]
    pub fn count(&self) -> usize {
        self.count
    }

    /// The tensor divided by the count: its trace is 1.
    ///
    /// # Degenerate input
    /// No axes: all zero.
    #[must_use]
    pub fn matrix(&self) -> Matrix3<f64> {
        let [nn, ne, nd, ee, ed, dd] = self.sums;
        let matrix = Matrix3::new(nn, ne, nd, ne, ee, ed, nd, ed, dd);
        if self.count == 0 {
            matrix
        } else {
            matrix / as_f64(self.count)
        }
    }

    /// The principal axes; `None` without axes.
    ///
    /// # Degenerate input
    /// Where two values are equal their axes are any two at a right angle in the plane they share.
    #[must_use]
    pub fn eigen(&self) -> Option<Eigen> {
        if self.count == 0 {
            return None;
        }
        let eigen = self.matrix().symmetric_eigen();
        let mut order = [0, 1, 2];
        order.sort_by(|&a, &b| eigen.eigenvalues[b].total_cmp(&eigen.eigenvalues[a]));
        let down = |i: usize| {
            let v: Vector3<f64> = eigen.eigenvectors.column(i).into_owned();
            if v.z < 0.0 { -v } else { v }
        };
        Some(Eigen {
            values: order.map(|i| eigen.eigenvalues[i].max(0.0)),
            vectors: order.map(down),
        })
    }
}

impl Eigen {
    /// Shape K = ln(S₁/S₂) / ln(S₂/S₃): above 1 a cluster, below 1 a girdle. Infinite or not a number where a value is 0 or equal.
    ///
    /// # References
    /// Woodcock, N. H., 1977, Specification of fabric shapes using an eigenvalue method, Geological Society of America
    /// Bulletin 88, 1231–1236.
    #[must_use]
    pub fn shape(&self) -> f64 {
        let [s1, s2, s3] = self.values;
        (s1 / s2).ln() / (s2 / s3).ln()
    }

    /// Strength C = ln(S₁/S₃) (Woodcock 1977, as [`Eigen::shape`]); 0 for an even spread.
    #[must_use]
    pub fn strength(&self) -> f64 {
        (self.values[0] / self.values[2]).ln()
    }

    /// One standard error of the shares, of K and of C, from the axes that the tensor is of; `None` for fewer than four.
    ///
    /// To first order: a share is the mean of the squares of the axes' components along its principal axis, and K and C follow
    /// the three shares by their slopes. They are no limits of confidence: with few axes K and C are lopsided about their truth.
    ///
    /// # Degenerate input
    /// Infinite or not a number where K or C is.
    ///
    /// # References
    /// The variance of an eigenvalue to first order: Anderson, T. W., 1963, Asymptotic theory for principal component analysis,
    /// Annals of Mathematical Statistics 34, 122–148 (cited from memory), with the fourth moments of the sample in place of the
    /// normal ones; checked by simulation.
    #[must_use]
    pub fn errors<'a>(&self, axes: impl IntoIterator<Item = &'a Vector3<f64>>) -> Option<Errors> {
        let mut sums = Matrix3::zeros();
        let mut count = 0;
        for axis in axes {
            let part = |i: usize| self.vectors[i].dot(axis).powi(2) - self.values[i];
            let off = Vector3::new(part(0), part(1), part(2));
            sums += off * off.transpose();
            count += 1;
        }
        if count < 4 {
            return None;
        }
        let spread = sums / (as_f64(count) * as_f64(count - 1));
        let error = |slope: Vector3<f64>| slope.dot(&(spread * slope)).max(0.0).sqrt();
        let [s1, s2, s3] = self.values;
        let (k, fall) = (self.shape(), (s2 / s3).ln());
        Some(Errors {
            values: [0, 1, 2].map(|i| spread[(i, i)].sqrt()),
            shape: error(Vector3::new(1.0 / s1, -(1.0 + k) / s2, k / s3) / fall),
            strength: error(Vector3::new(1.0 / s1, 0.0, -1.0 / s3)),
        })
    }

    /// Cluster share P = S₁ − S₂, 0 to 1.
    ///
    /// # References
    /// Vollmer, F. W., 1990, An application of eigenvalue methods to structural domain analysis, Geological Society of
    /// America Bulletin 102, 786–791.
    #[must_use]
    pub fn cluster(&self) -> f64 {
        self.values[0] - self.values[1]
    }

    /// Girdle share G = 2 (S₂ − S₃), 0 to 1 (Vollmer 1990, as [`Eigen::cluster`]).
    #[must_use]
    pub fn girdle(&self) -> f64 {
        2.0 * (self.values[1] - self.values[2])
    }

    /// Even share R = 3 S₃, 0 to 1; the three shares make 1 (Vollmer 1990, as [`Eigen::cluster`]).
    #[must_use]
    pub fn even(&self) -> f64 {
        3.0 * self.values[2]
    }
}
