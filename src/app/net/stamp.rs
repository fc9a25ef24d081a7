//! The marks of the net, drawn once with smooth edges and stamped into a picture of bytes as often as they are needed.

use super::plot::Frame;
use crate::exchange::net_figure::Mark;

/// Red, green and blue.
pub type Colour = [u8; 3];

/// The ink and the washes of the present light.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Washes {
    /// Outlines.
    pub ink: Colour,
    /// The ground.
    pub paper: Colour,
    /// Bedding.
    pub bedding: Colour,
    /// Cleavage and foliation.
    pub cleavage: Colour,
    /// Joints.
    pub joint: Colour,
    /// Faults.
    pub fault: Colour,
    /// Lines.
    pub line: Colour,
}

impl Washes {
    fn of(&self, mark: Mark) -> Colour {
        match mark {
            Mark::Disc => self.bedding,
            Mark::BarredRing | Mark::Ring | Mark::BarredSquare => self.paper,
            Mark::Triangle => self.cleavage,
            Mark::Square => self.joint,
            Mark::Diamond => self.fault,
            Mark::Plus => self.line,
        }
    }
}

/// A colour from `#RRGGBB`, as the tokens write it; `None` for anything else.
pub fn colour(text: &str) -> Option<Colour> {
    let digits = text.trim().strip_prefix('#').filter(|d| d.len() == 6)?;
    let number = u32::from_str_radix(digits, 16).ok()?;
    let [_, red, green, blue] = number.to_be_bytes();
    Some([red, green, blue])
}

/// All marks, in the order of their stamps.
const MARKS: [Mark; 8] = [
    Mark::Disc,
    Mark::BarredRing,
    Mark::Triangle,
    Mark::Square,
    Mark::BarredSquare,
    Mark::Diamond,
    Mark::Plus,
    Mark::Ring,
];

/// A mark stands in one of so many places within a pixel, each way: two to this power.
const PARTS_BITS: u32 = 1;
const PARTS: usize = 1 << PARTS_BITS;

/// How far a mark reaches, in pixels: smaller the more there are, so that many stay many.
///
/// # Degenerate input
/// No marks: the size of a few.
pub fn mark_radius_px(count: usize) -> f64 {
    #[allow(clippy::cast_precision_loss)] // a count of marks
    let many = (count as f64 / 300.0).max(1.0);
    5.6 * many.powf(-0.17)
}

/// The marks of one size in one light.
#[derive(Clone, Debug)]
pub struct Stamps {
    /// Pixels a side.
    side: usize,
    /// From a stamp's corner to the pixel its middle lies in.
    reach: usize,
    /// Every pixel is covered wholly or not at all.
    whole: bool,
    stamps: Vec<Stamp>,
}

#[derive(Clone, Debug)]
struct Stamp {
    /// Row by row; each channel is already multiplied by the fourth, how much of the pixel is covered.
    pixels: Vec<[u8; 4]>,
    /// The rows that are covered at all: which, from where and to where.
    runs: Vec<(usize, usize, usize)>,
}

impl Stamps {
    /// Draws every mark at a size in pixels, its edges smooth.
    pub fn new(radius_px: f64, washes: &Washes) -> Self {
        Self::drawn(radius_px, washes, false)
    }

    /// Draws every mark at a size in pixels, each pixel covered wholly or not at all: a hundred thousand of them are
    /// laid down within a frame, and among so many no eye follows an edge.
    pub fn of_whole_pixels(radius_px: f64, washes: &Washes) -> Self {
        Self::drawn(radius_px, washes, true)
    }

    fn drawn(radius_px: f64, washes: &Washes, whole: bool) -> Self {
        let radius = radius_px.clamp(0.5, 60.0);
        let line = (radius * 0.29).clamp(0.9, 3.0);
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // at most 60 and a few
        let reach = (radius * 1.25 + line / 2.0 + 1.0).ceil() as usize;
        let side = 2 * reach + 1;
        let mut stamps = Vec::with_capacity(MARKS.len() * PARTS * PARTS);
        for mark in MARKS {
            for part in 0..PARTS * PARTS {
                let middle = |part: usize| as_f64(reach) + (as_f64(part) + 0.5) / as_f64(PARTS);
                let at = (middle(part % PARTS), middle(part / PARTS));
                let stamp = Stamp::new(mark, radius, line, side, at, washes);
                stamps.push(if whole {
                    stamp.in_whole_pixels()
                } else {
                    stamp
                });
            }
        }
        Self {
            side,
            reach,
            whole,
            stamps,
        }
    }
}

