//! The net against Snyder's formulas beyond the hemisphere, and density against simulation and the plain sum.

use hingeline::orientation::angle::degrees;
use hingeline::orientation::density::{Levels, three_sigma_k};
use hingeline::orientation::{Density, Hemisphere, Projection, contours};
use nalgebra::Vector3;

use crate::Dice;

const BOTH: [Projection; 2] = [Projection::EqualArea, Projection::EqualAngle];
const HALVES: [Hemisphere; 2] = [Hemisphere::Lower, Hemisphere::Upper];

fn any_axis(dice: &mut Dice) -> Vector3<f64> {
    Vector3::new(dice.normal(), dice.normal(), dice.normal()).normalize()
}

#[test]
fn a_point_comes_back_as_its_axis() {
    let mut dice = Dice(11);
    for _ in 0..2_000 {
        let v = any_axis(&mut dice);
        for (projection, half) in BOTH.into_iter().flat_map(|p| HALVES.map(|h| (p, h))) {
            let point = projection.project(half, &v);
            assert!(point.0.hypot(point.1) <= 1.0 + 1e-12);
            let back = projection.unproject(half, point).expect("within the rim");
            assert!((back.dot(&v).abs() - 1.0).abs() < 1e-12, "{v} {back}");
            assert!((back.norm() - 1.0).abs() < 1e-12);
            let (far, opposite) = (
                projection.project_beyond(half, &v),
                projection.project(half, &-v),
            );
            let seen = (v.z > 0.0) == (half == Hemisphere::Lower);
            assert_eq!(seen, (far.0 - point.0).hypot(far.1 - point.1) < 1e-12);
            assert!(
                (opposite.0 - point.0).hypot(opposite.1 - point.1) < 1e-12,
                "an axis has one point"
            );
            let far_back = projection.unproject(half, far).expect("reached");
            assert!((far_back - v).norm() < 1e-9, "{v} {far_back}");
        }
    }
}

#[test]
fn columns_are_the_same_points_in_single_precision() {
    let mut dice = Dice(12);
    let level = [0.0, -0.0].map(|down| Vector3::new(0.6, -0.8, down));
    let axes: Vec<_> = (0..300).map(|_| any_axis(&mut dice)).chain(level).collect();
    #[allow(clippy::cast_possible_truncation)] // single precision is what is tried
    let column = |i: usize| axes.iter().map(|v| v[i] as f32).collect::<Vec<_>>();
    let (north, east, down) = (column(0), column(1), column(2));
    for (projection, half) in BOTH.into_iter().flat_map(|p| HALVES.map(|h| (p, h))) {
        let (mut x, mut y) = (vec![0.0; axes.len()], vec![0.0; axes.len()]);
        projection.project_columns(half, [&north, &east, &down], [&mut x, &mut y]);
        for (i, v) in axes.iter().enumerate() {
            let (u, w) = projection.project(half, v);
            let off = (f64::from(x[i]) - u).hypot(f64::from(y[i]) - w);
            assert!(off < 2e-7, "{v} {off}");
        }
    }
}

#[test]
fn equal_areas_hold_equal_shares_and_equal_angles_stay_true() {
    // Even axes fall evenly on the equal-area net: the inner half of its area holds half of them.
    let mut dice = Dice(13);
    let n = 40_000;
    let inner = (0..n)
        .filter(|_| {
            let (x, y) = Projection::EqualArea.project(Hemisphere::Lower, &any_axis(&mut dice));
            x * x + y * y < 0.5
        })
        .count();
    // Four standard deviations of a count of 40,000 halves.
    assert!((inner as f64 - 20_000.0).abs() < 400.0, "{inner}");
    // On the equal-angle net a small circle is a circle: its points lie at one distance from one centre.
    let axis = Vector3::new(0.3, -0.5, 0.9).normalize();
    let pieces = Projection::EqualAngle.small_circle(Hemisphere::Lower, &axis, 25.0, 90);
    let [circle] = pieces.as_slice() else {
        panic!("cut: {}", pieces.len())
    };
    let (p, q, r) = (circle[0], circle[30], circle[60]);
    let centre = circumcentre(p, q, r);
    let radius = (p.0 - centre.0).hypot(p.1 - centre.1);
    for &(x, y) in circle {
        assert!(((x - centre.0).hypot(y - centre.1) - radius).abs() < 1e-12);
    }
}

