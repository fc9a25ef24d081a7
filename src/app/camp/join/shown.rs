//! What the join page says before anything is written: file by file, then what the whole would do.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use crate::app::drawing::OtherBook;
use crate::app::outcrop::kinds;
use crate::app::who;
use crate::notebook::beyond;
use crate::notebook::join::{Counts, Incoming, Plan, Tally};
use crate::notebook::namesakes::Taken;
use crate::notebook::photos::Named;
use crate::notebook::{Beyond, Body, Entry, EntryId, Ledger, Namesakes, RecordId};

/// One file that was opened.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FileShown {
    /// Its name.
    pub name: String,
    /// Who wrote it, on which tablet and when, and what of it is new; or why it cannot be read.
    pub words: String,
    /// Who wrote entries of it, and on which tablets, where that is more than the one who wrote the file.
    pub of: Option<String>,
    /// It is no whole book: it is left out.
    pub damaged: bool,
}

/// A finding about the join that a person should know.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Said {
    /// Tells the kinds apart: `contested`, `clone`, `clock`, `twins`, `namesakes`, `orphans`, `part`, `unclear`, `merged`, `settled`,
    /// `photos`.
    pub about: &'static str,
    /// The bold words.
    pub head: String,
    /// The rest.
    pub words: String,
    /// A doubt: it has the sign.
    pub doubted: bool,
}

/// Everything the page shows of a plan.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Shown {
    /// One for each file, sound ones first.
    pub files: Vec<FileShown>,
    /// `12 stations, 38 readings, 9 photos are new here`.
    pub head: String,
    /// What is here already, what changes.
    pub detail: String,
    /// What a person should know.
    pub said: Vec<Said>,
    /// How many entries would be written.
    pub new: usize,
    /// How many photos would be written.
    pub photos: usize,
    /// Not one of the files could be read.
    pub all_damaged: bool,
    /// Where along the book the others have something.
    pub lines: Vec<OtherBook>,
}

/// A file that was read: whole, or not, with why.
#[derive(Clone, Debug)]
pub struct Opened {
    /// Its name.
    pub name: String,
    /// Its entries; or why it is no book, in words with the way out.
    pub book: Result<Whole, String>,
}

/// Photos: SHA-256 and bytes.
pub type Photos = Vec<(String, Arc<[u8]>)>;

/// A book file that is whole.
#[derive(Clone, Debug, Default)]
pub struct Whole {
    /// Who wrote the file.
    pub by: String,
    /// On which device.
    pub device: String,
    /// When.
    pub at: String,
    /// Every entry.
    pub entries: Vec<Entry>,
    /// What it goes beyond, where it is a part.
    pub beyond: Vec<Beyond>,
    /// The photos that came with it: SHA-256 and bytes.
    pub photos: Photos,
    /// The photos that its entries name and that did not come with it.
    pub missing: Vec<Named>,
    /// What else is to be said of its photos: altered ones, and files that are none of the book's.
    pub remarks: Vec<String>,
}

impl Opened {
    /// The book as one that is to be joined; `None` of what is no book.
    pub fn incoming(&self) -> Option<Incoming<'_>> {
        let whole = self.book.as_ref().ok()?;
        Some(Incoming {
            by: &whole.by,
            device: &whole.device,
            at: &whole.at,
            entries: &whole.entries,
            beyond: &whole.beyond,
        })
    }
}

/// `1 station`, `12 stations`.
pub fn counted(n: usize, one: &str, many: &str) -> String {
    match n {
        1 => format!("1 {one}"),
        n => format!("{n} {many}"),
    }
}

fn list(parts: &[String]) -> String {
    match parts {
        [] => String::new(),
        [one] => one.clone(),
        [all @ .., last] => format!("{} and {last}", all.join(", ")),
    }
}

