//! The demo book: an invented valley, made from a seed, so that anybody can see how it came about.
//!
//! Everything in it is invented: the valley, its rocks, the two people's initials. A sequence folded about an axis that
//! plunges 13→224, its short limb overturned in places, with an axial-plane cleavage, cut by one fault; and six blunders
//! for the doubts to find.

use hingeline::{
    exchange::book::{self, Written},
    notebook::{
        Act, Body, Book, Entry, EntryId, Form, North, Notation, Position, Reading, RecordId, SetUp,
        Shot, Stamp, Station, Tops, attitude,
    },
    orientation::{Line, Plane, Rake, Severity, Winds, faults::Sense, wind},
};
use nalgebra::Vector3;

mod places;

use places::places;

/// The seed of the book in `public/demo.json`.
const SEED: u64 = 47;

/// Writes `public/demo.json` anew.
pub(crate) fn run() -> Result<(), String> {
    let path = super::root()?.join("public/demo.json");
    let text = text(SEED);
    std::fs::write(&path, &text).map_err(|e| format!("cannot write {}: {e}", path.display()))?;
    println!("wrote {} ({} bytes)", path.display(), text.len());
    Ok(())
}

fn text(seed: u64) -> String {
    let written = Written {
        at: "2026-06-15T20:40:00+01:00".to_owned(),
        by: "K.O.".to_owned(),
        device: Random(seed).name(),
    };
    book::write(&book(seed), &written)
}

/// Sixty-four random bits at a time: SplitMix64 (Steele, Lea & Flood 2014, figure 17, constants from memory; any good mixer
/// would do).
struct Random(u64);

impl Random {
    fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    fn below(&mut self, limit: u32) -> u32 {
        let limited = self.bits() % u64::from(limit);
        u32::try_from(limited).unwrap_or(0)
    }

    /// About normal, mean 0, deviation 1: the sum of twelve uniform numbers less six.
    fn normal(&mut self) -> f64 {
        let sum: u32 = (0..12).map(|_| self.below(1 << 20)).sum();
        f64::from(sum) / f64::from(1 << 20) - 6.0
    }

    /// A vector tilted by about so many degrees.
    fn tilted(&mut self, vector: Vector3<f64>, sd_deg: f64) -> Vector3<f64> {
        let sd = hingeline::orientation::angle::radians(sd_deg);
        let push = Vector3::new(self.normal(), self.normal(), self.normal()) * sd;
        (vector + push - vector * push.dot(&vector)).normalize()
    }

    /// A name in the form of a UUID, version 4.
    fn name(&mut self) -> String {
        let (a, b) = (self.bits(), self.bits());
        format!(
            "{:08x}-{:04x}-4{:03x}-{:04x}-{:012x}",
            a >> 32,
            (a >> 16) & 0xffff,
            a & 0xfff,
            (b >> 48) & 0x3fff | 0x8000,
            b & 0xffff_ffff_ffff,
        )
    }
}

/// One person with a tablet.
struct Person {
    by: &'static str,
    device: String,
    counter: u64,
    set_up: String,
    north: North,
    declination: Option<&'static str>,
    /// Reads the right-hand strike end so many times in ten.
    right_hand_in_ten: u32,
}

/// What is measured at a station, in order.
#[derive(Clone, Copy)]
enum Wanted {
    /// Bedding of the limb, so many times.
    Bedding(u32),
    Cleavage(u32),
    Intersection,
    CrossJoint,
    LongJoint,
    Hinge,
    AxialPlane,
    Vein,
    Fault,
    Blunder(Blunder),
    Slumped,
}

/// The six things that went wrong.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Blunder {
    SideAlongStrike,
    DirectionAsStrike,
    DipOver90,
    Scatter,
    StrikeOver360,
    LineOtherEnd,
}

/// A place on the fold.
#[derive(Clone, Copy)]
enum Limb {
    /// Dips south-east, the right way up.
    Long,
    /// Dips north-west, the right way up.
    Short,
    /// Past the vertical: dips south-east, overturned.
    Overturned,
    Hinge,
}

impl Limb {
    /// Every limb holds the axis: its dip follows from its dip direction, tan dip = tan 13 / cos(224 − direction).
    fn bedding(self) -> (f64, f64) {
        match self {
            Self::Long => (61.0, 36.0),
            Self::Short => (210.0, 44.0),
            Self::Overturned => (50.0, 65.0),
            Self::Hinge => (134.0, 13.0),
        }
    }
}

