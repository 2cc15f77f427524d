//! What must never be, read off the source tree itself.

use std::path::{Path, PathBuf};

/// Modules from the bottom up: a module may use those before it, never those after it.
const ORDER: [&str; 15] = [
    "digest", "rules", "fair", "battle", "combat", "odds", "words", "pictures", "report", "fonts",
    "record", "referee", "terminal", "chat", "args",
];
/// Modules that know nothing of the world outside.
const PURE: [&str; 9] =
    ["digest", "rules", "fair", "battle", "combat", "odds", "words", "pictures", "report"];
/// What a pure module must not name.
const OUTSIDE: [&str; 9] =
    ["serenity", "poise", "sqlx", "tokio", "jiff", "std::fs", "std::time", "std::net", "async fn"];

/// Every source file, with the module it belongs to and its text without tests and comments.
fn sources() -> Vec<(PathBuf, String, String)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut found = Vec::new();
    let mut folders = vec![root.clone()];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
                continue;
            }
            let inner = path.strip_prefix(&root).unwrap().to_owned();
            if inner.ends_with("tests.rs") {
                continue;
            }
            let module = inner.iter().next().unwrap().to_string_lossy().replace(".rs", "");
            let text = std::fs::read_to_string(&path).unwrap();
            let code = text.split("#[cfg(test)]").next().unwrap();
            let code: Vec<&str> =
                code.lines().filter(|line| !line.trim_start().starts_with("//")).collect();
            found.push((inner, module, code.join("\n")));
        }
    }
    assert!(found.len() > 30, "the source tree was not found");
    found
}

#[test]
fn pure_modules_know_nothing_of_the_world_outside() {
    for (path, module, code) in sources() {
        if !PURE.contains(&module.as_str()) {
            continue;
        }
        for word in OUTSIDE {
            assert!(!code.contains(word), "{} names {word}", path.display());
        }
    }
}

#[test]
fn arrows_run_downwards_only() {
    for (path, module, code) in sources() {
        let Some(place) = ORDER.iter().position(|name| *name == module) else {
            assert!(
                ["lib", "main"].contains(&module.as_str()),
                "{} belongs to no known module",
                path.display()
            );
            continue;
        };
        for above in &ORDER[place + 1..] {
            let arrow = format!("crate::{above}");
            assert!(!code.contains(&arrow), "{} reaches up to {above}", path.display());
        }
    }
}

#[test]
fn sql_is_in_the_record_alone() {
    for (path, module, code) in sources() {
        let sql = ["SELECT ", "INSERT INTO", "UPDATE ", "DELETE FROM", "sqlx::"];
        let speaks = sql.iter().any(|word| code.contains(word));
        assert!(!speaks || module == "record", "{} speaks SQL", path.display());
    }
}

#[test]
fn randomness_enters_in_one_place() {
    for (path, _, code) in sources() {
        let draws = code.contains("rand::") || code.contains("getrandom");
        assert_eq!(draws, path == Path::new("fair/chain.rs"), "{}", path.display());
    }
}

/// The front holds no rule, so it never names what a rules file says.
#[test]
fn no_front_reaches_into_combat() {
    for (path, module, code) in sources() {
        let reaches = code.contains("crate::combat") || code.contains("crate::odds");
        assert!(
            !(["terminal", "chat"].contains(&module.as_str()) && reaches),
            "{} holds a rule",
            path.display()
        );
    }
}

#[test]
fn only_the_chat_knows_its_platform() {
    for (path, module, code) in sources() {
        let knows = ["serenity", "poise", "discord"].iter().any(|word| code.contains(word));
        assert!(!knows || module == "chat", "{} knows the chat's platform", path.display());
    }
}
