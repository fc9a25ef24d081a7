//! `workbench coverage`: how often every region of confidence holds the truth, by simulation.

use std::f64::consts::TAU;
use std::process::ExitCode;

use clap::Args;
use hingeline::orientation::folds::{self, Cone, Fold};
use hingeline::orientation::statistics::circular::{Ends, circular};
use hingeline::orientation::statistics::{
    Random, TwoMeans, Which, axis_ellipse, axis_ellipse_resampled, fisher, two_axes,
    two_directions, uniform_axes, uniform_directions,
};
use hingeline::orientation::{Plane, Polarity};
use nalgebra::Vector3;

/// What a region of 95 in 100 must hold, of 100.
const AIM: (f64, f64) = (93.0, 97.0);

/// How a coverage is simulated.
#[derive(Args)]
pub(super) struct CoverageArgs {
    /// Samples a line
    #[arg(long, default_value_t = 4_000)]
    rounds: u32,
    /// Where the numbers by lot begin
    #[arg(long, default_value_t = 1)]
    seed: u64,
}

/// One line of the report: a way to draw a sample and to ask whether the region holds.
struct Case {
    name: &'static str,
    sample: usize,
    /// Whether the region of one sample held; `None` where the sample gives none.
    round: fn(usize, &mut Random) -> Option<bool>,
    /// Resampling is slow: fewer rounds.
    slow: bool,
}

const TRUTH: Vector3<f64> = Vector3::new(0.48, -0.6, 0.64);

/// A direction around the truth, Fisher-distributed.
fn around(kappa: f64, random: &mut Random) -> Vector3<f64> {
    let u = random.uniform();
    let cosine = 1.0 + (u + (1.0 - u) * (-2.0 * kappa).exp()).ln() / kappa;
    let sine = (1.0 - cosine * cosine).max(0.0).sqrt();
    let (s, c) = (TAU * random.uniform()).sin_cos();
    let one = Vector3::new(0.8, 0.0, -0.6);
    let one = (one - TRUTH * one.dot(&TRUTH)).normalize();
    TRUTH * cosine + (one * c + TRUTH.cross(&one) * s) * sine
}

/// A pole of a fold whose axis is the truth: two limbs of unlike size and a hinge, each pole off by 8°.
fn fold_pole(random: &mut Random) -> Vector3<f64> {
    let one = Vector3::new(0.8, 0.0, -0.6);
    let one = (one - TRUTH * one.dot(&TRUTH)).normalize();
    let other = TRUTH.cross(&one);
    let turn = match random.uniform() {
        u if u < 0.5 => -0.7 + 0.15 * random.normal(),
        u if u < 0.8 => 0.6 + 0.2 * random.normal(),
        _ => 0.5 * random.normal(),
    };
    let (s, c) = turn.sin_cos();
    let off = 0.14 * random.normal();
    (one * c + other * s + TRUTH * off).normalize()
}

fn any(random: &mut Random) -> Vector3<f64> {
    Vector3::new(random.normal(), random.normal(), random.normal()).normalize()
}

fn cone(kappa: f64, n: usize, random: &mut Random) -> Option<bool> {
    let sample: Vec<_> = (0..n).map(|_| around(kappa, random)).collect();
    let fisher = fisher(&sample)?;
    fisher.cone_95_deg.map(|_| fisher.holds(&TRUTH))
}

fn cluster(n: usize, random: &mut Random) -> Vec<Vector3<f64>> {
    // Axes: either end may have been written down. Wider one way than the other.
    let one = Vector3::new(0.8, 0.0, 0.6).cross(&TRUTH).normalize();
    let other = TRUTH.cross(&one);
    (0..n)
        .map(|_| {
            let v = TRUTH + one * (0.35 * random.normal()) + other * (0.12 * random.normal());
            let end = if random.uniform() < 0.5 { -1.0 } else { 1.0 };
            v.normalize() * end
        })
        .collect()
}

fn azimuths(kappa: f64, n: usize, random: &mut Random) -> Vec<f64> {
    // Best and Fisher 1979: a wrapped Cauchy envelope for von Mises angles.
    let a = 1.0 + (1.0 + 4.0 * kappa * kappa).sqrt();
    let b = (a - (2.0 * a).sqrt()) / (2.0 * kappa);
    let r = (1.0 + b * b) / (2.0 * b);
    let mut draw = || loop {
        let z = (std::f64::consts::PI * random.uniform()).cos();
        let f = (1.0 + r * z) / (r + z);
        let c = kappa * (r - f);
        let u = random.uniform();
        if c * (2.0 - c) - u > 0.0 || (c / u).ln() + 1.0 - c >= 0.0 {
            let angle = f.clamp(-1.0, 1.0).acos();
            let side = if random.uniform() < 0.5 { -1.0 } else { 1.0 };
            break 70.0 + side * 360.0 / TAU * angle;
        }
    };
    (0..n).map(|_| draw().rem_euclid(360.0)).collect()
}

