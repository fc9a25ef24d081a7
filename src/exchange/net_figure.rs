//! The net as a figure for a report: one SVG file with its legend and the caption that a thesis needs.

use std::fmt::Write as _;

use nalgebra::Vector3;

use crate::exchange::xml::escaped;
use crate::notebook::Datum;
use crate::notebook::figures::Figures;
use crate::orientation::contour::contours;
use crate::orientation::density::Density;
use crate::orientation::statistics::Ellipse;
use crate::orientation::{Hemisphere, Polarity, Projection};

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
    /// Figures of the kind that is fitted: its girdle, axis, cone or means are drawn.
    pub figures: Option<&'a Figures>,
    /// The density of the poles, drawn at these multiples of even.
    pub density: Option<(&'a Density, &'a [f64])>,
    /// What the book is called.
    pub book: String,
    /// The day it was drawn, as it is to be printed.
    pub date: String,
    /// Which readings were chosen, in words; empty for all.
    pub chosen: String,
}

/// A mark of the net: shape and Okabe and Ito's wash within an ink outline, so that shape alone tells the kind.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Mark {
    /// Bedding: a disc.
    Disc,
    /// Overturned bedding: a ring with a bar.
    BarredRing,
    /// Cleavage and foliation: a triangle.
    Triangle,
    /// Joints, veins, dykes: a square.
    Square,
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
        } else if ["joint", "vein", "dyke"].iter().any(|k| kind.contains(k)) {
            Self::Square
        } else {
            Self::Ring
        }
    }

    fn wash(self) -> &'static str {
        match self {
            Self::Disc => "#0B1518",
            Self::BarredRing | Self::Ring => "#FFFFFF",
            Self::Triangle => "#009E73",
            Self::Square => "#56B4E9",
            Self::Diamond => "#D55E00",
            Self::Plus => "#CC79A7",
        }
    }

    fn draw(self, svg: &mut String, x: f64, y: f64) {
        let fill = self.wash();
        let shape = match self {
            Self::Disc | Self::Ring => format!(r#"<circle cx="{x:.2}" cy="{y:.2}" r="4.4""#),
            Self::BarredRing => format!(
                r#"<path d="M{:.2} {y:.2}a4.6 4.6 0 1 0 9.2 0a4.6 4.6 0 1 0 -9.2 0h9.2""#,
                x - 4.6
            ),
            Self::Triangle => format!(r#"<path d="M{x:.2} {:.2}l5 8.6h-10z""#, y - 5.4),
            Self::Square => format!(r#"<path d="M{:.2} {:.2}h7.8v7.8h-7.8z""#, x - 3.9, y - 3.9),
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

const INK: &str = "#0B1518";
const RADIUS: f64 = 260.0;
const MIDDLE: (f64, f64) = (320.0, 310.0);
const WIDTH: f64 = 640.0;

/// Writing into a text cannot fail.
fn write(svg: &mut String, what: std::fmt::Arguments<'_>) {
    svg.write_fmt(what).unwrap_or_default();
}

struct Sheet {
    svg: String,
}

impl Sheet {
    fn at((east, north): (f64, f64)) -> (f64, f64) {
        (MIDDLE.0 + east * RADIUS, MIDDLE.1 - north * RADIUS)
    }

    fn path(&mut self, points: &[(f64, f64)], style: &str) {
        if points.len() < 2 {
            return;
        }
        self.svg.push_str("<path fill=\"none\" d=\"");
        for (i, point) in points.iter().enumerate() {
            let (x, y) = Self::at(*point);
            write(
                &mut self.svg,
                format_args!("{}{x:.2} {y:.2}", if i == 0 { "M" } else { "L" }),
            );
        }
        write(
            &mut self.svg,
            format_args!("\" stroke=\"{INK}\" {style}/>\n"),
        );
    }

    fn words(&mut self, x: f64, y: f64, size: f64, anchor: &str, text: &str) {
        write(
            &mut self.svg,
            format_args!(
                "<text x=\"{x:.1}\" y=\"{y:.1}\" font-size=\"{size}\" text-anchor=\"{anchor}\" fill=\"{INK}\">{}</text>\n",
                escaped(text)
            ),
        );
    }

    fn frame(&mut self) {
        let (x, y) = MIDDLE;
        write(
            &mut self.svg,
            format_args!(
                "<circle cx=\"{x}\" cy=\"{y}\" r=\"{RADIUS}\" fill=\"none\" stroke=\"{INK}\" stroke-width=\"1.8\"/>\n"
            ),
        );
        for i in 0..36 {
            let turn = f64::from(i) / 36.0 * std::f64::consts::TAU;
            let long = match i {
                i if i % 9 == 0 => 9.0,
                i if i % 3 == 0 => 7.0,
                _ => 4.0,
            } / RADIUS;
            let end = |r: f64| (turn.sin() * r, turn.cos() * r);
            self.path(&[end(1.0), end(1.0 + long)], "stroke-width=\"1.2\"");
        }
        self.words(x, y - RADIUS - 14.0, 18.0, "middle", "N");
        self.path(&[(-0.02, 0.0), (0.02, 0.0)], "stroke-width=\"1.2\"");
        self.path(&[(0.0, -0.02), (0.0, 0.02)], "stroke-width=\"1.2\"");
    }
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
            let turned = if mark == Mark::BarredRing {
                ", overturned"
            } else {
                ""
            };
            let plane = kind.split(" + ").next().unwrap_or(kind);
            count(mark, format!("{plane} pole{turned}"));
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

impl NetFigure<'_> {
    /// The caption in one paragraph: projection, hemisphere, counts, contours, fit, north, book and date.
    pub fn caption(&self) -> Vec<String> {
        let projection = match self.projection {
            Projection::EqualArea => "Equal-area",
            Projection::EqualAngle => "Equal-angle",
        };
        let hemisphere = match self.hemisphere {
            Hemisphere::Lower => "lower",
            Hemisphere::Upper => "upper",
        };
        let planes = self.data.iter().filter(|d| d.plane.is_some()).count();
        let lines = self.data.iter().filter(|d| d.line.is_some()).count();
        let mut lines_of = vec![format!(
            "{projection} projection, {hemisphere} hemisphere; {planes} planes {}, {lines} lines.",
            match self.planes {
                Planes::Poles => "as poles",
                Planes::Circles => "as great circles",
            }
        )];
        if !self.chosen.is_empty() {
            lines_of.push(format!("Chosen: {}.", self.chosen));
        }
        if let Some((density, multiples)) = &self.density {
            let levels: Vec<String> = multiples.iter().map(|m| format!("{m}")).collect();
            let sigmas: Vec<String> = multiples
                .iter()
                .map(|m| format!("{:.1}", density.sigmas_of_multiple(*m)))
                .collect();
            lines_of.push(format!(
                "Contours at {} times even ({} standard deviations), exponential kernel k = {:.0}, n = {}.",
                levels.join(", "),
                sigmas.join(", "),
                density.k,
                density.count
            ));
        }
        if let Some(figures) = self.figures {
            if let Some(cylinder) = &figures.cylinder {
                let axis = cylinder.axis;
                let ellipse = cylinder.ellipse.map_or_else(String::new, |e| {
                    format!(", 95 % within {:.1}° × {:.1}°", e.semi_deg.0, e.semi_deg.1)
                });
                lines_of.push(format!(
                    "Fitted girdle of {} {} poles: axis {:02.0}→{:03.0}{ellipse}.",
                    cylinder.count,
                    figures.kind,
                    axis.plunge().deg(),
                    axis.trend().deg() % 360.0
                ));
            } else if let Some(mean) = &figures.mean {
                lines_of.push(format!(
                    "Mean axis of {} {}: {:02.0}→{:03.0}, 95 % within {:.1}° × {:.1}°.",
                    mean.count,
                    figures.kind,
                    mean.axis.plunge().deg(),
                    mean.axis.trend().deg() % 360.0,
                    mean.semi_deg.0,
                    mean.semi_deg.1
                ));
            }
        }
        let not_true = self.data.iter().filter(|d| !d.is_true).count();
        lines_of.push(if not_true == 0 {
            "Azimuths count from true north.".to_owned()
        } else {
            format!("{not_true} readings do not count from true north.")
        });
        let book = if self.book.is_empty() {
            "book without a name"
        } else {
            &self.book
        };
        lines_of.push(format!("{book}, {}.", self.date));
        lines_of
    }

    /// The whole figure.
    ///
    /// # Degenerate input
    /// No readings: an empty net with its caption.
    pub fn svg(&self) -> String {
        let legend = legend(&self.data);
        let caption = self.caption();
        let rows = legend.len()
            + usize::from(self.girdle().is_some())
            + usize::from(self.density.is_some());
        #[allow(clippy::cast_precision_loss)] // a few rows
        let (legend_height, caption_height) = (
            rows.div_ceil(2) as f64 * 26.0,
            wrapped(&caption).len() as f64 * 21.0,
        );
        let top = MIDDLE.1 + RADIUS + 40.0;
        let height = top + legend_height + 14.0 + caption_height + 16.0;
        let mut sheet = Sheet { svg: String::new() };
        write(
            &mut sheet.svg,
            format_args!(
                "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{WIDTH}\" height=\"{height:.0}\" viewBox=\"0 0 {WIDTH} {height:.0}\" font-family=\"B612, 'DejaVu Sans', Verdana, sans-serif\" role=\"img\">\n<title>{}</title>\n<rect width=\"100%\" height=\"100%\" fill=\"#FFFFFF\"/>\n",
                escaped(&caption.join(" "))
            ),
        );
        self.contours(&mut sheet);
        sheet.frame();
        self.fits(&mut sheet);
        self.marks(&mut sheet);
        self.legend_rows(&mut sheet, &legend, top);
        for (i, line) in wrapped(&caption).iter().enumerate() {
            #[allow(clippy::cast_precision_loss)] // a few lines
            let y = top + legend_height + 26.0 + i as f64 * 21.0;
            sheet.words(24.0, y, 15.0, "start", line);
        }
        sheet.svg.push_str("</svg>\n");
        sheet.svg
    }

    fn girdle(&self) -> Option<(Vector3<f64>, Option<Ellipse>)> {
        let cylinder = self.figures?.cylinder.as_ref()?;
        Some((cylinder.axis.vector(), cylinder.ellipse))
    }

    fn contours(&self, sheet: &mut Sheet) {
        let Some((density, multiples)) = &self.density else {
            return;
        };
        let levels: Vec<f64> = multiples
            .iter()
            .map(|m| density.sigmas_of_multiple(*m))
            .collect();
        for (i, contour) in contours(density, &levels).iter().enumerate() {
            let weight = [0.8, 1.5, 2.4].get(i).copied().unwrap_or(2.4);
            for line in &contour.lines {
                sheet.path(
                    line,
                    &format!("stroke-width=\"{weight}\" stroke-opacity=\"0.75\""),
                );
            }
        }
    }

    fn fits(&self, sheet: &mut Sheet) {
        if let Some((axis, ellipse)) = self.girdle() {
            let circle = self.projection.great_circle(self.hemisphere, &axis, 90);
            sheet.path(&circle, "stroke-width=\"2\" stroke-dasharray=\"14 6 3 6\"");
            self.ellipse(sheet, ellipse.as_ref(), &axis);
        } else if let Some(mean) = self.figures.and_then(|f| f.mean.as_ref()) {
            self.ellipse(sheet, Some(mean), &mean.axis.vector());
        }
    }

    fn ellipse(&self, sheet: &mut Sheet, ellipse: Option<&Ellipse>, axis: &Vector3<f64>) {
        if let Some(ellipse) = ellipse {
            let outline = ellipse.outline(72).into_iter();
            for piece in self.projection.pieces(self.hemisphere, outline) {
                sheet.path(&piece, "stroke-width=\"2\"");
            }
        }
        let (east, north) = self.projection.project(self.hemisphere, axis);
        sheet.path(
            &[(east - 0.03, north), (east + 0.03, north)],
            "stroke-width=\"2.4\"",
        );
        sheet.path(
            &[(east, north - 0.03), (east, north + 0.03)],
            "stroke-width=\"2.4\"",
        );
    }

    fn marks(&self, sheet: &mut Sheet) {
        for datum in &self.data {
            if let Some(pole) = datum.pole() {
                match self.planes {
                    Planes::Poles => {
                        let (x, y) = Sheet::at(self.projection.project(self.hemisphere, &pole));
                        Mark::of(datum, false).draw(&mut sheet.svg, x, y);
                    }
                    Planes::Circles => {
                        let circle = self.projection.great_circle(self.hemisphere, &pole, 60);
                        sheet.path(&circle, "stroke-width=\"1\"");
                    }
                }
            }
            if let Some(line) = &datum.line {
                let (x, y) = Sheet::at(self.projection.project(self.hemisphere, &line.vector()));
                Mark::Plus.draw(&mut sheet.svg, x, y);
            }
        }
    }

    fn legend_rows(&self, sheet: &mut Sheet, legend: &[(Mark, String, usize)], top: f64) {
        let place = |i: usize| {
            #[allow(clippy::cast_precision_loss)] // a few rows
            let row = (i / 2) as f64;
            (
                if i.is_multiple_of(2) { 36.0 } else { 340.0 },
                top + row * 26.0,
            )
        };
        let mut next = 0;
        for (mark, words, count) in legend {
            let (x, y) = place(next);
            mark.draw(&mut sheet.svg, x, y);
            sheet.words(
                x + 20.0,
                y + 5.0,
                15.0,
                "start",
                &format!("{words}  {count}"),
            );
            next += 1;
        }
        let mut row = |words: &str, style: &str| {
            let (x, y) = place(next);
            write(
                &mut sheet.svg,
                format_args!(
                    "<path d=\"M{:.1} {y:.1}h30\" stroke=\"{INK}\" {style}/>\n",
                    x - 12.0
                ),
            );
            sheet.words(x + 26.0, y + 5.0, 15.0, "start", words);
            next += 1;
        };
        if self.girdle().is_some() {
            row(
                "fitted girdle",
                "stroke-width=\"2\" stroke-dasharray=\"14 6 3 6\"",
            );
        }
        if let Some((_, multiples)) = &self.density {
            let levels: Vec<String> = multiples.iter().map(|m| format!("{m}")).collect();
            row(
                &format!("{} times even", levels.join(", ")),
                "stroke-width=\"1.5\"",
            );
        }
    }
}

/// The caption in lines that fit the sheet.
fn wrapped(caption: &[String]) -> Vec<String> {
    const ROOM: usize = 76;
    let mut lines = Vec::new();
    for sentence in caption {
        let mut line = String::new();
        for word in sentence.split(' ') {
            if !line.is_empty() && line.chars().count() + word.chars().count() >= ROOM {
                lines.push(std::mem::take(&mut line));
            }
            if !line.is_empty() {
                line.push(' ');
            }
            line.push_str(word);
        }
        lines.push(line);
    }
    lines
}
