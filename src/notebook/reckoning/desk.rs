//! What is chosen, looked up in the book: each record's value, what was used, what is missing, what to beware of.

use super::answer::{Hand, metres, three};
use super::asked::{Asked, Takes};
use super::chosen::{NoPlace, Read, Sight, number, place, sighted};
use super::given::{AzimuthIn, EitherIn, HEIGHT_TIMES, LineIn, PlaceIn, PlaneIn, WayIn};
use super::reckon::{Lack, Leads, Used};
use crate::geodesy::sighting::Distance;
use crate::notebook::pages::{Line as Entered, Pages, StationPage};
use crate::orientation::angle::degrees;
use crate::orientation::notation::azimuth_typed;
use crate::orientation::{Azimuth, Bound, Polarity};

/// What lies on the desk while a result is worked out.
pub(super) struct Desk<'d> {
    pub(super) pages: &'d Pages,
    pub(super) asked: &'d Asked,
    pub(super) hand: &'d Hand,
    pub(super) used: Vec<Used>,
    pub(super) lacks: Vec<Lack>,
    pub(super) cautions: Vec<String>,
}

impl Desk<'_> {
    pub(super) fn role(&self, slot: usize) -> &'static str {
        self.asked.what.slots().get(slot).map_or("", |s| s.name)
    }

    fn caution(&mut self, words: String) {
        if !self.cautions.contains(&words) {
            self.cautions.push(words);
        }
    }

    /// The readings chosen for a slot; none where something is missing, which is said.
    fn readings(&mut self, slot: usize) -> Option<Vec<Read>> {
        let chosen = self.asked.at(slot);
        if chosen.is_empty() {
            return self.lack_slot(slot);
        }
        let mut all = Vec::with_capacity(chosen.len());
        for record in chosen {
            let Some(read) = Read::of(self.pages, record) else {
                self.lacks.push(Lack::new(format!(
                    "a reading chosen as {} is struck out or has no value; choose another",
                    self.role(slot)
                )));
                return None;
            };
            if !read.datum.is_true {
                self.caution(format!(
                    "{} does not count from true north: its declination is not known.",
                    read.datum.name
                ));
            }
            if read.datum.doubted {
                self.caution(format!("{} has an open doubt.", read.datum.name));
            }
            all.push(read);
        }
        Some(all)
    }

    fn lack_slot<T>(&mut self, slot: usize) -> Option<T> {
        let name = self.role(slot);
        let takes = self.asked.what.slots().get(slot).map(|s| s.takes);
        let how = match takes {
            Some(Takes::Planes) => "choose a plane, or several for their mean",
            Some(Takes::Line) => "choose a line",
            Some(Takes::Either) => "choose a plane or a line",
            Some(Takes::Many) => "choose planes or lines",
            Some(Takes::Station) => "choose a station",
            Some(Takes::Azimuth) => "type its azimuth, or choose a line or a sighting along it",
            None => "choose it",
        };
        self.lacks.push(Lack::new(format!("{name}: {how}")));
        None
    }

    fn use_plane(&mut self, slot: usize, record: &str, plane: &PlaneIn) {
        let written = self.hand.plane(&plane.plane);
        let tops = match plane.tops {
            Polarity::Overturned => ", overturned",
            Polarity::Upright | Polarity::Unknown => "",
        };
        self.used.push(Used {
            role: self.role(slot),
            name: plane.name.clone(),
            value: format!("{written}{tops}"),
            sure: sphere_words(plane.spread.map(|v| v.norm())),
            leads: Leads::Reading(record.to_owned()),
        });
    }

    fn use_line(&mut self, slot: usize, record: &str, line: &LineIn) {
        self.used.push(Used {
            role: self.role(slot),
            name: line.name.clone(),
            value: self.hand.line(&line.line),
            sure: sphere_words(line.spread.map(|v| v.norm())),
            leads: Leads::Reading(record.to_owned()),
        });
    }

    /// The plane of a slot: one, or the mean of several.
    pub(super) fn mean(&mut self, slot: usize) -> Option<PlaneIn> {
        let all = self.readings(slot)?;
        let planes: Vec<PlaneIn> = all.iter().filter_map(Read::plane).collect();
        if planes.len() < all.len() {
            self.lacks.push(Lack::new(format!(
                "{}: a line is among them; choose planes",
                self.role(slot)
            )));
            return None;
        }
        for (read, plane) in all.iter().zip(&planes) {
            self.use_plane(slot, &read.datum.record, plane);
        }
        let told = |tops| planes.iter().any(|p| p.tops == tops);
        if told(Polarity::Overturned) && told(Polarity::Upright) {
            self.lacks.push(Lack::new(format!(
                "{}: some are overturned and some are not; choose those of one limb",
                self.role(slot)
            )));
            return None;
        }
        let mut mean = PlaneIn::mean(&planes);
        if mean.is_none() {
            self.lacks.push(Lack::new(format!(
                "{}: these planes have no one mean; choose those that lie alike",
                self.role(slot)
            )));
        }
        // What nobody could tell at some does not contradict what was told at the others.
        if let Some(mean) = &mut mean
            && let Some(known) = planes
                .iter()
                .map(|p| p.tops)
                .find(|t| *t != Polarity::Unknown)
        {
            mean.tops = known;
        }
        if let Some(mean) = mean.as_ref().filter(|_| planes.len() > 1) {
            self.used.push(Used {
                role: self.role(slot),
                name: mean.name.clone(),
                value: self.hand.plane(&mean.plane),
                sure: sphere_words(mean.spread.map(|v| v.norm())),
                leads: Leads::Typed,
            });
        }
        mean
    }

    pub(super) fn line(&mut self, slot: usize) -> Option<LineIn> {
        let read = self.readings(slot)?.into_iter().next()?;
        let Some(line) = read.line() else {
            self.lacks.push(Lack::new(format!(
                "{}: {} is no line; choose one",
                self.role(slot),
                read.datum.name
            )));
            return None;
        };
        self.use_line(slot, &read.datum.record, &line);
        Some(line)
    }

    fn either_of(&mut self, slot: usize, read: &Read) -> Option<EitherIn> {
        // A line that came with a plane is what is asked of it; the plane is when the line alone is not there.
        if let Some(line) = read.line() {
            self.use_line(slot, &read.datum.record, &line);
            return Some(EitherIn::Line(line));
        }
        let plane = read.plane()?;
        self.use_plane(slot, &read.datum.record, &plane);
        Some(EitherIn::Plane(plane))
    }

    pub(super) fn either(&mut self, slot: usize) -> Option<EitherIn> {
        let read = self.readings(slot)?.into_iter().next()?;
        self.either_of(slot, &read)
    }

    pub(super) fn many(&mut self, slot: usize) -> Option<Vec<EitherIn>> {
        let all = self.readings(slot)?;
        Some(
            all.iter()
                .filter_map(|read| self.either_of(slot, read))
                .collect(),
        )
    }

    pub(super) fn azimuth(&mut self, slot: usize) -> Option<AzimuthIn> {
        let typed = self.asked.section.trim();
        if !typed.is_empty() {
            let checked = azimuth_typed(typed).map(|deg| Bound::AZIMUTH.check(deg));
            let azimuth = match checked {
                Some(Ok(deg)) => Azimuth::from_deg(deg).ok(),
                Some(Err(error)) => {
                    self.lacks.push(Lack::new(error.to_string()));
                    return None;
                }
                None => None,
            };
            let Some(azimuth) = azimuth else {
                self.lacks.push(Lack::new(format!(
                    "section `{typed}` is no azimuth; type 000 to 360"
                )));
                return None;
            };
            self.used.push(Used {
                role: self.role(slot),
                name: "typed".to_owned(),
                value: three(azimuth.deg()),
                sure: "as chosen".to_owned(),
                leads: Leads::Typed,
            });
            return Some(AzimuthIn {
                name: "the section".to_owned(),
                azimuth,
                sd_deg: 0.0,
            });
        }
        let record = self.asked.at(slot).first().cloned();
        let Some(record) = record else {
            return self.lack_slot(slot);
        };
        if let Some((given, is_true)) = Sight::of(self.pages, &record).and_then(|s| s.azimuth()) {
            if !is_true {
                self.caution(format!("{} does not count from true north.", given.name));
            }
            self.used.push(Used {
                role: self.role(slot),
                name: given.name.clone(),
                value: three(given.azimuth.deg()),
                sure: format!("±{:.1}°", given.sd_deg),
                leads: Leads::Sighting(record),
            });
            return Some(given);
        }
        let line = self.line(slot)?;
        let across = line.spread[0].norm() / line.line.plunge().rad().cos().max(0.01);
        Some(AzimuthIn {
            name: line.name,
            azimuth: line.line.trend(),
            sd_deg: degrees(across),
        })
    }

    pub(super) fn station_name(&self, slot: usize) -> String {
        let record = self.asked.at(slot).first();
        let line = record
            .and_then(|r| self.pages.station(r))
            .map(StationPage::line);
        line.map_or_else(String::new, |line| format!("station {}", line.number()))
    }

    /// A number typed on the page; nothing typed is none, and what is no number is said.
    fn typed_m(&mut self, text: &str, what: &str) -> Option<Option<f64>> {
        if text.is_empty() {
            return Some(None);
        }
        match number(text).filter(|m| *m > 0.0 && *m <= 10_000.0) {
            Some(m) => Some(Some(m)),
            None => {
                self.lacks.push(Lack::new(format!(
                    "± of the {what} `{text}` is not between 0 and 10000 m; type metres, or take it off"
                )));
                None
            }
        }
    }

    fn place(&mut self, slot: usize) -> Option<PlaceIn> {
        let record = self.asked.at(slot).first()?.clone();
        let radius = self.typed_m(&self.asked.places_m, "places")?;
        let heights = self.typed_m(&self.asked.heights_m, "heights")?;
        let line = self.pages.station(&record).map(StationPage::line);
        let number = line.map(Entered::number);
        match place(self.pages, &record, radius, heights) {
            Ok(place) => {
                let known = self.used.iter().any(|u| u.name == place.name);
                if !known {
                    let sure = match (place.radius_m, place.height_sd_m) {
                        (Some(r), h) => format!(
                            "place ±{}, height ±{}",
                            metres(r),
                            metres(h.unwrap_or(HEIGHT_TIMES * r))
                        ),
                        (None, _) => "no ± given".to_owned(),
                    };
                    self.used.push(Used {
                        role: self.role(slot),
                        name: place.name.clone(),
                        value: format!(
                            "{:.5} {:.5}, {}",
                            place.latitude_deg,
                            place.longitude_deg,
                            metres(place.height_m)
                        ),
                        sure,
                        leads: number.map_or(Leads::Typed, Leads::Station),
                    });
                }
                Some(place)
            }
            Err(why) => {
                let name = self.station_name(slot);
                let words = match why {
                    NoPlace::Gone => {
                        format!("{}: that station is gone; choose another", self.role(slot))
                    }
                    NoPlace::Position => format!(
                        "{name} has no position; give it one, or sight it with distance and vertical angle"
                    ),
                    NoPlace::Height => format!(
                        "{name} has no height; give it one with its position, or sight it with distance and vertical angle"
                    ),
                };
                let lack = Lack {
                    words,
                    station: number,
                };
                if !self.lacks.contains(&lack) {
                    self.lacks.push(lack);
                }
                None
            }
        }
    }

    /// The way between the stations of two slots: by a sighting where there is one, else by their positions.
    pub(super) fn way(&mut self, from: usize, to: usize) -> Option<WayIn> {
        let (a, b) = (
            self.asked.at(from).first().cloned(),
            self.asked.at(to).first().cloned(),
        );
        let (Some(a), Some(b)) = (a, b) else {
            for slot in [from, to] {
                if self.asked.at(slot).is_empty() && !self.said_slot(slot) {
                    self.lack_slot::<()>(slot);
                }
            }
            return None;
        };
        if a == b {
            self.lacks.push(Lack::new(format!(
                "{} and {} are the same station; choose another",
                self.role(from),
                self.role(to)
            )));
            return None;
        }
        let sight = sighted(self.pages, &a, &b).filter(|_| !self.asked.by_positions);
        if let Some((record, sight, back)) = sight {
            let way = sight.way(back)?;
            if let WayIn::Sighted {
                bearing,
                vertical_deg,
                distance,
                distance_sd_m,
                bearing_sd_deg,
                vertical_sd_deg,
                ..
            } = &way
            {
                let (m, along) = match distance {
                    Distance::Slope(m) => (m, "along the slope"),
                    Distance::Level(m) => (m, "level"),
                };
                self.used.push(Used {
                    role: "way",
                    name: sight.name.clone(),
                    value: format!(
                        "{} toward {}, {:+.1}°, {along}",
                        metres(*m),
                        three(bearing.deg()),
                        vertical_deg
                    ),
                    sure: format!(
                        "±{}, ±{bearing_sd_deg:.1}°, ±{vertical_sd_deg:.1}°",
                        distance_sd_m.map_or("?".to_owned(), metres)
                    ),
                    leads: Leads::Sighting(record),
                });
            }
            return Some(way);
        }
        let (a, b) = (self.place(from), self.place(to));
        Some(WayIn::Places(a?, b?))
    }

    fn said_slot(&self, slot: usize) -> bool {
        let name = format!("{}: ", self.role(slot));
        self.lacks.iter().any(|lack| lack.words.starts_with(&name))
    }
}

/// A spread on the sphere in words: its two deviations, the larger first.
fn sphere_words(sds_rad: [f64; 2]) -> String {
    let [a, b] = sds_rad.map(degrees);
    if (a - b).abs() < 0.05 {
        format!("±{a:.1}°")
    } else {
        format!("±{:.1}° × {:.1}°", a.max(b), a.min(b))
    }
}
