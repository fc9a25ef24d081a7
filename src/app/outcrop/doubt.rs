//! The doubt of a set-up, opened: which dials disagree and by how much, what explains it, and what would decide.
//!
//! Only what stands on the page; nothing here draws, and nothing is decided here.

use crate::app::drawing::MarkForm;
use crate::app::outcrop::open::part;
use crate::app::written;
use crate::notebook::{Notation, Shot};
use crate::orientation::{
    Adjusted, Choice, Diagnosis, Dial, Explanation, Line, Noise, Plane, Rake, odds_words,
};

/// One dial of the set-up, as read and after the best explanation.
#[derive(Clone, Debug, PartialEq)]
pub struct ResidualRow {
    /// The dial to touch.
    pub dial: Dial,
    /// Its name.
    pub name: &'static str,
    /// As it was read.
    pub value: String,
    /// How far it is off as read, in multiples of its own ±, with its sign.
    pub read: Option<f64>,
    /// How far it is off after the best explanation.
    pub after: Option<f64>,
    /// The size as read: `21`.
    pub size: String,
    /// What it is a multiple of: `±2.0°`.
    pub own: String,
    /// The dial most changed by the best explanation.
    pub marked: bool,
    /// The row as a screen reader says it.
    pub spoken: String,
}

/// A line held against the others on the small net.
#[derive(Clone, Debug, PartialEq)]
pub struct Said {
    /// Trend, degrees.
    pub trend_deg: f64,
    /// Plunge, degrees.
    pub plunge_deg: f64,
    /// Which dials say so; empty where it only marks a place.
    pub label: String,
    /// How it is drawn.
    pub form: MarkForm,
}

/// One explanation as a plate.
#[derive(Clone, Debug, PartialEq)]
pub struct Way {
    /// `99`, and `in 100` under it.
    pub odds: (String, String),
    /// What happened.
    pub words: String,
    /// What follows from it.
    pub detail: String,
    /// Every dial after it, in multiples of its own ±.
    pub bars: Vec<f64>,
    /// What accepting it writes; none where it fits nothing.
    pub choice: Option<Choice>,
}

/// The whole page.
#[derive(Clone, Debug, PartialEq)]
pub struct DoubtPage {
    /// `These five dials cannot all be right`.
    pub heading: String,
    /// What the hollow bars are: `if rake was 32`.
    pub after_words: Option<String>,
    /// The dials.
    pub rows: Vec<ResidualRow>,
    /// The plane as read, right-hand strike and dip, degrees.
    pub plane: Option<(f64, f64)>,
    /// The plane after the best explanation, where it is another one.
    pub other_plane: Option<(f64, f64)>,
    /// What the dials say of the line.
    pub said: Vec<Said>,
    /// The small net in one sentence.
    pub net_words: String,
    /// What contradicts what, bold.
    pub finding: String,
    /// The rest of it.
    pub numbers: String,
    /// A remark on the best explanation, soft.
    pub remark: String,
    /// At most three explanations, likeliest first.
    pub ways: Vec<Way>,
    /// What was tried and fits nothing.
    pub tried: Vec<Way>,
    /// Which dial would tell the explanations apart.
    pub decide: Option<String>,
}

/// What the page is made from, besides the diagnosis.
#[derive(Clone, Copy, Debug)]
pub struct Case<'a> {
    /// The shot as it was read.
    pub shot: &'a Shot,
    /// The plane as read.
    pub plane: Option<Plane>,
    /// The dial to be marked.
    pub marked: Option<Dial>,
    /// What the set-up lets expect.
    pub noise: &'a Noise,
}

