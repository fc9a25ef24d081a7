//! The page that brings a table in: what each column is taken for, what is doubted, and one plate that takes it.

use leptos::html::Input;
use leptos::prelude::*;

use super::rows::RowsPart;
use super::state::{Bringing, Kept, Stage};
use super::unsaid::Unsaid;
use crate::app::drawing::{Icon, doubt_sign, icon};
use crate::app::parts::tablet::Tablet;
use crate::exchange::table_import::{Brought, Matched, What};

/// The page.
#[component]
pub(in crate::app) fn BringTablePage() -> impl IntoView {
    let tablet = Tablet::expect();
    let bringing = Bringing::expect();
    let brought = Memo::new(move |_| bringing.brought());
    let open = Memo::new(move |_| {
        bringing.matching.with(Option::is_some)
            && bringing
                .stage
                .with(|s| matches!(s, Stage::Open | Stage::Writing | Stage::Failed(_)))
    });
    view! {
        <main class="room bring" data-testid="bring-page">
            <div class="title">
                <div class="what">
                    <h1>"Bring in a table"</h1>
                    <p class="soft small">"Readings from a CSV file. Nothing is written before you say so; what cannot be read goes into the note."</p>
                </div>
                <button class="plate" data-testid="bring-camp" on:click=move |_| tablet.go("/camp")>
                    <span class="turned" aria-hidden="true" inner_html=icon(Icon::Arrow)></span>"Camp"
                </button>
            </div>
            <ChooseTable/>
            {move || match bringing.stage.get() {
                Stage::Nothing => view! { <p class="soft" data-lands data-testid="bring-nothing">"No table is open. What this page says of one is not kept when the page ends."</p> }.into_any(),
                Stage::Reading(words) => view! { <p class="report" role="status" data-testid="bring-reading">{words}</p> }.into_any(),
                Stage::Writing => view! { <p class="report" role="status" data-lands data-testid="bring-writing">"Writing all of it in one commit …"</p> }.into_any(),
                Stage::Done(kept) => view! { <WasBrought kept/> }.into_any(),
                Stage::Failed(words) => view! {
                    <div class="report bad" role="alert" data-lands data-testid="bring-failed">
                        <span aria-hidden="true" inner_html=doubt_sign("?", false)></span><p>{words}</p>
                    </div>
                }.into_any(),
                Stage::Open => ().into_any(),
            }}
            {move || open.get().then(|| view! { <TheTable brought=brought/> })}
        </main>
    }
}

/// What came with the table, or that it was taken back and how it comes in again.
#[component]
fn WasBrought(kept: Kept) -> impl IntoView {
    let tablet = Tablet::expect();
    let records = kept.clone();
    let undone = Memo::new(move |_| tablet.read(|shelf| records.is_undone(&shelf.ledger)));
    let words = move || {
        let Kept {
            table,
            counts,
            records,
        } = kept.clone();
        let count = match records.len() {
            1 => "1 record".to_owned(),
            n => format!("{n} records"),
        };
        if undone.get() {
            (
                "Taken back. ",
                format!(
                    "Nothing of {table} stands in the book now; what it brought stays in the history, struck out: {count}. \
                     Redo, above, brings it in again as it was; so does the same file, opened here once more."
                ),
            )
        } else {
            (
                "Brought in. ",
                format!(
                    "{table}, {counts}. {count} kept in one commit; Undo takes back all of it."
                ),
            )
        }
    };
    let words = Memo::new(move |_| words());
    view! {
        <p class="report" role="status" data-lands data-testid="bring-done" data-undone=move || undone.get().to_string()>
            <b>{move || words.get().0}</b>{move || words.get().1}
        </p>
    }
}

/// A table from elsewhere, matched column by column.
#[component]
pub(in crate::app) fn TableItem() -> impl IntoView {
    let tablet = Tablet::expect();
    let bringing = Bringing::expect();
    let open = Memo::new(move |_| {
        bringing
            .stage
            .with(|s| !matches!(s, Stage::Nothing | Stage::Done(_)))
    });
    view! {
        <div class="item">
            <span class="icon" aria-hidden="true" inner_html=icon(Icon::List)></span>
            <div class="what"><b>"Readings in a table"</b><span>"columns are matched and doubts shown before anything is taken"</span></div>
            {move || open.get().then(|| view! { <button class="plate" data-testid="bring-go-on" on:click=move |_| tablet.go("/camp/bring-table")>"Go on"</button> })}
        </div>
        <ChooseTable/>
    }
}

/// A plate that takes one table.
#[component]
fn ChooseTable() -> impl IntoView {
    let tablet = Tablet::expect();
    let bringing = Bringing::expect();
    let input = NodeRef::<Input>::new();
    let chosen = move |_| {
        let Some(input) = input.get_untracked() else {
            return;
        };
        let file = input.files().and_then(|files| files.get(0));
        // The same file may be chosen again.
        input.set_value("");
        if let Some(file) = file {
            bringing.open(file);
            tablet.go("/camp/bring-table");
        }
    };
    view! {
        <div class="picks">
            <label class="plate filepick">
                <span aria-hidden="true" inner_html=icon(Icon::List)></span>
                "Open a table (CSV)"
                <input type="file" data-testid="open-table" accept=".csv,.tsv,.txt,.tab,text/csv,text/plain,text/tab-separated-values" node_ref=input on:change=chosen/>
            </label>
        </div>
    }
}

