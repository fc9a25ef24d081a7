//! From dials to planes and lines, and the checks among them.

use hingeline::orientation::{
    Dial, Dials, DoubtKind, Line, Noise, Plane, Rake, Reduced, Severity, Slip, reduce,
    write_azimuth, write_inclination,
};
use proptest::prelude::*;

use super::check_deg;

#[track_caller]
fn check_plane(got: &Reduced, strike: f64, dip: f64) {
    let plane = got.plane.expect("a plane");
    check_deg(plane.strike().deg(), strike);
    check_deg(plane.dip().deg(), dip);
}

fn kinds(got: &Reduced) -> Vec<DoubtKind> {
    got.doubts.iter().map(|d| d.kind).collect()
}

fn strike_dip<'a>(strike: &'a str, dip: &'a str, side: &'a str) -> Dials<'a> {
    Dials {
        strike: Some(strike),
        dip: Some(dip),
        side: Some(side),
        ..Dials::default()
    }
}

#[test]
fn nothing_typed_is_nothing() {
    assert_eq!(reduce(&Dials::default()), Reduced::default());
    let blank = Dials {
        strike: Some(""),
        dip: Some(" "),
        side: Some(""),
        ..Dials::default()
    };
    assert_eq!(reduce(&blank), Reduced::default());
}

#[test]
fn decimals_and_a_degree_sign_end_a_number() {
    for strike in ["45,5", "45.5", "45½", "45.5°", "045.5"] {
        let got = reduce(&Dials {
            strike: Some(strike),
            dip: Some("3°"),
            side: Some("SE"),
            ..Dials::default()
        });
        let plane = got.plane.expect(strike);
        assert_eq!((plane.strike().deg(), plane.dip().deg()), (45.5, 3.0));
    }
    // A point that waits for its decimal has ended nothing.
    let open = reduce(&Dials {
        strike: Some("45."),
        dip: Some("30"),
        side: Some("SE"),
        ..Dials::default()
    });
    assert_eq!((open.plane, open.doubts), (None, Vec::new()));
}

/// Key by key, as 062, 35 and SE go in.
#[test]
fn a_plane_key_by_key() {
    for (strike, dip) in [("0", None), ("06", None), ("062", None), ("062", Some("3"))] {
        let got = reduce(&Dials {
            strike: Some(strike),
            dip,
            ..Dials::default()
        });
        assert_eq!(got, Reduced::default(), "{strike} {dip:?}");
    }
    let open = reduce(&Dials {
        strike: Some("062"),
        dip: Some("35"),
        ..Dials::default()
    });
    assert!(open.plane.is_none() && open.doubts.is_empty());
    assert_eq!(open.candidates.len(), 2);
    let done = reduce(&strike_dip("062", "35", "SE"));
    check_plane(&done, 62.0, 35.0);
    assert!(done.candidates.is_empty() && done.doubts.is_empty());
    let other = reduce(&strike_dip("242", "35", "SE"));
    check_plane(&other, 62.0, 35.0);
    assert_eq!(kinds(&other), [DoubtKind::OtherEnd]);
}

#[test]
fn the_right_hand_rule_and_dip_direction_need_no_side() {
    let right = Dials {
        strike: Some("242"),
        dip: Some("35"),
        right_hand: true,
        ..Dials::default()
    };
    check_plane(&reduce(&right), 242.0, 35.0);
    assert!(reduce(&right).doubts.is_empty());
    let toward = Dials {
        dip: Some("35"),
        toward: Some("152"),
        ..Dials::default()
    };
    check_plane(&reduce(&toward), 62.0, 35.0);
    assert!(reduce(&toward).doubts.is_empty());
    // A side that was typed all the same is held against the strike.
    assert_eq!(
        kinds(&reduce(&Dials {
            side: Some("NW"),
            ..right
        })),
        []
    );
    assert_eq!(
        kinds(&reduce(&Dials {
            side: Some("SE"),
            ..right
        })),
        [DoubtKind::OtherEnd]
    );
    assert_eq!(
        kinds(&reduce(&Dials {
            side: Some("NE"),
            ..right
        })),
        [DoubtKind::SideAlongStrike]
    );
}

#[test]
fn half_degrees_and_decimals() {
    check_plane(&reduce(&strike_dip("062½", "35½", "SE")), 62.5, 35.5);
    check_plane(&reduce(&strike_dip("062,25", "35.75", "se")), 62.25, 35.75);
    check_plane(&reduce(&strike_dip("０６２°", "３５°", "SE")), 62.0, 35.0);
}

