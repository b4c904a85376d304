//! The place of one part, inside its reasons.

use crate::ui::charts::place;
use crate::ui::draw::near::{narrow, wide};
use crate::ui::draw::{Drawing, Picture};
use crate::ui::kit::dynamic::piece;
use crate::ui::state::app;
use crate::ui::view::prelude::*;
use crate::ui::workshop::worked;
use std::sync::Arc;

/// What a part is joined to, the pins it goes to, and what it must stand.
#[component]
pub fn PartPlace(
    /// The key of the part.
    key: String,
) -> impl IntoView {
    let (app, worked) = (app(), worked());
    let key = StoredValue::new(key);
    let near = Memo::new(move |_| {
        let (sheet, wiring) = (app.open.sheet.get(), worked.wiring.get());
        let plan = app.open.plan.read();
        key.with_value(|key| place::neighbourhood(&sheet, &wiring, &plan, key))
    });
    let drawn = move |draw: fn(&place::Neighbourhood) -> Drawing| {
        Memo::new(move |_| near.get().ok().map(|near| Arc::new(draw(&near))))
    };
    let (on_desk, on_phone) = (drawn(wide), drawn(narrow));
    let bases = move || {
        let (sheet, wiring) = (app.open.sheet.get(), worked.wiring.get());
        let plan = app.open.plan.read();
        let charts = key.with_value(|key| place::bases(&sheet, &wiring, &plan, key));
        charts
            .into_iter()
            .map(|chart| {
                let drawing = Some(Arc::new(chart.drawing));
                let caption = format!("{}, {}", chart.key, chart.title);
                view! {
                    <figure class="place__base" data-base=chart.key>
                        <figcaption class="place__caption">{caption}</figcaption>
                        <Picture drawing=Signal::stored(drawing)/>
                    </figure>
                }
            })
            .collect_view()
    };
    let facts = move || {
        let told = key.with_value(|key| place::facts(&app.open.plan.read(), key));
        told.into_iter()
            .map(|(name, value)| {
                view! {
                    <div class="facts__row">
                        <dt>{name}</dt>
                        <dd>{value}</dd>
                    </div>
                }
            })
            .collect_view()
    };
    view! {
        <div class="place" data-place=key.get_value()>
            <dl class="facts">{piece(facts)}</dl>
            {piece(move || near.get().err().map(|words| view! { <p class="chart-note">{words}</p> }))}
            <div class="fitting fitting--wide"><Picture drawing=on_desk/></div>
            <div class="fitting fitting--narrow"><Picture drawing=on_phone/></div>
            <div class="place__bases">{piece(bases)}</div>
        </div>
    }
}
