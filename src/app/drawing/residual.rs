//! How far dials are off, as multiples of their own ±: the bar of one dial, and the small bars of all of them.

use super::pen::Pen;

/// How far the scale is drawn to each side of its middle, and where its last tall tick stands: multiples of the own ±.
const EDGE: f64 = 4.48;
const TALL: f64 = 4.0;

/// The residual of one dial to draw, as multiples of its own ±.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct ResidualBar {
    /// As it was read; nothing is drawn where that is not known.
    pub read: Option<f64>,
    /// After the best explanation: a hollow bar below.
    pub after: Option<f64>,
    /// Width in pixels.
    pub width_px: f64,
    /// Whether it is drawn for a phone: 50 px high instead of 58.
    pub phone: bool,
}

/// The bar of one dial on a scale of four times its own ±, with the band of twice; a bar beyond four is cut by two slashes.
///
/// # Units
/// Multiples of the dial's own standard deviation; positive to the right.
///
/// # Degenerate input
/// What is not known is left out; a bar under 3 px is drawn 3 px wide, so that it is seen to be there.
pub fn residual_bar(bar: &ResidualBar) -> String {
    let width = bar.width_px.max(0.0);
    let height = if bar.phone { 50.0 } else { 58.0 };
    let (middle, axis) = (width / 2.0, height / 2.0);
    let unit = middle / EDGE;
    let mut pen = Pen::new("residual-bar", [0.0, 0.0, width, height], 1.0);
    pen.put(
        "<rect class=\"fl-d2\" x=\"~\" y=\"~\" width=\"~\" height=\"40\"/>",
        &[middle - 2.0 * unit, axis - 20.0, 4.0 * unit],
    );
    pen.put(
        "<path class=\"ln-ink\" stroke-width=\"1.5\" d=\"M0 ~H~",
        &[axis, width],
    );
    for step in -4..=4 {
        let half = match step {
            -4 | 4 => 11.0,
            -2 | 2 => 8.0,
            0 => 15.0,
            _ => 4.0,
        };
        pen.put(
            "M~ ~v~",
            &[middle + f64::from(step) * unit, axis - half, 2.0 * half],
        );
    }
    pen.raw("\"/>");
    if let Some(read) = bar.read {
        one(&mut pen, "fl-ink", read, middle, unit, axis - 14.0);
    }
    if let Some(after) = bar.after {
        one(&mut pen, "ln-ink fl-paper", after, middle, unit, axis + 4.0);
    }
    pen.end()
}

/// One bar, 10 px high, from the middle outwards.
fn one(pen: &mut Pen, class: &str, times: f64, middle: f64, unit: f64, top: f64) {
    // Not `clamp`: its panic would bring the printing of floats, 20 kB of wasm.
    let long = (times.abs().min(EDGE) * unit).max(3.0);
    let right = times >= 0.0;
    let left = if right { middle } else { middle - long };
    pen.raw("<rect stroke-width=\"1.5\" class=\"")
        .raw(class)
        .put(
            "\" x=\"~\" y=\"~\" width=\"~\" height=\"10\"/>",
            &[left, top, long],
        );
    if times.abs() > TALL {
        // Two slashes of paper, leaning to the right on either side.
        let end = middle + if right { TALL * unit } else { -TALL * unit };
        for slash in [end - 6.0, end + 2.0] {
            pen.put(
                "<path class=\"fl-paper\" d=\"M~ ~l5-12h3l-5 12z\"/>",
                &[slash - 2.5, top + 11.0],
            );
        }
    }
}

/// The piece of line between a dial and its bar: solid, or broken by a question mark.
///
/// # Units
/// Pixels; 58 high.
///
/// # Degenerate input
/// Where there is no room for line and question mark, the question mark stands alone.
pub fn residual_link(width_px: f64, doubted: bool) -> String {
    let width = width_px.max(0.0);
    let middle = width / 2.0;
    let mut pen = Pen::new("residual-link", [0.0, 0.0, width, 58.0], 1.0);
    if !doubted {
        pen.put(
            "<path class=\"ln-ink\" stroke-width=\"4\" d=\"M0 29H~\"/>",
            &[width],
        );
    } else {
        if width > 30.0 {
            pen.put(
                "<path class=\"ln-ink\" stroke-width=\"4\" d=\"M0 29H~M~ 29H~\"/>",
                &[middle - 11.0, middle + 11.0, width],
            );
        }
        pen.text("tx-dial tx-mid fl-ink", 26.0, (middle, 37.0), "?");
    }
    pen.end()
}

