//! What results are reckoned from: planes, lines, azimuths, places and ways, each with its name in the book and its spread.

use nalgebra::{Matrix2, Vector3};

use super::spread::{Sources, about};
use crate::geodesy::sighting::{Distance, between};
use crate::orientation::angle::radians;
use crate::orientation::section::Bed;
use crate::orientation::{Azimuth, Line, Noise, Plane, Polarity, plane_mean};

/// The radius that holds 68 of 100 places over the standard deviation along each axis: √(−2 ln 0.32).
pub const RADIUS_68: f64 = 1.509_592_268_4;

/// A height is taken as so many times less sure than the radius of its place (common practice: 1½ to 3 times).
pub const HEIGHT_TIMES: f64 = 1.5;

/// A plane that was read, or the mean of several.
#[derive(Clone, Debug, PartialEq)]
pub struct PlaneIn {
    /// What it is called, as `47·3`.
    pub name: String,
    /// Its attitude, from true north.
    pub plane: Plane,
    /// Where one standard deviation takes its pole, in two directions at a right angle, radians.
    pub spread: [Vector3<f64>; 2],
    /// Which way it youngs.
    pub tops: Polarity,
}

impl PlaneIn {
    /// From the standard deviations of its pole along the strike and down the dip, degrees.
    pub fn new(name: &str, plane: Plane, sds_deg: [f64; 2], tops: Polarity) -> Self {
        Self {
            name: name.to_owned(),
            plane,
            spread: [
                plane.along_strike() * radians(sds_deg[0]),
                plane.down_dip() * radians(sds_deg[1]),
            ],
            tops,
        }
    }

    /// The mean of several, with the larger of the spread that their own deviations give it and that of their scatter.
    ///
    /// # Degenerate input
    /// None, or planes that have no one mean: `None`. One: itself. Tops that disagree are not known.
    pub fn mean(all: &[Self]) -> Option<Self> {
        let [first, rest @ ..] = all else {
            return None;
        };
        if rest.is_empty() {
            return Some(first.clone());
        }
        let planes: Vec<Plane> = all.iter().map(|p| p.plane).collect();
        let plane = plane_mean(&planes, &Noise::default())?.value;
        let (pole, basis) = (plane.normal(), [plane.along_strike(), plane.down_dip()]);
        // A book never holds 2³² readings.
        let count = f64::from(u32::try_from(all.len()).unwrap_or(u32::MAX));
        let (mut read, mut seen) = (Matrix2::zeros(), Matrix2::zeros());
        for one in all {
            for toward in &one.spread {
                read += square([toward.dot(&basis[0]), toward.dot(&basis[1])]);
            }
            let normal = one.plane.normal();
            let along = normal.dot(&pole);
            seen += square(basis.map(|b| normal.dot(&b) / along));
        }
        read /= count * count;
        seen /= count * (count - 1.0);
        // Along the axes of the scatter; few scatter little by chance, so never surer than the readings themselves.
        let eigen = seen.symmetric_eigen();
        let axis = |i: usize| {
            let v = eigen.eigenvectors.column(i);
            let told = (v.transpose() * read * v)[0];
            (basis[0] * v[0] + basis[1] * v[1]) * eigen.eigenvalues[i].max(told).sqrt()
        };
        let tops = rest.iter().all(|p| p.tops == first.tops);
        Some(Self {
            name: format!("mean of {} from {}", all.len(), first.name),
            plane,
            spread: [axis(0), axis(1)],
            tops: if tops { first.tops } else { Polarity::Unknown },
        })
    }

    /// The plane with errors.
    pub(super) fn enter(&self, sources: &mut Sources) -> impl Fn(&[f64]) -> Option<Plane> + use<> {
        let bed = self.enter_bed(sources, Polarity::Upright);
        move |e| bed(e).map(|bed| bed.plane)
    }

