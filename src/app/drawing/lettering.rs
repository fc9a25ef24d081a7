//! The lettering of the strip map: where signs, dip figures and numbers stand so that none covers another.
//!
//! Greedy and in the book's order: first the signs at their own places, then those that would cover one, each beside its
//! place at the end of a thin line; then figures, numbers and the signs of doubt. What finds no room is left out and named.

use super::pen::sin_cos;
use super::strip_map::{MapSign, MapStation};
use crate::orientation::angle::degrees;

/// Between the middles of two signs at least, pixels: nearer they could not be told by a finger.
const TOLD_PX: f64 = 22.0;
/// Between what is drawn of two signs at least, pixels.
const CLEAR_PX: f64 = 5.0;
/// How far beside its place a sign may stand, pixels.
const SIGN_RINGS_PX: [f64; 6] = [28.0, 36.0, 46.0, 58.0, 72.0, 88.0];
/// How far from its sign a number may stand at the end of a line, pixels.
const NUMBER_RINGS_PX: [f64; 4] = [44.0, 56.0, 70.0, 86.0];
/// From the middle of a sign to the edge of its number: clear of the disc of the selected one.
const REACH_PX: f64 = 25.0;
/// Half of a number's height, and half of the width of one of its digits at the size of the selected one.
const NUMBER_PX: (f64, f64) = (7.5, 5.6);
/// Half of a dip figure: two digits.
const FIGURE_PX: (f64, f64) = (8.5, 6.0);
/// The side of a sign of doubt.
const DOUBT_PX: f64 = 18.0;
/// Half a strike.
const STRIKE_PX: f64 = 15.3;

type Point = (f64, f64);

/// Where one station's parts stand, pixels from the upper left corner of the paper.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Placed {
    /// The station's own place.
    pub at: Point,
    /// The middle of its sign; `None` where there is no room: a point marks the place.
    pub sign: Option<Point>,
    /// The middle of its dip figure; `None` where it has none or there is no room.
    pub figure: Option<Point>,
    /// The middle of its number; `None` where there is no room.
    pub number: Option<Point>,
    /// The number stands at the end of a line to its sign.
    pub is_led: bool,
    /// The upper left corner of its sign of doubt.
    pub doubt: Option<Point>,
}

impl Placed {
    /// How many of sign and number have no room.
    pub(super) fn left_out(&self) -> usize {
        usize::from(self.sign.is_none()) + usize::from(self.number.is_none())
    }
}

/// What is on the paper already.
struct Paper {
    width_px: f64,
    height_px: f64,
    /// Lines, as points along them, each of a station.
    points: Vec<(usize, Point)>,
    /// Figures, numbers and the map's own words: from the upper left corner to the lower right.
    boxes: Vec<[f64; 4]>,
}

fn around((x, y): Point, (half_x, half_y): (f64, f64)) -> [f64; 4] {
    [x - half_x, y - half_y, x + half_x, y + half_y]
}

fn apart(a: Point, b: Point) -> f64 {
    (a.0 - b.0).hypot(a.1 - b.1)
}

/// Points along a line, without its ends.
fn along(from: Point, to: Point) -> impl Iterator<Item = Point> {
    let steps = (apart(from, to) / 4.0).ceil().max(1.0);
    (1_u32..)
        .map(f64::from)
        .take_while(move |step| *step < steps)
        .map(move |step| {
            let share = step / steps;
            (
                from.0 + (to.0 - from.0) * share,
                from.1 + (to.1 - from.1) * share,
            )
        })
}

/// Sixteen directions, the wanted one first and then ever farther from it on both sides, as unit vectors.
pub(super) fn directions(first_deg: f64) -> impl Iterator<Item = Point> {
    (0_u32..16).map(move |nth| {
        let turn_deg = f64::from(nth.div_ceil(2)) * 22.5;
        let side = if nth % 2 == 0 { 1.0 } else { -1.0 };
        let (sin, cos) = sin_cos(first_deg + side * turn_deg);
        (sin, -cos)
    })
}

impl Paper {
    fn holds(&self, [left, top, right, bottom]: [f64; 4]) -> bool {
        2.0 <= left && right <= self.width_px - 2.0 && 2.0 <= top && bottom <= self.height_px - 2.0
    }

