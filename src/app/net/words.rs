//! The net in words: what it shows, the figures beside it, and how each of them is reckoned.

use crate::app::outcrop::kinds;
use crate::app::written;
use crate::exchange::net_figure::Planes;
use crate::notebook::Notation;
use crate::notebook::around;
use crate::notebook::figures::{Figures, Look};
use crate::notebook::structure::{Datum, Wanted};
use crate::orientation::folds::{Cone, Told};
use crate::orientation::{Hemisphere, Line, Projection};

/// One figure: what it is, its value, how sure it is and of how many, and where it comes from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Figure {
    /// What it is.
    pub name: String,
    /// Its value; an arrow in it is drawn.
    pub value: String,
    /// Count and uncertainty.
    pub detail: String,
    /// Method and source.
    pub reckoned: String,
}

impl Figure {
    fn new(name: &str, value: String, detail: String, reckoned: &str) -> Self {
        Self {
            name: name.to_owned(),
            value,
            detail,
            reckoned: reckoned.to_owned(),
        }
    }
}

/// A cone is drawn instead of the girdle where chance makes it so much better less than 5 times in 100 (our choice).
const CONE_FROM: f64 = 0.05;

/// The cone, where it is better than the cylinder by more than chance.
pub fn better_cone(figures: &Figures) -> Option<&Cone> {
    let cone = figures.cone.as_ref()?;
    cone.better.as_ref().filter(|t| t.p < CONE_FROM)?;
    Some(cone)
}

fn counted(count: usize, one: &str, many: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { many })
}

/// A probability as how often in so many.
pub fn chance(p: f64) -> String {
    match p {
        p if p < 0.0005 => "under 1 in 2000".to_owned(),
        p if p < 0.1 => format!("1 in {:.0}", 1.0 / p),
        p => format!("{:.0} in 100", p * 100.0),
    }
}

/// An axis or a mean direction in the book's notation.
fn line(line: &Line, notation: Notation) -> String {
    written::line(line, notation)
}

const AXIS: &str = "The axis that the poles lie least along: the least principal axis of their orientation tensor. The ellipse is asymptotic, from the scatter of the poles, and holds the true axis 95 times in 100; simulation gives 93 to 97. Woodcock 1977; Fisher, Lewis & Embleton 1987.";
const MEAN_AXIS: &str = "The axis they lie most along: the greatest principal axis of their orientation tensor. The ellipse is asymptotic and holds the true mean 95 times in 100; simulation gives 93 to 97. Woodcock 1977; Fisher, Lewis & Embleton 1987.";
const FISHER: &str = "The sum of the directions as they point, and the cone that holds the true mean 95 times in 100. Fisher 1953; Fisher, Lewis & Embleton 1987.";
const CONE: &str = "The small circle that fits the poles with the least squares, and the F ratio of its half angle against the best cylinder. Gray, Geiser & Geiser 1980.";
const SETS: &str = "Axes parted by the mean they are nearest to, for one set, two, three and so on; the number is the one of the least information criterion. Mean and ellipse of each set as of an axis. The criterion takes each set as a cluster of its own concentration.";
const FOLD: &str = "The poles are parted into two limbs, each pole with the mean it is nearest to; the angle is between the limbs' mean planes. Words after Fleuty 1964: gentle 180 to 120, open to 70, close to 30, tight below.";

