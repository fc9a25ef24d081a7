//! What it costs to join two books and to open and write a large one, beside a general-purpose program's plain way in the same run.

use std::fs;
use std::time::Instant;

use super::machine;
use crate::workbench::trial::books::{self, Desk, Step};

/// The same seed gives the same books.
const SEED: u64 = 47;

/// The two sizes of the join: records in each book, the rounds of each, and how many times as long as plain JavaScript, which
/// checks nothing, we mean to take at most.
const JOINS: [(usize, usize, f64); 2] = [(10_000, 15, 0.75), (100_000, 5, 0.5)];

/// Records of a book whose file has about 50 MB.
const LARGE: usize = 64_000;

/// How many times as long as JSON.parse and JSON.stringify, which check nothing, opening and writing it may take at most.
const LARGE_AIM: f64 = 1.0;

/// The steps that are timed natively and in WebAssembly, in the order of [`Step::ALL`], round by round in turn with the plain ways:
/// JSON.parse, a union of two Maps by id, JSON.stringify; and the same with the id of every new entry, or of every one, computed by
/// node's own SHA-256, which is what an unaltered entry costs to know.
const SCRIPT: &str = "
const crypto = require('crypto');
const [, a, b, rounds, ...steps] = process.argv.slice(1);
const texts = [fs.readFileSync(a), fs.readFileSync(b)];
texts.forEach((text, side) => {
  const at = machine.books_room(side, text.length) >>> 0;
  new Uint8Array(machine.memory.buffer, at, text.length).set(text);
});
const timed = new Map();
const clock = (name, work) => {
  const started = process.hrtime.bigint();
  const done = work();
  const took = Number(process.hrtime.bigint() - started) / 1e6;
  if (!timed.has(name)) timed.set(name, []);
  timed.get(name).push(took);
  return done;
};
const need = (count, name) => { if (!(count > 0)) throw new Error(name + ' came to nothing'); };
need(machine.books_step(0), 'opening');
const mapOf = (text) => new Map(JSON.parse(text).entries.map((entry) => [entry.id, entry]));
const open = mapOf(texts[0]);
for (let round = -2; round < Number(rounds); round++) {
  if (round === 0) timed.clear();
  for (const step of steps) need(clock('ours ' + step, () => machine.books_step(Number(step))), 'step ' + step);
  const joined = new Map(open);
  const parsed = clock('parse', () => JSON.parse(texts[1]));
  clock('union', () => { for (const entry of parsed.entries) if (!joined.has(entry.id)) joined.set(entry.id, entry); });
  need(clock('write', () => JSON.stringify({ entries: [...joined.values()] })).length, 'stringify');
  const prove = (all) => {
    for (const { id, ...entry } of parsed.entries) {
      if (all || !open.has(id)) crypto.createHash('sha256').update(JSON.stringify(entry)).digest('hex');
    }
  };
  clock('ids', () => prove(false));
  clock('all-ids', () => prove(true));
}
const middle = (of) => of.sort((x, y) => x - y)[of.length >> 1];
for (const [name, of] of timed) console.log(name.replace(' ', '-'), middle(of));
console.log('node', process.version);
";

/// Medians, milliseconds, by name.
struct Medians(Vec<(String, f64)>);

impl Medians {
    fn of(&self, name: &str) -> f64 {
        let found = self.0.iter().find(|(known, _)| known == name);
        found.map_or(f64::NAN, |(_, ms)| *ms)
    }

    fn ours(&self, step: Step) -> f64 {
        self.of(&ours(step))
    }
}

fn ours(step: Step) -> String {
    format!("ours-{}", place(step))
}

fn place(step: Step) -> usize {
    Step::ALL
        .iter()
        .position(|other| *other == step)
        .unwrap_or_default()
}

