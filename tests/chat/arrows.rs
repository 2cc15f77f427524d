//! Inside the chat arrows run one way: a file names only files of its own layer or of lower ones,
//! and no two files know each other, whatever the form of their `use`.
//!
//! The layers are listed, lowest first, in the documentation of `src/chat/mod.rs`.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

/// A file of the chat by its path of modules, such as `["platform", "rest"]`.
type Module = Vec<String>;

/// Every file below `src/chat` but its root, with its text without tests and comments.
fn files() -> BTreeMap<Module, String> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/chat");
    let (mut found, mut folders) = (BTreeMap::new(), vec![root.clone()]);
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder).expect("the folder is there") {
            let path = entry.expect("it is listed").path();
            if path.is_dir() {
                folders.push(path);
            } else if path != root.join("mod.rs") {
                let text = std::fs::read_to_string(&path).expect("it is text");
                found.insert(module(path.strip_prefix(&root).expect("below")), code(&text));
            }
        }
    }
    assert!(found.len() > 20, "the files were not found");
    found
}

fn module(path: &Path) -> Module {
    let path: PathBuf = path.with_extension("");
    let mut names: Module =
        path.iter().map(|name| name.to_string_lossy().into_owned()).collect();
    if names.last().is_some_and(|name| name == "mod") {
        names.pop();
    }
    names
}

/// A text without its tests and comments.
fn code(text: &str) -> String {
    let code = text.split("#[cfg(test)]").next().unwrap_or_default();
    let lines = code.lines().map(|line| line.split("//").next().unwrap_or_default());
    lines.collect::<Vec<_>>().join("\n")
}

/// The layers, lowest first.
fn layers() -> Vec<String> {
    let text = include_str!("../../src/chat/mod.rs");
    let listed = text.lines().filter_map(|line| line.strip_prefix("//! - `"));
    listed.filter_map(|line| line.split('`').next()).map(str::to_owned).collect()
}

/// Every path that a text names, in whatever form: `use a::{b, c::d}`, `use super::a as b`, or in
/// the middle of the code.
fn paths(text: &str) -> Vec<Vec<String>> {
    let mut found = Vec::new();
    for start in ["crate::", "super::", "self::"] {
        for (at, _) in text.match_indices(start) {
            let before = text[..at].chars().next_back();
            let inside = before.is_some_and(|c| c.is_alphanumeric() || c == '_' || c == ':');
            if !inside {
                found.extend(tree(&text[at..]).0);
            }
        }
    }
    found
}

/// The paths of a tree of paths that begins here, and how long it is.
fn tree(text: &str) -> (Vec<Vec<String>>, usize) {
    let mut at = text.len() - text.trim_start().len();
    if text[at..].starts_with('{') {
        let (mut all, mut rest) = (Vec::new(), at + 1);
        loop {
            rest += text[rest..].len() - text[rest..].trim_start_matches([' ', '\n', ',']).len();
            if text[rest..].starts_with('}') || text[rest..].is_empty() {
                return (all, rest + 1);
            }
            let (paths, length) = tree(&text[rest..]);
            all.extend(paths);
            rest += length.max(1);
        }
    }
    let name: String =
        text[at..].chars().take_while(|c| c.is_alphanumeric() || *c == '_' || *c == '*').collect();
    at += name.len();
    if text[at..].starts_with("::") {
        let (inner, length) = tree(&text[at + 2..]);
        let with = |mut path: Vec<String>| {
            path.insert(0, name.clone());
            path
        };
        return (inner.into_iter().map(with).collect(), at + 2 + length);
    }
    // A new name for it is no path of its own.
    if let Some(renamed) = text[at..].strip_prefix(" as ") {
        at += 4 + renamed.chars().take_while(|c| c.is_alphanumeric() || *c == '_').count();
    }
    (vec![vec![name]], at)
}

