//! Large books that several tablets wrote: one trunk that all share, then what each wrote alone and changed of the trunk.
//! Everything in them is made by count, so that the same numbers give the same bytes.

use std::fs::File;
use std::io::BufWriter;
use std::path::{Path, PathBuf};

use hingeline::exchange::book::Written;
use hingeline::exchange::book::stream::Writer;
use hingeline::notebook::{
    Act, Body, Entry, EntryId, Position, Reading, RecordId, Shot, Stamp, Station, Tops,
};

/// Every so many entries of a tablet begin with a station.
const PER_STATION: usize = 10;

#[derive(clap::Args)]
pub(super) struct BooksArgs {
    /// How many books
    #[arg(long, default_value_t = 20)]
    count: usize,
    /// How many entries each holds: a fifth of them all books share
    #[arg(long, default_value_t = 50_000)]
    entries: usize,
    /// The folder they go into
    dir: PathBuf,
}

pub(super) fn write(args: &BooksArgs) -> Result<(), String> {
    std::fs::create_dir_all(&args.dir)
        .map_err(|error| format!("cannot make {}: {error}", args.dir.display()))?;
    let trunk = Tablet::new(0, 0).fresh(args.entries / 5);
    for book in 1..=args.count {
        let path = args.dir.join(format!("book-{book:02}.json"));
        write_one(&path, book, &trunk, args.entries)
            .map_err(|error| format!("cannot write {}: {error}", path.display()))?;
        println!("wrote {}", path.display());
    }
    Ok(())
}

fn write_one(path: &Path, book: usize, trunk: &[Made], entries: usize) -> std::io::Result<()> {
    let mut tablet = Tablet::new(book, trunk.len());
    // A tenth of the shared readings were changed on each tablet, others on each, but every fourth of them on all.
    let readings = trunk.iter().filter(|made| made.reading.is_some());
    let mut own: Vec<Entry> = readings
        .enumerate()
        .filter(|(i, _)| i % 40 == 0 || i % 14 == book % 14)
        .filter_map(|(i, made)| tablet.changed(made, i % 40 == 0 && i % 80 != 0))
        .collect();
    let left = entries.saturating_sub(trunk.len() + own.len());
    own.extend(tablet.fresh(left).into_iter().map(|made| made.entry));
    let written = Written {
        at: format!("2026-06-{:02}T20:00:00+02:00", 10 + book % 20),
        by: tablet.by(),
        device: tablet.name(),
    };
    let out = BufWriter::with_capacity(1 << 18, File::create(path)?);
    let mut writer = Writer::begin(out, trunk.len() + own.len(), &written)?;
    for entry in trunk.iter().map(|made| &made.entry).chain(&own) {
        writer.entry(entry)?;
    }
    writer.finish()?;
    Ok(())
}

/// An entry, and the reading it wrote.
struct Made {
    entry: Entry,
    reading: Option<Reading>,
}

struct Tablet {
    number: usize,
    counter: u64,
    /// The minute of its first entry: six are written in a minute.
    began: u64,
}

impl Tablet {
    fn new(number: usize, after: usize) -> Self {
        Self {
            number,
            counter: 0,
            began: (after as u64).div_ceil(6),
        }
    }

    fn by(&self) -> String {
        format!("P{}", self.number)
    }

    /// A name in the form of a UUID.
    fn name(&self) -> String {
        format!("00000000-0000-4000-8000-{:012x}", self.number)
    }

    fn record(&self, count: usize) -> String {
        format!("{:08x}-0000-4000-8000-{count:012x}", self.number)
    }

    fn stamp(&mut self) -> Stamp {
        self.counter += 1;
        let minute = self.began + self.counter / 6;
        Stamp {
            by: self.by(),
            device: self.name(),
            counter: self.counter,
            at: format!(
                "2026-{:02}-{:02}T{:02}:{:02}:00+02:00",
                1 + minute / 40_320 % 12,
                1 + minute / 1440 % 28,
                minute / 60 % 24,
                minute % 60
            ),
        }
    }

    /// So many entries of new stations and their readings, three shots each.
    fn fresh(&mut self, count: usize) -> Vec<Made> {
        let mut made = Vec::with_capacity(count);
        let mut station = String::new();
        for i in 0..count {
            let record = self.record(i);
            let at = usize::try_from(self.counter).unwrap_or(0);
            if i % PER_STATION == 0 {
                station.clone_from(&record);
                let number = u32::try_from(self.number * 10_000 + i / PER_STATION).unwrap_or(0);
                let body = Body::Station(Station {
                    number,
                    at: "2026-06-14T09:00:00+02:00".to_owned(),
                    position: Some(Position {
                        latitude: 40.0 + (i % 10_000) as f64 * 0.0005,
                        longitude: 10.0 + self.number as f64,
                        height_m: Some(812.5),
                        accuracy_m: Some(4.0),
                        source: "device".to_owned(),
                        ..Position::default()
                    }),
                    unit: "Quernel Grit".to_owned(),
                    lithology: "greywacke".to_owned(),
                    ..Station::default()
                });
                made.push(Made {
                    entry: self.entry(&record, None, Act::Write, body),
                    reading: None,
                });
                continue;
            }
            let shot = |turn: usize| Shot {
                strike: Some(format!("{:03}", (at * 7 + turn) % 360)),
                dip: Some(format!("{:02}", (at * 3 + turn) % 91)),
                side: Some("SE".to_owned()),
                at: "2026-06-14T09:04:00+02:00".to_owned(),
                ..Shot::default()
            };
            let reading = Reading {
                station: station.clone(),
                number: u32::try_from(i % PER_STATION).unwrap_or(0),
                kind: "bedding".to_owned(),
                shots: (0..3).map(shot).collect(),
                ..Reading::default()
            };
            made.push(Made {
                entry: self.entry(&record, None, Act::Write, Body::Reading(reading.clone())),
                reading: Some(reading),
            });
        }
        made
    }

    /// A reading of the trunk as this tablet changed it: one field that another changes too, or one of its own.
    fn changed(&mut self, made: &Made, same_field: bool) -> Option<Entry> {
        let mut reading = made.reading.clone()?;
        if same_field || self.number.is_multiple_of(2) {
            reading.note = format!("seen by {}", self.by());
        } else {
            reading.tops = Tops::Upright;
        }
        let record = made.entry.record().as_str().to_owned();
        let body = Body::Reading(reading);
        Some(self.entry(&record, Some(made.entry.id()), Act::Correct, body))
    }

    fn entry(&mut self, record: &str, supersedes: Option<EntryId>, act: Act, body: Body) -> Entry {
        let stamp = self.stamp();
        Entry::new(
            RecordId::from(record),
            supersedes,
            stamp,
            act,
            None,
            Some(body),
        )
    }
}
