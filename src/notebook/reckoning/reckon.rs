//! From what is asked to the answer: looks the records up, says what is missing, and notes what was used.

use super::answer::{Hand, Worked};
use super::asked::{Asked, Takes, What};
use super::chosen::sighted;
use super::desk::Desk;
use super::{angles, ground, tilt};
use crate::notebook::pages::Pages;
use crate::notebook::structure::Datum;

/// Where a number that was used can be looked at.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Leads {
    /// A reading, by its record.
    Reading(String),
    /// A sighting, by its record.
    Sighting(String),
    /// A station, by its number.
    Station(u32),
    /// It was typed here.
    Typed,
}

/// A number that was used.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Used {
    /// What it was chosen as.
    pub role: &'static str,
    /// Its name in the book.
    pub name: String,
    /// Its value.
    pub value: String,
    /// How sure it is.
    pub sure: String,
    /// Where it can be looked at.
    pub leads: Leads,
}

/// What is missing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Lack {
    /// In words.
    pub words: String,
    /// The station whose page mends it.
    pub station: Option<u32>,
}

impl Lack {
    pub(super) fn new(words: impl Into<String>) -> Self {
        Self {
            words: words.into(),
            station: None,
        }
    }
}

/// A result with what it was reckoned from.
#[derive(Clone, Debug, PartialEq)]
pub struct Answer {
    /// The numbers used.
    pub used: Vec<Used>,
    /// The results and the working.
    pub worked: Worked,
}

/// Whether a reading may be chosen for a slot.
pub fn fits(takes: Takes, datum: &Datum) -> bool {
    match takes {
        Takes::Planes => datum.plane.is_some(),
        Takes::Line | Takes::Azimuth => datum.line.is_some(),
        Takes::Either | Takes::Many => datum.plane.is_some() || datum.line.is_some(),
        Takes::Station => false,
    }
}

/// The sighting between two stations that a way can be taken from: its record and its name.
pub fn sighting_between(pages: &Pages, from: &str, to: &str) -> Option<(String, String)> {
    let (record, sight, _) = sighted(pages, from, to)?;
    Some((record, sight.name))
}

/// Looks up what was chosen and reckons.
///
/// # Errors
/// Everything that is missing or in the way, in words with the way out.
pub fn reckon(pages: &Pages, asked: &Asked, hand: &Hand) -> Result<Answer, Vec<Lack>> {
    let mut desk = Desk {
        pages,
        asked,
        hand,
        used: Vec::new(),
        lacks: Vec::new(),
        cautions: Vec::new(),
    };
    let worked = desk.work();
    match worked {
        Some(mut worked) if desk.lacks.is_empty() => {
            worked.cautions.splice(0..0, desk.cautions);
            Ok(Answer {
                used: desk.used,
                worked,
            })
        }
        _ => Err(desk.lacks),
    }
}

impl Desk<'_> {
    fn work(&mut self) -> Option<Worked> {
        let hand = self.hand;
        match self.asked.what {
            What::ApparentDip => {
                let (section, plane) = (self.azimuth(0), self.mean(1));
                angles::apparent_dip(&plane?, &section?, hand)
            }
            What::TrueDip | What::PlaneOfLines => {
                let (a, b) = (self.line(0), self.line(1));
                let (a, b) = (a?, b?);
                let traces = self.asked.what == What::TrueDip;
                let worked = angles::plane_of_lines(&a, &b, traces, hand);
                self.or(worked, || {
                    format!(
                        "{} and {} lie alike and tell no plane; choose another line",
                        a.name, b.name
                    )
                })
            }
            What::Intersection => {
                let (a, b) = (self.mean(0), self.mean(1));
                let (a, b) = (a?, b?);
                let worked = angles::intersection(&a, &b, hand);
                self.or(worked, || {
                    format!(
                        "{} and {} are parallel and meet nowhere; choose another plane",
                        a.name, b.name
                    )
                })
            }
            What::Angle => {
                let (a, b) = (self.either(0), self.either(1));
                angles::angle(&a?, &b?, hand)
            }
            What::ThreePoints => self.three_points(),
            What::Thickness | What::Depth => {
                let (way, layer) = (self.way(0, 1), self.mean(2));
                let (way, layer) = (way?, layer?);
                let names = [0, 1].map(|slot| self.station_name(slot));
                let names = [names[0].as_str(), names[1].as_str()];
                let worked = if self.asked.what == What::Thickness {
                    ground::thickness(names, &way, &layer, hand)
                } else {
                    ground::depth(names, &way, &layer, hand)
                };
                self.or_said(worked)
            }
            What::Level => {
                let (what, bed) = (self.many(0), self.mean(1));
                Some(tilt::restored(&what?, &bed?, hand))
            }
            What::TwoTilts => {
                let (what, younger, older) = (self.many(0), self.mean(1), self.mean(2));
                Some(tilt::restored_before(&what?, &younger?, &older?, hand))
            }
        }
    }

    fn or(&mut self, worked: Option<Worked>, why: impl FnOnce() -> String) -> Option<Worked> {
        if worked.is_none() {
            self.lacks.push(Lack::new(why()));
        }
        worked
    }

    fn or_said(&mut self, worked: Result<Worked, String>) -> Option<Worked> {
        match worked {
            Ok(worked) => Some(worked),
            Err(why) => {
                self.lacks.push(Lack::new(why));
                None
            }
        }
    }

    fn three_points(&mut self) -> Option<Worked> {
        let (one, other) = (self.way(0, 1), self.way(0, 2));
        let records: Vec<String> = (0..3)
            .filter_map(|i| self.asked.at(i).first().cloned())
            .collect();
        if records.len() == 3 && records[1] == records[2] {
            self.lacks.push(Lack::new(
                "second and third are the same station; choose another",
            ));
            return None;
        }
        let (one, other) = (one?, other?);
        let names = [0, 1, 2].map(|slot| self.station_name(slot));
        let names = [names[0].as_str(), names[1].as_str(), names[2].as_str()];
        let worked = ground::three_points(names, [&one, &other], self.hand);
        self.or_said(worked)
    }
}
