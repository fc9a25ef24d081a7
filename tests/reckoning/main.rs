//! Reckoning from readings: printed worked examples, the library's own figures, and whether each ± holds what it says.
#![cfg(not(target_arch = "wasm32"))]
#![allow(clippy::unwrap_used, reason = "all of this is a test")]

mod book;

use hingeline::geodesy::sighting::Distance;
use hingeline::notebook::Notation;
use hingeline::notebook::reckoning::{
    AzimuthIn, EitherIn, Figure, Hand, LineIn, PlaceIn, PlaneIn, RADIUS_68, Sure, Value, WayIn,
    Worked, angle, apparent_dip, depth, intersection, plane_of_lines, restored, restored_before,
    thickness, three_points,
};
use hingeline::orientation::section::{Bed, restored_twice};
use hingeline::orientation::statistics::Random;
use hingeline::orientation::{
    Azimuth, Line, Noise, Plane, PlaneStyle, Polarity, write_line, write_plane,
};
use nalgebra::Vector3;

fn hand() -> Hand {
    Hand {
        notation: Notation::StrikeDip,
        plane: |plane, _| write_plane(plane, PlaneStyle::StrikeDip),
        line: |line, _| write_line(line, PlaneStyle::StrikeDip),
    }
}

fn plane(strike: f64, dip: f64) -> Plane {
    Plane::from_deg(strike, dip).unwrap()
}

fn line(trend: f64, plunge: f64) -> Line {
    Line::from_deg(trend, plunge).unwrap()
}

fn plane_in(strike: f64, dip: f64) -> PlaneIn {
    PlaneIn::new("p", plane(strike, dip), [1.8, 1.8], Polarity::Upright)
}

fn line_in(name: &str, trend: f64, plunge: f64) -> LineIn {
    LineIn::new(name, line(trend, plunge), [1.8, 1.8])
}

fn section(deg: f64) -> AzimuthIn {
    AzimuthIn {
        name: "the section".to_owned(),
        azimuth: Azimuth::from_deg(deg).unwrap(),
        sd_deg: 0.0,
    }
}

/// A way as a clinometer would give it: exact.
fn sighted(name: &str, way: Vector3<f64>) -> WayIn {
    let line = Line::from_vector(&way).unwrap();
    WayIn::Sighted {
        name: name.to_owned(),
        bearing: line.trend(),
        bearing_sd_deg: 0.0,
        vertical_deg: -line.plunge().deg(),
        vertical_sd_deg: 0.0,
        distance: Distance::Slope(way.norm()),
        distance_sd_m: Some(0.0),
        back: false,
    }
}

#[track_caller]
fn number(worked: &Worked, figure: usize) -> f64 {
    match worked.figures[figure].value {
        Value::Degrees(v) | Value::Metres(v) => v,
        other => panic!("{other:?}"),
    }
}

#[track_caller]
fn plane_of(worked: &Worked) -> Plane {
    match worked.figures[0].value {
        Value::Plane(plane) => plane,
        other => panic!("{other:?}"),
    }
}

#[track_caller]
fn line_of(figure: &Figure) -> Line {
    match figure.value {
        Value::Line(line) => line,
        other => panic!("{other:?}"),
    }
}

#[track_caller]
fn near(got: f64, want: f64, tolerance: f64) {
    assert!((got - want).abs() <= tolerance, "got {got}, want {want}");
}

