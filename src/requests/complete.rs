//! What is offered while somebody fills a slot: names from the battle here, its rules, the record.

use super::{Fronts, Kind, Spec, Values, Whose, all};
use crate::battle::{Field, find, fold_case};
use crate::protocol::{Standing, Unit};
use crate::rules::Rules;

/// The names that a front knows where somebody asks.
pub trait Names {
    /// The field of the battle here, if one is open.
    fn field(&self) -> Option<&Field>;
    /// The rules of the battle here, or those that ship.
    fn rules(&self) -> Option<&Rules>;
    /// The names of the battles here, latest first.
    fn battles(&self) -> Vec<String>;
    /// The names of the rules at hand.
    fn rules_names(&self) -> Vec<String>;
}

/// Something that may fill a slot.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Candidate {
    /// The text that fills it.
    pub value: String,
    /// What helps to choose it, such as `7 of 8 figures · shaken`; may be empty.
    pub about: String,
}

/// What may fill a slot of a request of which `given` is known already and `typed` is the
/// beginning: those that begin so first, then those that hold it.
pub fn candidates(
    spec: &Spec,
    slot: &str,
    given: &Values,
    names: &dyn Names,
    typed: &str,
) -> Vec<Candidate> {
    let Some(slot) = spec.slot(slot) else { return Vec::new() };
    let typed = fold_case(typed.trim());
    let (begin, hold): (Vec<_>, Vec<_>) = of(&slot.kind, given, names)
        .into_iter()
        .filter(|candidate| fold_case(&candidate.value).contains(&typed))
        .partition(|candidate| fold_case(&candidate.value).starts_with(&typed));
    begin.into_iter().chain(hold).collect()
}

fn of(kind: &Kind, given: &Values, names: &dyn Names) -> Vec<Candidate> {
    let rules = names.rules();
    match kind {
        Kind::Unit(whose) => units(*whose, given, names.field()),
        Kind::Side => plain(names.field().iter().flat_map(|field| field.sides.iter())),
        Kind::FreeLeader => names
            .field()
            .iter()
            .flat_map(|field| field.free_leaders.iter())
            .filter(|free| !free.out)
            .map(|free| Candidate { value: free.leader.name.clone(), about: free.side.clone() })
            .collect(),
        Kind::Leader => leaders(names.field()),
        Kind::Class => plain(rules.iter().flat_map(|rules| &rules.classes).map(|c| &c.name)),
        Kind::Grade => plain(rules.iter().flat_map(|rules| &rules.grades).map(|g| &g.name)),
        Kind::Weapon => plain(rules.iter().flat_map(|rules| &rules.weapons).map(|w| &w.name)),
        Kind::RulesName => plain(&names.rules_names()),
        Kind::BattleName => plain(&names.battles()),
        Kind::RequestName => all()
            .iter()
            .filter(|spec| spec.fronts != Fronts::Chat)
            .map(|spec| Candidate { value: spec.name.to_owned(), about: spec.about.to_owned() })
            .collect(),
        Kind::Choice(choices) | Kind::Flags(choices) => choices
            .iter()
            .map(|choice| Candidate {
                value: choice.name.to_owned(),
                about: choice.about.to_owned(),
            })
            .collect(),
        Kind::YesNo => plain(&["yes".to_owned(), "no".to_owned()]),
        Kind::OrNone(kind) => {
            let mut offered = of(kind, given, names);
            offered.extend(plain(&["none".to_owned()]));
            offered
        }
        _ => Vec::new(),
    }
}

fn plain<'a>(names: impl IntoIterator<Item = &'a String>) -> Vec<Candidate> {
    let candidate = |name: &String| Candidate { value: name.clone(), about: String::new() };
    names.into_iter().map(candidate).collect()
}

/// Every leader who may lead: those with a unit, then those without.
fn leaders(field: Option<&Field>) -> Vec<Candidate> {
    let Some(field) = field else { return Vec::new() };
    let led = field.units.iter().filter_map(|unit| {
        let (value, about) = (unit.leader.as_ref()?.name.clone(), format!("leads {}", unit.name));
        Some(Candidate { value, about })
    });
    let free = field.free_leaders.iter().filter(|free| !free.out);
    let free =
        free.map(|free| Candidate { value: free.leader.name.clone(), about: free.side.clone() });
    led.chain(free).collect()
}

fn units(whose: Whose, given: &Values, field: Option<&Field>) -> Vec<Candidate> {
    let Some(field) = field else { return Vec::new() };
    let engaged = |unit: &Unit| field.engagement_of(&unit.name).is_some();
    let fits = |unit: &Unit| match whose {
        Whose::Any => true,
        Whose::Fighting => unit.fights(),
        Whose::Standing => !matches!(unit.standing, Standing::Left | Standing::Destroyed),
        Whose::Shooting => unit.fights() && unit.weapon.is_some(),
        Whose::InMelee => engaged(unit),
        Whose::Led => unit.leader.is_some(),
        Whose::Rallying => {
            matches!(unit.standing, Standing::Shaken | Standing::Routing)
                && !unit.rallied
                && !engaged(unit)
        }
        Whose::Against(slot) => {
            let named = |name: String| find(&name, field.units.iter(), |unit| &unit.name).ok();
            let other = given.maybe(slot).and_then(named);
            !matches!(unit.standing, Standing::Left | Standing::Destroyed)
                && other.is_none_or(|other| other.side != unit.side)
        }
    };
    field.units.iter().filter(|unit| fits(unit)).map(|unit| candidate(unit)).collect()
}

/// A unit with its strength and how it stands.
fn candidate(unit: &Unit) -> Candidate {
    let standing = match unit.standing {
        Standing::Steady => "steady",
        Standing::Shaken => "shaken",
        Standing::Routing => "routing",
        Standing::Left => "left the field",
        Standing::Destroyed => "destroyed",
    };
    let of = crate::words::figures(unit.muster.figures);
    let about = format!("{} of {of} · {standing}", unit.now.figures);
    Candidate { value: unit.name.clone(), about }
}
