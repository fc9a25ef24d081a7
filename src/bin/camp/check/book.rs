//! A book file: every reading that stands, shot by shot, and what disagrees about its records.

use std::collections::HashMap;
use std::io::{self, Write};

use hingeline::exchange::book;
use hingeline::notebook::beyond;
use hingeline::notebook::company::{self, Apart};
use hingeline::notebook::namesakes::{Taken, namesakes};
use hingeline::notebook::{Ledger, Line, Pages, Reading, RecordId, State, attitude, north};
use hingeline::notebook::{around, places, structure};
use hingeline::orientation::{Dials, DoubtKind};

use super::Faults;
use super::answer::{About, Finding, Paper};

/// Prints the doubts of a book; one that cannot be read is named. Gives how many records are of a kind that this version cannot
/// read; `at` is told how many stations of how many are done.
pub(super) fn check(
    bytes: &[u8],
    paper: &mut Paper<impl Write>,
    faults: &mut Faults<'_>,
    at: &mut dyn FnMut(u64, u64),
) -> io::Result<usize> {
    at(0, 1);
    let file = match book::read_bytes(bytes) {
        Ok(file) => file,
        Err(error) => {
            faults.add(error);
            return Ok(0);
        }
    };
    let mut ledger = Ledger::new();
    ledger.join(file.entries);
    let standing = beyond::standing_in(&file.beyond, &ledger);
    if !standing.is_empty() {
        faults.note(&format!("this is a part: {}", beyond::words(&standing)));
    }
    let pages = Pages::of(&ledger);
    let mut checked = Checked {
        ledger: &ledger,
        pages: &pages,
        names: names(&pages),
        apart: HashMap::new(),
    };
    for (_, company) in company::of_book(&pages) {
        for apart in company.doubts {
            if let Some(record) = apart.member.record.clone() {
                checked.apart.entry(record).or_default().push(apart);
            }
        }
    }
    let stations = pages.stations();
    for (done, page) in stations.iter().enumerate() {
        at(done as u64, stations.len() as u64);
        let station = page.line().number().to_string();
        checked.record(page.line(), &station, paper)?;
        if page.line().is_struck_out() {
            continue;
        }
        for line in page.readings() {
            checked.reading(line, &station, paper)?;
        }
        for line in page.sightings() {
            checked.record(line, &station, paper)?;
        }
        for line in page.photos() {
            checked.record(line, &station, paper)?;
        }
    }
    for line in pages.strays() {
        checked.reading(line, "", paper)?;
    }
    for line in pages.set_ups() {
        checked.record(line, "", paper)?;
    }
    checked.norths(paper)?;
    checked.neighbours(paper)?;
    checked.places(paper)?;
    for cloned in ledger.clones() {
        let message = cloned.words();
        let finding = Finding::named("cloned-device", message);
        paper.record(&About::record("book", ""), &[finding])?;
    }
    Ok(pages.unknown().len())
}

/// What each record is called: `47.3` for reading 3 of station 47.
fn names(pages: &Pages) -> HashMap<&RecordId, String> {
    let mut names = HashMap::new();
    for page in pages.stations() {
        let station = page.line().number();
        names.insert(page.line().record(), station.to_string());
        for line in page.readings() {
            names.insert(line.record(), format!("{station}.{}", line.number()));
        }
        for line in page.sightings() {
            names.insert(
                line.record(),
                format!("{station} sighting {}", line.number()),
            );
        }
        for line in page.photos() {
            let name = Taken::Photo.name(&station.to_string(), line.number());
            names.insert(line.record(), format!("photo {name}"));
        }
    }
    for line in pages.strays().chain(pages.stray_sightings()) {
        let station = line.reading().map_or("", |reading| &reading.station);
        names.insert(line.record(), format!("{station}.{}", line.number()));
    }
    for line in pages.set_ups() {
        let name = line.set_up().map_or("", |set_up| &set_up.name);
        names.insert(line.record(), format!("set-up {name}"));
    }
    names
}

/// A book that is being checked.
struct Checked<'a> {
    ledger: &'a Ledger,
    pages: &'a Pages,
    names: HashMap<&'a RecordId, String>,
    /// What does not agree with the readings it stands with, by the reading that is marked.
    apart: HashMap<RecordId, Vec<Apart>>,
}

