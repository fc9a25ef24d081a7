//! What a sighting comes to: its bearing counted from true north, its level distance and its rise.

use super::counts::CountsFrom;
use super::north;
use super::pages::{Line, Pages};
use super::record::{Position, SetUp, Sighting};
use crate::geodesy;
use crate::geodesy::sighting::{Distance, Measured, Reduced};
use crate::orientation::notation::{azimuth_typed, typed};
use crate::orientation::{Bearing, Dial};

/// A sighting in numbers; what was not read, or is no number, is left out with all that needs it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Sight {
    /// The bearing as read, degrees.
    pub read_deg: Option<f64>,
    /// The bearing as a person put it right, degrees.
    pub corrected_deg: Option<f64>,
    /// The bearing, corrected where it was, from true north, degrees; `None` where its north is not known.
    pub true_deg: Option<f64>,
    /// What the bearing counts from.
    pub counts_from: Option<CountsFrom>,
    /// The vertical angle, degrees, up positive.
    pub vertical_deg: Option<f64>,
    /// What was measured with its standard deviations, where there is a distance; its bearing is nil where none is true.
    pub measured: Option<Measured>,
}

impl Sight {
    /// Works a sighting of a book out, at the place of its station and with what its set-up says.
    ///
    /// # Degenerate input
    /// A station or a set-up that the book does not have says nothing; the usual spread of a set-up stands in.
    pub fn of(pages: &Pages, sighting: &Sighting) -> Self {
        let place = place(pages, sighting);
        let settled = settled(sighting);
        let bearing = north::bearing(&settled, place);
        let angle = sighting.vertical.as_deref().and_then(number);
        let read_deg = sighting.bearing.as_deref().and_then(azimuth_typed);
        let mut sight = Self {
            read_deg,
            corrected_deg: (settled.bearing != sighting.bearing)
                .then(|| settled.bearing.as_deref().and_then(azimuth_typed))
                .flatten(),
            true_deg: bearing
                .filter(|(_, counts_from)| counts_from.is_true())
                .map(|(bearing, _)| bearing.deg()),
            counts_from: bearing.map(|(_, counts_from)| counts_from),
            vertical_deg: angle.map(|angle| if sighting.up { angle } else { -angle }),
            measured: None,
        };
        let distance = |text: &Option<String>| {
            let metres = text.as_deref().and_then(number);
            metres.filter(|metres| *metres > 0.0)
        };
        let slope = distance(&sighting.slope_m).map(Distance::Slope);
        let level = distance(&sighting.level_m).map(Distance::Level);
        let bearing = Bearing::from_deg(sight.true_deg.unwrap_or_default());
        if let (Some(distance), Ok(bearing)) = (slope.or(level), bearing) {
            let usual = SetUp::default();
            let set_up = sighting.set_up.as_deref().and_then(|id| pages.set_up(id));
            let set_up = set_up.and_then(Line::set_up).unwrap_or(&usual);
            let rounding = set_up.resolution_deg() / 12_f64.sqrt();
            sight.measured = Some(Measured {
                bearing,
                bearing_sd_deg: set_up.needle_sd_deg().hypot(rounding),
                vertical_deg: sight.vertical_deg,
                vertical_sd_deg: set_up.inclination_sd_deg().hypot(rounding),
                distance,
                distance_sd_m: sighting.distance_sd_m.as_deref().and_then(number),
            });
        }
        sight
    }

    /// Level distance and rise with their standard deviations; `None` without a distance.
    ///
    /// # Errors
    /// As [`Measured::reduce`].
    pub fn reduced(&self) -> Option<Result<Reduced, geodesy::Error>> {
        self.measured.as_ref().map(Measured::reduce)
    }
}

fn number(text: &str) -> Option<f64> {
    typed(text).map(|number| number.deg)
}

/// Where a sighting was taken from.
fn place<'p>(pages: &'p Pages, sighting: &Sighting) -> Option<&'p Position> {
    let page = pages.station(&sighting.station)?;
    page.line().station()?.position.as_ref()
}

/// The sighting as what was accepted about it leaves it; the bearing itself stays as read.
fn settled(sighting: &Sighting) -> Sighting {
    let mut settled = sighting.clone();
    let sets = sighting.accepted.iter().flat_map(|a| &a.sets);
    if let Some((_, text)) = sets.rev().find(|(dial, _)| *dial == Dial::Bearing) {
        settled.bearing = Some(text.clone());
    }
    settled
}
