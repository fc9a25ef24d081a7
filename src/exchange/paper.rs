//! A figure on paper: one SVG with a round frame, a legend of two columns and a caption beneath.

use std::fmt::Write as _;

use super::xml::escaped;

/// The one colour of lines and words.
pub(super) const INK: &str = "#0B1518";
/// Of the round frame.
pub(super) const RADIUS: f64 = 260.0;
const MIDDLE: (f64, f64) = (320.0, 310.0);
const WIDTH: f64 = 640.0;
/// Where the legend begins.
const TOP: f64 = MIDDLE.1 + RADIUS + 40.0;
const ROW: f64 = 26.0;
const LINE: f64 = 21.0;
/// A row of the legend longer than this takes both columns.
const HALF: usize = 32;

/// Writing into a text cannot fail.
pub(super) fn write(svg: &mut String, what: std::fmt::Arguments<'_>) {
    svg.write_fmt(what).unwrap_or_default();
}

/// A figure in the making.
pub(super) struct Paper {
    svg: String,
    caption: Vec<String>,
    /// The next place of the legend, in half rows.
    next: usize,
}

impl Paper {
    /// An empty sheet with its caption.
    pub(super) fn new(caption: &[String]) -> Self {
        Self {
            svg: String::with_capacity(16_384),
            caption: caption.to_vec(),
            next: 0,
        }
    }

    /// A place of the frame, east and north of its middle, on the sheet.
    pub(super) fn at((east, north): (f64, f64)) -> (f64, f64) {
        (MIDDLE.0 + east * RADIUS, MIDDLE.1 - north * RADIUS)
    }

    /// What is written so far.
    pub(super) fn text(&mut self) -> &mut String {
        &mut self.svg
    }

    /// A line through places of the frame.
    pub(super) fn course(
        &mut self,
        points: &[(f64, f64)],
        weight: f64,
        dashes: &[f64],
        cover: f64,
    ) {
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
        self.svg.push('"');
        self.stroke(weight, dashes, cover);
    }

    /// A sample of a line in the legend.
    pub(super) fn sample(&mut self, x: f64, y: f64, weight: f64, dashes: &[f64]) {
        write(
            &mut self.svg,
            format_args!("<path fill=\"none\" d=\"M{x:.1} {y:.1}h32\""),
        );
        self.stroke(weight, dashes, 1.0);
    }

    fn stroke(&mut self, weight: f64, dashes: &[f64], cover: f64) {
        write(
            &mut self.svg,
            format_args!(" stroke=\"{INK}\" stroke-width=\"{weight}\""),
        );
        if !dashes.is_empty() {
            let dashes: Vec<String> = dashes.iter().map(|d| format!("{d}")).collect();
            write(
                &mut self.svg,
                format_args!(" stroke-dasharray=\"{}\"", dashes.join(" ")),
            );
        }
        if cover < 1.0 {
            write(&mut self.svg, format_args!(" stroke-opacity=\"{cover}\""));
        }
        self.svg.push_str("/>\n");
    }

    /// Words at a place of the sheet.
    pub(super) fn words(&mut self, x: f64, y: f64, size: f64, anchor: &str, text: &str) {
        write(
            &mut self.svg,
            format_args!(
                "<text x=\"{x:.1}\" y=\"{y:.1}\" font-size=\"{size}\" text-anchor=\"{anchor}\" fill=\"{INK}\">{}</text>\n",
                escaped(text)
            ),
        );
    }

    /// The rim with its ticks, N, and the middle where it is wanted.
    pub(super) fn frame(&mut self, middle: bool) {
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
            self.course(&[end(1.0), end(1.0 + long)], 1.2, &[], 1.0);
        }
        self.words(x, y - RADIUS - 14.0, 18.0, "middle", "N");
        if middle {
            self.course(&[(-0.02, 0.0), (0.02, 0.0)], 1.2, &[], 1.0);
            self.course(&[(0.0, -0.02), (0.0, 0.02)], 1.2, &[], 1.0);
        }
    }

    /// Writes a row of the legend, and says where the middle of its sample goes.
    pub(super) fn row(&mut self, words: &str) -> (f64, f64) {
        let long = words.chars().count() > HALF;
        if long && !self.next.is_multiple_of(2) {
            self.next += 1;
        }
        #[allow(clippy::cast_precision_loss)] // a few rows
        let y = TOP + (self.next / 2) as f64 * ROW;
        let x = if self.next.is_multiple_of(2) {
            42.0
        } else {
            346.0
        };
        self.words(x + 26.0, y + 5.0, 15.0, "start", words);
        self.next += if long { 2 } else { 1 };
        (x, y)
    }

    /// The whole figure: what was drawn, its caption beneath.
    pub(super) fn end(mut self) -> String {
        #[allow(clippy::cast_precision_loss)] // a few rows
        let caption_top = TOP + self.next.div_ceil(2) as f64 * ROW + 26.0;
        let lines = wrapped(&self.caption);
        #[allow(clippy::cast_precision_loss)] // a few lines
        let height = caption_top + lines.len() as f64 * LINE + 8.0;
        for (i, line) in lines.iter().enumerate() {
            #[allow(clippy::cast_precision_loss)] // a few lines
            self.words(24.0, caption_top + i as f64 * LINE, 15.0, "start", line);
        }
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{WIDTH}\" height=\"{height:.0}\" viewBox=\"0 0 {WIDTH} {height:.0}\" font-family=\"B612, 'DejaVu Sans', Verdana, sans-serif\" role=\"img\">\n<title>{}</title>\n<rect width=\"100%\" height=\"100%\" fill=\"#FFFFFF\"/>\n{}</svg>\n",
            escaped(&self.caption.join(" ")),
            self.svg
        )
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