/// The page of a diagnosis.
///
/// # Degenerate input
/// A diagnosis that could not adjust the dials as read: rows without bars. One without explanations: no plates, so that
/// the dials can only be kept or read again.
pub fn page(diagnosis: &Diagnosis, case: &Case<'_>) -> DoubtPage {
    let best = diagnosis.explanations.first();
    let (finding, numbers) = contradiction(diagnosis, case);
    let plane = case.plane.map(|p| (p.strike().deg(), p.dip().deg()));
    let other_plane = best
        .map(|e| e.adjusted.plane)
        .filter(|other| case.plane.is_some_and(|p| p.angle(other).deg() > OTHER_DEG))
        .map(|p| (p.strike().deg(), p.dip().deg()));
    let said = said(diagnosis, case);
    DoubtPage {
        heading: format!(
            "These {} dials cannot all be right",
            count_word(diagnosis.read.count())
        ),
        after_words: best.map(|e| if_words(e, case.shot)),
        rows: rows(diagnosis, case),
        plane,
        other_plane,
        net_words: net_words(&said),
        said,
        finding,
        numbers,
        remark: best.map(|e| remark(e, case)).unwrap_or_default(),
        ways: diagnosis.explanations.iter().map(way).collect(),
        tried: diagnosis
            .also_tried
            .iter()
            .map(|tried| Way {
                odds: ("no".to_owned(), "fit".to_owned()),
                words: lower_first(&tried.words),
                detail: tried.detail.clone(),
                bars: times(&tried.adjusted),
                choice: None,
            })
            .collect(),
        decide: diagnosis.decide.as_ref().map(|d| d.words.clone()),
    }
}

/// A plane or a line farther than this from another is drawn as another one.
const OTHER_DEG: f64 = 4.0;

/// How many standard deviations off its plane a line has to be for that to be the contradiction worth telling first.
const OFF_PLANE_TIMES: f64 = 3.0;

fn way(explanation: &Explanation) -> Way {
    Way {
        odds: odds_words(explanation.odds),
        words: explanation.words.clone(),
        detail: explanation.detail.clone(),
        bars: times(&explanation.adjusted),
        choice: Some(explanation.choice()),
    }
}

/// Every residual in multiples of its own ±.
fn times(adjusted: &Adjusted) -> Vec<f64> {
    let residuals = adjusted.residuals.iter();
    residuals.map(|r| r.residual_deg / r.sd_deg).collect()
}

fn rows(diagnosis: &Diagnosis, case: &Case<'_>) -> Vec<ResidualRow> {
    let after = diagnosis.explanations.first().map(|e| &e.adjusted);
    let of = |adjusted: Option<&Adjusted>, dial: Dial| {
        let residual = adjusted?.residuals.iter().find(|r| r.dial == dial)?;
        Some((residual.residual_deg / residual.sd_deg, residual.sd_deg))
    };
    let all = [
        Dial::Strike,
        Dial::Dip,
        Dial::Toward,
        Dial::Trend,
        Dial::Plunge,
        Dial::Rake,
    ];
    all.into_iter()
        .filter(|&dial| diagnosis.read.get(dial).is_some() && case.shot.get(dial).is_some())
        .map(|dial| {
            let read = of(diagnosis.adjusted.as_ref(), dial);
            let after = of(after, dial).map(|(times, _)| times);
            let (size, own) = read.map_or((String::new(), String::new()), |(times, sd_deg)| {
                (size(times), format!("±{sd_deg:.1}°"))
            });
            let value = value(case.shot, dial);
            let marked =
                case.marked == Some(dial) || dial == Dial::Dip && case.marked == Some(Dial::Side);
            let mut spoken = format!("{}, {}", dial.words(), spelt(&value));
            if read.is_some() {
                spoken.push_str(&format!(", off by {size} times its own {own}"));
            }
            if let Some(after) = after {
                spoken.push_str(&format!(
                    ", {} times after the first explanation",
                    self::size(after)
                ));
            }
            if marked {
                spoken.push_str(", doubted");
            }
            ResidualRow {
                dial,
                name: dial.words(),
                value,
                read: read.map(|(times, _)| times),
                after,
                size,
                own,
                marked,
                spoken,
            }
        })
        .collect()
}

/// What stood on a dial; the dip with its side, a plunge with where it points if that is up.
fn value(shot: &Shot, dial: Dial) -> String {
    let text = part::shown(shot.get(dial).unwrap_or_default());
    match (dial, &shot.side) {
        (Dial::Dip, Some(side)) => format!("{text} {side}"),
        (Dial::Plunge, _) if shot.up => format!("{text} up"),
        _ => text,
    }
}

/// A value letter by letter, as a person reads it off a dial.
fn spelt(value: &str) -> String {
    let words = value.chars().map(|c| match c {
        '0' => "zero".to_owned(),
        '¼' | '½' | '¾' => part::spoken(c).unwrap_or_default().to_owned(),
        '.' => "point".to_owned(),
        c => c.to_string(),
    });
    words.collect::<Vec<_>>().join(" ").replace("   ", ", ")
}

