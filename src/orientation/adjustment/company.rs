//! Planes and lines that stand together, adjusted so that they do: the limbs, hinge and axial plane of a fold, two fractures
//! with their slip lines, and the angle between two of them.
//!
//! Every member is a unit vector with two tangent errors. The conditions (the hinge lies in each limb and in the axial plane, a
//! slip line in its fracture) hold exactly: least squares with Lagrange's multipliers, by Newton's steps.

use std::f64::consts::{PI, TAU};

use nalgebra::{SMatrix, SVector, Vector3};

use super::diagnosis::{DOUBTED, GRAVE, MOST, SHOWN};
use super::slips::Context;
use super::undo::total;
use crate::orientation::angle::{Azimuth, Dip, Plunge, degrees, padded, radians, wrap_deg};
use crate::orientation::doubt::Dial;
use crate::orientation::line::Line;
use crate::orientation::noise::Noise;
use crate::orientation::plane::Plane;
use crate::orientation::wind::{Winds, wind};

/// A fold as read; `None` for a member that was not.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct FoldDials {
    /// One limb.
    pub limb_a: Option<Plane>,
    /// The other limb.
    pub limb_b: Option<Plane>,
    /// The hinge: it lies in both limbs and in the axial plane.
    pub hinge: Option<Line>,
    /// The axial plane.
    pub axial_plane: Option<Plane>,
    /// The angle between the limbs, or its supplement: the gauge gives either, degrees.
    pub interlimb_deg: Option<f64>,
}

/// Two fractures as read; `None` for a member that was not.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct FractureDials {
    /// One fracture.
    pub plane_a: Option<Plane>,
    /// The other fracture.
    pub plane_b: Option<Plane>,
    /// The angle between them, or its supplement, degrees.
    pub dihedral_deg: Option<f64>,
    /// A slip line in the one.
    pub slip_a: Option<Line>,
    /// A slip line in the other.
    pub slip_b: Option<Line>,
}

/// A member of a company; its name in a sentence is its display.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Member {
    /// One limb of a fold.
    LimbA,
    /// The other limb.
    LimbB,
    /// The hinge.
    Hinge,
    /// The axial plane.
    AxialPlane,
    /// The angle between the limbs.
    Interlimb,
    /// One fracture.
    PlaneA,
    /// The other fracture.
    PlaneB,
    /// The slip line in the first fracture.
    SlipA,
    /// The slip line in the second fracture.
    SlipB,
    /// The angle between the fractures.
    Dihedral,
}

impl std::fmt::Display for Member {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            Self::LimbA => "the first limb",
            Self::LimbB => "the second limb",
            Self::Hinge => "the hinge",
            Self::AxialPlane => "the axial plane",
            Self::Interlimb => "the angle between the limbs",
            Self::PlaneA => "the first fracture",
            Self::PlaneB => "the second fracture",
            Self::SlipA => "the slip line on the first fracture",
            Self::SlipB => "the slip line on the second fracture",
            Self::Dihedral => "the angle between the fractures",
        })
    }
}

/// What a member is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Stand {
    /// A plane.
    Plane(Plane),
    /// A line.
    Line(Line),
    /// An angle, degrees.
    Angle(f64),
}

/// A member as read and as the company has it.
///
/// # Units
/// Degrees.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MemberResidual {
    /// The member.
    pub member: Member,
    /// As read.
    pub read: Stand,
    /// As adjusted.
    pub adjusted: Stand,
    /// The angle between the two.
    pub off_deg: f64,
    /// The standard deviation of one direction of it, as read.
    pub sd_deg: f64,
    /// How many standard deviations it is off.
    pub ratio: f64,
}

/// One way in which members came to disagree.
#[derive(Clone, Debug, PartialEq)]
pub struct CompanyExplanation {
    /// The member that is wrong.
    pub member: Member,
    /// A plain sentence without its full stop.
    pub words: String,
    /// Probability among all hypotheses, 0 to 1.
    pub odds: f64,
    /// The member without the slip.
    pub corrected: Stand,
    /// The dials to set, the strike at its right-hand end; none where only a new reading helps.
    pub sets: Vec<(Dial, String)>,
    /// What is left of χ² then.
    pub chi2: f64,
}

