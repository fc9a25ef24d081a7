//! Planes: right-hand strike and dip, their poles, what lies in them and where they meet.

use std::f64::consts::PI;

use nalgebra::Vector3;

use super::angle::{Angle, Azimuth, Dip, Error, Plunge, Rake, Turn};
use super::line::{LEVEL, Line, axis_angle_between, rotation};

/// An attitude: facing along the strike, the plane dips to the right.
///
/// # Degenerate input
/// A horizontal plane keeps the strike it was given, without meaning; a vertical plane has either strike end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Plane {
    strike: Azimuth,
    dip: Dip,
}

impl Plane {
    /// From the right-hand strike and the dip.
    #[must_use]
    pub fn new(strike: Azimuth, dip: Dip) -> Self {
        Self { strike, dip }
    }

    /// From the right-hand strike (0 to 360) and the dip (0 to 90) in degrees.
    ///
    /// # Errors
    /// One of the two is beyond its limit or not a number.
    pub fn from_deg(strike_deg: f64, dip_deg: f64) -> Result<Self, Error> {
        Ok(Self::new(
            Azimuth::from_deg(strike_deg)?,
            Dip::from_deg(dip_deg)?,
        ))
    }

    /// From the azimuth it dips towards and the dip.
    #[must_use]
    pub fn from_dip_direction(toward: Azimuth, dip: Dip) -> Self {
        Self::new(toward.left(), dip)
    }

    /// From a normal (north, east, down) of any length, either way up.
    ///
    /// # Degenerate input
    /// No length, or not a number: none. Horizontal plane: strike 000. Vertical plane: the strike end in [000, 180).
    #[must_use]
    pub fn from_normal(normal: &Vector3<f64>) -> Option<Self> {
        let pole = Line::axis_from_vector(normal)?;
        let mut strike = pole.trend().right();
        if pole.plunge().rad() > PI / 2.0 - LEVEL {
            strike = Azimuth::wrapped(0.0);
        } else if pole.plunge().rad() < LEVEL && strike.rad() >= PI {
            strike = strike.opposite();
        }
        Some(Self::new(
            strike,
            Dip::clamped(PI / 2.0 - pole.plunge().rad()),
        ))
    }

    /// The plane that holds two lines.
    ///
    /// # Degenerate input
    /// The same axis twice (also pointing opposite ways): none.
    #[must_use]
    pub fn through(a: &Line, b: &Line) -> Option<Self> {
        let normal = a.vector().cross(&b.vector());
        if normal.norm() < LEVEL {
            return None;
        }
        Self::from_normal(&normal)
    }

    /// The true attitude from two apparent dips, each a line down the trace of the plane on a cut.
    ///
    /// # Degenerate input
    /// Twice the same trace, or opposite ends of one: none.
    #[must_use]
    pub fn from_apparent_dips(a: &Line, b: &Line) -> Option<Self> {
        Self::through(a, b)
    }

    /// The true attitude from either strike end and one apparent dip.
    ///
    /// # Degenerate input
    /// A level trace along the strike says nothing about the dip: none. A sloping one along the strike: vertical.
    #[must_use]
    pub fn from_apparent_dip(strike: Azimuth, apparent: &Line) -> Option<Self> {
        Self::through(&Line::new(strike, Plunge::clamped(0.0)), apparent)
    }

    /// The right-hand strike.
    #[must_use]
    pub fn strike(&self) -> Azimuth {
        self.strike
    }

    /// The dip.
    #[must_use]
    pub fn dip(&self) -> Dip {
        self.dip
    }

    /// The azimuth it dips towards: strike + 90°.
    #[must_use]
    pub fn dip_direction(&self) -> Azimuth {
        self.strike.right()
    }

    /// Its downward normal as a line: trend strike − 90°, plunge 90° − dip.
    #[must_use]
    pub fn pole(&self) -> Line {
        Line::new(
            self.strike.left(),
            Plunge::clamped(PI / 2.0 - self.dip.rad()),
        )
    }

