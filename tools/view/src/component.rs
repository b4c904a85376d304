//! A component: a function, and a builder for its arguments.

use proc_macro2::TokenStream;
use quote::{format_ident, quote};
use syn::spanned::Spanned;
use syn::{Attribute, FnArg, ItemFn, Pat, Type};

/// What `#[prop(..)]` says of an argument.
#[derive(Default)]
struct Prop {
    optional: bool,
    into: bool,
}

pub(crate) fn expand(function: ItemFn) -> syn::Result<TokenStream> {
    let ItemFn { attrs, vis, sig, block, .. } = function;
    let name = sig.ident;
    let props = format_ident!("{name}Props");
    let builder = format_ident!("{props}Builder");
    let mut fields = Vec::new();
    let mut names = Vec::new();
    for argument in sig.inputs {
        let FnArg::Typed(argument) = argument else {
            return Err(syn::Error::new(argument.span(), "a component has no self"));
        };
        let Pat::Ident(pattern) = *argument.pat else {
            return Err(syn::Error::new(argument.pat.span(), "expected a name"));
        };
        let (prop, docs) = read(argument.attrs)?;
        let setting = setting(&prop, &argument.ty);
        let (field, ty) = (pattern.ident, argument.ty);
        fields.push(quote! { #(#docs)* #setting pub #field: #ty });
        names.push(field);
    }
    Ok(quote! {
        #[doc = "What the component of that name takes."]
        #[allow(missing_docs)]
        #[derive(::typed_builder::TypedBuilder)]
        #[builder(crate_module_path=::typed_builder)]
        #vis struct #props { #(#fields,)* }

        impl crate::ui::view::Props for #props {
            type Builder = #builder;

            fn builder() -> #builder {
                #props::builder()
            }
        }

        #(#attrs)*
        #[allow(non_snake_case, clippy::needless_pass_by_value)]
        #vis fn #name(#props { #(#names),* }: #props) -> crate::ui::view::Node {
            crate::ui::view::component_node(Box::new(move || {
                crate::ui::view::IntoView::into_view(#block)
            }))
        }
    })
}

/// Parts what is said of an argument from its documentation.
fn read(attributes: Vec<Attribute>) -> syn::Result<(Prop, Vec<Attribute>)> {
    let mut prop = Prop::default();
    let mut docs = Vec::new();
    for attribute in attributes {
        if !attribute.path().is_ident("prop") {
            docs.push(attribute);
            continue;
        }
        attribute.parse_nested_meta(|meta| {
            if meta.path.is_ident("optional") {
                prop.optional = true;
            } else if meta.path.is_ident("into") {
                prop.into = true;
            } else {
                return Err(meta.error("expected `optional` or `into`"));
            }
            Ok(())
        })?;
    }
    Ok((prop, docs))
}

fn setting(prop: &Prop, ty: &Type) -> TokenStream {
    let default = prop.optional.then(|| quote!(default,));
    let strip = (prop.optional && is_option(ty)).then(|| quote!(strip_option,));
    let into = prop.into.then(|| quote!(into,));
    quote!(#[builder(#default setter(#strip #into))])
}

fn is_option(ty: &Type) -> bool {
    let Type::Path(path) = ty else { return false };
    path.path.segments.last().is_some_and(|last| last.ident == "Option")
}
