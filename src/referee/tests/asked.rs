//! What a request comes to for which no die is thrown.

use super::ford::{Ford, LINKS, OPENER, chain, change, charge, open, rules, undo};
use crate::battle::{GivenWord, Mistake, TwoSides};
use crate::fair::Word;
use crate::protocol::{
    Appointee, Body, Change, Muster, Office, Open, Protocol, Request, Scale, Standing, Strength,
    Unit, Who,
};
use crate::referee::decide::opening;
use crate::referee::{Needs, Refusal};
use std::sync::Arc;

#[test]
fn an_opening_says_all_that_the_battle_is_held_to() {
    let rules = rules();
    let anchors = [chain(1).anchor(), chain(2).anchor()];
    let opened = |open: &Open| opening(Protocol::LATEST, open, &rules, anchors, LINKS);
    let expected = Body::Opened {
        protocol: Protocol::LATEST,
        name: "Harrow Ford".into(),
        scale: Scale::new(20).unwrap(),
        sides: vec!["Vale".into(), "Grey Banner".into()],
        rules_name: "six-sided".into(),
        rules: rules.sha256,
        anchor: anchors[0],
        next_anchor: anchors[1],
        chain_length: LINKS,
        casts: true,
    };
    assert_eq!(opened(&Open { casts: true, ..open() }), Ok(expected));
    let sides = |sides: &[&str]| Open {
        sides: sides.iter().map(|side| (*side).to_owned()).collect(),
        ..open()
    };
    let rules_called = |name: &str| Open { rules: Some(name.into()), ..open() };
    assert!(opened(&rules_called("six-sided")).is_ok());
    let (name, known) = ("Open Field".to_owned(), vec!["six-sided".to_owned()]);
    assert_eq!(opened(&rules_called(&name)), Err(Mistake::NoSuchRules { name, known }));
    let name = Open { name: "@Harrow".into(), ..open() };
    assert_eq!(opened(&name), Err(Mistake::BadName("@Harrow".into())));
    assert_eq!(opened(&sides(&["Vale", "-x"])), Err(Mistake::BadName("-x".into())));
    assert_eq!(opened(&sides(&["Vale", "x", "Vale"])), Err(Mistake::SideTaken("Vale".into())));
}

#[test]
fn each_request_comes_to_what_it_says() {
    let ford = Ford::mustered(open());
    let scale = Scale::new(20).unwrap();
    let guard = Appointee::Role(9);
    let strength = Strength { men: 70, figures: 4 };
    let mill = Unit {
        muster: strength,
        now: strength,
        standing: Standing::Steady,
        rallied: false,
        shot_at: false,
        single: false,
        name: "Mill Levy".into(),
        side: "Vale".into(),
        class: "levy".into(),
        grade: "trained".into(),
        leader: None,
        weapon: None,
        frontage: None,
        long_spears: false,
    };
    let counted = |unit: &str, before, after| (unit.to_owned(), before, after);
    for (request, body) in [
        (Request::Side { name: "Mill".into() }, Body::SideAdded { name: "Mill".into() }),
        (
            Request::Muster(Muster::new("Mill Levy", "Vale", "levy", 70)),
            Body::Mustered { unit: mill, scale },
        ),
        (
            Request::Dismiss { unit: "Banner Spears".into() },
            Body::Dismissed { unit: "Banner Spears".into(), freed: Some("Orm".into()) },
        ),
        (
            Request::Rescale { scale: Scale::new(10).unwrap() },
            Body::Rescaled {
                from: scale,
                to: Scale::new(10).unwrap(),
                units: vec![
                    counted("Ford Wardens", 8, 16),
                    counted("Vale Bows", 5, 10),
                    counted("Banner Spears", 10, 20),
                    counted("Banner Horse", 3, 6),
                ],
            },
        ),
        (Request::Turn, Body::Turned { turn: 2 }),
        (
            Request::Word { name: "Ida".into(), text: "grey cloth".into() },
            Body::WordGiven { word: Word { name: "Ida".into(), text: "grey cloth".into() } },
        ),
        (
            Request::Appoint { who: guard, side: Some("Vale".into()) },
            Body::Appointed { who: guard, side: Some("Vale".into()) },
        ),
        (Request::Appoint { who: guard, side: None }, Body::Appointed { who: guard, side: None }),
        (Request::Close, Body::Closed),
    ] {
        assert_eq!(ford.body(&request), body);
    }
}

