//! A bearing on a card of quadrants while it is typed: N or S, two digits, E or W; `N45E` exactly as it was read.
//!
//! A digit that comes before its letter is not lost: `_45` waits for N or S.

use super::part;

/// Stands where the first letter is still missing.
const MISSING: char = '_';

/// The text is a quadrant, whole or in the making.
pub fn is_one(text: &str) -> bool {
    text.starts_with(['N', 'S', MISSING])
}

fn parts(text: &str) -> (Option<char>, &str, Option<char>) {
    let first = text.chars().next();
    let last = text.chars().next_back().filter(|c| matches!(c, 'E' | 'W'));
    let from = usize::from(first.is_some());
    let to = text.len() - usize::from(last.is_some() && text.len() > from);
    (
        first.filter(|c| *c != MISSING),
        text.get(from..to).unwrap_or_default(),
        last,
    )
}

/// The letters on the two side keys: north and south first, then the westerly side before the easterly.
pub fn letters(text: &str) -> [&'static str; 2] {
    match parts(text).0 {
        Some(_) => ["W", "E"],
        None => ["N", "S"],
    }
}

/// A letter comes next: the first, or the last after two digits.
pub fn wants_letter(text: &str) -> bool {
    let (first, digits, last) = parts(text);
    match first {
        Some(_) => last.is_none() && whole(digits).len() >= 2,
        None => true,
    }
}

fn whole(digits: &str) -> &str {
    digits.split('.').next().unwrap_or(digits)
}

/// Both letters and two digits are in.
pub fn is_full(text: &str) -> bool {
    let (first, digits, last) = parts(text);
    first.is_some() && last.is_some() && whole(digits).len() >= 2
}

/// A digit has room.
pub fn takes_digit(text: &str) -> bool {
    let (_, digits, last) = parts(text);
    last.is_none() && whole(digits).len() < 2
}

/// Adds a digit; false where both are in and the digit belongs elsewhere.
pub fn push_digit(text: &mut String, digit: char) -> bool {
    if !takes_digit(text) {
        return false;
    }
    if text.is_empty() {
        text.push(MISSING);
    }
    text.push(digit);
    true
}

/// Adds the letter of a side key; the last letter fills a lone digit up: `N5` and E are N05E.
pub fn push_letter(text: &mut String, index: usize) -> bool {
    let Some(letter) = letters(text).get(index).copied() else {
        return false;
    };
    let (first, digits, last) = parts(text);
    match (first, last) {
        (None, _) => {
            let rest = text.get(1..).unwrap_or_default().to_owned();
            *text = format!("{letter}{rest}");
            true
        }
        (Some(_), None) if !digits.is_empty() => {
            pad(text);
            text.push_str(letter);
            true
        }
        _ => false,
    }
}

/// Fills a lone digit up with a zero.
pub fn pad(text: &mut String) {
    let (_, digits, last) = parts(text);
    if last.is_none() && digits.len() == 1 {
        text.insert(1, '0');
    }
}

/// Takes the last letter or digit off; a part of a degree goes first.
pub fn shorten(text: &mut String) {
    if text.contains('.') {
        *text = part::bare(text);
        return;
    }
    text.pop();
    if text.chars().eq([MISSING]) {
        text.clear();
    }
}

/// Two digits are in and no half: it may be added.
pub fn takes_half(text: &str) -> bool {
    parts(text).1.len() == 2
}

/// The azimuth of a whole quadrant, degrees.
///
/// # Degenerate input
/// `None` while a letter or a digit is missing. Over 90 it is counted on as it stands; the reduction doubts it.
pub fn azimuth_deg(text: &str) -> Option<f64> {
    if !is_full(text) {
        return None;
    }
    let (first, digits, last) = parts(text);
    let off: f64 = digits.parse().ok()?;
    turned(first?, last?, off).map(|deg| deg.rem_euclid(360.0))
}

fn turned(first: char, last: char, off_deg: f64) -> Option<f64> {
    match (first, last) {
        ('N', 'E') => Some(off_deg),
        ('N', 'W') => Some(360.0 - off_deg),
        ('S', 'E') => Some(180.0 - off_deg),
        ('S', 'W') => Some(180.0 + off_deg),
        _ => None,
    }
}

