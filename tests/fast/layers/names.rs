//! What the files of a crate name, and which file defines it: imports, renames, globs and re-exports are followed.
//!
//! It sees names, not types: whoever calls a method of a value does not name the file of that method.

use std::collections::BTreeMap;
use syn::buffer::{Cursor, TokenBuffer};
use syn::visit::{self, Visit};

/// A name in a file, with what it stands for.
#[derive(Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Naming {
    /// The file that names it, by its path below `src`.
    pub(crate) from: String,
    /// The path as it is written there.
    pub(crate) path: String,
    /// What it stands for.
    pub(crate) defined: Defined,
}

/// Where something is defined.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Defined {
    /// In this file of the crate.
    In(String),
    /// Elsewhere: its path from the library it is of.
    Elsewhere(String),
}

/// All that the files of a crate name, from `lib.rs` on; modules that are only passed on the way are left out.
///
/// # Panics
///
/// Where a path of the crate leads nowhere, and where no `mod` line leads to a file: nothing is passed over.
pub(crate) fn namings(files: &BTreeMap<String, String>) -> Vec<Naming> {
    let mut collector = Collector::new(files);
    collector.file("lib.rs", None);
    for file in files.keys() {
        assert!(
            collector.read.contains(file),
            "no `mod` line leads to {file}"
        );
    }
    let Collector {
        mut names, named, ..
    } = collector;
    names.attach_inherent();
    let mut namings: Vec<Naming> = named.iter().flat_map(|named| names.naming(named)).collect();
    namings.sort();
    namings.dedup();
    namings
}

type ScopeId = usize;

/// Where names are looked up: a module, a block, or what a type has of its own.
struct Scope {
    file: String,
    around: Option<ScopeId>,
    is_module: bool,
    names: BTreeMap<String, Vec<Meaning>>,
    globs: Vec<Vec<String>>,
}

/// What a name stands for where it is written; the same word may stand for a module and for a function.
#[derive(Clone)]
enum Meaning {
    Module(ScopeId),
    Item(Item),
    Import(Vec<String>),
}

/// Something that a file defines.
#[derive(Clone)]
struct Item {
    file: String,
    /// Variants and functions of a type; nothing else has any.
    inside: Option<ScopeId>,
}

/// Where a path leads.
enum Target {
    Module(ScopeId),
    Item(Item),
    Elsewhere(Vec<String>),
}

/// A path, and where it is written.
struct Named {
    scope: ScopeId,
    path: Vec<String>,
    is_glob: bool,
}

/// What each scope knows.
#[derive(Default)]
struct Names {
    scopes: Vec<Scope>,
    /// Functions and constants of types, which may stand in other files than their type.
    inherent: Vec<(ScopeId, Vec<String>, Vec<String>)>,
}

/// Names that are being looked up: an import may lead back to itself.
type Trail = Vec<(ScopeId, String, usize)>;

impl Names {
    fn attach_inherent(&mut self) {
        for (scope, path, functions) in std::mem::take(&mut self.inherent) {
            let file = self.scopes[scope].file.clone();
            for target in self.follow(scope, &path, &mut Trail::new()) {
                let Target::Item(Item {
                    inside: Some(inside),
                    ..
                }) = target
                else {
                    continue;
                };
                for function in &functions {
                    let item = Item {
                        file: file.clone(),
                        inside: None,
                    };
                    self.bind(inside, function, Meaning::Item(item));
                }
            }
        }
    }

    fn bind(&mut self, scope: ScopeId, name: &str, meaning: Meaning) {
        let names = &mut self.scopes[scope].names;
        names.entry(name.to_owned()).or_default().push(meaning);
    }

    fn naming(&self, named: &Named) -> Vec<Naming> {
        let from = &self.scopes[named.scope].file;
        let mut path = named.path.join("::");
        let targets = self.follow(named.scope, &named.path, &mut Trail::new());
        assert!(!targets.is_empty(), "{path} in {from} leads nowhere");
        if named.is_glob {
            path.push_str("::*");
        }
        let defined = targets.into_iter().filter_map(|target| match target {
            Target::Module(scope) if named.is_glob => {
                Some(Defined::In(self.scopes[scope].file.clone()))
            }
            // Local names, and those that every file has.
            Target::Elsewhere(parts) if parts.len() == 1 && !named.is_glob => None,
            Target::Module(_) => None,
            Target::Item(item) => Some(Defined::In(item.file)),
            Target::Elsewhere(parts) => Some(Defined::Elsewhere(parts.join("::"))),
        });
        defined
            .map(|defined| Naming {
                from: from.clone(),
                path: path.clone(),
                defined,
            })
            .collect()
    }

