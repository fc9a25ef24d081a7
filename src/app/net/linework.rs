//! The line-work of the net around its marks: rim, contours and fits beneath them, the selection above, the legend's samples.

use nalgebra::Vector3;

use super::plot::{Frame, SMALL_PX};
use super::words::better_cone;
use crate::app::drawing::pen::Pen;
use crate::exchange::net_figure::Mark;
use crate::notebook::figures::{Figures, Look};
use crate::orientation::contour::contours;
use crate::orientation::density::Density;
use crate::orientation::statistics::Ellipse;
use crate::orientation::{Hemisphere, Line, Projection};

/// Contours stand at these multiples of an even spread.
pub const MULTIPLES: [f64; 3] = [2.0, 4.0, 8.0];

/// The weights of their lines, in pixels.
const WEIGHTS: [f64; 3] = [0.8, 1.5, 2.4];

/// How the net is drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sheet {
    /// Pixels a side.
    pub side_px: f64,
    /// The projection.
    pub projection: Projection,
    /// The hemisphere.
    pub hemisphere: Hemisphere,
}

impl Sheet {
    fn pen(&self, class: &str) -> (Pen, Frame, bool) {
        let pen = Pen::new(class, [0.0, 0.0, self.side_px, self.side_px], 1.0);
        (pen, Frame::of(self.side_px), self.side_px < SMALL_PX)
    }

    fn place(&self, frame: &Frame, direction: &Vector3<f64>) -> (f64, f64) {
        frame.at(self.projection.project(self.hemisphere, direction))
    }

    /// What lies beneath the marks.
    pub fn beneath(&self, density: Option<&Density>, figures: Option<&Figures>) -> String {
        let (mut pen, frame, small) = self.pen("net-under");
        let heavy = if small { 0.75 } else { 1.0 };
        if let Some(density) = density {
            let levels = MULTIPLES.map(|m| density.sigmas_of_multiple(m));
            for (contour, weight) in contours(density, &levels).iter().zip(WEIGHTS) {
                pen.put(
                    "<path class=\"ln-soft\" stroke-width=\"~\" d=\"",
                    &[weight * heavy],
                );
                for line in &contour.lines {
                    course(&mut pen, &frame, line);
                }
                pen.raw("\"/>");
            }
        }
        rim(&mut pen, &frame, small);
        if let Some(figures) = figures {
            self.fits(&mut pen, &frame, heavy, figures);
        }
        pen.end()
    }

    fn fits(&self, pen: &mut Pen, frame: &Frame, heavy: f64, figures: &Figures) {
        let girdle = |pen: &mut Pen| {
            pen.put(
                "<path class=\"ln-ink\" stroke-width=\"~\" stroke-dasharray=\"~ ~ ~ ~\" d=\"",
                &[
                    2.4 * heavy,
                    9.0 * heavy,
                    4.0 * heavy,
                    2.0 * heavy,
                    4.0 * heavy,
                ],
            );
        };
        if let Some(cone) = better_cone(figures) {
            girdle(pen);
            let axis = cone.axis.vector();
            for piece in
                self.projection
                    .small_circle(self.hemisphere, &axis, cone.half_angle_deg, 120)
            {
                course(pen, frame, &piece);
            }
            pen.raw("\"/>");
            self.axis(pen, frame, heavy, &axis, None);
        } else if let Some(cylinder) = &figures.cylinder {
            girdle(pen);
            let axis = cylinder.axis.vector();
            course(
                pen,
                frame,
                &self.projection.great_circle(self.hemisphere, &axis, 90),
            );
            pen.raw("\"/>");
            self.axis(pen, frame, heavy, &axis, cylinder.ellipse.as_ref());
        } else if figures.look == Look::Directions {
            if let Some(fisher) = &figures.fisher {
                let axis = fisher.mean.vector();
                if let Some(cone_deg) = fisher.cone_95_deg.filter(|c| *c < 90.0) {
                    self.pieces(
                        pen,
                        frame,
                        heavy,
                        self.projection
                            .small_circle(self.hemisphere, &axis, cone_deg, 90),
                    );
                }
                self.axis(pen, frame, heavy, &axis, None);
            }
        } else if let Some(best) = figures.sets.as_ref().and_then(|s| s.tried.get(s.best)) {
            for set in &best.sets {
                self.axis(pen, frame, heavy, &set.mean.normal(), set.ellipse.as_ref());
            }
        } else if let Some(mean) = &figures.mean {
            self.axis(pen, frame, heavy, &mean.axis.vector(), Some(mean));
        }
    }

