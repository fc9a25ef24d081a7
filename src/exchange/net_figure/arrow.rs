//! The slip of a fault on the net: an arrow, or a pair of half arrows, as lines to be stroked.

use nalgebra::Vector3;

use super::Planes;
use crate::orientation::faults::{Sense, Slip};
use crate::orientation::{Hemisphere, Projection};

/// The strokes of one slip, in radii of the net; an arrow is so many radii long.
///
/// Poles: an arrow through the pole along the great circle that holds pole and slip, the way the hanging wall went (the manner
/// of Hoeppner 1955, from memory). Great circles: at the line, outwards where the hanging wall went down and inwards where it
/// went up; for strike slip a pair of half arrows along the circle, each on its own side (common practice).
///
/// # Degenerate input
/// A line straight down, in the middle of the net: the arrow points to the side of the hanging wall.
#[must_use]
pub fn slip_strokes(
    slip: &Slip,
    planes: Planes,
    projection: Projection,
    hemisphere: Hemisphere,
    long: f64,
) -> Vec<Vec<(f64, f64)>> {
    let seen = |axis: Vector3<f64>| {
        let middle = match hemisphere {
            Hemisphere::Lower => 1.0,
            Hemisphere::Upper => -1.0,
        };
        if axis.z * middle < 0.0 { -axis } else { axis }
    };
    // The way a small step on the sphere goes on the net.
    let way = |from: Vector3<f64>, step: Vector3<f64>| -> Option<(f64, f64)> {
        const STEP: f64 = 1e-4;
        let a = projection.project_beyond(hemisphere, &from);
        let b = projection.project_beyond(hemisphere, &(from + step * STEP).normalize());
        unit(b.0 - a.0, b.1 - a.1)
    };
    match planes {
        Planes::Poles => {
            let pole = seen(slip.plane().normal());
            let at = projection.project_beyond(hemisphere, &pole);
            way(pole, slip.vector()).map_or_else(Vec::new, |way| arrow(at, way, 0.42, long))
        }
        Planes::Circles => {
            let line = seen(slip.vector());
            let at = projection.project_beyond(hemisphere, &line);
            let sense = slip.sense();
            if matches!(sense, Sense::Normal | Sense::Reverse) {
                let down = slip.plane().down_dip();
                let wall = slip.into_hanging_wall();
                let out = unit(at.0, at.1)
                    .or_else(|| unit(down.y, down.x))
                    .or_else(|| unit(wall.y, wall.x));
                let sign = if sense == Sense::Normal { 1.0 } else { -1.0 };
                return out.map_or_else(Vec::new, |(x, y)| {
                    arrow(at, (sign * x, sign * y), 0.0, long)
                });
            }
            let Some(along) = way(line, slip.plane().normal().cross(&line)) else {
                return Vec::new();
            };
            // Seen from the other side, the block to the left of `along` goes along it where the slip is dextral.
            let sign = if sense == Sense::Dextral { 1.0 } else { -1.0 };
            let mut strokes = half_arrow(at, (sign * along.0, sign * along.1), sign, long);
            strokes.extend(half_arrow(
                at,
                (-sign * along.0, -sign * along.1),
                sign,
                long,
            ));
            strokes
        }
    }
}

fn unit(x: f64, y: f64) -> Option<(f64, f64)> {
    let length = x.hypot(y);
    (length > 1e-9).then(|| (x / length, y / length))
}

/// A shaft with a head of two barbs; so much of it lies behind the place.
fn arrow((x, y): (f64, f64), (dx, dy): (f64, f64), behind: f64, long: f64) -> Vec<Vec<(f64, f64)>> {
    let at = |along: f64, left: f64| {
        (
            x + long * (dx * along - dy * left),
            y + long * (dy * along + dx * left),
        )
    };
    let tip = 1.0 - behind;
    vec![
        vec![at(-behind, 0.0), at(tip, 0.0)],
        vec![at(tip - 0.28, 0.2), at(tip, 0.0), at(tip - 0.28, -0.2)],
    ]
}

