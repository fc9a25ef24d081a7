//! Statistics of directions: what a turn, another order or the other end of an axis must not change, and degenerate samples.

use hingeline::orientation::statistics::circular::{self, Ends, circular, rose};
use hingeline::orientation::statistics::{
    Random, Tensor, Which, axis_ellipse, axis_ellipse_resampled, fisher, two_axes,
    two_axes_permuted, two_directions, uniform_axes, uniform_directions,
};
use nalgebra::{Rotation3, Unit, Vector3};

fn any(random: &mut Random) -> Vector3<f64> {
    Vector3::new(random.normal(), random.normal(), random.normal()).normalize()
}

fn cluster(n: usize, random: &mut Random) -> Vec<Vector3<f64>> {
    let (middle, wide) = (any(random), any(random));
    (0..n)
        .map(|_| (middle + wide * (0.3 * random.normal()) + any(random) * 0.1).normalize())
        .collect()
}

fn turned(sample: &[Vector3<f64>], turn: &Rotation3<f64>) -> Vec<Vector3<f64>> {
    sample.iter().map(|v| turn * v).collect()
}

#[track_caller]
fn near(got: f64, expected: f64) {
    assert!(
        (got - expected).abs() < 1e-8 * (1.0 + expected.abs()),
        "got {got}, expected {expected}"
    );
}

#[track_caller]
fn same_axis(a: &Vector3<f64>, b: &Vector3<f64>) {
    assert!((a.dot(b).abs() - 1.0).abs() < 1e-12, "{a} {b}");
}

/// Samples of three truths, drawn again and again: one standard error is how far the figures lie apart from sample to sample.
#[test]
fn a_standard_error_of_the_fabric_is_how_far_samples_of_it_lie_apart() {
    const DRAWN: usize = 1500;
    let mut random = Random::new(47);
    // A girdle, a cluster that is flattened, and something between; wide apart in their principal values.
    for (spread, n) in [
        ([1.0, 0.7, 0.2], 80),
        ([1.0, 0.3, 0.12], 60),
        ([1.0, 0.5, 0.3], 120),
    ] {
        let (mut got, mut told) = (Vec::new(), [0.0; 5]);
        for _ in 0..DRAWN {
            let sample: Vec<Vector3<f64>> = (0..n)
                .map(|_| {
                    let part = |s: f64, r: &mut Random| s * r.normal();
                    Vector3::new(
                        part(spread[0], &mut random),
                        part(spread[1], &mut random),
                        part(spread[2], &mut random),
                    )
                    .normalize()
                })
                .collect();
            let eigen = Tensor::of(&sample).eigen().unwrap();
            let errors = eigen.errors(&sample).unwrap();
            let [a, b, c] = eigen.values;
            got.push([a, b, c, eigen.shape(), eigen.strength()]);
            let [a, b, c] = errors.values;
            for (sum, one) in told
                .iter_mut()
                .zip([a, b, c, errors.shape, errors.strength])
            {
                *sum += one / DRAWN as f64;
            }
        }
        for (i, told) in told.into_iter().enumerate() {
            let mean = got.iter().map(|g| g[i]).sum::<f64>() / DRAWN as f64;
            let square = got.iter().map(|g| (g[i] - mean).powi(2)).sum::<f64>();
            let apart = (square / (DRAWN - 1) as f64).sqrt();
            let ratio = told / apart;
            println!("{spread:?} {i}: {told:.4} told, {apart:.4} apart, {ratio:.3}");
            assert!((0.85..1.15).contains(&ratio), "{spread:?} {i}: {ratio}");
        }
    }
    let few = [Vector3::x(), Vector3::y(), Vector3::z()];
    assert_eq!(Tensor::of(&few).eigen().unwrap().errors(&few), None);
}

