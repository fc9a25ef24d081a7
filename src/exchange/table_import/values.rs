//! What a single cell says, by what its column is; nothing where it cannot be read as that.

use super::matching::DateOrder;
use crate::notebook::kinds::{self, KINDS};
use crate::notebook::{Form, North, Tops};
use crate::orientation::angle::padded;
use crate::orientation::notation::{Quadrant, quadrant, typed};
use crate::orientation::{Polarity, Wind};

/// An azimuth as it would have been typed: three digits, or by its quadrant.
pub(super) fn azimuth(text: &str) -> Option<String> {
    if let Some(Quadrant::Whole(_)) = quadrant(text) {
        let plain = text
            .chars()
            .filter(|c| c.is_ascii_alphanumeric() || matches!(c, '.' | ',' | '½'));
        return Some(plain.collect::<String>().to_ascii_uppercase());
    }
    let letters: String = text.chars().filter(char::is_ascii_alphabetic).collect();
    let axis = text
        .chars()
        .all(|c| c.is_ascii_alphabetic() || matches!(c, '-' | '–' | ' '));
    if axis {
        match letters.to_ascii_uppercase().as_str() {
            "NS" | "SN" => return Some("000".to_owned()),
            "EW" | "WE" => return Some("090".to_owned()),
            _ => {}
        }
    }
    typed(text).map(|number| padded(number.deg, 3))
}

/// An inclination as it would have been typed, two digits, and what letters stand behind it.
pub(super) fn inclination(text: &str) -> Option<(String, Option<Wind>)> {
    let number = text.trim_end_matches(|c: char| c.is_ascii_alphabetic());
    let letters = text.get(number.len()..).unwrap_or_default();
    let side = match letters {
        "" => None,
        letters => Some(Wind::read(letters)?),
    };
    Some((padded(typed(number)?.deg, 2), side))
}

/// Three digits for a rake or an angle between planes.
pub(super) fn three(text: &str) -> Option<String> {
    typed(text).map(|number| padded(number.deg, 3))
}

/// A plain number, for a height or an accuracy: a unit of metres behind it, or a sign before it.
pub(super) fn metres(text: &str) -> Option<f64> {
    let text = text.trim();
    let number = text
        .strip_suffix(['m', 'M'])
        .unwrap_or(text)
        .trim_end()
        .trim_start_matches('±');
    finite(number)
}

/// A number with a decimal point or comma; thousands in groups are taken together only where nothing else can be meant.
pub(super) fn finite(text: &str) -> Option<f64> {
    let text: String = text
        .trim()
        .chars()
        .filter(|c| !matches!(c, '\u{a0}' | '\u{202f}' | ' ' | '\'' | '’'))
        .map(|c| if c == '−' { '-' } else { c })
        .collect();
    let points = text.matches('.').count();
    let commas = text.matches(',').count();
    let plain = match (points, commas) {
        (0 | 1, 0) => text,
        (0, 1) => text.replace(',', "."),
        // Groups before decimals: 4,567,890.5 or 4.567.890,5.
        (0 | 1, _) if text.rfind('.') > text.rfind(',') || points == 0 => text.replace(',', ""),
        (_, 0 | 1) => text.replace('.', "").replace(',', "."),
        _ => return None,
    };
    let digits = plain.trim_start_matches(['+', '-']);
    let is_plain = !digits.is_empty()
        && digits.len() <= 24
        && digits.bytes().all(|b| b.is_ascii_digit() || b == b'.')
        && digits.bytes().any(|b| b.is_ascii_digit());
    if !is_plain {
        return None;
    }
    plain
        .parse::<f64>()
        .ok()
        .filter(|number| number.is_finite())
}

