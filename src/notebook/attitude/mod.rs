//! What a reading comes to: its shots reduced as the accepted choices leave them, their mean, and the doubts open and settled.
//!
//! The dials stay as read. A choice that was accepted stands in for them only while the doubt it answers is there.

use crate::geodesy::grid;
pub use crate::notebook::counts::{CountsFrom, counts, declination};
use crate::notebook::merge::instant_s;
use crate::notebook::pages::Pages;
use crate::notebook::record::{Accepted, Form, North, Position, Reading, SetUp, Shot};
use crate::orientation::{
    Card, Choice, Context, Convergence, Declination, Dial, Dials, Doubt, DoubtKind, Instrument,
    Line, Mean, Noise, Normal, Plane, Reduced, Scales, Severity, Turn, line_mean, normalise,
    plane_mean, reduce_in,
};

mod kept;

pub use kept::unread;

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

impl Attitude {
    /// A doubt stands that nobody has settled; what is only worth saying is none.
    pub fn is_doubted(&self) -> bool {
        let doubt = |found: &Found| found.doubt.severity == Severity::Doubt;
        self.open.iter().any(doubt)
    }
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
    of_at(reading, None, None)
}

/// Works out a reading with what its set-up says: the kind of instrument, its scales, its card and its noise.
pub fn of_in(reading: &Reading, set_up: Option<&SetUp>) -> Attitude {
    of_at(reading, set_up, None)
}

/// Works out a reading with what its set-up says, at the place of its station: where it counts from grid north, the
/// convergence of UTM there turns it to true.
///
/// # Degenerate input
/// No shots, or none that is whole and stands: no plane, no line. Shots at a right angle to each other: no mean.
/// A declination that is not a number, or over its bound, is not known. Beyond UTM there is no convergence.
pub fn of_at(reading: &Reading, set_up: Option<&SetUp>, place: Option<&Position>) -> Attitude {
    work_out_at(reading, &How::of(set_up), place)
}

/// The same of a reading that is kept, so that nobody is typing it any more: what is short of a digit, of its side or of a dial
/// is doubted, and a dip or a plunge of `0` is nil.
///
/// # Degenerate input
/// As [`of_at`]; a reading without shots is told by [`unread`].
pub(super) fn of_kept(
    reading: &Reading,
    set_up: Option<&SetUp>,
    place: Option<&Position>,
) -> Attitude {
    let how = How {
        kept: true,
        ..How::of(set_up)
    };
    work_out_at(reading, &how, place)
}

fn work_out_at(reading: &Reading, how: &How, place: Option<&Position>) -> Attitude {
    let grid = place.filter(|_| reading.north == North::Grid);
    work_out(reading, how, grid.and_then(convergence))
}

/// Works out a reading that is kept with what its book says of it: its set-up, and the place of its station. Nobody is typing
/// it any more: what is short of a digit, of its side or of a dial is doubted, and a dip or a plunge of `0` is nil.
///
/// # Degenerate input
/// A reading without shots is told by [`unread`]. A station that the book does not have says nothing; where it does not have the
/// set-up, the reading comes to nothing, and that is doubted.
pub fn in_book(pages: &Pages, reading: &Reading) -> Attitude {
    let station = pages.station(&reading.station);
    let place = station.and_then(|page| page.line().station()?.position.as_ref());
    at_place(pages, reading, place)
}

/// The same at a given place.
pub(super) fn at_place(pages: &Pages, reading: &Reading, place: Option<&Position>) -> Attitude {
    let named = reading.set_up.as_deref();
    match (named, named.and_then(|id| pages.set_up(id)?.set_up())) {
        (Some(_), None) => without_set_up(of_kept(reading, None, place)),
        (_, set_up) => of_kept(reading, set_up, place),
    }
}

