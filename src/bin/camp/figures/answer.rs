//! The figures as JSON: every number with its method and source.

use hingeline::notebook::figures::{CAUTION, Faulted, Figures, Folded, Look, Pair};
use hingeline::orientation::folds::{Fold, Told};
use hingeline::orientation::statistics::{Eigen, Ellipse, Errors, Fisher, Test};
use hingeline::orientation::{Line, Plane};
use serde_json::{Value, json};

use crate::read::{LineDegrees, PlaneDegrees};

fn plane(plane: &Plane) -> Value {
    json!(PlaneDegrees::new(plane))
}

fn line(line: &Line) -> Value {
    json!(LineDegrees::new(line))
}

fn vector(v: &nalgebra::Vector3<f64>) -> Value {
    Line::axis_from_vector(v).as_ref().map_or(Value::Null, line)
}

fn finite(value: f64) -> Value {
    if value.is_finite() {
        json!(value)
    } else {
        Value::Null
    }
}

fn test(test: &Test) -> Value {
    json!({"statistic": test.statistic, "p": test.p, "method": test.method, "source": test.source})
}

fn ellipse(e: &Ellipse) -> Value {
    json!({
        "axis": line(&e.axis), "level": e.level,
        "semi_axes": [e.semi_deg.0, e.semi_deg.1], "sd": [e.sd_deg.0, e.sd_deg.1], "along": vector(&e.along),
        "method": "asymptotic covariance of a principal axis, Hotelling's region", "source": "Prentice 1984",
    })
}

/// A region whose method is said beside it.
fn region(e: &Ellipse) -> Value {
    json!({
        "axis": line(&e.axis), "level": e.level,
        "semi_axes": [e.semi_deg.0, e.semi_deg.1], "sd": [e.sd_deg.0, e.sd_deg.1], "along": vector(&e.along),
    })
}

fn fisher_answer(f: &Fisher) -> Value {
    json!({
        "count": f.count, "mean": line(&f.mean), "resultant": f.resultant, "mean_resultant": f.mean_resultant,
        "concentration": finite(f.concentration), "cone_95": f.cone_95_deg, "quick_cone_95": finite(f.quick_cone_deg()),
        "sd": f.sd_deg, "method": "mean of unit vectors, k = (n − 1)/(n − R)", "source": "Fisher 1953",
    })
}

fn tensor(e: &Eigen, errors: Option<&Errors>) -> Value {
    json!({
        "errors": errors.map(|e| json!({
            "eigenvalues": e.values, "shape_k": finite(e.shape), "strength_c": finite(e.strength),
            "method": "one standard error, to first order",
        })),
        "eigenvalues": e.values, "eigenvectors": e.vectors.each_ref().map(vector),
        "shape_k": finite(e.shape()), "strength_c": finite(e.strength()),
        "cluster": e.cluster(), "girdle": e.girdle(), "even": e.even(),
        "method": "principal axes of the orientation tensor", "source": "Woodcock 1977 (K, C); Vollmer 1990 (cluster P, girdle G, even R)",
    })
}

fn fold_answer(f: &Figures) -> Value {
    if f.cylinder.is_none() && f.fold.is_none() {
        return Value::Null;
    }
    let mut answer = json!({
        "cylinder": f.cylinder.as_ref().map(|c| json!({
            "count": c.count, "axis": line(&c.axis), "ellipse": c.ellipse.as_ref().map(ellipse),
            "misfit": c.misfit_deg, "girdle": c.girdle, "rest": c.rest,
            "method": "least principal axis of the poles' tensor", "source": "Woodcock 1977",
        })),
        "axis": f.cylinder.as_ref().map(|c| line(&c.axis)),
        "cone": f.cone.as_ref().map(|c| json!({
            "count": c.count, "axis": line(&c.axis), "half_angle": c.half_angle_deg, "misfit": c.misfit_deg,
            "ellipse": c.ellipse.as_ref().map(region), "half_angle_95": c.half_angle_95_deg.map(|(low, high)| [low, high]),
            "method": "least variance of the heights over their square slope; ellipse and interval of its covariance",
            "source": "Taubin 1991; Gray, Geiser & Geiser 1980",
            "better": f.better_cone().is_some(), "test": c.better.as_ref().map(test),
        })),
    });
    if let Some(Folded {
        limbs,
        fold,
        different,
        within,
        ..
    }) = &f.fold
    {
        let more = json!({
            "limbs": limbs.each_ref().map(|limb| json!({
                "count": limb.count, "mean": plane(&limb.plane), "ellipse": limb.ellipse.as_ref().map(ellipse),
            })),
            "limbs_differ": different.as_ref().map(test),
            "hinge": line(&fold.axis),
            "interlimb": fold.interlimb_deg, "other_interlimb": fold.other_interlimb_deg,
            "told_by": told(fold), "tightness": fold.tightness(), "attitude": fold.attitude(),
            "axial_plane": plane(&fold.axial_plane), "other_axial_plane": plane(&fold.other_axial_plane),
            "facing": fold.facing.as_ref().map(line), "vergence": fold.vergence_deg,
            "within_95": within.as_ref().map(|w| json!({
                "interlimb": w.interlimb_deg, "axial_plane": w.axial_plane.as_ref().map(region),
                "vergence": w.vergence_deg, "facing": w.facing.as_ref().map(region),
                "method": "the ellipses of the limbs' means carried over, to first order",
            })),
            "words": "Fleuty 1964",
        });
        if let (Some(answer), Value::Object(more)) = (answer.as_object_mut(), more) {
            answer.extend(more);
        }
    }
    answer
}

