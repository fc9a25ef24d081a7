//! The settle page: the versions side by side, one tap takes one, and all stay in the history.

use leptos::prelude::*;
use leptos_router::hooks::use_params_map;

use super::versions::{self, DialShown, Picture, Settling, Version};
use super::waiting;
use crate::app::drawing::{
    Icon, Limb, LineState, Mark, MarkForm, Net, OpenPlane, doubt_sign, icon, limb, net,
};
use crate::app::history;
use crate::app::net::state::NetState;
use crate::app::outcrop::photos::PhotoImage;
use crate::app::parts::line::{sign, value};
use crate::app::parts::tablet::Tablet;
use crate::app::written::Written;
use crate::notebook::{EntryId, RecordId};

/// The records that wait to be settled, each a line that opens.
#[component]
pub(in crate::app) fn SettleList() -> impl IntoView {
    let tablet = Tablet::expect();
    view! {
        <main class="room settle-list" data-testid="settle-list">
            <div class="title">
                <div class="what">
                    <h1>"To settle"</h1>
                    <p class="soft small">"Where two people changed the same field, every version is kept until one is taken; the others stay in the history."</p>
                </div>
                <button class="plate" data-testid="settle-camp" on:click=move |_| tablet.go("/camp")>
                    <span class="turned" aria-hidden="true" inner_html=icon(Icon::Arrow)></span>"Camp"
                </button>
            </div>
            <Waiting/>
            {move || (tablet.loading.get().is_none() && tablet.read(|shelf| shelf.pages.contested().len()) == 0).then(|| view! {
                <p data-testid="settle-none">"Nothing waits to be settled."</p>
            })}
        </main>
    }
}

/// The records that wait to be settled.
#[component]
pub(in crate::app) fn Waiting() -> impl IntoView {
    let tablet = Tablet::expect();
    let waiting = Memo::new(move |_| {
        let own = tablet.settings.with(|s| s.device.clone());
        tablet.read(|shelf| {
            waiting::records(&shelf.pages)
                .into_iter()
                .filter_map(|record| {
                    let (name, by) =
                        waiting::in_short(&shelf.pages, &shelf.ledger, record.as_str(), &own)?;
                    Some((record, name, by))
                })
                .collect::<Vec<_>>()
        })
    });
    move || {
        waiting
            .get()
            .into_iter()
            .enumerate()
            .map(|(i, (record, name, by))| {
                let path = versions::path(&record);
                let label = format!("Settle {name}");
                view! {
                    <div class="item">
                        <span class="icon" aria-hidden="true" inner_html=doubt_sign("?", true)></span>
                        <div class="what"><b>{name}</b><span>{by}</span></div>
                        <button class="plate" data-testid=format!("settle-{}", i + 1) aria-label=label on:click=move |_| tablet.go(&path)>"Settle"</button>
                    </div>
                }
            })
            .collect_view()
    }
}

/// One record to settle.
#[component]
pub(in crate::app) fn SettlePage() -> impl IntoView {
    let tablet = Tablet::expect();
    let data = NetState::expect().data;
    let params = use_params_map();
    let record = Memo::new(move |_| params.with(|p| p.get("record")).unwrap_or_default());
    let found = Memo::new(move |_| {
        let record = record.get();
        let (notation, own) = tablet.settings.with(|s| (s.notation, s.device.clone()));
        data.with(|data| {
            tablet.read(|shelf| {
                versions::settling(&shelf.pages, &shelf.ledger, &record, data, notation, &own)
            })
        })
    });
    move || match found.get() {
        Some(settling) => {
            view! { <Settle record=record.get_untracked() settling=settling/> }.into_any()
        }
        None => view! { <Settled record=record.get_untracked()/> }.into_any(),
    }
}

/// Nothing is left to settle about this record.
#[component]
fn Settled(record: String) -> impl IntoView {
    let tablet = Tablet::expect();
    let left = move || tablet.read(|shelf| shelf.pages.contested().len());
    let path = history::steps::path(&RecordId::from(record));
    view! {
        <main class="room settle-list" data-testid="settled">
            <div class="title">
                <div class="what">
                    <h1>{move || match tablet.loading.get() {
                        Some(_) => "Reading the book …",
                        None => "Nothing disagrees about this record",
                    }}</h1>
                    <p class="soft small">"Every version that ever stood is in its history."</p>
                </div>
                <button class="plate" data-testid="settled-history" on:click=move |_| tablet.go(&path)>"History"</button>
                <button class="plate" data-testid="settle-camp" on:click=move |_| tablet.go("/camp")>
                    <span class="turned" aria-hidden="true" inner_html=icon(Icon::Arrow)></span>"Camp"
                </button>
            </div>
            {move || (left() > 0).then(|| view! { <h2>"Still to settle"</h2> })}
            <Waiting/>
        </main>
    }
}

/// The record after this one that waits.
fn after(tablet: Tablet, record: &str) -> Option<RecordId> {
    tablet.read_once(|shelf| {
        let all = waiting::records(&shelf.pages);
        let at = all.iter().position(|r| r.as_str() == record);
        let next = at.map_or(0, |at| at + 1);
        all.get(next).cloned()
    })
}

