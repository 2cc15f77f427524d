//! Single combat, with faces laid down by hand.

use super::*;
use crate::protocol::{
    DuelAsk, DuelEnd, DuelRuling, Fate, Leader, MoraleCause, Outcome, Reach, Standing,
};

fn rules() -> Rules {
    let condition = |name: &str, by: i32| {
        format!("[[condition]]\nname = \"{name}\"\non = [\"unit\", \"side\"]\nnerve = {by}\n")
    };
    let duel = "[duel]\nwound = 3\ntwo_wounds = 6\nrounds = 3\nnerve = -1\n";
    let conditions = condition("dismayed", -1) + &condition("heartened", 1);
    Rules::load("duel.toml", &format!("{SIX_SIDED}\n{conditions}\n{duel}")).unwrap()
}

/// Two units, four of six figures left of each, under two leaders.
fn met(ida: Leader, orm: Leader) -> Field {
    let mut field = foot(&[("A", "Vale", 6), ("B", "Grey", 6)]);
    for (name, leader) in [("A", ida), ("B", orm)] {
        field = with(field, name, |unit| {
            unit.leader = Some(leader);
            unit.now.figures = 4;
        });
    }
    field
}

fn ask(to: DuelEnd) -> DuelAsk {
    DuelAsk { leaders: ["Ida".into(), "Orm".into()], to, meet: true }
}

fn fight<'a>(
    field: &Field,
    to: DuelEnd,
    laid: impl IntoIterator<Item = (&'a str, &'a [u32])>,
) -> DuelRuling {
    SingleCombat::of(&rules(), field, &ask(to)).unwrap().fight(&mut Laid::new(laid))
}

fn wounds(ruling: &DuelRuling) -> Vec<[u32; 2]> {
    ruling.rounds.iter().map(|round| round.wounds).collect()
}

/// The rules: less than 3 apart nothing, 3 to 5 one wound, 6 or more two; might counts.
#[test]
fn a_press_ends_as_it_was_agreed() {
    let field = met(
        Leader { might: Some(2), wounds: 4, ..Leader::new("Ida") },
        Leader { wounds: 4, ..Leader::new("Orm") },
    );
    let apart = |ida: &'static [u32], orm: &'static [u32]| [("Ida", ida), ("Orm", orm)];
    // With might 2 and 1: 8 to 7, then 5 to 8.
    let to_wound = [apart(&[3, 3], &[3, 3]), apart(&[1, 2], &[4, 3])].concat();
    let ruling = fight(&field, DuelEnd::Wound, to_wound);
    assert_eq!(wounds(&ruling), [[0, 0], [1, 0]]);
    assert_eq!((ruling.rounds[1].scores, ruling.duelists[0].left), ([5, 8], 3));
    assert_eq!(ruling.duelists[0].fate, Fate::Wounded);
    // 9 to 3 is 6 apart, 8 to 4 is 4, 8 to 7 is 1.
    let rounds =
        [apart(&[4, 3], &[1, 1]), apart(&[3, 3], &[1, 2]), apart(&[3, 3], &[3, 3])].concat();
    let ruling = fight(&field, DuelEnd::Rounds, rounds);
    assert_eq!(wounds(&ruling), [[0, 2], [0, 1], [0, 0]]);
    assert_eq!((ruling.duelists[1].left, ruling.morale), (1, None));
}

/// The rules: when one falls his unit tests at once by grade, quarters lost and −1, and the victor's
/// is heartened until the end of the next turn; if he was general his side is dismayed.
#[test]
fn the_unit_of_the_fallen_tests_and_the_victors_is_heartened() {
    let laid = || [("Ida", &[6, 4][..]), ("Orm", &[1, 2]), ("B", &[3, 3])];
    let orm = Leader { general: true, ..Leader::new("Orm") };
    let field = met(Leader::new("Ida"), orm.clone());
    let ruling = fight(&field, DuelEnd::End, laid());
    assert_eq!(ruling.duelists[1].fate, Fate::Falls);
    let set: Vec<_> =
        ruling.conditions.iter().map(|it| (&*it.name, it.on.clone(), it.until)).collect();
    assert_eq!(
        set,
        [
            ("heartened", Reach::Unit("A".into()), Some(2)),
            ("dismayed", Reach::Side("Grey".into()), Some(2)),
        ]
    );
    let test = ruling.morale.unwrap();
    let terms: Vec<_> = test.nerve.terms.iter().map(|term| (term.cause.clone(), term.by)).collect();
    // Trained, two of six figures lost: 6 + 1 - 1 - 1 = 5 falls back.
    assert_eq!(
        terms,
        [(MoraleCause::Grade, 1), (MoraleCause::Quarters(1), -1), (MoraleCause::Duel, -1)]
    );
    assert_eq!((test.nerve.score, test.outcome), (5, Outcome::FallsBack));
    assert_eq!(test.outcome.standing(Standing::Steady), Standing::Shaken);
    // A spared general is out, and nobody is dismayed.
    let field = met(Leader::new("Ida"), Leader { spared: true, ..orm });
    let ruling = fight(&field, DuelEnd::End, laid());
    assert_eq!((ruling.duelists[1].fate, ruling.conditions.len()), (Fate::Out, 1));
}

/// Two who are never three apart part undecided after a hundred rounds.
#[test]
fn a_press_to_the_end_has_an_end() {
    let laid = (0..200).map(|n| (["Ida", "Orm"][n % 2], &[3, 3][..]));
    let ruling = fight(&met(Leader::new("Ida"), Leader::new("Orm")), DuelEnd::End, laid);
    assert_eq!((ruling.rounds.len(), ruling.morale), (100, None));
}

#[test]
fn who_may_not_fight_is_told_so() {
    let refused = |rules: &Rules, field: &Field, ask: &DuelAsk| {
        SingleCombat::of(rules, field, ask).err().unwrap().to_string()
    };
    let field = met(Leader::new("Ida"), Leader::new("Orm"));
    let plain = DuelAsk { meet: false, ..ask(DuelEnd::Wound) };
    assert_eq!(
        refused(&super::rules(), &field, &plain),
        "These rules have no table [duel], and so no single combat. Use a rules file that has one, \
         such as open-field."
    );
    assert_eq!(
        refused(&rules(), &field, &plain),
        "Ida and Orm do not lead units in contact with each other. To let them meet all the same: \
         duel LEADER LEADER --meet"
    );
    let field = met(Leader { fought: true, ..Leader::new("Ida") }, Leader::new("Orm"));
    assert_eq!(
        refused(&rules(), &field, &ask(DuelEnd::Wound)),
        "Ida has fought another leader this turn already. Wait for the next turn."
    );
    let alone = DuelAsk { leaders: ["Orm".into(), "Orm".into()], ..ask(DuelEnd::Wound) };
    assert_eq!(
        refused(&rules(), &field, &alone),
        "Orm and Orm are not of two sides. Name a leader of each side."
    );
}