fn circumcentre(a: (f64, f64), b: (f64, f64), c: (f64, f64)) -> (f64, f64) {
    let square = |p: (f64, f64)| p.0 * p.0 + p.1 * p.1;
    let d = 2.0 * (a.0 * (b.1 - c.1) + b.0 * (c.1 - a.1) + c.0 * (a.1 - b.1));
    (
        (square(a) * (b.1 - c.1) + square(b) * (c.1 - a.1) + square(c) * (a.1 - b.1)) / d,
        (square(a) * (c.0 - b.0) + square(b) * (a.0 - c.0) + square(c) * (b.0 - a.0)) / d,
    )
}

#[test]
fn circles_run_from_rim_to_rim_and_are_cut_there() {
    let mut dice = Dice(14);
    for _ in 0..300 {
        let normal = any_axis(&mut dice);
        for (projection, half) in BOTH.into_iter().flat_map(|p| HALVES.map(|h| (p, h))) {
            let circle = projection.great_circle(half, &normal, 24);
            assert_eq!(circle.len(), 25);
            for end in [circle[0], circle[24]] {
                assert!((end.0.hypot(end.1) - 1.0).abs() < 1e-12);
            }
            for &point in &circle {
                let v = projection.unproject(half, point).expect("within the rim");
                assert!(v.dot(&normal).abs() < 1e-9);
            }
            for piece in projection.small_circle(half, &normal, 40.0, 72) {
                for &point in &piece {
                    assert!(point.0.hypot(point.1) <= 1.0 + 1e-12);
                    let v = projection.unproject(half, point).expect("within the rim");
                    // Where it is cut the way is straight between two points of the circle, 5° apart: within 0.1°.
                    let off = degrees(v.dot(&normal).abs().acos()) - 40.0;
                    assert!(off.abs() < 0.1, "{off}");
                }
            }
        }
    }
    let rim = Projection::EqualArea.great_circle(Hemisphere::Lower, &Vector3::z(), 8);
    assert!(rim.iter().all(|p| (p.0.hypot(p.1) - 1.0).abs() < 1e-12));
}

/// The plain sum over all axes at one node.
fn plain(axes: &[Vector3<f64>], node: &Vector3<f64>, k: f64) -> f64 {
    axes.iter()
        .map(|v| (k * (v.dot(node).abs() - 1.0)).exp())
        .sum()
}

fn check_against_plain(axes: &[Vector3<f64>], k: f64, share_of_peak: f64) {
    for half in HALVES {
        let density = Density::of(axes, k, 25, Projection::EqualArea, half);
        let peak = density.peak().expect("nodes").0 * density.sd + density.expected;
        let mut nodes = 0;
        for row in 0..density.size {
            for column in 0..density.size {
                let got = density.sigmas[row * density.size + column];
                if got.is_nan() {
                    continue;
                }
                nodes += 1;
                let place = density.node(column, row);
                let node = Projection::EqualArea
                    .unproject(half, place)
                    .expect("reached");
                let sum = got * density.sd + density.expected;
                let off = (sum - plain(axes, &node, k)).abs() / peak;
                assert!(off < share_of_peak, "{off} of the peak at {place:?}");
            }
        }
        assert!(nodes > 400);
    }
}

#[test]
fn density_is_the_plain_sum() {
    let mut dice = Dice(15);
    let mut axes: Vec<_> = (0..700).map(|_| any_axis(&mut dice)).collect();
    for k in [5.0, 40.0, 100.0, 400.0] {
        check_against_plain(&axes, k, 1e-4);
    }
    // Gathered in cells: the error stays below a thousandth of the peak, for a cluster across the rim too, for one that is
    // narrower than a cell, and for a girdle.
    let middle = Vector3::new(0.8, 0.6, 0.05);
    axes.extend((0..1_800).map(|_| (middle + any_axis(&mut dice) * 0.2).normalize()));
    let about = |middle: Vector3<f64>, by: f64, dice: &mut Dice| -> Vec<Vector3<f64>> {
        (0..2_400)
            .map(|_| (middle + any_axis(dice) * by).normalize())
            .collect()
    };
    let narrow = about(Vector3::new(0.3, -0.4, 0.86), 0.02, &mut dice);
    let girdle = about(Vector3::zeros(), 1.0, &mut dice)
        .iter()
        .map(|v| Vector3::new(v.x, 0.05 * v.y, v.z).normalize())
        .collect();
    for axes in [axes, narrow, girdle] {
        for k in [5.0, 20.0, 100.0] {
            assert!(Density::of(&axes, k, 3, Projection::EqualArea, HALVES[0]).gathered);
            check_against_plain(&axes, k, 1e-3);
        }
    }
    // A kernel as narrow as a cell of as many as there are axes: nothing is gathered, and nothing lost.
    let strewn: Vec<_> = (0..2_400).map(|_| any_axis(&mut dice)).collect();
    check_against_plain(&strewn, 900.0, 1e-4);
}