/// A shaft beside the place, on the left of the way it goes (1) or on the right (−1), with its barb outside.
fn half_arrow(
    (x, y): (f64, f64),
    (dx, dy): (f64, f64),
    side: f64,
    long: f64,
) -> Vec<Vec<(f64, f64)>> {
    let at = |along: f64, out: f64| {
        let left = out * side;
        (
            x + long * (dx * along - dy * left),
            y + long * (dy * along + dx * left),
        )
    };
    vec![vec![at(-0.5, 0.3), at(0.5, 0.3), at(0.22, 0.55)]]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::orientation::Plane;

    fn strokes(
        strike_deg: f64,
        dip_deg: f64,
        rake_deg: f64,
        planes: Planes,
    ) -> Vec<Vec<(f64, f64)>> {
        let slip = Slip::new(Plane::from_deg(strike_deg, dip_deg).unwrap(), rake_deg).unwrap();
        slip_strokes(&slip, planes, Projection::EqualArea, Hemisphere::Lower, 0.1)
    }

    /// The way from the first place of a stroke to the second, east and north.
    fn way(stroke: &[(f64, f64)]) -> (f64, f64) {
        unit(stroke[1].0 - stroke[0].0, stroke[1].1 - stroke[0].1).unwrap()
    }

    #[test]
    fn an_arrow_through_the_pole_goes_the_way_of_the_hanging_wall() {
        // A fault that strikes north and dips 60 east; its pole lies west of the middle. Down the dip is east.
        let (x, y) = way(&strokes(0.0, 60.0, -90.0, Planes::Poles)[0]);
        assert!(x > 0.999 && y.abs() < 1e-6, "normal: {x} {y}");
        let (x, _) = way(&strokes(0.0, 60.0, 90.0, Planes::Poles)[0]);
        assert!(x < -0.999, "reverse: {x}");
        // Rake 0 is along the strike, north.
        let (_, y) = way(&strokes(0.0, 60.0, 0.0, Planes::Poles)[0]);
        assert!(y > 0.999, "sinistral: {y}");
    }

    #[test]
    fn an_arrow_on_the_circle_points_out_where_the_hanging_wall_went_down() {
        let (x, _) = way(&strokes(0.0, 60.0, -90.0, Planes::Circles)[0]);
        assert!(x > 0.999, "normal, out to the east: {x}");
        let (x, _) = way(&strokes(0.0, 60.0, 90.0, Planes::Circles)[0]);
        assert!(x < -0.999, "reverse, in: {x}");
    }

    #[test]
    fn half_arrows_show_the_other_side_going_left_or_right() {
        // A vertical fault that strikes north. Dextral: who stands west and looks east sees the east side go right, south.
        for (rake, east_side_goes) in [(180.0, -1.0), (0.0, 1.0)] {
            let found = strokes(0.0, 90.0, rake, Planes::Circles);
            assert_eq!(found.len(), 2);
            for stroke in &found {
                let (_, y) = way(stroke);
                let side = if stroke[0].0 > 0.0 { 1.0 } else { -1.0 };
                assert!(
                    (y - side * east_side_goes).abs() < 1e-6,
                    "rake {rake}: {stroke:?}"
                );
                // The barb is on the outer side.
                assert!(stroke[2].0.abs() > stroke[0].0.abs(), "{stroke:?}");
            }
        }
    }

    #[test]
    fn a_level_fault_and_a_line_straight_down_have_an_arrow_too() {
        let (_, y) = way(&strokes(0.0, 0.0, 0.0, Planes::Poles)[0]);
        assert!(y > 0.999, "{y}");
        let found = strokes(0.0, 90.0, -90.0, Planes::Circles);
        let (x, y) = way(&found[0]);
        assert!(x.is_finite() && y.is_finite());
    }
}
