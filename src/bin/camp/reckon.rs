//! `camp reckon`: from planes and lines in any notation to what follows from them, with the working in one sentence.

use std::io::{self, Write};

use clap::{Args, Subcommand};
use hingeline::orientation::faults::{Slip, conjugate};
use hingeline::orientation::notation::{azimuth_typed, number_typed};
use hingeline::orientation::section::{
    Measured, restored_line, restored_plane, thickness_m, through_places,
};
use hingeline::orientation::{
    Azimuth, Convention, Doubt, DoubtKind, Line, Noise, Plane, Rake, Severity, Turn, notation,
};
use nalgebra::Vector3;
use serde::Serialize;

use crate::command::{Format, MISUSE};
use crate::read::{LineDegrees, PairArgs, PlaneDegrees};
use crate::written;

const HELP: &str = "\
Planes and lines are written as for `camp read`: 045/30, 045/30SE, N45E/30SE, 30→135, 12→240, 12 S60W.
Where a plane is expected 30→135 is dip and dip direction, where a line is expected it is plunge and trend.
Where either may stand (A, B), 30→135 is a line unless --convention says dip-direction; write 'plane 30→135' to say it.

With --format json the answer is one object with those of these that apply, in degrees and metres, unrounded:
  \"plane\", \"other\": {\"strike\" (right hand), \"dip\", \"dip_direction\"}; \"other\" of a slip has its \"rake\" too
  \"line\", \"sigma1\", \"sigma2\", \"sigma3\", \"p\", \"t\", \"n\": {\"trend\", \"plunge\"}; a plunge below zero points up,
  and \"axis\" is the end of such a line that points down
  \"angle\", \"rake\", \"thickness\", \"thickness_sd\", \"working\" (a sentence)

Exit code:
  0  reckoned
  1  there is no such thing: parallel planes have no intersection, three points in a line no plane
  2  misuse, or a text is no plane or line

Examples:
  camp reckon intersection 130/50 250/30
  camp reckon apparent-dip 065/24NW --toward 052
  camp reckon true-dip '20→296' '30→046'
  camp reckon rotate '12→240' --axis '00→045' --by 30
  camp reckon slip 090/50 --rake 140.6 --format json";

/// Planes and lines, and what to reckon from them.
#[derive(Args)]
#[command(after_long_help = HELP)]
pub(crate) struct ReckonArgs {
    #[command(subcommand)]
    what: What,
    #[command(flatten)]
    pairs: PairArgs,
    /// How the answer is written
    #[arg(long, value_enum, default_value_t = Format::Text, global = true)]
    format: Format,
}

