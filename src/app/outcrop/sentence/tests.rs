use super::*;
use crate::app::outcrop::open::Key;
use crate::notebook::{Notation, Reading};

const NOW: &str = "2026-06-14T14:28:00.000+02:00";

fn open(form: Form) -> Open {
    Open::new(
        Reading {
            kind: "bedding".to_owned(),
            form,
            ..Reading::default()
        },
        Notation::StrikeDip,
        false,
    )
}

/// Types digits, and `a` and `b` for the two sides.
fn type_keys(open: &mut Open, keys: &str) {
    for c in keys.chars() {
        let key = match c {
            'a' => Key::Side(0),
            'b' => Key::Side(1),
            c => Key::Digit(c.to_digit(10).and_then(|d| u8::try_from(d).ok()).unwrap()),
        };
        open.press(&key, NOW);
    }
}

#[test]
fn shots_have_their_distances_and_a_struck_one_keeps_its_number() {
    let mut open = open(Form::Plane);
    type_keys(&mut open, "06235b");
    assert_eq!(of(&open, &Around::default(), false).mean, None);
    type_keys(&mut open, "0603706437");
    let mean = of(&open, &Around::default(), false).mean.unwrap();
    assert_eq!(mean.distances_deg.len(), 3);
    assert!(
        mean.distances_deg
            .iter()
            .all(|d| d.is_some_and(|d| d < 3.0))
    );
    assert!(mean.words.starts_with("mean of 3, ±"), "{}", mean.words);
    open.press(&Key::TouchShot(1), NOW);
    open.press(&Key::StrikeShot, NOW);
    let mean = of(&open, &Around::default(), false).mean.unwrap();
    assert!(mean.distances_deg[1].is_none() && mean.offsets_deg[1].is_none());
    assert!(mean.distances_deg[0].is_some() && mean.distances_deg[2].is_some());
    assert!(mean.words.starts_with("mean of 2, ±"), "{}", mean.words);
}

#[test]
fn a_shot_that_stands_apart_is_named_and_can_be_struck_out() {
    let mut open = open(Form::Plane);
    type_keys(&mut open, "06235b095360633606135");
    let finding = of(&open, &Around::default(), false);
    assert_eq!(finding.doubt.as_ref().unwrap().kind, DoubtKind::Scatter);
    assert!(
        finding.words.starts_with("Shot 2 lies "),
        "{}",
        finding.words
    );
    assert_eq!(finding.offers[0], Offer::StrikeOut(1));
    assert!(
        matches!(&finding.offers[1], Offer::Choice(c) if c.sets.is_empty()),
        "{:?}",
        finding.offers
    );
    open.press(&Key::TouchShot(1), NOW);
    open.press(&Key::StrikeShot, NOW);
    assert_eq!(of(&open, &Around::default(), false).doubt, None);
}

#[test]
fn two_shots_apart_do_not_say_which_is_wrong() {
    let mut open = open(Form::Plane);
    type_keys(&mut open, "06235b09536");
    let finding = of(&open, &Around::default(), false);
    assert!(
        finding.words.starts_with("Shots 1 and 2 lie "),
        "{}",
        finding.words
    );
    assert_eq!(
        finding.offers[..2],
        [Offer::StrikeOut(0), Offer::StrikeOut(1)]
    );
    assert!(finding.detail.contains("third shot"), "{}", finding.detail);
}

#[test]
fn a_touched_shot_offers_to_be_struck_out_and_put_back() {
    let mut open = open(Form::Plane);
    type_keys(&mut open, "06235b0633606135");
    open.press(&Key::TouchShot(0), NOW);
    assert_eq!(
        of(&open, &Around::default(), false).offers,
        [Offer::StrikeOut(0)]
    );
    open.press(&Key::StrikeShot, NOW);
    open.press(&Key::TouchShot(0), NOW);
    let finding = of(&open, &Around::default(), false);
    assert_eq!(finding.offers, [Offer::PutBack(0)]);
    assert!(finding.detail.contains("struck out"), "{}", finding.detail);
}

#[test]
fn doubts_of_other_kinds_offer_their_choices_as_before() {
    let mut open = open(Form::Plane);
    type_keys(&mut open, "04595b");
    let finding = of(&open, &Around::default(), false);
    assert_eq!(finding.marked, Some(Dial::Dip));
    assert_eq!(finding.page, None);
    let choices = &finding.doubt.as_ref().unwrap().choices;
    let offered: Vec<Offer> = choices.iter().cloned().map(Offer::Choice).collect();
    assert_eq!(finding.offers, offered);
    let kept = choices.iter().find(|c| c.sets.is_empty()).unwrap().clone();
    let doubt = finding.doubt.unwrap();
    open.accept(&doubt, &kept, "QV", NOW);
    let finding = of(&open, &Around::default(), false);
    assert_eq!(finding.doubt, None);
    assert!(finding.kept_doubt);
    assert!(finding.words.starts_with("Keep 95"), "{}", finding.words);
}

/// Types a plane with a line that is off its plane, then one that is not.
fn off_and_on() -> Open {
    let mut open = open(Form::PlaneWithLine);
    type_keys(&mut open, "13258b14725030");
    type_keys(&mut open, "1325832725030");
    open
}

