//! The line-work of the net around its marks: rim, contours and fits beneath them, the selection above, the legend's samples.

use nalgebra::Vector3;

use super::plot::{Frame, SMALL_PX};
use super::samples::{mark_at, numeral_at, shot_at, stroke};
use crate::app::drawing::pen::Pen;
use crate::exchange::net_figure::{
    MOST_ARROWS, Mark, Planes, SHOT_DASHES, courses, every, shot_places, slip_strokes,
};
use crate::notebook::figures::{Fit, Shape};
use crate::notebook::structure::Shots;
use crate::orientation::contour::contours;
use crate::orientation::density::{Density, Levels};
use crate::orientation::faults::Slip;
use crate::orientation::{Hemisphere, Line, Projection};

/// The weights of the contours' lines, in pixels.
pub(super) const WEIGHTS: [f64; 3] = [0.8, 1.5, 2.4];

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

    /// What lies beneath the marks: contours, the rim, the lines of the fits, arrows of slip.
    pub fn beneath(
        &self,
        density: Option<(&Density, Levels)>,
        fits: &[Fit],
        slips: &[Slip],
        planes: Planes,
    ) -> String {
        let (mut pen, frame, small) = self.pen("net-under");
        let heavy = if small { 0.75 } else { 1.0 };
        if let Some((density, levels)) = density {
            let levels = levels.sigmas(density);
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
        for fit in fits {
            self.fit(&mut pen, &frame, heavy, fit);
        }
        self.slips(&mut pen, &frame, heavy, slips, planes);
        pen.end()
    }

    /// The lines of a fit; crosses and numerals lie above the marks.
    fn fit(&self, pen: &mut Pen, frame: &Frame, heavy: f64, fit: &Fit) {
        let pieces = courses(&fit.shape, self.projection, self.hemisphere);
        if pieces.is_empty() {
            return;
        }
        stroke(pen, fit.stands, heavy);
        for piece in pieces {
            course(pen, frame, &piece);
        }
        pen.raw("\"/>");
    }

    /// The arrows of slip.
    fn slips(&self, pen: &mut Pen, frame: &Frame, heavy: f64, slips: &[Slip], planes: Planes) {
        const LONG_PX: f64 = 30.0;
        if slips.is_empty() {
            return;
        }
        let long = LONG_PX * heavy / frame.radius;
        pen.put(
            "<path class=\"ln-ink\" stroke-width=\"~\" d=\"",
            &[2.0 * heavy],
        );
        for slip in slips.iter().step_by(every(slips.len(), MOST_ARROWS)) {
            for line in slip_strokes(slip, planes, self.projection, self.hemisphere, long) {
                course(pen, frame, &line);
            }
        }
        pen.raw("\"/>");
    }

    /// A cross or a numeral.
    fn point(&self, pen: &mut Pen, frame: &Frame, heavy: f64, fit: &Fit) {
        match &fit.shape {
            Shape::Cross(axis) => {
                let (x, y) = self.place(frame, axis);
                let arm = 7.0 * heavy;
                let lines = [x - arm, y, 2.0 * arm, -arm, -arm, 2.0 * arm];
                // A halo of paper keeps it legible among dark marks.
                for (class, wide) in [("net-halo", 5.0), ("ln-ink", 2.2)] {
                    pen.raw("<path class=\"")
                        .raw(class)
                        .put("\" stroke-width=\"~\"", &[wide * heavy])
                        .put(" d=\"M~ ~h~m~ ~v~\"/>", &lines);
                }
            }
            Shape::Numeral(axis, numeral) => {
                numeral_at(
                    pen,
                    self.place(frame, axis),
                    11.0 * heavy.max(0.8),
                    *numeral,
                );
            }
            _ => {}
        }
    }

    /// What lies above the marks: the limbs' members, the selected planes as bands, the selected marks as discs, the shots of one,
    /// crosses and numerals, the axis by its name, and the first corner of a lasso.
    pub fn above(&self, over: &Over<'_>) -> String {
        let Over {
            planes,
            marks,
            shots,
            as_drawn,
            members,
            fits,
            named,
            corner,
        } = *over;
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
        if let Some(shots) = shots {
            self.shots(&mut pen, &frame, heavy, shots, as_drawn);
        }
        for (place, second) in members {
            let (x, y) = frame.at(*place);
            pen.raw("<circle class=\"ln-ink\" stroke-width=\"1.8\"");
            if *second {
                pen.raw(" stroke-dasharray=\"3 3\"");
            }
            pen.put(" cx=\"~\" cy=\"~\" r=\"~\"/>", &[x, y, 10.0 * heavy]);
        }
        for fit in fits {
            self.point(&mut pen, &frame, heavy, fit);
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

    /// The shots of one reading.
    fn shots(&self, pen: &mut Pen, frame: &Frame, heavy: f64, shots: &Shots, planes: Planes) {
        if planes == Planes::Circles {
            for pole in &shots.poles {
                let circle = self.projection.great_circle(self.hemisphere, pole, 90);
                pen.put(
                    "<path class=\"ln-ink\" stroke-width=\"1\" stroke-dasharray=\"~ ~\" d=\"",
                    &SHOT_DASHES,
                );
                course(pen, frame, &circle);
                pen.raw("\"/>");
            }
        }
        for place in shot_places(shots, planes, self.projection, self.hemisphere) {
            shot_at(pen, frame.at(place), heavy);
        }
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

/// What lies above the marks.
#[derive(Clone, Copy, Debug, Default)]
pub struct Over<'a> {
    /// Poles of the selected planes.
    pub planes: &'a [Vector3<f64>],
    /// The selected marks.
    pub marks: &'a [((f64, f64), Mark)],
    /// The shots of the only selected reading.
    pub shots: Option<&'a Shots>,
    /// How planes are drawn.
    pub as_drawn: Planes,
    /// The marks of limbs chosen by hand, and whether of the second.
    pub members: &'a [((f64, f64), bool)],
    /// The fits.
    pub fits: &'a [Fit],
    /// An axis and its name.
    pub named: Option<(&'a Line, &'a str)>,
    /// The first corner of a lasso.
    pub corner: Option<(f64, f64)>,
}

fn course(pen: &mut Pen, frame: &Frame, points: &[(f64, f64)]) {
    for (i, point) in points.iter().enumerate() {
        let (x, y) = frame.at(*point);
        pen.put(if i == 0 { "M~ ~" } else { "L~ ~" }, &[x, y]);
    }
}

/// The rim with its ticks, N and the middle.
pub(super) fn rim(pen: &mut Pen, frame: &Frame, small: bool) {
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

#[cfg(test)]
pub(super) mod tests {
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

    pub(in crate::app::net) fn folded() -> Vec<Datum> {
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
        let fits = figures.fits(true);
        let under = SHEET.beneath(Some((&density, Levels::Even)), &fits, &[], Planes::Poles);
        assert!(
            parsed(&under)
                .descendants()
                .filter(|n| n.has_tag_name("path"))
                .count()
                >= 5
        );
        let axis = figures.cylinder.as_ref().unwrap().axis;
        let shots = Shots {
            poles: poles[..3].to_vec(),
            ..Shots::default()
        };
        let over = SHEET.above(&Over {
            planes: &poles[..1],
            marks: &[((0.1, 0.2), Mark::Disc)],
            shots: Some(&shots),
            as_drawn: Planes::Poles,
            members: &[((0.1, 0.2), true)],
            fits: &fits,
            named: Some((&axis, "axis")),
            corner: Some((0.0, 0.0)),
        });
        let document = parsed(&over);
        let rings = document
            .descendants()
            .filter(|n| n.attribute("class") == Some("net-shot"));
        assert_eq!(rings.count(), 3);
        let text = document
            .descendants()
            .find(|n| n.has_tag_name("text") && n.text() == Some("axis"))
            .expect("its name");
        for (name, end) in [("x", 424.0), ("y", 424.0)] {
            let at: f64 = text.attribute(name).unwrap().parse().unwrap();
            assert!(0.0 < at && at < end, "{name} {at}");
        }
    }

    #[test]
    fn slip_is_an_arrow_in_either_manner() {
        let plane = Plane::from_deg(120.0, 65.0).unwrap();
        for (rake, lines) in [(-80.0, 2), (10.0, 2)] {
            let slip = Slip::new(plane, rake).unwrap();
            for planes in [Planes::Poles, Planes::Circles] {
                let under = SHEET.beneath(None, &[], &[slip], planes);
                let document = parsed(&under);
                let last = document
                    .descendants()
                    .filter_map(|n| n.attribute("d"))
                    .next_back();
                assert_eq!(
                    last.map(|d| d.matches('M').count()),
                    Some(lines),
                    "{rake} {planes:?}"
                );
            }
        }
    }
}
