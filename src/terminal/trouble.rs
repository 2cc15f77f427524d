//! A line that begins with no request, put into one sentence that says what to do.

use crate::battle::find;
use crate::requests::{Hint, Spec, Wrong, all, short};

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
    match meant(&lower) {
        Some(meant) => Wrong::new(format!("“{asked}” is not a request. Did you mean {meant}?")),
        None => {
            let sentence = format!("“{asked}” is not a request. See what you can ask");
            Wrong::with(sentence, Hint::new("help"))
        }
    }
}

/// The request whose name is nearest to what was asked, if any is near.
fn meant(asked: &str) -> Option<&'static str> {
    let offered = |spec: &&&Spec| spec.fronts.table() && !NEVER_GUESSED.contains(&spec.name);
    let names: Vec<(&str, &str)> = all()
        .iter()
        .filter(offered)
        .flat_map(|spec| spec.aliases.iter().chain([&spec.name]).map(|said| (*said, spec.name)))
        .collect();
    find(asked, names.iter(), |(said, _)| said).err().flatten().map(|(_, name)| *name)
}
