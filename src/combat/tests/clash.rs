//! Contacts that last: what is fought again, what is new, and what is ruled apart.

use super::*;
use crate::battle::Mistake;

/// Rules under which nobody is moved by numbers.
fn calm() -> Rules {
    let mut rules = rules();
    rules.morale.outnumbered.clear();
    rules
}

/// A field where these contacts were fought once, and all of them stand.
fn fought(units: &[(&str, &str, u32)], asks: &[ContactAsk]) -> Field {
    let mut field = foot(units);
    let rules = calm();
    for clash in Clash::asked(&field.clone(), asks).unwrap() {
        let melee = Melee::of(&rules, &field, &clash).unwrap();
        let ruling = melee.fight(&mut Ones);
        field.take_melee(&ruling);
    }
    field
}

/// Dice that all show a one: nobody is killed, and nobody tests.
struct Ones;

impl Dice for Ones {
    fn throw(&mut self, _: ThrowPurpose<'_>, dice: u32, _: u32) -> Vec<u32> {
        vec![1; dice as usize]
    }
}

const UNITS: [(&str, &str, u32); 6] = [
    ("A", "Vale", 6),
    ("B", "Vale", 6),
    ("C", "Vale", 6),
    ("X", "Grey", 6),
    ("Y", "Grey", 6),
    ("Z", "Grey", 6),
];

/// Each melee's contacts as striker, struck and round.
fn contacts(clashes: &[Clash]) -> Vec<Vec<(&str, &str, u32)>> {
    fn of(met: &Met) -> (&str, &str, u32) {
        (met.ask.striker.as_str(), met.ask.struck.as_str(), met.round)
    }
    clashes.iter().map(|clash| clash.contacts.iter().map(of).collect()).collect()
}

#[test]
fn a_melee_adds_to_what_its_units_are_in() {
    let ask = ContactAsk::new;
    let field = fought(&UNITS, &[ask("A", "X")]);
    let clashes = Clash::asked(&field, &[ask("B", "X")]).unwrap();
    assert_eq!(contacts(&clashes), [[("A", "X", 2), ("B", "X", 1)]]);
    assert_eq!((clashes[0].round, clashes[0].fought), (2, 1));
    // The other side asks: its new contact comes after that which stands, and it throws first.
    let clashes = Clash::asked(&field, &[ask("X", "B")]).unwrap();
    assert_eq!(contacts(&clashes), [[("A", "X", 2), ("X", "B", 1)]]);
    let rules = calm();
    let ruling = Melee::of(&rules, &field, &clashes[0]).unwrap().fight(&mut Ones);
    assert_eq!(ruling.sides, ["Grey", "Vale"]);
    let first: Vec<&str> = ruling.contacts.iter().map(|it| it.strikes[0].by.as_str()).collect();
    assert_eq!(first, ["X", "X"]);
}

#[test]
fn contacts_that_share_no_unit_are_ruled_apart() {
    let ask = ContactAsk::new;
    let both = [ask("A", "X"), ask("B", "Y")];
    let field = fought(&UNITS, &both);
    assert_eq!(field.engagements.len(), 2);
    // A third joins the two.
    let clashes = Clash::asked(&field, &[ask("A", "Y")]).unwrap();
    assert_eq!(contacts(&clashes), [[("A", "X", 2), ("B", "Y", 2), ("A", "Y", 1)]]);
    // Only what is named is fought.
    let clashes = Clash::asked(&field, &[ask("C", "Z"), ask("B", "Y")]).unwrap();
    assert_eq!(contacts(&clashes), [[("B", "Y", 2)], [("C", "Z", 1)]]);
}

/// Where the unit that held a melee together is gone, what is left is two melees.
#[test]
fn what_is_left_of_a_melee_may_be_several() {
    let ask = ContactAsk::new;
    let mut field = fought(&UNITS, &[ask("A", "X"), ask("B", "X"), ask("B", "Y"), ask("C", "Y")]);
    assert_eq!(field.engagements.len(), 1);
    let rules = calm();
    let clash = Clash::again(&field, Some("A")).unwrap();
    let mut ruling = Melee::of(&rules, &field, &clash).unwrap().fight(&mut Ones);
    for contact in &mut ruling.contacts {
        contact.stands =
            ![&contact.contact.striker, &contact.contact.struck].contains(&&"B".to_owned());
    }
    field.take_melee(&ruling);
    let held: Vec<usize> = field.engagements.iter().map(|it| it.contacts.len()).collect();
    assert_eq!(held, [1, 1]);
}

#[test]
fn how_units_meet_is_settled_when_they_meet() {
    let ask = ContactAsk::new;
    let field = fought(&UNITS, &[ask("A", "X")]);
    assert_eq!(contacts(&Clash::asked(&field, &[ask("X", "A")]).unwrap()), [[("A", "X", 2)]]);
    let flank = ContactAsk { facing: crate::protocol::Facing::Flank, ..ask("X", "A") };
    let refused = Clash::asked(&field, &[flank]).unwrap_err();
    assert_eq!(refused, Mistake::AlreadyMet("X".into(), "A".into()));
}

/// Whoever fights beside a unit that fled in the round before tests for it.
#[test]
fn comrades_who_fled_are_felt_in_the_next_round() {
    let mut rules = calm();
    rules.morale.comrade = Some(-1);
    let mut field = foot(&UNITS);
    let asks = [ContactAsk::new("A", "X"), ContactAsk::new("B", "X")];
    let melee = Melee::join(&rules, &field, &asks, 1).unwrap();
    let mut ruling = melee.fight(&mut Ones);
    ruling.units[1].outcome = crate::protocol::Outcome::FallsBack;
    ruling.contacts[1].stands = false;
    field.take_melee(&ruling);
    let clash = Clash::again(&field, Some("A")).unwrap();
    assert_eq!(clash.fled, ["Vale"]);
    let next = Melee::of(&rules, &field, &clash).unwrap().fight(&mut Ones);
    let tested: Vec<&str> = next.morale.iter().map(|test| test.unit.as_str()).collect();
    assert_eq!(tested, ["A"], "nobody lost a figure, and nobody is outnumbered");
}
