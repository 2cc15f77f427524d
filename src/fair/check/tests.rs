use super::*;
use crate::fair::{Chain, Secret, Throw};

/// A receipt of the chain's link `n` for roll `roll`, throwing three dice of six sides.
fn receipt(chain: &Chain, n: u32, roll: u32, next: Option<Digest>) -> Receipt {
    let statement = Statement {
        battle: "9f86d081884c7d65".into(),
        anchor: chain.anchor(),
        roll,
        asked: format!("table:{roll}"),
        words: vec![],
        next,
        rules_name: "open-field".into(),
        rules: Digest::ZERO,
        record: Digest::of(&roll.to_be_bytes()),
        cast: None,
        request: "melee A B".into(),
        taken_back: false,
    }
    .text();
    let link = chain.link(n).unwrap();
    let faces = Faces::new(&link, statement.as_bytes()).throw("A at B", 3, 6);
    Receipt {
        protocol: 1,
        anchor: chain.anchor(),
        roll,
        link,
        statement,
        throws: vec![Throw { purpose: "A at B".into(), sides: 6, faces }],
    }
}

/// Four rolls over two chains of two links each.
fn rolls() -> Vec<Receipt> {
    let chain = |byte| Chain::new(Secret::from_bytes([byte; 32]), 2);
    let (first, second) = (chain(1), chain(2));
    vec![
        receipt(&first, 1, 1, None),
        receipt(&first, 2, 2, Some(second.anchor())),
        receipt(&second, 1, 3, None),
        receipt(&second, 2, 4, Some(chain(3).anchor())),
    ]
}

fn check(receipts: &[Receipt]) -> Result<Vec<Holds>, Difference> {
    let mut checker = Checker::new();
    receipts.iter().map(|receipt| checker.check(receipt)).collect()
}

/// Dice that the link and the statement of the second of these rolls give.
fn thrown(purpose: &str, dice: u32) -> Throw {
    let Receipt { link, statement, .. } = &rolls()[1];
    let faces = Faces::new(link, statement.as_bytes()).throw(purpose, dice, 6);
    Throw { purpose: purpose.into(), sides: 6, faces }
}

#[test]
fn receipts_hold_alone_and_in_order_across_chains() {
    let holds = [(1, 1, 0), (2, 2, 0), (3, 1, 2), (4, 2, 2)].map(|(roll, link, before)| Holds {
        roll,
        link,
        before,
        taken_back: false,
    });
    assert_eq!(check(&rolls()).unwrap(), holds);
    for (receipt, holds) in rolls().into_iter().zip(holds) {
        assert_eq!(check(&[receipt]), Ok(vec![holds]));
    }
}

/// Whoever knows the anchor that was posted lets no roll be left out before the first that they see.
#[test]
fn a_checker_from_an_anchor_takes_nothing_but_the_first_roll_of_that_battle() {
    let anchor = rolls()[0].anchor;
    let field = |battle: &str, anchor, receipt: usize| {
        let mut checker = Checker::from_anchor(battle, anchor);
        checker.check(&rolls()[receipt]).map_err(|difference| difference.field)
    };
    let first = Holds { roll: 1, link: 1, before: 0, taken_back: false };
    assert_eq!(field("9f86d081884c7d65", anchor, 0), Ok(first));
    assert_eq!(field("9f86d081884c7d65", anchor, 1), Err("roll".to_owned()));
    assert_eq!(field("0123456789abcdef", anchor, 0), Err("battle".to_owned()));
    assert_eq!(field("9f86d081884c7d65", Digest::ZERO, 0), Err("anchor".to_owned()));
}

