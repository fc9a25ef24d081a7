//! The command line itself: its subcommands, and what they share.

use std::io;
use std::process::ExitCode;

use clap::{Parser, Subcommand, ValueEnum};

use crate::changes::{self, ChangesArgs};
use crate::check::{self, CheckArgs};
use crate::declination::{self, DeclinationArgs};
use crate::doctor::{self, DoctorArgs};
use crate::figures::{self, FiguresArgs};
use crate::hand_over::{self, HandOverArgs};
use crate::import::{self, ImportArgs};
use crate::join::{self, JoinArgs};
use crate::read::{self, ReadArgs};
use crate::reckon::{self, ReckonArgs};
use crate::show::{self, ShowArgs};

/// Exit code when at least one doubt was raised.
pub(crate) const DOUBTS: u8 = 1;
/// Exit code when the command was misused or could not write its answer; the same as for unknown options.
pub(crate) const MISUSE: u8 = 2;

/// The camp's command line of a field book.
#[derive(Parser)]
#[command(
    name = "camp",
    version,
    about = "The camp's command line of a field book of planes and lines",
    after_help = "Examples:\n  camp read 045/30SE '12→240'\n  camp check book.json\n  camp declination 63.6 -19.6\n  camp join monday/*.json -o camp.json\n  camp changes camp.json --beyond monday.json -o tuesday.json\n  camp show camp.json\n  camp hand-over book.json --format geojson -o book.geojson\n  camp import outcrops.csv -o outcrops.json\n  camp check --help",
    subcommand_required = true,
    arg_required_else_help = true
)]
struct Camp {
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand)]
enum Command {
    /// Say what each text stands for, in every notation, with its doubts
    Read(ReadArgs),
    /// Say how far magnetic north is from true north, at a place on a day
    Declination(DeclinationArgs),
    /// Print the doubts of book files and of tables of dials
    Check(CheckArgs),
    /// Join many books into one, and say what was new, the same, and changed by two
    Join(JoinArgs),
    /// Write what is new in a book beyond others: a small file that joins like a book
    Changes(ChangesArgs),
    /// Say whether book files are whole, and every fault of one that is not
    Doctor(DoctorArgs),
    /// Show a book as readable text
    Show(ShowArgs),
    /// Reckon with planes and lines: poles, intersections, apparent dips, rotations, thickness
    Reckon(ReckonArgs),
    /// Print the figures of a book or a table: means, fabric, folds, sets, azimuths; and draw its net
    Figures(FiguresArgs),
    /// Hand books over as GeoJSON, CSV, KML, GPX or GeoPackage, saying how many of each
    HandOver(HandOverArgs),
    /// Bring a table of readings (CSV) into a book, saying what each column is taken for and what is doubted
    Import(ImportArgs),
}

/// How an answer is written.
#[derive(Clone, Copy, ValueEnum)]
pub(crate) enum Format {
    /// For reading
    Text,
    /// One JSON object a line, in degrees; --help shows its fields
    Json,
}

pub(crate) fn run() -> ExitCode {
    let done = match Camp::parse().command {
        Command::Read(args) => read::read(&args),
        Command::Declination(args) => declination::declination(&args),
        Command::Check(args) => check::check(&args),
        Command::Doctor(args) => doctor::doctor(&args),
        Command::Show(args) => show::show(&args),
        Command::Join(args) => join::join(&args),
        Command::Changes(args) => changes::changes(&args),
        Command::Reckon(args) => reckon::reckon(&args),
        Command::Figures(args) => figures::run(&args),
        Command::HandOver(args) => hand_over::hand_over(&args),
        Command::Import(args) => import::import(&args),
    };
    match done {
        Ok(code) => ExitCode::from(code),
        // Whoever read the answer has gone, as `head` does: nothing is wrong.
        Err(e) if e.kind() == io::ErrorKind::BrokenPipe => ExitCode::SUCCESS,
        Err(e) => {
            eprintln!("the answer could not be written: {e}");
            ExitCode::from(MISUSE)
        }
    }
}
