use super::*;
use crate::orientation::Severity;

const NOW: &str = "2026-06-14T14:28:00.000+02:00";

fn open(form: Form, notation: Notation) -> Open {
    Open::new(
        Reading {
            kind: "bedding".to_owned(),
            form,
            ..Reading::default()
        },
        notation,
        false,
    )
}

/// Types keys: digits as they are, `<` back, `>` next dial, `a` and `b` the two sides, `x` strike out.
fn type_keys(open: &mut Open, keys: &str) -> Vec<Outcome> {
    keys.chars()
        .map(|c| {
            let key = match c {
                '<' => Key::Back,
                '>' => Key::NextDial,
                'a' => Key::Side(0),
                'b' => Key::Side(1),
                'x' => Key::StrikeShot,
                c => Key::Digit(c.to_digit(10).and_then(|d| u8::try_from(d).ok()).unwrap()),
            };
            open.press(&key, NOW)
        })
        .collect()
}

fn shot(open: &Open, i: usize) -> (String, String, String) {
    let s = &open.reading.shots[i];
    let or = |t: &Option<String>| t.clone().unwrap_or_default();
    (or(&s.strike), or(&s.dip), or(&s.side))
}

fn is(a: &(String, String, String), strike: &str, dip: &str, side: &str) -> bool {
    (a.0.as_str(), a.1.as_str(), a.2.as_str()) == (strike, dip, side)
}

#[test]
fn a_plane_costs_its_digits_and_its_side() {
    let mut open = open(Form::Plane, Notation::StrikeDip);
    let outcomes = type_keys(&mut open, "06235b");
    assert_eq!(outcomes.last(), Some(&Outcome::Keep));
    assert!(outcomes[..5].iter().all(|o| *o == Outcome::Draft));
    assert!(is(&shot(&open, 0), "062", "35", "SE"));
    assert!(open.is_finished());
    assert_eq!(open.here, None);
}

#[test]
fn three_shots_carry_the_side_whatever_end_is_read() {
    let mut open = open(Form::Plane, Notation::StrikeDip);
    type_keys(&mut open, "06235b");
    let outcomes = type_keys(&mut open, "24236");
    assert_eq!(outcomes.last(), Some(&Outcome::Keep));
    assert!(is(&shot(&open, 1), "242", "36", "SE"));
    type_keys(&mut open, "06037");
    assert!(is(&shot(&open, 2), "060", "37", "SE"));
}

#[test]
fn a_first_digit_over_three_fills_its_zero() {
    let mut open = open(Form::Plane, Notation::StrikeDip);
    type_keys(&mut open, "45");
    assert_eq!(open.shot.strike.as_deref(), Some("045"));
    assert_eq!(open.here, Some(Dial::Dip));
}

#[test]
fn next_dial_pads_with_zeros_or_leaves_the_dial_unread() {
    let mut open = open(Form::Plane, Notation::RightHand);
    type_keys(&mut open, "12>5>");
    assert!(is(&shot(&open, 0), "012", "05", ""));
    let mut line = self::open(Form::Line, Notation::StrikeDip);
    let outcomes = type_keys(&mut line, ">12");
    assert_eq!(outcomes.last(), Some(&Outcome::Keep));
    assert_eq!(line.reading.shots[0].trend, None);
    assert_eq!(line.reading.shots[0].plunge.as_deref(), Some("12"));
}

#[test]
fn back_goes_across_dials_and_opens_a_correction() {
    let mut open = open(Form::Plane, Notation::StrikeDip);
    type_keys(&mut open, "0623<<");
    assert_eq!(open.shot.strike.as_deref(), Some("06"));
    type_keys(&mut open, "135b");
    assert!(is(&shot(&open, 0), "061", "35", "SE"));
    // The side goes first, then the dip; the kept shot stays until the corrected one is kept.
    type_keys(&mut open, "<<");
    assert!(is(&shot(&open, 0), "061", "35", "SE"));
    let outcomes = type_keys(&mut open, "6b");
    assert_eq!(outcomes.last(), Some(&Outcome::Correct));
    assert!(is(&shot(&open, 0), "061", "36", "SE"));
    assert_eq!(open.reading.shots.len(), 1);
}

