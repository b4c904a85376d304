//! A component in a view.

use crate::nodes_to_tokens;
use proc_macro2::TokenStream;
use quote::{ToTokens, quote};
use rstml::node::{NodeAttribute, NodeElement, NodeName};
use syn::ExprPath;

/// Components begin with a capital letter; elements do not.
pub(crate) fn is_component<C: rstml::node::CustomNode>(element: &NodeElement<C>) -> bool {
    path(element).and_then(last_word).is_some_and(|word| word.starts_with(char::is_uppercase))
}

fn path<C: rstml::node::CustomNode>(element: &NodeElement<C>) -> Option<&ExprPath> {
    match element.name() {
        NodeName::Path(path) => Some(path),
        _ => None,
    }
}

fn last_word(path: &ExprPath) -> Option<String> {
    path.path.segments.last().map(|segment| segment.ident.to_string())
}

pub(crate) fn tokens(element: &NodeElement<rstml::Infallible>) -> syn::Result<TokenStream> {
    let Some(function) = path(element) else {
        return Err(syn::Error::new_spanned(element.name(), "not a component"));
    };
    let mut setters = Vec::new();
    for attribute in element.attributes() {
        let NodeAttribute::Attribute(attribute) = attribute else {
            return Err(syn::Error::new_spanned(attribute, "expected a name"));
        };
        let name = &attribute.key;
        let value =
            attribute.value().map_or_else(|| name.to_token_stream(), ToTokens::to_token_stream);
        setters.push(quote!(.#name(#value)));
    }
    if !element.children.is_empty() {
        let children = nodes_to_tokens(&element.children, false)?;
        setters.push(quote!(.children(Box::new(move || #children))));
    }
    Ok(quote!(#function(crate::ui::view::props_of(#function)#(#setters)*.build())))
}
