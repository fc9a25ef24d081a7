//! The disc of a side key: which way the plane dips from its strike.

use super::pen::Pen;

/// The disc of a side key: the strike line at its azimuth, the half towards the dip filled, an arrow down dip.
///
/// A key of the class `waiting` or `chosen` recolours the half; line and arrow are `currentColor`.
///
/// # Units
/// The strike in degrees as it was read, either end; `right` says on which side of it the plane would dip.
///
/// # Degenerate input
/// No strike yet: a dashed ring.
pub fn side_disc(strike_deg: Option<f64>, right: bool) -> String {
    let mut pen = Pen::new("side-disc", [-48.0, -48.0, 96.0, 96.0], 1.0);
    match strike_deg {
        None => {
            pen.raw("<circle r=\"36\" class=\"ln-soft\" stroke-width=\"3\" stroke-dasharray=\"6 5.3\"/>");
        }
        Some(strike_deg) => {
            // Turned half round, the other end of the strike has its other side on the right.
            pen.put(
                "<g transform=\"rotate(~)\">",
                &[if right {
                    strike_deg
                } else {
                    strike_deg + 180.0
                }],
            );
            pen.raw(
                "<path class=\"side-half\" d=\"M0-40A40 40 0 010 40z\"/>\
                 <path fill=\"none\" stroke=\"currentColor\" stroke-width=\"5\" d=\"M0-47V47M0 0H22\"/>\
                 <path fill=\"currentColor\" d=\"M35 0L20-9V9z\"/></g>",
            );
        }
    }
    pen.end()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn either_end_of_the_strike_shows_the_same_two_sides() {
        assert_eq!(side_disc(Some(62.0), false), side_disc(Some(242.0), true));
        assert_ne!(side_disc(Some(62.0), false), side_disc(Some(62.0), true));
    }

    #[test]
    fn without_a_strike_there_is_no_side() {
        assert_eq!(side_disc(None, true), side_disc(None, false));
        assert!(!side_disc(None, true).contains("side-half"));
    }
}
