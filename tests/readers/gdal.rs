//! GeoJSON, KML, GPX and GeoPackage as GDAL/OGR reads them: its counts, its coordinates and its attributes against ours.

use std::path::Path;
use std::process::Command;

use hingeline::exchange::hand_over::{Kind, Sheet};
use serde_json::Value;

use crate::{Handed, texts};

/// What GDAL reads of a layer, written by it as GeoJSON with all its digits.
#[track_caller]
fn read(path: &Path, layer: Option<&str>, filter: Option<&str>) -> Vec<Value> {
    let mut command = Command::new("ogr2ogr");
    command.args([
        "-f",
        "GeoJSONSeq",
        "-lco",
        "RS=NO",
        "-lco",
        "COORDINATE_PRECISION=15",
        // The moments are compared as texts, as they stand in the file.
        "-mapFieldType",
        "DateTime=String",
        "/vsistdout/",
    ]);
    if path.extension().is_some_and(|ending| ending == "geojson") {
        command.args(["-oo", "DATE_AS_STRING=YES"]);
    }
    if let Some(filter) = filter {
        command.args(["-where", filter]);
    }
    command.arg(path).args(layer);
    let out = command.output().expect("ogr2ogr of GDAL is there");
    let said = String::from_utf8_lossy(&out.stderr).into_owned();
    // A table without places has no reference system, which the writer of the answer remarks.
    let complaints: Vec<&str> = said
        .lines()
        .filter(|line| !line.trim().is_empty() && !line.contains("No SRS set on layer"))
        .collect();
    assert!(
        out.status.success() && complaints.is_empty(),
        "{}: {said}",
        path.display()
    );
    let text = String::from_utf8(out.stdout).unwrap();
    text.lines()
        .map(|line| serde_json::from_str(line).unwrap())
        .collect()
}

/// What is said about a file: `ogrinfo` opens it without a complaint.
#[track_caller]
fn info(path: &Path) -> String {
    let out = Command::new("ogrinfo")
        .args(["-ro", "-so", "-al"])
        .arg(path)
        .output()
        .expect("ogrinfo of GDAL is there");
    let (said, complaint) = (
        String::from_utf8_lossy(&out.stdout),
        String::from_utf8_lossy(&out.stderr),
    );
    assert!(
        out.status.success() && complaint.trim().is_empty(),
        "{}: {complaint}",
        path.display()
    );
    said.into_owned()
}

/// The coordinates that GDAL found, longitude and latitude; `None` for a feature without a place.
fn coordinates(feature: &Value) -> Option<(f64, f64)> {
    let position = feature["geometry"]["coordinates"].as_array()?;
    Some((position[0].as_f64()?, position[1].as_f64()?))
}

#[track_caller]
fn same_places(features: &[Value], sheet: &dyn Sheet) {
    assert_eq!(features.len(), sheet.len(), "{}", sheet.name());
    for (row, feature) in features.iter().enumerate() {
        let wanted = sheet
            .point(row)
            .map(|point| (point.longitude, point.latitude));
        assert_eq!(coordinates(feature), wanted, "{} {row}", sheet.name());
    }
}

/// Every filled cell is an attribute with the same value; GDAL gives the rest as null or not at all.
#[track_caller]
fn same_values(features: &[Value], sheet: &dyn Sheet) {
    let kinds: Vec<Kind> = sheet.heads().iter().map(|head| head.kind).collect();
    for (row, feature) in features.iter().enumerate() {
        for ((key, text), kind) in texts(sheet, row).into_iter().zip(&kinds) {
            let found = &feature["properties"][&key];
            let same = match (kind, found) {
                (_, Value::Null) => text.is_empty(),
                (Kind::Number | Kind::Whole, Value::Number(number)) => {
                    number.as_f64() == text.parse().ok()
                }
                (Kind::Flag, Value::Bool(flag)) => text == flag.to_string(),
                (Kind::Flag, Value::Number(number)) => {
                    number.as_i64() == Some(i64::from(text == "true"))
                }
                (_, Value::String(found)) => *found == text,
                _ => false,
            };
            assert!(
                same,
                "{} row {row}, {key}: `{text}` was read as {found}",
                sheet.name()
            );
        }
    }
}

#[test]
fn geojson_is_read_with_every_place_and_value() {
    for handed in Handed::both("geojson", ".geojson") {
        let said = info(&handed.path);
        assert!(said.contains("WGS 84"), "{said}");
        for sheet in handed.over.placed() {
            let what = sheet.name().trim_end_matches('s');
            let features = read(&handed.path, None, Some(&format!("what = '{what}'")));
            same_places(&features, sheet);
            same_values(&features, sheet);
        }
    }
}

#[test]
fn kml_is_read_with_every_place_and_value() {
    for handed in Handed::both("kml", ".kml") {
        info(&handed.path);
        for sheet in handed.over.placed() {
            let features = read(&handed.path, Some(sheet.name()), None);
            same_places(&features, sheet);
            same_values(&features, sheet);
        }
    }
}

#[test]
fn gpx_is_read_with_every_placed_station() {
    for handed in Handed::both("gpx", ".gpx") {
        info(&handed.path);
        let stations = handed.over.stations();
        let placed: Vec<usize> = (0..stations.len())
            .filter(|row| stations.point(*row).is_some())
            .collect();
        let features = read(&handed.path, Some("waypoints"), None);
        assert_eq!(features.len(), placed.len());
        for (feature, row) in features.iter().zip(placed) {
            let point = stations.point(row).unwrap();
            assert_eq!(
                coordinates(feature),
                Some((point.longitude, point.latitude))
            );
            assert_eq!(feature["properties"]["name"], stations.called(row));
            assert_eq!(feature["properties"]["ele"].as_f64(), point.height_m);
        }
    }
}

