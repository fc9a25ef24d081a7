//! Written notation: what is read, written and read again is the same, in every way of writing.

use hingeline::orientation::notation::{Convention, Read, read};
use hingeline::orientation::{Line, Plane, PlaneStyle, write_line, write_plane};

const STYLES: [PlaneStyle; 4] = [
    PlaneStyle::StrikeDip,
    PlaneStyle::Quadrant,
    PlaneStyle::DipDirection,
    PlaneStyle::RightHand,
];

/// What is written keeps ten decimals of a degree; this is a hundred times that, radians.
const SAME: f64 = 2e-10;

pub(super) fn check(data: &[u8]) {
    let text = String::from_utf8_lossy(data);
    for convention in [
        Convention::RightHand,
        Convention::StrikeDip,
        Convention::DipDirection,
    ] {
        let first = read(&text, convention);
        assert_eq!(first, read(&text, convention), "read twice");
        words(&first, &text);
        if let Some(plane) = &first.plane {
            assert!((0.0..=90.0).contains(&plane.dip().deg()));
            assert!((0.0..360.0).contains(&plane.strike().deg()));
            STYLES.iter().for_each(|&style| same_plane(plane, style));
        }
        if let Some(line) = &first.line {
            assert!((-90.0..=90.0).contains(&line.plunge().deg()));
            assert!((0.0..360.0).contains(&line.trend().deg()));
            STYLES.iter().for_each(|&style| same_line(line, style));
        }
    }
}

fn words(read: &Read, text: &str) {
    if read.plane.is_none() && read.line.is_none() {
        assert!(
            !read.doubts.is_empty(),
            "`{text}` gives nothing, and no word"
        );
    }
    for doubt in &read.doubts {
        assert!(!doubt.message.is_empty());
        assert!(!doubt.message.ends_with('.'), "{}", doubt.message);
        assert!(doubt.message.chars().count() < 1000, "{}", doubt.message);
    }
}

/// The convention that a style is read back by: where no side is written, the book says what a pair means.
fn convention(style: PlaneStyle) -> Convention {
    match style {
        PlaneStyle::RightHand => Convention::RightHand,
        PlaneStyle::StrikeDip | PlaneStyle::Quadrant => Convention::StrikeDip,
        PlaneStyle::DipDirection => Convention::DipDirection,
    }
}

fn same_plane(plane: &Plane, style: PlaneStyle) {
    let written = write_plane(plane, style);
    let again = read(&written, convention(style));
    let Some(other) = again.plane else {
        panic!("{plane:?} is written `{written}`, which gives no plane: {again:?}");
    };
    let apart = plane.normal().cross(&other.normal()).norm();
    assert!(apart < SAME, "`{written}`: {plane:?} became {other:?}");
    // Written once more it is the same text, so it wanders no further.
    assert_eq!(write_plane(&other, style), written);
}

fn same_line(line: &Line, style: PlaneStyle) {
    let written = write_line(line, style);
    let again = read(&written, Convention::RightHand);
    let Some(other) = again.line else {
        panic!("{line:?} is written `{written}`, which gives no line: {again:?}");
    };
    let apart = (line.vector() - other.vector()).norm();
    assert!(apart < SAME, "`{written}`: {line:?} became {other:?}");
    assert_eq!(write_line(&other, style), written);
}
