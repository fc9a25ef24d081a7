//! What lies on the net: directions as columns, their places, what is near a tap and within a lasso.

use nalgebra::Vector3;

use super::stamp::{Picture, Stamps};
use crate::exchange::net_figure::{Mark, Planes};
use crate::notebook::Datum;
use crate::orientation::{Hemisphere, Projection};

/// The middle and the radius of a net on its ground, in pixels.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Frame {
    /// From the left.
    pub x: f64,
    /// From the top.
    pub y: f64,
    /// Of the rim.
    pub radius: f64,
}

impl Frame {
    /// The net on a square ground of so many pixels a side, with room for its ticks and its N.
    pub fn of(side_px: f64) -> Self {
        let margin = if side_px < SMALL_PX { 13.0 } else { 24.0 };
        Self {
            x: side_px / 2.0,
            y: side_px / 2.0 + margin / 4.0,
            radius: (side_px / 2.0 - margin).max(1.0),
        }
    }

    /// A place of the net, east and north of its middle, in pixels.
    pub fn at(&self, (east, north): (f64, f64)) -> (f64, f64) {
        (self.x + east * self.radius, self.y - north * self.radius)
    }

    /// The place of the net under a pixel.
    pub fn under(&self, (x, y): (f64, f64)) -> (f64, f64) {
        ((x - self.x) / self.radius, (self.y - y) / self.radius)
    }
}

/// Below this a net is drawn with the line-work of a small one.
pub const SMALL_PX: f64 = 300.0;

/// A tap reaches so far, in pixels.
pub const REACH_PX: f64 = 24.0;

/// The marks on a net.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Plot {
    north: Vec<f32>,
    east: Vec<f32>,
    down: Vec<f32>,
    marks: Vec<Mark>,
    /// The place of the reading in the list it was made from.
    of: Vec<usize>,
    x: Vec<f32>,
    y: Vec<f32>,
    /// Planes drawn as great circles: their normals, their marks and their readings.
    circles: Vec<(Vector3<f64>, Mark, usize)>,
    shown: (Projection, Hemisphere),
}

impl Plot {
    /// The readings at these places of a list: planes first, lines over them.
    pub fn of(
        data: &[Datum],
        chosen: &[usize],
        planes: Planes,
        projection: Projection,
        hemisphere: Hemisphere,
    ) -> Self {
        let mut plot = Self::default();
        for &i in chosen {
            let Some(datum) = data.get(i) else {
                continue;
            };
            match (datum.pole(), planes) {
                (Some(pole), Planes::Poles) => plot.add(&pole, Mark::of(datum, false), i),
                (Some(pole), Planes::Circles) => {
                    plot.circles.push((pole, Mark::of(datum, false), i));
                }
                (None, _) => {}
            }
        }
        for &i in chosen {
            if let Some(line) = data.get(i).and_then(|d| d.line.as_ref()) {
                plot.add(&line.vector(), Mark::Plus, i);
            }
        }
        plot.project(projection, hemisphere);
        plot
    }

    /// Adds a direction; its place is known after the next projection.
    pub fn add(&mut self, direction: &Vector3<f64>, mark: Mark, of: usize) {
        let columns = [&mut self.north, &mut self.east, &mut self.down];
        for (column, part) in columns.into_iter().zip(direction.iter()) {
            #[allow(clippy::cast_possible_truncation)] // a ten-thousandth of a pixel
            column.push(*part as f32);
        }
        self.marks.push(mark);
        self.of.push(of);
    }

    /// Finds every place anew.
    pub fn project(&mut self, projection: Projection, hemisphere: Hemisphere) {
        self.shown = (projection, hemisphere);
        self.x.resize(self.north.len(), 0.0);
        self.y.resize(self.north.len(), 0.0);
        projection.project_columns(
            hemisphere,
            [&self.north, &self.east, &self.down],
            [&mut self.x, &mut self.y],
        );
    }

