//! Each format against what its standard asks for, read by a general parser of its syntax.

use std::fs;
use std::path::Path;

use hingeline::exchange::dial_table;
use hingeline::exchange::hand_over::{
    Cell, Format, HandOver, Made, Wanted, blank, csv, dictionary, geojson, gpx, kml,
};
use hingeline::notebook::{Form, Pages};
use serde_json::Value;

use crate::made::{Writing, demo, plane_shot, reading, small, station};

fn all(pages: &Pages) -> HandOver {
    let made = Made {
        at: "2026-06-15T20:40:00+01:00".to_owned(),
        by: "QV".to_owned(),
    };
    let wanted = Wanted {
        struck_out: true,
        ..Wanted::default()
    };
    HandOver::of(pages, &wanted, made)
}

/// The fields of a CSV text, row by row, by a reader of CSV that is not ours.
pub(crate) fn fields(text: &str) -> Vec<Vec<String>> {
    let mut reader = csv_core::Reader::new();
    let (mut rows, mut row) = (Vec::new(), Vec::new());
    let mut rest = text.as_bytes();
    let mut field: Vec<u8> = Vec::new();
    let mut output = [0; 4096];
    loop {
        let (result, read, wrote) = reader.read_field(rest, &mut output);
        rest = &rest[read..];
        field.extend(&output[..wrote]);
        match result {
            csv_core::ReadFieldResult::Field { record_end } => {
                row.push(String::from_utf8(std::mem::take(&mut field)).unwrap());
                if record_end {
                    rows.push(std::mem::take(&mut row));
                }
            }
            csv_core::ReadFieldResult::End => return rows,
            csv_core::ReadFieldResult::InputEmpty | csv_core::ReadFieldResult::OutputFull => {}
        }
    }
}

#[test]
fn geojson_is_what_rfc_7946_asks_for() {
    for pages in [
        Pages::of(&demo()),
        Pages::of(&small().ledger),
        Pages::default(),
    ] {
        let over = all(&pages);
        let json: Value = serde_json::from_str(&geojson::write(&over)).unwrap();
        assert_eq!(json["type"], "FeatureCollection");
        // Section 4: no other reference system is said.
        assert!(json.get("crs").is_none());
        let features = json["features"].as_array().unwrap();
        let rows: usize = over.placed().iter().map(|sheet| sheet.len()).sum();
        assert_eq!(features.len(), rows);
        let mut points = Vec::new();
        for feature in features {
            assert_eq!(feature["type"], "Feature");
            assert!(feature["id"].is_string());
            let properties = feature["properties"].as_object().unwrap();
            let geometry = &feature["geometry"];
            if geometry.is_null() {
                // Section 3.2: an unlocated feature.
                assert!(properties["latitude_deg"].is_null());
                continue;
            }
            assert_eq!(geometry["type"], "Point");
            let position = geometry["coordinates"].as_array().unwrap();
            // Section 3.1.1: longitude, latitude, height.
            assert_eq!(position[0], properties["longitude_deg"]);
            assert_eq!(position[1], properties["latitude_deg"]);
            match position.len() {
                2 => assert!(properties["height_m"].is_null()),
                3 => assert_eq!(position[2], properties["height_m"]),
                n => panic!("{n} coordinates"),
            }
            points.push((position[0].as_f64().unwrap(), position[1].as_f64().unwrap()));
        }
        let Some(bbox) = json.get("bbox") else {
            assert!(points.is_empty());
            continue;
        };
        let bbox: Vec<f64> = serde_json::from_value(bbox.clone()).unwrap();
        let (west, south) = (bbox[0], bbox[1]);
        let (east, north) = (bbox[bbox.len() / 2], bbox[bbox.len() / 2 + 1]);
        let least =
            |of: fn(&(f64, f64)) -> f64| points.iter().map(of).fold(f64::INFINITY, f64::min);
        let most =
            |of: fn(&(f64, f64)) -> f64| points.iter().map(of).fold(f64::NEG_INFINITY, f64::max);
        assert_eq!((west, south), (least(|p| p.0), least(|p| p.1)));
        assert_eq!((east, north), (most(|p| p.0), most(|p| p.1)));
    }
}

