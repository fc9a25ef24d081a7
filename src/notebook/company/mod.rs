//! What stands together at a station: an angle with its two planes, the limbs, hinge and axial plane of a fold.
//!
//! The members were read one by one, so that each can be held against the others: a hinge lies in both limbs and in the axial
//! plane, an angle is the one between its planes.

use crate::notebook::attitude;
use crate::notebook::entry::RecordId;
use crate::notebook::pages::{Line, Pages};
use crate::notebook::record::{Form, Position, Reading, SetUp};
use crate::orientation::{
    Doubt, DoubtKind, Line as Axis, Mean, Noise, Plane, PlaneStyle, SET_UP_LIMIT, Severity,
    whole_line, write_line,
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

/// Two members that do not agree.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Apart {
    /// The doubt, of kind [`DoubtKind::Company`].
    pub doubt: Doubt,
    /// The reading to be marked: the angle, the hinge.
    pub member: Member,
    /// Those it was held against.
    pub against: Vec<Member>,
}

/// Readings that stand together, and what does not agree among them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Company {
    /// What they form.
    pub gathering: Gathering,
    /// The members: the two planes first, where they were read.
    pub members: Vec<Member>,
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

/// What a reading, kept or still open, disagrees with among those of its station: the doubts in which it is marked.
pub fn doubts_of(pages: &Pages, reading: &Reading, record: Option<&str>) -> Vec<Apart> {
    let candidates = candidates(pages, &reading.station, Some((reading, record)));
    let record = record.map(RecordId::from);
    let mut doubts: Vec<Apart> = gather(&candidates)
        .into_iter()
        .flat_map(|company| company.doubts)
        .collect();
    doubts.retain(|apart| apart.member.record == record);
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
            all.push(candidate(Some(record), reading));
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

/// A mean with how well it is known.
struct Known<'a, T> {
    candidate: &'a Candidate<'a>,
    part: Part,
    value: T,
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
        let planes = known_planes(all, &self.planes, Part::Plane);
        let axial_planes = known_planes(all, &self.axial_planes, Part::AxialPlane);
        let hinges = known_hinges(all, &self.hinges);
        let mut doubts = Vec::new();
        if let [a, b] = planes.as_slice() {
            for &place in &self.angles {
                doubts.extend(angle_apart(&all[place], a, b, self.fractures));
            }
        }
        for hinge in &hinges {
            for plane in planes.iter().chain(&axial_planes) {
                doubts.extend(hinge_apart(hinge, plane));
            }
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
            doubts,
        }
    }
}

fn known_planes<'a>(
    all: &'a [Candidate<'a>],
    places: &[usize],
    part: Part,
) -> Vec<Known<'a, Plane>> {
    let known = |&place: &usize| {
        let candidate = &all[place];
        let found = attitude::of_at(candidate.reading, candidate.set_up, candidate.place);
        let Mean {
            value,
            standard_error_deg,
            ..
        } = found.plane_mean?;
        Some(Known {
            candidate,
            part,
            value,
            sd_deg: standard_error_deg,
            is_true: found.counts_from.is_true(),
        })
    };
    places.iter().filter_map(known).collect()
}

fn known_hinges<'a>(all: &'a [Candidate<'a>], places: &[usize]) -> Vec<Known<'a, Axis>> {
    let known = |&place: &usize| {
        let candidate = &all[place];
        let found = attitude::of_at(candidate.reading, candidate.set_up, candidate.place);
        let mean = found.line_mean?;
        Some(Known {
            candidate,
            part: Part::Hinge,
            value: mean.value,
            sd_deg: mean.standard_error_deg,
            is_true: found.counts_from.is_true(),
        })
    };
    places.iter().filter_map(known).collect()
}

fn is_settled(candidate: &Candidate<'_>) -> bool {
    let mut accepted = candidate.reading.accepted.iter();
    accepted.any(|accepted| accepted.doubt == DoubtKind::Company)
}

fn apart(candidate: &Candidate<'_>, part: Part, against: Vec<Member>, message: String) -> Apart {
    Apart {
        doubt: Doubt {
            kind: DoubtKind::Company,
            severity: Severity::Doubt,
            dial: None,
            message,
            choices: Vec::new(),
        },
        member: member(candidate, part),
        against,
    }
}

/// The angle read against the one between the planes, or its supplement: the gauge gives the one or the other, by the way it
/// is laid on.
fn angle_apart(
    candidate: &Candidate<'_>,
    a: &Known<'_, Plane>,
    b: &Known<'_, Plane>,
    fractures: bool,
) -> Option<Apart> {
    let found = attitude::of_at(candidate.reading, candidate.set_up, candidate.place);
    let read_deg = found.angle_deg?;
    if a.is_true != b.is_true || is_settled(candidate) {
        return None;
    }
    let between_deg = a.value.angle(&b.value).deg();
    let off = |deg: f64| (read_deg - deg).abs();
    let off_deg = off(between_deg).min(off(180.0 - between_deg));
    let shots = found.shots.iter().zip(&candidate.reading.shots);
    let count = shots.filter(|(reduced, shot)| reduced.angle_deg.is_some() && !shot.struck_out);
    // A reading never has 2³² shots.
    let count = f64::from(u32::try_from(count.count()).unwrap_or(u32::MAX));
    // Laid on two planes, the gauge errs like a rake: once in the scale, twice in placement.
    let noise = candidate.set_up.map_or_else(Noise::default, SetUp::noise);
    let angle_sd_deg = noise.rake_sd_deg() / count.max(1.0).sqrt();
    let sd_deg = (angle_sd_deg.powi(2) + a.sd_deg.powi(2) + b.sd_deg.powi(2)).sqrt();
    if off_deg <= SET_UP_LIMIT * sd_deg {
        return None;
    }
    let planes = if fractures { "fractures" } else { "limbs" };
    let acute_deg = between_deg.min(180.0 - between_deg);
    let message = format!(
        "the angle {} was read between {planes} {} and {}, which stand {acute_deg:.0}° or {:.0}° apart: {off_deg:.1}° off, and {:.1}° is allowed; read it again, or name the {planes} it belongs to",
        crate::orientation::angle::padded(read_deg, 3),
        a.candidate.number,
        b.candidate.number,
        180.0 - acute_deg,
        SET_UP_LIMIT * sd_deg
    );
    let against = vec![a.member(), b.member()];
    Some(apart(candidate, Part::Angle, against, message))
}

/// A hinge against a limb or the axial plane, which both contain it.
fn hinge_apart(hinge: &Known<'_, Axis>, plane: &Known<'_, Plane>) -> Option<Apart> {
    if hinge.is_true != plane.is_true || is_settled(hinge.candidate) {
        return None;
    }
    let off_deg = plane.value.angle_to_line(&hinge.value).deg();
    let limit_deg = SET_UP_LIMIT * hinge.sd_deg.hypot(plane.sd_deg);
    if off_deg <= limit_deg {
        return None;
    }
    let what = match plane.part {
        Part::AxialPlane => "axial plane",
        _ => "limb",
    };
    let message = format!(
        "the hinge {} lies {off_deg:.1}° off {what} {}, and {limit_deg:.1}° is allowed; read the one or the other again, or keep it where the fold is not cylindrical",
        write_line(&whole_line(&hinge.value), PlaneStyle::default()),
        plane.candidate.number
    );
    Some(apart(
        hinge.candidate,
        Part::Hinge,
        vec![plane.member()],
        message,
    ))
}

#[cfg(test)]
mod tests;
