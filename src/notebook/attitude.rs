//! What a reading comes to: its shots reduced as the accepted choices leave them, their mean, and the doubts open and settled.
//!
//! The dials stay as read. A choice that was accepted stands in for them only while the doubt it answers is there.

pub use super::counts::{CountsFrom, counts, declination};
use super::record::{Accepted, Form, North, Position, Reading, SetUp, Shot};
use crate::orientation::{
    Choice, Convergence, Dial, Dials, Doubt, DoubtKind, Line, Mean, Noise, Plane, Reduced,
    line_mean, plane_mean, reduce_with,
};

/// A doubt and the shot it is about.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Found {
    /// Index of the shot.
    pub shot: usize,
    /// The doubt.
    pub doubt: Doubt,
}

impl Found {
    /// What a person settles it with: one of its choices, or `None` to keep it as read.
    pub fn accept(&self, choice: Option<&Choice>, by: &str, at: &str) -> Accepted {
        Accepted {
            doubt: self.doubt.kind,
            shot: self.shot,
            choice: choice.map_or(KEEP, |choice| &choice.words).to_owned(),
            sets: choice.map_or_else(Vec::new, |choice| choice.sets.clone()),
            by: by.to_owned(),
            at: at.to_owned(),
        }
    }
}

/// The words of the choice that settles a doubt unchanged.
pub const KEEP: &str = "keep as read";

/// A doubt that a person settled, and how.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Settled {
    /// The doubt.
    pub found: Found,
    /// Place of the answer in [`Reading::accepted`].
    pub accepted: usize,
}

/// What a reading comes to.
#[derive(Clone, Debug, PartialEq)]
pub struct Attitude {
    /// The plane: the mean of the standing shots.
    pub plane: Option<Plane>,
    /// The line: the mean of the standing shots.
    pub line: Option<Line>,
    /// The angle between two planes: the mean of the standing shots, degrees.
    pub angle_deg: Option<f64>,
    /// The north that plane and line count from.
    pub counts_from: CountsFrom,
    /// Every shot by itself, struck-out ones too, as the accepted choices leave it, against the north it was read against.
    pub shots: Vec<Reduced>,
    /// Index of the shot that each offset of the means is about: those that stand and have a plane or a line.
    pub standing: Vec<usize>,
    /// The mean plane and its scatter, counted as [`Attitude::counts_from`] says.
    pub plane_mean: Option<Mean<Plane>>,
    /// The mean line and its scatter, counted alike.
    pub line_mean: Option<Mean<Line>>,
    /// Doubts that nobody has settled, shot by shot; those of struck-out shots are left out.
    pub open: Vec<Found>,
    /// Doubts that a person settled.
    pub settled: Vec<Settled>,
}

impl Shot {
    /// The dials as the orientation wing reads them.
    pub fn dials(&self, right_hand: bool) -> Dials<'_> {
        Dials {
            strike: self.strike.as_deref(),
            dip: self.dip.as_deref(),
            side: self.side.as_deref(),
            toward: self.toward.as_deref(),
            trend: self.trend.as_deref(),
            plunge: self.plunge.as_deref(),
            up: self.up,
            rake: self.rake.as_deref(),
            angle: self.angle.as_deref(),
            right_hand,
        }
    }
}

/// Works out a reading with the default noise.
pub fn of(reading: &Reading) -> Attitude {
    of_with(reading, &Noise::default())
}

/// Works out a reading with what its set-up says.
pub fn of_in(reading: &Reading, set_up: Option<&SetUp>) -> Attitude {
    of_at(reading, set_up, None)
}

/// Works out a reading with what its set-up says, at the place of its station: where it counts from grid north, the
/// convergence of UTM there turns it to true.
pub fn of_at(reading: &Reading, set_up: Option<&SetUp>, place: Option<&Position>) -> Attitude {
    let convergence = place
        .filter(|_| reading.north == North::Grid)
        .and_then(convergence);
    work_out(
        reading,
        &set_up.map_or_else(Noise::default, SetUp::noise),
        convergence,
    )
}

/// The convergence of UTM at a place; `None` where UTM does not go.
fn convergence(_place: &Position) -> Option<Convergence> {
    None
}

/// Works out a reading with a given noise.
///
/// # Degenerate input
/// No shots, or none that is whole and stands: no plane, no line. Shots at a right angle to each other: no mean.
/// A declination that is not a number, or over its bound, is not known.
pub fn of_with(reading: &Reading, noise: &Noise) -> Attitude {
    work_out(reading, noise, None)
}