#[test]
fn level_and_upright_planes_need_no_side() {
    for right_hand in [false, true] {
        let level = Dials {
            strike: Some("062"),
            dip: Some("00"),
            right_hand,
            ..Dials::default()
        };
        check_plane(&reduce(&level), 62.0, 0.0);
        assert_eq!(kinds(&reduce(&level)), [DoubtKind::HorizontalPlane]);
        let upright = Dials {
            dip: Some("90"),
            ..level
        };
        check_plane(&reduce(&upright), 62.0, 90.0);
        assert_eq!(kinds(&reduce(&upright)), [DoubtKind::VerticalPlane]);
        assert!(
            reduce(&upright)
                .doubts
                .iter()
                .all(|d| d.severity == Severity::Note)
        );
    }
    let toward = Dials {
        dip: Some("90"),
        toward: Some("152"),
        ..Dials::default()
    };
    check_plane(&reduce(&toward), 62.0, 90.0);
    assert_eq!(kinds(&reduce(&toward)), [DoubtKind::VerticalPlane]);
}

#[test]
fn lines_point_down_or_up() {
    let dials = Dials {
        trend: Some("240"),
        plunge: Some("12"),
        ..Dials::default()
    };
    let down = reduce(&dials).line.expect("a line");
    check_deg(down.trend().deg(), 240.0);
    check_deg(down.plunge().deg(), 12.0);
    let up = reduce(&Dials { up: true, ..dials }).line.expect("a line");
    check_deg(up.plunge().deg(), -12.0);
    let plumb = reduce(&Dials {
        plunge: Some("90"),
        ..dials
    });
    assert_eq!(kinds(&plumb), [DoubtKind::VerticalLine]);
    assert_eq!(
        reduce(&Dials {
            plunge: Some("1"),
            ..dials
        }),
        Reduced::default()
    );
}

/// Three dials are enough: rake, or trend, or trend and plunge without a dip.
#[test]
fn a_line_follows_from_its_plane() {
    let plane = Plane::from_deg(62.0, 35.0).expect("in range");
    let by_rake = reduce(&Dials {
        rake: Some("045"),
        ..strike_dip("062", "35", "SE")
    });
    let line = by_rake.line.expect("a line");
    assert_eq!(line, plane.line_at(Rake::from_deg(45.0).expect("in range")));
    assert_eq!(by_rake.rake_deg, Some(45.0));
    let trend = write_azimuth(line.trend());
    let by_trend = reduce(&Dials {
        trend: Some(&trend),
        ..strike_dip("062", "35", "SE")
    });
    assert!(by_trend.line.expect("a line").angle(&line).deg() < 1e-6);
    assert!((by_trend.rake_deg.expect("a rake") - 45.0).abs() < 1e-6);
    let plunge = write_inclination(line.plunge().deg());
    let no_dip = reduce(&Dials {
        strike: Some("062"),
        trend: Some(&trend),
        plunge: Some(&plunge),
        ..Dials::default()
    });
    assert!(no_dip.plane.expect("a plane").angle(&plane).deg() < 1e-6);
    // While the side is unknown there is no plane to count the rake in.
    let open = Dials {
        side: None,
        rake: Some("045"),
        ..strike_dip("062", "35", "")
    };
    assert!(reduce(&open).line.is_none());
}

#[test]
fn numbers_beyond_their_limit() {
    let strike = reduce(&strike_dip("361", "35", "E"));
    check_plane(&strike, 1.0, 35.0);
    assert_eq!(kinds(&strike), [DoubtKind::OutOfRange]);
    let dip = reduce(&strike_dip("062", "95", "SE"));
    assert!(dip.plane.is_none());
    assert_eq!(kinds(&dip), [DoubtKind::OutOfRange]);
    assert_eq!(dip.doubts[0].dial, Some(Dial::Dip));
    let turned = reduce(&Dials {
        trend: Some("012"),
        plunge: Some("240"),
        ..Dials::default()
    });
    assert!(turned.line.is_none());
    assert_eq!(kinds(&turned), [DoubtKind::OutOfRange]);
    let rake = reduce(&Dials {
        rake: Some("225"),
        ..strike_dip("062", "35", "SE")
    });
    assert_eq!(kinds(&rake), [DoubtKind::OutOfRange]);
    // The axis at rake 225 is the one at 045.
    let same = reduce(&Dials {
        rake: Some("045"),
        ..strike_dip("062", "35", "SE")
    });
    assert_eq!(rake.line, same.line);
    let angle = reduce(&Dials {
        angle: Some("181"),
        ..Dials::default()
    });
    assert_eq!(angle.angle_deg, None);
    assert_eq!(kinds(&angle), [DoubtKind::OutOfRange]);
    assert_eq!(
        reduce(&Dials {
            angle: Some("072"),
            ..Dials::default()
        })
        .angle_deg,
        Some(72.0)
    );
}

