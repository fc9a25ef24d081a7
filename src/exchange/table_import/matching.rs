//! Which column is what: guessed from headings and values, each guess with its reason, and changed by a person at will.

use super::own;
use super::values;
use super::what::{What, plain};
use super::{Table, TableRow, short};
use crate::notebook::Form;
use crate::notebook::North;
use crate::notebook::kinds::KINDS;
use crate::orientation::notation::{Convention, Meant, dialled};
use crate::orientation::{Polarity, Wind};

/// What a column was taken for, and why.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Matched {
    /// What it is.
    pub what: What,
    /// Why, in words without a full stop.
    pub why: String,
}

/// Which number of a day like `06/07/2026` is the day.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DateOrder {
    /// 6 July.
    DayFirst,
    /// 7 June.
    MonthFirst,
}

/// To which stations the rows go.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum StationsOf {
    /// The table's stations are new ones; where their number is taken they get the next free one.
    #[default]
    New,
    /// A row goes to the book's station of its number, where there is one.
    Book,
}

/// What every column is, and what the table does not say itself.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Matching {
    /// Column by column.
    pub columns: Vec<Matched>,
    /// The north that bearings count from where no column says so.
    pub north: North,
    /// The declination that goes with it, degrees east positive, as typed.
    pub declination: Option<String>,
    /// What a strike and a dip without a side mean.
    pub pairs: Convention,
    /// The zone of UTM where no column says so.
    pub zone: Option<String>,
    /// The kind of structure where no column says so; empty: not said.
    pub kind: String,
    /// Which number of a day comes first.
    pub dates: Option<DateOrder>,
    /// To which stations the rows go.
    pub stations: StationsOf,
    /// The table of a hand-over that this is: `readings`.
    pub own: Option<&'static str>,
}

impl Matching {
    /// The first column that is this.
    pub fn column_of(&self, what: What) -> Option<usize> {
        self.columns.iter().position(|matched| matched.what == what)
    }

    /// Whether some column is this.
    pub fn has(&self, what: What) -> bool {
        self.column_of(what).is_some()
    }

    /// Makes a column what a person says. Where only one column can be that, the one that was is kept under its heading.
    ///
    /// # Degenerate input
    /// A column that is not there changes nothing.
    pub fn set(&mut self, column: usize, what: What) {
        if column >= self.columns.len() {
            return;
        }
        if !what.is_shared() {
            for (at, other) in self.columns.iter_mut().enumerate() {
                if at != column && other.what == what {
                    *other = Matched {
                        what: What::Kept,
                        why: format!("column {} is the {} now", column + 1, what.words()),
                    };
                }
            }
        }
        self.columns[column] = Matched {
            what,
            why: "you said so".to_owned(),
        };
    }

    /// Whether something is measured that counts from a north.
    pub fn asks_north(&self) -> bool {
        let bearing = |matched: &Matched| {
            matched.what.is_measured()
                && !matches!(
                    matched.what,
                    What::Dip | What::Plunge | What::Rake | What::Angle
                )
        };
        self.columns.iter().any(bearing) && !self.has(What::North)
    }

    /// Whether strikes stand there without anything that says the side.
    pub fn asks_pairs(&self) -> bool {
        let whole = |m: &Matched| matches!(m.what, What::Written | What::Plane);
        let side = self.has(What::Toward) || self.has(What::Side) || self.has(What::RightHand);
        // A hand-over's own strikes are those of the right-hand rule, or stand with what says so.
        self.own.is_none() && ((self.has(What::Strike) && !side) || self.columns.iter().any(whole))
    }

    /// Whether a place on a grid stands there without its zone.
    pub fn asks_zone(&self) -> bool {
        self.has(What::Easting) && self.has(What::Northing) && !self.has(What::Zone)
    }

    /// Whether something is measured and no column says what kind of structure it is.
    pub fn asks_kind(&self) -> bool {
        self.columns
            .iter()
            .any(|matched| matched.what.is_measured())
            && !self.has(What::Kind)
    }
}

/// So many values of a column are looked at.
const LOOKED_AT: usize = 200;

/// The row that names the columns: the one with most known headings among the first ten, else the first where it holds no number.
pub(super) fn heading_row(rows: &[TableRow]) -> Option<usize> {
    let known = |row: &TableRow| {
        let cells = row.cells.iter();
        cells
            .filter(|cell| What::of_heading(cell).is_some() || named_kind(cell).is_some())
            .count()
    };
    let mut best: Option<(usize, usize)> = None;
    for (at, row) in rows.iter().take(10).enumerate() {
        let filled = row
            .cells
            .iter()
            .filter(|cell| !cell.trim().is_empty())
            .count();
        let known = known(row);
        let enough = known >= 2 || (known == 1 && filled <= 2 && at == 0);
        if enough && best.is_none_or(|(_, most)| known > most) {
            best = Some((at, known));
        }
    }
    if let Some((at, _)) = best {
        return Some(at);
    }
    let first = rows.first()?;
    let is_value = |cell: &String| {
        let cell = cell.trim();
        values::finite(cell).is_some()
            || dialled(cell, Convention::RightHand, Meant::Either).is_some()
            || values::azimuth(cell).is_some()
            || values::date(cell, Some(DateOrder::DayFirst)).is_some()
    };
    (!first.cells.iter().any(is_value)).then_some(0)
}

