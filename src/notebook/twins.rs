//! Two stations with one number, and two that are plainly the same outcrop: found, and put right with both kept.

use std::collections::{BTreeMap, HashMap, HashSet};

use crate::geodesy::sighting::between;

use super::canonical::short;
use super::entry::{Act, Entry, RecordId, Stamp};
use super::ledger::Ledger;
use super::merge::instant_s;
use super::pages::{Pages, StationPage};
use super::record::{Body, Position, Station};

/// A typed position without an accuracy counts as this good, metres: our assumption.
const TYPED_M: f64 = 10.0;

/// Two positions that are known no better than this together cannot say plainly that they are one place, metres: our assumption.
const PLAINLY_M: f64 = 50.0;

/// So many stations of about one latitude are looked at for each: a book that piles more on one spot is not a field book.
const MOST_NEAR: usize = 64;

/// Two stations that have one number, or lie at one place.
#[derive(Clone, Debug, PartialEq)]
pub struct Twins {
    /// The one that was started earlier, by the clocks beside them; of equals the one whose name comes first.
    pub earlier: RecordId,
    /// The one that was started later: this one is renumbered, or tied to the other.
    pub later: RecordId,
    /// Their numbers.
    pub numbers: [u32; 2],
    /// How near they are, where they are plainly the same outcrop and nobody has said otherwise.
    pub close: Option<Close>,
    /// A person has tied them.
    pub tied: bool,
    /// What a person knows each of them by.
    pub known: [Known; 2],
}

/// What a person knows a station by that shares its number, or what was taken at one.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash)]
pub struct Known {
    /// Its name, the kind of a reading, what a photo shows; empty where it has none.
    pub name: String,
    /// The initials of who started it.
    pub by: String,
    /// The device it was started on.
    pub device: String,
    /// When it was started.
    pub at: String,
}

impl Known {
    /// The station by its name, who started it and the day.
    pub fn words(&self) -> String {
        self.whose(if self.name.is_empty() {
            "one without a name".to_owned()
        } else {
            format!("`{}`", short(&self.name))
        })
    }

    /// With who started it and the day.
    pub(super) fn whose(&self, mut words: String) -> String {
        if !self.by.is_empty() {
            words.push_str(&format!(" by {}", self.by));
        }
        if let Some(day) = self.at.get(..10) {
            words.push_str(&format!(" on {day}"));
        }
        words
    }
}

/// How far two places are apart, and how well that is known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Close {
    /// Distance, metres.
    pub apart_m: f64,
    /// What their accuracies allow, metres: the root of the sum of squares.
    pub within_m: f64,
}

impl Twins {
    /// They have one number.
    pub fn is_number(&self) -> bool {
        self.numbers[0] == self.numbers[1]
    }

    /// What is doubted about them, in one sentence without a full stop, for a place that names the two beside it.
    pub fn words(&self) -> String {
        self.sentence("", ["", ""])
    }

    /// The same with what a person knows each of them by.
    pub fn in_full(&self) -> String {
        let [earlier, later] = self.known.each_ref().map(Known::words);
        let both = format!(": {earlier} and {later}");
        let each = [earlier, later].map(|known| format!(" ({known})"));
        self.sentence(&both, [&each[0], &each[1]])
    }

    fn sentence(&self, both: &str, known: [&str; 2]) -> String {
        let [earlier, later] = self.numbers;
        let [earlier_known, later_known] = known;
        match (self.is_number(), &self.close) {
            (true, Some(close)) => format!(
                "two stations are numbered {later} and lie {}{both}; are they one outcrop, or should the later one have a number of its own?",
                near(close)
            ),
            (true, None) if self.tied => format!(
                "two stations of one outcrop are numbered {later}, so their readings share names{both}; the later one can have a number of its own"
            ),
            (true, None) => format!(
                "two different stations are numbered {later}{both}; the later one can have a number of its own"
            ),
            (false, Some(close)) => format!(
                "station {later}{later_known} lies within {:.0} m of station {earlier}{earlier_known} where their positions are known to {:.0} m; are they one outcrop?",
                close.apart_m, close.within_m
            ),
            (false, None) => format!("stations {earlier} and {later} are one outcrop"),
        }
    }
}

fn near(close: &Close) -> String {
    format!(
        "within {:.0} m, where their positions are known to {:.0} m",
        close.apart_m, close.within_m
    )
}