    /// Where a path leads that is written in a scope.
    fn follow(&self, scope: ScopeId, path: &[String], trail: &mut Trail) -> Vec<Target> {
        let (first, rest) = path.split_first().expect("a path has parts");
        let targets = match first.as_str() {
            "crate" => vec![Target::Module(0)],
            "self" => vec![Target::Module(self.module_of(scope))],
            "super" => vec![self.above(self.module_of(scope))],
            name => self.look_around(scope, name, trail),
        };
        rest.iter().fold(targets, |targets, name| {
            targets
                .into_iter()
                .flat_map(|target| self.step(target, name, trail))
                .collect()
        })
    }

    fn step(&self, from: Target, name: &str, trail: &mut Trail) -> Vec<Target> {
        match from {
            Target::Module(scope) if name == "super" => vec![self.above(scope)],
            Target::Module(scope) => self.look_up(scope, name, trail),
            // A function is no part of a path.
            Target::Item(Item { inside: None, .. }) => Vec::new(),
            Target::Item(Item {
                file,
                inside: Some(inside),
            }) => {
                let found = self.look_up(inside, name, trail);
                if found.is_empty() {
                    // What a trait gives it.
                    let inside = Some(inside);
                    return vec![Target::Item(Item { file, inside })];
                }
                found
            }
            Target::Elsewhere(mut parts) => {
                parts.push(name.to_owned());
                vec![Target::Elsewhere(parts)]
            }
        }
    }

    fn module_of(&self, scope: ScopeId) -> ScopeId {
        let mut module = scope;
        while !self.scopes[module].is_module {
            module = self.scopes[module]
                .around
                .expect("a block stands in a module");
        }
        module
    }

    fn above(&self, module: ScopeId) -> Target {
        let around = self.scopes[module].around;
        Target::Module(around.expect("`super` stands below another module"))
    }

    /// A name as a block sees it, with what the blocks around it and its module know; else it is of a library.
    fn look_around(&self, scope: ScopeId, name: &str, trail: &mut Trail) -> Vec<Target> {
        let mut at = scope;
        loop {
            let found = self.look_up(at, name, trail);
            if !found.is_empty() {
                return found;
            }
            match self.scopes[at].around {
                Some(around) if !self.scopes[at].is_module => at = around,
                _ => return vec![Target::Elsewhere(vec![name.to_owned()])],
            }
        }
    }

    /// A name in one scope: what is written there, else what a glob brings.
    fn look_up(&self, scope: ScopeId, name: &str, trail: &mut Trail) -> Vec<Target> {
        let Scope { names, globs, .. } = &self.scopes[scope];
        let meanings = names.get(name).map(Vec::as_slice).unwrap_or_default();
        let mut found = Vec::new();
        for (at, meaning) in meanings.iter().enumerate() {
            match meaning {
                Meaning::Module(module) => found.push(Target::Module(*module)),
                Meaning::Item(item) => found.push(Target::Item(item.clone())),
                Meaning::Import(path) => {
                    found.extend(once((scope, name, at), trail, |trail| {
                        self.follow(scope, path, trail)
                    }));
                }
            }
        }
        if !found.is_empty() {
            return found;
        }
        let through = |(at, glob): (usize, &Vec<String>)| {
            once((scope, name, meanings.len() + at), trail, |trail| {
                self.behind_glob(scope, glob, name, trail)
            })
        };
        globs.iter().enumerate().flat_map(through).collect()
    }

    fn behind_glob(
        &self,
        scope: ScopeId,
        glob: &[String],
        name: &str,
        trail: &mut Trail,
    ) -> Vec<Target> {
        let targets = self.follow(scope, glob, trail);
        let scopes = targets.into_iter().filter_map(|target| match target {
            Target::Module(scope) => Some(scope),
            Target::Item(item) => item.inside,
            Target::Elsewhere(_) => None,
        });
        scopes
            .flat_map(|scope| self.look_up(scope, name, trail))
            .collect()
    }
}

/// Looks behind an import or a glob unless that is under way.
fn once(
    (scope, name, at): (ScopeId, &str, usize),
    trail: &mut Trail,
    look: impl FnOnce(&mut Trail) -> Vec<Target>,
) -> Vec<Target> {
    let step = (scope, name.to_owned(), at);
    if trail.contains(&step) {
        return Vec::new();
    }
    trail.push(step);
    let found = look(trail);
    trail.pop();
    found
}

/// Reads the files, each where its `mod` line stands.
struct Collector<'files> {
    files: &'files BTreeMap<String, String>,
    read: Vec<String>,
    names: Names,
    named: Vec<Named>,
    /// The scope that is being read.
    scope: ScopeId,
    /// The folder in which its modules have their files.
    folder: String,
}

