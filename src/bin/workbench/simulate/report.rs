//! The report of a simulation, in words or as JSON.

use std::fmt::{self, Write};

use hingeline::orientation::FrameDials;
use serde_json::{Value, json};

use super::tally::{Row, Summary, Tally, Trial, share};
use super::{Findings, Outcome, visible};
use crate::workbench::trial::made::Class;

/// The steps by which contradictions are counted, in standard deviations.
const STEPS: [(f64, f64); 8] = [
    (0.0, 1.0),
    (1.0, 2.0),
    (2.0, 3.0),
    (3.0, 4.0),
    (4.0, 5.0),
    (5.0, 7.0),
    (7.0, 10.0),
    (10.0, f64::INFINITY),
];

/// So many of the plainest missed slips are written out.
const WRITTEN_OUT: usize = 12;

fn percent(share: f64) -> String {
    format!("{:.1}", 100.0 * share)
}

/// The middle one of some numbers; none where there are none.
fn median(mut numbers: Vec<f64>) -> Option<f64> {
    numbers.sort_by(f64::total_cmp);
    numbers.get(numbers.len() / 2).copied()
}

pub(super) fn text(findings: &Findings) -> String {
    let mut out = String::new();
    // Writing into a text cannot fail.
    let _ = write_text(&mut out, findings);
    out
}

fn write_text(out: &mut String, findings: &Findings) -> fmt::Result {
    writeln!(
        out,
        "seed {}, {} set-ups of five dials each way, in whole degrees, every attitude alike, half of them clean",
        findings.seed, findings.rounds
    )?;
    for tally in &findings.tallies {
        write_tally(out, tally)?;
    }
    writeln!(
        out,
        "\nchi-square of the clean, as assumed, against two degrees of freedom (Kolmogorov and Smirnov): D {:.4}, p {:.3}",
        findings.fit.d, findings.fit.p
    )?;
    writeln!(out, "\naims")?;
    for aim in &findings.aims {
        write!(
            out,
            "  {:<14}{:<72}{:>8.4} of {}",
            match aim.outcome {
                Outcome::Met => "met",
                Outcome::AllThereIs => "all there is",
                Outcome::Missed => "MISSED",
            },
            aim.what,
            aim.found,
            aim.wanted
        )?;
        match aim.possible {
            Some(possible) => writeln!(out, ", possible {possible:.4}")?,
            None => writeln!(out)?,
        }
    }
    Ok(())
}

fn write_tally(out: &mut String, tally: &Tally) -> fmt::Result {
    writeln!(
        out,
        "\n{}: {}",
        tally.unsteady.name(),
        tally.unsteady.words()
    )?;
    writeln!(
        out,
        "  false alarms: {} of {} clean, {} in 100",
        tally.alarms,
        tally.clean,
        format_args!("{:.2}", 100.0 * tally.alarm_rate())
    )?;
    writeln!(
        out,
        "\n  in 100                   made  noticed  possible | of the noticed: first  of two  of three  restored"
    )?;
    for row in &tally.rows {
        let sum = Summary::of(row.trials.iter());
        let of_noticed = |count: usize| {
            if sum.noticed == 0 {
                "-".to_owned()
            } else {
                percent(share(count, sum.noticed))
            }
        };
        writeln!(
            out,
            "  {:<22}{:>7}  {:>7}  {:>8} | {:>21}  {:>6}  {:>8}  {:>8}{}",
            row.kind.name(),
            sum.made,
            percent(sum.noticed()),
            percent(sum.possible()),
            of_noticed(sum.first),
            of_noticed(sum.among_two),
            of_noticed(sum.among_three),
            of_noticed(sum.restored),
            if row.kind.class() == Class::Invisible {
                "  (turns all dials alike: contradicts nothing)"
            } else {
                ""
            }
        )?;
    }
    writeln!(
        out,
        "  possible: by a test that takes the same noise, knows which slip to look for and raises one false alarm in 100"
    )?;
    write_steps(out, tally)?;
    write_missed(out, tally)
}

