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
