//! What is found about a reading, in words or as JSON.

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::io::{self, Write};

use hingeline::orientation::{
    Diagnosis, Dial, Dials, Doubt, DoubtKind, Explanation, FrameDials, Plane, Severity, odds_words,
};
use serde::Serialize;

use crate::command::Format;
use crate::written::{in_one_line, tenth};

/// The reading, or other record, that is spoken of.
pub(super) struct About<'a> {
    pub(super) reading: &'a str,
    pub(super) station: &'a str,
    pub(super) kind: &'a str,
    /// Other records that share the doubt.
    pub(super) also: Vec<String>,
    /// The line of a table.
    pub(super) line: Option<u64>,
    /// Its dials held against each other, where it has one shot of four dials or more.
    pub(super) diagnosis: Option<&'a Diagnosis>,
}

impl<'a> About<'a> {
    /// A record without dials.
    pub(super) fn record(reading: &'a str, station: &'a str) -> Self {
        Self {
            reading,
            station,
            kind: "",
            also: Vec::new(),
            line: None,
            diagnosis: None,
        }
    }
}

/// One thing found.
pub(super) struct Finding<'a> {
    shot: Option<usize>,
    doubt: Cow<'a, str>,
    severity: Severity,
    message: Cow<'a, str>,
    dial: Option<Dial>,
    choices: Vec<(&'a str, &'a [(Dial, String)])>,
    /// The dials as read, and what was made of them.
    diagnosed: Option<(Dials<'a>, &'a Diagnosis)>,
    explains: bool,
}

impl<'a> Finding<'a> {
    /// A doubt of the orientation wing.
    pub(super) fn of(
        doubt: &'a Doubt,
        dials: &Dials<'a>,
        diagnosis: Option<&'a Diagnosis>,
    ) -> Self {
        let explains = doubt.kind == DoubtKind::SetUp;
        Self {
            shot: None,
            doubt: name(doubt.kind),
            severity: doubt.severity,
            message: Cow::Borrowed(&doubt.message),
            dial: doubt.dial,
            choices: if explains { Vec::new() } else { choices(doubt) },
            diagnosed: diagnosis.map(|diagnosis| (*dials, diagnosis)),
            explains,
        }
    }

    /// A doubt that is not about one shot's dials.
    pub(super) fn plain(doubt: &'a Doubt) -> Self {
        Self {
            severity: doubt.severity,
            dial: doubt.dial,
            choices: choices(doubt),
            message: Cow::Borrowed(&doubt.message),
            ..Self::named("", String::new())
        }
        .of_kind(doubt.kind)
    }

    fn of_kind(self, kind: DoubtKind) -> Self {
        Self {
            doubt: name(kind),
            ..self
        }
    }

    /// With ways to mend it that set no dial.
    pub(super) fn with_mends(self, mends: Vec<&'a str>) -> Self {
        let none: &[(Dial, String)] = &[];
        Self {
            choices: mends.into_iter().map(|words| (words, none)).collect(),
            ..self
        }
    }

    /// A doubt that has no kind of its own.
    pub(super) fn named(doubt: &'a str, message: String) -> Self {
        Self {
            shot: None,
            doubt: Cow::Borrowed(doubt),
            severity: Severity::Doubt,
            message: Cow::Owned(message),
            dial: None,
            choices: Vec::new(),
            diagnosed: None,
            explains: false,
        }
    }

    fn is_doubt(&self) -> bool {
        self.severity == Severity::Doubt
    }

    /// The same, about one shot of several, from 1.
    pub(super) fn of_shot(self, shot: usize) -> Self {
        Self {
            shot: Some(shot),
            ..self
        }
    }
}

fn choices(doubt: &Doubt) -> Vec<(&str, &[(Dial, String)])> {
    let choices = doubt.choices.iter();
    choices
        .map(|choice| (choice.words.as_str(), choice.sets.as_slice()))
        .collect()
}

/// A doubt's name in files.
fn name(kind: DoubtKind) -> Cow<'static, str> {
    match serde_json::to_value(kind) {
        Ok(serde_json::Value::String(name)) => Cow::Owned(name),
        // A unit variant is written as its name and nothing else.
        _ => Cow::Borrowed(""),
    }
}

