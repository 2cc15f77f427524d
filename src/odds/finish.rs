//! The odds of a fight to the finish.

use super::OddsError;
use super::cases::Cases;
use super::grid::{Grid, Wounds, mask_of};
use super::result::FinishOdds;
use super::sample::{SEED, sample, samples};
use super::transitions::Transitions;
use crate::battle::Field;
use crate::combat::{Clash, ContactRound, Melee};
use crate::protocol::{ContactAsk, Leader};
use crate::rules::Rules;
use std::sync::Arc;

/// The most steps from one state of a fight to another that are summed; a larger fight of one
/// unit against one is sampled.
pub const FINISH_TERMS: u64 = 2_500_000_000;
/// The most numbers of 8 bytes that are kept for the states of a fight; a larger one is sampled.
pub const FINISH_CELLS: u64 = 6_000_000;

/// The odds of fighting the contacts asked on from round `round`, from 1, until no contact is
/// left of which both units stand; charges count in the first round only.
///
/// One unit against one is exact within [`FINISH_TERMS`], [`FINISH_CELLS`] and
/// [`super::ROUND_CASES`]; all else is sampled from the public [`SEED`].
///
/// # Errors
/// The mistakes of asking that melee; [`OddsError::NoEnd`] if the fight can come to a point from
/// which it never ends; [`OddsError::TooLong`] if a sample takes too many rounds.
pub fn finish(
    rules: &Rules,
    field: &Field,
    asks: &[ContactAsk],
    round: u32,
) -> Result<FinishOdds, OddsError> {
    finish_of(rules, field, &Clash::new(asks, round))
}

/// The odds of fighting a melee on to the finish; see [`finish`].
///
/// # Errors
/// As those of [`finish`].
pub fn finish_of(rules: &Rules, field: &Field, clash: &Clash) -> Result<FinishOdds, OddsError> {
    if let Some(odds) = exact(rules, field, clash)? {
        return Ok(odds);
    }
    let melee = Melee::of(rules, field, clash)?;
    sample(rules, field, clash, samples(&melee), SEED)
}

/// The exact odds; none if the fight is not of one unit against one, or too large.
pub(super) fn exact(
    rules: &Rules,
    field: &Field,
    clash: &Clash,
) -> Result<Option<FinishOdds>, OddsError> {
    exact_within(rules, field, clash, u64::MAX)
}

/// The same; none, too, if it would take more than so much work.
pub(super) fn exact_within(
    rules: &Rules,
    field: &Field,
    clash: &Clash,
    most: u64,
) -> Result<Option<FinishOdds>, OddsError> {
    with_passes(rules, field, clash, |fight, passes| match passes {
        Some((cases, passes)) if work(passes) <= most => {
            let mut grid = Grid::new(fight.first, fight.wounds);
            grid.begin(fight.first, cases);
            for (wounds, transitions) in passes {
                grid.follow(wounds, transitions)?;
            }
            Ok(Some(grid.odds(fight.first)))
        }
        _ => Ok(None),
    })
}

/// How much work the exact odds of a fight take at most, found out without doing it: a step from
/// one state to another counts 1, and the tests of one state [`TESTS`]. None if they would have to
/// be sampled.
///
/// # Errors
/// The mistakes of asking that melee.
pub(super) fn foreseen(
    rules: &Rules,
    field: &Field,
    clash: &Clash,
) -> Result<Option<u64>, OddsError> {
    with_passes(rules, field, clash, |_, passes| Ok(passes.map(|(_, passes)| work(passes))))
}

/// Steps that take as long as the tests of one state in one kind of arrival, as measured.
pub(super) const TESTS: u64 = 100;

