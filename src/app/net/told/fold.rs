//! A fold in words: its limbs, the angle between them, its axial plane, which way it leans and faces, how cylindrical it is.

use super::{CONE, FOLD, Figure, by_test, chance, counted, line};
use crate::app::written;
use crate::notebook::Notation;
use crate::notebook::figures::{Figures, Folded};
use crate::orientation::folds::Told;
use crate::orientation::statistics::Ellipse;
use crate::orientation::{Polarity, Winds, wind};

const AXIAL: &str = "The plane that halves the interlimb angle and holds the axis in which the limbs meet. Words after Fleuty 1964, bounds at 10, 30, 60 and 80°. The ellipse carries those of the limbs' means over, to first order.";
const BY_HAND: &str = "The readings of each limb were chosen by hand; the angle is between the means of their poles, the greatest principal axes of their orientation tensors. Its interval carries the ellipses of these means over, to first order. Words after Fleuty 1964: gentle 180 to 120, open to 70, close to 30, tight below.";

/// The figures of a fold.
pub(super) fn told(figures: &Figures, notation: Notation) -> Vec<Figure> {
    let mut all = Vec::new();
    if let Some(folded) = &figures.fold {
        of_limbs(&mut all, folded, notation);
    }
    if let Some(cylinder) = &figures.cylinder {
        all.push(Figure::new(
            "how cylindrical",
            format!("{:.1}° off", cylinder.misfit_deg),
            format!("{} off the girdle, root mean square; {:.0} in 100 of the fabric on no girdle", counted(cylinder.count, "pole", "poles"), cylinder.rest * 100.0),
            "The distances of the poles from the fitted great circle, and three times the least principal value of the tensor. Woodcock 1977; Vollmer 1990.",
        ));
    }
    if let Some(cone) = &figures.cone
        && let Some(better) = &cone.better
    {
        all.push(Figure::new(
            "a cone instead",
            format!("{:.0}°", cone.half_angle_deg),
            format!(
                "half angle, {}, {}; so much better by chance {}",
                between(cone.half_angle_95_deg),
                counted(cone.count, "pole", "poles"),
                chance(better.p)
            ),
            CONE,
        ));
    }
    all
}

/// How well an angle of the fold is known, in words.
fn plus_minus(half_deg: Option<f64>) -> String {
    half_deg.map_or_else(
        || "too few for an interval".to_owned(),
        |half| format!("±{half:.0}°, 95 in 100"),
    )
}

/// How well a cone's half angle is known, in words.
fn between(interval_deg: Option<(f64, f64)>) -> String {
    interval_deg.map_or_else(
        || "no interval: too few poles, or too little of a ring".to_owned(),
        |(low, high)| format!("{low:.0} to {high:.0}°, 95 in 100"),
    )
}

/// How well an axis of the fold is known, in words.
fn region(ellipse: Option<&Ellipse>) -> String {
    ellipse.map_or_else(
        || "too few for an ellipse".to_owned(),
        |e| format!("±{:.0}° × {:.0}°, 95 in 100", e.semi_deg.1, e.semi_deg.0),
    )
}

fn of_limbs(all: &mut Vec<Figure>, folded: &Folded, notation: Notation) {
    let Folded {
        limbs,
        by_hand,
        fold,
        different,
        within,
    } = folded;
    let within = within.as_ref();
    let how = if *by_hand { BY_HAND } else { FOLD };
    let poles = counted(limbs[0].count + limbs[1].count, "pole", "poles");
    let told = match fold.told {
        Told::ByTops => "told by the tops",
        Told::NoneOverturned => "if no limb is overturned",
    };
    all.push(Figure::new(
        "interlimb angle",
        format!("{:.0}°, {}", fold.interlimb_deg, fold.tightness()),
        format!(
            "{}, limbs of {} and {}, {told}; {:.0}° the other way",
            plus_minus(within.and_then(|w| w.interlimb_deg)),
            limbs[0].count,
            limbs[1].count,
            fold.other_interlimb_deg
        ),
        how,
    ));
    all.push(Figure::new(
        "axial plane",
        written::plane(&fold.axial_plane, None, notation),
        format!(
            "{}; {}, from {}",
            fold.attitude(),
            region(within.and_then(|w| w.axial_plane.as_ref())),
            poles
        ),
        AXIAL,
    ));
    for (limb, name) in limbs.iter().zip(["limb 1", "limb 2"]) {
        let within = limb.ellipse.map_or_else(
            || "too few for an ellipse".to_owned(),
            |e| format!("±{:.1}° × {:.1}°", e.semi_deg.1, e.semi_deg.0),
        );
        let tops = match limb.tops {
            Polarity::Unknown => "",
            Polarity::Upright => ", upright",
            Polarity::Overturned => ", overturned",
        };
        all.push(Figure::new(
            name,
            written::plane(&limb.plane, None, notation),
            format!("{}, {within}{tops}", counted(limb.count, "pole", "poles")),
            "The mean of its poles, the greatest principal axis of their orientation tensor, with the 95 in 100 ellipse of that axis. Its tops are told where all of its readings that know agree. Fisher, Lewis & Embleton 1987.",
        ));
    }
    if let Some(test) = different {
        all.push(Figure::new(
            "limbs alike by chance",
            chance(test.p),
            format!("{} and {} poles", limbs[0].count, limbs[1].count),
            &by_test(test),
        ));
    }
    if let Some(deg) = fold.vergence_deg {
        all.push(Figure::new(
            "leans to",
            format!("{}, {:03.0}", wind(deg, Winds::Eight), deg.round() % 360.0),
            format!(
                "{}, from {poles}; the upper side of the axial plane, {told}",
                plus_minus(within.and_then(|w| w.vergence_deg))
            ),
            "Vergence, here the way the axial plane leans: opposite to its dip. From the limbs' means, whose ellipses its interval carries over; of one fold, not of a train of them.",
        ));
    }
    if let Some(facing) = &fold.facing {
        all.push(Figure::new(
            "faces",
            line(facing, notation),
            format!(
                "{}, from {poles}; to younger beds along the axial plane, tops of both limbs known",
                region(within.and_then(|w| w.facing.as_ref()))
            ),
            "Shackleton 1957: the younging direction in the axial plane, at a right angle to the axis. Its ellipse carries those of the limbs' means over, to first order.",
        ));
    }
}
