//! What stands together at a station: an angle with its two planes, the limbs, hinge and axial plane of a fold.
//!
//! The members were read one by one, so that each can be held against the others: a hinge lies in both limbs and in the axial
//! plane, an angle is the one between its planes.

use crate::notebook::attitude::{self, Attitude};
use crate::notebook::entry::RecordId;
use crate::notebook::pages::{Line, Pages};
use crate::notebook::record::{Form, Position, Reading, SetUp};
use crate::orientation::adjustment::{
    Company as Adjusted, CompanyExplanation, FoldDials, FractureDials, Member as Role, Stand,
    adjust_fold, adjust_fractures,
};
use crate::orientation::angle::{padded, wrap_deg};
use crate::orientation::{
    Choice, Context, Dial, Doubt, DoubtKind, Line as Axis, Noise, Plane, PlaneStyle, SET_UP_LIMIT,
    Severity, Turn, Winds, whole_line, wind, write_line,
};

/// What readings form together.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Gathering {
    /// The limbs of a fold with its hinge, its axial plane, and the angle between the limbs.
    Fold,
    /// Two fractures and the angle between them.
    Fractures,
}

/// The part that a reading has.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Part {
    /// A limb of the fold, or one of the fractures.
    Plane,
    /// The angle between the two.
    Angle,
    /// The hinge of the fold.
    Hinge,
    /// The axial plane of the fold.
    AxialPlane,
}

/// One reading of a company.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Member {
    /// Its part.
    pub part: Part,
    /// The reading; `None` for one that is not kept yet.
    pub record: Option<RecordId>,
    /// Its number on the page: `47·2`.
    pub number: String,
}

/// What does not agree in a company, and what would explain it.
#[derive(Clone, Debug, PartialEq)]
pub struct Apart {
    /// The doubt, of kind [`DoubtKind::Company`]; its choices set dials of [`Apart::member`].
    pub doubt: Doubt,
    /// The reading to be marked: the one that the likeliest explanation is about.
    pub member: Member,
    /// The others.
    pub against: Vec<Member>,
    /// At most three explanations, likeliest first.
    pub explanations: Vec<Explained>,
}

/// One way in which a company came to disagree.
#[derive(Clone, Debug, PartialEq)]
pub struct Explained {
    /// The reading that is wrong.
    pub member: Member,
    /// A plain sentence without its full stop.
    pub words: String,
    /// Probability among all hypotheses, 0 to 1.
    pub odds: f64,
    /// The dials to set on its one standing shot, as they would have been typed; none where only a new reading helps.
    pub sets: Vec<(Dial, String)>,
}

/// Readings that stand together, adjusted so that they do, and what does not agree among them.
#[derive(Clone, Debug, PartialEq)]
pub struct Company {
    /// What they form.
    pub gathering: Gathering,
    /// The members: the two planes first, where they were read.
    pub members: Vec<Member>,
    /// The members adjusted together, once for each hinge or angle; empty where they cannot contradict each other.
    pub adjusted: Vec<Adjusted>,
    /// What does not agree, but for what a person kept as read.
    pub doubts: Vec<Apart>,
}

/// The companies of a station, in the order of their readings.
///
/// - An angle stands with the planes it names ([`Reading::planes`]), else with the last two planes before it that can be its
///   limbs or its fractures.
/// - A hinge and an axial plane stand with the limbs of the station's last angle between limbs, else with the two limbs
///   nearest to them, those before first.
///
/// # Degenerate input
/// Struck-out readings are left out, and so is a company of one. An unknown station has none. Members that count from
/// different norths, of which one cannot be turned to the other, are not compared.
pub fn at_station(pages: &Pages, station: &str) -> Vec<Company> {
    gather(&candidates(pages, station, None))
}

/// What a reading, kept or still open, disagrees with among those of its station; choices stay only where they set its own dials.
pub fn doubts_of(pages: &Pages, reading: &Reading, record: Option<&str>) -> Vec<Apart> {
    let candidates = candidates(pages, &reading.station, Some((reading, record)));
    let record = record.map(RecordId::from);
    let is_own = |member: &Member| member.record == record;
    let mut doubts: Vec<Apart> = gather(&candidates)
        .into_iter()
        .flat_map(|company| company.doubts)
        .filter(|apart| is_own(&apart.member) || apart.against.iter().any(is_own))
        .collect();
    for apart in &mut doubts {
        if !is_own(&apart.member) {
            apart.doubt.choices.clear();
            apart.doubt.dial = None;
        }
    }
    doubts
}

