//! Marks, numerals and lines of the net one by one, and as samples for the rows of its legend.

use super::linework::WEIGHTS;
use crate::app::drawing::pen::Pen;
use crate::exchange::net_figure::{Mark, line_style};
use crate::notebook::figures::Stands;

/// Opens a line in the style of what it stands for; the courses and its end follow.
pub(super) fn stroke(pen: &mut Pen, stands: Stands, heavy: f64) {
    let (weight, dashes) = line_style(stands);
    pen.put(
        "<path class=\"ln-ink\" stroke-width=\"~\"",
        &[weight * heavy],
    );
    if !dashes.is_empty() {
        pen.raw(" stroke-dasharray=\"");
        for dash in dashes {
            pen.put("~ ", &[dash * heavy]);
        }
        pen.raw("\"");
    }
    pen.raw(" d=\"");
}

/// A numeral in a ring of paper.
pub(super) fn numeral_at(pen: &mut Pen, (x, y): (f64, f64), r: f64, numeral: u8) {
    pen.put(
        "<circle class=\"ln-ink fl-paper\" stroke-width=\"1.8\" cx=\"~\" cy=\"~\" r=\"~\"/>",
        &[x, y, r],
    );
    pen.text(
        "tx-word tx-mid fl-ink",
        13.0,
        (x, y + 4.7),
        &Pen::whole(f64::from(numeral), 1),
    );
}

/// A mark as a drawing, in the classes that `style/net.css` gives its wash and its outline.
pub(super) fn mark_at(pen: &mut Pen, mark: Mark, (x, y): (f64, f64), r: f64) {
    let class = match mark {
        Mark::Disc => "<path class=\"mark mark-bedding\" d=\"",
        Mark::BarredRing | Mark::Ring | Mark::BarredSquare => {
            "<path class=\"mark mark-paper\" d=\""
        }
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
        Mark::Square | Mark::BarredSquare => {
            let half = 0.89 * r;
            pen.put(
                "M~ ~h~v~h-~z",
                &[x - half, y - half, 2.0 * half, 2.0 * half, 2.0 * half],
            );
            if mark == Mark::BarredSquare {
                pen.put("M~ ~h~", &[x - half, y, 2.0 * half]);
            }
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

/// A shot: a small ring.
pub(super) fn shot_at(pen: &mut Pen, (x, y): (f64, f64), heavy: f64) {
    pen.put(
        "<circle class=\"net-shot\" cx=\"~\" cy=\"~\" r=\"~\"/>",
        &[x, y, 2.6 * heavy.max(0.8)],
    );
}

/// A shot by itself, for a row of the legend.
pub fn shot_sample() -> String {
    let mut pen = Pen::new("sample", [0.0, 0.0, 24.0, 24.0], 1.0);
    for place in [(8.0, 14.0), (15.0, 16.0), (13.0, 8.0)] {
        shot_at(&mut pen, place, 1.0);
    }
    pen.end()
}

/// A mark by itself, for a row of the legend.
pub fn mark_sample(mark: Mark) -> String {
    let mut pen = Pen::new("sample", [0.0, 0.0, 24.0, 24.0], 1.0);
    mark_at(&mut pen, mark, (12.0, 12.0), 7.0);
    pen.end()
}

/// A great circle's line, for a row of the legend.
pub fn circle_sample(mark: Mark) -> String {
    let mut pen = Pen::new("sample", [0.0, 0.0, 24.0, 24.0], 1.0);
    let (weight, dashes) = mark.circle_style();
    let dashes: Vec<String> = dashes.iter().map(ToString::to_string).collect();
    pen.raw(&format!(
        "<path class=\"ln-ink\" stroke-width=\"{weight}\" stroke-dasharray=\"{}\" d=\"M1 15q11-8 22 0\"/>",
        if dashes.is_empty() { "none".to_owned() } else { dashes.join(" ") }
    ));
    pen.end()
}

/// The sample of the contours, for a row of the legend.
pub fn contour_sample() -> String {
    let mut pen = Pen::new("sample", [0.0, 0.0, 36.0, 24.0], 1.0);
    for (y, weight) in [6.0, 12.0, 18.0].into_iter().zip(WEIGHTS) {
        pen.put(
            "<path class=\"ln-soft\" stroke-width=\"~\" d=\"M0 ~h36\"/>",
            &[weight, y],
        );
    }
    pen.end()
}

/// The sample of a fit, for a row of the legend.
pub fn fit_sample(stands: Stands) -> String {
    let mut pen = Pen::new("sample", [0.0, 0.0, 36.0, 24.0], 1.0);
    match stands {
        Stands::Axis | Stands::Mean => {
            pen.raw("<path class=\"ln-ink\" stroke-width=\"2.2\" d=\"M10 12h16m-8 -8v16\"/>");
        }
        Stands::Stress => numeral_at(&mut pen, (18.0, 12.0), 11.0, 1),
        _ => {
            stroke(&mut pen, stands, 1.0);
            pen.raw("M0 12h36\"/>");
        }
    }
    pen.end()
}

/// The sample of an arrow of slip, for a row of the legend.
pub fn slip_sample() -> String {
    let mut pen = Pen::new("sample", [0.0, 0.0, 36.0, 24.0], 1.0);
    pen.raw("<path class=\"ln-ink\" stroke-width=\"2\" d=\"M3 12h30m-9 -6l9 6l-9 6\"/>");
    pen.end()
}

/// The sample of a petal, for a row beside a rose.
pub fn petal_sample() -> String {
    let mut pen = Pen::new("sample", [0.0, 0.0, 24.0, 24.0], 1.0);
    pen.raw("<path class=\"petal\" d=\"M12 22L7 3q5-2 10 0z\"/>");
    pen.end()
}

/// The sample of the mean on a rose's rim.
pub fn mean_sample() -> String {
    let mut pen = Pen::new("sample", [0.0, 0.0, 24.0, 24.0], 1.0);
    pen.raw("<path class=\"ln-ink\" stroke-width=\"4\" d=\"M7 17L17 7\"/>");
    pen.end()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn parsed(svg: &str) -> roxmltree::Document<'_> {
        roxmltree::Document::parse(svg).unwrap_or_else(|e| panic!("{e}: {svg}"))
    }

    #[test]
    fn every_mark_has_a_sample() {
        for mark in [
            Mark::Disc,
            Mark::BarredRing,
            Mark::Triangle,
            Mark::Square,
            Mark::BarredSquare,
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
        parsed(&contour_sample());
        parsed(&slip_sample());
        parsed(&petal_sample());
        assert_eq!(shot_sample().matches("net-shot").count(), 3);
        for stands in [Stands::Girdle, Stands::Mean, Stands::Stress, Stands::Limb] {
            parsed(&fit_sample(stands));
        }
    }
}
