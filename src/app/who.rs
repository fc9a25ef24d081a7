//! Who, on which tablet and when, in words.

use super::written::day_words;
use crate::notebook::Stamp;

/// A tablet as a person can tell it from others: `this tablet`, or the first digits of its name.
///
/// # Degenerate input
/// An entry without a device is one that every tablet works out for itself: `every tablet`.
pub fn tablet(device: &str, own: &str) -> String {
    let (base, tab) = match device.split_once('/') {
        Some((base, _)) => (base, true),
        None => (device, false),
    };
    let own_base = own.split('/').next().unwrap_or_default();
    let name = match base {
        "" => return "every tablet".to_owned(),
        base if base == own_base => "this tablet".to_owned(),
        base => format!("tablet {}", base.chars().take(4).collect::<String>()),
    };
    if tab {
        format!("{name}, a second tab")
    } else {
        name
    }
}

/// The person's initials, or that there are none.
pub fn person(by: &str) -> String {
    if by.is_empty() {
        "no initials".to_owned()
    } else {
        by.to_owned()
    }
}

/// A moment as its clock wrote it: `14 June 2026, 11:52`.
///
/// # Degenerate input
/// What is no date is given as it stands; nothing is `no date`.
pub fn when(at: &str) -> String {
    let day = at.get(..10).filter(|d| d.as_bytes()[4] == b'-');
    match (day, at.get(11..16)) {
        (Some(day), Some(time)) => format!("{}, {time}", day_words(day)),
        (Some(day), None) => day_words(day),
        (None, _) if at.is_empty() => "no date".to_owned(),
        (None, _) => at.to_owned(),
    }
}

/// Who and which tablet: `KO, tablet 3f2a`.
pub fn author(stamp: &Stamp, own: &str) -> String {
    format!("{}, {}", person(&stamp.by), tablet(&stamp.device, own))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tablet_is_named_by_its_first_digits_and_ones_own_by_this() {
        let own = "0f0f0f0f-0000-4000-8000-000000000000";
        for (device, words) in [
            (own, "this tablet"),
            ("3f2a0f0f-0000-4000-8000-000000000000", "tablet 3f2a"),
            ("3f2a0f0f/12345678", "tablet 3f2a, a second tab"),
            ("", "every tablet"),
            ("ä", "tablet ä"),
        ] {
            assert_eq!(tablet(device, own), words);
        }
    }

    #[test]
    fn a_moment_is_read_as_it_was_written() {
        for (at, words) in [
            ("2026-06-14T11:52:00.000+02:00", "14 June 2026, 11:52"),
            ("2026-06-14", "14 June 2026"),
            ("", "no date"),
            ("about noon", "about noon"),
            ("ä-ö-ü ß ä-ö", "ä-ö-ü ß ä-ö"),
        ] {
            assert_eq!(when(at), words);
        }
    }
}
