//! The dials as they stood, brought to those of the trade: what is corrected, what is doubted, and what is left alone.

use hingeline::orientation::angle::radians;
use hingeline::orientation::instrument::{OwnScale, OwnScales, ReadOff, Stands, Use, reduce_stood};
use hingeline::orientation::{
    Card, Dial, Dials, DoubtKind, Edge, HingeEnd, Instrument, Noise, Numbers, Plane, Scales,
    Severity, Stood, Swing, default_noise, normalise, reduce,
};

use super::Dice;
use super::instrument::scales;

fn plane_dials<'a>(strike: &'a str, dip: &'a str, side: &'a str) -> Dials<'a> {
    Dials {
        strike: Some(strike),
        dip: Some(dip),
        side: Some(side),
        ..Dials::default()
    }
}

#[test]
fn nothing_noted_leaves_the_dials_as_typed() {
    let dials = Dials {
        strike: Some("062"),
        dip: Some("3"),
        side: Some("SE"),
        toward: Some(" "),
        trend: Some("N4"),
        plunge: Some("x"),
        up: true,
        rake: Some("32"),
        angle: Some("120"),
        right_hand: true,
    };
    for kind in Instrument::ALL {
        let normal = normalise(
            &dials,
            kind,
            Card::Azimuth,
            &Stood::default(),
            &Scales::default(),
        );
        assert_eq!(normal.dials(), dials);
        assert_eq!(normal.doubts, []);
        // The very same text, not a copy of it.
        assert!(std::ptr::eq(
            normal.dials().strike.unwrap(),
            dials.strike.unwrap()
        ));
    }
    // And what is partial or unreadable stays so, however it stood.
    let stood = Stood {
        swing: Some(Swing::Left),
        edge: Some(Edge::Right),
        hung: true,
        down: Some(HingeEnd::South),
    };
    let partial = Dials {
        strike: Some("06"),
        dip: Some("3"),
        trend: Some("N4"),
        plunge: Some("x"),
        ..Dials::default()
    };
    for kind in Instrument::ALL {
        let normal = normalise(&partial, kind, Card::Azimuth, &stood, &scales());
        assert_eq!((normal.dials(), normal.doubts.len()), (partial, 0));
    }
}

#[test]
fn a_swing_against_the_side_that_was_noted_offers_both() {
    let left = Stood {
        swing: Some(Swing::Left),
        ..Stood::default()
    };
    let normal = normalise(
        &plane_dials("062", "35", "SE"),
        Instrument::HingeTransit,
        Card::Azimuth,
        &left,
        &scales(),
    );
    let [doubt] = normal.doubts.as_slice() else {
        panic!("{normal:?}")
    };
    assert_eq!(
        (doubt.kind, doubt.severity, doubt.dial),
        (
            DoubtKind::SwingAgainstSide,
            Severity::Doubt,
            Some(Dial::Side)
        )
    );
    assert_eq!(
        doubt.message,
        "the lid was swung to the left, so a plane striking 062 dips to NW, not to SE as noted"
    );
    assert_eq!(doubt.choices.len(), 2);
    assert_eq!(doubt.choices[0].sets, [(Dial::Side, "NW".to_owned())]);
    assert_eq!(doubt.choices[1].sets, []);
    // The dials stay as noted; the choice turns them.
    assert_eq!(reduce(&normal.dials()).plane.unwrap().strike().deg(), 62.0);
    let mut taken = normal.clone();
    taken.set(Dial::Side, Some("NW".to_owned()));
    assert_eq!(reduce(&taken.dials()).plane.unwrap().strike().deg(), 242.0);
    // Hung it is the other way round, and so it is on the right.
    for stood in [
        Stood { hung: true, ..left },
        Stood {
            swing: Some(Swing::Right),
            ..Stood::default()
        },
    ] {
        let normal = normalise(
            &plane_dials("062", "35", "SE"),
            Instrument::HingeTransit,
            Card::Azimuth,
            &stood,
            &scales(),
        );
        assert_eq!(normal.doubts, [], "{stood:?}");
    }
    // An azimuth, in the writing of its dial.
    let toward = Dials {
        strike: Some("N62E"),
        dip: Some("35"),
        toward: Some("S28E"),
        ..Dials::default()
    };
    let normal = normalise(
        &toward,
        Instrument::ArmTransit,
        Card::Quadrant,
        &left,
        &scales(),
    );
    assert_eq!(
        normal.doubts[0].choices[0].sets,
        [(Dial::Toward, "N28W".to_owned())]
    );
    // Along the strike it is a doubt of the pair; level and upright planes have no side.
    for dials in [
        plane_dials("062", "35", "NE"),
        plane_dials("062", "00", "SE"),
        plane_dials("062", "90", "SE"),
    ] {
        let normal = normalise(
            &dials,
            Instrument::HingeTransit,
            Card::Azimuth,
            &left,
            &scales(),
        );
        assert_eq!(normal.doubts, [], "{dials:?}");
    }
}

