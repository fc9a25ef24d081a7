//! Weighted least squares on the rotations: the normal and the line of a frame, moved together by tangent steps.
//!
//! With the downward normal n, the right-hand strike s, the way straight down the dip d = n × s, the line v, the level
//! direction a to its right and e = v × a, a small turn ω changes the dials by
//! d(strike) = ω·d / sin dip, d(dip) = ω·s, d(trend) = ω·e / cos plunge, d(plunge) = −ω·a and
//! d(rake) = ω·n − ω·d / tan dip (our derivation, tested by turning rigid bodies).
//! A dip passes the vertical into more than a right angle, and a plunge the horizontal, without a jump; a rake is an axis.

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use nalgebra::{Matrix3, Vector3};

use crate::orientation::angle::radians;
use crate::orientation::doubt::Dial;
use crate::orientation::noise::Noise;

/// No step is longer than this, radians: the tangent is a fair picture of the sphere so far.
const STRIDE: f64 = 0.6;
/// Steps taken before giving up on getting closer.
const STEPS: usize = 40;
/// Below this sine of the dip an azimuth says nothing more.
const FLAT: f64 = 0.02;

/// The dials in radians; `None` where one was not read.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Obs {
    pub(super) strike: Option<f64>,
    pub(super) dip: Option<f64>,
    pub(super) toward: Option<f64>,
    pub(super) trend: Option<f64>,
    pub(super) plunge: Option<f64>,
    pub(super) rake: Option<f64>,
}

impl Obs {
    pub(super) fn count(&self) -> usize {
        [
            self.strike,
            self.dip,
            self.toward,
            self.trend,
            self.plunge,
            self.rake,
        ]
        .iter()
        .flatten()
        .count()
    }

    pub(super) fn without(mut self, dial: Dial) -> Self {
        match dial {
            Dial::Strike => self.strike = None,
            Dial::Dip => self.dip = None,
            Dial::Toward => self.toward = None,
            Dial::Trend => self.trend = None,
            Dial::Plunge => self.plunge = None,
            Dial::Rake => self.rake = None,
            _ => {}
        }
        self
    }
}

/// Variances of one set-up, and where azimuths give way to the normal and the line themselves.
#[derive(Clone, Copy, Debug)]
pub(super) struct Weights {
    needle: f64,
    inclination: f64,
    placement: f64,
    rake: f64,
    level_dip: f64,
    steep_plunge: f64,
}

impl Weights {
    pub(super) fn of(noise: &Noise) -> Self {
        // A dial without any deviation of its own would weigh without limit.
        let least = radians(0.01).powi(2);
        Self {
            needle: noise.needle_var().max(least),
            inclination: noise.inclination_var().max(least),
            placement: noise.placement_var(),
            rake: noise.rake_var().max(least),
            level_dip: radians(LEVEL_DIP_DEG),
            steep_plunge: radians(90.0 - LEVEL_DIP_DEG),
        }
    }

    fn inclined(&self) -> f64 {
        (self.inclination + self.placement).sqrt()
    }

    /// Of a nearly upright normal or line, to the side of the azimuth it was read at. Where 00 or 90 leaves the azimuth
    /// open, an error of the inclination lies to the side as well.
    fn along(&self, sine: f64) -> f64 {
        let open = (1.0 - sine / self.level_dip.sin()).max(0.0);
        (self.needle * sine.powi(2) + self.placement + self.inclination * open.powi(2)).sqrt()
    }

    fn azimuth(&self, sine: f64) -> f64 {
        (self.needle + self.placement / sine.max(FLAT).powi(2)).sqrt()
    }
}

/// A plane read flatter than this, and a line read steeper than 90° less this, is compared by its normal, or itself: a normal
/// placed 1.5° off leaves the azimuth of flatter planes good to ±11° or worse, where it is no longer normally distributed.
const LEVEL_DIP_DEG: f64 = 8.0;

