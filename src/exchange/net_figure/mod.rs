//! The net as a figure for a report: one SVG file with its legend and the caption that a thesis needs.

mod mark;

pub use mark::Mark;

mod arrow;

pub use arrow::slip_strokes;

mod caption;

use nalgebra::Vector3;

use super::paper::{INK, Paper, RADIUS, write};
use crate::notebook::Datum;
use crate::notebook::figures::{Figures, Fit, Shape, Stands, stands};
use crate::notebook::structure::Shots;
use crate::orientation::contour::contours;
use crate::orientation::density::{Density, Levels};
use crate::orientation::{Hemisphere, PlaneStyle, Projection};

/// So many great circles are drawn at most: more would fill the net with ink.
pub const MOST_CIRCLES: usize = 2_000;

/// So many arrows of slip are drawn at most.
pub const MOST_ARROWS: usize = 500;

/// Of so many, every how many-th is drawn, so that no more than the most are.
#[must_use]
pub fn every(count: usize, most: usize) -> usize {
    count.div_ceil(most).max(1)
}

/// How planes are drawn.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Planes {
    /// As their poles.
    #[default]
    Poles,
    /// As great circles.
    Circles,
}

/// What goes on the net, and what its caption says.
#[derive(Clone, Debug, Default)]
pub struct NetFigure<'a> {
    /// The projection.
    pub projection: Projection,
    /// The hemisphere.
    pub hemisphere: Hemisphere,
    /// How planes are drawn.
    pub planes: Planes,
    /// The readings.
    pub data: Vec<&'a Datum>,
    /// Figures of the kind that is fitted: its girdle, axis, cone, means or stress are drawn.
    pub figures: Option<&'a Figures>,
    /// The limbs and their axial plane are drawn too.
    pub limbs: bool,
    /// The shots of one reading, around their mean.
    pub shots: Option<&'a Shots>,
    /// The density of the poles, drawn at these multiples of even.
    pub density: Option<(&'a Density, Levels)>,
    /// How planes and lines are written.
    pub style: PlaneStyle,
    /// What the book is called.
    pub book: String,
    /// The day it was drawn, as it is to be printed.
    pub date: String,
    /// Which readings were chosen, in words; empty for all.
    pub chosen: String,
}

/// The legend's rows: each mark with what it stands for and how many.
pub fn legend(data: &[&Datum]) -> Vec<(Mark, String, usize)> {
    let mut rows: Vec<(Mark, String, usize)> = Vec::new();
    let mut count = |mark: Mark, words: String| match rows
        .iter_mut()
        .find(|(m, w, _)| *m == mark && *w == words)
    {
        Some((_, _, count)) => *count += 1,
        None => rows.push((mark, words, 1)),
    };
    for datum in data {
        let kind = datum
            .kind
            .split_once(": ")
            .map_or(datum.kind.as_str(), |(_, words)| words);
        if datum.plane.is_some() {
            let mark = Mark::of(datum, false);
            let plane = kind.split(" + ").next().unwrap_or(kind);
            let words = if mark == Mark::BarredRing {
                "overturned".to_owned()
            } else {
                format!("{plane} pole")
            };
            count(mark, words);
        }
        if datum.line.is_some() {
            let line = if datum.plane.is_some() {
                "line in a plane"
            } else {
                kind
            };
            count(Mark::Plus, line.to_owned());
        }
    }
    rows
}

/// The weight of a line of the net and its dashes, in pixels, by what it stands for; no dashes for a whole line.
#[must_use]
pub fn line_style(stands: Stands) -> (f64, &'static [f64]) {
    match stands {
        Stands::Girdle | Stands::Cone => (2.4, &[9.0, 4.0, 2.0, 4.0]),
        Stands::Axis | Stands::Mean => (2.2, &[]),
        Stands::Confidence => (1.8, &[]),
        Stands::Limb => (1.8, &[6.0, 4.0]),
        Stands::AxialPlane => (2.4, &[14.0, 5.0]),
        Stands::Stress => (1.8, &[]),
        Stands::StressConfidence => (1.4, &[2.0, 3.0]),
    }
}

