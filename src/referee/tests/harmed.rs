//! Harm, nerve on demand and reinforcements as events.

use super::ford::{Ford, change, melee, open, undo};
use crate::battle::Mistake;
use crate::protocol::{
    Body, Change, DiceAsk, HarmAsk, HarmHow, MoraleCause, Muster, Outcome, Request, Ruling, Scale,
    Standing, Strength, Unit,
};
use crate::referee::roll::Draw;
use crate::referee::{Fault, Refusal};

const REASON: &str = "a burning cart";

fn harm(unit: &str, how: HarmHow) -> Request {
    Request::Harm(HarmAsk { unit: unit.into(), how, reason: REASON.into() })
}

fn nerve(unit: &str, reason: &str) -> Request {
    Request::Nerve { unit: unit.into(), reason: reason.into() }
}

fn reinforce(unit: &str, men: u32) -> Request {
    Request::Reinforce { unit: unit.into(), men, reason: "the late company".into() }
}

fn ruled(body: Body) -> Ruling {
    let Body::Ruled { ruling } = body else { panic!("{body:?}") };
    ruling
}

#[test]
fn what_is_thrown_stands_in_the_receipt_under_names_that_read_well() {
    let ford = Ford::mustered(open());
    let (ruling, receipt) =
        ford.ruled(&harm("Banner Spears", HarmHow::Dice { dice: 30, kills_on: 4 }));
    let Ruling::Harm(ruling) = ruling else { panic!("{ruling:?}") };
    assert_eq!(receipt.throws[0].purpose, "harm to Banner Spears");
    assert_eq!(receipt.throws[0].faces, ruling.thrown[0].faces);
    let kinds = [(3, 6), (1, 4)].map(|(count, sides)| DiceAsk { count, sides });
    let (_, receipt) = ford.ruled(&harm("Banner Spears", HarmHow::MenThrown(kinds.to_vec())));
    let thrown = receipt.throws.iter().take(2);
    let thrown: Vec<_> = thrown.map(|t| (t.purpose.as_str(), t.sides, t.faces.len())).collect();
    assert_eq!(thrown, [("harm to Banner Spears", 6, 3), ("harm to Banner Spears (2)", 4, 1)]);
    let (ruling, receipt) = ford.ruled(&nerve("Banner Spears", "a great beast"));
    let Ruling::Nerve(ruling) = ruling else { panic!("{ruling:?}") };
    assert_eq!(ruling.reason, "a great beast");
    assert_eq!(receipt.throws.len(), 1);
    assert_eq!(receipt.throws[0].purpose, "nerve of Banner Spears");
    assert_eq!(receipt.throws[0].faces, ruling.morale.nerve.faces);
}

/// 60 men of horse at 1:20 that lose 10 are still 3 figures; a lost figure tries their nerve.
#[test]
fn without_dice_only_nerve_is_thrown_for_and_without_that_no_link_is_drawn() {
    let ford = Ford::mustered(open());
    let Ruling::Harm(ruling) = ruled(ford.body(&harm("Banner Horse", HarmHow::Men(10)))) else {
        panic!("no harm")
    };
    assert_eq!(ruling.target.after, Strength { men: 50, figures: 3 });
    assert!(ruling.thrown.is_empty() && ruling.morale.is_none());
    let undrawn = |request: &Request| ford.decide_drawn(request, Draw::disclosed(None));
    assert!(undrawn(&harm("Banner Horse", HarmHow::Men(10))).is_ok());
    let missing = undrawn(&harm("Banner Horse", HarmHow::Figures(1))).unwrap_err();
    assert!(matches!(missing, Refusal::Fault(Fault::Missing(_))), "{missing:?}");
    let (ruling, receipt) = ford.ruled(&harm("Banner Horse", HarmHow::Figures(1)));
    let Ruling::Harm(ruling) = ruling else { panic!("{ruling:?}") };
    assert_eq!(receipt.throws.len(), 1);
    assert_eq!(receipt.throws[0].purpose, "nerve of Banner Horse");
    assert_eq!(Some(&receipt.throws[0].faces), ruling.morale.as_ref().map(|t| &t.nerve.faces));
}

