//! Records of the book as values to reckon from: how well the set-up reads, how many shots there were, how they scatter.

use super::given::{AzimuthIn, LineIn, PlaceIn, PlaneIn, WayIn};
use crate::geodesy::sighting::Distance;
use crate::notebook::attitude;
use crate::notebook::figures::Look;
use crate::notebook::north::bearing;
use crate::notebook::pages::{Line as Entered, Pages, StationPage};
use crate::notebook::record::{SetUp, Sighting};
use crate::notebook::structure::{Datum, datum_of};
use crate::orientation::notation::typed;
use crate::orientation::{Dial, Noise};

/// A reading as a datum, with how much surer its mean is than one shot, and how well its set-up reads.
pub(super) struct Read {
    pub(super) datum: Datum,
    noise: Noise,
    plane_times: f64,
    line_times: f64,
}

impl Read {
    /// A reading that stands and comes to a plane or a line.
    pub(super) fn of(pages: &Pages, record: &str) -> Option<Self> {
        let line = pages.reading(record)?;
        let reading = line.reading()?;
        let datum = datum_of(pages, line.record())?;
        let set_up = reading.set_up.as_deref().and_then(|id| pages.set_up(id));
        let noise = set_up.and_then(Entered::set_up).map(SetUp::noise);
        let attitude = attitude::in_book(pages, reading);
        let times = |error: f64, expected: f64| {
            if expected > 0.0 {
                error / expected
            } else {
                1.0
            }
        };
        let plane = attitude.plane_mean.as_ref();
        let line = attitude.line_mean.as_ref();
        Some(Self {
            datum,
            noise: noise.unwrap_or_default(),
            plane_times: plane.map_or(1.0, |m| times(m.standard_error_deg, m.expected_deg)),
            line_times: line.map_or(1.0, |m| times(m.standard_error_deg, m.expected_deg)),
        })
    }

    pub(super) fn plane(&self) -> Option<PlaneIn> {
        let plane = self.datum.plane?;
        let sds = self.noise.pole_sds_deg(plane.dip());
        Some(PlaneIn::new(
            &self.datum.name,
            plane,
            sds.map(|sd| sd * self.plane_times),
            self.datum.tops,
        ))
    }

    pub(super) fn line(&self) -> Option<LineIn> {
        let line = self.datum.line?;
        let sds = self.noise.line_sds_deg(line.plunge());
        let directed = Look::of(&self.datum.kind, false) == Look::Directions;
        let sds = sds.map(|sd| sd * self.line_times);
        Some(LineIn::new(&self.datum.name, line, sds).pointing(directed))
    }
}

/// A sighting as it can be reckoned from.
pub(super) struct Sight<'p> {
    sighting: Sighting,
    page: &'p StationPage,
    /// What it is called.
    pub(super) name: String,
    set_up: SetUp,
}

impl<'p> Sight<'p> {
    /// A sighting that stands, as what was accepted about it leaves it.
    pub(super) fn of(pages: &'p Pages, record: &str) -> Option<Self> {
        let line = pages
            .sighting(record)
            .filter(|line| !line.is_struck_out())?;
        let mut sighting = line.sighting()?.clone();
        let page = pages.station(&sighting.station)?;
        let sets = sighting.accepted.iter().flat_map(|a| &a.sets);
        if let Some((_, text)) = sets.rev().find(|(dial, _)| *dial == Dial::Bearing) {
            sighting.bearing = Some(text.clone());
        }
        let set_up = sighting.set_up.as_deref().and_then(|id| pages.set_up(id));
        let set_up = set_up.and_then(Entered::set_up).cloned();
        Some(Self {
            name: format!("sighting {}·{}", page.line().number(), line.number()),
            sighting,
            page,
            set_up: set_up.unwrap_or_default(),
        })
    }

    fn rounding_deg(&self) -> f64 {
        self.set_up.resolution_deg() / 12_f64.sqrt()
    }

    /// Its bearing, and whether that counts from true north.
    pub(super) fn azimuth(&self) -> Option<(AzimuthIn, bool)> {
        let place = self.page.line().station()?.position.as_ref();
        let (azimuth, counts_from) = bearing(&self.sighting, place)?;
        let given = AzimuthIn {
            name: self.name.clone(),
            azimuth,
            sd_deg: self.set_up.needle_sd_deg().hypot(self.rounding_deg()),
        };
        Some((given, counts_from.is_true()))
    }

    /// The way it leads; `None` where bearing, vertical angle or distance was not read.
    pub(super) fn way(&self, back: bool) -> Option<WayIn> {
        let (azimuth, _) = self.azimuth().filter(|(_, is_true)| *is_true)?;
        let up = if self.sighting.up { 1.0 } else { -1.0 };
        let vertical_deg = up * typed(self.sighting.vertical.as_deref()?)?.deg;
        let slope = self.sighting.slope_m.as_deref().and_then(number);
        let level = self.sighting.level_m.as_deref().and_then(number);
        let distance = slope.map(Distance::Slope).or(level.map(Distance::Level))?;
        let inclination = self.set_up.inclination_sd.as_deref().and_then(number);
        let usual = self.set_up.instrument.spread().inclination_deg;
        Some(WayIn::Sighted {
            name: self.name.clone(),
            bearing: azimuth.azimuth,
            bearing_sd_deg: azimuth.sd_deg,
            vertical_deg,
            vertical_sd_deg: inclination.unwrap_or(usual).hypot(self.rounding_deg()),
            distance,
            distance_sd_m: self.sighting.distance_sd_m.as_deref().and_then(number),
            back,
        })
    }
}

/// A number from nil up, as typed; `None` where it is none.
pub(super) fn number(text: &str) -> Option<f64> {
    let value: f64 = text.trim().replace(',', ".").parse().ok()?;
    (value.is_finite() && value >= 0.0).then_some(value)
}

/// The sighting from one station to another, or back, that has bearing, vertical angle and distance.
pub(super) fn sighted<'p>(
    pages: &'p Pages,
    from: &str,
    to: &str,
) -> Option<(String, Sight<'p>, bool)> {
    for (a, b, back) in [(from, to, false), (to, from, true)] {
        let page = pages.station(a)?;
        let lines = page.sightings().iter().rev();
        for line in lines.filter(|l| l.sighting().is_some_and(|s| s.to.as_deref() == Some(b))) {
            let sight = Sight::of(pages, line.record().as_str());
            if let Some(sight) = sight.filter(|s| s.way(back).is_some()) {
                return Some((line.record().as_str().to_owned(), sight, back));
            }
        }
    }
    None
}

/// Why a station cannot be reckoned from.
pub(super) enum NoPlace {
    Gone,
    Position,
    Height,
}

/// A station as a place.
pub(super) fn place(
    pages: &Pages,
    record: &str,
    radius_m: Option<f64>,
    height_sd_m: Option<f64>,
) -> Result<PlaceIn, NoPlace> {
    let line = pages
        .station(record)
        .map(StationPage::line)
        .ok_or(NoPlace::Gone)?;
    let station = line.station().ok_or(NoPlace::Gone)?;
    let position = station.position.as_ref().ok_or(NoPlace::Position)?;
    Ok(PlaceIn {
        name: format!("station {}", line.number()),
        latitude_deg: position.latitude,
        longitude_deg: position.longitude,
        height_m: position.height_m.ok_or(NoPlace::Height)?,
        radius_m: radius_m.or(position.accuracy_m),
        height_sd_m,
    })
}
