//! Directional statistics against worked examples of textbooks and a general library's documentation.

use hingeline::orientation::angle::radians;
use hingeline::orientation::statistics::circular::{self, Ends};
use hingeline::orientation::statistics::{
    Fisher, Tensor, critical_mean_resultant, fisher, two_directions,
};
use hingeline::orientation::{Azimuth, Dip, Line, Plane, Plunge};
use nalgebra::Vector3;
use serde_json::Value;

use super::{Check, check_all};

/// What a row prints that is no figure of ours.
const LISTED: &[(&str, &str, &str)] = &[
    (
        "stat-wessel-pmag-two-sample",
        "F_crit_1_10",
        "the text takes the degrees of freedom of the circle; the sphere has 2 and 2(N − 2)",
    ),
    (
        "stat-wessel-axial-1",
        "critical_Rbar_n13",
        "a table of the circle; Rayleigh's p is given instead",
    ),
];

fn numbers(value: &Value) -> Vec<f64> {
    let list = value.as_array().expect("a list");
    list.iter().map(|v| v.as_f64().expect("a number")).collect()
}

fn directions(value: &Value) -> Vec<Vector3<f64>> {
    let (dec, inc) = (numbers(&value["dec"]), numbers(&value["inc"]));
    dec.into_iter()
        .zip(inc)
        .map(|(d, i)| line(d, i).vector())
        .collect()
}

fn line(trend: f64, plunge: f64) -> Line {
    Line::new(
        Azimuth::wrapped_deg(trend).expect("an azimuth"),
        Plunge::from_deg(plunge).expect("a plunge"),
    )
}

fn tolerance(check: &Check<'_>, key: &str) -> f64 {
    let tolerance = check.row.tolerance.get(key);
    tolerance
        .and_then(Value::as_f64)
        .unwrap_or_else(|| panic!("no tolerance {key}"))
}

/// Within a tolerance relative to what is expected.
#[track_caller]
fn relative(check: &mut Check<'_>, key: &str, got: f64) {
    let want = check.expected(key).as_f64().expect("a number");
    let rel = tolerance(check, "rel");
    check.near_within(key, got, want, rel * want.abs());
}

fn relative_list(check: &mut Check<'_>, key: &str, got: &[f64]) {
    let want = numbers(check.expected(key));
    let rel = tolerance(check, "rel");
    assert_eq!(want.len(), got.len());
    for (got, want) in got.iter().zip(want) {
        check.near_within(key, *got, want, rel * want.abs());
    }
}

fn check_row(check: &mut Check<'_>) {
    let inputs = Value::Object(check.row.inputs.clone());
    match check.row.id.as_str() {
        "stat-wessel-pmag-1" => wessel_mean(check, &directions(&inputs)),
        "stat-wessel-pmag-two-sample" => {
            let (a, b) = (directions(&inputs["a"]), directions(&inputs["b"]));
            let test = two_directions(&a, &b).expect("two samples");
            let f = check.expected("F").as_f64().expect("a number");
            check.near_within("F", test.statistic, f, tolerance(check, "F"));
            let all: Vec<_> = a.into_iter().chain(b).collect();
            let pooled = fisher(&all).expect("a mean");
            for (key, got, half_digit) in [
                ("Rp", pooled.resultant, 0.05),
                ("Rbar_p", pooled.mean_resultant, 0.0005),
            ] {
                let want = check.expected(key).as_f64().expect("a number");
                check.near_within(key, got, want, half_digit);
            }
        }
        "stat-critical-R3-n6" => {
            let chance = check.number("alpha");
            let got = critical_mean_resultant(6, chance).expect("within the table");
            check.agrees("critical_Rbar", got);
        }
        "stat-wessel-axial-1" => wessel_axial(check, &numbers(&inputs["strikes"])),
        "stat-fisher93-B6-set2" => currents(check, &numbers(&inputs["azimuths"])),
        "stat-fisher93-B5-kuiper" => {
            let test = circular::kuiper(&numbers(&inputs["azimuths"]), Ends::Two);
            check.agrees("V_modified", test.expect("a sample").statistic);
        }
        "stat-zar-26.4" => trees(check, &numbers(&inputs["deg"])),
        "stat-scipy-circmean" => {
            let got = circular::circular(&numbers(&inputs["deg"]), Ends::One).expect("a mean");
            check.agrees("mean", got.mean_deg);
        }
        "stat-csd-81" => {
            let want = numbers(check.expected("S_deg"));
            for (k, want) in numbers(&inputs["k"]).into_iter().zip(want) {
                check.near("S_deg", of_concentration(k).sd_deg, want);
            }
        }
        "stat-tasmania-33" => tasmania(check, &inputs["vectors"]),
        "stat-da1-faults" => {
            faults(check, &numbers(&inputs["strike"]), &numbers(&inputs["dip"]));
        }
        "stat-fisher93-axial-sets" => {
            for key in ["B2", "B22"] {
                let azimuths = numbers(&inputs[key]);
                let want = check.expected(key).clone();
                let got = circular::circular(&azimuths, Ends::Two).expect("a mean");
                let z = circular::rayleigh(&azimuths, Ends::Two).expect("a sample");
                for (name, got) in [
                    ("axial_mean", got.mean_deg),
                    ("Rbar2", got.mean_resultant),
                    ("rayleigh_z", z.statistic),
                ] {
                    check.near(name, got, want[name].as_f64().expect("a number"));
                }
            }
        }
        other => panic!("no check for {other}"),
    }
}