/// Records of every kind that are new, or changed, in words; empty where there are none.
fn tallied(records: &Tally, of: fn(&Counts) -> usize) -> Vec<String> {
    [
        (&records.stations, "station", "stations"),
        (&records.readings, "reading", "readings"),
        (&records.sightings, "sighting", "sightings"),
        (&records.photos, "photo", "photos"),
        (&records.set_ups, "set-up", "set-ups"),
        (&records.others, "other record", "other records"),
    ]
    .into_iter()
    .filter(|(counts, ..)| of(counts) > 0)
    .map(|(counts, one, many)| counted(of(counts), one, many))
    .collect()
}

/// What a record is called, from the ledger alone.
pub fn name_of(ledger: &Ledger, record: &str) -> String {
    let state = ledger.state(record);
    let station = |record: &str| match ledger.state(record).body() {
        Some(Body::Station(station)) => station.number.to_string(),
        _ => "?".to_owned(),
    };
    match state.body() {
        Some(Body::Station(s)) if s.name.is_empty() => format!("station {}", s.number),
        Some(Body::Station(s)) => format!("station {} {}", s.number, s.name),
        Some(Body::Reading(r)) => format!(
            "{}·{} {}",
            station(&r.station),
            r.number,
            kinds::words(&r.kind)
        ),
        Some(Body::Sighting(s)) => format!("sighting {}·S{}", station(&s.station), s.number),
        Some(Body::Photo(p)) => {
            format!(
                "photo {}",
                Taken::Photo.name(&station(&p.station), p.number)
            )
        }
        Some(Body::SetUp(s)) => format!("set-up {}", s.name),
        Some(Body::Book(_)) => "what the book is called".to_owned(),
        Some(other) => other.kind().replace('-', " "),
        None => "a record that is struck out".to_owned(),
    }
}

/// The number of the station that a record belongs to.
fn station_number(ledger: &Ledger, record: &str) -> Option<u32> {
    let number = |record: &str| match ledger.state(record).body() {
        Some(Body::Station(station)) => Some(station.number),
        _ => None,
    };
    match ledger.state(record).body()? {
        Body::Station(station) => Some(station.number),
        Body::Reading(reading) => number(&reading.station),
        Body::Sighting(sighting) => number(&sighting.station),
        Body::Photo(photo) => number(&photo.station),
        _ => None,
    }
}

/// At most so many names are listed; the rest are counted.
const MOST_NAMES: usize = 6;

fn names(ledger: &Ledger, records: &[RecordId]) -> String {
    let name = |record: &RecordId| name_of(ledger, record.as_str());
    some(records, name)
}

fn some<T>(all: &[T], name: impl Fn(&T) -> String) -> String {
    let mut named: Vec<String> = all.iter().take(MOST_NAMES).map(name).collect();
    if all.len() > MOST_NAMES {
        named.push(format!("{} more", all.len() - MOST_NAMES));
    }
    list(&named)
}

/// The photos of the files that this tablet does not have, each once.
pub fn new_photos(files: &[Opened], have: &BTreeSet<String>) -> Photos {
    let all = files.iter().filter_map(|file| file.book.as_ref().ok());
    let all: BTreeMap<&String, &Arc<[u8]>> = all
        .flat_map(|whole| &whole.photos)
        .filter(|(name, _)| !have.contains(name))
        .map(|(name, bytes)| (name, bytes))
        .collect();
    all.into_iter()
        .map(|(name, bytes)| (name.clone(), Arc::clone(bytes)))
        .collect()
}

/// What there is beside the entries.
#[derive(Clone, Copy, Debug)]
pub struct Beside<'b> {
    /// This tablet's name.
    pub own: &'b str,
    /// How many files of a folder were no book by their names.
    pub passed_over: usize,
    /// The photos that this tablet has, by SHA-256.
    pub photos: &'b BTreeSet<String>,
}

