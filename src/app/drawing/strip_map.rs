//! The strip map of a day: its stations north up with their symbols, the way between them dotted, a scale and north.
//!
//! Laid out first, so that a tap can be told which station it is nearest to; then drawn. Nothing is on it but what the
//! book knows: no contour lines, no streams.

use super::lettering::{Placed, lead, letter};
use super::pen::Pen;
use super::sign::doubt_sign;
use super::symbol::{line_symbol, symbol};

/// Room for symbols, numbers and the scale between the outermost stations and the edge, pixels.
const EDGE_PX: [f64; 2] = [64.0, 54.0];
/// Stations closer than this along the way are drawn further apart where there is room, pixels.
const APART_PX: f64 = 46.0;
/// Closer than this they cannot be told apart, and the map is cropped, pixels.
const LEAST_APART_PX: f64 = 26.0;
/// On a phone the map is cropped to this distance along the way, pixels.
const PHONE_APART_PX: f64 = 57.0;
/// No closer look than this, metres a pixel: a fix is not better.
const CLOSEST_M: f64 = 0.25;
/// A finger that is this much nearer to one station than to any other means that one, pixels.
const SURE_PX: f64 = 16.0;
/// A symbol's half strike of 27 units in pixels over those units.
const UNIT_PX: f64 = 0.568;
/// The symbol's own paper: 62 units shown at 40 pixels.
const SYMBOL_PX: f64 = 40.0;

/// What the map shows of a station's rock.
#[derive(Clone, Debug, PartialEq)]
pub enum MapSign {
    /// A plane, by its right-hand strike.
    Plane {
        /// The kind, for the symbol.
        kind: String,
        /// Right-hand strike, degrees.
        strike_deg: f64,
        /// Dip, degrees.
        dip_deg: f64,
        /// The side it dips to is known.
        side_known: bool,
    },
    /// A line.
    Line {
        /// Trend, degrees.
        trend_deg: f64,
        /// Plunge, degrees.
        plunge_deg: f64,
    },
    /// Nothing that a symbol can show: a point.
    Point,
}

/// One station of the day.
#[derive(Clone, Debug, PartialEq)]
pub struct MapStation {
    /// Its number.
    pub number: u32,
    /// East and north of the day's first, metres.
    pub at_m: (f64, f64),
    /// Its symbol.
    pub sign: MapSign,
    /// Something about it is doubted.
    pub doubted: bool,
}

/// How much room there is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Room {
    /// Width, pixels.
    pub width_px: f64,
    /// Height, pixels, where that is enough.
    pub height_px: f64,
    /// Height, pixels, where the stations need it.
    pub most_px: f64,
    /// A phone: the map is cropped round the selection.
    pub phone: bool,
    /// Paper: the whole day is on it, however crowded.
    pub whole: bool,
}

/// A map laid out.
#[derive(Clone, Debug, PartialEq)]
pub struct Layout {
    /// Width, pixels.
    pub width_px: f64,
    /// Height, pixels.
    pub height_px: f64,
    /// Metres a pixel.
    pub metres: f64,
    /// Where each station's parts stand.
    pub places: Vec<Placed>,
    /// The scale bar: metres and pixels.
    pub bar: (f64, f64),
}

impl Layout {
    /// Whether a station is on the paper.
    pub fn shows(&self, station: usize) -> bool {
        self.places.get(station).is_some_and(|Placed { at, .. }| {
            (8.0..=self.width_px - 8.0).contains(&at.0)
                && (8.0..=self.height_px - 8.0).contains(&at.1)
        })
    }

    /// How many stations are beyond the edge.
    pub fn beyond(&self) -> usize {
        (0..self.places.len()).filter(|&i| !self.shows(i)).count()
    }

    /// The stations that a tap can mean, the nearest first: one where it is clear which, several where they are too near to
    /// one another, none farther than `reach_px` from the sign, the number or the place of each.
    pub fn near(&self, (x, y): (f64, f64), reach_px: f64) -> Vec<usize> {
        let apart = |(px, py): (f64, f64)| (px - x).hypot(py - y);
        let nearest = |placed: &Placed| {
            let parts = [placed.sign.or(Some(placed.at)), placed.number];
            let parts = parts.into_iter().flatten().map(apart);
            parts.fold(f64::INFINITY, f64::min)
        };
        let places = self.places.iter().enumerate();
        let mut near: Vec<(usize, f64)> = places
            .map(|(i, placed)| (i, nearest(placed)))
            .filter(|&(i, apart)| apart <= reach_px && self.shows(i))
            .collect();
        near.sort_by(|a, b| a.1.total_cmp(&b.1));
        let least = near.first().map_or(0.0, |first| first.1);
        near.retain(|&(_, apart)| apart < least + SURE_PX);
        near.into_iter().map(|(i, _)| i).collect()
    }

