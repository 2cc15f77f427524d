//! Harm from elsewhere, nerve on demand and reinforcements, spoken line by line.

use crate::helper::{Game, audit};

#[tokio::test]
async fn each_kind_of_harm_shows_its_whole_working() {
    let game = Game::at_the_ford().await;
    insta::assert_snapshot!(
        "harm_by_dice",
        game.says("harm \"grey levies\" --dice 12 --kills-on 15 --why \"a burning cart\"").await
    );
    insta::assert_snapshot!(
        "harm_in_men",
        game.says("harm \"Banner Foot\" --men 3d6 --why \"a ball of fire\"").await
    );
    insta::assert_snapshot!(
        "harm_without_dice",
        game.says("harm \"Vale Riders\" --men 5 --why \"a pit in the reeds\"").await
    );
    insta::assert_snapshot!(
        "harm_without_dice_that_tries_nerve",
        game.says("harm \"Ford Wardens\" --figures 1 --why \"the bank slides\"").await
    );
    insta::assert_snapshot!(
        "harm_past_the_last_man",
        game.says("harm \"Vale Riders\" --men 100d6 --why \"the great beast breathes\"").await
    );
    game.says("change \"Banner Foot\" --standing routing").await;
    insta::assert_snapshot!(
        "harm_to_the_routing",
        game.says("harm \"Banner Foot\" --figures 2 --why \"the bridge gives way\"").await
    );
    insta::assert_snapshot!("log_of_harm", game.says("log --all").await);
    audit(&game.export().await).unwrap_or_else(|no| panic!("{no}"));
}

#[tokio::test]
async fn nerve_and_reinforcements_say_why() {
    let game = Game::at_the_ford().await;
    insta::assert_snapshot!(
        "nerve",
        game.says("nerve \"ford wardens\" --why \"a great beast in the reeds\"").await
    );
    game.says("harm \"Banner Foot\" --men 10 --why \"a pit in the reeds\"").await;
    assert_eq!(
        game.says("reinforce \"banner foot\" --men 44 --why \"the late company\"").await,
        "Banner Foot is reinforced by 44 men.\n  \
         strength at muster: 10 figures, 200 men, now 12 figures, 244 men\n  \
         strength: 10 figures, 190 men, now 12 figures, 234 men\n  Reason: the late company\n"
    );
    insta::assert_snapshot!("log_of_nerve_and_reinforcements", game.says("log --all").await);
    assert_eq!(
        game.says("undo \"they are not here yet\"").await,
        "Taken back: reinforce \"Banner Foot\" --men 44 --why \"the late company\"\n  \
         Reason: they are not here yet\n"
    );
    assert_eq!(game.battle().await.field.unit("Banner Foot").unwrap().muster.men, 200);
    audit(&game.export().await).unwrap_or_else(|no| panic!("{no}"));
}

#[tokio::test]
async fn what_cannot_be_harmed_tested_or_reinforced_is_told() {
    let game = Game::at_the_ford()
        .await
        .after("muster Ram --side Vale --class levy --hits 6")
        .await
        .after("muster Reeds --side Vale --class levy --men 60")
        .await
        .after("change Reeds --men 0")
        .await
        .after("change \"Vale Riders\" --standing left")
        .await
        .after("change \"Grey Levies\" --standing routing")
        .await
        .after("throw 1d6")
        .await;
    let before = game.battle().await;
    for (line, sentence) in [
        (
            "harm Reeds --men 3d6 --why fire",
            "Reeds cannot be harmed: it is destroyed. Choose another unit.",
        ),
        (
            "harm \"Vale Riders\" --figures 1 --why fire",
            "Vale Riders cannot be harmed: it has left the field. Choose another unit.",
        ),
        (
            "harm Ram --men 3d6 --why fire",
            "Ram is a single and has no men. Say how many hits it loses: harm UNIT --figures 2 \
             --why REASON",
        ),
        (
            "harm \"Ford Wardens\" --dice 3 --kills-on 21 --why fire",
            "The dice of these rules show 1 to 20, and not 21. Say on what they kill within that.",
        ),
        (
            "harm \"Ford Wardens\" --men 0 --why fire",
            "A harm is 1 to 200 dice, 1 to 100,000 men or 1 to 1,000 figures. Change it to fit.",
        ),
        (
            "harm \"Ford Wardns\" --men 3 --why fire",
            "No unit is called “Ford Wardns” in this battle. Did you mean “Ford Wardens”?",
        ),
        (
            "harm \"Ford Wardens\" --men 3 --why \" \"",
            "A reason has 1 to 200 characters, on one line. Say briefly why.",
        ),
        (
            "nerve \"Grey Levies\" --why dusk",
            "Grey Levies has no nerve to test: it is routing. Rally it first: rally UNIT",
        ),
        (
            "nerve Reeds --why dusk",
            "Reeds has no nerve to test: it is destroyed. Choose another unit.",
        ),
        (
            "reinforce Ram --men 20 --why dusk",
            "Ram cannot be reinforced: it is a single. Muster another unit.",
        ),
        (
            "reinforce Reeds --men 20 --why dusk",
            "Reeds cannot be reinforced: it is destroyed. Muster another unit.",
        ),
        (
            "reinforce \"Ford Wardens\" --men 0 --why dusk",
            "0 men is out of range. A unit has 1 to 100,000 men.",
        ),
        (
            "change \"Ford Wardens\" --men 200",
            "Ford Wardens mustered 160 men, and 200 are more. Dice were thrown since, so reinforce \
             it: reinforce UNIT --men 40 --why REASON",
        ),
    ] {
        assert_eq!(game.refuses(line).await, sentence, "{line}");
    }
    assert_eq!(game.battle().await.head, before.head);
}

/// So many men are the same loss at every figure scale.
#[tokio::test]
async fn men_who_fall_are_as_many_at_every_scale() {
    for scale in [1, 5, 10, 20, 40] {
        let game = Game::at_the_ford().await;
        if scale != 20 {
            game.says(&format!("rescale {scale}")).await;
        }
        game.says("harm \"Ford Wardens\" --men 37 --why \"a ball of fire\"").await;
        let unit = game.battle().await.field.unit("Ford Wardens").unwrap().now;
        let figures = (123.0 / f64::from(scale) + 0.5).floor();
        assert_eq!((unit.men, f64::from(unit.figures)), (123, figures), "at 1:{scale}");
    }
}
