//! The spread of the shots about their mean, against what is expected of them.

use super::pen::Pen;

/// The spread: a ring at once, a dashed one at twice the shot's own ±, and a numbered disc for each shot.
///
/// # Units
/// Degrees off the mean: to the right and up.
///
/// # Degenerate input
/// No shots: the rings alone. A shot beyond twice the expected: the rings shrink until it is on the paper. Nothing
/// expected (zero or less): taken as 1°.
pub fn spread(expected_deg: f64, offsets_deg: &[(f64, f64)], struck: &[bool]) -> String {
    let expected_deg = if expected_deg > 0.0 {
        expected_deg
    } else {
        1.0
    };
    let furthest_deg = offsets_deg
        .iter()
        .map(|&(right_deg, up_deg)| right_deg.hypot(up_deg))
        .fold(2.0 * expected_deg, f64::max);
    let unit = 50.0 / furthest_deg;
    let ring = unit * expected_deg;
    let mut pen = Pen::new("spread", [-60.0, -60.0, 120.0, 120.0], 1.0);
    pen.put(
        "<circle class=\"ln-ink\" stroke-width=\"1.3\" r=\"~\"/>",
        &[ring],
    );
    pen.put(
        "<circle class=\"ln-ink\" stroke-width=\"1.3\" stroke-dasharray=\"4 3\" r=\"~\"/>",
        &[2.0 * ring],
    );
    let mut number = 0.0;
    for (nth, &(right_deg, up_deg)) in offsets_deg.iter().enumerate() {
        number += 1.0;
        let (x, y) = (right_deg * unit, -up_deg * unit);
        let out = struck.get(nth) == Some(&true);
        let (disc, figure) = if out {
            ("ln-rule fl-paper", "tx-word tx-mid fl-soft")
        } else {
            ("fl-live", "tx-word tx-mid fl-paper")
        };
        pen.raw("<circle stroke-width=\"1.5\" class=\"")
            .raw(disc)
            .put("\" cx=\"~\" cy=\"~\" r=\"8.5\"/>", &[x, y]);
        pen.text(figure, 13.0, (x, y + 4.7), &Pen::whole(number, 1));
        if out {
            pen.put(
                "<path class=\"ln-soft\" stroke-width=\"2\" d=\"M~ ~h20\"/>",
                &[x - 10.0, y],
            );
        }
    }
    pen.end()
}