#[test]
fn geojson_names_every_property_that_its_features_have() {
    let over = all(&Pages::of(&demo()));
    let json: Value = serde_json::from_str(&geojson::write(&over)).unwrap();
    for feature in json["features"].as_array().unwrap() {
        let properties = feature["properties"].as_object().unwrap();
        let what = properties["what"].as_str().unwrap();
        let explained = json["hand_over"]["properties"][what].as_object().unwrap();
        let mut keys: Vec<&String> = properties.keys().filter(|key| *key != "what").collect();
        let mut named: Vec<&String> = explained.keys().collect();
        keys.sort();
        named.sort();
        assert_eq!(keys, named);
    }
}

#[test]
fn a_place_beyond_the_globe_is_no_geometry_and_stays_in_the_columns() {
    let mut book = Writing::default();
    book.write(
        "s",
        hingeline::notebook::Body::Station(station(1, Some((200.0, 52.0)))),
    );
    let over = all(&Pages::of(&book.ledger));
    assert_eq!(over.account.without_place, 1);
    let json: Value = serde_json::from_str(&geojson::write(&over)).unwrap();
    assert!(json["features"][0]["geometry"].is_null());
    assert_eq!(json["features"][0]["properties"]["longitude_deg"], 200.0);
    assert!(json.get("bbox").is_none());
    assert!(Format::Gpx.holds(&over.account).is_empty());
    assert!(!gpx::write(&over).contains("<wpt"));
}

#[test]
fn a_number_that_no_place_has_is_in_no_geometry_and_fills_no_line() {
    let mut book = Writing::default();
    for (record, longitude, latitude) in [("s1", 1e308, 52.0), ("s2", -3.7, 91.0)] {
        let number = if record == "s1" { 1 } else { 2 };
        let place = station(number, Some((longitude, latitude)));
        book.write(record, hingeline::notebook::Body::Station(place));
    }
    let mut high = station(3, Some((-3.7, 52.7)));
    if let Some(position) = &mut high.position {
        position.height_m = Some(1e308);
    }
    book.write("s3", hingeline::notebook::Body::Station(high));
    let over = all(&Pages::of(&book.ledger));
    assert_eq!(over.account.without_place, 2);
    assert_eq!(Format::Gpx.holds(&over.account).stations, 1);
    let json: Value = serde_json::from_str(&geojson::write(&over)).unwrap();
    let geometry = |nth: usize| json["features"][nth]["geometry"].clone();
    assert!(geometry(0).is_null() && geometry(1).is_null());
    assert_eq!(geometry(2)["coordinates"], serde_json::json!([-3.7, 52.7]));
    assert_eq!(json["features"][2]["properties"]["height_m"], 1e308);
    let kml = kml::write(&over);
    let gpx = gpx::write(&over);
    assert_eq!(kml.matches("<Point>").count(), 1);
    assert_eq!(gpx.matches("<wpt").count(), 1);
    assert!(!gpx.contains("<ele>"));
    for text in [geojson::write(&over), kml, gpx, csv::write(over.stations())] {
        assert!(!text.contains("00000000000000000"), "{text}");
    }
}

/// The box of a hand-over of stations at these places and heights.
fn bbox_of(places: &[(f64, f64, Option<f64>)]) -> Vec<f64> {
    let mut book = Writing::default();
    for (number, (longitude, latitude, height_m)) in (1..).zip(places) {
        let mut place = station(number, Some((*longitude, *latitude)));
        if let Some(position) = &mut place.position {
            position.height_m = *height_m;
        }
        let body = hingeline::notebook::Body::Station(place);
        book.write(&format!("s{number}"), body);
    }
    let json: Value =
        serde_json::from_str(&geojson::write(&all(&Pages::of(&book.ledger)))).unwrap();
    serde_json::from_value(json["bbox"].clone()).unwrap()
}

