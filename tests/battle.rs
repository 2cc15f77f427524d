//! Worked facts of the trade, asked at the table.

use crate::helper::Game;

/// Men, figures and dice: common practice, no source.
#[tokio::test]
async fn scale_matchup_and_dice_agree_with_common_practice() {
    let game = Game::empty().await.after("open X --scale 20").await;
    for (name, side, class, men, figures) in [
        ("Three", "Vale", "riders", 60, "3 figures"),
        ("Four", "Vale", "skirmishers", 80, "4 figures"),
        ("Six", "Vale", "line foot", 120, "6 figures"),
        ("Eight", "Grey", "line foot", 160, "8 figures"),
        ("Ten", "Vale", "skirmishers", 200, "10 figures"),
        ("Twelve", "Grey", "line foot", 240, "12 figures"),
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

/// A new melee takes a unit out of the one it was in.
#[tokio::test]
async fn a_unit_is_in_one_melee_at_a_time() {
    let game = Game::at_the_ford().await;
    game.says("melee \"Ford Wardens\" \"Banner Foot\"").await;
    assert_eq!(game.battle().await.field.engagements.len(), 1);
    game.says("change \"Banner Foot\" --standing steady --apart").await;
    assert!(game.battle().await.field.engagements.is_empty());
}
