//! Columns and what stands in them: each is named, measured and explained once, beside the function that fills it.

use std::borrow::Cow;

/// What stands in a column.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Words.
    Text,
    /// A number with decimals.
    Number,
    /// A whole number.
    Whole,
    /// True or false.
    Flag,
}

impl Kind {
    /// Its name in the data dictionary.
    pub fn name(self) -> &'static str {
        match self {
            Self::Text => "text",
            Self::Number => "number",
            Self::Whole => "whole number",
            Self::Flag => "true or false",
        }
    }
}

/// What a number counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unit {
    /// Nothing: a text, a count.
    None,
    /// Degrees.
    Degrees,
    /// Metres.
    Metres,
}

impl Unit {
    /// How it is written; empty where there is none.
    pub fn name(self) -> &'static str {
        match self {
            Self::None => "",
            Self::Degrees => "deg",
            Self::Metres => "m",
        }
    }
}

/// A column without the function that fills it: what every writer, the data dictionary and a later reader know of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Head {
    /// Its name, in lower case and with underscores.
    pub name: &'static str,
    /// What its numbers count.
    pub unit: Unit,
    /// What stands in it.
    pub kind: Kind,
    /// What it means, in one or two sentences.
    pub meaning: &'static str,
}

impl Head {
    /// How it is headed in a table for people: its name and its unit in brackets, `dip (deg)`.
    pub fn heading(&self) -> String {
        match self.unit {
            Unit::None => self.name.to_owned(),
            unit => format!("{} ({})", self.name, unit.name()),
        }
    }

    /// How it is called where a name cannot hold brackets: with its unit behind it, `dip_deg`.
    pub fn key(&self) -> String {
        match self.unit {
            Unit::None => self.name.to_owned(),
            unit => format!("{}_{}", self.name, unit.name()),
        }
    }
}

/// A value as it is handed over.
#[derive(Clone, Debug, PartialEq)]
pub enum Cell<'a> {
    /// Nothing stands there.
    Nothing,
    /// Words.
    Text(Cow<'a, str>),
    /// A finite number.
    Number(f64),
    /// A whole number.
    Whole(u64),
    /// True or false.
    Flag(bool),
}

impl<'a> Cell<'a> {
    /// Words; nothing where they are empty.
    pub(super) fn text(text: &'a str) -> Self {
        if text.is_empty() {
            Self::Nothing
        } else {
            Self::Text(Cow::Borrowed(text))
        }
    }

    /// Words that were put together for it; nothing where they are empty.
    pub(super) fn words(text: String) -> Self {
        if text.is_empty() {
            Self::Nothing
        } else {
            Self::Text(Cow::Owned(text))
        }
    }

    /// Words that may not be there.
    pub(super) fn maybe(text: Option<&'a str>) -> Self {
        text.map_or(Self::Nothing, Self::text)
    }

    /// A number as it is; nothing where it is none, or not finite.
    pub(super) fn exact(number: Option<f64>) -> Self {
        number
            .filter(|number| number.is_finite())
            .map_or(Self::Nothing, Self::Number)
    }

    /// A number to the hundredth, which is finer than any dial and any tape.
    pub(super) fn hundredth(number: Option<f64>) -> Self {
        // `+ 0.0` so that a small number below zero is not written as minus nil.
        Self::exact(number.map(|number| (number * 100.0).round() / 100.0 + 0.0))
    }

    /// An azimuth to the hundredth, below 360.
    pub(super) fn azimuth(deg: Option<f64>) -> Self {
        Self::exact(deg.map(|deg| ((deg * 100.0).round() / 100.0).rem_euclid(360.0)))
    }

    /// A count.
    pub(super) fn count(count: usize) -> Self {
        Self::Whole(u64::try_from(count).unwrap_or(u64::MAX))
    }

    /// As it stands in a table of texts; empty where nothing does.
    pub fn written(&self) -> Cow<'_, str> {
        match self {
            Self::Nothing => Cow::Borrowed(""),
            Self::Text(text) => Cow::Borrowed(text),
            // Up to here all digits of the number tell something; beyond, its power of ten is shorter and says the same.
            Self::Number(number) if number.abs() >= 1e16 => Cow::Owned(format!("{number:e}")),
            Self::Number(number) => Cow::Owned(number.to_string()),
            Self::Whole(number) => Cow::Owned(number.to_string()),
            Self::Flag(true) => Cow::Borrowed("true"),
            Self::Flag(false) => Cow::Borrowed("false"),
        }
    }
}

/// A column and the function that fills it from a row.
pub(super) struct Column<T: 'static> {
    pub(super) head: Head,
    pub(super) of: for<'a> fn(&'a T) -> Cell<'a>,
}

