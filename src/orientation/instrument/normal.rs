//! From the dials as they stood to the dials of the trade, before they are reduced.

use std::borrow::Cow;

use super::hinge_transit::right_edge;
use super::{Card, Edge, HingeEnd, Instrument, OneOf, OwnScale, OwnScales, Scales, Stood, Swing};
use crate::orientation::angle::{Azimuth, Bound, padded, wrap_deg};
use crate::orientation::dials::Dials;
use crate::orientation::doubt::{Choice, Dial, Doubt, DoubtKind, Severity};
use crate::orientation::notation::{Quadrant, quadrant, typed, write_quadrant};
use crate::orientation::pair::Toward;
use crate::orientation::wind::{Wind, Winds};

type Text<'a> = Option<Cow<'a, str>>;

/// The dials of the trade, borrowed where they are as typed, and what was doubtful on the way.
///
/// A choice that was accepted sets the dials of the trade: it goes in here by [`Normal::set`], never under the way it stood again.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Normal<'a> {
    strike: Text<'a>,
    dip: Text<'a>,
    side: Text<'a>,
    toward: Text<'a>,
    trend: Text<'a>,
    plunge: Text<'a>,
    rake: Text<'a>,
    angle: Text<'a>,
    up: bool,
    right_hand: bool,
    /// What does not agree in how the instrument stood, or is worth saying.
    pub doubts: Vec<Doubt>,
}

impl<'a> Normal<'a> {
    /// The dials just as typed: nothing is known of how the instrument stood, and nothing is copied.
    #[must_use]
    pub fn as_typed(dials: &Dials<'a>) -> Self {
        let text = |text: Option<&'a str>| text.map(Cow::Borrowed);
        Self {
            strike: text(dials.strike),
            dip: text(dials.dip),
            side: text(dials.side),
            toward: text(dials.toward),
            trend: text(dials.trend),
            plunge: text(dials.plunge),
            rake: text(dials.rake),
            angle: text(dials.angle),
            up: dials.up,
            right_hand: dials.right_hand,
            doubts: Vec::new(),
        }
    }

    /// The dials, to be reduced.
    #[must_use]
    pub fn dials(&self) -> Dials<'_> {
        Dials {
            strike: self.strike.as_deref(),
            dip: self.dip.as_deref(),
            side: self.side.as_deref(),
            toward: self.toward.as_deref(),
            trend: self.trend.as_deref(),
            plunge: self.plunge.as_deref(),
            up: self.up,
            rake: self.rake.as_deref(),
            angle: self.angle.as_deref(),
            right_hand: self.right_hand,
        }
    }

    /// Puts a text on a dial of the trade or takes it off, as a choice does; a dial that a shot does not have is left alone.
    pub fn set(&mut self, dial: Dial, text: Option<String>) {
        if let Some(slot) = self.slot(dial) {
            *slot = text.map(Cow::Owned);
        }
    }

    fn slot(&mut self, dial: Dial) -> Option<&mut Text<'a>> {
        match dial {
            Dial::Strike => Some(&mut self.strike),
            Dial::Dip => Some(&mut self.dip),
            Dial::Side => Some(&mut self.side),
            Dial::Toward => Some(&mut self.toward),
            Dial::Trend => Some(&mut self.trend),
            Dial::Plunge => Some(&mut self.plunge),
            Dial::Rake => Some(&mut self.rake),
            Dial::Angle => Some(&mut self.angle),
            Dial::Bearing | Dial::Vertical => None,
        }
    }

    fn text(&self, dial: Dial) -> &str {
        let dials = self.dials();
        let text = match dial {
            Dial::Strike => dials.strike,
            Dial::Dip => dials.dip,
            Dial::Side => dials.side,
            Dial::Toward => dials.toward,
            Dial::Trend => dials.trend,
            Dial::Plunge => dials.plunge,
            Dial::Rake => dials.rake,
            Dial::Angle => dials.angle,
            Dial::Bearing | Dial::Vertical => None,
        };
        text.map_or("", str::trim)
    }

    fn blank(&self, dial: Dial) -> bool {
        self.text(dial).is_empty()
    }

    /// A complete number that its dial can show; anything else is left to the reduction, which says what is wrong with it.
    fn number(&self, dial: Dial) -> Option<f64> {
        let (cells, bound) = match dial {
            Dial::Dip => (2, &Bound::DIP),
            Dial::Plunge => (2, &Bound::PLUNGE),
            Dial::Angle => (3, &Bound::ANGLE),
            Dial::Rake => (3, &Bound::RAKE),
            Dial::Side => return None,
            _ => match quadrant(self.text(dial)) {
                Some(Quadrant::Whole(deg)) => return Some(deg),
                Some(Quadrant::Partial) => return None,
                None => (3, &Bound::AZIMUTH),
            },
        };
        self.within(dial, cells, bound)
    }

    fn within(&self, dial: Dial, cells: usize, bound: &Bound) -> Option<f64> {
        let number = typed(self.text(dial))?;
        (number.is_whole(self.text(dial), cells) && bound.holds(number.deg)).then_some(number.deg)
    }

    /// Turns an azimuth dial to its other end, in the same writing.
    fn turn(&mut self, dial: Dial, card: Card) {
        if let Some(deg) = self.number(dial) {
            let turned = self.written(dial, deg + 180.0, card);
            self.set(dial, Some(turned));
        }
    }

    /// An azimuth as it would have been typed on this dial.
    fn written(&self, dial: Dial, deg: f64, card: Card) -> String {
        if card == Card::Quadrant || quadrant(self.text(dial)).is_some() {
            write_quadrant(wrap_deg(deg))
        } else {
            padded(wrap_deg(deg), 3)
        }
    }

    fn doubt(
        &mut self,
        kind: DoubtKind,
        severity: Severity,
        dial: Dial,
        message: String,
        choices: Vec<Choice>,
    ) {
        self.doubts.push(Doubt {
            kind,
            severity,
            dial: Some(dial),
            message,
            choices,
        });
    }
}