/// A latitude or longitude: decimal degrees, or degrees, minutes and seconds, with a sign or the letter of its side.
///
/// # Degenerate input
/// Over the limit, minutes or seconds over 59, a letter of the other axis: none.
pub(super) fn coordinate(text: &str, letters: [char; 2], limit_deg: f64) -> Option<f64> {
    let upper = text.trim().to_uppercase();
    let mut body = upper.as_str();
    let mut sign = 1.0;
    for (letter, turned) in [(letters[0], 1.0), (letters[1], -1.0)] {
        let rest = body
            .strip_suffix(letter)
            .or_else(|| body.strip_prefix(letter));
        if let Some(rest) = rest {
            body = rest.trim();
            sign = turned;
            break;
        }
    }
    if let Some(rest) = body.strip_prefix(['-', '−']) {
        body = rest;
        sign = -sign;
    }
    let marked = body.contains(['°', 'º', '\'', '′', '’', ':', ' ']);
    let parts: Vec<&str> = if marked {
        let signs = ['°', 'º', '\'', '′', '’', '"', '″', '”', ':', ' '];
        body.split(signs).filter(|part| !part.is_empty()).collect()
    } else {
        vec![body]
    };
    if parts.is_empty() || parts.len() > 3 {
        return None;
    }
    let mut deg = 0.0;
    for (place, (part, share)) in parts.iter().zip([1.0, 60.0, 3600.0]).enumerate() {
        let value = finite(part).filter(|value| *value >= 0.0)?;
        if place > 0 && value >= 60.0 {
            return None;
        }
        deg += value / share;
    }
    (deg <= limit_deg).then_some(sign * deg)
}

/// A zone of UTM: its number, and whether it lies in the south.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Zone {
    pub(super) number: u8,
    pub(super) south: bool,
    /// The letter could also be that of a band of the other half.
    pub(super) doubtful: bool,
}

/// `33N`, `33 S`, `33`, or with the letter of a band, `33V`; without a letter it lies in the north.
pub(super) fn zone(text: &str) -> Option<Zone> {
    let text = text.trim().to_ascii_uppercase();
    let text = text.strip_prefix("UTM").unwrap_or(&text).trim();
    let digits = text.trim_end_matches(|c: char| c.is_ascii_alphabetic());
    let letter = text.get(digits.len()..).unwrap_or_default();
    let number: u8 = digits.trim().parse().ok()?;
    if !(1..=60).contains(&number) {
        return None;
    }
    let (south, doubtful) = match letter {
        // Band N begins at the equator, so that both readings of N are the north.
        "" | "N" | "NORTH" => (false, false),
        "S" => (true, true),
        "SOUTH" => (true, false),
        // Bands C to M lie in the south, N to X in the north; there is no I and no O (MGRS).
        letter if letter.len() == 1 => match letter.as_bytes()[0] {
            b'I' | b'O' => return None,
            b'C'..=b'M' => (true, false),
            b'P'..=b'X' => (false, false),
            _ => return None,
        },
        _ => return None,
    };
    Some(Zone {
        number,
        south,
        doubtful,
    })
}

/// The north of its word.
pub(super) fn north(text: &str) -> Option<North> {
    match text.trim().to_ascii_lowercase().as_str() {
        "true" | "true north" | "geographic" | "t" => Some(North::True),
        "magnetic" | "magnetic north" | "mag" | "m" => Some(North::Magnetic),
        "grid" | "grid north" | "g" => Some(North::Grid),
        "unknown" => Some(North::Unknown),
        _ => None,
    }
}

/// How the beds lie.
pub(super) fn tops(text: &str) -> Option<Tops> {
    let found =
        Polarity::read(text).or_else(|| match text.trim().to_ascii_lowercase().as_str() {
            "o" | "ot" | "inverted" | "inverse" | "reversed" => Some(Polarity::Overturned),
            "normal" | "right way up" | "right side up" | "u" | "n" => Some(Polarity::Upright),
            "?" => Some(Polarity::Unknown),
            _ => None,
        })?;
    Some(match found {
        Polarity::Unknown => Tops::Unknown,
        Polarity::Upright => Tops::Upright,
        Polarity::Overturned => Tops::Overturned,
    })
}

/// Yes or no.
pub(super) fn flag(text: &str) -> Option<bool> {
    match text.trim().to_ascii_lowercase().as_str() {
        "true" | "yes" | "y" | "1" | "x" => Some(true),
        "false" | "no" | "n" | "0" => Some(false),
        _ => None,
    }
}

/// The kind of structure under which a text is kept: one of the trade's list, or a person's own with its form.
pub(super) fn kind(text: &str, form: Form) -> String {
    let plain = text.trim().to_lowercase().replace(['_', '-'], " ");
    let plain = match plain.as_str() {
        // Common practice: the surface of bedding is S0; other plain words for the same things.
        "s0" | "bed" | "beds" | "bedding plane" | "stratification" => "bedding",
        "joints" | "fracture" => "joint",
        "faults" | "fault plane" => "fault",
        "veins" => "vein",
        "dike" | "dykes" => "dyke",
        "lineation" | "linear" | "line" => "line",
        "hinge" | "fold axis" | "hinge line" => "fold hinge",
        "slickenline" | "slickenlines" | "striation" | "striae" => "slip line",
        other => other,
    };
    let of_form = |name: &str| {
        KINDS
            .iter()
            .any(|kind| kind.name == name && kind.form == form)
    };
    if of_form(plain) {
        return plain.to_owned();
    }
    if form == Form::PlaneWithLine {
        let with_line = format!("{plain} + line");
        if of_form(&with_line) {
            return with_line;
        }
    }
    let words = match text.trim() {
        "" => NOT_SAID,
        words => words,
    };
    kinds::own(words, form)
}