#[component]
fn Settle(record: String, settling: Settling) -> impl IntoView {
    let tablet = Tablet::expect();
    let record = StoredValue::new(record);
    let on = move |next: Option<RecordId>| match next {
        Some(next) => tablet.go(&versions::path(&next)),
        None => tablet.go("/camp"),
    };
    // `None` keeps both.
    let take = Callback::new(move |entry: Option<EntryId>| {
        let record = record.get_value();
        let next = after(tablet, &record);
        let settled = match entry {
            Some(entry) => tablet.settle(&record, &entry),
            None => tablet.settle_both(&record),
        };
        if settled {
            let left = tablet.read_once(|shelf| waiting::records(&shelf.pages));
            match next
                .filter(|next| left.contains(next))
                .or(left.first().cloned())
            {
                Some(next) => tablet.go(&versions::path(&next)),
                None => tablet.go(&versions::path(&RecordId::from(record))),
            }
        }
    });
    let leave = move |_| on(after(tablet, &record.get_value()));
    let place = Memo::new(move |_| {
        let all = tablet.read(|shelf| waiting::records(&shelf.pages));
        let at = all.iter().position(|r| r.as_str() == record.get_value());
        format!("{} of {} to settle", at.map_or(1, |at| at + 1), all.len())
    });
    let path = history::steps::path(&RecordId::from(record.get_value()));
    let Settling {
        title,
        place: name,
        versions,
        both,
        doubt,
        odds,
        remark,
        drawn,
        picture,
    } = settling;
    let many = versions.len();
    let of_photo = picture.is_some();
    let leave_words = if many == 2 {
        "Leave both"
    } else {
        "Leave them"
    };
    let for_net = StoredValue::new(versions.clone());
    let name = if name.is_empty() {
        String::new()
    } else {
        format!("{name} · ")
    };
    view! {
        <main class="room settle" data-testid="settle">
            <div class="title">
                <div class="what">
                    <h1 data-testid="settle-title">{title}</h1>
                    <p class="soft small">{name}{place}" · nothing is lost, whichever you take"</p>
                </div>
                <button class="plate" data-testid="settle-history" on:click=move |_| tablet.go(&path)>"History"</button>
                <button class="plate" data-testid="settle-leave" aria-label=leave_words on:click=leave>
                    <span class="dots" aria-hidden="true" inner_html=icon(Icon::More)></span>
                    <span class="word">{leave_words}</span>
                </button>
            </div>
            <div class="versions" class:three={many > 2} class:of-photo=of_photo>
                {picture.map(|picture| view! { <OnePicture picture=picture/> })}
                {versions.into_iter().map(|version| view! { <OneVersion version=version many=many take=take/> }).collect_view()}
            </div>
            <div class="evidence">
                {drawn.then(|| view! {
                    <div class="net-box" role="img" aria-label=net_words(&for_net.get_value()) inner_html=move || drawn_net(tablet, &for_net.get_value())></div>
                })}
                <div class="weighed">
                    <div class="doubt-line">
                        <span aria-hidden="true" inner_html=doubt_sign("?", false)></span>
                        <h2 data-testid="settle-doubt">{doubt}</h2>
                    </div>
                    <dl data-testid="settle-odds">
                        {odds.into_iter().map(|one| view! { <div><dt>{one.odds}</dt><dd>{one.words}</dd></div> }).collect_view()}
                    </dl>
                    {remark.map(|words| view! { <p class="soft small" data-testid="settle-remark">{words}</p> })}
                </div>
                {both.map(|words| view! {
                    <button class="plate both" data-testid="take-both" on:click=move |_| take.run(None)>
                        <span aria-hidden="true" inner_html=icon(Icon::Join)></span>
                        <span><b>"Keep both, as shots of one reading"</b><span class="small">{value(&words)}</span></span>
                    </button>
                })}
            </div>
        </main>
    }
}

#[component]
fn OneVersion(version: Version, many: usize, take: Callback<Option<EntryId>>) -> impl IntoView {
    let tablet = Tablet::expect();
    let Version {
        entry,
        letter,
        author,
        when,
        written,
        struck,
        dials,
        rows,
        remark,
        plate,
        picture,
    } = version;
    let lower = letter.to_ascii_lowercase();
    let id = format!("version-{lower}");
    let (section, heading) = (id.clone(), id.clone());
    let width = move || limb_width(tablet.width.get(), many);
    view! {
        <section class="version-of" class:struck=struck aria-labelledby=id data-testid=section>
            <div class="who">
                <span class="version" class:filled={letter == 'A'} aria-hidden="true">{letter.to_string()}</span>
                <div class="what">
                    <h2 id=heading><span class="hidden-words">{format!("version {letter}: ")}</span>{author}</h2>
                    <p class="soft small">{when}</p>
                </div>
                <span class="drawn" aria-hidden="true" inner_html=sign(&written, true, struck)></span>
            </div>
            {picture.map(|picture| view! { <OnePicture picture=picture/> })}
            {dials.into_iter().map(|dial| view! { <OneDial dial=dial width=Signal::derive(width)/> }).collect_view()}
            {(!rows.is_empty()).then(|| view! {
                <dl class="fields">
                    {rows.into_iter().map(|row| view! {
                        <div class:stays=row.stays>
                            <dt>{row.name}{row.stays.then_some(", changed by one alone: it stays")}</dt>
                            <dd>{match row.text {
                                Some(text) => view! { {value(&text)} }.into_any(),
                                None => view! { <span class="soft">"nothing"</span> }.into_any(),
                            }}</dd>
                        </div>
                    }).collect_view()}
                </dl>
            })}
            {(!remark.is_empty()).then(|| view! { <p class="remark">{remark}</p> })}
            <button class="plate take" data-testid=format!("take-{lower}") on:click=move |_| take.run(Some(entry))>
                <span class="arrow" aria-hidden="true" inner_html=icon(Icon::Arrow)></span><b>{value(&plate)}</b>
            </button>
        </section>
    }
}