/// A link that everybody knows already would give dice that everybody knows.
#[test]
fn no_link_and_no_anchor_is_shown_twice() {
    let first = Chain::new(Secret::from_bytes([1; 32]), 2);
    let expected = "roll 2, link: expected a link that no roll and no anchor has shown before, \
                    found one that was shown";
    for next in [first.anchor(), first.link(1).unwrap(), first.link(2).unwrap()] {
        let receipts = [rolls().remove(0), receipt(&first, 2, 2, Some(next))];
        for mut checker in
            [Checker::new(), Checker::from_anchor("9f86d081884c7d65", first.anchor())]
        {
            assert!(checker.check(&receipts[0]).is_ok());
            assert_eq!(checker.check(&receipts[1]).unwrap_err().to_string(), expected);
        }
    }
}

#[test]
fn what_was_tampered_is_named() {
    let field = |change: &dyn Fn(&mut Vec<Receipt>)| {
        let mut receipts = rolls();
        change(&mut receipts);
        let difference = check(&receipts).unwrap_err();
        (difference.roll.unwrap(), difference.field)
    };
    let is = |roll, field: &str| (roll, field.to_owned());
    assert_eq!(field(&|r| r[1].throws[0].faces[0] += 1), is(2, "throw 1 (A at B)"));
    assert_eq!(field(&|r| r[1].throws[0].sides = 0), is(2, "throw 1 (A at B)"));
    assert_eq!(field(&|r| r[1].link = Digest::ZERO), is(2, "SHA-256 of the link"));
    assert_eq!(field(&|r| r[0].link = Digest::ZERO), is(1, "link"));
    assert_eq!(field(&|r| r[2].roll = 5), is(5, "roll in the statement"));
    assert_eq!(field(&|r| drop(r.remove(1))), is(3, "roll"));
    assert_eq!(field(&|r| r.swap(2, 3)), is(4, "roll"));
    assert_eq!(field(&|r| r[3].protocol = 2), is(4, "protocol"));
    assert_eq!(field(&|r| r[2].anchor = Digest::ZERO), is(3, "anchor in the statement"));
    assert_eq!(
        field(&|r| r[0].statement = r[0].statement.replace("A B", "B A")),
        is(1, "throw 1 (A at B)")
    );
    assert_eq!(
        field(&|r| r[0].statement = r[0].statement.replace("rules", "riles")),
        is(1, "statement")
    );
}

/// Each throw draws its own stream under its own label, so what has no label of its own, or no dice,
/// says nothing.
#[test]
fn every_throw_has_dice_and_a_label_of_its_own_that_can_be_seen() {
    let whole = |change: &dyn Fn(&mut Receipt)| {
        let mut receipts = rolls();
        change(&mut receipts[1]);
        check(&receipts).unwrap_err().to_string()
    };
    let no_dice = "expected dice of 1 side or more, found none";
    let unseen = "expected a label that can be seen, found another one";
    for (throw, expected) in [
        (Throw { sides: 0, ..thrown("B at A", 2) }, format!("throw 2 (B at A): {no_dice}")),
        (thrown("B at A", 0), format!("throw 2 (B at A): {no_dice}")),
        (thrown("", 2), format!("throw 2 (): {unseen}")),
        (thrown("B\u{200b}at A", 2), format!("throw 2 (B[U+200B]at A): {unseen}")),
        (
            thrown("A at B", 2),
            "throw 2 (A at B): expected a label of its own, found one that came before".to_owned(),
        ),
    ] {
        let said = whole(&|receipt| receipt.throws.push(throw.clone()));
        assert_eq!(said, format!("roll 2, {expected}"));
    }
    let mut two = rolls();
    two[1].throws.push(thrown("B at A", 2));
    assert!(check(&two).is_ok(), "a second throw with dice and a label of its own");
}

