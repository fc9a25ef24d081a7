//! An upright section: the ground between two ends, a layer on it, and what is measured; no height is stretched.

use super::pen::{Pen, sin_cos};

/// What a section shows besides the ground and the layer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Shown<'a> {
    /// The layer's dip, with its words.
    Dip(&'a str),
    /// The layer between both ends, with its words.
    Between(&'a str),
    /// The layer straight below the right end (above it where less than nil), metres, with its words.
    Below(f64, &'a str),
}

/// One section to draw.
#[derive(Clone, Copy, Debug)]
pub struct UprightSection<'a> {
    /// Width and height, pixels.
    pub size_px: (f64, f64),
    /// Level distance from the left end to the right, and how much higher that is, metres.
    pub ground_m: (f64, f64),
    /// The layer's dip on the section, down to the right positive, degrees.
    pub apparent_deg: f64,
    /// The names of both ends.
    pub ends: [&'a str; 2],
    /// What is measured.
    pub shown: Shown<'a>,
}

/// Metres, right and up of the left end.
type Place = (f64, f64);

/// Draws the section.
///
/// # Units
/// Metres and degrees in, pixels out.
///
/// # Degenerate input
/// Both ends in one place: a ground of one metre. Steep or deep, all is drawn smaller until it has room.
pub fn upright_section(section: &UprightSection) -> String {
    let (width, height) = section.size_px;
    let mut pen = Pen::new("upright-section", [0.0, 0.0, width, height], 1.0);
    let far = section.ground_m.0.max(1e-3);
    let (left, right): (Place, Place) = ((0.0, 0.0), (far, section.ground_m.1));
    let (sin, cos) = sin_cos(section.apparent_deg);
    // Down along the layer.
    let down = if sin < 0.0 { (-cos, sin) } else { (cos, -sin) };
    let reach = 0.55 * far.max(right.1.abs());
    let along = |from: Place, by: f64| (from.0 + down.0 * by, from.1 + down.1 * by);
    let mut traces: Vec<(Place, Place)> = Vec::new();
    let mut foot = None;
    match section.shown {
        Shown::Dip(_) => {
            traces.push((along((far / 2.0, 0.0), 0.0), along((far / 2.0, 0.0), reach)))
        }
        Shown::Between(_) => {
            traces.push((left, along(left, reach)));
            traces.push((right, along(right, reach)));
        }
        Shown::Below(depth, _) => {
            let at = (far, right.1 - depth);
            traces.push((left, at));
            foot = Some(at);
        }
    }
    let places = traces
        .iter()
        .flat_map(|(a, b)| [*a, *b])
        .chain([left, right]);
    let (mut lo, mut hi) = (left, left);
    for (x, y) in places {
        lo = (lo.0.min(x), lo.1.min(y));
        hi = (hi.0.max(x), hi.1.max(y));
    }
    let (across, tall) = ((hi.0 - lo.0).max(1e-3), (hi.1 - lo.1).max(1e-3));
    let scale = ((width - 110.0) / across)
        .min((height - 76.0) / tall)
        .max(1e-9);
    let (x0, y0) = (
        (width - across * scale) / 2.0,
        (height - tall * scale) / 2.0 + 8.0,
    );
    let at = |(x, y): Place| (x0 + (x - lo.0) * scale, y0 + (hi.1 - y) * scale);
    let line = |pen: &mut Pen, head: &str, a: Place, b: Place| {
        let (a, b) = (at(a), at(b));
        pen.raw("<path class=\"ln-ink\" ").raw(head);
        pen.put(" d=\"M~ ~L~ ~\"/>", &[a.0, a.1, b.0, b.1]);
    };
    // What has been worn away is dotted: a layer runs on above the ground.
    let worn = |pen: &mut Pen, from: Place| {
        let end = along(from, -0.25 * reach);
        line(
            pen,
            "stroke-width=\"2\" stroke-dasharray=\"2 5\"",
            from,
            end,
        );
    };
    for (from, to) in &traces {
        let above = foot.is_some_and(|(_, y)| y > right.1);
        let dash = if above {
            "stroke-width=\"3\" stroke-dasharray=\"2 5\""
        } else {
            "stroke-width=\"4\""
        };
        line(&mut pen, dash, *from, *to);
        if foot.is_none() {
            worn(&mut pen, *from);
        }
    }
    line(&mut pen, "stroke-width=\"2\"", left, right);
    if let Some(foot) = foot {
        line(
            &mut pen,
            "stroke-width=\"2\" stroke-dasharray=\"7 5\"",
            right,
            foot,
        );
    }
    let is_dip = matches!(section.shown, Shown::Dip(_));
    for (end, name) in [left, right].into_iter().zip(section.ends) {
        let (x, y) = at(end);
        if !is_dip {
            pen.put(
                "<circle class=\"ln-ink fl-paper\" stroke-width=\"2.4\" cx=\"~\" cy=\"~\" r=\"6\"/>",
                &[x, y],
            );
        }
        let up = if is_dip { 8.0 } else { 16.0 };
        pen.text("tx-word tx-mid fl-ink halo", 16.0, (x, y - up), name);
    }
    let (words, place) = match section.shown {
        Shown::Dip(words) => (words, along((far / 2.0, 0.0), reach)),
        Shown::Between(words) => {
            let middle = (
                f64::midpoint(left.0, right.0),
                f64::midpoint(left.1, right.1),
            );
            (words, along(middle, 0.6 * reach))
        }
        Shown::Below(depth, words) => (words, (far, right.1 - depth / 2.0)),
    };
    let (x, y) = at(place);
    let (class, x, y) = match section.shown {
        Shown::Dip(_) => (
            "tx-word tx-mid fl-ink halo",
            x.clamp(60.0, width - 60.0),
            y + 20.0,
        ),
        Shown::Between(_) => (
            "tx-word tx-mid fl-ink halo",
            x.clamp(60.0, width - 60.0),
            y + 6.0,
        ),
        Shown::Below(..) => ("tx-word tx-end fl-ink halo", x - 10.0, y + 6.0),
    };
    pen.text(class, 16.0, (x, y.min(height - 6.0)), words);
    pen.end()
}

/// Three places on a map, north up, with the strike and the dip of the plane through them.
///
/// # Units
/// Places as north and east in metres; pixels; the strike, right hand, and the dip in degrees.
///
/// # Degenerate input
/// All in one place: one point.
pub fn three_places(
    (width, height): (f64, f64),
    places: &[(&str, f64, f64); 3],
    strike_deg: f64,
    dip_deg: f64,
) -> String {
    let mut pen = Pen::new("three-places", [0.0, 0.0, width, height], 1.0);
    let norths = places.map(|p| p.1);
    let easts = places.map(|p| p.2);
    let span = |of: &[f64; 3]| {
        let lo = of.iter().copied().fold(f64::INFINITY, f64::min);
        let hi = of.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        (lo, (hi - lo).max(1e-3))
    };
    let ((south, tall), (west, across)) = (span(&norths), span(&easts));
    let scale = ((width - 120.0) / across).min((height - 90.0) / tall);
    let (x0, y0) = (
        (width - across * scale) / 2.0,
        (height - tall * scale) / 2.0 + 10.0,
    );
    let at = |north: f64, east: f64| {
        (
            x0 + (east - west) * scale,
            y0 + (south + tall - north) * scale,
        )
    };
    let corners = places.map(|(_, north, east)| at(north, east));
    pen.raw("<path class=\"ln-ink\" stroke-width=\"1.6\" stroke-dasharray=\"2 4\" d=\"");
    for (i, (x, y)) in corners.iter().enumerate() {
        pen.put(if i == 0 { "M~ ~" } else { "L~ ~" }, &[*x, *y]);
    }
    pen.raw("Z\"/>");
    let middle = (
        corners.iter().map(|c| c.0).sum::<f64>() / 3.0,
        corners.iter().map(|c| c.1).sum::<f64>() / 3.0,
    );
    let (sin, cos) = sin_cos(strike_deg);
    let half = 30.0;
    pen.put(
        "<path class=\"ln-ink\" stroke-width=\"4\" d=\"M~ ~L~ ~\"/>",
        &[
            middle.0 - half * sin,
            middle.1 + half * cos,
            middle.0 + half * sin,
            middle.1 - half * cos,
        ],
    );
    // The tick points down the dip, to the right of the strike.
    let (tx, ty) = (cos, sin);
    pen.put(
        "<path class=\"ln-ink\" stroke-width=\"4\" d=\"M~ ~l~ ~\"/>",
        &[middle.0, middle.1, 12.0 * tx, 12.0 * ty],
    );
    pen.text(
        "tx-word tx-mid fl-ink halo",
        16.0,
        (middle.0 + 26.0 * tx, middle.1 + 26.0 * ty + 6.0),
        &Pen::whole(dip_deg, 2),
    );
    for ((name, ..), (x, y)) in places.iter().zip(corners) {
        pen.put(
            "<circle class=\"ln-ink fl-paper\" stroke-width=\"2.4\" cx=\"~\" cy=\"~\" r=\"6\"/>",
            &[x, y],
        );
        let below = if y < height / 2.0 { -14.0 } else { 24.0 };
        pen.text("tx-word tx-mid fl-ink halo", 16.0, (x, y + below), name);
    }
    pen.put(
        "<path class=\"ln-ink\" stroke-width=\"2\" d=\"M~ ~V~\"/>",
        &[16.0, 44.0, 18.0],
    );
    pen.put(
        "<path class=\"fl-ink\" d=\"M~ ~l-5 11h10Z\"/>",
        &[16.0, 10.0],
    );
    pen.text("tx-word fl-ink", 13.0, (26.0, 22.0), "N");
    pen.end()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::app::drawing::pen::numbers;

    /// The ends of every straight piece, in the order they were drawn.
    fn pieces(svg: &str) -> Vec<[f64; 4]> {
        let document = roxmltree::Document::parse(svg).unwrap();
        let paths = document.descendants().filter_map(|n| n.attribute("d"));
        paths
            .filter_map(|d| {
                let numbers: Vec<f64> = d
                    .split(['M', 'L', ' '])
                    .filter(|t| !t.is_empty())
                    .map_while(|t| t.parse().ok())
                    .collect();
                numbers.try_into().ok()
            })
            .collect()
    }

    fn section(apparent_deg: f64, ground_m: (f64, f64), shown: Shown<'_>) -> String {
        upright_section(&UprightSection {
            size_px: (420.0, 220.0),
            ground_m,
            apparent_deg,
            ends: ["station 1", "station 2"],
            shown,
        })
    }

    #[test]
    fn the_layer_dips_as_steeply_as_it_says_and_to_that_side() {
        for deg in [-70.0, -20.0, 5.0, 35.0, 80.0] {
            let svg = section(deg, (100.0, 10.0), Shown::Between("12 m"));
            let [x0, y0, x1, y1] = pieces(&svg)[0];
            let drawn = (y1 - y0).atan2((x1 - x0).abs()) * 180.0 / std::f64::consts::PI;
            assert!((drawn - f64::abs(deg)).abs() < 0.2, "{deg}: {drawn}");
            assert_eq!(x1 > x0, deg > 0.0, "{deg}");
        }
    }

    #[test]
    fn the_ground_rises_where_it_does_and_the_depth_is_true_to_its_length() {
        let svg = section(30.0, (200.0, 40.0), Shown::Below(155.0, "155 m"));
        let (x, y) = (numbers(&svg, "circle", "cx"), numbers(&svg, "circle", "cy"));
        let scale = (x[1] - x[0]) / 200.0;
        assert!(((y[0] - y[1]) / scale - 40.0).abs() < 0.5);
        let [_, from, _, to] = pieces(&svg)[2];
        assert!(((to - from) / scale - 155.0).abs() < 0.5);
    }

    #[test]
    fn everything_stays_within_its_room() {
        for deg in [-90.0, -60.0, 0.0, 45.0, 90.0, f64::NAN] {
            for ground in [(0.0, 0.0), (5.0, 400.0), (4_000.0, -30.0)] {
                for shown in [
                    Shown::Dip("dips"),
                    Shown::Between("t"),
                    Shown::Below(900.0, "d"),
                    Shown::Below(-40.0, "u"),
                ] {
                    let svg = section(deg, ground, shown);
                    for y in numbers(&svg, "circle", "cy")
                        .into_iter()
                        .chain(numbers(&svg, "text", "y"))
                    {
                        assert!(
                            (0.0..=220.0).contains(&y),
                            "{deg} {ground:?} {shown:?}: {y}"
                        );
                    }
                }
            }
        }
    }

    #[test]
    fn three_places_lie_as_on_a_map() {
        let svg = three_places(
            (300.0, 240.0),
            &[("1", 0.0, 0.0), ("2", 100.0, 0.0), ("3", 0.0, 80.0)],
            90.0,
            30.0,
        );
        let (x, y) = (numbers(&svg, "circle", "cx"), numbers(&svg, "circle", "cy"));
        assert!(y[1] < y[0] && (x[1] - x[0]).abs() < 0.01, "north is up");
        assert!(x[2] > x[0] && (y[2] - y[0]).abs() < 0.01, "east is right");
        // A strike of 090 dips south: the tick points down.
        assert!(svg.contains("l0 12"), "{svg}");
    }
}
