//! What is asked wrongly, and that nothing is drawn for it.

use super::ford::{Ford, again, charge, described, melee, open, rules, shoot, throw};
use crate::battle::Mistake;
use crate::protocol::{
    ContactAsk, DiceAsk, Facing, MeleeAsk, Muster, QuickAsk, Request, Ruling, Scale,
};
use crate::referee::roll::Draw;
use crate::referee::throws::quick_mistake;
use crate::referee::{Fault, Refusal};

const D6: DiceAsk = DiceAsk { count: 3, sides: 6 };

/// Eight heavy foot taken on the flank by three of a class; the names in `how` are not used.
fn quick(class: &str) -> QuickAsk {
    QuickAsk {
        scale: Scale::new(20).unwrap(),
        striker: described(3, class),
        struck: described(8, "heavy foot"),
        how: ContactAsk { facing: Facing::Flank, ..ContactAsk::new("x", "y") },
    }
}

fn no_class(name: &str) -> Mistake {
    let known = rules().classes.into_iter().map(|class| class.name).collect();
    Mistake::NotInRules { kind: "class", name: name.into(), known }
}

#[test]
fn each_mistake_is_told_whole() {
    let ford = Ford::mustered(open());
    let name = |name: &str| name.to_owned();
    let unknown = |unit: &str| Mistake::NoSuchUnit { name: name(unit), meant: None };
    let scale = |men| Scale::new(men).unwrap();
    for (request, mistake) in [
        (Request::Side { name: name("Vale") }, Mistake::SideTaken(name("Vale"))),
        (Request::Side { name: name("a: b") }, Mistake::BadName(name("a: b"))),
        (Request::Dismiss { unit: name("Mill Levy") }, unknown("Mill Levy")),
        (Request::Rescale { scale: scale(20) }, Mistake::SameScale(scale(20))),
        (Request::Cast { text: name("red reeds, cold hands") }, Mistake::NothingToCast),
        (again(None), Mistake::NothingToFightOn),
        (again(Some("Ford Wardens")), Mistake::NotInMelee(name("Ford Wardens"))),
        (again(Some("Mill Levy")), unknown("Mill Levy")),
        (
            melee("Ford Wardens", "Vale Bows"),
            Mistake::SameSide(name("Ford Wardens"), name("Vale Bows")),
        ),
        (
            Request::Shoot(shoot("Ford Wardens", "Banner Spears")),
            Mistake::NoWeapon(name("Ford Wardens")),
        ),
        (Request::Rally { unit: name("Vale Bows") }, Mistake::Steady(name("Vale Bows"))),
        (throw(&[], None), Mistake::DiceCount),
        (throw(&[D6; 11], None), Mistake::DiceCount),
        (throw(&[D6, DiceAsk { count: 1, sides: 1 }], None), Mistake::BadDice(name("1d1"))),
        (throw(&[D6], Some("")), Mistake::BadPurpose),
        (throw(&[D6], Some(&"é".repeat(81))), Mistake::BadPurpose),
        (Request::Quick(quick("heavy boot")), no_class("heavy boot")),
    ] {
        assert_eq!(ford.mistake(&request), mistake);
    }
}

#[test]
fn a_scale_at_which_a_unit_would_have_too_many_figures_is_refused() {
    let mut ford = Ford::opened(open());
    let many = Muster::new("Great Levy", "Vale", "levy", 1001);
    ford.ask(Request::Muster(many));
    let scale = Scale::new(1).unwrap();
    let mistake = Mistake::TooManyFigures { men: 1001, figures: 1001, scale };
    assert_eq!(ford.mistake(&Request::Rescale { scale }), mistake);
}

/// A link that was drawn is spent, so a melee that cannot be joined draws none.
#[test]
fn a_melee_that_cannot_be_joined_draws_no_link() {
    let ford = Ford::mustered(open()).engaged(charge(), 1);
    let late = Request::Melee(MeleeAsk { contacts: vec![charge()], cast: false });
    let told = |request: &Request| ford.decide_drawn(request, Draw::disclosed(None)).unwrap_err();
    let mistake = Mistake::AlreadyMet("Banner Horse".into(), "Ford Wardens".into());
    assert!(matches!(told(&late), Refusal::Mistake(found) if found == mistake));
    // What can be thrown asks for the link, and finds that a record discloses none.
    let missing = told(&again(None));
    assert!(
        matches!(&missing, Refusal::Fault(Fault::Missing(what)) if what == "a roll"),
        "{missing:?}"
    );
}

/// Nothing is opened for a quick ruling or plain dice that are asked wrongly.
#[test]
fn what_needs_no_battle_is_found_wrong_before_anything_is_opened() {
    let rules = rules();
    for (request, expected) in [
        (Request::Quick(quick("heavy boot")), Err(no_class("heavy boot"))),
        (Request::Quick(quick("medium horse")), Ok(())),
        (throw(&[], None), Err(Mistake::DiceCount)),
        (throw(&[D6], Some("")), Err(Mistake::BadPurpose)),
        (throw(&[D6; 10], Some(&"é".repeat(80))), Ok(())),
        (Request::Turn, Ok(())),
    ] {
        assert_eq!(quick_mistake(&rules, &request), expected, "{request:?}");
    }
    let charging = ContactAsk { charge: true, ..ContactAsk::new("x", "y") };
    let on_foot = Request::Quick(QuickAsk { how: charging, ..quick("levy") });
    let mistake = Mistake::FootCharge { unit: "levy".into(), class: "levy".into() };
    assert_eq!(quick_mistake(&rules, &on_foot), Err(mistake));
}

#[test]
fn a_quick_ruling_is_of_the_two_described_units_as_they_were_said_to_meet() {
    let mut ford = Ford::opened(open());
    ford.battle.field.turn = 4;
    let (ruling, receipt) = ford.ruled(&Request::Quick(quick("medium horse")));
    let Ruling::Quick(quick) = ruling else { panic!("{ruling:?}") };
    let contact =
        ContactAsk { facing: Facing::Flank, ..ContactAsk::new("medium horse", "heavy foot") };
    assert_eq!((quick.scale, quick.melee.turn, quick.melee.round), (ford.battle.field.scale, 4, 1));
    assert_eq!(quick.melee.contacts.len(), 1);
    assert_eq!(quick.melee.contacts[0].contact, contact);
    let units = quick.melee.units.iter().map(|unit| (unit.unit.as_str(), unit.before.figures));
    assert_eq!(units.collect::<Vec<_>>(), [("medium horse", 3), ("heavy foot", 8)]);
    assert_eq!(receipt.throws[0].purpose, "medium horse at heavy foot");
}
