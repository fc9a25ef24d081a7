//! What the book thinks of the open reading now: one sentence, at most one doubt, and what to draw.

use crate::app::outcrop::open::Open;
use crate::app::written;
use crate::notebook::{Attitude, Form, attitude};
use crate::orientation::{Choice, Dial, Doubt, DoubtKind, Line, Mean, Plane, Severity};

/// The mean of the shots, in words and for the rings.
#[derive(Clone, Debug, PartialEq)]
pub struct MeanWords {
    /// The mean in the book's notation.
    pub value: String,
    /// Count, uncertainty and what the spread says.
    pub words: String,
    /// Expected standard deviation of one shot, degrees.
    pub expected_deg: f64,
    /// Each shot's place around the mean, degrees.
    pub offsets_deg: Vec<(f64, f64)>,
    /// Which of them are struck out.
    pub struck: Vec<bool>,
}

/// What stands in the sentence's strip, and what the net draws.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Finding {
    /// The finding, bold.
    pub words: String,
    /// The rest, soft.
    pub detail: String,
    /// The doubt that takes the strip's place.
    pub doubt: Option<Doubt>,
    /// The dial marked with a question mark.
    pub marked: Option<Dial>,
    /// The planes to draw, right-hand strike and dip, degrees; two while the side is not known.
    pub planes: Vec<(f64, f64)>,
    /// The lines to draw, trend and plunge, degrees.
    pub lines: Vec<(f64, f64)>,
    /// The net in one sentence.
    pub net_words: String,
    /// The mean of two or more shots.
    pub mean: Option<MeanWords>,
}

fn plane_pair(plane: &Plane) -> (f64, f64) {
    (plane.strike().deg(), plane.dip().deg())
}

fn line_pair(line: &Line) -> (f64, f64) {
    (line.trend().deg(), line.plunge().deg())
}

/// Reads the open reading as it stands.
pub fn of(open: &Open) -> Finding {
    let reading = open.preview();
    let attitude = attitude::of(&reading);
    let shot = attitude.shots.get(open.shown_at());
    let mut finding = Finding::default();
    let finished = open.is_finished();
    if let (true, Some(plane)) = (finished, &attitude.plane) {
        finding.planes.push(plane_pair(plane));
    } else if let Some(shot) = shot.filter(|s| s.plane.is_some() || !s.candidates.is_empty()) {
        match &shot.plane {
            Some(plane) => finding.planes.push(plane_pair(plane)),
            None => finding
                .planes
                .extend(shot.candidates.iter().map(plane_pair)),
        }
    } else if let Some(plane) = &attitude.plane {
        // The mean of the shots before, until this one says something.
        finding.planes.push(plane_pair(plane));
    }
    if let (true, Some(line)) = (finished, &attitude.line) {
        finding.lines.push(line_pair(line));
    } else if let Some(line) = shot.and_then(|s| s.line.as_ref()) {
        finding.lines.push(line_pair(line));
    }
    let found = attitude
        .open
        .iter()
        .filter(|f| f.shot == open.shown_at() || f.doubt.kind == DoubtKind::Scatter);
    let doubt = found
        .clone()
        .map(|f| &f.doubt)
        .find(|d| d.severity == Severity::Doubt)
        .cloned();
    let note = found
        .map(|f| &f.doubt)
        .find(|d| d.severity == Severity::Note);
    finding.net_words = net_words(&finding, open);
    finding.mean = mean(open, &attitude);
    if let Some(mut doubt) = doubt {
        if doubt.choices.iter().all(|c| !c.sets.is_empty()) {
            doubt.choices.push(Choice {
                words: attitude::KEEP.to_owned(),
                sets: Vec::new(),
            });
        }
        let (first, rest) = doubt
            .message
            .split_once("; ")
            .unwrap_or((&doubt.message, ""));
        finding.words = sentence(&first.replace('`', ""));
        if !rest.is_empty() {
            finding.detail = question(rest);
        }
        finding.marked = doubt.dial;
        finding.doubt = Some(doubt);
        return finding;
    }
    if open.is_empty() {
        finding.words = match open.here {
            Some(Dial::Strike) => "Strike first: three digits.".to_owned(),
            Some(Dial::Dip) => "Dip first: two digits.".to_owned(),
            Some(Dial::Trend) => "Trend first: three digits.".to_owned(),
            _ => "Type what stands on the dial.".to_owned(),
        };
        return finding;
    }
    let waiting = open.here == Some(Dial::Side);
    finding.words = if finished {
        match shot_count(open) {
            1 => "Kept. Nothing disagrees.".to_owned(),
            _ => "Nothing disagrees.".to_owned(),
        }
    } else {
        "Nothing disagrees so far.".to_owned()
    };
    let settled = attitude
        .settled
        .iter()
        .rfind(|s| s.found.shot == open.shown_at() && finished);
    if let Some(settled) = settled {
        let accepted = &reading.accepted[settled.accepted];
        finding.words = format!("Settled: {}.", accepted.choice);
        finding.detail = "The dials stay as they were read.".to_owned();
    } else if let Some(note) = note {
        finding.detail = sentence(&note.message);
    } else if waiting {
        finding.detail = match open.sides() {
            Some(sides) => format!(
                "Which side does it dip to, {} or {}?",
                sides[0].0, sides[1].0
            ),
            None => String::new(),
        };
    } else if finished {
        finding.detail = match shot_count(open) {
            1 => "The next digit begins shot 2.".to_owned(),
            n => format!("The next digit begins shot {}.", n + 1),
        };
    }
    finding
}

