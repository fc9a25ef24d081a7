//! North put right afterwards: chosen readings counted anew from their dials, which stay as typed.
//!
//! A card that was set wrongly keeps what stood on it: a reading then holds the declination that is right and, as its
//! `card_declination`, the one that stood on the card, and its bearings count as read − what stood + what is right.

use super::counts::declination;
use super::entry::{Act, Entry, Stamp};
use super::ledger::Ledger;
use super::pages::{Line, Pages};
use super::record::{Body, North, Reading, Sighting};

/// What is put right, and why; what is `None` stays as it is.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Change {
    /// The north that the bearings were really read against.
    pub north: Option<North>,
    /// The declination that is right, degrees east positive, as typed; an empty text takes it off.
    pub declination: Option<String>,
    /// What stood on the card, degrees east positive, as typed; `None`: the declination that was written down with the bearing.
    pub card: Option<String>,
    /// Record id of the set-up that was really used.
    pub set_up: Option<String>,
    /// Why: kept with each record and with its entry.
    pub why: String,
}

/// The fields of a record that say which north its bearings count from.
struct Counted<'r> {
    north: &'r mut North,
    right: &'r mut Option<String>,
    card: &'r mut Option<String>,
    set_up: &'r mut Option<String>,
    because: &'r mut Option<String>,
}

impl Change {
    fn apply(&self, to: &mut Counted<'_>) {
        let is_set = |north: North| matches!(north, North::True | North::Grid);
        let north = self.north.unwrap_or(*to.north);
        let right = match &self.declination {
            Some(text) => Some(text.trim().to_owned()).filter(|text| !text.is_empty()),
            None => to.right.clone(),
        };
        // What was written down with a bearing read on a card that was turned is what stood on that card.
        let written = || to.right.clone().filter(|_| is_set(*to.north));
        let stood = self
            .card
            .clone()
            .or_else(|| to.card.clone())
            .or_else(written);
        let value = |text: &Option<String>| text.as_deref().and_then(declination);
        let differs = match (value(&stood), value(&right)) {
            (Some(stood), Some(right)) => stood.deg() != right.deg(),
            _ => false,
        };
        *to.card = stood.filter(|_| is_set(north) && differs);
        *to.north = north;
        *to.right = right;
        if self.set_up.is_some() {
            to.set_up.clone_from(&self.set_up);
        }
        *to.because = Some(self.why.trim().to_owned()).filter(|why| !why.is_empty());
    }
}

/// The reading as the change leaves it: its dials, its shots and what was accepted stay as they are.
///
/// # Degenerate input
/// A change that alters nothing returns the reading with its reason; a card or a declination that is no number turns nothing.
pub fn reset(reading: &Reading, change: &Change) -> Reading {
    let mut after = reading.clone();
    change.apply(&mut Counted {
        north: &mut after.north,
        right: &mut after.declination,
        card: &mut after.card_declination,
        set_up: &mut after.set_up,
        because: &mut after.because,
    });
    after
}

/// The sighting as the change leaves it, like [`reset`].
pub fn reset_sighting(sighting: &Sighting, change: &Change) -> Sighting {
    let mut after = sighting.clone();
    change.apply(&mut Counted {
        north: &mut after.north,
        right: &mut after.declination,
        card: &mut after.card_declination,
        set_up: &mut after.set_up,
        because: &mut after.because,
    });
    after
}

/// Which readings and sightings are meant; what is `None` chooses all.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Chosen {
    /// Record id of the set-up they were taken with.
    pub set_up: Option<String>,
    /// The day by the station's own clock, `2026-06-14`.
    pub day: Option<String>,
    /// The number of the first station.
    pub from_station: Option<u32>,
    /// The number of the last station, itself included.
    pub to_station: Option<u32>,
}

