//! What a set-up says in numbers: the noise of its dials, the width of its index, the declination that was set.

use super::counts::declination;
use super::record::SetUp;
use crate::orientation::notation::typed;
use crate::orientation::{Declination, Noise, Scales};

/// What stands in where a set-up does not say what division is read, degrees.
const RESOLUTION_DEG: f64 = 1.0;

/// Beyond this a number is no standard deviation of a compass, and no width of an index, degrees.
const MOST_DEG: f64 = 45.0;

/// A number of degrees as typed, `0.5`, `0,5` or `½`, from 0 to [`MOST_DEG`]; `None` where it is none of these.
fn number(text: Option<&str>) -> Option<f64> {
    signed(text).filter(|deg| *deg >= 0.0)
}

/// The same, below zero too.
fn signed(text: Option<&str>) -> Option<f64> {
    let deg = typed(text?)?.deg;
    Some(deg).filter(|deg| deg.abs() <= MOST_DEG)
}

impl SetUp {
    /// The standard deviations of its dials.
    ///
    /// # Degenerate input
    /// A number that is absent, unreadable, below 0 or over 45 is the usual one of the kind of instrument.
    pub fn noise(&self) -> Noise {
        let usual_deg = self.instrument.spread().placement_deg;
        Noise::from_deg(
            self.needle_sd_deg(),
            self.inclination_sd_deg(),
            number(self.placement_sd.as_deref()).unwrap_or(usual_deg),
            self.resolution_deg(),
        )
        .unwrap_or_default()
    }

    /// The standard deviation of one reading of its needle, without rounding, degrees.
    pub fn needle_sd_deg(&self) -> f64 {
        number(self.needle_sd.as_deref()).unwrap_or_else(|| self.instrument.spread().needle_deg)
    }

    /// The standard deviation of one reading of its inclination scales, without rounding, degrees.
    pub fn inclination_sd_deg(&self) -> f64 {
        let usual_deg = self.instrument.spread().inclination_deg;
        number(self.inclination_sd.as_deref()).unwrap_or(usual_deg)
    }

    /// The finest division read, degrees; 1 where it is not a number from 0 to 45.
    pub fn resolution_deg(&self) -> f64 {
        number(Some(&self.resolution)).unwrap_or(RESOLUTION_DEG)
    }

    /// What is known of its scales; a width that is not a number of at most 45 either way counts as not measured.
    pub fn scales(&self) -> Scales {
        Scales {
            index_width_deg: signed(self.index_width.as_deref()),
            own: self.own.unwrap_or_default(),
        }
    }

    /// The declination set on it or known; `None` where it is not given or not a number.
    pub fn declination(&self) -> Option<Declination> {
        self.declination.as_deref().and_then(declination)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::orientation::{Instrument, default_noise};

    #[test]
    fn a_set_up_that_says_nothing_has_the_default_noise() {
        assert_eq!(SetUp::default().noise(), Noise::default());
        let unreadable = SetUp {
            needle_sd: Some("fine".to_owned()),
            inclination_sd: Some("-1".to_owned()),
            placement_sd: Some("90".to_owned()),
            resolution: String::new(),
            index_width: Some(String::new()),
            ..SetUp::default()
        };
        assert_eq!(unreadable.noise(), Noise::default());
        assert_eq!(unreadable.scales().index_width_deg, None);
    }

    #[test]
    fn a_kind_has_its_usual_noise() {
        for instrument in Instrument::ALL {
            let set_up = SetUp {
                instrument,
                resolution: "1".to_owned(),
                ..SetUp::default()
            };
            assert_eq!(set_up.noise(), default_noise(instrument));
        }
    }

    #[test]
    fn what_a_person_typed_is_read() {
        let set_up = SetUp {
            needle_sd: Some("0,5".to_owned()),
            inclination_sd: Some("½".to_owned()),
            placement_sd: Some("2".to_owned()),
            resolution: "0.5".to_owned(),
            index_width: Some("4°".to_owned()),
            declination: Some("8W".to_owned()),
            ..SetUp::default()
        };
        assert_eq!(set_up.noise(), Noise::from_deg(0.5, 0.5, 2.0, 0.5).unwrap());
        assert_eq!(set_up.scales().index_width_deg, Some(4.0));
        assert_eq!(set_up.declination().unwrap().deg(), -8.0);
    }
}
