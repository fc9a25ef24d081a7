//! The net's projection and direction cosines against printed values.

use hingeline::orientation::{Hemisphere, Line, Projection};

use super::{Check, check_all};

fn check_row(check: &mut Check<'_>) {
    match check.row.id.as_str() {
        "proj-laea-sphere-fwd" => {
            // A map is the net turned: longitude and latitude as seen from the map's middle, which becomes the vertical. The
            // net's radius is 1 where the sphere's is 1/√2.
            let at = |lon: f64, lat: f64| {
                Line::from_deg(lon.rem_euclid(360.0), -lat)
                    .expect("in range")
                    .vector()
            };
            let (middle, point) = (
                at(check.number("lon0"), check.number("lat1")),
                at(check.number("lon"), check.number("lat")),
            );
            let east = nalgebra::Vector3::z().cross(&middle).normalize();
            let north = middle.cross(&east);
            let seen =
                nalgebra::Vector3::new(point.dot(&north), point.dot(&east), point.dot(&middle));
            let (x, y) = Projection::EqualArea.project_beyond(Hemisphere::Lower, &seen);
            let scale = check.number("R") * 2.0_f64.sqrt();
            check.agrees("x", x * scale);
            check.agrees("y", -y * scale);
            check.agrees("kprime", x.hypot(y) * 2.0_f64.sqrt() / seen.x.hypot(seen.y));
        }
        "proj-direction-cosines-end" => {
            let line =
                Line::from_deg(check.number("trend"), check.number("plunge")).expect("in range");
            let v = line.vector();
            check.agrees("N", v.x);
            check.agrees("E", v.y);
            check.agrees("D", v.z);
        }
        other => panic!("no check for {other}"),
    }
}

#[test]
fn every_published_value_is_checked_or_listed() {
    check_all("net", &[], check_row);
}
