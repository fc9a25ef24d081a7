//! The open reading: what each key does to the dials, the focus and the shots. No browser, no clock, no ids.
//!
//! A reading is kept by itself the moment its last dial is in; the next digit begins the next shot.

pub mod part;

pub mod quadrant;

mod side;

mod shots;

use serde::{Deserialize, Serialize};

use crate::notebook::{Accepted, Form, Notation, Reading, Shot, Tops};
use crate::orientation::faults::Sense;
use crate::orientation::{Choice, Dial, Doubt, DoubtKind};

use side::toward_of;

/// Something the person did on the keypad.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Key {
    /// A digit, 0 to 9.
    Digit(u8),
    /// Takes the last digit off.
    Back,
    /// Closes the dial as typed, or leaves it unread.
    NextDial,
    /// The first (0) or second (1) side key.
    Side(usize),
    /// Touches a dial.
    Touch(Dial),
    /// Touches a shot, by its index.
    TouchShot(usize),
    /// Strikes the last or the touched shot out, or puts it back.
    StrikeShot,
}

/// What has to be written down after a key.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// Only the draft changed.
    Draft,
    /// The reading is complete as it stands: keep it.
    Keep,
    /// A kept reading was corrected: keep the correction.
    Correct,
    /// A shot was struck out: keep that.
    StrikeShot,
    /// A struck-out shot was put back: keep that.
    PutBackShot,
    /// Nothing happened.
    Nothing,
}

/// The reading that is being made or amended.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Open {
    /// Its record, once it has been kept.
    pub record: Option<String>,
    /// The reading with its finished shots.
    pub reading: Reading,
    /// The shot being typed, or a copy of a finished one while it is corrected.
    pub shot: Shot,
    /// Which shot that is: the number of finished shots for a new one.
    pub at: usize,
    /// Where the next digit lands; none once every dial is in.
    pub here: Option<Dial>,
    /// Dials that were passed over in this shot.
    #[serde(default)]
    pub passed: Vec<Dial>,
    /// The dial whose old digits stand until the first new one.
    #[serde(default)]
    pub over: Option<Dial>,
    /// How the book writes: it decides which dials a plane has.
    pub notation: Notation,
    /// The set-up reads to half a degree.
    #[serde(default)]
    pub halves: bool,
    /// The set-up reads to a quarter.
    #[serde(default)]
    pub quarters: bool,
    /// The quarters of the dial just filled have been gone through: the key is *next dial* again.
    #[serde(default)]
    pub whole: bool,
    /// The card has quadrants: an azimuth is N or S, two digits, E or W.
    #[serde(default)]
    pub quadrants: bool,
}

/// The dials of a form, in the order in which they are read.
pub fn order(form: Form, notation: Notation) -> &'static [Dial] {
    use Dial::{Angle, Dip, Plunge, Rake, Side, Strike, Toward, Trend};
    match (form, notation) {
        (Form::Plane, Notation::StrikeDip | Notation::Quadrant) => &[Strike, Dip, Side],
        (Form::Plane, Notation::RightHand) => &[Strike, Dip],
        (Form::Plane, Notation::DipDirection) => &[Dip, Toward],
        (Form::Line, _) => &[Trend, Plunge],
        (Form::PlaneWithLine, Notation::StrikeDip | Notation::Quadrant) => {
            &[Strike, Dip, Side, Trend, Plunge, Rake]
        }
        (Form::PlaneWithLine, Notation::RightHand) => &[Strike, Dip, Trend, Plunge, Rake],
        (Form::PlaneWithLine, Notation::DipDirection) => &[Dip, Toward, Trend, Plunge, Rake],
        (Form::Angle, _) => &[Angle],
    }
}

/// How many digits a dial takes; a side takes none.
pub fn digits(dial: Dial) -> usize {
    match dial {
        Dial::Side => 0,
        Dial::Dip | Dial::Plunge | Dial::Vertical => 2,
        _ => 3,
    }
}

fn is_azimuth(dial: Dial) -> bool {
    matches!(
        dial,
        Dial::Strike | Dial::Toward | Dial::Trend | Dial::Bearing
    )
}

