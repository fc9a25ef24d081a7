//! The open sighting: what each key does to its figures and the focus. No browser, no clock, no ids.
//!
//! A sighting is kept by itself as soon as its bearing or its distance is in, and again whenever a further figure is.

use serde::{Deserialize, Serialize};

use super::open::quadrant;
use crate::notebook::{Accepted, Sighting};

/// A figure of a sighting.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Figure {
    /// The bearing: three digits, or a quadrant.
    Bearing,
    /// The vertical angle: two digits.
    Vertical,
    /// The distance: metres, as many digits as it takes.
    Distance,
}

/// The figures in the order in which they are read.
pub const FIGURES: [Figure; 3] = [Figure::Bearing, Figure::Vertical, Figure::Distance];

/// Digits of a distance that a person measures from a station: under 100 km, to centimetres.
const DISTANCE_DIGITS: usize = 7;

/// How a distance was measured, and so how good it is: our assumptions, each stored in metres with the sighting.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Measured {
    /// By steps: 5 in 100.
    #[default]
    Paced,
    /// By a range-finder: 1 m.
    Ranged,
    /// By tape: 1 in 300, at least 0.1 m.
    Taped,
}

impl Measured {
    /// The standard deviation of a distance, metres.
    pub fn sd_m(self, distance_m: f64) -> f64 {
        match self {
            Self::Paced => distance_m * 0.05,
            Self::Ranged => 1.0,
            Self::Taped => (distance_m / 300.0).max(0.1),
        }
    }
}

/// Something the person did.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Press {
    /// A digit, 0 to 9.
    Digit(u8),
    /// The decimal point of a distance.
    Point,
    /// Takes the last digit off.
    Back,
    /// Closes the figure as typed, or leaves it unread.
    Next,
    /// The first (0) or second (1) side key: up or down, or a letter of a quadrant.
    Side(usize),
    /// Touches a figure.
    Touch(Figure),
    /// The distance is level (true) or along the slope.
    Level(bool),
    /// How the distance was measured.
    By(Measured),
}

/// What has to be written down after a key.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum After {
    /// Only the draft changed.
    Draft,
    /// A figure is in: keep the sighting as it stands, where that is new.
    Keep,
    /// Nothing happened.
    Nothing,
}

/// The sighting that is being made or amended.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct OpenSighting {
    /// Its record, once it has been kept.
    pub record: Option<String>,
    /// Station, target, north, note: what is not typed on the keypad; its figures are those last in.
    pub sighting: Sighting,
    /// The bearing as it stands on the page.
    pub bearing: String,
    /// The vertical angle as it stands on the page, without its sign.
    pub vertical: String,
    /// Up or down, once it was said.
    pub up: Option<bool>,
    /// The distance as it stands on the page.
    pub distance: String,
    /// The distance is level, not along the slope.
    pub level: bool,
    /// How the distance was measured; `None` leaves what an older entry says.
    pub by: Option<Measured>,
    /// Where the next digit lands; none once every figure is in or left.
    pub here: Option<Figure>,
    /// The figure whose old digits stand until the first new one.
    #[serde(default)]
    pub over: Option<Figure>,
    /// The card has quadrants.
    #[serde(default)]
    pub quadrants: bool,
}

impl OpenSighting {
    /// An empty sighting from a station, ready for its first digit.
    pub fn new(blank: Sighting, quadrants: bool) -> Self {
        Self {
            sighting: blank,
            by: Some(Measured::default()),
            here: Some(Figure::Bearing),
            quadrants,
            ..Self::default()
        }
    }

    /// Opens a sighting of the book again.
    pub fn again(record: String, sighting: Sighting, quadrants: bool) -> Self {
        let text = |text: &Option<String>| text.clone().unwrap_or_default();
        let bearing = text(&sighting.bearing);
        let quadrants = if bearing.is_empty() {
            quadrants
        } else {
            quadrant::is_one(&bearing)
        };
        let distance = sighting.slope_m.as_ref().or(sighting.level_m.as_ref());
        Self {
            record: Some(record),
            vertical: text(&sighting.vertical),
            up: sighting.vertical.is_some().then_some(sighting.up),
            distance: distance.cloned().unwrap_or_default(),
            level: sighting.level_m.is_some(),
            bearing,
            sighting,
            quadrants,
            ..Self::default()
        }
    }

    /// Nothing has been typed, and no target chosen.
    pub fn is_empty(&self) -> bool {
        self.record.is_none()
            && FIGURES.iter().all(|&f| self.text(f).is_empty())
            && self.sighting.to.is_none()
            && self.sighting.to_words.is_empty()
    }

