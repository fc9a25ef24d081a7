//! What a column can be, and the headings under which the trade usually writes it (common practice).

/// What stands in a column.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum What {
    /// The station, by number or by name.
    Station,
    /// The station's name.
    StationName,
    /// Latitude on WGS 84.
    Latitude,
    /// Longitude on WGS 84.
    Longitude,
    /// Easting on UTM, metres.
    Easting,
    /// Northing on UTM, metres.
    Northing,
    /// The zone of UTM, with N or S.
    Zone,
    /// Height, metres.
    Height,
    /// How well the place is known, metres.
    Accuracy,
    /// The mapped unit.
    Unit,
    /// What the rock is.
    Lithology,
    /// The kind of structure.
    Kind,
    /// A plane or a line in one piece, as `045/30SE`.
    Written,
    /// A plane in one piece.
    Plane,
    /// A line in one piece.
    Line,
    /// The strike end read.
    Strike,
    /// The dip, with or without the side behind it.
    Dip,
    /// Where the plane dips: compass letters or an azimuth.
    Toward,
    /// The side in compass letters, beside a dip direction.
    Side,
    /// The trend of a line.
    Trend,
    /// The plunge of a line.
    Plunge,
    /// The rake.
    Rake,
    /// The angle between two planes.
    Angle,
    /// Which way the beds young.
    Tops,
    /// Which way the hanging wall of a fault went.
    Sense,
    /// The north a bearing was read against.
    North,
    /// The declination, east positive.
    Declination,
    /// The right-hand rule holds: true or false.
    RightHand,
    /// Withdrawn in the table: true or false.
    StruckOut,
    /// What the table calls the reading.
    Reading,
    /// The number of the shot.
    Shot,
    /// The day, or the day and the time.
    Date,
    /// The time of day.
    Time,
    /// Who read it.
    Who,
    /// A note, kept as it is.
    Note,
    /// Anything else, kept in the note under its heading.
    Kept,
    /// Left out of the note: it is worked out anew, or nobody wants it. The row as it stood has it still.
    LeftOut,
    /// What a hand-over writes beside all that, read by its heading: records, answers, how an instrument stood.
    HandedOver,
}

impl What {
    /// All of them, in the order in which they are offered.
    pub const ALL: [Self; 38] = [
        Self::Station,
        Self::StationName,
        Self::Latitude,
        Self::Longitude,
        Self::Easting,
        Self::Northing,
        Self::Zone,
        Self::Height,
        Self::Accuracy,
        Self::Unit,
        Self::Lithology,
        Self::Kind,
        Self::Written,
        Self::Plane,
        Self::Line,
        Self::Strike,
        Self::Dip,
        Self::Toward,
        Self::Side,
        Self::Trend,
        Self::Plunge,
        Self::Rake,
        Self::Angle,
        Self::Tops,
        Self::Sense,
        Self::North,
        Self::Declination,
        Self::RightHand,
        Self::StruckOut,
        Self::Reading,
        Self::Shot,
        Self::Date,
        Self::Time,
        Self::Who,
        Self::Note,
        Self::Kept,
        Self::LeftOut,
        Self::HandedOver,
    ];

