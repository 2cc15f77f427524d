//! The classes, grades and weapons of the rules by their names: the gate takes a name as anybody
//! writes it, and what is decided afterwards takes it only as the rules write it. Names that are new
//! are held against the field here too.

use super::{Field, Mistake, is_name};
use crate::rules::Rules;

/// Whether a name that is known is the one that was given.
type Alike = fn(&str, &str) -> bool;

/// Whether two names are the same, byte for byte.
pub(super) fn exactly(a: &str, b: &str) -> bool {
    a == b
}

/// The troop class that is meant, as the rules write it.
pub(super) fn class(rules: &Rules, name: &str, alike: Alike) -> Result<String, Mistake> {
    named("class", name, rules.classes.iter().map(|class| class.name.as_str()), alike)
}

/// The grade that is meant, as the rules write it.
pub(super) fn grade(rules: &Rules, name: &str, alike: Alike) -> Result<String, Mistake> {
    named("grade", name, rules.grades.iter().map(|grade| grade.name.as_str()), alike)
}

/// The missile weapon that is meant, as the rules write it.
pub(super) fn weapon(rules: &Rules, name: &str, alike: Alike) -> Result<String, Mistake> {
    named("missile weapon", name, rules.weapons.iter().map(|weapon| weapon.name.as_str()), alike)
}

/// The condition that is meant, as the rules write it; none if the rules know no such one.
pub(super) fn condition(rules: &Rules, name: &str, alike: Alike) -> Option<String> {
    let known = rules.conditions.iter().map(|condition| &condition.name);
    known.clone().find(|known| alike(known, name)).cloned()
}

/// That the rules know no condition of that name.
pub(super) fn no_condition(rules: &Rules, name: &str) -> Mistake {
    let known = rules.conditions.iter().map(|condition| condition.name.clone()).collect();
    Mistake::NoKnownCondition { name: name.to_owned(), known }
}

fn named<'a>(
    kind: &'static str,
    name: &str,
    known: impl Iterator<Item = &'a str> + Clone,
    alike: Alike,
) -> Result<String, Mistake> {
    let found = known.clone().find(|known| alike(known, name));
    found.map(str::to_owned).ok_or_else(|| Mistake::NotInRules {
        kind,
        name: name.to_owned(),
        known: known.map(str::to_owned).collect(),
    })
}

/// A name that nobody on the field has yet.
pub(super) fn free_name(field: &Field, name: &str) -> Result<String, Mistake> {
    if !is_name(name) {
        return Err(Mistake::BadName(name.to_owned()));
    }
    match field.names().find(|taken| *taken == name) {
        Some(taken) => Err(Mistake::NameTaken(taken.to_owned())),
        None => Ok(name.to_owned()),
    }
}