#[test]
fn unreadable_dials_are_said_and_left_out() {
    let got = reduce(&Dials {
        strike: Some("x"),
        dip: Some("3x"),
        side: Some("Q"),
        ..Dials::default()
    });
    assert_eq!(kinds(&got), [DoubtKind::Unreadable; 3]);
    assert!(got.plane.is_none());
}

fn with_line<'a>(trend: &'a str, plunge: &'a str) -> Dials<'a> {
    Dials {
        trend: Some(trend),
        plunge: Some(plunge),
        ..strike_dip("062", "35", "SE")
    }
}

/// A line read on 062/35 SE at rake 45: it plunges 24 towards 101 (to the degree).
#[test]
fn a_line_in_its_plane_is_not_doubted() {
    let dials = with_line("101", "24");
    assert_eq!(reduce(&dials).doubts, []);
    assert_eq!(
        reduce(&Dials {
            rake: Some("045"),
            ..dials
        })
        .doubts,
        []
    );
    // A directed line up along the same axis lies in it as well.
    assert_eq!(
        reduce(&Dials {
            up: true,
            ..with_line("281", "24")
        })
        .doubts,
        []
    );
}

#[test]
fn a_line_off_its_plane_is_doubted_with_the_slips_that_explain_it() {
    let sets = |dials: &Dials<'_>| -> Vec<Vec<(Dial, String)>> {
        let got = reduce(dials);
        assert_eq!(kinds(&got), [DoubtKind::SetUp]);
        got.doubts[0]
            .choices
            .iter()
            .map(|c| c.sets.clone())
            .collect()
    };
    // The other end of the trend.
    let explained = sets(&with_line("281", "24"));
    assert!(
        explained.contains(&vec![(Dial::Trend, "101".to_owned())]),
        "{explained:?}"
    );
    // The other side of the plane explains it as well: five dials alone cannot tell.
    assert!(
        explained.contains(&vec![(Dial::Side, "NW".to_owned())]),
        "{explained:?}"
    );
    // The plunge read from the vertical: steeper than the dip.
    let got = reduce(&with_line("101", "66"));
    assert_eq!(kinds(&got), [DoubtKind::SetUp]);
    assert!(
        got.doubts[0]
            .message
            .starts_with("a line in a plane dipping 35 cannot plunge 66"),
        "{}",
        got.doubts[0].message
    );
    assert_eq!(got.doubts[0].dial, Some(Dial::Plunge));
    assert_eq!(
        got.doubts[0].choices[0].sets,
        [(Dial::Plunge, "24".to_owned())]
    );
    // The dip read from the vertical.
    let dials = Dials {
        dip: Some("55"),
        ..with_line("101", "24")
    };
    assert!(sets(&dials).contains(&vec![(Dial::Dip, "35".to_owned())]));
}

#[test]
fn a_rake_from_the_other_end_is_offered() {
    let got = reduce(&Dials {
        rake: Some("135"),
        ..with_line("101", "24")
    });
    assert_eq!(kinds(&got), [DoubtKind::SetUp]);
    assert_eq!(
        got.doubts[0].choices[0].words,
        "rake 045, counted from the other end"
    );
    assert_eq!(
        got.doubts[0].choices[0].sets,
        [(Dial::Rake, "045".to_owned())]
    );
    assert_eq!(got.rake_deg, Some(135.0));
    // A rake that no slip explains was misread, or the trend was, or the strike.
    let got = reduce(&Dials {
        rake: Some("090"),
        ..with_line("101", "24")
    });
    assert_eq!(kinds(&got), [DoubtKind::SetUp]);
    assert_eq!(
        got.doubts[0].message,
        "trend and plunge put the line at rake 45, and the dial says 90: 45° away along the plane"
    );
    let diagnosis = got.diagnosis.expect("five dials");
    assert!(
        diagnosis
            .explanations
            .iter()
            .all(|e| matches!(e.slip, Slip::Unknown(_))),
        "{:?}",
        diagnosis.explanations
    );
}