#[test]
fn printed_examples() {
    // Marshak & Mitra 1988, problem: bed 115/42, toward 265; S. Dutch, Univ. Wisconsin–Green Bay: 065/24NW in a cut toward 052.
    let worked = apparent_dip(&plane_in(115.0, 42.0), &section(265.0), &hand()).unwrap();
    near(number(&worked, 0), 24.237, 0.01);
    let worked = apparent_dip(&plane_in(245.0, 24.0), &section(52.0), &hand()).unwrap();
    near(number(&worked, 0), 5.719, 0.01);
    // A university's handout on orthographic projection, example 3, graphical, to 1°: 20 toward 296, 30 toward 046; 090/40N.
    let (a, b) = (line_in("a", 296.0, 20.0), line_in("b", 46.0, 30.0));
    let worked = plane_of_lines(&a, &b, true, &hand()).unwrap();
    near(plane_of(&worked).dip().deg(), 40.0, 1.0);
    near(plane_of(&worked).strike().deg(), 270.0, 1.0);
    // Brady & Brown, Rock Mechanics for Underground Mining, 3rd ed., appendix A, pp. 569–570, graphical, to 1°.
    let (a, b) = (plane_in(40.0, 50.0), plane_in(160.0, 30.0));
    let worked = intersection(&a, &b, &hand()).unwrap();
    let met = line_of(&worked.figures[0]);
    near(met.trend().deg(), 201.0, 1.0);
    near(met.plunge().deg(), 21.0, 1.0);
    // SIG2003 practical 5, to 1°: a line and a plane.
    let worked = angle(
        &EitherIn::Line(line_in("l", 237.0, 10.0)),
        &EitherIn::Plane(plane_in(10.0, 80.0)),
        &hand(),
    )
    .unwrap();
    near(number(&worked, 0), 48.0, 1.0);
    // S. Martel, Univ. Hawaii, GG303 lab 3, exercise 1 (north, east, height); the figures recomputed from it.
    let (a, b, c) = (
        Vector3::new(100.0, 400.0, -400.0),
        Vector3::new(0.0, 0.0, -200.0),
        Vector3::new(300.0, 0.0, -500.0),
    );
    let ways = [sighted("ab", b - a), sighted("ac", c - a)];
    let worked = three_points(["a", "b", "c"], [&ways[0], &ways[1]], &hand()).unwrap();
    near(plane_of(&worked).strike().deg(), 104.036, 0.01);
    near(plane_of(&worked).dip().deg(), 45.868, 0.01);
    // South Alabama GY403, thickness: layer and slope opposed, the same way, level; and a depth by hand, 100 tan 40°.
    let layer = plane_in(0.0, 40.0);
    for (trend, plunge, want) in [
        (270.0, 15.0, 81.915),
        (90.0, 15.0, 42.262),
        (90.0, 0.0, 64.279),
    ] {
        let way = sighted("w", line(trend, plunge).vector() * 100.0);
        let worked = thickness(["a", "b"], &way, &layer, &hand()).unwrap();
        near(number(&worked, 0), want, 0.001);
    }
    let way = sighted("w", line(90.0, 0.0).vector() * 100.0);
    let worked = depth(["a", "b"], &way, &layer, &hand()).unwrap();
    near(number(&worked, 0), 83.910, 0.001);
    // The ground falls by 30 m on the way: the layer is so much nearer.
    let way = sighted("w", Vector3::new(0.0, 100.0, 30.0));
    let worked = depth(["a", "b"], &way, &layer, &hand()).unwrap();
    near(number(&worked, 0), 53.910, 0.001);
}

#[test]
fn what_tells_nothing_is_refused_in_words() {
    let same = line_in("a", 10.0, 20.0);
    assert!(plane_of_lines(&same, &line_in("b", 10.0, 20.0), true, &hand()).is_none());
    assert!(intersection(&plane_in(10.0, 20.0), &plane_in(10.0, 20.0), &hand()).is_none());
    let upright = plane_in(10.0, 90.0);
    let way = sighted("w", Vector3::new(3.0, 4.0, 0.0));
    let why = depth(["a", "b"], &way, &upright, &hand()).unwrap_err();
    assert!(why.contains("upright"), "{why}");
    let ways = [
        sighted("ab", Vector3::new(10.0, 0.0, 0.0)),
        sighted("ac", Vector3::new(20.0, 0.0, 0.0)),
    ];
    let why = three_points(["a", "b", "c"], [&ways[0], &ways[1]], &hand()).unwrap_err();
    assert!(why.contains("in one line"), "{why}");
}

/// How often a truth lies within one and within 1.96 standard deviations, of two numbers (azimuth and inclination) or one.
#[derive(Default)]
struct Tally {
    all: u32,
    one: [u32; 2],
    two: [u32; 2],
}

