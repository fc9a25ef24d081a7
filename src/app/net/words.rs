//! The net in words: what it shows, of which readings, and what leads.

use super::told::Figure;
use crate::app::outcrop::kinds;
use crate::app::written;
use crate::exchange::net_figure::Planes;
use crate::notebook::Notation;
use crate::notebook::figures::Look;
use crate::notebook::structure::{Datum, Wanted};
use crate::orientation::{Hemisphere, Projection};

/// Which readings were chosen, in words; empty for all.
pub fn chosen(wanted: &Wanted, station: impl Fn(&str) -> String) -> String {
    let parts = [
        wanted.kind.as_deref().map(|k| kinds::words(k).to_owned()),
        wanted
            .station
            .as_deref()
            .map(|s| format!("station {}", station(s))),
        wanted.day.as_deref().map(written::day_words),
        wanted.by.as_deref().map(|by| format!("read by {by}")),
        wanted.unit.as_deref().map(|unit| format!("unit {unit}")),
    ];
    parts.into_iter().flatten().collect::<Vec<_>>().join(", ")
}

/// The projection and the hemisphere, as they stand on the plot.
pub fn projection(projection: Projection, hemisphere: Hemisphere) -> String {
    let first = match projection {
        Projection::EqualArea => "equal area",
        Projection::EqualAngle => "equal angle",
    };
    let second = match hemisphere {
        Hemisphere::Lower => "lower hemisphere",
        Hemisphere::Upper => "upper hemisphere",
    };
    format!("{first}, {second}")
}

/// The net in one sentence, for those who cannot see it.
pub fn sentence(
    shown: &str,
    planes: Planes,
    rows: &[(String, usize)],
    lead: Option<&Figure>,
) -> String {
    let mut words = format!("Net, {shown}");
    if rows.is_empty() {
        words.push_str(": nothing on it");
    }
    for (i, (row, count)) in rows.iter().enumerate() {
        words.push_str(if i == 0 { ": " } else { ", " });
        let row = match planes {
            Planes::Poles => row.clone(),
            Planes::Circles => row.replace(" pole", " great circle"),
        };
        words.push_str(&format!("{count} {row}"));
    }
    if let Some(lead) = lead {
        let value = lead.value.replace('→', " toward ");
        words.push_str(&format!("; {} {value}, {}", lead.name, lead.detail));
    }
    words.push('.');
    words
}

/// A reading's value in the book's notation: its plane, its line, or both.
pub fn value(datum: &Datum, notation: Notation) -> String {
    let plane = datum
        .plane
        .as_ref()
        .map(|p| written::plane(p, None, notation));
    let along = datum.line.as_ref().map(|l| written::line(l, notation));
    [plane, along]
        .into_iter()
        .flatten()
        .collect::<Vec<_>>()
        .join(", ")
}

/// The kind whose fit is drawn: the one that is wanted, else the surface with the most planes, else the kind with the most.
pub fn fitted_kind(data: &[Datum], chosen: &[usize], wanted: &Wanted) -> Option<String> {
    if let Some(kind) = &wanted.kind {
        return Some(kind.clone());
    }
    let mut kinds: Vec<(&str, bool, usize)> = Vec::new();
    for datum in chosen.iter().filter_map(|i| data.get(*i)) {
        match kinds.iter_mut().find(|(kind, ..)| *kind == datum.kind) {
            Some((.., count)) => *count += 1,
            None => {
                let planes = datum.plane.is_some();
                let surface = planes && Look::of(&datum.kind, planes) == Look::Surface;
                kinds.push((&datum.kind, surface, 1));
            }
        }
    }
    // Of equals the first in the book, so that the fit does not jump about.
    let best = kinds
        .iter()
        .rev()
        .max_by_key(|(_, surface, count)| (*surface, *count))?;
    Some(best.0.to_owned())
}

#[cfg(test)]
mod tests {
    use super::super::plot::tests::plane;
    use super::super::told::{further, lead};
    use super::*;
    use crate::notebook::figures::figures;

    #[test]
    fn of_nothing_nothing_is_told() {
        let figures = figures("bedding", &[]);
        assert_eq!(lead(&figures, Notation::StrikeDip), None);
        assert_eq!(further(&figures, Notation::StrikeDip), []);
        assert_eq!(fitted_kind(&[], &[], &Wanted::default()), None);
        assert_eq!(
            sentence("equal area, lower hemisphere", Planes::Poles, &[], None),
            "Net, equal area, lower hemisphere: nothing on it."
        );
    }

    #[test]
    fn the_fit_is_of_the_surface_unless_a_kind_is_wanted() {
        let mut data: Vec<Datum> = (0..9).map(|i| plane(f64::from(i), 30.0)).collect();
        for joint in data.iter_mut().skip(3) {
            joint.kind = "joint".to_owned();
        }
        let all: Vec<usize> = (0..data.len()).collect();
        assert_eq!(
            fitted_kind(&data, &all, &Wanted::default()).as_deref(),
            Some("bedding")
        );
        let wanted = Wanted {
            kind: Some("joint".to_owned()),
            ..Wanted::default()
        };
        assert_eq!(fitted_kind(&data, &all, &wanted).as_deref(), Some("joint"));
    }

    #[test]
    fn the_net_is_told_in_one_sentence() {
        let rows = [("bedding pole".to_owned(), 49), ("line".to_owned(), 14)];
        let lead = Figure::new(
            "fold axis, 51 poles",
            "13→224".to_owned(),
            "±1.2° × 2.3°, 95 in 100".to_owned(),
            "",
        );
        assert_eq!(
            sentence(
                "equal area, lower hemisphere",
                Planes::Poles,
                &rows,
                Some(&lead)
            ),
            "Net, equal area, lower hemisphere: 49 bedding pole, 14 line; fold axis, 51 poles 13 toward 224, ±1.2° × 2.3°, 95 in 100."
        );
    }

    #[test]
    fn what_was_chosen_is_said_and_nothing_for_all() {
        assert_eq!(chosen(&Wanted::default(), str::to_owned), "");
        let wanted = Wanted {
            kind: Some("bedding".to_owned()),
            station: Some("r".to_owned()),
            by: Some("QV".to_owned()),
            ..Wanted::default()
        };
        assert_eq!(
            chosen(&wanted, |_| "47".to_owned()),
            "bedding, station 47, read by QV"
        );
    }
}
