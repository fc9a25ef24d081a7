//! A rose as a drawing, and its legend in words.

use super::linework::rim;
use super::plot::{Frame, SMALL_PX};
use super::told::Figure;
use crate::app::drawing::pen::Pen;
use crate::app::outcrop::kinds;
use crate::exchange::rose_figure::{PETALS, counted, mean_line, outline, petals};
use crate::notebook::figures::Figures;
use crate::orientation::statistics::circular::Ends;

/// The rose of a kind's strikes or trends, on a square ground of so many pixels a side.
///
/// # Degenerate input
/// No azimuths: the rim alone.
pub fn rose(figures: &Figures, side_px: f64) -> String {
    let mut pen = Pen::new("net-under", [0.0, 0.0, side_px, side_px], 1.0);
    let frame = Frame::of(side_px);
    for petal in petals(figures).iter().filter(|p| p.count > 0) {
        pen.raw("<path class=\"petal\" d=\"");
        for (i, point) in outline(petal).iter().enumerate() {
            let (x, y) = frame.at(*point);
            pen.put(if i == 0 { "M~ ~" } else { "L~ ~" }, &[x, y]);
        }
        pen.raw("z\"/>");
    }
    rim(&mut pen, &frame, side_px < SMALL_PX);
    if let Some(circular) = &figures.circular {
        pen.raw("<path class=\"ln-ink\" stroke-width=\"4\" d=\"");
        for (from, to) in mean_line(circular.mean_deg, figures.ends) {
            let ((x, y), (tx, ty)) = (frame.at(from), frame.at(to));
            pen.put("M~ ~L~ ~", &[x, y, tx, ty]);
        }
        pen.raw("\"/>");
    }
    pen.end()
}

/// What the rose shows, under it: `strikes of bedding, axial, petals of 10°, areas as counts`.
pub fn shown(figures: &Figures) -> String {
    let ends = match figures.ends {
        Ends::One => "directed",
        Ends::Two => "axial",
    };
    format!(
        "{} of {}, {ends}; petals of {}°, areas as their counts",
        counted(figures),
        kinds::words(&figures.kind),
        360 / PETALS
    )
}

/// The rose in one sentence, for those who cannot see it.
pub fn sentence(figures: &Figures, told: &[Figure]) -> String {
    let mut words = format!("Rose, {}", shown(figures));
    for figure in told {
        words.push_str(&format!(
            "; {} {}, {}",
            figure.name, figure.value, figure.detail
        ));
    }
    words.push('.');
    words
}

/// The rows beside the rose: how many, and the longest petals with their counts.
pub fn rows(figures: &Figures) -> Vec<(String, usize)> {
    let mut found = petals(figures);
    // Of an axis the opposite petal is the same.
    if figures.ends == Ends::Two {
        found.truncate(PETALS / 2);
    }
    found.retain(|p| p.count > 0);
    found.sort_by_key(|p| std::cmp::Reverse(p.count));
    let mut rows = vec![(counted(figures).to_owned(), figures.azimuths_deg.len())];
    rows.extend(
        found
            .iter()
            .take(3)
            .map(|p| (format!("{:03.0} to {:03.0}", p.from_deg, p.to_deg), p.count)),
    );
    rows
}

#[cfg(test)]
mod tests {
    use super::super::plot::tests::plane;
    use super::*;
    use crate::notebook::Datum;
    use crate::notebook::figures::figures;

    #[test]
    fn a_rose_has_two_petals_for_each_axis_and_says_what_it_counts() {
        let data: Vec<Datum> = [41.0, 43.0, 45.0, 48.0, 49.0, 131.0]
            .iter()
            .map(|s| plane(*s, 60.0))
            .collect();
        let all: Vec<&Datum> = data.iter().collect();
        let figures = figures("bedding", &all);
        let svg = rose(&figures, 424.0);
        let document = roxmltree::Document::parse(&svg).unwrap();
        let petals = document
            .descendants()
            .filter(|n| n.attribute("class") == Some("petal"));
        assert_eq!(petals.count(), 4);
        assert_eq!(
            shown(&figures),
            "strikes of bedding, axial; petals of 10°, areas as their counts"
        );
        assert_eq!(
            rows(&figures),
            [
                ("strikes".to_owned(), 6),
                ("040 to 050".to_owned(), 5),
                ("130 to 140".to_owned(), 1)
            ]
        );
        let none = figures_of_nothing();
        assert!(!rose(&none, 200.0).contains("petal") && rows(&none)[0].1 == 0);
    }

    fn figures_of_nothing() -> Figures {
        figures("bedding", &[])
    }
}