/// Marks of whole pixels as they are laid into a picture of one width.
struct Laid {
    /// How far behind the place of a stamp's corner a pixel lies, and what it is.
    pixels: Vec<(usize, [u8; 4])>,
    /// From where to where each stamp has its pixels.
    spans: [(usize, usize); MARKS.len() * PARTS * PARTS],
}

impl Stamps {
    fn laid(&self, width: usize) -> Laid {
        let mut laid = Laid {
            pixels: Vec::new(),
            spans: [(0, 0); MARKS.len() * PARTS * PARTS],
        };
        for (stamp, span) in self.stamps.iter().zip(&mut laid.spans) {
            let from = laid.pixels.len();
            let covered = stamp.pixels.iter().enumerate().filter(|(_, p)| p[3] > 0);
            let places = covered.map(|(i, p)| (i / self.side * width + i % self.side, *p));
            laid.pixels.extend(places);
            *span = (from, laid.pixels.len());
        }
        laid
    }
}

/// A place in pixels in parts of a pixel; far off, or no number at all: what lies outside every picture, or nought.
fn parts(at: f64) -> i32 {
    #[allow(clippy::cast_possible_truncation)] // a cast keeps within its bounds
    let parts = (at * as_f64(PARTS)) as i32;
    parts
}

fn signed(size: usize) -> i32 {
    i32::try_from(size).unwrap_or(i32::MAX)
}

fn as_f64(number: usize) -> f64 {
    #[allow(clippy::cast_precision_loss)] // a size in pixels
    let number = number as f64;
    number
}

impl Stamp {
    fn new(
        mark: Mark,
        radius: f64,
        line: f64,
        side: usize,
        (x, y): (f64, f64),
        washes: &Washes,
    ) -> Self {
        let wash = washes.of(mark);
        let mut pixels = Vec::with_capacity(side * side);
        let mut runs = Vec::with_capacity(side);
        for row in 0..side {
            let mut span = (side, 0);
            for column in 0..side {
                let (dx, dy) = (as_f64(column) + 0.5 - x, as_f64(row) + 0.5 - y);
                let off = distance(mark, radius, dx, dy);
                let covered = |off: f64| (0.5 - off).clamp(0.0, 1.0);
                let whole = covered(off - line / 2.0);
                let mut inked = whole - covered(off + line / 2.0);
                if matches!(mark, Mark::BarredRing | Mark::BarredSquare) {
                    inked = inked.max(whole.min(covered(dy.abs() - line / 2.0)));
                }
                let channel = |i: usize| {
                    byte(
                        f64::from(washes.ink[i]) * inked
                            + f64::from(wash[i]) * (whole - inked).max(0.0),
                    )
                };
                let pixel = [channel(0), channel(1), channel(2), byte(whole * 255.0)];
                if pixel[3] > 0 {
                    span = (span.0.min(column), column + 1);
                }
                pixels.push(pixel);
            }
            if span.0 < span.1 {
                runs.push((row, span.0, span.1));
            }
        }
        Self { pixels, runs }
    }

    /// Covers what is covered by half or more wholly, and leaves the rest out.
    fn in_whole_pixels(mut self) -> Self {
        for pixel in &mut self.pixels {
            if pixel[3] < 128 {
                *pixel = [0; 4];
            } else {
                divide_by_cover(pixel);
                pixel[3] = 255;
            }
        }
        self
    }
}

fn byte(value: f64) -> u8 {
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // clamped to a byte
    let value = value.round().clamp(0.0, 255.0) as u8;
    value
}