    /// Nothing is under a box but what belongs to its own station, where that may be.
    fn is_free(&self, place: [f64; 4], own: Option<usize>) -> bool {
        let [left, top, right, bottom] = place;
        let near = 2.0;
        let on_point = |&(of, (x, y)): &(usize, Point)| {
            own != Some(of)
                && left - near < x
                && x < right + near
                && top - near < y
                && y < bottom + near
        };
        let on_box = |other: &[f64; 4]| {
            left < other[2] + 1.0
                && other[0] < right + 1.0
                && top < other[3] + 1.0
                && other[1] < bottom + 1.0
        };
        self.holds(place) && !self.points.iter().any(on_point) && !self.boxes.iter().any(on_box)
    }

    /// A line from a station's sign touches nothing that is another's.
    fn lets_through(&self, from: Point, to: Point, own: usize) -> bool {
        along(from, to).all(|point| self.is_free(around(point, (1.0, 1.0)), Some(own)))
    }
}

/// What is drawn of a sign, as points around its middle.
fn outline(sign: &MapSign) -> Vec<Point> {
    let line = |deg: f64, reach: f64| {
        let (sin, cos) = sin_cos(deg);
        (-3_i32..=3).map(move |third| {
            let out = reach * f64::from(third) / 3.0;
            (out * sin, -out * cos)
        })
    };
    match sign {
        MapSign::Point => vec![(0.0, 0.0)],
        MapSign::Line { trend_deg, .. } => line(*trend_deg, STRIKE_PX).collect(),
        MapSign::Plane { dip_deg, .. } if *dip_deg < 0.5 => {
            line(0.0, 11.0).chain(line(90.0, 11.0)).collect()
        }
        MapSign::Plane {
            strike_deg,
            side_known,
            ..
        } => {
            let (sin, cos) = sin_cos(strike_deg + 90.0);
            let tick = |out: f64| (out * sin, -out * cos);
            let ticks = if *side_known {
                [tick(5.0), tick(8.0)]
            } else {
                [tick(15.0), tick(-15.0)]
            };
            line(*strike_deg, STRIKE_PX).chain(ticks).collect()
        }
    }
}

/// The direction in which the figure stands, and how far from the middle.
fn figure_of(sign: &MapSign) -> Option<(f64, f64)> {
    if !sign.has_figure() {
        return None;
    }
    match sign {
        MapSign::Plane { strike_deg, .. } => Some((strike_deg + 90.0, 17.0)),
        MapSign::Line { trend_deg, .. } => Some((*trend_deg, 25.0)),
        MapSign::Point => None,
    }
}

/// Half of the room that a number takes.
fn number_px(number: u32) -> (f64, f64) {
    let digits = number.checked_ilog10().unwrap_or_default() + 1;
    (f64::from(digits) * NUMBER_PX.1, NUMBER_PX.0)
}

/// Letters the stations that are on the paper; the others stand at their own places.
///
/// `taken` is what the paper has in its corners; `wanted_deg` is where each number is looked for first.
pub(super) fn letter(
    stations: &[MapStation],
    places: &[Point],
    wanted_deg: &[f64],
    (width_px, height_px): (f64, f64),
    taken: &[[f64; 4]],
) -> Vec<Placed> {
    let mut paper = Paper {
        width_px,
        height_px,
        points: Vec::new(),
        boxes: taken.to_vec(),
    };
    let mut placed: Vec<Placed> = places
        .iter()
        .map(|&at| Placed {
            at,
            sign: Some(at),
            ..Placed::default()
        })
        .collect();
    let shown: Vec<usize> = (0..places.len().min(stations.len()))
        .filter(|&i| {
            let (x, y) = places[i];
            (8.0..=width_px - 8.0).contains(&x) && (8.0..=height_px - 8.0).contains(&y)
        })
        .collect();
    signs(stations, &shown, &mut placed, &mut paper);
    figures(stations, &shown, &mut placed, &mut paper);
    numbers(stations, &shown, wanted_deg, &mut placed, &mut paper);
    doubts(stations, &shown, &mut placed, &mut paper);
    placed
}