struct Place {
    name: &'static str,
    day: u32,
    minute: u32,
    north_m: f64,
    east_m: f64,
    fix: Fix,
    unit: &'static str,
    lithology: &'static str,
    note: &'static str,
    person: usize,
    limb: Limb,
    wanted: &'static [Wanted],
}

enum Fix {
    Device(f64),
    Typed,
    None,
}

use Wanted::{
    AxialPlane, Bedding, Blunder as Wrong, Cleavage, CrossJoint, Fault, Hinge, Intersection,
    LongJoint, Slumped, Vein,
};

/// The book as its entries, in the order they were made.
pub(crate) fn book(seed: u64) -> Vec<Entry> {
    let mut random = Random(seed);
    let mut people = [
        Person {
            by: "K.O.",
            device: random.name(),
            counter: 0,
            set_up: random.name(),
            north: North::True,
            declination: Some("-0.5"),
            right_hand_in_ten: 7,
        },
        Person {
            by: "M.T.",
            device: random.name(),
            counter: 0,
            set_up: random.name(),
            north: North::Magnetic,
            declination: Some("-0.5"),
            right_hand_in_ten: 5,
        },
    ];
    let mut entries = Vec::new();
    let title = Book {
        name: "Varrelow".to_owned(),
        notation: Notation::StrikeDip,
        ..Book::default()
    };
    let name = random.name();
    let first = people[0].write(&name, 14, 500 * 60, Body::Book(title));
    entries.push(first);
    for (person, name) in people
        .iter_mut()
        .zip(["hinged transit", "hinged transit, card at zero"])
    {
        let set_up = SetUp {
            name: name.to_owned(),
            north: person.north,
            declination: person.declination.map(str::to_owned),
            resolution: "1".to_owned(),
            ..SetUp::default()
        };
        let record = person.set_up.clone();
        entries.push(person.write(&record, 14, 505 * 60, Body::SetUp(set_up)));
    }
    for (number, place) in (1..).zip(places()) {
        entries.extend(visit(
            &mut random,
            &mut people[place.person],
            number,
            &place,
        ));
    }
    entries
}

impl Person {
    fn keep(
        &mut self,
        record: &str,
        supersedes: Option<EntryId>,
        (day, second): (u32, u32),
        (act, why): (Act, Option<&str>),
        body: Option<Body>,
    ) -> Entry {
        self.counter += 1;
        let stamp = Stamp {
            by: self.by.to_owned(),
            device: self.device.clone(),
            counter: self.counter,
            at: clock(day, second),
        };
        let why = why.map(str::to_owned);
        Entry::new(RecordId::from(record), supersedes, stamp, act, why, body)
    }

    fn write(&mut self, record: &str, day: u32, second: u32, body: Body) -> Entry {
        self.keep(record, None, (day, second), (Act::Write, None), Some(body))
    }
}

fn clock(day: u32, second: u32) -> String {
    let (hour, minute, second) = (second / 3600, second / 60 % 60, second % 60);
    format!("2026-06-{day:02}T{hour:02}:{minute:02}:{second:02}+01:00")
}

/// Starts a station and measures what is wanted there.
fn visit(random: &mut Random, person: &mut Person, number: u32, place: &Place) -> Vec<Entry> {
    let mut second = place.minute * 60 + random.below(60);
    let record = random.name();
    let station = Station {
        number,
        name: place.name.to_owned(),
        at: clock(place.day, second),
        position: position(random, place),
        unit: place.unit.to_owned(),
        lithology: place.lithology.to_owned(),
        note: place.note.to_owned(),
        ..Station::default()
    };
    let mut entries = vec![person.write(&record, place.day, second, Body::Station(station))];
    let mut count = 0;
    for wanted in place.wanted {
        let times = match wanted {
            Bedding(times) | Cleavage(times) => *times,
            _ => 1,
        };
        for time in 0..times {
            count += 1;
            second += 60 + random.below(120);
            let mut reading = Reading {
                station: record.clone(),
                number: count,
                set_up: Some(person.set_up.clone()),
                north: person.north,
                declination: person.declination.map(str::to_owned),
                ..Reading::default()
            };
            measure(random, person, place, *wanted, time, &mut reading);
            for shot in &mut reading.shots {
                second += 20 + random.below(25);
                shot.at = clock(place.day, second);
            }
            let name = random.name();
            let entry = person.write(&name, place.day, second, Body::Reading(reading));
            let id = entry.id();
            entries.push(entry);
            if matches!(wanted, Slumped) {
                second += 45;
                let when = (place.day, second);
                let act = (Act::StrikeOut, Some("a slumped block"));
                entries.push(person.keep(&name, Some(id), when, act, None));
            }
        }
    }
    entries
}

