use nalgebra::Matrix3;

use super::*;
use crate::orientation::{Decide, FrameDials, Residual, Slip, Tried};

/// The set-up of the drawing board: an invented fault plane whose rake was counted from the wrong end.
const READ: FrameDials = FrameDials {
    strike_deg: Some(312.0),
    dip_deg: Some(58.0),
    toward_deg: None,
    trend_deg: Some(327.0),
    plunge_deg: Some(25.0),
    rake_deg: Some(148.0),
    side_read: true,
};

fn shot() -> Shot {
    let text = |t: &str| Some(t.to_owned());
    Shot {
        strike: text("132"),
        dip: text("58"),
        side: text("NE"),
        trend: text("327"),
        plunge: text("25"),
        rake: text("148"),
        ..Shot::default()
    }
}

/// An adjustment whose residuals are so many times their own ±, which is 2° for every dial.
fn adjusted(strike_deg: f64, times: &[(Dial, f64)]) -> Adjusted {
    Adjusted {
        plane: Plane::from_deg(strike_deg, 58.0).unwrap(),
        line: Line::from_deg(327.0, 26.0).unwrap(),
        rake_deg: 31.0,
        residuals: times
            .iter()
            .map(|&(dial, times)| Residual {
                dial,
                read_deg: 0.0,
                adjusted_deg: 0.0,
                residual_deg: 2.0 * times,
                sd_deg: 2.0,
                redundancy: 0.4,
            })
            .collect(),
        chi2: 0.0,
        dof: 2,
        normal_covariance: Matrix3::identity(),
        line_covariance: Matrix3::identity(),
        normal_sd_deg: 1.0,
        line_sd_deg: 1.0,
    }
}

const ALL: [Dial; 5] = [
    Dial::Strike,
    Dial::Dip,
    Dial::Trend,
    Dial::Plunge,
    Dial::Rake,
];

fn five(times: [f64; 5]) -> Vec<(Dial, f64)> {
    ALL.into_iter().zip(times).collect()
}

fn explanation(sets: Vec<(Dial, String)>) -> Explanation {
    Explanation {
        slip: Slip::RakeEnd,
        with: Vec::new(),
        words: "The rake was measured from the other end of the strike line: 148 instead of 32"
            .to_owned(),
        short: "rake 32, from the other end".to_owned(),
        detail: "then all five within 0.8 × ±".to_owned(),
        odds: 0.994,
        corrected: FrameDials {
            rake_deg: Some(32.0),
            ..READ
        },
        sets,
        adjusted: adjusted(312.0, &five([0.3, -0.1, -0.4, -0.2, 0.75])),
    }
}

fn diagnosis() -> Diagnosis {
    Diagnosis {
        read: READ,
        adjusted: Some(adjusted(290.0, &five([21.2, 12.0, -20.0, -9.96, 3.44]))),
        doubted: true,
        as_read_odds: 1e-9,
        explanations: vec![explanation(vec![(Dial::Rake, "032".to_owned())])],
        also_tried: vec![Tried {
            slip: Slip::StrikeEnd,
            words: "It dips SW, not NE".to_owned(),
            detail: "strike and trend would still be off by 7.3 × ±".to_owned(),
            adjusted: adjusted(132.0, &five([7.3, 0.0, -7.3, 1.0, 2.0])),
        }],
        decide: Some(Decide {
            dial: Dial::Toward,
            words: "read the dip direction".to_owned(),
        }),
    }
}

fn page_of(diagnosis: &Diagnosis, shot: &Shot) -> DoubtPage {
    page(
        diagnosis,
        &Case {
            shot,
            plane: Some(Plane::from_deg(312.0, 58.0).unwrap()),
            marked: Some(Dial::Rake),
            noise: &Noise::default(),
        },
    )
}

#[test]
fn the_rows_are_the_dials_as_read_with_their_own_residuals() {
    let page = page_of(&diagnosis(), &shot());
    assert_eq!(page.heading, "These five dials cannot all be right");
    let rows: Vec<(&str, &str, &str, &str)> = page
        .rows
        .iter()
        .map(|r| (r.name, r.value.as_str(), r.size.as_str(), r.own.as_str()))
        .collect();
    assert_eq!(
        rows,
        [
            ("strike", "132", "21", "±2.0°"),
            ("dip", "58 NE", "12", "±2.0°"),
            ("trend", "327", "20", "±2.0°"),
            ("plunge", "25", "10", "±2.0°"),
            ("rake", "148", "3.4", "±2.0°"),
        ]
    );
    assert_eq!(page.rows[2].read, Some(-20.0));
    assert_eq!(page.rows[4].after, Some(0.75));
    let marked: Vec<Dial> = page
        .rows
        .iter()
        .filter(|r| r.marked)
        .map(|r| r.dial)
        .collect();
    assert_eq!(marked, [Dial::Rake]);
    assert_eq!(
        page.rows[1].spoken,
        "dip, 5 8, N E, off by 12 times its own ±2.0°, 0.1 times after the first explanation"
    );
}

