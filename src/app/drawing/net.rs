//! The net: an equal-area plot of the lower hemisphere.

use nalgebra::Vector3;

use super::pen::{Pen, sin_cos};
use crate::orientation::{Hemisphere, Projection};

mod marks;
use marks::{marks, squares};

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
    /// Named lines that are held against each other.
    pub marks: &'a [Mark<'a>],
    /// Whether the net is drawn with the thin line-work of a small one.
    pub small: bool,
    /// Whether the strikes of the open planes are left out.
    pub without_strikes: bool,
}

/// A named line to hold against others.
#[derive(Clone, Copy, Debug)]
pub struct Mark<'a> {
    /// Trend, degrees.
    pub trend_deg: f64,
    /// Plunge, degrees.
    pub plunge_deg: f64,
    /// What to write beside it; empty for nothing.
    pub label: &'a str,
    /// How it is drawn.
    pub form: MarkForm,
}

/// How a named line is drawn: told apart without colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MarkForm {
    /// A filled disc.
    Full,
    /// A ring.
    Hollow,
    /// A wide dotted ring: where it would be.
    Dotted,
    /// A filled square with its name in it.
    FullSquare,
    /// An outlined square with its name in it.
    HollowSquare,
}

impl MarkForm {
    fn is_square(self) -> bool {
        matches!(self, Self::FullSquare | Self::HollowSquare)
    }
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
    let (east, north) =
        Projection::EqualArea.project(Hemisphere::Lower, &Vector3::new(north, east, down));
    (east, -north)
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

