//! What lies on the net as a table, for those who cannot see it.

use leptos::prelude::*;

use super::selection::Of;
use super::state::{NetState, station_of};
use super::words;
use crate::app::outcrop::kinds;
use crate::app::parts::line::value;
use crate::app::parts::tablet::Tablet;

/// So many rows are added at a time.
const ROWS: usize = 50;

/// The table behind *Table*; a row's plate selects its reading.
#[component]
pub(in crate::app) fn NetTable() -> impl IntoView {
    let (tablet, net) = (Tablet::expect(), NetState::expect());
    let shown = RwSignal::new(ROWS);
    let count = move || net.chosen.read().len();
    let rows = move || {
        let notation = tablet.settings.with(|s| s.notation);
        let (all, chosen) = (net.data.read(), net.chosen.read());
        chosen
            .iter()
            .take(shown.get())
            .filter_map(|i| all.get(*i))
            .map(|datum| {
                let (record, pressed) = (datum.record.clone(), datum.record.clone());
                view! {
                    <tr>
                        <th scope="row">
                            <button
                                class="plate"
                                data-testid=format!("net-row-{}", datum.name.replace('·', "-"))
                                aria-pressed=move || net.selection.with(|s| s.has(&pressed)).to_string()
                                on:click=move |_| net.select(&record, Of::Net)
                            >{datum.name.clone()}</button>
                        </th>
                        <td>{kinds::words(&datum.kind).to_owned()}</td>
                        <td class="num">{value(&words::value(datum, notation))}</td>
                        <td>{station_of(&datum.name).to_owned()}</td>
                    </tr>
                }
            })
            .collect_view()
    };
    view! {
        <div class="net-sheet" data-testid="net-table">
            <table>
                <caption>{move || format!("{} readings on the net", count())}</caption>
                <thead><tr><th scope="col">"reading"</th><th scope="col">"kind"</th><th scope="col">"value"</th><th scope="col">"station"</th></tr></thead>
                <tbody>{rows}</tbody>
            </table>
            {move || (shown.get() < count()).then(|| view! {
                <button class="plate" data-testid="net-more-rows" on:click=move |_| shown.update(|n| *n += ROWS)>
                    {format!("{ROWS} more of {}", count())}
                </button>
            })}
        </div>
    }
}