    /// A cross, and the ellipse round it.
    fn axis(
        &self,
        pen: &mut Pen,
        frame: &Frame,
        heavy: f64,
        axis: &Vector3<f64>,
        ellipse: Option<&Ellipse>,
    ) {
        if let Some(ellipse) = ellipse {
            let outline = ellipse.outline(72).into_iter();
            self.pieces(
                pen,
                frame,
                heavy,
                self.projection.pieces(self.hemisphere, outline),
            );
        }
        let (x, y) = self.place(frame, axis);
        let arm = 7.0 * heavy;
        pen.put(
            "<path class=\"ln-ink\" stroke-width=\"~\" d=\"M~ ~h~m~ ~v~\"/>",
            &[2.0 * heavy, x - arm, y, 2.0 * arm, -arm, -arm, 2.0 * arm],
        );
    }

    fn pieces(&self, pen: &mut Pen, frame: &Frame, heavy: f64, pieces: Vec<Vec<(f64, f64)>>) {
        pen.put(
            "<path class=\"ln-ink\" stroke-width=\"~\" d=\"",
            &[1.8 * heavy],
        );
        for piece in pieces {
            course(pen, frame, &piece);
        }
        pen.raw("\"/>");
    }

    /// What lies above the marks: the selected planes as bands, the selected marks as discs, the axis by its name, and the
    /// first corner of a lasso.
    pub fn above(
        &self,
        planes: &[Vector3<f64>],
        marks: &[((f64, f64), Mark)],
        named: Option<(&Line, &str)>,
        corner: Option<(f64, f64)>,
    ) -> String {
        let (mut pen, frame, small) = self.pen("net-over");
        let heavy = if small { 0.7 } else { 1.0 };
        for normal in planes {
            let circle = self.projection.great_circle(self.hemisphere, normal, 90);
            for (class, width) in [("ln-ink", 9.0), ("ln-here", 5.0)] {
                pen.raw("<path class=\"")
                    .raw(class)
                    .put("\" stroke-width=\"~\" d=\"", &[width * heavy]);
                course(&mut pen, &frame, &circle);
                pen.raw("\"/>");
            }
        }
        // One stands out as a wide disc; many must not hide each other.
        let reach = heavy * if marks.len() > 2 { 9.0 } else { 15.0 };
        for (place, _) in marks {
            let (x, y) = frame.at(*place);
            pen.put(
                "<circle class=\"net-here\" stroke-width=\"~\" cx=\"~\" cy=\"~\" r=\"~\"/>",
                &[2.4 * heavy, x, y, reach],
            );
        }
        for (place, mark) in marks {
            mark_at(&mut pen, *mark, frame.at(*place), 5.6 * heavy);
        }
        if let Some((axis, name)) = named {
            self.name(&mut pen, &frame, small, axis, name);
        }
        if let Some(place) = corner {
            let (x, y) = frame.at(place);
            pen.put(
                "<path class=\"ln-ink\" stroke-width=\"3\" d=\"M~ ~v-14h14m-14 14m-5 0h10m-5-5v10\"/>",
                &[x, y],
            );
        }
        pen.end()
    }

    /// A name with a line to what it names, outwards from the middle.
    fn name(&self, pen: &mut Pen, frame: &Frame, small: bool, axis: &Line, name: &str) {
        let (x, y) = self.place(frame, &axis.vector());
        let (dx, dy) = (x - frame.x, y - frame.y);
        let off = dx.hypot(dy);
        let (ux, uy) = if off < 0.2 * frame.radius {
            (-0.8, 0.6)
        } else {
            (dx / off, dy / off)
        };
        let size = if small { 13.0 } else { 18.0 };
        let out = if off > 0.6 * frame.radius {
            frame.radius - off + if small { 8.0 } else { 20.0 }
        } else {
            0.3 * frame.radius
        };
        let (ex, ey) = (x + ux * out, y + uy * out);
        pen.put(
            "<path class=\"ln-ink\" stroke-width=\"~\" d=\"M~ ~L~ ~\"/>",
            &[
                if small { 1.2 } else { 2.0 },
                x + ux * 9.0,
                y + uy * 9.0,
                ex,
                ey,
            ],
        );
        let class = if ux < 0.0 {
            "tx-word tx-end fl-ink halo"
        } else {
            "tx-word fl-ink halo"
        };
        // Kept on the ground, whichever way it runs.
        let wide = 0.55 * size * 4.0;
        let tx = if ux < 0.0 {
            (ex + 6.0).max(wide)
        } else {
            (ex - 6.0).min(self.side_px - wide)
        };
        pen.text(
            class,
            size,
            (
                tx,
                (ey + uy * size * 0.7 + size * 0.3).min(self.side_px - 2.0),
            ),
            name,
        );
    }
}

