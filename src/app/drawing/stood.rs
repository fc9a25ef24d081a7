//! How a transit stood: three small drawings, of the lid along the hinge, of the index, and of the hinge from the side.

use super::pen::Pen;

/// What is known of how it stood; `None` is not noted.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct StoodLook {
    /// The lid was swung to the right of someone looking along the hinge.
    pub right: Option<bool>,
    /// The scale was read at the right edge of its index.
    pub right_edge: Option<bool>,
    /// It was held against the underside of an overhang.
    pub hung: bool,
    /// The north end of the hinge faced down.
    pub north_down: Option<bool>,
}

/// The lid as someone sees it who looks along the hinge to its north end: base level, lid on the rock, rock hatched.
///
/// # Degenerate input
/// Not noted: both lids dashed, and a question mark.
pub fn stood_lid(look: StoodLook) -> String {
    let mut pen = Pen::new("stood", [-80.0, -56.0, 160.0, 112.0], 1.0);
    let down = if look.hung { -1.0 } else { 1.0 };
    let lid = |pen: &mut Pen, side: f64, dashes: &str| {
        let (x, y) = (side * 62.0, down * 36.0);
        pen.raw("<path class=\"ln-ink\" stroke-width=\"5\"")
            .raw(dashes);
        pen.put(" d=\"M0 0L~ ~\"/>", &[x, y]);
    };
    match look.right {
        Some(right) => {
            let side = if right { 1.0 } else { -1.0 };
            // The rock is on the far side of the lid from the base.
            for along in [0.2, 0.4, 0.6, 0.8, 1.0] {
                let (x, y) = (side * 62.0 * along, down * (36.0 * along + 4.0));
                pen.put(
                    "<path class=\"ln-soft\" stroke-width=\"1.6\" d=\"M~ ~l~ ~\"/>",
                    &[x, y, -side * 7.0, down * 10.0],
                );
            }
            lid(&mut pen, side, "");
        }
        None => {
            lid(&mut pen, 1.0, " stroke-dasharray=\"7 6\"");
            lid(&mut pen, -1.0, " stroke-dasharray=\"7 6\"");
            pen.text(
                "tx-dial tx-mid fl-ink halo",
                22.0,
                (0.0, down * 30.0 + 8.0),
                "?",
            );
        }
    }
    pen.raw("<path class=\"ln-ink\" stroke-width=\"5\" d=\"M-44 0H44\"/><circle class=\"ln-ink fl-paper\" stroke-width=\"2.4\" r=\"6\"/>");
    pen.end()
}

/// The index under its scale, with the edge at which it was read.
///
/// # Degenerate input
/// Not noted: neither edge is marked, and a question mark.
pub fn stood_edge(right: Option<bool>) -> String {
    let mut pen = Pen::new("stood", [-80.0, -56.0, 160.0, 112.0], 1.0);
    pen.raw("<path class=\"ln-ink\" stroke-width=\"2\" d=\"M-70 -14H70\"/>");
    for tick in [-60.0, -40.0, -20.0, 0.0, 20.0, 40.0, 60.0] {
        pen.put(
            "<path class=\"ln-ink\" stroke-width=\"1.6\" d=\"M~ -14v-14\"/>",
            &[tick],
        );
    }
    pen.raw("<rect class=\"ln-ink fl-d2\" stroke-width=\"2\" x=\"-16\" y=\"-10\" width=\"32\" height=\"44\"/>");
    match right {
        Some(right) => {
            let x = if right { 16.0 } else { -16.0 };
            pen.put(
                "<path class=\"ln-ink\" stroke-width=\"6\" d=\"M~ -32V38\"/>",
                &[x],
            );
        }
        None => {
            pen.text("tx-dial tx-mid fl-ink", 22.0, (0.0, 20.0), "?");
        }
    }
    pen.end()
}

/// The hinge from the side, its ends lettered as on the card.
///
/// # Degenerate input
/// Not noted: level, and a question mark.
pub fn stood_end(north_down: Option<bool>) -> String {
    let mut pen = Pen::new("stood", [-80.0, -56.0, 160.0, 112.0], 1.0);
    let drop = match north_down {
        Some(true) => 22.0,
        Some(false) => -22.0,
        None => 0.0,
    };
    pen.put(
        "<path class=\"ln-ink\" stroke-width=\"5\" d=\"M-50 ~L50 ~\"/>",
        &[-drop, drop],
    );
    pen.text("tx-dial tx-mid fl-ink halo", 20.0, (-64.0, 7.0 - drop), "S");
    pen.text("tx-dial tx-mid fl-ink halo", 20.0, (64.0, 7.0 + drop), "N");
    match north_down {
        Some(north) => {
            let x = if north { 50.0 } else { -50.0 };
            pen.put(
                "<path class=\"ln-ink\" stroke-width=\"3\" d=\"M~ 32v16m-7 -8l7 8l7 -8\"/>",
                &[x],
            );
        }
        None => {
            pen.text("tx-dial tx-mid fl-ink", 22.0, (0.0, 32.0), "?");
        }
    }
    pen.end()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Where the lid ends: right and down positive.
    fn lid_end(look: StoodLook) -> (f64, f64) {
        let svg = stood_lid(look);
        let path = svg.split("M0 0L").nth(1).unwrap();
        let mut numbers = path.split('"').next().unwrap().split(' ');
        let mut next = || numbers.next().unwrap().parse().unwrap();
        (next(), next())
    }

    #[test]
    fn the_lid_points_down_the_dip_and_up_it_under_an_overhang() {
        // The geometry of the instrument: the lid's edge is at r cos dip + z sin dip, to the right of someone looking along
        // the hinge; held against an underside it points up.
        for (right, hung, x, y) in [
            (true, false, 1.0, 1.0),
            (false, false, -1.0, 1.0),
            (true, true, 1.0, -1.0),
            (false, true, -1.0, -1.0),
        ] {
            let look = StoodLook {
                right: Some(right),
                hung,
                ..StoodLook::default()
            };
            let (found_x, found_y) = lid_end(look);
            assert_eq!(
                (found_x.signum(), found_y.signum()),
                (x, y),
                "{right} {hung}"
            );
        }
    }

    #[test]
    fn what_was_not_noted_is_a_question() {
        for svg in [
            stood_lid(StoodLook::default()),
            stood_edge(None),
            stood_end(None),
        ] {
            assert!(svg.contains(">?</text>"), "{svg}");
        }
        for svg in [stood_edge(Some(true)), stood_end(Some(false))] {
            assert!(!svg.contains(">?</text>"), "{svg}");
        }
        assert_ne!(stood_edge(Some(true)), stood_edge(Some(false)));
        assert_ne!(stood_end(Some(true)), stood_end(Some(false)));
    }
}
