//! Numbers as people type them: full-width digits, decimal comma, ½, a degree sign.

/// The same text with every look-alike brought to one form: plain digits and letters, `/`, `,`, `-`, `>` for an arrow.
///
/// Degree signs become spaces; nothing else is dropped.
pub(super) fn plain(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            // The full-width forms lie in the order of ASCII, 0xFEE0 above it.
            '\u{FF01}'..='\u{FF5E}' => {
                let low = char::from_u32(u32::from(c) - 0xFEE0).unwrap_or(' ');
                out.push(low);
            }
            '°' | 'º' | '˚' | '∘' | '⁰' => out.push(' '),
            '‐' | '‑' | '‒' | '–' | '—' | '−' | '﹣' => out.push('-'),
            '→' | '➔' | '➜' | '⇒' | '⟶' | '⟹' | '➝' | '➞' => out.push('>'),
            '⁄' | '∕' | '╱' | '⧸' => out.push('/'),
            '、' | '､' => out.push(','),
            '·' | '٫' => out.push('.'),
            '\u{3000}' | '\u{A0}' | '\u{2009}' | '\u{202F}' | '\t' => out.push(' '),
            // Arabic-Indic and extended Arabic-Indic digits.
            '\u{660}'..='\u{669}' => out.push(digit(c, 0x660)),
            '\u{6F0}'..='\u{6F9}' => out.push(digit(c, 0x6F0)),
            _ => out.push(c),
        }
    }
    out.replace("->", ">").replace("=>", ">")
}

fn digit(c: char, zero: u32) -> char {
    char::from_digit(u32::from(c).saturating_sub(zero), 10).unwrap_or('0')
}

/// A number of degrees, and how many digits stand before its point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Typed {
    pub(crate) deg: f64,
    pub(crate) digits: usize,
}

impl Typed {
    /// Whether nothing more can come in a dial of so many cells: its digits are there, or decimals, ½ or a degree sign say that
    /// the number has ended.
    pub(crate) fn is_whole(self, text: &str, cells: usize) -> bool {
        let ended = || {
            let text = text.trim_end();
            let decimals = text.split_once(['.', ',', '٫', '·', '．', '，']);
            text.ends_with(['½', '°', 'º', '˚', '∘', '⁰'])
                || decimals.is_some_and(|(_, decimals)| !decimals.is_empty())
        };
        self.digits >= cells || ended()
    }
}

/// The number that stands on a dial, with its decimals and its sign; `None` where it is none.
pub fn number_typed(text: &str) -> Option<f64> {
    typed(text).map(|number| number.deg)
}

/// The number in a dial; decimals behind a point, a comma or ½; a sign only in front.
///
/// # Degenerate input
/// Empty, or anything that is not one number: none.
pub(crate) fn typed(text: &str) -> Option<Typed> {
    let text = text.trim();
    // The keypad's own digits, at every key: nothing is allocated.
    if !text.is_empty() && text.len() <= 6 && text.bytes().all(|b| b.is_ascii_digit()) {
        let deg = text
            .bytes()
            .fold(0.0, |n, b| n * 10.0 + f64::from(b - b'0'));
        return Some(Typed {
            deg,
            digits: text.len(),
        });
    }
    let plain = plain(text);
    let body = plain.trim();
    let (negative, body) = match body.strip_prefix('-') {
        Some(rest) => (true, rest.trim_start()),
        None => (false, body.strip_prefix('+').unwrap_or(body)),
    };
    let (body, half) = match body.strip_suffix('½') {
        Some(rest) => (rest.trim_end(), 0.5),
        None => (body, 0.0),
    };
    if body.is_empty() && half > 0.0 {
        return Some(Typed {
            deg: if negative { -half } else { half },
            digits: 1,
        });
    }
    let (whole, decimals) = match body.split_once(['.', ',']) {
        Some((whole, decimals)) if half == 0.0 => (whole, decimals),
        Some(_) => return None,
        None => (body, ""),
    };
    let all_digits = |s: &str| s.bytes().all(|b| b.is_ascii_digit());
    if whole.is_empty()
        || whole.len() > 9
        || decimals.len() > 12
        || !all_digits(whole)
        || !all_digits(decimals)
    {
        return None;
    }
    let magnitude = format!("{whole}.{decimals}0").parse::<f64>().ok()? + half;
    Some(Typed {
        deg: if negative { -magnitude } else { magnitude },
        digits: whole.len(),
    })
}