/// A company adjusted, and what explains that it does not agree.
#[derive(Clone, Debug, PartialEq)]
pub struct Company {
    /// Every member that was read.
    pub residuals: Vec<MemberResidual>,
    /// The members that were not read and follow from the others: a hinge.
    pub derived: Vec<(Member, Stand)>,
    /// Sum of the squared residuals, each against its standard deviation.
    pub chi2: f64,
    /// Degrees of freedom.
    pub dof: usize,
    /// Some slip is more probable than none.
    pub doubted: bool,
    /// Probability that there is no slip, 0 to 1.
    pub as_read_odds: f64,
    /// At most three explanations, likeliest first.
    pub explanations: Vec<CompanyExplanation>,
}

/// Adjusts a fold: hinge in both limbs and in the axial plane, limbs at the angle that was read.
///
/// # Degenerate input
/// Members that cannot contradict each other (two limbs alone): none.
#[must_use]
pub fn adjust_fold(dials: &FoldDials, context: &Context<'_>) -> Option<Company> {
    let planes = [dials.limb_a, dials.limb_b, dials.axial_plane];
    // Without a hinge the planes share one all the same, once there are three of them.
    let shared = dials.hinge.is_some() || planes.iter().flatten().count() == 3;
    let link = |plane: Option<Plane>, at: usize| (plane.is_some() && shared).then_some((at, 2));
    Gathering {
        names: [
            Member::LimbA,
            Member::LimbB,
            Member::Hinge,
            Member::AxialPlane,
        ],
        read: [
            dials.limb_a.map(Stand::Plane),
            dials.limb_b.map(Stand::Plane),
            dials.hinge.map(Stand::Line),
            dials.axial_plane.map(Stand::Plane),
        ],
        open: [false, false, shared && dials.hinge.is_none(), false],
        links: [
            link(dials.limb_a, 0),
            link(dials.limb_b, 1),
            link(dials.axial_plane, 3),
        ],
        between: Member::Interlimb,
        angle_deg: dials
            .interlimb_deg
            .filter(|_| dials.limb_a.is_some() && dials.limb_b.is_some()),
    }
    .judge(context)
}

/// Adjusts two fractures: each slip line in its fracture, the fractures at the angle that was read.
///
/// # Degenerate input
/// Members that cannot contradict each other (two fractures alone): none.
#[must_use]
pub fn adjust_fractures(dials: &FractureDials, context: &Context<'_>) -> Option<Company> {
    let both = |a: bool, b: bool, link: (usize, usize)| (a && b).then_some(link);
    Gathering {
        names: [Member::PlaneA, Member::PlaneB, Member::SlipA, Member::SlipB],
        read: [
            dials.plane_a.map(Stand::Plane),
            dials.plane_b.map(Stand::Plane),
            dials.slip_a.map(Stand::Line),
            dials.slip_b.map(Stand::Line),
        ],
        open: [false; 4],
        links: [
            both(dials.plane_a.is_some(), dials.slip_a.is_some(), (0, 2)),
            both(dials.plane_b.is_some(), dials.slip_b.is_some(), (1, 3)),
            None,
        ],
        between: Member::Dihedral,
        angle_deg: dials
            .dihedral_deg
            .filter(|_| dials.plane_a.is_some() && dials.plane_b.is_some()),
    }
    .judge(context)
}

/// Four vectors of two tangent errors each, and three conditions.
const SIZE: usize = 11;

#[derive(Clone, Copy, Debug)]
struct Gathering {
    names: [Member; 4],
    read: [Option<Stand>; 4],
    /// Follows from the others.
    open: [bool; 4],
    /// Members at a right angle: the normal of a plane and a line in it.
    links: [Option<(usize, usize)>; 3],
    between: Member,
    /// Between the first two.
    angle_deg: Option<f64>,
}

/// A member's vector as read with the two directions of its errors.
#[derive(Clone, Copy, Debug)]
struct Sight {
    at: Vector3<f64>,
    aside: Vector3<f64>,
    steeper: Vector3<f64>,
    aside_sd: f64,
    steeper_sd: f64,
}

impl Sight {
    fn of(stand: &Stand, noise: &Noise) -> Option<Self> {
        let inclined = (noise.inclination_var() + noise.placement_var()).sqrt();
        let across = |flat: f64| (noise.needle_var() * flat.powi(2) + noise.placement_var()).sqrt();
        match stand {
            Stand::Plane(plane) => Some(Self {
                at: plane.normal(),
                aside: plane.along_strike(),
                steeper: plane.down_dip(),
                aside_sd: across(plane.dip().rad().sin()).max(LEAST_SD),
                steeper_sd: inclined.max(LEAST_SD),
            }),
            Stand::Line(line) => {
                let at = line.vector();
                let (st, ct) = line.trend().rad().sin_cos();
                let aside = Vector3::new(-st, ct, 0.0);
                Some(Self {
                    at,
                    aside,
                    steeper: at.cross(&aside),
                    aside_sd: across(line.plunge().rad().cos()).max(LEAST_SD),
                    steeper_sd: inclined.max(LEAST_SD),
                })
            }
            Stand::Angle(_) => None,
        }
    }

