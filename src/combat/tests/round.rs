//! One round of a melee: who fights, kills, leaders and nerve; and what cannot meet.

use super::*;
use crate::battle::Mistake;
use crate::protocol::Abreast;
use crate::protocol::{Cause, Fate, Leader, MoraleCause, Outcome, Reach, Standing};

#[test]
fn a_plain_round_takes_losses_and_tests_nerve_in_the_stated_order() {
    let field = field(&[("Wardens", "Vale", "heavy foot", 6), ("Levies", "Grey", "light foot", 5)]);
    let ruling = fight(
        &field,
        &[ContactAsk::new("Wardens", "Levies")],
        Laid::new([
            ("Wardens>Levies", &[6, 5, 4, 1, 2, 5][..]),
            ("Levies>Wardens", &[6, 6]),
            ("Wardens", &[3, 3]),
            ("Levies", &[2, 3]),
        ]),
    );
    let [ours, theirs] = &ruling.contacts[0].strikes;
    assert_eq!((ours.fighting, ours.dice, ours.kills), (6, 6, 3));
    assert_eq!((theirs.fighting, theirs.dice, theirs.kills), (5, 2, 2), "5 at 1 for 2 are 2 dice");
    // Wardens: 4 of 6 left, one quarter lost; trained +1, -1 = 6: stands.
    assert_eq!((ruling.morale[0].nerve.score, ruling.morale[0].outcome), (6, Outcome::Stands));
    // Levies: 2 of 5 left, two quarters; lost 3 killed 2; 4 against 2 is 2:1. 5 + 1 - 2 - 1 - 2 = 1.
    let terms: Vec<_> =
        ruling.morale[1].nerve.terms.iter().map(|term| (term.cause.clone(), term.by)).collect();
    assert_eq!(
        terms,
        [
            (MoraleCause::Grade, 1),
            (MoraleCause::Quarters(2), -2),
            (MoraleCause::LostMore, -1),
            (MoraleCause::Outnumbered { theirs: 2, ours: 1 }, -2),
        ]
    );
    assert_eq!((ruling.morale[1].nerve.score, ruling.morale[1].outcome), (1, Outcome::Routs));
    assert_eq!(ruling.units[1].after.men, 40);
    assert_eq!(ruling.units[1].standing, Standing::Routing);
    assert!(!ruling.contacts[0].stands);
}

#[test]
fn a_unit_without_losses_tests_only_if_its_side_is_outnumbered() {
    let even = foot(&[("A", "Vale", 4), ("B", "Grey", 4)]);
    let ask = [ContactAsk::new("A", "B")];
    let quiet = fight(&even, &ask, Laid::new([("A>B", &[1; 4][..]), ("B>A", &[2; 4])]));
    assert!(quiet.morale.is_empty() && quiet.contacts[0].stands);
    let uneven = foot(&[("A", "Vale", 4), ("B", "Grey", 6)]);
    let dice = Laid::new([("A>B", &[1; 4][..]), ("B>A", &[2; 6]), ("A", &[2, 3])]);
    let ruling = fight(&uneven, &ask, dice);
    assert_eq!(ruling.presence, [4, 6]);
    assert_eq!((ruling.morale[0].nerve.score, ruling.morale[0].outcome), (5, Outcome::FallsBack));
}

#[test]
fn a_shaken_unit_that_would_fall_back_routs() {
    let field = foot(&[("A", "Vale", 4), ("B", "Grey", 6)]);
    let field = with(field, "A", |unit| unit.standing = Standing::Shaken);
    let dice = Laid::new([("A>B", &[1; 2][..]), ("B>A", &[2; 6]), ("A", &[2, 3])]);
    let ruling = fight(&field, &[ContactAsk::new("A", "B")], dice);
    assert_eq!(ruling.morale[0].outcome, Outcome::Routs);
}

#[test]
fn kills_past_the_last_figure_are_excess_and_count_for_nothing() {
    let field = foot(&[("A", "Vale", 4), ("B", "Grey", 2)]);
    let dice = Laid::new([("A>B", &[6, 6, 6, 1][..]), ("B>A", &[6, 6]), ("A", &[6, 6])]);
    let ruling = fight(&field, &[ContactAsk::new("A", "B")], dice);
    let b = &ruling.units[1];
    assert_eq!((b.lost, b.excess, b.outcome), (2, 1, Outcome::Destroyed));
    assert_eq!(ruling.units[0].lost, 2, "the destroyed still throw: all throws are simultaneous");
    assert_eq!(ruling.units[0].killed, 2);
    assert_eq!(
        ruling.morale[0].nerve.terms.len(),
        2,
        "lost 2 and killed 2: no term for losing more"
    );
}

