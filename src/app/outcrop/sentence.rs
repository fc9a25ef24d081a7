//! What the book thinks of the open reading now: one sentence, at most one doubt, and what to draw.

use crate::app::outcrop::doubt::{self, Case, DoubtPage};
use crate::app::outcrop::open::Open;
use crate::app::written;
use crate::notebook::{Attitude, Form, Position, SetUp, attitude, attitude::Found};
use crate::orientation::{
    Choice, Dial, Doubt, DoubtKind, Line, Mean, Noise, Plane, Reduced, Severity,
};

/// The mean of the shots, in words and for the rings.
#[derive(Clone, Debug, PartialEq)]
pub struct MeanWords {
    /// The mean in the book's notation.
    pub value: String,
    /// The mean line of a plane with a line.
    pub line: Option<String>,
    /// Count, uncertainty and what the spread says.
    pub words: String,
    /// Expected standard deviation of one shot, degrees.
    pub expected_deg: f64,
    /// Each shot's place around the mean, degrees; none for a shot that does not stand.
    pub offsets_deg: Vec<Option<(f64, f64)>>,
    /// Each shot's angle to the mean, degrees: the larger of plane and line; none for a shot that does not stand.
    pub distances_deg: Vec<Option<f64>>,
}

/// What the book says around the open reading.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Around {
    /// The set-up it is read with.
    pub set_up: Option<SetUp>,
    /// Where its station is.
    pub place: Option<Position>,
}