#[test]
fn turning_the_sample_turns_every_result() {
    let mut random = Random::new(5);
    for _ in 0..100 {
        let sample = cluster(30, &mut random);
        let turn = Rotation3::from_axis_angle(
            &Unit::new_normalize(any(&mut random)),
            random.uniform() * 6.0,
        );
        let moved = turned(&sample, &turn);
        let (a, b) = (
            Tensor::of(&sample).eigen().unwrap(),
            Tensor::of(&moved).eigen().unwrap(),
        );
        for i in 0..3 {
            near(b.values[i], a.values[i]);
            same_axis(&b.vectors[i], &(turn * a.vectors[i]));
        }
        let (f, g) = (fisher(&sample).unwrap(), fisher(&moved).unwrap());
        near(g.concentration, f.concentration);
        near(g.cone_95_deg.unwrap(), f.cone_95_deg.unwrap());
        assert!((g.mean.vector() - turn * f.mean.vector()).norm() < 1e-9);
        for which in [Which::Cluster, Which::Girdle] {
            let (e, h) = (
                axis_ellipse(&sample, which, 0.95).unwrap(),
                axis_ellipse(&moved, which, 0.95).unwrap(),
            );
            near(h.semi_deg.0, e.semi_deg.0);
            near(h.semi_deg.1, e.semi_deg.1);
            same_axis(&h.along, &(turn * e.along));
            for point in e.outline(24) {
                // Just inside and just outside, whichever end is asked.
                let middle = e.axis.vector();
                let (inner, outer) = (
                    (middle + (point - middle) * 0.99).normalize(),
                    (middle + (point - middle) * 1.01).normalize(),
                );
                assert!(e.holds(&inner) && e.holds(&-inner) && !e.holds(&outer));
            }
        }
        near(
            uniform_axes(&moved).unwrap().statistic,
            uniform_axes(&sample).unwrap().statistic,
        );
        near(
            uniform_directions(&moved).unwrap().p,
            uniform_directions(&sample).unwrap().p,
        );
        let (one, other) = sample.split_at(14);
        let (one_moved, other_moved) = moved.split_at(14);
        near(
            two_axes(one_moved, other_moved).unwrap().statistic,
            two_axes(one, other).unwrap().statistic,
        );
        near(
            two_directions(one_moved, other_moved).unwrap().statistic,
            two_directions(one, other).unwrap().statistic,
        );
    }
}

/// As columns of single precision, over every length around a whole number of fours and of blocks.
#[test]
fn columns_come_to_the_tensor_of_their_axes() {
    let sample = cluster(1030, &mut Random::new(8));
    for count in [0, 1, 3, 4, 5, 41, 255, 256, 257, 260, 1024, 1030] {
        let sample = &sample[..count];
        #[allow(clippy::cast_possible_truncation)] // as the net keeps them
        let column = |i: usize| sample.iter().map(|v| v[i] as f32).collect::<Vec<f32>>();
        let columns = Tensor::of_columns([&column(0), &column(1), &column(2)]);
        assert_eq!(columns.count(), count);
        let off = (columns.matrix() - Tensor::of(sample).matrix()).norm();
        assert!(off < 1e-6, "{count} axes: {off}");
    }
}

#[test]
fn order_and_the_other_end_do_not_matter() {
    let mut random = Random::new(6);
    let sample = cluster(41, &mut random);
    let mut other: Vec<_> = sample
        .iter()
        .map(|v| if random.uniform() < 0.5 { -v } else { *v })
        .collect();
    other.reverse();
    let (a, b) = (
        Tensor::of(&sample).eigen().unwrap(),
        Tensor::of(&other).eigen().unwrap(),
    );
    for i in 0..3 {
        near(b.values[i], a.values[i]);
        same_axis(&b.vectors[i], &a.vectors[i]);
    }
    let mut grown = Tensor::of(&sample[..30]);
    sample[30..].iter().for_each(|v| grown.add(v));
    grown.add(&Vector3::x());
    grown.remove(&Vector3::x());
    assert!((grown.matrix() - Tensor::of(&sample).matrix()).norm() < 1e-14);
    assert_eq!(grown.count(), 41);
    let (e, f) = (
        axis_ellipse(&sample, Which::Cluster, 0.95).unwrap(),
        axis_ellipse(&other, Which::Cluster, 0.95).unwrap(),
    );
    near(f.semi_deg.0, e.semi_deg.0);
    near(f.semi_deg.1, e.semi_deg.1);
    let strikes = [10.0, 200.0, 350.0, 25.0, 188.0];
    let ends = strikes.map(|s| (s + 180.0) % 360.0);
    near(
        circular(&ends, Ends::Two).unwrap().mean_deg,
        circular(&strikes, Ends::Two).unwrap().mean_deg,
    );
    assert_eq!(rose(&ends, Ends::Two, 36), rose(&strikes, Ends::Two, 36));
    assert_eq!(
        rose(&strikes, Ends::Two, 12)
            .iter()
            .map(|s| s.count)
            .sum::<usize>(),
        10
    );
}