/// Where a station is: metres from the first, on a sphere of 111.2 km to the degree, which is near enough for an invented valley.
fn position(random: &mut Random, place: &Place) -> Option<Position> {
    const START: (f64, f64) = (52.7412, -3.7034);
    const METRES: (f64, f64) = (111_200.0, 67_350.0);
    let (accuracy_m, source) = match place.fix {
        Fix::Device(accuracy_m) => (Some(accuracy_m), "device"),
        Fix::Typed => (None, "typed"),
        Fix::None => return None,
    };
    let round = |deg: f64, digits: i32| (deg * 10_f64.powi(digits)).round() / 10_f64.powi(digits);
    let digits = if accuracy_m.is_some() { 6 } else { 4 };
    let off_m = accuracy_m.unwrap_or(0.0) / 2.0;
    let latitude = START.0 + (place.north_m + off_m * random.normal()) / METRES.0;
    let longitude = START.1 + (place.east_m + off_m * random.normal()) / METRES.1;
    let (latitude, longitude) = (round(latitude, digits), round(longitude, digits));
    Some(Position {
        latitude,
        longitude,
        height_m: accuracy_m.map(|_| (330.0 + place.north_m / 6.0 + 3.0 * random.normal()).round()),
        accuracy_m,
        source: source.to_owned(),
        typed: accuracy_m
            .is_none()
            .then(|| format!("{latitude} {longitude}")),
        ..Position::default()
    })
}

/// Fills in kind, form and shots; what is no blunder is read again until nothing disagrees.
fn measure(
    random: &mut Random,
    person: &Person,
    place: &Place,
    wanted: Wanted,
    time: u32,
    reading: &mut Reading,
) {
    if let Wrong(blunder) = wanted {
        return blunder.measure(reading);
    }
    loop {
        sound(random, person, place, wanted, time, reading);
        let found = attitude::of(reading);
        let doubted = found
            .open
            .iter()
            .any(|found| found.doubt.severity == Severity::Doubt);
        if !doubted && (found.plane.is_some() || found.line.is_some()) {
            return;
        }
    }
}

fn sound(
    random: &mut Random,
    person: &Person,
    place: &Place,
    wanted: Wanted,
    time: u32,
    reading: &mut Reading,
) {
    let shots = [1, 1, 2, 3][usize::try_from(random.below(4)).unwrap_or(0)];
    let mut plane = |kind: &str, (strike, dip): (f64, f64), sd_deg: f64, shots: u32| {
        reading.kind = kind.to_owned();
        reading.form = Form::Plane;
        reading.shots = plane_shots(random, person, (strike, dip), sd_deg, shots);
    };
    match wanted {
        Bedding(_) => {
            // At the hinge the beds swing from one limb to the other.
            let bedding = match (place.limb, time) {
                (Limb::Hinge, 0) => Limb::Long.bedding(),
                (Limb::Hinge, 1) => Limb::Short.bedding(),
                (limb, _) => limb.bedding(),
            };
            plane("bedding", bedding, 3.0, shots);
            (reading.tops, reading.note) = match (place.limb, time) {
                (Limb::Overturned, 0) => {
                    (Tops::Overturned, "sole marks on the upper side".to_owned())
                }
                (Limb::Overturned, _) => (Tops::Overturned, String::new()),
                (Limb::Long | Limb::Short, 0) => (Tops::Upright, "graded".to_owned()),
                (Limb::Long, 1) => (Tops::Upright, String::new()),
                _ => (Tops::Unknown, String::new()),
            };
        }
        // Axial plane: dips steeply south-east and holds the axis.
        Cleavage(_) => plane("cleavage", (48.0, 73.0), 3.0, shots),
        AxialPlane => plane("axial plane", (48.0, 73.0), 1.5, 2),
        CrossJoint => plane("joint", (314.0, 77.0), 4.0, shots),
        LongJoint => plane("joint", (85.0, 80.0), 4.0, shots),
        Vein => plane("vein", (118.0, 72.0), 3.0, 1),
        Slumped => plane("bedding", (285.0, 14.0), 3.0, 1),
        Hinge => {
            reading.kind = "fold hinge".to_owned();
            line_shots(random, reading, 1.5, 3);
        }
        Intersection => {
            reading.kind = "intersection lineation".to_owned();
            line_shots(random, reading, 3.0, shots.min(2));
        }
        Fault => {
            reading.kind = "fault + line".to_owned();
            reading.form = Form::PlaneWithLine;
            reading.note = "slickensided; steps face down".to_owned();
            reading.sense = Some(Sense::Normal);
            reading.shots = fault_shots(random);
        }
        Wrong(_) => {}
    }
}

