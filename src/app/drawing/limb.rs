//! The limb: the straightened graduated circle that a number stands on.

use super::pen::Pen;
use super::sign::LineState;

/// How a limb is graduated.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Scale {
    /// 0 to 360, lettered N E S W N.
    Azimuth,
    /// 0 to 90.
    Inclination,
    /// 0 to 180.
    Rake,
}

impl Scale {
    /// The angle at the right end, in degrees.
    fn full_deg(self) -> f64 {
        match self {
            Scale::Azimuth => 360.0,
            Scale::Inclination => 90.0,
            Scale::Rake => 180.0,
        }
    }

    /// The angles of the long ticks, in degrees apart.
    fn long_deg(self) -> f64 {
        if self == Scale::Rake { 45.0 } else { 30.0 }
    }

    /// What is written along it, evenly from end to end.
    fn letters(self, width_px: f64) -> &'static [&'static str] {
        match self {
            Scale::Azimuth => &["N", "E", "S", "W", "N"],
            Scale::Inclination => &["0", "30", "60", "90"],
            Scale::Rake if width_px < 150.0 => &["0", "90", "180"],
            Scale::Rake => &["0", "45", "90", "135", "180"],
        }
    }
}

/// One limb to draw.
#[derive(Clone, Copy, Debug)]
pub struct Limb<'a> {
    /// How it is graduated.
    pub scale: Scale,
    /// Its width in pixels.
    pub width_px: f64,
    /// Whether it is drawn for a phone: 46 px high instead of 50, with fewer ticks on an azimuth.
    pub phone: bool,
    /// What its line says.
    pub state: LineState,
    /// The angle that has been typed in full.
    pub pointer_deg: Option<f64>,
    /// The range that the digits typed so far leave open.
    pub possible_deg: Option<(f64, f64)>,
    /// A second such range: on a card of quadrants, the one on the other side of the meridian.
    pub also_deg: Option<(f64, f64)>,
    /// The kept shots.
    pub shots_deg: &'a [f64],
}

/// Where an angle stands on a limb, in pixels from its left end; nothing where the limb does not reach.
fn place(limb: &Limb, angle_deg: f64) -> Option<f64> {
    let full_deg = limb.scale.full_deg();
    let angle_deg = if limb.scale == Scale::Azimuth {
        angle_deg.rem_euclid(full_deg)
    } else {
        angle_deg
    };
    (0.0 <= angle_deg && angle_deg <= full_deg).then(|| along(limb, angle_deg))
}

fn along(limb: &Limb, angle_deg: f64) -> f64 {
    1.0 + angle_deg / limb.scale.full_deg() * (limb.width_px - 2.0)
}

