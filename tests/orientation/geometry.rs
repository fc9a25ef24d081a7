//! Planes and lines against rigid bodies that are turned step by step, and their relations against each other.

use hingeline::orientation::angle::radians;
use hingeline::orientation::{Azimuth, Bound, Dip, Line, Plane, Plunge, Polarity, Rake, Turn};
use nalgebra::{UnitQuaternion, Vector3};
use proptest::prelude::*;

use super::check_deg;

fn azimuth(deg: f64) -> Azimuth {
    Azimuth::from_deg(deg).expect("in range")
}

fn plane(strike: f64, dip: f64) -> Plane {
    Plane::from_deg(strike, dip).expect("in range")
}

fn line(trend: f64, plunge: f64) -> Line {
    Line::from_deg(trend, plunge).expect("in range")
}

/// A body that lies level facing north, first tilted down to its right, then turned clockwise seen from above.
///
/// In north, east, down a right-handed turn about north carries east down, and about down carries north east.
fn laid_on(strike: f64, dip: f64) -> UnitQuaternion<f64> {
    UnitQuaternion::from_axis_angle(&Vector3::z_axis(), radians(strike))
        * UnitQuaternion::from_axis_angle(&Vector3::x_axis(), radians(dip))
}

/// A rod that lies level to the north, first tipped down ahead, then turned clockwise seen from above.
fn pointed(trend: f64, plunge: f64) -> Vector3<f64> {
    UnitQuaternion::from_axis_angle(&Vector3::z_axis(), radians(trend))
        * UnitQuaternion::from_axis_angle(&Vector3::y_axis(), -radians(plunge))
        * Vector3::x()
}

fn apart(a: &Vector3<f64>, b: &Vector3<f64>) -> f64 {
    (a - b).norm()
}

prop_compose! {
    fn any_plane()(s in Bound::AZIMUTH.range_deg(), d in Bound::DIP.range_deg()) -> Plane { plane(s, d) }
}

prop_compose! {
    fn any_line()(t in Bound::AZIMUTH.range_deg(), p in Bound::PLUNGE.range_deg()) -> Line { line(t, p) }
}

prop_compose! {
    fn any_azimuth()(a in Bound::AZIMUTH.range_deg()) -> Azimuth { azimuth(a) }
}

