//! What a table does not say itself and a person has to: which north, which side, which zone, which kind.

use std::collections::BTreeSet;

use leptos::prelude::*;

use super::state::Bringing;
use crate::app::camp::set_up::Keys;
use crate::app::outcrop::kinds::KINDS;
use crate::app::parts::tablet::Tablet;
use crate::app::written::declination_words;
use crate::exchange::table_import::{DateOrder, Matching, StationsOf, What};
use crate::notebook::{Form, North};
use crate::orientation::Convention;

/// The questions that this table leaves open.
#[component]
pub(super) fn Unsaid() -> impl IntoView {
    let tablet = Tablet::expect();
    let bringing = Bringing::expect();
    let asks = move |ask: fn(&Matching) -> bool| {
        Memo::new(move |_| bringing.matching.with(|m| m.as_ref().is_some_and(ask)))
    };
    let north = asks(Matching::asks_north);
    let pairs = asks(Matching::asks_pairs);
    let zone = asks(Matching::asks_zone);
    let kind = asks(Matching::asks_kind);
    let dates = asks(|m| m.has(What::Date) && m.own.is_none());
    let magnetic = asks(|m| m.asks_north() && matches!(m.north, North::Magnetic));
    // Whether rows could go to a station of the book.
    let stations = Memo::new(move |_| {
        let column = bringing
            .matching
            .with(|m| m.as_ref().and_then(|m| m.column_of(What::Station)));
        let Some(column) = column else {
            return false;
        };
        bringing.with(|table| {
            tablet.read(|shelf| {
                let numbers: BTreeSet<String> = shelf
                    .pages
                    .stations()
                    .iter()
                    .map(|page| page.line().number().to_string())
                    .collect();
                table
                    .rows
                    .iter()
                    .any(|row| numbers.contains(row.cell(column)))
            })
        })
    });
    let declination = move || tablet.set_up().and_then(|(_, set_up)| set_up.declination);
    view! {
        <div class="rows" data-testid="bring-asks">
            {move || north.get().then(|| view! {
                <span>"Bearings count from"</span>
                <div class="seg" role="group" aria-label="which north">
                    {one("north-true", "true north", |m| m.north == North::True, |m| m.north = North::True)}
                    {one("north-magnetic", "magnetic", |m| m.north == North::Magnetic, |m| m.north = North::Magnetic)}
                    {one("north-grid", "grid", |m| m.north == North::Grid, |m| m.north = North::Grid)}
                    {one("north-unknown", "not said", |m| m.north == North::Unknown, |m| m.north = North::Unknown)}
                </div>
            })}
            {move || (magnetic.get() && declination().is_some()).then(|| {
                let has = declination().unwrap_or_default();
                let words = declination_words(&has);
                view! {
                    <span>"Declination then"</span>
                    <div class="seg" role="group" aria-label="declination">
                        {one("declination-none", "not known", |m| m.declination.is_none(), |m| m.declination = None)}
                        {one("declination-set-up", format!("as the set-up: {words}"), |m| m.declination.is_some(), move |m| m.declination = Some(has.clone()))}
                    </div>
                }
            })}
            {move || pairs.get().then(|| view! {
                <span>"A strike without a side"</span>
                <div class="seg" role="group" aria-label="a strike and a dip without a side">
                    {one("pairs-right", "dips to the right of it", |m| m.pairs == Convention::RightHand, |m| m.pairs = Convention::RightHand)}
                    {one("pairs-open", "side not known", |m| m.pairs == Convention::StrikeDip, |m| m.pairs = Convention::StrikeDip)}
                    {one("pairs-dip", "is dip, then direction", |m| m.pairs == Convention::DipDirection, |m| m.pairs = Convention::DipDirection)}
                </div>
            })}
            {move || zone.get().then(|| view! { <Zone/> })}
            {move || dates.get().then(|| view! {
                <span>"In 06/07/2026"</span>
                <div class="seg" role="group" aria-label="days">
                    {one("dates-day", "the day is first", |m| m.dates == Some(DateOrder::DayFirst), |m| m.dates = Some(DateOrder::DayFirst))}
                    {one("dates-month", "the month is first", |m| m.dates == Some(DateOrder::MonthFirst), |m| m.dates = Some(DateOrder::MonthFirst))}
                    {one("dates-none", "not known", |m| m.dates.is_none(), |m| m.dates = None)}
                </div>
            })}
            {move || stations.get().then(|| view! {
                <span>"Its stations are"</span>
                <div class="seg" role="group" aria-label="stations">
                    {one("stations-new", "new ones", |m| m.stations == StationsOf::New, |m| m.stations = StationsOf::New)}
                    {one("stations-book", "this book’s, by number", |m| m.stations == StationsOf::Book, |m| m.stations = StationsOf::Book)}
                </div>
            })}
            {move || kind.get().then(|| view! {
                <span class="top-of">"Kind of structure"</span>
                <div class="plates" role="group" aria-label="kind of structure">
                    {one("kind-unsaid", "not said", |m| m.kind.is_empty(), |m| m.kind.clear())}
                    {KINDS.iter().filter(|kind| matches!(kind.form, Form::Plane | Form::Line)).map(|kind| {
                        let (name, chosen) = (kind.name, kind.name);
                        one(format!("kind-{}", crate::app::outcrop::kinds::slug(name)), name, move |m| m.kind == name, move |m| chosen.clone_into(&mut m.kind))
                    }).collect_view()}
                </div>
            })}
        </div>
    }
}

