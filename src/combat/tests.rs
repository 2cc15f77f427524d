//! The procedures against worked examples, with faces laid down by hand.

use super::*;
use crate::battle::{Field, Mistake};
use crate::digest::Digest;
use crate::protocol::{
    Body, Cause, Circumstance, ContactAsk, Cover, Effect, Event, Facing, Ground, Holder,
    MeleeRuling, MoraleCause, Muster, Open, Outcome, RallyOutcome, Recorded, Request, Scale,
    ShootAsk, ShotRange, Source, Standing, Unit, WhyNot,
};
use crate::rules::{OPEN_FIELD, Rules};
use std::sync::Arc;

/// Faces laid down by hand, one list a throw, each checked against what is asked for.
struct Laid(Vec<(String, Vec<u32>)>);

impl Laid {
    fn new<'a>(throws: impl IntoIterator<Item = (&'a str, &'a [u32])>) -> Self {
        let mut throws: Vec<_> =
            throws.into_iter().map(|(name, faces)| (name.to_owned(), faces.to_vec())).collect();
        throws.reverse();
        Self(throws)
    }
}

impl Dice for Laid {
    fn throw(&mut self, what: ThrowPurpose<'_>, dice: u32, _sides: u32) -> Vec<u32> {
        let asked = match what {
            ThrowPurpose::Strike { by, at } | ThrowPurpose::Shot { by, at } => format!("{by}>{at}"),
            ThrowPurpose::Leader(name)
            | ThrowPurpose::Morale(name)
            | ThrowPurpose::Rally(name)
            | ThrowPurpose::Other(name) => name.to_owned(),
        };
        let (name, faces) = self.0.pop().unwrap_or_else(|| panic!("nothing laid for {asked}"));
        assert_eq!((asked, dice as usize), (name, faces.len()));
        faces
    }
}

impl Drop for Laid {
    fn drop(&mut self) {
        assert!(std::thread::panicking() || self.0.is_empty(), "not thrown: {:?}", self.0);
    }
}

fn rules() -> Rules {
    Rules::load("open-field.toml", OPEN_FIELD).unwrap()
}

/// A field at 1:20; units as `(name, side, class, figures)`, trained and without a frontage.
fn field(units: &[(&str, &str, &str, u32)]) -> Field {
    let open = Open {
        name: "x".into(),
        scale: Scale::new(20).unwrap(),
        rules: None,
        sides: vec![],
        casts: false,
    };
    let anchor = Digest::of(b"");
    let first = Recorded::write(Event {
        battle: anchor.short(),
        seq: 1,
        at: String::new(),
        by: crate::protocol::Who::Table,
        office: crate::protocol::Office::Referee,
        roll: None,
        asked: "table:1".parse().unwrap(),
        prev: Digest::ZERO,
        body: Body::Opened {
            protocol: crate::protocol::Protocol::LATEST,
            name: open.name.clone(),
            scale: open.scale,
            sides: vec![],
            rules_name: "open-field".into(),
            rules: Digest::ZERO,
            anchor,
            next_anchor: Digest::ZERO,
            chain_length: 1,
            casts: false,
        },
        request: Request::Open(open),
    });
    let mut field = crate::battle::Battle::begin(&first).unwrap().field;
    for (name, side, class, figures) in units {
        let ask = Muster {
            unit: (*name).into(),
            side: (*side).into(),
            class: (*class).into(),
            men: figures * 20,
            grade: None,
            spears: false,
            weapon: None,
            frontage: None,
            leader: None,
        };
        let unit = crate::battle::muster::muster(&rules(), &field, &ask).unwrap();
        if !field.sides.contains(&unit.side) {
            Arc::make_mut(&mut field.sides).push(unit.side.clone());
        }
        Arc::make_mut(&mut field.units).push(Arc::new(unit));
    }
    field
}

fn with(mut field: Field, name: &str, change: impl FnOnce(&mut Unit)) -> Field {
    let units = Arc::make_mut(&mut field.units);
    change(Arc::make_mut(units.iter_mut().find(|unit| unit.name == name).unwrap()));
    field
}

fn fight(field: &Field, asks: &[ContactAsk], mut dice: Laid) -> MeleeRuling {
    Melee::join(&rules(), field, asks, 1).unwrap().fight(&mut dice)
}

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
        counting.map(|circumstance| (circumstance.cause, circumstance.step())).collect()
    })
}