    /// Its downward unit normal: north, east, down.
    #[must_use]
    pub fn normal(&self) -> Vector3<f64> {
        let (ss, cs) = self.strike.rad().sin_cos();
        let (sd, cd) = self.dip.rad().sin_cos();
        Vector3::new(ss * sd, -cs * sd, cd)
    }

    /// The unit vector along the right-hand strike.
    #[must_use]
    pub fn along_strike(&self) -> Vector3<f64> {
        let (ss, cs) = self.strike.rad().sin_cos();
        Vector3::new(cs, ss, 0.0)
    }

    /// The unit vector straight down the dip.
    #[must_use]
    pub fn down_dip(&self) -> Vector3<f64> {
        let (ss, cs) = self.strike.rad().sin_cos();
        let (sd, cd) = self.dip.rad().sin_cos();
        Vector3::new(-ss * cd, cs * cd, sd)
    }

    /// The same strike line and dip, dipping to the other side.
    #[must_use]
    pub fn other_side(&self) -> Self {
        Self::new(self.strike.opposite(), self.dip)
    }

    /// The acute angle between two planes, [0°, 90°].
    #[must_use]
    pub fn angle(&self, other: &Self) -> Angle {
        axis_angle_between(&self.normal(), &other.normal())
    }

    /// The acute angle between a line and this plane, [0°, 90°]; 0° for a line in it.
    #[must_use]
    pub fn angle_to_line(&self, line: &Line) -> Angle {
        Angle::clamped(PI / 2.0 - axis_angle_between(&self.normal(), &line.vector()).rad())
    }

    /// The line in which two planes meet, as an axis.
    ///
    /// # Degenerate input
    /// Parallel planes: none.
    #[must_use]
    pub fn intersection(&self, other: &Self) -> Option<Line> {
        let along = self.normal().cross(&other.normal());
        if along.norm() < LEVEL {
            return None;
        }
        Line::axis_from_vector(&along)
    }

    /// The line in this plane at a rake from its right-hand strike end, as an axis.
    ///
    /// # Degenerate input
    /// Horizontal plane: counted from the strike that was given.
    #[must_use]
    pub fn line_at(&self, rake: Rake) -> Line {
        let (sr, cr) = rake.rad().sin_cos();
        let along = self.along_strike() * cr + self.down_dip() * sr;
        let line = Line::from_vector(&along)
            .unwrap_or_else(|| Line::new(self.strike, Plunge::clamped(0.0)));
        if line.plunge().rad() < LEVEL {
            Line::new(line.trend(), Plunge::clamped(line.plunge().rad().max(0.0)))
        } else {
            line
        }
    }

    /// The rake of a line, or of its shadow on this plane along the normal, from the right-hand strike end.
    ///
    /// # Degenerate input
    /// A line along the normal: none. Along the strike: 0° at the right-hand end, 180° at the other.
    #[must_use]
    pub fn rake_of(&self, line: &Line) -> Option<Rake> {
        let v = line.vector();
        let (along, down) = (v.dot(&self.along_strike()), v.dot(&self.down_dip()));
        if along.hypot(down) < LEVEL {
            return None;
        }
        let (along, down) = if down < -LEVEL {
            (-along, -down)
        } else {
            (along, down.max(0.0))
        };
        Some(Rake::clamped(down.atan2(along)))
    }

    /// The slope of this plane on an upright cut towards an azimuth: down positive.
    ///
    /// # Degenerate input
    /// Vertical plane: 90° on either side of it, but 0° along its strike.
    #[must_use]
    pub fn apparent_dip(&self, toward: Azimuth) -> Plunge {
        let (sd, cd) = self.dip.rad().sin_cos();
        let across = (toward.rad() - self.strike.rad()).sin() * sd;
        let across = match across {
            along if along.abs() < LEVEL => 0.0,
            // It neither falls nor rises on the cut: it stands.
            across if self.dip.deg() == 90.0 => across.abs(),
            across => across,
        };
        Plunge::clamped(across.atan2(cd))
    }

    /// Turned about an axis, clockwise looking along the axis (down it, where it plunges).
    #[must_use]
    pub fn rotated(&self, axis: &Line, turn: Turn) -> Self {
        Self::from_normal(&(rotation(axis, turn) * self.normal())).unwrap_or(*self)
    }
}