/// What the page shows of a plan. `after` is the book as it would be after the join.
pub fn shown(after: &Ledger, files: &[Opened], plan: &Plan, beside: &Beside<'_>) -> Shown {
    let (own, passed_over) = (beside.own, beside.passed_over);
    let mut sources = plan.sources.iter();
    let mut sound = Vec::new();
    let mut damaged = Vec::new();
    let mut photos = Vec::new();
    for file in files {
        match &file.book {
            Err(why) => damaged.push(FileShown {
                name: file.name.clone(),
                words: why.clone(),
                of: None,
                damaged: true,
            }),
            Ok(whole) => {
                photos.extend(
                    whole
                        .remarks
                        .iter()
                        .map(|words| format!("{}: {words}", file.name)),
                );
                let Some(source) = sources.next() else {
                    continue;
                };
                let news = match (source.new, source.entries) {
                    (0, entries) => {
                        format!(
                            "all {} are here already",
                            counted(entries, "entry", "entries")
                        )
                    }
                    (new, entries) => format!(
                        "{new} of {} are new here",
                        counted(entries, "entry", "entries")
                    ),
                };
                let part = source.beyond.map_or_else(String::new, |n| {
                    format!("; a part, beyond {}", counted(n, "entry", "entries"))
                });
                let tablets: Vec<String> = source
                    .devices
                    .iter()
                    .map(|device| who::tablet(device, own))
                    .collect();
                let alone = source.people.len() <= 1 && source.devices.len() <= 1;
                sound.push(FileShown {
                    name: file.name.clone(),
                    words: format!(
                        "written by {}, {}, on {}: {news}{part}",
                        who::person(&source.by),
                        who::tablet(&source.device, own),
                        who::when(&source.at)
                    ),
                    of: (!alone).then(|| {
                        format!(
                            "entries of {}, from {}",
                            list(
                                &source
                                    .people
                                    .iter()
                                    .map(|by| who::person(by))
                                    .collect::<Vec<_>>()
                            ),
                            list(&tablets)
                        )
                    }),
                    damaged: false,
                });
            }
        }
    }
    let brought = new_photos(files, beside.photos);
    photos.extend(missing(files, beside.photos));
    let all_damaged = sound.is_empty();
    let new = plan.new.len();
    let fresh = tallied(&plan.records, |counts| counts.new);
    let head = match (all_damaged, new, fresh.is_empty()) {
        (true, ..) => "Nothing could be opened".to_owned(),
        (_, 0, _) if !brought.is_empty() => format!(
            "{} new here, no entry is",
            counted(brought.len(), "photo is", "photos are")
        ),
        (_, 0, _) => "Nothing is new".to_owned(),
        (.., true) => format!(
            "{} new, no new record",
            counted(new, "entry is", "entries are")
        ),
        _ => {
            let one = plan.records.all().new == 1;
            format!(
                "{} {} new here",
                list(&fresh),
                if one { "is" } else { "are" }
            )
        }
    };
    let changed = tallied(&plan.records, |counts| counts.changed);
    let mut detail = Vec::new();
    if !changed.is_empty() {
        let one = plan.records.all().changed == 1;
        let have = if one {
            "was here has"
        } else {
            "were here have"
        };
        detail.push(format!("{} that {have} changed", list(&changed)));
    }
    if plan.same > 0 {
        detail.push(format!(
            "{} here already",
            counted(plan.same, "entry is", "entries are")
        ));
    }
    if passed_over > 0 {
        detail.push(format!(
            "{} passed over: no book by name",
            counted(
                passed_over,
                "file of the folder was",
                "files of the folder were"
            )
        ));
    }
    sound.extend(damaged);
    Shown {
        files: sound,
        head,
        detail: detail.join(" · "),
        said: said(plan, after, &photos, own),
        new,
        photos: brought.len(),
        all_damaged,
        lines: lines(after, files, plan, own),
    }
}