fn within(
    azimuths: &[f64],
    half: impl Fn(&hingeline::orientation::statistics::circular::Circular) -> Option<f64>,
) -> Option<bool> {
    let got = circular(azimuths, Ends::One)?;
    let off = (got.mean_deg - 70.0 + 540.0).rem_euclid(360.0) - 180.0;
    half(&got).map(|half| off.abs() <= half)
}

/// A test at 5 in 100 must keep quiet 95 times in 100 when there is nothing to find.
fn quiet(p: f64) -> bool {
    p > 0.05
}

const CASES: &[Case] = &[
    Case {
        name: "Fisher cone, k 8",
        sample: 10,
        round: |n, r| cone(8.0, n, r),
        slow: false,
    },
    Case {
        name: "Fisher cone, k 20",
        sample: 6,
        round: |n, r| cone(20.0, n, r),
        slow: false,
    },
    Case {
        name: "Fisher cone, k 50",
        sample: 40,
        round: |n, r| cone(50.0, n, r),
        slow: false,
    },
    Case {
        name: "ellipse of a mean axis",
        sample: 6,
        round: |n, r| axis_ellipse(&cluster(n, r), Which::Cluster, 0.95).map(|e| e.holds(&TRUTH)),
        slow: false,
    },
    Case {
        name: "ellipse of a mean axis",
        sample: 25,
        round: |n, r| axis_ellipse(&cluster(n, r), Which::Cluster, 0.95).map(|e| e.holds(&TRUTH)),
        slow: false,
    },
    Case {
        name: "ellipse of a mean axis",
        sample: 100,
        round: |n, r| axis_ellipse(&cluster(n, r), Which::Cluster, 0.95).map(|e| e.holds(&TRUTH)),
        slow: false,
    },
    Case {
        name: "ellipse of a fold axis",
        sample: 25,
        round: |n, r| fold(n, r, |poles, _| axis_ellipse(poles, Which::Girdle, 0.95)),
        slow: false,
    },
    Case {
        name: "ellipse of a fold axis",
        sample: 80,
        round: |n, r| fold(n, r, |poles, _| axis_ellipse(poles, Which::Girdle, 0.95)),
        slow: false,
    },
    Case {
        name: "ellipse of a fold axis, resampled",
        sample: 40,
        round: |n, r| {
            fold(n, r, |poles, r| {
                axis_ellipse_resampled(poles, Which::Girdle, 0.95, 300, r)
            })
        },
        slow: true,
    },
    Case {
        name: "interlimb angle",
        sample: 8,
        round: |n, r| limbs(n, r, interlimb),
        slow: false,
    },
    Case {
        name: "interlimb angle",
        sample: 40,
        round: |n, r| limbs(n, r, interlimb),
        slow: false,
    },
    Case {
        name: "ellipse of an axial plane's pole",
        sample: 8,
        round: |n, r| limbs(n, r, axial_plane),
        slow: false,
    },
    Case {
        name: "ellipse of an axial plane's pole",
        sample: 40,
        round: |n, r| limbs(n, r, axial_plane),
        slow: false,
    },
    Case {
        name: "axis of a cone, any that is told",
        sample: 25,
        round: |n, r| any_ring(n, r).and_then(|c| Some(c.0.ellipse?.holds(&TRUTH))),
        slow: false,
    },
    Case {
        name: "axis of a cone, any that is told",
        sample: 60,
        round: |n, r| any_ring(n, r).and_then(|c| Some(c.0.ellipse?.holds(&TRUTH))),
        slow: false,
    },
    Case {
        name: "half angle of a cone, any that is told",
        sample: 40,
        round: |n, r| any_ring(n, r).and_then(|c| holds_half(&c.0, c.1)),
        slow: false,
    },
    Case {
        name: "axis of a cone, 45°, half round",
        sample: 30,
        round: |n, r| ring(n, [45.0, 6.0, 180.0], r).and_then(|c| Some(c.ellipse?.holds(&TRUTH))),
        slow: false,
    },
    Case {
        name: "axis of a cone, 70°, all round",
        sample: 30,
        round: |n, r| ring(n, [70.0, 5.0, 360.0], r).and_then(|c| Some(c.ellipse?.holds(&TRUTH))),
        slow: false,
    },
    Case {
        name: "half angle of a cone, 20°, all round",
        sample: 30,
        round: |n, r| ring(n, [20.0, 4.0, 360.0], r).and_then(|c| holds_half(&c, 20.0)),
        slow: false,
    },
    Case {
        name: "no cone where there is a cylinder",
        sample: 30,
        round: |n, r| ring(n, [90.0, 5.0, 140.0], r).map(|c| c.better.is_none_or(|t| quiet(t.p))),
        slow: false,
    },
    Case {
        name: "mean azimuth, any distribution",
        sample: 40,
        round: |n, r| within(&azimuths(3.0, n, r), |c| c.half_interval_deg()),
        slow: false,
    },
    Case {
        name: "mean azimuth of few, any distribution",
        sample: 6,
        round: |n, r| within(&azimuths(20.0, n, r), |c| c.half_interval_deg()),
        slow: false,
    },
    Case {
        name: "mean azimuth, tables",
        sample: 12,
        round: |n, r| within(&azimuths(3.0, n, r), |c| c.half_interval_of_tables_deg()),
        slow: false,
    },
    Case {
        name: "mean azimuth, standard error",
        sample: 30,
        round: |n, r| within(&azimuths(6.0, n, r), |c| Some(1.96 * c.standard_error_deg)),
        slow: false,
    },
    Case {
        name: "Watson's F on one mean",
        sample: 12,
        round: |n, r| {
            let mut draw = || (0..n).map(|_| around(20.0, r)).collect::<Vec<_>>();
            let (a, b) = (draw(), draw());
            two_directions(&a, &b).map(|t| quiet(t.p))
        },
        slow: false,
    },
    Case {
        name: "two limbs with one mean axis",
        sample: 30,
        round: |n, r| {
            let (a, b) = (cluster(n, r), cluster(n, r));
            two_axes(&a, &b).map(|t| quiet(t.p))
        },
        slow: false,
    },
    Case {
        name: "Rayleigh's test on even directions",
        sample: 9,
        round: |n, r| {
            let sample: Vec<_> = (0..n).map(|_| any(r)).collect();
            uniform_directions(&sample).map(|t| quiet(t.p))
        },
        slow: false,
    },
    Case {
        name: "Rayleigh's test on even directions",
        sample: 60,
        round: |n, r| {
            let sample: Vec<_> = (0..n).map(|_| any(r)).collect();
            uniform_directions(&sample).map(|t| quiet(t.p))
        },
        slow: false,
    },
    Case {
        name: "Bingham's test on even axes",
        sample: 40,
        round: |n, r| {
            let sample: Vec<_> = (0..n).map(|_| any(r)).collect();
            uniform_axes(&sample).map(|t| quiet(t.p))
        },
        slow: false,
    },
];

