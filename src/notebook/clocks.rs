//! Clocks that jumped: noticed and named, never used. The order of a device's entries is by their count, and the order between
//! devices by what supersedes what.

use std::collections::BTreeMap;

use super::entry::{Entry, EntryId};
use super::ledger::Ledger;

pub use super::merge::{instant_s, utc_text};

/// A clock may be set back by so much, or be behind another, without a word: our assumption, what two tablets set by hand differ by.
const ALLOWED_S: i64 = 600;

/// A book that rests longer than this is more likely a clock that leapt: our assumption.
const LEAP_S: i64 = 366 * 86_400;

/// No entry was written before: the first version of the book is of 2026. A clock without power often begins again at 1970 or 2000.
/// 2026-01-01, seconds since 1970.
const FIRST_S: i64 = 1_767_225_600;

/// How a clock went wrong.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum How {
    /// It went back against the device's own count.
    Back,
    /// It leapt ahead by more than a year.
    Ahead,
    /// From the device's first entry on it showed a day on which there was no book yet.
    Early,
    /// It is behind the clock of another device, whose entry was there before.
    Behind,
}

/// A device's clock that ran against its own count or against what it had seen of another device.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ClockJump {
    /// The device's name.
    pub device: String,
    /// The initials of who wrote with it then.
    pub by: String,
    /// How.
    pub how: How,
    /// By how many seconds; of a clock that is early from the first entry on, at least.
    pub off_s: i64,
    /// The first entry written with it.
    pub entry: EntryId,
    /// Its place in the device's count.
    pub counter: u64,
    /// The count of the entry at which it jumped the other way; `None` where that was not noticed.
    pub until: Option<u64>,
    /// The entry before it, of the same device; the entry itself where it is the first; or, where the clock is behind another's, the one that it supersedes.
    pub before: EntryId,
    /// The other device and who wrote with it, where the clock is behind another's.
    pub other: Option<(String, String)>,
    /// How often it shows between these two devices; else 1.
    pub times: usize,
}

impl ClockJump {
    /// What happened, in one sentence without a full stop; what it does not touch is said too.
    pub fn words(&self) -> String {
        let whose = tablet(&self.by);
        let off = span(self.off_s);
        let until = self.until.map_or_else(String::new, |until| {
            format!(" and came back at entry {until}")
        });
        let happened = match (self.how, &self.other) {
            (How::Back, _) => format!("went back by {off} at its entry {}{until}", self.counter),
            (How::Ahead, _) => format!("leapt ahead by {off} at its entry {}{until}", self.counter),
            (How::Early, _) => {
                let day = utc_text(FIRST_S.saturating_sub(self.off_s)).unwrap_or_default();
                let day = day.get(..10).unwrap_or("a day long ago");
                format!(
                    "stood at {day} at its entry {}, before any book was written{until}",
                    self.counter
                )
            }
            (How::Behind, other) => {
                let of = other.as_ref().map_or("", |(_, by)| by);
                format!(
                    "is {off} behind that of {}, or that one is ahead: its entry {} takes the place of one that says it was written later",
                    tablet(of),
                    self.counter
                )
            }
        };
        format!(
            "the clock of {whose} {happened}; the order of the book does not depend on clocks, only the times written beside entries do"
        )
    }
}

fn tablet(by: &str) -> String {
    if by.is_empty() {
        "a tablet".to_owned()
    } else {
        format!("{by}'s tablet")
    }
}

/// A span of time to its largest unit, as people say it.
fn span(seconds: i64) -> String {
    const UNITS: [(i64, &str); 4] = [
        (31_557_600, "year"),
        (86_400, "day"),
        (3600, "hour"),
        (60, "minute"),
    ];
    let seconds = seconds.abs();
    let (unit_s, unit) = UNITS
        .into_iter()
        .find(|(unit_s, _)| *unit_s <= seconds)
        .unwrap_or((60, "minute"));
    let count = (seconds + unit_s / 2) / unit_s;
    if count == 1 {
        format!("1 {unit}")
    } else {
        format!("{count} {unit}s")
    }
}

/// An entry's time, as a jump is looked for.
#[derive(Clone, Copy, Debug)]
pub struct Tick<'t> {
    /// The entry.
    pub id: EntryId,
    /// The device's name.
    pub device: &'t str,
    /// The initials of who wrote it.
    pub by: &'t str,
    /// Its place in the device's count.
    pub counter: u64,
    /// Seconds since 1970; `None` where the time cannot be read.
    pub at_s: Option<i64>,
}

impl<'t> Tick<'t> {
    fn of(entry: &'t Entry) -> Self {
        let stamp = entry.stamp();
        Self {
            id: entry.id(),
            device: &stamp.device,
            by: &stamp.by,
            counter: stamp.counter,
            at_s: instant_s(&stamp.at),
        }
    }
}

