//! Takes the app's wasm apart at the functions that are marked for it, or puts
//! it together where all of it comes at once.
//!
//! A function marked `#[wasm_split(name)]` stands in the compiled wasm as an
//! import and an export. What only the export needs becomes the piece `name`,
//! which shares memory and table with the first; the import fetches it.

use std::fmt::Display;
use std::fs;
use std::io;
use std::path::Path;

use walrus::ir::Value;
use walrus::{ExportItem, FunctionId, ImportKind, Module, ModuleConfig, TableId, ValType};
use wasm_split_cli_support::{Options, transform};

/// The module from which the first piece imports what fetches the others.
pub const LINK: &str = "./later.js";

/// Where the marks point before anything is taken apart.
const PLACEHOLDER: &str = "__wasm_split_placeholder__";
const FETCH: &str = "__wasm_split_load_";
const TABLE: &str = "__indirect_function_table";

/// A wasm that cannot be taken apart or put together.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    /// It is not as the marks have it.
    #[error("{0}")]
    Wasm(String),
    /// The scratch folder does not do.
    #[error("the scratch folder: {0}")]
    Scratch(#[from] io::Error),
}

/// What is taken apart or put together, or why not.
pub type Result<T> = std::result::Result<T, Error>;

/// A piece that is fetched after the first.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Piece {
    /// Its name in the mark.
    pub name: String,
    /// It as a browser takes it.
    pub wasm: Vec<u8>,
}

impl Piece {
    /// The name of the import that fetches it.
    pub fn fetched_by(&self) -> String {
        format!("{FETCH}{}", self.name)
    }
}

/// The first piece, still to be bound, and the others by name. The wasm must
/// be linked with `--emit-relocs`; a folder `pieces` is made in `scratch`.
///
/// # Errors
/// When the wasm lacks its relocations, when two marks share a piece of their
/// own, or when the folder cannot be written.
pub fn apart(scratch: &Path, wasm: &[u8]) -> Result<(Vec<u8>, Vec<Piece>)> {
    let folder = scratch.join("pieces");
    let first = folder.join("first.wasm");
    fs::create_dir_all(&folder)?;
    let mut options = Options::new(wasm);
    options.output_dir = &folder;
    options.main_out_path = &first;
    options.link_name = LINK;
    let made = transform(options).map_err(|error| wrong(format!("{error:#}")))?;
    let mut pieces = Vec::new();
    for (name, files) in made.prefetch_map {
        let [file] = files.as_slice() else {
            return Err(wrong(format!("{name} is of {} files, and not of one", files.len())));
        };
        let wasm = fs::read(folder.join(file).with_extension("wasm"))?;
        pieces.push(Piece { name, wasm: tidy(&wasm)? });
    }
    pieces.sort_by(|one, other| one.name.cmp(&other.name));
    Ok((fs::read(first)?, pieces))
}

/// The wasm with each marked function called where it stands. A wasm without
/// marks stays as it is.
///
/// # Errors
/// When the marks are not as they are expected.
pub fn whole(wasm: &[u8]) -> Result<Vec<u8>> {
    let mut module = parse(wasm, true)?;
    let marked: Vec<(FunctionId, String)> = module
        .imports
        .iter()
        .filter(|import| import.module == PLACEHOLDER)
        .filter_map(|import| match import.kind {
            ImportKind::Function(function) => Some((function, import.name.clone())),
            _ => None,
        })
        .collect();
    for (import, name) in marked {
        if name.starts_with(FETCH) {
            answer_at_once(&mut module, import)?;
        } else {
            call_export(&mut module, import, &name)?;
        }
    }
    for relocations in ["linking", "reloc.CODE", "reloc.DATA"] {
        module.customs.remove_raw(relocations);
    }
    Ok(module.emit_wasm())
}

/// Has the import that fetches a piece say that it is there.
fn answer_at_once(module: &mut Module, import: FunctionId) -> Result<()> {
    let table = table_of(module)?;
    let callback = module.types.add(&[ValType::I32, ValType::I32], &[]);
    let replaced = module.replace_imported_func(import, |(body, arguments)| {
        if let [function, data] = arguments.as_slice() {
            body.local_get(*data)
                .const_(Value::I32(1))
                .local_get(*function)
                .call_indirect(callback, table);
        }
    });
    replaced.map(drop).map_err(wrong)
}

