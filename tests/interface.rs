//! `shared/interface.rs.txt` is the interface of the library: every item that its users can name, without documents and
//! bodies. A change of it is a change of that file, and so is seen.
//!
//! TRACEARM_WRITE_INTERFACE=1 writes the file anew.

use crate::common;

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use common::file;
use syn::{Fields, ImplItem, Item, TraitItem, UseTree, Visibility};

const FILE: &str = "shared/interface.rs.txt";

/// The items of a module and of all modules within it, by the module's path.
struct Crate(BTreeMap<Vec<String>, Vec<Item>>);

impl Crate {
    fn read() -> Crate {
        let mut modules = BTreeMap::new();
        let source = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
        Crate::add(&mut modules, Vec::new(), &source.join("lib.rs"), &source);
        Crate(modules)
    }

    /// Adds the module in a file, whose own modules lie in `folder`.
    fn add(modules: &mut BTreeMap<Vec<String>, Vec<Item>>, path: Vec<String>, from: &Path, folder: &Path) {
        let text =
            std::fs::read_to_string(from).unwrap_or_else(|error| panic!("{}: {error}", from.display()));
        let mut items =
            syn::parse_file(&text).unwrap_or_else(|error| panic!("{}: {error}", from.display())).items;
        items.retain(|item| !is_left_out(attributes(item)));
        for item in &items {
            let Item::Mod(module) = item else { continue };
            if module.content.is_some() {
                continue;
            }
            let name = module.ident.to_string();
            let alone: PathBuf = folder.join(format!("{name}.rs"));
            let from = if alone.exists() { alone } else { folder.join(&name).join("mod.rs") };
            Crate::add(
                modules,
                [&path[..], std::slice::from_ref(&name)].concat(),
                &from,
                &folder.join(&name),
            );
        }
        modules.insert(path, items);
    }

    /// The public modules within a module, at any depth.
    fn rooms(&self, path: &[String]) -> Vec<Vec<String>> {
        let public = self.0[path].iter().filter_map(|item| match item {
            Item::Mod(module) if matches!(module.vis, Visibility::Public(_)) => {
                Some(module.ident.to_string())
            }
            _ => None,
        });
        let rooms = public.map(|name| [path, &[name]].concat());
        rooms.flat_map(|room| [vec![room.clone()], self.rooms(&room)].concat()).collect()
    }

    /// What the users of a module can name in it: names with the items, and the modules where these stand.
    ///
    /// `None` for what a macro makes, of which the name alone is known.
    fn public(&self, path: &[String]) -> Vec<(String, Option<&Item>)> {
        let mut found = Vec::new();
        // Items of other crates stand in no file here.
        for item in self.0.get(path).into_iter().flatten() {
            if let Item::Use(own) = item {
                if matches!(own.vis, Visibility::Public(_)) {
                    let mut names = Vec::new();
                    leaves(&own.tree, &mut Vec::new(), &mut names);
                    found.extend(names.into_iter().map(|(from, name)| (name, self.item(path, &from))));
                }
            } else if let Some(name) = public_name(item) {
                found.push((name, Some(item)));
            }
        }
        found
    }

    /// The item that `use` names from a module.
    fn item(&self, module: &[String], from: &[String]) -> Option<&Item> {
        let (name, parents) = from.split_last().expect("a name");
        let place = match parents.first().map(String::as_str) {
            Some("crate") => parents[1..].to_vec(),
            Some("self") => [module, &parents[1..]].concat(),
            _ => [module, parents].concat(),
        };
        self.public(&place).into_iter().find(|(own, _)| own == name)?.1
    }

    /// The methods that the room of a module gives to a type.
    fn methods(&self, room: &[String], name: &str) -> Vec<Item> {
        let mut found = Vec::new();
        for items in self.0.iter().filter(|(path, _)| path.starts_with(room)).map(|(_, items)| items) {
            for item in items {
                let Item::Impl(block) = item else { continue };
                let syn::Type::Path(of) = &*block.self_ty else { continue };
                if of.path.segments.last().is_none_or(|segment| segment.ident != name) {
                    continue;
                }
                let mut block = block.clone();
                block.attrs.clear();
                if block.trait_.is_some() {
                    block.items.clear();
                }
                block.items.retain(|item| match item {
                    ImplItem::Fn(function) => matches!(function.vis, Visibility::Public(_)),
                    ImplItem::Const(constant) => matches!(constant.vis, Visibility::Public(_)),
                    _ => false,
                });
                for item in &mut block.items {
                    match item {
                        ImplItem::Fn(function) => {
                            function.attrs.retain(is_kept);
                            function.block.stmts.clear();
                        }
                        ImplItem::Const(constant) => constant.attrs.clear(),
                        _ => {}
                    }
                }
                if block.trait_.is_some() || !block.items.is_empty() {
                    found.push(Item::Impl(block));
                }
            }
        }
        found
    }
}

/// What is no part of a build with all features: what is for tests, or stands in for a feature that is missing. What one
/// system has and another has not is left out too.
fn is_left_out(attributes: &[syn::Attribute]) -> bool {
    let conditions = attributes.iter().filter(|attribute| attribute.path().is_ident("cfg"));
    conditions.into_iter().any(|condition| {
        let syn::Meta::List(list) = &condition.meta else { return true };
        let words: Vec<String> = list.tokens.to_string().split_whitespace().map(str::to_owned).collect();
        // `feature = "sheet"`, or any of several.
        let is_feature = matches!(words.first().map(String::as_str), Some("feature" | "any"));
        !is_feature || words.iter().any(|word| matches!(word.as_str(), "test" | "not"))
    })
}