    /// The text of a figure.
    pub fn text(&self, figure: Figure) -> &str {
        match figure {
            Figure::Bearing => &self.bearing,
            Figure::Vertical => &self.vertical,
            Figure::Distance => &self.distance,
        }
    }

    fn text_mut(&mut self, figure: Figure) -> &mut String {
        match figure {
            Figure::Bearing => &mut self.bearing,
            Figure::Vertical => &mut self.vertical,
            Figure::Distance => &mut self.distance,
        }
    }

    /// How many cells a figure has; a distance as many as it has digits, and one more for the next.
    pub fn cells(&self, figure: Figure) -> usize {
        match figure {
            Figure::Bearing if self.quadrants => 4,
            Figure::Bearing => 3,
            Figure::Vertical => 2,
            Figure::Distance => {
                let digits = self.distance.chars().count();
                (digits + usize::from(self.here == Some(figure))).clamp(3, DISTANCE_DIGITS)
            }
        }
    }

    /// The figure is being typed: its last digit is not in.
    pub fn is_typing(&self, figure: Figure) -> bool {
        let text = self.text(figure);
        if self.over == Some(figure) {
            return false;
        }
        match figure {
            Figure::Bearing if self.quadrants => !text.is_empty() && !quadrant::is_full(text),
            Figure::Bearing => !text.is_empty() && text.len() < 3,
            Figure::Vertical => !text.is_empty() && text.len() < 2,
            Figure::Distance => self.here == Some(figure) && !text.is_empty(),
        }
    }

    /// A vertical angle is in and nobody has said whether it points up or down.
    pub fn waits_for_side(&self) -> bool {
        self.up.is_none()
            && self.vertical.len() >= 2
            && self.vertical.parse::<f64>().is_ok_and(|deg| deg != 0.0)
    }

    /// What the book would keep now: the figures that are in. Figures still being typed stay as they were.
    pub fn entry(&self) -> Sighting {
        let mut sighting = self.sighting.clone();
        let full = |text: &String| (!text.is_empty()).then(|| text.clone());
        if !self.is_typing(Figure::Bearing) {
            sighting.bearing = full(&self.bearing);
        }
        if !self.is_typing(Figure::Vertical) && !self.waits_for_side() {
            sighting.vertical = full(&self.vertical);
            sighting.up = sighting.vertical.is_some() && self.up == Some(true);
        }
        if !self.is_typing(Figure::Distance) {
            let distance = full(&self.distance).map(|text| trimmed(&text));
            if let (Some(by), Some(metres)) = (self.by, distance.as_deref().and_then(metres)) {
                sighting.distance_sd_m = Some(figures(by.sd_m(metres)));
            } else if distance.is_none() {
                sighting.distance_sd_m = None;
            }
            (sighting.slope_m, sighting.level_m) = if self.level {
                (None, distance)
            } else {
                (distance, None)
            };
        }
        sighting
    }

    /// There is something to keep: a figure or a note.
    pub fn is_worth_keeping(&self) -> bool {
        let entry = self.entry();
        entry.bearing.is_some()
            || entry.vertical.is_some()
            || entry.slope_m.is_some()
            || entry.level_m.is_some()
            || !entry.note.is_empty()
    }

    /// Something stands on the page that the book does not have.
    pub fn is_draft(&self, kept: Option<&Sighting>) -> bool {
        FIGURES.iter().any(|&f| self.is_typing(f))
            || self.waits_for_side()
            || match kept {
                Some(kept) => *kept != self.entry(),
                None => !self.is_empty(),
            }
    }

    /// The position of the next digit in its figure.
    pub fn position(&self) -> usize {
        match self.here {
            Some(figure) if self.over != Some(figure) => self.text(figure).chars().count(),
            _ => 0,
        }
    }

    /// The side keys: the letters of a quadrant while the bearing is typed, else up and down.
    pub fn sides(&self) -> [&'static str; 2] {
        if self.quadrants && self.here == Some(Figure::Bearing) {
            let text = if self.over.is_some() {
                ""
            } else {
                &self.bearing
            };
            quadrant::letters(text)
        } else {
            ["up", "down"]
        }
    }

    /// The side keys wait for a choice.
    pub fn sides_wait(&self) -> bool {
        if self.quadrants && self.here == Some(Figure::Bearing) {
            self.over.is_some() || quadrant::wants_letter(&self.bearing)
        } else {
            self.waits_for_side()
        }
    }

