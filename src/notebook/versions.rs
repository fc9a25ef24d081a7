//! Which of several versions of one reading agrees better: with the structure around it, and within its own dials.
//!
//! Each version is taken to be as likely as the others before anything is known, and one of them to be right.

use super::attitude::{self, Attitude};
use super::pages::Pages;
use super::record::{Form, Reading};
use super::structure::Datum;
use crate::orientation::neighbours::{Shape, Structure};
use crate::orientation::{Line, Noise, Severity};

/// A version whose own dials contradict each other is not ruled out: one set-up in so many has a slip (our assumption).
const SLIP: f64 = 1.0 / 20.0;

/// The structure that the other readings of the kind show.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Neighbours {
    /// A cluster or a girdle.
    pub shape: Shape,
    /// How many readings it comes from.
    pub count: usize,
    /// Standard deviation that a reading is off it, degrees.
    pub sd_deg: f64,
}

/// How one version agrees.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Fit {
    /// How far off the structure of its neighbours it lies, degrees.
    pub off_deg: Option<f64>,
    /// What its own dials say against it.
    pub doubt: Option<String>,
    /// Probability among the versions, 0 to 1.
    pub odds: f64,
}

/// What speaks for one version or another.
#[derive(Clone, Debug, PartialEq)]
pub struct Weighed {
    /// The structure around, where the readings show one.
    pub around: Option<Neighbours>,
    /// One for each version, in their order.
    pub fits: Vec<Fit>,
}

/// Weighs the versions of a reading.
///
/// Takes the book's readings as [`super::structure::data`] gives them; those of `record` itself have no part.
///
/// # Degenerate input
/// Fewer than two versions, a version that is not whole, or nothing to weigh them by: `None`.
pub fn weigh(
    pages: &Pages,
    data: &[Datum],
    record: &str,
    versions: &[&Reading],
) -> Option<Weighed> {
    let (first, rest) = versions.split_first()?;
    if rest.is_empty() || rest.iter().any(|other| other.kind != first.kind) {
        return None;
    }
    let attitudes: Vec<Attitude> = versions
        .iter()
        .map(|reading| attitude::in_book(pages, reading))
        .collect();
    let axes: Option<Vec<_>> = versions
        .iter()
        .zip(&attitudes)
        .map(|(reading, attitude)| axis(reading, attitude))
        .collect();
    let axes = axes?;
    let others: Vec<_> = data
        .iter()
        .filter(|d| d.is_true && d.kind == first.kind && d.record != record)
        .filter_map(|d| d.pole().or_else(|| d.line.as_ref().map(Line::vector)))
        .collect();
    let counts_alike = attitudes.iter().all(|a| a.counts_from.is_true());
    let structure = counts_alike.then(|| Structure::of(&others)).flatten();
    let mut fits = Vec::with_capacity(versions.len());
    let mut around = None;
    for (v, attitude) in axes.iter().zip(&attitudes) {
        let mut fit = Fit {
            odds: 1.0,
            ..Fit::default()
        };
        if let Some(structure) = &structure {
            let standing = structure.standing(&v.0, v.1);
            fit.off_deg = Some(standing.off_deg);
            fit.odds *= structure.likeness(&v.0, v.1);
            around.get_or_insert(Neighbours {
                shape: structure.shape,
                count: structure.count,
                sd_deg: standing.sd_deg,
            });
        }
        let mut open = attitude.open.iter();
        if let Some(found) = open.find(|found| found.doubt.severity == Severity::Doubt) {
            fit.doubt = Some(found.doubt.message.clone());
            fit.odds *= SLIP;
        }
        fits.push(fit);
    }
    let told =
        fits.iter().any(|fit| fit.doubt.is_some()) && fits.iter().any(|fit| fit.doubt.is_none());
    if around.is_none() && !told {
        return None;
    }
    let all: f64 = fits.iter().map(|fit| fit.odds).sum();
    for fit in &mut fits {
        fit.odds /= all;
    }
    Some(Weighed { around, fits })
}