#[test]
fn back_over_an_empty_book_does_nothing() {
    let mut open = open(Form::Plane, Notation::StrikeDip);
    assert_eq!(type_keys(&mut open, "<<<"), [Outcome::Nothing; 3]);
    assert!(open.is_empty());
}

#[test]
fn a_touched_dial_stands_until_typed_over_and_comes_back() {
    let mut open = open(Form::Plane, Notation::StrikeDip);
    type_keys(&mut open, "06235b");
    open.press(&Key::Touch(Dial::Dip), NOW);
    assert_eq!((open.here, open.over), (Some(Dial::Dip), Some(Dial::Dip)));
    type_keys(&mut open, "<");
    assert!(open.is_finished());
    open.press(&Key::Touch(Dial::Dip), NOW);
    let outcomes = type_keys(&mut open, "53");
    assert_eq!(outcomes.last(), Some(&Outcome::Correct));
    assert!(is(&shot(&open, 0), "062", "53", "SE"));
}

#[test]
fn a_corrected_strike_keeps_its_compass_side() {
    let mut open = open(Form::Plane, Notation::StrikeDip);
    type_keys(&mut open, "06235b");
    open.press(&Key::Touch(Dial::Strike), NOW);
    type_keys(&mut open, "093");
    // 093 offers N and S: south is nearer to the south-east that was chosen.
    assert!(is(&shot(&open, 0), "093", "35", "S"));
}

#[test]
fn horizontal_and_vertical_planes_are_not_asked_for_a_side() {
    let mut open = open(Form::Plane, Notation::StrikeDip);
    assert_eq!(type_keys(&mut open, "06200").last(), Some(&Outcome::Keep));
    let mut upright = self::open(Form::Plane, Notation::StrikeDip);
    assert_eq!(
        type_keys(&mut upright, "06290").last(),
        Some(&Outcome::Keep)
    );
}

#[test]
fn a_digit_while_the_side_waits_begins_the_next_shot_and_the_side_follows() {
    let mut open = open(Form::Plane, Notation::StrikeDip);
    let outcomes = type_keys(&mut open, "062350");
    assert_eq!(outcomes.last(), Some(&Outcome::Keep));
    assert!(is(&shot(&open, 0), "062", "35", ""));
    assert_eq!(open.shot.strike.as_deref(), Some("0"));
    type_keys(&mut open, "6037b");
    assert!(is(&shot(&open, 1), "060", "37", "SE"));
}

#[test]
fn a_side_chosen_afterwards_reaches_the_shots_that_lack_one() {
    let mut open = open(Form::Plane, Notation::StrikeDip);
    type_keys(&mut open, "06235>");
    assert!(is(&shot(&open, 0), "062", "35", ""));
    assert_eq!(type_keys(&mut open, "b"), [Outcome::Correct]);
    assert!(is(&shot(&open, 0), "062", "35", "SE"));
}

#[test]
fn five_dials_in_fourteen_keys() {
    let mut open = open(Form::PlaneWithLine, Notation::StrikeDip);
    let outcomes = type_keys(&mut open, "13258b32725148");
    assert_eq!(outcomes.len(), 14);
    assert_eq!(outcomes.last(), Some(&Outcome::Keep));
    let s = &open.reading.shots[0];
    assert_eq!(
        (s.trend.as_deref(), s.plunge.as_deref(), s.rake.as_deref()),
        (Some("327"), Some("25"), Some("148"))
    );
    assert_eq!(open.right_hand_strike(), Some(312.0));
}

#[test]
fn the_rake_may_be_passed_over() {
    let mut open = open(Form::PlaneWithLine, Notation::StrikeDip);
    let outcomes = type_keys(&mut open, "13258b32725>");
    assert_eq!(outcomes.last(), Some(&Outcome::Keep));
    assert_eq!(open.reading.shots[0].rake, None);
}

#[test]
fn dip_direction_books_and_right_hand_books_need_no_side() {
    let mut open = open(Form::Plane, Notation::DipDirection);
    assert_eq!(type_keys(&mut open, "30135").last(), Some(&Outcome::Keep));
    assert_eq!(open.reading.shots[0].toward.as_deref(), Some("135"));
    let mut right = self::open(Form::Plane, Notation::RightHand);
    assert_eq!(type_keys(&mut right, "04530").last(), Some(&Outcome::Keep));
    assert!(right.reading.right_hand);
}

