//! The open reading: what each key does to the dials, the focus and the shots. No browser, no clock, no ids.
//!
//! A reading is kept by itself the moment its last dial is in; the next digit begins the next shot.

use serde::{Deserialize, Serialize};

use crate::notebook::{Accepted, Form, Notation, Reading, Shot, Tops};
use crate::orientation::{Choice, Dial, Doubt, DoubtKind, sides};

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

/// The number in a typed text, where it is one.
pub fn number(text: &str) -> Option<f64> {
    text.parse().ok()
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
            if let Some(dial) = self.here
                && self.typing(dial)
            {
                // A number that is still being typed says nothing yet.
                shot.set(dial, None);
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

    /// The two sides offered, where a strike is in; before the strike of a further shot, those of the shot before.
    pub fn sides(&self) -> Option<[(&'static str, f64); 2]> {
        if !self.order().contains(&Dial::Side) {
            return None;
        }
        let typed = match self.shown().get(Dial::Strike) {
            Some(strike) if whole(strike).len() >= 3 && !self.typing(Dial::Strike) => {
                number(strike)
            }
            _ => self
                .shot_before()
                .and_then(|s| number(s.strike.as_deref()?)),
        };
        Some(sides(typed?.rem_euclid(360.0)).map(|side| (side.wind, side.toward_deg)))
    }

    /// The last finished shot whose side a further shot carries on.
    fn shot_before(&self) -> Option<&Shot> {
        if self.at < self.reading.shots.len() {
            return None;
        }
        self.reading
            .shots
            .iter()
            .rev()
            .find(|s| !s.struck_out && s.side.is_some())
    }

    /// The side as it stands on its dial: the one chosen, or the one carried on before the strike is in.
    pub fn side_shown(&self) -> Option<String> {
        if !self.order().contains(&Dial::Side) {
            return None;
        }
        self.shown().side.clone().or_else(|| {
            (self.shot.strike.is_none() || self.typing(Dial::Strike))
                .then(|| self.shot_before().and_then(|s| s.side.clone()))
                .flatten()
        })
    }

    /// The side key that is chosen, 0 or 1.
    pub fn side_chosen(&self) -> Option<usize> {
        if self.reading.form == Form::Line {
            return (self.shown().plunge.is_some()).then_some(usize::from(self.shown().up));
        }
        let chosen = self.side_shown()?;
        self.sides()?.iter().position(|&(wind, _)| wind == chosen)
    }

    fn typing(&self, dial: Dial) -> bool {
        self.here == Some(dial)
            && self.over != Some(dial)
            && self
                .shot
                .get(dial)
                .is_none_or(|t| whole(t).len() < digits(dial))
    }

    /// The position of the next digit in its dial.
    pub fn position(&self) -> usize {
        match self.here {
            Some(dial) if self.over != Some(dial) => self
                .shot
                .get(dial)
                .map_or(0, |t| whole(t).len().min(digits(dial))),
            _ => 0,
        }
    }

    /// Puts the open reading at rest: finished shots stand, the next digit begins a new one.
    fn rest(&mut self) {
        self.at = self.reading.shots.len();
        self.shot = Shot::default();
        self.passed.clear();
        self.over = None;
        self.here = if self.reading.shots.is_empty() {
            self.order().first().copied()
        } else {
            None
        };
    }

    /// Takes one key. `now` is the time that a finished shot is stamped with.
    pub fn press(&mut self, key: &Key, now: &str) -> Outcome {
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
        let mut text = match self.shot.get(dial) {
            Some(t) if self.over != Some(dial) => whole(t).to_owned(),
            _ => String::new(),
        };
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

    fn begin_shot(&mut self) {
        self.at = self.reading.shots.len();
        self.shot = Shot::default();
        self.passed.clear();
        self.over = None;
        self.here = self.order().first().copied();
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
            .is_some_and(|t| whole(t).len() >= digits(dial))
    }

    fn next_after(&self, dial: Dial) -> Option<Dial> {
        let order = self.order();
        let from = order.iter().position(|&d| d == dial).map_or(0, |i| i + 1);
        order[from..]
            .iter()
            .chain(&order[..from])
            .copied()
            .find(|&d| !self.is_settled(d))
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

    /// A corrected strike keeps the compass side that was chosen.
    fn refit_side(&mut self) {
        let Some(side) = self.shot.side.clone() else {
            return;
        };
        let Some(strike) = self.shot.strike.as_deref().and_then(number) else {
            return;
        };
        let offered = sides(strike);
        if offered.iter().any(|s| s.wind == side) {
            return;
        }
        let before = self
            .reading
            .shots
            .get(self.at)
            .and_then(toward_of)
            .or_else(|| {
                crate::orientation::Wind::read(&side).map(crate::orientation::Wind::azimuth_deg)
            });
        if let Some(before) = before {
            self.shot.side = Some(nearest(&offered.map(|s| (s.wind, s.toward_deg)), before).into());
        }
    }

    /// The side of the shot before, where there is one: 062 SE, then 242, is still SE.
    fn carry_side(&mut self) {
        if self.at >= self.reading.shots.len()
            && let Some(before) = self
                .reading
                .shots
                .iter()
                .rev()
                .filter(|s| !s.struck_out)
                .find_map(toward_of)
            && let Some(strike) = self.shot.strike.as_deref().and_then(number)
        {
            let offered = sides(strike).map(|s| (s.wind, s.toward_deg));
            self.shot.side = Some(nearest(&offered, before).into());
        }
    }

    fn finish(&mut self, now: &str) -> Outcome {
        let correction = self.at < self.reading.shots.len();
        if self
            .order()
            .iter()
            .all(|&d| self.shot.get(d).is_none_or(str::is_empty))
        {
            self.rest();
            return Outcome::Draft;
        }
        let mut shot = std::mem::take(&mut self.shot);
        if correction {
            self.reading.shots[self.at] = shot;
        } else {
            now.clone_into(&mut shot.at);
            self.reading.shots.push(shot);
        }
        let first = self.reading.shots.len() == 1 && !correction && self.record.is_none();
        self.rest();
        if first || !correction {
            Outcome::Keep
        } else {
            Outcome::Correct
        }
    }

    /// Carries over the shot that was being typed when the reading under it changed, by an undo or from another tab.
    pub fn go_on_typing(&mut self, before: &Open) {
        let new_shot = before.at == before.reading.shots.len();
        if new_shot && before.is_draft() && !before.is_untyped() && before.order() == self.order() {
            self.at = self.reading.shots.len();
            self.shot = before.shot.clone();
            self.here = before.here;
            self.passed.clone_from(&before.passed);
            self.over = before.over;
        }
    }

    /// Ends the present shot as it stands, for *Next reading* and for leaving; true when there is something to keep.
    pub fn close(&mut self, now: &str) -> bool {
        if self.is_untyped() || !self.is_draft() {
            return false;
        }
        if let Some(dial) = self.here
            && let Some(text) = self.shot.get(dial).map(str::to_owned)
            && !text.is_empty()
        {
            let padded = pad(dial, &text);
            self.shot.set(dial, Some(padded));
        }
        matches!(self.finish(now), Outcome::Keep | Outcome::Correct)
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
                let shorter = shorten(dial, &text);
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

    fn next_dial(&mut self, now: &str) -> Outcome {
        if self.offers_half() {
            return self.half(now);
        }
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
                let padded = pad(dial, &text);
                self.shot.set(dial, Some(padded));
            }
            _ => {
                if !self.passed.contains(&dial) {
                    self.passed.push(dial);
                }
            }
        }
        self.advance(dial, now)
    }

    /// The next-dial key reads ½: the set-up reads halves and a dial was just filled.
    pub fn offers_half(&self) -> bool {
        self.halves
            && self.position() == 0
            && self.over.is_none()
            && self
                .just_filled()
                .is_some_and(|(_, text)| !text.contains('.'))
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

    fn half(&mut self, now: &str) -> Outcome {
        let Some((dial, text)) = self.just_filled() else {
            return Outcome::Nothing;
        };
        let text = format!("{text}.5");
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

    fn side(&mut self, index: usize, now: &str) -> Outcome {
        if self.reading.form == Form::Line {
            let up = index == 1;
            if self.is_draft() || self.is_empty() {
                self.shot.up = up;
                return Outcome::Draft;
            }
            if let Some(last) = self.reading.shots.last_mut() {
                last.up = up;
                return Outcome::Correct;
            }
            return Outcome::Nothing;
        }
        let Some(offered) = self.sides() else {
            return Outcome::Nothing;
        };
        let Some(&(wind, toward)) = offered.get(index) else {
            return Outcome::Nothing;
        };
        if self.is_draft() {
            self.shot.side = Some(wind.to_owned());
            self.passed.retain(|&d| d != Dial::Side);
            if self.here == Some(Dial::Side) {
                return self.advance(Dial::Side, now);
            }
            return Outcome::Draft;
        }
        // A finished reading: the last shot takes the side, and earlier ones that still lack one follow it.
        let count = self.reading.shots.len();
        for (i, shot) in self.reading.shots.iter_mut().enumerate() {
            if i + 1 == count {
                shot.side = Some(wind.to_owned());
            } else if shot.side.is_none()
                && let Some(strike) = shot.strike.as_deref().and_then(number)
            {
                let offered = sides(strike).map(|s| (s.wind, s.toward_deg));
                shot.side = Some(nearest(&offered, toward).to_owned());
            }
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

    fn touch_shot(&mut self, index: usize) -> Outcome {
        if index >= self.reading.shots.len() || self.is_draft() && !self.is_untyped() {
            return Outcome::Nothing;
        }
        self.open_shot(index);
        self.here = None;
        Outcome::Draft
    }

    fn open_shot(&mut self, index: usize) {
        self.at = index;
        self.shot = self.reading.shots[index].clone();
        self.passed = self
            .order()
            .iter()
            .copied()
            .filter(|&d| self.shot.get(d).is_none())
            .collect();
        self.over = None;
        self.here = None;
    }

    fn strike_shot(&mut self) -> Outcome {
        let index = self.shown_at();
        let Some(shot) = self.reading.shots.get_mut(index) else {
            return Outcome::Nothing;
        };
        shot.struck_out = !shot.struck_out;
        let struck = shot.struck_out;
        self.rest();
        if struck {
            Outcome::StrikeShot
        } else {
            Outcome::PutBackShot
        }
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
        let missing = digits(dial).checked_sub(text.len())?;
        if text.is_empty() || missing == 0 {
            return None;
        }
        let span = 10_f64.powi(i32::try_from(missing).ok()?);
        let low = number(text)? * span;
        Some((low, low + span - 1.0))
    }

    /// The finished value of a dial in the shot shown, in degrees.
    pub fn value(&self, dial: Dial) -> Option<f64> {
        if self.typing(dial) {
            return None;
        }
        number(self.shown().get(dial)?)
    }
}

fn toward_of(shot: &Shot) -> Option<f64> {
    let side = shot.side.as_deref()?;
    let strike = number(shot.strike.as_deref()?)?;
    sides(strike)
        .iter()
        .find(|s| s.wind == side)
        .map(|s| s.toward_deg)
}

fn nearest(offered: &[(&'static str, f64); 2], toward_deg: f64) -> &'static str {
    let away = |a: f64| {
        let d = (a - toward_deg).rem_euclid(360.0);
        d.min(360.0 - d)
    };
    if away(offered[0].1) <= away(offered[1].1) {
        offered[0].0
    } else {
        offered[1].0
    }
}

fn pad(dial: Dial, text: &str) -> String {
    format!("{text:0>width$}", width = digits(dial))
}

/// The text with its last digit taken off; a half goes first, a side goes whole.
fn shorten(dial: Dial, text: &str) -> Option<String> {
    if dial == Dial::Side {
        return None;
    }
    let shorter = match text.strip_suffix(".5") {
        Some(whole) => whole,
        None => &text[..text.len().saturating_sub(1)],
    };
    // The 0 that was filled by itself goes with the digit that called for it.
    (!shorter.is_empty()).then(|| shorter.to_owned())
}

#[cfg(test)]
mod tests;