/// A plane and a line in it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Frame {
    /// Unit normal of the plane, downward.
    pub(super) n: Vector3<f64>,
    /// Unit vector of the line.
    pub(super) v: Vector3<f64>,
}

impl Frame {
    /// From strike, dip and the rake of the line.
    pub(super) fn from_plane(strike: f64, dip: f64, rake: f64) -> Self {
        let axes = Axes::at(strike, dip);
        let (sr, cr) = rake.sin_cos();
        Self {
            n: axes.n,
            v: axes.s * cr + axes.d * sr,
        }
    }

    fn turned(&self, step: &Vector3<f64>) -> Self {
        let angle = step.norm();
        let (sine, versine) = if angle < 1e-6 {
            (1.0, 0.5)
        } else {
            (angle.sin() / angle, (1.0 - angle.cos()) / (angle * angle))
        };
        let turn = |x: &Vector3<f64>| {
            let across = cross(step, x);
            x + across * sine + cross(step, &across) * versine
        };
        let n = turn(&self.n).normalize();
        let v = turn(&self.v);
        let v = (v - n * dot(&n, &v)).normalize();
        Self { n, v }
    }

    pub(super) fn strike(&self) -> f64 {
        self.n.x.atan2(-self.n.y).rem_euclid(TAU)
    }

    /// Up to π: past the vertical the plane dips to the left of its strike.
    pub(super) fn dip(&self) -> f64 {
        self.n.x.hypot(self.n.y).atan2(self.n.z)
    }

    pub(super) fn trend(&self) -> f64 {
        self.v.y.atan2(self.v.x).rem_euclid(TAU)
    }

    pub(super) fn plunge(&self) -> f64 {
        self.v.z.atan2(self.v.x.hypot(self.v.y))
    }

    /// The strike and the way down the dip; those of a strike to the north where the plane is horizontal.
    fn strike_and_down(&self) -> (Vector3<f64>, Vector3<f64>, f64) {
        let flat = level_length(&self.n);
        let s = if flat < 1e-12 {
            Vector3::x()
        } else {
            Vector3::new(-self.n.y / flat, self.n.x / flat, 0.0)
        };
        (s, cross(&self.n, &s), flat)
    }

    /// From the strike, in [0, π): the line is an axis.
    pub(super) fn rake(&self) -> f64 {
        let (s, d, _) = self.strike_and_down();
        let rake = dot(&self.v, &d).atan2(dot(&self.v, &s)).rem_euclid(PI);
        if rake >= PI { 0.0 } else { rake }
    }
}

/// Strike, way down the dip and normal at an attitude.
struct Axes {
    s: Vector3<f64>,
    d: Vector3<f64>,
    n: Vector3<f64>,
}

impl Axes {
    fn at(strike: f64, dip: f64) -> Self {
        let (ss, cs) = strike.sin_cos();
        let (sd, cd) = dip.sin_cos();
        Self {
            s: Vector3::new(cs, ss, 0.0),
            d: Vector3::new(-ss * cd, cs * cd, sd),
            n: Vector3::new(ss * sd, -cs * sd, cd),
        }
    }
}

/// One dial against the frame: read less predicted, how the prediction turns with the frame, and its deviation.
#[derive(Clone, Copy, Debug)]
pub(super) struct Row {
    pub(super) dial: Dial,
    pub(super) off: f64,
    slope: Vector3<f64>,
    pub(super) sd: f64,
    /// The width of a uniform density as high as that of the dial at no error; one for a mere limit.
    width: f64,
    /// What a degree of the dial is on the sphere, where normals and lines are compared; else one.
    pub(super) stretch: f64,
    /// A dial; else a limit that an unread dial must keep, which adds no freedom.
    pub(super) read: bool,
}

/// All dials against a frame, one place a dial, without the heap.
#[derive(Clone, Copy, Debug)]
pub(super) struct Rows([Option<Row>; 6]);

impl Rows {
    pub(super) fn iter(&self) -> impl Iterator<Item = &Row> {
        self.0.iter().flatten()
    }

