//! The strip map: true to scale, whole where it can be, and told by a tap.

use super::*;

const TABLET: Room = Room {
    width_px: 800.0,
    height_px: 248.0,
    most_px: 360.0,
    phone: false,
    whole: false,
};
const PAPER: Room = Room {
    whole: true,
    ..TABLET
};
const PHONE: Room = Room {
    width_px: 390.0,
    height_px: 180.0,
    most_px: 180.0,
    phone: true,
    whole: false,
};

fn way(count: u32, east_m: f64, north_m: f64) -> Vec<(f64, f64)> {
    (0..count)
        .map(|i| (f64::from(i) * east_m, f64::from(i) * north_m))
        .collect()
}

/// Stations numbered from 1, planes of all strikes and, each seventh, a line.
fn stations(at_m: &[(f64, f64)]) -> Vec<MapStation> {
    (1_u32..)
        .zip(at_m)
        .map(|(number, at_m)| MapStation {
            number,
            at_m: *at_m,
            sign: if number % 7 == 0 {
                MapSign::Line {
                    trend_deg: f64::from(number) * 50.0,
                    plunge_deg: 20.0,
                }
            } else {
                MapSign::Plane {
                    kind: "bedding".to_owned(),
                    strike_deg: f64::from(number) * 37.0,
                    dip_deg: f64::from(number % 80) + 5.0,
                    side_known: number % 5 != 0,
                }
            },
            doubted: number % 9 == 0,
        })
        .collect()
}

fn lay(at_m: &[(f64, f64)], selected: Option<usize>, room: &Room) -> Layout {
    lay_out(&stations(at_m), selected, room)
}

/// East is to the right and north is up, at one scale both ways.
#[test]
fn the_map_is_north_up_and_true_to_scale() {
    let at_m = [(0.0, 0.0), (300.0, 0.0), (300.0, 40.0)];
    let layout = lay(&at_m, None, &TABLET);
    let at = |i: usize| layout.places[i].at;
    assert!((at(1).0 - at(0).0 - 300.0 / layout.metres).abs() < 1e-9);
    assert!((at(1).1 - at(0).1).abs() < 1e-9);
    assert!((at(1).1 - at(2).1 - 40.0 / layout.metres).abs() < 1e-9);
    assert_eq!(layout.beyond(), 0);
}

#[test]
fn a_day_that_fits_is_whole_and_in_the_middle() {
    let layout = lay(&way(15, 90.0, 6.0), Some(0), &TABLET);
    assert_eq!((layout.height_px, layout.beyond()), (248.0, 0));
    let (first, last) = (layout.places[0].at, layout.places[14].at);
    assert!((first.0 - (800.0 - last.0)).abs() < 1e-6);
    assert!((first.0 - EDGE_PX[0]).abs() < 1e-6, "{first:?}");
}

#[test]
fn a_way_to_the_north_gets_a_taller_paper() {
    let layout = lay(&way(7, -90.0, 115.0), None, &TABLET);
    assert!(layout.height_px > 248.0 && layout.height_px <= 360.0);
    assert_eq!(layout.beyond(), 0);
}

#[test]
fn a_crowded_day_and_a_phone_show_the_piece_round_the_selection() {
    for room in [TABLET, PHONE] {
        for selected in [0, 30, 99] {
            let layout = lay(&way(100, 100.0, 10.0), Some(selected), &room);
            assert!(layout.shows(selected) && layout.beyond() > 50);
            let apart = layout.places[1].at.0 - layout.places[0].at.0;
            assert!(apart > 40.0, "{apart}");
        }
    }
    // What fits on a phone is not cropped.
    assert_eq!(lay(&way(4, 100.0, 0.0), Some(3), &PHONE).beyond(), 0);
}

