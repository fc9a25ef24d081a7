//! Readings unlike the structure around them: how often clean ones are doubted, what is noticed, and what to measure next.

use hingeline::orientation::angle::{degrees, radians};
use hingeline::orientation::neighbours::{Shape, Structure, common_turn};
use hingeline::orientation::next::{advice, predictions};
use hingeline::orientation::statistics::Random;
use hingeline::orientation::{Noise, Plane};
use nalgebra::{Rotation3, Unit, Vector3};

fn any(random: &mut Random) -> Vector3<f64> {
    Vector3::new(random.normal(), random.normal(), random.normal()).normalize()
}

/// A fold with its axis anywhere: two limbs with a hinge, rock scattering by so many degrees, read by a compass.
fn fold(n: usize, rock_deg: f64, random: &mut Random) -> (Vector3<f64>, Vec<Vector3<f64>>) {
    let axis = any(random);
    let one = axis.cross(&any(random)).normalize();
    let other = axis.cross(&one);
    let limbs = [-0.3 - 0.6 * random.uniform(), 0.3 + 0.6 * random.uniform()];
    let poles = (0..n)
        .map(|i| {
            let turn = if i % 7 == 0 {
                limbs[0] + (limbs[1] - limbs[0]) * random.uniform()
            } else {
                limbs[i % 2] + 0.1 * random.normal()
            };
            let (s, c) = turn.sin_cos();
            read(
                &(one * c + other * s + axis * (radians(rock_deg) * random.normal())),
                random,
            )
        })
        .collect();
    (axis, poles)
}

/// A pole as a compass gives it: tilted by the default noise, in whole degrees.
fn read(v: &Vector3<f64>, random: &mut Random) -> Vector3<f64> {
    let push = Vector3::new(random.normal(), random.normal(), random.normal());
    let v = v.normalize();
    let tilted = (v + (push - v * push.dot(&v)) * radians(1.5)).normalize();
    let plane = Plane::from_normal(&tilted).expect("a plane");
    let strike = (plane.strike().deg() + random.normal())
        .rem_euclid(360.0)
        .round()
        % 360.0;
    let dip = (plane.dip().deg() + random.normal())
        .round()
        .clamp(0.0, 90.0);
    Plane::from_deg(strike, dip).expect("in range").normal()
}

fn cluster(n: usize, random: &mut Random) -> Vec<Vector3<f64>> {
    let middle = any(random);
    (0..n)
        .map(|_| {
            read(
                &(middle + any(random) * (0.09 * random.normal().abs() + 0.03)),
                random,
            )
        })
        .collect()
}

/// How many of all readings are doubted, each against the others.
fn doubted(poles: &[Vector3<f64>]) -> (usize, usize) {
    let mut found = (0, 0);
    for i in 0..poles.len() {
        let mut others = poles.to_vec();
        let own = others.remove(i);
        if let Some(structure) = Structure::of(&others) {
            let sd = Noise::default().pole_sd_deg(Plane::from_normal(&own).expect("a plane").dip());
            found.0 += usize::from(structure.standing(&own, sd).is_doubted());
            found.1 += 1;
        }
    }
    found
}

#[test]
fn a_clean_reading_is_hardly_ever_doubted() {
    let mut random = Random::new(41);
    for (name, mut draw) in [
        (
            "fold",
            Box::new(|n, r: &mut Random| fold(n, 2.5, r).1)
                as Box<dyn FnMut(usize, &mut Random) -> Vec<Vector3<f64>>>,
        ),
        (
            "rough fold",
            Box::new(|n, r: &mut Random| fold(n, 7.0, r).1),
        ),
        ("cluster", Box::new(cluster)),
    ] {
        for n in [9, 14, 30, 80] {
            let (mut alarms, mut asked) = (0, 0);
            while asked < 4_000 {
                let (a, b) = doubted(&draw(n, &mut random));
                alarms += a;
                asked += b.max(1);
            }
            println!("{name} of {n}: {alarms} of {asked}");
            // One in a hundred is allowed.
            assert!(
                alarms * 100 <= asked,
                "{name} of {n}: {alarms} of {asked} clean readings doubted"
            );
        }
    }
}

#[test]
fn a_wrong_reading_in_a_fold_is_noticed() {
    let mut random = Random::new(42);
    let (mut noticed, mut seen) = (0, 0);
    for _ in 0..300 {
        let (axis, poles) = fold(30, 2.5, &mut random);
        let structure = Structure::of(&poles[1..]).expect("a fold");
        if structure.shape != Shape::Girdle {
            continue;
        }
        let plane = Plane::from_normal(&poles[0]).expect("a plane");
        let wrong = plane.other_side().normal();
        // Turning the dip round changes nothing that can be seen where the pole stays near the girdle.
        if degrees(wrong.dot(&axis).abs().asin()) < 20.0 {
            continue;
        }
        seen += 1;
        noticed += usize::from(structure.standing(&wrong, 2.0).is_doubted());
    }
    assert!(
        seen > 100 && noticed * 100 >= seen * 97,
        "{noticed} of {seen}"
    );
}