#[test]
fn the_box_has_as_many_numbers_as_its_positions_have() {
    let without = [(-3.7, 52.7, None), (-3.5, 52.9, None)];
    assert_eq!(bbox_of(&without), [-3.7, 52.7, -3.5, 52.9]);
    let some = [(-3.7, 52.7, Some(4.0)), (-3.5, 52.9, None)];
    assert_eq!(bbox_of(&some), [-3.7, 52.7, 4.0, -3.5, 52.9, 4.0]);
    let across = [
        (177.0, -20.0, Some(-2.0)),
        (-178.0, -16.0, Some(300.0)),
        (179.0, -18.0, None),
    ];
    assert_eq!(bbox_of(&across), [177.0, -20.0, -2.0, -178.0, -16.0, 300.0]);
}

#[test]
fn a_description_in_kml_is_text_even_for_a_reader_of_html() {
    let mut book = Writing::default();
    let mut place = station(1, Some((-3.7, 52.7)));
    place.note = "<script>alert(1)</script>&amp; a < b\nnext".to_owned();
    place.name = "a < b".to_owned();
    book.write("s", hingeline::notebook::Body::Station(place));
    let text = kml::write(&all(&Pages::of(&book.ledger)));
    let document = roxmltree::Document::parse(&text).unwrap();
    let of = |parent: &str, name: &str| {
        let mut nodes = document.descendants();
        let found = nodes.find(|node| {
            let parent_name = node.parent().map(|p| p.tag_name().name());
            node.tag_name().name() == name && parent_name == Some(parent)
        });
        found.and_then(|node| node.text()).unwrap().to_owned()
    };
    let html = of("Placemark", "description");
    assert!(
        html.contains("note: &lt;script&gt;alert(1)&lt;/script&gt;&amp;amp; a &lt; b<br/>next"),
        "{html}"
    );
    assert!(html.contains("station name: a &lt; b<br/>"), "{html}");
    // A name is plain text.
    assert_eq!(of("Placemark", "name"), "1");
    let note = document.descendants().find(|node| {
        node.attribute("name") == Some("note")
            && node.has_tag_name(("http://www.opengis.net/kml/2.2", "SimpleData"))
    });
    assert!(note.unwrap().text().unwrap().starts_with("<script>"));
}

#[test]
fn a_deviation_that_nobody_noted_is_not_nil() {
    let sighting = |sd: Option<&str>| hingeline::notebook::Sighting {
        station: "s".to_owned(),
        number: 1,
        bearing: Some("040".to_owned()),
        vertical: Some("05".to_owned()),
        up: true,
        level_m: Some("120".to_owned()),
        distance_sd_m: sd.map(str::to_owned),
        north: hingeline::notebook::North::True,
        ..hingeline::notebook::Sighting::default()
    };
    for (sd, wanted) in [(None, None), (Some("2"), Some(2.0))] {
        let mut book = Writing::default();
        let place = station(1, Some((-3.7, 52.7)));
        book.write("s", hingeline::notebook::Body::Station(place));
        book.write("g", hingeline::notebook::Body::Sighting(sighting(sd)));
        let text = geojson::write(&all(&Pages::of(&book.ledger)));
        let json: Value = serde_json::from_str(&text).unwrap();
        let properties = &json["features"][1]["properties"];
        assert_eq!(properties["level_distance_m"], 120.0);
        assert_eq!(properties["level_distance_sd_m"].as_f64(), wanted);
        assert_eq!(properties["rise_sd_m"].is_null(), sd.is_none());
    }
}

#[test]
fn csv_is_what_rfc_4180_asks_for() {
    let over = all(&Pages::of(&demo()));
    for sheet in over.sheets() {
        let text = csv::write(sheet);
        assert!(text.ends_with("\r\n") && !text.starts_with('\u{feff}'));
        assert!(!text.replace("\r\n", "").contains('\r'));
        let rows = fields(&text);
        let heads = sheet.heads();
        assert_eq!(rows.len(), sheet.len() + 1);
        let heading: Vec<String> = heads.iter().map(|head| head.heading()).collect();
        assert_eq!(rows[0], heading);
        for (nth, row) in rows[1..].iter().enumerate() {
            let cells = sheet.cells(nth);
            let written = cells.iter().map(|cell| cell.written().into_owned());
            let read: Vec<String> = row
                .iter()
                .map(|field| csv::unguarded(field).to_owned())
                .collect();
            assert_eq!(read, written.collect::<Vec<_>>());
        }
    }
}

