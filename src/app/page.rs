//! The root of the app: opens the book, sets the light and the hand, and turns the pages.

use leptos::prelude::*;
use leptos::task::spawn_local;
use leptos_router::NavigateOptions;
use leptos_router::components::{Route, Router, Routes};
use leptos_router::hooks::{use_location, use_navigate};
use leptos_router::path;
use wasm_bindgen::JsCast;
use wasm_bindgen::closure::Closure;

use crate::app::camp::bring_table::{page::BringTablePage, state::Bringing};
use crate::app::camp::join::{page::JoinPage, state::Joining};
use crate::app::camp::settle::page::{SettleList, SettlePage};
use crate::app::camp::{
    hand_over::page::HandOverPage, home::Camp, set_up::InstrumentPage, start::Start,
    turning::TurningPage, weighing::StoreWeigh, wrong::WrongPage,
};
use crate::app::history::page::HistoryPage;
use crate::app::net::{page::NetPage, state::NetState, weighing::NetWeigh};
use crate::app::outcrop::{
    measure::Outcrop, photo_page::PhotoPage, sighting::SightingPage, station::StationPage,
};
use crate::app::parts::focus::Focus;
use crate::app::parts::head::Head;
use crate::app::parts::tablet::{Phase, Tablet};
use crate::app::reckon::{page::ReckonPage, state::Reckoning};
use crate::app::traverse::{list::Traverse, page::DayPage};

/// Mounts the app on the page's body.
pub fn start() {
    std::panic::set_hook(Box::new(|info| {
        console_error_panic_hook::hook(info);
        show_way_out();
    }));
    mount_to_body(App);
}

/// A view that panicked leaves the draft and the book where they are; the page says how to go on.
fn show_way_out() {
    let document = document();
    if matches!(document.query_selector(".way-out"), Ok(Some(_))) {
        return;
    }
    let (Some(body), Ok(sheet)) = (document.body(), document.create_element("div")) else {
        return;
    };
    sheet.set_class_name("way-out");
    // Nothing can be done where even this fails; the console has the reason.
    let _ = sheet.set_attribute("role", "alert");
    let _ = sheet.set_attribute("data-testid", "way-out");
    sheet.set_inner_html(
        "<h1>This page stopped.</h1><p>What the head called kept, and the draft of what you typed, are safe on this tablet.</p>\
         <p><a class=\"plate on\" rel=\"external\" href=\"outcrop\">Go on at the outcrop</a></p>",
    );
    let _ = body.append_child(&sheet);
}

#[component]
fn App() -> impl IntoView {
    let tablet = Tablet::new();
    provide_context(tablet);
    NetState::provide(tablet);
    Joining::provide(tablet);
    Bringing::provide(tablet);
    Reckoning::provide();
    Effect::new(move |_| {
        let (hand, light) = tablet.settings.with(|s| (s.hand.word(), s.light.word()));
        if let Some(root) = document().document_element() {
            // An attribute of the root cannot fail to be set.
            let _ = root.set_attribute("data-look", light);
            let _ = root.set_attribute("data-hand", hand);
        }
    });
    let measure = move || {
        if let Some(width) = window().inner_width().ok().and_then(|w| w.as_f64()) {
            tablet.width.set(width);
        }
    };
    measure();
    listen(&window(), "resize", measure);
    listen(&window(), "pagehide", move || {
        tablet.keep_draft();
        tablet.copy_if_due(true);
    });
    listen(&document(), "visibilitychange", move || {
        if document().hidden() {
            tablet.copy_if_due(true);
            tablet.remember_first_lines();
        }
    });
    tablet.keep_copies();
    tablet.keep_first_lines();
    listen(&window(), "hingeline-update", move || {
        tablet.update.set(true)
    });
    places_by_key(tablet);
    tablet.claim_tab();
    spawn_local(async move { tablet.start().await });
    let base = base_path();
    view! {
        <Router base=base>
            <Pages/>
        </Router>
    }
}

/// Alt with O, T or C turns to the place of that letter, from every page.
fn places_by_key(tablet: Tablet) {
    let handle = window_event_listener(leptos::ev::keydown, move |event| {
        let place = match event.code().as_str() {
            "KeyO" => "/outcrop",
            "KeyT" => "/traverse",
            "KeyC" => "/camp",
            _ => return,
        };
        let other = event.ctrl_key() || event.meta_key() || event.shift_key();
        if event.alt_key() && !other && tablet.phase.get_untracked() == Phase::Ready {
            event.prevent_default();
            tablet.go(place);
        }
    });
    on_cleanup(move || handle.remove());
}

