//! The grammar of lines (kept, draft, doubt, nothing yet) and the doubt sign.

use super::pen::Pen;

/// What the line under a number says of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LineState {
    /// Solid: the strict commit has completed.
    Kept,
    /// Dashed: typed, or only on this tablet.
    Draft,
    /// Broken by a question mark: it contradicts another number.
    Doubt,
    /// Dotted: nothing there yet.
    Empty,
}

impl LineState {
    /// The dashes of a line in this state, as attributes of its element.
    pub(super) fn dashes(self) -> &'static str {
        match self {
            LineState::Kept | LineState::Doubt => "",
            LineState::Draft => " stroke-dasharray=\"12 7\"",
            LineState::Empty => " stroke-dasharray=\"3 4\"",
        }
    }
}

/// The square doubt sign with a question mark or a count in it, 36 px, or 28 px where it is `small`.
pub fn doubt_sign(text: &str, small: bool) -> String {
    let size = if small { 28.0 } else { 36.0 };
    let mut pen = Pen::new("doubt-sign", [0.0, 0.0, size, size], 1.0);
    pen.put("<rect class=\"ln-edge fl-doubt\" stroke-width=\"2\" x=\"1\" y=\"1\" width=\"~\" height=\"~\"/>", &[size - 2.0; 2]);
    let letter = if text.chars().count() > 1 {
        size * 0.5
    } else {
        size * 0.67
    };
    pen.text(
        "tx-dial tx-mid fl-on-doubt",
        letter,
        (size / 2.0, size / 2.0 + letter * 0.36),
        text,
    );
    pen.end()
}

/// A sample of a state's line, 36 × 4 px, for the beginning of the sentence.
pub fn state_sample(state: LineState) -> String {
    let mut pen = Pen::new("state-sample", [0.0, 0.0, 36.0, 4.0], 1.0);
    let course = if state == LineState::Doubt {
        "M0 2H10M26 2H36"
    } else {
        "M0 2H36"
    };
    pen.raw("<path class=\"ln-ink\" stroke-width=\"4\"")
        .raw(state.dashes())
        .raw(" d=\"")
        .raw(course)
        .raw("\"/>");
    if state == LineState::Doubt {
        pen.text("tx-dial tx-mid fl-ink", 16.0, (18.0, 8.0), "?");
    }
    pen.end()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_four_states_are_four_lines_and_only_a_doubt_asks() {
        let states = [
            LineState::Kept,
            LineState::Draft,
            LineState::Doubt,
            LineState::Empty,
        ];
        for (nth, state) in states.iter().enumerate() {
            for other in &states[..nth] {
                assert_ne!(state_sample(*state), state_sample(*other));
            }
            assert_eq!(
                state_sample(*state).contains('?'),
                *state == LineState::Doubt
            );
        }
    }
}