    /// How many marks.
    pub fn len(&self) -> usize {
        self.marks.len()
    }

    /// Nothing lies on the net.
    pub fn is_empty(&self) -> bool {
        self.marks.is_empty() && self.circles.is_empty()
    }

    /// Stamps every mark.
    pub fn stamp(&self, picture: &mut Picture, stamps: &Stamps, frame: &Frame) {
        picture.stamp_all(stamps, &self.marks, (&self.x, &self.y), frame);
    }

    /// The great circles, from rim to rim, each with the mark whose style it is drawn in.
    pub fn circles(&self) -> impl Iterator<Item = (Mark, Vec<(f64, f64)>)> {
        let (projection, hemisphere) = self.shown;
        self.circles
            .iter()
            .map(move |(normal, mark, _)| (*mark, projection.great_circle(hemisphere, normal, 45)))
    }

    /// How many planes are drawn as great circles.
    pub fn circle_count(&self) -> usize {
        self.circles.len()
    }

    /// The reading nearest to a place, no farther off than this (in radii of the net); of two at one place the later.
    pub fn nearest(&self, (x, y): (f64, f64), within: f64) -> Option<usize> {
        let marks = self.every_place();
        let marks = marks.map(|((mx, my), of)| ((mx - x).hypot(my - y), of));
        let (projection, hemisphere) = self.shown;
        let tapped = projection
            .unproject(hemisphere, (x, y))
            .filter(|_| x.hypot(y) <= 1.0);
        let circles = self.circles.iter().filter_map(|(normal, _, of)| {
            // In the middle of the net an angle is drawn at 1/√2 (equal area) of itself.
            let off = tapped?.dot(normal).clamp(-1.0, 1.0).asin().abs();
            Some((off * std::f64::consts::FRAC_1_SQRT_2, *of))
        });
        let mut best = None;
        for (off, of) in circles.chain(marks) {
            if off <= best.map_or(within, |(least, _)| least) {
                best = Some((off, of));
            }
        }
        best.map(|(_, of)| of)
    }

    /// The readings with a mark within the box between two places, each once, in the order of the book.
    pub fn inside(&self, one: (f64, f64), other: (f64, f64)) -> Vec<usize> {
        let (west, east) = (one.0.min(other.0), one.0.max(other.0));
        let (south, north) = (one.1.min(other.1), one.1.max(other.1));
        let marks = self.every_place();
        let mut found: Vec<usize> = marks
            .filter(|((x, y), _)| west <= *x && *x <= east && south <= *y && *y <= north)
            .map(|(_, of)| of)
            .collect();
        found.sort_unstable();
        found.dedup();
        found
    }

    /// The places and marks of one reading.
    pub fn places(&self, reading: usize) -> impl Iterator<Item = ((f64, f64), Mark)> {
        let all = self.every_place().zip(&self.marks);
        all.filter(move |((_, of), _)| *of == reading)
            .map(|((place, _), mark)| (place, *mark))
    }

    /// The place of every mark, and whose it is.
    fn every_place(&self) -> impl Iterator<Item = ((f64, f64), usize)> {
        let places = self.x.iter().zip(&self.y).zip(&self.of);
        places.map(|((x, y), of)| ((f64::from(*x), f64::from(*y)), *of))
    }
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;
    use crate::orientation::{Line, Plane, Polarity};

    pub(in crate::app::net) fn plane(strike_deg: f64, dip_deg: f64) -> Datum {
        Datum {
            record: format!("{strike_deg}/{dip_deg}"),
            station: "s".to_owned(),
            name: "1·1".to_owned(),
            kind: "bedding".to_owned(),
            day: "2026-06-14".to_owned(),
            by: "QV".to_owned(),
            unit: String::new(),
            plane: Some(Plane::from_deg(strike_deg, dip_deg).unwrap()),
            line: None,
            tops: Polarity::Unknown,
            slip: None,
            is_true: true,
            declination_deg: 0.0,
            doubted: false,
            sd_deg: 1.0,
        }
    }

