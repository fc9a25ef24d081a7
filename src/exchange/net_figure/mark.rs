//! The marks of a net, one shape for each sort of structure.

use crate::exchange::paper::{INK, write};
use crate::notebook::Datum;
use crate::orientation::Polarity;

/// A mark of the net: shape and Okabe and Ito's wash within an ink outline, so that shape alone tells the kind.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Mark {
    /// Bedding: a disc.
    Disc,
    /// Overturned bedding: a ring with a bar.
    BarredRing,
    /// Cleavage and foliation: a triangle.
    Triangle,
    /// Joints: a square.
    Square,
    /// Veins and dykes: an open square with a bar.
    BarredSquare,
    /// Faults: a diamond.
    Diamond,
    /// Lines: a thick plus.
    Plus,
    /// Any other plane: a ring.
    Ring,
}

impl Mark {
    /// The mark of a reading's plane, or of its line.
    pub fn of(datum: &Datum, line: bool) -> Self {
        let kind = datum.kind.as_str();
        if line {
            Self::Plus
        } else if kind.starts_with("bedding") {
            if datum.tops == Polarity::Overturned {
                Self::BarredRing
            } else {
                Self::Disc
            }
        } else if kind.contains("cleavage") || kind.contains("foliation") {
            Self::Triangle
        } else if kind.contains("fault") {
            Self::Diamond
        } else if kind.contains("joint") {
            Self::Square
        } else if kind.contains("vein") || kind.contains("dyke") {
            Self::BarredSquare
        } else {
            Self::Ring
        }
    }

    /// Weight and dashes of the great circle that a plane of this mark is drawn as: without colour, kinds are told apart by them.
    /// They are thinner than what is fitted.
    #[must_use]
    pub fn circle_style(self) -> (f64, &'static [f64]) {
        match self {
            Self::Disc | Self::Plus => (1.2, &[]),
            Self::BarredRing => (1.2, &[11.0, 3.0]),
            Self::Triangle => (1.2, &[5.0, 3.0]),
            Self::Square => (1.4, &[1.4, 3.0]),
            Self::BarredSquare => (1.2, &[8.0, 2.5, 1.4, 2.5, 1.4, 2.5]),
            Self::Diamond => (2.2, &[]),
            Self::Ring => (0.6, &[]),
        }
    }

    fn wash(self) -> &'static str {
        match self {
            Self::Disc => "#0B1518",
            Self::BarredRing | Self::Ring | Self::BarredSquare => "#FFFFFF",
            Self::Triangle => "#009E73",
            Self::Square => "#56B4E9",
            Self::Diamond => "#D55E00",
            Self::Plus => "#CC79A7",
        }
    }

    pub(super) fn draw(self, svg: &mut String, x: f64, y: f64) {
        let fill = self.wash();
        let shape = match self {
            Self::Disc | Self::Ring => format!(r#"<circle cx="{x:.2}" cy="{y:.2}" r="4.4""#),
            Self::BarredRing => format!(
                r#"<path d="M{:.2} {y:.2}a4.6 4.6 0 1 0 9.2 0a4.6 4.6 0 1 0 -9.2 0h9.2""#,
                x - 4.6
            ),
            Self::Triangle => format!(r#"<path d="M{x:.2} {:.2}l5 8.6h-10z""#, y - 5.4),
            Self::Square => format!(r#"<path d="M{:.2} {:.2}h7.8v7.8h-7.8z""#, x - 3.9, y - 3.9),
            Self::BarredSquare => format!(
                r#"<path d="M{:.2} {:.2}h7.8v7.8h-7.8zv3.9h7.8""#,
                x - 3.9,
                y - 3.9
            ),
            Self::Diamond => format!(
                r#"<path d="M{x:.2} {:.2}l5.2 5.2l-5.2 5.2l-5.2 -5.2z""#,
                y - 5.2
            ),
            Self::Plus => format!(
                r#"<path d="M{:.2} {:.2}h3.2v3.4h3.4v3.2h-3.4v3.4h-3.2v-3.4h-3.4v-3.2h3.4z""#,
                x - 1.6,
                y - 5.0
            ),
        };
        svg.push_str(&shape);
        write(
            svg,
            format_args!(r#" fill="{fill}" stroke="{INK}" stroke-width="1.3"/>"#),
        );
        svg.push('\n');
    }
}
