//! Two faults of one pair and the principal directions they stand for.

use crate::orientation::{Line, Plane};

/// What a conjugate pair says.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Conjugate {
    /// Greatest compression: halves the acute angle.
    pub sigma1: Line,
    /// Along the line where the faults meet.
    pub sigma2: Line,
    /// Least compression: halves the obtuse angle.
    pub sigma3: Line,
    /// The acute angle between the faults, degrees.
    pub two_theta_deg: f64,
}

/// The principal directions of a conjugate pair.
///
/// # Degenerate input
/// Parallel planes: `None`. Planes at a right angle have no acute angle; the first bisector is then called greatest, and the
/// caller should say so.
///
/// # References
/// Anderson, E. M., 1951, The dynamics of faulting: the greatest compression halves the acute angle (textbook rule, common
/// practice). A model: it takes it that both slipped at once in unbroken rock.
#[must_use]
pub fn conjugate(one: &Plane, other: &Plane) -> Option<Conjugate> {
    let sigma2 = one.intersection(other)?;
    let meet = sigma2.vector();
    let (a, b) = (meet.cross(&one.normal()), meet.cross(&other.normal()));
    let b = if a.dot(&b) < 0.0 { -b } else { b };
    Some(Conjugate {
        sigma1: Line::axis_from_vector(&(a + b))?,
        sigma2: sigma2.as_axis(),
        sigma3: Line::axis_from_vector(&(a - b))?,
        two_theta_deg: one.angle(other).deg(),
    })
}
