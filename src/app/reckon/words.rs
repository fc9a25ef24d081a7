//! Results in words: values in the book's notation, how sure they are, and what a slot holds.

use crate::app::written;
use crate::notebook::Notation;
use crate::notebook::reckoning::{Figure, Hand, Sure, Value, metres};

/// The book's own hand.
pub fn hand(notation: Notation) -> Hand {
    Hand {
        notation,
        plane: |plane, notation| written::plane(plane, None, notation),
        line: written::line,
    }
}

/// How sure a result is, in words.
pub fn sure(figure: &Figure) -> String {
    match (&figure.sure, &figure.value) {
        (Sure::Untold(why), _) => format!("its ± is not told: {why}"),
        (Sure::Within(sd), Value::Metres(_)) => {
            format!(
                "±{}, 68 in 100; ±{}, 95 in 100",
                metres(*sd),
                metres(1.96 * sd)
            )
        }
        (Sure::Within(sd), _) => format!("±{sd:.1}°, 68 in 100; ±{:.1}°, 95 in 100", 1.96 * sd),
        (
            Sure::Direction {
                azimuth_deg,
                incline_deg,
                ellipse_deg,
            },
            value,
        ) => {
            let (azimuth, incline, of) = match value {
                Value::Line(_) => ("trend", "plunge", "the line"),
                _ => ("strike", "dip", "its pole"),
            };
            let azimuth = azimuth_deg.map_or_else(
                || format!("{azimuth} hardly told"),
                |deg| format!("{azimuth} ±{deg:.1}°"),
            );
            format!(
                "{azimuth}, {incline} ±{incline_deg:.1}°, 68 in 100; {of} within {:.1}° × {:.1}°, 95 in 100",
                ellipse_deg.0, ellipse_deg.1
            )
        }
    }
}

/// What most of a result's variance comes from, in words.
pub fn most(figure: &Figure) -> Option<String> {
    let (name, share) = figure.most.as_ref()?;
    Some(format!(
        "{:.0} in 100 of the variance come from {name}.",
        share * 100.0
    ))
}

/// A result's exact value, for whoever compares: `strike dip`, `trend plunge`, degrees or metres.
pub fn exact(value: &Value) -> String {
    match value {
        Value::Plane(plane) => format!("{:.6} {:.6}", plane.strike().deg(), plane.dip().deg()),
        Value::Line(line) => format!("{:.6} {:.6}", line.trend().deg(), line.plunge().deg()),
        Value::Degrees(v) | Value::Metres(v) => format!("{v:.6}"),
    }
}

/// A result as it is spoken.
pub fn spoken(value: &str) -> String {
    value.replace('→', " toward ").replace('/', " slash ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::orientation::Plane;

    fn figure(value: Value, sure: Sure) -> Figure {
        Figure {
            name: "it".to_owned(),
            value,
            sure,
            most: Some(("47·3".to_owned(), 0.734)),
        }
    }

    #[test]
    fn a_result_says_how_sure_it_is() {
        let plane = Value::Plane(Plane::from_deg(45.0, 30.0).unwrap());
        let told = Sure::Direction {
            azimuth_deg: Some(3.12),
            incline_deg: 1.8,
            ellipse_deg: (4.4, 3.9),
        };
        assert_eq!(
            sure(&figure(plane, told)),
            "strike ±3.1°, dip ±1.8°, 68 in 100; its pole within 4.4° × 3.9°, 95 in 100"
        );
        let level = Sure::Direction {
            azimuth_deg: None,
            incline_deg: 1.8,
            ellipse_deg: (4.4, 3.9),
        };
        assert!(sure(&figure(plane, level)).starts_with("strike hardly told"));
        assert_eq!(
            sure(&figure(Value::Metres(120.0), Sure::Within(6.0))),
            "±6.0 m, 68 in 100; ±11.8 m, 95 in 100"
        );
        let why = Sure::Untold("station 6 has a place without a ±".to_owned());
        assert!(sure(&figure(plane, why)).contains("station 6"));
    }

    #[test]
    fn the_hand_is_the_books() {
        let plane = Plane::from_deg(45.0, 30.0).unwrap();
        for (notation, words) in [
            (Notation::StrikeDip, "045/30 SE"),
            (Notation::DipDirection, "30→135"),
        ] {
            assert_eq!(hand(notation).value(&Value::Plane(plane)), words);
        }
        assert_eq!(
            hand(Notation::StrikeDip).value(&Value::Degrees(24.2)),
            "24.2°"
        );
        assert_eq!(exact(&Value::Plane(plane)), "45.000000 30.000000");
        assert_eq!(
            most(&figure(Value::Degrees(1.0), Sure::Within(1.0))).unwrap(),
            "73 in 100 of the variance come from 47·3."
        );
    }
}