/// The limb at its pixel size: pointers above, the line, ticks, letters.
///
/// # Units
/// Degrees and pixels.
///
/// # Degenerate input
/// An azimuth of 360 or more is drawn less whole turns (360 as 000); a pointer or a shot that an inclination or a rake
/// does not reach is not drawn.
pub fn limb(limb: &Limb) -> String {
    let width = limb.width_px;
    let full_deg = limb.scale.full_deg();
    let (height, letters_y) = if limb.phone {
        (46.0, 43.0)
    } else {
        (50.0, 45.0)
    };
    let mut pen = Pen::new("limb", [0.0, 0.0, width, height], 1.0);
    pen.raw("<g shape-rendering=\"crispEdges\">");

    let pointer = limb
        .pointer_deg
        .and_then(|angle_deg| place(limb, angle_deg));
    let dashes = limb.state.dashes();
    if limb.state == LineState::Doubt {
        let share = pointer.map_or(0.0, |x| x / width);
        let middle = if (0.3..=0.7).contains(&share) {
            0.82 * width
        } else {
            0.5 * width
        };
        pen.put(
            "<path class=\"ln-ink\" stroke-width=\"4\" d=\"M0 14H~M~ 14H~\"/>",
            &[middle - 15.0, middle + 15.0, width],
        );
        ticks(&mut pen, limb);
        pen.raw("</g>")
            .text("tx-dial tx-mid fl-ink halo", 24.0, (middle, 21.0), "?");
        pen.raw("<g shape-rendering=\"crispEdges\">");
    } else {
        pen.raw("<path class=\"ln-ink\" stroke-width=\"4\"")
            .raw(dashes)
            .put(" d=\"M0 14H~\"/>", &[width]);
        ticks(&mut pen, limb);
    }

    for (low_deg, high_deg) in limb.possible_deg.into_iter().chain(limb.also_deg) {
        // Not `clamp`: its panic would bring the printing of floats, 20 kB of wasm.
        let low = along(limb, low_deg.max(0.0).min(full_deg));
        let high = along(limb, high_deg.max(0.0).min(full_deg));
        let wide = (high - low).max(10.0);
        let left = ((low + high - wide) / 2.0)
            .min(width - wide)
            .max(0.0)
            .round();
        pen.put(
            "<rect class=\"ln-ink fl-here\" stroke-width=\"2\" x=\"~\" y=\"9\" width=\"~\" height=\"10\"/>",
            &[left + 1.0, (wide - 2.0).round()],
        );
    }
    for x in limb
        .shots_deg
        .iter()
        .filter_map(|&shot_deg| place(limb, shot_deg))
    {
        let x = x.round();
        pen.put("<path class=\"fl-paper\" d=\"M~ 2h7v24h-7z\"/><path class=\"fl-ink\" d=\"M~ 2h4v24h-4z\"/>", &[x - 3.5, x - 2.0]);
    }
    pen.raw("</g>");
    if let Some(x) = pointer {
        pen.put("<path class=\"fl-ink\" d=\"M~ 0h16l-8 12z\"/>", &[x - 8.0]);
    }

    let letters = limb.scale.letters(width);
    let mut angle_deg = 0.0;
    let step_deg = full_deg / (letters.len().max(2) - 1) as f64;
    for (nth, letter) in letters.iter().enumerate() {
        let (class, x) = if nth == 0 {
            ("tx-word fl-soft", 0.0)
        } else if nth + 1 == letters.len() {
            ("tx-word tx-end fl-soft", width)
        } else {
            ("tx-word tx-mid fl-soft", along(limb, angle_deg))
        };
        pen.text(class, 13.0, (x, letters_y), letter);
        angle_deg += step_deg;
    }
    pen.end()
}

/// The ticks under the line: each 10°, and long ones; a phone's azimuth has the long ones alone.
fn ticks(pen: &mut Pen, limb: &Limb) {
    let full_deg = limb.scale.full_deg();
    let long_deg = limb.scale.long_deg();
    if !(limb.phone && limb.scale == Scale::Azimuth) {
        pen.raw("<path class=\"ln-soft\" stroke-width=\"1\" d=\"");
        let mut angle_deg = 10.0;
        while angle_deg < full_deg {
            if angle_deg % long_deg > 0.0 {
                pen.put("M~ 19v6", &[along(limb, angle_deg).floor() + 0.5]);
            }
            angle_deg += 10.0;
        }
        pen.raw("\"/>");
    }
    pen.raw("<path class=\"ln-ink\" stroke-width=\"2\" d=\"");
    let mut angle_deg = 0.0;
    while angle_deg <= full_deg {
        pen.put("M~ 19v11", &[along(limb, angle_deg).round()]);
        angle_deg += long_deg;
    }
    pen.raw("\"/>");
}

#[cfg(test)]
mod tests {
    use super::*;

