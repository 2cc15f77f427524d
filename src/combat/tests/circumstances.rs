//! The circumstances of a contact: which count, which do not and why, and what they move.

use super::*;
use crate::battle::Mistake;
use crate::protocol::{
    Cause, Circumstance, Effect, Facing, Ground, Holder, MoraleCause, Source, Standing, WhyNot,
};

/// The circumstances of both throws of a single contact.
fn circumstances_of(field: &Field, ask: ContactAsk, round: u32) -> [Vec<Circumstance>; 2] {
    let rules = rules();
    let melee = Melee::join(&rules, field, &[ask], round).unwrap();
    melee.contacts[0].attacks.each_ref().map(|attack| attack.circumstances.clone())
}

/// The steps of both throws of a single contact that count, as (cause, by).
fn steps_of(field: &Field, ask: ContactAsk, round: u32) -> [Vec<(Cause, i32)>; 2] {
    circumstances_of(field, ask, round).map(|circumstances| {
        let counting = circumstances.iter().filter(|circumstance| circumstance.counts());
        counting.map(|circumstance| (circumstance.cause.clone(), circumstance.step())).collect()
    })
}

/// What of both throws of a single contact does not count, as (cause, why not).
fn not_counted(field: &Field, ask: ContactAsk, round: u32) -> [Vec<(Cause, WhyNot)>; 2] {
    circumstances_of(field, ask, round).map(|circumstances| {
        circumstances
            .iter()
            .filter_map(|it| it.why_not.clone().map(|why| (it.cause.clone(), why)))
            .collect()
    })
}

fn horse_and_spears(shaken: bool) -> Field {
    let field =
        field(&[("Riders", "Vale", "medium horse", 3), ("Spears", "Grey", "heavy foot", 8)]);
    with(field, "Spears", |unit| {
        unit.long_spears = true;
        if shaken {
            unit.standing = Standing::Shaken;
        }
    })
}

#[test]
fn charge_and_long_spears() {
    let charge = || ContactAsk { charge: true, ..ContactAsk::new("Riders", "Spears") };
    let plain =
        field(&[("Riders", "Vale", "medium horse", 3), ("Spears", "Grey", "heavy foot", 8)]);
    assert_eq!(steps_of(&plain, charge(), 1), [vec![(Cause::Charge, 1)], vec![]]);
    assert_eq!(steps_of(&plain, charge(), 2), [vec![], vec![]], "the first round only");
    assert_eq!(
        steps_of(&horse_and_spears(false), charge(), 1),
        [vec![(Cause::AgainstLongSpears, -2)], vec![(Cause::LongSpears, 1)]],
        "long spears take the charge away"
    );
    assert_eq!(
        steps_of(&horse_and_spears(true), charge(), 1),
        [vec![(Cause::Charge, 1)], vec![(Cause::Shaken, -1)]],
        "shaken spears do not count"
    );
    let flank = ContactAsk { facing: Facing::Flank, ..charge() };
    assert_eq!(
        steps_of(&horse_and_spears(false), flank, 1),
        [vec![(Cause::Charge, 1), (Cause::Flank, 1)], vec![(Cause::StruckFlank, -1)]],
        "spears struck on the flank do not count"
    );
    let spears_first = ContactAsk { facing: Facing::Rear, ..ContactAsk::new("Spears", "Riders") };
    assert_eq!(
        steps_of(&horse_and_spears(false), spears_first, 1),
        [
            vec![(Cause::LongSpears, 1), (Cause::Rear, 2)],
            vec![(Cause::AgainstLongSpears, -2), (Cause::StruckRear, -1)]
        ],
        "the asking unit's own front faces what it strikes"
    );
}

#[test]
fn ground_obstacle_and_shaken() {
    let field = foot(&[("A", "Vale", 4), ("B", "Grey", 4)]);
    let field = with(field, "B", |unit| unit.standing = Standing::Shaken);
    let ask = ContactAsk {
        ground: Some(Ground::Struck),
        obstacle: Some(Holder::Striker),
        ..ContactAsk::new("A", "B")
    };
    assert_eq!(
        steps_of(&field, ask, 1),
        [vec![], vec![(Cause::HigherGround, 1), (Cause::Obstacle, -1), (Cause::Shaken, -1)]]
    );
}

