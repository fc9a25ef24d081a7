//! Doubts of the neighbours: a reading unlike the structure that the others of its kind show, and a station where everything is
//! turned by one angle. Nothing is doubted where the others show no structure.

use std::collections::BTreeMap;

use nalgebra::Vector3;

use super::structure::Datum;
use crate::orientation::neighbours::{Shape, Standing, Structure, Whole, common_turn};
use crate::orientation::next::{self, Advice, Prediction};
use crate::orientation::{
    Azimuth, Dip, Doubt, DoubtKind, Line, Noise, Plane, Plunge, Severity, Winds, wind,
};

/// Up to so many readings of a kind every one is held against a fit without it; beyond, one in so many pulls nothing.
const EACH_WITHOUT: usize = 80;

/// A station with at most one in so many readings of a kind is left out of all of them at the cost of its own.
const ONE_IN: usize = 80;

/// A doubt of the neighbours, and whose it is.
#[derive(Clone, Debug, PartialEq)]
pub struct Around {
    /// Record id of the reading; `None` for a whole station.
    pub record: Option<String>,
    /// Record id of the station.
    pub station: String,
    /// What the reading is called, as `47·3`; of a station the name of its first reading.
    pub name: String,
    /// The doubt.
    pub doubt: Doubt,
}

/// What stands for a reading on the sphere: the pole of its plane, or its line.
fn axis(datum: &Datum) -> Option<Vector3<f64>> {
    datum
        .pole()
        .or_else(|| datum.line.as_ref().map(Line::vector))
}

/// Readings of one kind that count from true north: only these may be compared.
fn of_kinds(data: &[Datum]) -> BTreeMap<&str, Vec<(&Datum, Vector3<f64>)>> {
    let mut kinds: BTreeMap<&str, Vec<_>> = BTreeMap::new();
    for datum in data.iter().filter(|d| d.is_true) {
        if let Some(axis) = axis(datum) {
            kinds.entry(&datum.kind).or_default().push((datum, axis));
        }
    }
    kinds
}

/// All doubts of the neighbours in a book.
pub fn doubts(data: &[Datum]) -> Vec<Around> {
    let kinds = of_kinds(data);
    let mut found = Vec::new();
    for of_kind in kinds.values() {
        let all: Vec<Vector3<f64>> = of_kind.iter().map(|(_, v)| *v).collect();
        let whole = (all.len() > EACH_WITHOUT)
            .then(|| Structure::of(&all))
            .flatten();
        for (i, (datum, v)) in of_kind.iter().enumerate() {
            let structure = match whole {
                Some(whole) => Some(whole),
                None if all.len() > EACH_WITHOUT => None,
                None => {
                    let mut others = all.clone();
                    others.remove(i);
                    Structure::of(&others)
                }
            };
            if let Some(doubt) = structure.and_then(|s| unlike(datum, v, &s)) {
                found.push(Around {
                    record: Some(datum.record.clone()),
                    station: datum.station.clone(),
                    name: datum.name.clone(),
                    doubt,
                });
            }
        }
    }
    found.extend(turned_stations(data, &kinds, ONE_IN));
    found
}

/// The doubt of one reading against the structure of the others, if it is unlike them.
fn unlike(datum: &Datum, v: &Vector3<f64>, structure: &Structure) -> Option<Doubt> {
    let own_sd = own_sd_deg(datum);
    let standing = structure.standing(v, own_sd);
    if !standing.is_doubted() {
        return None;
    }
    let Standing {
        off_deg, sd_deg, ..
    } = standing;
    let around = match structure.shape {
        Shape::Cluster => format!(
            "the mean of the other {} {} readings",
            structure.count, datum.kind
        ),
        Shape::Girdle => format!(
            "the girdle of the other {} {} readings",
            structure.count, datum.kind
        ),
    };
    let would = slips(datum)
        .into_iter()
        .find(|(_, v)| structure.standing(v, own_sd).agrees())
        .map_or_else(
            || "no single slip would bring it back; is it another structure?".to_owned(),
            |(words, _)| format!("agrees if {words}"),
        );
    Some(Doubt {
        kind: DoubtKind::UnlikeAround,
        severity: Severity::Doubt,
        dial: None,
        message: format!(
            "{off_deg:.0}° off {around}, and {:.0}° is what chance allows; {would}",
            3.3 * sd_deg
        ),
        choices: Vec::new(),
    })
}

fn own_sd_deg(datum: &Datum) -> f64 {
    let noise = Noise::default();
    match (&datum.plane, &datum.line) {
        (Some(plane), _) => noise.pole_sd_deg(plane.dip()),
        (None, Some(line)) => noise.line_sd_deg(line.plunge()),
        (None, None) => 0.0,
    }
}