/// How far a place is outside the outline of a mark, in pixels; negative within.
fn distance(mark: Mark, r: f64, x: f64, y: f64) -> f64 {
    let bar = |wide: f64, high: f64| (x.abs() - wide).max(y.abs() - high);
    match mark {
        Mark::Disc | Mark::BarredRing | Mark::Ring => x.hypot(y) - r,
        Mark::Square | Mark::BarredSquare => bar(0.89 * r, 0.89 * r),
        Mark::Diamond => (x.abs() + y.abs() - 1.18 * r) * std::f64::consts::FRAC_1_SQRT_2,
        // One point up, the other two as far from the middle.
        Mark::Triangle => {
            let (sin, cos) = (0.5, 0.866_025_403_784_438_6);
            let inner = 0.62 * r;
            (y - inner).max(x.abs() * cos - y * sin - inner)
        }
        Mark::Plus => bar(0.36 * r, 1.14 * r).min(bar(1.14 * r, 0.36 * r)),
    }
}

/// A picture: rows of red, green, blue and cover, each channel multiplied by the cover until it is finished.
#[derive(Clone, Debug, Default)]
pub struct Picture {
    width: usize,
    height: usize,
    pixels: Vec<[u8; 4]>,
    /// Some pixel may be covered in part.
    partly: bool,
}

impl Picture {
    /// Empties the picture, and gives it this size.
    pub fn clear(&mut self, width: usize, height: usize) {
        (self.width, self.height) = (width, height);
        self.pixels.resize(width * height, [0; 4]);
        self.pixels.as_flattened_mut().fill(0);
        self.partly = false;
    }

    /// Stamps marks at places of the net, one over the other in their order.
    ///
    /// # Degenerate input
    /// As [`Picture::stamp`]; of columns that differ in length, what all of them have.
    pub fn stamp_all(
        &mut self,
        stamps: &Stamps,
        marks: &[Mark],
        (east, north): (&[f32], &[f32]),
        frame: &Frame,
    ) {
        let count = marks.len().min(east.len()).min(north.len());
        let (marks, east, north) = (&marks[..count], &east[..count], &north[..count]);
        if !stamps.whole {
            for i in 0..count {
                let (x, y) = frame.at((f64::from(east[i]), f64::from(north[i])));
                self.stamp(stamps, marks[i], x, y);
            }
            return;
        }
        // A loop that is run a hundred thousand times within a frame: whole numbers, and no call but at the edge.
        let laid = stamps.laid(self.width);
        let far = as_f64(stamps.side);
        let beyond = signed(stamps.reach + stamps.side);
        let least = |size: usize| signed(size) - signed(stamps.side);
        let (last_left, last_top) = (least(self.width), least(self.height));
        for i in 0..count {
            let (x, y) = frame.at((f64::from(east[i]), f64::from(north[i])));
            let (px, py) = (parts(x + far), parts(y + far));
            let (left, top) = ((px >> PARTS_BITS) - beyond, (py >> PARTS_BITS) - beyond);
            if left < 0 || top < 0 || last_left < left || last_top < top {
                self.stamp(stamps, marks[i], x, y);
                continue;
            }
            #[allow(clippy::cast_sign_loss)] // just compared with nought
            let (left, top, px, py) = (left as usize, top as usize, px as usize, py as usize);
            let corner = top * self.width + left;
            let part = py % PARTS * PARTS + px % PARTS;
            let (from, to) = laid.spans[marks[i] as usize * PARTS * PARTS + part];
            let ground = &mut self.pixels[corner..];
            for (off, pixel) in &laid.pixels[from..to] {
                if let Some(under) = ground.get_mut(*off) {
                    *under = *pixel;
                }
            }
        }
    }

    /// Stamps a mark with its middle at a place in pixels.
    ///
    /// # Degenerate input
    /// What lies beyond the edge is cut off; a place that is not a number is left out.
    pub fn stamp(&mut self, stamps: &Stamps, mark: Mark, x: f64, y: f64) {
        let (far, near) = (as_f64(stamps.side), as_f64(stamps.reach + 1));
        let within = |at: f64, size: usize| -near < at && at < as_f64(size) + near;
        if !within(x, self.width) || !within(y, self.height) {
            return;
        }
        // In parts of a pixel, from a corner that lies a whole stamp outside, so that nothing is negative.
        #[allow(clippy::cast_sign_loss)] // just bounded
        let parts = |at: f64| parts(at + far) as usize;
        let (px, py) = (parts(x), parts(y));
        let stamp = &stamps.stamps[mark as usize * PARTS * PARTS + py % PARTS * PARTS + px % PARTS];
        // The stamp's corner, still counted from the outside corner.
        let (left, top) = (px / PARTS - stamps.reach, py / PARTS - stamps.reach);
        let side = stamps.side;
        let inside = side <= left && left <= self.width && side <= top && top <= self.height;
        self.partly |= !stamps.whole;
        for &(row, from, to) in &stamp.runs {
            let (mut from, mut to) = (from, to);
            let line = top + row;
            if !inside {
                if line < side || line >= self.height + side {
                    continue;
                }
                from = from.max(side.saturating_sub(left));
                to = to.min((self.width + side).saturating_sub(left));
                if from >= to {
                    continue;
                }
            }
            let at = (line - side) * self.width + left + from - side;
            let mark = &stamp.pixels[row * side + from..row * side + to];
            let ground = &mut self.pixels[at..at + mark.len()];
            for (under, over) in ground.iter_mut().zip(mark) {
                *under = blend(*under, *over);
            }
        }
    }

