//! Every kind of instrument, set on rock as rigid bodies and read: what the library makes of the numbers is the rock again.

use hingeline::orientation::angle::{degrees, radians, turn_deg, wrap_deg};
use hingeline::orientation::instrument::{
    OneOf, OwnScale, OwnScales, ReadOff, Stands, Use, reduce_stood,
};
use hingeline::orientation::{
    Card, Dials, DoubtKind, Edge, HingeEnd, Instrument, Line, Numbers, Plane, Scales, Severity,
    Stood, Swing, normalise, reduce,
};
use nalgebra::{Rotation3, Unit, Vector3};
use proptest::prelude::*;

use super::instrument_bodies::{
    Joint, Rock, about_down, base, clinometer_deg, level_base, lower_end, needle_deg, quadrant_text,
};

const WIDTH_DEG: f64 = 2.5;
const EDGES: [Option<Edge>; 3] = [None, Some(Edge::Right), Some(Edge::Left)];
const BOTH: [bool; 2] = [false, true];

pub(crate) fn scales() -> Scales {
    Scales {
        index_width_deg: Some(WIDTH_DEG),
        ..Scales::default()
    }
}

/// Level, upright and general planes with a line in them.
fn rocks() -> impl Strategy<Value = (f64, f64, f64)> {
    let corner = |values: &'static [f64]| prop::sample::select(values);
    (
        prop_oneof![4 => 0.0..360.0, 1 => corner(&[0.0, 90.0, 180.0, 270.0])],
        prop_oneof![4 => 0.0..90.0, 1 => corner(&[0.0, 0.5, 89.5, 90.0])],
        prop_oneof![4 => 0.0..180.0, 1 => corner(&[0.0, 90.0, 180.0])],
    )
}

/// The same axis, whichever way it points.
#[track_caller]
fn check_axis(got: &Vector3<f64>, expected: &Vector3<f64>, what: &str) {
    let off = got.cross(expected).norm();
    assert!(off < 1e-8, "{what}: {off} off, {got:?}, not {expected:?}");
}

#[track_caller]
fn check_plane(got: OneOf<Plane>, rock: &Rock, what: &str) {
    let plane = got.decided().unwrap_or_else(|| panic!("{what}: {got:?}"));
    check_axis(&plane.normal(), &rock.normal, what);
}

#[track_caller]
fn check_line(got: OneOf<Line>, line: &Vector3<f64>, what: &str) {
    let found = got.decided().unwrap_or_else(|| panic!("{what}: {got:?}"));
    check_axis(&found.vector(), line, what);
}

/// One of the two is the rock, and they are not the same.
#[track_caller]
fn check_either(got: OneOf<Vector3<f64>>, expected: &Vector3<f64>, what: &str) {
    let OneOf::Either(a, b) = got else {
        panic!("{what}: {got:?}");
    };
    let off = |v: Vector3<f64>| v.cross(expected).norm();
    assert!(off(a).min(off(b)) < 1e-8, "{what}: {a:?} {b:?}");
}

fn normals(planes: OneOf<Plane>) -> OneOf<Vector3<f64>> {
    match planes {
        OneOf::Nothing => OneOf::Nothing,
        OneOf::This(a) => OneOf::This(a.normal()),
        OneOf::Either(a, b) => OneOf::Either(a.normal(), b.normal()),
    }
}

fn vectors(lines: OneOf<Line>) -> OneOf<Vector3<f64>> {
    match lines {
        OneOf::Nothing => OneOf::Nothing,
        OneOf::This(a) => OneOf::This(a.vector()),
        OneOf::Either(a, b) => OneOf::Either(a.vector(), b.vector()),
    }
}

/// As someone would type it who could read a ten-thousand-millionth of a degree.
fn azimuth_text(deg: f64) -> String {
    format!("{:014.10}", deg.abs())
}

fn slope_text(deg: f64) -> String {
    format!("{:013.10}", deg.abs())
}

/// The transit on a plane: h either way along the strike, the lid below the base or, hung, above it.
struct OnPlane {
    stood: Stood,
    read: ReadOff,
    case: Rotation3<f64>,
}

