//! One set-up at random: a plane and a line in it, and the dials a person would read off them.

use super::plain_fit::Deviations;
use hingeline::orientation::statistics::Random;
use hingeline::orientation::{
    Dip, FrameDials, Line, Noise, Plane, Plunge, Rake, angle::degrees, angle::radians,
    angle::wrap_deg,
};
use nalgebra::{Rotation3, Unit, Vector3};

/// How the hand and the eye are off.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Unsteady {
    /// As the book assumes: needle and inclination 1.0–1.5° each, placement 1.5° on plane and line, the rake by itself; and the
    /// deviations are known to the book.
    AsAssumed,
    /// Every dial by itself 1.0–1.5°, no placement; the book knows nothing of it and takes its defaults.
    DialByDial,
    /// As assumed, but the rake is counted from the strike line as it was found on the rough plane; a test of what is assumed.
    FromTheLineFound,
}

impl Unsteady {
    pub(crate) const ALL: [Self; 3] = [Self::AsAssumed, Self::DialByDial, Self::FromTheLineFound];

    pub(crate) fn name(self) -> &'static str {
        match self {
            Self::AsAssumed => "as-assumed",
            Self::DialByDial => "dial-by-dial",
            Self::FromTheLineFound => "from-the-line-found",
        }
    }

    pub(crate) fn words(self) -> &'static str {
        match self {
            Self::AsAssumed => {
                "needle and inclination 1.0-1.5 deg, placement 1.5 deg, known to the book"
            }
            Self::DialByDial => {
                "every dial by itself 1.0-1.5 deg, no placement, the book takes its defaults"
            }
            Self::FromTheLineFound => {
                "as assumed, but the rake is counted from the strike line as it was found"
            }
        }
    }
}

/// A set-up before any slip.
#[derive(Clone, Debug)]
pub(crate) struct SetUp {
    /// What the book takes its noise to be.
    pub(crate) noise: Noise,
    /// The dials without any noise.
    pub(crate) exact: FrameDials,
    /// The dials as the needle and the scales stood, not yet rounded.
    pub(crate) stood: FrameDials,
}

impl SetUp {
    /// Any attitude alike: the pole uniform on the sphere, the rake uniform.
    pub(crate) fn at_random(random: &mut Random, unsteady: Unsteady) -> Self {
        let strike_deg = 360.0 * random.uniform();
        let dip_deg = degrees((1.0 - random.uniform()).acos());
        let rake_deg = 180.0 * random.uniform();
        Self::at(random, unsteady, strike_deg, dip_deg, rake_deg)
    }

    pub(crate) fn at(
        random: &mut Random,
        unsteady: Unsteady,
        strike_deg: f64,
        dip_deg: f64,
        rake_deg: f64,
    ) -> Self {
        // Made within the bounds of strike, dip and rake.
        let plane = Plane::from_deg(strike_deg, dip_deg.clamp(0.0, 90.0)).unwrap_or_else(|_| {
            unreachable!("strike {strike_deg} and dip {dip_deg} were made in range")
        });
        let rake = Rake::from_deg(rake_deg)
            .unwrap_or_else(|_| unreachable!("rake {rake_deg} was made in range"));
        let line = plane.line_at(rake);
        let (needle, inclination) = match unsteady {
            Unsteady::DialByDial => (0.0, 0.0),
            _ => (1.0 + 0.5 * random.uniform(), 1.0 + 0.5 * random.uniform()),
        };
        let noise = match unsteady {
            Unsteady::DialByDial => Noise::default(),
            _ => Noise::from_deg(needle, inclination, PLACEMENT_DEG, 1.0).unwrap_or_default(),
        };
        let exact = FrameDials {
            strike_deg: Some(strike_deg),
            dip_deg: Some(dip_deg),
            trend_deg: Some(line.trend().deg()),
            plunge_deg: Some(line.plunge().deg()),
            rake_deg: Some(rake_deg),
            ..FrameDials::default()
        };
        let stood = if unsteady == Unsteady::DialByDial {
            let mut off = || random.normal() * (1.0 + 0.5 * random.uniform());
            Stood {
                strike_deg: strike_deg + off(),
                dip_deg: dip_deg + off(),
                trend_deg: line.trend().deg() + off(),
                plunge_deg: line.plunge().deg() + off(),
                rake_deg: rake_deg + off(),
            }
        } else {
            let placed = tilted(random, plane.normal(), PLACEMENT_DEG);
            let placed = Plane::from_normal(&placed).unwrap_or(plane);
            let laid = tilted(random, line.vector(), PLACEMENT_DEG);
            let laid = Line::axis_from_vector(&laid).unwrap_or(line);
            // Whoever counts from the other end of the strike line, because the plane came to dip the other way, says so.
            let turned = placed.along_strike().dot(&plane.along_strike()) < 0.0;
            let rake_deg = match unsteady {
                Unsteady::FromTheLineFound => {
                    let along = line.vector();
                    let found = degrees(
                        along
                            .dot(&placed.down_dip())
                            .atan2(along.dot(&placed.along_strike())),
                    );
                    let sd = inclination.hypot(PLACEMENT_DEG);
                    found + sd * random.normal()
                }
                _ => {
                    let sd = (inclination.powi(2) + 2.0 * PLACEMENT_DEG.powi(2)).sqrt();
                    let found = rake_deg + sd * random.normal();
                    if turned { 180.0 - found } else { found }
                }
            };
            Stood {
                strike_deg: placed.strike().deg() + needle * random.normal(),
                dip_deg: placed.dip().deg() + inclination * random.normal(),
                trend_deg: laid.trend().deg() + needle * random.normal(),
                plunge_deg: laid.plunge().deg() + inclination * random.normal(),
                rake_deg,
            }
        };
        Self {
            noise,
            exact,
            stood: stood.said(),
        }
    }
}