/// The companies of a whole book, station by station.
pub fn of_book(pages: &Pages) -> Vec<(RecordId, Company)> {
    let standing = pages
        .stations()
        .iter()
        .filter(|page| !page.line().is_struck_out());
    standing
        .flat_map(|page| {
            let station = page.line().record();
            let companies = at_station(pages, station.as_str()).into_iter();
            companies.map(|company| (station.clone(), company))
        })
        .collect()
}

/// A reading that may be a member.
struct Candidate<'a> {
    record: Option<RecordId>,
    number: String,
    reading: &'a Reading,
    set_up: Option<&'a SetUp>,
    place: Option<&'a Position>,
}

/// The standing readings of a station that can be members; an open one stands in for what was kept of it.
fn candidates<'a>(
    pages: &'a Pages,
    station: &str,
    open: Option<(&'a Reading, Option<&str>)>,
) -> Vec<Candidate<'a>> {
    let Some(page) = pages.station(station) else {
        return Vec::new();
    };
    let place = page.line().station().and_then(|s| s.position.as_ref());
    let candidate = |record: Option<RecordId>, reading: &'a Reading| Candidate {
        record,
        number: format!("{}·{}", page.line().number(), reading.number),
        reading,
        set_up: reading
            .set_up
            .as_deref()
            .and_then(|id| pages.set_up(id))
            .and_then(Line::set_up),
        place,
    };
    let mut all = Vec::new();
    let mut open = open;
    for line in page.readings().iter().filter(|line| !line.is_struck_out()) {
        let record = line.record().clone();
        let same = open.filter(|(_, kept)| *kept == Some(record.as_str()));
        if let Some((reading, _)) = same {
            open = None;
            all.push(candidate(Some(record), reading));
        } else if let Some(reading) = line.reading() {
            let one = candidate(Some(record), reading);
            // Of a set-up that is not here it is not known what its dials mean.
            if one.set_up.is_some() || reading.set_up.is_none() {
                all.push(one);
            }
        }
    }
    if let Some((reading, record)) = open {
        all.push(candidate(record.map(RecordId::from), reading));
    }
    all
}

/// What a kind of structure can be in a company.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Can {
    Limb,
    Fracture,
    /// A person's own kind of plane.
    Either,
    Limbs,
    Fractures,
    Hinge,
    AxialPlane,
    Nothing,
}

fn can(reading: &Reading) -> Can {
    match (reading.kind.as_str(), reading.form) {
        ("two fractures", _) => Can::Fractures,
        (_, Form::Angle) => Can::Limbs,
        ("fold hinge", _) => Can::Hinge,
        ("axial plane", _) => Can::AxialPlane,
        ("bedding" | "foliation" | "contact" | "bedding + line" | "foliation + line", _) => {
            Can::Limb
        }
        ("joint" | "fault" | "vein" | "dyke" | "fault + line", _) => Can::Fracture,
        ("cleavage", _) | (_, Form::Line) => Can::Nothing,
        (_, Form::Plane | Form::PlaneWithLine) => Can::Either,
    }
}

/// A company before it is judged: places among the candidates.
#[derive(Default)]
struct Group {
    fractures: bool,
    planes: Vec<usize>,
    angles: Vec<usize>,
    hinges: Vec<usize>,
    axial_planes: Vec<usize>,
}