    pub(super) fn chi2(&self) -> f64 {
        self.iter().map(|r| (r.off / r.sd).powi(2)).sum()
    }

    /// Squares of these deviations in the weights of another frame nearby.
    fn chi2_weighed_as(&self, other: &Self) -> f64 {
        let mut sum = 0.0;
        for (row, other) in self.0.iter().zip(&other.0) {
            if let Some(row) = row {
                let sd = other.as_ref().map_or(row.sd, |other| other.sd);
                sum += (row.off / sd).powi(2);
            }
        }
        sum
    }

    /// Logarithm of the likelihood of the dials at this frame.
    pub(super) fn log_likelihood(&self) -> f64 {
        let widths: f64 = self.iter().map(|row| row.width).product();
        -widths.ln() - 0.5 * self.chi2()
    }

    fn normal_equations(&self) -> (Symmetric, Vector3<f64>) {
        let mut h = Symmetric::default();
        let mut g = Vector3::zeros();
        for row in self.iter() {
            let weight = 1.0 / (row.sd * row.sd);
            let (x, y, z) = (row.slope.x, row.slope.y, row.slope.z);
            let (wx, wy, wz) = (x * weight, y * weight, z * weight);
            h.xx += wx * x;
            h.xy += wx * y;
            h.xz += wx * z;
            h.yy += wy * y;
            h.yz += wy * z;
            h.zz += wz * z;
            g.x += wx * row.off;
            g.y += wy * row.off;
            g.z += wz * row.off;
        }
        (h, g)
    }

    fn put(&mut self, row: Row) {
        let place = match row.dial {
            Dial::Strike => 0,
            Dial::Dip => 1,
            Dial::Toward => 2,
            Dial::Trend => 3,
            Dial::Plunge => 4,
            _ => 5,
        };
        if let Some(place) = self.0.get_mut(place) {
            *place = Some(row);
        }
    }
}

/// The length of a unit vector's shadow on the level.
fn level_length(x: &Vector3<f64>) -> f64 {
    (x.x * x.x + x.y * x.y).sqrt()
}

/// The shorter way round, in (−π, π].
fn wrap(rad: f64) -> f64 {
    rad - TAU * (rad / TAU).round()
}

/// The shorter way round between axes, in (−π/2, π/2].
fn wrap_axis(rad: f64) -> f64 {
    rad - PI * (rad / PI).round()
}

/// The sine of an inclination read to the whole degree: 00 may be half a degree.
fn least_sine(sine: f64) -> f64 {
    sine.max(radians(0.5).sin())
}