/// What can be said of a reading whose set-up is not here: what instrument its dials stood on is not known, so neither is what
/// they mean.
fn without_set_up(read: Attitude) -> Attitude {
    let doubt = Doubt {
        kind: DoubtKind::Unreadable,
        severity: Severity::Doubt,
        dial: None,
        message: "the set-up it was read with is not in this book, so what its dials mean is not known; open the book that holds it"
            .to_owned(),
        choices: Vec::new(),
    };
    let stood = read.shots.iter().map(|_| Reduced::default());
    Attitude {
        plane: None,
        line: None,
        angle_deg: None,
        counts_from: read.counts_from,
        shots: stood.collect(),
        standing: Vec::new(),
        plane_mean: None,
        line_mean: None,
        open: vec![Found { shot: 0, doubt }],
        settled: Vec::new(),
    }
}

/// Works out a reading with a given noise.
pub fn of_with(reading: &Reading, noise: &Noise) -> Attitude {
    let how = How {
        noise: *noise,
        ..How::default()
    };
    work_out(reading, &how, None)
}

/// By how much the bearings of a reading are turned clockwise to count as its attitude does; `None` where they are not.
pub(super) fn turn_of(reading: &Reading, place: Option<&Position>) -> Option<Turn> {
    counts_of(reading, place).1
}

/// The north that the bearings of a reading count from at a place, without working the reading out.
pub fn counts_from(reading: &Reading, place: Option<&Position>) -> CountsFrom {
    counts_of(reading, place).0
}

fn counts_of(reading: &Reading, place: Option<&Position>) -> (CountsFrom, Option<Turn>) {
    let grid = place.filter(|_| reading.north == North::Grid);
    counts(
        reading.north,
        reading.declination.as_deref(),
        reading.card_declination.as_deref(),
        grid.and_then(convergence),
    )
}

/// The convergence of UTM at a place; `None` where UTM does not go.
fn convergence(place: &Position) -> Option<Convergence> {
    let utm = grid::utm(place.latitude, place.longitude).ok()?;
    Some(utm.convergence)
}

/// How the dials were read.
#[derive(Default)]
struct How {
    noise: Noise,
    instrument: Instrument,
    card: Card,
    scales: Scales,
    /// Nobody is typing the reading any more.
    kept: bool,
}

impl How {
    fn of(set_up: Option<&SetUp>) -> Self {
        let Some(set_up) = set_up else {
            return Self::default();
        };
        Self {
            noise: set_up.noise(),
            instrument: set_up.instrument,
            card: set_up.card,
            scales: set_up.scales(),
            kept: false,
        }
    }

    /// The dials of one shot, from the way they stood to those of the trade.
    fn normal<'s>(&self, reading: &Reading, shot: &'s Shot) -> Normal<'s> {
        let mut dials = shot.dials(reading.right_hand);
        if self.kept {
            dials = kept::with_nil(dials);
        }
        let stood = shot.stood.unwrap_or_default();
        normalise(&dials, self.instrument, self.card, &stood, &self.scales)
    }

    /// Plane and line of the dials, and all their doubts: first those of the way it stood.
    fn reduce(&self, reading: &Reading, normal: &Normal<'_>) -> Reduced {
        let on_the_card = reading.card_declination.as_deref();
        let context = Context {
            declination_deg: on_the_card
                .or(reading.declination.as_deref())
                .and_then(declination)
                .map(Declination::deg),
            quadrant_card: self.card == Card::Quadrant,
            index_width_deg: self.scales.index_width_deg,
            ..Context::new(&self.noise)
        };
        let mut reduced = reduce_in(&normal.dials(), &context);
        if !normal.doubts.is_empty() {
            let after = std::mem::replace(&mut reduced.doubts, normal.doubts.clone());
            reduced.doubts.extend(after);
        }
        if self.kept {
            let lacking = kept::lacking(reading.form, &normal.dials(), &reduced);
            reduced.doubts.extend(lacking);
        }
        reduced
    }
}

