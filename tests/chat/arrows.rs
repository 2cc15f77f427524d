//! Inside the chat arrows run one way: a file names only files of its own layer or of lower ones.
//!
//! The layers are listed, lowest first, in the documentation of `src/chat/mod.rs`. That no files go
//! in a circle is asked of the whole house, in `tests/architecture.rs`, whose reader sees every
//! form of `use`.

use crate::architecture::{Source, file_of, sources};
use std::collections::BTreeMap;

/// The layers, lowest first.
fn layers() -> Vec<String> {
    let text = include_str!("../../src/chat/mod.rs");
    let listed = text.lines().filter_map(|line| line.strip_prefix("//! - `"));
    listed.filter_map(|line| line.split('`').next()).map(str::to_owned).collect()
}

/// How high a file of the chat stands; none for the file that lists the layers.
fn level(layers: &[String], source: &Source) -> Option<usize> {
    let layer = source.module.get(1)?;
    let level = layers.iter().position(|known| known == layer);
    Some(level.unwrap_or_else(|| panic!("{} belongs to no layer", source.path.display())))
}

/// The arrows that run up from files of the chat.
fn upward(sources: &[Source], layers: &[String]) -> Vec<String> {
    let files: BTreeMap<&[String], &Source> =
        sources.iter().map(|source| (source.module.as_slice(), source)).collect();
    let of_chat = |source: &&Source| source.module.first().is_some_and(|room| room == "chat");
    let mut upward = Vec::new();
    for from in sources.iter().filter(of_chat) {
        for name in from.names.iter().filter(|name| name[0] == "crate") {
            let Some(to) = file_of(&files, name, 0).filter(of_chat) else { continue };
            if level(layers, to) > level(layers, from) && level(layers, from).is_some() {
                upward.push(format!("{} -> {}", from.path.display(), to.path.display()));
            }
        }
    }
    upward
}

#[test]
fn arrows_run_one_way_inside_the_chat() {
    let (sources, mut layers) = (sources(), layers());
    assert!(layers.len() > 10, "the layers are listed: {layers:?}");
    assert_eq!(upward(&sources, &layers), Vec::<String>::new());
    // The test can fail: with the layers the other way round most arrows run up.
    layers.reverse();
    assert!(upward(&sources, &layers).len() > 50);
}

/// A file that gathers a folder is left out where circles are looked for, so it must not do more.
#[test]
fn files_that_gather_a_folder_do_nothing_else() {
    let hubs = sources().into_iter().filter(Source::is_hub);
    let hubs: Vec<Source> = hubs.filter(|hub| hub.path.starts_with("chat")).collect();
    assert!(hubs.len() >= 5, "only {} were found", hubs.len());
    for hub in hubs {
        let file = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("src").join(&hub.path);
        let text = std::fs::read_to_string(file).expect("it is text");
        let does = text.lines().find(|line| line.contains("fn ") && !line.starts_with("//"));
        assert_eq!(does, None, "{}", hub.path.display());
    }
}