#[test]
fn numbers_stand_on_alternate_sides_of_the_way() {
    let sides = |at_m: &[(f64, f64)]| {
        let layout = lay(at_m, None, &TABLET);
        let places = layout.places.iter();
        places
            .map(|placed| {
                let (x, y) = placed.number.expect("there is room");
                let (dx, dy) = (x - placed.at.0, y - placed.at.1);
                match (dx.abs() < 1.0, dy.abs() < 1.0) {
                    (true, false) if dy < 0.0 => "above",
                    (true, false) => "below",
                    (false, true) if dx < 0.0 => "left",
                    (false, true) => "right",
                    _ => "elsewhere",
                }
            })
            .collect::<Vec<_>>()
    };
    assert_eq!(
        sides(&way(4, 90.0, 10.0)),
        ["above", "below", "above", "below"]
    );
    assert_eq!(
        sides(&way(4, 10.0, 90.0)),
        ["left", "right", "left", "right"]
    );
}

/// What is drawn, with its room: numbers and figures as boxes.
fn boxes(svg: &str) -> Vec<(String, [f64; 4])> {
    let document = roxmltree::Document::parse(svg).expect("well-formed");
    let texts = document.root_element().children();
    texts
        .filter(|node| node.has_tag_name("text"))
        .filter_map(|node| {
            let number = |name: &str| node.attribute(name)?.parse::<f64>().ok();
            let (x, y, size) = (number("x")?, number("y")?, number("font-size")?);
            let words = node.text()?.to_owned();
            // Digits of both faces are 0.6 of their size wide and 0.72 high.
            let half = 0.3 * size * f64::from(u32::try_from(words.chars().count()).ok()?);
            let is_number = words.chars().all(|c| c.is_ascii_digit());
            is_number.then_some((words, [x - half, y - 0.72 * size, x + half, y]))
        })
        .collect()
}

fn meet(a: &[f64; 4], b: &[f64; 4]) -> bool {
    a[0] < b[2] && b[0] < a[2] && a[1] < b[3] && b[1] < a[3]
}

/// Fifty stations in a hollow, in rows, on one spot, and along a road that goes back on itself: by a rule, not by chance.
fn crowds() -> Vec<Vec<(f64, f64)>> {
    let spread = |i: u32, times: u32, of: u32| f64::from((i * times) % of);
    let hollow = (0..50).map(|i| (spread(i, 37, 101) * 3.0, spread(i, 53, 97) * 1.2));
    let rows = (0..50).map(|i| (f64::from(i % 10) * 30.0, f64::from(i / 10) * 20.0));
    let spots = (0..50).map(|i| (f64::from(i / 5) * 60.0, spread(i, 3, 5)));
    let road = (0..50).map(|i| (f64::from(if i < 25 { i } else { 49 - i }) * 25.0, 0.0));
    vec![
        hollow.collect(),
        rows.collect(),
        spots.collect(),
        road.collect(),
        vec![(0.0, 0.0); 50],
    ]
}

#[test]
fn on_a_crowded_day_no_number_covers_another_and_what_has_no_room_is_named() {
    for (nth, at_m) in crowds().into_iter().enumerate() {
        let stations = stations(&at_m);
        for room in [TABLET, PHONE, PAPER] {
            for selected in [None, Some(7)] {
                let layout = lay_out(&stations, selected, &room);
                let svg = strip_map(&stations, &layout, selected);
                let boxes = boxes(&svg);
                for (i, (words, place)) in boxes.iter().enumerate() {
                    for (other, there) in &boxes[..i] {
                        assert!(
                            !meet(place, there),
                            "crowd {nth}: {words} at {place:?} on {other} at {there:?}"
                        );
                    }
                }
                // Every station on the paper is on it whole, or named.
                let said = layout.crowded_out(&stations).unwrap_or_default();
                let mut left_out = 0;
                for (i, placed) in layout.places.iter().enumerate() {
                    if layout.shows(i) && (placed.sign.is_none() || placed.number.is_none()) {
                        left_out += 1;
                        let number = stations[i].number.to_string();
                        let words = said.split([' ', ',', ';', '.']);
                        assert!(words.into_iter().any(|word| word == number), "{said}");
                    }
                }
                assert_eq!(
                    left_out == 0,
                    !said.contains("sign") && !said.contains("number")
                );
                if room.whole {
                    assert_eq!(layout.beyond(), 0, "crowd {nth}");
                }
                // The same again.
                assert_eq!(layout, lay_out(&stations, selected, &room));
            }
        }
    }
}

