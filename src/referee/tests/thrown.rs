//! What is thrown: the statement, the link, the faces, and the ruling that comes of them.

use super::ford::{Ford, again, chain, change, charge, melee, open, shoot, throw};
use crate::battle::Mistake;
use crate::digest::Digest;
use crate::fair::check::{Checker, Holds};
use crate::fair::{Secret, Throw};
use crate::protocol::{Body, Change, ContactAsk, DiceAsk, PlainThrow, Request, Ruling, Standing};
use crate::referee::roll::{Draw, Link};
use crate::referee::{Fault, Refusal};

const DICE: [DiceAsk; 2] = [DiceAsk { count: 3, sides: 6 }, DiceAsk { count: 1, sides: 20 }];

/// The lines are those of docs/checking.md.
#[test]
fn a_roll_states_the_battle_as_it_stands_before_it() {
    let mut ford = Ford::mustered(open());
    ford.ask(Request::Word { name: "Ida".into(), text: "grey cloth".into() });
    let (_, receipt) = ford.ruled(&melee("Ford Wardens", "Banner Spears"));
    let statement = format!(
        "drumhead roll 1\nbattle {}\nanchor {}\nroll 1\nasked table:7\nword Ida: grey cloth\n\
         rules six-sided {}\nrecord {}\nrequest melee \"Ford Wardens\" \"Banner Spears\"\n",
        ford.battle.id,
        chain(1).anchor(),
        ford.rules.sha256,
        ford.battle.head,
    );
    assert_eq!(receipt.statement, statement);
    assert_eq!((receipt.protocol, receipt.roll), (1, 1));
    assert_eq!((Some(receipt.link), receipt.anchor), (chain(1).link(1), chain(1).anchor()));
}

/// With a chain's last link the statement names the chain that comes next, fixed long before, and
/// the roll fixes the one after that.
#[test]
fn rolls_go_through_one_chain_after_another() {
    let mut ford = Ford::mustered(open());
    let mut checker = Checker::from_anchor(&ford.battle.id, ford.battle.chain.anchor);
    let mut found = Vec::new();
    for roll in 1..=5 {
        let thrown = ford.ask(throw(&DICE, None)).roll.unwrap();
        let holds = checker.check(&thrown.receipt).unwrap();
        assert_eq!((holds.roll, thrown.receipt.roll), (roll, roll));
        let next = thrown.receipt.statement.lines().find_map(|line| line.strip_prefix("next "));
        found.push((holds.link, thrown.receipt.link, next.map(str::to_owned), thrown.next_anchor));
    }
    let link = |n, link| (link, chain(n).link(link).unwrap(), None, None);
    let last = |n: u8| {
        let (next, after) = (chain(n + 1).anchor(), chain(n + 2).anchor());
        (2, chain(n).link(2).unwrap(), Some(next.to_string()), Some(after))
    };
    assert_eq!(found, [link(1, 1), last(1), link(2, 1), last(2), link(3, 1)]);
}

#[test]
fn plain_dice_are_thrown_under_their_purpose_or_their_own_name() {
    let ford = Ford::opened(open());
    for (purpose, labels) in
        [(Some("the weather"), ["the weather", "the weather (2)"]), (None, ["3d6", "1d20"])]
    {
        let (ruling, receipt) = ford.ruled(&throw(&DICE, purpose));
        let faces: Vec<Vec<u32>> = receipt.throws.iter().map(|throw| throw.faces.clone()).collect();
        let expected = PlainThrow {
            purpose: purpose.map(str::to_owned),
            dice: DICE.to_vec(),
            total: faces.iter().flatten().sum(),
            faces: faces.clone(),
        };
        assert_eq!(ruling, Ruling::Throw(expected));
        let throws: Vec<Throw> = DICE
            .iter()
            .zip(labels)
            .zip(faces)
            .map(|((dice, purpose), faces)| Throw {
                purpose: purpose.into(),
                sides: dice.sides,
                faces,
            })
            .collect();
        assert_eq!(receipt.throws, throws);
        assert_eq!(
            receipt.throws.iter().map(|throw| throw.faces.len()).collect::<Vec<_>>(),
            [3, 1]
        );
    }
}

#[test]
fn a_melee_is_fought_with_the_faces_that_the_receipt_shows() {
    let ford = Ford::mustered(open());
    let (ruling, receipt) = ford.ruled(&melee("Ford Wardens", "Banner Spears"));
    let Ruling::Melee(melees) = ruling else { panic!("{ruling:?}") };
    let melee = &melees[0];
    assert_eq!((melee.turn, melee.round), (1, 1));
    assert_eq!(melee.sides, ["Vale", "Grey Banner"]);
    let contact = &melee.contacts[0];
    assert_eq!(contact.contact, ContactAsk::new("Ford Wardens", "Banner Spears"));
    for (strike, throw) in contact.strikes.iter().zip(&receipt.throws) {
        assert_eq!(throw.purpose, format!("{} at {}", strike.by, strike.at));
        assert_eq!((&throw.faces, throw.sides), (&strike.faces, strike.sides));
    }
}