#[test]
fn an_even_spread_scatters_by_one_standard_deviation() {
    let mut dice = Dice(16);
    for k in [10.0, three_sigma_k(60)] {
        let mut squares = 0.0;
        let mut sum = 0.0;
        let rounds = 2_000;
        for _ in 0..rounds {
            let axes: Vec<_> = (0..60).map(|_| any_axis(&mut dice)).collect();
            let density = Density::of(&axes, k, 3, Projection::EqualArea, Hemisphere::Lower);
            let middle = density.sigmas[density.size / 2 * density.size + density.size / 2];
            sum += middle;
            squares += middle * middle;
        }
        let (mean, var) = (sum / f64::from(rounds), squares / f64::from(rounds));
        // Four standard errors of a mean and of a variance over 2,000 rounds, the second doubled for the skew of the sum.
        assert!(mean.abs() < 4.0 / 2_000_f64.sqrt(), "{mean}");
        assert!((var - 1.0).abs() < 8.0 * (2.0 / 2_000_f64).sqrt(), "{var}");
    }
    let none = Density::of(&[], 100.0, 11, Projection::EqualArea, Hemisphere::Lower);
    assert_eq!(none.peak().map(|p| p.0), Some(0.0));
    // At the three-sigma k the even density is three of its standard deviations, for a large k.
    let axes: Vec<_> = (0..900).map(|_| any_axis(&mut dice)).collect();
    let density = Density::of(
        &axes,
        three_sigma_k(900),
        5,
        Projection::EqualArea,
        Hemisphere::Lower,
    );
    assert!(
        (density.expected / density.sd - 3.0).abs() < 0.05,
        "{}",
        density.expected / density.sd
    );
    assert!((density.sigmas_of_multiple(2.0) - density.expected / density.sd).abs() < 1e-12);
    for (step, sigmas) in Levels::STEPS.into_iter().zip(Levels::Even.sigmas(&density)) {
        assert!((density.multiple_of_sigmas(sigmas) - step).abs() < 1e-12);
    }
    assert_eq!(Levels::Deviations.sigmas(&density), Levels::STEPS);
}

#[test]
fn contours_lie_at_their_level_and_end_on_the_rim() {
    let mut dice = Dice(17);
    let middles = [Vector3::new(0.9, 0.3, 0.1), Vector3::new(-0.2, 0.5, 0.8)];
    let axes: Vec<_> = middles
        .iter()
        .flat_map(|m| {
            (0..120)
                .map(|_| (m + any_axis(&mut dice) * 0.25).normalize())
                .collect::<Vec<_>>()
        })
        .collect();
    for half in HALVES {
        let density = Density::of(&axes, 60.0, 61, Projection::EqualArea, half);
        let found = contours(&density, &[2.0, 6.0, 12.0, 1e6]);
        assert!(found[3].lines.is_empty());
        let mut on_rim = 0;
        for contour in &found[..3] {
            assert!(!contour.lines.is_empty());
            for line in &contour.lines {
                assert!(line.len() > 2);
                let (first, last) = (line[0], line[line.len() - 1]);
                let rim = |p: (f64, f64)| (p.0.hypot(p.1) - 1.0).abs() < 1e-9;
                assert!(
                    first == last || (rim(first) && rim(last)),
                    "{first:?} {last:?}"
                );
                on_rim += usize::from(first != last);
                for &(x, y) in line {
                    assert!(x.hypot(y) <= 1.0 + 1e-9);
                    let node = Projection::EqualArea
                        .unproject(half, (x, y))
                        .expect("on the net");
                    let value = (plain(&axes, &node, 60.0) - density.expected) / density.sd;
                    // The grid's own interpolation error, a step being a thirtieth of the radius.
                    assert!(
                        (value - contour.level).abs() < 1.0,
                        "{value} at level {}",
                        contour.level
                    );
                }
            }
        }
        // The cluster across the rim: what leaves on one side comes in on the other.
        assert!(on_rim >= 2);
    }
}
