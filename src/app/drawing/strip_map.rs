//! The strip map of a day: its stations north up with their symbols, the way between them dotted, a scale and north.
//!
//! Laid out first, so that a tap can be told which station it is nearest to; then drawn. Nothing is on it but what the
//! book knows: no contour lines, no streams.

use super::pen::{Pen, sin_cos};
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
}

/// Where a station's number stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LabelSide {
    /// Over the symbol.
    Above,
    /// Under it.
    Below,
    /// To its left: the way runs north or south here.
    Left,
    /// To its right.
    Right,
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
    /// Each station in pixels from the upper left corner, and the side of its number.
    pub places: Vec<((f64, f64), LabelSide)>,
    /// The scale bar: metres and pixels.
    pub bar: (f64, f64),
}

impl Layout {
    /// Whether a station is on the paper.
    pub fn shows(&self, station: usize) -> bool {
        self.places.get(station).is_some_and(|((x, y), _)| {
            (8.0..=self.width_px - 8.0).contains(x) && (8.0..=self.height_px - 8.0).contains(y)
        })
    }

    /// How many stations are beyond the edge.
    pub fn beyond(&self) -> usize {
        (0..self.places.len()).filter(|&i| !self.shows(i)).count()
    }

    /// The station nearest to a point, no farther than `reach_px`.
    pub fn nearest(&self, (x, y): (f64, f64), reach_px: f64) -> Option<usize> {
        let apart = |(px, py): (f64, f64)| (px - x).hypot(py - y);
        self.places
            .iter()
            .enumerate()
            .map(|(i, (place, _))| (i, apart(*place)))
            .filter(|(_, apart)| *apart <= reach_px)
            .min_by(|a, b| a.1.total_cmp(&b.1))
            .map(|(i, _)| i)
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
pub fn lay_out(at_m: &[(f64, f64)], selected: Option<usize>, room: &Room) -> Layout {
    let finite = |(east, north): (f64, f64)| {
        if east.is_finite() && north.is_finite() {
            (east, north)
        } else {
            (0.0, 0.0)
        }
    };
    let at_m: Vec<(f64, f64)> = at_m.iter().copied().map(finite).collect();
    let width_px = room.width_px.max(2.0 * EDGE_PX[0] + 1.0);
    let least_px = room.height_px.max(2.0 * EDGE_PX[1] + 1.0);
    let most_px = room.most_px.max(least_px);
    let (low, high) = bounds(&at_m);
    let extent = (high.0 - low.0, high.1 - low.1);
    let step_m = median_step(&at_m);
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
            if step_m / metres.max(CLOSEST_M) < least {
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
    let sides = label_sides(&places);
    Layout {
        width_px,
        height_px,
        metres,
        bar: bar(metres, width_px / 5.0),
        places: places.into_iter().zip(sides).collect(),
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

/// Alternately above and below; left and right where the way runs north or south.
fn label_side(places: &[(f64, f64)], i: usize) -> LabelSide {
    let before = places[i.saturating_sub(1)];
    let after = places.get(i + 1).copied().unwrap_or(places[i]);
    let upright = (after.1 - before.1).abs() > (after.0 - before.0).abs();
    match (upright, i.is_multiple_of(2)) {
        (false, true) => LabelSide::Above,
        (false, false) => LabelSide::Below,
        (true, true) => LabelSide::Left,
        (true, false) => LabelSide::Right,
    }
}

/// The sides of all numbers: as [`label_side`] would have it, unless a number or a symbol is in the way there and not on
/// another side.
fn label_sides(places: &[(f64, f64)]) -> Vec<LabelSide> {
    /// Only so many before and after are looked at: farther along the way nothing is near.
    const AROUND: usize = 12;
    let mut sides: Vec<LabelSide> = Vec::with_capacity(places.len());
    for (i, place) in places.iter().enumerate() {
        let wanted = label_side(places, i);
        let tried = match wanted {
            LabelSide::Above => [wanted, LabelSide::Below, LabelSide::Left, LabelSide::Right],
            LabelSide::Below => [wanted, LabelSide::Above, LabelSide::Right, LabelSide::Left],
            LabelSide::Left => [wanted, LabelSide::Right, LabelSide::Above, LabelSide::Below],
            LabelSide::Right => [wanted, LabelSide::Left, LabelSide::Below, LabelSide::Above],
        };
        let first = i.saturating_sub(AROUND);
        let near = &places[first..(i + AROUND + 1).min(places.len())];
        let in_the_way = |side: LabelSide| {
            let at = label_place(*place, side);
            let meets = |other: (f64, f64), reach: f64| {
                (other.0 - at.0).abs() < reach + 8.0 && (other.1 - at.1).abs() < reach
            };
            let symbols = near
                .iter()
                .filter(|p| *p != place && meets(**p, 18.0))
                .count();
            let labels = (first..i)
                .filter(|&j| meets(label_place(places[j], sides[j]), 16.0))
                .count();
            symbols + labels
        };
        // The first of the least, so that what is wanted comes before what is as good.
        let side = tried.into_iter().min_by_key(|side| in_the_way(*side));
        sides.push(side.unwrap_or(wanted));
    }
    sides
}

/// About where the middle of a number stands.
fn label_place((x, y): (f64, f64), side: LabelSide) -> (f64, f64) {
    match side {
        LabelSide::Above => (x, y - 27.0),
        LabelSide::Below => (x, y + 27.0),
        LabelSide::Left => (x - 34.0, y),
        LabelSide::Right => (x + 34.0, y),
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
        for (i, (_, ((x, y), _))) in placed().enumerate() {
            pen.put(if i == 0 { "M~ ~" } else { "L~ ~" }, &[*x, *y]);
        }
        pen.raw("\"/>");
    }
    if let Some(((x, y), _)) = selected.and_then(|i| layout.places.get(i)) {
        pen.put(
            "<circle class=\"map-here\" stroke-width=\"3\" cx=\"~\" cy=\"~\" r=\"~\"/>",
            &[*x, *y, 44.0 * UNIT_PX],
        );
    }
    // The selected one last, over its neighbours.
    for chosen in [false, true] {
        for (i, (station, (place, side))) in placed().enumerate() {
            if layout.shows(i) && chosen == (selected == Some(i)) {
                draw_station(&mut pen, station, *place, *side, chosen);
            }
        }
    }
    north_arrow(&mut pen);
    scale_bar(&mut pen, layout);
    pen.end()
}

fn draw_station(
    pen: &mut Pen,
    station: &MapStation,
    (x, y): (f64, f64),
    side: LabelSide,
    selected: bool,
) {
    // Clear of the disc where it is selected.
    let reach = if selected { 30.0 } else { 24.0 };
    let mut toward_deg = None;
    match &station.sign {
        MapSign::Plane {
            kind,
            strike_deg,
            dip_deg,
            side_known,
        } => {
            let drawn = symbol(
                kind,
                Some(*strike_deg),
                Some(*dip_deg),
                *side_known,
                false,
                false,
            );
            nested(pen, (x, y), &drawn, *side_known);
            if *side_known && (0.5..89.5).contains(dip_deg) {
                toward_deg = Some((strike_deg + 90.0, *dip_deg));
            }
        }
        MapSign::Line {
            trend_deg,
            plunge_deg,
        } => {
            nested(
                pen,
                (x, y),
                &line_symbol(*trend_deg, Some(*plunge_deg), false, false),
                true,
            );
            toward_deg = Some((*trend_deg, *plunge_deg));
        }
        MapSign::Point => {
            pen.put(
                "<circle class=\"fl-ink\" cx=\"~\" cy=\"~\" r=\"3.5\"/>",
                &[x, y],
            );
        }
    }
    if let Some((deg, figure)) = toward_deg {
        let out = match station.sign {
            MapSign::Line { .. } => 25.0,
            _ => 17.0,
        };
        let (sin, cos) = sin_cos(deg);
        let halo = if selected {
            "tx-dial tx-mid fl-ink"
        } else {
            "tx-dial tx-mid fl-ink halo"
        };
        pen.text(
            halo,
            13.0,
            (x + out * sin, y - out * cos + 4.5),
            &Pen::whole(figure, 2),
        );
    }
    // The number keeps clear of the figure.
    let (dx, dy) = match side {
        LabelSide::Above => (0.0, -1.0),
        LabelSide::Below => (0.0, 1.0),
        LabelSide::Left => (-1.0, 0.0),
        LabelSide::Right => (1.0, 0.0),
    };
    let meets = toward_deg.is_some_and(|(deg, _)| {
        let (sin, cos) = sin_cos(deg);
        sin * dx - cos * dy > 0.5
    });
    let out = reach + if meets && !selected { 8.0 } else { 0.0 };
    let (class, size) = if selected {
        ("tx-word tx-mid fl-ink halo", 18.0)
    } else {
        ("tx-plain tx-mid fl-ink halo", 16.0)
    };
    let (label_x, label_y) = (x + (out + 8.0) * dx, y + out * dy + 6.0 + 6.0 * dy);
    pen.text(
        class,
        size,
        (label_x, label_y),
        &Pen::whole(f64::from(station.number), 1),
    );
    if station.doubted {
        // Up to the left, as long as the number does not stand there.
        let sign_x = match side {
            LabelSide::Left => x + 12.0,
            LabelSide::Above => x + 14.0,
            _ => x - 28.0,
        };
        pen.put(
            "<g transform=\"translate(~ ~) scale(~)\">",
            &[sign_x, y - 34.0, 18.0 / 28.0],
        );
        pen.raw(&doubt_sign("?", true)).raw("</g>");
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

fn scale_bar(pen: &mut Pen, layout: &Layout) {
    let words = length(layout.bar.0);
    // As far from the edge as the words of the page beneath.
    let right = layout.width_px - if layout.width_px < 700.0 { 12.0 } else { 24.0 };
    let letters = words.chars().fold(0.0, |sum, _| sum + 10.5);
    let end = right - letters - 8.0;
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

#[cfg(test)]
mod tests {
    use super::*;

    const TABLET: Room = Room {
        width_px: 800.0,
        height_px: 248.0,
        most_px: 360.0,
        phone: false,
    };
    const PHONE: Room = Room {
        width_px: 390.0,
        height_px: 180.0,
        most_px: 180.0,
        phone: true,
    };

    fn way(count: u32, east_m: f64, north_m: f64) -> Vec<(f64, f64)> {
        (0..count)
            .map(|i| (f64::from(i) * east_m, f64::from(i) * north_m))
            .collect()
    }

    /// East is to the right and north is up, at one scale both ways.
    #[test]
    fn the_map_is_north_up_and_true_to_scale() {
        let at_m = [(0.0, 0.0), (300.0, 0.0), (300.0, 40.0)];
        let layout = lay_out(&at_m, None, &TABLET);
        let at = |i: usize| layout.places[i].0;
        assert!((at(1).0 - at(0).0 - 300.0 / layout.metres).abs() < 1e-9);
        assert!((at(1).1 - at(0).1).abs() < 1e-9);
        assert!((at(1).1 - at(2).1 - 40.0 / layout.metres).abs() < 1e-9);
        assert_eq!(layout.beyond(), 0);
    }

    #[test]
    fn a_day_that_fits_is_whole_and_in_the_middle() {
        let layout = lay_out(&way(15, 90.0, 6.0), Some(0), &TABLET);
        assert_eq!((layout.height_px, layout.beyond()), (248.0, 0));
        let (first, last) = (layout.places[0].0, layout.places[14].0);
        assert!((first.0 - (800.0 - last.0)).abs() < 1e-6);
        assert!((first.0 - EDGE_PX[0]).abs() < 1e-6, "{first:?}");
    }

    #[test]
    fn a_way_to_the_north_gets_a_taller_paper() {
        let layout = lay_out(&way(7, -90.0, 115.0), None, &TABLET);
        assert!(layout.height_px > 248.0 && layout.height_px <= 360.0);
        assert_eq!(layout.beyond(), 0);
    }

    #[test]
    fn a_crowded_day_and_a_phone_show_the_piece_round_the_selection() {
        for room in [TABLET, PHONE] {
            for selected in [0, 30, 99] {
                let layout = lay_out(&way(100, 100.0, 10.0), Some(selected), &room);
                assert!(layout.shows(selected) && layout.beyond() > 50);
                let apart = layout.places[1].0.0 - layout.places[0].0.0;
                assert!(apart > 40.0, "{apart}");
            }
        }
        // What fits on a phone is not cropped.
        assert_eq!(lay_out(&way(4, 100.0, 0.0), Some(3), &PHONE).beyond(), 0);
    }

    #[test]
    fn numbers_stand_on_alternate_sides_of_the_way() {
        let sides = |at_m: &[(f64, f64)]| {
            let layout = lay_out(at_m, None, &TABLET);
            layout.places.iter().map(|p| p.1).collect::<Vec<_>>()
        };
        use LabelSide::{Above, Below, Left, Right};
        assert_eq!(sides(&way(4, 90.0, 10.0)), [Above, Below, Above, Below]);
        assert_eq!(sides(&way(4, 10.0, 90.0)), [Left, Right, Left, Right]);
        // Two close together: no number stands on the other's symbol.
        let close = [(0.0, 0.0), (200.0, 0.0), (205.0, 24.0), (400.0, 0.0)];
        let layout = lay_out(&close, None, &TABLET);
        for (i, (place, side)) in layout.places.iter().enumerate() {
            let (x, y) = label_place(*place, *side);
            for (j, ((ox, oy), _)) in layout.places.iter().enumerate() {
                assert!(i == j || (ox - x).hypot(oy - y) > 18.0, "{i} on {j}");
            }
        }
    }

    #[test]
    fn a_tap_reaches_the_nearest_station_and_no_far_one() {
        let layout = lay_out(&way(5, 100.0, 0.0), None, &TABLET);
        let (x, y) = layout.places[2].0;
        assert_eq!(layout.nearest((x + 9.0, y - 14.0), 40.0), Some(2));
        assert_eq!(layout.nearest((x, y + 80.0), 40.0), None);
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
            let layout = lay_out(&at_m, Some(0), &TABLET);
            assert!((layout.metres - 1.0).abs() < 1e-12);
            let stations: Vec<MapStation> = at_m
                .iter()
                .map(|at| MapStation {
                    number: 1,
                    at_m: *at,
                    sign: MapSign::Point,
                    doubted: true,
                })
                .collect();
            let svg = strip_map(&stations, &layout, Some(0));
            assert!(svg.contains(">N</text>") && svg.contains(" m</text>"));
            assert!(!svg.contains("NaN") && !svg.contains("inf"));
        }
    }
}