/// The courses of a line on the net; of a cross or a numeral none.
#[must_use]
pub fn courses(
    shape: &Shape,
    projection: Projection,
    hemisphere: Hemisphere,
) -> Vec<Vec<(f64, f64)>> {
    match shape {
        Shape::GreatCircle(pole) => vec![projection.great_circle(hemisphere, pole, 90)],
        Shape::SmallCircle(axis, half_deg) => {
            projection.small_circle(hemisphere, axis, *half_deg, 120)
        }
        Shape::Ellipse(ellipse) => projection.pieces(hemisphere, ellipse.outline(72).into_iter()),
        Shape::Cross(_) | Shape::Numeral(..) => Vec::new(),
    }
}

impl NetFigure<'_> {
    /// The whole figure.
    ///
    /// # Degenerate input
    /// No readings: an empty net with its caption.
    pub fn svg(&self) -> String {
        let fits = self.figures.map(|f| f.fits(self.limbs)).unwrap_or_default();
        let mut paper = Paper::new(&self.caption());
        self.contours(&mut paper);
        paper.frame(true);
        self.circles(&mut paper);
        for fit in &fits {
            self.fit(&mut paper, fit);
        }
        self.slips(&mut paper);
        self.marks(&mut paper);
        self.shots(&mut paper);
        for fit in &fits {
            self.points(&mut paper, fit);
        }
        self.legend_rows(&mut paper, &fits);
        paper.end()
    }

    fn contours(&self, paper: &mut Paper) {
        let Some((density, levels)) = self.density else {
            return;
        };
        let levels = levels.sigmas(density);
        for (i, contour) in contours(density, &levels).iter().enumerate() {
            let weight = [0.8, 1.5, 2.4].get(i).copied().unwrap_or(2.4);
            for line in &contour.lines {
                paper.course(line, weight, &[], 0.75);
            }
        }
    }

    fn circles(&self, paper: &mut Paper) {
        if self.planes != Planes::Circles {
            return;
        }
        let planes: Vec<(Vector3<f64>, Mark)> = self
            .data
            .iter()
            .filter_map(|d| Some((d.pole()?, Mark::of(d, false))))
            .collect();
        for (pole, mark) in planes.iter().step_by(every(planes.len(), MOST_CIRCLES)) {
            let circle = self.projection.great_circle(self.hemisphere, pole, 60);
            let (weight, dashes) = mark.circle_style();
            paper.course(&circle, weight, dashes, 1.0);
        }
    }

    fn fit(&self, paper: &mut Paper, fit: &Fit) {
        let (weight, dashes) = line_style(fit.stands);
        for course in courses(&fit.shape, self.projection, self.hemisphere) {
            paper.course(&course, weight, dashes, 1.0);
        }
    }

    fn slips(&self, paper: &mut Paper) {
        const LONG_PX: f64 = 30.0;
        let slips: Vec<_> = self.data.iter().filter_map(|d| d.slip).collect();
        for slip in slips.iter().step_by(every(slips.len(), MOST_ARROWS)) {
            let strokes = slip_strokes(
                slip,
                self.planes,
                self.projection,
                self.hemisphere,
                LONG_PX / RADIUS,
            );
            for stroke in strokes {
                paper.course(&stroke, 1.6, &[], 1.0);
            }
        }
    }

    fn marks(&self, paper: &mut Paper) {
        for datum in &self.data {
            if let Some(pole) = datum.pole().filter(|_| self.planes == Planes::Poles) {
                let (x, y) = Paper::at(self.projection.project(self.hemisphere, &pole));
                Mark::of(datum, false).draw(paper.text(), x, y);
            }
            if let Some(line) = &datum.line {
                let (x, y) = Paper::at(self.projection.project(self.hemisphere, &line.vector()));
                Mark::Plus.draw(paper.text(), x, y);
            }
        }
    }

    /// The shots of one reading: small rings, or thin circles where planes are circles.
    fn shots(&self, paper: &mut Paper) {
        let Some(shots) = self.shots else {
            return;
        };
        for place in shot_places(shots, self.planes, self.projection, self.hemisphere) {
            let (x, y) = Paper::at(place);
            shot_at(paper, x, y);
        }
        if self.planes == Planes::Circles {
            for pole in &shots.poles {
                let circle = self.projection.great_circle(self.hemisphere, pole, 60);
                paper.course(&circle, 1.2, &SHOT_DASHES, 1.0);
            }
        }
    }

    /// Crosses and numerals, above the marks.
    fn points(&self, paper: &mut Paper, fit: &Fit) {
        match &fit.shape {
            Shape::Cross(axis) => {
                let (east, north) = self.projection.project(self.hemisphere, axis);
                let weight = line_style(fit.stands).0;
                paper.course(
                    &[(east - 0.03, north), (east + 0.03, north)],
                    weight,
                    &[],
                    1.0,
                );
                paper.course(
                    &[(east, north - 0.03), (east, north + 0.03)],
                    weight,
                    &[],
                    1.0,
                );
            }
            Shape::Numeral(axis, numeral) => {
                let (x, y) = Paper::at(self.projection.project(self.hemisphere, axis));
                numeral_at(paper, x, y, *numeral);
            }
            _ => {}
        }
    }

    fn legend_rows(&self, paper: &mut Paper, fits: &[Fit]) {
        for (mark, words, count) in legend(&self.data) {
            let circle = self.planes == Planes::Circles && mark != Mark::Plus;
            let words = if circle {
                words.replace(" pole", " great circle")
            } else {
                words
            };
            let (x, y) = paper.row(&format!("{words}  {count}"));
            if circle {
                let (weight, dashes) = mark.circle_style();
                paper.sample(x - 16.0, y, weight, dashes);
            } else {
                mark.draw(paper.text(), x, y);
            }
        }
        if self.data.iter().any(|d| d.slip.is_some()) {
            let count = self.data.iter().filter(|d| d.slip.is_some()).count();
            let (x, y) = paper.row(&format!("slip of the hanging wall  {count}"));
            write(
                paper.text(),
                format_args!(
                    "<path d=\"M{:.1} {y:.1}h28m-8 -6l8 6l-8 6\" fill=\"none\" stroke=\"{INK}\" stroke-width=\"1.6\"/>\n",
                    x - 14.0
                ),
            );
        }
        if let Some(shots) = self.shots {
            let (x, y) = paper.row(&format!("shots of {}  {}", shots.name, shots.count()));
            shot_at(paper, x, y);
        }
        for stands in stands(fits) {
            let (x, y) = paper.row(stands.words());
            match stands {
                Stands::Axis | Stands::Mean => {
                    write(
                        paper.text(),
                        format_args!(
                            "<path d=\"M{:.1} {y:.1}h16m-8 -8v16\" fill=\"none\" stroke=\"{INK}\" stroke-width=\"2.2\"/>\n",
                            x - 8.0
                        ),
                    );
                }
                Stands::Stress => numeral_at(paper, x, y, 1),
                _ => {
                    let (weight, dashes) = line_style(stands);
                    paper.sample(x - 16.0, y, weight, dashes);
                }
            }
        }
        if let Some((_, levels)) = self.density {
            let of = self
                .figures
                .map_or(String::new(), |f| format!("{} ", f.kind));
            let (x, y) = paper.row(&format!("{of}{}", levels.words()));
            for (up, weight) in [(-6.0, 0.8), (0.0, 1.5), (6.0, 2.4)] {
                paper.sample(x - 16.0, y + up, weight, &[]);
            }
        }
    }
}