/// Every dial against a frame.
pub(super) fn rows(obs: &Obs, weights: &Weights, frame: &Frame) -> Rows {
    let mut out = Rows([None; 6]);
    let (s, d, flat) = frame.strike_and_down();
    let sine = flat.max(1e-9);
    let inclined = weights.inclined();
    // A wide density is cut off at the whole range.
    let mut put = |dial, off, slope, sd: f64, range: f64, stretch: f64| {
        out.put(Row {
            stretch,
            dial,
            off,
            slope,
            sd,
            width: (sd * TAU.sqrt() / stretch).min(range),
            read: true,
        });
    };
    // Where the normal itself is compared, the strike that was read stands for the strike.
    let level = obs.dip.filter(|dip| *dip < weights.level_dip);
    let azimuth = obs.strike.or(obs.toward.map(|toward| toward - FRAC_PI_2));
    if let (Some(dip), Some(strike)) = (level, azimuth) {
        let at = Axes::at(strike, dip);
        let sine_read = least_sine(dip.sin());
        let along = weights.along(sine_read);
        put(
            Dial::Dip,
            dot(&frame.n, &at.d),
            -cross(&frame.n, &at.d),
            inclined,
            FRAC_PI_2,
            1.0,
        );
        for (dial, strike) in [
            (Dial::Strike, obs.strike),
            (Dial::Toward, obs.toward.map(|toward| toward - FRAC_PI_2)),
        ] {
            if let Some(strike) = strike {
                let at = Axes::at(strike, dip);
                put(
                    dial,
                    -dot(&frame.n, &at.s),
                    cross(&frame.n, &at.s),
                    along,
                    TAU,
                    sine_read,
                );
            }
        }
    } else {
        let azimuth_sd = weights.azimuth(sine);
        let strike_here = frame.n.x.atan2(-frame.n.y);
        let slope = d / sine;
        if let Some(strike) = obs.strike {
            let off = wrap(strike - strike_here);
            put(Dial::Strike, off, slope, azimuth_sd, TAU, 1.0);
        }
        if let Some(toward) = obs.toward {
            let off = wrap(toward - FRAC_PI_2 - strike_here);
            put(Dial::Toward, off, slope, azimuth_sd, TAU, 1.0);
        }
        if let Some(dip) = obs.dip {
            put(
                Dial::Dip,
                dip - flat.atan2(frame.n.z),
                s,
                inclined,
                FRAC_PI_2,
                1.0,
            );
        }
    }
    let flat_line = level_length(&frame.v);
    let a = if flat_line < 1e-12 {
        Vector3::y()
    } else {
        Vector3::new(-frame.v.y / flat_line, frame.v.x / flat_line, 0.0)
    };
    let cosine = flat_line.max(1e-9);
    match (obs.trend, obs.plunge) {
        (Some(trend), Some(plunge)) if plunge.abs() > weights.steep_plunge => {
            let (st, ct) = trend.sin_cos();
            let (sp, cp) = plunge.sin_cos();
            let across = Vector3::new(-st, ct, 0.0);
            let steeper = Vector3::new(-ct * sp, -st * sp, cp);
            let cosine_read = least_sine(cp);
            let sd = weights.along(cosine_read);
            put(
                Dial::Trend,
                -dot(&frame.v, &across),
                cross(&frame.v, &across),
                sd,
                TAU,
                cosine_read,
            );
            put(
                Dial::Plunge,
                -dot(&frame.v, &steeper),
                cross(&frame.v, &steeper),
                inclined,
                FRAC_PI_2,
                1.0,
            );
        }
        (trend, plunge) => {
            if let Some(trend) = trend {
                let e = cross(&frame.v, &a);
                put(
                    Dial::Trend,
                    wrap(trend - frame.v.y.atan2(frame.v.x)),
                    e / cosine,
                    weights.azimuth(cosine),
                    TAU,
                    1.0,
                );
            }
            if let Some(plunge) = plunge {
                put(
                    Dial::Plunge,
                    plunge - frame.v.z.atan2(flat_line),
                    -a,
                    inclined,
                    FRAC_PI_2,
                    1.0,
                );
            }
        }
    }
    if let Some(rake) = obs.rake {
        let sd = weights.rake.sqrt();
        match (level, azimuth) {
            // The strike line that was read, wherever it should have been, is what the rake was counted from.
            (Some(dip), Some(strike)) => {
                let (sine, cosine) = dip.sin_cos();
                let sd = (weights.rake
                    + (weights.placement / sine.max(1e-6).powi(2) + weights.needle)
                        * cosine.powi(2))
                .sqrt();
                let from = Axes::at(strike, dip).s;
                let above = dot(&from, &frame.n);
                let shadow = from - frame.n * above;
                let length = shadow.norm().max(1e-9);
                let from = shadow / length;
                let read = dot(&frame.v, &cross(&frame.n, &from)).atan2(dot(&frame.v, &from));
                let off = wrap_axis(rake - read);
                // Every other time, say, it was counted from the very line that was drawn: then it agrees closely.
                let narrow = weights.rake.sqrt();
                let width = if off.abs() < 2.0 * narrow {
                    2.0 * narrow * TAU.sqrt()
                } else {
                    PI
                };
                put(
                    Dial::Rake,
                    off,
                    frame.n - from * (above / length),
                    sd,
                    width,
                    1.0,
                );
            }
            _ => {
                let read = dot(&frame.v, &d).atan2(dot(&frame.v, &s));
                put(
                    Dial::Rake,
                    wrap_axis(rake - read),
                    frame.n - d * (frame.n.z / sine),
                    sd,
                    PI,
                    1.0,
                );
            }
        }
    }
    // A dip that was not read is not past the vertical, and a trend without a plunge points down.
    let limit = |dial, off, slope| Row {
        dial,
        off,
        slope,
        sd: inclined,
        stretch: 1.0,
        width: 1.0,
        read: false,
    };
    if obs.dip.is_none() && azimuth.is_some() && frame.n.z < 0.0 {
        out.put(limit(Dial::Dip, FRAC_PI_2 - flat.atan2(frame.n.z), s));
    }
    if obs.plunge.is_none() && obs.trend.is_some() && frame.v.z < 0.0 {
        out.put(limit(Dial::Plunge, -frame.v.z.atan2(flat_line), -a));
    }
    out
}

