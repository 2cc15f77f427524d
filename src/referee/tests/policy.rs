//! Who may ask what.

use super::ford::{Ford, OPENER, again, change, charge, described, melee, open, shoot, undo};
use crate::battle::Battle;
use crate::protocol::{
    Appointee, Change, ContactAsk, HarmAsk, HarmHow, MeleeAsk, Muster, Office, QuickAsk, Request,
    Scale, Who,
};
use crate::referee::policy::{Asker, Needs, allows, bears_out, needs};

/// The battle at the ford with these offices.
fn battle(offices: &[(Appointee, Option<&str>)]) -> Battle {
    Ford::with_offices(offices).battle
}

#[test]
fn referees_do_all_captains_their_own_and_others_what_anyone_may() {
    let battle = battle(&[
        (Appointee::Person(2), Some("Vale")),
        (Appointee::Role(9), Some("Grey Banner")),
        (Appointee::Person(5), None),
    ]);
    let ours = melee("Ford Wardens", "Banner Spears");
    let theirs = melee("Banner Spears", "Ford Wardens");
    let word = Request::Word { name: "Orm".into(), text: "reeds".into() };
    let vale = || Office::Captain("Vale".into());
    let grey = || Office::Captain("Grey Banner".into());
    let asker =
        |n, roles: &[u64], manages| Asker { who: Who::Person(n), roles: roles.to_vec(), manages };
    for (asker, request, office) in [
        (asker(1, &[], false), &theirs, Ok(Office::Referee)),
        (asker(5, &[], false), &Request::Turn, Ok(Office::Referee)),
        (asker(2, &[], false), &ours, Ok(vale())),
        (asker(2, &[], false), &theirs, Err(Needs::Captain("Grey Banner".into()))),
        (asker(2, &[], false), &Request::Turn, Err(Needs::Referee)),
        (asker(2, &[], false), &word, Ok(vale())),
        (asker(3, &[9], false), &theirs, Ok(grey())),
        (asker(3, &[8], false), &theirs, Err(Needs::Captain("Grey Banner".into()))),
        (asker(3, &[], false), &word, Err(Needs::Officer)),
        (asker(3, &[], true), &Request::Close, Ok(Office::Manager)),
        (asker(3, &[], false), &Request::Close, Err(Needs::Manager)),
        (asker(3, &[], true), &Request::Turn, Err(Needs::Referee)),
        // A name that is nobody's is a mistake to hear about, not a matter of office.
        (asker(3, &[], false), &melee("Ford Wardns", "Banner Spears"), Ok(Office::Anyone)),
    ] {
        assert_eq!(asker.office(&battle, request), office, "{asker:?} {request:?}");
        if let Ok(office) = office {
            assert!(allows(&office, &battle, request), "{office:?} {request:?}");
        }
    }
    assert!(!allows(&vale(), &battle, &theirs));
    assert!(!allows(&Office::Anyone, &battle, &Request::Turn));
}

#[test]
fn anyone_gives_a_word_where_nobody_was_appointed() {
    let word = Request::Word { name: "Orm".into(), text: "reeds".into() };
    let office = Asker::person(7).office(&battle(&[]), &word);
    assert_eq!(office, Ok(Office::Anyone));
}

#[test]
fn an_office_that_nobody_was_appointed_to_is_not_borne_out() {
    let vale = Office::Captain("Vale".into());
    let battle = battle(&[(Appointee::Person(2), Some("Vale"))]);
    assert!(bears_out(&battle, OPENER, &Office::Referee, &Request::Turn));
    assert!(bears_out(&battle, Who::Person(2), &vale, &Request::Turn));
    assert!(!bears_out(&battle, Who::Person(3), &vale, &Request::Turn));
    assert!(!bears_out(&battle, Who::Person(2), &Office::Referee, &Request::Turn));
    assert!(bears_out(&battle, Who::Person(3), &Office::Anyone, &Request::Turn));
}

