//! The magnetic field where it could go wrong unseen: poles, the date line, the ends of its years, its rates.

use hingeline::geodesy::magnetic::{
    self, DecimalYear, Field, VALID_FROM, VALID_UNTIL, Zone, field, field_beyond,
};
use hingeline::orientation::angle::turn_deg;
use proptest::prelude::*;

use super::check_near;

fn year(year: f64) -> DecimalYear {
    DecimalYear::from_year(year).expect("a year")
}

fn day(text: &str) -> DecimalYear {
    DecimalYear::from_text(text).unwrap_or_else(|e| panic!("{e}"))
}

fn at(latitude_deg: f64, longitude_deg: f64) -> Field {
    field(latitude_deg, longitude_deg, 0.0, year(2027.0)).expect("in range")
}

/// The two describe the same field, but for rounding.
#[track_caller]
fn check_same(one: &Field, other: &Field, tolerance_nt: f64) {
    check_near(one.north_nt, other.north_nt, tolerance_nt);
    check_near(one.east_nt, other.east_nt, tolerance_nt);
    check_near(one.down_nt, other.down_nt, tolerance_nt);
}

#[test]
fn the_last_day_is_within_and_the_next_is_not() {
    assert!(!day(VALID_FROM).is_out_of_date());
    assert!(day("2024-12-31").is_out_of_date());
    assert!(!day(VALID_UNTIL).is_out_of_date());
    assert!(!day("2029-12-31T23:59:59Z").is_out_of_date());
    assert!(day("2030-01-01").is_out_of_date());
    assert!(!day("2030.0").is_out_of_date());
    assert!(day("2030.001").is_out_of_date());
}

#[test]
fn a_date_beyond_the_model_is_an_error_and_the_figure_is_marked() {
    for (text, is) in [("2030-01-01", "after"), ("2024-06-30", "before")] {
        let error = field(45.0, 7.0, 0.0, day(text)).expect_err(text);
        assert!(error.is_out_of_date() && !error.is_out_of_range());
        let said = error.to_string();
        for word in [is, "2029-12-31", "2025-01-01", "WMM2025"] {
            assert!(said.contains(word), "{word}: {said}");
        }
        let marked = field_beyond(45.0, 7.0, 0.0, day(text)).expect("a figure all the same");
        assert!(marked.out_of_date);
    }
    assert!(!at(45.0, 7.0).out_of_date);
    // A straight line on from the last years.
    let [a, b, c] = [2028.0, 2030.0, 2032.0].map(|y| {
        field_beyond(45.0, 7.0, 0.0, year(y))
            .expect("a figure")
            .east_nt
    });
    check_near(c - b, b - a, 1e-6);
}

#[test]
fn beyond_the_limits_is_an_error_that_names_them() {
    let when = year(2026.0);
    for (latitude, longitude, height, word) in [
        (90.5, 0.0, 0.0, "latitude"),
        (-91.0, 0.0, 0.0, "latitude"),
        (0.0, 361.0, 0.0, "longitude"),
        (0.0, -180.5, 0.0, "longitude"),
        (0.0, 0.0, -1_001.0, "height"),
        (0.0, 0.0, 850_001.0, "height"),
        (f64::NAN, 0.0, 0.0, "latitude"),
        (0.0, f64::NAN, 0.0, "longitude"),
        (0.0, 0.0, f64::NAN, "height"),
    ] {
        let error = field(latitude, longitude, height, when).expect_err(word);
        assert!(
            error.is_out_of_range() && !error.is_out_of_date(),
            "{error}"
        );
        assert!(error.to_string().starts_with(word), "{error}");
    }
}

#[test]
fn declination_at_a_pole_counts_from_the_meridian_given() {
    for pole in [90.0, -90.0] {
        for longitude in [-180.0, -121.0, 0.0, 33.0, 180.0, 290.0] {
            let there = at(pole, longitude);
            // A metre away along the same meridian.
            let near = at(pole - 1e-5 * pole.signum(), longitude);
            check_same(&there, &near, 0.05);
            // The needle points one way in space, whichever meridian names it: D − λ at the north pole, D + λ at the south.
            let turned = turn_deg(
                at(pole, 0.0).declination.deg() + pole.signum() * longitude,
                there.declination.deg(),
            );
            check_near(turned, 0.0, 1e-6);
        }
    }
}

#[test]
fn a_needle_with_no_field_to_turn_it_knows_nothing() {
    assert_eq!(magnetic::declination_sd_deg(0.0), 180.0);
    assert_eq!(Zone::of(f64::NAN), Zone::Blackout);
    assert_eq!(Zone::of(0.0), Zone::Blackout);
}

#[test]
fn dates_are_days_moments_or_decimal_years() {
    for (text, want) in [
        ("2025-01-01", 2025.0),
        ("2026-07-02", 2026.0 + 182.0 / 365.0),
        ("2028-03-01", 2028.0 + 60.0 / 366.0),
        ("2028-12-31", 2028.0 + 365.0 / 366.0),
        ("2029-12-31", 2029.0 + 364.0 / 365.0),
        ("2000-02-29", 2000.0 + 59.0 / 366.0),
        ("2026-11-25T23:59:00-08:00", 2026.0 + 328.0 / 365.0),
        ("2026-11-25 08:00", 2026.0 + 328.0 / 365.0),
        ("2026.9", 2026.9),
        (" 2026 ", 2026.0),
    ] {
        check_near(day(text).year(), want, 1e-9);
    }
}

