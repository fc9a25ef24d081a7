//! What the trials of a simulation come to, slip by slip, and what nobody could have noticed.

use hingeline::orientation::{
    Context, Diagnosis, FrameDials, Noise, Priors, angle::turn_deg, diagnose,
};

use hingeline::orientation::statistics::Random;

use super::chance::best_possible;
use crate::workbench::trial::made::{Class, DECLINATION_DEG, INDEX_WIDTH_DEG, Kind, Made};
use crate::workbench::trial::plain_fit;
use crate::workbench::trial::set_up::{SetUp, Unsteady, deviations, rounded};

/// One slip that was made and what became of it.
#[derive(Clone, Debug)]
pub(super) struct Trial {
    /// How far the slip alone puts the dials out of agreement: the root of the sum of squares that no plane and line can take
    /// away, in standard deviations.
    pub(super) contradiction: f64,
    /// The largest change of a dial, degrees.
    pub(super) change_deg: f64,
    pub(super) noticed: bool,
    pub(super) first: bool,
    pub(super) among_two: bool,
    pub(super) among_three: bool,
    /// An explanation among the first two restores every dial to within three of its standard deviations.
    pub(super) restored: bool,
    /// What was there, for the list of what was missed.
    pub(super) exact: FrameDials,
}

/// Everything about one kind of slip.
#[derive(Clone, Debug)]
pub(super) struct Row {
    pub(super) kind: Kind,
    pub(super) trials: Vec<Trial>,
}

/// Everything about one way of being unsteady.
#[derive(Clone, Debug)]
pub(super) struct Tally {
    pub(super) unsteady: Unsteady,
    /// Clean set-ups, and how many of them were doubted.
    pub(super) clean: usize,
    pub(super) alarms: usize,
    /// Chi-square of the clean ones; all have two degrees of freedom.
    pub(super) chi2: Vec<f64>,
    pub(super) rows: Vec<Row>,
}

impl Tally {
    /// Half the rounds clean, the other half with one slip of every kind in turn.
    pub(super) fn of(random: &mut Random, unsteady: Unsteady, rounds: usize) -> Self {
        let mut tally = Self {
            unsteady,
            clean: 0,
            alarms: 0,
            chi2: Vec::new(),
            rows: Kind::ALL
                .map(|kind| Row {
                    kind,
                    trials: Vec::new(),
                })
                .to_vec(),
        };
        for round in 0..rounds / 2 {
            tally.clean(&SetUp::at_random(random, unsteady));
            let place = round % Kind::ALL.len();
            if let Some(row) = tally.rows.get_mut(place) {
                row.trials.push(slipped(random, unsteady, row.kind));
            }
        }
        tally
    }

    fn clean(&mut self, set_up: &SetUp) {
        let found = diagnosed(&rounded(&set_up.stood), &set_up.noise, false);
        self.clean += 1;
        self.alarms += usize::from(found.doubted);
        self.chi2
            .extend(found.adjusted.map(|adjusted| adjusted.chi2));
    }

    /// Doubted clean set-ups among all clean ones.
    pub(super) fn alarm_rate(&self) -> f64 {
        share(self.alarms, self.clean)
    }

    /// All trials of the slips of a class.
    pub(super) fn of_class(&self, class: Class) -> impl Iterator<Item = &Trial> {
        let rows = self
            .rows
            .iter()
            .filter(move |row| row.kind.class() == class);
        rows.flat_map(|row| &row.trials)
    }
}

/// What a set of trials comes to.
pub(super) struct Summary {
    pub(super) made: usize,
    pub(super) noticed: usize,
    /// How many a test that knows the slip and raises one false alarm in a hundred would notice on average.
    possible: f64,
    pub(super) first: usize,
    pub(super) among_two: usize,
    pub(super) among_three: usize,
    pub(super) restored: usize,
}

impl Summary {
    pub(super) fn of<'a>(trials: impl Iterator<Item = &'a Trial>) -> Self {
        let mut out = Self {
            made: 0,
            noticed: 0,
            possible: 0.0,
            first: 0,
            among_two: 0,
            among_three: 0,
            restored: 0,
        };
        for trial in trials {
            out.made += 1;
            out.possible += best_possible(trial.contradiction);
            if trial.noticed {
                out.noticed += 1;
                out.first += usize::from(trial.first);
                out.among_two += usize::from(trial.among_two);
                out.among_three += usize::from(trial.among_three);
                out.restored += usize::from(trial.restored);
            }
        }
        out
    }

    pub(super) fn noticed(&self) -> f64 {
        share(self.noticed, self.made)
    }

    pub(super) fn possible(&self) -> f64 {
        if self.made == 0 {
            return 0.0;
        }
        // Exact: a simulation of 2^53 rounds is not run.
        self.possible / self.made as f64
    }
}