/// Whoever sits at the table has opened the battle there, and manages nothing else.
#[test]
fn the_table_is_the_referee_of_what_it_opened_alone() {
    let table = Asker::at_the_table();
    assert_eq!(table, Asker { who: Who::Table, roles: vec![], manages: false });
    let mut battle = battle(&[]);
    assert!(!table.is_referee(&battle));
    battle.opener = Who::Table;
    assert!(table.is_referee(&battle));
    assert!(!Asker::person(1).is_referee(&battle));
}

#[test]
fn a_captain_is_no_referee_and_a_referee_no_captain() {
    let battle = battle(&[(Appointee::Person(2), Some("Vale")), (Appointee::Person(5), None)]);
    assert!(!Asker::person(2).is_referee(&battle));
    assert!(Asker::person(5).is_referee(&battle));
    // A number is a person's or a role's, never both.
    let role = Asker { roles: vec![5], ..Asker::person(3) };
    assert!(!role.is_referee(&battle));
    let vale = Office::Captain("Vale".into());
    assert!(!bears_out(&battle, Who::Person(5), &vale, &Request::Turn));
}

/// A role bears out that somebody has it: who did is the platform's to say, not the record's.
#[test]
fn the_office_of_a_role_is_borne_out_for_anyone() {
    let grey = Office::Captain("Grey Banner".into());
    let battle = battle(&[(Appointee::Role(9), Some("Grey Banner")), (Appointee::Person(5), None)]);
    for (by, office, expected) in [
        (Who::Person(3), &grey, true),
        (Who::Person(3), &Office::Captain("Vale".into()), false),
        (Who::Person(5), &Office::Referee, true),
        (Who::Person(3), &Office::Referee, false),
        (Who::Person(3), &Office::Manager, true),
    ] {
        assert_eq!(bears_out(&battle, by, office, &Request::Turn), expected, "{by:?} {office:?}");
    }
}

#[test]
fn each_office_may_ask_what_is_its_own() {
    let vale = || Office::Captain("Vale".into());
    let word = || Request::Word { name: "Orm".into(), text: "reeds".into() };
    let led = battle(&[(Appointee::Person(2), Some("Vale"))]);
    for (office, request, expected) in [
        (Office::Referee, Request::Turn, true),
        (vale(), Request::Turn, false),
        (Office::Manager, Request::Turn, false),
        (Office::Manager, Request::Close, true),
        (vale(), Request::Close, false),
        (Office::Anyone, Request::Close, false),
        (vale(), word(), true),
        (Office::Manager, word(), false),
        (Office::Anyone, word(), false),
        (vale(), melee("Vale Bows", "Banner Horse"), true),
        (vale(), melee("Banner Horse", "Vale Bows"), false),
        (Office::Manager, melee("Vale Bows", "Banner Horse"), false),
        (Office::Anyone, Request::Throw { dice: vec![], purpose: None }, true),
    ] {
        assert_eq!(allows(&office, &led, &request), expected, "{office:?} {request:?}");
    }
}

fn quick() -> Request {
    Request::Quick(QuickAsk {
        scale: Scale::new(20).unwrap(),
        striker: described(8, "levy"),
        struck: described(8, "levy"),
        how: ContactAsk::new("", ""),
    })
}