#[test]
fn resampling_agrees_with_the_formula() {
    let mut random = Random::new(7);
    let sample = cluster(80, &mut random);
    let formula = axis_ellipse(&sample, Which::Cluster, 0.95).unwrap();
    let lots = axis_ellipse_resampled(&sample, Which::Cluster, 0.95, 2_000, &mut random).unwrap();
    // The quantile of 2,000 resamples of 80 readings: within a tenth in the run of seeds tried.
    assert!(
        (lots.semi_deg.0 / formula.semi_deg.0 - 1.0).abs() < 0.15,
        "{lots:?} {formula:?}"
    );
    assert!((lots.semi_deg.1 / formula.semi_deg.1 - 1.0).abs() < 0.15);
}

#[test]
fn two_limbs_are_told_apart_and_one_is_not() {
    let mut random = Random::new(8);
    let limb = |middle: Vector3<f64>, n: usize, random: &mut Random| -> Vec<Vector3<f64>> {
        (0..n)
            .map(|_| (middle + any(random) * 0.15).normalize())
            .collect()
    };
    let one = limb(Vector3::new(0.5, 0.2, 0.84), 14, &mut random);
    let same = limb(Vector3::new(0.5, 0.2, 0.84), 11, &mut random);
    let other = limb(Vector3::new(0.8, 0.2, 0.6), 11, &mut random);
    assert!(two_axes(&one, &other).unwrap().p < 0.001);
    assert!(two_axes(&one, &same).unwrap().p > 0.05);
    assert!(two_axes_permuted(&one, &other, 400, &mut random).unwrap().p < 0.01);
    assert!(two_axes_permuted(&one, &same, 400, &mut random).unwrap().p > 0.05);
    assert!(two_directions(&one, &other).unwrap().p < 0.001);
}

#[test]
fn nothing_is_said_where_nothing_can_be() {
    let v = Vector3::new(0.6, 0.0, 0.8);
    assert!(fisher(&[]).is_none() && fisher(&[v, -v]).is_none());
    let one = fisher(&[v]).unwrap();
    assert!(one.cone_95_deg.is_none() && one.concentration.is_infinite());
    let alike = fisher(&[v; 9]).unwrap();
    assert_eq!((alike.cone_95_deg, alike.sd_deg), (Some(0.0), 0.0));
    assert!(Tensor::default().eigen().is_none());
    assert!(axis_ellipse(&[v; 3], Which::Cluster, 0.95).is_none());
    assert!(axis_ellipse(&[v; 9], Which::Girdle, 0.95).is_none_or(|e| e.semi_deg.1.is_finite()));
    let cross = [Vector3::x(), Vector3::y(), Vector3::x(), Vector3::y()];
    assert!(axis_ellipse(&cross, Which::Cluster, 0.95).is_none());
    assert!(two_axes(&[v; 3], &[v; 9]).is_none() && two_directions(&[v], &[v, v]).is_none());
    assert!(circular(&[], Ends::One).is_none() && circular(&[10.0, 190.0], Ends::One).is_none());
    assert!((circular(&[10.0, 190.0], Ends::Two).unwrap().mean_resultant - 1.0).abs() < 1e-12);
    assert!(
        circular::rayleigh(&[], Ends::One).is_none() && circular::kuiper(&[], Ends::Two).is_none()
    );
    assert!(circular::median_interval_deg(&[1.0; 15], Ends::One).is_none());
    assert!(
        rose(&[], Ends::One, 1)
            .iter()
            .all(|s| s.count == 0 && s.radius == 0.0)
    );
    assert_eq!(
        rose(&[359.999, 0.0, 180.0], Ends::One, 8)
            .iter()
            .map(|s| s.count)
            .collect::<Vec<_>>(),
        [1, 0, 0, 0, 1, 0, 0, 1]
    );
}
