//! The line of the whole book, in Camp and on the start page.

use super::pen::Pen;

const INSET: f64 = 8.0;
/// More stations than this are counted as this many, so that no step overflows.
const MOST: u32 = 1_000_000;
/// No line is wider, so that there is an end to its ticks.
const WIDEST_PX: f64 = 10_000.0;

/// Camp's line of the book: a tick for each station, solid to the last back-up, a pointer there, dashed after it.
///
/// # Units
/// Pixels; stations are counted from 1.
///
/// # Degenerate input
/// No stations: dotted from end to end. Under ten: the line is drawn to ten, dotted where nothing is yet. Many: ticks
/// and numbers thin out to every 5th, 10th, 50th and so on; over a million are drawn as a million,
/// a width over 10,000 px as that.
pub fn book_line(stations: u32, backed_up_to: u32, width_px: f64) -> String {
    let width_px = width_px.min(WIDEST_PX);
    let mut pen = Pen::new("book-line", [0.0, 0.0, width_px, 62.0], 1.0);
    let stations = stations.min(MOST);
    let backed_up_to = backed_up_to.min(stations);
    let last = stations.max(10);
    let pitch = (width_px - 2.0 * INSET).max(1.0) / f64::from(last - 1);
    let at = |station: u32| INSET + f64::from(station.max(1) - 1) * pitch;
    let (start, kept, there, end) = (INSET, at(backed_up_to), at(stations), at(last));

    pen.raw("<g shape-rendering=\"crispEdges\">");
    for (from, to, dashes) in [
        (start, kept, ""),
        (kept, there, " stroke-dasharray=\"8 6\""),
        (there, end, " stroke-dasharray=\"3 4\""),
    ] {
        if from < to {
            pen.raw("<path class=\"ln-ink\" stroke-width=\"5\"")
                .raw(dashes)
                .put(" d=\"M~ 20.5H~\"/>", &[from, to]);
        }
    }
    // Steps of 1, 5, 10, 50, 100, …: ticks no closer than 6 px, numbers with room between them.
    let step = thin(pitch, 6.0, 1);
    let (medium, long) = (next_step(step), next_step(next_step(step)));
    pen.raw("<path class=\"ln-ink\" stroke-width=\"1.6\" d=\"");
    let mut station = 1;
    while station <= stations {
        let height = if station % long == 0 {
            18.0
        } else if station % medium == 0 {
            13.0
        } else {
            7.0
        };
        pen.put("M~ 23v~", &[at(station), height]);
        station = (station / step + 1) * step;
    }
    if stations > 1 {
        pen.put("M~ 23v7", &[there]);
    }
    pen.raw("\"/></g>");

    if stations > 0 {
        pen.text("tx-word fl-ink", 18.0, (start, 59.0), "1");
    }
    if stations > 1 {
        let class = if stations < 10 {
            "tx-word tx-mid fl-ink"
        } else {
            "tx-word tx-end fl-ink"
        };
        let count = Pen::whole(f64::from(stations), 1);
        // The last number is as wide as any: 12 px a digit.
        let wide = count.chars().fold(0.0, |wide, _| wide + 12.0);
        pen.text(class, 18.0, (there, 59.0), &count);
        let apart = thin(pitch, wide + 16.0, 10);
        let mut station = apart;
        while station < stations {
            if at(station) - start > 20.0 + wide / 2.0 && there - at(station) > 8.0 + 1.5 * wide {
                pen.text(
                    "tx-word tx-mid fl-ink",
                    18.0,
                    (at(station), 59.0),
                    &Pen::whole(f64::from(station), 1),
                );
            }
            station += apart;
        }
    }
    if backed_up_to > 0 {
        pen.put(
            "<path class=\"fl-ink\" d=\"M~ 4h18l-9 14z\"/>",
            &[kept - 9.0],
        );
    }
    pen.end()
}

/// The first of the steps from this one on that is at least `apart` pixels.
fn thin(pitch: f64, apart: f64, step: u32) -> u32 {
    let mut step = step;
    while f64::from(step) * pitch < apart && step < MOST {
        step = next_step(step);
    }
    step
}

