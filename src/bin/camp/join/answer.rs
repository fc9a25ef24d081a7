//! What a join found, in words or as JSON.

use std::io::{self, Write};

use hingeline::notebook::beyond::{self, Beyond};
use hingeline::notebook::settle::{Difference, Version};
use hingeline::notebook::twins::Known;
use hingeline::notebook::{ClockJump, Cloned, EntryId, Namesakes, RecordId, Stamp, Twins, twins};
use serde_json::{Value, json};

use crate::command::Format;
use crate::gather::index::{self, KINDS, by_kind};
use crate::gather::sources::Told;
use crate::written::{counted, listed};

/// So many records to be settled are written out in words; in JSON all are.
const SHOWN: usize = 20;

/// A record of which two people changed the same field.
pub(super) struct Contested {
    pub(super) record: String,
    pub(super) kind: &'static str,
    pub(super) name: String,
    pub(super) fields: Vec<String>,
    /// What some version of it took the place of is not here: one may simply be the later.
    pub(super) unclear: bool,
    pub(super) versions: Vec<Version>,
    pub(super) differences: Vec<Difference>,
}

/// An entry that takes the place of one that no file has.
pub(super) struct Orphan {
    pub(super) entry: EntryId,
    pub(super) missing: EntryId,
    pub(super) record: String,
    pub(super) name: String,
    pub(super) stamp: Stamp,
}

impl Orphan {
    fn words(&self) -> String {
        let by = match self.stamp.by.as_str() {
            "" => String::new(),
            by => format!(" by {by}"),
        };
        let on = match self.stamp.at.get(..10) {
            Some(day) => format!(" on {day}"),
            None => String::new(),
        };
        format!(
            "{}{by}{on}: entry {} takes the place of {}",
            self.name, self.entry, self.missing
        )
    }
}

/// What the joined book is.
#[derive(Default)]
pub(super) struct Found {
    pub(super) entries: usize,
    /// Records by [`KINDS`], then of other kinds.
    pub(super) records: [usize; KINDS.len() + 1],
    pub(super) photos: usize,
    pub(super) merged: usize,
    pub(super) contested: Vec<Contested>,
    pub(super) clones: Vec<Cloned>,
    pub(super) clocks: Vec<ClockJump>,
    pub(super) twins: Vec<Twins>,
    pub(super) namesakes: Vec<Namesakes>,
    pub(super) orphans: Vec<Orphan>,
    /// What the joined book goes beyond still, and how many entries of each are not in it.
    pub(super) standing: Vec<(Beyond, usize)>,
    /// The photos that the books name and no file brought, where any brought some.
    pub(super) absent: Vec<String>,
    /// Where it was written, and how many bytes.
    pub(super) written: Option<(String, u64)>,
}

impl Found {
    /// A person has something to look at.
    pub(super) fn is_doubted(&self) -> bool {
        !(self.contested.is_empty()
            && self.clones.is_empty()
            && self.clocks.is_empty()
            && self.twins.is_empty()
            && self.namesakes.is_empty()
            && self.orphans.is_empty()
            && self.standing.is_empty()
            && self.absent.is_empty())
    }
}

pub(super) fn write(
    mut out: impl Write,
    format: Format,
    told: &[Told],
    found: &Found,
) -> io::Result<()> {
    match format {
        Format::Text => {
            told.iter()
                .try_for_each(|told| write_file(&mut out, told))?;
            write_found(&mut out, found)?;
        }
        Format::Json => {
            for told in told {
                writeln!(out, "{}", file_as_json(told))?;
            }
            writeln!(out, "{}", found_as_json(found))?;
        }
    }
    out.flush()
}

fn write_file(out: &mut impl Write, told: &Told) -> io::Result<()> {
    if let Some(left_out) = &told.left_out {
        let why = &left_out.why;
        return writeln!(out, "{}: nothing of it is taken: {why}", told.file);
    }
    let people: Vec<&str> = told.people.iter().map(String::as_str).collect();
    let by = if people.is_empty() {
        String::new()
    } else {
        format!(" by {}", listed(&people))
    };
    let written = match (told.written.by.as_str(), told.written.at.as_str()) {
        (_, "") => String::new(),
        ("", at) => format!(", written {at}"),
        (by, at) => format!(", written {at} by {by}"),
    };
    writeln!(
        out,
        "{}: {}{by} on {}{written}: {} new, {} the same",
        told.file,
        counted(told.entries, "entry", "entries"),
        counted(told.devices.len(), "tablet", "tablets"),
        told.new,
        told.entries - told.new
    )?;
    if told.photos > 0 {
        writeln!(out, "  {}", counted(told.photos, "photo", "photos"))?;
    }
    told.report
        .iter()
        .try_for_each(|line| writeln!(out, "  {line}"))
}