/// Text of the characters a dial may hold, and of any others.
fn any_dial() -> impl Strategy<Value = Option<String>> {
    let telling = prop::sample::select("0123456789½.,-° NESW０３".chars().collect::<Vec<_>>());
    let text = prop::collection::vec(prop_oneof![9 => telling, 1 => any::<char>()], 0..6)
        .prop_map(|chars| chars.into_iter().collect::<String>());
    let azimuth = (0_u32..400).prop_map(|n| format!("{n:03}"));
    let inclination = (0_u32..100).prop_map(|n| format!("{n:02}"));
    prop::option::of(prop_oneof![text, azimuth, inclination])
}

prop_compose! {
    fn whole_reading()(strike in 0_u32..360, dip in 1_u32..90, rake in 1_u32..180) -> (Plane, Line, u32) {
        let plane = Plane::from_deg(f64::from(strike), f64::from(dip)).expect("in range");
        (plane, plane.line_at(Rake::from_deg(f64::from(rake)).expect("in range")), rake)
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(250))]

    /// No text in any dial makes the reduction fail, and what it gives is a number.
    #[test]
    fn any_dials_are_reduced(
        texts in prop::array::uniform8(any_dial()), up in any::<bool>(), right_hand in any::<bool>(),
    ) {
        let [strike, dip, side, toward, trend, plunge, rake, angle] = &texts;
        let got = reduce(&Dials {
            strike: strike.as_deref(),
            dip: dip.as_deref(),
            side: side.as_deref(),
            toward: toward.as_deref(),
            trend: trend.as_deref(),
            plunge: plunge.as_deref(),
            up,
            rake: rake.as_deref(),
            angle: angle.as_deref(),
            right_hand,
        });
        for plane in got.plane.iter().chain(&got.candidates) {
            prop_assert!(plane.normal().iter().all(|c| c.is_finite()));
        }
        if let Some(line) = &got.line {
            prop_assert!(line.vector().iter().all(|c| c.is_finite()));
        }
        prop_assert!(got.plane.is_none() || got.candidates.is_empty());
        for doubt in &got.doubts {
            prop_assert!(!doubt.message.ends_with('.'));
            prop_assert!(doubt.message.starts_with(|c: char| !c.is_uppercase()), "{}", doubt.message);
        }
    }

    /// A reading without error, to the whole degree, agrees with itself whatever its attitude.
    #[test]
    fn a_clean_reading_is_not_doubted((plane, line, rake) in whole_reading()) {
        let (strike, dip) = (write_azimuth(plane.strike()), write_inclination(plane.dip().deg()));
        let trend = format!("{:03.0}", line.trend().deg().round() % 360.0);
        let plunge = format!("{:02.0}", line.plunge().deg().round());
        let rake = format!("{rake:03}");
        let got = reduce(&Dials {
            strike: Some(&strike),
            dip: Some(&dip),
            trend: Some(&trend),
            plunge: Some(&plunge),
            rake: Some(&rake),
            right_hand: true,
            ..Dials::default()
        });
        prop_assert!(got.doubts.iter().all(|d| d.severity == Severity::Note), "{:?}", got.doubts);
    }

    /// Moved off its plane by clearly more than its deviation, a line is always noticed; by no more than twice it, never.
    #[test]
    fn a_line_off_its_plane_is_noticed_by_its_deviation(
        strike in 0_u32..360, dip in 12_u32..60, rake in 1_u32..180, share in prop_oneof![0.0_f64..2.0, 7.0_f64..12.0],
    ) {
        let plane = Plane::from_deg(f64::from(strike), f64::from(dip)).expect("in range");
        let line = plane.line_at(Rake::from_deg(f64::from(rake)).expect("in range"));
        // Moved along the normal.
        let noise = Noise::default();
        let angle = hingeline::orientation::angle::radians(share * noise.off_plane_sd_deg(&plane, &line));
        let moved = Line::from_vector(&(line.vector() * angle.cos() - plane.normal() * angle.sin())).expect("a unit vector");
        prop_assume!(moved.plunge().deg().abs() < 80.0);
        let (strike, dip) = (write_azimuth(plane.strike()), write_inclination(plane.dip().deg()));
        let (trend, plunge) = (write_azimuth(moved.trend()), write_inclination(moved.plunge().deg().abs()));
        let got = reduce(&Dials {
            strike: Some(&strike),
            dip: Some(&dip),
            trend: Some(&trend),
            plunge: Some(&plunge),
            up: moved.plunge().deg() < 0.0,
            right_hand: true,
            ..Dials::default()
        });
        prop_assert_eq!(kinds(&got).contains(&DoubtKind::SetUp), share > 5.0, "{:?}", got.diagnosis);
    }

    /// The first mend of a line off its plane does mend it.
    #[test]
    fn a_mend_mends((plane, line, _) in whole_reading(), kind in 0_usize..4) {
        let (strike, dip) = (write_azimuth(plane.strike()), write_inclination(plane.dip().deg()));
        let (mut trend, mut plunge, mut dip_read) = (line.trend().deg().round() % 360.0, line.plunge().deg().round(), dip);
        match kind {
            0 => trend = (trend + 180.0) % 360.0,
            1 => plunge = 90.0 - plunge,
            2 => dip_read = write_inclination(90.0 - plane.dip().deg()),
            _ => {}
        }
        let strike = if kind == 3 { write_azimuth(plane.strike().opposite()) } else { strike };
        let (trend, plunge) = (format!("{trend:03.0}"), format!("{plunge:02.0}"));
        let dials = Dials {
            strike: Some(&strike),
            dip: Some(&dip_read),
            trend: Some(&trend),
            plunge: Some(&plunge),
            right_hand: true,
            ..Dials::default()
        };
        for doubt in reduce(&dials).doubts.iter().filter(|d| d.kind == DoubtKind::SetUp) {
            prop_assert!(!doubt.choices.is_empty(), "{}", doubt.message);
            if let Some(choice) = doubt.choices.first() {
                let mut mended = dials;
                for (dial, text) in &choice.sets {
                    match dial {
                        Dial::Strike => mended.strike = Some(text),
                        Dial::Dip => mended.dip = Some(text),
                        Dial::Trend => mended.trend = Some(text),
                        Dial::Plunge => mended.plunge = Some(text),
                        _ => prop_assert!(false, "{:?}", dial),
                    }
                }
                prop_assert!(!kinds(&reduce(&mended)).contains(&DoubtKind::SetUp), "{:?}", choice);
            }
        }
    }
}

