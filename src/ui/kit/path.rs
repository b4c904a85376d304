//! The path of stages: terminals on a wire, each filled as far as it has come.

use crate::bench::progress::{Progress, Reach, Stage};
use crate::bench::set::SetId;
use crate::ui::kit::dynamic::{piece, text, word};
use crate::ui::route::Route;
use crate::ui::view::prelude::*;

/// The path of a set, as links.
#[component]
pub fn StagePath(
    /// The set.
    id: SetId,
    /// The stage that is open.
    #[prop(into)]
    current: Signal<Stage>,
    /// How far a stage has come.
    #[prop(into)]
    progress: Callback<Stage, Progress>,
) -> impl IntoView {
    let stages = Stage::ALL.map(|stage| {
        let progress = Memo::new(move |_| progress.run(stage));
        let class = move || {
            let reach = match progress.read().reach {
                Reach::Untouched => "untouched",
                Reach::Begun => "begun",
                Reach::Done => "done",
                Reach::Stopped => "stopped",
            };
            format!("path__stage path__stage--{reach}")
        };
        view! {
            <li class=text(class) data-stage=stage.slug()>
                <a
                    class="path__link"
                    href=Route::Set(id, stage).hash()
                    aria-current=word(move || (current.get() == stage).then_some("page"))
                >
                    <svg class="path__terminal" viewBox="0 0 20 20" aria-hidden="true">
                        <circle class="path__ring" cx="10" cy="10" r="7"/>
                        <path class="path__half" d="M10 3a7 7 0 0 0 0 14z"/>
                        <circle class="path__full" cx="10" cy="10" r="7"/>
                        <path class="path__cross" d="M6 6l8 8M14 6l-8 8"/>
                    </svg>
                    <span class="path__name">{stage.label()}</span>
                    <span class="path__words">{piece(move || progress.read().words.clone())}</span>
                </a>
            </li>
        }
    });
    view! {
        <nav class="path" aria-label="Stages of the job">
            <ol class="path__list">{stages.collect_view()}</ol>
        </nav>
    }
}