    /// What the map has no room for, in words; `None` where all stands.
    pub fn crowded_out(&self, stations: &[MapStation]) -> Option<String> {
        let without = |wanted: &dyn Fn(&MapStation, &Placed) -> bool| {
            let on_paper = (0..self.places.len()).filter(|&i| self.shows(i));
            let pairs = on_paper.filter_map(|i| Some((stations.get(i)?, &self.places[i])));
            let found = pairs.filter(|(station, placed)| wanted(station, placed));
            let numbers: Vec<String> = found.map(|(s, _)| s.number.to_string()).collect();
            numbers.join(", ")
        };
        let parts = [
            ("the sign of", without(&|_, placed| placed.sign.is_none())),
            ("the number of", without(&|_, p| p.number.is_none())),
            (
                "the dip or plunge of",
                without(&|s, p| p.sign.is_some() && p.figure.is_none() && s.sign.has_figure()),
            ),
        ];
        let mut words: Vec<String> = Vec::new();
        for (what, numbers) in parts {
            if !numbers.is_empty() {
                words.push(format!("{what} {numbers}"));
            }
        }
        (!words.is_empty()).then(|| format!("No room on the map for {}.", words.join("; for ")))
    }
}

/// Lays the map out: the whole day where its stations can be told apart, else a piece of it round the selection.
///
/// # Units
/// Metres east and north in, pixels out.
///
/// # Degenerate input
/// No stations: an empty paper at a metre a pixel. One, or all in one place: at a metre a pixel, in the middle.
/// Coordinates that are not finite stand in the middle.
pub fn lay_out(stations: &[MapStation], selected: Option<usize>, room: &Room) -> Layout {
    let layout = lay_out_within(stations, selected, room);
    let left_out = |layout: &Layout| {
        let parts = layout.places.iter();
        parts.map(Placed::left_out).sum::<usize>()
    };
    // A taller paper where that finds room for what has none; only where the whole day is on it, so that it does not change
    // with the selection.
    if layout.beyond() == 0 && layout.height_px < room.most_px && left_out(&layout) > 0 {
        let taller = Room {
            height_px: room.most_px,
            ..*room
        };
        let taller = lay_out_within(stations, selected, &taller);
        if left_out(&taller) < left_out(&layout) {
            return taller;
        }
    }
    layout
}

