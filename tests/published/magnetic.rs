//! The World Magnetic Model against the values that its makers print for testing, its error model and its zones.

use std::collections::BTreeSet;

use hingeline::geodesy::magnetic::{self, DecimalYear, Field, SPREAD, Zone};
use serde_json::Value;

use super::{Check, check_all, rows};

/// Grid variation refers to a polar map grid, which the book does not have; the two formulas are checked by their results.
fn listed() -> Vec<(String, &'static str, &'static str)> {
    let rows = rows("magnetic");
    let mut listed: Vec<_> = rows
        .into_iter()
        .filter(|row| row.expected.contains_key("GV"))
        .map(|row| (row.id, "GV", "the book has no polar map grid"))
        .collect();
    listed.push((
        "wmm2025-error-model".to_owned(),
        "dD_formula",
        "checked by its results",
    ));
    listed.push(("wmm2025-zones".to_owned(), "rule", "checked by its results"));
    listed
}

fn field(check: &Check<'_>) -> Field {
    let when = DecimalYear::from_year(check.number("decimal_year")).expect("a year");
    magnetic::field(
        check.number("lat"),
        check.number("lon"),
        1_000.0 * check.number("height_km_above_ellipsoid"),
        when,
    )
    .expect("within the model's years")
}

/// Every element of a row of test values, each against the tolerance of its unit.
fn check_elements(check: &mut Check<'_>, [deg, nt, deg_a_year, nt_a_year]: [f64; 4]) {
    let it = field(check);
    for (key, got, tolerance) in [
        ("D", it.declination.deg(), deg),
        ("I", it.inclination_deg, deg),
        ("H", it.horizontal_nt, nt),
        ("X", it.north_nt, nt),
        ("Y", it.east_nt, nt),
        ("Z", it.down_nt, nt),
        ("F", it.total_nt, nt),
        ("Ddot", it.annual.declination_deg, deg_a_year),
        ("Idot", it.annual.inclination_deg, deg_a_year),
        ("Hdot", it.annual.horizontal_nt, nt_a_year),
        ("Xdot", it.annual.north_nt, nt_a_year),
        ("Ydot", it.annual.east_nt, nt_a_year),
        ("Zdot", it.annual.down_nt, nt_a_year),
        ("Fdot", it.annual.total_nt, nt_a_year),
    ] {
        let want = check.expected(key).as_f64().expect("a number");
        check.near_within(key, got, want, tolerance);
    }
}

fn tolerance(check: &Check<'_>, key: &str) -> f64 {
    check.row.tolerance[key].as_f64().expect("a number")
}

fn numbers(value: &Value) -> Vec<f64> {
    let list = value.as_array().expect("a list");
    list.iter().map(|v| v.as_f64().expect("a number")).collect()
}

fn check_row(check: &mut Check<'_>) {
    let id = check.row.id.as_str();
    if id.starts_with("wmm2025-table-") {
        let by = ["deg", "nT", "deg_per_yr", "nT_per_yr"].map(|key| tolerance(check, key));
        check_elements(check, by);
    } else if id.starts_with("wmm2025-hp-") {
        let by = ["D_I_deg", "nT", "deg_per_yr", "nT_per_yr"].map(|key| tolerance(check, key));
        check_elements(check, by);
    } else if id == "wmm2025-error-model" {
        check.agrees("dX", SPREAD.north_nt);
        check.agrees("dY", SPREAD.east_nt);
        check.agrees("dZ", SPREAD.down_nt);
        check.agrees("dH", SPREAD.horizontal_nt);
        check.agrees("dF", SPREAD.total_nt);
        check.agrees("dI_deg", SPREAD.inclination_deg);
        let want = numbers(check.expected("dD_deg"));
        let at = numbers(&check.row.inputs["H_nT"]);
        assert_eq!(at.len(), want.len());
        for (at, want) in at.into_iter().zip(want) {
            check.near("dD_deg", magnetic::declination_sd_deg(at), want);
        }
    } else if id == "wmm2025-zones" {
        let want = check.expected("zone").as_array().expect("a list");
        let at = numbers(&check.row.inputs["H_nT"]);
        assert_eq!(at.len(), want.len());
        for (at, want) in at.into_iter().zip(want) {
            assert_eq!(Zone::of(at).name(), want, "{at} nT");
        }
    } else if id == "wmm-decimal-year" {
        let day = DecimalYear::from_text(check.text("date")).expect("a date");
        check.agrees("decimal_year", day.year());
    }
}

#[test]
fn every_published_value_is_checked_or_listed() {
    let listed = listed();
    let listed: Vec<(&str, &str, &str)> = listed
        .iter()
        .map(|(id, key, why)| (id.as_str(), *key, *why))
        .collect();
    check_all("magnetic", &listed, check_row);
}

/// The rows near the magnetic poles carry the warnings of their horizontal field.
#[test]
fn the_rows_near_the_poles_are_in_their_zones() {
    let rows = rows("magnetic");
    let mut seen = BTreeSet::new();
    for row in rows.iter().filter(|row| row.expected.contains_key("H")) {
        let check = Check::new(row);
        let it = field(&check);
        let want = match row.expected["H"].as_f64().expect("a number") {
            h if h < 2_000.0 => Zone::Blackout,
            h if h < 6_000.0 => Zone::Caution,
            _ => Zone::None,
        };
        assert_eq!(it.zone, want, "{}", row.id);
        assert!(it.declination_sd_deg >= 0.26, "{}", row.id);
        seen.insert(want);
    }
    assert_eq!(seen.len(), 3, "a row of each zone");
}
