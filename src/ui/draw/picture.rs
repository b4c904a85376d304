//! Any drawing on the page, as SVG.

use super::{Drawing, Label};
use crate::ui::kit::dynamic::{Piece, piece};
use crate::ui::view::prelude::*;
use std::sync::Arc;

/// A drawing that follows what it is made from. All strokes of a pen are one
/// path, so a large drawing is a handful of elements and its texts.
#[component]
pub fn Picture(
    /// The drawing, where there is one.
    #[prop(into)]
    drawing: Signal<Option<Arc<Drawing>>>,
) -> impl IntoView {
    svg(move || drawing.get())
}

fn svg(drawing: impl Fn() -> Option<Arc<Drawing>> + Send + 'static) -> Piece {
    piece(move || drawing().map(|drawing| image(&drawing)))
}

fn image(drawing: &Drawing) -> AnyView {
    let view = drawing.view();
    let paths = drawing
        .paths()
        .into_iter()
        .map(|(pen, d)| view! { <path class=pen.class() d=d/> })
        .collect_view();
    let labels = drawing.labels.iter().map(label).collect_view();
    let frame = format!("{} {} {} {}", view.left, view.top, view.width, view.height);
    view! {
        <svg
            class="picture"
            role="img"
            aria-label=drawing.words.clone()
            viewBox=frame
            width=view.width.to_string()
            height=view.height.to_string()
        >
            {paths}
            {labels}
        </svg>
    }
    .into_any()
}

fn label(label: &Label) -> AnyView {
    view! {
        <text
            class=label.face.class()
            x=label.at.x.to_string()
            y=label.at.y.to_string()
            text-anchor=label.anchor.word()
        >
            {label.text.clone()}
        </text>
    }
    .into_any()
}
