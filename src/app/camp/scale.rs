//! The scales of a person's own instrument as its page says them: where their zero is, which way they run, how far. No browser here.

use crate::app::camp::setting::circle_number;
use crate::app::written::with_fraction;
use crate::notebook::SetUp;
use crate::orientation::instrument::{OwnScale, OwnScales};

/// One scale that an instrument may have.
pub struct Which {
    /// Its name on the page.
    pub id: &'static str,
    /// Its word.
    pub word: &'static str,
    /// What its numbers stand for.
    pub stands_for: &'static str,
    /// The two ways its numbers can grow, that of the trade first.
    pub ways: [&'static str; 2],
    /// What holds until somebody says otherwise.
    pub usual: OwnScale,
    /// Its numbers stand for bearings.
    pub is_card: bool,
    get: fn(&OwnScales) -> Option<OwnScale>,
    put: fn(&mut OwnScales, Option<OwnScale>),
}

/// The scales that an instrument may have.
pub const WHICH: [Which; 3] = [
    Which {
        id: "card",
        word: "Scale for a bearing",
        stands_for: "bearing",
        ways: ["clockwise", "counter-clockwise"],
        usual: OwnScale::CARD,
        is_card: true,
        get: |own| own.card,
        put: |own, scale| own.card = scale,
    },
    Which {
        id: "dip",
        word: "Scale for a dip",
        stands_for: "dip",
        ways: ["downwards", "upwards"],
        usual: OwnScale::CLINOMETER,
        is_card: false,
        get: |own| own.dip,
        put: |own, scale| own.dip = scale,
    },
    Which {
        id: "plunge",
        word: "Scale for a plunge",
        stands_for: "plunge",
        ways: ["downwards", "upwards"],
        usual: OwnScale::CLINOMETER,
        is_card: false,
        get: |own| own.plunge,
        put: |own, scale| own.plunge = scale,
    },
];

/// One number of a scale.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Figure {
    /// What its zero stands for.
    Zero,
    /// Its least number.
    Least,
    /// Its greatest number.
    Greatest,
}

impl Figure {
    /// All of them, in the order of the page.
    pub const ALL: [Self; 3] = [Self::Zero, Self::Least, Self::Greatest];

    /// Its name on the page.
    pub fn id(self) -> &'static str {
        match self {
            Self::Zero => "zero",
            Self::Least => "least",
            Self::Greatest => "greatest",
        }
    }

    /// Its word.
    pub fn word(self) -> &'static str {
        match self {
            Self::Zero => "its zero is",
            Self::Least => "from",
            Self::Greatest => "to",
        }
    }

    /// The number.
    pub fn of(self, scale: &OwnScale) -> f64 {
        match self {
            Self::Zero => scale.zero_deg,
            Self::Least => scale.lo_deg,
            Self::Greatest => scale.hi_deg,
        }
    }

    /// The scale with another number in its place.
    pub fn with(self, scale: OwnScale, deg: f64) -> OwnScale {
        let mut scale = scale;
        match self {
            Self::Zero => scale.zero_deg = deg,
            Self::Least => scale.lo_deg = deg,
            Self::Greatest => scale.hi_deg = deg,
        }
        scale
    }
}

/// The largest number that any scale has, degrees.
const LARGEST_DEG: f64 = 360.0;

/// The steepest that a zero can lie, degrees below or above the horizontal.
const STEEPEST_DEG: f64 = 90.0;

/// A dip or a plunge lies between these, degrees.
const INCLINED_DEG: (f64, f64) = (0.0, 90.0);

impl Which {
    /// The scale as a set-up has it.
    pub fn of(&self, set_up: &SetUp) -> Option<OwnScale> {
        (self.get)(&set_up.own.unwrap_or_default())
    }

    /// Puts it into a set-up, or takes it off; one whose scales are all usual says nothing of them.
    pub fn put(&self, set_up: &mut SetUp, scale: Option<OwnScale>) {
        let mut own = set_up.own.unwrap_or_default();
        (self.put)(&mut own, scale);
        set_up.own = (own != OwnScales::default()).then_some(own);
    }

    /// What a number of it is, in words: its zero is at 90° below the horizontal; whether that is the default.
    pub fn words(&self, figure: Figure, scale: &OwnScale) -> String {
        let deg = figure.of(scale);
        let usual = if deg == figure.of(&self.usual) {
            ", default"
        } else {
            ""
        };
        let words = match (figure, self.is_card) {
            (Figure::Zero, true) => match deg {
                0.0 => "north".to_owned(),
                90.0 => "east".to_owned(),
                180.0 => "south".to_owned(),
                270.0 => "west".to_owned(),
                deg => format!("{}°", circle_number(deg)),
            },
            (Figure::Zero, false) => match deg {
                0.0 => "level".to_owned(),
                90.0 => "straight down".to_owned(),
                -90.0 => "straight up".to_owned(),
                deg if deg < 0.0 => format!("{}° above level", with_fraction(-deg)),
                deg => format!("{}° below level", with_fraction(deg)),
            },
            _ => format!("{}°", with_fraction(deg)),
        };
        format!("{words}{usual}")
    }