/// The figure that stands largest: the fold axis, the cone, the mean axis, the first set or the mean direction.
///
/// # Degenerate input
/// Too few readings, or too much alike, for any: `None`.
pub fn lead(figures: &Figures, notation: Notation) -> Option<Figure> {
    let ellipse =
        |semi_deg: (f64, f64)| format!("±{:.1}° × {:.1}°, 95 in 100", semi_deg.1, semi_deg.0);
    let poles = if figures.look == Look::Axes || figures.look == Look::Directions {
        counted(figures.count, "line", "lines")
    } else {
        counted(figures.count, "pole", "poles")
    };
    if let Some(cone) = better_cone(figures) {
        return Some(Figure::new(
            &format!("axis of the cone, {poles}"),
            line(&cone.axis, notation),
            format!(
                "half angle {:.0}°, misfit {:.1}°",
                cone.half_angle_deg, cone.misfit_deg
            ),
            CONE,
        ));
    }
    if let Some(cylinder) = &figures.cylinder {
        return Some(Figure::new(
            &format!("fold axis, {poles}"),
            line(&cylinder.axis, notation),
            cylinder.ellipse.map_or_else(
                || "too few for an ellipse".to_owned(),
                |e| ellipse(e.semi_deg),
            ),
            AXIS,
        ));
    }
    if figures.look == Look::Directions {
        let fisher = figures.fisher.as_ref()?;
        return Some(Figure::new(
            &format!("mean direction, {poles}"),
            line(&fisher.mean, notation),
            fisher.cone_95_deg.map_or_else(
                || "no cone: too few, or too scattered".to_owned(),
                |c| format!("±{c:.1}°, 95 in 100"),
            ),
            FISHER,
        ));
    }
    if let Some(set) = figures
        .sets
        .as_ref()
        .and_then(|s| s.tried.get(s.best)?.sets.first())
    {
        return Some(Figure::new(
            &format!("largest set, {}", counted(set.count, "pole", "poles")),
            written::plane(&set.mean, None, notation),
            set.ellipse.map_or_else(
                || format!("spread {:.0}°", set.spread_deg),
                |e| ellipse(e.semi_deg),
            ),
            SETS,
        ));
    }
    let mean = figures.mean.as_ref()?;
    let value = match figures.look {
        Look::Surface | Look::Sets => crate::orientation::Plane::from_normal(&mean.axis.vector())
            .map(|p| written::plane(&p, None, notation))?,
        Look::Axes | Look::Directions => line(&mean.axis, notation),
    };
    let name = match figures.look {
        Look::Surface | Look::Sets => "mean plane",
        Look::Axes | Look::Directions => "mean axis",
    };
    Some(Figure::new(
        &format!("{name}, {poles}"),
        value,
        ellipse(mean.semi_deg),
        MEAN_AXIS,
    ))
}

/// What to measure next of a kind of planes, and what its structure promises for the next outcrop.
pub fn outlook(kind: &str, selection: &[&Datum], notation: Notation) -> Vec<Figure> {
    let Some(outlook) = around::outlook(selection) else {
        return Vec::new();
    };
    let mut all = Vec::new();
    if let (Some(words), Some(advice)) = (outlook.advice_words(kind), outlook.advice) {
        all.push(Figure::new(
            "measure next",
            written::plane(&advice.best, None, notation),
            words,
            "Every attitude along the girdle, a little beyond those seen, is tried: the covariance of the axis as if one more reading lay there, with the scatter of the others.",
        ));
    }
    for promise in &outlook.predictions {
        all.push(Figure::new(
            "the next outcrop",
            written::plane(&promise.plane, None, notation),
            format!("within {:.0}°, as {:.0} in 100 so far", promise.within_deg, 100.0 * promise.share),
            "The mean of each limb, or of the cluster, and the distance that 95 in 100 of the readings so far stay within. A reading farther off than chance allows is doubted.",
        ));
    }
    all
}