/// One thing that the sentence offers to do.
#[derive(Clone, Debug, PartialEq)]
pub enum Offer {
    /// Takes a choice of the doubt.
    Choice(Choice),
    /// Strikes out the shot of this index.
    StrikeOut(usize),
    /// Puts the shot of this index back.
    PutBack(usize),
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
    /// Index of the shot that the doubt is about.
    pub shot: usize,
    /// What can be done about it, likeliest first.
    pub offers: Vec<Offer>,
    /// The page that explains the doubt of a set-up.
    pub page: Option<DoubtPage>,
    /// A doubt that was kept as read stands beside it.
    pub kept_doubt: bool,
    /// The dial marked with a question mark.
    pub marked: Option<Dial>,
    /// Beside the net of a plane with a line: what its dials come to together, bold and soft.
    pub together: Option<(String, String)>,
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

/// Reads the open reading as it stands, with what the book says around it. `again` says that the person is about to read the
/// shot again.
pub fn of(open: &Open, around: &Around, again: bool) -> Finding {
    let reading = open.preview();
    let set_up = around.set_up.as_ref();
    if set_up.is_none() && reading.set_up.is_some() {
        return Finding {
            words: "The set-up it was read with is not in this book.".to_owned(),
            detail:
                "What its dials mean is not known before the book that holds it is opened here."
                    .to_owned(),
            ..Finding::default()
        };
    }
    let noise = set_up.map_or_else(Noise::default, SetUp::noise);
    let attitude = attitude::of_at(&reading, set_up, around.place.as_ref());
    let mut finding = Finding::default();
    draw(&mut finding, open, &attitude);
    finding.net_words = net_words(&finding, open);
    finding.mean = mean(open, &attitude);
    let shown = open.shown_at();
    finding.together = together(open, &attitude, shown);
    let doubts = |f: &&Found| f.doubt.severity == Severity::Doubt;
    let about_shown = |f: &&Found| f.shot == shown && f.doubt.kind != DoubtKind::Scatter;
    let first = |about: &dyn Fn(&&Found) -> bool| attitude.open.iter().filter(doubts).find(about);
    // The shot shown first; then a shot whose own dials disagree, which tells more than that the shots scatter.
    let found = first(&about_shown)
        .or_else(|| first(&|f| f.doubt.kind != DoubtKind::Scatter))
        .or_else(|| first(&|_| true));
    if let Some(found) = found {
        doubted(&mut finding, found, open, &attitude, &noise);
        if again && open.is_finished() {
            let next = shot_count(open) + 1;
            finding.words = format!("Shot {next}: read all of it again.");
            finding.detail = format!("The next digit begins it; shot {} stays.", shown + 1);
        }
        return finding;
    }
    if open.is_empty() {
        finding.words = match open.here {
            Some(dial) if open.is_quadrant(dial) => {
                "N or S first, then two digits, then E or W.".to_owned()
            }
            Some(Dial::Strike) => "Strike first: three digits.".to_owned(),
            Some(Dial::Dip) => "Dip first: two digits.".to_owned(),
            Some(Dial::Trend) => "Trend first: three digits.".to_owned(),
            _ => "Type what stands on the dial.".to_owned(),
        };
        return finding;
    }
    let chosen = open.at < open.reading.shots.len() && !open.is_draft();
    if chosen {
        let struck = open.reading.shots[open.at].struck_out;
        finding.words = format!("Shot {} of {}.", open.at + 1, shot_count(open));
        finding.detail = match (distance_of(&finding, open.at), struck) {
            (_, true) => "It is struck out and stays out of the mean.".to_owned(),
            (Some(deg), _) => format!("It lies {deg:.1}° from the mean."),
            (None, _) => String::new(),
        };
        finding.offers.push(if struck {
            Offer::PutBack(open.at)
        } else {
            Offer::StrikeOut(open.at)
        });
        return finding;
    }
    if !open.is_draft() && !shots_stand(open) {
        return withdrawn(finding, open);
    }
    agreed(&mut finding, open, &attitude, &noise);
    finding
}

fn shots_stand(open: &Open) -> bool {
    let shots = &open.reading.shots;
    shots.is_empty() || shots.iter().any(|shot| !shot.struck_out)
}

/// Every shot is struck out: nothing is drawn, and nothing agrees.
fn withdrawn(mut finding: Finding, open: &Open) -> Finding {
    let count = open.reading.shots.len();
    finding.planes.clear();
    finding.lines.clear();
    finding.together = None;
    finding.net_words = net_words(&finding, open);
    finding.words = match count {
        1 => "Its shot is struck out.".to_owned(),
        _ => "Every shot is struck out.".to_owned(),
    };
    // No more words: on a phone they would push the shots away.
    finding.detail = format!("The next digit begins shot {}.", count + 1);
    finding.offers.push(Offer::PutBack(count - 1));
    finding
}

/// The planes and lines to draw.
fn draw(finding: &mut Finding, open: &Open, attitude: &Attitude) {
    let shot = attitude.shots.get(open.shown_at());
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
}

/// The sentence turns into a doubt.
fn doubted(finding: &mut Finding, found: &Found, open: &Open, attitude: &Attitude, noise: &Noise) {
    let mut doubt = found.doubt.clone();
    let shown = open.shown_at();
    finding.shot = found.shot;
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
    if doubt.kind == DoubtKind::Scatter {
        scattered(finding, &doubt, attitude);
    } else if found.shot != shown {
        // The shot shown agrees; one before it does not.
        finding.detail = finding.words.clone();
        finding.words = format!("Shot {} is still in doubt.", found.shot + 1);
        finding.offers.push(Offer::StrikeOut(found.shot));
    } else if doubt.kind == DoubtKind::SetUp {
        finding.marked = doubt.dial;
        if open.is_draft() {
            // More dials may still tell: nothing is asked yet.
            finding.detail = "The dials that are still to come may tell which.".to_owned();
        } else {
            finding.page = page_of(open, attitude, &doubt, found.shot, noise);
        }
    } else {
        finding.marked = doubt.dial;
    }
    let asked = doubt.kind != DoubtKind::SetUp || found.shot != shown;
    if asked {
        let choices = doubt.choices.iter().cloned().map(Offer::Choice);
        // What explains another shot is told once that shot is chosen.
        finding.offers.extend(choices.filter(|offer| {
            found.shot == shown || matches!(offer, Offer::Choice(choice) if choice.sets.is_empty())
        }));
    }
    finding.doubt = Some(doubt);
}

/// The page of the shot's diagnosis.
fn page_of(
    open: &Open,
    attitude: &Attitude,
    doubt: &Doubt,
    shot: usize,
    noise: &Noise,
) -> Option<DoubtPage> {
    let reduced = attitude.shots.get(shot)?;
    let diagnosis = reduced.diagnosis.as_deref()?;
    let case = Case {
        shot: open.reading.shots.get(shot)?,
        plane: reduced.plane,
        marked: doubt.dial,
        noise,
    };
    Some(doubt::page(diagnosis, &case))
}

/// Shots scatter: which may be struck out. Two shots say nothing of which of them is wrong.
fn scattered(finding: &mut Finding, doubt: &Doubt, attitude: &Attitude) {
    let distances: Vec<(usize, f64)> = finding
        .mean
        .iter()
        .flat_map(|m| m.distances_deg.iter().enumerate())
        .filter_map(|(i, deg)| Some((i, (*deg)?)))
        .collect();
    if let [(first, a), (second, b)] = distances.as_slice() {
        finding.words = format!(
            "Shots {} and {} lie {:.1}° apart.",
            first + 1,
            second + 1,
            a + b
        );
        finding.detail = match doubt.message.split_once(", and ") {
            Some((one, expected)) if one.starts_with("shot ") => {
                format!("From their mean, {expected}: a third shot tells.")
            }
            _ => "That is more than is expected; a third shot tells.".to_owned(),
        };
        finding.offers.push(Offer::StrikeOut(*first));
        finding.offers.push(Offer::StrikeOut(*second));
    } else if doubt.message.starts_with("shot ") && !attitude.standing.is_empty() {
        // Where they scatter together, none of them stands apart.
        finding.offers.push(Offer::StrikeOut(finding.shot));
    }
}

/// Nothing disagrees, or it was settled.
fn agreed(finding: &mut Finding, open: &Open, attitude: &Attitude, noise: &Noise) {
    let shown = open.shown_at();
    let finished = open.is_finished();
    let reduced = attitude.shots.get(shown);
    let diagnosis = reduced.and_then(|s| s.diagnosis.as_deref());
    let adjusted = reduced.and_then(|s| s.adjusted.as_ref());
    let waiting = open.here == Some(Dial::Side);
    finding.words = match (finished, shot_count(open), diagnosis) {
        (true, 1, None) => "Kept. Nothing disagrees.".to_owned(),
        (true, _, _) => "Nothing disagrees.".to_owned(),
        (false, _, Some(d)) if adjusted.is_some() => {
            let count = doubt::count_word(d.read.count());
            sentence(&format!("{count} dials agree"))
        }
        (false, _, _) => "Nothing disagrees so far.".to_owned(),
    };
    let note = attitude.open.iter().find(|f| f.shot == shown);
    let settled = attitude
        .settled
        .iter()
        .rfind(|s| s.found.shot == shown && finished);
    if let Some(settled) = settled {
        let accepted = &open.reading.accepted[settled.accepted];
        let kept = accepted.sets.is_empty();
        finding.kept_doubt = kept && settled.found.doubt.severity == Severity::Doubt;
        if kept {
            finding.words = sentence(&accepted.choice);
            finding.detail = sentence(&settled.found.doubt.message.replace('`', ""));
        } else {
            finding.words = format!("Settled: {}.", accepted.choice.trim_end_matches('.'));
            finding.detail = match (finished_words(open, attitude), adjusted) {
                (Some(words), Some(_)) => {
                    format!("The dials stay as they were read; {words}.")
                }
                _ => "The dials stay as they were read.".to_owned(),
            };
        }
    } else if let (Some(diagnosis), Some(adjusted)) = (diagnosis, adjusted) {
        let off = off_words(reduced, noise);
        finding.detail = match (finished, finished_words(open, attitude)) {
            (true, Some(words)) => format!(
                "All {} within {:.1} × ±; {words}.",
                doubt::count_word(diagnosis.read.count()),
                doubt::within(adjusted)
            ),
            _ => off.unwrap_or_default(),
        };
    } else if let Some(note) = note {
        finding.detail = sentence(&note.doubt.message);
    } else if waiting {
        finding.detail = match open.sides() {
            Some(sides) => format!(
                "Which side does it dip to, {} or {}?",
                sides[0].0, sides[1].0
            ),
            None => String::new(),
        };
    } else if finished {
        finding.detail = format!("The next digit begins shot {}.", shot_count(open) + 1);
    }
}

/// How far the line read lies off the plane read.
fn off_words(reduced: Option<&Reduced>, noise: &Noise) -> Option<String> {
    let reduced = reduced?;
    let (plane, line) = (reduced.plane?, reduced.line?);
    Some(format!(
        "The line lies {:.1}° off the plane, good to ±{:.1}°.",
        plane.angle_to_line(&line).deg(),
        noise.off_plane_sd_deg(&plane, &line)
    ))
}

/// The adjusted plane and line of the whole reading, called adjusted.
fn finished_words(open: &Open, attitude: &Attitude) -> Option<String> {
    Some(doubt::adjusted_words(
        attitude.plane.as_ref()?,
        attitude.line.as_ref()?,
        written::read_strike(&open.reading),
        open.notation,
    ))
}

/// Beside the net of a plane with a line: the rake that trend and plunge give until the rake is in, then what was adjusted.
fn together(open: &Open, attitude: &Attitude, shown: usize) -> Option<(String, String)> {
    if open.reading.form != Form::PlaneWithLine {
        return None;
    }
    let reduced = attitude.shots.get(shown)?;
    let rake_read = open.shown().rake.is_some() && open.value(Dial::Rake).is_some();
    if !rake_read {
        let read = open.value(Dial::Trend).is_some() && open.value(Dial::Plunge).is_some();
        let rake = reduced.plane?.rake_of(reduced.line.as_ref()?)?;
        return read.then(|| {
            (
                format!("rake {:.0}", rake.deg()),
                "is where trend and plunge put the line".to_owned(),
            )
        });
    }
    let doubted = |f: &Found| f.doubt.severity == Severity::Doubt;
    if attitude.open.iter().any(doubted) || !open.is_finished() {
        return None;
    }
    let standing = || attitude.standing.iter().map(|&i| &attitude.shots[i]);
    if !standing().all(|shot| shot.adjusted.is_some()) {
        return None;
    }
    let words = match standing().count() {
        0 => return None,
        1 => "adjusted to all dials; the dials stay as read".to_owned(),
        n => format!("mean of {n} shots, adjusted; the dials stay as read"),
    };
    let (plane, line) = (attitude.plane.as_ref()?, attitude.line.as_ref()?);
    Some((
        format!(
            "{}, {}",
            written::plane(plane, written::read_strike(&open.reading), open.notation),
            written::line(line, open.notation)
        ),
        words,
    ))
}

fn distance_of(finding: &Finding, shot: usize) -> Option<f64> {
    *finding.mean.as_ref()?.distances_deg.get(shot)?
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
    let plane_distances = attitude.plane_mean.as_ref().map(Spread::of);
    let line_distances = attitude.line_mean.as_ref().map(Spread::of);
    let (value, line, mean) = match open.reading.form {
        Form::Line => {
            let mean = attitude.line_mean.as_ref()?;
            (
                written::line(&mean.value, open.notation),
                None,
                Spread::of(mean),
            )
        }
        Form::Angle => return None,
        Form::Plane | Form::PlaneWithLine => {
            let mean = attitude.plane_mean.as_ref()?;
            let line = attitude.line_mean.as_ref();
            (
                written::plane(
                    &mean.value,
                    written::read_strike(&open.reading),
                    open.notation,
                ),
                line.filter(|_| open.reading.form == Form::PlaneWithLine)
                    .map(|l| written::line(&l.value, open.notation)),
                Spread::of(mean),
            )
        }
    };
    if mean.offsets_deg.len() < 2 {
        return None;
    }
    // The shots of the page, by their numbers; a mean only knows those that it was given.
    let shots = attitude.shots.len();
    let mut offsets_deg = vec![None; shots];
    for (place, offset) in attitude.standing.iter().zip(&mean.offsets_deg) {
        offsets_deg[*place] = Some(*offset);
    }
    let mut distances_deg: Vec<Option<f64>> = vec![None; shots];
    for spread in [plane_distances, line_distances].into_iter().flatten() {
        if spread.distances_deg.len() != attitude.standing.len() {
            // Not every shot has both: the distances of one cannot be told by its place.
            continue;
        }
        for (place, deg) in attitude.standing.iter().zip(spread.distances_deg) {
            let slot = &mut distances_deg[*place];
            *slot = Some(slot.map_or(deg, |other| other.max(deg)));
        }
    }
    let observed = mean
        .observed_deg
        .map_or(String::new(), |o| format!(" {o:.1}°"));
    Some(MeanWords {
        value,
        line,
        words: format!(
            "mean of {}, ±{:.1}°; spread{observed}, {}",
            mean.offsets_deg.len(),
            mean.standard_error_deg,
            if mean.scatters {
                format!("beyond the {:.1}° expected", mean.expected_deg)
            } else {
                "as expected".to_owned()
            }
        ),
        expected_deg: mean.expected_deg,
        offsets_deg,
        distances_deg,
    })
}

/// The figures of a mean that do not depend on what it is a mean of.
struct Spread {
    offsets_deg: Vec<(f64, f64)>,
    distances_deg: Vec<f64>,
    expected_deg: f64,
    observed_deg: Option<f64>,
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
            distances_deg: mean.shots.iter().map(|s| s.distance_deg).collect(),
            expected_deg: mean.expected_deg,
            observed_deg: mean.observed_deg,
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

#[cfg(test)]
mod tests;