fn plane_shots(
    random: &mut Random,
    person: &Person,
    (strike_deg, dip_deg): (f64, f64),
    sd_deg: f64,
    shots: u32,
) -> Vec<Shot> {
    let Ok(ideal) = Plane::from_deg(strike_deg, dip_deg) else {
        return Vec::new();
    };
    let bed = random.tilted(ideal.normal(), sd_deg);
    let right_hand = random.below(10) < person.right_hand_in_ten;
    (0..shots)
        .filter_map(|_| Plane::from_normal(&random.tilted(bed, 0.9)))
        .map(|plane| plane_shot(&plane, right_hand))
        .collect()
}

fn plane_shot(plane: &Plane, right_hand: bool) -> Shot {
    let strike = plane.strike();
    let read = if right_hand {
        strike
    } else {
        strike.opposite()
    };
    Shot {
        strike: Some(digits(read.deg(), 3)),
        dip: Some(digits(plane.dip().deg(), 2)),
        side: Some(side_of(plane)),
        ..Shot::default()
    }
}

/// The compass letters of the side that a plane dips to, as the two side keys offer them.
fn side_of(plane: &Plane) -> String {
    wind(plane.dip_direction().deg(), Winds::Eight).to_string()
}

fn line_shots(random: &mut Random, reading: &mut Reading, sd_deg: f64, shots: u32) {
    reading.form = Form::Line;
    let axis = Line::from_deg(224.0, 13.0).map_or(Vector3::x(), |axis| axis.vector());
    let local = random.tilted(axis, sd_deg);
    reading.shots = (0..shots)
        .filter_map(|_| Line::axis_from_vector(&random.tilted(local, 0.9)))
        .map(|line| Shot {
            trend: Some(digits(line.trend().deg(), 3)),
            plunge: Some(digits(line.plunge().deg(), 2)),
            ..Shot::default()
        })
        .collect();
}

fn fault_shots(random: &mut Random) -> Vec<Shot> {
    let (Ok(ideal), Ok(rake)) = (Plane::from_deg(120.0, 68.0), Rake::from_deg(35.0)) else {
        return Vec::new();
    };
    let plane = Plane::from_normal(&random.tilted(ideal.normal(), 1.5)).unwrap_or(ideal);
    let slip = plane.line_at(rake);
    vec![Shot {
        trend: Some(digits(slip.trend().deg(), 3)),
        plunge: Some(digits(slip.plunge().deg(), 2)),
        rake: Some(digits(rake.deg(), 3)),
        ..plane_shot(&plane, true)
    }]
}

/// Whole degrees, as the set-ups are read; 360 is written 000.
fn digits(deg: f64, digits: usize) -> String {
    let whole = deg.round();
    let whole = if digits == 3 && whole >= 360.0 {
        0.0
    } else {
        whole
    };
    format!("{whole:0digits$}")
}

impl Blunder {
    fn measure(self, reading: &mut Reading) {
        let shot = |strike: &str, dip: &str, side: &str| Shot {
            strike: Some(strike.to_owned()),
            dip: Some(dip.to_owned()),
            side: Some(side.to_owned()),
            ..Shot::default()
        };
        reading.kind = "bedding".to_owned();
        reading.shots = match self {
            Self::SideAlongStrike => vec![shot("058", "37", "NE")],
            Self::DirectionAsStrike => vec![shot("151", "35", "SE")],
            Self::DipOver90 => vec![shot("049", "95", "SE")],
            Self::Scatter => vec![
                shot("061", "36", "SE"),
                shot("063", "35", "SE"),
                shot("088", "38", "SE"),
            ],
            Self::StrikeOver360 => {
                reading.kind = "joint".to_owned();
                vec![shot("361", "78", "E")]
            }
            Self::LineOtherEnd => {
                reading.kind = "fault + line".to_owned();
                reading.form = Form::PlaneWithLine;
                vec![Shot {
                    trend: Some("315".to_owned()),
                    plunge: Some("32".to_owned()),
                    ..shot("121", "67", "SW")
                }]
            }
        };
    }
}

#[cfg(test)]
mod tests;
