//! A rose diagram as a figure for a report: petals of equal-area scale, the mean, and the caption that a thesis needs.

use super::paper::{INK, Paper, write};
use crate::notebook::figures::Figures;
use crate::orientation::statistics::circular::{Ends, Sector, rose};

/// Petals of the compass.
pub const PETALS: usize = 36;

/// What goes on a rose, and what its caption says.
#[derive(Clone, Debug)]
pub struct RoseFigure<'a> {
    /// Figures of the kind whose strikes or trends are drawn.
    pub figures: &'a Figures,
    /// What the book is called.
    pub book: String,
    /// The day it was drawn, as it is to be printed.
    pub date: String,
    /// Which readings were chosen, in words; empty for all.
    pub chosen: String,
}

/// The petals of a kind's strikes or trends.
#[must_use]
pub fn petals(figures: &Figures) -> Vec<Sector> {
    rose(&figures.azimuths_deg, figures.ends, PETALS)
}

/// The outline of a petal, from the middle out and back, in radii of the rose.
#[must_use]
pub fn outline(petal: &Sector) -> Vec<(f64, f64)> {
    const STEPS: u32 = 6;
    let mut points = vec![(0.0, 0.0)];
    points.extend((0..=STEPS).map(|i| {
        let deg =
            petal.from_deg + (petal.to_deg - petal.from_deg) * f64::from(i) / f64::from(STEPS);
        let (sin, cos) = crate::orientation::angle::radians(deg).sin_cos();
        (petal.radius * sin, petal.radius * cos)
    }));
    points.push((0.0, 0.0));
    points
}

/// What a petal counts, in words: `strikes`, `trends`.
#[must_use]
pub fn counted(figures: &Figures) -> &'static str {
    match (figures.ends, figures.of_planes) {
        (_, true) => "strikes",
        (Ends::One, false) => "directions",
        (Ends::Two, false) => "trends",
    }
}

impl RoseFigure<'_> {
    /// The caption, sentence by sentence.
    #[must_use]
    pub fn caption(&self) -> Vec<String> {
        let figures = self.figures;
        let ends = match figures.ends {
            Ends::One => "directed: each in the petal it points to",
            Ends::Two => "axial: each in the petals of both its ends",
        };
        let most = petals(figures).iter().map(|p| p.count).max().unwrap_or(0);
        let mut all = vec![format!(
            "Rose of {} {} {}, {ends}; petals of {}°, their areas as their counts, the longest of {most}.",
            figures.azimuths_deg.len(),
            figures.kind,
            counted(figures),
            360 / PETALS
        )];
        if !self.chosen.is_empty() {
            all.push(format!("Chosen: {}.", self.chosen));
        }
        if let Some(circular) = &figures.circular {
            let half = circular.half_interval_deg().map_or_else(
                || " (too scattered for an interval)".to_owned(),
                |h| format!(" ± {h:.0}° (95 %)"),
            );
            all.push(format!(
                "Mean {:03.0}{half}, mean resultant {:.2}.",
                circular.mean_deg.round().rem_euclid(360.0),
                circular.mean_resultant
            ));
        }
        for test in [&figures.circular_test, &figures.kuiper]
            .into_iter()
            .flatten()
        {
            all.push(format!(
                "Even by chance: p = {:.3} ({}).",
                test.p, test.method
            ));
        }
        all.push(if figures.not_true == 0 {
            "Azimuths count from true north.".to_owned()
        } else {
            format!(
                "{} readings do not count from true north.",
                figures.not_true
            )
        });
        let book = if self.book.is_empty() {
            "book without a name"
        } else {
            &self.book
        };
        all.push(format!("{book}, {}.", self.date));
        all
    }

    /// The whole figure.
    ///
    /// # Degenerate input
    /// No azimuths: an empty rose with its caption.
    #[must_use]
    pub fn svg(&self) -> String {
        let mut paper = Paper::new(&self.caption());
        for petal in petals(self.figures).iter().filter(|p| p.count > 0) {
            write(paper.text(), format_args!("<path fill=\"#9FB4BA\" d=\""));
            for (i, point) in outline(petal).iter().enumerate() {
                let (x, y) = Paper::at(*point);
                write(
                    paper.text(),
                    format_args!("{}{x:.2} {y:.2}", if i == 0 { "M" } else { "L" }),
                );
            }
            write(
                paper.text(),
                format_args!("z\" stroke=\"{INK}\" stroke-width=\"1.3\"/>\n"),
            );
        }
        paper.frame(true);
        if let Some(circular) = &self.figures.circular {
            for (place, long) in mean_line(circular.mean_deg, self.figures.ends) {
                paper.course(&[place, long], 3.0, &[], 1.0);
            }
            let (x, y) = paper.row("mean");
            paper.sample(x - 16.0, y, 3.0, &[]);
        }
        paper.end()
    }
}

