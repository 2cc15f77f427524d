//! The strength that makes an even fight.

use super::result::FinishOdds;
use super::{OddsError, finish};
use crate::battle::Field;
use crate::combat::{Clash, Melee};
use crate::protocol::{ContactAsk, Strength};
use crate::rules::Rules;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::sync::Arc;

/// The most figures that are tried.
pub const MOST_FIGURES: u32 = 1_000;

/// The most work that the odds at one strength may take: some thirty strengths are tried.
pub const STRENGTH_WORK: u64 = 1_000_000_000;

/// How far around the place where the odds turn every strength is tried: dice are rounded down
/// and presence goes by degrees, so the odds need not rise with every figure.
const AROUND: u32 = 4;

/// The strength of a unit that comes nearest to an even fight.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Even {
    /// The unit whose strength was sought.
    pub unit: String,
    /// Its strength: so many figures, and the men they stand for at the battle's scale.
    pub strength: Strength,
    /// The chance that it alone stands at the end, less the chance that the other unit alone does:
    /// 0 for a fight that is even, over 0 where one figure is already too strong.
    pub lead: f64,
    /// The odds of the fight at this strength.
    pub odds: FinishOdds,
}

/// Seeks the number of figures of the unit called `seek`, one of the two units of `ask`, at which
/// a fight to the finish is nearest to even. Its muster strength goes along; all else about both
/// units, its losses so far excepted, stays as it is in the field.
///
/// It doubles the figures until the unit has the better chance, halves its way back to where the
/// odds turn, and then tries every strength around that place. Of two as near, the smaller counts.
/// Only exact odds are compared, so a strength whose odds would have to be sampled is not tried, nor
/// one whose odds would take more than [`STRENGTH_WORK`].
///
/// # Errors
/// The mistakes of asking that melee; [`OddsError::NoEnd`] as for [`super::finish`];
/// [`OddsError::NoEven`] if the unit still has the worse chance with the most figures tried,
/// at most [`MOST_FIGURES`]; [`OddsError::NotInContact`].
pub fn even(rules: &Rules, field: &Field, ask: &ContactAsk, seek: &str) -> Result<Even, OddsError> {
    let asks = std::slice::from_ref(ask);
    let melee = Melee::join(rules, field, asks, 1)?;
    let seek = &field.unit(seek)?.name;
    let place = melee.combatants.iter().position(|combatant| combatant.unit.name == *seek);
    let place = place.ok_or_else(|| OddsError::NotInContact(seek.clone()))?;
    let mut search = Search {
        odds_with: |figures| {
            let field = with_figures(field, seek, figures);
            finish::exact_within(rules, &field, &Clash::new(asks, 1), STRENGTH_WORK)
        },
        place,
        tried: BTreeMap::new(),
    };
    let Some(turn) = search.turn()? else {
        return Err(OddsError::NoEven {
            unit: seek.clone(),
            most: search.tried.keys().next_back().copied().unwrap_or(0),
        });
    };
    for figures in turn.saturating_sub(AROUND).max(1)..=(turn + AROUND).min(MOST_FIGURES) {
        search.lead(figures)?;
    }
    let (figures, (lead, odds)) = search.nearest();
    Ok(Even { unit: seek.clone(), strength: strength(field, figures), lead, odds })
}

fn strength(field: &Field, figures: u32) -> Strength {
    Strength { men: figures * field.scale.men(), figures }
}

fn with_figures(field: &Field, name: &str, figures: u32) -> Field {
    let mut changed = field.clone();
    for unit in Arc::make_mut(&mut changed.units) {
        if unit.name == name {
            let unit = Arc::make_mut(unit);
            unit.now = strength(field, figures);
            if unit.single {
                unit.now.men = 0;
            }
            unit.muster = unit.now;
        }
    }
    changed
}

struct Search<F> {
    odds_with: F,
    /// The place of the unit sought: 0 if its side asks.
    place: usize,
    tried: BTreeMap<u32, (f64, FinishOdds)>,
}

impl<F: Fn(u32) -> Result<Option<FinishOdds>, OddsError>> Search<F> {
    /// The lead of the unit with so many figures; none if it would have to be sampled.
    fn lead(&mut self, figures: u32) -> Result<Option<f64>, OddsError> {
        if let Some((lead, _)) = self.tried.get(&figures) {
            return Ok(Some(*lead));
        }
        let Some(odds) = (self.odds_with)(figures)? else {
            return Ok(None);
        };
        let lead = odds.standing.first_alone - odds.standing.second_alone;
        let lead = if self.place == 0 { lead } else { -lead };
        self.tried.insert(figures, (lead, odds));
        Ok(Some(lead))
    }

    /// The fewest figures, as far as the odds rise, with which the unit leads.
    fn turn(&mut self) -> Result<Option<u32>, OddsError> {
        let (mut losing, mut leading) = (0, 1);
        while self.lead(leading)?.is_some_and(|lead| lead < 0.0) {
            if leading == MOST_FIGURES {
                return Ok(None);
            }
            losing = leading;
            leading = (2 * leading).min(MOST_FIGURES);
        }
        while leading - losing > 1 {
            let middle = losing.midpoint(leading);
            if self.lead(middle)?.is_some_and(|lead| lead < 0.0) {
                losing = middle;
            } else {
                leading = middle;
            }
        }
        Ok(self.tried.contains_key(&leading).then_some(leading))
    }

    fn nearest(self) -> (u32, (f64, FinishOdds)) {
        let nearest =
            self.tried.into_iter().min_by(|(_, (a, _)), (_, (b, _))| a.abs().total_cmp(&b.abs()));
        nearest.expect("the turn was tried")
    }
}
