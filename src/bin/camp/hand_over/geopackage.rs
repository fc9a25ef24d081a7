//! The hand-over as a GeoPackage (OGC 12-128r18, version 1.3): a layer a table, with what every column means.
//!
//! Names, numbers and rules are those of the standard: clause 1.1.1 (application id, version), 1.1.2 and 2.1 (the tables
//! about layers), 2.1.3 (how a geometry is written), and the extensions `gpkg_schema` (what columns mean) and `gpkg_rtree_index`
//! (where the geometries are; annex F.3, with the triggers that version 1.4 recommends to older packages too).

use hingeline::exchange::hand_over::{Cell, HandOver, Head, Kind, Point, Sheet, dictionary};
use rusqlite::types::Value;
use rusqlite::{Connection, Result, params, params_from_iter};

/// `GPKG` as a number.
const APPLICATION_ID: i64 = 0x4750_4B47;

/// Version 1.3.0.
const USER_VERSION: i64 = 10_300;

/// WGS 84, longitude and latitude in degrees.
const WGS_84: i64 = 4326;

/// The tables that every package has, as the standard's annex C defines them.
const TABLES: &str = "
CREATE TABLE gpkg_spatial_ref_sys (
  srs_name TEXT NOT NULL, srs_id INTEGER PRIMARY KEY, organization TEXT NOT NULL,
  organization_coordsys_id INTEGER NOT NULL, definition TEXT NOT NULL, description TEXT);
CREATE TABLE gpkg_contents (
  table_name TEXT NOT NULL PRIMARY KEY, data_type TEXT NOT NULL, identifier TEXT UNIQUE, description TEXT DEFAULT '',
  last_change DATETIME NOT NULL DEFAULT (strftime('%Y-%m-%dT%H:%M:%fZ','now')),
  min_x DOUBLE, min_y DOUBLE, max_x DOUBLE, max_y DOUBLE, srs_id INTEGER,
  CONSTRAINT fk_gc_r_srs_id FOREIGN KEY (srs_id) REFERENCES gpkg_spatial_ref_sys(srs_id));
CREATE TABLE gpkg_geometry_columns (
  table_name TEXT NOT NULL, column_name TEXT NOT NULL, geometry_type_name TEXT NOT NULL, srs_id INTEGER NOT NULL,
  z TINYINT NOT NULL, m TINYINT NOT NULL,
  CONSTRAINT pk_geom_cols PRIMARY KEY (table_name, column_name),
  CONSTRAINT uk_gc_table_name UNIQUE (table_name),
  CONSTRAINT fk_gc_tn FOREIGN KEY (table_name) REFERENCES gpkg_contents(table_name),
  CONSTRAINT fk_gc_srs FOREIGN KEY (srs_id) REFERENCES gpkg_spatial_ref_sys (srs_id));
CREATE TABLE gpkg_extensions (
  table_name TEXT, column_name TEXT, extension_name TEXT NOT NULL, definition TEXT NOT NULL, scope TEXT NOT NULL,
  CONSTRAINT ge_tce UNIQUE (table_name, column_name, extension_name));
CREATE TABLE gpkg_data_columns (
  table_name TEXT NOT NULL, column_name TEXT NOT NULL, name TEXT, title TEXT, description TEXT, mime_type TEXT,
  constraint_name TEXT,
  CONSTRAINT pk_gdc PRIMARY KEY (table_name, column_name),
  CONSTRAINT gdc_tn UNIQUE (table_name, name));
CREATE TABLE gpkg_data_column_constraints (
  constraint_name TEXT NOT NULL, constraint_type TEXT NOT NULL, value TEXT, min NUMERIC, min_is_inclusive BOOLEAN,
  max NUMERIC, max_is_inclusive BOOLEAN, description TEXT,
  CONSTRAINT gdcc_ntv UNIQUE (constraint_name, constraint_type, value));
INSERT INTO gpkg_extensions VALUES
  ('gpkg_data_columns', NULL, 'gpkg_schema', 'http://www.geopackage.org/spec131/#extension_schema', 'read-write'),
  ('gpkg_data_column_constraints', NULL, 'gpkg_schema', 'http://www.geopackage.org/spec131/#extension_schema', 'read-write');