fn write_found(out: &mut impl Write, found: &Found) -> io::Result<()> {
    writeln!(
        out,
        "together: {}: {}",
        counted(found.entries, "entry", "entries"),
        index::in_words(&found.records)
    )?;
    if found.merged > 0 {
        writeln!(
            out,
            "changed in different fields and put together by itself: {}",
            counted(found.merged, "record", "records")
        )?;
    }
    let unclear = found.contested.iter().filter(|one| one.unclear).count();
    if found.contested.len() > unclear {
        writeln!(
            out,
            "changed in the same field, to be settled by a person: {}",
            counted(found.contested.len() - unclear, "record", "records")
        )?;
    }
    if unclear > 0 {
        writeln!(
            out,
            "in several versions, and which came last cannot be told without the entries between: {}; join the book that holds those",
            counted(unclear, "record", "records")
        )?;
    }
    for contested in found.contested.iter().take(SHOWN) {
        writeln!(out, "  {}", in_words(contested))?;
    }
    if found.contested.len() > SHOWN {
        writeln!(
            out,
            "  and {} more; --format json gives all",
            found.contested.len() - SHOWN
        )?;
    }
    for cloned in &found.clones {
        writeln!(out, "{}", cloned.words())?;
    }
    for jump in &found.clocks {
        writeln!(out, "{}", jump.words())?;
    }
    write_some(out, &twins::in_lines(&found.twins))?;
    let namesakes: Vec<String> = found.namesakes.iter().map(Namesakes::in_full).collect();
    write_some(out, &namesakes)?;
    if !found.standing.is_empty() {
        writeln!(
            out,
            "together this is a part: {}",
            beyond::words(&found.standing)
        )?;
    }
    if !found.orphans.is_empty() {
        writeln!(
            out,
            "{} the place of one that no file has; join the book that holds it",
            counted(found.orphans.len(), "entry takes", "entries take")
        )?;
    }
    for orphan in found.orphans.iter().take(SHOWN) {
        writeln!(out, "  {}", orphan.words())?;
    }
    if found.orphans.len() > SHOWN {
        writeln!(
            out,
            "  and {} more; --format json gives all",
            found.orphans.len() - SHOWN
        )?;
    }
    if !found.absent.is_empty() {
        let shown = &found.absent[..found.absent.len().min(SHOWN)];
        let shown: Vec<&str> = shown.iter().map(String::as_str).collect();
        let more = match found.absent.len() - shown.len() {
            0 => String::new(),
            more => format!(" and {more} more"),
        };
        writeln!(
            out,
            "{} as it was written: {}{more}; join the archive (ZIP) that holds it",
            counted(
                found.absent.len(),
                "photo that the books name came with no file",
                "photos that the books name came with no file"
            ),
            shown.join(", ")
        )?;
    }
    match &found.written {
        Some((file, bytes)) => writeln!(out, "written: {file}, {bytes} bytes"),
        None => writeln!(out, "nothing was written"),
    }
}

fn write_some(out: &mut impl Write, lines: &[String]) -> io::Result<()> {
    for line in lines.iter().take(SHOWN) {
        writeln!(out, "{line}")?;
    }
    if lines.len() > SHOWN {
        writeln!(
            out,
            "and {} more like these; --format json gives all",
            lines.len() - SHOWN
        )?;
    }
    Ok(())
}

fn in_words(contested: &Contested) -> String {
    let versions = |texts: &[Option<String>]| {
        let each: Vec<String> = texts
            .iter()
            .zip(&contested.versions)
            .map(|(text, version)| {
                let text = text.as_deref().unwrap_or("nothing");
                format!("{text} by {}", version.stamp.by)
            })
            .collect();
        each.join(", ")
    };
    let differences: Vec<String> = contested
        .differences
        .iter()
        .map(|difference| format!("{}: {}", difference.words, versions(&difference.texts)))
        .collect();
    format!("{}: {}", contested.name, differences.join("; "))
}

