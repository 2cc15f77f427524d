//! What must never be, read off the source tree itself: every `use` and every path, however they
//! are written, is parsed by `syn` and followed to the file that it names.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use syn::visit::{self, Visit};

/// Rooms from the bottom up: a room may use those before it, never those after it.
const ORDER: [&str; 17] = [
    "digest", "rules", "fair", "protocol", "battle", "combat", "odds", "words", "pictures",
    "report", "record", "referee", "files", "requests", "terminal", "chat", "args",
];
/// Rooms that know nothing of the world outside.
const PURE: [&str; 10] = [
    "digest", "rules", "fair", "protocol", "battle", "combat", "odds", "words", "pictures",
    "report",
];
/// Crates and parts of the standard library that a pure room must not name.
const OUTSIDE: [&str; 10] = [
    "serenity",
    "sqlx",
    "tokio",
    "jiff",
    "reqwest",
    "clap",
    "std::fs",
    "std::time",
    "std::net",
    "std::env",
];
/// The fronts, which reach the record and the rules through the referee alone.
const FRONTS: [&str; 2] = ["terminal", "chat"];

/// One source file.
struct Source {
    /// Its path below `src`.
    path: PathBuf,
    /// Its module, such as `["referee", "decide"]`; a room's `mod.rs` is the room.
    module: Vec<String>,
    /// Every path it names outside its tests, resolved to `crate::…` where it is of this crate.
    names: BTreeSet<Vec<String>>,
    /// What it gives a further name by `pub use`: the name, and what it stands for.
    renames: BTreeMap<String, Vec<String>>,
    /// Whether it has an `async fn`, or a block of that kind.
    waits: bool,
    /// Every text in quotation marks.
    texts: Vec<String>,
}

impl Source {
    fn room(&self) -> &str {
        self.module.first().map_or("lib", String::as_str)
    }

    fn is_hub(&self) -> bool {
        self.path.file_name().is_some_and(|name| name == "mod.rs" || name == "lib.rs")
    }
}

/// Gathers what a file names.
struct Gather {
    module: Vec<String>,
    names: BTreeSet<Vec<String>>,
    renames: BTreeMap<String, Vec<String>>,
    waits: bool,
    texts: Vec<String>,
}

impl Gather {
    /// A path from the crate's root; `super` and `self` are resolved, other crates stay as they are.
    fn resolve(&self, path: &[String]) -> Vec<String> {
        let mut from = self.module.clone();
        let mut rest = path;
        match path.first().map(String::as_str) {
            Some("crate") => return path.to_vec(),
            Some("self") => rest = &path[1..],
            Some("super") => {
                while rest.first().is_some_and(|part| part == "super") {
                    from.pop();
                    rest = &rest[1..];
                }
            }
            _ => return path.to_vec(),
        }
        [vec!["crate".to_owned()], from, rest.to_vec()].concat()
    }

    fn tree(&mut self, tree: &syn::UseTree, before: &[String], shared: bool) {
        let with = |part: &syn::Ident| [before, &[part.to_string()]].concat();
        match tree {
            syn::UseTree::Path(path) => self.tree(&path.tree, &with(&path.ident), shared),
            syn::UseTree::Name(name) => self.used(with(&name.ident), &name.ident, shared),
            syn::UseTree::Rename(name) => self.used(with(&name.ident), &name.rename, shared),
            syn::UseTree::Glob(_) => {
                let path = self.resolve(before);
                self.names.insert(path);
            }
            syn::UseTree::Group(group) => {
                for tree in &group.items {
                    self.tree(tree, before, shared);
                }
            }
        }
    }

    fn used(&mut self, mut path: Vec<String>, name: &syn::Ident, shared: bool) {
        if path.last().is_some_and(|part| part == "self") {
            path.pop();
        }
        let path = self.resolve(&path);
        if shared {
            self.renames.insert(name.to_string(), path.clone());
        }
        self.names.insert(path);
    }
}

fn is_test(attributes: &[syn::Attribute]) -> bool {
    attributes.iter().any(|attribute| {
        attribute.path().is_ident("cfg")
            && attribute.parse_args::<syn::Ident>().is_ok_and(|cfg| cfg == "test")
    })
}