#[test]
fn an_upward_line_is_one_key_more() {
    let mut open = open(Form::Line, Notation::StrikeDip);
    type_keys(&mut open, "22115");
    assert!(!open.reading.shots[0].up);
    assert_eq!(type_keys(&mut open, "b"), [Outcome::Correct]);
    assert!(open.reading.shots[0].up);
}

#[test]
fn striking_a_shot_out_and_putting_it_back() {
    let mut open = open(Form::Plane, Notation::StrikeDip);
    type_keys(&mut open, "06235b06037");
    assert_eq!(type_keys(&mut open, "x"), [Outcome::StrikeShot]);
    assert!(open.reading.shots[1].struck_out && !open.reading.shots[0].struck_out);
    open.press(&Key::TouchShot(0), NOW);
    assert_eq!(type_keys(&mut open, "x"), [Outcome::StrikeShot]);
    open.press(&Key::TouchShot(0), NOW);
    assert_eq!(type_keys(&mut open, "x"), [Outcome::PutBackShot]);
    assert!(!open.reading.shots[0].struck_out);
}

#[test]
fn an_undo_leaves_what_is_being_typed() {
    let mut open = open(Form::Plane, Notation::StrikeDip);
    type_keys(&mut open, "06235b0603724");
    let mut undone = open.reading.clone();
    undone.shots.pop();
    let mut again = Open::again("r".to_owned(), undone, Notation::StrikeDip, false);
    again.go_on_typing(&open);
    assert_eq!((again.at, again.shot.strike.as_deref()), (1, Some("24")));
    type_keys(&mut again, "236");
    assert!(is(&shot(&again, 1), "242", "36", "SE"));
}

#[test]
fn half_degrees_are_one_key() {
    let mut open = open(Form::Plane, Notation::StrikeDip);
    open.halves = true;
    type_keys(&mut open, "062");
    assert!(open.next_part() == Some("½"));
    type_keys(&mut open, ">35>b");
    assert!(is(&shot(&open, 0), "062.5", "35.5", "SE"));
    type_keys(&mut open, "<<");
    assert_eq!(open.shot.dip.as_deref(), Some("35"));
}

#[test]
fn quarter_degrees_are_stepped_through_by_one_key() {
    let mut open = open(Form::Plane, Notation::StrikeDip);
    (open.halves, open.quarters) = (true, true);
    type_keys(&mut open, "062");
    for (key, text) in [
        ("¼", "062.25"),
        ("½", "062.5"),
        ("¾", "062.75"),
        ("", "062"),
    ] {
        assert_eq!(open.next_part(), Some(key));
        type_keys(&mut open, ">");
        assert_eq!(open.shot.strike.as_deref(), Some(text));
        assert_eq!((open.here, open.position()), (Some(Dial::Dip), 0));
    }
    // Gone through, the key is the next dial's again, and leaves the dip unread.
    assert_eq!(open.next_part(), None);
    assert_eq!(type_keys(&mut open, ">"), [Outcome::Keep]);
    assert!(is(&shot(&open, 0), "062", "", ""));
    // Back takes a part off whole, and any other key begins the parts anew.
    let mut open = self::open(Form::Plane, Notation::StrikeDip);
    (open.halves, open.quarters) = (true, true);
    type_keys(&mut open, "062>>><");
    assert_eq!(open.shot.strike.as_deref(), Some("062"));
    type_keys(&mut open, "<2>");
    assert_eq!(open.shot.strike.as_deref(), Some("062.25"));
    // After the last dial it corrects the shot just kept.
    type_keys(&mut open, "36b");
    assert_eq!(type_keys(&mut open, ">>>"), [Outcome::Correct; 3]);
    assert!(is(&shot(&open, 0), "062.25", "36.75", "SE"));
}

#[test]
fn quarters_of_a_quadrant_stand_before_its_last_letter() {
    let mut open = on_quadrants(Form::Line);
    (open.halves, open.quarters) = (true, true);
    type_keys(&mut open, "a45>>>b");
    assert_eq!(open.shot.trend.as_deref(), Some("N45.75E"));
    assert_eq!(open.value(Dial::Trend), Some(45.75));
    assert_eq!(open.next_part(), Some(""));
    type_keys(&mut open, ">");
    assert_eq!(open.shot.trend.as_deref(), Some("N45E"));
    assert_eq!(open.next_part(), None);
}

