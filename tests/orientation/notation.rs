//! What is written reads back; what people write is read; nothing makes the reader fail.

use hingeline::orientation::notation::read;
use hingeline::orientation::{
    Azimuth, Convention, Dial, DoubtKind, Line, Plane, PlaneStyle, Severity, whole_line,
    whole_plane, write_line, write_plane, write_plane_read,
};
use proptest::prelude::*;

use super::check_deg;

const CONVENTIONS: [Convention; 3] = [
    Convention::RightHand,
    Convention::StrikeDip,
    Convention::DipDirection,
];
const STYLES: [PlaneStyle; 4] = [
    PlaneStyle::StrikeDip,
    PlaneStyle::Quadrant,
    PlaneStyle::DipDirection,
    PlaneStyle::RightHand,
];

/// The text is that plane and nothing else, without a doubt, whatever bare pairs mean.
#[track_caller]
fn check_plane(text: &str, strike: f64, dip: f64) {
    for convention in CONVENTIONS {
        check_plane_as(text, convention, strike, dip);
    }
}

#[track_caller]
fn check_plane_as(text: &str, convention: Convention, strike: f64, dip: f64) {
    let read = read(text, convention);
    let plane = read
        .plane
        .unwrap_or_else(|| panic!("`{text}`: {:?}", read.doubts));
    check_deg(plane.strike().deg(), strike);
    check_deg(plane.dip().deg(), dip);
    assert!(
        read.doubts.iter().all(|d| d.severity == Severity::Note),
        "`{text}`: {:?}",
        read.doubts
    );
}

#[track_caller]
fn check_line(text: &str, trend: f64, plunge: f64) {
    for convention in CONVENTIONS {
        let read = read(text, convention);
        let line = read
            .line
            .unwrap_or_else(|| panic!("`{text}`: {:?}", read.doubts));
        check_deg(line.trend().deg(), trend);
        check_deg(line.plunge().deg(), plunge);
        assert!(
            read.doubts.iter().all(|d| d.severity == Severity::Note),
            "`{text}`: {:?}",
            read.doubts
        );
    }
}

#[track_caller]
fn check_doubt(
    text: &str,
    convention: Convention,
    kind: DoubtKind,
) -> hingeline::orientation::Doubt {
    let doubts = read(text, convention).doubts;
    doubts
        .iter()
        .find(|d| d.kind == kind)
        .cloned()
        .unwrap_or_else(|| panic!("`{text}`: no {kind:?} in {doubts:?}"))
}

#[test]
fn a_side_settles_the_strike_in_any_convention() {
    check_plane("045/30SE", 45.0, 30.0);
    check_plane("045/30NW", 225.0, 30.0);
    check_plane("242/35SE", 62.0, 35.0);
    check_plane("350/70W", 170.0, 70.0);
    check_plane("010/45E", 10.0, 45.0);
    check_plane("090/20S", 90.0, 20.0);
    check_plane("090/20N", 270.0, 20.0);
    check_plane("062/35SSE", 62.0, 35.0);
}

#[test]
fn quadrant_letters_are_read() {
    check_plane("N45E/30SE", 45.0, 30.0);
    check_plane("S45W 30NW", 225.0, 30.0);
    check_plane("N20W/45SW", 160.0, 45.0);
    check_plane("S20E/45SW", 160.0, 45.0);
    check_plane("E-W/60N", 270.0, 60.0);
    check_plane("EW 60 S", 90.0, 60.0);
    check_plane("N-S/60E", 0.0, 60.0);
    check_plane("N00E/60W", 180.0, 60.0);
    check_plane("N90E/60N", 270.0, 60.0);
    check_plane("N45E SE30", 45.0, 30.0);
    // By custom such a strike counts from the north end: nothing is worth a note.
    assert_eq!(read("N45E/30NW", Convention::RightHand).doubts, []);
}

