//! The supply from line to last point, and what stays charged after it.

use super::Fitting;
use super::notes::{Assumed, Trouble};
use crate::ui::charts::supply::{self, Fact, PointRow, SupplyChart};
use crate::ui::charts::{figures, stored};
use crate::ui::kit::dynamic::{each, flag, piece};
use crate::ui::state::app;
use crate::ui::view::prelude::*;
use crate::ui::workshop::worked;
use std::sync::Arc;

type Charts = Memo<Arc<Vec<SupplyChart>>>;

/// Every supply of the set, and the discharge.
#[component]
pub fn SupplyView() -> impl IntoView {
    let (app, worked) = (app(), worked());
    let charts: Charts = Memo::new(move |_| {
        let (sheet, wiring) = (app.open.sheet.get(), worked.wiring.get());
        Arc::new(supply::charts(&sheet, &wiring, &app.open.plan.read()))
    });
    let count = Memo::new(move |_| charts.read().len());
    view! {
        <Trouble/>
        {each(move || (0..count.get()).collect(), move |at| view! { <One charts at/> }.into_any())}
        <Heaters/>
        <Discharge/>
        <Assumed/>
    }
}

/// One supply: drawing, points, figures against their limits.
#[component]
fn One(
    /// All of them.
    charts: Charts,
    /// Which.
    at: usize,
) -> impl IntoView {
    let chart = Memo::new(move |_| charts.read().get(at).cloned());
    let points = move || chart.get().map(|c| c.points.iter().map(point).collect_view());
    let facts = move || chart.get().map(|c| c.facts.iter().map(fact).collect_view());
    view! {
        <section class="supply-chart" data-supply=at.to_string()>
            <h3 class="chart__title">{piece(move || chart.get().map(|c| c.title))}</h3>
            <Fitting drawing=Callback::new(move |width: f64| chart.get().map(|c| c.drawing(width)))/>
            <table class="table table--points" data-table="points">
                <caption class="unseen">"Points of the supply"</caption>
                <thead>
                    <tr>
                        <th scope="col">"Point"</th>
                        <th scope="col">"Running"</th>
                        <th scope="col">"Tubes cold"</th>
                    </tr>
                </thead>
                <tbody>{piece(points)}</tbody>
            </table>
            <dl class="facts">{piece(facts)}</dl>
        </section>
    }
}

fn point(row: &PointRow) -> AnyView {
    view! {
        <tr>
            <th scope="row">{row.name.clone()}</th>
            <td>{row.running.clone()}</td>
            <td>{row.cold.clone()}</td>
        </tr>
    }
    .into_any()
}

fn fact(fact: &Fact) -> AnyView {
    let over = fact.over.then(|| view! { <b class="verdict verdict--out">"past its limit"</b> });
    view! {
        <div class="facts__row">
            <dt>{fact.name.clone()}</dt>
            <dd>{fact.value.clone()}" "{over}</dd>
        </div>
    }
    .into_any()
}

/// The heaters of a series string against the mains.
#[component]
fn Heaters() -> impl IntoView {
    let app = app();
    let heaters = Memo::new(move |_| app.open.plan.read().circuit.heaters.clone());
    let words = move || {
        heaters.get().map(|h| {
            let odd = if h.odd.is_empty() {
                String::new()
            } else {
                format!(
                    " {} draw another current than the first and do not belong.",
                    h.odd.join(", ")
                )
            };
            let (sum, mains) = (figures::volts(h.sum_v), figures::volts(h.mains_v));
            format!(
                "Heaters in series: {sum} together at {:.0} mA, on a line of {mains}.{odd}",
                h.ma
            )
        })
    };
    view! {
        <p class="chart-line" hidden=flag(move || heaters.read().is_none())>{piece(words)}</p>
    }
}

/// What each capacitor holds after switching off, and for how long.
#[component]
fn Discharge() -> impl IntoView {
    let app = app();
    let held = Memo::new(move |_| stored::list(&app.open.plan.read()));
    let stays = move || {
        let keys: Vec<String> = held.get().into_iter().filter(|h| h.stays).map(|h| h.key).collect();
        (!keys.is_empty()).then(|| {
            view! {
                <p class="chart-note chart-note--warning" data-note="stays-charged">
                    <b>"Stay charged: "</b>
                    {keys.join(", ")}
                    ". Nothing on the sheet is known to discharge them once the tubes are cold. Discharge each through a resistor and measure before hands go in."
                </p>
            }
        })
    };
    let rows = move || {
        held.get()
            .into_iter()
            .map(|held| {
                view! {
                    <tr>
                        <th scope="row">{held.key}</th>
                        <td>{held.start}</td>
                        <td>{held.falls}</td>
                    </tr>
                }
            })
            .collect_view()
    };
    view! {
        <section class="discharge" data-section="discharge">
            <h3 class="chart__title">"After switching off at the high line"</h3>
            <p class="sheet__empty" hidden=flag(move || !held.read().is_empty())>
                {piece(move || stored::none_listed(&app.open.plan.read()))}
            </p>
            {piece(stays)}
            <Fitting drawing=Callback::new(move |width: f64| {
                stored::drawing(&app.open.plan.read(), width.min(900.0))
            })/>
            <table
                class="table table--points"
                data-table="discharge"
                hidden=flag(move || held.read().is_empty())
            >
                <caption class="unseen">"Charge after switching off"</caption>
                <thead>
                    <tr>
                        <th scope="col">"Capacitor"</th>
                        <th scope="col">"Holds at first"</th>
                        <th scope="col">"Then"</th>
                    </tr>
                </thead>
                <tbody>{piece(rows)}</tbody>
            </table>
        </section>
    }
}