/// The photos that nobody brought and that are not here, in one sentence.
fn missing(files: &[Opened], have: &BTreeSet<String>) -> Option<String> {
    let whole = || files.iter().filter_map(|file| file.book.as_ref().ok());
    let brought: BTreeSet<&str> = whole()
        .flat_map(|whole| &whole.photos)
        .map(|(name, _)| name.as_str())
        .collect();
    let mut missing: BTreeMap<&str, String> = BTreeMap::new();
    for named in whole().flat_map(|whole| &whole.missing) {
        let name = named.sha256.as_str();
        if !brought.contains(name) && !have.contains(name) {
            missing.insert(name, named.words());
        }
    }
    let mut words: Vec<String> = missing.into_values().collect();
    words.sort();
    let all = words.len();
    if all > MOST_NAMES {
        words.truncate(MOST_NAMES);
        words.push(format!("{} more", all - MOST_NAMES));
    }
    (all > 0).then(|| {
        format!(
            "{} in none of the files, and not here: {}. The book with its photos, one ZIP, brings them",
            counted(all, "photo that the book names is", "photos that the book names are"),
            list(&words)
        )
    })
}

fn said(plan: &Plan, after: &Ledger, photos: &[String], own: &str) -> Vec<Said> {
    let mut said = Vec::new();
    let mut say = |about, head: String, words: String, doubted| {
        said.push(Said {
            about,
            head,
            words,
            doubted,
        });
    };
    if !plan.contested.is_empty() {
        say(
            "contested",
            format!("{} changed on both", plan.contested.len()),
            format!(
                "{}: every version is kept until one is taken",
                names(after, &plan.contested)
            ),
            true,
        );
    }
    if !plan.merged.is_empty() {
        say(
            "merged",
            format!(
                "{} put together by itself",
                counted(plan.merged.len(), "record is", "records are")
            ),
            format!(
                "{}: different fields were changed, and both changes stand",
                names(after, &plan.merged)
            ),
            false,
        );
    }
    if !plan.settled.is_empty() {
        say(
            "settled",
            format!(
                "{} settled elsewhere",
                counted(plan.settled.len(), "doubt was", "doubts were")
            ),
            names(after, &plan.settled),
            false,
        );
    }
    for clone in &plan.clones {
        say(
            "clone",
            format!(
                "Two histories under one name: {}",
                who::tablet(&clone.device, own)
            ),
            format!(
                "from its entry {} on, {} two entries{}. Most likely its storage was copied to another tablet, or brought back from a copy. No entry is lost. {}",
                clone.counter,
                counted(clone.shared, "number has", "numbers have"),
                match clone.by.as_slice() {
                    [] => String::new(),
                    by => format!(", by {}", list(by)),
                },
                if clone.device == own {
                    "Once joined, this tablet goes on under a name of its own; so does the other, when it sees both."
                } else {
                    "Each of the two takes a name of its own as soon as it sees what the other wrote: join this book there too."
                }
            ),
            true,
        );
    }
    for jump in &plan.clocks {
        say(
            "clock",
            "A clock jumped".to_owned(),
            sentence(&jump.words()),
            true,
        );
    }
    for twins in &plan.twins {
        say(
            "twins",
            if twins.is_number() {
                "Two stations with one number"
            } else {
                "One outcrop twice?"
            }
            .to_owned(),
            format!(
                "{} Both are kept; after the join one tap ties or renumbers them.",
                sentence(&twins.in_full())
            ),
            true,
        );
    }
    let (head, words) = match plan.namesakes.as_slice() {
        [] => Default::default(),
        [one] => (one.heading(), sentence(&one.in_full())),
        all => (
            format!("{} numbers stand twice at their station", all.len()),
            format!(
                "{} are each the name of several.",
                some(all, Namesakes::name)
            ),
        ),
    };
    if !plan.namesakes.is_empty() {
        let words = format!(
            "{words} All are kept; after the join one tap gives each but the first the next free number."
        );
        say("namesakes", head, words, true);
    }
    if !plan.standing.is_empty() {
        let mut until = Vec::new();
        if !plan.orphans.is_empty() {
            let orphans = plan.orphans.len();
            until.push(format!(
                "{} what is not here",
                counted(orphans, "new entry follows", "new entries follow")
            ));
        }
        if plan.absent > 0 {
            until.push(format!(
                "{} that they name {} not here",
                counted(
                    plan.absent,
                    "station, set-up or reading",
                    "stations, set-ups and readings"
                ),
                if plan.absent == 1 { "is" } else { "are" }
            ));
        }
        let until = match until.as_slice() {
            [] => String::new(),
            some => format!(
                " Until then {}; nothing is lost by it.",
                some.join(", and ")
            ),
        };
        say(
            "part",
            "Only a part".to_owned(),
            format!("{}{until}", sentence(&beyond::words(&plan.standing))),
            true,
        );
    }
    if !plan.unclear.is_empty() {
        say(
            "unclear",
            format!(
                "{} in several versions",
                counted(plan.unclear.len(), "record stands", "records stand")
            ),
            format!(
                "{}: which came last shows once the entries between are here; nobody has to settle it before",
                names(after, &plan.unclear)
            ),
            true,
        );
    }
    if !plan.orphans.is_empty() && plan.standing.is_empty() {
        let missing: BTreeSet<&EntryId> = plan.orphans.iter().map(|(_, missing)| missing).collect();
        say(
            "orphans",
            format!(
                "{} nobody has",
                counted(missing.len(), "entry that", "entries that")
            ),
            format!(
                "{} them; what is here stands by itself, and the rest comes with the book they were written in",
                counted(
                    plan.orphans.len(),
                    "new entry follows",
                    "new entries follow"
                )
            ),
            true,
        );
    }
    for words in photos {
        say("photos", "Photos".to_owned(), words.clone(), true);
    }
    said
}

