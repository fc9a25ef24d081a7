//! Days of small books.

use super::*;
use crate::app::traverse::sheet;
use crate::notebook::{Act, Body, Entry, Ledger, North, Position, Shot, Stamp, Station};

struct Writer {
    ledger: Ledger,
    counter: u64,
}

impl Writer {
    fn new() -> Self {
        Self {
            ledger: Ledger::default(),
            counter: 0,
        }
    }

    fn write(&mut self, record: &str, act: Act, body: Option<Body>) {
        self.counter += 1;
        let stamp = Stamp {
            by: "QV".into(),
            device: "one".into(),
            counter: self.counter,
            at: "2026-06-14T12:00:00+01:00".into(),
        };
        let heads = self.ledger.state(record).heads().to_vec();
        self.ledger
            .insert(Entry::new(record.into(), heads, stamp, act, None, body));
    }

    fn station(&mut self, number: u32, day: &str, at: Option<(f64, f64)>) {
        let station = Station {
            number,
            name: format!("ledge {number}"),
            at: format!("{day}T08:00:00+01:00"),
            position: at.map(|(latitude, longitude)| Position {
                latitude,
                longitude,
                ..Position::default()
            }),
            ..Station::default()
        };
        self.write(
            &format!("s{number}"),
            Act::Write,
            Some(Body::Station(station)),
        );
    }

    fn plane(&mut self, station: u32, number: u32, kind: &str, dials: [&str; 3]) {
        let [strike, dip, side] = dials.map(|d| Some(d.to_owned()));
        let reading = Reading {
            station: format!("s{station}"),
            number,
            kind: kind.into(),
            north: North::True,
            shots: vec![Shot {
                strike,
                dip,
                side,
                ..Shot::default()
            }],
            ..Reading::default()
        };
        let record = format!("r{station}-{number}");
        self.write(&record, Act::Write, Some(Body::Reading(reading)));
    }

    fn pages(&self) -> Pages {
        Pages::of(&self.ledger)
    }
}

/// Two days; the second has a station without a position and a struck-out reading.
fn book() -> Writer {
    let mut w = Writer::new();
    w.station(1, "2026-06-13", Some((52.0, -3.0)));
    w.station(2, "2026-06-14", Some((0.0, 10.0)));
    w.station(3, "2026-06-14", None);
    w.station(4, "2026-06-14", Some((0.0, 10.01)));
    w.plane(2, 1, "cleavage", ["010", "80", "E"]);
    w.plane(2, 2, "bedding", ["061", "36", "SE"]);
    w.plane(4, 1, "joint", ["100", "70", "N"]);
    w.plane(4, 2, "bedding", ["242", "40", "SE"]);
    w.write("r4-2", Act::StrikeOut, None);
    w
}

#[test]
fn the_last_day_is_found_and_its_neighbours() {
    let pages = book().pages();
    let last = find(&pages, None).unwrap();
    assert_eq!((last.date.as_str(), last.readings), ("2026-06-14", 3));
    assert_eq!(
        (last.before.as_deref(), last.after),
        (Some("2026-06-13"), None)
    );
    let first = find(&pages, Some("2026-06-13")).unwrap();
    assert_eq!(
        (first.before, first.after.as_deref()),
        (None, Some("2026-06-14"))
    );
    assert_eq!(find(&pages, Some("2026-06-12")), None);
    assert_eq!(find(&Pages::default(), None), None);
}

#[test]
fn a_station_shows_its_first_bedding_that_stands_else_its_first_plane() {
    let pages = book().pages();
    let day = find(&pages, None).unwrap();
    let (rows, _) = stations(&pages, &day, Notation::StrikeDip);
    let said: Vec<_> = rows
        .iter()
        .map(|r| (r.number, r.value.as_str(), r.readings))
        .collect();
    assert_eq!(said, [(2, "061/36 SE", 2), (3, "", 0), (4, "100/70 N", 1)]);
    assert!(matches!(rows[1].sign(), MapSign::Point));
    assert!(
        rows[0]
            .spoken(true)
            .contains("061 slash 36 SE, 2 readings, with a doubt")
    );
    assert_eq!(span(&rows), "stations 2–4");
    assert_eq!(
        without_position(&rows).unwrap(),
        "Without a position, so not on the map: 3 (ledge 3)."
    );
}

