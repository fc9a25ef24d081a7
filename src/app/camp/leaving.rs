//! Files that are about to leave the tablet: the book as it stands, or only what is new since the last back-up.

use leptos::prelude::*;
use leptos::task::spawn_local;

use crate::app::camp::join::shown::{counted, sentence};
use crate::app::drawing::{Icon, doubt_sign, icon};
use crate::app::parts::file;
use crate::app::parts::tablet::{Outgoing, Tablet};
use crate::app::settings::BackUp;
use crate::app::written::moment_words;
use crate::notebook::beyond;

/// A file that is about to leave the tablet.
pub(super) struct Leaving {
    pub(super) name: String,
    content: Outgoing,
    /// The photos that could not come along.
    missing: Vec<String>,
    pub(super) made: BackUp,
}

impl Leaving {
    /// The book as it stands now, with its photos.
    pub(super) async fn now(tablet: Tablet) -> Result<Self, String> {
        let made = tablet.back_up_now();
        let (name, text) = tablet.file();
        let photos = tablet.photos_named();
        let (content, missing) = tablet.outgoing(text, photos).await?;
        Ok(Self::of(made, name, content, missing))
    }

    /// Only what is new since the last back-up, with its photos.
    async fn only_new(tablet: Tablet) -> Result<Self, String> {
        let made = tablet.back_up_now();
        let (name, text, photos) = tablet.only_new()?;
        let (content, missing) = tablet.outgoing(text, photos).await?;
        Ok(Self::of(made, name, content, missing))
    }

    fn of(made: BackUp, name: String, content: Outgoing, missing: Vec<String>) -> Self {
        let name = match content {
            Outgoing::Book(_) => name,
            Outgoing::Archive(_) => format!("{}.zip", name.trim_end_matches(".json")),
        };
        Self {
            name,
            content,
            missing,
            made,
        }
    }

    pub(super) fn has_photos(&self) -> bool {
        matches!(self.content, Outgoing::Archive(_))
    }

    pub(super) fn download(&self) -> Result<(), String> {
        match &self.content {
            Outgoing::Book(text) => file::download(&self.name, text),
            Outgoing::Archive(blob) => file::hand_out(&self.name, &file::blob_address(blob)?),
        }
    }

    pub(super) async fn share(&self) -> Result<bool, String> {
        match &self.content {
            Outgoing::Book(text) => file::share(&self.name, text).await,
            Outgoing::Archive(blob) => file::share_part(&self.name, blob, "application/zip").await,
        }
    }

    /// What has to be said of the photos that are not in it.
    pub(super) fn lacks(&self) -> String {
        match self.missing.len() {
            0 => String::new(),
            1 => format!(
                " A photo is not in it, because its picture is not on this tablet: {}.",
                self.missing[0]
            ),
            n => format!(
                " {n} photos are not in it, because their pictures are not on this tablet: {}{}.",
                self.missing[..n.min(5)].join(", "),
                if n > 5 { " and more" } else { "" }
            ),
        }
    }
}

/// Only what is new since the last back-up, for those who have that one: a small file, and no back-up.
#[component]
pub(super) fn OnlyNew() -> impl IntoView {
    let tablet = Tablet::expect();
    let busy = RwSignal::new(false);
    let report = RwSignal::new(None::<String>);
    let since = Memo::new(move |_| {
        let entries = tablet.read(|shelf| shelf.ledger.len());
        tablet.settings.with(|s| {
            let back_up = s.back_up.as_ref()?;
            let held = back_up.held.as_ref()?;
            let new = entries.checked_sub(held.count).filter(|new| *new > 0)?;
            Some((new, back_up.at.clone()))
        })
    });
    // Where the browser asks for a fresh touch once the photos are put together, the file waits here.
    let ready = StoredValue::new_local(None::<Leaving>);
    let hand = move |shares: bool| {
        let Some((_, at)) = since.get_untracked() else {
            return;
        };
        busy.set(true);
        spawn_local(async move {
            let waiting = ready.try_update_value(Option::take).flatten();
            let file = match waiting.filter(|_| shares) {
                Some(file) => Ok(file),
                None => Leaving::only_new(tablet).await,
            };
            let part = format!(
                "It holds only what is new since the back-up of {}, and is no back-up: open it where that one is, before or after.",
                moment_words(&at)
            );
            let words = match file {
                Ok(file) if shares => match file.share().await {
                    Ok(true) => format!("{}: handed on. {part}{}", file.name, file.lacks()),
                    Ok(false) => "Nothing was handed on.".to_owned(),
                    Err(error) if file.has_photos() => {
                        ready.set_value(Some(file));
                        format!(
                            "The file is put together. Touch \u{201c}hand on\u{201d} once more ({error})."
                        )
                    }
                    Err(error) => format!("Nothing was handed on: {error}"),
                },
                Ok(file) => match file.download() {
                    Ok(()) => format!(
                        "{}: handed to the browser's downloads. {part}{}",
                        file.name,
                        file.lacks()
                    ),
                    Err(error) => format!("No file was made: {error}"),
                },
                Err(error) => format!("No file was made: {error}"),
            };
            busy.set(false);
            report.set(Some(words));
        });
    };
    let closed = move || tablet.loading.get().is_some() || busy.get();
    view! {
        {move || since.get().map(|(new, at)| view! {
            <div class="item" data-testid="only-new">
                <span class="icon" aria-hidden="true" inner_html=icon(Icon::Join)></span>
                <div class="what"><b>"Only what is new"</b><span>{format!(
                    "{} since the back-up of {}: a small file for who has that one; no back-up",
                    counted(new, "entry", "entries"),
                    moment_words(&at)
                )}</span></div>
                <button class="plate" data-testid="backup-new" aria-label="Make a file of only what is new" disabled=closed on:click=move |_| hand(false)>"Make"</button>
                {file::can_share().then(|| view! {
                    <button class="plate" data-testid="share-new" aria-label="Hand on only what is new" disabled=closed on:click=move |_| hand(true)>"hand on"</button>
                })}
            </div>
        })}
        <p class="report" role="status" data-testid="only-new-report">{move || report.get().unwrap_or_default()}</p>
    }
}

/// What the book on this tablet goes beyond and does not hold.
#[component]
pub(super) fn OnlyPart() -> impl IntoView {
    let tablet = Tablet::expect();
    let words = Memo::new(move |_| {
        // While the book is read nothing can be told of what is not in it.
        match tablet.loading.get() {
            Some(_) => String::new(),
            None => beyond::words(&tablet.standing()),
        }
    });
    move || {
        let words = words.get();
        (!words.is_empty()).then(|| {
            view! {
                <div class="item" data-testid="only-part">
                    <span class="icon" aria-hidden="true" inner_html=doubt_sign("?", true)></span>
                    <div class="what"><b><span class="hidden-words">"doubt: "</span>"The book here is only a part"</b><span>{sentence(&words)}</span></div>
                </div>
            }
        })
    }
}
