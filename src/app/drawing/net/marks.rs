//! The named marks of a net: discs and rings with their names, squares with a letter in them.

use super::super::lettering::directions;
use super::super::pen::Pen;
use super::{Frame, Mark, MarkForm, Net, project};
use crate::orientation::angle::degrees;

/// The named lines, their names towards the middle of the net; names that would meet are set apart.
pub(super) fn marks(pen: &mut Pen, net: &Net, frame: &Frame) {
    let radius = if net.small { 4.5 } else { 6.0 };
    let mut written: Vec<[f64; 2]> = Vec::new();
    let squares = squares(net, frame);
    for (mark, aside) in net.marks.iter().zip(&squares) {
        let [x, y] = frame.at(project(mark.trend_deg, mark.plunge_deg));
        match mark.form {
            MarkForm::Full => pen.put(
                "<circle class=\"fl-paper\" cx=\"~\" cy=\"~\" r=\"~\"/><circle class=\"fl-ink\" cx=\"~\" cy=\"~\" r=\"~\"/>",
                &[x, y, radius + 1.5, x, y, radius],
            ),
            MarkForm::Hollow => pen.put(
                "<circle class=\"ln-ink fl-paper\" stroke-width=\"2.2\" cx=\"~\" cy=\"~\" r=\"~\"/>",
                &[x, y, radius + 1.0],
            ),
            MarkForm::Dotted => pen.put(
                "<circle class=\"ln-ink\" stroke-width=\"2.2\" stroke-dasharray=\"2.5 2.5\" cx=\"~\" cy=\"~\" r=\"~\"/>",
                &[x, y, radius + 6.0],
            ),
            MarkForm::FullSquare | MarkForm::HollowSquare => {
                if *aside != [x, y] {
                    beside(pen, net.small, [x, y], *aside, mark.form);
                }
                square(pen, net.small, *aside, mark);
                continue;
            }
        };
        if mark.label.is_empty() {
            continue;
        }
        let size = if net.small { 13.0 } else { 16.0 };
        let right = x < frame.x;
        let mut base = y + if y < frame.y { 0.0 } else { size * 0.36 };
        if written.iter().any(|[_, other]| (base - other).abs() < size) {
            base += 1.3 * size;
        }
        written.push([x, base]);
        let (class, x) = if right {
            ("tx-word fl-ink halo", x + radius + 10.0)
        } else {
            ("tx-word tx-end fl-ink halo", x - radius - 6.0)
        };
        pen.text(class, size, (x, base), mark.label);
    }
}

/// Half of a square, and the size of the letter in it.
fn square_px(small: bool) -> (f64, f64) {
    if small { (8.0, 13.0) } else { (15.0, 22.0) }
}

/// Where each mark is drawn: a square that would meet another one stands beside its place, the others in theirs.
pub(super) fn squares(net: &Net, frame: &Frame) -> Vec<[f64; 2]> {
    let own: Vec<[f64; 2]> = net
        .marks
        .iter()
        .map(|mark| frame.at(project(mark.trend_deg, mark.plunge_deg)))
        .collect();
    let (half, _) = square_px(net.small);
    let wide = 2.0 * half + 5.0;
    let meet = |a: [f64; 2], b: [f64; 2], reach: f64| {
        (a[0] - b[0]).abs() < reach && (a[1] - b[1]).abs() < reach
    };
    let is_square = |i: usize| net.marks[i].form.is_square();
    let mut placed = own.clone();
    for i in (0..own.len()).filter(|&i| is_square(i)) {
        let others = || (0..own.len()).filter(|&other| other != i && is_square(other));
        let Some(nearest) = others().find(|&other| meet(own[i], own[other], wide)) else {
            continue;
        };
        // Away from the other; the first of two in one place goes to the left.
        let (dx, dy) = (own[i][0] - own[nearest][0], own[i][1] - own[nearest][1]);
        let away_deg = match (dx.hypot(dy) < 0.5, i < nearest) {
            (true, true) => 270.0,
            (true, false) => 90.0,
            (false, _) => degrees(dx.atan2(-dy)),
        };
        let found = [1.4, 2.0, 2.8].into_iter().find_map(|times| {
            let out = wide * times / 1.4 + half * 0.5;
            directions(away_deg)
                .map(|(east, south)| [own[i][0] + out * east, own[i][1] + out * south])
                .find(|place| {
                    let on_paper = place
                        .iter()
                        .all(|at| half + 2.0 <= *at && *at <= net.size_px - half - 2.0);
                    let clear = others().all(|other| {
                        let there = if other < i { placed[other] } else { own[other] };
                        !meet(*place, there, wide) && !meet(*place, own[other], half + 6.0)
                    });
                    on_paper && clear
                })
        });
        placed[i] = found.unwrap_or(own[i]);
    }
    placed
}