/// The true mean poles of two limbs: 40/35 SE and 215/60 NW or so, no limb overturned.
const LIMBS: [Vector3<f64>; 2] = [
    Vector3::new(-0.369, 0.439, 0.819),
    Vector3::new(0.497, -0.709, 0.5),
];

/// Asks of two limbs of so many poles each, wider one way than the other, whether what follows from them holds the truth.
fn limbs(
    n: usize,
    random: &mut Random,
    holds: fn(&TwoMeans<'_>, &[Vector3<f64>; 2]) -> Option<bool>,
) -> Option<bool> {
    let truth = LIMBS.map(|pole| pole.normalize());
    let mut limb = |pole: &Vector3<f64>| {
        let one = pole.cross(&TRUTH).normalize();
        let other = pole.cross(&one);
        let mut draw = || {
            (pole + one * (0.12 * random.normal()) + other * (0.05 * random.normal())).normalize()
        };
        let sample: Vec<_> = (0..n).map(|_| draw()).collect();
        axis_ellipse(&sample, Which::Cluster, 0.95)
    };
    let ellipses = [limb(&truth[0])?, limb(&truth[1])?];
    let means = TwoMeans {
        axes: ellipses.each_ref().map(|e| e.axis.vector()),
        ellipses: [&ellipses[0], &ellipses[1]],
    };
    holds(&means, &truth)
}

fn fold_of(poles: &[Vector3<f64>; 2]) -> Option<Fold> {
    let [one, other] = [
        Plane::from_normal(&poles[0])?,
        Plane::from_normal(&poles[1])?,
    ];
    folds::fold([&one, &other], [Polarity::Unknown; 2])
}

fn interlimb(means: &TwoMeans<'_>, truth: &[Vector3<f64>; 2]) -> Option<bool> {
    let of = |poles: &[Vector3<f64>; 2]| Some(fold_of(poles)?.interlimb_deg);
    let half = means.half_interval_deg(0.95, of)?;
    Some((of(&means.axes)? - of(truth)?).abs() <= half)
}

fn axial_plane(means: &TwoMeans<'_>, truth: &[Vector3<f64>; 2]) -> Option<bool> {
    let of = |poles: &[Vector3<f64>; 2]| Some(fold_of(poles)?.axial_plane.normal());
    Some(means.region(0.95, of)?.holds(&of(truth)?))
}

/// The cone of poles along so much of a small circle around the truth, each off by as much both ways: half angle, scatter and
/// arc in degrees.
fn ring(n: usize, [half, scatter, arc]: [f64; 3], random: &mut Random) -> Option<Cone> {
    let turn = TAU / 360.0;
    let one = Vector3::new(0.8, 0.0, -0.6);
    let other = TRUTH.cross(&one);
    let mut draw = || {
        let (s, c) = (arc * turn * random.uniform()).sin_cos();
        let out = one * c + other * s;
        let (sine, cosine) = (half * turn).sin_cos();
        let pole = out * sine + TRUTH * cosine;
        let across = TRUTH * sine - out * cosine;
        let mut off = || scatter * turn * random.normal();
        let end = pole + across * off() + pole.cross(&across) * off();
        let sign = if random.uniform() < 0.5 { -1.0 } else { 1.0 };
        end.normalize() * sign
    };
    let poles: Vec<_> = (0..n).map(|_| draw()).collect();
    folds::cone(&poles)
}

/// A cone of any half angle from 20 to 70°, scatter from 3 to 10° and arc from 90 to 360°, as even chances, with its half angle.
fn any_ring(n: usize, random: &mut Random) -> Option<(Cone, f64)> {
    let mut from = |low: f64, high: f64| low + (high - low) * random.uniform();
    let (half, scatter, arc) = (from(20.0, 70.0), from(3.0, 10.0), from(90.0, 360.0));
    Some((ring(n, [half, scatter, arc], random)?, half))
}

fn holds_half(cone: &Cone, half_deg: f64) -> Option<bool> {
    let (low, high) = cone.half_angle_95_deg?;
    Some(low <= half_deg && half_deg <= high)
}

fn fold(
    n: usize,
    random: &mut Random,
    ellipse: fn(
        &[Vector3<f64>],
        &mut Random,
    ) -> Option<hingeline::orientation::statistics::Ellipse>,
) -> Option<bool> {
    let poles: Vec<_> = (0..n).map(|_| fold_pole(random)).collect();
    ellipse(&poles, random).map(|e| e.holds(&TRUTH))
}

/// Prints a line for every region and test; fails when one is outside the aim by more than chance explains.
pub(super) fn run(args: &CoverageArgs) -> ExitCode {
    println!("regions and tests of 95 in 100: how often the truth is inside, or the test quiet");
    let mut random = Random::new(args.seed);
    let mut missed = Vec::new();
    for case in CASES {
        let rounds = if case.slow {
            args.rounds / 8
        } else {
            args.rounds
        }
        .max(1);
        let (mut held, mut asked) = (0_u32, 0_u32);
        for _ in 0..rounds {
            if let Some(holds) = (case.round)(case.sample, &mut random) {
                asked += 1;
                held += u32::from(holds);
            }
        }
        let share = 100.0 * f64::from(held) / f64::from(asked.max(1));
        // Three standard deviations of a share of 95 in 100 over so many rounds.
        let margin = 300.0 * (0.95_f64 * 0.05 / f64::from(asked.max(1))).sqrt();
        let ok = AIM.0 - margin <= share && share <= AIM.1 + margin;
        println!(
            "  {:<38} n {:>3}  {share:5.1} in 100 of {asked}{}",
            case.name,
            case.sample,
            if ok { "" } else { "  outside 93–97" }
        );
        if !ok {
            missed.push(case.name);
        }
    }
    if missed.is_empty() {
        println!("all within 93–97, three standard deviations of chance allowed");
        ExitCode::SUCCESS
    } else {
        println!("outside: {}", missed.join(", "));
        ExitCode::FAILURE
    }
}
