//! Doubts of north: a declination that is missing, does not fit the model, or was applied the wrong way.
//!
//! Every doubt names the numbers, what is allowed, and what would mend it; nothing is changed by itself.

mod book;

mod lines;

pub use book::doubts_of_book;
pub use lines::{ForeAndBack, bearing, fore_and_back};

use super::attitude::KEEP;
use super::counts::declination;
use super::entry::RecordId;
use super::record::{Accepted, North, Position, Reading, SetUp, Sighting};
use super::reset::Change;
use crate::geodesy::magnetic::{self, DecimalYear, Field, Zone};
use crate::geodesy::{Error, grid};
use crate::orientation::angle::turn_deg;
use crate::orientation::{Doubt, DoubtKind, Severity};

/// How well a card is set or a declination read off a scale, degrees: one standard deviation, our assumption.
const SETTING_SD_DEG: f64 = 0.5;

/// A declination farther from the model's than this many joint standard deviations is doubted: our assumption, about one
/// false alarm in 20 set-ups, because a wrong one turns every bearing of the book.
const LIMIT: f64 = 2.0;

/// A doubt of north, what would mend it, and the records it is about.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NorthDoubt {
    /// The doubt; its choices are in [`NorthDoubt::mends`].
    pub doubt: Doubt,
    /// Ways to mend it, likeliest first; none of them touches a dial.
    pub mends: Vec<Mend>,
    /// What a person reads on the answer that changes nothing: `keep 8° E`. It settles the doubt while the numbers stay as they are.
    pub keep: String,
    /// The records it is about; empty where one set-up, reading or sighting was asked about.
    pub records: Vec<RecordId>,
}

impl NorthDoubt {
    /// The answer that changes nothing, to be kept with the set-up, the reading or the sighting.
    pub fn accept(&self, by: &str, at: &str) -> Accepted {
        Accepted {
            doubt: self.doubt.kind,
            shot: 0,
            choice: self.keep.clone(),
            sets: Vec::new(),
            by: by.to_owned(),
            at: at.to_owned(),
        }
    }

    /// Whether a person has settled it.
    fn is_kept(&self, accepted: &[Accepted]) -> bool {
        accepted
            .iter()
            .any(|answer| answer.doubt == self.doubt.kind && answer.choice == self.keep)
    }
}

/// One way to mend a doubt of north.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Mend {
    /// What the person reads on it.
    pub words: String,
    /// What it changes.
    pub change: Change,
    /// The records it changes; empty where one set-up, reading or sighting was asked about.
    pub records: Vec<RecordId>,
}

/// What a bearing counts from, and where and when it was read.
#[derive(Clone, Copy)]
struct Asked<'a> {
    north: North,
    declination: Option<&'a str>,
    resolution_deg: f64,
    /// Whether the declination was taken from the model.
    from_model: bool,
    /// The bearing was put right afterwards: what stood on the card is not the question any more.
    put_right: bool,
    /// What a person settled.
    accepted: &'a [Accepted],
    place: Option<&'a Position>,
    at: &'a str,
}

/// The doubts of a set-up as it is set, or is about to be, at a place and a moment (RFC 3339, or a day); those that a person
/// kept as they are are left out, here and below, while the numbers stay the same.
///
/// # Degenerate input
/// Without a place or a legible moment nothing is held against the model.
pub fn doubts_of_set_up(set_up: &SetUp, place: Option<&Position>, at: &str) -> Vec<NorthDoubt> {
    doubts_of(&asked_of_set_up(set_up, place, at), None)
}

fn asked_of_set_up<'a>(set_up: &'a SetUp, place: Option<&'a Position>, at: &'a str) -> Asked<'a> {
    Asked {
        north: set_up.north,
        declination: set_up.declination.as_deref(),
        resolution_deg: set_up.resolution_deg(),
        from_model: set_up.declination_from.as_deref() == Some("model"),
        put_right: false,
        accepted: &set_up.accepted,
        place,
        at,
    }
}

/// The doubts of one reading at the place of its station.
///
/// # Degenerate input
/// As [`doubts_of_set_up`].
pub fn doubts_of_reading(
    reading: &Reading,
    set_up: Option<&SetUp>,
    place: Option<&Position>,
    at: &str,
) -> Vec<NorthDoubt> {
    doubts_of(&asked_of_reading(reading, set_up, place, at), None)
}

