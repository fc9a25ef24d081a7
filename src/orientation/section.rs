//! From readings to sections and maps: thickness, depth, a plane through three places, restoring beds to level.

use nalgebra::Vector3;

use super::angle::{Turn, degrees};
use super::line::Line;
use super::noise::Noise;
use super::plane::Plane;
use super::polarity::Polarity;

/// A value and its standard deviation, in the value's own unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measured {
    /// The value.
    pub value: f64,
    /// Its standard deviation.
    pub sd: f64,
}

/// The thickness of a layer, metres, crossed by a way of this direction and length; the ground may slope as it likes.
///
/// The standard deviation is that of the plane, of the way's direction (both by the set-up's noise) and of its length.
///
/// # Degenerate input
/// A way along the layer: thickness 0 and the deviation that the plane's own gives.
///
/// # References
/// t = |way · pole| (textbook geometry, common practice).
#[must_use]
pub fn thickness_m(plane: &Plane, way: &Line, length: Measured, noise: &Noise) -> Measured {
    let pole = plane.normal();
    let cosine = way.vector().dot(&pole).abs();
    let sine = (1.0 - cosine * cosine).max(0.0).sqrt();
    let turn = super::angle::radians(
        noise
            .pole_sd_deg(plane.dip())
            .hypot(noise.line_sd_deg(way.plunge())),
    );
    Measured {
        value: length.value * cosine,
        sd: (length.sd * cosine).hypot(length.value * sine * turn),
    }
}

/// How deep below a point the layer lies that crops out elsewhere: metres down, below zero when it is above the point.
///
/// The offset leads from the outcrop to the point, metres north, east and down.
///
/// # Degenerate input
/// A vertical layer: `None`.
///
/// # References
/// The vertical through the point cut with the plane (textbook geometry, common practice).
#[must_use]
pub fn depth_m(
    plane: &Plane,
    offset_m: &Vector3<f64>,
    offset_sd_m: f64,
    noise: &Noise,
) -> Option<Measured> {
    let pole = plane.normal();
    if pole.z.abs() < 1e-6 {
        return None;
    }
    let depth = -(pole.x * offset_m.x + pole.y * offset_m.y) / pole.z - offset_m.z;
    // Tilting the plane about its strike or its dip line moves the depth by the reach along each over cos² or cos of the dip.
    let level = Vector3::new(offset_m.x, offset_m.y, 0.0);
    let toward = Vector3::new(plane.down_dip().x, plane.down_dip().y, 0.0);
    let toward = toward.try_normalize(1e-12).unwrap_or_else(Vector3::x);
    let (down, along) = (level.dot(&toward), level.dot(&plane.along_strike()));
    let tilt = super::angle::radians(noise.pole_sd_deg(plane.dip()));
    let by_tilt = (down / pole.z.powi(2)).hypot(along / pole.z) * tilt;
    // A layer of this slope turns every metre of level error into so many of depth.
    let by_place = offset_sd_m / pole.z.abs();
    Some(Measured {
        value: depth,
        sd: by_tilt.hypot(by_place),
    })
}

/// A plane and the standard deviation of its pole.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Through {
    /// The plane.
    pub plane: Plane,
    /// Standard deviation of the pole along its worst direction, degrees.
    pub pole_sd_deg: f64,
}

/// The plane through three places, metres north, east and down from anywhere, each known to so many metres.
///
/// # Degenerate input
/// Places in one line, or closer to one than their deviation lets tell: `None`.
///
/// # References
/// The cross product of two sides (textbook geometry, common practice); the deviation is that of the triangle's least height.
#[must_use]
pub fn through_places(places_m: &[Vector3<f64>; 3], sd_m: f64) -> Option<Through> {
    let [a, b, c] = places_m;
    let (one, other) = (b - a, c - a);
    let normal = one.cross(&other);
    let longest = one.norm().max(other.norm()).max((c - b).norm());
    let height = normal.norm() / longest;
    if !height.is_finite() || height <= 2.0 * sd_m.max(1e-9 * longest) {
        return None;
    }
    // The corner opposite the longest side against that side: √(1 + ½) of one corner's deviation at least.
    let pole_sd_deg = degrees((sd_m * 1.5_f64.sqrt()).atan2(height));
    Some(Through {
        plane: Plane::from_normal(&normal)?,
        pole_sd_deg,
    })
}

