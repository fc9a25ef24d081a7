//! What the page says of a declination while it is set: how far, which way, what the index then reads. No browser here.

use crate::app::drawing::Circle;
use crate::app::written::{day_words, turn_words, with_fraction};
use crate::geodesy::grid::utm;
use crate::geodesy::magnetic;
use crate::notebook::{North, Position, SetUp, Station, north};
use crate::orientation::angle::wrap_deg;
use crate::orientation::instrument::Spread;
use crate::orientation::{DoubtKind, Instrument, Severity};

/// A declination while it is typed: digits, and the side they count to.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Typed {
    /// Digits and at most one point.
    pub digits: String,
    /// West.
    pub west: bool,
}

impl Typed {
    /// What is known already, from its text (degrees east positive), or nothing.
    pub fn of(text: Option<&str>) -> Self {
        let text = text.unwrap_or_default();
        Self {
            digits: text.trim_start_matches(['-', '+']).to_owned(),
            west: text.starts_with('-'),
        }
    }

    /// Adds a digit or a point; a second point and a sixth character are left out.
    pub fn push(&mut self, c: char) {
        if self.digits.len() < 6 && !(c == '.' && self.digits.contains('.')) {
            self.digits.push(c);
        }
    }

    /// Its size as typed, degrees; `None` where nothing is typed yet.
    pub fn size_deg(&self) -> Option<f64> {
        self.digits.parse().ok()
    }

    /// Over the limit of a declination.
    pub fn is_over(&self) -> bool {
        self.size_deg().is_some_and(|size| size > 180.0)
    }

    /// The declination, degrees east positive; `None` where it is not known, or over its limit.
    pub fn deg(&self) -> Option<f64> {
        let size = self.size_deg().filter(|_| !self.is_over())?;
        Some(if self.west && size > 0.0 { -size } else { size })
    }

    /// The text that the book keeps.
    pub fn text(&self) -> Option<String> {
        self.deg().map(|deg| format!("{deg}"))
    }

    /// The other side, for the two plates: the size with a letter.
    pub fn side_words(&self, west: bool) -> String {
        let letter = if west { "W" } else { "E" };
        match self.size_deg() {
            Some(size) => format!("{}° {letter}", with_fraction(size)),
            None => if west { "west" } else { "east" }.to_owned(),
        }
    }
}

/// North and declination while they are chosen, as a draft: a letter, then the number with its sign.
pub fn drafted(text: &str) -> Option<(North, Typed)> {
    let north = match text.chars().next()? {
        't' => North::True,
        'm' => North::Magnetic,
        'g' => North::Grid,
        _ => return None,
    };
    Some((north, Typed::of(text.get(1..))))
}

/// North and declination as such a draft.
pub fn draft(north: North, typed: &Typed) -> String {
    let letter = match north {
        North::Magnetic => 'm',
        North::Grid => 'g',
        North::True | North::Unknown => 't',
    };
    let sign = if typed.west { '-' } else { '+' };
    format!("{letter}{sign}{}", typed.digits)
}

/// A number as a circle is read: three digits, and its halves and quarters, 348½.
pub fn circle_number(deg: f64) -> String {
    let deg = wrap_deg((deg * 1e6).round() / 1e6);
    let words = with_fraction(deg);
    let whole = words.chars().take_while(char::is_ascii_digit).count();
    format!("{}{words}", "0".repeat(3_usize.saturating_sub(whole)))
}

/// The nearest number that a circle of this division can be set to: half a division can be judged by eye, down to ¼°.
pub fn settable_deg(deg: f64, resolution: &str) -> f64 {
    let step = if resolution == "1" { 0.5 } else { 0.25 };
    (deg / step).round() * step
}

/// Degrees with minutes and the letter of the side: 11° 34′ W.
pub fn minutes_words(deg: f64) -> String {
    let minutes = (deg.abs() * 60.0).round();
    let side = match deg {
        _ if minutes == 0.0 => "",
        d if d < 0.0 => " W",
        _ => " E",
    };
    format!("{}° {:02}′{side}", (minutes / 60.0).trunc(), minutes % 60.0)
}

/// One thing to do, with the words of it that stand out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Step {
    /// The words before.
    pub before: String,
    /// The number that matters.
    pub number: String,
}

/// What the page says beside the drawing.
#[derive(Clone, Debug, PartialEq)]
pub struct Turning {
    /// The circle to draw; none while the declination is not known.
    pub circle: Option<Circle>,
    /// The big figure: 11½° W.
    pub figure: String,
    /// What to do with it, in words, and the word that stands out.
    pub what: (&'static str, &'static str),
    /// The numbered steps.
    pub steps: Vec<Step>,
    /// The rule, and whose it is.
    pub rule: &'static str,
    /// The words of the confirming key.
    pub key: String,
    /// The drawing, spoken.
    pub spoken: String,
}

