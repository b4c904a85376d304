//! The site: hashed file names, a strict policy, and a list of its own files
//! for use without a network.

use std::collections::BTreeMap;
use std::fs;
use std::io;
use std::path::Path;

use crate::assets::Assets;
use crate::bind::App;
use crate::digest::{hashed_name, short};
use crate::error::{Error, Result};
use crate::page;

/// Files by name.
pub(crate) type Site = BTreeMap<String, Vec<u8>>;

/// Only what the site itself brings may run, load or be asked for. Compiling
/// wasm needs its own permission; pictures may also come from the page.
const POLICY: &str = "default-src 'self'; script-src 'self' 'wasm-unsafe-eval'; \
                      object-src 'none'; base-uri 'none'; form-action 'none'; \
                      img-src 'self' data: blob:";

/// Where the glue takes what fetches the later pieces from.
const LINKED: &str = r#"from "./later.js""#;

/// Lays the site out.
pub(crate) fn assemble(assets: &Assets, app: &App) -> Result<Site> {
    let mut site: Site = assets.plain.clone();
    let mut add = |stem: &str, extension: &str, content: &[u8]| {
        let name = hashed_name(stem, extension, content);
        site.insert(name.clone(), content.to_owned());
        name
    };
    let style = add("style", "css", assets.style.as_bytes());
    let pieces: Vec<String> = app
        .later
        .iter()
        .map(|piece| {
            let file = add(&piece.name, "wasm", &piece.wasm);
            let fetch = piece.fetched_by();
            format!("export const {fetch} = (done, data) => load('{file}', done, data);")
        })
        .collect();
    let later = page::fill(&assets.later, "public/later.js", "__PIECES__", &pieces.join("\n"))?;
    let later = add("later", "js", later.as_bytes());
    let glue = page::fill(&app.glue, "the glue", LINKED, &format!("from \"./{later}\""))?;
    let glue = add("app", "js", glue.as_bytes());
    let wasm = add("app", "wasm", &app.wasm);
    let start = format!(
        "async () => {{\n  \
           const [app, later] = await Promise.all([import('./{glue}'), import('./{later}')]);\n  \
           later.connect(await app.default({{ \
             module_or_path: new URL('{wasm}', import.meta.url) }}));\n\
         }}"
    );
    let boot = page::fill(&assets.boot, "public/boot.js", "__START__", &start)?;
    let boot = add("boot", "js", boot.as_bytes());
    let offline = add("offline", "js", assets.offline.as_bytes());

    let head = [
        page::policy_tag(POLICY),
        format!(r#"<link rel="stylesheet" href="{style}">"#),
        format!(r#"<link rel="modulepreload" href="{glue}">"#),
        format!(r#"<link rel="modulepreload" href="{later}">"#),
        format!(
            r#"<link rel="preload" href="{wasm}" as="fetch" type="application/wasm" crossorigin>"#
        ),
        r#"<link rel="manifest" href="manifest.webmanifest">"#.to_owned(),
        r#"<link rel="icon" href="icon.svg" type="image/svg+xml">"#.to_owned(),
        format!(r#"<script type="module" src="{boot}"></script>"#),
        format!(r#"<script type="module" src="{offline}"></script>"#),
    ];
    let index = page::index(&assets.index, &head, "")?;
    site.insert("index.html".to_owned(), index.into_bytes());

    let worker = worker(&assets.worker, &site)?;
    site.insert("sw.js".to_owned(), worker.into_bytes());
    Ok(site)
}

/// The service worker for these files. Any change to any of them gives it a
/// new version, which is what makes a browser look at it anew.
fn worker(template: &str, site: &Site) -> Result<String> {
    let parts: Vec<&[u8]> =
        site.iter().flat_map(|(name, content)| [name.as_bytes(), content.as_slice()]).collect();
    // The start page is kept under the address that people open.
    let kept = site.keys().map(|name| match name.as_str() {
        "index.html" => "./",
        name => name,
    });
    let list = kept.collect::<serde_json::Value>().to_string();
    let worker = page::fill(template, "public/sw.js", "__VERSION__", &short(&parts))?;
    page::fill(&worker, "public/sw.js", "__FILES__", &list)
}

/// Replaces the folder by the site.
pub(crate) fn write(folder: &Path, site: &Site) -> Result<()> {
    match fs::remove_dir_all(folder) {
        Err(error) if error.kind() != io::ErrorKind::NotFound => {
            return Err(Error::writing(folder)(error));
        }
        _ => {}
    }
    fs::create_dir_all(folder).map_err(Error::writing(folder))?;
    for (name, content) in site {
        let path = folder.join(name);
        fs::write(&path, content).map_err(Error::writing(&path))?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use firstglow_pieces::Piece;

    use super::*;

    fn assets() -> Assets {
        Assets {
            index: "<head><!--HEAD--></head><body><!--BODY--></body>".into(),
            style: "a{}".into(),
            boot: "const start = __START__;".into(),
            later: "__PIECES__".into(),
            offline: String::new(),
            worker: "'__VERSION__' __FILES__".into(),
            plain: BTreeMap::from([("icon.svg".to_owned(), b"<svg/>".to_vec())]),
        }
    }

    fn app(wasm: &[u8]) -> App {
        App { glue: format!("import * as a {LINKED};"), wasm: wasm.into(), later: Vec::new() }
    }

    fn text(site: &Site, name: &str) -> String {
        String::from_utf8(site[name].clone()).unwrap()
    }

    #[test]
    fn the_page_runs_no_inline_script_and_has_a_policy() {
        let page = text(&assemble(&assets(), &app(b"1")).unwrap(), "index.html");
        assert_eq!(page.matches("<script").count(), 2);
        assert_eq!(page.matches(r#"<script type="module" src=""#).count(), 2);
        assert!(page.contains("script-src 'self' 'wasm-unsafe-eval';"));
        assert!(!page.contains("<!--"));
    }

    #[test]
    fn the_worker_keeps_every_file_but_itself() {
        let site = assemble(&assets(), &app(b"1")).unwrap();
        let worker = text(&site, "sw.js");
        for name in site.keys().filter(|name| *name != "sw.js") {
            let kept = if name == "index.html" { "./" } else { name };
            assert!(worker.contains(&format!("\"{kept}\"")), "{name}");
        }
        assert!(!worker.contains("sw.js"));
    }

    #[test]
    fn the_glue_takes_the_later_pieces_from_where_it_is_told_to() {
        assert!(LINKED.contains(&format!("{:?}", firstglow_pieces::LINK)));
    }

    #[test]
    fn a_later_piece_is_kept_and_fetched_but_not_asked_for_by_the_page() {
        let shop = Piece { name: "shop".into(), wasm: b"shop".into() };
        let app = App { later: vec![shop], ..app(b"1") };
        let site = assemble(&assets(), &app).unwrap();
        let name = |start: &str, end: &str| {
            let is_it = |name: &&String| name.starts_with(start) && name.ends_with(end);
            site.keys().find(is_it).unwrap().clone()
        };
        let (piece, later) = (name("shop-", "wasm"), name("later-", "js"));
        let loader = text(&site, &later);
        assert!(loader.contains("export const __wasm_split_load_shop ="), "{loader}");
        assert!(loader.contains(&format!("'{piece}'")), "{loader}");
        assert!(text(&site, &name("app-", "js")).contains(&format!("from \"./{later}\"")));
        assert!(text(&site, "sw.js").contains(&piece));
        assert!(!text(&site, "index.html").contains(&piece));
    }

    #[test]
    fn a_changed_app_changes_the_version_and_only_then() {
        let build = |wasm| text(&assemble(&assets(), &app(wasm)).unwrap(), "sw.js");
        assert_eq!(build(b"1"), build(b"1"));
        assert_ne!(build(b"1"), build(b"2"));
    }
}
