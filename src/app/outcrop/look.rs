//! What the numbers imply, drawn: the net, the shots, their spread.

use leptos::prelude::*;

use crate::app::drawing::{Icon, Net, OpenPlane, icon, net, spread};
use crate::app::outcrop::open::{Key, Open};
use crate::app::outcrop::panel::strike_shot;
use crate::app::outcrop::sentence::Finding;
use crate::app::parts::line::value;
use crate::app::parts::tablet::Tablet;
use crate::notebook::{Form, Shot};
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
                marks: &[],
                small: phone,
                without_strikes: false,
            })
        })
    };
    let rows = Memo::new(move |_| {
        let phone = tablet.width.get() < 700.0;
        let distances = finding.with(|f| {
            f.mean
                .as_ref()
                .map(|m| m.distances_deg.clone())
                .unwrap_or_default()
        });
        tablet
            .open
            .with(|o| o.as_ref().map(|o| rows(o, phone, &distances)))
            .unwrap_or_default()
    });
    let mean = Memo::new(move |_| finding.with(|f| f.mean.clone()));
    let together = Memo::new(move |_| finding.with(|f| f.together.clone()));
    let list = NodeRef::<leptos::html::Div>::new();
    let seen = RwSignal::new((0, 0));
    let count = Memo::new(move |_| {
        let there = rows.with(|rows| rows.iter().filter(|row| row.is_there()).count());
        count_words(there, seen.get())
    });
    Effect::new(move |_| {
        // The shot on the dials stands; those before and after are above and below it.
        let at = rows.with(|rows| shot_on_dials(rows));
        // What makes room for the list, or takes it, is what the glass and the sentence have to say.
        tablet.width.track();
        finding.track();
        if let Some(list) = list.get() {
            request_animation_frame(move || {
                bring_into_view(&list, at);
                seen.try_set(shots_seen(&list));
            });
        }
    });
    let scrolled = move |_| {
        if let Some(list) = list.get_untracked() {
            seen.set(shots_seen(&list));
        }
    };
    view! {
        <div class="look" class:noted=move || together.with(Option::is_some)>
            <div class="net-box" role="img" aria-label=move || finding.with(|f| f.net_words.clone()) inner_html=drawn></div>
            <div class="shots">
                <p class="count" data-testid="shot-count">{count}</p>
                <div class="shot-list" node_ref=list tabindex="0" role="group" aria-label="shots" on:scroll=scrolled>
                    {move || rows.get().into_iter().map(|row| view! { <OneShot row=row/> }).collect_view()}
                </div>
                <div class="mean">
                    {move || match mean.get() {
                        Some(m) => view! {
                            <span class="num" data-testid="mean">{m.value.replace('→', " to ")}</span>
                            <span data-testid="mean-words">{m.words}</span>
                        }.into_any(),
                        None => view! { <span>"rings: once and twice the expected scatter"</span> }.into_any(),
                    }}
                </div>
            </div>
            {move || match (together.get(), mean.get()) {
                (Some((bold, soft)), _) => view! {
                    <div class="together" data-testid="together">
                        {bold.split(", ").map(|part| view! { <span class="num">{value(part)}</span> }).collect_view()}
                        <span>{soft}</span>
                    </div>
                }.into_any(),
                (None, mean) => view! {
                    <div class="rings" aria-hidden="true" inner_html=mean.map_or_else(|| spread(2.0, &[], &[]), |m| spread(m.expected_deg, &m.offsets_deg, &[]))></div>
                }.into_any(),
            }}
        </div>
    }
}

/// One shot as a line.
#[derive(Clone, PartialEq)]
struct ShotRow {
    index: usize,
    /// Its dials as read, plane and line apart.
    words: Vec<String>,
    class: &'static str,
    kept: bool,
    struck: bool,
    /// It can be struck out, or put back, with one tap.
    strikes: bool,
    distance_deg: Option<f64>,
}

impl ShotRow {
    /// It is kept or being typed, not only suggested.
    fn is_there(&self) -> bool {
        self.kept || self.is_draft()
    }

    fn is_draft(&self) -> bool {
        self.class == "shot draft"
    }

    fn is_chosen(&self) -> bool {
        self.class.ends_with(" chosen")
    }
}

/// The shot that the dials show: the one being typed or touched, else the last.
fn shot_on_dials(rows: &[ShotRow]) -> usize {
    rows.iter()
        .position(|row| row.is_draft() || row.is_chosen())
        .or_else(|| rows.iter().rposition(ShotRow::is_there))
        .unwrap_or_default()
}

/// How many shots there are, and which of them stand in their list where it has no room for all.
fn count_words(there: usize, (first, last): (usize, usize)) -> String {
    let last = last.min(there);
    match there {
        0 => "no shot yet".to_owned(),
        1 => "1 shot".to_owned(),
        n if first <= 1 && last == n || last < first || first == 0 => format!("{n} shots"),
        n if first == last => format!("shot {first} of {n}"),
        n => format!("shots {first}–{last} of {n}"),
    }
}

/// The rows of the list that its frame shows whole, as the numbers of the first and the last; both nil where there is none.
fn shots_seen(list: &web_sys::Element) -> (usize, usize) {
    let frame = list.get_bounding_client_rect();
    let mut seen = (0, 0);
    let mut next = list.first_element_child();
    let mut number = 0;
    while let Some(row) = next {
        number += 1;
        let place = row.get_bounding_client_rect();
        // A line's own edge may fall on half a pixel.
        if frame.top() - 2.0 <= place.top() && place.bottom() <= frame.bottom() + 2.0 {
            seen = (if seen.0 == 0 { number } else { seen.0 }, number);
        }
        next = row.next_element_sibling();
    }
    seen
}