/// The turn that lays a bed level: about its strike, by its dip.
///
/// An overturned bed is turned on over the vertical, by 180° less its dip the other way.
#[must_use]
pub fn levelling(bedding: &Plane, overturned: bool) -> (Line, Turn) {
    let strike = Line::new(bedding.strike(), super::angle::Plunge::clamped(0.0));
    let dip = bedding.dip().deg();
    // Clockwise looking along the right-hand strike takes what dips to the right down further: the turn goes the other way.
    let deg = if overturned { 180.0 - dip } else { -dip };
    (strike, Turn::clamped(super::angle::radians(deg)))
}

/// A line as it lay when the bed was level.
#[must_use]
pub fn restored_line(line: &Line, bedding: &Plane, overturned: bool) -> Line {
    let (axis, turn) = levelling(bedding, overturned);
    line.rotated(&axis, turn)
}

/// A plane as it lay when the bed was level.
#[must_use]
pub fn restored_plane(plane: &Plane, bedding: &Plane, overturned: bool) -> Plane {
    let (axis, turn) = levelling(bedding, overturned);
    plane.rotated(&axis, turn)
}

/// A bed as it lies, and which way it youngs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bed {
    /// Its attitude.
    pub plane: Plane,
    /// Which way it youngs today.
    pub tops: Polarity,
}

impl Bed {
    /// It is known to be overturned.
    #[must_use]
    pub fn is_overturned(&self) -> bool {
        self.tops == Polarity::Overturned
    }

    /// The same bed before a younger one was tilted.
    ///
    /// Its top is followed through the turn, so that a bed that is upright today may have been overturned before. Where
    /// nobody could tell the tops, they are not told afterwards either.
    #[must_use]
    pub fn before(&self, younger: &Self) -> Self {
        let plane = restored_plane(&self.plane, &younger.plane, younger.is_overturned());
        let top = self.tops.younging(&self.plane);
        let top = top.map(|top| restored_line(&top, &younger.plane, younger.is_overturned()));
        Self {
            plane,
            tops: match top {
                None => Polarity::Unknown,
                Some(top) if top.vector().dot(&plane.normal()) > 0.0 => Polarity::Overturned,
                Some(_) => Polarity::Upright,
            },
        }
    }
}

/// A line as it lay before two tilts: the younger bed is laid level first, which turns the older one too, then the older.
///
/// # Degenerate input
/// Tops that nobody could tell are taken as upright: the younger bed's today, the older one's before the younger tilt.
#[must_use]
pub fn restored_twice(line: &Line, younger: &Bed, older: &Bed) -> Line {
    let first = restored_line(line, &younger.plane, younger.is_overturned());
    let bed = older.before(younger);
    restored_line(&first, &bed.plane, bed.is_overturned())
}

/// A dip as a section drawn with its heights stretched shows it, degrees: tan δ′ = stretch × tan δ.
///
/// # Degenerate input
/// A vertical dip stays vertical.
#[must_use]
pub fn stretched_dip_deg(dip_deg: f64, stretch: f64) -> f64 {
    if dip_deg >= 90.0 {
        return 90.0;
    }
    degrees((stretch * super::angle::radians(dip_deg).tan()).atan())
}

/// The dip that structure contours of this height step and level spacing give, degrees.
///
/// # Degenerate input
/// No spacing: vertical.
#[must_use]
pub fn dip_of_contours_deg(step_m: f64, spacing_m: f64) -> f64 {
    degrees(step_m.atan2(spacing_m))
}