fn lay_out_within(stations: &[MapStation], selected: Option<usize>, room: &Room) -> Layout {
    let finite = |(east, north): (f64, f64)| {
        if east.is_finite() && north.is_finite() {
            (east, north)
        } else {
            (0.0, 0.0)
        }
    };
    let at_m: Vec<(f64, f64)> = stations.iter().map(|s| finite(s.at_m)).collect();
    let width_px = room.width_px.max(2.0 * EDGE_PX[0] + 1.0);
    let least_px = room.height_px.max(2.0 * EDGE_PX[1] + 1.0);
    let most_px = room.most_px.max(least_px);
    let (low, high) = bounds(&at_m);
    let extent = (high.0 - low.0, high.1 - low.1);
    let step_m = median_step(&at_m).map(|step_m| match median_gap(&at_m) {
        // A phone is cropped anyway: closer where the day is crowded.
        Some(gap_m) if room.phone => step_m.min(gap_m),
        _ => step_m,
    });
    let inside = |height_px: f64| (width_px - 2.0 * EDGE_PX[0], height_px - 2.0 * EDGE_PX[1]);
    let fit = |height_px: f64| {
        let (wide, tall) = inside(height_px);
        (extent.0 / wide).max(extent.1 / tall)
    };
    let (mut metres, mut height_px) = (fit(least_px), least_px);
    if let Some(step_m) = step_m {
        let wanted = if room.phone { PHONE_APART_PX } else { APART_PX };
        if step_m / metres.max(CLOSEST_M) < wanted {
            // A taller paper, as far as it helps.
            let across = extent.0 / inside(least_px).0;
            let scale = (step_m / wanted).max(across);
            height_px = (extent.1 / scale + 2.0 * EDGE_PX[1]).clamp(least_px, most_px);
            metres = fit(height_px);
            let least = if room.phone { wanted } else { LEAST_APART_PX };
            if !room.whole && step_m / metres.max(CLOSEST_M) < least {
                metres = step_m / wanted;
                height_px = if room.phone { least_px } else { height_px };
            }
        }
    }
    let metres = if extent.0.max(extent.1) > 0.0 {
        metres.max(CLOSEST_M)
    } else {
        1.0
    };
    let chosen = selected.and_then(|i| at_m.get(i)).copied();
    let half = (width_px * metres / 2.0, height_px * metres / 2.0);
    let middle = |lo: f64, hi: f64, edge: f64, half: f64, wanted: Option<f64>| {
        let (lo, hi) = (lo - edge, hi + edge);
        match wanted {
            // Whole, it stands in the middle; a piece does not show more margin than there is.
            Some(wanted) if hi - lo > 2.0 * half => wanted.clamp(lo + half, hi - half),
            _ => f64::midpoint(lo, hi),
        }
    };
    let east = middle(
        low.0,
        high.0,
        EDGE_PX[0] * metres,
        half.0,
        chosen.map(|c| c.0).or(at_m.first().map(|c| c.0)),
    );
    let north = middle(
        low.1,
        high.1,
        EDGE_PX[1] * metres,
        half.1,
        chosen.map(|c| c.1).or(at_m.first().map(|c| c.1)),
    );
    let places: Vec<(f64, f64)> = at_m
        .iter()
        .map(|(e, n)| {
            (
                width_px / 2.0 + (e - east) / metres,
                height_px / 2.0 - (n - north) / metres,
            )
        })
        .collect();
    let bar = bar(metres, width_px / 5.0);
    let wanted_deg: Vec<f64> = (0..places.len()).map(|i| label_side(&places, i)).collect();
    let corners = [ARROW_BOX, bar_box(bar, width_px, height_px)];
    let paper = (width_px, height_px);
    Layout {
        width_px,
        height_px,
        metres,
        bar,
        places: letter(stations, &places, &wanted_deg, paper, &corners),
    }
}

fn bounds(at_m: &[(f64, f64)]) -> ((f64, f64), (f64, f64)) {
    let mut points = at_m.iter().copied();
    let first = points.next().unwrap_or_default();
    points.fold((first, first), |(low, high), (e, n)| {
        ((low.0.min(e), low.1.min(n)), (high.0.max(e), high.1.max(n)))
    })
}

/// The middle one of the distances along the way, metres; stations in one place do not count.
fn median_step(at_m: &[(f64, f64)]) -> Option<f64> {
    let mut steps: Vec<f64> = at_m
        .windows(2)
        .map(|pair| (pair[1].0 - pair[0].0).hypot(pair[1].1 - pair[0].1))
        .filter(|step| *step > 0.0)
        .collect();
    steps.sort_by(f64::total_cmp);
    steps.get(steps.len() / 2).copied()
}

/// The middle one of the distances from each station to the nearest other one, metres; stations in one place do not count.
fn median_gap(at_m: &[(f64, f64)]) -> Option<f64> {
    let mut gaps: Vec<f64> = at_m
        .iter()
        .filter_map(|a| {
            let gaps = at_m.iter().map(|b| (a.0 - b.0).hypot(a.1 - b.1));
            gaps.filter(|gap| *gap > 0.0).min_by(f64::total_cmp)
        })
        .collect();
    gaps.sort_by(f64::total_cmp);
    gaps.get(gaps.len() / 2).copied()
}

/// Where a number is looked for first, clockwise from north in degrees: alternately above and below; left and right where
/// the way runs north or south.
fn label_side(places: &[(f64, f64)], i: usize) -> f64 {
    let before = places[i.saturating_sub(1)];
    let after = places.get(i + 1).copied().unwrap_or(places[i]);
    let upright = (after.1 - before.1).abs() > (after.0 - before.0).abs();
    match (upright, i.is_multiple_of(2)) {
        (false, true) => 0.0,
        (false, false) => 180.0,
        (true, true) => 270.0,
        (true, false) => 90.0,
    }
}

/// A round length for the scale bar: 1, 2 or 5 times a power of ten, no longer than about `most_px`.
fn bar(metres: f64, most_px: f64) -> (f64, f64) {
    let most_m = (most_px * metres).max(f64::MIN_POSITIVE);
    let ten = 10.0_f64.powf(most_m.log10().floor());
    let length_m = [5.0, 2.0, 1.0]
        .into_iter()
        .map(|times| times * ten)
        .find(|length| *length <= most_m)
        .unwrap_or(ten);
    (length_m, length_m / metres)
}