#[derive(Subcommand)]
enum What {
    /// The pole of a plane
    Pole {
        /// As 045/30SE or 30→135
        plane: String,
    },
    /// The plane whose pole a line is
    PlaneOfPole {
        /// The pole, as 12→240
        #[arg(allow_hyphen_values = true)]
        line: String,
    },
    /// The acute angle between two planes, two lines, or a plane and a line
    Angle {
        /// A plane or a line
        #[arg(allow_hyphen_values = true)]
        a: String,
        /// Another
        #[arg(allow_hyphen_values = true)]
        b: String,
    },
    /// The line where two planes meet
    Intersection {
        /// A plane
        one: String,
        /// Another
        other: String,
    },
    /// The plane that holds two lines
    PlaneThrough {
        /// A line
        #[arg(allow_hyphen_values = true)]
        one: String,
        /// Another
        #[arg(allow_hyphen_values = true)]
        other: String,
    },
    /// How steeply a plane dips on a section
    ApparentDip {
        /// The plane that is cut
        plane: String,
        /// The way the section runs, degrees
        #[arg(long, value_name = "AZ", allow_hyphen_values = true, value_parser = azimuth)]
        toward: f64,
    },
    /// The plane of two apparent dips, or of one and the strike
    TrueDip {
        /// An apparent dip as a line: its angle, then the way it was seen
        #[arg(allow_hyphen_values = true)]
        line: String,
        /// Another
        #[arg(allow_hyphen_values = true, conflicts_with = "strike")]
        other: Option<String>,
        /// The strike, either end, degrees
        #[arg(long, value_name = "AZ", allow_hyphen_values = true, value_parser = azimuth)]
        strike: Option<f64>,
    },
    /// A line in a plane, by its rake or its trend
    LineInPlane {
        /// The plane
        plane: String,
        /// The rake from the right-hand strike end, 0 to 180
        #[arg(
            long,
            value_name = "R",
            allow_hyphen_values = true,
            value_parser = number,
            conflicts_with = "trend"
        )]
        rake: Option<f64>,
        /// The trend, degrees
        #[arg(long, value_name = "AZ", allow_hyphen_values = true, value_parser = azimuth)]
        trend: Option<f64>,
    },
    /// A plane or a line turned about an axis, clockwise looking down the axis
    Rotate {
        /// The plane or the line that is turned
        #[arg(allow_hyphen_values = true)]
        a: String,
        /// The axis, as 12→240
        #[arg(long, value_name = "LINE", allow_hyphen_values = true)]
        axis: String,
        /// Degrees, -360 to 360
        #[arg(long, value_name = "DEG", allow_hyphen_values = true, value_parser = number)]
        by: f64,
    },
    /// A plane or a line as it lay when a bed was level
    Restore {
        /// The plane or the line that is restored
        #[arg(allow_hyphen_values = true)]
        a: String,
        /// The bed that is laid level
        #[arg(long, value_name = "PLANE")]
        bedding: String,
        /// The bed is overturned
        #[arg(long)]
        overturned: bool,
    },
    /// The principal directions of a conjugate pair of faults
    Conjugate {
        /// A fault
        one: String,
        /// The other
        other: String,
    },
    /// The slip of a hanging wall, its auxiliary plane and its kinematic axes
    Slip {
        /// The fault
        plane: String,
        /// Aki and Richards' rake, -180 to 180: 0 sinistral, 90 reverse, -90 normal, 180 dextral
        #[arg(long, value_name = "R", allow_hyphen_values = true, value_parser = number)]
        rake: f64,
    },
    /// The plane through three places, each as northing, easting and height in metres
    ThreePoint {
        #[arg(value_name = "N,E,Z", allow_hyphen_values = true, value_parser = place)]
        one: Vector3<f64>,
        #[arg(value_name = "N,E,Z", allow_hyphen_values = true, value_parser = place)]
        two: Vector3<f64>,
        #[arg(value_name = "N,E,Z", allow_hyphen_values = true, value_parser = place)]
        three: Vector3<f64>,
    },
    /// The thickness of a layer crossed by a way of this direction and length; the ground may slope
    Thickness {
        /// The layer
        plane: String,
        /// The way across it, as a line: its slope, then its direction
        #[arg(long, value_name = "LINE", allow_hyphen_values = true)]
        traverse: String,
        /// Metres along the slope
        #[arg(long, value_name = "M", allow_hyphen_values = true, value_parser = number)]
        length: f64,
    },
}

/// A number as people write it: a decimal comma, a degree sign, a minus of either kind.
fn number(text: &str) -> Result<f64, String> {
    number_typed(text).ok_or_else(|| format!("`{text}` is no number, as 45 or 45.5"))
}

/// An azimuth as people write it: degrees, or counted in a quadrant.
fn azimuth(text: &str) -> Result<f64, String> {
    azimuth_typed(text).ok_or_else(|| format!("`{text}` is no azimuth, as 045 or N45E"))
}

/// A place as northing, easting and height, in the library's frame.
fn place(text: &str) -> Result<Vector3<f64>, String> {
    // With semicolons or spaces between them the numbers may have decimal commas.
    let parts: Vec<&str> = if text.contains(';') {
        text.split(';').collect()
    } else if text.contains(',') {
        text.split(',').collect()
    } else {
        text.split_whitespace().collect()
    };
    let numbers: Vec<f64> = parts.iter().filter_map(|p| number(p).ok()).collect();
    match numbers[..] {
        [n, e, z] if parts.len() == 3 && numbers.iter().all(|v| v.abs() <= FARTHEST_M) => {
            Ok(Vector3::new(n, e, -z))
        }
        _ => Err(format!(
            "`{text}` is no place; give northing, easting and height in metres, as 100,400,410 or 100;400;410,5"
        )),
    }
}