    /// Read less adjusted, in the two directions; planes and lines are axes.
    fn off(&self, x: &Vector3<f64>) -> (f64, f64) {
        let sign = 1.0_f64.copysign(x.dot(&self.at));
        (-sign * x.dot(&self.aside), -sign * x.dot(&self.steeper))
    }

    fn chi2(&self, x: &Vector3<f64>) -> f64 {
        let (aside, steeper) = self.off(x);
        (aside / self.aside_sd).powi(2) + (steeper / self.steeper_sd).powi(2)
    }
}

/// A dial without any deviation of its own would weigh without limit, radians.
const LEAST_SD: f64 = 1e-4;

struct Settled {
    at: [Vector3<f64>; 4],
    angle: f64,
    chi2: f64,
}

impl Gathering {
    fn stands(&self, i: usize) -> bool {
        self.read[i].is_some() || self.open[i]
    }

    fn conditions(&self) -> usize {
        self.links.iter().flatten().count()
    }

    fn dof(&self) -> Option<usize> {
        let read = 2 * self.read.iter().flatten().count() + usize::from(self.angle_deg.is_some());
        let free = 2 * (0..4).filter(|&i| self.stands(i)).count();
        (read + self.conditions()).checked_sub(free)
    }

    fn without(&self, i: usize) -> Self {
        let mut out = *self;
        if let Some(place) = out.read.get_mut(i) {
            *place = None;
        }
        // A hinge that is held by two planes still follows from them.
        let held = out
            .links
            .iter()
            .flatten()
            .filter(|link| link.1 == i)
            .count();
        if i == 2 && held >= 2 {
            out.open[2] = true;
        } else {
            for link in &mut out.links {
                if link.is_some_and(|(a, b)| a == i || b == i) {
                    *link = None;
                }
            }
        }
        if i < 2 {
            out.angle_deg = None;
        }
        out
    }

    fn settle(&self, noise: &Noise) -> Option<Settled> {
        let sights = self
            .read
            .map(|stand| stand.and_then(|s| Sight::of(&s, noise)));
        let angle_sd = noise.rake_var().sqrt().max(LEAST_SD);
        let mut at = sights.map(|sight| sight.map_or_else(Vector3::z, |s| s.at));
        if self.open[2] {
            at[2] = self.shared_line(&at)?;
        }
        for _ in 0..60 {
            let mut kkt = SMatrix::<f64, SIZE, SIZE>::identity();
            let mut rhs = SVector::<f64, SIZE>::zeros();
            let bases = at.map(|x| tangents(&x));
            for i in 0..4 {
                if !self.stands(i) {
                    continue;
                }
                for row in 0..2 {
                    for column in 0..2 {
                        // What is open is held by the conditions alone.
                        kkt[(2 * i + row, 2 * i + column)] = if row == column { 1e-9 } else { 0.0 };
                    }
                }
                if let Some(sight) = &sights[i] {
                    let sign = 1.0_f64.copysign(at[i].dot(&sight.at));
                    let (aside, steeper) = sight.off(&at[i]);
                    for (off, along, sd) in [
                        (aside, sight.aside * sign, sight.aside_sd),
                        (steeper, sight.steeper * sign, sight.steeper_sd),
                    ] {
                        let slope = bases[i].map(|b| b.dot(&along));
                        add(&mut kkt, &mut rhs, &[(2 * i, slope)], off, sd);
                    }
                }
            }
            if let Some(read) = self.angle_deg.map(radians) {
                let (angle, turn) = between(&at[0], &at[1], read);
                let slope = |i: usize, other: usize| bases[i].map(|b| turn * b.dot(&at[other]));
                let slopes = [(0, slope(0, 1)), (2, slope(1, 0))];
                add(&mut kkt, &mut rhs, &slopes, read - angle, angle_sd);
            }
            for (place, link) in self.links.iter().enumerate() {
                let row = 8 + place;
                if let Some((a, b)) = *link {
                    kkt[(row, row)] = 0.0;
                    for (own, other) in [(a, b), (b, a)] {
                        for (k, basis) in bases[own].iter().enumerate() {
                            let slope = basis.dot(&at[other]);
                            kkt[(row, 2 * own + k)] = slope;
                            kkt[(2 * own + k, row)] = slope;
                        }
                    }
                    rhs[row] = -at[a].dot(&at[b]);
                }
            }
            let step = kkt.lu().solve(&rhs)?;
            let mut longest = 0.0_f64;
            for i in 0..4 {
                if self.stands(i) {
                    let by = bases[i][0] * step[2 * i] + bases[i][1] * step[2 * i + 1];
                    let length = by.norm();
                    longest = longest.max(length);
                    let by = if length > 0.3 {
                        by * (0.3 / length)
                    } else {
                        by
                    };
                    at[i] = (at[i] + by).normalize();
                }
            }
            if longest.is_nan() {
                return None;
            }
            if longest < 1e-12 {
                break;
            }
        }
        let mut chi2: f64 = (0..4)
            .filter_map(|i| sights[i].as_ref().map(|sight| sight.chi2(&at[i])))
            .sum();
        let mut angle = at[0].angle(&at[1]);
        if let Some(read) = self.angle_deg.map(radians) {
            angle = between(&at[0], &at[1], read).0;
            chi2 += ((read - angle) / angle_sd).powi(2);
        }
        let holds = |link: &(usize, usize)| at[link.0].dot(&at[link.1]).abs() < 1e-8;
        let all = chi2.is_finite() && self.links.iter().flatten().all(holds);
        all.then_some(Settled { at, angle, chi2 })
    }

