//! What holds for every sample: turned data turn every result, order does not matter, and an axis is both of its ends.

use hingeline::orientation::angle::wrap_deg;
use hingeline::orientation::faults::{Slip, conjugate, invert};
use hingeline::orientation::folds::{cone, cylinder, limbs};
use hingeline::orientation::sets::part;
use hingeline::orientation::statistics::circular::{Ends, circular, kuiper, median_deg, rayleigh};
use hingeline::orientation::statistics::{Random, Tensor, Which, axis_ellipse, fisher};
use hingeline::orientation::{Density, Hemisphere, Line, Plane, Projection};
use nalgebra::{Rotation3, Unit, Vector3};
use proptest::prelude::*;

fn direction(random: &mut Random) -> Vector3<f64> {
    Vector3::new(random.normal(), random.normal(), random.normal()).normalize()
}

fn any_turn(random: &mut Random) -> Rotation3<f64> {
    Rotation3::from_axis_angle(
        &Unit::new_normalize(direction(random)),
        random.uniform() * 6.0,
    )
}

fn around(middle: &Vector3<f64>, off: f64, n: usize, random: &mut Random) -> Vec<Vector3<f64>> {
    (0..n)
        .map(|_| (middle + direction(random) * off).normalize())
        .collect()
}

/// Poles along most of a girdle, two clusters among them, so that every fit has its one answer.
fn folded(random: &mut Random) -> Vec<Vector3<f64>> {
    let turn = any_turn(random);
    let mut poles = Vec::new();
    for (middle, n) in [(-0.9_f64, 14), (0.5, 9), (-0.2, 5)] {
        for _ in 0..n {
            let (sin, cos) = (middle + 0.1 * random.normal()).sin_cos();
            let v = Vector3::new(cos, sin, 0.06 * random.normal() + 0.05);
            poles.push(turn * v.normalize());
        }
    }
    poles
}

/// The same sample in another order and with other ends.
fn stirred(sample: &[Vector3<f64>], random: &mut Random) -> (Vec<usize>, Vec<Vector3<f64>>) {
    let mut order: Vec<usize> = (0..sample.len()).collect();
    for i in (1..order.len()).rev() {
        order.swap(i, random.below(i + 1));
    }
    let ends = order.iter().map(|&i| {
        if random.uniform() < 0.5 {
            -sample[i]
        } else {
            sample[i]
        }
    });
    let ends = ends.collect();
    (order, ends)
}

#[track_caller]
fn near(got: f64, want: f64, tolerance: f64) {
    assert!(
        (got - want).abs() <= tolerance * (1.0 + want.abs()),
        "got {got}, not {want}"
    );
}

#[track_caller]
fn same_axis(got: &Vector3<f64>, want: &Vector3<f64>) {
    assert!(got.cross(want).norm() < 1e-6, "{got} {want}");
}

/// Everything that is fitted to poles, once as it stands and once of the sample `other`, which is it turned so.
fn check_fits(sample: &[Vector3<f64>], other: &[Vector3<f64>], turn: &Rotation3<f64>) {
    let turned = |line: &Line| turn * line.vector();
    let (a, b) = (
        Tensor::of(sample).eigen().expect("axes"),
        Tensor::of(other).eigen().expect("axes"),
    );
    for i in 0..3 {
        near(b.values[i], a.values[i], 1e-12);
        same_axis(&b.vectors[i], &(turn * a.vectors[i]));
    }
    for which in [Which::Cluster, Which::Girdle] {
        let (a, b) = (
            axis_ellipse(sample, which, 0.95).expect("one such axis"),
            axis_ellipse(other, which, 0.95).expect("one such axis"),
        );
        same_axis(&b.axis.vector(), &turned(&a.axis));
        near(b.semi_deg.0, a.semi_deg.0, 1e-8);
        near(b.semi_deg.1, a.semi_deg.1, 1e-8);
    }
    let (a, b) = (
        cylinder(sample).expect("a girdle"),
        cylinder(other).expect("a girdle"),
    );
    same_axis(&b.axis.vector(), &turned(&a.axis));
    near(b.misfit_deg, a.misfit_deg, 1e-8);
    let (a, b) = (cone(sample).expect("a cone"), cone(other).expect("a cone"));
    same_axis(&b.axis.vector(), &turned(&a.axis));
    near(b.half_angle_deg, a.half_angle_deg, 1e-6);
    near(b.misfit_deg, a.misfit_deg, 1e-6);
}

/// Whether two partings part alike, whichever part is called the second.
fn parted_alike(one: impl Iterator<Item = bool>, other: impl Iterator<Item = bool>) -> bool {
    let differing: Vec<bool> = one.zip(other).map(|(a, b)| a != b).collect();
    differing.iter().all(|d| *d == differing[0])
}