/// A count of dials in words.
pub fn count_word(count: usize) -> String {
    match count {
        2 => "two".to_owned(),
        3 => "three".to_owned(),
        4 => "four".to_owned(),
        5 => "five".to_owned(),
        6 => "six".to_owned(),
        n => n.to_string(),
    }
}

/// A multiple as it is written: whole from 10 on, tenths below.
pub fn size(times: f64) -> String {
    let times = times.abs();
    if times >= 9.95 {
        format!("{times:.0}")
    } else {
        format!("{times:.1}")
    }
}

/// The largest residual of an adjustment in multiples of its own ±, rounded up to tenths.
pub fn within(adjusted: &Adjusted) -> f64 {
    let largest = times(adjusted)
        .into_iter()
        .fold(0.0, |most: f64, t| most.max(t.abs()));
    ((largest * 10.0 - 1e-9).ceil() / 10.0).max(0.0)
}

/// The adjusted plane and line, in the book's notation; its strike end is the one that was read.
pub fn adjusted_words(
    plane: &Plane,
    line: &Line,
    read_strike_deg: Option<f64>,
    notation: Notation,
) -> String {
    format!(
        "adjusted {}, line {}",
        written::plane(plane, read_strike_deg, notation),
        written::line(line, notation)
    )
}

/// What the hollow bars show.
fn if_words(best: &Explanation, shot: &Shot) -> String {
    match best.sets.as_slice() {
        [(Dial::Side, side)] => format!("if it dipped {side}"),
        [(dial, text)] => format!("if {} was {}", dial.words(), trim_zeros(*dial, text)),
        [(a, first), (b, second)] if shot.get(*a).is_some() && shot.get(*b).is_some() => {
            format!(
                "if {} was {} and {} {}",
                a.words(),
                first,
                if *b == Dial::Side {
                    "it dipped"
                } else {
                    b.words()
                },
                second
            )
        }
        _ => "after the first explanation".to_owned(),
    }
}

/// A rake is spoken of without leading zeros, an azimuth with all three digits.
fn trim_zeros(dial: Dial, text: &str) -> String {
    if dial != Dial::Rake {
        return text.to_owned();
    }
    let trimmed = text.trim_start_matches('0');
    if trimmed.is_empty() || trimmed.starts_with('.') {
        format!("0{trimmed}")
    } else {
        trimmed.to_owned()
    }
}

/// The line that trend and plunge give.
fn read_line(diagnosis: &Diagnosis) -> Option<Line> {
    Line::from_deg(diagnosis.read.trend_deg?, diagnosis.read.plunge_deg?).ok()
}

/// The line that the rake gives in the plane as read.
fn raked_line(diagnosis: &Diagnosis, case: &Case<'_>) -> Option<Line> {
    let rake = Rake::from_deg(diagnosis.read.rake_deg?).ok()?;
    Some(case.plane?.line_at(rake))
}

fn said(diagnosis: &Diagnosis, case: &Case<'_>) -> Vec<Said> {
    let mut said = Vec::new();
    let mut say = |line: &Line, label: String, form: MarkForm| {
        said.push(Said {
            trend_deg: line.trend().deg(),
            plunge_deg: line.plunge().deg(),
            label,
            form,
        });
    };
    let read = read_line(diagnosis);
    let raked = raked_line(diagnosis, case);
    if let Some(best) = diagnosis.explanations.first() {
        say(&best.adjusted.line, String::new(), MarkForm::Dotted);
    }
    if let Some(line) = &read {
        say(line, "trend, plunge".to_owned(), MarkForm::Full);
    }
    if let Some(line) = &raked {
        let rake = case.shot.get(Dial::Rake).unwrap_or_default();
        say(line, format!("rake {rake}"), MarkForm::Hollow);
    }
    said
}

fn net_words(said: &[Said]) -> String {
    let mut words = "net, lower hemisphere: the plane as read".to_owned();
    for one in said.iter().filter(|one| !one.label.is_empty()) {
        words.push_str(&format!(
            "; {} put the line at {:02.0} toward {:03.0}",
            one.label,
            one.plunge_deg,
            one.trend_deg.round().rem_euclid(360.0)
        ));
    }
    words
}

