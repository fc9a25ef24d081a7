//! The service worker that is written into a build, by the command that trunk runs.
#![cfg(not(target_arch = "wasm32"))]
#![allow(
    clippy::unwrap_used,
    reason = "the whole file is tests and what they share"
)]

use std::{
    fs,
    path::{Path, PathBuf},
    process::{Command, Output},
};

const WORKBENCH: &str = env!("CARGO_BIN_EXE_workbench");

fn build(name: &str) -> PathBuf {
    let dir = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = fs::remove_dir_all(&dir);
    fs::create_dir_all(dir.join("fonts")).unwrap();
    for (file, text) in [
        ("index.html", "<!DOCTYPE html>"),
        ("boot.js", "start()"),
        ("hingeline-0123_bg.wasm", "\0asm"),
        ("demo.json", "{}"),
        ("fonts/plain.woff2", "wOF2"),
        ("fonts/OFL-plain.txt", "licence"),
    ] {
        fs::write(dir.join(file), text).unwrap();
    }
    dir
}

fn precache(dir: &Path) -> String {
    let output = Command::new(WORKBENCH)
        .args(["precache", "--dir"])
        .arg(dir)
        .output()
        .unwrap();
    assert!(
        output.status.success(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    fs::read_to_string(dir.join("sw.js")).unwrap()
}

/// As trunk runs it.
fn hook(dir: &Path, profile: &str) -> Output {
    Command::new(WORKBENCH)
        .arg("precache")
        .env("TRUNK_STAGING_DIR", dir)
        .env("TRUNK_PROFILE", profile)
        .output()
        .unwrap()
}

fn version(worker: &str) -> &str {
    let (_, rest) = worker.split_once("const VERSION = \"").unwrap();
    rest.split_once('"').unwrap().0
}

#[test]
fn the_list_holds_the_build_and_the_version_follows_its_bytes() {
    let dir = build("precache-version");
    let first = precache(&dir);
    assert!(
        first.contains(
            r#"["./","boot.js","demo.json","fonts/plain.woff2","hingeline-0123_bg.wasm"]"#
        ),
        "{first}"
    );
    assert_eq!(
        precache(&dir),
        first,
        "a second run, with sw.js there, changes nothing"
    );

    fs::write(dir.join("hingeline-0123_bg.wasm"), "\0asm ").unwrap();
    let second = precache(&dir);
    assert_ne!(
        version(&second),
        version(&first),
        "the wasm changed under the same name"
    );

    fs::write(dir.join("hingeline-0123_bg.wasm"), "\0asm").unwrap();
    assert_eq!(precache(&dir), first);
}

#[test]
fn a_release_build_gets_a_worker_that_keeps_it_and_a_debug_build_one_that_leaves() {
    let dir = build("precache-hook");
    assert!(hook(&dir, "release").status.success());
    let release = fs::read_to_string(dir.join("sw.js")).unwrap();
    assert!(release.contains("addAll") && !release.contains("unregister"));
    assert!(hook(&dir, "debug").status.success());
    let debug = fs::read_to_string(dir.join("sw.js")).unwrap();
    assert!(debug.contains("unregister") && !debug.contains("addAll"));
}

#[test]
fn a_folder_that_is_no_build_is_refused() {
    let dir = build("precache-refused");
    fs::remove_file(dir.join("index.html")).unwrap();
    let output = hook(&dir, "release");
    assert_eq!(output.status.code(), Some(1));
    assert!(String::from_utf8_lossy(&output.stderr).contains("index.html"));
    assert!(!dir.join("sw.js").exists());

    let output = Command::new(WORKBENCH)
        .arg("precache")
        .env_remove("TRUNK_STAGING_DIR")
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(1));
    assert!(String::from_utf8_lossy(&output.stderr).contains("--dir"));
}

/// The trap this guards against: `event.waitUntil(f)` hands over a function, waits for nothing and keeps nothing.
#[test]
fn every_wait_in_a_worker_is_for_a_call() {
    let source = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/bin/workbench");
    for name in ["sw.js", "sw-debug.js"] {
        let text = fs::read_to_string(source.join(name)).unwrap();
        let waits: Vec<&str> = text.split("waitUntil(").skip(1).collect();
        assert!(!waits.is_empty(), "{name} waits for nothing");
        for wait in waits {
            let waited_for = wait.split(['(', ')']).next().unwrap();
            assert!(
                wait[waited_for.len()..].starts_with("()"),
                "{name} waits for `{waited_for}`, which is not called"
            );
        }
    }
}