#[test]
fn a_change_tells_the_unit_before_and_after() {
    let ford = Ford::mustered(open());
    let before = Unit::clone(ford.battle.field.unit("Banner Horse").unwrap());
    let after = Unit {
        long_spears: true,
        now: Strength { men: 80, figures: 4 },
        muster: Strength { men: 80, figures: 4 },
        ..before.clone()
    };
    let request =
        Request::Change(Change { men: Some(80), spears: Some(true), ..change("Banner Horse") });
    assert_eq!(
        ford.body(&request),
        Body::Changed { before, after, scale: Scale::new(20).unwrap() }
    );
}

/// Only what is in contact is taken out of it.
#[test]
fn units_are_parted_with_a_reason() {
    let part = |unit: &str, from: Option<&str>, reason: &str| Request::Part {
        unit: unit.into(),
        from: from.map(str::to_owned),
        reason: reason.into(),
    };
    let ford = Ford::mustered(open()).engaged(charge(), 1);
    let pairs = vec![["Banner Horse".to_owned(), "Ford Wardens".to_owned()]];
    let reason = "the bridge is down";
    for from in [None, Some("Ford Wardens")] {
        let body = ford.body(&part("Banner Horse", from, reason));
        assert_eq!(body, Body::Parted { pairs: pairs.clone(), reason: reason.into() });
    }
    let mistake = |unit: &str, from, reason| ford.mistake(&part(unit, from, reason));
    assert_eq!(mistake("Banner Horse", None, ""), Mistake::BadReason);
    assert_eq!(mistake("Vale Bows", None, reason), Mistake::NotInMelee("Vale Bows".into()));
    let not_met = Mistake::NotMet("Banner Horse".into(), "Vale Bows".into());
    assert_eq!(mistake("Banner Horse", Some("Vale Bows"), reason), not_met);
}

#[test]
fn a_free_leader_is_attached_to_a_unit_of_his_side() {
    let mut ford = Ford::mustered(open());
    ford.ask(Request::Change(Change { men: Some(0), ..change("Banner Spears") }));
    let attach =
        |leader: &str, unit: &str| Request::Attach { leader: leader.into(), unit: unit.into() };
    let (leader, unit) = ("Orm".into(), "Banner Horse".into());
    let attached = Body::Attached { leader, unit, from: None };
    assert_eq!(ford.body(&attach("Orm", "Banner Horse")), attached);
    let known = vec!["Ida".to_owned(), "Orm".to_owned()];
    assert_eq!(
        ford.mistake(&attach("Sela", "Banner Horse")),
        Mistake::NoSuchLeader { name: "Sela".into(), known }
    );
    assert_eq!(
        ford.mistake(&attach("Ida", "Banner Horse")),
        Mistake::OtherSidesLeader(TwoSides::new(["Ida", "Vale"], ["Banner Horse", "Grey Banner"]))
    );
    assert_eq!(
        ford.mistake(&attach("Orm", "Vale Bows")),
        Mistake::OtherSidesLeader(TwoSides::new(["Orm", "Grey Banner"], ["Vale Bows", "Vale"]))
    );
    assert_eq!(
        ford.mistake(&attach("Orm", "Banner Spears")),
        Mistake::NoMen("Banner Spears".into())
    );
    let led = Muster::new("Banner Guard", "Grey Banner", "heavy foot", 80);
    ford.ask(Request::Muster(Muster { leader: Some("Ansel".into()), ..led }));
    assert_eq!(
        ford.mistake(&attach("Orm", "Banner Guard")),
        Mistake::HasLeader { unit: "Banner Guard".into(), leader: "Ansel".into() }
    );
}

#[test]
fn a_leader_goes_to_another_unit_or_stands_alone_out_of_contact() {
    let attach = Request::Attach { leader: "Ida".into(), unit: "Vale Bows".into() };
    let detach = |unit: &str| Request::Detach { unit: unit.into() };
    let led = |ford: &Ford, unit: &str| {
        ford.battle.field.unit(unit).unwrap().leader.as_ref().map(|leader| leader.name.clone())
    };
    let mut ford = Ford::mustered(open());
    ford.ask(attach.clone());
    assert_eq!((led(&ford, "Ford Wardens"), led(&ford, "Vale Bows")), (None, Some("Ida".into())));
    assert_eq!(ford.mistake(&detach("Ford Wardens")), Mistake::NoLeader("Ford Wardens".into()));
    ford.ask(detach("Vale Bows"));
    assert_eq!(led(&ford, "Vale Bows"), None);
    assert_eq!(ford.battle.field.free_leaders[0].leader.name, "Ida");
    ford.ask(attach.clone());
    assert_eq!(led(&ford, "Vale Bows"), Some("Ida".into()));
    let met = Ford::mustered(open()).engaged(charge(), 1);
    let in_contact = |unit: &str| Mistake::InContactForLeader(unit.into());
    assert_eq!(met.mistake(&attach), in_contact("Ford Wardens"));
    assert_eq!(met.mistake(&detach("Ford Wardens")), in_contact("Ford Wardens"));
    let to_horse = Request::Attach { leader: "Orm".into(), unit: "Banner Horse".into() };
    assert_eq!(met.mistake(&to_horse), in_contact("Banner Horse"));
}

