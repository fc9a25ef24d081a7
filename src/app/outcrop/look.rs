//! What the numbers imply, drawn: the net, the shots, their spread.

use leptos::prelude::*;

use crate::app::drawing::{Net, OpenPlane, net, spread};
use crate::app::outcrop::open::Key;
use crate::app::outcrop::sentence::Finding;
use crate::app::parts::tablet::Tablet;
use crate::notebook::Form;
use crate::orientation::{Dial, Winds, wind};

/// Net, shots and spread of the open reading.
#[component]
pub(in crate::app) fn Look(finding: Memo<Finding>) -> impl IntoView {
    let tablet = Tablet::expect();
    let poles = Memo::new(move |_| tablet.read(|shelf| shelf.poles(600)));
    let drawn = move || {
        let finding = finding.get();
        let labels: Vec<String> = finding
            .planes
            .iter()
            .map(|p| format!("{}?", wind((p.0 + 90.0).rem_euclid(360.0), Winds::Eight)))
            .collect();
        let sure = finding.planes.len() == 1;
        let planes: Vec<OpenPlane<'_>> = finding
            .planes
            .iter()
            .zip(&labels)
            .map(|(&(strike_deg, dip_deg), label)| OpenPlane {
                strike_deg,
                dip_deg,
                label: (!sure).then_some(label.as_str()),
                sure,
            })
            .collect();
        let stretch = tablet.open.with(|o| {
            let o = o.as_ref()?;
            let (low, high) = o.possible(Dial::Rake)?;
            let &(strike, dip) = finding.planes.first()?;
            Some((strike, dip, low, high.min(180.0)))
        });
        let phone = tablet.width.get() < 700.0;
        poles.with(|poles| {
            net(&Net {
                size_px: if phone { 140.0 } else { 300.0 },
                poles,
                lines: &[],
                open_planes: &planes,
                open_lines: &finding.lines,
                girdle_pole: None,
                rake_stretch: stretch,
                small: phone,
            })
        })
    };
    let shots = move || {
        tablet.open.with(|o| {
            o.as_ref().map(|o| {
                let draft = o.is_draft() && o.at == o.reading.shots.len();
                // As many as the room holds, each a line that a glove can touch; the last ones stand.
                let room = if o.order().len() > 3 || tablet.width.get() < 700.0 {
                    2
                } else {
                    3
                };
                let rows = (o.reading.shots.len() + usize::from(draft)).max(room);
                (rows - room..rows)
                    .map(|i| {
                        let kept = o.reading.shots.get(i);
                        let typed = o.is_draft() && o.at == i;
                        let shot = if typed { Some(&o.shot) } else { kept };
                        let words = shot
                            .map(|s| shot_words(s, o.reading.form))
                            .unwrap_or_default();
                        let state = match (kept, typed) {
                            (_, true) => "shot draft",
                            (Some(s), _) if s.struck_out => "shot kept struck",
                            (Some(_), _) if o.at == i => "shot kept chosen",
                            (Some(_), _) => "shot kept",
                            (None, _) => "shot",
                        };
                        (i, words, state, kept.is_some())
                    })
                    .collect::<Vec<_>>()
            })
        })
    };
    let mean = Memo::new(move |_| finding.with(|f| f.mean.clone()));
    view! {
        <div class="look">
            <div class="net-box" role="img" aria-label=move || finding.get().net_words inner_html=drawn></div>
            <div class="shots">
                {move || shots().unwrap_or_default().into_iter().map(|(i, words, state, kept)| {
                    let text = words.replace('→', " to ");
                    if kept {
                        view! {
                            <button class=state data-testid=format!("shot-{}", i + 1) on:click=move |_| tablet.press(Key::TouchShot(i))>
                                <span class="n">{i + 1}</span><span class="v">{text}</span>
                            </button>
                        }.into_any()
                    } else {
                        view! { <div class=state><span class="n">{i + 1}</span><span class="v">{text}</span></div> }.into_any()
                    }
                }).collect_view()}
            <div class="mean">
                {move || match mean.get() {
                    Some(m) => view! {
                        <span class="num" data-testid="mean">{m.value.replace('→', " to ")}</span>
                        <span>{m.words}</span>
                    }.into_any(),
                    None => view! { <span>"rings: once and twice the expected scatter"</span> }.into_any(),
                }}
            </div>
            </div>
            <div class="rings" aria-hidden="true" inner_html=move || {
                mean.get().map_or_else(|| spread(2.0, &[], &[]), |m| spread(m.expected_deg, &m.offsets_deg, &m.struck))
            }></div>
        </div>
    }
}

fn shot_words(shot: &crate::notebook::Shot, form: Form) -> String {
    let or = |text: &Option<String>| text.clone().unwrap_or_default();
    match form {
        Form::Line => format!("{}→{}", or(&shot.plunge), or(&shot.trend)),
        Form::Angle => or(&shot.angle),
        _ if shot.toward.is_some() || shot.strike.is_none() && shot.dip.is_some() => {
            format!("{}→{}", or(&shot.dip), or(&shot.toward))
        }
        _ => {
            let dip = or(&shot.dip);
            let mut words = or(&shot.strike);
            if !dip.is_empty() {
                words.push('/');
                words.push_str(&dip);
            }
            words
        }
    }
}