/// What the reading would be with each single slip undone, the likelier slips first (our assumption, as for a set-up).
fn slips(datum: &Datum) -> Vec<(String, Vector3<f64>)> {
    let mut tried = Vec::new();
    let declination = datum.declination_deg;
    let turned = |azimuth: Azimuth, by: f64| Azimuth::wrapped_deg(azimuth.deg() + by);
    if let Some(plane) = &datum.plane {
        let other = plane.other_side();
        let side = wind(other.dip_direction().deg(), Winds::Eight);
        tried.push((format!("it dips {side}"), other.normal()));
        let steep = plane.dip().complement();
        tried.push((
            format!("the dip is {:02.0}, read from the vertical", steep.deg()),
            Plane::new(plane.strike(), steep).normal(),
        ));
        let mirrored = turned(plane.strike(), -2.0 * plane.strike().deg());
        tried.extend(mirrored.ok().into_iter().flat_map(|strike| {
            let plane = Plane::new(strike, plane.dip());
            [plane, plane.other_side()].map(|p| {
                let side = wind(p.dip_direction().deg(), Winds::Eight);
                (
                    format!(
                        "east and west were exchanged: it strikes {:03.0} and dips {side}",
                        p.strike().deg()
                    ),
                    p.normal(),
                )
            })
        }));
        for (by, words) in declination_slips(declination) {
            tried.extend(
                turned(plane.strike(), by)
                    .ok()
                    .map(|strike| (words.to_owned(), Plane::new(strike, plane.dip()).normal())),
            );
        }
        for by in [10.0, -10.0] {
            tried.extend(turned(plane.strike(), by).ok().map(|strike| {
                (
                    format!("the strike is {:03.0}, a ten out", strike.deg()),
                    Plane::new(strike, plane.dip()).normal(),
                )
            }));
            tried.extend(Dip::from_deg(plane.dip().deg() + by).ok().map(|dip| {
                (
                    format!("the dip is {:02.0}, a ten out", dip.deg()),
                    Plane::new(plane.strike(), dip).normal(),
                )
            }));
        }
    } else if let Some(line) = &datum.line {
        let other = Line::new(line.trend().opposite(), line.plunge());
        tried.push((
            format!("it trends {:03.0}", other.trend().deg()),
            other.vector(),
        ));
        let steep = Plunge::from_deg(90.0 - line.plunge().deg().abs());
        tried.extend(steep.ok().map(|plunge| {
            (
                format!(
                    "the plunge is {:02.0}, read from the vertical",
                    plunge.deg()
                ),
                Line::new(line.trend(), plunge).vector(),
            )
        }));
        for (by, words) in declination_slips(declination) {
            tried.extend(
                turned(line.trend(), by)
                    .ok()
                    .map(|trend| (words.to_owned(), Line::new(trend, line.plunge()).vector())),
            );
        }
    }
    tried
}

/// How far each slip of declination turns an azimuth back, where one was set.
fn declination_slips(declination_deg: f64) -> Vec<(f64, &'static str)> {
    if declination_deg.abs() < 1.0 {
        return Vec::new();
    }
    vec![
        (
            -declination_deg,
            "declination is removed: it was applied twice",
        ),
        (declination_deg, "declination is applied: it was left out"),
        (
            -2.0 * declination_deg,
            "declination is reversed: east was taken for west",
        ),
    ]
}

/// Stations whose readings are turned together. A station with more than one in `one_in` readings of a kind is held against a
/// fit to the others alone: there are fewer than `one_in` such stations, so that a long book takes no longer for each of its
/// readings than a short one.
fn turned_stations(
    data: &[Datum],
    kinds: &BTreeMap<&str, Vec<(&Datum, Vector3<f64>)>>,
    one_in: usize,
) -> Vec<Around> {
    let mut wholes: BTreeMap<&str, Option<Whole>> = BTreeMap::new();
    let mut stations: BTreeMap<&str, Vec<&Datum>> = BTreeMap::new();
    for datum in data.iter().filter(|d| d.is_true) {
        stations.entry(&datum.station).or_default().push(datum);
    }
    let mut found = Vec::new();
    for (station, readings) in stations.iter().filter(|(_, r)| r.len() >= 3) {
        let mut without: BTreeMap<&str, Option<Structure>> = BTreeMap::new();
        let mut held = Vec::new();
        for datum in readings {
            let Some(own) = axis(datum) else { continue };
            let structure = *without.entry(&datum.kind).or_insert_with(|| {
                let of_kind = kinds.get(datum.kind.as_str())?;
                let same = readings.iter().filter(|d| d.kind == datum.kind);
                let here: Vec<Vector3<f64>> = same.filter_map(|d| axis(d)).collect();
                if here.len().saturating_mul(one_in) <= of_kind.len() {
                    let whole = wholes.entry(&datum.kind).or_insert_with(|| {
                        let all: Vec<Vector3<f64>> = of_kind.iter().map(|(_, v)| *v).collect();
                        Whole::of(&all)
                    });
                    return whole.as_ref()?.without(&here);
                }
                let others = of_kind.iter().filter(|(d, _)| d.station != *station);
                let others: Vec<Vector3<f64>> = others.map(|(_, v)| *v).collect();
                Structure::of(&others)
            });
            held.extend(structure.map(|s| (own, s)));
        }
        let Some(turn) = common_turn(&held) else {
            continue;
        };
        let way = if turn.turn_deg > 0.0 {
            "clockwise"
        } else {
            "counter-clockwise"
        };
        found.push(Around {
            record: None,
            station: (*station).to_owned(),
            name: readings[0].name.clone(),
            doubt: Doubt {
                kind: DoubtKind::AllTurned,
                severity: Severity::Doubt,
                dial: None,
                message: format!(
                    "all {} readings here stand {:.0}° ± {:.0}° {way} of the structure around; is the rock magnetic, or was the set-up another?",
                    turn.count,
                    turn.turn_deg.abs(),
                    turn.sd_deg
                ),
                choices: Vec::new(),
            },
        });
    }
    found
}