    fn empty(scale: Scale) -> Limb<'static> {
        Limb {
            scale,
            width_px: 290.0,
            phone: false,
            state: LineState::Draft,
            pointer_deg: None,
            possible_deg: None,
            also_deg: None,
            shots_deg: &[],
        }
    }

    /// Where the tip of the pointer is drawn.
    fn tip(limb_: &Limb) -> Option<f64> {
        let svg = limb(limb_);
        let (before, _) = svg.split_once(" 0h16l-8 12z")?;
        let (_, x) = before.rsplit_once('M')?;
        Some(x.parse::<f64>().unwrap() + 8.0)
    }

    #[test]
    fn the_pointer_goes_with_the_angle() {
        for (scale, full_deg) in [
            (Scale::Azimuth, 360.0),
            (Scale::Inclination, 90.0),
            (Scale::Rake, 180.0),
        ] {
            for hundredth in 0..100 {
                let share = f64::from(hundredth) / 100.0;
                let x = tip(&Limb {
                    pointer_deg: Some(share * full_deg),
                    ..empty(scale)
                })
                .expect("within the limb");
                // Within the hundredth of a pixel that is written: the ends are 1 px inside.
                assert!(
                    (x - (1.0 + share * 288.0)).abs() <= 0.005 + 1e-9,
                    "{scale:?} {share}: {x}"
                );
            }
        }
    }

    #[test]
    fn an_azimuth_of_360_is_drawn_as_000_and_361_as_001() {
        let at = |angle_deg| {
            tip(&Limb {
                pointer_deg: Some(angle_deg),
                ..empty(Scale::Azimuth)
            })
        };
        assert_eq!(at(360.0), at(0.0));
        assert_eq!(at(361.0), at(1.0));
    }

    #[test]
    fn what_a_limb_does_not_reach_is_not_drawn() {
        for (scale, angle_deg) in [
            (Scale::Inclination, 95.0),
            (Scale::Inclination, -1.0),
            (Scale::Rake, 181.0),
            (Scale::Azimuth, f64::NAN),
        ] {
            assert_eq!(
                tip(&Limb {
                    pointer_deg: Some(angle_deg),
                    ..empty(scale)
                }),
                None,
                "{scale:?} {angle_deg}"
            );
            let shots_deg = [angle_deg];
            assert_eq!(
                limb(&Limb {
                    shots_deg: &shots_deg,
                    ..empty(scale)
                }),
                limb(&empty(scale)),
                "{scale:?} {angle_deg}"
            );
        }
    }

    #[test]
    fn the_question_mark_stands_clear_of_the_pointer() {
        for (angle_deg, middle) in [
            (0.0, "145"),
            (100.0, "145"),
            (120.0, "237.8"),
            (240.0, "237.8"),
            (270.0, "145"),
        ] {
            let svg = limb(&Limb {
                state: LineState::Doubt,
                pointer_deg: Some(angle_deg),
                ..empty(Scale::Azimuth)
            });
            assert!(
                svg.contains(&format!("x=\"{middle}\" y=\"21\">?</text>")),
                "{angle_deg}: {svg}"
            );
        }
    }

    #[test]
    fn a_circle_has_36_ticks_and_a_phone_shows_every_third() {
        let ticks = |phone| {
            limb(&Limb {
                phone,
                ..empty(Scale::Azimuth)
            })
            .matches(" 19v")
            .count()
        };
        // Both ends are north.
        assert_eq!(ticks(false), 37);
        assert_eq!(ticks(true), 13);
    }

    #[test]
    fn the_possible_range_is_at_least_ten_wide_and_on_the_limb() {
        for possible_deg in [
            (0.0, 99.0),
            (60.0, 69.0),
            (0.0, 0.0),
            (355.0, 359.0),
            (300.0, 399.0),
        ] {
            let svg = limb(&Limb {
                possible_deg: Some(possible_deg),
                ..empty(Scale::Azimuth)
            });
            let document = roxmltree::Document::parse(&svg).unwrap();
            let bar = document
                .descendants()
                .find(|node| node.has_tag_name("rect"))
                .expect("the box");
            let number = |name| bar.attribute(name).expect("has it").parse::<f64>().unwrap();
            let (left, right) = (number("x") - 1.0, number("x") + number("width") + 1.0);
            assert!(
                right - left >= 10.0 && left >= 0.0 && right <= 290.5,
                "{possible_deg:?}: {left} {right}"
            );
            let low = 1.0 + possible_deg.0 * 0.8;
            assert!(
                left <= low + 1.0 && low <= right,
                "{possible_deg:?}: {left} {right}"
            );
        }
    }
}