    /// The bed with errors: one that an error takes over the vertical keeps its top.
    pub(super) fn enter_bed(
        &self,
        sources: &mut Sources,
        tops: Polarity,
    ) -> impl Fn(&[f64]) -> Option<Bed> + use<> {
        let at = sources.add("plane", &self.name, 2);
        let (plane, spread) = (self.plane, self.spread);
        move |e| {
            if e[at] == 0.0 && e[at + 1] == 0.0 {
                return Some(Bed { plane, tops });
            }
            let normal = plane.normal() + spread[0] * e[at] + spread[1] * e[at + 1];
            let turned = Plane::from_normal(&normal)?;
            let over = turned.normal().dot(&normal) < 0.0;
            let tops = match tops {
                Polarity::Upright if over => Polarity::Overturned,
                Polarity::Overturned if over => Polarity::Upright,
                same => same,
            };
            Some(Bed {
                plane: turned,
                tops,
            })
        }
    }
}

fn square(v: [f64; 2]) -> Matrix2<f64> {
    Matrix2::new(v[0] * v[0], v[0] * v[1], v[0] * v[1], v[1] * v[1])
}

/// A line that was read.
#[derive(Clone, Debug, PartialEq)]
pub struct LineIn {
    /// What it is called, as `47·3`.
    pub name: String,
    /// Its attitude, from true north.
    pub line: Line,
    /// Where one standard deviation takes it, in two directions at a right angle, radians.
    pub spread: [Vector3<f64>; 2],
    /// Which way it points is known, as of a current; else it has two ends alike, and what becomes of it is told downwards.
    pub directed: bool,
}

impl LineIn {
    /// From its standard deviations across it levelly and up and down, degrees; which way it points is known.
    pub fn new(name: &str, line: Line, sds_deg: [f64; 2]) -> Self {
        let [across, down] = about(&line);
        Self {
            name: name.to_owned(),
            line,
            spread: [across * radians(sds_deg[0]), down * radians(sds_deg[1])],
            directed: true,
        }
    }

    /// A line with two ends alike, unless it is directed.
    pub(super) fn pointing(self, directed: bool) -> Self {
        Self { directed, ..self }
    }

    pub(super) fn enter(&self, sources: &mut Sources) -> impl Fn(&[f64]) -> Option<Line> + use<> {
        let at = sources.add("line", &self.name, 2);
        let (line, spread) = (self.line, self.spread);
        move |e| {
            if e[at] == 0.0 && e[at + 1] == 0.0 {
                return Some(line);
            }
            Line::from_vector(&(line.vector() + spread[0] * e[at] + spread[1] * e[at + 1]))
        }
    }
}

/// A plane or a line.
#[derive(Clone, Debug, PartialEq)]
pub enum EitherIn {
    /// A plane.
    Plane(PlaneIn),
    /// A line.
    Line(LineIn),
}

impl EitherIn {
    /// What it is called.
    pub fn name(&self) -> &str {
        match self {
            Self::Plane(plane) => &plane.name,
            Self::Line(line) => &line.name,
        }
    }
}

/// The way a section runs.
#[derive(Clone, Debug, PartialEq)]
pub struct AzimuthIn {
    /// What it is called; `the section` where it was typed.
    pub name: String,
    /// From true north.
    pub azimuth: Azimuth,
    /// Its standard deviation, degrees; 0 where it was typed.
    pub sd_deg: f64,
}

/// A station as a place.
#[derive(Clone, Debug, PartialEq)]
pub struct PlaceIn {
    /// What it is called, as `station 47`.
    pub name: String,
    /// North positive, degrees on WGS 84.
    pub latitude_deg: f64,
    /// East positive, degrees.
    pub longitude_deg: f64,
    /// Above the ellipsoid, metres.
    pub height_m: f64,
    /// Radius that holds the place 68 times in 100, metres.
    pub radius_m: Option<f64>,
    /// Standard deviation of the height, metres; `None`: [`HEIGHT_TIMES`] the radius.
    pub height_sd_m: Option<f64>,
}