fn table_of(module: &Module) -> Result<TableId> {
    let exported = module.exports.iter().find_map(|export| match export.item {
        ExportItem::Table(table) if export.name == TABLE => Some(table),
        _ => None,
    });
    match exported {
        Some(table) => Ok(table),
        None => module
            .tables
            .main_function_table()
            .map_err(wrong)?
            .ok_or_else(|| wrong("it has no table of functions")),
    }
}

fn call_export(module: &mut Module, import: FunctionId, name: &str) -> Result<()> {
    let name = name.replacen("_import_", "_export_", 1);
    let export = module.exports.get_func(&name).map_err(wrong)?;
    let replaced = module.replace_imported_func(import, |(body, arguments)| {
        for argument in arguments {
            body.local_get(*argument);
        }
        body.call(export);
    });
    replaced.map_err(wrong)?;
    module.exports.remove(&name).map_err(wrong)
}

/// A piece without names and notes of who made it, its numbers as short as
/// they can be: for the splitter's sake the linker leaves room in all of them.
fn tidy(wasm: &[u8]) -> Result<Vec<u8>> {
    let mut module = parse(wasm, false)?;
    walrus::passes::gc::run(&mut module);
    Ok(module.emit_wasm())
}

fn parse(wasm: &[u8], names: bool) -> Result<Module> {
    ModuleConfig::new()
        .strict_validate(false)
        .generate_name_section(names)
        .generate_producers_section(false)
        .parse(wasm)
        .map_err(wrong)
}

#[allow(clippy::needless_pass_by_value)] // an error is handed over
fn wrong(error: impl Display) -> Error {
    Error::Wasm(format!("{error:#}"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use walrus::{FunctionBuilder, RefType};

    const IMPORT: &str = "__wasm_split_00shop00_import_1_open";
    const EXPORT: &str = "__wasm_split_00shop00_export_1_open";

    /// As the compiler leaves it: `run` calls the import, the export adds nothing.
    fn marked() -> Vec<u8> {
        let mut module = Module::default();
        let table = module.tables.add_local(false, 1, None, RefType::FUNCREF);
        module.exports.add(TABLE, table);
        let open = module.types.add(&[ValType::I32], &[ValType::I32]);
        let fetch = module.types.add(&[ValType::I32, ValType::I32], &[]);
        let (open, _) = module.add_import_func(PLACEHOLDER, IMPORT, open);
        let (fetch, _) = module.add_import_func(PLACEHOLDER, "__wasm_split_load_shop", fetch);
        let argument = module.locals.add(ValType::I32);
        let mut body = FunctionBuilder::new(&mut module.types, &[ValType::I32], &[ValType::I32]);
        body.func_body().local_get(argument);
        let export = body.finish(vec![argument], &mut module.funcs);
        module.exports.add(EXPORT, export);
        let mut body = FunctionBuilder::new(&mut module.types, &[], &[ValType::I32]);
        body.func_body().i32_const(0).i32_const(0).call(fetch).i32_const(7).call(open);
        let run = body.finish(vec![], &mut module.funcs);
        module.exports.add("run", run);
        module.emit_wasm()
    }

    #[test]
    fn what_is_put_together_asks_for_nothing_more() {
        let whole = whole(&marked()).unwrap();
        let module = ModuleConfig::new().strict_validate(true).parse(&whole).unwrap();
        assert_eq!(module.imports.iter().count(), 0);
        let exports: Vec<&str> = module.exports.iter().map(|e| e.name.as_str()).collect();
        assert_eq!(exports, [TABLE, "run"]);
    }

    #[test]
    fn a_wasm_without_marks_stays_as_it_is() {
        let plain = Module::default().emit_wasm();
        assert_eq!(whole(&plain).unwrap(), plain);
    }

    #[test]
    fn a_mark_without_its_function_is_told() {
        let mut module = Module::from_buffer(&marked()).unwrap();
        module.exports.remove(EXPORT).unwrap();
        assert!(matches!(whole(&module.emit_wasm()), Err(Error::Wasm(_))));
    }

    #[test]
    fn a_wasm_without_relocations_is_not_taken_apart() {
        let scratch = std::env::temp_dir().join(format!("pieces-{}", std::process::id()));
        let error = apart(&scratch, &marked()).unwrap_err();
        assert!(matches!(error, Error::Wasm(_)), "{error}");
        fs::remove_dir_all(scratch).unwrap();
    }
}
