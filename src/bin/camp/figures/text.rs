//! The figures as text for people.

use std::io::{self, Write};

use hingeline::notebook::figures::{CAUTION, Faulted, Figures, Folded, Look};

use super::answer::told;
use crate::written;

pub(super) fn write_text(out: &mut impl Write, f: &Figures) -> io::Result<()> {
    let lines = f.look == Look::Axes || f.look == Look::Directions;
    let what = match (lines, f.count == 1) {
        (true, false) => "lines",
        (true, true) => "line",
        (false, false) => "poles",
        (false, true) => "pole",
    };
    let kind = if f.kind.is_empty() {
        "no kind"
    } else {
        &f.kind
    };
    writeln!(out, "\n{kind}: {} {what}", f.count)?;
    if f.not_true > 0 {
        let not_true = written::counted(f.not_true, "does", "do");
        writeln!(out, "  {not_true} not count from true north")?;
    }
    let mut row = |name: &str, value: String| writeln!(out, "  {name:<18}{value}");
    if let Some(plane) = f.mean_plane() {
        let name = if f.count == 1 { "plane" } else { "mean plane" };
        row(name, written::plane(&plane))?;
    }
    if let Some(only) = f.fisher.as_ref().filter(|f| lines && f.count == 1) {
        row("line", written::line(&only.mean))?;
    }
    if let Some(fisher) = f.fisher.as_ref().filter(|f| f.count > 1) {
        let cone = fisher
            .cone_95_deg
            .map_or_else(|| "no cone".to_owned(), |c| format!("95 % within {c:.1}°"));
        row(
            if lines { "mean" } else { "mean pole" },
            format!(
                "{}  k {:.1}, {cone} (Fisher)",
                written::line(&fisher.mean),
                fisher.concentration
            ),
        )?;
    }
    if let Some(eigen) = f.eigen.as_ref().filter(|_| f.count > 2) {
        let [a, b, c] = eigen.values;
        row(
            "tensor",
            format!(
                "{a:.3} {b:.3} {c:.3}  K {}, C {} (Woodcock){}",
                finite(eigen.shape()),
                finite(eigen.strength()),
                f.errors
                    .as_ref()
                    .filter(|_| eigen.strength().is_finite())
                    .map_or_else(String::new, |e| format!(
                        "; standard errors {:.3} {:.3} {:.3}, K {:.2}, C {:.2}",
                        e.values[0], e.values[1], e.values[2], e.shape, e.strength
                    ))
            ),
        )?;
    }
    if let Some(mean) = &f.mean {
        row(
            "mean axis",
            format!(
                "{}  95 % within {:.1}° × {:.1}°",
                written::line(&mean.axis),
                mean.semi_deg.0,
                mean.semi_deg.1
            ),
        )?;
    }
    if let Some(test) = &f.uniform {
        row("even?", format!("{} ({})", chance(test.p), test.method))?;
    }
    if let Some(cylinder) = &f.cylinder {
        let ellipse = cylinder.ellipse.map_or_else(String::new, |e| {
            format!("  95 % within {:.1}° × {:.1}°", e.semi_deg.0, e.semi_deg.1)
        });
        row(
            "fold axis",
            format!(
                "{}{ellipse}, poles {:.1}° off the girdle",
                written::line(&cylinder.axis),
                cylinder.misfit_deg
            ),
        )?;
    }
    if let Some(cone) = &f.cone {
        let better = cone.better.as_ref().map_or_else(String::new, |t| {
            let better = if f.better_cone().is_some() {
                "better"
            } else {
                "not better"
            };
            format!(", {better} than the cylinder: {}", chance(t.p))
        });
        row(
            "cone",
            format!(
                "{}{}  half angle {:.1}°{}{better}",
                written::line(&cone.axis),
                cone.ellipse.map_or_else(String::new, |e| format!(
                    "  95 % within {:.1}° × {:.1}°",
                    e.semi_deg.0, e.semi_deg.1
                )),
                cone.half_angle_deg,
                cone.half_angle_95_deg
                    .map_or_else(String::new, |(low, high)| format!(
                        ", {low:.1}° to {high:.1}°"
                    ))
            ),
        )?;
    }
    if let Some(Folded {
        limbs,
        fold,
        within,
        ..
    }) = &f.fold
    {
        let half = within.as_ref().and_then(|w| w.interlimb_deg);
        let pole = within.as_ref().and_then(|w| w.axial_plane.as_ref());
        row(
            "limbs",
            limbs
                .iter()
                .map(|limb| format!("{} ({})", written::plane(&limb.plane), limb.count))
                .collect::<Vec<_>>()
                .join("  "),
        )?;
        row(
            "interlimb",
            format!(
                "{:.0}°{} ({}; the other way {:.0}°), told by {}",
                fold.interlimb_deg,
                half.map_or_else(String::new, |h| format!(" ± {h:.0}°")),
                fold.tightness(),
                fold.other_interlimb_deg,
                told(fold)
            ),
        )?;
        row(
            "axial plane",
            format!(
                "{}{}  {} (Fleuty)",
                written::plane(&fold.axial_plane),
                pole.map_or_else(String::new, |e| format!(
                    "  95 % within {:.1}° × {:.1}°",
                    e.semi_deg.0, e.semi_deg.1
                )),
                fold.attitude()
            ),
        )?;
    }
    if let Some(sets) = f.sets.as_ref().filter(|_| f.count > 1) {
        let best = &sets.tried[sets.best];
        for (i, set) in best.sets.iter().enumerate() {
            row(
                &format!("set {} of {}", i + 1, best.sets.len()),
                format!(
                    "{}  {}, spread {:.1}°",
                    written::plane(&set.mean),
                    written::counted(set.count, "reading", "readings"),
                    set.spread_deg
                ),
            )?;
        }
    }
    if let Some(pair) = &f.pair {
        row(
            "conjugate sets",
            format!(
                "{:.0}°{} apart: 1 {}, 2 {}, 3 {} (Anderson; a model)",
                pair.conjugate.two_theta_deg,
                pair.two_theta_within_deg
                    .map_or_else(String::new, |h| format!(" ± {h:.0}°")),
                written::line(&pair.conjugate.sigma1),
                written::line(&pair.conjugate.sigma2),
                written::line(&pair.conjugate.sigma3)
            ),
        )?;
    }
    if let Some(faulted) = &f.faulted {
        write_faults(faulted, &mut row)?;
    }
    if let Some(circular) = &f.circular {
        let half = circular
            .half_interval_deg()
            .map_or_else(|| "± not told".to_owned(), |h| format!("± {h:.1}°"));
        let name = if lines { "trends" } else { "strikes" };
        row(
            name,
            format!(
                "{:05.1} {half} (95 %), r {:.2}",
                circular.mean_deg, circular.mean_resultant
            ),
        )?;
    }
    Ok(())
}

