//! How far and which way to turn the circle of a compass, so that its bearings count from true north.

use super::pen::{Pen, sin_cos};

/// Radii: the circle, its figures, the ring the needle plays in, the mark for its tip, the arrow, the needle.
const CIRCLE: f64 = 179.0;
const FIGURES: f64 = 137.0;
const RING: f64 = 126.0;
const MARK: (f64, f64) = (122.0, 103.0);
const ARROW: f64 = 102.0;
const NEEDLE: f64 = 90.0;

/// Where the arrow begins and where the foot of its head is, degrees to the side it comes from and to the side it goes.
const ARROW_FROM: f64 = 26.0;
const ARROW_TO: f64 = 33.0;
const ARROW_TIP: f64 = 47.0;

/// A compass seen from above, its sight and its index pointing to true north.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Circle {
    /// The declination at the place: where the needle rests, degrees, east positive.
    pub needle_deg: f64,
    /// What is set, degrees, east positive; zero where the circle is left at 0.
    pub set_deg: f64,
    /// The numbers run clockwise, and the mark for the needle's tip is turned instead of the circle.
    pub clockwise: bool,
}

impl Circle {
    /// The number at which the index stands once it is set (with numbers that run clockwise: the mark), 0° up to 360°.
    ///
    /// # Degenerate input
    /// What is not a number stays so.
    pub fn reading_deg(&self) -> f64 {
        self.set_deg.rem_euclid(360.0)
    }

    /// Where a number of the circle stands, degrees clockwise from the index.
    fn place_deg(&self, number_deg: f64) -> f64 {
        if self.clockwise {
            number_deg
        } else {
            self.set_deg - number_deg
        }
    }
}

/// A point at a radius, so many degrees clockwise from straight up.
fn at(radius: f64, angle_deg: f64) -> [f64; 2] {
    let (sin, cos) = sin_cos(angle_deg);
    [radius * sin, -radius * cos]
}