/// So many values of a column are shown.
const SAMPLES: usize = 3;

#[component]
fn TheTable(brought: Memo<Brought>) -> impl IntoView {
    let bringing = Bringing::expect();
    let here = RwSignal::new(None::<usize>);
    let (name, remarks, columns) = bringing.with(|table| {
        (
            table.name.clone(),
            table.remarks.clone(),
            table.headings.len(),
        )
    });
    let own = bringing
        .matching
        .with_untracked(|m| m.as_ref().is_some_and(|m| m.own.is_some()));
    view! {
        <section aria-label="the table">
            <h2 data-testid="bring-name">{name}</h2>
            {remarks.into_iter().map(|words| {
                let doubted = words.starts_with("doubt: ");
                let words = words.trim_start_matches("doubt: ").replace('`', "");
                view! {
                    <p class="remark">
                        {doubted.then(|| view! { <span aria-hidden="true" inner_html=doubt_sign("?", true)></span><span class="hidden-words">"doubt: "</span> })}
                        <span>{words}</span>
                    </p>
                }
            }).collect_view()}
            {own.then(|| view! { <p class="soft" data-testid="bring-own">"A table that this app handed over: every column is known."</p> })}
            <RowsPart brought/>
            <Unsaid/>
            {(columns > 0).then(|| view! { <h3 class="small soft">"Every column, and what it is taken for"</h3> })}
            <div class="columns">
                {(0..columns).map(|column| view! { <Column column here/> }).collect_view()}
            </div>
        </section>
    }
}

#[component]
fn Column(column: usize, here: RwSignal<Option<usize>>) -> impl IntoView {
    let bringing = Bringing::expect();
    let (heading, samples) = bringing.with(|table| {
        let samples: Vec<String> = table
            .samples(column, SAMPLES)
            .into_iter()
            .map(|text| shortened(text, 28))
            .collect();
        (shortened(&table.headings[column], 60), samples)
    });
    let matched = Memo::new(move |_| {
        bringing.matching.with(|matching| {
            let matched = matching.as_ref().and_then(|m| m.columns.get(column));
            matched.cloned().unwrap_or(Matched {
                what: What::Kept,
                why: String::new(),
            })
        })
    });
    let is_open = Memo::new(move |_| here.get() == Some(column));
    let label = format!("{heading}: what it is");
    let samples = match samples.is_empty() {
        true => "nothing stands in it".to_owned(),
        false => samples.join(" · "),
    };
    let number = column + 1;
    view! {
        <div class="column" data-testid=format!("column-{number}")>
            <span class="num nth">{number}</span>
            <div class="what">
                <b>{heading}</b>
                <span class="samples">{samples}</span>
                <span class="soft small">{move || matched.get().why.replace('`', "")}</span>
            </div>
            <button class="plate" data-testid=format!("column-what-{number}") aria-label=move || format!("{label}: {}", matched.get().what.words())
                aria-expanded=move || is_open.get().to_string()
                on:click=move |_| here.update(|h| *h = if *h == Some(column) { None } else { Some(column) })>
                {move || matched.get().what.words()}
            </button>
            {move || is_open.get().then(|| view! { <Choices column matched here/> })}
        </div>
    }
}

/// Everything that a column can be.
#[component]
fn Choices(column: usize, matched: Memo<Matched>, here: RwSignal<Option<usize>>) -> impl IntoView {
    let bringing = Bringing::expect();
    let mut groups: Vec<(&'static str, Vec<What>)> = Vec::new();
    for what in What::ALL
        .into_iter()
        .filter(|what| *what != What::HandedOver)
    {
        match groups.last_mut() {
            Some((group, all)) if *group == what.group() => all.push(what),
            _ => groups.push((what.group(), vec![what])),
        }
    }
    let choose = move |what: What| {
        bringing.matching.update(|matching| {
            if let Some(matching) = matching {
                matching.set(column, what);
            }
        });
        here.set(None);
    };
    view! {
        <div class="choices" role="group" aria-label="what this column can be">
            {groups.into_iter().map(|(group, all)| view! {
                <p class="small soft">{group}</p>
                <div class="plates">
                    {all.into_iter().map(|what| view! {
                        <button class="plate" data-testid=format!("what-{}", what.name()) aria-pressed=move || (matched.get().what == what).to_string()
                            on:click=move |_| choose(what)>{what.words()}</button>
                    }).collect_view()}
                </div>
            }).collect_view()}
        </div>
    }
}

/// A text cut to so many characters.
pub(super) fn shortened(text: &str, longest: usize) -> String {
    let mut chars = text.chars();
    let start: String = chars.by_ref().take(longest).collect();
    match chars.next() {
        Some(_) => format!("{start}…"),
        None => start,
    }
}
