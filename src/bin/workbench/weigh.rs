//! What a first visit weighs, compressed as a server would send it, and how long the app takes.

use std::{
    fs,
    path::{Path, PathBuf},
    process::Command,
};

use super::{build, not_started, precache, root, verify};

/// What a first visit should weigh at most, compressed, in kB of 1000 bytes.
const AIM_KB: f64 = 350.0;

/// Prints, for each file named, its sizes raw, by brotli at quality 11 and by gzip at level 9.
/// node carries both compressors, and is here for npm anyway.
const COMPRESS: &str = "
const zlib = require('zlib'), fs = require('fs');
for (const name of process.argv.slice(1)) {
  const raw = fs.readFileSync(name);
  const brotli = zlib.brotliCompressSync(raw, { params: {
    [zlib.constants.BROTLI_PARAM_QUALITY]: 11,
    [zlib.constants.BROTLI_PARAM_LGWIN]: 22,
    [zlib.constants.BROTLI_PARAM_SIZE_HINT]: raw.length } });
  console.log(raw.length, brotli.length, zlib.gzipSync(raw, { level: 9 }).length);
}";

/// A file's sizes in bytes, raw and compressed.
struct Weight {
    name: String,
    raw: u64,
    brotli: u64,
    gzip: u64,
}

impl Weight {
    /// What is sent: fonts and pictures are compressed already and go as they are.
    fn sent(&self) -> u64 {
        if [".woff2", ".png"]
            .iter()
            .any(|end| self.name.ends_with(end))
        {
            self.raw
        } else {
            self.brotli
        }
    }
}

/// Prints the sizes, and the times unless only sizes are asked for.
pub(super) fn weigh(dist: Option<PathBuf>, sizes_only: bool) -> Result<(), String> {
    let dist = match dist {
        Some(dist) => fs::canonicalize(&dist)
            .map_err(|e| format!("cannot weigh `{}`: {e}", dist.display()))?,
        None => {
            let dist = root()?.join("dist");
            build::build(&dist, false)?;
            dist
        }
    };
    print(&sizes(&dist)?);
    if sizes_only {
        return Ok(());
    }
    println!();
    verify::measure(&dist, verify::MEASURING, &[])
}

/// The sizes of all that a first visit fetches: the page, the worker, and what the worker keeps.
fn sizes(dist: &Path) -> Result<Vec<Weight>, String> {
    let files = precache::read_build(dist)?;
    let mut names = vec!["sw.js"];
    names.extend(
        precache::names(&files)
            .into_iter()
            .map(|name| if name == "./" { "index.html" } else { name }),
    );

    let mut node = Command::new("node");
    node.arg("-e")
        .arg(COMPRESS)
        .args(names.iter().map(|name| dist.join(name)));
    let output = node.output().map_err(|e| not_started(&node, &e))?;
    if !output.status.success() {
        return Err(format!(
            "the files could not be compressed: {}",
            String::from_utf8_lossy(&output.stderr).trim()
        ));
    }
    let text = String::from_utf8_lossy(&output.stdout);
    let weights: Vec<Weight> = names
        .iter()
        .zip(text.lines())
        .filter_map(|(name, line)| read(name, line))
        .collect();
    if weights.len() == names.len() {
        Ok(weights)
    } else {
        Err(format!(
            "{} of {} files were weighed",
            weights.len(),
            names.len()
        ))
    }
}

fn read(name: &str, line: &str) -> Option<Weight> {
    let mut numbers = line.split_whitespace().map(|word| word.parse::<u64>().ok());
    Some(Weight {
        name: name.to_owned(),
        raw: numbers.next()??,
        brotli: numbers.next()??,
        gzip: numbers.next()??,
    })
}

fn print(weights: &[Weight]) {
    println!(
        "{:<44}{:>10}{:>10}{:>10}{:>10}",
        "kB of 1000 bytes", "raw", "brotli 11", "gzip 9", "sent"
    );
    for weight in weights {
        let [raw, brotli, gzip, sent] =
            [weight.raw, weight.brotli, weight.gzip, weight.sent()].map(kb);
        println!(
            "{:<44}{raw:>10.1}{brotli:>10.1}{gzip:>10.1}{sent:>10.1}",
            weight.name
        );
    }
    let raw = kb(weights.iter().map(|weight| weight.raw).sum());
    let sent = kb(weights.iter().map(Weight::sent).sum());
    println!(
        "{:<44}{raw:>10.1}{:>30.1}",
        "first visit, everything once", sent
    );
    let word = if sent <= AIM_KB { "within" } else { "OVER" };
    println!("{sent:.1} kB of {AIM_KB:.0} kB: {word} the aim");
}

fn kb(bytes: u64) -> f64 {
    // Exact: a file of 2^53 bytes is not met.
    bytes as f64 / 1000.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fonts_and_pictures_are_sent_as_they_are() {
        let weight = |name: &str| Weight {
            name: name.to_owned(),
            raw: 100,
            brotli: 30,
            gzip: 40,
        };
        assert_eq!(weight("fonts/plain.woff2").sent(), 100);
        assert_eq!(weight("icons/icon.png").sent(), 100);
        assert_eq!(weight("icons/icon.svg").sent(), 30);
        assert_eq!(weight("app.wasm").sent(), 30);
    }

    #[test]
    fn a_line_with_a_number_missing_is_not_read() {
        assert!(read("a", "1 2").is_none());
        assert!(read("a", "1 2 x").is_none());
        let weight = read("a", "3 2 1").unwrap();
        assert_eq!((weight.raw, weight.brotli, weight.gzip), (3, 2, 1));
    }
}
