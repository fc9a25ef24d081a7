//! What drawing 100,000 poles anew costs in Chromium: the app's own page for it, in turn with plain ways in the same browser.

use std::{
    fs,
    io::{BufRead, BufReader},
    path::{Path, PathBuf},
    process::{Child, Command, Stdio},
    sync::mpsc,
    thread,
    time::Duration,
};

use crate::workbench::{browser, build, host, not_started, root};

/// A frame at 60 Hz, milliseconds.
const FRAME_MS: f64 = 16.7;

/// The browser may be silent for so long.
const PATIENCE: Duration = Duration::from_secs(180);

const PAGE: [(&str, &str); 2] = [
    ("redraw.html", include_str!("redraw.html")),
    ("redraw.js", include_str!("redraw.js")),
];

const RIVALS: [(&str, &str, f64); 3] = [
    (
        "image",
        "ImageData in plain JavaScript, jagged discs of one colour",
        1.0,
    ),
    ("sprites", "a sprite drawn for each by drawImage", 10.0),
    ("path", "one path of all discs", 10.0),
];

/// A program and a folder that end with their owner.
struct Kept {
    browser: Child,
    profile: PathBuf,
}

impl Drop for Kept {
    fn drop(&mut self) {
        // It may have ended by itself.
        let _ = self.browser.kill();
        let _ = self.browser.wait();
        let _ = fs::remove_dir_all(&self.profile);
    }
}

/// Serves a release build with the page beside it, and prints what Chromium found.
pub(super) fn bench(dist: Option<&Path>) -> Result<(), String> {
    let browser = match browser::ensure() {
        Ok(browser) => browser,
        Err(why) => {
            println!("the drawing is left out: {why}");
            return Ok(());
        }
    };
    let folder = root()?.join("target").join("benched");
    let _ = fs::remove_dir_all(&folder);
    let site = folder.join("site");
    match dist {
        Some(dist) => copy(dist, &site)?,
        None => build::build(&site, false)?,
    }
    for (name, text) in PAGE {
        fs::write(site.join(name), text).map_err(|e| format!("cannot write {name}: {e}"))?;
    }
    let site = fs::canonicalize(&site).map_err(|e| format!("cannot serve the build: {e}"))?;
    let listener = host::listen(0)?;
    let port = listener
        .local_addr()
        .map_err(|e| format!("cannot tell the port: {e}"))?
        .port();
    thread::spawn(move || host::answer_all(&listener, &site));
    let profile = folder.join("profile");
    let mut chromium = Command::new(&browser.chrome);
    chromium
        .args([
            "--headless",
            "--no-sandbox",
            "--disable-gpu",
            "--disable-quic",
            "--no-first-run",
            "--disable-background-networking",
            "--disable-component-update",
            "--disable-sync",
            "--disable-dev-shm-usage",
            "--enable-logging=stderr",
            "--window-size=1200,1200",
        ])
        .arg(format!("--user-data-dir={}", profile.display()))
        .arg(format!("http://127.0.0.1:{port}/redraw.html"))
        .stdout(Stdio::null())
        .stderr(Stdio::piped());
    let mut child = chromium.spawn().map_err(|e| not_started(&chromium, &e))?;
    let said = child.stderr.take().ok_or("the browser was not piped")?;
    let kept = Kept {
        browser: child,
        profile,
    };
    let (send, lines) = mpsc::channel();
    thread::spawn(move || {
        for line in BufReader::new(said).split(b'\n').map_while(Result::ok) {
            let line = String::from_utf8_lossy(&line).into_owned();
            if let Some(words) = said_by_page(&line)
                && send.send(words.to_owned()).is_err()
            {
                break;
            }
        }
    });
    let mut found = Vec::new();
    loop {
        let words = lines
            .recv_timeout(PATIENCE)
            .map_err(|_| "Chromium did not say what drawing took".to_owned())?;
        if words == "done" {
            break;
        }
        found.push(words);
    }
    drop(kept);
    print(&found)
}

/// What our page said, from a line of the browser's log.
fn said_by_page(line: &str) -> Option<&str> {
    let (_, after) = line.split_once("\"redraw ")?;
    let (words, _) = after.rsplit_once("\", source: ")?;
    Some(words)
}

fn print(found: &[String]) -> Result<(), String> {
    println!(
        "in Chromium, 800 × 800: 100,000 poles drawn anew, smooth and outlined, by the app's own page"
    );
    let incomplete = || format!("Chromium said only `{}`", found.join("; "));
    let mut medians = Vec::new();
    for words in found.iter().filter_map(|w| w.strip_prefix("ours ")) {
        println!("  {words}");
        medians.push(median_of(words).ok_or_else(incomplete)?);
    }
    medians.sort_by(f64::total_cmp);
    let ours = *medians.get(medians.len() / 2).ok_or_else(incomplete)?;
    let word = if ours <= FRAME_MS { "within" } else { "OVER" };
    println!("  {ours:.1} ms of a frame of {FRAME_MS} ms: {word} the aim");
    for (way, named, aim) in RIVALS {
        let theirs = found
            .iter()
            .find_map(|w| w.strip_prefix(way)?.trim().parse::<f64>().ok())
            .ok_or_else(incomplete)?;
        super::print_ratio(theirs / ours, aim, named, theirs);
    }
    Ok(())
}

/// The median in the words of the app's page.
fn median_of(words: &str) -> Option<f64> {
    let (_, after) = words.split_once("median ")?;
    after.split_whitespace().next()?.parse().ok()
}

/// Copies a folder with all that is in it.
fn copy(from: &Path, to: &Path) -> Result<(), String> {
    let wrong = |e: std::io::Error| format!("cannot copy `{}`: {e}", from.display());
    fs::create_dir_all(to).map_err(wrong)?;
    for item in fs::read_dir(from).map_err(wrong)? {
        let path = item.map_err(wrong)?.path();
        let Some(name) = path.file_name() else {
            continue;
        };
        if path.is_dir() {
            copy(&path, &to.join(name))?;
        } else {
            fs::copy(&path, to.join(name)).map_err(wrong)?;
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_the_page_said_is_found_in_the_log() {
        let line = "[1:1:0/1:INFO:CONSOLE:83] \"redraw image 5.5\", source: http://127.0.0.1:1/redraw.js (83)";
        assert_eq!(said_by_page(line), Some("image 5.5"));
        assert_eq!(said_by_page("[1:1] \"other\", source: x"), None);
        let words = "100000 poles on 800 × 800: median 6.5 ms, 6.0 to 9.1, of 60 drawings";
        assert_eq!(median_of(words), Some(6.5));
        assert_eq!(median_of("none"), None);
        assert!(print(&["image 5.5".to_owned()]).is_err(), "nothing of ours");
    }
}