/// The standing readings and sightings that are meant, station by station, readings first; those of struck-out stations are left out.
pub fn chosen<'p>(pages: &'p Pages, which: &Chosen) -> Vec<&'p Line> {
    let mut lines = Vec::new();
    for page in pages.stations() {
        let number = page.line().number();
        let day = || page.line().station().and_then(|s| s.at.get(..10));
        let here = !page.line().is_struck_out()
            && which.from_station.is_none_or(|from| from <= number)
            && which.to_station.is_none_or(|to| number <= to)
            && (which.day.is_none() || which.day.as_deref() == day());
        if !here {
            continue;
        }
        let taken = page.readings().iter().chain(page.sightings());
        lines.extend(taken.filter(|line| {
            let set_up = match line.entry().body() {
                Some(Body::Reading(reading)) => reading.set_up.as_deref(),
                Some(Body::Sighting(sighting)) => sighting.set_up.as_deref(),
                _ => return false,
            };
            !line.is_struck_out() && (which.set_up.is_none() || which.set_up.as_deref() == set_up)
        }));
    }
    lines
}

/// The entries that put the lines right, in their order: one a record, counters from the stamp's on, all with the same clock
/// reading and the same reason, so that they are one act to undo. A line that would stay as it is has none.
pub fn entries<'l>(
    ledger: &Ledger,
    lines: impl IntoIterator<Item = &'l Line>,
    change: &Change,
    stamp: &Stamp,
) -> Vec<Entry> {
    let mut entries = Vec::new();
    let mut counter = stamp.counter;
    for line in lines {
        let (before, after) = match line.entry().body() {
            Some(Body::Reading(reading)) => {
                let mut after = reset(reading, change);
                let because = std::mem::replace(&mut after.because, reading.because.clone());
                if after == *reading {
                    continue;
                }
                after.because = because;
                (line, Body::Reading(after))
            }
            Some(Body::Sighting(sighting)) => {
                let mut after = reset_sighting(sighting, change);
                let because = std::mem::replace(&mut after.because, sighting.because.clone());
                if after == *sighting {
                    continue;
                }
                after.because = because;
                (line, Body::Sighting(after))
            }
            _ => continue,
        };
        entries.push(Entry::new(
            before.record().clone(),
            ledger.state(before.record().as_str()).builds_on(),
            Stamp {
                counter,
                ..stamp.clone()
            },
            Act::Reset,
            Some(change.why.trim().to_owned()).filter(|why| !why.is_empty()),
            Some(after),
        ));
        counter += 1;
    }
    entries
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::notebook::{CountsFrom, RecordId, Shot, Station, attitude, undo_of};

    fn reading(north: North, declination: Option<&str>) -> Reading {
        Reading {
            station: "one".to_owned(),
            number: 1,
            kind: "bedding".to_owned(),
            right_hand: true,
            north,
            declination: declination.map(str::to_owned),
            shots: vec![Shot {
                strike: Some("062".to_owned()),
                dip: Some("36".to_owned()),
                ..Shot::default()
            }],
            ..Reading::default()
        }
    }

    fn strike(reading: &Reading) -> f64 {
        let plane = attitude::of(reading).plane.unwrap();
        (plane.strike().deg() * 1e6).round() / 1e6
    }

    fn change(declination: &str) -> Change {
        Change {
            declination: Some(declination.to_owned()),
            why: "8 W was set as 8 E".to_owned(),
            ..Change::default()
        }
    }

    /// True = read − set + right (common practice, east positive): 062 on a card at 8 E is 054 magnetic, 046 true at 8 W.
    #[test]
    fn a_card_that_stood_wrong_keeps_what_stood_on_it() {
        let before = reading(North::True, Some("8E"));
        let after = reset(&before, &change("8W"));
        assert_eq!(after.shots, before.shots);
        assert_eq!(after.declination.as_deref(), Some("8W"));
        assert_eq!(after.card_declination.as_deref(), Some("8E"));
        assert_eq!(after.because.as_deref(), Some("8 W was set as 8 E"));
        assert_eq!((strike(&before), strike(&after)), (62.0, 46.0));
        assert_eq!(
            attitude::of(&after).counts_from,
            CountsFrom::PutRight(-16.0)
        );
        // Put right once more: what stood on the card stays what it was.
        let again = reset(&after, &change("-7.5"));
        assert_eq!(again.card_declination.as_deref(), Some("8E"));
        assert_eq!(strike(&again), 46.5);
        // And back to what stood: nothing is turned.
        let back = reset(&again, &change("8E"));
        assert_eq!(
            (back.card_declination.as_deref(), strike(&back)),
            (None, 62.0)
        );
        assert_eq!(attitude::of(&back).counts_from, CountsFrom::True);
    }

    #[test]
    fn a_card_at_zero_is_turned_by_what_is_right() {
        let after = reset(&reading(North::Magnetic, Some("8E")), &change("8W"));
        assert_eq!(
            (after.card_declination.as_deref(), strike(&after)),
            (None, 54.0)
        );
        // Said to be true, and the card was at zero.
        let omitted = Change {
            north: Some(North::Magnetic),
            ..change("8W")
        };
        let after = reset(&reading(North::True, Some("8W")), &omitted);
        assert_eq!(
            (after.card_declination.as_deref(), strike(&after)),
            (None, 54.0)
        );
        // Said to be magnetic, and the card was turned: nothing more is to be added.
        let turned = Change {
            north: Some(North::True),
            ..change("8W")
        };
        let after = reset(&reading(North::Magnetic, Some("8W")), &turned);
        assert_eq!(
            (after.card_declination.as_deref(), strike(&after)),
            (None, 62.0)
        );
    }

    #[test]
    fn what_stood_on_the_card_can_be_told_where_nobody_wrote_it_down() {
        let unsaid = reset(&reading(North::True, None), &change("8W"));
        assert_eq!(
            (unsaid.card_declination.as_deref(), strike(&unsaid)),
            (None, 62.0)
        );
        let told = Change {
            card: Some("0".to_owned()),
            ..change("8W")
        };
        let after = reset(&reading(North::True, None), &told);
        assert_eq!(
            (after.card_declination.as_deref(), strike(&after)),
            (Some("0"), 54.0)
        );
        let off = reset(&after, &change(""));
        assert_eq!(
            (off.declination, strike(&reading(North::True, None))),
            (None, 62.0)
        );
        let nonsense = reset(&reading(North::True, Some("8E")), &change("west"));
        assert_eq!(
            (nonsense.card_declination.as_deref(), strike(&nonsense)),
            (None, 62.0)
        );
    }

    #[test]
    fn a_sighting_is_put_right_like_a_reading() {
        let before = Sighting {
            north: North::True,
            declination: Some("8E".to_owned()),
            bearing: Some("041".to_owned()),
            ..Sighting::default()
        };
        let after = reset_sighting(&before, &change("8W"));
        assert_eq!(after.card_declination.as_deref(), Some("8E"));
        assert_eq!(after.bearing, before.bearing);
    }

    fn stamp(counter: u64, at: &str) -> Stamp {
        Stamp {
            by: "K.O.".to_owned(),
            device: "a".to_owned(),
            counter,
            at: at.to_owned(),
        }
    }

    /// A book of three stations on two days, two readings and a sighting at each.
    fn book() -> Ledger {
        let mut ledger = Ledger::new();
        let mut keep = |record: String, body: Body| {
            let counter = ledger.next_counter("a");
            let entry = Entry::new(
                RecordId::from(record),
                [],
                stamp(counter, "2026-06-14T10:00:00Z"),
                Act::Write,
                None,
                Some(body),
            );
            ledger.insert(entry);
        };
        for number in 1..=3 {
            let station = Station {
                number,
                at: format!("2026-06-1{}T09:00:00Z", 4 + number / 3),
                ..Station::default()
            };
            keep(format!("s{number}"), Body::Station(station));
            for (i, set_up) in [(1, "mine"), (2, "yours")] {
                let mut reading = reading(North::True, Some("8E"));
                reading.station = format!("s{number}");
                reading.number = i;
                reading.set_up = Some(set_up.to_owned());
                keep(format!("r{number}{i}"), Body::Reading(reading));
            }
            let sighting = Sighting {
                station: format!("s{number}"),
                number: 1,
                set_up: Some("mine".to_owned()),
                north: North::True,
                declination: Some("8E".to_owned()),
                ..Sighting::default()
            };
            keep(format!("g{number}"), Body::Sighting(sighting));
        }
        ledger
    }

    fn names(lines: &[&Line]) -> Vec<String> {
        lines.iter().map(|line| line.record().to_string()).collect()
    }

    #[test]
    fn readings_are_chosen_by_set_up_day_and_station() {
        let pages = Pages::of(&book());
        assert_eq!(chosen(&pages, &Chosen::default()).len(), 9);
        let which = Chosen {
            set_up: Some("mine".to_owned()),
            day: Some("2026-06-14".to_owned()),
            ..Chosen::default()
        };
        assert_eq!(names(&chosen(&pages, &which)), ["r11", "g1", "r21", "g2"]);
        let which = Chosen {
            from_station: Some(2),
            to_station: Some(2),
            ..Chosen::default()
        };
        assert_eq!(names(&chosen(&pages, &which)), ["r21", "r22", "g2"]);
    }

    #[test]
    fn many_readings_put_right_are_one_act_to_undo() {
        let mut ledger = book();
        let before = Pages::of(&ledger);
        let which = Chosen {
            set_up: Some("mine".to_owned()),
            ..Chosen::default()
        };
        let put_right = |ledger: &mut Ledger, which: &Chosen, declination: &str, at: &str| {
            let pages = Pages::of(ledger);
            let stamp = stamp(ledger.next_counter("a"), at);
            let lines = chosen(&pages, which);
            let new = entries(ledger, lines, &change(declination), &stamp);
            let count = new.len();
            ledger.extend(new);
            count
        };
        let press = |ledger: &mut Ledger, at: &str| {
            let undo = undo_of(ledger, "a").unwrap();
            let stamp = stamp(ledger.next_counter("a"), at);
            ledger.extend(undo.entries(&stamp));
            undo.words
        };
        let cards = |ledger: &Ledger| -> usize {
            let pages = Pages::of(ledger);
            let lines = chosen(&pages, &Chosen::default());
            let has_card = |line: &&&Line| match line.entry().body() {
                Some(Body::Reading(reading)) => reading.card_declination.is_some(),
                Some(Body::Sighting(sighting)) => sighting.card_declination.is_some(),
                _ => false,
            };
            lines.iter().filter(has_card).count()
        };
        assert_eq!(
            put_right(&mut ledger, &which, "8W", "2026-06-14T19:00:00Z"),
            6
        );
        assert_eq!(cards(&ledger), 6);
        for entry in ledger.latest_of("a").take(6) {
            assert_eq!(
                (entry.act(), entry.why()),
                (&Act::Reset, Some("8 W was set as 8 E"))
            );
        }
        // Doing it again alters nothing and writes nothing.
        assert_eq!(
            put_right(&mut ledger, &which, "8W", "2026-06-14T19:01:00Z"),
            0
        );
        assert_eq!(
            press(&mut ledger, "2026-06-14T19:02:00Z"),
            "Undo change of north, 6 records"
        );
        assert_eq!(cards(&ledger), 0);
        let after = Pages::of(&ledger);
        for page in before.stations() {
            for line in page.readings() {
                assert_eq!(
                    after.reading(line.record().as_str()).unwrap().reading(),
                    line.reading()
                );
            }
        }
        assert_eq!(
            press(&mut ledger, "2026-06-14T19:03:00Z"),
            "Redo change of north, 6 records"
        );
        assert_eq!(cards(&ledger), 6);
        // A second change for the same reason, of the other set-up, is an act of its own.
        let others = Chosen {
            set_up: Some("yours".to_owned()),
            ..Chosen::default()
        };
        assert_eq!(
            put_right(&mut ledger, &others, "8W", "2026-06-14T19:04:00Z"),
            3
        );
        assert_eq!(cards(&ledger), 9);
        // What a partner has built on since stays; the words say so.
        let mut built_on = reading(North::True, Some("8W"));
        built_on.station = "s1".to_owned();
        ledger.insert(Entry::new(
            RecordId::from("r12"),
            ledger.state("r12").heads().to_vec(),
            Stamp {
                device: "b".to_owned(),
                counter: 1,
                ..Stamp::default()
            },
            Act::Correct,
            None,
            Some(Body::Reading(built_on)),
        ));
        assert_eq!(
            press(&mut ledger, "2026-06-14T19:05:00Z"),
            "Undo change of north, 2 of 3 records"
        );
        assert_eq!(cards(&ledger), 6);
    }
}
