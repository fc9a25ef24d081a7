//! The paths that the commands are given: nothing is written over what is read, and what cannot be opened is named with the way out.

use std::fs;
use std::path::Path;

use hingeline::exchange::{archive, book};

use crate::run::{Run, camp, folder};

const BOOK: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/data/books/v1.json");
const PHOTOS: &str = concat!(
    env!("CARGO_MANIFEST_DIR"),
    "/tests/data/books/v1-photos.zip"
);
const TABLE: &str = "station,kind,strike,dip,toward\n1,bedding,045,30,135\n";

fn run(folder: &Path, args: &[&str]) -> Run {
    Run::of(
        camp()
            .args(args)
            .current_dir(folder)
            .output()
            .expect("the command starts"),
    )
}

/// A book and a table may be the only copies: not even `--force` writes a map, a figure or a book without their content over them.
#[test]
fn nothing_is_written_over_a_file_that_is_read() {
    let folder = folder("over-what-is-read");
    let text = fs::read_to_string(BOOK).expect("the frozen book");
    let zip = fs::read(PHOTOS).expect("the frozen archive");
    fs::write(folder.join("book.json"), &text).expect("written");
    fs::write(folder.join("photos.zip"), &zip).expect("written");
    fs::write(folder.join("t.csv"), TABLE).expect("written");
    let cut = &text[..text.len() / 2];
    fs::write(folder.join("cut.json"), cut).expect("written");
    fs::create_dir(folder.join("in")).expect("made");
    let more = {
        let mut stored = archive::Stored::new();
        let mut bytes = stored.head(archive::BOOK, text.as_bytes()).expect("small");
        bytes.extend(text.as_bytes());
        bytes.extend(stored.head("notes.txt", b"mine").expect("small"));
        bytes.extend(b"mine");
        bytes.extend(stored.end().expect("small"));
        bytes
    };
    fs::write(folder.join("more.zip"), &more).expect("written");
    for args in [
        "hand-over book.json --format geojson -o book.json --force",
        "hand-over book.json --format geopackage -o in/../book.json --force",
        "hand-over photos.zip book.json --format kml -o book.json --force",
        "import t.csv -o t.csv --force",
        "import t.csv --into book.json -o ./t.csv --force",
        "import t.csv --into more.zip -o more.zip --force",
        "join more.zip -o more.zip --force",
        "figures book.json --net book.json",
        "figures t.csv --rose book.json",
        "join book.json cut.json --leave-out-damaged -o cut.json --force",
        "join photos.zip book.json --without-photos -o photos.zip --force",
        "doctor cut.json --save-sound book.json",
    ] {
        let run = run(&folder, &args.split(' ').collect::<Vec<_>>());
        assert_eq!(run.code, 2, "{args}: {}{}", run.out, run.err);
        assert!(!run.err.is_empty(), "{args}");
        let there = |name: &str| fs::read(folder.join(name)).expect("still there");
        assert_eq!(there("book.json"), text.as_bytes(), "{args}");
        assert_eq!(there("cut.json"), cut.as_bytes(), "{args}");
        assert_eq!(there("photos.zip"), zip, "{args}");
        assert_eq!(there("more.zip"), more, "{args}");
        assert_eq!(there("t.csv"), TABLE.as_bytes(), "{args}");
    }
    // A union holds all of what it takes the place of, and may.
    for (args, file) in [
        ("join book.json -o book.json --force", "book.json"),
        (
            "join photos.zip book.json -o photos.zip --force",
            "photos.zip",
        ),
        (
            "import t.csv --into book.json -o book.json --force",
            "book.json",
        ),
    ] {
        let run = run(&folder, &args.split(' ').collect::<Vec<_>>());
        assert!(run.code < 2, "{args}: {}", run.err);
        let now = archive::read_any(&fs::read(folder.join(file)).expect("there")).expect("a book");
        let before = book::read(&text).expect("the frozen book").entries;
        assert!(
            before.iter().all(|entry| now.book.entries.contains(entry)),
            "{args}"
        );
    }
    // A figure that was drawn before is drawn anew.
    for _ in 0..2 {
        let run = run(&folder, &["figures", "book.json", "--net", "net.svg"]);
        assert_eq!(run.code, 0, "{}", run.err);
    }
}

/// A file that is not there, a folder, an empty file and a file of another kind, for every command that reads one.
#[test]
fn what_cannot_be_opened_is_named_with_the_way_out() {
    let folder = folder("not-opened");
    fs::create_dir(folder.join("monday")).expect("made");
    fs::write(folder.join("empty.json"), "").expect("written");
    fs::write(folder.join("t.csv"), TABLE).expect("written");
    fs::copy(BOOK, folder.join("book.json")).expect("copied");
    let commands = [
        "check FILE",
        "doctor FILE",
        "show FILE",
        "join FILE -o out.json",
        "figures FILE",
        "hand-over FILE --format geojson -o out.geojson",
        "import t.csv --into FILE -o out.json",
        "import FILE -o out.json",
    ];
    for command in commands {
        for (file, wanted) in [
            (
                "nowhere.json",
                "there is no such file; look at its name and its folder",
            ),
            (
                "monday",
                "this is a folder; name the files in it, as folder/*.json",
            ),
        ] {
            let args = command.replace("FILE", file);
            let run = run(&folder, &args.split(' ').collect::<Vec<_>>());
            let said = format!("{}{}", run.out, run.err);
            assert_eq!(run.code, 2, "{args}: {said}");
            assert!(said.contains(&format!("{file}: ")), "{args}: {said}");
            assert!(said.contains(wanted), "{args}: {said}");
        }
        let args = command.replace("FILE", "empty.json");
        let run = run(&folder, &args.split(' ').collect::<Vec<_>>());
        let said = format!("{}{}", run.out, run.err);
        assert!(
            run.code != 0 && said.contains("empty.json"),
            "{args}: {said}"
        );
    }
    for (args, wanted) in [
        (
            "join book.json -o nowhere/out.json",
            "there is no such folder; make it first",
        ),
        (
            "join book.json -o monday --force",
            "this is a folder; name a file in it",
        ),
        ("join -", "standard input is not read here; name a file"),
        (
            "show book.json --station x",
            "a station is named by its number, as 47",
        ),
        ("import book.json", "no table but JSON"),
    ] {
        let run = run(&folder, &args.split(' ').collect::<Vec<_>>());
        let said = format!("{}{}", run.out, run.err);
        assert!(run.code != 0 && said.contains(wanted), "{args}: {said}");
    }
    let mut names: Vec<_> = fs::read_dir(&folder)
        .expect("the folder")
        .map(|file| {
            file.expect("a file")
                .file_name()
                .into_string()
                .expect("text")
        })
        .collect();
    names.sort();
    assert_eq!(names, ["book.json", "empty.json", "monday", "t.csv"]);
}