fn gather(all: &[Candidate<'_>]) -> Vec<Company> {
    let mut groups: Vec<Group> = Vec::new();
    for (place, candidate) in all.iter().enumerate() {
        let fractures = match can(candidate.reading) {
            Can::Limbs => false,
            Can::Fractures => true,
            _ => continue,
        };
        let planes = planes_of(all, place, fractures);
        group(&mut groups, fractures, planes).angles.push(place);
    }
    let last_angle = groups.iter().rev().find(|group| !group.fractures);
    let limbs_of_angle = last_angle.map(|group| group.planes.clone());
    for (place, candidate) in all.iter().enumerate() {
        let hinge = match can(candidate.reading) {
            Can::Hinge => true,
            Can::AxialPlane => false,
            _ => continue,
        };
        let limbs = limbs_of_angle
            .clone()
            .unwrap_or_else(|| nearest_limbs(all, place));
        let group = group(&mut groups, false, limbs);
        if hinge {
            group.hinges.push(place);
        } else {
            group.axial_planes.push(place);
        }
    }
    groups
        .iter()
        .filter(|group| group.count() > 1)
        .map(|group| group.judge(all))
        .collect()
}

fn group(groups: &mut Vec<Group>, fractures: bool, planes: Vec<usize>) -> &mut Group {
    let same = |group: &Group| group.fractures == fractures && group.planes == planes;
    let place = groups.iter().position(same).unwrap_or_else(|| {
        groups.push(Group {
            fractures,
            planes,
            ..Group::default()
        });
        groups.len() - 1
    });
    &mut groups[place]
}

fn is_plane(candidate: &Candidate<'_>, fractures: bool) -> bool {
    match can(candidate.reading) {
        Can::Either => true,
        Can::Limb => !fractures,
        Can::Fracture => fractures,
        _ => false,
    }
}

/// The planes of an angle: those it names, else the last two before it.
fn planes_of(all: &[Candidate<'_>], angle: usize, fractures: bool) -> Vec<usize> {
    let named = &all[angle].reading.planes;
    if !named.is_empty() {
        return named
            .iter()
            .filter_map(|id| {
                let has = |c: &Candidate<'_>| c.record.as_ref().is_some_and(|r| r.as_str() == id);
                all.iter().position(has)
            })
            .collect();
    }
    let mut planes: Vec<usize> = (0..angle)
        .rev()
        .filter(|&place| is_plane(&all[place], fractures))
        .take(2)
        .collect();
    planes.reverse();
    planes
}

/// The two limbs nearest to a reading, those before it first.
fn nearest_limbs(all: &[Candidate<'_>], place: usize) -> Vec<usize> {
    let before = (0..place).rev();
    let after = place + 1..all.len();
    let mut limbs: Vec<usize> = before
        .chain(after)
        .filter(|&other| can(all[other].reading) == Can::Limb)
        .take(2)
        .collect();
    limbs.sort_unstable();
    limbs
}

/// A member with what was read.
struct Known<'a, T> {
    candidate: &'a Candidate<'a>,
    part: Part,
    value: T,
    /// Standard deviation of its mean, degrees.
    sd_deg: f64,
    /// Whether it counts from true north.
    is_true: bool,
}

impl<T> Known<'_, T> {
    fn member(&self) -> Member {
        member(self.candidate, self.part)
    }
}

fn member(candidate: &Candidate<'_>, part: Part) -> Member {
    Member {
        part,
        record: candidate.record.clone(),
        number: candidate.number.clone(),
    }
}

impl Group {
    fn count(&self) -> usize {
        self.planes.len() + self.angles.len() + self.hinges.len() + self.axial_planes.len()
    }

    fn judge(&self, all: &[Candidate<'_>]) -> Company {
        let all_known = Members {
            fractures: self.fractures,
            planes: known(all, &self.planes, Part::Plane, plane_of),
            axial_planes: known(all, &self.axial_planes, Part::AxialPlane, plane_of),
            hinges: known(all, &self.hinges, Part::Hinge, line_of),
            angles: known(all, &self.angles, Part::Angle, |found, candidate| {
                Some((found.angle_deg?, angle_sd_deg(found, candidate)))
            }),
        };
        let mut adjusted = Vec::new();
        let mut doubts = Vec::new();
        for one in all_known.one_by_one() {
            let Some(found) = one.adjust() else {
                continue;
            };
            doubts.extend(one.apart(&found));
            adjusted.push(found);
        }
        let of = |places: &[usize], part| {
            let members = places.iter().map(|&place| member(&all[place], part));
            members.collect::<Vec<_>>()
        };
        Company {
            gathering: if self.fractures {
                Gathering::Fractures
            } else {
                Gathering::Fold
            },
            members: [
                of(&self.planes, Part::Plane),
                of(&self.angles, Part::Angle),
                of(&self.hinges, Part::Hinge),
                of(&self.axial_planes, Part::AxialPlane),
            ]
            .concat(),
            adjusted,
            doubts,
        }
    }
}

fn known<'a, T>(
    all: &'a [Candidate<'a>],
    places: &[usize],
    part: Part,
    value: impl Fn(&Attitude, &Candidate<'a>) -> Option<(T, f64)>,
) -> Vec<Known<'a, T>> {
    let known = |&place: &usize| {
        let candidate = &all[place];
        let found = attitude::of_at(candidate.reading, candidate.set_up, candidate.place);
        let (value, sd_deg) = value(&found, candidate)?;
        Some(Known {
            candidate,
            part,
            value,
            sd_deg,
            is_true: found.counts_from.is_true(),
        })
    };
    places.iter().filter_map(known).collect()
}