#[test]
fn what_is_no_date_is_said_to_be_none() {
    for text in [
        "",
        "today",
        "2026-13-01",
        "2026-00-10",
        "2026-02-29",
        "2100-02-29",
        "2026-11-31",
        "2026-11-00",
        "26-11-2025",
        "2026-11",
        "2026-1-1",
        "2026/11/25",
        "2026-11-25Tmorning",
        "2026.9.1",
        "2026-11-25T",
        "2026.9 12:00",
        "-2026",
        "nan",
        "inf",
        "2026-+1-01",
    ] {
        let error = DecimalYear::from_text(text).expect_err(text);
        assert!(error.is_no_date(), "{text}: {error}");
        assert!(error.to_string().contains("2026-11-25"), "{error}");
    }
    for text in ["1899.9", "2100.5", "0026-11-25", "20266"] {
        let error = DecimalYear::from_text(text).expect_err(text);
        assert!(error.is_out_of_range(), "{text}: {error}");
    }
    assert!(DecimalYear::from_year(f64::NAN).is_err());
}

/// So says the page of `field`: a height above the sea does as well as one above the ellipsoid.
#[test]
fn a_thousand_metres_of_height_move_declination_less_than_its_uncertainty() {
    for latitude in (-90..=90).step_by(3) {
        for longitude in (-180..180).step_by(3) {
            let place = (f64::from(latitude), f64::from(longitude));
            let [low, high] =
                [0.0, 1_000.0].map(|h| field(place.0, place.1, h, year(2027.0)).expect("in range"));
            if low.zone != Zone::Blackout {
                let moved = turn_deg(low.declination.deg(), high.declination.deg()).abs();
                assert!(moved < low.declination_sd_deg, "{place:?}: {moved}");
            }
        }
    }
}

/// Magnetic flux has no sources: as much leaves the ellipsoid as enters it, so that the parts of the sum fit together.
#[test]
fn no_flux_leaves_the_earth() {
    let (mut flux, mut size) = (0.0, 0.0);
    let e2: f64 = 0.006_694_379_990_141_316_5;
    let steps = 360;
    for i in 0..steps {
        let latitude = -90.0 + 180.0 * (f64::from(i) + 0.5) / f64::from(steps);
        let (sin, cos) = hingeline::orientation::angle::radians(latitude).sin_cos();
        let area = cos / (1.0 - e2 * sin * sin).powi(2);
        for j in 0..72 {
            let down = at(latitude, 5.0 * f64::from(j)).down_nt;
            flux += area * down;
            size += area * down.abs();
        }
    }
    assert!((flux / size).abs() < 1e-5, "{}", flux / size);
}

proptest! {
    #[test]
    fn the_parts_fit_together(latitude in -90.0..=90.0, longitude in -180.0..=360.0, height in -1e3..=850e3, when in 2025.0..=2030.0) {
        let it = field(latitude, longitude, height, year(when)).expect("in range");
        let h = it.north_nt.hypot(it.east_nt);
        check_near(it.horizontal_nt, h, 1e-6);
        check_near(it.total_nt, h.hypot(it.down_nt), 1e-6);
        let d = it.declination.rad();
        check_near(h * d.cos(), it.north_nt, 1e-4);
        check_near(h * d.sin(), it.east_nt, 1e-4);
        prop_assert_eq!(it.zone, Zone::of(h));
        prop_assert!(8_000.0 < it.total_nt && it.total_nt < 70_000.0);
    }

    #[test]
    fn both_ways_of_counting_longitude_are_one_place(latitude in -90.0..=90.0, longitude in -180.0..0.0) {
        check_same(&at(latitude, longitude), &at(latitude, longitude + 360.0), 1e-6);
    }

    #[test]
    fn a_rate_is_the_difference_over_a_short_time(latitude in -89.0..=89.0, longitude in -180.0..=180.0, when in 2025.0..2029.0) {
        let [a, b, c] = [0.0, 0.5, 1.0].map(|t| field(latitude, longitude, 0.0, year(when + t * 1e-3)).expect("in range"));
        let rate = |of: fn(&Field) -> f64| (of(&c) - of(&a)) / 1e-3;
        check_near(rate(|f| f.north_nt), b.annual.north_nt, 1e-3);
        check_near(rate(|f| f.east_nt), b.annual.east_nt, 1e-3);
        check_near(rate(|f| f.down_nt), b.annual.down_nt, 1e-3);
        check_near(rate(|f| f.total_nt), b.annual.total_nt, 1e-3);
        check_near(rate(|f| f.inclination_deg), b.annual.inclination_deg, 1e-4);
        if b.zone == Zone::None {
            check_near(rate(|f| f.horizontal_nt), b.annual.horizontal_nt, 1e-3);
            check_near(turn_deg(a.declination.deg(), c.declination.deg()) / 1e-3, b.annual.declination_deg, 1e-4);
        }
    }
}
