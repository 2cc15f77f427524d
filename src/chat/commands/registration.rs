//! What the platform is told of the commands.

use crate::chat::message::{Choice, Command, CommandOption, Context, OptionKind};
use crate::requests::{self, ChatOption, Group, Kind, Spec};

/// Every command, as it is registered: a group of requests each, and those that stand alone.
pub fn registered() -> Vec<Command> {
    let groups = Group::ALL.iter().filter_map(|group| Some((group.command()?, group)));
    let grouped = groups.map(|(name, group)| {
        let requests = of(*group)
            .map(|spec| CommandOption::sub_command(spec.in_chat, spec.about, options(spec)));
        Command::new(name, group.about(), vec![Context::Server], requests.collect())
    });
    // Help can be asked anywhere; it says where battles are fought.
    let anywhere = || vec![Context::Server, Context::Private];
    let alone = of(Group::Alone)
        .map(|spec| Command::new(spec.in_chat, spec.about, anywhere(), options(spec)));
    grouped.chain(alone).collect()
}

/// The requests of a group that a chat can ask.
fn of(group: Group) -> impl Iterator<Item = &'static Spec> {
    requests::all().iter().copied().filter(move |spec| spec.group == group && spec.fronts.chat())
}

fn options(spec: &Spec) -> Vec<CommandOption> {
    spec.chat_options().iter().map(option).collect()
}

fn option(option: &ChatOption) -> CommandOption {
    let kind = &option.slot.kind;
    let shown = CommandOption::new(option_kind(kind), option.name, option.slot.about)
        .required(option.required());
    if is_completed(kind) {
        return shown.completed();
    }
    if let Some((least, most)) = kind.range() {
        return shown.within(least.into(), most.into());
    }
    let words = kind.choices().iter().filter_map(|choice| Choice::new(choice.name));
    let shown = shown.one_of(words.collect());
    match kind.most() {
        Some(most) => shown.at_most(u16::try_from(most).unwrap_or(u16::MAX)),
        None => shown,
    }
}

/// How the platform takes an option.
const fn option_kind(kind: &Kind) -> OptionKind {
    match kind {
        Kind::Flag | Kind::YesNo => OptionKind::Boolean,
        Kind::Person => OptionKind::User,
        Kind::Role => OptionKind::Role,
        _ if kind.range().is_some() => OptionKind::Integer,
        _ => OptionKind::Text,
    }
}

/// Whether names are offered while it is typed.
const fn is_completed(kind: &Kind) -> bool {
    match kind {
        Kind::OrNone(kind) => is_completed(kind),
        Kind::Unit(_)
        | Kind::FreeLeader
        | Kind::Side
        | Kind::Class
        | Kind::Grade
        | Kind::Weapon
        | Kind::RulesName
        | Kind::BattleName
        | Kind::RequestName => true,
        _ => false,
    }
}