/// The kind of structure of a reading of which the table says none.
pub(super) const NOT_SAID: &str = "not said";

/// A day as `2026-06-14`, and the time behind it where there is one.
pub(super) fn date(text: &str, order: Option<DateOrder>) -> Option<(String, Option<String>)> {
    let text = text.trim();
    let end = text.find(['T', ' ']).unwrap_or(text.len());
    let (day, rest) = text.split_at(end);
    let rest = rest.trim_start_matches(['T', ' ']);
    let time = if rest.is_empty() {
        None
    } else {
        Some(self::time(rest)?)
    };
    let (separator, parts) = ['-', '/', '.'].into_iter().find_map(|separator| {
        let parts: Vec<&str> = day.split(separator).collect();
        (parts.len() == 3).then_some((separator, parts))
    })?;
    let number = |part: &str| -> Option<u16> {
        let plain = !part.is_empty() && part.bytes().all(|b| b.is_ascii_digit());
        plain.then(|| part.parse().ok())?
    };
    let [a, b, c] = [number(parts[0])?, number(parts[1])?, number(parts[2])?];
    let (year, month, day) = if parts[0].len() == 4 {
        (a, b, c)
    } else if parts[2].len() == 4 {
        match order {
            // Between points the day comes first wherever they are used (common practice).
            _ if separator == '.' => (c, b, a),
            Some(DateOrder::DayFirst) => (c, b, a),
            Some(DateOrder::MonthFirst) => (c, a, b),
            None => return None,
        }
    } else {
        return None;
    };
    let leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    let days = match month {
        2 => 28 + u16::from(leap),
        4 | 6 | 9 | 11 => 30,
        1..=12 => 31,
        _ => return None,
    };
    if !(1000..=9999).contains(&year) || day == 0 || day > days {
        return None;
    }
    Some((format!("{year:04}-{month:02}-{day:02}"), time))
}

