//! Fore and back bearings of sightings: where they are not half a turn apart, something turns the needle at one end.

use std::collections::BTreeMap;

use crate::geodesy::attraction::{Correction, Sighted, attraction};
use crate::geodesy::grid;
use crate::notebook::counts::{CountsFrom, counts};
use crate::notebook::entry::RecordId;
use crate::notebook::pages::{Line, Pages, StationPage};
use crate::notebook::record::{Accepted, North, Position, SetUp, Sighting};
use crate::orientation::notation::azimuth_typed;
use crate::orientation::{Azimuth, Doubt, DoubtKind, SET_UP_LIMIT, Severity, write_azimuth};

use super::{NorthDoubt, north_doubt};

/// A line between two stations, sighted from both ends.
#[derive(Clone, Debug, PartialEq)]
pub struct ForeAndBack {
    /// The station with the lower number.
    pub from: RecordId,
    /// The other.
    pub to: RecordId,
    /// Their numbers.
    pub numbers: [u32; 2],
    /// The sightings, there and back.
    pub sightings: [RecordId; 2],
    /// The bearings, there and back, counted from the same north.
    pub bearings: [Azimuth; 2],
    /// By how much they are off half a turn, degrees: fore + 180 less back.
    pub off_deg: f64,
    /// By how much they may be: [`SET_UP_LIMIT`] times √2 of the standard deviation of one bearing.
    pub allowed_deg: f64,
    /// They agree, so that both ends are taken to be free of local attraction.
    pub free: bool,
    /// What is added to all that was read at each end, worked along the lines from the nearest free one; `None` where no free
    /// line leads there.
    pub corrections: [Option<Correction>; 2],
    /// What disagrees, unless they agree or a person has settled it at either end.
    pub doubt: Option<Doubt>,
}

impl End<'_> {
    /// A person kept both bearings as read, or put this one right.
    fn is_kept(&self, line: &ForeAndBack) -> bool {
        let keep = line.keep();
        self.sighting.sighting().is_some_and(|sighting| {
            let answers = |a: &Accepted| a.choice == keep || !a.sets.is_empty();
            let mut about = sighting.accepted.iter();
            about.any(|a| a.doubt == DoubtKind::ForeAgainstBack && answers(a))
        })
    }
}

impl ForeAndBack {
    /// What a person reads on the answer that changes nothing; kept with one of the sightings it settles the doubt.
    pub fn keep(&self) -> String {
        let [fore, back] = self.bearings.map(write_azimuth);
        format!("keep {fore} and {back}")
    }

    /// That answer, to be kept with one of the sightings.
    pub fn accept(&self, by: &str, at: &str) -> Accepted {
        Accepted {
            doubt: DoubtKind::ForeAgainstBack,
            shot: 0,
            choice: self.keep(),
            sets: Vec::new(),
            by: by.to_owned(),
            at: at.to_owned(),
        }
    }

    /// The doubt with the records it is about.
    pub(super) fn north_doubt(&self) -> Option<NorthDoubt> {
        let doubt = self.doubt.as_ref()?;
        let found = north_doubt(
            doubt.kind,
            doubt.severity,
            doubt.message.clone(),
            Vec::new(),
        );
        Some(NorthDoubt {
            keep: self.keep(),
            records: self.sightings.to_vec(),
            ..found
        })
    }
}

/// The bearing of a sighting, turned to true north where that can be done, and what it counts from; `None` while it is not typed.
///
/// # Degenerate input
/// A bearing that is no azimuth in digits or by its quadrant is none.
pub fn bearing(sighting: &Sighting, place: Option<&Position>) -> Option<(Azimuth, CountsFrom)> {
    let read = Azimuth::wrapped_deg(azimuth_typed(sighting.bearing.as_deref()?)?).ok()?;
    let grid = place.filter(|_| sighting.north == North::Grid);
    let utm = grid.and_then(|place| grid::utm(place.latitude, place.longitude).ok());
    let (counts_from, turn) = counts(
        sighting.north,
        sighting.declination.as_deref(),
        sighting.card_declination.as_deref(),
        utm.map(|utm| utm.convergence),
    );
    Some((turn.map_or(read, |turn| read.turned(turn)), counts_from))
}

/// A bearing of a line, ready to be held against the one back.
struct End<'p> {
    sighting: &'p Line,
    bearing: Azimuth,
    sd_deg: f64,
}

/// The north that two bearings must share to be compared.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Against {
    True,
    Magnetic,
    Grid,
    Unknown,
}

impl Against {
    fn of(counts_from: CountsFrom) -> Self {
        match counts_from {
            CountsFrom::Magnetic => Self::Magnetic,
            CountsFrom::Grid => Self::Grid,
            CountsFrom::Unknown => Self::Unknown,
            _ => Self::True,
        }
    }
}