impl Tally {
    fn add(&mut self, figure: &Figure, truth: Value) {
        self.all += 1;
        let mut count = |at: usize, off: f64, sd: f64| {
            self.one[at] += u32::from(off.abs() <= sd);
            self.two[at] += u32::from(off.abs() <= 1.96 * sd);
        };
        let round = |a: f64, b: f64| (a - b + 540.0).rem_euclid(360.0) - 180.0;
        match (figure.value, truth, &figure.sure) {
            (Value::Degrees(a), Value::Degrees(b), Sure::Within(sd))
            | (Value::Metres(a), Value::Metres(b), Sure::Within(sd)) => {
                count(0, a - b, *sd);
                count(1, a - b, *sd);
            }
            (
                Value::Plane(a),
                Value::Plane(b),
                Sure::Direction {
                    azimuth_deg,
                    incline_deg,
                    ..
                },
            ) => {
                count(
                    0,
                    round(a.strike().deg(), b.strike().deg()),
                    azimuth_deg.unwrap(),
                );
                count(1, a.dip().deg() - b.dip().deg(), *incline_deg);
            }
            (
                Value::Line(a),
                Value::Line(b),
                Sure::Direction {
                    azimuth_deg,
                    incline_deg,
                    ..
                },
            ) => {
                count(
                    0,
                    round(a.trend().deg(), b.trend().deg()),
                    azimuth_deg.unwrap(),
                );
                count(1, a.plunge().deg() - b.plunge().deg(), *incline_deg);
            }
            other => panic!("{other:?}"),
        }
    }

    #[track_caller]
    fn holds(&self, what: &str) {
        for i in 0..2 {
            let share = |n: u32| 100.0 * f64::from(n) / f64::from(self.all);
            let (one, two) = (share(self.one[i]), share(self.two[i]));
            // 68.3 and 95 with room for four deviations of a share of 2,000, and for what the first order leaves out.
            assert!(
                (64.0..=72.5).contains(&one),
                "{what} {i}: {one} in 100 within one"
            );
            assert!(
                (93.0..=97.0).contains(&two),
                "{what} {i}: {two} in 100 within 1.96"
            );
        }
    }
}

const TRIALS: u32 = 2_000;

/// A plane as the dials would give it: needle and placement turn the strike, inclination and placement the dip.
fn read_plane(name: &str, truth: &Plane, noise: &Noise, random: &mut Random) -> PlaneIn {
    let strike = truth.strike().deg() + noise.strike_sd_deg(truth.dip()) * random.normal();
    let dip = truth.dip().deg() + noise.dip_sd_deg() * random.normal();
    let read = plane(strike.rem_euclid(360.0), dip);
    PlaneIn::new(
        name,
        read,
        noise.pole_sds_deg(read.dip()),
        Polarity::Upright,
    )
}

fn read_line(name: &str, truth: &Line, noise: &Noise, random: &mut Random) -> LineIn {
    let trend = truth.trend().deg() + noise.trend_sd_deg(truth.plunge()) * random.normal();
    let plunge = truth.plunge().deg() + noise.plunge_sd_deg() * random.normal();
    let read = line(trend.rem_euclid(360.0), plunge);
    LineIn::new(name, read, noise.line_sds_deg(read.plunge()))
}

/// A station so many metres north, east and down of a point at 45° N, fixed with a radius and a deviation of its height.
fn fix(name: &str, at: Vector3<f64>, radius: f64, height_sd: f64, random: &mut Random) -> PlaceIn {
    let level = radius / RADIUS_68;
    // A second of latitude there is 30.87 m (WGS 84 meridian radius 6 367 382 m), of longitude 21.90 m (parallel 4 517 591 m).
    let (north, east) = (
        at.x + level * random.normal(),
        at.y + level * random.normal(),
    );
    let deg = 180.0 / std::f64::consts::PI;
    PlaceIn {
        name: name.to_owned(),
        latitude_deg: 45.0 + deg * north / 6_367_382.0,
        longitude_deg: 7.0 + deg * east / 4_517_591.0,
        height_m: 800.0 - at.z + height_sd * random.normal(),
        radius_m: Some(radius),
        height_sd_m: Some(height_sd),
    }
}

fn noise() -> Noise {
    Noise::from_deg(1.0, 1.0, 1.5, 0.0).unwrap()
}