/// Looks for jumps while entries go by: those of a device in the order of its count, and what supersedes what in any order.
#[derive(Clone, Debug, Default)]
pub struct Watch {
    found: Vec<ClockJump>,
    last: Option<Last>,
    against: BTreeMap<(String, String), ClockJump>,
}

#[derive(Clone, Debug)]
struct Last {
    device: String,
    counter: u64,
    shared: bool,
    id: EntryId,
    at_s: i64,
    open: Option<usize>,
}

impl Watch {
    /// The next entry of a device, all of one device after each other, by their count. A count that two entries share tells
    /// nothing of a clock: there are two.
    pub fn next(&mut self, tick: Tick<'_>) {
        let Some(at_s) = tick.at_s else { return };
        let last = self.last.take().filter(|last| last.device == tick.device);
        let mut open = last.as_ref().and_then(|last| last.open);
        let shared = last
            .as_ref()
            .is_some_and(|last| last.shared || last.counter == tick.counter);
        if let Some(last) = last.filter(|_| !shared) {
            let off_s = at_s.saturating_sub(last.at_s);
            let how = if off_s < -ALLOWED_S {
                Some(How::Back)
            } else if off_s > LEAP_S {
                Some(How::Ahead)
            } else {
                None
            };
            let returned = open.filter(|&place| {
                let jump = &self.found[place];
                let other_way = match jump.how {
                    How::Back | How::Early => off_s > LEAP_S,
                    _ => off_s < -ALLOWED_S,
                };
                other_way && off_s.abs() >= jump.off_s / 2
            });
            match (how, returned) {
                (_, Some(place)) => {
                    self.found[place].until = Some(tick.counter);
                    open = None;
                }
                (Some(how), None) => open = Some(self.jump(tick, how, off_s.abs(), last.id)),
                (None, None) => {}
            }
        } else if !shared && at_s < FIRST_S {
            let off_s = FIRST_S.saturating_sub(at_s);
            open = Some(self.jump(tick, How::Early, off_s, tick.id));
        }
        self.last = Some(Last {
            device: tick.device.to_owned(),
            counter: tick.counter,
            shared,
            id: tick.id,
            at_s,
            open,
        });
    }

    /// Notes a jump of a device against its own count; gives its place.
    fn jump(&mut self, tick: Tick<'_>, how: How, off_s: i64, before: EntryId) -> usize {
        self.found.push(ClockJump {
            device: tick.device.to_owned(),
            by: tick.by.to_owned(),
            how,
            off_s,
            entry: tick.id,
            counter: tick.counter,
            until: None,
            before,
            other: None,
            times: 1,
        });
        self.found.len() - 1
    }

    /// An entry and one that it supersedes.
    pub fn supersedes(&mut self, later: Tick<'_>, earlier: Tick<'_>) {
        let (Some(later_s), Some(earlier_s)) = (later.at_s, earlier.at_s) else {
            return;
        };
        let off_s = earlier_s.saturating_sub(later_s);
        let named = !later.device.is_empty() && !earlier.device.is_empty();
        if off_s <= ALLOWED_S || later.device == earlier.device || !named {
            return;
        }
        let pair = (later.device.to_owned(), earlier.device.to_owned());
        let jump = ClockJump {
            device: later.device.to_owned(),
            by: later.by.to_owned(),
            how: How::Behind,
            off_s,
            entry: later.id,
            counter: later.counter,
            until: None,
            before: earlier.id,
            other: Some((earlier.device.to_owned(), earlier.by.to_owned())),
            times: 1,
        };
        match self.against.get_mut(&pair) {
            None => {
                self.against.insert(pair, jump);
            }
            Some(known) => {
                let times = known.times + 1;
                // The largest speaks for all; of equals the first entry, whatever the order they came in.
                if (jump.off_s, std::cmp::Reverse(jump.entry))
                    > (known.off_s, std::cmp::Reverse(known.entry))
                {
                    *known = jump;
                }
                known.times = times;
            }
        }
    }

    /// What was found: jumps of each device in the order of its count, then clocks behind others.
    pub fn found(self) -> Vec<ClockJump> {
        let mut found = self.found;
        found.extend(self.against.into_values());
        found
    }
}

/// The clocks of a ledger that jumped, device by device, then those behind others.
///
/// # Degenerate input
/// Times that cannot be read tell nothing. From the first count that two entries of a device share on, its own count tells
/// nothing of its clock.
pub fn jumps(ledger: &Ledger) -> Vec<ClockJump> {
    let mut watch = Watch::default();
    for device in ledger.devices() {
        for entry in ledger.count_of(device) {
            watch.next(Tick::of(entry));
        }
    }
    for entry in ledger.iter() {
        for id in entry.supersedes() {
            if let Some(earlier) = ledger.get(id) {
                watch.supersedes(Tick::of(entry), Tick::of(earlier));
            }
        }
    }
    watch.found()
}
