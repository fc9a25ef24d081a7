//! Texts as they may stand in XML, and so in HTML and SVG.

/// A text as it may stand between tags or in an attribute: what is said there is read back, but for the characters that XML
/// 1.0 cannot hold at all, each of which is replaced by U+FFFD.
#[must_use]
pub fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            // A reader would take it for the end of a line (XML 1.0, section 2.11).
            '\r' => out.push_str("&#13;"),
            c if (c < ' ' && !matches!(c, '\t' | '\n')) || matches!(c, '\u{FFFE}' | '\u{FFFF}') => {
                out.push('\u{FFFD}');
            }
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_said_is_read_back() {
        let text = "a < b && c > \"d\" \r\n\t 🪨 ]]> é";
        let xml = format!("<t>{}</t>", escaped(text));
        let document = roxmltree::Document::parse(&xml).expect("well-formed");
        assert_eq!(document.root_element().text(), Some(text));
        assert_eq!(escaped("\0\u{1b}\u{ffff}"), "\u{fffd}\u{fffd}\u{fffd}");
    }
}
