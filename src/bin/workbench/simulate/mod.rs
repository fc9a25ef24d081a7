//! `workbench simulate`: how well the diagnosis does on set-ups made at random, beside what could be done at best.

mod chance;

mod report;

mod tally;

use clap::ValueEnum;
use hingeline::orientation::statistics::Random;

use super::trial::made::Class;
use super::trial::set_up::Unsteady;
use chance::{Kolmogorov, kolmogorov};
use tally::{Summary, Tally, Trial, share};

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
const PLAIN: f64 = 5.0;

/// The least share of plain contradictions that is to be noticed.
const PLAIN_NOTICED: f64 = 0.99;

/// As much less than what is possible at best counts as all that can be seen.
const NEARLY: f64 = 0.02;

/// How an aim came out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Outcome {
    Met,
    /// Short of the aim, but not of what any test could see in these dials.
    AllThereIs,
    Missed,
}

/// One aim and what came of it.
#[derive(Clone, Debug)]
struct Aim {
    what: String,
    found: f64,
    wanted: f64,
    /// What is possible at best, where that is known.
    possible: Option<f64>,
    outcome: Outcome,
}

impl Aim {
    fn at_least(what: String, found: f64, wanted: f64, possible: Option<f64>) -> Self {
        let outcome = if found >= wanted {
            Outcome::Met
        } else if possible.is_some_and(|possible| possible < wanted && found >= possible - NEARLY) {
            Outcome::AllThereIs
        } else {
            Outcome::Missed
        };
        Self {
            what,
            found,
            wanted,
            possible,
            outcome,
        }
    }
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
        aims.push(Aim::at_least(
            "chi-square of clean set-ups follows its distribution: p".to_owned(),
            fit.p,
            LEAST_P,
            None,
        ));
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
        possible: None,
        outcome: if alarms <= ALARMS {
            Outcome::Met
        } else {
            Outcome::Missed
        },
    }];
    for (class, words) in [
        (Class::Reversal, "reversals"),
        (Class::Complement, "complements"),
        (Class::RakeEnd, "rakes from the other end"),
        (Class::EastWest, "east and west exchanged"),
    ] {
        let sum = Summary::of(tally.of_class(class));
        aims.push(Aim::at_least(
            format!("{name}: {words} noticed"),
            sum.noticed(),
            NOTICED,
            Some(sum.possible()),
        ));
        aims.push(Aim::at_least(
            format!("{name}: {words}, the slip among the first two"),
            share(sum.among_two, sum.noticed),
            NOTICED,
            None,
        ));
    }
    let plain = visible(tally).filter(|trial| trial.contradiction >= PLAIN);
    aims.push(Aim::at_least(
        format!("{name}: slips noticed that contradict by {PLAIN} deviations or more"),
        Summary::of(plain).noticed(),
        PLAIN_NOTICED,
        None,
    ));
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
        .filter(|aim| aim.outcome == Outcome::Missed)
        .map(|aim| aim.what.as_str())
        .collect();
    if missed.is_empty() {
        Ok(())
    } else {
        Err(format!("aims missed: {}", missed.join("; ")))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// As many as chance makes of so many at a rate, three standard deviations allowed.
    fn at_most(count: usize, rate: f64) -> f64 {
        let count = count as f64;
        count * rate + 3.0 * (count * rate * (1.0 - rate)).sqrt()
    }

    /// The aims of `workbench simulate` on few set-ups: chance is allowed three standard deviations of the binomial distribution,
    /// which the full command, with its thousands, does not need.
    #[test]
    fn the_aims_hold_on_a_short_run() {
        let tally = Tally::of(&mut Random::new(5), Unsteady::AsAssumed, 640);
        assert_eq!(tally.clean, 320);
        assert!(
            tally.alarms as f64 <= at_most(tally.clean, ALARMS),
            "{} false alarms",
            tally.alarms
        );
        // A sample of 320 is drawn once in a thousand from a distribution that looks like this one's neighbour.
        let fit = kolmogorov(tally.chi2.clone());
        assert!(fit.p > 0.001, "{fit:?}");
        for class in [
            Class::Reversal,
            Class::Complement,
            Class::RakeEnd,
            Class::EastWest,
        ] {
            let sum = Summary::of(tally.of_class(class));
            let wanted = NOTICED.min(sum.possible() - NEARLY);
            let missed = sum.made - sum.noticed;
            assert!(
                missed as f64 <= at_most(sum.made, 1.0 - wanted),
                "{class:?}: {missed} of {} missed, possible {}",
                sum.made,
                sum.possible()
            );
            let unnamed = sum.noticed - sum.among_two;
            assert!(
                unnamed as f64 <= at_most(sum.noticed, 1.0 - NOTICED),
                "{class:?}: {unnamed} of {} not named",
                sum.noticed
            );
        }
        let plain = visible(&tally).filter(|trial| trial.contradiction >= PLAIN);
        let sum = Summary::of(plain);
        assert!(sum.made > 100, "{}", sum.made);
        assert!((sum.made - sum.noticed) as f64 <= at_most(sum.made, 1.0 - PLAIN_NOTICED));
        // What turns all dials alike contradicts nothing, so that no doubt can come of it.
        for trial in tally.of_class(Class::Invisible) {
            assert!(trial.contradiction < 1e-3, "{trial:?}");
        }
    }

    #[test]
    fn the_same_seed_gives_the_same_report() {
        let text = || report::text(&Findings::of(3, 42));
        let first = text();
        assert_eq!(first, text());
        for part in [
            "false alarms",
            "strike-end",
            "aims",
            "possible",
            "Kolmogorov",
        ] {
            assert!(first.contains(part), "{part} is missing from:\n{first}");
        }
    }

    #[test]
    fn an_aim_beyond_what_can_be_seen_is_told_from_one_that_is_missed() {
        let outcome = |found, possible| Aim::at_least(String::new(), found, 0.9, possible).outcome;
        assert_eq!(outcome(0.91, None), Outcome::Met);
        assert_eq!(outcome(0.89, None), Outcome::Missed);
        assert_eq!(outcome(0.86, Some(0.87)), Outcome::AllThereIs);
        assert_eq!(outcome(0.84, Some(0.87)), Outcome::Missed);
        assert_eq!(outcome(0.89, Some(0.95)), Outcome::Missed);
    }
}