/// What contradicts what: a bold sentence and the numbers after it.
fn contradiction(diagnosis: &Diagnosis, case: &Case<'_>) -> (String, String) {
    let sd = |dial: Dial| {
        let residuals = &diagnosis.adjusted.as_ref()?.residuals;
        Some(residuals.iter().find(|r| r.dial == dial)?.sd_deg)
    };
    let Some(plane) = case.plane else {
        return (String::new(), String::new());
    };
    let rake_text = case.shot.get(Dial::Rake).unwrap_or_default();
    match (read_line(diagnosis), diagnosis.read.rake_deg) {
        (Some(line), rake) => {
            let off_deg = plane.angle_to_line(&line).deg();
            let good_deg = case.noise.off_plane_sd_deg(&plane, &line);
            let there = plane.rake_of(&line).map(Rake::deg);
            if off_deg > OFF_PLANE_TIMES * good_deg || rake.is_none() {
                let numbers = match (there, rake) {
                    (Some(there), Some(_)) => format!(
                        "It is good to ±{good_deg:.1}°. Along the plane the nearest rake is {there:.0}; the dial says {rake_text}."
                    ),
                    _ => format!("It is good to ±{good_deg:.1}°."),
                };
                return (
                    format!("Trend and plunge put the line {off_deg:.1}° off the plane."),
                    numbers,
                );
            }
            let (Some(there), Some(rake)) = (there, rake) else {
                return (String::new(), String::new());
            };
            // Along the plane from one to the other, without passing its strike line.
            let apart = (there - rake).abs();
            let good = sd(Dial::Rake).map_or(String::new(), |sd| {
                format!(", and the rake is good to ±{sd:.0}°")
            });
            (
                format!("Trend and plunge put the line at rake {there:.0}."),
                format!(
                    "The dial says {rake_text}: that is {apart:.0}° away along the plane{good}."
                ),
            )
        }
        (None, Some(_)) => {
            let Some(line) = raked_line(diagnosis, case) else {
                return (String::new(), String::new());
            };
            let (trend, plunge) = (line.trend().deg(), line.plunge().deg());
            let at = written::line(&line, Notation::StrikeDip).replace('→', " toward ");
            let bold = format!("The rake puts the line at {at}.");
            let says = |dial: Dial, there: f64, read: Option<f64>| {
                let read = read?;
                let apart = (there - read).rem_euclid(360.0);
                let apart = apart.min(360.0 - apart);
                let good = sd(dial).map_or(String::new(), |sd| format!(", good to ±{sd:.1}°"));
                Some(format!(
                    "The {} dial says {}: {apart:.0}° away{good}.",
                    dial.words(),
                    case.shot.get(dial)?
                ))
            };
            let numbers = says(Dial::Trend, trend, diagnosis.read.trend_deg)
                .or_else(|| says(Dial::Plunge, plunge, diagnosis.read.plunge_deg))
                .unwrap_or_default();
            (bold, numbers)
        }
        (None, None) => (String::new(), String::new()),
    }
}

/// A remark where the rake was counted from the other end: what it reads from there.
fn remark(best: &Explanation, case: &Case<'_>) -> String {
    let [(Dial::Rake, corrected)] = best.sets.as_slice() else {
        return String::new();
    };
    let (Some(read), Some(plane)) = (case.shot.get(Dial::Rake), case.plane) else {
        return String::new();
    };
    let turned = match (corrected.parse::<f64>(), read.parse::<f64>()) {
        (Ok(corrected), Ok(read)) => (corrected + read - 180.0).abs() < 0.01,
        _ => false,
    };
    if !turned {
        return String::new();
    }
    let other_deg = (plane.strike().deg() + 180.0).rem_euclid(360.0);
    let strike = case
        .shot
        .get(Dial::Strike)
        .and_then(|s| s.parse::<f64>().ok());
    let is_read = strike.is_some_and(|s| {
        let away = (s - other_deg).rem_euclid(360.0);
        away.min(360.0 - away) < 90.0
    });
    format!(
        "Counted from {}, the {}, rake {} reads {}.",
        written::three(other_deg),
        if is_read { "end you read" } else { "other end" },
        trim_zeros(Dial::Rake, corrected),
        trim_zeros(Dial::Rake, read)
    )
}

fn lower_first(words: &str) -> String {
    let mut letters = words.chars();
    let first: String = letters
        .next()
        .map(|c| c.to_lowercase().collect())
        .unwrap_or_default();
    format!("{first}{}", letters.as_str())
}

#[cfg(test)]
mod tests;
