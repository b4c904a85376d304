//! Buying lists that were carried here, to tick off at the counter.

use crate::bench::list::{CarriedList, ListLine};
use crate::bench::stamp::Stamp;
use crate::ui::kit::dynamic::{each, flag, piece};
use crate::ui::state::{App, app};
use crate::ui::view::prelude::*;
use crate::ui::words::count;

/// The lists, each in a fold.
#[component]
pub fn Lists() -> impl IntoView {
    let app = app();
    let ids = Memo::new(move |_| {
        app.bench.with(|bench| bench.lists.iter().map(|list| list.id).collect::<Vec<Stamp>>())
    });
    view! {
        <section class="lists" aria-labelledby="lists-title" hidden=flag(move || ids.read().is_empty())>
            <h2 class="bench__subtitle" id="lists-title">"Buying lists carried here"</h2>
            {each(move || ids.get(), move |id| list_view(app, id))}
        </section>
    }
}

fn list_view(app: App, id: Stamp) -> AnyView {
    let list = Memo::new(move |_| {
        app.bench.with(|bench| bench.lists.iter().find(|list| list.id == id).cloned())
    });
    let head = move || {
        list.get().map(|list| {
            let (got, of) = list.got();
            let day = list.id.day(app.ahead);
            format!("{}, {day}: {got} of {} got", list.name, count(of, "line", "lines"))
        })
    };
    let remove = move |_| app.change(|bench| bench.lists.retain(|list| list.id != id));
    view! {
        <details class="fold lists__fold" data-list=id.0.to_string() open=true>
            <summary>{piece(head)}</summary>
            {piece(move || list.get().map(|list| groups(app, &list)))}
            <button class="button button--quiet no-print" type="button" on:click=remove>
                "Remove this list"
            </button>
        </details>
    }
    .into_any()
}

fn groups(app: App, list: &CarriedList) -> AnyView {
    let id = list.id;
    let groups = list.groups.iter().enumerate().map(|(group_at, group)| {
        let class = (!group.class.is_empty()).then(|| {
            view! { <span class="safety-class">"Marked "{group.class.clone()}", no other kind"</span> }
        });
        let lines = group
            .lines
            .iter()
            .enumerate()
            .map(|(at, line)| line_view(app, id, (group_at, at), line))
            .collect_view();
        view! {
            <h3 class="lists__title">{group.title.clone()}" "{class}</h3>
            <ul class="lists__lines">{lines}</ul>
        }
    });
    groups.collect_view()
}

fn line_view(app: App, id: Stamp, (group, at): (usize, usize), line: &ListLine) -> AnyView {
    let toggle = move |_| {
        app.change(|bench| {
            let list = bench.lists.iter_mut().find(|list| list.id == id);
            let group = list.and_then(|list| list.groups.get_mut(group));
            if let Some(line) = group.and_then(|group| group.lines.get_mut(at)) {
                line.got = !line.got;
            }
        });
    };
    let got = line.got;
    view! {
        <li>
            <label class="lists__line">
                <input type="checkbox" prop:checked=flag(move || got) on:change=toggle/>
                <span>
                    <b>{line.pieces}" × "{line.value.clone()}</b>" for "{line.parts.clone()}
                </span>
            </label>
        </li>
    }
    .into_any()
}
