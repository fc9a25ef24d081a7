//! What can be reckoned, and what has to be chosen for it.

/// What is reckoned.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum What {
    /// The dip of a plane on a section.
    #[default]
    ApparentDip,
    /// The plane of two apparent dips.
    TrueDip,
    /// The plane through three stations.
    ThreePoints,
    /// The thickness of a layer between two stations.
    Thickness,
    /// The depth of a layer below a station.
    Depth,
    /// The line in which two planes meet.
    Intersection,
    /// The angle between two planes or lines.
    Angle,
    /// The plane through two lines.
    PlaneOfLines,
    /// Planes and lines as they lay when a bed was level.
    Level,
    /// Planes and lines as they lay before two tilts.
    TwoTilts,
}

/// What a slot takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Takes {
    /// One plane, or several for their mean.
    Planes,
    /// One line.
    Line,
    /// One plane or line.
    Either,
    /// One or several planes or lines, each by itself.
    Many,
    /// A station.
    Station,
    /// An azimuth: typed, of a line or of a sighting.
    Azimuth,
}

impl Takes {
    /// It takes more than one record.
    pub fn several(self) -> bool {
        matches!(self, Self::Planes | Self::Many)
    }
}

/// One thing that has to be chosen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Slot {
    /// What it is.
    pub name: &'static str,
    /// What it takes.
    pub takes: Takes,
}

const fn slot(name: &'static str, takes: Takes) -> Slot {
    Slot { name, takes }
}

impl What {
    /// All of them, in the order of the page.
    pub const ALL: [Self; 10] = [
        Self::ApparentDip,
        Self::TrueDip,
        Self::ThreePoints,
        Self::Thickness,
        Self::Depth,
        Self::Intersection,
        Self::Angle,
        Self::PlaneOfLines,
        Self::Level,
        Self::TwoTilts,
    ];

    /// What it is called.
    pub fn name(self) -> &'static str {
        match self {
            Self::ApparentDip => "apparent dip",
            Self::TrueDip => "true dip",
            Self::ThreePoints => "three points",
            Self::Thickness => "thickness",
            Self::Depth => "depth",
            Self::Intersection => "intersection",
            Self::Angle => "angle",
            Self::PlaneOfLines => "plane of two lines",
            Self::Level => "lay level",
            Self::TwoTilts => "two tilts",
        }
    }

    /// What it gives, in one sentence.
    pub fn words(self) -> &'static str {
        match self {
            Self::ApparentDip => "How steeply a plane dips on an upright section.",
            Self::TrueDip => "The plane of a layer from its dips on two cuts, each read as a line.",
            Self::ThreePoints => "The plane of a layer that crops out at three stations.",
            Self::Thickness => {
                "The thickness of a layer that begins at one station and ends at another, the ground sloping as it likes."
            }
            Self::Depth => "How deep below one station a layer lies that crops out at another.",
            Self::Intersection => "The line in which two planes meet.",
            Self::Angle => "The acute angle between two planes, two lines, or a line and a plane.",
            Self::PlaneOfLines => "The plane that holds two lines.",
            Self::Level => "How planes, lines and currents lay while a bed was level.",
            Self::TwoTilts => {
                "How planes, lines and currents lay before two tilts: the younger, as of an unconformity, is taken off first."
            }
        }
    }

    /// What has to be chosen, in order.
    pub fn slots(self) -> &'static [Slot] {
        use Takes::{Azimuth, Either, Line, Many, Planes, Station};
        const APPARENT: [Slot; 2] = [slot("section", Azimuth), slot("plane", Planes)];
        const TRACES: [Slot; 2] = [slot("one trace", Line), slot("other trace", Line)];
        const POINTS: [Slot; 3] = [
            slot("one station", Station),
            slot("second", Station),
            slot("third", Station),
        ];
        const THICK: [Slot; 3] = [
            slot("begins at", Station),
            slot("ends at", Station),
            slot("layer", Planes),
        ];
        const DEEP: [Slot; 3] = [
            slot("crops out at", Station),
            slot("below", Station),
            slot("layer", Planes),
        ];
        const PLANES: [Slot; 2] = [slot("one plane", Planes), slot("other plane", Planes)];
        const EITHERS: [Slot; 2] = [slot("one", Either), slot("other", Either)];
        const LINES: [Slot; 2] = [slot("one line", Line), slot("other line", Line)];
        const LEVEL: [Slot; 2] = [slot("restore", Many), slot("bed", Planes)];
        const TILTS: [Slot; 3] = [
            slot("restore", Many),
            slot("younger bed", Planes),
            slot("older bed", Planes),
        ];
        match self {
            Self::ApparentDip => &APPARENT,
            Self::TrueDip => &TRACES,
            Self::ThreePoints => &POINTS,
            Self::Thickness => &THICK,
            Self::Depth => &DEEP,
            Self::Intersection => &PLANES,
            Self::Angle => &EITHERS,
            Self::PlaneOfLines => &LINES,
            Self::Level => &LEVEL,
            Self::TwoTilts => &TILTS,
        }
    }

    /// It is reckoned from the places of stations.
    pub fn is_on_ground(self) -> bool {
        self.slots().iter().any(|slot| slot.takes == Takes::Station)
    }
}