/// No place on the earth is farther than so many metres from the origin of a grid.
const FARTHEST_M: f64 = 1e8;

/// Why nothing was reckoned: a text or a number is wrong, or there is no such thing.
enum Refusal {
    Misread(String),
    NoSuch(String),
}

impl From<hingeline::orientation::Error> for Refusal {
    fn from(error: hingeline::orientation::Error) -> Self {
        Self::Misread(error.to_string())
    }
}

#[derive(Default, Serialize)]
struct Answer {
    #[serde(skip_serializing_if = "Option::is_none")]
    plane: Option<PlaneDegrees>,
    #[serde(skip_serializing_if = "Option::is_none")]
    line: Option<LineDegrees>,
    #[serde(skip_serializing_if = "Option::is_none")]
    axis: Option<LineDegrees>,
    #[serde(skip_serializing_if = "Option::is_none")]
    angle: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    rake: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    thickness: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    thickness_sd: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    sigma1: Option<LineDegrees>,
    #[serde(skip_serializing_if = "Option::is_none")]
    sigma2: Option<LineDegrees>,
    #[serde(skip_serializing_if = "Option::is_none")]
    sigma3: Option<LineDegrees>,
    #[serde(skip_serializing_if = "Option::is_none")]
    other: Option<Other>,
    #[serde(skip_serializing_if = "Option::is_none")]
    p: Option<LineDegrees>,
    #[serde(skip_serializing_if = "Option::is_none")]
    t: Option<LineDegrees>,
    #[serde(skip_serializing_if = "Option::is_none")]
    n: Option<LineDegrees>,
    working: String,
    /// The answer for people, a line each: name and value.
    #[serde(skip)]
    shown: Vec<(&'static str, String)>,
}

#[derive(Serialize)]
struct Other {
    #[serde(flatten)]
    plane: PlaneDegrees,
    rake: f64,
}

impl Answer {
    fn with_plane(mut self, name: &'static str, plane: &Plane) -> Self {
        self.plane = Some(PlaneDegrees::new(plane));
        self.shown.push((name, written_plane(plane)));
        self
    }

    fn with_line(mut self, name: &'static str, line: &Line) -> Self {
        self.line = Some(LineDegrees::new(line));
        self.shown.push((name, written::line(line)));
        self
    }

    /// A line that may point up: its other end is said too, for whoever means an axis.
    fn with_end(mut self, name: &'static str, line: &Line) -> Self {
        self = self.with_line(name, line);
        if line.plunge().deg() < 0.0 {
            let down = Line::axis_from_vector(&line.vector());
            self.shown
                .extend(down.map(|down| ("as an axis", written::line(&down))));
            self.axis = down.as_ref().map(LineDegrees::new);
        }
        self
    }

    fn with_angle(mut self, name: &'static str, deg: f64) -> Self {
        self.angle = Some(deg);
        self.shown.push((name, format!("{deg:.2}°")));
        self
    }

    fn with_rake(mut self, deg: f64) -> Self {
        let deg = tidy(deg);
        self.rake = Some(deg);
        self.shown.push(("rake", format!("{deg:.1}°")));
        self
    }

    fn by(mut self, working: impl Into<String>) -> Self {
        self.working = working.into();
        self
    }
}

/// An angle in degrees as the library gives its others: without the dust of its last digits, and never −0.
fn tidy(deg: f64) -> f64 {
    (deg * 1e10).round() / 1e10 + 0.0
}

/// The plane in two notations, for reading.
fn written_plane(plane: &Plane) -> String {
    format!(
        "{}  {}",
        written::plane(plane),
        written::plane_by_dip(plane)
    )
}

/// One of the two that may stand in one place.
enum Either {
    Plane(Plane),
    Line(Line),
}

/// Reads texts by the convention asked for.
struct Reader(Convention);

impl Reader {
    fn misread(text: &str, wanted: &str, doubts: &[Doubt]) -> Refusal {
        let why = doubts.iter().find(|d| d.severity == Severity::Doubt);
        let way_out = match wanted {
            LINE => "; write a line as 12→240",
            PLANE => "; write a plane as 045/30SE",
            _ => "; write a plane as 045/30SE, a line as 12→240",
        };
        Refusal::Misread(match why {
            Some(doubt) => format!("`{text}` is no {wanted}: {}", doubt.message),
            None => format!("`{text}` is no {wanted}{way_out}"),
        })
    }

