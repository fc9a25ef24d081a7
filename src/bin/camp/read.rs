//! `camp read`: what each text of a book stands for, in every notation, with its doubts.

use std::collections::BTreeMap;
use std::io::{self, Write};

use clap::{Args, ValueEnum};
use hingeline::orientation::{
    Convention, Dial, Doubt, DoubtKind, Line, Plane, PlaneStyle, Read, Severity, notation,
    write_line, write_plane,
};
use serde::Serialize;

use crate::command::{DOUBTS, Format};

const HELP: &str = "\
Forms that are read:
  045/30        right-hand strike and dip (or as --convention says)
  045/30SE      strike at either end, dip, and the side it dips to
  N45E/30SE     the same in quadrant letters; also S45W 30NW, E-W/60N
  30→135        dip then dip direction; also a line that plunges 30 towards 135: both are given
  12→240        a line: plunge, then trend; also 12->240 and 12 S60W
  'line 12/240' a word in front says which is meant; also 'plane 30→135'
Spaces, / , - and degree signs are taken as they come; so are lower case, 45,5 and 062½.

With --format json each text gives one object a line, in degrees, the strike by the right-hand rule:
  {\"text\", \"plane\": {\"strike\", \"dip\", \"dip_direction\"} or null, \"line\": {\"trend\", \"plunge\"} or null,
   \"doubts\": [{\"kind\", \"message\", \"choices\": [{\"words\", \"sets\"}]}], \"notes\": [the same]}

Exit code:
  0  every text was read; notes may have been given
  1  at least one doubt: a number contradicts another or its limit, or a text is no reading
  2  misuse

Examples:
  camp read 045/30 N20W/45SW '12→240'
  camp read --convention dip-direction 120/40 30/135
  camp read --format json 045/30NE | jq .doubts
  camp read -- '-12→240'          (a line that points up; -- ends the options)";

#[derive(Args)]
#[command(after_long_help = HELP)]
pub(crate) struct ReadArgs {
    /// Planes and lines as written in a book, each as one argument
    #[arg(required = true, value_name = "TEXT")]
    texts: Vec<String>,
    #[command(flatten)]
    pairs: PairArgs,
    /// How the answer is written
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
}

/// The convention, as several commands take it.
#[derive(Args)]
pub(crate) struct PairArgs {
    /// What a bare pair of numbers means
    #[arg(long, value_enum, default_value_t = Pairs::RightHand, global = true)]
    pub(crate) convention: Pairs,
}

/// What a bare pair of numbers means, as the command line spells it.
#[derive(Clone, Copy, ValueEnum)]
pub(crate) enum Pairs {
    /// Strike at either end, then dip; the side has to be written
    StrikeDip,
    /// Dip and dip direction; three digits are the direction
    DipDirection,
    /// Strike and dip, the plane dipping to the right of the strike
    RightHand,
}

impl From<Pairs> for Convention {
    fn from(pairs: Pairs) -> Self {
        match pairs {
            Pairs::StrikeDip => Self::StrikeDip,
            Pairs::DipDirection => Self::DipDirection,
            Pairs::RightHand => Self::RightHand,
        }
    }
}

/// Answers every text; the exit code.
pub(crate) fn read(args: &ReadArgs) -> io::Result<u8> {
    let mut out = io::stdout().lock();
    let mut doubted = false;
    for text in &args.texts {
        let read = notation::read(text, args.pairs.convention.into());
        doubted |= read.doubts.iter().any(|d| d.severity == Severity::Doubt);
        match args.format {
            Format::Text => write_text(&mut out, text, &read)?,
            Format::Json => {
                serde_json::to_writer(&mut out, &Answer::new(text, &read))?;
                writeln!(out)?;
            }
        }
    }
    out.flush()?;
    Ok(if doubted { DOUBTS } else { 0 })
}

fn write_text(out: &mut impl Write, text: &str, read: &Read) -> io::Result<()> {
    writeln!(out, "{text}")?;
    if let Some(plane) = &read.plane {
        let written = |style| write_plane(plane, style);
        writeln!(
            out,
            "  plane  {}  {}  {}  right-hand {}",
            written(PlaneStyle::StrikeDip),
            written(PlaneStyle::Quadrant),
            written(PlaneStyle::DipDirection),
            written(PlaneStyle::RightHand)
        )?;
    }
    if let Some(line) = &read.line {
        writeln!(
            out,
            "  line   {}  {}",
            write_line(line, PlaneStyle::StrikeDip),
            write_line(line, PlaneStyle::Quadrant)
        )?;
    }
    for doubt in &read.doubts {
        let name = match doubt.severity {
            Severity::Note => "note ",
            Severity::Doubt => "doubt",
        };
        writeln!(out, "  {name}  {}", doubt.message)?;
        for choice in &doubt.choices {
            writeln!(out, "         - {}", choice.words)?;
        }
    }
    Ok(())
}

#[derive(Serialize)]
struct Answer<'a> {
    text: &'a str,
    plane: Option<PlaneDegrees>,
    line: Option<LineDegrees>,
    doubts: Vec<DoubtAnswer<'a>>,
    notes: Vec<DoubtAnswer<'a>>,
}

impl<'a> Answer<'a> {
    fn new(text: &'a str, read: &'a Read) -> Self {
        let of = |severity: Severity| {
            let found = read.doubts.iter().filter(|d| d.severity == severity);
            found.map(DoubtAnswer::new).collect()
        };
        Self {
            text,
            plane: read.plane.as_ref().map(PlaneDegrees::new),
            line: read.line.as_ref().map(LineDegrees::new),
            doubts: of(Severity::Doubt),
            notes: of(Severity::Note),
        }
    }
}

/// A plane in degrees, the strike by the right-hand rule.
#[derive(Serialize)]
pub(crate) struct PlaneDegrees {
    strike: f64,
    dip: f64,
    dip_direction: f64,
}

impl PlaneDegrees {
    pub(crate) fn new(plane: &Plane) -> Self {
        Self {
            strike: plane.strike().deg(),
            dip: plane.dip().deg(),
            dip_direction: plane.dip_direction().deg(),
        }
    }
}

/// A line in degrees; a plunge below zero points up.
#[derive(Serialize)]
pub(crate) struct LineDegrees {
    trend: f64,
    plunge: f64,
}

impl LineDegrees {
    pub(crate) fn new(line: &Line) -> Self {
        Self {
            trend: line.trend().deg(),
            plunge: line.plunge().deg(),
        }
    }
}

#[derive(Serialize)]
struct DoubtAnswer<'a> {
    kind: DoubtKind,
    message: &'a str,
    choices: Vec<ChoiceAnswer<'a>>,
}

impl<'a> DoubtAnswer<'a> {
    fn new(doubt: &'a Doubt) -> Self {
        Self {
            kind: doubt.kind,
            message: &doubt.message,
            choices: doubt
                .choices
                .iter()
                .map(|choice| ChoiceAnswer {
                    words: &choice.words,
                    sets: choice.sets.iter().map(|(d, t)| (*d, t.as_str())).collect(),
                })
                .collect(),
        }
    }
}

#[derive(Serialize)]
struct ChoiceAnswer<'a> {
    words: &'a str,
    sets: BTreeMap<Dial, &'a str>,
}