/// What to measure next of one kind, and what its structure has in store, in field words.
#[derive(Clone, Debug, PartialEq)]
pub struct Outlook {
    /// The structure.
    pub structure: Structure,
    /// The reading that would help most; `None` for a structure that is no girdle.
    pub advice: Option<Advice>,
    /// What the next outcrop may show.
    pub predictions: Vec<Prediction>,
}

/// The outlook of a selection of readings of one kind of plane.
///
/// # Degenerate input
/// Too few readings, or no structure: `None`.
pub fn outlook(selection: &[&Datum]) -> Option<Outlook> {
    let poles: Vec<Vector3<f64>> = selection.iter().filter_map(|d| d.pole()).collect();
    let structure = Structure::of(&poles)?;
    Some(Outlook {
        structure,
        advice: next::advice(&structure, &poles),
        predictions: next::predictions(&structure, &poles),
    })
}

impl Outlook {
    /// What to measure next, in one sentence; `None` where one more reading changes little.
    pub fn advice_words(&self, kind: &str) -> Option<String> {
        let advice = self.advice?;
        if advice.now_deg - advice.then_deg < 0.1 {
            return None;
        }
        let toward = wind(advice.toward_deg, Winds::Eight);
        let (least, most) = advice.dips_deg;
        let dips = if most - least < 5.0 {
            format!("dipping about {:.0}°", advice.best.dip().deg())
        } else {
            format!("dipping {least:.0}–{most:.0}°")
        };
        Some(format!(
            "The axis is known to ±{:.1}°; a {kind} reading {dips} to the {toward} would bring it to about ±{:.1}°.",
            advice.now_deg, advice.then_deg
        ))
    }