fn work_out(reading: &Reading, how: &How, convergence: Option<Convergence>) -> Attitude {
    let mut open = Vec::new();
    let mut settled = Vec::new();
    let mut shots = Vec::with_capacity(reading.shots.len());
    for index in 0..reading.shots.len() {
        let judged = judge(reading, index, how);
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
    let planes: Vec<Plane> = with_planes
        .iter()
        .filter_map(|&i| plane_of(&shots[i]))
        .collect();
    let lines: Vec<Line> = with_lines
        .iter()
        .filter_map(|&i| line_of(&shots[i]))
        .collect();
    let mut plane_mean = plane_mean(&planes, &how.noise);
    let mut line_mean = line_mean(&lines, &how.noise);
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

/// The plane a shot stands for: adjusted to all its dials where they agree and more were read than needed, else as read.
fn plane_of(shot: &Reduced) -> Option<Plane> {
    let read = shot.plane?;
    Some(
        shot.adjusted
            .as_ref()
            .map_or(read, |adjusted| adjusted.plane),
    )
}

/// The line a shot stands for, like [`plane_of`].
fn line_of(shot: &Reduced) -> Option<Line> {
    let read = shot.line?;
    Some(
        shot.adjusted
            .as_ref()
            .map_or(read, |adjusted| adjusted.line),
    )
}

struct Judged {
    reduced: Reduced,
    open: Vec<Found>,
    settled: Vec<Settled>,
}

/// Reduces one shot, taking the accepted choices in the order they were taken: each answers a doubt that then is there.
fn judge(reading: &Reading, index: usize, how: &How) -> Judged {
    let mut normal = how.normal(reading, &reading.shots[index]);
    let mut reduced = how.reduce(reading, &normal);
    let mut settled = Vec::new();
    let mut kept: Vec<usize> = Vec::new();
    for (place, accepted) in reading.accepted.iter().enumerate() {
        if accepted.shot != index || accepted.doubt == DoubtKind::Scatter {
            continue;
        }
        if accepted.doubt == DoubtKind::Company {
            // What the readings around it made plain is not to be seen here: the answer holds until the shot is read again.
            if !accepted.sets.is_empty() && !read_after(&reading.shots[index], accepted) {
                settled.push(Settled {
                    found: Found {
                        shot: index,
                        doubt: company_doubt(accepted),
                    },
                    accepted: place,
                });
                set(&mut normal, accepted);
                reduced = how.reduce(reading, &normal);
            }
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
        // A choice sets the dials of the trade; what it answers about the way it stood is settled by it.
        if answered < normal.doubts.len() {
            normal.doubts.remove(answered);
        }
        set(&mut normal, accepted);
        reduced = how.reduce(reading, &normal);
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

fn set(normal: &mut Normal<'_>, accepted: &Accepted) {
    for (dial, text) in &accepted.sets {
        normal.set(*dial, Some(text.clone()).filter(|text| !text.is_empty()));
    }
}

/// Whether a shot was read after the answer was given, by what the clocks showed.
fn read_after(shot: &Shot, accepted: &Accepted) -> bool {
    let at = instant_s(&shot.at).zip(instant_s(&accepted.at));
    at.is_some_and(|(read, answered)| read > answered)
}

fn company_doubt(accepted: &Accepted) -> Doubt {
    Doubt {
        kind: DoubtKind::Company,
        severity: Severity::Doubt,
        dial: accepted.sets.first().map(|(dial, _)| *dial),
        message: "it does not agree with the readings it stands with".to_owned(),
        choices: Vec::new(),
    }
}

/// Whether an answer to the one kind of doubt answers the other: books from before a set-up was judged as a whole answered
/// its parts.
fn answers(accepted: DoubtKind, doubt: DoubtKind) -> bool {
    accepted == doubt
        || doubt == DoubtKind::SetUp
            && matches!(accepted, DoubtKind::OffPlane | DoubtKind::RakeDisagrees)
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
        doubts.filter(|(_, doubt)| answers(accepted.doubt, doubt.kind))
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
mod tests;