proptest! {
    #[test]
    fn a_plane_is_a_slab_tilted_to_the_right(s in Bound::AZIMUTH.range_deg(), d in Bound::DIP.range_deg()) {
        let (plane, slab) = (plane(s, d), laid_on(s, d));
        prop_assert!(apart(&plane.normal(), &(slab * Vector3::z())) < 1e-12);
        prop_assert!(apart(&plane.along_strike(), &(slab * Vector3::x())) < 1e-12);
        prop_assert!(apart(&plane.down_dip(), &(slab * Vector3::y())) < 1e-12);
        prop_assert!(apart(&plane.pole().vector(), &plane.normal()) < 1e-12);
    }

    #[test]
    fn a_line_is_a_rod_tipped_ahead(t in Bound::AZIMUTH.range_deg(), p in Bound::PLUNGE.range_deg()) {
        prop_assert!(apart(&line(t, p).vector(), &pointed(t, p)) < 1e-12);
    }

    /// A rod on the level slab, turned from its north end clockwise by the rake, and then laid with the slab.
    #[test]
    fn a_rake_is_turned_on_the_slab(
        s in Bound::AZIMUTH.range_deg(),
        d in Bound::DIP.range_deg(),
        r in Bound::RAKE.range_deg(),
    ) {
        let rod = laid_on(s, d) * UnitQuaternion::from_axis_angle(&Vector3::z_axis(), radians(r)) * Vector3::x();
        let got = plane(s, d).line_at(Rake::from_deg(r).expect("in range"));
        prop_assert!(apart(&got.vector(), &rod) < 1e-9);
        prop_assert!(plane(s, d).angle_to_line(&got).deg() < 1e-6);
    }

    #[test]
    fn rake_and_line_come_back(plane in any_plane(), r in 0.001_f64..179.999) {
        prop_assume!(plane.dip().deg() > 0.01);
        let line = plane.line_at(Rake::from_deg(r).expect("in range"));
        prop_assert!((plane.rake_of(&line).expect("in the plane").deg() - r).abs() < 1e-6);
        prop_assert!((plane.rake_of(&line.reversed()).expect("in the plane").deg() - r).abs() < 1e-6);
    }

    #[test]
    fn a_plane_comes_back_from_its_normal(plane in any_plane(), length in 1e-3_f64..1e3, up in any::<bool>()) {
        let normal = plane.normal() * if up { -length } else { length };
        let back = Plane::from_normal(&normal).expect("it has a length");
        prop_assert!(back.angle(&plane).deg() < 1e-7);
        if (0.001..89.999).contains(&plane.dip().deg()) {
            prop_assert!(back.strike().angle(plane.strike()).deg() < 1e-6);
        }
    }

    #[test]
    fn a_line_comes_back_from_its_vector(line in any_line(), length in 1e-3_f64..1e3) {
        let back = Line::from_vector(&(line.vector() * length)).expect("it has a length");
        prop_assert!(back.directed_angle(&line).deg() < 1e-7);
        let axis = Line::axis_from_vector(&(line.vector() * -length)).expect("it has a length");
        prop_assert!(axis.plunge().deg() >= 0.0);
        prop_assert!(axis.angle(&line).deg() < 1e-7);
    }

    #[test]
    fn dip_direction_and_strike_are_square(toward in any_azimuth(), d in Bound::DIP.range_deg()) {
        let plane = Plane::from_dip_direction(toward, Dip::from_deg(d).expect("in range"));
        prop_assert!(plane.dip_direction().angle(toward).deg() < 1e-9);
        prop_assert!((plane.strike().angle(toward).deg() - 90.0).abs() < 1e-9);
    }

    #[test]
    fn an_intersection_lies_in_both(a in any_plane(), b in any_plane()) {
        prop_assume!(a.angle(&b).deg() > 0.01);
        let line = a.intersection(&b).expect("not parallel");
        prop_assert!(line.plunge().deg() >= 0.0);
        prop_assert!(a.angle_to_line(&line).deg() < 1e-6);
        prop_assert!(b.angle_to_line(&line).deg() < 1e-6);
        prop_assert!(line.angle(&b.intersection(&a).expect("not parallel")).deg() < 1e-6);
    }

    #[test]
    fn a_plane_through_two_lines_holds_both(a in any_line(), b in any_line()) {
        prop_assume!(a.angle(&b).deg() > 0.01);
        let plane = Plane::through(&a, &b).expect("two lines");
        prop_assert!(plane.angle_to_line(&a).deg() < 1e-6);
        prop_assert!(plane.angle_to_line(&b).deg() < 1e-6);
    }

    /// The trace on an upright cut lies in the plane and in the cut.
    #[test]
    fn an_apparent_dip_is_the_trace_on_a_cut(plane in any_plane(), toward in any_azimuth()) {
        prop_assume!(plane.dip().deg() < 89.9);
        let trace = Line::new(toward, plane.apparent_dip(toward));
        prop_assert!(plane.angle_to_line(&trace).deg() < 1e-6);
        prop_assert!(trace.plunge().deg().abs() <= plane.dip().deg() + 1e-9);
    }

    #[test]
    fn two_apparent_dips_give_the_plane_back(plane in any_plane(), a in any_azimuth(), b in any_azimuth()) {
        prop_assume!((0.1..89.0).contains(&plane.dip().deg()));
        let trace = |toward: Azimuth| Line::new(toward, plane.apparent_dip(toward));
        prop_assume!(trace(a).angle(&trace(b)).deg() > 0.1);
        let back = Plane::from_apparent_dips(&trace(a), &trace(b)).expect("two traces");
        prop_assert!(back.angle(&plane).deg() < 1e-5);
    }

    #[test]
    fn strike_and_one_apparent_dip_give_the_plane_back(
        plane in any_plane(), toward in any_azimuth(), other_end in any::<bool>(),
    ) {
        prop_assume!((0.1..89.0).contains(&plane.dip().deg()));
        prop_assume!(toward.angle_to_axis(plane.strike()).deg() > 0.1);
        let strike = if other_end { plane.strike().opposite() } else { plane.strike() };
        let trace = Line::new(toward, plane.apparent_dip(toward));
        let back = Plane::from_apparent_dip(strike, &trace).expect("not along the strike");
        prop_assert!(back.angle(&plane).deg() < 1e-5);
    }

    /// Angles do not change when everything is turned alike, and a turn undone is no turn.
    #[test]
    fn turning_keeps_angles(
        plane in any_plane(), a in any_line(), axis in any_line(), turn in Bound::TURN.range_deg(),
    ) {
        let forth = Turn::from_deg(turn).expect("in range");
        let back = Turn::from_deg(-turn).expect("in range");
        let (turned, turned_line) = (plane.rotated(&axis, forth), a.rotated(&axis, forth));
        prop_assert!((turned.angle_to_line(&turned_line).deg() - plane.angle_to_line(&a).deg()).abs() < 1e-6);
        prop_assert!(turned.rotated(&axis, back).angle(&plane).deg() < 1e-6);
        prop_assert!(turned_line.rotated(&axis, back).directed_angle(&a).deg() < 1e-6);
        prop_assert!((turned_line.directed_angle(&axis).deg() - a.directed_angle(&axis).deg()).abs() < 1e-6);
    }

    #[test]
    fn angles_are_symmetric_and_acute(p in any_plane(), q in any_plane(), a in any_line(), b in any_line()) {
        check_deg(p.angle(&q).deg(), q.angle(&p).deg());
        check_deg(a.angle(&b).deg(), b.angle(&a).deg());
        for angle in [p.angle(&q), a.angle(&b), p.angle_to_line(&a)] {
            prop_assert!((0.0..=90.0).contains(&angle.deg()));
        }
        prop_assert!((p.angle_to_line(&a).deg() + p.pole().angle(&a).deg() - 90.0).abs() < 1e-9);
    }
}