/// A probability, never as nought.
fn chance(p: f64) -> String {
    if p < 0.001 {
        "p < 0.001".to_owned()
    } else {
        format!("p {p:.3}")
    }
}

/// A figure with two decimals, or that there is none.
fn finite(value: f64) -> String {
    if value.is_finite() {
        format!("{value:.2}")
    } else {
        "not told".to_owned()
    }
}

fn write_faults(
    f: &Faulted,
    row: &mut impl FnMut(&str, String) -> io::Result<()>,
) -> io::Result<()> {
    for (name, mean) in [("shortening", &f.shortening), ("extension", &f.extension)] {
        if let Some((axis, region)) = mean {
            let region = region.map_or_else(String::new, |e| {
                format!("  95 % within {:.1}° × {:.1}°", e.semi_deg.0, e.semi_deg.1)
            });
            row(name, format!("{}{region} (kinematic)", written::line(axis)))?;
        }
    }
    if let (Some((one, most)), Some((three, least))) = (&f.dihedra.greatest, &f.dihedra.least) {
        row(
            "right dihedra",
            format!(
                "1 {} ({:.0} % agree), 3 {} ({:.0} %)",
                written::line(one),
                most * 100.0,
                written::line(three),
                least * 100.0
            ),
        )?;
    }
    match &f.stress {
        Some(stress) => {
            let p = &stress.principal;
            let cone = |i: usize| {
                stress
                    .cones_95_deg
                    .map_or_else(String::new, |c| format!(" ± {:.0}°", c[i]))
            };
            row(
                "stress",
                format!(
                    "1 {}{}, 2 {}{}, 3 {}{}  ratio {:.2}, mean misfit {:.1}° (Michael)",
                    written::line(&p.sigma1),
                    cone(0),
                    written::line(&p.sigma2),
                    cone(1),
                    written::line(&p.sigma3),
                    cone(2),
                    p.ratio,
                    stress.mean_misfit_deg
                ),
            )?;
        }
        None => row(
            "stress",
            format!(
                "not told by {}: four or more, not all alike",
                written::counted(f.faults.len(), "fault", "faults")
            ),
        )?,
    }
    for fault in &f.faults {
        let misfit = fault
            .misfit_deg
            .map_or_else(String::new, |m| format!("  misfit {m:.1}°"));
        row(
            "",
            format!(
                "{:<8}{}  rake {:.0}, {}{misfit}",
                fault.name,
                written::plane(fault.slip.plane()),
                fault.slip.rake_deg(),
                fault.slip.sense_words()
            ),
        )?;
    }
    if f.without_sense > 0 {
        row(
            "",
            format!(
                "{} with a line but no sense of slip are left out",
                f.without_sense
            ),
        )?;
    }
    row("caution", CAUTION.to_owned())
}
