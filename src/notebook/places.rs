//! Doubts of the place: a fix too poor to find the outcrop again, one farther from the last than anybody can have gone, two stations
//! at one place or with one number, and a clock that jumped.

use std::collections::BTreeMap;

use crate::geodesy::sighting::between;
use crate::orientation::{Doubt, DoubtKind, Severity};

use super::clocks;
use super::entry::RecordId;
use super::ledger::Ledger;
use super::merge::instant_s;
use super::pages::Pages;
use super::record::{Accepted, Position, Station};
use super::twins::{self, Twins};

/// A fix worse than this is doubted, metres: our assumption; it is 3 mm on a map at 1:10 000.
pub const POOR_M: f64 = 30.0;

/// Nobody goes from one outcrop to the next faster than this, metres a second: our assumption, a fast car.
const FASTEST_M_S: f64 = 40.0;

/// A position that was typed may have been typed in the evening, with any others: it is doubted only this far off, metres.
const TYPED_M: f64 = 50_000.0;

/// The heights that are on the ground or in the sea, metres above the ellipsoid: from below the deepest trench to above the
/// highest summit, which is common knowledge, with room for any geoid.
pub const HEIGHTS_M: std::ops::RangeInclusive<f64> = -12_000.0..=10_000.0;

/// A doubt about where a station is, or about its number or its time.
#[derive(Clone, Debug, PartialEq)]
pub struct PlaceDoubt {
    /// The doubt; it sets no dial, so its choices are empty.
    pub doubt: Doubt,
    /// The station that is marked; `None` where a device's clock is doubted.
    pub station: Option<RecordId>,
    /// The other station that it is held against.
    pub other: Option<RecordId>,
    /// The pair, where two stations have one number or lie at one place: what [`twins::renumber`], [`twins::tie`] and
    /// [`twins::tell_apart`] put right.
    pub twins: Option<Twins>,
    /// What a person reads on the answer that changes nothing, as `keep ±85 m`; empty where there is none.
    pub keep: String,
}

impl PlaceDoubt {
    fn of(kind: DoubtKind, message: String) -> Self {
        Self {
            doubt: Doubt {
                kind,
                severity: Severity::Doubt,
                dial: None,
                message,
                choices: Vec::new(),
            },
            station: None,
            other: None,
            twins: None,
            keep: String::new(),
        }
    }

    /// The answer that changes nothing, to be kept with the station.
    pub fn accept(&self, by: &str, at: &str) -> Accepted {
        Accepted {
            doubt: self.doubt.kind,
            shot: 0,
            choice: self.keep.clone(),
            sets: Vec::new(),
            by: by.to_owned(),
            at: at.to_owned(),
        }
    }

    fn is_kept(&self, station: &Station) -> bool {
        let mut accepted = station.accepted.iter();
        accepted.any(|answer| answer.doubt == self.doubt.kind && answer.choice == self.keep)
    }
}

/// Every doubt of the place in a book: station by station, then pairs, then clocks.
///
/// # Degenerate input
/// Struck-out stations are left out; a position without an accuracy is not poor, it is unknown.
pub fn doubts(ledger: &Ledger, pages: &Pages) -> Vec<PlaceDoubt> {
    let mut found = Vec::new();
    let far = far_from_last(ledger, pages);
    for page in pages.stations() {
        let Some(station) = page
            .line()
            .station()
            .filter(|_| !page.line().is_struck_out())
        else {
            continue;
        };
        let position = station.position.as_ref();
        let beyond = position.map(beyond).unwrap_or_default();
        let poor = position.and_then(poor_fix);
        for mut doubt in beyond
            .into_iter()
            .chain(poor)
            .chain(far.get(page.line().record()).cloned())
        {
            if !doubt.is_kept(station) {
                doubt.station = Some(page.line().record().clone());
                found.push(doubt);
            }
        }
    }
    for twins in twins::twins(ledger, pages) {
        let kind = if twins.close.is_some() {
            DoubtKind::SamePlace
        } else {
            DoubtKind::NumberTwice
        };
        found.push(PlaceDoubt {
            station: Some(twins.later.clone()),
            other: Some(twins.earlier.clone()),
            ..PlaceDoubt::of(kind, twins.in_full())
        });
        if let Some(last) = found.last_mut() {
            last.twins = Some(twins);
        }
    }
    let clocks = clocks::jumps(ledger).into_iter();
    found.extend(clocks.map(|jump| PlaceDoubt::of(DoubtKind::Clock, jump.words())));
    found
}

/// The doubts of numbers that no place on the globe has.
fn beyond(position: &Position) -> Vec<PlaceDoubt> {
    let Position {
        latitude,
        longitude,
        ..
    } = *position;
    let mut words = Vec::new();
    if latitude.abs() > 90.0 {
        let exchanged = latitude.abs() <= 180.0 && longitude.abs() <= 90.0;
        words.push(format!(
            "latitude `{}` is over 90; {}",
            legible(latitude, None),
            if exchanged {
                "were latitude and longitude exchanged?"
            } else {
                "type the position again"
            }
        ));
    }
    if longitude.abs() > 180.0 {
        words.push(if longitude.abs() <= 360.0 {
            format!(
                "longitude `{longitude}` is over 180; the other way round it is {}",
                // To a tenth of a metre, so that the subtraction's last digits do not show.
                ((longitude - 360.0_f64.copysign(longitude)) * 1e6).round() / 1e6
            )
        } else {
            format!(
                "longitude `{}` is over 180; type the position again",
                legible(longitude, None)
            )
        });
    }
    if let Some(height_m) = position.height_m.filter(|m| !HEIGHTS_M.contains(m)) {
        words.push(format!(
            "height `{}` is not from {:.0} to {:.0} m; leave it out, or type the position again",
            legible(height_m, None),
            HEIGHTS_M.start(),
            HEIGHTS_M.end()
        ));
    }
    if let Some(accuracy_m) = position.accuracy_m.filter(|m| *m < 0.0) {
        words.push(format!(
            "accuracy `{}` is below 0; leave it out where it is not known",
            legible(accuracy_m, None)
        ));
    }
    let words = words.into_iter();
    words
        .map(|words| PlaceDoubt::of(DoubtKind::OutOfRange, words))
        .collect()
}