#[test]
fn the_deviations_of_angles_hold_what_they_say() {
    let (noise, mut random) = (noise(), Random::new(41));
    let (bed, other) = (plane(40.0, 35.0), plane(150.0, 55.0));
    let toward = section(170.0);
    let dip = bed.apparent_dip(toward.azimuth).deg();
    let traces = [95.0, 190.0].map(|az| {
        let az = Azimuth::from_deg(az).unwrap();
        Line::new(az, bed.apparent_dip(az)).as_axis()
    });
    let mut tallies: [Tally; 6] = std::array::from_fn(|_| Tally::default());
    for _ in 0..TRIALS {
        let p = read_plane("p", &bed, &noise, &mut random);
        let q = read_plane("q", &other, &noise, &mut random);
        let worked = apparent_dip(&p, &toward, &hand()).unwrap();
        tallies[0].add(&worked.figures[0], Value::Degrees(dip.abs()));
        let lines = [
            read_line("a", &traces[0], &noise, &mut random),
            read_line("b", &traces[1], &noise, &mut random),
        ];
        let worked = plane_of_lines(&lines[0], &lines[1], true, &hand()).unwrap();
        tallies[1].add(&worked.figures[0], Value::Plane(bed));
        let worked = intersection(&p, &q, &hand()).unwrap();
        let met = bed.intersection(&other).unwrap();
        let found = line_of(&worked.figures[0]);
        let end = if found.vector().dot(&met.vector()) < 0.0 {
            met.reversed()
        } else {
            met
        };
        tallies[2].add(&worked.figures[0], Value::Line(end));
        tallies[3].add(&worked.figures[1], Value::Degrees(bed.angle(&other).deg()));
        let worked = angle(
            &EitherIn::Line(lines[0].clone()),
            &EitherIn::Plane(q),
            &hand(),
        )
        .unwrap();
        tallies[4].add(
            &worked.figures[0],
            Value::Degrees(other.angle_to_line(&traces[0]).deg()),
        );
        // A mean of three, as sure as three readings make it or as they scatter, whichever is worse: never less.
        let three: Vec<PlaneIn> = (0..3)
            .map(|_| read_plane("m", &bed, &noise, &mut random))
            .collect();
        let worked = apparent_dip(&PlaneIn::mean(&three).unwrap(), &toward, &hand()).unwrap();
        tallies[5].add(&worked.figures[0], Value::Degrees(dip.abs()));
    }
    let [of_three, rest @ ..] = {
        let mut t = tallies;
        t.rotate_right(1);
        t
    };
    for (tally, what) in rest.iter().zip([
        "apparent dip",
        "true dip",
        "intersection",
        "angle of planes",
        "angle of a line",
    ]) {
        tally.holds(what);
    }
    let share = f64::from(of_three.two[0]) / f64::from(of_three.all);
    assert!((0.94..=0.995).contains(&share), "mean of three: {share}");
}

#[test]
fn the_deviations_across_the_ground_hold_what_they_say() {
    let (noise, mut random) = (noise(), Random::new(42));
    let bed = plane(60.0, 30.0);
    let on = |north: f64, east: f64| {
        let n = bed.normal();
        Vector3::new(north, east, -(n.x * north + n.y * east) / n.z)
    };
    let corners = [on(0.0, 0.0), on(380.0, 120.0), on(90.0, 410.0)];
    let (base, top) = (
        Vector3::new(0.0, 0.0, 0.0),
        Vector3::new(-150.0, 210.0, -40.0),
    );
    let thick = (top - base).dot(&bed.normal()).abs();
    let deep = -(bed.normal().x * top.x + bed.normal().y * top.y) / bed.normal().z - top.z;
    let along = Line::from_vector(&(top - base)).unwrap();
    let mut tallies: [Tally; 4] = std::array::from_fn(|_| Tally::default());
    for _ in 0..TRIALS {
        let [a, b, c] =
            [0, 1, 2].map(|i| fix(["a", "b", "c"][i], corners[i], 6.0, 7.0, &mut random));
        let ways = [WayIn::Places(a.clone(), b), WayIn::Places(a, c)];
        let worked = three_points(["a", "b", "c"], [&ways[0], &ways[1]], &hand()).unwrap();
        tallies[0].add(&worked.figures[0], Value::Plane(bed));
        let layer = read_plane("p", &bed, &noise, &mut random);
        let from = fix("a", base, 5.0, 6.0, &mut random);
        let to = fix("b", top, 5.0, 6.0, &mut random);
        let way = WayIn::Places(from, to);
        let worked = thickness(["a", "b"], &way, &layer, &hand()).unwrap();
        tallies[1].add(&worked.figures[0], Value::Metres(thick));
        let worked = depth(["a", "b"], &way, &layer, &hand()).unwrap();
        tallies[2].add(&worked.figures[0], Value::Metres(deep));
        let way = WayIn::Sighted {
            name: "s".to_owned(),
            bearing: Azimuth::wrapped_deg(along.trend().deg() + 0.8 * random.normal()).unwrap(),
            bearing_sd_deg: 0.8,
            vertical_deg: -along.plunge().deg() + 0.9 * random.normal(),
            vertical_sd_deg: 0.9,
            distance: Distance::Slope((top - base).norm() + 4.0 * random.normal()),
            distance_sd_m: Some(4.0),
            back: false,
        };
        let worked = thickness(["a", "b"], &way, &layer, &hand()).unwrap();
        tallies[3].add(&worked.figures[0], Value::Metres(thick));
    }
    for (tally, what) in tallies.iter().zip([
        "three points",
        "thickness",
        "depth",
        "thickness by sighting",
    ]) {
        tally.holds(what);
    }
}

