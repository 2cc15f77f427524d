//! Looking: what the referee shows without changing anything.

use super::turns::Whose;
use super::{Fault, Referee, Refusal, throws};
use crate::battle::{Field, Mistake, gate, muster};
use crate::combat::{Clash, SingleCombat};
use crate::odds::{self, MOST_SCALES, OddsError};
use crate::protocol::{ContactAsk, Muster, Place, Protocol, QuickAsk, Recorded, Scale};
use crate::rules::Rules;
use crate::words::{BattleEntry, Shown};
use std::sync::Arc;

/// What can be looked at.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Look {
    /// The battle here, or one unit of it.
    Show {
        /// The unit.
        unit: Option<String>,
    },
    /// The battles of this place.
    Battles,
    /// The record of the battle here.
    Log {
        /// All of it, or the latest events only.
        all: bool,
    },
    /// A roll with its receipt.
    Proof {
        /// The roll's number; none for the latest.
        roll: Option<u32>,
    },
    /// The rules of the battle here.
    Rules,
    /// The conditions that stand.
    Conditions,
    /// The odds of a melee.
    Odds {
        /// Its contacts; none for the melee that is being fought.
        contacts: Vec<ContactAsk>,
    },
    /// The odds of a clash of two described units.
    Quick(QuickAsk),
    /// The same armies at several figure scales.
    Scales {
        /// The two units to compare; none for every unit and its opposite number.
        units: Option<[String; 2]>,
        /// The scales.
        scales: Vec<Scale>,
        /// By how many hundredths of its men a unit may be misrepresented, 0 to 100.
        percent: u32,
    },
    /// How many men of a class make an even fight.
    Match {
        /// The unit to be met.
        unit: String,
        /// The class of those who would meet it.
        class: String,
        /// Their grade.
        grade: Option<String>,
        /// Whether they have long spears.
        spears: bool,
        /// Their front rank in figures.
        frontage: Option<u32>,
    },
}

/// Events that a listing shows unless all are asked for.
const LATEST: u64 = 20;
/// The most events of a listing of all: they are in memory together.
const MOST_LISTED: u64 = 5_000;
/// Events read at once.
const READING: u32 = 500;

impl Referee {
    /// Shows what is asked for in `place`.
    pub async fn look(&self, place: &Place, look: &Look) -> Result<Shown, Refusal> {
        Box::pin(self.look_for(place, look, 0)).await
    }