#[test]
fn bare_pairs_mean_what_the_book_says() {
    check_plane_as("045/30", Convention::RightHand, 45.0, 30.0);
    check_plane_as("120/40", Convention::DipDirection, 30.0, 40.0);
    check_plane_as("30/135", Convention::DipDirection, 45.0, 30.0);
    check_plane_as("30/35", Convention::DipDirection, 305.0, 30.0);
    check_plane_as("030/35", Convention::DipDirection, 300.0, 35.0);
    check_plane_as("000/00", Convention::StrikeDip, 0.0, 0.0);
    check_plane_as("045/90", Convention::StrikeDip, 45.0, 90.0);
    let missing = check_doubt("045/30", Convention::StrikeDip, DoubtKind::Ambiguous);
    assert_eq!(missing.dial, Some(Dial::Side));
    let sides: Vec<_> = missing.choices.iter().map(|c| c.sets.clone()).collect();
    assert_eq!(
        sides,
        [
            [(Dial::Side, "NW".to_owned())],
            [(Dial::Side, "SE".to_owned())]
        ]
    );
    assert!(read("045/30", Convention::StrikeDip).plane.is_none());
    let either = check_doubt("045/050", Convention::DipDirection, DoubtKind::Ambiguous);
    assert_eq!(either.severity, Severity::Doubt);
    assert_eq!(either.choices.len(), 2);
}

#[test]
fn an_arrow_is_a_line_and_a_plane() {
    for text in ["30→135", "30->135", "30 ⇒ 135", "30→S45E", "30°→135°"] {
        check_line(text, 135.0, 30.0);
        check_plane(text, 45.0, 30.0);
        let note = check_doubt(text, Convention::RightHand, DoubtKind::Ambiguous);
        assert_eq!(note.severity, Severity::Note);
    }
    let asked = read("plane 30→135", Convention::RightHand);
    assert!(asked.line.is_none() && asked.plane.is_some() && asked.doubts.is_empty());
    let asked = read("Line: 12/240", Convention::RightHand);
    assert!(asked.plane.is_none() && asked.doubts.is_empty());
    check_line("line 12/240", 240.0, 12.0);
    check_line("line 240/12", 240.0, 12.0);
}

#[test]
fn lines_are_read() {
    check_line("12→240", 240.0, 12.0);
    check_line("12 S60W", 240.0, 12.0);
    check_line("12/s60°w", 240.0, 12.0);
    check_line("05 N00E", 0.0, 5.0);
    // Up along its trend: no dip, so no plane.
    check_line("-12→240", 240.0, -12.0);
    check_line("−12 S60W", 240.0, -12.0);
    assert!(read("-12→240", Convention::RightHand).plane.is_none());
    assert!(read("12 S60W", Convention::RightHand).plane.is_none());
    // With the trend first, as a line has no side.
    let read = read("S52E/45", Convention::RightHand);
    let line = read.line.expect("a line");
    check_deg(line.trend().deg(), 128.0);
    check_deg(line.plunge().deg(), 45.0);
    assert_eq!(read.doubts[0].kind, DoubtKind::Ambiguous);
    assert_eq!(read.doubts[0].severity, Severity::Doubt);
}

/// A strike line in letters has two ends and no side: it is no trend, and the plane waits for its side.
#[test]
fn a_strike_in_two_letters_is_nothing_else() {
    for convention in CONVENTIONS {
        let open = read("N-S/60", convention);
        assert!(open.plane.is_none() && open.line.is_none());
        assert_eq!(open.doubts[0].kind, DoubtKind::Ambiguous);
        assert_eq!(open.doubts[0].choices.len(), 2);
        assert!(read("30→N-S", convention).line.is_none());
    }
    check_plane("N-S/90", 0.0, 90.0);
    check_plane("E-W/00", 90.0, 0.0);
}

