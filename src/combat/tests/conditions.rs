//! Conditions and steps by hand: what counts, how much, and what does not.

use super::*;
use crate::protocol::{
    Abreast, Cause, Condition, Effects, MoraleCause, Outcome, Reach, ShootAsk, ShotRange, Standing,
    Who, WhyNot,
};

pub(super) fn set(mut field: Field, name: &str, on: Reach, effects: Effects) -> Field {
    let by = "person-1".parse::<Who>().unwrap();
    let condition = Condition { name: name.into(), on, effects, until: None, reason: None, by };
    Arc::make_mut(&mut field.conditions).push(condition);
    field
}

fn on(unit: &str) -> Reach {
    Reach::Unit(unit.into())
}

fn steps(field: &Field, ask: ContactAsk) -> [Vec<(Cause, i32)>; 2] {
    let rules = rules();
    let melee = Melee::join(&rules, field, &[ask], 1).unwrap();
    melee.contacts[0]
        .attacks
        .each_ref()
        .map(|attack| attack.circumstances.iter().map(|it| (it.cause.clone(), it.step())).collect())
}

fn bows_at_b() -> ShootAsk {
    ShootAsk {
        shooters: vec!["Bows".into()],
        target: "B".into(),
        range: ShotRange::Short,
        cover: None,
        moved: false,
    }
}

fn named(name: &str) -> Cause {
    Cause::Condition(name.into())
}

#[test]
fn a_condition_moves_its_units_throws_and_those_at_it() {
    let field = foot(&[("A", "Vale", 6), ("B", "Grey", 6)]);
    let field = set(field, "weary", on("A"), Effects { strike: -1, ..Effects::default() });
    let field = set(field, "reeds", on("B"), Effects { struck: -2, ..Effects::default() });
    let [ours, theirs] = steps(&field, ContactAsk::new("A", "B"));
    assert_eq!(ours, [(named("weary"), -1), (named("reeds"), -2)]);
    assert_eq!(theirs, []);
}

/// Its own, its side's and the battle's: the same name counts once.
#[test]
fn the_same_condition_counts_once_a_unit() {
    let weary = Effects { strike: -1, ..Effects::default() };
    let field = foot(&[("A", "Vale", 6), ("B", "Grey", 6)]);
    let field = set(field, "weary", Reach::Side("Vale".into()), weary);
    let field = set(field, "weary", on("A"), weary);
    let field = set(field, "mist", Reach::Battle, weary);
    let [ours, theirs] = steps(&field, ContactAsk::new("A", "B"));
    assert_eq!(ours, [(named("weary"), -1), (named("mist"), -1)]);
    assert_eq!(theirs, [(named("mist"), -1)]);
}

#[test]
fn steps_by_hand_and_conditions_are_held_to_three_together() {
    let field = foot(&[("A", "Vale", 6), ("B", "Grey", 6)]);
    let field = set(field, "fresh", on("A"), Effects { strike: 2, ..Effects::default() });
    let why = Some("downhill through bracken".to_owned());
    let ask = ContactAsk { ours: 2, theirs: -1, why, ..ContactAsk::new("A", "B") };
    let bracken = Cause::Asked("downhill through bracken".into());
    let [ours, theirs] = steps(&field, ask);
    assert_eq!(ours, [(bracken.clone(), 2), (named("fresh"), 2), (Cause::Held, -1)]);
    assert_eq!(theirs, [(bracken, -1)]);
}

#[test]
fn steps_by_hand_need_a_reason_and_count_once() {
    let field = foot(&[("A", "Vale", 6), ("B", "Grey", 6)]);
    let rules = rules();
    let refused = |ask: ContactAsk| Melee::join(&rules, &field, &[ask], 1).map(drop).unwrap_err();
    let plain = ContactAsk::new("A", "B");
    for ask in [
        ContactAsk { ours: 1, ..plain.clone() },
        ContactAsk { ours: 1, why: Some(String::new()), ..plain.clone() },
        ContactAsk { ours: 4, why: Some("reeds".into()), ..plain.clone() },
        ContactAsk { why: Some("reeds".into()), ..plain.clone() },
    ] {
        assert_eq!(refused(ask), crate::battle::Mistake::BadSteps);
    }
    let ask = ContactAsk { ours: 1, why: Some("reeds".into()), ..plain.clone() };
    let dice = Laid::new([("A>B", &[1; 6][..]), ("B>A", &[1; 6])]);
    let mut after = field.clone();
    after.take_melee(&fight(&field, &[ask], dice));
    assert_eq!(after.engagements[0].contacts[0].ask, plain);
}