fn work_out(reading: &Reading, noise: &Noise, convergence: Option<Convergence>) -> Attitude {
    let mut open = Vec::new();
    let mut settled = Vec::new();
    let mut shots = Vec::with_capacity(reading.shots.len());
    for index in 0..reading.shots.len() {
        let judged = judge(reading, index, noise);
        if !reading.shots[index].struck_out {
            open.extend(judged.open);
            settled.extend(judged.settled);
        }
        shots.push(judged.reduced);
    }
    let stands = |index: &usize| !reading.shots[*index].struck_out;
    let has_plane = |index: &usize| shots[*index].plane.is_some();
    let has_line = |index: &usize| shots[*index].line.is_some();
    let all = || (0..shots.len()).filter(stands);
    let with_planes: Vec<usize> = all().filter(has_plane).collect();
    let with_lines: Vec<usize> = all().filter(has_line).collect();
    let planes: Vec<Plane> = with_planes.iter().filter_map(|&i| shots[i].plane).collect();
    let lines: Vec<Line> = with_lines.iter().filter_map(|&i| shots[i].line).collect();
    let mut plane_mean = plane_mean(&planes, noise);
    let mut line_mean = line_mean(&lines, noise);
    if let Some(mean) = &mut plane_mean {
        scatter(reading, mean, &with_planes, &mut open, &mut settled);
    }
    if let Some(mean) = &mut line_mean {
        scatter(reading, mean, &with_lines, &mut open, &mut settled);
    }
    let (counts_from, turn) = counts(
        reading.north,
        reading.declination.as_deref(),
        reading.card_declination.as_deref(),
        convergence,
    );
    if let Some(turn) = turn {
        if let Some(mean) = &mut plane_mean {
            mean.value = Plane::new(mean.value.strike().turned(turn), mean.value.dip());
        }
        if let Some(mean) = &mut line_mean {
            mean.value = Line::new(mean.value.trend().turned(turn), mean.value.plunge());
        }
    }
    let angles: Vec<f64> = all().filter_map(|index| shots[index].angle_deg).collect();
    // A reading never has 2³² shots.
    let count = f64::from(u32::try_from(angles.len()).unwrap_or(u32::MAX));
    Attitude {
        plane: plane_mean.as_ref().map(|mean| mean.value),
        line: line_mean.as_ref().map(|mean| mean.value),
        angle_deg: (count > 0.0).then(|| angles.iter().sum::<f64>() / count),
        counts_from,
        standing: if reading.form == Form::Line {
            with_lines
        } else {
            with_planes
        },
        shots,
        plane_mean,
        line_mean,
        open,
        settled,
    }
}

struct Judged {
    reduced: Reduced,
    open: Vec<Found>,
    settled: Vec<Settled>,
}

/// Reduces one shot, taking the accepted choices in the order they were taken: each answers a doubt that then is there.
fn judge(reading: &Reading, index: usize, noise: &Noise) -> Judged {
    let mut shot = reading.shots[index].clone();
    let mut reduced = reduce_with(&shot.dials(reading.right_hand), noise);
    let mut settled = Vec::new();
    let mut kept: Vec<usize> = Vec::new();
    for (place, accepted) in reading.accepted.iter().enumerate() {
        if accepted.shot != index || accepted.doubt == DoubtKind::Scatter {
            continue;
        }
        let Some(answered) = answered(&reduced.doubts, accepted) else {
            continue;
        };
        let doubt = reduced.doubts[answered].clone();
        if accepted.sets.is_empty() {
            kept.push(place);
            continue;
        }
        settled.push(Settled {
            found: Found { shot: index, doubt },
            accepted: place,
        });
        for (dial, text) in &accepted.sets {
            shot.set(*dial, Some(text.clone()).filter(|text| !text.is_empty()));
        }
        reduced = reduce_with(&shot.dials(reading.right_hand), noise);
    }
    let mut answers = Vec::new();
    for place in kept {
        if let Some(answered) = answered(&reduced.doubts, &reading.accepted[place]) {
            answers.push((answered, place));
        }
    }
    let mut open = Vec::new();
    for (place, doubt) in reduced.doubts.iter().enumerate() {
        let found = Found {
            shot: index,
            doubt: doubt.clone(),
        };
        match answers.iter().find(|(answered, _)| *answered == place) {
            Some(&(_, accepted)) => settled.push(Settled { found, accepted }),
            None => open.push(found),
        }
    }
    Judged {
        reduced,
        open,
        settled,
    }
}