/// The dashes of a shot's great circle.
pub const SHOT_DASHES: [f64; 2] = [3.0, 3.0];

/// Where the shots of a reading lie on the net: their poles, where planes are drawn as poles, and their lines.
#[must_use]
pub fn shot_places(
    shots: &Shots,
    planes: Planes,
    projection: Projection,
    hemisphere: Hemisphere,
) -> Vec<(f64, f64)> {
    let poles = shots.poles.iter().filter(|_| planes == Planes::Poles);
    poles
        .chain(&shots.lines)
        .map(|v| projection.project(hemisphere, v))
        .collect()
}

/// A shot: a small ring.
fn shot_at(paper: &mut Paper, x: f64, y: f64) {
    write(
        paper.text(),
        format_args!(
            "<circle cx=\"{x:.2}\" cy=\"{y:.2}\" r=\"2.4\" fill=\"#FFFFFF\" stroke=\"{INK}\" stroke-width=\"1.2\"/>\n"
        ),
    );
}

/// A numeral in a ring.
fn numeral_at(paper: &mut Paper, x: f64, y: f64, numeral: u8) {
    write(
        paper.text(),
        format_args!(
            "<circle cx=\"{x:.2}\" cy=\"{y:.2}\" r=\"9\" fill=\"#FFFFFF\" stroke=\"{INK}\" stroke-width=\"1.8\"/>\n"
        ),
    );
    paper.words(x, y + 5.0, 14.0, "middle", &numeral.to_string());
}

#[cfg(test)]
mod tests;
