//! Photos on the pages: the key that takes one, the small pictures of a station, a picture as the browser holds it.

use leptos::html::Input;
use leptos::prelude::*;
use leptos::task::spawn_local;
use web_sys::Url;

use crate::app::drawing::{Icon, doubt_sign, icon};
use crate::app::outcrop::photo::Shown;
use crate::app::parts::tablet::Tablet;
use crate::app::parts::{file, picture};
use crate::notebook::RecordId;
use crate::notebook::photos::sha256 as hash;

/// The key that takes a photo at a station: with the camera at once, or from where the person says.
#[component]
pub(in crate::app) fn PhotoKey(
    class: &'static str,
    id: &'static str,
    #[prop(into)] station: Signal<Option<String>>,
    /// It belongs to the open reading.
    #[prop(optional)]
    with_open: bool,
) -> impl IntoView {
    let tablet = Tablet::expect();
    let input = NodeRef::<Input>::new();
    let take = move |_| {
        let Some(input) = input.get_untracked() else {
            return;
        };
        let chosen = input.files().and_then(|files| files.get(0));
        if let (Some(chosen), Some(station)) = (chosen, station.get_untracked()) {
            tablet.take_photo(chosen, station, with_open);
        }
        input.set_value("");
        // The keys of a keyboard go to the dials again; a field that keeps the focus is still left with Tab.
        let _ = input.blur();
    };
    view! {
        <label class=format!("{class} filepick")>
            <span aria-hidden="true" inner_html=icon(Icon::Photo)></span>
            "Photo"
            <input type="file" accept="image/*" capture=with_open.then_some("environment") data-testid=id
                disabled=move || station.with(Option::is_none) node_ref=input on:change=take/>
        </label>
    }
}

/// The photos of a station, small; each opens on its own page.
#[component]
pub(in crate::app) fn PhotosOf(#[prop(into)] station: Signal<Option<RecordId>>) -> impl IntoView {
    let tablet = Tablet::expect();
    let photos: Memo<Vec<RecordId>> = Memo::new(move |_| {
        station
            .get()
            .map(|station| {
                tablet.read(|shelf| {
                    let page = shelf.pages.station(station.as_str());
                    page.map(|p| p.photos().iter().map(|l| l.record().clone()).collect())
                        .unwrap_or_default()
                })
            })
            .unwrap_or_default()
    });
    view! {
        {move || (!photos.with(Vec::is_empty)).then(|| view! { <h2>"Photos"</h2> })}
        <div class="photos">
            <For each=move || photos.get() key=|r| r.as_str().to_owned() let:record>
                <SmallPhoto record=record/>
            </For>
        </div>
    }
}

#[component]
fn SmallPhoto(record: RecordId) -> impl IntoView {
    let tablet = Tablet::expect();
    let id = StoredValue::new(record.as_str().to_owned());
    let shown = Memo::new(move |_| {
        tablet
            .read(|shelf| Shown::of(shelf, &id.get_value()))
            .unwrap_or_default()
    });
    let sha256 = Memo::new(move |_| shown.with(|s| s.sha256.clone()));
    view! {
        <button
            class="photo"
            data-testid=move || shown.with(|s| format!("photo-{}-{}", s.station, s.number))
            data-state=move || shown.with(|s| if s.struck.is_some() { "struck" } else { "kept" })
            on:click=move |_| tablet.go(&format!("/photo/{}", id.get_value()))
        >
            <span class="hidden-words">{move || shown.with(Shown::spoken)}</span>
            {move || view! { <PhotoImage sha256=sha256.get()/> }}
            {move || shown.with(|s| s.contested).then(|| view! { <span class="doubted" aria-hidden="true" inner_html=doubt_sign("?", false)></span> })}
            <span class="caption" aria-hidden="true">{move || shown.with(Shown::caption)}</span>
            {move || shown.with(|s| (!s.note.is_empty()).then(|| view! { <span class="caption soft" aria-hidden="true">{s.note.clone()}</span> }))}
        </button>
    }
}

/// The picture of a photo, or why it is not to be seen. A large one is proved by its SHA-256 first.
#[component]
pub(in crate::app) fn PhotoImage(
    sha256: String,
    #[prop(optional)] large: bool,
    #[prop(optional)] words: String,
) -> impl IntoView {
    let tablet = Tablet::expect();
    let found = RwSignal::new(None::<Result<String, String>>);
    spawn_local(async move {
        let outcome = match tablet.photo_bytes(&sha256).await {
            Ok(Some(bytes)) if large && hash(&bytes.to_vec()) != sha256 => Err(
                "The bytes of this picture were changed on this tablet. A back-up may have it as it was.".to_owned(),
            ),
            Ok(Some(bytes)) => file::blob(&[bytes.into()], picture::MEDIA)
                .and_then(|blob| file::blob_address(&blob)),
            Ok(None) => Err(
                "The picture is not on this tablet: the book came without it.".to_owned(),
            ),
            Err(error) => Err(format!("The picture could not be read: {error}")),
        };
        if let Some(Some(Ok(address))) = found.try_set(Some(outcome)) {
            let_go(&address);
        }
    });
    on_cleanup(move || {
        if let Some(Some(Ok(address))) = found.try_get_untracked() {
            let_go(&address);
        }
    });
    view! {
        <span class="picture" class:large=large>
            {move || found.get().map(|found| match found {
                Ok(address) => view! { <img src=address alt=words.clone() decoding="async" data-testid="picture"/> }.into_any(),
                Err(why) => view! { <span class="none" data-testid="no-picture">{why}</span> }.into_any(),
            })}
        </span>
    }
}

/// Gives up an address of this page.
fn let_go(address: &str) {
    // An address that is not known any more needs no giving up.
    let _ = Url::revoke_object_url(address);
}
