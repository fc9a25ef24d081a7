//! Every input that the fuzzer ever stumbled over, and its corpus, through the readers again; the fuzzer itself is run by
//! `workbench fuzz`, outside of this.

#![cfg(not(target_arch = "wasm32"))]

use std::fs;
use std::path::Path;
use std::sync::Mutex;

mod targets;

/// Memory is counted for the whole process, so one is tried after the other.
static ONE_AFTER_THE_OTHER: Mutex<()> = Mutex::new(());

#[track_caller]
fn replay(name: &str) {
    let _turn = ONE_AFTER_THE_OTHER
        .lock()
        .unwrap_or_else(|e| e.into_inner());
    let target = targets::ALL.iter().find(|target| target.name == name);
    let target = target.expect("a target");
    let folder = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/data/fuzz")
        .join(name);
    let mut paths: Vec<_> = fs::read_dir(&folder)
        .expect("a corpus")
        .map(|entry| entry.expect("a file").path())
        .collect();
    paths.sort();
    assert!(!paths.is_empty(), "nothing in {}", folder.display());
    for path in paths {
        let data = fs::read(&path).expect("readable");
        // Where it stops, the file is the last one named.
        println!("{}", path.display());
        targets::run(target, &data);
    }
}

#[test]
fn notation() {
    replay("notation");
}

#[test]
fn book() {
    replay("book");
}

#[test]
fn table() {
    replay("table");
}

#[test]
fn import() {
    replay("import");
}

#[test]
fn archive() {
    replay("archive");
}

#[test]
fn every_folder_of_inputs_has_its_target() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/fuzz");
    let mut folders: Vec<String> = fs::read_dir(folder)
        .expect("the inputs")
        .map(|entry| entry.expect("readable").path())
        .filter(|path| path.is_dir())
        .map(|path| {
            path.file_name()
                .expect("a name")
                .to_string_lossy()
                .into_owned()
        })
        .collect();
    folders.sort();
    let mut names: Vec<&str> = targets::ALL.iter().map(|target| target.name).collect();
    names.sort_unstable();
    assert_eq!(folders, names);
}