#[test]
fn leaders_are_tested_after_the_throws_and_before_morale() {
    let field = foot(&[("A", "Vale", 4), ("B", "Grey", 4)]);
    let field = with(field, "A", |unit| unit.leader = Some("Ida".into()));
    let field = with(field, "B", |unit| unit.leader = Some("Orm".into()));
    let ruling = fight(
        &field,
        &[ContactAsk::new("A", "B")],
        Laid::new([
            ("A>B", &[6, 6, 1, 1, 1][..]),
            ("B>A", &[6, 1, 1, 1, 1]),
            ("Ida", &[5, 6]),
            ("Orm", &[5, 6]),
            ("A", &[1, 5]),
            ("B", &[4, 5]),
        ]),
    );
    assert_eq!(
        ruling.leaders.iter().map(|t| (t.falls_on, t.fate)).collect::<Vec<_>>(),
        [(12, Fate::Unhurt), (11, Fate::Falls)]
    );
    let b = &ruling.morale[1];
    assert!(
        b.nerve.terms.iter().all(|term| term.cause != MoraleCause::Leader),
        "the fallen add nothing"
    );
    // 9 + 1 trained - 2 quarters - 1 lost more - 1 for 3:2 = 6.
    assert_eq!((b.nerve.score, b.outcome), (6, Outcome::Stands));
}

/// The rules, section 14: each hit is a wound; a spared leader is out instead of falling; who holds
/// back adds no dice, and is at risk only when his unit is destroyed, then for his life.
#[test]
fn leaders_take_wounds_hold_back_and_are_spared() {
    let field = foot(&[("A", "Vale", 4), ("B", "Grey", 4), ("C", "Vale", 4), ("D", "Grey", 1)]);
    let led = |field, unit, leader: Leader| with(field, unit, |unit| unit.leader = Some(leader));
    let field = led(field, "A", Leader { might: Some(2), wounds: 2, ..Leader::new("Ida") });
    let field = led(field, "B", Leader { spared: true, ..Leader::new("Orm") });
    let field = led(field, "C", Leader { back: true, wounds: 3, ..Leader::new("Bram") });
    let field = led(field, "D", Leader { back: true, wounds: 3, ..Leader::new("Sela") });
    let ruling = fight(
        &field,
        &[ContactAsk::new("A", "B"), ContactAsk::new("C", "D")],
        Laid::new([
            ("A>B", &[6, 1, 1, 1, 1, 1][..]),
            ("B>A", &[6, 1, 1, 1, 1]),
            ("C>D", &[6, 1, 1, 1]),
            ("D>C", &[6]),
            ("Ida", &[6, 6]),
            ("Orm", &[6, 6]),
            ("Sela", &[6, 2]),
            ("A", &[6, 6]),
            ("C", &[6, 6]),
            ("B", &[6, 6]),
        ]),
    );
    let fates: Vec<_> = ruling
        .leaders
        .iter()
        .map(|test| (&*test.leader, test.falls_on, test.fate, test.left))
        .collect();
    assert_eq!(
        fates,
        [("Ida", 12, Fate::Wounded, 1), ("Orm", 12, Fate::Out, 0), ("Sela", 8, Fate::Falls, 0),]
    );
    let dice: Vec<u32> = ruling
        .contacts
        .iter()
        .flat_map(|it| it.strikes.each_ref().map(|it| it.leader_dice))
        .collect();
    assert_eq!(dice, [2, 1, 0, 0]);
    let led: Vec<bool> = ruling
        .morale
        .iter()
        .map(|test| test.nerve.terms.iter().any(|term| term.cause == MoraleCause::Leader))
        .collect();
    assert_eq!(led, [true, true, false], "A and C are led, whose leader holds back; B no more");
}

