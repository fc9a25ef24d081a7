//! What stands beside the net: its largest figure with a close-up, and what every mark and line stands for.

use leptos::prelude::*;

use super::close_up::close_up;
use super::petals;
use super::samples::{
    circle_sample, contour_sample, fit_sample, mark_sample, mean_sample, petal_sample, shot_sample,
    slip_sample,
};
use super::state::NetState;
use super::told::Figure;
use crate::app::outcrop::kinds;
use crate::app::parts::line::value;
use crate::app::parts::tablet::Tablet;
use crate::exchange::net_figure::{MOST_ARROWS, MOST_CIRCLES, Mark, Planes, every, legend};
use crate::notebook::figures::{Stands, stands};

/// So many rows stand on a phone, and at a glance on a tablet, before the rest is one tap away.
const ON_PHONE: usize = 4;
const AT_A_GLANCE: usize = 7;

/// One row of the legend.
#[derive(Clone, PartialEq)]
struct Row {
    sample: String,
    long: bool,
    words: String,
    count: Option<usize>,
}

/// The marks of the net with what they stand for and how many.
pub(in crate::app) fn marks(net: NetState) -> Vec<(Mark, String, usize)> {
    let (all, chosen) = (net.data.read(), net.chosen.read());
    let of: Vec<_> = chosen.iter().filter_map(|i| all.get(*i)).collect();
    let mut rows = legend(&of);
    // Planes before lines, what is overturned after what is not.
    rows.sort_by_key(|(mark, ..)| (*mark == Mark::Plus, *mark));
    rows
}

/// `, every 3rd drawn`, where not all are.
fn left_out(count: usize, most: usize) -> String {
    match every(count, most) {
        1 => String::new(),
        n => format!(", one in {n} drawn"),
    }
}

fn rows(net: NetState, glance: bool) -> Vec<Row> {
    let drawn = net.drawn.get();
    let circles = drawn.planes == Planes::Circles;
    let planes = {
        let (all, chosen) = (net.data.read(), net.chosen.read());
        let of = chosen.iter().filter_map(|i| all.get(*i));
        of.filter(|d| d.plane.is_some()).count()
    };
    let mut rows: Vec<Row> = marks(net)
        .into_iter()
        .map(|(mark, words, count)| {
            let as_circle = circles && mark != Mark::Plus;
            Row {
                sample: if as_circle {
                    circle_sample(mark)
                } else {
                    mark_sample(mark)
                },
                long: false,
                words: if as_circle {
                    words.replace(" pole", " great circle") + &left_out(planes, MOST_CIRCLES)
                } else {
                    words
                },
                count: Some(count),
            }
        })
        .collect();
    let slips = {
        let (all, chosen) = (net.data.read(), net.chosen.read());
        let of = chosen.iter().filter_map(|i| all.get(*i));
        of.filter(|d| d.slip.is_some()).count()
    };
    if slips > 0 {
        rows.push(Row {
            sample: slip_sample(),
            long: true,
            words: format!("slip of the hanging wall{}", left_out(slips, MOST_ARROWS)),
            count: Some(slips),
        });
    }
    if let Some(shots) = net.shots.get() {
        rows.push(Row {
            sample: shot_sample(),
            long: false,
            words: format!("shots of {}", shots.name),
            count: Some(shots.count()),
        });
    }
    let fits = net.fits.get();
    let named = net
        .figures
        .with(|f| f.as_ref().is_some_and(|f| f.named_axis().is_some()));
    for stands in stands(&fits) {
        // The axis is named on the net itself, its ellipse beside the largest figure.
        if stands == Stands::Axis && named || stands == Stands::Confidence && glance {
            continue;
        }
        rows.push(Row {
            sample: fit_sample(stands),
            long: true,
            words: stands.words().to_owned(),
            count: None,
        });
    }
    if net.density.with(Option::is_some) {
        let of = net
            .figures
            .get()
            .map(|f| kinds::words(&f.kind).to_owned())
            .unwrap_or_default();
        rows.push(Row {
            sample: contour_sample(),
            long: true,
            words: format!("{of} at {}", net.drawn.with(|d| d.levels.words())),
            count: None,
        });
    }
    rows
}