/// A length in words: `200 m`, `1.3 km`.
pub fn length(metres: f64) -> String {
    if metres >= 1_000.0 {
        let km = format!("{:.1}", metres / 1_000.0);
        format!("{} km", km.strip_suffix(".0").unwrap_or(&km))
    } else if metres >= 1.0 || metres == 0.0 {
        format!("{metres:.0} m")
    } else {
        format!("{metres:.1} m")
    }
}

/// Draws the map.
///
/// # Degenerate input
/// Stations beyond the layout's are left out.
pub fn strip_map(stations: &[MapStation], layout: &Layout, selected: Option<usize>) -> String {
    let (width, height) = (layout.width_px, layout.height_px);
    let mut pen = Pen::new("strip-map", [0.0, 0.0, width, height], 1.0);
    let placed = || stations.iter().zip(&layout.places);
    if stations.len() > 1 {
        pen.raw("<path class=\"ln-soft\" stroke-width=\"1.5\" stroke-dasharray=\"1.5 5\" stroke-linecap=\"round\" d=\"");
        for (i, (_, Placed { at, .. })) in placed().enumerate() {
            pen.put(if i == 0 { "M~ ~" } else { "L~ ~" }, &[at.0, at.1]);
        }
        pen.raw("\"/>");
    }
    if let Some(placed) = selected.and_then(|i| layout.places.get(i)) {
        let (x, y) = placed.sign.unwrap_or(placed.at);
        pen.put(
            "<circle class=\"map-here\" stroke-width=\"3\" cx=\"~\" cy=\"~\" r=\"~\"/>",
            &[x, y, 44.0 * UNIT_PX],
        );
    }
    // The selected one last, over its neighbours.
    for chosen in [false, true] {
        for (i, (station, placed)) in placed().enumerate() {
            if layout.shows(i) && chosen == (selected == Some(i)) {
                draw_station(&mut pen, station, placed, chosen);
            }
        }
    }
    north_arrow(&mut pen);
    scale_bar(&mut pen, layout);
    pen.end()
}

fn draw_station(pen: &mut Pen, station: &MapStation, placed: &Placed, selected: bool) {
    let own = placed.at;
    match placed.sign {
        Some(middle) if middle == own => {}
        // Beside its place: a point there, and a thin line from it.
        Some(middle) => line_to(pen, own, middle),
        None => {
            let [x, y] = [own.0, own.1];
            pen.put(
                "<circle class=\"fl-ink\" cx=\"~\" cy=\"~\" r=\"2.5\"/>",
                &[x, y],
            );
        }
    }
    let middle = placed.sign.unwrap_or(own);
    if placed.sign.is_some() {
        draw_sign(pen, &station.sign, middle);
    }
    if let (Some((x, y)), Some(figure)) = (placed.figure, station.sign.figure_deg()) {
        let class = if selected {
            "tx-dial tx-mid fl-ink"
        } else {
            "tx-dial tx-mid fl-ink halo"
        };
        pen.text(class, 13.0, (x, y + 4.5), &Pen::whole(figure, 2));
    }
    if let Some(number) = placed.number {
        if placed.is_led {
            let (from, to) = lead(middle, number, station.number);
            pen.put(
                "<path class=\"ln-ink\" stroke-width=\"1\" d=\"M~ ~L~ ~\"/>",
                &[from.0, from.1, to.0, to.1],
            );
        }
        let (class, size) = if selected {
            ("tx-word tx-mid fl-ink halo", 18.0)
        } else {
            ("tx-plain tx-mid fl-ink halo", 16.0)
        };
        pen.text(
            class,
            size,
            (number.0, number.1 + 6.0),
            &Pen::whole(f64::from(station.number), 1),
        );
    }
    if let Some((x, y)) = placed.doubt {
        pen.put(
            "<g transform=\"translate(~ ~) scale(~)\">",
            &[x, y, 18.0 / 28.0],
        );
        pen.raw(&doubt_sign("?", true)).raw("</g>");
    }
}

fn line_to(pen: &mut Pen, (x, y): (f64, f64), middle: (f64, f64)) {
    pen.put(
        "<path class=\"ln-ink\" stroke-width=\"1\" d=\"M~ ~L~ ~\"/><circle class=\"fl-ink\" cx=\"~\" cy=\"~\" r=\"2.5\"/>",
        &[x, y, middle.0, middle.1, x, y],
    );
}