/// The frame that agrees best with the dials, near a start.
#[derive(Clone, Copy, Debug)]
pub(super) struct Fit {
    pub(super) frame: Frame,
    pub(super) rows: Rows,
    /// Covariance of the turn ω, north, east, down, rad².
    pub(super) covariance: Matrix3<f64>,
    /// Logarithm of the determinant of its inverse.
    log_information: f64,
}

impl Fit {
    /// Logarithm of the evidence: the likelihood integrated over all attitudes (Laplace's method about this frame). Strikes and
    /// rakes are all as likely, and so are dips: level beds are as common as upright ones (our assumption), where attitudes
    /// uniform on the sphere would have hardly any.
    pub(super) fn log_evidence(&self) -> f64 {
        // Turns fill 8 π² of rotation (common knowledge of the rotation group), uniform on the sphere.
        let sine = self.frame.n.x.hypot(self.frame.n.y).max(radians(2.0).sin());
        let attitudes = 8.0 * PI * PI * sine * FRAC_PI_2;
        self.rows.log_likelihood() + 1.5 * TAU.ln() - 0.5 * self.log_information - attitudes.ln()
    }

    /// How much of an error in a dial shows in its residual, 0 to 1.
    pub(super) fn redundancy(&self, row: &Row) -> f64 {
        let taken = (self.covariance * row.slope).dot(&row.slope) / (row.sd * row.sd);
        (1.0 - taken).clamp(0.0, 1.0)
    }
}

/// Gauss–Newton from a start until a step is shorter than `still`, radians, or more than `hopeless` is left and hardly shrinks;
/// damped (Levenberg's and Marquardt's way) where a step does not help.
///
/// # Degenerate input
/// Dials that do not fix the frame: none.
pub(super) fn descend(
    obs: &Obs,
    weights: &Weights,
    start: &Frame,
    still: f64,
    hopeless: f64,
) -> Option<Fit> {
    let mut frame = *start;
    let mut here = rows(obs, weights, &frame);
    let mut damping = 0.0;
    for _ in 0..STEPS {
        let (h, g) = here.normal_equations();
        let scale = h.trace();
        if !scale.is_finite() || scale <= 0.0 {
            return None;
        }
        let before = here.chi2();
        let mut settled = false;
        for _ in 0..12 {
            let Some(step) = h.plus(damping * scale).solve(&g) else {
                damping = f64::max(damping * 10.0, 1e-6);
                continue;
            };
            let length = step.norm();
            if length < still {
                settled = true;
                break;
            }
            let step = if length > STRIDE {
                step * (STRIDE / length)
            } else {
                step
            };
            let tried = frame.turned(&step);
            let there = rows(obs, weights, &tried);
            if there.chi2_weighed_as(&here) <= before * (1.0 + 1e-12) + 1e-15 {
                frame = tried;
                here = there;
                damping = if damping < 1e-6 { 0.0 } else { damping / 10.0 };
                break;
            }
            damping = f64::max(damping * 10.0, 1e-4);
        }
        if settled || (here.chi2() > hopeless && here.chi2() > 0.7 * before) {
            break;
        }
    }
    let (h, _) = here.normal_equations();
    let covariance = h.matrix().try_inverse()?;
    // Free to turn by more than a radian or two: the dials do not fix the frame.
    let free = covariance.trace();
    if free.is_nan() || free > FREE {
        return None;
    }
    // No attitude is farther than half a turn, so that no direction is wider than all attitudes.
    let bounded = h.plus(3.0 / (PI * PI));
    Some(Fit {
        frame,
        rows: here,
        covariance,
        log_information: log_determinant(&bounded),
    })
}

