//! The app in a real browser, called directly as wasm.
//!
//! Run by `tools/test-wasm.sh`. What a person does with the built site is
//! tested in `tests/browser/`.

#![cfg(target_arch = "wasm32")]

use wasm_bindgen_test::{wasm_bindgen_test, wasm_bindgen_test_configure};

wasm_bindgen_test_configure!(run_in_browser);

#[wasm_bindgen_test]
fn starting_mounts_one_main_with_a_heading() {
    firstglow::ui::start();

    let document = web_sys::window()
        .and_then(|window| window.document())
        .expect("a page has a window and a document");
    let count = |selector: &str| {
        let found = document.query_selector_all(selector);
        found.expect("the selector is valid").length()
    };
    assert_eq!(count("body > main"), 1);
    assert_eq!(count("main h1"), 1);
}