/// How a circle is to be turned.
///
/// # Units
/// Degrees, east positive.
///
/// # Degenerate input
/// A declination that is not known: no drawing, no steps. 0°: nothing to turn.
pub fn turning(declination_deg: Option<f64>, north: North, clockwise: bool) -> Turning {
    let grid = north == North::Grid;
    let Some(needle_deg) = declination_deg else {
        return Turning {
            circle: None,
            figure: "not known".to_owned(),
            what: ("type it, or take the", "model's value"),
            steps: Vec::new(),
            rule: "",
            key: "Keep it as not known".to_owned(),
            spoken: String::new(),
        };
    };
    let side = match needle_deg {
        d if d < 0.0 => " W",
        d if d > 0.0 => " E",
        _ => "",
    };
    let size = with_fraction(needle_deg.abs());
    let figure = format!("{size}°{side}");
    let set_deg = if north == North::Magnetic {
        0.0
    } else {
        needle_deg
    };
    let circle = Circle {
        needle_deg,
        set_deg,
        clockwise,
    };
    let number = circle_number(circle.reading_deg());
    let step = |before: &str, number: &str| Step {
        before: before.to_owned(),
        number: number.to_owned(),
    };
    if north == North::Magnetic {
        let true_of_100 = circle_number(100.0 + needle_deg);
        return Turning {
            circle: Some(circle),
            what: ("leave the circle", "at 0"),
            steps: vec![
                step("See that the index reads", "000"),
                step("Read bearings as they stand: they are magnetic.", ""),
                step(
                    &format!(
                        "The book {} {size}°: a bearing of 100 counts as",
                        if needle_deg < 0.0 {
                            "takes away"
                        } else {
                            "adds"
                        }
                    ),
                    &true_of_100,
                ),
            ],
            rule: "True = read + declination, east positive (common practice)",
            key: "It reads 000: the app corrects".to_owned(),
            spoken: format!(
                "The circle left at 0 under the index; the needle on magnetic north, {figure} of true north."
            ),
            figure,
        };
    }
    let (part, rule) = if clockwise {
        (
            "north mark",
            "West: counter-clockwise. East: clockwise. (common practice; this circle's numbers run clockwise, so its north mark is turned. A card that swings with the needle cannot be set: leave it at 0)",
        )
    } else {
        (
            "circle",
            "West: counter-clockwise. East: clockwise. (common practice; this circle's numbers run counter-clockwise)",
        )
    };
    let sight = if grid {
        "Sight along a north line of the grid: it must read"
    } else {
        "Sight anything due true north by the map: it must read"
    };
    let key = format!("It reads {number}: set");
    if set_deg == 0.0 {
        return Turning {
            circle: Some(circle),
            what: ("nothing to turn: leave it", "at 0"),
            steps: vec![step("See that the index reads", "000"), step(sight, "000")],
            rule,
            key,
            spoken: "The circle at 0 under the index, the needle over it.".to_owned(),
            figure,
        };
    }
    let (way, hand) = if set_deg < 0.0 {
        ("counter-clockwise", "left, against the clock")
    } else {
        ("clockwise", "right, with the clock")
    };
    let (loosen, turn) = if clockwise {
        (
            "Loosen the north mark.",
            format!("Turn the mark to the {hand}, until it stands at"),
        )
    } else {
        (
            "Loosen the circle's setting screw.",
            format!("Turn the circle to the {hand}, until the index reads"),
        )
    };
    Turning {
        circle: Some(circle),
        what: (
            if clockwise {
                "turn the north mark"
            } else {
                "turn the circle"
            },
            way,
        ),
        steps: vec![step(loosen, ""), step(&turn, &number), step(sight, "000")],
        rule,
        key,
        spoken: format!(
            "Turn the {part} {way} by {size} degrees, until {} {number}; the needle then stands over {}.",
            if clockwise {
                "the mark stands at"
            } else {
                "the index reads"
            },
            if clockwise {
                "the mark"
            } else {
                "the circle's zero"
            },
        ),
        figure,
    }
}

/// What the model says of a place and a day.
#[derive(Clone, Debug, PartialEq)]
pub struct Model {
    /// Declination, degrees east positive.
    pub deg: f64,
    /// What a circle is set to for grid north: the declination less the convergence of UTM; none where UTM has no zone.
    pub grid_deg: Option<f64>,
    /// The day, the value and its uncertainty.
    pub words: String,
    /// Where it comes from.
    pub source: String,
    /// Annual change, last valid day, where it was asked for.
    pub more: String,
}

