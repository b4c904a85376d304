//! What is said when saving does not work.

use crate::store::exchange::file_name;
use crate::ui::browser::{self, files, now};
use crate::ui::safe::{go_on_from, newest_backup, save_everything};
use crate::ui::saving::Saving;
use crate::ui::state::app;
use crate::ui::view::prelude::*;

/// Says that the page did not come as it was built.
#[component]
pub fn Altered() -> impl IntoView {
    let is_shown = RwSignal::new(browser::marked("data-altered").is_some());
    move || {
        if !is_shown.get() {
            return ().into_any();
        }
        view! {
            <div class="banner" role="status" data-banner="altered">
                <p>
                    <b>"Something altered this page on its way here: "</b>
                    "the server, the network, or an add-on of this browser. The files that the app \
                     is made of were checked and are as they were built. The altered page is not \
                     kept: what opens without a network is the page as it was built."
                </p>
                <div class="banner__buttons">
                    <button class="button" type="button" on:click=move |_| is_shown.set(false)>
                        "Hide this"
                    </button>
                </div>
            </div>
        }
        .into_any()
    }
}

/// Shows while changes are not saved, with a way out. The edits are kept.
#[component]
pub fn Banner() -> impl IntoView {
    let app = app();
    let remedies = move || {
        view! {
            <div class="banner__buttons">
                <button class="button button--primary" type="button" on:click=move |_| save_everything(app)>
                    "Download everything"
                </button>
                <button class="button" type="button" on:click=move |_| app.save()>
                    "Try again"
                </button>
            </div>
        }
    };
    let failed = move |why: String| {
        view! {
            <div class="banner" role="alert" data-banner="failed">
                <p>
                    <b>"Not saved: "</b>{why}
                    ". Everything typed is still on this page. Download it before closing the page."
                </p>
                {remedies()}
            </div>
        }
        .into_any()
    };
    let apart = move |why: String| {
        view! {
            <div class="banner" role="status" data-banner="apart">
                <p>
                    <b>"Saved in the database only: "</b>{why}
                    ". The browser’s database has everything, and gives it back at the next \
                     opening. Download it all to be sure, and free some room."
                </p>
                {remedies()}
            </div>
        }
        .into_any()
    };
    let refused = move |raw: String, why: String| {
        let download = move |_| {
            let name = file_name("kept", &now().iso_day(app.ahead), "txt");
            files::download(&name, "text/plain", &raw);
        };
        let from_backup = newest_backup().map(|at| {
            view! {
                <button class="button" type="button" on:click=move |_| go_on_from(app, at)>
                    "Set it aside and go on from the backup of "{at.day_and_time(app.ahead)}
                </button>
            }
        });
        view! {
            <div class="banner" role="alert" data-banner="refused">
                <p>
                    <b>"The saved bench could not be opened. "</b>{why}
                    " It is kept as it is, and nothing is saved over it: what you do now is lost \
                     when the page closes, until you set the old data aside."
                </p>
                <div class="banner__buttons">
                    <button class="button button--primary" type="button" on:click=download>
                        "Download what was saved"
                    </button>
                    <button class="button" type="button" on:click=move |_| app.set_aside()>
                        "Set it aside and save from now on"
                    </button>
                    {from_backup}
                </div>
            </div>
        }
        .into_any()
    };
    move || match app.saving.get() {
        Saving::Saved | Saving::Pending => ().into_any(),
        Saving::Apart(why) => apart(why),
        Saving::Failed(why) => failed(why),
        Saving::Refused(raw, why) => refused(raw, why),
    }
}
