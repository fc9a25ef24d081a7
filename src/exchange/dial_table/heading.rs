//! The heading of a table: which column is which, and what separates them.

use super::Fault;
use super::rows::Fields;

/// A column that is read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Column {
    /// What the table calls the reading.
    Reading,
    /// The station.
    Station,
    /// The kind of structure.
    Kind,
    /// The strike end read.
    Strike,
    /// The dip.
    Dip,
    /// Where it dips to: compass letters or an azimuth.
    Toward,
    /// The side it dips to, where a table has it beside an azimuth.
    Side,
    /// The trend of the line.
    Trend,
    /// The plunge of the line.
    Plunge,
    /// The rake.
    Rake,
    /// Which way the beds young.
    Tops,
    /// Which way the hanging wall of a fault went.
    Sense,
    /// Standard deviation of the needle.
    SdBearing,
    /// Standard deviation of the inclination scale.
    SdInclination,
}

impl Column {
    /// All columns, in the order in which they are usually written.
    pub const ALL: [Self; 14] = [
        Self::Reading,
        Self::Station,
        Self::Kind,
        Self::Strike,
        Self::Dip,
        Self::Toward,
        Self::Side,
        Self::Trend,
        Self::Plunge,
        Self::Rake,
        Self::Tops,
        Self::Sense,
        Self::SdBearing,
        Self::SdInclination,
    ];

    /// Its heading.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Reading => "reading",
            Self::Station => "station",
            Self::Kind => "kind",
            Self::Strike => "strike",
            Self::Dip => "dip",
            Self::Toward => "toward",
            Self::Side => "side",
            Self::Trend => "trend",
            Self::Plunge => "plunge",
            Self::Rake => "rake",
            Self::Tops => "tops",
            Self::Sense => "sense",
            Self::SdBearing => "sd_bearing",
            Self::SdInclination => "sd_inclination",
        }
    }

    /// Whether a dial stands in it.
    fn is_dial(self) -> bool {
        matches!(
            self,
            Self::Strike
                | Self::Dip
                | Self::Toward
                | Self::Side
                | Self::Trend
                | Self::Plunge
                | Self::Rake
        )
    }

    /// The column of a heading: case, spaces or hyphens for `_`, and a unit in brackets make no difference; a dip direction is a
    /// `toward`.
    #[must_use]
    pub fn of_heading(text: &str) -> Option<Self> {
        let plain = text.split(['(', '[']).next().unwrap_or("");
        let plain: String = plain
            .trim()
            .trim_end_matches(['°', 'º'])
            .trim_end()
            .chars()
            .map(|c| match c {
                ' ' | '-' => '_',
                c => c.to_ascii_lowercase(),
            })
            .collect();
        match plain.as_str() {
            "dip_direction" | "dip_dir" | "dipdir" => Some(Self::Toward),
            plain => Self::ALL.into_iter().find(|column| column.name() == plain),
        }
    }
}

/// Where a column stands in this table.
#[derive(Clone, Debug)]
pub(super) struct Place {
    pub(super) column: Column,
    /// From 0.
    pub(super) index: usize,
}

impl Place {
    pub(super) fn fault(&self, line: u64, why: String) -> Fault {
        Fault {
            line,
            column: Some((self.index + 1, self.column.name().to_owned())),
            why,
        }
    }
}

/// So many of the columns that are not read are named.
const NAMED: usize = 5;

/// The columns of a table.
#[derive(Clone, Debug)]
pub(super) struct Heading {
    count: usize,
    places: Vec<Place>,
}

impl Heading {
    pub(super) fn read(fields: &Fields) -> Result<(Self, Vec<String>), Vec<Fault>> {
        let line = fields.line();
        let mut places: Vec<Place> = Vec::new();
        let mut faults = Vec::new();
        let mut ignored = Vec::new();
        let mut count = fields.count();
        // A separator at the end of the line is no further column.
        while count > 1 && fields.get(count - 1).trim().is_empty() {
            count -= 1;
        }
        for index in 0..count {
            let text = fields.get(index).trim();
            let Some(column) = Column::of_heading(text) else {
                ignored.push(if text.is_empty() {
                    format!("column {} (without a name)", index + 1)
                } else {
                    format!("`{}`", super::short(text))
                });
                continue;
            };
            let place = Place { column, index };
            if let Some(first) = places.iter().find(|first| first.column == column) {
                faults.push(place.fault(
                    line,
                    format!(
                        "the column `{}` is there twice, as number {} too; leave one",
                        column.name(),
                        first.index + 1
                    ),
                ));
            }
            places.push(place);
        }
        if !places.iter().any(|place| place.column.is_dial()) {
            let dials: Vec<&str> = Column::ALL
                .into_iter()
                .filter(|column| column.is_dial())
                .map(Column::name)
                .collect();
            faults.push(Fault {
                line,
                column: None,
                why: format!(
                    "no column is a dial; the first line names at least one of {}",
                    dials.join(", ")
                ),
            });
        }
        if !faults.is_empty() {
            return Err(faults);
        }
        let mut notes = Vec::new();
        if !ignored.is_empty() {
            let more = match ignored.len().saturating_sub(NAMED) {
                0 => String::new(),
                more => format!(" and {more} more"),
            };
            notes.push(format!(
                "not read: {}{more}; the columns read are {}",
                ignored[..ignored.len().min(NAMED)].join(", "),
                Column::ALL.map(Column::name).join(", ")
            ));
        }
        if !places.iter().any(|place| place.column == Column::Reading) {
            notes.push("no column `reading`: a reading is named by its line".to_owned());
        }
        Ok((Self { count, places }, notes))
    }

    /// How many columns there are, read or not.
    pub(super) fn count(&self) -> usize {
        self.count
    }

    /// The number, from 1, and the heading of the column at an index, from 0; no heading beyond the last or where it is not read.
    pub(super) fn name_at(&self, index: usize) -> (usize, String) {
        let place = self.places.iter().find(|place| place.index == index);
        let name = place.map_or("", |place| place.column.name());
        (index + 1, name.to_owned())
    }

    /// The columns that are read.
    pub(super) fn places(&self) -> &[Place] {
        &self.places
    }
}

/// What may separate the columns of a table; the first is what a table has that no count speaks for.
pub(in crate::exchange) const SEPARATORS: [u8; 4] = *b",;\t|";

/// The separator that counts most; of those that count alike the first.
pub(in crate::exchange) fn best_separator<Count: PartialOrd>(count: impl Fn(u8) -> Count) -> u8 {
    let [first, others @ ..] = SEPARATORS;
    let mut best = (first, count(first));
    for separator in others {
        let found = count(separator);
        if found > best.1 {
            best = (separator, found);
        }
    }
    best.0
}

/// What separates the columns: whichever makes most known headings of the line; a comma where none does.
pub(super) fn separator(line: &[u8]) -> u8 {
    let text = String::from_utf8_lossy(line);
    let known = |separator: u8| {
        text.split(char::from(separator))
            .filter(|part| Column::of_heading(part.trim().trim_matches('"')).is_some())
            .count()
    };
    best_separator(known)
}
