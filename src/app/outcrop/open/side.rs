//! The side keys: which way a plane dips, or whether a line points up; carried from shot to shot.

use super::{Open, Outcome, number};
use crate::notebook::{Form, Shot};
use crate::orientation::{Dial, Wind, sides};

impl Open {
    /// The two sides offered, where a strike is in; before the strike of a further shot, those of the shot before.
    pub fn sides(&self) -> Option<[(&'static str, f64); 2]> {
        if !self.order().contains(&Dial::Side) {
            return None;
        }
        let typed = match self.shown().get(Dial::Strike) {
            Some(strike) if self.is_full(Dial::Strike, strike) && !self.typing(Dial::Strike) => {
                number(strike)
            }
            _ => self
                .shot_before()
                .and_then(|s| number(s.strike.as_deref()?)),
        };
        Some(sides(typed?.rem_euclid(360.0)).map(|side| (side.wind, side.toward_deg)))
    }

    /// The last finished shot whose side a further shot carries on.
    pub(super) fn shot_before(&self) -> Option<&Shot> {
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

    /// A corrected strike keeps the compass side that was chosen.
    pub(super) fn refit_side(&mut self) {
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
            .or_else(|| Wind::read(&side).map(Wind::azimuth_deg));
        if let Some(before) = before {
            self.shot.side = Some(nearest(&offered.map(|s| (s.wind, s.toward_deg)), before).into());
        }
    }

    /// The side of the shot before, where there is one: 062 SE, then 242, is still SE.
    pub(super) fn carry_side(&mut self) {
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

    pub(super) fn side(&mut self, index: usize, now: &str) -> Outcome {
        if let Some(dial) = self.here.filter(|&dial| self.is_quadrant(dial)) {
            return self.letter(dial, index, now);
        }
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
}

pub(super) fn toward_of(shot: &Shot) -> Option<f64> {
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