fn asked_of_reading<'a>(
    reading: &'a Reading,
    set_up: Option<&SetUp>,
    place: Option<&'a Position>,
    at: &'a str,
) -> Asked<'a> {
    Asked {
        north: reading.north,
        declination: reading.declination.as_deref(),
        resolution_deg: set_up.map_or(1.0, SetUp::resolution_deg),
        from_model: from_model(set_up, reading.declination.as_deref()),
        put_right: reading.card_declination.is_some(),
        accepted: &reading.accepted,
        place,
        at,
    }
}

/// The doubts of one sighting, like [`doubts_of_reading`].
pub fn doubts_of_sighting(
    sighting: &Sighting,
    set_up: Option<&SetUp>,
    place: Option<&Position>,
) -> Vec<NorthDoubt> {
    let asked = asked_of_sighting(sighting, set_up, place);
    doubts_of(&asked, None)
}

fn asked_of_sighting<'a>(
    sighting: &'a Sighting,
    set_up: Option<&SetUp>,
    place: Option<&'a Position>,
) -> Asked<'a> {
    Asked {
        north: sighting.north,
        declination: sighting.declination.as_deref(),
        resolution_deg: set_up.map_or(1.0, SetUp::resolution_deg),
        from_model: from_model(set_up, sighting.declination.as_deref()),
        put_right: sighting.card_declination.is_some(),
        accepted: &sighting.accepted,
        place,
        at: &sighting.at,
    }
}

/// Whether the declination that a bearing has is the one that its set-up took from the model.
fn from_model(set_up: Option<&SetUp>, declination: Option<&str>) -> bool {
    set_up.is_some_and(|set_up| {
        set_up.declination_from.as_deref() == Some("model")
            && set_up.declination.as_deref() == declination
    })
}

/// The magnetic field at a station's place on a day, drawn out beyond the model's years where it must be.
///
/// # Errors
/// A text that is no date, or a place or height beyond its limits.
pub fn field(place: &Position, at: &str) -> Result<Field, Error> {
    let height_m = place.height_m.unwrap_or(0.0);
    magnetic::field_beyond(
        place.latitude,
        place.longitude,
        height_m,
        DecimalYear::from_text(at)?,
    )
}

fn field_at(place: Option<&Position>, at: &str) -> Option<Field> {
    field(place?, at).ok()
}

/// A declination in words: `8° E`, `8.1° W`, `0°`.
pub fn east_west(deg: f64) -> String {
    let tenths = (deg * 10.0).round() / 10.0;
    match tenths {
        0.0 => "0°".to_owned(),
        west if west < 0.0 => format!("{}° W", -west),
        east => format!("{east}° E"),
    }
}

/// A declination as it is typed, to a tenth: `-8.1`, `0`.
fn as_typed(deg: f64) -> String {
    let tenths = (deg * 10.0).round() / 10.0;
    // Not `-0`.
    if tenths == 0.0 {
        "0".to_owned()
    } else {
        tenths.to_string()
    }
}

fn day(at: &str) -> &str {
    at.get(..10).unwrap_or(at)
}

fn north_doubt(
    kind: DoubtKind,
    severity: Severity,
    message: String,
    mends: Vec<(String, Change)>,
) -> NorthDoubt {
    let mends = mends.into_iter().map(|(words, change)| Mend {
        words,
        change,
        records: Vec::new(),
    });
    NorthDoubt {
        doubt: Doubt {
            kind,
            severity,
            dial: None,
            message,
            choices: Vec::new(),
        },
        mends: mends.collect(),
        keep: KEEP.to_owned(),
        records: Vec::new(),
    }
}

/// What the model gives for a card, or for a declination that is added.
struct Wanted {
    deg: f64,
    sd_deg: f64,
}

