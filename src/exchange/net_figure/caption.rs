//! The caption of a net: projection, hemisphere, counts, contours, fits, slip, north, book and day.

use super::{MOST_ARROWS, MOST_CIRCLES, NetFigure, Planes, every};
use crate::notebook::figures::{Figures, Look};
use crate::orientation::density::{Density, Levels};
use crate::orientation::statistics::Ellipse;
use crate::orientation::{
    Hemisphere, Line, Plane, Projection, whole_line, whole_plane, write_line, write_plane,
};

impl NetFigure<'_> {
    /// The caption, sentence by sentence.
    #[must_use]
    pub fn caption(&self) -> Vec<String> {
        let projection = match self.projection {
            Projection::EqualArea => "Equal-area",
            Projection::EqualAngle => "Equal-angle",
        };
        let hemisphere = match self.hemisphere {
            Hemisphere::Lower => "lower",
            Hemisphere::Upper => "upper",
        };
        let planes = self.data.iter().filter(|d| d.plane.is_some()).count();
        let lines = self.data.iter().filter(|d| d.line.is_some()).count();
        let mut all = vec![format!(
            "{projection} projection, {hemisphere} hemisphere; {planes} planes {}, {lines} lines.",
            match self.planes {
                Planes::Poles => "as poles",
                Planes::Circles => "as great circles",
            }
        )];
        if !self.chosen.is_empty() {
            all.push(format!("Chosen: {}.", self.chosen));
        }
        if self.planes == Planes::Circles && planes > MOST_CIRCLES {
            all.push(format!(
                "Of {planes} great circles every {} is drawn; contours and fits are of all.",
                nth(every(planes, MOST_CIRCLES))
            ));
        }
        if let Some((density, levels)) = self.density {
            let also = |of: fn(&Density, f64) -> f64| {
                Levels::STEPS
                    .map(|step| format!("{:.1}", of(density, step)))
                    .join(", ")
            };
            let also = match levels {
                Levels::Even => {
                    format!("{} standard deviations", also(Density::sigmas_of_multiple))
                }
                Levels::Deviations => format!("{} × even", also(Density::multiple_of_sigmas)),
            };
            all.push(format!(
                "Contours at {} ({also}), exponential kernel k = {:.0}, n = {}.",
                levels.words(),
                density.k,
                density.count
            ));
        }
        if let Some(figures) = self.figures {
            all.extend(self.fit_words(figures));
            all.extend(self.limb_words(figures));
            all.extend(self.stress_words(figures));
        }
        let slips = self.data.iter().filter(|d| d.slip.is_some()).count();
        if slips > 0 {
            let manner = match self.planes {
                Planes::Poles => "arrows through the poles",
                Planes::Circles => {
                    "arrows at the lines, outwards for normal, half arrows for strike slip"
                }
            };
            let drawn = if slips > MOST_ARROWS {
                format!("; every {} is drawn", nth(every(slips, MOST_ARROWS)))
            } else {
                String::new()
            };
            all.push(format!(
                "Slip of the hanging wall of {slips} {}: {manner}{drawn}.",
                if slips == 1 { "fault" } else { "faults" }
            ));
        }
        if let Some(shots) = self.shots {
            let drawn = match (self.planes, shots.poles.is_empty()) {
                (Planes::Circles, false) => "Thin dashed circles",
                _ => "Small rings",
            };
            all.push(format!(
                "{drawn}: the {} shots of reading {}, around their mean.",
                shots.count(),
                shots.name
            ));
        }
        let not_true = self.data.iter().filter(|d| !d.is_true).count();
        all.push(if not_true == 0 {
            "Azimuths count from true north.".to_owned()
        } else {
            format!("{not_true} readings do not count from true north.")
        });
        let book = if self.book.is_empty() {
            "book without a name"
        } else {
            &self.book
        };
        all.push(format!("{book}, {}.", self.date));
        all
    }

    fn line(&self, line: &Line) -> String {
        write_line(&whole_line(line), self.style)
    }

    fn plane(&self, plane: &Plane) -> String {
        write_plane(&whole_plane(plane), self.style)
    }

    fn fit_words(&self, figures: &Figures) -> Option<String> {
        let kind = &figures.kind;
        if let Some(cone) = figures.better_cone() {
            return Some(format!(
                "Fitted cone of {} {kind} poles: axis {}{}, half angle {:.0}°{}.",
                cone.count,
                self.line(&cone.axis),
                within(cone.ellipse.as_ref()),
                cone.half_angle_deg,
                cone.half_angle_95_deg
                    .map_or_else(String::new, |(low, high)| format!(
                        " ({low:.0} to {high:.0}°)"
                    ))
            ));
        }
        if let Some(cylinder) = &figures.cylinder {
            return Some(format!(
                "Fitted girdle of {} {kind} poles: axis {}{}.",
                cylinder.count,
                self.line(&cylinder.axis),
                within(cylinder.ellipse.as_ref())
            ));
        }
        if figures.look == Look::Directions {
            let fisher = figures.fisher.as_ref()?;
            let cone = fisher
                .cone_95_deg
                .map_or_else(String::new, |c| format!(", 95 % within {c:.1}°"));
            return Some(format!(
                "Mean direction of {} {kind}: {}, concentration {:.0}{cone} (Fisher).",
                fisher.count,
                self.line(&fisher.mean),
                fisher.concentration
            ));
        }
        if let Some(best) = figures.sets.as_ref().and_then(|s| s.tried.get(s.best)) {
            let sets: Vec<String> = best
                .sets
                .iter()
                .map(|set| {
                    format!(
                        "{} (n = {}{})",
                        self.plane(&set.mean),
                        set.count,
                        within(set.ellipse.as_ref())
                    )
                })
                .collect();
            return Some(format!("Sets of {kind}: {}.", sets.join("; ")));
        }
        let mean = figures.mean.as_ref()?;
        Some(format!(
            "Mean axis of {} {kind}: {}{}.",
            mean.count,
            self.line(&mean.axis),
            within(Some(mean))
        ))
    }

    fn limb_words(&self, figures: &Figures) -> Option<String> {
        let folded = figures.fold.as_ref().filter(|_| self.limbs)?;
        let [one, other] = folded
            .limbs
            .each_ref()
            .map(|limb| format!("{} (n = {})", self.plane(&limb.plane), limb.count));
        let known = folded.within.as_ref();
        Some(format!(
            "Limbs {}: 1 {one}, 2 {other}; interlimb angle {:.0}°{}, axial plane {}{}.",
            if folded.by_hand {
                "chosen by hand"
            } else {
                "found by clustering"
            },
            folded.fold.interlimb_deg,
            known
                .and_then(|w| w.interlimb_deg)
                .map_or_else(String::new, |h| format!(" ± {h:.0}°")),
            self.plane(&folded.fold.axial_plane),
            within(known.and_then(|w| w.axial_plane.as_ref()))
        ))
    }

    fn stress_words(&self, figures: &Figures) -> Option<String> {
        let stress = figures.faulted.as_ref()?.stress.as_ref()?;
        let p = &stress.principal;
        let cones = stress.cones_95_deg.map_or_else(String::new, |[a, b, c]| {
            format!(", 95 % of resamples within {a:.0}, {b:.0}, {c:.0}°")
        });
        Some(format!(
            "Stress from {} faults (a model): 1 {}, 2 {}, 3 {}{cones}; ratio {:.2}, mean misfit {:.0}°.",
            stress.count,
            self.line(&p.sigma1),
            self.line(&p.sigma2),
            self.line(&p.sigma3),
            p.ratio,
            stress.mean_misfit_deg
        ))
    }
}

fn within(ellipse: Option<&Ellipse>) -> String {
    ellipse.map_or_else(String::new, |e| {
        format!(", 95 % within {:.1}° × {:.1}°", e.semi_deg.0, e.semi_deg.1)
    })
}

/// `2nd`, `3rd`, `7th`.
fn nth(number: usize) -> String {
    let ending = match (number % 10, number % 100) {
        (_, 11..=13) => "th",
        (1, _) => "st",
        (2, _) => "nd",
        (3, _) => "rd",
        _ => "th",
    };
    format!("{number}{ending}")
}

#[cfg(test)]
mod tests {
    use super::nth;

    #[test]
    fn ordinals_end_as_they_are_said() {
        let said: Vec<String> = [1, 2, 3, 4, 11, 12, 13, 22, 101].map(nth).to_vec();
        assert_eq!(said.join(" "), "1st 2nd 3rd 4th 11th 12th 13th 22nd 101st");
    }
}
