//! The site: hashed file names, a strict policy, and the hashes of its own files
//! by which each is checked before it is used or kept.

use std::collections::BTreeMap;
use std::fs;
use std::io;
use std::path::Path;

use serde_json::Value;

use crate::assets::Assets;
use crate::bind::App;
use crate::digest::{hashed_name, integrity, sha256, short};
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

/// How the page begins where nothing is written into it yet.
const HTML: &str = r#"<html lang="en">"#;

/// Files by name, as they are laid out.
struct Layout(Site);

/// A file of the site as the page names it.
struct Named {
    name: String,
    integrity: String,
}

/// Lays the site out.
pub(crate) fn assemble(assets: &Assets, app: &App) -> Result<Site> {
    let mut layout = Layout(assets.plain.clone());
    let style = layout.add("style", "css", assets.style.as_bytes());
    let wasm = layout.add("app", "wasm", &app.wasm);
    let later = layout.later(assets, app)?;
    let from = format!("from \"./{}\"", later.name);
    let glue = page::fill(&app.glue, "the glue", LINKED, &from)?;
    let glue = layout.add("app", "js", glue.as_bytes());
    let export = "export { show, fetchAgain, addSecondCopy };";
    let failure = page::fill(&assets.failure, "public/failure.js", "__EXPORT__", export)?;
    let failure = layout.add("failure", "js", failure.as_bytes());
    let failed = format!("() => import('./{}')", failure.name);
    let boot =
        page::fill(&assets.boot, "public/boot.js", "__START__", &start(&glue, &later, &wasm))?;
    let boot = page::fill(&boot, "public/boot.js", "__FAILURE__", &failed)?;
    let boot = layout.add("boot", "js", boot.as_bytes());
    let offline = page::fill(&assets.offline, "public/offline.js", "__FAILURE__", &failed)?;
    let offline = layout.add("offline", "js", offline.as_bytes());

    let mut head = vec![
        page::policy_tag(POLICY),
        format!(r#"<link rel="stylesheet" href="{}" integrity="{}">"#, style.name, style.integrity),
        format!(
            r#"<link rel="preload" href="{}" as="fetch" type="application/wasm" crossorigin>"#,
            wasm.name
        ),
        r#"<link rel="manifest" href="manifest.webmanifest">"#.to_owned(),
        r#"<link rel="icon" href="icon.svg" type="image/svg+xml">"#.to_owned(),
        // At hand before it is needed: then the network may be gone.
        format!(
            r#"<link rel="modulepreload" href="{}" integrity="{}">"#,
            failure.name, failure.integrity
        ),
    ];
    // Each in a tag of its own, what is imported before what imports it: an
    // import is only checked where a tag has asked for the file before.
    head.extend([later, glue, boot, offline].iter().map(|script| {
        let Named { name, integrity } = script;
        format!(r#"<script type="module" src="{name}" integrity="{integrity}"></script>"#)
    }));
    let index = with_digest(&page::index(&assets.index, &head, "")?)?;
    let Layout(mut site) = layout;
    site.insert("index.html".to_owned(), index.into_bytes());
    let worker = worker(&assets.worker, &site)?;
    site.insert("sw.js".to_owned(), worker.into_bytes());
    Ok(site)
}

impl Layout {
    /// Adds a file under the name that its content gives it.
    fn add(&mut self, stem: &str, extension: &str, content: &[u8]) -> Named {
        let name = hashed_name(stem, extension, content);
        self.0.insert(name.clone(), content.to_owned());
        Named { name, integrity: integrity(content) }
    }

    /// Adds the pieces that come later, and what fetches them.
    fn later(&mut self, assets: &Assets, app: &App) -> Result<Named> {
        let pieces: Vec<String> = app
            .later
            .iter()
            .map(|piece| {
                let Named { name, integrity } = self.add(&piece.name, "wasm", &piece.wasm);
                let fetch = piece.fetched_by();
                format!(
                    "export const {fetch} = (done, data) => \
                     load('{name}', '{integrity}', done, data);"
                )
            })
            .collect();
        let pieces = pieces.join("\n");
        let later = page::fill(&assets.later, "public/later.js", "__PIECES__", &pieces)?;
        Ok(self.add("later", "js", later.as_bytes()))
    }
}

/// What starts the app.
fn start(glue: &Named, later: &Named, wasm: &Named) -> String {
    let (glue, later) = (&glue.name, &later.name);
    let Named { name, integrity } = wasm;
    format!(
        "async () => {{\n  \
           const [app, later] = await Promise.all([import('./{glue}'), import('./{later}')])\n    \
             .catch((error) => {{ throw unloaded(error); }});\n  \
           later.connect(await app.default({{ \
             module_or_path: await later.whole('{name}', '{integrity}') }}));\n\
         }}"
    )
}

/// The page with the digest of itself in its first tag, by which it knows that
/// nothing on the way has changed it. The browser hands a page out as it read
/// it, so spaces and empty values do not count, and the tag is left out.
fn with_digest(index: &str) -> Result<String> {
    let (_, page) = index.split_at(index.find(HTML).unwrap_or_default());
    let text: String = page.chars().filter(|c| !c.is_whitespace()).collect();
    let built = integrity(text.replace("=\"\"", "").as_bytes());
    let html = HTML.replace('>', &format!(" data-built=\"{built}\">"));
    page::fill(index, "index.html", HTML, &html)
}

/// The service worker for these files. Any change to any of them, or to it,
/// gives it a new version, which is what makes a browser look at it anew.
fn worker(template: &str, site: &Site) -> Result<String> {
    let own = [("sw.js", template.as_bytes())];
    let files = site.iter().map(|(name, content)| (name.as_str(), content.as_slice()));
    let parts: Vec<&[u8]> =
        files.chain(own).flat_map(|(name, content)| [name.as_bytes(), content]).collect();
    // The start page stands in the worker itself.
    let hashes: serde_json::Map<String, Value> = site
        .iter()
        .filter(|(name, _)| *name != "index.html")
        .map(|(name, content)| (name.clone(), sha256(content).into()))
        .collect();
    let page = String::from_utf8_lossy(&site["index.html"]);
    let file = "public/sw.js";
    let worker = page::fill(template, file, "__VERSION__", &short(&parts))?;
    let worker = page::fill(&worker, file, "__HASHES__", &Value::from(hashes).to_string())?;
    page::fill(&worker, file, "__PAGE__", &Value::from(page).to_string())
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
            index: "<!doctype html>\n<html lang=\"en\">\n<head><!--HEAD--></head>\
                    <body><!--BODY--></body>\n</html>\n"
                .into(),
            style: "a{}".into(),
            boot: "const start = __START__; const failurePage = __FAILURE__;".into(),
            later: "__PIECES__".into(),
            failure: "__EXPORT__".into(),
            offline: "__FAILURE__".into(),
            worker: "'__VERSION__' __PAGE__ __HASHES__".into(),
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
        assert_eq!(page.matches("<script").count(), 4);
        assert_eq!(page.matches(r#"<script type="module" src=""#).count(), 4);
        assert!(page.contains("script-src 'self' 'wasm-unsafe-eval';"));
        assert!(!page.contains("<!--"));
    }

    #[test]
    fn every_script_and_style_is_named_with_what_it_must_be() {
        let site = assemble(&assets(), &app(b"1")).unwrap();
        let page = text(&site, "index.html");
        for (name, content) in &site {
            if [".js", ".css"].iter().any(|end| name.ends_with(end)) && name != "sw.js" {
                let named = format!("=\"{name}\" integrity=\"{}\"", integrity(content));
                assert!(page.contains(&named), "{named} in {page}");
            }
        }
        let boot = site.keys().find(|name| name.starts_with("boot")).unwrap();
        assert!(text(&site, boot).contains(&integrity(b"1")));
    }

    #[test]
    fn the_page_knows_what_it_was_before_it_said_so() {
        let page = text(&assemble(&assets(), &app(b"1")).unwrap(), "index.html");
        let (_, rest) = page.split_once(" data-built=\"").unwrap();
        let (built, _) = rest.split_once('"').unwrap();
        let before = page.replace(&format!(" data-built=\"{built}\""), "");
        let before = before.strip_prefix("<!doctype html>").unwrap();
        let packed: String = before.chars().filter(|c| !c.is_whitespace()).collect();
        assert_eq!(built, integrity(packed.as_bytes()));
    }

    #[test]
    fn the_worker_knows_every_file_but_itself_and_holds_the_page() {
        let site = assemble(&assets(), &app(b"1")).unwrap();
        let worker = text(&site, "sw.js");
        for (name, content) in &site {
            if name != "sw.js" && name != "index.html" {
                let known = format!("\"{name}\":\"{}\"", sha256(content));
                assert!(worker.contains(&known), "{name}");
            }
        }
        assert!(worker.contains(&Value::from(text(&site, "index.html")).to_string()));
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
        let other = Assets { worker: "'__VERSION__' __PAGE__ __HASHES__;".into(), ..assets() };
        let other = text(&assemble(&other, &app(b"1")).unwrap(), "sw.js");
        assert_ne!(build(b"1")[..18], other[..18], "the worker itself counts");
    }
}