    /// Its name on the command line and in a page's attributes.
    pub fn name(self) -> &'static str {
        match self {
            Self::Station => "station",
            Self::StationName => "station-name",
            Self::Latitude => "latitude",
            Self::Longitude => "longitude",
            Self::Easting => "easting",
            Self::Northing => "northing",
            Self::Zone => "zone",
            Self::Height => "height",
            Self::Accuracy => "accuracy",
            Self::Unit => "unit",
            Self::Lithology => "lithology",
            Self::Kind => "kind",
            Self::Written => "written",
            Self::Plane => "plane",
            Self::Line => "line",
            Self::Strike => "strike",
            Self::Dip => "dip",
            Self::Toward => "toward",
            Self::Side => "side",
            Self::Trend => "trend",
            Self::Plunge => "plunge",
            Self::Rake => "rake",
            Self::Angle => "angle",
            Self::Tops => "tops",
            Self::Sense => "sense",
            Self::North => "north",
            Self::Declination => "declination",
            Self::RightHand => "right-hand",
            Self::StruckOut => "struck-out",
            Self::Reading => "reading",
            Self::Shot => "shot",
            Self::Date => "date",
            Self::Time => "time",
            Self::Who => "who",
            Self::Note => "note",
            Self::Kept => "kept",
            Self::LeftOut => "left-out",
            Self::HandedOver => "handed-over",
        }
    }

    /// How it is called in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::StationName => "station name",
            Self::Unit => "mapped unit",
            Self::Kind => "kind of structure",
            Self::Written => "plane or line, as 045/30SE",
            Self::Plane => "plane, as 045/30SE",
            Self::Line => "line, as 12→240",
            Self::Toward => "dip direction, or side",
            Self::Side => "side, as SE",
            Self::Angle => "angle between planes",
            Self::Sense => "sense of slip",
            Self::North => "which north",
            Self::RightHand => "right-hand rule, yes or no",
            Self::StruckOut => "struck out, yes or no",
            Self::Reading => "number of the reading",
            Self::Shot => "number of the shot",
            Self::Time => "time of day",
            Self::Who => "who read it",
            Self::Kept => "note, under its heading",
            Self::LeftOut => "left out",
            Self::HandedOver => "as a hand-over writes it",
            other => other.name(),
        }
    }

    /// What the page offers it under.
    pub fn group(self) -> &'static str {
        match self {
            Self::Station
            | Self::StationName
            | Self::Latitude
            | Self::Longitude
            | Self::Easting
            | Self::Northing
            | Self::Zone
            | Self::Height
            | Self::Accuracy
            | Self::Unit
            | Self::Lithology => "The station",
            Self::Kind | Self::Written | Self::Plane | Self::Line => "The reading in one piece",
            Self::Strike
            | Self::Dip
            | Self::Toward
            | Self::Side
            | Self::Trend
            | Self::Plunge
            | Self::Rake
            | Self::Angle => "The reading, dial by dial",
            Self::Tops
            | Self::Sense
            | Self::North
            | Self::Declination
            | Self::RightHand
            | Self::StruckOut
            | Self::Reading
            | Self::Shot
            | Self::Date
            | Self::Time
            | Self::Who => "With the reading",
            Self::Note | Self::Kept | Self::LeftOut | Self::HandedOver => "Words",
        }
    }

    /// The one of a name on the command line.
    pub fn read(name: &str) -> Option<Self> {
        let name = name.trim();
        Self::ALL
            .into_iter()
            .find(|what| what.name().eq_ignore_ascii_case(name))
    }

    /// Whether several columns can be it.
    pub fn is_shared(self) -> bool {
        matches!(
            self,
            Self::Written
                | Self::Plane
                | Self::Line
                | Self::Note
                | Self::Kept
                | Self::LeftOut
                | Self::HandedOver
        )
    }

    /// Whether a dial, or a whole reading, stands in it.
    pub fn is_measured(self) -> bool {
        matches!(
            self,
            Self::Written
                | Self::Plane
                | Self::Line
                | Self::Strike
                | Self::Dip
                | Self::Toward
                | Self::Side
                | Self::Trend
                | Self::Plunge
                | Self::Rake
                | Self::Angle
        )
    }

    /// What a heading usually stands for; case, spaces, hyphens, dots and a unit in brackets make no difference.
    pub fn of_heading(heading: &str) -> Option<Self> {
        let plain = plain(heading);
        let found = HEADINGS.iter().find(|(_, names)| names.contains(&&*plain));
        found.map(|(what, _)| *what)
    }
}

/// A heading in lower case with single spaces, without its unit.
pub(super) fn plain(heading: &str) -> String {
    let before = heading.split(['(', '[', '{']).next().unwrap_or_default();
    let mut plain = String::with_capacity(before.len());
    for c in before.chars() {
        match c {
            'º' | '°' | '#' | '?' | ':' | '"' => {}
            c if c.is_alphanumeric() => plain.extend(c.to_lowercase()),
            '/' => plain.push('/'),
            _ => plain.push(' '),
        }
    }
    let words: Vec<&str> = plain.split_whitespace().collect();
    words.join(" ")
}

