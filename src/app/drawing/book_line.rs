//! The line of the whole book, in Camp and on the start page.

use super::pen::Pen;

const INSET: f64 = 8.0;

/// Camp's line of the book: a tick for each station, solid to the last back-up, a pointer there, dashed after it.
///
/// # Units
/// Pixels; stations are counted from 1.
///
/// # Degenerate input
/// No stations: dotted from end to end. Under ten: the line is drawn to ten, dotted where nothing is yet. Many: ticks
/// and numbers thin out to every 5th, 10th, 50th and so on.
pub fn book_line(stations: u32, backed_up_to: u32, width_px: f64) -> String {
    let mut pen = Pen::new("book-line", [0.0, 0.0, width_px, 62.0], 1.0);
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
    // Steps of 1, 5, 10, 50, 100, …: ticks no closer than 6 px, numbers no closer than 44 px.
    let step = thin(pitch, 6.0, 1);
    let medium = thin(pitch, 6.0, step * 5);
    let long = medium * 2;
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
        pen.text(
            class,
            18.0,
            (there, 59.0),
            &Pen::whole(f64::from(stations), 1),
        );
        let apart = thin(pitch, 44.0, 10);
        let mut station = apart;
        while station < stations {
            if at(station) - start > 32.0 && there - at(station) > 44.0 {
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

/// The first of `step`, then 5 and 10 times it and so on, that is at least `apart` pixels.
fn thin(pitch: f64, apart: f64, step: u32) -> u32 {
    let mut step = step;
    let mut by_five = !step.to_string().starts_with('5');
    while f64::from(step) * pitch < apart && step < 100_000_000 {
        step *= if by_five { 5 } else { 2 };
        by_five = !by_five;
    }
    step
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
