//! What the rows of a table come to: how many, which are doubted, and the plate that takes them.

use leptos::prelude::*;

use super::page::shortened;
use super::state::{Bringing, Stage};
use crate::app::drawing::{Icon, doubt_sign, icon};
use crate::app::outcrop::kinds;
use crate::app::parts::line::value;
use crate::app::parts::tablet::Tablet;
use crate::app::written;
use crate::exchange::table_import::{Brought, Outcome, Weight};
use crate::notebook::{Reading, attitude};

/// So many doubted rows are listed at once.
const AT_ONCE: usize = 20;

/// The count, the plates, and the doubted rows.
#[component]
pub(super) fn RowsPart(brought: Memo<Brought>) -> impl IntoView {
    let tablet = Tablet::expect();
    let bringing = Bringing::expect();
    let counts = Memo::new(move |_| brought.with(|b| b.counts));
    let busy =
        move || tablet.loading.get().is_some() || bringing.stage.with(|s| *s == Stage::Writing);
    // Rows that are doubted and not yet in the book, taken or left out, by their place in the table.
    let doubted = Memo::new(move |_| {
        brought.with(|b| {
            let rows = b.rows.iter().enumerate();
            let open = rows.filter(|(_, row)| {
                row.is_doubted()
                    && matches!(
                        row.outcome,
                        Outcome::Taken | Outcome::LeftOut | Outcome::Nothing | Outcome::Differs
                    )
            });
            open.map(|(at, _)| at).collect::<Vec<usize>>()
        })
    });
    let shown = RwSignal::new(AT_ONCE);
    let here = RwSignal::new(None::<usize>);
    let all_left = Memo::new(move |_| {
        let left = bringing.left_out.get();
        doubted.with(|all| !all.is_empty() && all.iter().all(|at| left.contains(at)))
    });
    let turn_all = move |_| {
        let leave = !all_left.get_untracked();
        let all = doubted.get_untracked();
        bringing.left_out.update(|left| {
            for at in all {
                if leave {
                    left.insert(at);
                } else {
                    left.remove(&at);
                }
            }
        });
    };
    let take_words = move || {
        let counts = counts.get();
        if counts.taken == counts.rows {
            match counts.rows {
                1 => "Take the 1 row".to_owned(),
                rows => format!("Take all {rows} rows"),
            }
        } else {
            format!("Take {} of {} rows", counts.taken, counts.rows)
        }
    };
    let what = move || {
        let words = counts.get().words();
        let (_, what) = words.split_once(": ").unwrap_or(("", &words));
        format!("{what}, in one commit")
    };
    view! {
        <div role="status" data-testid="bring-account">
            <p class="head-words"><b data-testid="bring-count">{move || counts.get().words()}</b></p>
            {move || counts.get().notes().into_iter().map(|words| view! { <p class="soft small">{words}"."</p> }).collect_view()}
        </div>
        <div class="apply">
            {move || (counts.get().taken > 0).then(|| view! {
                <button class="plate go" data-testid="bring-take" disabled=busy on:click=move |_| bringing.take(brought.get_untracked())>
                    <span aria-hidden="true" inner_html=icon(Icon::List)></span>
                    <span><b>{take_words}</b>{what}</span>
                </button>
            })}
            <button class="plate" data-testid="bring-leave" disabled=busy on:click=move |_| bringing.leave()>"Leave it"</button>
        </div>
        {move || (doubted.with(Vec::len) > 0).then(|| view! {
            <div class="doubted">
                <div class="line-of">
                    <h3 class="small soft">{move || match doubted.with(Vec::len) {
                        1 => "1 row to look at; touch it to see the row as it stands".to_owned(),
                        n => format!("{n} rows to look at; touch one to see the row as it stands"),
                    }}</h3>
                    <button class="plate" data-testid="bring-leave-doubted" aria-pressed=move || all_left.get().to_string() on:click=turn_all>"Leave these out"</button>
                </div>
                {move || {
                    // Another matching may read the same rows as something else.
                    brought.track();
                    let all = doubted.get();
                    all.into_iter().take(shown.get()).map(|at| view! { <DoubtedRow at brought here/> }).collect_view()
                }}
                {move || (doubted.with(Vec::len) > shown.get()).then(|| view! {
                    <button class="plate" data-testid="bring-more" on:click=move |_| shown.update(|n| *n += AT_ONCE)>
                        {move || format!("Show more of {}", doubted.with(Vec::len))}
                    </button>
                })}
            </div>
        })}
    }
}

/// A row with its doubts; touched, it shows itself as it stands in the file, and can be left out.
#[component]
fn DoubtedRow(at: usize, brought: Memo<Brought>, here: RwSignal<Option<usize>>) -> impl IntoView {
    let tablet = Tablet::expect();
    let bringing = Bringing::expect();
    let (line, words, values) = brought.with_untracked(|b| {
        let row = &b.rows[at];
        let words: Vec<String> = row
            .findings
            .iter()
            .filter(|found| found.weight != Weight::Note)
            .map(|found| match found.column {
                Some(column) => bringing.with(|table| {
                    let heading = shortened(&table.headings[column], 24);
                    format!("{heading}: {}", found.words)
                }),
                None => found.words.clone(),
            })
            .map(|words| words.replace('`', ""))
            .collect();
        let notation = tablet.settings.with_untracked(|s| s.notation);
        let values: Vec<(String, String)> = row
            .readings
            .iter()
            .map(|reading: &Reading| {
                let value = written::value(reading, &attitude::of(reading), notation);
                (kinds::words(&reading.kind).to_owned(), value)
            })
            .collect();
        (row.line, words, values)
    });
    let row = bringing.with(|table| shortened(&table.rows[at].text, 400));
    let is_left = Memo::new(move |_| bringing.left_out.with(|left| left.contains(&at)));
    let is_open = Memo::new(move |_| here.get() == Some(at));
    let row = StoredValue::new(row);
    view! {
        <div class="doubted-row" data-testid=format!("bring-row-{line}") data-left=move || is_left.get().to_string()>
            <button class="row-line" data-testid=format!("bring-open-{line}") aria-expanded=move || is_open.get().to_string()
                on:click=move |_| here.update(|h| *h = if *h == Some(at) { None } else { Some(at) })>
                <span aria-hidden="true" inner_html=doubt_sign("?", true)></span>
                <span class="what">
                    <b>"line "{line}{values.into_iter().map(|(kind, text)| view! { " · "{kind}" "<span class="num">{value(&text)}</span> }).collect_view()}</b>
                    {words.into_iter().map(|words| view! { <span>{words}</span> }).collect_view()}
                </span>
                <span class="soft small">{move || is_left.get().then_some("left out")}</span>
            </button>
            {move || is_open.get().then(|| view! {
                <div class="as-it-stands">
                    <p class="small soft">"As it stands in the file"</p>
                    <p class="num">{row.get_value()}</p>
                    <button class="plate" data-testid=format!("bring-turn-{line}") on:click=move |_| bringing.left_out.update(|left| {
                        if !left.remove(&at) {
                            left.insert(at);
                        }
                    })>{move || if is_left.get() { "Take this row" } else { "Leave this row out" }}</button>
                </div>
            })}
        </div>
    }
}