#[test]
fn a_wrong_edge_is_corrected_or_said() {
    let stood = Stood {
        swing: Some(Swing::Right),
        edge: Some(Edge::Left),
        ..Stood::default()
    };
    let of = |dip: &'static str, stood: Stood, scales: Scales| {
        let normal = normalise(
            &plane_dials("062", dip, "SE"),
            Instrument::HingeTransit,
            Card::Azimuth,
            &stood,
            &scales,
        );
        let dip = normal.dials().dip.unwrap().to_owned();
        let [doubt] = normal.doubts.as_slice() else {
            panic!("{normal:?}")
        };
        assert_eq!(
            (doubt.kind, doubt.dial),
            (DoubtKind::WrongEdge, Some(Dial::Dip))
        );
        (
            dip,
            doubt.severity,
            doubt.message.clone(),
            doubt.choices.len(),
        )
    };
    assert_eq!(
        of("34", stood, scales()),
        ("36.5".to_owned(), Severity::Note,
         "dip `34` was read at the left edge of the index, not the right one: the index is 2.5 wide, and it is taken as 36.5".to_owned(), 0)
    );
    // Hung above the base it reads more.
    let hung = Stood {
        swing: Some(Swing::Left),
        edge: Some(Edge::Right),
        hung: true,
        down: None,
    };
    assert_eq!(of("34", hung, scales()).0, "31.5");
    let (dip, severity, message, _) = of("34", stood, Scales::default());
    assert_eq!((dip.as_str(), severity), ("34", Severity::Doubt));
    assert_eq!(
        message,
        "dip `34` was read at the left edge of the index, and the right one belongs to the way it stood; read it there, or give the set-up the width of its index"
    );
    // Zero between the edges: 4 or 1.
    let (dip, severity, _, choices) = of("01.5", stood, scales());
    assert_eq!(
        (dip.as_str(), severity, choices),
        ("01.5", Severity::Doubt, 2)
    );
    // Hung it cannot read less than the width.
    assert_eq!(of("01", hung, scales()).1, Severity::Doubt);
    // Past the vertical it dips the other way.
    let right_hand = Dials {
        strike: Some("062"),
        dip: Some("89"),
        ..Dials::default()
    };
    let normal = normalise(
        &right_hand,
        Instrument::HingeTransit,
        Card::Azimuth,
        &stood,
        &scales(),
    );
    let plane = reduce(&normal.dials()).plane.unwrap();
    assert_eq!((plane.strike().deg(), plane.dip().deg()), (242.0, 88.5));
}

