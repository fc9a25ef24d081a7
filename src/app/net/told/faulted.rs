//! Faults in words: kinematic axes, right dihedra, stress and misfits, each with the caution that it is a model.

use super::{Figure, counted, line};
use crate::app::written;
use crate::notebook::Notation;
use crate::notebook::figures::{CAUTION, Fault, Faulted, Figures};
use crate::orientation::Line;
use crate::orientation::statistics::Ellipse;

/// So many misfits are told, the worst first.
const MISFITS: usize = 12;

/// The figures of faults.
pub(super) fn told(figures: &Figures, notation: Notation) -> Vec<Figure> {
    let mut all = Vec::new();
    if let Some(pair) = &figures.pair {
        let (told, [one, other]) = (&pair.conjugate, pair.counts);
        let [greatest, _, least] = &pair.regions;
        let apart = pair
            .two_theta_within_deg
            .map_or_else(String::new, |half| format!(" ± {half:.0}°"));
        for (name, axis, region) in [
            ("pair: greatest compression", &told.sigma1, greatest),
            ("pair: least compression", &told.sigma3, least),
        ] {
            let within = region.as_ref().map_or_else(
                || "too few for an ellipse".to_owned(),
                |e| format!("±{:.0}° × {:.0}°, 95 in 100", e.semi_deg.1, e.semi_deg.0),
            );
            all.push(Figure::new(
                name,
                line(axis, notation),
                format!(
                    "{within}; sets of {one} and {other}, {:.0}°{apart} apart; a model",
                    told.two_theta_deg
                ),
                "Anderson 1951: two sets of faults that slipped as a pair have the greatest compression between them across the acute angle, the least across the obtuse one. The ellipses carry those of the sets' means over, to first order. A model: both at once, in unbroken rock; that they are a pair is for the person to judge.",
            ));
        }
    }
    if let Some(faulted) = &figures.faulted {
        of_slips(&mut all, faulted, notation);
    }
    all
}

fn of_slips(all: &mut Vec<Figure>, faulted: &Faulted, notation: Notation) {
    let faults = counted(faulted.faults.len(), "fault", "faults");
    let left_out = match faulted.without_sense {
        0 => String::new(),
        n => format!("; {n} without a sense of slip left out"),
    };
    let how = |method: &str| format!("{method} {CAUTION}");
    let mut axis = |name: &str, mean: &Option<(Line, Option<Ellipse>)>| {
        if let Some((axis, region)) = mean {
            let within = region.map_or_else(
                || "too few for an ellipse".to_owned(),
                |e| format!("±{:.0}° × {:.0}°", e.semi_deg.1, e.semi_deg.0),
            );
            all.push(Figure::new(
                name,
                line(axis, notation),
                format!("{faults}, {within}{left_out}"),
                "The mean of the faults' own axes, each at 45° to fault and slip, with the 95 in 100 ellipse of that mean. Marrett & Allmendinger 1990. Kinematic: it tells of the motion, not of a stress.",
            ));
        }
    };
    axis("shortening", &faulted.shortening);
    axis("extension", &faulted.extension);
    let dihedra = [
        ("right dihedra: shortened", &faulted.dihedra.greatest),
        ("right dihedra: drawn out", &faulted.dihedra.least),
    ];
    for (name, middle) in dihedra {
        if let Some((middle, share)) = middle {
            all.push(Figure::new(
                name,
                line(middle, notation),
                format!("the middle of where {:.0} in 100 of {faults} agree", share * 100.0),
                &how("The net is searched for the directions that lie in most faults' dihedra of shortening, or of extension. Angelier & Mechler 1977."),
            ));
        }
    }
    let Some(stress) = &faulted.stress else {
        all.push(Figure::new(
            "stress",
            "not told".to_owned(),
            format!("{faults}; four or more, not all alike, tell one"),
            &how("Five numbers want four faults at least. Michael 1984."),
        ));
        return;
    };
    let p = &stress.principal;
    let axes = [
        ("greatest compression", p.sigma1),
        ("middle compression", p.sigma2),
        ("least compression", p.sigma3),
    ];
    for (i, (name, axis)) in axes.into_iter().enumerate() {
        let cone = stress.cones_95_deg.map_or_else(
            || "too few for a cone".to_owned(),
            |c| format!("±{:.0}°, 95 in 100 resamples", c[i]),
        );
        all.push(Figure::new(
            name,
            line(&axis, notation),
            format!("{faults}, {cone}"),
            &how(&format!("The reduced stress tensor by linear least squares; cones from {} resamples of the faults. Michael 1984 and 1987.", faulted.resamples)),
        ));
    }
    let ratio = stress.ratio_95.map_or_else(String::new, |(lo, hi)| {
        format!(", {lo:.2} to {hi:.2} 95 in 100")
    });
    all.push(Figure::new(
        "stress ratio",
        format!("{:.2}", p.ratio),
        format!("{faults}{ratio}; mean misfit {:.0}°", stress.mean_misfit_deg),
        &how("(middle − least)/(greatest − least), 0 to 1. The misfit is the angle between a fault's slip and the shear that this stress puts on it."),
    ));
    misfits(all, faulted, notation);
}

fn misfits(all: &mut Vec<Figure>, faulted: &Faulted, notation: Notation) {
    let mut worst: Vec<(&Fault, f64)> = faulted
        .faults
        .iter()
        .filter_map(|f| Some((f, f.misfit_deg?)))
        .collect();
    worst.sort_by(|a, b| b.1.total_cmp(&a.1));
    let more = worst.len().saturating_sub(MISFITS);
    for (fault, misfit_deg) in worst.into_iter().take(MISFITS) {
        all.push(Figure::new(
            &format!("misfit of {}", fault.name),
            format!("{misfit_deg:.0}°"),
            format!(
                "{}, {}",
                written::plane(fault.slip.plane(), None, notation),
                fault.slip.sense_words()
            ),
            "Over 30° or so (common practice) the fault speaks for another stress, or its sense was misread.",
        ));
    }
    if more > 0 {
        all.push(Figure::new(
            "smaller misfits",
            counted(more, "fault", "faults"),
            "not listed here; the camp's command lists all".to_owned(),
            "`camp figures FILE --kind 'fault + line'` prints every fault with its misfit.",
        ));
    }
}