/// The azimuths that the letters and digits typed so far can still become: one stretch to the east of the meridian, one
/// to the west.
///
/// # Degenerate input
/// Nothing before N or S, and nothing once the last letter is in.
pub fn possible_deg(text: &str) -> [Option<(f64, f64)>; 2] {
    let (Some(first), digits, None) = parts(text) else {
        return [None, None];
    };
    let (low, high) = match (whole(digits).len(), digits.parse::<f64>().ok()) {
        (1, Some(tens)) => (tens * 10.0, (tens * 10.0 + 9.0).min(90.0)),
        (2, Some(off)) => (off, off),
        _ => (0.0, 90.0),
    };
    ['E', 'W'].map(|last| {
        let a = turned(first, last, low)?;
        let b = turned(first, last, high)?;
        Some((a.min(b), a.max(b)))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Types N S W E as letters and digits as digits.
    fn typed(keys: &str) -> String {
        let mut text = String::new();
        for key in keys.chars() {
            if key.is_ascii_digit() {
                push_digit(&mut text, key);
            } else {
                let index = letters(&text).iter().position(|l| l.starts_with(key));
                push_letter(&mut text, index.unwrap());
            }
        }
        text
    }

    #[test]
    fn four_keys_are_a_bearing() {
        // Common practice: a quadrant counts from the nearer pole of the meridian towards east or west.
        for (keys, deg) in [
            ("N45E", 45.0),
            ("N45W", 315.0),
            ("S30E", 150.0),
            ("S30W", 210.0),
            ("N00E", 0.0),
            ("N90W", 270.0),
        ] {
            let text = typed(keys);
            assert_eq!(text, keys);
            assert!(is_full(&text));
            assert_eq!(azimuth_deg(&text), Some(deg), "{keys}");
        }
    }

    #[test]
    fn a_lone_digit_is_filled_up_and_an_early_one_waits_for_its_letter() {
        assert_eq!(typed("N5E"), "N05E");
        assert_eq!(typed("45"), "_45");
        assert!(!is_full("_45") && wants_letter("_45"));
        assert_eq!(typed("45NE"), "N45E");
        assert_eq!(typed("5SW"), "S05W");
        assert!(!push_digit(&mut "N45".to_owned(), '6'));
        assert!(!push_letter(&mut "N".to_owned(), 0));
    }

    #[test]
    fn back_takes_one_key_after_the_other() {
        let mut text = typed("N45E");
        let mut seen = Vec::new();
        while !text.is_empty() {
            shorten(&mut text);
            seen.push(text.clone());
        }
        assert_eq!(seen, ["N45", "N4", "N", ""]);
        let mut early = typed("4");
        shorten(&mut early);
        assert_eq!(early, "");
    }

    #[test]
    fn a_half_stands_before_the_last_letter() {
        let mut text = typed("N45");
        text = part::stepped(&text, false);
        assert!(wants_letter(&text) && !takes_half(&text));
        push_letter(&mut text, 1);
        assert_eq!(text, "N45.5E");
        assert_eq!(azimuth_deg(&text), Some(45.5));
        shorten(&mut text);
        assert_eq!(text, "N45E");
        text = part::stepped(&text, false);
        assert_eq!(text, "N45.5E");
    }

    #[test]
    fn what_a_quadrant_can_still_become() {
        assert_eq!(possible_deg(""), [None, None]);
        assert_eq!(possible_deg("N"), [Some((0.0, 90.0)), Some((270.0, 360.0))]);
        assert_eq!(
            possible_deg("S4"),
            [Some((131.0, 140.0)), Some((220.0, 229.0))]
        );
        assert_eq!(
            possible_deg("N45"),
            [Some((45.0, 45.0)), Some((315.0, 315.0))]
        );
        assert_eq!(possible_deg("N45E"), [None, None]);
    }

    #[test]
    fn any_keys_in_any_order_leave_a_text_that_can_be_read_on() {
        // Knuth's MMIX constants, as in the walk of the whole reading.
        let mut seed = 7_u64;
        let mut text = String::new();
        for _ in 0..20_000 {
            seed = seed
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            match (seed >> 33) % 16 {
                n @ 0..=9 => {
                    let digit = char::from(b'0' + u8::try_from(n).unwrap());
                    push_digit(&mut text, digit);
                }
                10 | 11 => shorten(&mut text),
                12 => pad(&mut text),
                13 if takes_half(&text) => text = part::stepped(&text, true),
                13 => {}
                n => {
                    push_letter(&mut text, usize::try_from(n - 14).unwrap());
                }
            }
            assert!(text.len() <= 7, "{text}");
            assert_eq!(azimuth_deg(&text).is_some(), is_full(&text), "{text}");
            if is_full(&text) {
                assert!(!wants_letter(&text), "{text}");
            }
        }
    }
}