/// The picture that the versions speak of, or that one of them names.
#[component]
fn OnePicture(picture: Picture) -> impl IntoView {
    view! { <PhotoImage sha256=picture.sha256 large=true words=picture.words/> }
}

/// The width of a version's limbs.
fn limb_width(glass: f64, many: usize) -> f64 {
    let two = many.clamp(2, 3) as f64;
    if glass < 700.0 {
        ((glass - 24.0 - 16.0) / 2.0).floor()
    } else if glass < 1024.0 {
        ((glass - 48.0 - 32.0 * (two - 1.0)) / two).floor()
    } else {
        ((glass - 40.0 - 404.0 - 28.0 * two) / two).floor()
    }
}

#[component]
fn OneDial(dial: DialShown, width: Signal<f64>) -> impl IntoView {
    let tablet = Tablet::expect();
    let DialShown {
        name,
        text,
        deg,
        scale,
        differs,
    } = dial;
    let spoken = format!("{name} {text}{}", if differs { "" } else { ", the same" });
    let drawn = move || {
        scale.map(|scale| {
            limb(&Limb {
                scale,
                width_px: width.get(),
                phone: tablet.width.get() < 700.0,
                state: if differs {
                    LineState::Doubt
                } else {
                    LineState::Kept
                },
                pointer_deg: deg,
                possible_deg: None,
                also_deg: None,
                shots_deg: &[],
            })
        })
    };
    view! {
        <div class="dial-of" class:differs=differs class:plain=scale.is_none()>
            <span class="hidden-words">{spoken}</span>
            <span class="figures" aria-hidden="true">{text}</span>
            <span class="limb" aria-hidden="true" inner_html=move || drawn().unwrap_or_default()></span>
            <span class="name" aria-hidden="true">{name}{(!differs).then_some(", the same")}</span>
        </div>
    }
}

/// The net with every version: its plane, and a square where its pole or its line lies.
fn drawn_net(tablet: Tablet, versions: &[Version]) -> String {
    let phone = tablet.width.get() < 700.0;
    let letters: Vec<String> = versions.iter().map(|v| v.letter.to_string()).collect();
    let mut planes = Vec::new();
    let mut marks = Vec::new();
    for (version, letter) in versions.iter().zip(&letters) {
        let form = if version.letter == 'A' {
            MarkForm::FullSquare
        } else {
            MarkForm::HollowSquare
        };
        let (trend_deg, plunge_deg) = match &version.written {
            Written::Plane {
                strike_deg,
                dip_deg,
                ..
            } => {
                planes.push(OpenPlane {
                    strike_deg: *strike_deg,
                    dip_deg: *dip_deg,
                    label: None,
                    sure: version.letter == 'A',
                });
                (strike_deg - 90.0, 90.0 - dip_deg)
            }
            Written::Line {
                trend_deg,
                plunge_deg,
            } => (*trend_deg, *plunge_deg),
            Written::Other => continue,
        };
        marks.push(Mark {
            trend_deg,
            plunge_deg,
            label: letter,
            form,
        });
    }
    let poles = tablet.read(|shelf| shelf.poles(600));
    net(&Net {
        size_px: if phone { 160.0 } else { 300.0 },
        poles: &poles,
        open_planes: &planes,
        marks: &marks,
        small: phone,
        ..Net::default()
    })
}

fn net_words(versions: &[Version]) -> String {
    let said: Vec<String> = versions
        .iter()
        .filter_map(|version| match &version.written {
            Written::Plane {
                strike_deg,
                dip_deg,
                ..
            } => Some(format!(
                "{}: strike {strike_deg:03.0}, dip {dip_deg:.0}",
                version.letter
            )),
            Written::Line {
                trend_deg,
                plunge_deg,
            } => Some(format!(
                "{}: trend {trend_deg:03.0}, plunge {plunge_deg:.0}",
                version.letter
            )),
            Written::Other => None,
        })
        .collect();
    format!(
        "net, lower hemisphere, with the book’s poles and the versions; {}",
        said.join("; ")
    )
}