/// After 1 comes 5, then 10, 50, 100, …
fn next_step(step: u32) -> u32 {
    let mut power = 1;
    while power < step {
        power *= 10;
    }
    step * if power == step { 5 } else { 2 }
}

/// The start page's line: dotted, since nothing is there yet, above a circle's graduation in steps of 5°.
///
/// # Units
/// Pixels.
pub fn start_line(width_px: f64) -> String {
    let mut pen = Pen::new("start-line", [0.0, 0.0, width_px, 26.0], 1.0);
    pen.raw("<g shape-rendering=\"crispEdges\">");
    pen.put(
        "<path class=\"ln-ink\" stroke-width=\"4\" stroke-dasharray=\"3 4\" d=\"M0 3H~\"/>",
        &[width_px],
    );
    pen.raw("<path class=\"ln-ink\" stroke-width=\"1\" d=\"");
    for five in 0..=72 {
        let x = (f64::from(five) / 72.0 * (width_px - 1.0)).floor() + 0.5;
        pen.put(
            "M~ 9v~",
            &[
                x,
                if five % 9 == 0 {
                    16.0
                } else if five % 3 == 0 {
                    10.0
                } else {
                    6.0
                },
            ],
        );
    }
    pen.raw("\"/></g>");
    pen.end()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What is written under the line.
    fn numbers(stations: u32, width_px: f64) -> Vec<String> {
        let svg = book_line(stations, 1, width_px);
        let document = roxmltree::Document::parse(&svg).unwrap();
        document
            .descendants()
            .filter(|node| node.has_tag_name("text"))
            .filter_map(|node| node.text().map(String::from))
            .collect()
    }

    #[test]
    fn a_few_stations_have_a_tick_each_and_many_thin_out() {
        let ticks = |stations, width_px| book_line(stations, 0, width_px).matches(" 23v").count();
        // One a station, and the last once more at its full place.
        assert_eq!(ticks(54, 752.0), 55);
        assert_eq!(ticks(0, 752.0), 0);
        for stations in [437, 5_000, 400_000, u32::MAX] {
            assert!(ticks(stations, 752.0) <= 752 / 6 + 3, "{stations}");
            assert!(ticks(stations, 366.0) <= 366 / 6 + 3, "{stations}");
        }
    }

    #[test]
    fn numbers_have_room_between_them() {
        assert_eq!(
            numbers(54, 752.0),
            ["1", "54", "10", "20", "30", "40", "50"]
        );
        assert_eq!(numbers(3, 366.0), ["1", "3"]);
        assert_eq!(numbers(437, 366.0), ["1", "437", "100", "200", "300"]);
        assert_eq!(numbers(0, 366.0), [""; 0]);
    }

    #[test]
    fn the_line_is_solid_to_the_last_back_up_dashed_after_it_and_dotted_where_nothing_is() {
        let course = |stations, backed_up_to| {
            let svg = book_line(stations, backed_up_to, 376.0);
            let document = roxmltree::Document::parse(&svg).unwrap();
            document
                .descendants()
                .filter(|node| node.attribute("stroke-width") == Some("5"))
                .map(|node| {
                    format!(
                        "{} {}",
                        node.attribute("stroke-dasharray").unwrap_or("solid"),
                        node.attribute("d").unwrap()
                    )
                })
                .collect::<Vec<_>>()
        };
        // Ten stations or fewer are 40 px apart.
        assert_eq!(course(0, 0), ["3 4 M8 20.5H368"]);
        assert_eq!(
            course(4, 2),
            ["solid M8 20.5H48", "8 6 M48 20.5H128", "3 4 M128 20.5H368"]
        );
        assert_eq!(course(10, 10), ["solid M8 20.5H368"]);
        assert_eq!(
            course(10, 99),
            ["solid M8 20.5H368"],
            "no more can be backed up than there is"
        );
    }

    #[test]
    fn steps_go_by_fives_and_twos() {
        let steps: Vec<u32> = std::iter::successors(Some(1), |step| Some(next_step(*step)))
            .take(7)
            .collect();
        assert_eq!(steps, [1, 5, 10, 50, 100, 500, 1_000]);
    }

    #[test]
    fn the_start_page_shows_a_whole_circle_in_steps_of_five() {
        assert_eq!(start_line(366.0).matches(" 9v").count(), 73);
    }
}