/// Signs at their own places as long as they cover none, then the rest beside theirs.
fn signs(stations: &[MapStation], shown: &[usize], placed: &mut [Placed], paper: &mut Paper) {
    let outlines: Vec<Vec<Point>> = stations.iter().map(|s| outline(&s.sign)).collect();
    let mut standing: Vec<(usize, Point)> = Vec::new();
    let at = |i: usize, (x, y): Point| outlines[i].iter().map(move |(dx, dy)| (x + dx, y + dy));
    let covers = |i: usize, middle: Point, standing: &[(usize, Point)]| {
        standing.iter().any(|&(other, there)| {
            let gap = apart(middle, there);
            gap < TOLD_PX
                || gap < 2.0 * STRIKE_PX + CLEAR_PX
                    && at(i, middle).any(|p| at(other, there).any(|q| apart(p, q) < CLEAR_PX))
        })
    };
    let mut waiting = Vec::new();
    for &i in shown {
        let own = placed[i].at;
        if covers(i, own, &standing) {
            waiting.push(i);
        } else {
            standing.push((i, own));
        }
    }
    for &i in &waiting {
        let own = placed[i].at;
        let nearest = standing
            .iter()
            .map(|&(_, there)| there)
            .min_by(|a, b| apart(own, *a).total_cmp(&apart(own, *b)))
            .unwrap_or(own);
        // Away from the nearest, or to the right where they are in one place.
        let away_deg = if apart(own, nearest) > 0.0 {
            degrees((own.0 - nearest.0).atan2(nearest.1 - own.1))
        } else {
            90.0
        };
        let found = SIGN_RINGS_PX.iter().find_map(|ring| {
            directions(away_deg)
                .map(|(dx, dy)| (own.0 + ring * dx, own.1 + ring * dy))
                .find(|&middle| {
                    let on_paper = at(i, middle).all(|p| paper.holds(around(p, (4.0, 4.0))));
                    let on_place = shown
                        .iter()
                        .any(|&other| other != i && apart(placed[other].at, middle) < 10.0);
                    let in_corner = paper.boxes.iter().any(|corner| {
                        at(i, middle).any(|(x, y)| {
                            corner[0] < x && x < corner[2] && corner[1] < y && y < corner[3]
                        })
                    });
                    let crossed = || {
                        along(own, middle).any(|p| {
                            standing.iter().any(|&(other, there)| {
                                apart(there, own) > TOLD_PX
                                    && at(other, there).any(|q| apart(p, q) < CLEAR_PX)
                            })
                        })
                    };
                    on_paper
                        && !on_place
                        && !in_corner
                        && !covers(i, middle, &standing)
                        && !crossed()
                })
        });
        placed[i].sign = found;
        match found {
            Some(middle) => {
                standing.push((i, middle));
                paper.points.extend(along(own, middle).map(|p| (i, p)));
                paper.points.push((i, own));
            }
            None => paper.points.push((i, own)),
        }
    }
    for (i, middle) in standing {
        paper.points.extend(at(i, middle).map(|p| (i, p)));
    }
}

/// Dip figures beyond the tick, a little farther or a little aside where something is in the way.
fn figures(stations: &[MapStation], shown: &[usize], placed: &mut [Placed], paper: &mut Paper) {
    for &i in shown {
        let (Some((x, y)), Some((deg, out))) = (placed[i].sign, figure_of(&stations[i].sign))
        else {
            continue;
        };
        let tries = [0.0, 25.0, -25.0, 45.0, -45.0];
        let found = [out, out + 7.0].into_iter().find_map(|out| {
            tries.iter().find_map(|turn_deg| {
                let (sin, cos) = sin_cos(deg + turn_deg);
                let middle = (x + out * sin, y - out * cos);
                paper
                    .is_free(around(middle, FIGURE_PX), Some(i))
                    .then_some(middle)
            })
        });
        if let Some(middle) = found {
            paper.boxes.push(around(middle, FIGURE_PX));
        }
        placed[i].figure = found;
    }
}

