//! The limbs of a fold, found or put together by hand, and the fold they make.

use nalgebra::Vector3;
use serde::{Deserialize, Serialize};

use crate::notebook::structure::Datum;
use crate::orientation::angle::turn_deg;
use crate::orientation::folds::{self, Fold};
use crate::orientation::statistics::{Ellipse, Test, TwoMeans, Which, axis_ellipse, two_axes};
use crate::orientation::{Plane, Polarity};

/// Which readings a person took as either limb of a fold.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct ByHand {
    /// The kind of structure.
    pub kind: String,
    /// Record ids of the readings of the first limb.
    pub first: Vec<String>,
    /// Record ids of the readings of the second limb.
    pub second: Vec<String>,
}

impl ByHand {
    /// Takes readings as one limb; they leave the other.
    pub fn take(&mut self, records: &[String], second: bool) {
        let (into, from) = if second {
            (&mut self.second, &mut self.first)
        } else {
            (&mut self.first, &mut self.second)
        };
        from.retain(|record| !records.contains(record));
        for record in records {
            if !into.contains(record) {
                into.push(record.clone());
            }
        }
    }

    /// The limb of a reading: 0, 1, or none.
    pub fn limb_of(&self, record: &str) -> Option<usize> {
        let has = |list: &[String]| list.iter().any(|r| r == record);
        match (has(&self.first), has(&self.second)) {
            (true, _) => Some(0),
            (_, true) => Some(1),
            _ => None,
        }
    }

    /// No reading is in either limb.
    pub fn is_empty(&self) -> bool {
        self.first.is_empty() && self.second.is_empty()
    }
}

/// One limb.
#[derive(Clone, Debug, PartialEq)]
pub struct Limb {
    /// Its mean plane.
    pub plane: Plane,
    /// How many readings.
    pub count: usize,
    /// Where the true mean pole lies 95 times in 100; `None` for too few.
    pub ellipse: Option<Ellipse>,
    /// Which way its beds young, where those that know agree; told of the mean plane.
    pub tops: Polarity,
}

/// Two limbs and the fold they make.
#[derive(Clone, Debug, PartialEq)]
pub struct Folded {
    /// The limbs.
    pub limbs: [Limb; 2],
    /// A person chose their readings; otherwise they were found.
    pub by_hand: bool,
    /// The fold.
    pub fold: Fold,
    /// Whether the limbs could have one mean.
    pub different: Option<Test>,
    /// How well the fold is known; `None` where a limb has too few readings for an ellipse.
    pub within: Option<Within>,
}

/// How well a fold is known from its limbs' means: what holds the truth 95 times in 100.
#[derive(Clone, Debug, PartialEq)]
pub struct Within {
    /// Half the interval of the interlimb angle, degrees.
    pub interlimb_deg: Option<f64>,
    /// The region of the axial plane's pole.
    pub axial_plane: Option<Ellipse>,
    /// Half the interval of the compass direction it leans to, degrees.
    pub vergence_deg: Option<f64>,
    /// The region of the direction it faces.
    pub facing: Option<Ellipse>,
}

impl Within {
    fn of(limbs: &[Limb; 2], told: &Fold) -> Option<Self> {
        let ellipses = [limbs[0].ellipse.as_ref()?, limbs[1].ellipse.as_ref()?];
        let tops = [limbs[0].tops, limbs[1].tops];
        let means = TwoMeans {
            axes: [limbs[0].plane.normal(), limbs[1].plane.normal()],
            ellipses,
        };
        let fold = |poles: &[Vector3<f64>; 2]| -> Option<Fold> {
            let [one, other] = [
                Plane::from_normal(&poles[0])?,
                Plane::from_normal(&poles[1])?,
            ];
            folds::fold([&one, &other], tops)
        };
        let leans = told.vergence_deg;
        Some(Self {
            interlimb_deg: means.half_interval_deg(0.95, |p| Some(fold(p)?.interlimb_deg)),
            axial_plane: means.region(0.95, |p| Some(fold(p)?.axial_plane.normal())),
            // Told from where it is, so that the count does not begin anew at north.
            vergence_deg: means
                .half_interval_deg(0.95, |p| Some(turn_deg(leans?, fold(p)?.vergence_deg?)))
                .filter(|half| *half < 90.0),
            facing: means.region(0.95, |p| Some(fold(p)?.facing?.vector())),
        })
    }
}