/// The kind of structure that a heading names, as `bedding`.
pub(super) fn named_kind(heading: &str) -> Option<&'static str> {
    let plain = plain(heading);
    let simple =
        |kind: &&crate::notebook::kinds::Kind| matches!(kind.form, Form::Plane | Form::Line);
    let found = KINDS.iter().filter(simple).find(|kind| {
        kind.name == plain || plain.strip_suffix('s').is_some_and(|one| one == kind.name)
    });
    found.map(|kind| kind.name)
}

/// Whether a value can be read as what its column is.
fn fits(what: What, text: &str) -> bool {
    let whole = |meant| dialled(text, Convention::RightHand, meant).is_some();
    match what {
        What::Strike | What::Trend => values::azimuth(text).is_some(),
        What::Toward => values::azimuth(text).is_some() || Wind::read(text).is_some(),
        What::Side => Wind::read(text).is_some(),
        What::Dip => values::inclination(text).is_some(),
        What::Plunge => values::inclination(text).is_some_and(|(_, letters)| letters.is_none()),
        What::Rake | What::Angle => values::three(text).is_some(),
        What::Written => whole(Meant::Either),
        What::Plane => whole(Meant::Plane),
        What::Line => whole(Meant::Line),
        What::Latitude => values::coordinate(text, ['N', 'S'], 90.0).is_some(),
        What::Longitude => values::coordinate(text, ['E', 'W'], 180.0).is_some(),
        What::Easting | What::Northing => values::finite(text).is_some_and(|m| m.abs() >= 1000.0),
        What::Zone => values::zone(text).is_some(),
        What::Height | What::Accuracy => values::metres(text).is_some(),
        What::Tops => values::tops(text).is_some() || Polarity::read(text).is_some(),
        What::North => values::north(text).is_some(),
        What::Declination => crate::notebook::attitude::declination(text).is_some(),
        What::RightHand | What::StruckOut => values::flag(text).is_some(),
        What::Date => [DateOrder::DayFirst, DateOrder::MonthFirst]
            .iter()
            .any(|order| values::date(text, Some(*order)).is_some()),
        What::Time => values::time(text).is_some(),
        What::Sense => crate::orientation::faults::Sense::read(text).is_some(),
        _ => true,
    }
}

/// What each column most likely is, and why; a person looks it over before anything is taken.
///
/// # Degenerate input
/// A table without columns has a matching without columns.
pub fn guess(table: &Table) -> Matching {
    let mut matching = Matching {
        columns: Vec::with_capacity(table.headings.len()),
        north: North::Unknown,
        declination: None,
        pairs: Convention::RightHand,
        zone: None,
        kind: String::new(),
        dates: None,
        stations: StationsOf::New,
        own: None,
    };
    if let Some((sheet, whats)) = own::recognised(&table.headings) {
        matching.own = Some(sheet);
        // Where the table says which station it is, no number has to be looked up.
        let says_record = match sheet {
            "stations" => true,
            _ => table.headings.iter().any(|h| h.trim() == "station_record"),
        };
        if !says_record {
            matching.stations = StationsOf::Book;
        }
        if sheet == "readings" {
            matching.north = North::True;
        }
        let why = |what: What| match what {
            What::LeftOut => "a book works it out anew; the row keeps it",
            What::HandedOver => {
                "a hand-over of this app writes it so, and it is read back as it was"
            }
            _ => "a hand-over of this app writes it so",
        };
        matching.columns = whats
            .into_iter()
            .map(|what| match what {
                What::Station if says_record => What::HandedOver,
                what => what,
            })
            .map(|what| Matched {
                what,
                why: why(what).to_owned(),
            })
            .collect();
        return matching;
    }
    for column in 0..table.headings.len() {
        let matched = of_column(table, column, &matching);
        matching.columns.push(matched);
    }
    settle_azimuth(table, &mut matching);
    matching.dates = date_order(table, &matching);
    matching.pairs = pairs(table, &matching);
    matching.north = north(table, &matching);
    matching
}

fn kept(why: String) -> Matched {
    Matched {
        what: What::Kept,
        why,
    }
}