/// Scrolls the list, and nothing around it, as far as its row needs to be seen.
fn bring_into_view(list: &web_sys::Element, at: usize) {
    let mut row = list.first_element_child();
    for _ in 0..at {
        row = row.and_then(|row| row.next_element_sibling());
    }
    let Some(row) = row else {
        return;
    };
    let (frame, place) = (
        list.get_bounding_client_rect(),
        row.get_bounding_client_rect(),
    );
    let by = if place.top() < frame.top() {
        place.top() - frame.top()
    } else {
        (place.bottom() - frame.bottom()).max(0.0)
    };
    #[expect(clippy::cast_possible_truncation, reason = "pixels of a page")]
    list.set_scroll_top(list.scroll_top() + by.round() as i32);
}

/// The shots, and dotted lines for those still suggested.
fn rows(open: &Open, phone: bool, distances: &[Option<f64>]) -> Vec<ShotRow> {
    let shots = &open.reading.shots;
    let typing = open.is_draft();
    let further = typing && open.at == shots.len();
    // Three are suggested (common practice), where there is room for them.
    let suggested = match (open.order().len() > 3, phone) {
        (true, _) => 1,
        (false, true) => 2,
        (false, false) => 3,
    };
    let count = (shots.len() + usize::from(further)).max(suggested);
    (0..count)
        .map(|index| {
            let kept = shots.get(index);
            let typed = typing && open.at == index;
            let shot = if typed { Some(&open.shot) } else { kept };
            let struck = kept.is_some_and(|s| s.struck_out);
            ShotRow {
                index,
                words: shot
                    .map(|s| shot_words(s, open.reading.form))
                    .unwrap_or_default(),
                class: match (kept, typed) {
                    (_, true) => "shot draft",
                    (Some(_), _) if struck && open.at == index => "shot kept struck chosen",
                    (Some(_), _) if struck => "shot kept struck",
                    (Some(_), _) if open.at == index => "shot kept chosen",
                    (Some(_), _) => "shot kept",
                    (None, _) => "shot",
                },
                kept: kept.is_some(),
                struck,
                strikes: kept.is_some() && !typing && (shots.len() > 1 || struck),
                distance_deg: distances.get(index).copied().flatten().filter(|_| !typed),
            }
        })
        .collect()
}

#[component]
fn OneShot(row: ShotRow) -> impl IntoView {
    let tablet = Tablet::expect();
    let index = row.index;
    let number = index + 1;
    let distance = row.distance_deg.map(|deg| format!("{deg:.1}°"));
    let words = row
        .words
        .into_iter()
        .map(|words| view! { <span class="v">{value(&words)}</span> })
        .collect_view();
    let inside = view! {
        <span class="n">{number}</span>
        <span class="vs">{words}</span>
        {row.struck.then(|| view! { <span class="hidden-words">", struck out"</span> })}
        {distance.map(|distance| view! {
            <span class="d" data-testid=format!("distance-{number}")>{distance}<span class="hidden-words">" from the mean"</span></span>
        })}
    };
    view! {
        <div class=row.class>
            {if row.kept {
                view! {
                    <button class="take" data-testid=format!("shot-{number}") on:click=move |_| tablet.press(Key::TouchShot(index))>{inside}</button>
                }.into_any()
            } else {
                view! { <div class="take">{inside}</div> }.into_any()
            }}
            {row.strikes.then(|| view! {
                <button class="plate cut" data-testid=format!("strike-shot-{number}") on:click=move |_| strike_shot(tablet, index)>
                    <span aria-hidden="true" inner_html=icon(if row.struck { Icon::Undo } else { Icon::Strike })></span>
                    <span class="hidden-words">{if row.struck { format!("put back shot {number}") } else { format!("strike out shot {number}") }}</span>
                </button>
            })}
        </div>
    }
}

/// The dials of a shot as they stand: the plane, the line, or both.
fn shot_words(shot: &Shot, form: Form) -> Vec<String> {
    let or = |text: &Option<String>| text.clone().unwrap_or_default();
    let line = || format!("{}→{}", or(&shot.plunge), or(&shot.trend));
    match form {
        Form::Line => vec![line()],
        Form::Angle => vec![or(&shot.angle)],
        Form::PlaneWithLine => {
            let mut words = vec![plane_words(shot)];
            if shot.trend.is_some() || shot.plunge.is_some() {
                words.push(line());
            } else if let Some(rake) = &shot.rake {
                words.push(format!("rake {rake}"));
            }
            words
        }
        Form::Plane => vec![plane_words(shot)],
    }
}

fn plane_words(shot: &Shot) -> String {
    let or = |text: &Option<String>| text.clone().unwrap_or_default();
    if shot.toward.is_some() || shot.strike.is_none() && shot.dip.is_some() {
        return format!("{}→{}", or(&shot.dip), or(&shot.toward));
    }
    let mut words = or(&shot.strike);
    if let Some(dip) = shot.dip.as_deref().filter(|dip| !dip.is_empty()) {
        words.push('/');
        words.push_str(dip);
    }
    words
}