#[test]
fn a_turned_station_is_found_and_a_clean_one_is_not() {
    let mut random = Random::new(43);
    let (mut found, mut alarms, mut rounds, mut off) = (0, 0, 0, 0.0_f64);
    for _ in 0..400 {
        let (_, bedding) = fold(40, 2.5, &mut random);
        let (cleavage, joints) = (cluster(24, &mut random), cluster(24, &mut random));
        let kinds = [&bedding, &cleavage, &joints];
        let Some(structures) = kinds
            .iter()
            .map(|k| Structure::of(&k[2..]))
            .collect::<Option<Vec<_>>>()
        else {
            continue;
        };
        // Beds that lie flat say nothing of north.
        if kinds
            .iter()
            .any(|k| k.iter().take(2).any(|v| v.z.abs() > 0.9))
        {
            continue;
        }
        rounds += 1;
        let at = |deg: f64| {
            let turn = Rotation3::from_axis_angle(&Unit::new_unchecked(Vector3::z()), radians(deg));
            let readings: Vec<_> = kinds
                .iter()
                .zip(&structures)
                .flat_map(|(k, s)| k[..2].iter().map(move |v| (turn * v, *s)))
                .collect();
            common_turn(&readings)
        };
        alarms += usize::from(at(0.0).is_some());
        if let Some(turn) = at(28.0) {
            found += 1;
            off = off.max((turn.turn_deg - 28.0).abs() / turn.sd_deg);
        }
    }
    assert!(rounds > 150);
    assert!(
        alarms * 100 <= rounds,
        "{alarms} of {rounds} clean stations doubted"
    );
    assert!(
        found * 10 >= rounds * 8,
        "{found} of {rounds} stations turned by 28° found"
    );
    assert!(off < 6.0, "{off} standard deviations off");
}

#[test]
fn advice_points_where_the_axis_is_loose() {
    let mut random = Random::new(44);
    for _ in 0..40 {
        // One limb only, a little bent: the axis is loose towards that limb's own pole.
        let axis = any(&mut random);
        let one = axis.cross(&any(&mut random)).normalize();
        let other = axis.cross(&one);
        let poles: Vec<_> = (0..16)
            .map(|_| {
                let (s, c) = (0.22 * random.normal()).sin_cos();
                read(
                    &(one * c + other * s + axis * (0.04 * random.normal())),
                    &mut random,
                )
            })
            .collect();
        let Some(structure) = Structure::of(&poles).filter(|s| s.shape == Shape::Girdle) else {
            continue;
        };
        let told = advice(&structure, &poles).expect("a girdle");
        assert!(told.then_deg < told.now_deg);
        // Really reading it there narrows the axis as was said.
        let more = [&poles[..], &[told.best.normal()]].concat();
        let with = structure.axis_sd_with_deg(&told.best.normal()) * 1.96;
        assert!((with - told.then_deg).abs() < 1e-9 && more.len() == 17);
        assert!(
            told.dips_deg.0 <= told.best.dip().deg() && told.best.dip().deg() <= told.dips_deg.1
        );
    }
    // A wide fold: both ends of the girdle are as good, and what is told lies on it.
    let (poles, structure) = std::iter::repeat_with(|| fold(40, 2.5, &mut random).1)
        .filter_map(|poles| Structure::of(&poles).map(|s| (poles, s)))
        .find(|(_, s)| s.shape == Shape::Girdle)
        .expect("a wide fold comes soon");
    let told = advice(&structure, &poles).expect("a girdle");
    assert!(structure.standing(&told.best.normal(), 1.0).off_deg < 1e-6);
}

#[test]
fn predictions_hold_what_comes_next() {
    let mut random = Random::new(45);
    let (mut held, mut asked) = (0, 0);
    for _ in 0..200 {
        // The last one lies on a limb, where most outcrops are.
        let (_, poles) = fold(41, 2.5, &mut random);
        let (next, poles) = poles.split_last().expect("poles");
        let Some(structure) = Structure::of(poles) else {
            continue;
        };
        let told = predictions(&structure, poles);
        asked += 1;
        held +=
            usize::from(told.iter().any(|p| {
                degrees(p.plane.normal().dot(next).abs().min(1.0).acos()) <= p.within_deg
            }));
        assert!((told.iter().map(|p| p.share).sum::<f64>() - 1.0).abs() < 1e-9);
    }
    assert!(held * 100 >= asked * 85, "{held} of {asked}");
    let poles = cluster(30, &mut random);
    let structure = Structure::of(&poles).expect("a cluster");
    assert_eq!(predictions(&structure, &poles).len(), 1);
    assert!(advice(&structure, &poles).is_none());
}

#[test]
fn too_few_or_shapeless_readings_say_nothing() {
    let mut random = Random::new(46);
    assert!(Structure::of(&cluster(7, &mut random)).is_none());
    let strewn: Vec<_> = (0..60).map(|_| any(&mut random)).collect();
    assert!(Structure::of(&strewn).is_none());
    assert!(common_turn(&[]).is_none());
}
