//! The hints of mistakes, held to the table of requests.

use super::{Kind, Need, Position, Slot, command, find, spell_for_chat, spell_for_table};
use crate::battle::{Hint, Mistake, TwoSides};
use crate::protocol::{Scale, Standing};

/// Every hint asks a request that there is, with slots that it has, as the table places them.
fn holds(hint: &Hint) {
    let spec = find(hint.request).unwrap_or_else(|| panic!("no request {}", hint.request));
    assert!(spec.fronts.table(), "the table cannot ask {hint}");
    if let Some(own) = hint.in_chat {
        let own = find(own).unwrap_or_else(|| panic!("no request {own}"));
        assert!(own.fronts.chat(), "a chat cannot ask {}", own.name);
        assert!(own.slots.iter().all(|slot| slot.need == Need::Optional), "{}", own.name);
        assert_eq!(spell_for_chat(hint), command(own));
    } else {
        assert!(spec.fronts.chat(), "a chat cannot ask {hint}");
        assert!(spell_for_chat(hint).starts_with(&command(spec)), "{hint}");
    }
    for given in &hint.given {
        let slot = spec.slot(given.slot).unwrap_or_else(|| panic!("{hint}: no {}", given.slot));
        assert_eq!(matches!(slot.kind, Kind::Flag), given.value.is_none(), "{hint}");
        let placed = !slot_is_option(slot);
        assert_eq!(placed, given.word, "{hint}: {}", given.slot);
    }
    for slot in spec.slots.iter().filter(|slot| slot.need != Need::Optional) {
        let given = hint.given.iter().any(|given| given.slot == slot.name);
        assert!(given, "{hint}: {} is needed", slot.name);
    }
    assert_eq!(spell_for_table(hint), hint.to_string());
}

fn slot_is_option(slot: &Slot) -> bool {
    matches!(slot.place, Position::Option | Position::Options)
}

/// Samples of every variant of [`Mistake`]: the compiler finds one that is missing.
macro_rules! of_every_mistake {
    ($($variant:ident => [$($sample:expr),+],)+) => {{
        const _: fn(&Mistake) = |mistake| match mistake {
            $(Mistake::$variant { .. } => (),)+
        };
        vec![$($($sample),+),+]
    }};
}

fn two_sides() -> TwoSides {
    TwoSides::new(["Ida", "Vale"], ["Banner Spears", "Grey Banner"])
}