/// A fault turned as a body: where its other side comes to lie above, that side is the hanging wall.
fn turned_slip(slip: &Slip, turn: &Rotation3<f64>) -> Slip {
    let (up, slid) = (turn * slip.into_hanging_wall(), turn * slip.vector());
    let (up, slid) = if up.z > 0.0 { (-up, -slid) } else { (up, slid) };
    let plane = Plane::from_normal(&up).expect("a plane");
    let rake = (-slid.dot(&plane.down_dip())).atan2(slid.dot(&plane.along_strike()));
    Slip::new(plane, hingeline::orientation::angle::degrees(rake)).expect("in range")
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn turned_poles_turn_every_fit(seed in any::<u64>()) {
        let mut random = Random::new(seed);
        let (sample, turn) = (folded(&mut random), any_turn(&mut random));
        let moved: Vec<_> = sample.iter().map(|v| turn * v).collect();
        check_fits(&sample, &moved, &turn);
        let (a, b) = (limbs(&sample).expect("limbs"), limbs(&moved).expect("limbs"));
        prop_assert!(parted_alike(a.second.iter().copied(), b.second.iter().copied()));
        near(b.planes[0].angle(&b.planes[1]).deg(), a.planes[0].angle(&a.planes[1]).deg(), 1e-6);
        let (f, g) = (fisher(&sample).expect("a mean"), fisher(&moved).expect("a mean"));
        prop_assert!((g.mean.vector() - turn * f.mean.vector()).norm() < 1e-9);
        near(g.concentration, f.concentration, 1e-10);
    }

    #[test]
    fn order_and_ends_change_no_fit(seed in any::<u64>()) {
        let mut random = Random::new(seed);
        let sample = folded(&mut random);
        let (order, other) = stirred(&sample, &mut random);
        check_fits(&sample, &other, &Rotation3::identity());
        let (a, b) = (limbs(&sample).expect("limbs"), limbs(&other).expect("limbs"));
        prop_assert!(parted_alike(order.iter().map(|i| a.second[*i]), b.second.iter().copied()));
        let mut directions = sample.clone();
        directions.reverse();
        let (f, g) = (fisher(&sample).expect("a mean"), fisher(&directions).expect("a mean"));
        prop_assert!((g.mean.vector() - f.mean.vector()).norm() < 1e-12);
        for k in [8.0, 60.0] {
            let of = |axes: &[Vector3<f64>]| {
                Density::of(axes, k, 21, Projection::EqualArea, Hemisphere::Lower)
            };
            for (a, b) in of(&sample).sigmas.iter().zip(&of(&other).sigmas) {
                prop_assert!(a.is_nan() && b.is_nan() || (a - b).abs() < 1e-9 * (1.0 + a.abs()));
            }
        }
    }

    #[test]
    fn a_quarter_turn_of_the_compass_turns_every_node(seed in any::<u64>(), k in 4.0..200.0) {
        let mut random = Random::new(seed);
        let sample = folded(&mut random);
        // North becomes east.
        let moved: Vec<_> = sample.iter().map(|v| Vector3::new(-v.y, v.x, v.z)).collect();
        for half in [Hemisphere::Lower, Hemisphere::Upper] {
            let of = |axes: &[Vector3<f64>]| Density::of(axes, k, 21, Projection::EqualArea, half);
            let (a, b) = (of(&sample), of(&moved));
            for row in 0..a.size {
                for column in 0..a.size {
                    let (east, north) = a.node(column, row);
                    if east.hypot(north) > 1.0 {
                        continue;
                    }
                    // What lay north of the middle lies east of it.
                    let was = a.sigmas[row * a.size + column];
                    let is = b.sigmas[(a.size - 1 - column) * a.size + row];
                    // An axis just at the end of the kernel's reach may fall to either side of it.
                    let tail = 1e-5 * sample.len() as f64 / a.sd;
                    prop_assert!((was - is).abs() < tail, "{was} {is}");
                }
            }
        }
    }

    #[test]
    fn a_turned_cluster_turns_its_densest_place(seed in any::<u64>()) {
        let mut random = Random::new(seed);
        let (middle, turn) = (direction(&mut random), any_turn(&mut random));
        let sample = around(&middle, 0.12, 60, &mut random);
        let moved: Vec<_> = sample.iter().map(|v| turn * v).collect();
        let peak = |axes: &[Vector3<f64>]| {
            let density = Density::of(axes, 20.0, 61, Projection::EqualArea, Hemisphere::Lower);
            let (sigmas, place) = density.peak().expect("nodes");
            let at = Projection::EqualArea.unproject(Hemisphere::Lower, place).expect("on the net");
            (sigmas, at)
        };
        let ((a, was), (b, is)) = (peak(&sample), peak(&moved));
        // Nodes are 2° to 3° apart, and so near to it the density is all but level.
        near(b, a, 0.03);
        prop_assert!((turn * was).dot(&is).abs() > 0.99, "{was} {is}");
    }

    #[test]
    fn turned_or_stirred_joints_make_the_same_sets(seed in any::<u64>()) {
        let mut random = Random::new(seed);
        let frame = any_turn(&mut random);
        let mut poles = Vec::new();
        for (axis, n) in [(Vector3::x(), 18), (Vector3::y(), 13), (Vector3::z(), 8)] {
            poles.extend(around(&(frame * axis), 0.1, n, &mut random));
        }
        let turn = any_turn(&mut random);
        let (order, other) = stirred(&poles, &mut random);
        let moved: Vec<_> = other.iter().map(|v| turn * v).collect();
        let (a, b) = (
            part(&poles, 3, &mut Random::new(1)).expect("three sets"),
            part(&moved, 3, &mut Random::new(2)).expect("three sets"),
        );
        near(b.criterion, a.criterion, 1e-6);
        for (a, b) in a.sets.iter().zip(&b.sets) {
            prop_assert_eq!(a.count, b.count);
            near(b.spread_deg, a.spread_deg, 1e-6);
            same_axis(&b.mean.normal(), &(turn * a.mean.normal()));
        }
        for (i, place) in order.iter().enumerate() {
            prop_assert_eq!(b.of[i], a.of[*place]);
        }
    }

    #[test]
    fn turned_pairs_turn_their_principal_directions(seed in any::<u64>()) {
        let mut random = Random::new(seed);
        let (n, m, turn) = (direction(&mut random), direction(&mut random), any_turn(&mut random));
        let plane = |v: Vector3<f64>| Plane::from_normal(&v).expect("a plane");
        let angle = plane(n).angle(&plane(m)).deg();
        prop_assume!(1.0 < angle && angle < 89.0);
        let pair = conjugate(&plane(n), &plane(m)).expect("not parallel");
        let moved = conjugate(&plane(turn * m), &plane(-(turn * n))).expect("not parallel");
        near(moved.two_theta_deg, pair.two_theta_deg, 1e-8);
        for (a, b) in [
            (pair.sigma1, moved.sigma1),
            (pair.sigma2, moved.sigma2),
            (pair.sigma3, moved.sigma3),
        ] {
            same_axis(&b.vector(), &(turn * a.vector()));
        }
    }

    #[test]
    fn turned_faults_turn_their_stress(seed in any::<u64>()) {
        let mut random = Random::new(seed);
        let turn = any_turn(&mut random);
        let faults: Vec<Slip> = (0..14)
            .map(|_| {
                let plane = Plane::from_normal(&direction(&mut random)).expect("a plane");
                Slip::new(plane, 360.0 * random.uniform() - 180.0).expect("in range")
            })
            .collect();
        let stress = invert(&faults).expect("faults that differ");
        let p = &stress.principal;
        // Two principal values nearly alike have no axes to compare.
        prop_assume!(0.05 < p.ratio && p.ratio < 0.95);
        let moved: Vec<Slip> = faults.iter().rev().map(|f| turned_slip(f, &turn)).collect();
        let other = invert(&moved).expect("faults that differ");
        near(other.principal.ratio, p.ratio, 1e-6);
        for (a, b) in [
            (&p.sigma1, &other.principal.sigma1),
            (&p.sigma2, &other.principal.sigma2),
            (&p.sigma3, &other.principal.sigma3),
        ] {
            same_axis(&b.vector(), &(turn * a.vector()));
        }
        for (a, b) in stress.misfits_deg.iter().zip(other.misfits_deg.iter().rev()) {
            near(*b, *a, 1e-5);
        }
    }

    #[test]
    fn turned_azimuths_turn_their_mean(
        azimuths in prop::collection::vec(0.0..150.0_f64, 5..40),
        by in 0.0..360.0_f64,
    ) {
        for ends in [Ends::One, Ends::Two] {
            let mut moved: Vec<f64> = azimuths
                .iter()
                .enumerate()
                // Of an axis either end may be written down.
                .map(|(i, a)| {
                    let end = if ends == Ends::Two && i % 3 == 0 { 180.0 } else { 0.0 };
                    wrap_deg(a + by + end)
                })
                .collect();
            moved.reverse();
            let (Some(a), Some(b)) = (circular(&azimuths, ends), circular(&moved, ends)) else {
                continue;
            };
            // What all but cancels out has no mean to speak of.
            if a.mean_resultant < 1e-3 {
                continue;
            }
            let whole = if ends == Ends::One { 360.0 } else { 180.0 };
            let off = |one: f64, other: f64| {
                let off = (one - other).rem_euclid(whole);
                off.min(whole - off)
            };
            near(off(b.mean_deg, a.mean_deg + by), 0.0, 1e-6);
            near(b.mean_resultant, a.mean_resultant, 1e-9);
            near(b.circular_sd_deg, a.circular_sd_deg, 1e-7);
            let tests = [(rayleigh(&azimuths, ends), rayleigh(&moved, ends)), (kuiper(&azimuths, ends), kuiper(&moved, ends))];
            for (a, b) in tests {
                near(b.expect("a sample").statistic, a.expect("a sample").statistic, 1e-8);
            }
            let (a, b) = (median_deg(&azimuths, ends), median_deg(&moved, ends));
            near(off(b.expect("a median"), a.expect("a median") + by), 0.0, 1e-6);
        }
    }
}