/// The files that a file names: of each path the longest beginning that is a file.
fn named(from: &Module, text: &str, files: &BTreeMap<Module, String>) -> BTreeSet<Module> {
    let mut named = BTreeSet::new();
    for path in paths(text) {
        let mut path = path.into_iter().peekable();
        let mut base = match path.next().as_deref() {
            Some("crate") if path.next_if(|name| name == "chat").is_some() => Module::new(),
            Some("super") => from[..from.len() - 1].to_vec(),
            Some("self") => from.clone(),
            _ => continue,
        };
        while path.next_if(|name| name == "super").is_some() {
            // Above the chat is the rest of the house, which another test looks after.
            if base.pop().is_none() {
                break;
            }
        }
        let mut found = files.contains_key(&base).then(|| base.clone());
        for name in path {
            base.push(name);
            if files.contains_key(&base) {
                found = Some(base.clone());
            }
        }
        named.extend(found.filter(|found| found != from));
    }
    named
}

/// What is wrong with these files.
fn wrong(files: &BTreeMap<Module, String>, layers: &[String]) -> Vec<String> {
    let mut wrong = Vec::new();
    let level = |module: &Module| layers.iter().position(|layer| *layer == module[0]);
    let mut arrows: BTreeMap<Module, BTreeSet<Module>> = BTreeMap::new();
    for (from, text) in files {
        if level(from).is_none() {
            wrong.push(format!("{} belongs to no layer", from.join("::")));
        }
        let mut named = named(from, text, files);
        for to in &named {
            if level(to) > level(from) {
                wrong.push(format!("{} reaches up to {}", from.join("::"), to.join("::")));
            }
        }
        // A folder's own file only gathers what stands in it: whoever names it from inside its
        // folder would close a circle, and is told so; that it names them is no arrow.
        named.retain(|to| !to.starts_with(from));
        arrows.insert(from.clone(), named);
    }
    for (from, named) in &arrows {
        for to in named {
            if reaches(&arrows, to, from) {
                wrong.push(format!("{} and {} know each other", from.join("::"), to.join("::")));
            }
            if from.starts_with(to) {
                wrong.push(format!("{} names its own folder", from.join("::")));
            }
        }
    }
    wrong
}

/// Whether arrows lead from one file to another.
fn reaches(arrows: &BTreeMap<Module, BTreeSet<Module>>, from: &Module, to: &Module) -> bool {
    let (mut seen, mut next) = (BTreeSet::new(), vec![from]);
    while let Some(at) = next.pop() {
        if at == to {
            return true;
        }
        if seen.insert(at) {
            next.extend(arrows.get(at).into_iter().flatten());
        }
    }
    false
}

#[test]
fn arrows_run_one_way_inside_the_chat() {
    let layers = layers();
    assert!(layers.len() > 10, "the layers are listed: {layers:?}");
    assert_eq!(wrong(&files(), &layers), Vec::<String>::new());
}

/// The test can fail: whatever the form of a `use`, an arrow upward and a circle are seen.
#[test]
fn every_form_of_use_is_seen() {
    let layers = ["low", "high"].map(String::from);
    let module = |name: &str| name.split("::").map(str::to_owned).collect::<Module>();
    for (files, expected) in [
        (vec![("low", "use super::high;"), ("high", "")], 1),
        (vec![("low", "use super::{self, high::Thing};"), ("high", "")], 1),
        (vec![("low", "use crate::{a, chat::{b, high as h}};"), ("high", "")], 1),
        (vec![("low::in", "fn f() { super::super::high::f() }"), ("high", "")], 1),
        (vec![("low", "fn f(x: crate::chat::high::X) {}"), ("high", "")], 1),
        (vec![("high::a", "use super::b;"), ("high::b", "use super::{a::A, c};")], 2),
        (vec![("high::a", "use super::b;"), ("high::b", "use super::c;"), ("high::c", "use super::a;")], 3),
        (vec![("high", "use self::a::A;"), ("high::a", "use crate::chat::high::B;")], 1),
        (vec![("middle", "")], 1),
        (vec![("high", "use super::low::Low;"), ("low", "use crate::battle::high;")], 0),
        (vec![("high::a", "use super::b;"), ("high::b", ""), ("high", "mod a;\nuse a::A;")], 0),
    ] {
        let files: BTreeMap<Module, String> =
            files.iter().map(|(name, text)| (module(name), (*text).to_owned())).collect();
        let wrong = wrong(&files, &layers);
        assert_eq!(wrong.len(), expected, "{files:?}: {wrong:?}");
    }
}
