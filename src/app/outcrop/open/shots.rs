//! The shots of the open reading: begun, finished, opened again, struck out.

use super::{Open, Outcome};
use crate::notebook::Shot;
use crate::orientation::Stood;

impl Open {
    /// Puts the open reading at rest: finished shots stand, the next digit begins a new one.
    pub(super) fn rest(&mut self) {
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

    pub(super) fn begin_shot(&mut self) {
        self.at = self.reading.shots.len();
        let before = self.reading.shots.iter().rev().find(|s| !s.struck_out);
        self.shot = Shot {
            // The instrument stands as it stood for the shot before, until somebody says otherwise.
            stood: before.and_then(|shot| shot.stood),
            ..Shot::default()
        };
        self.passed.clear();
        self.over = None;
        self.here = self.order().first().copied();
    }

    /// How the instrument stood for the shot shown.
    pub fn stood(&self) -> Stood {
        self.shown().stood.unwrap_or_default()
    }

    /// Notes how the instrument stood for the shot shown.
    pub fn set_stood(&mut self, stood: Stood) -> Outcome {
        let stood = (!stood.is_unknown()).then_some(stood);
        let at = self.shown_at();
        if self.is_draft() {
            self.shot.stood = stood;
            return Outcome::Draft;
        }
        if self.at < self.reading.shots.len() {
            self.shot.stood = stood;
        }
        match self.reading.shots.get_mut(at) {
            Some(shot) => {
                shot.stood = stood;
                Outcome::Correct
            }
            None => Outcome::Nothing,
        }
    }

    pub(super) fn finish(&mut self, now: &str) -> Outcome {
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
        for &dial in self.order() {
            if let Some(digits) = shot.get(dial).and_then(|text| text.strip_prefix('_')) {
                // The letter was never said: the digits stand as they were read.
                let digits = digits.to_owned();
                shot.set(dial, Some(digits));
            }
        }
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
            let padded = self.pad(dial, &text);
            self.shot.set(dial, Some(padded));
        }
        matches!(self.finish(now), Outcome::Keep | Outcome::Correct)
    }

    pub(super) fn touch_shot(&mut self, index: usize) -> Outcome {
        if index >= self.reading.shots.len() || self.is_draft() && !self.is_untyped() {
            return Outcome::Nothing;
        }
        self.open_shot(index);
        self.here = None;
        Outcome::Draft
    }

    pub(super) fn open_shot(&mut self, index: usize) {
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

    pub(super) fn strike_shot(&mut self) -> Outcome {
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
}