/// The place of a mark whose square stands beside it: a small disc or ring there, and a thin line to the square.
fn beside(pen: &mut Pen, small: bool, [x, y]: [f64; 2], aside: [f64; 2], form: MarkForm) {
    let radius = if small { 3.0 } else { 4.5 };
    pen.put(
        "<path class=\"ln-ink\" stroke-width=\"1.2\" d=\"M~ ~L~ ~\"/>",
        &[x, y, aside[0], aside[1]],
    );
    pen.put(
        "<circle class=\"fl-paper\" cx=\"~\" cy=\"~\" r=\"~\"/><circle class=\"",
        &[x, y, radius + 1.5],
    );
    pen.raw(if form == MarkForm::FullSquare {
        "fl-ink"
    } else {
        "ln-ink fl-paper"
    });
    pen.put(
        "\" stroke-width=\"1.6\" cx=\"~\" cy=\"~\" r=\"~\"/>",
        &[x, y, radius],
    );
}

/// A square on a ring of paper, its name in it.
fn square(pen: &mut Pen, small: bool, [x, y]: [f64; 2], mark: &Mark) {
    let (half, letter) = square_px(small);
    let (class, name) = match mark.form {
        MarkForm::FullSquare => ("fl-ink", "tx-word tx-mid fl-paper"),
        _ => ("ln-ink fl-paper", "tx-word tx-mid fl-ink"),
    };
    pen.put(
        "<rect class=\"fl-paper\" x=\"~\" y=\"~\" width=\"~\" height=\"~\"/>",
        &[
            x - half - 2.0,
            y - half - 2.0,
            2.0 * half + 4.0,
            2.0 * half + 4.0,
        ],
    );
    pen.raw("<rect class=\"").raw(class).put(
        "\" stroke-width=\"2.4\" x=\"~\" y=\"~\" width=\"~\" height=\"~\"/>",
        &[x - half, y - half, 2.0 * half, 2.0 * half],
    );
    pen.text(name, letter, (x, y + letter * 0.36), mark.label);
}

#[cfg(test)]
mod tests {
    use super::super::net;
    use super::*;

    /// Two versions of one plane a few degrees apart, in one place, and at the rim: both letters can be read.
    #[test]
    fn squares_that_would_meet_stand_beside_their_places() {
        for (a, b) in [
            ((100.0, 40.0), (103.0, 42.0)),
            ((100.0, 40.0), (100.0, 40.0)),
            ((270.0, 1.0), (272.0, 2.0)),
            ((0.0, 90.0), (0.0, 89.0)),
        ] {
            for (small, size_px, half) in [(true, 160.0, 8.0), (false, 300.0, 15.0)] {
                let mark = |(trend_deg, plunge_deg), label, form| Mark {
                    trend_deg,
                    plunge_deg,
                    label,
                    form,
                };
                let marks = [
                    mark(a, "A", MarkForm::FullSquare),
                    mark(b, "B", MarkForm::HollowSquare),
                ];
                let svg = net(&Net {
                    size_px,
                    marks: &marks,
                    small,
                    ..Net::default()
                });
                let document = roxmltree::Document::parse(&svg).unwrap();
                // Each square has a ground of paper, then itself.
                let squares: Vec<(f64, f64)> = document
                    .descendants()
                    .filter(|node| node.has_tag_name("rect"))
                    .filter(|node| node.attribute("stroke-width").is_some())
                    .map(|node| {
                        let number = |name| node.attribute(name).unwrap().parse::<f64>().unwrap();
                        (number("x"), number("y"))
                    })
                    .collect();
                let [(ax, ay), (bx, by)] = squares[..] else {
                    panic!("{svg}");
                };
                assert!(
                    (ax - bx).abs() > 2.0 * half || (ay - by).abs() > 2.0 * half,
                    "{a:?} {b:?}: {squares:?}"
                );
                for at in [ax, ay, bx, by] {
                    assert!((0.0..=size_px - 2.0 * half).contains(&at), "{squares:?}");
                }
                // A thin line leads from each place to its square.
                assert_eq!(svg.matches("stroke-width=\"1.2\" d=").count(), 2, "{svg}");
            }
        }
    }
}