#[test]
fn closing_an_unfinished_reading_keeps_what_was_read() {
    let mut open = open(Form::Plane, Notation::StrikeDip);
    type_keys(&mut open, "0623");
    assert!(open.close(NOW));
    assert!(is(&shot(&open, 0), "062", "03", ""));
    let mut empty = self::open(Form::Plane, Notation::StrikeDip);
    assert!(!empty.close(NOW));
}

#[test]
fn changing_the_kind_keeps_the_dials_that_fit() {
    let mut open = open(Form::Plane, Notation::StrikeDip);
    type_keys(&mut open, "06235");
    open.change_kind("fault + line", Form::PlaneWithLine);
    assert_eq!(open.shot.strike.as_deref(), Some("062"));
    assert_eq!(open.here, Some(Dial::Side));
    open.change_kind("line", Form::Line);
    assert_eq!(open.shot.strike, None);
    assert_eq!(open.here, Some(Dial::Trend));
}

#[test]
fn a_strike_that_spilled_over_is_typed_right() {
    let mut open = open(Form::Plane, Notation::StrikeDip);
    type_keys(&mut open, "361");
    let doubt = Doubt {
        kind: DoubtKind::OutOfRange,
        severity: Severity::Doubt,
        dial: Some(Dial::Strike),
        message: String::new(),
        choices: Vec::new(),
    };
    let choice = Choice {
        words: "036, then dip 1".to_owned(),
        sets: vec![
            (Dial::Strike, "036".to_owned()),
            (Dial::Dip, "1".to_owned()),
        ],
    };
    assert_eq!(open.accept(&doubt, &choice, "K.O.", NOW), Outcome::Draft);
    assert_eq!((open.here, open.position()), (Some(Dial::Dip), 1));
    type_keys(&mut open, "5b");
    assert!(is(&shot(&open, 0), "036", "15", "SE"));
}

#[test]
fn keeping_a_number_as_read_is_stored_beside_it() {
    let mut open = open(Form::Plane, Notation::RightHand);
    type_keys(&mut open, "06295");
    let doubt = Doubt {
        kind: DoubtKind::OutOfRange,
        severity: Severity::Doubt,
        dial: Some(Dial::Dip),
        message: String::new(),
        choices: Vec::new(),
    };
    let keep = Choice {
        words: "keep 95".to_owned(),
        sets: Vec::new(),
    };
    open.record = Some("r".to_owned());
    assert_eq!(open.accept(&doubt, &keep, "K.O.", NOW), Outcome::Correct);
    assert_eq!(open.reading.accepted.len(), 1);
    assert_eq!(open.reading.shots[0].dip.as_deref(), Some("95"));
}

#[test]
fn what_a_number_can_still_become() {
    let mut open = open(Form::Plane, Notation::StrikeDip);
    type_keys(&mut open, "0");
    assert_eq!(open.possible(Dial::Strike), Some((0.0, 99.0)));
    type_keys(&mut open, "6");
    assert_eq!(open.possible(Dial::Strike), Some((60.0, 69.0)));
    type_keys(&mut open, "2");
    assert_eq!(open.possible(Dial::Strike), None);
    assert_eq!(open.value(Dial::Strike), Some(62.0));
}

fn on_quadrants(form: Form) -> Open {
    open(form, Notation::StrikeDip).on_card(true)
}

