//! The tokens of the look: every light has every colour, and every pair that is read is told apart.

use std::collections::BTreeMap;

const TOKENS: &str = include_str!("../style/tokens.css");
const LIGHTS: [&str; 3] = ["sun", "overcast", "lamp"];
const COLOURS: [&str; 20] = [
    "paper",
    "ink",
    "soft",
    "rule",
    "faint",
    "on-ink",
    "here",
    "on-here",
    "doubt",
    "on-doubt",
    "live",
    "k-bedding",
    "k-cleavage",
    "k-joint",
    "k-fault",
    "k-line",
    "d1",
    "d2",
    "d3",
    // Not asked for by a name of its own, but every light must say whether the browser's own parts are dark.
    "color-scheme",
];

/// The declarations of the rule for one light.
fn light(css: &str, name: &str) -> BTreeMap<String, String> {
    let selector = format!("[data-look=\"{name}\"]");
    let mut found = BTreeMap::new();
    for rule in css.split('}') {
        let Some((selectors, body)) = rule.rsplit_once('{') else {
            continue;
        };
        if selectors.split(',').any(|one| one.trim() == selector) {
            for declaration in body.split(';') {
                if let Some((token, value)) = declaration.split_once(':') {
                    found.insert(
                        token.trim().trim_start_matches("--").to_owned(),
                        value.trim().to_owned(),
                    );
                }
            }
        }
    }
    found
}

/// A channel of an sRGB colour, linearised as WCAG 2.2 defines relative luminance.
fn linear(channel: u8) -> f64 {
    let share = f64::from(channel) / 255.0;
    if share <= 0.04045 {
        share / 12.92
    } else {
        ((share + 0.055) / 1.055).powf(2.4)
    }
}

/// Relative luminance of `#RRGGBB`, after WCAG 2.2, "relative luminance".
fn luminance(colour: &str) -> f64 {
    let digits = colour
        .strip_prefix('#')
        .filter(|digits| digits.len() == 6)
        .unwrap_or_else(|| panic!("`{colour}` is not #RRGGBB"));
    let channel = |at: usize| {
        linear(
            u8::from_str_radix(&digits[at..at + 2], 16)
                .unwrap_or_else(|_| panic!("`{colour}` is not #RRGGBB")),
        )
    };
    0.2126 * channel(0) + 0.7152 * channel(2) + 0.0722 * channel(4)
}

/// The contrast ratio of two colours, after WCAG 2.2, "contrast ratio".
fn contrast(one: &str, other: &str) -> f64 {
    let (one, other) = (luminance(one), luminance(other));
    (one.max(other) + 0.05) / (one.min(other) + 0.05)
}

/// WCAG 2.2 gives 21:1 for black on white; the other two are the definition worked by hand (0.2126 + 0.05 over 0.05 for
/// red on black; 1.05 over 0.0722 + 0.05 for blue on white).
#[test]
fn the_contrast_formula_is_that_of_wcag() {
    assert!((contrast("#000000", "#FFFFFF") - 21.0).abs() < 1e-12);
    assert!((contrast("#FF0000", "#000000") - 5.252).abs() < 1e-12);
    assert!((contrast("#FFFFFF", "#0000FF") - 1.05 / 0.1222).abs() < 1e-12);
}

#[test]
fn no_light_lacks_a_token() {
    for name in LIGHTS {
        let light = light(TOKENS, name);
        for colour in COLOURS {
            assert!(light.contains_key(colour), "{name} has no --{colour}");
        }
    }
}

#[test]
fn what_is_read_is_told_apart_in_every_light() {
    // Text, at least 7 : 1 (success criterion 1.4.6, enhanced).
    let text = [
        ("ink", "paper"),
        ("soft", "paper"),
        ("ink", "d1"),
        ("soft", "d1"),
        ("on-ink", "ink"),
        ("on-here", "here"),
        ("on-doubt", "doubt"),
    ];
    // Marks, at least 3 : 1 (success criterion 1.4.11, non-text contrast).
    let marks = [
        ("rule", "paper"),
        ("rule", "d1"),
        ("live", "paper"),
        ("live", "d1"),
        ("ink", "faint"),
        ("ink", "d2"),
        ("ink", "k-cleavage"),
        ("ink", "k-joint"),
        ("ink", "k-fault"),
        ("ink", "k-line"),
        // The arrow on the filled half of a side key that is chosen.
        ("on-ink", "soft"),
    ];
    for name in LIGHTS {
        let light = light(TOKENS, name);
        let value = |token: &str| {
            light
                .get(token)
                .unwrap_or_else(|| panic!("{name} has no --{token}"))
                .clone()
        };
        for (pairs, least) in [(&text[..], 7.0), (&marks[..], 3.0)] {
            for (front, back) in pairs {
                let ratio = contrast(&value(front), &value(back));
                assert!(
                    ratio >= least,
                    "{name}: --{front} on --{back} is {ratio:.2} : 1, under {least} : 1"
                );
            }
        }
    }
}

#[test]
fn drawings_name_tokens_that_exist_and_no_colour() {
    let css = include_str!("../style/drawing.css");
    let sun = light(TOKENS, "sun");
    for part in css.split("var(--").skip(1) {
        let token: String = part
            .chars()
            .take_while(|c| c.is_ascii_alphanumeric() || *c == '-')
            .collect();
        assert!(
            sun.contains_key(&token) || TOKENS.contains(&format!("--{token}:")),
            "--{token} is no token"
        );
    }
    assert!(
        !css.contains('#') && !css.contains("rgb"),
        "a colour is named outside the tokens"
    );
}

/// The check must be able to fail: a light without a token, and one where a pair is too close, are found.
#[test]
fn a_missing_or_a_faint_token_would_be_found() {
    let dim = TOKENS.replacen("--soft:#37454A", "--soft:#8A9499", 1);
    let (soft, paper) = (&light(&dim, "sun")["soft"], &light(&dim, "sun")["paper"]);
    assert!(contrast(soft, paper) < 7.0);
    let short = TOKENS.replace("--live:", "--alive:");
    assert!(!light(&short, "lamp").contains_key("live"));
}