/// Times the joins and the large book, natively and, unless only that is asked for, in WebAssembly beside plain JavaScript.
pub(super) fn bench(native_only: bool) -> Result<(), String> {
    let machine = if native_only {
        None
    } else {
        Some(machine::built()?)
    };
    let folder = std::env::temp_dir().join(format!("hingeline-books-{}", std::process::id()));
    fs::create_dir_all(&folder).map_err(|e| format!("`{}`: {e}", folder.display()))?;
    let done = (|| {
        for (records, rounds, aim) in JOINS {
            let [a, b] = books::pair(records, SEED);
            let files = [books::file(&a), books::file(&b)];
            println!(
                "join of two books of {records} records, a tenth changed in each: file B of {} entries, {:.1} MB, into the open book A",
                b.len(),
                mb(files[1].len())
            );
            let steps = [
                Step::LayAside,
                Step::ParseBeside,
                Step::Union,
                Step::Write,
                Step::Pages,
            ];
            let native = natively(&files, rounds, &steps)?;
            join_line("natively", &native);
            let mut in_wasm_all = None;
            if let Some(machine) = &machine {
                let all = in_wasm(machine, &folder, &files, rounds, &steps)?;
                join_line("in WebAssembly", &all);
                plain_join(&all, aim);
                in_wasm_all = Some(all);
            }
            let (part, new) = books::only_new(&b, &a);
            let parts = [files[0].clone(), part];
            let steps = [Step::LayAside, Step::ParseBeside, Step::Union];
            println!(
                "  only what is new in B beyond A: {new} entries, {:.1} MB",
                mb(parts[1].len())
            );
            part_line("natively", &natively(&parts, rounds, &steps)?, &native);
            if let (Some(machine), Some(all)) = (&machine, &in_wasm_all) {
                let part = in_wasm(machine, &folder, &parts, rounds, &steps)?;
                part_line("in WebAssembly", &part, all);
            }
            println!();
        }
        let [book, _] = books::pair(LARGE, SEED);
        let file = books::file(&book);
        println!(
            "a book file of {} entries, {:.1} MB",
            book.len(),
            mb(file.len())
        );
        let files = [file.clone(), file];
        let steps = [
            Step::ParseAlone,
            Step::PlainParse,
            Step::LayAside,
            Step::Write,
        ];
        let native = natively(&files, 5, &steps)?;
        file_line("natively", &native);
        if let Some(machine) = &machine {
            let all = in_wasm(machine, &folder, &files, 5, &steps)?;
            file_line("in WebAssembly", &all);
            let (read, written) = (all.of("parse"), all.of("write"));
            let times = [
                all.ours(Step::ParseAlone) / read,
                all.ours(Step::Write) / written,
            ];
            println!(
                "  plain JavaScript, nothing checked       JSON.parse {read:.0} ms, JSON.stringify {written:.0} ms: ours takes {:.2} and {:.2} times as long (aim {LARGE_AIM}: {})",
                times[0],
                times[1],
                if times.iter().all(|times| *times <= LARGE_AIM) {
                    "met"
                } else {
                    "MISSED"
                }
            );
            let proved = read + all.of("all-ids");
            println!(
                "  the same, every id computed natively by node, without the digest: {proved:.0} ms: ours takes {:.2} times as long",
                all.ours(Step::ParseAlone) / proved
            );
        }
        Ok(())
    })();
    // What is left in the folder for temporary things does no harm.
    let _ = fs::remove_dir_all(&folder);
    done
}

#[allow(clippy::cast_precision_loss)] // files far below 2^53 bytes
fn mb(bytes: usize) -> f64 {
    bytes as f64 / 1e6
}

fn join_line(where_: &str, medians: &Medians) {
    let (parse, union) = (medians.ours(Step::ParseBeside), medians.ours(Step::Union));
    println!(
        "  {where_:<16} parse B {parse:>7.1} ms, union {union:>6.1}, together {:>7.1}; write all {:>7.1}; pages of all {:>7.1}",
        parse + union,
        medians.ours(Step::Write),
        medians.ours(Step::Pages)
    );
}

