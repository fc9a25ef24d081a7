//! Moments as schemas want them: UTC, ISO 8601.

use crate::notebook::instant_s;

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
    let second = instant_s(at)?;
    let (days, of_day) = (second.div_euclid(86_400), second.rem_euclid(86_400));
    // Days to the civil calendar: years begin in March, so that the leap day is the last.
    let shifted = days + 719_468;
    let (era, of_era) = (shifted.div_euclid(146_097), shifted.rem_euclid(146_097));
    let year_of_era = (of_era - of_era / 1460 + of_era / 36_524 - of_era / 146_096) / 365;
    let of_year = of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
    let shifted_month = (5 * of_year + 2) / 153;
    let day = of_year - (153 * shifted_month + 2) / 5 + 1;
    let month = if shifted_month < 10 {
        shifted_month + 3
    } else {
        shifted_month - 9
    };
    let year = year_of_era + era * 400 + i64::from(month <= 2);
    (1..=9999).contains(&year).then(|| {
        format!(
            "{year:04}-{month:02}-{day:02}T{:02}:{:02}:{:02}Z",
            of_day / 3600,
            of_day / 60 % 60,
            of_day % 60
        )
    })
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
