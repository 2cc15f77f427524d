//! What a request to a leader comes to: joining a unit, leaving it, taking his place. Pure.

use crate::battle::led::other_sides;
use crate::battle::{Field, Mistake};
use crate::protocol::{Body, Leader, Office, Unit};

/// A leader joins a unit of his side that has none, when neither is in contact.
pub(super) fn attach(field: &Field, leader: &str, unit: &str) -> Result<Body, Mistake> {
    let unit = field.unit(unit)?;
    let from = field.units.iter().find(|unit| leads(unit, leader));
    let free = field.free_leaders.iter().find(|free| free.leader.name == leader);
    match (from, free) {
        (Some(from), _) if from.side != unit.side => {
            return Err(other_sides([leader, &from.side], unit));
        }
        (Some(_), _) => {}
        (None, Some(free)) => drop(free.joins(unit)?),
        (None, None) => {
            let known = field.leaders().map(|leader| leader.name.clone()).collect();
            return Err(Mistake::NoSuchLeader { name: leader.to_owned(), known });
        }
    }
    if let Some(leader) = &unit.leader {
        let (unit, leader) = (unit.name.clone(), leader.name.clone());
        return Err(Mistake::HasLeader { unit, leader });
    }
    if unit.now.figures == 0 {
        return Err(Mistake::NoMen(unit.name.clone()));
    }
    for unit in from.into_iter().chain([unit]) {
        out_of_contact(field, unit)?;
    }
    let from = from.map(|from| from.name.clone());
    Ok(Body::Attached { leader: leader.to_owned(), unit: unit.name.clone(), from })
}

/// A leader leaves his unit, when it is not in contact.
pub(super) fn detach(field: &Field, unit: &str) -> Result<Body, Mistake> {
    let unit = field.unit(unit)?;
    let leader = leader_of(unit)?.name.clone();
    out_of_contact(field, unit)?;
    Ok(Body::Detached { leader, unit: unit.name.clone() })
}

/// A leader leads from the front, or holds back: at a captain's word once a turn and out of
/// contact.
pub(super) fn place(
    field: &Field,
    unit: &str,
    back: bool,
    office: &Office,
) -> Result<Body, Mistake> {
    let unit = field.unit(unit)?;
    let Leader { name, back: now, placed, .. } = leader_of(unit)?;
    if *now == back {
        return Err(Mistake::PlacedSo { leader: name.clone(), back });
    }
    if matches!(office, Office::Captain(_)) {
        if field.engagement_of(&unit.name).is_some() {
            return Err(Mistake::InContactForPlace(unit.name.clone()));
        }
        if *placed {
            return Err(Mistake::PlacedAlready(name.clone()));
        }
    }
    Ok(Body::Placed { leader: name.clone(), unit: unit.name.clone(), back })
}

fn leads(unit: &Unit, leader: &str) -> bool {
    unit.leader.as_ref().is_some_and(|own| own.name == leader)
}

fn leader_of(unit: &Unit) -> Result<&Leader, Mistake> {
    unit.leader.as_ref().ok_or_else(|| Mistake::NoLeader(unit.name.clone()))
}

fn out_of_contact(field: &Field, unit: &Unit) -> Result<(), Mistake> {
    match field.engagement_of(&unit.name) {
        Some(_) => Err(Mistake::InContactForLeader(unit.name.clone())),
        None => Ok(()),
    }
}