#[test]
fn the_dictionary_says_what_the_files_have() {
    let over = all(&Pages::of(&demo()));
    let dictionary = fields(&dictionary::write(&over));
    assert_eq!(dictionary[0], dictionary::HEADING);
    let of_table = |table: &str, column: usize| -> Vec<String> {
        let lines = dictionary.iter().skip(1);
        lines
            .filter(|line| line[0] == table && !line[1].is_empty())
            .map(|line| line[column].clone())
            .collect()
    };
    for sheet in over.sheets() {
        assert_eq!(fields(&csv::write(sheet))[0], of_table(sheet.name(), 2));
    }
    let json: Value = serde_json::from_str(&geojson::write(&over)).unwrap();
    let document = kml::write(&over);
    let document = roxmltree::Document::parse(&document).unwrap();
    for sheet in over.placed() {
        let mut keys = of_table(sheet.name(), 3);
        let schema = document.descendants().find(|node| {
            node.tag_name().name() == "Schema" && node.attribute("id") == Some(sheet.name())
        });
        let fields = schema.unwrap().children().filter(|node| node.is_element());
        let fields: Vec<&str> = fields
            .map(|field| field.attribute("name").unwrap())
            .collect();
        assert_eq!(fields, keys);
        keys.sort();
        let what = sheet.name().trim_end_matches('s');
        let explained = json["hand_over"]["properties"][what].as_object().unwrap();
        let mut named: Vec<String> = explained.keys().cloned().collect();
        named.sort();
        assert_eq!(named, keys);
    }
    // A blank hand-over has the same columns: a reader can learn them without a book.
    assert_eq!(dictionary::lines(&over), dictionary::lines(&blank()));
}

/// The numbers of a row's dials, by name.
fn numbers(row: &dial_table::Row) -> Vec<(&'static str, f64)> {
    let read = [
        ("strike", &row.strike),
        ("dip", &row.dip),
        ("toward", &row.toward),
        ("trend", &row.trend),
        ("plunge", &row.plunge),
        ("rake", &row.rake),
    ];
    read.into_iter()
        .filter_map(|(name, text)| Some((name, text.as_deref()?.parse().unwrap())))
        .collect()
}

#[test]
fn the_shots_are_read_back_as_a_table_of_dials_shot_by_shot() {
    for pages in [Pages::of(&demo()), Pages::of(&small().ledger)] {
        let over = HandOver::of(&pages, &Wanted::default(), Made::default());
        let text = csv::write(over.shots());
        let table = dial_table::Table::open(text.as_bytes()).unwrap();
        let rows: Vec<dial_table::Row> = table.map(|row| row.unwrap()).collect();
        let mut shots = Vec::new();
        let stations = pages
            .stations()
            .iter()
            .filter(|page| !page.line().is_struck_out());
        let lines = stations
            .flat_map(|page| {
                page.readings()
                    .iter()
                    .map(move |line| (Some(page.line()), line))
            })
            .chain(pages.strays().map(|line| (None, line)));
        for (station, line) in lines.filter(|(_, line)| !line.is_struck_out()) {
            let reading = line.reading().unwrap();
            for shot in reading.shots.iter().filter(|shot| !shot.struck_out) {
                shots.push((station, reading, shot));
            }
        }
        assert_eq!(rows.len(), shots.len());
        for (row, (station, reading, shot)) in rows.iter().zip(shots) {
            let name = match station {
                Some(station) => format!("{}·{}", station.number(), reading.number),
                None => reading.number.to_string(),
            };
            assert_eq!(row.reading, name);
            assert_eq!(
                row.side.as_deref(),
                shot.side.as_deref().filter(|_| shot.toward.is_none())
            );
            let mut stood: Vec<(&str, f64)> = [
                ("strike", &shot.strike),
                ("dip", &shot.dip),
                ("toward", &shot.toward),
                ("trend", &shot.trend),
                ("plunge", &shot.plunge),
                ("rake", &shot.rake),
            ]
            .into_iter()
            .filter_map(|(name, text)| Some((name, text.as_deref()?.parse().unwrap())))
            .collect();
            for (dial, deg) in &mut stood {
                if *dial == "plunge" && shot.up {
                    *deg = -*deg;
                }
            }
            assert_eq!(numbers(row), stood, "{name}");
        }
    }
}

