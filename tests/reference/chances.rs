//! Means, concentrations, and the distributions that tests are held against.

use hingeline::orientation::angle::degrees;
use hingeline::orientation::statistics::circular::{self, Ends, circular};
use hingeline::orientation::statistics::{fisher, two_directions, uniform_directions};
use nalgebra::Vector3;
use serde::Deserialize;
use statrs::distribution::{ChiSquared, ContinuousCDF, FisherSnedecor, StudentsT};

use super::{check_near, tables, vectors};

#[derive(Deserialize)]
pub(crate) struct OfFisher {
    directions: Vec<[f64; 2]>,
    mean: [f64; 3],
    mean_resultant: f64,
    concentration: f64,
    cone: Option<f64>,
    likeliest_concentration: f64,
    rayleigh_p: f64,
}

#[test]
fn means_of_directions_are_the_same() {
    let rows = tables().fisher;
    assert!(
        rows.iter().any(|r| r.directions.len() > 20),
        "both ways to p"
    );
    for row in rows {
        let directions = vectors(&row.directions);
        let what = format!("{} directions", directions.len());
        let got = fisher(&directions).expect("a mean");
        let off = (got.mean.vector() - Vector3::from(row.mean)).norm();
        check_near(&what, off, 0.0, 1e-13);
        check_near(&what, got.mean_resultant, row.mean_resultant, 1e-13);
        check_near(&what, got.concentration, row.concentration, 1e-11);
        check_near(
            &what,
            got.likeliest_concentration(),
            row.likeliest_concentration,
            1e-9,
        );
        match (got.cone_95_deg, row.cone) {
            (Some(got), Some(want)) => check_near(&what, got, want, 1e-9),
            (got, want) => assert_eq!(got, want, "{what}"),
        }
        let test = uniform_directions(&directions).expect("directions");
        check_near(&what, test.p, row.rayleigh_p, 1e-11);
    }
}

#[derive(Deserialize)]
pub(crate) struct OfTwo {
    one: Vec<[f64; 2]>,
    other: Vec<[f64; 2]>,
    f: f64,
    p: f64,
}

#[test]
fn two_means_are_told_apart_alike() {
    for row in tables().two {
        let test = two_directions(&vectors(&row.one), &vectors(&row.other)).expect("two samples");
        check_near("F", test.statistic, row.f, 1e-11);
        check_near("p", test.p, row.p, 1e-12);
    }
}

#[derive(Deserialize)]
pub(crate) struct OfCircular {
    azimuths: Vec<f64>,
    ends: u8,
    mean: f64,
    mean_resultant: f64,
    concentration: f64,
    circular_sd: f64,
    kuiper: f64,
    kuiper_p: f64,
    rayleigh_z: f64,
    rayleigh_p: f64,
}

#[test]
fn azimuths_have_the_same_figures() {
    for row in tables().circular {
        let ends = if row.ends == 1 { Ends::One } else { Ends::Two };
        let what = format!("{} azimuths", row.azimuths.len());
        let got = circular(&row.azimuths, ends).expect("a mean");
        check_near(&what, got.mean_deg, row.mean, 1e-10);
        check_near(&what, got.mean_resultant, row.mean_resultant, 1e-13);
        check_near(&what, got.concentration, row.concentration, 1e-10);
        check_near(&what, got.circular_sd_deg, row.circular_sd, 1e-10);
        let kuiper = circular::kuiper(&row.azimuths, ends).expect("a sample");
        check_near(&what, kuiper.statistic, row.kuiper, 1e-12);
        check_near(&what, kuiper.p, row.kuiper_p, 1e-11);
        let rayleigh = circular::rayleigh(&row.azimuths, ends).expect("a sample");
        check_near(&what, rayleigh.statistic, row.rayleigh_z, 1e-11);
        // Ours is the published approximation, the table the exact integral: they differ by less than 2 in 1,000.
        check_near(&what, rayleigh.p, row.rayleigh_p, 2e-3);
    }
}

#[test]
fn concentrations_solve_their_equations() {
    for [r, on_sphere, on_circle] in tables().kappas {
        // Pairs symmetric about the mean, whose mean resultant is the cosine of half their angle.
        let half = r.acos();
        let pair = [half, -half].map(|a| Vector3::new(a.cos(), a.sin(), 0.0));
        let got = fisher(&pair).expect("a mean").likeliest_concentration();
        check_near("on the sphere", got, on_sphere, 1e-8);
        let azimuths = [half, -half].map(|a| degrees(a).rem_euclid(360.0));
        let got = circular(&azimuths, Ends::One)
            .expect("a mean")
            .concentration;
        check_near("on the circle", got, on_circle, 1e-8);
    }
}

#[test]
fn kuipers_series_is_its_other_series() {
    for [v, want] in tables().kuiper {
        let n = 50;
        let times = f64::from(n).sqrt() + 0.155 + 0.24 / f64::from(n).sqrt();
        // Spaced evenly over a share of the circle, azimuths run ahead of an even spread by what is left of it.
        let share = 1.0 - v / times;
        let azimuths: Vec<f64> = (0..n)
            .map(|i| 360.0 * share * f64::from(i) / f64::from(n - 1))
            .collect();
        let got = circular::kuiper(&azimuths, Ends::One).expect("a sample");
        check_near("V*", got.statistic, v, 1e-9);
        check_near("p", got.p, want, 1e-8);
    }
}

#[test]
fn the_distributions_that_tests_are_held_against_are_right() {
    let tables = tables();
    for [x, n, want] in tables.chi2 {
        let got = ChiSquared::new(n).expect("a distribution").sf(x);
        check_near("chi-square", got, want, 1e-13);
    }
    for [x, a, b, want] in tables.f {
        let got = FisherSnedecor::new(a, b).expect("a distribution").sf(x);
        check_near("F", got, want, 1e-12);
    }
    for [p, a, b, want] in tables.f_quantiles {
        let got = FisherSnedecor::new(a, b)
            .expect("a distribution")
            .inverse_cdf(p);
        check_near("quantile of F", got, want, 1e-9);
    }
    for [p, n, want] in tables.t_quantiles {
        let got = StudentsT::new(0.0, 1.0, n)
            .expect("a distribution")
            .inverse_cdf(p);
        check_near("quantile of t", got, want, 1e-8);
    }
}
