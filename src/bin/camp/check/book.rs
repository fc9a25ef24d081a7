//! A book file: every reading that stands, shot by shot, and what disagrees about its records.

use std::collections::BTreeMap;
use std::io::{self, Write};

use hingeline::exchange::book;
use hingeline::notebook::{Ledger, Line, Pages, Reading, SetUp, State, attitude};
use hingeline::orientation::{Dials, DoubtKind};

use super::Faults;
use super::answer::{About, Finding, Paper};

/// Prints the doubts of a book; one that cannot be read is named.
pub(super) fn check(
    bytes: &[u8],
    paper: &mut Paper<impl Write>,
    faults: &mut Faults<'_>,
) -> io::Result<()> {
    let file = match book::read_bytes(bytes) {
        Ok(file) => file,
        Err(error) => {
            faults.add(error);
            return Ok(());
        }
    };
    let mut ledger = Ledger::new();
    ledger.join(file.entries);
    let pages = Pages::of(&ledger);
    let set_ups: BTreeMap<&str, &SetUp> = pages
        .set_ups()
        .iter()
        .filter_map(|line| Some((line.record().as_str(), line.set_up()?)))
        .collect();
    for page in pages.stations() {
        let station = page.line().number().to_string();
        contested(&ledger, page.line(), &station, &station, paper)?;
        if page.line().is_struck_out() {
            continue;
        }
        for line in page.readings() {
            let name = format!("{station}.{}", line.number());
            reading(&ledger, line, &name, &station, &set_ups, paper)?;
        }
    }
    for line in pages.strays() {
        let name = format!("{}.{}", line.record().as_str(), line.number());
        reading(&ledger, line, &name, "", &set_ups, paper)?;
    }
    for line in pages.set_ups() {
        let name = line.set_up().map_or("", |set_up| &set_up.name);
        contested(&ledger, line, &format!("set-up {name}"), "", paper)?;
    }
    for cloned in ledger.clones() {
        let message = format!(
            "the device {} has two histories from its entry {} on, by {}: most likely a tablet whose storage was copied",
            cloned.device,
            cloned.counter,
            cloned.by.join(" and ")
        );
        let finding = Finding::named("cloned-device", message);
        paper.reading(&About::record("book", "", ""), &[finding])?;
    }
    let unknown = pages.unknown().len();
    if unknown > 0 {
        faults.note(&format!(
            "{unknown} records are of a kind that this version cannot read; they were passed over"
        ));
    }
    Ok(())
}

fn reading(
    ledger: &Ledger,
    line: &Line,
    name: &str,
    station: &str,
    set_ups: &BTreeMap<&str, &SetUp>,
    paper: &mut Paper<impl Write>,
) -> io::Result<()> {
    if line.is_struck_out() {
        return Ok(());
    }
    let Some(reading) = line.reading() else {
        return Ok(());
    };
    let set_up = reading.set_up.as_deref();
    let set_up = set_up.and_then(|record| set_ups.get(record).copied());
    let attitude = attitude::of_in(reading, set_up);
    let dials: Vec<Dials<'_>> = shots(reading);
    let mut findings: Vec<Finding<'_>> = Vec::new();
    for found in &attitude.open {
        let (Some(dials), Some(reduced)) = (dials.get(found.shot), attitude.shots.get(found.shot))
        else {
            continue;
        };
        let mut finding = Finding::of(&found.doubt, dials, reduced.diagnosis.as_deref());
        if reading.shots.len() > 1 || found.doubt.kind == DoubtKind::Scatter {
            finding = finding.of_shot(found.shot + 1);
        }
        findings.push(finding);
    }
    findings.extend(disputed(ledger, line));
    // One shot speaks for the reading; several have a mean, and each its own sum of squares.
    let diagnosis = match attitude.shots.as_slice() {
        [one] => one.diagnosis.as_deref(),
        _ => None,
    };
    let about = About {
        reading: name,
        station,
        kind: &reading.kind,
        line: None,
        diagnosis,
    };
    paper.reading(&about, &findings)
}

fn shots(reading: &Reading) -> Vec<Dials<'_>> {
    let shots = reading.shots.iter();
    shots.map(|shot| shot.dials(reading.right_hand)).collect()
}

/// A record other than a reading speaks only where two people changed the same field of it.
fn contested(
    ledger: &Ledger,
    line: &Line,
    name: &str,
    station: &str,
    paper: &mut Paper<impl Write>,
) -> io::Result<()> {
    match disputed(ledger, line) {
        Some(finding) => paper.reading(&About::record(name, station, ""), &[finding]),
        None => Ok(()),
    }
}

/// The doubt about a record of which two people changed the same field.
fn disputed<'a>(ledger: &Ledger, line: &Line) -> Option<Finding<'a>> {
    if !line.is_contested() {
        return None;
    }
    let State::Contested { fields, others, .. } = ledger.state(line.record().as_str()) else {
        return None;
    };
    let message = format!(
        "{} versions of it disagree about {}; one of them has to be chosen",
        others.len() + 1,
        fields.join(", ")
    );
    Some(Finding::named("contested", message))
}