/// What is doubted about pairs, each in a sentence without a full stop: one for each number, however many stations have it, and
/// one for each pair at one place.
pub fn in_lines(twins: &[Twins]) -> Vec<String> {
    let mut lines = Vec::new();
    let mut done = HashSet::new();
    for pair in twins {
        if !pair.is_number() {
            lines.push(pair.in_full());
            continue;
        }
        let number = pair.numbers[1];
        if !done.insert(number) {
            continue;
        }
        let of_number = |other: &&Twins| other.is_number() && other.numbers[1] == number;
        let pairs: Vec<&Twins> = twins.iter().filter(of_number).collect();
        lines.push(match pairs.as_slice() {
            [only] => only.in_full(),
            _ => of_one_number(number, &pairs),
        });
    }
    lines
}

fn of_one_number(number: u32, pairs: &[&Twins]) -> String {
    let mut stations: Vec<(&RecordId, &Known)> = pairs
        .iter()
        .flat_map(|pair| [&pair.earlier, &pair.later].into_iter().zip(&pair.known))
        .collect();
    let started = |known: &Known| instant_s(&known.at).unwrap_or(i64::MAX);
    stations.sort_by_key(|(record, known)| (started(known), *record));
    stations.dedup_by_key(|(record, _)| *record);
    let named: Vec<String> = stations.iter().map(|(_, known)| known.words()).collect();
    let close = pairs.iter().filter_map(|pair| {
        let [earlier, later] = pair.known.each_ref().map(Known::words);
        let close = pair.close.as_ref()?;
        Some(format!(
            "; {later} lies within {:.0} m of {earlier}: are they one outcrop?",
            close.apart_m
        ))
    });
    format!(
        "{} stations are numbered {number}: {}; each but the first can have a number of its own{}",
        stations.len(),
        named.join(", "),
        close.collect::<String>()
    )
}

/// A station with what is asked about it.
struct Asked<'p> {
    page: &'p StationPage,
    station: &'p Station,
    started: (i64, &'p RecordId),
}

impl<'p> Asked<'p> {
    fn all(pages: &'p Pages) -> Vec<Self> {
        let standing = pages
            .stations()
            .iter()
            .filter(|page| !page.line().is_struck_out());
        standing
            .filter_map(|page| {
                let station = page.line().station()?;
                Some(Self {
                    page,
                    station,
                    started: (
                        instant_s(&station.at).unwrap_or(i64::MAX),
                        page.line().record(),
                    ),
                })
            })
            .collect()
    }

    fn record(&self) -> &'p RecordId {
        self.page.line().record()
    }

    fn known(&self, ledger: &Ledger) -> Known {
        let history = ledger.history(self.record().as_str());
        let stamp = history.first().map(|entry| entry.stamp());
        let of = |part: fn(&Stamp) -> &String| stamp.map(part).cloned().unwrap_or_default();
        Known {
            name: self.station.name.clone(),
            by: of(|stamp| &stamp.by),
            device: of(|stamp| &stamp.device),
            at: self.station.at.clone(),
        }
    }

    fn accuracy_m(&self) -> Option<(&'p Position, f64)> {
        let position = self.station.position.as_ref()?;
        let accuracy = match position.accuracy_m {
            Some(accuracy) => accuracy,
            None if position.source == "typed" => TYPED_M,
            None => return None,
        };
        (0.0..=PLAINLY_M)
            .contains(&accuracy)
            .then_some((position, accuracy))
    }

    /// Other outcrops by what a person said, or by a sighting from one to the other.
    fn is_apart_from(&self, other: &Self) -> bool {
        let name = other.record().as_str();
        let said = self.station.apart_from.iter().any(|record| record == name);
        let sighted = self.page.sightings().iter().any(|line| {
            let to = line.sighting().and_then(|sighting| sighting.to.as_deref());
            !line.is_struck_out() && to == Some(name)
        });
        said || sighted
    }

    fn is_empty(&self) -> bool {
        let taken = self.page.readings().iter().chain(self.page.sightings());
        taken.filter(|line| !line.is_struck_out()).count() == 0
    }
}

