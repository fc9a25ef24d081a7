//! The tables themselves: what is in them, what is not, and that both are counted.

use std::collections::{BTreeMap, BTreeSet};

use hingeline::exchange::hand_over::{
    self, Account, Cell, Counts, HandOver, Kind, Made, Sheet, Wanted, account, blank, dictionary,
};
use hingeline::notebook::{Notation, Pages};

use crate::made::{demo, small};

fn hand_over(pages: &Pages, wanted: &Wanted) -> HandOver {
    HandOver::of(pages, wanted, Made::default())
}

/// A row by its columns.
fn row(sheet: &dyn Sheet, nth: usize) -> BTreeMap<&'static str, String> {
    let cells = sheet.cells(nth);
    let names = sheet.heads().into_iter().map(|head| head.name);
    names
        .zip(cells.iter().map(|cell| cell.written().into_owned()))
        .collect()
}

/// The row that is called so.
#[track_caller]
fn called(sheet: &dyn Sheet, name: &str) -> BTreeMap<&'static str, String> {
    let nth = (0..sheet.len()).find(|row| sheet.called(*row) == name);
    row(sheet, nth.unwrap_or_else(|| panic!("no row {name}")))
}

fn counts(over: &HandOver) -> Counts {
    let [stations, readings, shots, sightings] = over.sheets().map(Sheet::len);
    Counts {
        stations,
        readings,
        shots,
        sightings,
    }
}

#[test]
fn what_is_counted_is_what_goes_over_whatever_is_chosen() {
    for pages in [
        Pages::of(&demo()),
        Pages::of(&small().ledger),
        Pages::default(),
    ] {
        let days: Vec<String> = pages.days().into_iter().map(|day| day.date).collect();
        let kinds = hand_over::kinds(&pages);
        let stations: Vec<String> = pages
            .stations()
            .iter()
            .map(|page| page.line().record().as_str().to_owned())
            .collect();
        let everything = account(
            &pages,
            &Wanted {
                struck_out: true,
                ..Wanted::default()
            },
        )
        .over;
        for choice in 0..32 {
            let wanted = Wanted {
                days: days
                    .iter()
                    .take(usize::from(choice & 1 != 0))
                    .cloned()
                    .collect(),
                kinds: kinds
                    .iter()
                    .take(usize::from(choice & 2 != 0))
                    .map(|(kind, _)| kind.clone())
                    .collect(),
                stations: stations
                    .iter()
                    .take(if choice & 4 != 0 { 2 } else { 0 })
                    .cloned()
                    .collect(),
                struck_out: choice & 8 != 0,
                true_north: choice & 16 != 0,
                notation: None,
            };
            let over = hand_over(&pages, &wanted);
            assert_eq!(over.account, account(&pages, &wanted), "{wanted:?}");
            assert_eq!(over.account.over, counts(&over), "{wanted:?}");
            // Nothing is lost: what goes over and what stays is all there is.
            let Account {
                over,
                struck_out,
                not_chosen,
                not_true,
                ..
            } = over.account;
            let all = [over, struck_out, not_chosen, not_true];
            let sum = |of: fn(&Counts) -> usize| all.iter().map(of).sum::<usize>();
            assert_eq!(sum(|c| c.stations), everything.stations, "{wanted:?}");
            assert_eq!(sum(|c| c.readings), everything.readings, "{wanted:?}");
            assert_eq!(sum(|c| c.shots), everything.shots, "{wanted:?}");
            assert_eq!(sum(|c| c.sightings), everything.sightings, "{wanted:?}");
        }
    }
}

#[test]
fn the_small_book_is_counted_by_hand() {
    let pages = Pages::of(&small().ledger);
    let plain = account(&pages, &Wanted::default());
    let of = |stations, readings, shots, sightings| Counts {
        stations,
        readings,
        shots,
        sightings,
    };
    assert_eq!(plain.over, of(3, 7, 8, 1));
    // The struck shot of 1.1, the reading 3.2, and station 4 with its reading.
    assert_eq!(plain.struck_out, of(1, 2, 3, 0));
    assert_eq!(plain.not_chosen, Counts::default());
    assert_eq!(
        (plain.without_true, plain.without_place, plain.strays),
        (1, 1, 1)
    );
    let bedding = Wanted {
        kinds: BTreeSet::from(["bedding".to_owned()]),
        ..Wanted::default()
    };
    let bedding = account(&pages, &bedding);
    assert_eq!(bedding.over, of(1, 2, 3, 0));
    assert_eq!(bedding.not_chosen, of(2, 5, 5, 1));
    let true_north = Wanted {
        true_north: true,
        ..Wanted::default()
    };
    assert_eq!(account(&pages, &true_north).not_true, of(0, 1, 1, 0));
    assert_eq!(
        plain.over.words(),
        "3 stations, 7 readings, 8 shots, 1 sighting"
    );
    let notes = plain.notes().join("\n");
    for part in [
        "left out, struck out: 1 station, 2 readings, 3 shots",
        "1 reading or sighting does not count from true north: its dials go over, and no bearing",
        "left out: 1 photo; the archive of the book has them",
        "1 station has no place on the globe",
        "1 reading or sighting at a station that is not in this book",
    ] {
        assert!(notes.contains(part), "{part} in {notes}");
    }
}