/// Turns the dials of one shot as they stood into the dials of the trade: what a shot passes through before it is reduced.
///
/// A strike without a side becomes the right-hand end that the swing gives; a trend becomes the end that was down, or the one
/// that was up where the line points up; a number from the wrong edge of the index is corrected by its width, and a note says so;
/// the angle of the other swing becomes its supplement; the numbers of a person's own scales become those of the trade.
///
/// # Degenerate input
/// Nothing noted, on a kind with the trade's scales: the same dials, nothing copied. A dial that is partial, unreadable or beyond
/// its range stays as typed. A rake stays as typed: its dial counts from the right-hand strike end. A swing against the side
/// that was noted, a wrong edge of an index of unknown width, and a line hung without the end that was down: the dials stay as
/// typed, and a doubt says so.
#[must_use]
pub fn normalise<'a>(
    dials: &Dials<'a>,
    instrument: Instrument,
    card: Card,
    stood: &Stood,
    scales: &Scales,
) -> Normal<'a> {
    let mut normal = Normal::as_typed(dials);
    if instrument == Instrument::Own {
        convert(&mut normal, card, &scales.own);
    }
    if stood.is_unknown() {
        return normal;
    }
    match instrument {
        Instrument::HingeTransit | Instrument::Own => {
            let past = index(&mut normal, stood, scales);
            side(
                &mut normal,
                instrument,
                card,
                stood,
                past == Some(Dial::Dip),
            );
            if past == Some(Dial::Plunge) {
                normal.turn(Dial::Trend, card);
            }
            end(&mut normal, Dial::Trend, Dial::Plunge, card, stood);
            supplement(&mut normal, stood);
        }
        Instrument::ArmTransit | Instrument::CompassAndClinometer => {
            side(&mut normal, instrument, card, stood, false);
            end(&mut normal, Dial::Trend, Dial::Plunge, card, stood);
        }
        Instrument::PlateCompass => {
            end(&mut normal, Dial::Toward, Dial::Dip, card, stood);
            end(&mut normal, Dial::Trend, Dial::Plunge, card, stood);
        }
    }
    normal
}

/// Brings the numbers of a person's own scales to those of the trade.
fn convert(normal: &mut Normal<'_>, card: Card, own: &OwnScales) {
    let dials = [
        (Dial::Strike, own.card, "strike"),
        (Dial::Toward, own.card, "dip direction"),
        (Dial::Trend, own.card, "trend"),
        (Dial::Dip, own.dip, "dip"),
        (Dial::Plunge, own.plunge, "plunge"),
    ];
    for (dial, scale, name) in dials {
        let Some(scale) = scale else { continue };
        let Some(number) = normal.number(dial) else {
            continue;
        };
        if !scale.holds(number) {
            let OwnScale { lo_deg, hi_deg, .. } = scale;
            let message = format!(
                "{name} `{}` is not on its scale, which goes from {lo_deg} to {hi_deg}; read it again",
                normal.text(dial)
            );
            normal.doubt(
                DoubtKind::OutOfRange,
                Severity::Doubt,
                dial,
                message,
                Vec::new(),
            );
        } else if !scale.is_plain() {
            let text = if matches!(dial, Dial::Dip | Dial::Plunge) {
                padded(scale.angle_deg(number), 2)
            } else {
                normal.written(dial, scale.angle_deg(number), card)
            };
            normal.set(dial, Some(text));
        }
    }
}

