use super::*;

fn open() -> OpenSighting {
    OpenSighting::new(
        Sighting {
            station: "a".to_owned(),
            ..Sighting::default()
        },
        false,
    )
}

/// Types keys: digits as they are, `.` point, `<` back, `>` next, `a` and `b` the two side keys.
fn type_keys(open: &mut OpenSighting, keys: &str) -> Vec<After> {
    keys.chars()
        .map(|c| {
            open.press(match c {
                '<' => Press::Back,
                '>' => Press::Next,
                '.' => Press::Point,
                'a' => Press::Side(0),
                'b' => Press::Side(1),
                c => Press::Digit(c.to_digit(10).and_then(|d| u8::try_from(d).ok()).unwrap()),
            })
        })
        .collect()
}

#[test]
fn a_bearing_costs_its_digits() {
    let mut open = open();
    let after = type_keys(&mut open, "123");
    assert_eq!(after, [After::Draft, After::Draft, After::Keep]);
    assert_eq!(open.entry().bearing.as_deref(), Some("123"));
    assert_eq!(open.here, Some(Figure::Vertical));
    assert!(open.is_worth_keeping());
}

#[test]
fn a_vertical_angle_costs_its_digits_and_its_side_whichever_comes_first() {
    for keys in ["123b07", "12307b"] {
        let mut open = open();
        assert_eq!(type_keys(&mut open, keys).last(), Some(&After::Keep));
        let entry = open.entry();
        assert_eq!(
            (entry.vertical.as_deref(), entry.up),
            (Some("07"), false),
            "{keys}"
        );
        assert_eq!(open.here, Some(Figure::Distance));
    }
    let mut open = open();
    type_keys(&mut open, "123a07");
    assert!(open.entry().up);
}

#[test]
fn an_angle_that_nobody_called_up_or_down_is_not_kept() {
    let mut open = open();
    type_keys(&mut open, "1230750>");
    assert!(open.waits_for_side());
    let entry = open.entry();
    assert_eq!(
        (entry.vertical.as_deref(), entry.slope_m.as_deref()),
        (None, Some("50"))
    );
    assert!(open.is_draft(Some(&entry)));
    type_keys(&mut open, "a");
    assert_eq!(open.entry().vertical.as_deref(), Some("07"));
    // A level line has no side.
    let mut level = self::open();
    type_keys(&mut level, "12300");
    assert_eq!(level.entry().vertical.as_deref(), Some("00"));
}

#[test]
fn a_distance_is_closed_by_the_next_key() {
    let mut open = open();
    type_keys(&mut open, "123>120.5");
    assert_eq!(open.entry().slope_m, None, "still being typed");
    assert_eq!(type_keys(&mut open, ">"), [After::Keep]);
    assert_eq!(open.entry().slope_m.as_deref(), Some("120.5"));
    assert_eq!(open.here, None);
    assert_eq!(open.press(Press::Level(true)), After::Keep);
    let entry = open.entry();
    assert_eq!(
        (entry.slope_m, entry.level_m.as_deref()),
        (None, Some("120.5"))
    );
    // 5 in 100 of 120.5 m, paced.
    assert_eq!(entry.distance_sd_m.as_deref(), Some("6.0"));
    open.press(Press::By(Measured::Taped));
    assert_eq!(open.entry().distance_sd_m.as_deref(), Some("0.40"));
    open.press(Press::By(Measured::Ranged));
    assert_eq!(open.entry().distance_sd_m.as_deref(), Some("1.0"));
}

#[test]
fn odd_distances_are_tidied_and_never_lost() {
    for (keys, expected) in [
        ("007", "7"),
        ("0.5", "0.5"),
        (".25", "0.25"),
        ("12.", "12"),
        ("0", "0"),
    ] {
        let mut open = open();
        type_keys(&mut open, "123>");
        type_keys(&mut open, keys);
        type_keys(&mut open, ">");
        assert_eq!(open.distance, expected, "{keys}");
    }
    let mut open = open();
    type_keys(&mut open, "123>12.345");
    assert_eq!(open.distance, "12.34");
}

#[test]
fn back_goes_across_figures_and_next_leaves_them_unread() {
    let mut open = open();
    type_keys(&mut open, "123a07<<<");
    assert_eq!(
        (open.bearing.as_str(), open.here),
        ("12", Some(Figure::Bearing))
    );
    assert_eq!(open.up, None);
    type_keys(&mut open, "4>");
    assert_eq!(open.entry().bearing.as_deref(), Some("124"));
    assert_eq!(open.here, Some(Figure::Distance));
    let mut five = self::open();
    type_keys(&mut five, "5");
    assert_eq!(five.bearing, "05");
    type_keys(&mut five, "<<>>50>");
    let entry = five.entry();
    assert_eq!(
        (entry.bearing, entry.slope_m.as_deref()),
        (None, Some("50"))
    );
}