#[test]
fn hung_without_the_end_that_was_down_is_said() {
    let stood = Stood {
        hung: true,
        ..Stood::default()
    };
    let dials = Dials {
        trend: Some("224"),
        plunge: Some("13"),
        ..Dials::default()
    };
    let normal = normalise(
        &dials,
        Instrument::HingeTransit,
        Card::Azimuth,
        &stood,
        &scales(),
    );
    let [doubt] = normal.doubts.as_slice() else {
        panic!("{normal:?}")
    };
    assert_eq!(doubt.kind, DoubtKind::EndNotNoted);
    assert_eq!(
        doubt.message,
        "hung under an overhang, the scale does not tell whether the trend is 224 or 044; note which end of the card was down"
    );
    assert_eq!(doubt.choices[1].sets, [(Dial::Trend, "044".to_owned())]);
    for dials in [
        Dials {
            plunge: Some("00"),
            ..dials
        },
        Dials {
            plunge: Some("1"),
            ..dials
        },
        Dials {
            plunge: None,
            ..dials
        },
    ] {
        let normal = normalise(
            &dials,
            Instrument::HingeTransit,
            Card::Azimuth,
            &stood,
            &scales(),
        );
        assert_eq!(normal.doubts, [], "{dials:?}");
    }
}

#[test]
fn a_number_off_an_own_scale_is_said() {
    let own = OwnScales {
        dip: Some(OwnScale {
            hi_deg: 60.0,
            ..OwnScale::CLINOMETER
        }),
        ..OwnScales::default()
    };
    let scales = Scales {
        own,
        ..Scales::default()
    };
    let normal = normalise(
        &plane_dials("062", "75", "SE"),
        Instrument::Own,
        Card::Azimuth,
        &Stood::default(),
        &scales,
    );
    assert_eq!(normal.doubts[0].kind, DoubtKind::OutOfRange);
    assert_eq!(
        normal.doubts[0].message,
        "dip `75` is not on its scale, which goes from 0 to 60; read it again"
    );
    let normal = normalise(
        &plane_dials("062", "55", "SE"),
        Instrument::Own,
        Card::Azimuth,
        &Stood::default(),
        &scales,
    );
    assert_eq!(normal.doubts, []);
}

#[test]
fn what_is_not_read_or_not_a_number_gives_nothing() {
    let nonsense = [
        None,
        Some(f64::NAN),
        Some(f64::INFINITY),
        Some(-400.0),
        Some(1e300),
    ];
    for kind in Instrument::ALL {
        for of in [Use::Plane, Use::Line, Use::Rake, Use::Angle, Use::Sighting] {
            for deg in nonsense {
                let read = ReadOff {
                    of,
                    needle_deg: Some(62.0),
                    hinge_deg: deg,
                    lid_deg: deg,
                    clinometer_deg: deg,
                };
                let stood = Stood {
                    swing: Some(Swing::Right),
                    edge: Some(Edge::Left),
                    hung: true,
                    down: Some(HingeEnd::South),
                };
                for stood in [stood, Stood::default()] {
                    assert_eq!(
                        reduce_stood(kind, &read, &stood, &scales()),
                        Stands::default(),
                        "{kind:?} {of:?} {deg:?}"
                    );
                }
            }
        }
    }
}

#[test]
fn names_in_files_are_kebab_case() {
    let stood = Stood {
        swing: Some(Swing::Left),
        edge: Some(Edge::Right),
        hung: true,
        down: Some(HingeEnd::South),
    };
    let text = serde_json::to_string(&stood).unwrap();
    assert_eq!(
        text,
        r#"{"swing":"left","edge":"right","hung":true,"down":"south"}"#
    );
    assert_eq!(serde_json::from_str::<Stood>(&text).unwrap(), stood);
    assert_eq!(serde_json::to_string(&Stood::default()).unwrap(), "{}");
    assert_eq!(
        serde_json::from_str::<Stood>("{}").unwrap(),
        Stood::default()
    );
    let names: Vec<String> = Instrument::ALL
        .iter()
        .map(|kind| serde_json::to_string(kind).unwrap())
        .collect();
    assert_eq!(
        names,
        [
            r#""hinge-transit""#,
            r#""arm-transit""#,
            r#""plate-compass""#,
            r#""compass-and-clinometer""#,
            r#""own""#
        ]
    );
    assert_eq!(
        serde_json::to_string(&Numbers::CounterClockwise).unwrap(),
        r#""counter-clockwise""#
    );
    assert_eq!(
        serde_json::to_string(&DoubtKind::SwingAgainstSide).unwrap(),
        r#""swing-against-side""#
    );
    assert_eq!(
        serde_json::from_str::<Scales>("{\"own\":{\"card\":null,\"dip\":null,\"plunge\":null}}")
            .unwrap()
            .own
            .card,
        None
    );
    assert_eq!(
        serde_json::from_str::<Scales>("{}").unwrap(),
        Scales::default()
    );
}

