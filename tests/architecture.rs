//! What must never be, read off the source tree itself: every `use` and every path, however they
//! are written, is read and followed to the file that it names.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

/// Rooms from the bottom up: a room may use those before it, never those after it.
/// `altered` is there for tests alone.
const ORDER: [&str; 20] = [
    "altered", "text", "digest", "rules", "fair", "protocol", "battle", "combat", "odds", "words",
    "pictures", "report", "fonts", "record", "referee", "files", "requests", "terminal", "chat",
    "args",
];
/// Rooms that know nothing of the world outside.
const PURE: [&str; 11] = [
    "text", "digest", "rules", "fair", "protocol", "battle", "combat", "odds", "words", "pictures",
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
pub struct Source {
    /// Its path below `src`.
    pub path: PathBuf,
    /// Its module, such as `["referee", "decide"]`; a room's `mod.rs` is the room.
    pub module: Vec<String>,
    /// Every path it names outside its tests, resolved to `crate::…` where it is of this crate.
    pub names: BTreeSet<Vec<String>>,
    /// What it gives a further name by `pub use`: the name, and what it stands for.
    renames: BTreeMap<String, Vec<String>>,
    /// Whether anything in it is `async`.
    waits: bool,
    /// Every text in quotation marks.
    texts: Vec<String>,
}

impl Source {
    fn room(&self) -> &str {
        self.module.first().map_or("lib", String::as_str)
    }

    /// Whether it gathers a folder.
    pub fn is_hub(&self) -> bool {
        self.path.file_name().is_some_and(|name| name == "mod.rs" || name == "lib.rs")
    }
}

/// A word of the source: a name, a text in quotation marks, or a sign.
#[derive(Debug, Clone, PartialEq)]
enum Token {
    Name(String),
    Text(String),
    /// `::`
    Path,
    Sign(char),
}

/// The source's words, without comments.
fn tokens(source: &str) -> Vec<Token> {
    let mut tokens = Vec::new();
    let mut rest = source;
    while let Some(c) = rest.chars().next() {
        let length = if rest.starts_with("//") {
            rest.find('\n').unwrap_or(rest.len())
        } else if rest.starts_with("/*") {
            rest.find("*/").map_or(rest.len(), |end| end + 2)
        } else if rest.starts_with("::") {
            tokens.push(Token::Path);
            2
        } else if let Some(length) = raw_text(rest) {
            tokens.push(Token::Text(rest[..length].to_owned()));
            length
        } else if c == '"' {
            let length = closed(rest, '"');
            tokens.push(Token::Text(rest[1..length - 1].to_owned()));
            length
        } else if c == '\'' {
            character(rest)
        } else if c.is_alphabetic() || c == '_' {
            let name = |c: char| !(c.is_alphanumeric() || c == '_');
            let length = rest.find(name).unwrap_or(rest.len());
            tokens.push(Token::Name(rest[..length].to_owned()));
            length
        } else {
            if !c.is_whitespace() {
                tokens.push(Token::Sign(c));
            }
            c.len_utf8()
        };
        rest = &rest[length..];
    }
    tokens
}

/// The length of a raw text such as `r#"…"#`, if one begins here.
fn raw_text(rest: &str) -> Option<usize> {
    let inner = rest.strip_prefix('b').unwrap_or(rest).strip_prefix('r')?;
    let hashes = inner.len() - inner.trim_start_matches('#').len();
    inner[hashes..].strip_prefix('"')?;
    let end = format!("\"{}", "#".repeat(hashes));
    let before = rest.len() - inner.len() + hashes + 1;
    Some(before + rest[before..].find(&end)? + end.len())
}

/// The length of what begins with a mark and ends with the next one that nothing escapes.
fn closed(rest: &str, mark: char) -> usize {
    let mut escaped = false;
    for (at, c) in rest.char_indices().skip(1) {
        match c {
            _ if escaped => escaped = false,
            '\\' => escaped = true,
            c if c == mark => return at + 1,
            _ => {}
        }
    }
    rest.len()
}

/// The length of a character in marks, or of the mark of a lifetime.
fn character(rest: &str) -> usize {
    let mut chars = rest.chars().skip(1);
    match (chars.next(), chars.next()) {
        (Some('\\'), _) => closed(rest, '\''),
        (Some(c), Some('\'')) => 2 + c.len_utf8(),
        _ => 1,
    }
}

/// The words without what only tests see: `#[cfg(test)]` and the item behind it.
fn without_tests(tokens: &[Token]) -> Vec<Token> {
    let name = |name: &str| Token::Name(name.to_owned());
    let mark = [
        Token::Sign('#'),
        Token::Sign('['),
        name("cfg"),
        Token::Sign('('),
        name("test"),
        Token::Sign(')'),
        Token::Sign(']'),
    ];
    let mut kept = Vec::new();
    let mut at = 0;
    while at < tokens.len() {
        if !tokens[at..].starts_with(&mark) {
            kept.push(tokens[at].clone());
            at += 1;
            continue;
        }
        let mut depth = 0;
        for token in &tokens[at + mark.len()..] {
            at += 1;
            match token {
                Token::Sign('{') => depth += 1,
                Token::Sign('}') => depth -= 1,
                _ => {}
            }
            if depth == 0 && matches!(token, Token::Sign(';' | '}')) {
                break;
            }
        }
        at += mark.len();
    }
    kept
}

/// Gathers what a file names.
struct Gather {
    module: Vec<String>,
    names: BTreeSet<Vec<String>>,
    renames: BTreeMap<String, Vec<String>>,
    texts: Vec<String>,
}

impl Gather {
    /// A path from the crate's root; `super` and `self` are resolved, other crates stay as they are.
    fn resolve(&self, path: &[String]) -> Vec<String> {
        let mut from = self.module.clone();
        let mut rest = path;
        match path.first().map(String::as_str) {
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

    fn file(&mut self, tokens: &[Token]) {
        let mut at = 0;
        let mut shared = false;
        while at < tokens.len() {
            match &tokens[at] {
                // `use<…>` in a type says what it captures, and names nothing.
                Token::Name(word)
                    if word == "use" && tokens.get(at + 1) != Some(&Token::Sign('<')) =>
                {
                    at = self.tree(tokens, at + 1, &[], shared);
                    shared = false;
                }
                Token::Name(word) if word == "pub" => {
                    shared = true;
                    at += 1;
                    // `pub(super)` and its like share a name too.
                    if tokens.get(at) == Some(&Token::Sign('(')) {
                        at += 3;
                    }
                }
                Token::Name(_) => {
                    shared = false;
                    at = self.path(tokens, at);
                }
                Token::Text(text) => {
                    self.texts.push(text.clone());
                    at += 1;
                }
                _ => at += 1,
            }
        }
    }

    /// Takes a path in an expression or a type; returns what comes after it.
    fn path(&mut self, tokens: &[Token], mut at: usize) -> usize {
        let mut path = Vec::new();
        while let Some(Token::Name(part)) = tokens.get(at) {
            path.push(part.clone());
            at += 1;
            match (tokens.get(at), tokens.get(at + 1)) {
                (Some(Token::Path), Some(Token::Name(_))) => at += 1,
                _ => break,
            }
        }
        if path.len() > 1 {
            let path = self.resolve(&path);
            self.names.insert(path);
        }
        at
    }

    /// Takes a tree of `use`; returns what comes after it.
    fn tree(&mut self, tokens: &[Token], mut at: usize, before: &[String], shared: bool) -> usize {
        let mut path = before.to_vec();
        loop {
            match tokens.get(at) {
                Some(Token::Name(part)) if part == "as" => {
                    if let Some(Token::Name(name)) = tokens.get(at + 1) {
                        self.used(&path, name, shared);
                    }
                    return at + 2;
                }
                Some(Token::Name(part)) => path.push(part.clone()),
                Some(Token::Path) => {}
                Some(Token::Sign('*')) => {
                    let path = self.resolve(&path);
                    self.names.insert(path);
                    return at + 1;
                }
                Some(Token::Sign('{')) => {
                    at += 1;
                    while tokens.get(at) != Some(&Token::Sign('}')) {
                        at = self.tree(tokens, at, &path, shared);
                        if tokens.get(at) == Some(&Token::Sign(',')) {
                            at += 1;
                        }
                    }
                    return at + 1;
                }
                _ => {
                    let name = path.last().cloned().unwrap_or_default();
                    self.used(&path, &name, shared);
                    return at;
                }
            }
            at += 1;
        }
    }

    fn used(&mut self, path: &[String], name: &str, shared: bool) {
        let whole = path.len() > 1 && path.last().is_some_and(|part| part == "self");
        let path = self.resolve(if whole { &path[..path.len() - 1] } else { path });
        if shared {
            self.renames.insert(name.to_owned(), path.clone());
        }
        self.names.insert(path);
    }
}

/// Every source file but those of tests.
pub fn sources() -> Vec<Source> {
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
    let tokens = without_tests(&tokens(&text));
    let waits = tokens.iter().any(|token| *token == Token::Name("async".to_owned()));
    let mut gather = Gather {
        module: module.clone(),
        names: BTreeSet::new(),
        renames: BTreeMap::new(),
        texts: Vec::new(),
    };
    gather.file(&tokens);
    let Gather { names, renames, texts, .. } = gather;
    Source { path: inner, module, names, renames, waits, texts }
}

/// The reader itself: every form of `use` is seen, and what tests and comments name is not.
#[test]
fn every_form_of_use_is_seen() {
    let source = "use crate::{rules::{self, Rules as R}, fair::*}; // crate::chat\n\
                  pub(super) use super::field::Field;\n\
                  fn f() { crate::words::event(\"crate::odds\", 'x', r#\"use crate::report;\"#); }\n\
                  #[cfg(test)] mod tests { use crate::chat::Chat; }\n\
                  fn g<'a>(x: &'a std::fs::File) {}";
    let mut gather = Gather {
        module: vec!["battle".to_owned(), "fold".to_owned()],
        names: BTreeSet::new(),
        renames: BTreeMap::new(),
        texts: Vec::new(),
    };
    gather.file(&without_tests(&tokens(source)));
    let names: Vec<String> = gather.names.iter().map(|path| path.join("::")).collect();
    assert_eq!(
        names,
        [
            "crate::battle::field::Field",
            "crate::fair",
            "crate::rules",
            "crate::rules::Rules",
            "crate::words::event",
            "std::fs::File",
        ]
    );
    assert_eq!(gather.renames.keys().collect::<Vec<_>>(), ["Field"]);
    assert_eq!(gather.texts, ["crate::odds", "r#\"use crate::report;\"#"]);
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
pub fn file_of<'s>(
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