/// The part of B beside the whole of B, both into the open book A.
fn part_line(where_: &str, part: &Medians, whole: &Medians) {
    let together = |of: &Medians| of.ours(Step::ParseBeside) + of.ours(Step::Union);
    println!(
        "  {where_:<16} parse it {:>6.1} ms, union {:>6.1}, together {:>7.1}: {:.2} of the whole file's",
        part.ours(Step::ParseBeside),
        part.ours(Step::Union),
        together(part),
        together(part) / together(whole)
    );
}

fn plain_join(all: &Medians, aim: f64) {
    let ours = all.ours(Step::ParseBeside) + all.ours(Step::Union);
    let plain = all.of("parse") + all.of("union");
    let checked = plain + all.of("ids");
    println!(
        "  plain JavaScript parse B {:>7.1} ms, union {:>6.1}, together {plain:>7.1}; write all {:>7.1}: ours takes {:.2} times as long (aim {aim}: {}), every new id and the digest checked",
        all.of("parse"),
        all.of("union"),
        all.of("write"),
        ours / plain,
        if ours <= aim * plain { "met" } else { "MISSED" }
    );
    println!(
        "  the same, the ids of new entries computed natively by node, without the digest: {checked:.1} ms: ours takes {:.2} times as long",
        ours / checked
    );
}

fn file_line(where_: &str, medians: &Medians) {
    let (ours, typed) = (
        medians.ours(Step::ParseAlone),
        medians.ours(Step::PlainParse),
    );
    println!(
        "  {where_:<16} opened {ours:>7.1} ms with every id and the digest checked; typed serde_json, nothing checked, {typed:>7.1}: {:.2} times as long; written {:>7.1}",
        ours / typed,
        medians.ours(Step::Write)
    );
}

fn natively(files: &[String; 2], rounds: usize, steps: &[Step]) -> Result<Medians, String> {
    let [a, b] = files.clone().map(String::into_bytes);
    let mut desk = Desk::new(a, b);
    let mut times = vec![Vec::new(); steps.len()];
    if desk.step(Step::Open) == 0 {
        return Err("the book that was made does not open".to_owned());
    }
    for round in 0..=rounds {
        for (step, times) in steps.iter().zip(&mut times) {
            let started = Instant::now();
            let done = desk.step(*step);
            // The first round fills the caches.
            if round > 0 {
                times.push(started.elapsed().as_secs_f64() * 1e3);
            }
            if done == 0 {
                return Err(format!("{step:?} came to nothing"));
            }
        }
    }
    let medians = steps.iter().zip(times).map(|(step, mut times)| {
        times.sort_by(f64::total_cmp);
        let middle = times.get(times.len() / 2).copied().unwrap_or(f64::NAN);
        (ours(*step), middle)
    });
    Ok(Medians(medians.collect()))
}

fn in_wasm(
    machine: &std::path::Path,
    folder: &std::path::Path,
    files: &[String; 2],
    rounds: usize,
    steps: &[Step],
) -> Result<Medians, String> {
    let mut words = Vec::new();
    for (name, text) in ["a.json", "b.json"].iter().zip(files) {
        let path = folder.join(name);
        fs::write(&path, text).map_err(|e| format!("`{}`: {e}", path.display()))?;
        words.push(path.display().to_string());
    }
    words.push(rounds.to_string());
    words.extend(steps.iter().map(|step| place(*step).to_string()));
    let text = machine::node(SCRIPT, machine, &words)?;
    read(&text).ok_or_else(|| format!("node answered `{}`", text.trim()))
}

/// The medians that the script printed.
fn read(text: &str) -> Option<Medians> {
    let mut medians = Vec::new();
    for line in text.lines() {
        let (name, value) = line.split_once(' ')?;
        if name != "node" {
            medians.push((name.to_owned(), value.parse().ok()?));
        }
    }
    (!medians.is_empty()).then_some(Medians(medians))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_node_says_is_read() {
        let medians = read("ours-2 12.5\nparse 20\nnode v20.1.0\n").unwrap();
        assert_eq!(medians.ours(Step::ParseBeside), 12.5);
        assert_eq!(medians.of("parse"), 20.0);
        assert!(read("").is_none());
        assert!(read("ours-2 soon").is_none());
    }
}