pub(super) fn told(fold: &Fold) -> &'static str {
    match fold.told {
        Told::ByTops => "tops",
        Told::NoneOverturned => "no limb taken as overturned",
    }
}

fn conjugate(pair: &Pair) -> Value {
    let told = &pair.conjugate;
    json!({
        "sigma1": line(&told.sigma1), "sigma2": line(&told.sigma2), "sigma3": line(&told.sigma3),
        "regions": pair.regions.each_ref().map(|e| e.as_ref().map(region)), "counts": pair.counts,
        "angle": told.two_theta_deg, "angle_within_95": pair.two_theta_within_deg,
        "method": "bisectors of the means of two sets", "source": "Anderson 1951",
        "caution": "a model: both sets slipped at once in unbroken rock",
    })
}

fn faulted(f: &Faulted) -> Value {
    let mean = |mean: &Option<(Line, Option<Ellipse>)>| {
        mean.as_ref().map(
            |(axis, region)| json!({"axis": line(axis), "ellipse": region.as_ref().map(ellipse)}),
        )
    };
    let middle = |of: &Option<(Line, f64)>| {
        of.as_ref()
            .map(|(axis, share)| json!({"axis": line(axis), "share": share}))
    };
    json!({
        "count": f.faults.len(), "without_sense": f.without_sense,
        "shortening": mean(&f.shortening), "extension": mean(&f.extension),
        "kinematic_source": "Marrett & Allmendinger 1990",
        "dihedra": {
            "sigma1": middle(&f.dihedra.greatest), "sigma3": middle(&f.dihedra.least),
            "nodes": f.dihedra.size, "method": "right dihedra", "source": "Angelier & Mechler 1977",
        },
        "stress": f.stress.as_ref().map(|s| json!({
            "sigma1": line(&s.principal.sigma1), "sigma2": line(&s.principal.sigma2), "sigma3": line(&s.principal.sigma3),
            "ratio": s.principal.ratio, "ratio_95": s.ratio_95, "cones_95": s.cones_95_deg,
            "mean_misfit": s.mean_misfit_deg,
            "resamples": f.resamples, "method": "reduced tensor by linear least squares; cones by resamples of the faults", "source": "Michael 1984, 1987",
        })),
        "faults": f.faults.iter().map(|fault| json!({
            "reading": fault.name, "plane": plane(fault.slip.plane()), "rake": fault.slip.rake_deg(),
            "sense": fault.slip.sense_words(), "misfit": fault.misfit_deg,
        })).collect::<Vec<_>>(),
        "caution": CAUTION,
    })
}

pub(super) fn answer(f: &Figures) -> Value {
    json!({
        "kind": f.kind, "of": if f.of_planes { "poles" } else { "lines" }, "look": f.look, "count": f.count,
        "not_true": f.not_true, "mean_plane": f.mean_plane().as_ref().map(plane),
        "fisher": f.fisher.as_ref().map(fisher_answer),
        "tensor": f.eigen.as_ref().map(|e| tensor(e, f.errors.as_ref())),
        "mean_axis": f.mean.as_ref().map(ellipse),
        "uniform": f.uniform.as_ref().map(test),
        "fold": fold_answer(f),
        "sets": f.sets.as_ref().map(|s| json!({
            "number": s.best + 1,
            "sets": s.tried[s.best].sets.iter().map(|set| json!({
                "count": set.count, "mean": plane(&set.mean), "spread": set.spread_deg,
                "ellipse": set.ellipse.as_ref().map(ellipse),
            })).collect::<Vec<_>>(),
            "evidence": s.tried.iter().enumerate().map(|(i, tried)| json!({
                "number": i + 1, "criterion": tried.criterion,
                "smallest_set": tried.sets.last().map(|set| set.count),
            })).collect::<Vec<_>>(),
            "method": "axial k-means, the number by Bayes' information criterion among those whose sets have three readings or more",
            "source": "our choice; see the library",
        })),
        "conjugate": f.pair.as_ref().map(conjugate),
        "faults": f.faulted.as_ref().map(faulted),
        "circular": f.circular.as_ref().map(|c| json!({
            "count": c.count, "axial": f.look != Look::Directions, "mean": c.mean_deg,
            "mean_resultant": c.mean_resultant, "concentration": finite(c.concentration),
            "half_interval_95": c.half_interval_deg(),
            "half_interval_method": "by the sample's own dispersion (Fisher 1993, section 4.4.4), with Student's factor and n − 1 below 25",
            "half_interval_95_von_mises": c.half_interval_of_tables_deg(),
            "half_interval_von_mises_method": "as tables print it (Upton 1986, in Zar 2010, section 26.7)",
            "angular_sd": c.angular_sd_deg, "circular_sd": finite(c.circular_sd_deg),
            "rayleigh": f.circular_test.as_ref().map(test),
            "kuiper": f.kuiper.as_ref().map(test),
            "source": "Fisher 1993; Zar 2010",
        })),
    })
}
