//! `camp changes`: what is new in a book beyond others, as a small file that joins like a book.
//!
//! Every file is read once from end to end and proved, as for a join; only what is new is written.

mod answer;

use std::collections::BTreeSet;
use std::fmt::Display;
use std::io::{self, BufWriter};
use std::path::{Path, PathBuf};

use clap::Args;
use hingeline::notebook::beyond::{self, Beyond};
use hingeline::notebook::photos::{Named, Naming};

use crate::command::{DOUBTS, Format, MISUSE};
use crate::gather::index::Index;
use crate::gather::output;
use crate::gather::sources::{Sources, Told};
use crate::paths;
use crate::progress::Progress;
use crate::written::{Legible, counted};
use answer::Found;

const HELP: &str = "\
The file holds only the entries of BOOK that none of the others has, each as it was written. It is a book file that every version
opens, and it joins like a book: whoever has the others has, after the join, all of BOOK. Before or after, in any order; nothing is
lost where it comes alone, and everybody is told that it is a part and what it lacks.

It says in its head what it goes beyond: how many entries, a digest over their ids, and which counts of which tablets. So a join can
tell whether those are there, and a person knows which book to look for.

A part is no back-up: only a whole book is. Keep the book it goes beyond, or make a new whole one with `camp join`.

Of a book with photos (ZIP) only the photos go along that the new entries name and none of the others brings: name the output with
.zip, or leave them out with --without-photos. Without -o nothing is written, and you are told what would be.

One of the files that are read is never written over.

