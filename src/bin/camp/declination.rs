//! `camp declination`: how far magnetic north is from true north, at a place on a day.

use std::io::{self, Write};
use std::time::{Duration, SystemTime, UNIX_EPOCH};

use clap::Args;
use hingeline::geodesy::magnetic::{
    DecimalYear, Field, HIGHEST_M, LOWEST_M, MODEL, VALID_FROM, VALID_UNTIL, Zone, field,
    field_beyond,
};
use serde::Serialize;

use crate::command::{DOUBTS, Format, MISUSE};

const HELP: &str = "\
Places are degrees on WGS 84, the latitude first:
  45.5 -7       north and east are positive
  45.5N 7W      letters for the hemisphere, before or after
  45°30'N 7°W   degrees, minutes and seconds; quote them for the shell

Declination is east positive: true bearing = magnetic bearing + declination.
Uncertainty is one standard deviation. A rock that turns the needle is no part of it.
Zones are by the horizontal field, which turns the needle:
  none          6000 nT and more
  caution       2000 nT to less than 6000 nT: a compass may be wrong by much
  blackout      less than 2000 nT: a compass shows nothing

With --format json the answer is one object, in degrees, nT and degrees a year:
  {\"declination\", \"uncertainty\", \"inclination\", \"horizontal_nt\", \"annual_change\", \"model\", \"valid_until\", \"zone\"},
   and \"out_of_date\": true where the date is outside the model's years

Exit code:
  0  the date is within the model's years
  1  it is not: the figure is drawn out in a straight line, and its uncertainty is more than it says
  2  misuse

Examples:
  camp declination 63.6 -19.6
  camp declination 63.6N 19.6W --date 2027-07-15 --height 900
  camp declination -45.1 168.2 --date 2027.5 --format json | jq .declination";

/// How far magnetic north is from true north
#[derive(Args)]
#[command(after_long_help = HELP)]
pub(crate) struct DeclinationArgs {
    /// Latitude, degrees, north positive
    #[arg(value_name = "LAT", allow_hyphen_values = true, value_parser = latitude)]
    latitude: f64,
    /// Longitude, degrees, east positive
    #[arg(value_name = "LON", allow_hyphen_values = true, value_parser = longitude)]
    longitude: f64,
    /// Height above the ellipsoid, metres; a height above the sea does as well
    #[arg(long, value_name = "METRES", default_value = "0", allow_negative_numbers = true, value_parser = height)]
    height: f64,
    /// The day, as 2026-11-25, or as a year with a fraction, 2026.9 [default: today]
    #[arg(long, value_name = "DATE", allow_negative_numbers = true, value_parser = date)]
    date: Option<(String, DecimalYear)>,
    /// How the answer is written
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
}

fn latitude(text: &str) -> Result<f64, String> {
    coordinate(text, "latitude", ['N', 'S'], [-90.0, 90.0])
}

fn longitude(text: &str) -> Result<f64, String> {
    coordinate(text, "longitude", ['E', 'W'], [-180.0, 360.0])
}

fn height(text: &str) -> Result<f64, String> {
    match text.parse() {
        Ok(metres) if (LOWEST_M..=HIGHEST_M).contains(&metres) => Ok(metres),
        Ok(metres) => Err(format!(
            "height `{metres}` is beyond the model; give {LOWEST_M} to {HIGHEST_M} m"
        )),
        Err(_) => Err(format!("`{text}` is no number of metres; write 850")),
    }
}

fn date(text: &str) -> Result<(String, DecimalYear), String> {
    match DecimalYear::from_text(text) {
        Ok(when) => Ok((text.trim().to_owned(), when)),
        Err(e) => Err(e.to_string()),
    }
}

/// Degrees, or degrees, minutes and seconds, with a sign or the letter of a hemisphere.
fn coordinate(
    text: &str,
    name: &str,
    [plus, minus]: [char; 2],
    [lo, hi]: [f64; 2],
) -> Result<f64, String> {
    let other = if plus == 'N' { ['E', 'W'] } else { ['N', 'S'] };
    let upper = text.trim().to_uppercase();
    if upper.contains(other) {
        return Err("the latitude comes first, then the longitude".to_owned());
    }
    let unreadable =
        || format!("`{text}` is no {name}; write 45.5, 45.5{plus}, 45.5{minus} or 45°30'{minus}");
    let letters: Vec<char> = upper.chars().filter(char::is_ascii_alphabetic).collect();
    let number = upper.trim_matches([plus, minus, ' ']);
    let (size, signed) = match number.strip_prefix(['-', '\u{2212}']) {
        Some(size) => (size, true),
        None => (number.strip_prefix('+').unwrap_or(number), false),
    };
    let negative = match letters[..] {
        [] => signed,
        [letter] if letter == plus && !signed => false,
        [letter] if letter == minus && !signed => true,
        _ => return Err(unreadable()),
    };
    let marks = ['°', 'º', '\'', '’', '′', '"', '”', '″', ' ', ':'];
    let parts: Vec<&str> = size.split(marks).filter(|part| !part.is_empty()).collect();
    if parts.is_empty() || parts.len() > 3 {
        return Err(unreadable());
    }
    let mut degrees = 0.0;
    for (i, part) in parts.iter().enumerate() {
        let digits = |c: char| c.is_ascii_digit() || c == '.' && i + 1 == parts.len();
        let value: f64 = match part.parse() {
            Ok(value) if part.chars().all(digits) => value,
            _ => return Err(unreadable()),
        };
        if i > 0 && value >= 60.0 {
            return Err(format!(
                "`{part}` in `{text}` is over 59; minutes and seconds end there"
            ));
        }
        degrees += value / [1.0, 60.0, 3_600.0][i];
    }
    let degrees = if negative { -degrees } else { degrees };
    if lo <= degrees && degrees <= hi {
        return Ok(degrees);
    }
    Err(format!(
        "{name} `{text}` is outside {lo:.0} to {hi:.0}; the latitude comes first, then the longitude, north and east positive"
    ))
}

/// Today, by the clock of this machine and in universal time.
fn today() -> Result<(String, DecimalYear), String> {
    date(&today_text()).map_err(|e| format!("the clock of this machine: {e}; give --date"))
}

/// Today by the clock of this machine, UTC, as `2026-11-25`.
pub(crate) fn today_text() -> String {
    now_text().chars().take(10).collect()
}

/// Now by the clock of this machine, UTC, as `2026-11-25T18:05:00Z`.
pub(crate) fn now_text() -> String {
    #[allow(clippy::disallowed_methods)]
    // a command that runs once: the moment it was asked at
    let since = SystemTime::now().duration_since(UNIX_EPOCH);
    let second = since.unwrap_or(Duration::ZERO).as_secs();
    let (year, month, day) = civil(second / 86_400);
    let (hour, minute) = (second / 3600 % 24, second / 60 % 60);
    format!(
        "{year:04}-{month:02}-{day:02}T{hour:02}:{minute:02}:{:02}Z",
        second % 60
    )
}

/// The day of the calendar so many days after 1970-01-01.
///
/// # References
/// Counting in eras of 400 years that begin on 1 March (common practice).
fn civil(days: u64) -> (u64, u64, u64) {
    let since = days + 719_468;
    let (era, of_era) = (since / 146_097, since % 146_097);
    let year = (of_era - of_era / 1_460 + of_era / 36_524 - of_era / 146_096) / 365;
    let of_year = of_era - (365 * year + year / 4 - year / 100);
    let from_march = (5 * of_year + 2) / 153;
    let day = of_year - (153 * from_march + 2) / 5 + 1;
    let month = if from_march < 10 {
        from_march + 3
    } else {
        from_march - 9
    };
    (era * 400 + year + u64::from(month <= 2), month, day)
}

/// Answers for the place; the exit code.
pub(crate) fn declination(args: &DeclinationArgs) -> io::Result<u8> {
    let known = args.date.clone().map_or_else(today, Ok);
    let found = known.and_then(|(day, when)| {
        let (latitude, longitude) = (args.latitude, args.longitude);
        let warning = match field(latitude, longitude, args.height, when) {
            Err(e) if e.is_out_of_date() => Some(e.to_string()),
            _ => None,
        };
        let found = field_beyond(latitude, longitude, args.height, when);
        found
            .map(|it| (day, warning, it))
            .map_err(|e| e.to_string())
    });
    let (day, warning, found) = match found {
        Ok(found) => found,
        Err(e) => {
            eprintln!("error: {e}\n\nFor more information, try '--help'.");
            return Ok(MISUSE);
        }
    };
    let mut out = io::stdout().lock();
    match args.format {
        Format::Text => write_text(&mut out, args, &day, warning.as_deref(), &found)?,
        Format::Json => {
            serde_json::to_writer(&mut out, &Answer::new(&found))?;
            writeln!(out)?;
        }
    }
    out.flush()?;
    Ok(if found.out_of_date { DOUBTS } else { 0 })
}

/// Degrees with their letter: 12.34° E.
fn lettered(deg: f64, decimals: usize, [plus, minus]: [&str; 2]) -> String {
    let written = format!("{:.decimals$}", deg.abs());
    let nil = written.chars().all(|c| c == '0' || c == '.');
    match deg {
        _ if nil => format!("{written}°"),
        deg if deg < 0.0 => format!("{written}° {minus}"),
        _ => format!("{written}° {plus}"),
    }
}

fn write_text(
    out: &mut impl Write,
    args: &DeclinationArgs,
    day: &str,
    warning: Option<&str>,
    found: &Field,
) -> io::Result<()> {
    if let Some(warning) = warning {
        writeln!(
            out,
            "OUT OF DATE: {warning}\n\
             What follows is such a figure: the change of the model's years drawn out in a straight line.\n"
        )?;
    }
    let deg = found.declination.deg();
    let at_least = if found.out_of_date { "at least " } else { "" };
    writeln!(
        out,
        "place        {}  {}, {} m, on {day}",
        lettered(args.latitude, 4, ["N", "S"]),
        lettered(args.longitude, 4, ["E", "W"]),
        args.height
    )?;
    writeln!(
        out,
        "declination  {} ± {at_least}{:.2}°: true bearing = magnetic bearing {} {:.2}°",
        lettered(deg, 2, ["E", "W"]),
        found.declination_sd_deg,
        if deg < 0.0 { '−' } else { '+' },
        deg.abs()
    )?;
    writeln!(
        out,
        "change       {} a year",
        lettered(found.annual.declination_deg, 2, ["E", "W"])
    )?;
    writeln!(
        out,
        "inclination  {}",
        lettered(found.inclination_deg, 2, ["down", "up"])
    )?;
    let zone = match found.zone {
        Zone::None => "no warning",
        Zone::Caution => "CAUTION ZONE, a compass may be wrong by much",
        Zone::Blackout => "BLACKOUT ZONE, a compass shows nothing",
    };
    writeln!(out, "horizontal   {:.0} nT: {zone}", found.horizontal_nt)?;
    writeln!(
        out,
        "model        {MODEL}, from {VALID_FROM} to {VALID_UNTIL}"
    )
}

#[derive(Serialize)]
struct Answer {
    declination: f64,
    uncertainty: f64,
    inclination: f64,
    horizontal_nt: f64,
    annual_change: f64,
    model: &'static str,
    valid_until: &'static str,
    zone: &'static str,
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    out_of_date: bool,
}

impl Answer {
    fn new(found: &Field) -> Self {
        let to = |value: f64, digits: f64| (value * digits).round() / digits;
        Self {
            declination: to(found.declination.deg(), 1e6),
            uncertainty: to(found.declination_sd_deg, 1e6),
            inclination: to(found.inclination_deg, 1e6),
            horizontal_nt: to(found.horizontal_nt, 1e3),
            annual_change: to(found.annual.declination_deg, 1e6),
            model: MODEL,
            valid_until: VALID_UNTIL,
            zone: found.zone.name(),
            out_of_date: found.out_of_date,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_calendar_is_right_at_its_corners() {
        for (days, want) in [
            (0, (1970, 1, 1)),
            (58, (1970, 2, 28)),
            (59, (1970, 3, 1)),
            (11_016, (2000, 2, 29)),
            (20_454, (2026, 1, 1)),
            (20_818, (2026, 12, 31)),
            (21_243, (2028, 2, 29)),
            (47_540, (2100, 2, 28)),
            (47_541, (2100, 3, 1)),
        ] {
            assert_eq!(civil(days), want, "{days}");
        }
    }

    #[test]
    fn a_coordinate_is_read_in_the_usual_forms() {
        for (text, want) in [
            ("45.5", 45.5),
            ("-45.5", -45.5),
            ("+7", 7.0),
            ("45.5N", 45.5),
            ("45.5 s", -45.5),
            ("S45.5", -45.5),
            ("45°30'N", 45.5),
            ("45°30′36″ S", -45.51),
            ("45:30", 45.5),
            ("-0°30'", -0.5),
            ("\u{2212}90", -90.0),
            ("90", 90.0),
        ] {
            let got = latitude(text).unwrap_or_else(|e| panic!("{text}: {e}"));
            assert!((got - want).abs() < 1e-9, "{text}: {got}");
        }
        assert_eq!(longitude("7.25W"), Ok(-7.25));
        assert_eq!(longitude("e 180"), Ok(180.0));
        assert_eq!(longitude("240"), Ok(240.0));
    }

    #[test]
    fn what_is_no_coordinate_is_said_to_be_none() {
        for text in [
            "",
            "north",
            "N",
            "-45S",
            "45NS",
            "45.5.5",
            "45.5°30'",
            "45°60'",
            "1e1",
            "nan",
            "91",
            "-90.1",
            "7E",
            "45 30 10 5",
            "--45",
            "4 5N6",
        ] {
            assert!(
                latitude(text).is_err(),
                "{text} was read as {:?}",
                latitude(text)
            );
        }
        assert!(longitude("45N").is_err_and(|e| e.contains("latitude comes first")));
        assert!(longitude("360.5").is_err() && longitude("180.5W").is_err());
        assert!(latitude("168").is_err_and(|e| e.contains("latitude comes first")));
    }
}
