//! The net as a page of its own.

use leptos::prelude::*;

use super::view::NetView;
use crate::app::parts::tablet::Tablet;

/// The net, large.
#[component]
pub(in crate::app) fn NetPage() -> impl IntoView {
    let tablet = Tablet::expect();
    view! {
        <main class="room net-page" data-testid="net-page">
            <div class="day">
                <h1>"Net"</h1>
                <button class="plate end" data-testid="reckon-open" on:click=move |_| tablet.go("/traverse/reckon")>"Reckon"</button>
                <button class="plate" data-testid="net-back" on:click=move |_| tablet.go("/traverse")>"List"</button>
            </div>
            <NetView/>
        </main>
    }
}
