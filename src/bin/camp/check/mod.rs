//! `camp check`: the doubts of a book file or of a table of dials, for scripts and for books too large to read by eye.

mod answer;

mod book;

mod table;

use std::fs::File;
use std::io::{self, BufRead, BufReader, BufWriter, IsTerminal, Read, Write};
use std::path::{Path, PathBuf};

use clap::Args;

use crate::command::{DOUBTS, Format, MISUSE};
use crate::paths;
use crate::progress::Progress;
use crate::written::counted;
use answer::Paper;

const HELP: &str = "\
A book file holds its own set-ups, shots and settled doubts; a doubt that somebody settled is not printed again.

A table (CSV) has one reading a row and names its columns in its first line, in any order; a field is empty where nothing was read:
  reading         what the reading is called; without it a reading is named by its line
  station, kind   carried along
  strike          azimuth of a strike end; without `toward` it counts by the right-hand rule
  dip             below the horizontal
  toward, side    where the plane dips: compass letters (the side was read), or an azimuth (a dial of its own); also headed
                  `dip direction`
  trend, plunge   of the line; a plunge below zero points up
  rake            in the plane, from the right-hand strike end
  tops, sense     for `camp figures`: upright or overturned; normal, reverse, sinistral or dextral slip of the hanging wall
  sd_bearing      standard deviation of the needle; empty: 1
  sd_inclination  standard deviation of the inclination scales; empty: 1
All in degrees. Placement on the rock is taken as 1.5 and the division read as 1, always.
Other columns are named on standard error and passed over. Commas, semicolons or tabs; with semicolons a decimal comma.

With --format json each doubt gives one object a line; a reading with several doubts gives several:
  reading, station, kind   as they are called; in a book `47.3` is reading 3 of station 47
  line, shot               the row of a table; the shot of a book's reading, from 1
  also                     other readings of a book that share the doubt, as doubts of north
  doubt, severity          the kind of doubt, as `set-up`, `out-of-range`; `doubt` or `note`
  message, dial            in words; the dial that is marked
  chi2, dof                of the dials as read: sum of squared residuals over their variances, and degrees of freedom
  as_read                  probability that nothing is wrong with the dials, 0 to 1
  explanations             for `set-up`, likeliest first, three at most:
    what, slip, with       in words; the slip's name; slips that come to the same dials
    odds                   probability of this explanation among all, 0 to 1
    corrected              strike, dip, toward, trend, plunge, rake: the dials as they should have been read, null where
                           unread; and plane: strike (right-hand), dip, dip_direction
  decide                   for `set-up`, the dial that would tell the first two apart, and what it reads under each
  choices                  for other doubts, the ways to mend it: words, and the dials it sets
With --all a reading without a doubt gives one object too, with an empty `doubt`.

Exit code:
  0  no doubt
  1  at least one doubt
  2  something could not be read: each fault is named on standard error with its line and column; or misuse

Examples:
  camp check book.json
  camp check --format json dials.csv | jq -r 'select(.doubt == \"set-up\") | [.reading, .explanations[0].what] | @tsv'
  sort -t, -k2 dials.csv | camp check --all -
  printf 'reading,strike,dip,trend,plunge,rake\\n1,060,40,131,37,111\\n' | camp check -";

#[derive(Args)]
#[command(after_long_help = HELP)]
pub(crate) struct CheckArgs {
    /// Book files and tables of dials (CSV); - reads standard input
    #[arg(required = true, value_name = "FILE")]
    files: Vec<PathBuf>,
    /// How the doubts are written
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
    /// Print readings without a doubt too
    #[arg(long)]
    all: bool,
    /// Print notes too: what is worth saying and contradicts nothing
    #[arg(long)]
    notes: bool,
}

/// At most so many faults of one file are written out.
const FAULTS: u64 = 20;

/// Faults of one file, on standard error.
struct Faults<'a> {
    file: &'a str,
    found: u64,
}

