//! The demo book holds what it promises, and the doubts find its blunders.

use hingeline::{
    notebook::{Ledger, Pages},
    orientation::{DoubtKind, angle::degrees},
};
use nalgebra::Matrix3;

use super::*;

fn pages() -> Pages {
    Pages::of(&book(SEED).into_iter().collect::<Ledger>())
}

#[test]
fn the_file_is_what_the_generator_makes() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/public/demo.json");
    let file = std::fs::read_to_string(path).unwrap();
    assert!(
        file == text(SEED),
        "public/demo.json differs: `cargo run --bin workbench -- demo` writes it anew"
    );
    let read = hingeline::exchange::book::read(&file).unwrap();
    let made: Ledger = book(SEED).into_iter().collect();
    assert_eq!(read.entries.into_iter().collect::<Ledger>(), made);
}

#[test]
fn it_holds_what_it_promises() {
    let pages = pages();
    assert_eq!(pages.stations().len(), 12);
    assert_eq!((pages.reading_lines(), pages.struck_out()), (80, 1));
    assert_eq!(pages.days().len(), 2);
    assert_eq!(pages.strays().count() + pages.unknown().len(), 0);
    assert_eq!(pages.contested().len(), 0);
    assert_eq!(pages.book().unwrap().1.name, "Varrelow");
    for page in pages.stations() {
        for line in page.readings() {
            let shots = line.reading().unwrap().shots.len();
            assert!((1..=3).contains(&shots));
        }
    }
}

#[test]
fn the_doubts_find_the_blunders_and_nothing_else() {
    let pages = pages();
    let mut found = Vec::new();
    for page in pages.stations() {
        for line in page.readings() {
            for open in attitude::of(line.reading().unwrap()).open {
                if open.doubt.severity == Severity::Doubt {
                    found.push((page.line().number(), open.doubt.kind));
                }
            }
        }
    }
    assert_eq!(
        found,
        [
            (2, DoubtKind::SideAlongStrike),
            (3, DoubtKind::Scatter),
            (4, DoubtKind::SideAlongStrike),
            (5, DoubtKind::OutOfRange),
            (7, DoubtKind::SetUp),
            (9, DoubtKind::OutOfRange),
        ]
    );
}

/// The axis of a fold is the direction that the poles of bedding least lie along: the smallest eigenvector of their
/// orientation tensor (common practice).
#[test]
fn the_beds_are_folded_about_one_axis() {
    let pages = pages();
    let mut tensor = Matrix3::zeros();
    for page in pages.stations() {
        for line in page.readings().iter().filter(|line| !line.is_struck_out()) {
            let reading = line.reading().unwrap();
            let found = attitude::of(reading);
            if reading.kind == "bedding"
                && found
                    .open
                    .iter()
                    .all(|f| f.doubt.severity == Severity::Note)
            {
                let normal = found.plane.unwrap().normal();
                tensor += normal * normal.transpose();
            }
        }
    }
    let eigen = tensor.symmetric_eigen();
    let (least, _) = eigen.eigenvalues.argmin();
    let axis = Line::axis_from_vector(&eigen.eigenvectors.column(least).into_owned()).unwrap();
    let off_deg = axis.angle(&Line::from_deg(224.0, 13.0).unwrap()).deg();
    assert!(
        off_deg < 3.0,
        "{off_deg} off; {}",
        degrees(axis.trend().rad())
    );
}