/// What stands for a version on the sphere, and its own standard deviation, degrees.
fn axis(reading: &Reading, attitude: &Attitude) -> Option<(nalgebra::Vector3<f64>, f64)> {
    let noise = Noise::default();
    match (reading.form, &attitude.plane, &attitude.line) {
        (Form::Line, _, Some(line)) => Some((line.vector(), noise.line_sd_deg(line.plunge()))),
        (_, Some(plane), _) => Some((plane.normal(), noise.pole_sd_deg(plane.dip()))),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::notebook::{Act, Body, Entry, Ledger, North, Shot, Stamp, structure};

    fn reading(number: u32, strike: &str, dip: &str, side: &str) -> Reading {
        Reading {
            station: "s".to_owned(),
            number,
            kind: "bedding".to_owned(),
            north: North::True,
            shots: vec![Shot {
                strike: Some(strike.to_owned()),
                dip: Some(dip.to_owned()),
                side: Some(side.to_owned()),
                ..Shot::default()
            }],
            ..Reading::default()
        }
    }

    fn book(readings: &[Reading]) -> Pages {
        let mut ledger = Ledger::new();
        for (i, reading) in readings.iter().enumerate() {
            let stamp = Stamp {
                device: "d".to_owned(),
                counter: i as u64 + 1,
                ..Stamp::default()
            };
            let body = Some(Body::Reading(reading.clone()));
            let record = format!("r{i}").into();
            ledger.insert(Entry::new(record, [], stamp, Act::Write, None, body));
        }
        Pages::of(&ledger)
    }

    /// Ten beds that dip 36 to 40 to the south-east: a dip of 38 is like them, 83 is not.
    #[test]
    fn the_version_like_its_neighbours_is_the_likelier_and_the_other_is_not_ruled_out() {
        let beds: Vec<Reading> = (0..10)
            .map(|i| {
                let strike = format!("{:03}", 60 + 2 * (i % 5));
                reading(i + 1, &strike, &(36 + i % 5).to_string(), "SE")
            })
            .collect();
        let pages = book(&beds);
        let data = structure::data(&pages);
        let (like, unlike) = (
            reading(11, "064", "38", "SE"),
            reading(11, "064", "83", "SE"),
        );
        let weighed = weigh(&pages, &data, "r99", &[&like, &unlike]).unwrap();
        let around = weighed.around.unwrap();
        assert_eq!((around.shape, around.count), (Shape::Cluster, 10));
        assert!(weighed.fits[0].odds > 0.97 && weighed.fits[1].odds > 0.0);
        let sum: f64 = weighed.fits.iter().map(|fit| fit.odds).sum();
        assert!((sum - 1.0).abs() < 1e-12);
        // 45° of dip lie between the two poles.
        let off = |i: usize| weighed.fits[i].off_deg.unwrap();
        assert!(off(0) < 2.0 && (off(1) - 45.0).abs() < 2.0);
        let turned = weigh(&pages, &data, "r99", &[&unlike, &like]).unwrap();
        assert_eq!(turned.fits[0], weighed.fits[1]);
        assert_eq!(weigh(&pages, &data, "r99", &[&like]), None);
    }

    /// Nothing around, and nothing in the dials: there is nothing to weigh. A line that plunges steeper than its plane dips
    /// speaks against itself.
    #[test]
    fn without_neighbours_only_the_dials_can_speak() {
        let pages = book(&[]);
        let with_line = |plunge: &str| {
            let mut reading = reading(1, "045", "30", "SE");
            reading.form = Form::PlaneWithLine;
            reading.shots[0].trend = Some("135".to_owned());
            reading.shots[0].plunge = Some(plunge.to_owned());
            reading
        };
        let (sound, steep) = (with_line("30"), with_line("60"));
        assert_eq!(weigh(&pages, &[], "r", &[&sound, &with_line("31")]), None);
        let weighed = weigh(&pages, &[], "r", &[&steep, &sound]).unwrap();
        assert!(weighed.fits[0].doubt.is_some() && weighed.fits[1].odds > 0.9);
        assert_eq!(weighed.around, None);
        let bare = Reading::default();
        assert_eq!(weigh(&pages, &[], "r", &[&sound, &bare]), None);
    }
}
