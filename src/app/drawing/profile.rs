//! The profile of a sighting: the line of sight, its level distance and its rise.

use super::pen::{Pen, sin_cos};

/// Steeper sights are drawn no steeper than this, degrees, so that the drawing keeps its room.
const STEEPEST: f64 = 55.0;

/// The profile of a sighting from the left: the line of sight solid, the level line dashed, the rise dotted.
///
/// # Units
/// Degrees above the horizontal; the words are written beside their lines.
///
/// # Degenerate input
/// No vertical angle yet: the line is level and dashed. Level: there is no rise. Steeper than 55°: drawn at 55°.
pub fn profile(rise_deg: Option<f64>, sight: &str, level: &str, rise: &str) -> String {
    let (wide, high) = (300.0, 150.0);
    let mut pen = Pen::new("profile", [0.0, 0.0, wide, high], 1.0);
    let angle = rise_deg.unwrap_or(0.0);
    let angle = if angle < 0.0 {
        angle.max(-STEEPEST)
    } else {
        angle.min(STEEPEST)
    };
    let (sin, cos) = sin_cos(angle);
    let room = 196.0;
    let length = if sin.abs() * room > 78.0 * cos {
        78.0 / sin.abs()
    } else {
        room / cos
    };
    let (across, up) = (length * cos, length * sin);
    let (left, base) = (22.0, high / 2.0 + up / 2.0 + 6.0);
    let (right, top) = (left + across, base - up);
    if up.abs() > 1.0 {
        pen.put(
            "<path class=\"ln-ink\" stroke-width=\"1.6\" stroke-dasharray=\"7 5\" d=\"M~ ~H~\"/>",
            &[left, base, right],
        );
        pen.put(
            "<path class=\"ln-ink\" stroke-width=\"2\" stroke-dasharray=\"2 4\" d=\"M~ ~V~\"/>",
            &[right, base, top],
        );
    }
    pen.raw("<path class=\"ln-ink\" stroke-width=\"4\"")
        .raw(if rise_deg.is_none() {
            " stroke-dasharray=\"12 7\""
        } else {
            ""
        })
        .put(" d=\"M~ ~L~ ~\"/>", &[left, base, right, top]);
    pen.put(
        "<rect class=\"fl-ink\" x=\"~\" y=\"~\" width=\"12\" height=\"12\"/>",
        &[left - 6.0, base - 6.0],
    );
    pen.put(
        "<circle class=\"ln-ink fl-paper\" stroke-width=\"2.4\" cx=\"~\" cy=\"~\" r=\"6\"/>",
        &[right, top],
    );
    let middle = left + across / 2.0;
    let over = if up >= 0.0 { -14.0 } else { 26.0 };
    if !sight.is_empty() {
        let aside = if up.abs() > 24.0 { 30.0 } else { 0.0 };
        pen.text(
            "tx-dial tx-mid fl-ink halo",
            16.0,
            (middle - aside, f64::midpoint(base, top) + over),
            sight,
        );
    }
    if up.abs() > 1.0 && !level.is_empty() {
        let under = if up >= 0.0 { 22.0 } else { -10.0 };
        pen.text(
            "tx-dial tx-mid fl-ink halo",
            16.0,
            (middle, base + under),
            level,
        );
    }
    if up.abs() > 1.0 && !rise.is_empty() {
        pen.text(
            "tx-dial fl-ink halo",
            16.0,
            (right + 12.0, f64::midpoint(base, top) + 6.0),
            rise,
        );
    }
    pen.end()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::app::drawing::pen::numbers;

    #[test]
    fn the_target_stands_higher_for_a_sight_up_and_lower_for_one_down() {
        let y = |deg: f64| {
            let svg = profile(Some(deg), "", "", "");
            let station = numbers(&svg, "rect", "y")[0] + 6.0;
            let target = numbers(&svg, "circle", "cy")[0];
            station - target
        };
        assert!(y(20.0) > 30.0 && y(-20.0) < -30.0);
        assert!(y(0.0).abs() < 0.01);
        // The angle is drawn true up to its limit.
        let svg = profile(Some(30.0), "", "", "");
        let across = numbers(&svg, "circle", "cx")[0] - 22.0;
        assert!((y(30.0) / across - 3_f64.sqrt().recip()).abs() < 0.01);
    }

    #[test]
    fn everything_stays_within_its_room() {
        for deg in [-90.0, -60.0, -10.0, 0.0, 3.0, 45.0, 89.0, f64::NAN] {
            let svg = profile(Some(deg), "123 m", "120 m", "+20 m");
            for y in numbers(&svg, "circle", "cy")
                .into_iter()
                .chain(numbers(&svg, "rect", "y"))
            {
                assert!((6.0..=144.0).contains(&y), "{deg}: {y}");
            }
            assert!(numbers(&svg, "circle", "cx")[0] <= 230.0);
        }
        assert!(profile(None, "", "", "").contains("stroke-dasharray=\"12 7\""));
    }
}