    /// The side key that is chosen.
    pub fn side_chosen(&self) -> Option<usize> {
        if self.quadrants && self.here == Some(Figure::Bearing) {
            return None;
        }
        self.up.map(|up| usize::from(!up))
    }

    /// Takes one key.
    pub fn press(&mut self, press: Press) -> After {
        let after = self.take(press);
        if after == After::Keep {
            let before = self.sighting.bearing.clone();
            self.sighting = self.entry();
            if self.sighting.bearing != before {
                // What was settled was about another number.
                self.sighting.accepted.clear();
            }
        }
        after
    }

    fn take(&mut self, press: Press) -> After {
        match press {
            Press::Digit(digit) => self.digit(char::from(b'0' + digit.min(9))),
            Press::Point => self.point(),
            Press::Back => self.back(),
            Press::Next => self.next(),
            Press::Side(index) => self.side(index),
            Press::Touch(figure) => self.touch(figure),
            Press::Level(level) => {
                self.level = level;
                self.amended(Figure::Distance)
            }
            Press::By(by) => {
                self.by = Some(by);
                self.amended(Figure::Distance)
            }
        }
    }

    fn amended(&self, figure: Figure) -> After {
        if self.text(figure).is_empty() || self.is_typing(figure) {
            After::Draft
        } else {
            After::Keep
        }
    }

    /// Clears the old digits under the focus at the first new one.
    fn fresh(&mut self, figure: Figure) {
        if self.over.take().is_some() {
            self.text_mut(figure).clear();
        }
    }

    fn digit(&mut self, digit: char) -> After {
        let Some(figure) = self.here else {
            return After::Nothing;
        };
        self.fresh(figure);
        match figure {
            Figure::Bearing if self.quadrants => {
                if quadrant::push_digit(&mut self.bearing, digit) {
                    return self.after_quadrant();
                }
                // No digit is refused: the letter goes on waiting while this one goes where it must.
                self.advance(figure);
                if self.here == Some(figure) {
                    return After::Nothing;
                }
                return self.digit(digit);
            }
            Figure::Distance => {
                let text = &mut self.distance;
                let cents = text.split_once('.').map_or(0, |(_, cents)| cents.len());
                if text.len() >= DISTANCE_DIGITS || cents >= 2 {
                    return After::Nothing;
                }
                if text == "0" {
                    text.clear();
                }
                text.push(digit);
                return After::Draft;
            }
            Figure::Bearing if self.bearing.is_empty() && digit >= '4' => self.bearing.push('0'),
            _ => {}
        }
        self.text_mut(figure).push(digit);
        if self.text(figure).len() >= self.cells(figure) {
            self.advance(figure);
            return After::Keep;
        }
        After::Draft
    }

    fn after_quadrant(&mut self) -> After {
        if quadrant::is_full(&self.bearing) {
            self.advance(Figure::Bearing);
            return After::Keep;
        }
        After::Draft
    }

    fn point(&mut self) -> After {
        if self.here != Some(Figure::Distance) {
            return After::Nothing;
        }
        self.fresh(Figure::Distance);
        if self.distance.contains('.') || self.distance.len() >= DISTANCE_DIGITS {
            return After::Nothing;
        }
        if self.distance.is_empty() {
            self.distance.push('0');
        }
        self.distance.push('.');
        After::Draft
    }

    /// The focus goes to the next figure that is empty.
    fn advance(&mut self, from: Figure) {
        self.over = None;
        self.here = FIGURES
            .into_iter()
            .skip_while(|&f| f != from)
            .skip(1)
            .find(|&f| self.text(f).is_empty())
            .or_else(|| {
                FIGURES
                    .into_iter()
                    .find(|&f| self.is_typing(f) && f != Figure::Distance)
            });
    }

    fn back(&mut self) -> After {
        if self.over.take().is_some() {
            self.here = None;
            return After::Draft;
        }
        let from = self
            .here
            .and_then(|here| FIGURES.iter().position(|&f| f == here))
            .unwrap_or(FIGURES.len() - 1);
        for &figure in FIGURES[..=from].iter().rev() {
            if !self.text(figure).is_empty() {
                self.here = Some(figure);
                if figure == Figure::Bearing && self.quadrants {
                    quadrant::shorten(&mut self.bearing);
                } else {
                    self.text_mut(figure).pop();
                }
                if figure == Figure::Vertical && self.vertical.is_empty() {
                    self.up = None;
                }
                return After::Draft;
            }
        }
        After::Nothing
    }

