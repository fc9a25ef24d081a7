//! The words of the diagnosis: short sentences with the numbers.

/// Odds as a person reads them, the number and what it counts in: `99` `in 100`, `1` `in 730`, `no` `fit`.
///
/// # Degenerate input
/// Below one in ten thousand, or not a number: `no` `fit`. Near one: `99` `in 100`, because nothing is certain.
#[must_use]
pub fn odds_words(odds: f64) -> (String, String) {
    let pair = |number: String, of: String| (number, of);
    if odds >= 0.0095 {
        let percent = (odds * 100.0).round().clamp(1.0, 99.0);
        pair(format!("{percent:.0}"), "in 100".to_owned())
    } else if odds >= 1e-4 {
        let one_in = 1.0 / odds;
        let step = if one_in >= 1000.0 { 100.0 } else { 10.0 };
        let one_in = (one_in / step).round() * step;
        pair("1".to_owned(), format!("in {one_in:.0}"))
    } else {
        pair("no".to_owned(), "fit".to_owned())
    }
}
