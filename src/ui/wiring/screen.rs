//! The check on the page: one reading at a time, what it says, and the whole
//! chart, which is also what goes on paper.

use super::finding::{Finding, Suspect};
use super::model::{CAUTION, Chart, HOW, Row, Standing, Station, ids};
use crate::bench::set::OhmsRecord;
use crate::ui::browser::{focus, now};
use crate::ui::draw::Picture;
use crate::ui::kit::dynamic::{flag, piece, text};
use crate::ui::kit::{Field, TextField, Workings, arrows};
use crate::ui::leads::model::step;
use crate::ui::leptos::ev::KeyboardEvent;
use crate::ui::long::{Gap, LongRows};
use crate::ui::state::app;
use crate::ui::view::prelude::*;
use crate::ui::workshop::worked;
use std::sync::Arc;

type Charts = Memo<Option<Chart>>;
type Chosen = RwSignal<Option<String>>;
type Open = Memo<Option<String>>;

const READING: &str = "wiring-reading";

/// About the height of a tube's table, in CSS pixels, until some were drawn.
const STATION: f64 = 440.0;

/// The check.
#[component]
pub fn WiringView() -> impl IntoView {
    let app = app();
    let chart: Charts =
        Memo::new(move |_| Chart::of(&app.open.sheet.get(), &worked().wiring.get()));
    let all = Memo::new(move |_| chart.read().as_ref().map(ids).unwrap_or_default());
    let chosen: Chosen = RwSignal::new(None);
    let open: Open = Memo::new(move |_| {
        let all = all.read();
        chosen.get().filter(|id| all.contains(id)).or_else(|| all.first().cloned())
    });
    let go = move |by: isize| {
        let from = open.get_untracked().unwrap_or_default();
        chosen.set(step(&all.get_untracked(), &from, by));
    };
    arrows(go);
    let finding = Memo::new(move |_| {
        let chart = chart.get();
        chart.map(|chart| chart.finding(&app.open.record.read())).unwrap_or_default()
    });
    let progress = move || {
        let (taken, of) =
            chart.read().as_ref().map_or((0, 0), |c| c.progress(&app.open.record.read()));
        format!("{taken} of {of} readings")
    };
    let is_missing = Memo::new(move |_| chart.read().is_none());
    view! {
        <p class="chart-note chart-note--warning" data-note="unplugged">
            <b>"Unplugged and discharged. "</b>{CAUTION}
        </p>
        <p class="sheet__empty" hidden=flag(move || !is_missing.get())>
            "No chart yet: the sheet must say where the leads go, and name the chassis or B-."
        </p>
        <div hidden=flag(move || is_missing.get())>
            <p class="sheet__lead no-print">{HOW}</p>
            <p class="sheet__count" data-count="readings">{piece(progress)}</p>
            <div class="walk no-print">
                {piece(move || {
                    let (chart, id) = (chart.get()?, open.get()?);
                    let (station, row) = chart.row(&id)?;
                    Some(reading_card(&chart, station, row, Callback::new(go)))
                })}
            </div>
            {piece(move || finding_view(&finding.read(), chosen))}
            {piece(move || chart.get().map(|chart| {
                let choose = Callback::new(move |id: String| {
                    chosen.set(Some(id));
                    focus(READING);
                });
                view! { <WiringChart chart choose/> }
            }))}
        </div>
    }
}

