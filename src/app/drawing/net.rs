//! The net: an equal-area plot of the lower hemisphere.

use super::pen::{Pen, sin_cos};

/// The plane that is being read, or one of the two that it can still be.
#[derive(Clone, Copy, Debug)]
pub struct OpenPlane<'a> {
    /// Right-hand strike, degrees.
    pub strike_deg: f64,
    /// Dip, degrees.
    pub dip_deg: f64,
    /// What to write at it, such as `NW?`.
    pub label: Option<&'a str>,
    /// Whether the side is known: solid with its pole, else dashed.
    pub sure: bool,
}

/// One net to draw; all angles in degrees.
#[derive(Clone, Copy, Debug, Default)]
pub struct Net<'a> {
    /// Width and height in pixels.
    pub size_px: f64,
    /// The book's poles behind, as trend and plunge.
    pub poles: &'a [(f64, f64)],
    /// The book's lines behind, as trend and plunge.
    pub lines: &'a [(f64, f64)],
    /// The planes of the open reading.
    pub open_planes: &'a [OpenPlane<'a>],
    /// The lines of the open reading, as trend and plunge.
    pub open_lines: &'a [(f64, f64)],
    /// The pole of the girdle (the axis of the fold), as trend and plunge.
    pub girdle_pole: Option<(f64, f64)>,
    /// Strike and dip of a plane, and the rakes between which its line still lies.
    pub rake_stretch: Option<(f64, f64, f64, f64)>,
    /// Whether the net is drawn with the thin line-work of a small one.
    pub small: bool,
}

/// Where a line falls on the net: east and south in a unit disc, equal area, lower hemisphere.
///
/// # Units
/// Degrees; the distance from the middle is √2 · sin((90° − plunge) / 2).
///
/// # Degenerate input
/// A line that points up is plotted at its lower end; a vertical one in the middle, whatever its trend.
pub fn project(trend_deg: f64, plunge_deg: f64) -> (f64, f64) {
    let (sin_trend, cos_trend) = sin_cos(trend_deg);
    let (sin_plunge, cos_plunge) = sin_cos(plunge_deg);
    flatten([cos_trend * cos_plunge, sin_trend * cos_plunge, sin_plunge])
}

/// A unit vector (north, east, down) on the net.
fn flatten([north, east, down]: [f64; 3]) -> (f64, f64) {
    let side = if down < 0.0 { -1.0 } else { 1.0 };
    // √2 sin(c/2) = sin c / √(1 + cos c), c being the angle from the vertical.
    let scale = side / (1.0 + down.abs()).sqrt();
    (east * scale, -north * scale)
}

/// The line of a rake in a plane, as a unit vector (north, east, down).
fn in_plane(strike_deg: f64, dip_deg: f64, rake_deg: f64) -> [f64; 3] {
    let (sin_strike, cos_strike) = sin_cos(strike_deg);
    let (sin_dip, cos_dip) = sin_cos(dip_deg);
    let (sin_rake, cos_rake) = sin_cos(rake_deg);
    [
        cos_rake * cos_strike - sin_rake * sin_strike * cos_dip,
        cos_rake * sin_strike + sin_rake * cos_strike * cos_dip,
        // At the ends of the strike nothing may turn up by a rounding error and jump across the net.
        (sin_rake * sin_dip).max(0.0),
    ]
}

/// The middle and the radius of a net on its paper.
struct Frame {
    x: f64,
    y: f64,
    radius: f64,
}

impl Frame {
    fn at(&self, (east, south): (f64, f64)) -> [f64; 2] {
        [self.x + east * self.radius, self.y + south * self.radius]
    }

    /// The part of a great circle between two rakes, as the commands of a path.
    fn arc(&self, pen: &mut Pen, strike_deg: f64, dip_deg: f64, from_deg: f64, to_deg: f64) {
        let steps = 45;
        for step in 0..=steps {
            let rake_deg = from_deg + (to_deg - from_deg) * f64::from(step) / f64::from(steps);
            pen.raw(if step == 0 { "M" } else { "L" });
            pen.put(
                "~ ~",
                &self.at(flatten(in_plane(strike_deg, dip_deg, rake_deg))),
            );
        }
    }