/// A sample of two with this concentration: n − R = 1/k.
fn of_concentration(k: f64) -> Fisher {
    let half = (1.0 - 0.5 / k).acos();
    let pair = [half, -half].map(|a| Vector3::new(a.cos(), a.sin(), 0.0));
    let fisher = fisher(&pair).expect("a mean");
    assert!((fisher.concentration / k - 1.0).abs() < 1e-9);
    fisher
}

fn wessel_mean(check: &mut Check<'_>, sample: &[Vector3<f64>]) {
    let fisher = fisher(sample).expect("a mean");
    for (key, got, tolerance) in [
        ("D", fisher.mean.trend().deg(), 0.05),
        ("R", fisher.resultant, 0.005),
        ("Rbar", fisher.mean_resultant, 0.0005),
        // The text took R rounded to two decimals: n − R is then up to 4 in 100 off.
        ("k_printed", fisher.concentration, 1.0),
        (
            "alpha95_printed_140_over_sqrt_kN",
            fisher.quick_cone_deg(),
            0.2,
        ),
    ] {
        let want = check.expected(key).as_f64().expect("a number");
        check.near_within(key, got, want, tolerance);
    }
    // The text prints the mean of the components, not a unit vector.
    let mean = sample.iter().sum::<Vector3<f64>>() / 6.0;
    for (got, want) in mean.iter().zip(numbers(check.expected("mean_xyz"))) {
        check.near_within("mean_xyz", *got, want, 0.0005);
    }
    // Full precision, recomputed from the printed data (the row's own note).
    assert!((fisher.mean.plunge().deg() - 47.06603).abs() < 5e-6);
    assert!((fisher.concentration - 36.428_729).abs() < 5e-7);
    assert!((fisher.cone_95_deg.expect("a cone") - 11.248_746).abs() < 5e-7);
    assert!((fisher.likeliest_concentration() - 43.714_474).abs() < 5e-7);
}

fn wessel_axial(check: &mut Check<'_>, strikes: &[f64]) {
    let got = circular::circular(strikes, Ends::Two).expect("a mean");
    let half = 1.96 * got.standard_error_deg;
    let total = got.mean_resultant * strikes.len() as f64;
    let doubled = radians(2.0 * got.mean_deg);
    for (key, got, tolerance) in [
        ("xr", total * doubled.cos(), 0.0005),
        // Printed as −10.349, cut off rather than rounded: the exact sum is −10.34969.
        ("yr", total * doubled.sin(), 0.001),
        ("two_theta", 2.0 * got.mean_deg, 0.5),
        ("Rbar", got.mean_resultant, 0.0005),
        ("theta", got.mean_deg, 0.1),
        ("kappa", got.concentration, 0.005),
        ("se_doubled_deg", 2.0 * got.standard_error_deg, 0.1),
    ] {
        let want = check.expected(key).as_f64().expect("a number");
        check.near_within(key, got, want, tolerance);
    }
    let text = check.expected("ci95").as_str().expect("a text");
    let (mean, width) = text.split_once(" +- ").expect("mean and width");
    check.near_within("ci95", got.mean_deg, mean.parse().expect("a number"), 0.1);
    check.near_within("ci95", half, width.parse().expect("a number"), 0.1);
}

