//! Map symbols, north up, in a strike line of 52 units.
//!
//! The shapes follow FGDC-STD-013-2006 from memory: its plates were not at hand when they were drawn.
//! Where the memory gives no shape of its own (vein, dyke, contact, axial plane) the plain strike and tick is used, a
//! dyke as two lines, which is our own choice. The view box is 72 units square where figures or question marks stand
//! beyond the tick, and 62 where the symbol is alone.

use super::pen::{Pen, sin_cos};

/// The paper of a symbol with room for figures, shown at 108 px beside the dials.
const WIDE: ([f64; 4], f64) = ([-36.0, -36.0, 72.0, 72.0], 108.0 / 72.0);
/// The paper of a symbol alone, shown at 40 px in a line of text.
const NARROW: ([f64; 4], f64) = ([-31.0, -31.0, 62.0, 62.0], 40.0 / 62.0);
/// From here on an angle rounds to the figure of a vertical or a horizontal plane.
const HALF_DEG: f64 = 0.5;

/// What a kind's plane is marked with: the side of the dip, both sides, and how far the mark reaches.
struct Mark {
    strike: &'static str,
    dip: &'static str,
    reach: f64,
}

/// The mark of a kind, found by the words in its name; what is vertical is neither upright nor overturned.
fn mark(kind: &str, vertical: bool) -> Mark {
    let kind = kind.to_ascii_lowercase();
    let is = |word: &str| kind.contains(word);
    let strike = "M0-26V26";
    let plain = Mark {
        strike,
        dip: "<path d=\"M0 0H9\"/>",
        reach: 9.0,
    };
    if is("overturned") && !vertical {
        Mark {
            dip: "<path d=\"M0-6H-5a4.5 4.5 0 000 8H9\"/>",
            ..plain
        }
    } else if is("cleavage") {
        Mark {
            dip: "<path d=\"M0-6H8V6H0\"/>",
            reach: 8.0,
            ..plain
        }
    } else if is("foliation") || is("schistosity") || is("gneiss") {
        Mark {
            dip: "<path fill=\"currentColor\" d=\"M0-6L9 0L0 6z\"/>",
            ..plain
        }
    } else if is("joint") || is("fracture") {
        Mark {
            dip: "<path fill=\"currentColor\" d=\"M0-4.5H7V4.5H0z\"/>",
            reach: 8.0,
            ..plain
        }
    } else if is("fault") {
        Mark {
            dip: "<path d=\"M0 0H13\"/><path fill=\"currentColor\" stroke=\"none\" d=\"M17 0L9-4.5V4.5z\"/>",
            reach: 17.0,
            ..plain
        }
    } else if is("dyke") || is("dike") {
        Mark {
            strike: "M-2.5-26V26M2.5-26V26",
            dip: "<path d=\"M2.5 0H11\"/>",
            reach: 11.0,
        }
    } else {
        plain
    }
}

/// The map symbol of a plane, from memory of FGDC-STD-013-2006.
///
/// # Units
/// Right-hand strike and dip in degrees; the tick stands to the right of the strike.
///
/// # Degenerate input
/// No strike: a dotted ring, as nothing is there yet. A dip that rounds to 0, or less: the horizontal form, which
/// needs no strike; to 90, or more: the vertical form, on both sides. `toward_known` false: the tick is dashed both
/// ways between two question marks. A kind without a shape of its own: the plain strike and tick.
pub fn symbol(
    kind: &str,
    strike_deg: Option<f64>,
    dip_deg: Option<f64>,
    toward_known: bool,
    figures: bool,
    struck: bool,
) -> String {
    let horizontal = dip_deg.is_some_and(|dip_deg| dip_deg < HALF_DEG);
    let vertical = dip_deg.is_some_and(|dip_deg| dip_deg >= 90.0 - HALF_DEG);
    let asks = !toward_known && !horizontal && !vertical && strike_deg.is_some();
    let mark = mark(kind, vertical);
    let mut pen = open(figures || asks, struck);
    match strike_deg {
        _ if horizontal => {
            pen.raw("<circle r=\"9\"/><path d=\"M-18 0H18M0-18V18\"/>");
        }
        None => {
            pen.raw("<circle r=\"26\" stroke-dasharray=\"2.4 4\"/>");
        }
        Some(strike_deg) => {
            pen.put("<g transform=\"rotate(~)\"><path d=\"", &[strike_deg])
                .raw(mark.strike)
                .raw("\"/>");
            if vertical {
                pen.raw(mark.dip)
                    .raw("<g transform=\"rotate(180)\">")
                    .raw(mark.dip)
                    .raw("</g>");
            } else if asks {
                pen.raw("<path d=\"M-12 0H12\" stroke-dasharray=\"3.5 2.2\"/>");
            } else {
                pen.raw(mark.dip);
            }
            pen.raw("</g>");
            let dip_toward_deg = strike_deg + 90.0;
            if asks {
                figure(&mut pen, dip_toward_deg, 24.0, "?");
                figure(&mut pen, dip_toward_deg, -24.0, "?");
            } else if let Some(dip_deg) = dip_deg.filter(|_| figures && !vertical) {
                figure(
                    &mut pen,
                    dip_toward_deg,
                    (mark.reach + 13.0).min(28.0),
                    &Pen::whole(dip_deg, 2),
                );
            }
        }
    }
    pen.raw("</g>");
    pen.end()
}

