//! Traverses by laws: what closes stays, what does not is shared out and then closes.

use hingeline::geodesy::traverse::{Leg, adjust};
use hingeline::orientation::Azimuth;
use proptest::prelude::*;

use super::check_near;

fn leg(bearing_deg: f64, level_m: f64) -> Leg {
    Leg {
        bearing: Azimuth::from_deg(bearing_deg).expect("in range"),
        level_m,
    }
}

#[test]
fn a_square_closes_and_is_not_changed() {
    let square = [0.0, 90.0, 180.0, 270.0].map(|bearing| leg(bearing, 100.0));
    let found = adjust(&square, [10.0, 20.0], [10.0, 20.0]).expect("legs");
    check_near(found.closure_m(), 0.0, 1e-12);
    for (adjusted, ends) in
        found
            .legs
            .iter()
            .zip([[110.0, 20.0], [110.0, 120.0], [10.0, 120.0], [10.0, 20.0]])
    {
        check_near(adjusted.north_m, ends[0], 1e-9);
        check_near(adjusted.east_m, ends[1], 1e-9);
    }
    assert!(found.one_in().is_none_or(|n| n > 1e12));
}

#[test]
fn one_leg_takes_the_whole_closure_and_a_leg_of_nil_none() {
    let found = adjust(&[leg(0.0, 100.0), leg(45.0, 0.0)], [0.0, 0.0], [99.0, 1.0]).expect("legs");
    check_near(found.closure_north_m, 1.0, 1e-12);
    check_near(found.closure_east_m, -1.0, 1e-12);
    check_near(found.legs[0].north_m, 99.0, 1e-12);
    check_near(found.legs[0].east_m, 1.0, 1e-12);
    assert_eq!(found.legs[1].course.length_m(), 0.0);
    check_near(found.one_in().expect("open"), 100.0 / 2.0_f64.sqrt(), 1e-9);
}

#[test]
fn a_traverse_of_nothing_is_an_error() {
    for legs in [&[][..], &[leg(10.0, 0.0)]] {
        let error = adjust(legs, [0.0, 0.0], [0.0, 0.0]).expect_err("no legs");
        assert!(error.to_string().contains("at least one leg"), "{error}");
    }
    for wrong in [-1.0, 1e7, f64::NAN, f64::INFINITY] {
        let error = adjust(&[leg(10.0, wrong)], [0.0, 0.0], [0.0, 0.0]).expect_err("a bad leg");
        assert!(error.is_out_of_range(), "{error}");
    }
    assert!(adjust(&[leg(10.0, 1.0)], [0.0, f64::NAN], [0.0, 0.0]).is_err());
}

proptest! {
    #[test]
    fn it_ends_where_it_should_and_the_shares_are_by_length(
        legs in proptest::collection::vec((0.0..360.0, 0.1..5_000.0), 1..12),
        start in proptest::array::uniform2(-1e4..1e4),
        end in proptest::array::uniform2(-1e4..1e4),
    ) {
        let legs: Vec<Leg> = legs.into_iter().map(|(bearing, metres)| leg(bearing, metres)).collect();
        let found = adjust(&legs, start, end).expect("legs");
        let last = found.legs.last().expect("a leg");
        check_near(last.north_m, end[0], 1e-6);
        check_near(last.east_m, end[1], 1e-6);
        for (adjusted, leg) in found.legs.iter().zip(&legs) {
            check_near(adjusted.measured.length_m(), leg.level_m, 1e-9);
            check_near(adjusted.measured.bearing().angle(leg.bearing).deg(), 0.0, 1e-7);
            let taken = adjusted.measured.latitude_m - adjusted.course.latitude_m;
            check_near(taken * found.length_m, found.closure_north_m * leg.level_m, 1e-3);
        }
        check_near(found.length_m, legs.iter().map(|leg| leg.level_m).sum(), 1e-6);
    }
}
