//! Fights to the finish against a plain recursion over rounds, and against samples.

use super::{ask, field, front, near, pair, rules, rules_with, strength, unit, worth};
use crate::battle::Field;
use crate::combat::Melee;
use crate::odds::ROUNDS_A_FIGHT;
use crate::odds::sample::count_rounds;
use crate::odds::{FinishOdds, Kind, OddsError, Outcomes, finish, joint, round, sample_finish};
use crate::protocol::{Condition, ContactAsk, Facing, Leader, Reach, Standing, Unit, Who};
use crate::rules::{Rules, SIX_SIDED};
use std::collections::BTreeMap;
use std::sync::Arc;

/// What a fight is expected to come to, from some state on: the first alone stands, the second
/// alone, neither; rounds; figures that each will lose; leaders that each will lose.
type Worth = [f64; 8];
/// Figures left of both, wounds that the leader of each can still take, and whether this is the
/// first round.
type State = ([u32; 2], [u32; 2], bool);

/// A fight worked out state by state from the joint distribution of a single round, each state
/// set up as a field of its own.
pub(super) struct Recursion<'a> {
    rules: &'a Rules,
    units: [Unit; 2],
    ask: ContactAsk,
    known: BTreeMap<State, Option<Worth>>,
}

impl<'a> Recursion<'a> {
    pub fn new(rules: &'a Rules, units: &[Unit], ask: &ContactAsk) -> Self {
        let units = units.to_vec().try_into().unwrap();
        Self { rules, units, ask: ask.clone(), known: BTreeMap::new() }
    }

    /// What the fight is expected to come to; none if it can reach a state that it never leaves.
    pub fn fight(&mut self) -> Option<Worth> {
        let state = (
            self.units.each_ref().map(|unit| unit.now.figures),
            self.units.each_ref().map(|unit| unit.leader.as_ref().map_or(0, Leader::left)),
            true,
        );
        self.worth(state)
    }

    /// The same numbers as the odds have found them.
    pub fn found(odds: &FinishOdds) -> Worth {
        let falls = |place: usize| odds.units[place].leader.as_ref().map_or(0.0, |l| l.falls);
        let [first, second, neither, rounds, ours, theirs] = worth(odds);
        [first, second, neither, rounds, ours, theirs, falls(0), falls(1)]
    }

    fn worth(&mut self, state: State) -> Option<Worth> {
        if let Some(worth) = self.known.get(&state) {
            return *worth;
        }
        let worth = self.work_out(state);
        self.known.insert(state, worth);
        worth
    }

    fn work_out(&mut self, state: State) -> Option<Worth> {
        let (left, led, first) = state;
        let (mut units, mut dismayed) = (self.units.clone(), Vec::new());
        for place in [0, 1] {
            units[place].now = strength(left[place]);
            if led[place] == 0 {
                let leader = units[place].leader.take();
                if leader.is_some_and(|leader| leader.general && !leader.spared) {
                    dismayed.push(units[place].side.clone());
                }
            } else if let Some(leader) = &mut units[place].leader {
                leader.taken = leader.wounds - led[place];
            }
        }
        let (charge, countercharge) = (self.ask.charge && first, self.ask.countercharge && first);
        let ask = ContactAsk { charge, countercharge, ..self.ask.clone() };
        let number = if first { 1 } else { 2 };
        let mut worth = [0.0; 8];
        // The chance of leaving this state in one round.
        let mut leaves = 0.0;
        worth[3] = 1.0;
        let mut field = field(units);
        for side in dismayed {
            let known = self.rules.condition("dismayed");
            Arc::make_mut(&mut field.conditions).extend(known.map(|known| Condition {
                name: known.name.clone(),
                on: Reach::Side(side),
                effects: known.effects,
                until: None,
                reason: None,
                by: Who::Table,
            }));
        }
        let cases = joint(self.rules, &field, &[ask], number);
        for case in cases.unwrap().unwrap() {
            let lost = [case.units[0].lost, case.units[1].lost];
            // Of each leader: 0 nothing, 1 a wound, 2 he is gone.
            for fates in (0..9).map(|n| [n / 3, n % 3]) {
                let mut chance = case.chance;
                let (mut stand, mut gone) = ([0.0; 2], [0.0; 2]);
                for place in [0, 1] {
                    let unit = case.units[place];
                    let (wounded, falls) = (unit.leader_wounded, unit.leader_falls);
                    let (of_fate, outcomes) = match fates[place] {
                        0 => (1.0 - wounded - falls, unit.leader_kept),
                        1 => (wounded, unit.leader_kept),
                        _ => (falls, unit.leader_fallen),
                    };
                    chance *= of_fate;
                    stand[place] = outcomes.stands;
                    gone[place] = outcomes.falls_back + outcomes.routs + outcomes.destroyed;
                }
                if chance == 0.0 {
                    continue;
                }
                worth[0] += chance * stand[0] * gone[1];
                worth[1] += chance * gone[0] * stand[1];
                worth[2] += chance * gone[0] * gone[1];
                leaves += chance * (gone[0] + stand[0] * gone[1]);
                for place in [0, 1] {
                    worth[4 + place] += chance * f64::from(lost[place]);
                    worth[6 + place] += chance * f64::from(u8::from(fates[place] == 2));
                }
                let goes_on = chance * stand[0] * stand[1];
                let next = [left[0] - lost[0], left[1] - lost[1]];
                let leaders = [0, 1].map(|place: usize| match fates[place] {
                    2 => 0,
                    wounds => led[place] - wounds,
                });
                let next = (next, leaders, false);
                if next != state && goes_on > 0.0 {
                    leaves += goes_on;
                    let later = self.worth(next)?;
                    for (worth, later) in worth.iter_mut().zip(later) {
                        *worth += goes_on * later;
                    }
                }
            }
        }
        (leaves > 0.0).then(|| worth.map(|part| part / leaves))
    }
}

