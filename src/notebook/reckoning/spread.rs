//! How uncertain a result is: the deviations of what it is reckoned from, carried over to first order by differences.

use nalgebra::Vector3;

use crate::orientation::angle::degrees;
use crate::orientation::{Line, Plane};

/// Differences are taken over this part of a standard deviation.
const STEP: f64 = 0.05;

/// How far a two-dimensional normal spread reaches that holds 95 in 100: √(−2 ln 0.05).
const REACH_95: f64 = 2.447_746_830_680_816;

/// A strike or a trend that is less sure than this, degrees, is not told.
const UNTOLD_DEG: f64 = 60.0;

/// How sure a value is.
#[derive(Clone, Debug, PartialEq)]
pub enum Sure {
    /// One standard deviation, in the value's own unit.
    Within(f64),
    /// Of a plane or a line.
    Direction {
        /// Standard deviation of the strike or the trend, degrees; `None` where the attitude hardly tells one.
        azimuth_deg: Option<f64>,
        /// Standard deviation of the dip or the plunge, degrees.
        incline_deg: f64,
        /// The half axes, the longer first, of the ellipse that holds the true pole or line 95 times in 100, degrees.
        ellipse_deg: (f64, f64),
    },
    /// It cannot be said, and why.
    Untold(String),
}

/// What a result is reckoned from, as independent errors, each counted in its own standard deviation.
#[derive(Clone, Debug, Default)]
pub(super) struct Sources {
    /// What has errors: what it is of its reading, its name in the book, and the place of its first error.
    names: Vec<(&'static str, String, usize)>,
    of: Vec<usize>,
    untold: Vec<String>,
}

impl Sources {
    /// Adds the errors of one thing by what it is and the name it has in the book; gives the place of the first. What is
    /// there already is not added again: its errors are the same.
    pub(super) fn add(&mut self, what: &'static str, name: &str, count: usize) -> usize {
        let there = self.names.iter().find(|(w, n, _)| *w == what && n == name);
        if let Some((.., at)) = there {
            return *at;
        }
        let at = self.of.len();
        self.names.push((what, name.to_owned(), at));
        self.of
            .extend(std::iter::repeat_n(self.names.len() - 1, count));
        at
    }

    /// Something has an error that nobody has told.
    pub(super) fn not_told(&mut self, words: String) {
        if !self.untold.contains(&words) {
            self.untold.push(words);
        }
    }

    /// No errors at all.
    pub(super) fn none(&self) -> Vec<f64> {
        vec![0.0; self.of.len()]
    }

    fn carry<const K: usize>(&self, f: impl Fn(&[f64]) -> Option<[f64; K]>) -> Option<Carried<K>> {
        let mut errors = self.none();
        let mut cov = [[0.0; K]; K];
        let mut shares = vec![0.0; self.names.len()];
        for (i, group) in self.of.iter().enumerate() {
            errors[i] = STEP;
            let up = f(&errors)?;
            errors[i] = -STEP;
            let down = f(&errors)?;
            errors[i] = 0.0;
            let slopes: [f64; K] = std::array::from_fn(|k| (up[k] - down[k]) / (2.0 * STEP));
            for (row, slope) in cov.iter_mut().zip(slopes) {
                shares[*group] += slope * slope;
                for (entry, other) in row.iter_mut().zip(slopes) {
                    *entry += slope * other;
                }
            }
        }
        let all: f64 = shares.iter().sum();
        let most = shares.iter().enumerate().max_by(|a, b| a.1.total_cmp(b.1));
        let most = most.filter(|_| all > 0.0 && self.names.len() > 1);
        Some(Carried {
            value: f(&errors)?,
            cov,
            most: most.map(|(i, share)| (self.names[i].1.clone(), share / all)),
        })
    }

    fn sure(&self, sure: Sure) -> Sure {
        if self.untold.is_empty() {
            sure
        } else {
            Sure::Untold(self.untold.join("; "))
        }
    }

    /// A number and how sure it is.
    pub(super) fn number(&self, f: impl Fn(&[f64]) -> Option<f64>) -> Option<Result<f64>> {
        let carried = self.carry(|e| f(e).map(|v| [v]))?;
        Some(Result {
            value: carried.value[0],
            sure: self.sure(Sure::Within(carried.cov[0][0].sqrt())),
            most: carried.most,
        })
    }

    /// A plane and how sure it is.
    pub(super) fn plane(&self, f: impl Fn(&[f64]) -> Option<Plane>) -> Option<Result<Plane>> {
        let value = f(&self.none())?;
        let (along, up) = (value.along_strike(), -value.down_dip());
        let pole = value.normal();
        let carried = self.carry(|e| flat(&f(e)?.normal(), &pole, [along, up]))?;
        Some(Result {
            value,
            sure: self.sure(direction(&carried.cov, value.dip().rad().sin())),
            most: carried.most,
        })
    }

    /// A line and how sure it is.
    pub(super) fn line(&self, f: impl Fn(&[f64]) -> Option<Line>) -> Option<Result<Line>> {
        let value = f(&self.none())?;
        let carried = self.carry(|e| flat(&f(e)?.vector(), &value.vector(), about(&value)))?;
        Some(Result {
            value,
            sure: self.sure(direction(&carried.cov, value.plunge().rad().cos())),
            most: carried.most,
        })
    }
}

struct Carried<const K: usize> {
    value: [f64; K],
    cov: [[f64; K]; K],
    most: Option<(String, f64)>,
}

/// A value, how sure it is, and what most of its variance comes from, with the share.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Result<T> {
    pub(super) value: T,
    pub(super) sure: Sure,
    pub(super) most: Option<(String, f64)>,
}

/// The level direction across a line, clockwise, and the steeper one.
pub(super) fn about(line: &Line) -> [Vector3<f64>; 2] {
    let (st, ct) = line.trend().rad().sin_cos();
    let (sp, cp) = line.plunge().rad().sin_cos();
    [
        Vector3::new(-st, ct, 0.0),
        Vector3::new(-ct * sp, -st * sp, cp),
    ]
}

/// An axis near another in the tangent plane of that one.
fn flat(axis: &Vector3<f64>, at: &Vector3<f64>, basis: [Vector3<f64>; 2]) -> Option<[f64; 2]> {
    let along = axis.dot(at);
    (along.abs() > 1e-9).then(|| basis.map(|b| axis.dot(&b) / along))
}

/// The covariance in the tangent plane as deviations of azimuth and inclination, and as an ellipse.
fn direction(cov: &[[f64; 2]; 2], azimuth_turns: f64) -> Sure {
    let (a, b, c) = (cov[0][0], cov[0][1], cov[1][1]);
    let middle = f64::midpoint(a, c);
    let half = ((a - c) / 2.0).hypot(b);
    let axis = |var: f64| degrees((REACH_95 * var.max(0.0).sqrt()).atan());
    let azimuth_deg = degrees(a.sqrt() / azimuth_turns);
    Sure::Direction {
        azimuth_deg: Some(azimuth_deg).filter(|deg| *deg < UNTOLD_DEG),
        incline_deg: degrees(c.sqrt()),
        ellipse_deg: (axis(middle + half), axis(middle - half)),
    }
}