#[test]
fn a_geopackage_is_read_with_every_layer_place_and_value() {
    for handed in Handed::both("geopackage", ".gpkg") {
        let said = info(&handed.path);
        for layer in ["stations", "readings", "sightings", "shots"] {
            assert!(said.contains(&format!("Layer name: {layer}")), "{said}");
        }
        assert!(said.contains("WGS 84"), "{said}");
        for sheet in handed.over.placed() {
            let features = read(&handed.path, Some(sheet.name()), None);
            same_places(&features, sheet);
            same_values(&features, sheet);
        }
        let shots = read(&handed.path, Some("shots"), None);
        assert_eq!(shots.len(), handed.over.shots().len());
        same_values(&shots, handed.over.shots());
        has_its_index_by_place(&handed);
    }
}

/// One number that GDAL answers to a question to a package.
#[track_caller]
fn asked(path: &Path, sql: &str) -> i64 {
    let out = Command::new("ogr2ogr")
        .args(["-f", "CSV", "/vsistdout/"])
        .arg(path)
        .args(["-sql", sql])
        .output()
        .expect("ogr2ogr of GDAL is there");
    let said = String::from_utf8_lossy(&out.stdout).into_owned();
    let complaint = String::from_utf8_lossy(&out.stderr);
    assert!(out.status.success(), "{sql}: {complaint}");
    let answer = said.lines().nth(1).unwrap_or_default().trim_matches('"');
    answer
        .parse()
        .unwrap_or_else(|_| panic!("{sql}: {said}{complaint}"))
}

/// GDAL takes the index by place for one, every place is in it, and it is kept when GDAL changes the layer.
#[track_caller]
fn has_its_index_by_place(handed: &Handed) {
    for sheet in handed.over.placed() {
        let name = sheet.name();
        let ask = |sql: &str| asked(&handed.path, &sql.replace("<t>", name));
        assert_eq!(ask("SELECT HasSpatialIndex('<t>', 'geom') AS n"), 1);
        let places = (0..sheet.len()).filter(|&row| sheet.point(row).is_some());
        let places = i64::try_from(places.count()).unwrap();
        assert_eq!(ask("SELECT COUNT(*) AS n FROM \"rtree_<t>_geom\""), places);
        // The index rounds to 32 bits, outwards.
        let held = "SELECT COUNT(*) AS n FROM \"<t>\" AS t JOIN \"rtree_<t>_geom\" AS r ON t.fid = r.id \
                 WHERE ST_MinX(t.geom) BETWEEN r.minx AND r.maxx AND ST_MinY(t.geom) BETWEEN r.miny AND r.maxy \
                 AND r.maxx - r.minx < 0.0001 AND r.maxy - r.miny < 0.0001";
        assert_eq!(ask(held), places);
    }
    let sheet = handed.over.stations();
    let places: Vec<(usize, f64)> = (0..sheet.len())
        .filter_map(|row| Some((row + 1, sheet.point(row)?.longitude)))
        .collect();
    let (fid, x) = places[0];
    let (other, other_x) = *places
        .iter()
        .find(|place| place.1 != x)
        .expect("two places");
    let changed = handed.path.with_extension("changed.gpkg");
    std::fs::copy(&handed.path, &changed).unwrap();
    let change = |sql: &str| {
        let sql = sql.replace("<fid>", &fid.to_string());
        let out = Command::new("ogrinfo")
            .arg(&changed)
            .args(["-sql", &sql])
            .output()
            .expect("ogrinfo of GDAL is there");
        let said = String::from_utf8_lossy(&out.stderr).into_owned();
        assert!(
            out.status.success() && said.trim().is_empty(),
            "{sql}: {said}"
        );
    };
    let inside = |x: f64| {
        let sql = format!(
            "SELECT COUNT(*) AS n FROM \"rtree_stations_geom\" WHERE id = {fid} AND minx <= {x} AND maxx >= {x}"
        );
        asked(&changed, &sql)
    };
    assert_eq!((inside(x), inside(other_x)), (1, 0));
    change(&format!(
        "UPDATE stations SET geom = (SELECT geom FROM stations WHERE fid = {other}) WHERE fid = <fid>"
    ));
    assert_eq!((inside(x), inside(other_x)), (0, 1));
    change("UPDATE stations SET geom = NULL WHERE fid = <fid>");
    assert_eq!(inside(other_x), 0);
    change(&format!(
        "UPDATE stations SET geom = (SELECT geom FROM stations WHERE fid = {other}) WHERE fid = <fid>"
    ));
    assert_eq!(inside(other_x), 1);
    change("DELETE FROM stations WHERE fid = <fid>");
    assert_eq!(inside(other_x), 0);
}

#[test]
fn csv_is_read_with_its_heading() {
    for handed in Handed::both("csv", "") {
        for sheet in handed.over.sheets() {
            let path = handed.path.join(format!("{}.csv", sheet.name()));
            let features = read(&path, None, None);
            assert_eq!(features.len(), sheet.len(), "{}", sheet.name());
            let headings: Vec<String> = sheet.heads().iter().map(|head| head.heading()).collect();
            for (row, feature) in features.iter().enumerate() {
                for (heading, (_, text)) in headings.iter().zip(texts(sheet, row)) {
                    let found = feature["properties"][heading].as_str().unwrap_or_default();
                    let found = found.strip_prefix('\'').unwrap_or(found);
                    assert_eq!(found, text, "{} row {row}, {heading}", sheet.name());
                }
            }
        }
    }
}
