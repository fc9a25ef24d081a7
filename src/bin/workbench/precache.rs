//! The service worker of a build: which files it keeps, and the version that changes when any of them does.

use std::{
    env, fs,
    path::{Path, PathBuf},
};

use sha2::{Digest, Sha256};

const WORKER: &str = include_str!("sw.js");
const DEBUG_WORKER: &str = include_str!("sw-debug.js");

/// A file of a build: its name from the root, with forward slashes, and what it holds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct BuiltFile {
    pub(super) name: String,
    pub(super) bytes: Vec<u8>,
}

/// Writes `sw.js` into a build: the given one, or the one that trunk is making.
pub(super) fn precache(dir: Option<PathBuf>) -> Result<(), String> {
    let by_hand = dir.is_some();
    let dir = dir
        .or_else(|| env::var_os("TRUNK_STAGING_DIR").map(PathBuf::from))
        .ok_or("no build is named: trunk sets TRUNK_STAGING_DIR; by hand give --dir DIR")?;
    let release = by_hand || env::var("TRUNK_PROFILE").is_ok_and(|profile| profile == "release");
    let files = read_build(&dir)?;
    if !files.iter().any(|file| file.name == "index.html") {
        return Err(format!(
            "{} holds no index.html, so it is no build of the app",
            dir.display()
        ));
    }
    let worker = if release {
        worker(&files)
    } else {
        DEBUG_WORKER.to_owned()
    };
    let path = dir.join("sw.js");
    fs::write(&path, worker).map_err(|e| format!("cannot write {}: {e}", path.display()))
}

/// All files of a build, in the order of their names.
pub(super) fn read_build(dir: &Path) -> Result<Vec<BuiltFile>, String> {
    let mut files = Vec::new();
    walk(dir, "", &mut files)?;
    files.sort_by(|a, b| a.name.cmp(&b.name));
    Ok(files)
}

fn walk(dir: &Path, prefix: &str, files: &mut Vec<BuiltFile>) -> Result<(), String> {
    let wrong = |e: std::io::Error| format!("cannot read {}: {e}", dir.display());
    for item in fs::read_dir(dir).map_err(wrong)? {
        let item = item.map_err(wrong)?;
        let own = item.file_name();
        let own = own
            .to_str()
            .ok_or_else(|| format!("`{}` in a build is no name for the web", own.display()))?;
        let name = format!("{prefix}{own}");
        if item.path().is_dir() {
            walk(&item.path(), &format!("{name}/"), files)?;
        } else {
            let bytes = fs::read(item.path()).map_err(wrong)?;
            files.push(BuiltFile { name, bytes });
        }
    }
    Ok(())
}

/// The service worker of a release build, with the names and the version written in.
fn worker(files: &[BuiltFile]) -> String {
    let names: Vec<String> = names(files).into_iter().map(quoted).collect();
    WORKER
        .replace("{{version}}", &version(files))
        .replace("{{names}}", &format!("[{}]", names.join(",")))
}

/// What is kept for the start without a network, as addresses from the root: the page itself is `./`.
pub(super) fn names(files: &[BuiltFile]) -> Vec<&str> {
    let mut names: Vec<&str> = files
        .iter()
        .map(|file| file.name.as_str())
        .filter(|name| is_kept(name))
        .map(|name| if name == "index.html" { "./" } else { name })
        .collect();
    names.sort_unstable();
    names
}

/// Whether the app in use asks for the file: not the worker itself, licences, schemas, or hidden files.
fn is_kept(name: &str) -> bool {
    let own = name.rsplit('/').next().unwrap_or(name);
    name != "sw.js"
        && !own.starts_with('.')
        && !own.ends_with(".txt")
        && !own.ends_with(".schema.json")
}

/// Sixteen hexadecimal digits of a digest over every kept name and all its bytes, and over the worker's own source.
pub(super) fn version(files: &[BuiltFile]) -> String {
    let mut kept: Vec<&BuiltFile> = files.iter().filter(|file| is_kept(&file.name)).collect();
    kept.sort_by(|a, b| a.name.cmp(&b.name));
    let mut all = Sha256::new();
    all.update(Sha256::digest(WORKER));
    for file in kept {
        // Digests have one length, so that no name can run into the bytes beside it.
        all.update(Sha256::digest(&file.name));
        all.update(Sha256::digest(&file.bytes));
    }
    all.finalize()
        .iter()
        .take(8)
        .map(|byte| format!("{byte:02x}"))
        .collect()
}