/// Spaces, separators, degree signs, case, decimal comma and full-width digits make no difference.
#[test]
fn writing_habits_make_no_difference() {
    for text in [
        "045/30SE",
        " 045 / 30 SE ",
        "045 30 se",
        "045-30SE",
        "045–30 SE",
        "045,30SE",
        "045, 30, SE",
        "045;30 Se",
        "045°/30°SE",
        "045º 30º SE",
        "045/30/SE",
        "045-30-SE",
        "０４５／３０ＳＥ",
        "０４５　３０　ＳＥ",
        "٠٤٥/٣٠SE",
        "N45E/30SE",
        "n45e 30se",
        "N45°E/30°SE",
        "N 45 E, 30 SE",
        "N45E30SE",
        "N-45-E/30-SE",
        "Ｎ４５°Ｅ　３０ＳＥ",
        "S45W/30SE",
    ] {
        check_plane(text, 45.0, 30.0);
    }
    for text in [
        "045.5/30.25SE",
        "045,5/30,25SE",
        "45,5 / 30,25 SE",
        "N45,5E/30,25SE",
        "N45.5°E 30.25SE",
    ] {
        check_plane(text, 45.5, 30.25);
    }
    for text in ["062½/35SE", "062½°/35SE", "062.5 35 SE", "N62½E/35SE"] {
        check_plane(text, 62.5, 35.0);
    }
    check_plane("012,78E", 12.0, 78.0);
    check_line("12,5→240,5", 240.5, 12.5);
}

#[test]
fn degenerate_attitudes_are_said() {
    let level = check_doubt("045/00", Convention::RightHand, DoubtKind::HorizontalPlane);
    assert_eq!(level.severity, Severity::Note);
    let wall = check_doubt("045/90", Convention::RightHand, DoubtKind::VerticalPlane);
    assert_eq!(
        wall.message,
        "a vertical plane dips to neither side; 045 and 225 are the same strike"
    );
    check_doubt("90→045", Convention::RightHand, DoubtKind::VerticalLine);
    check_plane("045/00SE", 45.0, 0.0);
    check_plane("045/90SE", 45.0, 90.0);
    // The side says which wall is meant, as it does at 89°.
    check_plane("045/90NW", 225.0, 90.0);
    check_plane("170/90E", 350.0, 90.0);
    check_plane("170/89E", 350.0, 89.0);
}

#[test]
fn a_word_in_front_leaves_one_meaning() {
    let line = read("line 12→240", Convention::RightHand);
    assert!(line.line.is_some() && line.plane.is_none() && line.doubts.is_empty());
    let plane = read("plane 30→135", Convention::RightHand);
    assert!(plane.plane.is_some() && plane.line.is_none() && plane.doubts.is_empty());
}

#[test]
fn the_other_end_is_said() {
    let note = check_doubt("242/35SE", Convention::RightHand, DoubtKind::OtherEnd);
    assert_eq!(note.severity, Severity::Note);
    for number in ["242", "SE", "062"] {
        assert!(note.message.contains(number), "{}", note.message);
    }
}

#[test]
fn a_side_along_the_strike_is_a_contradiction() {
    let doubt = check_doubt(
        "045/30NE",
        Convention::RightHand,
        DoubtKind::SideAlongStrike,
    );
    assert_eq!(
        doubt.message,
        "a plane striking 045 dips to the south-east or the north-west, not to the north-east"
    );
    assert!(read("045/30NE", Convention::RightHand).plane.is_none());
}

#[test]
fn numbers_beyond_their_limit_are_doubted() {
    let dip = check_doubt("045/95", Convention::RightHand, DoubtKind::OutOfRange);
    assert_eq!(
        dip.message,
        "dip `95` is over 90; a dip direction of 095 goes in the other field"
    );
    assert!(read("045/95", Convention::RightHand).plane.is_none());
    let strike = check_doubt("361/30", Convention::RightHand, DoubtKind::OutOfRange);
    assert!(
        strike.message.starts_with("strike `361` is over 360"),
        "{}",
        strike.message
    );
    // Drawn as 001 until it is settled.
    let drawn = read("361/30", Convention::RightHand).plane.expect("drawn");
    check_deg(drawn.strike().deg(), 1.0);
    // A dip measured past vertical turns the side that was written, or the strike where the right-hand rule says it.
    let past = check_doubt("045/95SE", Convention::RightHand, DoubtKind::OutOfRange);
    assert_eq!(
        past.choices[0].sets,
        [(Dial::Dip, "85".to_owned()), (Dial::Side, "NW".to_owned())]
    );
    assert_eq!(
        dip.choices[0].sets,
        [
            (Dial::Dip, "85".to_owned()),
            (Dial::Strike, "225".to_owned())
        ]
    );
    let fine = check_doubt("045/91.3", Convention::RightHand, DoubtKind::OutOfRange);
    assert_eq!(fine.choices[0].sets[0], (Dial::Dip, "88.7".to_owned()));
    // A dip below the horizontal.
    let below = check_doubt("045/-30SE", Convention::RightHand, DoubtKind::OutOfRange);
    assert_eq!(
        below.choices[0].sets,
        [(Dial::Dip, "30".to_owned()), (Dial::Side, "NW".to_owned())]
    );
    // Dip direction typed as strike.
    let turned = check_doubt("30/135", Convention::RightHand, DoubtKind::OutOfRange);
    assert_eq!(
        turned.choices[0].sets,
        [
            (Dial::Strike, String::new()),
            (Dial::Dip, "30".to_owned()),
            (Dial::Toward, "135".to_owned())
        ]
    );
    // Plunge typed where the trend belongs.
    let turned = check_doubt("240→12", Convention::RightHand, DoubtKind::OutOfRange);
    assert_eq!(
        turned.choices[0].sets,
        [
            (Dial::Trend, "240".to_owned()),
            (Dial::Plunge, "12".to_owned())
        ]
    );
}

