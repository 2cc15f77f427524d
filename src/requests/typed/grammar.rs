//! A request's slots as a grammar of words.

use super::trouble;
use crate::requests::{Kind, Need, Position, Slot, Spec, Values, Wrong};
use clap::builder::TypedValueParser as _;
use clap::parser::ValueSource;
use clap::{Arg, ArgAction, ArgMatches, Command};

/// Which part of a request is read: the one that bears its name, or a further contact.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Part {
    /// All of it, with its first contact.
    First,
    /// A further contact; what belongs to the whole request may stand here too.
    Further,
}

/// Reads the words of one part.
pub(super) fn read(spec: &'static Spec, part: Part, words: &[String]) -> Result<Values, Wrong> {
    let words: Vec<String> = words.iter().map(|word| uncapitalised(spec, word)).collect();
    let matches = command(spec, part)
        .try_get_matches_from(&words)
        .map_err(|error| trouble::wrong(&error, spec, &words, &option_names(spec)))?;
    let mut values = Values::new();
    for slot in slots(spec, part) {
        fill(&mut values, slot, &matches);
    }
    Ok(values)
}

/// The help on a request at this width: what it does, its words and options, examples.
pub fn help(spec: &'static Spec, width: usize) -> String {
    let examples = match spec.examples {
        [] => String::new(),
        [example] => format!("Example: {example}"),
        examples => format!("Examples:\n  {}", examples.join("\n  ")),
    };
    let both = [spec.note, &examples];
    let after = both.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join("\n\n");
    let mut command = command(spec, Part::First).about(spec.about).after_help(after);
    command = command.term_width(width).bin_name(spec.name);
    command.render_help().to_string()
}

/// A request's options at the table, each with its two hyphens.
pub fn option_names(spec: &'static Spec) -> Vec<String> {
    let command = command(spec, Part::First);
    let long = |argument: &Arg| argument.get_long().map(|long| format!("--{long}"));
    command.get_arguments().filter_map(long).collect()
}

fn command(spec: &'static Spec, part: Part) -> Command {
    let command = Command::new(spec.name)
        .no_binary_name(true)
        .disable_help_flag(true)
        .help_template("{about}\n\n{usage-heading} {usage}\n\n{all-args}{after-help}");
    slots(spec, part).flat_map(|slot| arguments(spec, slot, part)).fold(command, Command::arg)
}

fn slots(spec: &'static Spec, part: Part) -> impl Iterator<Item = &'static Slot> {
    let fits = move |slot: &&Slot| match part {
        Part::First => true,
        Part::Further => slot.each || !matches!(slot.place, Position::Word | Position::Rest),
    };
    spec.at_table().filter(fits)
}

/// The arguments that fill a slot: one, or one for each of its flags.
fn arguments(spec: &'static Spec, slot: &'static Slot, part: Part) -> Vec<Arg> {
    if let Kind::Flags(choices) = slot.kind {
        let flags = choices.iter().skip(1);
        let others = |name: &'static str| {
            choices.iter().skip(1).map(|choice| choice.name).filter(move |other| *other != name)
        };
        let flag = |choice: &'static crate::requests::Choice| {
            let flag = Arg::new(choice.name).long(choice.name).action(ArgAction::SetTrue);
            flag.help(choice.about).conflicts_with_all(others(choice.name))
        };
        return flags.map(flag).collect();
    }
    let argument = Arg::new(slot.name).help(slot.about).value_name(slot.value_name());
    let argument = match slot.place {
        Position::Word => argument.required(slot.need != Need::Optional),
        Position::Rest => argument.required(slot.need != Need::Optional).num_args(1..),
        Position::Option => argument.long(slot.name),
        Position::Options => argument.long(slot.name).action(ArgAction::Append),
    };
    let argument = match slot.place {
        Position::Option | Position::Options if part == Part::First || slot.each => {
            argument.required(slot.need != Need::Optional)
        }
        _ => argument,
    };
    vec![related(spec, slot, part, typed(slot, argument))]
}

/// The argument with what its kind lets it hold.
fn typed(slot: &'static Slot, argument: Arg) -> Arg {
    if matches!(slot.kind, Kind::Flag) {
        return argument.action(ArgAction::SetTrue);
    }
    let check = move |text: &str| slot.kind.check(text).map(|()| text.to_owned());
    let argument = argument
        .value_parser(clap::builder::StringValueParser::new().try_map(move |text| check(&text)))
        .allow_negative_numbers(slot.kind.is_number())
        .allow_hyphen_values(matches!(slot.kind, Kind::Text { .. }));
    match slot.usual {
        Some(usual) => argument.default_value(usual),
        None => argument,
    }
}

/// The argument with the others that it needs or excludes, as far as this part has them.
fn related(spec: &'static Spec, slot: &'static Slot, part: Part, mut argument: Arg) -> Arg {
    let here = |name: &str| slots(spec, part).any(|other| other.name == name);
    if let Some(needs) = slot.needs.filter(|needs| part == Part::First && here(needs)) {
        argument = argument.requires(needs);
    }
    if let Some(excludes) = slot.excludes.filter(|excludes| here(excludes)) {
        argument = argument.conflicts_with(excludes);
    }
    if part == Part::Further && matches!(slot.place, Position::Word) {
        argument = argument.required(true);
    }
    match slot.also {
        Some(also) => argument.visible_alias(also),
        None => argument,
    }
}

/// Fills a slot with what was typed, and never with what is usual.
fn fill(values: &mut Values, slot: &'static Slot, matches: &ArgMatches) {
    match slot.kind {
        Kind::Flags(choices) => {
            for choice in choices.iter().skip(1).filter(|choice| matches.get_flag(choice.name)) {
                values.put(slot.name, choice.name);
            }
        }
        Kind::Flag if matches.get_flag(slot.name) => values.put(slot.name, "yes"),
        Kind::Flag => {}
        _ if matches.value_source(slot.name) == Some(ValueSource::CommandLine) => {
            for text in matches.get_many::<String>(slot.name).into_iter().flatten() {
                values.put(slot.name, text);
            }
        }
        _ => {}
    }
}

/// A word without the capitals of an option's name; its value keeps them.
fn uncapitalised(spec: &'static Spec, word: &str) -> String {
    let Some(option) = word.strip_prefix("--") else { return word.to_owned() };
    let (name, value) = option.split_once('=').unwrap_or((option, ""));
    let lower = name.to_lowercase();
    let names = spec.at_table().flat_map(|slot| {
        let choices = match slot.kind {
            Kind::Flags(choices) => choices,
            _ => &[],
        };
        choices.iter().map(|choice| choice.name).chain([slot.name]).chain(slot.also)
    });
    let known = names.into_iter().any(|known| known == lower);
    match (known, option.contains('=')) {
        (false, _) => word.to_owned(),
        (true, false) => format!("--{lower}"),
        (true, true) => format!("--{lower}={value}"),
    }
}