/// A hundredth of a degree of longitude on the equator is 1113.195 m: the equatorial radius of WGS 84, 6 378 137 m
/// (NIMA TR8350.2, 3rd edition 2000, table 3.1), times π / 18 000, worked by hand.
#[test]
fn the_way_leaves_out_what_has_no_position_and_lies_on_the_ellipsoid() {
    let pages = book().pages();
    let day = find(&pages, None).unwrap();
    let (rows, way_m) = stations(&pages, &day, Notation::StrikeDip);
    assert!((way_m - 1113.195).abs() < 0.001, "{way_m}");
    assert_eq!(rows[0].at_m, Some((0.0, 0.0)));
    let (east, north) = rows[2].at_m.unwrap();
    assert!((east - 1113.195).abs() < 0.001 && north.abs() < 0.001);
}

#[test]
fn a_doubt_names_its_reading_and_leads_there() {
    let mut w = book();
    w.plane(4, 3, "bedding", ["045", "95", "SE"]);
    let pages = w.pages();
    let day = find(&pages, None).unwrap();
    let doubts: Vec<DayDoubt> = day
        .places
        .iter()
        .flat_map(|&i| doubts_at(&pages, &pages.stations()[i]))
        .collect();
    assert_eq!(doubts.len(), 1, "{doubts:?}");
    assert_eq!(doubts[0].number, "4·3");
    assert!(doubts[0].words.contains("95"), "{}", doubts[0].words);
    assert_eq!(doubts[0].leads, Leads::Reading("r4-3".into()));
    // Struck out, it asks no more.
    w.write("r4-3", Act::StrikeOut, None);
    let pages = w.pages();
    let page = pages.stations().last().unwrap();
    assert_eq!(doubts_at(&pages, page), []);
}

#[test]
fn days_are_named_short_and_have_an_address() {
    assert_eq!(short("2026-06-14"), "14 June");
    assert_eq!(short(""), "no date");
    assert_eq!(short("2026-19-14"), "2026-19-14");
    assert_eq!(path("2026-06-14"), "/traverse/2026-06-14");
    assert_eq!(path(""), "/traverse/undated");
}

#[test]
fn the_sheet_has_every_reading_struck_ones_legible_and_nothing_unescaped() {
    let mut w = book();
    let hostile = Station {
        number: 5,
        name: "<img src=x onerror=alert(1)>".into(),
        at: "2026-06-14T17:00:00+01:00".into(),
        ..Station::default()
    };
    w.write("s5", Act::Write, Some(Body::Station(hostile)));
    let pages = w.pages();
    let day = find(&pages, None).unwrap();
    let doubt = DayDoubt {
        number: "4·3".into(),
        words: "short".into(),
        sentence: "a <sentence>; and a way out".into(),
        station: "s4".into(),
        leads: Leads::Station(4),
    };
    let html = sheet::html(
        &pages,
        &day,
        Notation::StrikeDip,
        &[doubt],
        "25 November 2026",
    );
    assert_eq!(html.matches("<td class=\"num\">").count(), 4);
    assert!(html.contains("<s>242/40 SE</s>") && html.contains("struck out"));
    assert!(html.contains("061/36 SE") && html.contains("±"));
    assert!(!html.contains("<img") && html.contains("&lt;img"));
    assert!(html.contains("Open doubts: 1") && html.contains("a &lt;sentence&gt;; and a way out"));
    assert!(html.contains("<svg") && html.contains("Equal-area projection, lower hemisphere"));
}