#[track_caller]
fn check(rules: &Rules, units: &[Unit; 2], ask: &ContactAsk) {
    let odds = finish(rules, &field(units.clone()), std::slice::from_ref(ask), 1).unwrap();
    assert_eq!(odds.kind, Kind::Exact);
    let expected = Recursion::new(rules, units, ask).fight().unwrap();
    for (found, expected) in Recursion::found(&odds).into_iter().zip(expected) {
        near(found, expected, 1e-12);
    }
}

fn led(mut units: [Unit; 2]) -> [Unit; 2] {
    units[0].leader = Some("Ida".into());
    units[1].leader = Some("Orm".into());
    units
}

#[test]
fn the_grid_agrees_with_a_plain_recursion() {
    let rules = rules();
    check(&rules, &pair(("heavy foot", 6), ("light foot", 7)), &ask());
    check(&rules, &led(pair(("heavy foot", 5), ("heavy foot", 6))), &ask());
    let mut worn = led(pair(("heavy horse", 3), ("levy", 8)));
    worn[0].muster = strength(5);
    worn[1].muster = strength(11);
    worn[1].standing = Standing::Shaken;
    let charge = ContactAsk { charge: true, facing: Facing::Flank, ..ask() };
    check(&rules, &worn, &charge);
    let mut hardy = led(pair(("heavy foot", 5), ("light foot", 6)));
    for (unit, (might, wounds)) in hardy.iter_mut().zip([(2, 3), (4, 2)]) {
        let leader = unit.leader.as_mut().unwrap();
        (leader.might, leader.wounds) = (Some(might), wounds);
    }
    check(&rules, &hardy, &ask());
    hardy[0].leader.as_mut().unwrap().back = true;
    check(&rules, &hardy, &ask());
    let mut deep = pair(("medium horse", 4), ("heavy foot", 9));
    deep[0].leader = Some("Ida".into());
    deep[1].long_spears = true;
    deep[1].frontage = Some(front(2));
    let charge = ContactAsk { charge: true, ..ask() };
    check(&rules, &deep, &charge);
}

#[test]
fn a_later_round_has_no_charge() {
    let rules = rules();
    let field = field(pair(("medium horse", 4), ("heavy foot", 9)));
    let charge = ContactAsk { charge: true, ..ask() };
    let charged = finish(&rules, &field, std::slice::from_ref(&charge), 1).unwrap();
    let later = finish(&rules, &field, &[charge], 2).unwrap();
    let plain = finish(&rules, &field, &[ask()], 1).unwrap();
    assert_eq!(later, plain);
    assert!(charged.standing.first_alone > plain.standing.first_alone);
}

/// The last figure takes whatever men remain: 65 men at 1:20 are 45, 25 and 0 after each loss.
#[test]
fn losses_in_men_follow_the_scale() {
    let mut units = pair(("heavy foot", 3), ("heavy foot", 3));
    units[1].now.men = 65;
    let odds = finish(&rules(), &field(units), &[ask()], 1).unwrap();
    let losses = &odds.units[1].losses;
    let men = [0.0, 20.0, 40.0, 65.0];
    let expected = men.iter().zip(&losses.chances).map(|(men, chance)| men * chance);
    near(losses.expected_men, expected.sum(), 1e-12);
}

/// Two shaken figures throw 1 die for 2 figures each: none, where the rules have no least number.
#[test]
fn a_fight_without_end_is_refused() {
    let rules = rules_with(&[("minimum = 1 ", "minimum = 0 ")]);
    let mut units = pair(("heavy foot", 1), ("heavy foot", 1));
    for unit in &mut units {
        unit.standing = Standing::Shaken;
    }
    let error = finish(&rules, &field(units.clone()), &[ask()], 1).unwrap_err();
    assert_eq!(
        error.to_string(),
        "This fight has no end: at 1 against 1 figures, nobody can be killed and no nerve can \
         break. Ask for the odds of one round instead."
    );
    let sampled = sample_finish(&rules, &field(units), &[ask()], 1, 1, 1).unwrap_err();
    let rounds = ROUNDS_A_FIGHT;
    assert_eq!(sampled, OddsError::TooLong { rounds });
}