/// To a tenth, which is what can be read and what is written.
fn tenth(deg: f64) -> f64 {
    (deg * 10.0).round() / 10.0
}

fn plane_of(found: &Attitude, _: &Candidate<'_>) -> Option<(Plane, f64)> {
    let mean = found.plane_mean.as_ref()?;
    let (strike, dip) = (mean.value.strike().deg(), mean.value.dip().deg());
    let plane = Plane::from_deg(tenth(strike) % 360.0, tenth(dip)).ok()?;
    Some((plane, mean.standard_error_deg))
}

fn line_of(found: &Attitude, _: &Candidate<'_>) -> Option<(Axis, f64)> {
    let mean = found.line_mean.as_ref()?;
    let (trend, plunge) = (mean.value.trend().deg(), mean.value.plunge().deg());
    let line = Axis::from_deg(tenth(trend) % 360.0, tenth(plunge)).ok()?;
    Some((line, mean.standard_error_deg))
}

/// Laid on two planes, the gauge errs like a rake: once in the scale, twice in placement.
fn angle_sd_deg(found: &Attitude, candidate: &Candidate<'_>) -> f64 {
    let shots = found.shots.iter().zip(&candidate.reading.shots);
    let count = shots.filter(|(reduced, shot)| reduced.angle_deg.is_some() && !shot.struck_out);
    // A reading never has 2³² shots.
    let count = f64::from(u32::try_from(count.count()).unwrap_or(u32::MAX));
    candidate.noise().rake_sd_deg() / count.max(1.0).sqrt()
}

/// The members of a company with what was read of each.
struct Members<'a> {
    fractures: bool,
    planes: Vec<Known<'a, Plane>>,
    axial_planes: Vec<Known<'a, Plane>>,
    hinges: Vec<Known<'a, Axis>>,
    angles: Vec<Known<'a, f64>>,
}

/// The same with one of each at most: what is adjusted together.
struct One<'m, 'a> {
    fractures: bool,
    planes: [Option<&'m Known<'a, Plane>>; 2],
    axial_plane: Option<&'m Known<'a, Plane>>,
    hinge: Option<&'m Known<'a, Axis>>,
    angle: Option<&'m Known<'a, f64>>,
}

impl<'a> Members<'a> {
    /// One company for each hinge, angle and axial plane: the first with the first, and the last again with the others that follow.
    fn one_by_one(&self) -> Vec<One<'_, 'a>> {
        let most = self.hinges.len().max(self.angles.len());
        let most = most.max(self.axial_planes.len());
        let same_north = |is_true: bool| {
            self.planes.iter().all(|known| known.is_true == is_true)
                && self
                    .axial_planes
                    .iter()
                    .all(|known| known.is_true == is_true)
                && self.hinges.iter().all(|known| known.is_true == is_true)
        };
        if !same_north(true) && !same_north(false) {
            return Vec::new();
        }
        let one = |place: usize| One {
            fractures: self.fractures,
            planes: [self.planes.first(), self.planes.get(1)],
            axial_plane: self.axial_planes.get(place).or(self.axial_planes.last()),
            hinge: self.hinges.get(place).or(self.hinges.last()),
            angle: self.angles.get(place).or(self.angles.last()),
        };
        (0..most).map(one).collect()
    }
}

