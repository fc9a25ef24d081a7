//! The printed page of a day: heading, table of readings, net with its caption, open doubts. One text of HTML, written only
//! when it is printed.

use std::fmt::Write as _;

use super::day::{self, DayDoubt, OneDay, StationRow};
use crate::app::drawing::{MapStation, Room, lay_out, length, strip_map};
use crate::app::outcrop::kinds;
use crate::app::written;
use crate::exchange::net_figure::NetFigure;
use crate::exchange::xml::escaped;
use crate::notebook::figures::{Look, by_kind, figures};
use crate::notebook::structure::{Datum, datum};
use crate::notebook::{CountsFrom, Form, Line, Notation, Pages, Tops, attitude};
use crate::orientation::density::Levels;
use crate::orientation::{Density, Hemisphere, Projection};

/// Fewer poles have no contours worth drawing.
const CONTOURS_FROM: usize = 10;

/// The room of the map between the margins of A4: 186 mm are drawn at three quarters, so that its numbers are those of the
/// table, and it is at most half of a page high.
const PAPER: Room = Room {
    width_px: 937.0,
    height_px: 300.0,
    most_px: 660.0,
    phone: false,
    whole: true,
};

/// Writing into a text cannot fail.
fn put(html: &mut String, what: std::fmt::Arguments<'_>) {
    html.write_fmt(what).unwrap_or_default();
}

/// The whole sheet.
///
/// # Degenerate input
/// A day without readings has a table that says so, and an empty net. Struck-out readings stand in the table, struck through.
pub fn html(
    pages: &Pages,
    day: &OneDay,
    notation: Notation,
    doubts: &[DayDoubt],
    printed: &str,
) -> String {
    let (rows, way_m) = day::stations(pages, day, notation);
    let book = pages
        .book()
        .map(|(_, b)| b.name.clone())
        .unwrap_or_default();
    let mut html = String::with_capacity(16_384);
    heading(&mut html, day, &rows, way_m, &book);
    map(&mut html, &rows, doubts);
    table(&mut html, pages, day, notation);
    html.push_str("<figure class=\"net\">");
    html.push_str(&net(pages, day, notation, &book, printed));
    html.push_str("</figure>");
    put(
        &mut html,
        format_args!("<h2>Open doubts: {}</h2>", doubts.len()),
    );
    if !doubts.is_empty() {
        html.push_str("<ol class=\"open-doubts\">");
        for doubt in doubts {
            put(
                &mut html,
                format_args!(
                    "<li><b>{}</b> {}</li>",
                    escaped(&doubt.number),
                    escaped(&doubt.sentence)
                ),
            );
        }
        html.push_str("</ol>");
    }
    html
}

fn heading(html: &mut String, day: &OneDay, rows: &[StationRow], way_m: f64, book: &str) {
    let date = if day.date.is_empty() {
        "Without a date".to_owned()
    } else {
        written::day_words(&day.date)
    };
    put(html, format_args!("<h1>{}</h1><p>", escaped(&date)));
    let mut words: Vec<String> = Vec::new();
    if !book.is_empty() {
        words.push(book.to_owned());
    }
    words.push(day::span(rows));
    words.push(match day.readings {
        1 => "1 reading".to_owned(),
        n => format!("{n} readings"),
    });
    if way_m > 0.0 {
        words.push(length(way_m));
    }
    put(html, format_args!("{}</p>", escaped(&words.join(" · "))));
    if let Some(words) = day::without_position(rows) {
        put(html, format_args!("<p>{}</p>", escaped(&words)));
    }
}

/// The whole day on one map, however crowded; nothing where no station has a position.
fn map(html: &mut String, rows: &[StationRow], doubts: &[DayDoubt]) {
    let stations: Vec<MapStation> = rows
        .iter()
        .filter_map(|row| {
            Some(MapStation {
                number: row.number,
                at_m: row.at_m?,
                sign: row.sign(),
                doubted: doubts.iter().any(|d| d.station == row.record),
            })
        })
        .collect();
    if stations.is_empty() {
        return;
    }
    let layout = lay_out(&stations, None, &PAPER);
    html.push_str("<figure class=\"map\">");
    html.push_str(&strip_map(&stations, &layout, None));
    if let Some(words) = layout.crowded_out(&stations) {
        put(
            html,
            format_args!("<figcaption>{}</figcaption>", escaped(&words)),
        );
    }
    html.push_str("</figure>");
}