#[test]
fn a_charge_that_a_condition_forbids_does_not_count() {
    let field = field(&[("Riders", "Vale", "medium horse", 3), ("B", "Grey", "heavy foot", 6)]);
    let mud = Effects { no_charge: true, ..Effects::default() };
    let field = set(field, "mud", Reach::Battle, mud);
    let rules = rules();
    let charge = ContactAsk { charge: true, ..ContactAsk::new("Riders", "B") };
    let melee = Melee::join(&rules, &field, &[charge], 1).unwrap();
    let [circumstance] = melee.contacts[0].attacks[0].circumstances.as_slice() else {
        panic!("one circumstance")
    };
    assert_eq!(circumstance.cause, Cause::Charge);
    assert_eq!(circumstance.why_not, Some(WhyNot::Condition("mud".into())));
}

/// Five dice more and a leader's, but only four figures fight there.
#[test]
fn dice_go_to_the_oldest_contact_and_never_pass_the_figures_there() {
    let field = foot(&[("A", "Vale", 8), ("B", "Grey", 8), ("C", "Grey", 8)]);
    let field = with(field, "A", |unit| {
        unit.frontage = Some(Abreast::of(8, field_scale()));
        unit.leader = Some("Ida".into());
    });
    let field = set(field, "blessed", on("A"), Effects { dice: 5, ..Effects::default() });
    let rules = rules();
    let asks = [ContactAsk::new("A", "B"), ContactAsk::new("A", "C")];
    let throwing = Melee::join(&rules, &field, &asks, 1).unwrap().throwing_now();
    let ours: Vec<_> = throwing
        .iter()
        .map(|[ours, _]| (ours.fighting, ours.leader_dice, ours.added_dice, ours.dice))
        .collect();
    assert_eq!(ours, [(4, 1, 3, 8), (4, 0, 0, 4)]);
}

#[test]
fn nerve_of_conditions_counts_in_morale_shooting_and_rally() {
    let field = field(&[("Bows", "Vale", "levy", 8), ("B", "Grey", "heavy foot", 6)]);
    let field = with(field, "Bows", |unit| unit.weapon = Some("bows".into()));
    let gloom = Effects { nerve: -2, shoot: 1, shot: 2, ..Effects::default() };
    let field = set(field, "gloom", Reach::Battle, gloom);
    // Power -1 less protection 2, +1 and +2: rung 0, 1 for 1.
    let mut dice = Laid::new([("Bows>B", &[6, 1, 1, 1, 1, 1, 1, 1][..]), ("B", &[3, 3])]);
    let ruling = shoot(&rules(), &field, &bows_at_b(), &mut dice).unwrap();
    let morale = ruling.morale.unwrap();
    let gloom = MoraleCause::Circumstance(named("gloom"));
    assert_eq!(morale.nerve.terms.last().map(|term| (&term.cause, term.by)), Some((&gloom, -2)));
    assert_eq!((morale.nerve.score, morale.outcome), (5, Outcome::FallsBack), "6 + 1 - 2");
    let field = with(field, "B", |unit| unit.standing = Standing::Shaken);
    let ruling = rally(&rules(), &field, "B", &mut Laid::new([("B", &[4, 3][..])])).unwrap();
    assert_eq!(ruling.nerve.score, 6, "7, trained +1, gloom -2");
}

#[test]
fn who_may_not_shoot_is_told_why() {
    let field = field(&[("Bows", "Vale", "levy", 8), ("B", "Grey", "heavy foot", 6)]);
    let wet = Effects { no_shooting: true, ..Effects::default() };
    let field = set(field, "wet strings", on("Bows"), wet);
    let refused = shoot(&rules(), &field, &bows_at_b(), &mut Laid::new([])).unwrap_err();
    assert_eq!(
        refused.to_string(),
        "Bows may not shoot: wet strings. Lift that first, or ask for something else."
    );
}
