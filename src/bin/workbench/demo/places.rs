//! The twelve stations: where they are, what the rock is, and what is measured there.

use super::Wanted::{
    AxialPlane, Bedding, Blunder as Wrong, Cleavage, CrossJoint, Fault, Hinge, Intersection,
    LongJoint, Slumped, Vein,
};
use super::{Blunder, Fix, Limb, Place};

const SLATE: (&str, &str) = ("Varrelow Slate", "slate, dark grey, silty laminae");
const GRIT: (&str, &str) = ("Quernel Grit", "greywacke in beds of 0.2-1 m, graded");
const LIME: (&str, &str) = (
    "Ambrick Limestone",
    "limestone, thin-bedded, crinoid debris",
);

pub(super) fn places() -> [Place; 12] {
    let place =
        |name, day, minute, (north_m, east_m), fix, (unit, lithology), person, limb| Place {
            name,
            day,
            minute,
            north_m,
            east_m,
            fix,
            unit,
            lithology,
            note: "",
            person,
            limb,
            wanted: &[],
        };
    use Fix::{Device, Typed};
    [
        Place {
            note: "Beck bed and both banks, 20 m of section.",
            wanted: &[Bedding(4), Cleavage(1), Intersection, CrossJoint],
            ..place(
                "beck, first bend",
                14,
                550,
                (0.0, 0.0),
                Device(6.0),
                GRIT,
                0,
                Limb::Long,
            )
        },
        Place {
            wanted: &[
                Bedding(2),
                Wrong(Blunder::DirectionAsStrike),
                Cleavage(2),
                Intersection,
            ],
            ..place(
                "stile above the ford",
                14,
                600,
                (140.0, -90.0),
                Device(5.0),
                GRIT,
                0,
                Limb::Long,
            )
        },
        Place {
            note: "Loose blocks at the foot: keep clear of the face.",
            wanted: &[
                Bedding(3),
                Slumped,
                Wrong(Blunder::Scatter),
                Cleavage(1),
                CrossJoint,
            ],
            ..place(
                "old quarry, lower face",
                14,
                655,
                (310.0, -160.0),
                Device(9.0),
                GRIT,
                0,
                Limb::Long,
            )
        },
        Place {
            note: "The hinge is seen in the back wall.",
            wanted: &[
                Bedding(2),
                Wrong(Blunder::SideAlongStrike),
                Hinge,
                Cleavage(2),
                Intersection,
            ],
            ..place(
                "old quarry, back wall",
                14,
                730,
                (365.0, -190.0),
                Device(8.0),
                SLATE,
                0,
                Limb::Hinge,
            )
        },
        Place {
            wanted: &[
                Bedding(4),
                Cleavage(1),
                Intersection,
                Wrong(Blunder::StrikeOver360),
            ],
            ..place(
                "knoll west of the quarry",
                14,
                800,
                (470.0, -330.0),
                Device(4.0),
                SLATE,
                1,
                Limb::Short,
            )
        },
        Place {
            note: "Position read off the sheet.",
            wanted: &[Bedding(3), Cleavage(1), Intersection, CrossJoint],
            ..place(
                "sheepfold",
                14,
                870,
                (560.0, -450.0),
                Typed,
                SLATE,
                1,
                Limb::Short,
            )
        },
        Place {
            note: "Gouge 0.1 m, breccia 1 m; slate against limestone.",
            wanted: &[
                Fault,
                Wrong(Blunder::LineOtherEnd),
                Vein,
                Bedding(3),
                LongJoint,
            ],
            ..place(
                "gully with the fault",
                14,
                930,
                (690.0, -520.0),
                Device(12.0),
                SLATE,
                1,
                Limb::Short,
            )
        },
        Place {
            wanted: &[Bedding(4), Cleavage(1), Intersection],
            ..place(
                "upper beck, waterfall",
                15,
                540,
                (800.0, -560.0),
                Device(7.0),
                LIME,
                0,
                Limb::Short,
            )
        },
        Place {
            note: "Sole marks face down: overturned.",
            wanted: &[
                Bedding(3),
                Wrong(Blunder::DipOver90),
                Cleavage(2),
                Intersection,
            ],
            ..place(
                "crag below the shoulder",
                15,
                605,
                (930.0, -700.0),
                Device(5.0),
                GRIT,
                0,
                Limb::Overturned,
            )
        },
        Place {
            note: "No fix under the crag.",
            wanted: &[Bedding(3), Cleavage(1), Intersection, CrossJoint],
            ..place(
                "foot of the crag",
                15,
                680,
                (985.0, -760.0),
                Fix::None,
                GRIT,
                0,
                Limb::Overturned,
            )
        },
        Place {
            wanted: &[Bedding(3), AxialPlane, Cleavage(1), Intersection, LongJoint],
            ..place(
                "col",
                15,
                760,
                (1130.0, -880.0),
                Device(4.0),
                LIME,
                1,
                Limb::Hinge,
            )
        },
        Place {
            note: "Last outcrop before the drift.",
            wanted: &[Bedding(4), Cleavage(1), Intersection, CrossJoint],
            ..place(
                "track, north side",
                15,
                840,
                (1290.0, -990.0),
                Device(5.0),
                LIME,
                1,
                Limb::Long,
            )
        },
    ]
}
