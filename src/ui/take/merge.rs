//! One set that came and is here too: what differs, and which side is taken.

use super::model::{Row, row};
use crate::bench::set::{SetId, SetRecord};
use crate::store::arrival::{self, Reconciled, reconcile};
use crate::store::merge::{Difference, Side};
use crate::ui::browser::now;
use crate::ui::browser::shelf::BrowserShelf;
use crate::ui::kit::dynamic::flag;
use crate::ui::state::{App, app};
use crate::ui::view::prelude::*;
use std::sync::Arc;

/// Sides that were chosen against what is proposed, by the difference's place.
type Chosen = RwSignal<Vec<(usize, Side)>>;

/// Shows the differences and takes the set in.
#[component]
pub fn Merge(
    /// The set here.
    id: SetId,
    /// The set that came.
    came: Arc<SetRecord>,
    /// What is done when it is dealt with.
    #[prop(into)]
    on_done: Callback<()>,
) -> impl IntoView {
    let app = app();
    let Some(here) = app.bench.with_untracked(|bench| bench.set(id).cloned()) else {
        return ().into_any();
    };
    let base = arrival::common(&BrowserShelf, &here, &came);
    let known = base.is_some();
    let found = reconcile(base.as_ref(), &here, &came, &|_, found| found.side);
    let chosen = Chosen::new(Vec::new());
    let rows = found
        .differences
        .iter()
        .enumerate()
        .map(|(at, found)| row_view(at, row(found, known, app.ahead), chosen))
        .collect_view();
    let how = if known {
        "Both devices changed it since they last had the same. What only one of them changed is \
         taken from that one; where both changed the same, choose."
    } else {
        "Nothing is known of when both devices last had the same, so what either has is kept. \
         Where they differ, choose."
    };
    let name = here.name();
    let take = {
        let came = Arc::clone(&came);
        move |_| {
            take_in(app, id, &came, &chosen.get_untracked());
            on_done.run(());
        }
    };
    let beside = move |_| {
        app.change(|bench| {
            let mut copy = SetRecord::clone(&came);
            copy.rename(&format!("{} (from the other device)", copy.name()), now());
            // Another birth, or it would be taken for the same set again.
            copy.created = now();
            bench.merge(crate::bench::Bench { sets: vec![copy], ..Default::default() });
        });
        app.say("It stands beside the one that was here.", None);
        on_done.run(());
    };
    view! {
        <section class="merge" data-merge=id.to_string()>
            <h2 class="merge__title">{name}": here and there"</h2>
            <p>{how}</p>
            <table class="table merge__table" data-table="merge">
                <caption class="unseen">"What differs, and which side is taken"</caption>
                <thead>
                    <tr>
                        <th scope="col">"What"</th>
                        <th scope="col">"Here"</th>
                        <th scope="col">"From the other device"</th>
                    </tr>
                </thead>
                <tbody>{rows}</tbody>
            </table>
            <div class="buttons">
                <button class="button button--primary" type="button" on:click=take>
                    "Merge as chosen"
                </button>
                <button class="button" type="button" on:click=beside>"Keep both, side by side"</button>
                <button class="button button--quiet" type="button" on:click=move |_| on_done.run(())>
                    "Leave it out"
                </button>
            </div>
        </section>
    }
    .into_any()
}

fn row_view(at: usize, row: Row, chosen: Chosen) -> AnyView {
    let Row { subject, what, here, there, moved, is_clash, side } = row;
    let taken = move || {
        let chosen = chosen.get();
        chosen.iter().find(|(place, _)| *place == at).map_or(side, |(_, side)| *side)
    };
    let choose = move |side| {
        chosen.update(|all| {
            all.retain(|(place, _)| *place != at);
            all.push((at, side));
        });
    };
    let choice = move |mine: Side, label: &'static str, words: String| {
        view! {
            <td data-label=label>
                <label class="merge__choice">
                    <input
                        type="radio"
                        name=format!("merge-{at}")
                        prop:checked=flag(move || taken() == mine)
                        on:change=move |_| choose(mine)
                    />
                    <span class="merge__words">{words}</span>
                </label>
            </td>
        }
    };
    let mark = if is_clash { "merge__moved merge__moved--clash" } else { "merge__moved" };
    let place = if subject.is_empty() { what.clone() } else { format!("{subject}, {what}") };
    view! {
        <tr data-difference=place>
            <th scope="row" data-label="What">
                <b>{subject}</b>" "{what}
                <span class=mark>{moved}</span>
            </th>
            {choice(Side::Here, "Here", here)}
            {choice(Side::There, "There", there)}
        </tr>
    }
    .into_any()
}

fn take_in(app: App, id: SetId, came: &SetRecord, chosen: &[(usize, Side)]) {
    let Some(here) = app.bench.with_untracked(|bench| bench.set(id).cloned()) else { return };
    app.back_up();
    let base = arrival::common(&BrowserShelf, &here, came);
    let choose = |at: usize, found: &Difference| {
        chosen.iter().find(|(place, _)| *place == at).map_or(found.side, |(_, side)| *side)
    };
    let Reconciled { mut record, .. } = reconcile(base.as_ref(), &here, came, &choose);
    record.changed = now();
    app.write(id, &record.text, false);
    app.change(|bench| {
        if let Some(set) = bench.set_mut(id) {
            *set = record;
        }
    });
    app.say("Merged. What stood here before is the newest backup.", None);
}
