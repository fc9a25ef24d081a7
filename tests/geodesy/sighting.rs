//! Sightings: reduced with their uncertainty, and where they lead.

use hingeline::geodesy::sighting::{Distance, Measured, between, destination, landing};
use hingeline::orientation::Bearing;
use hingeline::orientation::angle::{radians, turn_deg};
use proptest::prelude::*;
use serde::Deserialize;

use super::check_near;

/// Made by `tests/data/geodesy/positions.py`, which says with what.
#[derive(Deserialize)]
struct Made {
    geodesics: Vec<Way>,
}

#[derive(Deserialize)]
struct Way {
    latitude: f64,
    longitude: f64,
    bearing: f64,
    metres: f64,
    to_latitude: f64,
    to_longitude: f64,
    back: f64,
}

fn measured(vertical_deg: Option<f64>, distance: Distance) -> Measured {
    Measured {
        bearing: Bearing::from_deg(62.0).expect("in range"),
        bearing_sd_deg: 1.0,
        vertical_deg,
        vertical_sd_deg: 0.5,
        distance,
        distance_sd_m: Some(2.0),
    }
}

#[test]
fn a_general_library_leads_to_the_same_place() {
    let made: Made =
        serde_json::from_str(include_str!("../data/geodesy/positions.json")).expect("rows");
    assert_eq!(made.geodesics.len(), 30);
    for way in made.geodesics {
        let bearing = Bearing::from_deg(way.bearing).expect("in range");
        let (latitude, longitude) =
            destination(way.latitude, way.longitude, bearing, way.metres).expect("in range");
        // 1e-11 of a degree is a thousandth of a millimetre; a parallel near a pole is short.
        check_near(latitude, way.to_latitude, 1e-11);
        let parallel = radians(way.to_latitude).cos();
        check_near(turn_deg(way.to_longitude, longitude) * parallel, 0.0, 1e-11);
        let found = between(
            [way.latitude, way.longitude],
            [way.to_latitude, way.to_longitude],
        )
        .expect("in range");
        check_near(found.level_m, way.metres, 1e-5);
        // Over a short way the rounding of its ends turns it.
        let turned_deg = 1e-8 + 1e-4 / way.metres;
        let there = found.there.expect("two places").deg();
        check_near(turn_deg(way.bearing, there), 0.0, turned_deg);
        let back = found.back.expect("two places").deg();
        check_near(turn_deg(way.back, back), 0.0, turned_deg);
    }
}

#[test]
fn one_place_has_no_bearing_and_no_way_ends_where_it_began() {
    let found = between([45.0, 7.0], [45.0, 7.0]).expect("in range");
    assert_eq!((found.level_m, found.there, found.back), (0.0, None, None));
    let bearing = Bearing::from_deg(62.0).expect("in range");
    let (latitude, longitude) = destination(45.0, 7.0, bearing, 0.0).expect("in range");
    check_near(latitude, 45.0, 1e-13);
    check_near(longitude, 7.0, 1e-13);
}

#[test]
fn a_sighting_across_the_date_line_and_over_a_pole() {
    let east = Bearing::from_deg(90.0).expect("in range");
    let (_, longitude) = destination(0.0, 179.999, east, 1_000.0).expect("in range");
    assert!((-180.0..-179.9).contains(&longitude), "{longitude}");
    let north = Bearing::from_deg(0.0).expect("in range");
    let (latitude, longitude) = destination(89.99, 30.0, north, 2_000.0).expect("in range");
    assert!(latitude < 90.0, "{latitude}");
    check_near(turn_deg(longitude, -150.0), 0.0, 1e-6);
}

#[test]
fn without_a_vertical_angle_a_level_distance_stands_and_a_slope_distance_does_not() {
    let level = measured(None, Distance::Level(120.0))
        .reduce()
        .expect("level");
    assert_eq!(
        (
            level.level_m,
            level.level_sd_m,
            level.rise_m,
            level.rise_sd_m
        ),
        (120.0, Some(2.0), None, None)
    );
    let error = measured(None, Distance::Slope(120.0))
        .reduce()
        .expect_err("no angle");
    assert!(error.to_string().contains("read the angle"), "{error}");
}

#[test]
fn beyond_the_limits_is_an_error_that_names_them() {
    let fine = measured(Some(10.0), Distance::Slope(120.0));
    assert!(fine.reduce().is_ok());
    for (word, wrong) in [
        (
            "vertical angle",
            Measured {
                vertical_deg: Some(89.5),
                ..fine
            },
        ),
        (
            "vertical angle",
            Measured {
                vertical_deg: Some(-90.0),
                ..fine
            },
        ),
        (
            "slope distance",
            Measured {
                distance: Distance::Slope(-1.0),
                ..fine
            },
        ),
        (
            "level distance",
            Measured {
                distance: Distance::Level(f64::NAN),
                ..fine
            },
        ),
        (
            "standard deviation",
            Measured {
                distance_sd_m: Some(-1.0),
                ..fine
            },
        ),
        (
            "standard deviation",
            Measured {
                bearing_sd_deg: f64::NAN,
                ..fine
            },
        ),
        (
            "standard deviation",
            Measured {
                vertical_sd_deg: -0.1,
                ..fine
            },
        ),
    ] {
        let error = wrong.reduce().expect_err(word);
        assert!(
            error.is_out_of_range() && error.to_string().starts_with(word),
            "{error}"
        );
    }
    assert!(landing(45.0, 7.0, -1.0, &fine).is_err());
    assert!(landing(95.0, 7.0, 1.0, &fine).is_err());
}

