//! An element in a view.

use crate::{nodes_to_tokens, value_of};
use proc_macro2::TokenStream;
use quote::{format_ident, quote};
use rstml::node::{KeyedAttribute, Node, NodeAttribute, NodeElement};
use syn::{Expr, Lit};

/// Between the tag, the names and the values of what never changes.
const SEPARATOR: char = '\u{1f}';

/// The elements that are SVG also where no `<svg>` is around them.
const SVG: [&str; 14] = [
    "svg", "g", "path", "circle", "ellipse", "line", "rect", "polyline", "polygon", "text",
    "tspan", "defs", "use", "marker",
];

/// The types of events that are more than an `Event`.
const EVENTS: [(&str, &[&str]); 7] = [
    ("KeyboardEvent", &["keydown", "keyup"]),
    ("ClipboardEvent", &["paste", "copy", "cut"]),
    ("DragEvent", &["dragover", "dragenter", "dragleave", "drop"]),
    ("MouseEvent", &["click", "dblclick", "mousedown", "mouseup", "mousemove"]),
    ("PointerEvent", &["pointerdown", "pointerup", "pointermove", "pointercancel"]),
    ("WheelEvent", &["wheel"]),
    ("FocusEvent", &["focus", "blur"]),
];

pub(crate) fn tokens(
    element: &NodeElement<rstml::Infallible>,
    in_svg: bool,
) -> syn::Result<TokenStream> {
    let tag = element.name().to_string();
    let of_drawing = in_svg || SVG.contains(&tag.as_str());
    let mut fixed = tag.clone();
    let mut calls = Vec::new();
    for attribute in element.attributes() {
        let NodeAttribute::Attribute(attribute) = attribute else {
            return Err(syn::Error::new_spanned(attribute, "expected a name"));
        };
        if let Some((name, value)) = literal(attribute) {
            fixed.extend([SEPARATOR.to_string(), name, SEPARATOR.to_string(), value]);
        } else {
            calls.push(changing(attribute, &tag)?);
        }
    }
    for child in &element.children {
        calls.push(match child {
            Node::Text(text) => {
                let text = &text.value;
                quote!(.words(#text))
            }
            Node::Block(block) => {
                let value = value_of(block);
                quote!(.child(#value))
            }
            other => {
                let child = nodes_to_tokens(std::slice::from_ref(other), of_drawing)?;
                quote!(.node(#child))
            }
        });
    }
    let begin = format_ident!("{}", if of_drawing { "svg" } else { "html" });
    Ok(quote!(crate::ui::view::#begin(#fixed)#(#calls)*.done()))
}

/// A name and a value known by now.
fn literal(attribute: &KeyedAttribute) -> Option<(String, String)> {
    let name = attribute.key.to_string();
    if name.contains(':') {
        return None;
    }
    match attribute.value() {
        None => Some((name, String::new())),
        Some(Expr::Lit(literal)) => match &literal.lit {
            Lit::Str(text) => Some((name, text.value())),
            Lit::Bool(yes) if yes.value => Some((name, String::new())),
            _ => None,
        },
        Some(_) => None,
    }
}

/// What is worked out when the page is made, or changes on it.
fn changing(attribute: &KeyedAttribute, tag: &str) -> syn::Result<TokenStream> {
    let name = attribute.key.to_string();
    let Some(value) = attribute.value() else {
        return Err(syn::Error::new_spanned(attribute, "expected a value"));
    };
    if name == "node_ref" {
        return Ok(quote!(.refer(#value)));
    }
    Ok(match name.split_once(':') {
        None => quote!(.attr(#name, #value)),
        Some(("prop", name)) => {
            let name = name.trim();
            quote!(.prop(#name, #value))
        }
        Some(("style", name)) => {
            let name = name.trim();
            quote!(.style(#name, #value))
        }
        Some(("class", name)) => {
            let name = name.trim();
            quote!(.class(#name, #value))
        }
        Some(("on", name)) => listener(name, tag, value),
        Some(_) => return Err(syn::Error::new_spanned(attribute, "not known in a view")),
    })
}

fn listener(name: &str, tag: &str, handler: &Expr) -> TokenStream {
    if let Some(name) = name.strip_suffix(":target") {
        let target = format_ident!(
            "{}",
            match tag {
                "input" => "HtmlInputElement",
                "select" => "HtmlSelectElement",
                "textarea" => "HtmlTextAreaElement",
                _ => "Element",
            }
        );
        return quote!(.on_target::<::web_sys::#target>(#name, #handler));
    }
    let found = EVENTS.iter().find(|(_, names)| names.contains(&name));
    let event = format_ident!("{}", found.map_or("Event", |(event, _)| event));
    quote!(.on::<::web_sys::#event>(#name, #handler))
}
