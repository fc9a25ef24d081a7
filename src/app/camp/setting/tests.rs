use super::*;

#[test]
fn a_circle_is_read_in_three_digits_with_its_fraction() {
    for (deg, words) in [
        (348.5, "348½"),
        (-11.5, "348½"),
        (8.0, "008"),
        (0.25, "000¼"),
        (360.0, "000"),
        (88.75, "088¾"),
        (348.4, "348.4"),
        (-0.5, "359½"),
    ] {
        assert_eq!(circle_number(deg), words, "{deg}");
    }
}

#[test]
fn west_and_east_are_turned_their_own_way_and_read_what_the_circle_then_shows() {
    let west = turning(Some(-11.5), North::True, false);
    assert_eq!(west.figure, "11½° W");
    assert_eq!(west.what, ("turn the circle", "counter-clockwise"));
    assert_eq!(west.steps[1].number, "348½");
    assert!(west.steps[1].before.contains("left, against the clock"));
    assert_eq!(west.key, "It reads 348½: set");
    let east = turning(Some(8.0), North::True, false);
    assert_eq!(
        (east.what.1, &*east.key),
        ("clockwise", "It reads 008: set")
    );
    assert!(east.steps[1].before.contains("right, with the clock"));
    for turning in [&west, &east] {
        assert_eq!(turning.steps.len(), 3);
        assert_eq!(turning.steps[2].number, "000");
    }
    let mark = turning(Some(-11.5), North::True, true);
    assert_eq!(mark.what, ("turn the north mark", "counter-clockwise"));
    assert_eq!(mark.key, west.key);
    assert!(
        turning(Some(-11.5), North::Grid, false).steps[2]
            .before
            .contains("grid")
    );
}

#[test]
fn a_circle_left_at_zero_is_not_turned_and_the_sum_is_shown() {
    // True = magnetic + declination, east positive (common practice).
    let west = turning(Some(-11.5), North::Magnetic, false);
    assert_eq!(
        west.circle.map(|c| (c.set_deg, c.needle_deg)),
        Some((0.0, -11.5))
    );
    assert_eq!(west.steps[2].number, "088½");
    assert!(west.steps[2].before.contains("takes away 11½°"));
    let east = turning(Some(8.0), North::Magnetic, false);
    assert_eq!(east.steps[2].number, "108");
    assert!(east.steps[2].before.contains("adds 8°"));
}

#[test]
fn nothing_known_and_nothing_to_turn_say_so() {
    let unknown = turning(None, North::True, false);
    assert_eq!((unknown.circle, unknown.steps.len()), (None, 0));
    assert_eq!(unknown.key, "Keep it as not known");
    let zero = turning(Some(0.0), North::True, false);
    assert_eq!(zero.what, ("nothing to turn: leave it", "at 0"));
    assert_eq!(zero.key, "It reads 000: set");
}

#[test]
fn the_model_value_is_taken_to_what_the_circle_can_show() {
    // 11° 34′ W of the pictures, on a circle in whole degrees and in halves.
    let deg = -(11.0 + 34.0 / 60.0);
    assert_eq!(settable_deg(deg, "1"), -11.5);
    assert_eq!(settable_deg(deg, "0.5"), -11.5);
    assert_eq!(settable_deg(-11.65, "0.25"), -11.75);
    assert_eq!(minutes_words(deg), "11° 34′ W");
    assert_eq!(minutes_words(2.999), "3° 00′ E");
    assert_eq!(minutes_words(-0.001), "0° 00′");
}

#[test]
fn a_draft_comes_back_as_it_was() {
    for north in [North::True, North::Magnetic, North::Grid] {
        for (digits, west) in [("11.5", true), ("8", false), ("", true)] {
            let typed = Typed {
                digits: digits.to_owned(),
                west,
            };
            assert_eq!(drafted(&draft(north, &typed)), Some((north, typed)));
        }
    }
    assert_eq!(drafted("8"), None);
}

#[test]
fn what_is_typed_comes_back_as_it_was_kept() {
    let mut typed = Typed::of(Some("-11.5"));
    assert_eq!(typed.text().as_deref(), Some("-11.5"));
    assert_eq!(
        (typed.side_words(true), typed.side_words(false)),
        ("11½° W".to_owned(), "11½° E".to_owned())
    );
    typed.west = false;
    assert_eq!(typed.text().as_deref(), Some("11.5"));
    let mut typed = Typed::default();
    assert_eq!((typed.text(), typed.is_over()), (None, false));
    for c in "1.8.1".chars() {
        typed.push(c);
    }
    assert_eq!(typed.digits, "1.81");
    typed.digits = "181".to_owned();
    assert_eq!((typed.deg(), typed.is_over()), (None, true));
    assert_eq!(
        Typed {
            digits: "0".to_owned(),
            west: true
        }
        .text()
        .as_deref(),
        Some("0")
    );
}