/// The stations that stand in pairs: by number, then by place. Of several with one number each is paired with the earliest.
///
/// Two are plainly the same outcrop where they lie nearer than their accuracies allow. On one tablet, on one day, a person
/// started the second on purpose: there only a pair of which one holds nothing is doubted.
///
/// # Degenerate input
/// Struck-out stations are left out. A position without an accuracy that was not typed is never compared.
pub fn twins(ledger: &Ledger, pages: &Pages) -> Vec<Twins> {
    let all = Asked::all(pages);
    let mut found: BTreeMap<[RecordId; 2], Twins> = BTreeMap::new();
    let mut note = |a: &Asked<'_>, b: &Asked<'_>, close: Option<Close>| {
        let (earlier, later) = if a.started < b.started {
            (a, b)
        } else {
            (b, a)
        };
        let key = [earlier.record().clone(), later.record().clone()];
        let twins = found.entry(key).or_insert_with_key(|key| Twins {
            earlier: key[0].clone(),
            later: key[1].clone(),
            numbers: [earlier.station.number, later.station.number],
            close: None,
            tied: outcrop(pages, key[0].as_str()) == outcrop(pages, key[1].as_str()),
            known: [earlier.known(ledger), later.known(ledger)],
        });
        if !twins.tied {
            twins.close = twins.close.or(close);
        }
    };
    let mut first: HashMap<u32, usize> = HashMap::new();
    for (place, asked) in all.iter().enumerate() {
        let earliest = first.entry(asked.station.number).or_insert(place);
        if asked.started < all[*earliest].started {
            *earliest = place;
        }
    }
    for (place, asked) in all.iter().enumerate() {
        let earliest = first.get(&asked.station.number).copied().unwrap_or(place);
        if earliest != place {
            note(&all[earliest], asked, None);
        }
    }
    for (a, b, close) in close_pairs(ledger, &all) {
        note(a, b, Some(close));
    }
    let mut twins: Vec<Twins> = found
        .into_values()
        .filter(|twins| twins.is_number() || (twins.close.is_some() && !twins.tied))
        .collect();
    twins.sort_by(|a, b| (a.numbers[1], &a.later).cmp(&(b.numbers[1], &b.later)));
    twins
}

fn close_pairs<'a, 'p>(
    ledger: &Ledger,
    all: &'a [Asked<'p>],
) -> Vec<(&'a Asked<'p>, &'a Asked<'p>, Close)> {
    let mut placed: Vec<(&Asked<'p>, &Position, f64)> = all
        .iter()
        .filter_map(|asked| {
            let (position, accuracy) = asked.accuracy_m()?;
            Some((asked, position, accuracy))
        })
        .collect();
    placed.sort_by(|a, b| {
        a.1.latitude
            .total_cmp(&b.1.latitude)
            .then_with(|| a.0.record().cmp(b.0.record()))
    });
    // A degree of latitude is nowhere shorter than 110 km.
    let reach_deg = PLAINLY_M / 110_000.0;
    let mut pairs = Vec::new();
    for (i, (asked, position, accuracy)) in placed.iter().enumerate() {
        let south = placed[..i].iter().rev();
        let near = south
            .take_while(|(_, other, _)| position.latitude - other.latitude <= reach_deg)
            .take(MOST_NEAR);
        for (other, other_position, other_accuracy) in near {
            let within_m = accuracy.hypot(*other_accuracy);
            if within_m > PLAINLY_M || asked.is_apart_from(other) || other.is_apart_from(asked) {
                continue;
            }
            let apart = between(
                [position.latitude, position.longitude],
                [other_position.latitude, other_position.longitude],
            );
            let Ok(apart) = apart else { continue };
            if apart.level_m <= within_m && !on_purpose(ledger, asked, other) {
                let apart_m = apart.level_m;
                pairs.push((*asked, *other, Close { apart_m, within_m }));
            }
        }
    }
    pairs
}

/// One tablet started both on one day, and both hold something.
fn on_purpose(ledger: &Ledger, a: &Asked<'_>, b: &Asked<'_>) -> bool {
    let device = |asked: &Asked<'_>| {
        let history = ledger.history(asked.record().as_str());
        history.first().map(|entry| entry.stamp().device.clone())
    };
    let day = |asked: &Asked<'_>| asked.station.at.get(..10).map(str::to_owned);
    day(a) == day(b) && device(a) == device(b) && !a.is_empty() && !b.is_empty()
}

/// The station that a station counts as where outcrops are counted: the one it is tied to, however many ties away; itself
/// where it is tied to none that stands.
///
/// # Degenerate input
/// Ties in a circle lead to the one of them whose name comes first.
pub fn outcrop<'p>(pages: &'p Pages, record: &'p str) -> &'p str {
    let mut at = record;
    let mut seen = HashSet::new();
    while seen.insert(at) {
        let page = pages.station(at).filter(|p| !p.line().is_struck_out());
        let tied = page
            .and_then(|page| page.line().station()?.same_as.as_deref())
            .filter(|to| pages.station(to).is_some_and(|p| !p.line().is_struck_out()));
        match tied {
            Some(to) => at = to,
            None => return at,
        }
    }
    seen.into_iter().min().unwrap_or(record)
}

/// How many different outcrops the standing stations are.
pub fn outcrops(pages: &Pages) -> usize {
    let stations = pages.stations().iter();
    let standing = stations.filter(|page| !page.line().is_struck_out());
    let roots: HashSet<&str> = standing
        .map(|page| outcrop(pages, page.line().record().as_str()))
        .collect();
    roots.len()
}

