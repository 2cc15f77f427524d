//! Battles at random: whatever is asked, the record and the field hold together.

use crate::helper::{Game, audit};
use drumhead::battle::Battle;
use drumhead::protocol::Standing;
use proptest::prelude::*;

/// Lines that a careless group might say, in any order.
fn line() -> impl Strategy<Value = String> {
    let unit = || prop::sample::select(vec!["A", "B", "C", "P", "Q", "R"]);
    let flags = prop::sample::select(vec![
        "",
        "--charge",
        "--flank",
        "--rear",
        "--higher ours",
        "--obstacle theirs",
        "--countercharge",
    ]);
    prop_oneof![
        6 => (unit(), unit(), flags.clone()).prop_map(|(a, b, f)| format!("melee {a} {b} {f}")),
        3 => (unit(), unit(), unit(), unit(), flags)
            .prop_map(|(a, b, c, d, f)| format!("melee {a} {b} {f} and {c} {d}")),
        2 => unit().prop_map(|a| format!("again {a}")),
        1 => Just("again".to_owned()),
        1 => (unit(), unit()).prop_map(|(a, b)| format!("melee {a} {b} --cast")),
        2 => Just("cast \"red reeds, cold hands\"".to_owned()),
        2 => (unit(), unit()).prop_map(|(a, b)| format!("shoot {a} {b} --cover light")),
        2 => unit().prop_map(|a| format!("rally {a}")),
        2 => Just("turn".to_owned()),
        2 => Just("undo a slip".to_owned()),
        1 => (1..60_u32).prop_map(|n| format!("rescale {n}")),
        1 => (unit(), 0..400_u32).prop_map(|(a, men)| format!("change {a} --men {men}")),
        1 => (unit(), prop::sample::select(vec!["steady", "shaken", "routing", "left"]))
            .prop_map(|(a, s)| format!("change {a} --standing {s}")),
        1 => (unit(), 1..40_u32).prop_map(|(a, n)| format!("harm {a} --dice {n} --kills-on 15 --why fire")),
        1 => (unit(), prop::sample::select(vec!["1", "7", "45", "2d20", "1d6 3d10"]))
            .prop_map(|(a, men)| format!("harm {a} --men \"{men}\" --why fire")),
        1 => (unit(), 1..4_u32).prop_map(|(a, n)| format!("harm {a} --figures {n} --why fire")),
        1 => unit().prop_map(|a| format!("nerve {a} --why dusk")),
        1 => (unit(), 1..90_u32).prop_map(|(a, n)| format!("reinforce {a} --men {n} --why late")),
        1 => unit().prop_map(|a| format!("part {a} --why dusk")),
        1 => unit().prop_map(|a| format!("dismiss {a}")),
        1 => unit().prop_map(|a| format!("attach Ida {a}")),
        1 => unit().prop_map(|a| format!("muster {a} --side Vale --class \"outriders\" --men 90")),
        1 => "[a-z]{1,5}".prop_map(|text| format!("word Orm {text}")),
    ]
}

/// What every battle keeps to, whatever was asked.
fn invariants(battle: &Battle) {
    let field = &battle.field;
    for unit in field.units.iter() {
        assert!(unit.now.men <= unit.muster.men && unit.now.figures <= unit.muster.figures);
        assert_eq!(unit.now.men == 0, unit.now.figures == 0, "{unit:?}");
        assert_eq!(unit.now.figures == 0, unit.standing == Standing::Destroyed, "{unit:?}");
        assert!(unit.leader.is_none() || unit.now.figures > 0, "{unit:?}");
        let held = field.engagements.iter().filter(|engagement| engagement.holds(&unit.name));
        let held = held.count();
        assert!(held <= 1, "{} is in {held} melees", unit.name);
        assert!(held == 0 || unit.fights(), "{unit:?} is in contact");
    }
    for engagement in field.engagements.iter() {
        for held in &engagement.contacts {
            let side = |name: &str| field.unit(name).unwrap().side.clone();
            assert_ne!(side(&held.ask.striker), side(&held.ask.struck));
            assert!(held.rounds <= engagement.rounds, "a contact is no older than its melee");
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn any_battle_folds_and_holds(lines in prop::collection::vec(line(), 1..40)) {
        let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap();
        runtime.block_on(async {
            let game = Game::empty().await;
            for line in [
                "open X --scale 20 --side Vale --side Grey",
                "muster A --side Vale --class \"line foot\" --men 163 --leader Ida --frontage 3",
                "muster B --side Vale --class \"riders\" --men 70 --weapon javelins",
                "muster C --side Vale --class levy --men 240 --grade raw --weapon bows",
                "muster P --side Grey --class \"line foot\" --men 200 --spears --leader Orm",
                "muster Q --side Grey --class \"great beasts\" --men 65",
                "muster R --side Grey --class \"skirmishers\" --men 121 --weapon slings",
            ] {
                game.says(line).await;
            }
            for (n, line) in lines.iter().enumerate() {
                let before = game.battle().await;
                match game.asks(&format!("n{n}"), line).await {
                    Ok(_) => invariants(&game.battle().await),
                    Err(_) => assert_eq!(game.battle().await.head, before.head, "{line}"),
                }
            }
            let live = game.battle().await;
            let folded = Battle::fold(&game.events().await).unwrap();
            assert_eq!(folded.field, live.field, "memory and record agree");
            let sound = audit(&game.export().await).unwrap_or_else(|no| panic!("{no}"));
            assert_eq!(sound.head, live.head);
        });
    }
}