/// The reading in hand: where the leads go, what to read, what was read.
fn reading_card(chart: &Chart, station: &Station, row: &Row, go: Callback<isize>) -> AnyView {
    let app = app();
    let id = StoredValue::new(row.id.clone());
    let kept = Memo::new(move |_| id.with_value(|id| app.open.record.read().ohms(id)));
    let typed = Memo::new(move |_| kept.read().reading.clone());
    let standing = {
        let (chart, row) = (chart.clone(), row.clone());
        Memo::new(move |_| chart.standing(&row, &kept.read()))
    };
    let error = Signal::derive(move || match &*standing.read() {
        Standing::Unread(why) => Some(why.clone()),
        _ => None,
    });
    let write = move |text: String| {
        id.with_value(|id| app.change_open(|set| set.ohms_mut(id).reading = text));
    };
    let good = Callback::new(move |()| {
        let next = if kept.read_untracked().good_at.is_some() { None } else { Some(now()) };
        id.with_value(|id| app.change_open(|set| set.ohms_mut(id).good_at = next));
        if next.is_some() {
            go.run(1);
        }
    });
    let keys = move |e: KeyboardEvent| {
        let by = match e.key().as_str() {
            "Enter" | "ArrowDown" => 1,
            "ArrowUp" => -1,
            _ => return,
        };
        e.prevent_default();
        go.run(by);
    };
    let field = Field {
        id: READING.to_owned(),
        label: format!("Reading at {}, to {}", row.place, row.against),
        unit: "Ω",
        decimal: true,
        data: "ohms".into(),
        ..Field::default()
    };
    let drawing = chart.base(station, row).map(Arc::new);
    let has_base = drawing.is_some();
    let point = (row.point != row.place).then(|| format!(" ({})", row.point));
    let working = vec![chart.working(row)];
    view! {
        <section class="probe" data-probe=row.id.clone() aria-label="Reading in hand">
            <div class="probe__base" hidden=!has_base>
                <Picture drawing=Signal::stored(drawing)/>
            </div>
            <div class="probe__words">
                <p class="probe__station">{station.title.clone()}</p>
                <h3 class="probe__place">
                    {row.place.clone()}
                    <span class="probe__what">{row.what.clone()}</span>
                </h3>
                <p class="probe__leads">
                    "Red lead on "<b>{row.place.clone()}</b>{point}", black lead on "
                    <b>{row.against.clone()}</b>
                </p>
                <p class="probe__expect">
                    {row.expect.clone()}
                    <span class="probe__band">{row.band.clone()}</span>
                </p>
                <div on:keydown=keys>
                    <TextField field value=typed on_input=Callback::new(write) error>
                        <StandingMark standing/>
                    </TextField>
                </div>
                {turn_view(kept, good, go)}
                <details class="fold">
                    <summary>"Working and source"</summary>
                    <Workings workings=working/>
                </details>
            </div>
        </section>
    }
    .into_any()
}

/// On, back, and the tick.
fn turn_view(kept: Memo<OhmsRecord>, good: Callback<()>, go: Callback<isize>) -> AnyView {
    view! {
                <div class="probe__turn">
                    <button
                        class="button card-turn__button"
                        type="button"
                        on:click=move |_| go.run(-1)
                    >
                        "← Back"
                    </button>
                    <button
                        class="lead-mark probe__good"
                        type="button"
                        aria-pressed=text(move || {
                            if kept.read().good_at.is_some() { "true" } else { "false" }
                        })
                        on:click=move |_| good.run(())
                    >
                        "Good"
                    </button>
                    <button
                        class="button card-turn__button"
                        type="button"
                        on:click=move |_| go.run(1)
                    >
                        "Next →"
                    </button>
                </div>
    }
    .into_any()
}

/// How a reading stands, announced when it changes.
#[component]
fn StandingMark(
    /// How.
    standing: Memo<Standing>,
) -> impl IntoView {
    let class = move || {
        let standing = standing.read();
        match &*standing {
            Standing::Well => "verdict verdict--within",
            s if s.is_out() => "verdict verdict--out",
            _ => "verdict",
        }
    };
    view! {
        <span
            class=text(class)
            role="status"
            data-verdict=text(move || standing.read().words())
        >
            {piece(move || standing.read().words())}
        </span>
    }
}

/// What the readings come to.
fn finding_view(finding: &Finding, chosen: Chosen) -> AnyView {
    if finding.out.is_empty() {
        return ().into_view();
    }
    let out = finding.out.iter().map(|o| view! { <li>{o.clone()}</li> }).collect_view();
    let suspects = finding.suspects.iter().map(suspect_view).collect_view();
    let is_clueless = finding.suspects.is_empty();
    let remark = finding.remark.map(|r| view! { <p class="chart-note">{r}</p> });
    let next = finding.next.clone().map(|(id, why)| {
        let go = move |_| {
            chosen.set(Some(id.clone()));
            focus(READING);
        };
        view! {
            <p class="faults__next" data-next="">
                <b>"Read next: "</b>{why}" "
                <button class="button no-print" type="button" on:click=go>"Go there"</button>
            </p>
        }
    });
    let last = (finding.next.is_none() && !is_clueless).then(|| {
        view! {
            <p class="faults__next">
                "No further reading of this chart tells these apart. Look at the first, then at the next."
            </p>
        }
    });
    view! {
        <section class="faults" data-section="faults" aria-label="What explains it">
            <h3 class="chart__title">"Out of band"</h3>
            <ul class="faults__out">{out}</ul>
            {remark}
            <h3 class="chart__title" hidden=is_clueless>"What explains it, the likeliest first"</h3>
            <ol class="faults__list">{suspects}</ol>
            {next}
            {last}
            <p class="faults__small">
                "Ranked by how well one fault explains all readings so far. How likely each kind is beforehand is common practice, no source. Do not power the set while a reading is out of its band."
            </p>
        </section>
    }
    .into_any()
}

