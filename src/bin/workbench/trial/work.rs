//! What is timed: the same work natively and in WebAssembly.

use std::hint::black_box;
use std::sync::OnceLock;

use hingeline::geodesy::magnetic::{DecimalYear, field};
use hingeline::orientation::statistics::Random;
use hingeline::orientation::{
    Context, Dial, Dials, FrameDials, Noise, Slip, adjust, diagnose, reduce_in,
};

use super::made::Made;
use super::plain_field;
use super::plain_fit::{self, Deviations};
use super::set_up::{SetUp, Unsteady, deviations, rounded};

/// So many set-ups of different attitudes make one round of a task.
pub(crate) const SET_UPS: usize = 32;

/// One thing that is timed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Task {
    /// Plane and line adjusted to five dials that agree.
    Adjust,
    /// The same by the plain way.
    PlainAdjust,
    /// Adjusted and diagnosed, dials that agree.
    DiagnoseClean,
    /// Adjusted and diagnosed, the rake counted from the other end.
    DiagnoseSlipped,
    /// What one key costs: five dials as typed, with that slip, reduced, adjusted, diagnosed and put in words.
    Key,
    /// The slips of a diagnosis undone one by one and each adjusted by the plain way, without odds or words.
    PlainDiagnose,
    /// A declination.
    Declination,
    /// The same by the plain way.
    PlainDeclination,
}

impl Task {
    pub(crate) const ALL: [Self; 8] = [
        Self::Adjust,
        Self::PlainAdjust,
        Self::DiagnoseClean,
        Self::DiagnoseSlipped,
        Self::Key,
        Self::PlainDiagnose,
        Self::Declination,
        Self::PlainDeclination,
    ];
}

/// Does one round of the task at this place of [`Task::ALL`]; nothing where there is none.
#[cfg_attr(
    not(target_arch = "wasm32"),
    allow(dead_code, reason = "it is called in WebAssembly")
)]
pub(crate) fn round(place: usize) {
    static WORK: OnceLock<Work> = OnceLock::new();
    if let Some(task) = Task::ALL.get(place) {
        WORK.get_or_init(Work::new).round(*task);
    }
}

/// The numbers that the tasks work on.
pub(crate) struct Work {
    noise: Noise,
    clean: Vec<FrameDials>,
    slipped: Vec<FrameDials>,
    typed: Vec<[String; 5]>,
    when: Option<DecimalYear>,
}

impl Work {
    pub(crate) fn new() -> Self {
        let mut random = Random::new(47);
        let set_ups: Vec<SetUp> = (0..SET_UPS)
            .map(|_| SetUp::at_random(&mut random, Unsteady::DialByDial))
            .collect();
        let slip = Made::plain(Slip::RakeEnd);
        let clean: Vec<FrameDials> = set_ups.iter().map(|s| rounded(&s.stood)).collect();
        let slipped: Vec<FrameDials> = set_ups
            .iter()
            .map(|s| rounded(&slip.apply(&s.stood)))
            .collect();
        let written = |deg: Option<f64>, cells: usize| format!("{:0cells$.0}", deg.unwrap_or(0.0));
        let typed = slipped
            .iter()
            .map(|dials| {
                [
                    written(dials.strike_deg, 3),
                    written(dials.dip_deg, 2),
                    written(dials.trend_deg, 3),
                    written(dials.plunge_deg, 2),
                    written(dials.rake_deg, 3),
                ]
            })
            .collect();
        Self {
            noise: Noise::default(),
            clean,
            slipped,
            typed,
            when: DecimalYear::from_text("2026.9").ok(),
        }
    }

    /// Does a task once for every set-up.
    pub(crate) fn round(&self, task: Task) {
        let context = Context::new(&self.noise);
        for place in 0..SET_UPS {
            let (Some(clean), Some(slipped)) = (self.clean.get(place), self.slipped.get(place))
            else {
                continue;
            };
            match task {
                Task::Adjust => {
                    black_box(adjust(black_box(clean), &self.noise));
                }
                Task::PlainAdjust => {
                    black_box(self.plainly(black_box(clean)));
                }
                Task::DiagnoseClean => {
                    black_box(diagnose(black_box(clean), &context));
                }
                Task::DiagnoseSlipped => {
                    black_box(diagnose(black_box(slipped), &context));
                }
                Task::Key => {
                    if let Some([strike, dip, trend, plunge, rake]) = self.typed.get(place) {
                        let dials = Dials {
                            strike: Some(strike),
                            dip: Some(dip),
                            trend: Some(trend),
                            plunge: Some(plunge),
                            rake: Some(rake),
                            right_hand: true,
                            ..Dials::default()
                        };
                        black_box(reduce_in(black_box(&dials), &context));
                    }
                }
                Task::PlainDiagnose => {
                    for undone in hypotheses(slipped) {
                        black_box(self.plainly(black_box(&undone)));
                    }
                }
                Task::Declination => {
                    if let Some(when) = self.when {
                        let latitude = -60.0 + 120.0 * place as f64 / SET_UPS as f64;
                        let _ = black_box(field(black_box(latitude), 20.0, 500.0, when));
                    }
                }
                Task::PlainDeclination => {
                    let latitude = -60.0 + 120.0 * place as f64 / SET_UPS as f64;
                    black_box(plain_field::declination_deg(
                        black_box(latitude),
                        20.0,
                        500.0,
                        2026.9,
                    ));
                }
            }
        }
    }

    /// One adjustment the plain way, from two starts: the plane as read, with the rake as read and with that of the trend.
    fn plainly(&self, dials: &FrameDials) -> f64 {
        let of = |deg: Option<f64>, instead: f64| deg.unwrap_or(instead);
        let (strike, dip) = (of(dials.strike_deg, 0.0), of(dials.dip_deg, 45.0));
        let turned = of(dials.trend_deg, strike + 90.0) - strike;
        let sds: Deviations = deviations(dials, &self.noise);
        let starts = [
            plain_fit::frame(strike, dip, of(dials.rake_deg, turned)),
            plain_fit::frame(strike, dip, turned),
        ];
        plain_fit::smallest(&starts, &plain_fit::dials(dials), &sds)
    }
}

/// The dials as read, and with every slip undone that can be told without its amount; then every tens digit one up and down, and
/// every dial left out in turn.
fn hypotheses(read: &FrameDials) -> Vec<FrameDials> {
    use hingeline::orientation::adjustment::Exchanged;
    let slips = [
        Slip::StrikeEnd,
        Slip::TrendEnd,
        Slip::BothEnds,
        Slip::RakeEnd,
        Slip::StrikeAndRakeEnds,
        Slip::DipComplement,
        Slip::PlungeComplement,
        Slip::EastWest(Exchanged::Strike),
        Slip::EastWest(Exchanged::Trend),
        Slip::EastWest(Exchanged::All),
    ];
    let mut all = vec![*read];
    // Each of these slips undoes itself.
    all.extend(slips.map(|slip| Made::plain(slip).apply(read)));
    for dial in [
        Dial::Strike,
        Dial::Dip,
        Dial::Trend,
        Dial::Plunge,
        Dial::Rake,
    ] {
        for shift_deg in [-10.0, 10.0] {
            all.push(Made::shifted(dial, shift_deg).apply(read));
        }
        let mut without = *read;
        match dial {
            Dial::Strike => without.strike_deg = None,
            Dial::Dip => without.dip_deg = None,
            Dial::Trend => without.trend_deg = None,
            Dial::Plunge => without.plunge_deg = None,
            _ => without.rake_deg = None,
        }
        all.push(without);
    }
    all
}
