//! The net: directions on the sphere to points of a disc of radius 1, and back.

use nalgebra::Vector3;

use super::four::Four;

/// How the net carries the hemisphere onto the disc.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Projection {
    /// Equal areas of the sphere stay equal on the net (Lambert's azimuthal projection).
    #[default]
    EqualArea,
    /// Angles stay true on the net, and circles stay circles (the stereographic projection).
    EqualAngle,
}

/// Which half of the sphere is seen.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Hemisphere {
    /// The lower, as structural geology does (common practice).
    #[default]
    Lower,
    /// The upper.
    Upper,
}

/// How far from the middle a direction falls whose cosine to the middle is given, for one unit of its level part.
fn scale(projection: Projection, cosine: f64) -> f64 {
    match projection {
        // √2 sin(c/2) = sin c / √(1 + cos c), c being the angle from the middle.
        Projection::EqualArea => (1.0 + cosine).sqrt().recip(),
        Projection::EqualAngle => (1.0 + cosine).recip(),
    }
}

/// The places of four axes at once, as columns.
#[inline(always)]
fn four_places(
    projection: Projection,
    middle: Four,
    [north, east, down]: [[f32; 4]; 3],
) -> [[f32; 4]; 2] {
    let plunging = Four::of(down) * middle;
    let along = Four::all(1.0) + plunging.size();
    let scale = plunging.end()
        / match projection {
            Projection::EqualArea => along.root(),
            Projection::EqualAngle => along,
        };
    [
        (Four::of(east) * scale).numbers(),
        (Four::of(north) * scale).numbers(),
    ]
}

impl Projection {
    /// The point of an axis, east and north of the middle; whichever end lies in this half of the sphere is plotted.
    ///
    /// # Degenerate input
    /// A level axis falls on the rim at the end that was given. A vector that is not of unit length is misplaced.
    ///
    /// # References
    /// Snyder, J. P., 1987, Map projections: a working manual, U.S. Geological Survey Professional Paper 1395, pp. 154–163
    /// (stereographic) and 182–190 (Lambert azimuthal equal-area), on a sphere of radius 1/√2 and ½.
    #[must_use]
    pub fn project(self, hemisphere: Hemisphere, axis: &Vector3<f64>) -> (f64, f64) {
        let middle = match hemisphere {
            Hemisphere::Lower => 1.0,
            Hemisphere::Upper => -1.0,
        };
        let end = if axis.z * middle < 0.0 { -1.0 } else { 1.0 };
        let scale = end * scale(self, axis.z.abs());
        (axis.y * scale, axis.x * scale)
    }

    /// The point of a direction in either half of the sphere: beyond the rim if it lies in the other half.
    ///
    /// # Degenerate input
    /// The direction opposite to the middle has no point: not a finite number.
    #[must_use]
    pub fn project_beyond(self, hemisphere: Hemisphere, direction: &Vector3<f64>) -> (f64, f64) {
        let cosine = match hemisphere {
            Hemisphere::Lower => direction.z,
            Hemisphere::Upper => -direction.z,
        };
        let scale = scale(self, cosine);
        (direction.y * scale, direction.x * scale)
    }

    /// The direction of a point, as a unit vector north, east, down; `None` beyond what the projection reaches.
    #[must_use]
    pub fn unproject(
        self,
        hemisphere: Hemisphere,
        (east, north): (f64, f64),
    ) -> Option<Vector3<f64>> {
        let square = east * east + north * north;
        let (level, down) = match self {
            Projection::EqualArea => ((2.0 - square).max(0.0).sqrt(), 1.0 - square),
            Projection::EqualAngle => (2.0 / (1.0 + square), (1.0 - square) / (1.0 + square)),
        };
        let reached = match self {
            Projection::EqualArea => square <= 2.0,
            Projection::EqualAngle => square.is_finite(),
        };
        let down = match hemisphere {
            Hemisphere::Lower => down,
            Hemisphere::Upper => -down,
        };
        reached.then(|| Vector3::new(north * level, east * level, down))
    }

