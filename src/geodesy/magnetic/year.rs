//! A date as a decimal year.

use crate::geodesy::error::{Error, Kind, within};

use super::{VALID_FROM_YEAR, VALID_UNTIL_YEAR};

/// The years that a field book may name: 1900 to 2100.
const YEARS: (f64, f64) = (1_900.0, 2_100.0);

/// A date as the year and the fraction of it that has passed.
///
/// # Examples
/// ```
/// use hingeline::geodesy::magnetic::DecimalYear;
/// let day = DecimalYear::from_text("2019-05-15")?;
/// assert_eq!(format!("{:.3}", day.year()), "2019.367");
/// # Ok::<(), hingeline::geodesy::Error>(())
/// ```
///
/// # References
/// MIL-PRF-89500B, section 3.2: the days passed since the year began over the days of that year.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DecimalYear {
    year: f64,
    /// Whether it stands for a whole day, which ends later than it begins.
    day: bool,
}

impl DecimalYear {
    /// From a day of the calendar; the decimal year is that of its beginning.
    ///
    /// # Errors
    /// No such day, or a year before 1900 or after 2100.
    pub fn from_ymd(year: i32, month: u32, day: u32) -> Result<Self, Error> {
        within("year", f64::from(year), YEARS.0, YEARS.1, "")?;
        let leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
        let months = [
            31,
            if leap { 29 } else { 28 },
            31,
            30,
            31,
            30,
            31,
            31,
            30,
            31,
            30,
            31,
        ];
        let no_date = || {
            Error::from(Kind::Date {
                text: format!("{year:04}-{month:02}-{day:02}"),
            })
        };
        let index = month.checked_sub(1).ok_or_else(no_date)? as usize;
        let length = *months.get(index).ok_or_else(no_date)?;
        if day < 1 || length < day {
            return Err(no_date());
        }
        let passed = months[..index].iter().sum::<u32>() + day - 1;
        let days: u32 = months.iter().sum();
        Ok(Self {
            year: f64::from(year) + f64::from(passed) / f64::from(days),
            day: true,
        })
    }

    /// From a decimal year.
    ///
    /// # Errors
    /// Before 1900, after 2100, or not a number.
    pub fn from_year(year: f64) -> Result<Self, Error> {
        Ok(Self {
            year: within("year", year, YEARS.0, YEARS.1, "")?,
            day: false,
        })
    }

    /// From a text: a day `2026-11-25`, a moment `2026-11-25T14:03:00+01:00`, or a decimal year `2026.9`.
    ///
    /// A moment counts as the day that stands in it, in the time zone it was written in: within a day declination moves
    /// far less than its uncertainty.
    ///
    /// # Errors
    /// None of these, no such day, or a year before 1900 or after 2100.
    pub fn from_text(text: &str) -> Result<Self, Error> {
        let no_date = || {
            Error::from(Kind::Date {
                text: text.to_owned(),
            })
        };
        let text = text.trim();
        let digits = |part: &str, count: usize| {
            (part.len() == count && part.bytes().all(|b| b.is_ascii_digit()))
                .then(|| part.parse::<u32>().ok())
                .flatten()
        };
        let (date, time) = match text.find(['T', 't', ' ']) {
            Some(at) => (&text[..at], Some(&text[at + 1..])),
            None => (text, None),
        };
        if let Some(time) = time {
            let is_time = time.len() >= 5
                && time.bytes().take(2).all(|b| b.is_ascii_digit())
                && time
                    .bytes()
                    .all(|b| b.is_ascii_digit() || b"+-:.,Zz".contains(&b));
            if !is_time {
                return Err(no_date());
            }
        }
        let parts: Vec<&str> = date.split('-').collect();
        if let [year, month, day] = parts[..] {
            let parsed = (digits(year, 4), digits(month, 2), digits(day, 2));
            let (Some(year), Some(month), Some(day)) = parsed else {
                return Err(no_date());
            };
            let year = i32::try_from(year).map_err(|_| no_date())?;
            return match Self::from_ymd(year, month, day) {
                Err(e) if e.is_no_date() => Err(no_date()),
                other => other,
            };
        }
        let is_year = time.is_none() && date.bytes().all(|b| b.is_ascii_digit() || b == b'.');
        if !is_year {
            return Err(no_date());
        }
        Self::from_year(date.parse().map_err(|_| no_date())?)
    }

    /// The year with its fraction.
    #[must_use]
    pub fn year(self) -> f64 {
        self.year
    }

    /// Whether it is outside the years that the magnetic model is made for.
    ///
    /// A decimal year is a moment, and 2030.0, the very end of the model, is still within; the day that begins then is not.
    #[must_use]
    pub fn is_out_of_date(self) -> bool {
        let ended = if self.day {
            self.year >= VALID_UNTIL_YEAR
        } else {
            self.year > VALID_UNTIL_YEAR
        };
        self.year < VALID_FROM_YEAR || ended
    }
}