/// What of both throws of a single contact does not count, as (cause, why not).
fn not_counted(field: &Field, ask: ContactAsk, round: u32) -> [Vec<(Cause, WhyNot)>; 2] {
    circumstances_of(field, ask, round).map(|circumstances| {
        circumstances.iter().filter_map(|it| it.why_not.map(|why| (it.cause, why))).collect()
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
    assert_eq!((ruling.morale[0].score, ruling.morale[0].outcome), (6, Outcome::Stands));
    // Levies: 2 of 5 left, two quarters; lost 3 killed 2; 4 against 2 is 2:1. 5 + 1 - 2 - 1 - 2 = 1.
    let terms: Vec<_> = ruling.morale[1].terms.iter().map(|term| (term.cause, term.by)).collect();
    assert_eq!(
        terms,
        [
            (MoraleCause::Grade, 1),
            (MoraleCause::Quarters(2), -2),
            (MoraleCause::LostMore, -1),
            (MoraleCause::Outnumbered { theirs: 2, ours: 1 }, -2),
        ]
    );
    assert_eq!((ruling.morale[1].score, ruling.morale[1].outcome), (1, Outcome::Routs));
    assert_eq!(ruling.units[1].after.men, 40);
    assert_eq!(ruling.units[1].standing, Standing::Routing);
    assert!(!ruling.contacts[0].stands);
}

#[test]
fn a_unit_without_losses_tests_only_if_its_side_is_outnumbered() {
    let even = field(&[("A", "Vale", "heavy foot", 4), ("B", "Grey", "heavy foot", 4)]);
    let ask = [ContactAsk::new("A", "B")];
    let quiet = fight(&even, &ask, Laid::new([("A>B", &[1; 4][..]), ("B>A", &[2; 4])]));
    assert!(quiet.morale.is_empty() && quiet.contacts[0].stands);
    let uneven = field(&[("A", "Vale", "heavy foot", 4), ("B", "Grey", "heavy foot", 6)]);
    let dice = Laid::new([("A>B", &[1; 4][..]), ("B>A", &[2; 6]), ("A", &[2, 3])]);
    let ruling = fight(&uneven, &ask, dice);
    assert_eq!(ruling.presence, [4, 6]);
    assert_eq!((ruling.morale[0].score, ruling.morale[0].outcome), (5, Outcome::FallsBack));
}

#[test]
fn a_shaken_unit_that_would_fall_back_routs() {
    let field = field(&[("A", "Vale", "heavy foot", 4), ("B", "Grey", "heavy foot", 6)]);
    let field = with(field, "A", |unit| unit.standing = Standing::Shaken);
    let dice = Laid::new([("A>B", &[1; 2][..]), ("B>A", &[2; 6]), ("A", &[2, 3])]);
    let ruling = fight(&field, &[ContactAsk::new("A", "B")], dice);
    assert_eq!(ruling.morale[0].outcome, Outcome::Routs);
}

#[test]
fn kills_past_the_last_figure_are_excess_and_count_for_nothing() {
    let field = field(&[("A", "Vale", "heavy foot", 4), ("B", "Grey", "heavy foot", 2)]);
    let dice = Laid::new([("A>B", &[6, 6, 6, 1][..]), ("B>A", &[6, 6]), ("A", &[6, 6])]);
    let ruling = fight(&field, &[ContactAsk::new("A", "B")], dice);
    let b = &ruling.units[1];
    assert_eq!((b.lost, b.excess, b.outcome), (2, 1, Outcome::Destroyed));
    assert_eq!(ruling.units[0].lost, 2, "the destroyed still throw: all throws are simultaneous");
    assert_eq!(ruling.units[0].killed, 2);
    assert_eq!(ruling.morale[0].terms.len(), 2, "lost 2 and killed 2: no term for losing more");
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
    let field = field(&[("A", "Vale", "heavy foot", 4), ("B", "Grey", "heavy foot", 4)]);
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
    let field = field(&[
        ("A", "Vale", "heavy foot", 4),
        ("A2", "Vale", "heavy foot", 4),
        ("B", "Grey", "heavy foot", 4),
    ]);
    let asks = [
        ContactAsk { facing: Facing::Flank, ..ContactAsk::new("A", "B") },
        ContactAsk { facing: Facing::Rear, ..ContactAsk::new("A2", "B") },
    ];
    let rules = rules();
    let melee = Melee::join(&rules, &field, &asks, 1).unwrap();
    let nerve: Vec<usize> = melee.combatants.iter().map(|unit| unit.nerve.len()).collect();
    assert_eq!(nerve, [0, 0, 1]);
    let term = melee.combatants[2].nerve[0];
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
    let asks = field.engagements[0].asks();
    assert_eq!(steps_of(&field, asks[0].clone(), 2), [vec![], vec![]]);
    assert_eq!(
        not_counted(&field, asks[0].clone(), 2),
        [vec![(Cause::Charge, WhyNot::NotFirstRound)], vec![]]
    );
    let rules = rules();
    let refused = Melee::join(&rules, &field, &[ask], 1).map(drop).unwrap_err();
    assert_eq!(refused, Mistake::LateCharge("Riders".into(), "B".into()));
}

#[test]
fn frontage_spears_and_shared_contacts_say_who_fights() {
    let field = field(&[
        ("A", "Vale", "heavy foot", 11),
        ("B", "Vale", "heavy foot", 2),
        ("C", "Grey", "heavy foot", 9),
        ("D", "Grey", "heavy foot", 3),
    ]);
    let field = with(field, "A", |unit| {
        unit.frontage = Some(4);
        unit.long_spears = true;
    });
    let field = with(field, "C", |unit| {
        unit.frontage = Some(5);
        unit.leader = Some("Orm".into());
    });
    let asks = [ContactAsk::new("A", "D"), ContactAsk::new("A", "C"), ContactAsk::new("B", "C")];
    let rules = rules();
    let melee = Melee::join(&rules, &field, &asks, 1).unwrap();
    let fighting: Vec<[u32; 2]> = melee
        .contacts
        .iter()
        .map(|contact| {
            contact
                .attacks
                .each_ref()
                .map(|attack| melee.fighting(attack, melee.combatants[attack.by].unit.now.figures))
        })
        .collect();
    assert_eq!(fighting, [[4, 3], [4, 3], [2, 2]], "two ranks of 4 shared; 5 shared 3 and 2");
    let led: Vec<u32> = melee.contacts.iter().map(|c| c.attacks[1].leader_dice).collect();
    assert_eq!(led, [0, 1, 0], "a leader counts in his unit's first contact");
}

#[test]
fn leaders_are_tested_after_the_throws_and_before_morale() {
    let field = field(&[("A", "Vale", "heavy foot", 4), ("B", "Grey", "heavy foot", 4)]);
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
        ruling.leaders.iter().map(|t| (t.falls_on, t.falls)).collect::<Vec<_>>(),
        [(12, false), (11, true)]
    );
    let b = &ruling.morale[1];
    assert!(b.terms.iter().all(|term| term.cause != MoraleCause::Leader), "the fallen add nothing");
    // 9 + 1 trained - 2 quarters - 1 lost more - 1 for 3:2 = 6.
    assert_eq!((b.score, b.outcome), (6, Outcome::Stands));
}

#[test]
fn what_cannot_meet_is_refused() {
    let base = field(&[
        ("A", "Vale", "heavy foot", 4),
        ("A2", "Vale", "heavy foot", 4),
        ("B", "Grey", "heavy foot", 4),
    ]);
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
    assert!(matches!(
        refused(&base, &[ask("A", "B"), ask("B", "A2")]),
        Mistake::MixedStrikers { .. }
    ));
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

fn archers(figures: u32, target_front: Option<u32>) -> Field {
    let field = field(&[("Bows", "Vale", "levy", figures), ("B", "Grey", "heavy foot", 6)]);
    let field = with(field, "Bows", |unit| unit.weapon = Some("bows".into()));
    with(field, "B", |unit| unit.frontage = target_front)
}

#[test]
fn shooting_counts_power_protection_and_steps() {
    let ask = ShootAsk {
        shooter: "Bows".into(),
        target: "B".into(),
        range: ShotRange::Long,
        cover: Some(Cover::Light),
    };
    // Power -2 less protection 2, cover -1, massed +1: held at -3, 1 for 4.
    let mut dice = Laid::new([("Bows>B", &[6, 1][..]), ("B", &[2, 2])]);
    let field = archers(8, Some(2));
    let ruling = shoot(&rules(), &field, &ask, &mut dice).unwrap();
    assert_eq!(ruling.strike.matchup.rung, Some(-3));
    let steps: Vec<_> =
        ruling.strike.circumstances.iter().map(|it| (it.cause, it.step())).collect();
    assert_eq!(steps, [(Cause::LightCover, -1), (Cause::Massed, 1)]);
    let morale = ruling.morale.unwrap();
    assert_eq!((morale.score, morale.outcome), (5, Outcome::FallsBack), "4 and trained +1");
    assert_eq!(ruling.target.lost, 1);
}

#[test]
fn shooting_without_loss_tests_no_nerve_and_slings_do_not_reach_far() {
    let mut ask = ShootAsk {
        shooter: "Bows".into(),
        target: "B".into(),
        range: ShotRange::Short,
        cover: None,
    };
    let mut dice = Laid::new([("Bows>B", &[5, 5][..])]);
    let ruling = shoot(&rules(), &archers(8, None), &ask, &mut dice).unwrap();
    assert_eq!((ruling.target.lost, ruling.morale), (0, None), "8 at 1 for 4 are 2 dice");
    ask.range = ShotRange::Long;
    let slings = with(archers(8, None), "Bows", |unit| unit.weapon = Some("slings".into()));
    let refused = shoot(&rules(), &slings, &ask, &mut Laid::new([])).unwrap_err();
    assert_eq!(
        refused.to_string(),
        "slings do not reach long range. Shoot at short range, or not at all."
    );
}

#[test]
fn rally_scores_and_what_they_bring() {
    let base = field(&[("A", "Vale", "heavy foot", 4)]);
    for (standing, faces, outcome) in [
        (Standing::Shaken, [2, 4], RallyOutcome::Steady),
        (Standing::Shaken, [2, 3], RallyOutcome::StaysShaken),
        (Standing::Routing, [4, 4], RallyOutcome::Shaken),
        (Standing::Routing, [3, 4], RallyOutcome::Leaves),
    ] {
        let field = with(base.clone(), "A", |unit| unit.standing = standing);
        let ruling = rally(&rules(), &field, "A", &mut Laid::new([("A", &faces[..])])).unwrap();
        assert_eq!(ruling.outcome, outcome, "{standing:?} {faces:?}");
    }
    let refused = rally(&rules(), &base, "A", &mut Laid::new([])).unwrap_err();
    assert_eq!(refused.to_string(), "A is steady and needs no rally.");
}
