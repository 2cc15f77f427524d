//! Leaders as they are asked for: how well one fights, what he can take, and whose he is.

use super::known::free_name;
use super::{Field, FreeLeader, Mistake, TwoSides};
use crate::protocol::{Change, Leader, Muster, Unit};

/// The most dice that a leader adds, and the most wounds that he can take.
const MOST: u32 = 6;

/// The leader that a muster asks for, of a unit of that side.
pub(super) fn mustered(field: &Field, ask: &Muster, side: &str) -> Result<Option<Leader>, Mistake> {
    let said = Said {
        might: ask.might,
        wounds: ask.wounds,
        general: ask.general.then_some(true),
        spare: ask.spare.then_some(true),
    };
    let leader = ask.leader.as_deref().map(|name| free_name(field, name)).transpose()?;
    said.of(field, leader.map(Leader::new), (&ask.unit, side))
}

/// The leader of a unit as a change leaves him, now of a unit of that side.
pub(super) fn changed(
    field: &Field,
    before: &Unit,
    ask: &Change,
    side: &str,
) -> Result<Option<Leader>, Mistake> {
    let Change { might, wounds, general, spare, .. } = *ask;
    let said = Said { might, wounds, general, spare };
    let named = ask.leader.as_ref().map(|setting| setting.as_option());
    let leader = match (named, &before.leader) {
        (None, own) => own.clone(),
        (Some(None), _) => None,
        (Some(Some(name)), Some(own)) if own.name == *name => Some(own.clone()),
        (Some(Some(name)), _) => Some(free_or_new(field, before, name)?),
    };
    said.of(field, leader, (&before.name, side))
}

/// What was said of a leader beside his name.
struct Said {
    might: Option<u32>,
    wounds: Option<u32>,
    general: Option<bool>,
    spare: Option<bool>,
}

impl Said {
    /// The leader of a unit of a side, with what was said of him.
    fn of(
        &self,
        field: &Field,
        leader: Option<Leader>,
        (unit, side): (&str, &str),
    ) -> Result<Option<Leader>, Mistake> {
        let Some(mut leader) = leader else {
            let nothing = self.might.is_none() && self.wounds.is_none();
            let nothing = nothing && self.general.is_none() && self.spare.is_none();
            return if nothing { Ok(None) } else { Err(Mistake::NoLeader(unit.to_owned())) };
        };
        for number in [self.might, self.wounds].into_iter().flatten() {
            if !(1..=MOST).contains(&number) {
                return Err(Mistake::LeaderNumber(number));
            }
        }
        leader.might = self.might.or(leader.might);
        leader.wounds = self.wounds.unwrap_or(leader.wounds);
        if leader.left() == 0 {
            let Leader { name, taken, .. } = leader;
            return Err(Mistake::WoundsTaken { leader: name, taken });
        }
        leader.general = self.general.unwrap_or(leader.general);
        leader.spared = self.spare.unwrap_or(leader.spared);
        let other = field.general(side).filter(|other| other.name != leader.name);
        match other {
            Some(other) if leader.general => {
                Err(Mistake::TwoGenerals { side: side.to_owned(), general: other.name.clone() })
            }
            _ => Ok(Some(leader)),
        }
    }
}

/// A free leader of the unit's side, or a new one.
fn free_or_new(field: &Field, unit: &Unit, name: &str) -> Result<Leader, Mistake> {
    match field.free_leaders.iter().find(|free| free.leader.name == name) {
        Some(free) => free.joins(unit),
        None => free_name(field, name).map(Leader::new),
    }
}

impl FreeLeader {
    /// The leader, if he can join the unit.
    ///
    /// # Errors
    /// If he is of another side, or out of the fight.
    pub fn joins(&self, unit: &Unit) -> Result<Leader, Mistake> {
        let name = &self.leader.name;
        if self.side != unit.side {
            return Err(other_sides([name, &self.side], unit));
        }
        if self.out {
            return Err(Mistake::OutOfTheFight(name.clone()));
        }
        Ok(self.leader.clone())
    }
}

/// That a leader, given by his name and his side's, and a unit are of different sides.
pub fn other_sides(leader: [&str; 2], unit: &Unit) -> Mistake {
    Mistake::OtherSidesLeader(TwoSides::new(leader, [&unit.name, &unit.side]))
}