/// Corrects the number that was read at the wrong edge of the index; the dial where it then lies past the vertical.
fn index(normal: &mut Normal<'_>, stood: &Stood, scales: &Scales) -> Option<Dial> {
    let (dial, name, belongs) = if !normal.blank(Dial::Dip) {
        (Dial::Dip, "dip", stood.hinge_edge())
    } else if !normal.blank(Dial::Angle) {
        (Dial::Angle, "angle", stood.hinge_edge())
    } else {
        (Dial::Plunge, "plunge", stood.lid_edge())
    };
    let cells = if dial == Dial::Angle { 3 } else { 2 };
    // At the wrong edge the number may be past 90.
    let (Some(read), Some(edge), Some(belongs)) = (
        normal.within(dial, cells, &Bound::ANGLE),
        stood.edge,
        belongs,
    ) else {
        return None;
    };
    if edge == belongs {
        return None;
    }
    let typed_text = normal.text(dial).to_owned();
    let (wrong, right) = (edge_words(edge), edge_words(belongs));
    let seen = format!("{name} `{typed_text}` was read at the {wrong} edge of the index");
    let Some(width_deg) = scales.index_width_deg else {
        let message = format!(
            "{seen}, and the {right} one belongs to the way it stood; read it there, or give the set-up the width of its index"
        );
        normal.doubt(
            DoubtKind::WrongEdge,
            Severity::Doubt,
            dial,
            message,
            Vec::new(),
        );
        return None;
    };
    let width = padded(width_deg.abs(), 1);
    let above = stood.hung && dial == Dial::Dip;
    match right_edge(read, Some(edge), Some(belongs), above, scales) {
        OneOf::This(deg) if deg <= 180.0 => {
            let past = dial != Dial::Angle && deg > 90.0;
            let text = padded(if past { 180.0 - deg } else { deg }, cells);
            let message = format!(
                "{seen}, not the {right} one: the index is {width} wide, and it is taken as {text}"
            );
            normal.doubt(
                DoubtKind::WrongEdge,
                Severity::Note,
                dial,
                message,
                Vec::new(),
            );
            normal.set(dial, Some(text));
            past.then_some(dial)
        }
        OneOf::Either(far, near) => {
            let choices = [far, near]
                .map(|deg| padded(deg, cells))
                .map(|text| Choice {
                    words: format!("{name} {text}"),
                    sets: vec![(dial, text)],
                });
            let message = format!(
                "{seen}, not the {right} one: the index is {width} wide, so zero may lie between the two; read it at the {right} edge"
            );
            normal.doubt(
                DoubtKind::WrongEdge,
                Severity::Doubt,
                dial,
                message,
                choices.into(),
            );
            None
        }
        OneOf::This(_) | OneOf::Nothing => {
            let message = format!(
                "{seen}, not the {right} one, but the index is {width} wide, which leaves no {name}; read it at the {right} edge"
            );
            normal.doubt(
                DoubtKind::WrongEdge,
                Severity::Doubt,
                dial,
                message,
                Vec::new(),
            );
            None
        }
    }
}

fn edge_words(edge: Edge) -> &'static str {
    match edge {
        Edge::Right => "right",
        Edge::Left => "left",
    }
}