/// The model's declination at a station and on a day (RFC 3339), or why there is none.
///
/// # Degenerate input
/// A day outside the model's years, or a place where a needle cannot be trusted: the value all the same; [`doubts`] says so.
///
/// # Errors
/// Words for a person: no station has a position, or the tablet's day cannot be read.
pub fn model_at(station: Option<&Station>, today: &str) -> Result<Model, String> {
    let Some((number, place)) = station.and_then(|s| Some((s.number, s.position.as_ref()?))) else {
        return Err("The field model needs a place: no station has a position yet.".to_owned());
    };
    let field = north::field(place, today).map_err(|error| error.to_string())?;
    let deg = field.declination.deg();
    let day = day_words(today.get(..10).unwrap_or_default());
    let last = day_words(magnetic::VALID_UNTIL);
    let year = magnetic::VALID_FROM.get(..4).unwrap_or_default();
    let yearly = field.annual.declination_deg;
    let change = match (yearly * 100.0).round() / 100.0 {
        c if c < 0.0 => format!("It moves {:.2}° west a year.", -c),
        c if c > 0.0 => format!("It moves {c:.2}° east a year."),
        _ => "It hardly changes in a year.".to_owned(),
    };
    let grid_deg = utm(place.latitude, place.longitude)
        .ok()
        .map(|utm| deg - utm.convergence.deg());
    let grid = match grid_deg {
        Some(grid_deg) => format!(
            " To UTM grid north, whose convergence is {}, it is {}.",
            minutes_words(deg - grid_deg),
            minutes_words(grid_deg)
        ),
        None => String::new(),
    };
    Ok(Model {
        deg,
        grid_deg,
        words: format!(
            "{}: {} ±{:.1}°",
            day.rsplit_once(' ').map_or(&*day, |(day, _)| day),
            minutes_words(deg),
            field.declination_sd_deg
        ),
        source: format!(" · field model of {year}, at this place and day"),
        more: format!(
            "For {day} at station {number}. {change} The model's last valid day is {last}.{grid}"
        ),
    })
}

/// What is doubtful about a set-up, and what would mend it.
#[derive(Clone, Debug, PartialEq)]
pub struct Doubtful {
    /// The rule that found it.
    pub kind: DoubtKind,
    /// One sentence with the numbers.
    pub words: String,
    /// A doubt, not a note.
    pub doubted: bool,
    /// The declination that would mend it, degrees east positive as typed; for a circle, as near as it can be set.
    pub right: Option<String>,
}

/// The doubts of a set-up as it is set, or is about to be, at a place and on a day (RFC 3339).
///
/// # Degenerate input
/// Without a place nothing is held against the model.
pub fn doubts(set_up: &SetUp, place: Option<&Position>, today: &str) -> Vec<Doubtful> {
    let found = north::doubts_of_set_up(set_up, place, today).into_iter();
    found
        .map(|found| {
            let mut rights = found
                .mends
                .into_iter()
                .filter_map(|mend| mend.change.declination);
            let right = rights
                .next()
                .map(|text| match (set_up.north, text.parse()) {
                    (North::Magnetic, _) | (_, Err(_)) => text,
                    (_, Ok(deg)) => format!("{}", settable_deg(deg, &set_up.resolution)),
                });
            Doubtful {
                kind: found.doubt.kind,
                words: found.doubt.message,
                doubted: found.doubt.severity == Severity::Doubt,
                right,
            }
        })
        .collect()
}

/// The kinds of instrument, in the trade's plain words.
pub const KINDS: [(Instrument, &str, &str, &str); 5] = [
    (
        Instrument::HingeTransit,
        "kind-hinge-transit",
        "Hinged transit",
        "north along the hinge, a lid that turns on two axes",
    ),
    (
        Instrument::ArmTransit,
        "kind-arm-transit",
        "Transit with a sighting arm",
        "north away from the hinge; strike by the edge, dip by the clinometer",
    ),
    (
        Instrument::PlateCompass,
        "kind-plate-compass",
        "Plate compass",
        "the plate on the plane: dip direction and dip at once",
    ),
    (
        Instrument::CompassAndClinometer,
        "kind-compass-clinometer",
        "Compass and clinometer",
        "plain: a bearing by the one, an inclination by the other",
    ),
    (
        Instrument::Own,
        "kind-own",
        "Another of your own",
        "you say which scales it has and how they run",
    ),
];

/// One number that says how well a set-up reads.
pub struct Measure {
    /// Its name on the page.
    pub id: &'static str,
    /// Its word.
    pub word: &'static str,
    /// What it is, and where its default comes from.
    pub source: &'static str,
    /// What is usual for the kind of instrument, degrees.
    usual: fn(&Spread) -> Option<f64>,
    /// Where a set-up has it.
    pub get: fn(&SetUp) -> &Option<String>,
    /// Puts it there.
    pub put: fn(&mut SetUp, Option<String>),
}