fn course(pen: &mut Pen, frame: &Frame, points: &[(f64, f64)]) {
    for (i, point) in points.iter().enumerate() {
        let (x, y) = frame.at(*point);
        pen.put(if i == 0 { "M~ ~" } else { "L~ ~" }, &[x, y]);
    }
}

fn rim(pen: &mut Pen, frame: &Frame, small: bool) {
    let (tick, stroke, letter) = if small {
        (0.5, 1.5, 13.0)
    } else {
        (1.0, 2.4, 20.0)
    };
    pen.put(
        "<circle class=\"ln-ink\" stroke-width=\"~\" cx=\"~\" cy=\"~\" r=\"~\"/><path class=\"ln-ink\" stroke-width=\"~\" d=\"",
        &[stroke, frame.x, frame.y, frame.radius, stroke * 0.7],
    );
    for ten in 0..36 {
        let (sin, cos) = crate::app::drawing::pen::sin_cos(f64::from(ten) * 10.0);
        let long = tick
            * match ten {
                t if t % 9 == 0 => 9.0,
                t if t % 3 == 0 => 7.0,
                _ => 4.0,
            };
        let (x, y) = frame.at((sin, cos));
        pen.put("M~ ~l~ ~", &[x, y, sin * long, -cos * long]);
    }
    let arm = 6.0 * tick.max(0.7);
    pen.put(
        "M~ ~h~m~ ~v~\"/>",
        &[frame.x - arm, frame.y, 2.0 * arm, -arm, -arm, 2.0 * arm],
    );
    let up = if small { 5.0 } else { 11.0 };
    pen.text(
        "tx-word tx-mid fl-ink",
        letter,
        (frame.x, frame.y - frame.radius - up),
        "N",
    );
}

/// A mark as a drawing, in the classes that `style/net.css` gives its wash and its outline.
fn mark_at(pen: &mut Pen, mark: Mark, (x, y): (f64, f64), r: f64) {
    let class = match mark {
        Mark::Disc => "<path class=\"mark mark-bedding\" d=\"",
        Mark::BarredRing | Mark::Ring => "<path class=\"mark mark-paper\" d=\"",
        Mark::Triangle => "<path class=\"mark mark-cleavage\" d=\"",
        Mark::Square => "<path class=\"mark mark-joint\" d=\"",
        Mark::Diamond => "<path class=\"mark mark-fault\" d=\"",
        Mark::Plus => "<path class=\"mark mark-line\" d=\"",
    };
    pen.raw(class);
    match mark {
        Mark::Disc | Mark::Ring | Mark::BarredRing => {
            pen.put(
                "M~ ~a~ ~ 0 100 ~a~ ~ 0 100-~",
                &[x, y - r, r, r, 2.0 * r, r, r, 2.0 * r],
            );
            if mark == Mark::BarredRing {
                pen.put("M~ ~h~", &[x - r, y, 2.0 * r]);
            }
        }
        Mark::Triangle => {
            let inner = 0.62 * r;
            pen.put(
                "M~ ~l~ ~h-~z",
                &[
                    x,
                    y - 2.0 * inner,
                    1.732 * inner,
                    3.0 * inner,
                    2.0 * 1.732 * inner,
                ],
            );
        }
        Mark::Square => {
            let half = 0.89 * r;
            pen.put(
                "M~ ~h~v~h-~z",
                &[x - half, y - half, 2.0 * half, 2.0 * half, 2.0 * half],
            );
        }
        Mark::Diamond => {
            let half = 1.18 * r;
            pen.put(
                "M~ ~l~ ~l-~ ~l-~-~z",
                &[x, y - half, half, half, half, half, half, half],
            );
        }
        Mark::Plus => {
            let (arm, long) = (0.36 * r, 0.78 * r);
            let wide = 2.0 * arm;
            pen.put(
                "M~ ~h~v~h~v~h-~v~h-~v-~h-~v-~h~z",
                &[
                    x - arm,
                    y - arm - long,
                    wide,
                    long,
                    long,
                    wide,
                    long,
                    long,
                    wide,
                    long,
                    long,
                    wide,
                    long,
                ],
            );
        }
    }
    pen.raw("\"/>");
}

/// A mark by itself, for a row of the legend.
pub fn mark_sample(mark: Mark) -> String {
    let mut pen = Pen::new("sample", [0.0, 0.0, 24.0, 24.0], 1.0);
    mark_at(&mut pen, mark, (12.0, 12.0), 7.0);
    pen.end()
}