/// One set-up with one slip of a kind; drawn again where the slip cannot be made on its dials.
fn slipped(random: &mut Random, unsteady: Unsteady, kind: Kind) -> Trial {
    loop {
        let set_up = SetUp::at_random(random, unsteady);
        if let Some(made) = Made::at_random(random, kind, &set_up.stood) {
            return trial(&set_up, kind, &made);
        }
    }
}

fn trial(set_up: &SetUp, kind: Kind, made: &Made) -> Trial {
    let read = rounded(&made.apply(&set_up.stood));
    let found = diagnosed(&read, &set_up.noise, kind.needs_quadrants());
    let names = |place: usize| {
        found.explanations.get(place).is_some_and(|explanation| {
            let mut slips = std::iter::once(&explanation.slip).chain(&explanation.with);
            slips.any(|slip| made.is_named_by(*slip))
        })
    };
    let meant = rounded(&set_up.stood);
    let restores = |place: usize| {
        found
            .explanations
            .get(place)
            .is_some_and(|explanation| same_dials(&explanation.corrected, &meant, &set_up.noise))
    };
    let change_deg = changes(&set_up.exact, &made.apply(&set_up.exact))
        .into_iter()
        .fold(0.0, f64::max);
    Trial {
        contradiction: contradiction(set_up, made),
        change_deg,
        noticed: found.doubted,
        first: names(0),
        among_two: names(0) || names(1),
        among_three: (0..3).any(names),
        restored: restores(0) || restores(1),
        exact: set_up.exact,
    }
}

fn diagnosed(read: &FrameDials, noise: &Noise, quadrant_card: bool) -> Diagnosis {
    let context = Context {
        declination_deg: Some(DECLINATION_DEG),
        quadrant_card,
        index_width_deg: Some(INDEX_WIDTH_DEG),
        priors: &Priors::USUAL,
        ..Context::new(noise)
    };
    diagnose(read, &context)
}

/// How much each dial was changed, degrees.
fn changes(before: &FrameDials, after: &FrameDials) -> Vec<f64> {
    plain_fit::dials(before)
        .into_iter()
        .zip(plain_fit::dials(after))
        .filter_map(|(before, after)| Some(turn_deg(before?, after?).abs()))
        .collect()
}

/// The slip alone, without noise, fitted the plain way from the likeliest of many starts: what is left is what contradicts.
fn contradiction(set_up: &SetUp, made: &Made) -> f64 {
    let exact = &set_up.exact;
    let slipped = made.apply(exact);
    let read = plain_fit::dials(&slipped);
    let sds = deviations(exact, &set_up.noise);
    let mut starts = Vec::new();
    for dials in [exact, &slipped] {
        let of = |deg: Option<f64>| deg.unwrap_or(0.0);
        let (strike, dip, rake) = (of(dials.strike_deg), of(dials.dip_deg), of(dials.rake_deg));
        for (strike, dip, rake) in [
            (strike, dip, rake),
            (strike + 180.0, dip, rake),
            (strike, dip, 180.0 - rake),
            (strike + 180.0, dip, 180.0 - rake),
            (strike, 90.0 - dip, rake),
            (of(dials.trend_deg) - rake, dip, rake),
            (of(dials.trend_deg) + rake, dip, 180.0 - rake),
        ] {
            starts.push(plain_fit::frame(strike, dip, rake));
        }
    }
    starts.sort_by(|a, b| {
        let before = |start| plain_fit::sum(start, &read, &sds);
        before(a).total_cmp(&before(b))
    });
    starts.truncate(4);
    plain_fit::smallest(&starts, &read, &sds).sqrt()
}

/// Whether two sets of dials agree to within three deviations each; a strike line or a line has two ends only where it is level,
/// which three deviations allow for.
fn same_dials(one: &FrameDials, other: &FrameDials, noise: &Noise) -> bool {
    let sds = deviations(other, noise);
    plain_fit::dials(one)
        .into_iter()
        .zip(plain_fit::dials(other))
        .zip(sds)
        .all(|((one, other), sd)| match (one, other) {
            (Some(one), Some(other)) => turn_deg(one, other).abs() <= 3.0 * sd,
            (None, None) => true,
            _ => false,
        })
}

/// The share of a count, 0 where nothing was counted.
pub(super) fn share(part: usize, whole: usize) -> f64 {
    if whole == 0 {
        return 0.0;
    }
    // Exact: a simulation of 2^53 rounds is not run.
    part as f64 / whole as f64
}
