//! Instruments as rigid bodies: a base that is turned, a lid on its joint, scales whose marks are vectors fixed to them, a needle
//! that stays north and a clinometer that hangs. Whatever stands on a scale is read off the turned bodies.
//!
//! World: north, east, down. Body of a base: x along the hinge to the card's north, y to the right, z down.

use hingeline::orientation::angle::{degrees, radians, wrap_deg};
use hingeline::orientation::{Edge, HingeEnd, Numbers, Swing};
use nalgebra::{Matrix3, Rotation3, Unit, Vector3};

pub(crate) type Turned = Rotation3<f64>;

/// Rock: a plane by its downward normal, its right-hand strike and its dip line, and a line in it.
pub(crate) struct Rock {
    pub(crate) along: Vector3<f64>,
    pub(crate) down_dip: Vector3<f64>,
    pub(crate) normal: Vector3<f64>,
    pub(crate) line: Vector3<f64>,
}

impl Rock {
    /// A level slab, its strike to the north, tilted to the east and then turned.
    pub(crate) fn new(strike_deg: f64, dip_deg: f64, rake_deg: f64) -> Self {
        let turned = about_down(strike_deg)
            * Rotation3::from_axis_angle(&Vector3::x_axis(), radians(dip_deg));
        let scratch = Rotation3::from_axis_angle(&Vector3::z_axis(), radians(rake_deg));
        Self {
            along: turned * Vector3::x(),
            down_dip: turned * Vector3::y(),
            normal: turned * Vector3::z(),
            line: turned * (scratch * Vector3::x()),
        }
    }

    /// A level line in the plane: either way along it.
    pub(crate) fn level(&self, back: bool) -> Vector3<f64> {
        // A level slab has level lines in every direction; any will do.
        let level = Vector3::z()
            .cross(&self.normal)
            .try_normalize(1e-9)
            .unwrap_or(self.along);
        if back { -level } else { level }
    }
}

pub(crate) fn about_down(deg: f64) -> Turned {
    Rotation3::from_axis_angle(&Vector3::z_axis(), radians(deg))
}

/// A level base whose x axis points as a level vector does.
pub(crate) fn level_base(h: &Vector3<f64>) -> Turned {
    base(h, &Vector3::z().cross(h))
}

/// A base by its x and y axes.
pub(crate) fn base(x: &Vector3<f64>, y: &Vector3<f64>) -> Turned {
    Rotation3::from_matrix_unchecked(Matrix3::from_columns(&[*x, *y, x.cross(y)]))
}

/// The angle from one vector to another about an axis, right-handed, radians.
fn turn_between(axis: &Vector3<f64>, from: &Vector3<f64>, to: &Vector3<f64>) -> f64 {
    axis.dot(&from.cross(to)).atan2(from.dot(to))
}

/// What a needle that settles on magnetic north shows on a card that was turned clockwise by so much.
pub(crate) fn needle_deg(
    case: &Turned,
    numbers: Numbers,
    declination_deg: f64,
    turned_deg: f64,
) -> f64 {
    let magnetic = about_down(declination_deg) * Vector3::x();
    let down = case * Vector3::z();
    let needle = (magnetic - down * down.dot(&magnetic)).normalize();
    match numbers {
        // The card is in the case: which of its marks is under the needle?
        Numbers::CounterClockwise => {
            let zero = case * (about_down(turned_deg) * Vector3::x());
            wrap_deg(-degrees(turn_between(&down, &zero, &needle)))
        }
        // The card rides on the needle: which of its marks is at the index of the case?
        Numbers::Clockwise => {
            let index = case * (about_down(turned_deg) * Vector3::x());
            wrap_deg(degrees(turn_between(&down, &needle, &index)))
        }
    }
}

/// What the needle shows on a card of four quadrants in the case, its letters E and W exchanged.
pub(crate) fn quadrant_text(case: &Turned) -> String {
    let down = case * Vector3::z();
    let at = |letter: char, place: Vector3<f64>| (letter, case * place);
    // Seen from above: S opposite N, E to the left and W to the right.
    let ends = [at('N', Vector3::x()), at('S', -Vector3::x())];
    let sides = [at('E', -Vector3::y()), at('W', Vector3::y())];
    let needle = Vector3::x();
    let nearest = |marks: &[(char, Vector3<f64>); 2]| {
        *marks
            .iter()
            .max_by(|a, b| a.1.dot(&needle).total_cmp(&b.1.dot(&needle)))
            .expect("two marks")
    };
    let (end, side) = (nearest(&ends), nearest(&sides));
    let number = degrees(turn_between(&down, &end.1, &needle)).abs();
    format!("{}{number:.10}{}", end.0, side.0)
}