    /// Says on the side what is doubtful of a text that was taken; a number beyond its limit is not.
    fn taken<T>(text: &str, wanted: &str, value: T, doubts: &[Doubt]) -> Result<T, Refusal> {
        if doubts.iter().any(|d| d.kind == DoubtKind::OutOfRange) {
            return Err(Self::misread(text, wanted, doubts));
        }
        for doubt in doubts.iter().filter(|d| d.severity == Severity::Doubt) {
            eprintln!("`{text}` is taken as it stands; {}", doubt.message);
        }
        Ok(value)
    }

    fn plane(&self, text: &str) -> Result<Plane, Refusal> {
        let read = notation::read(text, self.0);
        if let Some(plane) = read.plane {
            return Self::taken(text, PLANE, plane, &read.doubts);
        }
        if read.line.is_some() && text.trim_start().to_lowercase().starts_with(LINE) {
            return Err(Self::misread(text, PLANE, &[]));
        }
        let told = notation::read(&format!("{PLANE} {text}"), self.0);
        let plane = told
            .plane
            .ok_or_else(|| Self::misread(text, PLANE, &read.doubts))?;
        Self::taken(text, PLANE, plane, &told.doubts)
    }

    fn line(&self, text: &str) -> Result<Line, Refusal> {
        let read = notation::read(text, self.0);
        if let Some(line) = read.line {
            return Self::taken(text, LINE, line, &read.doubts);
        }
        if read.plane.is_some() && text.trim_start().to_lowercase().starts_with(PLANE) {
            return Err(Self::misread(text, LINE, &[]));
        }
        let told = notation::read(&format!("{LINE} {text}"), self.0);
        let line = told.line.ok_or_else(|| Self::misread(text, LINE, &[]))?;
        Self::taken(text, LINE, line, &told.doubts)
    }

