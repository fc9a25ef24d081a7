//! The join page: which files, what joining them would do, and one plate that does it.

use js_sys::Reflect;
use leptos::html::Input;
use leptos::prelude::*;
use web_sys::{File, HtmlInputElement};

use super::shown::{FileShown, Said, Shown, counted, last_station};
use super::state::{Joining, Stage};
use crate::app::camp::join::twins::TwinList;
use crate::app::camp::settle::page::Waiting;
use crate::app::drawing::{Icon, doubt_sign, icon, join_lines};
use crate::app::parts::tablet::{Phase, Tablet};

/// The page.
#[component]
pub(in crate::app) fn JoinPage() -> impl IntoView {
    let tablet = Tablet::expect();
    let joining = Joining::expect();
    let nothing = Memo::new(move |_| joining.stage.with(|s| *s == Stage::Nothing));
    view! {
        <main class="room join" data-testid="join-page">
            <div class="title">
                <div class="what">
                    <h1>"Join books"</h1>
                    <p class="soft small">"Adds what is new; changes nothing that is here. Nothing is written before you say so."</p>
                </div>
                <button class="plate" data-testid="join-camp" on:click=move |_| tablet.go("/camp")>
                    <span class="turned" aria-hidden="true" inner_html=icon(Icon::Arrow)></span>"Camp"
                </button>
            </div>
            <OpenFiles/>
            {move || nothing.get().then(|| view! {
                <p class="soft" data-lands data-testid="join-nothing">"No file is open. What a page says of a join is not kept when the page ends: nothing was written, so open the files again."</p>
            })}
            <JoinPart/>
            <After/>
        </main>
    }
}

/// Whether this browser can hand over a whole folder.
fn takes_folders() -> bool {
    let prototype = Reflect::get(&window(), &"HTMLInputElement".into())
        .and_then(|class| Reflect::get(&class, &"prototype".into()));
    prototype
        .is_ok_and(|prototype| Reflect::has(&prototype, &"webkitdirectory".into()).unwrap_or(false))
}

fn chosen(input: &HtmlInputElement) -> Vec<File> {
    let Some(list) = input.files() else {
        return Vec::new();
    };
    let files = (0..list.length()).filter_map(|i| list.get(i)).collect();
    // The same file may be chosen again.
    input.set_value("");
    files
}

/// Plates that take one or many book files, and a folder where the browser can.
#[component]
pub(in crate::app) fn OpenFiles() -> impl IntoView {
    let tablet = Tablet::expect();
    let joining = Joining::expect();
    let files = NodeRef::<Input>::new();
    let folder = NodeRef::<Input>::new();
    Effect::new(move |_| {
        if let Some(input) = folder.get() {
            // A browser that does not know the attribute has no such plate.
            let _ = input.set_attribute("webkitdirectory", "");
        }
    });
    let open = move |input: NodeRef<Input>, folder: bool| {
        if let Some(input) = input.get_untracked() {
            let chosen = chosen(&input);
            if !chosen.is_empty() {
                joining.open(chosen, folder);
                if tablet.phase.get_untracked() == Phase::Ready {
                    tablet.go("/camp/join");
                }
            }
        }
    };
    view! {
        <div class="picks">
            <label class="plate filepick">
                <span aria-hidden="true" inner_html=icon(Icon::Book)></span>
                "Open book files"
                <input type="file" multiple data-testid="open-file" accept=".json,.zip,application/json,application/zip" node_ref=files on:change=move |_| open(files, false)/>
            </label>
            {takes_folders().then(|| view! {
                <label class="plate filepick">
                    <span aria-hidden="true" inner_html=icon(Icon::List)></span>
                    "Open a folder"
                    <input type="file" multiple data-testid="open-folder" node_ref=folder on:change=move |_| open(folder, true)/>
                </label>
            })}
        </div>
    }
}

/// What stands below the files: the reading, the plan, or what became of it.
#[component]
pub(in crate::app) fn JoinPart() -> impl IntoView {
    let joining = Joining::expect();
    move || {
        match joining.stage.get() {
        Stage::Nothing => ().into_any(),
        Stage::Reading(words) => view! { <p class="report" role="status" data-testid="join-reading">{words}</p> }.into_any(),
        Stage::Planned(shown) => view! { <ThePlan shown=shown failed=None/> }.into_any(),
        Stage::Failed(shown, why) => view! { <ThePlan shown=shown failed=Some(why)/> }.into_any(),
        Stage::Writing(count) => view! {
            <p class="report" role="status" data-lands data-testid="join-writing">{format!("Writing {} in one commit …", counted(count, "entry", "entries"))}</p>
        }.into_any(),
        Stage::Done(words) => view! {
            <div class="joined">
                <p class="report" role="status" data-lands data-arrives data-testid="import-report" data-outcome="ok"><b>"Joined. "</b>{words}</p>
                <p class="soft small">"A join is not undone: entries are never taken out of a book. What should not stand is struck out, and stays legible."</p>
            </div>
        }.into_any(),
    }
    }
}

