//! Where the adjustment starts: the frames that three of the dials alone would give, because a dial that is far off can hold
//! it in a false minimum.

use std::f64::consts::{FRAC_PI_2, PI};

use nalgebra::Vector3;

use super::solve::{Fit, Frame, Obs, Rows, Weights, descend, rows};

/// How many frames three of six dials may give, all ways counted.
const MOST: usize = 20;

/// At most so many starts are followed to their minimum.
const FOLLOWED: usize = 3;

/// How far a search goes.
#[derive(Clone, Copy, Debug)]
pub(super) struct Effort {
    /// A step below this is no step, radians.
    still: f64,
    /// A minimum with less than this, and dials to spare, needs no other.
    content: f64,
    /// More than this, hardly shrinking, is not followed to its end: no slip is so rare that it would matter.
    hopeless: f64,
}

impl Effort {
    /// To the last digit, from every start.
    pub(super) const FULL: Self = Self {
        still: 1e-9,
        content: 0.0,
        hopeless: f64::INFINITY,
    };
    /// To tell hypotheses apart: the likelihood is good to a millionth.
    pub(super) const TELLING: Self = Self {
        still: 1e-4,
        content: 6.0,
        hopeless: 120.0,
    };
    /// As telling, for every minimum there is.
    pub(super) const EVERY: Self = Self {
        still: 1e-4,
        content: 0.0,
        hopeless: 120.0,
    };
}

/// Two minima nearer than this are one, radians.
const SAME: f64 = 1e-3;

/// Sine of a plunge within which the lower end of a line may be missed.
const NEARLY_LEVEL: f64 = 0.15;

struct Starts {
    frames: [Option<(Frame, f64)>; MOST],
    len: usize,
}

impl Starts {
    fn push(&mut self, obs: &Obs, weights: &Weights, frame: Frame) {
        if !(frame.n.iter().chain(frame.v.iter())).all(|c| c.is_finite()) {
            return;
        }
        let frame = downward(frame, obs);
        let score = score(&rows(obs, weights, &frame));
        if let Some(place) = self.frames.get_mut(self.len) {
            *place = Some((frame, score));
            self.len += 1;
        }
    }
}

/// The normal down, the line as its plunge was read; a line without a plunge points down.
fn downward(frame: Frame, obs: &Obs) -> Frame {
    let n = if frame.n.z < 0.0 { -frame.n } else { frame.n };
    let up = obs.plunge.is_some_and(|plunge| plunge < 0.0);
    // A nearly level line may have been read at either end: the trend says which way it points.
    let turn = match obs.trend {
        Some(trend) if frame.v.z.abs() < NEARLY_LEVEL => {
            let (st, ct) = trend.sin_cos();
            frame.v.x * ct + frame.v.y * st < 0.0
        }
        _ => (frame.v.z < 0.0) != up,
    };
    Frame {
        n,
        v: if turn { -frame.v } else { frame.v },
    }
}

/// The likelier the lower: what the weights of a frame cost counts too.
fn score(rows: &Rows) -> f64 {
    -rows.log_likelihood()
}

fn asin(sine: f64) -> f64 {
    sine.clamp(-1.0, 1.0).asin()
}

