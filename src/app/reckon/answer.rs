//! The result: its value and its ±, a drawing, the numbers used, the steps, cautions, and how it was reckoned.

use leptos::prelude::*;

use super::state::Reckoning;
use super::words::{exact, hand, most, spoken, sure};
use crate::app::drawing::{
    Icon, Mark, MarkForm, Net, OpenPlane, Shown, UprightSection, icon, net, three_places,
    upright_section,
};
use crate::app::parts::line::value;
use crate::app::parts::tablet::Tablet;
use crate::notebook::Notation;
use crate::notebook::reckoning::{
    Answer, Drawing, Figure, Lack, Leads, Measured, Used, Worked, reckon,
};

/// What the desk says to what is asked.
pub(super) type Told = Result<Answer, Vec<Lack>>;

/// The result beneath or beside the slots.
#[component]
pub(super) fn Reckoned() -> impl IntoView {
    let (tablet, reckoning) = (Tablet::expect(), Reckoning::expect());
    let how = RwSignal::new(false);
    let notation = Memo::new(move |_| tablet.settings.with(|s| s.notation));
    let told: Memo<Told> = Memo::new(move |_| {
        let hand = hand(notation.get());
        let asked = reckoning.asked.get();
        tablet.read(|shelf| reckon(&shelf.pages, &asked, &hand))
    });
    view! {
        <section class="reckoned" aria-label="result" aria-live="polite" data-testid="reckon-result">
            {move || told.with(|told| match told {
                Ok(answer) => whole(tablet, answer, notation.get(), how),
                Err(lacks) => missing(tablet, lacks),
            })}
        </section>
    }
}

/// What is missing, with the way to the page that mends it.
fn missing(tablet: Tablet, lacks: &[Lack]) -> AnyView {
    let one = |lack: &Lack| {
        let path = lack
            .station
            .map(|number| (number, format!("/station/{number}")));
        view! {
            <li>
                <span>{lack.words.clone()}</span>
                {path.map(|(number, path)| view! {
                    <button class="plate" data-testid=format!("reckon-mend-{number}") on:click=move |_| tablet.go(&path)>{format!("Station {number}")}</button>
                })}
            </li>
        }
    };
    view! {
        <h2>"Still missing"</h2>
        <ul class="lacks" data-testid="reckon-lacks">{lacks.iter().map(one).collect_view()}</ul>
    }
    .into_any()
}

fn whole(tablet: Tablet, answer: &Answer, notation: Notation, how: RwSignal<bool>) -> AnyView {
    let worked = &answer.worked;
    let figures = worked.figures.iter().enumerate();
    let cautions = worked
        .cautions
        .iter()
        .map(|c| view! { <li>{value(c)}</li> });
    let steps = worked
        .steps
        .iter()
        .map(|step| view! { <li>{value(step)}</li> });
    let method = worked.method.clone();
    view! {
        <div class="half">
        <div class="figures">{figures.map(|(i, f)| figure(i, f, notation)).collect_view()}</div>
        {drawn(worked, notation)}
        <h2>"From"</h2>
        <ul class="used" data-testid="reckon-used">{answer.used.iter().map(|u| used(tablet, u)).collect_view()}</ul>
        </div>
        <div class="half">
        <h2>"Steps"</h2>
        <ol class="steps" data-testid="reckon-steps">{steps.collect_view()}</ol>
        {(!worked.cautions.is_empty()).then(|| view! {
            <h2 class="care"><span aria-hidden="true" inner_html=icon(Icon::Care)></span>"Beware"</h2>
            <ul class="cautions" data-testid="reckon-cautions">{cautions.collect_view()}</ul>
        })}
        <button class="plate" data-testid="reckon-how" aria-expanded=move || how.get().to_string() on:click=move |_| how.update(|h| *h = !*h)>"How it is reckoned"</button>
        {move || how.get().then(|| view! { <p class="small method" data-testid="reckon-method">{method.clone()}</p> })}
        </div>
    }
    .into_any()
}

fn figure(nth: usize, figure: &Figure, notation: Notation) -> AnyView {
    let text = hand(notation).value(&figure.value);
    let said = spoken(&text);
    view! {
        <div class="figure" class:first=nth == 0>
            <p class="num" data-testid=format!("reckon-value-{nth}") data-exact=exact(&figure.value)>
                <span class="hidden-words">{said}</span><span aria-hidden="true">{value(&text)}</span>
            </p>
            <p class="soft small" data-testid=format!("reckon-name-{nth}")>{figure.name.clone()}</p>
            <p class="soft small" data-testid=format!("reckon-sure-{nth}")>{sure(figure)}</p>
            {most(figure).map(|words| view! { <p class="soft small">{words}</p> })}
        </div>
    }
    .into_any()
}

