//! The pair: a strike against the side, or the direction, the plane dips to.

use super::angle::{Azimuth, Dip, wrap_deg};
use super::doubt::{Choice, Dial, Doubt, DoubtKind, Severity};
use super::noise::Noise;
use super::notation::{typed, write_azimuth, write_inclination};
use super::plane::Plane;
use super::wind::{Wind, Winds, sides};

/// Where a plane was said to dip.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Toward {
    /// In compass letters; they tell no more than half their sector.
    Wind(Wind),
    /// As an azimuth.
    Azimuth(Azimuth),
}

impl Toward {
    /// From compass letters, or an azimuth in digits.
    ///
    /// # Degenerate input
    /// Anything else, or an azimuth over 360: none.
    #[must_use]
    pub fn read(text: &str) -> Option<Self> {
        let text = text.trim();
        Wind::read(text).map(Self::Wind).or_else(|| {
            let number = typed(text)?;
            Azimuth::from_deg(number.deg).ok().map(Self::Azimuth)
        })
    }

    /// The azimuth it names.
    fn azimuth(self) -> Azimuth {
        match self {
            Self::Wind(wind) => Azimuth::wrapped_deg(wind.azimuth_deg()).unwrap_or(NORTH),
            Self::Azimuth(azimuth) => azimuth,
        }
    }

    /// As it is written: letters, or three digits.
    fn written(self) -> String {
        match self {
            Self::Wind(wind) => wind.name().to_owned(),
            Self::Azimuth(azimuth) => write_azimuth(azimuth),
        }
    }
}

/// How many standard deviations a strike and a dip direction, read apart, may be off a right angle before it is doubted: an
/// assumption, about one false alarm in 370 pairs.
pub const PAIR_LIMIT: f64 = 3.0;

/// An azimuth this close to the strike is along it, whatever the noise: half a sector of sixteen winds (our assumption).
const ALONG_DEG: f64 = 11.25;

/// What a strike, a dip and a side make together.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Pair {
    /// The plane, when there is one.
    pub plane: Option<Plane>,
    /// Both planes while the side cannot be told: without a side the westerly one first (as [`sides`]), with a side that lies
    /// along the strike in the order of the doubt's choices.
    pub candidates: Vec<Plane>,
    /// What does not agree, or is worth saying.
    pub doubts: Vec<Doubt>,
}

/// Settles a strike end, a dip and the side it dips to into a plane by the right-hand rule.
///
/// Side to the right of the strike: as read. To the left: the same plane, its strike is the other end, and a note says so.
/// Along the strike, within half a sector of the winds used: a doubt with both planes as choices. An azimuth off the right
/// angle by more than [`PAIR_LIMIT`] standard deviations: a doubt, with the plane on that side.
///
/// # Degenerate input
/// Horizontal: the plane with the strike as read, and a note that it has no strike. Vertical: a note that it dips to neither side,
/// and the plane with the strike as read, or with a side the one that faces it: the hanging wall of a fault lies there.
#[must_use]
pub fn settle(strike: Azimuth, dip: Dip, side: Option<Toward>, noise: &Noise) -> Pair {
    let right = Plane::new(strike, dip);
    if dip.deg() == 0.0 {
        return Pair {
            plane: Some(right),
            candidates: Vec::new(),
            doubts: vec![horizontal(strike)],
        };
    }
    let Some(side) = side else {
        if dip.deg() == 90.0 {
            return Pair {
                plane: Some(right),
                candidates: Vec::new(),
                doubts: vec![vertical(strike, None)],
            };
        }
        let [first, second] = sides(strike.deg());
        let toward =
            |deg: f64| Plane::from_dip_direction(Azimuth::wrapped_deg(deg).unwrap_or(NORTH), dip);
        return Pair {
            plane: None,
            candidates: vec![toward(first.toward_deg), toward(second.toward_deg)],
            doubts: Vec::new(),
        };
    };
    let toward = side.azimuth();
    let off_strike_deg = toward.angle_to_axis(strike).deg();
    let along = match side {
        Toward::Wind(wind) => off_strike_deg < wind.winds().half_sector_deg(),
        Toward::Azimuth(_) => off_strike_deg < ALONG_DEG,
    };
    let vertical_plane = dip.deg() == 90.0;
    if along {
        return Pair {
            plane: vertical_plane.then_some(right),
            candidates: if vertical_plane {
                Vec::new()
            } else {
                vec![right, right.other_side()]
            },
            doubts: vec![along_strike(strike, dip, side)],
        };
    }
    let to_the_right = toward.angle(right.dip_direction()).deg() < 90.0;
    let plane = if to_the_right {
        right
    } else {
        right.other_side()
    };
    if vertical_plane {
        return Pair {
            plane: Some(plane),
            candidates: Vec::new(),
            doubts: vec![vertical(strike, Some(side))],
        };
    }
    let mut doubts = Vec::new();
    if !to_the_right {
        doubts.push(other_end(strike, &plane, side));
    }
    if let Toward::Azimuth(read) = side {
        let off_deg = read.angle(plane.dip_direction()).deg();
        let limit_deg = PAIR_LIMIT * std::f64::consts::SQRT_2 * noise.strike_sd_deg(dip);
        if off_deg > limit_deg {
            doubts.push(not_square(strike, dip, read, off_deg, limit_deg));
        }
    }
    Pair {
        plane: Some(plane),
        candidates: Vec::new(),
        doubts,
    }
}

const NORTH: Azimuth = Azimuth::NORTH;