";

/// WGS 84 as well-known text (OGC 01-009), as the standard's table 3 gives it.
const WGS_84_TEXT: &str = "GEOGCS[\"WGS 84\",DATUM[\"WGS_1984\",SPHEROID[\"WGS 84\",6378137,298.257223563,AUTHORITY[\"EPSG\",\"7030\"]],\
    AUTHORITY[\"EPSG\",\"6326\"]],PRIMEM[\"Greenwich\",0,AUTHORITY[\"EPSG\",\"8901\"]],UNIT[\"degree\",0.0174532925199433,\
    AUTHORITY[\"EPSG\",\"9122\"]],AUTHORITY[\"EPSG\",\"4326\"]]";

/// The index by place of a layer `<t>`, as annex F.3 words it.
const INDEX: &str =
    "CREATE VIRTUAL TABLE \"rtree_<t>_geom\" USING rtree(id, minx, maxx, miny, maxy)";

/// The triggers of annex F.3. The sixth there sets the columns of the layer, which has none of these; meant are the index's.
const TRIGGERS: &str = "
CREATE TRIGGER \"rtree_<t>_geom_insert\" AFTER INSERT ON \"<t>\"
  WHEN (NEW.geom NOT NULL AND NOT ST_IsEmpty(NEW.geom))
BEGIN
  INSERT OR REPLACE INTO \"rtree_<t>_geom\" VALUES (
    NEW.fid, ST_MinX(NEW.geom), ST_MaxX(NEW.geom), ST_MinY(NEW.geom), ST_MaxY(NEW.geom));
END;
CREATE TRIGGER \"rtree_<t>_geom_update2\" AFTER UPDATE OF geom ON \"<t>\"
  WHEN OLD.fid = NEW.fid AND (NEW.geom ISNULL OR ST_IsEmpty(NEW.geom))
BEGIN
  DELETE FROM \"rtree_<t>_geom\" WHERE id = OLD.fid;
END;
CREATE TRIGGER \"rtree_<t>_geom_update4\" AFTER UPDATE ON \"<t>\"
  WHEN OLD.fid != NEW.fid AND (NEW.geom ISNULL OR ST_IsEmpty(NEW.geom))
BEGIN
  DELETE FROM \"rtree_<t>_geom\" WHERE id IN (OLD.fid, NEW.fid);
END;
CREATE TRIGGER \"rtree_<t>_geom_update5\" AFTER UPDATE ON \"<t>\"
  WHEN OLD.fid != NEW.fid AND (NEW.geom NOTNULL AND NOT ST_IsEmpty(NEW.geom))
BEGIN
  DELETE FROM \"rtree_<t>_geom\" WHERE id = OLD.fid;
  INSERT OR REPLACE INTO \"rtree_<t>_geom\" VALUES (
    NEW.fid, ST_MinX(NEW.geom), ST_MaxX(NEW.geom), ST_MinY(NEW.geom), ST_MaxY(NEW.geom));
END;
CREATE TRIGGER \"rtree_<t>_geom_update6\" AFTER UPDATE OF geom ON \"<t>\"
  WHEN OLD.fid = NEW.fid AND (NEW.geom NOTNULL AND NOT ST_IsEmpty(NEW.geom))
    AND (OLD.geom NOTNULL AND NOT ST_IsEmpty(OLD.geom))
BEGIN
  UPDATE \"rtree_<t>_geom\" SET minx = ST_MinX(NEW.geom), maxx = ST_MaxX(NEW.geom),
    miny = ST_MinY(NEW.geom), maxy = ST_MaxY(NEW.geom) WHERE id = NEW.fid;
END;
CREATE TRIGGER \"rtree_<t>_geom_update7\" AFTER UPDATE OF geom ON \"<t>\"
  WHEN OLD.fid = NEW.fid AND (NEW.geom NOTNULL AND NOT ST_IsEmpty(NEW.geom))
    AND (OLD.geom ISNULL OR ST_IsEmpty(OLD.geom))
