//! The map grid: against a general geodetic library, and there and back.

use hingeline::geodesy::grid::{TransverseMercator, position, utm, utm_in, zone};
use hingeline::geodesy::sighting::between;
use hingeline::orientation::angle::turn_deg;
use proptest::prelude::*;
use serde::Deserialize;

use super::check_near;

/// Made by `tests/data/geodesy/positions.py`, which says with what.
#[derive(Deserialize)]
struct Made {
    grid: Vec<OnGrid>,
}

#[derive(Deserialize)]
struct OnGrid {
    latitude: f64,
    longitude: f64,
    zone: u8,
    south: bool,
    easting: f64,
    northing: f64,
    convergence: f64,
    scale: f64,
}

#[test]
fn a_general_library_gives_the_same_grid() {
    let made: Made =
        serde_json::from_str(include_str!("../data/geodesy/positions.json")).expect("rows");
    assert_eq!(made.grid.len(), 60);
    for row in made.grid {
        let got = utm(row.latitude, row.longitude).expect("in range");
        assert_eq!(
            (got.zone, got.south),
            (row.zone, row.south),
            "{} {}",
            row.latitude,
            row.longitude
        );
        // The rows are rounded to a thousandth of a millimetre.
        check_near(got.easting_m, row.easting, 2e-6);
        check_near(got.northing_m, row.northing, 2e-6);
        check_near(got.convergence.deg(), row.convergence, 5e-8);
        check_near(got.scale, row.scale, 1e-9);
        let (latitude, longitude) =
            position(row.zone, row.south, row.easting, row.northing).expect("in range");
        check_near(latitude, row.latitude, 1e-10);
        // A thousandth of a millimetre is more degrees of longitude the shorter the parallel.
        check_near(turn_deg(row.longitude, longitude), 0.0, 1e-10);
    }
}

#[test]
fn zones_with_their_exceptions() {
    for (latitude, longitude, want) in [
        (0.0, -180.0, 1),
        (0.0, 180.0, 1),
        (0.0, 179.999, 60),
        (0.0, 359.0, 30),
        (0.0, 0.0, 31),
        (0.0, -0.001, 30),
        (0.0, 6.0, 32),
        // South-west Norway: 32 begins at 3° E from 56° to 64° N.
        (55.999, 3.0, 31),
        (56.0, 3.0, 32),
        (63.999, 11.999, 32),
        (64.0, 3.0, 31),
        (60.0, 2.999, 31),
        (60.0, 12.0, 33),
        // Svalbard, from 72° N: 31 to 9° E, 33 to 21°, 35 to 33°, 37 to 42°.
        (71.999, 8.0, 32),
        (72.0, 8.999, 31),
        (78.0, 9.0, 33),
        (84.0, 20.999, 33),
        (78.0, 21.0, 35),
        (78.0, 33.0, 37),
        (78.0, 41.999, 37),
        (78.0, 42.0, 38),
        (78.0, -0.001, 30),
    ] {
        assert_eq!(
            zone(latitude, longitude).expect("in range"),
            want,
            "{latitude} {longitude}"
        );
    }
}

#[test]
fn what_the_grid_does_not_cover_is_an_error() {
    for (latitude, longitude, word) in [
        (84.001, 0.0, "UTM ends there"),
        (-80.001, 0.0, "-80"),
        (90.5, 0.0, "latitude"),
        (0.0, 400.0, "longitude"),
        (f64::NAN, 0.0, "latitude"),
    ] {
        let error = utm(latitude, longitude).expect_err(word);
        assert!(
            error.is_out_of_range() && error.to_string().contains(word),
            "{error}"
        );
    }
    assert!(utm_in(31, 45.0, 14.9).is_ok());
    assert!(utm_in(31, 45.0, 15.1).is_err());
    assert!(utm_in(0, 45.0, 3.0).is_err() && utm_in(61, 45.0, 3.0).is_err());
    for (zone, south, easting, northing) in [
        (0, false, 5e5, 5e6),
        (61, false, 5e5, 5e6),
        (31, false, -1.0, 5e6),
        (31, false, 1_000_001.0, 5e6),
        (31, false, 5e5, -1.0),
        (31, false, 5e5, 9_500_001.0),
        (31, true, 5e5, 999_999.0),
        (31, true, 5e5, 10_000_001.0),
        (31, false, f64::NAN, 5e6),
    ] {
        let error = position(zone, south, easting, northing).expect_err("beyond");
        assert!(error.is_out_of_range(), "{error}");
    }
}

