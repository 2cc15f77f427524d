//! Worked facts of the trade, asked at the table.

use crate::helper::{Game, store};
use drumhead::referee::{Referee, RulesLibrary};

/// Men, figures and dice: common practice, no source.
#[tokio::test]
async fn scale_matchup_and_dice_agree_with_common_practice() {
    let mut library = RulesLibrary::shipped();
    library.add("six-sided.toml", include_str!("rules/six-sided.toml")).unwrap();
    let game = Game::over(Referee::demonstration(store::fresh().await, library))
        .after("open X --scale 20 --rules six-sided")
        .await;
    for (name, side, class, men, figures) in [
        ("Three", "Vale", "medium horse", 60, "3 figures"),
        ("Four", "Vale", "light foot", 80, "4 figures"),
        ("Six", "Vale", "heavy foot", 120, "6 figures"),
        ("Eight", "Grey", "heavy foot", 160, "8 figures"),
        ("Ten", "Vale", "light foot", 200, "10 figures"),
        ("Twelve", "Grey", "heavy foot", 240, "12 figures"),
    ] {
        let line = format!("muster {name} --side {side} --class \"{class}\" --men {men}");
        let answer = game.says(&line).await;
        assert!(answer.contains(&format!("{figures}, {men} men at 1:20")), "{answer}");
    }
    let horse = game.says("melee Three Eight").await;
    assert!(horse.contains("2 for 1, kills on 5, 6: 6 dice"), "{horse}");
    assert!(horse.contains("1 for 3, kills on 6: 2 dice"), "{horse}");
    let foot = game.says("melee Ten Twelve").await;
    assert!(foot.contains("1 for 2, kills on 6: 5 dice"), "{foot}");
    assert!(foot.contains("1 for 1, kills on 5, 6: 12 dice"), "{foot}");
}

/// A contact stands until it is parted.
#[tokio::test]
async fn a_unit_is_in_one_melee_at_a_time() {
    let game = Game::at_the_ford().await;
    // One figure of each fights, so that nobody's nerve is in question.
    for unit in ["Ford Wardens", "Banner Foot"] {
        game.says(&format!("change \"{unit}\" --grade guard --frontage 1 --men 800")).await;
    }
    game.says("melee \"Ford Wardens\" \"Banner Foot\"").await;
    assert_eq!(game.battle().await.field.engagements.len(), 1);
    game.says("part \"Banner Foot\" --why dusk").await;
    assert!(game.battle().await.field.engagements.is_empty());
}