/// The number in a typed text, where it is one; of a whole quadrant its azimuth.
pub fn number(text: &str) -> Option<f64> {
    text.parse().ok().or_else(|| quadrant::azimuth_deg(text))
}

fn whole(text: &str) -> &str {
    text.split('.').next().unwrap_or(text)
}

impl Open {
    /// An empty reading of a kind, ready for its first digit.
    pub fn new(blank: Reading, notation: Notation, halves: bool) -> Self {
        let mut open = Self {
            reading: Reading {
                right_hand: notation == Notation::RightHand,
                shots: Vec::new(),
                ..blank
            },
            notation,
            halves,
            ..Self::default()
        };
        open.here = open.order().first().copied();
        open
    }

    /// Opens a reading of the book again; the next digit begins its next shot.
    pub fn again(record: String, reading: Reading, notation: Notation, halves: bool) -> Self {
        let notation = match (reading.right_hand, notation) {
            _ if reading.shots.iter().any(|s| s.toward.is_some()) => Notation::DipDirection,
            (true, _) => Notation::RightHand,
            (false, Notation::RightHand | Notation::DipDirection)
                if reading.shots.iter().any(|s| s.strike.is_some()) =>
            {
                Notation::StrikeDip
            }
            (_, notation) => notation,
        };
        let mut open = Self {
            record: Some(record),
            reading,
            notation,
            halves,
            ..Self::default()
        };
        open.rest();
        open
    }

    /// Says what the card of the set-up is like; a reading that has azimuths already goes on as they were read.
    pub fn on_card(mut self, quadrants: bool) -> Self {
        let azimuths = [Dial::Strike, Dial::Toward, Dial::Trend];
        let read = self
            .reading
            .shots
            .iter()
            .flat_map(|shot| azimuths.map(|dial| shot.get(dial)))
            .flatten()
            .next();
        self.quadrants = read.map_or(quadrants, quadrant::is_one);
        self
    }

    /// Says whether the set-up reads to a quarter of a degree.
    pub fn in_quarters(mut self, quarters: bool) -> Self {
        self.quarters = quarters;
        self
    }

    /// The dial is an azimuth on a card of quadrants.
    pub fn is_quadrant(&self, dial: Dial) -> bool {
        self.quadrants && is_azimuth(dial)
    }

    /// How many cells a dial has; a side has none.
    pub fn cells(&self, dial: Dial) -> usize {
        if self.is_quadrant(dial) {
            4
        } else {
            digits(dial)
        }
    }

    fn is_full(&self, dial: Dial, text: &str) -> bool {
        if self.is_quadrant(dial) {
            quadrant::is_full(text)
        } else {
            whole(text).len() >= digits(dial)
        }
    }

    fn pad(&self, dial: Dial, text: &str) -> String {
        if self.is_quadrant(dial) {
            let mut text = text.to_owned();
            quadrant::pad(&mut text);
            return text;
        }
        format!("{text:0>width$}", width = digits(dial))
    }

    /// The letters on the side keys while a quadrant is typed.
    pub fn letters(&self) -> Option<[&'static str; 2]> {
        let dial = self.here.filter(|&dial| self.is_quadrant(dial))?;
        Some(quadrant::letters(self.typed(dial)))
    }

    /// A letter of the quadrant comes next.
    pub fn wants_letter(&self) -> bool {
        self.here
            .is_some_and(|dial| self.is_quadrant(dial) && quadrant::wants_letter(self.typed(dial)))
    }

    /// What has been typed of a dial; old digits that wait to be typed over are not.
    fn typed(&self, dial: Dial) -> &str {
        match self.shot.get(dial) {
            Some(text) if self.over != Some(dial) => text,
            _ => "",
        }
    }

    /// The right-hand strike of the plane shown, where its dials give one; the rake is counted from there.
    pub fn right_hand_strike(&self) -> Option<f64> {
        let shot = self.shown();
        if let Some(toward) = shot.toward.as_deref().and_then(number) {
            return Some((toward - 90.0).rem_euclid(360.0));
        }
        if self.reading.right_hand {
            return shot.strike.as_deref().and_then(number);
        }
        toward_of(shot).map(|toward| (toward - 90.0).rem_euclid(360.0))
    }