    /// A number as the keys typed it, for one of the figures of this scale.
    ///
    /// # Errors
    /// Words for a person where it is empty, no number, or over what a scale can have.
    pub fn typed(&self, figure: Figure, text: &str) -> Result<f64, String> {
        let (limit, what) = match (figure, self.is_card) {
            (Figure::Zero, false) => (STEEPEST_DEG, "the steepest there is"),
            _ => (LARGEST_DEG, "a whole turn"),
        };
        match text.parse::<f64>() {
            Ok(deg) if deg.abs() <= limit => Ok(deg),
            Ok(_) => Err(format!(
                "`{text}` is over {limit}, {what}; take a digit off with back"
            )),
            Err(_) if text.is_empty() || text == "-" => Err("nothing is typed yet".to_owned()),
            Err(_) => Err(format!("`{text}` is no number; take it off with back")),
        }
    }

    fn stands(&self, scale: &OwnScale, number: f64) -> String {
        if self.is_card {
            circle_number(scale.bearing_deg(number))
        } else {
            with_fraction(scale.angle_deg(number))
        }
    }

    fn number(&self, number: f64) -> String {
        if self.is_card {
            circle_number(number)
        } else {
            with_fraction(number)
        }
    }

    /// What one number of it means: the scale says 30: dip 60.
    pub fn example(&self, scale: &OwnScale) -> Option<String> {
        if self.wrong(scale).is_some() {
            return None;
        }
        let number = if scale.holds(30.0) {
            30.0
        } else {
            f64::midpoint(scale.lo_deg, scale.hi_deg).round()
        };
        Some(format!(
            "The {} says {}: {} {}",
            if self.is_card { "card" } else { "scale" },
            self.number(number),
            self.stands_for,
            self.stands(scale, number)
        ))
    }

    fn fits(&self, scale: &OwnScale) -> bool {
        let within = |number: f64| {
            let angle = scale.angle_deg(number);
            self.is_card || INCLINED_DEG.0 <= angle && angle <= INCLINED_DEG.1
        };
        scale.lo_deg < scale.hi_deg && within(scale.lo_deg) && within(scale.hi_deg)
    }

    /// The numbers of a scale that stand for dips or plunges.
    fn cut(scale: &OwnScale) -> OwnScale {
        let (level, down) = INCLINED_DEG;
        let ends = if scale.reversed {
            [scale.zero_deg - down, scale.zero_deg - level]
        } else {
            [level - scale.zero_deg, down - scale.zero_deg]
        };
        OwnScale {
            lo_deg: ends[0].max(0.0),
            hi_deg: ends[1],
            ..*scale
        }
    }