/// With a capital and a full stop, or the mark it ends with, as initials do.
pub fn sentence(words: &str) -> String {
    let mut letters = words.chars();
    let first: String = letters
        .next()
        .into_iter()
        .flat_map(char::to_uppercase)
        .collect();
    let end = if words.ends_with(['?', '.']) { "" } else { "." };
    format!("{first}{}{end}", letters.as_str())
}

/// Where along the stations of the whole book each other book has something new, and where both changed.
fn lines(after: &Ledger, files: &[Opened], plan: &Plan, own: &str) -> Vec<OtherBook> {
    let new: BTreeSet<EntryId> = plan.new.iter().map(Entry::id).collect();
    let contested: BTreeSet<&RecordId> = plan.contested.iter().collect();
    let mut known: BTreeMap<&RecordId, Option<u32>> = BTreeMap::new();
    let sound = files.iter().filter_map(|file| file.book.as_ref().ok());
    let mut others = Vec::new();
    for whole in sound {
        let mut other = OtherBook {
            name: match whole.by.as_str() {
                "" => who::tablet(&whole.device, own),
                by => by.to_owned(),
            },
            ..OtherBook::default()
        };
        for entry in whole
            .entries
            .iter()
            .filter(|entry| new.contains(&entry.id()))
        {
            let record = entry.record();
            let number = *known
                .entry(record)
                .or_insert_with(|| station_number(after, record.as_str()));
            if let Some(number) = number {
                let places = if contested.contains(record) {
                    &mut other.both
                } else {
                    &mut other.new
                };
                places.insert(number);
            }
        }
        others.push(other);
    }
    others
}

/// The highest number among the stations of a ledger and of the books to be joined, for the scale of the lines.
pub fn last_station(lines: &[OtherBook], own: Option<u32>) -> u32 {
    let others = lines
        .iter()
        .flat_map(|line| line.new.iter().chain(&line.both).copied());
    others.chain(own).max().unwrap_or(1)
}

#[cfg(test)]
mod tests;