    /// The points of many axes, given and answered as columns of single precision, as a picture takes them: no trigonometry, one
    /// square root and one division an axis. They lie within 2 × 10⁻⁷ of the radius of where [`Projection::project`] has them.
    ///
    /// # Panics
    /// The columns are not of one length.
    pub fn project_columns(
        self,
        hemisphere: Hemisphere,
        [north, east, down]: [&[f32]; 3],
        [x, y]: [&mut [f32]; 2],
    ) {
        let count = north.len();
        assert!(
            east.len() == count && down.len() == count && x.len() == count && y.len() == count,
            "columns of one length"
        );
        let middle = Four::all(match hemisphere {
            Hemisphere::Lower => 1.0,
            Hemisphere::Upper => -1.0,
        });
        let [north, east, down] = [north, east, down].map(Four::split);
        let (x, last_x) = x.as_chunks_mut();
        let (y, last_y) = y.as_chunks_mut();
        // Cut to the one length and counted by hand: at the optimisation that is shipped an iterator's steps are calls.
        let fours = x.len();
        let [norths, easts, downs] = [north.0, east.0, down.0].map(|column| &column[..fours]);
        let y = &mut y[..fours];
        let mut i = 0;
        while i < fours {
            [x[i], y[i]] = four_places(self, middle, [norths[i], easts[i], downs[i]]);
            i += 1;
        }
        if let (Some(north), Some(east), Some(down)) = (north.1, east.1, down.1) {
            let [x, y] = four_places(self, middle, [north, east, down]);
            last_x.copy_from_slice(&x[..last_x.len()]);
            last_y.copy_from_slice(&y[..last_y.len()]);
        }
    }

    /// A great circle from rim to rim in so many equal steps along it, by its normal.
    ///
    /// # Degenerate input
    /// A level plane is the rim itself, all round. No steps: empty.
    #[must_use]
    pub fn great_circle(
        self,
        hemisphere: Hemisphere,
        normal: &Vector3<f64>,
        steps: u32,
    ) -> Vec<(f64, f64)> {
        let level = Vector3::new(-normal.y, normal.x, 0.0);
        let (from, span) = match level.try_normalize(1e-12) {
            Some(along) => (along, std::f64::consts::PI),
            None => (Vector3::x(), std::f64::consts::TAU),
        };
        let across = normal.cross(&from);
        let middle = if hemisphere == Hemisphere::Lower {
            1.0
        } else {
            -1.0
        };
        let across = if across.z * middle < 0.0 {
            -across
        } else {
            across
        };
        (0..=steps)
            .filter(|_| steps > 0)
            .map(|i| {
                let (sin, cos) = (span * f64::from(i) / f64::from(steps)).sin_cos();
                self.project_beyond(hemisphere, &(from * cos + across * sin))
            })
            .collect()
    }

    /// A small circle, cut where it leaves the net: the pieces that are seen, each in order. It stands for axes, so what lies
    /// in the other half of the sphere is plotted at its opposite end.
    ///
    /// # Units
    /// The radius is the angle between the axis and the circle, degrees.
    ///
    /// # Degenerate input
    /// Radius 0: one point, many times. Radius 90°: the great circle. No steps: empty.
    #[must_use]
    pub fn small_circle(
        self,
        hemisphere: Hemisphere,
        axis: &Vector3<f64>,
        radius_deg: f64,
        steps: u32,
    ) -> Vec<Vec<(f64, f64)>> {
        let (sin, cos) = super::angle::radians(radius_deg).sin_cos();
        let one = axis.cross(&if axis.z.abs() < 0.9 {
            Vector3::z()
        } else {
            Vector3::x()
        });
        let one = one.normalize();
        let other = axis.cross(&one);
        let round = (0..=steps).filter(|_| steps > 0).map(|i| {
            let (s, c) = (std::f64::consts::TAU * f64::from(i) / f64::from(steps)).sin_cos();
            axis * cos + (one * c + other * s) * sin
        });
        self.pieces(hemisphere, round)
    }

    /// A path on the sphere, as axes, cut at the rim: the pieces on the net, each ending on the rim where it was cut.
    pub fn pieces(
        self,
        hemisphere: Hemisphere,
        path: impl Iterator<Item = Vector3<f64>>,
    ) -> Vec<Vec<(f64, f64)>> {
        let mut pieces: Vec<Vec<(f64, f64)>> = Vec::new();
        let mut before: Option<Vector3<f64>> = None;
        for v in path {
            if let Some(from) = before
                && from.z * v.z < 0.0
            {
                let rim = (from * v.z - v * from.z).try_normalize(0.0);
                if let Some(rim) = rim.map(|r| Vector3::new(r.x, r.y, 0.0)) {
                    let rim = if rim.dot(&(from + v)) < 0.0 {
                        -rim
                    } else {
                        rim
                    };
                    let seen = |end: &Vector3<f64>| {
                        let turned = (end.z < 0.0) == (hemisphere == Hemisphere::Lower);
                        let (east, north) = (rim.y, rim.x);
                        if turned {
                            (-east, -north)
                        } else {
                            (east, north)
                        }
                    };
                    if let Some(last) = pieces.last_mut() {
                        last.push(seen(&from));
                    }
                    pieces.push(vec![seen(&v)]);
                }
            } else if before.is_none() {
                pieces.push(Vec::new());
            }
            if let Some(last) = pieces.last_mut() {
                last.push(self.project(hemisphere, &v));
            }
            before = Some(v);
        }
        pieces
    }
}