/// Numbers beside their signs, and where there is no room at the end of a line.
fn numbers(
    stations: &[MapStation],
    shown: &[usize],
    wanted_deg: &[f64],
    placed: &mut [Placed],
    paper: &mut Paper,
) {
    for &i in shown {
        let half = number_px(stations[i].number);
        let (x, y) = placed[i].sign.unwrap_or(placed[i].at);
        let first_deg = wanted_deg.get(i).copied().unwrap_or_default();
        let beside = [0.0, 180.0, 90.0, 270.0, 45.0, 225.0, 135.0, 315.0]
            .into_iter()
            .map(|turn_deg| {
                let (sin, cos) = sin_cos(first_deg + turn_deg);
                // As far as the box needs to be clear of the disc.
                let out = REACH_PX + half.0 * sin.abs() + half.1 * cos.abs();
                (x + out * sin, y - out * cos)
            })
            .find(|&middle| paper.is_free(around(middle, half), None));
        let led = || {
            NUMBER_RINGS_PX.iter().find_map(|ring| {
                directions(first_deg).find_map(|(dx, dy)| {
                    let middle = (x + ring * dx, y + ring * dy);
                    let clear = paper.is_free(around(middle, half), None)
                        && paper.lets_through((x, y), line_end((x, y), middle, half), i);
                    clear.then_some(middle)
                })
            })
        };
        let found = beside
            .map(|m| (m, false))
            .or_else(|| led().map(|m| (m, true)));
        if let Some((middle, is_led)) = found {
            paper.boxes.push(around(middle, half));
            if is_led {
                let end = line_end((x, y), middle, half);
                paper.points.extend(along((x, y), end).map(|p| (i, p)));
            }
            placed[i].number = Some(middle);
            placed[i].is_led = is_led;
        }
    }
}

/// Where the line from a sign meets the box of its number.
fn line_end(sign: Point, middle: Point, half: (f64, f64)) -> Point {
    let (dx, dy) = (middle.0 - sign.0, middle.1 - sign.1);
    let share = |half: f64, way: f64| {
        if way == 0.0 {
            1.0
        } else {
            (half + 1.0) / way.abs()
        }
    };
    let back = share(half.0, dx).min(share(half.1, dy)).min(1.0);
    (middle.0 - back * dx, middle.1 - back * dy)
}

/// The signs of doubt last, so that no number moves when one is found.
fn doubts(stations: &[MapStation], shown: &[usize], placed: &mut [Placed], paper: &mut Paper) {
    for &i in shown.iter().filter(|&&i| stations[i].doubted) {
        let (x, y) = placed[i].sign.unwrap_or(placed[i].at);
        let corners = [
            (-28.0, -34.0),
            (12.0, -34.0),
            (-28.0, 14.0),
            (12.0, 14.0),
            (-36.0, -9.0),
            (18.0, -9.0),
            (-9.0, -38.0),
            (-9.0, 20.0),
        ];
        let full = |(dx, dy): Point| [x + dx, y + dy, x + dx + DOUBT_PX, y + dy + DOUBT_PX];
        let free = corners
            .into_iter()
            .find(|&corner| paper.is_free(full(corner), Some(i)));
        // A doubt is never left out: where everything is taken it covers a sign rather than a number.
        let letters = |corner: Point| {
            let [left, top, right, bottom] = full(corner);
            let meets = |b: &&[f64; 4]| left < b[2] && b[0] < right && top < b[3] && b[1] < bottom;
            paper.boxes.iter().filter(meets).count()
        };
        let corner = free.or_else(|| corners.into_iter().min_by_key(|&corner| letters(corner)));
        if let Some((dx, dy)) = corner {
            paper.boxes.push(full((dx, dy)));
            placed[i].doubt = Some((x + dx, y + dy));
        }
    }
}

/// The line from a sign to its number, as it is drawn: clear of both.
pub(super) fn lead(sign: Point, middle: Point, number: u32) -> (Point, Point) {
    let end = line_end(sign, middle, number_px(number));
    let whole = apart(sign, end).max(f64::MIN_POSITIVE);
    let share = (17.0 / whole).min(1.0);
    let start = (
        sign.0 + (end.0 - sign.0) * share,
        sign.1 + (end.1 - sign.1) * share,
    );
    (start, end)
}