/// A great circle's line, for a row of the legend.
pub fn circle_sample() -> String {
    let mut pen = Pen::new("sample", [0.0, 0.0, 24.0, 24.0], 1.0);
    pen.raw("<path class=\"ln-ink\" stroke-width=\"1.2\" d=\"M2 15q10-8 20 0\"/>");
    pen.end()
}

/// The sample of the fitted girdle, or of the contours.
pub fn line_sample(contours: bool) -> String {
    let mut pen = Pen::new("sample", [0.0, 0.0, 36.0, 24.0], 1.0);
    if contours {
        for (y, weight) in [6.0, 12.0, 18.0].into_iter().zip(WEIGHTS) {
            pen.put(
                "<path class=\"ln-soft\" stroke-width=\"~\" d=\"M0 ~h36\"/>",
                &[weight, y],
            );
        }
    } else {
        pen.raw("<path class=\"ln-ink\" stroke-width=\"2.4\" stroke-dasharray=\"9 4 2 4\" d=\"M0 12h36\"/>");
    }
    pen.end()
}

/// Two unit vectors at a right angle to an axis and to each other: towards the east and the north of the net there.
fn level(axis: &Line) -> (Vector3<f64>, Vector3<f64>) {
    let (trend, plunge) = (axis.trend().rad(), axis.plunge().rad());
    let ((st, ct), (sp, cp)) = (trend.sin_cos(), plunge.sin_cos());
    let outward = Vector3::new(sp * ct, sp * st, -cp);
    let clockwise = Vector3::new(-st, ct, 0.0);
    (outward * st + clockwise * ct, outward * ct - clockwise * st)
}

/// The ellipse of an axis seen close: rings at 3°, or at 10° or 30° where it is larger, and the lines that lie near.
pub fn close_up(ellipse: &Ellipse, lines: &[Vector3<f64>]) -> (String, f64) {
    const RING: f64 = 40.0;
    let ring_deg = [3.0, 10.0, 30.0]
        .into_iter()
        .find(|r| ellipse.semi_deg.0 <= *r)
        .unwrap_or(90.0);
    let (east, north) = level(&ellipse.axis);
    let middle = ellipse.axis.vector();
    let place = |v: &Vector3<f64>| {
        let v = if v.dot(&middle) < 0.0 { -v } else { *v };
        let off =
            crate::orientation::Angle::clamped(v.cross(&middle).norm().atan2(v.dot(&middle))).deg();
        let (x, y) = (v.dot(&east), v.dot(&north));
        let flat = x.hypot(y).max(1e-12);
        let scale = off / flat * RING / ring_deg;
        (50.0 + x * scale, 50.0 - y * scale)
    };
    let mut pen = Pen::new("close-up", [0.0, 0.0, 100.0, 100.0], 1.0);
    pen.put("<circle class=\"ln-soft\" stroke-width=\"1\" stroke-dasharray=\"3 3\" cx=\"50\" cy=\"50\" r=\"~\"/>", &[RING]);
    pen.raw("<path class=\"ln-soft\" stroke-width=\"1\" d=\"M4 50h92M50 4v92");
    for i in [-2.0, -1.0, 1.0, 2.0] {
        let at = 50.0 + i * RING / 3.0;
        pen.put("M~ 46v8M46 ~h8", &[at, at]);
    }
    pen.raw("\"/><path class=\"ln-ink\" stroke-width=\"2.4\" d=\"");
    for (i, v) in ellipse.outline(48).iter().enumerate() {
        let (x, y) = place(v);
        pen.put(if i == 0 { "M~ ~" } else { "L~ ~" }, &[x, y]);
    }
    pen.raw("z\"/>");
    for v in lines {
        let (x, y) = place(v);
        if (x - 50.0).hypot(y - 50.0) <= 46.0 {
            mark_at(&mut pen, Mark::Plus, (x, y), 4.2);
        }
    }
    (pen.end(), ring_deg)
}

#[cfg(test)]
mod tests {
    use super::super::plot::tests::plane;
    use super::*;
    use crate::notebook::Datum;
    use crate::notebook::figures::figures;
    use crate::orientation::Plane;

    const SHEET: Sheet = Sheet {
        side_px: 424.0,
        projection: Projection::EqualArea,
        hemisphere: Hemisphere::Lower,
    };

