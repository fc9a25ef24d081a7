//! A latitude or longitude while it is typed: decimal degrees, or degrees, minutes and seconds.

use serde::{Deserialize, Serialize};

/// Which of the two.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Axis {
    /// North or south.
    Latitude,
    /// East or west.
    Longitude,
}

impl Axis {
    /// The other one.
    pub fn other(self) -> Self {
        match self {
            Axis::Latitude => Axis::Longitude,
            Axis::Longitude => Axis::Latitude,
        }
    }

    fn limit_deg(self) -> f64 {
        match self {
            Axis::Latitude => 90.0,
            Axis::Longitude => 180.0,
        }
    }
}

/// The digits typed so far; `°` ends the degrees, then the minutes.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct TypedAngle {
    axis: Axis,
    text: String,
    negative: bool,
}

impl TypedAngle {
    /// What is known already, to 5 decimals (about a metre), or nothing.
    pub fn from_deg(deg: Option<f64>, axis: Axis) -> Self {
        Self {
            axis,
            text: deg.map(|d| format!("{:.5}", d.abs())).unwrap_or_default(),
            negative: deg.is_some_and(|d| d < 0.0),
        }
    }

    /// Adds a digit, a point or a degree sign; a second point and a third sign are left out.
    pub fn push(&mut self, c: char) {
        let signs = self.text.matches(['°', '′']).count();
        match c {
            '.' if self.text.contains('.') => {}
            '°' if self.text.is_empty() || self.text.contains('.') || signs >= 2 => {}
            '°' => self.text.push(if signs == 0 { '°' } else { '′' }),
            c if self.text.chars().count() < 12 => self.text.push(c),
            _ => {}
        }
    }

    /// Takes the last character off.
    pub fn back(&mut self) {
        self.text.pop();
    }

    /// North becomes south, east becomes west.
    pub fn turn(&mut self) {
        self.negative = !self.negative;
    }

    /// The letter of its side.
    pub fn side_word(&self) -> &'static str {
        match (self.axis, self.negative) {
            (Axis::Latitude, false) => "N",
            (Axis::Latitude, true) => "S",
            (Axis::Longitude, false) => "E",
            (Axis::Longitude, true) => "W",
        }
    }

    /// As it stands on the page.
    pub fn shown(&self) -> String {
        let sign = if self.text.is_empty() || self.text.contains('°') {
            ""
        } else {
            "°"
        };
        format!("{}{sign} {}", self.text, self.side_word())
    }

    /// As it is spoken.
    pub fn spoken(&self) -> String {
        if self.text.is_empty() {
            "empty".to_owned()
        } else {
            self.shown()
        }
    }

    /// The angle in degrees, north and east positive.
    ///
    /// # Errors
    /// Words for a person where nothing is typed or a number is over its limit.
    pub fn deg(&self) -> Result<f64, String> {
        let name = match self.axis {
            Axis::Latitude => "latitude",
            Axis::Longitude => "longitude",
        };
        if self.text.is_empty() {
            return Err(format!("The {name} is still to be typed."));
        }
        let mut deg = 0.0;
        for (part, (unit, share)) in self.text.split(['°', '′']).zip([
            ("degrees", 1.0),
            ("minutes", 60.0),
            ("seconds", 3600.0),
        ]) {
            if part.is_empty() {
                continue;
            }
            let value: f64 = part
                .parse()
                .map_err(|_| format!("`{part}` is no number of {unit}; take it off with back."))?;
            if share > 1.0 && value >= 60.0 {
                return Err(format!(
                    "{part} {unit} is over 59; a new degree begins at 60."
                ));
            }
            deg += value / share;
        }
        if deg > self.axis.limit_deg() {
            return Err(format!(
                "{name} `{}` is over {}; are latitude and longitude exchanged, or a point missing?",
                self.text,
                self.axis.limit_deg()
            ));
        }
        Ok(if self.negative { -deg } else { deg })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn typed(text: &str, axis: Axis, negative: bool) -> Result<f64, String> {
        let mut angle = TypedAngle::from_deg(None, axis);
        for c in text.chars() {
            angle.push(c);
        }
        if negative {
            angle.turn();
        }
        angle.deg()
    }

    #[test]
    fn decimal_degrees_and_sexagesimal_agree() {
        // 54° 30′ 36″ is 54.51 by arithmetic.
        assert_eq!(typed("54.51", Axis::Latitude, false), Ok(54.51));
        let sexagesimal = typed("54°30°36", Axis::Latitude, false).unwrap();
        assert!((sexagesimal - 54.51).abs() < 1e-12);
        assert_eq!(typed("2.5", Axis::Longitude, true), Ok(-2.5));
    }

    #[test]
    fn what_cannot_be_says_so() {
        assert!(
            typed("", Axis::Latitude, false)
                .unwrap_err()
                .contains("latitude")
        );
        assert!(
            typed("91", Axis::Latitude, false)
                .unwrap_err()
                .contains("over 90")
        );
        assert!(
            typed("190", Axis::Longitude, false)
                .unwrap_err()
                .contains("over 180")
        );
        assert!(
            typed("54°75", Axis::Latitude, false)
                .unwrap_err()
                .contains("75 minutes")
        );
    }

    #[test]
    fn a_known_position_comes_back() {
        let angle = TypedAngle::from_deg(Some(-3.25), Axis::Longitude);
        assert_eq!(angle.shown(), "3.25000° W");
        assert_eq!(angle.deg(), Ok(-3.25));
    }

    #[test]
    fn a_second_point_and_a_third_sign_are_left_out() {
        let mut angle = TypedAngle::from_deg(None, Axis::Latitude);
        for c in "1°2°3°4.5.6".chars() {
            angle.push(c);
        }
        assert_eq!(angle.shown(), "1°2′34.56 N");
        for _ in 0..20 {
            angle.back();
        }
        assert_eq!(angle.shown(), " N");
    }
}