/// The lines between stations that were sighted from both ends, and the corrections worked along them.
///
/// Struck-out sightings and stations are left out; where a line was sighted more than once from an end, the last counts.
///
/// # Degenerate input
/// No sightings that name each other's stations: none. Two bearings against different norths, of which one cannot be turned
/// to the other, are not compared.
pub fn fore_and_back(pages: &Pages) -> Vec<ForeAndBack> {
    let mut norths: BTreeMap<Against, BTreeMap<(usize, usize), End<'_>>> = BTreeMap::new();
    for (from, page) in pages.stations().iter().enumerate() {
        if page.line().is_struck_out() {
            continue;
        }
        let place = page.line().station().and_then(|s| s.position.as_ref());
        for line in page.sightings().iter().filter(|line| !line.is_struck_out()) {
            let Some(sighting) = line.sighting() else {
                continue;
            };
            let to = sighting.to.as_deref().and_then(|to| pages.place_of(to));
            let Some(to) =
                to.filter(|&to| to != from && !pages.stations()[to].line().is_struck_out())
            else {
                continue;
            };
            let Some((bearing, counts_from)) = bearing(sighting, place) else {
                continue;
            };
            let end = End {
                sighting: line,
                bearing,
                sd_deg: sd_deg(pages, sighting),
            };
            let ends = norths.entry(Against::of(counts_from)).or_default();
            ends.insert((from, to), end);
        }
    }
    let mut found: Vec<ForeAndBack> = norths
        .values()
        .flat_map(|ends| worked(pages.stations(), ends))
        .collect();
    found.sort_by(|a, b| (a.numbers, &a.sightings).cmp(&(b.numbers, &b.sightings)));
    found
}

/// The standard deviation of one bearing with its rounding, degrees.
fn sd_deg(pages: &Pages, sighting: &Sighting) -> f64 {
    let set_up = sighting.set_up.as_deref().and_then(|id| pages.set_up(id));
    let usual = SetUp::default();
    let set_up = set_up.and_then(Line::set_up).unwrap_or(&usual);
    (set_up.needle_sd_deg().powi(2) + set_up.resolution_deg().powi(2) / 12.0).sqrt()
}

fn worked(stations: &[StationPage], ends: &BTreeMap<(usize, usize), End<'_>>) -> Vec<ForeAndBack> {
    let pairs: Vec<(usize, usize, &End<'_>, &End<'_>)> = ends
        .iter()
        .filter(|((from, to), _)| from < to)
        .filter_map(|(&(from, to), fore)| Some((from, to, fore, ends.get(&(to, from))?)))
        .collect();
    // One figure for all lines: the coarsest, so that no line is doubted for the instrument's sake.
    let sd_deg = pairs
        .iter()
        .flat_map(|(_, _, fore, back)| [fore.sd_deg, back.sd_deg])
        .fold(0.0, f64::max);
    let lines: Vec<Sighted> = pairs
        .iter()
        .map(|&(from, to, fore, back)| Sighted {
            from,
            to,
            fore: fore.bearing,
            back: back.bearing,
        })
        .collect();
    let Ok(worked) = attraction(stations.len(), &lines, sd_deg) else {
        return Vec::new();
    };
    let allowed_deg = SET_UP_LIMIT * std::f64::consts::SQRT_2 * sd_deg;
    pairs
        .into_iter()
        .zip(worked.lines)
        .map(|((from, to, fore, back), line)| {
            let mut found = ForeAndBack {
                from: stations[from].line().record().clone(),
                to: stations[to].line().record().clone(),
                numbers: [from, to].map(|i| stations[i].line().number()),
                sightings: [fore, back].map(|end| end.sighting.record().clone()),
                bearings: [fore.bearing, back.bearing],
                off_deg: line.off_deg,
                allowed_deg,
                free: line.free,
                corrections: [worked.stations[from], worked.stations[to]],
                doubt: None,
            };
            let answered = [fore, back].iter().any(|end| end.is_kept(&found));
            found.doubt = (!line.free && !answered).then(|| doubt(&found));
            found
        })
        .collect()
}

fn doubt(line: &ForeAndBack) -> Doubt {
    let [from, to] = line.numbers;
    let [fore, back] = line.bearings.map(write_azimuth);
    let apart =
        crate::orientation::angle::wrap_deg(line.bearings[1].deg() - line.bearings[0].deg());
    let corrected: Vec<String> = line
        .numbers
        .iter()
        .zip(line.corrections)
        .filter_map(|(number, correction)| {
            let correction = correction.filter(|c| c.lines > 0)?;
            Some(format!(
                "worked along the lines, {:+.1}° (±{:.1}°) goes on every bearing of station {number}",
                correction.deg, correction.sd_deg
            ))
        })
        .collect();
    let way_out = if corrected.is_empty() {
        "no line with bearings that agree leads there; sight it again away from iron, or from a third station".to_owned()
    } else {
        corrected.join(", ")
    };
    Doubt {
        kind: DoubtKind::ForeAgainstBack,
        severity: Severity::Doubt,
        dial: None,
        message: format!(
            "{fore} from station {from} to {to} and {back} back are {apart:.1}° apart: {:.1}° off 180, and {:.1}° is allowed; {way_out}",
            line.off_deg.abs(),
            line.allowed_deg
        ),
        choices: Vec::new(),
    }
}