impl<'ast> Visit<'ast> for Gather {
    fn visit_item(&mut self, item: &'ast syn::Item) {
        let attributes = match item {
            syn::Item::Mod(item) => &item.attrs,
            syn::Item::Fn(item) => &item.attrs,
            syn::Item::Impl(item) => &item.attrs,
            _ => return visit::visit_item(self, item),
        };
        if !is_test(attributes) {
            visit::visit_item(self, item);
        }
    }

    fn visit_item_use(&mut self, item: &'ast syn::ItemUse) {
        let shared = !matches!(item.vis, syn::Visibility::Inherited);
        self.tree(&item.tree, &[], shared);
    }

    fn visit_path(&mut self, path: &'ast syn::Path) {
        let parts: Vec<String> = path.segments.iter().map(|part| part.ident.to_string()).collect();
        if parts.len() > 1 {
            let path = self.resolve(&parts);
            self.names.insert(path);
        }
        visit::visit_path(self, path);
    }

    fn visit_signature(&mut self, signature: &'ast syn::Signature) {
        self.waits |= signature.asyncness.is_some();
        visit::visit_signature(self, signature);
    }

    fn visit_expr_async(&mut self, block: &'ast syn::ExprAsync) {
        self.waits = true;
        visit::visit_expr_async(self, block);
    }

    fn visit_lit_str(&mut self, text: &'ast syn::LitStr) {
        self.texts.push(text.value());
    }

    fn visit_macro(&mut self, called: &'ast syn::Macro) {
        // What stands inside a macro is no syntax yet: its texts and paths are read as words.
        for token in called.tokens.to_string().split_whitespace().collect::<Vec<_>>().windows(3) {
            if let [first, "::", second] = token
                && ["crate", "super", "std"].contains(first)
            {
                let path = self.resolve(&[(*first).to_owned(), (*second).to_owned()]);
                self.names.insert(path);
            }
        }
        self.texts.push(called.tokens.to_string());
        visit::visit_macro(self, called);
    }
}

/// Every source file but those of tests.
fn sources() -> Vec<Source> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut found = Vec::new();
    let mut folders = vec![root.clone()];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                if !path.ends_with("tests") {
                    folders.push(path);
                }
                continue;
            }
            let inner = path.strip_prefix(&root).unwrap().to_owned();
            if path.extension().is_some_and(|end| end == "rs") && !inner.ends_with("tests.rs") {
                found.push(read(&path, inner));
            }
        }
    }
    assert!(found.len() > 60, "the source tree was not found");
    found
}

fn read(file: &Path, inner: PathBuf) -> Source {
    let mut module: Vec<String> =
        inner.with_extension("").iter().map(|part| part.to_string_lossy().into_owned()).collect();
    if module.last().is_some_and(|last| ["mod", "lib", "main"].contains(&last.as_str())) {
        module.pop();
    }
    let text = std::fs::read_to_string(file).unwrap();
    let parsed =
        syn::parse_file(&text).unwrap_or_else(|error| panic!("{}: {error}", inner.display()));
    let mut gather = Gather {
        module: module.clone(),
        names: BTreeSet::new(),
        renames: BTreeMap::new(),
        waits: false,
        texts: Vec::new(),
    };
    gather.visit_file(&parsed);
    let Gather { names, renames, waits, texts, .. } = gather;
    Source { path: inner, module, names, renames, waits, texts }
}

/// The rooms that a file reaches, its own left out.
fn rooms_of(source: &Source) -> BTreeSet<&str> {
    let of_crate = source.names.iter().filter(|path| path[0] == "crate" && path.len() > 1);
    of_crate.map(|path| path[1].as_str()).filter(|room| *room != source.room()).collect()
}

#[test]
fn pure_rooms_know_nothing_of_the_world_outside() {
    for source in sources().iter().filter(|source| PURE.contains(&source.room())) {
        for path in &source.names {
            let path = path.join("::");
            let known = OUTSIDE
                .iter()
                .find(|word| path == **word || path.starts_with(&format!("{word}::")));
            assert!(known.is_none(), "{} names {path}", source.path.display());
        }
        assert!(!source.waits, "{} is asynchronous", source.path.display());
    }
}

#[test]
fn arrows_run_downwards_only() {
    for source in sources() {
        let Some(place) = ORDER.iter().position(|name| *name == source.room()) else {
            assert!(
                ["lib", "main"].contains(&source.room()),
                "{} belongs to no known room",
                source.path.display()
            );
            continue;
        };
        for room in rooms_of(&source) {
            let below = ORDER.iter().position(|name| *name == room);
            assert!(
                below.is_some_and(|below| below < place),
                "{} reaches up to {room}",
                source.path.display()
            );
        }
    }
}