impl Asked<'_> {
    /// What is to be set on the card, or to be added; `None` where the needle shows nothing, and where a grid is not known.
    fn wanted(&self, field: &Field) -> Option<Wanted> {
        if field.out_of_date || field.zone == Zone::Blackout {
            return None;
        }
        let deg = match self.north {
            North::Unknown => return None,
            North::True | North::Magnetic => field.declination.deg(),
            North::Grid => {
                let place = self.place?;
                let utm = grid::utm(place.latitude, place.longitude).ok()?;
                field.declination.deg() - utm.convergence.deg()
            }
        };
        Some(Wanted {
            deg,
            sd_deg: field.declination_sd_deg,
        })
    }

    /// "was set", or what else became of the declination.
    fn verb(&self) -> &'static str {
        match self.north {
            _ if self.put_right => "is taken for right",
            North::Magnetic => "is added",
            _ => "is set on the card",
        }
    }

    /// What it ought to be, in words.
    fn model_words(&self, wanted: &Wanted) -> String {
        let grid = if self.north == North::Grid {
            " to grid north"
        } else {
            ""
        };
        format!(
            "{} gives {}{grid} (±{:.1}°) here on {}",
            magnetic::MODEL,
            east_west(wanted.deg),
            wanted.sd_deg,
            day(self.at)
        )
    }
}

/// All doubts of one question; the field may be handed in where many ask at one place and day.
fn doubts_of(asked: &Asked<'_>, field: Option<Field>) -> Vec<NorthDoubt> {
    let field = field.or_else(|| field_at(asked.place, asked.at));
    let mut doubts = Vec::new();
    if asked.north == North::Unknown {
        doubts.push(unknown());
    }
    if let Some(field) = &field {
        doubts.extend(unreliable(field));
    }
    let wanted = field.as_ref().and_then(|field| asked.wanted(field));
    let typed = asked.declination.unwrap_or("").trim();
    let given = declination(typed);
    if asked.north != North::Unknown && given.is_none() {
        doubts.push(missing(asked, typed, wanted.as_ref()));
    }
    if let Some(field) = field.filter(|field| field.out_of_date) {
        doubts.push(out_of_date(asked, &field, given.is_some()));
    }
    if let (Some(given), Some(wanted)) = (given, wanted) {
        doubts.extend(against(asked, given.deg(), &wanted));
    }
    for doubt in &mut doubts {
        doubt.keep = match given {
            Some(given) => format!("keep {}", east_west(given.deg())),
            None => KEEP.to_owned(),
        };
    }
    doubts.retain(|doubt| !doubt.is_kept(asked.accepted));
    doubts
}

fn unknown() -> NorthDoubt {
    let to = |north: North, why: &str| Change {
        north: Some(north),
        why: why.to_owned(),
        ..Change::default()
    };
    north_doubt(
        DoubtKind::NorthUnknown,
        Severity::Doubt,
        "nobody has said which north the bearings count from; say whether the card was turned to true north or stood at zero"
            .to_owned(),
        vec![
            (
                "the card was turned: true north".to_owned(),
                to(North::True, "the card was turned to true north"),
            ),
            (
                "the card stood at zero: magnetic north".to_owned(),
                to(North::Magnetic, "the card stood at zero"),
            ),
            (
                "the card was set to grid north".to_owned(),
                to(North::Grid, "the card was set to grid north"),
            ),
        ],
    )
}

fn unreliable(field: &Field) -> Option<NorthDoubt> {
    let (severity, advice) = match field.zone {
        Zone::None => return None,
        Zone::Caution => (
            Severity::Note,
            "a compass may be wrong by much; check a bearing against two known points",
        ),
        Zone::Blackout => (
            Severity::Doubt,
            "a compass shows nothing; take bearings from the sun or between known points",
        ),
    };
    let limit_nt = match field.zone {
        Zone::Blackout => 2000,
        _ => 6000,
    };
    Some(north_doubt(
        DoubtKind::CompassUnreliable,
        severity,
        format!(
            "the horizontal field here is {:.0} nT, below {limit_nt}, so that {advice}",
            field.horizontal_nt
        ),
        Vec::new(),
    ))
}

