//! Doubts as data: which numbers contradict each other, by how much, and the ways to mend it.

use serde::{Deserialize, Serialize};

/// One number of a reading, as it stood on the instrument.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Dial {
    /// Azimuth of a strike end, three digits.
    Strike,
    /// Dip below the horizontal, two digits.
    Dip,
    /// The side the plane dips towards: compass letters.
    Side,
    /// Dip direction as an azimuth, three digits.
    Toward,
    /// Trend of a line, three digits.
    Trend,
    /// Plunge of a line, two digits.
    Plunge,
    /// Rake in the plane, three digits.
    Rake,
    /// Angle between two planes, three digits.
    Angle,
    /// Bearing of a sighting, three digits.
    Bearing,
    /// Vertical angle of a sighting, two digits.
    Vertical,
}

impl Dial {
    /// Its name in the trade, as it stands in a sentence.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Strike => "strike",
            Self::Dip => "dip",
            Self::Side => "side",
            Self::Toward => "dip direction",
            Self::Trend => "trend",
            Self::Plunge => "plunge",
            Self::Rake => "rake",
            Self::Angle => "angle",
            Self::Bearing => "bearing",
            Self::Vertical => "vertical angle",
        }
    }
}

/// What kind of contradiction a doubt is; its name in files and on the command line is kebab-case.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum DoubtKind {
    /// A number is outside its dial's range.
    OutOfRange,
    /// The side lies along the strike: the pair contradicts itself.
    SideAlongStrike,
    /// The strike read is not the right-hand end; the plane is the same.
    OtherEnd,
    /// A horizontal plane has no strike.
    HorizontalPlane,
    /// A vertical plane dips to neither side.
    VerticalPlane,
    /// A vertical line has no trend.
    VerticalLine,
    /// The text stands for more than one thing in the trade.
    Ambiguous,
    /// The text, or a part of it, is not a reading.
    Unreadable,
    /// The shots of one reading scatter more than the set-up allows.
    Scatter,
    /// A line does not lie in the plane it was read on.
    OffPlane,
    /// The dip direction read is not at a right angle to the strike read.
    NotSquare,
    /// The rake read is not the one that trend and plunge give in this plane.
    RakeDisagrees,
    /// The dials of a plane and a line in it cannot all be right.
    SetUp,
    /// The way the lid was swung gives the other side than the one noted.
    SwingAgainstSide,
    /// A scale was read at the edge of its index that belongs to the other swing of the lid.
    WrongEdge,
    /// Hung under an overhang, the scale does not tell which end is down, and nobody noted it.
    EndNotNoted,
    /// Nobody has said which north a bearing counts from.
    NorthUnknown,
    /// The declination is not given.
    DeclinationMissing,
    /// The declination is not the one that the model gives for this place and day.
    AgainstModel,
    /// The declination has the model's size and the other sign.
    SignReversed,
    /// The declination is twice the model's: it was applied twice.
    DeclinationDoubled,
    /// The declination is given as nil and the model's is not: it was not applied at all.
    DeclinationOmitted,
    /// The day lies outside the years that the magnetic model is made for.
    ModelOutOfDate,
    /// The horizontal field here is too weak for a compass to be trusted.
    CompassUnreliable,
    /// Members of the same book had different declinations on the same day.
    MembersDiffer,
    /// A bearing and the one back along the same line are not half a turn apart.
    ForeAgainstBack,
    /// An angle, a hinge or an axial plane does not agree with the planes it stands with.
    Company,
    /// A reading is unlike the structure that the others of its kind show.
    UnlikeAround,
    /// Everything at one place is turned by one angle.
    AllTurned,
    /// A position is known so poorly that the place could be taken for another.
    PoorFix,
    /// A position lies farther from the one before than anybody can have gone.
    FarFromLast,
    /// Two places lie within the uncertainty of their positions.
    SamePlace,
    /// Two places have one number, or two readings, sightings or photos of one place.
    NumberTwice,
    /// A clock ran backwards, leapt, or is against another.
    Clock,
}

/// How loudly a doubt speaks.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Severity {
    /// Worth saying; nothing contradicts anything.
    Note,
    /// Numbers contradict each other or a limit.
    Doubt,
}

/// One way to mend a doubt, offered with one tap.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Choice {
    /// What the person reads on the choice.
    pub words: String,
    /// The dials it sets, as they would have been typed, an empty text for one left unread; no dials: everything stays as read.
    pub sets: Vec<(Dial, String)>,
}

/// A finding that a number contradicts another or its limit.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Doubt {
    /// The rule that found it.
    pub kind: DoubtKind,
    /// How loudly it speaks.
    pub severity: Severity,
    /// The dial to be marked, if one stands out.
    pub dial: Option<Dial>,
    /// One sentence with the numbers: lower case, no full stop.
    pub message: String,
    /// The ways to mend it, likeliest first.
    pub choices: Vec<Choice>,
}
