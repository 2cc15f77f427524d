//! Which request a line begins with: its name, another word for it, or a chat's spelling of it.

use crate::requests::{Group, Kind, Spec, Values, all, in_group};

/// The request that a line's words begin with, what its name alone gives, and the words after it.
pub struct Named<'a> {
    /// The request.
    pub spec: &'static Spec,
    /// What its name gives: `charge` is a melee with a charge.
    pub given: Values,
    /// The words after its name.
    pub rest: &'a [String],
}

/// The request of the table that words begin with; none if there is none.
///
/// Capitals do not matter, and neither does a chat's slash before the name or before its group.
pub fn named(words: &[String]) -> Option<Named<'_>> {
    let lower: Vec<String> = words.iter().take(2).map(|word| word.to_lowercase()).collect();
    let first = lower.first()?;
    if let Some(slashed) = first.strip_prefix('/') {
        return from_chat(slashed, &lower, words);
    }
    if let Some(spec) = at_table().find(|spec| spec.name == first) {
        return Some(Named { spec, given: Values::new(), rest: &words[1..] });
    }
    let two = lower.join(" ");
    synonym(&two, words, 2).or_else(|| synonym(first, words, 1))
}

/// The request whose command in a chat was typed.
fn from_chat<'a>(slashed: &str, lower: &[String], words: &'a [String]) -> Option<Named<'a>> {
    let plain = |spec, words_taken: usize| {
        Some(Named { spec, given: Values::new(), rest: words.get(words_taken..).unwrap_or(&[]) })
    };
    let group = Group::ALL.into_iter().find(|group| group.command() == Some(slashed));
    if let (Some(group), Some(second)) = (group, lower.get(1)) {
        let mut found = in_group(group).filter(|spec| spec.fronts.table());
        if let Some(spec) = found.find(|spec| spec.in_chat == second || spec.name == second) {
            return plain(spec, 2);
        }
    }
    if slashed.is_empty() {
        return at_table().find(|spec| spec.name == "help").and_then(|spec| plain(spec, 1));
    }
    at_table().find(|spec| spec.name == slashed).and_then(|spec| plain(spec, 1))
}

fn synonym<'a>(said: &str, words: &'a [String], words_taken: usize) -> Option<Named<'a>> {
    let spec = at_table().find(|spec| spec.aliases.contains(&said))?;
    let mut given = Values::new();
    if let Some(slot) = spec.slot(said)
        && matches!(slot.kind, Kind::Flag)
    {
        given.put(slot.name, "yes");
    }
    Some(Named { spec, given, rest: words.get(words_taken..)? })
}

fn at_table() -> impl Iterator<Item = &'static Spec> {
    all().iter().copied().filter(|spec| spec.fronts.table())
}