fn file_as_json(told: &Told) -> Value {
    json!({
        "file": told.file,
        "by": told.written.by,
        "device": told.written.device,
        "at": told.written.at,
        "entries": told.entries,
        "new": told.new,
        "same": told.entries - told.new,
        "people": told.people,
        "devices": told.devices,
        "photos": told.photos,
        "left_out": told.report,
        "damaged": told.left_out.as_ref().map(|left_out| &left_out.why),
    })
}

fn found_as_json(found: &Found) -> Value {
    let records = by_kind(&found.records);
    let contested: Vec<Value> = found
        .contested
        .iter()
        .map(|contested| {
            let versions = contested.versions.iter().map(|version| {
                json!({
                    "entry": version.entry.to_string(),
                    "by": version.stamp.by,
                    "device": version.stamp.device,
                    "at": version.stamp.at,
                })
            });
            let differences = contested
                .differences
                .iter()
                .map(|difference| json!({ "words": difference.words, "texts": difference.texts }));
            json!({
                "record": contested.record,
                "name": contested.name,
                "kind": contested.kind,
                "fields": contested.fields,
                "unclear": contested.unclear,
                "versions": versions.collect::<Vec<_>>(),
                "differences": differences.collect::<Vec<_>>(),
            })
        })
        .collect();
    let clones = found.clones.iter().map(|cloned| {
        json!({
            "device": cloned.device,
            "counter": cloned.counter,
            "shared": cloned.shared,
            "by": cloned.by,
        })
    });
    let clocks = found.clocks.iter().map(|jump| {
        json!({
            "device": jump.device,
            "by": jump.by,
            "counter": jump.counter,
            "until": jump.until,
            "off_s": jump.off_s,
            "words": jump.words(),
        })
    });
    let known = |(record, known): (&RecordId, &Known)| {
        json!({
            "record": record.as_str(),
            "name": known.name,
            "by": known.by,
            "device": known.device,
            "at": known.at,
        })
    };
    let namesakes = found.namesakes.iter().map(|same| {
        let records = same
            .records
            .iter()
            .map(|(record, of_it)| known((record, of_it)));
        json!({
            "name": same.name_in_files(),
            "kind": same.taken.kind(),
            "number": same.number,
            "words": same.in_full(),
            "records": records.collect::<Vec<_>>(),
        })
    });
    let twins = found.twins.iter().map(|twins| {
        let stations = [&twins.earlier, &twins.later].into_iter().zip(&twins.known);
        let stations = stations.map(known);
        json!({
            "numbers": twins.numbers,
            "earlier": twins.earlier.as_str(),
            "later": twins.later.as_str(),
            "apart_m": twins.close.map(|close| close.apart_m),
            "stations": stations.collect::<Vec<_>>(),
            "words": twins.in_full(),
        })
    });
    let orphans = found.orphans.iter().map(|orphan| {
        json!({
            "entry": orphan.entry.to_string(),
            "missing": orphan.missing.to_string(),
            "record": orphan.record,
            "name": orphan.name,
            "by": orphan.stamp.by,
            "device": orphan.stamp.device,
            "at": orphan.stamp.at,
        })
    });
    json!({
        "joined": found.written.as_ref().map(|(file, _)| file),
        "bytes": found.written.as_ref().map(|(_, bytes)| bytes),
        "entries": found.entries,
        "records": records,
        "photos": found.photos,
        "merged": found.merged,
        "contested": contested,
        "clones": clones.collect::<Vec<_>>(),
        "clocks": clocks.collect::<Vec<_>>(),
        "twins": twins.collect::<Vec<_>>(),
        "namesakes": namesakes.collect::<Vec<_>>(),
        "absent": found.absent,
        "orphans": orphans.collect::<Vec<_>>(),
        "beyond": found.standing.iter().map(|(beyond, missing)| json!({
            "count": beyond.count,
            "digest": beyond.digest,
            "missing": missing,
        })).collect::<Vec<_>>(),
    })
}