fn suspect_view(suspect: &Suspect) -> AnyView {
    let alike = (!suspect.alike.is_empty()).then(|| {
        let words = format!("Reads the same everywhere: {}.", suspect.alike.join("; "));
        view! { <p class="fault__alike">{words}</p> }
    });
    let left = (!suspect.unexplained.is_empty()).then(|| {
        let words = format!("Does not explain {}.", suspect.unexplained.join(", "));
        view! { <p class="fault__alike">{words}</p> }
    });
    let share = format!("{} %", suspect.percent);
    let width = share.clone();
    view! {
        <li class="fault" data-fault=suspect.says.clone()>
            <p class="fault__says">
                <span class="fault__share">
                    <span
                        class="fault__bar"
                        style:width=width.replace(' ', "")
                        aria-hidden="true"
                    ></span>
                    <span class="fault__percent">{share}</span>
                </span>
                <b>{suspect.says.clone()}</b>
            </p>
            <p class="fault__look">{suspect.look.clone()}</p>
            {alike}
            {left}
        </li>
    }
    .into_any()
}

/// The whole chart, with boxes to fill by pen on paper.
#[component]
pub fn WiringChart(
    /// The chart.
    chart: Chart,
    /// When a reading is chosen.
    #[prop(into)]
    choose: Callback<String>,
) -> impl IntoView {
    let shown = chart.clone();
    let keys = Memo::new(move |_| (0..shown.stations().len()).collect::<Vec<_>>());
    let rows = LongRows::new(keys, STATION);
    let station = move |at: usize| {
        chart.stations().get(at).map_or(().into_any(), |s| station_view(&chart, s, choose))
    };
    view! {
        <div
            class="wiring"
            class:wiring--long=move || rows.is_long()
            data-chart="wiring"
            node_ref=rows.frame
            on:focusin=move |_| rows.look()
        >
            {rows.view(Gap::Block, station)}
        </div>
    }
}

fn station_view(chart: &Chart, station: &Station, choose: Callback<String>) -> AnyView {
    let rows = station.rows.iter().map(|row| row_view(chart, row, choose)).collect_view();
    let caption = format!("{}: ohms to expect", station.title);
    view! {
        <section class="wiring__station">
            <h3 class="chart__title">{station.title.clone()}</h3>
            <table class="table table--wiring">
                <caption class="unseen">{caption}</caption>
                <thead>
                    <tr>
                        <th scope="col">"At"</th>
                        <th scope="col">"Black lead"</th>
                        <th scope="col">"Expect"</th>
                        <th scope="col">"Read"</th>
                    </tr>
                </thead>
                <tbody>{rows}</tbody>
            </table>
        </section>
    }
    .into_any()
}

fn row_view(chart: &Chart, row: &Row, choose: Callback<String>) -> AnyView {
    let app = app();
    let id = StoredValue::new(row.id.clone());
    let kept: Memo<OhmsRecord> =
        Memo::new(move |_| id.with_value(|id| app.open.record.read().ohms(id)));
    let standing = {
        let (chart, row) = (chart.clone(), row.clone());
        Memo::new(move |_| chart.standing(&row, &kept.read()))
    };
    let class = move || match &*standing.read() {
        Standing::Well => "wiring__read verdict--within",
        s if s.is_out() => "wiring__read verdict--out",
        _ => "wiring__read",
    };
    let read = move || {
        let kept = kept.read();
        let words = standing.read().words();
        match (kept.reading.is_empty(), kept.good_at.is_some()) {
            (false, _) => format!("{} {words}", kept.reading),
            (true, true) => "✓ good".to_owned(),
            _ => String::new(),
        }
    };
    let number = match row.pin {
        Some(0) => "cap".to_owned(),
        Some(pin) => pin.to_string(),
        None => row.place.clone(),
    };
    let label = format!("Go to {}", row.id);
    let what = format!("{} {}", row.what, if row.pin.is_some() { &row.point } else { "" });
    view! {
        <tr data-reading=row.id.clone() data-standing=text(move || standing.read().slug())>
            <th scope="row">
                <button
                    class="pin-button"
                    type="button"
                    aria-label=label
                    on:click=move |_| choose.run(id.get_value())
                >
                    {number}
                </button>
                <span class="reading__band">{what}</span>
            </th>
            <td>{row.against.clone()}</td>
            <td>
                <span class="reading">{row.expect.clone()}</span>
                <span class="reading__band">{row.band.clone()}</span>
            </td>
            <td class=text(class)>{piece(read)}</td>
        </tr>
    }
    .into_any()
}