/// The file that a path of this crate leads to, further names followed.
fn file_of<'s>(
    files: &BTreeMap<&'s [String], &'s Source>,
    path: &[String],
    depth: u32,
) -> Option<&'s Source> {
    let path = &path[1..];
    let length = (0..=path.len()).rev().find(|length| files.contains_key(&path[..*length]))?;
    let file = files[&path[..length]];
    match path.get(length).and_then(|name| file.renames.get(name)) {
        Some(further) if further[0] == "crate" && depth < 8 => file_of(files, further, depth + 1),
        _ => Some(file),
    }
}

/// A room's `mod.rs` gathers the room and is left out: it names all of its files, and they its types.
#[test]
fn no_files_go_in_a_circle() {
    let sources = sources();
    let files: BTreeMap<&[String], &Source> =
        sources.iter().map(|source| (source.module.as_slice(), source)).collect();
    let mut arrows: BTreeMap<&Path, BTreeSet<&Path>> = BTreeMap::new();
    for source in sources.iter().filter(|source| !source.is_hub()) {
        let to = source.names.iter().filter(|path| path[0] == "crate");
        let to = to.filter_map(|path| file_of(&files, path, 0)).filter(|to| !to.is_hub());
        let to = to.map(|to| to.path.as_path()).filter(|to| *to != source.path);
        arrows.insert(&source.path, to.collect());
    }
    // Files that nothing points at any more are taken away until none is left, or a circle is.
    loop {
        let free: Vec<&Path> = arrows
            .iter()
            .filter(|(_, to)| to.iter().all(|to| !arrows.contains_key(to)))
            .map(|(from, _)| *from)
            .collect();
        if free.is_empty() {
            break;
        }
        for file in free {
            arrows.remove(file);
        }
    }
    let left: Vec<String> = arrows
        .iter()
        .map(|(from, to)| {
            let to: Vec<_> = to
                .iter()
                .filter(|to| arrows.contains_key(*to))
                .map(|to| to.display().to_string())
                .collect();
            format!("{} -> {}", from.display(), to.join(", "))
        })
        .collect();
    assert!(left.is_empty(), "these files go in a circle, or lead to one:\n{}", left.join("\n"));
}

#[test]
fn sql_is_in_the_record_alone() {
    let mut speaks = 0;
    for source in sources() {
        let sql = ["SELECT ", "INSERT INTO", "UPDATE ", "DELETE FROM"];
        let of_sqlx = source.names.iter().any(|path| path[0] == "sqlx");
        let says = source.texts.iter().any(|text| sql.iter().any(|word| text.contains(word)));
        assert!(
            !(of_sqlx || says) || source.room() == "record",
            "{} speaks SQL",
            source.path.display()
        );
        speaks += u32::from(of_sqlx);
    }
    assert!(speaks > 0, "the record was not found");
}

#[test]
fn randomness_enters_in_one_place() {
    for source in sources() {
        let draws =
            source.names.iter().any(|path| ["rand", "getrandom"].contains(&path[0].as_str()));
        assert_eq!(draws, source.path == Path::new("fair/chain.rs"), "{}", source.path.display());
    }
}

/// A front holds no rule and no SQL: it asks the referee.
#[test]
fn no_front_goes_round_the_referee() {
    for source in sources().iter().filter(|source| FRONTS.contains(&source.room())) {
        for room in rooms_of(source) {
            assert!(
                !["combat", "odds", "record"].contains(&room),
                "{} reaches round the referee to {room}",
                source.path.display()
            );
            assert!(!FRONTS.contains(&room), "{} leans on the other front", source.path.display());
        }
    }
}

#[test]
fn only_the_chat_knows_its_platform() {
    for source in sources() {
        let platform = ["serenity", "discord"];
        let names = source.names.iter().flatten().any(|part| platform.contains(&part.as_str()));
        let says = source
            .texts
            .iter()
            .any(|text| platform.iter().any(|word| text.to_lowercase().contains(word)));
        assert!(
            !(names || says) || source.room() == "chat",
            "{} knows the chat's platform",
            source.path.display()
        );
    }
}
