//! What must not be there: DEVELOPERS.md, "What is not there", read off the source.
#![cfg(not(target_arch = "wasm32"))]
#![allow(
    clippy::unwrap_used,
    reason = "the whole file is tests and what they share"
)]

use std::{
    fs,
    path::{Path, PathBuf},
};

const BROWSER: [&str; 6] = [
    "web_sys",
    "js_sys",
    "wasm_bindgen",
    "leptos",
    "idb::",
    "gloo",
];
const CLOCK: [&str; 5] = [
    "SystemTime",
    "Instant::",
    "std::time",
    "Date::now",
    "performance()",
];
const CHANCE: [&str; 4] = ["rand::", "getrandom", "RandomState", "random()"];

/// All files below a place of the repository with one of these extensions.
fn files(place: &str, extensions: &[&str]) -> Vec<PathBuf> {
    fn walk(path: &Path, extensions: &[&str], found: &mut Vec<PathBuf>) {
        if path.is_dir() {
            for item in fs::read_dir(path).unwrap() {
                walk(&item.unwrap().path(), extensions, found);
            }
        } else if path
            .extension()
            .is_some_and(|own| extensions.iter().any(|extension| own == *extension))
        {
            found.push(path.to_path_buf());
        }
    }
    let mut found = Vec::new();
    walk(
        &Path::new(env!("CARGO_MANIFEST_DIR")).join(place),
        extensions,
        &mut found,
    );
    found
}

/// The lines of code of a Rust file, up to its tests, without comments.
fn code(text: &str) -> impl Iterator<Item = (usize, &str)> {
    text.lines()
        .enumerate()
        .take_while(|(_, line)| line.trim() != "#[cfg(test)]")
        .map(|(number, line)| (number + 1, line.trim_start()))
        .filter(|(_, line)| !line.starts_with("//"))
}

/// Checks that no line of code below the place holds one of these words; `but_in` is where they belong.
#[track_caller]
fn check(place: &str, words: &[&str], but_in: &[&str]) {
    let files = files(place, &["rs"]);
    assert!(!files.is_empty(), "{place} holds no source: was it moved?");
    let mut found = Vec::new();
    for path in files {
        let name = path
            .strip_prefix(env!("CARGO_MANIFEST_DIR"))
            .unwrap()
            .to_string_lossy()
            .replace('\\', "/");
        if but_in.iter().any(|own| name.starts_with(own)) {
            continue;
        }
        let text = fs::read_to_string(&path).unwrap();
        for (number, line) in code(&text) {
            if let Some(word) = words.iter().find(|word| line.contains(**word)) {
                found.push(format!("{name}:{number}: {word}"));
            }
        }
    }
    assert!(
        found.is_empty(),
        "{place} must not hold\n{}",
        found.join("\n")
    );
}

/// Every way to name a wing of the library from within it.
fn wings(names: &[&str]) -> Vec<String> {
    names
        .iter()
        .flat_map(|name| [format!("crate::{name}"), format!("super::super::{name}::")])
        .collect()
}

#[track_caller]
fn check_knows_not(place: &str, above: &[&str]) {
    let words = wings(above);
    check(
        place,
        &words.iter().map(String::as_str).collect::<Vec<_>>(),
        &[],
    );
}

#[test]
fn arrows_point_down_only() {
    check_knows_not(
        "src/orientation",
        &["geodesy", "notebook", "exchange", "store", "app"],
    );
    check_knows_not("src/geodesy", &["notebook", "exchange", "store", "app"]);
    check_knows_not("src/notebook", &["exchange", "store", "app"]);
    check_knows_not("src/exchange", &["store", "app"]);
    check_knows_not("src/store", &["app"]);
}

#[test]
fn orientation_and_geodesy_know_no_station_and_no_book() {
    for place in ["src/orientation", "src/geodesy"] {
        check(place, &["Station", "station", "Ledger", "ledger"], &[]);
    }
}