/// The further figures of a kind.
pub fn further(figures: &Figures, notation: Notation) -> Vec<Figure> {
    let mut all = Vec::new();
    let count = counted(figures.count, "reading", "readings");
    if let Some((limbs, fold, different)) = &figures.fold {
        let told = match fold.told {
            Told::ByTops => "told by the tops",
            Told::NoneOverturned => "if no limb is overturned",
        };
        let second = limbs.second.iter().filter(|s| **s).count();
        let both = format!(
            "limbs of {} and {}, {told}; {:.0}° the other way",
            limbs.second.len() - second,
            second,
            fold.other_interlimb_deg
        );
        all.push(Figure::new(
            "interlimb angle",
            format!("{:.0}°, {}", fold.interlimb_deg, fold.tightness()),
            both,
            FOLD,
        ));
        all.push(Figure::new(
            "axial plane",
            written::plane(&fold.axial_plane, None, notation),
            fold.attitude(),
            "The plane that halves the interlimb angle and holds the axis in which the limbs meet. Words after Fleuty 1964, bounds at 10, 30, 60 and 80°.",
        ));
        let limb = |i: usize| written::plane(&limbs.planes[i], None, notation);
        all.push(Figure::new(
            "limbs",
            format!("{} and {}", limb(0), limb(1)),
            different.as_ref().map_or_else(
                || "too few to tell them apart".to_owned(),
                |t| format!("so far apart by chance {}", chance(t.p)),
            ),
            different.as_ref().map_or("", |t| t.method),
        ));
        if let Some(facing) = &fold.facing {
            all.push(Figure::new(
                "faces",
                line(facing, notation),
                "to younger beds along the axial plane".to_owned(),
                "Shackleton 1957: the younging direction in the axial plane, at a right angle to the axis.",
            ));
        }
    }
    if let Some(cylinder) = &figures.cylinder {
        all.push(Figure::new(
            "how cylindrical",
            format!("{:.1}° off", cylinder.misfit_deg),
            format!("{} off the girdle, root mean square; {:.0} in 100 of the fabric on no girdle", counted(cylinder.count, "pole", "poles"), cylinder.rest * 100.0),
            "The distances of the poles from the fitted great circle, and three times the least principal value of the tensor.",
        ));
    }
    if let Some(cone) = &figures.cone
        && let Some(better) = &cone.better
    {
        all.push(Figure::new(
            "a cone instead",
            format!("{:.0}°", cone.half_angle_deg),
            format!("half angle; so much better by chance {}", chance(better.p)),
            CONE,
        ));
    }
    if let Some(sets) = &figures.sets
        && let Some(best) = sets.tried.get(sets.best)
    {
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
    }
    if let Some(fisher) = figures
        .fisher
        .as_ref()
        .filter(|_| figures.look == Look::Directions)
    {
        all.push(Figure::new(
            "concentration",
            format!("{:.0}", fisher.concentration),
            format!("{count}, mean resultant {:.2}", fisher.mean_resultant),
            FISHER,
        ));
    }
    if let Some(eigen) = &figures.eigen {
        let [a, b, c] = eigen.values;
        all.push(Figure::new(
            "fabric",
            format!("{a:.2} · {b:.2} · {c:.2}"),
            format!("shares along the principal axes, {count}"),
            "Eigenvalues of the orientation tensor, divided by the count. Woodcock 1977.",
        ));
    }
    if let Some(test) = &figures.uniform {
        all.push(Figure::new(
            "even by chance",
            chance(test.p),
            format!("{count} so far from evenly strewn"),
            test.source,
        ));
    }
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

/// Which readings were chosen, in words; empty for all.
pub fn chosen(wanted: &Wanted, station: impl Fn(&str) -> String) -> String {
    let parts = [
        wanted.kind.as_deref().map(|k| kinds::words(k).to_owned()),
        wanted
            .station
            .as_deref()
            .map(|s| format!("station {}", station(s))),
        wanted.day.as_deref().map(written::day_words),
        wanted.by.as_deref().map(|by| format!("read by {by}")),
        wanted.unit.as_deref().map(|unit| format!("unit {unit}")),
    ];
    parts.into_iter().flatten().collect::<Vec<_>>().join(", ")
}

/// The projection and the hemisphere, as they stand on the plot.
pub fn projection(projection: Projection, hemisphere: Hemisphere) -> String {
    let first = match projection {
        Projection::EqualArea => "equal area",
        Projection::EqualAngle => "equal angle",
    };
    let second = match hemisphere {
        Hemisphere::Lower => "lower hemisphere",
        Hemisphere::Upper => "upper hemisphere",
    };
    format!("{first}, {second}")
}

/// The net in one sentence, for those who cannot see it.
pub fn sentence(
    shown: &str,
    planes: Planes,
    rows: &[(String, usize)],
    lead: Option<&Figure>,
) -> String {
    let mut words = format!("Net, {shown}");
    if rows.is_empty() {
        words.push_str(": nothing on it");
    }
    for (i, (row, count)) in rows.iter().enumerate() {
        words.push_str(if i == 0 { ": " } else { ", " });
        let row = match planes {
            Planes::Poles => row.clone(),
            Planes::Circles => row.replace(" pole", " great circle"),
        };
        words.push_str(&format!("{count} {row}"));
    }
    if let Some(lead) = lead {
        let value = lead.value.replace('→', " toward ");
        words.push_str(&format!("; {} {value}, {}", lead.name, lead.detail));
    }
    words.push('.');
    words
}

/// A reading's value in the book's notation: its plane, its line, or both.
pub fn value(datum: &Datum, notation: Notation) -> String {
    let plane = datum
        .plane
        .as_ref()
        .map(|p| written::plane(p, None, notation));
    let along = datum.line.as_ref().map(|l| line(l, notation));
    [plane, along]
        .into_iter()
        .flatten()
        .collect::<Vec<_>>()
        .join(", ")
}

/// The kind whose fit is drawn: the one that is wanted, else the surface with the most planes, else the kind with the most.
pub fn fitted_kind(data: &[Datum], chosen: &[usize], wanted: &Wanted) -> Option<String> {
    if let Some(kind) = &wanted.kind {
        return Some(kind.clone());
    }
    let mut kinds: Vec<(&str, bool, usize)> = Vec::new();
    for datum in chosen.iter().filter_map(|i| data.get(*i)) {
        match kinds.iter_mut().find(|(kind, ..)| *kind == datum.kind) {
            Some((.., count)) => *count += 1,
            None => {
                let planes = datum.plane.is_some();
                let surface = planes && Look::of(&datum.kind, planes) == Look::Surface;
                kinds.push((&datum.kind, surface, 1));
            }
        }
    }
    // Of equals the first in the book, so that the fit does not jump about.
    let best = kinds
        .iter()
        .rev()
        .max_by_key(|(_, surface, count)| (*surface, *count))?;
    Some(best.0.to_owned())
}

#[cfg(test)]
mod tests {
    use super::super::plot::tests::{line, plane};
    use super::*;
    use crate::notebook::figures::figures;

    /// Planes around an axis that plunges 13° toward 224°, in two limbs.
    fn folded() -> Vec<Datum> {
        let axis = Line::from_deg(224.0, 13.0).unwrap();
        let mut data = Vec::new();
        for i in 0..12 {
            let lift = f64::from(i % 4) * 3.0;
            let strike = if i < 6 { 60.0 } else { 210.0 } + lift;
            let trend = Line::from_deg(strike, 0.0).unwrap();
            if let Some(p) = crate::orientation::Plane::through(&axis, &trend) {
                let mut datum = plane(10.0, 10.0);
                datum.plane = Some(p);
                data.push(datum);
            }
        }
        data
    }

    #[test]
    fn the_axis_of_a_fold_leads_with_its_count() {
        let data = folded();
        let all: Vec<&Datum> = data.iter().collect();
        let figures = figures("bedding", &all);
        let lead = lead(&figures, Notation::StrikeDip).expect("a fold");
        assert_eq!(lead.value, "13→224");
        assert!(lead.name.ends_with("12 poles"), "{}", lead.name);
        let further = further(&figures, Notation::StrikeDip);
        let interlimb = further
            .iter()
            .find(|f| f.name == "interlimb angle")
            .expect("two limbs");
        assert!(
            interlimb.detail.contains("the other way"),
            "{}",
            interlimb.detail
        );
        for figure in &further {
            assert!(
                !figure.value.is_empty() && !figure.detail.is_empty(),
                "{figure:?}"
            );
        }
    }

    #[test]
    fn the_outlook_names_a_plane_and_its_promise() {
        let data = folded();
        let all: Vec<&Datum> = data.iter().collect();
        let told = outlook("bedding", &all, Notation::StrikeDip);
        assert_eq!(
            told.iter().filter(|f| f.name == "the next outcrop").count(),
            2
        );
        for figure in &told {
            assert!(
                !figure.value.is_empty()
                    && !figure.detail.is_empty()
                    && !figure.reckoned.is_empty(),
                "{figure:?}"
            );
        }
        assert_eq!(outlook("bedding", &all[..3], Notation::StrikeDip), []);
    }

    #[test]
    fn of_nothing_nothing_is_told() {
        let figures = figures("bedding", &[]);
        assert_eq!(lead(&figures, Notation::StrikeDip), None);
        assert_eq!(further(&figures, Notation::StrikeDip), []);
        assert_eq!(fitted_kind(&[], &[], &Wanted::default()), None);
        assert_eq!(
            sentence("equal area, lower hemisphere", Planes::Poles, &[], None),
            "Net, equal area, lower hemisphere: nothing on it."
        );
    }

    #[test]
    fn lines_have_a_mean_axis() {
        let data: Vec<Datum> = (0..6)
            .map(|i| line(40.0 + f64::from(i), 20.0 + f64::from(i % 3)))
            .collect();
        let all: Vec<&Datum> = data.iter().collect();
        let lead = lead(&figures("line", &all), Notation::StrikeDip).expect("a mean");
        assert_eq!(lead.name, "mean axis, 6 lines");
        assert!(
            lead.value.contains('→') && lead.detail.contains("95 in 100"),
            "{lead:?}"
        );
    }

    #[test]
    fn the_fit_is_of_the_surface_unless_a_kind_is_wanted() {
        let mut data = folded();
        let mut joints = folded();
        joints.extend(folded());
        for joint in &mut joints {
            joint.kind = "joint".to_owned();
        }
        data.extend(joints);
        let all: Vec<usize> = (0..data.len()).collect();
        assert_eq!(
            fitted_kind(&data, &all, &Wanted::default()).as_deref(),
            Some("bedding")
        );
        let wanted = Wanted {
            kind: Some("joint".to_owned()),
            ..Wanted::default()
        };
        assert_eq!(fitted_kind(&data, &all, &wanted).as_deref(), Some("joint"));
    }

    #[test]
    fn the_net_is_told_in_one_sentence() {
        let rows = [("bedding pole".to_owned(), 49), ("line".to_owned(), 14)];
        let lead = Figure::new(
            "fold axis, 51 poles",
            "13→224".to_owned(),
            "±1.2° × 2.3°, 95 in 100".to_owned(),
            "",
        );
        assert_eq!(
            sentence(
                "equal area, lower hemisphere",
                Planes::Poles,
                &rows,
                Some(&lead)
            ),
            "Net, equal area, lower hemisphere: 49 bedding pole, 14 line; fold axis, 51 poles 13 toward 224, ±1.2° × 2.3°, 95 in 100."
        );
    }

    #[test]
    fn what_was_chosen_is_said_and_nothing_for_all() {
        assert_eq!(chosen(&Wanted::default(), str::to_owned), "");
        let wanted = Wanted {
            kind: Some("bedding".to_owned()),
            station: Some("r".to_owned()),
            by: Some("QV".to_owned()),
            ..Wanted::default()
        };
        assert_eq!(
            chosen(&wanted, |_| "47".to_owned()),
            "bedding, station 47, read by QV"
        );
    }

    #[test]
    fn chances_are_told_as_how_often() {
        assert_eq!(chance(0.0), "under 1 in 2000");
        assert_eq!(chance(0.01), "1 in 100");
        assert_eq!(chance(0.42), "42 in 100");
    }
}