impl One<'_, '_> {
    fn candidates(&self) -> [Option<(&Candidate<'_>, Part)>; 5] {
        [
            self.planes[0].map(|known| (known.candidate, known.part)),
            self.planes[1].map(|known| (known.candidate, known.part)),
            self.hinge.map(|known| (known.candidate, known.part)),
            self.axial_plane.map(|known| (known.candidate, known.part)),
            self.angle.map(|known| (known.candidate, known.part)),
        ]
    }

    /// The candidate that a member of the adjustment is.
    fn candidate(&self, member: Role) -> Option<(&Candidate<'_>, Part)> {
        let [first, second, hinge, axial_plane, angle] = self.candidates();
        match member {
            Role::LimbA | Role::PlaneA => first,
            Role::LimbB | Role::PlaneB => second,
            Role::Hinge => hinge,
            Role::AxialPlane => axial_plane,
            Role::Interlimb | Role::Dihedral => angle,
            Role::SlipA | Role::SlipB => None,
        }
    }

    fn adjust(&self) -> Option<Adjusted> {
        // The noise of all is that of the first member: a company is read with one instrument.
        let (first, _) = self.candidates().into_iter().flatten().next()?;
        let noise = first.noise();
        let context = Context::new(&noise);
        let plane = |known: Option<&Known<'_, Plane>>| known.map(|known| known.value);
        let [a, b] = self.planes.map(plane);
        let angle_deg = self.angle.map(|known| known.value);
        if self.fractures {
            let dials = FractureDials {
                plane_a: a,
                plane_b: b,
                dihedral_deg: angle_deg,
                ..FractureDials::default()
            };
            adjust_fractures(&dials, &context)
        } else {
            let dials = FoldDials {
                limb_a: a,
                limb_b: b,
                hinge: self.hinge.map(|known| known.value),
                axial_plane: plane(self.axial_plane),
                interlimb_deg: angle_deg,
            };
            adjust_fold(&dials, &context)
        }
    }

    /// The doubt of a company that does not agree, unless a person kept it as read.
    fn apart(&self, adjusted: &Adjusted) -> Option<Apart> {
        let best = adjusted.explanations.first().filter(|_| adjusted.doubted)?;
        let all = self.candidates();
        if all
            .iter()
            .flatten()
            .any(|(candidate, _)| is_kept(candidate))
        {
            return None;
        }
        let (marked, part) = self.candidate(best.member)?;
        let explanations: Vec<Explained> = adjusted
            .explanations
            .iter()
            .filter_map(|explanation| self.explained(explanation))
            .collect();
        let marked = member(marked, part);
        let choices = explanations
            .iter()
            .filter(|explained| explained.member == marked && !explained.sets.is_empty())
            .map(|explained| Choice {
                words: explained.words.clone(),
                sets: explained.sets.clone(),
            })
            .collect();
        let mut findings = self.findings();
        if findings.is_empty() {
            findings.push(format!(
                "the members do not stand together: χ² is {:.0} with {} degrees of freedom",
                adjusted.chi2, adjusted.dof
            ));
        }
        let planes = if self.fractures { "fractures" } else { "limbs" };
        let likeliest = explanations.first().map_or("", |first| &first.words);
        let message = format!(
            "{}; likeliest: {likeliest}; read it again, name the {planes} it belongs to, or keep all as read",
            findings.join("; ")
        );
        let others = all.into_iter().flatten();
        let others = others.map(|(candidate, part)| member(candidate, part));
        Some(Apart {
            doubt: Doubt {
                kind: DoubtKind::Company,
                severity: Severity::Doubt,
                dial: explanations
                    .first()
                    .and_then(|first| first.sets.first())
                    .map(|(dial, _)| *dial),
                message,
                choices,
            },
            against: others.filter(|other| *other != marked).collect(),
            member: marked,
            explanations,
        })
    }

    fn explained(&self, explanation: &CompanyExplanation) -> Option<Explained> {
        let (candidate, part) = self.candidate(explanation.member)?;
        let plain = explanation.member.to_string();
        let numbered = match part {
            Part::Plane if self.fractures => format!("fracture {}", candidate.number),
            Part::Plane => format!("limb {}", candidate.number),
            _ => format!("{plain} {}", candidate.number),
        };
        Some(Explained {
            member: member(candidate, part),
            words: explanation.words.replacen(&plain, &numbered, 1),
            odds: explanation.odds,
            sets: if explanation.sets.is_empty() {
                Vec::new()
            } else {
                candidate.sets(&explanation.corrected)
            },
        })
    }

    /// What does not agree two by two, with its numbers.
    fn findings(&self) -> Vec<String> {
        let mut findings = Vec::new();
        if let ([Some(a), Some(b)], Some(angle)) = (self.planes, self.angle) {
            findings.extend(angle_off(angle, a, b, self.fractures));
        }
        if let Some(hinge) = self.hinge {
            let planes = self.planes.into_iter().chain([self.axial_plane]).flatten();
            findings.extend(planes.filter_map(|plane| hinge_off(hinge, plane)));
        }
        findings
    }
}

impl Candidate<'_> {
    fn noise(&self) -> Noise {
        self.set_up.map_or_else(Noise::default, SetUp::noise)
    }