/// Where the answer is written.
pub(super) struct Paper<W> {
    out: W,
    format: Format,
    all: bool,
    notes: bool,
    /// The file that is read, where there are several.
    file: Option<String>,
    readings: u64,
    doubted: u64,
    doubts: u64,
}

impl<W: Write> Paper<W> {
    pub(super) fn new(out: W, format: Format, all: bool, notes: bool) -> Self {
        Self {
            out,
            format,
            all,
            notes,
            file: None,
            readings: 0,
            doubted: 0,
            doubts: 0,
        }
    }

    /// Says which of several files comes now.
    pub(super) fn turn_to(&mut self, file: &str) -> io::Result<()> {
        self.file = Some(file.to_owned());
        match self.format {
            Format::Text => writeln!(self.out, "== {file}"),
            Format::Json => Ok(()),
        }
    }

    pub(super) fn doubted(&self) -> bool {
        self.doubts > 0
    }

    /// Writes what was found about a reading.
    pub(super) fn reading(
        &mut self,
        about: &About<'_>,
        findings: &[Finding<'_>],
    ) -> io::Result<()> {
        self.readings += 1;
        self.doubted += u64::from(findings.iter().any(Finding::is_doubt));
        self.write(about, findings, self.all)
    }

    /// Writes what was found about another record, or about several together.
    pub(super) fn record(&mut self, about: &About<'_>, findings: &[Finding<'_>]) -> io::Result<()> {
        self.write(about, findings, false)
    }

    fn write(&mut self, about: &About<'_>, findings: &[Finding<'_>], all: bool) -> io::Result<()> {
        let doubts = findings.iter().filter(|finding| finding.is_doubt()).count();
        self.doubts += u64::try_from(doubts).unwrap_or(u64::MAX);
        let notes = self.notes;
        let shown = || {
            findings
                .iter()
                .filter(move |finding| notes || finding.is_doubt())
        };
        let clean = doubts == 0 && all;
        match self.format {
            Format::Json => {
                for finding in shown() {
                    self.write_json(about, Some(finding))?;
                }
                if clean {
                    self.write_json(about, None)?;
                }
                Ok(())
            }
            Format::Text => {
                if clean || shown().next().is_some() {
                    self.write_heading(about, clean)?;
                }
                shown().try_for_each(|finding| write_finding(&mut self.out, finding))
            }
        }
    }

    fn write_json(&mut self, about: &About<'_>, finding: Option<&Finding<'_>>) -> io::Result<()> {
        let answer = Answer::new(self.file.as_deref(), about, finding);
        serde_json::to_writer(&mut self.out, &answer)?;
        self.out.write_all(b"\n")
    }

    fn write_heading(&mut self, about: &About<'_>, clean: bool) -> io::Result<()> {
        write!(self.out, "{}", in_one_line(about.reading))?;
        match about.also.as_slice() {
            [] => {}
            [other] => write!(self.out, " and {}", in_one_line(other))?,
            others => write!(self.out, " and {} more", others.len())?,
        }
        let mut parts = Vec::new();
        if !about.kind.is_empty() {
            parts.push(about.kind.to_owned());
        }
        if let Some(line) = about.line {
            if !about.station.is_empty() {
                parts.push(format!("station {}", about.station));
            }
            let named = format!("line {line}");
            if about.reading != named {
                parts.push(named);
            }
        }
        if !parts.is_empty() {
            write!(self.out, "  {}", in_one_line(&parts.join(", ")))?;
        }
        if clean {
            write!(self.out, "  no doubt")?;
            if let Some(adjusted) = about.diagnosis.and_then(|found| found.adjusted.as_ref()) {
                write!(
                    self.out,
                    "; chi-square {:.1} with {} degrees of freedom",
                    adjusted.chi2, adjusted.dof
                )?;
            }
        }
        writeln!(self.out)
    }

    /// Writes the last line, and all that is still in hand; where nothing could be read there is nothing to count.
    pub(super) fn close(&mut self, faulty: bool) -> io::Result<()> {
        let nothing = faulty && self.readings == 0 && self.doubts == 0;
        if matches!(self.format, Format::Text) && !nothing {
            writeln!(
                self.out,
                "{} in {} of {}",
                counted(self.doubts, "doubt"),
                self.doubted,
                counted(self.readings, "reading")
            )?;
        }
        self.out.flush()
    }
}