fn draw_sign(pen: &mut Pen, sign: &MapSign, (x, y): (f64, f64)) {
    match sign {
        MapSign::Plane {
            kind,
            strike_deg,
            dip_deg,
            side_known,
        } => {
            let (strike, dip) = (Some(*strike_deg), Some(*dip_deg));
            let drawn = symbol(kind, strike, dip, *side_known, false, false);
            nested(pen, (x, y), &drawn, *side_known);
        }
        MapSign::Line {
            trend_deg,
            plunge_deg,
        } => {
            let drawn = line_symbol(*trend_deg, Some(*plunge_deg), false, false);
            nested(pen, (x, y), &drawn, true);
        }
        MapSign::Point => {
            pen.put(
                "<circle class=\"fl-ink\" cx=\"~\" cy=\"~\" r=\"3.5\"/>",
                &[x, y],
            );
        }
    }
}

/// A symbol as it is drawn elsewhere, put on the map at the map's size.
fn nested(pen: &mut Pen, (x, y): (f64, f64), drawn: &str, narrow: bool) {
    // Half a strike of 26 units becomes 27 units of the map.
    let scale = 27.0 * UNIT_PX / (26.0 * SYMBOL_PX / 62.0);
    let (paper_px, scale) = if narrow {
        (SYMBOL_PX, scale)
    } else {
        // Question marks need the wide paper: 72 units at 108 pixels.
        (108.0, 27.0 * UNIT_PX / (26.0 * 1.5))
    };
    let half = paper_px / 2.0 * scale;
    pen.put(
        "<g transform=\"translate(~ ~) scale(~)\">",
        &[x - half, y - half, scale],
    );
    pen.raw(drawn).raw("</g>");
}

fn north_arrow(pen: &mut Pen) {
    pen.raw("<path class=\"ln-ink\" stroke-width=\"2\" d=\"M30 58V24\"/><path class=\"fl-ink\" d=\"M30 14l5.5 14h-11z\"/>");
    pen.text("tx-plain fl-ink halo", 16.0, (39.0, 28.0), "N");
}

/// Where the arrow stands.
const ARROW_BOX: [f64; 4] = [20.0, 10.0, 56.0, 62.0];

/// The right end of the scale bar's words, and of the bar itself.
fn bar_ends(words: &str, width_px: f64) -> (f64, f64) {
    // As far from the edge as the words of the page beneath.
    let right = width_px - if width_px < 700.0 { 12.0 } else { 24.0 };
    let letters = words.chars().fold(0.0, |sum, _| sum + 10.5);
    (right, right - letters - 8.0)
}

/// Where the scale bar stands.
fn bar_box((length_m, long_px): (f64, f64), width_px: f64, height_px: f64) -> [f64; 4] {
    let (right, end) = bar_ends(&length(length_m), width_px);
    [
        end - long_px - 3.0,
        height_px - 28.0,
        right,
        height_px - 8.0,
    ]
}

fn scale_bar(pen: &mut Pen, layout: &Layout) {
    let words = length(layout.bar.0);
    let (right, end) = bar_ends(&words, layout.width_px);
    let y = layout.height_px - 16.0;
    let start = end - layout.bar.1;
    pen.put(
        "<path class=\"ln-ink\" stroke-width=\"2\" d=\"M~ ~v6H~v-6M~ ~v-4\"/>",
        &[start, y - 6.0, end, f64::midpoint(start, end), y],
    );
    pen.text(
        "tx-plain tx-end fl-ink halo",
        16.0,
        (right, y + 5.0),
        &words,
    );
}

impl MapSign {
    /// The angle that stands beside it.
    fn figure_deg(&self) -> Option<f64> {
        match self {
            Self::Plane { dip_deg, .. } => Some(*dip_deg),
            Self::Line { plunge_deg, .. } => Some(*plunge_deg),
            Self::Point => None,
        }
    }

    /// A dip that is neither nil nor 90 and whose side is known stands beyond the tick, a plunge beyond the arrow.
    pub(super) fn has_figure(&self) -> bool {
        match self {
            Self::Plane {
                dip_deg,
                side_known,
                ..
            } => *side_known && (0.5..89.5).contains(dip_deg),
            Self::Line { .. } => true,
            Self::Point => false,
        }
    }
}

#[cfg(test)]
mod tests;