fn hinge_on_plane(
    rock: &Rock,
    back: bool,
    hung: bool,
    edge: Option<Edge>,
    flat_right: bool,
) -> OnPlane {
    let h = rock.level(back);
    let case = level_base(&h);
    let right = case * Vector3::y();
    let across = h.cross(&rock.normal);
    // The free edge lies in the plane: below the base, or above it where it hangs; on a level plane on the side chosen.
    let wanted = if across.z.abs() > 1e-9 {
        across.z * if hung { -1.0 } else { 1.0 }
    } else {
        across.dot(&right) * if flat_right { 1.0 } else { -1.0 }
    };
    let free = if wanted > 0.0 { across } else { -across };
    let side = free.dot(&right);
    let swing = if side.abs() < 1e-9 {
        // Upright it is on neither side: it may have come from either.
        if flat_right {
            Swing::Right
        } else {
            Swing::Left
        }
    } else if side > 0.0 {
        Swing::Right
    } else {
        Swing::Left
    };
    let joint = Joint::hinge(case, &free, WIDTH_DEG);
    let belongs = if swing == Swing::Right {
        Edge::Right
    } else {
        Edge::Left
    };
    OnPlane {
        stood: Stood {
            swing: Some(swing),
            edge,
            hung,
            down: None,
        },
        read: ReadOff {
            of: Use::Plane,
            needle_deg: Some(needle_deg(&case, Numbers::default(), 0.0, 0.0)),
            hinge_deg: Some(joint.of_swing_deg(swing, edge.unwrap_or(belongs))),
            ..ReadOff::default()
        },
        case,
    }
}