fn counted(count: u64, what: &str) -> String {
    if count == 1 {
        format!("1 {what}")
    } else {
        format!("{count} {what}s")
    }
}

fn write_finding(out: &mut impl Write, finding: &Finding<'_>) -> io::Result<()> {
    let loud = match finding.severity {
        Severity::Note => "note ",
        Severity::Doubt => "doubt",
    };
    write!(out, "  {loud}  {}", finding.doubt)?;
    if let Some(shot) = finding.shot {
        write!(out, ", shot {shot}")?;
    }
    writeln!(out, ": {}", in_one_line(&finding.message))?;
    if let (true, Some((_, diagnosis))) = (finding.explains, &finding.diagnosed) {
        for explanation in &diagnosis.explanations {
            let (number, of) = odds_words(explanation.odds);
            let sets: Vec<String> = explanation
                .sets
                .iter()
                .map(|(dial, text)| format!("{} {text}", dial_name(*dial)))
                .collect();
            writeln!(
                out,
                "         {:<12} {}: {}",
                format!("{number} {of}"),
                explanation.words,
                sets.join(", ")
            )?;
        }
        if let Some(decide) = &diagnosis.decide {
            writeln!(out, "         to decide:   {}", decide.words)?;
        }
    }
    for (words, _) in &finding.choices {
        writeln!(out, "         - {}", in_one_line(words))?;
    }
    Ok(())
}

/// A dial's name in files.
fn dial_name(dial: Dial) -> String {
    match serde_json::to_value(dial) {
        Ok(serde_json::Value::String(name)) => name,
        // A unit variant is written as its name and nothing else.
        _ => String::new(),
    }
}

#[derive(Serialize)]
struct Answer<'a> {
    #[serde(skip_serializing_if = "Option::is_none")]
    file: Option<&'a str>,
    reading: &'a str,
    station: &'a str,
    kind: &'a str,
    #[serde(skip_serializing_if = "<[String]>::is_empty")]
    also: &'a [String],
    #[serde(skip_serializing_if = "Option::is_none")]
    line: Option<u64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    shot: Option<usize>,
    doubt: &'a str,
    severity: Option<Severity>,
    message: &'a str,
    dial: Option<Dial>,
    chi2: Option<f64>,
    dof: Option<usize>,
    as_read: Option<f64>,
    explanations: Vec<ExplanationAnswer<'a>>,
    decide: Option<DecideAnswer<'a>>,
    choices: Vec<ChoiceAnswer<'a>>,
}

impl<'a> Answer<'a> {
    fn new(file: Option<&'a str>, about: &'a About<'a>, finding: Option<&'a Finding<'a>>) -> Self {
        let diagnosed = finding.and_then(|finding| finding.diagnosed.as_ref());
        let diagnosis = diagnosed
            .map(|(_, diagnosis)| *diagnosis)
            .or(about.diagnosis);
        let adjusted = diagnosis.and_then(|diagnosis| diagnosis.adjusted.as_ref());
        let explaining = diagnosed.filter(|_| finding.is_some_and(|finding| finding.explains));
        Self {
            file,
            reading: about.reading,
            station: about.station,
            kind: about.kind,
            also: &about.also,
            line: about.line,
            shot: finding.and_then(|finding| finding.shot),
            doubt: finding.map_or("", |finding| &finding.doubt),
            severity: finding.map(|finding| finding.severity),
            message: finding.map_or("", |finding| &finding.message),
            dial: finding.and_then(|finding| finding.dial),
            chi2: adjusted.map(|adjusted| adjusted.chi2),
            dof: adjusted.map(|adjusted| adjusted.dof),
            as_read: diagnosis.map(|diagnosis| diagnosis.as_read_odds),
            explanations: explaining.map_or_else(Vec::new, |(dials, diagnosis)| {
                let explanations = diagnosis.explanations.iter();
                explanations
                    .map(|explanation| ExplanationAnswer::new(dials, &diagnosis.read, explanation))
                    .collect()
            }),
            decide: explaining
                .and_then(|(_, diagnosis)| diagnosis.decide.as_ref())
                .map(|decide| DecideAnswer {
                    dial: decide.dial,
                    words: &decide.words,
                }),
            choices: finding.map_or_else(Vec::new, |finding| {
                let choices = finding.choices.iter();
                choices
                    .map(|(words, dials)| ChoiceAnswer {
                        words,
                        sets: sets(dials),
                    })
                    .collect()
            }),
        }
    }
}