#[test]
fn a_quadrant_strike_is_a_letter_two_digits_and_a_letter() {
    let mut open = on_quadrants(Form::Plane);
    assert_eq!(open.letters(), Some(["N", "S"]));
    assert!(open.wants_letter());
    assert_eq!((open.cells(Dial::Strike), open.cells(Dial::Dip)), (4, 2));
    type_keys(&mut open, "a45");
    assert_eq!(open.letters(), Some(["W", "E"]));
    assert_eq!(open.position(), 3);
    type_keys(&mut open, "b");
    assert_eq!(open.shot.strike.as_deref(), Some("N45E"));
    assert_eq!((open.here, open.letters()), (Some(Dial::Dip), None));
    assert_eq!(open.value(Dial::Strike), Some(45.0));
    let outcomes = type_keys(&mut open, "30b");
    assert_eq!(outcomes.last(), Some(&Outcome::Keep));
    assert!(is(&shot(&open, 0), "N45E", "30", "SE"));
    // A digit begins the next shot, its letters follow; read at the other end, the side is still SE.
    assert_eq!(type_keys(&mut open, "46ba31").last(), Some(&Outcome::Keep));
    assert!(is(&shot(&open, 1), "S46W", "31", "SE"));
}

#[test]
fn a_quadrant_is_corrected_by_back_and_by_touching_it() {
    let mut open = on_quadrants(Form::Line);
    type_keys(&mut open, "b30a");
    assert_eq!(open.shot.trend.as_deref(), Some("S30W"));
    type_keys(&mut open, "<<");
    assert_eq!(open.shot.trend.as_deref(), Some("S3"));
    type_keys(&mut open, "5b12");
    assert_eq!(open.reading.shots[0].trend.as_deref(), Some("S35E"));
    open.press(&Key::Touch(Dial::Trend), NOW);
    assert_eq!(open.letters(), Some(["N", "S"]));
    assert_eq!(type_keys(&mut open, "a10b").last(), Some(&Outcome::Correct));
    assert_eq!(open.reading.shots[0].trend.as_deref(), Some("N10E"));
    assert_eq!(open.reading.shots[0].plunge.as_deref(), Some("12"));
    // With the trend in, the side keys say again whether the line points up.
    assert_eq!(type_keys(&mut open, "b"), [Outcome::Correct]);
    assert!(open.reading.shots[0].up);
}

#[test]
fn a_quadrant_waits_for_its_letters_while_digits_go_on() {
    let mut open = on_quadrants(Form::Plane);
    type_keys(&mut open, "45");
    assert_eq!(open.shot.strike.as_deref(), Some("_45"));
    assert!(open.preview().shots[0].strike.is_none());
    type_keys(&mut open, "30");
    assert_eq!(open.shot.dip.as_deref(), Some("30"));
    assert_eq!(
        open.here,
        Some(Dial::Strike),
        "the letters are still wanted"
    );
    type_keys(&mut open, "ab");
    assert_eq!(open.shot.strike.as_deref(), Some("N45E"));
    assert_eq!(open.here, Some(Dial::Side));
    // Closed without its letters, the digits stand as they were read.
    let mut closed = on_quadrants(Form::Plane);
    type_keys(&mut closed, "4530");
    assert!(closed.close(NOW));
    assert_eq!(closed.reading.shots[0].strike.as_deref(), Some("45"));
}

#[test]
fn next_dial_pads_a_quadrant_and_leaves_an_empty_one_unread() {
    let mut open = on_quadrants(Form::Line);
    type_keys(&mut open, "a5>");
    assert_eq!(open.shot.trend.as_deref(), Some("N05"));
    assert_eq!(open.here, Some(Dial::Trend));
    type_keys(&mut open, "b12");
    assert_eq!(open.reading.shots[0].trend.as_deref(), Some("N05E"));
    let mut unread = on_quadrants(Form::Line);
    assert_eq!(type_keys(&mut unread, ">12").last(), Some(&Outcome::Keep));
    assert_eq!(unread.reading.shots[0].trend, None);
}

#[test]
fn half_degrees_of_a_quadrant_stand_before_its_last_letter() {
    let mut open = on_quadrants(Form::Line);
    open.halves = true;
    type_keys(&mut open, "a45");
    assert!(open.next_part() == Some("½"));
    type_keys(&mut open, ">b");
    assert_eq!(open.shot.trend.as_deref(), Some("N45.5E"));
    let mut after = on_quadrants(Form::Line);
    after.halves = true;
    type_keys(&mut after, "a45b>");
    assert_eq!(after.shot.trend.as_deref(), Some("N45.5E"));
}