    fn either(&self, text: &str) -> Result<Either, Refusal> {
        let read = notation::read(text, self.0);
        let either = match (read.plane, read.line) {
            (Some(plane), Some(_)) if self.0 == Convention::DipDirection => Either::Plane(plane),
            (_, Some(line)) => Either::Line(line),
            (Some(plane), None) => Either::Plane(plane),
            (None, None) => return Err(Self::misread(text, EITHER, &read.doubts)),
        };
        Self::taken(text, EITHER, either, &read.doubts)
    }
}

const PLANE: &str = "plane";
const LINE: &str = "line";
const EITHER: &str = "plane and no line";

pub(crate) fn reckon(args: &ReckonArgs) -> io::Result<u8> {
    let answer = match work(&args.what, &Reader(args.pairs.convention.into())) {
        Ok(answer) => answer,
        Err(Refusal::Misread(why)) => {
            eprintln!("{why}");
            return Ok(MISUSE);
        }
        Err(Refusal::NoSuch(why)) => {
            eprintln!("{why}");
            return Ok(1);
        }
    };
    let mut out = io::stdout().lock();
    match args.format {
        Format::Json => {
            serde_json::to_writer(&mut out, &answer)?;
            writeln!(out)?;
        }
        Format::Text => {
            for (name, value) in &answer.shown {
                writeln!(out, "{name:<16}{value}")?;
            }
            writeln!(out, "{:<16}{}", "by", answer.working)?;
        }
    }
    out.flush()?;
    Ok(0)
}

fn work(what: &What, read: &Reader) -> Result<Answer, Refusal> {
    let no_such = |why: &str| Refusal::NoSuch(why.to_owned());
    let answer = Answer::default();
    Ok(match what {
        What::Pole { plane } => answer
            .with_line("pole", &read.plane(plane)?.pole())
            .by("the downward normal: trend strike − 90°, plunge 90° − dip"),
        What::PlaneOfPole { line } => {
            let pole = read.line(line)?;
            let plane = Plane::from_normal(&pole.vector()).ok_or_else(|| no_such("no plane"))?;
            answer
                .with_plane("plane", &plane)
                .by("the plane at a right angle to the line")
        }
        What::Angle { a, b } => angle(&read.either(a)?, &read.either(b)?),
        What::Intersection { one, other } => {
            let (one, other) = (read.plane(one)?, read.plane(other)?);
            let line = one.intersection(&other).ok_or_else(|| {
                no_such("the planes are parallel and meet in no line; give two that differ")
            })?;
            answer
                .with_line("intersection", &line)
                .by("the line at a right angle to both poles")
        }
        What::PlaneThrough { one, other } => {
            let (one, other) = (read.line(one)?, read.line(other)?);
            let plane = Plane::through(&one, &other).ok_or_else(|| {
                no_such(
                    "the lines run along each other and lie in no one plane; give two that differ",
                )
            })?;
            answer
                .with_plane("plane", &plane)
                .with_angle("angle between", one.angle(&other).deg())
                .by("the plane whose pole is at a right angle to both lines")
        }
        What::ApparentDip { plane, toward } => {
            let (plane, toward) = (read.plane(plane)?, Azimuth::from_deg(*toward)?);
            let dip = plane.apparent_dip(toward);
            answer
                .with_angle("apparent dip", dip.deg())
                .with_line("line", &Line::new(toward, dip))
                .by("tan apparent = tan dip × sin (section − strike); below zero it rises that way")
        }
        What::TrueDip {
            line,
            other,
            strike,
        } => {
            let apparent = read.line(line)?;
            let plane = match (other, strike) {
                (Some(other), _) => Plane::from_apparent_dips(&apparent, &read.line(other)?),
                (None, Some(strike)) => {
                    Plane::from_apparent_dip(Azimuth::from_deg(*strike)?, &apparent)
                }
                (None, None) => {
                    return Err(Refusal::Misread(
                        "one apparent dip tells no plane; give another, or --strike".to_owned(),
                    ));
                }
            };
            let plane = plane.ok_or_else(|| {
                no_such("the line runs along the other one or along the strike: no plane is told")
            })?;
            answer
                .with_plane("plane", &plane)
                .with_angle("true dip", plane.dip().deg())
                .by(if plane.dip().deg() > 89.999 {
                    "the plane that holds both lines; they lie on one upright section, so it is upright too: was one misread?"
                } else {
                    "the plane that holds both lines"
                })
        }
        What::LineInPlane { plane, rake, trend } => {
            let plane = read.plane(plane)?;
            let line = match (rake, trend) {
                (Some(rake), _) => plane.line_at(Rake::from_deg(*rake)?),
                (None, Some(trend)) => {
                    let trend = Azimuth::from_deg(*trend)?;
                    Line::new(trend, plane.apparent_dip(trend))
                }
                (None, None) => {
                    return Err(Refusal::Misread(
                        "a plane alone tells no line in it; give --rake or --trend".to_owned(),
                    ));
                }
            };
            let rake = rake.or_else(|| plane.rake_of(&line).map(Rake::deg));
            let answer = answer.with_line("line", &line);
            rake.into_iter()
                .fold(answer, Answer::with_rake)
                .by("the rake counts in the plane from the right-hand strike end, downwards")
        }
        What::Rotate { a, axis, by } => {
            let (axis, turn) = (read.line(axis)?, Turn::from_deg(*by)?);
            match read.either(a)? {
                Either::Plane(plane) => answer.with_plane("plane", &plane.rotated(&axis, turn)),
                Either::Line(line) => answer.with_end("line", &line.rotated(&axis, turn)),
            }
            .by("turned clockwise, looking down the axis")
        }
        What::Restore {
            a,
            bedding,
            overturned,
        } => {
            let bed = read.plane(bedding)?;
            match read.either(a)? {
                Either::Plane(plane) => {
                    answer.with_plane("plane", &restored_plane(&plane, &bed, *overturned))
                }
                Either::Line(line) => {
                    answer.with_end("line", &restored_line(&line, &bed, *overturned))
                }
            }
            .by("turned about the bed's strike until the bed lies level, its top upwards")
        }
        What::Conjugate { one, other } => pair(&read.plane(one)?, &read.plane(other)?)?,
        What::Slip { plane, rake } => slip(&Slip::new(read.plane(plane)?, *rake)?),
        What::ThreePoint { one, two, three } => {
            let through = through_places(&[*one, *two, *three], 0.0)
                .ok_or_else(|| no_such("the three places lie in one line, or two in one place, and tell no plane; give one off that line"))?;
            answer
                .with_plane("plane", &through.plane)
                .by("the plane through the three places")
        }
        What::Thickness {
            plane,
            traverse,
            length,
        } => {
            let (plane, way) = (read.plane(plane)?, read.line(traverse)?);
            if !(length.is_finite() && *length >= 0.0) {
                return Err(Refusal::Misread(format!(
                    "length `{length}` is below 0; give the metres along the slope"
                )));
            }
            let length = Measured {
                value: *length,
                sd: 0.0,
            };
            let thickness = thickness_m(&plane, &way, length, &Noise::default());
            Answer {
                thickness: Some(thickness.value),
                thickness_sd: Some(thickness.sd),
                shown: vec![(
                    "thickness",
                    format!("{:.2} m ± {:.2} m", thickness.value, thickness.sd),
                )],
                ..answer
            }
            .by("length × sin of the angle between way and layer; ± is the compass's part alone, for needle 1°, inclination 1° and placement 1.5°")
        }
    })
}

fn angle(a: &Either, b: &Either) -> Answer {
    let (deg, working) = match (a, b) {
        (Either::Plane(a), Either::Plane(b)) => {
            (a.angle(b).deg(), "between the planes: that of their poles")
        }
        (Either::Line(a), Either::Line(b)) => (a.angle(b).deg(), "between the lines, as axes"),
        (Either::Plane(plane), Either::Line(line)) | (Either::Line(line), Either::Plane(plane)) => {
            (
                plane.angle_to_line(line).deg(),
                "between line and plane: 90° less that to the pole",
            )
        }
    };
    Answer::default().with_angle("angle", deg).by(working)
}

fn pair(one: &Plane, other: &Plane) -> Result<Answer, Refusal> {
    let pair = conjugate(one, other).ok_or_else(|| {
        Refusal::NoSuch(
            "the faults are parallel and no conjugate pair; give two that differ".to_owned(),
        )
    })?;
    let degrees = |line: &Line| Some(LineDegrees::new(line));
    let square = if (pair.two_theta_deg - 90.0).abs() < 1e-9 {
        "; the faults stand at a right angle, so which bisector is which is not told"
    } else {
        ""
    };
    Ok(Answer {
        sigma1: degrees(&pair.sigma1),
        sigma2: degrees(&pair.sigma2),
        sigma3: degrees(&pair.sigma3),
        shown: vec![
            ("sigma 1", written::line(&pair.sigma1)),
            ("sigma 2", written::line(&pair.sigma2)),
            ("sigma 3", written::line(&pair.sigma3)),
        ],
        ..Answer::default()
    }
    .with_angle("acute angle", pair.two_theta_deg)
    .by(format!(
        "the greatest compression halves the acute angle (Anderson's rule, a model: both faults of one stress in unbroken rock){square}"
    )))
}

fn slip(slip: &Slip) -> Answer {
    let degrees = |line: Option<Line>| line.as_ref().map(LineDegrees::new);
    let mut shown = vec![("sense", slip.sense_words())];
    let other = slip.auxiliary();
    if let Some(other) = &other {
        shown.push((
            "auxiliary plane",
            format!(
                "{}  rake {:.1}°",
                written_plane(other.plane()),
                other.rake_deg()
            ),
        ));
    }
    for (name, line) in [
        ("p, shortening", slip.shortening()),
        ("t, extension", slip.extension()),
        ("n, neutral", slip.neutral()),
    ] {
        shown.extend(line.map(|line| (name, written::line(&line))));
    }
    let mut answer = Answer {
        other: other.map(|other| Other {
            plane: PlaneDegrees::new(other.plane()),
            rake: tidy(other.rake_deg()),
        }),
        p: degrees(slip.shortening()),
        t: degrees(slip.extension()),
        n: degrees(slip.neutral()),
        shown,
        ..Answer::default()
    };
    if let Some(line) = slip.line() {
        answer = answer.with_line("hanging wall", &line);
    }
    answer
        .with_rake(slip.rake_deg())
        .by("Aki and Richards' rake; the axes lie 45° between fault and auxiliary plane")
}
