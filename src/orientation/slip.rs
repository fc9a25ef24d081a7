//! Numbers beyond the range of their dial: which, the limit, and the slip that likely made them.

use super::angle::{Bound, padded, wrap_deg};
use super::dials::Dials;
use super::doubt::{Choice, Dial, Doubt, DoubtKind, Severity};
use super::notation::azimuth_typed;
use super::pair::opposite_side;

/// The bound of a dial and the word for it.
fn bound(dial: Dial) -> Option<(&'static Bound, &'static str)> {
    match dial {
        Dial::Strike => Some((&Bound::AZIMUTH, "strike")),
        Dial::Toward => Some((&Bound::AZIMUTH, "dip direction")),
        Dial::Trend => Some((&Bound::AZIMUTH, "trend")),
        Dial::Bearing => Some((&Bound::AZIMUTH, "bearing")),
        Dial::Dip => Some((&Bound::DIP, "dip")),
        Dial::Plunge => Some((&Bound::PLUNGE, "plunge")),
        Dial::Vertical => Some((&Bound::PLUNGE, "vertical angle")),
        Dial::Rake => Some((&Bound::RAKE, "rake")),
        Dial::Angle => Some((&Bound::ANGLE, "angle")),
        Dial::Side => None,
    }
}

fn choice(words: String, sets: Vec<(Dial, String)>) -> Choice {
    Choice { words, sets }
}

/// The doubt about a number that its dial cannot show, with the other dials to judge the slip by; none when it can.
///
/// # Degenerate input
/// A side has no range: none.
#[must_use]
pub fn beyond(dial: Dial, value_deg: f64, dials: &Dials<'_>) -> Option<Doubt> {
    let (bound, name) = bound(dial)?;
    if bound.holds(value_deg) {
        return None;
    }
    let over = value_deg > bound.hi_deg;
    let mut choices = Vec::with_capacity(3);
    let hint = match dial {
        Dial::Strike | Dial::Toward | Dial::Trend | Dial::Bearing => {
            azimuth_choices(dial, value_deg, dials, &mut choices)
        }
        Dial::Dip => dip_choices(value_deg, dials, &mut choices),
        Dial::Plunge => plunge_choices(value_deg, dials, &mut choices),
        Dial::Rake => rake_choices(value_deg, &mut choices),
        Dial::Angle => {
            let smaller = if over { 360.0 - value_deg } else { -value_deg };
            if bound.holds(smaller) {
                let smaller = padded(smaller, 3);
                choices.push(choice(
                    format!("{smaller}, the smaller angle"),
                    vec![(Dial::Angle, smaller)],
                ));
            }
            "perhaps it was read at the other edge".to_owned()
        }
        Dial::Vertical => "up or down, it ends at 90".to_owned(),
        Dial::Side => return None,
    };
    let as_typed = padded(value_deg, 2);
    choices.push(choice(format!("keep {as_typed}"), Vec::new()));
    let (side, limit) = if over {
        ("over", bound.hi_deg)
    } else {
        ("below", bound.lo_deg)
    };
    Some(Doubt {
        kind: DoubtKind::OutOfRange,
        severity: Severity::Doubt,
        dial: Some(dial),
        message: format!("{name} `{as_typed}` is {side} {limit}; {hint}"),
        choices,
    })
}

/// Three digits over 360: the first 0 was left out, and the last digit belongs to the next dial.
fn azimuth_choices(
    dial: Dial,
    value_deg: f64,
    dials: &Dials<'_>,
    choices: &mut Vec<Choice>,
) -> String {
    if value_deg < 0.0 {
        let wrapped = padded(wrap_deg(value_deg), 3);
        choices.push(choice(
            format!("{wrapped}, counted clockwise"),
            vec![(dial, wrapped)],
        ));
        return "count it clockwise from north".to_owned();
    }
    let whole = value_deg.trunc();
    if whole > 999.0 || whole != value_deg {
        return "an azimuth ends at 360, which is north again".to_owned();
    }
    let (lead, spilled) = ((whole / 10.0).floor(), whole % 10.0);
    let lead_text = padded(lead, 3);
    let (next, next_name, next_text) = match dial {
        Dial::Strike => (Some(Dial::Dip), "dip", dials.dip),
        Dial::Trend => (Some(Dial::Plunge), "plunge", dials.plunge),
        _ => (None, "", None),
    };
    let next_text = next_text.map_or("", str::trim);
    match next {
        // The digit that spilled over goes before those that came after it, where there is room.
        Some(next) if next_text.len() < 2 => {
            let moved = format!("{spilled}{next_text}");
            choices.push(choice(
                format!("{lead_text}, then {next_name} {moved}"),
                vec![(dial, lead_text), (next, moved)],
            ));
        }
        Some(_) => choices.push(choice(
            format!("{lead_text}, {next_name} {next_text} as it stands"),
            vec![(dial, lead_text)],
        )),
        None => choices.push(choice(lead_text.clone(), vec![(dial, lead_text)])),
    }
    "perhaps the first 0 was left out".to_owned()
}