/// The largest figure with its close-up, and the rows.
#[component]
pub(in crate::app) fn Legend(
    lead: Memo<Option<Figure>>,
    glance: bool,
    how: RwSignal<bool>,
) -> impl IntoView {
    let (tablet, net) = (Tablet::expect(), NetState::expect());
    let more = RwSignal::new(false);
    let is_rose = move || net.drawn.with(|d| d.rose) && !glance;
    let all = Memo::new(move |_| {
        if is_rose() {
            return net.figures.get().map_or_else(Vec::new, |figures| {
                let row = |(words, count): (String, usize)| Row {
                    sample: petal_sample(),
                    long: false,
                    words,
                    count: Some(count),
                };
                let mut all: Vec<Row> = petals::rows(&figures).into_iter().map(row).collect();
                all.extend(figures.circular.as_ref().map(|_| Row {
                    sample: mean_sample(),
                    long: false,
                    words: "mean".to_owned(),
                    count: None,
                }));
                all
            });
        }
        rows(net, glance)
    });
    // How many rows stand, where not all do; a single further row is not worth a plate.
    let room = Memo::new(move |_| {
        let most = match (tablet.width.get() < 700.0, glance) {
            (true, _) => ON_PHONE,
            (false, true) => AT_A_GLANCE,
            (false, false) => return None,
        };
        (!more.get() && all.with(|a| a.len() > most + 1)).then_some(most)
    });
    let ellipse = move || {
        let figures = net.figures.get()?;
        if is_rose() {
            return None;
        }
        let ellipse = match (figures.better_cone(), &figures.cylinder) {
            (Some(cone), _) => cone.ellipse?,
            (None, Some(cylinder)) => cylinder.ellipse?,
            (None, None) => figures.mean?,
        };
        let (all, chosen) = (net.data.read(), net.chosen.read());
        let lines: Vec<_> = chosen
            .iter()
            .filter_map(|i| Some(all.get(*i)?.line.as_ref()?.vector()))
            .collect();
        let (svg, ring_deg) = close_up(&ellipse, &lines);
        Some(view! {
            <div class="net-close" aria-hidden="true">
                <div inner_html=svg></div>
                <b>{format!("{ring_deg:.0}°")}</b>
            </div>
        })
    };
    let one = |row: Row| {
        let id = row
            .count
            .map(|_| format!("net-legend-{}", kinds::slug(&row.words)));
        view! {
            <li data-testid=id>
                <span class:long=row.long aria-hidden="true" inner_html=row.sample></span>
                <span>{row.words}</span>
                {row.count.map(|count| view! { <span class="count">{count}</span> })}
            </li>
        }
    };
    view! {
        <div class="net-legend">
            <div class="net-lead">
                {move || lead.get().map(|lead| view! {
                    <div data-testid="net-lead">
                        <p class="num" class:long={lead.value.chars().count() > 7}>{value(&lead.value)}</p>
                        <p class="small soft">{lead.name}</p>
                        <p class="small soft" data-testid="net-within">{lead.detail}</p>
                    </div>
                })}
                {ellipse}
            </div>
            <ul aria-label="legend" data-testid="net-legend">
                {move || {
                    // The rows are asked first: asked after `room`, which asks them too, a change of theirs that leaves it
                    // as it was would not be seen.
                    let rows = all.get();
                    let count = room.get().unwrap_or(usize::MAX);
                    rows.into_iter().take(count).map(one).collect_view()
                }}
            </ul>
            <div class="set">
                {move || room.get().map(|most| view! {
                    <button class="plate" data-testid="net-legend-more" on:click=move |_| more.set(true)>
                        {move || format!("{} more", all.with(Vec::len).saturating_sub(most))}
                    </button>
                })}
                {move || (glance && lead.with(Option::is_some)).then(|| view! {
                    <button
                        class="plate"
                        data-testid="net-glance-how"
                        aria-expanded=move || how.get().to_string()
                        on:click=move |_| how.update(|h| *h = !*h)
                    ><span>"How"<span class="rest">" it is reckoned"</span></span></button>
                })}
            </div>
        </div>
    }
}
