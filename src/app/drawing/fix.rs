//! The fix of a station: how well its place is known, to scale.

use super::pen::Pen;

/// The fix of a station: a cross, a dashed ring at 10 m, and the ring of its accuracy to the same scale.
///
/// # Units
/// Metres.
///
/// # Degenerate input
/// No accuracy: no ring and a question mark. One over 10 m: the drawing is scaled down until it fits.
pub fn fix(accuracy_m: Option<f64>) -> String {
    let accuracy_m = accuracy_m.filter(|accuracy_m| *accuracy_m > 0.0);
    let unit = 62.0 / accuracy_m.unwrap_or(0.0).max(10.0);
    let ten = 10.0 * unit;
    let mut pen = Pen::new("fix", [-72.0, -72.0, 160.0, 144.0], 1.0);
    if let Some(accuracy_m) = accuracy_m {
        pen.put(
            "<circle class=\"ln-ink fl-d2\" stroke-width=\"2.2\" r=\"~\"/>",
            &[accuracy_m * unit],
        );
    }
    pen.put(
        "<circle class=\"ln-rule\" stroke-width=\"1.6\" stroke-dasharray=\"5 4\" r=\"~\"/>",
        &[ten],
    );
    pen.raw("<path class=\"ln-ink\" stroke-width=\"1.6\" d=\"M-69 0H-10M10 0H69M0-69V-10M0 10V69\"/><circle class=\"fl-ink\" r=\"4.3\"/>");
    match accuracy_m {
        Some(accuracy_m) => {
            let mut label = Pen::whole(accuracy_m, 1);
            label.push_str(" m");
            pen.text("tx-dial fl-ink halo", 18.0, (22.0, -27.0), &label);
        }
        None => {
            pen.text("tx-dial fl-ink halo", 24.0, (14.0, -14.0), "?");
        }
    }
    pen.text(
        "tx-dial fl-ink halo",
        18.0,
        (ten * 0.6, ten * 0.6 + 26.0),
        "10 m",
    );
    pen.end()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The radii of the circle in the class.
    fn radius(svg: &str, class: &str) -> Option<f64> {
        let document = roxmltree::Document::parse(svg).unwrap();
        let ring = document
            .descendants()
            .find(|node| node.attribute("class") == Some(class))?;
        ring.attribute("r")?.parse().ok()
    }

    #[test]
    fn both_rings_are_to_one_scale_and_fit() {
        for accuracy_m in [0.5, 4.0, 10.0, 25.0, 4_000.0] {
            let svg = fix(Some(accuracy_m));
            let own = radius(&svg, "ln-ink fl-d2").expect("the ring of the accuracy");
            let ten = radius(&svg, "ln-rule").expect("the ring at 10 m");
            assert!(
                (own / ten - accuracy_m / 10.0).abs() < 0.05 * accuracy_m / 10.0,
                "{accuracy_m}: {own} {ten}"
            );
            assert!(own.max(ten) <= 62.0);
        }
    }

    #[test]
    fn no_accuracy_is_a_question() {
        for accuracy_m in [None, Some(0.0), Some(-3.0), Some(f64::NAN)] {
            let svg = fix(accuracy_m);
            assert_eq!(radius(&svg, "ln-ink fl-d2"), None);
            assert!(svg.contains(">?</text>"));
        }
    }
}