/// The sets that turn a plane to its other side, by whichever dial says the side.
fn turn_side(dials: &Dials<'_>) -> Vec<(Dial, String)> {
    let opposite = |text: &str| {
        azimuth_typed(text).map_or_else(|| text.to_owned(), |deg| padded(wrap_deg(deg + 180.0), 3))
    };
    if let Some(side) = dials.side.filter(|s| !s.trim().is_empty()) {
        vec![(Dial::Side, opposite_side(side))]
    } else if let Some(toward) = dials.toward.filter(|s| !s.trim().is_empty()) {
        vec![(Dial::Toward, opposite(toward))]
    } else if let (true, Some(strike)) = (dials.right_hand, dials.strike) {
        vec![(Dial::Strike, opposite(strike))]
    } else {
        Vec::new()
    }
}

fn dip_choices(value_deg: f64, dials: &Dials<'_>, choices: &mut Vec<Choice>) -> String {
    let strike_deg = dials.strike.and_then(azimuth_typed);
    if value_deg < 0.0 {
        let mut sets = vec![(Dial::Dip, padded(-value_deg, 2))];
        sets.extend(turn_side(dials));
        if Bound::DIP.holds(-value_deg) {
            choices.push(choice(
                format!("{}, dips the other way", padded(-value_deg, 2)),
                sets,
            ));
        }
        return "a dip is counted downwards and the side says where".to_owned();
    }
    let as_azimuth = padded(value_deg, 3);
    if value_deg < 100.0 {
        let past = padded(180.0 - value_deg, 2);
        let mut sets = vec![(Dial::Dip, past.clone())];
        sets.extend(turn_side(dials));
        choices.push(choice(format!("{past}, dips the other way"), sets));
    } else if let Some(strike) = strike_deg.filter(|s| Bound::DIP.holds(*s))
        && Bound::AZIMUTH.holds(value_deg)
    {
        let dip = padded(strike, 2);
        choices.push(choice(
            format!("dip {dip} towards {as_azimuth}"),
            vec![
                (Dial::Strike, String::new()),
                (Dial::Dip, dip),
                (Dial::Toward, as_azimuth.clone()),
            ],
        ));
    } else if value_deg < 180.0 {
        let past = padded(180.0 - value_deg, 2);
        let mut sets = vec![(Dial::Dip, past.clone())];
        sets.extend(turn_side(dials));
        choices.push(choice(format!("{past}, dips the other way"), sets));
    }
    if Bound::AZIMUTH.holds(value_deg) {
        choices.push(choice(
            format!("{as_azimuth} was the direction it dips"),
            vec![
                (Dial::Dip, String::new()),
                (Dial::Toward, as_azimuth.clone()),
            ],
        ));
        format!("a dip direction of {as_azimuth} goes in the other field")
    } else {
        "a dip ends at vertical".to_owned()
    }
}

fn plunge_choices(value_deg: f64, dials: &Dials<'_>, choices: &mut Vec<Choice>) -> String {
    let trend_deg = dials.trend.and_then(azimuth_typed);
    if let Some(trend) = trend_deg.filter(|t| Bound::DIP.holds(*t))
        && Bound::AZIMUTH.holds(value_deg)
    {
        let (trend_text, plunge_text) = (padded(value_deg, 3), padded(trend, 2));
        choices.push(choice(
            format!("trend {trend_text}, plunge {plunge_text}"),
            vec![(Dial::Trend, trend_text), (Dial::Plunge, plunge_text)],
        ));
    }
    if 90.0 < value_deg && value_deg < 180.0 {
        let past = padded(180.0 - value_deg, 2);
        let mut sets = vec![(Dial::Plunge, past.clone())];
        if let Some(trend) = trend_deg {
            sets.push((Dial::Trend, padded(wrap_deg(trend + 180.0), 3)));
        }
        choices.push(choice(format!("{past}, plunges the other way"), sets));
    }
    if Bound::AZIMUTH.holds(value_deg) {
        format!(
            "a trend of {} goes in the other field",
            padded(value_deg, 3)
        )
    } else {
        "a plunge ends at vertical".to_owned()
    }
}

fn rake_choices(value_deg: f64, choices: &mut Vec<Choice>) -> String {
    let less = if value_deg < 0.0 {
        value_deg + 180.0
    } else {
        value_deg - 180.0
    };
    if Bound::RAKE.holds(less) {
        let less = padded(less, 3);
        let words = if value_deg < 0.0 {
            "rake plus 180"
        } else {
            "rake minus 180"
        };
        choices.push(choice(format!("{words}: {less}"), vec![(Dial::Rake, less)]));
    }
    "count it from the right-hand strike end, downwards".to_owned()
}