    /// What is wrong with a scale, in words, and the scales that would be right, each with the words of its plate.
    pub fn wrong(&self, scale: &OwnScale) -> Option<(String, Vec<(String, OwnScale)>)> {
        if self.fits(scale) {
            return None;
        }
        let (lo, hi) = (self.number(scale.lo_deg), self.number(scale.hi_deg));
        let exchanged = OwnScale {
            lo_deg: scale.hi_deg,
            hi_deg: scale.lo_deg,
            ..*scale
        };
        let turned = OwnScale {
            reversed: !scale.reversed,
            ..*scale
        };
        let cut = Self::cut(scale);
        let way = self.ways[usize::from(turned.reversed)];
        let words = if scale.lo_deg >= scale.hi_deg {
            format!(
                "from {lo} to {hi} there is nothing to read; put the greatest number over the least"
            )
        } else {
            let end = [scale.hi_deg, scale.lo_deg]
                .into_iter()
                .find(|&end| {
                    let angle = scale.angle_deg(end);
                    angle < INCLINED_DEG.0 || angle > INCLINED_DEG.1
                })
                .unwrap_or(scale.hi_deg);
            format!(
                "{} on it would be a {} of {}, which is not between {} and {}; change its zero, its range or which way it runs",
                self.number(end),
                self.stands_for,
                with_fraction(scale.angle_deg(end)),
                INCLINED_DEG.0,
                INCLINED_DEG.1
            )
        };
        let mut ways = vec![
            (format!("From {hi} to {lo}"), exchanged),
            (format!("It runs {way}"), turned),
        ];
        if !self.is_card {
            let words = format!(
                "From {} to {}",
                self.number(cut.lo_deg),
                self.number(cut.hi_deg)
            );
            ways.push((words, cut));
        }
        ways.push(("Take the default".to_owned(), self.usual));
        ways.retain(|(_, scale)| self.fits(scale));
        Some((words, ways))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::orientation::Instrument;

    const DIP: &Which = &WHICH[1];

    fn scale(zero_deg: f64, reversed: bool, lo_deg: f64, hi_deg: f64) -> OwnScale {
        OwnScale {
            zero_deg,
            reversed,
            lo_deg,
            hi_deg,
        }
    }

    #[test]
    fn a_number_on_each_scale_is_said_to_be_what_it_is() {
        // By hand: a clinometer that counts from the vertical reads the complement of the dip; one that counts from the zenith
        // reads 90 more than it; a card that runs against the clock reads 360 less the bearing.
        for (which, scale, words) in [
            (
                0,
                scale(0.0, true, 0.0, 360.0),
                "The card says 030: bearing 330",
            ),
            (
                0,
                scale(90.0, false, 0.0, 360.0),
                "The card says 030: bearing 120",
            ),
            (1, scale(90.0, true, 0.0, 90.0), "The scale says 30: dip 60"),
            (1, scale(0.0, false, 0.0, 90.0), "The scale says 30: dip 30"),
            (
                2,
                scale(-90.0, false, 90.0, 180.0),
                "The scale says 135: plunge 45",
            ),
        ] {
            assert_eq!(WHICH[which].example(&scale).as_deref(), Some(words));
        }
    }

    #[test]
    fn a_wrong_range_is_said_with_its_way_out() {
        let (words, ways) = DIP.wrong(&scale(0.0, false, 0.0, 120.0)).unwrap();
        assert_eq!(
            words,
            "120 on it would be a dip of 120, which is not between 0 and 90; change its zero, its range or which way it runs"
        );
        assert_eq!(ways[0], ("From 0 to 90".to_owned(), OwnScale::CLINOMETER));
        // A zero straight down is typed first, its sense after it.
        let (words, ways) = DIP.wrong(&scale(90.0, false, 0.0, 90.0)).unwrap();
        assert!(
            words.starts_with("90 on it would be a dip of 180"),
            "{words}"
        );
        assert_eq!(ways[0].0, "It runs upwards");
        assert_eq!(ways[0].1, scale(90.0, true, 0.0, 90.0));
        let (words, ways) = WHICH[0].wrong(&scale(0.0, false, 360.0, 0.0)).unwrap();
        assert!(words.starts_with("from 000 to 000"), "{words}");
        assert_eq!(ways[0].1, OwnScale::CARD);
        assert_eq!(DIP.example(&scale(0.0, false, 0.0, 120.0)), None);
        assert!(DIP.wrong(&scale(0.0, false, 30.0, 30.0)).is_some());
    }

    #[test]
    fn every_way_out_leads_out_and_there_always_is_one() {
        for which in &WHICH {
            for zero in [-90.0, -30.0, 0.0, 45.0, 90.0] {
                for reversed in [false, true] {
                    for (lo, hi) in [(0.0, 90.0), (90.0, 0.0), (0.0, 360.0), (30.0, 30.0)] {
                        let Some((_, ways)) = which.wrong(&scale(zero, reversed, lo, hi)) else {
                            continue;
                        };
                        assert!(!ways.is_empty());
                        assert!(ways.iter().all(|(_, scale)| which.wrong(scale).is_none()));
                    }
                }
            }
        }
    }

    #[test]
    fn what_the_page_says_is_what_a_reading_takes() {
        let mut set_up = SetUp {
            instrument: Instrument::Own,
            ..SetUp::default()
        };
        for which in &WHICH {
            assert_eq!(which.of(&set_up), Some(which.usual));
            for figure in Figure::ALL {
                assert!(which.words(figure, &which.usual).ends_with(", default"));
            }
        }
        let upwards = scale(90.0, true, 0.0, 90.0);
        DIP.put(&mut set_up, Some(upwards));
        assert_eq!(set_up.scales().own.dip, Some(upwards));
        assert_eq!(DIP.words(Figure::Zero, &upwards), "straight down");
        DIP.put(&mut set_up, None);
        assert_eq!(set_up.scales().own.dip, None);
        DIP.put(&mut set_up, Some(DIP.usual));
        assert_eq!(set_up.own, None, "nothing but defaults says nothing");
    }

    #[test]
    fn a_typed_number_beyond_a_scale_says_its_limit() {
        assert_eq!(DIP.typed(Figure::Zero, "-45"), Ok(-45.0));
        assert_eq!(WHICH[0].typed(Figure::Zero, "270"), Ok(270.0));
        for (figure, text, limit) in [
            (Figure::Zero, "91", "over 90"),
            (Figure::Greatest, "361", "over 360"),
            (Figure::Least, "", "nothing"),
            (Figure::Least, ".", "no number"),
        ] {
            let words = DIP.typed(figure, text).unwrap_err();
            assert!(words.contains(limit), "{words}");
        }
    }
}
