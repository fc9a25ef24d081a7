//! What the page says of a declination while it is set: how far, which way, what the index then reads. No browser here.

use crate::app::drawing::Circle;
use crate::app::written::{day_words, declination_words, with_fraction};
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
    let turned = set_up.declination.as_deref().map(declination_words);
    let north = match (set_up.north, turned) {
        (North::True, Some(d)) => format!("{d} set on the circle"),
        (North::True, None) => "set to true north, declination not said".to_owned(),
        (North::Magnetic, Some(d)) => format!("circle at 0, the app corrects by {d}"),
        (North::Magnetic, None) => "circle at 0, declination not known".to_owned(),
        (North::Grid, Some(d)) => format!("{d} set on the circle, to grid north"),
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
mod tests {
    use super::*;

    #[test]
    fn a_circle_is_read_in_three_digits_with_its_fraction() {
        for (deg, words) in [
            (348.5, "348½"),
            (-11.5, "348½"),
            (8.0, "008"),
            (0.25, "000¼"),
            (360.0, "000"),
            (88.75, "088¾"),
            (348.4, "348.4"),
            (-0.5, "359½"),
        ] {
            assert_eq!(circle_number(deg), words, "{deg}");
        }
    }

    #[test]
    fn west_and_east_are_turned_their_own_way_and_read_what_the_circle_then_shows() {
        let west = turning(Some(-11.5), North::True, false);
        assert_eq!(west.figure, "11½° W");
        assert_eq!(west.what, ("turn the circle", "counter-clockwise"));
        assert_eq!(west.steps[1].number, "348½");
        assert!(west.steps[1].before.contains("left, against the clock"));
        assert_eq!(west.key, "It reads 348½: set");
        let east = turning(Some(8.0), North::True, false);
        assert_eq!(
            (east.what.1, &*east.key),
            ("clockwise", "It reads 008: set")
        );
        assert!(east.steps[1].before.contains("right, with the clock"));
        for turning in [&west, &east] {
            assert_eq!(turning.steps.len(), 3);
            assert_eq!(turning.steps[2].number, "000");
        }
        let mark = turning(Some(-11.5), North::True, true);
        assert_eq!(mark.what, ("turn the north mark", "counter-clockwise"));
        assert_eq!(mark.key, west.key);
        assert!(
            turning(Some(-11.5), North::Grid, false).steps[2]
                .before
                .contains("grid")
        );
    }

    #[test]
    fn a_circle_left_at_zero_is_not_turned_and_the_sum_is_shown() {
        // True = magnetic + declination, east positive (common practice).
        let west = turning(Some(-11.5), North::Magnetic, false);
        assert_eq!(
            west.circle.map(|c| (c.set_deg, c.needle_deg)),
            Some((0.0, -11.5))
        );
        assert_eq!(west.steps[2].number, "088½");
        assert!(west.steps[2].before.contains("takes away 11½°"));
        let east = turning(Some(8.0), North::Magnetic, false);
        assert_eq!(east.steps[2].number, "108");
        assert!(east.steps[2].before.contains("adds 8°"));
    }

    #[test]
    fn nothing_known_and_nothing_to_turn_say_so() {
        let unknown = turning(None, North::True, false);
        assert_eq!((unknown.circle, unknown.steps.len()), (None, 0));
        assert_eq!(unknown.key, "Keep it as not known");
        let zero = turning(Some(0.0), North::True, false);
        assert_eq!(zero.what, ("nothing to turn: leave it", "at 0"));
        assert_eq!(zero.key, "It reads 000: set");
    }

    #[test]
    fn the_model_value_is_taken_to_what_the_circle_can_show() {
        // 11° 34′ W of the pictures, on a circle in whole degrees and in halves.
        let deg = -(11.0 + 34.0 / 60.0);
        assert_eq!(settable_deg(deg, "1"), -11.5);
        assert_eq!(settable_deg(deg, "0.5"), -11.5);
        assert_eq!(settable_deg(-11.65, "0.25"), -11.75);
        assert_eq!(minutes_words(deg), "11° 34′ W");
        assert_eq!(minutes_words(2.999), "3° 00′ E");
        assert_eq!(minutes_words(-0.001), "0° 00′");
    }

    #[test]
    fn a_draft_comes_back_as_it_was() {
        for north in [North::True, North::Magnetic, North::Grid] {
            for (digits, west) in [("11.5", true), ("8", false), ("", true)] {
                let typed = Typed {
                    digits: digits.to_owned(),
                    west,
                };
                assert_eq!(drafted(&draft(north, &typed)), Some((north, typed)));
            }
        }
        assert_eq!(drafted("8"), None);
    }

    #[test]
    fn what_is_typed_comes_back_as_it_was_kept() {
        let mut typed = Typed::of(Some("-11.5"));
        assert_eq!(typed.text().as_deref(), Some("-11.5"));
        assert_eq!(
            (typed.side_words(true), typed.side_words(false)),
            ("11½° W".to_owned(), "11½° E".to_owned())
        );
        typed.west = false;
        assert_eq!(typed.text().as_deref(), Some("11.5"));
        let mut typed = Typed::default();
        assert_eq!((typed.text(), typed.is_over()), (None, false));
        for c in "1.8.1".chars() {
            typed.push(c);
        }
        assert_eq!(typed.digits, "1.81");
        typed.digits = "181".to_owned();
        assert_eq!((typed.deg(), typed.is_over()), (None, true));
        assert_eq!(
            Typed {
                digits: "0".to_owned(),
                west: true
            }
            .text()
            .as_deref(),
            Some("0")
        );
    }

    /// A station at a place.
    fn station(latitude: f64, longitude: f64) -> Station {
        Station {
            number: 3,
            position: Some(Position {
                latitude,
                longitude,
                ..Position::default()
            }),
            ..Station::default()
        }
    }

    #[test]
    fn the_model_says_its_value_its_uncertainty_and_its_last_day() {
        // A row of the table of test values in the WMM2025 technical report: 80° N 0° E, on the ellipsoid, 2027.5: 2.59°.
        // The middle of 2027 is the noon of 2 July.
        let model = model_at(Some(&station(80.0, 0.0)), "2027-07-02T12:00:00Z").unwrap();
        assert_eq!(format!("{:.2}", model.deg), "2.59");
        assert!(
            // 2.59° is between 35.1′ and 35.7′ past 2°.
            model.words.starts_with("2 July: 2° 36′ E ±")
                || model.words.starts_with("2 July: 2° 35′ E ±"),
            "{}",
            model.words
        );
        assert!(model.source.contains("field model of 2025"));
        assert!(model.more.contains("31 December 2029"), "{}", model.more);
        assert!(
            model.more.contains("For 2 July 2027 at station 3."),
            "{}",
            model.more
        );
        // On the meridian of UTM's zone 33 (15° E) the grid points to true north.
        let middle = model_at(Some(&station(52.0, 15.0)), "2027-07-02T12:00:00Z").unwrap();
        assert!(
            middle
                .grid_deg
                .is_some_and(|grid| (grid - middle.deg).abs() < 1e-9)
        );
        // East of it, on the northern half, the grid points east of true north: the angle to the needle is less easterly.
        let east = model_at(Some(&station(52.0, 17.0)), "2027-07-02T12:00:00Z").unwrap();
        // To first order the convergence is the longitude from the meridian times the sine of the latitude (common practice).
        let convergence = 2.0 * crate::orientation::angle::radians(52.0).sin();
        assert!(
            east.grid_deg
                .is_some_and(|grid| (east.deg - grid - convergence).abs() < 0.01)
        );
    }

    #[test]
    fn a_set_up_against_the_model_says_what_to_set() {
        let place = station(80.0, 0.0).position;
        let today = "2027-07-02T12:00:00Z";
        let found = |north, declination: Option<&str>, at: &str| {
            let set_up = SetUp {
                north,
                declination: declination.map(str::to_owned),
                resolution: "1".to_owned(),
                ..SetUp::default()
            };
            let found = doubts(&set_up, place.as_ref(), at).into_iter();
            found
                .map(|d| (d.kind, d.doubted, d.right.unwrap_or_default()))
                .collect::<Vec<_>>()
        };
        let sign = DoubtKind::SignReversed;
        // 2.59° E by the table of test values in the WMM2025 technical report; a circle in whole degrees takes 2½°.
        assert_eq!(found(North::True, Some("2.5"), today), []);
        assert_eq!(
            found(North::True, Some("-2.5"), today),
            [(sign, true, "2.5".to_owned())]
        );
        // The book corrects by tenths.
        assert_eq!(
            found(North::Magnetic, Some("-2.5"), today),
            [(sign, true, "2.6".to_owned())]
        );
        let kinds = |found: Vec<(DoubtKind, bool, String)>| {
            found.into_iter().map(|f| f.0).collect::<Vec<_>>()
        };
        assert_eq!(
            kinds(found(North::Unknown, None, today)),
            [DoubtKind::NorthUnknown]
        );
        // The model's last valid day is 31 December 2029.
        assert_eq!(
            kinds(found(North::True, Some("2.5"), "2029-12-31T23:00:00Z")),
            []
        );
        assert_eq!(
            kinds(found(North::True, Some("2.5"), "2030-01-01T08:00:00Z")),
            [DoubtKind::ModelOutOfDate]
        );
        assert!(model_at(None, today).unwrap_err().contains("no station"));
        assert!(model_at(Some(&station(52.0, -3.0)), "today").is_err());
    }

    #[test]
    fn the_defaults_on_the_page_are_those_that_hold() {
        for instrument in Instrument::ALL {
            let said = SetUp {
                instrument,
                ..SetUp::default()
            };
            let mut typed = said.clone();
            for measure in &MEASURES[..3] {
                let usual = (measure.usual)(&instrument.spread()).unwrap();
                (measure.put)(&mut typed, Some(format!("{usual}")));
                assert_eq!(
                    format!("{}, default", measure.words(&typed)),
                    measure.words(&said)
                );
            }
            assert_eq!(typed.noise(), said.noise());
            (MEASURES[2].put)(&mut typed, Some("2.5".to_owned()));
            assert_eq!(MEASURES[2].words(&typed), "2½°");
            assert_ne!(typed.noise(), said.noise());
            assert_eq!(MEASURES[3].words(&typed), "not measured");
        }
        assert_eq!(KINDS.map(|(kind, ..)| kind), Instrument::ALL);
        assert_eq!(measured("0.5"), Ok(0.5));
        for wrong in ["", ".", "46"] {
            assert!(measured(wrong).is_err(), "{wrong}");
        }
    }
}