#[test]
fn values_count_from_true_north_and_dials_stay_as_they_stood() {
    let over = hand_over(&Pages::of(&small().ledger), &Wanted::default());
    let bedding = called(over.readings(), "1.1");
    // 045/30 and 047/32 read from magnetic north, declination 2.5° west: the mean strikes about 043.5.
    let number = |name: &str| bedding[name].parse::<f64>().unwrap();
    assert!(
        (number("strike") - 43.5).abs() < 0.1,
        "{}",
        number("strike")
    );
    assert!((number("dip") - 31.0).abs() < 0.1, "{}", number("dip"));
    assert!((number("dip_direction") - number("strike") - 90.0).abs() < 0.011);
    assert_eq!(bedding["shots"], "2");
    assert_eq!(
        bedding["dials"],
        "strike 045, dip 30, side SE; strike 047, dip 32, side SE; strike 100, dip 80, side S, struck out"
    );
    assert_eq!(bedding["north_read"], "magnetic");
    assert_eq!(bedding["declination"], "-2.5");
    assert_eq!(bedding["counts_from"], "turned-by-declination");
    assert_eq!(bedding["turned_by"], "-2.5");
    assert_eq!(bedding["polarity"], "overturned");
    assert_eq!(bedding["set_up"], "hinged transit");
    assert_eq!(bedding["station"], "1");
    assert_eq!(bedding["record"], "r1");
    assert_eq!(bedding["entry"].len(), 64);
    assert_eq!(bedding["fgdc_symbol"], "6.4");
    assert_eq!(bedding["symbol"], "overturned bedding");
    assert_eq!(bedding["symbol_rotation"], bedding["strike"]);
    assert!(bedding["polarity_uri"].ends_with("/planarpolaritycode/overturned"));
    // The book writes dip and dip direction.
    assert!(bedding["written"].contains('→'), "{}", bedding["written"]);
    // Two shots: each deviation is that of one over the root of two, or more where they scatter.
    assert!(number("strike_sd") > number("dip_sd") && number("dip_sd") > 0.5);

    let fault = called(over.readings(), "2.2");
    assert!(!fault["rake"].is_empty() && !fault["written_line"].is_empty());
    assert!(fault["kind_uri"].ends_with("/faulttype/fault"));
    assert_eq!(fault["fgdc_symbol"], "");
    assert_eq!(fault["symbol"], "inclined fault");

    let current = called(over.readings(), "2.1");
    assert_eq!(current["plunge"], "-12");
    assert_eq!(current["trend"], "237.5");
    assert_eq!(current["symbol"], "upward current direction");
    assert_eq!(called(over.readings(), "2.3")["angle"], "105");
}

#[test]
fn a_reading_without_a_north_has_its_dials_and_no_azimuth() {
    let over = hand_over(&Pages::of(&small().ledger), &Wanted::default());
    let gash = called(over.readings(), "3.1");
    for empty in [
        "strike",
        "dip_direction",
        "written",
        "symbol_rotation",
        "turned_by",
        "declination",
        "convention_uri",
        "latitude",
        "longitude",
    ] {
        assert_eq!(gash[empty], "", "{empty}");
    }
    assert_eq!(gash["dip"], "70");
    assert_eq!(gash["dials"], "strike 010, dip 70, side W");
    assert_eq!((&*gash["kind"], &*gash["form"]), ("gash", "plane"));
    assert_eq!(gash["counts_from"], "unknown");
    assert_ne!(gash["doubts_open"], "0", "its north is doubted");
    assert!(gash["doubts"].contains("north"), "{}", gash["doubts"]);
}