    /// Finishes the picture: its bytes as a canvas takes them, colours no longer multiplied by the cover.
    pub fn finished(&mut self) -> &[u8] {
        if self.partly {
            for pixel in &mut self.pixels {
                if pixel[3] != 0 && pixel[3] != 255 {
                    divide_by_cover(pixel);
                }
            }
        }
        self.pixels.as_flattened()
    }

    /// Pixels a row.
    pub fn width(&self) -> usize {
        self.width
    }
}

/// 2²⁴ over every cover, rounded up: a channel and a cover are so small that a product with it is a quotient, exactly.
const OVER_COVER: [u32; 256] = {
    let mut quotients = [0; 256];
    let mut cover = 1;
    while cover < 256_u32 {
        quotients[cover as usize] = (1_u32 << 24).div_ceil(cover);
        cover += 1;
    }
    quotients
};

/// Gives a pixel its colours back: each channel × 255 / its cover, to the nearest.
fn divide_by_cover(pixel: &mut [u8; 4]) {
    let [.., cover] = *pixel;
    for channel in &mut pixel[..3] {
        let whole = u32::from((*channel).min(cover)) * 255 + u32::from(cover) / 2;
        [*channel, ..] = (whole * OVER_COVER[usize::from(cover)]).to_be_bytes();
    }
}

