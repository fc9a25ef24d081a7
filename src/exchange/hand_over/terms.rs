//! Terms that others look up: the vocabularies of the CGI, and the symbol numbers of FGDC-STD-013-2006.

use crate::notebook::Tops;
use crate::orientation::Plane;

/// Every address here stands in the vocabularies of the Commission for the Management and Application of Geoscience
/// Information (CGI, a commission of the IUGS), as published in its public repository of vocabularies, state of 16 January
/// 2025, licence CC BY 4.0: `foliationtype`, `lineationtype`, `faulttype`, `contacttype`, `planarpolaritycode`,
/// `conventioncode` and `determinationmethodorientation`. A kind that has no term of its own there has none here.
const CGI: &str = "http://resource.geosciml.org/classifier/cgi/";

/// Planes and lines are given as strike and dip by the right-hand rule: `conventioncode/strike_dip_rhr`.
pub(super) const CONVENTION: &str =
    "http://resource.geosciml.org/classifier/cgi/conventioncode/strike_dip_rhr";

/// Measured with a compass on the outcrop: `determinationmethodorientation/standard_on_site_measure`.
pub(super) const METHOD: &str = "http://resource.geosciml.org/classifier/cgi/determinationmethodorientation/standard_on_site_measure";

/// The words of a kind of structure: what a person added carries its form before a colon, `plane: gash`.
pub(super) fn words(kind: &str) -> &str {
    ["plane + line:", "plane:", "line:"]
        .iter()
        .find_map(|form| kind.strip_prefix(form))
        .map_or(kind, str::trim)
}

/// The term of a kind of structure.
///
/// # Degenerate input
/// A joint, a vein, a dyke, a fold hinge, a current: the vocabularies name the fabric or the body, not the surface or line
/// that was measured, so there is none; nor for a kind of a person's own.
pub(super) fn kind(kind: &str) -> Option<String> {
    // Of a plane with a line in it, the term is that of the plane.
    let plane = kind.split(" + ").next().unwrap_or(kind);
    let term = match plane {
        "bedding" => "foliationtype/bedding_fabric",
        "cleavage" => "foliationtype/cleavage",
        "foliation" => "foliationtype/foliation",
        "fault" => "faulttype/fault",
        "contact" => "contacttype/contact",
        "mineral lineation" => "lineationtype/mineral_lineation",
        "stretching lineation" => "lineationtype/stretching_lineation",
        "intersection lineation" => "lineationtype/intersection_lineation",
        "slip line" => "lineationtype/slickenline",
        _ => return None,
    };
    Some(format!("{CGI}{term}"))
}

/// The term of the way the beds young, or of a plane that stands on end, which has neither.
pub(super) fn polarity(tops: Tops) -> Option<String> {
    let term = match tops {
        Tops::Unknown => return None,
        Tops::Upright => "upright",
        Tops::Overturned => "overturned",
    };
    Some(format!("{CGI}planarpolaritycode/{term}"))
}

/// From here on an angle rounds to the figure of a vertical or a horizontal plane, degrees.
const HALF_DEG: f64 = 0.5;

/// How a plane lies, for its symbol.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Lie {
    Horizontal,
    Inclined,
    Vertical,
    Overturned,
}

impl Lie {
    pub(super) fn of(plane: &Plane, tops: Tops) -> Self {
        match plane.dip().deg() {
            dip if dip < HALF_DEG => Self::Horizontal,
            dip if dip >= 90.0 - HALF_DEG => Self::Vertical,
            _ if tops == Tops::Overturned => Self::Overturned,
            _ => Self::Inclined,
        }
    }

    pub(super) fn words(self) -> &'static str {
        match self {
            Self::Horizontal => "horizontal",
            Self::Inclined => "inclined",
            Self::Vertical => "vertical",
            Self::Overturned => "overturned",
        }
    }
}

/// The number of a symbol in FGDC-STD-013-2006, section 6.
///
/// Only bedding has one: 6.1, 6.2 and 6.3 as public lists of the standard's symbols give them, 6.4 (overturned) from memory.
/// The plates of the other sections were not at hand, and a wrong number would draw a wrong map: other kinds carry the words
/// of their symbol and its rotation instead.
pub(super) fn fgdc(kind: &str, lie: Lie) -> Option<&'static str> {
    (kind.split(" + ").next() == Some("bedding")).then_some(match lie {
        Lie::Horizontal => "6.1",
        Lie::Inclined => "6.2",
        Lie::Vertical => "6.3",
        Lie::Overturned => "6.4",
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_plane_with_a_line_has_the_term_of_its_plane() {
        assert_eq!(kind("fault + line"), kind("fault"));
        assert_eq!(kind("bedding + line"), kind("bedding"));
        assert_eq!(kind("joint"), None);
        assert_eq!(kind("plane: bedding"), None);
    }

    #[test]
    fn only_the_prefix_of_an_own_kind_is_taken_off() {
        assert_eq!(words("plane: gash"), "gash");
        assert_eq!(words("plane + line: fault: east"), "fault: east");
        assert_eq!(words("slickenside: polished"), "slickenside: polished");
    }

    #[test]
    fn bedding_alone_has_a_number() {
        let lie = |dip_deg, tops| Lie::of(&Plane::from_deg(40.0, dip_deg).unwrap(), tops);
        for (dip, tops, number) in [
            (0.0, Tops::Unknown, "6.1"),
            (0.4, Tops::Overturned, "6.1"),
            (0.5, Tops::Upright, "6.2"),
            (36.0, Tops::Overturned, "6.4"),
            (89.4, Tops::Unknown, "6.2"),
            (89.5, Tops::Overturned, "6.3"),
        ] {
            assert_eq!(fgdc("bedding", lie(dip, tops)), Some(number), "{dip}");
            assert_eq!(
                fgdc("bedding + line", lie(dip, tops)),
                Some(number),
                "{dip}"
            );
            assert_eq!(fgdc("cleavage", lie(dip, tops)), None);
        }
    }
}