/// The work of all passes over the states of a fight.
fn work(passes: &[Pass<'_>]) -> u64 {
    let tests = passes.iter().map(|(_, pass)| TESTS * pass.cells()).sum::<u64>();
    terms(passes) + tests
}

/// The steps of all passes.
fn terms(passes: &[Pass<'_>]) -> u64 {
    passes.iter().map(|(wounds, pass)| wounds.len() as u64 * pass.terms()).sum()
}

/// A pass over all states for several pairs of wounds left, with the same leaders standing, and the
/// ways between the states.
type Pass<'t> = (Vec<Wounds>, &'t Transitions<'t>);

/// The passes, in an order in which none leads to one before it; those of the same leaders together
/// as far as [`FINISH_CELLS`] lets them.
fn passes<'t>(wounds: Wounds, ways: &'t [Option<Transitions<'t>>]) -> Option<Vec<Pass<'t>>> {
    let (mut passes, mut kept) = (Vec::new(), 0);
    for (mask, transitions) in ways.iter().enumerate().rev() {
        let Some(transitions) = transitions else { continue };
        let left = |place: usize| {
            let stands = mask & (1 << place) != 0;
            if stands { 1..=wounds[place] } else { 0..=0 }
        };
        let all: Vec<Wounds> =
            left(0).rev().flat_map(|one| left(1).rev().map(move |other| [one, other])).collect();
        let at_once = FINISH_CELLS / transitions.cells().max(1);
        if at_once == 0 {
            return None;
        }
        kept += all.len() as u64 * transitions.states();
        let at_once = usize::try_from(at_once).unwrap_or(usize::MAX);
        passes.extend(all.chunks(at_once).map(|some| (some.to_vec(), transitions)));
    }
    (kept <= FINISH_CELLS).then_some(passes)
}

/// A fight of one unit against one, as it begins.
struct Fight<'a, 'm> {
    first: &'a Melee<'m>,
    /// The wounds that the leader of each can still take.
    wounds: Wounds,
}

/// What a fight of one unit against one is followed by: the cases of its first round, and a pass
/// for each pair of wounds that may be left. None if the fight is another, or too large.
fn with_passes<T>(
    rules: &Rules,
    field: &Field,
    clash: &Clash,
    then: impl FnOnce(&Fight<'_, '_>, Option<(Cases<'_>, &[Pass<'_>])>) -> Result<T, OddsError>,
) -> Result<T, OddsError> {
    let first = Melee::of(rules, field, clash)?;
    let wounds = [0, 1].map(|place: usize| {
        let leader = first.combatants.get(place).and_then(|them| them.unit.leader.as_ref());
        leader.map_or(0, Leader::left)
    });
    let fight = Fight { first: &first, wounds };
    let cases = if first.combatants.len() == 2 { Cases::new(&first) } else { None };
    let Some(cases) = cases else { return then(&fight, None) };
    let fields = [0, 1, 2, 3].map(|mask| led_by(field, &first, mask));
    let next = clash.next();
    assert!(next.rounds().eq(clash.rounds().map(rest)));
    let mut later = Vec::new();
    for field in &fields {
        later.push(Melee::of(rules, field, &next)?);
    }
    let led = mask_of(wounds);
    let ways: Vec<Option<Transitions>> =
        (0..4).map(|mask| (mask & !led == 0).then(|| Transitions::new(&later[mask]))).collect();
    let passes = passes(wounds, &ways).filter(|passes| terms(passes) <= FINISH_TERMS);
    let Some(passes) = passes else { return then(&fight, None) };
    then(&fight, Some((cases, &passes)))
}

/// The round that stands for all that come after `round`.
const fn rest(round: ContactRound) -> ContactRound {
    match round {
        ContactRound::First | ContactRound::Later => ContactRound::Later,
    }
}

/// The field where, of the two units of `melee`, only those that `mask` names keep their leader; a
/// side whose general fell is dismayed.
fn led_by(field: &Field, melee: &Melee<'_>, mask: usize) -> Field {
    let mut field = field.clone();
    for (place, combatant) in melee.combatants.iter().enumerate() {
        let keeps = mask & (1 << place) != 0;
        if keeps || combatant.unit.leader.is_none() {
            continue;
        }
        if melee.dismays(place)
            && let Some(dismayed) = melee.dismayed(combatant.side)
        {
            field.give(&dismayed);
        }
        for unit in Arc::make_mut(&mut field.units) {
            if unit.name == combatant.unit.name {
                Arc::make_mut(unit).leader = None;
            }
        }
    }
    field
}