#[component]
fn ThePlan(shown: Shown, failed: Option<String>) -> impl IntoView {
    let tablet = Tablet::expect();
    let joining = Joining::expect();
    let Shown {
        files,
        head,
        detail,
        said,
        new,
        photos,
        all_damaged,
        lines,
    } = shown;
    let applies = new > 0 || photos > 0;
    let part = said.iter().any(|said| said.about == "part");
    let what = match (new, photos) {
        (new, 0) => counted(new, "new entry", "new entries"),
        (0, photos) => counted(photos, "photo", "photos"),
        (new, photos) => format!(
            "{} and {}",
            counted(new, "new entry", "new entries"),
            counted(photos, "photo", "photos")
        ),
    };
    // What was not written is said first.
    let calm = failed.is_none().then_some("");
    // A file that is no book is named with why; the report says that the book is as it was.
    let report = match (&failed, all_damaged) {
        (Some(why), _) => Some((
            "refused",
            format!(
                "Nothing was written, and nothing changed: {why}. The plan is still here; try again, or leave it."
            ),
        )),
        (None, true) => {
            let each: Vec<String> = files
                .iter()
                .map(|file| {
                    format!(
                        "{} was not opened, and nothing changed: {}",
                        file.name, file.words
                    )
                })
                .collect();
            Some(("refused", each.join(". ")))
        }
        (None, false) if !applies => {
            let each: Vec<String> = files
                .iter()
                .filter(|file| !file.damaged)
                .map(|file| format!("{}, {}", file.name, file.words))
                .collect();
            Some(("ok", format!("{}. Nothing changed.", each.join("; "))))
        }
        _ => None,
    };
    let own_last = tablet.read_once(|shelf| {
        shelf
            .pages
            .stations()
            .last()
            .map(|page| page.line().number())
    });
    let last = last_station(&lines, own_last);
    let by = (tablet.phase.get_untracked() != Phase::Empty)
        .then(|| tablet.settings.with_untracked(|s| s.by.clone()));
    let drawn = !lines.is_empty() && new > 0;
    let lines = StoredValue::new(lines);
    let lines_words = lines.with_value(|lines| {
        let each: Vec<String> = lines
            .iter()
            .map(|line| {
                format!(
                    "{}: new at {}, changed on both at {}",
                    line.name,
                    counted(line.new.len(), "station", "stations"),
                    counted(line.both.len(), "station", "stations")
                )
            })
            .collect();
        format!("the books beside each other; {}", each.join("; "))
    });
    let room = move || {
        let glass = tablet.width.get();
        (if glass < 700.0 {
            glass - 24.0
        } else {
            glass - 48.0
        })
        .clamp(280.0, 1140.0)
    };
    view! {
        <section class="plan" data-testid="join-plan" aria-label="what joining would do">
            {(!all_damaged).then(|| view! {
                <p class="head-words" role="status" data-lands=calm data-arrives=calm data-testid="join-head"><b>{head}</b></p>
                <p class="soft small" data-testid="join-detail">{detail}</p>
            })}
            {drawn.then(|| view! {
                <div class="lines-of" role="img" aria-label=lines_words
                    inner_html=move || lines.with_value(|lines| join_lines(by.as_deref(), lines, last, room()))></div>
            })}
            {report.map(|(outcome, words)| view! {
                <div class="report" class:bad=outcome == "refused" role=if outcome == "refused" { "alert" } else { "status" } data-lands data-testid="import-report" data-outcome=outcome>
                    {(outcome == "refused").then(|| view! { <span aria-hidden="true" inner_html=doubt_sign("?", false)></span> })}
                    <p>{words}</p>
                </div>
            })}
            {said.into_iter().map(|one| view! { <OneSaid said=one/> }).collect_view()}
            <h2 class="small soft">"The files"</h2>
            {files.into_iter().enumerate().map(|(i, file)| view! { <OneFile number=i + 1 file=file/> }).collect_view()}
            <div class="apply">
                {applies.then(|| view! {
                    <button class="plate go" data-testid="join-apply" disabled=move || tablet.loading.get().is_some() on:click=move |_| joining.apply()>
                        <span aria-hidden="true" inner_html=icon(Icon::Join)></span>
                        <span><b>{match (tablet.phase.get_untracked() == Phase::Empty, part) {
                            (true, true) => "Bring this part here",
                            (true, false) => "Bring this book here",
                            _ => "Join",
                        }}</b>
                        {what}", in one commit"</span>
                    </button>
                })}
                <button class="plate" data-testid="join-leave" on:click=move |_| joining.leave()>"Leave it"</button>
            </div>
        </section>
    }
}

#[component]
fn OneSaid(said: Said) -> impl IntoView {
    view! {
        <div class="item" data-testid=format!("join-{}", said.about)>
            <span class="icon" aria-hidden="true" inner_html=if said.doubted { doubt_sign("?", true) } else { icon(Icon::Join) }></span>
            <div class="what"><b>{said.doubted.then(|| view! { <span class="hidden-words">"doubt: "</span> })}{said.head}</b><span>{said.words}</span></div>
        </div>
    }
}

#[component]
fn OneFile(number: usize, file: FileShown) -> impl IntoView {
    view! {
        <div class="item" data-testid=format!("join-file-{number}") data-damaged=file.damaged.to_string()>
            <span class="icon" aria-hidden="true" inner_html=if file.damaged { doubt_sign("?", true) } else { icon(Icon::People) }></span>
            <div class="what">
                <b>{file.name}{file.damaged.then_some(": left out")}</b>
                <span>{file.words}</span>
                {file.of.map(|words| view! { <span>{words}</span> })}
            </div>
        </div>
    }
}

/// What is to be done after a join: settle, tie, renumber.
#[component]
pub(in crate::app) fn After() -> impl IntoView {
    let joining = Joining::expect();
    let done = Memo::new(move |_| {
        joining
            .stage
            .with(|s| matches!(s, Stage::Done(_) | Stage::Nothing))
    });
    move || {
        done.get().then(|| {
            view! {
                <div class="after">
                    <Waiting/>
                    <TwinList/>
                </div>
            }
        })
    }
}