    /// The line that the planes have in common: of the two that meet at the steepest angle.
    fn shared_line(&self, at: &[Vector3<f64>; 4]) -> Option<Vector3<f64>> {
        let planes = [0, 1, 3].map(|i| self.read[i].map(|_| at[i]));
        let [a, b, c] = planes;
        let pairs = [(a, b), (a, c), (b, c)];
        let crosses = pairs.iter().filter_map(|(x, y)| Some((*x)?.cross(&(*y)?)));
        crosses
            .max_by(|x, y| x.norm().total_cmp(&y.norm()))?
            .try_normalize(1e-6)
    }

    fn judge(self, context: &Context<'_>) -> Option<Company> {
        let noise = context.noise;
        let dof = self.dof().filter(|dof| *dof >= 1)?;
        let settled = self.settle(noise)?;
        let (residuals, derived) = self.told(&settled, noise);
        let priors = context.priors;
        let scale = (1.0 - priors.none) / total(context).max(f64::MIN_POSITIVE);
        let mut tried: Vec<(f64, bool, CompanyExplanation)> = Vec::new();
        let mut weigh = |share: f64, cost: f64, grave: bool, other: &Self, told: Option<Told>| {
            let (Some(told), Some(settled)) = (told, other.settle(noise)) else {
                return;
            };
            let log_odds = (share * scale).ln() - settled.chi2 / 2.0 + cost;
            tried.push((
                log_odds,
                grave,
                CompanyExplanation {
                    member: told.member,
                    words: told.words,
                    odds: 0.0,
                    corrected: told.corrected,
                    sets: told.sets,
                    chi2: settled.chi2,
                },
            ));
        };
        for (i, read) in self.read.iter().enumerate() {
            let Some(read) = read else {
                continue;
            };
            let name = self.names[i];
            for (share, told) in [
                (priors.ends * 0.4, other_end(name, read)),
                (priors.complements * 0.5, complement(name, read)),
                (priors.exchanges * 0.3, mirrored(name, read)),
            ] {
                let mut other = self;
                other.read[i] = told.as_ref().map(|told| told.corrected);
                weigh(share, 0.0, true, &other, told);
            }
            if let Some(sight) = Sight::of(read, noise) {
                // A misread plane or line may be anywhere on the half sphere.
                let other = self.without(i);
                let cost = (sight.aside_sd * sight.steeper_sd).ln();
                let told = Told {
                    member: name,
                    words: format!("{name} was misread; nothing explains how"),
                    corrected: *read,
                    sets: Vec::new(),
                };
                weigh(priors.unknown * 0.4, cost, false, &other, Some(told));
            }
        }
        if let Some(angle) = self.angle_deg {
            let mut other = self;
            other.angle_deg = None;
            let should = other
                .settle(noise)
                .map(|s| degrees(s.at[0].angle(&s.at[1])));
            let cost = (noise.rake_var().sqrt().max(LEAST_SD) * TAU.sqrt() / PI).ln();
            let told = should.map(|should| {
                let acute = should.min(180.0 - should);
                Told {
                    member: self.between,
                    words: format!(
                        "{} was misread: {}, and they stand {acute:.0} or {:.0} apart",
                        self.between,
                        padded((angle * 10.0).round() / 10.0, 1),
                        180.0 - acute
                    ),
                    corrected: Stand::Angle(
                        if (angle - should).abs() <= (180.0 - should - angle).abs() {
                            should
                        } else {
                            180.0 - should
                        },
                    ),
                    sets: Vec::new(),
                }
            });
            weigh(priors.unknown * 0.2, cost, false, &other, told);
        }
        let unslipped = priors.none.ln() - settled.chi2 / 2.0;
        tried.sort_by(|a, b| b.0.total_cmp(&a.0));
        let top = tried.first().map_or(unslipped, |t| t.0.max(unslipped));
        let share = |log_odds: f64| (log_odds - top).exp();
        let whole: f64 = share(unslipped) + tried.iter().map(|t| share(t.0)).sum::<f64>();
        let as_read_odds = share(unslipped) / whole;
        let grave: f64 = tried.iter().filter(|t| t.1).map(|t| share(t.0)).sum();
        let doubted = as_read_odds < DOUBTED || grave > GRAVE * whole;
        let explanations = tried.into_iter().map(|(log_odds, _, mut explanation)| {
            explanation.odds = share(log_odds) / whole;
            explanation
        });
        let explanations: Vec<CompanyExplanation> = explanations
            .enumerate()
            .filter(|(place, e)| doubted && (*place == 0 || e.odds >= SHOWN))
            .map(|(_, e)| e)
            .take(MOST)
            .collect();
        Some(Company {
            residuals,
            derived,
            chi2: settled.chi2,
            dof,
            doubted,
            as_read_odds,
            explanations,
        })
    }