/// A plate laid once, and an edge laid twice: strikes and dips of tilted rock spread as the noise says, and do not go together.
#[test]
fn two_placements_spread_as_one() {
    let mut dice = Dice(26);
    for kind in Instrument::ALL {
        let spread = kind.spread();
        let noise = Noise::from_deg(
            spread.needle_deg,
            spread.inclination_deg,
            spread.placement_deg,
            0.0,
        )
        .unwrap();
        let mut tilted = |plane: &Plane| {
            // A tilt of the placement about any axis in the plane.
            let (a, b) = (dice.normal(), dice.normal());
            let sd = radians(spread.placement_deg);
            let normal = plane.normal() + (plane.along_strike() * a + plane.down_dip() * b) * sd;
            (
                Plane::from_normal(&normal).unwrap(),
                dice.normal() * spread.needle_deg,
                dice.normal() * spread.inclination_deg,
            )
        };
        for dip in [30.0, 60.0] {
            let plane = Plane::from_deg(90.0, dip).unwrap();
            let count = 20_000;
            let (mut ss, mut dd, mut sd) = (0.0, 0.0, 0.0);
            for _ in 0..count {
                let (first, needle, slope) = tilted(&plane);
                let (second, slope) = if kind.is_two_step() {
                    let (again, _, slope) = tilted(&plane);
                    (again, slope)
                } else {
                    (first, slope)
                };
                let (s, d) = (
                    first.strike().deg() + needle - 90.0,
                    second.dip().deg() + slope - dip,
                );
                ss += s * s;
                dd += d * d;
                sd += s * d;
            }
            let n = f64::from(count);
            let (strike_sd, dip_sd) = ((ss / n).sqrt(), (dd / n).sqrt());
            let sure = plane.dip();
            // Three standard errors of a standard deviation are 1.5 %; the next order of the formulas is below 1 % here.
            assert!(
                (strike_sd / noise.strike_sd_deg(sure) - 1.0).abs() < 0.025,
                "{kind:?} {dip} {strike_sd}"
            );
            assert!(
                (dip_sd / noise.dip_sd_deg() - 1.0).abs() < 0.025,
                "{kind:?} {dip} {dip_sd}"
            );
            assert!((sd / n / strike_sd / dip_sd).abs() < 0.03, "{kind:?} {dip}");
        }
        assert_eq!(
            default_noise(kind).dip_sd_deg(),
            Noise::from_deg(
                spread.needle_deg,
                spread.inclination_deg,
                spread.placement_deg,
                1.0
            )
            .unwrap()
            .dip_sd_deg()
        );
    }
}

/// A scale a hair past the vertical, by rounding alone, once left a line of sight straight down without an answer.
#[test]
fn a_hair_past_the_vertical_is_upright() {
    for of in [Use::Line, Use::Sighting] {
        let read = ReadOff {
            of,
            needle_deg: Some(62.0),
            lid_deg: Some(90.0 + 1e-12),
            ..ReadOff::default()
        };
        let stood = Stood {
            down: Some(HingeEnd::North),
            ..Stood::default()
        };
        let got = reduce_stood(Instrument::HingeTransit, &read, &stood, &scales());
        let line = got.line.decided().expect("a line");
        assert_eq!(line.plunge().deg(), 90.0);
    }
}
