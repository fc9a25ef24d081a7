//! The net and the rose as files: opened and drawn by an SVG reader of its own, which knows nothing of ours.
#![cfg(not(target_arch = "wasm32"))]
// Pixels of a small picture.
#![allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]

use hingeline::exchange::net_figure::{NetFigure, Planes};
use hingeline::exchange::rose_figure::RoseFigure;
use hingeline::notebook::Datum;
use hingeline::notebook::figures::{Figures, figures};
use hingeline::notebook::structure::Shots;
use hingeline::orientation::angle::radians;
use hingeline::orientation::density::Levels;
use hingeline::orientation::faults::Slip;
use hingeline::orientation::{Density, Hemisphere, Line, Plane, Projection};
use resvg::tiny_skia::{Pixmap, Transform};
use resvg::usvg::{Options, Tree};

/// Where the figure puts the middle of the net, and its radius, pixels.
const MIDDLE: (f64, f64) = (320.0, 310.0);
const RADIUS: f64 = 260.0;

fn drawn(svg: &str) -> Pixmap {
    let tree = Tree::from_str(svg, &Options::default()).expect("a reader opens it");
    let size = tree.size().to_int_size();
    let mut picture = Pixmap::new(size.width(), size.height()).expect("a size");
    resvg::render(&tree, Transform::default(), &mut picture.as_mut());
    picture
}

/// Whether there is ink within so many pixels of a place of the net, east and north.
fn ink_near(picture: &Pixmap, (east, north): (f64, f64), within: i32) -> bool {
    let (x, y) = (MIDDLE.0 + east * RADIUS, MIDDLE.1 - north * RADIUS);
    (-within..=within).any(|dx| {
        (-within..=within).any(|dy| {
            let at = |v: f64, d: i32| u32::try_from(v.round() as i32 + d).ok();
            let pixel = at(x, dx)
                .zip(at(y, dy))
                .and_then(|(x, y)| picture.pixel(x, y));
            pixel.is_some_and(|p| p.red() < 90 && p.green() < 110)
        })
    })
}

fn bed(strike_deg: f64, dip_deg: f64) -> Datum {
    Datum {
        kind: "bedding".to_owned(),
        plane: Some(Plane::from_deg(strike_deg, dip_deg).expect("in range")),
        is_true: true,
        ..Datum::default()
    }
}

fn folded() -> Vec<Datum> {
    let one = (0..6).map(|i| bed(39.0 + f64::from(i % 3), 30.0 + 2.0 * f64::from(i)));
    one.chain((0..6).map(|i| bed(219.0 + f64::from(i % 3), 50.0 + 2.0 * f64::from(i))))
        .collect()
}

fn at(axis: &nalgebra::Vector3<f64>) -> (f64, f64) {
    Projection::EqualArea.project(Hemisphere::Lower, axis)
}

fn of_kind(kind: &str, data: &[Datum]) -> Figures {
    figures(kind, &data.iter().collect::<Vec<_>>())
}

#[test]
fn poles_girdle_axis_limbs_and_contours_are_where_they_should_be() {
    let data = folded();
    let told = of_kind("bedding", &data);
    let poles: Vec<_> = data.iter().filter_map(Datum::pole).collect();
    let density = Density::of(&poles, 100.0, 61, Projection::EqualArea, Hemisphere::Lower);
    let figure = NetFigure {
        data: data.iter().collect(),
        figures: Some(&told),
        limbs: true,
        density: Some((&density, Levels::Even)),
        book: "Varrelow".to_owned(),
        date: "14 June 2026".to_owned(),
        ..NetFigure::default()
    };
    let picture = drawn(&figure.svg());
    for pole in &poles {
        assert!(ink_near(&picture, at(pole), 1), "a disc at {pole}");
    }
    let axis = told.cylinder.as_ref().expect("a girdle").axis.vector();
    assert!(ink_near(&picture, at(&axis), 1), "the cross of the axis");
    // Along the girdle there is ink, dash by dash: within half a period of any place of it.
    let girdle = Projection::EqualArea.great_circle(Hemisphere::Lower, &axis, 90);
    let inked = girdle.iter().filter(|p| ink_near(&picture, **p, 8)).count();
    assert!(
        inked * 10 >= girdle.len() * 9,
        "{inked} of {}",
        girdle.len()
    );
    let folded = told.fold.as_ref().expect("limbs");
    for plane in [
        &folded.limbs[0].plane,
        &folded.limbs[1].plane,
        &folded.fold.axial_plane,
    ] {
        let circle = Projection::EqualArea.great_circle(Hemisphere::Lower, &plane.normal(), 90);
        let inked = circle
            .iter()
            .filter(|p| ink_near(&picture, **p, 10))
            .count();
        assert!(
            inked * 10 >= circle.len() * 9,
            "{inked} of {}",
            circle.len()
        );
    }
    assert!(!ink_near(&picture, (0.5, -0.75), 3), "nothing lies there");
    let deviations = NetFigure {
        density: Some((&density, Levels::Deviations)),
        ..figure
    };
    assert_ne!(drawn(&deviations.svg()).data(), picture.data());
    let caption = deviations.caption().join(" ");
    assert!(
        caption.contains("2, 4, 8 standard deviations above even ("),
        "{caption}"
    );
    // Below the frame stand the legend and the caption; without fonts their samples alone are drawn.
    assert!(picture.height() > 700);
}

