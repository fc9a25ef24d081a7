//! The plain way to the same least squares, to hold the adjustment against: dense matrices, numeric slopes, no thought given to
//! the frame. It shares nothing with `orientation/adjustment` but the numbers read.

use hingeline::orientation::{FrameDials, angle::degrees, angle::radians};
use nalgebra::{DMatrix, DVector, Matrix3, Rotation3, Vector3};

/// Standard deviations in the order of [`dials`], degrees.
pub(crate) type Deviations = [f64; 6];

/// Strike, dip, dip direction, trend, plunge, rake.
pub(crate) fn dials(dials: &FrameDials) -> [Option<f64>; 6] {
    [
        dials.strike_deg,
        dials.dip_deg,
        dials.toward_deg,
        dials.trend_deg,
        dials.plunge_deg,
        dials.rake_deg,
    ]
}

/// A plane and a line in it: the columns are the line, the normal × the line, and the normal.
pub(crate) type Frame = Matrix3<f64>;

/// The frame of a right-hand strike, a dip and a rake, degrees.
pub(crate) fn frame(strike_deg: f64, dip_deg: f64, rake_deg: f64) -> Frame {
    let (ss, cs) = radians(strike_deg).sin_cos();
    let (sd, cd) = radians(dip_deg).sin_cos();
    let (sr, cr) = radians(rake_deg).sin_cos();
    let along = Vector3::new(cs, ss, 0.0);
    let down = Vector3::new(-ss * cd, cs * cd, sd);
    let normal = Vector3::new(ss * sd, -cs * sd, cd);
    let line = along * cr + down * sr;
    Matrix3::from_columns(&[line, normal.cross(&line), normal])
}

/// The shorter way from `b` to `a` on a circle of so many degrees.
fn apart(a: f64, b: f64, circle: f64) -> f64 {
    let turned = (a - b).rem_euclid(circle);
    if turned > circle / 2.0 {
        turned - circle
    } else {
        turned
    }
}

/// Residuals over their deviations, for the ends of normal and line that agree better with what was read.
fn residuals(frame: &Frame, read: &[Option<f64>; 6], sds: &Deviations) -> DVector<f64> {
    let mut best: Option<DVector<f64>> = None;
    for normal_sign in [1.0, -1.0] {
        for line_sign in [1.0, -1.0] {
            let normal = frame.column(2) * normal_sign;
            let line = frame.column(0) * line_sign;
            let strike = normal.x.atan2(-normal.y);
            let along = Vector3::new(strike.cos(), strike.sin(), 0.0);
            let down = normal.cross(&along);
            let told = [
                degrees(strike),
                degrees(normal.z.clamp(-1.0, 1.0).acos()),
                degrees(strike) + 90.0,
                degrees(line.y.atan2(line.x)),
                degrees(line.z.clamp(-1.0, 1.0).asin()),
                degrees(line.dot(&down).atan2(line.dot(&along))),
            ];
            let circles = [360.0, 360.0, 360.0, 360.0, 360.0, 180.0];
            let off: Vec<f64> = (0..6)
                .filter_map(|i| {
                    let read = read.get(i).copied().flatten()?;
                    Some(apart(read, *told.get(i)?, *circles.get(i)?) / sds.get(i)?)
                })
                .collect();
            let off = DVector::from_vec(off);
            if best
                .as_ref()
                .is_none_or(|best| off.norm_squared() < best.norm_squared())
            {
                best = Some(off);
            }
        }
    }
    best.unwrap_or_else(|| DVector::zeros(0))
}

fn turned(frame: &Frame, by: &Vector3<f64>) -> Frame {
    Rotation3::new(*by).matrix() * frame
}

/// The sum of the squared residuals at a frame.
pub(crate) fn sum(frame: &Frame, read: &[Option<f64>; 6], sds: &Deviations) -> f64 {
    residuals(frame, read, sds).norm_squared()
}

/// Least squares from one start: the sum of the squared residuals at the end.
pub(crate) fn from_start(start: &Frame, read: &[Option<f64>; 6], sds: &Deviations) -> f64 {
    const SLOPE: f64 = 1e-6;
    let mut frame = *start;
    let mut off = residuals(&frame, read, sds);
    for _ in 0..50 {
        let mut slopes = DMatrix::zeros(off.len(), 3);
        for axis in 0..3 {
            let mut push = Vector3::zeros();
            push[axis] = SLOPE;
            let ahead = residuals(&turned(&frame, &push), read, sds);
            let behind = residuals(&turned(&frame, &-push), read, sds);
            slopes.set_column(axis, &((ahead - behind) / (2.0 * SLOPE)));
        }
        let Ok(step) = slopes.svd(true, true).solve(&-&off, 1e-12) else {
            break;
        };
        let mut step = Vector3::new(step[0], step[1], step[2]);
        let mut better = None;
        for _ in 0..12 {
            let next = turned(&frame, &step);
            let next_off = residuals(&next, read, sds);
            if next_off.norm_squared() <= off.norm_squared() {
                better = Some((next, next_off));
                break;
            }
            step *= 0.5;
        }
        let Some((next, next_off)) = better else {
            break;
        };
        frame = next;
        off = next_off;
        if step.norm() < 1e-9 {
            break;
        }
    }
    off.norm_squared()
}

/// Least squares from several starts: the smallest sum.
pub(crate) fn smallest(starts: &[Frame], read: &[Option<f64>; 6], sds: &Deviations) -> f64 {
    starts
        .iter()
        .map(|start| from_start(start, read, sds))
        .fold(f64::INFINITY, f64::min)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dials_of_a_frame_fit_it_and_a_turned_dial_does_not() {
        let sds = [2.0, 1.8, 2.0, 2.0, 1.8, 2.3];
        let start = frame(60.0, 40.0, 70.0);
        // From the same frame by hand: sin plunge = sin 40 sin 70, and the trend by the shadow of the line.
        let plunge = degrees((radians(40.0).sin() * radians(70.0).sin()).asin());
        let trend =
            60.0 + degrees((radians(70.0).sin() * radians(40.0).cos()).atan2(radians(70.0).cos()));
        let mut read = [
            Some(60.0),
            Some(40.0),
            None,
            Some(trend),
            Some(plunge),
            Some(70.0),
        ];
        assert!(from_start(&start, &read, &sds) < 1e-18);
        assert!(smallest(&[frame(20.0, 70.0, 120.0)], &read, &sds) < 1e-12);
        read[3] = Some(trend + 180.0);
        assert!(smallest(&[start, frame(240.0, 40.0, 70.0)], &read, &sds) > 20.0);
    }
}