/// The mean on the rim: from a little within to the rim, at both ends for an axis.
#[must_use]
pub fn mean_line(mean_deg: f64, ends: Ends) -> Vec<((f64, f64), (f64, f64))> {
    let (sin, cos) = crate::orientation::angle::radians(mean_deg).sin_cos();
    let end = |sign: f64| {
        (
            (sign * sin * 0.86, sign * cos * 0.86),
            (sign * sin, sign * cos),
        )
    };
    match ends {
        Ends::One => vec![end(1.0)],
        Ends::Two => vec![end(1.0), end(-1.0)],
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::notebook::Datum;
    use crate::notebook::figures::figures;
    use crate::orientation::{Line, Plane};

    fn beds(strikes: &[f64]) -> Vec<Datum> {
        strikes
            .iter()
            .map(|s| Datum {
                kind: "joint".to_owned(),
                plane: Some(Plane::from_deg(*s, 60.0).unwrap()),
                is_true: true,
                ..Datum::default()
            })
            .collect()
    }

    fn area(points: &[(f64, f64)]) -> f64 {
        points
            .windows(2)
            .map(|w| w[0].0 * w[1].1 - w[1].0 * w[0].1)
            .sum::<f64>()
            .abs()
            / 2.0
    }

    #[test]
    fn areas_of_petals_go_as_their_counts() {
        let data = beds(&[41.0, 42.0, 43.0, 44.0, 125.0]);
        let all: Vec<&Datum> = data.iter().collect();
        let petals = petals(&figures("joint", &all));
        let four = petals.iter().find(|p| p.count == 4).unwrap();
        let one = petals.iter().find(|p| p.count == 1).unwrap();
        let ratio = area(&outline(four)) / area(&outline(one));
        assert!((ratio - 4.0).abs() < 1e-9, "{ratio}");
        // An axis is counted at both its ends.
        assert_eq!(petals.iter().map(|p| p.count).sum::<usize>(), 10);
    }

    #[test]
    fn a_rose_says_what_it_counts() {
        let data = beds(&[41.0, 42.0, 43.0, 44.0, 46.0, 225.0]);
        let all: Vec<&Datum> = data.iter().collect();
        let figures = figures("joint", &all);
        let rose = RoseFigure {
            figures: &figures,
            book: "B & C".to_owned(),
            date: "14 June 2026".to_owned(),
            chosen: String::new(),
        };
        let svg = rose.svg();
        let document = roxmltree::Document::parse(&svg).unwrap();
        let title = document.descendants().find(|n| n.has_tag_name("title"));
        let words = title.and_then(|n| n.text()).unwrap();
        for part in [
            "6 joint strikes",
            "axial",
            "areas as their counts",
            "Mean 044",
            "Rayleigh",
            "Kuiper",
            "B & C, 14 June 2026",
        ] {
            assert!(words.contains(part), "{part}: {words}");
        }
    }

    #[test]
    fn currents_have_one_end_and_nothing_makes_an_empty_rose() {
        let data: Vec<Datum> = (0..6)
            .map(|i| Datum {
                kind: "current direction".to_owned(),
                line: Some(Line::from_deg(200.0 + f64::from(i), 0.0).unwrap()),
                ..Datum::default()
            })
            .collect();
        let all: Vec<&Datum> = data.iter().collect();
        let told = figures("current direction", &all);
        assert_eq!(petals(&told).iter().map(|p| p.count).sum::<usize>(), 6);
        assert_eq!(mean_line(200.0, told.ends).len(), 1);
        let none = figures("joint", &[]);
        let rose = RoseFigure {
            figures: &none,
            book: String::new(),
            date: String::new(),
            chosen: "bedding".to_owned(),
        };
        let svg = rose.svg();
        assert!(roxmltree::Document::parse(&svg).is_ok() && svg.contains("Chosen: bedding."));
    }
}
