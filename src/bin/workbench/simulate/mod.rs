//! `workbench simulate`: how well the diagnosis does on set-ups made at random, beside what could be done at best.

mod chance;

mod report;

mod tally;

use clap::ValueEnum;
use hingeline::orientation::statistics::Random;

use super::trial::made::Class;
use super::trial::set_up::Unsteady;
use chance::{Kolmogorov, best_possible, kolmogorov};
use tally::{Tally, Trial, share};

/// How the report is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(super) enum Format {
    /// For reading
    Text,
    /// One JSON object
    Json,
}

/// The largest share of clean set-ups that may be doubted.
const ALARMS: f64 = 0.01;

/// The least share of slips that is to be noticed, and of those noticed whose slip is to stand among the first two.
const NOTICED: f64 = 0.90;

/// Below this the chi-square of clean set-ups does not follow its distribution.
const LEAST_P: f64 = 0.01;

/// From so many standard deviations on a contradiction is there for everybody to see.
const PLAIN: f64 = 7.0;

/// The least share of plain contradictions that is to be noticed.
const PLAIN_NOTICED: f64 = 0.99;

/// One aim and what came of it.
#[derive(Clone, Debug)]
struct Aim {
    what: String,
    found: f64,
    wanted: f64,
    met: bool,
}

/// Everything a simulation found.
struct Findings {
    seed: u64,
    rounds: usize,
    tallies: Vec<Tally>,
    fit: Kolmogorov,
    aims: Vec<Aim>,
}

impl Findings {
    fn of(seed: u64, rounds: usize) -> Self {
        let mut random = Random::new(seed);
        let tallies: Vec<Tally> = Unsteady::ALL
            .into_iter()
            .map(|unsteady| Tally::of(&mut random, unsteady, rounds))
            .collect();
        let assumed = tallies
            .iter()
            .find(|tally| tally.unsteady == Unsteady::AsAssumed);
        let fit = kolmogorov(assumed.map_or_else(Vec::new, |tally| tally.chi2.clone()));
        let mut aims: Vec<Aim> = tallies
            .iter()
            .filter(|tally| tally.unsteady != Unsteady::FromTheLineFound)
            .flat_map(aims)
            .collect();
        aims.push(Aim {
            what: "chi-square of clean set-ups follows its distribution: p".to_owned(),
            found: fit.p,
            wanted: LEAST_P,
            met: fit.p >= LEAST_P,
        });
        Self {
            seed,
            rounds,
            tallies,
            fit,
            aims,
        }
    }
}

fn aims(tally: &Tally) -> Vec<Aim> {
    let name = tally.unsteady.name();
    let alarms = tally.alarm_rate();
    let mut aims = vec![Aim {
        what: format!("{name}: clean set-ups doubted, at most"),
        found: alarms,
        wanted: ALARMS,
        met: alarms <= ALARMS,
    }];
    let mut at_least = |what: String, found: f64, wanted: f64| {
        aims.push(Aim {
            what,
            found,
            wanted,
            met: found >= wanted,
        });
    };
    for (class, words) in [
        (Class::Reversal, "reversals"),
        (Class::Complement, "complements"),
        (Class::RakeEnd, "rakes from the other end"),
        (Class::EastWest, "east and west exchanged"),
    ] {
        let made = tally.of_class(class).count();
        let noticed = tally.of_class(class).filter(|trial| trial.noticed).count();
        let named = tally
            .of_class(class)
            .filter(|trial| trial.noticed && trial.among_two)
            .count();
        at_least(
            format!("{name}: {words} noticed"),
            share(noticed, made),
            NOTICED,
        );
        at_least(
            format!("{name}: {words} among the first two"),
            share(named, noticed),
            NOTICED,
        );
    }
    let plain = || visible(tally).filter(|trial| trial.contradiction >= PLAIN);
    at_least(
        format!("{name}: slips noticed that contradict by {PLAIN} deviations or more"),
        share(
            plain().filter(|trial| trial.noticed).count(),
            plain().count(),
        ),
        PLAIN_NOTICED,
    );
    aims
}

/// All trials but those of slips that contradict nothing.
fn visible(tally: &Tally) -> impl Iterator<Item = &Trial> {
    let rows = tally.rows.iter();
    rows.filter(|row| row.kind.class() != Class::Invisible)
        .flat_map(|row| &row.trials)
}

/// Runs the simulation, prints the report, and fails where an aim is missed.
pub(super) fn simulate(seed: u64, rounds: usize, format: Format) -> Result<(), String> {
    let findings = Findings::of(seed, rounds);
    match format {
        Format::Text => print!("{}", report::text(&findings)),
        Format::Json => println!("{}", report::json(&findings)),
    }
    let missed: Vec<&str> = findings
        .aims
        .iter()
        .filter(|aim| !aim.met)
        .map(|aim| aim.what.as_str())
        .collect();
    if missed.is_empty() {
        Ok(())
    } else {
        Err(format!("aims missed: {}", missed.join("; ")))
    }
}