    /// The dials of its one standing shot as they would have been typed for a corrected plane or line, those that change; none
    /// where several stand.
    fn sets(&self, corrected: &Stand) -> Vec<(Dial, String)> {
        let mut standing = self.reading.shots.iter().filter(|shot| !shot.struck_out);
        let (Some(shot), None) = (standing.next(), standing.next()) else {
            return Vec::new();
        };
        let turn_deg = attitude::turn_of(self.reading, self.place).map_or(0.0, Turn::deg);
        // As it stood on the card: not yet turned to true north.
        let azimuth = |deg: f64| padded(wrap_deg((deg - turn_deg).round()), 3);
        let inclination = |deg: f64| padded(deg.abs().round(), 2);
        let mut sets = match corrected {
            Stand::Plane(plane) => {
                let toward = plane.dip_direction().deg();
                vec![
                    (Dial::Strike, azimuth(plane.strike().deg())),
                    (Dial::Dip, inclination(plane.dip().deg())),
                    (
                        Dial::Side,
                        wind(toward - turn_deg, Winds::Eight).to_string(),
                    ),
                    (Dial::Toward, azimuth(toward)),
                ]
            }
            Stand::Line(line) => vec![
                (Dial::Trend, azimuth(line.trend().deg())),
                (Dial::Plunge, inclination(line.plunge().deg())),
            ],
            Stand::Angle(deg) => vec![(Dial::Angle, padded(deg.round(), 3))],
        };
        sets.retain(|(dial, text)| shot.get(*dial).is_some_and(|read| read != text));
        sets
    }
}

/// Whether a person kept a company as read, at this member.
fn is_kept(candidate: &Candidate<'_>) -> bool {
    let mut accepted = candidate.reading.accepted.iter();
    accepted.any(|accepted| accepted.doubt == DoubtKind::Company && accepted.sets.is_empty())
}

/// The angle read against the one between the planes, or its supplement: the gauge gives the one or the other, by the way it
/// is laid on.
fn angle_off(
    angle: &Known<'_, f64>,
    a: &Known<'_, Plane>,
    b: &Known<'_, Plane>,
    fractures: bool,
) -> Option<String> {
    let between_deg = a.value.angle(&b.value).deg();
    let off = |deg: f64| (angle.value - deg).abs();
    let off_deg = off(between_deg).min(off(180.0 - between_deg));
    let var = angle.sd_deg.powi(2) + a.sd_deg.powi(2) + b.sd_deg.powi(2);
    let limit_deg = SET_UP_LIMIT * var.sqrt();
    if off_deg <= limit_deg {
        return None;
    }
    let planes = if fractures { "fractures" } else { "limbs" };
    let acute_deg = between_deg.min(180.0 - between_deg);
    Some(format!(
        "the angle {} was read between {planes} {} and {}, which stand {acute_deg:.0}° or {:.0}° apart: {off_deg:.1}° off, and {limit_deg:.1}° is allowed",
        padded(tenth(angle.value), 3),
        a.member().number,
        b.member().number,
        180.0 - acute_deg,
    ))
}

/// A hinge against a limb or the axial plane, which both contain it.
fn hinge_off(hinge: &Known<'_, Axis>, plane: &Known<'_, Plane>) -> Option<String> {
    let off_deg = plane.value.angle_to_line(&hinge.value).deg();
    let limit_deg = SET_UP_LIMIT * hinge.sd_deg.hypot(plane.sd_deg);
    if off_deg <= limit_deg {
        return None;
    }
    let what = match plane.part {
        Part::AxialPlane => "axial plane",
        _ => "limb",
    };
    Some(format!(
        "the hinge {} lies {off_deg:.1}° off {what} {}, and {limit_deg:.1}° is allowed",
        write_line(&whole_line(&hinge.value), PlaneStyle::default()),
        plane.member().number
    ))
}

#[cfg(test)]
mod tests;