#[test]
fn what_is_no_reading_is_said_so() {
    for text in [
        "",
        " ",
        "abc",
        "045",
        "045/",
        "045/30/60",
        "045/30SE 60",
        "045/30XY",
        "N95E/30SE",
        "E45N/30SE",
        "045°30'/30",
        "045/30SE bedding",
        "→",
        "½",
        "-",
        "N",
        "N45E",
        "1e3/30",
        "045/30SE045/30SE",
        "4.5.6/30",
        "N45W45E/30",
    ] {
        for convention in CONVENTIONS {
            let read = read(text, convention);
            assert!(
                read.plane.is_none() && read.line.is_none(),
                "`{text}`: {read:?}"
            );
            assert!(!read.doubts.is_empty(), "`{text}`");
        }
        check_doubt(text, Convention::RightHand, DoubtKind::Unreadable);
    }
    let long = "045/30SE ".repeat(10_000);
    check_doubt(&long, Convention::RightHand, DoubtKind::Unreadable);
}

#[test]
fn written_forms() {
    let plane = Plane::from_deg(45.0, 30.0).expect("in range");
    let written = STYLES.map(|s| write_plane(&plane, s));
    assert_eq!(written, ["045/30SE", "N45E/30SE", "30→135", "045/30"]);
    let steep = Plane::from_deg(225.0, 5.0).expect("in range");
    let written = STYLES.map(|s| write_plane(&steep, s));
    assert_eq!(written, ["225/05NW", "N45E/05NW", "05→315", "225/05"]);
    let half = Plane::from_deg(5.5, 9.5).expect("in range");
    let written = STYLES.map(|s| write_plane(&half, s));
    assert_eq!(
        written,
        ["005.5/09.5E", "N05.5E/09.5E", "09.5→095.5", "005.5/09.5"]
    );
    let level = Plane::from_deg(10.0, 0.0).expect("in range");
    assert_eq!(write_plane(&level, PlaneStyle::StrikeDip), "010/00");
    let north = Plane::from_deg(180.0, 60.0).expect("in range");
    assert_eq!(write_plane(&north, PlaneStyle::Quadrant), "N-S/60W");
    let line = Line::from_deg(240.0, 12.0).expect("in range");
    assert_eq!(write_line(&line, PlaneStyle::StrikeDip), "12→240");
    assert_eq!(write_line(&line, PlaneStyle::Quadrant), "12 S60W");
    let read = Azimuth::from_deg(242.0).expect("in range");
    let plane = Plane::from_deg(62.0, 35.0).expect("in range");
    assert_eq!(
        write_plane_read(read, &plane, PlaneStyle::StrikeDip),
        "242/35SE"
    );
    assert_eq!(
        write_plane_read(read, &plane, PlaneStyle::RightHand),
        "062/35"
    );
}