/// The side a strike's plane dips to, by the swing: the right-hand end where no side was noted, else held against the one noted.
fn side(
    normal: &mut Normal<'_>,
    instrument: Instrument,
    card: Card,
    stood: &Stood,
    past_vertical: bool,
) {
    let (Some(strike_deg), Some(swing), Some(dips_right)) =
        (normal.number(Dial::Strike), stood.swing, stood.dips_right())
    else {
        return;
    };
    let dips_right = dips_right != past_vertical;
    let dial = if !normal.blank(Dial::Toward) {
        Dial::Toward
    } else if !normal.blank(Dial::Side) {
        Dial::Side
    } else {
        if !dips_right {
            normal.turn(Dial::Strike, card);
        }
        normal.right_hand = true;
        return;
    };
    // Level it dips nowhere, and upright to neither side.
    if matches!(normal.number(Dial::Dip), Some(0.0 | 90.0)) {
        return;
    }
    let Some((noted_deg, winds, along_deg)) = noted(normal, dial) else {
        return;
    };
    let quarter_deg = if dips_right { 90.0 } else { -90.0 };
    let (Ok(by_swing), Ok(noted)) = (
        Azimuth::wrapped_deg(strike_deg + quarter_deg),
        Azimuth::wrapped_deg(noted_deg),
    ) else {
        return;
    };
    // What lies along the strike is a doubt of the pair.
    if by_swing.angle(noted).deg() < 90.0 + along_deg {
        return;
    }
    let text = match winds {
        Some(winds) => Wind::nearest(by_swing.deg(), winds).name().to_owned(),
        None => normal.written(dial, by_swing.deg(), card),
    };
    let (noted_text, strike_text) = (
        normal.text(dial).to_owned(),
        normal.text(Dial::Strike).to_owned(),
    );
    let (verb, way) = match (instrument, swing) {
        (Instrument::ArmTransit | Instrument::CompassAndClinometer, Swing::Right) => {
            ("the case stood to the right", "left")
        }
        (Instrument::ArmTransit | Instrument::CompassAndClinometer, Swing::Left) => {
            ("the case stood to the left", "right")
        }
        (_, Swing::Right) => ("the lid was swung to the right", "left"),
        (_, Swing::Left) => ("the lid was swung to the left", "right"),
    };
    let hung = if stood.hung {
        " under the overhang"
    } else {
        ""
    };
    let message = format!(
        "{verb}{hung}, so a plane striking {strike_text} dips to {text}, not to {noted_text} as noted"
    );
    normal.doubt(
        DoubtKind::SwingAgainstSide,
        Severity::Doubt,
        dial,
        message,
        vec![
            Choice {
                words: format!("the swing holds: dips to {text}"),
                sets: vec![(dial, text)],
            },
            Choice {
                words: format!("{noted_text} holds: it was to the {way}"),
                sets: Vec::new(),
            },
        ],
    );
}

/// The side noted, degrees; its winds, if it was told in letters; and how near the strike it says nothing.
fn noted(normal: &Normal<'_>, dial: Dial) -> Option<(f64, Option<Winds>, f64)> {
    // Half a sector of sixteen winds, as the pair takes it.
    const ALONG_DEG: f64 = 11.25;
    if dial == Dial::Toward {
        return Some((normal.number(dial)?, None, ALONG_DEG));
    }
    match Toward::read(normal.text(dial))? {
        Toward::Wind(wind) => {
            let winds = match wind.winds() {
                Winds::Four | Winds::Eight => Winds::Eight,
                Winds::Sixteen => Winds::Sixteen,
            };
            let along_deg = wind.winds().half_sector_deg();
            Some((wind.azimuth_deg(), Some(winds), along_deg))
        }
        Toward::Azimuth(azimuth) => Some((azimuth.deg(), None, ALONG_DEG)),
    }
}

/// The end of a line, or of a dip line, that was down; where the line points up, the end that was up.
fn end(normal: &mut Normal<'_>, dial: Dial, slope: Dial, card: Card, stood: &Stood) {
    let Some(deg) = normal.number(dial) else {
        return;
    };
    let up = dial == Dial::Trend && normal.up;
    match stood.down {
        Some(HingeEnd::North) if up => normal.turn(dial, card),
        Some(HingeEnd::South) if !up => normal.turn(dial, card),
        Some(_) => {}
        None if stood.hung => {
            // Level there is no lower end.
            if normal.number(slope).is_none_or(|deg| deg == 0.0) {
                return;
            }
            let name = if dial == Dial::Trend {
                "trend"
            } else {
                "dip direction"
            };
            let (north, south) = (
                normal.text(dial).to_owned(),
                normal.written(dial, deg + 180.0, card),
            );
            let message = format!(
                "hung under an overhang, the scale does not tell whether the {name} is {north} or {south}; note which end of the card was down"
            );
            normal.doubt(
                DoubtKind::EndNotNoted,
                Severity::Doubt,
                dial,
                message,
                vec![
                    Choice {
                        words: format!("{name} {north}: its north was down"),
                        sets: Vec::new(),
                    },
                    Choice {
                        words: format!("{name} {south}: its south was down"),
                        sets: vec![(dial, south)],
                    },
                ],
            );
        }
        None => {}
    }
}

/// The angle between two planes, where the lid was swung the other way.
fn supplement(normal: &mut Normal<'_>, stood: &Stood) {
    if stood.swing == Some(Swing::Left)
        && let Some(deg) = normal.number(Dial::Angle)
    {
        normal.set(Dial::Angle, Some(padded(180.0 - deg, 3)));
    }
}
