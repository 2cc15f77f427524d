//! A line that begins with no request, put into one sentence that says what to do.

use crate::requests::{Hint, Spec, Wrong, all, command, short};

/// What the program can be asked outside the table.
const PROGRAM: [&str; 7] = ["receipts", "export", "report", "import", "check", "backup", "restore"];

/// What is never offered as a guess: whoever follows one in haste would lose something.
const NEVER_GUESSED: [&str; 6] = ["quit", "close", "undo", "attach", "dismiss", "rescale"];

/// The sentence for a first word that is no request of the table.
pub(super) fn unknown(asked: &str) -> Wrong {
    let lower = asked.to_lowercase();
    let asked = short(asked);
    if PROGRAM.contains(&lower.as_str()) {
        return Wrong::new(format!(
            "“{lower}” is a command of the program and not of the table. Leave the table (quit), \
             then: drumhead {lower} --help"
        ));
    }
    let named = |spec: &&&Spec| spec.name == lower && !spec.fronts.table();
    if let Some(spec) = all().iter().find(named) {
        return Wrong::with(
            format!(
                "“{lower}” is for a chat and not for the table. In a chat it is {}. See what \
                     you can ask here",
                command(spec)
            ),
            Hint::new("help"),
        );
    }
    if let Some(meant) = meant(&lower) {
        return Wrong::new(format!("“{asked}” is not a request. Did you mean {meant}?"));
    }
    let sentence = format!("“{asked}” is not a request. See what you can ask");
    Wrong::with(sentence, Hint::new("help"))
}

/// The request whose name is nearest to what was asked, if any is near; another word for a
/// request must be nearer, because it leads to a name that nobody typed.
fn meant(asked: &str) -> Option<&'static str> {
    const NEAR: f64 = 0.8;
    const NEARER: f64 = 0.9;
    let offered = |spec: &&&Spec| spec.fronts.table() && !NEVER_GUESSED.contains(&spec.name);
    let likeness = |said: &str, least: f64| {
        Some(strsim::jaro_winkler(asked, said)).filter(|likeness| *likeness >= least)
    };
    let by_name = |spec: &&'static Spec| likeness(spec.name, NEAR).map(|near| (near, spec.name));
    let by_alias = |spec: &&'static Spec| {
        let near = spec.aliases.iter().filter_map(|said| likeness(said, NEARER));
        near.max_by(f64::total_cmp).map(|near| (near, spec.name))
    };
    let near = all().iter().filter(offered).flat_map(|spec| [by_name(spec), by_alias(spec)]);
    near.flatten().max_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, name)| name)
}