    /// Where a plane's name stands on its great circle: at its deepest point, or, where what is written or another circle comes
    /// closer than so many pixels, where they keep farthest away.
    fn clear<'a>(
        &self,
        plane: &OpenPlane,
        others: impl Iterator<Item = &'a OpenPlane<'a>>,
        written: &[[f64; 2]],
        enough_px: f64,
    ) -> [f64; 2] {
        let along = |plane: &OpenPlane, rake_deg: f64| {
            self.at(flatten(in_plane(plane.strike_deg, plane.dip_deg, rake_deg)))
        };
        let circles: Vec<[f64; 2]> = others
            .flat_map(|other| (0..=36).map(move |step| along(other, f64::from(step) * 5.0)))
            .collect();
        let nearest = |[x, y]: [f64; 2], to: &[[f64; 2]]| {
            let apart = to.iter().map(|other| (x - other[0]).hypot(y - other[1]));
            apart.fold(enough_px, f64::min)
        };
        let mut best = (along(plane, 90.0), f64::NEG_INFINITY);
        for rake_deg in [90.0, 70.0, 110.0, 50.0, 130.0, 30.0, 150.0] {
            let place = along(plane, rake_deg);
            // A name on another's circle can be read, a name on a name cannot.
            let clear = 10.0 * nearest(place, written) + nearest(place, &circles);
            if clear > best.1 {
                best = (place, clear);
            }
        }
        best.0
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
    let held = net.marks.iter().any(|mark| !mark.form.is_square());
    let show_strike = !net.open_lines.is_empty() || net.rake_stretch.is_some() || held;
    let squared = net.marks.iter().any(|mark| mark.form.is_square());
    for plane in net.open_planes {
        if !net.without_strikes && (show_strike || !plane.sure && !squared) {
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
        let (ink, here) = if net.small { (11.0, 8.0) } else { (14.0, 10.0) };
        let (from_deg, to_deg) = (from_deg.clamp(0.0, 180.0), to_deg.clamp(0.0, 180.0));
        let (middle_deg, half_deg) = (
            (from_deg + to_deg) / 2.0,
            ((to_deg - from_deg) / 2.0).abs().max(0.5),
        );
        let (ax, ay) = flatten(in_plane(strike_deg, dip_deg, middle_deg - half_deg));
        let (bx, by) = flatten(in_plane(strike_deg, dip_deg, middle_deg + half_deg));
        let long = ((ax - bx).hypot(ay - by) * frame.radius).max(1.0);
        // At least as long as it is wide; two pixels of ink at either end.
        let long_enough = long.max(ink);
        for (class, wide, length) in [
            ("ln-ink", ink, long_enough),
            ("ln-here", here, long_enough - 4.0),
        ] {
            let half_deg = half_deg * length / long;
            pen.raw("<path class=\"")
                .raw(class)
                .put("\" stroke-width=\"~\" d=\"", &[wide]);
            let from_deg = (middle_deg - half_deg).max(0.0);
            let to_deg = (middle_deg + half_deg).min(180.0);
            frame.arc(pen, strike_deg, dip_deg, from_deg, to_deg);
            pen.raw("\"/>");
        }
    }
    let radius = if net.small { 3.8 } else { 5.5 };
    if !show_strike && !squared {
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
    marks(pen, net, frame);
    let size = if net.small { 13.0 } else { 16.0 };
    let mut written = squares(net, frame);
    for (place, plane) in net.open_planes.iter().enumerate() {
        if let Some(label) = plane.label {
            let others = net.open_planes.iter().enumerate();
            let others = others.filter(|(other, _)| *other != place);
            let [x, y] = frame.clear(plane, others.map(|(_, other)| other), &written, 2.0 * size);
            written.push([x, y]);
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

#[cfg(test)]
mod tests {
    use std::f64::consts::FRAC_1_SQRT_2;

    use proptest::prelude::*;

    use super::*;

    /// A net whose rim is 5,000 px from its middle.
    const SIZE: f64 = 10_044.0;
    const MIDDLE: (f64, f64) = (5_022.0, 5_026.0);

    /// The unit vector that a place on the net stands for, by the inverse of the equal-area formula.
    fn lift(x: f64, y: f64) -> [f64; 3] {
        let (east, south) = ((x - MIDDLE.0) / 5_000.0, (y - MIDDLE.1) / 5_000.0);
        let from_vertical = 2.0 * (east.hypot(south) / 2.0f64.sqrt()).asin();
        let azimuth = east.atan2(-south);
        [
            azimuth.cos() * from_vertical.sin(),
            azimuth.sin() * from_vertical.sin(),
            from_vertical.cos(),
        ]
    }

    fn dot(a: [f64; 3], b: [f64; 3]) -> f64 {
        a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
    }

    /// The points of the path whose element begins with this.
    fn points(svg: &str, begins: &str) -> Vec<(f64, f64)> {
        let (_, rest) = svg.split_once(begins).expect("the path is drawn");
        let (_, path) = rest.split_once(" d=\"M").expect("it has a course");
        let (path, _) = path.split_once('"').expect("which ends");
        path.split('L')
            .map(|point| {
                let (x, y) = point.split_once(' ').expect("a pair");
                (x.parse().unwrap(), y.parse().unwrap())
            })
            .collect()
    }

    fn great_circle(strike_deg: f64, dip_deg: f64) -> Vec<(f64, f64)> {
        let open_planes = [OpenPlane {
            strike_deg,
            dip_deg,
            label: None,
            sure: true,
        }];
        points(
            &net(&Net {
                size_px: SIZE,
                open_planes: &open_planes,
                ..Net::default()
            }),
            "<path class=\"ln-live\" stroke-width=\"4\"",
        )
    }

    #[test]
    fn the_distance_from_the_middle_is_the_equal_area_formula() {
        for trend_deg in [0.0, 33.0, 128.0, 224.0, 360.0] {
            for plunge_deg in [0.0, 1.0, 13.0, 45.0, 89.0, 90.0] {
                let (east, south) = project(trend_deg, plunge_deg);
                let (half_sin, _) = sin_cos((90.0 - plunge_deg) / 2.0);
                let (sin, cos) = sin_cos(trend_deg);
                assert!(
                    (east - 2.0f64.sqrt() * half_sin * sin).abs() < 1e-12,
                    "{trend_deg} {plunge_deg}"
                );
                assert!(
                    (south + 2.0f64.sqrt() * half_sin * cos).abs() < 1e-12,
                    "{trend_deg} {plunge_deg}"
                );
            }
        }
    }

    /// The formula as printed in Hudson & Harrison, Engineering Rock Mechanics, appendix B, p. 431 (east, north, down);
    /// the numbers are derived from it (down is the sine of 45°).
    #[test]
    fn a_line_falls_where_its_direction_cosines_say() {
        let (east, north, down): (f64, f64, f64) = (0.557_208, -0.435_338, FRAC_1_SQRT_2);
        let (x, y) = project(128.0, 45.0);
        // √2 times the sine of half the angle from the vertical, by the half-angle formula.
        let radius = (1.0 - down).sqrt();
        let level = east.hypot(north);
        assert!((x - radius * east / level).abs() < 2e-6);
        assert!((y + radius * north / level).abs() < 2e-6);
    }

    /// Snyder, J.P., 1987, Map Projections: A Working Manual, USGS Professional Paper 1395, appendix A, Lambert azimuthal
    /// equal-area, sphere of radius 3 about 40° N 100° W: the point 20° S 100° E lies at x −4.2339303, y 4.0257775.
    /// It is 153.67° from the middle, so as a line it points up, and the net shows its other end; on a disc of the
    /// projection's full radius the squares of the two distances add up to that of the rim.
    #[test]
    fn a_line_that_points_up_falls_at_its_other_end() {
        let (x, y, sphere) = (-4.233_930_3, 4.025_777_5, 3.0);
        let (sin_middle, cos_middle) = sin_cos(40.0);
        let (sin_lat, cos_lat) = sin_cos(-20.0);
        let (sin_apart, cos_apart) = sin_cos(200.0);
        // The great-circle distance and the azimuth from the middle, by spherical trigonometry.
        let cos_away = sin_middle * sin_lat + cos_middle * cos_lat * cos_apart;
        let azimuth =
            (cos_lat * sin_apart).atan2(cos_middle * sin_lat - sin_middle * cos_lat * cos_apart);
        let deg = 180.0 / std::f64::consts::PI;
        let (east, south) = project(azimuth * deg, 90.0 - cos_away.acos() * deg);

        let published = f64::hypot(x, y) / (2.0 * sphere);
        let expected = 2.0f64.sqrt() * (1.0 - published * published).sqrt();
        assert!((east.hypot(south) - expected).abs() < 1e-6);
        assert!((east / expected + x / f64::hypot(x, y)).abs() < 1e-6);
        assert!((south / expected - y / f64::hypot(x, y)).abs() < 1e-6);
    }

    #[test]
    fn a_horizontal_plane_lies_along_the_rim_and_a_vertical_one_through_the_middle() {
        for (x, y) in great_circle(30.0, 0.0) {
            assert!(((x - MIDDLE.0).hypot(y - MIDDLE.1) - 5_000.0).abs() < 0.01);
        }
        let (sin, cos) = sin_cos(30.0);
        for (x, y) in great_circle(30.0, 90.0) {
            assert!(
                ((x - MIDDLE.0) * cos + (y - MIDDLE.1) * sin).abs() < 0.02,
                "{x} {y}"
            );
        }
    }

    #[test]
    fn two_thousand_poles_are_one_path() {
        let poles: Vec<(f64, f64)> = (0..2_000)
            .map(|n| (f64::from(n), f64::from(n % 91)))
            .collect();
        let svg = net(&Net {
            size_px: 306.0,
            poles: &poles,
            ..Net::default()
        });
        assert_eq!(svg.matches("class=\"ln-rule\"").count(), 1);
        assert!(svg.len() < 150_000, "{}", svg.len());
    }

    /// The two planes of a fold's two limbs cross low on the net: their names stand where they are apart.
    #[test]
    fn names_of_planes_keep_clear_of_a_mark_and_of_each_other() {
        let plane = |strike_deg, dip_deg, label| OpenPlane {
            strike_deg,
            dip_deg,
            label: Some(label),
            sure: false,
        };
        let place = |svg: &str, name: &str| {
            let (before, _) = svg.split_once(&format!(">{name}<")).expect("it is written");
            let (_, text) = before.rsplit_once("<text").expect("in a text");
            let number = |key: &str| -> f64 {
                let (_, rest) = text.split_once(&format!(" {key}=\"")).expect("a place");
                rest.split('"').next().unwrap().parse().unwrap()
            };
            (number("x"), number("y") - 16.0 * 0.36)
        };
        for planes in [
            [plane(70.0, 35.0, "one"), plane(50.0, 34.0, "other")],
            [plane(70.0, 35.0, "one"), plane(71.0, 36.0, "other")],
            [plane(40.0, 60.0, "one"), plane(220.0, 60.0, "other")],
        ] {
            let marks = [Mark {
                trend_deg: 147.0,
                plunge_deg: 34.0,
                label: "",
                form: MarkForm::Full,
            }];
            let svg = net(&Net {
                size_px: 300.0,
                open_planes: &planes,
                marks: &marks,
                ..Net::default()
            });
            let (east, south) = project(147.0, 34.0);
            let mark = (150.0 + east * 128.0, 154.0 + south * 128.0);
            let (one, other) = (place(&svg, "one"), place(&svg, "other"));
            for (a, b) in [(one, other), (one, mark), (other, mark)] {
                let apart = (a.0 - b.0).hypot(a.1 - b.1);
                assert!(apart > 16.0, "{apart} px between {a:?} and {b:?}");
            }
        }
        // Nothing in the way: down the dip.
        let planes = [plane(40.0, 60.0, "one"), plane(220.0, 60.0, "other")];
        let svg = net(&Net {
            size_px: 300.0,
            open_planes: &planes,
            ..Net::default()
        });
        let (east, south) = project(130.0, 60.0);
        let (x, y) = place(&svg, "one");
        assert!((x - 150.0 - east * 128.0).abs() < 0.1 && (y - 154.0 - south * 128.0).abs() < 0.1);
    }

    #[test]
    fn the_stretch_of_a_rake_lies_on_its_plane_between_its_rakes() {
        let rake_stretch = Some((312.0, 58.0, 140.0, 149.0));
        let svg = net(&Net {
            size_px: SIZE,
            rake_stretch,
            ..Net::default()
        });
        let bar = points(&svg, "<path class=\"ln-ink\" stroke-width=\"14\"");
        let strike_end = in_plane(312.0, 58.0, 0.0);
        let rakes: Vec<f64> = bar
            .iter()
            .map(|&(x, y)| dot(lift(x, y), strike_end).acos() * 180.0 / std::f64::consts::PI)
            .collect();
        assert!(
            (rakes[0] - 140.0).abs() < 0.01 && (rakes[45] - 149.0).abs() < 0.01,
            "{rakes:?}"
        );
        assert!(rakes.is_sorted());
    }

    proptest! {
        #[test]
        fn a_pole_lies_90_degrees_from_every_point_of_its_great_circle(strike_deg in 0.0..360.0, dip_deg in 0.0..=90.0) {
            // The pole by its definition: trend strike − 90°, plunge 90° − dip, through the projection and back.
            let (east, south) = project(strike_deg - 90.0, 90.0 - dip_deg);
            let pole = lift(MIDDLE.0 + east * 5_000.0, MIDDLE.1 + south * 5_000.0);
            for (x, y) in great_circle(strike_deg, dip_deg) {
                prop_assert!(dot(lift(x, y), pole).abs() < 1e-5, "{} {}", x, y);
            }
        }

        #[test]
        fn the_deepest_point_of_a_great_circle_is_down_dip(strike_deg in 0.0..360.0, dip_deg in 1.0..89.0) {
            let middle = great_circle(strike_deg, dip_deg);
            let (east, south) = project(strike_deg + 90.0, dip_deg);
            let (half, rim) = (lift(MIDDLE.0 + east * 5_000.0, MIDDLE.1 + south * 5_000.0), middle.len());
            let deepest = middle.iter().map(|&(x, y)| lift(x, y)[2]).fold(0.0, f64::max);
            prop_assert!(half[2] >= deepest - 1e-5);
            // 45 steps leave the deepest point 2° of rake to one side.
            prop_assert!(half[2] - deepest < 1e-3, "{} {} {}", half[2], deepest, rim);
        }

        #[test]
        fn every_line_falls_within_the_disc(trend_deg in -400.0..800.0, plunge_deg in -90.0..=90.0) {
            let (east, south) = project(trend_deg, plunge_deg);
            prop_assert!(east.hypot(south) <= 1.0 + 1e-12);
        }
    }
}