    fn told(
        &self,
        settled: &Settled,
        noise: &Noise,
    ) -> (Vec<MemberResidual>, Vec<(Member, Stand)>) {
        let mut residuals = Vec::with_capacity(5);
        let mut derived = Vec::new();
        for i in 0..4 {
            let x = &settled.at[i];
            let line = || Line::axis_from_vector(x).map(Stand::Line);
            let adjusted = match self.read[i] {
                Some(Stand::Plane(_)) => Plane::from_normal(x).map(Stand::Plane),
                Some(_) => line(),
                None if self.open[i] => {
                    derived.extend(line().map(|line| (self.names[i], line)));
                    None
                }
                None => None,
            };
            let Some((read, adjusted)) = self.read[i].zip(adjusted) else {
                continue;
            };
            if let Some(sight) = Sight::of(&read, noise) {
                let off = sight.at.cross(x).norm().atan2(sight.at.dot(x).abs());
                let var = f64::midpoint(sight.aside_sd.powi(2), sight.steeper_sd.powi(2));
                residuals.push(MemberResidual {
                    member: self.names[i],
                    read,
                    adjusted,
                    off_deg: degrees(off),
                    sd_deg: degrees(var.sqrt()),
                    ratio: sight.chi2(x).sqrt(),
                });
            }
        }
        if let Some(read) = self.angle_deg {
            let (adjusted, sd_deg) = (degrees(settled.angle), noise.rake_sd_deg());
            let off_deg = (read - adjusted).abs();
            residuals.push(MemberResidual {
                member: self.between,
                read: Stand::Angle(read),
                adjusted: Stand::Angle(adjusted),
                off_deg,
                sd_deg,
                ratio: off_deg / sd_deg,
            });
        }
        (residuals, derived)
    }
}

/// Adds an observation to the normal equations: its slopes at places, its residual, its deviation.
fn add(
    kkt: &mut SMatrix<f64, SIZE, SIZE>,
    rhs: &mut SVector<f64, SIZE>,
    slopes: &[(usize, [f64; 2])],
    off: f64,
    sd: f64,
) {
    let weight = 1.0 / (sd * sd);
    for (a, slope) in slopes {
        for (i, by) in slope.iter().enumerate() {
            rhs[a + i] += by * off * weight;
            for (b, other) in slopes {
                for (j, along) in other.iter().enumerate() {
                    kkt[(a + i, b + j)] += by * along * weight;
                }
            }
        }
    }
}

