//! The page before the app is there: its colours, its scripts, and whom it asks.
#![cfg(not(target_arch = "wasm32"))]
#![allow(
    clippy::unwrap_used,
    reason = "the whole file is tests and what they share"
)]

use std::{fs, path::Path};

fn read(name: &str) -> String {
    fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(name)).unwrap()
}

/// Whether a line of a style sheet names a colour by its numbers.
fn names_a_colour(line: &str) -> bool {
    let hexadecimal = line.match_indices('#').any(|(at, _)| {
        let digits = line[at + 1..]
            .bytes()
            .take_while(u8::is_ascii_hexdigit)
            .count();
        let after = line[at + 1 + digits..].chars().next();
        matches!(digits, 3 | 4 | 6 | 8)
            && !after.is_some_and(|c| c.is_alphanumeric() || c == '-' || c == '_')
    });
    hexadecimal
        || ["rgb(", "rgba(", "hsl(", "oklch("]
            .iter()
            .any(|function| line.contains(function))
}

#[test]
fn a_colour_is_told_from_a_name() {
    for colour in [
        "color:#0B1518;",
        "#fff",
        "border:1px solid #0b15",
        "rgb(0 0 0)",
        "a{fill:#0B1518cc}",
    ] {
        assert!(names_a_colour(colour), "{colour}");
    }
    for name in [
        "#first-paint>*{margin:0}",
        "#faded-line",
        "var(--ink)",
        "#add_reading",
    ] {
        assert!(!names_a_colour(name), "{name}");
    }
}

#[test]
fn only_the_tokens_name_a_colour() {
    let style = Path::new(env!("CARGO_MANIFEST_DIR")).join("style");
    let mut found = Vec::new();
    let mut sheets = 0;
    for item in fs::read_dir(style).unwrap() {
        let path = item.unwrap().path();
        if path.ends_with("tokens.css") {
            continue;
        }
        sheets += 1;
        for (number, line) in fs::read_to_string(&path).unwrap().lines().enumerate() {
            if names_a_colour(line) {
                found.push(format!(
                    "{}:{}: {}",
                    path.display(),
                    number + 1,
                    line.trim()
                ));
            }
        }
    }
    assert!(sheets > 0, "the style sheets have moved");
    assert!(
        found.is_empty(),
        "a colour beside the tokens:\n{}",
        found.join("\n")
    );
}

#[test]
fn the_first_paint_is_in_the_colours_of_the_tokens() {
    let tokens = read("style/tokens.css");
    // What is on paper is not what is on the glass.
    let (lights, printed) = tokens.split_once("@media print").unwrap();
    assert!(printed.contains("--paper:white;"), "{printed}");
    let papers: Vec<&str> = lights
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
fn no_inline_script_no_other_origin_and_no_lock_on_zooming() {
    let page = read("index.html");
    let scripts: Vec<&str> = page.split("<script").skip(1).collect();
    assert!(
        !scripts.is_empty(),
        "the look is set before the first paint"
    );
    for script in scripts {
        assert!(
            script.split('>').next().unwrap().contains(" src="),
            "an inline script: {script:.60}"
        );
    }
    let policy = page
        .split_once("Content-Security-Policy\" content=\"")
        .and_then(|(_, rest)| rest.split_once('"'))
        .map(|(policy, _)| policy)
        .unwrap();
    // Photos are read from what the page itself holds; nothing else has an address of its own.
    assert_eq!(
        policy,
        "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; img-src 'self' blob:; font-src 'self'; \
         connect-src 'self'; worker-src 'self'; manifest-src 'self'; base-uri 'self'; form-action 'none'"
    );
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
fn every_file_the_page_and_the_manifest_name_is_there() {
    let public = Path::new(env!("CARGO_MANIFEST_DIR")).join("public");
    let named = |text: &str, key: &str| -> Vec<String> {
        text.split(key)
            .skip(1)
            .map(|rest| rest.split('"').next().unwrap().to_owned())
            .collect()
    };
    let mut names = named(&read("public/hingeline.webmanifest"), "\"src\": \"");
    assert!(names.len() >= 4, "any, 192, 512, maskable: {names:?}");
    names.extend(
        named(&read("index.html"), " href=\"")
            .into_iter()
            .filter(|name| !name.starts_with("style/") && name != "public"),
    );
    names.extend(
        named(&read("style/tokens.css"), "url(")
            .iter()
            .map(|rest| rest.split(')').next().unwrap().to_owned()),
    );
    assert!(
        names.iter().any(|name| name.ends_with(".woff2")),
        "{names:?}"
    );
    for name in names {
        assert!(
            public.join(&name).is_file(),
            "public/{name} is named and not there"
        );
    }
}
