//! Harm in a report: its losses and its reason count, with dice or without.

use super::report;
use crate::helper::Game;
use statrs::distribution::{Binomial, DiscreteCDF as _};

#[tokio::test]
async fn losses_by_harm_stand_in_report_and_course() {
    let game = Game::at_the_ford().await;
    game.says("harm \"Vale Riders\" --men 5 --why \"a pit in the reeds\"").await;
    game.says("harm \"Banner Foot\" --men 12 --why \"a hornets' nest\"").await;
    game.says("undo \"the wrong bank\"").await;
    game.says("harm \"Grey Levies\" --men 2d6 --why \"a ball of fire\"").await;
    game.says("nerve \"Ford Wardens\" --why \"a great beast in the reeds\"").await;
    let battle = game.battle().await;
    let levies = battle.field.unit("Grey Levies").unwrap().men_lost();
    let markdown = report(&game.events().await).markdown();
    assert!(markdown.contains("Vale lost 5 of 240 men."), "{markdown}");
    assert!(markdown.contains(&format!("Grey Banner lost {levies} of 440 men.")), "{markdown}");
    for said in [
        "- Vale Riders: loses 5 men, no figure.",
        "Harm to Vale Riders: turn 1",
        "Reason: a pit in the reeds",
        "losses of Vale Riders: 5 men, no figure; left 4 figures, 75 men",
        "- Taken back. Roll 1. Harm to Banner Foot: turn 1",
        "- Roll 2. Harm to Grey Levies: turn 1",
        "Reason: a ball of fire",
        "- Roll 3. Nerve of Ford Wardens: turn 1",
        "Reason: a great beast in the reeds",
    ] {
        assert!(markdown.contains(said), "no “{said}” in {markdown}");
    }
    // Three rulings count: one without dice, then rolls 2 and 3.
    let worst = if levies > 5 {
        format!("{levies} men of Grey Banner in roll 2")
    } else {
        "5 men of Vale by harm without dice".to_owned()
    };
    assert!(markdown.contains("over 3 rulings."), "{markdown}");
    assert!(markdown.contains(&format!("The greatest fall: {worst}.")), "{markdown}");
    assert!(!markdown.contains("## Luck"), "dice for men and nerve kill nobody");
}

/// The chance of as many or more kills, by statrs' binomial distribution.
#[tokio::test]
async fn the_luck_of_harm_s_dice_agrees_with_statrs() {
    let game = Game::at_the_ford().await;
    for _ in 0..4 {
        game.says("harm \"Grey Levies\" --dice 9 --kills-on 18 --why \"a burning cart\"").await;
        game.tries("change \"Grey Levies\" --men 240 --standing steady").await;
    }
    let events = game.events().await;
    let markdown = report(&events).markdown();
    let all = Binomial::new(3.0 / 20.0, 9).unwrap();
    let mut listed = 0;
    for receipt in events.iter().filter_map(|event| event.event.receipt()) {
        let hits = receipt.throws[0].faces.iter().filter(|face| **face >= 18).count() as u64;
        let start = format!("- Roll {}, harm to Grey Levies: {hits} of 9 dice kill", receipt.roll);
        for line in markdown.lines().filter(|line| line.starts_with(&start)) {
            listed += 1;
            assert!(line.contains("1.4 expected") || line.contains("1.3 expected"), "{line}");
            let chance = if line.contains("As many or more") {
                if hits == 0 { 1.0 } else { all.sf(hits - 1) }
            } else {
                all.cdf(hits)
            };
            assert!(line.ends_with(&format!(": {}.", super::said(chance))), "{line}: {chance}");
        }
    }
    assert!(listed > 0, "{markdown}");
}