/// The circle with its figures, the index fixed at the top, the mark for the needle's tip, the needle on magnetic north,
/// and an arrow the way to turn: counter-clockwise for west, clockwise for east (common practice).
///
/// # Units
/// Degrees.
///
/// # Degenerate input
/// Nothing to turn by (0°, or not a number): no arrow.
pub fn declination(circle: &Circle) -> String {
    let mut pen = Pen::new("declination", [-202.0, -234.0, 404.0, 420.0], 1.0);
    pen.text(
        "tx-word tx-mid fl-ink",
        18.0,
        (0.0, -217.0),
        "index, fixed on the case",
    );
    pen.raw("<path class=\"fl-ink\" d=\"M-13 -205H13L0 -177z\"/>");
    pen.put("<circle class=\"ln-ink\" stroke-width=\"4\" r=\"~\"/><circle class=\"ln-ink\" stroke-width=\"2\" r=\"~\"/>", &[CIRCLE, RING]);
    for (class, step_deg, length) in [
        ("<path class=\"ln-ink\" stroke-width=\"1.5\" d=\"", 2.0, 8.0),
        (
            "\"/><path class=\"ln-ink\" stroke-width=\"2.75\" d=\"",
            10.0,
            17.0,
        ),
    ] {
        pen.raw(class);
        let mut number_deg = 0.0;
        while number_deg < 360.0 {
            let place_deg = circle.place_deg(number_deg);
            let [x, y] = at(CIRCLE, place_deg);
            let [u, v] = at(CIRCLE - length, place_deg);
            pen.put("M~ ~L~ ~", &[x, y, u, v]);
            number_deg += step_deg;
        }
    }
    pen.raw("\"/><g class=\"tx-word tx-mid fl-ink\" font-size=\"18\">");
    let mut number_deg = 0.0;
    while number_deg < 360.0 {
        let place_deg = circle.place_deg(number_deg);
        pen.put(
            "<text transform=\"rotate(~)\" y=\"~\">~</text>",
            &[place_deg, -FIGURES + 6.0, number_deg],
        );
        number_deg += 30.0;
    }
    pen.raw("</g>");
    let mark_deg = circle.set_deg;
    let (point, foot) = MARK;
    pen.put(
        "<path class=\"ln-ink fl-here\" stroke-width=\"2\" stroke-linejoin=\"round\" transform=\"rotate(~)\" d=\"M0 ~L10 ~H-10z\"/>",
        &[mark_deg, -point, -foot],
    );
    let side = if circle.set_deg > 0.0 {
        1.0
    } else if circle.set_deg < 0.0 {
        -1.0
    } else {
        0.0
    };
    if side != 0.0 {
        let [x, y] = at(ARROW, -side * ARROW_FROM);
        let [u, v] = at(ARROW, side * ARROW_TO);
        let sweep = if side > 0.0 { 1.0 } else { 0.0 };
        pen.put(
            "<path class=\"turn ln-ink\" stroke-width=\"7\" d=\"M~ ~A~ ~ 0 0 ~ ~ ~\"/>",
            &[x, y, ARROW, ARROW, sweep, u, v],
        );
        let [x, y] = at(ARROW + 15.0, side * (ARROW_TO - 1.0));
        let [u, v] = at(ARROW - 15.0, side * (ARROW_TO - 1.0));
        let [tip_x, tip_y] = at(ARROW + 2.0, side * ARROW_TIP);
        pen.put(
            "<path class=\"tip fl-ink\" d=\"M~ ~L~ ~L~ ~z\"/>",
            &[x, y, u, v, tip_x, tip_y],
        );
    }
    pen.put(
        "<g class=\"needle\" transform=\"rotate(~)\"><path class=\"fl-ink\" d=\"M0 ~L10 0H-10z\"/>",
        &[circle.needle_deg, -NEEDLE],
    );
    pen.put(
        "<path class=\"ln-ink\" stroke-width=\"2\" d=\"M0 ~L10 0H-10z\"/></g>",
        &[NEEDLE],
    );
    pen.raw("<circle class=\"ln-ink fl-paper\" stroke-width=\"3.5\" r=\"8\"/>");
    pen.end()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn set(set_deg: f64, clockwise: bool) -> Circle {
        Circle {
            needle_deg: set_deg,
            set_deg,
            clockwise,
        }
    }

    /// Parses a drawing and gives the numbers of an attribute of the first part that fits.
    fn numbers(svg: &str, fits: impl Fn(&roxmltree::Node) -> bool, attribute: &str) -> Vec<f64> {
        let document = roxmltree::Document::parse(svg).unwrap();
        let part = document.descendants().find(|node| fits(node));
        let text = part
            .and_then(|node| node.attribute(attribute))
            .unwrap_or_default()
            .to_owned();
        text.split(|c: char| !(c.is_ascii_digit() || c == '.' || c == '-'))
            .filter_map(|piece| piece.parse().ok())
            .collect()
    }

    fn class(svg: &str, class: &str, attribute: &str) -> Vec<f64> {
        let has = |node: &roxmltree::Node| {
            node.attribute("class")
                .is_some_and(|names| names.split(' ').any(|name| name == class))
        };
        numbers(svg, has, attribute)
    }

    /// Where a figure stands, degrees clockwise from the index.
    fn figure(svg: &str, figure: &str) -> f64 {
        numbers(svg, |node| node.text() == Some(figure), "transform")[0].rem_euclid(360.0)
    }

    #[test]
    fn the_index_reads_348_and_a_half_for_eleven_and_a_half_west() {
        // 360 less 11½: what the figures of the circle come to under the index.
        for clockwise in [false, true] {
            assert_eq!(set(-11.5, clockwise).reading_deg(), 348.5);
            assert_eq!(set(8.0, clockwise).reading_deg(), 8.0);
            assert_eq!(set(0.0, clockwise).reading_deg(), 0.0);
        }
    }

    #[test]
    fn the_number_under_the_index_is_the_one_that_the_figures_give() {
        // Interpolated between the two neighbouring figures of the drawing, not computed from the setting.
        for set_deg in [-11.5, 8.0, -179.0, 30.0, 0.25] {
            let svg = declination(&set(set_deg, false));
            let (mut low, mut high) = (None, None);
            for nth in 0..12 {
                let number = f64::from(nth * 30);
                // Counter-clockwise numbers: those still to come stand to the left of the index.
                let from_index = (-figure(&svg, &format!("{number}"))).rem_euclid(360.0);
                if from_index < 30.0 {
                    high = Some((number, from_index));
                } else if from_index >= 330.0 {
                    low = Some((number, 360.0 - from_index));
                }
            }
            let read = match (low, high) {
                (_, Some((number, ahead))) => number - ahead,
                (Some((number, past)), None) => number + past,
                (None, None) => panic!("no figure near the index"),
            };
            let off = (read - set(set_deg, false).reading_deg()).rem_euclid(360.0);
            assert!(off.min(360.0 - off) < 0.02, "{set_deg}: {read}");
        }
    }

    #[test]
    fn the_needle_stands_over_the_zero_of_a_circle_that_is_set_right() {
        for set_deg in [-11.5, 8.0] {
            let svg = declination(&set(set_deg, false));
            let needle = class(&svg, "needle", "transform")[0];
            assert_eq!(needle.rem_euclid(360.0), figure(&svg, "0"));
            assert_eq!(needle, class(&svg, "fl-here", "transform")[0]);
        }
        // Numbers that run clockwise stay; the mark is turned to the declination among them.
        let svg = declination(&set(-11.5, true));
        assert_eq!(figure(&svg, "0"), 0.0);
        assert_eq!(figure(&svg, "30"), 30.0);
        assert_eq!(class(&svg, "fl-here", "transform"), [-11.5]);
    }

    #[test]
    fn counter_clockwise_numbers_run_to_the_left() {
        let svg = declination(&set(0.0, false));
        assert_eq!((figure(&svg, "30"), figure(&svg, "330")), (330.0, 30.0));
    }

    #[test]
    fn west_turns_counter_clockwise_and_east_clockwise() {
        for clockwise in [false, true] {
            for (set_deg, to) in [(-11.5, -1.0), (8.0, 1.0)] {
                let svg = declination(&set(set_deg, clockwise));
                // Over the top of the circle: to the left is counter-clockwise.
                let head = class(&svg, "tip", "d");
                let body = class(&svg, "turn", "d");
                assert!(head[4] * to > 0.0 && body[0] * to < 0.0, "{set_deg}: {svg}");
                // The sweep flag of the arc agrees: 1 is clockwise on the page (SVG 1.1, section 8.3.8).
                assert_eq!(body[6], if to > 0.0 { 1.0 } else { 0.0 });
            }
        }
    }

    #[test]
    fn nothing_to_turn_by_has_no_arrow() {
        for set_deg in [0.0, f64::NAN] {
            let svg = declination(&Circle {
                needle_deg: -11.5,
                set_deg,
                clockwise: false,
            });
            assert!(class(&svg, "turn", "d").is_empty());
            assert_eq!(class(&svg, "needle", "transform"), [-11.5]);
        }
    }
}