    /// The dials of this reading, in order.
    pub fn order(&self) -> &'static [Dial] {
        order(self.reading.form, self.notation)
    }

    /// Nothing has been typed or kept yet.
    pub fn is_empty(&self) -> bool {
        self.reading.shots.is_empty() && self.is_untyped()
    }

    /// No dial of the present shot has been typed.
    pub fn is_untyped(&self) -> bool {
        self.at == self.reading.shots.len()
            && self.order().iter().all(|&d| self.shot.get(d).is_none())
    }

    /// A shot is being typed or corrected: the line is dashed.
    pub fn is_draft(&self) -> bool {
        self.here.is_some() && (!self.is_untyped() || self.reading.shots.is_empty())
    }

    /// At least one shot is finished and none is being typed.
    pub fn is_finished(&self) -> bool {
        !self.reading.shots.is_empty() && !self.is_draft()
    }

    /// The shot whose digits stand on the dials: the one being typed, else the last finished one.
    pub fn shown(&self) -> &Shot {
        if self.is_draft() || self.at < self.reading.shots.len() {
            &self.shot
        } else {
            self.reading.shots.last().unwrap_or(&self.shot)
        }
    }

    /// The reading as it would be if the present shot ended here.
    pub fn preview(&self) -> Reading {
        let mut reading = self.reading.clone();
        if self.is_draft() {
            let mut shot = self.shot.clone();
            for &dial in self.order() {
                // A number that is still being typed says nothing yet.
                let unread = self.is_quadrant(dial)
                    && !self.passed.contains(&dial)
                    && shot.get(dial).is_some_and(|text| !quadrant::is_full(text));
                if self.typing(dial) || unread {
                    shot.set(dial, None);
                }
            }
            if let Some(slot) = reading.shots.get_mut(self.at) {
                *slot = shot;
            } else {
                reading.shots.push(shot);
            }
        }
        reading
    }

    /// Index of the shot that the dials show.
    pub fn shown_at(&self) -> usize {
        if self.is_draft() || self.at < self.reading.shots.len() {
            self.at
        } else {
            self.reading.shots.len().saturating_sub(1)
        }
    }

    fn typing(&self, dial: Dial) -> bool {
        self.here == Some(dial)
            && self.over != Some(dial)
            && self
                .shot
                .get(dial)
                .is_none_or(|text| !self.is_full(dial, text))
    }

    /// The position of the next digit in its dial.
    pub fn position(&self) -> usize {
        match self.here {
            Some(dial) if self.over != Some(dial) => self
                .shot
                .get(dial)
                .map_or(0, |text| part::bare(text).len().min(self.cells(dial))),
            _ => 0,
        }
    }

    /// Takes one key. `now` is the time that a finished shot is stamped with.
    pub fn press(&mut self, key: &Key, now: &str) -> Outcome {
        self.whole &= *key == Key::NextDial;
        match *key {
            Key::Digit(digit) => self.digit(digit, now),
            Key::Back => self.back(),
            Key::NextDial => self.next_dial(now),
            Key::Side(index) => self.side(index, now),
            Key::Touch(dial) => self.touch(dial),
            Key::TouchShot(index) => self.touch_shot(index),
            Key::StrikeShot => self.strike_shot(),
        }
    }

    fn digit(&mut self, digit: u8, now: &str) -> Outcome {
        let digit = char::from(b'0' + digit.min(9));
        let mut outcome = Outcome::Draft;
        if self.here == Some(Dial::Side) {
            // No digit is refused: the side stays unread and the digit goes where it must.
            self.passed.push(Dial::Side);
            self.here = self.next_after(Dial::Side);
            if self.here.is_none() {
                outcome = self.finish(now);
            }
        }
        if self.here.is_none() {
            self.begin_shot();
        }
        let Some(dial) = self.here else {
            return Outcome::Nothing;
        };
        if self.is_quadrant(dial) {
            return self.digit_of_quadrant(dial, digit, outcome, now);
        }
        let mut text = whole(self.typed(dial)).to_owned();
        self.over = None;
        if text.is_empty() && is_azimuth(dial) && digit >= '4' {
            text.push('0');
        }
        text.push(digit);
        let full = text.len() >= digits(dial);
        self.shot.set(dial, Some(text));
        self.passed.retain(|&d| d != dial);
        if full {
            match self.advance(dial, now) {
                Outcome::Draft => outcome,
                kept => kept,
            }
        } else {
            outcome
        }
    }

    fn digit_of_quadrant(
        &mut self,
        dial: Dial,
        digit: char,
        outcome: Outcome,
        now: &str,
    ) -> Outcome {
        let mut text = self.typed(dial).to_owned();
        self.over = None;
        if quadrant::push_digit(&mut text, digit) {
            self.shot.set(dial, Some(text));
            self.passed.retain(|&d| d != dial);
            return outcome;
        }
        // The letter goes on waiting while this digit goes to the next dial that takes one.
        let takes_digits = |d: Dial| {
            d != Dial::Side
                && !self.is_settled(d)
                && (!self.is_quadrant(d) || quadrant::takes_digit(self.typed(d)))
        };
        let order = self.order();
        let from = order.iter().position(|&d| d == dial).map_or(0, |i| i + 1);
        let mut after = order[from..].iter().chain(&order[..from]).copied();
        match after.find(|&d| takes_digits(d)) {
            Some(next) => {
                self.here = Some(next);
                self.digit(digit as u8 - b'0', now)
            }
            None => Outcome::Nothing,
        }
    }

    /// A letter of the quadrant from a side key.
    fn letter(&mut self, dial: Dial, index: usize, now: &str) -> Outcome {
        let mut text = self.typed(dial).to_owned();
        if !quadrant::push_letter(&mut text, index) {
            return Outcome::Nothing;
        }
        self.over = None;
        let full = quadrant::is_full(&text);
        self.shot.set(dial, Some(text));
        self.passed.retain(|&d| d != dial);
        if full {
            self.advance(dial, now)
        } else {
            Outcome::Draft
        }
    }

    fn is_settled(&self, dial: Dial) -> bool {
        if self.passed.contains(&dial) {
            return true;
        }
        if dial == Dial::Side {
            let dip = self.shot.dip.as_deref().and_then(number);
            return self.shot.side.is_some()
                || dip.is_some_and(|d| d == 0.0 || d == 90.0)
                || self.passed.contains(&Dial::Strike)
                || self.passed.contains(&Dial::Dip);
        }
        self.shot
            .get(dial)
            .is_some_and(|text| self.is_full(dial, text))
    }

    fn next_after(&self, dial: Dial) -> Option<Dial> {
        let order = self.order();
        let from = order.iter().position(|&d| d == dial).map_or(0, |i| i + 1);
        order[from..]
            .iter()
            .chain(&order[..from])
            .copied()
            .find(|&d| {
                // The sides are known only from the strike.
                let early = d == Dial::Side && !self.is_settled(Dial::Strike);
                !early && !self.is_settled(d)
            })
    }

    fn advance(&mut self, dial: Dial, now: &str) -> Outcome {
        if dial == Dial::Strike {
            self.refit_side();
        }
        self.here = self.next_after(dial);
        if self.here == Some(Dial::Side) {
            self.carry_side();
            if self.shot.side.is_some() {
                self.here = self.next_after(Dial::Side);
            }
        }
        match self.here {
            Some(_) => Outcome::Draft,
            None => self.finish(now),
        }
    }

    fn back(&mut self) -> Outcome {
        if self.over.take().is_some() {
            // The old digits stand again.
            self.resume();
            if self.here.is_none() {
                self.rest();
            }
            return Outcome::Draft;
        }
        if self.here.is_none() {
            let Some(last) = self.reading.shots.len().checked_sub(1) else {
                return Outcome::Nothing;
            };
            self.open_shot(last);
        }
        let order = self.order();
        let from = self
            .here
            .and_then(|h| order.iter().position(|&d| d == h))
            .unwrap_or(order.len());
        let start = (from + 1).min(order.len());
        for &dial in order[..start].iter().rev() {
            if let Some(text) = self.shot.get(dial).map(str::to_owned) {
                let shorter = self.shorten(dial, &text);
                self.shot.set(dial, shorter);
                self.passed.retain(|&d| d != dial);
                self.here = Some(dial);
                return Outcome::Draft;
            }
            if self.passed.contains(&dial) {
                self.passed.retain(|&d| d != dial);
                if dial == Dial::Side {
                    continue;
                }
                self.here = Some(dial);
                return Outcome::Draft;
            }
        }
        if self.at > 0 && self.at == self.reading.shots.len() {
            // Across shots: the empty new shot gives way to the one before.
            self.rest();
            return self.back();
        }
        self.here = order.first().copied();
        Outcome::Nothing
    }

    /// The text with its last digit taken off; a half goes first, a side goes whole.
    fn shorten(&self, dial: Dial, text: &str) -> Option<String> {
        if dial == Dial::Side {
            return None;
        }
        let mut text = text.to_owned();
        if self.is_quadrant(dial) {
            quadrant::shorten(&mut text);
        } else if text.contains('.') {
            text = part::bare(&text);
        } else {
            text.pop();
        }
        (!text.is_empty()).then_some(text)
    }

    fn next_dial(&mut self, now: &str) -> Outcome {
        if self.next_part().is_some() {
            return self.add_part(now);
        }
        self.whole = false;
        let Some(dial) = self.here else {
            return Outcome::Nothing;
        };
        if self.over.take().is_some() {
            self.resume();
            if self.here.is_none() {
                self.rest();
            }
            return Outcome::Draft;
        }
        match self.shot.get(dial).map(str::to_owned) {
            Some(text) if !text.is_empty() && dial != Dial::Side => {
                let padded = self.pad(dial, &text);
                let waits = self.is_quadrant(dial) && !quadrant::is_full(&padded);
                self.shot.set(dial, Some(padded));
                if waits {
                    // A quadrant without its letters is no azimuth yet.
                    return Outcome::Draft;
                }
            }
            _ => {
                if !self.passed.contains(&dial) {
                    self.passed.push(dial);
                }
            }
        }
        self.advance(dial, now)
    }

    /// The part of a degree that the next-dial key reads, if a dial was just filled and the set-up reads parts: ½; or ¼, ½, ¾
    /// and then, empty, whole degrees again.
    pub fn next_part(&self) -> Option<&'static str> {
        if !self.halves || self.over.is_some() || self.whole {
            return None;
        }
        let text = match self.letter_after_part() {
            Some(dial) => self.typed(dial).to_owned(),
            None if self.position() == 0 => self.just_filled()?.1,
            None => return None,
        };
        let takes = self.quarters || part::sign(&text).is_empty();
        takes.then(|| part::sign(&part::stepped(&text, self.quarters)))
    }

    /// The quadrant that has its two digits and waits for its last letter.
    fn letter_after_part(&self) -> Option<Dial> {
        let dial = self.here.filter(|&dial| self.is_quadrant(dial))?;
        let text = self.typed(dial);
        let waits = quadrant::takes_half(&part::bare(text)) && !quadrant::is_full(text);
        waits.then_some(dial)
    }

    fn just_filled(&self) -> Option<(Dial, String)> {
        let order = self.order();
        let (shot, end) = match self.here {
            Some(here) => (&self.shot, order.iter().position(|&d| d == here)?),
            None => (self.reading.shots.last()?, order.len()),
        };
        let dial = *order[..end].iter().rev().find(|&&d| d != Dial::Side)?;
        Some((dial, shot.get(dial)?.to_owned()))
    }

    fn add_part(&mut self, now: &str) -> Outcome {
        let waiting = self.letter_after_part();
        let filled = match waiting {
            Some(dial) => Some((dial, self.typed(dial).to_owned())),
            None => self.just_filled(),
        };
        let Some((dial, text)) = filled else {
            return Outcome::Nothing;
        };
        let text = part::stepped(&text, self.quarters);
        self.whole = part::sign(&text).is_empty();
        if self.here.is_some() {
            self.shot.set(dial, Some(text));
            return Outcome::Draft;
        }
        if let Some(last) = self.reading.shots.last_mut() {
            last.set(dial, Some(text));
            now.clone_into(&mut last.at);
        }
        Outcome::Correct
    }

    /// Where the focus goes when nothing is being typed over.
    fn resume(&mut self) {
        self.here = self.order().iter().copied().find(|&d| !self.is_settled(d));
    }

    fn touch(&mut self, dial: Dial) -> Outcome {
        if !self.order().contains(&dial) {
            return Outcome::Nothing;
        }
        if !self.is_draft() && !self.reading.shots.is_empty() {
            self.open_shot(self.shown_at());
        }
        self.over = (self.shot.get(dial).is_some() && dial != Dial::Side).then_some(dial);
        self.passed.retain(|&d| d != dial);
        self.here = Some(dial);
        Outcome::Draft
    }

    /// Changes the kind of an empty or unfinished reading; dials that fit stay.
    pub fn change_kind(&mut self, kind: &str, form: Form) {
        kind.clone_into(&mut self.reading.kind);
        self.reading.form = form;
        let order = self.order();
        self.passed.retain(|d| order.contains(d));
        self.over = None;
        for dial in [
            Dial::Strike,
            Dial::Dip,
            Dial::Side,
            Dial::Toward,
            Dial::Trend,
            Dial::Plunge,
            Dial::Rake,
            Dial::Angle,
        ] {
            if !order.contains(&dial) {
                self.shot.set(dial, None);
            }
        }
        self.resume();
    }

    /// Which way the beds young.
    pub fn set_tops(&mut self, tops: Tops) -> Outcome {
        self.reading.tops = tops;
        self.after_words()
    }

    /// Which way the hanging wall went; `None` where nobody could tell.
    pub fn set_sense(&mut self, sense: Option<Sense>) -> Outcome {
        self.reading.sense = sense;
        self.after_words()
    }

    /// Which planes an angle was read between.
    pub fn set_planes(&mut self, planes: Vec<String>) -> Outcome {
        self.reading.planes = planes;
        self.after_words()
    }

    fn after_words(&self) -> Outcome {
        if self.record.is_some() {
            Outcome::Correct
        } else {
            Outcome::Draft
        }
    }

    /// Takes one of a doubt's choices. A number that spilled over while it is being typed is typed right;
    /// anything else is stored beside the dials, which stay as read.
    pub fn accept(&mut self, doubt: &Doubt, choice: &Choice, by: &str, now: &str) -> Outcome {
        let typing = self.is_draft();
        let spilled = doubt.kind == DoubtKind::OutOfRange
            && doubt.dial.is_some_and(is_azimuth)
            && !choice.sets.is_empty();
        if typing && spilled {
            let mut last = None;
            for (dial, text) in &choice.sets {
                self.shot.set(*dial, Some(text.clone()));
                last = Some(*dial);
            }
            self.resume();
            if let (None, Some(dial)) = (self.here, last) {
                return self.advance(dial, now);
            }
            return Outcome::Draft;
        }
        let shot = self.shown_at();
        self.reading.accepted.push(Accepted {
            doubt: doubt.kind,
            shot,
            choice: choice.words.clone(),
            sets: choice.sets.clone(),
            by: by.to_owned(),
            at: now.to_owned(),
        });
        if self.record.is_some() && !typing {
            Outcome::Correct
        } else {
            Outcome::Draft
        }
    }

    /// The span of values that the digits typed so far can still become, for the limb.
    pub fn possible(&self, dial: Dial) -> Option<(f64, f64)> {
        if !self.typing(dial) {
            return None;
        }
        let text = self.shot.get(dial)?;
        if self.is_quadrant(dial) {
            return quadrant::possible_deg(text)[0];
        }
        let missing = digits(dial).checked_sub(text.len())?;
        if text.is_empty() || missing == 0 {
            return None;
        }
        let span = 10_f64.powi(i32::try_from(missing).ok()?);
        let low = number(text)? * span;
        Some((low, low + span - 1.0))
    }

    /// The second such span: on a card of quadrants, the one west of the meridian.
    pub fn also_possible(&self, dial: Dial) -> Option<(f64, f64)> {
        let typing = self.typing(dial) && self.is_quadrant(dial);
        quadrant::possible_deg(self.shot.get(dial).filter(|_| typing)?)[1]
    }

    /// The finished value of a dial in the shot shown, in degrees.
    pub fn value(&self, dial: Dial) -> Option<f64> {
        if self.typing(dial) {
            return None;
        }
        number(self.shown().get(dial)?)
    }
}

#[cfg(test)]
mod tests;