/// What a person asks.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Asked {
    /// What is reckoned.
    pub what: What,
    /// The records chosen for every slot, in the order of [`What::slots`].
    pub chosen: Vec<Vec<String>>,
    /// The azimuth of the section, as typed.
    pub section: String,
    /// The radius of the places that holds 68 in 100, metres, as typed; empty: what the book has.
    pub places_m: String,
    /// The standard deviation of the heights, metres, as typed; empty: from that of the places.
    pub heights_m: String,
    /// Ways are taken from the positions even where a sighting leads.
    pub by_positions: bool,
}

impl Asked {
    /// What is chosen for a slot.
    pub fn at(&self, slot: usize) -> &[String] {
        self.chosen.get(slot).map_or(&[], Vec::as_slice)
    }

    /// A slot has what it needs.
    pub fn is_filled(&self, slot: usize) -> bool {
        let typed = self
            .what
            .slots()
            .get(slot)
            .is_some_and(|s| s.takes == Takes::Azimuth)
            && !self.section.is_empty();
        typed || !self.at(slot).is_empty()
    }

    /// The slot that wants something next.
    pub fn next(&self) -> Option<usize> {
        (0..self.what.slots().len()).find(|slot| !self.is_filled(*slot))
    }

    /// Chooses a record for a slot: the only one, or one more; chosen already, it is let go.
    pub fn choose(&mut self, slot: usize, record: &str) {
        let Some(takes) = self.what.slots().get(slot).map(|s| s.takes) else {
            return;
        };
        self.chosen.resize(self.what.slots().len(), Vec::new());
        let there = &mut self.chosen[slot];
        match there.iter().position(|r| r == record) {
            Some(place) => {
                there.remove(place);
            }
            None if takes.several() => there.push(record.to_owned()),
            None => *there = vec![record.to_owned()],
        }
        if takes == Takes::Azimuth {
            self.section.clear();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slot_takes_what_it_takes_and_lets_go_of_it_again() {
        let mut asked = Asked {
            what: What::Thickness,
            ..Asked::default()
        };
        assert_eq!(asked.next(), Some(0));
        asked.choose(0, "a");
        asked.choose(0, "b");
        assert_eq!(asked.at(0), ["b"], "one station at a time");
        asked.choose(1, "a");
        asked.choose(2, "p");
        asked.choose(2, "q");
        assert_eq!(asked.at(2), ["p", "q"], "several planes for their mean");
        assert_eq!(asked.next(), None);
        asked.choose(2, "p");
        asked.choose(2, "q");
        assert_eq!(asked.next(), Some(2));
        asked.choose(9, "z");
        assert_eq!(asked.chosen.len(), 3);
    }

    #[test]
    fn a_typed_section_fills_its_slot_and_a_line_takes_its_place() {
        let mut asked = Asked {
            section: "135".to_owned(),
            ..Asked::default()
        };
        assert_eq!(asked.next(), Some(1));
        asked.choose(0, "line");
        assert_eq!((asked.section.as_str(), asked.next()), ("", Some(1)));
    }
}
