//! What each command does, and how they share a child process and the root of the repository.

mod tools;

mod build;

mod precache;

mod host;

mod debian;

mod browser;

mod readers;

mod tally;

mod demo;

mod verify;

mod weigh;

mod coverage;

mod trial;

mod simulate;

mod bench;

mod camp_trial;

mod books;

mod fuzz;

use std::{
    ffi::OsString,
    path::{Path, PathBuf},
    process::{Command, ExitCode},
};

use clap::{Parser, Subcommand};

/// The developer's commands of Hingeline.
///
/// The two that matter have short names: `cargo serve` runs the app, `cargo verify` passes every test.
/// Each does all its own set-up; the first time that takes some minutes, and they say what they are doing.
#[derive(Parser)]
#[command(name = "workbench", version, max_term_width = 100, after_help = AFTER)]
struct Workbench {
    #[command(subcommand)]
    command: Task,
}

const AFTER: &str = "\
Environment:
  HINGELINE_TOOLS  where the build tools are kept (default: a folder `hingeline` in the system's cache folder)
  CHROME           the Chromium that the browser tests drive (default: looked for on PATH)
  CHROMEDRIVER     the chromedriver that belongs to it (default: looked for on PATH)
  CI               when set, a part that would be skipped is a failure

Exit code: 0 done, 1 something failed, 2 misuse of the command line.";

#[derive(Subcommand)]
enum Task {
    /// Build the release app, serve it on this machine and print its address (`cargo serve`)
    Serve {
        /// The port to listen on; 0 takes any free one
        #[arg(long, default_value_t = 8045)]
        port: u16,
        /// Do not open a browser window
        #[arg(long)]
        no_open: bool,
    },
    /// Check everything: formatting, lints, native tests, release build, browser tests (`cargo verify`)
    ///
    /// Stops at the first step that fails, prints what each step took, and ends with the count of tests passed.
    Verify,
    /// Print what a first visit weighs and, with a browser, how long it takes
    Weigh {
        /// Weigh this build instead of making a new one
        #[arg(long, value_name = "DIR")]
        dist: Option<PathBuf>,
        /// Leave out the times, which need a browser
        #[arg(long)]
        sizes_only: bool,
    },
    /// Build the app into a folder that any static web server can serve
    Build {
        /// Where the build goes
        #[arg(long, value_name = "DIR", default_value = "dist")]
        dist: PathBuf,
        /// A debug build: quicker to make, large, and without offline start
        #[arg(long)]
        debug: bool,
    },
    /// Serve a folder as it stands, on this machine only
    ///
    /// The first line printed is the address.
    /// A path without an extension that names no file is answered with index.html when a page is asked for.
    Host {
        /// The folder to serve
        dir: PathBuf,
        /// The port to listen on; 0 takes any free one
        #[arg(long, default_value_t = 0)]
        port: u16,
    },
    /// Write sw.js, with the names and the version of the files beside it
    ///
    /// trunk runs this after each build.
    /// By hand, with --dir, it renews sw.js after a file of a build was changed.
    Precache {
        /// The build to read (default: the one trunk is making)
        #[arg(long, value_name = "DIR")]
        dir: Option<PathBuf>,
    },
    /// Print how often every region of confidence holds the truth, by simulation
    ///
    /// Fails when a region of 95 in 100 holds fewer than 93 or more than 97, three standard deviations of chance allowed.
    Coverage(coverage::CoverageArgs),
    /// Write the demo book, public/demo.json, anew
    Demo,
    /// Try the diagnosis on set-ups made at random, and say what it notices and names, and what nobody could
    ///
    /// Quicker as `cargo run -q --release --bin workbench -- simulate`.
    /// The same seed gives the same report.
    /// The exit code is 1 where an aim is missed; the last lines say which.
    Simulate {
        /// Where chance begins
        #[arg(long, default_value_t = 47)]
        seed: u64,
        /// How many set-ups are made each way, half of them clean
        #[arg(long, default_value_t = 8_000)]
        rounds: usize,
        /// How the report is written
        #[arg(long, value_enum, default_value_t = simulate::Format::Text)]
        format: simulate::Format,
    },
    /// Let camps of up to eight tablets meet by lot, and hold what each then knows against all others
    ///
    /// The people write, photograph, change, strike out, undo, settle and tie; storage refuses rows and is copied, clocks jump, files
    /// come in parts, damaged and twice.
    /// In the evening all must write the same bytes, and no entry and no photo may be missing.
    /// Quicker as `cargo run -q --release --bin workbench -- camp-trial`; the exit code is 1 where one camp fails, and its seed is named.
    CampTrial(camp_trial::CampTrialArgs),
    /// Time the inner work, each task beside the plain way to the same
    ///
    /// To be run as `cargo run -q --release --bin workbench -- bench`: it times the build it is.
    /// After that it builds it for WebAssembly and runs that in node.
    Bench {
        /// The parts to time (default: all)
        #[arg(value_enum)]
        parts: Vec<bench::Part>,
        /// Leave out WebAssembly and the browser
        #[arg(long)]
        native_only: bool,
        /// Draw the net with this build of the app instead of making a new one
        #[arg(long, value_name = "DIR")]
        dist: Option<PathBuf>,
    },
    /// Throw inputs at what is read from outside, guided by the code they reach, and keep what breaks it
    ///
    /// What has to hold of every input stands in tests/fuzz/targets.
    /// What is found stays in tests/data/fuzz, and `cargo test --test fuzz` tries it again for ever.
    /// The first run builds the fuzzer, some minutes; each run goes on where the last one stopped.
    Fuzz(fuzz::FuzzArgs),
    /// Write large books that many tablets wrote, to try `camp join` on
    #[command(hide = true)]
    Books(books::BooksArgs),
    /// Install the build tools and stop
    Tools,
}

/// Reads the command line and does it.
pub(crate) fn main() -> ExitCode {
    let done = match Workbench::parse().command {
        Task::Serve { port, no_open } => build::serve(port, !no_open),
        Task::Verify => return verify::verify(),
        Task::Weigh { dist, sizes_only } => weigh::weigh(dist, sizes_only),
        Task::Build { dist, debug } => build::build(&dist, debug),
        Task::Host { dir, port } => {
            host::listen(port).and_then(|server| host::serve(server, &dir, |_| ()))
        }
        Task::Precache { dir } => precache::precache(dir),
        Task::Coverage(args) => return coverage::run(&args),
        Task::Demo => demo::run(),
        Task::Simulate {
            seed,
            rounds,
            format,
        } => simulate::simulate(seed, rounds, format),
        Task::CampTrial(args) => return camp_trial::run(&args),
        Task::Bench {
            parts,
            native_only,
            dist,
        } => bench::bench(&parts, native_only, dist.as_deref()),
        Task::Fuzz(args) => fuzz::fuzz(&args),
        Task::Books(args) => books::write(&args),
        Task::Tools => tools::install(),
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("workbench: {error}");
            ExitCode::FAILURE
        }
    }
}