    pub(in crate::app::net) fn line(trend_deg: f64, plunge_deg: f64) -> Datum {
        Datum {
            kind: "line".to_owned(),
            plane: None,
            line: Some(Line::from_deg(trend_deg, plunge_deg).unwrap()),
            ..plane(trend_deg, 0.0)
        }
    }

    fn plot(data: &[Datum], planes: Planes) -> Plot {
        let all: Vec<usize> = (0..data.len()).collect();
        Plot::of(data, &all, planes, Projection::EqualArea, Hemisphere::Lower)
    }

    #[test]
    fn a_tap_finds_the_nearest_and_nothing_too_far() {
        let data = [plane(0.0, 90.0), plane(90.0, 0.0), line(90.0, 45.0)];
        let plot = plot(&data, Planes::Poles);
        assert_eq!(plot.len(), 3);
        assert_eq!(plot.nearest((0.02, 0.01), 0.1), Some(1), "in the middle");
        // √2 sin 22.5° east of the middle.
        assert_eq!(plot.nearest((0.54, 0.0), 0.1), Some(2));
        assert_eq!(plot.nearest((0.25, 0.0), 0.1), None);
        assert_eq!(Plot::default().nearest((0.0, 0.0), 9.0), None);
    }

    #[test]
    fn of_two_marks_at_one_place_the_later_is_found() {
        let data = [plane(10.0, 30.0), plane(10.0, 30.0)];
        let plot = plot(&data, Planes::Poles);
        let ((x, y), _) = plot.places(0).next().unwrap();
        assert_eq!(plot.nearest((x, y), 0.1), Some(1));
    }

    #[test]
    fn a_great_circle_is_found_where_it_runs() {
        let data = [plane(0.0, 90.0)];
        let plot = plot(&data, Planes::Circles);
        assert_eq!((plot.len(), plot.circle_count()), (0, 1));
        assert_eq!(plot.nearest((0.0, 0.7), 0.1), Some(0));
        assert_eq!(plot.nearest((0.4, 0.0), 0.1), None);
    }

    #[test]
    fn a_lasso_holds_what_lies_within_whichever_corner_comes_first() {
        let data = [plane(0.0, 0.0), line(45.0, 30.0), line(225.0, 30.0)];
        let plot = plot(&data, Planes::Poles);
        let (one, other) = ((-0.1, -0.1), (0.9, 0.9));
        assert_eq!(plot.inside(one, other), [0, 1]);
        assert_eq!(plot.inside(other, one), [0, 1]);
        assert_eq!(plot.inside((0.9, -0.1), (-0.1, 0.9)), [0, 1]);
        assert_eq!(plot.inside((2.0, 2.0), (3.0, 3.0)), [0_usize; 0]);
    }

    #[test]
    fn a_reading_with_a_line_in_its_plane_is_held_once() {
        let mut both = plane(0.0, 90.0);
        both.line = Some(Line::from_deg(0.0, 30.0).unwrap());
        let plot = plot(&[both], Planes::Poles);
        assert_eq!(plot.len(), 2);
        assert_eq!(plot.inside((-1.0, -1.0), (1.0, 1.0)), [0]);
        assert_eq!(plot.places(0).count(), 2);
    }

    #[test]
    fn pixels_and_places_are_each_others_inverse() {
        for side in [140.0, 424.0, 800.0] {
            let frame = Frame::of(side);
            let there = frame.under(frame.at((0.3, -0.4)));
            assert!((there.0 - 0.3).abs() < 1e-12 && (there.1 + 0.4).abs() < 1e-12);
            let (_, top) = frame.at((0.0, 1.0));
            assert!(top > 0.0 && frame.y + frame.radius < side);
        }
        assert_eq!(Frame::of(0.0).radius, 1.0);
    }
}
