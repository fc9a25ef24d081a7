//! The map projection and the geodesic against worked examples.

use hingeline::geodesy::equal_area::EqualArea;
use hingeline::geodesy::grid::TransverseMercator;
use hingeline::geodesy::sighting::between;

use super::{Check, check_all};

/// Degrees from degrees, minutes and seconds, separated by blanks or colons, with a hemisphere.
pub(crate) fn degrees(text: &str) -> f64 {
    let (number, letter) = match text.find(|c: char| c.is_ascii_alphabetic()) {
        Some(at) => (&text[..at], &text[at..]),
        None => (text, ""),
    };
    let parts: Vec<f64> = number
        .split([' ', ':'])
        .filter(|part| !part.is_empty())
        .map(|part| part.parse().unwrap_or_else(|e| panic!("`{text}`: {e}")))
        .collect();
    assert!((1..=3).contains(&parts.len()), "`{text}`");
    let size: f64 = parts.iter().rev().fold(0.0, |sum, part| sum / 60.0 + part);
    match letter {
        "" | "N" | "E" => size,
        "S" | "W" => -size,
        _ => panic!("`{text}` ends in no hemisphere"),
    }
}

fn tolerance(check: &Check<'_>, key: &str) -> f64 {
    check.row.tolerance[key].as_f64().expect("a number")
}

fn check_row(check: &mut Check<'_>) {
    match check.row.id.as_str() {
        "proj-tm-sphere-fwd" => {
            let projection = TransverseMercator::new(
                check.number("R"),
                f64::INFINITY,
                [check.number("lat0"), check.number("lon0")],
                check.number("k0"),
                [0.0, 0.0],
            );
            let got = projection
                .forward(check.number("lat"), check.number("lon"))
                .expect("in range");
            check.agrees("x", got.easting_m);
            check.agrees("y", got.northing_m);
            check.agrees("k", got.scale);
        }
        "proj-epsg-tm-osgb" => {
            let projection = TransverseMercator::new(
                check.number("a"),
                check.number("rf"),
                [check.number("lat0"), check.number("lon0")],
                check.number("k0"),
                [check.number("FE"), check.number("FN")],
            );
            let place = (degrees(check.text("lat")), degrees(check.text("lon")));
            let got = projection.forward(place.0, place.1).expect("in range");
            let by = tolerance(check, "m");
            for (key, got) in [("E", got.easting_m), ("N", got.northing_m)] {
                let want = check.expected(key).as_f64().expect("a number");
                check.near_within(key, got, want, by);
            }
            let back = projection.inverse(got.easting_m, got.northing_m);
            check.near_within("lat", back.0, place.0, 1e-9);
            check.near_within("lon", back.1, place.1, 1e-9);
        }
        "proj-laea-ellipsoid" => {
            // The row names its ellipsoid by name: Clarke 1866 has the half axes 6 378 206.4 m and 6 356 583.8 m (Snyder 1987,
            // table 1).
            assert_eq!(check.text("ellipsoid"), "Clarke 1866");
            let projection = EqualArea::new(
                6_378_206.4,
                6_378_206.4 / (6_378_206.4 - 6_356_583.8),
                [check.number("lat1"), check.number("lon0")],
            )
            .expect("in range");
            let place = (check.number("lat"), check.number("lon"));
            let (east_m, north_m) = projection.forward(place.0, place.1).expect("in range");
            let by = tolerance(check, "m");
            for (key, got) in [("x", east_m), ("y", north_m)] {
                let want = check.expected(key).as_f64().expect("a number");
                check.near_within(key, got, want, by);
            }
        }
        "proj-geod-jfk-sin" => {
            let [from, to] = [["lat1", "lon1"], ["lat2", "lon2"]]
                .map(|place| place.map(|key| degrees(check.text(key))));
            let got = between(from, to).expect("in range");
            let by = tolerance(check, "arcsec") / 3_600.0;
            for (key, got) in [
                ("azi1", got.there.expect("two places").deg()),
                // The direction of travel at the end, as the example prints it.
                (
                    "azi2",
                    got.back.expect("two places").azimuth().opposite().deg(),
                ),
            ] {
                let want = degrees(check.expected(key).as_str().expect("a text"));
                check.near_within(key, got, want, by);
            }
            let want = check.expected("s12_m").as_f64().expect("a number");
            check.near_within("s12_m", got.level_m, want, tolerance(check, "m"));
        }
        _ => {}
    }
}

#[test]
fn every_published_value_is_checked_or_listed() {
    check_all(
        "projections",
        &[(
            "proj-tm-sphere-fwd",
            "B",
            "an intermediate result of another way to the same numbers",
        )],
        check_row,
    );
}
