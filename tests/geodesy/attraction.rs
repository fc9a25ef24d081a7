//! Local attraction put in by hand is found again, whatever the order of the lines.

use hingeline::geodesy::attraction::{Sighted, attraction};
use hingeline::orientation::Azimuth;
use hingeline::orientation::angle::turn_deg;
use proptest::prelude::*;

use super::check_near;

/// A line as it is read where the needle is turned at either end.
fn line(from: usize, to: usize, true_deg: f64, turned: &[f64]) -> Sighted {
    let read = |deg: f64, by: f64| Azimuth::wrapped_deg(deg + by).expect("finite");
    Sighted {
        from,
        to,
        fore: read(true_deg, turned[from]),
        back: read(true_deg + 180.0, turned[to]),
    }
}

#[test]
fn lines_that_agree_are_free_and_need_no_correction() {
    let turned = [0.0; 3];
    let found = attraction(
        3,
        &[line(0, 1, 70.0, &turned), line(1, 2, 350.0, &turned)],
        0.0,
    )
    .expect("stations");
    assert!(
        found
            .lines
            .iter()
            .all(|line| line.free && line.off_deg.abs() < 1e-9)
    );
    for correction in found.stations {
        let correction = correction.expect("free");
        assert_eq!(
            (correction.deg, correction.sd_deg, correction.lines),
            (0.0, 0.0, 0)
        );
    }
}

#[test]
fn where_no_line_is_free_nothing_says_which_end_is_right() {
    let turned = [0.0, 8.0];
    let found = attraction(2, &[line(0, 1, 70.0, &turned)], 0.5).expect("stations");
    assert_eq!(found.stations, [None, None]);
    assert!(!found.lines[0].free && found.lines[0].left_deg.is_none());
    check_near(found.lines[0].off_deg, -8.0, 1e-9);
    assert_eq!(
        attraction(2, &[], 0.5).expect("stations").stations,
        [None, None]
    );
}

/// Two ways to one station that do not agree: the nearer one corrects it, the other shows what is left.
#[test]
fn a_misread_line_of_a_loop_shows_what_is_left() {
    let turned = [0.0, 0.0, 6.0];
    let mut lines = [
        line(0, 1, 70.0, &turned),
        line(1, 2, 160.0, &turned),
        line(2, 0, 300.0, &turned),
    ];
    lines[2].back = Azimuth::wrapped_deg(lines[2].back.deg() + 10.0).expect("finite");
    let found = attraction(3, &lines, 0.5).expect("stations");
    check_near(found.stations[2].expect("reached").deg, -6.0, 1e-9);
    check_near(found.lines[1].left_deg.expect("both ends"), 0.0, 1e-9);
    check_near(
        found.lines[2].left_deg.expect("both ends").abs(),
        10.0,
        1e-9,
    );
}

#[test]
fn the_uncertainty_grows_with_every_line() {
    let turned = [0.0, 0.0, 5.0, -7.0];
    let lines = [
        line(0, 1, 10.0, &turned),
        line(1, 2, 20.0, &turned),
        line(2, 3, 30.0, &turned),
    ];
    let found = attraction(4, &lines, 0.5).expect("stations");
    let of = |i: usize| found.stations[i].expect("reached");
    assert_eq!([0, 1, 2, 3].map(|i| of(i).lines), [0, 0, 1, 2]);
    check_near(of(2).sd_deg, 0.5 * 2.0_f64.sqrt(), 1e-12);
    check_near(of(3).sd_deg, 1.0, 1e-12);
    check_near(of(3).deg, 7.0, 1e-9);
}

#[test]
fn what_is_no_line_is_an_error() {
    let turned = [0.0; 3];
    for (from, to) in [(0, 0), (0, 2), (2, 1)] {
        let error = attraction(2, &[line(from, to, 70.0, &turned)], 0.5).expect_err("no line");
        assert!(error.to_string().contains("station"), "{error}");
    }
    for sd in [-0.1, 46.0, f64::NAN] {
        assert!(attraction(2, &[line(0, 1, 70.0, &turned)], sd).is_err());
    }
}

proptest! {
    /// A chain with two free stations somewhere: every other correction is what was put in, the other way.
    #[test]
    fn what_was_put_in_comes_out(
        bearings in proptest::collection::vec(0.0..360.0, 2..9),
        put_in in proptest::collection::vec(5.0..40.0_f64, 10),
        free in 0usize..8,
        backwards in proptest::bool::ANY,
    ) {
        let stations = bearings.len() + 1;
        let free = free % (stations - 1);
        // Neighbours turn the needle differently, or their line would count as free.
        let turned: Vec<f64> = (0..stations)
            .map(|i| if i == free || i == free + 1 { 0.0 } else if i % 2 == 0 { put_in[i] } else { -put_in[i] })
            .collect();
        let mut lines: Vec<Sighted> = bearings.iter().enumerate().map(|(i, deg)| line(i, i + 1, *deg, &turned)).collect();
        if backwards {
            lines.reverse();
        }
        let found = attraction(stations, &lines, 0.5).expect("stations");
        for (got, put_in) in found.stations.iter().zip(&turned) {
            check_near(turn_deg(-put_in, got.expect("reached").deg), 0.0, 1e-7);
        }
        for (found, line) in found.lines.iter().zip(&lines) {
            let ends = [line.from, line.to].map(|i| turned[i]);
            prop_assert_eq!(found.free, ends == [0.0, 0.0]);
            check_near(found.left_deg.expect("both ends"), 0.0, 1e-7);
        }
    }
}