fn missing(asked: &Asked<'_>, typed: &str, wanted: Option<&Wanted>) -> NorthDoubt {
    let what = match (typed.is_empty(), asked.north) {
        (false, _) => {
            format!("declination `{typed}` is not a number of degrees up to 180, as 8W or -8")
        }
        (true, North::Magnetic) => {
            "no declination is given, so the bearings count from magnetic north".to_owned()
        }
        (true, _) => {
            "nobody has said what declination is set on the card, so nothing can be checked"
                .to_owned()
        }
    };
    let Some(wanted) = wanted else {
        return north_doubt(
            DoubtKind::DeclinationMissing,
            Severity::Doubt,
            format!("{what}; give it, or the place of the station"),
            Vec::new(),
        );
    };
    let (text, words) = (as_typed(wanted.deg), east_west(wanted.deg));
    let taken = Change {
        declination: Some(text),
        why: format!("declination {words} from {}", magnetic::MODEL),
        ..Change::default()
    };
    let mends = if asked.north == North::Magnetic {
        vec![(format!("{words}, as the model gives"), taken)]
    } else {
        let at_zero = Change {
            north: Some(North::Magnetic),
            why: format!("the card stood at zero; {}", taken.why),
            ..taken.clone()
        };
        vec![
            (format!("{words} stood on the card"), taken),
            ("the card stood at zero".to_owned(), at_zero),
        ]
    };
    north_doubt(
        DoubtKind::DeclinationMissing,
        Severity::Doubt,
        format!("{what}; {}", asked.model_words(wanted)),
        mends,
    )
}

fn out_of_date(asked: &Asked<'_>, field: &Field, given: bool) -> NorthDoubt {
    // A declination from elsewhere is as good as before: only it cannot be checked.
    let severity = if given && !asked.from_model {
        Severity::Note
    } else {
        Severity::Doubt
    };
    north_doubt(
        DoubtKind::ModelOutOfDate,
        severity,
        format!(
            "{} is outside the years of {}, {} to {}; drawn out it would give {}, by how much wrong nobody knows; take the declination from a newer model or map",
            day(asked.at),
            magnetic::MODEL,
            magnetic::VALID_FROM,
            magnetic::VALID_UNTIL,
            east_west(field.declination.deg())
        ),
        Vec::new(),
    )
}

/// How far two declinations may be apart, degrees: [`LIMIT`] times their joint standard deviation.
fn allowed_deg(sd_deg: f64, resolution_deg: f64) -> f64 {
    LIMIT * (sd_deg.powi(2) + SETTING_SD_DEG.powi(2) + resolution_deg.powi(2) / 12.0).sqrt()
}

/// The doubt of a declination against the model's, by the slip that explains it best.
fn against(asked: &Asked<'_>, given_deg: f64, wanted: &Wanted) -> Option<NorthDoubt> {
    let allowed_deg = allowed_deg(wanted.sd_deg, asked.resolution_deg);
    let off_deg = turn_deg(wanted.deg, given_deg).abs();
    if off_deg <= allowed_deg {
        return None;
    }
    let slips = [
        (
            DoubtKind::SignReversed,
            -wanted.deg,
            "east and west are exchanged",
        ),
        (
            DoubtKind::DeclinationDoubled,
            2.0 * wanted.deg,
            "it was applied twice",
        ),
        (
            DoubtKind::DeclinationOmitted,
            0.0,
            "it was not applied at all",
        ),
    ];
    let fit = |slip_deg: f64| turn_deg(slip_deg, given_deg).abs();
    let best = slips
        .into_iter()
        .filter(|(_, slip_deg, _)| fit(*slip_deg) <= allowed_deg)
        .min_by(|a, b| fit(a.1).total_cmp(&fit(b.1)));
    let (kind, because) = match best {
        Some((kind, _, because)) => (kind, format!(": {because}")),
        None => (DoubtKind::AgainstModel, String::new()),
    };
    let (given, right) = (east_west(given_deg), east_west(wanted.deg));
    let words = match asked.north {
        North::Magnetic => format!("{right} is right"),
        _ if asked.put_right => format!("{right} is right"),
        _ => format!("{right} is right, {given} stood on the card"),
    };
    let change = Change {
        declination: Some(as_typed(wanted.deg)),
        why: format!(
            "declination {given} was used, {} gives {right}",
            magnetic::MODEL
        ),
        ..Change::default()
    };
    Some(north_doubt(
        kind,
        Severity::Doubt,
        format!(
            "declination {given} {}, and {}{because}; {off_deg:.1}° apart, and {allowed_deg:.1}° is allowed; take {right}, or keep it if you know better",
            asked.verb(),
            asked.model_words(wanted)
        ),
        vec![(words, change)],
    ))
}

#[cfg(test)]
mod tests;
