//! Bounds, messages, and norths.

use hingeline::orientation::angle::{degrees, radians, turn_deg, wrap_deg};
use hingeline::orientation::{
    Angle, Azimuth, Bearing, Bound, Convergence, Declination, Dip, Error, Grid, Magnetic, Plunge,
    Rake, True, Turn,
};
use proptest::prelude::*;

use super::check_deg;

/// What is within a bound comes back unchanged; what is beyond it is refused, and the message says so.
fn check_bound(bound: &'static Bound, from_deg: impl Fn(f64) -> Result<f64, Error>) {
    for value in [bound.lo_deg, bound.hi_deg] {
        assert!(
            from_deg(value).is_ok(),
            "{value} is a limit of {}",
            bound.name
        );
    }
    for value in [
        bound.lo_deg - 1e-9,
        bound.hi_deg + 1e-9,
        f64::NAN,
        f64::INFINITY,
    ] {
        let error = from_deg(value).expect_err("beyond the limit");
        assert_eq!(error.bound(), bound);
        let message = error.to_string();
        assert!(message.contains(bound.name), "{message}");
        assert!(message.contains(&format!("`{value}`")), "{message}");
        assert!(!message.ends_with('.'), "{message}");
        assert_eq!(error.is_over(), value > bound.hi_deg);
        assert_eq!(error.is_under(), value < bound.lo_deg);
    }
}

#[test]
fn limits_are_checked_and_named() {
    check_bound(&Bound::AZIMUTH, |d| Azimuth::from_deg(d).map(Azimuth::deg));
    check_bound(&Bound::DIP, |d| Dip::from_deg(d).map(Dip::deg));
    check_bound(&Bound::PLUNGE, |d| Plunge::from_deg(d).map(Plunge::deg));
    check_bound(&Bound::RAKE, |d| Rake::from_deg(d).map(Rake::deg));
    check_bound(&Bound::ANGLE, |d| Angle::from_deg(d).map(Angle::deg));
    check_bound(&Bound::TURN, |d| Turn::from_deg(d).map(Turn::deg));
    check_bound(&Bound::DECLINATION, |d| {
        Declination::from_deg(d).map(Declination::deg)
    });
    check_bound(&Bound::CONVERGENCE, |d| {
        Convergence::from_deg(d).map(Convergence::deg)
    });
}

#[test]
fn a_message_names_the_way_out() {
    let message = Dip::from_deg(95.0).expect_err("over").to_string();
    assert_eq!(
        message,
        "dip `95` is over 90; a dip direction of 095 goes in the other field"
    );
    let message = Azimuth::from_deg(361.0).expect_err("over").to_string();
    assert_eq!(
        message,
        "azimuth `361` is over 360; count it clockwise from north, 000 to 360"
    );
}

#[test]
fn three_hundred_and_sixty_is_north() {
    check_deg(Azimuth::from_deg(360.0).expect("a limit").deg(), 0.0);
    check_deg(wrap_deg(-1e-20), 0.0);
    check_deg(turn_deg(350.0, 10.0), 20.0);
    check_deg(turn_deg(10.0, 350.0), -20.0);
    check_deg(turn_deg(0.0, 180.0), 180.0);
}

/// East declination is added to what a magnetic needle reads, west taken off (common practice).
#[test]
fn norths_convert_by_adding_what_lies_east() {
    let read = Bearing::<Magnetic>::from_deg(350.0).expect("in range");
    let east = Declination::from_deg(12.5).expect("in range");
    check_deg(read.to_true(east).deg(), 2.5);
    let west = Declination::from_deg(-12.5).expect("in range");
    check_deg(read.to_true(west).deg(), 337.5);
    let grid = Bearing::<Grid>::from_deg(1.0).expect("in range");
    let convergence = Convergence::from_deg(-2.0).expect("in range");
    check_deg(grid.to_true(convergence).deg(), 359.0);
}

proptest! {
    /// What was typed, to a tenth of a second of arc, comes back digit for digit.
    #[test]
    fn typed_degrees_come_back(hundred_thousandths in 0_u32..36_000_000) {
        let deg = f64::from(hundred_thousandths) / 100_000.0;
        prop_assert_eq!(Azimuth::from_deg(deg).expect("in range").deg(), deg);
    }

    #[test]
    fn units_come_back(deg in Bound::TURN.range_deg()) {
        prop_assert!((degrees(radians(deg)) - deg).abs() < 1e-12);
    }

    #[test]
    fn norths_come_back(
        deg in Bound::AZIMUTH.range_deg(),
        declination in Bound::DECLINATION.range_deg(),
    ) {
        let bearing = Bearing::<True>::from_deg(deg).expect("in range");
        let declination = Declination::from_deg(declination).expect("in range");
        let convergence = Convergence::from_deg(declination.deg()).expect("in range");
        let apart = |b: Bearing<True>| b.azimuth().angle(bearing.azimuth()).deg();
        prop_assert!(apart(bearing.to_magnetic(declination).to_true(declination)) < 1e-9);
        prop_assert!(apart(bearing.to_grid(convergence).to_true(convergence)) < 1e-9);
    }

    #[test]
    fn wrapping_stays_on_the_circle(deg in -1e6_f64..1e6) {
        let wrapped = Azimuth::wrapped_deg(deg).expect("finite").deg();
        prop_assert!((0.0..360.0).contains(&wrapped));
        prop_assert!(turn_deg(wrapped, deg).abs() < 1e-6);
    }
}

#[test]
fn wrapping_refuses_what_is_no_number() {
    assert!(Azimuth::wrapped_deg(f64::NAN).is_err());
    assert!(Azimuth::wrapped_deg(f64::INFINITY).is_err());
}