BEGIN
  INSERT INTO \"rtree_<t>_geom\" VALUES (
    NEW.fid, ST_MinX(NEW.geom), ST_MaxX(NEW.geom), ST_MinY(NEW.geom), ST_MaxY(NEW.geom));
END;
CREATE TRIGGER \"rtree_<t>_geom_delete\" AFTER DELETE ON \"<t>\"
  WHEN OLD.geom NOT NULL
BEGIN
  DELETE FROM \"rtree_<t>_geom\" WHERE id = OLD.fid;
END;
";

/// The whole package, as the bytes of its file.
pub(super) fn write(over: &HandOver) -> Result<Vec<u8>> {
    // The file is made in memory and handed on as a whole: there is nothing to roll back.
    let mut package = Connection::open_in_memory()?;
    package.execute_batch(TABLES)?;
    package.pragma_update(None, "application_id", APPLICATION_ID)?;
    package.pragma_update(None, "user_version", USER_VERSION)?;
    let systems = [
        ("Undefined Cartesian", -1, "NONE", -1, "undefined"),
        ("Undefined geographic", 0, "NONE", 0, "undefined"),
        ("WGS 84", WGS_84, "EPSG", WGS_84, WGS_84_TEXT),
    ];
    for (name, id, organization, number, definition) in systems {
        package.execute(
            "INSERT INTO gpkg_spatial_ref_sys VALUES (?1, ?2, ?3, ?4, ?5, NULL)",
            params![name, id, organization, number, definition],
        )?;
    }
    for sheet in over.placed() {
        layer(&package, sheet, true)?;
    }
    layer(&package, over.shots(), false)?;
    for line in dictionary::lines(over) {
        package.execute(
            "INSERT INTO gpkg_data_columns VALUES (?1, ?2, ?3, ?4, ?5, NULL, NULL)",
            params![
                line.table,
                line.head.key(),
                line.head.key(),
                line.head.heading(),
                line.head.meaning
            ],
        )?;
    }
    Ok(package.serialize("main")?.to_vec())
}

fn type_of(kind: Kind) -> &'static str {
    match kind {
        Kind::Text => "TEXT",
        Kind::Number => "DOUBLE",
        Kind::Whole => "INTEGER",
        Kind::Flag => "BOOLEAN",
    }
}

/// A name as SQL has it; ours are letters, digits and underscores.
fn quoted(name: &str) -> String {
    format!("\"{}\"", name.replace('"', "\"\""))
}

/// One table, with its geometry where it has one.
fn layer(package: &Connection, sheet: &dyn Sheet, placed: bool) -> Result<()> {
    let heads = sheet.heads();
    let columns: Vec<String> = heads
        .iter()
        .map(|head| format!("{} {}", quoted(&head.key()), type_of(head.kind)))
        .collect();
    let geometry = if placed { "geom POINT, " } else { "" };
    let table = quoted(sheet.name());
    package.execute_batch(&format!(
        "CREATE TABLE {table} (fid INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL, {geometry}{})",
        columns.join(", ")
    ))?;
    let points: Vec<Point> = (0..sheet.len())
        .filter_map(|row| sheet.point(row))
        .collect();
    let bound = |of: fn(&Point) -> f64, better: fn(f64, f64) -> f64| {
        points.iter().map(of).reduce(better).filter(|_| placed)
    };
    package.execute(
        "INSERT INTO gpkg_contents (table_name, data_type, identifier, description, min_x, min_y, max_x, max_y, srs_id)
         VALUES (?1, ?2, ?1, ?3, ?4, ?5, ?6, ?7, ?8)",
        params![
            sheet.name(),
            if placed { "features" } else { "attributes" },
            sheet.row_meaning(),
            bound(|p| p.longitude, f64::min),
            bound(|p| p.latitude, f64::min),
            bound(|p| p.longitude, f64::max),
            bound(|p| p.latitude, f64::max),
            placed.then_some(WGS_84),
        ],
    )?;
    if placed {
        package.execute(
            "INSERT INTO gpkg_geometry_columns VALUES (?1, 'geom', 'POINT', ?2, 0, 0)",
            params![sheet.name(), WGS_84],
        )?;
    }
    rows(package, sheet, &heads, placed)?;
    if placed {
        spatial_index(package, sheet)?;
    }
    Ok(())
}