    fn next(&mut self) -> After {
        let Some(figure) = self.here else {
            return After::Nothing;
        };
        if self.over.take().is_some() {
            self.here = None;
            return After::Draft;
        }
        self.pad(figure);
        if figure == Figure::Bearing && self.quadrants && self.is_typing(figure) {
            // A quadrant without its letters is no bearing yet.
            return After::Draft;
        }
        self.advance(figure);
        After::Keep
    }

    fn pad(&mut self, figure: Figure) {
        match figure {
            Figure::Bearing if self.quadrants => quadrant::pad(&mut self.bearing),
            Figure::Bearing if !self.bearing.is_empty() => {
                self.bearing = format!("{:0>3}", self.bearing);
            }
            Figure::Vertical if !self.vertical.is_empty() => {
                self.vertical = format!("{:0>2}", self.vertical);
            }
            Figure::Distance => self.distance = trimmed(&self.distance),
            _ => {}
        }
    }

    /// Ends the sighting as it stands; true where there is something to keep. What cannot stand as a figure, because a
    /// letter or its up or down was never said, goes into the note as it was typed.
    pub fn close(&mut self) -> bool {
        for figure in FIGURES {
            if self.is_typing(figure) {
                self.pad(figure);
            }
        }
        self.here = None;
        self.over = None;
        if self.is_typing(Figure::Bearing) {
            let typed = self.bearing.replace('_', "");
            self.note_left(&format!("bearing {typed}, its letters not said"));
            self.bearing = self.sighting.bearing.clone().unwrap_or_default();
        }
        if self.waits_for_side() {
            let typed = self.vertical.clone();
            self.note_left(&format!("vertical angle {typed}, up or down not said"));
            self.vertical = self.sighting.vertical.clone().unwrap_or_default();
            self.up = self.sighting.vertical.is_some().then_some(self.sighting.up);
        }
        self.is_worth_keeping()
    }

    fn note_left(&mut self, words: &str) {
        let note = &mut self.sighting.note;
        if !note.is_empty() {
            note.push_str("; ");
        }
        note.push_str(words);
    }

    fn side(&mut self, index: usize) -> After {
        if self.quadrants && self.here == Some(Figure::Bearing) {
            self.fresh(Figure::Bearing);
            if !quadrant::push_letter(&mut self.bearing, index) {
                return After::Nothing;
            }
            return self.after_quadrant();
        }
        self.up = Some(index == 0);
        if self.vertical.is_empty() {
            self.over = None;
            if self.is_typing(Figure::Bearing) {
                return After::Draft;
            }
            self.here = Some(Figure::Vertical);
            return After::Draft;
        }
        self.amended(Figure::Vertical)
    }

    fn touch(&mut self, figure: Figure) -> After {
        if self.here == Some(Figure::Distance) && figure != Figure::Distance {
            self.pad(Figure::Distance);
        }
        self.over = (!self.text(figure).is_empty()).then_some(figure);
        self.here = Some(figure);
        After::Draft
    }

    /// Takes one of a doubt's choices; the bearing stays as it was read.
    pub fn accept(&mut self, accepted: Accepted) -> After {
        self.sighting.accepted.retain(|a| a.doubt != accepted.doubt);
        self.sighting.accepted.push(accepted);
        After::Keep
    }

    /// Who or what is sighted.
    pub fn aim(&mut self, to: Option<String>, words: String) -> After {
        self.sighting.to = to;
        self.sighting.to_words = words;
        if self.is_worth_keeping() {
            After::Keep
        } else {
            After::Draft
        }
    }
}

/// A typed distance as a number, metres.
pub fn metres(text: &str) -> Option<f64> {
    text.parse::<f64>().ok().filter(|metres| *metres > 0.0)
}

/// A distance without leading zeros and without a point that nothing follows.
fn trimmed(text: &str) -> String {
    let text = text.trim_end_matches('.');
    let rest = text.trim_start_matches('0');
    match rest {
        "" => text.get(..1).unwrap_or_default().to_owned(),
        rest if rest.starts_with('.') => format!("0{rest}"),
        rest => rest.to_owned(),
    }
}

/// Metres with as many figures as they mean: whole from ten up, one decimal from one up, else two.
pub fn figures(metres: f64) -> String {
    match metres.abs() {
        size if size >= 9.95 => format!("{metres:.0}"),
        size if size >= 0.95 => format!("{metres:.1}"),
        _ => format!("{metres:.2}"),
    }
}

#[cfg(test)]
mod tests;
