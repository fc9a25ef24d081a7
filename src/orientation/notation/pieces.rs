//! The pieces of a written reading: numbers, letters, arrows, and the bearings they make.

use super::number::{Typed, typed};
use crate::orientation::angle::{Bound, wrap_deg};

/// One meaningful piece of a text.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Item {
    Number(Typed),
    /// One of the sixteen winds, or letters on both sides of a dash: upper case.
    Letters(String),
    Arrow,
}

/// The pieces of a text; none when it holds anything that is no part of a reading.
pub(super) fn items(text: &str) -> Option<Vec<Item>> {
    // A comma is a decimal one only where taking it for a separator leaves more numbers than a reading has.
    let separated = split(text, false)?;
    let numbers = |items: &[Item]| {
        items
            .iter()
            .filter(|i| matches!(i, Item::Number(_)))
            .count()
    };
    if numbers(&separated) <= 2 {
        return Some(separated);
    }
    let decimal = split(text, true)?;
    (numbers(&decimal) <= 2).then_some(decimal)
}

fn split(text: &str, decimal_comma: bool) -> Option<Vec<Item>> {
    let mut items = Vec::new();
    let mut rest = text;
    // A dash is a minus sign only where a number may start: at the beginning, or after another separator.
    let mut sign_may_come = true;
    while let Some(c) = rest.chars().next() {
        let after = rest.get(c.len_utf8()..).unwrap_or("");
        let starts_number = |s: &str| s.starts_with(|c: char| c.is_ascii_digit() || c == '½');
        if c.is_ascii_digit() || c == '½' || (c == '-' && sign_may_come && starts_number(after)) {
            let end = number_end(rest, decimal_comma);
            items.push(Item::Number(typed(rest.get(..end)?)?));
            rest = rest.get(end..)?;
            sign_may_come = false;
        } else if c.is_ascii_alphabetic() {
            let end = rest
                .find(|c: char| !c.is_ascii_alphabetic())
                .unwrap_or(rest.len());
            items.push(Item::Letters(rest.get(..end)?.to_ascii_uppercase()));
            rest = rest.get(end..)?;
            sign_may_come = false;
        } else if c == '>' {
            items.push(Item::Arrow);
            rest = after;
            sign_may_come = true;
        } else if matches!(c, '/' | ',' | ';' | '-' | ' ' | '|' | '\\' | ':') {
            rest = after;
            sign_may_come = c != '-' && (sign_may_come || c != ' ');
        } else {
            return None;
        }
    }
    Some(items)
}

/// Where the number at the start of the text ends.
fn number_end(text: &str, decimal_comma: bool) -> usize {
    let mut end = 0;
    let mut point = false;
    let mut chars = text.char_indices().peekable();
    while let Some((at, c)) = chars.next() {
        let next_is_digit = chars.peek().is_some_and(|(_, n)| n.is_ascii_digit());
        let part = c.is_ascii_digit()
            || (at == 0 && c == '-')
            || (!point && next_is_digit && at > 0 && (c == '.' || (decimal_comma && c == ',')));
        if c == '½' {
            return at + c.len_utf8();
        }
        if !part {
            break;
        }
        point |= c == '.' || c == ',';
        end = at + c.len_utf8();
    }
    end
}

/// A bearing: a number, or letters that say one.
#[derive(Clone, Copy, Debug)]
pub(super) struct Bearing {
    pub(super) typed: Typed,
    pub(super) form: Form,
}

/// How a bearing was written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Form {
    /// `045`
    Number,
    /// `N45E`; by custom such a strike counts from the north end, whichever way the plane dips.
    Quadrant,
    /// `N-S`: a strike and nothing else.
    Axis,
}

fn quadrant(from: &str, number: Typed, to: &str) -> Option<Bearing> {
    let (base_deg, sign) = match (from, to) {
        ("N", "E") => (0.0, 1.0),
        ("N", "W") => (360.0, -1.0),
        ("S", "E") => (180.0, -1.0),
        ("S", "W") => (180.0, 1.0),
        _ => return None,
    };
    if !Bound::DIP.holds(number.deg) {
        return None;
    }
    let deg = ((base_deg + sign * number.deg) * 1e10).round() / 1e10;
    Some(Bearing {
        typed: Typed {
            deg: wrap_deg(deg),
            digits: 3,
        },
        form: Form::Quadrant,
    })
}

/// A bearing at the start of the items, and what is left.
pub(super) fn bearing(items: &[Item]) -> Option<(Bearing, &[Item])> {
    if let [Item::Letters(both), rest @ ..] = items
        && let Some(strike) = strike_axis(both)
    {
        return Some((strike, rest));
    }
    match items {
        [
            Item::Letters(from),
            Item::Number(n),
            Item::Letters(to),
            rest @ ..,
        ] => quadrant(from, *n, to).map(|b| (b, rest)),
        [Item::Letters(a), Item::Letters(b), rest @ ..] => {
            strike_axis(&format!("{a}{b}")).map(|b| (b, rest))
        }
        [Item::Number(n), rest @ ..] => Some((
            Bearing {
                typed: *n,
                form: Form::Number,
            },
            rest,
        )),
        _ => None,
    }
}

/// `N-S`, `E-W` and the same the other way round: a strike line, from the north or the east.
fn strike_axis(letters: &str) -> Option<Bearing> {
    let deg = match letters {
        "NS" | "SN" => 0.0,
        "EW" | "WE" => 90.0,
        _ => return None,
    };
    Some(Bearing {
        typed: Typed { deg, digits: 3 },
        form: Form::Axis,
    })
}