/// The name as a JSON string, its unusual characters written as an address writes them.
fn quoted(name: &str) -> String {
    let mut out = String::from("\"");
    for byte in name.bytes() {
        match byte {
            b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'-' | b'_' | b'.' | b'~' | b'/' => {
                out.push(char::from(byte))
            }
            other => out.push_str(&format!("%{other:02X}")),
        }
    }
    out.push('"');
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn build(files: &[(&str, &str)]) -> Vec<BuiltFile> {
        files
            .iter()
            .map(|(name, text)| BuiltFile {
                name: (*name).to_owned(),
                bytes: text.as_bytes().to_vec(),
            })
            .collect()
    }

    fn example() -> Vec<BuiltFile> {
        build(&[
            ("index.html", "<!DOCTYPE html>"),
            ("boot.js", "start()"),
            ("app-1.wasm", "\0asm"),
            ("demo.json", "{}"),
            ("fonts/plain.woff2", "wOF2"),
            ("fonts/OFL.txt", "licence"),
            ("book-1.schema.json", "{}"),
            (".stamp", ""),
            ("sw.js", "old"),
        ])
    }

    #[test]
    fn keeps_what_the_page_asks_for_and_nothing_else() {
        assert_eq!(
            names(&example()),
            [
                "./",
                "app-1.wasm",
                "boot.js",
                "demo.json",
                "fonts/plain.woff2"
            ]
        );
    }

    #[test]
    fn the_order_of_the_files_changes_nothing() {
        let mut turned = example();
        turned.reverse();
        assert_eq!(version(&turned), version(&example()));
        assert_eq!(worker(&turned), worker(&example()));
    }

    #[test]
    fn any_byte_of_a_kept_file_changes_the_version() {
        let before = version(&example());
        for kept in [
            "index.html",
            "boot.js",
            "app-1.wasm",
            "demo.json",
            "fonts/plain.woff2",
        ] {
            let mut files = example();
            let file = files.iter_mut().find(|file| file.name == kept).unwrap();
            for at in 0..file.bytes.len() {
                let mut changed = example();
                changed.iter_mut().find(|f| f.name == kept).unwrap().bytes[at] ^= 1;
                assert_ne!(version(&changed), before, "byte {at} of {kept}");
            }
            files
                .iter_mut()
                .find(|f| f.name == kept)
                .unwrap()
                .bytes
                .push(0);
            assert_ne!(version(&files), before, "one byte more in {kept}");
        }
    }

    #[test]
    fn a_new_name_or_a_file_gone_changes_the_version() {
        let before = version(&example());
        let mut renamed = example();
        renamed[2].name = "app-2.wasm".to_owned();
        assert_ne!(version(&renamed), before);
        let mut fewer = example();
        fewer.remove(3);
        assert_ne!(version(&fewer), before);
    }

    #[test]
    fn the_worker_before_it_does_not_change_the_version() {
        let mut files = example();
        files
            .iter_mut()
            .find(|file| file.name == "sw.js")
            .unwrap()
            .bytes = b"newer".to_vec();
        assert_eq!(version(&files), version(&example()));
    }

    #[test]
    fn moving_bytes_from_one_file_to_the_next_changes_the_version() {
        let one = build(&[("index.html", ""), ("a", "xy"), ("b", "z")]);
        let two = build(&[("index.html", ""), ("a", "x"), ("b", "yz")]);
        assert_ne!(version(&one), version(&two));
    }

    #[test]
    fn the_worker_is_written_out_in_full() {
        let text = worker(&example());
        assert!(text.contains(&format!("const VERSION = \"{}\";", version(&example()))));
        assert!(
            text.contains(
                r#"const NAMES = ["./","app-1.wasm","boot.js","demo.json","fonts/plain.woff2"];"#
            ),
            "{text}"
        );
        assert!(
            !text.contains("{{"),
            "a place in the template was left open"
        );
    }

    #[test]
    fn names_are_written_as_addresses() {
        assert_eq!(quoted("a b\"\\é.js"), "\"a%20b%22%5C%C3%A9.js\"");
    }
}