#[test]
fn a_dial_as_a_person_typed_it_stays_as_it_stood() {
    let mut book = Writing::default();
    let shots = vec![plane_shot("361", "95", "SE"), plane_shot("N45E", "30½", "")];
    book.write(
        "r",
        hingeline::notebook::Body::Reading(reading("s", 1, "bedding", Form::Plane, shots)),
    );
    let over = all(&Pages::of(&book.ledger));
    let rows = fields(&csv::write(over.shots()));
    let place = |name: &str| rows[0].iter().position(|head| head == name).unwrap();
    let stood: Vec<(&str, &str)> = rows[1..]
        .iter()
        .map(|row| (&*row[place("strike (deg)")], &*row[place("dip (deg)")]))
        .collect();
    assert_eq!(stood, [("361", "95"), ("N45E", "30½")]);
}

/// The names of an element's children, in order.
fn children<'a>(node: roxmltree::Node<'a, 'a>) -> Vec<&'a str> {
    let elements = node.children().filter(roxmltree::Node::is_element);
    elements.map(|child| child.tag_name().name()).collect()
}

/// Whether names stand in the order of a sequence, each at most once.
fn in_sequence(names: &[&str], sequence: &[&str]) -> bool {
    let places: Option<Vec<usize>> = names
        .iter()
        .map(|name| sequence.iter().position(|known| known == name))
        .collect();
    places.is_some_and(|places| places.windows(2).all(|pair| pair[0] < pair[1]))
}

/// The order of a waypoint's children by the schema of GPX 1.1 (`wptType`, from memory).
const WAYPOINT: [&str; 19] = [
    "ele",
    "time",
    "magvar",
    "geoidheight",
    "name",
    "cmt",
    "desc",
    "src",
    "link",
    "sym",
    "type",
    "fix",
    "sat",
    "hdop",
    "vdop",
    "pdop",
    "ageofdgpsdata",
    "dgpsid",
    "extensions",
];

#[test]
fn gpx_has_the_placed_stations_as_its_schema_wants_them() {
    let over = all(&Pages::of(&small().ledger));
    let text = gpx::write(&over);
    let document = roxmltree::Document::parse(&text).unwrap();
    let root = document.root_element();
    assert_eq!(
        root.tag_name().namespace(),
        Some("http://www.topografix.com/GPX/1/1")
    );
    assert_eq!(root.attribute("version"), Some("1.1"));
    assert!(root.attribute("creator").is_some());
    let waypoints: Vec<_> = root
        .children()
        .filter(|node| node.tag_name().name() == "wpt")
        .collect();
    assert_eq!(waypoints.len(), Format::Gpx.holds(&over.account).stations);
    for waypoint in &waypoints {
        assert!(
            in_sequence(&children(*waypoint), &WAYPOINT),
            "{:?}",
            children(*waypoint)
        );
        let number = |name: &str| waypoint.attribute(name).unwrap().parse::<f64>().unwrap();
        assert!(
            (-90.0..=90.0).contains(&number("lat")) && (-180.0..180.0).contains(&number("lon"))
        );
    }
    let text_of = |name: &str| {
        let node = waypoints[0]
            .children()
            .find(|node| node.tag_name().name() == name);
        node.and_then(|node| node.text()).unwrap_or_default()
    };
    assert_eq!(text_of("ele"), "411.5");
    assert_eq!(text_of("time"), "2026-06-14T08:00:00Z");
    assert_eq!(text_of("name"), "1");
}

#[test]
fn a_station_on_the_antimeridian_is_within_the_schema() {
    let mut book = Writing::default();
    book.write(
        "s",
        hingeline::notebook::Body::Station(station(1, Some((180.0, -16.5)))),
    );
    let text = gpx::write(&all(&Pages::of(&book.ledger)));
    assert!(text.contains("lon=\"-180\""), "{text}");
}