/// The numbers that say how well a set-up reads.
pub const MEASURES: [Measure; 4] = [
    Measure {
        id: "needle-sd",
        word: "needle ±",
        source: "How far one reading of the needle lies from the next. Needle and bearing are good to ½–1°, with a plain hand compass to 2° (common practice).",
        usual: |s| Some(s.needle_deg),
        get: |s| &s.needle_sd,
        put: |s, text| s.needle_sd = text,
    },
    Measure {
        id: "inclination-sd",
        word: "inclination ±",
        source: "How far one reading of dip, plunge or rake lies from the next, the instrument not moved. Scales are good to ½–1°, plain ones to 2° (common practice).",
        usual: |s| Some(s.inclination_deg),
        get: |s| &s.inclination_sd,
        put: |s, text| s.inclination_sd = text,
    },
    Measure {
        id: "placement-sd",
        word: "placement ±",
        source: "How far one laying on the rock tilts from the next. Angles on a rough plane are good to 1–2° (common practice).",
        usual: |s| Some(s.placement_deg),
        get: |s| &s.placement_sd,
        put: |s, text| s.placement_sd = text,
    },
    Measure {
        id: "index-width",
        word: "index width",
        source: "How much less a scale reads at the edge of its index that belongs to the other swing of the lid: read one dip at both edges and type the difference. Without it that slip cannot be recognised.",
        usual: |_| None,
        get: |s| &s.index_width,
        put: |s, text| s.index_width = text,
    },
];

impl Measure {
    /// What is usual for the set-up's kind of instrument, in words.
    fn usual_words(&self, set_up: &SetUp) -> Option<String> {
        let usual = (self.usual)(&set_up.instrument.spread())?;
        Some(format!("{}°", with_fraction(usual)))
    }

    /// What holds, and whether it is the default.
    pub fn words(&self, set_up: &SetUp) -> String {
        match ((self.get)(set_up), self.usual_words(set_up)) {
            (Some(text), _) => degrees_words(text),
            (None, Some(usual)) => format!("{usual}, default"),
            (None, None) => "not measured".to_owned(),
        }
    }

    /// The words of the plate that takes the number off.
    pub fn without(&self, set_up: &SetUp) -> String {
        match self.usual_words(set_up) {
            Some(usual) => format!("Take the default, {usual}"),
            None => "Not measured".to_owned(),
        }
    }
}

fn degrees_words(text: &str) -> String {
    match text.parse() {
        Ok(number) => format!("{}°", with_fraction(number)),
        Err(_) => text.to_owned(),
    }
}

/// The largest of these numbers that is believed, degrees.
const LARGEST_DEG: f64 = 45.0;

/// A typed number of degrees for one of [`MEASURES`].
///
/// # Errors
/// Words for a person where it is empty, no number, or over 45.
pub fn measured(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(number) if number <= LARGEST_DEG => Ok(number),
        Ok(_) => Err(format!(
            "`{text}` is over {LARGEST_DEG}; take a digit off with back"
        )),
        Err(_) if text.is_empty() => Err("nothing is typed yet".to_owned()),
        Err(_) => Err(format!("`{text}` is no number; take it off with back")),
    }
}

/// How a set-up is set, in one line.
pub fn set_up_words(set_up: &SetUp) -> String {
    let turned = set_up.declination.as_deref().map(turn_words);
    let north = match (set_up.north, turned) {
        (North::True, Some(Ok(d))) => format!("{d} set on the circle"),
        (North::True, Some(Err(why))) => format!("set to true north; {why}"),
        (North::True, None) => "set to true north, declination not said".to_owned(),
        (North::Magnetic, Some(Ok(d))) => format!("circle at 0, the app corrects by {d}"),
        (North::Magnetic, Some(Err(why))) => format!("circle at 0; {why}"),
        (North::Magnetic, None) => "circle at 0, declination not known".to_owned(),
        (North::Grid, Some(Ok(d))) => format!("{d} set on the circle, to grid north"),
        (North::Grid, Some(Err(why))) => format!("set to grid north; {why}"),
        (North::Grid, None) => "set to grid north".to_owned(),
        (North::Unknown, _) => "nobody has said which north it reads".to_owned(),
    };
    let reads = match set_up.resolution.as_str() {
        "0.5" => "half degrees",
        "0.25" => "quarter degrees",
        _ => "whole degrees",
    };
    match set_up.declination_at.as_deref().and_then(|at| at.get(..10)) {
        Some(day) => format!("{north}, {reads}, since {}", day_words(day)),
        None => format!("{north}, {reads}"),
    }
}

#[cfg(test)]
mod tests;
