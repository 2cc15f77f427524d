//! Words that cannot be read, put into one sentence that says what to do.

use crate::battle::Hint;
use crate::requests::kind::{Unfit, short};
use crate::requests::{Position, Spec, Wrong};
use clap::error::{ContextKind, ContextValue, ErrorKind};

/// What people write between two names, and no request takes.
const BETWEEN: [&str; 5] = ["vs", "vs.", "versus", "against", "at"];

/// The sentence for what the grammar of a request with these options refuses in these words.
pub(super) fn wrong(
    error: &clap::Error,
    spec: &'static Spec,
    words: &[String],
    options: &[String],
) -> Wrong {
    let request = spec.name;
    let help = |sentence: String| Wrong::with(sentence, Hint::new("help").word("request", request));
    let part = |kind| context(error, kind);
    let argument = short(&part(ContextKind::InvalidArg).unwrap_or_default());
    match error.kind() {
        ErrorKind::UnknownArgument => match part(ContextKind::SuggestedArg) {
            Some(meant) => {
                Wrong::new(format!("“{argument}” does not fit here. Did you mean {meant}?"))
            }
            None => too_many(&argument, spec, words, options).unwrap_or_else(|| {
                help(format!("“{argument}” does not fit here. See the options"))
            }),
        },
        ErrorKind::MissingRequiredArgument => {
            let missing: Vec<String> =
                argument.split(", ").map(|part| missing(part, spec)).collect();
            Wrong::missing(&missing.join(", "), request)
        }
        ErrorKind::ArgumentConflict => {
            let other = part(ContextKind::PriorArg).unwrap_or_default();
            if other == argument {
                return Wrong::new(format!("{argument} is given twice. Give it once."));
            }
            Wrong::new(format!("{argument} and {other} exclude each other. Use one of them."))
        }
        ErrorKind::InvalidValue => {
            Wrong::new(format!("{argument} needs a value. Give one after it."))
        }
        ErrorKind::ValueValidation => {
            let value = short(&part(ContextKind::InvalidValue).unwrap_or_default());
            let source = std::error::Error::source(error);
            match source.and_then(|source| source.downcast_ref::<Unfit>()) {
                Some(Unfit::Wrong(wrong)) => wrong.clone(),
                Some(Unfit::Because(why)) => {
                    Wrong::new(format!("“{value}” does not fit {argument}{why}."))
                }
                None => help(format!("“{value}” does not fit {argument}. See an example")),
            }
        }
        _ => help("This cannot be read. See an example".to_owned()),
    }
}

/// The sentence for the first word that has no place; none for an option that is like no other.
fn too_many(
    argument: &str,
    spec: &'static Spec,
    words: &[String],
    options: &[String],
) -> Option<Wrong> {
    let option = |word: &String| {
        let bare = format!("--{}", word.trim_start_matches('-').to_lowercase());
        options.iter().find(|option| **option == bare && *option != word)
    };
    // An option without its dashes is a word too many, and so is the value that follows it.
    if let Some((word, option)) = words.iter().find_map(|word| Some((word, option(word)?))) {
        let sentence = format!("“{}” does not fit here. Did you mean {option}?", short(word));
        return Some(Wrong::new(sentence));
    }
    if argument.starts_with('-') {
        return None;
    }
    let between = |word: &&String| BETWEEN.contains(&word.to_lowercase().as_str());
    if let Some(word) = words.iter().find(between) {
        let sentence = format!("“{}” does not fit here. Leave it out.", short(word));
        return Some(Wrong::new(sentence));
    }
    let takes_words =
        spec.at_table().any(|slot| matches!(slot.place, Position::Word | Position::Rest));
    Some(Wrong::new(if takes_words {
        format!(
            "“{argument}” is one word too many. Put a name of more than one word in double \
             quotation marks: \"Ford Wardens\""
        )
    } else {
        format!("“{argument}” does not fit here. Leave it out: {} takes no words.", spec.name)
    }))
}

/// What is missing: an option as it is written, a word by what it is.
fn missing(part: &str, spec: &'static Spec) -> String {
    let bare = part.replace(['<', '>'], "").replace("...", "");
    let by_place = spec.at_table().find(|slot| {
        matches!(slot.place, Position::Word | Position::Rest) && slot.value_name() == bare
    });
    let Some(slot) = by_place else { return bare };
    let what = slot.about.split([',', ';']).next().unwrap_or(slot.about);
    let mut letters = what.chars();
    letters.next().map_or(bare, |first| first.to_lowercase().chain(letters).collect())
}

fn context(error: &clap::Error, kind: ContextKind) -> Option<String> {
    match error.get(kind)? {
        ContextValue::String(text) => Some(text.clone()),
        ContextValue::Strings(texts) => Some(texts.join(", ")),
        other => Some(other.to_string()),
    }
}
