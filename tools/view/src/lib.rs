//! The macros that the screens are written with.
//!
//! They read as Leptos's own do. What they make is of one type, the node of
//! `firstglow::ui::view`, where Leptos's are of a type for each element: the
//! wasm of a screen is then a fraction of the size.

mod component;
mod element;
mod invoke;

use proc_macro::TokenStream;
use quote::quote;
use rstml::node::{Node, NodeBlock};

/// A piece of the page, written as markup.
#[proc_macro]
pub fn view(input: TokenStream) -> TokenStream {
    let result = rstml::parse2(input.into()).and_then(|nodes| nodes_to_tokens(&nodes, false));
    result.unwrap_or_else(syn::Error::into_compile_error).into()
}

/// A function that `view!` calls by name, with attributes for arguments.
#[proc_macro_attribute]
pub fn component(_: TokenStream, item: TokenStream) -> TokenStream {
    let result = syn::parse(item).and_then(component::expand);
    result.unwrap_or_else(syn::Error::into_compile_error).into()
}

/// One node as it is, several as a fragment.
fn nodes_to_tokens(nodes: &[Node], in_svg: bool) -> syn::Result<proc_macro2::TokenStream> {
    let mut parts =
        nodes.iter().map(|node| node_to_tokens(node, in_svg)).collect::<syn::Result<Vec<_>>>()?;
    Ok(match (parts.pop(), parts.is_empty()) {
        (Some(only), true) => only,
        (Some(last), false) => quote!(crate::ui::view::many(vec![#(#parts,)* #last])),
        (None, _) => quote!(crate::ui::view::Node::Empty),
    })
}

fn node_to_tokens(node: &Node, in_svg: bool) -> syn::Result<proc_macro2::TokenStream> {
    match node {
        Node::Element(element) if invoke::is_component(element) => invoke::tokens(element),
        Node::Element(element) => element::tokens(element, in_svg),
        Node::Text(text) => {
            let text = &text.value;
            Ok(quote!(crate::ui::view::text(#text)))
        }
        Node::Block(block) => {
            let value = value_of(block);
            Ok(quote!(crate::ui::view::IntoView::into_view(#value)))
        }
        Node::Fragment(fragment) => nodes_to_tokens(&fragment.children, in_svg),
        other => Err(syn::Error::new_spanned(other, "not in a view")),
    }
}

/// What a block holds, without its braces where they are of no use.
fn value_of(block: &NodeBlock) -> proc_macro2::TokenStream {
    let statements = block.try_block().map(|block| block.stmts.as_slice());
    if let Some([syn::Stmt::Expr(value, None)]) = statements {
        quote!(#value)
    } else {
        quote!(#block)
    }
}
