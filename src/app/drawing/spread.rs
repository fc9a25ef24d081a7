//! The spread of the shots about their mean, against what is expected of them.

use super::pen::Pen;

/// The outer ring, and how far out a disc may stand.
const TWICE: f64 = 50.0;
const EDGE: f64 = 57.0;

/// The spread: a ring at once, a dashed one at twice the shot's own ±, and a numbered disc for each shot.
///
/// # Units
/// Degrees off the mean, of each shot in turn: to the right and up; none for a shot whose place is not known.
///
/// # Degenerate input
/// No shots: the rings alone. A shot far beyond twice the expected: a hollow disc at the edge, in its direction.
/// A shot that is `struck` (absent: it is not): grey and struck through. Nothing expected (zero or less): taken as 1°.
pub fn spread(expected_deg: f64, offsets_deg: &[Option<(f64, f64)>], struck: &[bool]) -> String {
    let unit = TWICE
        / (2.0
            * if expected_deg > 0.0 {
                expected_deg
            } else {
                1.0
            });
    let mut pen = Pen::new("spread", [-66.0, -66.0, 132.0, 132.0], 1.0);
    pen.put(
        "<g class=\"ln-ink\" stroke-width=\"1.3\"><circle r=\"~\"/>",
        &[TWICE / 2.0],
    );
    pen.put("<circle stroke-dasharray=\"4 3\" r=\"~\"/></g>", &[TWICE]);
    let mut number = 0.0;
    for (nth, offset) in offsets_deg.iter().enumerate() {
        number += 1.0;
        let Some((right_deg, up_deg)) = *offset else {
            continue;
        };
        let out = right_deg.hypot(up_deg) * unit;
        let beyond = out > EDGE;
        let unit = if beyond { unit * EDGE / out } else { unit };
        let (x, y) = (right_deg * unit, -up_deg * unit);
        let struck = struck.get(nth) == Some(&true);
        let (disc, figure) = match (struck, beyond) {
            (true, _) => ("ln-rule fl-paper", "tx-word tx-mid fl-soft"),
            (false, true) => ("ln-live fl-paper", "tx-word tx-mid fl-ink"),
            (false, false) => ("ln-live fl-live", "tx-word tx-mid fl-paper"),
        };
        pen.raw("<circle stroke-width=\"1.5\" class=\"")
            .raw(disc)
            .put("\" cx=\"~\" cy=\"~\" r=\"8\"/>", &[x, y]);
        pen.text(figure, 13.0, (x, y + 4.7), &Pen::whole(number, 1));
        if struck {
            pen.put(
                "<path class=\"ln-soft\" stroke-width=\"2\" d=\"M~ ~h20\"/>",
                &[x - 10.0, y],
            );
        }
    }
    pen.end()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The circles: radius and place.
    fn circles(svg: &str) -> Vec<(f64, f64, f64)> {
        let document = roxmltree::Document::parse(svg).unwrap();
        let number = |node: roxmltree::Node, name| {
            node.attribute(name)
                .map_or(0.0, |value| value.parse::<f64>().unwrap())
        };
        document
            .descendants()
            .filter(|node| node.has_tag_name("circle"))
            .map(|node| (number(node, "r"), number(node, "cx"), number(node, "cy")))
            .collect()
    }

    #[test]
    fn discs_stand_to_the_scale_of_the_rings() {
        let svg = spread(
            2.0,
            &[Some((2.0, 0.0)), Some((0.0, 4.0)), Some((-60.0, -80.0))],
            &[],
        );
        let found = circles(&svg);
        assert_eq!(found[0].0, 25.0);
        assert_eq!(found[1].0, 50.0);
        assert_eq!(
            (found[2].1, found[2].2),
            (25.0, 0.0),
            "once the expected, to the right"
        );
        assert_eq!(
            (found[3].1, found[3].2),
            (0.0, -50.0),
            "twice the expected, up"
        );
        let edge = found[4].1.hypot(found[4].2);
        assert!(
            (edge - EDGE).abs() < 0.01 && (found[4].2 / found[4].1 + 4.0 / 3.0).abs() < 1e-3,
            "{edge}"
        );
        assert_eq!(
            svg.matches("ln-live fl-paper").count(),
            1,
            "the one beyond is hollow"
        );
    }

    #[test]
    fn a_shot_without_a_place_keeps_its_number() {
        let svg = spread(2.0, &[Some((0.0, 0.0)), None, Some((1.0, 1.0))], &[]);
        assert!(svg.contains(">1<") && !svg.contains(">2<") && svg.contains(">3<"));
    }

    #[test]
    fn a_struck_shot_is_struck_through() {
        let svg = spread(2.0, &[Some((0.0, 0.0)), Some((1.0, 1.0))], &[false, true]);
        assert_eq!(svg.matches("ln-soft").count(), 1);
    }
}