    /// Shows what somebody asks for in `place`, whom the front tells from others by that number: so
    /// many odds can be worked out for each at a time, and everybody's come by turns.
    ///
    /// # Errors
    /// The mistakes of asking that, and [`Refusal::Crowded`] if too much is in hand.
    pub async fn look_for(
        &self,
        place: &Place,
        look: &Look,
        person: u64,
    ) -> Result<Shown, Refusal> {
        let whose = Whose::of(place, person);
        if *look == Look::Battles {
            return self.listed(place).await;
        }
        if let Look::Quick(ask) = look {
            return self.quick_odds(place, ask.clone(), whose).await;
        }
        // Without a battle the quick rulings' rolls can still be proved.
        let quick = place.quick();
        let proves = matches!(look, Look::Proof { .. });
        let place = match self.record.open_battle(place).await? {
            None if proves && self.record.open_battle(&quick).await?.is_some() => &quick,
            _ => place,
        };
        let seat = self.seats.of(place);
        let mut seat = seat.lock().await;
        let loaded = match self.refresh(place, &mut seat).await {
            // Without a battle the rules at hand can still be read.
            Err(Refusal::Mistake(Mistake::NoBattle)) if *look == Look::Rules => {
                return Ok(Shown::Rules(self.rules_library.find(None)?));
            }
            loaded => loaded?,
        };
        let battle = &loaded.battle;
        Ok(match look {
            Look::Show { unit: None } => Shown::Battle(Box::new(battle.clone())),
            Look::Show { unit: Some(name) } => {
                let name = gate::unit_called(&battle.field, name)?;
                Shown::Unit(Box::new(battle.clone()), name)
            }
            Look::Log { all: true } if battle.seq > MOST_LISTED => {
                let (what, events) = ("a list of all", battle.seq);
                return Err(Mistake::TooManyEvents { what, events, most: MOST_LISTED }.into());
            }
            Look::Log { all } => {
                let earlier = if *all { 0 } else { battle.seq.saturating_sub(LATEST) };
                Shown::Log(self.events(&battle.id, earlier).await?, earlier)
            }
            Look::Proof { roll } => {
                let (id, last) = (battle.id.clone(), battle.rolls);
                let roll = roll.unwrap_or(last);
                Shown::Proof(Box::new(self.roll(&id, roll, last).await?))
            }
            Look::Rules => Shown::Rules(Arc::clone(&loaded.rules)),
            Look::Conditions => Shown::Conditions(Arc::new(battle.clone())),
            Look::Odds { contacts } => {
                let (rules, field) = (Arc::clone(&loaded.rules), battle.field.clone());
                if let Some(leaders) = duelists(&field, contacts) {
                    let single = SingleCombat::weighed(&rules, &field, &leaders)?;
                    return Ok(Shown::Duel(odds::duel_odds(&rules, &single)));
                }
                let contacts = gate::contacts(&field, contacts)?;
                // Other places must not wait while the odds are worked out.
                drop(seat);
                self.reckon(whose, move || odds_of(&rules, &field, &contacts)).await?
            }
            Look::Scales { units, scales, percent } => {
                let (rules, field) = (Arc::clone(&loaded.rules), battle.field.clone());
                let called = |name| gate::unit_called(&field, name);
                let units = match units {
                    Some([one, other]) => Some([called(one)?, called(other)?]),
                    None => None,
                };
                let mut scales = scales.clone();
                scales.sort_by_key(|scale| scale.men());
                scales.dedup();
                if scales.len() > MOST_SCALES {
                    return Err(Mistake::TooManyScales(MOST_SCALES).into());
                }
                let share = f64::from(*percent) / 100.0;
                drop(seat);
                self.reckon(whose, move || {
                    let names = units.as_ref().map(|names| names.each_ref().map(String::as_str));
                    let found = odds::scales(&rules, &field, names, &scales, share)?;
                    Ok(Shown::Scales(Box::new(found)))
                })
                .await?
            }
            Look::Match { unit, class, grade, spears, frontage } => {
                let (rules, field) = (Arc::clone(&loaded.rules), battle.field.clone());
                let ask = Muster {
                    grade: grade.clone(),
                    spears: *spears,
                    frontage: *frontage,
                    ..Muster::new(format!("the {class}"), "", class, field.scale.men())
                };
                let met = gate::unit_called(&field, unit)?;
                drop(seat);
                self.reckon(whose, move || even(&rules, &field, &met, ask)).await?
            }
            Look::Battles | Look::Quick(_) => unreachable!("answered above"),
        })
    }

    /// The odds of a quick ruling, under the rules of the battle here or those that ship.
    async fn quick_odds(
        &self,
        place: &Place,
        ask: QuickAsk,
        whose: Whose,
    ) -> Result<Shown, Refusal> {
        let seat = self.seats.of(place);
        let mut seat = seat.lock().await;
        let rules = match self.refresh(place, &mut seat).await {
            Ok(loaded) => Arc::clone(&loaded.rules),
            Err(Refusal::Mistake(Mistake::NoBattle)) => self.rules_library.find(None)?,
            Err(refusal) => return Err(refusal),
        };
        drop(seat);
        self.reckon(whose, move || {
            let ask = gate::quick(&rules, &ask)?;
            let (field, contact) = throws::quick_field(Protocol::LATEST, &rules, &ask, 1)?;
            odds_of(&rules, &field, &[contact])
        })
        .await
    }