#[test]
fn each_request_needs_whose_it_is() {
    let (vale, grey) = (Needs::Captain("Vale".into()), Needs::Captain("Grey Banner".into()));
    let name = |name: &str| name.to_owned();
    let engaged = Ford::mustered(open()).engaged(charge(), 1).battle;
    let to_grey = Change { side: Some(name("Grey Banner")), ..change("Vale Bows") };
    let no_contacts = MeleeAsk { contacts: vec![], cast: false };
    let appointee = Appointee::Person(2);
    let spared = Muster { spare: true, ..Muster::new("Mill Levy", "Vale", "levy", 70) };
    for (request, expected) in [
        (quick(), &Needs::Anyone),
        (Request::Throw { dice: vec![], purpose: None }, &Needs::Anyone),
        (Request::Close, &Needs::Manager),
        (Request::Reopen { battle: name("Harrow Ford") }, &Needs::Manager),
        (Request::Muster(Muster::new("Mill Levy", "Vale", "levy", 70)), &vale),
        (Request::Change(change("Vale Bows")), &vale),
        (Request::Change(to_grey), &Needs::Referee),
        (Request::Attach { leader: name("Orm"), unit: name("Banner Horse") }, &grey),
        (Request::Detach { unit: name("Ford Wardens") }, &vale),
        (Request::Lead { unit: name("Ford Wardens"), back: true }, &vale),
        (Request::Muster(spared), &Needs::Referee),
        (Request::Change(Change { spare: Some(true), ..change("Vale Bows") }), &Needs::Referee),
        (Request::Rally { unit: name("Ford Wardens") }, &vale),
        (melee("Banner Spears", "Vale Bows"), &grey),
        (Request::Melee(no_contacts), &Needs::Anyone),
        // Fighting on is for the unit that is named, or for the side that asked for the last round.
        (again(None), &grey),
        (again(Some("Ford Wardens")), &vale),
        (again(Some("Banner Horse")), &grey),
        (Request::Shoot(shoot("Vale Bows", "Banner Horse")), &vale),
        (Request::Cast { text: name("red reeds, cold hands") }, &Needs::Anyone),
        (Request::Open(open()), &Needs::Referee),
        (Request::Side { name: name("Mill") }, &Needs::Referee),
        (Request::Dismiss { unit: name("Vale Bows") }, &Needs::Referee),
        (
            Request::Part { unit: name("Ford Wardens"), from: None, reason: name("dusk") },
            &Needs::Referee,
        ),
        (
            Request::Harm(HarmAsk {
                unit: name("Ford Wardens"),
                how: HarmHow::Men(20),
                reason: name("a burning cart"),
            }),
            &Needs::Referee,
        ),
        (Request::Nerve { unit: name("Ford Wardens"), reason: name("dusk") }, &Needs::Referee),
        (
            Request::Reinforce { unit: name("Ford Wardens"), men: 20, reason: name("dusk") },
            &Needs::Referee,
        ),
        (Request::Rescale { scale: Scale::new(10).unwrap() }, &Needs::Referee),
        (Request::Turn, &Needs::Referee),
        (undo("a slip"), &Needs::Referee),
        (Request::Appoint { who: appointee, side: None }, &Needs::Referee),
        (Request::Relieve { who: appointee, side: None }, &Needs::Referee),
    ] {
        assert_eq!(&needs(&engaged, &request), expected, "{request:?}");
    }
    assert_eq!(needs(&battle(&[]), &again(None)), Needs::Anyone);
}

/// The battle at the ford with these offices, where the Vale has announced a melee.
fn announced(offices: &[(Appointee, Option<&str>)]) -> Battle {
    let mut ford = Ford::with_offices(offices);
    let contacts = vec![ContactAsk::new("Ford Wardens", "Banner Spears")];
    ford.ask(Request::Melee(MeleeAsk { contacts, cast: true }));
    ford.battle
}