/// Where the app lives, from the page's base tag.
fn base_path() -> String {
    document()
        .base_uri()
        .ok()
        .flatten()
        .and_then(|uri| web_sys::Url::new(&uri).ok())
        .map(|url| url.pathname().trim_end_matches('/').to_owned())
        .unwrap_or_default()
}

#[component]
fn Pages() -> impl IntoView {
    let tablet = Tablet::expect();
    let navigate = use_navigate();
    tablet.set_navigate(move |path| navigate(path, NavigateOptions::default()));
    let path = use_location().pathname;
    let focus = Focus::watch();
    Effect::new(move |before: Option<String>| {
        let now = path.get();
        if before.is_some_and(|before| before != now) {
            focus.turn();
        }
        now
    });
    let phase = Memo::new(move |_| tablet.phase.get());
    view! {
        {move || match phase.get() {
            Phase::Starting => view! { <div class="page"><Warning/><main class="room"><p class="soft" role="status">"Opening the book …"</p></main></div> }.into_any(),
            Phase::Empty => view! { <div class="page"><Warning/><Start/></div> }.into_any(),
            Phase::Ready => view! {
                <div class="page">
                    <Head/>
                    <Routes fallback=NotAPage>
                        <Route path=path!("/") view=Outcrop/>
                        <Route path=path!("/outcrop") view=Outcrop/>
                        <Route path=path!("/station/:number") view=StationPage/>
                        <Route path=path!("/sighting") view=SightingPage/>
                        <Route path=path!("/photo/:record") view=PhotoPage/>
                        <Route path=path!("/traverse") view=DayPage/>
                        <Route path=path!("/traverse/all") view=Traverse/>
                        <Route path=path!("/traverse/net") view=NetPage/>
                        <Route path=path!("/traverse/net/weigh") view=NetWeigh/>
                        <Route path=path!("/traverse/history/:record") view=HistoryPage/>
                        <Route path=path!("/traverse/reckon") view=ReckonPage/>
                        <Route path=path!("/traverse/:day") view=DayPage/>
                        <Route path=path!("/camp") view=Camp/>
                        <Route path=path!("/camp/hand-over") view=HandOverPage/>
                        <Route path=path!("/camp/join") view=JoinPage/>
                        <Route path=path!("/camp/bring-table") view=BringTablePage/>
                        <Route path=path!("/camp/settle") view=SettleList/>
                        <Route path=path!("/camp/settle/:record") view=SettlePage/>
                        <Route path=path!("/camp/set-up/:record") view=InstrumentPage/>
                        <Route path=path!("/camp/set-up/:record/declination") view=TurningPage/>
                        <Route path=path!("/camp/set-up/:record/set-wrongly") view=WrongPage/>
                        <Route path=path!("/camp/weigh") view=StoreWeigh/>
                        <Route path=path!("/panic") view=Panicking/>
                    </Routes>
                </div>
            }.into_any(),
        }}
    }
}

#[component]
fn Warning() -> impl IntoView {
    let tablet = Tablet::expect();
    move || {
        tablet
            .warning
            .get()
            .map(|words| view! { <div class="loud" role="alert" data-testid="warning"><p>{words}</p></div> })
    }
}

#[component]
fn NotAPage() -> impl IntoView {
    let tablet = Tablet::expect();
    view! {
        <main class="room">
            <h1>"There is no such page"</h1>
            <p>"The book has three places: Outcrop, Traverse and Camp."</p>
            <button class="plate on" on:click=move |_| tablet.go("/outcrop")>"Outcrop"</button>
        </main>
    }
}

/// A page that stops on purpose, so that a test can see what a person sees then.
#[component]
fn Panicking() -> impl IntoView {
    let tablet = Tablet::expect();
    assert!(
        tablet.phase.get_untracked() != Phase::Ready,
        "this page panics on purpose, to show that nothing is lost"
    );
}

fn listen(target: &web_sys::EventTarget, event: &str, act: impl FnMut() + 'static) {
    let closure = Closure::<dyn FnMut()>::new(act);
    // The window takes every listener; there is nothing to do where it does not.
    let _ = target.add_event_listener_with_callback(event, closure.as_ref().unchecked_ref());
    closure.forget();
}