/// Nobody's file makes a checker draw for ever, and whatever a roll can throw still holds.
#[test]
fn as_many_throws_and_dice_as_a_roll_can_have_hold_and_no_more() {
    let with = |throws: Vec<Throw>| {
        let mut receipts = rolls();
        receipts[1].throws = throws;
        check(&receipts).map(drop).map_err(|difference| difference.to_string())
    };
    let throws = |count: usize| (0..count).map(|n| thrown(&format!("throw {n}"), 1)).collect();
    assert_eq!(with(throws(MOST_THROWS)), Ok(()));
    let many = "roll 2, throws: expected at most 240, found 241".to_owned();
    assert_eq!(with(throws(MOST_THROWS + 1)), Err(many));
    let dice = |count: usize| vec![thrown("A at B", u32::try_from(count).unwrap())];
    assert_eq!(with(dice(MOST_DICE)), Ok(()));
    let many = "roll 2, throw 1 (A at B): expected at most 20010 dice, found 20011".to_owned();
    assert_eq!(with(dice(MOST_DICE + 1)), Err(many));
}

#[test]
fn faces_that_were_not_drawn_are_shown_beside_those_that_were() {
    let mut receipts = rolls();
    let drawn = receipts[0].throws[0].faces.clone();
    receipts[0].throws[0].faces = vec![drawn[0], drawn[1], drawn[2] + 6];
    let expected = Difference {
        line: None,
        roll: Some(1),
        event: None,
        field: "throw 1 (A at B)".into(),
        expected: format!("{} {} {}", drawn[0], drawn[1], drawn[2]),
        found: format!("{} {} {}", drawn[0], drawn[1], drawn[2] + 6),
    };
    assert_eq!(check(&receipts), Err(expected));
}

/// Nothing but dice could then be told from a roll that was never thrown.
#[test]
fn a_roll_without_dice_was_taken_back_and_no_other_was() {
    let back = |receipt: &mut Receipt| {
        receipt.statement += "taken back\n";
        receipt.throws.clear();
    };
    let mut receipts = rolls();
    back(&mut receipts[1]);
    let taken_back: Vec<bool> =
        check(&receipts).unwrap().iter().map(|holds| holds.taken_back).collect();
    assert_eq!(taken_back, [false, true, false, false]);
    let mut thrown = rolls();
    thrown[1].statement += "taken back\n";
    let difference = check(&thrown).unwrap_err();
    assert_eq!((difference.field, difference.found), ("throws".into(), "some".into()));
    let mut empty = rolls();
    empty[1].throws.clear();
    let difference = check(&empty).unwrap_err();
    assert_eq!((difference.field, difference.found), ("throws".into(), "none".into()));
}

#[test]
fn the_last_number_there_is_has_no_next() {
    let mut checker = Checker::from_anchor("9f86d081884c7d65", Digest::ZERO);
    checker.last.as_mut().unwrap().roll = u32::MAX;
    assert_eq!(checker.check(&rolls()[0]).unwrap_err().field, "roll");
}

#[test]
fn nothing_of_a_forged_receipt_gets_through_to_a_terminal() {
    let paint = "\u{1b}[2J\u{9b}31mAll rolls hold.\u{202e}\r\n\u{200b}";
    let changes: [&dyn Fn(&mut Receipt); 5] = [
        &|receipt| receipt.throws[0].purpose = paint.into(),
        &|receipt| receipt.statement = paint.into(),
        &|receipt| receipt.statement = receipt.statement.replace("melee", paint),
        &|receipt| receipt.statement = receipt.statement.replace("9f86d081884c7d65", paint),
        &|receipt| receipt.statement = receipt.statement.replace("table:", paint),
    ];
    for change in changes {
        let mut receipts = rolls();
        change(&mut receipts[1]);
        let said = check(&receipts).unwrap_err().to_string();
        assert!(!said.chars().any(invisible), "{said:?}");
    }
}

#[test]
fn a_difference_reads_as_a_sentence() {
    let difference = Difference::new("link", &"1", &"2").in_roll(7).in_event(12).on_line(14);
    assert_eq!(difference.to_string(), "roll 7, event 12, line 14, link: expected 1, found 2");
    let nowhere = Difference::new("battle", &"one", &"none").to_string();
    assert_eq!(nowhere, "the file, battle: expected one, found none");
    // What was said of the place first knew it best.
    let twice = difference.clone().in_roll(8).in_event(13).on_line(15);
    assert_eq!(twice, difference);
}