#[test]
fn what_a_quadrant_can_still_become_is_shown_on_both_sides() {
    let mut open = on_quadrants(Form::Line);
    type_keys(&mut open, "a4");
    assert_eq!(open.possible(Dial::Trend), Some((40.0, 49.0)));
    assert_eq!(open.also_possible(Dial::Trend), Some((311.0, 320.0)));
    type_keys(&mut open, "5b");
    assert_eq!(
        (open.possible(Dial::Trend), open.also_possible(Dial::Trend)),
        (None, None)
    );
}

#[test]
fn a_reading_goes_on_with_the_card_it_was_read_on() {
    let mut open = on_quadrants(Form::Plane);
    type_keys(&mut open, "a45b30b");
    let again = Open::again("r".to_owned(), open.reading, Notation::StrikeDip, false);
    assert!(again.clone().on_card(false).quadrants);
    let mut plain = self::open(Form::Plane, Notation::StrikeDip);
    type_keys(&mut plain, "04530b");
    let again = Open::again("r".to_owned(), plain.reading, Notation::StrikeDip, false);
    assert!(!again.on_card(true).quadrants);
}

#[test]
fn how_it_stood_is_carried_to_the_next_shot() {
    use crate::orientation::{Stood, Swing};
    let right = Stood {
        swing: Some(Swing::Right),
        ..Stood::default()
    };
    let mut open = open(Form::Plane, Notation::StrikeDip);
    assert_eq!(open.set_stood(right), Outcome::Draft);
    assert!(open.is_empty(), "nothing of the rock was read");
    type_keys(&mut open, "06235b");
    assert_eq!(open.reading.shots[0].stood, Some(right));
    type_keys(&mut open, "060");
    assert_eq!(open.stood(), right);
    type_keys(&mut open, "37");
    assert_eq!(open.reading.shots[1].stood, Some(right));
    let hung = Stood {
        hung: true,
        ..right
    };
    assert_eq!(open.set_stood(hung), Outcome::Correct);
    assert_eq!(
        open.reading
            .shots
            .iter()
            .map(|s| s.stood)
            .collect::<Vec<_>>(),
        [Some(right), Some(hung)]
    );
    open.press(&Key::TouchShot(0), NOW);
    assert_eq!(open.set_stood(Stood::default()), Outcome::Correct);
    assert_eq!(
        (open.stood(), open.reading.shots[0].stood),
        (Stood::default(), None)
    );
    assert_eq!(open.reading.shots[1].stood, Some(hung));
}

#[test]
fn any_keys_in_any_order_leave_a_sound_reading() {
    // A simple congruential walk (Knuth's MMIX constants): every key in every state, no panic, and a draft reads back.
    let mut seed = 1_u64;
    for form in [Form::Plane, Form::Line, Form::PlaneWithLine, Form::Angle] {
        for notation in [
            Notation::StrikeDip,
            Notation::RightHand,
            Notation::DipDirection,
        ] {
            let mut open = open(form, notation);
            open.halves = notation != Notation::StrikeDip;
            open.quarters = notation == Notation::DipDirection;
            open.quadrants = notation != Notation::StrikeDip;
            for _ in 0..3_000 {
                seed = seed
                    .wrapping_mul(6_364_136_223_846_793_005)
                    .wrapping_add(1_442_695_040_888_963_407);
                let pick = u8::try_from((seed >> 33) % 22).unwrap();
                let key = match pick {
                    0..=9 => Key::Digit(pick),
                    10 | 11 => Key::Back,
                    12 => Key::NextDial,
                    13 | 14 => Key::Side(usize::from(pick - 13)),
                    15 => Key::Touch(Dial::Strike),
                    16 => Key::Touch(Dial::Side),
                    17 => Key::Touch(Dial::Plunge),
                    18 => Key::TouchShot(0),
                    19 => Key::TouchShot(2),
                    20 => Key::StrikeShot,
                    _ => Key::Touch(Dial::Rake),
                };
                open.press(&key, NOW);
                assert!(open.at <= open.reading.shots.len());
                if let Some(here) = open.here {
                    assert!(open.order().contains(&here));
                }
                let text = serde_json::to_string(&open).unwrap();
                assert_eq!(serde_json::from_str::<Open>(&text).unwrap(), open);
                if open.reading.shots.len() > 6 {
                    open.reading.shots.clear();
                    open.rest();
                }
            }
        }
    }
}