impl<T> Column<T> {
    pub(super) const fn new(
        name: &'static str,
        kind: Kind,
        unit: Unit,
        meaning: &'static str,
        of: for<'a> fn(&'a T) -> Cell<'a>,
    ) -> Self {
        Self {
            head: Head {
                name,
                unit,
                kind,
                meaning,
            },
            of,
        }
    }

    pub(super) const fn text(
        name: &'static str,
        meaning: &'static str,
        of: for<'a> fn(&'a T) -> Cell<'a>,
    ) -> Self {
        Self::new(name, Kind::Text, Unit::None, meaning, of)
    }

    pub(super) const fn whole(
        name: &'static str,
        meaning: &'static str,
        of: for<'a> fn(&'a T) -> Cell<'a>,
    ) -> Self {
        Self::new(name, Kind::Whole, Unit::None, meaning, of)
    }

    pub(super) const fn flag(
        name: &'static str,
        meaning: &'static str,
        of: for<'a> fn(&'a T) -> Cell<'a>,
    ) -> Self {
        Self::new(name, Kind::Flag, Unit::None, meaning, of)
    }

    pub(super) const fn degrees(
        name: &'static str,
        meaning: &'static str,
        of: for<'a> fn(&'a T) -> Cell<'a>,
    ) -> Self {
        Self::new(name, Kind::Number, Unit::Degrees, meaning, of)
    }

    /// A number of degrees as it was typed, in words because a dial stays as it stood.
    pub(super) const fn degrees_text(
        name: &'static str,
        meaning: &'static str,
        of: for<'a> fn(&'a T) -> Cell<'a>,
    ) -> Self {
        Self::new(name, Kind::Text, Unit::Degrees, meaning, of)
    }

    /// A number of metres as it was typed.
    pub(super) const fn metres_text(
        name: &'static str,
        meaning: &'static str,
        of: for<'a> fn(&'a T) -> Cell<'a>,
    ) -> Self {
        Self::new(name, Kind::Text, Unit::Metres, meaning, of)
    }

    pub(super) const fn metres(
        name: &'static str,
        meaning: &'static str,
        of: for<'a> fn(&'a T) -> Cell<'a>,
    ) -> Self {
        Self::new(name, Kind::Number, Unit::Metres, meaning, of)
    }
}

/// A place on WGS 84 that is on the globe.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// Degrees east, −180 to 180.
    pub longitude: f64,
    /// Degrees north, −90 to 90.
    pub latitude: f64,
    /// Metres above the ellipsoid, where known.
    pub height_m: Option<f64>,
}

/// What a row of a table is about, and where it is.
pub(super) trait Located {
    /// The record's id, with what tells rows of one record apart.
    fn id(&self) -> Cow<'_, str>;
    /// Where it is; `None` for what has no place.
    fn point(&self) -> Option<Point>;
    /// How it is called: `47`, `47.3`.
    fn name(&self) -> String;
    /// When it was read or started, as the clock showed it.
    fn at(&self) -> &str;
}

/// A table as the writers see it, whatever its rows are.
pub trait Sheet {
    /// Its name: `stations`, `readings`, `shots`, `sightings`.
    fn name(&self) -> &'static str;
    /// What one row of it is.
    fn row_meaning(&self) -> &'static str;
    /// Its columns, in order.
    fn heads(&self) -> Vec<Head>;
    /// How many rows it has.
    fn len(&self) -> usize;
    /// Whether it has no rows.
    fn is_empty(&self) -> bool {
        self.len() == 0
    }
    /// What stands in a row, column by column; nothing beyond the last row.
    fn cells(&self, row: usize) -> Vec<Cell<'_>>;
    /// The record's id, with what tells rows of one record apart; empty beyond the last row.
    fn id(&self, row: usize) -> Cow<'_, str>;
    /// Where a row is; `None` for what has no place.
    fn point(&self, row: usize) -> Option<Point>;
    /// How a row is called: `47`, `47.3`.
    fn called(&self, row: usize) -> String;
    /// When it was read or started, as the clock showed it.
    fn at(&self, row: usize) -> &str;
}

/// A table of rows of one kind.
pub(super) struct Table<T: 'static> {
    pub(super) name: &'static str,
    pub(super) row_meaning: &'static str,
    pub(super) columns: &'static [Column<T>],
    pub(super) rows: Vec<T>,
}

impl<T: Located> Sheet for Table<T> {
    fn name(&self) -> &'static str {
        self.name
    }

    fn row_meaning(&self) -> &'static str {
        self.row_meaning
    }

    fn heads(&self) -> Vec<Head> {
        self.columns.iter().map(|column| column.head).collect()
    }

    fn len(&self) -> usize {
        self.rows.len()
    }

    fn cells(&self, row: usize) -> Vec<Cell<'_>> {
        let row = self.rows.get(row).into_iter();
        row.flat_map(|row| self.columns.iter().map(|column| (column.of)(row)))
            .collect()
    }

    fn id(&self, row: usize) -> Cow<'_, str> {
        self.rows.get(row).map_or(Cow::Borrowed(""), Located::id)
    }

    fn point(&self, row: usize) -> Option<Point> {
        self.rows.get(row)?.point()
    }

    fn called(&self, row: usize) -> String {
        self.rows.get(row).map(Located::name).unwrap_or_default()
    }

    fn at(&self, row: usize) -> &str {
        self.rows.get(row).map_or("", Located::at)
    }
}