fn currents(check: &mut Check<'_>, azimuths: &[f64]) {
    let got = circular::circular(azimuths, Ends::One).expect("a mean");
    assert_eq!(check.expected("n").as_u64(), Some(got.count as u64));
    check.agrees("mean", got.mean_deg);
    let half = got
        .half_interval_of_large_samples_deg()
        .expect("an interval");
    let ends = numbers(check.expected("ci95_large_sample"));
    check.near("from", got.mean_deg - half, ends[0]);
    check.near("to", got.mean_deg + half, ends[1]);
    check.agrees(
        "median",
        circular::median_deg(azimuths, Ends::One).expect("a median"),
    );
    let (from, to) = circular::median_interval_deg(azimuths, Ends::One).expect("an interval");
    let ends = numbers(check.expected("median_ci95"));
    check.near("from", from, ends[0]);
    check.near("to", to, ends[1]);
}

fn trees(check: &mut Check<'_>, azimuths: &[f64]) {
    let got = circular::circular(azimuths, Ends::One).expect("a mean");
    let half = got.half_interval_of_tables_deg().expect("an interval");
    let deg = tolerance(check, "deg");
    for (key, got, tolerance) in [
        ("mean", got.mean_deg, deg),
        ("r", got.mean_resultant, tolerance(check, "r")),
        ("angular_sd_s", got.angular_sd_deg, deg),
        ("circular_sd_s0", got.circular_sd_deg, deg),
        (
            "median",
            circular::median_deg(azimuths, Ends::One).expect("a median"),
            deg,
        ),
        (
            "rayleigh_z",
            circular::rayleigh(azimuths, Ends::One)
                .expect("a sample")
                .statistic,
            tolerance(check, "z"),
        ),
    ] {
        let want = check.expected(key).as_f64().expect("a number");
        // 103.5 is printed as 103: the book cuts the half degree off.
        check.near_within(key, got, want, tolerance + 1e-9);
    }
    let ends = numbers(check.expected("ci95"));
    check.near_within("from", got.mean_deg - half, ends[0], deg);
    check.near_within("to", got.mean_deg + half, ends[1], deg);
}

fn tasmania(check: &mut Check<'_>, vectors: &Value) {
    let rows: Vec<Vec<f64>> = vectors
        .as_array()
        .expect("a list")
        .iter()
        .map(numbers)
        .collect();
    // The file has x, y, z with z up and longitude from x towards y: north = x, east = y, down = z keeps the angles.
    let sample: Vec<_> = rows
        .iter()
        .map(|v| Vector3::new(v[0], v[1], v[2]))
        .collect();
    let fisher = fisher(&sample).expect("a mean");
    let eigen = Tensor::of(&sample).eigen().expect("axes");
    assert_eq!(check.expected("N").as_u64(), Some(fisher.count as u64));
    for (key, got) in [
        ("R", fisher.resultant),
        ("lat", fisher.mean.plunge().deg()),
        ("lon", fisher.mean.trend().deg()),
        ("k", fisher.concentration),
        ("alpha95", fisher.cone_95_deg.expect("a cone")),
        ("woodcock_K", eigen.shape()),
        ("woodcock_C", eigen.strength()),
        ("vollmer_P", eigen.cluster()),
        ("vollmer_G", eigen.girdle()),
        ("vollmer_R", eigen.even()),
    ] {
        relative(check, key, got);
    }
    relative_list(check, "eigenvalues", &eigen.values);
}

fn faults(check: &mut Check<'_>, strikes: &[f64], dips: &[f64]) {
    let poles: Vec<_> = strikes
        .iter()
        .zip(dips)
        .map(|(strike, dip)| {
            let plane = Plane::new(
                Azimuth::wrapped_deg(*strike).expect("an azimuth"),
                Dip::from_deg(*dip).expect("a dip"),
            );
            plane.pole().vector()
        })
        .collect();
    let fisher = fisher(&poles).expect("a mean");
    let mean = Plane::from_normal(&fisher.mean.vector()).expect("a plane");
    let eigen = Tensor::of(&poles).eigen().expect("axes");
    for (key, got) in [
        ("R", fisher.resultant),
        ("mean_plane_strike", mean.strike().deg()),
        ("mean_plane_dip", mean.dip().deg()),
        ("k", fisher.concentration),
        ("woodcock_K", eigen.shape()),
        ("woodcock_C", eigen.strength()),
    ] {
        relative(check, key, got);
    }
    relative_list(check, "eigenvalues", &eigen.values);
    let axial = Plane::from_normal(&eigen.vectors[0]).expect("a plane");
    relative_list(
        check,
        "axial_mean_plane",
        &[axial.strike().deg(), axial.dip().deg()],
    );
}

#[test]
fn directional_statistics_agree() {
    check_all("statistics", LISTED, check_row);
}
