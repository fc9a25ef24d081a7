//! Moments as schemas want them: UTC, ISO 8601.

use crate::notebook::{instant_s, utc_text};

/// What a clock showed, in UTC to the second: `2026-06-14T12:20:22Z`; `None` where it is no moment of the years 1 to 9999.
pub(super) fn utc(at: &str) -> Option<String> {
    let number = |from: usize, to: usize| at.get(from..to)?.parse::<u32>().ok();
    let in_range = (1..=12).contains(&number(5, 7)?)
        && (1..=31).contains(&number(8, 10)?)
        && number(11, 13)? < 24
        && number(14, 16)? < 60
        && number(17, 19)? < 61;
    if !in_range {
        return None;
    }
    utc_text(instant_s(at)?)
}

#[cfg(test)]
mod tests {
    use super::utc;

    #[test]
    fn the_examples_of_rfc_3339_in_utc() {
        // RFC 3339, section 5.8.
        for (at, wanted) in [
            ("1985-04-12T23:20:50.52Z", "1985-04-12T23:20:50Z"),
            ("1996-12-19T16:39:57-08:00", "1996-12-20T00:39:57Z"),
            ("1937-01-01T12:00:27.87+00:20", "1937-01-01T11:40:27Z"),
            ("1990-12-31T23:59:60Z", "1991-01-01T00:00:00Z"),
        ] {
            assert_eq!(utc(at).as_deref(), Some(wanted));
        }
        assert_eq!(
            utc("2024-02-29T00:00:00Z").as_deref(),
            Some("2024-02-29T00:00:00Z")
        );
        for no in [
            "",
            "yesterday",
            "2026-13-01T00:00:00Z",
            "2026-06-14",
            "2026-06-14T25:00:00Z",
            "<b>T00:00:00Z",
        ] {
            assert_eq!(utc(no), None, "{no}");
        }
    }
}