/// Rings as large as a dot: paper within, ink around; as great circles where planes are.
#[test]
fn the_shots_of_a_reading_lie_where_they_were_read() {
    let data = [bed(40.0, 50.0)];
    let read = [(20.0, 50.0), (40.0, 70.0), (60.0, 30.0)];
    let poles: Vec<_> = read
        .iter()
        .filter_map(|(strike, dip)| bed(*strike, *dip).pole())
        .collect();
    let shots = Shots {
        name: "47·3".to_owned(),
        kind: "bedding".to_owned(),
        poles: poles.clone(),
        lines: Vec::new(),
    };
    for planes in [Planes::Poles, Planes::Circles] {
        let of = |shots| NetFigure {
            data: data.iter().collect(),
            planes,
            shots,
            ..NetFigure::default()
        };
        let (with, without) = (of(Some(&shots)), of(None));
        let caption = with.caption().join(" ");
        assert!(caption.contains("the 3 shots of reading 47·3"), "{caption}");
        assert!(!without.caption().join(" ").contains("shots"));
        let (with, without) = (drawn(&with.svg()), drawn(&without.svg()));
        for pole in &poles {
            match planes {
                Planes::Poles => {
                    assert!(ink_near(&with, at(pole), 3), "a ring at {pole}");
                    assert!(!ink_near(&with, at(pole), 0), "paper within it at {pole}");
                    assert!(!ink_near(&without, at(pole), 3));
                }
                Planes::Circles => {
                    let circle = Projection::EqualArea.great_circle(Hemisphere::Lower, pole, 90);
                    let inked = |picture: &Pixmap| {
                        circle.iter().filter(|p| ink_near(picture, **p, 4)).count()
                    };
                    assert!(inked(&with) * 10 >= circle.len() * 9);
                    assert!(inked(&without) * 2 < circle.len());
                }
            }
        }
    }
}

#[test]
fn the_arrow_of_a_fault_lies_beside_its_pole() {
    let mut fault = bed(0.0, 60.0);
    fault.kind = "fault + line".to_owned();
    fault.slip = Slip::new(fault.plane.expect("a plane"), -90.0).ok();
    fault.line = fault.slip.and_then(|s| s.line()).map(|l: Line| l.as_axis());
    let pole = at(&fault.pole().expect("a plane"));
    for (planes, place) in [
        // Normal slip of a fault that dips east: the arrow through the pole, west of the middle, points east.
        (Planes::Poles, (pole.0 + 12.0 / RADIUS, pole.1)),
        (Planes::Circles, at(&fault.line.expect("a line").vector())),
    ] {
        let figure = NetFigure {
            data: vec![&fault],
            planes,
            ..NetFigure::default()
        };
        let picture = drawn(&figure.svg());
        let out = if planes == Planes::Circles {
            20.0 / RADIUS
        } else {
            0.0
        };
        assert!(
            ink_near(&picture, (place.0 + out, place.1), 1),
            "{planes:?}"
        );
        assert!(
            !ink_near(&picture, (place.0 - 40.0 / RADIUS, place.1), 2),
            "{planes:?}"
        );
    }
}

#[test]
fn a_current_has_its_cone_and_a_rose_its_petals() {
    let currents: Vec<Datum> = (0..12)
        .map(|i| Datum {
            kind: "current direction".to_owned(),
            line: Line::from_deg(200.0 + 3.0 * f64::from(i % 5), 40.0 + f64::from(i % 7)).ok(),
            is_true: true,
            ..Datum::default()
        })
        .collect();
    let told = of_kind("current direction", &currents);
    let figure = NetFigure {
        data: currents.iter().collect(),
        figures: Some(&told),
        ..NetFigure::default()
    };
    let picture = drawn(&figure.svg());
    let fisher = told.fisher.expect("a mean");
    let cone_deg = fisher.cone_95_deg.expect("a cone");
    let cone =
        Projection::EqualArea.small_circle(Hemisphere::Lower, &fisher.mean.vector(), cone_deg, 60);
    assert!(
        cone.iter().flatten().all(|p| ink_near(&picture, *p, 1)),
        "the cone of {cone_deg}°"
    );
    let rose = RoseFigure {
        figures: &told,
        book: "Varrelow".to_owned(),
        date: "14 June 2026".to_owned(),
        chosen: String::new(),
    };
    let picture = drawn(&rose.svg());
    // The longest petal reaches the rim, the way the currents go; the opposite way there is nothing but the rim.
    let petal = |deg: f64, r: f64| (r * radians(deg).sin(), r * radians(deg).cos());
    let inside = |place: (f64, f64)| {
        let (x, y) = (MIDDLE.0 + place.0 * RADIUS, MIDDLE.1 - place.1 * RADIUS);
        let pixel = picture.pixel(x as u32, y as u32).expect("on the sheet");
        pixel.red() < 200
    };
    assert!(inside(petal(205.0, 0.5)) && !inside(petal(25.0, 0.5)));
}