/// The root of the repository: where cargo found the package, or the nearest folder above that holds Trunk.toml.
fn root() -> Result<PathBuf, String> {
    if let Some(dir) = std::env::var_os("CARGO_MANIFEST_DIR") {
        return Ok(dir.into());
    }
    let here =
        std::env::current_dir().map_err(|e| format!("cannot tell the present folder: {e}"))?;
    here.ancestors()
        .find(|dir| dir.join("Trunk.toml").is_file())
        .map(Path::to_path_buf)
        .ok_or_else(|| {
            format!(
                "no Trunk.toml in {} or above it; run this inside the repository",
                here.display()
            )
        })
}

/// Shows the command, runs it with its output on the screen, and fails when it does.
fn run(command: &mut Command) -> Result<(), String> {
    eprintln!("  $ {}", shown(command));
    let status = command.status().map_err(|e| not_started(command, &e))?;
    if status.success() {
        Ok(())
    } else {
        Err(format!("`{}` failed ({status})", shown(command)))
    }
}

/// The program and its arguments as one would type them, the program by its name alone.
fn shown(command: &Command) -> String {
    let program = Path::new(command.get_program());
    let mut words = vec![
        program
            .file_name()
            .unwrap_or(program.as_os_str())
            .to_string_lossy()
            .into_owned(),
    ];
    words.extend(command.get_args().map(|a| a.to_string_lossy().into_owned()));
    words.join(" ")
}

fn not_started(command: &Command, error: &std::io::Error) -> String {
    format!(
        "`{}` did not start: {error}",
        Path::new(command.get_program()).display()
    )
}

/// The first file of one of these names on PATH.
fn on_path(names: &[&str]) -> Option<PathBuf> {
    let path = std::env::var_os("PATH")?;
    names.iter().find_map(|name| {
        std::env::split_paths(&path)
            .map(|dir| dir.join(name))
            .find(|file| file.is_file())
    })
}

/// PATH with these folders before all others.
fn path_with(first: &[PathBuf]) -> Result<OsString, String> {
    let path = std::env::var_os("PATH").unwrap_or_default();
    std::env::join_paths(first.iter().cloned().chain(std::env::split_paths(&path))).map_err(|e| {
        format!("a folder of the tools cannot stand on PATH: {e}; set HINGELINE_TOOLS to another")
    })
}