/// One joint of a lid, with a scale on the lid and an index on the base that is so wide.
pub(crate) struct Joint {
    base: Turned,
    /// The joint's axis and the middle of the index, in the base.
    axis: Unit<Vector3<f64>>,
    index: Vector3<f64>,
    /// What is to the right of someone facing the scale, in the base.
    right: Vector3<f64>,
    width_deg: f64,
    /// How far the lid is turned from where it lies flat to the right, or north end level.
    turned_rad: f64,
}

impl Joint {
    /// The main axis along the hinge, faced along it: the free edge of the lid, flat to the right, is brought to a direction.
    pub(crate) fn hinge(base: Turned, free_edge: &Vector3<f64>, width_deg: f64) -> Self {
        let turned_rad = turn_between(&(base * Vector3::x()), &(base * Vector3::y()), free_edge);
        Self {
            base,
            axis: Vector3::x_axis(),
            index: Vector3::z(),
            right: Vector3::y(),
            width_deg,
            turned_rad,
        }
    }

    /// The second axis, faced with north to the right: the edge of the upright lid is brought to a direction; hung, the scale is
    /// read at the other side of the base.
    pub(crate) fn lid(base: Turned, edge: &Vector3<f64>, hung: bool, width_deg: f64) -> Self {
        let turned_rad = turn_between(&(base * Vector3::y()), &(base * Vector3::x()), edge);
        Self {
            base,
            axis: Vector3::y_axis(),
            index: if hung { -Vector3::z() } else { Vector3::z() },
            right: Vector3::x(),
            width_deg,
            turned_rad,
        }
    }

    /// Where an edge of the index is, in the base, about the foot of the scale that is in use.
    fn edge_at(&self, middle: &Vector3<f64>, edge: Edge) -> Vector3<f64> {
        let half = radians(self.width_deg / 2.0);
        let side = match edge {
            Edge::Right => self.right,
            Edge::Left => -self.right,
        };
        middle * half.cos() + side * half.sin()
    }

    /// The number at an edge of the index, degrees: of the row whose zero is at `row`'s edge when the lid lies flat at `flat`.
    fn number_deg(&self, zero: &Vector3<f64>, flat_rad: f64, read_at: Edge) -> f64 {
        let lid_flat = Rotation3::from_axis_angle(&self.axis, flat_rad);
        let lid_now = Rotation3::from_axis_angle(&self.axis, self.turned_rad);
        // The mark of zero is fixed to the lid, where the edge of the index was while the lid lay flat.
        let mark = self.base * (lid_now * (lid_flat.inverse() * zero));
        let index = self.base * self.edge_at(&self.index, read_at);
        degrees(turn_between(
            &(self.base * self.axis.into_inner()),
            &mark,
            &index,
        ))
        .abs()
    }

    /// The hinge's scale in the row of a swing: flat to its side it shows 0 at that side's edge.
    pub(crate) fn of_swing_deg(&self, swing: Swing, read_at: Edge) -> f64 {
        let (flat_rad, edge) = match swing {
            Swing::Right => (0.0, Edge::Right),
            Swing::Left => (std::f64::consts::PI, Edge::Left),
        };
        self.number_deg(&self.edge_at(&self.index, edge), flat_rad, read_at)
    }

    /// The lid's scale in the row of the end that is down: level it shows 0 at that end's edge below the base, and the same
    /// numbers stand diametrically opposite.
    pub(crate) fn of_end_deg(&self, down: HingeEnd, read_at: Edge) -> f64 {
        let edge = match down {
            HingeEnd::North => Edge::Right,
            HingeEnd::South => Edge::Left,
        };
        let below = self.edge_at(&Vector3::z(), edge);
        let zero = if self.index.z > 0.0 { below } else { -below };
        self.number_deg(&zero, 0.0, read_at)
    }
}

/// What a pointer that hangs by gravity shows in a case that stands upright with its long edge along a direction, either way up.
pub(crate) fn clinometer_deg(edge: &Vector3<f64>, upside_down: bool) -> f64 {
    let across = edge
        .cross(&Vector3::z())
        .try_normalize(1e-9)
        .unwrap_or(Vector3::y());
    // The case: x along its edge, y through its dial, z from the arm of the pointer to the middle of the scale.
    let case = base(edge, &if upside_down { across } else { -across });
    let pointer = case.inverse() * Vector3::z();
    // The scale goes all round, from 0 to 90 and back: 0 at the feet and at the head.
    degrees(pointer.x.atan2(pointer.z).tan().abs().atan())
}

/// Which end of an edge, by the card, is lower; `None` where it is level.
pub(crate) fn lower_end(edge_north: &Vector3<f64>) -> Option<HingeEnd> {
    if edge_north.z.abs() < 1e-9 {
        None
    } else if edge_north.z > 0.0 {
        Some(HingeEnd::North)
    } else {
        Some(HingeEnd::South)
    }
}