/// The attributes of an item of a module.
fn attributes(item: &Item) -> &[syn::Attribute] {
    match item {
        Item::Const(item) => &item.attrs,
        Item::Enum(item) => &item.attrs,
        Item::Fn(item) => &item.attrs,
        Item::Impl(item) => &item.attrs,
        Item::Mod(item) => &item.attrs,
        Item::Struct(item) => &item.attrs,
        Item::Trait(item) => &item.attrs,
        Item::Type(item) => &item.attrs,
        Item::Use(item) => &item.attrs,
        _ => &[],
    }
}

/// What says something to users beside the documents.
fn is_kept(attribute: &syn::Attribute) -> bool {
    ["non_exhaustive", "must_use", "derive"].iter().any(|name| attribute.path().is_ident(name))
}

/// The names that a `use` brings in, each with its path.
fn leaves(tree: &UseTree, path: &mut Vec<String>, found: &mut Vec<(Vec<String>, String)>) {
    match tree {
        UseTree::Path(inner) => {
            path.push(inner.ident.to_string());
            leaves(&inner.tree, path, found);
            path.pop();
        }
        UseTree::Name(name) => {
            let whole = [&path[..], &[name.ident.to_string()]].concat();
            found.push((whole, name.ident.to_string()));
        }
        UseTree::Rename(name) => {
            let whole = [&path[..], &[name.ident.to_string()]].concat();
            found.push((whole, name.rename.to_string()));
        }
        UseTree::Group(group) => group.items.iter().for_each(|tree| leaves(tree, path, found)),
        UseTree::Glob(_) => panic!("a glob hides what is public"),
    }
}

/// The name of an item that is public by itself.
fn public_name(item: &Item) -> Option<String> {
    let (visibility, name) = match item {
        Item::Const(item) => (&item.vis, &item.ident),
        Item::Enum(item) => (&item.vis, &item.ident),
        Item::Fn(item) => (&item.vis, &item.sig.ident),
        Item::Struct(item) => (&item.vis, &item.ident),
        Item::Trait(item) => (&item.vis, &item.ident),
        Item::Type(item) => (&item.vis, &item.ident),
        _ => return None,
    };
    matches!(visibility, Visibility::Public(_)).then(|| name.to_string())
}

/// The item without documents, bodies and what is private.
fn bare(item: &Item, name: &str) -> Option<Item> {
    let mut item = item.clone();
    match &mut item {
        Item::Const(item) => {
            item.attrs.clear();
            *item.expr = syn::parse_quote!(..);
        }
        Item::Enum(item) => {
            item.attrs.retain(is_kept);
            for variant in &mut item.variants {
                variant.attrs.clear();
                variant.fields.iter_mut().for_each(|field| field.attrs.clear());
            }
        }
        Item::Fn(item) => {
            item.attrs.retain(is_kept);
            item.block.stmts.clear();
            item.sig.ident = syn::Ident::new(name, item.sig.ident.span());
        }
        Item::Struct(item) => {
            item.attrs.retain(is_kept);
            let is_public = |field: &syn::Field| matches!(field.vis, Visibility::Public(_));
            if let Fields::Named(fields) = &mut item.fields {
                fields.named = fields.named.iter().filter(|field| is_public(field)).cloned().collect();
                fields.named.iter_mut().for_each(|field| field.attrs.clear());
            } else if !item.fields.iter().all(is_public) {
                item.fields = Fields::Named(syn::parse_quote!({}));
                item.semi_token = None;
            }
        }
        Item::Trait(item) => {
            item.attrs.clear();
            for item in &mut item.items {
                if let TraitItem::Fn(function) = item {
                    function.attrs.clear();
                    function.default = None;
                }
            }
        }
        Item::Type(item) => item.attrs.clear(),
        _ => return None,
    }
    Some(item)
}

#[test]
fn every_change_of_the_interface_is_seen() {
    let all = Crate::read();
    let mut text = String::new();
    for room in all.rooms(&[]) {
        let name = room.join("::");
        let mut public = all.public(&room);
        public.sort_by(|(a, _), (b, _)| a.cmp(b));
        let (mut items, mut made) = (Vec::new(), Vec::new());
        for (own, item) in public {
            match item {
                Some(item) => items.extend(bare(item, &own)),
                None => made.push(own.clone()),
            }
            if !matches!(item, Some(Item::Fn(_) | Item::Const(_))) {
                items.extend(all.methods(&room, &own));
            }
        }
        let written = prettyplease::unparse(&syn::File { shebang: None, attrs: Vec::new(), items });
        let made =
            if made.is_empty() { String::new() } else { format!(", with {} by macros", made.join(", ")) };
        text.push_str(&format!("// {name}{made}\n\n{written}\n"));
    }
    assert!(text.contains("pub fn properties(&self) -> Option<&Section>"), "{text}");
    if std::env::var_os("TRACEARM_WRITE_INTERFACE").is_some() {
        std::fs::write(Path::new(env!("CARGO_MANIFEST_DIR")).join(FILE), &text).unwrap();
    }
    for (line, (now, then)) in (1..).zip(text.lines().zip(file(FILE).lines())) {
        assert_eq!(now, then, "{FILE}, line {line}: TRACEARM_WRITE_INTERFACE=1 writes it anew");
    }
    assert_eq!(text.lines().count(), file(FILE).lines().count());
}
