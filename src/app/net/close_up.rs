//! The ellipse of an axis seen close.

use nalgebra::Vector3;

use super::samples::mark_at;
use crate::app::drawing::pen::Pen;
use crate::exchange::net_figure::Mark;
use crate::orientation::Line;
use crate::orientation::statistics::Ellipse;

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
    use super::super::linework::tests::folded;
    use super::*;
    use crate::notebook::Datum;
    use crate::orientation::{Hemisphere, Projection};

    fn parsed(svg: &str) -> roxmltree::Document<'_> {
        roxmltree::Document::parse(svg).unwrap_or_else(|e| panic!("{e}: {svg}"))
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
}
