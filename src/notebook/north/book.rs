//! Doubts of north over a whole book: one for all the readings that share it.

use std::collections::{BTreeMap, HashMap};

use crate::geodesy::Field;
use crate::geodesy::grid;
use crate::notebook::counts::declination;
use crate::notebook::pages::{Line, Pages};
use crate::notebook::record::{Body, North, Position, SetUp};
use crate::notebook::reset::Change;
use crate::orientation::angle::turn_deg;
use crate::orientation::{DoubtKind, Severity};

use super::{
    Asked, LIMIT, Mend, NorthDoubt, SETTING_SD_DEG, asked_of_reading, asked_of_sighting, day,
    doubts_of, east_west, field_at, fore_and_back, north_doubt,
};

/// A reading or sighting that stands, with what is asked about its north.
struct One<'p> {
    line: &'p Line,
    station: u32,
    asked: Asked<'p>,
    field: Option<Field>,
}

/// The doubts of north of all that stands in a book. What several records share is one doubt that counts them.
///
/// # Degenerate input
/// An empty book has none. Records of struck-out stations are left out.
pub fn doubts_of_book(pages: &Pages) -> Vec<NorthDoubt> {
    let all = standing(pages);
    let mut doubts = Vec::new();
    type Shared<'p> = (DoubtKind, North, Option<&'p str>, bool, &'p str);
    let mut place_of: HashMap<Shared<'_>, usize> = HashMap::new();
    let mut stations: Vec<(u32, u32)> = Vec::new();
    for one in &all {
        for mut doubt in doubts_of(&one.asked, one.field) {
            let asked = &one.asked;
            let key = (
                doubt.doubt.kind,
                asked.north,
                asked.declination,
                asked.put_right,
                day(asked.at),
            );
            let place = *place_of.entry(key).or_insert(doubts.len());
            let record = one.line.record().clone();
            if place == doubts.len() {
                doubt.records = vec![record];
                doubts.push(doubt);
                stations.push((one.station, one.station));
            } else {
                doubts[place].records.push(record);
                let (first, last) = stations[place];
                stations[place] = (first.min(one.station), last.max(one.station));
            }
        }
    }
    for (doubt, (first, last)) in doubts.iter_mut().zip(stations) {
        let count = doubt.records.len();
        let at = if first == last {
            format!("station {first}")
        } else {
            format!("stations {first} to {last}")
        };
        let bearings = if count == 1 { "record" } else { "records" };
        doubt
            .doubt
            .message
            .push_str(&format!("; {count} {bearings} at {at}"));
        for mend in &mut doubt.mends {
            mend.records.clone_from(&doubt.records);
        }
    }
    doubts.extend(members_differ(&all));
    doubts.extend(
        fore_and_back(pages)
            .iter()
            .filter_map(super::ForeAndBack::north_doubt),
    );
    doubts
}

fn standing(pages: &Pages) -> Vec<One<'_>> {
    let set_ups: HashMap<&str, &SetUp> = pages
        .set_ups()
        .iter()
        .filter_map(|line| Some((line.record().as_str(), line.set_up()?)))
        .collect();
    let set_up_of = |id: Option<&str>| id.and_then(|id| set_ups.get(id).copied());
    let mut all = Vec::new();
    for page in pages.stations() {
        let Some(station) = page
            .line()
            .station()
            .filter(|_| !page.line().is_struck_out())
        else {
            continue;
        };
        let place: Option<&Position> = station.position.as_ref();
        let mut fields: HashMap<&str, Option<Field>> = HashMap::new();
        let taken = page.readings().iter().chain(page.sightings());
        for line in taken.filter(|line| !line.is_struck_out()) {
            let asked = match line.entry().body() {
                Some(Body::Reading(reading)) => {
                    let mut shots = reading.shots.iter().map(|shot| shot.at.as_str());
                    let at = shots.rfind(|at| !at.is_empty());
                    let set_up = set_up_of(reading.set_up.as_deref());
                    asked_of_reading(reading, set_up, place, at.unwrap_or(&station.at))
                }
                Some(Body::Sighting(sighting)) => {
                    let set_up = set_up_of(sighting.set_up.as_deref());
                    let asked = asked_of_sighting(sighting, set_up, place);
                    Asked {
                        at: if asked.at.is_empty() {
                            &station.at
                        } else {
                            asked.at
                        },
                        ..asked
                    }
                }
                _ => continue,
            };
            let field = *fields
                .entry(day(asked.at))
                .or_insert_with(|| field_at(place, asked.at));
            all.push(One {
                line,
                station: station.number,
                asked,
                field,
            });
        }
    }
    all
}