fn table(html: &mut String, pages: &Pages, day: &OneDay, notation: Notation) {
    html.push_str(
        "<table><thead><tr><th scope=\"col\">number</th><th scope=\"col\">kind</th><th scope=\"col\">value</th><th scope=\"col\">±</th>\
         <th scope=\"col\">north</th><th scope=\"col\">tops</th><th scope=\"col\">note</th></tr></thead>",
    );
    for page in day
        .places
        .iter()
        .filter_map(|&place| pages.stations().get(place))
    {
        let station = page.line().station();
        let mut words = vec![format!(
            "{} {}",
            page.line().number(),
            station.map(|s| s.name.as_str()).unwrap_or_default()
        )];
        if let Some(station) = station {
            words.extend(
                [&station.unit, &station.lithology]
                    .into_iter()
                    .filter(|w| !w.is_empty())
                    .cloned(),
            );
            words.push(match &station.position {
                Some(p) => format!("{:.5}, {:.5}", p.latitude, p.longitude),
                None => "no position".to_owned(),
            });
            if !station.note.is_empty() {
                words.push(station.note.clone());
            }
        }
        put(
            html,
            format_args!(
                "<tbody><tr><th scope=\"rowgroup\" colspan=\"7\">{}</th></tr>",
                escaped(words.join(" · ").trim())
            ),
        );
        if page.readings().is_empty() {
            html.push_str("<tr><td colspan=\"7\">no readings</td></tr>");
        }
        for line in page.readings() {
            row(html, pages, page.line().number(), line, notation);
        }
        html.push_str("</tbody>");
    }
    html.push_str("</table>");
}

fn row(html: &mut String, pages: &Pages, station: u32, line: &Line, notation: Notation) {
    let Some(reading) = line.reading() else {
        return;
    };
    let attitude = attitude::in_book(pages, reading);
    let mut value = written::value(reading, &attitude, notation);
    if let (Form::PlaneWithLine, Some(found)) = (reading.form, &attitude.line) {
        put(
            &mut value,
            format_args!(", line {}", written::line(found, notation)),
        );
    }
    let error = match reading.form {
        Form::Line => attitude.line_mean.as_ref().map(|m| m.standard_error_deg),
        _ => attitude.plane_mean.as_ref().map(|m| m.standard_error_deg),
    };
    let error = error.map_or_else(|| "–".to_owned(), |deg| format!("{deg:.1}°"));
    let north = match attitude.counts_from {
        CountsFrom::True => "true",
        CountsFrom::TurnedBy(_) | CountsFrom::TurnedByConvergence(_) => "turned to true",
        CountsFrom::PutRight(_) => "true, put right",
        CountsFrom::Magnetic => "magnetic",
        CountsFrom::Grid => "grid",
        CountsFrom::Unknown => "not said",
    };
    let tops = match reading.tops {
        Tops::Unknown => "",
        Tops::Upright => "upright",
        Tops::Overturned => "overturned",
    };
    let mut note = Vec::new();
    if let Some(sense) = reading.sense {
        note.push(format!("{} slip", sense.words()));
    }
    if line.is_struck_out() {
        note.push("struck out".to_owned());
    } else if attitude.is_doubted() {
        note.push("in doubt".to_owned());
    }
    if !reading.note.is_empty() {
        note.push(reading.note.clone());
    }
    let (open, close) = if line.is_struck_out() {
        ("<s>", "</s>")
    } else {
        ("", "")
    };
    put(
        html,
        format_args!(
            "<tr{}><td>{station}·{}</td><td>{open}{}{close}</td><td class=\"num\">{open}{}{close}</td><td>{error}</td><td>{north}</td><td>{tops}</td><td>{}</td></tr>",
            if line.is_struck_out() {
                " class=\"struck\""
            } else {
                ""
            },
            line.number(),
            escaped(kinds::words(&reading.kind)),
            escaped(&value),
            escaped(&note.join(" · ")),
        ),
    );
}

/// The day's net with its caption, as the figure for a report draws it.
fn net(pages: &Pages, day: &OneDay, notation: Notation, book: &str, printed: &str) -> String {
    let data: Vec<Datum> = day
        .places
        .iter()
        .filter_map(|&place| pages.stations().get(place))
        .flat_map(|page| {
            page.readings()
                .iter()
                .filter_map(|line| datum(pages, Some(page.line()), line))
        })
        .collect();
    // One fit on one plot: that of the first surface.
    let fitted = by_kind(&data)
        .into_iter()
        .find(|(kind, list)| {
            Look::of(kind, list.iter().any(|d| d.plane.is_some())) == Look::Surface
        })
        .map(|(kind, list)| figures(kind, &list));
    let poles: Vec<_> = data
        .iter()
        .filter(|d| fitted.as_ref().is_some_and(|f| f.kind == d.kind))
        .filter_map(Datum::pole)
        .collect();
    let (projection, hemisphere) = (Projection::EqualArea, Hemisphere::Lower);
    let density = (poles.len() >= CONTOURS_FROM)
        .then(|| Density::of(&poles, 100.0, 61, projection, hemisphere));
    NetFigure {
        projection,
        hemisphere,
        data: data.iter().collect(),
        figures: fitted.as_ref(),
        density: density.as_ref().map(|d| (d, Levels::Even)),
        style: notation.style(),
        book: book.to_owned(),
        date: printed.to_owned(),
        chosen: if day.date.is_empty() {
            "stations without a date".to_owned()
        } else {
            written::day_words(&day.date)
        },
        ..NetFigure::default()
    }
    .svg()
}
