//! A command as it was used, back into what the table of requests reads.

use crate::chat::platform::{Given, Value};
use crate::protocol::Appointee;
use crate::requests::{self, ChatOption, Kind, Spec, Values};

/// The option by which an answer to a look is shown to everyone.
const SHARE: &str = "share";

/// The request of a command, by its name and those of the commands inside it.
pub fn spec(path: &[String]) -> Option<&'static Spec> {
    let named = |spec: &&'static Spec| match (spec.group.command(), path) {
        (Some(group), [command, name]) => command == group && name == spec.in_chat,
        (None, [name]) => name == spec.in_chat,
        _ => false,
    };
    requests::all().iter().copied().filter(|spec| spec.fronts.chat()).find(named)
}

/// The option of that name of a request's command.
pub fn option(spec: &Spec, name: &str) -> Option<ChatOption> {
    spec.chat_options().into_iter().find(|option| option.name == name)
}

/// What was given, by the names of the slots; none if the command is not as it was registered.
///
/// People are left out: the record knows them by numbers of its own, see [`people`].
pub fn values(spec: &Spec, options: &[Given]) -> Option<Values> {
    let mut values = Values::new();
    for given in options {
        let slot = option(spec, &given.name)?.slot;
        let text = match &given.value {
            Value::Text(text) => text.clone(),
            Value::Integer(number) => number.to_string(),
            // A flag that is said not to be set is as good as none.
            Value::Flag(false) if matches!(slot.kind, Kind::Flag) => continue,
            Value::Flag(yes) => if *yes { "yes" } else { "no" }.to_owned(),
            Value::Role(id) => Appointee::Role(*id).to_string(),
            Value::User(_) => continue,
            Value::Other => return None,
        };
        values.put(slot.name, text);
    }
    Some(values)
}

/// The people who were given, by the names of the slots and by the platform's ids.
pub fn people(spec: &Spec, options: &[Given]) -> Vec<(&'static str, u64)> {
    let person = |given: &Given| match given.value {
        Value::User(id) => Some((option(spec, &given.name)?.slot.name, id)),
        _ => None,
    };
    options.iter().filter_map(person).collect()
}

/// Whether the answer is to be shown to everyone.
pub fn shares(options: &[Given]) -> bool {
    options.iter().any(|given| given.name == SHARE && given.value == Value::Flag(true))
}