impl Checked<'_> {
    fn name<'r>(&'r self, record: &'r RecordId) -> &'r str {
        self.names
            .get(record)
            .map_or(record.as_str(), String::as_str)
    }

    fn reading(&self, line: &Line, station: &str, paper: &mut Paper<impl Write>) -> io::Result<()> {
        if line.is_struck_out() {
            return Ok(());
        }
        let Some(reading) = line.reading() else {
            return Ok(());
        };
        let attitude = attitude::in_book(self.pages, reading);
        let dials: Vec<Dials<'_>> = shots(reading);
        let mut findings: Vec<Finding<'_>> = Vec::new();
        for found in &attitude.open {
            let (Some(dials), Some(reduced)) =
                (dials.get(found.shot), attitude.shots.get(found.shot))
            else {
                continue;
            };
            let mut finding = Finding::of(&found.doubt, dials, reduced.diagnosis.as_deref());
            if reading.shots.len() > 1 || found.doubt.kind == DoubtKind::Scatter {
                finding = finding.of_shot(found.shot + 1);
            }
            findings.push(finding);
        }
        let unread = attitude::unread(reading);
        findings.extend(unread.as_ref().map(Finding::plain));
        let apart = self.apart.get(line.record()).into_iter().flatten();
        findings.extend(apart.map(|apart| Finding::plain(&apart.doubt)));
        findings.extend(disputed(self.ledger, line));
        // One shot speaks for the reading; several have a mean, and each its own sum of squares.
        let diagnosis = match attitude.shots.as_slice() {
            [one] => one.diagnosis.as_deref(),
            _ => None,
        };
        let about = About {
            station,
            kind: &reading.kind,
            diagnosis,
            ..About::record(self.name(line.record()), "")
        };
        paper.reading(&about, &findings)
    }

    /// A record other than a reading speaks only where two people changed the same field of it.
    fn record(&self, line: &Line, station: &str, paper: &mut Paper<impl Write>) -> io::Result<()> {
        match disputed(self.ledger, line) {
            Some(finding) => {
                let about = About::record(self.name(line.record()), station);
                paper.record(&about, &[finding])
            }
            None => Ok(()),
        }
    }

    /// The doubts of north: one for all the records that share it.
    fn norths(&self, paper: &mut Paper<impl Write>) -> io::Result<()> {
        for north in north::doubts_of_book(self.pages) {
            let mut names = north.records.iter().map(|record| self.name(record));
            let first = names.next().unwrap_or("book");
            let mut finding = Finding::plain(&north.doubt);
            let mends: Vec<&str> = north.mends.iter().map(|mend| &*mend.words).collect();
            finding = finding.with_mends(mends);
            let about = About {
                also: names.map(str::to_owned).collect(),
                ..About::record(first, first.split(['.', ' ']).next().unwrap_or(""))
            };
            paper.record(&about, &[finding])?;
        }
        Ok(())
    }
}

impl Checked<'_> {
    /// Readings unlike the structure around them, and stations that are turned as a whole.
    fn neighbours(&self, paper: &mut Paper<impl Write>) -> io::Result<()> {
        for found in around::doubts(&structure::data(self.pages)) {
            let record = RecordId::from(found.record.as_deref().unwrap_or(&found.station));
            let name = self.name(&record).to_owned();
            let about = About::record(&name, name.split('.').next().unwrap_or(""));
            paper.record(&about, &[Finding::plain(&found.doubt)])?;
        }
        Ok(())
    }
}

impl Checked<'_> {
    /// Where stations are, which number they and what was taken at them have, and the clocks that say when.
    fn places(&self, paper: &mut Paper<impl Write>) -> io::Result<()> {
        for found in places::doubts(self.ledger, self.pages) {
            let name = found.station.as_ref().map_or("book", |r| self.name(r));
            let about = About {
                also: found
                    .other
                    .iter()
                    .map(|record| self.name(record).to_owned())
                    .collect(),
                ..About::record(name, if found.station.is_some() { name } else { "" })
            };
            paper.record(&about, &[Finding::plain(&found.doubt)])?;
        }
        for same in namesakes(self.ledger, self.pages) {
            let (name, station) = (same.name_in_files(), same.at.to_string());
            paper.record(
                &About::record(&name, &station),
                &[Finding::plain(&same.doubt())],
            )?;
        }
        Ok(())
    }
}

fn shots(reading: &Reading) -> Vec<Dials<'_>> {
    let shots = reading.shots.iter();
    shots.map(|shot| shot.dials(reading.right_hand)).collect()
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
