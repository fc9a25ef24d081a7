//! What is selected on the net, the way to it, and its place in a limb.

use leptos::prelude::*;

use super::selection::{Of, Selection};
use super::state::NetState;
use super::view::Lasso;
use super::words;
use crate::app::drawing::spread;
use crate::app::outcrop::kinds;
use crate::app::parts::line::value;
use crate::app::parts::tablet::Tablet;
use crate::notebook::attitude;
use crate::notebook::figures::Look;
use crate::orientation::Offset;

/// The shots of one reading around their mean, with what the rings stand for; `None` for a single shot.
fn shots(tablet: Tablet, record: &str) -> Option<(String, String)> {
    tablet.read(|shelf| {
        let (reading, _) = shelf.reading(record)?;
        let attitude = attitude::in_book(&shelf.pages, reading);
        let of = |shots: &[Offset]| -> Vec<Option<(f64, f64)>> {
            let offsets = shots.iter().map(|o| Some((o.clockwise_deg, o.steeper_deg)));
            offsets.collect()
        };
        let (expected_deg, offsets) = match (&attitude.plane_mean, &attitude.line_mean) {
            (Some(mean), _) => (mean.expected_deg, of(&mean.shots)),
            (None, Some(mean)) => (mean.expected_deg, of(&mean.shots)),
            (None, None) => return None,
        };
        (offsets.len() > 1).then(|| {
            (
                spread(expected_deg, &offsets, &[]),
                format!(
                    "{} shots around their mean; the rings at {expected_deg:.1}° and {:.1}°, once and twice the scatter that is expected of a shot",
                    offsets.len(),
                    2.0 * expected_deg
                ),
            )
        })
    })
}

/// What is selected, and the way to it.
#[component]
pub(in crate::app) fn Selected(lasso: RwSignal<Lasso>) -> impl IntoView {
    let (tablet, net) = (Tablet::expect(), NetState::expect());
    let only = move || {
        let selection = net.selection.get();
        let record = selection.only()?;
        let all = net.data.get();
        let datum = all.iter().find(|d| d.record == record)?.clone();
        let notation = tablet.settings.with(|s| s.notation);
        let slip = datum.slip.map(|s| format!(", {} slip", s.sense_words()));
        let (opened, name) = (datum.record.clone(), datum.name.clone());
        Some(view! {
            {shots(tablet, record).map(|(svg, words)| view! {
                <figure class="net-shots">
                    <div aria-hidden="true" inner_html=svg></div>
                    <figcaption class="small soft" data-testid="net-shots">{words}</figcaption>
                </figure>
            })}
            <p>
                <b>{datum.name.clone()}</b>" "{kinds::words(&datum.kind).to_owned()}" "
                <span class="num">{value(&words::value(&datum, notation))}</span>{slip}
            </p>
            <button class="plate" data-testid="net-open-reading" on:click=move |_| tablet.open_record(&opened)>{format!("Open {name}")}</button>
        })
    };
    let said = move || match lasso.get() {
        Lasso::First => "Tap one corner of what the lasso holds.".to_owned(),
        Lasso::Second(_) => "Tap the corner opposite.".to_owned(),
        Lasso::Off if net.drawn.with(|d| d.rose) => String::new(),
        Lasso::Off => match net.selection.with(|s| (s.records.len(), s.of)) {
            (0, Of::Net) => "The lasso holds nothing.".to_owned(),
            (0, _) if net.data.with(|d| d.is_empty()) => {
                "Nothing on the net yet: the first plane or line draws its mark.".to_owned()
            }
            (0, _) if net.chosen.with(|c| c.is_empty()) => {
                "Nothing on the net: no reading is as chosen under Show.".to_owned()
            }
            (0, _) => "Tap a mark to reach its reading.".to_owned(),
            (1, _) => String::new(),
            (count, _) => format!("{count} readings selected."),
        },
    };
    let any = move || net.selection.with(|s| !s.records.is_empty());
    view! {
        <div class="net-selected" data-testid="net-selected" role="status">
            {move || { let said = said(); (!said.is_empty()).then(|| view! { <p>{said}</p> }) }}
            {only}
            {move || any().then(|| view! {
                <button class="plate" data-testid="net-let-go" on:click=move |_| net.selection.set(Selection::default())>"Let go"</button>
            })}
        </div>
        <Limbs/>
    }
}

/// The selected readings as a limb, and what was chosen so far.
#[component]
fn Limbs() -> impl IntoView {
    let (tablet, net) = (Tablet::expect(), NetState::expect());
    let kind = Memo::new(move |_| {
        let figures = net.figures.get()?;
        (figures.look == Look::Surface).then(|| figures.kind.clone())
    });
    let selected = Memo::new(move |_| {
        kind.get()
            .map_or(0, |kind| net.selected_planes(&kind).len())
    });
    let chosen = move || {
        let hand = net.hand.get()?;
        let (one, other) = (hand.first.len(), hand.second.len());
        let readings = |n: usize| {
            if n == 1 {
                "1 reading".to_owned()
            } else {
                format!("{n} readings")
            }
        };
        Some(match (one, other) {
            (0, n) => format!("Limb 2 has {}, limb 1 none yet.", readings(n)),
            (n, 0) => format!("Limb 1 has {}, limb 2 none yet.", readings(n)),
            (a, b) => format!(
                "Limbs by hand: 1 has {} (ringed), 2 has {} (ring dashed).",
                readings(a),
                readings(b)
            ),
        })
    };
    let plate = move |second: bool| {
        let (id, words) = if second {
            ("net-limb-2", "Limb 2")
        } else {
            ("net-limb-1", "Limb 1")
        };
        view! {
            <button class="plate" data-testid=id on:click=move |_| net.take_limb(tablet, second)>{words}</button>
        }
    };
    move || {
        let (count, chosen) = (selected.get(), chosen());
        (count > 0 || chosen.is_some()).then(|| {
            let kind = kind.get().unwrap_or_default();
            view! {
                <div class="net-selected net-limbs" data-testid="net-hands">
                    {chosen.clone().map(|words| view! { <p role="status">{words}</p> })}
                    {(count > 0).then(|| view! {
                        <p class="soft">{format!("{count} {} selected:", kinds::words(&kind))}</p>
                        {plate(false)}
                        {plate(true)}
                    })}
                    {chosen.is_some().then(|| view! {
                        <button class="plate" data-testid="net-find-limbs" on:click=move |_| net.find_limbs(tablet)>"Find the limbs instead"</button>
                    })}
                </div>
            }
        })
    }
}