#[test]
fn a_touched_figure_stands_until_typed_over() {
    let mut open = open();
    type_keys(&mut open, "123a0750>");
    let kept = open.entry();
    assert!(!open.is_draft(Some(&kept)));
    open.press(Press::Touch(Figure::Bearing));
    assert!(!open.is_draft(Some(&kept)));
    type_keys(&mut open, "3");
    assert!(open.is_draft(Some(&kept)));
    assert_eq!(
        open.entry().bearing.as_deref(),
        Some("123"),
        "the kept one stays until then"
    );
    assert_eq!(type_keys(&mut open, "21").last(), Some(&After::Keep));
    assert_eq!(open.entry().bearing.as_deref(), Some("321"));
    assert_eq!(open.here, None);
    open.press(Press::Touch(Figure::Vertical));
    type_keys(&mut open, "<");
    assert_eq!(open.entry().vertical.as_deref(), Some("07"));
}

#[test]
fn a_kept_sighting_opens_as_it_was() {
    let mut open = open();
    type_keys(&mut open, "123b07");
    open.press(Press::Level(true));
    type_keys(&mut open, "50>");
    let kept = open.entry();
    let again = OpenSighting::again("r".to_owned(), kept.clone(), true);
    assert_eq!(again.entry(), kept);
    assert!(!again.is_draft(Some(&kept)) && again.level && !again.quadrants);
}

#[test]
fn a_quadrant_is_two_letters_and_two_digits() {
    let mut open = OpenSighting::new(Sighting::default(), true);
    assert_eq!(open.sides(), ["N", "S"]);
    assert!(open.sides_wait());
    type_keys(&mut open, "b30");
    assert_eq!(open.sides(), ["W", "E"]);
    assert!(open.sides_wait());
    assert_eq!(type_keys(&mut open, "b"), [After::Keep]);
    assert_eq!(open.entry().bearing.as_deref(), Some("S30E"));
    assert_eq!(open.sides(), ["up", "down"]);
    // A digit while a letter waits goes on; the focus comes back for the letter.
    let mut early = OpenSighting::new(Sighting::default(), true);
    type_keys(&mut early, "a4507");
    assert_eq!(
        (early.bearing.as_str(), early.vertical.as_str()),
        ("N45", "07")
    );
    assert_eq!(early.here, Some(Figure::Distance));
    assert_eq!(early.entry().bearing, None);
}

#[test]
fn closing_keeps_what_was_read() {
    let mut open = open();
    type_keys(&mut open, "12");
    assert!(open.close());
    assert_eq!(open.entry().bearing.as_deref(), Some("012"));
    assert!(!self::open().close());
    // What cannot stand as a figure is not dropped.
    let mut unsaid = self::open();
    type_keys(&mut unsaid, "12307");
    assert!(unsaid.close());
    let entry = unsaid.entry();
    assert_eq!(
        (entry.bearing.as_deref(), entry.vertical),
        (Some("123"), None)
    );
    assert_eq!(entry.note, "vertical angle 07, up or down not said");
    let mut half = OpenSighting::new(Sighting::default(), true);
    type_keys(&mut half, "a45");
    assert!(half.close());
    assert_eq!(half.entry().note, "bearing N45, its letters not said");
}

#[test]
fn any_keys_in_any_order_leave_a_sound_sighting() {
    // Knuth's MMIX constants.
    let mut seed = 3_u64;
    for quadrants in [false, true] {
        let mut open = OpenSighting::new(Sighting::default(), quadrants);
        for _ in 0..10_000 {
            seed = seed
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            let pick = u8::try_from((seed >> 33) % 22).unwrap();
            open.press(match pick {
                0..=9 => Press::Digit(pick),
                10..=12 => Press::Back,
                13 => Press::Next,
                14 | 15 => Press::Side(usize::from(pick - 14)),
                16 => Press::Touch(Figure::Bearing),
                17 => Press::Touch(Figure::Vertical),
                18 => Press::Touch(Figure::Distance),
                19 => Press::Point,
                20 => Press::Level(seed.is_multiple_of(2)),
                _ => Press::By(Measured::Taped),
            });
            let entry = open.entry();
            let text = serde_json::to_string(&open).unwrap();
            assert_eq!(serde_json::from_str::<OpenSighting>(&text).unwrap(), open);
            assert!(entry.slope_m.is_none() || entry.level_m.is_none());
            assert!(
                open.bearing.len() <= 4 && open.vertical.len() <= 2 && open.distance.len() <= 7
            );
        }
    }
}