/// The map symbol of a line: an arrow down its plunge, from memory of FGDC-STD-013-2006.
///
/// # Units
/// Trend and plunge in degrees; a plunge under zero points up, and its figure says so.
///
/// # Degenerate input
/// A plunge that rounds to 0: heads at both ends; to 90: a ringed point, where the trend means nothing.
pub fn line_symbol(trend_deg: f64, plunge_deg: Option<f64>, figures: bool, struck: bool) -> String {
    let mut pen = open(figures, struck);
    if plunge_deg.is_some_and(|plunge_deg| plunge_deg >= 90.0 - HALF_DEG) {
        pen.raw("<circle r=\"9\"/><circle r=\"3\" fill=\"currentColor\"/></g>");
        return pen.end();
    }
    let horizontal = plunge_deg.is_some_and(|plunge_deg| plunge_deg.abs() < HALF_DEG);
    let figures = figures && !horizontal;
    // With figures the arrow makes room for them.
    let shift = if figures && plunge_deg.is_some() {
        6.0
    } else {
        0.0
    };
    let head = "<path fill=\"currentColor\" stroke=\"none\" d=\"M0-26L5-15.6H-5z\"/>";
    pen.put(
        "<g transform=\"rotate(~)translate(0 ~)\">",
        &[trend_deg, shift],
    )
    .raw(head);
    if horizontal {
        pen.raw("<g transform=\"rotate(180)\">")
            .raw(head)
            .raw("</g><path d=\"M0 18.7V-18.7\"/></g>");
    } else {
        pen.raw("<path d=\"M0 18.2V-18.7\"/></g>");
    }
    if let Some(plunge_deg) = plunge_deg.filter(|_| figures) {
        figure(&mut pen, trend_deg, 27.0, &Pen::whole(plunge_deg, 2));
    }
    pen.raw("</g>");
    pen.end()
}

fn open(wide: bool, struck: bool) -> Pen {
    let (view, zoom) = if wide { WIDE } else { NARROW };
    let mut pen = Pen::new(if struck { "symbol struck" } else { "symbol" }, view, zoom);
    pen.raw("<g fill=\"none\" stroke=\"currentColor\" stroke-width=\"2.4\">");
    pen
}

/// Bold figures centred at a distance in a direction.
fn figure(pen: &mut Pen, toward_deg: f64, distance: f64, words: &str) {
    let (sin, cos) = sin_cos(toward_deg);
    pen.text(
        "tx-dial tx-mid fl-text",
        13.5,
        (distance * sin, -distance * cos + 4.9),
        words,
    );
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Where a text is written.
    fn text_at(svg: &str, words: &str) -> (f64, f64) {
        let document = roxmltree::Document::parse(svg).unwrap();
        let text = document
            .descendants()
            .find(|node| node.text() == Some(words))
            .expect("the figures");
        let text = if text.is_text() {
            text.parent().expect("an element")
        } else {
            text
        };
        let number = |name| {
            text.attribute(name)
                .expect("has it")
                .parse::<f64>()
                .unwrap()
        };
        (number("x"), number("y") - 4.9)
    }

    #[test]
    fn the_figures_stand_to_the_right_of_the_strike() {
        // North-east strike, dip to the south-east: right and down on the paper.
        let (x, y) = text_at(
            &symbol("bedding", Some(45.0), Some(5.0), true, true, false),
            "05",
        );
        assert!(x > 10.0 && y > 10.0, "{x} {y}");
        let (x, y) = text_at(
            &symbol("bedding", Some(225.0), Some(36.4), true, true, false),
            "36",
        );
        assert!(x < -10.0 && y < -10.0, "{x} {y}");
        let (x, y) = text_at(&line_symbol(90.0, Some(15.0), true, false), "15");
        assert!(x > 16.0 && y.abs() < 0.01, "{x} {y}");
    }

    #[test]
    fn a_side_that_is_not_known_is_asked_for_on_both() {
        let svg = symbol("bedding", Some(62.0), Some(35.0), false, true, false);
        assert_eq!(svg.matches(">?</text>").count(), 2);
        assert!(!svg.contains(">35</text>") && svg.contains("stroke-dasharray"));
    }

    #[test]
    fn horizontal_and_vertical_planes_have_their_own_forms() {
        let at =
            |strike_deg, dip_deg| symbol("bedding", strike_deg, Some(dip_deg), true, true, false);
        assert_eq!(
            at(Some(62.0), 0.0),
            at(None, 0.4),
            "a horizontal plane has no strike"
        );
        assert_ne!(at(Some(62.0), 0.6), at(None, 0.6));
        assert!(
            at(Some(62.0), 90.0).contains("rotate(180)") && !at(Some(62.0), 90.0).contains("<text")
        );
        assert!(at(Some(62.0), 89.4).contains(">89</text>"));
        // Which side a vertical plane dips is not asked.
        assert_eq!(
            at(Some(62.0), 90.0),
            symbol("bedding", Some(62.0), Some(90.0), false, true, false)
        );
    }

    #[test]
    fn kinds_are_told_apart_and_unknown_ones_are_plain() {
        let of = |kind| symbol(kind, Some(62.0), Some(36.0), true, false, false);
        let kinds = [
            "bedding",
            "overturned bedding",
            "cleavage",
            "foliation",
            "joint",
            "fault",
            "dyke",
        ];
        for (nth, kind) in kinds.iter().enumerate() {
            for other in &kinds[..nth] {
                assert_ne!(of(kind), of(other));
            }
        }
        assert_eq!(of("Joint"), of("joint"));
        assert_eq!(of("some kind of one's own"), of("bedding"));
    }

    #[test]
    fn a_level_line_points_both_ways_and_a_vertical_one_nowhere() {
        assert_eq!(
            line_symbol(40.0, Some(0.2), false, false)
                .matches("M0-26")
                .count(),
            2
        );
        assert_eq!(
            line_symbol(40.0, Some(90.0), true, false),
            line_symbol(300.0, Some(89.8), true, false)
        );
    }
}