#[test]
fn the_words_say_where_the_line_lies_and_what_the_dial_says() {
    let page = page_of(&diagnosis(), &shot());
    // By the law of sines: sin rake = sin plunge ÷ sin dip, 29.9°; the trend has it 0.3° higher up.
    let plane = Plane::from_deg(312.0, 58.0).unwrap();
    let rake = plane
        .rake_of(&Line::from_deg(327.0, 25.0).unwrap())
        .unwrap();
    assert_eq!(
        page.finding,
        format!("Trend and plunge put the line at rake {:.0}.", rake.deg())
    );
    assert!(
        page.numbers.starts_with("The dial says 148: that is "),
        "{}",
        page.numbers
    );
    assert!(page.numbers.ends_with("the rake is good to ±2°."));
    assert_eq!(
        page.remark,
        "Counted from 132, the end you read, rake 32 reads 148."
    );
    assert_eq!(page.after_words.as_deref(), Some("if rake was 32"));
    assert_eq!(page.decide.as_deref(), Some("read the dip direction"));
}

#[test]
fn a_line_off_its_plane_is_told_before_its_rake() {
    let mut turned = diagnosis();
    turned.read.trend_deg = Some(147.0);
    let mut shot = shot();
    shot.trend = Some("147".to_owned());
    let page = page_of(&turned, &shot);
    assert!(page.finding.contains("off the plane"), "{}", page.finding);
    assert!(
        page.numbers.contains("the dial says 148"),
        "{}",
        page.numbers
    );
    // Without a rake there is no word of it.
    turned.read.rake_deg = None;
    shot.rake = None;
    let page = page_of(&turned, &shot);
    assert!(page.finding.contains("off the plane"), "{}", page.finding);
    assert!(!page.numbers.contains("rake"), "{}", page.numbers);
    assert_eq!(page.rows.len(), 4);
}

#[test]
fn without_a_plunge_the_rake_is_held_against_the_trend() {
    let mut four = diagnosis();
    four.read.plunge_deg = None;
    let mut shot = shot();
    shot.plunge = None;
    let page = page_of(&four, &shot);
    assert!(
        page.finding.starts_with("The rake puts the line at "),
        "{}",
        page.finding
    );
    assert!(
        page.numbers.starts_with("The trend dial says 327: "),
        "{}",
        page.numbers
    );
    assert_eq!(page.heading, "These four dials cannot all be right");
}

#[test]
fn the_plates_carry_odds_bars_and_a_choice_and_what_fits_nothing_has_none() {
    let page = page_of(&diagnosis(), &shot());
    assert_eq!(page.ways.len(), 1);
    let way = &page.ways[0];
    assert_eq!(way.odds, ("99".to_owned(), "in 100".to_owned()));
    assert_eq!(way.bars.len(), 5);
    let choice = way.choice.as_ref().unwrap();
    assert_eq!(choice.sets, [(Dial::Rake, "032".to_owned())]);
    assert_eq!(page.tried[0].odds.0, "no");
    assert_eq!(page.tried[0].choice, None);
    assert_eq!(page.tried[0].words, "it dips SW, not NE");
}

#[test]
fn the_net_holds_what_the_dials_say_against_each_other() {
    let page = page_of(&diagnosis(), &shot());
    let forms: Vec<(MarkForm, &str)> = page
        .said
        .iter()
        .map(|s| (s.form, s.label.as_str()))
        .collect();
    assert_eq!(
        forms,
        [
            (MarkForm::Dotted, ""),
            (MarkForm::Full, "trend, plunge"),
            (MarkForm::Hollow, "rake 148"),
        ]
    );
    assert_eq!(page.plane, Some((312.0, 58.0)));
    assert_eq!(page.other_plane, None, "the explanation leaves the plane");
    assert!(
        page.net_words.contains("rake 148 put the line at"),
        "{}",
        page.net_words
    );
}

#[test]
fn a_diagnosis_that_knows_nothing_still_lets_the_dials_be_read_again() {
    let bare = Diagnosis {
        adjusted: None,
        explanations: Vec::new(),
        also_tried: Vec::new(),
        decide: None,
        ..diagnosis()
    };
    let page = page(
        &bare,
        &Case {
            shot: &shot(),
            plane: None,
            marked: None,
            noise: &Noise::default(),
        },
    );
    assert_eq!(page.rows.len(), 5);
    assert!(
        page.rows
            .iter()
            .all(|r| r.read.is_none() && r.size.is_empty())
    );
    assert!(page.ways.is_empty() && page.finding.is_empty());
}

#[test]
fn hollow_bars_are_named_by_what_the_explanation_sets() {
    let named = |sets: &[(Dial, &str)]| {
        let sets = sets.iter().map(|&(d, t)| (d, t.to_owned())).collect();
        if_words(&explanation(sets), &shot())
    };
    assert_eq!(named(&[(Dial::Rake, "007")]), "if rake was 7");
    assert_eq!(named(&[(Dial::Rake, "000")]), "if rake was 0");
    assert_eq!(named(&[(Dial::Strike, "045")]), "if strike was 045");
    assert_eq!(named(&[(Dial::Side, "SW")]), "if it dipped SW");
    assert_eq!(
        named(&[(Dial::Strike, "345"), (Dial::Side, "W")]),
        "if strike was 345 and it dipped W"
    );
    assert_eq!(named(&[]), "after the first explanation");
}

#[test]
fn within_is_rounded_up_so_that_it_holds() {
    assert_eq!(
        within(&adjusted(312.0, &five([0.31, -0.82, 0.0, 0.1, 0.2]))),
        0.9
    );
    assert_eq!(
        within(&adjusted(312.0, &five([0.3, -0.3, 0.0, 0.1, 0.2]))),
        0.3
    );
    assert_eq!(within(&adjusted(312.0, &[])), 0.0);
}