/// A clockwise turn looking down a vertical axis carries north to east; looking along a level north axis, east to down.
#[test]
fn a_turn_is_clockwise_looking_along_its_axis() {
    let quarter = Turn::from_deg(90.0).expect("in range");
    let east = line(0.0, 0.0).rotated(&line(0.0, 90.0), quarter);
    check_deg(east.trend().deg(), 90.0);
    let down = line(90.0, 0.0).rotated(&line(0.0, 0.0), quarter);
    check_deg(down.plunge().deg(), 90.0);
    // Looking up an axis, the same turn goes the other way.
    let west = line(0.0, 0.0).rotated(&line(0.0, -90.0), quarter);
    check_deg(west.trend().deg(), 270.0);
    // A level bed turned a quarter about a level north axis stands upright along it.
    let upright = plane(123.0, 0.0).rotated(&line(0.0, 0.0), quarter);
    check_deg(upright.dip().deg(), 90.0);
    check_deg(upright.strike().deg(), 0.0);
}

#[test]
fn a_horizontal_plane() {
    let level = plane(123.0, 0.0);
    check_deg(level.strike().deg(), 123.0);
    check_deg(level.pole().plunge().deg(), 90.0);
    check_deg(level.apparent_dip(azimuth(77.0)).deg(), 0.0);
    check_deg(level.angle(&plane(300.0, 0.0)).deg(), 0.0);
    let back = Plane::from_normal(&level.normal()).expect("it has a normal");
    check_deg(back.strike().deg(), 0.0);
    check_deg(back.dip().deg(), 0.0);
    check_deg(
        level
            .line_at(Rake::from_deg(30.0).expect("in range"))
            .trend()
            .deg(),
        153.0,
    );
    assert!(level.rake_of(&line(0.0, 90.0)).is_none());
}

#[test]
fn a_vertical_plane() {
    let wall = plane(225.0, 90.0);
    check_deg(wall.angle(&plane(45.0, 90.0)).deg(), 0.0);
    check_deg(
        Plane::from_normal(&wall.normal())
            .expect("it has a normal")
            .strike()
            .deg(),
        45.0,
    );
    check_deg(wall.apparent_dip(azimuth(225.0)).deg(), 0.0);
    check_deg(wall.apparent_dip(azimuth(45.0)).deg(), 0.0);
    check_deg(wall.apparent_dip(azimuth(315.0)).deg(), 90.0);
    check_deg(wall.apparent_dip(azimuth(100.0)).deg(), 90.0);
    check_deg(wall.angle_to_line(&line(10.0, 90.0)).deg(), 0.0);
}