/// Signs are at their places or at the end of a line from it, and can be told by a finger.
#[test]
fn signs_too_near_to_one_another_are_set_apart_on_a_thin_line() {
    for at_m in crowds() {
        let stations = stations(&at_m);
        let layout = lay_out(&stations, None, &PAPER);
        let svg = strip_map(&stations, &layout, None);
        let middles: Vec<(f64, f64)> = layout.places.iter().filter_map(|p| p.sign).collect();
        for (i, (x, y)) in middles.iter().enumerate() {
            for (ox, oy) in &middles[..i] {
                assert!((x - ox).hypot(y - oy) > 21.9, "{x} {y} and {ox} {oy}");
            }
        }
        for placed in &layout.places {
            let aside = placed.sign.is_some_and(|sign| sign != placed.at);
            let (x, y) = placed.at;
            let mut line = Pen::new("", [0.0; 4], 1.0);
            line.put("M~ ~L", &[x, y]);
            let line = line.end();
            let from = &line[line.find('M').unwrap()..line.find("</").unwrap()];
            assert!(!aside || svg.contains(from), "no line from {x} {y}");
        }
    }
    // Where there is room everything stands in its own place.
    let layout = lay(&way(8, 90.0, 10.0), None, &TABLET);
    assert!(
        layout
            .places
            .iter()
            .all(|p| p.sign == Some(p.at) && !p.is_led)
    );
}

/// Of two stations a few steps apart a tap between them asks which; on either sign it does not.
#[test]
fn a_tap_means_one_station_or_asks() {
    let layout = lay(&way(5, 100.0, 0.0), None, &TABLET);
    let (x, y) = layout.places[2].at;
    assert_eq!(layout.near((x + 9.0, y - 14.0), 40.0), [2]);
    assert!(layout.near((x, y + 90.0), 40.0).is_empty());
    let close = [(0.0, 0.0), (200.0, 0.0), (205.0, 3.0), (400.0, 0.0)];
    let layout = lay(&close, None, &TABLET);
    let signs: Vec<(f64, f64)> = layout.places.iter().filter_map(|p| p.sign).collect();
    let between = (
        f64::midpoint(signs[1].0, signs[2].0),
        f64::midpoint(signs[1].1, signs[2].1),
    );
    let mut asked = layout.near(between, 40.0);
    asked.sort_unstable();
    assert_eq!(asked, [1, 2]);
    assert_eq!(layout.near(signs[1], 40.0), [1]);
    assert_eq!(layout.near(signs[2], 40.0), [2]);
}

#[test]
fn lengths_of_the_bar_are_round() {
    for (metres, most_px, bar_m) in [
        (1.0, 160.0, 100.0),
        (1.75, 160.0, 200.0),
        (4.0, 160.0, 500.0),
    ] {
        let (length_m, px) = bar(metres, most_px);
        assert!((length_m - bar_m).abs() < 1e-9, "{length_m}");
        assert!((px * metres - length_m).abs() < 1e-9 && px <= most_px);
    }
    assert_eq!(length(200.0), "200 m");
    assert_eq!(length(1_310.0), "1.3 km");
    assert_eq!(length(2_000.0), "2 km");
    assert_eq!(length(0.5), "0.5 m");
}

#[test]
fn nothing_one_and_the_same_place_are_drawn() {
    for at_m in [
        vec![],
        way(1, 0.0, 0.0),
        way(3, 0.0, 0.0),
        vec![(f64::NAN, 1.0)],
    ] {
        let stations: Vec<MapStation> = at_m
            .iter()
            .map(|at| MapStation {
                number: 1,
                at_m: *at,
                sign: MapSign::Point,
                doubted: true,
            })
            .collect();
        let layout = lay_out(&stations, Some(0), &TABLET);
        assert!((layout.metres - 1.0).abs() < 1e-12);
        let svg = strip_map(&stations, &layout, Some(0));
        assert!(svg.contains(">N</text>") && svg.contains(" m</text>"));
        assert!(!svg.contains("NaN") && !svg.contains("inf"));
    }
}
