//! Sets, concentration, fabric, evenness and azimuths in words.

use super::{FISHER, Figure, SETS, by_test, chance, counted};
use crate::app::written;
use crate::notebook::Notation;
use crate::notebook::figures::{Figures, Look};
use crate::orientation::density::{Density, Levels};
use crate::orientation::statistics::circular::Ends;

/// The sets, and what speaks for their number.
pub(super) fn sets(figures: &Figures, notation: Notation) -> Vec<Figure> {
    let mut all = Vec::new();
    let Some(sets) = &figures.sets else {
        return all;
    };
    let Some(best) = sets.tried.get(sets.best) else {
        return all;
    };
    if sets.tried.len() > 1 {
        let least = best.criterion;
        let evidence: Vec<String> = sets
            .tried
            .iter()
            .enumerate()
            .map(|(i, tried)| {
                let more = format!("{}: {:+.0}", i + 1, tried.criterion - least);
                more.replace('-', "−")
            })
            .collect();
        all.push(Figure::new(
            "how many sets",
            counted(best.sets.len(), "set", "sets"),
            format!(
                "{}; against it {}",
                counted(figures.count, "pole", "poles"),
                evidence.join(", ")
            ),
            "Bayes' information criterion of each number of sets, less that of the number suggested: 10 more speaks strongly against it (common practice); a number that makes a set of fewer than three poles is not suggested even where it has less. The criterion is ours: each set a cluster with a concentration of its own.",
        ));
    }
    for (i, set) in best.sets.iter().enumerate() {
        let within = set.ellipse.map_or_else(String::new, |e| {
            format!(", mean ±{:.1}° × {:.1}°", e.semi_deg.1, e.semi_deg.0)
        });
        all.push(Figure::new(
            &format!("set {} of {}", i + 1, best.sets.len()),
            written::plane(&set.mean, None, notation),
            format!(
                "{}, spread {:.0}°{within}",
                counted(set.count, "pole", "poles"),
                set.spread_deg
            ),
            SETS,
        ));
    }
    all
}

/// The contours, and what they count.
pub fn contours(density: &Density, levels: Levels) -> Figure {
    let highest = density.sigmas.iter().copied().filter(|s| s.is_finite());
    let highest = highest.fold(f64::NEG_INFINITY, f64::max);
    Figure::new(
        "contours",
        levels.words().to_owned(),
        format!(
            "{}; the densest place {:.0} standard deviations over even, {:.0} × even",
            counted(density.count, "reading", "readings"),
            highest,
            density.multiple_of_sigmas(highest)
        ),
        &format!(
            "Each is spread over the sphere by an exponential kernel, exp k(|cos| − 1) with k = {:.0}. So many evenly strewn would sum to {:.1} ± {:.1} at any place, one standard deviation. Robin & Jowett 1986.",
            density.k, density.expected, density.sd
        ),
    )
}

/// Concentration, fabric, evenness, azimuths, and the north they count from.
pub(super) fn told(figures: &Figures, notation: Notation) -> Vec<Figure> {
    let mut all = Vec::new();
    let count = counted(figures.count, "reading", "readings");
    if let Some(fisher) = figures.fisher.as_ref().filter(|f| f.count > 1) {
        let cone = fisher
            .cone_95_deg
            .map_or_else(|| "no cone".to_owned(), |c| format!("±{c:.1}°, 95 in 100"));
        all.push(Figure::new(
            "Fisher's mean",
            written::line(&fisher.mean, notation),
            format!(
                "{count}, {cone}; concentration {:.0}, mean resultant {:.2}",
                fisher.concentration, fisher.mean_resultant
            ),
            match figures.look {
                Look::Directions => FISHER,
                _ => "The sum of the poles, or of the axes, at their downward ends, and the cone that holds the true mean 95 times in 100: meaningful for one cluster only. Fisher 1953; Fisher, Lewis & Embleton 1987.",
            },
        ));
    }
    // One or two axes have no fabric.
    if let Some(eigen) = figures.eigen.as_ref().filter(|_| figures.count > 2) {
        let [a, b, c] = eigen.values;
        all.push(Figure::new(
            "fabric",
            format!("{a:.2} · {b:.2} · {c:.2}"),
            match &figures.errors {
                Some(errors) => {
                    let [a, b, c] = errors.values;
                    format!("shares along the principal axes, {count}; ±{a:.2} · {b:.2} · {c:.2}, one standard error")
                }
                None => format!("shares along the principal axes, {count}"),
            },
            "Eigenvalues of the orientation tensor, divided by the count. Woodcock 1977. A standard error is that of the mean of the squares of the components along the axis.",
        ));
        if eigen.shape().is_finite() && eigen.strength().is_finite() {
            all.push(Figure::new(
                "shape and strength",
                format!("{:.2} · {:.1}", eigen.shape(), eigen.strength()),
                format!(
                    "{count}; {}{:.0} in 100 cluster, {:.0} girdle, {:.0} even",
                    figures.errors.as_ref().map_or_else(String::new, |e| format!(
                        "±{:.2} · {:.1}, one standard error; ",
                        e.shape, e.strength
                    )),
                    eigen.cluster() * 100.0,
                    eigen.girdle() * 100.0,
                    eigen.even() * 100.0
                ),
                "K = ln(S₁/S₂)/ln(S₂/S₃), over 1 for a cluster and under 1 for a girdle, and C = ln(S₁/S₃): Woodcock 1977. The three shares: Vollmer 1990. The standard errors are to first order, from those of the principal values; few readings give lopsided ones.",
            ));
        }
    }
    if let Some(test) = &figures.uniform {
        all.push(Figure::new(
            "even by chance",
            chance(test.p),
            format!("{count} so far from evenly strewn"),
            &by_test(test),
        ));
    }
    azimuths(&mut all, figures);
    if figures.not_true > 0 {
        all.push(Figure::new(
            "north",
            counted(figures.not_true, "reading", "readings"),
            "not counted from true north".to_owned(),
            "Readings whose declination or grid convergence is not known are taken as they stand.",
        ));
    }
    all
}

fn azimuths(all: &mut Vec<Figure>, figures: &Figures) {
    let (name, count) = if figures.of_planes {
        (
            "mean strike",
            counted(figures.azimuths_deg.len(), "strike", "strikes"),
        )
    } else {
        (
            "mean trend",
            counted(figures.azimuths_deg.len(), "trend", "trends"),
        )
    };
    let ends = match figures.ends {
        Ends::One => "as they point",
        Ends::Two => "as axes",
    };
    if let Some(circular) = &figures.circular {
        let half = circular.half_interval_deg().map_or_else(
            || "too scattered for an interval".to_owned(),
            |h| format!("±{h:.0}°, 95 in 100"),
        );
        all.push(Figure::new(
            name,
            format!("{:03.0}", circular.mean_deg.round().rem_euclid(360.0)),
            format!("{count} {ends}, {half}; mean resultant {:.2}", circular.mean_resultant),
            "The mean of unit vectors round the compass, of doubled angles for axes, and its interval by the sample's own dispersion, with Student's factor below 25. Fisher 1993, chapters 2 and 4.",
        ));
    }
    let tests = [
        (&figures.circular_test, "azimuths even by chance"),
        (&figures.kuiper, "even by chance, whatever else"),
    ];
    for (test, name) in tests {
        if let Some(test) = test {
            all.push(Figure::new(
                name,
                chance(test.p),
                format!("{count} {ends}"),
                &by_test(test),
            ));
        }
    }
}