/// What one value of the declination was used for on one day.
struct Used<'a, 'p> {
    /// From true to magnetic north, as the bearing takes it to be.
    deg: f64,
    /// The same less what the model gives there, where it gives something.
    against_model_deg: Option<f64>,
    resolution_deg: f64,
    ones: Vec<&'a One<'p>>,
}

/// Values that cannot both be right on the same day, whoever has them.
fn members_differ(all: &[One<'_>]) -> Vec<NorthDoubt> {
    let mut days: BTreeMap<&str, BTreeMap<(&str, bool), Used<'_, '_>>> = BTreeMap::new();
    for one in all {
        let Some(typed) = one.asked.declination.map(str::trim) else {
            continue;
        };
        let Some(deg) = believed_deg(&one.asked, typed) else {
            continue;
        };
        let model = one.field.filter(|field| !field.out_of_date);
        let model_deg = model.map(|field| field.declination.deg());
        let values = days.entry(day(one.asked.at)).or_default();
        let key = (typed, one.asked.north == North::Grid);
        let used = values.entry(key).or_insert_with(|| Used {
            deg,
            against_model_deg: model_deg.map(|model| turn_deg(model, deg)),
            resolution_deg: one.asked.resolution_deg,
            ones: Vec::new(),
        });
        used.ones.push(one);
    }
    let mut doubts = Vec::new();
    for (day, values) in days {
        let mut values: Vec<Used<'_, '_>> = values.into_values().collect();
        // What most have used comes first; where two are used alike, the one used first.
        values.sort_by_key(|used| std::cmp::Reverse(used.ones.len()));
        let Some((usual, others)) = values.split_first() else {
            continue;
        };
        for other in others {
            doubts.extend(differ(day, usual, other));
        }
    }
    doubts
}

/// The declination a bearing takes for right; of a card set to grid north with the convergence added.
fn believed_deg(asked: &Asked<'_>, typed: &str) -> Option<f64> {
    let given = declination(typed)?.deg();
    match asked.north {
        North::Unknown => None,
        North::True | North::Magnetic => Some(given),
        North::Grid => {
            let place = asked.place?;
            let utm = grid::utm(place.latitude, place.longitude).ok()?;
            Some(given + utm.convergence.deg())
        }
    }
}

fn differ(day: &str, usual: &Used<'_, '_>, other: &Used<'_, '_>) -> Option<NorthDoubt> {
    let apart_deg = match (usual.against_model_deg, other.against_model_deg) {
        // Far apart on the ground the right values differ too.
        (Some(usual), Some(other)) => turn_deg(usual, other).abs(),
        _ => turn_deg(usual.deg, other.deg).abs(),
    };
    let variance =
        |used: &Used<'_, '_>| SETTING_SD_DEG.powi(2) + used.resolution_deg.powi(2) / 12.0;
    let allowed_deg = LIMIT * (variance(usual) + variance(other)).sqrt();
    if apart_deg <= allowed_deg {
        return None;
    }
    let side = |used: &Used<'_, '_>| {
        let mut who: Vec<&str> = used
            .ones
            .iter()
            .map(|one| one.line.entry().stamp().by.as_str())
            .collect();
        who.sort_unstable();
        who.dedup();
        who.retain(|by| !by.is_empty());
        let who = if who.is_empty() {
            "somebody".to_owned()
        } else {
            who.join(", ")
        };
        let count = used.ones.len();
        let records = if count == 1 { "record" } else { "records" };
        format!(
            "{who} took declination {} for {count} {records}",
            east_west(used.deg)
        )
    };
    let mend = |right: &Used<'_, '_>, wrong: &Used<'_, '_>| {
        let typed = right.ones.first()?.asked.declination?.trim().to_owned();
        let same_north = right.ones.iter().chain(&wrong.ones).all(|one| {
            (one.asked.north == North::Grid) == (right.ones[0].asked.north == North::Grid)
        });
        same_north.then(|| Mend {
            words: format!("{} is right for all", east_west(right.deg)),
            change: Change {
                declination: Some(typed),
                why: format!(
                    "declination {} was used, the others had {}",
                    east_west(wrong.deg),
                    east_west(right.deg)
                ),
                ..Change::default()
            },
            records: wrong
                .ones
                .iter()
                .map(|one| one.line.record().clone())
                .collect(),
        })
    };
    let message = format!(
        "on {day} {} and {}: {apart_deg:.1}° apart, and {allowed_deg:.1}° is allowed; find out which is right and put the others right",
        side(usual),
        side(other)
    );
    let found = north_doubt(
        DoubtKind::MembersDiffer,
        Severity::Doubt,
        message,
        Vec::new(),
    );
    let both = usual.ones.iter().chain(&other.ones);
    Some(NorthDoubt {
        mends: [mend(usual, other), mend(other, usual)]
            .into_iter()
            .flatten()
            .collect(),
        records: both.map(|one| one.line.record().clone()).collect(),
        ..found
    })
}