impl<'files> Collector<'files> {
    fn new(files: &'files BTreeMap<String, String>) -> Self {
        Self {
            files,
            read: Vec::new(),
            names: Names::default(),
            named: Vec::new(),
            scope: 0,
            folder: String::new(),
        }
    }

    fn file(&mut self, file: &str, around: Option<ScopeId>) -> ScopeId {
        self.read.push(file.to_owned());
        let parsed = syn::parse_file(&self.files[file])
            .unwrap_or_else(|error| panic!("{file} cannot be read: {error}"));
        let scope = self.new_scope(file.to_owned(), around, true);
        let folder = match file.rsplit_once('/') {
            Some((folder, "mod.rs")) => format!("{folder}/"),
            _ if file == "lib.rs" => String::new(),
            _ => format!("{}/", file.trim_end_matches(".rs")),
        };
        let before = std::mem::replace(&mut self.folder, folder);
        self.within(scope, |collector| collector.visit_file(&parsed));
        self.folder = before;
        scope
    }

    fn new_scope(&mut self, file: String, around: Option<ScopeId>, is_module: bool) -> ScopeId {
        self.names.scopes.push(Scope {
            file,
            around,
            is_module,
            names: BTreeMap::new(),
            globs: Vec::new(),
        });
        self.names.scopes.len() - 1
    }

    /// A scope in the one that is being read.
    fn inner_scope(&mut self, is_module: bool) -> ScopeId {
        let file = self.names.scopes[self.scope].file.clone();
        self.new_scope(file, Some(self.scope), is_module)
    }

    fn within(&mut self, scope: ScopeId, read: impl FnOnce(&mut Self)) {
        let before = std::mem::replace(&mut self.scope, scope);
        read(self);
        self.scope = before;
    }

    fn bind(&mut self, name: &syn::Ident, meaning: Meaning) {
        self.names.bind(self.scope, &name.to_string(), meaning);
    }

    fn define(&mut self, name: &syn::Ident) {
        let item = self.item(None);
        self.bind(name, Meaning::Item(item));
    }

    /// Defines a type, with the names it has of its own.
    fn define_type<'a>(
        &mut self,
        name: &syn::Ident,
        own: impl IntoIterator<Item = &'a syn::Ident>,
    ) {
        let inside = self.inner_scope(false);
        for own in own {
            let item = self.item(None);
            self.names
                .bind(inside, &own.to_string(), Meaning::Item(item));
        }
        let item = self.item(Some(inside));
        self.bind(name, Meaning::Item(item));
    }

    fn item(&self, inside: Option<ScopeId>) -> Item {
        let file = self.names.scopes[self.scope].file.clone();
        Item { file, inside }
    }

    fn add(&mut self, path: Vec<String>, is_glob: bool) {
        self.named.push(Named {
            scope: self.scope,
            path,
            is_glob,
        });
    }

    fn import(&mut self, tree: &syn::UseTree, prefix: &[String]) {
        let longer = |part: &syn::Ident| {
            let same = part == "self" && !prefix.is_empty();
            let part = (!same).then(|| part.to_string());
            [prefix, part.as_slice()].concat()
        };
        match tree {
            syn::UseTree::Path(path) => self.import(&path.tree, &longer(&path.ident)),
            syn::UseTree::Group(group) => {
                for tree in &group.items {
                    self.import(tree, prefix);
                }
            }
            syn::UseTree::Name(name) => {
                let path = longer(&name.ident);
                let last = path.last().expect("an import names something").clone();
                self.import_as(&last, path);
            }
            syn::UseTree::Rename(rename) => {
                self.import_as(&rename.rename.to_string(), longer(&rename.ident));
            }
            syn::UseTree::Glob(_) => {
                self.names.scopes[self.scope].globs.push(prefix.to_vec());
                self.add(prefix.to_vec(), true);
            }
        }
    }

    fn import_as(&mut self, name: &str, path: Vec<String>) {
        let meaning = Meaning::Import(path.clone());
        self.names.bind(self.scope, name, meaning);
        self.add(path, false);
    }

    /// Paths among the words of a macro, which nobody parses for us.
    fn tokens(&mut self, mut cursor: Cursor<'_>) {
        let mut path: Vec<String> = Vec::new();
        let mut colons = 0;
        while !cursor.eof() {
            if let Some((word, next)) = cursor.ident() {
                if colons != 2 {
                    self.end(&mut path);
                }
                path.push(word.to_string());
                (colons, cursor) = (0, next);
            } else if let Some((':', next)) = cursor.punct().map(|(p, next)| (p.as_char(), next)) {
                (colons, cursor) = (colons + 1, next);
            } else {
                self.end(&mut path);
                if let Some((inside, _, _, next)) = cursor.any_group() {
                    self.tokens(inside);
                    cursor = next;
                } else {
                    cursor = cursor.token_tree().expect("not at the end").1;
                }
                colons = 0;
            }
        }
        self.end(&mut path);
    }

    fn end(&mut self, path: &mut Vec<String>) {
        if !path.is_empty() {
            self.add(std::mem::take(path), false);
        }
    }
}