    fn great_circle(&self, pen: &mut Pen, head: &str, strike_deg: f64, dip_deg: f64) {
        pen.raw(head);
        self.arc(pen, strike_deg, dip_deg, 0.0, 180.0);
        pen.raw("\"/>");
    }
}

/// The net: rim and graduation, what the book holds behind, the open reading in front.
///
/// # Units
/// Degrees and pixels.
///
/// # Degenerate input
/// A horizontal plane lies along the rim, a vertical one through the middle; lines that point up are plotted at their
/// lower ends.
pub fn net(net: &Net) -> String {
    let size = net.size_px;
    let (margin, tick, stroke, letter) = if net.small {
        (14.0, 0.5, 1.2, 13.0)
    } else {
        (22.0, 1.0, 1.8, 16.0)
    };
    let frame = Frame {
        x: size / 2.0,
        y: size / 2.0 + 4.0,
        radius: (size / 2.0 - margin).max(1.0),
    };
    let mut pen = Pen::new(
        if net.small { "net net-small" } else { "net" },
        [0.0, 0.0, size, size],
        1.0,
    );

    pen.put(
        "<circle class=\"ln-ink\" stroke-width=\"~\" cx=\"~\" cy=\"~\" r=\"~\"/>",
        &[stroke, frame.x, frame.y, frame.radius],
    );
    pen.put(
        "<path class=\"ln-ink\" stroke-width=\"~\" d=\"",
        &[stroke * 0.7],
    );
    for ten in 0..36 {
        let (sin, cos) = sin_cos(f64::from(ten) * 10.0);
        let long = tick
            * if ten % 9 == 0 {
                9.0
            } else if ten % 3 == 0 {
                7.0
            } else {
                4.0
            };
        let from = frame.at((sin, -cos));
        pen.put("M~ ~l~ ~", &[from[0], from[1], sin * long, -cos * long]);
    }
    pen.put(
        "M~ ~h~m~ ~v~\"/>",
        &[
            frame.x - 6.0 * tick,
            frame.y,
            12.0 * tick,
            -6.0 * tick,
            -6.0 * tick,
            12.0 * tick,
        ],
    );
    pen.text(
        "tx-word tx-mid fl-ink",
        letter,
        (
            frame.x,
            frame.y - frame.radius - if net.small { 5.0 } else { 13.0 },
        ),
        "N",
    );

    behind(&mut pen, net, &frame);
    open(&mut pen, net, &frame);
    pen.end()
}

/// The book's poles, lines and girdle.
fn behind(pen: &mut Pen, net: &Net, frame: &Frame) {
    let (radius, stroke) = if net.small { (2.2, 0.9) } else { (3.5, 1.6) };
    if let Some((trend_deg, plunge_deg)) = net.girdle_pole {
        let head = if net.small {
            "<path class=\"ln-ink\" stroke-width=\"1\" stroke-dasharray=\"1 2\" d=\""
        } else {
            "<path class=\"ln-ink\" stroke-width=\"1.6\" stroke-dasharray=\"1.6 4\" d=\""
        };
        frame.great_circle(pen, head, trend_deg + 90.0, 90.0 - plunge_deg);
    }
    if !net.poles.is_empty() {
        pen.put("<path class=\"ln-rule\" stroke-width=\"~\" d=\"", &[stroke]);
        for &(trend_deg, plunge_deg) in net.poles {
            let [x, y] = frame.at(project(trend_deg, plunge_deg));
            let wide = 2.0 * radius;
            pen.put(
                "M~ ~a~ ~ 0 100 ~a~ ~ 0 100-~",
                &[x, y - radius, radius, radius, wide, radius, radius, wide],
            );
        }
        pen.raw("\"/>");
    }
    if !net.lines.is_empty() {
        pen.put(
            "<path class=\"ln-rule\" stroke-width=\"~\" d=\"",
            &[stroke * 1.5],
        );
        for &(trend_deg, plunge_deg) in net.lines {
            let [x, y] = frame.at(project(trend_deg, plunge_deg));
            pen.put(
                "M~ ~h~m~ ~v~",
                &[x - radius, y, 2.0 * radius, -radius, -radius, 2.0 * radius],
            );
        }
        pen.raw("\"/>");
    }
    if let Some((trend_deg, plunge_deg)) = net.girdle_pole {
        let [x, y] = frame.at(project(trend_deg, plunge_deg));
        pen.put(
            "<circle class=\"ln-ink\" stroke-width=\"~\" cx=\"~\" cy=\"~\" r=\"~\"/>",
            &[stroke * 1.2, x, y, radius * 1.9],
        );
        pen.put(
            "<circle class=\"fl-ink\" cx=\"~\" cy=\"~\" r=\"~\"/>",
            &[x, y, radius * 0.6],
        );
    }
}