#[test]
fn losses_by_harm_are_losses_and_are_taken_back_whole() {
    let mut ford = Ford::mustered(open());
    let before = ford.battle.field.clone();
    ford.ask(harm("Banner Spears", HarmHow::Figures(10)));
    let unit = ford.battle.field.unit("Banner Spears").unwrap();
    assert_eq!(
        (unit.standing, unit.figures_lost(), unit.men_lost()),
        (Standing::Destroyed, 10, 200)
    );
    assert_eq!(ford.battle.field.free_leaders[0].leader.name, "Orm", "nobody struck at him");
    assert_eq!(ford.battle.rolls, 0);
    ford.ask(undo("a slip"));
    assert_eq!(ford.battle.field, before);
    // Quarters count at once, those of an earlier harm too.
    ford.ask(harm("Banner Spears", HarmHow::Men(10)));
    let decision = ford.decide(&harm("Banner Spears", HarmHow::Men(90))).unwrap();
    let Ruling::Harm(ruling) = ruled(decision.body) else { panic!("no harm") };
    let terms = ruling.morale.unwrap().nerve.terms;
    assert!(terms.iter().any(|term| term.cause == MoraleCause::Quarters(2)), "{terms:?}");
}

/// A unit that no longer stands leaves its contacts, and one that stands keeps them.
#[test]
fn whoever_flees_from_harm_or_fear_is_out_of_contact() {
    let contact = crate::protocol::ContactAsk::new("Banner Spears", "Ford Wardens");
    for request in [
        harm("Banner Spears", HarmHow::Figures(1)),
        harm("Banner Spears", HarmHow::Figures(10)),
        nerve("Banner Spears", "a great beast"),
    ] {
        let mut outcomes = Vec::new();
        for rolls in 0..12 {
            let mut ford = Ford::mustered(open()).engaged(contact.clone(), 1);
            for _ in 0..rolls {
                ford.ask(Request::Throw {
                    dice: vec![DiceAsk { count: 1, sides: 6 }],
                    purpose: None,
                });
            }
            let outcome = match ruled(ford.ask(request.clone()).body) {
                Ruling::Harm(harm) => harm.target.outcome,
                Ruling::Nerve(nerve) => nerve.morale.outcome,
                other => panic!("{other:?}"),
            };
            let field = &ford.battle.field;
            let held = field.engagement_of("Banner Spears").is_some();
            assert_eq!(held, outcome == Outcome::Stands, "{request:?}");
            let standing = field.unit("Banner Spears").unwrap().standing;
            assert_eq!(standing, outcome.standing(Standing::Steady));
            assert!(!field.unit("Banner Spears").unwrap().shot_at);
            outcomes.push(outcome);
        }
        if !matches!(&request, Request::Harm(ask) if ask.how == HarmHow::Figures(10)) {
            assert!(outcomes.contains(&Outcome::Stands), "{outcomes:?}");
            assert!(outcomes.iter().any(|outcome| *outcome != Outcome::Stands), "{outcomes:?}");
        }
    }
}

#[test]
fn a_reinforcement_raises_strength_now_and_at_muster() {
    let mut ford = Ford::mustered(open());
    let scale = Scale::new(20).unwrap();
    ford.ask(harm("Ford Wardens", HarmHow::Men(10)));
    let before = Unit::clone(ford.battle.field.unit("Ford Wardens").unwrap());
    assert_eq!(before.now, Strength { men: 150, figures: 8 });
    let after = Unit {
        muster: Strength { men: 205, figures: 10 },
        now: Strength { men: 195, figures: 10 },
        ..before.clone()
    };
    let request = reinforce("Ford Wardens", 45);
    let reason = "the late company".to_owned();
    let body = Body::Reinforced { before, after: after.clone(), scale, reason };
    assert_eq!(ford.ask(request), body.into());
    assert_eq!(**ford.battle.field.unit("Ford Wardens").unwrap(), after);
    ford.ask(undo("they are not here yet"));
    assert_eq!(ford.battle.field.unit("Ford Wardens").unwrap().muster.men, 160);
}