#[test]
fn what_is_struck_out_goes_over_where_it_was_asked_for() {
    let wanted = Wanted {
        struck_out: true,
        ..Wanted::default()
    };
    let over = hand_over(&Pages::of(&small().ledger), &wanted);
    let struck: Vec<String> = (0..over.readings().len())
        .filter(|nth| row(over.readings(), *nth)["struck_out"] == "true")
        .map(|nth| over.readings().called(nth))
        .collect();
    assert_eq!(struck, ["3.2", "4.1"]);
    let shots = over.shots();
    let struck = (0..shots.len()).filter(|nth| row(shots, *nth)["struck_out"] == "true");
    assert_eq!(struck.count(), 2 + 1);
    assert_eq!(called(over.stations(), "4")["struck_out"], "true");
    let photo = format!("photos/{}.jpg", "ab".repeat(32));
    assert_eq!(called(over.stations(), "1")["photos"], photo);
}

#[test]
fn a_sighting_has_its_bearing_its_distance_and_what_was_read() {
    let over = hand_over(&Pages::of(&small().ledger), &Wanted::default());
    let sighting = row(over.sightings(), 0);
    assert_eq!(sighting["bearing"], "37.5");
    assert_eq!(sighting["vertical"], "5");
    // 120 m along a slope of 5°: 119.54 m level, 10.46 m up.
    assert_eq!(sighting["level_distance"], "119.54");
    assert_eq!(sighting["rise"], "10.46");
    assert_eq!(sighting["to_station"], "2");
    assert_eq!(sighting["bearing_read"], "040");
    assert_eq!(
        (&*sighting["vertical_read"], &*sighting["vertical_side"]),
        ("05", "up")
    );
    assert_eq!(sighting["slope_distance_read"], "120");
}

#[test]
fn the_notation_is_the_books_or_the_one_asked_for() {
    let pages = Pages::of(&small().ledger);
    for (notation, written) in [
        (None, "31.0→133.5"),
        (Some(Notation::StrikeDip), "/31"),
        (Some(Notation::Quadrant), "N43"),
        (Some(Notation::RightHand), "043"),
    ] {
        let wanted = Wanted {
            notation,
            ..Wanted::default()
        };
        let bedding = called(hand_over(&pages, &wanted).readings(), "1.1");
        let written = written.trim_end_matches(".0→133.5");
        assert!(
            bedding["written"].contains(written),
            "{written} in {}",
            bedding["written"]
        );
    }
}

#[test]
fn every_column_is_named_once_and_explained() {
    let over = blank();
    let mut lines = 0;
    for sheet in over.sheets() {
        let heads = sheet.heads();
        lines += heads.len();
        let keys: BTreeSet<String> = heads.iter().map(|head| head.key()).collect();
        let names: BTreeSet<&str> = heads.iter().map(|head| head.name).collect();
        assert_eq!(
            (keys.len(), names.len()),
            (heads.len(), heads.len()),
            "{}",
            sheet.name()
        );
        for head in &heads {
            let plain = |c: char| c.is_ascii_lowercase() || c == '_';
            assert!(head.name.chars().all(plain), "{}", head.name);
            // Names that the formats, or readers of them, have for themselves.
            assert!(
                ![
                    "fid",
                    "geom",
                    "what",
                    "name",
                    "description",
                    "timestamp",
                    "begin",
                    "end",
                    "icon"
                ]
                .contains(&head.name),
                "{} is taken",
                head.name
            );
            assert!(
                head.meaning.len() > 10 && head.meaning.ends_with('.'),
                "{}",
                head.name
            );
            assert!(!head.meaning.contains("  "), "{}", head.meaning);
        }
    }
    assert_eq!(dictionary::lines(&over).len(), lines);
}

#[test]
fn what_stands_in_a_column_is_of_its_kind() {
    let pages = Pages::of(&demo());
    let wanted = Wanted {
        struck_out: true,
        ..Wanted::default()
    };
    let over = hand_over(&pages, &wanted);
    for sheet in over.sheets() {
        let heads = sheet.heads();
        for nth in 0..sheet.len() {
            let cells = sheet.cells(nth);
            assert_eq!(cells.len(), heads.len());
            for (head, cell) in heads.iter().zip(&cells) {
                let fits = matches!(
                    (head.kind, cell),
                    (_, Cell::Nothing)
                        | (Kind::Text, Cell::Text(_))
                        | (Kind::Number, Cell::Number(_))
                        | (Kind::Whole, Cell::Whole(_))
                        | (Kind::Flag, Cell::Flag(_))
                );
                assert!(fits, "{} {}: {cell:?}", sheet.name(), head.name);
            }
        }
    }
}