/// The index by place of a layer, and the triggers by which whoever changes the layer keeps it: they call functions that the
/// programs of others bring along, so they come last.
fn spatial_index(package: &Connection, sheet: &dyn Sheet) -> Result<()> {
    package.execute_batch(&INDEX.replace("<t>", sheet.name()))?;
    let mut insert = package.prepare(&format!(
        "INSERT INTO \"rtree_{}_geom\" VALUES (?1, ?2, ?2, ?3, ?3)",
        sheet.name()
    ))?;
    let points = (0..sheet.len()).filter_map(|row| Some((row, sheet.point(row)?)));
    for (row, point) in points {
        // The rows went in in this order, and the first has the number 1.
        let fid = i64::try_from(row + 1).unwrap_or(i64::MAX);
        insert.execute(params![fid, point.longitude, point.latitude])?;
    }
    package.execute_batch(&TRIGGERS.replace("<t>", sheet.name()))?;
    package.execute(
        "INSERT INTO gpkg_extensions VALUES (?1, 'geom', 'gpkg_rtree_index', 'http://www.geopackage.org/spec131/#extension_rtree', 'write-only')",
        [sheet.name()],
    )?;
    Ok(())
}

fn rows(package: &Connection, sheet: &dyn Sheet, heads: &[Head], placed: bool) -> Result<()> {
    let mut names: Vec<String> = heads.iter().map(|head| quoted(&head.key())).collect();
    if placed {
        names.insert(0, "geom".to_owned());
    }
    let marks = vec!["?"; names.len()].join(", ");
    let mut insert = package.prepare(&format!(
        "INSERT INTO {} ({}) VALUES ({marks})",
        quoted(sheet.name()),
        names.join(", ")
    ))?;
    for row in 0..sheet.len() {
        let mut values: Vec<Value> = Vec::with_capacity(names.len());
        if placed {
            let point = sheet.point(row);
            values.push(point.map_or(Value::Null, |point| Value::Blob(geometry(&point))));
        }
        values.extend(sheet.cells(row).iter().map(value));
        insert.execute(params_from_iter(values))?;
    }
    Ok(())
}

fn value(cell: &Cell<'_>) -> Value {
    match cell {
        Cell::Nothing => Value::Null,
        // A text in SQLite ends at NUL for many readers.
        Cell::Text(text) => Value::Text(text.replace('\0', "\u{2400}")),
        Cell::Number(number) => Value::Real(*number),
        Cell::Whole(number) => Value::Integer(i64::try_from(*number).unwrap_or(i64::MAX)),
        Cell::Flag(flag) => Value::Integer(i64::from(*flag)),
    }
}

/// A point as the standard's binary geometry: `GP`, version 0, little-endian without an envelope, the system, then WKB.
fn geometry(point: &Point) -> Vec<u8> {
    let mut blob = vec![b'G', b'P', 0, 0b0000_0001];
    // The number of the system is well within 32 bits.
    blob.extend(i32::try_from(WGS_84).unwrap_or_default().to_le_bytes());
    blob.push(1);
    blob.extend(1_u32.to_le_bytes());
    blob.extend(point.longitude.to_le_bytes());
    blob.extend(point.latitude.to_le_bytes());
    blob
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_point_is_longitude_before_latitude() {
        let blob = geometry(&Point {
            longitude: -3.5,
            latitude: 52.75,
            height_m: Some(411.0),
        });
        assert_eq!(blob.len(), 8 + 5 + 16);
        assert_eq!(&blob[..8], [0x47, 0x50, 0, 1, 0xE6, 0x10, 0, 0]);
        assert_eq!(&blob[13..21], (-3.5_f64).to_le_bytes());
        assert_eq!(&blob[21..], 52.75_f64.to_le_bytes());
    }
}
