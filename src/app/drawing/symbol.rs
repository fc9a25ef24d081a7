//! Map symbols, north up, in a strike line of 52 units.
//!
//! The shapes follow FGDC-STD-013-2006 from memory: its plates were not at hand when they were drawn.
//! Where the memory gives no shape of its own (vein, dyke, contact, axial plane) the plain strike and tick is used, a
//! dyke as two lines, which is our own choice.

use super::pen::{Pen, sin_cos};

const VIEW: [f64; 4] = [-44.0, -44.0, 88.0, 88.0];
/// From here on an angle rounds to the figure of a vertical or a horizontal plane.
const HALF_DEG: f64 = 0.5;

/// What a kind's plane is marked with: the side of the dip, both sides, and how far the mark reaches.
struct Mark {
    strike: &'static str,
    dip: &'static str,
    reach: f64,
}

/// The mark of a kind, found by the words in its name.
fn mark(kind: &str) -> Mark {
    let kind = kind.to_lowercase();
    let is = |word: &str| kind.contains(word);
    let strike = "M0-26V26";
    let plain = Mark {
        strike,
        dip: "<path d=\"M0 0H9\"/>",
        reach: 9.0,
    };
    if is("overturned") {
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
/// No strike: a dotted ring, as nothing is there yet. A dip that rounds to 0: the horizontal form, which needs no
/// strike; to 90: the vertical form, on both sides. `toward_known` false: the tick is dashed both ways between two
/// question marks. A kind without a shape of its own: the plain strike and tick.
pub fn symbol(
    kind: &str,
    strike_deg: Option<f64>,
    dip_deg: Option<f64>,
    toward_known: bool,
    figures: bool,
    struck: bool,
) -> String {
    let mut pen = open(struck);
    let mark = mark(kind);
    let horizontal = dip_deg.is_some_and(|dip_deg| dip_deg < HALF_DEG);
    let vertical = dip_deg.is_some_and(|dip_deg| dip_deg >= 90.0 - HALF_DEG);
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
            } else if toward_known {
                pen.raw(mark.dip);
            } else {
                pen.raw("<path d=\"M-14 0H14\" stroke-dasharray=\"4 2.5\"/>");
            }
            pen.raw("</g>");
            let dip_toward_deg = strike_deg + 90.0;
            if vertical || horizontal {
            } else if !toward_known {
                figure(&mut pen, dip_toward_deg, 28.0, "?");
                figure(&mut pen, dip_toward_deg, -28.0, "?");
            } else if let Some(dip_deg) = dip_deg.filter(|_| figures) {
                figure(
                    &mut pen,
                    dip_toward_deg,
                    mark.reach + 17.0,
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
    let mut pen = open(struck);
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
        figure(&mut pen, trend_deg, 32.0, &Pen::whole(plunge_deg, 2));
    }
    pen.raw("</g>");
    pen.end()
}

fn open(struck: bool) -> Pen {
    let mut pen = Pen::new(if struck { "symbol struck" } else { "symbol" }, VIEW, 0.5);
    pen.raw("<g fill=\"none\" stroke=\"currentColor\" stroke-width=\"2.4\">");
    pen
}

/// Bold figures centred at a distance in a direction.
fn figure(pen: &mut Pen, toward_deg: f64, distance: f64, words: &str) {
    let (sin, cos) = sin_cos(toward_deg);
    pen.text(
        "tx-dial tx-mid fl-text",
        16.0,
        (distance * sin, -distance * cos + 5.8),
        words,
    );
}
