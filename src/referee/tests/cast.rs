//! A roll that is announced, and thrown when the other side casts.

use super::ford::{Ford, OPENER, again, chain, change, charge, melee, open, shoot, undo};
use crate::battle::{Mistake, Pending};
use crate::fair::check::{Checker, Holds};
use crate::protocol::{
    Body, Change, ContactAsk, DiceAsk, MeleeAsk, Open, Request, Ruling, Standing,
};
use std::sync::Arc;

fn cast(text: &str) -> Request {
    Request::Cast { text: text.into() }
}

fn announced(asking: &str, casting: &str) -> Body {
    Body::Announced { asking: asking.into(), casting: casting.into() }
}

/// A melee that is announced in a battle where nothing else is.
fn melee_with_cast() -> Request {
    let contacts = vec![ContactAsk::new("Ford Wardens", "Banner Spears")];
    Request::Melee(MeleeAsk { contacts, cast: true })
}

fn in_casts() -> Ford {
    Ford::mustered(Open { casts: true, ..open() })
}

#[test]
fn what_is_thrown_at_a_side_is_announced_where_that_side_casts() {
    let (ours, theirs) = (announced("Vale", "Grey Banner"), announced("Grey Banner", "Vale"));
    assert_eq!(Ford::mustered(open()).body(&melee_with_cast()), ours);
    let shot = Request::Shoot(shoot("Vale Bows", "Banner Spears"));
    assert_eq!(in_casts().body(&melee("Ford Wardens", "Banner Spears")), ours);
    assert_eq!(in_casts().body(&shot), ours);
    // A charge of the first round is late in any other, and fighting on is none.
    for rounds in [1, 2] {
        assert_eq!(in_casts().engaged(charge(), rounds).body(&again(None)), theirs);
    }
}

/// Plain dice and a rally are thrown at nobody.
#[test]
fn what_is_thrown_at_nobody_is_thrown_at_once() {
    let mut ford = in_casts();
    let dice = vec![DiceAsk { count: 1, sides: 6 }];
    ford.ruled(&Request::Throw { dice, purpose: None });
    let shaken = Change { standing: Some(Standing::Shaken), ..change("Vale Bows") };
    ford.ask(Request::Change(shaken));
    ford.ruled(&Request::Rally { unit: "Vale Bows".into() });
}

/// Nothing is announced that could not be thrown.
#[test]
fn what_cannot_be_thrown_is_not_announced() {
    let ford = in_casts();
    for (request, mistake) in [
        (
            melee("Ford Wardens", "Vale Bows"),
            Mistake::SameSide("Ford Wardens".into(), "Vale Bows".into()),
        ),
        (again(None), Mistake::NothingToFightOn),
        (
            Request::Shoot(shoot("Ford Wardens", "Banner Spears")),
            Mistake::NoWeapon("Ford Wardens".into()),
        ),
    ] {
        assert_eq!(ford.mistake(&request), mistake);
    }
}

/// Under rules without a least number of dice a throw can come to none; its cast would be refused,
/// and nothing but taking it back would be left.
#[test]
fn what_comes_to_no_die_is_not_announced() {
    let mut ford = in_casts();
    ford.ask(Request::Change(Change { men: Some(20), ..change("Vale Bows") }));
    let shot = |target: &str| Request::Shoot(shoot("Vale Bows", target));
    // One bow is no die at 1 for 2, and shooting has no die a side.
    assert_eq!(ford.mistake(&shot("Banner Spears")), Mistake::NothingToThrow);
    ford.ask(Request::Change(Change { men: Some(40), ..change("Vale Bows") }));
    assert_eq!(ford.body(&shot("Banner Spears")), announced("Vale", "Grey Banner"));
}

/// A melee in which one side alone has dice is one all the same, and so is one that tests nerve.
#[test]
fn a_melee_is_announced_where_anybody_has_a_die() {
    let mut ford = in_casts();
    (ford.rules.dice.minimum, ford.rules.dice.leader) = (0, 0);
    let lowest = ford.rules.ladder.rungs().next().unwrap().1;
    for pair in [("light foot", "light foot"), ("light foot", "medium horse")] {
        ford.rules.cells.insert((pair.0.to_owned(), pair.1.to_owned()), lowest);
    }
    for unit in ["Vale Bows", "Banner Spears"] {
        ford.ask(Request::Change(Change { men: Some(20), ..change(unit) }));
    }
    // At the lowest rung, 1 for 4, a single figure comes to no die.
    let none = ford.mistake(&melee("Vale Bows", "Banner Spears"));
    assert_eq!(none, Mistake::NothingToThrow);
    let body = ford.body(&melee("Vale Bows", "Banner Horse"));
    assert_eq!(body, announced("Vale", "Grey Banner"));
    // Three figures come to none either, but they outnumber the one, which must test.
    ford.ask(Request::Change(Change { men: Some(60), ..change("Banner Spears") }));
    let body = ford.body(&melee("Vale Bows", "Banner Spears"));
    assert_eq!(body, announced("Vale", "Grey Banner"));
}