/// Once a turn and out of contact for a captain; for a referee, before any round.
#[test]
fn a_leader_takes_his_place() {
    let lead = |back| Request::Lead { unit: "Ford Wardens".into(), back };
    let captain = Office::Captain("Vale".into());
    let refused = |ford: &Ford, back| match ford.decide_as(Who::Person(2), &captain, &lead(back)) {
        Err(Refusal::Mistake(mistake)) => mistake,
        other => panic!("{other:?}"),
    };
    let mut ford = Ford::mustered(open());
    let ida = "Ida".to_owned();
    assert_eq!(ford.mistake(&lead(false)), Mistake::PlacedSo { leader: ida.clone(), back: false });
    ford.decide_as(Who::Person(2), &captain, &lead(true)).unwrap();
    ford.ask(lead(true));
    assert_eq!(refused(&ford, false), Mistake::PlacedAlready(ida));
    ford.ask(lead(false));
    ford.ask(Request::Turn);
    ford.decide_as(Who::Person(2), &captain, &lead(true)).unwrap();
    let met = Ford::mustered(open()).engaged(charge(), 1);
    assert_eq!(refused(&met, true), Mistake::InContactForPlace("Ford Wardens".into()));
    met.decide(&lead(true)).unwrap();
}

#[test]
fn a_battle_is_opened_again_by_its_own_name_once_it_is_closed() {
    let mut ford = Ford::mustered(open());
    let reopen = |name: &str| Request::Reopen { battle: name.into() };
    let name = || "Harrow Ford".to_owned();
    assert_eq!(ford.mistake(&Request::Open(open())), Mistake::AlreadyOpen(name()));
    assert_eq!(ford.mistake(&reopen("Harrow Ford")), Mistake::NotClosed(name()));
    ford.ask(Request::Close);
    let (wanted, meant) = ("Mill Hill".to_owned(), Some(name()));
    let unknown = Mistake::NoSuchBattle { name: wanted, meant };
    assert_eq!(ford.mistake(&reopen("Mill Hill")), unknown);
    assert_eq!(ford.body(&reopen("Harrow Ford")), Body::Reopened);
}

#[test]
fn an_undo_names_the_latest_change_and_what_had_been_asked() {
    let mut ford = Ford::mustered(open());
    assert_eq!(
        Ford::opened(open()).mistake(&undo("a slip")),
        Mistake::NothingToUndo,
        "an opening is no change"
    );
    ford.ask(Request::Turn);
    let reason = "é".repeat(200);
    let (request, roll) = (Box::new(Request::Turn), None);
    let expected = Body::Undone { seq: 6, roll, request, reason: reason.clone() };
    assert_eq!(ford.body(&undo(&reason)), expected);
    for reason in ["", &"é".repeat(201), "one\ntwo"] {
        assert_eq!(ford.mistake(&undo(reason)), Mistake::BadReason, "{reason:?}");
    }
}

#[test]
fn an_office_is_given_once_and_taken_from_whoever_holds_it() {
    let (person, role) = (Appointee::Person(2), Appointee::Role(2));
    let mut ford = Ford::with_offices(&[(person, Some("Vale")), (role, None)]);
    let side = |side: Option<&str>| side.map(str::to_owned);
    let appoint = |who, to| Request::Appoint { who, side: side(to) };
    let relieve = |who, of| Request::Relieve { who, side: side(of) };
    assert_eq!(
        ford.body(&relieve(person, Some("Vale"))),
        Body::Relieved { who: person, side: Some("Vale".into()) }
    );
    assert_eq!(ford.body(&relieve(role, None)), Body::Relieved { who: role, side: None });
    for (who, of) in [(person, None), (role, Some("Vale")), (person, Some("Grey Banner"))] {
        assert_eq!(ford.mistake(&relieve(who, of)), Mistake::HoldsNoOffice, "{who:?} {of:?}");
        let appointed = Body::Appointed { who, side: side(of) };
        assert_eq!(ford.body(&appoint(who, of)), appointed);
    }
    for (who, of) in [(person, Some("Vale")), (role, None)] {
        assert_eq!(ford.mistake(&appoint(who, of)), Mistake::HoldsOffice, "{who:?} {of:?}");
    }
    let known = vec!["Vale".to_owned(), "Grey Banner".to_owned()];
    let unknown = Mistake::NoSuchSide { name: "Mill".into(), known };
    assert_eq!(ford.mistake(&appoint(person, Some("Mill"))), unknown);
    assert_eq!(ford.mistake(&relieve(person, Some("Mill"))), unknown);
    for n in 3..=60 {
        ford.ask(appoint(Appointee::Person(n), None));
    }
    let one_more = appoint(Appointee::Person(61), None);
    assert_eq!(ford.mistake(&one_more), Mistake::TooManyOffices);
    ford.ask(relieve(Appointee::Person(60), None));
    assert_eq!(ford.body(&one_more), Body::Appointed { who: Appointee::Person(61), side: None });
}