#[test]
fn whole_degrees_for_showing_a_mean() {
    let plane = Plane::from_deg(359.6, 89.6).expect("in range");
    assert_eq!(
        write_plane(&whole_plane(&plane), PlaneStyle::StrikeDip),
        "000/90"
    );
    let line = Line::from_deg(61.4, -0.4).expect("in range");
    assert_eq!(
        write_line(&whole_line(&line), PlaneStyle::StrikeDip),
        "00→061"
    );
}

/// Degrees on a dial read to a hundredth, which no dial does.
fn hundredths(limit: u32) -> impl Strategy<Value = f64> {
    prop_oneof![
        (0..=limit).prop_map(f64::from),
        (0..=limit * 100).prop_map(|n| f64::from(n) / 100.0)
    ]
}

/// Text of the characters that mean something here, and of any others.
fn any_text() -> impl Strategy<Value = String> {
    let telling = prop::sample::select(
        "0123456789NESWnesw/-,.;:> →½°'\"−–３５Ｎ／　\u{660}\t\n+pe"
            .chars()
            .collect::<Vec<_>>(),
    );
    prop::collection::vec(prop_oneof![9 => telling, 1 => any::<char>()], 0..24)
        .prop_map(|chars| chars.into_iter().collect())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(1000))]

    #[test]
    fn a_written_plane_reads_back(strike in hundredths(359), dip in hundredths(90)) {
        let plane = Plane::from_deg(strike, dip).expect("in range");
        for style in STYLES {
            let text = write_plane(&plane, style);
            // By custom a quadrant strike counts from the north end.
            if style == PlaneStyle::Quadrant {
                prop_assert!(text.starts_with('N') || text.starts_with("E-W"), "{}", text);
            }
            for convention in CONVENTIONS {
                // Without a side, two bare numbers mean what the book says.
                let bare = style == PlaneStyle::RightHand
                    || (style == PlaneStyle::StrikeDip && (dip == 0.0 || dip == 90.0));
                if bare && convention != Convention::RightHand {
                    continue;
                }
                let back = read(&text, convention);
                let back = back.plane.unwrap_or_else(|| panic!("`{text}`: {:?}", back.doubts));
                prop_assert!(back.angle(&plane).deg() < 1e-9, "`{}` is {:?}", text, back);
                prop_assert_eq!(back.dip().deg(), dip);
                if dip > 0.0 && dip < 90.0 {
                    prop_assert_eq!(back.strike().deg(), strike, "{}", text);
                }
            }
        }
    }

    #[test]
    fn a_written_line_reads_back(trend in hundredths(359), plunge in hundredths(90), up in any::<bool>()) {
        let line = Line::from_deg(trend, if up { -plunge } else { plunge }).expect("in range");
        for style in STYLES {
            let text = write_line(&line, style);
            for convention in CONVENTIONS {
                prop_assert_eq!(read(&text, convention).line, Some(line), "{}", text);
            }
        }
    }

    /// A strike read at its other end is written with that end, and is the same plane.
    #[test]
    fn the_end_read_is_kept(strike in 0_u32..360, dip in 1_u32..90) {
        let plane = Plane::from_deg(f64::from(strike), f64::from(dip)).expect("in range");
        let text = write_plane_read(plane.strike().opposite(), &plane, PlaneStyle::StrikeDip);
        let back = read(&text, Convention::RightHand);
        prop_assert_eq!(back.plane.map(|p| p.strike().deg()), Some(f64::from(strike)), "{}", text);
        prop_assert_eq!(back.doubts[0].kind, DoubtKind::OtherEnd);
    }

    /// Any text is read: either there is a value, or a doubt says why not.
    #[test]
    fn any_text_is_answered(text in any_text()) {
        for convention in CONVENTIONS {
            let answer = read(&text, convention);
            let doubted = answer.doubts.iter().any(|d| d.severity == Severity::Doubt);
            prop_assert!(answer.plane.is_some() || answer.line.is_some() || doubted, "{:?}", text);
            for doubt in &answer.doubts {
                prop_assert!(!doubt.message.ends_with('.'));
            }
        }
    }

    #[test]
    fn any_characters_are_answered(text in any::<String>()) {
        for convention in CONVENTIONS {
            let answer = read(&text, convention);
            prop_assert!(answer.plane.is_some() || answer.line.is_some() || !answer.doubts.is_empty());
        }
    }
}