/// Of three poles up to one fewer than so many it is chance which limb each belongs to; limbs by hand need one reading each.
const FOUND_FROM: usize = 6;

/// The fold whose limbs are found among all poles; two poles are a limb each.
pub(super) fn found(of: &[&Datum], poles: &[Vector3<f64>]) -> Option<Folded> {
    if poles.len() < FOUND_FROM && poles.len() != 2 {
        return None;
    }
    let limbs = folds::limbs(poles)?;
    let members = |second: bool| -> Vec<(Vector3<f64>, Polarity)> {
        let all = poles.iter().zip(of).zip(&limbs.second);
        all.filter(|(_, s)| **s == second)
            .map(|((pole, datum), _)| (*pole, datum.tops))
            .collect()
    };
    let [one, other] = [false, true].map(|second| {
        let plane = limbs.planes[usize::from(second)];
        limb(plane, &members(second))
    });
    folded([one, other], [&members(false), &members(true)], false)
}

/// The fold of the limbs that a person chose; `None` while one of them has no reading, or where they are parallel.
pub(super) fn by_hand(of: &[&Datum], hand: &ByHand) -> Option<Folded> {
    let mut members: [Vec<(Vector3<f64>, Polarity)>; 2] = Default::default();
    for datum in of {
        if let (Some(pole), Some(limb)) = (datum.pole(), hand.limb_of(&datum.record)) {
            members[limb].push((pole, datum.tops));
        }
    }
    let mean = |members: &[(Vector3<f64>, Polarity)]| -> Option<Plane> {
        let poles: Vec<Vector3<f64>> = members.iter().map(|(pole, _)| *pole).collect();
        let eigen = crate::orientation::statistics::Tensor::of(&poles).eigen()?;
        Plane::from_normal(&eigen.vectors[0])
    };
    let limbs = [
        limb(mean(&members[0])?, &members[0]),
        limb(mean(&members[1])?, &members[1]),
    ];
    folded(limbs, [&members[0], &members[1]], true)
}

fn limb(plane: Plane, members: &[(Vector3<f64>, Polarity)]) -> Limb {
    let poles: Vec<Vector3<f64>> = members.iter().map(|(pole, _)| *pole).collect();
    Limb {
        plane,
        count: members.len(),
        ellipse: axis_ellipse(&poles, Which::Cluster, 0.95),
        tops: tops(&plane, members),
    }
}

/// A limb's tops are told when all readings on it that know agree.
fn tops(mean: &Plane, members: &[(Vector3<f64>, Polarity)]) -> Polarity {
    let mut told = None;
    for (pole, tops) in members {
        if *tops == Polarity::Unknown {
            continue;
        }
        // A limb may go through the vertical: what counts is the way it youngs, not how its own dip is written.
        let up = if *tops == Polarity::Overturned {
            *pole
        } else {
            -*pole
        };
        let upright = up.dot(&-mean.normal()) > 0.0;
        match told {
            None => told = Some(upright),
            Some(before) if before != upright => return Polarity::Unknown,
            Some(_) => {}
        }
    }
    match told {
        None => Polarity::Unknown,
        Some(true) => Polarity::Upright,
        Some(false) => Polarity::Overturned,
    }
}

fn folded(
    limbs: [Limb; 2],
    members: [&[(Vector3<f64>, Polarity)]; 2],
    by_hand: bool,
) -> Option<Folded> {
    let fold = folds::fold(
        [&limbs[0].plane, &limbs[1].plane],
        [limbs[0].tops, limbs[1].tops],
    )?;
    let poles = |i: usize| -> Vec<Vector3<f64>> { members[i].iter().map(|(p, _)| *p).collect() };
    Some(Folded {
        within: Within::of(&limbs, &fold),
        different: two_axes(&poles(0), &poles(1)),
        limbs,
        by_hand,
        fold,
    })
}
