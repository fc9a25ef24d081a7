//! The part of a degree behind a typed number: ¼, ½ or ¾, written `.25`, `.5`, `.75` before the last letter of a quadrant.

/// What is written of each part, and its sign.
const PARTS: [(&str, &str); 4] = [("", ""), (".25", "¼"), (".5", "½"), (".75", "¾")];

/// Where the part stands in a text, and which of [`PARTS`] it is.
fn found(text: &str) -> Option<(usize, usize)> {
    (1..PARTS.len()).find_map(|nth| {
        let at = text.find(PARTS[nth].0)?;
        Some((at, nth))
    })
}

/// The text without its part of a degree.
pub fn bare(text: &str) -> String {
    match found(text) {
        Some((_, nth)) => text.replacen(PARTS[nth].0, "", 1),
        None => text.to_owned(),
    }
}

/// The sign of its part of a degree; empty for whole degrees.
pub fn sign(text: &str) -> &'static str {
    found(text).map_or("", |(_, nth)| PARTS[nth].1)
}

/// The text with its part as a sign: `062.25` is 062¼.
pub fn shown(text: &str) -> String {
    match found(text) {
        Some((_, nth)) => text.replacen(PARTS[nth].0, PARTS[nth].1, 1),
        None => text.to_owned(),
    }
}

/// The sign as it is spoken after its number.
pub fn spoken(sign: char) -> Option<&'static str> {
    match sign {
        '¼' => Some("and a quarter"),
        '½' => Some("and a half"),
        '¾' => Some("and three quarters"),
        _ => None,
    }
}

/// The text with the next part of a degree: the next quarter and after the third none, or the half.
pub fn stepped(text: &str, quarters: bool) -> String {
    let now = found(text).map_or(0, |(_, nth)| nth);
    let next = match quarters {
        true => (now + 1) % PARTS.len(),
        false => 2,
    };
    let mut text = bare(text);
    let at = text.trim_end_matches(['E', 'W']).len();
    text.insert_str(at, PARTS[next].0);
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_press_is_the_next_quarter_and_the_fourth_takes_them_off() {
        for (text, shown_each) in [
            ("062", ["062¼", "062½", "062¾", "062"]),
            ("35", ["35¼", "35½", "35¾", "35"]),
            ("N45E", ["N45¼E", "N45½E", "N45¾E", "N45E"]),
            ("S05", ["S05¼", "S05½", "S05¾", "S05"]),
        ] {
            let mut now = text.to_owned();
            for expected in shown_each {
                now = stepped(&now, true);
                assert_eq!(shown(&now), expected);
                assert_eq!(bare(&now), text);
            }
        }
    }

    #[test]
    fn the_number_is_what_the_sign_says() {
        for (presses, deg, said) in [
            (1, 62.25, "¼"),
            (2, 62.5, "½"),
            (3, 62.75, "¾"),
            (4, 62.0, ""),
        ] {
            let text = (0..presses).fold("062".to_owned(), |text, _| stepped(&text, true));
            assert_eq!(text.parse(), Ok(deg));
            assert_eq!(sign(&text), said);
        }
        assert_eq!(stepped("062", false), "062.5");
    }
}
