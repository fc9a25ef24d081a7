//! `workbench camp-trial`: camps by lot, each with an evening in which everything must come together and nothing may be missing.

use std::process::ExitCode;
use std::sync::atomic::{AtomicU64, Ordering};

use clap::Args;

use super::trial::tablets::{Camp, Happened};

/// How many camps, and where chance begins.
#[derive(Args)]
pub(super) struct CampTrialArgs {
    /// How many camps meet
    #[arg(long, default_value_t = 10_000)]
    rounds: u64,
    /// Where chance begins; each camp takes the next number, so that `--rounds 1 --seed N` tries the camp of N again
    #[arg(long, default_value_t = 47)]
    seed: u64,
}

/// Says how far it has come every so many camps.
const SAY_EVERY: u64 = 500;

/// The seed of the camp that meets now: a panic names it.
static MEETS: AtomicU64 = AtomicU64::new(0);

pub(super) fn run(args: &CampTrialArgs) -> ExitCode {
    let usual = std::panic::take_hook();
    std::panic::set_hook(Box::new(move |info| {
        println!(
            "the camp of seed {} ended in a panic",
            MEETS.load(Ordering::Relaxed)
        );
        usual(info);
    }));
    let mut happened = Happened::default();
    let mut failed = 0_u64;
    for round in 0..args.rounds {
        let seed = args.seed.wrapping_add(round);
        MEETS.store(seed, Ordering::Relaxed);
        let mut camp = Camp::by_lot(seed);
        if let Err(why) = camp.evening() {
            failed += 1;
            println!("the camp of seed {seed}: {why}");
        }
        happened.add(&camp.happened);
        if (round + 1) % SAY_EVERY == 0 {
            eprintln!("  {} of {} camps, {failed} failed", round + 1, args.rounds);
        }
    }
    println!("{}", report(args, &happened));
    if failed == 0 {
        println!(
            "all came together: the same bytes on every tablet, no entry and no photo missing"
        );
        ExitCode::SUCCESS
    } else {
        println!("{failed} of {} camps did not come together", args.rounds);
        ExitCode::FAILURE
    }
}

fn report(args: &CampTrialArgs, happened: &Happened) -> String {
    let Happened {
        entries,
        photos,
        refused,
        reconnected,
        restarts,
        opened,
        damaged,
        turned_away,
        clones,
        jumps,
        settled,
        namesakes,
    } = happened;
    format!(
        "{} camps from seed {}: {entries} entries and {photos} photos made; {opened} files joined; {damaged} files damaged, \
         damage noticed {turned_away} times; {refused} commits refused at a row, {reconnected} cut off once, {restarts} starts \
         from the storage; {clones} names shared by two histories, {jumps} jumps of clocks, {settled} doubts settled in one step each, \
         {namesakes} numbers that stood twice given anew",
        args.rounds, args.seed
    )
}