/// The azimuths are those of the trade's own quadrants (common practice): S45W is 225, N45W 315, S45E 135.
#[test]
fn a_bearing_by_its_quadrant_goes_on_any_azimuth_dial() {
    let read = |text: &str| {
        reduce(&Dials {
            strike: Some(text),
            dip: Some("30"),
            right_hand: true,
            ..Dials::default()
        })
    };
    for (text, deg) in [
        ("N45E", 45.0),
        ("n 45 e", 45.0),
        (" S45W ", 225.0),
        ("S 45 W", 225.0),
        ("N45W", 315.0),
        ("S45E", 135.0),
        ("N45½E", 45.5),
        ("s45,25w", 225.25),
        ("N45°E", 45.0),
        ("Ｎ４５Ｅ", 45.0),
        ("N4E", 4.0),
        ("N0E", 0.0),
        ("N0W", 0.0),
        ("N90E", 90.0),
        ("S90W", 270.0),
        ("S0E", 180.0),
    ] {
        let got = read(text);
        check_plane(&got, deg, 30.0);
        assert_eq!(kinds(&got), [], "{text}");
    }
    for partial in ["N", "s", "N4", "N45", "N45½", "N4.", "S 45 "] {
        assert_eq!(read(partial), Reduced::default(), "{partial}");
    }
    for nonsense in [
        "E-W", "NE", "N91E", "N-5E", "45E", "E45N", "N45N", "NxE", "N4.5.6E",
    ] {
        let got = read(nonsense);
        assert_eq!(
            (got.plane, kinds(&got)),
            (None, vec![DoubtKind::Unreadable]),
            "{nonsense}"
        );
    }
    let line = reduce(&Dials {
        trend: Some("S20E"),
        plunge: Some("10"),
        ..Dials::default()
    });
    check_deg(line.line.expect("a line").trend().deg(), 160.0);
    let toward = reduce(&Dials {
        dip: Some("30"),
        toward: Some("S20E"),
        ..Dials::default()
    });
    check_plane(&toward, 70.0, 30.0);
}

/// The other side of a plane whose strike or dip direction was read by its quadrant.
#[test]
fn the_choices_turn_a_quadrant_too() {
    let got = reduce(&Dials {
        dip: Some("95"),
        toward: Some("S20E"),
        ..Dials::default()
    });
    let choice = &got.doubts[0].choices[0];
    assert_eq!(
        choice.sets,
        [
            (Dial::Dip, "85".to_owned()),
            (Dial::Toward, "340".to_owned())
        ]
    );
}
