//! The join lines: one's own book solid, each other one dotted with solid pieces where it has something new.

use std::collections::BTreeSet;

use super::pen::Pen;

/// Another book beside one's own.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct OtherBook {
    /// Who wrote it.
    pub name: String,
    /// The stations at which it has something new.
    pub new: BTreeSet<u32>,
    /// The stations at which both changed the same.
    pub both: BTreeSet<u32>,
}

/// At most so many other books are drawn; the words beside tell of all.
const MOST: usize = 6;
/// The room for the names, pixels.
const NAMES_PX: f64 = 62.0;
/// From one line to the next, pixels.
const STEP_PX: f64 = 48.0;

/// One's own book above, each other below it; arrows go up from what is new, a doubt sign stands where both changed.
///
/// # Units
/// Pixels; stations are counted from 1 to `last`.
///
/// # Degenerate input
/// No book of one's own yet: its line is dotted. No other book: the own line alone. Stations beyond `last` stand at its end. Of many books the first six are drawn.
pub fn join_lines(own: Option<&str>, others: &[OtherBook], last: u32, width_px: f64) -> String {
    let others = &others[..others.len().min(MOST)];
    let rows = others.iter().fold(0.0, |rows, _| rows + 1.0);
    let height = 24.0 + STEP_PX * rows;
    let mut pen = Pen::new("join-lines", [0.0, 0.0, width_px, height], 1.0);
    let (from, to) = (NAMES_PX, (width_px - 10.0).max(NAMES_PX + 1.0));
    let pitch = (to - from) / f64::from(last.max(2) - 1);
    let at = |station: u32| from + f64::from(station.clamp(1, last.max(1)) - 1) * pitch;
    let dashes = match own {
        Some(own) => {
            pen.text("tx-word fl-ink", 18.0, (0.0, 18.0), &short(own));
            ""
        }
        None => " stroke-dasharray=\"3 4\"",
    };
    pen.raw("<path class=\"ln-ink\" stroke-width=\"4\"")
        .raw(dashes)
        .put(" d=\"M~ 12H~\"/>", &[from, to]);
    let mut y = 12.0;
    for other in others {
        let above = y;
        y += STEP_PX;
        pen.text("tx-word fl-ink", 18.0, (0.0, y + 6.0), &short(&other.name));
        pen.put(
            "<path class=\"ln-rule\" stroke-width=\"2\" stroke-dasharray=\"2 4\" d=\"M~ ~H~\"/>",
            &[from, y, to],
        );
        let half = (pitch * 0.4).clamp(2.0, 5.0);
        // Stations closer than this share an arrow.
        let apart = 9.0;
        let (mut pieces, mut arrows, mut heads) = (Vec::new(), Vec::new(), f64::MIN);
        for &station in &other.new {
            let x = at(station);
            pieces.push((x - half, x + half));
            if x - heads >= apart {
                arrows.push(x);
                heads = x;
            }
        }
        for &station in &other.both {
            let x = at(station);
            pieces.push((x - half, x + half));
        }
        pen.raw("<path class=\"ln-ink\" stroke-width=\"5\" d=\"");
        for (a, b) in pieces {
            pen.put("M~ ~H~", &[a, y, b]);
        }
        pen.raw("\"/>");
        // Arrows of the second book and on go to the line above theirs, which stands for the book as it grows.
        pen.raw("<path class=\"ln-ink\" stroke-width=\"1.6\" d=\"");
        for &x in &arrows {
            pen.put("M~ ~V~", &[x, y - 4.0, above + 10.0]);
        }
        pen.raw("\"/><path class=\"fl-ink\" d=\"");
        for &x in &arrows {
            pen.put("M~ ~l4 8h-8z", &[x, above + 4.0]);
        }
        pen.raw("\"/>");
        let mut sign = f64::MIN;
        for &station in &other.both {
            let x = at(station);
            if x - sign < 28.0 {
                continue;
            }
            sign = x;
            let middle = f64::midpoint(above, y);
            pen.put(
                "<path class=\"ln-ink\" stroke-width=\"1.6\" d=\"M~ ~V~\"/><rect class=\"ln-edge fl-doubt\" stroke-width=\"2\" x=\"~\" y=\"~\" width=\"24\" height=\"24\"/>",
                &[x, above + 4.0, y, x - 12.0, middle - 12.0],
            );
            pen.text("tx-dial tx-mid fl-on-doubt", 18.0, (x, middle + 6.5), "?");
        }
    }
    pen.end()
}

/// Names have little room.
fn short(name: &str) -> String {
    name.chars().take(5).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn other(new: &[u32], both: &[u32]) -> OtherBook {
        OtherBook {
            name: "MT".to_owned(),
            new: new.iter().copied().collect(),
            both: both.iter().copied().collect(),
        }
    }

    #[test]
    fn an_arrow_for_what_is_new_and_a_sign_where_both_changed() {
        let svg = join_lines(Some("KO"), &[other(&[10, 20, 40], &[30])], 54, 620.0);
        roxmltree::Document::parse(&svg).unwrap();
        assert_eq!(svg.matches("l4 8h-8z").count(), 3);
        assert_eq!(svg.matches("fl-doubt").count(), 1);
        assert_eq!(svg.matches(">?<").count(), 1);
        assert!(svg.contains(">KO<") && svg.contains(">MT<"));
    }

    #[test]
    fn crowded_stations_share_an_arrow_and_many_books_are_cut() {
        let all: Vec<u32> = (1..=400).collect();
        let svg = join_lines(Some("KO"), &[other(&all, &all)], 400, 380.0);
        assert!(svg.matches("l4 8h-8z").count() <= 380 / 9);
        assert!(svg.matches("fl-doubt").count() <= 380 / 28);
        let svg = join_lines(Some("KO"), &vec![other(&[1], &[]); 20], 1, 380.0);
        assert_eq!(svg.matches(">MT<").count(), MOST);
        let alone = join_lines(None, &[], 0, 0.0);
        roxmltree::Document::parse(&alone).unwrap();
        assert!(alone.contains("stroke-dasharray=\"3 4\""));
        assert!(!alone.contains("NaN") && !alone.contains("inf"));
    }
}