/// What is missed by how far it puts the dials out of agreement.
fn write_steps(out: &mut String, tally: &Tally) -> fmt::Result {
    writeln!(
        out,
        "\n  contradiction, deviations   made  noticed  possible | missed: by a change of (median, deg)"
    )?;
    for (from, to) in STEPS {
        let within = || {
            visible(tally)
                .filter(move |trial| from <= trial.contradiction && trial.contradiction < to)
        };
        let sum = Summary::of(within());
        if sum.made == 0 {
            continue;
        }
        let missed: Vec<f64> = within()
            .filter(|trial| !trial.noticed)
            .map(|trial| trial.change_deg)
            .collect();
        let count = missed.len();
        let step = if to.is_finite() {
            format!("{from} to {to}")
        } else {
            format!("over {from}")
        };
        writeln!(
            out,
            "  {step:<24}{:>8}  {:>7}  {:>8} | {:>6}{}",
            sum.made,
            percent(sum.noticed()),
            percent(sum.possible()),
            count,
            median(missed).map_or_else(String::new, |median| format!(" by {median:.0}"))
        )?;
    }
    Ok(())
}

/// The plainest of the slips that were missed, among those with an aim.
fn write_missed(out: &mut String, tally: &Tally) -> fmt::Result {
    let mut missed = missed(tally);
    if missed.is_empty() {
        return Ok(());
    }
    let aimed = |row: &&(&Row, &Trial)| row.0.kind.class() != Class::Other;
    let all = missed.iter().filter(aimed).count();
    missed.retain(|row| row.0.kind.class() != Class::Other);
    missed.truncate(WRITTEN_OUT);
    writeln!(
        out,
        "\n  missed among the slips with an aim: {all}; the plainest, by contradiction in deviations"
    )?;
    for (row, trial) in missed {
        writeln!(
            out,
            "  {:<22}{:>6.1}  changes a dial by {:>3.0} deg at {}",
            row.kind.name(),
            trial.contradiction,
            trial.change_deg,
            written(&trial.exact)
        )?;
    }
    Ok(())
}

/// Missed slips that are not invisible, the plainest first.
fn missed(tally: &Tally) -> Vec<(&Row, &Trial)> {
    let mut missed: Vec<(&Row, &Trial)> = tally
        .rows
        .iter()
        .filter(|row| row.kind.class() != Class::Invisible)
        .flat_map(|row| row.trials.iter().map(move |trial| (row, trial)))
        .filter(|(_, trial)| !trial.noticed)
        .collect();
    missed.sort_by(|a, b| b.1.contradiction.total_cmp(&a.1.contradiction));
    missed
}

fn written(dials: &FrameDials) -> String {
    let number = |deg: Option<f64>, cells: usize| {
        deg.map_or_else(|| "-".to_owned(), |deg| format!("{deg:0cells$.0}"))
    };
    format!(
        "{}/{} with {}→{} at rake {}",
        number(dials.strike_deg, 3),
        number(dials.dip_deg, 2),
        number(dials.plunge_deg, 2),
        number(dials.trend_deg, 3),
        number(dials.rake_deg, 3)
    )
}

pub(super) fn json(findings: &Findings) -> Value {
    json!({
        "seed": findings.seed,
        "rounds": findings.rounds,
        "chi2_of_clean": {"d": findings.fit.d, "p": findings.fit.p, "dof": 2},
        "ways": findings.tallies.iter().map(|tally| json!({
            "name": tally.unsteady.name(),
            "what": tally.unsteady.words(),
            "clean": tally.clean,
            "false_alarms": tally.alarms,
            "slips": tally.rows.iter().map(|row| {
                let sum = Summary::of(row.trials.iter());
                json!({
                    "slip": row.kind.name(),
                    "made": sum.made,
                    "noticed": sum.noticed,
                    "possible": sum.possible(),
                    "named_first": sum.first,
                    "named_among_two": sum.among_two,
                    "named_among_three": sum.among_three,
                    "restored_among_two": sum.restored,
                    "contradicts": row.kind.class() != Class::Invisible,
                })
            }).collect::<Vec<_>>(),
            "missed": missed(tally).iter().map(|(row, trial)| json!({
                "slip": row.kind.name(),
                "contradiction": trial.contradiction,
                "change_deg": trial.change_deg,
                "at": written(&trial.exact),
            })).collect::<Vec<_>>(),
        })).collect::<Vec<_>>(),
        "aims": findings.aims.iter().map(|aim| json!({
            "what": aim.what,
            "found": aim.found,
            "wanted": aim.wanted,
            "possible": aim.possible,
            "outcome": match aim.outcome {
                Outcome::Met => "met",
                Outcome::AllThereIs => "all-there-is",
                Outcome::Missed => "missed",
            },
        })).collect::<Vec<_>>(),
    })
}