impl Faults<'_> {
    fn add(&mut self, fault: impl std::fmt::Display) {
        self.found += 1;
        if self.found <= FAULTS {
            eprintln!("{}: {fault}", self.file);
        }
    }

    fn note(&self, note: &str) {
        eprintln!("{}: {note}", self.file);
    }

    /// Whether there was any; says how many were not written out.
    fn close(self) -> bool {
        if self.found > FAULTS {
            eprintln!("{}: and {} more like these", self.file, self.found - FAULTS);
        }
        self.found > 0
    }
}

pub(crate) fn check(args: &CheckArgs) -> io::Result<u8> {
    let mut paper = Paper::new(
        BufWriter::new(io::stdout().lock()),
        args.format,
        args.all,
        args.notes,
    );
    let mut faulty = false;
    for path in &args.files {
        let name = if is_standard_input(path) {
            "standard input".to_owned()
        } else {
            path.display().to_string()
        };
        if args.files.len() > 1 {
            paper.turn_to(&name)?;
        }
        let mut faults = Faults {
            file: &name,
            found: 0,
        };
        let opened: io::Result<Box<dyn Read>> = if is_standard_input(path) {
            Ok(Box::new(io::stdin().lock()))
        } else {
            File::open(path).map(|file| -> Box<dyn Read> { Box::new(file) })
        };
        match opened {
            Ok(input) => {
                let input = BufReader::with_capacity(1 << 16, input);
                read(path, input, &mut paper, &mut faults)?;
            }
            Err(error) => {
                faults.add(format!(
                    "it could not be opened: {}",
                    paths::why(path, &error)
                ));
            }
        }
        faulty |= faults.close();
    }
    paper.close(faulty)?;
    Ok(if faulty {
        MISUSE
    } else if paper.doubted() {
        DOUBTS
    } else {
        0
    })
}

fn is_standard_input(path: &Path) -> bool {
    path.as_os_str() == "-"
}

/// Tells a book file from a table by its first letter: a book begins with a brace, and no table does.
fn read<R: BufRead>(
    path: &Path,
    mut input: R,
    paper: &mut Paper<impl Write>,
    faults: &mut Faults<'_>,
) -> io::Result<()> {
    let beginning = match input.fill_buf() {
        Ok(bytes) => bytes,
        Err(error) => {
            faults.add(format!(
                "it could not be read: {}",
                paths::why(path, &error)
            ));
            return Ok(());
        }
    };
    if beginning.is_empty() {
        faults.add("line 1: nothing is there: the file is empty, no book and no table".to_owned());
        return Ok(());
    }
    let utf_16 = beginning.starts_with(b"\xff\xfe") || beginning.starts_with(b"\xfe\xff");
    let text = beginning
        .strip_prefix("\u{feff}".as_bytes())
        .unwrap_or(beginning)
        .trim_ascii_start();
    // What is no text, or starts like another format, is named by the reader of books.
    let is_table = match text.first() {
        Some(b'{' | b'[' | b'<' | b'%') => false,
        _ => utf_16 || !beginning.contains(&0),
    };
    if is_table {
        return table::check(input, paper, faults);
    }
    let mut bytes = Vec::new();
    if let Err(error) = input.read_to_end(&mut bytes) {
        faults.add(format!(
            "it could not be read: {}",
            paths::why(path, &error)
        ));
        return Ok(());
    }
    // On a terminal the doubts themselves say how far it is.
    let mut progress = (!io::stdout().is_terminal()).then(Progress::new);
    let checked = book::check(&bytes, paper, faults, &mut |done, of| {
        if let Some(progress) = &mut progress {
            progress.at("checking", done, of);
        }
    });
    if let Some(progress) = &mut progress {
        progress.done();
    }
    let unknown = checked?;
    if unknown > 0 {
        let (are, they) = if unknown == 1 {
            ("is", "it was")
        } else {
            ("are", "they were")
        };
        faults.note(&format!(
            "{} {are} of a kind, or of a content, that this version cannot read; {they} passed over",
            counted(unknown, "record", "records")
        ));
    }
    Ok(())
}