With --format json there is one object:
  {\"changes\", \"bytes\", \"entries\", \"records\": {kind: count}, \"photos\", \"follow\", \"absent\": [photo],
   \"beyond\": [{\"count\", \"digest\"}], \"not_in_book\"}
`follow` counts the entries that take the place of one that was left out, `not_in_book` the entries of the others that BOOK has not.
`changes` is null where nothing was written.

Exit code:
  0  written, or nothing is new and nothing was written
  1  the same, and a person has something to look at: a photo that was altered or that no file brings
  2  nothing was written: a file is damaged, the output is there already, the disk is full, or misuse; or the file was written
     and this answer could not be, which is said

Examples:
  camp changes camp.json --beyond monday.json -o tuesday.json
  camp changes camp.zip --beyond card-1.zip card-2.json -o new.zip
  camp changes camp.json --beyond monday.json            (says what is new)
Then, where monday.json is:
  camp join monday.json tuesday.json -o camp.json";

#[derive(Args)]
#[command(after_long_help = HELP)]
pub(crate) struct ChangesArgs {
    /// The book of which what is new is wanted: a book file, or an archive of one and its photos
    #[arg(value_name = "BOOK")]
    book: PathBuf,
    /// What the other side has already, in one file or several
    #[arg(long, required = true, num_args = 1.., value_name = "OTHER")]
    beyond: Vec<PathBuf>,
    /// Where what is new goes; without it nothing is written
    #[arg(short, long, value_name = "FILE")]
    output: Option<PathBuf>,
    /// Write over the output if it is there
    #[arg(long)]
    force: bool,
    /// Write the entries without their photos
    #[arg(long)]
    without_photos: bool,
    /// How the answer is written
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
}

/// Writes what is new; the exit code.
pub(crate) fn changes(args: &ChangesArgs) -> io::Result<u8> {
    let output = match args.output.as_deref().map(|output| place(args, output)) {
        None => None,
        Some(Ok(path)) => Some(path),
        Some(Err(why)) => return Ok(nothing(why)),
    };
    let found = match attempt(args, output.as_deref()) {
        Ok(Ok(found)) => found,
        Ok(Err(why)) => return Ok(nothing(why)),
        Err(error) => return Ok(nothing(error)),
    };
    let out = Legible(BufWriter::new(io::stdout().lock()));
    let book = args.book.display().to_string();
    match (
        answer::write(out, args.format, &book, &found),
        &found.written,
    ) {
        (Err(error), Some((file, bytes))) if error.kind() != io::ErrorKind::BrokenPipe => {
            eprintln!(
                "{file} was written, whole, {bytes} bytes; only this answer could not be: {error}"
            );
            return Ok(MISUSE);
        }
        (answered, _) => answered?,
    }
    Ok(if found.is_doubted() { DOUBTS } else { 0 })
}

fn nothing(why: impl Display) -> u8 {
    eprintln!("nothing was written: {why}");
    MISUSE
}

/// Where the file goes, or why it cannot go there, before anything is read.
fn place(args: &ChangesArgs, output: &Path) -> Result<PathBuf, String> {
    let path = paths::free_place(output, args.force)?;
    let read = args.beyond.iter().chain([&args.book]);
    paths::apart(&path, read.map(PathBuf::as_path))?;
    Ok(path)
}

/// What is new, written where it was asked for; or why it was not, with the way out.
fn attempt(args: &ChangesArgs, output: Option<&Path>) -> io::Result<Result<Found, String>> {
    let scratch = match output {
        Some(output) => output::folder_of(output).to_owned(),
        None => std::env::temp_dir(),
    };
    let mut progress = Progress::new();
    let mut sources = Sources::new(&scratch);
    let mut index = Index::default();
    for other in &args.beyond {
        let told = sources.take(other, &mut index, &mut progress)?;
        if let Some(why) = why_not(&told) {
            return Ok(Err(why));
        }
    }
    let known = index.slots.len();
    let base = Beyond::of_places(index.tells());
    let known_photos: BTreeSet<String> = sources.photos.keys().cloned().collect();
    let told = sources.take(&args.book, &mut index, &mut progress)?;
    if let Some(why) = why_not(&told) {
        return Ok(Err(why));
    }
    let mut order = index.in_order();
    order.retain(|&place| place as usize >= known);
    let named = photos_of(&order, &index, &mut sources)?;
    let wanted: BTreeSet<&str> = named.iter().map(|named| named.sha256.as_str()).collect();
    sources.photos.retain(|name, _| {
        !args.without_photos && wanted.contains(name.as_str()) && !known_photos.contains(name)
    });
    // What the book itself goes beyond, where it is a part, its changes go beyond too.
    let new = index.tells().skip(known);
    let mut beyond = vec![base.besides(new)];
    let own = beyond::standing(&told.beyond, || index.tells());
    beyond.extend(own.into_iter().map(|(one, _)| one));
    beyond.sort_unstable();
    beyond.dedup();
    let absent = named.iter().filter(|named| {
        let name = named.sha256.as_str();
        !sources.photos.contains_key(name) && !known_photos.contains(name)
    });
    let absent = absent.map(Named::words);
    let mut found = Found {
        follow: index.following(&order),
        records: index.tally(&order),
        entries: order.len(),
        photos: sources.photos.len(),
        absent: if told.is_archive && !args.without_photos {
            absent.collect()
        } else {
            Vec::new()
        },
        report: told.report.clone(),
        altered: told.altered,
        not_in_book: known - (told.entries - told.new),
        beyond,
        written: None,
    };
    if found.photos > 0 && output.is_some_and(|output| !output::is_zip(output)) {
        return Ok(Err(format!(
            "the new entries name {}; name the output with .zip to carry them, or leave them out with --without-photos",
            counted(found.photos, "photo", "photos")
        )));
    }
    if let Some(output) = output.filter(|_| found.entries > 0) {
        let head = output::Head {
            written: &told.written,
            beyond: &found.beyond,
        };
        let bytes = output::write(
            output,
            &head,
            &index,
            &order,
            &mut sources,
            &mut progress,
            output::is_zip(output),
        )?;
        // By the name that was given, where that is a link.
        let name = args.output.as_deref().unwrap_or(output);
        found.written = Some((name.display().to_string(), bytes));
    }
    progress.done();
    Ok(Ok(found))
}

/// Why nothing can be told of a file, with its name.
fn why_not(told: &Told) -> Option<String> {
    let left_out = told.left_out.as_ref()?;
    Some(format!("{}: {}", told.file, left_out.why))
}

/// The photos that these entries name.
fn photos_of(order: &[u32], index: &Index, sources: &mut Sources) -> io::Result<Vec<Named>> {
    let mut naming = Naming::default();
    for &place in order {
        let slot = &index.slots[place as usize];
        if slot.is_of_photo() {
            naming.add(&sources.entry(slot)?);
        }
    }
    Ok(naming.named())
}
