//! Words that cannot be read, put into one sentence that says what to do.

use crate::battle::Hint;
use crate::requests::Wrong;
use crate::requests::kind::{Unfit, short};
use clap::error::{ContextKind, ContextValue, ErrorKind};

/// The sentence for what the grammar of a request refuses.
pub(super) fn wrong(error: &clap::Error, request: &'static str) -> Wrong {
    let help = |sentence: String| Wrong::with(sentence, Hint::new("help").word("request", request));
    let part = |kind| context(error, kind);
    let argument = short(&part(ContextKind::InvalidArg).unwrap_or_default());
    match error.kind() {
        ErrorKind::UnknownArgument => match part(ContextKind::SuggestedArg) {
            Some(meant) => {
                Wrong::new(format!("“{argument}” does not fit here. Did you mean {meant}?"))
            }
            None if argument.starts_with('-') => {
                help(format!("“{argument}” does not fit here. See the options"))
            }
            None => Wrong::new(format!(
                "“{argument}” is one word too many. Put names of several words in quotation \
                 marks: \"Ford Wardens\""
            )),
        },
        ErrorKind::MissingRequiredArgument => {
            let missing = argument.replace(['<', '>'], "").replace("...", "").to_lowercase();
            Wrong::missing(&missing, request)
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

fn context(error: &clap::Error, kind: ContextKind) -> Option<String> {
    match error.get(kind)? {
        ContextValue::String(text) => Some(text.clone()),
        ContextValue::Strings(texts) => Some(texts.join(", ")),
        other => Some(other.to_string()),
    }
}
