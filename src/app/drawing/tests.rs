//! What holds for every drawing: it is XML, hidden, unstyled, made of finite numbers and of classes that have a rule.

use std::collections::BTreeSet;

use proptest::prelude::*;

use super::*;

/// Checks one drawing, and notes the classes it uses.
fn check(svg: &str, classes: &mut BTreeSet<String>) {
    let document = roxmltree::Document::parse(svg).unwrap_or_else(|e| panic!("{e}: {svg}"));
    let root = document.root_element();
    assert_eq!(root.tag_name().name(), "svg");
    assert_eq!(root.attribute("aria-hidden"), Some("true"));
    assert_eq!(root.attribute("focusable"), Some("false"));
    for node in document.descendants().filter(roxmltree::Node::is_element) {
        assert_ne!(node.tag_name().name(), "style");
        for attribute in node.attributes() {
            let (name, value) = (attribute.name(), attribute.value());
            assert_ne!(name, "style", "{svg}");
            if name == "class" {
                classes.extend(
                    value
                        .split(' ')
                        .filter(|class| !class.is_empty())
                        .map(String::from),
                );
                continue;
            }
            assert!(
                !value.contains("NaN") && !value.contains("inf"),
                "{name}={value}"
            );
            if matches!(name, "fill" | "stroke") {
                assert!(
                    matches!(value, "none" | "currentColor"),
                    "{name}={value} names a colour"
                );
            }
            if matches!(
                name,
                "x" | "y" | "cx" | "cy" | "r" | "width" | "height" | "font-size" | "stroke-width"
            ) {
                let number: f64 = value.parse().unwrap_or_else(|_| panic!("{name}={value}"));
                let may_be_negative = matches!(name, "x" | "y" | "cx" | "cy");
                assert!(may_be_negative || number >= 0.0, "{name}={value} in {svg}");
            }
        }
    }
}

const ICONS: [Icon; 31] = [
    Icon::Outcrop,
    Icon::Traverse,
    Icon::Camp,
    Icon::Undo,
    Icon::Back,
    Icon::Next,
    Icon::Step,
    Icon::List,
    Icon::More,
    Icon::Photo,
    Icon::Note,
    Icon::Place,
    Icon::Arrow,
    Icon::Book,
    Icon::Backup,
    Icon::Hand,
    Icon::Join,
    Icon::People,
    Icon::Setup,
    Icon::Sun,
    Icon::Cloud,
    Icon::Lamp,
    Icon::Strike,
    Icon::Care,
    Icon::Road,
    Icon::Rock,
    Icon::Slope,
    Icon::Tide,
    Icon::Alone,
    Icon::Sample,
    Icon::Sighting,
];

const STATES: [LineState; 4] = [
    LineState::Kept,
    LineState::Draft,
    LineState::Doubt,
    LineState::Empty,
];
const SCALES: [Scale; 3] = [Scale::Azimuth, Scale::Inclination, Scale::Rake];
const KINDS: [&str; 12] = [
    "bedding",
    "Overturned bedding",
    "cleavage",
    "foliation",
    "joint",
    "fault",
    "vein",
    "dyke",
    "contact",
    "axial plane",
    "<&\">",
    "",
];