/// A station at a place.
fn station(latitude: f64, longitude: f64) -> Station {
    Station {
        number: 3,
        position: Some(Position {
            latitude,
            longitude,
            ..Position::default()
        }),
        ..Station::default()
    }
}

#[test]
fn the_model_says_its_value_its_uncertainty_and_its_last_day() {
    // A row of the table of test values in the WMM2025 technical report: 80° N 0° E, on the ellipsoid, 2027.5: 2.59°.
    // The middle of 2027 is the noon of 2 July.
    let model = model_at(Some(&station(80.0, 0.0)), "2027-07-02T12:00:00Z").unwrap();
    assert_eq!(format!("{:.2}", model.deg), "2.59");
    assert!(
        // 2.59° is between 35.1′ and 35.7′ past 2°.
        model.words.starts_with("2 July: 2° 36′ E ±")
            || model.words.starts_with("2 July: 2° 35′ E ±"),
        "{}",
        model.words
    );
    assert!(model.source.contains("field model of 2025"));
    assert!(model.more.contains("31 December 2029"), "{}", model.more);
    assert!(
        model.more.contains("For 2 July 2027 at station 3."),
        "{}",
        model.more
    );
    // On the meridian of UTM's zone 33 (15° E) the grid points to true north.
    let middle = model_at(Some(&station(52.0, 15.0)), "2027-07-02T12:00:00Z").unwrap();
    assert!(
        middle
            .grid_deg
            .is_some_and(|grid| (grid - middle.deg).abs() < 1e-9)
    );
    // East of it, on the northern half, the grid points east of true north: the angle to the needle is less easterly.
    let east = model_at(Some(&station(52.0, 17.0)), "2027-07-02T12:00:00Z").unwrap();
    // To first order the convergence is the longitude from the meridian times the sine of the latitude (common practice).
    let convergence = 2.0 * crate::orientation::angle::radians(52.0).sin();
    assert!(
        east.grid_deg
            .is_some_and(|grid| (east.deg - grid - convergence).abs() < 0.01)
    );
}

#[test]
fn a_set_up_against_the_model_says_what_to_set() {
    let place = station(80.0, 0.0).position;
    let today = "2027-07-02T12:00:00Z";
    let found = |north, declination: Option<&str>, at: &str| {
        let set_up = SetUp {
            north,
            declination: declination.map(str::to_owned),
            resolution: "1".to_owned(),
            ..SetUp::default()
        };
        let found = doubts(&set_up, place.as_ref(), at).into_iter();
        found
            .map(|d| (d.kind, d.doubted, d.right.unwrap_or_default()))
            .collect::<Vec<_>>()
    };
    let sign = DoubtKind::SignReversed;
    // 2.59° E by the table of test values in the WMM2025 technical report; a circle in whole degrees takes 2½°.
    assert_eq!(found(North::True, Some("2.5"), today), []);
    assert_eq!(
        found(North::True, Some("-2.5"), today),
        [(sign, true, "2.5".to_owned())]
    );
    // The book corrects by tenths.
    assert_eq!(
        found(North::Magnetic, Some("-2.5"), today),
        [(sign, true, "2.6".to_owned())]
    );
    let kinds =
        |found: Vec<(DoubtKind, bool, String)>| found.into_iter().map(|f| f.0).collect::<Vec<_>>();
    assert_eq!(
        kinds(found(North::Unknown, None, today)),
        [DoubtKind::NorthUnknown]
    );
    // The model's last valid day is 31 December 2029.
    assert_eq!(
        kinds(found(North::True, Some("2.5"), "2029-12-31T23:00:00Z")),
        []
    );
    assert_eq!(
        kinds(found(North::True, Some("2.5"), "2030-01-01T08:00:00Z")),
        [DoubtKind::ModelOutOfDate]
    );
    assert!(model_at(None, today).unwrap_err().contains("no station"));
    assert!(model_at(Some(&station(52.0, -3.0)), "today").is_err());
}

#[test]
fn the_defaults_on_the_page_are_those_that_hold() {
    for instrument in Instrument::ALL {
        let said = SetUp {
            instrument,
            ..SetUp::default()
        };
        let mut typed = said.clone();
        for measure in &MEASURES[..3] {
            let usual = (measure.usual)(&instrument.spread()).unwrap();
            (measure.put)(&mut typed, Some(format!("{usual}")));
            assert_eq!(
                format!("{}, default", measure.words(&typed)),
                measure.words(&said)
            );
        }
        assert_eq!(typed.noise(), said.noise());
        (MEASURES[2].put)(&mut typed, Some("2.5".to_owned()));
        assert_eq!(MEASURES[2].words(&typed), "2½°");
        assert_ne!(typed.noise(), said.noise());
        assert_eq!(MEASURES[3].words(&typed), "not measured");
    }
    assert_eq!(KINDS.map(|(kind, ..)| kind), Instrument::ALL);
    assert_eq!(measured("0.5"), Ok(0.5));
    for wrong in ["", ".", "46"] {
        assert!(measured(wrong).is_err(), "{wrong}");
    }
}