/// Within five standard errors: for each number, less than one chance in a million to fail.
#[test]
fn samples_agree_with_the_exact_odds() {
    const SAMPLES: u32 = 1_000;
    let rules = rules();
    let units = led(pair(("heavy foot", 5), ("light foot", 9)));
    let field = field(units);
    let exact = finish(&rules, &field, &[ask()], 1).unwrap();
    let sampled = sample_finish(&rules, &field, &[ask()], 1, SAMPLES, 7).unwrap();
    let Kind::Simulated { samples, seed, standard_error } = sampled.kind else {
        panic!("{:?}", sampled.kind)
    };
    assert_eq!((samples, seed), (SAMPLES, 7));
    near(standard_error, 0.5 / f64::from(SAMPLES).sqrt(), 1e-15);
    let chances = |odds: &FinishOdds| {
        let mut chances = vec![odds.standing.first_alone, odds.standing.second_alone];
        for unit in &odds.units {
            let Outcomes { stands, falls_back, routs, destroyed } = unit.outcomes;
            let falls = unit.leader.as_ref().unwrap().falls;
            chances.extend([stands, falls_back, routs, destroyed, falls]);
        }
        chances
    };
    for (found, expected) in chances(&sampled).into_iter().zip(chances(&exact)) {
        near(found, expected, 5.0 * sampled.kind.standard_error(expected));
    }
    for (found, expected) in sampled.units.iter().zip(&exact.units) {
        let error = expected.losses.deviation / f64::from(SAMPLES).sqrt();
        near(found.losses.expected, expected.losses.expected, 5.0 * error);
    }
    let error = sampled.rounds.standard_error;
    near(sampled.rounds.expected, exact.rounds.expected, 5.0 * error);
}

#[test]
fn many_against_many_is_sampled_and_says_so() {
    let rules = rules();
    let units = [
        unit("Ford Wardens", "Vale", "heavy foot", 4),
        unit("Vale Riders", "Vale", "medium horse", 2),
        unit("Banner Spears", "Grey Banner", "heavy foot", 4),
        unit("Grey Levies", "Grey Banner", "levy", 6),
    ];
    let field = field(units);
    let asks = [ask(), ContactAsk::new("Vale Riders", "Grey Levies")];
    let one = round(&rules, &field, &asks, 1).unwrap();
    assert_eq!(one.kind, Kind::Exact);
    let melee = Melee::join(&rules, &field, &asks, 1).unwrap();
    let sampled = count_rounds(&melee, 1_000, 3);
    for (found, expected) in sampled.contacts.iter().zip(&one.contacts) {
        near(found.stands, expected.stands, 5.0 * sampled.kind.standard_error(expected.stands));
    }
    let all = sample_finish(&rules, &field, &asks, 1, 300, 3).unwrap();
    let again = sample_finish(&rules, &field, &asks, 1, 300, 3).unwrap();
    assert_eq!(all, again, "the same seed gives the same numbers");
    let sides = all.standing;
    let sum = sides.first_alone + sides.second_alone + sides.both + sides.neither;
    near(sum, 1.0, 1e-12);
    assert!(sides.both > 0.0, "each side can win one of two contacts");
}

/// A general who falls takes heart from units that he does not lead, so that they do not fare
/// independently of each other: such a round is sampled.
#[test]
fn a_general_beside_another_unit_is_sampled() {
    let dismayed = "[[condition]]\nname = \"dismayed\"\non = [\"side\"]\nnerve = -1\n";
    let known = Rules::load("known.toml", &format!("{SIX_SIDED}\n{dismayed}")).unwrap();
    let mut wardens = unit("Ford Wardens", "Vale", "heavy foot", 4);
    wardens.leader = Some(Leader { general: true, ..Leader::new("Ida") });
    let riders = unit("Vale Riders", "Vale", "medium horse", 2);
    let spears = unit("Banner Spears", "Grey Banner", "heavy foot", 4);
    let field = field([wardens, riders, spears]);
    let both = [ask(), ContactAsk::new("Vale Riders", "Banner Spears")];
    let kind = |rules: &Rules, asks: &[ContactAsk]| round(rules, &field, asks, 1).unwrap().kind;
    assert!(matches!(kind(&known, &both), Kind::Simulated { .. }));
    assert_eq!(kind(&known, &both[..1]), Kind::Exact);
    assert_eq!(kind(&rules(), &both), Kind::Exact, "these rules know no such condition");
}

#[test]
fn odds_survive_being_written_down() {
    let field: Field = field(led(pair(("heavy foot", 3), ("light foot", 3))));
    let odds = finish(&rules(), &field, &[ask()], 1).unwrap();
    let text = serde_json::to_string(&odds).unwrap();
    assert!(text.starts_with(r#"{"kind":"exact","sides":["Vale","Grey Banner"]"#), "{text}");
    // Written with every digit; the reader of JSON may round the last one.
    let (_, number) = text.split_once(r#""first_alone":"#).unwrap();
    let (number, _) = number.split_once(',').unwrap();
    near(number.parse().unwrap(), odds.standing.first_alone, 0.0);
    let read: FinishOdds = serde_json::from_str(&text).unwrap();
    assert_eq!(read.kind, odds.kind);
    near(read.standing.neither, odds.standing.neither, 1e-15);
}
