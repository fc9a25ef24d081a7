//! What a reading lacks that nobody is typing any more: while it is typed a digit, a side or a dial may still come.

use crate::notebook::record::{Form, Reading};
use crate::orientation::{
    Choice, Dial, Dials, Doubt, DoubtKind, Reduced, Severity, Winds, unfinished, wind,
    write_azimuth,
};

/// The dials with a dip or a plunge of `0` written out: nothing else can be meant by it.
pub(super) fn with_nil(dials: Dials<'_>) -> Dials<'_> {
    fn nil(text: &str) -> &str {
        if text.trim() == "0" { "00" } else { text }
    }
    Dials {
        dip: dials.dip.map(nil),
        plunge: dials.plunge.map(nil),
        ..dials
    }
}

/// The doubts of a kept shot that is not whole: a short number, a missing side, or nothing that its dials come to.
pub(super) fn lacking(form: Form, dials: &Dials<'_>, reduced: &Reduced) -> Vec<Doubt> {
    let short = unfinished(dials);
    let told = |doubt: &Doubt| doubt.severity == Severity::Doubt;
    if !short.is_empty() || reduced.doubts.iter().any(told) {
        return short;
    }
    let wants_plane = matches!(form, Form::Plane | Form::PlaneWithLine);
    if let (true, None, [one, other]) = (wants_plane, reduced.plane, &*reduced.candidates) {
        let toward = [one, other].map(|plane| plane.dip_direction());
        let [first, second] = toward.map(write_azimuth);
        let choice = |side: &str| Choice {
            words: format!("it dips {side}"),
            sets: vec![(Dial::Side, side.to_owned())],
        };
        return vec![Doubt {
            kind: DoubtKind::Ambiguous,
            severity: Severity::Doubt,
            dial: Some(Dial::Side),
            message: format!(
                "the side is missing: {} dips to {first} or {second}",
                words(dials)
            ),
            choices: toward
                .map(|toward| choice(wind(toward.deg(), Winds::Eight)))
                .into(),
        }];
    }
    if reduced.plane.is_some() || reduced.line.is_some() || reduced.angle_deg.is_some() {
        return Vec::new();
    }
    let dial = match form {
        Form::Line if dials.trend.is_none() => Dial::Trend,
        Form::Line => Dial::Plunge,
        Form::Angle => Dial::Angle,
        Form::Plane | Form::PlaneWithLine if dials.dip.is_none() => Dial::Dip,
        Form::Plane | Form::PlaneWithLine => Dial::Strike,
    };
    let level = dials.dip.is_some_and(|dip| dip.trim() == "00") && dials.strike.is_none();
    let read = words(dials);
    vec![Doubt {
        kind: DoubtKind::Unreadable,
        severity: Severity::Doubt,
        dial: Some(dial),
        message: if read.is_empty() {
            "no dial of it was read".to_owned()
        } else {
            format!("neither a plane nor a line comes of {read} alone")
        },
        choices: level
            .then(|| Choice {
                words: "it is horizontal and has no strike".to_owned(),
                sets: vec![(Dial::Strike, "000".to_owned())],
            })
            .into_iter()
            .collect(),
    }]
}

/// The dials in words, as they are typed: `strike 045, dip 30`.
fn words(dials: &Dials<'_>) -> String {
    let texts = [
        (Dial::Strike, dials.strike),
        (Dial::Dip, dials.dip),
        (Dial::Side, dials.side),
        (Dial::Toward, dials.toward),
        (Dial::Trend, dials.trend),
        (Dial::Plunge, dials.plunge),
        (Dial::Rake, dials.rake),
        (Dial::Angle, dials.angle),
    ];
    let read = texts
        .into_iter()
        .filter_map(|(dial, text)| Some((dial, text?.trim())))
        .filter(|(_, text)| !text.is_empty())
        .map(|(dial, text)| format!("{} {text}", dial.words()));
    read.collect::<Vec<_>>().join(", ")
}

/// The doubt of a reading in which nothing stands that was read; `None` where a shot stands.
pub fn unread(reading: &Reading) -> Option<Doubt> {
    let (severity, message) = match reading.shots.as_slice() {
        [] => (
            Severity::Doubt,
            "it has no shot: nothing was read; read it again, or strike it out",
        ),
        shots if shots.iter().all(|shot| shot.struck_out) => {
            (Severity::Note, "every shot of it is struck out")
        }
        _ => return None,
    };
    Some(Doubt {
        kind: DoubtKind::Unreadable,
        severity,
        dial: None,
        message: message.to_owned(),
        choices: Vec::new(),
    })
}