#[test]
fn a_cast_throws_what_was_announced_under_its_id_with_the_casters_text() {
    let mut ford = Ford::mustered(open());
    ford.ask(melee_with_cast());
    let (_, receipt) = ford.ruled(&cast("red reeds, cold hands"));
    let statement = format!(
        "drumhead roll 1\nbattle {}\nanchor {}\nroll 1\nasked table:6\nrules six-sided {}\n\
         record {}\ncast red reeds, cold hands\n\
         request melee \"Ford Wardens\" \"Banner Spears\" --cast\n",
        ford.battle.id,
        chain(1).anchor(),
        ford.rules.sha256,
        ford.battle.head,
    );
    assert_eq!(receipt.statement, statement);
}

#[test]
fn each_of_what_is_announced_is_what_its_cast_throws() {
    let thrown = |mut ford: Ford, request: Request| {
        ford.ask(request);
        ford.ruled(&cast("red reeds, cold hands")).0
    };
    let shot = shoot("Vale Bows", "Banner Spears");
    let ruling = thrown(in_casts(), Request::Shoot(shot.clone()));
    assert!(matches!(&ruling, Ruling::Shooting(shooting) if shooting.shot == shot), "{ruling:?}");
    let ruling = thrown(in_casts(), melee("Ford Wardens", "Banner Spears"));
    assert!(matches!(&ruling, Ruling::Melee(melees) if melees[0].round == 1), "{ruling:?}");
    let ruling = thrown(in_casts().engaged(charge(), 2), again(None));
    assert!(matches!(&ruling, Ruling::Melee(melees) if melees[0].round == 3), "{ruling:?}");
}

#[test]
fn a_casters_text_has_8_to_80_characters_on_one_line() {
    let mut ford = Ford::mustered(open());
    ford.ask(melee_with_cast());
    for text in ["é".repeat(8), "é".repeat(80)] {
        ford.ruled(&cast(&text));
    }
    for text in ["", &"é".repeat(7), &"é".repeat(81), "red reeds,\ncold hands"] {
        assert_eq!(ford.mistake(&cast(text)), Mistake::BadCast, "{text:?}");
    }
}

/// Whatever came in between would be in the statement, chosen by somebody who knows the rest of it.
#[test]
fn nothing_comes_between_an_announcement_and_its_cast() {
    let mut ford = Ford::mustered(open());
    ford.ask(melee_with_cast());
    let waiting = Mistake::WaitingForCast { asking: "Vale".into(), casting: "Grey Banner".into() };
    for request in [
        Request::Turn,
        Request::Word { name: "Ida".into(), text: "grey cloth".into() },
        melee_with_cast(),
        again(None),
        Request::Close,
    ] {
        assert_eq!(ford.mistake(&request), waiting, "{request:?}");
    }
}

/// Taking a roll back spends its link, so that anybody can see later what was dodged.
#[test]
fn an_announced_roll_that_is_taken_back_discloses_its_link_and_throws_nothing() {
    let mut ford = Ford::mustered(open());
    ford.ask(melee_with_cast());
    assert_eq!(ford.mistake(&undo("")), Mistake::BadReason);
    let decision = ford.decide(&undo("wrong target")).unwrap();
    let expected = Body::Undone {
        seq: 6,
        roll: Some(1),
        request: Box::new(melee_with_cast()),
        reason: "wrong target".into(),
    };
    assert_eq!(decision.body, expected);
    let receipt = decision.roll.unwrap().receipt;
    assert_eq!(receipt.throws, []);
    assert!(receipt.statement.ends_with("--cast\ntaken back\n"), "{}", receipt.statement);
    let mut checker = Checker::from_anchor(&ford.battle.id, chain(1).anchor());
    let holds = Holds { roll: 1, link: 1, before: 0, taken_back: true };
    assert_eq!(checker.check(&receipt), Ok(holds));
    // The link is spent: the next roll takes the one after it.
    ford.ask_as(OPENER, undo("wrong target"));
    assert_eq!(ford.battle.rolls, 1);
}

/// A forged record may hold a pending roll of any kind.
#[test]
fn what_is_never_announced_is_not_cast() {
    let mut ford = Ford::mustered(open());
    ford.battle.field.pending = Some(Arc::new(Pending {
        request: Request::Turn,
        asked: "table:6".parse().unwrap(),
        asking: "Vale".into(),
        casting: "Grey Banner".into(),
    }));
    assert_eq!(ford.mistake(&cast("red reeds, cold hands")), Mistake::NothingToCast);
}