/// 50 and 50 men at 1:20 are 3 and 2 figures; 50 and 60 are 6, and 50 and 69 no more.
#[test]
fn reinforcements_are_counted_beside_the_others_of_the_class() {
    let mut ford = Ford::opened(open());
    for (unit, men) in [("Reed Levy", 50), ("Mill Levy", 50)] {
        ford.ask(Request::Muster(Muster::new(unit, "Vale", "levy", men)));
    }
    let strength = |ford: &Ford, men| match ford.body(&reinforce("Mill Levy", men)) {
        Body::Reinforced { after, .. } => after.muster.figures,
        other => panic!("{other:?}"),
    };
    assert_eq!(ford.battle.field.unit("Mill Levy").unwrap().muster.figures, 2);
    assert_eq!([1, 9, 10, 19, 29, 30].map(|men| strength(&ford, men)), [2, 2, 3, 3, 3, 4]);
    // Nobody has fewer figures for more men, although others of the class are off the list.
    ford.ask(Request::Muster(Muster::new("Ford Levy", "Vale", "levy", 50)));
    assert_eq!(ford.battle.field.unit("Ford Levy").unwrap().muster.figures, 3);
    ford.ask(Request::Dismiss { unit: "Mill Levy".into() });
    let Body::Reinforced { after, .. } = ford.body(&reinforce("Ford Levy", 1)) else { panic!() };
    assert_eq!((after.muster, after.now), (Strength { men: 51, figures: 3 }, after.muster));
}

#[test]
fn what_cannot_be_harmed_tested_or_reinforced_is_told() {
    let mut ford = Ford::mustered(open());
    let single = Muster { hits: Some(3), ..Muster::new("Vale Engine", "Vale", "levy", 0) };
    ford.ask(Request::Muster(single));
    ford.ask(Request::Change(Change { men: Some(0), ..change("Vale Bows") }));
    let name = |name: &str| name.to_owned();
    let bows = Standing::Destroyed;
    for (request, mistake) in [
        (
            harm("Vale Bows", HarmHow::Men(1)),
            Mistake::CannotHarm { unit: name("Vale Bows"), standing: bows },
        ),
        (nerve("Vale Bows", "dusk"), Mistake::NoNerve { unit: name("Vale Bows"), standing: bows }),
        (
            reinforce("Vale Bows", 20),
            Mistake::CannotReinforce { unit: name("Vale Bows"), standing: Some(bows) },
        ),
        (
            reinforce("Vale Engine", 20),
            Mistake::CannotReinforce { unit: name("Vale Engine"), standing: None },
        ),
        (harm("Vale Engine", HarmHow::Men(1)), Mistake::NoMenToHarm(name("Vale Engine"))),
        (reinforce("Ford Wardens", 0), Mistake::Men(0)),
        (reinforce("Ford Wardens", 99_841), Mistake::Men(100_001)),
        (reinforce("Ford Wardens", u32::MAX), Mistake::Men(u32::MAX)),
        (
            reinforce("Ford Wardens", 20_000),
            Mistake::TooManyFigures { men: 20_160, figures: 1008, scale: ford.battle.field.scale },
        ),
        (
            harm("Mill Levy", HarmHow::Men(1)),
            Mistake::NoSuchUnit { name: name("Mill Levy"), meant: None },
        ),
        (nerve("Ford Wardens", ""), Mistake::BadReason),
        (nerve("Ford Wardens", &"é".repeat(201)), Mistake::BadReason),
    ] {
        assert_eq!(ford.mistake(&request), mistake, "{request:?}");
    }
    for request in [harm("Ford Wardens", HarmHow::Men(1)), reinforce("Ford Wardens", 20)] {
        let unsaid = match request {
            Request::Harm(ask) => Request::Harm(HarmAsk { reason: String::new(), ..ask }),
            Request::Reinforce { unit, men, .. } => {
                Request::Reinforce { unit, men, reason: String::new() }
            }
            other => other,
        };
        assert_eq!(ford.mistake(&unsaid), Mistake::BadReason);
    }
}

/// In a battle in which every roll against a side is cast, harm is nobody's roll against a side.
#[test]
fn harm_and_nerve_need_no_cast() {
    let ford = Ford::mustered(crate::protocol::Open { casts: true, ..open() });
    let melee = melee("Ford Wardens", "Banner Spears");
    assert!(matches!(ford.decide(&melee).unwrap().body, Body::Announced { .. }));
    let dice = HarmHow::Dice { dice: 3, kills_on: 6 };
    for request in [harm("Banner Spears", dice), nerve("Banner Spears", "dusk")] {
        assert!(matches!(ford.decide(&request).unwrap().body, Body::Ruled { .. }));
    }
}