/// A contact that is fought on keeps the charge that it was asked with, which counts no more.
#[test]
fn a_melee_is_fought_on_in_its_next_round() {
    for (rounds, unit) in [(1, None), (2, Some("Ford Wardens")), (3, Some("Banner Horse"))] {
        let ford = Ford::mustered(open()).engaged(charge(), rounds);
        let (ruling, _) = ford.ruled(&again(unit));
        let Ruling::Melee(melees) = ruling else { panic!("{ruling:?}") };
        let melee = &melees[0];
        assert_eq!(melee.round, rounds + 1);
        assert_eq!(melee.contacts[0].contact, charge());
    }
}

#[test]
fn a_shot_and_a_rally_are_thrown_as_they_were_asked() {
    let mut ford = Ford::mustered(open());
    let shot = shoot("Vale Bows", "Banner Spears");
    let (ruling, receipt) = ford.ruled(&Request::Shoot(shot.clone()));
    let Ruling::Shooting(shooting) = ruling else { panic!("{ruling:?}") };
    assert_eq!((&shooting.shot, shooting.shots[0].weapon.as_str()), (&shot, "bows"));
    assert_eq!(receipt.throws[0].purpose, "Vale Bows shooting at Banner Spears");
    assert_eq!(receipt.throws[0].faces, shooting.shots[0].strike.faces);
    let shaken = Change { standing: Some(Standing::Shaken), ..change("Banner Spears") };
    ford.ask(Request::Change(shaken));
    let (ruling, receipt) = ford.ruled(&Request::Rally { unit: "Banner Spears".into() });
    let Ruling::Rally(rally) = ruling else { panic!("{ruling:?}") };
    assert_eq!((rally.unit.as_str(), rally.before), ("Banner Spears", Standing::Shaken));
    assert_eq!(receipt.throws.len(), 1);
    assert_eq!(receipt.throws[0].purpose, "rally of Banner Spears");
    assert_eq!(receipt.throws[0].faces, rally.nerve.faces);
}

/// A throw of no dice stands in no receipt, and a ruling without any throw needs no roll.
#[test]
fn where_nobody_has_a_die_to_throw_nothing_is_ruled() {
    let mut ford = Ford::mustered(open());
    ford.rules.dice.minimum = 0;
    ford.ask(Request::Change(Change { men: Some(20), ..change("Vale Bows") }));
    let shot = Request::Shoot(shoot("Vale Bows", "Banner Spears"));
    assert_eq!(ford.mistake(&shot), Mistake::NothingToThrow, "one bow is no die at 1 for 2");
    let (_, receipt) = ford.ruled(&melee("Vale Bows", "Banner Horse"));
    assert_eq!(receipt.throws[0].purpose, "Banner Horse at Vale Bows");
}

fn no_secret(_: Digest) -> Result<Secret, Fault> {
    panic!("no secret is drawn but with a chain's last link")
}

#[test]
fn without_its_next_link_a_battle_throws_nothing() {
    let mut ford = Ford::mustered(open());
    let request = throw(&DICE, None);
    let fault = |ford: &Ford, draw: Draw<'_>| match ford.decide_drawn(&request, draw) {
        Err(Refusal::Fault(fault)) => fault.to_string(),
        other => panic!("{other:?}"),
    };
    let mut following = None;
    let imported = Draw::from_chain(&ford.battle, None, &mut following, no_secret);
    let imported = ford.decide_drawn(&request, imported);
    assert!(matches!(imported, Err(Refusal::Mistake(Mistake::NoChain))), "{imported:?}");
    ford.ask(request.clone());
    let first = chain(1);
    let spent = Draw::from_chain(&ford.battle, Some(&first), &mut following, |anchor| {
        assert_eq!(anchor, first.anchor(), "the secret is told which chain ends");
        Err(Fault::Random("none".into()))
    });
    assert_eq!(fault(&ford, spent), "no random bytes: none");
    assert!(following.is_none(), "no chain follows without a secret");
    ford.ask(request.clone());
    ford.battle.rolls += 2;
    let past = Draw::from_chain(&ford.battle, Some(&first), &mut following, no_secret);
    let expected = format!("the record has nothing for link 3 of {}", first.anchor());
    assert_eq!(fault(&ford, past), expected);
}

/// A record that is checked discloses the link, and deciding again gives the very same roll.
#[test]
fn a_disclosed_link_gives_the_same_roll_again() {
    let ford = Ford::mustered(open());
    let request = melee("Ford Wardens", "Banner Spears");
    let decided = ford.decide(&request).unwrap();
    let link = Link { link: chain(1).link(1).unwrap(), next_anchor: None };
    let again = ford.decide_drawn(&request, Draw::disclosed(Some(link))).unwrap();
    assert_eq!(again, decided);
    assert!(matches!(again.body, Body::Ruled { .. }));
    let mut checker = Checker::new();
    let holds = Holds { roll: 1, link: 1, before: 0, taken_back: false };
    assert_eq!(checker.check(&again.roll.unwrap().receipt), Ok(holds));
}