#[test]
fn a_vertical_line() {
    let plumb = line(211.0, 90.0);
    check_deg(plumb.trend().deg(), 211.0);
    let back = Line::from_vector(&plumb.vector()).expect("it has a length");
    check_deg(back.plunge().deg(), 90.0);
    check_deg(back.trend().deg(), 0.0);
    check_deg(
        Line::axis_from_vector(&-plumb.vector())
            .expect("it has a length")
            .plunge()
            .deg(),
        90.0,
    );
    check_deg(
        plane(10.0, 90.0)
            .rake_of(&plumb)
            .expect("in the plane")
            .deg(),
        90.0,
    );
}

#[test]
fn a_level_axis_points_east_of_north_and_south() {
    for trend in [0.0, 90.0, 179.0] {
        let axis = Line::axis_from_vector(&-line(trend, 0.0).vector()).expect("it has a length");
        check_deg(axis.trend().deg(), trend);
    }
}

#[test]
fn vectors_without_a_direction_give_nothing() {
    for v in [
        Vector3::zeros(),
        Vector3::new(f64::NAN, 0.0, 1.0),
        Vector3::new(f64::INFINITY, 0.0, 1.0),
    ] {
        assert!(Line::from_vector(&v).is_none(), "{v}");
        assert!(Line::axis_from_vector(&v).is_none(), "{v}");
        assert!(Plane::from_normal(&v).is_none(), "{v}");
    }
}

#[test]
fn antipodal_lines_are_one_axis_and_hold_no_plane() {
    let (down, up) = (line(40.0, 30.0), line(220.0, -30.0));
    check_deg(down.angle(&up).deg(), 0.0);
    check_deg(down.directed_angle(&up).deg(), 180.0);
    assert!(Plane::through(&down, &up).is_none());
    assert!(Plane::through(&down, &down).is_none());
    assert!(Plane::from_apparent_dips(&down, &down).is_none());
    check_deg(up.as_axis().trend().deg(), 40.0);
    check_deg(up.as_axis().plunge().deg(), 30.0);
}

#[test]
fn parallel_planes_do_not_meet() {
    let bed = plane(62.0, 35.0);
    assert!(bed.intersection(&bed).is_none());
    assert!(plane(10.0, 0.0).intersection(&plane(200.0, 0.0)).is_none());
    assert!(
        plane(10.0, 90.0)
            .intersection(&plane(190.0, 90.0))
            .is_none()
    );
}

#[test]
fn a_level_trace_along_the_strike_tells_no_dip() {
    assert!(Plane::from_apparent_dip(azimuth(62.0), &line(62.0, 0.0)).is_none());
    assert!(Plane::from_apparent_dip(azimuth(62.0), &line(242.0, 0.0)).is_none());
    let upright = Plane::from_apparent_dip(azimuth(62.0), &line(62.0, 20.0)).expect("a slope");
    check_deg(upright.dip().deg(), 90.0);
}

#[test]
fn the_rake_of_a_strike_line_says_which_end() {
    let bed = plane(62.0, 35.0);
    check_deg(
        bed.rake_of(&line(62.0, 0.0)).expect("in the plane").deg(),
        0.0,
    );
    check_deg(
        bed.rake_of(&line(242.0, 0.0)).expect("in the plane").deg(),
        180.0,
    );
    check_deg(
        bed.line_at(Rake::from_deg(0.0).expect("in range"))
            .trend()
            .deg(),
        62.0,
    );
    check_deg(
        bed.line_at(Rake::from_deg(180.0).expect("in range"))
            .trend()
            .deg(),
        242.0,
    );
    assert!(bed.rake_of(&bed.pole()).is_none());
}

#[test]
fn upright_beds_young_upwards() {
    let bed = plane(62.0, 35.0);
    let up = Polarity::Upright.younging(&bed).expect("known");
    assert!(up.plunge().deg() < 0.0);
    // Upwards and towards the side it dips to: the upper face of a bed looks down the dip.
    check_deg(up.trend().deg(), bed.dip_direction().deg());
    check_deg(
        Polarity::Overturned
            .younging(&bed)
            .expect("known")
            .directed_angle(&up)
            .deg(),
        180.0,
    );
    assert!(Polarity::Unknown.younging(&bed).is_none());
    check_deg(Plunge::from_deg(-90.0).expect("in range").deg(), -90.0);
    let level = Polarity::Upright.younging(&plane(0.0, 0.0)).expect("known");
    check_deg(level.plunge().deg(), -90.0);
}