#[test]
fn what_was_expected_and_does_not_count_says_why() {
    let charge = || ContactAsk { charge: true, ..ContactAsk::new("Riders", "Spears") };
    let steady = horse_and_spears(false);
    let lost = |why| (Cause::Charge, why);
    let spears = |why| (Cause::LongSpears, why);
    assert_eq!(not_counted(&steady, charge(), 1), [vec![lost(WhyNot::IntoLongSpears)], vec![]]);
    assert_eq!(not_counted(&steady, charge(), 2), [vec![lost(WhyNot::NotFirstRound)], vec![]]);
    assert_eq!(
        not_counted(&horse_and_spears(true), charge(), 1),
        [vec![], vec![spears(WhyNot::Shaken)]]
    );
    for (facing, why) in
        [(Facing::Flank, WhyNot::TakenOnFlank), (Facing::Rear, WhyNot::TakenFromRear)]
    {
        let ask = ContactAsk { facing, ..charge() };
        assert_eq!(not_counted(&steady, ask, 1), [vec![], vec![spears(why)]]);
    }
    let back = ContactAsk { countercharge: true, ..ContactAsk::new("Spears", "Riders") };
    assert_eq!(not_counted(&steady, back, 1), [vec![], vec![lost(WhyNot::IntoLongSpears)]]);
    let plain = ContactAsk::new("Riders", "Spears");
    assert_eq!(not_counted(&steady, plain, 2), [vec![], vec![]], "nobody charged");
    let foot = field(&[("A", "Vale", "levy", 3), ("Spears", "Grey", "heavy foot", 8)]);
    let foot = with(foot, "Spears", |unit| unit.long_spears = true);
    assert_eq!(not_counted(&foot, ContactAsk::new("A", "Spears"), 1), [vec![], vec![]]);
    let high = |ground| ContactAsk { ground: Some(ground), ..ContactAsk::new("A", "Spears") };
    let both = || vec![(Cause::HigherGround, WhyNot::AskedForBoth)];
    assert_eq!(not_counted(&foot, high(Ground::Both), 1), [both(), both()]);
    assert_eq!(steps_of(&foot, high(Ground::Both), 1), [vec![], vec![]]);
    assert_eq!(not_counted(&foot, high(Ground::Striker), 1), [vec![], vec![]]);
}

#[test]
fn a_circumstance_says_where_it_comes_from_and_what_it_would_do() {
    let ask = ContactAsk { charge: true, ..ContactAsk::new("Riders", "Spears") };
    let [riders, spears] = circumstances_of(&horse_and_spears(false), ask, 1);
    assert_eq!(
        riders,
        [
            Circumstance {
                cause: Cause::Charge,
                source: Source::Options,
                effect: Effect::Step(1),
                why_not: Some(WhyNot::IntoLongSpears),
            },
            Circumstance {
                cause: Cause::AgainstLongSpears,
                source: Source::Target,
                effect: Effect::Step(-2),
                why_not: None,
            },
        ]
    );
    assert_eq!(spears[0].source, Source::Unit);
}

#[test]
fn being_struck_on_flank_and_rear_moves_nerve_once() {
    let field = foot(&[("A", "Vale", 4), ("A2", "Vale", 4), ("B", "Grey", 4)]);
    let asks = [
        ContactAsk { facing: Facing::Flank, ..ContactAsk::new("A", "B") },
        ContactAsk { facing: Facing::Rear, ..ContactAsk::new("A2", "B") },
    ];
    let rules = rules();
    let melee = Melee::join(&rules, &field, &asks, 1).unwrap();
    let nerve: Vec<usize> = melee.combatants.iter().map(|unit| unit.nerve.len()).collect();
    assert_eq!(nerve, [0, 0, 1]);
    let term = &melee.combatants[2].nerve[0];
    assert_eq!(term.cause, MoraleCause::Circumstance(Cause::StruckSideOrRear));
    assert_eq!(term.by, -2);
}

#[test]
fn a_contact_remembers_its_charge_and_its_rounds() {
    let mut field = field(&[("Riders", "Vale", "medium horse", 3), ("B", "Grey", "heavy foot", 6)]);
    let ask = ContactAsk { charge: true, ..ContactAsk::new("Riders", "B") };
    let dice = Laid::new([("Riders>B", &[1; 6][..]), ("B>Riders", &[1; 2])]);
    field.take_melee(&fight(&field, std::slice::from_ref(&ask), dice));
    let held = &field.engagements[0].contacts[0];
    assert_eq!((held.ask.striker.as_str(), held.ask.charge, held.rounds), ("Riders", true, 1));
    let asks = [held.ask_at(field.scale)];
    assert_eq!(steps_of(&field, asks[0].clone(), 2), [vec![], vec![]]);
    assert_eq!(
        not_counted(&field, asks[0].clone(), 2),
        [vec![(Cause::Charge, WhyNot::NotFirstRound)], vec![]]
    );
    let refused = Clash::asked(&field, &[ask]).map(drop).unwrap_err();
    assert_eq!(refused, Mistake::AlreadyMet("Riders".into(), "B".into()));
}