#[test]
fn a_word_belongs_to_whoever_gave_it() {
    let mut ford = Ford::mustered(open());
    let word = |name: &str| Request::Word { name: name.into(), text: "grey cloth".into() };
    let given =
        |ford: &Ford, by, name: &str| match ford.decide_as(by, &Office::Referee, &word(name)) {
            Ok(decision) => Ok(decision.body),
            Err(Refusal::Mistake(mistake)) => Err(mistake),
            Err(other) => panic!("{other}"),
        };
    let fits = |name: &str| {
        Ok(Body::WordGiven { word: Word { name: name.into(), text: "grey cloth".into() } })
    };
    let taken = |name: &str| Err(Mistake::WordTaken(name.into()));
    ford.ask_as(Who::Person(2), word("Orm"));
    // Whoever gave it gives it anew; nobody else does, and nobody speaks under another's number.
    let own = [(Who::Person(2), "Orm"), (Who::Person(3), "person-3"), (Who::Table, "table")];
    for (by, name) in own {
        assert_eq!(given(&ford, by, name), fits(name), "{by:?}");
    }
    for (by, name) in [
        (Who::Person(3), "Orm"),
        (Who::Table, "Orm"),
        (Who::Person(3), "person-4"),
        (Who::Person(3), "table"),
        (Who::Person(3), "referee"),
        (Who::Person(3), "role-7"),
    ] {
        assert_eq!(given(&ford, by, name), taken(name), "{by:?}");
    }
    assert_eq!(given(&ford, OPENER, "Ida"), fits("Ida"));
    assert_eq!(given(&ford, OPENER, "#Ida"), Err(Mistake::BadName("#Ida".into())));
}

#[test]
fn a_battle_has_40_words_of_80_characters_at_the_most() {
    let mut ford = Ford::mustered(open());
    let word = |name: &str, text: &str| Request::Word { name: name.into(), text: text.into() };
    for text in ["", &"é".repeat(81), "one\ntwo"] {
        assert_eq!(ford.mistake(&word("Ida", text)), Mistake::BadWord, "{text:?}");
    }
    let long = "é".repeat(80);
    let body = Body::WordGiven { word: Word { name: "Ida".into(), text: long.clone() } };
    assert_eq!(ford.body(&word("Ida", &long)), body);
    let given = |n| GivenWord {
        by: Who::Person(n),
        word: Word { name: format!("Captain {n}"), text: "grey cloth".into() },
    };
    ford.battle.words = Arc::new((1..=40).map(given).collect());
    let anew = ford.body(&word("Captain 1", "red reeds"));
    assert!(matches!(anew, Body::WordGiven { .. }), "it takes the place of the one before");
    Arc::make_mut(&mut ford.battle.words)[0].by = Who::Person(99);
    assert_eq!(ford.mistake(&word("Ida", "red reeds")), Mistake::TooManyWords);
    Arc::make_mut(&mut ford.battle.words).pop();
    assert!(matches!(ford.body(&word("Ida", "red reeds")), Body::WordGiven { .. }));
}

/// Deciding holds to the office that it is told, so that a check finds an office that does not fit.
#[test]
fn what_an_office_may_not_ask_is_refused() {
    let ford = Ford::mustered(open());
    let vale = Office::Captain("Vale".into());
    let refused = ford.decide_as(Who::Person(2), &vale, &Request::Turn).unwrap_err();
    let Refusal::NotYours { needs, ask } = refused else { panic!("{refused}") };
    assert_eq!((needs, ask), (Needs::Referee, vec![OPENER]));
}