/// The order of a placemark's children by the schema of KML 2.2 (`AbstractFeatureType`, `PlacemarkType`, from memory).
const PLACEMARK: [&str; 19] = [
    "name",
    "visibility",
    "open",
    "author",
    "link",
    "address",
    "AddressDetails",
    "phoneNumber",
    "Snippet",
    "description",
    "LookAt",
    "TimeStamp",
    "styleUrl",
    "Style",
    "Region",
    "Metadata",
    "ExtendedData",
    "Point",
    "LineString",
];

#[test]
fn kml_has_a_placemark_for_every_row_with_its_columns() {
    let over = all(&Pages::of(&small().ledger));
    let text = kml::write(&over);
    let document = roxmltree::Document::parse(&text).unwrap();
    let root = document.root_element();
    assert_eq!(
        root.tag_name().namespace(),
        Some("http://www.opengis.net/kml/2.2")
    );
    let folders: Vec<_> = document
        .descendants()
        .filter(|node| node.tag_name().name() == "Folder")
        .collect();
    assert_eq!(folders.len(), 3);
    for (folder, sheet) in folders.iter().zip(over.placed()) {
        let placemarks: Vec<_> = folder
            .children()
            .filter(|node| node.tag_name().name() == "Placemark")
            .collect();
        assert_eq!(placemarks.len(), sheet.len());
        for (nth, placemark) in placemarks.iter().enumerate() {
            assert!(
                in_sequence(&children(*placemark), &PLACEMARK),
                "{:?}",
                children(*placemark)
            );
            let coordinates = placemark
                .descendants()
                .find(|node| node.tag_name().name() == "coordinates")
                .and_then(|node| node.text());
            let wanted = sheet
                .point(nth)
                .map(|p| format!("{},{}", p.longitude, p.latitude));
            assert_eq!(coordinates.map(str::to_owned), wanted);
            let heads = sheet.heads();
            let cells = sheet.cells(nth);
            let filled = heads
                .iter()
                .zip(&cells)
                .filter(|(_, cell)| !cell.written().is_empty());
            let filled: Vec<(String, String)> = filled
                .map(|(head, cell)| {
                    let written = match cell {
                        Cell::Flag(flag) => u8::from(*flag).to_string(),
                        other => other.written().into_owned(),
                    };
                    (head.key(), written)
                })
                .collect();
            let data = placemark
                .descendants()
                .filter(|node| node.tag_name().name() == "SimpleData");
            let data: Vec<(String, String)> = data
                .map(|node| {
                    let name = node.attribute("name").unwrap().to_owned();
                    (name, node.text().unwrap_or_default().to_owned())
                })
                .collect();
            assert_eq!(data, filled);
        }
    }
}

#[test]
fn every_format_makes_its_files_of_an_empty_book_too() {
    let over = blank();
    for format in Format::ALL {
        let files = format.files(&over, "empty");
        assert_eq!(files.len(), if format == Format::Csv { 5 } else { 1 });
        assert!(files.iter().all(|file| !file.text.is_empty()));
    }
}

#[test]
fn geojson_fits_the_published_schema() {
    let path =
        Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/geojson/FeatureCollection.json");
    let schema: Value = serde_json::from_str(&fs::read_to_string(path).unwrap()).unwrap();
    let schema = jsonschema::validator_for(&schema).unwrap();
    for pages in [
        Pages::of(&demo()),
        Pages::of(&small().ledger),
        Pages::default(),
    ] {
        let json: Value = serde_json::from_str(&geojson::write(&all(&pages))).unwrap();
        let faults: Vec<String> = schema.iter_errors(&json).map(|e| e.to_string()).collect();
        assert_eq!(faults, Vec::<String>::new());
    }
    // The schema does find a fault.
    let wrong = serde_json::json!({"type": "FeatureCollection", "features": [
        {"type": "Feature", "properties": {}, "geometry": {"type": "Point", "coordinates": [1.0]}}
    ]});
    assert!(!schema.is_valid(&wrong));
}