    /// Works something out on a thread of its own, when it is somebody's turn.
    async fn reckon(
        &self,
        whose: Whose,
        work: impl FnOnce() -> Result<Shown, OddsError> + Send + 'static,
    ) -> Result<Shown, Refusal> {
        let turn = self.long_work(whose).await?;
        let worked = tokio::task::spawn_blocking(move || {
            let worked = work();
            // Whoever waits may have gone away; the processor is taken until here all the same.
            drop(turn);
            worked
        });
        let worked = worked.await;
        worked.map_err(|error| Fault::Stopped(error.to_string()))?.map_err(Refusal::from)
    }

    async fn listed(&self, place: &Place) -> Result<Shown, Refusal> {
        let heads = self.record.battles(Some(place)).await?;
        let entry = |head: crate::record::BattleSummary| BattleEntry {
            id: head.battle,
            name: head.name,
            open: head.open,
            events: head.seq,
        };
        Ok(Shown::Battles(heads.into_iter().map(entry).collect()))
    }

    async fn events(&self, battle: &str, after: u64) -> Result<Vec<Recorded>, Refusal> {
        let mut events: Vec<Recorded> = Vec::new();
        loop {
            let after = events.last().map_or(after, |last| last.event.seq);
            let more = self.record.events_after(battle, after, READING).await?;
            if more.is_empty() {
                return Ok(events);
            }
            events.extend(more);
        }
    }

    async fn roll(&self, battle: &str, roll: u32, last: u32) -> Result<Recorded, Refusal> {
        if roll == 0 || roll > last {
            return Err(Mistake::NoSuchRoll { roll, last }.into());
        }
        let found = self.record.event_of_roll(battle, roll).await?;
        found.ok_or_else(|| Fault::Missing(format!("roll {roll}")).into())
    }
}

/// The two leaders whom a plain contact names, if it names no units.
fn duelists(field: &Field, contacts: &[ContactAsk]) -> Option<[String; 2]> {
    let [only] = contacts else { return None };
    let names = [only.striker.clone(), only.struck.clone()];
    let plain = *only == ContactAsk::new(&names[0], &names[1]);
    plain.then(|| gate::duelists(field, &names).ok()).flatten()
}

fn odds_of(rules: &Rules, field: &Field, contacts: &[ContactAsk]) -> Result<Shown, OddsError> {
    let clashes = match (&field.pending, field.engagements.last()) {
        _ if !contacts.is_empty() => Clash::asked(field, contacts)?,
        // Both sides want to know what they are about to cast for.
        (Some(announced), _) => throws::clashes(field, &announced.request)?,
        (None, Some(_)) => vec![Clash::again(field, None)?],
        (None, None) => return Err(Mistake::NothingToWeigh.into()),
    };
    let odds = clashes.iter().map(|clash| odds::melee(rules, field, clash));
    Ok(Shown::Odds(odds.collect::<Result<_, _>>()?))
}

/// Seeks an even fight for a unit of a class that nobody has mustered.
fn even(rules: &Rules, field: &Field, met: &str, ask: Muster) -> Result<Shown, OddsError> {
    let mut field = field.clone();
    let met = field.unit(met)?.clone();
    let other = field.sides.iter().find(|side| **side != met.side).cloned();
    let side = other.unwrap_or_else(|| "the other side".to_owned());
    // Nobody else is asked about, and a battle that can hold no further unit can still be looked at.
    Arc::make_mut(&mut field.units).retain(|unit| unit.name == met.name);
    let ask = gate::muster(rules, &field, &Muster { side, ..ask })?;
    let unit = muster::described(rules, &field, &ask, 1)?;
    let contact = ContactAsk::new(&unit.name, &met.name);
    let name = unit.name.clone();
    field.enter(unit);
    odds::even(rules, &field, &contact, &name)
        .map(|even| Shown::Even(Box::new(even), met.name.clone()))
}