/// One plate of a question.
fn one(
    id: impl Into<String>,
    words: impl Into<String>,
    on: impl Fn(&Matching) -> bool + Send + Sync + 'static,
    set: impl Fn(&mut Matching) + 'static,
) -> AnyView {
    let bringing = Bringing::expect();
    let pressed = move || {
        bringing
            .matching
            .with(|m| m.as_ref().is_some_and(&on))
            .to_string()
    };
    view! {
        <button class="plate" data-testid=id.into() aria-pressed=pressed on:click=move |_| bringing.matching.update(|m| {
            if let Some(matching) = m {
                set(matching);
            }
        })>{words.into()}</button>
    }
    .into_any()
}

/// The zone of UTM, by our own keys.
#[component]
fn Zone() -> impl IntoView {
    let bringing = Bringing::expect();
    let number = RwSignal::new(String::new());
    let south = RwSignal::new(false);
    let said = move || {
        let half = if south.get_untracked() { "S" } else { "N" };
        let number = number.get_untracked();
        let zone = (!number.is_empty()).then(|| format!("{number}{half}"));
        bringing.matching.update(|m| {
            if let Some(matching) = m {
                matching.zone = zone;
            }
        });
    };
    let push = Callback::new(move |c: char| {
        number.update(|number| match c {
            'b' => {
                number.pop();
            }
            c if c.is_ascii_digit() && number.len() < 2 => number.push(c),
            _ => {}
        });
        said();
    });
    let turn = move |to: bool| {
        south.set(to);
        said();
    };
    let shown = move || match number.get() {
        number if number.is_empty() => "–".to_owned(),
        number => number,
    };
    view! {
        <span class="top-of">"Zone of UTM"</span>
        <div>
            <div class="number-row">
                <span class="typed num" data-testid="zone">{shown}</span>
                <div class="seg" role="group" aria-label="which half of the globe">
                    <button class="plate" data-testid="zone-north" aria-pressed=move || (!south.get()).to_string() on:click=move |_| turn(false)>"north"</button>
                    <button class="plate" data-testid="zone-south" aria-pressed=move || south.get().to_string() on:click=move |_| turn(true)>"south"</button>
                </div>
            </div>
            <Keys prefix="zone" push/>
        </div>
    }
}