#[test]
fn the_deviations_of_what_is_restored_hold_what_they_say() {
    let (noise, mut random) = (noise(), Random::new(43));
    let (younger, older) = (plane(300.0, 25.0), plane(50.0, 60.0));
    let current = line(350.0, 22.0);
    let bed = |plane| Bed {
        plane,
        tops: Polarity::Upright,
    };
    let once = hingeline::orientation::section::restored_line(&current, &older, false);
    let twice = restored_twice(&current, &bed(younger), &bed(older));
    let (mut one, mut two) = (Tally::default(), Tally::default());
    for _ in 0..TRIALS {
        let line = EitherIn::Line(read_line("l", &current, &noise, &mut random));
        let young = read_plane("y", &younger, &noise, &mut random);
        let old = read_plane("o", &older, &noise, &mut random);
        let worked = restored(std::slice::from_ref(&line), &old, &hand());
        one.add(&worked.figures[0], Value::Line(once));
        let worked = restored_before(std::slice::from_ref(&line), &young, &old, &hand());
        two.add(&worked.figures[0], Value::Line(twice));
    }
    one.holds("one tilt");
    two.holds("two tilts");
}

#[test]
fn what_is_not_told_is_not_made_up() {
    let mut random = Random::new(44);
    let mut from = fix("a", Vector3::zeros(), 5.0, 6.0, &mut random);
    from.radius_m = None;
    from.height_sd_m = None;
    let to = fix("b", Vector3::new(0.0, 100.0, 0.0), 5.0, 6.0, &mut random);
    let worked = thickness(
        ["a", "b"],
        &WayIn::Places(from, to),
        &plane_in(0.0, 40.0),
        &hand(),
    )
    .unwrap();
    match &worked.figures[0].sure {
        Sure::Untold(why) => assert!(why.contains("a has a place without a ±"), "{why}"),
        other => panic!("{other:?}"),
    }
    assert!(
        worked
            .cautions
            .iter()
            .any(|c| c.contains("licensed engineer"))
    );
}

#[test]
fn two_planes_that_are_one_are_not_told_apart() {
    let (a, b) = (plane_in(10.0, 20.0), plane_in(10.0, 20.0));
    let worked = angle(
        &EitherIn::Plane(a),
        &EitherIn::Plane(PlaneIn {
            name: "q".to_owned(),
            ..b
        }),
        &hand(),
    )
    .unwrap();
    near(number(&worked, 0), 0.0, 1e-9);
    match worked.figures[0].sure {
        Sure::Within(sd) => assert!(sd > 1.8, "{sd}"),
        ref other => panic!("{other:?}"),
    }
    assert!(
        worked.cautions[0].contains("nearer"),
        "{:?}",
        worked.cautions
    );
}

#[test]
fn a_layer_near_the_vertical_keeps_its_top_through_its_own_errors() {
    let bed = PlaneIn::new("p", plane(40.0, 90.0), [2.0, 2.0], Polarity::Upright);
    let worked = restored(&[EitherIn::Line(line_in("l", 40.0, 30.0))], &bed, &hand());
    match worked.figures[0].sure {
        Sure::Direction { ellipse_deg, .. } => assert!(ellipse_deg.0 < 12.0, "{ellipse_deg:?}"),
        ref other => panic!("{other:?}"),
    }
    // A bed in its own place comes level, and the working says about what and how far.
    assert!(
        worked.steps[0].contains("about 040 by 90.0°"),
        "{}",
        worked.steps[0]
    );
}