/// Of a symmetric matrix, none of whose directions holds less than the bound of all attitudes, however unlike they are.
fn log_determinant(of: &Symmetric) -> f64 {
    let (_, determinant) = of.adjugate();
    let scale = of.trace() / 3.0;
    if determinant > scale * scale * scale * 1e-12 {
        return determinant.ln();
    }
    // Where the azimuth of a level plane is all but free, the determinant is lost in its rounding; one by one they are not.
    let least = 3.0 / (PI * PI);
    of.matrix()
        .symmetric_eigenvalues()
        .iter()
        .map(|&held| held.max(least).ln())
        .sum()
}

/// Variance of a turn beyond which it is free, rad².
const FREE: f64 = 10.0;

/// A symmetric matrix of three.
#[derive(Clone, Copy, Debug, Default)]
struct Symmetric {
    xx: f64,
    xy: f64,
    xz: f64,
    yy: f64,
    yz: f64,
    zz: f64,
}

impl Symmetric {
    fn trace(&self) -> f64 {
        self.xx + self.yy + self.zz
    }

    fn plus(&self, diagonal: f64) -> Self {
        Self {
            xx: self.xx + diagonal,
            yy: self.yy + diagonal,
            zz: self.zz + diagonal,
            ..*self
        }
    }

    /// Its cofactors and its determinant.
    fn adjugate(&self) -> (Self, f64) {
        let cofactors = Self {
            xx: self.yy * self.zz - self.yz * self.yz,
            xy: self.xz * self.yz - self.xy * self.zz,
            xz: self.xy * self.yz - self.xz * self.yy,
            yy: self.xx * self.zz - self.xz * self.xz,
            yz: self.xy * self.xz - self.xx * self.yz,
            zz: self.xx * self.yy - self.xy * self.xy,
        };
        let determinant = self.xx * cofactors.xx + self.xy * cofactors.xy + self.xz * cofactors.xz;
        (cofactors, determinant)
    }

    /// Solves the system by cofactors; none where it is all but singular.
    fn solve(&self, g: &Vector3<f64>) -> Option<Vector3<f64>> {
        let (c, determinant) = self.adjugate();
        let scale = self.trace() / 3.0;
        if determinant.is_nan() || determinant.abs() <= scale * scale * scale * 1e-13 {
            return None;
        }
        let by = 1.0 / determinant;
        Some(Vector3::new(
            (c.xx * g.x + c.xy * g.y + c.xz * g.z) * by,
            (c.xy * g.x + c.yy * g.y + c.yz * g.z) * by,
            (c.xz * g.x + c.yz * g.y + c.zz * g.z) * by,
        ))
    }

    fn matrix(&self) -> Matrix3<f64> {
        Matrix3::new(
            self.xx, self.xy, self.xz, self.xy, self.yy, self.yz, self.xz, self.yz, self.zz,
        )
    }
}

/// The cross product, written out for where it is taken most.
#[inline]
fn cross(a: &Vector3<f64>, b: &Vector3<f64>) -> Vector3<f64> {
    Vector3::new(
        a.y * b.z - a.z * b.y,
        a.z * b.x - a.x * b.z,
        a.x * b.y - a.y * b.x,
    )
}

/// The dot product, written out for where it is taken most.
#[inline]
fn dot(a: &Vector3<f64>, b: &Vector3<f64>) -> f64 {
    a.x * b.x + a.y * b.y + a.z * b.z
}