/// The rules, section 14: when the general falls, every unit of his side is dismayed at once, until
/// the end of the next turn; when a spared one is out, nobody is.
#[test]
fn the_fall_of_a_general_dismays_his_side() {
    let text = format!(
        "{SIX_SIDED}\n[[condition]]\nname = \"dismayed\"\non = [\"unit\", \"side\"]\nnerve = -1\n"
    );
    let rules = Rules::load("six-sided.toml", &text).unwrap();
    for spared in [false, true] {
        let field = foot(&[("A", "Vale", 4), ("B", "Vale", 4), ("C", "Grey", 8)]);
        let ida = Leader { general: true, spared, ..Leader::new("Ida") };
        let field = with(field, "A", |unit| unit.leader = Some(ida));
        let asks = [ContactAsk::new("A", "C"), ContactAsk::new("B", "C")];
        let mut laid = Laid::new([
            ("A>C", &[1, 1, 1, 1, 1][..]),
            ("C>A", &[6, 1, 1, 1]),
            ("B>C", &[1, 1, 1, 1]),
            ("C>B", &[6, 1, 1, 1]),
            ("Ida", &[6, 6]),
            ("A", &[6, 6]),
            ("B", &[6, 6]),
        ]);
        let ruling = Melee::join(&rules, &field, &asks, 1).unwrap().fight(&mut laid);
        let dismayed = MoraleCause::Circumstance(Cause::Condition("dismayed".into()));
        let terms: Vec<i32> = ruling
            .morale
            .iter()
            .map(|test| test.nerve.terms.iter().filter(|term| term.cause == dismayed))
            .map(|terms| terms.map(|term| term.by).sum())
            .collect();
        let set: Vec<_> = ruling.conditions.iter().map(|it| (it.on.clone(), it.until)).collect();
        if spared {
            assert_eq!((terms, set), (vec![0, 0], vec![]));
        } else {
            assert_eq!((terms, set), (vec![-1, -1], vec![(Reach::Side("Vale".into()), Some(2))]));
        }
        let mut after = field.clone();
        after.take_melee(&ruling);
        assert_eq!(after.conditions.len(), usize::from(!spared));
        assert_eq!(after.free_leaders.len(), usize::from(spared), "he is out, and kept");
    }
}

#[test]
fn frontage_spears_and_shared_contacts_say_who_fights() {
    let field = foot(&[("A", "Vale", 11), ("B", "Vale", 2), ("C", "Grey", 9), ("D", "Grey", 3)]);
    let field = with(field, "A", |unit| {
        unit.frontage = Some(Abreast::of(4, field_scale()));
        unit.long_spears = true;
    });
    let field = with(field, "C", |unit| {
        unit.frontage = Some(Abreast::of(5, field_scale()));
        unit.leader = Some("Orm".into());
    });
    let asks = [ContactAsk::new("A", "D"), ContactAsk::new("A", "C"), ContactAsk::new("B", "C")];
    let rules = rules();
    let melee = Melee::join(&rules, &field, &asks, 1).unwrap();
    let throwing = melee.throwing_now();
    let fighting: Vec<[u32; 2]> =
        throwing.iter().map(|throws| throws.map(|throw| throw.fighting)).collect();
    // A's two ranks are 8, shared between 3 and 5: 3 and 5. C's 5 are shared between 8 and 2: 4
    // and 1. All 5 files of C's front are taken up, by 3 files of A and then both of B; of A's 4,
    // D takes 3, so that one figure of C's reaches it.
    assert_eq!(fighting, [[3, 3], [5, 1], [2, 1]]);
    let led: Vec<u32> = throwing.iter().map(|throws| throws[1].leader_dice).collect();
    assert_eq!(led, [0, 1, 0], "a leader's dice go where most of his figures fight");
}

#[test]
fn what_cannot_meet_is_refused() {
    let base = foot(&[("A", "Vale", 4), ("A2", "Vale", 4), ("B", "Grey", 4)]);
    let rules = rules();
    let refused = |field: &Field, asks: &[ContactAsk]| {
        Melee::join(&rules, field, asks, 1).map(drop).unwrap_err()
    };
    let ask = ContactAsk::new;
    assert_eq!(refused(&base, &[]), Mistake::ContactCount);
    assert_eq!(refused(&base, &[ask("A", "A2")]), Mistake::SameSide("A".into(), "A2".into()));
    assert_eq!(
        refused(&base, &[ask("A", "B"), ask("A", "B")]),
        Mistake::ContactTwice("A".into(), "B".into())
    );
    assert!(matches!(refused(&base, &[ask("A", "B"), ask("B", "A2")]), Mistake::MixedStrikers(_)));
    assert!(matches!(
        refused(&base, &[ContactAsk { charge: true, ..ask("A", "B") }]),
        Mistake::FootCharge { .. }
    ));
    let routing = with(base, "B", |unit| unit.standing = Standing::Routing);
    assert_eq!(
        refused(&routing, &[ask("A", "B")]).to_string(),
        "B cannot fight: it is routing. Rally it first: rally UNIT"
    );
}
