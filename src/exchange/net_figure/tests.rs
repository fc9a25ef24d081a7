use super::*;
use crate::notebook::figures::{ByHand, figures, figures_with};
use crate::orientation::faults::Slip;
use crate::orientation::{Line, Plane};

fn bed(strike_deg: f64, dip_deg: f64) -> Datum {
    Datum {
        record: format!("{strike_deg}/{dip_deg}"),
        kind: "bedding".to_owned(),
        plane: Some(Plane::from_deg(strike_deg, dip_deg).unwrap()),
        is_true: true,
        ..Datum::default()
    }
}

fn folded() -> Vec<Datum> {
    let one = (0..6).map(|i| bed(40.0 + f64::from(i % 3) - 1.0, 35.0 + f64::from(i)));
    one.chain((0..6).map(|i| bed(220.0 + f64::from(i % 3) - 1.0, 60.0 + f64::from(i))))
        .collect()
}

fn caption(svg: &str) -> String {
    let document = roxmltree::Document::parse(svg).unwrap_or_else(|e| panic!("{e}: {svg}"));
    let title = document.descendants().find(|n| n.has_tag_name("title"));
    title.and_then(|n| n.text()).unwrap().to_owned()
}

#[test]
fn limbs_by_hand_are_drawn_and_told() {
    let data = folded();
    let all: Vec<&Datum> = data.iter().collect();
    let mut hand = ByHand {
        kind: "bedding".to_owned(),
        ..ByHand::default()
    };
    let records = |range: std::ops::Range<usize>| -> Vec<String> {
        data[range].iter().map(|d| d.record.clone()).collect()
    };
    hand.take(&records(0..4), false);
    assert!(
        figures_with("bedding", &all, Some(&hand)).fold.is_none(),
        "one limb is no fold"
    );
    hand.take(&records(6..12), true);
    // A reading that is taken for the other limb leaves this one.
    hand.take(&records(3..4), true);
    let told = figures_with("bedding", &all, Some(&hand));
    let fold = told.fold.as_ref().expect("two limbs");
    assert!(fold.by_hand && fold.limbs[0].count == 3 && fold.limbs[1].count == 7);
    let figure = NetFigure {
        data: all.clone(),
        figures: Some(&told),
        limbs: true,
        ..NetFigure::default()
    };
    let svg = figure.svg();
    let words = caption(&svg);
    assert!(
        words.contains("Limbs chosen by hand: 1 ") && words.contains("(n = 7)"),
        "{words}"
    );
    for row in ["limbs 1 and 2", "axial plane", "fitted girdle"] {
        assert!(svg.contains(&format!(">{row}<")), "{row}");
    }
    let without = NetFigure {
        limbs: false,
        ..figure
    }
    .svg();
    assert!(!without.contains("axial plane"));
}

#[test]
fn a_style_of_line_stands_for_one_thing() {
    let data = folded();
    let all: Vec<&Datum> = data.iter().collect();
    let told = figures("bedding", &all);
    let stands = stands(&told.fits(true));
    let mut styles: Vec<String> = stands
        .iter()
        .filter(|s| !matches!(s, Stands::Axis | Stands::Mean))
        .map(|s| format!("{:?}", line_style(*s)))
        .collect();
    let count = styles.len();
    styles.sort();
    styles.dedup();
    assert_eq!(
        styles.len(),
        count,
        "without colour the lines are told apart"
    );
}

#[test]
fn slip_is_drawn_in_either_manner_and_counted() {
    let mut fault = bed(120.0, 65.0);
    let plane = fault.plane.unwrap();
    fault.kind = "fault + line".to_owned();
    fault.slip = Slip::new(plane, -60.0).ok();
    fault.line = fault.slip.and_then(|s| s.line()).map(|l: Line| l.as_axis());
    for planes in [Planes::Poles, Planes::Circles] {
        let figure = NetFigure {
            data: vec![&fault],
            planes,
            ..NetFigure::default()
        };
        let svg = figure.svg();
        assert!(caption(&svg).contains("Slip of the hanging wall of 1 fault:"));
        assert!(svg.contains("slip of the hanging wall  1"));
        assert!(
            svg.matches("stroke-width=\"1.6\"").count() >= 3,
            "shaft, head and sample"
        );
    }
}

#[test]
fn beyond_two_thousand_great_circles_some_are_left_out_and_the_caption_says_so() {
    let data: Vec<Datum> = (0..4_001)
        .map(|i| bed(f64::from(i % 360), f64::from(i % 90)))
        .collect();
    let figure = NetFigure {
        data: data.iter().collect(),
        planes: Planes::Circles,
        ..NetFigure::default()
    };
    let words = figure.caption().join(" ");
    assert!(
        words.contains("Of 4001 great circles every 3rd is drawn"),
        "{words}"
    );
    let strokes = |figure: &NetFigure| figure.svg().matches("stroke-width=\"1.2\"").count();
    // And one in the legend; what else is of that weight is on an empty net too.
    let drawn = strokes(&figure) - strokes(&NetFigure::default());
    assert_eq!(drawn, 1_334 + 1);
    assert_eq!(
        (every(0, 2_000), every(2_000, 2_000), every(2_001, 2_000)),
        (1, 1, 2)
    );
}

/// Without colour a great circle is told by its weight and its dashes.
#[test]
fn no_two_kinds_of_planes_have_great_circles_alike() {
    let kinds = ["bedding", "cleavage", "joint", "vein", "fault", "contact"];
    let mut styles: Vec<_> = kinds
        .map(|kind| {
            let mut datum = bed(40.0, 30.0);
            datum.kind = kind.to_owned();
            Mark::of(&datum, false).circle_style()
        })
        .to_vec();
    styles.push(Mark::BarredRing.circle_style());
    for (i, style) in styles.iter().enumerate() {
        assert!(!styles[..i].contains(style), "{style:?} twice");
    }
    let mut vein = bed(40.0, 30.0);
    vein.kind = "vein".to_owned();
    let svg = NetFigure {
        data: vec![&vein],
        planes: Planes::Circles,
        ..NetFigure::default()
    }
    .svg();
    assert_eq!(svg.matches("stroke-dasharray=\"8 2.5 1.4").count(), 2);
}