fn collect(obs: &Obs, weights: &Weights) -> Starts {
    let mut starts = Starts {
        frames: [None; MOST],
        len: 0,
    };
    let mut push = |frame: Frame| starts.push(obs, weights, frame);
    // With five dials these already hold every combination of right and wrong ones.
    let few = obs.count() < 5;
    let strikes = [obs.strike, obs.toward.map(|toward| toward - FRAC_PI_2)];
    for strike in strikes.into_iter().flatten() {
        if let Some(dip) = obs.dip {
            if let Some(rake) = obs.rake {
                push(Frame::from_plane(strike, dip, rake));
            }
            if let Some(trend) = obs.trend.filter(|_| few) {
                push(Frame::from_plane(
                    strike,
                    dip,
                    rake_of_trend(strike, dip, trend),
                ));
            }
            if let Some(plunge) = obs.plunge.filter(|_| few) {
                let rake = asin(plunge.sin() / dip.sin().max(1e-9));
                push(Frame::from_plane(strike, dip, rake));
                push(Frame::from_plane(strike, dip, PI - rake));
            }
        }
        if let (Some(trend), Some(plunge)) = (obs.trend, obs.plunge) {
            let v = line(trend, plunge);
            let (ss, cs) = strike.sin_cos();
            let n = Vector3::new(cs, ss, 0.0).cross(&v);
            if let Some(n) = n.try_normalize(1e-6) {
                push(Frame { n, v });
            }
        }
        if let Some(rake) = obs.rake.filter(|_| few) {
            if let Some(trend) = obs.trend {
                let cosine = (trend - strike).tan() / rake.tan();
                push(Frame::from_plane(
                    strike,
                    cosine.clamp(0.0, 1.0).acos(),
                    rake,
                ));
            }
            if let Some(plunge) = obs.plunge {
                let dip = asin((plunge.sin() / rake.sin().max(1e-9)).abs());
                push(Frame::from_plane(strike, dip, rake));
            }
        }
    }
    if let Some(trend) = obs.trend {
        if let Some(plunge) = obs.plunge {
            let v = line(trend, plunge);
            let (st, ct) = trend.sin_cos();
            let a = Vector3::new(-st, ct, 0.0);
            let e = v.cross(&a);
            if let Some(dip) = obs.dip {
                let beta = (dip.cos() / plunge.cos().max(1e-9)).min(1.0);
                let alpha = (1.0 - beta * beta).sqrt();
                push(Frame {
                    n: e * beta + a * alpha,
                    v,
                });
                push(Frame {
                    n: e * beta - a * alpha,
                    v,
                });
            }
            if let Some(rake) = obs.rake {
                let dip = asin((plunge.sin() / rake.sin().max(1e-9)).abs());
                push(at_trend(trend, dip, rake));
            }
        }
        if let (Some(dip), Some(rake), true) = (obs.dip, obs.rake, few) {
            push(at_trend(trend, dip, rake));
        }
    }
    starts
}

fn line(trend: f64, plunge: f64) -> Vector3<f64> {
    let (st, ct) = trend.sin_cos();
    let (sp, cp) = plunge.sin_cos();
    Vector3::new(ct * cp, st * cp, sp)
}

/// The rake in a plane of the line with a trend.
fn rake_of_trend(strike: f64, dip: f64, trend: f64) -> f64 {
    let (sb, cb) = (trend - strike).sin_cos();
    sb.atan2(cb * dip.cos())
}

/// The frame of a dip and a rake whose line has this trend.
fn at_trend(trend: f64, dip: f64, rake: f64) -> Frame {
    let (sr, cr) = rake.sin_cos();
    Frame::from_plane(trend - (sr * dip.cos()).atan2(cr), dip, rake)
}

/// The minima that the likeliest starts lead to, likeliest first, each once.
///
/// # Degenerate input
/// Dials that do not fix the frame: none.
pub(super) fn minima(obs: &Obs, weights: &Weights, effort: Effort) -> [Option<Fit>; FOLLOWED] {
    let mut found: [Option<Fit>; FOLLOWED] = [None; FOLLOWED];
    if obs.count() < 3 {
        return found;
    }
    let spare = obs.count() > 3;
    let mut starts = collect(obs, weights);
    let mut len = 0;
    for _ in 0..FOLLOWED {
        let best = starts
            .frames
            .iter_mut()
            .filter(|place| place.is_some())
            .min_by(|a, b| {
                let score = |place: &Option<(Frame, f64)>| place.map_or(f64::INFINITY, |p| p.1);
                score(a).total_cmp(&score(b))
            });
        let Some((frame, _)) = best.and_then(Option::take) else {
            break;
        };
        let Some(fit) = descend(obs, weights, &frame, effort.still, effort.hopeless) else {
            continue;
        };
        // Starts that would only lead here again are passed over.
        for place in &mut starts.frames {
            if place.is_some_and(|(start, _)| near(&start, &fit.frame, 0.1)) {
                *place = None;
            }
        }
        let known = found.iter().flatten();
        if !known
            .clone()
            .any(|other| near(&other.frame, &fit.frame, SAME))
            && let Some(place) = found.get_mut(len)
        {
            *place = Some(fit);
            len += 1;
        }
        if spare && fit.rows.chi2() < effort.content {
            break;
        }
    }
    found.sort_by(|a, b| {
        let score = |fit: &Option<Fit>| fit.as_ref().map_or(f64::INFINITY, |f| score(&f.rows));
        score(a).total_cmp(&score(b))
    });
    found
}

/// Whether two frames lie within so many radians of each other.
fn near(a: &Frame, b: &Frame, rad: f64) -> bool {
    (a.n - b.n).norm() < rad && (a.v - b.v).norm() < rad
}