    fn folded() -> Vec<Datum> {
        let axis = Line::from_deg(224.0, 13.0).unwrap();
        (0..24)
            .filter_map(|i| {
                let off = f64::from(i % 5) - 2.0;
                let trend = Line::from_deg(f64::from(i) * 7.0 + 20.0, off.abs()).unwrap();
                let mut datum = plane(10.0, 10.0);
                datum.plane = Some(Plane::through(&axis, &trend)?);
                Some(datum)
            })
            .collect()
    }

    fn parsed(svg: &str) -> roxmltree::Document<'_> {
        roxmltree::Document::parse(svg).unwrap_or_else(|e| panic!("{e}: {svg}"))
    }

    #[test]
    fn what_is_drawn_is_well_formed_and_within_the_ground() {
        let data = folded();
        let all: Vec<&Datum> = data.iter().collect();
        let figures = figures("bedding", &all);
        let poles: Vec<_> = data.iter().filter_map(Datum::pole).collect();
        let density = Density::of(&poles, 100.0, 61, SHEET.projection, SHEET.hemisphere);
        let under = SHEET.beneath(Some(&density), Some(&figures));
        assert!(
            parsed(&under)
                .descendants()
                .filter(|n| n.has_tag_name("path"))
                .count()
                >= 5
        );
        let axis = figures.cylinder.as_ref().unwrap().axis;
        let over = SHEET.above(
            &poles[..1],
            &[((0.1, 0.2), Mark::Disc)],
            Some((&axis, "axis")),
            Some((0.0, 0.0)),
        );
        let document = parsed(&over);
        let text = document
            .descendants()
            .find(|n| n.has_tag_name("text"))
            .expect("its name");
        for (name, end) in [("x", 424.0), ("y", 424.0)] {
            let at: f64 = text.attribute(name).unwrap().parse().unwrap();
            assert!(0.0 < at && at < end, "{name} {at}");
        }
    }

    #[test]
    fn the_close_up_has_the_ellipse_within_its_ring() {
        let data = folded();
        let poles: Vec<_> = data.iter().filter_map(Datum::pole).collect();
        let cylinder = crate::orientation::folds::cylinder(&poles).unwrap();
        let ellipse = cylinder.ellipse.unwrap();
        let (svg, ring_deg) = close_up(&ellipse, &[ellipse.axis.vector()]);
        let document = parsed(&svg);
        assert!(ring_deg >= ellipse.semi_deg.0);
        let path = document
            .descendants()
            .filter_map(|n| n.attribute("d"))
            .nth(1)
            .unwrap();
        let numbers: Vec<f64> = path
            .trim_end_matches('z')
            .split(['M', 'L', ' '])
            .filter(|t| !t.is_empty())
            .map(|t| t.parse().unwrap())
            .collect();
        let far = numbers
            .chunks(2)
            .map(|p| (p[0] - 50.0).hypot(p[1] - 50.0))
            .fold(0.0, f64::max);
        let expected = ellipse.semi_deg.0 / ring_deg * 40.0;
        assert!((far - expected).abs() < 0.5, "{far} for {expected}");
        assert!(svg.contains("mark-line"), "a line on the axis itself");
    }

    /// On the net, east of an axis is to the right of it, whichever way it plunges.
    #[test]
    fn a_close_up_lies_as_the_net_does() {
        for (trend, plunge) in [(30.0, 13.0), (224.0, 60.0), (300.0, 5.0)] {
            let axis = Line::from_deg(trend, plunge).unwrap();
            let (east, north) = level(&axis);
            let there =
                |v: Vector3<f64>| Projection::EqualAngle.project_beyond(Hemisphere::Lower, &v);
            let here = there(axis.vector());
            for (step, (x, y)) in [(east, (1.0, 0.0)), (north, (0.0, 1.0))] {
                let moved = there((axis.vector() + step * 1e-5).normalize());
                let (dx, dy) = (moved.0 - here.0, moved.1 - here.1);
                let long = dx.hypot(dy);
                assert!(
                    (dx / long - x).abs() < 1e-3 && (dy / long - y).abs() < 1e-3,
                    "{trend} {plunge}"
                );
            }
        }
    }

    #[test]
    fn every_mark_has_a_sample() {
        for mark in [
            Mark::Disc,
            Mark::BarredRing,
            Mark::Triangle,
            Mark::Square,
            Mark::Diamond,
            Mark::Plus,
            Mark::Ring,
        ] {
            let svg = mark_sample(mark);
            assert!(
                parsed(&svg)
                    .descendants()
                    .any(|n| n.attribute("class").is_some_and(|c| c.starts_with("mark "))),
                "{mark:?}"
            );
        }
        parsed(&line_sample(true));
        parsed(&line_sample(false));
    }
}