impl<'ast> Visit<'ast> for Collector<'_> {
    fn visit_item_const(&mut self, item: &'ast syn::ItemConst) {
        self.define(&item.ident);
        visit::visit_item_const(self, item);
    }

    fn visit_item_static(&mut self, item: &'ast syn::ItemStatic) {
        self.define(&item.ident);
        visit::visit_item_static(self, item);
    }

    fn visit_item_fn(&mut self, item: &'ast syn::ItemFn) {
        self.define(&item.sig.ident);
        visit::visit_item_fn(self, item);
    }

    fn visit_item_struct(&mut self, item: &'ast syn::ItemStruct) {
        self.define_type(&item.ident, []);
        visit::visit_item_struct(self, item);
    }

    fn visit_item_union(&mut self, item: &'ast syn::ItemUnion) {
        self.define_type(&item.ident, []);
        visit::visit_item_union(self, item);
    }

    fn visit_item_type(&mut self, item: &'ast syn::ItemType) {
        self.define_type(&item.ident, []);
        visit::visit_item_type(self, item);
    }

    fn visit_item_trait(&mut self, item: &'ast syn::ItemTrait) {
        self.define_type(&item.ident, []);
        visit::visit_item_trait(self, item);
    }

    fn visit_item_enum(&mut self, item: &'ast syn::ItemEnum) {
        self.define_type(
            &item.ident,
            item.variants.iter().map(|variant| &variant.ident),
        );
        visit::visit_item_enum(self, item);
    }

    fn visit_item_use(&mut self, item: &'ast syn::ItemUse) {
        self.import(&item.tree, &[]);
    }

    fn visit_item_mod(&mut self, item: &'ast syn::ItemMod) {
        let name = item.ident.to_string();
        let module = if item.content.is_some() {
            let module = self.inner_scope(true);
            let folder = format!("{}{name}/", self.folder);
            let before = std::mem::replace(&mut self.folder, folder);
            self.within(module, |collector| visit::visit_item_mod(collector, item));
            self.folder = before;
            module
        } else {
            let places = [".rs", "/mod.rs"].map(|end| format!("{}{name}{end}", self.folder));
            let file = places.iter().find(|file| self.files.contains_key(*file));
            let file = file.unwrap_or_else(|| panic!("there is neither of {places:?}"));
            self.file(file, Some(self.scope))
        };
        self.bind(&item.ident, Meaning::Module(module));
    }

    fn visit_item_impl(&mut self, item: &'ast syn::ItemImpl) {
        let block = self.inner_scope(false);
        if let syn::Type::Path(of_type) = &*item.self_ty {
            let path = parts(&of_type.path);
            let inherent = (self.scope, path.clone(), own_names(&item.items));
            self.names.inherent.push(inherent);
            self.names.bind(block, "Self", Meaning::Import(path));
        }
        self.within(block, |collector| visit::visit_item_impl(collector, item));
    }

    fn visit_block(&mut self, block: &'ast syn::Block) {
        let scope = self.inner_scope(false);
        self.within(scope, |collector| visit::visit_block(collector, block));
    }

    fn visit_visibility(&mut self, _: &'ast syn::Visibility) {
        // `pub(super)` says who may see, not what is used.
    }

    fn visit_path(&mut self, path: &'ast syn::Path) {
        self.add(parts(path), false);
        visit::visit_path(self, path);
    }

    fn visit_meta_list(&mut self, list: &'ast syn::MetaList) {
        self.tokens(TokenBuffer::new2(list.tokens.clone()).begin());
        visit::visit_meta_list(self, list);
    }

    fn visit_macro(&mut self, item: &'ast syn::Macro) {
        self.tokens(TokenBuffer::new2(item.tokens.clone()).begin());
        visit::visit_macro(self, item);
    }
}

fn parts(path: &syn::Path) -> Vec<String> {
    let parts = path.segments.iter().map(|part| part.ident.to_string());
    parts.collect()
}

fn own_names(items: &[syn::ImplItem]) -> Vec<String> {
    let mut names = Vec::new();
    for item in items {
        if let syn::ImplItem::Fn(function) = item {
            names.push(function.sig.ident.to_string());
        } else if let syn::ImplItem::Const(constant) = item {
            names.push(constant.ident.to_string());
        }
    }
    names
}