    /// What the next outcrop may show, one sentence a limb.
    pub fn prediction_words(&self, write: impl Fn(&Plane) -> String) -> Vec<String> {
        self.predictions
            .iter()
            .map(|p| {
                format!(
                    "{} within {:.0}°, as {:.0} in 100 so far",
                    write(&p.plane),
                    p.within_deg,
                    100.0 * p.share
                )
            })
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::orientation::Polarity;

    fn bed(station: u32, number: u32, strike_deg: f64, dip_deg: f64) -> Datum {
        Datum {
            record: format!("r{station}.{number}"),
            station: format!("s{station}"),
            name: format!("{station}·{number}"),
            kind: "bedding".to_owned(),
            day: String::new(),
            by: String::new(),
            unit: String::new(),
            plane: Some(Plane::from_deg(strike_deg, dip_deg).expect("in range")),
            line: None,
            tops: Polarity::Unknown,
            slip: None,
            is_true: true,
            doubted: false,
            sd_deg: 1.0,
            declination_deg: -12.0,
        }
    }

    /// Beds that dip about 40 south-east, each a little off.
    fn slope() -> Vec<Datum> {
        (0..16)
            .map(|i| {
                let off = f64::from(i % 5) - 2.0;
                bed(i, 1, 45.0 + off, 40.0 - f64::from(i % 3))
            })
            .collect()
    }

    #[test]
    fn a_bed_that_dips_the_other_way_is_named_with_its_slip() {
        assert_eq!(doubts(&slope()), Vec::new());
        let mut beds = slope();
        beds.push(bed(40, 1, 225.0, 40.0));
        let found = doubts(&beds);
        assert_eq!(found.len(), 1);
        assert_eq!(
            (found[0].name.as_str(), found[0].doubt.kind),
            ("40·1", DoubtKind::UnlikeAround)
        );
        assert!(
            found[0].doubt.message.ends_with("agrees if it dips SE"),
            "{}",
            found[0].doubt.message
        );
        // One that does not count from true north is compared with nothing.
        beds[16].is_true = false;
        assert_eq!(doubts(&beds), Vec::new());
    }

    #[test]
    fn declination_left_out_is_named() {
        let mut beds = slope();
        // 12 west was left out: the strike stands 12 too far clockwise. Steep beds, so that 12° show.
        for bed in &mut beds {
            let plane = bed.plane.expect("a plane");
            bed.plane = Some(Plane::new(
                plane.strike(),
                Dip::from_deg(plane.dip().deg() + 40.0).expect("in range"),
            ));
        }
        beds.push(bed(40, 1, 57.0, 79.0));
        let found = doubts(&beds);
        assert_eq!(found.len(), 1, "{found:?}");
        assert!(
            found[0].doubt.message.contains("declination is applied"),
            "{}",
            found[0].doubt.message
        );
    }

    #[test]
    fn a_turned_station_is_told_as_one() {
        let mut beds = slope();
        for (number, dip) in [(1, 39.0), (2, 40.0), (3, 38.0), (4, 41.0)] {
            beds.push(bed(50, number, 45.0 + 50.0, dip));
        }
        let found = doubts(&beds);
        let station: Vec<_> = found.iter().filter(|f| f.record.is_none()).collect();
        assert_eq!(station.len(), 1, "{found:?}");
        assert!(
            station[0].doubt.message.contains("50° ±")
                && station[0].doubt.message.contains(" clockwise"),
            "{}",
            station[0].doubt.message
        );
    }

    #[test]
    fn the_outlook_speaks_in_field_words() {
        let mut beds = slope();
        beds.extend(
            (0..9).map(|i| bed(60 + i, 1, 228.0 + f64::from(i % 4), 58.0 + f64::from(i % 3))),
        );
        let selection: Vec<&Datum> = beds.iter().collect();
        let outlook = outlook(&selection).expect("a fold");
        assert_eq!(outlook.predictions.len(), 2);
        let words = outlook
            .prediction_words(|p| format!("{:03.0}/{:02.0}", p.strike().deg(), p.dip().deg()));
        assert!(words[0].contains("in 100 so far"), "{words:?}");
        if let Some(words) = outlook.advice_words("bedding") {
            assert!(
                words.starts_with("The axis is known to ±") && words.contains(" to the "),
                "{words}"
            );
        }
        assert!(super::outlook(&selection[..3]).is_none());
    }

    /// Beds along a fold or on a slope, with stations that are turned; by lot, always the same.
    fn by_lot(stations: u32, seed: u64, folded: bool) -> Vec<Datum> {
        let mut state = seed;
        let mut lot = move |from: f64, to: f64| {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            let share = f64::from(u32::try_from(state >> 33).unwrap()) / f64::from(1_u32 << 31);
            from + share * (to - from)
        };
        let mut beds = Vec::new();
        for station in 0..stations {
            let turn = if lot(0.0, 1.0) < 0.1 {
                lot(15.0, 60.0)
            } else {
                0.0
            };
            for number in 1..=4 {
                let limb = if folded && lot(0.0, 1.0) < 0.5 {
                    180.0
                } else {
                    0.0
                };
                let strike = (40.0 + limb + turn + lot(-8.0, 8.0)).rem_euclid(360.0);
                beds.push(bed(station, number, strike, lot(20.0, 70.0)));
            }
        }
        beds
    }

    #[test]
    fn leaving_a_station_out_at_no_cost_finds_what_the_plain_way_finds() {
        let mut turned = 0;
        for seed in 0..6 {
            let beds = by_lot(120, seed, seed % 2 == 1);
            let kinds = of_kinds(&beds);
            let plain = turned_stations(&beds, &kinds, usize::MAX);
            let quick = turned_stations(&beds, &kinds, ONE_IN);
            let names = |found: &[Around]| -> Vec<String> {
                found.iter().map(|found| found.name.clone()).collect()
            };
            assert_eq!(names(&quick), names(&plain), "seed {seed}");
            turned += plain.len();
            let all: Vec<Vector3<f64>> = kinds["bedding"].iter().map(|(_, v)| *v).collect();
            let whole = Whole::of(&all).expect("enough");
            for (few, others) in [(&all[..4], &all[4..]), (&all[476..], &all[..476])] {
                let (Some(quick), Some(plain)) = (whole.without(few), Structure::of(others)) else {
                    panic!("both are structures");
                };
                assert_eq!((quick.shape, quick.count), (plain.shape, plain.count));
                assert!(quick.axis.cross(&plain.axis).norm() < 1e-9);
                let off = quick.scatter_deg / plain.scatter_deg - 1.0;
                assert!(off.abs() < 0.05, "seed {seed}: {off}");
            }
        }
        assert!(turned > 20, "{turned}");
    }
}
