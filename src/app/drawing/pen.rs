//! The one SVG writer: templates with `~` where a number goes, rounded to hundredths.

use crate::orientation::angle::radians;

/// One SVG element in the making.
pub(in crate::app) struct Pen(String);

impl Pen {
    /// Opens an element of the given class with a view box of `x y width height`, shown at that size times `zoom`; a
    /// size under zero is zero.
    pub(in crate::app) fn new(class: &str, [x, y, width, height]: [f64; 4], zoom: f64) -> Pen {
        let (width, height) = (width.max(0.0), height.max(0.0));
        let mut pen = Pen(String::with_capacity(1024));
        pen.raw("<svg class=\"dw ").raw(class);
        pen.put("\" viewBox=\"~ ~ ~ ~\" ", &[x, y, width, height]);
        pen.put("width=\"~\" height=\"~\" ", &[width * zoom, height * zoom]);
        pen.raw("aria-hidden=\"true\" focusable=\"false\">");
        pen
    }

    /// Adds text as it is.
    pub(in crate::app) fn raw(&mut self, text: &str) -> &mut Pen {
        self.0.push_str(text);
        self
    }

    /// Adds a template, each `~` of it replaced by the next number.
    pub(in crate::app) fn put(&mut self, template: &str, numbers: &[f64]) -> &mut Pen {
        let mut numbers = numbers.iter();
        for piece in template.split_inclusive('~') {
            match piece.strip_suffix('~') {
                Some(before) => {
                    self.0.push_str(before);
                    if let Some(&number) = numbers.next() {
                        push_hundredths(&mut self.0, number);
                    }
                }
                None => self.0.push_str(piece),
            }
        }
        self
    }

    /// Adds text for people, with what XML reserves written as entities.
    pub(in crate::app) fn words(&mut self, text: &str) -> &mut Pen {
        for letter in text.chars() {
            match letter {
                '<' => self.0.push_str("&lt;"),
                '>' => self.0.push_str("&gt;"),
                '&' => self.0.push_str("&amp;"),
                '"' => self.0.push_str("&quot;"),
                // XML 1.0 (fifth edition, section 2.2) allows no other control characters.
                letter if letter < ' ' && !matches!(letter, '\t' | '\n' | '\r') => {
                    self.0.push('\u{fffd}')
                }
                '\u{fffe}' | '\u{ffff}' => self.0.push('\u{fffd}'),
                letter => self.0.push(letter),
            }
        }
        self
    }

    /// Adds a text element at a place, in a class and size.
    pub(in crate::app) fn text(
        &mut self,
        class: &str,
        size: f64,
        (x, y): (f64, f64),
        words: &str,
    ) -> &mut Pen {
        self.raw("<text class=\"").raw(class);
        self.put("\" font-size=\"~\" x=\"~\" y=\"~\">", &[size, x, y]);
        self.words(words).raw("</text>")
    }

    /// Adds a whole number, with leading zeros up to `digits`.
    pub(in crate::app) fn whole(number: f64, digits: usize) -> String {
        let mut figures = String::new();
        push_hundredths(&mut figures, number.round());
        while figures.len() < digits {
            figures.insert(0, '0');
        }
        figures
    }

    /// Closes the element.
    pub(in crate::app) fn end(mut self) -> String {
        self.0.push_str("</svg>");
        self.0
    }
}

/// The sine and cosine of an angle in degrees.
pub(in crate::app) fn sin_cos(angle_deg: f64) -> (f64, f64) {
    radians(angle_deg).sin_cos()
}

/// Writes a number rounded to hundredths without trailing zeros; beyond ten million it stops there, and what is not a
/// number is zero.
fn push_hundredths(out: &mut String, number: f64) {
    #[expect(
        clippy::cast_possible_truncation,
        reason = "clamped on the line itself; not a number casts to zero"
    )]
    let hundredths = (number * 100.0).round().clamp(-1e9, 1e9) as i64;
    if hundredths < 0 {
        out.push('-');
    }
    let size = hundredths.unsigned_abs();
    push_whole(out, size / 100);
    let rest = size % 100;
    if rest > 0 {
        out.push('.');
        push_whole(out, rest / 10);
        let last = rest % 10;
        if last > 0 {
            push_whole(out, last);
        }
    }
}

fn push_whole(out: &mut String, number: u64) {
    if number > 9 {
        push_whole(out, number / 10);
    }
    out.push(char::from(b"0123456789"[(number % 10) as usize]));
}

/// The numbers that a drawing's elements have under a name, in their order.
#[cfg(test)]
pub(super) fn numbers(svg: &str, tag: &str, name: &str) -> Vec<f64> {
    let document = roxmltree::Document::parse(svg).expect("well-formed");
    document
        .descendants()
        .filter(|node| node.has_tag_name(tag))
        .filter_map(|node| node.attribute(name)?.parse().ok())
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_rounded_to_hundredths_and_always_numbers() {
        let check = |number: f64, expected: &str| {
            let mut out = String::new();
            push_hundredths(&mut out, number);
            assert_eq!(out, expected, "{number}");
        };
        check(0.0, "0");
        check(-0.001, "0");
        check(-0.5, "-0.5");
        check(12.345, "12.35");
        check(-12.05, "-12.05");
        check(100.0, "100");
        check(0.999, "1");
        check(f64::NAN, "0");
        check(f64::INFINITY, "10000000");
        check(f64::NEG_INFINITY, "-10000000");
    }

    #[test]
    fn a_template_takes_its_numbers_in_order_and_words_are_escaped() {
        let mut pen = Pen::new("x", [0.0, 0.0, 1.0, 2.0], 2.0);
        pen.put("<path d=\"M~ ~\"/>", &[1.5, -2.25]).text(
            "t",
            13.0,
            (0.0, 0.0),
            "a<b & \"c\"\u{1}",
        );
        assert_eq!(
            pen.end(),
            "<svg class=\"dw x\" viewBox=\"0 0 1 2\" width=\"2\" height=\"4\" aria-hidden=\"true\" focusable=\"false\">\
             <path d=\"M1.5 -2.25\"/><text class=\"t\" font-size=\"13\" x=\"0\" y=\"0\">a&lt;b &amp; &quot;c&quot;\u{fffd}</text></svg>"
        );
    }
}