/// A number to so many decimals, or as it is; one that fills a line is written by its power of ten.
#[must_use]
pub fn legible(number: f64, decimals: Option<usize>) -> String {
    if number.abs() >= 1e9 {
        return format!("{number:e}");
    }
    decimals.map_or_else(
        || number.to_string(),
        |decimals| format!("{number:.decimals$}"),
    )
}

/// The doubt of one position by itself, as it comes in.
pub fn poor_fix(position: &Position) -> Option<PlaceDoubt> {
    let accuracy_m = position.accuracy_m.filter(|m| *m > POOR_M)?;
    Some(PlaceDoubt {
        keep: format!("keep ±{} m", legible(accuracy_m, Some(0))),
        ..PlaceDoubt::of(
            DoubtKind::PoorFix,
            format!(
                "the place is known to {} m, worse than {POOR_M:.0} m; wait for a better fix, or type the position",
                legible(accuracy_m, Some(0))
            ),
        )
    })
}

/// A station with a position, in its device's own order.
struct Stop<'p> {
    record: &'p RecordId,
    number: u32,
    position: &'p Position,
    at_s: i64,
}

impl Stop<'_> {
    /// How far it is to another, metres, and how far anybody can have come in the time between.
    fn reach(&self, to: &Self) -> Option<(f64, f64)> {
        let apart = between(
            [self.position.latitude, self.position.longitude],
            [to.position.latitude, to.position.longitude],
        );
        let apart_m = apart.ok()?.level_m;
        let after_s = u32::try_from(to.at_s - self.at_s).ok()?;
        let good_m = |position: &Position| position.accuracy_m.unwrap_or(0.0);
        let typed = |position: &Position| position.source != "device";
        let mut reach_m = f64::from(after_s) * FASTEST_M_S
            + 2.0 * good_m(self.position).hypot(good_m(to.position));
        if typed(self.position) || typed(to.position) {
            reach_m += TYPED_M;
        }
        Some((apart_m, reach_m))
    }

    fn is_beyond(&self, to: &Self) -> bool {
        self.reach(to)
            .is_some_and(|(apart_m, reach_m)| apart_m > reach_m)
    }
}

fn far_from_last(ledger: &Ledger, pages: &Pages) -> BTreeMap<RecordId, PlaceDoubt> {
    let mut devices: BTreeMap<&str, Vec<(u64, Stop<'_>)>> = BTreeMap::new();
    for page in pages
        .stations()
        .iter()
        .filter(|p| !p.line().is_struck_out())
    {
        let Some(station) = page.line().station() else {
            continue;
        };
        let record = page.line().record();
        let first = ledger.history(record.as_str()).into_iter().next();
        let stop = station.position.as_ref().zip(instant_s(&station.at));
        let placed = stop.filter(|(position, _)| position.source != "sighting");
        if let (Some(first), Some((position, at_s))) = (first, placed) {
            let stop = Stop {
                record,
                number: station.number,
                position,
                at_s,
            };
            let of_device = devices.entry(&first.stamp().device).or_default();
            of_device.push((first.stamp().counter, stop));
        }
    }
    let mut found = BTreeMap::new();
    for mut stops in devices.into_values() {
        stops.sort_by(|a, b| (a.0, a.1.record).cmp(&(b.0, b.1.record)));
        let mut last: Option<&Stop<'_>> = None;
        for (i, (_, stop)) in stops.iter().enumerate() {
            let Some(before) = last.replace(stop) else {
                continue;
            };
            if !before.is_beyond(stop) {
                continue;
            }
            let next = stops.get(i + 1).map(|(_, next)| next);
            // The one that stands alone is off: where the next is in reach of the one before, it is this one.
            if next.is_some_and(|next| !before.is_beyond(next)) {
                last = Some(before);
            }
            if let Some((apart_m, _)) = before.reach(stop) {
                let doubt = PlaceDoubt {
                    other: Some(before.record.clone()),
                    keep: format!("keep {}", kilometres(apart_m)),
                    ..PlaceDoubt::of(
                        DoubtKind::FarFromLast,
                        format!(
                            "the place is {} from station {}, started {} min before; is it an old fix, or a number mistyped?",
                            kilometres(apart_m),
                            before.number,
                            (stop.at_s - before.at_s) / 60
                        ),
                    )
                };
                found.insert(stop.record.clone(), doubt);
            }
        }
    }
    found
}

fn kilometres(m: f64) -> String {
    if m < 9_950.0 {
        format!("{:.1} km", m / 1000.0)
    } else {
        format!("{:.0} km", m / 1000.0)
    }
}