/// At least one of each mistake; more where its hint depends on what it holds.
#[rustfmt::skip]
#[allow(clippy::too_many_lines, reason = "one line a mistake")]
fn samples() -> Vec<Mistake> {
    of_every_mistake! {
        NoBattle => [Mistake::NoBattle],
        AlreadyOpen => [Mistake::AlreadyOpen("Vale".to_owned())],
        BattleNameTaken => [Mistake::BattleNameTaken("Vale".to_owned())],
        NoSuchBattle => [Mistake::NoSuchBattle { name: "Vale".to_owned(), meant: None }, Mistake::NoSuchBattle { name: "Vale".to_owned(), meant: Some("Vale".to_owned()) }],
        NotClosed => [Mistake::NotClosed("Vale".to_owned())],
        NoSuchBattleInRecord => [Mistake::NoSuchBattleInRecord { name: "Vale".to_owned(), known: vec!["Vale".to_owned()] }],
        EmptyRecord => [Mistake::EmptyRecord],
        OnlyQuickInRecord => [Mistake::OnlyQuickInRecord],
        WhichBattle => [Mistake::WhichBattle { known: vec!["Vale".to_owned()] }],
        TooManyEvents => [Mistake::TooManyEvents { what: "a report", events: 10_001, most: 10_000 }],
        NoSuchRules => [Mistake::NoSuchRules { name: "Vale".to_owned(), known: vec!["Vale".to_owned()] }],
        NoSuchUnit => [Mistake::NoSuchUnit { name: "Vale".to_owned(), meant: None }, Mistake::NoSuchUnit { name: "Vale".to_owned(), meant: Some("Vale".to_owned()) }],
        NotInRules => [Mistake::NotInRules { kind: "class", name: "Vale".to_owned(), known: vec!["Vale".to_owned()] }],
        NoSuchSide => [Mistake::NoSuchSide { name: "Vale".to_owned(), known: vec!["Vale".to_owned()] }],
        SideTaken => [Mistake::SideTaken("Vale".to_owned())],
        BadName => [Mistake::BadName("Vale".to_owned())],
        NameTaken => [Mistake::NameTaken("Vale".to_owned())],
        TooManyScales => [Mistake::TooManyScales(12)],
        TooLike => [Mistake::TooLike { name: "Va1e".to_owned(), like: "Vale".to_owned() }],
        Hidden => [Mistake::Hidden("Vale[U+00A0]".to_owned()), Mistake::Hidden(String::new())],
        Men => [Mistake::Men(7)],
        TooManyFigures => [Mistake::TooManyFigures { men: 7, figures: 7, scale: Scale::new(20).unwrap() }],
        TooManyUnits => [Mistake::TooManyUnits],
        Frontage => [Mistake::Frontage(7)],
        TooFew => [Mistake::TooFew { men: 20, figures: 1, least: 2, scale: Scale::new(20).unwrap() }],
        NoFigures => [Mistake::NoFigures { units: vec!["Vale".to_owned()], scale: Scale::new(20).unwrap() }],
        Hits => [Mistake::Hits(61)],
        SingleWith => [Mistake::SingleWith("Vale".to_owned())],
        MoreThanMustered => [Mistake::MoreThanMustered { unit: "Vale".to_owned(), men: 100, mustered: 80 }],
        CannotReinforce => [Mistake::CannotReinforce { unit: "Vale".to_owned(), standing: None }, Mistake::CannotReinforce { unit: "Vale".to_owned(), standing: Some(Standing::Left) }],
        CannotHarm => [Mistake::CannotHarm { unit: "Vale".to_owned(), standing: Standing::Destroyed }],
        NoMenToHarm => [Mistake::NoMenToHarm("Vale".to_owned())],
        HarmRange => [Mistake::HarmRange],
        HarmKillsOn => [Mistake::HarmKillsOn { kills_on: 21, sides: 20 }],
        NoNerve => [Mistake::NoNerve { unit: "Vale".to_owned(), standing: Standing::Routing }, Mistake::NoNerve { unit: "Vale".to_owned(), standing: Standing::Destroyed }],
        ShooterCount => [Mistake::ShooterCount],
        ShooterTwice => [Mistake::ShooterTwice("Vale".to_owned())],
        MixedShooters => [Mistake::MixedShooters(two_sides())],
        Width => [Mistake::Width(0)],
        TwoWidths => [Mistake::TwoWidths(2, 3)],
        NothingToChange => [Mistake::NothingToChange],
        DestroyedByHand => [Mistake::DestroyedByHand],
        NoMen => [Mistake::NoMen("Vale".to_owned())],
        InContactForChange => [Mistake::InContactForChange("Vale".to_owned())],
        SameScale => [Mistake::SameScale(Scale::new(20).unwrap())],
        NoSuchLeader => [Mistake::NoSuchLeader { name: "Vale".to_owned(), known: vec!["Vale".to_owned()] }, Mistake::NoSuchLeader { name: "Vale".to_owned(), known: vec![] }],
        OtherSidesLeader => [Mistake::OtherSidesLeader(two_sides())],
        NoLeader => [Mistake::NoLeader("Vale".to_owned())],
        LeaderNumber => [Mistake::LeaderNumber(7)],
        WoundsTaken => [Mistake::WoundsTaken { leader: "Vale".to_owned(), taken: 1 }],
        TwoGenerals => [Mistake::TwoGenerals { side: "Vale".to_owned(), general: "Vale".to_owned() }],
        NoTable => [Mistake::NoTable { what: "single combat", table: "duel" }],
        NoFoes => [Mistake::NoFoes("Vale".to_owned(), "Vale".to_owned())],
        FoughtAlready => [Mistake::FoughtAlready("Vale".to_owned())],
        DoNotMeet => [Mistake::DoNotMeet("Vale".to_owned(), "Vale".to_owned())],
        InContactForLeader => [Mistake::InContactForLeader("Vale".to_owned())],
        PlacedSo => [Mistake::PlacedSo { leader: "Vale".to_owned(), back: true }],
        InContactForPlace => [Mistake::InContactForPlace("Vale".to_owned())],
        PlacedAlready => [Mistake::PlacedAlready("Vale".to_owned())],
        OutOfTheFight => [Mistake::OutOfTheFight("Vale".to_owned())],
        HasLeader => [Mistake::HasLeader { unit: "Vale".to_owned(), leader: "Vale".to_owned() }],
        ContactCount => [Mistake::ContactCount],
        SameSide => [Mistake::SameSide("Vale".to_owned(), "Vale".to_owned())],
        MixedStrikers => [Mistake::MixedStrikers(two_sides())],
        MixedStruck => [Mistake::MixedStruck(two_sides())],
        ContactTwice => [Mistake::ContactTwice("Vale".to_owned(), "Vale".to_owned())],
        CannotFight => [Mistake::CannotFight { unit: "Vale".to_owned(), standing: Standing::Destroyed }, Mistake::CannotFight { unit: "Vale".to_owned(), standing: Standing::Routing }],
        FootCharge => [Mistake::FootCharge { unit: "Vale".to_owned(), class: "Vale".to_owned() }],
        AlreadyMet => [Mistake::AlreadyMet("Vale".to_owned(), "Vale".to_owned())],
        RoundsFought => [Mistake::RoundsFought(3)],
        NoKnownCondition => [Mistake::NoKnownCondition { name: "mud".to_owned(), known: vec![] }, Mistake::NoKnownCondition { name: "mud".to_owned(), known: vec!["weary".to_owned()] }],
        ConditionKnown => [Mistake::ConditionKnown("weary".to_owned())],
        StandsElsewhere => [Mistake::StandsElsewhere { name: "weary".to_owned(), on: "a unit".to_owned() }],
        NoSuchCondition => [Mistake::NoSuchCondition { name: "weary".to_owned(), known: vec![] }, Mistake::NoSuchCondition { name: "weary".to_owned(), known: vec!["mud".to_owned()] }],
        BadEffects => [Mistake::BadEffects],
        TooManyConditions => [Mistake::TooManyConditions],
        MayNot => [Mistake::MayNot { unit: "Vale".to_owned(), what: "shoot", condition: "mud".to_owned() }],
        BadSteps => [Mistake::BadSteps],
        NotMet => [Mistake::NotMet("Vale".to_owned(), "Vale".to_owned())],
        NothingToFightOn => [Mistake::NothingToFightOn],
        NothingToWeigh => [Mistake::NothingToWeigh],
        NotInMelee => [Mistake::NotInMelee("Vale".to_owned())],
        NothingToCast => [Mistake::NothingToCast],
        WaitingForCast => [Mistake::WaitingForCast { asking: "Vale".to_owned(), casting: "Vale".to_owned() }],
        NoWeapon => [Mistake::NoWeapon("Vale".to_owned())],
        OutOfRange => [Mistake::OutOfRange { weapon: "Vale".to_owned() }],
        Steady => [Mistake::Steady("Vale".to_owned())],
        CannotRally => [Mistake::CannotRally { unit: "Vale".to_owned(), standing: Standing::Destroyed }],
        InContact => [Mistake::InContact("Vale".to_owned())],
        RalliedAlready => [Mistake::RalliedAlready("Vale".to_owned())],
        BadDescription => [Mistake::BadDescription("Vale".to_owned())],
        BadDice => [Mistake::BadDice("Vale".to_owned())],
        DiceCount => [Mistake::DiceCount],
        BadPurpose => [Mistake::BadPurpose],
        BadCast => [Mistake::BadCast],
        NothingToThrow => [Mistake::NothingToThrow],
        WordTaken => [Mistake::WordTaken("Vale".to_owned())],
        BadWord => [Mistake::BadWord],
        TooManyWords => [Mistake::TooManyWords],
        BadReason => [Mistake::BadReason],
        HoldsOffice => [Mistake::HoldsOffice],
        HoldsNoOffice => [Mistake::HoldsNoOffice],
        TooManyOffices => [Mistake::TooManyOffices],
        NothingToUndo => [Mistake::NothingToUndo],
        NoSuchRoll => [Mistake::NoSuchRoll { roll: 7, last: 7 }],
        NoChain => [Mistake::NoChain],
    }
}

#[test]
fn every_hint_of_a_mistake_is_a_request_with_its_slots() {
    let mut hints = 0;
    for mistake in samples() {
        let told = mistake.told();
        assert_eq!(told.to_string(), mistake.to_string());
        let Some(hint) = told.hint else {
            // A sentence that is whole in itself ends as one does.
            assert!(told.sentence.ends_with(['.', '?', '"']), "{mistake}");
            continue;
        };
        // The hint stands behind the sentence and not in it.
        assert_eq!(format!("{}: {hint}", told.sentence), mistake.to_string());
        holds(&hint);
        hints += 1;
    }
    assert!(hints >= 20, "only {hints} hints");
}