proptest! {
    /// Either end of the strike, every edge, below the base and above: the plane again, by numbers and by typed dials.
    #[test]
    fn the_hinge_transit_finds_its_plane((strike, dip, _) in rocks()) {
        let rock = Rock::new(strike, dip, 0.0);
        for (back, hung, flat_right) in all_of_three() {
            for edge in EDGES {
                let OnPlane { stood, read, case } = hinge_on_plane(&rock, back, hung, edge, flat_right);
                let what = format!("{strike} {dip} back {back} {stood:?} {read:?}");
                let got = reduce_stood(Instrument::HingeTransit, &read, &stood, &scales()).plane;
                let number = read.hinge_deg.unwrap();
                let wrong = edge.is_some() && edge != stood.hinge_edge();
                // Zero may lie between the edges.
                if wrong && !hung && number < WIDTH_DEG + 1e-9 {
                    check_either(normals(got), &rock.normal, &what);
                    continue;
                }
                check_plane(got, &rock, &what);
                for quadrants in BOTH {
                    let strike_text = if quadrants { quadrant_text(&case) } else { azimuth_text(read.needle_deg.unwrap()) };
                    let dip_text = slope_text(number);
                    let card = if quadrants { Card::Quadrant } else { Card::Azimuth };
                    let dials = Dials { strike: Some(&strike_text), dip: Some(&dip_text), ..Dials::default() };
                    let normal = normalise(&dials, Instrument::HingeTransit, card, &stood, &scales());
                    let reduced = reduce(&normal.dials());
                    let plane = reduced.plane.unwrap_or_else(|| panic!("{what}: {normal:?}"));
                    check_axis(&plane.normal(), &rock.normal, &what);
                    prop_assert!(normal.doubts.iter().all(|d| d.severity == Severity::Note), "{normal:?}");
                    prop_assert_eq!(normal.doubts.len(), usize::from(wrong));
                }
            }
            // Without the swing it is this plane or the one that dips to the other side.
            let OnPlane { read, .. } = hinge_on_plane(&rock, back, hung, None, flat_right);
            let got = reduce_stood(Instrument::HingeTransit, &read, &Stood::default(), &scales()).plane;
            let number = read.hinge_deg.unwrap();
            if number == 0.0 || number == 90.0 {
                check_plane(got, &rock, "level or upright");
            } else {
                check_either(normals(got), &rock.normal, "no swing");
            }
        }
    }

    /// Either end of h, every edge, below the base and hung above it, under overhangs too: the line again.
    #[test]
    fn the_hinge_transit_finds_its_line((strike, dip, rake) in rocks()) {
        let rock = Rock::new(strike, dip, rake);
        for (back, hung, upright_from) in all_of_three() {
            let (case, edge_north) = along_line(&rock.line, back, upright_from);
            let down = lower_end(&edge_north);
            let row = down.unwrap_or(if upright_from { HingeEnd::North } else { HingeEnd::South });
            let joint = Joint::lid(case, &edge_north, hung, WIDTH_DEG);
            for edge in EDGES {
                let stood = Stood { swing: None, edge, hung, down: Some(row) };
                let number = joint.of_end_deg(row, edge.unwrap_or(stood.lid_edge().unwrap()));
                let read = ReadOff {
                    of: Use::Line,
                    needle_deg: Some(needle_deg(&case, Numbers::default(), 0.0, 0.0)),
                    lid_deg: Some(number),
                    ..ReadOff::default()
                };
                let what = format!("{:?} back {back} {stood:?} {read:?}", rock.line);
                let got = reduce_stood(Instrument::HingeTransit, &read, &stood, &scales()).line;
                let wrong = edge.is_some() && edge != stood.lid_edge();
                if wrong && number < WIDTH_DEG + 1e-9 {
                    check_either(vectors(got), &rock.line, &what);
                    continue;
                }
                check_line(got, &rock.line, &what);
                let (trend_text, plunge_text) = (azimuth_text(read.needle_deg.unwrap()), slope_text(number));
                let dials = Dials { trend: Some(&trend_text), plunge: Some(&plunge_text), ..Dials::default() };
                let normal = normalise(&dials, Instrument::HingeTransit, Card::Azimuth, &stood, &scales());
                let line = reduce(&normal.dials()).line.unwrap_or_else(|| panic!("{what}: {normal:?}"));
                check_axis(&line.vector(), &rock.line, &what);
                // Told to point up, it is the same axis from its upper end.
                let up = Dials { up: true, ..dials };
                let normal = normalise(&up, Instrument::HingeTransit, Card::Azimuth, &stood, &scales());
                let line = reduce(&normal.dials()).line.unwrap_or_else(|| panic!("{what}: {normal:?}"));
                check_axis(&line.vector(), &rock.line, &what);
                prop_assert!(line.plunge().deg() <= 0.0);
            }
            // Hung, and the end not noted: this line or the one that plunges to the other end.
            if hung && let Some(down) = down {
                let stood = Stood { hung, ..Stood::default() };
                let number = joint.of_end_deg(down, Stood { down: Some(down), ..stood }.lid_edge().unwrap());
                let read = ReadOff {
                    of: Use::Line,
                    needle_deg: Some(needle_deg(&case, Numbers::default(), 0.0, 0.0)),
                    lid_deg: Some(number),
                    ..ReadOff::default()
                };
                let got = reduce_stood(Instrument::HingeTransit, &read, &stood, &scales()).line;
                check_either(vectors(got), &rock.line, "no end noted");
            }
        }
    }

    /// The line of sight, up or down.
    #[test]
    fn a_sighting_along_the_hinge((strike, dip, rake) in rocks(), by_clinometer: bool) {
        let rock = Rock::new(strike, dip, rake);
        for up in BOTH {
            let target = if up { -rock.line } else { rock.line };
            let (case, edge_north) = along_line(&target, false, !up);
            let down = lower_end(&edge_north);
            let row = down.unwrap_or(HingeEnd::North);
            let stood = Stood { down: Some(row), ..Stood::default() };
            let joint = Joint::lid(case, &edge_north, false, WIDTH_DEG);
            let mut read = ReadOff {
                of: Use::Sighting,
                needle_deg: Some(needle_deg(&case, Numbers::default(), 0.0, 0.0)),
                ..ReadOff::default()
            };
            if by_clinometer {
                read.clinometer_deg = Some(clinometer_deg(&edge_north, false));
            } else {
                read.lid_deg = Some(joint.of_end_deg(row, stood.lid_edge().unwrap()));
            }
            for kind in [Instrument::HingeTransit, Instrument::ArmTransit] {
                if kind == Instrument::ArmTransit && !by_clinometer {
                    continue;
                }
                let got = reduce_stood(kind, &read, &stood, &scales()).line;
                check_line(got, &target, "sight");
                let sight = got.decided().unwrap().vector();
                prop_assert!(sight.dot(&target) > 0.0 || rock.line.z.abs() > 1.0 - 1e-9);
            }
        }
    }

    /// The hinge along the normal, its north or its south end in the rock, on the upper side and under an overhang.
    #[test]
    fn a_rake_on_the_hinge((strike, dip, rake) in rocks()) {
        let rock = Rock::new(strike, dip.clamp(0.5, 89.5), rake);
        for (north_down, row_right, noted) in all_of_three() {
            let h = if north_down { rock.normal } else { -rock.normal };
            // The base's edge along the strike, the lid's side of it down the dip.
            let mut case = base(&h, &rock.along);
            if (case * Vector3::z()).dot(&rock.down_dip) < 0.0 {
                case = base(&h, &-rock.along);
            }
            let joint = Joint::hinge(case, &rock.line, WIDTH_DEG);
            let swing = if row_right { Swing::Right } else { Swing::Left };
            // Not noted, the north end is in the rock: above its underside that is up.
            let stood = Stood {
                swing: Some(swing),
                hung: !noted && !north_down,
                down: noted.then_some(if north_down { HingeEnd::North } else { HingeEnd::South }),
                edge: None,
            };
            let read = ReadOff {
                of: Use::Rake,
                hinge_deg: Some(joint.of_swing_deg(swing, stood.hinge_edge().unwrap())),
                ..ReadOff::default()
            };
            let got = reduce_stood(Instrument::HingeTransit, &read, &stood, &scales());
            let expected = degrees(rock.along.cross(&rock.line).norm().atan2(rock.along.dot(&rock.line)));
            let found = got.rake_deg.decided().unwrap();
            prop_assert!((found - expected).abs() < 1e-7, "{found}, not {expected}: {stood:?} {read:?}");
        }
    }

    /// The hinge along the intersection, the right half of the base on one plane and the lid on the other.
    #[test]
    fn the_angle_between_two_planes_on_the_hinge(
        azimuth in 0.0..360.0, plunge in -90.0..90.0, roll in 0.0..360.0, angle in 0.0..180.0f64, row_right: bool, edge_at in 0usize..3,
    ) {
        let turned = about_down(azimuth)
            * Rotation3::from_axis_angle(&Vector3::y_axis(), radians(plunge))
            * Rotation3::from_axis_angle(&Vector3::x_axis(), radians(roll));
        let limb = turned * Vector3::y();
        let other = Rotation3::from_axis_angle(
            &Unit::new_normalize(turned * Vector3::x()),
            radians(angle),
        ) * limb;
        let joint = Joint::hinge(turned, &other, WIDTH_DEG);
        let swing = if row_right { Swing::Right } else { Swing::Left };
        let edge = EDGES[edge_at];
        let stood = Stood { swing: Some(swing), edge, ..Stood::default() };
        let number = joint.of_swing_deg(swing, edge.unwrap_or(stood.hinge_edge().unwrap()));
        let read = ReadOff { of: Use::Angle, hinge_deg: Some(number), ..ReadOff::default() };
        let got = reduce_stood(Instrument::HingeTransit, &read, &stood, &scales()).angle_deg;
        let near = |deg: f64| (deg - angle).abs() < 1e-7;
        let text = azimuth_text(number);
        let dials = Dials { angle: Some(&text), ..Dials::default() };
        let normal = normalise(&dials, Instrument::HingeTransit, Card::Azimuth, &stood, &scales());
        match got {
            OneOf::This(deg) => {
                prop_assert!(near(deg), "{deg}, not {angle}");
                prop_assert!(near(reduce(&normal.dials()).angle_deg.unwrap()), "{normal:?}");
            }
            OneOf::Either(a, b) => {
                prop_assert!(near(a) || near(b));
                prop_assert_eq!(normal.doubts[0].kind, DoubtKind::WrongEdge);
            }
            OneOf::Nothing => prop_assert!(false, "no angle"),
        }
    }

    /// An edge on the plane and the case in the air beside it, then the clinometer: either end, upper side and underside.
    #[test]
    fn an_edge_and_a_clinometer_find_plane_and_line((strike, dip, rake) in rocks()) {
        let rock = Rock::new(strike, dip, rake);
        for (back, hung, flat_right) in all_of_three() {
            let h = rock.level(back);
            let case = level_base(&h);
            let right = case * Vector3::y();
            // The air is above the plane, or below it under an overhang; the level case reaches into it.
            let air = if hung { rock.normal } else { -rock.normal };
            let into_air = right.dot(&air);
            let swing = if into_air.abs() < 1e-9 {
                if flat_right { Swing::Right } else { Swing::Left }
            } else if into_air > 0.0 {
                Swing::Right
            } else {
                Swing::Left
            };
            let stood = Stood { swing: Some(swing), hung, ..Stood::default() };
            let read = ReadOff {
                of: Use::Plane,
                needle_deg: Some(needle_deg(&case, Numbers::default(), 0.0, 0.0)),
                clinometer_deg: Some(clinometer_deg(&rock.down_dip, hung)),
                ..ReadOff::default()
            };
            let (line_case, edge_north) = along_line(&rock.line, back, flat_right);
            let down = lower_end(&edge_north).or(Some(HingeEnd::North));
            let line_stood = Stood { down, hung, ..Stood::default() };
            let line_read = ReadOff {
                of: Use::Line,
                needle_deg: Some(needle_deg(&line_case, Numbers::default(), 0.0, 0.0)),
                clinometer_deg: Some(clinometer_deg(&edge_north, hung)),
                ..ReadOff::default()
            };
            for kind in [Instrument::ArmTransit, Instrument::CompassAndClinometer] {
                let what = format!("{kind:?} {strike} {dip} {rake} {stood:?} {line_stood:?} {read:?} {line_read:?}");
                check_plane(reduce_stood(kind, &read, &stood, &scales()).plane, &rock, &what);
                check_line(reduce_stood(kind, &line_read, &line_stood, &scales()).line, &rock.line, &what);
                let texts = [
                    azimuth_text(read.needle_deg.unwrap()),
                    slope_text(read.clinometer_deg.unwrap()),
                    azimuth_text(line_read.needle_deg.unwrap()),
                    slope_text(line_read.clinometer_deg.unwrap()),
                ];
                let dials = Dials {
                    strike: Some(&texts[0]),
                    dip: Some(&texts[1]),
                    trend: Some(&texts[2]),
                    plunge: Some(&texts[3]),
                    ..Dials::default()
                };
                let both = Stood { down, ..stood };
                let normal = normalise(&dials, kind, Card::Azimuth, &both, &scales());
                let reduced = reduce(&normal.dials());
                check_axis(&reduced.plane.unwrap().normal(), &rock.normal, &what);
                check_axis(&reduced.line.unwrap().vector(), &rock.line, &what);
            }
        }
    }

    /// The plate on the plane and the level case in the air, its card either way round.
    #[test]
    fn the_plate_compass_finds_its_plane((strike, dip, _) in rocks()) {
        let rock = Rock::new(strike, dip, 0.0);
        for (hung, turned_round, flat) in all_of_three() {
            let level = rock.level(flat);
            let air = if hung { rock.normal } else { -rock.normal };
            let across = level.cross(&Vector3::z());
            let out = if across.dot(&air) > 0.0 { across } else { -across };
            // The plate lies on the plane, and its joint shows how far it is from the level case, either way.
            let plate = level.cross(&rock.normal);
            let joint_deg = degrees(plate.cross(&out).norm().atan2(plate.dot(&out).abs()));
            let card_north = if turned_round { -out } else { out };
            let case = level_base(&card_north);
            let faces_down = card_north.dot(&rock.down_dip) > 0.0;
            let down = if faces_down { HingeEnd::North } else { HingeEnd::South };
            let stood = Stood { hung, down: Some(down), ..Stood::default() };
            let read = ReadOff {
                of: Use::Plane,
                needle_deg: Some(needle_deg(&case, Numbers::default(), 0.0, 0.0)),
                hinge_deg: Some(joint_deg),
                ..ReadOff::default()
            };
            let what = format!("{strike} {dip} {stood:?} {read:?}");
            check_plane(reduce_stood(Instrument::PlateCompass, &read, &stood, &scales()).plane, &rock, &what);
            let (toward, dip_text) = (azimuth_text(read.needle_deg.unwrap()), slope_text(joint_deg));
            let dials = Dials { toward: Some(&toward), dip: Some(&dip_text), ..Dials::default() };
            let normal = normalise(&dials, Instrument::PlateCompass, Card::Azimuth, &stood, &scales());
            check_axis(&reduce(&normal.dials()).plane.unwrap().normal(), &rock.normal, &what);
            let not_noted = Stood { hung, ..Stood::default() };
            let got = reduce_stood(Instrument::PlateCompass, &read, &not_noted, &scales()).plane;
            if hung && joint_deg > 1e-9 {
                check_either(normals(got), &rock.normal, &what);
            } else if !turned_round {
                check_plane(got, &rock, &what);
            }
        }
    }

    /// A card in the case counter-clockwise and one on the needle clockwise show the same: the true bearing of h, once turned by
    /// the declination, clockwise where it is east.
    #[test]
    fn the_card_shows_the_bearing_of_the_hinge(azimuth in 0.0..360.0f64, declination in -60.0..60.0f64) {
        let case = about_down(azimuth);
        let apart = |a: f64, b: f64| turn_deg(a, b).abs();
        for numbers in [Numbers::CounterClockwise, Numbers::Clockwise] {
            prop_assert!(apart(needle_deg(&case, numbers, declination, declination), azimuth) < 1e-8);
            // Not turned it shows the magnetic bearing, and true = read + declination (common practice).
            prop_assert!(apart(needle_deg(&case, numbers, declination, 0.0) + declination, azimuth) < 1e-8);
        }
        // The mark under the needle is printed where the needle is.
        let needle_from_h = -azimuth;
        prop_assert!(apart(Numbers::CounterClockwise.printed_at_deg(azimuth), needle_from_h) < 1e-8);
        prop_assert!(apart(Numbers::Clockwise.printed_at_deg(azimuth), azimuth) < 1e-8);
    }

    /// A person's own: a card that counts counter-clockwise from the south, a clinometer from the vertical.
    #[test]
    fn own_scales_come_back_to_the_trade((strike, dip, _) in rocks()) {
        let own = OwnScales {
            card: Some(OwnScale { zero_deg: 180.0, reversed: true, ..OwnScale::CARD }),
            dip: Some(OwnScale { zero_deg: 90.0, reversed: true, ..OwnScale::CLINOMETER }),
            plunge: None,
        };
        let scales = Scales { own, ..Scales::default() };
        let rock = Rock::new(strike, dip, 0.0);
        let case = level_base(&rock.along);
        // Counter-clockwise from the south of the sky, and from the hanging thread.
        let h = case * Vector3::x();
        let from_south = wrap_deg(degrees(h.y.atan2(-h.x)));
        let from_thread = degrees(rock.down_dip.cross(&Vector3::z()).norm().atan2(rock.down_dip.z));
        let stood = Stood { swing: Some(Swing::Right), ..Stood::default() };
        let read = ReadOff {
            of: Use::Plane,
            needle_deg: Some(from_south),
            hinge_deg: Some(from_thread),
            ..ReadOff::default()
        };
        check_plane(reduce_stood(Instrument::Own, &read, &stood, &scales).plane, &rock, "own");
        let (strike_text, dip_text) = (azimuth_text(from_south), slope_text(from_thread));
        let dials = Dials { strike: Some(&strike_text), dip: Some(&dip_text), ..Dials::default() };
        let normal = normalise(&dials, Instrument::Own, Card::Azimuth, &stood, &scales);
        check_axis(&reduce(&normal.dials()).plane.unwrap().normal(), &rock.normal, "own dials");
        let missing = Scales { own: OwnScales { dip: None, ..own }, ..scales };
        prop_assert_eq!(reduce_stood(Instrument::Own, &read, &stood, &missing), Stands::default());
    }
}

/// Both of three things that are so or not.
fn all_of_three() -> impl Iterator<Item = (bool, bool, bool)> {
    BOTH.into_iter().flat_map(|a| {
        BOTH.into_iter()
            .flat_map(move |b| BOTH.into_iter().map(move |c| (a, b, c)))
    })
}

/// A level base with h over the line, and the direction of the lid's edge at its north end; upright it comes from either end.
fn along_line(
    line: &Vector3<f64>,
    back: bool,
    upright_from: bool,
) -> (Rotation3<f64>, Vector3<f64>) {
    let flat = Vector3::new(line.x, line.y, 0.0);
    let Some(flat) = flat.try_normalize(1e-9) else {
        let down = if line.z > 0.0 { *line } else { -line };
        return (
            level_base(&Vector3::x()),
            if upright_from { down } else { -down },
        );
    };
    let h = if back { -flat } else { flat };
    let edge = if line.dot(&h) > 0.0 { *line } else { -line };
    (level_base(&h), edge)
}