/// The doubt that an accepted choice answers: of its kind, and offering its words where several are of that kind.
fn answered(doubts: &[Doubt], accepted: &Accepted) -> Option<usize> {
    let offers = |doubt: &Doubt| {
        let mut choices = doubt.choices.iter();
        choices.any(|choice| choice.words == accepted.choice && choice.sets == accepted.sets)
    };
    let touches = |doubt: &Doubt| {
        let dials = accepted.sets.iter().map(|(dial, _)| *dial);
        doubt
            .dial
            .is_some_and(|dial: Dial| dials.clone().any(|set| set == dial))
    };
    let of_kind = || {
        let doubts = doubts.iter().enumerate();
        doubts.filter(|(_, doubt)| doubt.kind == accepted.doubt)
    };
    let best = of_kind()
        .find(|(_, doubt)| offers(doubt))
        .or_else(|| of_kind().find(|(_, doubt)| touches(doubt)))
        .or_else(|| of_kind().next());
    best.map(|(place, _)| place)
}

/// Hands the doubt of a mean over to the shot that lies farthest from it, under its own number.
fn scatter<T>(
    reading: &Reading,
    mean: &mut Mean<T>,
    standing: &[usize],
    open: &mut Vec<Found>,
    settled: &mut Vec<Settled>,
) {
    let distances = mean.shots.iter().map(|shot| shot.distance_deg).enumerate();
    let farthest = distances.max_by(|a, b| a.1.total_cmp(&b.1));
    let Some((place, _)) = farthest else {
        return;
    };
    let Some(&shot) = standing.get(place) else {
        return;
    };
    for doubt in &mut mean.doubts {
        // The mean counts the shots it was given; a person counts those on the page.
        let (counted, written) = (
            format!("shot {} ", place + 1),
            format!("shot {} ", shot + 1),
        );
        doubt.message = doubt.message.replacen(&counted, &written, 1);
        let found = Found {
            shot,
            doubt: doubt.clone(),
        };
        let mut answers = reading.accepted.iter();
        let answer = answers.position(|a| a.doubt == DoubtKind::Scatter && a.shot == shot);
        match answer {
            Some(accepted) => settled.push(Settled { found, accepted }),
            None => open.push(found),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::orientation::Severity;

    fn shot(strike: &str, dip: &str, side: &str) -> Shot {
        Shot {
            strike: Some(strike.to_owned()),
            dip: Some(dip.to_owned()),
            side: Some(side.to_owned()),
            ..Shot::default()
        }
    }

    fn bedding(shots: Vec<Shot>) -> Reading {
        Reading {
            kind: "bedding".to_owned(),
            north: North::True,
            shots,
            ..Reading::default()
        }
    }

    fn strike_and_dip(reading: &Reading) -> Option<(f64, f64)> {
        let plane = of(reading).plane?;
        Some((plane.strike().deg().round(), plane.dip().deg().round()))
    }

    fn open_kinds(reading: &Reading) -> Vec<DoubtKind> {
        let open = of(reading).open.into_iter();
        let doubts = open.filter(|found| found.doubt.severity == Severity::Doubt);
        doubts.map(|found| found.doubt.kind).collect()
    }

    #[test]
    fn struck_shots_stay_out_of_the_mean() {
        let mut reading = bedding(vec![
            shot("062", "36", "SE"),
            shot("150", "80", "NE"),
            shot("064", "36", "SE"),
        ]);
        assert_ne!(strike_and_dip(&reading), Some((63.0, 36.0)));
        reading.shots[1].struck_out = true;
        let found = of(&reading);
        assert_eq!(strike_and_dip(&reading), Some((63.0, 36.0)));
        assert_eq!(found.standing, [0, 2]);
        assert_eq!(found.plane_mean.unwrap().shots.len(), 2);
        // The struck-out shot is still reduced, to be read.
        assert!(found.shots[1].plane.is_some());
        reading
            .shots
            .iter_mut()
            .for_each(|shot| shot.struck_out = true);
        assert_eq!(of(&reading).plane, None);
        assert_eq!(of(&bedding(Vec::new())).plane, None);
    }

    #[test]
    fn a_choice_alters_the_value_and_not_the_dials() {
        let mut reading = bedding(vec![shot("045", "30", "NE")]);
        let found = of(&reading);
        assert_eq!(found.plane, None);
        let doubt = &found.open[0];
        assert_eq!(doubt.doubt.kind, DoubtKind::SideAlongStrike);
        let choice = doubt.doubt.choices[0].clone();
        reading
            .accepted
            .push(doubt.accept(Some(&choice), "K.O.", "2026-06-14T09:00:00Z"));
        let after = of(&reading);
        assert!(after.plane.is_some());
        assert!(
            after
                .open
                .iter()
                .all(|found| found.doubt.severity == Severity::Note)
        );
        assert_eq!(after.settled[0].found, *doubt);
        assert_eq!(reading.shots[0].side.as_deref(), Some("NE"));
        // Corrected afterwards: there is nothing left to answer, and the choice stands in for nothing.
        reading.shots[0].side = Some("NW".to_owned());
        reading.shots[0].strike = Some("047".to_owned());
        assert_eq!(strike_and_dip(&reading), Some((227.0, 30.0)));
        assert!(of(&reading).settled.is_empty());
    }

    #[test]
    fn two_doubts_of_one_kind_are_settled_one_by_one() {
        let mut reading = bedding(vec![shot("361", "95", "SE")]);
        assert_eq!(open_kinds(&reading), [DoubtKind::OutOfRange; 2]);
        let found = of(&reading).open;
        let dip = found
            .iter()
            .find(|found| found.doubt.dial == Some(Dial::Dip))
            .unwrap();
        reading
            .accepted
            .push(dip.accept(dip.doubt.choices.first(), "K.O.", ""));
        let left: Vec<Option<Dial>> = of(&reading)
            .open
            .iter()
            .filter(|found| found.doubt.kind == DoubtKind::OutOfRange)
            .map(|found| found.doubt.dial)
            .collect();
        assert_eq!(left, [Some(Dial::Strike)]);
    }

    #[test]
    fn keeping_as_read_settles_without_change() {
        let mut reading = bedding(vec![shot("062", "36", "SE"), shot("085", "36", "SE")]);
        assert_eq!(open_kinds(&reading), [DoubtKind::Scatter]);
        let before = of(&reading);
        let scatter = before.open.last().unwrap();
        reading.accepted.push(scatter.accept(None, "M.T.", ""));
        let after = of(&reading);
        assert_eq!(
            (after.plane, open_kinds(&reading)),
            (before.plane, Vec::new())
        );
        assert_eq!(after.settled.len(), 1);
        // A later shot that scatters more is doubted again.
        reading.shots.push(shot("120", "70", "SW"));
        assert_eq!(open_kinds(&reading), [DoubtKind::Scatter]);
    }

    #[test]
    fn a_scattering_shot_has_the_number_of_its_place_on_the_page() {
        let mut reading = bedding(vec![
            shot("200", "10", "W"),
            shot("062", "36", "SE"),
            shot("063", "36", "SE"),
            shot("062", "35", "SE"),
            shot("090", "36", "S"),
        ]);
        reading.shots[0].struck_out = true;
        let found = of(&reading);
        let scatter = found
            .open
            .iter()
            .find(|f| f.doubt.kind == DoubtKind::Scatter)
            .unwrap();
        assert_eq!(scatter.shot, 4);
        assert!(
            scatter.doubt.message.starts_with("shot 5 "),
            "{}",
            scatter.doubt.message
        );
    }

    #[test]
    fn magnetic_readings_become_true_where_the_declination_is_known() {
        let mut reading = bedding(vec![shot("062", "36", "SE")]);
        reading.north = North::Magnetic;
        assert_eq!(of(&reading).counts_from, CountsFrom::Magnetic);
        assert_eq!(strike_and_dip(&reading), Some((62.0, 36.0)));
        assert!(!of(&reading).counts_from.is_true());
        // True = read + declination, east positive (common practice).
        for (typed, strike) in [("-12", 50.0), ("12W", 50.0), ("3,0 E", 65.0), ("+3°", 65.0)] {
            reading.declination = Some(typed.to_owned());
            assert!(of(&reading).counts_from.is_true(), "{typed}");
            assert_eq!(strike_and_dip(&reading), Some((strike, 36.0)), "{typed}");
        }
        for typed in ["", "east", "NaN", "inf", "1e3", "W"] {
            assert_eq!(declination(typed), None, "{typed}");
        }
        for north in [North::True, North::Grid, North::Unknown] {
            reading.north = north;
            assert_eq!(strike_and_dip(&reading), Some((62.0, 36.0)));
            assert_eq!(of(&reading).counts_from.is_true(), north == North::True);
        }
    }

    #[test]
    fn lines_and_angles_have_means_too() {
        let line = |trend: &str, plunge: &str| Shot {
            trend: Some(trend.to_owned()),
            plunge: Some(plunge.to_owned()),
            ..Shot::default()
        };
        let mut reading = bedding(vec![line("222", "13"), line("226", "13")]);
        reading.form = Form::Line;
        let mean = of(&reading).line.unwrap();
        assert_eq!(mean.trend().deg().round(), 224.0);
        let angle = |angle: &str| Shot {
            angle: Some(angle.to_owned()),
            ..Shot::default()
        };
        reading.form = Form::Angle;
        reading.shots = vec![angle("060"), angle("064")];
        assert_eq!(of(&reading).angle_deg, Some(62.0));
    }
}