/// The angle between two planes, or its supplement, whichever is nearer to the dial; and how it turns with the cosine.
fn between(a: &Vector3<f64>, b: &Vector3<f64>, read: f64) -> (f64, f64) {
    let angle = a.cross(b).norm().atan2(a.dot(b));
    let slope = -1.0 / angle.sin().max(1e-3);
    if (read - angle).abs() <= (read - (PI - angle)).abs() {
        (angle, slope)
    } else {
        (PI - angle, -slope)
    }
}

/// Two directions square to a unit vector and to each other.
fn tangents(x: &Vector3<f64>) -> [Vector3<f64>; 2] {
    let aside = if x.z.abs() < 0.9 {
        Vector3::z()
    } else {
        Vector3::x()
    };
    let a = x.cross(&aside).normalize();
    [a, x.cross(&a)]
}

/// A slip of one member.
struct Told {
    member: Member,
    words: String,
    corrected: Stand,
    sets: Vec<(Dial, String)>,
}

fn azimuth(deg: f64) -> String {
    padded(deg, 3)
}

fn other_end(member: Member, read: &Stand) -> Option<Told> {
    match read {
        Stand::Plane(plane) => {
            let other = plane.other_side();
            let letters = |plane: &Plane| wind(plane.dip_direction().deg(), Winds::Eight);
            Some(Told {
                member,
                words: format!("{member} dips {}, not {}", letters(&other), letters(plane)),
                corrected: Stand::Plane(other),
                sets: vec![(Dial::Strike, azimuth(other.strike().deg()))],
            })
        }
        Stand::Line(line) => {
            let other = Line::new(line.trend().opposite(), line.plunge());
            let (before, after) = (azimuth(line.trend().deg()), azimuth(other.trend().deg()));
            Some(Told {
                member,
                words: format!(
                    "the trend of {member} was read at the other end: {before} instead of {after}"
                ),
                corrected: Stand::Line(other),
                sets: vec![(Dial::Trend, after)],
            })
        }
        Stand::Angle(_) => None,
    }
}

fn complement(member: Member, read: &Stand) -> Option<Told> {
    let text = |deg: f64| padded(deg.abs(), 2);
    match read {
        Stand::Plane(plane) => {
            let other = Plane::new(plane.strike(), plane.dip().complement());
            let (before, after) = (text(plane.dip().deg()), text(other.dip().deg()));
            Some(Told {
                member,
                words: format!(
                    "the dip of {member} was read from the vertical: {before} instead of {after}"
                ),
                corrected: Stand::Plane(other),
                sets: vec![(Dial::Dip, after)],
            })
        }
        Stand::Line(line) => {
            let plunge = line.plunge().rad();
            let turned = (PI / 2.0 - plunge.abs()).copysign(plunge);
            let other = Line::new(line.trend(), Plunge::clamped(turned));
            let (before, after) = (text(line.plunge().deg()), text(other.plunge().deg()));
            Some(Told {
                member,
                words: format!(
                    "the plunge of {member} was read from the vertical: {before} instead of {after}"
                ),
                corrected: Stand::Line(other),
                sets: vec![(Dial::Plunge, after)],
            })
        }
        Stand::Angle(_) => None,
    }
}

fn mirrored(member: Member, read: &Stand) -> Option<Told> {
    let mirror = |azimuth: Azimuth| Azimuth::wrapped_deg(wrap_deg(-azimuth.deg())).ok();
    match read {
        Stand::Plane(plane) => {
            let other = Plane::new(mirror(plane.strike())?, Dip::clamped(plane.dip().rad()));
            let (before, after) = (azimuth(plane.strike().deg()), azimuth(other.strike().deg()));
            Some(Told {
                member,
                words: format!(
                    "east and west were exchanged in the strike of {member}: {before} instead of {after}"
                ),
                corrected: Stand::Plane(other),
                sets: vec![(Dial::Strike, after)],
            })
        }
        Stand::Line(line) => {
            let other = Line::new(mirror(line.trend())?, line.plunge());
            let (before, after) = (azimuth(line.trend().deg()), azimuth(other.trend().deg()));
            Some(Told {
                member,
                words: format!(
                    "east and west were exchanged in the trend of {member}: {before} instead of {after}"
                ),
                corrected: Stand::Line(other),
                sets: vec![(Dial::Trend, after)],
            })
        }
        Stand::Angle(_) => None,
    }
}