/// Every form of every drawing that its numbers can take.
fn all_drawings(a: f64, b: f64, c: f64, d: f64, n: u32, m: u32, classes: &mut BTreeSet<String>) {
    let station = |at_m, sign, doubted| MapStation {
        number: n,
        at_m,
        sign,
        doubted,
    };
    let plane = |side_known| MapSign::Plane {
        kind: "bedding".to_owned(),
        strike_deg: a,
        dip_deg: b,
        side_known,
    };
    let line = MapSign::Line {
        trend_deg: c,
        plunge_deg: d,
    };
    let stations = [
        station((0.0, 0.0), plane(true), true),
        station((a, b), plane(false), false),
        station((c, d), line, false),
        station((60.0, 20.0), MapSign::Point, true),
    ];
    let room = Room {
        width_px: 800.0,
        height_px: 248.0,
        most_px: 360.0,
        phone: false,
        whole: n.is_multiple_of(2),
    };
    let map = strip_map(&stations, &lay_out(&stations, Some(0), &room), Some(0));
    check(&map, classes);
    let mut check = |svg: String| check(&svg, classes);
    for flag in [false, true] {
        for kind in KINDS {
            for dip_deg in [None, Some(b)] {
                check(symbol(kind, Some(a), dip_deg, flag, flag, !flag));
                check(symbol(kind, Some(a), dip_deg, flag, !flag, flag));
            }
        }
        check(symbol("bedding", None, None, flag, flag, flag));
        check(symbol("bedding", None, Some(b), flag, flag, flag));
        check(line_symbol(a, Some(b), flag, flag));
        check(line_symbol(a, None, flag, !flag));
        for scale in SCALES {
            for state in STATES {
                let shots_deg = [a, b, c];
                let (pointer_deg, possible_deg) = if flag {
                    (Some(a), None)
                } else {
                    (None, Some((b, c)))
                };
                check(limb(&Limb {
                    scale,
                    width_px: d,
                    phone: flag,
                    state,
                    pointer_deg,
                    possible_deg,
                    also_deg: possible_deg,
                    shots_deg: &[],
                }));
                let pointer_deg = Some(b);
                check(limb(&Limb {
                    scale,
                    width_px: 290.0,
                    phone: flag,
                    state,
                    pointer_deg,
                    possible_deg,
                    also_deg: None,
                    shots_deg: &shots_deg,
                }));
            }
        }
        check(side_disc(Some(a), flag));
        check(side_disc(None, flag));
        let plane = |sure| OpenPlane {
            strike_deg: a,
            dip_deg: b,
            label: Some("<SE?>"),
            sure,
        };
        let whole = Net {
            size_px: 306.0,
            poles: &[(a, b), (c, d)],
            lines: &[(b, a)],
            open_planes: &[plane(true), plane(false)],
            open_lines: &[],
            girdle_pole: Some((c, b)),
            rake_stretch: None,
            without_strikes: false,
            marks: &[
                Mark {
                    trend_deg: a,
                    plunge_deg: b,
                    label: "<rake>",
                    form: MarkForm::Full,
                },
                Mark {
                    trend_deg: c,
                    plunge_deg: d,
                    label: "rake",
                    form: MarkForm::Hollow,
                },
                Mark {
                    trend_deg: b,
                    plunge_deg: a,
                    label: "",
                    form: MarkForm::Dotted,
                },
            ],
            small: flag,
        };
        check(net(&whole));
        check(net(&Net {
            size_px: d,
            open_lines: &[(a, b)],
            rake_stretch: Some((a, b, c, d)),
            ..whole
        }));
        check(net(&Net {
            small: flag,
            ..Net::default()
        }));
        check(doubt_sign("?", flag));
        check(doubt_sign("<12>", flag));
    }
    check(spread(
        a,
        &[Some((b, c)), Some((c, d)), None, Some((d, a))],
        &[false, true],
    ));
    for phone in [false, true] {
        check(residual_bar(&ResidualBar {
            read: Some(a),
            after: Some(b),
            width_px: d,
            phone,
        }));
        check(residual_bar(&ResidualBar {
            read: None,
            after: Some(c),
            width_px: 280.0,
            phone,
        }));
    }
    for doubted in [false, true] {
        check(residual_link(d, doubted));
        check(residual_link(44.0, doubted));
    }
    check(small_bars(&[a, b, c, d]));
    check(small_bars(&[]));
    check(fix(Some(a)));
    check(fix(None));
    for clockwise in [false, true] {
        check(declination(&Circle {
            needle_deg: a,
            set_deg: b,
            clockwise,
        }));
    }
    check(book_line(n, m, d));
    check(start_line(d));
}