impl PlaceIn {
    /// Its standard deviations north, east and down, metres.
    fn sds_m(&self) -> Option<[f64; 3]> {
        let level = self.radius_m? / RADIUS_68;
        let height = self
            .height_sd_m
            .or(self.radius_m.map(|r| HEIGHT_TIMES * r))?;
        Some([level, level, height])
    }

    fn enter(&self, sources: &mut Sources) -> (usize, [f64; 3]) {
        let sds = self.sds_m();
        if sds.is_none() {
            sources.not_told(format!("{} has a place without a ±", self.name));
        }
        (sources.add("place", &self.name, 3), sds.unwrap_or_default())
    }
}

/// A way with errors: metres north, east and down.
pub(super) type Way = Box<dyn Fn(&[f64]) -> Vector3<f64>>;

/// The way from one place to another.
#[derive(Clone, Debug, PartialEq)]
pub enum WayIn {
    /// Between the positions of two stations.
    Places(PlaceIn, PlaceIn),
    /// As it was sighted.
    Sighted {
        /// What the sighting is called.
        name: String,
        /// From true north.
        bearing: Azimuth,
        /// Its standard deviation, degrees.
        bearing_sd_deg: f64,
        /// Above the horizontal positive, degrees.
        vertical_deg: f64,
        /// Its standard deviation, degrees.
        vertical_sd_deg: f64,
        /// How far it is.
        distance: Distance,
        /// Its standard deviation, metres; `None` where nobody gave one.
        distance_sd_m: Option<f64>,
        /// It was sighted from the other end.
        back: bool,
    },
}

impl WayIn {
    /// The way as a vector, metres north, east and down, with errors.
    pub(super) fn enter(&self, sources: &mut Sources) -> Option<Way> {
        match self {
            Self::Places(from, to) => {
                let base = offset_m(from, to)?;
                let [from, to] = [from, to].map(|place| place.enter(sources));
                let off = |(at, sds): (usize, [f64; 3]), e: &[f64]| {
                    Vector3::new(sds[0] * e[at], sds[1] * e[at + 1], sds[2] * e[at + 2])
                };
                Some(Box::new(move |e| base + off(to, e) - off(from, e)))
            }
            Self::Sighted {
                name,
                bearing,
                bearing_sd_deg,
                vertical_deg,
                vertical_sd_deg,
                distance,
                distance_sd_m,
                back,
            } => {
                if distance_sd_m.is_none() {
                    sources.not_told(format!("{name} has a distance without a ±"));
                }
                let at = sources.add("sighting", name, 3);
                let (bearing, vertical) = (bearing.rad(), radians(*vertical_deg));
                let [by_bearing, by_vertical] =
                    [bearing_sd_deg, vertical_sd_deg].map(|d| radians(*d));
                let (distance, by_distance) = (*distance, distance_sd_m.unwrap_or_default());
                let sign = if *back { -1.0 } else { 1.0 };
                Some(Box::new(move |e| {
                    let (sb, cb) = (bearing + by_bearing * e[at]).sin_cos();
                    let vertical = vertical + by_vertical * e[at + 1];
                    let longer = by_distance * e[at + 2];
                    let (level, rise) = match distance {
                        Distance::Slope(m) => {
                            ((m + longer) * vertical.cos(), (m + longer) * vertical.sin())
                        }
                        Distance::Level(m) => (m + longer, (m + longer) * vertical.tan()),
                    };
                    Vector3::new(level * cb, level * sb, -rise) * sign
                }))
            }
        }
    }
}

/// From one place to another, metres north, east and down: the geodesic between them, on the plane that touches its start.
fn offset_m(from: &PlaceIn, to: &PlaceIn) -> Option<Vector3<f64>> {
    let way = between(
        [from.latitude_deg, from.longitude_deg],
        [to.latitude_deg, to.longitude_deg],
    )
    .ok()?;
    let (sin, cos) = way
        .there
        .map_or((0.0, 1.0), |b| b.azimuth().rad().sin_cos());
    Some(Vector3::new(
        way.level_m * cos,
        way.level_m * sin,
        from.height_m - to.height_m,
    ))
}