/// The small bars of all dials after an explanation, 62 × 40 px, with dotted lines at twice the own ±.
///
/// # Units
/// Multiples of each dial's own standard deviation; positive upwards, cut at four.
///
/// # Degenerate input
/// No dials: the lines alone.
pub fn small_bars(times: &[f64]) -> String {
    let mut pen = Pen::new("small-bars", [0.0, 0.0, 62.0, 40.0], 1.0);
    pen.raw("<path class=\"ln-soft\" stroke-width=\"1.5\" stroke-dasharray=\"2 2\" d=\"M0 10H62M0 30H62\"/>")
        .raw("<path class=\"ln-ink\" stroke-width=\"1.5\" d=\"M0 20H62\"/>");
    let count = u32::try_from(times.len()).map_or(1.0, |n| f64::from(n.max(1)));
    let step = 62.0 / count;
    let wide = (0.66 * step).min(9.0);
    let mut at = (step - wide) / 2.0;
    for &times in times {
        let high = (times.abs().min(4.0) * 5.0).max(1.0);
        let top = if times >= 0.0 { 20.0 - high } else { 20.0 };
        pen.put(
            "<rect class=\"fl-ink\" x=\"~\" y=\"~\" width=\"~\" height=\"~\"/>",
            &[at, top, wide, high],
        );
        at += step;
    }
    pen.end()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The rectangles: x, y, width, class.
    fn rects(svg: &str) -> Vec<(f64, f64, f64, String)> {
        let document = roxmltree::Document::parse(svg).unwrap();
        let number =
            |node: roxmltree::Node, name| node.attribute(name).unwrap().parse::<f64>().unwrap();
        document
            .descendants()
            .filter(|node| node.has_tag_name("rect"))
            .map(|node| {
                let class = node.attribute("class").unwrap().to_owned();
                (
                    number(node, "x"),
                    number(node, "y"),
                    number(node, "width"),
                    class,
                )
            })
            .collect()
    }

    fn bar(read: f64, after: Option<f64>) -> String {
        residual_bar(&ResidualBar {
            read: Some(read),
            after,
            width_px: 2.0 * EDGE * 30.0,
            phone: false,
        })
    }

    #[test]
    fn bars_stand_to_the_scale_of_the_band() {
        let svg = bar(3.0, Some(-1.0));
        let found = rects(&svg);
        let middle = EDGE * 30.0;
        // The band is twice to either side.
        assert!((found[0].0 - (middle - 60.0)).abs() < 0.01 && (found[0].2 - 120.0).abs() < 0.01);
        // Three times, to the right; once, to the left, hollow and below.
        assert!((found[1].0 - middle).abs() < 0.01 && (found[1].2 - 90.0).abs() < 0.01);
        assert!((found[2].0 - (middle - 30.0)).abs() < 0.01 && (found[2].2 - 30.0).abs() < 0.01);
        assert!(found[2].1 > found[1].1 && found[2].3.contains("fl-paper"));
        assert!(!svg.contains("l5-12"), "no slash within four times");
    }

    #[test]
    fn beyond_four_times_a_bar_is_cut_by_two_slashes() {
        assert_eq!(bar(21.0, Some(0.5)).matches("l5-12").count(), 2);
        assert_eq!(bar(-21.0, None).matches("l5-12").count(), 2);
        assert_eq!(rects(&bar(21.0, None))[1].2, rects(&bar(400.0, None))[1].2);
    }

    #[test]
    fn a_doubted_dial_asks_on_any_glass() {
        assert!(residual_link(44.0, true).contains(">?<"));
        assert!(residual_link(20.0, true).contains(">?<"));
        assert!(!residual_link(44.0, false).contains(">?<"));
    }

    #[test]
    fn small_bars_are_cut_at_four_and_stand_up_or_down() {
        let found = rects(&small_bars(&[2.0, -2.0, 9.0, 0.0, 1.0]));
        assert_eq!(found.len(), 5);
        assert_eq!(
            (found[0].1, found[1].1, found[2].1),
            (10.0, 20.0, 0.0),
            "{found:?}"
        );
        assert!(
            found
                .iter()
                .all(|bar| bar.0 >= 0.0 && bar.0 + bar.2 <= 62.0)
        );
        assert!(rects(&small_bars(&[])).is_empty());
    }
}