fn shot_count(open: &Open) -> usize {
    open.reading.shots.len()
}

/// A doubt's message as a sentence of the page.
fn sentence(message: &str) -> String {
    let mut letters = message.chars();
    let mut words: String = letters
        .next()
        .map(|c| c.to_uppercase().collect())
        .unwrap_or_default();
    words.extend(letters);
    if !words.ends_with(['.', '?']) {
        words.push('.');
    }
    words
}

fn net_words(finding: &Finding, open: &Open) -> String {
    match (finding.planes.as_slice(), finding.lines.as_slice()) {
        ([], []) => "net, lower hemisphere: nothing open yet".to_owned(),
        ([(strike, dip)], []) => {
            format!(
                "net, lower hemisphere: the open plane strikes {strike:03.0} by the right hand and dips {dip:02.0}"
            )
        }
        ([], [(trend, plunge)]) => format!(
            "net, lower hemisphere: the open line plunges {plunge:02.0} toward {trend:03.0}"
        ),
        ([_, _, ..], _) => {
            "net, lower hemisphere: two planes are possible while the side is not known".to_owned()
        }
        _ => format!(
            "net, lower hemisphere: the open {} and its line",
            super::kinds::words(&open.reading.kind)
        ),
    }
}

fn mean(open: &Open, attitude: &Attitude) -> Option<MeanWords> {
    let (value, mean) = match open.reading.form {
        Form::Line => {
            let mean = attitude.line_mean.as_ref()?;
            (written::line(&mean.value, open.notation), Spread::of(mean))
        }
        Form::Angle => return None,
        Form::Plane | Form::PlaneWithLine => {
            let mean = attitude.plane_mean.as_ref()?;
            (
                written::plane(
                    &mean.value,
                    written::read_strike(&open.reading),
                    open.notation,
                ),
                Spread::of(mean),
            )
        }
    };
    if mean.offsets_deg.len() < 2 {
        return None;
    }
    Some(MeanWords {
        value,
        words: format!(
            "mean of {}, ±{:.1}°; {}",
            mean.offsets_deg.len(),
            mean.standard_error_deg,
            if mean.scatters {
                "spread beyond what is expected"
            } else {
                "spread as expected"
            }
        ),
        expected_deg: mean.expected_deg,
        struck: vec![false; mean.offsets_deg.len()],
        offsets_deg: mean.offsets_deg,
    })
}

/// The figures of a mean that do not depend on what it is a mean of.
struct Spread {
    offsets_deg: Vec<(f64, f64)>,
    expected_deg: f64,
    standard_error_deg: f64,
    scatters: bool,
}

impl Spread {
    fn of<T>(mean: &Mean<T>) -> Self {
        Self {
            offsets_deg: mean
                .shots
                .iter()
                .map(|s| (s.clockwise_deg, -s.steeper_deg))
                .collect(),
            expected_deg: mean.expected_deg,
            standard_error_deg: mean.standard_error_deg,
            scatters: !mean.doubts.is_empty(),
        }
    }
}

/// The rest of a doubt's message: a question where it asks one.
fn question(words: &str) -> String {
    let words = sentence(words);
    let asks = ["Was ", "Is ", "Are ", "Did "]
        .iter()
        .any(|q| words.starts_with(q));
    if asks {
        format!("{}?", words.trim_end_matches('.'))
    } else {
        words
    }
}