/// Placement on a rough surface: the default of the book.
const PLACEMENT_DEG: f64 = 1.5;

/// Dials that may have passed the end of their scale.
struct Stood {
    strike_deg: f64,
    dip_deg: f64,
    trend_deg: f64,
    plunge_deg: f64,
    rake_deg: f64,
}

impl Stood {
    /// Past the vertical a plane dips the other way, and past the level too; the rake then counts from the other end. A line is
    /// told by its lower end.
    fn said(mut self) -> FrameDials {
        if self.dip_deg > 90.0 {
            self.dip_deg = 180.0 - self.dip_deg;
            self.strike_deg += 180.0;
            self.rake_deg = 180.0 - self.rake_deg;
        } else if self.dip_deg < 0.0 {
            self.dip_deg = -self.dip_deg;
            self.strike_deg += 180.0;
            self.rake_deg = 180.0 - self.rake_deg;
        }
        if self.plunge_deg > 90.0 {
            self.plunge_deg = 180.0 - self.plunge_deg;
            self.trend_deg += 180.0;
        } else if self.plunge_deg < 0.0 {
            self.plunge_deg = -self.plunge_deg;
            self.trend_deg += 180.0;
        }
        FrameDials {
            strike_deg: Some(wrap_deg(self.strike_deg)),
            dip_deg: Some(self.dip_deg),
            trend_deg: Some(wrap_deg(self.trend_deg)),
            plunge_deg: Some(self.plunge_deg),
            rake_deg: Some(self.rake_deg.rem_euclid(180.0)),
            ..FrameDials::default()
        }
    }
}

/// A unit vector tilted alike in every direction, each of two perpendicular ones by this deviation.
fn tilted(random: &mut Random, vector: Vector3<f64>, sd_deg: f64) -> Vector3<f64> {
    let aside = if vector.z.abs() < 0.9 {
        Vector3::z()
    } else {
        Vector3::x()
    };
    let one = vector.cross(&aside).normalize();
    let other = vector.cross(&one);
    let sd = radians(sd_deg);
    let by = one * (sd * random.normal()) + other * (sd * random.normal());
    Unit::try_new(by, 0.0).map_or(vector, |axis| {
        Rotation3::from_axis_angle(&axis, by.norm()) * vector
    })
}

/// To whole degrees, as they are written.
pub(crate) fn rounded(dials: &FrameDials) -> FrameDials {
    let azimuth = |deg: Option<f64>| deg.map(|deg| wrap_deg(deg.round()));
    FrameDials {
        strike_deg: azimuth(dials.strike_deg),
        dip_deg: dials.dip_deg.map(f64::round),
        toward_deg: azimuth(dials.toward_deg),
        trend_deg: azimuth(dials.trend_deg),
        plunge_deg: dials.plunge_deg.map(f64::round),
        rake_deg: dials.rake_deg.map(f64::round),
        side_read: dials.side_read,
    }
}

/// The deviations of the dials at an attitude, degrees.
pub(crate) fn deviations(at: &FrameDials, noise: &Noise) -> Deviations {
    let dip = Dip::from_deg(at.dip_deg.unwrap_or(45.0)).ok();
    let plunge = Plunge::from_deg(at.plunge_deg.unwrap_or(45.0)).ok();
    let strike = dip.map_or(f64::INFINITY, |dip| noise.strike_sd_deg(dip));
    [
        strike,
        noise.dip_sd_deg(),
        strike,
        plunge.map_or(f64::INFINITY, |plunge| noise.trend_sd_deg(plunge)),
        noise.plunge_sd_deg(),
        noise.rake_sd_deg(),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn attitudes_are_uniform_and_the_dials_lie_about_them() {
        let mut random = Random::new(7);
        let (mut shallow, mut count, mut squares) = (0_u32, 0_u32, 0.0);
        for _ in 0..4000 {
            let set_up = SetUp::at_random(&mut random, Unsteady::DialByDial);
            let (dip, stood) = (set_up.exact.dip_deg.unwrap(), set_up.stood.dip_deg.unwrap());
            // Half of all poles lie within 60 degrees of the vertical.
            shallow += u32::from(dip < 60.0);
            if (5.0..85.0).contains(&dip) {
                count += 1;
                squares += (stood - dip).powi(2);
            }
        }
        assert!((1900..2100).contains(&shallow), "{shallow}");
        // The mean square of a deviation that is uniform from 1.0 to 1.5 is 1.583.
        let mean_square = squares / f64::from(count);
        assert!((1.45..1.72).contains(&mean_square), "{mean_square}");
    }

    #[test]
    fn a_dip_past_the_vertical_is_told_from_the_other_side() {
        let stood = Stood {
            strike_deg: 200.0,
            dip_deg: 91.0,
            trend_deg: 10.0,
            plunge_deg: -1.0,
            rake_deg: 170.0,
        };
        let said = stood.said();
        assert_eq!(said.strike_deg, Some(20.0));
        assert_eq!(said.dip_deg, Some(89.0));
        assert_eq!(said.rake_deg, Some(10.0));
        assert_eq!((said.trend_deg, said.plunge_deg), (Some(190.0), Some(1.0)));
    }
}