fn sets(sets: &[(Dial, String)]) -> BTreeMap<Dial, &str> {
    sets.iter()
        .map(|(dial, text)| (*dial, text.as_str()))
        .collect()
}

#[derive(Serialize)]
struct ExplanationAnswer<'a> {
    what: &'a str,
    slip: String,
    with: Vec<String>,
    odds: f64,
    detail: &'a str,
    corrected: Corrected<'a>,
}

impl<'a> ExplanationAnswer<'a> {
    fn new(dials: &Dials<'a>, read: &FrameDials, explanation: &'a Explanation) -> Self {
        Self {
            what: &explanation.words,
            slip: explanation.slip.to_string(),
            with: explanation.with.iter().map(ToString::to_string).collect(),
            odds: explanation.odds,
            detail: &explanation.detail,
            corrected: Corrected::new(dials, read, explanation),
        }
    }
}

/// The dials as they should have been read.
#[derive(Serialize)]
struct Corrected<'a> {
    strike: Option<f64>,
    dip: Option<f64>,
    toward: Option<Toward<'a>>,
    trend: Option<f64>,
    plunge: Option<f64>,
    rake: Option<f64>,
    plane: PlaneAnswer,
}

#[derive(Serialize)]
#[serde(untagged)]
enum Toward<'a> {
    Letters(&'a str),
    Azimuth(f64),
}

impl<'a> Corrected<'a> {
    fn new(dials: &Dials<'a>, read: &FrameDials, explanation: &'a Explanation) -> Self {
        let corrected = &explanation.corrected;
        let set = |dial: Dial| {
            let mut sets = explanation.sets.iter();
            sets.find(|(set, _)| *set == dial)
                .map(|(_, text)| text.as_str())
        };
        // A strike that was not corrected stays at the end that was read, even where that is not the right-hand one.
        let strike = match (set(Dial::Strike), dials.strike.and_then(plain_number)) {
            (Some(set), _) => plain_number(set).or(corrected.strike_deg),
            (None, Some(read)) if corrected.strike_deg.is_some_and(|deg| same_line(deg, read)) => {
                Some(read)
            }
            _ => corrected.strike_deg,
        };
        let letters = set(Dial::Side).or(dials.side).map(str::trim);
        let toward = match (letters, corrected.toward_deg) {
            (_, Some(deg)) => Some(Toward::Azimuth(deg)),
            (Some(letters), None) if !letters.is_empty() => Some(Toward::Letters(letters)),
            _ => None,
        };
        Self {
            strike,
            dip: read.dip_deg.and(corrected.dip_deg),
            toward,
            trend: read.trend_deg.and(corrected.trend_deg),
            plunge: read.plunge_deg.and(corrected.plunge_deg),
            rake: read.rake_deg.and(corrected.rake_deg),
            plane: PlaneAnswer::new(&explanation.adjusted.plane),
        }
    }
}

/// Whether two azimuths are ends of one line, to a ten-thousandth of a degree.
fn same_line(a_deg: f64, b_deg: f64) -> bool {
    let apart = (a_deg - b_deg).rem_euclid(180.0);
    apart.min(180.0 - apart) < 1e-4
}

/// A number in plain digits, as a table or a correction writes it.
fn plain_number(text: &str) -> Option<f64> {
    let deg: f64 = text.trim().replace(',', ".").parse().ok()?;
    deg.is_finite().then_some(deg)
}

/// A plane by the right-hand rule.
#[derive(Serialize)]
struct PlaneAnswer {
    strike: f64,
    dip: f64,
    dip_direction: f64,
}

impl PlaneAnswer {
    fn new(plane: &Plane) -> Self {
        Self {
            strike: tenth(plane.strike().deg()),
            dip: tenth(plane.dip().deg()),
            dip_direction: tenth(plane.dip_direction().deg()),
        }
    }
}

#[derive(Serialize)]
struct DecideAnswer<'a> {
    dial: Dial,
    words: &'a str,
}

#[derive(Serialize)]
struct ChoiceAnswer<'a> {
    words: &'a str,
    sets: BTreeMap<Dial, &'a str>,
}