/// A time of day as `10:30:00`, with its offset where it has one.
pub(super) fn time(text: &str) -> Option<String> {
    let text = text.trim();
    let end = text
        .find(|c: char| !(c.is_ascii_digit() || c == ':' || c == '.'))
        .unwrap_or(text.len());
    let (clock, zone) = text.split_at(end);
    let zone = match zone.trim() {
        "" => "-00:00".to_owned(),
        "Z" | "z" => "Z".to_owned(),
        zone if zone.len() == 6
            && zone.starts_with(['+', '-'])
            && zone.as_bytes()[3] == b':'
            && zone.bytes().filter(u8::is_ascii_digit).count() == 4 =>
        {
            zone.to_owned()
        }
        _ => return None,
    };
    let (whole, fraction) = match clock.split_once('.') {
        Some((whole, fraction)) => (whole, Some(fraction)),
        None => (clock, None),
    };
    let parts: Vec<&str> = whole.split(':').collect();
    let fine = (2..=3).contains(&parts.len())
        && parts.iter().all(|part| matches!(part.len(), 1 | 2))
        && fraction.is_none_or(|f| {
            parts.len() == 3 && (1..=9).contains(&f.len()) && f.bytes().all(|b| b.is_ascii_digit())
        });
    if !fine {
        return None;
    }
    let mut numbers = parts.iter().map(|part| part.parse::<u8>());
    let hour = numbers.next()?.ok().filter(|hour| *hour < 24)?;
    let minute = numbers.next()?.ok().filter(|minute| *minute < 60)?;
    let second = match numbers.next() {
        Some(second) => second.ok().filter(|second| *second < 60)?,
        None => 0,
    };
    let fraction = fraction.map_or_else(String::new, |f| format!(".{f}"));
    Some(format!("{hour:02}:{minute:02}:{second:02}{fraction}{zone}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_dial_is_read_as_it_would_have_been_typed() {
        for (text, wanted) in [
            ("45", Some("045")),
            ("45°", Some("045")),
            ("45,5", Some("045.5")),
            ("62½", Some("062.5")),
            ("n 45 e", Some("N45E")),
            ("E-W", Some("090")),
            ("361", Some("361")),
            ("NaN", None),
            ("1e308", None),
            ("=1+1", None),
        ] {
            assert_eq!(azimuth(text).as_deref(), wanted, "{text}");
        }
        assert_eq!(
            inclination("30 SE").map(|(dip, side)| (dip, side.map(Wind::name))),
            Some(("30".to_owned(), Some("SE")))
        );
        assert_eq!(inclination("30X"), None);
    }

    #[test]
    fn a_coordinate_is_read_in_every_usual_writing() {
        for (text, wanted) in [
            ("64.5", Some(64.5)),
            ("64,5", Some(64.5)),
            ("64.5N", Some(64.5)),
            ("64.5 S", Some(-64.5)),
            ("-64.5", Some(-64.5)),
            ("64°30'N", Some(64.5)),
            ("64° 30′ 0.0″ S", Some(-64.5)),
            ("N 64 30", Some(64.5)),
            ("64 60", None),
            ("95", None),
            ("64.5E", None),
            ("abc", None),
            ("1e308", None),
        ] {
            assert_eq!(coordinate(text, ['N', 'S'], 90.0), wanted, "{text}");
        }
    }

    /// The bands of UTM and the letters that are left out: NGA.STND.0037, Universal Grids (2014), from memory.
    #[test]
    fn a_zone_has_a_half() {
        let of = |text: &str| zone(text).map(|z| (z.number, z.south, z.doubtful));
        assert_eq!(of("33N"), Some((33, false, false)));
        assert_eq!(of("33 s"), Some((33, true, true)));
        assert_eq!(of("UTM 33V"), Some((33, false, false)));
        assert_eq!(of("33H"), Some((33, true, false)));
        assert_eq!(of("33"), Some((33, false, false)));
        assert_eq!(of("61N"), None);
        assert_eq!(of("33O"), None);
        assert_eq!(of("N33"), None);
    }

    #[test]
    fn numbers_in_groups_are_taken_together() {
        assert_eq!(finite("4 567 890,5"), Some(4_567_890.5));
        assert_eq!(finite("4,567,890.5"), Some(4_567_890.5));
        assert_eq!(finite("4.567.890,5"), Some(4_567_890.5));
        assert_eq!(finite("4,567,890"), Some(4_567_890.0));
        assert_eq!(finite("1,5"), Some(1.5));
        assert_eq!(finite("-"), None);
        assert_eq!(finite("1e308"), None);
        assert_eq!(finite("inf"), None);
    }

    #[test]
    fn a_day_is_read_where_its_order_is_known() {
        let of = |text: &str, order| date(text, order);
        let day = |text: &str| Some((text.to_owned(), None));
        assert_eq!(of("2026-06-14", None), day("2026-06-14"));
        assert_eq!(of("14.6.2026", None), day("2026-06-14"));
        assert_eq!(of("06/07/2026", None), None);
        assert_eq!(
            of("06/07/2026", Some(DateOrder::DayFirst)),
            day("2026-07-06")
        );
        assert_eq!(
            of("06/07/2026", Some(DateOrder::MonthFirst)),
            day("2026-06-07")
        );
        assert_eq!(of("2026-02-29", None), None);
        assert_eq!(of("2024-02-29", None), day("2024-02-29"));
        assert_eq!(of("31.04.2026", None), None);
        let at = |text: &str| of(text, None).and_then(|(_, time)| time);
        assert_eq!(
            at("2026-06-14T09:05:00+01:00").as_deref(),
            Some("09:05:00+01:00")
        );
        assert_eq!(at("2026-06-14 9:05").as_deref(), Some("09:05:00-00:00"));
        assert_eq!(
            at("2026-06-14T09:05:00.250Z").as_deref(),
            Some("09:05:00.250Z")
        );
        assert_eq!(of("2026-06-14 25:00", None), None);
    }

    #[test]
    fn a_kind_is_one_of_the_list_or_keeps_its_words() {
        assert_eq!(kind("Bedding", Form::Plane), "bedding");
        assert_eq!(kind("S0", Form::Plane), "bedding");
        assert_eq!(kind("bedding", Form::PlaneWithLine), "bedding + line");
        assert_eq!(kind("joint", Form::PlaneWithLine), "plane + line: joint");
        assert_eq!(kind("Gash", Form::Plane), "plane: Gash");
        assert_eq!(kind("", Form::Line), "line: not said");
        assert_eq!(kind("bedding", Form::Line), "line: bedding");
    }
}
