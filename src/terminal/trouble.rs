//! A line that cannot be read, put into one sentence that says what to do.

use crate::battle::Mistake;
use clap::error::{ContextKind, ContextValue, ErrorKind};

/// The sentence for what the line grammar refuses of `words`.
pub(super) fn sentence(error: &clap::Error, words: &[String]) -> String {
    let request = words.first().map_or("REQUEST", String::as_str);
    general(error).replace("help REQUEST", &format!("help {request}"))
}

/// What the program can be asked outside the table.
const PROGRAM: [&str; 7] = ["receipts", "export", "report", "import", "check", "backup", "restore"];

fn general(error: &clap::Error) -> String {
    let part = |kind| context(error, kind);
    let argument = short(&part(ContextKind::InvalidArg).unwrap_or_default());
    match error.kind() {
        ErrorKind::InvalidSubcommand => {
            let asked = short(&part(ContextKind::InvalidSubcommand).unwrap_or_default());
            if PROGRAM.contains(&asked.as_str()) {
                return format!(
                    "“{asked}” is a command of the program and not of the table. Leave the table \
                     (quit), then: drumhead {asked} --help"
                );
            }
            match part(ContextKind::SuggestedSubcommand) {
                Some(meant) => format!("“{asked}” cannot be asked. Did you mean: {meant}?"),
                None => format!("“{asked}” cannot be asked. See what can: help"),
            }
        }
        ErrorKind::UnknownArgument => match part(ContextKind::SuggestedArg) {
            Some(meant) => format!("“{argument}” does not fit here. Did you mean {meant}?"),
            None if argument.starts_with('-') => {
                format!("“{argument}” does not fit here. See the options: help REQUEST")
            }
            None => format!(
                "“{argument}” is one word too many. Put names of several words in quotation \
                 marks: \"Ford Wardens\""
            ),
        },
        ErrorKind::MissingRequiredArgument => {
            let missing = argument.replace(['<', '>'], "").replace("...", "").to_lowercase();
            format!("Something is missing: {missing}. See an example: help REQUEST")
        }
        ErrorKind::MissingSubcommand | ErrorKind::DisplayHelpOnMissingArgumentOrSubcommand => {
            "Nothing was asked. See what can be: help".to_owned()
        }
        ErrorKind::ArgumentConflict => {
            let other = part(ContextKind::PriorArg).unwrap_or_default();
            if other == argument {
                return format!("{argument} is given twice. Give it once.");
            }
            format!("{argument} and {other} exclude each other. Use one of them.")
        }
        ErrorKind::InvalidValue => {
            let value = short(&part(ContextKind::InvalidValue).unwrap_or_default());
            match part(ContextKind::ValidValue) {
                _ if value.is_empty() => format!("{argument} needs a value. Give one after it."),
                Some(valid) => format!("“{value}” does not fit {argument}. Use one of: {valid}."),
                None => format!("“{value}” does not fit {argument}. See an example: help REQUEST"),
            }
        }
        ErrorKind::ValueValidation => {
            let value = short(&part(ContextKind::InvalidValue).unwrap_or_default());
            let source = std::error::Error::source(error);
            if let Some(mistake) = source.and_then(|source| source.downcast_ref::<Mistake>()) {
                return mistake.to_string();
            }
            let why = std::error::Error::source(error).map_or_else(String::new, |why| {
                let why = why.to_string();
                match why.as_str() {
                    "invalid digit found in string" => ": use a whole number".to_owned(),
                    why if why.contains("is not in 0..=") => ": use a smaller number".to_owned(),
                    why => format!(": {why}"),
                }
            });
            format!("“{value}” does not fit {argument}{why}.")
        }
        ErrorKind::TooManyValues | ErrorKind::WrongNumberOfValues | ErrorKind::TooFewValues => {
            format!("{argument} has the wrong number of values. See an example: help REQUEST")
        }
        _ => "This line cannot be read. See what can be asked: help".to_owned(),
    }
}

/// At most 60 characters of what was said.
fn short(text: &str) -> String {
    const MOST: usize = 60;
    let short: String = text.chars().take(MOST).collect();
    if short.len() < text.len() { short + "…" } else { short }
}

fn context(error: &clap::Error, kind: ContextKind) -> Option<String> {
    match error.get(kind)? {
        ContextValue::String(text) => Some(text.clone()),
        ContextValue::Strings(texts) => Some(texts.join(", ")),
        other => Some(other.to_string()),
    }
}