fn of_column(table: &Table, column: usize, so_far: &Matching) -> Matched {
    let heading = &table.headings[column];
    let samples = table.samples(column, LOOKED_AT);
    let fitting = |what: What| samples.iter().filter(|text| fits(what, text)).count();
    let all = samples.len();
    let shown = short(heading, 40);
    let by_heading = What::of_heading(heading);
    // A column that holds whole readings is one, whatever its heading: `bedding`, `plane`, `strike`.
    let whole = if matches!(by_heading, Some(What::Line)) {
        What::Line
    } else {
        match named_kind(heading).and_then(|name| KINDS.iter().find(|kind| kind.name == name)) {
            Some(kind) if kind.form == Form::Line => What::Line,
            Some(_) => What::Plane,
            None if by_heading == Some(What::Plane) => What::Plane,
            None => What::Written,
        }
    };
    let may_be_whole = by_heading.is_none_or(|what| what.is_measured());
    let is_whole = |text: &&&str| {
        // A day and a number with a decimal comma look alike; neither is a reading.
        fits(whole, text) && !fits(What::Date, text) && values::finite(text).is_none()
    };
    let readings = samples.iter().filter(is_whole).count();
    if may_be_whole && all > 0 && 10 * readings >= 8 * all {
        let why = match named_kind(heading) {
            Some(kind) => {
                format!("headed `{shown}`, and {readings} of {all} values are readings of {kind}")
            }
            None => format!("{readings} of {all} values are readings in one piece"),
        };
        return Matched { what: whole, why };
    }
    let Some(what) = by_heading else {
        return kept("no known heading, and no readings in it".to_owned());
    };
    if !what.is_shared()
        && let Some(first) = so_far.column_of(what)
    {
        return kept(format!(
            "headed like column {}, which is the {} already",
            first + 1,
            what.words()
        ));
    }
    let fit = fitting(what);
    if all > 0 && fit == 0 {
        return kept(format!(
            "headed `{shown}`, but no value reads as {}, as `{}`",
            what.words(),
            short(samples.first().copied().unwrap_or_default(), 20)
        ));
    }
    let why = if all == 0 {
        format!("headed `{shown}`; it is empty")
    } else if fit == all {
        format!("headed `{shown}`")
    } else {
        format!("headed `{shown}`; {fit} of {all} values can be read")
    };
    Matched { what, why }
}

/// `azimuth` is a strike, but beside a plunge and no dip it is a trend.
fn settle_azimuth(table: &Table, matching: &mut Matching) {
    let Some(column) = matching.column_of(What::Strike) else {
        return;
    };
    let heading = plain(&table.headings[column]);
    let is_open = matches!(heading.as_str(), "azimuth" | "az");
    if is_open
        && matching.has(What::Plunge)
        && !matching.has(What::Dip)
        && !matching.has(What::Trend)
    {
        matching.columns[column] = Matched {
            what: What::Trend,
            why: "an azimuth beside a plunge".to_owned(),
        };
    }
}

fn date_order(table: &Table, matching: &Matching) -> Option<DateOrder> {
    let column = matching.column_of(What::Date)?;
    let mut day_first = false;
    let mut month_first = false;
    for text in table.rows.iter().map(|row| row.cell(column)) {
        let as_day = values::date(text, Some(DateOrder::DayFirst)).is_some();
        let as_month = values::date(text, Some(DateOrder::MonthFirst)).is_some();
        day_first |= as_day && !as_month;
        month_first |= as_month && !as_day;
    }
    match (day_first, month_first) {
        (true, false) => Some(DateOrder::DayFirst),
        (false, true) => Some(DateOrder::MonthFirst),
        _ => None,
    }
}

/// What a pair of bare numbers means, by what the numbers can be.
fn pairs(table: &Table, matching: &Matching) -> Convention {
    let (mut strike_first, mut dip_first) = (0, 0);
    for (column, matched) in matching.columns.iter().enumerate() {
        if !matches!(matched.what, What::Written | What::Plane) {
            continue;
        }
        for text in table.samples(column, LOOKED_AT) {
            let found = dialled(text, Convention::StrikeDip, Meant::Plane);
            let Some(found) = found.filter(|d| d.side.is_none() && d.toward.is_none()) else {
                continue;
            };
            let deg = |text: Option<String>| text.as_deref().and_then(values::finite);
            match (deg(found.strike), deg(found.dip)) {
                (Some(first), Some(second)) if first > 90.0 && second <= 90.0 => strike_first += 1,
                (Some(first), Some(second)) if second > 90.0 && first <= 90.0 => dip_first += 1,
                _ => {}
            }
        }
    }
    if dip_first > strike_first {
        Convention::DipDirection
    } else {
        Convention::RightHand
    }
}

/// The north that a heading names: `strike (magnetic)`.
fn north(table: &Table, matching: &Matching) -> North {
    let measured = matching.columns.iter().zip(&table.headings);
    let named = measured.filter(|(matched, _)| matched.what.is_measured());
    for (_, heading) in named {
        let heading = heading.to_lowercase();
        let words: Vec<&str> = heading.split(|c: char| !c.is_alphanumeric()).collect();
        let has = |word: &str| words.contains(&word);
        if has("magnetic") || has("mag") {
            return North::Magnetic;
        }
        if has("true") {
            return North::True;
        }
        if has("grid") {
            return North::Grid;
        }
    }
    North::Unknown
}