/// One pixel over another, both multiplied by their cover; two channels at a time.
fn blend(under: [u8; 4], over: [u8; 4]) -> [u8; 4] {
    const TWO: u32 = 0x00FF_00FF;
    let cover = u32::from(over[3]);
    let rest = 256 - cover - (cover >> 7);
    let under = u32::from_le_bytes(under);
    let even = (((under & TWO) * rest) >> 8) & TWO;
    let odd = (((under >> 8) & TWO) * rest) & !TWO;
    u32::from_le_bytes(over)
        .wrapping_add(even | odd)
        .to_le_bytes()
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    const WASHES: Washes = Washes {
        ink: [10, 20, 30],
        paper: [250, 251, 252],
        bedding: [10, 20, 30],
        cleavage: [0, 158, 115],
        joint: [86, 180, 233],
        fault: [213, 94, 0],
        line: [204, 121, 167],
    };

    /// A stamp is found by its mark's place among all.
    #[test]
    fn marks_stand_in_the_order_of_their_names() {
        for (place, mark) in MARKS.into_iter().enumerate() {
            assert_eq!(mark as usize, place);
        }
    }

    /// Whole pixels are the smooth mark, decided pixel by pixel: the same area within its outline's length, no pixel half covered,
    /// the later mark over the earlier, the same at the edge of the picture as within it.
    #[test]
    fn marks_of_whole_pixels_are_the_smooth_marks_decided() {
        for mark in MARKS {
            let smooth = one(mark, 8.0, 20.25, 20.25);
            let mut whole = Picture::default();
            whole.clear(40, 40);
            whole.stamp(&Stamps::of_whole_pixels(8.0, &WASHES), mark, 20.25, 20.25);
            for (i, (smooth, whole)) in smooth.pixels.iter().zip(&whole.pixels).enumerate() {
                assert_eq!(
                    whole[3],
                    if smooth[3] < 128 { 0 } else { 255 },
                    "{mark:?} {i}"
                );
                if smooth[3] == 255 {
                    assert_eq!(smooth, whole, "{mark:?} {i}");
                }
            }
        }
        let stamps = Stamps::of_whole_pixels(8.0, &WASHES);
        let stamped = |x: f64| {
            let mut picture = Picture::default();
            picture.clear(40, 40);
            picture.stamp(&stamps, Mark::Disc, x, 20.25);
            picture.stamp(&stamps, Mark::Square, x, 20.25);
            picture
        };
        let (within, cut) = (stamped(20.25), stamped(0.25));
        for row in 0..40 {
            for column in 0..20 {
                assert_eq!(at(&within, column + 20, row), at(&cut, column, row));
            }
        }
        assert_eq!(at(&within, 20, 20)[..3], WASHES.joint);
    }

    proptest! {
        /// Many at once are the same picture as one by one: at the edge, beyond it and at no place at all.
        #[test]
        fn many_at_once_are_stamped_as_one_by_one(
            places in proptest::collection::vec((0..MARKS.len(), -1.3..1.3_f32, -1.3..1.3_f32), 0..60),
            radius in 0.5..9.0_f64,
            whole in any::<bool>(),
        ) {
            let frame = Frame { x: 20.3, y: 18.9, radius: 19.0 };
            let stamps = Stamps::drawn(radius, &WASHES, whole);
            let mut marks: Vec<Mark> = places.iter().map(|p| MARKS[p.0]).collect();
            let mut east: Vec<f32> = places.iter().map(|p| p.1).collect();
            let mut north: Vec<f32> = places.iter().map(|p| p.2).collect();
            for place in [f32::NAN, 1e38, f32::NEG_INFINITY] {
                marks.push(Mark::Square);
                east.push(place);
                north.push(0.0);
            }
            let mut one_by_one = Picture::default();
            one_by_one.clear(41, 37);
            for ((mark, east), north) in marks.iter().zip(&east).zip(&north) {
                let (x, y) = frame.at((f64::from(*east), f64::from(*north)));
                one_by_one.stamp(&stamps, *mark, x, y);
            }
            let mut at_once = Picture::default();
            at_once.clear(41, 37);
            at_once.stamp_all(&stamps, &marks, (&east, &north), &frame);
            prop_assert_eq!(one_by_one.finished(), at_once.finished());
        }
    }

    fn one(mark: Mark, radius: f64, x: f64, y: f64) -> Picture {
        let mut picture = Picture::default();
        picture.clear(40, 40);
        picture.stamp(&Stamps::new(radius, &WASHES), mark, x, y);
        picture
    }

    fn at(picture: &Picture, x: usize, y: usize) -> [u8; 4] {
        picture.pixels[y * picture.width + x]
    }

    #[test]
    fn the_marks_stand_in_the_order_of_their_stamps() {
        for (i, mark) in MARKS.into_iter().enumerate() {
            assert_eq!(mark as usize, i, "{mark:?}");
        }
    }

    #[test]
    fn a_mark_is_its_wash_within_an_ink_outline() {
        for mark in MARKS {
            let picture = one(mark, 10.0, 20.25, 20.25);
            let inside = at(&picture, 20, 16);
            let [r, g, b] = WASHES.of(mark);
            assert_eq!(inside, [r, g, b, 255], "{mark:?}");
            let inked = picture
                .pixels
                .iter()
                .filter(|p| **p == [10, 20, 30, 255])
                .count();
            assert!(inked > 20, "{mark:?}: {inked} pixels of ink");
            assert_eq!(at(&picture, 2, 2), [0; 4], "{mark:?}");
        }
    }

    #[test]
    fn shapes_are_told_apart_without_colour() {
        let ink = Washes {
            cleavage: [255; 3],
            joint: [255; 3],
            fault: [255; 3],
            line: [255; 3],
            paper: [255; 3],
            ..WASHES
        };
        let drawn: Vec<Vec<[u8; 4]>> = MARKS
            .iter()
            .map(|mark| {
                let mut picture = Picture::default();
                picture.clear(40, 40);
                picture.stamp(&Stamps::new(5.6, &ink), *mark, 20.0, 20.0);
                picture.pixels
            })
            .collect();
        for i in 0..drawn.len() {
            for j in 0..i {
                let apart = drawn[i]
                    .iter()
                    .zip(&drawn[j])
                    .filter(|(a, b)| (0..4).any(|c| a[c].abs_diff(b[c]) > 100))
                    .count();
                assert!(
                    apart >= 12,
                    "{:?} and {:?}: {apart} pixels",
                    MARKS[i],
                    MARKS[j]
                );
            }
        }
    }

    #[test]
    fn a_disc_covers_its_area() {
        let picture = one(Mark::Disc, 10.0, 20.25, 20.25);
        let covered: f64 = picture.pixels.iter().map(|p| f64::from(p[3]) / 255.0).sum();
        // π r², the outline being 2.9 px wide and centred on the edge.
        let expected = std::f64::consts::PI * (10.0f64 + 1.45).powi(2);
        assert!(
            (covered / expected - 1.0).abs() < 0.01,
            "{covered} of {expected}"
        );
    }

    #[test]
    fn what_lies_beyond_the_edge_is_cut_off() {
        for (x, y) in [
            (0.0, 0.0),
            (40.0, 40.0),
            (-3.0, 20.0),
            (20.0, 43.0),
            (-1e9, 0.0),
            (f64::NAN, 1.0),
            (f64::INFINITY, 1.0),
        ] {
            let picture = one(Mark::Disc, 10.0, x, y);
            let seen = picture.pixels.iter().any(|p| p[3] > 0);
            assert_eq!(seen, x.abs() < 100.0, "{x} {y}");
        }
        // Farther off than it reaches, and nearer than it is wide.
        one(Mark::Disc, 10.0, -25.0, 20.0);
        // A quarter of a disc in the corner, in the right place.
        let corner = one(Mark::Disc, 10.0, 0.0, 0.0);
        assert_eq!(at(&corner, 0, 0)[3], 255);
        assert_eq!(
            at(&corner, 39, 0)[3],
            0,
            "nothing comes in at the other side"
        );
    }

    proptest! {
        /// Against the definition of "over", Porter, T., & Duff, T., 1984, Compositing digital images.
        #[test]
        fn one_over_another(under in any::<[u8; 4]>(), over in any::<[u8; 4]>()) {
            let within = |mut pixel: [u8; 4]| {
                for i in 0..3 { pixel[i] = pixel[i].min(pixel[3]); }
                pixel
            };
            let (under, over) = (within(under), within(over));
            let found = blend(under, over);
            for i in 0..4 {
                let expected = f64::from(over[i]) + f64::from(under[i]) * (1.0 - f64::from(over[3]) / 255.0);
                prop_assert!((f64::from(found[i]) - expected).abs() <= 1.6, "{i}: {} for {expected}", found[i]);
            }
        }
    }

    #[test]
    fn colours_are_divided_to_the_nearest_whatever_the_cover() {
        for cover in 1..=255_u8 {
            for channel in 0..=cover {
                let mut pixel = [channel, channel, channel, cover];
                divide_by_cover(&mut pixel);
                let nearest = (u32::from(channel) * 255 + u32::from(cover) / 2) / u32::from(cover);
                assert_eq!(u32::from(pixel[0]), nearest, "{channel} of {cover}");
            }
        }
        let mut empty = [0; 4];
        divide_by_cover(&mut empty);
        assert_eq!(empty, [0; 4]);
    }

    #[test]
    fn a_finished_picture_has_its_colours_back() {
        let mut picture = one(Mark::Square, 10.0, 20.0, 20.0);
        let half = picture
            .pixels
            .iter()
            .position(|p| 60 < p[3] && p[3] < 200)
            .expect("a smooth edge");
        let bytes = picture.finished();
        let pixel = &bytes[half * 4..half * 4 + 3];
        for (found, ink) in pixel.iter().zip(WASHES.ink) {
            assert!(found.abs_diff(ink) <= 3, "{pixel:?}");
        }
    }

    #[test]
    fn colours_are_read_as_the_tokens_write_them() {
        assert_eq!(colour(" #0B1518"), Some([0x0B, 0x15, 0x18]));
        assert_eq!(colour("red"), None);
        assert_eq!(colour("#FFF"), None);
    }

    #[test]
    fn more_marks_are_smaller_marks() {
        assert_eq!(mark_radius_px(0), mark_radius_px(300));
        assert!(mark_radius_px(3_000) < mark_radius_px(300));
        assert!(mark_radius_px(100_000) > 1.5);
    }
}