/// The entries that give the later of each pair with one number the next free number, in the order given, counters from the
/// stamp's on and all with its clock reading: one act to undo. Both stations are kept, and readings follow, as they are named by
/// their station.
///
/// # Degenerate input
/// A station whose record is contested is left out: that is settled first.
pub fn renumber(ledger: &Ledger, pages: &Pages, twins: &[Twins], stamp: &Stamp) -> Vec<Entry> {
    let mut next = pages.next_station_number();
    let mut entries = Vec::new();
    let mut done = HashSet::new();
    for twins in twins.iter().filter(|twins| twins.is_number()) {
        if !done.insert(&twins.later) {
            continue;
        }
        let counter = stamp.counter.saturating_add(entries.len() as u64);
        let stamp = Stamp {
            counter,
            ..stamp.clone()
        };
        let number = next;
        let why = "two stations had one number".to_owned();
        let entry = changed_station(ledger, &twins.later, stamp, Act::Renumber, why, |station| {
            station.number = number;
        });
        if let Some(entry) = entry {
            entries.push(entry);
            next = next.saturating_add(1);
        }
    }
    entries
}

/// A station that was given a number of its own.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Renumbered {
    /// The station.
    pub record: RecordId,
    /// The number it shared.
    pub before: u32,
    /// The number it was given.
    pub after: u32,
    /// What a person knows it by.
    pub known: Known,
}

impl Renumbered {
    /// Which station became which number, in one sentence without a full stop.
    pub fn words(&self) -> String {
        format!(
            "station {}, {}, is station {} now; its readings go with it",
            self.before,
            self.known.words(),
            self.after
        )
    }

    /// Whether it stands under that number: not where it was undone, or where another number was given since.
    pub fn stands(&self, pages: &Pages) -> bool {
        let page = pages.station(self.record.as_str());
        page.is_some_and(|page| !page.line().is_struck_out() && page.line().number() == self.after)
    }
}

/// Which station became which number by the entries of [`renumber`].
///
/// # Degenerate input
/// An entry about a station that is the later of none of the pairs is passed over.
pub fn renumbered(twins: &[Twins], entries: &[Entry]) -> Vec<Renumbered> {
    let of = |entry: &Entry| {
        let pair = twins
            .iter()
            .find(|twins| twins.is_number() && twins.later == *entry.record())?;
        let Some(Body::Station(station)) = entry.body() else {
            return None;
        };
        Some(Renumbered {
            record: pair.later.clone(),
            before: pair.numbers[1],
            after: station.number,
            known: pair.known[1].clone(),
        })
    };
    entries.iter().filter_map(of).collect()
}

/// The entry that ties the later station to the earlier: one outcrop, both pages kept.
///
/// # Degenerate input
/// `None` where the later station is not there, is struck out, or is contested.
pub fn tie(ledger: &Ledger, twins: &Twins, stamp: Stamp) -> Option<Entry> {
    let why = format!("the same outcrop as station {}", twins.numbers[0]);
    changed_station(ledger, &twins.later, stamp, Act::Tie, why, |station| {
        station.same_as = Some(twins.earlier.as_str().to_owned());
        station
            .apart_from
            .retain(|other| other != twins.earlier.as_str());
    })
}

/// The entry that says that the later station is another outcrop than the earlier: the doubt is settled, and a tie is undone.
///
/// # Degenerate input
/// Like [`tie`].
pub fn tell_apart(ledger: &Ledger, twins: &Twins, stamp: Stamp) -> Option<Entry> {
    let earlier = twins.earlier.as_str();
    let why = format!("another outcrop than station {}", twins.numbers[0]);
    changed_station(ledger, &twins.later, stamp, Act::Tie, why, |station| {
        station.same_as.take_if(|other| other == earlier);
        if !station.apart_from.iter().any(|other| other == earlier) {
            station.apart_from.push(earlier.to_owned());
        }
    })
}

fn changed_station(
    ledger: &Ledger,
    record: &RecordId,
    stamp: Stamp,
    act: Act,
    why: String,
    change: impl FnOnce(&mut Station),
) -> Option<Entry> {
    changed(ledger, record, stamp, act, why, |body| match body {
        Body::Station(station) => {
            change(station);
            Some(())
        }
        _ => None,
    })
}

/// The entry that changes a record; `None` where it is not there, struck out or contested, or where the change says so.
pub(super) fn changed(
    ledger: &Ledger,
    record: &RecordId,
    stamp: Stamp,
    act: Act,
    why: String,
    change: impl FnOnce(&mut Body) -> Option<()>,
) -> Option<Entry> {
    let state = ledger.state(record.as_str());
    if state.is_contested() || state.is_struck_out() {
        return None;
    }
    let mut body = state.body()?.clone();
    change(&mut body)?;
    Some(Entry::new(
        record.clone(),
        state.heads().to_vec(),
        stamp,
        act,
        Some(why),
        Some(body),
    ))
}