/// Where that side has captains not even a referee casts for it: a referee may be the one who holds
/// the secret.
#[test]
fn a_roll_is_cast_by_the_side_that_it_threatens() {
    let cast = Request::Cast { text: "red reeds, cold hands".into() };
    let casts = |battle: &Battle, n| Asker::person(n).office(battle, &cast);
    let led = announced(&[
        (Appointee::Person(2), Some("Vale")),
        (Appointee::Person(3), Some("Grey Banner")),
    ]);
    let caster = || Needs::Caster("Grey Banner".into());
    assert_eq!(needs(&led, &cast), caster());
    assert_eq!(casts(&led, 3), Ok(Office::Captain("Grey Banner".into())));
    for n in [1, 2, 4] {
        assert_eq!(casts(&led, n), Err(caster()), "{n}");
    }
    let vale = || Office::Captain("Vale".into());
    for office in [Office::Referee, Office::Manager, Office::Anyone, vale()] {
        assert!(!allows(&office, &led, &cast), "{office:?}");
    }
    // Without captains it is whoever sits there, but nobody of the other side.
    let unled = announced(&[(Appointee::Person(2), Some("Vale"))]);
    assert_eq!(casts(&unled, 1), Ok(Office::Referee));
    assert_eq!(casts(&unled, 4), Ok(Office::Anyone));
    assert_eq!(casts(&unled, 2), Err(caster()));
    for office in [vale(), Office::Manager] {
        assert!(!allows(&office, &unled, &cast), "{office:?}");
    }
    // Whoever leads the other side does not cast against their own dice as a referee either.
    let both = announced(&[(Appointee::Person(2), Some("Vale")), (Appointee::Person(2), None)]);
    assert_eq!(casts(&both, 2), Err(caster()));
}

/// A role is the platform's to bear out, so that only captains by name are held to it.
#[test]
fn a_captain_casts_as_a_captain_whatever_else_they_are() {
    let cast = Request::Cast { text: "red reeds, cold hands".into() };
    let battle = battle(&[
        (Appointee::Person(2), Some("Vale")),
        (Appointee::Person(2), None),
        (Appointee::Person(5), None),
        (Appointee::Role(9), Some("Vale")),
    ]);
    for (by, office, expected) in [
        (Who::Person(2), Office::Captain("Vale".into()), true),
        (Who::Person(2), Office::Anyone, false),
        (Who::Person(2), Office::Manager, false),
        (Who::Person(2), Office::Referee, false),
        (Who::Person(3), Office::Anyone, true),
        (Who::Person(5), Office::Referee, true),
        (OPENER, Office::Referee, true),
    ] {
        assert_eq!(bears_out(&battle, by, &office, &cast), expected, "{by:?} {office:?}");
    }
    // What is no cast is asked in any office that they hold.
    assert!(bears_out(&battle, Who::Person(2), &Office::Referee, &Request::Turn));
}

/// At a table everybody sits, and so the table casts, whoever is captain.
#[test]
fn at_a_table_the_table_casts() {
    let cast = Request::Cast { text: "red reeds, cold hands".into() };
    let mut led = announced(&[(Appointee::Person(3), Some("Grey Banner"))]);
    assert!(!allows(&Office::Referee, &led, &cast));
    led.opener = Who::Table;
    assert!(allows(&Office::Referee, &led, &cast));
    assert_eq!(Asker::at_the_table().office(&led, &cast), Ok(Office::Referee));
    assert!(!allows(&Office::Anyone, &led, &cast));
}

/// Closing takes an announced roll back first, and whoever manages the server may close.
#[test]
fn an_announced_roll_is_taken_back_by_the_side_that_asked_or_whoever_may_close() {
    let undo = undo("no cast came");
    let waiting = announced(&[(Appointee::Person(2), Some("Vale"))]);
    let vale = || Needs::Captain("Vale".into());
    let manager = Asker { manages: true, ..Asker::person(9) };
    assert_eq!(needs(&waiting, &undo), vale());
    assert_eq!(manager.office(&waiting, &undo), Ok(Office::Manager));
    assert!(allows(&Office::Manager, &waiting, &undo));
    assert_eq!(Asker::person(2).office(&waiting, &undo), Ok(Office::Captain("Vale".into())));
    assert_eq!(Asker::person(9).office(&waiting, &undo), Err(vale()));
    // Nothing else that waits is a manager's, and no other change is either.
    let ours = melee("Ford Wardens", "Banner Spears");
    assert_eq!(manager.office(&waiting, &ours), Err(vale()));
    assert!(!allows(&Office::Manager, &waiting, &ours));
    assert_eq!(manager.office(&battle(&[]), &undo), Err(Needs::Referee));
    assert!(!allows(&Office::Manager, &battle(&[]), &undo));
}