/// One number that was used: a line that opens, where there is something to open.
fn used(tablet: Tablet, used: &Used) -> AnyView {
    let inside = view! {
        <span class="role small soft">{used.role}</span>
        <b>{used.name.clone()}</b>
        <span class="value">{value(&used.value)}</span>
        <span class="small soft">{used.sure.clone()}</span>
    };
    let slug = used.name.replace(['·', ' '], "-");
    let leads = used.leads.clone();
    if leads == Leads::Typed {
        return view! { <li class="of">{inside}</li> }.into_any();
    }
    let open = move |_| match &leads {
        Leads::Reading(record) => tablet.open_record(record),
        Leads::Sighting(record) => tablet.reopen_sighting(record),
        Leads::Station(number) => tablet.go(&format!("/station/{number}")),
        Leads::Typed => {}
    };
    view! {
        <li>
            <button class="of" data-testid=format!("reckon-used-{slug}") on:click=open>
                {inside}<span class="go" aria-hidden="true" inner_html=icon(Icon::Arrow)></span>
            </button>
        </li>
    }
    .into_any()
}

/// The drawing and its one sentence.
fn drawn(worked: &Worked, notation: Notation) -> AnyView {
    let first = worked.figures.first();
    let text = first
        .map(|f| hand(notation).value(&f.value))
        .unwrap_or_default();
    let (svg, says) = match &worked.drawing {
        Drawing::Net { planes, lines } => (
            net_of(planes, lines),
            format!(
                "net, equal area, lower hemisphere; given: dashed and hollow; result: whole, {text}"
            ),
        ),
        Drawing::Section {
            toward_deg,
            apparent_deg,
            ground_m,
            ends,
            measured,
        } => {
            let shown = match measured {
                Measured::Dip => Shown::Dip(&text),
                Measured::Thickness => Shown::Between(&text),
                Measured::Depth(depth) => Shown::Below(*depth, &text),
            };
            let svg = upright_section(&UprightSection {
                size_px: (360.0, 210.0),
                ground_m: ground_m.unwrap_or((100.0, 0.0)),
                apparent_deg: *apparent_deg,
                ends: [&ends[0], &ends[1]],
                shown,
            });
            (
                svg,
                format!(
                    "upright section, heights not stretched, toward {toward_deg:03.0} on the right"
                ),
            )
        }
        Drawing::Map { places, plane } => {
            let named = [0, 1, 2].map(|i| {
                let (name, north, east) = &places[i];
                (name.strip_prefix("station ").unwrap_or(name), *north, *east)
            });
            let (strike, dip) = (plane.strike().deg(), plane.dip().deg());
            (
                three_places((320.0, 240.0), &named, strike, dip),
                "map of the three stations, north up, with strike and dip".to_owned(),
            )
        }
    };
    view! {
        <figure>
            <div role="img" aria-label=spoken(&says) inner_html=svg></div>
            <figcaption class="small soft" aria-hidden="true">{value(&says)}</figcaption>
        </figure>
    }
    .into_any()
}

/// A name as it fits on the net: a mean's readings stand beneath.
fn short(name: &str) -> &str {
    if name.starts_with("mean of ") {
        "mean"
    } else {
        name
    }
}

fn net_of(
    planes: &[(String, crate::orientation::Plane, bool)],
    lines: &[(String, crate::orientation::Line, bool)],
) -> String {
    let open_planes: Vec<OpenPlane> = planes
        .iter()
        .map(|(name, plane, result)| OpenPlane {
            strike_deg: plane.strike().deg(),
            dip_deg: plane.dip().deg(),
            label: Some(short(name)).filter(|_| !*result),
            sure: *result,
        })
        .collect();
    let marks: Vec<Mark> = lines
        .iter()
        .map(|(name, line, result)| {
            let low = line.as_axis();
            Mark {
                trend_deg: low.trend().deg(),
                plunge_deg: low.plunge().deg(),
                label: short(name),
                form: if *result {
                    MarkForm::Full
                } else {
                    MarkForm::Hollow
                },
            }
        })
        .collect();
    net(&Net {
        size_px: 300.0,
        open_planes: &open_planes,
        marks: &marks,
        without_strikes: true,
        ..Net::default()
    })
}