#[test]
fn every_icon_and_state_is_drawn() {
    let mut classes = BTreeSet::new();
    let drawn: BTreeSet<String> = ICONS.into_iter().map(icon).collect();
    assert_eq!(drawn.len(), ICONS.len(), "two icons look the same");
    for svg in drawn
        .into_iter()
        .chain(STATES.into_iter().map(state_sample))
    {
        check(&svg, &mut classes);
    }
}

#[test]
fn the_angles_where_forms_change_are_drawn() {
    let mut classes = BTreeSet::new();
    let corners = [
        0.0,
        -0.0,
        0.4,
        45.0,
        89.6,
        90.0,
        95.0,
        180.0,
        359.9,
        360.0,
        361.0,
        -30.0,
        1e12,
        f64::NAN,
        f64::INFINITY,
    ];
    for a in corners {
        for b in [0.0, 36.0, 90.0] {
            all_drawings(a, b, a, 100.0, 54, 39, &mut classes);
            all_drawings(b, 30.0, 60.0, a, 0, 7, &mut classes);
        }
    }
    for n in [0, 1, 2, 9, 10, 11, 60, 437, 5_000, 1_000_000, u32::MAX] {
        for m in [0, 1, 9, 437, u32::MAX] {
            for width_px in [
                0.0,
                1.0,
                366.0,
                752.0,
                f64::NAN,
                f64::INFINITY,
                f64::NEG_INFINITY,
            ] {
                check(&book_line(n, m, width_px), &mut classes);
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]
    #[test]
    fn any_number_is_drawn(a in any::<f64>(), b in -400.0..400.0, c in any::<f64>(), d in any::<f64>(), n: u32, m: u32) {
        let mut classes = BTreeSet::new();
        all_drawings(a, b, c, d, n, m, &mut classes);
        all_drawings(b, c, b, d.abs(), n % 1000, m % 1000, &mut classes);
    }
}

#[test]
fn every_class_has_a_rule_and_every_rule_a_class() {
    let css = include_str!("../../../style/drawing.css");
    let mut named = BTreeSet::new();
    for rule in css.split('}') {
        let selector = rule.split('{').next().unwrap_or_default();
        let selector = selector.rsplit("*/").next().unwrap_or_default();
        for part in selector.split('.').skip(1) {
            named.insert(
                part.chars()
                    .take_while(|c| c.is_ascii_alphanumeric() || *c == '-')
                    .collect::<String>(),
            );
        }
    }
    let mut used = BTreeSet::new();
    for dip_deg in [0.0, 36.0, 90.0] {
        all_drawings(62.0, dip_deg, 100.0, 300.0, 54, 39, &mut used);
    }
    for svg in ICONS
        .into_iter()
        .map(icon)
        .chain(STATES.into_iter().map(state_sample))
    {
        check(&svg, &mut used);
    }
    // A disc that is struck, one that is beyond the rings, one that is neither.
    check(
        &spread(
            1.0,
            &[Some((0.0, 0.0)), Some((9.0, 0.0)), Some((1.0, 0.0))],
            &[true],
        ),
        &mut used,
    );
    // What an element is, for the page to size it by: no rule here.
    let names = [
        "book-line",
        "declination",
        "doubt-sign",
        "fix",
        "icon",
        "limb",
        "needle",
        "net",
        "net-small",
        "residual-bar",
        "residual-link",
        "side-disc",
        "small-bars",
        "spread",
        "start-line",
        "state-sample",
        "strip-map",
        "tip",
        "turn",
    ];
    // What the page's keys are in.
    let states = ["waiting", "chosen"];
    let bare: Vec<&String> = used
        .iter()
        .filter(|class| !named.contains(*class) && !names.contains(&class.as_str()))
        .collect();
    assert_eq!(bare, Vec::<&String>::new(), "classes without a rule");
    let idle: Vec<&String> = named
        .iter()
        .filter(|class| !used.contains(*class) && !states.contains(&class.as_str()))
        .collect();
    assert_eq!(idle, Vec::<&String>::new(), "rules without a class");
}