/// The note on a plane without a strike.
pub(super) fn horizontal(strike: Azimuth) -> Doubt {
    Doubt {
        kind: DoubtKind::HorizontalPlane,
        severity: Severity::Note,
        dial: Some(Dial::Strike),
        message: format!(
            "a horizontal plane has no strike; {} is kept as read, without meaning",
            write_azimuth(strike)
        ),
        choices: Vec::new(),
    }
}

/// The note on a plane that dips to neither side.
pub(super) fn vertical(strike: Azimuth, side: Option<Toward>) -> Doubt {
    let ends = format!(
        "a vertical plane dips to neither side; {} and {} are the same strike",
        write_azimuth(strike),
        write_azimuth(strike.opposite())
    );
    Doubt {
        kind: DoubtKind::VerticalPlane,
        severity: Severity::Note,
        dial: Some(Dial::Dip),
        message: match side {
            Some(side) => format!(
                "{ends}, and {} only says which way it faces",
                side.written()
            ),
            None => ends,
        },
        choices: Vec::new(),
    }
}

fn other_end(strike: Azimuth, plane: &Plane, side: Toward) -> Doubt {
    Doubt {
        kind: DoubtKind::OtherEnd,
        severity: Severity::Note,
        dial: Some(Dial::Strike),
        message: format!(
            "read as {} dipping {}, to the left; the right-hand strike is the other end, {}, of the same plane",
            write_azimuth(strike),
            side.written(),
            write_azimuth(plane.strike())
        ),
        choices: Vec::new(),
    }
}

fn along_strike(strike: Azimuth, dip: Dip, side: Toward) -> Doubt {
    let read = write_azimuth(strike);
    let dip_written = write_inclination(dip.deg());
    let to = [strike.right(), strike.left()];
    let winds = to.map(|a| Wind::nearest(a.deg(), Winds::Eight));
    let verb = if dip.deg() == 90.0 { "faces" } else { "dips" };
    let mut choices = Vec::with_capacity(3);
    let message = match side {
        Toward::Wind(wind) => {
            for w in winds {
                choices.push(Choice {
                    words: format!(
                        "{verb} to the {}: {read}/{dip_written}{}",
                        w.words(),
                        w.name()
                    ),
                    sets: vec![(Dial::Side, w.name().to_owned())],
                });
            }
            format!(
                "a plane striking {read} {verb} to the {} or the {}, not to the {}",
                winds[0].words(),
                winds[1].words(),
                wind.words()
            )
        }
        Toward::Azimuth(azimuth) => {
            for a in to {
                let toward = write_azimuth(a);
                choices.push(Choice {
                    words: format!("{verb} towards {toward}"),
                    sets: vec![(Dial::Toward, toward)],
                });
            }
            format!(
                "a plane striking {read} {verb} towards {} or {}, not {}",
                write_azimuth(to[0]),
                write_azimuth(to[1]),
                write_azimuth(azimuth)
            )
        }
    };
    // The end read lies on the side named: the likely slip is a dip direction in the strike's place.
    if side.azimuth().angle(strike).deg() < 90.0 && dip.deg() < 90.0 {
        choices.push(Choice {
            words: format!("{read} was the direction it dips"),
            sets: vec![
                (Dial::Strike, String::new()),
                (Dial::Side, String::new()),
                (Dial::Toward, read),
            ],
        });
    }
    Doubt {
        kind: DoubtKind::SideAlongStrike,
        severity: Severity::Doubt,
        dial: Some(match side {
            Toward::Wind(_) => Dial::Side,
            Toward::Azimuth(_) => Dial::Toward,
        }),
        message,
        choices,
    }
}

fn not_square(strike: Azimuth, dip: Dip, read: Azimuth, off_deg: f64, limit_deg: f64) -> Doubt {
    let nearest = [strike.right(), strike.left()]
        .into_iter()
        .min_by(|a, b| a.angle(read).rad().total_cmp(&b.angle(read).rad()))
        .unwrap_or(NORTH);
    let toward = write_azimuth(nearest);
    let strikes = [read.left(), read.right()]
        .into_iter()
        .min_by(|a, b| a.angle(strike).rad().total_cmp(&b.angle(strike).rad()))
        .unwrap_or(NORTH);
    let other_strike = write_azimuth(strikes);
    Doubt {
        kind: DoubtKind::NotSquare,
        severity: Severity::Doubt,
        dial: Some(Dial::Toward),
        message: format!(
            "a plane striking {} dips towards {toward}, not {}: {:.0} off, and {} dip allows {:.0}",
            write_azimuth(strike),
            write_azimuth(read),
            off_deg,
            write_inclination(dip.deg()),
            limit_deg
        ),
        choices: vec![
            Choice {
                words: format!("the strike holds: towards {toward}"),
                sets: vec![(Dial::Toward, toward)],
            },
            Choice {
                words: format!("the dip direction holds: strike {other_strike}"),
                sets: vec![(Dial::Strike, other_strike)],
            },
        ],
    }
}

/// The side opposite to the one typed, in the same writing; what cannot be read stays.
pub(super) fn opposite_side(text: &str) -> String {
    match Toward::read(text) {
        Some(Toward::Wind(wind)) => {
            Wind::nearest(wrap_deg(wind.azimuth_deg() + 180.0), wind.winds())
                .name()
                .to_owned()
        }
        Some(Toward::Azimuth(azimuth)) => write_azimuth(azimuth.opposite()),
        None => text.to_owned(),
    }
}