#[test]
fn on_the_central_meridian_and_the_equator() {
    let middle = utm(45.0, 9.0).expect("in range");
    assert_eq!(
        (middle.zone, middle.easting_m, middle.convergence.deg()),
        (32, 500_000.0, 0.0)
    );
    check_near(middle.scale, 0.9996, 1e-12);
    let equator = utm(0.0, 9.0).expect("in range");
    assert_eq!((equator.south, equator.northing_m), (false, 0.0));
    let below = utm(-1e-6, 9.0).expect("in range");
    assert!(below.south && below.northing_m > 9_999_999.8);
    // East of the central meridian grid north lies east of true north in the northern half, west of it in the southern.
    for (latitude, longitude, sign) in [
        (45.0, 10.0, 1.0),
        (45.0, 8.0, -1.0),
        (-45.0, 10.0, -1.0),
        (-45.0, 8.0, 1.0),
    ] {
        let found = utm(latitude, longitude)
            .expect("in range")
            .convergence
            .deg();
        assert!(found * sign > 0.5, "{latitude} {longitude}: {found}");
    }
}

#[test]
fn a_projection_holds_at_the_poles_too() {
    let sphere = TransverseMercator::new(1.0, f64::INFINITY, [0.0, 10.0], 1.0, [0.0, 0.0]);
    let pole = sphere.forward(90.0, 25.0).expect("in range");
    check_near(pole.easting_m, 0.0, 1e-12);
    check_near(pole.northing_m, std::f64::consts::FRAC_PI_2, 1e-12);
    check_near(pole.convergence.deg(), 15.0, 1e-9);
    assert!(sphere.forward(45.0, 41.0).is_err());
}

proptest! {
    #[test]
    fn there_and_back(latitude in -80.0..=84.0, longitude in -180.0..180.0) {
        let there = utm(latitude, longitude).expect("in range");
        let (lat, lon) = position(there.zone, there.south, there.easting_m, there.northing_m).expect("in range");
        check_near(lat, latitude, 1e-9);
        check_near(turn_deg(longitude, lon), 0.0, 1e-9);
    }

    #[test]
    fn there_and_back_in_the_zone_next_to_it(latitude in -79.0..=70.0, longitude in -180.0..180.0, east in proptest::bool::ANY) {
        let own = zone(latitude, longitude).expect("in range");
        let next = if east { own % 60 + 1 } else { (own + 58) % 60 + 1 };
        if let Ok(there) = utm_in(next, latitude, longitude) {
            // The 10 000 km that the grid is wide leave out the far edges.
            if (0.0..=1e6).contains(&there.easting_m) {
                let (lat, lon) = position(next, there.south, there.easting_m, there.northing_m).expect("in range");
                check_near(lat, latitude, 1e-9);
                check_near(turn_deg(longitude, lon), 0.0, 1e-9);
            }
        }
    }

    /// A short way true north on the ellipsoid runs at −convergence on the grid, as long as the scale says: geometry against
    /// the closed formula, and the geodesic against the projection.
    #[test]
    fn convergence_and_scale_are_what_a_short_step_shows(latitude in -79.0..=83.0, longitude in -180.0..180.0) {
        let step = 1e-4;
        let here = utm(latitude, longitude).expect("in range");
        let [below, above] = [-step, step].map(|step| utm_in(here.zone, latitude + step, longitude).expect("in range"));
        prop_assume!(below.south == above.south);
        let (east, north) = (above.easting_m - below.easting_m, above.northing_m - below.northing_m);
        let length = between([latitude - step, longitude], [latitude + step, longitude]).expect("in range").level_m;
        let from_grid_north = hingeline::orientation::angle::degrees(east.atan2(north));
        check_near(-from_grid_north, here.convergence.deg(), 2e-7);
        check_near(east.hypot(north) / length, here.scale, 2e-9);
    }
}