#[test]
fn the_doubt_of_a_set_up_has_its_page_once_the_shot_is_in() {
    let mut open = open(Form::PlaneWithLine);
    type_keys(&mut open, "13258b14725");
    let finding = of(&open, &Around::default(), false);
    assert_eq!(finding.doubt.as_ref().unwrap().kind, DoubtKind::SetUp);
    assert_eq!(finding.page, None, "the rake may still tell");
    assert!(finding.offers.is_empty());
    type_keys(&mut open, "030");
    let finding = of(&open, &Around::default(), false);
    assert_eq!(finding.marked, finding.doubt.as_ref().unwrap().dial);
    let page = finding.page.unwrap();
    assert_eq!(page.rows.len(), 5);
    assert!(!page.ways.is_empty());
    // Every plate is one of the doubt's own choices, so that the book knows what was answered.
    let choices = &finding.doubt.as_ref().unwrap().choices;
    assert!(
        page.ways
            .iter()
            .all(|way| choices.contains(way.choice.as_ref().unwrap()))
    );
    let again = of(&open, &Around::default(), true);
    assert!(again.words.starts_with("Shot 2"), "{}", again.words);
    assert!(again.page.is_some());
}

#[test]
fn an_accepted_explanation_is_settled_and_the_adjusted_values_say_so() {
    let mut open = open(Form::PlaneWithLine);
    type_keys(&mut open, "13258b14725030");
    let finding = of(&open, &Around::default(), false);
    let choice = finding.page.unwrap().ways[0].choice.clone().unwrap();
    open.accept(&finding.doubt.unwrap(), &choice, "QV", NOW);
    let finding = of(&open, &Around::default(), false);
    assert_eq!(finding.doubt, None);
    assert!(finding.words.starts_with("Settled: "), "{}", finding.words);
    assert!(
        finding
            .detail
            .starts_with("The dials stay as they were read; adjusted "),
        "{}",
        finding.detail
    );
    let (_, soft) = finding.together.unwrap();
    assert!(soft.contains("adjusted"), "{soft}");
    assert_eq!(open.reading.shots[0].trend.as_deref(), Some("147"));
}

#[test]
fn dials_that_agree_say_how_well_and_what_they_adjust_to() {
    let mut open = open(Form::PlaneWithLine);
    type_keys(&mut open, "13258b32725");
    let finding = of(&open, &Around::default(), false);
    assert_eq!(finding.words, "Four dials agree.");
    assert!(
        finding.detail.starts_with("The line lies "),
        "{}",
        finding.detail
    );
    // By the law of sines the rake is near 30: sin 25° ÷ sin 58°.
    assert_eq!(finding.together.unwrap().0, "rake 29");
    type_keys(&mut open, "030");
    let finding = of(&open, &Around::default(), false);
    assert_eq!(finding.words, "Nothing disagrees.");
    assert!(
        finding.detail.starts_with("All five within ")
            && finding.detail.contains(" × ±; adjusted "),
        "{}",
        finding.detail
    );
}

#[test]
fn a_shot_before_that_is_still_in_doubt_is_named_before_the_scatter() {
    let finding = of(&off_and_on(), &Around::default(), false);
    assert_eq!(finding.words, "Shot 1 is still in doubt.");
    assert_eq!(finding.offers[0], Offer::StrikeOut(0));
    assert_eq!(finding.together, None, "no mean of shots that disagree");
    let mut open = off_and_on();
    open.press(&Key::TouchShot(0), NOW);
    open.press(&Key::StrikeShot, NOW);
    let finding = of(&open, &Around::default(), false);
    assert_eq!(finding.doubt, None);
    assert!(finding.together.is_some());
}

#[test]
fn shots_that_scatter_together_are_not_blamed_one_by_one() {
    let mut open = open(Form::Plane);
    type_keys(&mut open, "05536b0693605536069360553606936");
    let finding = of(&open, &Around::default(), false);
    assert_eq!(finding.doubt.as_ref().unwrap().kind, DoubtKind::Scatter);
    assert!(
        finding.words.starts_with("The 6 shots scatter"),
        "{}",
        finding.words
    );
    let kept = |offer: &Offer| matches!(offer, Offer::Choice(choice) if choice.sets.is_empty());
    assert!(finding.offers.iter().all(kept), "{:?}", finding.offers);
}

#[test]
fn of_a_reading_whose_only_shot_is_struck_out_nothing_stands() {
    let mut open = open(Form::Plane);
    type_keys(&mut open, "06235b");
    open.press(&Key::StrikeShot, NOW);
    let finding = of(&open, &Around::default(), false);
    assert_eq!(finding.words, "Its shot is struck out.");
    assert_eq!(finding.detail, "The next digit begins shot 2.");
    assert!(finding.planes.is_empty());
    assert_eq!(finding.offers, [Offer::PutBack(0)]);
    type_keys(&mut open, "0");
    let finding = of(&open, &Around::default(), false);
    assert!(!finding.words.contains("struck out"), "{}", finding.words);
}
