//! What was reckoned: values with how sure they are, the working in words, cautions, and what to draw.

use super::spread::{Result, Sure};
use crate::notebook::Notation;
use crate::orientation::{Line, Plane};

/// A value.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Value {
    /// A plane.
    Plane(Plane),
    /// A line.
    Line(Line),
    /// Degrees.
    Degrees(f64),
    /// Metres.
    Metres(f64),
}

/// One result.
#[derive(Clone, Debug, PartialEq)]
pub struct Figure {
    /// What it is.
    pub name: String,
    /// Its value.
    pub value: Value,
    /// How sure it is.
    pub sure: Sure,
    /// What most of its variance comes from, by its name in the book, and the share, 0 to 1; `None` where there is one thing only.
    pub most: Option<(String, f64)>,
}

impl Figure {
    pub(super) fn plane(name: &str, found: Result<Plane>) -> Self {
        Self::new(name, Value::Plane(found.value), found.sure, found.most)
    }

    pub(super) fn line(name: &str, found: Result<Line>) -> Self {
        Self::new(name, Value::Line(found.value), found.sure, found.most)
    }

    pub(super) fn number(name: &str, found: Result<f64>, of: fn(f64) -> Value) -> Self {
        Self::new(name, of(found.value), found.sure, found.most)
    }

    fn new(name: &str, value: Value, sure: Sure, most: Option<(String, f64)>) -> Self {
        Self {
            name: name.to_owned(),
            value,
            sure,
            most,
        }
    }
}

/// What to draw beside a result; the last of the planes or lines of a net are the results.
#[derive(Clone, Debug, PartialEq)]
pub enum Drawing {
    /// A net: planes and lines with their names, and whether they are a result.
    Net {
        /// Planes.
        planes: Vec<(String, Plane, bool)>,
        /// Lines.
        lines: Vec<(String, Line, bool)>,
    },
    /// An upright section, seen with its azimuth to the right.
    Section {
        /// Where its right end points, degrees.
        toward_deg: f64,
        /// How the layer dips on it, down to the right positive, degrees.
        apparent_deg: f64,
        /// The ground from its left end to its right: level distance and rise, metres; `None` where there is none.
        ground_m: Option<(f64, f64)>,
        /// The names of the two ends.
        ends: [String; 2],
        /// What is measured on it.
        measured: Measured,
    },
    /// A map: three places with their names, metres north and east, and the plane through them.
    Map {
        /// The places.
        places: [(String, f64, f64); 3],
        /// The plane.
        plane: Plane,
    },
}

/// What a section measures.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Measured {
    /// The dip of the layer alone.
    Dip,
    /// The layer between its ends.
    Thickness,
    /// How far the layer lies below its right end, metres; above it where it is less than nil.
    Depth(f64),
}

/// What was reckoned.
#[derive(Clone, Debug, PartialEq)]
pub struct Worked {
    /// The results, the one asked for first.
    pub figures: Vec<Figure>,
    /// How it was reckoned, step by step.
    pub steps: Vec<String>,
    /// What to beware of.
    pub cautions: Vec<String>,
    /// The method and where it comes from.
    pub method: String,
    /// What to draw.
    pub drawing: Drawing,
}

/// How the book's owner writes planes and lines.
#[derive(Clone, Copy, Debug)]
pub struct Hand {
    /// The notation.
    pub notation: Notation,
    /// Writes a plane.
    pub plane: fn(&Plane, Notation) -> String,
    /// Writes a line.
    pub line: fn(&Line, Notation) -> String,
}

impl Hand {
    pub(super) fn plane(&self, plane: &Plane) -> String {
        (self.plane)(plane, self.notation)
    }

    pub(super) fn line(&self, line: &Line) -> String {
        (self.line)(line, self.notation)
    }

    /// A value in words.
    pub fn value(&self, value: &Value) -> String {
        match value {
            Value::Plane(plane) => self.plane(plane),
            Value::Line(line) => self.line(line),
            Value::Degrees(deg) => format!("{deg:.1}°"),
            Value::Metres(m) => metres(*m),
        }
    }
}

/// An azimuth in three digits.
pub(super) fn three(deg: f64) -> String {
    format!("{:03.0}", deg.round().rem_euclid(360.0))
}

/// Metres with as many figures as they mean: whole from a hundred up, one decimal from one up, else two.
pub fn metres(m: f64) -> String {
    match m.abs() {
        size if size >= 99.5 => format!("{m:.0} m"),
        size if size >= 0.95 => format!("{m:.1} m"),
        _ => format!("{m:.2} m"),
    }
}

/// How far deviations are carried over, for every result.
pub(super) const CARRIED: &str = "Each ± is one standard deviation, which holds the true value 68 times in 100; twice as much holds it 95 times in 100. It is carried over from the readings' own (needle, inclination and placement of the set-up, less by the root of the shots, more where they scatter) and from the places', by differences to first order: ISO/IEC Guide 98-3:2008, 5.1.2. What turns all readings alike, as a wrong declination does, is not in it.";

/// Said with every figure that somebody might dig or build by.
pub(super) const RECONNAISSANCE: &str = "For reconnaissance: the layer is taken as one plane between the places, without fold or fault. Where a slope, a cutting, a shaft or a hole depends on the figure, local codes and a licensed engineer decide.";

/// Said where planes meet or daylight.
pub(super) const SLOPE: &str =
    "It says nothing of whether a slope stands: that is for local codes and a licensed engineer.";