/// The reading that is open.
fn open(pen: &mut Pen, net: &Net, frame: &Frame) {
    let show_strike = !net.open_lines.is_empty() || net.rake_stretch.is_some();
    for plane in net.open_planes {
        if show_strike || !plane.sure {
            let (sin, cos) = sin_cos(plane.strike_deg);
            let [from, to] = [frame.at((sin, -cos)), frame.at((-sin, cos))];
            pen.put(
                "<path class=\"ln-live\" stroke-width=\"~\" d=\"M~ ~L~ ~\"/>",
                &[
                    if net.small { 1.5 } else { 2.4 },
                    from[0],
                    from[1],
                    to[0],
                    to[1],
                ],
            );
        }
        let head = match (net.small, plane.sure) {
            (false, true) => "<path class=\"ln-live\" stroke-width=\"4\" d=\"",
            (false, false) => {
                "<path class=\"ln-live\" stroke-width=\"4\" stroke-dasharray=\"7 5\" d=\""
            }
            (true, true) => "<path class=\"ln-live\" stroke-width=\"3\" d=\"",
            (true, false) => {
                "<path class=\"ln-live\" stroke-width=\"2\" stroke-dasharray=\"4 3\" d=\""
            }
        };
        frame.great_circle(pen, head, plane.strike_deg, plane.dip_deg);
    }
    if let Some((strike_deg, dip_deg, from_deg, to_deg)) = net.rake_stretch {
        pen.raw("<path class=\"ln-ink\" stroke-width=\"13\" d=\"");
        frame.arc(pen, strike_deg, dip_deg, from_deg, to_deg);
        // Two pixels of ink are left at either end.
        let (ax, ay) = flatten(in_plane(strike_deg, dip_deg, from_deg));
        let (bx, by) = flatten(in_plane(strike_deg, dip_deg, to_deg));
        let long = ((ax - bx).hypot(ay - by) * frame.radius).max(6.0);
        let inset_deg = (to_deg - from_deg) * 2.0 / long;
        pen.raw("\"/><path class=\"ln-here\" stroke-width=\"9\" d=\"");
        frame.arc(
            pen,
            strike_deg,
            dip_deg,
            from_deg + inset_deg,
            to_deg - inset_deg,
        );
        pen.raw("\"/>");
    }
    let radius = if net.small { 3.8 } else { 5.5 };
    if !show_strike {
        for plane in net.open_planes.iter().filter(|plane| plane.sure) {
            mark(
                pen,
                frame,
                "fl-live",
                radius,
                (plane.strike_deg - 90.0, 90.0 - plane.dip_deg),
            );
        }
    }
    for &line in net.open_lines {
        mark(pen, frame, "fl-ink", radius, line);
    }
    for plane in net.open_planes {
        if let Some(label) = plane.label {
            let [x, y] = frame.at(flatten(in_plane(plane.strike_deg, plane.dip_deg, 90.0)));
            let size = if net.small { 13.0 } else { 16.0 };
            pen.text(
                "tx-word tx-mid fl-ink halo",
                size,
                (x, y + size * 0.36),
                label,
            );
        }
    }
}

/// A disc on a ring of paper.
fn mark(
    pen: &mut Pen,
    frame: &Frame,
    class: &str,
    radius: f64,
    (trend_deg, plunge_deg): (f64, f64),
) {
    let [x, y] = frame.at(project(trend_deg, plunge_deg));
    pen.put(
        "<circle class=\"fl-paper\" cx=\"~\" cy=\"~\" r=\"~\"/><circle class=\"",
        &[x, y, radius + 2.0],
    );
    pen.raw(class)
        .put("\" cx=\"~\" cy=\"~\" r=\"~\"/>", &[x, y, radius]);
}