const HEADINGS: &[(What, &[&str])] = &[
    (
        What::Station,
        &[
            "station",
            "stations",
            "station number",
            "station no",
            "station nr",
            "station id",
            "stn",
            "stn no",
            "sta",
            "stop",
            "stop no",
            "locality",
            "locality no",
            "locality number",
            "location",
            "location id",
            "loc",
            "outcrop",
            "outcrop no",
            "outcrop number",
            "outcrop id",
            "site",
            "site id",
            "waypoint",
        ],
    ),
    (
        What::StationName,
        &[
            "station name",
            "locality name",
            "location name",
            "outcrop name",
            "site name",
            "place",
            "place name",
            "name",
        ],
    ),
    (
        What::Latitude,
        &["latitude", "lat", "lat wgs84", "latitude wgs84", "lat dd"],
    ),
    (
        What::Longitude,
        &[
            "longitude",
            "lon",
            "long",
            "lng",
            "lon wgs84",
            "longitude wgs84",
            "long dd",
        ],
    ),
    (
        What::Easting,
        &[
            "easting",
            "eastings",
            "utm easting",
            "utm e",
            "easting m",
            "x utm",
            "utm x",
            "x",
        ],
    ),
    (
        What::Northing,
        &[
            "northing",
            "northings",
            "utm northing",
            "utm n",
            "northing m",
            "y utm",
            "utm y",
            "y",
        ],
    ),
    (What::Zone, &["zone", "utm zone", "grid zone"]),
    (
        What::Height,
        &[
            "height",
            "elevation",
            "elev",
            "altitude",
            "alt",
            "z",
            "height m",
            "elevation m",
        ],
    ),
    (
        What::Accuracy,
        &[
            "accuracy",
            "accuracy m",
            "gps accuracy",
            "horizontal accuracy",
            "precision",
        ],
    ),
    (
        What::Unit,
        &[
            "unit",
            "map unit",
            "mapped unit",
            "formation",
            "fm",
            "member",
        ],
    ),
    (
        What::Lithology,
        &["lithology", "rock", "rock type", "rocktype", "lith"],
    ),
    (
        What::Kind,
        &[
            "kind",
            "kind of structure",
            "structure",
            "structure type",
            "structure kind",
            "feature",
            "feature type",
            "type",
            "measurement type",
            "structural element",
            "fabric",
        ],
    ),
    (
        What::Written,
        &[
            "written",
            "orientation",
            "attitude",
            "measurement",
            "strike/dip",
            "strike / dip",
            "dip/dip direction",
            "dip/dipdir",
            "strike and dip",
            "strike dip",
            "reading value",
        ],
    ),
    (
        What::Plane,
        &["plane", "planes", "plane attitude", "planar"],
    ),
    (
        What::Line,
        &[
            "line",
            "lines",
            "linear",
            "lineation",
            "plunge/trend",
            "trend/plunge",
            "plunge and trend",
            "trend and plunge",
        ],
    ),
    (
        What::Strike,
        &[
            "strike",
            "strike rhr",
            "rhr strike",
            "strike rh",
            "strike right hand",
            "strike azimuth",
            "azimuth of strike",
            "strike direction",
            "strk",
            "azimuth",
            "az",
        ],
    ),
    (
        What::Dip,
        &[
            "dip",
            "dip angle",
            "dip amount",
            "angle of dip",
            "true dip",
            "inclination",
        ],
    ),
    (
        What::Toward,
        &[
            "toward",
            "towards",
            "dip direction",
            "dip dir",
            "dipdir",
            "dipdirection",
            "dip azimuth",
            "dip az",
            "dipaz",
            "dd",
            "direction of dip",
            "dip toward",
            "dips to",
        ],
    ),
    (
        What::Side,
        &["side", "dip side", "dip quadrant", "quadrant", "dip quad"],
    ),
    (
        What::Trend,
        &[
            "trend",
            "line trend",
            "lineation trend",
            "plunge direction",
            "plunge dir",
            "plunge azimuth",
            "plunge az",
            "bearing of line",
        ],
    ),
    (
        What::Plunge,
        &["plunge", "plunge angle", "line plunge", "lineation plunge"],
    ),
    (What::Rake, &["rake", "pitch", "rake angle"]),
    (
        What::Angle,
        &["angle", "interlimb angle", "angle between planes"],
    ),
    (
        What::Tops,
        &[
            "tops",
            "polarity",
            "younging",
            "way up",
            "wayup",
            "facing",
            "overturned",
            "bedding polarity",
        ],
    ),
    (
        What::Sense,
        &[
            "sense",
            "sense of slip",
            "slip sense",
            "sense of movement",
            "movement",
            "shear sense",
            "sense of shear",
        ],
    ),
    (
        What::North,
        &["north", "north read", "reference north", "north reference"],
    ),
    (
        What::Declination,
        &[
            "declination",
            "decl",
            "magnetic declination",
            "mag decl",
            "mag declination",
        ],
    ),
    (What::RightHand, &["right hand", "right hand rule", "rhr"]),
    (What::StruckOut, &["struck out", "withdrawn"]),
    (
        What::Reading,
        &[
            "reading",
            "reading no",
            "reading number",
            "reading id",
            "measurement no",
            "measurement number",
            "measurement id",
        ],
    ),
    (
        What::Shot,
        &["shot", "shot no", "shot number", "repetition", "repeat"],
    ),
    (
        What::Date,
        &[
            "date",
            "day",
            "at",
            "datetime",
            "date time",
            "date and time",
            "timestamp",
            "measured on",
            "measured at",
        ],
    ),
    (What::Time, &["time", "time of day", "local time", "hour"]),
    (
        What::Who,
        &[
            "who",
            "by",
            "geologist",
            "observer",
            "initials",
            "measured by",
            "recorded by",
            "collected by",
            "author",
        ],
    ),
    (
        What::Note,
        &[
            "note",
            "notes",
            "remark",
            "remarks",
            "comment",
            "comments",
            "description",
            "observations",
        ],
    ),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_name_is_its_own() {
        for what in What::ALL {
            assert_eq!(What::read(what.name()), Some(what));
        }
        let mut all: Vec<&str> = HEADINGS
            .iter()
            .flat_map(|(_, n)| n.iter().copied())
            .collect();
        let count = all.len();
        all.sort_unstable();
        all.dedup();
        assert_eq!(all.len(), count, "a heading stands twice");
        for heading in all {
            assert_eq!(plain(heading), heading, "never found");
        }
    }

    #[test]
    fn a_heading_is_known_however_it_is_written() {
        for (heading, wanted) in [
            ("Strike (deg)", Some(What::Strike)),
            ("DIP_DIRECTION [°]", Some(What::Toward)),
            ("dip-dir.", Some(What::Toward)),
            ("  Plunge° ", Some(What::Plunge)),
            ("Station #", Some(What::Station)),
            ("Strike/Dip", Some(What::Written)),
            ("colour", None),
            ("", None),
        ] {
            assert_eq!(What::of_heading(heading), wanted, "{heading}");
        }
    }
}
