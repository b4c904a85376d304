//! The whole app in one page that opens from disk.
//!
//! Modules and fetching do not work from `file://`, so the glue is a plain
//! script and the wasm stands in it as base64. The policy names the one script
//! and the one style by digest and lets nothing be loaded at all.

use std::fs;
use std::path::{Path, PathBuf};

use crate::assets::Assets;
use crate::bind::App;
use crate::digest::{base64, policy_source};
use crate::error::{Error, Result};
use crate::page;

const FILE_NAME: &str = "firstglow.html";

/// Text that ends or bends a script element, whatever stands around it.
const ENDS_SCRIPT: [&str; 2] = ["</script", "<!--"];

/// Puts the page together.
pub(crate) fn assemble(assets: &Assets, app: &App) -> Result<String> {
    let script = script(assets, app)?;
    let policy = format!(
        "default-src 'none'; script-src {} 'wasm-unsafe-eval'; style-src {}; \
         object-src 'none'; base-uri 'none'; form-action 'none'; img-src data: blob:",
        policy_source(&script),
        policy_source(&assets.style),
    );
    let mut head = vec![page::policy_tag(&policy), format!("<style>{}</style>", assets.style)];
    if let Some(icon) = assets.plain.get("icon.svg") {
        let icon = base64(icon);
        head.push(format!(r#"<link rel="icon" href="data:image/svg+xml;base64,{icon}">"#));
    }
    page::index(&assets.index, &head, &format!("<script>{script}</script>"))
}

fn script(assets: &Assets, app: &App) -> Result<String> {
    let start = format!(
        "() => wasm_bindgen({{ module_or_path: \
         Uint8Array.from(atob('{}'), (c) => c.charCodeAt(0)).buffer }})",
        base64(&app.wasm)
    );
    let boot = page::fill(&assets.boot, "public/boot.js", "__START__", &start)?;
    let failure = page::fill(
        &assets.failure,
        "public/failure.js",
        "__EXPORT__",
        "return { show, addSecondCopy };",
    )?;
    let failure = format!("async () => {{\n{failure}\n}}");
    let boot = page::fill(&boot, "public/boot.js", "__FAILURE__", &failure)?;
    let script = format!("{}\n{boot}", app.glue);
    match ENDS_SCRIPT.iter().find(|text| script.contains(**text)) {
        Some(text) => Err(Error::EndsScript { text }),
        None => Ok(script),
    }
}

/// Writes the page into `folder` and returns its path.
pub(crate) fn write(folder: &Path, page: &str) -> Result<PathBuf> {
    fs::create_dir_all(folder).map_err(Error::writing(folder))?;
    let path = folder.join(FILE_NAME);
    fs::write(&path, page).map_err(Error::writing(&path))?;
    Ok(path)
}

/// Whether a file in `dist/` is the single page and no part of the site.
pub(crate) fn is_single_file(name: &str) -> bool {
    name == FILE_NAME
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use super::*;

    const BOOT: &str = "const start = __START__; const failurePage = __FAILURE__;";

    fn assets(boot: &str) -> Assets {
        Assets {
            index: "<head><!--HEAD--></head><body><!--BODY--></body>".into(),
            style: "a{}".into(),
            boot: boot.into(),
            later: String::new(),
            failure: "__EXPORT__".into(),
            offline: "navigator.serviceWorker".into(),
            worker: String::new(),
            plain: BTreeMap::new(),
        }
    }

    fn app() -> App {
        App { glue: "let wasm_bindgen;".into(), wasm: b"wasm".to_vec(), later: Vec::new() }
    }

    #[test]
    fn the_page_stands_alone() {
        let page = assemble(&assets(BOOT), &app()).unwrap();
        assert!(!page.contains("src=\""), "{page}");
        assert!(!page.contains("serviceWorker"), "{page}");
        assert!(page.contains("atob('d2FzbQ==')"), "{page}");
        assert!(page.contains("return { show, addSecondCopy };"), "{page}");
    }

    #[test]
    fn the_policy_allows_the_script_that_is_there() {
        let page = assemble(&assets(BOOT), &app()).unwrap();
        let (_, rest) = page.split_once("<script>").unwrap();
        let (script, _) = rest.split_once("</script>").unwrap();
        assert!(page.contains(&format!("script-src {}", policy_source(script))));
    }

    #[test]
    fn a_script_that_would_end_early_is_refused() {
        let error = assemble(&assets("__START__ __FAILURE__ '</script>'"), &app()).unwrap_err();
        assert!(matches!(error, Error::EndsScript { text: "</script" }));
    }
}