#[test]
fn the_uncertainty_of_a_new_place_has_three_parts() {
    let sighting = measured(Some(0.0), Distance::Slope(1_000.0));
    let found = landing(45.0, 7.0, 5.0, &sighting).expect("in range");
    let across = 1_000.0 * radians(1.0);
    check_near(found.reduced.across_sd_m, across, 1e-9);
    check_near(
        found.sd_m.expect("known"),
        (5.0_f64.powi(2) + 2.0_f64.powi(2) + across.powi(2)).sqrt(),
        1e-9,
    );
    // Level, the vertical angle moves the height alone: half a degree of it at 1000 m.
    check_near(
        found.reduced.rise_sd_m.expect("read"),
        1_000.0 * radians(0.5),
        1e-9,
    );
    check_near(found.reduced.level_sd_m.expect("known"), 2.0, 1e-9);
}

/// A distance whose standard deviation nobody gave leads to the same place, and to no standard deviation there: not to nil.
#[test]
fn a_distance_without_a_deviation_has_none_and_not_nil() {
    for distance in [Distance::Slope(200.0), Distance::Level(200.0)] {
        let given = measured(Some(30.0), distance);
        let unsaid = Measured {
            distance_sd_m: None,
            ..given
        };
        let [with, without] = [given, unsaid].map(|m| landing(45.0, 7.0, 5.0, &m).expect("fine"));
        assert_eq!(
            (without.latitude_deg, without.longitude_deg),
            (with.latitude_deg, with.longitude_deg)
        );
        assert_eq!(without.reduced.level_m, with.reduced.level_m);
        assert_eq!(without.reduced.rise_m, with.reduced.rise_m);
        assert_eq!(without.reduced.level_sd_m, None);
        assert_eq!(without.reduced.rise_sd_m, None);
        assert_eq!(without.sd_m, None);
        assert!(with.sd_m.is_some_and(|sd| sd > 5.0));
    }
}

proptest! {
    /// Slope and level distance are two ways to the same triangle.
    #[test]
    fn both_distances_reduce_to_the_same(vertical in -80.0..=80.0, slope in 1.0..2_000.0) {
        let by_slope = measured(Some(vertical), Distance::Slope(slope)).reduce().expect("in range");
        let by_level = measured(Some(vertical), Distance::Level(by_slope.level_m)).reduce().expect("in range");
        check_near(by_slope.level_m.hypot(by_slope.rise_m.expect("read")), slope, 1e-9);
        check_near(by_level.rise_m.expect("read"), by_slope.rise_m.expect("read"), 1e-9);
    }

    /// The variances are what moving each number by a little shows.
    #[test]
    fn the_variances_are_those_of_small_changes(vertical in -80.0..=80.0, distance in 1.0..2_000.0, slope in proptest::bool::ANY) {
        let of = |distance| if slope { Distance::Slope(distance) } else { Distance::Level(distance) };
        let reduce = |v: f64, d: f64| measured(Some(v), of(d)).reduce().expect("in range");
        let sighting = measured(Some(vertical), of(distance));
        let (dv, dd) = (1e-4, 1e-3);
        let rates = |get: fn(hingeline::geodesy::sighting::Reduced) -> f64| {
            let by_angle = (get(reduce(vertical + dv, distance)) - get(reduce(vertical - dv, distance))) / (2.0 * dv);
            let by_length = (get(reduce(vertical, distance + dd)) - get(reduce(vertical, distance - dd))) / (2.0 * dd);
            (by_angle * sighting.vertical_sd_deg).hypot(by_length * sighting.distance_sd_m.expect("given"))
        };
        let got = sighting.reduce().expect("in range");
        let level = rates(|r| r.level_m);
        check_near(got.level_sd_m.expect("given"), level, 1e-5 * (1.0 + level));
        let rise = rates(|r| r.rise_m.expect("read"));
        check_near(got.rise_sd_m.expect("read"), rise, 1e-5 * (1.0 + rise));
    }

    #[test]
    fn a_way_and_its_way_back(latitude in -89.0..=89.0, longitude in -180.0..180.0, bearing in 0.0..360.0, metres in 1.0..1e5) {
        let there = Bearing::from_deg(bearing).expect("in range");
        let (lat, lon) = destination(latitude, longitude, there, metres).expect("in range");
        let found = between([latitude, longitude], [lat, lon]).expect("in range");
        check_near(found.level_m, metres, 1e-6);
        let (lat, lon) = destination(lat, lon, found.back.expect("two places"), metres).expect("in range");
        check_near(lat, latitude, 1e-9);
        check_near(turn_deg(longitude, lon) * radians(latitude).cos(), 0.0, 1e-9);
    }
}