#[test]
fn the_core_has_no_browser_no_clock_and_no_chance() {
    for place in [
        "src/orientation",
        "src/geodesy",
        "src/notebook",
        "src/exchange",
    ] {
        check(place, &BROWSER, &[]);
        check(place, &CLOCK, &[]);
        check(place, &CHANCE, &[]);
    }
}

#[test]
fn only_the_angle_file_turns_degrees_into_radians() {
    check(
        "src",
        &["to_radians", "to_degrees", "PI / 180", "180.0 / PI"],
        &["src/orientation/angle.rs"],
    );
}

#[test]
fn only_the_store_opens_the_database() {
    check(
        "src",
        &["idb::", "IdbDatabase", "IdbTransaction", "indexed_db"],
        &["src/store"],
    );
}

#[test]
fn only_the_tokens_name_a_colour() {
    let named = |text: &str| {
        text.match_indices('#').any(|(at, _)| {
            let digits = text[at + 1..]
                .bytes()
                .take_while(u8::is_ascii_hexdigit)
                .count();
            let after = text[at + 1 + digits..].chars().next();
            matches!(digits, 3 | 6 | 8)
                && !after.is_some_and(|c| c.is_alphanumeric() || c == '-' || c == '_')
        })
    };
    assert!(
        named("color:#0B1518;") && named("#fff") && !named("#first-paint") && !named("#faded-line")
    );
    let mut found = Vec::new();
    for path in files("style", &["css"])
        .into_iter()
        .chain(files("src/app", &["rs"]))
    {
        if path.ends_with("tokens.css") {
            continue;
        }
        let text = fs::read_to_string(&path).unwrap();
        let lines = if path.extension().is_some_and(|own| own == "rs") {
            code(&text).collect::<Vec<_>>()
        } else {
            text.lines().enumerate().collect()
        };
        found.extend(
            lines
                .iter()
                .filter(|(_, line)| named(line) || line.contains("rgb("))
                .map(|(number, line)| format!("{}:{number}: {}", path.display(), line.trim())),
        );
    }
    assert!(
        found.is_empty(),
        "a colour beside the tokens:\n{}",
        found.join("\n")
    );
}

#[test]
fn the_first_paint_is_in_the_colours_of_the_tokens() {
    let read =
        |name: &str| fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(name)).unwrap();
    let tokens = read("style/tokens.css");
    let papers: Vec<&str> = tokens
        .split("--paper:")
        .skip(1)
        .map(|rest| rest.split(';').next().unwrap())
        .collect();
    assert_eq!(papers.len(), 3, "sun, overcast, lamp");
    let look = read("public/look.js");
    for paper in &papers {
        assert!(
            look.contains(&format!("\"{paper}\"")),
            "public/look.js lacks {paper}"
        );
    }
    for name in ["public/hingeline.webmanifest", "index.html"] {
        assert!(
            read(name).contains(&format!("\"{}\"", papers[0])),
            "{name} is not in the paper of the sun look"
        );
    }
}

#[test]
fn the_page_has_no_inline_script_and_asks_no_other_origin() {
    let page =
        fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("index.html")).unwrap();
    for script in page.split("<script").skip(1) {
        assert!(
            script.split('>').next().unwrap().contains(" src="),
            "an inline script: {script:.60}"
        );
    }
    assert!(page.contains("script-src 'self' 'wasm-unsafe-eval'"));
    for word in [
        "http://",
        "https://",
        "user-scalable",
        "maximum-scale",
        " style=",
        " onload=",
    ] {
        assert!(!page.contains(word), "index.html holds `{word}`");
    }
}

#[test]
fn the_toplevel_holds_no_drawer_for_odds_and_ends() {
    for path in files("src", &["rs"]) {
        for name in [
            "utils", "util", "helpers", "helper", "common", "types", "misc",
        ] {
            let part = path.components().any(|part| {
                part.as_os_str() == name || part.as_os_str().to_str() == Some(&format!("{name}.rs"))
            });
            assert!(!part, "{} is named for nothing", path.display());
        }
    }
}
